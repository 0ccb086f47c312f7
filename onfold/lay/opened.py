"""Lays on cloth opened out, found by a general library for strip packing. The one door to spyrrow.

The library separates pieces that overlap while it makes the strip shorter (J. Gardeyn, G. Vanden Berghe, T. Wauters,
'An open-source heuristic to reboot 2D nesting research', arXiv 2509.13329, 2025 [S]). It cannot go on from a lay, so
several runs of it, one a core and each with its own seed, stand beside one another; the best are closed up by
`settling` and `compaction` and the shortest is taken. It reckons in single precision: outlines are given to it a hair
larger.
"""

from __future__ import annotations

import math
import os
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import timedelta

import numpy as np

from onfold.geometry.region import is_valid
from onfold.lay.bed import Bed
from onfold.lay.nofit import simplified
from onfold.lay.part import Face, Part, Ring, Way
from onfold.lay.placed import Lay, Placed, faults_of
from onfold.lay.strips import (
    HAIR,
    Convex,
    Kind,
    Spot,
    Strip,
    Turns,
    begun,
    closed_up,
    freed,
    turned,
    turns_within,
)

GROWTH = 0.3
"""mm by which an outline given to the library may stand off the true one."""
SLACKS = (4.0 * HAIR, 4e-3, 1.2e-2)
"""Room added, as shares of it, for the library to lay a piece as wide as the strip: it simplifies outlines outward, by
up to a thousandth of their area, and ends itself where no play is left. What then lies outside is moved back."""
WIDE = 0.996
"""The share of the room from which on a piece of more than four corners is given that play at once."""
EXPLORING = 0.9
"""The share of a run spent on exploring; the rest compresses, which `settling` mostly does as well in a tenth of a
second: in four pairs of runs of 40 s a share of 0.95 ended 0.25 points of density above 0.6."""
SHORTEST = 0.5
"""Seconds below which the library is not worth starting."""
FINISHED = 6
"""How many runs' best strips are closed up at the end,"""
WORTH = 0.012
"""and by what share of its length one may be longer than the best so far to be worth it: it seldom wins more."""
LEAST = 1e-4
"""The share of its length by which a strip that is freed of overlaps must be shorter."""
SPARED = 0.06
"""The share of the time kept for that, and for the library to heed its own limit."""
LOOK = 0.05
"""Seconds between two looks at what the runs have found."""
_FEASIBLE = (0, 3, 4)
"""The kinds of report that hold a strip without overlaps: found exploring, found compressing, final."""
_IMPROVING = 2
"""The kind of report that holds a strip whose pieces overlap less than before."""


def strip(
    kinds: Sequence[Kind],
    room: float,
    *,
    seconds: float,
    seed: int = 0,
    lanes: int | None = None,
    growth: float = 0.0,
    tell: Callable[[Strip], bool] | None = None,
) -> Strip | None:
    """Return the shortest strip of width `room` found in so many seconds, or None where none was found.

    Outlines may be simplified outward by `growth` for the search; the result is that of the true ones, closed up.
    `lanes` runs go on side by side, one a core. `tell` is given ever shorter strips and ends the search by False; the
    library can't be stopped, so that runs begun by then end unheeded in the background, each within its own time.
    """
    pieces = sum(kind.count for kind in kinds)
    if not pieces or not all(_fits(kind, room) for kind in kinds):
        return None
    until = time.monotonic() + (1.0 - SPARED) * seconds
    slack = int(any(_leaves_no_play(kind, room, growth) for kind in kinds))
    work = _Work(kinds, room, seed, growth, until, SPARED * seconds, _round_of(pieces, (1.0 - SPARED) * seconds), slack)
    threads = [threading.Thread(target=work.go_on, args=(lane,)) for lane in range(lanes or _cores())]
    for thread in threads:
        thread.start()
    told = float("inf")
    while any(thread.is_alive() for thread in threads) and not work.stopped:
        time.sleep(LOOK)
        best = work.best(told) if tell is not None else None
        if best is not None and tell is not None:
            told = best.length
            work.stopped = not tell(best)
    return work.shortest()


def _cores() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _fits(kind: Kind, room: float) -> bool:
    return kind.count > 0 and any(turns_within(ring, turns, room) for ring, turns in kind.faces)


def _leaves_no_play(kind: Kind, room: float, growth: float) -> bool:
    """Return whether a kind with round edges or many corners is about as wide as the strip in some turn allowed."""
    return any(
        WIDE * room < float(np.ptp(turned(ring, turn)[:, 1])) and len(simplified(ring, growth)) > 4
        for ring, turns in kind.faces
        for turn in turns
    )


def _round_of(pieces: int, seconds: float) -> float:
    """Return how long a run is to last: few pieces are soon as good as they get, and other seeds do better."""
    wanted = max(SHORTEST, 0.4 * pieces * math.sqrt(pieces))
    return seconds / max(1, round(seconds / wanted))


@dataclass(eq=False)
class _Work:
    """What the runs share. Threads only append to `found` and set numbers: no lock is needed."""

    kinds: Sequence[Kind]
    room: float
    seed: int
    growth: float
    until: float
    spared: float
    each: float
    slack: int = 0
    runs: int = 0
    stopped: bool = False
    found: list[tuple[float, int, tuple[Spot, ...]]] = field(default_factory=list)
    near: list[tuple[float, int, tuple[Spot, ...]]] = field(default_factory=list)

    def go_on(self, lane: int) -> None:
        """Run the library again and again, each time with a seed of its own, until the time is up."""
        number = lane
        while not self.stopped and self.slack < len(SLACKS):
            left = self.until - time.monotonic()
            if left < SHORTEST and self.runs:
                return
            seconds = left if left < 1.5 * self.each else self.each
            self.runs += 1
            slack = self.slack
            if not self._run(number, max(seconds, SHORTEST), SLACKS[slack] * self.room):
                self.slack = max(self.slack, slack + 1)
            number += 16

    def _run(self, number: int, seconds: float, slack: float) -> bool:
        """Add what one run finds to `found`; return False where the library could not begin."""
        import spyrrow

        faces = _faces_for(self.kinds, self.room, np.random.default_rng((self.seed, number)) if number else None)
        hair = HAIR * self.room
        items = [
            spyrrow.Item(f"{kind} {face}", _given(self.kinds[kind], face, self.growth, hair), count, list(turns))
            for (kind, face), (count, turns) in faces.items()
        ]
        seed = (self.seed * 1000 + number) % 2**63
        config = spyrrow.StripPackingConfig(total_computation_time=60, seed=seed, num_workers=1)
        config.exploration_time = timedelta(seconds=EXPLORING * seconds)
        config.compression_time = timedelta(seconds=(1.0 - EXPLORING) * seconds)
        config.early_termination = seconds < 5.0
        queue = spyrrow.ProgressQueue()
        over = threading.Event()
        watch = threading.Thread(target=self._watch, args=(queue, over, number, slack))
        watch.start()
        try:
            spyrrow.StripPackingInstance("", self.room + slack, items).solve(config, queue)
        except BaseException as raised:
            # the library ends itself, by an exception outside all others, where a piece leaves no play across
            if type(raised).__name__ == "PanicException":
                return False
            raise
        finally:
            over.set()
            watch.join()
        return True

    def _watch(self, queue: object, over: threading.Event, number: int, slack: float) -> None:
        """Take the reports of one run from its queue while it lasts, and what is left of them after."""
        shortest, entangled = float("inf"), None
        while True:
            last = over.wait(0.1)
            for kind, strip in queue.drain():  # type: ignore[attr-defined]
                # of strips with overlaps the last of a width has least of them
                if entangled is not None and (int(kind) != _IMPROVING or strip.width != entangled.width):
                    self.near.append((entangled.width, number, self._spots(entangled, slack)))
                entangled = strip if int(kind) == _IMPROVING else None
                if int(kind) in _FEASIBLE and strip.width < shortest:
                    shortest = strip.width
                    self.found.append((shortest, number, self._spots(strip, slack)))
            if last:
                return

    def _spots(self, strip: object, slack: float) -> tuple[Spot, ...]:
        """Return the library's places as ours: without the hair, and moved back into the room."""
        spots = []
        for item in strip.placed_items:  # type: ignore[attr-defined]
            kind, face = map(int, item.id.split())
            ring, turns = self.kinds[kind].faces[face]
            turn = min(turns, key=lambda each: abs((each - item.rotation + 180.0) % 360.0 - 180.0))
            x, y = (float(each) for each in item.translation)
            across = turned(ring, turn)[:, 1]
            low, high = float(across.min()), float(across.max())
            y = max(min(y - slack / 2.0, self.room - high), -low)
            spots.append(Spot(kind, face, turn, x, y))
        return tuple(spots)

    def best(self, told: float) -> Strip | None:
        """Return the shortest strip found so far, as it was found; None where it is not shorter than what was told."""
        width, number, spots = min(self.found, key=lambda each: each[0], default=(told, 0, ()))
        if width >= told:
            return None
        strip = begun(spots, self.kinds, self.room, number)
        return strip if strip.length < told else None

    def shortest(self) -> Strip | None:
        """Return the shortest of the runs' best strips, closed up, or of those that were nearly free of overlaps."""
        # the last found by a run is its shortest
        last = {number: (width, number, spots) for width, number, spots in self.found[:]}
        convex: Convex = {}
        closest: Strip | None = None
        for width, number, spots in sorted(last.values(), key=_by_width)[:FINISHED]:
            if closest is not None and (self._late() or width > closest.length * (1.0 + WORTH)):
                break
            strip = closed_up(begun(spots, self.kinds, self.room, number), self.kinds, self.room, self.growth, convex)
            if closest is None or strip.length < closest.length:
                closest = strip
        if closest is None:
            return None
        for width, number, spots in sorted(self.near[:], key=_by_width):
            if self._late() or width > closest.length * (1.0 + WORTH):
                break
            less = closest.length * (1.0 - LEAST)
            closest = freed(spots, self.kinds, self.room, self.growth, convex, less, number) or closest
        return replace(closest, runs=self.runs)

    def _late(self) -> bool:
        return self.stopped or time.monotonic() > self.until + self.spared


def _by_width(found: tuple[float, int, tuple[Spot, ...]]) -> float:
    return found[0]


def _faces_for(
    kinds: Sequence[Kind], room: float, random: np.random.Generator | None
) -> dict[tuple[int, int], tuple[int, Turns]]:
    """Return how many of each kind show each face, with the turns that fit: as given first, or at random."""
    chosen: dict[tuple[int, int], tuple[int, Turns]] = {}
    for number, kind in enumerate(kinds):
        fitting = [
            (face, turns) for face, (ring, all_) in enumerate(kind.faces) if (turns := turns_within(ring, all_, room))
        ]
        shares = np.full(len(fitting), 1.0 / len(fitting))
        counts = random.multinomial(kind.count, shares).tolist() if random is not None else [kind.count]
        for (face, turns), count in zip(fitting, counts, strict=False):
            if count:
                chosen[number, face] = (count, turns)
    return chosen


def _given(kind: Kind, face: int, growth: float, hair: float) -> list[tuple[float, float]]:
    """Return a ring as the library is given it: open, anticlockwise, simplified outward and a hair larger."""
    points = simplified(kind.faces[face][0], growth)
    edge = np.roll(points, -1, axis=0) - points
    edge /= np.hypot(*edge.T)[:, None]
    before = np.roll(edge, 1, axis=0)
    # both edges' outward normals; where a corner is sharper than 30 degrees its tip is cut off within four hairs
    both = np.stack([edge[:, 1] + before[:, 1], -edge[:, 0] - before[:, 0]], axis=1)
    spread = np.maximum(1.0 + (edge * before).sum(axis=1), 0.07)
    grown = points + hair * both / spread[:, None]
    return [(x, y) for x, y in grown.tolist()]


def opened_lay(
    parts: Sequence[Part],
    bed: Bed,
    *,
    seconds: float = 4.0,
    seed: int = 0,
    progress: Callable[[Lay], bool] | None = None,
) -> Lay | None:
    """Return the shortest lay found in so many seconds on a bed of one band, or None where there is none to show.

    For cloth without flaws or repeats, and parts that need no fold; others are left to the search. `progress` is given
    ever shorter lays and ends the search by returning False. Every lay given out has been judged without faults.
    """
    if len(bed.bands) != 1 or any(part.on_fold or not part.ways or not is_valid(part.ring) for part in parts):
        return None
    if not parts:
        return Lay(bed, (), how="spyrrow", seed=seed)
    band = bed.bands[0]
    groups: dict[int, list[Part]] = {}
    for part in parts:
        groups.setdefault(part.shape, []).append(part)
    alike = list(groups.values())
    ways = [_ways_by_face(group[0]) for group in alike]
    kinds = [
        Kind(tuple(_turns_of(group[0].ring, face, found) for face, found in by_face.items()), len(group))
        for group, by_face in zip(alike, ways, strict=True)
    ]

    def lay_of(found: Strip) -> Lay | None:
        waiting = [list(group) for group in alike]
        placed = []
        for spot in found.spots:
            kind = kinds[spot.kind]
            at = kind.faces[spot.face][1].index(spot.turn)
            way = list(ways[spot.kind].values())[spot.face][at]
            placed.append(Placed(waiting[spot.kind].pop(0), way, spot.x, spot.y + band.low, 0))
        lay = Lay(bed, tuple(placed), how="spyrrow", seed=seed, trials=found.runs)
        return None if faults_of(lay, parts) else lay

    def tell(found: Strip) -> bool:
        lay = lay_of(found)
        return lay is None or progress is None or progress(lay)

    told = tell if progress is not None else None
    best = strip(kinds, band.room, seconds=seconds, seed=seed, growth=GROWTH, tell=told)
    return None if best is None else lay_of(best)


def _ways_by_face(part: Part) -> dict[Face, list[Way]]:
    """Return a part's ways, those of each face together, in the order given."""
    found: dict[Face, list[Way]] = {}
    for way in part.ways:
        found.setdefault(way.face, []).append(way)
    return found


def _turns_of(ring: Ring, face: Face, ways: Sequence[Way]) -> tuple[Ring, Turns]:
    """Return a part's ring as it shows that face, and the turns of it that give the ways: `Way.matrix` spins first."""
    if face == "up":
        return ring, tuple(way.spin for way in ways)
    return ring * (1.0, -1.0), tuple(-way.spin % 360.0 for way in ways)
