"""What to ask for in the shop: the length before shrinking, rounded up to what is sold, and what it costs."""

from __future__ import annotations

import math
from dataclasses import dataclass

from onfold.cloth import Cloth, before_shrinking
from onfold.units import System, say_length

YARD = 914.4
INCH = 25.4
STEPS: dict[System, float] = {"cm": 100.0, "in": YARD / 8.0}
"""What cloth is sold by, mm: tenths of a metre, eighths of a yard [C]."""
SHOP_WIDTHS: dict[System, tuple[float, ...]] = {
    "cm": (900.0, 1150.0, 1400.0, 1500.0),
    "in": (36.0 * INCH, 45.0 * INCH, 54.0 * INCH, 60.0 * INCH),
}
"""Trade widths, mm, that a lay is compared at (T111 [C])."""
EXTRA = 1e-6
"""mm by which a length may pass the shop's step through rounding alone."""


@dataclass(frozen=True)
class Buy:
    """What to buy for a lay. `length` mm of shrunk cloth, `before` shrinking, `buy` rounded up to the shop's step.

    `cost` is None where no price is known.
    """

    length: float
    before: float
    buy: float
    step: float
    cost: float | None = None


def buy_of(length: float, cloth: Cloth, units: System) -> Buy | None:
    """Return what to buy for so many mm of shrunk cloth; None where the cloth would shrink to nothing.

    before = length / (1 - shrinkage along) (T115 [A]).
    """
    before = before_shrinking(length, cloth.shrinkage_along)
    if before is None:
        return None
    step = STEPS[units]
    bought = math.ceil((before - EXTRA) / step) * step
    cost = None if cloth.price is None else cloth.price * bought / 1000.0
    return Buy(length, before, max(bought, step if length > 0.0 else 0.0), step, cost)


def say_buy(buy: Buy, cloth: Cloth, currency: str = "") -> list[str]:
    """Return what to say in the shop, metric and in yards, and what it costs."""
    yards = math.ceil((buy.before - EXTRA) / STEPS["in"]) / 8.0
    metres = math.ceil((buy.before - EXTRA) / STEPS["cm"]) / 10.0
    by_yard = abs(buy.step - STEPS["in"]) < 1e-9
    wide = (say_length(cloth.width, "cm"), say_length(cloth.width, "in"))
    metric, imperial = f"{metres:g} m of {wide[0]}", f"{say_yards(yards)} of {wide[1]}"
    first, second, by = (imperial, metric, "metre") if by_yard else (metric, imperial, "yard")
    said = [f"Buy {first} cloth. Where it is sold by the {by}: {second}."]
    if cloth.shrinkage_along > 0.0 or cloth.shrinkage_across > 0.0:
        units: System = "in" if by_yard else "cm"
        said.append(
            f"It is bought before shrinking: {say_length(buy.before, units)} shrink to the "
            f"{say_length(buy.length, units)} of the lay. Wash or steam it before cutting."
        )
    if buy.cost is not None:
        said.append(f"Cost: {say_cost(buy.cost, currency)}.")
    return said


def say_cost(cost: float, currency: str = "") -> str:
    """Return a sum of money: `14.29 EUR`."""
    return f"{cost:.2f} {currency}".rstrip()


def say_bought(mm: float, units: System) -> str:
    """Return a length as it is asked for in the shop: `1.4 m`, `1 5/8 yd`."""
    return f"{round(mm / 1000.0, 2):g} m" if units == "cm" else say_yards(mm / YARD)


def say_yards(yards: float) -> str:
    """Return yards to the eighth: `1 5/8 yd`."""
    whole, eighths = divmod(round(yards * 8.0), 8)
    if not eighths:
        return f"{whole} yd"
    shared = math.gcd(eighths, 8)
    return f"{f'{whole} ' if whole else ''}{eighths // shared}/{8 // shared} yd"
