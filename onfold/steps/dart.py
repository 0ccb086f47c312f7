"""Darts: on an edge at equal divisions, split when over-wide; and the side dart that aims at the bust point."""

from __future__ import annotations

from dataclasses import replace
from math import ceil
from typing import ClassVar

import numpy as np

from onfold.geometry.path import at, closest, cut, flatten_all, length, line
from onfold.geometry.point import direction, distance, left_of, midpoint
from onfold.geometry.region import is_valid
from onfold.pattern import Edge, Mark, Point
from onfold.recipe.bench import Bench, Outline
from onfold.recipe.step import EdgeName, Length, LevelName, NewName, PointName, step
from onfold.recipe.telling import Telling
from onfold.steps.outline import renumbered, replaced

MOST_DARTS = 9
"""On one edge of a half piece there is room for no more: a slip in the figure that a dart is split at."""


@step("darts", "develop")
class Darts:
    """Take a width out of an edge by darts square to it, at equal divisions; a total wider than `most` is split.

    A total below `least` makes no dart: it stays as ease, and the level's finished girth is stated with it. The legs
    are equal by construction: the point lies on the bisector.
    """

    name: NewName
    on: EdgeName
    total: Length
    length: Length
    most: Length
    least: Length
    level: LevelName | None = None

    reason: ClassVar[str] = (
        "A dart takes in the waist where the body bends and lets the cloth out again at its point; a fat dart pokes, "
        "so it is split in two."
    )

    def run(self, bench: Bench) -> None:
        """Cut the edge and draw the legs."""
        total, most = bench.amount(self.total), bench.amount(self.most)
        (edge, *others) = bench.edge(self.on)
        if self.level is not None:
            bench.level(self.level)
        if total < bench.amount(self.least) or total <= 0.0:
            self._leave(bench, max(total, 0.0))
            return
        depth = bench.amount(self.length)
        if most <= 0.0 or depth <= 1e-6:
            what = self.most.text if most <= 0.0 else self.length.text
            raise bench.stop("STEP-CANNOT", "A dart must be wider and longer than nothing.", found=what)
        if total > most * MOST_DARTS:
            raise bench.stop(
                "STEP-CANNOT",
                f"Split at {bench.mm(most)}, the {self.name} would make more than {MOST_DARTS} darts.",
                found=self.most.text,
                expected=f"at most {MOST_DARTS} darts",
                remedy="allow wider darts",
            )
        whole = length(edge.path)
        made = None if others or total >= whole else self._outline(bench.outline(), edge, total, most, depth)
        if made is None or not closes(made[0]):
            self._refuse(bench, edge, total, most, depth)
        else:
            for mark in made[1]:
                bench.put_mark(mark)
            bench.put_outline(made[0])

    def _outline(
        self, outline: Outline, edge: Edge, total: float, most: float, depth: float
    ) -> tuple[Outline, list[Mark]]:
        """Return the outline with the darts cut into an edge, and their points."""
        count = max(1, ceil(total / most - 1e-9))
        width, whole = total / count, length(edge.path)
        centres = [whole * (k + 1) / (count + 1) for k in range(count)]
        parts = cut(edge.path, [mm for centre in centres for mm in (centre - width / 2, centre + width / 2)])
        leaves: list[Edge] = []
        marks: list[Mark] = []
        for index, path in enumerate(parts):
            if index % 2 == 0:
                leaves.append(Edge(f"{self.on}.{index // 2 + 1}", path, self.on, edge.fold))
                continue
            number = f" {index // 2 + 1}" if count > 1 else ""
            point = _inward(at(path, 0.0), at(path, length(path)), depth)
            leaves.extend(_legs(f"{self.name}{number}", at(path, 0.0), point, at(path, length(path))))
            marks.append(Mark("dart point", f"{self.name}{number}", point))
        return renumbered(replaced(outline, edge.name, leaves), self.on), marks

    def _refuse(self, bench: Bench, edge: Edge, total: float, most: float, depth: float) -> None:
        """Say how much darts can take in before they run over one another or out of the piece."""
        fits, high = 0.0, min(total, length(edge.path))
        for _ in range(20):
            middle = (fits + high) / 2.0
            sound = closes(self._outline(bench.outline(), edge, middle, most, depth)[0])
            fits, high = (middle, high) if sound else (fits, middle)
        raise bench.stop(
            "STEP-CANNOT",
            f"{bench.mm(total)} in darts {bench.mm(depth)} long do not fit on the {self.on}, "
            f"{bench.mm(length(edge.path))} long: at most {bench.mm_down(fits)} can be taken in there.",
            found=bench.mm(total),
            expected=f"at most {bench.mm_down(fits)}",
            remedy=f"take in {bench.mm_down(fits)} or less by the {self.name}, and the rest at the side",
        )

    def _leave(self, bench: Bench, left: float) -> None:
        """State the level with what stays on every half of the piece."""
        if self.level is not None and left > 0.0:
            level = bench.level(self.level)
            halves = 1.0 if bench.begun().whole else 2.0
            bench.put_level(replace(level, finished=level.finished + halves * left))

    def say(self, told: Telling) -> str:
        """Tell."""
        total = told.amount(self.total)
        if total < told.amount(self.least) or total <= 0.0:
            left = " What little its curve is longer stays as ease." if self.level and total >= 0.5 else ""
            return f"No {self.name} is needed: the {self.on} has nothing to take in.{left}"
        count = max(1, ceil(total / told.amount(self.most) - 1e-9))
        each = told.mm(total / count)
        if count == 1:
            return f"Halfway along the {self.on} draw the {self.name}: {each} wide, {told.length(self.length)} long."
        return (
            f"{told.mm(total)} in one dart would poke: divide the {self.on} in {count + 1} and draw {count} darts, "
            f"{each} wide and {told.length(self.length)} long."
        )


@step("side dart", "develop")
class SideDart:
    """Draw a dart from an edge towards the bust point, ending short of it; nothing where its width is nothing.

    The upper leg begins at a point on the edge, the width is measured down the edge.
    """

    name: NewName
    on: EdgeName
    from_: PointName
    width: Length
    towards: PointName
    short_of: Length

    reason: ClassVar[str] = (
        "The front is longer over the bust; the dart shapes that length and leaves the side equal to the back."
    )

    def run(self, bench: Bench) -> None:
        """Cut the edge below the point and draw the legs."""
        width = bench.amount(self.width)
        upper, goal = bench.point(self.from_), bench.point(self.towards)
        leaves = bench.edge(self.on)
        if width <= 0.0:
            return
        edge = min(leaves, key=lambda each: closest(each.path, upper).distance)
        near = closest(edge.path, upper)
        step_down = -1.0 if at(edge.path, 0.0)[1] < at(edge.path, length(edge.path))[1] else 1.0
        first, second = sorted((near.along, near.along + step_down * width))
        if near.distance > 0.5 or first < 0.0 or second > length(edge.path):
            raise bench.stop(
                "STEP-CANNOT",
                f"The {self.name} does not fit on the {self.on} at {self.from_}.",
                remedy="make it narrower",
            )
        a, b = at(edge.path, first), at(edge.path, second)
        middle = midpoint(a, b)
        reach = distance(middle, goal) - bench.amount(self.short_of)
        if reach <= width / 2:
            raise bench.stop("STEP-CANNOT", f"The {self.name} would end before it begins.", remedy="leave it out")
        parts = cut(edge.path, [first, second])
        towards = direction(middle, goal)
        point = equal_legs(a, b, middle, (middle[0] + towards[0] * reach, middle[1] + towards[1] * reach))
        root = edge.root
        new = [
            Edge(f"{root}.1", parts[0], root),
            *_legs(self.name, a, point, b),
            Edge(f"{root}.2", parts[2], root),
        ]
        bench.put_mark(Mark("dart point", self.name, point))
        bench.put_mark(Mark("bust point", self.towards, goal))
        bench.put_fact(self.name, width)
        bench.put_outline(renumbered(replaced(bench.outline(), edge.name, new), root))

    def say(self, told: Telling) -> str:
        """Tell."""
        width = told.amount(self.width)
        if width <= 0.0:
            return f"No {self.name} is taken here; the front's extra length is eased or left to the stretch."
        return (
            f"On the {self.on}, from {self.from_} down, draw the {self.name}: {told.mm(width)} wide, aimed at "
            f"{self.towards} and ending {told.length(self.short_of)} short of it."
        )


def closes(outline: Outline) -> bool:
    """Return whether an outline with darts in it still goes round without crossing itself."""
    ring = np.concatenate([points[:-1] for points in flatten_all([each.path for each in outline], 0.05)])
    return is_valid(np.concatenate([ring, ring[:1]]))


def _inward(a: Point, b: Point, depth: float) -> Point:
    """Return the dart point: square to the chord, on the left of it, where the piece lies (outlines anticlockwise)."""
    dx, dy = left_of(direction(a, b))
    x, y = midpoint(a, b)
    return x + dx * depth, y + dy * depth


def equal_legs(a: Point, b: Point, middle: Point, aimed: Point) -> Point:
    """Return the point on the bisector of a and b nearest to the one aimed at, so that both legs are equal."""
    nx, ny = left_of(direction(a, b))
    reach = (aimed[0] - middle[0]) * nx + (aimed[1] - middle[1]) * ny
    return middle[0] + nx * reach, middle[1] + ny * reach


def _legs(name: str, a: Point, point: Point, b: Point) -> list[Edge]:
    return [
        Edge(f"{name} leg", line(a, point), finish="dart"),
        Edge(f"{name} other leg", line(point, b), finish="dart"),
    ]
