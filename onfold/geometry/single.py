"""One cubic on plain floats: what `curve` does for batches, quicker where a construction asks about a single point.

Control points are four `[x, y]` pairs in mm, as `array.tolist()` gives them.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import numpy as np

from onfold.geometry import curve
from onfold.geometry.point import Point

Controls = list[list[float]]

_PAIRS = tuple(zip(curve.NODES.tolist(), curve.WEIGHTS.tolist(), strict=True))


def run_to(controls: Controls, low: float, high: float, goal: float, size: float) -> float:
    """Return t where `goal` mm of a measured stretch have been run: Newton on plain floats, kept within bounds."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = controls
    ax, bx, cx = 3.0 * (x3 - x0 + 3.0 * (x1 - x2)), 6.0 * (x0 - 2.0 * x1 + x2), 3.0 * (x1 - x0)
    ay, by, cy = 3.0 * (y3 - y0 + 3.0 * (y1 - y2)), 6.0 * (y0 - 2.0 * y1 + y2), 3.0 * (y1 - y0)
    hypot, least, most, begun, run = math.hypot, low, high, low, 0.0
    t = low + (high - low) * (goal / size)
    for _ in range(60):
        span, total = t - begun, 0.0
        for node, weight in _PAIRS:
            u = begun + span * node
            total += weight * hypot((ax * u + bx) * u + cx, (ay * u + by) * u + cy)
        run, begun = run + span * total, t
        off = run - goal
        if abs(off) <= 1e-10:
            break
        least, most = (t, most) if off < 0.0 else (least, t)
        speed = hypot((ax * t + bx) * t + cx, (ay * t + by) * t + cy)
        t = t - off / speed if speed > 0.0 else math.nan
        if not least < t < most:
            t = (least + most) / 2.0
        if most - least < 1e-15:
            break
    return t


def point(controls: Controls, t: float) -> Point:
    """Return the point at t; the ends to the bit."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = controls
    if t == 1.0:
        return x3, y3
    u = 1.0 - t
    a, b, c, d = u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t
    return a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3


def tangent(controls: Controls, t: float) -> Point:
    """Return the unit tangent at t; where the curve stands still, the way it goes on; (0, 0) at no length."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = controls
    u = 1.0 - t
    a, b, c = u * u, 2.0 * u * t, t * t
    dx = a * (x1 - x0) + b * (x2 - x1) + c * (x3 - x2)
    dy = a * (y1 - y0) + b * (y2 - y1) + c * (y3 - y2)
    size = math.hypot(dx, dy)
    reach = max(abs(x1 - x0), abs(y1 - y0), abs(x2 - x0), abs(y2 - y0), abs(x3 - x0), abs(y3 - y0))
    if size > 1e-9 * reach:
        return dx / size, dy / size
    (tx, ty) = curve.tangents(np.array([controls]), np.array([t]))[0].tolist()
    return tx, ty


def run(controls: Controls, begin: float, finish: float) -> float:
    """Return the length from begin to finish, mm, within one measured stretch."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = controls
    ax, bx, cx = 3.0 * (x3 - x0 + 3.0 * (x1 - x2)), 6.0 * (x0 - 2.0 * x1 + x2), 3.0 * (x1 - x0)
    ay, by, cy = 3.0 * (y3 - y0 + 3.0 * (y1 - y2)), 6.0 * (y0 - 2.0 * y1 + y2), 3.0 * (y1 - y0)
    span, total = finish - begin, 0.0
    for node, weight in _PAIRS:
        u = begin + span * node
        total += weight * math.hypot((ax * u + bx) * u + cx, (ay * u + by) * u + cy)
    return span * total


def curvature(controls: Controls, t: float) -> float:
    """Return the signed curvature at t, 1/mm, positive where the curve turns left; 0 where it stands still."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = controls
    u = 1.0 - t
    a, b, c = 3.0 * u * u, 6.0 * u * t, 3.0 * t * t
    dx, dy = a * (x1 - x0) + b * (x2 - x1) + c * (x3 - x2), a * (y1 - y0) + b * (y2 - y1) + c * (y3 - y2)
    ex = 6.0 * (u * (x2 - 2.0 * x1 + x0) + t * (x3 - 2.0 * x2 + x1))
    ey = 6.0 * (u * (y2 - 2.0 * y1 + y0) + t * (y3 - 2.0 * y2 + y1))
    speed = math.hypot(dx, dy)
    return (dx / speed * ey - dy / speed * ex) / speed / speed if speed > 1e-9 else 0.0


def between(controls: Controls, begin: float, finish: float) -> list[Point]:
    """Return the control points of the stretch from begin to finish; ends at 0 and 1 are kept to the bit."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = controls

    def blossom(s: float, t: float, u: float) -> Point:
        q0, q1, q2 = x0 + s * (x1 - x0), x1 + s * (x2 - x1), x2 + s * (x3 - x2)
        r0, r1, r2 = y0 + s * (y1 - y0), y1 + s * (y2 - y1), y2 + s * (y3 - y2)
        q0, q1, r0, r1 = q0 + t * (q1 - q0), q1 + t * (q2 - q1), r0 + t * (r1 - r0), r1 + t * (r2 - r1)
        return q0 + u * (q1 - q0), r0 + u * (r1 - r0)

    first = (x0, y0) if begin == 0.0 else blossom(begin, begin, begin)
    last = (x3, y3) if finish == 1.0 else blossom(finish, finish, finish)
    return [first, blossom(begin, begin, finish), blossom(begin, finish, finish), last]


def bounds(controls: Controls) -> tuple[float, float, float, float]:
    """Return least x, least y, most x, most y of the curve itself."""
    (left, right), (low, high) = (_range(*axis) for axis in zip(*controls, strict=True))
    return left, low, right, high


def _range(p0: float, p1: float, p2: float, p3: float) -> tuple[float, float]:
    least, most = min(p0, p3), max(p0, p3)
    if least <= p1 <= most and least <= p2 <= most:
        return least, most
    a, b, c = p3 - p0 + 3.0 * (p1 - p2), 2.0 * (p0 - 2.0 * p1 + p2), p1 - p0
    for t in _quadratic(a, b, c):
        if 0.0 < t < 1.0:
            u = 1.0 - t
            value = u * u * u * p0 + 3.0 * u * u * t * p1 + 3.0 * u * t * t * p2 + t * t * t * p3
            least, most = min(least, value), max(most, value)
    return least, most


def _quadratic(a: float, b: float, c: float) -> tuple[float, ...]:
    """Return the real roots of a t² + b t + c, without loss where a is small; none where there are none."""
    under = b * b - 4.0 * a * c
    if not 0.0 <= under < math.inf:
        return ()
    q = -0.5 * (b + math.copysign(math.sqrt(under), b))
    return tuple(top / bottom for top, bottom in ((q, a), (c, q)) if bottom)


def zeros(p0: float, p1: float, p2: float, p3: float, touch: float) -> list[float]:
    """Return the t in 0…1, in order, at which a cubic with these control values is 0, or turns within `touch` of it."""
    a, b, c = p3 - p0 + 3.0 * (p1 - p2), 2.0 * (p0 - 2.0 * p1 + p2), p1 - p0
    stops = [0.0, *sorted(t for t in _quadratic(a, b, c) if 0.0 < t < 1.0), 1.0]

    def value(t: float) -> float:
        u = 1.0 - t
        return u * u * u * p0 + 3.0 * u * u * t * p1 + 3.0 * u * t * t * p2 + t * t * t * p3

    heights = [p0, *(value(t) for t in stops[1:-1]), p3]
    found = [t for t, height in zip(stops, heights, strict=True) if abs(height) <= touch]
    for k, (one, two) in enumerate(pairwise(heights)):
        if one * two < 0.0 and abs(one) > touch and abs(two) > touch:
            found += [_zero_between(value, a, b, c, stops[k], stops[k + 1], one)]
    return sorted(found)


def _zero_between(
    value: Callable[[float], float], a: float, b: float, c: float, low: float, high: float, start: float
) -> float:
    """Return the zero of a cubic that is monotone from low to high: Newton with halving."""
    t = (low + high) / 2.0
    for _ in range(80):
        height = value(t)
        low, high = (t, high) if height * start > 0.0 else (low, t)
        slope = 3.0 * ((a * t + b) * t + c)
        step = t - height / slope if slope else (low + high) / 2.0
        if not low < step < high:
            step = (low + high) / 2.0
        if abs(step - t) < 1e-15 or height == 0.0:
            return t if height == 0.0 else step
        t = step
    return t
