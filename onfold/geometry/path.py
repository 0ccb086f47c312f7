"""A path: a run of lines and cubics drawn in one go, each beginning where the last one ended. Millimetres, Y up.

Everything on a path is said by the tape: `along` is mm from its start, held between 0 and its length. Functions give
new paths; arrays handed out are read-only. A path holds at least one curve; a single point is a line of no length.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from onfold.geometry import curve, meet, single
from onfold.geometry import smooth as laid
from onfold.geometry.curve import Bools, Bounds, Floats
from onfold.geometry.point import Point, direction
from onfold.geometry.tape import Tape, tape_of, tapes_of

_JOINT = 1e-7
"""Cuts nearer than this (mm) to a joint of two curves are made at the joint, so that no sliver is left."""

_STRAIGHT = np.ones(1, dtype=bool)
_BENT = np.zeros(1, dtype=bool)
_STRAIGHT.flags.writeable = _BENT.flags.writeable = False


@dataclass(frozen=True, eq=False)
class Path:
    """`curves` (n, 4, 2) float64 cubics; `straight` (n,) bool says which of them are true lines."""

    curves: Floats
    straight: Bools

    def __post_init__(self) -> None:
        if not len(self.curves):
            raise ValueError("a path needs at least one curve")
        self.curves.setflags(write=False)
        self.straight.setflags(write=False)

    @cached_property
    def tape(self) -> Tape:
        """The path as measured by the tape."""
        return tape_of(self.curves, self.straight)


@dataclass(frozen=True)
class Meeting:
    """A point two paths share: mm along each, and where."""

    along_a: float
    along_b: float
    at: Point


@dataclass(frozen=True)
class Closest:
    """The point of a path nearest to another point: mm along, where, and how far off."""

    along: float
    at: Point
    distance: float


class Nearest(NamedTuple):
    """The point of the path nearest to another point: the number of its curve, its t, where, and how far off."""

    number: int
    t: float
    at: Point
    distance: float


def line(a: Point, b: Point) -> Path:
    """Return the straight line from a to b."""
    (ax, ay), (bx, by) = a, b
    dx, dy = (bx - ax) / 3.0, (by - ay) / 3.0
    controls = np.array((ax, ay, ax + dx, ay + dy, bx - dx, by - dy, bx, by), dtype=np.float64)
    return Path(controls.reshape(1, 4, 2), _STRAIGHT)


def polyline(points: Iterable[Point] | Floats) -> Path:
    """Return straight lines through the points in order; one point gives a line of no length.

    Raises ValueError where there is no point at all.
    """
    array = np.asarray(points if isinstance(points, np.ndarray) else list(points), dtype=np.float64).reshape(-1, 2)
    if len(array) < 2:
        array = np.concatenate([array, array])
    third = (array[1:] - array[:-1]) / 3.0
    curves = np.stack([array[:-1], array[:-1] + third, array[1:] - third, array[1:]], axis=1)
    return Path(curves, np.ones(len(curves), dtype=bool))


def cubic(a: Point, b: Point, c: Point, d: Point) -> Path:
    """Return the cubic from a to d with control points b and c."""
    return Path(np.array(((a, b, c, d),), dtype=np.float64), _BENT)


def joined(paths: Sequence[Path]) -> Path:
    """Return the paths as one run, in the order and direction given. A gap is kept as it is: see `gap`.

    Raises ValueError where there is no path at all.
    """
    if len(paths) == 1:
        return paths[0]
    if not paths:
        raise ValueError("no paths to join")
    return Path(np.concatenate([each.curves for each in paths]), np.concatenate([each.straight for each in paths]))


def gap(first: Path, second: Path) -> float:
    """Return how far, mm, the start of the second path lies from the end of the first."""
    a, b = end(first), start(second)
    return math.hypot(b[0] - a[0], b[1] - a[1])


def start(path: Path) -> Point:
    """Return the path's first point."""
    x, y = path.curves[0, 0].tolist()
    return x, y


def end(path: Path) -> Point:
    """Return the path's last point."""
    x, y = path.curves[-1, 3].tolist()
    return x, y


def length(path: Path) -> float:
    """Return the whole length by the tape, mm."""
    return path.tape.joints[-1]


def lengths(path: Path) -> Floats:
    """Return the length of each curve of the path, (n,) mm."""
    return np.asarray(np.diff(path.tape.joints), dtype=np.float64)


def measure_all(paths: Iterable[Path]) -> None:
    """Lay the tape along all paths in one batch, where that has not been done: what is asked of them then is ready."""
    wanted = [each for each in paths if "tape" not in each.__dict__]
    for each, tape in zip(wanted, tapes_of([(each.curves, each.straight) for each in wanted]), strict=True):
        each.__dict__["tape"] = tape


def lengths_of(paths: Sequence[Path]) -> Floats:
    """Return the whole lengths of many paths, (n,) mm, measured in one batch."""
    if not paths:
        return np.zeros(0)
    curves = np.concatenate([each.curves for each in paths])
    sizes = curve.lengths(curves, np.concatenate([each.straight for each in paths]))
    firsts = np.cumsum([0] + [len(each.curves) for each in paths[:-1]])
    return np.asarray(np.add.reduceat(sizes, firsts))


def place(path: Path, along: float) -> tuple[int, float]:
    """Return the curve's number and its t at `along` mm; at a joint, the start of the curve that follows."""
    tape = path.tape
    if not along > 0.0:
        return 0, 0.0
    if along >= tape.joints[-1]:
        return len(path.curves) - 1, 1.0
    leaf = max(bisect_right(tape.starts, along) - 1, 0)
    number, low, high = tape.owner[leaf], tape.begin[leaf], tape.finish[leaf]
    rest = along - tape.starts[leaf]
    if rest <= 0.0:
        return number, low
    size = (tape.starts[leaf + 1] if leaf + 1 < len(tape.starts) else tape.joints[-1]) - tape.starts[leaf]
    if size <= 0.0 or path.straight[number]:
        return number, low + (high - low) * (rest / size if size > 0.0 else 0.0)
    return number, single.run_to(path.curves[number].tolist(), low, high, rest, size)


def at(path: Path, along: float) -> Point:
    """Return the point `along` mm from the start; the ends beyond them."""
    number, t = place(path, along)
    return single.point(path.curves[number].tolist(), t)


def points_along(path: Path, alongs: Sequence[float] | Floats) -> Floats:
    """Return the points (m, 2) at many distances along the path, found in one batch."""
    wanted = np.asarray(alongs, dtype=np.float64)
    leaves = curve.measure(path.curves, path.straight)
    starts = np.asarray(path.tape.starts)
    leaf = np.clip(np.searchsorted(starts, wanted, side="right") - 1, 0, len(starts) - 1)
    t = curve.within_leaves(path.curves, path.straight, leaves, leaf, wanted - starts[leaf])
    return curve.evaluate(path.curves[leaves.owner[leaf]], t)


def tangent_at(path: Path, along: float) -> Point:
    """Return the unit tangent; at a corner, of what follows; (0, 0) where a path of no length has none."""
    number, t = place(path, along)
    return single.tangent(path.curves[number].tolist(), t)


def start_tangent(path: Path) -> Point:
    """Return the unit tangent in which the path sets out, curves of no length passed over."""
    return next((way for each in path.curves.tolist() if (way := single.tangent(each, 0.0)) != (0.0, 0.0)), (0.0, 0.0))


def end_tangent(path: Path) -> Point:
    """Return the unit tangent in which the path arrives, curves of no length passed over."""
    return next(
        (way for each in path.curves[::-1].tolist() if (way := single.tangent(each, 1.0)) != (0.0, 0.0)), (0.0, 0.0)
    )


def curvature_at(path: Path, along: float) -> float:
    """Return the signed curvature, 1/mm, positive where the path turns left; at a corner, of what follows."""
    number, t = place(path, along)
    if path.straight[number]:
        return 0.0
    return single.curvature(path.curves[number].tolist(), t)


def cut(path: Path, alongs: Sequence[float]) -> list[Path]:
    """Return the parts between the cuts, one more than `alongs`, in order; one at an end gives no length."""
    stops = sorted(min(max(each, 0.0), length(path)) for each in alongs)
    spots = [(0, 0.0), *(_spot(path, each) for each in stops), (len(path.curves) - 1, 1.0)]
    return [_stretch(path, *spots[k], *spots[k + 1]) for k in range(len(spots) - 1)]


def part(path: Path, start: float, end: float) -> Path:
    """Return the stretch from `start` to `end` mm along; turned back where end lies before start."""
    if end < start:
        return turned_back(part(path, end, start))
    return _stretch(path, *_spot(path, start), *_spot(path, end))


def _spot(path: Path, along: float) -> tuple[int, float]:
    """Return where to cut: at a joint that lies within `_JOINT`, else inside a curve."""
    joints = path.tape.joints
    after = bisect_right(joints, along)
    for near in (after - 1, after):
        if 0 <= near < len(joints) and abs(joints[near] - along) <= _JOINT:
            return (near, 0.0) if near < len(path.curves) else (near - 1, 1.0)
    return place(path, along)


def _stretch(path: Path, first: int, begin: float, last: int, finish: float) -> Path:
    if last > first and finish == 0.0:
        last, finish = last - 1, 1.0
    if last > first and begin == 1.0:
        first, begin = first + 1, 0.0
    curves = path.curves[first : last + 1].copy()
    if first == last:
        curves[0] = _sub(path, first, begin, finish)
    else:
        curves[0], curves[-1] = _sub(path, first, begin, 1.0), _sub(path, last, 0.0, finish)
    return Path(curves, path.straight[first : last + 1])


def _sub(path: Path, number: int, begin: float, finish: float) -> Floats:
    if begin == 0.0 and finish == 1.0:
        return np.asarray(path.curves[number])
    controls = path.curves[number].tolist()
    if path.straight[number]:
        return np.asarray(line(single.point(controls, begin), single.point(controls, finish)).curves[0])
    return np.array(single.between(controls, begin, finish))


def turned_back(path: Path) -> Path:
    """Return the same path run from its end to its start."""
    return Path(np.ascontiguousarray(path.curves[::-1, ::-1]), path.straight[::-1])


def moved(path: Path, dx: float, dy: float) -> Path:
    """Return the path moved by (dx, dy) mm."""
    return Path(path.curves + np.array((dx, dy)), path.straight)


def turned(path: Path, about: Point, angle: float) -> Path:
    """Return the path turned anticlockwise about a hinge by `angle` radians."""
    c, s = math.cos(angle), math.sin(angle)
    x, y = path.curves[..., 0] - about[0], path.curves[..., 1] - about[1]
    # written out, not a matrix product, so that joints that were equal to the bit stay so
    return Path(np.stack([about[0] + c * x - s * y, about[1] + s * x + c * y], axis=-1), path.straight)


def mirrored(path: Path, a: Point, b: Point) -> Path:
    """Return the path reflected in the line through a and b, run in the same order; as it is where a and b coincide."""
    dx, dy = direction(a, b)
    if dx == 0.0 and dy == 0.0:
        return path
    x, y = path.curves[..., 0] - a[0], path.curves[..., 1] - a[1]
    twice = 2.0 * (dx * x + dy * y)
    return Path(np.stack([a[0] + twice * dx - x, a[1] + twice * dy - y], axis=-1), path.straight)


def flatten(path: Path, tolerance: float = 0.02) -> Floats:
    """Return points (m, 2) joined by chords that stray at most `tolerance` mm from the path, ends included."""
    if path.straight.all():
        return np.concatenate([path.curves[:, 0], path.curves[-1:, 3]])
    points, _, t = curve.flatten(path.curves, path.straight, tolerance)
    keep = t < 1.0
    keep[-1] = True
    return points[keep]


def flatten_all(paths: Sequence[Path], tolerance: float = 0.02) -> list[Floats]:
    """Return `flatten` of many paths, worked out in one batch."""
    if not paths:
        return []
    counts = np.cumsum([len(each.curves) for each in paths])
    curves = np.concatenate([each.curves for each in paths])
    points, owner, t = curve.flatten(curves, np.concatenate([each.straight for each in paths]), tolerance)
    keep = t < 1.0
    ends = np.searchsorted(owner, counts) - 1
    keep[ends] = True
    return list(np.split(points[keep], np.cumsum(keep)[ends[:-1]]))


def bounds(path: Path) -> Bounds:
    """Return least x, least y, most x, most y of the path itself, not of its control points."""
    if len(path.curves) == 1:
        return single.bounds(path.curves[0].tolist())
    return bounds_of([path])


def bounds_of(paths: Sequence[Path]) -> Bounds:
    """Return the bounds of one path or more together. Raises ValueError where there is none."""
    return all_bounds([paths])[0]


def all_bounds(groups: Sequence[Sequence[Path]]) -> list[Bounds]:
    """Return `bounds_of` many groups of paths, worked out in one batch."""
    if not groups:
        return []
    curves = np.concatenate([each.curves for paths in groups for each in paths])
    return curve.bounds(curves, [sum(len(each.curves) for each in paths) for paths in groups])


def meetings(a: Path, b: Path) -> list[Meeting]:
    """Return where the paths cross or touch (within 1e-6 mm), in order along a.

    Where they run over one another, the two ends of the common stretch stand for it.
    """
    found = meet.crossings(a.curves, a.straight, b.curves, b.straight)
    return [Meeting(along(a, i, t), along(b, j, u), spot) for i, t, j, u, spot in found]


def along(path: Path, number: int, t: float) -> float:
    """Return how many mm along the path its curve `number` reaches t."""
    tape = path.tape
    if t >= 1.0:
        return tape.joints[number + 1]
    if path.straight[number] or not t > 0.0:
        return tape.joints[number] + (tape.joints[number + 1] - tape.joints[number]) * max(t, 0.0)
    leaf = bisect_right(tape.owner, number - 1)
    while leaf + 1 < len(tape.owner) and tape.owner[leaf + 1] == number and tape.begin[leaf + 1] <= t:
        leaf += 1
    return tape.starts[leaf] + single.run(path.curves[number].tolist(), tape.begin[leaf], t)


def closest(path: Path, point: Point) -> Closest:
    """Return the point of the path nearest to `point`; the first of several."""
    near = nearest(path, point)
    return Closest(along(path, near.number, near.t), near.at, near.distance)


def nearest(path: Path, point: Point) -> Nearest:
    """Return `closest` by curve and t, without laying the tape along the path."""
    return Nearest(*meet.nearest(path.curves, path.straight, point))


def smooth(
    points: Sequence[Point],
    start_tangent: Point | None = None,
    end_tangent: Point | None = None,
    tangents: dict[int, Point] | None = None,
) -> Path:
    """Return a smooth run of cubics through the points, in the given directions where any are given (by index).

    See `smooth.controls` for the method. Repeated points count once; a single point gives a line of no length.
    """
    asked = dict(tangents or {})
    if start_tangent is not None:
        asked[0] = start_tangent
    if end_tangent is not None:
        asked[len(points) - 1] = end_tangent
    controls, lines = laid.controls(points, asked)
    return Path(np.array(controls).reshape(-1, 4, 2), np.array(lines))
