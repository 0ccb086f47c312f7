"""The right sentence for every time an edge would be pressed, by the cloth: an iron rests only where it may.

Each gives whole sentences, ready for a guide. Pile is steamed from above, coated cloth is worked with the fingers, and
a cloth of unknown fibre gets only the heat that a scrap has borne (T137-T140, T186).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from onfold.making.handling import Handling
from onfold.making.iron import Manner
from onfold.making.operation import ActKind

SeamWay = Literal["open", "side", "as sewn"]

_OVER_PILE = "face down on a needle board or over thick pile"
_NO_REST = "The iron never rests on it."

_OPEN: Mapping[Manner, str] = {
    "plate": "Press the seam flat as sewn, then press it open{how}.",
    "untried": "Open the allowances with the fingers. Press them only at the heat that a scrap has borne.",
    "fingers": "Open the allowances with the fingers and run a roller along them; no iron.",
    "pile": "Lay the seam "
    + _OVER_PILE
    + ", open the allowances with the fingers and hold steam above them. "
    + _NO_REST,
}
_SIDE: Mapping[Manner, str] = {
    "plate": "Press the seam flat as sewn, then press both allowances {toward}{how}.",
    "untried": "Turn both allowances {toward} with the fingers. Press them only at the heat that a scrap has borne.",
    "fingers": "Turn both allowances {toward} with the fingers and run a roller along them; no iron.",
    "pile": "Lay the seam "
    + _OVER_PILE
    + ", turn both allowances {toward} with the fingers and hold steam above them. "
    + _NO_REST,
}
_AS_SEWN: Mapping[Manner, str] = {
    "plate": "Press the row flat as sewn{how}.",
    "untried": "Smooth the row with the fingers. Press it only at the heat that a scrap has borne.",
    "fingers": "Run a roller along the row; no iron.",
    "pile": "Lay the row " + _OVER_PILE + " and hold steam above it. " + _NO_REST,
}
_FOLD: Mapping[Manner, str] = {
    "plate": "Press the fold{how}.",
    "untried": "Crease the fold with the fingers. Press it only at the heat that a scrap has borne.",
    "fingers": "Crease the fold with the fingers, run a roller along it and clip it; no iron.",
    "pile": "Pinch the fold with the fingers, lay it " + _OVER_PILE + " and hold steam above it. " + _NO_REST,
}
_SOFT_FOLD: Mapping[Manner, str] = {
    "plate": "Leave the fold soft: hold steam above it and do not crease it.",
    "untried": "Leave the fold soft; no iron.",
    "fingers": "Leave the fold soft; no iron.",
    "pile": "Leave the fold soft: hold steam above it. " + _NO_REST,
}
_HEM: Mapping[Manner, str] = {
    "plate": "Press the hem from the wrong side, up to the row and not over it{how}.",
    "untried": "Crease the hem with the fingers. Press it only at the heat that a scrap has borne.",
    "fingers": "Run a roller along the hem; no iron.",
    "pile": "Hang the hem and hold steam above its wrong side; pat the fold with a brush. " + _NO_REST,
}
_DART: Mapping[Manner, str] = {
    "plate": "Press the dart as sewn, then press it {toward} over a ham, no farther than its point{how}.",
    "untried": "Turn the dart {toward} with the fingers. Press it only at the heat that a scrap has borne.",
    "fingers": "Turn the dart {toward} with the fingers and run a roller along it; no iron.",
    "pile": "Open the dart or turn it {toward} with the fingers, lay it "
    + _OVER_PILE
    + " and hold steam above it. "
    + _NO_REST,
}
_TUBE: Mapping[Manner, str] = {
    "plate": "Roll the seam to one edge of the tube and press it{how}.",
    "untried": "Finger the seam to one edge of the tube. Press it only at the heat that a scrap has borne.",
    "fingers": "Roll the seam to one edge of the tube and run a roller along it; no iron.",
    "pile": "Roll the seam to one edge of the tube with the fingers and hold steam above it. " + _NO_REST,
}
_CLOTH: Mapping[Manner, str] = {
    "plate": "Press the cloth from the wrong side{how}, with the grain, before it is laid out.",
    "untried": "Smooth the cloth by hand. Press it only at the heat that a scrap has borne.",
    "fingers": "Let the cloth lie until its creases have gone; no iron.",
    "pile": "Hang the cloth in steam until its creases drop, and let it dry hanging. " + _NO_REST,
}
_LAST: Mapping[Manner, str] = {
    "plate": "Press the garment from the wrong side{how}, seams and hem once more, and let it dry on a hanger.",
    "untried": "Let the garment hang. Press it only at the heat that a scrap has borne.",
    "fingers": "Wipe the garment and let it hang; no iron.",
    "pile": "Hang the garment, hold steam along its seams, and brush the pile its own way when it is dry. " + _NO_REST,
}


def press_kind(handling: Handling) -> ActKind:
    """Return the kind of act these sentences tell: pile is steamed, every other cloth pressed in its own manner."""
    return "steam" if handling.iron.manner == "pile" else "press"


def press_seam(handling: Handling, way: SeamWay = "open", toward: str = "to one side") -> str:
    """Return how a sewn seam is pressed in this cloth: `open`, both allowances `toward` a side, or `as sewn`."""
    told = {"open": _OPEN, "side": _SIDE, "as sewn": _AS_SEWN}[way]
    return _said(handling, told, toward)


def press_fold(handling: Handling, soft: bool = False) -> str:
    """Return how a fold is pressed; `soft` where it is to roll and not to crease, as at the top of a cowl."""
    return _said(handling, _SOFT_FOLD if soft else _FOLD)


def press_hem(handling: Handling) -> str:
    """Return how a sewn hem is pressed."""
    return _said(handling, _HEM)


def press_dart(handling: Handling, toward: str = "to the centre") -> str:
    """Return how a sewn dart is pressed: an upright one to the centre, a side dart downward."""
    return _said(handling, _DART, toward)


def press_tube(handling: Handling) -> str:
    """Return how a turned tube is pressed."""
    return _said(handling, _TUBE)


def press_cloth(handling: Handling) -> str:
    """Return how the cloth is pressed before it is laid out."""
    return _said(handling, _CLOTH)


def press_last(handling: Handling) -> str:
    """Return how the finished garment is pressed."""
    return _said(handling, _LAST)


def _said(handling: Handling, told: Mapping[Manner, str], toward: str = "") -> str:
    """Return the sentence of this cloth's manner. Where heat is known but doubtful, the scrap is named in it."""
    iron = handling.iron
    how = ", through a cloth" if iron.between else ""
    how += ", at the heat that a scrap has borne" if iron.scrap_first else ""
    return told[iron.manner].format(how=how, toward=toward)


def mark_point(handling: Handling, name: str) -> str:
    """Return how a point is marked in this cloth: `Mark the dart point with a tailor's tack.`"""
    return f"Mark {name} {_with(handling.mark_with)}."


def mark_notches(handling: Handling) -> str:
    """Return how notches are marked in this cloth."""
    return f"Mark every notch {_with(handling.notch_with)}."


def _with(what: str) -> str:
    return f"with {what}"
