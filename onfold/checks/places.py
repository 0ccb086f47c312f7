"""The places of a garment that a body must pass, each a ring of parts that stretch as far as cloth and stitches let."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from onfold.checks.girths import Slice, girths_at, slices_of, width_at_level
from onfold.checks.subject import Subject, fact, finish_of, run_length
from onfold.pattern import Edge, Level, Piece, edges_of

LADDER = ("head", "round the shoulders", "high bust", "bust", "underbust", "waist", "hip")
"""The girths of the body from the top down, as the measures are named."""

LEVEL_ON_LADDER = {"underarm": "high bust"}
"""Levels that carry another name than the girth they lie at."""

_STEP = 10.0  # mm between two readings of the tape where the girth is walked from level to level
_NEAR = 20.0  # mm: a narrowest place this near a level is that level's
_DEEPER = 0.5  # mm that a place between two levels must be narrower than both to be named


@dataclass(frozen=True)
class Part:
    """A stretch of a ring, mm. Sewn along itself it gives `most` at the utmost and `of_cloth` of the cloth's own."""

    length: float
    most: float = math.inf
    of_cloth: float = 1.0
    edge: str = ""

    def at_pull(self, stretch: float) -> float:
        """Return its length at full pull, mm."""
        return self.length * (1.0 + min(self.most, self.of_cloth * stretch))


@dataclass(frozen=True)
class Place:
    """A ring of the garment. `rank` is where it lies on the ladder, `height` its y on the guide piece.

    `only` names the girths that pass it where not all do: the neck passes the head alone.
    """

    name: str
    rank: float
    parts: tuple[Part, ...]
    height: float
    level: str = ""
    only: tuple[str, ...] | None = None

    @property
    def finished(self) -> float:
        """The finished girth, mm."""
        return sum(part.length for part in self.parts)

    def at_pull(self, stretch: float) -> float:
        """Return the girth at full pull, mm, in a cloth of this stretch."""
        return sum(part.at_pull(stretch) for part in self.parts)

    def stretch_to_pass(self, girth: float) -> float:
        """Return the least stretch of the cloth, a share, at which a girth passes; inf where none does.

        For a ring free of seams girth / finished - 1; else by the ring's pull, which rises in straight pieces.
        """
        if self.at_pull(0.0) >= girth:
            return 0.0
        held = sorted(part.most / part.of_cloth for part in self.parts if part.most < math.inf and part.of_cloth > 0.0)
        low = 0.0
        for high in [*held, max([low, *held]) + 1.0]:
            rise = self.at_pull(high) - self.at_pull(low)
            if rise > 0.0 and (high not in held or self.at_pull(high) >= girth):
                return low + (girth - self.at_pull(low)) / rise * (high - low)
            low = high
        return math.inf


def places_of(subject: Subject) -> list[Place]:
    """Return the garment's levels and, between two levels, a place narrower than both, from the top down."""
    slices = slices_of(subject)
    heights = level_heights(slices)
    found = [_level_place(subject, slices, heights, level) for level in subject.pattern.levels.values()]
    return [*found, *_between(slices, heights, [place for place in found if place.height > -math.inf])]


def level_heights(slices: tuple[Slice, ...]) -> dict[str, float]:
    """Return the y of every level on the guide piece: its line, or its edge's lowest point where it is an edge."""
    if not slices:
        return {}
    guide = slices[0]
    heights = dict(guide.heights)
    for name in LADDER + tuple(LEVEL_ON_LADDER) + ("hem",):
        leaves = edges_of(guide.piece, name)
        if leaves:
            heights[name] = min(float(leaf.path.curves[:, (0, 3), 1].min()) for leaf in leaves)
    return heights


def rank_at(heights: dict[str, float], y: float) -> float:
    """Return where a height of the guide lies on the ladder: half way between the two known levels it lies between."""
    known = sorted(
        (-level_y, float(LADDER.index(LEVEL_ON_LADDER.get(name, name))))
        for name, level_y in heights.items()
        if LEVEL_ON_LADDER.get(name, name) in LADDER
    )
    same = [rank for level_y, rank in known if abs(-level_y - y) < 1e-6]
    if same:
        return same[0]
    above = [rank for level_y, rank in known if -level_y > y]
    if above:
        return above[-1] + 0.5
    return known[0][1] - 0.5 if known else len(LADDER) - 0.5


def _level_place(subject: Subject, slices: tuple[Slice, ...], heights: dict[str, float], level: Level) -> Place:
    name = LEVEL_ON_LADDER.get(level.name, level.name)
    height = heights.get(level.name, -math.inf)
    rank = float(LADDER.index(name)) if name in LADDER else rank_at(heights, height)
    by_name = {each.piece.name: each for each in slices}
    parts: list[Part] = []
    for piece_name, times in level.across:
        each = by_name.get(piece_name)
        parts += _parts_across(subject, each, level.name, times) if each else []
    if not parts or any(part.length <= 0.0 for part in parts):
        parts = [Part(level.finished)]
    return Place(level.name, rank, tuple(parts), height, level.name)


def _parts_across(subject: Subject, each: Slice, level: str, times: float) -> list[Part]:
    """Return a piece's parts of the ring at a level: its edge there, cloth across, or a low back's upper edge."""
    leaves = edges_of(each.piece, level)
    if leaves:
        return [sewn_part(subject, each.piece, leaf, times) for leaf in leaves]
    width = width_at_level(subject, each, level)
    if width is not None:
        return [Part(times * width)]
    return [sewn_part(subject, each.piece, edge, times) for edge in upper_edges(subject, each.piece)] or [Part(0.0)]


def sewn_part(subject: Subject, piece: Piece, edge: Edge, times: float) -> Part:
    """Return an edge as a part of a ring, held by the stitches it is sewn with."""
    length = times * subject.lengths[piece.name, edge.name]
    finish = finish_of(subject, piece, edge)
    if finish is None or edge.fold:
        return Part(length)
    return Part(length, finish.give, finish.give_of_cloth, edge.root)


def upper_edges(subject: Subject, piece: Piece) -> list[Edge]:
    """Return the edges of a half piece from the top of its side seam round to its centre, in order."""
    shared = [edge for edge in piece.edges if _joins_another(subject, piece, edge)]
    if not shared:
        return []
    first = piece.edges.index(shared[-1]) + 1
    found = []
    for step in range(len(piece.edges)):
        edge = piece.edges[(first + step) % len(piece.edges)]
        if edge.fold or (piece.name, edge.name) in subject.seam_of or edge.root == "hem":
            break
        found.append(edge)
    return found


def _joins_another(subject: Subject, piece: Piece, edge: Edge) -> bool:
    seam = subject.seam_of.get((piece.name, edge.name))
    return seam is not None and any(run.piece != piece.name for side in seam.sides for run in side)


def _between(slices: tuple[Slice, ...], heights: dict[str, float], levels: list[Place]) -> list[Place]:
    """Return, for each two neighbouring levels, the narrowest place between them where it is narrower than both."""
    ordered = sorted((place for place in levels if place.height > -math.inf), key=lambda place: -place.height)
    if not slices or len(ordered) < 2:
        return []
    top, bottom = ordered[0].height, ordered[-1].height
    ys = np.arange(top - _STEP, bottom, -_STEP)
    girths = girths_at(slices, ys)
    found = []
    for upper, lower in pairwise(ordered):
        inside = np.flatnonzero((ys < upper.height - _NEAR) & (ys > lower.height + _NEAR) & np.isfinite(girths))
        if not len(inside):
            continue
        at = inside[int(girths[inside].argmin())]
        girth, y = float(girths[at]), float(ys[at])
        if girth < min(upper.finished, lower.finished) - _DEEPER:
            name = f"between {upper.name} and {lower.name}"
            found.append(Place(name, rank_at(heights, y), (Part(girth),), y))
    return found


def top_opening(subject: Subject) -> Place | None:
    """Return the opening that the straps leave: front neck, back neck and straps; None for a garment without straps.

    Whoever steps in brings hip and waist through it; over the head only the head passes.
    """
    front, back = subject.pattern.piece("front"), subject.pattern.piece("back")
    half = fact(subject, "half neck edge")
    strap = fact(subject, "strap length") or strap_length(subject)
    if front is None or back is None or half is None or not strap:
        return None
    neck = next((edge for edge in front.edges if edge.root == "neck"), None)
    parts = [Part(2.0 * half, edge="neck")] if neck is None else [sewn_part(subject, front, neck, 2.0)]
    parts += [sewn_part(subject, back, edge, 2.0) for edge in upper_edges(subject, back)]
    parts.append(Part(2.0 * strap, 0.0, 0.0, "strap"))
    passes = tuple(name for name in LADDER if name != "round the shoulders")  # arms go through the armholes
    return Place("top opening", 0.5, tuple(parts), math.inf, only=passes)


def strap_length(subject: Subject) -> float:
    """Return the length of the strap as drafted, mm: its longest sewn edge; 0 where there is none."""
    return max(
        (
            run_length(subject, run)
            for seam in subject.pattern.seams
            for run in (*seam.sides[0], *seam.sides[1])
            if run.piece.startswith("strap")
        ),
        default=0.0,
    )
