"""Made-up parts and beds for the tests of lays, and the parts of the choir's own garments."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from drafting import example, unchecked

from onfold.cloth import Nap, settle
from onfold.lay.bed import Bed, Fold, bed_of
from onfold.lay.part import Part, Ring, parts_for
from onfold.pattern import Grain, Piece

SHEATH, SKIRT = "alto-1-sheath", "alto-5-skirt"


def rectangle(across: float, along: float) -> Ring:
    """A closed ring, mm: `across` the cloth and `along` it where it lies at turn 0, its corner at the origin."""
    return np.array([(0.0, 0.0), (across, 0.0), (across, along), (0.0, along), (0.0, 0.0)])


def triangle(across: float, along: float) -> Ring:
    """A right-angled triangle."""
    return np.array([(0.0, 0.0), (across, 0.0), (0.0, along), (0.0, 0.0)])


def angle(across: float, along: float, arm: float) -> Ring:
    """An L with arms so broad."""
    return np.array([(0.0, 0.0), (across, 0.0), (across, arm), (arm, arm), (arm, along), (0.0, along), (0.0, 0.0)])


def bowl(across: float, along: float, wall: float) -> Ring:
    """A U, open to the top, with walls and floor so thick."""
    inner = across - wall
    return np.array(
        [
            (0.0, 0.0),
            (across, 0.0),
            (across, along),
            (inner, along),
            (inner, wall),
            (wall, wall),
            (wall, along),
            (0.0, along),
            (0.0, 0.0),
        ]
    )


def star(radii: Sequence[float]) -> Ring:
    """A ring round the origin with these radii, mm, at even angles."""
    turns = np.linspace(0.0, 2.0 * np.pi, len(radii), endpoint=False)
    ring = np.array(radii)[:, None] * np.stack([np.cos(turns), np.sin(turns)], axis=1)
    return np.concatenate([ring, ring[:1]])


def half_star(radii: Sequence[float]) -> Ring:
    """A ring right of a fold on x = 0, with these radii, mm, at even angles from bottom to top."""
    turns = np.linspace(-0.5 * np.pi, 0.5 * np.pi, len(radii))
    ring = np.array(radii)[:, None] * np.stack([np.cos(turns), np.sin(turns)], axis=1)
    ring[[0, -1], 0] = 0.0
    return np.concatenate([ring, ring[:1]])


def moved(ring: Ring, x: float, y: float) -> Ring:
    """The ring, elsewhere."""
    return ring + np.array((x, y))


def piece_of(ring: Ring, name: str = "piece", cut: int = 1, *, pair: bool = False, on_fold: bool = False) -> Piece:
    """A piece that is nothing but its cut line, its grain straight up."""
    return Piece(
        name=name,
        edges=(),
        cut=cut,
        grain=Grain("straight", (0.0, 0.0), (0.0, 1.0)),
        mirrored_pair=pair,
        on_fold=on_fold,
        cut_line=ring,
    )


def bed(fold: Fold = "none", width: float = 1000.0, nap: Nap = "none", selvage: float = 0.0) -> Bed:
    """A bed of a woven cloth, mm, that may be laid out so."""
    made = bed_of(settle("woven", width, selvage=selvage, nap=nap), fold)
    assert isinstance(made, Bed), made
    return made


def parts_of(on: Bed, *pieces: Piece) -> list[Part]:
    return parts_for(on, [("", pieces)])


def rectangles(on: Bed, sizes: Sequence[tuple[float, float]]) -> list[Part]:
    """Rectangles (across, along) cut once each, in one layer or through both."""
    cut = 1 if on.layers == 1 else 2
    return parts_of(on, *(piece_of(rectangle(*size), f"piece {k}", cut) for k, size in enumerate(sizes)))


@lru_cache
def pieces_of(name: str) -> tuple[Piece, ...]:
    """The pieces of one of the choir's tickets."""
    return tuple(unchecked(example(name)).pattern.pieces)


def garment(on: Bed, *names: str) -> list[Part]:
    """The parts of some of the choir's tickets."""
    return parts_for(on, [(name, pieces_of(name)) for name in names])
