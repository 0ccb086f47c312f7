"""The nouns of a file's text, and how a place in it is shown.

NamedTuples, not dataclasses: a recipe has thousands of them and they are made five times as fast.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection
from typing import NamedTuple, TypeAlias

from onfold.formula.names import did_you_mean
from onfold.problems import Place
from onfold.units import plain

_LINE_SHOWN = 100
_SPACE = re.compile(r"\s+")


class Mark(NamedTuple):
    """Where a node stands: line and column from 1, offsets [start, end) into the text, a byte order mark counted."""

    line: int
    column: int
    start: int
    end: int


class Scalar(NamedTuple):
    """A word, number or sentence as text. `style` is '' for plain, else the quote or block sign it was written with."""

    text: str
    mark: Mark
    style: str = ""


class Entry(NamedTuple):
    """A key with its value."""

    key: Scalar
    value: Node


class Mapping(NamedTuple):
    """Keys with values in their order; `flow` says that it stands in braces."""

    entries: tuple[Entry, ...]
    mark: Mark
    flow: bool = False


class Sequence(NamedTuple):
    """A list in its order; `flow` says that it stands in square brackets."""

    items: tuple[Node, ...]
    mark: Mark
    flow: bool = False


Node: TypeAlias = Scalar | Mapping | Sequence


def find(mapping: Mapping, key: str) -> Entry | None:
    """Return the entry of this key, or None."""
    return next((entry for entry in mapping.entries if entry.key.text == key), None)


def mark_at(text: str, at: int) -> Mark:
    """Return the mark of the character at an offset; a byte order mark takes no column."""
    line_start = text.rfind("\n", 0, at) + 1
    column = at - line_start + (0 if line_start == 0 and text.startswith("\ufeff") else 1)
    return Mark(text.count("\n", 0, at) + 1, column, at, at + 1)


def place_of(node: Node | Mark, file: str = "") -> Place:
    """Return where a node or mark stands, as a problem says it."""
    mark = node if isinstance(node, Mark) else node.mark
    return Place(file, mark.line, mark.column)


def excerpt(text: str, mark: Mark) -> str:
    """Return the marked line with a caret below the column, long lines cut around it, nothing raw in it."""
    start = text.rfind("\n", 0, mark.start) + 1
    start += 1 if start == 0 and text.startswith("\ufeff") else 0
    stop = text.find("\n", start)
    line = text[start : stop if stop >= 0 else len(text)].rstrip("\r")
    at = min(max(mark.start - start, 0), len(line))
    cut = max(0, at - _LINE_SHOWN * 2 // 3) if len(line) > _LINE_SHOWN else 0
    before = ("…" if cut else "") + plain(line[cut:at], len(line) + 1)
    after = line[at : cut + _LINE_SHOWN]
    more = "…" if cut + _LINE_SHOWN < len(line) else ""
    return f"{before}{plain(after, len(line) + 1)}{more}\n{' ' * _width(before)}^"


def _width(text: str) -> int:
    """Return how many columns of a terminal a text takes, so that the caret stands under its letter."""
    if text.isascii():
        return len(text)
    wide = sum(unicodedata.east_asian_width(char) in "WF" for char in text)
    return len(text) + wide - sum(unicodedata.combining(char) > 0 for char in text)


def mark_within(text: str, scalar: Scalar, column: int) -> Mark:
    """Return the mark of the `column`-th character (from 1) of a scalar's text, for the caret of a fault inside it.

    Folded lines and doubled quotes are followed; within other escapes and blocks it is the nearest place known.
    """
    raw = text[scalar.mark.start : scalar.mark.end]
    at = 1 if scalar.style in ("'", '"') else 0
    if scalar.style in ("|", ">"):
        at = max(raw.find(scalar.text.strip()[:10]), 0)
    for char in scalar.text[: column - 1]:
        if at >= len(raw):
            break
        at += _written_as(raw, at, char, scalar.style)
    return mark_at(text, min(scalar.mark.start + at, len(text)))


def _written_as(raw: str, at: int, char: str, style: str) -> int:
    """Return how many characters of the file one character of the text takes at `at`."""
    space = _SPACE.match(raw, at) if char.isspace() else None
    if space:
        return len(space[0]) if "\n" in space[0] else 1
    doubled = style == "'" and raw.startswith("''", at)
    escaped = style == '"' and raw[at] == "\\"
    return 2 if doubled or escaped else 1


def suggestion(word: str, known: Collection[str]) -> str:
    """Return `Did you mean 'waist'?` for a misspelt word, '' where no known one is near."""
    near = did_you_mean(word, known)
    return f"Did you mean '{near}'?" if near else ""
