"""The job ticket: one garment for one wearer in one cloth, read from its YAML file with every fault at its place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import cast

from onfold.body.measures import split_side
from onfold.problems import Place, Problem
from onfold.recipe import yaml_nodes
from onfold.recipe.fields import Fields, Reading, mind_mixed_units, read_date, read_fields, read_text, read_word
from onfold.recipe.yaml_nodes import Node
from onfold.shelf.ticket_alteration import read_alteration
from onfold.shelf.ticket_cloth import read_cloth, read_other_cloths
from onfold.shelf.ticket_nouns import (
    DEFAULT_PAPER,
    AddedStep,
    Fitting,
    Noted,
    Rates,
    Ticket,
    Wearer,
    Written,
)
from onfold.shelf.ticket_parts import (
    read_finishes,
    read_fittings,
    read_named,
    read_rates,
    read_wearer,
    read_written,
)
from onfold.units import System, plain

__all__ = [
    "AddedStep",
    "Fitting",
    "Noted",
    "Rates",
    "Ticket",
    "Wearer",
    "Written",
    "as_cut",
    "as_of",
    "read_ticket",
    "read_ticket_at",
    "read_ticket_text",
]

TICKET_KEYS = (
    "ticket",
    "recipe",
    "alteration",
    "units",
    "wearer",
    "cloth",
    "other cloths",
    "choices",
    "finish",
    "paper",
    "date",
    "cut on",
    "fittings",
    "rates",
)
REQUIRED = ("ticket", "wearer", "cloth")
ONE_OF = ("recipe", "alteration")
"""A ticket holds exactly one of these."""
ONLY_WITH_A_RECIPE = ("choices", "finish", "cut on")
UNITS: tuple[System, ...] = ("in", "cm")
DEFAULT_UNITS: System = "cm"
NOT_IN_THE_MAKERS_UNITS = frozenset(
    {"ticket", "recipe", "name", "note", "seen", "because", "thickness", "weight", "rates", "paper"}
)


def read_ticket(path: str | Path) -> tuple[Ticket | None, list[Problem]]:
    """Return the ticket in this file, fittings taken in, and all that is wrong with it.

    The ticket is None where its recipe or alteration, its wearer or its cloth cannot be told at all. With a `stop`
    among the problems it holds what could be read.
    """
    text, problems = yaml_nodes.read_text(Path(path))
    if text is None:
        return None, list(problems)
    ticket, found = read_ticket_at(text, path)
    return ticket, [*problems, *found]


def read_ticket_at(text: str, path: str | Path) -> tuple[Ticket | None, list[Problem]]:
    """Return the ticket in this text as `read_ticket` would, were it the text of the file at this path."""
    ticket, found = read_ticket_text(text, plain(str(path), 200))  # places are shown: a file's name may hold anything
    return ticket and replace(ticket, file=str(path)), found


def read_ticket_text(text: str, file: str = "") -> tuple[Ticket | None, list[Problem]]:
    """Return the ticket in this text, as `read_ticket` does of a file."""
    node, problems = yaml_nodes.compose(text, file)
    reading = Reading(file, text, DEFAULT_UNITS, list(problems))
    if node is None:
        return None, reading.problems
    fields = read_fields(reading, node, "The ticket", TICKET_KEYS, REQUIRED, "'ticket: …' and 'recipe: …' lines")
    if fields is not None:
        _mind_one_of(reading, node, fields)
    ticket = None if fields is None else _ticket(reading, fields)
    mind_mixed_units(reading, node, NOT_IN_THE_MAKERS_UNITS)
    return ticket, sorted(reading.problems, key=lambda each: (each.where.line, each.where.column))


def as_of(ticket: Ticket, day: str | None) -> Ticket:
    """Return the ticket with the fittings up to and on this ISO day taken in; None: as first written.

    A fitting's measures replace the wearer's, its choices override, later dates over earlier (of one date, the one
    lower in the file); figure notes and added steps gather.
    """
    wearer, choices = ticket.first_wearer or ticket.wearer, dict(ticket.first_choices)
    measures, places, notes = dict(wearer.measures), dict(wearer.places), dict(wearer.notes)
    steps: list[AddedStep] = []
    for fitting in ticket.fittings:
        if day is None or fitting.on > day:
            continue
        measures = retaped(measures, fitting.measures)
        places.update(fitting.places)
        choices.update(fitting.choices)
        notes.update(fitting.figure)
        steps += fitting.steps
    worn = replace(wearer, measures=measures, places=places, notes=notes)
    return replace(ticket, wearer=worn, choices=choices, steps=tuple(steps))


def as_cut(ticket: Ticket) -> Ticket | None:
    """Return the ticket as the cloth was cut from it, None where it is not cut: the fittings before that day taken in.

    A fitting of the day itself counts as after: the cloth was on the table in the morning, and is tried on made up.
    """
    if not ticket.cut_on:
        return None
    before = tuple(each for each in ticket.fittings if each.on < ticket.cut_on)
    then = as_of(ticket, before[-1].on if before else None)
    return replace(then, fittings=before, cut_on="")


def retaped(before: Mapping[str, float], taped: Mapping[str, float]) -> dict[str, float]:
    """Return the measures after some were taped again, mm.

    A measure taped whole replaces its left and right; one side taped alone leaves the other as it was, and the
    plain name stands for the larger.
    """
    after = dict(before)
    for name in taped:
        side, whole = split_side(name)
        if not side:
            after = {key: value for key, value in after.items() if split_side(key)[1] != whole}
            continue
        other = f"{'right' if side == 'left' else 'left'} {whole}"
        if whole in after:
            after.setdefault(other, after[whole])
    after.update(taped)
    for name in taped:
        side, whole = split_side(name)
        if side:
            after[whole] = max(after[key] for key in (f"left {whole}", f"right {whole}") if key in after)
    return after


def _mind_one_of(reading: Reading, node: Node, fields: Fields) -> None:
    """Fault a ticket that has neither a recipe nor an alteration, or both; and what goes with the other one only."""
    there = [fields[key] for key in ONE_OF if key in fields]
    misspelt = any(each.code == "KEY-UNKNOWN" and each.expected in ONE_OF for each in reading.problems)
    if not there and not misspelt:
        reading.fault(
            "KEY-MISSING",
            node,
            "The ticket has neither 'recipe' nor 'alteration'.",
            expected="recipe, or alteration",
            remedy="Add a line 'recipe: …', or 'alteration:' for a garment that was not drafted here.",
        )
    if len(there) == 2:
        later = max(there, key=lambda each: each.key.mark.line)
        reading.fault(
            "KEY-CLASH",
            later.key,
            "The ticket has both 'recipe' and 'alteration'.",
            found="both",
            expected="recipe, or alteration",
            remedy="Keep 'recipe' for a garment drafted here, 'alteration' for one that was made elsewhere.",
        )
    for key in ONLY_WITH_A_RECIPE if "recipe" not in fields and "alteration" in fields else ():
        if key in fields:
            says = f"'{key}' says nothing of an alteration: it goes with a recipe."
            reading.fault("KEY-CLASH", fields[key].key, says, found=key, remedy="Take the line out.")


def _ticket(reading: Reading, fields: Fields) -> Ticket | None:
    units = read_word(reading, fields["units"].value, "'units'", UNITS) if "units" in fields else None
    reading.units = cast(System, units or DEFAULT_UNITS)
    title = read_text(reading, fields["ticket"].value, "The ticket's title") if "ticket" in fields else None
    recipe = read_written(reading, fields["recipe"].value, "The recipe") if "recipe" in fields else None
    alteration = read_alteration(reading, fields["alteration"].value) if "alteration" in fields else None
    wearer = read_wearer(reading, fields["wearer"].value) if "wearer" in fields else None
    cloth = read_cloth(reading, fields["cloth"].value) if "cloth" in fields else None
    others = read_other_cloths(reading, fields["other cloths"].value) if "other cloths" in fields else {}
    choices = read_named(reading, fields["choices"].value, "choice", "{length: 62 cm}") if "choices" in fields else {}
    finish = read_finishes(reading, fields["finish"].value) if "finish" in fields else {}
    paper = read_written(reading, fields["paper"].value, "The paper") if "paper" in fields else None
    date = read_date(reading, fields["date"].value, "The date") if "date" in fields else None
    cut_on = read_date(reading, fields["cut on"].value, "The day of cutting") if "cut on" in fields else None
    fittings = read_fittings(reading, fields["fittings"].value) if "fittings" in fields else ()
    rates = read_rates(reading, fields["rates"].value) if "rates" in fields else Rates()
    if (recipe is None and alteration is None) or wearer is None or cloth is None:
        return None
    wearer = replace(wearer, measures=retaped({}, wearer.measures))
    ticket = Ticket(
        file=reading.file,
        text=reading.text,
        title=title or "",
        recipe=recipe,
        units=reading.units,
        wearer=wearer,
        cloth=cloth,
        other_cloths=others,
        choices=choices,
        finish=finish,
        paper=paper or Written(DEFAULT_PAPER, Place(reading.file)),
        date=date or "",
        cut_on=cut_on or "",
        fittings=fittings,
        rates=rates,
        first_wearer=wearer,
        first_choices=choices,
        alteration=alteration,
    )
    return as_of(ticket, fittings[-1].on) if fittings else ticket
