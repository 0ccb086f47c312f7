"""What the iron may do to a cloth: whether its plate may rest, how hot, with steam or dry, tried on a scrap or not.

Heat by the dots of the care label: one 110, two 150, three 200 degrees Celsius (T137 [S]; ISO 3758 names the symbols).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from onfold.cloth import Cloth
from onfold.construction import CAUTIONS, fibre_in_doubt
from onfold.making.traits import is_coated, is_leather, is_pile, weight_class

Manner = Literal["plate", "untried", "fingers", "pile"]
Steam = Literal["steam", "damp cloth", "dry", "from above", "none"]

CELSIUS: Mapping[int, int] = {1: 110, 2: 150, 3: 200}
"""Degrees of the iron's plate by its dots (T137 [S])."""

DOTS: Mapping[str, int] = {
    **dict.fromkeys(("cotton", "linen", "hemp", "ramie"), 3),
    **dict.fromkeys(("wool", "cashmere", "mohair", "alpaca", "silk"), 2),
    **dict.fromkeys(("viscose", "rayon", "modal", "lyocell", "cupro", "polyester"), 2),
    **dict.fromkeys(("elastane", "spandex", "acetate", "triacetate", "polyamide", "nylon", "acrylic"), 1),
}
"""The usual dots of a fibre [C]; the care label stands before them. A name that is not here is an unknown fibre."""

SPOTS = frozenset({"silk", "acetate", "triacetate"})  # a drop of water leaves its mark: dry [C]
SHINES = frozenset({"wool", "cashmere", "mohair", "alpaca", "silk", "acetate", "triacetate", "polyamide", "nylon"})
_NUMBER = {1: "one dot", 2: "two dots", 3: "three dots"}


@dataclass(frozen=True)
class Iron:
    """How a cloth is pressed.

    `manner`: `plate`, the iron may rest on it; `untried`, no heat before a scrap has borne it; `fingers`, no iron;
    `pile`, steam from above and the iron never rests. `dots` is None where no heat is known. `governs` names the most
    delicate fibre, by which a mixture is pressed (T138 [C]). `between`: through a cloth.
    """

    manner: Manner
    dots: int | None
    steam: Steam
    scrap_first: bool
    between: bool = False
    governs: str = ""
    mixed: bool = False


def iron_of(cloth: Cloth) -> Iron:
    """Return how this cloth is pressed: by its surface first, then by the most delicate of its fibres."""
    names = [name.strip().lower() for name, share in cloth.fibre if share > 0.0]
    doubt = fibre_in_doubt(cloth)
    known = bool(names) and all(name in DOTS for name in names)
    governs = min(names, key=DOTS.__getitem__) if known else ""
    dots = DOTS[governs] if known and not _unnamed(cloth) else None
    if is_pile(cloth):
        return Iron("pile", dots, "from above", doubt, governs=governs, mixed=len(names) > 1)
    if is_coated(cloth) or is_leather(cloth):
        return Iron("fingers", None, "none", True)
    if dots is None:
        return Iron("untried", None, "none", True, between=True)
    # at one dot an iron drips [C]
    steam: Steam = "dry" if SPOTS & set(names) else "damp cloth" if dots == 1 else "steam"
    between = bool(SHINES & set(names)) or weight_class(cloth) == "heavy"
    return Iron("plate", dots, steam, doubt, between, governs, len(names) > 1)


def _unnamed(cloth: Cloth) -> bool:
    """Return whether the label leaves a part of the cloth unnamed."""
    return sum(share for _, share in cloth.fibre) < 0.995


def say_heat(iron: Iron) -> str:
    """Return the heat as it is set: `two dots, about 150 °C`; where none is known, that it comes from a scrap."""
    if iron.dots is None:
        return "only the heat that a scrap has borne"
    return f"{_NUMBER[iron.dots]}, about {CELSIUS[iron.dots]} °C"


def tell_iron(iron: Iron) -> tuple[str, ...]:
    """Return the rules of pressing for a cloth, the caution on steam and hot plates among them (T137-T140)."""
    told = {"plate": _plate, "untried": _untried, "fingers": _fingers, "pile": _pile}[iron.manner](iron)
    return (*told, CAUTIONS["iron"])


def _plate(iron: Iron) -> list[str]:
    steam = {
        "steam": "with steam",
        "damp cloth": "the iron dry, over a barely damp cloth, for so cool it drips",
    }.get(iron.steam, "dry, for a drop of water leaves its mark")
    through = ", through a cloth" if iron.between else ""
    told = [f"Iron from the wrong side{through}, {steam}: {say_heat(iron)}."]
    told += [f"Of mixed fibres {iron.governs} is the most delicate: the iron is set for it."] if iron.mixed else []
    if iron.scrap_first:
        told.append("Try the iron on a scrap first: acetate, nylon and doubtful fibres shrink or melt without warning.")
    told.append("The care label comes before this: its symbol is the severest treatment allowed.")
    return told


def _untried(iron: Iron) -> list[str]:
    return [
        "What the cloth is made of is not known: no heat touches it until a scrap has borne it.",
        "Try a scrap from one dot upward, through a dry cloth, and stop where it shines, stiffens, shrinks or sticks.",
        "Until then open seams and crease folds with the fingers.",
    ]


def _fingers(iron: Iron) -> list[str]:
    return [
        "No iron: heat melts or dulls the surface. Open seams with the fingers and run a roller along them.",
        "Hold folds with clips until they are stitched down.",
    ]


def _pile(iron: Iron) -> list[str]:
    told = [
        "Lay it face down on a needle board or over thick pile, hold the steam above it, and let it dry before it is "
        "moved.",
        "The iron never rests on pile: its plate crushes it for good.",
    ]
    if iron.scrap_first:
        told.append("Try the steam on a scrap first: the fibre is not sure to bear it.")
    return told
