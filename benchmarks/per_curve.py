"""The rival: an outline's lengths and cut line worked out curve by curve in plain Python, as most drafting scripts do.

It does the same job to the same tolerances: each curve's length to 0.001 mm by halving, its flattening within 0.02 mm,
the points set off along the normals, and mitred corners. It treats no folds, hems or crossings.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

Spot = tuple[float, float]
Curve = tuple[Spot, Spot, Spot, Spot]


def length(curve: Curve, tolerance: float = 0.001) -> float:
    """Return a cubic's length in mm."""
    a, b, c, d = curve
    chord = math.dist(a, d)
    polygon = math.dist(a, b) + math.dist(b, c) + math.dist(c, d)
    if polygon - chord <= tolerance:
        return (chord + polygon) / 2.0
    left, right = halves(curve)
    return length(left, tolerance / 2.0) + length(right, tolerance / 2.0)


def halves(curve: Curve) -> tuple[Curve, Curve]:
    """Return the two halves of a cubic."""
    a, b, c, d = curve
    p = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    q = (b[0] + c[0]) / 2, (b[1] + c[1]) / 2
    r = (c[0] + d[0]) / 2, (c[1] + d[1]) / 2
    s = (p[0] + q[0]) / 2, (p[1] + q[1]) / 2
    t = (q[0] + r[0]) / 2, (q[1] + r[1]) / 2
    m = (s[0] + t[0]) / 2, (s[1] + t[1]) / 2
    return (a, p, s, m), (m, t, r, d)


def steps_for(curve: Curve, tolerance: float) -> int:
    """Return into how many equal steps a cubic is divided so that its chords stay within the tolerance."""
    a, b, c, d = curve
    bend = max(
        math.hypot(a[0] - 2 * b[0] + c[0], a[1] - 2 * b[1] + c[1]),
        math.hypot(b[0] - 2 * c[0] + d[0], b[1] - 2 * c[1] + d[1]),
    )
    return max(1, math.ceil(math.sqrt(0.75 * bend / tolerance)))


def set_off(curve: Curve, width: float, tolerance: float) -> list[Spot]:
    """Return a cubic's points moved out along its normals by `width` mm."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = curve
    count = steps_for(curve, tolerance)
    points = []
    for k in range(count + 1):
        t = k / count
        u = 1.0 - t
        x = u * u * u * ax + 3 * u * u * t * bx + 3 * u * t * t * cx + t * t * t * dx
        y = u * u * u * ay + 3 * u * u * t * by + 3 * u * t * t * cy + t * t * t * dy
        vx = u * u * (bx - ax) + 2 * u * t * (cx - bx) + t * t * (dx - cx)
        vy = u * u * (by - ay) + 2 * u * t * (cy - by) + t * t * (dy - cy)
        size = math.hypot(vx, vy) or 1.0
        points.append((x + width * vy / size, y - width * vx / size))
    return points


def cut_line(edges: Sequence[tuple[Sequence[Curve], float]], tolerance: float = 0.02) -> tuple[list[Spot], float]:
    """Return a ring round the edges, each (curves, allowance), and the length of its seam line."""
    runs = []
    total = 0.0
    for curves, width in edges:
        for curve in curves:
            total += length(curve)
            # the chords of the offset are longer than those of the curve; half the tolerance covers it
            runs.append(set_off(curve, width, tolerance / 2))
    ring: list[Spot] = []
    for run, following in zip(runs, runs[1:] + runs[:1], strict=True):
        ring += run
        if math.dist(run[-1], following[0]) > 1e-6:
            ring.append(mitre(run[-2], run[-1], following[0], following[1]))
    return ring, total


def mitre(a: Spot, b: Spot, c: Spot, d: Spot) -> Spot:
    """Return where the line a b meets the line c d, or the middle of b and c where they run side by side."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    across = ux * vy - uy * vx
    if abs(across) < 1e-9:
        return (b[0] + c[0]) / 2, (b[1] + c[1]) / 2
    share = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / across
    return a[0] + ux * share, a[1] + uy * share
