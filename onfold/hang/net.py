"""A net of triangles that stands for cloth, and what the sweeps need of it: stretch and bends.

A net knows no garment. `flat` gives each triangle as it lies on the cloth, its first coordinate across, the second
along the grain, so that a seam joins triangles of different pieces at one point of the net.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

MM2 = 1e-6
"""m² in one mm²."""
RIGIDITY = 1e6
"""mN·mm in one N·m."""
LEAST_BEND = 0.1
"""A bend counts at least this share of the softer direction, where the two directions differ by more than the net can
tell apart."""


@dataclass(frozen=True, eq=False)
class Net:
    """`count` points, `tri` (m, 3) points of each triangle, `flat` (m, 3, 2) mm its corners on the cloth.

    `across`, `along`, `shear` (m,) N/m and `bend_across`, `bend_along` (m,) N·m per unit width: all layers of the
    triangle together. `mass` (n,) kg at the points, `weight` (m,) kg/mm² of the triangles. `sheet` (m,): triangles bend
    together only within one sheet. `stiffening` across and along: tension is stiffness e (1 + stiffening e²).
    """

    count: int
    tri: Ints
    flat: Floats
    across: Floats
    along: Floats
    shear: Floats
    bend_across: Floats
    bend_along: Floats
    mass: Floats
    sheet: Ints
    weight: Floats | None = None
    stiffening: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, eq=False)
class Bends:
    """The quadratic form of bending as rows (CSR) without their own entry, and the own entries (n,), mN/mm."""

    at: Ints
    other: Ints
    value: Floats
    own: Floats


@dataclass(frozen=True, eq=False)
class Corners:
    """Which triangles meet at each point (CSR), and as which of their corners."""

    at: Ints
    tri: Ints
    corner: Ints


@dataclass(frozen=True, eq=False)
class Woven:
    """A net made ready for the sweeps: areas (m,) mm², weights (m, 3) of the two threads, bends, corners."""

    net: Net
    area: Floats
    across: Floats
    along: Floats
    stiff: Floats
    bends: Bends
    corners: Corners
    hinges: Ints = field(repr=False)


def doubled(flat: Floats) -> Floats:
    """Return twice the areas (m,) of triangles (m, 3, 2), mm², positive where their corners run anticlockwise."""
    a, b = flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])


def areas(flat: Floats) -> Floats:
    """Return the areas (m,) of triangles (m, 3, 2), mm², all positive."""
    return 0.5 * np.abs(doubled(flat))


def sides_of(tri: Ints) -> Ints:
    """Return the sides of triangles (m, 3) as pairs of points (3 m, 2), the lesser first; first sides come first."""
    return np.sort(np.concatenate([tri[:, [0, 1]], tri[:, [1, 2]], tri[:, [2, 0]]]), axis=1)


def edges_of(tri: Ints) -> Ints:
    """Return every edge of a net once (k, 2), in order."""
    return np.unique(sides_of(tri), axis=0)


def edges_on_flat(net: Net) -> tuple[Ints, Floats]:
    """Return every edge (k, 2) of a net, as `edges_of` gives them, and how long it is (k,) on the flat, mm."""
    f = net.flat
    edges, first = np.unique(sides_of(net.tri), axis=0, return_index=True)
    size = np.concatenate([np.hypot(*(f[:, a] - f[:, b]).T) for a, b in ((0, 1), (1, 2), (2, 0))])
    return edges, size[first]


def rim_of(tri: Ints) -> Ints:
    """Return the edges (k, 2) that only one triangle has."""
    edges, count = np.unique(sides_of(tri), axis=0, return_counts=True)
    return np.asarray(edges[count == 1])


def together(count: int, edges: Ints) -> Ints:
    """Return the group (count,) of every point: the least point that edges (k, 2) join it to."""
    group = np.arange(count)
    while True:
        least = group.copy()
        np.minimum.at(least, edges[:, 0], group[edges[:, 1]])
        np.minimum.at(least, edges[:, 1], group[edges[:, 0]])
        least = least[least]
        if (least == group).all():
            return group
        group = least


def threads(flat: Floats) -> tuple[Floats, Floats]:
    """Return the weights (m, 3) by which corners give the images of the unit threads across and along."""
    a, b, det = flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0], doubled(flat)
    across = np.stack([b[:, 1], -a[:, 1]], axis=1) / det[:, None]
    along = np.stack([-b[:, 0], a[:, 0]], axis=1) / det[:, None]

    def whole(two: Floats) -> Floats:
        return np.concatenate([-two.sum(axis=1, keepdims=True), two], axis=1)

    return whole(across), whole(along)


def woven(net: Net) -> Woven:
    """Return the net made ready for the sweeps."""
    area = areas(net.flat)
    across, along = threads(net.flat)
    stiff = np.stack([net.across, net.along, net.shear], axis=1) * area[:, None]
    hinges = hinges_of(net)
    bends = _bends(net, hinges, area)
    return Woven(net, area, across, along, stiff, bends, _corners(net), hinges)


def hinges_of(net: Net) -> Ints:
    """Return (h, 6): of every edge that bends its two points, the two opposite, and the two triangles."""
    tri, m = net.tri, len(net.tri)
    first = np.concatenate([tri[:, 0], tri[:, 1], tri[:, 2]])
    second = np.concatenate([tri[:, 1], tri[:, 2], tri[:, 0]])
    third = np.concatenate([tri[:, 2], tri[:, 0], tri[:, 1]])
    whose = np.tile(np.arange(m), 3)
    key = np.minimum(first, second) * net.count + np.maximum(first, second)
    order = np.lexsort((whose, net.sheet[whose], key))
    key, third, whose = key[order], third[order], whose[order]
    first, second = first[order], second[order]
    sheet = net.sheet[whose]
    alike = (key[1:] == key[:-1]) & (sheet[1:] == sheet[:-1])
    more = np.zeros(len(alike), dtype=bool)
    more[1:] |= alike[:-1]
    more[:-1] |= alike[1:]
    one = np.flatnonzero(alike & ~more)
    return np.stack([first[one], second[one], third[one], third[one + 1], whose[one], whose[one + 1]], axis=1)


def _corner_of(tri: Ints, point: Ints) -> Ints:
    return np.asarray(np.argmax(tri == point[:, None], axis=1))


def _bends(net: Net, hinges: Ints, area: Floats) -> Bends:
    """The bend of an edge is |K x|² B / (A0 + A1): exact for a cylinder lying any way in a net of even-sided triangles.

    In halved squares it is 0.75 to 3 times that, by the way the cylinder lies; only straps are netted so.

    Where along and across differ, the share of each in B follows from the direction square to the edge by
    cos² + cos 2f sin² 2f, which is exact in such a net lying straight or crosswise [A].
    """
    n = net.count
    rows, columns, values = [], [], []
    weights = np.zeros((len(hinges), 4))
    way = np.zeros((len(hinges), 2))
    for side in (0, 1):
        t, apex = hinges[:, 4 + side], hinges[:, 2 + side]
        flat, tri = net.flat[t], net.tri[t]
        p, q, r = (
            np.take_along_axis(flat, _corner_of(tri, each)[:, None, None].repeat(2, axis=2), axis=1)[:, 0]
            for each in (hinges[:, 0], hinges[:, 1], apex)
        )
        double = 2.0 * area[t]
        cot_p = ((q - p) * (r - p)).sum(axis=1) / double
        cot_q = ((p - q) * (r - q)).sum(axis=1) / double
        weights[:, 0] -= cot_q
        weights[:, 1] -= cot_p
        weights[:, 2 + side] = cot_p + cot_q
        edge = q - p
        size = np.maximum(np.hypot(edge[:, 0], edge[:, 1]), 1e-12)
        # the line square to the edge as a doubled angle, so that two pieces at a seam can be averaged
        c, s = -edge[:, 1] / size, edge[:, 0] / size
        way += np.stack([c * c - s * s, 2.0 * c * s], axis=1)
    size = np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-12)
    double_cos, double_sin = way[:, 0] / size, way[:, 1] / size
    share = (1.0 + double_cos) / 2.0 + double_cos * double_sin**2
    t0, t1 = hinges[:, 4], hinges[:, 5]
    b_across = 0.5 * (net.bend_across[t0] + net.bend_across[t1])
    b_along = 0.5 * (net.bend_along[t0] + net.bend_along[t1])
    rigidity = np.maximum(share * b_across + (1.0 - share) * b_along, LEAST_BEND * np.minimum(b_across, b_along))
    factor = RIGIDITY * rigidity / (area[t0] + area[t1])
    for i in range(4):
        for j in range(4):
            rows.append(hinges[:, i])
            columns.append(hinges[:, j])
            values.append(factor * weights[:, i] * weights[:, j])
    return _rows(n, np.concatenate(rows), np.concatenate(columns), np.concatenate(values))


def _rows(n: int, row: Ints, column: Ints, value: Floats) -> Bends:
    own = np.zeros(n)
    same = row == column
    np.add.at(own, row[same], value[same])
    key = row[~same] * n + column[~same]
    order = np.argsort(key, kind="stable")
    found, first = np.unique(key[order], return_index=True)
    summed = np.add.reduceat(value[~same][order], first) if len(found) else np.zeros(0)
    at = np.searchsorted(found // n, np.arange(n + 1))
    return Bends(at.astype(np.int64), (found % n).astype(np.int64), summed, own)


def _corners(net: Net) -> Corners:
    point = net.tri.reshape(-1)
    order = np.argsort(point, kind="stable")
    at = np.searchsorted(point[order], np.arange(net.count + 1))
    return Corners(at.astype(np.int64), order // 3, order % 3)
