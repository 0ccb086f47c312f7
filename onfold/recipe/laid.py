"""What lies on the bench beside the pattern's own nouns: a piece as begun, how often it is cut, what is asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class PieceStart:
    """A piece as begun: the name of its fold or centre line, and whether cloth is folded there."""

    name: str
    centre: str
    on_fold: bool
    whole: bool = False


@dataclass(frozen=True)
class CutOut:
    """How many of a piece are cut, whether as mirrored pairs, and of what."""

    pieces: int
    pair: bool
    material: str


@dataclass(frozen=True)
class NotchAsked:
    """A balance mark asked for on an edge, `along` mm from its first point."""

    edge: str
    along: float
    kind: str


@dataclass(frozen=True)
class NotchSpot:
    """A balance mark asked for on an edge, at t of its curve `number`; the tape is laid once all are asked for."""

    edge: str
    number: int
    t: float
    kind: str


@dataclass(frozen=True)
class GrainAsked:
    """A grain line asked for: it runs down the piece or along it, as that stands in the end."""

    kind: Literal["straight", "cross", "bias"]
    way: Literal["down", "along"]
    tilt: float = 0.0
