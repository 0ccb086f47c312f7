"""How the drafts of `making_patterns` are drawn: outlines from named corners, seams said as recipes say them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from onfold.body.taken import Taken
from onfold.cloth import Cloth, settle
from onfold.construction import FinishFault, read_finish
from onfold.geometry.path import Path, cubic, length, line
from onfold.pattern import Edge, Grain, Inner, Level, Mark, Pattern, Piece, Run, Seam

Point = tuple[float, float]
Corners = Sequence[tuple[str, Point]]
WOVEN: Cloth = settle("woven", 1500.0, name="twill", thickness=0.5, weight=200.0)
KNIT: Cloth = settle("knit", 1600.0, name="jersey", stretch_across=0.5, stretch_along=0.3, thickness=0.8)
HEM, BOUND, ZIP, END = "single turned 20 mm", "bound 10 mm", "lapped zip 20 mm", "plain 10 mm"


def curve(a: Point, b: Point, sag: float) -> Path:
    """A curve from a to b that stands `sag` mm off the chord at its middle, to the left of the way."""
    run = math.dist(a, b)
    out = (a[1] - b[1]) / run * sag * 4.0 / 3.0, (b[0] - a[0]) / run * sag * 4.0 / 3.0
    third = (b[0] - a[0]) / 3.0, (b[1] - a[1]) / 3.0
    return cubic(a, (a[0] + third[0] + out[0], a[1] + third[1] + out[1]), _plus(b, out, third), b)


def _plus(b: Point, out: Point, third: Point) -> Point:
    return b[0] - third[0] + out[0], b[1] - third[1] + out[1]


def curve_of_length(a: Point, b: Point, wanted: float) -> Path:
    """The curve from a to b, standing off to the right of the way, that is `wanted` mm long."""
    low, high = 0.0, wanted
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if length(curve(a, b, -middle)) < wanted else (low, middle)
    return curve(a, b, -low)


def allowance(finish: str) -> float:
    read = read_finish(finish, WOVEN)
    if isinstance(read, FinishFault):
        raise ValueError(f"no such finish: {finish}")
    return read.allowance


def piece(
    name: str,
    corners: Corners,
    finishes: Mapping[str, str],
    *,
    fold: str = "",
    cut: int = 1,
    pair: bool = False,
    material: str = "main",
    bends: Mapping[str, Path | float] | None = None,
    marks: tuple[Mark, ...] = (),
    inner: tuple[Inner, ...] = (),
) -> Piece:
    """A piece from the corners at which its edges begin, anticlockwise. `bends` gives an edge a sag or its own path."""
    edges = []
    for at, (edge, start) in enumerate(corners):
        end = corners[(at + 1) % len(corners)][1]
        bend = (bends or {}).get(edge, 0.0)
        path = bend if isinstance(bend, Path) else curve(start, end, bend) if bend else line(start, end)
        parent = edge.rsplit(".", 1)[0] if "." in edge else None
        said = "" if edge == fold else "dart" if edge.startswith("dart ") else finishes.get(parent or edge, "")
        width = allowance(said) if said not in ("", "dart") else 0.0
        edges.append(Edge(edge, path, parent, fold=edge == fold, allowance=width, finish=said))
    xs, ys = [x for _, (x, _) in corners], [y for _, (_, y) in corners]
    middle = (min(xs) + max(xs)) / 2.0
    grain = Grain("straight", (middle, min(ys) + 10.0), (middle, max(ys) - 10.0))
    return Piece(name, tuple(edges), bool(fold), cut, pair, material, grain, marks=marks, inner=inner)


def runs(*said: str) -> tuple[Run, ...]:
    """Runs as a recipe says them: `turned mirrored neck of front`."""
    found = []
    for each in said:
        turned, rest = each.startswith("turned "), each.removeprefix("turned ")
        copy, rest = ("mirrored" if rest.startswith("mirrored ") else "drawn"), rest.removeprefix("mirrored ")
        edge, of = rest.split(" of ", 1)
        found.append(Run(of, edge, copy, turned))  # type: ignore[arg-type]
    return tuple(found)


def seam(
    name: str,
    first: Sequence[str] | str,
    second: Sequence[str] | str,
    finish: str = "plain 15 mm",
    *,
    twice: bool = False,
    ease: float = 0.0,
) -> Seam:
    sides = tuple(runs(*([side] if isinstance(side, str) else side)) for side in (first, second))
    return Seam(name, read_finish(finish, WOVEN).kind, sides, ease, twice, finish)  # type: ignore[union-attr,arg-type]


def pattern(name: str, pieces: Sequence[Piece], seams: Sequence[Seam], hem: Sequence[str], **more: object) -> Pattern:
    """The pattern, its seam edges carrying their seam's finish; `hem` are the pieces whose hem is levelled."""
    sewn = {(run.piece, run.edge): each.finish for each in seams for side in each.sides for run in side}

    def dressed(of: Piece) -> Piece:
        found = [
            replace(edge, finish=said, allowance=allowance(said))
            if (said := sewn.get((of.name, edge.name)) or sewn.get((of.name, edge.root))) and edge.finish != "dart"
            else edge
            for edge in of.edges
        ]
        return replace(of, edges=tuple(found))

    levels = {"hem": Level("hem", 0.0, 1000.0, across=tuple((each, 2.0) for each in hem))}
    given = {"levels": levels, "measures": {"waist": Taken(740.0), "hip": Taken(1000.0)}, **more}
    return Pattern(
        name, name.replace("-", " ").capitalize(), "alto-1", tuple(map(dressed, pieces)), tuple(seams), **given
    )  # type: ignore[arg-type]


def waistband(waist: float, underlap: float, marks: tuple[Mark, ...] = ()) -> Piece:
    whole = waist + underlap
    corners = [
        ("waist seam", (0.0, 0.0)),
        *([("underlap", (waist, 0.0))] if underlap else []),
        ("band end", (whole, 0.0)),
        ("band edge", (whole, 60.0)),
        ("other band end", (0.0, 60.0)),
    ]
    finishes = {"underlap": END, "band end": END, "other band end": END, "band edge": "folded facing 10 mm"}
    fold = (Inner("fold line", "band fold", line((0.0, 30.0), (whole, 30.0))),)
    return piece("waistband", corners, finishes, inner=fold, marks=marks)
