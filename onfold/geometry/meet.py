"""Where curves cross or touch, and the point of a curve nearest to another point; on batches as in `curve`.

Curves are cut into short chords, pairs of chords whose boxes overlap are sought in batch, and each find is refined by
Newton's method on the curves themselves. Lines meet lines by plain arithmetic.
"""

from __future__ import annotations

import math

import numpy as np

from onfold.geometry import curve, single
from onfold.geometry.curve import Bools, Floats, Ints
from onfold.geometry.point import Point

Find = tuple[int, float, int, float, Point]
"""Curve of a, its t, curve of b, its t, and the point."""

TOUCH = 1e-6
_CHORD_ERROR = 0.05
_CHORD_SHARE = 2e-5
"""Chords stray at most so many mm, or this share of the run's extent where that is more: their number stays bounded."""
_LARGEST = 1e12
"""Coordinates beyond this, mm, are no place on any cloth, and their squares lose every figure."""
_MOST_PAIRS = 20_000


def crossings(a: Floats, a_straight: Bools, b: Floats, b_straight: Bools) -> list[Find]:
    """Return the points two runs of curves share within `TOUCH` mm, in order along a, each once.

    Stretches that lie over one another are given by their two ends. Runs that hold NaN or infinity, or
    coordinates past `_LARGEST`, meet nowhere.
    """
    if len(a) == len(b) == 1 and a_straight[0] and b_straight[0]:
        return [(0, t, 0, u, spot) for t, u, spot in _line_finds(a[0].tolist(), b[0].tolist())]
    if not (np.abs(a).max() < _LARGEST and np.abs(b).max() < _LARGEST):
        return []
    found = None
    if len(b) == 1 and b_straight[0]:
        found = _by_line(b[0].tolist(), a)
    elif len(a) == 1 and a_straight[0]:
        swapped = _by_line(a[0].tolist(), b)
        found = None if swapped is None else [(j, u, i, t, spot) for i, t, j, u, spot in swapped]
    if found is None:
        first, second = _chorded(a, a_straight), _chorded(b, b_straight)
        starts = _starts(first, second, _overlapping(first, second))
        found = _refined(a, b, *starts) + _ends(a, b, first, second)
    return _tidied(a, b, b_straight, found)


def _by_line(p: list[list[float]], curves: Floats) -> list[Find] | None:
    """Return where curves meet one line: roots of their distance from it. None where one lies along it, or no line."""
    (ax, ay), (bx, by) = p[0], p[3]
    size = math.hypot(bx - ax, by - ay)
    if size <= TOUCH:
        return None
    dx, dy = (bx - ax) / size, (by - ay) / size
    found: list[Find] = []
    for number, controls in enumerate(curves.tolist()):
        off = [dx * (y - ay) - dy * (x - ax) for x, y in controls]
        if min(off) > TOUCH or max(off) < -TOUCH:
            continue
        if max(off) <= TOUCH and min(off) >= -TOUCH:
            return None
        for t in single.zeros(off[0], off[1], off[2], off[3], TOUCH):
            x, y = single.point(controls, t)
            u = (dx * (x - ax) + dy * (y - ay)) / size
            # past the line's end by no more than the touch allows
            held = min(max(u, 0.0), 1.0)
            if abs(u - held) * size <= TOUCH:
                found.append((number, t, 0, held, (x, y)))
    return found


def _line_finds(p: list[list[float]], q: list[list[float]]) -> list[tuple[float, float, Point]]:
    """Return (t, u, point) where two lines meet: none, one, or the two ends of what they share."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = p[0], p[3], q[0], q[3]
    rx, ry, sx, sy = bx - ax, by - ay, dx - cx, dy - cy
    first, second = math.hypot(rx, ry), math.hypot(sx, sy)
    sine = rx * sy - ry * sx
    if abs(sine) > 1e-12 * first * second and first > 0.0 and second > 0.0:
        t = ((cx - ax) * sy - (cy - ay) * sx) / sine
        u = ((cx - ax) * ry - (cy - ay) * rx) / sine
        x, y = ax + min(max(t, 0.0), 1.0) * rx, ay + min(max(t, 0.0), 1.0) * ry
        t, u = min(max(t, 0.0), 1.0), min(max(u, 0.0), 1.0)
        if math.hypot(cx + u * sx - x, cy + u * sy - y) <= TOUCH:
            return [(t, u, (x, y))]
    found = {}
    for t, (x, y) in ((0.0, p[0]), (1.0, p[3])):
        u = _share((cx, cy), (sx, sy), second, (x, y))
        if math.hypot(cx + u * sx - x, cy + u * sy - y) <= TOUCH:
            found[t] = (t, u, (x, y))
    for u, (x, y) in ((0.0, q[0]), (1.0, q[3])):
        t = _share((ax, ay), (rx, ry), first, (x, y))
        if math.hypot(ax + t * rx - x, ay + t * ry - y) <= TOUCH:
            found.setdefault(t, (t, u, (x, y)))
    ordered = [found[t] for t in sorted(found)]
    kept = [each for k, each in enumerate(ordered) if not k or (each[0] - ordered[k - 1][0]) * first > TOUCH]
    return kept if len(kept) < 3 else [kept[0], kept[-1]]


def _share(origin: Point, way: Point, size: float, point: Point) -> float:
    """Return where on a line of this way and size the point stands, 0 to 1."""
    if not 0.0 < size < math.inf:
        return 0.0
    along = (point[0] - origin[0]) * (way[0] / size) + (point[1] - origin[1]) * (way[1] / size)
    return min(max(along / size, 0.0), 1.0)


class _Chords:
    """Chords of a run of curves: their ends, the curve and t of each, and how far the curve may stray from them."""

    def __init__(self, points: Floats, owner: Ints, t: Floats, inside: Ints, stray: float) -> None:
        self.stray = stray
        self.a, self.b = points[inside], points[inside + 1]
        self.owner, self.begin, self.finish = owner[inside], t[inside], t[inside + 1]
        self.low, self.high = np.minimum(self.a, self.b), np.maximum(self.a, self.b)


def _chorded(curves: Floats, straight: Bools) -> _Chords:
    stray = _stray(curves)
    points, owner, t = curve.flatten(curves, straight, stray)
    return _Chords(points, owner, t, np.flatnonzero(owner[1:] == owner[:-1]), stray)


def _stray(curves: Floats) -> float:
    return max(_CHORD_ERROR, _CHORD_SHARE * float(curves.max() - curves.min()))


def _overlapping(a: _Chords, b: _Chords) -> tuple[Ints, Ints]:
    """Return the pairs of chords whose boxes, widened by what the curves may stray, overlap."""
    slack = a.stray + b.stray + TOUCH
    apart = (a.low[:, None, 0] > b.high[None, :, 0] + slack) | (b.low[None, :, 0] > a.high[:, None, 0] + slack)
    apart |= (a.low[:, None, 1] > b.high[None, :, 1] + slack) | (b.low[None, :, 1] > a.high[:, None, 1] + slack)
    i, j = np.nonzero(~apart)
    if len(i) > 8:
        near = _near(a.a[i], a.b[i], b.a[j], b.b[j], slack)
        i, j = i[near], j[near]
    return i[:_MOST_PAIRS], j[:_MOST_PAIRS]


def _near(p: Floats, q: Floats, r: Floats, s: Floats, slack: float) -> Bools:
    """Return which pairs of chords are not held apart by the line through either."""

    def apart(p: Floats, q: Floats, r: Floats, s: Floats) -> Bools:
        way = q - p
        size = np.hypot(way[:, 0], way[:, 1])
        first = way[:, 0] * (r[:, 1] - p[:, 1]) - way[:, 1] * (r[:, 0] - p[:, 0])
        second = way[:, 0] * (s[:, 1] - p[:, 1]) - way[:, 1] * (s[:, 0] - p[:, 0])
        return np.asarray((np.minimum(first, second) > slack * size) | (np.maximum(first, second) < -slack * size))

    return np.asarray(~(apart(p, q, r, s) | apart(r, s, p, q)))


def _starts(a: _Chords, b: _Chords, pairs: tuple[Ints, Ints]) -> tuple[Ints, Floats, Ints, Floats]:
    """Return guesses to refine: where the chords of each pair cross, and both ends of each pair."""
    i, j = pairs
    r, s, w = a.b[i] - a.a[i], b.b[j] - b.a[j], b.a[j] - a.a[i]
    sine = r[:, 0] * s[:, 1] - r[:, 1] * s[:, 0]
    safe = np.where(np.abs(sine) > 1e-12, sine, 1.0)
    x = np.where(sine == safe, (w[:, 0] * s[:, 1] - w[:, 1] * s[:, 0]) / safe, 0.5)
    y = np.where(sine == safe, (w[:, 0] * r[:, 1] - w[:, 1] * r[:, 0]) / safe, 0.5)
    zero, one = np.zeros(len(i)), np.ones(len(i))
    x, y = np.clip(np.concatenate([x, zero, one]), 0, 1), np.clip(np.concatenate([y, zero, one]), 0, 1)
    i, j = np.tile(i, 3), np.tile(j, 3)
    return (
        a.owner[i],
        a.begin[i] + x * (a.finish[i] - a.begin[i]),
        b.owner[j],
        b.begin[j] + y * (b.finish[j] - b.begin[j]),
    )


def _ends(a: Floats, b: Floats, first: _Chords, second: _Chords) -> list[Find]:
    """Return the joints and ends of either run that lie on the other: found apart, as Newton may miss them."""
    found: list[Find] = []
    for one, other, chords, swap in ((a, b, second, False), (b, a, first, True)):
        spots = np.concatenate([one[:, 0], one[-1:, 3]])
        for k in np.flatnonzero(_reached(spots, chords)).tolist():
            number, t = (k, 0.0) if k < len(one) else (k - 1, 1.0)
            x, y = spots[k].tolist()
            hit, u, _, off = nearest(other, np.zeros(len(other), dtype=bool), (x, y))
            if off <= TOUCH:
                found.append((hit, u, number, t, (x, y)) if swap else (number, t, hit, u, (x, y)))
    return found


def _reached(spots: Floats, chords: _Chords) -> Bools:
    """Return which spots lie so near a chord that its curve may pass through them."""
    way, from_start = chords.b - chords.a, spots[:, None] - chords.a[None]
    size = (way * way).sum(1)
    share = np.clip((from_start * way).sum(2) / np.where(size > 0.0, size, 1.0), 0.0, 1.0)
    off = from_start - share[..., None] * way
    return np.asarray(((off * off).sum(2) <= (1.1 * chords.stray + TOUCH) ** 2).any(axis=1))


def _refined(a: Floats, b: Floats, i: Ints, t: Floats, j: Ints, u: Floats) -> list[Find]:
    """Return the guesses that Newton leads to a common point: where curves cross, and where they touch."""
    if not len(i):
        return []
    p, q = a[i], b[j]
    t, u = _crossed(p, q, t, u)
    touching = np.flatnonzero(np.abs(_sine(p, q, t, u)) < 0.02)
    if len(touching):
        v, w = _touched(p[touching], q[touching], t[touching], u[touching])
        before, after = (
            _apart(p[touching], q[touching], t[touching], u[touching]),
            _apart(p[touching], q[touching], v, w),
        )
        # where Newton for a crossing only came near a touch, the touch itself
        better = (after <= np.maximum(before, TOUCH)) & (np.abs(v - t[touching]) < 0.05)
        t[touching], u[touching] = np.where(better, v, t[touching]), np.where(better, w, u[touching])
    good = np.flatnonzero(_apart(p, q, t, u) <= TOUCH)
    at = curve.evaluate(p[good], t[good]).tolist()
    columns = (i[good].tolist(), t[good].tolist(), j[good].tolist(), u[good].tolist(), at)
    return [(m, v, n, w, (x, y)) for m, v, n, w, (x, y) in zip(*columns, strict=True)]


def _apart(p: Floats, q: Floats, t: Floats, u: Floats) -> Floats:
    return np.asarray(np.abs(curve.evaluate(p, t) - curve.evaluate(q, u)).max(axis=1))


def _sine(p: Floats, q: Floats, t: Floats, u: Floats) -> Floats:
    d, e = curve.tangents(p, t), curve.tangents(q, u)
    return np.asarray(d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0])


def _crossed(p: Floats, q: Floats, t: Floats, u: Floats) -> tuple[Floats, Floats]:
    """Return t and u after Newton on p(t) = q(u), held within 0…1."""
    count, both = len(p), np.concatenate([p, q])
    for _ in range(10):
        now = np.concatenate([t, u])
        at, way = curve.evaluate(both, now), curve.derivative(both, now)
        gap, d, e = at[:count] - at[count:], way[:count], way[count:]
        dd, ee, de = (d * d).sum(1), (e * e).sum(1), (d * e).sum(1)
        dg, eg = (d * gap).sum(1), (e * gap).sum(1)
        # a trace of damping keeps the step finite where the tangents are parallel
        damp = 1e-12 * (dd + ee) + 1e-300
        det = (dd + damp) * (ee + damp) - de * de
        dt, du = -((ee + damp) * dg - de * eg) / det, -(de * dg - (dd + damp) * eg) / det
        new_t, new_u = np.clip(t + np.clip(dt, -0.25, 0.25), 0, 1), np.clip(u + np.clip(du, -0.25, 0.25), 0, 1)
        moved = max(float(np.abs(new_t - t).max()), float(np.abs(new_u - u).max()))
        t, u = new_t, new_u
        if moved < 1e-12:
            break
    return t, u


def _touched(p: Floats, q: Floats, t: Floats, u: Floats) -> tuple[Floats, Floats]:
    """Return t and u after Newton on the conditions of a touch: tangents parallel, and the gap square to them."""
    for _ in range(12):
        gap = curve.evaluate(p, t) - curve.evaluate(q, u)
        d, e = curve.derivative(p, t), curve.derivative(q, u)
        dd, ee = curve.second_derivative(p, t), curve.second_derivative(q, u)
        f, g = d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0], (gap * d).sum(1)
        ft, fu = dd[:, 0] * e[:, 1] - dd[:, 1] * e[:, 0], d[:, 0] * ee[:, 1] - d[:, 1] * ee[:, 0]
        gt, gu = (d * d).sum(1) + (gap * dd).sum(1), -(d * e).sum(1)
        det = ft * gu - fu * gt
        safe = np.where(np.abs(det) > 1e-12 * (np.abs(ft * gu) + np.abs(fu * gt)) + 1e-300, det, np.inf)
        t = np.clip(t - np.clip((f * gu - fu * g) / safe, -0.1, 0.1), 0, 1)
        u = np.clip(u - np.clip((ft * g - f * gt) / safe, -0.1, 0.1), 0, 1)
    return t, u


def _tidied(a: Floats, b: Floats, b_straight: Bools, finds: list[Find]) -> list[Find]:
    """Return the finds in order along a, doubles dropped, a run of finds that lies on both curves kept by its ends."""
    # a find at an end of either curve is exact, so it stands before one that Newton led near it
    ranked = sorted(finds, key=lambda each: (each[1] not in (0.0, 1.0)) + (each[3] not in (0.0, 1.0)))
    kept: list[Find] = []
    for find in ranked:
        if not any(_same(other, find) for other in kept):
            kept.append(find)
    kept.sort(key=lambda each: (each[0] + each[1], each[2] + each[3]))
    if len(kept) < 3:
        return kept
    along = [_runs_along(a, b, find) for find in kept]
    shared = [
        along[k] and along[k + 1] and _is_shared(a, b, b_straight, kept[k], kept[k + 1]) for k in range(len(kept) - 1)
    ]
    inside = [0 < k < len(kept) - 1 and shared[k - 1] and shared[k] for k in range(len(kept))]
    return [find for find, drop in zip(kept, inside, strict=True) if not drop]


def _runs_along(a: Floats, b: Floats, find: Find) -> bool:
    """Return whether the tangents are parallel at a find, or a joint leaves that open."""
    if find[1] in (0.0, 1.0) or find[3] in (0.0, 1.0):
        return True
    i, t, j, u, _ = find
    sine = _sine(a[i : i + 1], b[j : j + 1], np.array([t]), np.array([u]))
    return bool(abs(sine[0]) < 1e-3)


def _same(a: Find, b: Find) -> bool:
    return math.hypot(a[4][0] - b[4][0], a[4][1] - b[4][1]) <= 100.0 * TOUCH and abs(a[2] + a[3] - b[2] - b[3]) < 0.01


def _is_shared(a: Floats, b: Floats, lines: Bools, first: Find, second: Find) -> bool:
    """Return whether a runs along b between two finds, judged at two places between them."""
    begin, finish = first[0] + first[1], second[0] + second[1]
    for share in (0.37, 0.71):
        spot = begin + (finish - begin) * share
        number = min(int(spot), len(a) - 1)
        (x, y) = curve.evaluate(a[number : number + 1], np.array([spot - number]))[0].tolist()
        if nearest(b, lines, (x, y))[3] > TOUCH:
            return False
    return True


def nearest(curves: Floats, straight: Bools, point: Point) -> tuple[int, float, Point, float]:
    """Return curve, t, the point and the distance where the run comes nearest to `point`; the first of several.

    Every stretch whose chord might hold the nearest point is refined, so none is missed. Newton with halving. A joint
    that is the point itself is found at once, and so is the nearest point of straight lines.
    """
    joints, spot = curves[:, 0].tolist(), [point[0], point[1]]
    if spot in joints:
        return joints.index(spot), 0.0, point, 0.0
    if straight.all():
        return _nearest_on_lines(curves, point)
    stray = _stray(curves)
    if not stray < math.inf:
        stray = _CHORD_ERROR
    points, owner, t = curve.flatten(curves, straight, stray)
    inside = np.flatnonzero(owner[1:] == owner[:-1])
    a, way = points[inside], points[inside + 1] - points[inside]
    wanted = np.array(point)
    size = (way * way).sum(1)
    share = np.clip(((wanted - a) * way).sum(1) / np.where(size > 0.0, size, 1.0), 0.0, 1.0)
    off = np.hypot(*(a + share[:, None] * way - wanted).T)
    least = off.min()
    if not math.isfinite(least):
        return 0, 0.0, (float(curves[0, 0, 0]), float(curves[0, 0, 1])), math.nan
    chosen = inside[off <= least + 2.0 * stray]
    spots = _nearest_within(curves[owner[chosen]], t[chosen], t[chosen + 1], wanted)
    at = curve.evaluate(curves[owner[chosen]], spots)
    off = np.hypot(*(at - wanted).T)
    best = int(np.argmax(off <= np.nanmin(off) + 1e-12)) if np.isfinite(off).any() else 0
    x, y = at[best].tolist()
    return int(owner[chosen[best]]), float(spots[best]), (x, y), float(off[best])


def _nearest_on_lines(curves: Floats, point: Point) -> tuple[int, float, Point, float]:
    a, way = curves[:, 0], curves[:, 3] - curves[:, 0]
    size = (way * way).sum(1)
    share = np.clip(((np.array(point) - a) * way).sum(1) / np.where(size > 0.0, size, 1.0), 0.0, 1.0)
    spots = np.where(share[:, None] < 1.0, a + share[:, None] * way, curves[:, 3])
    off = np.hypot(spots[:, 0] - point[0], spots[:, 1] - point[1])
    if not np.isfinite(off).any():
        return 0, 0.0, (float(a[0, 0]), float(a[0, 1])), math.nan
    best = int(np.argmax(off <= np.nanmin(off) + 1e-12))
    x, y = spots[best].tolist()
    return best, float(share[best]), (x, y), float(off[best])


def _nearest_within(curves: Floats, begin: Floats, finish: Floats, point: Floats) -> Floats:
    """Return t in [begin, finish] (m,) where each curve is nearest to the point: Newton, held between bounds."""
    low, high, t = begin, finish, (begin + finish) / 2.0
    for _ in range(40):
        gap, d, dd = curve.evaluate(curves, t) - point, curve.derivative(curves, t), curve.second_derivative(curves, t)
        slope, bend = (gap * d).sum(1), (d * d).sum(1) + (gap * dd).sum(1)
        low, high = np.where(slope < 0.0, t, low), np.where(slope > 0.0, t, high)
        safe = bend > 0.0
        step = np.where(safe, np.clip(t - slope / np.where(safe, bend, 1.0), low, high), (low + high) / 2.0)
        moved = float(np.abs(step - t).max())
        t = step
        if moved < 1e-13:
            break
    ends = np.stack([begin, t, finish], axis=1)
    off = np.hypot(*np.moveaxis(curve.evaluate(curves, ends) - point, 2, 0))
    return np.asarray(ends[np.arange(len(t)), off.argmin(axis=1)])
