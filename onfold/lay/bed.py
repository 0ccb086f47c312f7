"""The cloth as it lies on the table: folded or opened out, and the bands of it that pieces may use.

x runs along the cloth, y across it, both in mm of the cloth after shrinking. Folded lengthwise, the fold lies at the
far side (greatest y) and both selvages on the near one, y = 0; with both edges brought to the middle there is a fold
at either side and the selvages meet halfway.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from onfold.cloth import Cloth, one_way

Fold = Literal["none", "lengthwise", "both edges to the middle", "crosswise"]
FOLDS: tuple[Fold, ...] = get_args(Fold)
SAID: dict[Fold, str] = {
    "none": "opened out",
    "lengthwise": "folded lengthwise",
    "both edges to the middle": "both edges folded to the middle",
    "crosswise": "folded crosswise",
}
Upward = Literal["right side", "wrong side"]


@dataclass(frozen=True)
class Band:
    """A stretch across the cloth as it lies that pieces may use, y `low` to `high`, with a fold along either side."""

    low: float
    high: float
    fold_low: bool = False
    fold_high: bool = False

    @property
    def room(self) -> float:
        """Return its width, mm."""
        return self.high - self.low


@dataclass(frozen=True)
class Bed:
    """One way of laying out a cloth. `width` is that of the shrunk cloth opened out, `high` its width as it lies.

    `upward` is the side that looks up from the top layer. `turned` is a cloth cut apart at a crosswise fold and its
    upper half turned end for end, so that a nap runs one way in both layers.
    """

    fold: Fold
    width: float
    high: float
    bands: tuple[Band, ...]
    layers: int
    upward: Upward
    one_way: bool = False
    turned: bool = False

    @property
    def times(self) -> int:
        """Return how many mm of cloth one mm as it lies takes up, along the cloth."""
        return 2 if self.fold == "crosswise" else 1


def shrunk(cloth: Cloth) -> float:
    """Return what is left of 1 mm across the cloth once it has shrunk, before it is cut."""
    return 1.0 - cloth.shrinkage_across


def bed_of(cloth: Cloth, fold: Fold) -> Bed | str:
    """Return the cloth laid out in this way, or in plain words why it may not be.

    Pile is laid in one layer, wrong side up (T186 [C]): in two, pile would grip pile. Cloth is folded right sides
    together. A crosswise fold turns one layer's nap round, so one-way cloth is cut apart there and turned [C].
    """
    width, selvage = cloth.width * shrunk(cloth), cloth.selvage * shrunk(cloth)
    pile = "pile" in cloth.surface
    if not width - 2.0 * selvage > 0.0:
        return "nothing is left of the cloth between its selvages"
    if cloth.repeat_across * shrunk(cloth) > width:
        return "its repeat across is wider than the cloth, so that no bar can be matched"
    if cloth.at_hand is not None and cloth.repeat_along > cloth.at_hand:
        return "its repeat along is longer than the cloth at hand, so that no bar can be matched"
    if fold == "none":
        up: Upward = "wrong side" if pile else "right side"
        tops = one_way(cloth) or has_repeat(cloth)
        return Bed(fold, width, width, (Band(selvage, width - selvage),), 1, up, tops)
    if pile:
        return "pile is laid in one layer: folded, pile grips pile and both layers creep"
    if has_repeat(cloth):
        return "a stripe or check is matched in one layer"
    half = width / 2.0
    if fold == "lengthwise":
        return Bed(fold, width, half, (Band(selvage, half, fold_high=True),), 2, "wrong side", one_way(cloth))
    if fold == "crosswise":
        turned = one_way(cloth)
        return Bed(fold, width, width, (Band(selvage, width - selvage),), 2, "wrong side", turned, turned)
    middle = half / 2.0
    if not middle - selvage > 0.0:
        return "nothing is left of the cloth between its selvages"
    bands = (Band(0.0, middle - selvage, fold_low=True), Band(middle + selvage, half, fold_high=True))
    return Bed(fold, width, half, bands, 2, "wrong side", one_way(cloth))


def has_repeat(cloth: Cloth) -> bool:
    """Return whether the cloth has a stripe or check to match."""
    return cloth.repeat_along > 0.0 or cloth.repeat_across > 0.0
