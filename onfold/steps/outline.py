"""The outline verbs: close the outline from named lines, mark where it folds, name where it opens."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import asin, inf, tan
from typing import ClassVar, Literal

import numpy as np

from onfold.geometry.path import (
    Path,
    end,
    end_tangent,
    joined,
    length,
    line,
    meetings,
    part,
    smooth,
    start,
    start_tangent,
    turned_back,
)
from onfold.geometry.point import Point, direction, distance, dot, left_of
from onfold.geometry.region import area
from onfold.pattern import Edge, Inner, Opening
from onfold.recipe.bench import Bench, Outline
from onfold.recipe.laid import NotchSpot
from onfold.recipe.step import EdgeOfPiece, Length, LineName, NewLine, NewName, PointName, step
from onfold.recipe.telling import Telling

RUNS_ON = 0.985
"""The cosine of 10 degrees: an edge that bends no more where the next begins runs on into it."""
JOINS = 1e-6
"""Ends nearer than this, mm, are one point: what remains of rounding after a few operations on millimetres."""
MOST_LEAN = 1.4
"""Radians (80 degrees): a seam that lies flatter along the line has no end there that one curve could meet squarely."""


@step("close the outline", "outline")
class CloseOutline:
    """Close a piece's outline from lines in their order round the piece; each is cut off where it meets the next.

    The lines' names become the edges' names. The line that is the piece's fold becomes its fold edge.
    """

    lines: tuple[LineName, ...]

    reason: ClassVar[str] = "From here on it is a piece: its edges have names and lengths."
    gives: ClassVar[tuple[str, ...]] = ("outline of {piece}",)

    def run(self, bench: Bench) -> None:
        """Close it, anticlockwise."""
        begun = bench.begun()
        paths = [bench.line(each) for each in self.lines]
        if len(paths) < 2:
            raise bench.stop("OUTLINE-OPEN", f"The outline of {begun.name} needs at least two lines.")
        if begun.centre:
            bench.line(begun.centre)
        if begun.on_fold and begun.centre not in self.lines:
            raise bench.stop(
                "STEP-NAME",
                f"The {begun.name} is on the fold, but none of these lines is its fold, the '{begun.centre}'.",
                found=", ".join(self.lines),
                expected=begun.centre,
                remedy=f"name '{begun.centre}' among the lines",
                lost=begun.centre,
                on=begun.name,
            )
        ring = _chained(bench, self.lines, paths)
        # the outline runs as its control points do
        if area(np.concatenate([path.curves for path in ring]).reshape(-1, 2)) < 0:
            ring = [turned_back(path) for path in reversed(ring)]
            names = tuple(reversed(self.lines))
        else:
            names = self.lines
        bench.put_outline(
            tuple(
                Edge(name, path, fold=begun.on_fold and name == begun.centre)
                for name, path in zip(names, ring, strict=True)
            )
        )

    def say(self, told: Telling) -> str:
        """Tell."""
        return f"Go round the piece with a heavy line: {', '.join(self.lines[:-1])} and {self.lines[-1]}."


def _chained(bench: Bench, names: tuple[str, ...], paths: list[Path]) -> list[Path]:
    """Return the paths each turned and trimmed so that it ends where the next begins."""
    count = len(paths)
    ends = [(start(path), end(path)) for path in paths]
    corners = []
    for index in range(count):
        following = (index + 1) % count
        corner = _shared_end(ends[index], ends[following], count == 2 and index == 1)
        if corner is None:
            found = meetings(paths[index], paths[following])
            corner = (found[-1].along_a, found[-1].along_b) if found else None
        if corner is None:
            raise bench.stop(
                "OUTLINE-OPEN",
                f"{names[index]} and {names[following]} do not meet, so the outline stays open.",
                found=f"{names[index]}, {names[following]}",
                expected="lines that share a point",
                remedy="draw them to one point, or change their order",
            )
        corners.append(corner)
    ring = []
    for index, path in enumerate(paths):
        begin, finish = corners[index - 1][1], corners[index][0]
        low, high = min(begin, finish), max(begin, finish)
        whole = low <= JOINS and (high == inf or high >= length(path) - JOINS)
        piece = path if whole else part(path, low, high)
        ring.append(piece if begin <= finish else turned_back(piece))
    return ring


def _shared_end(a: tuple[Point, Point], b: tuple[Point, Point], last: bool) -> tuple[float, float] | None:
    """Return the mm along two lines at which their ends are one point; `inf` is an end, which needs no measuring."""
    ways = ((inf, a[1], 0.0, b[0]), (inf, a[1], inf, b[1]), (0.0, a[0], 0.0, b[0]), (0.0, a[0], inf, b[1]))
    for along, p, beyond, q in reversed(ways) if last else ways:
        if distance(p, q) < JOINS:
            return along, beyond
    return None


@step("true across", "outline")
class TrueAcross:
    """True a line across the seam it ends at: level at the centre, square to the seam's line at its end.

    The end slides along that line: with a flare up it, with a taper beyond its end. The line becomes the arc that a
    flared hem is swept with, width x tan(lean / 2) up the side; a level of its name is restated for a half piece.
    `width` stands in for the line's own where both sides of a seam must slide alike.
    """

    line: LineName
    over: LineName
    width: Length | None = None

    reason: ClassVar[str] = "Square to the seam on both pieces, it runs on over it without a dip or a point."

    def run(self, bench: Bench) -> None:
        """Redraw both lines, and move the points that lay at their common end."""
        drawn, seam = bench.line(self.line), bench.line(self.over)
        a, b = start(drawn), end(drawn)
        if distance(end(seam), b) > JOINS:
            raise bench.stop(
                "STEP-NO-MEETING",
                f"The {self.line} and the {self.over} do not end at one point, so nothing can be trued there.",
                remedy="true it before either is cut off",
                lost=self.line,
            )
        level, way = direction(a, b), end_tangent(seam)
        lean = asin(max(-1.0, min(1.0, dot(level, way))))
        width = bench.perhaps(self.width)
        slide = (distance(a, b) if width is None else width) * tan(lean / 2.0)
        if abs(slide) < JOINS:
            return
        if slide >= length(seam) or abs(lean) > MOST_LEAN:
            raise bench.stop("STEP-CANNOT", f"The {self.over} leans too far to true the {self.line} across it.")
        there = (b[0] - way[0] * slide, b[1] - way[1] * slide)
        bench.redraw_line(
            self.over, part(seam, 0.0, length(seam) - slide) if slide > 0.0 else joined([seam, line(b, there)])
        )
        across = left_of(way)
        outward = across if dot(across, level) > 0.0 else (-across[0], -across[1])
        new = bench.sound(smooth([a, there], start_tangent=level, end_tangent=outward), self.line)
        bench.redraw_line(self.line, new)
        for name in bench.point_names():
            if distance(bench.point(name), b) < JOINS:
                bench.move_point(name, there)
        known = bench.look(("level", self.line))
        if known is not None:
            more = length(new) - length(drawn)
            bench.put_level(replace(known, finished=known.finished + 2.0 * more))

    def say(self, told: Telling) -> str:
        """Tell."""
        said = f"True the {self.line}: level at the centre, square to the {self.over} where they meet."
        before, after = (told.reads.get(("level", self.line)), told.writes.get(("level", self.line)))
        if before is None or after is None or told.mm(before.finished) == told.mm(after.finished):
            return said
        less = told.mm(abs(after.finished - before.finished))
        way = "less" if after.finished < before.finished else "more"
        return f"{said} Swept so it is {less} {way} round the body: {told.mm(after.finished)} finished."


@step("mark fold line", "outline")
class MarkFoldLine:
    """Draw a line inside the piece along which it is folded, from one point to another."""

    name: NewLine
    from_: PointName
    to: PointName

    reason: ClassVar[str] = "The cloth is folded here when the piece is made up."

    def run(self, bench: Bench) -> None:
        """Draw it."""
        bench.put_inner(Inner("fold line", self.name, line(bench.point(self.from_), bench.point(self.to))))

    def say(self, told: Telling) -> str:
        """Tell."""
        return f"From {self.from_} to {self.to} rule the fold line: {self.name}."


@step("open", "outline")
class OpenEdge:
    """Say that the garment opens along an edge, and how it closes."""

    name: NewName
    edge: EdgeOfPiece
    closes: Literal["zip", "buttons", "tie", "none"]

    reason: ClassVar[str] = "It must open far enough to be put on, and no further."

    def run(self, bench: Bench) -> None:
        """State the opening with its length, and notch it where the seam goes on."""
        edge, _, piece = self.edge.rpartition(" of ")
        opened = bench.edge(edge, piece)
        run = sum(length(each.path) for each in opened)
        bench.put_opening(Opening(self.name, (self.edge,), run, self.closes))
        names = {each.name for each in opened}
        outline = bench.outline(piece)
        for before, after in pairwise((outline[-1], *outline)):
            if (before.name in names) != (after.name in names) and _runs_on(before, after):
                foot = (after.name, 0, 0.0) if after.name in names else (before.name, len(before.path.curves) - 1, 1.0)
                bench.put_notch(NotchSpot(*foot, "single"), f"end of the {self.name} at {foot[0]}", piece)

    def say(self, told: Telling) -> str:
        """Tell."""
        run = next((v.length for k, v in told.writes.items() if k[0] == "opening"), 0.0)
        how = (
            "left open" if self.closes == "none" else f"closed with {'a zip' if self.closes == 'zip' else self.closes}"
        )
        said = f"Leave the {self.edge} unsewn for {told.mm(run)}: the {self.name}, {how}."
        return said + (" Notch where it ends." if any(key[0] == "notch" for key in told.writes) else "")


def _runs_on(before: Edge, after: Edge) -> bool:
    """Return whether an edge runs on into the next without a corner."""
    return dot(end_tangent(before.path), start_tangent(after.path)) > RUNS_ON


def replaced(outline: Outline, name: str, leaves: list[Edge]) -> Outline:
    """Return the outline with the edge of this name replaced by others in its place."""
    return tuple(new for each in outline for new in (leaves if each.name == name else [each]))


def renumbered(outline: Outline, root: str) -> Outline:
    """Return the outline with a root's leaves numbered anew, anticlockwise: `hem.1 … hem.n`."""
    count = 0
    result = []
    for each in outline:
        if each.root == root and each.parent == root:
            count += 1
            result.append(Edge(f"{root}.{count}", each.path, root, each.fold, each.allowance, each.finish, each.corner))
        else:
            result.append(each)
    return tuple(result)
