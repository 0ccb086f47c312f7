"""The drafting verbs: begin, rule, square, mark levels and points, join, carry, trace off."""

from __future__ import annotations

from math import isfinite
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
from onfold.geometry.point import distance, left_of, right_of

from onfold.pattern import Inner, Level, Point
from onfold.recipe.bench import Bench, PieceStart
from onfold.recipe.step import (
    Length,
    LevelName,
    LineName,
    NewLevel,
    NewLine,
    NewName,
    NewPiece,
    NewPoint,
    Number,
    PieceName,
    PointName,
    Share,
    Text,
    step,
)
from onfold.recipe.telling import Telling


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
            return f"Begin the {self.name} at a point on the straight edge of the paper: that edge is the {self.fold}, where the cloth is folded."
        return f"Begin the {self.name}: mark a starting point near the top left of the paper."


@step("turn to", "draft")
class TurnTo:
    """Work on another piece from here on."""

    piece: PieceName

    reason: ClassVar[str] = "The pieces are drafted side by side, so that lines which are sewn together can be compared."

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
        run = _positive(bench, bench.amount(self.length), self.name, self.length.text)
        bench.put_line(self.name, line((x, y), (x, y - run)))
        bench.put_point(f"end of {self.name}", (x, y - run))

    def say(self, told: Telling) -> str:
        """Tell."""
        return f"From {self.from_} rule the {self.name} straight down, {told.reckoned(self.length)} long."


@step("take in", "draft")
class TakeIn:
    """State a level's finished girth in stretch cloth: the body's, taken in by a share of the cloth's stretch.

    finished = body / (1 + share × stretch). Below `none below` nothing is taken in; the share is held to what still
    lets `to pass` through at full pull. [C] common practice; the fields are the recipe's and may be changed.
    """

    level: NewLevel
    girth: Length
    share: Share
    stretch: Share
    none_below: Share
    most: Share
    to_pass: Length | None = None

    reason: ClassVar[str] = (
        "A stretch garment is cut smaller than the body and held by the cloth; taken in by a part of the stretch only, "
        "it keeps room to move and can still be pulled on."
    )

    def run(self, bench: Bench) -> None:
        """State the level."""
        body = _positive(bench, bench.amount(self.girth), self.level, self.girth.text)
        stretch, asked = bench.amount(self.stretch), bench.amount(self.share)
        most, none_below = bench.amount(self.most), bench.amount(self.none_below)
        share = 0.0 if stretch < none_below else max(0.0, asked)
        passing = bench.perhaps(self.to_pass)
        if passing is not None and stretch > 0 and share > 0:
            share = max(0.0, min(share, (body * (1.0 + stretch) / passing - 1.0) / stretch))
        if asked > most:
            bench.warn(
                "TAKEN-IN-TOO-FAR",
                f"The {self.level} is taken in by {asked:.0%} of the stretch; more than {most:.0%} leaves no room to "
                "move or dress.",
                found=f"{asked:.0%}",
                expected=f"at most {most:.0%}",
                remedy=f"set '{self.share.text}' to {most:.0%} or less",
            )
        finished = body / (1.0 + share * stretch)
        bench.put_level(
            Level(self.level, body, finished, self.girth.text, share, asked if stretch >= none_below else 0.0)
        )

    def say(self, told: Telling) -> str:
        """Tell, and say where less was taken in than asked so that the garment goes on."""
        level = told.level(self.level)
        if level is None:
            return f"Reckon the finished {self.level}."
        stretch = told.amount(self.stretch)
        if level.share <= 0.0 and told.amount(self.share) > 0 and stretch < told.amount(self.none_below):
            return (
                f"{_cap(self.level)}: {told.mm(level.body)} on the body. The cloth stretches "
                f"{told.percent(stretch)}, too little to take anything in: the garment is cut to the body."
            )
        said = (
            f"{_cap(self.level)}: {told.mm(level.body)} on the body, {told.mm(level.finished)} finished: taken in by "
            f"{told.percent(level.share)} of the cloth's {told.percent(stretch)} stretch, so it is worn stretched by "
            f"{told.percent(level.wearing_stretch)}."
        )
        if level.share < level.asked_share - 1e-9:
            said += (
                f" {told.percent(level.asked_share)} was asked for; less is taken in so that "
                f"{told.length(self.to_pass) if self.to_pass else 'the body'} can pass when it is pulled on."
            )
        return said


@step("allow ease", "draft")
class AllowEase:
    """State a level's finished girth in a woven: the body's and the ease."""

    level: NewLevel
    girth: Length
    ease: Length

    reason: ClassVar[str] = "A woven does not give: the room to breathe, sit and walk is drafted in."

    def run(self, bench: Bench) -> None:
        """State the level."""
        body = _positive(bench, bench.amount(self.girth), self.level, self.girth.text)
        finished = _positive(bench, body + bench.amount(self.ease), self.level, self.ease.text)
        bench.put_level(Level(self.level, body, finished, self.girth.text))

    def say(self, told: Telling) -> str:
        """Tell."""
        level = told.level(self.level)
        finished = told.mm(level.finished) if level else ""
        return (
            f"{_cap(self.level)}: {told.length(self.girth)} on the body and {told.length(self.ease)} ease make "
            f"{finished} finished."
        )


@step("mark level", "draft")
class MarkLevel:
    """Square a level off the centre line: its width is given, or a part of the level's finished girth."""

    name: NewLevel
    on: LineName
    down: Length
    width: Length | None = None
    part: Number | None = None
    of: LevelName | None = None
    less: Length | None = None

    reason: ClassVar[str] = "Levels are squared off the centre so that the grain hangs straight."

    def run(self, bench: Bench) -> None:
        """Draw the level line and its two ends; a girth named by `of` becomes this level's too, less what is given."""
        x, y = start(bench.line(self.on))
        down = bench.amount(self.down)
        less = bench.perhaps(self.less) or 0.0
        if self.width is not None:
            width = bench.amount(self.width) - less
        elif self.part is not None:
            share = bench.amount(self.part)
            girth = bench.level(self.of or self.name).finished
            width = girth * share - less
            if self.of and self.of != self.name and share > 0:
                bench.put_level(Level(self.name, 0.0, width / share))
        else:
            raise bench.stop("KEY-MISSING", f"The level {self.name} needs a width or a part.", remedy="give 'width'")
        _positive(bench, width, self.name, (self.width or self.part or self.down).text)
        a, b = (x, y - down), (x + width, y - down)
        bench.put_line(self.name, line(a, b))
        bench.put_point(f"{self.name} on the centre", a)
        bench.put_point(f"end of {self.name}", b)
        bench.put_inner(Inner("level", self.name, line(a, b)))

    def say(self, told: Telling) -> str:
        """Tell."""
        lead = f"{told.length(self.down)} down the {self.on} square across for the {self.name}"
        if told.amount(self.down) == 0.0:
            lead = f"At the top of the {self.on} square across for the {self.name}"
        path = next((v for k, v in told.writes.items() if k[0] == "line"), None)
        width = told.mm(length(path)) if path is not None else ""
        if self.width is not None and not self.less:
            return f"{lead}: {told.reckoned(self.width)} wide."
        if self.part is not None:
            whole = f"{_fraction(told.amount(self.part))} of the finished {self.of or self.name}"
            less = f" less {told.length(self.less)}" if self.less and told.amount(self.less) else ""
            return f"{lead}: {width} wide, {whole}{less}."
        return f"{lead}: {width} wide."


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
    """Draw a line at right angles to another, from the point of it nearest to a given point."""

    name: NewLine
    at: PointName
    of: LineName
    length: Length
    side: Literal["right", "left"] = "right"

    reason: ClassVar[str] = "A right angle keeps the line on the grain."

    def run(self, bench: Bench) -> None:
        """Draw the line and its end. The right side is that of one walking along the line it is squared from."""
        base, here = bench.line(self.of), bench.point(self.at)
        run = _positive(bench, bench.amount(self.length), self.name, self.length.text)
        way = tangent_at(base, closest(base, here).along)
        dx, dy = right_of(way) if self.side == "right" else left_of(way)
        there = (here[0] + dx * run, here[1] + dy * run)
        bench.put_line(self.name, line(here, there))
        bench.put_point(f"end of {self.name}", there)

    def say(self, told: Telling) -> str:
        """Tell."""
        return f"From {self.at} square the {self.name} off the {self.of}, {told.reckoned(self.length)} long."


CURVES = ("straight", "smooth", "hip", "armhole", "low back", "waist")


@step("join", "draft")
class Join:
    """Join points by a line: straight, smooth, or one of the trade's curves.

    `hip` runs smoothly through the points and hangs straight down from the last but one; `armhole` leaves its first
    point level and reaches its last one upright, the deeper the greater its `hollow`; `low back` is level at both
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
        points = [bench.point(each) for each in self.points]
        apart = [points[0], *(b for a, b in zip(points, points[1:], strict=False) if distance(a, b) > 1e-6)]
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
    """Return the directions at the first and last point that meet another line squarely; None at an end off it."""
    ways: list[Point | None] = []
    for here, beyond, forward in ((points[0], points[-1], 1.0), (points[-1], points[0], -1.0)):
        near = closest(other, here)
        if near.distance > 1e-3:
            ways.append(None)
            continue
        dx, dy = left_of(tangent_at(other, near.along))
        inward = 1.0 if (beyond[0] - here[0]) * dx + (beyond[1] - here[1]) * dy >= 0.0 else -1.0
        ways.append((dx * inward * forward, dy * inward * forward))
    return ways[0], ways[1]


def _swept(points: list[Point], curve: str, hollow: float, ends: Ways) -> Path | Fault:
    """Return the trade's curve through the points (at least two, no two on one spot)."""
    first, last = points[0], points[-1]
    if curve == "straight":
        return polyline(points)
    if curve == "hip" and len(points) > 2:
        down = (0.0, -1.0) if points[-2][1] > last[1] else (0.0, 1.0)
        upper = smooth(points[:-1], start_tangent=ends[0], end_tangent=down)
        return upper if isinstance(upper, Fault) else joined([upper, line(points[-2], last)])
    if curve == "armhole":
        width, rise = abs(last[0] - first[0]), last[1] - first[1]
        way = ends[0] or (1.0 if last[0] > first[0] else -1.0, 0.0)
        reach = hollow * width
        return cubic(
            first, (first[0] + way[0] * reach, first[1] + way[1] * reach), (last[0], last[1] - hollow * rise), last
        )
    level = (1.0 if last[0] > first[0] else -1.0, 0.0)
    if curve == "low back":
        return smooth(points, start_tangent=ends[0] or level, end_tangent=ends[1] or level)
    if curve == "waist":
        return smooth(points, start_tangent=ends[0] or level, end_tangent=ends[1])
    return smooth(points, start_tangent=ends[0], end_tangent=ends[1])


@step("carry length", "draft")
class CarryLength:
    """Make a line as long as another by letting it run on, or cutting it off, at its start or its end."""

    line: LineName
    to: Length
    at: Literal["start", "end"] = "end"

    reason: ClassVar[str] = "Lines that are sewn together are walked and made equal before anything else is drawn from them."

    def run(self, bench: Bench) -> None:
        """Redraw the line, and move the points that lay on its moved end."""
        drawn = bench.line(self.line)
        wanted = _positive(bench, bench.amount(self.to), self.line, self.to.text)
        have = length(drawn)
        old = end(drawn) if self.at == "end" else start(drawn)
        if wanted < have:
            new = part(drawn, 0.0, wanted) if self.at == "end" else part(drawn, have - wanted, have)
        elif wanted > have and self.at == "end":
            dx, dy = end_tangent(drawn)
            new = joined([drawn, line(old, (old[0] + dx * (wanted - have), old[1] + dy * (wanted - have)))])
        elif wanted > have:
            dx, dy = start_tangent(drawn)
            new = joined([line((old[0] - dx * (wanted - have), old[1] - dy * (wanted - have)), old), drawn])
        else:
            new = drawn
        bench.redraw_line(self.line, new)
        there = end(new) if self.at == "end" else start(new)
        for name in bench.point_names():
            if distance(bench.point(name), old) < 1e-6:
                bench.move_point(name, there)

    def say(self, told: Telling) -> str:
        """Tell."""
        return f"Walk the {self.line} and make it {told.reckoned(self.to)} long, at its {self.at}."


@step("trace off", "draft")
class TraceOff:
    """Trace a piece's points and lines onto a new sheet: a new piece that starts as the old one stands now."""

    piece: PieceName
    name: NewPiece
    fold: Text | None = None
    centre: Text | None = None

    reason: ClassVar[str] = "What is sewn together is traced from one line, so that it cannot differ."

    def run(self, bench: Bench) -> None:
        """Copy every point, line and level; the old centre line takes the new one's name."""
        old = bench.begun(self.piece)
        centre = self.fold or self.centre or old.centre
        bench.put_piece(PieceStart(self.name, centre, self.fold is not None))
        for each in bench.listed("point", self.piece):
            bench.put_point(each.replace(old.centre, centre), bench.point(each, self.piece))
        for each in bench.listed("line", self.piece):
            bench.put_line(centre if each == old.centre else each, bench.line(each, self.piece))
        for each in bench.listed("inner", self.piece):
            inner = bench.look(("inner", self.piece, each))
            bench.put_inner(inner)

    def say(self, told: Telling) -> str:
        """Tell."""
        fold = f", with the {self.fold} on the fold" if self.fold else ""
        return f"Lay a new sheet over the {self.piece} and trace it off as it stands now: this is the {self.name}{fold}."


def _positive(bench: Bench, value: float, name: str, text: str) -> float:
    if isfinite(value) and value > 1e-6:
        return value
    raise bench.stop(
        "STEP-CANNOT",
        f"'{text}' gives no length for {name} with these measures: {value / 10:.1f} cm.",
        found=f"{value / 10:.1f} cm",
        expected="more than nothing",
        remedy="check the measures and choices it uses",
    )


def _cap(text: str) -> str:
    return text[:1].upper() + text[1:]


def _fraction(value: float) -> str:
    words = {0.5: "half", 0.25: "a quarter", 1.0: "the whole", 1 / 3: "a third"}
    return next((word for number, word in words.items() if abs(number - value) < 1e-9), f"{value:g}")


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
