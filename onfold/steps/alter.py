"""The altering verbs: let a seam out or take it in, raise or lower an edge, take a length up at the centre.

They change what is drawn already, so that a fitting can add them to any recipe: the outline stays closed, darts,
notches and level lines follow, and no other edge moves.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import ClassVar

from onfold.geometry.fault import Fault
from onfold.geometry.let_out import Grading
from onfold.geometry.path import Path, end, length, start
from onfold.geometry.point import Point
from onfold.pattern import Edge
from onfold.recipe.bench import Bench, Unmet
from onfold.recipe.step import EdgeOfPiece, Length, PlaceName, step
from onfold.recipe.telling import Telling
from onfold.recipe.yaml_nodes import did_you_mean
from onfold.steps.dart import closes
from onfold.steps.develop import Slashed
from onfold.steps.following import follow
from onfold.steps.moved_run import ONE_SPOT, EdgeRun, MovedRun, moved_run, runs_of
from onfold.units import say_list

OFF_THE_EDGE = 0.5
"""mm a named place may lie off the edge: what rounding on paper may add."""
ENDS = ("upper end", "lower end")
UP: Point = (0.0, 1.0)
WALKED_WITHIN = 0.002
"""mm: partners that differ by less have been moved alike."""
MOST_TRUED = 0.5
"""The share of the move that partners may differ by for it to be trued at their ends: farther apart they are none."""


@step("let out", "develop")
class LetOut:
    """Let seams out, or take them in where `by` is below nothing, square to the edge between two places of it.

    A place is a level, a point on the edge, the edge that meets it there, `upper end` or `lower end`. Beyond a place
    that is not the edge's end it runs out to nothing over `runs out`. Where it reaches the end, the edge beside it is
    led on along its own line, or cut off; a curve that is cut off is trued over its last stretch, so that it meets the
    seam at the angle it did. Name both partners of a seam: they move alike, and are walked to be equal again.
    """

    edges: tuple[EdgeOfPiece, ...]
    by: Length
    from_: PlaceName
    to: PlaceName
    runs_out: Length | None = None

    reason: ClassVar[str] = (
        "A seam is let out where it strains and taken in where it hangs loose; both its sides move alike, so that they "
        "still meet."
    )

    def run(self, bench: Bench) -> None:
        """Move the edges, and restate the girths of the levels that end on them."""
        _alter(bench, self.edges, self.by, (self.from_, self.to), self.runs_out, None)

    def say(self, told: Telling) -> str:
        """Tell."""
        by = told.amount(self.by)
        if by == 0.0:
            return f"Nothing is let out or taken in at the {say_list(self.edges)}."
        lead = "Let out" if by > 0.0 else "Take in"
        where = f"square to the edge, {_between(self.from_, self.to)}{_run_out(told, self.runs_out)}"
        return (
            f"{lead} the {say_list(self.edges)} by {told.mm(abs(by))}, {where}. The edges that meet there go on along "
            "their own lines, or are cut off."
        )


@step("raise", "develop")
class Raise:
    """Raise edges, or lower them where `by` is below nothing: straight up the piece, between two places of them.

    Places and `runs out` are as for letting out; one place named twice is raised alone. The edges beside them are led
    on along their own lines, or cut off.
    """

    edges: tuple[EdgeOfPiece, ...]
    by: Length
    from_: PlaceName
    to: PlaceName
    runs_out: Length | None = None

    reason: ClassVar[str] = (
        "A neck, a waist or a hem is levelled where it lies on the body, and runs on smoothly from there."
    )

    def run(self, bench: Bench) -> None:
        """Move the edges."""
        _alter(bench, self.edges, self.by, (self.from_, self.to), self.runs_out, UP)

    def say(self, told: Telling) -> str:
        """Tell."""
        by = told.amount(self.by)
        if by == 0.0:
            return f"Nothing is raised or lowered at the {say_list(self.edges)}."
        lead = "Raise" if by > 0.0 else "Lower"
        return (
            f"{lead} the {say_list(self.edges)} by {told.mm(abs(by))} {_between(self.from_, self.to)}"
            f"{_run_out(told, self.runs_out)}."
        )


def _between(first: str, last: str) -> str:
    return f"at the {first}" if first == last else f"from {first} to {last}"


def _run_out(told: Telling, over: Length | None) -> str:
    return "" if over is None else f", running out to nothing over {told.length(over)} beyond"


def _alter(
    bench: Bench,
    edges: tuple[str, ...],
    amount: Length,
    places: tuple[str, str],
    over: Length | None,
    way: Point | None,
) -> None:
    """Move edges, piece by piece; with no `way` square to themselves."""
    pieces: dict[str, list[str]] = {}
    for each in edges:
        edge, _, piece = each.rpartition(" of ")
        bench.has_edge(edge, piece)
        pieces.setdefault(piece, []).append(edge)
    by = bench.amount(amount)
    found = {piece: _runs(bench, piece, names) for piece, names in pieces.items()}
    if abs(by) <= ONE_SPOT:
        for piece, runs in found.items():
            _ask_for(bench, piece, runs, places)
        return
    fades = bench.perhaps(over)
    plans: list[tuple[str, list[str], Grading, MovedRun]] = []
    for piece, names in pieces.items():
        _not_slashed(bench, piece)
        for run in found[piece]:
            grading = _grading(bench, piece, run, by, places, fades)
            _not_faced(bench, piece, run, grading)
            plans.append((piece, names, grading, _moved(bench, piece, run, grading, way)))
    longer = _walked([done for *_, done in plans]) if way is None else [0.0] * len(plans)
    for (piece, names, grading, done), more in zip(plans, longer, strict=True):
        # a run before this one may have led this one's neighbours on: look again
        run = next(each for each in _runs(bench, piece, names) if each.places == done.run.places)
        again = more != 0.0 or run.outline is not done.run.outline
        follow(bench, piece, _moved(bench, piece, run, grading, way, more) if again else done)


def _moved(
    bench: Bench, piece: str, run: EdgeRun, grading: Grading, way: Point | None, longer: float = 0.0
) -> MovedRun:
    done = moved_run(run, grading, way, longer)
    if isinstance(done, Fault):
        raise _cannot(bench, piece, run, grading.by, done.reason)
    if not closes(done.outline):
        raise _cannot(bench, piece, run, grading.by, "the outline would cross itself")
    return done


def _walked(runs: list[MovedRun]) -> list[float]:
    """Return what each run must be led on, mm, for all to grow alike: partners are walked and trued at the end."""
    grown = [sum(length(leaf) for leaf in each.leaves) - each.run.whole for each in runs]
    mean = sum(grown) / len(grown)
    trued = WALKED_WITHIN < max(grown) - min(grown) <= MOST_TRUED * abs(runs[0].grading.by)
    return [mean - each if trued else 0.0 for each in grown]


def _runs(bench: Bench, piece: str, names: list[str]) -> list[EdgeRun]:
    outline = bench.outline(piece)
    for name in names:
        for edge in bench.edge(name, piece):
            if edge.fold:
                says = f"The {name} of {piece} is a fold: nothing is let out or taken in there."
                remedy = "name an edge that is cut"
                raise bench.stop("STEP-CANNOT", says, found=name, expected="an edge that is cut", remedy=remedy)
    runs = runs_of(outline, names)
    if runs is None:
        says = f"These are all the edges of {piece}: one at least must stay for the others to end on."
        raise bench.stop("STEP-CANNOT", says, remedy="leave one out")
    for run in runs:
        for place in (run.before, run.behind):
            if outline[place].finish == "dart":
                root = run.leaves[0].root
                says = f"The {run.leaves[0].name} of {piece} ends at a dart. Name the whole edge, the {root}."
                raise bench.stop("STEP-CANNOT", says, found=run.leaves[0].name, expected=root, remedy=f"name {root}")
    return runs


def _not_slashed(bench: Bench, piece: str) -> None:
    """Stop between slashing and the cowl: the cowl is drawn from what was slashed."""
    slashed = bench.look(("slashed", piece))
    if isinstance(slashed, Slashed) and {each.name for each in slashed.before} <= set(bench.look(("edges", piece))):
        raise bench.stop(
            "STEP-CANNOT",
            f"The {piece} is slashed and its cowl not drawn yet; what is altered now would be lost.",
            remedy="alter it before it is slashed, or behind the cowl",
        )


def _not_faced(bench: Bench, piece: str, run: EdgeRun, grading: Grading) -> None:
    """Stop where an edge beside the run would be led on or cut off, and its facing, cut in one with it, not follow."""
    roots = {each.root for each in run.outline}
    for place, mm in ((run.before, 0.0), (run.behind, run.whole)):
        root = run.outline[place].root
        if grading.amount(mm) != 0.0 and (f"{root} facing" in roots or root.endswith(" facing")):
            raise bench.stop(
                "STEP-CANNOT",
                f"The {root} of {piece} has its facing cut in one with it, which would no longer mirror it.",
                found=root,
                expected="an edge that is not faced yet",
                remedy="put this step before the one that draws the facing",
            )


def _ask_for(bench: Bench, piece: str, runs: list[EdgeRun], places: tuple[str, str]) -> None:
    """Stop where a place is none, though nothing is moved: a slip comes to light before it matters."""
    for run in runs:
        for name in places:
            if name not in ENDS and not any(name in (each.name, each.root) for each in _beside(run)):
                _place(bench, piece, run, name)


def _beside(run: EdgeRun) -> tuple[Edge, Edge]:
    return run.outline[run.before], run.outline[run.behind]


def _grading(
    bench: Bench, piece: str, run: EdgeRun, by: float, places: tuple[str, str], fades: float | None
) -> Grading:
    """Return how far each place of a run is moved."""
    begin, finish = sorted(_place(bench, piece, run, each) for each in places)
    if abs(by) > run.whole:
        raise _cannot(bench, piece, run, by, "it is shorter than that")
    rooms = begin if begin > OFF_THE_EDGE else 0.0, run.whole - finish if run.whole - finish > OFF_THE_EDGE else 0.0
    short = min((room for room in rooms if room), default=None)
    if short is None:
        return Grading(by, 0.0, run.whole)
    if fades is None or fades <= 0.0:
        raise bench.stop(
            "KEY-MISSING",
            f"The {run.leaves[0].root} of {piece} goes on beyond that: over which length is it to run out?",
            found="" if fades is None else bench.mm(fades),
            expected="a length above nothing",
            remedy=f"give 'runs out: {bench.mm_down(short / 2.0)}'",
        )
    if fades > short + ONE_SPOT:
        raise bench.stop(
            "STEP-CANNOT",
            f"The {run.leaves[0].root} of {piece} goes on for {bench.mm(short)} only; it cannot run out over "
            f"{bench.mm(fades)} there.",
            found=bench.mm(fades),
            expected=f"at most {bench.mm_down(short)}",
            remedy=f"let it run out over {bench.mm_down(short)} or less, or go on to the end of the edge",
        )
    before, after = (min(fades, room) if room else 0.0 for room in rooms)
    return Grading(by, begin if before else 0.0, finish if after else run.whole, before, after)


def _place(bench: Bench, piece: str, run: EdgeRun, name: str) -> float:
    """Return where a place lies, mm along a run, or stop."""
    first, last = start(run.path), end(run.path)
    if name in ENDS:
        return 0.0 if (first[1] >= last[1]) == (name == ENDS[0]) else run.whole
    for edge, mm in zip(_beside(run), (0.0, run.whole), strict=True):
        if name in (edge.name, edge.root):
            return mm
    for spot in _spots(bench, piece, name):
        along = run.along(spot, OFF_THE_EDGE)
        if along is not None:
            return along
    raise _no_place(bench, piece, run, name)


def _spots(bench: Bench, piece: str, name: str) -> Iterator[Point]:
    """Yield the points that a name may mean: a point, the end of a level, the ends of a line."""
    for called in (name, f"end of {name}"):
        spot = bench.look(("point", piece, called))
        if spot is not None:
            yield spot
    inner = bench.look(("inner", piece, name))
    drawn: Iterable[Path] = [path for path in (inner and inner.path, bench.look(("line", piece, name))) if path]
    for path in drawn:
        yield end(path)
        yield start(path)


def _no_place(bench: Bench, piece: str, run: EdgeRun, name: str) -> Unmet:
    """Return the stop for a name that is no place on the run, with those that are."""

    def lies_there(each: str) -> bool:
        return any(run.along(spot, OFF_THE_EDGE) is not None for spot in _spots(bench, piece, each))

    listed = (*bench.listed("inner", piece), *bench.listed("point", piece))
    known = list(dict.fromkeys([*(each.root for each in _beside(run)), *filter(lies_there, listed)]))
    near = did_you_mean(name, known)
    hint = f" Did you mean '{near}'?" if near else ""
    return bench.stop(
        "STEP-NAME",
        f"'{name}' is no place on the {run.leaves[0].root} of {piece}.{hint}",
        found=name,
        expected=", ".join(known[:12]),
        remedy=f"use '{near}'" if near else "name a level, a point on the edge, or the edge that meets it",
        lost=name,
        on=piece,
    )


def _cannot(bench: Bench, piece: str, run: EdgeRun, by: float, reason: str) -> Unmet:
    return bench.stop(
        "STEP-CANNOT",
        f"The {run.leaves[0].root} of {piece} cannot be moved by {bench.mm(abs(by))}: {reason}.",
        found=bench.mm(abs(by)),
        expected="less",
        remedy="move it less, or over a longer stretch",
    )
