"""The finishing verbs: they record what is meant; cut lines are derived once, at the end."""

from __future__ import annotations

from itertools import pairwise
from typing import ClassVar, Literal

from onfold.geometry.path import along, at, end, length, nearest, start
from onfold.geometry.point import distance
from onfold.pattern import Run, Seam
from onfold.recipe.bench import Bench
from onfold.recipe.laid import CutOut, GrainAsked, NotchAsked, NotchSpot
from onfold.recipe.step import (
    EdgeOfPiece,
    FinishText,
    Length,
    LevelName,
    NewName,
    Number,
    PieceName,
    Text,
    YesNo,
    step,
)
from onfold.recipe.telling import Telling
from onfold.units import say_list

MOST_TILT = 10.0
"""Degrees off the thread beyond which a piece hangs visibly askew [C]."""


@step("sew", "finish")
class SewSeam:
    """Sew edges together: a first run and a second, each a list of `EDGE of PIECE`.

    `mirrored` before an edge means its mirror twin; `turned` walks it the other way, from its last point.
    """

    name: NewName
    first: tuple[EdgeOfPiece, ...]
    second: tuple[EdgeOfPiece, ...]
    construction: FinishText
    ease: Length | None = None
    twice: YesNo = "no"

    reason: ClassVar[str] = "Edges that are sewn together must be equal, and carry one allowance."

    def run(self, bench: Bench) -> None:
        """Note the seam; both runs must be there."""
        sides = tuple(tuple(_run(bench, each) for each in side) for side in (self.first, self.second))
        ease = bench.perhaps(self.ease) or 0.0
        kind = self.construction.split(" ")[0]
        bench.put_seam(Seam(self.name, kind, (sides[0], sides[1]), ease, self.twice == "yes", self.construction))
        bench.asked_finish(self.name)

    def say(self, told: Telling) -> str:
        """Tell."""
        construction = told.finish(self.construction, self.name)
        said = f"Sew {_listed(self.first)} to {_listed(self.second)}: the {self.name}, {construction}."
        ease = told.amount(self.ease) if self.ease is not None else 0.0
        return said + (f" Ease in {told.mm(ease)} of the first." if ease else "")


def _run(bench: Bench, text: str) -> Run:
    words, copy, turned = text, "drawn", False
    while words.startswith(("mirrored ", "turned ")):
        first, _, words = words.partition(" ")
        copy, turned = ("mirrored" if first == "mirrored" else copy), (turned or first == "turned")
    edge, _, piece = words.rpartition(" of ")
    bench.has_edge(edge, piece)
    return Run(piece, edge, "mirrored" if copy == "mirrored" else "drawn", turned)


def _listed(names: tuple[str, ...]) -> str:
    plain = list(dict.fromkeys(each.replace("mirrored ", "").replace("turned ", "") for each in names))
    return say_list([f"the {each}" for each in plain])


@step("finish edge", "finish")
class FinishEdge:
    """Say how an edge that is in no seam is finished."""

    edge: EdgeOfPiece
    construction: FinishText

    reason: ClassVar[str] = "Every raw edge gets its finish, and the finish its allowance."

    def run(self, bench: Bench) -> None:
        """Note it."""
        edge, _, piece = self.edge.rpartition(" of ")
        bench.has_edge(edge, piece)
        before = bench.look(("finish", self.edge))
        if before not in (None, self.construction):
            raise bench.stop(
                "FINISH-CLASH",
                f"The {self.edge} is finished already, otherwise: {before}.",
                found=f"{before}, {self.construction}",
                expected="one finish",
                remedy="leave one of the two out",
            )
        bench.put_finish(self.edge, self.construction)
        bench.asked_finish(self.edge, edge)

    def say(self, told: Telling) -> str:
        """Tell."""
        edge = self.edge.rpartition(" of ")[0]
        return f"Finish the {self.edge}: {told.finish(self.construction, self.edge, edge)}."


@step("notch", "finish")
class NotchSeam:
    """Set balance marks on both partners of a seam.

    At levels; halfway along; or on the first run where the edges of the second join, and where a piece of the second
    run meets its own mirror image on the fold. Where a dart's leg lies there it has its notch already.
    """

    seam: Text
    at: tuple[LevelName, ...] = ()
    halfway: YesNo = "no"
    joins: YesNo = "no"

    reason: ClassVar[str] = "Balance marks show at the machine which place meets which."

    def run(self, bench: Bench) -> None:
        """Ask for the notches."""
        seam = bench.look(("seam", self.seam))
        if not isinstance(seam, Seam):
            raise bench.stop("STEP-NAME", f"No seam called '{self.seam}' is sewn yet.", found=self.seam, lost=self.seam)
        for level in self.at:
            runs = [run for side in seam.sides for run in side]
            spots = [_spot_at_level(bench, run, level) for run in runs]
            if not all(spots):
                continue
            for run, spot in zip(runs, spots, strict=True):
                if spot is not None and not _at_dart(bench, run, spot):
                    bench.put_notch(spot, f"{run.edge} {level}", run.piece)
        if self.halfway == "yes":
            for run in dict.fromkeys(run for side in seam.sides for run in side):
                self._halfway(bench, run)
        if self.joins == "yes":
            self._at_joins(bench, seam)

    def _halfway(self, bench: Bench, run: Run) -> None:
        leaves = bench.edge(run.edge, run.piece)
        rest = sum(length(each.path) for each in leaves) / 2.0
        for leaf in leaves:
            if rest <= length(leaf.path):
                bench.put_notch(NotchAsked(leaf.name, rest, "single"), f"{run.edge} halfway", run.piece)
                return
            rest -= length(leaf.path)

    def _at_joins(self, bench: Bench, seam: Seam) -> None:
        (first,) = seam.sides[0][:1]
        so_far = 0.0
        leaf = bench.edge(first.edge, first.piece)[0]
        for number, run in enumerate(seam.sides[1][:-1], start=1):
            so_far += sum(length(each.path) for each in bench.edge(run.edge, run.piece))
            if so_far < length(leaf.path) - 1e-6:
                kind = "double" if run.copy == "mirrored" else "single"
                bench.put_notch(NotchAsked(leaf.name, so_far, kind), f"{first.edge} {number}", first.piece)
        for run, following in pairwise(seam.sides[1]):
            if (run.piece, run.edge) == (following.piece, following.edge) and run.copy != following.copy:
                self._on_the_fold(bench, run)

    def _on_the_fold(self, bench: Bench, run: Run) -> None:
        """Notch where a piece meets its own mirror image: no seam shows the place there."""
        leaves = bench.edge(run.edge, run.piece)
        leaf, first = (leaves[0], True) if run.reversed else (leaves[-1], False)
        spot = NotchSpot(leaf.name, 0 if first else len(leaf.path.curves) - 1, 0.0 if first else 1.0, "single")
        bench.put_notch(spot, f"{run.edge} at the fold", run.piece)

    def say(self, told: Telling) -> str:
        """Tell."""
        if self.joins == "yes":
            return f"On the {self.seam} set balance marks where the edges it meets are joined."
        if self.halfway == "yes":
            return f"On both sides of the {self.seam} set a balance mark halfway."
        return f"On both sides of the {self.seam} set balance marks at {', '.join(self.at)}."


def _spot_at_level(bench: Bench, run: Run, level: str) -> NotchSpot | None:
    """Return where a level meets the edge, or None where it doesn't or only at the seam's end."""
    where = bench.point(f"end of {level}", run.piece)
    leaves = bench.edge(run.edge, run.piece)
    found = [(each, nearest(each.path, where)) for each in leaves]
    leaf, near = min(found, key=lambda each: each[1].distance)
    ends = start(leaves[0].path), end(leaves[-1].path)
    if near.distance < 0.1 and min(distance(near.at, each) for each in ends) > 1e-6:
        return NotchSpot(leaf.name, near.number, near.t, "single")
    return None


def _at_dart(bench: Bench, run: Run, spot: NotchSpot) -> bool:
    """Return whether a spot lies at a dart's mouth, where the leg is notched already."""
    leaves = bench.edge(run.edge, run.piece)
    if len(leaves) == 1:
        return False
    leaf = next(each for each in leaves if each.name == spot.edge)
    where = at(leaf.path, along(leaf.path, spot.number, spot.t))
    return min(distance(where, each) for each in (start(leaf.path), end(leaf.path))) <= 1e-6


@step("grain", "finish")
class LayGrain:
    """Draw a piece's grain line down its length, or along it from left to right.

    `tilt` is by how many degrees it may lie off the thread where that saves cloth; left out, none.
    """

    piece: PieceName
    kind: Literal["straight", "cross", "bias"]
    way: Literal["down", "along"] = "down"
    tilt: Number | None = None

    reason: ClassVar[str] = "The piece is laid so that this line runs with the selvage (on the bias: slantwise to it)."

    def run(self, bench: Bench) -> None:
        """Ask for it: a third into the piece, clear of a fold along the middle, half as long as the piece."""
        bench.closed(self.piece)
        tilt = bench.perhaps(self.tilt) or 0.0
        if not 0.0 <= tilt <= MOST_TILT:
            says = f"The {self.piece} may lie {tilt:g} degrees off its grain; from 0 to {MOST_TILT:g} are drafted here."
            remedy = "Write a smaller tilt, or leave it out."
            raise bench.stop("STEP-CANNOT", says, found=f"{tilt:g}", expected=f"0 to {MOST_TILT:g}", remedy=remedy)
        bench.put_grain(GrainAsked(self.kind, self.way, tilt), self.piece)

    def say(self, told: Telling) -> str:
        """Tell."""
        way = "along" if self.way == "along" else "down"
        said = f"Rule the grain line of the {self.piece}: {self.kind}, {way} it."
        if self.tilt is None or told.amount(self.tilt) <= 0.0:
            return said
        return f"{said} On the cloth it may lie up to {told.number(self.tilt)}° off the thread."


@step("cut", "finish")
class CutOutStep:
    """Say how many of a piece are cut, whether as mirrored pairs, and of which material."""

    piece: PieceName
    pieces: Number
    pair: YesNo = "no"
    material: Text = "main"

    reason: ClassVar[str] = "What is not written on the piece is forgotten at the cutting table."

    def run(self, bench: Bench) -> None:
        """Note it."""
        bench.begun(self.piece)
        count = bench.whole(self.pieces)
        if count < 1 or count > 999:
            raise bench.stop("STEP-CANNOT", f"{count} pieces cannot be cut.", found=str(count), expected="at least 1")
        bench.put_cut_out(CutOut(count, self.pair == "yes", self.material), self.piece)

    def say(self, told: Telling) -> str:
        """Tell."""
        pair = ", as pairs" if self.pair == "yes" else ""
        fold = f" {told.folded(self.piece)}" if told.folded(self.piece) else ""
        return f"Write on the {self.piece}: cut {told.number(self.pieces)}{fold}{pair}, {self.material} cloth."
