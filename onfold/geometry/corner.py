"""How a cut line goes round a corner of the seam line: mitred, square, mirrored for folding back, or ended on a fold.

A corner stands where one stretch of the seam line arrives and the next sets out. Each has its offset polyline, its
tangent at the corner and its width. The outline runs anticlockwise, so outward is to the right. A join says how many
points of either polyline fall away and which points stand between them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Literal, NamedTuple

import numpy as np

from onfold.geometry.curve import Floats
from onfold.geometry.point import Point, between, cross, dot, moved_point, unit

Treatment = Literal["square", "mitred", "mirrored"]
_NONE = 1e-9
SMOOTH = 1e-4
"""Corners that turn less than this (radians) are none: the tangents of curves that were made to join."""
_BLUNT = 0.5
"""Corners that turn less than this (about 30 degrees) are mitred even where square is asked: its ears would be long."""
_NEAR = 8
"""Points of either polyline looked at first: most corners are settled within them."""
_FLATTEST = 0.05
"""Sine of the least angle at which a neighbour can be reflected in a hem's line."""


class Side(NamedTuple):
    """One side of a corner, seen from the corner: `offset` (m, 2) starts at it and leads away.

    `away` is the unit direction of the seam line leading away, `out` the unit normal outward.
    """

    offset: Floats
    away: Point
    out: Point
    width: float
    treatment: Treatment
    fold: bool


class Join(NamedTuple):
    """`points` between the two polylines, after dropping so many points next to the corner from each.

    `sound` is False where the two could not be brought together: then the whole outline must be cleaned as a region,
    where `inside` joins run through the corner itself.
    """

    points: tuple[Point, ...]
    drop_first: int = 0
    drop_second: int = 0
    sound: bool = True
    inside: bool = False


_Treating = Callable[[Point, Side, Side, float, float], Join]


def turned_join(join: Join) -> Join:
    """Return the join as seen when the outline is run the other way."""
    return Join(join.points[::-1], join.drop_second, join.drop_first, join.sound, join.inside)


def runs_on(arriving: Point, leaving: Point) -> bool:
    """Return whether a seam line that arrives and leaves in these unit directions has no corner there."""
    return abs(cross(arriving, leaving)) < SMOOTH and dot(arriving, leaving) > 0.0


def join_corner(v: Point, first: Side, second: Side, mitre_limit: float) -> Join:
    """Return how the cut line goes round the corner `v`, from the side that arrives to the side that sets out.

    A fold rules before all; two mirrored sides are mitred; one that is mirrored rules before square, square before
    mitred. Inside corners are always cut where the two offsets meet.
    """
    if first.fold or second.fold:
        return _at_fold(v, first, second) if first.fold else turned_join(_at_fold(v, second, first))
    a, b = _head(first), _head(second)
    arriving = (-first.away[0], -first.away[1])
    turn = math.atan2(cross(arriving, second.away), dot(arriving, second.away))
    if runs_on(arriving, second.away):
        # two widths part in a step square to the seam line
        return Join(())
    # half a turn is a spike that points outward, whichever sign rounding gave it
    if -math.pi + 1e-9 < turn < 0.0:
        met = crossed(first.offset, second.offset)
        return Join(met.points, met.drop_first, met.drop_second, met.sound, inside=True)
    treatments: tuple[tuple[Treatment, _Treating], ...] = (("mirrored", _mirrored), ("square", _square))
    for kind, treat in treatments:
        join = _treated(kind, treat, v, first, second, abs(turn), mitre_limit)
        if join is not None and join.sound:
            return join
    return _mitred(v, a, b, first, second, abs(turn), mitre_limit)


def _treated(
    kind: Treatment, treat: _Treating, v: Point, first: Side, second: Side, turn: float, limit: float
) -> Join | None:
    """Return the join by a treatment that one side alone, or for square ends both, asks for; None where none does."""
    asked = (first.treatment == kind, second.treatment == kind)
    if asked == (True, True):
        return _both_square(v, first, second, turn, limit) if kind == "square" and turn > _BLUNT else None
    if not any(asked):
        return None
    return treat(v, first, second, turn, limit) if asked[0] else turned_join(treat(v, second, first, turn, limit))


def _spare(side: Side) -> int:
    """Return how many points fall away where a side is produced beyond its end: a line's end, which stands in its way.

    A curve's own end stays: a chord from the produced point to the next sample would cut into the curve. So does that
    of a side without allowance: it is the seam line's own corner, which the cut line then passes to the bit.
    """
    return 1 if len(side.offset) < 3 and side.width > 0.0 else 0


def _head(side: Side) -> Point:
    x, y = side.offset[0].tolist()
    return x, y


def crossed(first: Floats, second: Floats) -> Join:
    """Return where two polylines that lead away from a corner cross, nearest the corner; not sound where they don't."""
    near = _crossed_near(first[:_NEAR].tolist(), second[:_NEAR].tolist())
    if near is not None:
        return near
    if len(first) < 3 and len(second) < 3:
        return Join((), sound=False)
    return _first_crossing(first, second)


def _crossed_near(first: Sequence[Sequence[float]], second: Sequence[Sequence[float]]) -> Join | None:
    """Return where the first `_NEAR` points of two polylines cross, if that is surely nearest the corner."""
    one, other = min(len(first), _NEAR) - 1, min(len(second), _NEAR) - 1
    # by steps along both together: what crosses beyond these points takes more of them
    for steps in range(min(_NEAR - 1, one + other - 1)):
        for i in range(max(0, steps - other + 1), min(steps, one - 1) + 1):
            j = steps - i
            spot = _segments_cross(first[i], first[i + 1], second[j], second[j + 1])
            if spot is not None:
                return Join((spot,), i + 1, j + 1)
    return None


def _first_crossing(first: Floats, second: Floats) -> Join:
    """Return where two polylines cross, fewest steps along both together; not sound where they don't."""
    r, s, w = first[1:] - first[:-1], second[1:] - second[:-1], second[None, :-1] - first[:-1, None]
    sine = r[:, None, 0] * s[None, :, 1] - r[:, None, 1] * s[None, :, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        t = (w[..., 0] * s[None, :, 1] - w[..., 1] * s[None, :, 0]) / sine
        u = (w[..., 0] * r[:, None, 1] - w[..., 1] * r[:, None, 0]) / sine
    i, j = np.nonzero((t >= 0.0) & (t <= 1.0) & (u >= 0.0) & (u <= 1.0))
    if not len(i):
        return Join((), sound=False)
    best = int(np.argmin(i + j))
    x, y = (first[i[best]] + t[i[best], j[best]] * r[i[best]]).tolist()
    return Join(((x, y),), int(i[best]) + 1, int(j[best]) + 1)


def _segments_cross(a: Sequence[float], b: Sequence[float], c: Sequence[float], d: Sequence[float]) -> Point | None:
    rx, ry, sx, sy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    sine = rx * sy - ry * sx
    if abs(sine) < 1e-300:
        return None
    t = ((c[0] - a[0]) * sy - (c[1] - a[1]) * sx) / sine
    u = ((c[0] - a[0]) * ry - (c[1] - a[1]) * rx) / sine
    return (a[0] + t * rx, a[1] + t * ry) if 0.0 <= t <= 1.0 and 0.0 <= u <= 1.0 else None


def _at_fold(v: Point, fold: Side, other: Side) -> Join:
    """Return the join from a fold to its neighbour, whose allowance ends on the fold line produced, square to it.

    Where the neighbour leaves the fold at more than a right angle its offset is trimmed where it meets the fold line.
    """
    if other.width <= 0.0 or other.fold:
        return Join((v,), 1, 1)
    ahead, inward = (-fold.away[0], -fold.away[1]), (-fold.out[0], -fold.out[1])
    lean = dot(other.out, inward)
    end = moved_point(v, ahead, other.width)
    if abs(lean) * other.width < _NONE:
        return Join((end,), 1, 1)
    if lean > 0.0:
        rise = dot(other.away, ahead)
        back = other.width * (1.0 - dot(other.out, ahead)) / rise if rise < -1e-9 else 0.0
        return Join((end, moved_point(_head(other), other.away, back)), 1, 0)
    depth = (other.offset - v) @ np.array(inward)
    inside = np.flatnonzero(depth >= 0.0)
    if not len(inside):
        return Join((), sound=False, inside=True)
    k = int(inside[0])
    share = depth[k - 1] / (depth[k - 1] - depth[k])
    x, y = (other.offset[k - 1] + share * (other.offset[k] - other.offset[k - 1])).tolist()
    # placed along the fold line itself, so that it lies on it to the bit
    return Join((moved_point(v, ahead, dot((x - v[0], y - v[1]), ahead)),), 1, k, inside=True)


def _mitred(v: Point, a: Point, b: Point, first: Side, second: Side, turn: float, limit: float) -> Join:
    """Return the join of two offset lines that run on till they meet, cut square at `limit` times the greater width.

    At equal widths s and an inner angle alpha the point stands s / sin(alpha / 2) from the corner.
    """
    sine, cosine = math.sin(turn), math.cos(turn)
    wide, narrow = first.width, second.width
    most = limit * max(wide, narrow)
    if most <= 0.0:
        return Join((v,), 1, 1)
    if sine > 1e-9:
        on, back = (narrow - wide * cosine) / sine, (wide - narrow * cosine) / sine
        if on < 0.0:
            # the narrow line would run far into the wide allowance, which ends square to its own edge instead
            return Join((moved_point(v, first.out, narrow / cosine),))
        if back < 0.0:
            return Join((moved_point(v, second.out, wide / cosine),))
        if math.hypot(on, wide) <= most:
            return Join((moved_point(a, first.away, -on),), _spare(first), _spare(second))
    middle = (-first.away[0] - second.away[0], -first.away[1] - second.away[1])
    size = math.hypot(*middle)
    # the bisector outward; of a spike, straight on
    ahead = (middle[0] / size, middle[1] / size) if size > 1e-6 else (-first.away[0], -first.away[1])
    points = (_cut_square(v, a, first, ahead, most), _cut_square(v, b, second, ahead, most))
    return Join(points, _spare(first), _spare(second))


def _cut_square(v: Point, head: Point, side: Side, ahead: Point, most: float) -> Point:
    """Return where the offset line, produced, is cut by the square line `most` mm ahead of the corner."""
    speed = -dot(side.away, ahead)
    reach = most - dot((head[0] - v[0], head[1] - v[1]), ahead)
    return moved_point(head, side.away, -max(reach / speed, 0.0)) if speed > 1e-9 else head


def _square(v: Point, own: Side, other: Side, turn: float, limit: float) -> Join:
    """Return the join of an allowance that ends square to its own edge with a neighbour that is not so treated.

    The neighbour's offset meets the edge produced at width / sin(turn) from the corner: there the allowance ends.
    """
    if turn < _BLUNT or own.width <= 0.0 or other.width <= 0.0:
        return Join((), sound=False)
    sine, cosine = math.sin(turn), math.cos(turn)
    reach = min(other.width / max(sine, 1e-9), limit * max(own.width, other.width))
    foot = moved_point(v, own.away, -reach)
    level = (other.width - reach * sine) / cosine if abs(cosine) > 1e-9 else 0.0
    outer, inner = moved_point(foot, own.out, own.width), moved_point(foot, own.out, min(level, own.width))
    landed = _landed(outer, inner, other)
    return Join((outer, *landed.points), _spare(own), landed.drop_second, landed.sound)


def _landed(outer: Point, inner: Point, other: Side) -> Join:
    """Return how a line from `outer` comes in on the other side's offset line: at `inner`, or where it curves, near."""
    head = _head(other)
    if dot((inner[0] - head[0], inner[1] - head[1]), other.away) <= 0.0:
        return Join((inner,))
    past = (outer[0] + 1.5 * (inner[0] - outer[0]), outer[1] + 1.5 * (inner[1] - outer[1]))
    return crossed(np.array([outer, past]), other.offset)


def _both_square(v: Point, first: Side, second: Side, turn: float, limit: float) -> Join:
    """Return the join of two allowances that both end square: the two rectangles laid together."""
    if first.width <= 0.0 or second.width <= 0.0:
        return Join((), sound=False)
    sine, most = math.sin(turn), limit * max(first.width, second.width)
    e, f = min(second.width / max(sine, 1e-9), most), min(first.width / max(sine, 1e-9), most)
    foot_a, foot_b = moved_point(v, first.away, -e), moved_point(v, second.away, -f)
    outer_a, outer_b = moved_point(foot_a, first.out, first.width), moved_point(foot_b, second.out, second.width)
    if math.cos(turn) > 1e-9:
        on_a, on_b = _landed(outer_b, foot_b, first), _landed(outer_a, foot_a, second)
        points = (*on_a.points, outer_b, outer_a, *on_b.points)
        return Join(points, on_a.drop_second, on_b.drop_second, on_a.sound and on_b.sound)
    depth = (f + e * math.cos(turn)) / max(sine, 1e-9)
    inside = (moved_point(foot_a, first.out, depth),) if 0.0 < depth < first.width else ()
    return Join((outer_a, *inside, outer_b), _spare(first), _spare(second))


def _mirrored(v: Point, hem: Side, other: Side, turn: float, limit: float) -> Join:
    """Return the join of an allowance whose side is the neighbour's cut line reflected in the hem's line.

    The hem's line is its tangent at the corner. Not sound where the neighbour doesn't lead inward from it.
    """
    inward = -dot(other.away, hem.out)
    if hem.width <= 0.0 or inward < _FLATTEST:
        return Join((), sound=False)
    (x, y), (ox, oy) = v, hem.out
    total, points = len(other.offset), other.offset[: 2 * _NEAR].tolist()
    k, depth, before = 0, dot((points[0][0] - x, points[0][1] - y), hem.out), 0.0
    while depth > 0.0:
        k += 1
        if k == total:
            return Join((), sound=False)
        if k == len(points):
            points = other.offset.tolist()
        before, depth = depth, dot((points[k][0] - x, points[k][1] - y), hem.out)
    if k:
        foot = between(points[k - 1], points[k], before / (before - depth))
    else:
        foot = moved_point(points[0], other.away, depth / inward)
    reach = limit * max(hem.width, other.width) + 2.0 * hem.width / inward
    begin = moved_point(_head(hem), hem.away, -reach)
    near = [begin, *hem.offset[:_NEAR].tolist()]
    met, mirror = None, []
    # most often the neighbour's first points are all that is needed
    for many in (_NEAR, total):
        if len(points) < min(k + many, total):
            points = other.offset.tolist()
        mirror = [_reflected(each, v, ox, oy) for each in (foot, *points[k : k + many])]
        if k + many >= total:
            # produced below the hem's cut line, which lies elsewhere than one width down where the hem curves
            way = unit((mirror[-1][0] - mirror[-2][0], mirror[-1][1] - mirror[-2][1])) if len(mirror) > 1 else hem.out
            mirror.append(moved_point(mirror[-1], way, 3.0 * hem.width))
        met = _crossed_near(mirror, near)
        if met is not None:
            break
    if met is None:
        met = _first_crossing(np.array(mirror), np.concatenate([[begin], hem.offset]))
    if not met.sound or math.dist(met.points[0], v) > reach + hem.width:
        return Join((), sound=False)
    return Join((*met.points, *mirror[: met.drop_first][::-1]), met.drop_second - 1, k)


def _reflected(spot: Sequence[float], v: Point, ox: float, oy: float) -> Point:
    """Return the spot's reflection in the line through v whose unit normal is (ox, oy)."""
    twice = 2.0 * ((spot[0] - v[0]) * ox + (spot[1] - v[1]) * oy)
    return spot[0] - twice * ox, spot[1] - twice * oy
