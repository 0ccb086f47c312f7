"""What is told beside a lay: title, wearers, cloth, what to buy, what is left. Plain words and numbers only."""

from __future__ import annotations

from dataclasses import dataclass

from onfold.cloth import Cloth
from onfold.units import System, plain, say_length

CUT = "cut"
"""What a ring is called where a piece was cut out of the cloth before."""


@dataclass(frozen=True)
class LayFacts:
    """What the pages of a lay say that the lay itself does not know. Everything may be left out.

    `buy` and `cost` are whole sentences. `cloth_length` is how long the bought cloth is once shrunk, mm along the
    cloth: the line where it ends. `other_widths` are rows of words (width, fold, length, buy).
    `left` are rectangles (x, y, length, width) and `matching` points (x, y, name), mm on the cloth as it lies; `phase`
    is where a bar along and one across the cloth lie, mm (x of a bar across, y of a bar along). `flaws` names the rings
    of `Lay.kept_off` in their order. `again` is a piece laid once more in what an earlier lay left: nothing is bought
    for it, and the rings called `CUT` are cloth that is gone.
    `stops` are the sentences of what forbids cutting, each with what to do.
    """

    title: str = ""
    wearers: tuple[str, ...] = ()
    date: str = ""
    units: System = "cm"
    cloth: Cloth | None = None
    buy: tuple[str, ...] = ()
    cost: str = ""
    cloth_length: float | None = None
    other_widths: tuple[tuple[str, str, str, str], ...] = ()
    left: tuple[tuple[float, float, float, float], ...] = ()
    phase: tuple[float, float] = (0.0, 0.0)
    matching: tuple[tuple[float, float, str], ...] = ()
    flaws: tuple[str, ...] = ()
    not_taped: tuple[str, ...] = ()
    again: bool = False
    stops: tuple[str, ...] = ()

    def say(self, mm: float) -> str:
        """Return a length in the maker's units."""
        return say_length(mm, self.units)

    @property
    def surface(self) -> tuple[str, ...]:
        """Return the cloth's surface; nothing where no cloth is given."""
        return self.cloth.surface if self.cloth is not None else ()

    @property
    def repeats(self) -> tuple[float, float]:
        """Return the repeat along and across the cloth, mm; 0 where there is none."""
        return (self.cloth.repeat_along, self.cloth.repeat_across) if self.cloth is not None else (0.0, 0.0)

    def flaw(self, number: int) -> str:
        """Return what one of the rings kept off is called."""
        return plain(self.flaws[number]) if number < len(self.flaws) and self.flaws[number].strip() else "flaw"
