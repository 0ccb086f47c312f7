"""A strip of a width with pieces on it: kinds and spots, and how one is closed up once it was found.

Plain rings in any unit; who cuts what from them is not known here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from onfold.geometry.region import overlaps
from onfold.lay.compaction import compacted, parted
from onfold.lay.convex import convex_parts
from onfold.lay.part import Ring, Way
from onfold.lay.settling import separated, settled

Turns = tuple[float, ...]
Convex = dict[tuple[int, int], list[Ring]]
"""The convex outlines of kinds' faces, kept from one strip to the next."""
HAIR = 1e-5
"""By how much outlines are made larger all round, as a share of the room: far above single precision's 1e-7."""
TOUCH = 1e-7
"""The gap left between pieces slid together, as a share of the room."""


@dataclass(frozen=True, eq=False)
class Kind:
    """Pieces alike, `count` of them: for each face they may show, the ring (n, 2) and the turns allowed, degrees."""

    faces: tuple[tuple[Ring, Turns], ...]
    count: int = 1


@dataclass(frozen=True)
class Spot:
    """Where a piece of that kind lies: which of its faces shows, turned anticlockwise, then moved to (x, y)."""

    kind: int
    face: int
    turn: float
    x: float
    y: float

    def ring_of(self, kinds: Sequence[Kind]) -> Ring:
        """Return its outline on the strip, (n, 2)."""
        there: Ring = turned(kinds[self.kind].faces[self.face][0], self.turn) + np.array((self.x, self.y))
        return there


@dataclass(frozen=True, eq=False)
class Strip:
    """Every piece in its place, 0 <= x <= length and 0 <= y <= room; found by that run of so many begun."""

    spots: tuple[Spot, ...]
    length: float
    run: int
    runs: int = 1


def turned(ring: Ring, degrees: float) -> Ring:
    """Return points (n, 2) turned anticlockwise about the origin; exact at quarter turns."""
    return np.asarray(ring @ Way("up", degrees, degrees).matrix.T, dtype=np.float64)


def turns_within(ring: Ring, turns: Turns, room: float) -> Turns:
    """Return the turns in which a ring is no wider than the room, but for rounding."""
    return tuple(turn for turn in turns if float(np.ptp(turned(ring, turn)[:, 1])) <= room * (1.0 + TOUCH))


def begun(spots: Sequence[Spot], kinds: Sequence[Kind], room: float, run: int) -> Strip:
    """Return the strip of these places, begun at 0; what lies over others by more than rounding is parted from them."""
    rings = [spot.ring_of(kinds) for spot in spots]
    start = min(float(ring[:, 0].min()) for ring in rings)
    moves = np.broadcast_to((-start, 0.0), (len(spots), 2))
    if overlaps(rings, (HAIR * room) ** 2):
        moves = parted(rings, TOUCH * room)
    return _moved(spots, moves, kinds, run)


def closed_up(strip: Strip, kinds: Sequence[Kind], room: float, growth: float, convex: Convex) -> Strip:
    """Return the strip settled, outlines grown by so much at most, and then slid together; never longer."""
    outlines = [_outlines(spot, kinds, growth, convex) for spot in strip.spots]
    closer = strip
    if all(outlines):
        closer = _moved(strip.spots, settled(outlines, room), kinds, strip.run)
        if closer.length > strip.length or overlaps(_rings(closer, kinds), (HAIR * room) ** 2):
            closer = strip
    moves = compacted(_rings(closer, kinds), 0.0, room, TOUCH * room)
    return _moved(closer.spots, moves, kinds, strip.run)


def freed(
    spots: Sequence[Spot], kinds: Sequence[Kind], room: float, growth: float, convex: Convex, length: float, run: int
) -> Strip | None:
    """Return a strip of pieces that overlap a little, freed of one another within that length and closed up.

    They are first strewn over the whole length, each in proportion to where it lies. None where they stay entangled.
    """
    rings = [spot.ring_of(kinds) for spot in spots]
    start = min(float(ring[:, 0].min()) for ring in rings)
    width = max(float(ring[:, 0].max()) for ring in rings) - start
    share = [(float(ring[:, 0].min() + ring[:, 0].max()) / 2.0 - start) / width for ring in rings]
    there = [replace(spot, x=spot.x - start + part * (length - width)) for spot, part in zip(spots, share, strict=True)]
    outlines = [_outlines(spot, kinds, growth, convex) for spot in there]
    moves = separated(outlines, room, length) if all(outlines) else None
    if moves is None:
        return None
    strip = _moved(there, moves, kinds, run)
    loose = overlaps(_rings(strip, kinds), (HAIR * room) ** 2)
    return None if loose else closed_up(strip, kinds, room, growth, convex)


def _rings(strip: Strip, kinds: Sequence[Kind]) -> list[Ring]:
    return [spot.ring_of(kinds) for spot in strip.spots]


def _outlines(spot: Spot, kinds: Sequence[Kind], growth: float, convex: Convex) -> list[Ring]:
    """Return the convex outlines that make up the piece at a spot, in its place."""
    if (spot.kind, spot.face) not in convex:
        convex[spot.kind, spot.face] = convex_parts(kinds[spot.kind].faces[spot.face][0], growth)
    there = np.array((spot.x, spot.y))
    return [turned(part, spot.turn) + there for part in convex[spot.kind, spot.face]]


def _moved(spots: Sequence[Spot], moves: Ring, kinds: Sequence[Kind], run: int) -> Strip:
    there = tuple(
        replace(spot, x=spot.x + float(dx), y=spot.y + float(dy)) for spot, (dx, dy) in zip(spots, moves, strict=True)
    )
    return Strip(there, max(float(spot.ring_of(kinds)[:, 0].max()) for spot in there), run)
