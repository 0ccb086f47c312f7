"""What a check is given, and how it speaks: one garment drawn, its cloth, its body, the maker's units."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from onfold.body.taken import Taken
from onfold.cloth import Cloth, turned
from onfold.construction import Finish, FinishFault, read_finish
from onfold.geometry.path import flatten_all, lengths_of
from onfold.pattern import Edge, Pattern, Piece, Run, Seam, edges_of
from onfold.problems import Place
from onfold.units import System, say_length

Figure = Literal["woman", "man", "child"]
Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Subject:
    """A garment to be checked. `body` holds every measure known or estimated, used or not, for checks that ask more.

    What several checks measure is measured once.
    """

    pattern: Pattern
    cloth: Cloth
    units: System = "cm"
    figure: Figure = "woman"
    body: Mapping[str, Taken] = field(default_factory=dict)

    @cached_property
    def lengths(self) -> dict[tuple[str, str], float]:
        """Length by the tape of every edge, mm, by (piece, edge), measured in one batch."""
        keys = [(piece.name, edge.name) for piece in self.pattern.pieces for edge in piece.edges]
        paths = [edge.path for piece in self.pattern.pieces for edge in piece.edges]
        return dict(zip(keys, lengths_of(paths).tolist(), strict=True))

    @cached_property
    def strokes(self) -> dict[tuple[str, str], Floats]:
        """Every edge as points (m, 2) within 0.02 mm of it, by (piece, edge), flattened in one batch."""
        keys = [(piece.name, edge.name) for piece in self.pattern.pieces for edge in piece.edges]
        paths = [edge.path for piece in self.pattern.pieces for edge in piece.edges]
        return dict(zip(keys, flatten_all(paths), strict=True))

    @cached_property
    def seam_of(self) -> dict[tuple[str, str], Seam]:
        """The seam that each edge is sewn in, by (piece, edge leaf); of several, the last."""
        return {
            (run.piece, edge.name): seam
            for seam in self.pattern.seams
            for run in (*seam.sides[0], *seam.sides[1])
            for edge in run_edges(self, run)
        }

    @cached_property
    def round_cloth(self) -> Cloth:
        """The cloth as it runs round the body: turned where every piece that goes round is cut crosswise."""
        round_names = {name for level in self.pattern.levels.values() for name, _ in level.across}
        grains = [piece.grain for piece in self.pattern.pieces if piece.name in round_names and piece.grain]
        return turned(self.cloth) if grains and all(grain.kind == "cross" for grain in grains) else self.cloth

    def untaped(self, name: str) -> str:
        """Return ` (not taped)` to stand behind a measure that was estimated, else ''."""
        taken = self.body.get(name)
        return " (not taped)" if taken is not None and taken.estimated else ""

    def say(self, mm: float) -> str:
        """Return a length in the maker's units."""
        return say_length(mm, self.units)

    def say_fine(self, mm: float) -> str:
        """Return a small length as it is said at the machine: to the tenth of a mm, or to 1/32 in."""
        return say_length(mm, "in", 32) if self.units == "in" else f"{round(mm, 1):g} mm"

    def say_up(self, mm: float) -> str:
        """Return a length rounded up to the next mm or 1/8 in, so that what it says is enough."""
        step = 25.4 / 8.0 if self.units == "in" else 1.0
        return say_length(math.ceil(round(mm / step, 6)) * step, self.units)

    def say_down(self, mm: float) -> str:
        """Return a length rounded down to the mm or 1/8 in, so that what it says is not too much."""
        step = 25.4 / 8.0 if self.units == "in" else 1.0
        return say_length(math.floor(round(mm / step, 6)) * step, self.units)


def measure(subject: Subject, name: str) -> float | None:
    """Return a measure of the body, mm, or None where neither tape nor estimate gives it."""
    taken = subject.pattern.measures.get(name) or subject.body.get(name)
    return taken.value if taken else None


def fact(subject: Subject, name: str) -> float | None:
    """Return a figure that a step left for the checks, or None where no step did."""
    found = subject.pattern.facts.get(name)
    return found.value if found else None


def run_edges(subject: Subject, run: Run) -> tuple[Edge, ...]:
    """Return the edges of a run in their order round the piece; empty where the piece or edge is not drawn."""
    piece = subject.pattern.piece(run.piece)
    return edges_of(piece, run.edge) if piece else ()


def run_length(subject: Subject, run: Run) -> float:
    """Return the length of a run by the tape, mm; 0 where it is not drawn."""
    return sum(subject.lengths[run.piece, edge.name] for edge in run_edges(subject, run))


def finish_text(subject: Subject, piece: Piece, edge: Edge) -> str:
    """Return how an edge is sewn, in the maker's words: its own finish, else its seam's; empty where none is said."""
    if edge.finish:
        return edge.finish
    seam = subject.seam_of.get((piece.name, edge.name))
    return seam.finish if seam else ""


def finish_of(subject: Subject, piece: Piece, edge: Edge) -> Finish | None:
    """Return how an edge is sewn, or None where nothing is said or it cannot be read."""
    return read(finish_text(subject, piece, edge), subject.cloth)


@lru_cache(maxsize=1024)
def read(text: str, cloth: Cloth) -> Finish | None:
    """Return a finish read for this cloth, or None where the text is empty, a dart's, or cannot be read."""
    if not text or text == "dart":
        return None
    found = read_finish(text, cloth)
    return None if isinstance(found, FinishFault) else found


def every_edge(subject: Subject) -> Iterator[tuple[Piece, Edge]]:
    """Yield each edge of the pattern with its piece."""
    for piece in subject.pattern.pieces:
        for edge in piece.edges:
            yield piece, edge


def on_piece(name: str) -> Place:
    """Return the place of a problem that stands on one piece."""
    return Place(piece=name)


def offer_finish(key: str, text: str) -> str:
    """Return a finish as it is written in a ticket, quoted where its parts are parted by commas."""
    return f"finish: {{{key}: '{text}'}}" if "," in text else f"finish: {{{key}: {text}}}"


def finish_key(subject: Subject, piece: Piece, edge: Edge) -> str:
    """Return the key under which a ticket's `finish` names this edge: its seam, else its root name."""
    seam = subject.seam_of.get((piece.name, edge.name))
    return seam.name if seam else edge.root
