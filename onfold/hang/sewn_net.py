"""The garment as one net: what every point and triangle of it is of the garment, and how it is made finer.

The drawn copies and their mirror twins share one triangulation, so that the net is alike on both sides to the bit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from onfold.hang.net import Floats, Ints, Net, areas, sides_of

BULGE = 5.0
"""mm an outline may bulge between two of its samples."""


@dataclass(frozen=True, eq=False)
class Sewn:
    """A garment as one net. `corner` (m, 3, 2) mm: where each corner of a triangle lies on its piece, `of_piece` (m,).

    `copy` (m,) is 1 on drawn copies, -1 on their mirror twins; `layer` (m,) 0 the garment, 1 a facing, 2 a strap.
    `side` (n,) says the same of points, 0 on what the copies share. `mirror` (n,) gives every point's twin; None where
    the garment is not alike on both sides. `lines` are points in order by (piece, copy, line). `threads` (k, 2, 2)
    turns a piece's frame onto the thread of the cloth.
    """

    net: Net
    pieces: tuple[str, ...]
    threads: Floats
    corner: Floats
    side: Ints
    mirror: Ints | None
    lines: Mapping[tuple[str, str, str], Ints]
    curves: Mapping[tuple[int, int], tuple[Floats, ...]]
    copy: Ints
    layer: Ints
    of_piece: Ints
    straps: tuple[Ints, ...]
    left_out: tuple[tuple[str, str], ...]

    @property
    def spots(self) -> tuple[Ints, Floats]:
        """For every point a piece (n,) and where it lies on it (n, 2) mm: of those that meet there, the first."""
        point = self.net.tri.reshape(-1)
        _, first = np.unique(point, return_index=True)
        return np.repeat(self.of_piece, 3)[first], self.corner.reshape(-1, 2)[first]


def crossed_straps(sewn: Sewn) -> NDArray[np.bool_] | None:
    """Return the points of straps that cross: one lies over the other, so they cannot hang alike; None without any."""
    if not sewn.straps or not _is_crossed(sewn):
        return None
    out = np.zeros(sewn.net.count, dtype=bool)
    for grid in sewn.straps:
        out[grid[1:-1].reshape(-1)] = True
    return out


def _is_crossed(sewn: Sewn) -> bool:
    grid = sewn.straps[0]
    return bool(sewn.side[grid[0, 0]] * sewn.side[grid[-1, 0]] < 0)


def laid_flat(corner: Floats, copy: Ints, of_piece: Ints, threads: Floats) -> Floats:
    """Return corners (m, 3, 2) as (across, along) the thread; mirrored copies are turned over."""
    flat: Floats = np.einsum("mci,mij->mcj", corner, threads[of_piece])
    flat[:, :, 0] *= copy[:, None]
    return flat


def finer(sewn: Sewn) -> tuple[Sewn, Ints]:
    """Return the net with every triangle cut in four, and the two points (k, 2) that each new point stands between.

    On the outline the new points stand on the pattern's own curve.
    """
    net, n = sewn.net, sewn.net.count
    assert net.weight is not None
    edges, which = np.unique(sides_of(net.tri), axis=0, return_inverse=True)
    lookup = {(int(a), int(b)): n + k for k, (a, b) in enumerate(edges.tolist())}
    mids = n + which.reshape(3, -1).T
    tri, corner = _in_four(net.tri, mids), _corners_in_four(sewn)

    def four(each: NDArray[Any]) -> NDArray[Any]:
        return np.tile(each, 4)

    copy, of_piece = four(sewn.copy), four(sewn.of_piece)
    flat = laid_flat(corner, copy, of_piece, sewn.threads)
    weight = four(net.weight)
    mass = np.bincount(tri.reshape(-1), np.repeat(areas(flat) * weight, 3), n + len(edges)) / 3.0
    own = np.bincount(net.tri.reshape(-1), np.repeat(areas(net.flat) * net.weight, 3), n) / 3.0
    # what a point weighs beyond its triangles (allowances) stays where it is
    mass[:n] += net.mass - own
    new = Net(
        n + len(edges), tri, flat, four(net.across), four(net.along), four(net.shear), four(net.bend_across),
        four(net.bend_along), mass, four(net.sheet), weight, net.stiffening,
    )  # fmt: skip
    a, b = sewn.side[edges[:, 0]], sewn.side[edges[:, 1]]
    side = np.where(a == 0, b, np.where(a * b < 0, 0, a))
    mirror = None
    if sewn.mirror is not None:
        twins = np.sort(sewn.mirror[edges], axis=1).tolist()
        mirror = np.concatenate([sewn.mirror, np.array([lookup[p, q] for p, q in twins], dtype=np.int64)])
    made = replace(
        sewn,
        net=new,
        corner=corner,
        side=np.concatenate([sewn.side, side]),
        mirror=mirror,
        lines={key: _between(run, lookup) for key, run in sewn.lines.items()},
        curves={},
        copy=copy,
        layer=four(sewn.layer),
        of_piece=of_piece,
        straps=tuple(_finer_strap(grid, lookup) for grid in sewn.straps),
    )
    return made, edges


def _in_four(corners: NDArray[Any], mids: NDArray[Any]) -> NDArray[Any]:
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    ab, bc, ca = mids[:, 0], mids[:, 1], mids[:, 2]
    return np.concatenate([np.stack(t, axis=1) for t in ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))])


def _corners_in_four(sewn: Sewn) -> Floats:
    """Cut the triangles in four where they lie on their pieces, the middles of outline edges on the outline's curve."""
    mids = 0.5 * (sewn.corner + np.roll(sewn.corner, -1, axis=1))
    tri = sewn.net.tri
    for k in range(3):
        for t, pair in enumerate(np.sort(tri[:, [k, (k + 1) % 3]], axis=1).tolist()):
            for piece, x, y in sewn.curves.get((pair[0], pair[1]), ()):
                if piece == sewn.of_piece[t] and np.hypot(*(mids[t, k] - (x, y))) < BULGE:
                    mids[t, k] = x, y
    found: Floats = _in_four(sewn.corner, mids)
    return found


def _between(run: Ints, lookup: Mapping[tuple[int, int], int]) -> Ints:
    out = [int(run[0])]
    for a, b in zip(run.tolist(), run[1:].tolist(), strict=False):
        middle = lookup.get((min(a, b), max(a, b)))
        out += [b] if middle is None else [middle, b]
    return np.array(out)


def _finer_strap(grid: Ints, lookup: Mapping[tuple[int, int], int]) -> Ints:
    out = []
    for r, row in enumerate(grid):
        out.append(_between(row, lookup))
        if r + 1 == len(grid):
            break
        below = grid[r + 1]

        def middle(a: int, b: int) -> int | None:
            return lookup.get((min(a, b), max(a, b)))

        points = [middle(int(row[0]), int(below[0]))]
        for c in range(len(row) - 1):
            slant = middle(int(row[c]), int(below[c + 1]))
            points.append(middle(int(row[c + 1]), int(below[c])) if slant is None else slant)
            points.append(middle(int(row[c + 1]), int(below[c + 1])))
        out.append(np.array(points, dtype=np.int64))
    return np.array(out)
