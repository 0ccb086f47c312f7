"""A garment hung again after a small change: every point begins where the same place of the last one hangs."""

from __future__ import annotations

import numpy as np

from onfold.hang.net import Bools, Floats
from onfold.hang.sewn_net import Sewn
from onfold.hang.tacking import on_outer

SMALL = 0.1
"""Share of its length and of its width by which a piece may have grown or shrunk, to hang on from the last time."""


def from_last(sewn: Sewn, last: Sewn, x: Floats) -> Floats | None:
    """Return where the points of a net begin (n, 3) mm, by where those of `last` hang; or None: not a small change.

    Places are told by piece, layer and copy, and by where they lie on the piece, measured by its own box.
    """
    if sewn.pieces != last.pieces or len(sewn.straps) != len(last.straps) or sewn.mirror is None or last.mirror is None:
        return None
    out = np.full((sewn.net.count, 3), np.nan)
    strips = 2 if sewn.straps else -1
    for k in range(len(sewn.pieces)):
        for layer in np.unique(sewn.layer[sewn.of_piece == k]).tolist():
            if layer == strips:
                continue
            new, old = ((each.of_piece == k) & (each.layer == layer) for each in (sewn, last))
            if not old.any() or not _alike(sewn.corner[new], last.corner[old]):
                return None
            for copy in (1, -1):
                mine = new & (sewn.copy == copy)
                if mine.any():
                    _place(sewn, last, x, mine, old, copy, out)
    for grid, was in zip(sewn.straps, last.straps, strict=True):
        rows = np.linspace(0.0, 1.0, len(grid))
        own = x[was].reshape(len(was), -1)
        laid = np.stack([np.interp(rows, np.linspace(0.0, 1.0, len(was)), own[:, j]) for j in range(own.shape[1])], 1)
        if was.shape[1] != grid.shape[1]:
            return None
        out[grid[1:-1]] = laid.reshape(len(grid), grid.shape[1], 3)[1:-1]
    return None if np.isnan(out).any() else out


def _alike(corner: Floats, was: Floats) -> bool:
    own, old = (np.ptp(each.reshape(-1, 2), axis=0) for each in (corner, was))
    return bool((np.abs(own - old) <= SMALL * np.maximum(old, 1e-6)).all())


def _place(sewn: Sewn, last: Sewn, x: Floats, mine: Bools, old: Bools, copy: int, out: Floats) -> None:
    points, first = np.unique(sewn.net.tri[mine].reshape(-1), return_index=True)
    spots = sewn.corner[mine].reshape(-1, 2)[first]
    own, was = sewn.corner[mine].reshape(-1, 2), last.corner[old].reshape(-1, 2)
    low, size = own.min(axis=0), np.maximum(np.ptp(own, axis=0), 1e-6)
    spots = was.min(axis=0) + (spots - low) / size * np.ptp(was, axis=0)
    triangle, weight = on_outer(last, old, spots, last.copy)
    corners = last.net.tri[triangle]
    if copy < 0:
        assert last.mirror is not None
        corners = last.mirror[corners]
    fresh = np.isnan(out[points, 0])
    out[points[fresh]] = (x[corners] * weight[:, :, None]).sum(axis=1)[fresh]
