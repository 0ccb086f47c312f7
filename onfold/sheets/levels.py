"""Level lines kept to the piece they are drawn on: drafted across the whole block, where a piece may end sooner."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from onfold.geometry.apart import distances_to
from onfold.geometry.path import flatten, line
from onfold.pattern import Inner, Piece
from onfold.sheets.space import Floats

_TOUCHING = 0.1
"""mm from the seam line within which a level counts as lying on it, and so on the piece."""


def within_outline(piece: Piece) -> Piece:
    """Return the piece with its straight levels cut off at the seam line; one that never crosses the piece is dropped.

    A level runs on over a dart, whose intake lies inside the cut line. Where an edge has its name, the edge is the
    level: a second line a few millimetres off would be taken for another hem.
    """
    edges = [edge.path for edge in piece.edges if len(edge.path.curves)]
    if not edges:
        return piece
    ring = np.concatenate([np.asarray(flatten(path)) for path in edges])
    cut = piece.cut_line if piece.cut_line is not None and len(piece.cut_line) > 2 else ring
    inner: list[Inner] = []
    own = {edge.root for edge in piece.edges}
    for each in piece.inner:
        if each.kind == "level" and each.name in own:
            continue
        inner += _kept(each, ring, cut) if each.kind == "level" and bool(each.path.straight.all()) else [each]
    return replace(piece, inner=tuple(inner))


def _kept(level: Inner, ring: Floats, cut: Floats) -> list[Inner]:
    curves = level.path.curves
    if not len(curves) or not np.isfinite(curves).all():
        return []
    start, end = curves[0, 0], curves[-1, 3]
    shares = np.concatenate(([0.0], _crossings(start, end, ring), [1.0]))
    pieces = list(zip(shares[:-1].tolist(), shares[1:].tolist(), strict=True))
    middles = np.array([start + (end - start) * (a + b) / 2 for a, b in pieces])
    on_piece = _inside(middles, ring) | (distances_to(middles, np.concatenate([ring, ring[:1]])) < _TOUCHING)
    if not on_piece.any():
        return []
    first, last = int(np.argmax(on_piece)), len(on_piece) - 1 - int(np.argmax(on_piece[::-1]))
    kept = on_piece | _inside(middles, cut)
    kept[:first] = False
    kept[last + 1 :] = False
    return [
        Inner(level.kind, level.name if at == 0 else "", line(_at(start, end, a), _at(start, end, b)))
        for at, (a, b) in enumerate(_merged([part for part, keep in zip(pieces, kept.tolist(), strict=True) if keep]))
    ]


def _merged(parts: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return the stretches with those that touch made one."""
    runs: list[tuple[float, float]] = []
    for a, b in parts:
        if runs and a - runs[-1][1] < 1e-12:
            runs[-1] = (runs[-1][0], b)
        else:
            runs.append((a, b))
    return runs


def _at(start: Floats, end: Floats, share: float) -> tuple[float, float]:
    x, y = (start + (end - start) * share).tolist()
    return x, y


def _crossings(start: Floats, end: Floats, ring: Floats) -> Floats:
    """Return, sorted, the shares of the way from start to end at which the ring is crossed."""
    way, a, run = end - start, ring, np.roll(ring, -1, axis=0) - ring
    across = way[0] * run[:, 1] - way[1] * run[:, 0]
    sound = np.abs(across) > 1e-9
    away = a[sound] - start
    share = (away[:, 0] * run[sound, 1] - away[:, 1] * run[sound, 0]) / across[sound]
    along = (away[:, 0] * way[1] - away[:, 1] * way[0]) / across[sound]
    hits: Floats = np.unique(share[(along >= 0) & (along <= 1) & (share > 0) & (share < 1)])
    return hits


def _inside(points: Floats, ring: Floats) -> NDArray[np.bool_]:
    """Return for each point (m, 2) whether it lies within the ring, by the even-odd rule."""
    a, b = ring, np.roll(ring, -1, axis=0)
    y = points[:, 1][:, None]
    over = (a[:, 1] > y) != (b[:, 1] > y)
    rise = np.where(b[:, 1] == a[:, 1], 1.0, b[:, 1] - a[:, 1])
    x = a[:, 0] + (y - a[:, 1]) / rise * (b[:, 0] - a[:, 0])
    odd: NDArray[np.bool_] = (over & (points[:, 0][:, None] < x)).sum(axis=1) % 2 == 1
    return odd
