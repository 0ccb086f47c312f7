"""Small parts: straps and where they are set, waistband, vent."""

from __future__ import annotations

from math import hypot
from typing import ClassVar, Literal

from onfold.geometry.path import at, end, length, line, part, start
from onfold.pattern import Edge, Inner, Mark, Opening, Point
from onfold.recipe.bench import Bench
from onfold.recipe.laid import NotchSpot, PieceStart
from onfold.recipe.step import (
    EdgeName,
    FinishText,
    Length,
    LevelName,
    NewEdge,
    NewName,
    NewPiece,
    PointName,
    Text,
    step,
)
from onfold.recipe.telling import Telling

SEWN = 5.0
"""What is left, mm, of a seam or strap where a remedy shortens its neighbour to fit."""
STRAPS = ("crossed", "straight")


@step("place strap", "develop")
class StrapPlace:
    """Mark where a strap is sewn: so far along an edge or fold line from one of its ends."""

    name: NewName
    on: EdgeName
    from_: PointName
    along: Length

    reason: ClassVar[str] = "The strap carries the garment; both ends have their mark before anything is cut."

    def run(self, bench: Bench) -> None:
        """Put the mark."""
        inner = bench.look(("inner", bench.piece, self.on))
        path = inner.path if inner is not None else bench.edge(self.on)[0].path
        here = bench.point(self.from_)
        whole, mm = length(path), bench.amount(self.along)
        if not 0.0 <= mm <= whole:
            raise bench.stop(
                "STRAP-PLACE",
                f"The strap would be set {bench.mm(mm)} along the {self.on}, which is {bench.mm(whole)} long.",
                found=bench.mm(mm),
                expected=f"at most {bench.mm_down(whole)}",
                remedy="set it nearer",
            )
        from_start = hypot(start(path)[0] - here[0], start(path)[1] - here[1])
        from_end = hypot(end(path)[0] - here[0], end(path)[1] - here[1])
        where = at(path, mm if from_start <= from_end else whole - mm)
        bench.put_mark(Mark("strap", self.name, where))

    def say(self, told: Telling) -> str:
        """Tell."""
        return (
            f"On the {self.on}, {told.length(self.along)} from {self.from_}, mark the middle of the strap: {self.name}."
        )


@step("strap", "develop")
class Strap:
    """Draft a strap as a tube: its length over the shoulder from mark to mark, its width twice the finished one.

    `over` is the way from the level straight up to the shoulder; what the marks lie above or below the level is
    reckoned from the draft. Crossed straps run slantwise over the back.

    For the figure both are made `longer`; where one is made shorter its mark shows at which length, spare included, it
    is cut off at the back end. `shoulder forward` is how far the top of the shoulder lies before where it usually does:
    its mark shows where on the strap it comes, measured from the end called after the strap.
    """

    name: NewPiece
    front: Text
    back: Text
    level: LevelName
    over: Length
    width: Length
    spare: Length
    straps: Literal["crossed", "straight"]
    longer: Length | None = None
    right_shorter: Length | None = None
    left_shorter: Length | None = None
    shoulder_forward: Length | None = None

    reason: ClassVar[str] = (
        "Measured over the body it can be cut before the first try-on; the spare is at the back end, where it is fixed."
    )

    def run(self, bench: Bench) -> None:
        """Begin the strap's piece and close its outline."""
        (fx, fy), f_level = _marked(bench, self.front, self.level)
        (bx, by), b_level = _marked(bench, self.back, self.level)
        over, width = bench.amount(self.over), bench.amount(self.width)
        crossed = bench.word(self.straps, STRAPS) == "crossed"
        down_front, down_back = over - (fy - f_level), over - (by - b_level)
        way = down_front + hypot(down_back, fx + bx if crossed else fx - bx) + (bench.perhaps(self.longer) or 0.0)
        if width <= 0.0:
            raise bench.stop("STEP-CANNOT", "A strap needs a width.", found=self.width.text)
        if down_front <= 0.0 or down_back <= 0.0:
            raise bench.stop(
                "STRAP-LENGTH",
                "The strap point lies above the shoulder, so there is no way for a strap to go.",
                found=f"{bench.mm(max(fy - f_level, by - b_level))} above the {self.level}",
                expected=f"less than {bench.mm_down(over)}",
                remedy=f"draft the neck edge {bench.mm(max(-down_front, -down_back) + SEWN)} lower, by a smaller "
                "'rise'",
            )
        run = _on(bench, self.name, way + bench.amount(self.spare))
        bench.put_piece(PieceStart(self.name, "", False, whole=True))
        _rectangle(bench, self.name, 2.0 * width, run)
        bench.put_inner(Inner("fold line", f"{self.name} fold", line((width, 0.0), (width, run))))
        bench.put_fact("strap width", width)
        bench.put_fact("strap length", run)
        bench.put_fact("strap way", way)
        bench.put_fact("straps crossed", 1.0 if crossed else 0.0, "count")
        self._mark(bench, width, run, down_front)

    def _mark(self, bench: Bench, width: float, run: float, down_front: float) -> None:
        """Mark where the strap of a lower shoulder is cut off, and where the top of a forward shoulder comes."""
        for side, field in (("right", self.right_shorter), ("left", self.left_shorter)):
            shorter = bench.perhaps(field) or 0.0
            if shorter > 0.0:
                spot = (width, _on(bench, self.name, run - shorter))
                bench.put_mark(Mark("strap end", f"{side} {self.name} end", spot))
                bench.put_fact(f"{side} {self.name} shorter", shorter)
        forward = bench.perhaps(self.shoulder_forward) or 0.0
        if forward and 0.0 < down_front - forward < run:
            bench.put_mark(Mark("shoulder", "top of shoulder", (width, down_front - forward)))
        elif forward:
            bench.warn(
                "STRAP-PLACE",
                f"The top of the shoulder comes {bench.mm(forward - down_front)} before the {self.name}: there is no "
                "place to mark.",
                found=bench.mm(forward),
                expected=f"less than {bench.mm_down(down_front)}",
                remedy="measure again how far forward the shoulder lies",
                severity="mind",
            )

    def say(self, told: Telling) -> str:
        """Tell."""
        way = "crossed at the back" if told.word(self.straps, STRAPS) == "crossed" else "straight over the shoulder"
        return (
            f"Draft the {self.name}: twice {told.length(self.width)} wide and {told.mm(told.fact('strap length'))} "
            f"long. That is {told.mm(told.fact('strap way'))} over the body from mark to mark, {way}, and "
            f"{told.length(self.spare)} to spare at the back end.{self._for_the_figure(told)}"
        )

    def _for_the_figure(self, told: Telling) -> str:
        said = ""
        longer = told.amount(self.longer) if self.longer is not None else 0.0
        if longer:
            said += f" Both are {told.mm(abs(longer))} {'longer' if longer > 0.0 else 'shorter'} for this figure."
        for side, field in (("right", self.right_shorter), ("left", self.left_shorter)):
            if field is not None and told.amount(field) > 0.0:
                said += f" Cut the {side} one off {told.length(field)} shorter, at its mark."
        forward = told.amount(self.shoulder_forward) if self.shoulder_forward is not None else 0.0
        if forward:
            said += f" Mark where the top of the shoulder comes, {told.mm(forward)} nearer its front end than usual."
        return said


def _on(bench: Bench, name: str, mm: float) -> float:
    """Return a place along a strap, or stop where the strap is not as long."""
    if mm > 0.0:
        return mm
    raise bench.stop("STRAP-LENGTH", f"For this figure nothing would be left of the {name}.", remedy="shorten it less")


def _marked(bench: Bench, text: str, level: str) -> tuple[Point, float]:
    """Return where a mark `NAME of PIECE` lies, and the height of the level there: a level may have been tilted."""
    name, _, piece = text.rpartition(" of ")
    mark = bench.look(("mark", piece, name))
    if not isinstance(mark, Mark):
        raise bench.stop("STEP-NAME", f"No mark called '{text}' is set yet.", found=text, lost=name, on=piece)
    (ax, ay), (bx, by) = start(bench.line(level, piece)), end(bench.line(level, piece))
    share = (mark.at[0] - ax) / (bx - ax) if by != ay and bx != ax else 0.0
    return mark.at, ay + (by - ay) * min(1.0, max(0.0, share))


def _rectangle(bench: Bench, name: str, width: float, height: float) -> None:
    corners = ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))
    names = (f"{name} end", f"{name} side", f"{name} other end", f"{name} other side")
    bench.put_outline(
        tuple(Edge(n, line(corners[k], corners[(k + 1) % 4])) for k, n in enumerate(names)),
    )


@step("waistband", "develop")
class Waistband:
    """Draft a straight waistband, folded along its length, with an underlap beyond its seam."""

    name: NewPiece
    length: Length
    width: Length
    underlap: Length

    reason: ClassVar[str] = "It is as long as the waist it holds; the underlap takes the fastening."

    def run(self, bench: Bench) -> None:
        """Begin its piece and close its outline."""
        run, width, lap = bench.amount(self.length), bench.amount(self.width), bench.amount(self.underlap)
        if run <= 0.0 or width <= 0.0 or lap < 0.0:
            raise bench.stop("STEP-CANNOT", "A waistband needs a length and a width.", found=self.length.text)
        bench.put_piece(PieceStart(self.name, "", False, whole=True))
        high, whole = 2.0 * width, run + lap
        edges = [Edge("waist seam", line((0.0, 0.0), (run, 0.0)))]
        if lap > 0.0:
            edges.append(Edge("underlap", line((run, 0.0), (whole, 0.0))))
        edges += [
            Edge("band end", line((whole, 0.0), (whole, high))),
            Edge("band edge", line((whole, high), (0.0, high))),
            Edge("other band end", line((0.0, high), (0.0, 0.0))),
        ]
        bench.put_outline(tuple(edges))
        bench.put_inner(Inner("fold line", "band fold", line((0.0, width), (whole, width))))
        if lap > 0.0:
            bench.put_notch(NotchSpot("underlap", 0, 0.0, "single"), "underlap", self.name)
        bench.put_fact("band", run)
        bench.put_fact("underlap", lap)

    def say(self, told: Telling) -> str:
        """Tell."""
        return (
            f"Draft the {self.name}: {told.reckoned(self.length)} long and {told.length(self.underlap)} more for the "
            f"underlap, twice {told.length(self.width)} wide. Notch where the underlap begins."
        )


@step("name a part", "outline")
class NamePart:
    """Give a part of an edge, measured from its upper or lower end, a name of its own."""

    name: NewEdge
    edge: EdgeName
    length: Length
    at: Literal["upper end", "lower end"]

    reason: ClassVar[str] = "What is treated differently needs a name of its own."

    def run(self, bench: Bench) -> None:
        """Cut the edge in two, each with its name."""
        (edge, *others) = bench.edge(self.edge)
        mm, whole = bench.amount(self.length), length(edge.path)
        if others or not 0.0 < mm < whole:
            raise bench.stop(
                "STEP-CANNOT",
                f"The {self.name} is {bench.mm(mm)} long; the {self.edge} has only {bench.mm(whole)}.",
                found=bench.mm(mm),
                expected=f"less than {bench.mm_down(whole)}",
                remedy=f"make it shorter: choices: {{{self.length.text}: {bench.mm_down(whole - SEWN)}}}",
            )
        first_is_upper = start(edge.path)[1] >= end(edge.path)[1]
        first = first_is_upper == (self.at == "upper end")
        names = (self.name, self.edge) if first else (self.edge, self.name)
        place = mm if first else whole - mm
        new = [
            Edge(names[0], part(edge.path, 0.0, place), fold=edge.fold),
            Edge(names[1], part(edge.path, place, whole), fold=edge.fold),
        ]
        bench.put_outline(tuple(e for old in bench.outline() for e in (new if old.name == edge.name else [old])))

    def say(self, told: Telling) -> str:
        """Tell."""
        return (
            f"From the {self.at} of the {self.edge} measure {told.reckoned(self.length)}: this part is the {self.name}."
        )


@step("vent", "develop")
class Vent:
    """Let a vent out beyond the lower end of a straight edge, its upper side sloped."""

    name: NewName
    on: EdgeName
    hem: EdgeName
    length: Length
    width: Length
    slope: Length
    finish: FinishText
    hem_finish: FinishText

    reason: ClassVar[str] = "Below the knee a straight skirt holds the legs together; the vent lets them stride."

    def run(self, bench: Bench) -> None:
        """Add the vent's edges; the hem beyond the centre is an edge of its own, outside the hem's run."""
        bench.edge(self.hem)
        (edge, *others) = bench.edge(self.on)
        run, width, slope = (bench.amount(each) for each in (self.length, self.width, self.slope))
        if run <= 0.0 or width <= 0.0:
            return
        whole = length(edge.path)
        (x, y), low = end(edge.path), whole - run
        top_x, top_y = at(edge.path, max(low, 0.0))
        if not 0.0 <= slope < run:
            raise bench.stop(
                "STEP-CANNOT",
                f"A vent {bench.mm(run)} long is shorter than the slope of its upper side, {bench.mm(slope)}.",
                found=bench.mm(run),
                expected=f"more than {bench.mm(slope)}, or none",
                remedy=f"leave it out: choices: {{{self.length.text}: 0 cm}}; or make it longer",
            )
        if others or low <= 0.0 or abs(top_x - x) > 1e-6:
            raise bench.stop(
                "STEP-CANNOT",
                f"A vent {bench.mm(run)} long does not fit on the {self.on}, {bench.mm(whole)} long.",
                found=bench.mm(run),
                expected=f"less than {bench.mm_down(whole)}",
                remedy=f"make it shorter: choices: {{{self.length.text}: {bench.mm_down(whole - SEWN)}}}; or open less "
                "above it",
            )
        corner, foot = (x - width, top_y - slope), (x - width, y)
        new = [
            Edge(self.on, part(edge.path, 0.0, low)),
            Edge(f"{self.name} top", line((top_x, top_y), corner)),
            Edge(self.name, line(corner, foot)),
            Edge(f"{self.name} hem", line(foot, (x, y))),
        ]
        bench.put_outline(tuple(e for old in bench.outline() for e in (new if old.name == edge.name else [old])))
        bench.put_inner(Inner("fold line", f"{self.name} fold", line((top_x, top_y), (x, y))))
        for name, text in ((self.name, self.finish), (f"{self.name} top", self.finish)):
            bench.put_finish(f"{name} of {bench.piece}", text)
        asked = bench.asked_finish(f"{self.hem} of {bench.piece}", self.hem)
        bench.put_finish(f"{self.name} hem of {bench.piece}", asked or self.hem_finish)
        bench.put_mark(Mark("vent", f"head of the {self.name}", (top_x, top_y)))
        bench.put_fact("vent length", run)
        bench.put_opening(Opening(f"{bench.piece} vent", (f"{self.name} of {bench.piece}",), run - slope, "none"))

    def say(self, told: Telling) -> str:
        """Tell."""
        if told.amount(self.length) <= 0.0 or told.amount(self.width) <= 0.0:
            return "No vent is let out: the hem is wide enough to stride in."
        return (
            f"From the hem up the {self.on} measure {told.length(self.length)} and let the {self.name} out "
            f"{told.length(self.width)} beyond it, its upper side sloped by {told.length(self.slope)}. Mark its head, "
            "where the seam ends."
        )
