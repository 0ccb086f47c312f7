"""A flat region of cloth cut into triangles: evenly sampled outlines, staggered rows of inner points, Delaunay between.

Delaunay's triangulation keeps every outline edge whose points lie close enough together,
if inner points keep off it. Nothing here knows a piece.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from onfold.geometry.fault import Fault
from onfold.geometry.region import depths
from onfold.geometry.solve import delaunay
from onfold.hang.net import Floats, Ints, doubled, edges_of, sides_of

Size = Callable[[Floats], Floats]
"""From points (k, 2) to the length of edge wanted there (k,), mm."""

OFF_EDGE = 0.62
"""Inner points keep this share of the wanted edge from the outline."""


def inner_points(ring: Floats, size: Size) -> Floats:
    """Return points (k, 2) inside the ring in staggered rows, as far apart as `size` wants."""
    low, high = ring.min(axis=0), ring.max(axis=0)
    rows, y, odd = [], float(low[1]), False
    while y < high[1]:
        apart = float(size(np.array([[0.5 * (low[0] + high[0]), y]]))[0])
        across = np.arange(low[0] + (0.5 * apart if odd else 0.0), high[0], apart)
        rows.append(np.stack([across, np.full(len(across), y)], axis=1))
        y, odd = y + 0.866 * apart, not odd
    points = np.concatenate(rows) if rows else np.zeros((0, 2))
    if not len(points):
        return points
    return points[depths(ring, points) > OFF_EDGE * size(points)]


def triangulated(ring: Floats, size: Size) -> tuple[Floats, Ints] | Fault:
    """Return points (n, 2), the ring's first, and triangles (m, 3) anticlockwise that fill the ring.

    The ring (k, 2) runs anticlockwise, unclosed. A Fault where it has no area or cannot be filled.
    """
    if len(ring) < 3:
        return Fault("the outline has fewer than three points")
    inner = inner_points(ring, size)
    points, tri = np.concatenate([ring, inner]), np.zeros((0, 3), dtype=np.int64)
    for _ in range(3):
        tri = _filled(ring, points)
        if not len(tri):
            return Fault("the outline encloses nothing")
        points = _evened(points, tri, len(ring))
    tri = _filled(ring, points)
    return _checked(ring, points, tri)


def _filled(ring: Floats, points: Floats) -> Ints:
    tri = delaunay(points)
    if not len(tri):
        return tri
    middles = points[tri].mean(axis=1)
    tri = tri[depths(ring, middles) > 0.0]
    a, b, c = points[tri[:, 0]], points[tri[:, 1]], points[tri[:, 2]]
    twice = doubled(points[tri])
    tri[twice < 0.0] = tri[twice < 0.0][:, ::-1]
    longest = np.maximum.reduce([((p - q) ** 2).sum(axis=1) for p, q in ((a, b), (b, c), (c, a))])
    return np.asarray(tri[np.abs(twice) > 1e-4 * longest])


def _evened(points: Floats, tri: Ints, fixed: int) -> Floats:
    """Move every inner point to the middle of its neighbours."""
    n = len(points)
    edges = edges_of(tri)
    pairs = np.unique(np.concatenate([edges, edges[:, ::-1]]), axis=0)
    count = np.maximum(np.bincount(pairs[:, 0], minlength=n), 1)
    middle = np.stack([np.bincount(pairs[:, 0], points[pairs[:, 1], k], n) / count for k in (0, 1)], axis=1)
    out = points.copy()
    out[fixed:] = 0.5 * points[fixed:] + 0.5 * middle[fixed:]
    return out


def _checked(ring: Floats, points: Floats, tri: Ints) -> tuple[Floats, Ints] | Fault:
    k = len(ring)
    have = set(map(tuple, sides_of(tri).tolist()))
    lost = [i for i in range(k) if (min(i, (i + 1) % k), max(i, (i + 1) % k)) not in have]
    if lost:
        spot = ring[lost[0]]
        return Fault(f"the outline is too fine to be filled near ({spot[0]:.0f}, {spot[1]:.0f}) mm")
    return points, tri
