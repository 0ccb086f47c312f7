"""The workroom book: what was found at try-ons to hold for a wearer, or for the maker's taste, beyond one ticket.

A plain YAML file of the maker's own, `book.yaml`, beside the tickets. Reading it changes no draft.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from onfold.problems import Problem
from onfold.recipe.fields import Reading, read_entries, read_fields, read_text
from onfold.recipe.splice import add_entry, set_scalar
from onfold.recipe.yaml_ends import Value, line_break
from onfold.recipe.yaml_nodes import Mapping as MappingNode
from onfold.recipe.yaml_nodes import Node, Scalar, compose, find
from onfold.recipe.yaml_nodes import read_text as read_file
from onfold.recipe.yaml_writing import write_key, write_value
from onfold.shelf.ticket_nouns import Written
from onfold.shelf.ticket_parts import read_measures, read_named
from onfold.units import plain

NAME = "book.yaml"
BOOK_KEYS = ("wearers", "taste")
WEARER_KEYS = ("notes", "measures", "from")
HEAD = (
    "# The workroom book: what try-ons showed to hold for a wearer, or for your taste. A ticket stays whole without it."
)


@dataclass(frozen=True)
class BookWearer:
    """What holds for one body: figure notes and measures as written, the latter in mm too, and whence they came."""

    notes: dict[str, str] = field(default_factory=dict)
    measures: dict[str, str] = field(default_factory=dict)
    taped: dict[str, float] = field(default_factory=dict)
    source: str = ""


@dataclass(frozen=True)
class Book:
    """The book as read: wearers by name, and the maker's own choices by recipe. `text` is the file, '' for none."""

    file: str = NAME
    text: str = ""
    wearers: dict[str, BookWearer] = field(default_factory=dict)
    taste: dict[str, dict[str, str]] = field(default_factory=dict)


def read_book(folder: Path) -> tuple[Book | None, list[Problem]]:
    """Return the book beside a folder's tickets, an empty one where there is none; None where it cannot be read."""
    path = folder / NAME
    file = plain(str(path), 200)
    if not (path.exists() or path.is_symlink()):
        return Book(file), []
    text, problems = read_file(path)
    return (None, problems) if text is None else read_book_text(text, file)


def read_book_text(text: str, file: str = NAME) -> tuple[Book | None, list[Problem]]:
    """Return the book in this text; None, with the problems, where any of it cannot be read."""
    if not any(line.strip(" \ufeff\r") and not line.lstrip(" \ufeff").startswith("#") for line in text.split("\n")):
        return Book(file, text), []
    node, problems = compose(text, file)
    reading = Reading(file, text, problems=list(problems))
    fields = None if node is None else read_fields(reading, node, "The workroom book", BOOK_KEYS)
    if fields is None:
        return None, reading.problems
    wearers = _by_name(reading, fields["wearers"].value, "'wearers'") if "wearers" in fields else {}
    taste = _by_name(reading, fields["taste"].value, "'taste'") if "taste" in fields else {}
    book = Book(
        file,
        text,
        {name: _wearer(reading, each, name) for name, each in wearers.items()},
        {name: _texts(read_named(reading, each, "choice", "{waist ease: 3 cm}")) for name, each in taste.items()},
    )
    stopped = any(each.severity == "stop" for each in reading.problems)
    return (None if stopped else book), reading.problems


def _by_name(reading: Reading, node: Node, what: str) -> dict[str, Node]:
    return {entry.key.text: entry.value for entry in read_entries(reading, node, what, "{alto-1: {…}}") or ()}


def _wearer(reading: Reading, node: Node, name: str) -> BookWearer:
    what = f"The wearer '{plain(name)}'"
    fields = read_fields(reading, node, what, WEARER_KEYS, example="{notes: {sway back: 1.5 cm}}") or {}
    notes = read_named(reading, fields["notes"].value, "note", "{sway back: 1.5 cm}") if "notes" in fields else {}
    measures: dict[str, str] = {}
    taped: dict[str, float] = {}
    if "measures" in fields:
        taped, _ = read_measures(reading, fields["measures"].value)
        held = fields["measures"].value
        entries = held.entries if isinstance(held, MappingNode) else ()
        measures = {each.key.text: each.value.text for each in entries if isinstance(each.value, Scalar)}
    source = read_text(reading, fields["from"].value, "'from'", 400) if "from" in fields else ""
    return BookWearer(_texts(notes), measures, taped, source or "")


def _texts(named: Mapping[str, Written]) -> dict[str, str]:
    return {name: each.text for name, each in named.items()}


def with_wearer(
    book: Book, name: str, notes: Mapping[str, str], measures: Mapping[str, str], source: str
) -> str | Problem:
    """Return the book's text with notes and measures of a wearer put in or changed, everything else as it stands."""
    puts = [(("notes", key), value) for key, value in notes.items()]
    puts += [(("measures", key), value) for key, value in measures.items()]
    return _with(book, "wearers", name, [*puts, (("from",), source)])


def with_taste(book: Book, recipe: str, choices: Mapping[str, str]) -> str | Problem:
    """Return the book's text with choices of a recipe put in or changed, everything else as it stands."""
    return _with(book, "taste", recipe, [((key,), value) for key, value in choices.items()])


Puts = list[tuple[tuple[str, ...], str]]


def _with(book: Book, section: str, name: str, puts: Puts) -> str | Problem:
    text: str | Problem = book.text
    root, _ = compose(book.text, book.file) if book.text.strip() else (None, [])
    if not isinstance(root, MappingNode):
        return _begun(book.text, section, name, puts)
    if find(root, section) is None and not root.flow:
        return _begun(book.text, section, name, puts)
    for path, value in puts:
        if isinstance(text, Problem):
            return text
        text = _put(text, (section, name, *path), value, book.file)
    return text


def _begun(text: str, section: str, name: str, puts: Puts) -> str:
    """Return the text with a section begun below what stands there: a line a name, so that a book stays readable."""
    breaks = line_break(text)
    held: dict[str, Value] = {}
    for path, value in puts:
        inner = held
        for key in path[:-1]:
            inner = inner.setdefault(key, {})  # type: ignore[assignment]
        inner[path[-1]] = value
    before = text or HEAD + breaks
    before += "" if before.endswith("\n") else breaks
    return f"{before}{section}:{breaks}  {write_key(name, False)}: {write_value(held, False)}{breaks}"


def _put(text: str, path: tuple[str, ...], value: str, file: str) -> str | Problem:
    """Return the text with a value at a path, the fields on the way there made where they are missing."""
    node, problems = compose(text, file)
    if node is None:
        return problems[0]
    for depth, key in enumerate(path):
        entry = find(node, key) if isinstance(node, MappingNode) else None
        if entry is None:
            rest: Value = value
            for missing in reversed(path[depth + 1 :]):
                rest = {missing: rest}
            return add_entry(text, path[:depth], key, rest, file)
        node = entry.value
    return set_scalar(text, path, value, file)
