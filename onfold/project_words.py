"""What is said of a garment in a few lines: problems put shortly, and what was not taped in one paragraph."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from onfold.body.measures import MEASURES
from onfold.problems import Problem
from onfold.project import Garment, first_to_tape
from onfold.units import say_length

FIRST = 3
"""So many measures are named as worth taping first; a longer list is not acted on."""


def drawn_together(garment: Garment) -> tuple[tuple[Problem, ...], str]:
    """Return (the problems but for the notes on estimates, those notes as one paragraph or '').

    Nothing is left out: the paragraph names every measure that a note was about, with its interval.
    """
    notes = [each for each in garment.all_problems if each.code == "NOT-TAPED"]
    rest = tuple(each for each in garment.all_problems if each.code != "NOT-TAPED")
    return rest, not_taped_paragraph(garment) if notes else ""


def beside_the_tables(garment: Garment) -> tuple[Problem, ...]:
    """Return the problems without the notes on estimates: lesson and guide have a table of those."""
    return tuple(each for each in garment.all_problems if each.code != "NOT-TAPED")


def not_taped_paragraph(garment: Garment) -> str:
    """Return the estimates with their intervals, what to tape first, and how the first of these is taken."""
    if garment.draft is None or garment.ticket is None:
        return ""
    units = garment.ticket.units
    said = []
    for name, taken in garment.draft.pattern.measures.items():
        if taken.estimated:
            low, high = taken.interval or (taken.value, taken.value)
            least = say_length(low, units).removesuffix(f" {units}")
            said.append(f"{name} {say_length(taken.value, units)} ({least} to {say_length(high, units)})")
    if not said:
        return ""
    order = first_to_tape(garment)[:FIRST]
    known = [name for name in order if name in MEASURES]
    first = f" Tape first: {', '.join(order)}." if order else ""
    how = f" How to take {known[0]}: {MEASURES[known[0]].how[0].lower()}{MEASURES[known[0]].how[1:]}" if known else ""
    return f"Not taped, so estimated; nine in ten such people lie within the brackets: {', '.join(said)}.{first}{how}"


def counted(problems: Sequence[Problem]) -> str:
    """Return how many there are of each severity: `1 stop, 2 to mind, 1 note`; '' where there is nothing."""
    counts = Counter[str](each.severity for each in problems)
    words = (("stop", "stop", "stops"), ("mind", "to mind", "to mind"), ("note", "note", "notes"))
    return ", ".join(f"{counts[key]} {one if counts[key] == 1 else many}" for key, one, many in words if counts[key])
