"""The traits of a cloth that decide how it is worked: heavy or light, stretchy, dense, or not to be marked at all."""

from __future__ import annotations

from typing import Literal

from onfold.cloth import Cloth

WeightClass = Literal["light", "medium", "heavy"]

LIGHT_TO, HEAVY_FROM = 150.0, 350.0  # g/m2: light 30-150, medium 150-350, heavy over 350 (T117 [C])
STRETCHES_FROM = 0.15  # share of stretch from which a cloth is worked as stretch cloth (T174 [C])
DENSE_FROM = 450.0  # kg/m3 of a woven from which a needle's point must cut its way [C]
THICK_FROM = 1.0  # mm from which a seam's layers want grading and a long stitch [C]
LEATHERS = frozenset({"leather", "suede"})


def weight_class(cloth: Cloth) -> WeightClass:
    """Return whether the cloth is light, medium or heavy, by its weight (T117 [C])."""
    if cloth.weight < LIGHT_TO:
        return "light"
    return "medium" if cloth.weight <= HEAVY_FROM else "heavy"


def is_pile(cloth: Cloth) -> bool:
    """Return whether the cloth has a pile: no iron rests on it."""
    return "pile" in cloth.surface


def is_coated(cloth: Cloth) -> bool:
    """Return whether the cloth is coated: every hole of pin or needle stays."""
    return "coated" in cloth.surface


def is_sheer(cloth: Cloth) -> bool:
    """Return whether the cloth can be seen through."""
    return "sheer" in cloth.surface


def is_slippery(cloth: Cloth) -> bool:
    """Return whether the cloth slides on itself and on the table."""
    return "slippery" in cloth.surface


def creeps(cloth: Cloth) -> bool:
    """Return whether the upper layer creeps under a plain presser foot: pile, slippery or coated cloth."""
    return is_pile(cloth) or is_slippery(cloth) or is_coated(cloth)


def stretches(cloth: Cloth) -> bool:
    """Return whether the cloth is worked as stretch cloth. A knit whose stretch is not given counts as one."""
    unknown = cloth.kind == "knit" and not cloth.stretch_given
    return unknown or max(cloth.stretch_across, cloth.stretch_along) >= STRETCHES_FROM


def is_dense(cloth: Cloth) -> bool:
    """Return whether a woven is packed so close that the needle must cut its way: its weight over its thickness.

    False where weight or thickness is a guess: a guessed pair says nothing of how close the threads lie.
    """
    if cloth.kind != "woven" or not cloth.thickness > 0.0 or {"weight", "thickness"} & set(cloth.guessed):
        return False
    return cloth.weight / cloth.thickness >= DENSE_FROM


def is_thick(cloth: Cloth) -> bool:
    """Return whether the cloth is heavy or thick, so that its layers build up in a seam."""
    return weight_class(cloth) == "heavy" or cloth.thickness >= THICK_FROM


def is_leather(cloth: Cloth) -> bool:
    """Return whether the cloth is leather: the only one that a wedge point may cut."""
    return any(name.strip().lower() in LEATHERS for name, _ in cloth.fibre)
