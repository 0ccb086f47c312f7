"""Reading a fitting's vocabulary: the shipped one, and a maker's own of the same form, every fault at its place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from importlib.resources import files

from onfold.fitting.asking import read_change, read_says
from onfold.fitting.naming import standing_names
from onfold.fitting.observation import AT, Cause, Observation, in_order
from onfold.formula import Formula, NameTable, check_name
from onfold.problems import Problem
from onfold.recipe.blanks import read_value
from onfold.recipe.fields import (
    Fields,
    Reading,
    read_entries,
    read_fields,
    read_items,
    read_text,
    read_word,
    shape_of,
)
from onfold.recipe.yaml_nodes import Entry, Node, Scalar, Sequence, compose, did_you_mean, place_of
from onfold.units import plain

__all__ = ["Names", "read_observations", "shipped_names", "shipped_observations"]

SHIPPED = "observations.yaml"
TOP = ("vocabulary", "licence", "note", "names", "observations")
OBSERVATION = ("seen", "also", "at", "look", "needs", "causes")
CAUSE = ("because", "likely", "choice", "figure", "measure", "steps", "by", "says", "watch", "needs")
KINDS = ("length", "share", "number")
LONGEST_NAME, LONGEST_SENTENCE = 80, 400


@dataclass(frozen=True)
class Names:
    """What a vocabulary's formulas may use beside the standing names: a kind by name, the words of choices of words."""

    kinds: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @cached_property
    def table(self) -> NameTable:
        """The names of formulas outside a change."""
        asked = {f"{name} {word}": "number" for name, words in self.words.items() for word in words}
        fit = {name: kind for name, kind in asked.items() if check_name(name) is None}
        return NameTable({**standing_names(), **fit, **self.kinds})

    def kind(self, name: str) -> str:
        """Return what a choice is: length, share, number, `word`, or '' where it is not listed."""
        return "word" if name in self.words else self.kinds.get(name, "")


@lru_cache
def _shipped() -> tuple[tuple[Observation, ...], Names]:
    text = (files("onfold.fitting") / SHIPPED).read_text("utf-8")
    observations, names, problems = _read(text, SHIPPED, Names())
    if problems:
        raise ValueError(f"{problems[0].where}: {problems[0].says}")
    return observations, names


def shipped_observations() -> tuple[Observation, ...]:
    """Return the vocabulary that comes with Onfold, in the order in which a fitting looks.

    Raises ValueError where it is damaged: it is ours, not a user's.
    """
    return _shipped()[0]


def shipped_names() -> Names:
    """Return the names of recipes that the shipped vocabulary lists; a maker's own file may use them unlisted."""
    return _shipped()[1]


def read_observations(text: str, file: str) -> tuple[tuple[Observation, ...], list[Problem]]:
    """Return (the observations of a maker's own vocabulary, every fault in it), never raising on what it holds.

    What is sound is returned whatever else is wrong; a cause or observation with a fault is left out.
    """
    observations, _, problems = _read(text, file, shipped_names())
    return observations, problems


def _read(text: str, file: str, known: Names) -> tuple[tuple[Observation, ...], Names, list[Problem]]:
    node, problems = compose(text, file)
    reading = Reading(file, text, problems=list(problems))
    names = known
    read: list[Observation] = []
    fields = None if node is None else read_fields(reading, node, "A vocabulary", TOP, ("vocabulary", "observations"))
    if fields is not None:
        for key in ("vocabulary", "licence", "note"):
            if key in fields:
                read_text(reading, fields[key].value, f"'{key}'", 2000)
        if "names" in fields:
            names = _read_names(reading, fields["names"].value, known)
        if "observations" in fields:
            items = read_items(reading, fields["observations"].value, "'observations'", "a list of '- seen: …' items")
            read = [each for each in (_observation(reading, item, names) for item in items) if each is not None]
            read = _each_once(reading, read, items)
    found = sorted(reading.problems, key=lambda each: (each.where.line, each.where.column))
    return in_order(read), names, found


def _each_once(reading: Reading, read: list[Observation], items: tuple[Node, ...]) -> list[Observation]:
    """Return the observations by name, the first of each; a second of the same name is a fault where it stands."""
    nodes = {place_of(item, reading.file): item for item in items}
    first: dict[str, Observation] = {}
    for each in read:
        earlier = first.setdefault(each.seen.lower(), each)
        if earlier is not each:
            says = f"'{plain(each.seen)}' stands in line {earlier.place.line} and again in line {each.place.line}."
            remedy = "Give one of them another name, or put their causes together."
            reading.fault("SEEN-TWICE", nodes[each.place], says, found=plain(each.seen), remedy=remedy)
    return list(first.values())


def _read_names(reading: Reading, node: Node, known: Names) -> Names:
    """Return the known names and those listed: `{waist ease: length, straps: [crossed, straight]}`."""
    kinds, words = dict(known.kinds), dict(known.words)
    for entry in read_entries(reading, node, "'names'", "{waist ease: length}") or ():
        name = entry.key.text
        reason = check_name(name)
        if reason is None and name in standing_names():
            reason = "it is known without being listed"
        if reason is None and (name == "by" or name.startswith("new ")):
            reason = "'by' and 'new' have a meaning of their own in a change"
        if reason is not None:
            says = f"'{plain(name)}' cannot be listed as a name: {reason}."
            reading.fault("VALUE-WRONG", entry.key, says, found=plain(name), remedy="Take the line out, or rename it.")
        elif isinstance(entry.value, Sequence):
            listed = (read_text(reading, item, "A word") for item in entry.value.items)
            words[name] = tuple(word.lower() for word in listed if word)
            kinds.pop(name, None)
        else:
            kind = read_word(reading, entry.value, f"The kind of '{name}'", KINDS)
            if kind is not None:
                kinds[name] = kind
                words.pop(name, None)
    return Names(kinds, words)


def _observation(reading: Reading, node: Node, names: Names) -> Observation | None:
    required = ("seen", "at", "look", "causes")
    fields = read_fields(reading, node, "An observation", OBSERVATION, required, "{seen: …, at: hem, look: …}")
    if fields is None:
        return None
    seen = _words(reading, fields, "seen", LONGEST_NAME)
    look = _words(reading, fields, "look", LONGEST_SENTENCE)
    at = read_word(reading, fields["at"].value, "'at'", AT) if "at" in fields else None
    also = _list(reading, fields, "also", "[other ways, of saying it]", LONGEST_NAME)
    needs = _needs(reading, fields, names)
    causes: tuple[Cause, ...] = ()
    if "causes" in fields:
        entry = fields["causes"]
        items = read_items(reading, entry.value, "'causes'", "a list of '- because: …' items")
        causes = tuple(each for each in (_cause(reading, item, names) for item in items) if each is not None)
        if isinstance(entry.value, Sequence) and not items:
            says = "An observation without a cause has nothing to offer."
            reading.fault("VALUE-EMPTY", entry.value, says, expected="at least one cause", remedy="Write one.")
    if not seen or not look or at is None or not causes:
        return None
    return Observation(seen, also, at, look, causes, needs, place_of(node, reading.file))


def _words(reading: Reading, fields: Fields, key: str, most: int) -> str:
    return (read_text(reading, fields[key].value, f"'{key}'", most) or "") if key in fields else ""


def _list(reading: Reading, fields: Fields, key: str, example: str, most: int) -> tuple[str, ...]:
    if key not in fields:
        return ()
    items = read_items(reading, fields[key].value, f"'{key}'", example)
    return tuple(word for word in (read_text(reading, item, f"An item of '{key}'", most) for item in items) if word)


def _needs(reading: Reading, fields: Fields, names: Names) -> tuple[str, ...]:
    """Return the names a draft must have; each is one that a formula could use, or a choice of words."""
    if "needs" not in fields:
        return ()
    found = []
    known = [*names.table.kinds, *names.words]
    for item in read_items(reading, fields["needs"].value, "'needs'", "[waist ease]"):
        name = read_text(reading, item, "An item of 'needs'")
        if name is None:
            continue
        if name in names.table.kinds or name in names.words:
            found.append(name)
            continue
        near = did_you_mean(name, known)
        offer = f"Did you mean '{near}'?" if near else "List it under 'names' with its kind."
        says = f"No formula could use the name '{plain(name)}'."
        reading.fault("FORMULA-NAME", item, says, found=plain(name), expected=near or "a known name", remedy=offer)
    return tuple(found)


def _cause(reading: Reading, node: Node, names: Names) -> Cause | None:
    example = "{because: …, likely: 1, choice: {…}, by: 1 cm, says: …}"
    fields = read_fields(reading, node, "A cause", CAUSE, ("because", "likely"), example)
    if fields is None:
        return None
    before = len([each for each in reading.problems if each.severity == "stop"])
    because = _words(reading, fields, "because", LONGEST_SENTENCE)
    watch = _words(reading, fields, "watch", LONGEST_SENTENCE)
    likely = _formula(reading, fields.get("likely"), "number", names.table, "'likely'")
    by = _formula(reading, fields.get("by"), None, names.table, "'by'")
    table = names.table if by is None else NameTable({**names.table.kinds, "by": by.kind})
    change = read_change(reading, node, fields, names, table)
    needs = _needs(reading, fields, names)
    says = read_says(reading, node, fields, change, table) if change is not None else ()
    after = len([each for each in reading.problems if each.severity == "stop"])
    if change is None or likely is None or not because or after > before:
        return None
    return Cause(
        because, likely, change.kind, says, change.choices, change.figure, change.measures, change.steps, by, watch,
        needs, place_of(node, reading.file),
    )  # fmt: skip


def _formula(reading: Reading, entry: Entry | None, kind: str | None, table: NameTable, what: str) -> Formula | None:
    if entry is None:
        return None
    if not isinstance(entry.value, Scalar):
        says = f"{what} should be a formula, not {shape_of(entry.value)}."
        reading.fault("FILE-SHAPE", entry.value, says, found=shape_of(entry.value), expected="a formula")
        return None
    return read_value(reading, entry.value, kind, table, what)
