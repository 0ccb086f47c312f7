"""The names a formula may use, what each of them is, and what no name may hold."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Protocol

from onfold.units import UNITS

RESERVED = frozenset({"of", "on", "and", "along", "from", "rounded"})
_UNIT_WORDS = frozenset(UNITS)
_LONGEST_NAME = 60


@dataclass(frozen=True)
class NameTable:
    """Every known name with its kind; `most_words` bounds how far the longest match is sought.

    A kind may be None where it is known only at replay; such a name passes every check of kinds.
    """

    kinds: Mapping[str, str | None]
    most_words: int = field(init=False, compare=False)

    def __post_init__(self) -> None:
        most = max((name.count(" ") + 1 for name in self.kinds), default=1)
        object.__setattr__(self, "most_words", most)


class Scope(Protocol):
    """What a formula reads of the draft at its step; None where something isn't there. Lengths are mm."""

    def value(self, name: str) -> float | None:
        """Return the value of a measure, a choice or a property of the cloth."""

    def point(self, name: str) -> tuple[float, float] | None:
        """Return where a point of the draft lies."""

    def point_names(self) -> Collection[str]:
        """Return the points there are."""

    def edge_length(self, edge: str, piece: str) -> float | None:
        """Return the length of an edge of a piece by the tape."""

    def edge_names(self, piece: str) -> Collection[str]:
        """Return the edges of a piece."""

    def piece_names(self) -> Collection[str]:
        """Return the pieces there are."""


def check_name(name: str) -> str | None:
    """Return why a name cannot be used in formulas (so a recipe refuses it for a choice), or None where it can."""
    if not name.strip():
        return "a name is needed"
    if len(name) > _LONGEST_NAME:
        return f"a name has at most {_LONGEST_NAME} letters"
    if name != " ".join(name.split()):
        return "the words of a name have one space between them, and none before or after"
    digit = next((char for char in name if char.isnumeric()), None)
    if digit:
        return f"a name has no digits, and '{digit}' stands in it"
    odd = next((char for char in name if not (char.isalpha() or char in " '’")), None)
    if odd:
        shown = odd if odd.isprintable() else f"<U+{ord(odd):04X}>"
        return f"a name has only letters and spaces, and '{shown}' stands in it"
    words = name.lower().split()
    taken = next((word for word in words if word in RESERVED), None)
    if taken:
        return f"the word '{taken}' has a meaning of its own in formulas"
    unit = next((word for word in words if word in _UNIT_WORDS), None)
    if unit:
        return f"the word '{unit}' is a unit"
    bare = next((word for word in words if not any(char.isalpha() for char in word)), None)
    return f"'{bare}' is no word" if bare else None


def did_you_mean(word: str, known: Collection[str]) -> str:
    """Return the known word nearest to a misspelt one, '' where none is near. The case of letters is ignored."""
    from difflib import get_close_matches

    lowered = {each.lower(): each for each in _in_order(known)}
    sought = " ".join(word[:80].lower().split())
    if sought in lowered:
        return lowered[sought]
    near = get_close_matches(sought, lowered, n=1, cutoff=0.65)
    return lowered[near[0]] if near else ""


def _in_order(known: Collection[str]) -> Iterator[str]:
    """Yield the names sorted, so that a set offers the same neighbour on every run."""
    yield from sorted(known, reverse=True)
