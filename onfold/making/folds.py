"""What lies beyond a fold line: a facing cut in one, the second half of a band, the extension of a vent."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from onfold.construction import FinishFault, read_finish
from onfold.geometry.path import Path, at, end, length, start
from onfold.pattern import Inner, Pattern, Piece, Point

ON_LINE = 0.5
"""mm from a fold line within which an edge's middle lies on it: the edge runs across the fold."""


@dataclass(frozen=True)
class Fold:
    """A fold line of a piece, with the edges (by number) that its turning deals with.

    `held` are turned in, caught or sewn down; `free` lie beyond the fold and hang; `ends` run across the fold and are
    closed before it is turned.
    """

    name: str
    kind: Literal["facing", "band", "vent"]
    piece: Piece
    line: Inner
    held: tuple[int, ...] = ()
    free: tuple[int, ...] = ()
    ends: tuple[int, ...] = ()
    beyond: tuple[int, ...] = ()


def folds_of(pattern: Pattern, piece: Piece) -> Iterable[Fold]:
    """Return the folds of a piece that are turned in making up; a line with nothing but seams beyond it is none."""
    sewn = _sewn(pattern, piece)
    opened = {edge for opening in pattern.openings for edge in opening.edges}
    for inner in piece.inner:
        if inner.kind != "fold line" or not len(inner.path.curves):
            continue
        sides = [_side(piece, inner, n) for n in range(len(piece.edges))]
        beyond = _beyond(piece, sides, sewn)
        if not beyond:
            continue
        loose = [n for n in beyond if n not in sewn and not piece.edges[n].fold]
        ends = tuple(n for n in range(len(sides)) if n not in sewn and _crosses(piece, inner, n))
        if ends:
            near = _along(piece, sides, beyond, sewn)
            yield Fold(inner.name, "band", piece, inner, tuple(loose), (), (*ends, *near), beyond)
            continue
        if any(f"{piece.edges[n].root} of {piece.name}" in opened for n in beyond):
            yield Fold(inner.name, "vent", piece, inner, tuple(loose), (), (), beyond)
            continue
        held = [n for n in loose if _is_facing(piece, n)]
        partners = [n for n in _at_ends(piece, inner, beyond) if _is_facing(piece, n) and n not in sewn]
        # an edge without a finish is caught in the seam it comes to lie on, and not by the fold
        rest = tuple(n for n in loose if n not in held and piece.edges[n].finish)
        yield Fold(inner.name, "facing", piece, inner, (*partners, *held), rest, (), beyond)


def lies_in_a_band(pattern: Pattern, pieces: Sequence[str]) -> bool:
    """Return whether the allowances of a seam of these pieces lie inside a band: the first of them, folded over it."""
    piece = pattern.piece(pieces[0]) if len(pieces) > 1 else None
    return piece is not None and any(fold.kind == "band" for fold in folds_of(pattern, piece))


def _sewn(pattern: Pattern, piece: Piece) -> frozenset[int]:
    """Return the numbers of a piece's edges that are in a seam."""
    names = {run.edge for seam in pattern.seams for side in seam.sides for run in side if run.piece == piece.name}
    return frozenset(n for n, edge in enumerate(piece.edges) if edge.name in names or edge.parent in names)


def _crosses(piece: Piece, inner: Inner, number: int) -> bool:
    """Return whether an edge runs across the fold line, from one side to the other."""
    edge = piece.edges[number]
    middle = at(edge.path, length(edge.path) / 2.0)
    ends = [start(inner.path), end(inner.path)]
    reach = length(edge.path)
    near = any(np.hypot(middle[0] - each[0], middle[1] - each[1]) <= reach for each in ends)
    signs = {_sign(inner.path, start(edge.path)), _sign(inner.path, end(edge.path))}
    return near and not edge.fold and signs == {1, -1}


def _side(piece: Piece, inner: Inner, number: int) -> int:
    """Return on which side of the fold line an edge's middle lies: 1 left, -1 right, 0 on it."""
    path = piece.edges[number].path
    middle = at(path, length(path) / 2.0)
    return _sign(inner.path, middle)


def _sign(path: Path, point: Point) -> int:
    a, b = np.array(start(path)), np.array(end(path))
    way = b - a
    size = float(np.hypot(*way))
    if size <= 1e-9:
        return 0
    off = float(way[0] * (point[1] - a[1]) - way[1] * (point[0] - a[0])) / size
    return 0 if abs(off) <= ON_LINE else (1 if off > 0 else -1)


def _beyond(piece: Piece, sides: list[int], sewn: frozenset[int]) -> tuple[int, ...]:
    """Return the edges on the side of the fold with less sewing in it; with none in either, the shorter side."""

    def weight(side: int) -> tuple[float, float]:
        own = [n for n, each in enumerate(sides) if each == side]
        return (
            sum(length(piece.edges[n].path) for n in own if n in sewn),
            sum(length(piece.edges[n].path) for n in own),
        )

    if 1 not in sides or -1 not in sides:
        return ()
    away = min((1, -1), key=weight)
    return tuple(n for n, each in enumerate(sides) if each == away)


def _is_facing(piece: Piece, number: int) -> bool:
    read = read_finish(piece.edges[number].finish) if piece.edges[number].finish else None
    return read is not None and not isinstance(read, FinishFault) and read.kind == "folded facing"


def _along(piece: Piece, sides: list[int], beyond: tuple[int, ...], sewn: frozenset[int]) -> tuple[int, ...]:
    """Return the free edges of a band on its seam's side: the underlap, which is closed with the ends."""
    return tuple(
        n
        for n, each in enumerate(sides)
        if each != 0
        and n not in beyond
        and n not in sewn
        and not piece.edges[n].fold
        and piece.edges[n].finish not in ("", "dart")
    )


def _at_ends(piece: Piece, inner: Inner, beyond: tuple[int, ...]) -> tuple[int, ...]:
    """Return the edges on the near side that meet the fold line's ends: the armhole beside its own facing."""
    points = start(inner.path), end(inner.path)
    found = []
    for n, edge in enumerate(piece.edges):
        if n in beyond or edge.fold:
            continue
        own = start(edge.path), end(edge.path)
        if any(abs(a[0] - b[0]) + abs(a[1] - b[1]) < 2.0 for a in own for b in points):
            found.append(n)
    return tuple(found)
