"""The cowl: the fold produced, the neck squared, the armhole trued, the facing mirrored in the neck edge."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import atan2, degrees, hypot
from typing import ClassVar, Literal

import numpy as np

from onfold.geometry.fall import most_sag, sag
from onfold.geometry.path import (
    Path,
    end,
    flatten,
    length,
    line,
    meetings,
    mirrored,
    part,
    smooth,
    start,
    turned_back,
)
from onfold.geometry.point import Point
from onfold.geometry.region import is_valid
from onfold.geometry.true import trued
from onfold.pattern import Edge, Inner
from onfold.recipe.bench import Bench, Outline
from onfold.recipe.step import EdgeName, Length, LevelName, step
from onfold.recipe.telling import Telling
from onfold.steps.develop import Slashed, spread_by

ENDS = ("above the underarm", "in the side seam")


@dataclass(frozen=True, eq=False)
class Drawn:
    """A cowl as drawn: the new outline and the figures that are said of it, mm."""

    outline: Outline
    neck: Point
    depth: float
    growth: float
    armhole: Path


@dataclass(frozen=True)
class Wanted:
    """The figures a cowl is drawn with, mm: the facing asked for (or None), its least depth and what it adds."""

    facing: float | None
    past_fall: float
    least: float
    ends: str
    clear: float
    grow: float


@step("cowl", "develop")
class Cowl:
    """Draw a cowl's fold, neck, trued armhole and facing cut in one, after slashing.

    The fold is the lowest part's centre produced straight up; the neck is square to it from the neck's side end; what
    stands above is dropped. The facing's sides are the trued armhole reflected in the neck edge. Its free edge ends
    above the underarm, or its sides run on parallel to the fold and are caught in the side seam.
    """

    armhole: EdgeName
    neck: EdgeName
    fold: EdgeName
    bust: LevelName
    facing: Length | None = None
    past_fall: Length
    least: Length
    ends: Literal["above the underarm", "in the side seam"]
    clear: Length
    grow: Length

    reason: ClassVar[str] = (
        "Square to the fold the neck edge lies on the straight of the cloth and falls evenly; the facing mirrors the "
        "armhole, so that it lies flat when it is turned in."
    )
    gives: ClassVar[tuple[str, ...]] = ("{neck} fold", "{armhole} facing", "facing side", "{neck} facing")

    def run(self, bench: Bench) -> None:
        """Draw it, or say how far the slashes may be opened."""
        wanted = Wanted(
            bench.perhaps(self.facing),
            bench.amount(self.past_fall),
            bench.amount(self.least),
            bench.word(self.ends, ENDS),
            bench.amount(self.clear),
            bench.amount(self.grow),
        )
        slashed = bench.look(("slashed", bench.piece))
        if not isinstance(slashed, Slashed):
            says = "The piece is not slashed yet: slash and spread before drawing the cowl."
            raise bench.stop("STEP-NAME", says, lost=f"slashes of {bench.piece}", on=bench.piece)
        names = (self.armhole, self.neck, self.fold)
        for name in names:
            bench.edge(name)
        self._hold_to(bench, slashed)
        drawn = _drawn(slashed, slashed.opening, names, wanted)
        if drawn is None:
            most = _largest_sound(slashed, names, wanted)
            raise bench.stop(
                "COWL-TURN",
                f"Opened by {bench.mm(slashed.opening)} the front lies over itself. It can be opened by at most "
                f"{bench.mm_down(most)} at each slash.",
                found=bench.mm(slashed.opening),
                expected=f"at most {bench.mm_down(most)}",
                remedy=f"open each slash less: choices: {{spread: {bench.mm_down(most)}}}",
            )
        self._lay(bench, drawn, slashed)

    def _hold_to(self, bench: Bench, slashed: Slashed) -> None:
        """Hold the three edges to those of the slashed piece: the hinged one, its centre, and one between them."""
        between = {each.name for each in slashed.before} - {slashed.hinged, slashed.centre}
        if (self.armhole, self.fold) == (slashed.hinged, slashed.centre) and self.neck in between:
            return
        raise bench.stop(
            "STEP-CANNOT",
            f"The slashes go from the {slashed.centre} to the {slashed.hinged}; a cowl is drawn with the same two and "
            "the neck between them.",
            found=f"{self.fold}, {self.armhole}, {self.neck}",
            expected=f"{slashed.centre}, {slashed.hinged} and an edge between",
            remedy="name the edges that were slashed",
        )

    def _lay(self, bench: Bench, drawn: Drawn, slashed: Slashed) -> None:
        x, y = drawn.neck
        fold_x = next(end(each.path)[0] for each in drawn.outline if each.name == self.fold)
        bench.put_outline(drawn.outline)
        neck_line = line((fold_x, y), (x, y))
        bench.put_inner(Inner("fold line", f"{self.neck} fold", neck_line))
        for name in bench.listed("inner", bench.piece):
            if name == self.neck or bench.look(("inner", bench.piece, name)).kind == "slash":
                bench.put_inner(Inner("dropped", name, neck_line))
        bench.move_point(f"end of {self.neck}", drawn.neck)
        bench.move_point(f"{self.neck} on the centre", (fold_x, y))
        half = x - fold_x
        bench.put_fact("half neck edge", half)
        bench.put_fact("cowl fall", sag(half, slashed.span))
        bench.put_fact("most fall", most_sag(half, slashed.span))
        bench.put_fact("facing depth", drawn.depth)
        bench.put_fact("armhole growth", drawn.growth)
        a, b = start(drawn.armhole), end(drawn.armhole)
        bench.put_fact("armhole to grain", degrees(abs(atan2(b[0] - a[0], b[1] - a[1]))), "degrees")
        bust = bench.line(self.bust)
        bench.put_fact("neck above bust", y - start(bust)[1])

    def say(self, told: Telling) -> str:
        """Tell."""
        growth = told.fact("armhole growth")
        grown = f" (it grows by {told.mm(growth)})" if told.mm(growth) != told.mm(0.0) else ""
        ends = told.word(self.ends, ENDS)
        how = (
            "and let its free edge curve up to end above the underarm"
            if ends == ENDS[0]
            else "and carry its sides on beside the fold, to be caught in the side seam"
        )
        depth, fall = told.mm(told.fact("facing depth")), told.fact("cowl fall")
        falls = f"Expect the neck to fall {told.mm(fall)}, at the very most {told.mm(told.fact('most fall'))}."
        return (
            f"Produce the {self.fold} of the lowest part straight up: that is the fold. From the side end of the neck "
            f"square across to it: the neck edge, {told.mm(told.fact('half neck edge'))} on the half. Cut off what "
            f"stands above, and paste plain paper there, {depth} high and more for its finish. True the {self.armhole} "
            f"to one smooth curve{grown}. Turn the paper over along the neck edge and trace the {self.armhole}: these "
            f"are the sides of the facing. Make the facing {depth} deep at the fold {how}. "
            f"{falls if fall > 0.5 else 'Nothing is let in: the neck edge lies straight across and does not fall.'}"
        )


def _drawn(plan: Slashed, opening: float, names: tuple[str, str, str], wanted: Wanted) -> Drawn | None:
    """Return the cowl at this opening, or None where the piece would lie over itself."""
    armhole_name, neck_name, fold_name = names
    edges = {each.name: each for each in plan.before}
    swung = spread_by(plan, opening) if opening > 0.0 else None
    before = edges[armhole_name].path
    armhole = trued(swung.hinged, swung.corners, wanted.grow) if swung else before
    fold_x, foot_y = end(edges[fold_name].path)
    neck = end(armhole)
    if neck[0] - fold_x <= 1e-6 or neck[1] - foot_y <= 1e-6:
        return None
    depth = wanted.facing
    if depth is None:
        depth = max(wanted.least, sag(neck[0] - fold_x, plan.span) + wanted.past_fall)
    facing, depth = _facing(armhole, fold_x, depth, wanted, names)
    corner = end(facing[-1].path)
    new: list[Edge] = []
    for each in plan.before:
        if each.name == armhole_name:
            new.extend([replace(each, path=armhole), *facing])
        elif each.name == fold_name:
            new.append(replace(each, path=line(corner, (fold_x, foot_y))))
        elif each.name != neck_name:
            new.append(each)
    ring = np.concatenate([flatten(each.path, 0.05)[:-1] for each in new])
    if not is_valid(np.concatenate([ring, ring[:1]])):
        return None
    return Drawn(tuple(new), neck, depth, length(armhole) - length(before), armhole)


def _facing(
    armhole: Path, fold_x: float, depth: float, wanted: Wanted, names: tuple[str, str, str]
) -> tuple[list[Edge], float]:
    """Return the facing's edges from the neck's side end to the fold, and its depth at the fold, mm.

    They are named after the armhole and the neck that they face.
    """
    (ux, uy), (nx, ny) = start(armhole), end(armhole)
    side = mirrored(turned_back(armhole), (0.0, ny), (1.0, ny))
    in_seam = wanted.ends == ENDS[1]
    if in_seam:
        depth = max(depth, ny - uy + wanted.clear)
        leave = length(side)
    else:
        leave = _leaves_at(side, ny, min(ny - uy - wanted.clear, depth), ux, nx)
    edges = [Edge(f"{names[0]} facing", side if leave >= length(side) else part(side, 0.0, leave))]
    last = end(edges[0].path)
    top = ny + depth
    if in_seam and top - last[1] > 1e-6:
        edges.append(Edge("facing side", line(last, (last[0], top))))
        last = (last[0], top)
    corner = (fold_x, top)
    free = line(last, corner) if abs(last[1] - top) < 1e-6 else smooth([last, corner], end_tangent=(-1.0, 0.0))
    edges.append(Edge(f"{names[1]} facing", free))
    return edges, depth


def _leaves_at(side: Path, neck_y: float, height: float, ux: float, nx: float) -> float:
    """Return the mm along the facing's side where its free edge leaves it: at this height above the neck edge."""
    if height <= 0.0:
        return length(side) / 2.0
    far = max(abs(ux), abs(nx)) + hypot(ux - nx, height) + length(side)
    crossing = meetings(side, line((-far, neck_y + height), (far, neck_y + height)))
    return crossing[0].along_a if crossing else length(side) / 2.0


def _largest_sound(plan: Slashed, names: tuple[str, str, str], wanted: Wanted) -> float:
    low, high = 0.0, plan.opening
    for _ in range(30):
        middle = (low + high) / 2.0
        low, high = (middle, high) if _drawn(plan, middle, names, wanted) else (low, middle)
    return low
