"""The order in which pieces are laid, and what one measures at the table to set each of them right.

Lengths are measured from the squared end of the cloth, x = 0, across it from the fold or selvage nearest to a piece.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np

from onfold.lay.bed import Bed
from onfold.lay.part import Ring
from onfold.lay.placed import Lay, Placed
from onfold.units import plain

_TOUCHING = 0.5
"""mm: pieces that begin nearer together than this begin together, the nearer to the maker first."""
_LEVEL = 1e-6
_LONGEST = 24
"""Letters of a wearer's name that stand before a piece's."""


@dataclass(frozen=True)
class Side:
    """A line along the cloth to measure from: a fold, or a selvage."""

    name: str
    y: float


@dataclass(frozen=True, eq=False)
class Spot:
    """A piece in its turn. `foot` and `head` are its grain line's ends on the cloth, None where it has none.

    `across` are the distances of foot and head from `side`, `along` those from the end of the cloth, `nearest` that of
    the piece's nearest point, all mm. `index` is its place in `Lay.placed`, `of` how many placings there are of it.
    `called` is its name, with whose it is before it where several wearers' pieces lie together.
    """

    called: str
    number: int
    index: int
    placed: Placed
    ring: Ring
    of: int
    side: Side
    foot: tuple[float, float] | None
    head: tuple[float, float] | None
    across: tuple[float, float]
    along: tuple[float, float]
    nearest: float

    @property
    def name(self) -> str:
        """Return what it is called, with which of several it is: `pocket, 1 of 2`."""
        count = f", {self.placed.part.copy} of {self.of}" if self.of > 1 else ""
        return self.called + count

    @property
    def turned_over(self) -> bool:
        """Return whether its printed face lies down."""
        return self.placed.way.face == "down"

    @property
    def lies(self) -> str:
        """Return how its grain lies: `straight`, `turned end for end`, `across` or `bias`."""
        top = self.placed.way.top
        if abs(top[1]) < _LEVEL:
            return "straight" if top[0] > 0.0 else "turned end for end"
        return "across" if abs(top[0]) < _LEVEL else "bias"


def sides_of(bed: Bed, band: int) -> tuple[Side, Side]:
    """Return the lines on the near and the far side of a band of the cloth."""
    if bed.fold == "lengthwise":
        return Side("selvages", 0.0), Side("fold", bed.high)
    if bed.fold == "both edges to the middle":
        middle = Side("selvages", bed.high / 2.0)
        return (Side("near fold", 0.0), middle) if band == 0 else (middle, Side("far fold", bed.high))
    many = "s" if bed.layers > 1 else ""
    return Side(f"near selvage{many}", 0.0), Side(f"far selvage{many}", bed.high)


def cut_singly(lay: Lay, each: Placed) -> bool:
    """Return whether only the upper of two layers is cut through."""
    return lay.bed.layers > 1 and each.part.layers == 1


def spots_of(lay: Lay) -> tuple[Spot, ...]:
    """Return the pieces in the order they are laid: those on a fold first, then from the end of the cloth on.

    What lies on the fold needs the cloth folded and its whole length free [C].
    """
    count = Counter((each.part.whose, each.part.piece) for each in lay.placed)

    def rank(index: int) -> tuple[bool, float, float, int]:
        low = lay.rings[index].min(axis=0)
        return not lay.placed[index].part.on_fold, round(float(low[0]) / _TOUCHING), float(low[1]), index

    several = len({each.part.whose for each in lay.placed}) > 1
    found = []
    for number, index in enumerate(sorted(range(len(lay.placed)), key=rank), start=1):
        each = lay.placed[index]
        whose = f"{plain(each.part.whose, _LONGEST)}: " if several and each.part.whose else ""
        called = whose + plain(each.part.piece)
        found.append(_spot(lay, called, number, index, count[each.part.whose, each.part.piece]))
    return tuple(found)


def _spot(lay: Lay, called: str, number: int, index: int, of: int) -> Spot:
    each, ring = lay.placed[index], lay.rings[index]
    grain = each.part.source.grain
    low, high = sides_of(lay.bed, each.band)
    nearest = float(ring[:, 0].min())
    if grain is None or grain.start == grain.end:
        reach = float(ring[:, 1].min()) - low.y, high.y - float(ring[:, 1].max())
        side, away = (low, reach[0]) if reach[0] <= reach[1] else (high, reach[1])
        return Spot(called, number, index, each, ring, of, side, None, None, (away, away), (nearest, nearest), nearest)
    ends = np.array((grain.start, grain.end)) @ each.way.matrix.T + (each.x, each.y)
    middle = float(ends[:, 1].mean())
    side = low if abs(middle - low.y) <= abs(high.y - middle) else high
    if each.part.on_fold:
        side = high if lay.bed.bands[each.band].fold_high else low
    (ax, ay), (bx, by) = ends.tolist()
    return Spot(
        called,
        number,
        index,
        each,
        ring,
        of,
        side,
        (ax, ay),
        (bx, by),
        (abs(ay - side.y), abs(by - side.y)),
        (ax, bx),
        nearest,
    )
