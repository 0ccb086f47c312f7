"""What a change did to the pattern: piece by piece and edge by edge, seams walked again, problems gained and cured.

Both drafts are laid over each other so that what did not change lies exactly on itself: by the edges that kept their
shape, as a cutter lays a new pattern on the old one. Millimetres throughout; places are those of the draft before.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from onfold.fitting.laying_over import SAME, Move, changed_edges, changed_points, laid_over, ring_of
from onfold.fitting.laying_over import EdgeChange as EdgeChange
from onfold.fitting.laying_over import PointChange as PointChange
from onfold.geometry.path import length
from onfold.geometry.region import area
from onfold.pattern import Pattern, Piece, Run, Seam, edges_of
from onfold.problems import Problem

__all__ = [
    "SAME",
    "Differences",
    "EdgeChange",
    "Move",
    "Pair",
    "PieceChange",
    "PointChange",
    "SeamChange",
    "differences",
    "new_stops",
]


@dataclass(frozen=True)
class Pair:
    """A figure before and after, None where there is none. `unit`: mm, degrees, share or count."""

    name: str
    before: float | None
    after: float | None
    unit: str = "mm"


@dataclass(frozen=True, eq=False)
class PieceChange:
    """One piece before and after, `after` already laid over `before`; None where it was not or is no more.

    `edges` and `points` hold those that changed, `words` what is said otherwise: (`grain`, `straight`, `bias`).
    `area` is of the seam line as drawn, mm2 (a fold piece: its half).
    """

    name: str
    before: Piece | None
    after: Piece | None
    shift: tuple[float, float]
    edges: tuple[EdgeChange, ...]
    points: tuple[PointChange, ...]
    area: Pair
    cut: Pair
    words: tuple[tuple[str, str, str], ...] = ()

    @property
    def changed(self) -> bool:
        """Return whether anything of the piece differs that a cutter would see."""
        kept = self.before is not None and self.after is not None
        return not kept or bool(self.edges or self.points or self.words) or self.cut.before != self.cut.after

    @property
    def moved(self) -> Move | None:
        """Return the move of the edge that moved most sideways, None where none did."""
        moves = [edge.move for edge in self.edges if edge.move is not None]
        return max(moves, key=lambda each: each.by, default=None)


@dataclass(frozen=True)
class SeamChange:
    """A seam walked before and after: the lengths of its two sides, and by how much they differ once eased, mm.

    None where the seam was not or is no more. `off` is the first side less its ease less the second.
    """

    name: str
    before: tuple[float, float] | None
    after: tuple[float, float] | None
    off_before: float | None
    off_after: float | None


@dataclass(frozen=True, eq=False)
class Differences:
    """All that differs between two drafts of one garment.

    `pieces` are all of them, changed or not, in the order they are drawn; seams, levels, facts and measures those that
    changed. `gained` are the problems that came, `cured` those that went; `walked` says of how many seams the partners
    were compared again.
    """

    pieces: tuple[PieceChange, ...]
    seams: tuple[SeamChange, ...] = ()
    levels: tuple[Pair, ...] = ()
    facts: tuple[Pair, ...] = ()
    measures: tuple[Pair, ...] = ()
    gained: tuple[Problem, ...] = ()
    cured: tuple[Problem, ...] = ()
    walked: int = 0

    @property
    def changed(self) -> tuple[PieceChange, ...]:
        """Return the pieces that differ."""
        return tuple(piece for piece in self.pieces if piece.changed)

    @property
    def unchanged(self) -> tuple[PieceChange, ...]:
        """Return the pieces that are as they were."""
        return tuple(piece for piece in self.pieces if not piece.changed)


def differences(before: Pattern, after: Pattern) -> Differences:
    """Return all that differs between two drafts, each piece laid over what it was."""
    names = list(dict.fromkeys([*(each.name for each in before.pieces), *(each.name for each in after.pieces)]))
    gained, cured = _turned(before.problems, after.problems)
    return Differences(
        tuple(_piece(name, before.piece(name), after.piece(name)) for name in names),
        tuple(_seams(before, after)),
        _pairs(
            {name: (level.finished, "mm") for name, level in before.levels.items()},
            {name: (level.finished, "mm") for name, level in after.levels.items()},
        ),
        _pairs(
            {name: (fact.value, fact.unit) for name, fact in before.facts.items()},
            {name: (fact.value, fact.unit) for name, fact in after.facts.items()},
        ),
        _pairs(
            {name: (taken.value, "mm") for name, taken in before.measures.items()},
            {name: (taken.value, "mm") for name, taken in after.measures.items()},
        ),
        gained,
        cured,
        len(after.seams),
    )


def new_stops(found: Differences) -> tuple[Problem, ...]:
    """Return the stops that a change brought about."""
    return tuple(each for each in found.gained if each.severity == "stop")


def _piece(name: str, before: Piece | None, after: Piece | None) -> PieceChange:
    shift = (0.0, 0.0)
    if before is not None and after is not None:
        after, shift = laid_over(before, after)
    return PieceChange(
        name,
        before,
        after,
        shift,
        changed_edges(before, after),
        changed_points(before, after),
        Pair(name, _area(before), _area(after), "mm2"),
        Pair(name, _count(before), _count(after), "count"),
        _words(before, after),
    )


def _words(before: Piece | None, after: Piece | None) -> tuple[tuple[str, str, str], ...]:
    if before is None or after is None:
        return ()
    old, new = _said(before), _said(after)
    return tuple((key, old[key], new[key]) for key in new if old[key] != new[key])


def _said(piece: Piece) -> dict[str, str]:
    grain = piece.grain
    return {
        "grain": "none" if grain is None else grain.kind + (f", {grain.tilt:g}° off" if grain.tilt else ""),
        "fold": "on the fold" if piece.on_fold else "no fold",
        "pair": "a mirrored pair" if piece.mirrored_pair else "all alike",
        "material": piece.material or "main",
    }


def _area(piece: Piece | None) -> float | None:
    return None if piece is None or not piece.edges else float(area(ring_of(piece)))


def _count(piece: Piece | None) -> float | None:
    return None if piece is None else float(piece.cut)


def _pairs(before: Mapping[str, tuple[float, str]], after: Mapping[str, tuple[float, str]]) -> tuple[Pair, ...]:
    found = []
    for name in dict.fromkeys([*before, *after]):
        old, new = before.get(name), after.get(name)
        unit = (new or old or (0.0, ""))[1]
        least = SAME if unit in ("mm", "degrees") else 1e-6
        if old is None or new is None or abs(new[0] - old[0]) > least:
            found.append(Pair(name, old and old[0], new and new[0], unit))
    return tuple(found)


def _seams(before: Pattern, after: Pattern) -> Iterable[SeamChange]:
    old, new = ({seam.name: seam for seam in pattern.seams} for pattern in (before, after))
    for name in dict.fromkeys([*old, *new]):
        was, off_was = _walked(before, old.get(name))
        now, off_now = _walked(after, new.get(name))
        told = [*(was or ()), *(now or ()), off_was or 0.0, off_now or 0.0]
        same = was is not None and now is not None and abs((off_was or 0.0) - (off_now or 0.0)) <= SAME
        if not same or any(abs(a - b) > SAME for a, b in zip(told[:2], told[2:4], strict=True)):
            yield SeamChange(name, was, now, off_was, off_now)


def _walked(pattern: Pattern, seam: Seam | None) -> tuple[tuple[float, float] | None, float | None]:
    """Return the lengths of a seam's two sides and what they differ by after ease; None where it is not sewn."""
    if seam is None:
        return None, None
    first, second = (sum(_run_length(pattern, run) for run in side) for side in seam.sides)
    return (first, second), first - seam.ease - second


def _run_length(pattern: Pattern, run: Run) -> float:
    piece = pattern.piece(run.piece)
    return sum(length(edge.path) for edge in edges_of(piece, run.edge)) if piece is not None else 0.0


def _turned(before: Iterable[Problem], after: Iterable[Problem]) -> tuple[tuple[Problem, ...], tuple[Problem, ...]]:
    """Return the problems that came and those that went; one that only has other figures did neither.

    What is less than a stop did neither, too, where it is worded otherwise now: it is the same thing to mind.
    """
    old, new = list(before), list(after)
    gained, cured = _beyond(new, old, _named), _beyond(old, new, _named)
    return tuple(_beyond(gained, cured, _kind)), tuple(_beyond(cured, gained, _kind))


Name = tuple[str, ...] | int


def _beyond(problems: list[Problem], others: list[Problem], name: Callable[[Problem], Name]) -> list[Problem]:
    """Return the problems that have none of their name left among the others, each of which stands for one."""
    left = Counter(map(name, others))
    found = []
    for each in problems:
        own = name(each)
        if left[own] > 0:
            left[own] -= 1
        else:
            found.append(each)
    return found


def _kind(each: Problem) -> Name:
    return id(each) if each.severity == "stop" else (each.code, each.where.piece)


def _named(each: Problem) -> Name:
    """Return what a problem is about, whatever its figures are."""
    return each.code, each.severity, each.where.piece, re.sub(r"[-\d./,½¼¾]+", "#", each.says)
