"""What the checks say of a draft, and which of its estimates could turn a verdict."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from onfold.body.likely import likely_together, outside_survey
from onfold.body.measures import MEASURES
from onfold.body.taken import Taken
from onfold.checks import run_checks
from onfold.problems import CODES, Place, Problem, problem
from onfold.project_draft import Draft, at_measure, draft_for, subject_of
from onfold.project_letters import letters_lacking
from onfold.project_remedies import in_this_recipe
from onfold.shelf.ticket import Ticket
from onfold.units import say_length

if TYPE_CHECKING:
    from onfold.project import Garment


def check_problems(garment: Garment, draft: Draft) -> list[Problem]:
    """Return what the checks find, what the measures ask, and which estimates could turn a verdict.

    What a reader or a step has told at its line isn't told again by a check.
    """
    ticket = garment.ticket
    assert ticket is not None and garment.recipe is not None
    body = _Watched(draft.body.measures)
    told = {each.code for each in (*garment.problems, *draft.pattern.problems)}
    checked = in_this_recipe(run_checks(replace(subject_of(ticket, draft), body=body)), garment.recipe.choices)
    found = [each for each in checked if each.code not in told]
    return [
        *_other_kind(garment),
        *letters_lacking(ticket),
        *found,
        *asked_of_measures(ticket),
        *_turning(garment, draft, found, body.asked),
    ]


def asked_of_measures(ticket: Ticket) -> list[Problem]:
    """Return what the given measures ask by themselves: which seldom go together, which lie outside the survey."""
    given = ticket.wearer.measures
    asked = [
        *likely_together(ticket.wearer.figure, given, ticket.units),
        *outside_survey(ticket.wearer.figure, given, ticket.units),
    ]
    return [at_measure(each, ticket) for each in asked]


def _other_kind(garment: Garment) -> list[Problem]:
    """Return a mind where the recipe is drafted for a woven and the cloth is a knit, or the other way round."""
    assert garment.ticket is not None and garment.recipe is not None
    made_for, kind = garment.recipe.made_for, garment.ticket.cloth.kind
    if made_for in ("any", kind):
        return []
    why = (
        "it is drafted smaller than the body, for a cloth that stretches"
        if made_for == "knit"
        else "it has ease, darts and an opening that a knit may not want"
    )
    return [
        problem(
            "CLOTH-KIND",
            says=f"The recipe is drafted for a {made_for}, and the cloth is a {kind}: {why}.",
            found=kind,
            expected=f"a {made_for}",
            remedy=f"Take a {made_for}, or a recipe for a {kind}; else cut a toile in the like of this cloth first.",
            where=Place(garment.ticket.file),
        )
    ]


class _Watched(dict[str, Taken]):
    """The body's measures, noting which of them the checks asked for."""

    def __init__(self, measures: Mapping[str, Taken]) -> None:
        super().__init__(measures)
        self.asked: set[str] = set()

    def __getitem__(self, name: str) -> Taken:
        self.asked.add(name)
        return super().__getitem__(name)

    def get(self, name: str, default: Any = None) -> Any:
        """Return a measure or the default."""
        self.asked.add(name)
        return super().get(name, default)


def _stops(problems: tuple[Problem, ...] | list[Problem]) -> frozenset[str]:
    return frozenset(each.code for each in problems if each.severity == "stop" and CODES[each.code].group != "reading")


def _turning(garment: Garment, draft: Draft, found: list[Problem], asked: set[str]) -> list[Problem]:
    """Return a `mind` for every estimate within whose interval a stop comes or goes: it is to be taped first."""
    ticket, recipe = garment.ticket, garment.recipe
    assert ticket is not None and recipe is not None
    now = _stops(draft.pattern.problems) | _stops(found)
    used = set(draft.pattern.measures)
    turning = []
    for name in MEASURES:
        taken = draft.body.measures.get(name)
        if taken is None or not taken.estimated or taken.interval is None or name not in used | asked:
            continue
        turned: set[str] = set()
        for bound in taken.interval:
            other = {**draft.body.measures, name: replace(taken, value=bound)}
            if name in used:
                tried = draft_for(ticket, recipe, garment.memory, garment.finish_memory, other)
            else:
                tried = replace(draft, body=replace(draft.body, measures=other))
            stops = _stops(tried.pattern.problems) | _stops(run_checks(subject_of(ticket, tried)))
            turned |= now ^ stops
        if turned:
            turning.append(_turns(name, taken, sorted(turned), now, ticket))
    return turning


def _turns(name: str, taken: Taken, codes: list[str], now: frozenset[str], ticket: Ticket) -> Problem:
    low, high = taken.interval or (taken.value, taken.value)
    first, last = (say_length(mm, ticket.units) for mm in (low, high))
    what = ", ".join(CODES[code].title.lower() for code in codes)
    way = "would go" if set(codes) <= now else "could come"
    return problem(
        "ESTIMATE-TURNS",
        says=f"'{name}' is estimated at {say_length(taken.value, ticket.units)}, {first} to {last}. Within that a stop "
        f"{way}: {what}. Tape it before cutting.",
        found=f"{first} to {last}, estimated",
        expected="a taped measure",
        remedy=f"measure '{name}' and write it under measures",
        where=Place(ticket.file),
    )
