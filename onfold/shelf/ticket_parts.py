"""The wearer, choices, finishes, fittings and rates of a ticket, read from their nodes."""

from __future__ import annotations

import re
from typing import cast

from onfold.body.measures import SIDES, Figure, check_measure, measure
from onfold.construction import FinishFault, read_finish
from onfold.problems import Place
from onfold.recipe.fields import (
    Reading,
    is_empty,
    read_date,
    read_entries,
    read_fields,
    read_items,
    read_number,
    read_text,
    read_value,
    read_word,
    shape_of,
)
from onfold.recipe.yaml_nodes import Entry, Mapping, Node, Scalar, excerpt, place_of
from onfold.shelf.ticket_notes import read_notes
from onfold.shelf.ticket_nouns import AddedStep, Fitting, Rates, Wearer, Written
from onfold.units import plain

WEARER_KEYS = ("name", "figure", "measures", "notes")
FIGURES: tuple[Figure, ...] = ("woman", "man", "child")
DEFAULT_FIGURE: Figure = "woman"
FITTING_KEYS = ("on", "note", "seen", "because", "choice", "figure", "measure", "steps", "carried")
CARRIED: tuple[str, ...] = ("wearer", "taste", "recipe")
"""To whom a fitting's change may be given beyond its ticket: this body, this maker, everyone who drafts from it."""
RATE_KEYS = ("hour", "currency")
NOTE_LENGTH = 2_000
_CURRENCY = re.compile(r"[A-Za-z]{3}")
_MEASURES_EXAMPLE = "{waist: 82 cm, hip: 107 cm}"


def read_wearer(reading: Reading, node: Node) -> Wearer | None:
    """Return the wearer; None where nothing of them can be told.

    A wearer who is only a name would be looked up in the workroom book, which tickets cannot do yet: a problem asks
    for the measures here.
    """
    if isinstance(node, Scalar) and not is_empty(node):
        name = plain(node.text.strip())
        reading.fault(
            "KEY-MISSING",
            node,
            f"The measures of '{name}' are not in this ticket.",
            found=name,
            expected="name, figure and measures",
            remedy=f"Write {{name: {name}, figure: woman, measures: {_MEASURES_EXAMPLE}}}.",
        )
        return Wearer(name, DEFAULT_FIGURE)
    fields = read_fields(reading, node, "The wearer", WEARER_KEYS, ("measures",), "{name: …, measures: {…}}")
    if fields is None:
        return None
    said = read_text(reading, fields["name"].value, "The wearer's name") if "name" in fields else ""
    figure = read_word(reading, fields["figure"].value, "The figure", FIGURES) if "figure" in fields else None
    measures, places = read_measures(reading, fields["measures"].value) if "measures" in fields else ({}, {})
    notes = read_notes(reading, fields["notes"].value, "'notes'") if "notes" in fields else {}
    return Wearer(said or "", cast(Figure, figure or DEFAULT_FIGURE), measures, places, notes)


def read_measures(reading: Reading, node: Node) -> tuple[dict[str, float], dict[str, Place]]:
    """Return the measures (mm) by name and where each stands; what is no measure is left out with a problem."""
    measures: dict[str, float] = {}
    places: dict[str, Place] = {}
    for entry in read_entries(reading, node, "'measures'", _MEASURES_EXAMPLE) or ():
        for name, value in _measure(reading, entry).items():
            measures[name] = value
            places[name] = place_of(entry.key, reading.file)
    return measures, places


def _measure(reading: Reading, entry: Entry) -> dict[str, float]:
    name = entry.key.text
    known = measure(name)
    if known is None:
        unknown = check_measure(name, 0.0, reading.units)
        if unknown is not None:
            reading.found_at(unknown, entry.key)
        return {}
    if isinstance(entry.value, Mapping):
        return _both_sides(reading, entry, known.sided and known.name == name)
    value = _checked(reading, name, entry.value)
    return {} if value is None else {name: value}


def _both_sides(reading: Reading, entry: Entry, may_differ: bool) -> dict[str, float]:
    name = entry.key.text
    if not may_differ:
        reading.fault(
            "FILE-SHAPE",
            entry.value,
            f"'{name}' has no left and right of its own.",
            found=shape_of(entry.value),
            expected="one length",
            remedy=f"Write '{name}: 82 cm', with your figure.",
        )
        return {}
    sides = read_fields(reading, entry.value, f"'{name}'", SIDES, SIDES, "{left: 32 cm, right: 32.5 cm}") or {}
    read = {f"{side} {name}": _checked(reading, f"{side} {name}", found.value) for side, found in sides.items()}
    taped = {side: value for side, value in read.items() if value is not None}
    return taped | {name: max(taped.values())} if taped else {}


def _checked(reading: Reading, name: str, node: Node) -> float | None:
    value = read_value(reading, node, f"The measure '{name}'", "length")
    if value is None:
        return None
    wrong = check_measure(name, value, reading.units)
    if wrong is None:
        return value
    reading.found_at(wrong, node)
    return None


def read_written(reading: Reading, node: Node, what: str, most: int = 200) -> Written | None:
    """Return a text with its place; None with a problem where there is none."""
    text = read_text(reading, node, what, most)
    if text is None:
        return None
    return Written(text, place_of(node, reading.file), excerpt(reading.text, node.mark))


def read_named(reading: Reading, node: Node, what: str, example: str) -> dict[str, Written]:
    """Return texts by the maker's own names, as written: a recipe, not a ticket, knows what they may be."""
    entries = read_entries(reading, node, f"'{what}'", example) or ()
    read = [(entry.key.text, read_written(reading, entry.value, f"The {what} '{_name(entry)}'")) for entry in entries]
    return {name: written for name, written in read if written is not None}


def _name(entry: Entry) -> str:
    return plain(entry.key.text)


def read_finishes(reading: Reading, node: Node) -> dict[str, Written]:
    """Return the finishes by the seam or edge they are for; one that cannot be read is left out with a problem."""
    entries = read_entries(reading, node, "'finish'", "{side seam: plain 15 mm, hem: single turned 40 mm}") or ()
    finishes: dict[str, Written] = {}
    for entry in entries:
        if is_empty(entry.value) and len(entries) > 1:
            reading.fault(
                "VALUE-EMPTY",
                entry.key,
                f"'{_name(entry)}' has no finish.",
                expected="a finish",
                remedy="Where it belongs to the finish before it, put that whole finish in quotes; else write one.",
            )
            continue
        written = read_written(reading, entry.value, f"The finish of '{_name(entry)}'")
        if written is None:
            continue
        finish = read_finish(written.text)
        if not isinstance(finish, FinishFault):
            finishes[entry.key.text] = written
            continue
        reading.fault(
            "FINISH-UNKNOWN",
            entry.value,
            f"{finish.message} {finish.remedy}",
            found=finish.found,
            expected=finish.expected,
            remedy=finish.remedy,
            within=finish.column,
        )
    return finishes


def read_rates(reading: Reading, node: Node) -> Rates:
    """Return what an hour costs and in which currency, as far as they are stated."""
    fields = read_fields(reading, node, "'rates'", RATE_KEYS, example="{hour: 18.00, currency: EUR}") or {}
    hour = read_number(reading, fields["hour"].value, "The rate of an hour") if "hour" in fields else None
    currency = read_text(reading, fields["currency"].value, "The currency") if "currency" in fields else None
    if currency is not None and not (_CURRENCY.fullmatch(currency) and currency.isascii()):
        reading.fault(
            "VALUE-WRONG",
            fields["currency"].value,
            f"'{plain(currency)}' is no currency's code.",
            found=plain(currency),
            expected="three letters",
            remedy="Write its three letters, for example EUR.",
        )
        currency = None
    return Rates(hour, (currency or "").upper())


def read_fittings(reading: Reading, node: Node) -> tuple[Fitting, ...]:
    """Return the fittings by date, those of one date in the file's order; one without a date is left out."""
    items = read_items(reading, node, "'fittings'", "a list of {on: 2026-12-03, note: …}")
    read = [_fitting(reading, item) for item in items]
    return tuple(sorted((each for each in read if each is not None), key=lambda each: each.on))


def _fitting(reading: Reading, node: Node) -> Fitting | None:
    fields = read_fields(reading, node, "A fitting", FITTING_KEYS, ("on",), "{on: 2026-12-03, note: …}")
    if fields is None:
        return None
    on = read_date(reading, fields["on"].value, "The fitting's date") if "on" in fields else None
    note = read_text(reading, fields["note"].value, "The fitting's note", NOTE_LENGTH) if "note" in fields else None
    measures, places = read_measures(reading, fields["measure"].value) if "measure" in fields else ({}, {})
    choices = read_named(reading, fields["choice"].value, "choice", "{waist ease: 3 cm}") if "choice" in fields else {}
    figure = read_notes(reading, fields["figure"].value, "'figure'") if "figure" in fields else {}
    steps = _added_steps(reading, fields["steps"].value) if "steps" in fields else ()
    seen, because = (
        read_text(reading, fields[key].value, f"The fitting's '{key}'") or "" if key in fields else ""
        for key in ("seen", "because")
    )
    carried = _carried(reading, fields["carried"].value) if "carried" in fields else ()
    if on is None:
        return None
    place = place_of(node, reading.file)
    return Fitting(on, note or "", choices, measures, places, figure, steps, place, seen, because, carried)


def _carried(reading: Reading, node: Node) -> tuple[str, ...]:
    items = read_items(reading, node, "'carried'", "[wearer]")
    words = [read_word(reading, item, "'carried'", CARRIED) for item in items]
    return tuple(dict.fromkeys(word for word in words if word is not None))


def _added_steps(reading: Reading, node: Node) -> tuple[AddedStep, ...]:
    items = read_items(reading, node, "'steps'", "a list of {after: LABEL, square across: {…}}")
    read = [_added_step(reading, item) for item in items]
    return tuple(each for each in read if each is not None)


def _added_step(reading: Reading, node: Node) -> AddedStep | None:
    entries = read_entries(reading, node, "An added step", "{after: LABEL, square across: {…}}")
    if entries is None:
        return None
    verbs = [entry for entry in entries if entry.key.text != "after"]
    after = [read_text(reading, entry.value, "'after'") for entry in entries if entry.key.text == "after"]
    if len(verbs) != 1:
        found = ", ".join(_name(entry) for entry in verbs) or "none"
        reading.fault(
            "FILE-SHAPE",
            verbs[1].key if verbs else node,
            "An added step holds one step and, if wanted, 'after'.",
            found=found,
            expected="one step",
            remedy="Write each step as its own list item.",
        )
        return None
    return AddedStep(
        (after[0] or "") if after else "", verbs[0].key.text, verbs[0].value, place_of(verbs[0].key, reading.file)
    )
