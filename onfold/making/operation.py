"""The nouns of making up: operations, the acts they are done in, and what must stand before what.

An operation is one entry of the guide (`side seam`, `hem`); its acts are what the hands do, in order. Lengths are mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from onfold.pattern import Run

OperationKind = Literal[
    "trial",  # on a scrap, before anything that cannot be undone
    "prepare",  # wash, relax, press, square the cloth
    "cut",
    "unpick",  # a made garment's seam, band or hem is opened to be altered
    "mark",  # notches, tacks and chalk carried onto the cloth, pieces labelled
    "stay",  # an edge held by tape, stitching or interfacing before it is handled
    "dart",
    "sew",  # a seam of the pattern; its acts may hold several rows
    "fasten",  # an opening gets its zip, buttons or ties
    "finish",  # a raw edge in no seam is hemmed, faced, bound or neatened
    "turn",  # a tube or a part closed on three sides is turned right side out
    "fold",  # a facing cut in one, or a band, is turned to the inside along its fold line and held
    "attach",  # a made-up part (a strap) is set to its marks
    "tack",  # seams that shape the garment are held for the try-on
    "try on",
    "hang",
    "level",  # the hem is marked from the floor on the wearer
    "press",  # the last pressing
]

ActKind = Literal[
    "sew",
    "tack",
    "untack",
    "unpick",
    "pin",
    "trim",
    "clip",
    "cut",
    "cut inlay",
    "buttonhole",
    "press",
    "steam",
    "turn",
    "fold",
    "mark",
    "neaten",
    "hand sew",
    "try on",
    "test",
    "hang",
    "wash",
    "rest",
]

NO_WAY_BACK: frozenset[ActKind] = frozenset({"trim", "clip", "cut", "cut inlay", "buttonhole"})
"""Acts that cannot be undone: none stands before its scrap trial or try-on."""


@dataclass(frozen=True)
class SewnRow:
    """One row of stitches of an operation: `length` mm of sewing, all its repeats together, through `layers` of cloth.

    `from_raw` is mm from the raw edge as it was cut, `from_net` mm outward from the seam line.
    """

    stitch: str
    length: float
    from_raw: float
    from_net: float = 0.0
    layers: int = 2


@dataclass(frozen=True)
class Act:
    """One thing the hands do. `says` is a whole sentence in the maker's units; `row` where it is sewn."""

    kind: ActKind
    says: str
    row: SewnRow | None = None

    @property
    def no_way_back(self) -> bool:
        """Return whether it cannot be undone."""
        return self.kind in NO_WAY_BACK


@dataclass(frozen=True)
class Operation:
    """One entry of the guide.

    `sides` are the runs of edges it works on: two for a seam, one for an edge that is finished. `times` is 2 where
    the mirror twin, or the second of two parts alike, is done in the same way. `state` says whether the edges lie
    flat or close to a round when it is done. `tried` names the operations that had to stand before what here cannot
    be undone. `why` is the reason of its place.
    """

    name: str
    kind: OperationKind
    acts: tuple[Act, ...]
    seam: str = ""
    sides: tuple[tuple[Run, ...], ...] = ()
    pieces: tuple[str, ...] = ()
    times: int = 1
    state: Literal["flat", "round", ""] = ""
    tried: tuple[str, ...] = ()
    why: str = ""


@dataclass(frozen=True)
class Before:
    """`first` stands before `then`. `must`: the construction demands it; otherwise it is easier or neater so.

    `reason` is told of `then`; `ahead` of `first`, where the same words would not say why it stands where it does.
    """

    first: str
    then: str
    reason: str
    must: bool = True
    ahead: str = ""


@dataclass(frozen=True)
class OtherOrder:
    """Where two orders are sound: which operation could also be done otherwise, which was taken, and why."""

    operation: str
    taken: str
    other: str
    why: str


@dataclass(frozen=True)
class MakingUp:
    """The operations in their order, all that decided it, and where another order would be sound too.

    `left_out` says, in whole sentences, what could not be put in an order: a pattern with a fault in it.
    """

    operations: tuple[Operation, ...]
    before: tuple[Before, ...] = ()
    others: tuple[OtherOrder, ...] = ()
    left_out: tuple[str, ...] = ()

    def operation(self, name: str) -> Operation | None:
        """Return the operation of this name, or None."""
        return next((each for each in self.operations if each.name == name), None)
