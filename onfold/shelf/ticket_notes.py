"""A ticket's figure notes: under a wearer's `notes`, and under the `figure` of a fitting that found them."""

from __future__ import annotations

from onfold.body.figure_notes import NoteFault, read_note
from onfold.recipe.fields import Reading, read_entries, read_text
from onfold.recipe.yaml_nodes import Node, excerpt, place_of
from onfold.shelf.ticket_nouns import Noted
from onfold.units import plain

_EXAMPLE = "{sway back: 1.5 cm, right shoulder: 1 cm low}"


def read_notes(reading: Reading, node: Node, what: str) -> dict[str, Noted]:
    """Return figure notes by name; one that is unknown, unreadable or out of range is left out with a problem."""
    notes: dict[str, Noted] = {}
    for entry in read_entries(reading, node, what, _EXAMPLE) or ():
        name = entry.key.text
        text = read_text(reading, entry.value, f"The figure note '{plain(name)}'")
        if text is None:
            continue
        value = read_note(name, text, reading.units)
        if isinstance(value, NoteFault):
            unknown = value.problem.code == "FIGURE-UNKNOWN"
            reading.found_at(value.problem, entry.key if unknown else entry.value, value.column)
            continue
        notes[name] = Noted(text, place_of(entry.value, reading.file), excerpt(reading.text, entry.value.mark), value)
    return notes
