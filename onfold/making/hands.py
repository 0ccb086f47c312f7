"""What the hands need to know for every operation: the cloth, how it is handled, and how lengths are said."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property

from onfold.cloth import Cloth, SystemOfUnits
from onfold.making.handling import Handling, handling_of
from onfold.making.operation import Act
from onfold.making.pressing import (
    press_cloth,
    press_dart,
    press_fold,
    press_hem,
    press_kind,
    press_last,
    press_seam,
    press_tube,
)
from onfold.making.stays import Stay, stays_of
from onfold.making.trials import Trial, trials_of
from onfold.making.tubes import Tube, tubes_in
from onfold.pattern import Pattern
from onfold.units import say_small


@dataclass(frozen=True, eq=False)
class Hands:
    """The cloth that is sewn, the garment, and the units lengths are said in."""

    cloth: Cloth
    units: SystemOfUnits
    pattern: Pattern

    @cached_property
    def handling(self) -> Handling:
        """How this cloth is handled."""
        return handling_of(self.cloth)

    @cached_property
    def stays(self) -> tuple[Stay, ...]:
        """The edges of the garment that want a stay."""
        return stays_of(self.pattern, self.cloth)

    @cached_property
    def tubes(self) -> Mapping[str, Tube]:
        """The garment's tubes by piece."""
        return dict(tubes_in(self.pattern, self.cloth))

    @property
    def pile(self) -> bool:
        """Whether the cloth has a pile, on which the layers creep."""
        return "pile" in self.cloth.surface

    def say(self, mm: float) -> str:
        """Return a length as said at the machine: sixteenths in inches, millimetres below 10 cm otherwise."""
        return say_small(mm, self.units)

    def trials(self, finishes: list[str], buttons: bool) -> tuple[Trial, ...]:
        """Return the scrap trials of this garment: the cloth's, and those of its seams, tubes and buttonholes."""
        from onfold.construction import FinishFault, read_finish

        read = [read_finish(text, self.cloth) for text in dict.fromkeys(finishes) if text]
        sewn = [each for each in read if not isinstance(each, FinishFault)]
        return trials_of(self.cloth, sewn, units=self.units, tubes=tuple(self.tubes.values()), buttons=buttons)

    def press(self, how: str) -> Act:
        """Return the pressing of what was just sewn, in the manner this cloth bears: a key of `PRESSED`."""
        return Act(press_kind(self.handling), PRESSED[how](self.handling))


PRESSED: Mapping[str, Callable[[Handling], str]] = {
    "cloth": press_cloth,
    "open": press_seam,
    "to one side": lambda handling: press_seam(handling, "side"),
    "toward the band": lambda handling: press_seam(handling, "side", "into the band"),
    "as sewn": lambda handling: press_seam(handling, "as sewn"),
    "fold": press_fold,
    "soft fold": lambda handling: press_fold(handling, soft=True),
    "hem": press_hem,
    "dart": press_dart,
    "side dart": lambda handling: press_dart(handling, "downward"),
    "tube": press_tube,
    "last": press_last,
}
"""What is pressed, by the words the acts use."""
