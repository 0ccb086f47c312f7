"""What of the cloth is sewn shut and turned: tubes, parts closed on three sides, parts set into an edge.

Read from the pattern alone, before anything is sewn. A unit is one cloth, `(piece, number)`.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from making_cloth import Cloth
from making_nouns import Bit, SeamRun

Unit = tuple[str, int]


def unit_of(bit: Bit) -> Unit:
    return bit.piece, bit.cloth


@dataclass(frozen=True)
class Shut:
    """A part that is sewn wrong side out and turned: its cloths, and the seams that shut it."""

    units: frozenset[Unit]
    seams: tuple[SeamRun, ...]


def shut_parts(cloth: Cloth) -> list[Shut]:
    """Return the tubes folded along their length, and the pairs of cloths whose open edges are caught in one edge."""
    return [*_tubes(cloth), *_pockets(cloth)]


def _tubes(cloth: Cloth) -> list[Shut]:
    found = []
    for unit in cloth.rings:
        closing = [run for run in cloth.runs if {unit_of(bit) for bit in run.bits} == {unit}]
        crossed = {bit for fold in cloth.folds if (fold.piece, fold.cloth) == unit for bit in fold.crossed}
        lengthwise = [run for run in closing if not crossed & set(run.bits)]
        if crossed and lengthwise:
            found.append(Shut(frozenset({unit}), tuple(lengthwise)))
    return found


def _pockets(cloth: Cloth) -> list[Shut]:
    found = []
    for a, b in combinations(cloth.rings, 2):
        closing = [run for run in cloth.runs if {unit_of(bit) for bit in run.bits} == {a, b}]
        if not closing:
            continue
        shut = {bit for run in closing for bit in run.bits}
        mouths = [[bit for bit in cloth.rings[unit] if bit not in shut] for unit in (a, b)]
        into = [_partners(cloth, mouth, shut) for mouth in mouths]
        one_mouth = all(_is_one_run(cloth.rings[unit], shut) for unit in (a, b))
        if one_mouth and into[0] and into[0] == into[1]:
            found.append(Shut(frozenset({a, b}), tuple(closing)))
    return found


def _is_one_run(ring: list[Bit], shut: set[Bit]) -> bool:
    """Whether the edges not shut follow one another on the cloth."""
    return sum(bit in shut and ring[at - 1] not in shut for at, bit in enumerate(ring)) == 1


def _partners(cloth: Cloth, mouth: list[Bit], shut: set[Bit]) -> frozenset[Bit]:
    """The edges that an open mouth is sewn to; none where a part of it is sewn to nothing."""
    found: set[Bit] = set()
    for bit in mouth:
        others = {b for run in cloth.of_seams.get(bit, ()) for b in across(run, bit)} - shut
        if not others:
            return frozenset()
        found |= others
    return frozenset(found)


def across(run: SeamRun, bit: Bit) -> list[Bit]:
    sides = [[walked.bit for walked in side] for side in run.sides]
    return sides[1] if bit in sides[0] else sides[0]


def sewn_over(cloth: Cloth, bit: Bit, by: SeamRun) -> bool:
    """Return whether a seam lays something over this edge that goes on beyond it (a facing, a lining).

    A part all of whose edges are in seams, or closed across a fold, is only set in (a collar): more may be laid over.
    """
    closed = {b for fold in cloth.folds for b in fold.crossed if cloth.edges[b].finish.startswith("plain")}
    return any(
        b not in closed and b not in cloth.of_seams for other in across(by, bit) for b in cloth.rings[unit_of(other)]
    )


def is_shut(cloth: Cloth, status: dict[Bit, str], units: list[Unit]) -> bool:
    """Return whether every edge of these cloths is sewn to another."""
    return all(status[bit] == "sewn" for unit in units for bit in cloth.rings[unit] if bit not in cloth.legs)
