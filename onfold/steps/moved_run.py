"""A run of a piece's edges, before and after it is moved: its darts, its neighbours, and where each place comes to lie.

A dart in the run is shut for the while by moving what lies behind it, so that both lips of its mouth move alike: the
mouth keeps its width, and the run its partner's length.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from math import radians

from onfold.geometry.fault import Fault
from onfold.geometry.let_out import Grading, begun_at, ended_at, met, moved_out
from onfold.geometry.path import (
    Path,
    at,
    closest,
    cubic,
    end,
    end_tangent,
    joined,
    length,
    line,
    moved,
    part,
    start,
    start_tangent,
    tangent_at,
    turned_back,
)
from onfold.geometry.point import Point, angle_between, distance, midpoint, moved_point, right_of, turned_vector
from onfold.pattern import Edge
from onfold.recipe.bench import Outline
from onfold.steps.dart import equal_legs

ON_EDGE = 0.01
"""mm off an edge at which a point still lies on it: marks and level ends drawn from it are nearer."""
ONE_SPOT = 1e-6
FAR = 0.3
"""The share of the move by which a leaf may run on, or be cut off, to meet the edge beside it."""
LEAVES = radians(1.5)
"""A corner that has turned by less is not drawn anew; two of them stay within what runs true across a seam [C]."""


@dataclass(frozen=True, eq=False)
class EdgeRun:
    """Edges of an outline that follow one another, only darts between them. `places` are their numbers in it."""

    outline: Outline
    places: tuple[int, ...]

    @cached_property
    def leaves(self) -> tuple[Edge, ...]:
        """The edges in order round the piece."""
        return tuple(self.outline[at] for at in self.places)

    @property
    def before(self) -> int:
        """Return the number of the edge before the run."""
        return (self.places[0] - 1) % len(self.outline)

    @property
    def behind(self) -> int:
        """Return the number of the edge behind the run."""
        return (self.places[-1] + 1) % len(self.outline)

    @cached_property
    def shut(self) -> tuple[Point, ...]:
        """How each leaf is moved so that the darts before it are shut."""
        shifts = [(0.0, 0.0)]
        for one, other in pairwise(self.leaves):
            (ax, ay), (bx, by) = end(one.path), start(other.path)
            dx, dy = shifts[-1]
            apart = distance((ax, ay), (bx, by)) > ONE_SPOT
            shifts.append((dx + ax - bx, dy + ay - by) if apart else (dx, dy))
        return tuple(shifts)

    @cached_property
    def path(self) -> Path:
        """The whole run with its darts shut."""
        return joined(
            [moved(each.path, *by) if any(by) else each.path for each, by in zip(self.leaves, self.shut, strict=True)]
        )

    @cached_property
    def begins(self) -> tuple[float, ...]:
        """Where each leaf begins, mm along the shut run, and where the last one ends."""
        run = [0.0]
        for each in self.leaves:
            run.append(run[-1] + length(each.path))
        return tuple(run)

    @property
    def whole(self) -> float:
        """Return the length of the shut run, mm."""
        return self.begins[-1]

    def find(self, spot: Point, within: float) -> tuple[int, float] | None:
        """Return on which leaf a point lies and how many mm along it, None where it lies farther off than `within`."""
        found = [closest(each.path, spot) for each in self.leaves]
        number = min(range(len(found)), key=lambda k: found[k].distance)
        return (number, found[number].along) if found[number].distance <= within else None

    def along(self, spot: Point, within: float) -> float | None:
        """Return how many mm along the shut run a point lies, None where it lies farther off than `within`."""
        found = self.find(spot, within)
        return None if found is None else self.begins[found[0]] + found[1]


def runs_of(outline: Outline, names: Sequence[str]) -> list[EdgeRun] | None:
    """Return the runs that edges of these names or roots make up; None where they are the whole outline."""
    listed = [any(name in (each.name, each.root) for name in names) for each in outline]
    shut = list(listed)
    count = len(outline)
    for k, each in enumerate(outline):
        legs = each.finish == "dart" and outline[(k + 1) % count].finish == "dart"
        if legs and listed[k - 1] and listed[(k + 2) % count]:
            shut[k] = shut[(k + 1) % count] = True
    if all(shut):
        return None
    firsts = [k for k in range(count) if shut[k] and not shut[k - 1]]
    runs = []
    for first in firsts:
        places = []
        k = first
        while shut[k % count]:
            if listed[k % count]:
                places.append(k % count)
            k += 1
        runs.append(EdgeRun(outline, tuple(places)))
    return runs


@dataclass(frozen=True, eq=False)
class MovedRun:
    """A run and its leaves as moved. `corners` are where it now begins and ends, `outline` is the piece's new one.

    `points` are the new points of the darts in it, each with the old one.
    """

    run: EdgeRun
    grading: Grading
    way: Point | None
    leaves: tuple[Path, ...]
    outline: Outline
    points: tuple[tuple[Point, Point], ...]

    @cached_property
    def line(self) -> Path:
        """The moved run with its darts' mouths bridged straight."""
        return bridged(self.leaves)

    def lies_at(self, number: int, mm: float) -> Point:
        """Return where the place `mm` along a leaf has come to lie."""
        old, new = self.run.leaves[number].path, self.leaves[number]
        if mm <= ONE_SPOT:
            return start(new)
        if mm >= length(old) - ONE_SPOT:
            return end(new)
        amount = self.grading.amount(self.run.begins[number] + mm)
        if amount == 0.0:
            return at(old, mm)
        return closest(new, moved_point(at(old, mm), self.way or right_of(tangent_at(old, mm)), amount)).at


def bridged(leaves: Sequence[Path]) -> Path:
    """Return leaves as one path, straight lines across the mouths between them."""
    paths = [leaves[0]]
    for one, other in pairwise(leaves):
        if distance(end(one), start(other)) > ONE_SPOT:
            paths.append(line(end(one), start(other)))
        paths.append(other)
    return joined(paths)


def moved_run(run: EdgeRun, grading: Grading, way: Point | None, longer: float = 0.0) -> MovedRun | Fault:
    """Return the run moved by a grading, its neighbours led on or cut off to meet it, its darts drawn anew.

    `longer` is what it is led on at the upper one of its moved ends, or cut off there: so partners are walked alike.
    """
    curves = moved_out(run.path, grading, way)
    if isinstance(curves, Fault):
        return curves
    leaves: list[Path] = []
    first = 0
    for each, (dx, dy) in zip(run.leaves, run.shut, strict=True):
        last = first + len(each.path.curves)
        whole = joined(curves[first:last])
        leaves.append(moved(whole, -dx, -dy) if dx or dy else whole)
        first = last
    paths = [each.path for each in run.outline]
    upper = _upper_end(run, grading)
    for at_end in (False, True):
        fault = _meet(
            run, leaves, paths, at_end, grading.by if way is None else 0.0, longer if at_end is upper else 0.0
        )
        if fault is not None:
            return fault
    points = _darts(run, leaves, paths)
    for place, leaf in zip(run.places, leaves, strict=True):
        paths[place] = leaf
    outline = tuple(
        each if path is each.path else replace(each, path=path) for each, path in zip(run.outline, paths, strict=True)
    )
    return MovedRun(run, grading, way, tuple(leaves), outline, points)


def _upper_end(run: EdgeRun, grading: Grading) -> bool | None:
    """Return which end of the run moves, True for its last; of two the upper one; None where neither does."""
    ends = {False: start(run.leaves[0].path)[1], True: end(run.leaves[-1].path)[1]}
    free = [at_end for at_end in ends if grading.amount(run.whole if at_end else 0.0) != 0.0]
    return max(free, key=lambda at_end: ends[at_end], default=None)


def _darts(run: EdgeRun, leaves: list[Path], paths: list[Path]) -> tuple[tuple[Point, Point], ...]:
    """Draw the legs of the run's darts anew, in `paths`; return each dart's old and new point."""
    points = []
    for one, other in pairwise(range(len(leaves))):
        leg = (run.places[one] + 1) % len(paths)
        if leg == run.places[other]:
            continue
        old = end(paths[leg])
        a, b = end(leaves[one]), start(leaves[other])
        point = equal_legs(a, b, midpoint(a, b), old)
        paths[leg], paths[(leg + 1) % len(paths)] = line(a, point), line(point, b)
        points.append((old, point))
    return tuple(points)


def _meet(run: EdgeRun, leaves: list[Path], paths: list[Path], at_end: bool, by: float, longer: float) -> Fault | None:
    """Make one end of the run and the edge beside it meet, in `leaves` and `paths`."""
    number, place = (-1, run.behind) if at_end else (0, run.before)
    was, neighbour = run.leaves[number].path, paths[place]
    leaf = leaves[number]
    if not at_end:
        was, leaf, neighbour = turned_back(was), turned_back(leaf), turned_back(neighbour)
    if distance(end(leaf), start(neighbour)) <= ONE_SPOT / 1e3:
        return None
    done = _joined_on(leaf, (was, neighbour), by, longer, run.outline[place].fold)
    if isinstance(done, Fault):
        return done
    if min(map(length, done)) <= ONE_SPOT:
        return Fault("nothing is left of the edge beside it")
    leaves[number], paths[place] = done if at_end else (turned_back(done[0]), turned_back(done[1]))
    return None


def _joined_on(
    leaf: Path, before: tuple[Path, Path], by: float, longer: float, fold: bool
) -> tuple[Path, Path] | Fault:
    """Return a run's last leaf and the edge behind it, `before` as they were, as a cutter walks and trues them.

    The leaf is led on or cut off by `longer`. A straight edge, or one that goes on outward, runs on along its own line
    to meet it, and ends there. One that is cut off within a curve would meet it at another angle than before: over its
    last stretch, three times `by`, it is drawn anew at the old angle. Where it would meet the leaf far from its end, or
    nowhere, it is drawn anew from that end over half its length. Farther off it stays as it is.
    """
    old, (was, edge) = end(before[0]), before
    (dx, dy), (gx, gy) = (end(leaf)[0] - old[0], end(leaf)[1] - old[1]), start_tangent(edge)
    found = met(leaf, edge)
    if by == 0.0 or fold:
        return found
    if dx * gx + dy * gy <= 0.0 or edge.straight[0]:
        return found if isinstance(found, Fault) else _led_on(found, old, longer)
    turn = angle_between(end_tangent(was), (gx, gy))
    if isinstance(found, Fault) or abs(length(found[0]) - length(leaf)) > FAR * abs(by):
        return _drawn_anew(_longer(leaf, longer), edge, (length(edge) + abs(by)) / 2.0, turn)
    off = abs(angle_between(turned_vector(end_tangent(found[0]), turn), start_tangent(found[1])))
    if off < LEAVES and not longer:
        return found
    return _drawn_anew(_longer(found[0], longer), found[1], min(3.0 * abs(by), length(found[1]) / 2.0), turn)


def _drawn_anew(leaf: Path, edge: Path, stretch: float, turn: float) -> tuple[Path, Path]:
    """Return a leaf and the edge behind it, drawn anew from the leaf's end over a stretch, at an angle to the leaf."""
    rest = part(edge, stretch, length(edge))
    inner, come = start(rest), start_tangent(rest)
    # thirds of the chord as handles: a curve held to run one way only would turn tightly beside the seam
    reach = distance(end(leaf), inner) / 3.0
    go = moved_point(end(leaf), turned_vector(end_tangent(leaf), turn), reach)
    return leaf, joined([cubic(end(leaf), go, moved_point(inner, come, -reach), inner), rest])


def _longer(leaf: Path, by: float) -> Path:
    if not by:
        return leaf
    whole = length(leaf) + by
    return ended_at(leaf, whole, moved_point(end(leaf), end_tangent(leaf), by) if by > 0.0 else at(leaf, whole))


def _led_on(found: tuple[Path, Path], old: Point, longer: float) -> tuple[Path, Path]:
    """Return a leaf and the edge behind it as they met, the leaf led on by `longer`, the edge from there on.

    `old` is where the edge began before it was led on.
    """
    leaf, edge = _longer(found[0], longer), found[1]
    if not longer:
        return leaf, edge
    begun = closest(edge, old)
    if begun.distance > ONE_SPOT or begun.along <= ONE_SPOT:
        return leaf, begun_at(edge, 0.0, end(leaf))
    return leaf, joined([line(end(leaf), old), begun_at(part(edge, begun.along, length(edge)), 0.0, old)])
