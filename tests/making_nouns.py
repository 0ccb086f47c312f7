"""The nouns of cut cloth: an edge of one cloth, its corners, a seam as it is sewn once, a dart, a fold, a mark."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np

Data = dict[str, Any]


class Bit(NamedTuple):
    """One edge of one cloth."""

    piece: str
    cloth: int
    copy: str
    edge: str

    def __str__(self) -> str:
        return f"{'mirrored ' if self.copy == 'mirrored' else ''}{self.edge} of {self.piece}"


class Corner(NamedTuple):
    """Where two edges of a cloth meet; on the fold the two copies share it."""

    piece: str
    cloth: int
    copy: str
    at: int


class Walked(NamedTuple):
    """An edge and whether it is walked from its last point to its first."""

    bit: Bit
    turned: bool


class Points:
    """Corners that have become one (union-find)."""

    def __init__(self) -> None:
        self.above: dict[Any, Any] = {}

    def of(self, corner: Any) -> Any:
        while (above := self.above.get(corner, corner)) != corner:
            corner = above
        return corner

    def join(self, a: Any, b: Any) -> None:
        a, b = self.of(a), self.of(b)
        if a != b:
            self.above[a] = b

    def same(self, a: Any, b: Any) -> bool:
        return bool(self.of(a) == self.of(b))


@dataclass(frozen=True)
class EdgeFacts:
    length: float
    allowance: float
    finish: str
    fold: bool
    ends: tuple[Corner, Corner]
    run: np.ndarray = field(repr=False)


@dataclass(frozen=True)
class SeamRun:
    """One sewing of a seam: `number` counts its twins."""

    name: str
    number: int
    construction: str
    sides: tuple[tuple[Walked, ...], tuple[Walked, ...]]

    @property
    def bits(self) -> list[Bit]:
        return [each.bit for side in self.sides for each in side]


@dataclass(frozen=True)
class Dart:
    """Two legs from the edge to one point and back; `mouth` are the edges on either side of them."""

    legs: tuple[Bit, Bit]
    mouth: tuple[Bit, Bit]


@dataclass(frozen=True)
class Fold:
    """A fold line on one cloth. `crossed` are the edges it ends on between their corners: they are folded double."""

    piece: str
    cloth: int
    name: str
    copies: tuple[str, ...]
    line: np.ndarray = field(repr=False)
    crossed: tuple[Bit, ...] = ()


@dataclass(frozen=True)
class Place:
    """A mark on one cloth that a part is set to: on which fold lines and which edges it lies."""

    piece: str
    cloth: int
    copy: str
    name: str
    folds: tuple[str, ...]
    edges: tuple[Bit, ...]
