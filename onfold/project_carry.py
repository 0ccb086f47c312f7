"""Corrections carried beyond one ticket: to the wearer or the maker's taste in the workroom book, or into the recipe.

A ticket stays complete in itself. What is carried changes no other ticket and no draft; it is offered when a new
ticket is started, and said where a ticket does not hold it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from onfold.body.measures import MEASURES
from onfold.fitting.change import Change
from onfold.fitting.entry import step_data, value_of
from onfold.fitting.recording import KEY as FITTINGS
from onfold.fitting.recording import place_in_list
from onfold.problems import Place, Problem, problem
from onfold.project import Garment, shipped_recipes
from onfold.project_draft import FINISHING
from onfold.recipe.file import Recipe, read_recipe
from onfold.recipe.splice import add_entry, append_item, insert_item, remove_entry, set_scalar
from onfold.recipe.yaml_ends import line_break
from onfold.recipe.yaml_nodes import Mapping as MappingNode
from onfold.recipe.yaml_nodes import Scalar, Sequence, compose, find
from onfold.recipe.yaml_writing import write_value
from onfold.shelf.book import NAME, Book, BookWearer, read_book, with_taste, with_wearer
from onfold.shelf.ticket import Fitting, Ticket
from onfold.shelf.ticket_parts import CARRIED
from onfold.steps import VERBS
from onfold.units import plain, say_length

SAME = 0.05
"""mm within which two measures are the same."""


@dataclass(frozen=True)
class Carrying:
    """What is to be written beside the tickets: files by name with what they held when they were read (None: nothing).

    `says` are phrases after `carried`; `recipe` is the file of the recipe's new version, '' for none.
    """

    files: dict[str, bytes]
    expecting: dict[str, bytes | None]
    says: tuple[str, ...] = ()
    recipe: str = ""


def carry(garment: Garment, change: Change, to: tuple[str, ...], on: str) -> Carrying | Problem:
    """Return what is written when a change is carried to the wearer, the maker's taste or the recipe; nothing is yet.

    `on` is the date of the fitting it comes from.
    """
    assert garment.ticket is not None and garment.recipe is not None
    folder = garment.path.parent
    book, problems = read_book(folder)
    if book is None:
        return problems[0]
    source = f"{garment.ticket.title or garment.path.name}, {on}"
    done = Carrying({}, {})
    for where in dict.fromkeys(to):
        step = (
            _into_recipe(garment, change, source)
            if where == "recipe"
            else _into_book(garment, book, where, change, source)
        )
        if isinstance(step, Problem):
            return step
        done = Carrying(
            {**done.files, **step.files},
            {**step.expecting, **done.expecting},
            (*done.says, *step.says),
            done.recipe or step.recipe,
        )
        if NAME in done.files:
            book = replace(book, text=done.files[NAME].decode())
    return done


def _nothing(where: str, expected: str) -> Problem:
    return problem(
        "CARRY-NOTHING",
        says=f"Nothing of this change can be carried to the {where}: {expected}.",
        found="none of these",
        expected=expected,
        remedy=f"Carry it elsewhere: {', '.join(each for each in CARRIED if each != where)}.",
    )


def _into_book(garment: Garment, book: Book, where: str, change: Change, source: str) -> Carrying | Problem:
    ticket, recipe = garment.ticket, garment.recipe
    assert ticket is not None and recipe is not None
    if where == "wearer":
        if not ticket.wearer.name:
            return _nothing(where, "the ticket names no wearer")
        if not (change.figure or change.measures):
            return _nothing(where, "figure notes and measures taped again go with a wearer")
        text = with_wearer(book, ticket.wearer.name, change.figure, change.measures, source)
        carried, name = {**change.figure, **change.measures}, ticket.wearer.name
    else:
        if not change.choices:
            return _nothing(where, "choices go with your taste")
        text = with_taste(book, recipe.name, change.choices)
        carried, name = change.choices, recipe.name
    if isinstance(text, Problem):
        return text
    told = ", ".join(f"{plain(key)} {plain(value, 120)}" for key, value in carried.items())
    says = f"into {NAME} for {plain(name)}: {told}. New tickets are offered it when they are started."
    old = book.text.encode() if book.text else None
    return Carrying({NAME: text.encode()}, {NAME: old}, (says,))


def _into_recipe(garment: Garment, change: Change, source: str) -> Carrying | Problem:
    """Return a new version of the recipe beside the ticket, its choices' defaults and its steps changed."""
    recipe = garment.recipe
    assert recipe is not None
    if not (change.choices or change.steps):
        return _nothing("recipe", "choices and steps go into a recipe")
    name = _next_name(recipe.name, garment.path.parent)
    text: str | Problem = set_scalar(recipe.text, ("recipe",), name, recipe.file)
    for key, value in change.choices.items():
        if isinstance(text, str):
            text = set_scalar(text, ("choices", key, "default"), value, recipe.file)
    for after, line in change.steps:
        if isinstance(text, str):
            text = _with_step(text, recipe, after, line)
    if isinstance(text, Problem):
        return text
    told = [*(f"{key} {value}" for key, value in change.choices.items()), *(f"step {line}" for _, line in change.steps)]
    remark = f"# {name}: {plain(', '.join(told), 300)}; from the fitting of {plain(source, 200)}."
    mark = "\ufeff" if text.startswith("\ufeff") else ""
    text = f"{mark}{remark}{line_break(text)}{text[len(mark) :]}"
    read, problems = read_recipe(text, f"{name}.yaml", VERBS, MEASURES)
    if read is None:
        return next(each for each in problems if each.severity == "stop").at(Place(f"{name}.yaml"))
    says = f"into a new version of the recipe, {name}.yaml beside the ticket; the old one stays."
    return Carrying({f"{name}.yaml": text.encode()}, {f"{name}.yaml": None}, (says,), f"{name}.yaml")


def base_of(recipe: str) -> str:
    """Return a recipe's name without the number of its version: `straight-skirt` of `straight-skirt-2`."""
    return re.sub(r"-\d{1,4}$", "", recipe)


def _next_name(recipe: str, folder: Path) -> str:
    """Return the name of the next version that is not there yet; the recipe itself is the first."""
    base, number = base_of(recipe), 2
    taken = set(shipped_recipes())
    while f"{base}-{number}" in taken or _is_there(folder / f"{base}-{number}.yaml"):
        number += 1
    return f"{base}-{number}"


def _is_there(path: Path) -> bool:
    return path.exists() or path.is_symlink()


def _with_step(text: str, recipe: Recipe, after: str, line: str) -> str | Problem:
    """Return the recipe's text with a step put in where a ticket's stands: after its label, else before finishing."""
    data = step_data("", line, recipe.file)
    if isinstance(data, Problem):
        return data
    again, problems = read_recipe(text, recipe.file, VERBS, MEASURES)
    if again is None:
        return problems[0]
    steps = again.steps
    place = next((at for at, each in enumerate(steps) if each.step.group == FINISHING), len(steps))
    if after:
        labelled = [at for at, each in enumerate(steps) if each.label == after]
        if not labelled:
            return problem(
                "VALUE-WRONG",
                says=f"No step of the recipe is labelled '{plain(after)}', so the added step has no place.",
                found=plain(after),
                expected=", ".join(each.label for each in steps if each.label) or "no labels in this recipe",
                remedy="Carry the choice, or label the step it follows.",
            )
        place = labelled[-1] + 1
    return insert_item(text, ("steps",), place, data, recipe.file)


def as_recorded(ticket: Ticket, which: str) -> tuple[Fitting, int] | Problem:
    """Return a fitting that is written in the ticket, by date or date and number, and its place in the file's list."""
    place = place_in_list(ticket.text, plain(ticket.file, 200), which)
    if isinstance(place, Problem):
        return place
    on, _, number = which.strip().partition("#")
    of_day = [each for each in ticket.fittings if each.on == on]
    return of_day[int(number) - 1 if number else 0], place


def change_of(ticket: Ticket, fitting: Fitting, place: int) -> Change:
    """Return the change of the fitting at a place of the ticket's list, its measures in the maker's own words."""
    choices, figure = ({name: each.text for name, each in named.items()} for named in (fitting.choices, fitting.figure))
    steps = tuple((step.after, f"{step.verb}: {write_value(value_of(step.fields), True)}") for step in fitting.steps)
    return Change(choices, figure, _as_taped(ticket.text, place), steps)


def _as_taped(text: str, place: int) -> dict[str, str]:
    """Return the measures of a fitting as they are written, those of left and right each by its own name."""
    root, _ = compose(text)
    listed = find(root, FITTINGS) if isinstance(root, MappingNode) else None
    item = listed.value.items[place] if listed is not None and isinstance(listed.value, Sequence) else None
    entry = find(item, "measure") if isinstance(item, MappingNode) else None
    found: dict[str, str] = {}
    for each in entry.value.entries if entry is not None and isinstance(entry.value, MappingNode) else ():
        if isinstance(each.value, Scalar):
            found[each.key.text] = each.value.text
        elif isinstance(each.value, MappingNode):
            sides = ((side.key.text, side.value) for side in each.value.entries)
            found.update({f"{side} {each.key.text}": node.text for side, node in sides if isinstance(node, Scalar)})
    return found


def mark_carried(text: str, place: int, to: tuple[str, ...], held: tuple[str, ...], file: str) -> str | Problem:
    """Return a ticket's text with the fitting at a place of its list marked as carried there; `held` are its marks."""
    path = (FITTINGS, place)
    new = [each for each in to if each not in held]
    if not held:
        return add_entry(text, path, "carried", new, file)
    marked: str | Problem = text
    for each in new:
        if isinstance(marked, str):
            marked = append_item(marked, (*path, "carried"), each, file)
    return marked


def naming_recipe(text: str, recipe: str, file: str, place: int | None = None) -> str | Problem:
    """Return a ticket's text that names another recipe's file.

    The steps that this version holds now are taken out of the fitting at `place`, lest they be done twice.
    """
    named = set_scalar(text, ("recipe",), recipe, file)
    if place is None or isinstance(named, Problem):
        return named
    return remove_entry(named, (FITTINGS, place, "steps"), file)


def not_in_this_ticket(garment: Garment) -> tuple[Problem, ...]:
    """Return a note for everything carried for this wearer or recipe that this ticket does not hold.

    A book that cannot be read keeps nothing from being made: its faults are told as things to mind.
    """
    ticket, recipe = garment.ticket, garment.recipe
    if ticket is None or recipe is None:
        return ()
    book, problems = read_book(garment.path.parent)
    if book is None:
        return tuple(replace(each, severity="mind") for each in problems[:3])
    found: list[Problem] = []
    wearer = book.wearers.get(ticket.wearer.name) if ticket.wearer.name else None
    if wearer is not None:
        found += _of_wearer(ticket, wearer, book.file)
    for name, value in taste_of(book, recipe.name).items():
        held = ticket.choices.get(name)
        if held is None or _plain(held.text) != _plain(value):
            found.append(_carried("choice", name, value, f"for {recipe.name}", held.text if held else "", book.file))
    return tuple(found)


def taste_of(book: Book, recipe: str) -> Mapping[str, str]:
    """Return the choices carried for a recipe: those of its own name over those of the recipe it is a version of."""
    return {**book.taste.get(base_of(recipe), {}), **book.taste.get(recipe, {})}


def _of_wearer(ticket: Ticket, wearer: BookWearer, file: str) -> list[Problem]:
    found = []
    whom = f"for {ticket.wearer.name}" + (f", from {wearer.source}" if wearer.source else "")
    for name, value in wearer.notes.items():
        held = ticket.wearer.notes.get(name)
        if held is None or _plain(held.text) != _plain(value):
            found.append(_carried("figure", name, value, whom, held.text if held else "", file))
    for name, taped in wearer.taped.items():
        mm = ticket.wearer.measures.get(name)
        if (mm is None or abs(mm - taped) > SAME) and name in wearer.measures:
            has = "" if mm is None else say_length(mm, ticket.units)
            found.append(_carried("measure", name, wearer.measures[name], whom, has, file))
    return found


def _plain(text: str) -> str:
    return " ".join(text.split())


def _carried(option: str, name: str, value: str, whom: str, held: str, file: str) -> Problem:
    shown = f"{plain(name)}: {plain(value, 120)}"
    has = f"has {plain(held, 120)}" if held else "does not hold it"
    return problem(
        "CARRIED",
        says=f"The workroom book carries '{shown}' {plain(whom, 200)}; this ticket {has}, and is drafted so.",
        found=plain(held, 120) or "nothing",
        expected=shown,
        remedy=f"To take it up: onfold fit with --{option} '{shown}' --write.",
        where=Place(file),
    )
