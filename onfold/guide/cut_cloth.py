"""Pieces of cloth as they come from the table, whole where they were cut on the fold, and the edges walked on them.

A cloth's frame is its piece's, right side up; of a mirrored pair the second is turned over on x = 0.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from onfold.geometry.path import flatten_all
from onfold.making.operation import Operation
from onfold.pattern import Pattern, Piece, Run, edges_of

Floats = NDArray[np.float64]
Point = tuple[float, float]

FINE = 0.4
"""mm by which a curve in a picture may stray from the piece's own."""
_MIRROR = np.array([-1.0, 1.0])
_ON_FOLD = 1e-3


@dataclass(frozen=True, eq=False)
class Cut:
    """One piece of cloth: its piece, and whether it is the mirrored one of a pair."""

    piece: Piece
    mirrored: bool = False

    @property
    def key(self) -> tuple[str, bool]:
        """Return what tells two cloths of a pattern apart."""
        return self.piece.name, self.mirrored

    def put(self, points: Floats, mirrored: bool | None = None) -> Floats:
        """Return points (n, 2) of the piece in the cloth's frame; `mirrored` for the other half of a whole cloth."""
        turned = self.mirrored if mirrored is None else mirrored
        found: Floats = points * _MIRROR if turned else points
        return found


@dataclass(frozen=True, eq=False)
class Walk:
    """A run of edges as it is walked on its cloth: points (n, 2) and mm gone (n,).

    Where a dart lies between two leaves the tape stands still while the points leap. `left` says that the cloth lies
    to the left of the way; `allowance` is the widest along it, mm; `notches` are (mm gone, kind).
    """

    cut: Cut
    run: Run
    points: Floats
    gone: Floats
    left: bool
    allowance: float
    notches: tuple[tuple[float, str], ...] = ()

    @property
    def length(self) -> float:
        """Return its length, mm."""
        return float(self.gone[-1])

    def at(self, alongs: Sequence[float] | Floats) -> Floats:
        """Return the points (k, 2) at mm from the start of the walk."""
        found: Floats = np.column_stack([np.interp(alongs, self.gone, self.points[:, axis]) for axis in (0, 1)])
        return found

    def back(self) -> Walk:
        """Return the same edges walked from their other end."""
        whole = self.length
        notches = tuple(sorted((whole - at, kind) for at, kind in self.notches))
        return Walk(
            self.cut, self.run, self.points[::-1], whole - self.gone[::-1], not self.left, self.allowance, notches
        )


def walk_of(pattern: Pattern, run: Run) -> Walk | None:
    """Return a run as it is walked, as its seam says; None where it is not drawn or has no length."""
    piece = pattern.piece(run.piece)
    if piece is None:
        return None
    edges = [edge for edge in edges_of(piece, run.edge) if np.isfinite(edge.path.curves).all()]
    if not edges:
        return None
    leaves = [_without_repeats(leaf) for leaf in flatten_all([edge.path for edge in edges], FINE)]
    gone, points, starts, so_far = [], [], {}, 0.0
    for edge, leaf in zip(edges, leaves, strict=True):
        own = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(leaf, axis=0).T))])
        starts[edge.name] = so_far
        gone.append(own + so_far)
        points.append(leaf)
        so_far += float(own[-1])
    if not 1e-6 < so_far < 1e6:
        return None
    mirrored = run.copy == "mirrored"
    cut = Cut(piece, mirrored and not piece.on_fold)
    starts.setdefault(run.edge, 0.0)
    notches = tuple(
        sorted((starts[each.edge] + each.along, each.kind) for each in piece.notches if each.edge in starts)
    )
    walk = Walk(
        cut,
        run,
        cut.put(np.concatenate(points), mirrored),
        np.concatenate(gone),
        not mirrored,
        max(edge.allowance for edge in edges),
        tuple((at, kind) for at, kind in notches if 0.0 <= at <= so_far),
    )
    return walk.back() if run.reversed else walk


def _without_repeats(points: Floats) -> Floats:
    kept = np.concatenate([[True], np.hypot(*np.diff(points, axis=0).T) > 1e-9])
    return points[kept] if kept.sum() > 1 else points


def ring_of(cut: Cut) -> Floats | None:
    """Return the outline of a cloth as it is cut, closed (n, 2): its cut line, or its seam line where it has none.

    A piece cut on the fold is opened out. None where it has no outline that can be drawn.
    """
    piece = cut.piece
    ring = piece.cut_line
    if ring is None or len(ring) < 4 or not np.isfinite(ring).all():
        ring = net_line(piece)
    if ring is None:
        return None
    return cut.put(opened(ring) if piece.on_fold else _closed(ring))


def net_line(piece: Piece) -> Floats | None:
    """Return a piece's seam line as a closed ring (n, 2), or None."""
    paths = [edge.path for edge in piece.edges]
    if not paths or not all(np.isfinite(path.curves).all() for path in paths):
        return None
    ring = _without_repeats(np.concatenate(flatten_all(paths, FINE)))
    return _closed(ring) if len(ring) > 2 else None


def _closed(ring: Floats) -> Floats:
    return ring if np.array_equal(ring[0], ring[-1]) else np.vstack((ring, ring[:1]))


def opened(ring: Floats) -> Floats:
    """Return the ring of a half on the fold (x = 0) joined to its mirror: itself where it does not touch the fold."""
    points = _closed(ring)[:-1]
    on = np.abs(points[:, 0]) < _ON_FOLD
    if on.sum() < 2 or on.all():
        return _closed(ring)
    count = len(points)
    leaving = [k for k in range(count) if on[k] and not on[(k + 1) % count]]
    stretches = []
    for first in leaving:
        length = 1
        while not on[(first + length) % count]:
            length += 1
        stretches.append(points[(first + np.arange(length + 1)) % count])
    half = max(stretches, key=len)
    whole: Floats = np.vstack((half, (half * _MIRROR)[::-1][1:]))
    return _closed(whole)


def twin(walk: Walk) -> Walk:
    """Return the same edge on the other half of a cloth cut on the fold."""
    return replace(walk, points=walk.points * _MIRROR, left=not walk.left)


def whole_walks(walks: Sequence[Walk]) -> list[Walk]:
    """Return the walks with their twins where the cloth was cut on the fold: one walk where they meet there."""
    found: list[Walk] = []
    for walk in walks:
        if not walk.cut.piece.on_fold:
            found.append(walk)
            continue
        ends = np.abs(walk.points[(0, -1), 0]) < _ON_FOLD
        if ends[0] == ends[1]:
            found += [walk, twin(walk)]
            continue
        out = walk if ends[0] else walk.back()
        back = twin(out).back()
        long = out.length
        notches = (*back.notches, *((at + long, kind) for at, kind in out.notches))
        points, gone = np.vstack((back.points, out.points[1:])), np.concatenate((back.gone, out.gone[1:] + long))
        found.append(replace(out, points=points, gone=gone, notches=notches))
    return found


def pieces_of(pattern: Pattern, operation: Operation) -> list[Piece]:
    """Return the pieces an operation works on, those of its edges first."""
    names = [run.piece for side in operation.sides for run in side] + list(operation.pieces)
    return [piece for name in dict.fromkeys(names) if (piece := pattern.piece(name)) is not None]
