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

from onfold.geometry.point import Point, angle_between, direction, distance, unit

Controls = list[list[Point]]
_SAME = 1e-9
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
    ways = _directions(kept, asked)
    steady = [axis for axis in (0, 1) if _is_steady(kept, axis)]
    if steady:
        main = max(steady, key=lambda axis: abs(kept[-1][axis] - kept[0][axis]))
        ways = [asked.get(i) or _held(kept, i, ways[i], main) for i in range(len(kept))]
    result, lines = [], []
    for a, b, go, come in zip(kept[:-1], kept[1:], ways[:-1], ways[1:], strict=True):
        segment, line = _segment(a, b, go, come, bool(steady))
        result.append(segment)
        lines.append(line)
    return result, lines


def _distinct(points: Sequence[Point], tangents: Mapping[int, Point]) -> tuple[list[Point], dict[int, Point]]:
    kept: list[Point] = []
    asked: dict[int, Point] = {}
    for index, p in enumerate(points):
        if not kept or not distance(kept[-1], p) <= _SAME:
            kept.append((float(p[0]), float(p[1])))
        wanted = unit(tangents[index]) if index in tangents else (0.0, 0.0)
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


def _directions(points: list[Point], asked: Mapping[int, Point]) -> list[Point]:
    """Return a unit direction at each point: Hobby's, solved separately between directions that are asked for."""
    ways: list[Point] = [(0.0, 0.0)] * len(points)
    stops = sorted({0, len(points) - 1, *asked})
    for first, last in pairwise(stops):
        run = _solved(points[first : last + 1], asked.get(first), asked.get(last))
        ways[first : last + 1] = run
    return ways


def _solved(points: list[Point], go: Point | None, come: Point | None) -> list[Point]:
    """Return directions at the points of a run with its ends given or free (Hobby's equations, curl 1, tension 1)."""
    n = len(points) - 1
    chords = [direction(points[k], points[k + 1]) for k in range(n)]
    sizes = [distance(points[k], points[k + 1]) for k in range(n)]
    turns = [0.0] + [angle_between(chords[k - 1], chords[k]) for k in range(1, n)] + [0.0]
    low, main, high, right = [0.0] * (n + 1), [1.0] * (n + 1), [0.0] * (n + 1), [0.0] * (n + 1)
    if go is not None:
        right[0] = angle_between(chords[0], go)
    elif n == 1 and come is not None:
        # a free end takes the mirror of the given one: an arc
        right[0] = angle_between(come, chords[0])
    else:
        high[0], right[0] = 1.0, -turns[1]
    for k in range(1, n):
        low[k], high[k] = 1.0 / sizes[k - 1], 1.0 / sizes[k]
        main[k] = 2.0 * (low[k] + high[k])
        right[k] = -2.0 * turns[k] * low[k] - (turns[k + 1] * high[k] if k + 1 < n else 0.0)
    if come is not None:
        right[n] = angle_between(chords[-1], come)
    elif n == 1 and go is not None:
        right[n] = angle_between(go, chords[0])
    else:
        low[n] = 1.0
    theta = _tridiagonal(low, main, high, right)
    result = [_turn(chords[k], theta[k]) for k in range(n)] + [_turn(chords[-1], theta[n])]
    result[0] = go or result[0]
    result[n] = come or result[n]
    return result


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


def _turn(way: Point, angle: float) -> Point:
    if angle == 0.0:
        return way
    c, s = math.cos(angle), math.sin(angle)
    return c * way[0] - s * way[1], s * way[0] + c * way[1]


def _is_steady(points: list[Point], axis: int) -> bool:
    steps = [b[axis] - a[axis] for a, b in pairwise(points)]
    return all(step > _SAME for step in steps) or all(step < -_SAME for step in steps)


def _held(points: list[Point], index: int, way: Point, main: int) -> Point:
    """Return the direction, held so that a curve steady along the `main` axis is monotone to both sides."""
    sides = []
    if index > 0:
        sides.append((points[index][0] - points[index - 1][0], points[index][1] - points[index - 1][1]))
    if index + 1 < len(points):
        sides.append((points[index + 1][0] - points[index][0], points[index + 1][1] - points[index][1]))
    parts = [way[0], way[1]]
    for axis in (0, 1):
        steps = [side[axis] for side in sides]
        even = min(steps) > _SAME or max(steps) < -_SAME
        if not even or parts[axis] * steps[0] < 0.0:
            parts[axis] = 0.0
    steepest = _STEEPEST * min(abs(side[1 - main] / side[main]) for side in sides)
    most = steepest * abs(parts[main])
    parts[1 - main] = max(-most, min(most, parts[1 - main]))
    held = unit((parts[0], parts[1]))
    return held if held != (0.0, 0.0) else way


def _segment(a: Point, b: Point, go: Point, come: Point, steady: bool) -> tuple[list[Point], bool]:
    chord, size = direction(a, b), distance(a, b)
    theta, phi = angle_between(chord, go), angle_between(come, chord)
    if abs(theta) < 1e-12 and abs(phi) < 1e-12:
        return _thirds(a, b), True
    first, second = _reach(theta, phi) * size, _reach(phi, theta) * size
    if steady:
        first, second = _within(a, b, go, come, first, second)
    return [
        a,
        (a[0] + go[0] * first, a[1] + go[1] * first),
        (b[0] - come[0] * second, b[1] - come[1] * second),
        b,
    ], False


def _reach(theta: float, phi: float) -> float:
    """Return the handle's length over the chord's: Hobby's function of the two angles, a third where both are 0.

    Held to 1.5 chords, where angles near half a turn would let it grow without bound.
    """
    st, ct, sp, cp = math.sin(theta), math.cos(theta), math.sin(phi), math.cos(phi)
    top = 2.0 + math.sqrt(2.0) * (st - sp / 16.0) * (sp - st / 16.0) * (ct - cp)
    bottom = 3.0 * (1.0 + (math.sqrt(5.0) - 1.0) / 2.0 * ct + (3.0 - math.sqrt(5.0)) / 2.0 * cp)
    return min(max(top / bottom, 0.0), 1.5) if bottom > 1e-9 else 1.5


def _within(a: Point, b: Point, go: Point, come: Point, first: float, second: float) -> tuple[float, float]:
    """Return the handles, shortened until the control points run monotone from a to b where the directions allow."""
    share = 1.0
    for axis in (0, 1):
        step = b[axis] - a[axis]
        if go[axis] * step < 0.0 or come[axis] * step < 0.0:
            continue
        wanted = abs(go[axis]) * first + abs(come[axis]) * second
        if wanted > abs(step) > _SAME:
            share = min(share, abs(step) / wanted)
    return first * share, second * share
