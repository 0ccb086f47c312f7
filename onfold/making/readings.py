"""From what a scrap trial reads to the lines of a ticket's `cloth`, with a reason where a reading is not likely.

Readings are mm and grams. The lines stand below `cloth:` as they are given, without indentation.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from onfold.cloth import recovery_of, stretch_of
from onfold.units import say_share

MOST_STRETCH = 2.0  # a cloth that doubles and doubles again is a slip of the tape: the most seen is 150 % (T83 [C])
LEAST_RECOVERY = 0.5  # below it the cloth was pulled past what it bears, or read before it had come back [C]
MOST_SHRINKAGE = 0.15  # cotton 2 to 5 %, 10 % told of once (T115 [C])
WEIGHTS = (10.0, 1500.0)  # g/m2: chiffon begins at 30 (T117 [C])
THICKNESSES = (0.05, 10.0)  # mm [C]
LEAST_SQUARE = 50.0  # mm of a square's side below which kitchen scales cannot weigh it [C]

TIP_ANGLE = 41.5  # degrees below the level at which the tip of an overhanging strip is read (T162 [C])
BENDING_LENGTHS = (2.0, 120.0)  # mm, as the ticket takes it
BENDING_SHARE = (math.cos(math.radians(TIP_ANGLE / 2.0)) / (8.0 * math.tan(math.radians(TIP_ANGLE)))) ** (1.0 / 3.0)
"""Bending length over overhang at that angle, 0.5093 (T162 [A]); that it is one half is 1.8 % low."""


@dataclass(frozen=True)
class Read:
    """What a trial gives the ticket: lines to write below `cloth:`, and reasons for what was left out."""

    lines: tuple[str, ...] = ()
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True)
class Pull:
    """One pull of a relaxed length: how long it was, how long it was held, how long it came to rest, mm."""

    relaxed: float
    held: float
    after: float | None = None


def read_pulls(across: Pull | None = None, along: Pull | None = None) -> Read:
    """Return stretch and recovery from pulls across and along: `stretch: {across: 50 %, along: 20 %}`.

    (held - relaxed) / relaxed and (held - after) / (held - relaxed) (T83, T86). Of two recoveries the lesser counts.
    """
    stretch: dict[str, float] = {}
    recovered: list[float] = []
    reasons: list[str] = []
    for way, pull in (("across", across), ("along", along)):
        if pull is None:
            continue
        share = stretch_of(pull.relaxed, pull.held) if _sound(pull.relaxed, pull.held) else None
        if share is None:
            reasons.append(f"The pull {way} has no lengths above 0. Measure it again.")
            continue
        if share > MOST_STRETCH:
            reasons.append(f"A stretch of {say_share(share)} {way} is not likely: read the two lengths again.")
            continue
        if pull.held < pull.relaxed:
            reasons.append(f"Held, the length {way} is shorter than relaxed: the two are the wrong way round.")
            continue
        stretch[way] = share
        came_back = None if pull.after is None else recovery_of(pull.relaxed, pull.held, pull.after)
        if came_back is not None:
            reasons += [_recovery_reason(came_back, way)] if not LEAST_RECOVERY <= came_back <= 1.0 else []
            recovered += [came_back] if LEAST_RECOVERY <= came_back <= 1.0 else []
    lines = []
    if stretch:
        lines.append(f"stretch: {{{', '.join(f'{way}: {say_share(share)}' for way, share in stretch.items())}}}")
    if recovered:
        lines.append(f"recovery: {say_share(min(recovered))}")
    return Read(tuple(lines), tuple(reasons))


def _recovery_reason(share: float, way: str) -> str:
    if share > 1.0:
        return f"The length {way} came back shorter than it was: let the cloth lie relaxed, then mark it again."
    return (
        f"Only {say_share(max(0.0, share))} came back {way}: let it lie a while and read again; "
        "else it was pulled past what it bears."
    )


def read_wash(before: float, across: float | None = None, along: float | None = None) -> Read:
    """Return shrinkage from a square washed and dried: `shrinkage: {across: 2 %, along: 5 %}`; `before` is its side."""
    shares: dict[str, float] = {}
    reasons: list[str] = []
    for way, after in (("across", across), ("along", along)):
        if after is None:
            continue
        if not _sound(before, after):
            reasons.append(f"The square has no length {way}. Measure it again.")
            continue
        share = (before - after) / before
        if share > MOST_SHRINKAGE:
            reasons.append(f"A shrinkage of {say_share(share)} {way} is not likely: wash and measure a second square.")
        elif share < 0.0:
            reasons.append(f"The square grew {say_share(-share)} {way}: let it dry flat and measure again.")
        else:
            shares[way] = share
    line = f"shrinkage: {{{', '.join(f'{way}: {say_share(share)}' for way, share in shares.items())}}}"
    return Read((line,) if shares else (), tuple(reasons))


def read_stroke(smooth: Literal["up", "down", "neither"]) -> Read:
    """Return the nap from stroking a piece as it will be worn: the way in which it feels smooth, or neither."""
    return Read((f"nap: {'none' if smooth == 'neither' else smooth}",))


def read_weight(grams: float, long: float, wide: float) -> Read:
    """Return the weight from a weighed square of `long` by `wide` mm: `weight: 260 g/m2`."""
    if not _sound(grams, long, wide) or min(long, wide) < LEAST_SQUARE:
        return Read(reasons=("The square is too small to weigh, or has no weight: take one of at least 5 cm.",))
    weight = grams / (long * wide) * 1e6
    if not WEIGHTS[0] <= weight <= WEIGHTS[1]:
        return Read(reasons=(f"{weight:.0f} g/m2 is no likely cloth: weigh again, and read the sides in mm.",))
    return Read((f"weight: {weight:.0f} g/m2",))


def read_stack(height: float, layers: int = 10) -> Read:
    """Return the thickness from the height of a stack of layers under a light board: `thickness: 0.8 mm`."""
    if layers < 1 or not _sound(height):
        return Read(reasons=("The stack has no layers or no height. Measure it again.",))
    thickness = height / layers
    if not THICKNESSES[0] <= thickness <= THICKNESSES[1]:
        return Read(reasons=(f"{thickness:.2f} mm is no likely cloth: count the layers and measure again.",))
    return Read((f"thickness: {round(thickness, 2):g} mm",))


def bending_length(overhang: float) -> float | None:
    """Return the bending length, mm, from the overhang at which the tip drops 41.5 degrees; None where it has none.

    0.5093 x overhang (T162 [A]).
    """
    return BENDING_SHARE * overhang if _sound(overhang) else None


def read_overhang(along: float | None = None, across: float | None = None) -> Read:
    """Return the bending lengths from the overhangs of two strips: `bending length: {along: 18 mm, across: 15 mm}`."""
    lengths: dict[str, float] = {}
    reasons: list[str] = []
    for way, overhang in (("along", along), ("across", across)):
        if overhang is None:
            continue
        length = bending_length(overhang)
        if length is None:
            reasons.append(f"The strip cut {way} has no overhang. Measure it again.")
        elif not BENDING_LENGTHS[0] <= length <= BENDING_LENGTHS[1]:
            reasons.append(f"An overhang of {overhang:.0f} mm {way} is no likely cloth: measure it again, in mm.")
        else:
            lengths[way] = length
    line = f"bending length: {{{', '.join(f'{way}: {round(length, 1):g} mm' for way, length in lengths.items())}}}"
    return Read((line,) if lengths else (), tuple(reasons))


def _sound(*values: float) -> bool:
    """Return whether all of these are finite and above 0."""
    return all(math.isfinite(value) and value > 0.0 for value in values)


def all_lines(reads: Iterable[Read]) -> tuple[str, ...]:
    """Return the lines of several readings in one, as they are written below `cloth:`."""
    return tuple(line for read in reads for line in read.lines)
