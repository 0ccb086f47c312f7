"""What a step may use to say itself: the values it read and wrote, and the maker's units."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from onfold.body.figure_notes import BY_FORMULA_NAME
from onfold.formula import Formula, without_names
from onfold.pattern import Fact, Level
from onfold.recipe.bench import Bench, Key, Unmet
from onfold.recipe.laid import PieceStart
from onfold.units import System, UnitFault, read_quantity, say_degrees, say_length, say_share

WHOLE = "whole, in one layer, the pattern turned over on its fold edge"
"""How a piece drafted to a fold is cut from cloth that is not folded, such as pile."""

_FOREIGN: dict[System, re.Pattern[str]] = {
    "in": re.compile(r"(?<![\w./])\d+(?:\.\d+)? ?(?:mm|cm|m)\b"),
    "cm": re.compile(r"(?<![\w./])(?:\d+ ft )?(?:\d+ )?(?:\d+/)?\d+(?:\.\d+)? ?(?:in|ft|yd)\b"),
}
"""Lengths as makers of the other system write them."""


class Telling:
    """A run seen again: the same numbers, nothing drawn. Whatever the run didn't read is not there to be told."""

    def __init__(
        self,
        reads: Mapping[Key, Any],
        writes: Mapping[Key, Any],
        units: System,
        fraction: int = 16,
        one_layer: bool = False,
    ) -> None:
        self._bench = Bench({**reads, **{key: value for key, value in writes.items() if key not in reads}})
        self.reads = reads
        self.writes = writes
        self.units = units
        self.fraction = fraction
        self._one_layer = one_layer

    def length(self, formula: Formula) -> str:
        """Return a length formula's value in the maker's units."""
        return self.mm(self._amount(formula))

    def mm(self, value: float) -> str:
        """Return a length in the maker's units."""
        return say_length(value, self.units, self.fraction)

    def share(self, formula: Formula) -> str:
        """Return a share formula's value: `20 %`."""
        return say_share(self._amount(formula))

    def percent(self, value: float) -> str:
        """Return a share: `20 %`."""
        return say_share(value)

    def degrees(self, value: float) -> str:
        """Return an angle given in degrees."""
        return say_degrees(value)

    def number(self, formula: Formula) -> str:
        """Return a plain number without needless decimals."""
        return f"{self._amount(formula):g}"

    def amount(self, formula: Formula) -> float:
        """Return a formula's bare value."""
        return self._amount(formula)

    def open(self, formula: Formula | None) -> bool:
        """Return whether a field is empty or asks for a choice that was left open."""
        return formula is None or self._bench.perhaps(formula) is None

    def word(self, text: str, words: tuple[str, ...]) -> str:
        """Return a word field's answer."""
        return self._bench.word(text, words)

    def level(self, name: str) -> Level | None:
        """Return a level that the step read or stated."""
        found = self.writes.get(("level", name)) or self._bench.look(("level", name))
        return found if isinstance(found, Level) else None

    def folded(self, piece: str) -> str:
        """Return how a piece drafted to a fold is cut: `on the fold`, whole from cloth never folded; '' for others."""
        begun = self._bench.look(("piece", piece))
        if not isinstance(begun, PieceStart) or not begun.on_fold:
            return ""
        return WHOLE if self._one_layer else "on the fold"

    def fact(self, name: str) -> float:
        """Return a fact the step stated, or 0."""
        found = self.writes.get(("fact", name)) or self._bench.look(("fact", name))
        return found.value if isinstance(found, Fact) else 0.0

    def finish(self, otherwise: str, *names: str) -> str:
        """Return the finish asked for under one of these names, else the step's own: `plain 15 mm (5/8 in)`."""
        text = self._bench.asked_finish(*names) or otherwise
        return _FOREIGN[self.units].sub(lambda found: f"{found[0]} ({self._own(found[0])})", text)

    def named(self, formula: Formula) -> str:
        """Return the formula where it is more than a bare quantity, its lengths in the maker's units.

        Figure notes that the wearer doesn't have are left out of it.
        """
        absent = frozenset(each for each in formula.names_used if each in BY_FORMULA_NAME and not self._value(each))
        shown = without_names(formula, absent)
        text = _FOREIGN[self.units].sub(lambda found: self._own(found[0]), shown.text)
        return text.replace("*", "×") if shown.names_used or shown.reads_draft else ""

    def _value(self, name: str) -> float:
        return self._bench.value(name) or 0.0

    def _own(self, quantity: str) -> str:
        """Return a length as another maker wrote it, such as `15 mm`, in this maker's units."""
        read = read_quantity(quantity)
        return quantity if isinstance(read, UnitFault) else say_length(read.value, self.units, 16)

    def reckoned(self, formula: Formula) -> str:
        """Return the value, and behind it how it was reckoned: `23 cm (waist / 4 + 2 cm)`."""
        said = self.length(formula)
        sum_text = self.named(formula)
        return f"{said} ({sum_text})" if sum_text else said

    def _amount(self, formula: Formula) -> float:
        try:
            return self._bench.amount(formula)
        except Unmet:
            return 0.0
