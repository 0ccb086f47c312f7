"""Needle, presser foot, pressure, tension and feed for a cloth, row by row.

Sizes are NM, the shaft in hundredths of a millimetre, beside the other number stamped on the packet (T129 [S]).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from onfold.cloth import Cloth, SystemOfUnits
from onfold.making.stitches import StitchSetting, say_setting, setting_of, stitch_type
from onfold.making.traits import (
    creeps,
    is_coated,
    is_dense,
    is_leather,
    is_pile,
    is_sheer,
    is_slippery,
    is_thick,
    stretches,
)
from onfold.units import capital

Point = Literal["universal", "ballpoint", "stretch", "sharp", "leather"]

NUMBERS: Mapping[int, int] = {60: 8, 65: 9, 70: 10, 75: 11, 80: 12, 90: 14, 100: 16, 110: 18, 120: 19}
"""NM to the other number (T129 [S]). Some tables pair 80 with 13 or 110 with 17: NM is what counts."""

# Up to so many g/m2 the needle of this NM: chiffon 60, fine cloths 70, dress cotton 80, bottom weights 90, denim 100,
# canvas 110 (T130 [C]); where one ends and the next begins is ours, set to the weights of those cloths (T117) [C].
WOVEN_SIZES: tuple[tuple[float, int], ...] = ((70.0, 60), (120.0, 70), (200.0, 80), (320.0, 90), (450.0, 100))
KNIT_SIZES: tuple[tuple[float, int], ...] = ((120.0, 70), (250.0, 75), (350.0, 80), (500.0, 90))
LARGEST_WOVEN, LARGEST_KNIT = 110, 100
SHEER_MOST = 70  # NM: a thicker shaft leaves holes that show [C]
HOLES_MOST = 80  # NM in slippery cloth, which keeps the marks of a thick shaft [C]
TWIN_LARGEST = 90  # NM: twin needles are not made stouter in the ordinary trade [C]

_POINTS: Mapping[Point, str] = {
    "universal": "universal point",
    "ballpoint": "ballpoint",
    "stretch": "stretch point",
    "sharp": "sharp, fine point",
    "leather": "leather point (wedge)",
}


@dataclass(frozen=True)
class Needle:
    """A machine needle: NM, the other number, its point and why. `guessed` where the weight was not given."""

    nm: int
    point: Point
    why: str
    twin: float = 0.0
    guessed: bool = False

    @property
    def number(self) -> int:
        """Return the other number on the packet: 12 of 80/12."""
        return NUMBERS[self.nm]


@dataclass(frozen=True)
class MachineSetting:
    """How the machine is set for one kind of row: stitch, needle, foot, and sentences on pressure, tension, feed.

    `needle` is None where the row is worked by hand.
    """

    stitch: StitchSetting
    needle: Needle | None
    foot: str
    pressure: str
    tension: str
    feed: str


def needle_for(cloth: Cloth) -> Needle:
    """Return the needle for this cloth: its size by weight and surface, its point by kind and surface (T130 [C])."""
    point, why = _point(cloth)
    sizes, largest = (KNIT_SIZES, LARGEST_KNIT) if cloth.kind == "knit" else (WOVEN_SIZES, LARGEST_WOVEN)
    nm = next((nm for most, nm in sizes if cloth.weight <= most), largest)
    if is_sheer(cloth):
        nm = min(nm, SHEER_MOST)
    elif is_slippery(cloth):
        nm = min(nm, HOLES_MOST)
    return Needle(nm, point, why, guessed="weight" in cloth.guessed)


def _point(cloth: Cloth) -> tuple[Point, str]:
    if is_leather(cloth):
        return "leather", "Its wedge cuts leather; in any other cloth it would cut the threads."
    if cloth.kind == "knit":
        if stretches(cloth):
            return "stretch", "It parts the loops of stretch cloth and skips no stitch."
        return "ballpoint", "It parts the loops of a knit and does not cut them."
    if is_coated(cloth):
        return "sharp", "Every hole in coated cloth stays: a fine point leaves the least."
    if is_sheer(cloth):
        return "sharp", "A fine point draws no thread in sheer cloth."
    if is_slippery(cloth):
        return "sharp", "A fine point pulls no threads in smooth cloth."
    if is_dense(cloth):
        return "sharp", "A fine point goes through close threads in a straight line."
    if stretches(cloth):
        return "stretch", "It skips no stitch in stretch cloth."
    return "universal", "It suits most wovens."


def twin_needle_for(cloth: Cloth) -> Needle:
    """Return the twin needle for this cloth: its two shafts as far apart as the stitch is wide."""
    needle = needle_for(cloth)
    nm = min(needle.nm, TWIN_LARGEST)
    return Needle(nm, needle.point, needle.why, setting_of("twin needle", cloth).width, needle.guessed)


def foot_for(stitch: str, cloth: Cloth) -> str:
    """Return the presser foot of a row: its own kind's, else by the cloth; '' where the row is worked by hand [C]."""
    kind = stitch_type(stitch)
    if kind.worked == "hand":
        return ""
    if kind.worked == "overlocker":
        return "overlocker's foot"
    if stitch == "zip row":
        return "zip foot"
    if stitch == "buttonhole":
        return "buttonhole foot"
    if creeps(cloth):
        return "walking foot (even feed)"
    if is_sheer(cloth) and kind.iso_type == "301":
        return "straight stitch foot, with the small-holed plate"
    return "all-purpose foot"


def machine_setting(stitch: str, cloth: Cloth) -> MachineSetting:
    """Return how the machine is set for a row of this stitch in this cloth; KeyError where no stitch has this name."""
    setting = setting_of(stitch, cloth)
    if setting.stitch.worked == "hand":
        return MachineSetting(setting, None, "", "", "", "")
    needle = twin_needle_for(cloth) if stitch == "twin needle" else needle_for(cloth)
    return MachineSetting(
        setting, needle, foot_for(stitch, cloth), _pressure(cloth), _tension(stitch, cloth), _feed(stitch, cloth)
    )


def _pressure(cloth: Cloth) -> str:
    if is_pile(cloth):
        return "Lighten the presser foot, so that it leaves no track in the pile."
    if is_thick(cloth) or stretches(cloth):
        return "Lighten the presser foot, so that it does not push the upper layer."
    if is_sheer(cloth) or is_slippery(cloth):
        return "Lighten the presser foot a little; tissue below keeps the feed from marking the cloth."
    return "Leave the presser foot at its usual pressure."


def _tension(stitch: str, cloth: Cloth) -> str:
    if stitch == "twin needle":
        return "Loosen the tension until the cloth lies flat between the two rows."
    if stitch == "gathering":
        return "Loosen the needle tension, so that the bobbin thread can be drawn up."
    if is_sheer(cloth) or is_slippery(cloth):
        return "Loosen the tension until a row on a scrap does not pucker."
    return "Set the tension on a scrap: the threads lock between the layers and show on neither side."


def _feed(stitch: str, cloth: Cloth) -> str:
    if stitch == "overlock":
        if stretches(cloth):
            return "Set the differential feed above 1 until a seam on a scrap lies flat and does not wave."
        if is_sheer(cloth) or is_slippery(cloth):
            return "Set the differential feed below 1 where a seam on a scrap puckers."
        return "Leave the differential feed at 1."
    if stretches(cloth):
        return "Let the feed take the cloth; hold it neither back nor stretched."
    if creeps(cloth):
        return "Sew slowly, stop with the needle down, and let both layers go in alike."
    return "Let the feed take the cloth."


def say_needle(needle: Needle) -> str:
    """Return the needle as it is asked for: `80/12, universal point`; a twin one with the distance of its shafts."""
    twin = f", shafts {needle.twin:g} mm apart" if needle.twin else ""
    return f"{needle.nm}/{needle.number}, {_POINTS[needle.point]}{twin}"


def say_machine(setting: MachineSetting, units: SystemOfUnits) -> list[str]:
    """Return how the machine is set, in sentences."""
    stitch = say_setting(setting.stitch, units)
    said = [f"{capital(stitch)}. {setting.stitch.why}".rstrip()]
    if setting.needle is None:
        return said
    return [
        *said,
        f"{'Twin needle' if setting.needle.twin else 'Needle'} {say_needle(setting.needle)}. {setting.needle.why}",
        f"{capital(setting.foot)}.",
        setting.pressure,
        setting.tension,
        setting.feed,
    ]
