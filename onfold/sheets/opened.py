"""A piece drafted on the fold, opened out whole: for cloth that is cut in one layer."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from onfold.geometry.path import end, mirrored, start, turned_back
from onfold.pattern import Edge, Inner, Mark, Notch, Piece, Point
from onfold.sheets.symbols import unit

OTHER_HALF = ", other half"
"""What an edge's mirror twin is called after the edge."""
_ON_LINE = 0.02
"""mm within which a point of the cut line counts as lying on the fold: the tolerance cut lines are made to."""


def fold_line(piece: Piece) -> tuple[Point, Point] | None:
    """Return the fold's two ends, first to last along the outline, or None for a piece without a fold edge."""
    folds = [edge for edge in piece.edges if edge.fold and len(edge.path.curves)]
    if not folds:
        return None
    ends = [point for edge in folds for point in (start(edge.path), end(edge.path))]
    longest = max(folds, key=lambda edge: math.dist(start(edge.path), end(edge.path)))
    way = unit(start(longest.path), end(longest.path))
    # The outline may begin in the middle of the fold, so the order of the edges says nothing about its ends.
    ranked = sorted(ends, key=lambda point: point[0] * way[0] + point[1] * way[1])
    return ranked[0], ranked[-1]


def has_fold(piece: Piece) -> bool:
    """Return whether a piece has an edge on the fold to be opened out at."""
    return fold_line(piece) is not None


def cut_runs(piece: Piece) -> list[NDArray[np.float64]]:
    """Return the cut line as runs (n, 2) that are really cut: without what lies on the fold or its line."""
    ring, fold = piece.cut_line, fold_line(piece)
    if ring is None or len(ring) < 2:
        return []
    if fold is None:
        return [ring]
    cut = ~_on_fold(ring, fold)
    return _runs(ring, cut)


def folded_run(piece: Piece) -> tuple[Point, Point] | None:
    """Return the two ends of the fold as the paper shows it: out to the cut line above and below."""
    fold = fold_line(piece)
    if fold is None:
        return None
    way = unit(*fold)
    ring = piece.cut_line if piece.cut_line is not None else np.zeros((0, 2))
    held = _on_fold(ring, fold) if len(ring) > 1 else np.zeros(0, dtype=bool)
    points = np.concatenate((np.array(fold), ring[:-1][held], ring[1:][held])) if held.any() else np.array(fold)
    along = (points - np.array(fold[0])) @ np.array(way)
    low, high = float(along.min()), float(along.max())
    (x, y), (dx, dy) = fold[0], way
    return (x + dx * low, y + dy * low), (x + dx * high, y + dy * high)


def opened(piece: Piece) -> Piece:
    """Return the piece with its mirror twin joined at the fold; the other half has the edges `EDGE, other half`."""
    fold = fold_line(piece)
    if fold is None:
        return piece
    a, b = fold
    own = tuple(edge for edge in piece.edges if not edge.fold)
    twins = tuple(_twin(edge, a, b) for edge in reversed(own))
    runs = _whole_ring(piece, a, b)
    sizes = {edge.name: edge for edge in own}
    return replace(
        piece,
        edges=(*own, *twins),
        on_fold=False,
        notches=(*piece.notches, *(_twin_notch(each, a, b) for each in piece.notches if each.edge in sizes)),
        marks=(*piece.marks, *(Mark(each.kind, each.name, _over(each.at, a, b)) for each in piece.marks)),
        inner=(
            *piece.inner,
            *(Inner(each.kind, "", mirrored(each.path, a, b)) for each in piece.inner),
            *(Inner("centre", edge.name, edge.path) for edge in piece.edges if edge.fold),
        ),
        cut_line=np.concatenate(runs) if runs else None,
    )


def _whole_ring(piece: Piece, a: Point, b: Point) -> list[NDArray[np.float64]]:
    runs = cut_runs(piece)
    twins = [_over_all(run, a, b)[::-1] for run in reversed(runs)]
    closed = [*runs, *twins]
    return [*closed, closed[0][:1]] if closed else []


def _twin(edge: Edge, a: Point, b: Point) -> Edge:
    return replace(edge, name=edge.name + OTHER_HALF, parent=edge.root, path=turned_back(mirrored(edge.path, a, b)))


def _twin_notch(notch: Notch, a: Point, b: Point) -> Notch:
    return replace(notch, edge=notch.edge + OTHER_HALF, at=_over(notch.at, a, b))


def _over(point: Point, a: Point, b: Point) -> Point:
    x, y = _over_all(np.array([point]), a, b)[0].tolist()
    return x, y


def _over_all(points: NDArray[np.float64], a: Point, b: Point) -> NDArray[np.float64]:
    way = np.array(unit(a, b))
    across = np.array((-way[1], way[0]))
    off = (points - np.array(a)) @ across
    over: NDArray[np.float64] = points - 2 * off[:, None] * across
    return over


def _on_fold(ring: NDArray[np.float64], fold: tuple[Point, Point]) -> NDArray[np.bool_]:
    way = unit(*fold)
    off = np.abs((ring - np.array(fold[0])) @ np.array((-way[1], way[0]))) < _ON_LINE
    held: NDArray[np.bool_] = off[:-1] & off[1:]
    return held


def _runs(ring: NDArray[np.float64], kept: NDArray[np.bool_]) -> list[NDArray[np.float64]]:
    """Return the runs of kept segments of a closed ring, a run over the ring's first point in one."""
    if kept.all():
        return [ring]
    first = int(np.argmin(kept))
    kept, points = np.roll(kept, -first), np.vstack((np.roll(ring[:-1], -first, axis=0), ring[first : first + 1]))
    edges = np.diff(np.concatenate(([0], kept.astype(int), [0])))
    return [points[a : b + 1] for a, b in zip(np.flatnonzero(edges == 1), np.flatnonzero(edges == -1), strict=True)]
