"""The toile of a garment: its pattern as it is cut in calico, or in a like cloth, for a first fitting.

Wide plain allowances all round, levels, centres and balance marks on every piece, no facing, no lining, nothing of
another material unless it is asked for. The seam lines stay the garment's own, so that what is seen on the toile is
true of the garment.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass, replace

from onfold.cut_lines import cut_lines
from onfold.geometry.fault import Fault
from onfold.making.folded_off import at_the_fold, has_facing, is_facing, ring_of, runs_within
from onfold.pattern import Edge, Inner, Level, Opening, Pattern, Piece, Run, Seam, edges_of
from onfold.problems import Place, Problem, problem

ALLOWANCE = 30.0
"""mm beyond every seam and edge of a toile, to let out from [C]."""
FINISH = f"plain {ALLOWANCE:g} mm"
MAIN = "main"
FACING = "facing"

SEWN_OTHERWISE = frozenset(
    {
        "ALLOWANCE-SEAM",
        "CORNER-SHARP",
        "ENCLOSED-TRIM",
        "FACING-DEPTH",
        "FACING-MIRROR",
        "FACING-TURN",
        "HEM-CURVE",
        "HEM-KIND",
        "INLAY-WIDE",
        "NAP-PAIR",
        "PIECE-WIDTH",
        "PILE-STRETCH",
        "SEAM-ALLOWANCE",
        "SEAM-GIVE",
        "STRAP-TURN",
        "STRETCH-WAY",
        "SURFACE-NAP",
    }
)
"""Problems of the garment's own sewing, facings and cloth: none of them is in its toile."""


@dataclass(frozen=True)
class LeftOut:
    """What the toile does without: a whole piece, or what is cut off it at the fold line."""

    piece: str
    what: str
    at_fold: str = ""


@dataclass(frozen=True)
class Carried:
    """What is carried onto the cloth of one piece: its centres, its levels, and how many balance marks."""

    piece: str
    centres: tuple[str, ...]
    levels: tuple[str, ...]
    balance_marks: int


@dataclass(frozen=True, eq=False)
class Toile:
    """A toile: its pattern (problems in it), what was left out, what is carried onto each piece."""

    pattern: Pattern
    left_out: tuple[LeftOut, ...]
    carried: tuple[Carried, ...]


def parts_to_ask_for(pattern: Pattern) -> tuple[str, ...]:
    """Return what a toile of this pattern does without unless it is asked for: `facing`, and its other materials."""
    facing = any(is_facing(piece.name) or has_facing(piece) for piece in pattern.pieces)
    materials = dict.fromkeys(piece.material for piece in pattern.pieces if piece.material != MAIN)
    return (*([FACING] if facing else []), *(name for name in materials if name != FACING))


def toile_of(pattern: Pattern, asked: Collection[str] = ()) -> Toile:
    """Return the toile of a pattern, `asked` naming parts of `parts_to_ask_for` that are cut all the same.

    Seam lines, notches and levels are the garment's. What the left-out parts were sewn to is no seam any more. A
    piece round which no cut line can be drawn is left out with a stop.
    """
    left_out: list[LeftOut] = []
    cut: list[Piece] = []
    for piece in pattern.pieces:
        why = _why_left_out(piece, asked)
        if why:
            left_out.append(LeftOut(piece.name, why))
            continue
        shown, off = (piece, ()) if FACING in asked else _without_facings(piece)
        left_out += off
        cut.append(_marked_out(shown))
    drawn: list[Piece] = []
    problems = [each for each in pattern.problems if each.code not in SEWN_OTHERWISE]
    for piece, ring in zip(cut, cut_lines([piece.edges for piece in cut]), strict=True):
        if isinstance(ring, Fault):
            problems.append(_no_cut_line(piece, ring))
        else:
            drawn.append(replace(piece, cut_line=ring))
    pieces = {piece.name: piece for piece in drawn}
    made = replace(
        pattern,
        title=f"Toile: {pattern.title or pattern.recipe}",
        pieces=tuple(drawn),
        seams=tuple(seam for each in pattern.seams if (seam := _seam(each, pieces)) is not None),
        levels={name: _level(each, pieces) for name, each in pattern.levels.items()},
        openings=tuple(each for each in pattern.openings if _opens(each, pieces)),
        problems=tuple(problems),
    )
    return Toile(made, tuple(left_out), tuple(_carried(piece) for piece in drawn))


def _why_left_out(piece: Piece, asked: Collection[str]) -> str:
    if piece.material != MAIN:
        return "" if piece.material in asked else piece.material
    return FACING if is_facing(piece.name) and FACING not in asked else ""


def _without_facings(piece: Piece) -> tuple[Piece, tuple[LeftOut, ...]]:
    """Return the piece cut off at the fold of every facing that is cut in one with it, and what that leaves out."""
    off: list[LeftOut] = []
    while (shown := at_the_fold(piece)) is not None:
        (fold,) = [each.name for each in piece.inner if each.kind == "fold line" and _gone(each, shown)][:1]
        off.append(LeftOut(piece.name, FACING, fold))
        piece = shown
    return piece, tuple(off)


def _gone(line: Inner, piece: Piece) -> bool:
    return all(line is not each for each in piece.inner)


def _marked_out(piece: Piece) -> Piece:
    """Return the piece with the toile's allowances, and the lines that are carried onto its cloth."""
    edges = tuple(
        edge
        if edge.fold or edge.finish == "dart"
        else replace(edge, allowance=ALLOWANCE, finish=FINISH, corner="mitred")
        for edge in piece.edges
    )
    ring = ring_of(piece.edges)
    inner = tuple(
        each for each in piece.inner if each.kind != "inlay" and (each.kind != "level" or runs_within(ring, each))
    )
    marked = replace(piece, edges=edges, inner=(*inner, *_centre_lines(piece)), material=MAIN)
    return replace(marked, label=_label(_carried(marked)))


def _centre_lines(piece: Piece) -> tuple[Inner, ...]:
    """Return the centres of a piece that is cut on the fold: opened out, nothing else would show them."""
    return tuple(Inner("centre", edge.name, edge.path) for edge in piece.edges if edge.fold and len(edge.path.curves))


def _carried(piece: Piece) -> Carried:
    seams = [edge.root for edge in piece.edges if re.search(r"\bcentre\b", edge.root) and not edge.fold]
    folds = [each.name for each in piece.inner if each.kind == "centre"]
    levels = [each.name for each in piece.inner if each.kind == "level" and each.name]
    return Carried(piece.name, tuple(dict.fromkeys([*folds, *seams])), tuple(dict.fromkeys(levels)), len(piece.notches))


def _label(carried: Carried) -> str:
    said = [*carried.centres, *carried.levels]
    marks = f"{carried.balance_marks} balance {'mark' if carried.balance_marks == 1 else 'marks'}"
    said += [marks] if carried.balance_marks else []
    return f"Toile. Carry onto the cloth: {', '.join(said)}." if said else "Toile."


def _no_cut_line(piece: Piece, fault: Fault) -> Problem:
    return problem(
        "CUT-LINE",
        says=f"No cut line can be drawn round the toile's {piece.name}: {fault.reason}.",
        where=Place(piece=piece.name),
        remedy="cut this piece by the garment's own pattern",
    )


def _seam(seam: Seam, pieces: dict[str, Piece]) -> Seam | None:
    """Return a seam as the toile has it, sewn plain; None where one of its sides is gone."""
    first, second = (tuple(run for run in side if _edges(run, pieces)) for side in seam.sides)
    if not first or not second:
        return None
    return replace(seam, construction="plain", finish=FINISH, sides=(first, second))


def _edges(run: Run, pieces: dict[str, Piece]) -> tuple[Edge, ...]:
    return edges_of(pieces[run.piece], run.edge) if run.piece in pieces else ()


def _level(level: Level, pieces: dict[str, Piece]) -> Level:
    return replace(level, across=tuple(each for each in level.across if each[0] in pieces))


def _opens(opening: Opening, pieces: dict[str, Piece]) -> bool:
    told = [text.partition(" of ") for text in opening.edges]
    return any(_edges(Run(piece, edge), pieces) for edge, _, piece in told)
