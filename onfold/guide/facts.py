"""What the guide says beside the pattern, and the parts a guide is made of."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from onfold.cloth import Cloth
from onfold.making.operation import MakingUp
from onfold.units import say_length, say_small


@dataclass(frozen=True, eq=False)
class GuideFacts:
    """The facts of one guide. `date` is the ticket's, never the clock's; `paper` its name, as in the ticket.

    `ties` says that the garment has straps, cords or ties. `notions` are the maker's own, beside those that follow
    from the pattern. `not_taped` names the estimated measures; None takes them from the pattern. `pictures` are the
    drawings of `draw_pieces` as SVG text, by piece: the guide makes no SVG itself. `fraction` is the smallest part
    of an inch said. `making` are the operations to tell; None finds them from the pattern.
    """

    title: str
    wearer: str
    date: str
    units: Literal["in", "cm"]
    cloth: Cloth
    figure: str = "woman"
    paper: str = "a4"
    ties: bool = False
    notions: tuple[str, ...] = ()
    not_taped: tuple[str, ...] | None = None
    pictures: Mapping[str, str] = field(default_factory=dict)
    fraction: Literal[8, 16] = 16
    making: MakingUp | None = None

    @property
    def say(self) -> Callable[[float], str]:
        """Return the function that says a length of mm in the maker's units."""
        return lambda mm: say_length(mm, self.units, self.fraction)

    def say_small(self, mm: float) -> str:
        """Return an allowance as it is said at the table: millimetres below 10 cm, or sixteenths of an inch."""
        return say_small(mm, self.units)


@dataclass(frozen=True)
class Doing:
    """One act as it is printed. `no_way_back` is marked in words and by a heavy bar."""

    says: str
    no_way_back: bool = False


@dataclass(frozen=True)
class Entry:
    """One operation as it is printed.

    `state` says how the edges lie when it is done, `often` how often it is done, `on` which pieces it works on, `first`
    what had to stand before it, `time` how long it takes. `picture` names its picture in `GuideFacts.pictures`; `alt`
    stands for that in words. `other` tells of another sound order, `cautions` what can hurt here.
    """

    number: int
    name: str
    acts: tuple[Doing, ...]
    state: str = ""
    often: str = ""
    on: str = ""
    why: str = ""
    first: str = ""
    time: str = ""
    picture: str = ""
    alt: str = ""
    other: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Card:
    """A label to pin on one cut piece: its name, which of how many it is, and what else the table must know."""

    name: str
    count: str
    facts: tuple[str, ...] = ()


@dataclass(frozen=True)
class Part:
    """One part of the guide as the template sets it. Which fields count depends on `kind`.

    `text`: `lines` are paragraphs. `bullets`, `numbers`, `cautions`: `lines` are the items. `table`: `heads` and
    `rows`. `pieces`: `rows` are (name, how cut, facts…), each with its picture by name. `problems`: `rows` are
    (severity, title, says, remedy). `care`: `rows` are (heading, texts…). `operations`: `entries`. `key`: `rows` are
    (picture's name, its text alternative). `labels`: `cards`, on a page of their own. `note` stands small below;
    `widths` shares out a table's columns, else they are as wide as their words.
    """

    kind: Literal[
        "text",
        "bullets",
        "numbers",
        "cautions",
        "table",
        "pieces",
        "problems",
        "steps",
        "care",
        "operations",
        "key",
        "labels",
    ]
    heading: str
    lines: tuple[str, ...] = ()
    heads: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    entries: tuple[Entry, ...] = ()
    cards: tuple[Card, ...] = ()
    level: Literal[1, 2] = 1
    note: str = ""
    widths: tuple[int, ...] = ()
