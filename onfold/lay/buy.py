"""What to ask for in the shop: the length before shrinking, rounded up to what is sold, and what it costs."""

from __future__ import annotations

import math
from dataclasses import dataclass

from onfold.cloth import Cloth, before_shrinking, say_width
from onfold.units import System, say_length, say_share

YARD = 914.4
INCH = 25.4
STEPS: dict[System, float] = {"cm": 100.0, "in": YARD / 8.0}
"""What cloth is sold by, mm: tenths of a metre, eighths of a yard [C]."""
SHOP_WIDTHS: dict[System, tuple[float, ...]] = {
    "cm": (900.0, 1150.0, 1400.0, 1500.0),
    "in": (36.0 * INCH, 45.0 * INCH, 54.0 * INCH, 60.0 * INCH),
}
"""Trade widths, mm, that a lay is compared at (T111 [C])."""
SQUARING = 50.0
"""mm of cloth, as bought, that squaring both its ends may take: the shop's scissors seldom follow the thread [C]."""
UNKNOWN_SHRINKAGE = 0.05
"""The share by which cloth of unknown shrinkage is taken to shrink when it is bought (T115 [C]: cotton 2 to 5 %)."""
EXTRA = 1e-6
"""mm by which a length may pass the shop's step through rounding alone."""


@dataclass(frozen=True)
class Buy:
    """What to buy for a lay. `length` mm of shrunk cloth, `before` shrinking, `buy` rounded up to the shop's step.

    `squaring` mm are bought for both ends, `unsure` mm where the shrinkage is not known. `there` mm of cloth lie on the
    table once it is squared and shrunk. `have` is what is at hand already, None where it is to be bought; `cost` is
    None where no price is known or nothing is to be bought.
    """

    length: float
    before: float
    buy: float
    step: float
    cost: float | None = None
    squaring: float = 0.0
    unsure: float = 0.0
    there: float = 0.0
    have: float | None = None


def buy_of(length: float, cloth: Cloth, units: System) -> Buy | None:
    """Return what to buy for so many mm of shrunk cloth; None where the cloth would shrink to nothing.

    before = length / (1 - shrinkage along) (T115 [A]); squaring and an unknown shrinkage add to it.
    """
    before = before_shrinking(length, cloth.shrinkage_along)
    if before is None:
        return None
    step = STEPS[units]
    squaring = SQUARING if length > 0.0 else 0.0
    unsure = before / (1.0 - UNKNOWN_SHRINKAGE) - before if _shrinks_unknown(cloth) else 0.0
    bought = math.ceil((before + squaring + unsure - EXTRA) / step) * step
    cost = None if cloth.price is None or cloth.at_hand is not None else cloth.price * bought / 1000.0
    share = 1.0 - cloth.shrinkage_along
    kept = (bought - squaring) * share * ((1.0 - UNKNOWN_SHRINKAGE) if unsure else 1.0)
    there = kept if cloth.at_hand is None else cloth.at_hand * share
    return Buy(length, before, bought, step, cost, squaring, unsure, max(there, 0.0), cloth.at_hand)


def _shrinks_unknown(cloth: Cloth) -> bool:
    return "shrinkage" in cloth.guessed and not cloth.washed_first


def say_buy(buy: Buy, cloth: Cloth, currency: str = "") -> list[str]:
    """Return what to say in the shop, metric and in yards, the sum it comes from, and what it costs.

    Of cloth at hand, whether it does and what is over. Widths are said as shops say them, to the half inch.
    """
    by_yard = abs(buy.step - STEPS["in"]) < 1e-9
    units: System = "in" if by_yard else "cm"
    if buy.have is not None:
        return [_say_have(buy, units)]
    whole = buy.before + buy.squaring + buy.unsure - EXTRA
    yards = math.ceil(whole / STEPS["in"]) / 8.0
    metres = math.ceil(whole / STEPS["cm"]) / 10.0
    wide = (f"{round(cloth.width / 10.0)} cm", say_width(cloth.width, "in"))
    metric, imperial = f"{metres:g} m of {wide[0]}", f"{say_yards(yards)} of {wide[1]}"
    first, second, by = (imperial, metric, "metre") if by_yard else (metric, imperial, "yard")
    said = [f"Buy {first} cloth. Where it is sold by the {by}: {second}.", say_sum(buy, cloth, units)]
    if (cloth.shrinkage_along > 0.0 or cloth.shrinkage_across > 0.0 or buy.unsure) and not cloth.washed_first:
        said.append("It is bought before shrinking: wash or steam it before cutting.")
    if buy.cost is not None:
        said.append(f"Cost: {say_cost(buy.cost, currency)}.")
    return said


def say_sum(buy: Buy, cloth: Cloth, units: System) -> str:
    """Return what the length to buy is made up of: `79.4 cm for the lay, 5 cm to square both ends, …`."""
    parts = [f"{say_length(buy.length, units)} for the lay"]
    if buy.before > buy.length:
        shrunk = say_share(cloth.shrinkage_along)
        parts.append(f"{say_length(buy.before - buy.length, units)} that shrink away ({shrunk})")
    if buy.unsure:
        share = say_share(UNKNOWN_SHRINKAGE)
        parts.append(f"{say_length(buy.unsure, units)} because its shrinkage is not known ({share} taken)")
    if buy.squaring:
        parts.append(f"{say_length(buy.squaring, units)} to square both ends")
    return f"In it: {', '.join(parts)}; the rest is rounded up as shops cut."


def _say_have(buy: Buy, units: System) -> str:
    assert buy.have is not None
    have = say_length(buy.have, units) if units == "in" else say_bought(buy.have, units)
    over = buy.have - buy.before
    if over < -EXTRA:
        return f"You have {have}: {say_length(-over, units)} are lacking."
    if over < buy.squaring:
        return (
            f"You have {have}: it does, {say_length(over, units)} over. Square its ends with as little loss as you can."
        )
    return f"You have {have}: it does; {say_length(over, units)} over."


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
