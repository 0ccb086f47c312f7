"""Developing verbs: lengthen at a line, slash and spread, slash and overlap."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import degrees, isfinite
from typing import ClassVar

from onfold.geometry.fall import sag
from onfold.geometry.path import Path, at, cut, end, joined, length, line, meetings, moved, polyline, start
from onfold.geometry.point import distance, turned_point
from onfold.geometry.slash import Swung, lies_above, opening_angle, rising, square_foot, swing, swing_path, swing_point
from onfold.pattern import Edge, Inner, Point
from onfold.recipe.bench import Bench, Outline
from onfold.recipe.step import EdgeName, Length, LevelName, Number, step
from onfold.recipe.telling import Telling


@dataclass(frozen=True)
class Slashed:
    """What a slashed piece was like before: its outline, the edges, hinges and feet in mm along, and the opening.

    `pivots` are the hinges as points, `widths` how long each slash is, mm: they don't change as it opens.
    """

    before: Outline
    hinged: str
    centre: str
    hinges: tuple[float, ...]
    feet: tuple[float, ...]
    pivots: tuple[Point, ...]
    widths: tuple[float, ...]
    opening: float
    span: float
    most_turn: float


@step("lengthen at", "develop")
class LengthenAt:
    """Let length into a piece that is not closed, along one of its levels: all that lies below moves down."""

    level: LevelName
    by: Length

    reason: ClassVar[str] = "The length goes in where the body needs it, and every line below keeps its shape."

    def run(self, bench: Bench) -> None:
        """Cut every line that crosses the level, and move what is below."""
        by, across = bench.amount(self.by), bench.line(self.level)
        if by <= 0.0:
            return
        if bench.look(("outline", bench.piece)) is not None:
            says = f"The {bench.piece} is closed already: let length in before that, or make it longer at the hem."
            raise bench.stop("STEP-CANNOT", says, remedy="put it before the outline is closed")
        height = start(across)[1]
        for name in bench.listed("line", bench.piece):
            if name != self.level:
                bench.redraw_line(name, _let_in(bench.line(name), height, by))
        for name in bench.point_names():
            x, y = bench.point(name)
            if y < height - 1e-6:
                bench.move_point(name, (x, y - by))
        for name in bench.listed("inner", bench.piece):
            inner = bench.look(("inner", bench.piece, name))
            bench.put_inner(Inner(inner.kind, inner.name, _let_in(inner.path, height, by)))

    def say(self, told: Telling) -> str:
        """Tell."""
        by = told.amount(self.by)
        if by <= 0.0:
            return f"No length is let in at the {self.level}."
        return f"Cut across at the {self.level} and let in {told.mm(by)}: everything below moves down."


def _let_in(path: Path, height: float, by: float) -> Path:
    """Return the path with a straight run let in where it crosses the height, its lower parts moved down."""
    low, high = path.curves[..., 1].min(), path.curves[..., 1].max()
    if low >= height - 1e-6:
        return path
    if high <= height + 1e-6:
        return moved(path, 0.0, -by)
    left, right = path.curves[..., 0].min() - 1.0, path.curves[..., 0].max() + 1.0
    alongs = [each.along_a for each in meetings(path, line((left, height), (right, height)))]
    run: list[Path] = []
    for each in cut(path, [mm for mm in alongs if 1e-6 < mm < length(path) - 1e-6]):
        stretch = moved(each, 0.0, -by) if at(each, length(each) / 2)[1] < height else each
        if run and distance(end(run[-1]), start(stretch)) > 1e-9:
            run.append(line(end(run[-1]), start(stretch)))
        run.append(stretch)
    return joined(run)


@step("slash and spread", "develop")
class SlashAndSpread:
    """Slash a piece square to its centre and spread it, hinged at another edge.

    The hinges divide the hinged edge into equal lengths; the opening is measured straight at the old centre. Where a
    fall is asked for, the opening is solved for it: the neck edge hangs as a catenary (see `geometry.fall`).
    """

    centre: EdgeName
    hinged: EdgeName
    slashes: Number
    opening: Length
    fall: Length | None = None
    span: Length
    most_turn: Number

    reason: ClassVar[str] = (
        "Each slash lets length into the neck edge and none into the armhole; the longer the neck edge against the way "
        "it spans, the deeper it falls."
    )
    gives: ClassVar[tuple[str, ...]] = ("slashes of {piece}",)

    def run(self, bench: Bench) -> None:
        """Spread, or leave the piece as it is and say how far one may go."""
        count = bench.whole(self.slashes)
        if count < 1 or count > 99:
            raise bench.stop("STEP-CANNOT", "At least one slash is needed, at most 99.", found=str(count))
        plan = self._planned(bench, count)
        asked = bench.perhaps(self.fall)
        most = largest_opening(plan)
        opening = max(0.0, bench.amount(self.opening)) if asked is None else _solved(plan, asked, most)
        if opening is None:
            self._out_of_reach(bench, plan, most, asked or 0.0)
            opening = 0.0
        elif opening > most + 1e-9:
            bench.warn(
                "COWL-TURN",
                f"Opened by {bench.mm(opening)} at each of {count} slashes the front turns more than "
                f"{plan.most_turn:g}°. It can be opened by at most {bench.mm_down(most)}.",
                found=f"{bench.mm(opening)}",
                expected=f"at most {bench.mm_down(most)}",
                remedy=f"open each slash less: choices: {{{self.opening.text}: {bench.mm_down(most)}}}",
            )
            opening = 0.0
        plan = replace(plan, opening=opening)
        _state_facts(bench, plan, asked)
        lay_spread(bench, plan)

    def _planned(self, bench: Bench, count: int) -> Slashed:
        outline = bench.outline()
        (hinged,) = _single(bench, self.hinged)
        (centre,) = _single(bench, self.centre)
        whole = length(hinged.path)
        hinges = tuple(whole * (k + 1) / (count + 1) for k in range(count))
        feet = tuple(square_foot(at(hinged.path, mm), centre.path) or -1.0 for mm in hinges)
        if min(feet) < 0.0 or not rising([-foot for foot in feet]):
            raise bench.stop(
                "STEP-CANNOT",
                f"The slashes from the {self.hinged} do not all reach the {self.centre}, each above the last.",
                remedy="draw the hinged edge so that it rises from end to end",
            )
        span, most_turn = bench.amount(self.span), bench.amount(self.most_turn)
        if not (isfinite(span) and span > 0.0 and 0.0 < most_turn <= 180.0):
            raise bench.stop("STEP-CANNOT", "The span must be longer than nothing and the turn at most 180.")
        pivots, widths = _slashes(hinged.path, centre.path, hinges, feet)
        return Slashed(outline, self.hinged, self.centre, hinges, feet, pivots, widths, 0.0, span, most_turn)

    def _out_of_reach(self, bench: Bench, plan: Slashed, most: float, asked: float) -> None:
        largest = fall_of(plan, most)
        said = bench.mm_down(largest)
        bench.warn(
            "COWL-FALL",
            f"A fall of {bench.mm(asked)} is out of reach: within {plan.most_turn:g}° of turn the largest is {said}.",
            found=bench.mm(asked),
            expected=f"at most {said}",
            remedy=f"ask for less: choices: {{fall: {said}}}; or draft a longer armhole",
        )

    def say(self, told: Telling) -> str:
        """Tell."""
        spread, count = told.fact("spread"), told.number(self.slashes)
        turn = told.degrees(told.fact("total turn"))
        if spread <= 0.0:
            return (
                f"Draw {count} slashes square to the {self.centre}, ending on the {self.hinged}, and leave them closed."
            )
        lead = (
            f"Paste paper above the piece and beyond the {self.centre} first: what is slashed comes to lie on it. "
            f"Divide the {self.hinged} in {int(told.amount(self.slashes)) + 1}. Slash from the {self.centre}, square "
            f"to it, to each division but not through it. From the lowest slash up, spread each by {told.mm(spread)} "
            f"at the {self.centre}, and stick it down: in all the front turns by {turn}."
        )
        if not told.open(self.fall):
            lead += f" So much gives the fall of {told.length(self.fall)} that was asked for." if self.fall else ""
        return lead


def parts_of(plan: Slashed) -> tuple[Edge, list[Edge], Edge]:
    """Return the hinged edge, the edges above it up to the centre, and the centre edge."""
    names = [each.name for each in plan.before]
    low, high = names.index(plan.hinged), names.index(plan.centre)
    above = list(plan.before[low + 1 : high]) if low < high else [*plan.before[low + 1 :], *plan.before[:high]]
    return plan.before[low], above, plan.before[high]


def _slashes(
    hinged: Path, centre: Path, hinges: Sequence[float], feet: Sequence[float]
) -> tuple[tuple[Point, ...], tuple[float, ...]]:
    """Return the hinge of every slash as a point, and its length to its foot, mm."""
    pivots = tuple(at(hinged, along) for along in hinges)
    return pivots, tuple(distance(pivot, at(centre, foot)) for pivot, foot in zip(pivots, feet, strict=True))


def angles_of(plan: Slashed, opening: float) -> list[float] | None:
    """Return the angle of every slash at this opening, radians, or None where one cannot open so far."""
    angles = [opening_angle(width, opening) for width in plan.widths]
    return None if any(each is None for each in angles) else [each for each in angles if each is not None]


def spread_by(plan: Slashed, opening: float) -> Swung | None:
    """Return the edges spread by this opening, or None where a slash cannot open so far."""
    angles = angles_of(plan, opening)
    if angles is None:
        return None
    hinged, above, centre = parts_of(plan)
    none = [0.0] * len(plan.feet)
    return swing(
        hinged.path, [each.path for each in above], centre.path, plan.hinges, plan.feet, [-a for a in angles], none
    )


def largest_opening(plan: Slashed) -> float:
    """Return the greatest opening, mm, whose turns together stay within the most that is allowed."""

    def turned(opening: float) -> float:
        angles = angles_of(plan, opening)
        return float("inf") if angles is None else degrees(sum(angles))

    low, high = 0.0, 1.0
    while turned(high) <= plan.most_turn:
        low, high = high, high * 2.0
    return _bisected(lambda opening: turned(opening) <= plan.most_turn, low, high)


def fall_of(plan: Slashed, opening: float) -> float:
    """Return the expected fall, mm, of the neck edge at this opening: the catenary's sag."""
    return sag(half_neck(plan, opening), plan.span)


def half_neck(plan: Slashed, opening: float) -> float:
    """Return the half neck edge, mm, once the neck is squared: how far its side end lies from the fold's line."""
    angles = angles_of(plan, opening) or [0.0] * len(plan.hinges)
    hinged, _, centre = parts_of(plan)
    x, y = end(hinged.path)
    for pivot, angle in reversed(list(zip(plan.pivots, angles, strict=True))):
        x, y = turned_point((x, y), pivot, -angle)
    return x - end(centre.path)[0]


def _solved(plan: Slashed, asked: float, most: float) -> float | None:
    """Return the opening whose fall is the one asked for, or None where it is out of reach."""
    if asked <= 0.0:
        return 0.0
    if asked > fall_of(plan, most):
        return None
    return _bisected(lambda opening: fall_of(plan, opening) <= asked, 0.0, most)


def _bisected(holds: Callable[[float], bool], low: float, high: float) -> float:
    """Return the greatest value between low and high for which `holds`, which is true at low, to 1e-10."""
    for _ in range(200):
        middle = (low + high) / 2.0
        if high - low < 1e-10 or middle in (low, high):
            break
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


def _single(bench: Bench, name: str) -> tuple[Edge]:
    found = bench.edge(name)
    if len(found) != 1:
        raise bench.stop("STEP-CANNOT", f"{name} is cut into {len(found)} parts; slash before cutting it.")
    return (found[0],)


def _state_facts(bench: Bench, plan: Slashed, asked: float | None) -> None:
    bench.put_fact("spread", plan.opening)
    bench.put_fact("slashes", len(plan.hinges), "count")
    bench.put_fact("total turn", degrees(sum(angles_of(plan, plan.opening) or [])), "degrees")
    bench.put_fact("half strap span", plan.span)
    if asked is not None:
        bench.put_fact("asked fall", asked)


def lay_spread(bench: Bench, plan: Slashed) -> None:
    """Put the spread outline on the bench, and the points of the turned parts with it."""
    bench.lay(("slashed", bench.piece), plan)
    swung = spread_by(plan, plan.opening)
    if swung is None or plan.opening <= 0.0:
        return
    _lay_turned(bench, plan, swung)
    for number, slash in enumerate(_slash_lines(plan, swung), start=1):
        bench.put_inner(Inner("slash", f"slash {number}", slash))


def _lay_turned(bench: Bench, plan: Slashed, swung: Swung) -> None:
    """Put the turned outline on the bench, and the points and inner lines of the turned parts with it."""
    hinged, above, centre = parts_of(plan)
    new = {hinged.name: swung.hinged, centre.name: swung.centre}
    new.update({each.name: path for each, path in zip(above, swung.above, strict=True)})
    bench.put_outline(tuple(_with_path(each, new.get(each.name, each.path)) for each in plan.before))
    slashes = [(pivot, at(centre.path, foot)) for pivot, foot in zip(plan.pivots, plan.feet, strict=True)]
    lowest = start(hinged.path)[1]
    for name in bench.point_names():
        where = bench.point(name)
        part = _part_of(where, slashes, lowest)
        if part:
            bench.move_point(name, swing_point(where, swung.turns[part]))
    for name in bench.listed("inner", bench.piece):
        inner = bench.look(("inner", bench.piece, name))
        part = _part_of(start(inner.path), slashes, lowest)
        if part and inner.kind != "slash":
            bench.put_inner(Inner(inner.kind, inner.name, swing_path(inner.path, swung.turns[part])))


def _slash_lines(plan: Slashed, swung: Swung) -> list[Path]:
    """Return both sides of every opening, from the foot below by way of the hinge to the foot above."""
    hinged, _, centre = parts_of(plan)
    lines = []
    for k, (along, foot) in enumerate(zip(plan.hinges, plan.feet, strict=True)):
        hinge, end_of_slash = at(hinged.path, along), at(centre.path, foot)
        below, above = swung.turns[k], swung.turns[k + 1]
        corner = swing_point(hinge, below)
        lines.append(polyline([swing_point(end_of_slash, below), corner, swing_point(end_of_slash, above)]))
    return lines


def _part_of(where: Point, slashes: Sequence[tuple[Point, Point]], lowest: float) -> int:
    """Return which part a point lies in: how many slashes, each from its hinge to its foot, run below it.

    What lies no higher than the hinged edge begins (`lowest`, mm) stays, though that edge dip and be hinged below it.
    """
    return sum(1 for hinge, foot in slashes if where[1] > lowest + 1e-9 and lies_above(where, hinge, foot))


def _with_path(edge: Edge, path: Path) -> Edge:
    return Edge(edge.name, path, edge.parent, edge.fold, edge.allowance, edge.finish, edge.corner)


@step("slash and overlap", "develop")
class SlashAndOverlap:
    """Slash a piece square to its centre and lap it, hinged at another edge: it undoes slash and spread.

    On a piece that was spread the laps are made at its slashes; elsewhere square to the centre, as for spreading.
    """

    centre: EdgeName
    hinged: EdgeName
    slashes: Number
    lap: Length

    reason: ClassVar[str] = "Lapping takes length out of the centre and none out of the hinged edge."

    def run(self, bench: Bench) -> None:
        """Lap every slash."""
        lap, count = bench.amount(self.lap), bench.whole(self.slashes)
        if count < 1 or count > 99:
            raise bench.stop("STEP-CANNOT", "At least one slash is needed, at most 99.", found=str(count))
        if lap <= 0.0:
            return
        (hinged,), (centre,) = _single(bench, self.hinged), _single(bench, self.centre)
        slashed = bench.look(("slashed", bench.piece))
        if isinstance(slashed, Slashed) and len(slashed.hinges) == count and slashed.opening > 0.0:
            hinges, feet = slashed.hinges, _opened_feet(slashed)
        else:
            whole = length(hinged.path)
            hinges = tuple(whole * (k + 1) / (count + 1) for k in range(max(count, 0)))
            feet = tuple(square_foot(at(hinged.path, mm), centre.path) or -1.0 for mm in hinges)
        pivots, widths = _slashes(hinged.path, centre.path, hinges, feet)
        plan = Slashed(bench.outline(), self.hinged, self.centre, hinges, feet, pivots, widths, lap, 1.0, 180.0)
        angles = angles_of(plan, lap) if feet and min(feet) >= 0.0 else None
        room = all(b - a < -lap + 1e-9 for a, b in itertools.pairwise(feet)) if feet else False
        if angles is None or not room:
            raise bench.stop("STEP-CANNOT", f"{count} laps of {bench.mm(lap)} do not fit on the {self.centre}.")
        _, above, _ = parts_of(plan)
        swung = swing(hinged.path, [e.path for e in above], centre.path, hinges, feet, angles, [lap] * len(feet))
        _lay_turned(bench, plan, swung)
        inners = [bench.look(("inner", bench.piece, name)) for name in bench.listed("inner", bench.piece)]
        for inner in inners:
            if inner.kind == "slash":
                bench.put_inner(Inner("dropped", inner.name, inner.path))

    def say(self, told: Telling) -> str:
        """Tell."""
        return (
            f"Slash from the {self.centre} to the {self.hinged} {told.number(self.slashes)} times and lap each by "
            f"{told.length(self.lap)} at the {self.centre}."
        )


def _opened_feet(slashed: Slashed) -> tuple[float, ...]:
    """Return where, mm along the spread centre edge, the upper side of every opening lies (lowest slash first)."""
    count = len(slashed.feet)
    return tuple(foot + slashed.opening * (count - 1 - k) for k, foot in enumerate(slashed.feet))
