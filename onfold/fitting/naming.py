"""The names that the formulas of a fitting may use, what each of them is, and how its value is said.

Measures, cloth, figure notes and figures of any draft stand here; a vocabulary lists what it asks of recipes beside
them: their choices, and the facts that their steps state.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from onfold.body.figure_notes import BY_FORMULA_NAME
from onfold.body.measures import MEASURES, SIDES
from onfold.cloth import SURFACES
from onfold.units import System, say_degrees, say_length, say_share

FIGURE_NOTES: tuple[str, ...] = tuple(BY_FORMULA_NAME)
"""What the tape doesn't say of a body: lengths, 0 where nothing is noted."""

LEVELS: tuple[str, ...] = ("underarm", "bust", "underbust", "waist", "hip", "thigh", "knee", "hem")
"""Levels by the names the trade gives them; a vocabulary lists the figures of any other that it asks for."""

AT_LEVEL: dict[str, str] = {
    "finished": "length",
    "ease at": "length",
    "wearing stretch at": "share",
    "share at": "share",
    "narrowest at": "number",
}
"""What is known of a level, written before its name: `finished bust`, `ease at waist`."""

NARROWEST_BESIDE: tuple[str, ...] = ("opening", "top opening")
"""Places that are no levels and may be what a body cannot pass: the bottom of an opening, the opening at the top."""

DARTED: tuple[str, ...] = ("front", "back")

_CLOTH: dict[str, str] = {
    "crosswise stretch": "share",
    "lengthwise stretch": "share",
    "comfortable stretch": "share",
    "cloth thickness": "length",
    "cloth width": "length",
    "cloth weight": "number",
    "recovery": "share",
    "lengthwise shrinkage": "share",
    "crosswise shrinkage": "share",
}

YES_OR_NO: dict[str, str] = {
    **{surface: f"the cloth is {'a pile' if surface == 'pile' else surface}" for surface in SURFACES},
    "knit": "the cloth is a knit",
    "stretch not given": "the cloth's stretch is not given",
    "recovery not given": "the cloth's recovery is not given",
    "washed first": "the cloth is washed before cutting",
}
"""Names that are 1 for yes and 0 for no, and what is said where they are 1."""

_DRAFT: dict[str, str] = {
    "side dart width": "length",
    "side dart short": "length",
    "room to pass": "length",
    "room to stride": "length",
}


@lru_cache
def standing_names() -> Mapping[str, str]:
    """Return every name that needs no listing, with its kind: length, share or number."""
    kinds = dict(_CLOTH) | dict.fromkeys(YES_OR_NO, "number") | dict.fromkeys(FIGURE_NOTES, "length") | _DRAFT
    for name, entry in MEASURES.items():
        for each in (name, *(f"{side} {name}" for side in SIDES if entry.sided)):
            kinds[each] = "length"
        kinds[f"estimated {name}"] = "number"
        kinds[f"doubt about {name}"] = "length"
    for words, kind in AT_LEVEL.items():
        kinds.update({f"{words} {level}": kind for level in LEVELS})
    kinds.update({f"narrowest at {place}": "number" for place in NARROWEST_BESIDE})
    for piece in DARTED:
        kinds |= {f"darts {piece}": "number", f"dart width {piece}": "length", f"dart length {piece}": "length"}
    return kinds


def say_amount(value: float, kind: str, units: System) -> str:
    """Return a value as a maker writes it: a length to 1 mm or 1/16 in, a share to a tenth of a hundredth."""
    if kind == "length":
        return say_length(value, units, 16)
    if kind == "share":
        return say_share(value)
    return say_degrees(value) if kind == "degrees" else f"{round(value, 2):g}"


def say_named(name: str, value: float, kind: str, units: System) -> str:
    """Return a name with its value as a reason is told, '' where a note or a yes-or-no name says nothing.

    `hip was not taped`, `hip may be 3.6 cm more or less`, `wearing stretch at bust 12 %`.
    """
    if name in YES_OR_NO or kind == "yes":
        return YES_OR_NO.get(name, name) if value else ""
    if name in FIGURE_NOTES:
        return f"{name} noted as {say_amount(value, 'length', units)}" if value else ""
    first, _, rest = name.partition(" ")
    if first == "estimated":
        return f"{rest} was {'not ' if value else ''}taped"
    if name.startswith("doubt about "):
        return f"{name[12:]} may be {say_amount(value, 'length', units)} more or less" if value else ""
    if name.startswith("narrowest at "):
        return f"the {name[13:]} is the narrowest place on the way" if value else ""
    if name.startswith("room to "):
        what = f"{say_amount(abs(value), 'length', units)} {'to spare' if value >= 0.0 else 'lacks'}"
        return f"{what} to {name[8:]}"
    if name == "cloth thickness":
        return f"cloth {value:g} mm thick"
    return f"cloth of {value:g} g/m2" if name == "cloth weight" else f"{name} {say_amount(value, kind, units)}"
