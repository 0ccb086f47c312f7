"""Tickets written and drafted in memory: what the tests of whole garments share."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from onfold.checks import run_checks
from onfold.problems import Problem
from onfold.project import Garment, shipped_recipe
from onfold.project_draft import Draft, draft_for, subject_of
from onfold.recipe.file import Recipe
from onfold.shelf.ticket import Ticket, read_ticket_text
from onfold.writers.pattern_json import pattern_data

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"

KNIT = {"kind": "knit", "stretch": "{across: 70 %, along: 35 %}"}
WOVEN = {"kind": "woven", "stretch": "{across: 0 %, along: 0 %}"}


def knit(across: float, along: float | None = None, **more: str) -> dict[str, str]:
    """The cloth fields of a jersey that stretches so far, shares."""
    along = across / 2.0 if along is None else along
    return {"kind": "knit", "stretch": f"{{across: {across * 100:.6g} %, along: {along * 100:.6g} %}}", **more}


def ticket_text(
    recipe: str,
    measures: Mapping[str, float] | Mapping[str, str],
    cloth: Mapping[str, str],
    choices: Mapping[str, str] | None = None,
    finish: Mapping[str, str] | None = None,
    *,
    figure: str = "woman",
    units: str = "cm",
) -> str:
    """A ticket's text. Measures in mm are written in cm to 0.001 mm; texts stand as they are."""
    sizes = {name: size if isinstance(size, str) else f"{size / 10.0:.4f} cm" for name, size in measures.items()}
    lines = [
        "ticket: A garment for one singer",
        f"recipe: {recipe}",
        f"units: {units}",
        "wearer:",
        "  name: singer",
        f"  figure: {figure}",
        "  measures:",
        *(f"    {name}: {size}" for name, size in sizes.items()),
        "cloth:",
        "  name: cloth",
        *(f"  {name}: {value}" for name, value in {"width": "160 cm", **cloth}.items()),
    ]
    for key, given in (("choices", choices), ("finish", finish)):
        if given:
            lines += [f"{key}:", *(f"  {name}: '{value}'" for name, value in given.items())]
    return "\n".join(lines) + "\n"


@lru_cache
def recipe_of(name: str) -> Recipe:
    return shipped_recipe(name)


def ticket_of(text: str) -> Ticket:
    """The ticket in a text that is meant to be sound."""
    ticket, problems = read_ticket_text(text, "ticket.yaml")
    assert ticket is not None and not [each for each in problems if each.severity == "stop"], (problems, text)
    return ticket


def garment_of(text: str) -> Garment:
    """The whole garment of a ticket's text, as `open_ticket` of a file: checks, and which estimates turn a verdict."""
    ticket = ticket_of(text)
    return Garment(Path("ticket.yaml"), ticket, recipe_of(ticket.recipe.text), ())


def drafted(text: str) -> Draft:
    """The draft with the checks' problems in its pattern, without asking which estimates turn a verdict."""
    return checked(ticket_of(text))


def unchecked(text: str) -> Draft:
    """The draft alone, with what its steps had to say."""
    ticket = ticket_of(text)
    return draft_for(ticket, recipe_of(ticket.recipe.text))


def checked(ticket: Ticket) -> Draft:
    """The draft of a ticket with the checks' problems in its pattern."""
    made = draft_for(ticket, recipe_of(ticket.recipe.text))
    found = (*made.pattern.problems, *run_checks(subject_of(ticket, made)))
    return replace(made, pattern=replace(made.pattern, problems=tuple(found)))


def as_json(draft: Draft) -> dict[str, Any]:
    """What another program reads of a draft: `pattern.json`, written and read back."""
    read: dict[str, Any] = json.loads(json.dumps(pattern_data(draft.pattern)))
    return read


def stops(problems: Iterable[Problem]) -> list[Problem]:
    return [each for each in problems if each.severity == "stop"]


def codes(problems: Iterable[Problem]) -> set[str]:
    return {each.code for each in problems}


def example(name: str) -> str:
    """The text of one of the choir's tickets."""
    return (EXAMPLES / f"{name}.yaml").read_text("utf-8")
