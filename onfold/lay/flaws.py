"""Flaws and missing corners as measured on the cloth opened out, carried over to the cloth as it lies."""

from __future__ import annotations

import numpy as np

from onfold.cloth import Cloth, Flaw
from onfold.lay.bed import Fold, shrunk
from onfold.lay.part import Ring


def flaw_rings(cloth: Cloth, fold: Fold, end: float | None) -> list[Ring] | str:
    """Return the closed rings, mm, that pieces keep off on cloth laid in this way; in words why it can't be so laid.

    In two layers a flaw of either layer counts for both. A crosswise fold needs to know where it runs: `end` is the
    length of the cloth, mm after shrinking.
    """
    if fold == "crosswise" and cloth.flaws and end is None:
        return "where a crosswise fold brings the flaws is not known before the length of the cloth is"
    along, across = 1.0 - cloth.shrinkage_along, shrunk(cloth)
    width = cloth.width * across
    rings = []
    for flaw in cloth.flaws:
        box = (flaw.along * along, flaw.across * across, flaw.long * along, flaw.wide * across)
        rings += [_rectangle(*part) for part in _laid(Flaw(*box), fold, width, end or 0.0)]
    return rings


def _laid(flaw: Flaw, fold: Fold, width: float, end: float) -> list[tuple[float, float, float, float]]:
    """Return (x, y, long, wide) of the flaw's parts on the cloth as it lies."""
    x, y, long, wide = flaw.along, flaw.across, flaw.long, flaw.wide
    if fold == "none":
        return [(x, y, long, wide)]
    if fold == "crosswise":
        half = end / 2.0
        near = (x, y, min(long, half - x), wide) if x < half else None
        past = x + long - half
        far = (max(half - past, 0.0), y, min(past, long), wide) if past > 0.0 else None
        return [part for part in (near, far) if part is not None]
    # each stretch of the cloth across, and how it lies: from where, and whether turned back
    quarter, half = width / 4.0, width / 2.0
    stretches = (
        ((0.0, half, 0.0, False), (half, width, half, True))
        if fold == "lengthwise"
        else ((0.0, quarter, quarter, True), (quarter, 3 * quarter, 0.0, False), (3 * quarter, width, half, True))
    )
    parts = []
    for low, high, at, back in stretches:
        a, b = max(y, low), min(y + wide, high)
        if b > a:
            parts.append((x, at - (b - low) if back else at + (a - low), long, b - a))
    return parts


def _rectangle(x: float, y: float, long: float, wide: float) -> Ring:
    return np.array([(x, y), (x + long, y), (x + long, y + wide), (x, y + wide), (x, y)])
