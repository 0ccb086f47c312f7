"""What a sheet says beside the pattern: for whom, when, on what paper, in which units."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

from onfold.pattern import Pattern, Piece
from onfold.sheets.opened import has_fold
from onfold.sheets.papers import PAPERS, Paper
from onfold.units import say_length


@dataclass(frozen=True)
class SheetFacts:
    """The facts every sheet carries, as the maker's ticket gives them.

    `drafted_for` are the figure notes of the draft, as they are said.
    `not_taped` names the measures that were estimated; None takes them from the pattern. `one_way` cloth gets
    grain arrows that point to the top only. A piece named in `one_layer` (or all of them, by `True`) that is
    drafted on the fold is printed whole and not as its half: two drawings with two cut counts would be cut twice.
    `margin` mm is left free round each page, `overlap` mm is shared by
    neighbouring tiles. `blocks` are (heading, paragraphs) that stand
    first in the legend.
    """

    title: str = ""
    wearer: str = ""
    date: str = ""
    paper: Paper = field(default_factory=lambda: PAPERS["a4"])
    units: Literal["cm", "in"] = "cm"
    drafted_for: tuple[str, ...] = ()
    not_taped: tuple[str, ...] | None = None
    one_way: bool = False
    one_layer: frozenset[str] | bool = False
    margin: float = 10.0
    overlap: float = 10.0
    language: str = "en"
    blocks: tuple[tuple[str, tuple[str, ...]], ...] = ()

    def prints_whole(self, piece: Piece) -> bool:
        """Return whether this piece, drafted on the fold, is printed opened out."""
        named = self.one_layer if isinstance(self.one_layer, bool) else piece.name in self.one_layer
        return named and piece.on_fold and has_fold(piece)

    @property
    def say(self) -> Callable[[float], str]:
        """Return the function that says a length of mm in the maker's units, inches in sixteenths as the guide does.

        So what is measured on the paper agrees with the tables within a millimetre.
        """
        return lambda mm: say_length(mm, self.units, 16)


def untaped(pattern: Pattern, facts: SheetFacts) -> tuple[str, ...]:
    """Return the measures to name as not taped: those of the facts, else those the pattern marks as estimated."""
    if facts.not_taped is not None:
        return facts.not_taped
    return tuple(name for name, taken in pattern.measures.items() if taken.estimated)


def told_title(pattern: Pattern, facts: SheetFacts) -> str:
    """Return the garment's title, the ticket's before the recipe's."""
    return facts.title or pattern.title or pattern.recipe


def told_wearer(pattern: Pattern, facts: SheetFacts) -> str:
    """Return who it is for."""
    return facts.wearer or pattern.wearer
