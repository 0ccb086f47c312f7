"""A stripe or check: which points of the pieces stand on its bars, so that partners meet bar on bar at their seams.

Bars across the cloth are matched at one named point of each seam, a notch where both sides have one. Bars along the
cloth lie evenly about each whole piece's middle, and about the seam of a pair. [C] common practice; the tops of all
pieces lie one way, so that an uneven repeat matches too (T114 [C]).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from onfold.cloth import Cloth
from onfold.geometry.path import at, length
from onfold.lay.part import Part
from onfold.pattern import Edge, Piece, Point, Run, Seam


@dataclass(frozen=True)
class Match:
    """A point of one piece's seam line, in its frame, that meets a point of another's when the seam is sewn."""

    seam: str
    piece: str
    point: Point
    other: str
    meets: Point


def matches_of(pieces: Sequence[Piece], seams: Sequence[Seam]) -> list[Match]:
    """Return one match a seam that joins two pieces edge to edge, at the notch nearest its middle, else halfway."""
    by_name = {piece.name: piece for piece in pieces}
    found = []
    for seam in seams:
        first, second = seam.sides
        if len(first) != 1 or len(second) != 1 or first[0].piece not in by_name or second[0].piece not in by_name:
            continue
        one, other = by_name[first[0].piece], by_name[second[0].piece]
        along = _matched_at(one, first[0], other, second[0])
        a, b = _walked(one, first[0], along), _walked(other, second[0], along)
        if a is not None and b is not None:
            found.append(Match(seam.name, one.name, a, other.name, b))
    return found


def _leaves(piece: Piece, run: Run) -> list[Edge]:
    own = [edge for edge in piece.edges if edge.name == run.edge]
    leaves = own or [edge for edge in piece.edges if edge.parent == run.edge]
    return leaves[::-1] if run.reversed else leaves


def _notched(piece: Piece, run: Run) -> list[float]:
    """Return how far along the run, as it is sewn, its notches lie."""
    found: list[float] = []
    so_far = 0.0
    for edge in _leaves(piece, run):
        whole = length(edge.path)
        own = [notch.along for notch in piece.notches if notch.edge == edge.name]
        found.extend(so_far + (whole - each if run.reversed else each) for each in own)
        so_far += whole
    return sorted(found)


def _matched_at(one: Piece, first: Run, other: Piece, second: Run) -> float:
    whole = sum(length(edge.path) for edge in _leaves(one, first))
    there = _notched(other, second)
    shared = [each for each in _notched(one, first) if any(abs(each - near) <= 1.0 for near in there)]
    return min(shared, key=lambda each: abs(each - whole / 2.0)) if shared else whole / 2.0


def _walked(piece: Piece, run: Run, along: float) -> Point | None:
    """Return the point so far along a run; None for a run that is not there."""
    leaves = _leaves(piece, run)
    for edge in leaves:
        whole = length(edge.path)
        if along <= whole or edge is leaves[-1]:
            return at(edge.path, whole - along if run.reversed else along)
        along -= whole
    return None


def standing(
    parts: Sequence[Part], cloth: Cloth, matches: dict[str, list[Match]]
) -> dict[int, tuple[Point, tuple[float, float]]]:
    """Return for each part's number the point of its frame that stands on the repeat, and the phases at which it does.

    `matches` are those of each ticket, by whose they are. Pieces are joined seam by seam from the largest on.
    """
    found: dict[int, tuple[Point, tuple[float, float]]] = {}
    phases: dict[tuple[str, str], tuple[Point, float]] = {}
    for whose, each in matches.items():
        phases.update({(whose, name): where for name, where in _joined(parts, whose, each).items()})
    for number, part in enumerate(parts):
        anchor, phase = phases.get((part.whose, part.piece), ((0.0, 0.0), 0.0))
        matrix = part.ways[0].matrix if part.ways else np.eye(2)
        middle = 0.0 if part.source.on_fold else anchor[0] if part.source.mirrored_pair else _middle(part)
        aside = float((np.array((anchor[0] - middle, 0.0)) @ matrix.T)[1])
        found[number] = anchor, (_modulo(phase, cloth.repeat_along), _modulo(aside, cloth.repeat_across))
    return found


def _joined(parts: Sequence[Part], whose: str, matches: Sequence[Match]) -> dict[str, tuple[Point, float]]:
    """Return for each piece a point of it and the x, mm, at which that stands, the first piece's point at 0."""
    laid = {part.piece: part for part in reversed(parts) if part.whose == whose and part.ways}
    ranked = sorted(laid, key=lambda name: (-float(np.ptp(laid[name].ring[:, 1])), name))
    origins: dict[str, float] = {}
    points: dict[str, Point] = {}
    for root in ranked:
        if root in origins:
            continue
        own = next((m for m in matches if root in (m.piece, m.other)), None)
        points[root] = (0.0, 0.0) if own is None else own.point if own.piece == root else own.meets
        origins[root] = -_along(laid[root], points[root])
        _spread(root, laid, matches, origins, points)
    return {name: (points[name], origins[name] + _along(laid[name], points[name])) for name in origins}


def _spread(
    root: str,
    laid: dict[str, Part],
    matches: Sequence[Match],
    origins: dict[str, float],
    points: dict[str, Point],
) -> None:
    """Set the origins of all pieces that seams join to the root, so that each match meets at one x."""
    waiting = [root]
    while waiting:
        here = waiting.pop(0)
        for match in matches:
            for name, own, other, meets in (
                (match.piece, match.point, match.other, match.meets),
                (match.other, match.meets, match.piece, match.point),
            ):
                if name == here and other in laid and other not in origins:
                    origins[other] = origins[here] + _along(laid[here], own) - _along(laid[other], meets)
                    points[other] = meets
                    waiting.append(other)


def _along(part: Part, point: Point) -> float:
    """Return how far along the cloth from its frame's origin a point of a part lies, in the one way it may lie."""
    return float((np.array((point,)) @ part.ways[0].matrix.T)[0, 0])


def _middle(part: Part) -> float:
    low, high = part.ring[:, 0].min(), part.ring[:, 0].max()
    return float(low + high) / 2.0


def _modulo(value: float, repeat: float) -> float:
    return value % repeat if repeat > 0.0 else 0.0
