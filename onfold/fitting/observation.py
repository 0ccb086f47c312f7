"""The nouns of a fitting's vocabulary: what a maker says at the try-on, why it may be so, what each cause asks for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeAlias, Union

from onfold.formula import Formula
from onfold.problems import Place

ORDER: tuple[tuple[str, ...], ...] = (
    ("balance and grain",),
    ("shoulder and neck", "waist"),
    ("bust, back and darts",),
    ("sides and girths",),
    ("armhole",),
    ("sleeve",),
    ("lengths",),
    ("hem",),
    ("seams",),
)
"""Where a fitting looks first, second, last: from what all hangs on down to the hem; then the seams once more [C].

Skirts and trousers hang from the waist, which stands in the place of shoulder and neck.
"""

AT: tuple[str, ...] = tuple(word for words in ORDER for word in words)

Kind = Literal["choice", "figure", "measure", "steps"]
Blank: TypeAlias = Union[str, Formula, tuple["Blank", ...], dict[str, "Blank"]]  # noqa: UP007 (recursive)
"""A step's blank: words as they are, or a formula that asks for `by`."""


@dataclass(frozen=True)
class AskedStep:
    """A step that a cause asks for: after the step of this label ('': before the first finishing step)."""

    after: str
    verb: str
    blanks: Mapping[str, Blank]


@dataclass(frozen=True)
class Cause:
    """One reason for what is seen. `likely` gives a pure number, higher is likelier; nought or less rules it out.

    It asks for one kind of change: `choices` (a formula, or the word of a choice of words), `figure` notes, `measures`
    to be taken again, or `steps`. `by` is the usual amount, mm or a number. `says` is words and formulas in turn,
    `watch` what else the change moves, `needs` the names without which a draft has no such cause.
    """

    because: str
    likely: Formula
    kind: Kind
    says: tuple[str | Formula, ...]
    choices: Mapping[str, Formula | str] = field(default_factory=dict)
    figure: Mapping[str, Formula] = field(default_factory=dict)
    measures: tuple[str, ...] = ()
    steps: tuple[AskedStep, ...] = ()
    by: Formula | None = None
    watch: str = ""
    needs: tuple[str, ...] = ()
    place: Place = field(default_factory=Place)


@dataclass(frozen=True)
class Observation:
    """One thing a maker says of a garment tried on: its name, other ways of saying it, and how it is looked at."""

    seen: str
    also: tuple[str, ...]
    at: str
    look: str
    causes: tuple[Cause, ...]
    needs: tuple[str, ...] = ()
    place: Place = field(default_factory=Place)


def in_order(observations: Iterable[Observation]) -> tuple[Observation, ...]:
    """Return the observations in the order in which a fitting looks; those of one place stay as they were."""
    rank = {word: number for number, words in enumerate(ORDER) for word in words}
    return tuple(sorted(observations, key=lambda each: rank.get(each.at, len(ORDER))))


def joined(shipped: Iterable[Observation], own: Iterable[Observation]) -> tuple[Observation, ...]:
    """Return both in the order of looking: one of the maker's own replaces the one of its name, else it is added."""
    by_name = {each.seen.lower(): each for each in shipped}
    by_name.update({each.seen.lower(): each for each in own})
    return in_order(by_name.values())
