"""What is said of a toile: how it is cut and sewn, what was left out, what is carried onto each piece."""

from __future__ import annotations

from collections.abc import Callable

from onfold.making.toile import ALLOWANCE, FACING, Carried, LeftOut, Toile
from onfold.pattern import Pattern, sewn_to_itself

Say = Callable[[float], str]

CAUTION = (
    "Pins and shears wound: at the try-on the points lie along the body, never towards it; count the pins out and in. "
    "Go by the rules and the trained practice of your workroom."
)


def tell_toile(toile: Toile, cloth: str, say: Say) -> list[str]:
    """Return the sentences of a toile, in the order of the work; `cloth` is its name, `say` says a length of mm."""
    return [
        f"A toile in {cloth}, for the first fitting; the seam lines are the garment's own.",
        f"Every seam and edge is cut with {say(ALLOWANCE)}, to let out from. Sew the seams plain, on their lines, with "
        "a long stitch that comes out again; turn hems up on theirs and tack.",
        *_left_out(toile.left_out),
        *(told for each in toile.carried if (told := _carried(each))),
        *_openings(toile.pattern, say),
        *_tubes(toile.pattern),
        CAUTION,
    ]


def _left_out(left_out: tuple[LeftOut, ...]) -> list[str]:
    said = [
        f"The facing of the {each.piece} is left out: it is cut at the {each.at_fold}, with the allowance beyond."
        for each in left_out
        if each.at_fold
    ]
    whole = [
        f"{each.piece} ({each.what})" if each.what not in (FACING, each.piece) else each.piece
        for each in left_out
        if not each.at_fold
    ]
    return [*said, *([f"Left out: {', '.join(whole)}."] if whole else [])]


def _carried(each: Carried) -> str:
    parts = []
    if each.centres:
        parts.append(", ".join(each.centres))
    if each.levels:
        parts.append(f"{'level' if len(each.levels) == 1 else 'levels'} {', '.join(each.levels)}")
    if each.balance_marks:
        parts.append(f"{each.balance_marks} balance {'mark' if each.balance_marks == 1 else 'marks'}")
    return f"Carry onto the {each.piece}, on both sides of the cloth: {'; '.join(parts)}." if parts else ""


def _openings(pattern: Pattern, say: Say) -> list[str]:
    return [
        f"Leave the {each.name} open, {say(each.length)}, and pin it shut on its line at the try-on."
        for each in pattern.openings
        if each.closes != "none"
    ]


def _tubes(pattern: Pattern) -> list[str]:
    names = dict.fromkeys(filter(None, map(sewn_to_itself, pattern.seams)))
    return [
        f"The {name} is not turned: press its allowances in and tack it flat, or take tape of the finished width."
        for name in names
    ]
