"""What the lesson says beside its steps: for whom, in which cloth, from which measures and choices."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from onfold.body.taken import Taken
from onfold.cloth import Cloth
from onfold.pattern import Level, Piece


@dataclass(frozen=True)
class Chosen:
    """A choice of the recipe: its name, its value in the maker's units, what it asks, whether the ticket set it."""

    name: str
    said: str
    asked: str = ""
    by_maker: bool = False


@dataclass(frozen=True, eq=False)
class LessonFacts:
    """The facts of one lesson. `date` is the ticket's, never the clock's, so that equal inputs give equal pages.

    `how` tells how a measure is taken, by its name; `measure_first` names the untaped measures whose taping narrows
    the estimates most, most useful first; `ties` says that the garment has straps, cords or ties; `notes` are the
    figure notes it was drafted for, as they are said.
    """

    title: str
    wearer: str
    date: str
    units: Literal["in", "cm"]
    recipe: str
    cloth: Cloth
    figure: str = "woman"
    measures: dict[str, Taken] = field(default_factory=dict)
    how: dict[str, str] = field(default_factory=dict)
    measure_first: tuple[str, ...] = ()
    levels: dict[str, Level] = field(default_factory=dict)
    choices: tuple[Chosen, ...] = ()
    pieces: tuple[Piece, ...] = ()
    ties: bool = False
    notes: tuple[str, ...] = ()
    fraction: Literal[8, 16] = 16
