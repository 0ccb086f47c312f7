"""The wearer's figure notes on their way into the draft: the values formulas use, and those that no step asks for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from onfold.body.figure_notes import FIGURE_NOTES
from onfold.problems import Problem, problem
from onfold.recipe.choosing import Settled
from onfold.recipe.file import Recipe
from onfold.recipe.placed import PlacedStep
from onfold.recipe.step import formulas_of
from onfold.shelf.ticket import Ticket
from onfold.units import say_length


def figure_of(ticket: Ticket) -> dict[str, float]:
    """Return the wearer's figure notes that are more than nothing, mm by their names in formulas."""
    noted = ticket.wearer.notes
    return {each.formula_name: noted[name].value for name, each in FIGURE_NOTES.items() if _is_noted(ticket, name)}


def _is_noted(ticket: Ticket, name: str) -> bool:
    return name in ticket.wearer.notes and ticket.wearer.notes[name].value > 0.0


def names_used(steps: Iterable[PlacedStep], settled: Mapping[str, Settled]) -> frozenset[str]:
    """Return the names of values that steps and the settled choices' own formulas use."""
    in_steps = (formula.names_used for placed in steps for formula in formulas_of(placed.step))
    return frozenset().union(*in_steps, *(each.used for each in settled.values()))


def unused_notes(ticket: Ticket, recipe: Recipe, used: frozenset[str]) -> list[Problem]:
    """Return a note for every figure note of the ticket that neither steps nor choices in force draft for."""
    found = []
    for name, note in FIGURE_NOTES.items():
        if not _is_noted(ticket, name) or note.formula_name in used:
            continue
        written = ticket.wearer.notes[name]
        said = note.said(say_length(written.value, ticket.units))
        found.append(
            problem(
                "FIGURE-UNUSED",
                says=f"The recipe '{recipe.name}' does not draft for the figure note '{said}'.",
                found=said,
                expected="a recipe that drafts for it",
                remedy=f"Where the garment reaches there, do it by hand. {note.otherwise}",
                where=written.place,
                excerpt=written.excerpt,
            )
        )
    return found
