"""The noun of a job: one thing to do to a cut garment."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from onfold.making.assembly import Corner, Leaf, Link
from onfold.making.folds import Fold
from onfold.making.operation import OperationKind
from onfold.pattern import Mark, Opening, Run, Seam

Part = Literal[
    "dart",
    "seam",
    "tube",
    "part",
    "out",
    "strap",
    "facing",
    "band",
    "vent",
    "ends",
    "zip",
    "buttons",
    "tie",
    "hem",
    "edge",
]
"""What a job is about, where its kind of operation does not tell."""


@dataclass(frozen=True)
class Job:
    """One thing to do. `walks` are the chains of edges it goes along, all copies; `links` the corners it joins.

    `sides` are the same as runs, of one twin where `times` is 2. `finish` is the construction in the maker's words.
    """

    name: str
    kind: OperationKind
    part: Part
    pieces: tuple[str, ...]
    sides: tuple[tuple[Run, ...], ...] = ()
    walks: tuple[tuple[Leaf, ...], ...] = ()
    links: tuple[Link, ...] = ()
    times: int = 1
    finish: str = ""
    seam: Seam | None = None
    opening: Opening | None = None
    fold: Fold | None = None
    marks: tuple[Mark, ...] = ()

    def touches(self, piece: str) -> bool:
        """Return whether this piece is worked on."""
        return piece in self.pieces

    @property
    def leaves(self) -> frozenset[tuple[str, str, str]]:
        """Return the edges it works on."""
        return frozenset(each.key for walk in self.walks for each in walk)

    @property
    def corners(self) -> frozenset[Corner]:
        """Return the corners its edges run between."""
        return frozenset(corner for walk in self.walks for each in walk for corner in (each.a, each.b))
