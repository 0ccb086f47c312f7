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
    end,
    end_tangent,
    joined,
    length,
    line,
    moved,
    part,
    smooth,
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
    found = met(leaf, neighbour)
    if isinstance(found, Fault):
        return found
    done = found if run.outline[place].fold else _trued(found, (was, neighbour), by, longer)
    if min(map(length, done)) <= ONE_SPOT:
        return Fault("nothing is left of the edge beside it")
    leaves[number], paths[place] = done if at_end else (turned_back(done[0]), turned_back(done[1]))
    return None


def _trued(found: tuple[Path, Path], before: tuple[Path, Path], by: float, longer: float) -> tuple[Path, Path]:
    """Return the run and the edge behind it, as they meet, walked and trued as a cutter does at a seam's end.

    The run is led on or cut off by `longer`. An edge that was led on ends where the run does. One that was cut off
    within a curve meets the run at another angle than before: over its last stretch, three times `by`, it is drawn anew
    from there at the old angle; farther off it stays as it is.
    """
    leaf, edge = found
    whole = length(leaf) + longer
    spot = moved_point(end(leaf), end_tangent(leaf), longer) if longer > 0.0 else at(leaf, whole)
    leaf = ended_at(leaf, whole, spot)
    was, old = before
    turn = angle_between(end_tangent(was), start_tangent(old))
    go = turned_vector(end_tangent(leaf), turn)
    off = abs(angle_between(go, start_tangent(edge)))
    led_on = length(edge) > length(old)
    if led_on or by == 0.0:
        return leaf, edge if not longer else _from(spot, edge, start(old), led_on)
    if not longer and (off < LEAVES or edge.straight[0]):
        return leaf, edge
    stretch = min(3.0 * abs(by), length(edge) / 2.0)
    rest = part(edge, stretch, length(edge))
    if edge.straight[0]:
        return leaf, joined([line(spot, start(rest)), rest])
    drawn = smooth([spot, start(rest)], start_tangent=go, end_tangent=start_tangent(rest))
    return leaf, joined([drawn, rest])


def _from(spot: Point, edge: Path, old_start: Point, led_on: bool) -> Path:
    """Return an edge that begins at a spot beside its start: led on from there to where it began before."""
    if not led_on:
        return begun_at(edge, 0.0, spot)
    return joined([line(spot, old_start), begun_at(edge, closest(edge, old_start).along, old_start)])
