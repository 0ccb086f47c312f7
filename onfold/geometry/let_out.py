"""A run of curves moved beside itself: square to itself, or all one way, by an amount that grades to nothing.

Where a curve C with unit tangent T and right-hand normal N is moved by w, the new curve is Q = C + w N; as N turns by
the curvature k, Q' = ((1 + w k) T + w' N) |C'|. Each stretch is the cubic with these ends and directions (Hermite),
halved until it lies within `WITHIN` of Q; over a straight line the graded stretch is that cubic to the bit. Corners
keep the distance to both sides: they move along their bisector (a mitre).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot

import numpy as np

from onfold.geometry import single
from onfold.geometry.fault import Fault
from onfold.geometry.path import (
    Path,
    along,
    cubic,
    end,
    end_tangent,
    joined,
    length,
    line,
    meetings,
    part,
    place,
    start,
    start_tangent,
    turned_back,
)
from onfold.geometry.point import Point, distance, dot, moved_point, right_of

WITHIN = 1e-4
"""The share of the move by which a curve may stray from the true one: 0.001 mm where it is moved by 10."""
_DEEPEST = 9
_ONE_SPOT = 1e-7
_TIGHTEST = 0.02
"""The share of its radius that a hollow must keep when it is moved into, or the curve folds over itself."""
_SHARPEST = -0.3
"""The cosine of the greatest turn at a corner (about 107 degrees) whose mitre is still drawn."""


@dataclass(frozen=True)
class Grading:
    """How far a run is moved, mm, at each place along it: `by` from `begin` to `finish`, mm along, nothing farther off.

    It grades smoothly to nothing over `before` mm before `begin` and `after` mm behind `finish`; 0 where the run ends
    there.
    """

    by: float
    begin: float
    finish: float
    before: float = 0.0
    after: float = 0.0

    def amount(self, mm: float) -> float:
        """Return how far the run is moved at a place."""
        share, _ = self._share(mm)
        return self.by * share * share * (3.0 - 2.0 * share)

    def slope(self, mm: float) -> float:
        """Return how fast that grows along the run."""
        share, rise = self._share(mm)
        return self.by * 6.0 * share * (1.0 - share) * rise

    def stops(self) -> tuple[float, float, float, float]:
        """Return the places where grading begins or ends."""
        return self.begin - self.before, self.begin, self.finish, self.finish + self.after

    def _share(self, mm: float) -> tuple[float, float]:
        if mm < self.begin and self.before > 0.0:
            return max(0.0, 1.0 - (self.begin - mm) / self.before), 1.0 / self.before
        if mm > self.finish and self.after > 0.0:
            return max(0.0, 1.0 - (mm - self.finish) / self.after), -1.0 / self.after
        return 1.0, 0.0


def moved_out(path: Path, grading: Grading, way: Point | None = None) -> list[Path] | Fault:
    """Return every curve of a path moved, each as a path of its own that begins where the one before ends.

    Moved square to the path, to its right: outward, where it is part of an anticlockwise outline. With a unit vector
    `way` every place moves that way instead. A hollow tighter than the move, and a corner too sharp for it, is a fault.
    """
    moved: list[Path] = []
    for number in range(len(path.curves)):
        one = _moved_curve(path, number, grading, way)
        if isinstance(one, Fault):
            return one
        moved.append(one)
    for number in range(1, len(moved)):
        joint = _at_joint(path, number, grading, way, moved)
        if isinstance(joint, Fault):
            return joint
        moved[number - 1 : number + 1] = joint
    return moved


def _moved_curve(path: Path, number: int, grading: Grading, way: Point | None) -> Path | Fault:
    low, high = path.tape.joints[number], path.tape.joints[number + 1]
    alone = Path(path.curves[number : number + 1], path.straight[number : number + 1])
    first, *_, last = grading.stops()
    if high <= first or low >= last:
        return alone if grading.amount(low) == 0.0 == grading.amount(high) else _all_of(path, number, grading, way)
    return _all_of(path, number, grading, way)


def _all_of(path: Path, number: int, grading: Grading, way: Point | None) -> Path | Fault:
    low, high = path.tape.joints[number], path.tape.joints[number + 1]
    inside = [mm for mm in grading.stops() if low + 1e-6 < mm < high - 1e-6]
    cuts = [0.0, *sorted({place(path, mm)[1] for mm in inside}), 1.0]
    stretches: list[Path] = []
    for a, b in pairwise(cuts):
        done = _stretch(_Spots(path, number, grading, way), a, b, 0)
        if isinstance(done, Fault):
            return done
        stretches.append(done)
    return joined(stretches)


class _Spots:
    """The places of one curve as moved: where each lies, and its derivative."""

    def __init__(self, path: Path, number: int, grading: Grading, way: Point | None) -> None:
        self._path, self._number, self._grading, self._way = path, number, grading, way
        self._controls = path.curves[number].tolist()
        self.straight = bool(path.straight[number])
        self.within = WITHIN * abs(grading.by)

    def amounts(self, a: float, b: float) -> tuple[float, float, float]:
        """Return how far it is moved at a, between and at b."""
        return tuple(self._grading.amount(self._along(t)) for t in (a, (a + b) / 2.0, b))  # type: ignore[return-value]

    def _along(self, t: float) -> float:
        return along(self._path, self._number, t)

    def at(self, t: float) -> tuple[Point, Point] | Fault:
        """Return the moved point at t and its derivative."""
        (x, y), (tx, ty) = single.point(self._controls, t), single.tangent(self._controls, t)
        mm = self._along(t)
        amount, slope = self._grading.amount(mm), self._grading.slope(mm)
        speed = self._speed(t)
        nx, ny = right_of((tx, ty)) if self._way is None else self._way
        bend = 0.0 if self._way is not None or self.straight else single.curvature(self._controls, t)
        if 1.0 + amount * bend < _TIGHTEST:
            return Fault("it bends too tightly to be moved so far")
        along_it = speed * (1.0 + amount * bend)
        return (x + amount * nx, y + amount * ny), (
            along_it * tx + speed * slope * nx,
            along_it * ty + speed * slope * ny,
        )

    def _speed(self, t: float) -> float:
        (x0, y0), (x1, y1), (x2, y2), (x3, y3) = self._controls
        u = 1.0 - t
        a, b, c = 3.0 * u * u, 6.0 * u * t, 3.0 * t * t
        return hypot(a * (x1 - x0) + b * (x2 - x1) + c * (x3 - x2), a * (y1 - y0) + b * (y2 - y1) + c * (y3 - y2))


def _stretch(spots: _Spots, a: float, b: float, depth: int) -> Path | Fault:
    """Return the moved curve from a to b, in as many cubics as it takes."""
    first, last = spots.at(a), spots.at(b)
    if isinstance(first, Fault):
        return first
    if isinstance(last, Fault):
        return last
    (p, go), (q, come) = first, last
    if spots.straight and len(set(spots.amounts(a, b))) == 1:
        return line(p, q)
    share = (b - a) / 3.0
    made = cubic(p, (p[0] + share * go[0], p[1] + share * go[1]), (q[0] - share * come[0], q[1] - share * come[1]), q)
    controls = made.curves[0].tolist()
    for u in (0.25, 0.5, 0.75):
        true = spots.at(a + (b - a) * u)
        if isinstance(true, Fault):
            return true
        if distance(true[0], single.point(controls, u)) > spots.within and depth < _DEEPEST:
            middle = (a + b) / 2.0
            left, right = _stretch(spots, a, middle, depth + 1), _stretch(spots, middle, b, depth + 1)
            return left if isinstance(left, Fault) else right if isinstance(right, Fault) else joined([left, right])
    return made


def _at_joint(
    path: Path, number: int, grading: Grading, way: Point | None, moved: Sequence[Path]
) -> list[Path] | Fault:
    """Return the moved curves before and behind a joint, made to meet: at a corner in its mitre."""
    before, behind = moved[number - 1], moved[number]
    if distance(end(before), start(behind)) <= _ONE_SPOT:
        return [before, begun_at(behind, 0.0, end(before))]
    amount = grading.amount(path.tape.joints[number])
    one, other = _way_at(path, number - 1, 1.0), _way_at(path, number, 0.0)
    cosine = dot(one, other)
    if way is not None or cosine < _SHARPEST:
        return Fault("it has a corner too sharp to be moved on both sides")
    (ax, ay), (bx, by) = right_of(one), right_of(other)
    x, y = path.curves[number, 0].tolist()
    corner = x + amount * (ax + bx) / (1.0 + cosine), y + amount * (ay + by) / (1.0 + cosine)
    reach = dot((corner[0] - end(before)[0], corner[1] - end(before)[1]), one)
    if reach >= 0.0:
        return [ended_at(before, length(before) + reach, corner), begun_at(behind, -reach, corner)]
    if -reach >= min(length(before), length(behind)):
        return Fault("a part of it is too short to be moved so far at its corner")
    crossing = [each for each in meetings(before, behind) if distance(each.at, corner) <= -reach]
    if not crossing:
        return [ended_at(before, length(before) + reach, corner), begun_at(behind, -reach, corner)]
    near = min(crossing, key=lambda each: distance(each.at, corner))
    return [ended_at(before, near.along_a, near.at), begun_at(behind, near.along_b, near.at)]


def _way_at(path: Path, number: int, t: float) -> Point:
    return single.tangent(path.curves[number].tolist(), t)


def met(run: Path, neighbour: Path) -> tuple[Path, Path] | Fault:
    """Return a run, and the neighbour that is to follow it, made to meet.

    Each is cut where they cross, or goes on along its own line: a straight one is lengthened, a curved one is given a
    straight stretch in the direction of its end.
    """
    off = distance(end(run), start(neighbour))
    if off <= _ONE_SPOT:
        return run, begun_at(neighbour, 0.0, end(run))
    reach = 8.0 * off + 1.0
    beyond = moved_point(end(run), end_tangent(run), reach)
    (gx, gy), here = start_tangent(neighbour), start(neighbour)
    before = (here[0] - gx * reach, here[1] - gy * reach)
    found = meetings(joined([run, line(end(run), beyond)]), joined([line(before, here), neighbour]))
    if not found:
        return Fault("it no longer meets the edge beside it")
    near = min(found, key=lambda each: distance(each.at, end(run)))
    return ended_at(run, near.along_a, near.at), begun_at(neighbour, near.along_b - reach, near.at)


def ended_at(path: Path, mm: float, spot: Point) -> Path:
    """Return a path cut at `mm` along, or led on straight where that is past its end, so that it ends on a spot."""
    whole = length(path)
    if mm < whole - _ONE_SPOT:
        return _snapped(part(path, 0.0, mm), spot)
    if mm <= whole + _ONE_SPOT:
        return _snapped(path, spot)
    if not path.straight[-1]:
        return joined([path, line(end(path), spot)])
    last = line((float(path.curves[-1, 0, 0]), float(path.curves[-1, 0, 1])), spot)
    return Path(np.concatenate([path.curves[:-1], last.curves]), path.straight)


def begun_at(path: Path, mm: float, spot: Point) -> Path:
    """Return a path cut off before `mm` along, or led on straight before its start where that is below 0."""
    if mm == 0.0 and start(path) == spot:
        return path
    return turned_back(ended_at(turned_back(path), length(path) - mm, spot))


def _snapped(path: Path, spot: Point) -> Path:
    if end(path) == spot:
        return path
    curves = path.curves.copy()
    if path.straight[-1]:
        first = curves[-1, 0]
        curves[-1] = line((float(first[0]), float(first[1])), spot).curves[0]
    else:
        curves[-1, 3] = spot
    return Path(curves, path.straight)
