"""The nouns of a finished draft: pieces, edges, seams, marks. Millimetres, Y up, outlines anticlockwise.

A piece cut on the fold gives its half, the fold on x = 0 and x >= 0. Nothing here computes a garment.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from onfold.body.taken import Taken
from onfold.geometry.path import Path
from onfold.problems import Problem

Point = tuple[float, float]


@dataclass(frozen=True, eq=False)
class Edge:
    """A named stretch of a piece's seam line.

    A leaf that came of a cut has the root it was cut from as `parent` (`hem.1` of `hem`); dart legs have none.
    `allowance` is mm, 0 on a fold; `finish` is its construction in the maker's words.
    On the sides of a facing cut in one it is already short for the turn of the cloth.
    """

    name: str
    path: Path
    parent: str | None = None
    fold: bool = False
    allowance: float = 0.0
    finish: str = ""
    corner: Literal["square", "mitred", "mirrored"] = "mitred"

    @property
    def root(self) -> str:
        """Return the name recipes use: the parent's, or its own."""
        return self.parent or self.name


@dataclass(frozen=True)
class Notch:
    """A balance mark `along` mm from the first point of the edge, anticlockwise.

    A `dart` one stands at the leg of a dart and meets that dart's other leg; the others meet the seam's partner.
    """

    edge: str
    along: float
    at: Point
    kind: Literal["single", "double", "dart"] = "single"


@dataclass(frozen=True)
class Mark:
    """A point to be marked on the cloth: `strap`, `dart point`, `bust point`."""

    kind: str
    name: str
    at: Point


@dataclass(frozen=True, eq=False)
class Inner:
    """A line inside the outline: `fold line`, `level`, `dart fold`."""

    kind: str
    name: str
    path: Path


@dataclass(frozen=True)
class Grain:
    """The grain line, `kind` straight, cross or bias; on the cloth it may lie up to `tilt` degrees off the thread."""

    kind: Literal["straight", "cross", "bias"]
    start: Point
    end: Point
    tilt: float = 0.0


@dataclass(frozen=True, eq=False)
class Piece:
    """One piece of the pattern. `cut` counts pieces of cloth; `cut_line` is a closed ring (n, 2), mm, or None."""

    name: str
    edges: tuple[Edge, ...]
    on_fold: bool = False
    cut: int = 0
    mirrored_pair: bool = False
    material: str = "main"
    grain: Grain | None = None
    notches: tuple[Notch, ...] = ()
    marks: tuple[Mark, ...] = ()
    inner: tuple[Inner, ...] = ()
    cut_line: NDArray[np.float64] | None = None
    label: str = ""


@dataclass(frozen=True)
class Run:
    """One edge (or a root, meaning its leaves in order) on one side of a seam."""

    piece: str
    edge: str
    copy: Literal["drawn", "mirrored"] = "drawn"
    reversed: bool = False


@dataclass(frozen=True)
class Seam:
    """Two runs of edges sewn together.

    `ease` mm is how much longer the first side is on purpose; `twice`: the mirror twin is sewn too.
    `construction` is its kind (`french`), `finish` the whole of it in the maker's words.
    """

    name: str
    construction: str
    sides: tuple[tuple[Run, ...], tuple[Run, ...]]
    ease: float = 0.0
    twice: bool = False
    finish: str = ""


@dataclass(frozen=True)
class Level:
    """A level of the garment: body and finished girth mm. `share` is the part of the stretch it was taken in by.

    `across` are the pieces whose width at this level makes the girth, each with how often it goes round
    (a half on the fold counts 2).
    """

    name: str
    body: float
    finished: float
    measure: str = ""
    share: float = 0.0
    asked_share: float = 0.0
    across: tuple[tuple[str, float], ...] = ()

    @property
    def wearing_stretch(self) -> float:
        """Return how far the cloth is stretched when worn: body / finished - 1, never below 0."""
        return max(0.0, self.body / self.finished - 1.0) if self.finished > 0 else 0.0


@dataclass(frozen=True)
class Opening:
    """A place where the garment opens: its edges as `EDGE of PIECE`, length mm, how it closes."""

    name: str
    edges: tuple[str, ...]
    length: float
    closes: Literal["zip", "buttons", "tie", "none"]


@dataclass(frozen=True)
class Fact:
    """A figure of a step that checks and sheets speak of: `cowl fall`, `total turn`. mm, degrees or a share."""

    name: str
    value: float
    unit: Literal["mm", "degrees", "share", "count"] = "mm"


@dataclass(frozen=True, eq=False)
class Pattern:
    """A finished draft: what every reader reads. `notes` are the figure notes it was drafted for, mm by name."""

    recipe: str
    title: str
    wearer: str
    pieces: tuple[Piece, ...]
    seams: tuple[Seam, ...] = ()
    levels: dict[str, Level] = field(default_factory=dict)
    measures: dict[str, Taken] = field(default_factory=dict)
    openings: tuple[Opening, ...] = ()
    worn: Literal["closed", "wrap", "cape", "bag"] = "closed"
    facts: dict[str, Fact] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    notes: dict[str, float] = field(default_factory=dict)

    def piece(self, name: str) -> Piece | None:
        """Return the piece of this name, or None."""
        return next((piece for piece in self.pieces if piece.name == name), None)


def edges_of(piece: Piece, name: str) -> tuple[Edge, ...]:
    """Return the edge of this name, or the leaves of this root in their order round the piece; empty if none."""
    own = tuple(edge for edge in piece.edges if edge.name == name)
    return own or tuple(edge for edge in piece.edges if edge.parent == name)


def sewn_to_itself(seam: Seam) -> str:
    """Return the piece that a seam closes into a tube, folded edge to edge; '' where it joins two or twins."""
    runs = [run for side in seam.sides for run in side]
    alone = len({run.piece for run in runs}) == 1 and all(run.copy == "drawn" for run in runs)
    return runs[0].piece if alone else ""
