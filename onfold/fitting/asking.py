"""Reading what a cause asks for: the one change it names, and the words that say it."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Protocol

from onfold.body.measures import measure, near_names
from onfold.fitting.naming import FIGURE_NOTES
from onfold.fitting.observation import AskedStep, Blank, Kind
from onfold.formula import Formula, NameTable, read_formula
from onfold.problems import problem
from onfold.recipe.blanks import read_value
from onfold.recipe.fields import Fields, Reading, read_entries, read_items, read_text, read_word
from onfold.recipe.file import read_step
from onfold.recipe.yaml_nodes import Entry, Node, Scalar, did_you_mean
from onfold.recipe.yaml_nodes import Mapping as MappingNode
from onfold.steps import VERBS
from onfold.units import plain

KINDS: tuple[Kind, ...] = ("choice", "figure", "measure", "steps")
_BRACED = re.compile(r"\{([^{}]*)\}")
_LONGEST = 400


class Listed(Protocol):
    """The names of recipes that a vocabulary may speak of."""

    @property
    def words(self) -> Mapping[str, tuple[str, ...]]:
        """The words of each choice of words."""

    @property
    def kinds(self) -> Mapping[str, str]:
        """The kind of each other name."""

    def kind(self, name: str) -> str:
        """Return what a choice is, '' where it is not listed."""


@dataclass(frozen=True)
class AskedChange:
    """The change that a cause asks for, as read; of the four only that of its kind is filled."""

    kind: Kind
    choices: dict[str, Formula | str] = field(default_factory=dict)
    figure: dict[str, Formula] = field(default_factory=dict)
    measures: tuple[str, ...] = ()
    steps: tuple[AskedStep, ...] = ()


def read_change(reading: Reading, node: Node, fields: Fields, names: Listed, table: NameTable) -> AskedChange | None:
    """Return the one change of a cause, its formulas read with `table`; None with a problem where it has none or two.

    What is wrong inside the change is a problem at its place, and left out of what is returned.
    """
    asked = [kind for kind in KINDS if kind in fields]
    if len(asked) != 1:
        says = f"A cause asks for one change; this one has {' and '.join(asked) or 'none'}."
        at = fields[asked[1]].key if asked else node
        remedy = "Write one of choice, figure, measure or steps; put another change under a cause of its own."
        found, expected = ", ".join(asked) or "none", "choice, figure, measure or steps"
        reading.fault("CAUSE-CHANGE", at, says, found=found, expected=expected, remedy=remedy)
        return None
    kind = asked[0]
    value = fields[kind].value
    if kind == "choice":
        return AskedChange(kind, choices=_choices(reading, value, names, table))
    if kind == "figure":
        return AskedChange(kind, figure=_figure(reading, value, table))
    if kind == "measure":
        return AskedChange(kind, measures=_measures(reading, value))
    return AskedChange(kind, steps=_steps(reading, value, names, table))


def _entries(reading: Reading, node: Node, what: str, example: str) -> tuple[Entry, ...]:
    entries = read_entries(reading, node, what, example) or ()
    if isinstance(node, MappingNode) and not entries:
        reading.fault("VALUE-EMPTY", node, f"{what} is empty.", expected="at least one", remedy=f"Write {example}.")
    return entries


def _choices(reading: Reading, node: Node, names: Listed, table: NameTable) -> dict[str, Formula | str]:
    found: dict[str, Formula | str] = {}
    for entry in _entries(reading, node, "'choice'", "{waist ease: waist ease + by}"):
        name = entry.key.text
        kind, what = names.kind(name), f"The choice '{plain(name)}'"
        if not kind:
            known = [*names.kinds, *names.words]
            near = did_you_mean(name, known)
            remedy = f"Did you mean '{near}'?" if near else "List it under 'names' with its kind."
            says = f"No choice '{plain(name)}' is listed."
            reading.fault("CHOICE-UNKNOWN", entry.key, says, found=plain(name), expected=near, remedy=remedy)
        elif kind == "word":
            word = read_word(reading, entry.value, what, names.words[name])
            if word is not None:
                found[name] = word
        else:
            formula = read_value(reading, entry.value, kind, table, what)
            if formula is not None:
                found[name] = formula
    return found


def _figure(reading: Reading, node: Node, table: NameTable) -> dict[str, Formula]:
    found: dict[str, Formula] = {}
    for entry in _entries(reading, node, "'figure'", "{sway back: sway back + by}"):
        name = entry.key.text
        if name not in FIGURE_NOTES:
            _unknown_note(reading, entry.key, name)
            continue
        formula = read_value(reading, entry.value, "length", table, f"The figure note '{name}'")
        if formula is not None:
            found[name] = formula
    return found


def _unknown_note(reading: Reading, key: Scalar, name: str) -> None:
    near = did_you_mean(name, FIGURE_NOTES)
    remedy = f"Did you mean '{near}'?" if near else f"The notes are: {', '.join(FIGURE_NOTES)}."
    says = f"There is no figure note '{plain(name)}'."
    reading.fault("VALUE-WRONG", key, says, found=plain(name), expected=near or "a figure note", remedy=remedy)


def _measures(reading: Reading, node: Node) -> tuple[str, ...]:
    found = []
    items = read_items(reading, node, "'measure'", "[hip, waist to hip]")
    for item in items:
        name = read_text(reading, item, "A measure to take again")
        if name is None:
            continue
        if measure(name) is not None:
            found.append(name)
            continue
        near = near_names(name)
        remedy = f"Did you mean '{near[0]}'?" if near else "docs/measures.md lists them."
        says, expected = f"There is no measure '{plain(name)}'.", ", ".join(near) or "a measure"
        reading.fault("MEASURE-UNKNOWN", item, says, found=plain(name), expected=expected, remedy=remedy)
    if not items and not isinstance(node, Scalar):
        reading.fault("VALUE-EMPTY", node, "'measure' names none.", expected="a measure", remedy="Write [hip].")
    return tuple(found)


def _steps(reading: Reading, node: Node, names: Listed, table: NameTable) -> tuple[AskedStep, ...]:
    example = "a list of '- let out: {…}' items"
    items = read_items(reading, node, "'steps'", example)
    if not items and not isinstance(node, Scalar):
        reading.fault("VALUE-EMPTY", node, "'steps' is empty.", expected="at least one step", remedy="Write one.")
    return tuple(each for each in (_step(reading, item, names, table) for item in items) if each is not None)


def _step(reading: Reading, node: Node, names: Listed, table: NameTable) -> AskedStep | None:
    entries = read_entries(reading, node, "A step", "let out: {edges: [side of front], by: by / 4}")
    if entries is None:
        return None
    verbs = [entry for entry in entries if entry.key.text != "after"]
    after = "".join(read_text(reading, each.value, "'after'") or "" for each in entries if each.key.text == "after")
    if len(verbs) != 1:
        says, found = "A step is one verb, with 'after' beside it.", ", ".join(plain(each.key.text) for each in verbs)
        at = verbs[1].key if verbs else node
        reading.fault("FILE-SHAPE", at, says, found=found or "none", expected="one verb", remedy="Name what to do.")
        return None
    verb = verbs[0]
    if not _drafts(reading, verb, names, table):
        return None
    if not isinstance(verb.value, MappingNode):
        read_entries(reading, verb.value, f"The step '{plain(verb.key.text)}'", "{edges: [side of front], by: by / 4}")
        return None
    blanks = {entry.key.text: _blank(entry.value, table) for entry in verb.value.entries}
    return AskedStep(after, verb.key.text, blanks)


def _drafts(reading: Reading, verb: Entry, names: Listed, table: NameTable) -> bool:
    """Return whether a recipe could hold this step; what is wrong in it is noted."""
    node = MappingNode((verb,), verb.key.mark)
    return read_step(reading, node, VERBS, table, dict(names.words)) is not None


def _blank(node: Node, table: NameTable) -> Blank:
    """Return a blank as it is to be written: words as they are, a formula where it asks for `by`."""
    if isinstance(node, Scalar):
        read = read_formula(node.text, table) if node.text.strip() else []
        return read if isinstance(read, Formula) and "by" in read.names_used else node.text.strip()
    if isinstance(node, MappingNode):
        return {entry.key.text: _blank(entry.value, table) for entry in node.entries}
    return tuple(_blank(item, table) for item in node.items)


def read_says(
    reading: Reading, node: Node, fields: Fields, change: AskedChange, table: NameTable
) -> tuple[str | Formula, ...]:
    """Return the words of a cause in turn with the formulas in braces: `Let it out by {by}, to {new waist ease}.`

    `new` before a choice or note is what it becomes. Measures to be taken again need no words: how each is taken is
    said.
    """
    if "says" not in fields:
        if change.kind != "measure":
            says = "A cause says what is to be done."
            reading.fault("KEY-MISSING", node, says, expected="says", remedy="Add a line 'says: …'.")
        return ()
    value = fields["says"].value
    text = read_text(reading, value, "'says'", _LONGEST)
    if text is None or not isinstance(value, Scalar):
        return ()
    stray = next((at for at, char in enumerate(_BRACED.sub(_blanked, text)) if char in "{}"), -1)
    if stray >= 0:
        says = "A brace in 'says' has no partner."
        reading.fault("VALUE-WRONG", value, says, found=text[stray], remedy="Write {by}.", within=stray + 1)
        return ()
    kinds = {f"new {name}": table.kinds.get(name, "length") for name in _changed(change)}
    return _parts(reading, value, text, NameTable({**table.kinds, **kinds}))


def _blanked(match: re.Match[str]) -> str:
    return " " * len(match[0])


def _changed(change: AskedChange) -> Collection[str]:
    return [name for name, value in change.choices.items() if isinstance(value, Formula)] + list(change.figure)


def _parts(reading: Reading, value: Scalar, text: str, table: NameTable) -> tuple[str | Formula, ...]:
    parts: list[str | Formula] = []
    at = 0
    for match in _BRACED.finditer(text):
        parts.append(text[at : match.start()])
        read = read_formula(match[1], table)
        if isinstance(read, Formula):
            parts.append(read)
        else:
            for fault in read:
                found = problem(
                    fault.code, says=f"'says': {fault.message}", found=fault.found, expected=fault.expected,
                    remedy=fault.remedy,
                )  # fmt: skip
                reading.found_at(found, value, match.start(1) + max(1, fault.column))
        at = match.end()
    return tuple(part for part in (*parts, text[at:]) if part)
