"""What a cloth is to a cutter: width, stretch, nap, weight, thickness, and what follows from them.

Lengths are mm, shares fractions (40 % is 0.4), weight g/m2. What a maker does not state is filled from `USUAL`
and named in `Cloth.guessed`, so that every output can say so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal, get_args

from onfold.units import say_length, say_share

ClothKind = Literal["knit", "woven"]
Nap = Literal["none", "up", "down"]
SystemOfUnits = Literal["in", "cm"]

KINDS: tuple[ClothKind, ...] = get_args(ClothKind)
NAPS: tuple[Nap, ...] = get_args(Nap)
SURFACES: tuple[str, ...] = ("pile", "slippery", "sheer", "coated")
FORMULA_NAMES: tuple[str, ...] = ("crosswise stretch", "lengthwise stretch", "cloth thickness", "cloth width")


@dataclass(frozen=True)
class Usual:
    """What is taken of a kind of cloth where the ticket does not say.

    `bulk` is how heavy a cubic metre of it is, kg/m3, from which thickness follows: weight / bulk.
    """

    selvage: float
    recovery: float
    weight: float
    bulk: float


# A selvage of 1 cm is common practice [C]. Recovery, weight and bulk are from memory [M]: they only ever stand in for
# figures the maker can state, and each use is named in `Cloth.guessed`.
USUAL: Mapping[ClothKind, Usual] = {
    "woven": Usual(selvage=10.0, recovery=0.98, weight=180.0, bulk=350.0),
    "knit": Usual(selvage=10.0, recovery=0.90, weight=220.0, bulk=280.0),
}
PILE_BULK = 200.0  # kg/m3, pile stands up from its ground [M]
COMFORT = 0.5  # the share of its stretch a cloth is worn at in comfort [C]


@dataclass(frozen=True)
class Flaw:
    """A hole, stain or missing corner, as a measured rectangle: its least corner and its size, mm.

    `along` is measured from the end of the cloth that is cut first, `across` from the selvage nearest the cutter.
    """

    along: float
    across: float
    long: float
    wide: float


@dataclass(frozen=True)
class Hung:
    """What a garment in this cloth showed when it hung, mm: the `fall` seen, and the one `reckoned` for it.

    `reckoned` is the fall with `bending_length`, the length that came nearest to what was seen; None stands for the one
    that the cloth has without it. Later falls are forecast times fall over reckoned: what bending does not explain.
    """

    fall: float
    reckoned: float
    bending_length: float | None = None


@dataclass(frozen=True)
class Cloth:
    """One cloth as it lies on the table. `stretch_given` and `guessed` say what the maker did not state.

    `fibre` holds (name, share) pairs as written; `price` is for one metre, in the ticket's currency.
    `at_hand` is the length there is, mm, where it is bought already, with the `flaws` to keep off.
    `bending_along` and `bending_across` are bending lengths in Peirce's sense, mm, of strips cut along and across:
    about half of what hangs out over a table's edge when its tip has dropped 41.5 degrees (ASTM D1388, option A [S]);
    None where they are not measured. `hung` is what a garment in it showed.
    """

    name: str
    kind: ClothKind
    width: float
    selvage: float = 10.0
    stretch_across: float = 0.0
    stretch_along: float = 0.0
    stretch_given: bool = False
    recovery: float = 1.0
    nap: Nap = "none"
    surface: tuple[str, ...] = ()
    fibre: tuple[tuple[str, float], ...] = ()
    washed_first: bool = False
    repeat_along: float = 0.0
    repeat_across: float = 0.0
    weight: float = 180.0
    thickness: float = 0.5
    shrinkage_along: float = 0.0
    shrinkage_across: float = 0.0
    price: float | None = None
    at_hand: float | None = None
    flaws: tuple[Flaw, ...] = ()
    guessed: tuple[str, ...] = ()
    bending_along: float | None = None
    bending_across: float | None = None
    hung: Hung | None = None


def settle(
    kind: ClothKind,
    width: float,
    *,
    name: str = "",
    selvage: float | None = None,
    stretch_across: float | None = None,
    stretch_along: float | None = None,
    recovery: float | None = None,
    nap: Nap = "none",
    surface: tuple[str, ...] = (),
    fibre: tuple[tuple[str, float], ...] = (),
    washed_first: bool = False,
    repeat_along: float = 0.0,
    repeat_across: float = 0.0,
    weight: float | None = None,
    thickness: float | None = None,
    shrinkage_along: float | None = None,
    shrinkage_across: float | None = None,
    price: float | None = None,
    at_hand: float | None = None,
    flaws: tuple[Flaw, ...] = (),
    bending_along: float | None = None,
    bending_across: float | None = None,
    hung: Hung | None = None,
) -> Cloth:
    """Return the cloth with every unstated figure filled from `USUAL` and named in `guessed`.

    Stretch is 0 where unstated, in a woven and in a knit alike; `stretch_given` tells them apart. Stated in one
    direction only, the other is taken as 0. Thickness follows from weight and kind (see `guess_thickness`). Bending
    lengths are not filled: a draft needs none, and the hang guesses its own.
    """
    usual = USUAL[kind]
    stated = {
        "selvage": selvage,
        "recovery": recovery,
        "weight": weight,
        "thickness": thickness,
        "shrinkage": shrinkage_along if shrinkage_along is not None else shrinkage_across,
    }
    weight = usual.weight if weight is None else weight
    return Cloth(
        name=name or f"{kind} cloth",
        kind=kind,
        width=width,
        selvage=usual.selvage if selvage is None else selvage,
        stretch_across=stretch_across or 0.0,
        stretch_along=stretch_along or 0.0,
        stretch_given=stretch_across is not None or stretch_along is not None,
        recovery=usual.recovery if recovery is None else recovery,
        nap=nap,
        surface=surface,
        fibre=fibre,
        washed_first=washed_first,
        repeat_along=repeat_along,
        repeat_across=repeat_across,
        weight=weight,
        thickness=guess_thickness(kind, weight, surface) if thickness is None else thickness,
        shrinkage_along=shrinkage_along or 0.0,
        shrinkage_across=shrinkage_across or 0.0,
        price=price,
        at_hand=at_hand,
        flaws=flaws,
        guessed=tuple(field for field, value in stated.items() if value is None),
        bending_along=bending_along,
        bending_across=bending_across,
        hung=hung,
    )


def guess_thickness(kind: ClothKind, weight: float, surface: tuple[str, ...] = ()) -> float:
    """Return the likely thickness, mm, of a cloth of this weight (g/m2): weight over bulk, to 0.05 mm [M]."""
    bulk = PILE_BULK if "pile" in surface else USUAL[kind].bulk
    return max(0.1, round(weight / bulk * 20) / 20)


def values(cloth: Cloth) -> dict[str, float]:
    """Return the cloth's figures by their formula names: shares as fractions, lengths in mm."""
    return {
        "crosswise stretch": cloth.stretch_across,
        "lengthwise stretch": cloth.stretch_along,
        "cloth thickness": cloth.thickness,
        "cloth width": cloth.width,
    }


def usable_width(cloth: Cloth) -> float:
    """Return the width between the selvages, mm, never below 0."""
    return max(0.0, cloth.width - 2.0 * cloth.selvage)


def comfort_across(cloth: Cloth) -> float:
    """Return the stretch across the cloth that is worn in comfort, a share: half of all it has [C]."""
    return COMFORT * cloth.stretch_across


def comfort_along(cloth: Cloth) -> float:
    """Return the stretch along the cloth that is worn in comfort, a share: half of all it has [C]."""
    return COMFORT * cloth.stretch_along


def turned(cloth: Cloth) -> Cloth:
    """Return the cloth as if cut crosswise: what ran across now runs along, and the other way round."""
    return replace(
        cloth,
        stretch_across=cloth.stretch_along,
        stretch_along=cloth.stretch_across,
        repeat_across=cloth.repeat_along,
        repeat_along=cloth.repeat_across,
        shrinkage_across=cloth.shrinkage_along,
        shrinkage_along=cloth.shrinkage_across,
        bending_across=cloth.bending_along,
        bending_along=cloth.bending_across,
    )


def one_way(cloth: Cloth) -> bool:
    """Return whether all pieces must lie with their tops to one end: a nap, or pile whose way is not said."""
    return cloth.nap != "none" or "pile" in cloth.surface


def in_one_layer(cloth: Cloth) -> bool:
    """Return whether the cloth is cut in one layer only, every piece whole: pile, and a stripe or check (T186 [C])."""
    return "pile" in cloth.surface or cloth.repeat_along > 0.0 or cloth.repeat_across > 0.0


def say_width(mm: float, units: SystemOfUnits) -> str:
    """Return a cloth's width as shops say it: `150 cm`, `59 in`; inches to the half."""
    return say_length(mm, units, 2)


def stretch_of(relaxed: float, held: float) -> float | None:
    """Return the stretch from a test, a share: (held - relaxed) / relaxed, so that 10 cm held at 15 cm is 0.5.

    None where the relaxed length is not above 0. Never below 0.
    """
    if not relaxed > 0.0:
        return None
    return max(0.0, (held - relaxed) / relaxed)


def recovery_of(relaxed: float, held: float, after: float) -> float | None:
    """Return the part of the pull that came back, a share: (held - after) / (held - relaxed).

    10 cm held at 15 cm that rests at 10.5 cm is 0.9. None where the test did not stretch the cloth.
    """
    if not held > relaxed > 0.0:
        return None
    return (held - after) / (held - relaxed)


def before_shrinking(finished: float, shrinkage: float) -> float | None:
    """Return the length to cut or buy so that `finished` is left: finished / (1 - shrinkage), same unit as given.

    None where all of it would be gone.
    """
    if shrinkage >= 1.0:
        return None
    return finished / (1.0 - shrinkage)


def say_guesses(cloth: Cloth, units: SystemOfUnits) -> list[str]:
    """Return one sentence for every figure of the cloth that the maker did not state."""
    said = {
        "selvage": f"Selvage taken as {say_length(cloth.selvage, units)} on each side.",
        "recovery": f"Recovery taken as {say_share(cloth.recovery)}, usual for a {cloth.kind}.",
        "weight": f"Weight taken as {cloth.weight:g} g/m2, usual for a {cloth.kind}.",
        "thickness": f"Thickness guessed as {cloth.thickness:g} mm from {cloth.weight:g} g/m2 of {cloth.kind}.",
        "shrinkage": "Shrinkage not given: drafted and laid as none. Wash a test piece and measure it before buying.",
    }
    guesses = [said[field] for field in cloth.guessed if not (field == "shrinkage" and cloth.washed_first)]
    if cloth.kind == "knit" and not cloth.stretch_given:
        guesses.append("Stretch not given: taken as none. Hold a relaxed 10 cm at its comfortable most to find it.")
    return guesses
