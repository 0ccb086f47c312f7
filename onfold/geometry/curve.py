"""Cubic Béziers in batches: evaluate, split, measure by the tape and find lengths, all curves of a piece at once.

A batch is `(n, 4, 2) float64` in mm; a line is the cubic with its control points at the thirds. A `straight` mask
`(n,) bool` says which ones are true lines, so that those are measured exactly. Curves that hold NaN or infinity give
NaN, never an exception.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]
Bounds = tuple[float, float, float, float]
"""Least x, least y, most x, most y, mm."""

MOST_SEGMENTS = 4096
_DEEPEST = 32
_CLOSE = 1e-8
MOST_ROUGH = 256
"""No curve of cloth size has so many rough stretches at once; numbers that have lost their figures might."""


def _gauss(order: int) -> tuple[Floats, Floats]:
    nodes, weights = np.polynomial.legendre.leggauss(order)
    return (nodes + 1.0) / 2.0, weights / 2.0


def _slopes(t: Floats) -> Floats:
    """Return the matrix (k, 4) that takes four control points to the derivative at each t."""
    u = 1.0 - t
    return np.stack([-3 * u * u, 3 * u * u - 6 * u * t, 6 * u * t - 3 * t * t, 3 * t * t], axis=1)


NODES, WEIGHTS = _gauss(16)
_FINE_NODES, _FINE_WEIGHTS = _gauss(24)
_BOTH = _slopes(np.concatenate([NODES, _FINE_NODES]))
_JUDGE = np.zeros((40, 2))
_JUDGE[16:, 0] = _FINE_WEIGHTS
_JUDGE[:16, 1] = -WEIGHTS
_JUDGE[16:, 1] = _FINE_WEIGHTS


@dataclass(frozen=True, eq=False)
class Leaves:
    """Stretches of curves short enough that 16 Gauss nodes measure any part of them.

    Sorted by curve: leaf k covers t from `begin[k]` to `finish[k]` of curve `owner[k]` and is `length[k]` mm long.
    """

    owner: Ints
    begin: Floats
    finish: Floats
    length: Floats


def evaluate(curves: Floats, t: Floats, owner: Ints | None = None) -> Floats:
    """Return the points at t: (n, 2) for t (n,), (n, m, 2) for t (n, m).

    With `owner` (m,), the curves' numbers, t is (m,) and so are the points.
    """
    u = 1.0 - t
    return _weigh(_lanes(curves), (u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t), owner)


def derivative(curves: Floats, t: Floats, owner: Ints | None = None) -> Floats:
    """Return d/dt at t, shaped as in `evaluate`, mm."""
    u, lanes = 1.0 - t, _lanes(curves)
    return _weigh(3.0 * (lanes[1:] - lanes[:-1]), (u * u, 2.0 * u * t, t * t), owner)


def second_derivative(curves: Floats, t: Floats) -> Floats:
    """Return the second derivative at t, shaped as in `evaluate`, mm."""
    lanes = _lanes(curves)
    return _weigh(6.0 * (lanes[2:] - 2.0 * lanes[1:-1] + lanes[:-2]), (1.0 - t, t))


def _lanes(curves: Floats) -> Floats:
    """Return the curves control by control and axis by axis, (4, 2, n): the long axis innermost, where it is quick."""
    return np.ascontiguousarray(curves.transpose(1, 2, 0))


def _weigh(lanes: Floats, weights: tuple[Floats, ...], owner: Ints | None = None) -> Floats:
    if weights[0].ndim == 2:
        lanes = lanes[..., None]
    # lane by lane, so that no array of all samples' controls is made
    first, *rest = (lane if owner is None else lane.take(owner, axis=1) for lane in lanes)
    total = weights[0] * first
    for weight, lane in zip(weights[1:], rest, strict=True):
        total += weight * lane
    return np.ascontiguousarray(total.T if total.ndim == 2 else total.transpose(1, 2, 0))


def tangents(curves: Floats, t: Floats, owner: Ints | None = None) -> Floats:
    """Return unit tangents at t, shaped as in `evaluate`.

    Where the curve stands still, the way it goes on (back, at its end); else (0, 0).
    """
    slope = derivative(curves, t, owner)
    size = np.hypot(slope[..., 0], slope[..., 1])
    if size.size and size.min() > 1e-9 * (curves.max() - curves.min()):
        return np.asarray(slope / size[..., None])
    own = curves if owner is None else curves.take(owner, axis=0)
    reach = np.abs(own - own[:, :1]).max(axis=(1, 2))
    still = size <= 1e-9 * (reach if t.ndim == 1 else reach[:, None])
    if still.any():
        step = 1e-4
        ahead, back = np.minimum(t + step, 1.0), np.maximum(t - step, 0.0)
        # at a cusp inside the curve there are two directions; the one it leaves in is taken
        back = np.where(ahead > t, t, back)
        # seen from the curve's own start, so that a curve of no length gives nothing rather than rounding
        near = own - own[:, :1]
        slope = np.where(still[..., None], evaluate(near, ahead) - evaluate(near, back), slope)
        size = np.hypot(slope[..., 0], slope[..., 1])
    return np.asarray(slope / np.where(size > 0.0, size, 1.0)[..., None])


def dots(a: Floats, b: Floats) -> Floats:
    """Return the scalar products of vectors (…, 2): axis by axis, which is much quicker than a sum over two."""
    return np.asarray(a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1])


def split(curves: Floats, t: Floats) -> tuple[Floats, Floats]:
    """Return the curves before and after t (n,), each (n, 4, 2), by de Casteljau."""
    return between(curves, np.zeros_like(t), t), between(curves, t, np.ones_like(t))


def between(curves: Floats, begin: Floats, finish: Floats) -> Floats:
    """Return the stretches from `begin` to `finish` (n,) as curves (n, 4, 2); ends at 0 and 1 are kept to the bit."""
    a, b = begin[:, None], finish[:, None]
    p0, p1, p2, p3 = curves[:, 0], curves[:, 1], curves[:, 2], curves[:, 3]
    result = np.empty_like(curves)
    for index, (s, t, u) in enumerate(((a, a, a), (a, a, b), (a, b, b), (b, b, b))):
        # the blossom of the cubic at (s, t, u)
        q0, q1, q2 = p0 + s * (p1 - p0), p1 + s * (p2 - p1), p2 + s * (p3 - p2)
        r0, r1 = q0 + t * (q1 - q0), q1 + t * (q2 - q1)
        result[:, index] = r0 + u * (r1 - r0)
    result[:, 0] = np.where(a == 0.0, p0, result[:, 0])
    result[:, 3] = np.where(b == 1.0, p3, result[:, 3])
    return result


def chords(curves: Floats) -> Floats:
    """Return the straight distances from start to end, (n,) mm."""
    way = curves[:, 3] - curves[:, 0]
    return np.asarray(np.hypot(way[:, 0], way[:, 1]))


def _gauged(curves: Floats) -> tuple[Floats, Floats]:
    """Return the lengths by 24 Gauss nodes and how far 16 nodes disagree."""
    slope = np.matmul(_BOTH, curves)
    speed = np.sqrt(slope[..., 0] ** 2 + slope[..., 1] ** 2)
    # curve by curve: a product of whole matrices may differ in its last bit with the number of curves in a batch
    judged = np.matmul(speed[:, None, :], _JUDGE)[:, 0]
    return judged[:, 0], np.abs(judged[:, 1]) + _swerves(curves)


def _swerves(curves: Floats) -> Floats:
    """Return the length of the control polygon where it turns back on itself, else 0: an upper bound of the doubt.

    Both Gauss rules can miss a curve's turning back in its last thousandth; where no leg of the control polygon runs
    against the chord, the curve keeps moving forward and they cannot.
    """
    legs = curves[:, 1:] - curves[:, :-1]
    forward = np.matmul(legs, (curves[:, 3] - curves[:, 0])[:, :, None])[..., 0]
    back = (forward < 0.0).any(axis=1)
    if not back.any():
        return np.zeros(len(curves))
    return np.asarray(np.where(back, np.hypot(legs[..., 0], legs[..., 1]).sum(axis=1), 0.0))


def measure(curves: Floats, straight: Bools) -> Leaves:
    """Return the leaves of all curves, subdivided in batch until 16 and 24 Gauss nodes agree.

    The error of a curve's length stays below 1e-6 mm for curves up to metres long, cusps included. Adaptive
    Gauss-Legendre quadrature; lines are measured by their chord. A stretch that turns back is halved until none does.
    """
    count = len(curves)
    owner = np.arange(count, dtype=np.int64)
    begin, finish = np.zeros(count), np.ones(count)
    length, doubt = _gauged(curves)
    if straight.any():
        length = np.where(straight, chords(curves), length)
        doubt = np.where(straight, 0.0, doubt)
    # NaN compares false, so broken curves are left alone
    rough = doubt > _CLOSE + 1e-12 * length
    if not rough.any():
        return Leaves(owner, begin, finish, length)
    done: list[tuple[Ints, Floats, Floats, Floats]] = []
    for depth in range(_DEEPEST):
        fine = ~rough
        done.append((owner[fine], begin[fine], finish[fine], length[fine]))
        middle = (begin[rough] + finish[rough]) / 2.0
        owner = np.repeat(owner[rough], 2)
        begin, finish = np.stack([begin[rough], middle], 1).ravel(), np.stack([middle, finish[rough]], 1).ravel()
        if not len(owner):
            break
        length, doubt = _gauged(between(curves[owner], begin, finish))
        rough = (doubt > _CLOSE + 1e-12 * length) & (depth < _DEEPEST - 1) & (len(owner) < MOST_ROUGH * count)
    done.append((owner, begin, finish, length))
    owner, begin, finish, length = (np.concatenate(column) for column in zip(*done, strict=True))
    order = np.lexsort((begin, owner))
    return Leaves(owner[order], begin[order], finish[order], length[order])


def lengths(curves: Floats, straight: Bools | None = None) -> Floats:
    """Return the arc lengths (n,), mm, within 1e-6 mm; NaN for curves that hold NaN or infinity."""
    if not len(curves):
        return np.zeros(0)
    leaves = measure(curves, np.zeros(len(curves), dtype=bool) if straight is None else straight)
    if len(leaves.owner) == len(curves):
        return leaves.length
    return np.bincount(leaves.owner, weights=leaves.length, minlength=len(curves)).astype(np.float64)


def at_length(curves: Floats, along: Floats, straight: Bools | None = None) -> Floats:
    """Return the t (n,) at which each curve has run `along` (n,) mm, held within 0…1."""
    lines = np.zeros(len(curves), dtype=bool) if straight is None else straight
    leaves = measure(curves, lines)
    ends = np.cumsum(leaves.length)
    first = np.searchsorted(leaves.owner, np.arange(len(curves)))
    starts = ends - leaves.length
    wanted = starts[first] + np.maximum(along, 0.0)
    last = np.append(first[1:], len(leaves.owner)) - 1
    leaf = np.clip(np.searchsorted(starts, wanted, side="right") - 1, first, last)
    return within_leaves(curves, lines, leaves, leaf, wanted - starts[leaf])


def within_leaves(curves: Floats, straight: Bools, leaves: Leaves, leaf: Ints, along: Floats) -> Floats:
    """Return t where `along` (m,) mm of the leaves numbered `leaf` (m,) have been run: Newton, kept in the leaf."""
    low, high, size = leaves.begin[leaf], leaves.finish[leaf], leaves.length[leaf]
    owner = leaves.owner[leaf]
    share = np.clip(along / np.where(size > 0.0, size, 1.0), 0.0, 1.0)
    t = low + (high - low) * share
    open_ = np.flatnonzero(~straight[owner] & (share > 0.0) & (share < 1.0))
    if not len(open_):
        return t
    own, begin = curves[owner[open_]], low[open_]
    least, most, goal, now = begin.copy(), high[open_].copy(), along[open_], t[open_].copy()
    for _ in range(40):
        gap = _run(own, begin, now) - goal
        least, most = np.where(gap < 0.0, now, least), np.where(gap < 0.0, most, now)
        slope = derivative(own, now)
        speed = np.hypot(slope[:, 0], slope[:, 1])
        step = now - gap / np.where(speed > 0.0, speed, 1.0)
        # halving where Newton would leave what is known to hold the answer
        step = np.where((step > least) & (step < most), step, (least + most) / 2.0)
        settled = np.abs(gap) <= 1e-10 + 1e-13 * goal
        now = np.where(settled, now, step)
        if settled.all():
            break
    t[open_] = now
    return t


def _run(curves: Floats, begin: Floats, finish: Floats) -> Floats:
    """Return the lengths from begin to finish by 16 Gauss nodes: only for stretches within one leaf."""
    span = (finish - begin)[:, None]
    slope = derivative(curves, begin[:, None] + span * NODES)
    return np.asarray((np.hypot(slope[..., 0], slope[..., 1]) * span) @ WEIGHTS)


def turning_points(curves: Floats) -> Floats:
    """Return the t (n, 2, 2) at which x (first row) and y (second) may be extreme; NaN where there is none inside."""
    d = curves[:, 1:] - curves[:, :-1]
    a, b, c = d[:, 0] - 2 * d[:, 1] + d[:, 2], 2 * (d[:, 1] - d[:, 0]), d[:, 0]
    with np.errstate(all="ignore"):
        q = -0.5 * (b + np.copysign(np.sqrt(b * b - 4 * a * c), b))
        # c / q is the root that stays good where a is nothing
        roots = np.stack([q / a, c / q], axis=-1)
        return np.asarray(np.where((roots > 0.0) & (roots < 1.0), roots, np.nan))


def boxes(curves: Floats) -> Floats:
    """Return the true bounds of each curve, (n, 4): least x, least y, most x, most y."""
    ends = curves[:, ::3]
    low, high = ends.min(axis=1), ends.max(axis=1)
    inner = curves[:, 1:3]
    outside = (inner.min(axis=1) < low) | (inner.max(axis=1) > high)
    if outside.any():
        roots = turning_points(curves)
        for axis in (0, 1):
            t = np.nan_to_num(roots[:, axis], nan=0.0)
            values = evaluate(curves, t)[..., axis]
            low[:, axis] = np.minimum(low[:, axis], values.min(axis=1))
            high[:, axis] = np.maximum(high[:, axis], values.max(axis=1))
    return np.concatenate([low, high], axis=1)


def bounds(curves: Floats, counts: Sequence[int]) -> list[Bounds]:
    """Return the true bounds of groups of so many curves each, in their order. Raises ValueError for an empty one."""
    if not all(counts):
        raise ValueError("no curves to bound")
    a, b, c, d = (curves[:, k] for k in range(4))
    firsts = np.cumsum([0, *counts[:-1]])
    low, high = np.minimum.reduceat(np.minimum(a, d), firsts), np.maximum.reduceat(np.maximum(a, d), firsts)
    # only a curve whose control points reach beyond all ends can do so itself
    whose = np.repeat(np.arange(len(counts)), counts)
    least, most = low.take(whose, axis=0), high.take(whose, axis=0)
    beyond = ((np.minimum(b, c) < least) | (np.maximum(b, c) > most)).any(axis=1)
    if beyond.any():
        around = boxes(curves[beyond])
        np.minimum.at(low, whose[beyond], around[:, :2])
        np.maximum.at(high, whose[beyond], around[:, 2:])
    return [(x, y, u, v) for (x, y), (u, v) in zip(low.tolist(), high.tolist(), strict=True)]


def segment_counts(curves: Floats, straight: Bools, tolerance: float) -> Ints:
    """Return into how many chords (n,) each curve must be cut so that none strays over `tolerance` mm from it.

    Chord error is at most h² / 8 of the largest second derivative, which a cubic takes at an end.
    """
    bends = curves[:, 2:] - 2.0 * curves[:, 1:-1] + curves[:, :-2]
    most = np.sqrt(dots(bends, bends).max(axis=1))
    wanted = np.ceil(np.sqrt(most * (0.75 / max(tolerance, 1e-6))))
    wanted = np.where(np.isfinite(wanted) & ~straight, np.clip(wanted, 1, MOST_SEGMENTS), 1)
    return np.asarray(wanted, dtype=np.int64)


def sampled(counts: Ints) -> tuple[Ints, Floats]:
    """Return owner (m,) and t (m,) of evenly spread samples, `counts` + 1 on each curve, both ends included."""
    each = counts + 1
    owner = np.repeat(np.arange(len(counts), dtype=np.int64), each)
    first = np.cumsum(each) - each
    return owner, (np.arange(len(owner)) - first[owner]) / counts[owner]


def flatten(curves: Floats, straight: Bools, tolerance: float) -> tuple[Floats, Ints, Floats]:
    """Return points (m, 2) on the curves with the curve each belongs to (m,) and its t (m,), both ends of each.

    No chord strays over `tolerance` mm from its curve.
    """
    owner, t = sampled(segment_counts(curves, straight, tolerance))
    return evaluate(curves, t, owner), owner, t
