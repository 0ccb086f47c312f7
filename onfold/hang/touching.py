"""Where cloth comes near cloth: pairs of point and triangle, or of two edges, with the plane between them.

Both look in cells of a grid. For every point the least gap is kept too, so that it can be held within a share of it.
"""

from __future__ import annotations

from math import floor, sqrt

import numpy as np
from numba import njit

ROOM = 16
"""Contacts for which there is room, for each point of the net: folds lie in many layers."""


@njit(cache=True)
def _cell(a, b, c, size):
    return ((a * 73856093) ^ (b * 19349663) ^ (c * 83492791)) & (size - 1)


@njit(cache=True)
def bins(low, high, cell, size):
    """Sort boxes (m, 3) into hashed cells: where each cell begins (size + 1,), and the boxes' numbers."""
    count = np.zeros(size + 1, dtype=np.int64)
    which = np.empty(0, dtype=np.int64)
    for turn in range(2):
        for t in range(len(low)):
            for a in range(floor(low[t, 0] / cell), floor(high[t, 0] / cell) + 1):
                for b in range(floor(low[t, 1] / cell), floor(high[t, 1] / cell) + 1):
                    for c in range(floor(low[t, 2] / cell), floor(high[t, 2] / cell) + 1):
                        h = _cell(a, b, c, size)
                        if turn == 0:
                            count[h + 1] += 1
                        else:
                            which[count[h]] = t
                            count[h] += 1
        if turn == 0:
            for h in range(size):
                count[h + 1] += count[h]
            which = np.empty(count[size], dtype=np.int64)
    # filling has moved every beginning to the next one's
    begin = np.zeros(size + 1, dtype=np.int64)
    begin[1:] = count[:size]
    return begin, which


@njit(cache=True)
def nearest_in(px, py, pz, a, b, c):
    """Weights (3) of the spot of triangle a b c nearest to p, and its distance (Ericson's regions)."""
    abx, aby, abz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    acx, acy, acz = c[0] - a[0], c[1] - a[1], c[2] - a[2]
    apx, apy, apz = px - a[0], py - a[1], pz - a[2]
    d1 = abx * apx + aby * apy + abz * apz
    d2 = acx * apx + acy * apy + acz * apz
    u, v, w = 1.0, 0.0, 0.0
    if d1 <= 0.0 and d2 <= 0.0:
        pass
    else:
        bpx, bpy, bpz = px - b[0], py - b[1], pz - b[2]
        d3 = abx * bpx + aby * bpy + abz * bpz
        d4 = acx * bpx + acy * bpy + acz * bpz
        cpx, cpy, cpz = px - c[0], py - c[1], pz - c[2]
        d5 = abx * cpx + aby * cpy + abz * cpz
        d6 = acx * cpx + acy * cpy + acz * cpz
        vc = d1 * d4 - d3 * d2
        vb = d5 * d2 - d1 * d6
        va = d3 * d6 - d5 * d4
        if d3 >= 0.0 and d4 <= d3:
            u, v, w = 0.0, 1.0, 0.0
        elif vc <= 0.0 and d1 >= 0.0 and d3 <= 0.0:
            t = d1 / (d1 - d3) if d1 != d3 else 0.0
            u, v, w = 1.0 - t, t, 0.0
        elif d6 >= 0.0 and d5 <= d6:
            u, v, w = 0.0, 0.0, 1.0
        elif vb <= 0.0 and d2 >= 0.0 and d6 <= 0.0:
            t = d2 / (d2 - d6) if d2 != d6 else 0.0
            u, v, w = 1.0 - t, 0.0, t
        elif va <= 0.0 and d4 - d3 >= 0.0 and d5 - d6 >= 0.0:
            s = (d4 - d3) + (d5 - d6)
            t = (d4 - d3) / s if s != 0.0 else 0.0
            u, v, w = 0.0, 1.0 - t, t
        else:
            s = va + vb + vc
            if s != 0.0:
                v, w = vb / s, vc / s
                u = 1.0 - v - w
    qx = u * a[0] + v * b[0] + w * c[0] - px
    qy = u * a[1] + v * b[1] + w * c[1] - py
    qz = u * a[2] + v * b[2] + w * c[2] - pz
    return u, v, w, sqrt(qx * qx + qy * qy + qz * qz)


@njit(cache=True)
def between(p, q, r, s):
    """Where on segments p q and r s they come nearest: shares of the way, and the distance."""
    d1x, d1y, d1z = q[0] - p[0], q[1] - p[1], q[2] - p[2]
    d2x, d2y, d2z = s[0] - r[0], s[1] - r[1], s[2] - r[2]
    rx, ry, rz = p[0] - r[0], p[1] - r[1], p[2] - r[2]
    a = d1x * d1x + d1y * d1y + d1z * d1z
    e = d2x * d2x + d2y * d2y + d2z * d2z
    f = d2x * rx + d2y * ry + d2z * rz
    c = d1x * rx + d1y * ry + d1z * rz
    b = d1x * d2x + d1y * d2y + d1z * d2z
    det = a * e - b * b
    t1 = 0.0
    if det > 1e-12 * a * e:
        t1 = min(1.0, max(0.0, (b * f - c * e) / det))
    t2 = (b * t1 + f) / e if e > 0.0 else 0.0
    if t2 < 0.0:
        t2 = 0.0
        t1 = min(1.0, max(0.0, -c / a)) if a > 0.0 else 0.0
    elif t2 > 1.0:
        t2 = 1.0
        t1 = min(1.0, max(0.0, (b - c) / a)) if a > 0.0 else 0.0
    gx = rx + d1x * t1 - d2x * t2
    gy = ry + d1y * t1 - d2y * t2
    gz = rz + d1z * t1 - d2z * t2
    return t1, t2, sqrt(gx * gx + gy * gy + gz * gz)


@njit(cache=True)
def boxes(x, parts, within):
    """Return the boxes (m, 3) low and high round parts (m, k) of points, `within` mm wider."""
    m, k = parts.shape
    low, high = np.empty((m, 3)), np.empty((m, 3))
    for t in range(m):
        for axis in range(3):
            lo = hi = x[parts[t, 0], axis]
            for c in range(1, k):
                value = x[parts[t, c], axis]
                lo, hi = min(lo, value), max(hi, value)
            low[t, axis], high[t, axis] = lo - within, hi + within
    return low, high


@njit(cache=True)
def cells_for(m):
    """Return how many hashed cells m boxes want: a power of two."""
    size = 1024
    while size < 2 * m:
        size *= 2
    return size


@njit(cache=True)
def contacts(x, tri, edges, active, linked_at, linked, beside, within, cell, most):
    """Return the contacts of the active points, triangles and edges, and how near each point is to anything (n,) mm.

    Contacts are rows (k, 4) of points with weights: 1 and the negative weights of a triangle's spot, or of two spots on
    edges, so that Σ weight x is the way from one to the other; their gaps (k,) mm, less than `within`; and which (k,)
    are between neighbours: those meet nowhere, but an edge joins them, and they count only nearer than `beside` (n,)
    mm of their first point, for flat they already lie near. Of the triangles near a point the `most` nearest count.
    """
    n = len(x)
    least = np.full(n, within)
    points = np.empty((ROOM * n, 4), dtype=np.int64)
    weights = np.empty((ROOM * n, 4))
    gaps = np.empty(ROOM * n)
    joined = np.empty(ROOM * n, dtype=np.bool_)
    count = 0
    low, high = boxes(x, tri, within)
    size = cells_for(len(tri))
    begin, which = bins(low, high, cell, size)
    crowded = np.zeros(n, dtype=np.bool_)
    mark = np.full(n, -1, dtype=np.int64)
    for i in range(n):
        if not active[i]:
            continue
        mark[i] = i
        for k in range(linked_at[i], linked_at[i + 1]):
            mark[linked[k]] = i
        px, py, pz = x[i, 0], x[i, 1], x[i, 2]
        h = _cell(floor(px / cell), floor(py / cell), floor(pz / cell), size)
        own = 0
        before = -1
        for e in range(begin[h], begin[h + 1]):
            t = which[e]
            if t == before:
                continue
            before = t
            if (
                px < low[t, 0] or px > high[t, 0] or py < low[t, 1] or py > high[t, 1]
                or pz < low[t, 2] or pz > high[t, 2]
            ):  # fmt: skip
                continue
            a, b, c = tri[t, 0], tri[t, 1], tri[t, 2]
            if a == i or b == i or c == i or not (active[a] and active[b] and active[c]):
                continue
            near_by = mark[a] == i or mark[b] == i or mark[c] == i
            u, v, w, d = nearest_in(px, py, pz, x[a], x[b], x[c])
            if not d < (beside[i] if near_by else within):
                continue
            least[i] = min(least[i], d)
            least[a] = min(least[a], d)
            least[b] = min(least[b], d)
            least[c] = min(least[c], d)
            crowded[i] = crowded[a] = crowded[b] = crowded[c] = True
            row = count
            if own < most:
                count += 1
                own += 1
            else:
                # the nearest are kept
                row = count - own + int(np.argmax(gaps[count - own : count]))
                if gaps[row] <= d:
                    continue
            points[row, 0], points[row, 1], points[row, 2], points[row, 3] = i, a, b, c
            weights[row, 0], weights[row, 1], weights[row, 2], weights[row, 3] = 1.0, -u, -v, -w
            gaps[row], joined[row] = d, near_by
    chosen = np.empty(len(edges), dtype=np.int64)
    k = 0
    for e in range(len(edges)):
        if crowded[edges[e, 0]] and crowded[edges[e, 1]]:
            chosen[k] = e
            k += 1
    if k:
        some = edges[chosen[:k]]
        low, high = boxes(x, some, 0.5 * within)
        size = cells_for(k)
        begin, which = bins(low, high, cell, size)
        seen = np.full(k, -1, dtype=np.int64)
        for e in range(k):
            i, j = some[e, 0], some[e, 1]
            own = n + e
            mark[i] = mark[j] = own
            for node in (i, j):
                for y in range(linked_at[node], linked_at[node + 1]):
                    mark[linked[y]] = own
            for a in range(floor(low[e, 0] / cell), floor(high[e, 0] / cell) + 1):
                for b in range(floor(low[e, 1] / cell), floor(high[e, 1] / cell) + 1):
                    for c in range(floor(low[e, 2] / cell), floor(high[e, 2] / cell) + 1):
                        h = _cell(a, b, c, size)
                        for m in range(begin[h], begin[h + 1]):
                            o = which[m]
                            if o <= e or seen[o] == e:
                                continue
                            seen[o] = e
                            p, q = some[o, 0], some[o, 1]
                            if i in (p, q) or j in (p, q):
                                continue
                            near_by = mark[p] == own or mark[q] == own
                            if (
                                low[o, 0] > high[e, 0] or high[o, 0] < low[e, 0] or low[o, 1] > high[e, 1]
                                or high[o, 1] < low[e, 1] or low[o, 2] > high[e, 2] or high[o, 2] < low[e, 2]
                            ):  # fmt: skip
                                continue
                            s, r, d = between(x[i], x[j], x[p], x[q])
                            if not d < (min(beside[i], beside[j]) if near_by else within):
                                continue
                            for node in (i, j, p, q):
                                least[node] = min(least[node], d)
                            if s < 0.02 or s > 0.98 or r < 0.02 or r > 0.98 or count == len(points):
                                continue
                            points[count, 0], points[count, 1], points[count, 2], points[count, 3] = i, j, p, q
                            weights[count, 0], weights[count, 1] = 1.0 - s, s
                            weights[count, 2], weights[count, 3] = r - 1.0, -r
                            gaps[count], joined[count] = d, near_by
                            count += 1
    return points[:count], weights[:count], gaps[:count], joined[:count], least


@njit(cache=True)
def sorted_by_point(points, n):
    """Return for each point (CSR) the rows of `points` (k, 4) it stands in, as places in the flattened rows."""
    at = np.zeros(n + 2, dtype=np.int64)
    flat = points.size
    for row in range(len(points)):
        for c in range(4):
            at[points[row, c] + 2] += 1
    for i in range(n):
        at[i + 2] += at[i + 1]
    where = np.empty(flat, dtype=np.int64)
    for row in range(len(points)):
        for c in range(4):
            i = points[row, c]
            where[at[i + 1]] = 4 * row + c
            at[i + 1] += 1
    return at[: n + 1], where
