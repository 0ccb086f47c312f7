"""What forbids cutting: a draft's stops, and how they are said on paper."""

from __future__ import annotations

from onfold.pattern import Pattern, Piece
from onfold.problems import Problem
from onfold.units import plain

STOP = "STOP: do not cut"
"""What stands on a piece, in a tile's margin and above the reasons."""
_MOST = 6
"""Stops told in full on paper; the rest are counted, and `onfold check` tells them."""
_LONGEST = 400


def stops_of(pattern: Pattern) -> tuple[Problem, ...]:
    """Return the draft's stops, in their order."""
    return tuple(each for each in pattern.problems if each.severity == "stop")


def is_stopped(piece: Piece, pattern: Pattern) -> bool:
    """Return whether a stop speaks of this piece; one that names no piece of the pattern speaks of them all."""
    drawn = {each.name for each in pattern.pieces}
    return any(each.where.piece == piece.name or each.where.piece not in drawn for each in stops_of(pattern))


def told_stops(pattern: Pattern) -> list[tuple[str, bool]]:
    """Return the lines that tell the stops: each sentence, bold, with what to do below it; none without a stop."""
    lines: list[tuple[str, bool]] = []
    stops = stops_of(pattern)
    for each in stops[:_MOST]:
        lines.append((plain(each.says, _LONGEST), True))
        if each.remedy:
            lines.append((f"What to do: {plain(each.remedy, _LONGEST).rstrip('.')}.", False))
    if len(stops) > _MOST:
        lines.append((f"And {len(stops) - _MOST} more: 'onfold check' tells them.", True))
    return [*lines, ("Then draft and print again; these sheets are only to be looked at.", False)] if lines else []
