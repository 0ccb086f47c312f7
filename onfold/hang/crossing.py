"""Where cloth passes through cloth: pairs of triangles that cross, counted exactly as far as floats allow."""

from __future__ import annotations

import numpy as np
from numba import njit

from onfold.hang.touching import bins, boxes, cells_for


@njit(cache=True)
def _pierces(p, q, a, b, c):
    """Whether the segment from p to q passes through the inside of the triangle a b c."""
    ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    vx, vy, vz = c[0] - a[0], c[1] - a[1], c[2] - a[2]
    nx, ny, nz = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    d = nx * (p[0] - a[0]) + ny * (p[1] - a[1]) + nz * (p[2] - a[2])
    e = nx * (q[0] - a[0]) + ny * (q[1] - a[1]) + nz * (q[2] - a[2])
    if (d > 0.0) == (e > 0.0):
        return False
    t = d / (d - e)
    x, y, z = p[0] + t * (q[0] - p[0]) - a[0], p[1] + t * (q[1] - p[1]) - a[1], p[2] + t * (q[2] - p[2]) - a[2]
    uu, uv, vv = ux * ux + uy * uy + uz * uz, ux * vx + uy * vy + uz * vz, vx * vx + vy * vy + vz * vz
    wu, wv = x * ux + y * uy + z * uz, x * vx + y * vy + z * vz
    det = uu * vv - uv * uv
    if det <= 0.0:
        return False
    s, r = (wu * vv - wv * uv) / det, (wv * uu - wu * uv) / det
    return s > 0.0 and r > 0.0 and s + r < 1.0


@njit(cache=True)
def crossings(x, tri, cell):
    """Return the pairs of triangles (k, 2) that cross; those with a corner in common are not asked."""
    low, high = boxes(x, tri, 0.0)
    size = cells_for(len(tri))
    begin, which = bins(low, high, cell, size)
    found = [(0, 0) for _ in range(0)]
    seen = np.full(len(tri), -1, dtype=np.int64)
    cells = np.empty(len(which), dtype=np.int64)
    count = np.zeros(len(tri) + 1, dtype=np.int64)
    for h in range(size):
        for e in range(begin[h], begin[h + 1]):
            count[which[e] + 1] += 1
    for t in range(len(tri)):
        count[t + 1] += count[t]
    place = count.copy()
    for h in range(size):
        for e in range(begin[h], begin[h + 1]):
            cells[place[which[e]]] = h
            place[which[e]] += 1
    for t in range(len(tri)):
        for k in range(count[t], count[t + 1]):
            h = cells[k]
            for e in range(begin[h], begin[h + 1]):
                o = which[e]
                if o <= t or seen[o] == t:
                    continue
                seen[o] = t
                apart = False
                for axis in range(3):
                    if low[o, axis] > high[t, axis] or high[o, axis] < low[t, axis]:
                        apart = True
                for m in range(3):
                    for n in range(3):
                        if tri[t, m] == tri[o, n]:
                            apart = True
                if apart:
                    continue
                hit = False
                for m in range(3):
                    p, q = x[tri[t, m]], x[tri[t, (m + 1) % 3]]
                    if _pierces(p, q, x[tri[o, 0]], x[tri[o, 1]], x[tri[o, 2]]):
                        hit = True
                    p, q = x[tri[o, m]], x[tri[o, (m + 1) % 3]]
                    if _pierces(p, q, x[tri[t, 0]], x[tri[t, 1]], x[tri[t, 2]]):
                        hit = True
                if hit:
                    found.append((t, o))
    return found
