"""How often a net of triangles passes through itself, counted with exact signs, and how near two nets come."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

UNSURE = 1e-14
"""Of the sum of its products, a determinant below this share has its sign found in fractions (bound 7 ε, Shewchuk)."""


def _side(a: Floats, b: Floats, c: Floats, d: Floats) -> Ints:
    """The exact sign (k,) of the volume of a b c d, each (k, 3)."""
    u, v, w = a - d, b - d, c - d
    parts = [
        u[:, i] * (v[:, j] * w[:, k] - v[:, k] * w[:, j]) for i, j, k in ((0, 1, 2), (1, 2, 0), (2, 0, 1))
    ]  # fmt: skip
    size = sum(
        np.abs(u[:, i]) * (np.abs(v[:, j] * w[:, k]) + np.abs(v[:, k] * w[:, j]))
        for i, j, k in ((0, 1, 2), (1, 2, 0), (2, 0, 1))
    )
    value = parts[0] + parts[1] + parts[2]
    out = np.sign(value).astype(np.int64)
    four = (a, b, c, d)
    same = np.zeros(len(a), dtype=bool)
    for i in range(4):
        for j in range(i):
            same |= (four[i] == four[j]).all(axis=1)
    out[same] = 0
    for k in np.flatnonzero((np.abs(value) <= UNSURE * size) & ~same):
        p, q, r, s = ([Fraction(float(t)) for t in each[k]] for each in (a, b, c, d))
        u3, v3, w3 = ([x - y for x, y in zip(each, s, strict=True)] for each in (p, q, r))
        exact = sum(u3[i] * (v3[j] * w3[m] - v3[m] * w3[j]) for i, j, m in ((0, 1, 2), (1, 2, 0), (2, 0, 1)))
        out[k] = (exact > 0) - (exact < 0)
    return out


def _pierces(p: Floats, q: Floats, a: Floats, b: Floats, c: Floats) -> NDArray[np.bool_]:
    """Whether the segment p q passes through the inside of triangle a b c; merely touching is not passing."""
    out = np.zeros(len(p), dtype=bool)
    some = np.flatnonzero(_side(a, b, c, p) * _side(a, b, c, q) < 0)
    p, q, a, b, c = (each[some] for each in (p, q, a, b, c))
    one, two, three = _side(p, q, a, b), _side(p, q, b, c), _side(p, q, c, a)
    out[some] = (one != 0) & (one == two) & (two == three)
    return out


def _near_pairs(x: Floats, tri: Ints) -> Ints:
    corners = x[tri]
    low, high = corners.min(axis=1), corners.max(axis=1)
    middle = 0.5 * (low + high)
    reach = 0.5 * np.linalg.norm(high - low, axis=1).max()
    pairs = cKDTree(middle).query_pairs(2.0 * reach + 1e-9, output_type="ndarray")
    i, j = pairs[:, 0], pairs[:, 1]
    pairs = pairs[((low[i] <= high[j]) & (low[j] <= high[i])).all(axis=1)]
    same = (tri[pairs[:, 0]][:, :, None] == tri[pairs[:, 1]][:, None, :]).sum(axis=(1, 2))
    kept: Ints = pairs[same < 2].astype(np.int64)
    return kept


def crossing_pairs(x: Floats, tri: Ints) -> Ints:
    """The pairs (k, 2) of triangles that pass through each other: an edge of one goes through the inside of the other.

    Pairs that share an edge cannot; those that share a point may, by the edges away from it.
    """
    x = np.asarray(x, dtype=np.float64)
    pairs = _near_pairs(x, tri)
    out = np.zeros(len(pairs), dtype=bool)
    for one, other in ((0, 1), (1, 0)):
        edges, faces = tri[pairs[:, one]], tri[pairs[:, other]]
        a, b, c = (x[faces[:, k]] for k in range(3))
        for k in range(3):
            out |= _pierces(x[edges[:, k]], x[edges[:, (k + 1) % 3]], a, b, c)
    return pairs[out]


def crossings(x: Floats, tri: Ints) -> int:
    """How many pairs of triangles pass through each other."""
    return len(crossing_pairs(x, tri))


def _segments_apart(p: Floats, q: Floats, r: Floats, s: Floats) -> Floats:
    """Distances (k,) between segments p q and r s (k, 3): the least of the inner and the four end solutions."""
    d1, d2, w = q - p, s - r, p - r
    a, b, e = (d1 * d1).sum(1), (d1 * d2).sum(1), (d2 * d2).sum(1)
    c, f = (d1 * w).sum(1), (d2 * w).sum(1)
    det = a * e - b * b
    safe = np.where(det > 1e-12 * a * e, det, 1.0)
    best = np.full(len(p), np.inf)
    t1, t2 = (b * f - c * e) / safe, (a * f - b * c) / safe
    inner = (det > 1e-12 * a * e) & (t1 >= 0) & (t1 <= 1) & (t2 >= 0) & (t2 <= 1)
    tries = [(np.where(inner, t1, 0.0), np.where(inner, t2, 0.0))]
    for end in (0.0, 1.0):
        tries.append((np.full(len(p), end), np.clip((b * end + f) / e, 0.0, 1.0)))
        tries.append((np.clip((b * end - c) / a, 0.0, 1.0), np.full(len(p), end)))
    for u, v in tries:
        best = np.minimum(best, np.linalg.norm(w + u[:, None] * d1 - v[:, None] * d2, axis=1))
    return best


def _points_apart(p: Floats, a: Floats, b: Floats, c: Floats) -> Floats:
    """Distances (k,) from points to the insides of triangles, infinite where the foot falls outside."""
    n = np.cross(b - a, c - a)
    size = (n * n).sum(1)
    foot = p - a
    v = (np.cross(foot, c - a) * n).sum(1) / size
    w = (np.cross(b - a, foot) * n).sum(1) / size
    high: Floats = np.abs((foot * n).sum(1)) / np.sqrt(size)
    return np.where((v >= 0) & (w >= 0) & (v + w <= 1), high, np.inf)


def least_apart(x: Floats, tri: Ints, apart: int = 2) -> float:
    """The least distance between triangles that are more than `apart` edges from each other along the net, mm.

    Two triangles that do not cross are nearest at two edges, or at a corner and a face.
    """
    near = _beside(tri, int(tri.max()) + 1, apart)
    pairs = _near_pairs(x, tri)
    touching = np.zeros(len(pairs), dtype=bool)
    for i in range(3):
        for j in range(3):
            touching |= np.asarray(near[tri[pairs[:, 0], i], tri[pairs[:, 1], j]]).ravel().astype(bool)
    pairs = pairs[~touching]
    best = np.inf
    for one, other in ((0, 1), (1, 0)):
        f, g = tri[pairs[:, one]], tri[pairs[:, other]]
        for k in range(3):
            best = min(best, _points_apart(x[f[:, k]], x[g[:, 0]], x[g[:, 1]], x[g[:, 2]]).min(initial=np.inf))
            for m in range(3):
                p, q, r, s = x[f[:, k]], x[f[:, (k + 1) % 3]], x[g[:, m]], x[g[:, (m + 1) % 3]]
                best = min(best, _segments_apart(p, q, r, s).min(initial=np.inf))
    return float(best)


def _beside(tri: Ints, n: int, apart: int):  # type: ignore[no-untyped-def]
    from scipy.sparse import coo_matrix, identity

    rows = np.concatenate([tri[:, [0, 1, 2]].ravel(), tri[:, [1, 2, 0]].ravel()])
    columns = np.concatenate([tri[:, [1, 2, 0]].ravel(), tri[:, [0, 1, 2]].ravel()])
    one = (coo_matrix((np.ones(len(rows)), (rows, columns)), shape=(n, n)) + identity(n)).tocsr()
    out = one
    for _ in range(apart - 1):
        out = out @ one
    return out
