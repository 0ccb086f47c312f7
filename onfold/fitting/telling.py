"""Differences in words and figures, in the maker's units: `81.2 → 80.2 cm`, `moved inward 5 mm`."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from onfold.fitting.change import Change
from onfold.fitting.comparing import Differences, EdgeChange, Pair, PieceChange, PointChange, SeamChange
from onfold.pattern import Piece
from onfold.problems import Problem, gravest_first
from onfold.units import System, plain, say_degrees, say_length, say_share

HARDLY = 0.5
"""mm below which a change is not told edge by edge: less than the width of a chalk line."""


@dataclass(frozen=True)
class Told:
    """A heading and the lines below it."""

    heading: str
    lines: tuple[str, ...]


def say_fine(mm: float, units: System) -> str:
    """Return a small length as it is said at the table: `5 mm`, `5.3 mm`, `3/16 in`; from 2 cm as any other."""
    if units == "in":
        said = say_length(mm, "in", 16)
        return said if said != "0 in" else say_length(mm, "in", 32)
    return f"{round(mm, 1 if abs(mm) < 10.0 else 0):g} mm" if abs(mm) < 20.0 else say_length(mm, "cm")


def say_pair(before: float | None, after: float | None, units: System) -> str:
    """Return a length before and after: `81.2 → 80.2 cm`; finer where both would be said alike; `62 cm` where equal."""
    if before is None or after is None:
        there = after if before is None else before
        word = "" if there is None else f" {say_length(there, units)}"
        return f"new:{word}" if before is None else f"gone:{word}"
    for say in (say_length, _finest):
        old, new = say(before, units), say(after, units)
        if old != new:
            unit = f" {new.rsplit(' ', 1)[1]}"
            return f"{old.removesuffix(unit)} → {new}"
    return say_length(after, units)


def _finest(mm: float, units: System) -> str:
    return say_length(mm, "in", 32) if units == "in" else f"{round(mm, 1):g} mm"


def say_figure(pair: Pair, units: System) -> str:
    """Return a level's, fact's or measure's figure before and after, by its unit."""
    if pair.unit == "mm":
        return say_pair(pair.before, pair.after, units)
    return f"{_unitless(pair.before, pair.unit)} → {_unitless(pair.after, pair.unit)}"


def _unitless(value: float | None, unit: str) -> str:
    if value is None:
        return "none"
    return say_degrees(value) if unit == "degrees" else say_share(value) if unit == "share" else f"{value:g}"


def tell_change(change: Change) -> tuple[str, ...]:
    """Return what is changed, a line each: `waist ease 3 cm`, `figure note: sway back 1.5 cm`."""
    return (
        *(f"{plain(name)} {plain(value, 120)}" for name, value in change.choices.items()),
        *(f"figure note: {plain(name)} {plain(value, 120)}" for name, value in change.figure.items()),
        *(f"taped again: {plain(name)} {plain(value, 120)}" for name, value in change.measures.items()),
        *(f"step: {plain(text, 200)}" + (f", after {plain(after)}" if after else "") for after, text in change.steps),
    )


def tell_differences(found: Differences, units: System) -> tuple[Told, ...]:
    """Return all that differs, told in the order a cutter works: pieces, seams, girths, figures, problems."""
    told = [Told(piece.name, tell_piece(piece, units)) for piece in found.changed]
    if found.unchanged:
        told.append(Told("As before", (", ".join(piece.name for piece in found.unchanged),)))
    told.append(Told("Seams walked again", tell_seams(found, units)))
    for heading, pairs in (
        ("Finished girths", found.levels),
        ("Measures", found.measures),
        ("Other figures", found.facts),
    ):
        if pairs:
            told.append(Told(heading, tuple(f"{pair.name} {_figure(pair, heading, units)}" for pair in pairs)))
    told += tell_problems(found)
    return tuple(told)


def _figure(pair: Pair, heading: str, units: System) -> str:
    """Return a figure before and after; a measure that came or went is one that is drawn from now, or no more."""
    if heading == "Measures" and pair.after is None:
        return "is no more drawn from"
    if heading == "Measures" and pair.before is None:
        return f"is drawn from now: {say_length(pair.after or 0.0, units)}"
    return say_figure(pair, units)


def tell_problems(found: Differences) -> list[Told]:
    """Return the problems that came and those that are cured, stops first."""
    told = []
    for heading, problems in (("New problems", found.gained), ("Cured", found.cured)):
        if problems:
            told.append(Told(heading, tuple(_problem(each) for each in gravest_first(problems))))
    return told


def _problem(each: Problem) -> str:
    return f"{each.severity}: {plain(each.says, 600)}"


def tell_piece(piece: PieceChange, units: System) -> tuple[str, ...]:
    """Return what is different on a piece, an edge a line, the one that moved most first."""
    there: Piece | None = piece.after if piece.before is None else piece.before
    if piece.before is None or piece.after is None:
        cut = there.cut if there is not None else 0
        return (f"{'new' if piece.before is None else 'no more cut'}: cut {cut}",)
    seen = [edge for edge in piece.edges if _told(edge)]
    seen.sort(key=lambda edge: -edge.reach)
    lines = [f"{edge.name}: {tell_edge(edge, units)}" for edge in seen]
    if len(seen) < len(piece.edges):
        rest = ", ".join(edge.name for edge in piece.edges if not _told(edge))
        lines.append(f"by less than {say_fine(HARDLY, units)}: {rest}")
    points = Counter(tell_point(point, units) for point in piece.points if _point_told(point))
    lines += [text + (f" ({count} of them)" if count > 1 else "") for text, count in points.items()]
    lines += [f"{what}: {before} → {after}" for what, before, after in piece.words]
    if piece.cut.before != piece.cut.after:
        lines.append(f"cut {piece.cut.before or 0:g} → {piece.cut.after or 0:g}")
    return tuple(lines)


def _told(edge: EdgeChange) -> bool:
    if edge.before is None or edge.after is None:
        return True
    old, new = edge.allowances
    widened = old is not None and new is not None and abs(old - new) > 0.05
    return widened or edge.reach > HARDLY or abs(edge.before - edge.after) > HARDLY


def _point_told(point: PointChange) -> bool:
    if point.before is None or point.after is None:
        return True
    return _apart(point) > HARDLY


def _apart(point: PointChange) -> float:
    assert point.before is not None and point.after is not None
    return float(((point.after[0] - point.before[0]) ** 2 + (point.after[1] - point.before[1]) ** 2) ** 0.5)


def tell_edge(edge: EdgeChange, units: System) -> str:
    """Return an edge's length before and after, how far it moved, and its allowance where that changed."""
    parts = [say_pair(edge.before, edge.after, units)]
    if edge.move is not None and edge.move.by > HARDLY:
        parts.append(f"moved {tell_move(edge, units)}")
    old, new = edge.allowances
    if old is not None and new is not None and abs(old - new) > 0.05:
        parts.append(f"allowance {say_fine(old, units)} → {say_fine(new, units)}")
    return ", ".join(parts)


def tell_move(edge: EdgeChange, units: System) -> str:
    """Return how far and which way an edge moved sideways: `outward 5 mm`, `inward up to 12 mm`; of a dart no way."""
    if edge.move is None:
        return ""
    way = "" if edge.dart else "outward " if edge.move.outward else "inward "
    return f"{way}{'' if edge.move.even else 'up to '}{say_fine(edge.move.by, units)}"


def tell_point(point: PointChange, units: System) -> str:
    """Return how far a notch or mark moved, or that it came or went."""
    name = f"notch on {point.name}" if point.kind == "notch" else point.name
    name = name if point.kind in ("notch", point.name) or point.kind in point.name else f"{point.kind} of {point.name}"
    if point.before is None or point.after is None:
        return f"{name}: {'new' if point.before is None else 'gone'}"
    return f"{name}: moved {say_fine(_apart(point), units)}"


def tell_seams(found: Differences, units: System) -> tuple[str, ...]:
    """Return the seams whose lengths changed, with what their partners differ by, and that the others are as before."""
    lines = [f"{seam.name}: {_seam(seam, units)}" for seam in found.seams]
    rest = found.walked - sum(seam.after is not None for seam in found.seams)
    if rest:
        lines.append(f"{'the others' if lines else 'all'} as before" if rest > 1 or lines else "as before")
    return tuple(lines)


def _seam(seam: SeamChange, units: System) -> str:
    if seam.before is None or seam.after is None:
        return "new" if seam.before is None else "no more sewn"
    off = abs(seam.off_after or 0.0)
    meets = "partners agree" if off <= 1.0 else f"partners differ by {say_fine(off, units)}"
    return f"{say_pair(seam.before[1], seam.after[1], units)}, {meets}"
