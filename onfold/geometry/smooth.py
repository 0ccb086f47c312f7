"""Smooth curves through points, as a cutter lays a curved rule: no wobble, and no swelling past the points.

Directions at the points follow J. D. Hobby, "Smooth, Easy to Compute Interpolating Splines", Discrete and
Computational Geometry 1 (1986): mock curvature is continuous, circles come out as near-circles, and the curve turns
with its points. Where the points run steadily along an axis (a hip curve, a side seam), the result is then held
monotone between them in both axes, in the manner of F. N. Fritsch and R. E. Carlson, "Monotone Piecewise Cubic
Interpolation", SIAM Journal on Numerical Analysis 17 (1980), so that the widest point is a given point.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise

from onfold.geometry.point import Point, angle_between, distance, unit

Controls = list[list[Point]]
_SAME = 1e-9
_ROOT_TWO = math.sqrt(2.0)
_OWN, _FAR = (math.sqrt(5.0) - 1.0) / 2.0, (3.0 - math.sqrt(5.0)) / 2.0
_STEEPEST = 2.0
"""A free direction's slope is held to this many times the lesser slope beside it; Fritsch and Carlson allow 3."""


def controls(points: Sequence[Point], tangents: Mapping[int, Point]) -> tuple[Controls, list[bool]]:
    """Return control points of one cubic between each two points, and which of them are straight lines.

    `tangents` maps an index to the direction wanted there, of any length; one without direction is passed over.
    Joints have one tangent (G1). Two points without directions give a line. Points that are repeated count once.
    Raises ValueError where there is no point.
    """
    kept, asked = _distinct(points, tangents)
    if len(kept) == 1 or not all(math.isfinite(x) and math.isfinite(y) for x, y in kept):
        return _straight_runs(kept if len(kept) > 1 else kept * 2)
    chords = [_Chord(a, b) for a, b in pairwise(kept)]
    ways = _directions(chords, asked)
    steady = [axis for axis in (0, 1) if _is_steady(chords, axis)]
    if steady:
        main = max(steady, key=lambda axis: abs(kept[-1][axis] - kept[0][axis]))
        ways = [asked.get(i) or _held(chords[max(i - 1, 0) : i + 1], way, main) for i, way in enumerate(ways)]
    result, lines = [], []
    for chord, go, come in zip(chords, ways[:-1], ways[1:], strict=True):
        segment, line = _segment(chord, go, come, bool(steady))
        result.append(segment)
        lines.append(line)
    return result, lines


class _Chord:
    """The straight way from one point to the next: its ends, its step on both axes, size and unit direction."""

    __slots__ = ("a", "b", "size", "step", "way")

    def __init__(self, a: Point, b: Point) -> None:
        dx, dy = b[0] - a[0], b[1] - a[1]
        size = math.hypot(dx, dy)
        self.a, self.b, self.step, self.size = a, b, (dx, dy), size
        self.way = (dx / size, dy / size) if size < math.inf else (0.0, 0.0)


def _distinct(points: Sequence[Point], tangents: Mapping[int, Point]) -> tuple[list[Point], dict[int, Point]]:
    kept: list[Point] = []
    asked: dict[int, Point] = {}
    for index, p in enumerate(points):
        if not kept or not distance(kept[-1], p) <= _SAME:
            kept.append((float(p[0]), float(p[1])))
        if index in tangents:
            wanted = unit(tangents[index])
            if wanted != (0.0, 0.0):
                asked[len(kept) - 1] = wanted
    if not kept:
        raise ValueError("no points to lay a curve through")
    return kept, asked


def _straight_runs(points: list[Point]) -> tuple[Controls, list[bool]]:
    return [_thirds(a, b) for a, b in pairwise(points)], [True] * (len(points) - 1)


def _thirds(a: Point, b: Point) -> list[Point]:
    dx, dy = (b[0] - a[0]) / 3.0, (b[1] - a[1]) / 3.0
    return [a, (a[0] + dx, a[1] + dy), (b[0] - dx, b[1] - dy), b]


def _directions(chords: list[_Chord], asked: Mapping[int, Point]) -> list[Point]:
    """Return a unit direction at each point: Hobby's, solved separately between directions that are asked for."""
    ways: list[Point] = [(0.0, 0.0)] * (len(chords) + 1)
    stops = sorted({0, len(chords), *asked})
    for first, last in pairwise(stops):
        run = _solved(chords[first:last], asked.get(first), asked.get(last))
        ways[first : last + 1] = run
    return ways


def _solved(chords: list[_Chord], go: Point | None, come: Point | None) -> list[Point]:
    """Return directions at the points of a run with its ends given or free (Hobby's equations, curl 1, tension 1)."""
    n = len(chords)
    turns = [0.0, *_turns(chords), 0.0]
    low, main, high, right = [0.0] * (n + 1), [1.0] * (n + 1), [0.0] * (n + 1), [0.0] * (n + 1)
    if go is not None:
        right[0] = angle_between(chords[0].way, go)
    elif n == 1 and come is not None:
        # a free end takes the mirror of the given one: an arc
        right[0] = angle_between(come, chords[0].way)
    else:
        high[0], right[0] = 1.0, -turns[1]
    for k in range(1, n):
        before, after = 1.0 / chords[k - 1].size, 1.0 / chords[k].size
        low[k], high[k], main[k] = before, after, 2.0 * (before + after)
        right[k] = -2.0 * turns[k] * before - (turns[k + 1] * after if k + 1 < n else 0.0)
    if come is not None:
        right[n] = angle_between(chords[-1].way, come)
    elif n == 1 and go is not None:
        right[n] = angle_between(go, chords[0].way)
    else:
        low[n] = 1.0
    result = [
        (c * x - s * y, s * x + c * y)
        for (x, y), c, s in (
            (chord.way, math.cos(angle), math.sin(angle))
            for chord, angle in zip((*chords, chords[-1]), _tridiagonal(low, main, high, right), strict=True)
        )
    ]
    result[0] = go or result[0]
    result[n] = come or result[n]
    return result


def _turns(chords: list[_Chord]) -> list[float]:
    """Return by what angle each chord turns into the next."""
    ways = [chord.way for chord in chords]
    return [math.atan2(a * d - b * c, a * c + b * d) for (a, b), (c, d) in pairwise(ways)]


def _tridiagonal(low: list[float], main: list[float], high: list[float], right: list[float]) -> list[float]:
    """Return the solution of a tridiagonal system, by elimination; a row that vanishes is answered with 0."""
    n = len(main)
    c, d = [0.0] * n, [0.0] * n
    for k in range(n):
        pivot = main[k] - (low[k] * c[k - 1] if k else 0.0)
        if abs(pivot) < 1e-12:
            continue
        c[k] = high[k] / pivot
        d[k] = (right[k] - (low[k] * d[k - 1] if k else 0.0)) / pivot
    for k in range(n - 2, -1, -1):
        d[k] -= c[k] * d[k + 1]
    return d


def _is_steady(chords: list[_Chord], axis: int) -> bool:
    steps = [chord.step[axis] for chord in chords]
    return min(steps) > _SAME or max(steps) < -_SAME


def _held(beside: list[_Chord], way: Point, main: int) -> Point:
    """Return the direction, held so that a curve steady along the `main` axis is monotone to both sides."""
    (a, b), (c, d) = beside[0].step, beside[-1].step
    x = way[0] if way[0] * a >= 0.0 and (a > _SAME < c or a < -_SAME > c) else 0.0
    y = way[1] if way[1] * b >= 0.0 and (b > _SAME < d or b < -_SAME > d) else 0.0
    if main:
        most = _STEEPEST * min(abs(a / b), abs(c / d)) * abs(y)
        x = max(-most, min(most, x))
    else:
        most = _STEEPEST * min(abs(b / a), abs(d / c)) * abs(x)
        y = max(-most, min(most, y))
    size = math.hypot(x, y)
    return (x / size, y / size) if size > 0.0 else way


def _segment(chord: _Chord, go: Point, come: Point, steady: bool) -> tuple[list[Point], bool]:
    a, b, (wx, wy), (gx, gy), (cx, cy) = chord.a, chord.b, chord.way, go, come
    theta, phi = math.atan2(wx * gy - wy * gx, wx * gx + wy * gy), math.atan2(cx * wy - cy * wx, cx * wx + cy * wy)
    if abs(theta) < 1e-12 and abs(phi) < 1e-12:
        return _thirds(a, b), True
    first, second = _reaches(theta, phi)
    first, second = first * chord.size, second * chord.size
    if steady:
        first, second = _within(chord.step, go, come, first, second)
    return [a, (a[0] + gx * first, a[1] + gy * first), (b[0] - cx * second, b[1] - cy * second), b], False


def _reaches(theta: float, phi: float) -> tuple[float, float]:
    """Return both handles' lengths over the chord's: Hobby's function of the two angles, a third where both are 0.

    Held to 1.5 chords, where angles near half a turn would let them grow without bound.
    """
    st, ct, sp, cp = math.sin(theta), math.cos(theta), math.sin(phi), math.cos(phi)
    top = _ROOT_TWO * (st - sp / 16.0) * (sp - st / 16.0) * (ct - cp)
    first, second = 3.0 * (1.0 + _OWN * ct + _FAR * cp), 3.0 * (1.0 + _OWN * cp + _FAR * ct)
    return (
        min(max((2.0 + top) / first, 0.0), 1.5) if first > 1e-9 else 1.5,
        min(max((2.0 - top) / second, 0.0), 1.5) if second > 1e-9 else 1.5,
    )


def _within(step: Point, go: Point, come: Point, first: float, second: float) -> tuple[float, float]:
    """Return the handles, shortened until the control points run monotone along the step where directions allow."""
    share = 1.0
    for axis in (0, 1):
        whole = step[axis]
        if go[axis] * whole < 0.0 or come[axis] * whole < 0.0:
            continue
        wanted = abs(go[axis]) * first + abs(come[axis]) * second
        if wanted > abs(whole) > _SAME:
            share = min(share, abs(whole) / wanted)
    return first * share, second * share
