"""What is seen at a try-on, looked up in the vocabulary for one draft: its causes, and what to look at in order.

This is the one door from tickets and drafts to the vocabulary of fittings.
"""

from __future__ import annotations

from dataclasses import dataclass

from onfold.body.figure_notes import BY_FORMULA_NAME
from onfold.fitting.change import Change
from onfold.fitting.finding import find
from onfold.fitting.observation import Observation
from onfold.fitting.observing import shipped_observations
from onfold.fitting.ranking import applicable, ranked
from onfold.fitting.try_on import STAGES, Look
from onfold.fitting.values import Values, values_of
from onfold.problems import Problem, problem
from onfold.project import Garment
from onfold.project_figure import figure_of, names_used
from onfold.units import UnitFault, plain, read_quantity, sentence

_MOST_NEAR = 5


@dataclass(frozen=True)
class Cause:
    """A likely cause of what was seen, as a maker reads it: why it may be, what to do, the figures that speak for it.

    `change` holds what can be written already; `to_tape` are measures to be taken again, whose figures are still open.
    """

    because: str
    change: Change
    says: str
    why: str = ""
    to_tape: tuple[str, ...] = ()


def causes_of(words: str, garment: Garment, by: str = "") -> tuple[str, tuple[Cause, ...]] | Problem:
    """Return the observation's name and its causes for this draft, likeliest first; the problem where none is known.

    `by` is how much was seen, a length in the maker's words.
    """
    assert garment.ticket is not None
    amount = _amount(by)
    if isinstance(amount, Problem):
        return amount
    found = find(shipped_observations(), words)
    if found.observation is None:
        return _unknown(words, found.near)
    asked = found.observation
    causes = tuple(
        Cause(
            each.cause.because,
            Change(
                each.change.choices,
                each.change.figure,
                {name: value for name, value in each.change.measures.items() if value},
                each.change.steps,
            ),
            " ".join(sentence(part) for part in (each.says, each.held, _mind_too(each.cause.watch)) if part),
            each.why,
            tuple(name for name, value in each.change.measures.items() if not value),
        )
        for each in ranked(asked, _values(garment), garment.ticket.units, amount)
    )
    return (asked.seen, causes) if causes else _not_here(asked)


def _mind_too(watch: str) -> str:
    return f"Mind too: {watch}" if watch else ""


def looks_of(garment: Garment) -> tuple[Look, ...]:
    """Return what to look at when this garment is tried on, in the order in which fittings are read."""
    seen = applicable(shipped_observations(), _values(garment))
    looks = tuple(Look(each.at.capitalize(), each.seen, each.look) for each in seen)
    return looks or STAGES


def _values(garment: Garment) -> Values:
    draft, ticket = garment.draft, garment.ticket
    assert draft is not None and ticket is not None
    return values_of(
        draft.pattern, ticket.cloth, draft.body.measures, draft.choices, _notes(garment), ticket.wearer.figure
    )


def _notes(garment: Garment) -> dict[str, float]:
    """Return the figure notes that this recipe drafts for, mm by their formula names, 0 where nothing is noted."""
    assert garment.draft is not None and garment.ticket is not None and garment.recipe is not None
    noted = figure_of(garment.ticket)
    used = names_used(garment.recipe.steps, garment.draft.choices)
    return {name: noted.get(name, 0.0) for name in BY_FORMULA_NAME if name in used}


def _amount(by: str) -> float | Problem | None:
    """Return how much was seen in mm, None where nothing was said."""
    if not by.strip():
        return None
    quantity = read_quantity(by)
    if not isinstance(quantity, UnitFault) and quantity.kind == "length" and quantity.value > 0.0:
        return quantity.value
    why = f": {quantity.message}" if isinstance(quantity, UnitFault) else ""
    return problem(
        "VALUE-WRONG",
        says=f"'{plain(by)}' after --by is not a length{why}. Write it like 1.5 cm or 5/8 in.",
        found=plain(by),
        expected="a length with its unit",
        remedy="Write it like 1.5 cm or 5/8 in.",
    )


def _unknown(words: str, near: tuple[Observation, ...]) -> Problem:
    shown = plain(words)
    names = ", ".join(f"'{each.seen}'" for each in near[:_MOST_NEAR])
    offer = f"Did you mean {names}?" if near else "Use other words, or say the change itself: --choice 'NAME: VALUE'."
    return problem(
        "SEEN-UNKNOWN",
        says=f"'{shown}' is not known as something seen at a try-on. {offer}",
        found=shown,
        expected=names or "words of an observation",
        remedy=offer,
    )


def _not_here(observation: Observation) -> Problem:
    return problem(
        "SEEN-UNKNOWN",
        says=f"'{observation.seen}' has no cause that this garment's figures leave possible.",
        found=observation.seen,
        expected="a cause that fits this draft",
        remedy="Look again, or say the change itself: --choice 'NAME: VALUE'.",
    )
