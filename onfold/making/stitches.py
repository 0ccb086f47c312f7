"""The stitches a garment is sewn with: their ISO 4915 class, and how long and wide they are in a given cloth.

ISO 4915:1991 names six classes, 100 to 600 (T158 [S]); types 301 and 304 are named in a thread maker's guide to that
standard (T119 [S]). A stitch whose type is known from memory alone is given by its class. Lengths are mm.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from onfold.cloth import Cloth, SystemOfUnits
from onfold.making.traits import WeightClass, is_coated, is_pile, stretches, weight_class
from onfold.units import UNITS, say_small

PerInch = tuple[float, float]
Worked = Literal["machine", "overlocker", "hand"]

CLASS_NAMES: Mapping[int, str] = {
    100: "chain stitches",
    200: "hand stitches",
    300: "lockstitches",
    400: "multi-thread chain stitches",
    500: "overedge stitches",
    600: "covering chain stitches",
}
"""The six classes of ISO 4915 by their number (T158 [S])."""

BY_WEIGHT: Mapping[WeightClass, PerInch] = {"light": (13.0, 14.0), "medium": (11.0, 12.0), "heavy": (10.0, 11.0)}
"""Stitches to the inch of an ordinary seam by the cloth's weight (T127 [C])."""
ORDINARY: PerInch = (10.0, 15.0)  # any ordinary seam (T127 [C])
TACKED: PerInch = (5.0, 8.0)  # machine tacking and gathering (T127 [C])
HAND_TACKED: PerInch = (1.27, 2.54)  # 10 to 20 mm, by hand [C]
EASED: PerInch = (8.0, 10.0)  # easing (T127 [C])
REINFORCED: PerInch = (18.0, 20.0)  # reinforcing (T127 [C])
STRETCH_FIT: PerInch = (12.0, 14.0)  # a lockstitch in stretch cloth: more thread to the inch gives more [C]
IN_PILE: PerInch = (8.0, 10.0)  # 2.5 to 3 mm: shorter ones sink into the pile (T126 [C])
IN_COATED: PerInch = (6.0, 8.0)  # 3 to 4 mm: holes close together tear a coated cloth (T126 [C])


@dataclass(frozen=True)
class StitchType:
    """A stitch: its class and, where a source names it, its type of ISO 4915; its threads; what it is worked with."""

    name: str
    iso_class: int
    iso_type: str
    threads: tuple[str, ...]
    worked: Worked = "machine"

    @property
    def class_name(self) -> str:
        """Return the name of its class: `lockstitches`."""
        return CLASS_NAMES[self.iso_class]

    @property
    def number(self) -> str:
        """Return its type, else its class, as it is quoted: `301`, `200`."""
        return self.iso_type or str(self.iso_class)


_LOCK, _HAND = ("needle", "bobbin"), ("hand",)
_TYPES = (
    StitchType("straight stitch", 300, "301", _LOCK),
    StitchType("narrow zigzag", 300, "304", _LOCK),
    StitchType("neatening zigzag", 300, "304", _LOCK),
    StitchType("overlock", 500, "504", ("needle", "looper", "looper"), "overlocker"),
    StitchType("twin needle", 300, "", ("needle", "needle", "bobbin")),
    StitchType("catch stitch", 200, "", _HAND, "hand"),
    StitchType("slip stitch", 200, "", _HAND, "hand"),
    StitchType("tacking", 200, "", _HAND, "hand"),
    StitchType("machine tacking", 300, "301", _LOCK),
    StitchType("stay stitching", 300, "301", _LOCK),
    StitchType("reinforcing", 300, "301", _LOCK),
    StitchType("easing", 300, "301", _LOCK),
    StitchType("gathering", 300, "301", _LOCK),
    StitchType("zip row", 300, "301", _LOCK),
    StitchType("buttonhole", 300, "304", _LOCK),
)
STITCH_TYPES: Mapping[str, StitchType] = {each.name: each for each in _TYPES}
"""Every stitch by the name a row carries: those a finish may name, and those of making up."""


@dataclass(frozen=True)
class StitchSetting:
    """A stitch as it is set for one cloth: `length` and `width` mm, `per_inch` the range the length stands in.

    A width of 0 says that it has none. `why` says what the cloth changed, or is empty.
    """

    stitch: StitchType
    length: float
    per_inch: PerInch
    width: float = 0.0
    why: str = ""


@dataclass(frozen=True)
class _Fixed:
    """A stitch set alike in every cloth: its range to the inch, its width mm."""

    per_inch: PerInch
    width: float = 0.0


# Lengths of zigzag, overlock, twin needle, buttonhole and the hand stitches are common practice [C]; 25.4 / length.
_FIXED: Mapping[str, _Fixed] = {
    "narrow zigzag": _Fixed((9.0, 12.0), 1.0),
    "neatening zigzag": _Fixed((9.0, 11.0), 4.0),
    "overlock": _Fixed((9.0, 12.0), 5.0),
    "twin needle": _Fixed((8.0, 10.0), 2.5),
    "catch stitch": _Fixed((3.0, 4.0), 5.0),
    "slip stitch": _Fixed((4.0, 5.0)),
    "tacking": _Fixed(HAND_TACKED),
    "machine tacking": _Fixed(TACKED),
    "stay stitching": _Fixed(ORDINARY),
    "reinforcing": _Fixed(REINFORCED),
    "easing": _Fixed(EASED),
    "gathering": _Fixed(TACKED),
    "buttonhole": _Fixed((60.0, 70.0), 2.5),
}


def length_of(per_inch: PerInch) -> float:
    """Return the stitch length, mm to the tenth, in the middle of a range of stitches to the inch (T126 [A])."""
    return round(UNITS["in"] / (sum(per_inch) / 2.0), 1)


def stitch_type(stitch: str) -> StitchType:
    """Return the stitch of this name; KeyError, with the names there are, where a row carries another."""
    if stitch not in STITCH_TYPES:
        raise KeyError(f"no stitch is called {stitch!r}: one of {', '.join(STITCH_TYPES)}")
    return STITCH_TYPES[stitch]


def setting_of(stitch: str, cloth: Cloth) -> StitchSetting:
    """Return the stitch as it is set for this cloth; KeyError where no stitch has this name."""
    kind = stitch_type(stitch)
    fixed = _FIXED.get(stitch)
    per_inch, why = (fixed.per_inch, "") if fixed else _straight(cloth)
    if fixed and kind.iso_type == "301" and stitch != "gathering" and is_coated(cloth):
        per_inch, why = _longer(per_inch, IN_COATED), "Coated cloth tears along holes that stand close."
    return StitchSetting(kind, length_of(per_inch), per_inch, fixed.width if fixed else 0.0, why)


def _straight(cloth: Cloth) -> tuple[PerInch, str]:
    if is_coated(cloth):
        return IN_COATED, "Coated cloth tears along holes that stand close."
    if is_pile(cloth):
        return IN_PILE, "Shorter stitches sink into the pile."
    if stretches(cloth):
        return STRETCH_FIT, "Short stitches let the row give; a narrow zigzag or an overlock gives more."
    return BY_WEIGHT[weight_class(cloth)], ""


def _longer(one: PerInch, other: PerInch) -> PerInch:
    """Return the range of the longer stitch: fewer to the inch."""
    return min(one, other)


def say_setting(setting: StitchSetting, units: SystemOfUnits) -> str:
    """Return the setting in a few words: `straight stitch, 2.2 mm long (11 to 12 to the inch)`."""
    low, high = setting.per_inch
    if setting.per_inch == HAND_TACKED:
        ends = (say_small(UNITS["in"] / each, units) for each in (high, low))
        return f"{setting.stitch.name}, {' to '.join(ends)} long"
    many = f"{low:g} to {high:g} to the inch"
    long = many if units == "in" else f"{setting.length:g} mm long ({many})"
    name = setting.stitch.name
    if not setting.width:
        return f"{name}, {long}"
    wide = say_small(setting.width, units)
    if name == "twin needle":
        return f"{name}, the needles {wide} apart, {long}"
    return f"{name}, {wide} wide, {long}"
