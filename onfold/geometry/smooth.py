"""Smooth curves through points, as a cutter lays a curved rule: no wobble, and no swelling past the points.

Directions at the points follow J. D. Hobby, "Smooth, Easy to Compute Interpolating Splines", Discrete and
Computational Geometry 1 (1986): mock curvature is continuous, circles come out as near-circles, and the curve turns
with its points. Where the points run steadily along an axis (a hip curve, a side seam), the result is then held
monotone between them in both axes, in the manner of F. N. Fritsch and R. E. Carlson, "Monotone Piecewise Cubic
Interpolation", SIAM Journal on Numerical Analysis 17 (1980), so that the widest point is a given point.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from math import atan2, cos, hypot, inf, isfinite, sin, sqrt
from typing import NamedTuple

from onfold.geometry.point import Point, angle_between, distance, unit

_SAME = 1e-9
_ROOT_TWO = sqrt(2.0)
_OWN, _FAR = (sqrt(5.0) - 1.0) / 2.0, (3.0 - sqrt(5.0)) / 2.0
_STEEPEST = 2.0
"""A free direction's slope is held to this many times the lesser slope beside it; Fritsch and Carlson allow 3."""


class _Chord(NamedTuple):
    """The straight way from one point to the next: its start, its step, its size and its unit direction."""

    x: float
    y: float
    dx: float
    dy: float
    size: float
    wx: float
    wy: float


def controls(points: Sequence[Point], tangents: Mapping[int, Point]) -> tuple[list[float], list[bool]]:
    """Return one cubic between each two points, the eight coordinates of its control points in a row, and which are
    straight lines.

    `tangents` maps an index to the direction wanted there, of any length; one without direction is passed over.
    Joints have one tangent (G1). Two points without directions give a line. Points that are repeated count once.
    Raises ValueError where there is no point.
    """
    kept, asked = _distinct(points, tangents)
    if len(kept) == 1:
        kept = kept * 2
    elif isfinite(sum(x + y for x, y in kept)) or all(isfinite(x) and isfinite(y) for x, y in kept):
        return _curved(kept, asked)
    straight = [each for (x, y), (u, v) in pairwise(kept) for each in _thirds(x, y, u, v)]
    return straight, [True] * (len(kept) - 1)


def _curved(kept: list[Point], asked: Mapping[int, Point]) -> tuple[list[float], list[bool]]:
    chords = [_chord(x, y, u, v) for (x, y), (u, v) in pairwise(kept)]
    ways = _directions(chords, asked)
    steady = [axis for axis in (0, 1) if _is_steady([chord[2 + axis] for chord in chords])]
    if steady:
        main = max(steady, key=lambda axis: abs(kept[-1][axis] - kept[0][axis]))
        beside = zip((chords[0], *chords), (*chords, chords[-1]), ways, strict=True)
        ways = [asked.get(k) or _held(one, other, way, main) for k, (one, other, way) in enumerate(beside)]
    result: list[float] = []
    lines: list[bool] = []
    for chord, go, come, (u, v) in zip(chords, ways[:-1], ways[1:], kept[1:], strict=True):
        line = _segment(chord, go, come, u, v, bool(steady), result)
        lines.append(line)
    return result, lines


def _chord(x: float, y: float, u: float, v: float) -> _Chord:
    dx, dy = u - x, v - y
    size = hypot(dx, dy)
    if size < inf:
        return _Chord(x, y, dx, dy, size, dx / size, dy / size)
    return _Chord(x, y, dx, dy, size, 0.0, 0.0)


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


def _thirds(x: float, y: float, u: float, v: float) -> tuple[float, ...]:
    dx, dy = (u - x) / 3.0, (v - y) / 3.0
    return x, y, x + dx, y + dy, u - dx, v - dy, u, v


def _directions(chords: list[_Chord], asked: Mapping[int, Point]) -> list[Point]:
    """Return a unit direction at each point: Hobby's, solved separately between directions that are asked for."""
    ways: list[Point] = [(0.0, 0.0)] * (len(chords) + 1)
    stops = sorted({0, len(chords), *asked})
    for first, last in pairwise(stops):
        run = _solved(chords[first:last], asked.get(first), asked.get(last))
        ways[first : last + 1] = run
    return ways


def _solved(chords: list[_Chord], go: Point | None, come: Point | None) -> list[Point]:
    """Return directions at the points of a run with its ends given or free (Hobby's equations, curl 1, tension 1).

    The equations are tridiagonal and solved by elimination as they are set up: `c` is what the next angle weighs in
    each, `d` what stands alone; a row that vanishes is answered with 0.
    """
    n = len(chords)
    (*_, head_x, head_y), (*_, tail_x, tail_y) = chords[0], chords[-1]
    turns = [
        atan2(one.wx * other.wy - one.wy * other.wx, one.wx * other.wx + one.wy * other.wy)
        for one, other in pairwise(chords)
    ]
    turns.append(0.0)
    if go is not None:
        weight, alone = 0.0, angle_between((head_x, head_y), go)
    elif n == 1 and come is not None:
        # a free end takes the mirror of the given one: an arc
        weight, alone = 0.0, angle_between(come, (head_x, head_y))
    else:
        weight, alone = 1.0, -turns[0]
    c, d = [weight], [alone]
    for k in range(1, n):
        before, after = 1.0 / chords[k - 1].size, 1.0 / chords[k].size
        pivot = 2.0 * (before + after) - before * weight
        if abs(pivot) < 1e-12:
            weight = alone = 0.0
        else:
            right = -2.0 * turns[k - 1] * before - turns[k] * after
            weight, alone = after / pivot, (right - before * alone) / pivot
        c.append(weight)
        d.append(alone)
    if come is not None:
        angle = angle_between((tail_x, tail_y), come)
    elif n == 1 and go is not None:
        angle = angle_between(go, (head_x, head_y))
    else:
        angle = -alone / (1.0 - weight) if abs(1.0 - weight) >= 1e-12 else 0.0
    result = [come or _turned(tail_x, tail_y, angle)]
    for k in range(n - 1, -1, -1):
        angle = d[k] - c[k] * angle
        result.append(_turned(chords[k].wx, chords[k].wy, angle))
    result.reverse()
    result[0] = go or result[0]
    return result


def _turned(x: float, y: float, angle: float) -> Point:
    c, s = cos(angle), sin(angle)
    return c * x - s * y, s * x + c * y


def _is_steady(steps: list[float]) -> bool:
    return min(steps) > _SAME or max(steps) < -_SAME


def _held(one: _Chord, other: _Chord, way: Point, main: int) -> Point:
    """Return the direction, held so that a curve steady along the `main` axis is monotone to both sides."""
    (x, y), (_, _, a, b, _, _, _), (_, _, c, d, _, _, _) = way, one, other
    if not (x * a >= 0.0 and (a > _SAME < c or a < -_SAME > c)):
        x = 0.0
    if not (y * b >= 0.0 and (b > _SAME < d or b < -_SAME > d)):
        y = 0.0
    if main:
        slope, most = abs(a / b), abs(c / d)
        most = _STEEPEST * (slope if slope < most else most) * abs(y)
        x = most if x > most else -most if x < -most else x
    else:
        slope, most = abs(b / a), abs(d / c)
        most = _STEEPEST * (slope if slope < most else most) * abs(x)
        y = most if y > most else -most if y < -most else y
    size = hypot(x, y)
    return (x / size, y / size) if size > 0.0 else way


def _segment(chord: _Chord, go: Point, come: Point, u: float, v: float, steady: bool, result: list[float]) -> bool:
    """Add the cubic over a chord that ends at (u, v) to `result`; return whether it is a straight line."""
    (x, y, dx, dy, size, wx, wy), (gx, gy), (cx, cy) = chord, go, come
    # sine and cosine of the angles from the chord to the directions, all of them unit vectors
    st, ct, sp, cp = wx * gy - wy * gx, wx * gx + wy * gy, cx * wy - cy * wx, cx * wx + cy * wy
    if -1e-12 < st < 1e-12 and -1e-12 < sp < 1e-12 and ct >= 0.0 and cp >= 0.0:
        result += _thirds(x, y, u, v)
        return True
    first, second = _reaches(st, ct, sp, cp)
    first, second = first * size, second * size
    if steady:
        # shortened until the control points run monotone along the step, on each axis where directions allow it
        share = 1.0
        for whole, leave, arrive in ((dx, gx, cx), (dy, gy, cy)):
            if leave * whole >= 0.0 and arrive * whole >= 0.0:
                wanted, whole = abs(leave) * first + abs(arrive) * second, abs(whole)
                if wanted > whole > _SAME and whole / wanted < share:
                    share = whole / wanted
        first, second = first * share, second * share
    result += (x, y, x + gx * first, y + gy * first, u - cx * second, v - cy * second, u, v)
    return False


def _reaches(st: float, ct: float, sp: float, cp: float) -> tuple[float, float]:
    """Return both handles' lengths over the chord's: Hobby's function of two angles, a third where both are 0.

    The angles are given by their sines and cosines. Held to 1.5 chords, where angles near half a turn would let the
    handles grow without bound.
    """
    top = _ROOT_TWO * (st - sp / 16.0) * (sp - st / 16.0) * (ct - cp)
    first, second = 3.0 * (1.0 + _OWN * ct + _FAR * cp), 3.0 * (1.0 + _OWN * cp + _FAR * ct)
    one = (2.0 + top) / first if first > 1e-9 else 1.5
    other = (2.0 - top) / second if second > 1e-9 else 1.5
    return (
        one if 0.0 <= one <= 1.5 else 1.5 if one > 1.5 else 0.0,
        other if 0.0 <= other <= 1.5 else 1.5 if other > 1.5 else 0.0,
    )
