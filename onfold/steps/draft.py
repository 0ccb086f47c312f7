"""The drafting verbs: begin, rule, square, mark points, join, carry, trace off."""

from __future__ import annotations

import itertools
from math import sqrt
from typing import ClassVar, Literal

from onfold.geometry.fault import Fault
from onfold.geometry.path import (
    Path,
    closest,
    cubic,
    end,
    end_tangent,
    joined,
    length,
    line,
    part,
    polyline,
    smooth,
    start,
    start_tangent,
    tangent_at,
)
from onfold.geometry.point import between, direction, distance, dot, left_of, lines_meet, right_of
from onfold.pattern import Point
from onfold.recipe.bench import Bench
from onfold.recipe.laid import PieceStart
from onfold.recipe.step import (
    Length,
    LineName,
    NewLine,
    NewName,
    NewPiece,
    NewPoint,
    PieceName,
    PointName,
    Share,
    Text,
    step,
)
from onfold.recipe.telling import Telling
from onfold.steps.levels import positive

ONE_SPOT = 1e-6
"""Points nearer than this, mm, are one, and lengths this near are equal: rounding, not drafting."""


@step("begin piece", "draft")
class BeginPiece:
    """Begin a piece: a sheet of paper with a point `start` at the top of its centre line."""

    name: NewPiece
    fold: Text | None = None
    centre: Text | None = None

    reason: ClassVar[str] = "Every piece starts from one straight line that all the others are squared from."

    def run(self, bench: Bench) -> None:
        """Put the piece and its start."""
        bench.put_piece(PieceStart(self.name, self.fold or self.centre or "", self.fold is not None))
        bench.put_point("start", (0.0, 0.0))

    def say(self, told: Telling) -> str:
        """Tell."""
        if self.fold:
            return (
                f"Begin the {self.name} at a point on the straight edge of the paper: that edge is the {self.fold}, "
                "where the cloth is folded."
            )
        return f"Begin the {self.name}: mark a starting point near the top left of the paper."


@step("turn to", "draft")
class TurnTo:
    """Work on another piece from here on."""

    piece: PieceName

    reason: ClassVar[str] = (
        "The pieces are drafted side by side, so that lines which are sewn together can be compared."
    )

    def run(self, bench: Bench) -> None:
        """Turn."""
        bench.turn_to(self.piece)

    def say(self, told: Telling) -> str:
        """Tell."""
        return f"Take up the {self.piece} again."


@step("rule down", "draft")
class RuleDown:
    """Rule a straight line downwards from a point."""

    name: NewLine
    from_: PointName
    length: Length

    reason: ClassVar[str] = "It carries the lengths of the body."

    def run(self, bench: Bench) -> None:
        """Draw the line and its end."""
        x, y = bench.point(self.from_)
        run = positive(bench, bench.amount(self.length), self.name, self.length.text)
        bench.put_line(self.name, line((x, y), (x, y - run)))
        bench.put_point(f"end of {self.name}", (x, y - run))

    def say(self, told: Telling) -> str:
        """Tell."""
        return f"From {self.from_} rule the {self.name} straight down, {told.reckoned(self.length)} long."


@step("mark point", "draft")
class MarkPoint:
    """Mark a point by measuring off from another: across (away from the centre) and up."""

    name: NewPoint
    from_: PointName
    across: Length | None = None
    up: Length | None = None

    reason: ClassVar[str] = "The lines to come run through it."

    def run(self, bench: Bench) -> None:
        """Put the point."""
        x, y = bench.point(self.from_)
        bench.put_point(self.name, (x + (bench.perhaps(self.across) or 0.0), y + (bench.perhaps(self.up) or 0.0)))

    def say(self, told: Telling) -> str:
        """Tell."""
        ways = []
        for formula, more, less in ((self.across, "out", "in"), (self.up, "up", "down")):
            if formula is not None and told.amount(formula):
                value = told.amount(formula)
                ways.append(f"{told.mm(abs(value))} {more if value > 0 else less}")
        return f"Mark {self.name}: from {self.from_} {' and '.join(ways) or 'no way at all'}."


@step("square across", "draft")
class SquareAcross:
    """Draw a line from a point, at right angles to another line where that comes nearest to the point."""

    name: NewLine
    at: PointName
    of: LineName
    length: Length
    side: Literal["right", "left"] = "right"

    reason: ClassVar[str] = "A right angle keeps the line on the grain."

    def run(self, bench: Bench) -> None:
        """Draw the line and its end. The right side is that of one walking along the line it is squared from."""
        base, here = bench.line(self.of), bench.point(self.at)
        run = positive(bench, bench.amount(self.length), self.name, self.length.text)
        way = tangent_at(base, closest(base, here).along)
        dx, dy = right_of(way) if self.side == "right" else left_of(way)
        there = (here[0] + dx * run, here[1] + dy * run)
        bench.put_line(self.name, line(here, there))
        bench.put_point(f"end of {self.name}", there)

    def say(self, told: Telling) -> str:
        """Tell."""
        return f"From {self.at} square the {self.name} off the {self.of}, {told.reckoned(self.length)} long."


MOST_POINTS = 100
"""Of one line: more is a list that went wrong, and would be a long time in the drawing."""
ROUND = 0.25
"""Of its rise: the tightest turn of an armhole at the underarm, where the chest above is hardly narrower [C]."""
ROOM_ENOUGH, ROOM_SCARCE = 0.4, 0.2
"""Of its rise: with so much from underarm to chest it turns by itself; with so little it is made round [C]."""
CURVES = ("straight", "smooth", "hip", "armhole", "low back", "waist")


@step("join", "draft")
class Join:
    """Join points by a line: straight, smooth, or one of the trade's curves.

    `hip` runs smoothly through the points and hangs straight down from the last but one; `armhole` leaves its first
    point level and reaches its last one upright, the deeper the greater its `hollow`, and the rounder at the foot the
    less room lies between both (a quarter of its rise where a fifth of it or less is left); `low back` is level at both
    ends, `waist` level at the centre, its first point. Where it ends on the line named by `square to`, it meets that
    line at a right angle instead, so that it runs on true over the seam sewn there.
    """

    name: NewLine
    points: tuple[PointName, ...]
    curve: Literal["straight", "smooth", "hip", "armhole", "low back", "waist"] = "straight"
    hollow: Share | None = None
    square_to: LineName | None = None

    reason: ClassVar[str] = "Drawn in one sweep, so that the seam has no corner."

    def run(self, bench: Bench) -> None:
        """Draw the line."""
        if len(self.points) > MOST_POINTS:
            says = f"The {self.name} joins {len(self.points)} points; a hand draws through {MOST_POINTS} at most."
            raise bench.stop("STEP-CANNOT", says, found=str(len(self.points)), expected=f"at most {MOST_POINTS}")
        points = bench.points(self.points)
        apart = [points[0], *(b for a, b in itertools.pairwise(points) if distance(a, b) > ONE_SPOT)]
        if len(apart) < 2:
            raise bench.stop("STEP-CANNOT", f"The line {self.name} joins points that lie on one spot.")
        curve = bench.word(self.curve, CURVES)
        hollow = bench.perhaps(self.hollow)
        if curve == "armhole" and hollow is None:
            raise bench.stop("KEY-MISSING", "An armhole curve needs its hollow.", remedy="give 'hollow: 55 %'")
        ends = (None, None) if self.square_to is None else _square_ends(apart, bench.line(self.square_to))
        bench.put_line(self.name, _swept(apart, curve, hollow or 0.0, ends))

    def say(self, told: Telling) -> str:
        """Tell."""
        way = {
            "straight": "with a straight line",
            "smooth": "with one smooth curve",
            "hip": "with the hip curve, straight down from the hip",
            "armhole": "with an armhole curve, level at the underarm and upright at the top",
            "low back": "with a curve that is level at the centre back",
            "waist": "with a shallow curve, square at the centre",
        }[told.word(self.curve, CURVES)]
        through = ", ".join(self.points[:-1]) + " and " + self.points[-1]
        path = next((v for k, v in told.writes.items() if k[0] == "line"), None)
        size = f" It measures {told.mm(length(path))}." if path is not None else ""
        return f"Join {through} {way}: the {self.name}.{size}"


Ways = tuple[Point | None, Point | None]


def _square_ends(points: list[Point], other: Path) -> Ways:
    """Return the directions at the first and last point that meet another line squarely; None at an end off it.

    Of the two it is the one towards the centre line, x = 0, that every piece is squared off.
    """
    ways: list[Point | None] = []
    for here, beyond, forward in ((points[0], points[-1], 1.0), (points[-1], points[0], -1.0)):
        near = closest(other, here)
        if near.distance > 1e-3:
            ways.append(None)
            continue
        dx, dy = left_of(tangent_at(other, near.along))
        towards = -here[0] if abs(here[0]) > ONE_SPOT else beyond[0] - here[0]
        inward = 1.0 if towards * dx >= 0.0 else -1.0
        ways.append((dx * inward * forward, dy * inward * forward))
    return ways[0], ways[1]


def _swept(points: list[Point], curve: str, hollow: float, ends: Ways) -> Path | Fault:
    """Return the trade's curve through the points (at least two, no two on one spot)."""
    first, last = points[0], points[-1]
    if curve == "straight":
        return polyline(points)
    if curve == "hip" and len(points) > 2:
        upper = smooth(points[:-1], start_tangent=ends[0], end_tangent=direction(points[-2], last))
        return upper if isinstance(upper, Fault) else joined([upper, line(points[-2], last)])
    if curve == "armhole":
        width, rise = abs(last[0] - first[0]), last[1] - first[1]
        way = ends[0] or (1.0 if last[0] > first[0] else -1.0, 0.0)
        reach = max(hollow * width, _least_reach(dot((last[0] - first[0], 0.0), way), rise, hollow))
        return cubic(
            first, (first[0] + way[0] * reach, first[1] + way[1] * reach), (last[0], last[1] - hollow * rise), last
        )
    level = (1.0 if last[0] > first[0] else -1.0, 0.0)
    if curve == "low back":
        return smooth(points, start_tangent=ends[0] or level, end_tangent=ends[1] or level)
    if curve == "waist" and ends[1] is not None and len(points) == 2:
        return _between_tangents(first, ends[0] or level, last, ends[1])
    if curve == "waist":
        return smooth(points, start_tangent=ends[0] or level, end_tangent=ends[1])
    return smooth(points, start_tangent=ends[0], end_tangent=ends[1])


def _least_reach(inward: float, rise: float, hollow: float) -> float:
    """Return how far, mm, an armhole runs on level at the underarm so that it turns up gently enough.

    `inward` mm are left between the underarm and the chest above it: the less, the rounder the turn. A cubic whose
    second control point lies `reach` away on its tangent and whose third lies `up` mm off the tangent begins with the
    radius 3/2 reach^2 / up [A].
    """
    if hollow <= 0.0 or rise <= 0.0:
        return 0.0
    share = min(1.0, max(0.0, (ROOM_ENOUGH - inward / rise) / (ROOM_ENOUGH - ROOM_SCARCE)))
    return rise * sqrt(2.0 / 3.0 * ROUND * share * max(1.0 - hollow, 0.0))


def _between_tangents(first: Point, go: Point, last: Point, come: Point) -> Path | Fault:
    """Return the curve that leaves and arrives in given directions with no tight place near its end.

    Its last control point lies where both directions meet, its first two thirds of the way there; where they meet
    behind either end, a smooth curve.
    """
    ahead = (first[0] + go[0], first[1] + go[1])
    behind = (last[0] - come[0], last[1] - come[1])
    corner = lines_meet(first, ahead, last, behind)
    if corner is not None:
        forward = (corner[0] - first[0]) * go[0] + (corner[1] - first[1]) * go[1]
        backward = (last[0] - corner[0]) * come[0] + (last[1] - corner[1]) * come[1]
        if forward > 0.0 and backward > 0.0:
            return cubic(first, between(first, corner, 2.0 / 3.0), corner, last)
    return smooth([first, last], start_tangent=go, end_tangent=come)


@step("carry length", "draft")
class CarryLength:
    """Make a line as long as another by letting it run on, or cutting it off, at its start or its end."""

    line: LineName
    to: Length
    at: Literal["start", "end"] = "end"

    reason: ClassVar[str] = (
        "Lines that are sewn together are walked and made equal before anything else is drawn from them."
    )

    def run(self, bench: Bench) -> None:
        """Redraw the line, and move the points that lay on its moved end."""
        drawn = bench.line(self.line)
        wanted = positive(bench, bench.amount(self.to), self.line, self.to.text)
        have = length(drawn)
        old = end(drawn) if self.at == "end" else start(drawn)
        if abs(wanted - have) < ONE_SPOT:
            new = drawn
        elif wanted < have:
            new = part(drawn, 0.0, wanted) if self.at == "end" else part(drawn, have - wanted, have)
        elif self.at == "end":
            dx, dy = end_tangent(drawn)
            new = joined([drawn, line(old, (old[0] + dx * (wanted - have), old[1] + dy * (wanted - have)))])
        else:
            dx, dy = start_tangent(drawn)
            new = joined([line((old[0] - dx * (wanted - have), old[1] - dy * (wanted - have)), old), drawn])
        bench.redraw_line(self.line, new)
        there = end(new) if self.at == "end" else start(new)
        for name in bench.point_names():
            if distance(bench.point(name), old) < ONE_SPOT:
                bench.move_point(name, there)

    def say(self, told: Telling) -> str:
        """Tell."""
        return f"Walk the {self.line} and make it {told.reckoned(self.to)} long, at its {self.at}."


@step("trace off", "draft")
class TraceOff:
    """Trace a piece's points and lines onto a new sheet: a new piece that starts as the old one stands now."""

    piece: PieceName
    name: NewPiece
    fold: NewLine | None = None
    centre: NewLine | None = None

    reason: ClassVar[str] = "What is sewn together is traced from one line, so that it cannot differ."

    def run(self, bench: Bench) -> None:
        """Copy every point, line and level; the old centre line takes the new one's name."""
        old = bench.begun(self.piece)
        centre = self.fold or self.centre or old.centre
        if old.centre:
            bench.line(old.centre, self.piece)
        bench.put_piece(PieceStart(self.name, centre, self.fold is not None))
        for each in bench.listed("point", self.piece):
            called = each.replace(old.centre, centre) if old.centre else each
            bench.put_point(called, bench.point(each, self.piece))
        for each in bench.listed("line", self.piece):
            bench.put_line(centre if each == old.centre else each, bench.line(each, self.piece))
        for each in bench.listed("inner", self.piece):
            inner = bench.look(("inner", self.piece, each))
            bench.put_inner(inner)

    def say(self, told: Telling) -> str:
        """Tell."""
        fold = f", with the {self.fold} on the fold" if self.fold else ""
        return (
            f"Lay a new sheet over the {self.piece} and trace it off as it stands now: this is the {self.name}{fold}."
        )


@step("state", "draft")
class State:
    """State a figure that the checks and the lesson speak of, such as what the front is longer over the bust."""

    name: NewName
    length: Length

    reason: ClassVar[str] = "It is kept with the draft, so that it can be checked."

    def run(self, bench: Bench) -> None:
        """State it."""
        bench.put_fact(self.name, bench.amount(self.length))

    def say(self, told: Telling) -> str:
        """Tell."""
        if self.length.text == self.name:
            return f"Bear in mind the {self.name}: {told.length(self.length)}."
        return f"Reckon the {self.name}: {told.reckoned(self.length)}."
