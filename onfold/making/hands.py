"""What the hands need to know for every operation: the cloth, the units, how lengths are said and seams pressed."""

from __future__ import annotations

from dataclasses import dataclass

from onfold.cloth import Cloth, SystemOfUnits
from onfold.making.operation import Act
from onfold.pattern import Pattern
from onfold.units import say_length


@dataclass(frozen=True, eq=False)
class Hands:
    """The cloth that is sewn, and the units lengths are said in."""

    cloth: Cloth
    units: SystemOfUnits
    pattern: Pattern

    def say(self, mm: float) -> str:
        """Return a length as said at the machine: sixteenths in inches, millimetres below 10 cm otherwise."""
        if self.units == "in":
            return say_length(mm, "in", 16)
        return f"{round(mm, 1):g} mm" if abs(mm) < 100.0 else say_length(mm, "cm")

    @property
    def pile(self) -> bool:
        """Return whether the cloth has a pile, which no iron may rest on."""
        return "pile" in self.cloth.surface

    def press(self, how: str) -> Act:
        """Return the pressing of what was just sewn: `open`, `to one side`, `the fold`, `the hem`, `flat`,
        `dart`, `tube`, `soft fold`."""
        if self.pile:
            return Act("steam", _STEAMED[how])
        return Act("press", _PRESSED[how])


_PRESSED = {
    "open": "Press the seam as it was sewn, then press it open.",
    "to one side": "Press the allowances to one side.",
    "the fold": "Press the fold from the wrong side.",
    "the hem": "Press the hem's fold from the wrong side.",
    "flat": "Press it from the wrong side.",
    "dart": "Press the dart towards the centre, a strip of paper under its edge.",
    "tube": "Press the tube with its seam along one edge.",
    "soft fold": "Press the fold lightly, or leave it soft where it is to hang.",
}
_STEAMED = {
    "open": "Face down on a needle board or thick pile, steam it from above and open the seam with your fingers.",
    "to one side": "Face down on a needle board or thick pile, steam from above and smooth the allowances to one side.",
    "the fold": "Steam the fold from above, face down on a needle board or thick pile, and shape it with your fingers.",
    "the hem": "Steam the hem from above, face down on a needle board or thick pile; leave its fold soft.",
    "flat": "Steam it from above, face down on a needle board or thick pile.",
    "dart": "Face down on a needle board or thick pile, steam the dart from above and finger it towards the centre.",
    "tube": "Steam the tube from above and roll its seam to one edge with your fingers.",
    "soft fold": "Leave the fold soft; steam it from above, the cloth face down on thick pile.",
}
