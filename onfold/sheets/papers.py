"""The papers a pattern is printed on, and how a maker names them.

Sheet sizes: ISO 216 for the A series; the North American sizes are whole and half inches (ANSI/ASME Y14.1).
"""

from __future__ import annotations

from dataclasses import dataclass

from onfold.problems import Place, Problem, problem
from onfold.units import UnitFault, plain, read_quantity, say_length

LONGEST_PAGE = 5000.0
"""mm; a roll is cut into pages no longer than this, since a PDF page may measure 14400 points (5080 mm)."""


@dataclass(frozen=True)
class Paper:
    """A paper: `width` by `height` mm, upright. A roll's `height` is the longest page; it is used as long as needed."""

    name: str
    width: float
    height: float
    roll: bool = False


PAPERS: dict[str, Paper] = {
    paper.name.lower(): paper
    for paper in (
        Paper("A4", 210.0, 297.0),
        Paper("A3", 297.0, 420.0),
        Paper("A2", 420.0, 594.0),
        Paper("A1", 594.0, 841.0),
        Paper("A0", 841.0, 1189.0),
        Paper("Letter", 215.9, 279.4),
        Paper("Legal", 215.9, 355.6),
        Paper("Tabloid", 279.4, 431.8),
    )
}
_NARROWEST = 250.0


def read_paper(text: str, where: Place | None = None) -> Paper | Problem:
    """Return the paper a maker names (`a4`, `Letter`, `roll 91 cm`, `roll 36 in`), or the problem with the name."""
    said = " ".join(text.split()).lower()
    if said in PAPERS:
        return PAPERS[said]
    if not said.startswith("roll "):
        return _unknown(text, where)
    width = read_quantity(said.removeprefix("roll "))
    if isinstance(width, UnitFault) or width.kind != "length":
        return _unknown(text, where)
    if not _NARROWEST <= width.value <= LONGEST_PAGE:
        return problem(
            "VALUE-RANGE",
            says=f"'{plain(said)}' is not a width a plotter's roll has.",
            found=say_length(width.value),
            expected=f"a width from {say_length(_NARROWEST)} to {say_length(LONGEST_PAGE)}",
            remedy="Give the width of the roll with its unit, as in 'roll 91 cm' or 'roll 36 in'.",
            where=where,
        )
    return Paper(plain(said), width.value, LONGEST_PAGE, roll=True)


def _unknown(text: str, where: Place | None) -> Problem:
    names = ", ".join(PAPERS)
    shown = plain(text)
    return problem(
        "VALUE-WRONG",
        says=f"'{shown}' is no paper known here.",
        found=shown,
        expected=f"one of {names}, or 'roll' with its width",
        remedy="Write one of these names, or the width of your roll as in 'roll 91 cm' or 'roll 36 in'.",
        where=where,
    )
