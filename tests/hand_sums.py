"""Sums done by hand: how deep a cowl falls, and whether a sheath goes on, opening × (1 + s) ≥ girth [A].

Both are reckoned from `pattern.json` alone.

The tape is laid across the pieces every few millimetres from the underarm to the hem; the edges that are sewn along a
ring give what their stitches let them [C]: a narrow zigzag nine tenths of the cloth's stretch, a twin needle 0.85 of
it, a straight stitch 12 % at the utmost.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from json_reader import Data, inner, level_height, piece, run_length, width_across

LADDER = ("head", "round the shoulders", "high bust", "bust", "underbust", "waist", "hip")
RANK = {"underarm": 2, "bust": 3, "waist": 5, "hip": 6}
ROUTES = {"stepped into": "Stepped into", "over the head": "Pulled over the head"}
STRAIGHT, ZIGZAG, TWIN = 0.12, 0.90, 0.85


@dataclass(frozen=True)
class Ring:
    """A place to pass: its girth at full pull, mm, and between which girths of the body it lies."""

    name: str
    pull: float
    above: int
    below: int


@dataclass(frozen=True)
class Sum:
    """The hand sum: whether it goes on, and for each route the tightest ring and girth / pull there."""

    goes_on: bool
    tightest: dict[str, tuple[str, float]]


def rings(data: Data, stretch: float, hem_gives: float) -> list[Ring]:
    """Every ring of the sheath from its top down."""
    free = 1.0 + stretch
    neck = 2.0 * run_length(data, "back", "back neck") * (1.0 + ZIGZAG * stretch)
    heights = {name: level_height(data, "front", name) for name in RANK}
    top = max(y for _, y in piece(data, "back")["seam_line"])  # of the back, at the side; it dips to the centre
    low = heights["underarm"] - data["facts"]["back depth"]["value"]
    under = 2.0 * float(inner(data, "front", "level", "underarm")[:, 0].max())
    found = [Ring("underarm", under * free + (neck if low < heights["underarm"] else under * free), 2, 2)]
    ordered = sorted(heights.items(), key=lambda each: -each[1])
    for (upper, high), (lower, deep) in pairwise(ordered):
        for y in np.append(np.arange(high - 20.0, deep + 20.0, -5.0), deep):
            if y > min(low, top):
                continue
            girth = 2.0 * (width_across(data, "front", y) + width_across(data, "back", y))
            at_level = y == deep
            found.append(
                Ring(
                    lower if at_level else f"between {upper} and {lower}",
                    girth * free,
                    RANK[lower] if at_level else RANK[upper],
                    RANK[lower],
                )
            )
    if heights["bust"] > low:  # the back is cut below the bust: there its upper edge closes the ring
        bust = 2.0 * width_across(data, "front", heights["bust"]) * free + neck
        found.append(Ring("bust", bust, 3, 3))
    hem = 2.0 * (run_length(data, "front", "hem") + run_length(data, "back", "hem"))
    found.append(Ring("hem", hem * (1.0 + hem_gives), 6, 7))
    return found


def hand_sum(data: Data, stretch: float, body: Mapping[str, float], hem_gives: float | None = None) -> Sum:
    """Whether the sheath goes on, by the better of two routes."""
    tightest = {}
    for route in ROUTES:
        worst = ("", 0.0)
        for ring in rings(data, stretch, TWIN * stretch if hem_gives is None else hem_gives):
            names = LADDER[ring.below :] if route == "stepped into" else LADDER[: ring.above + 1]
            if not names:
                continue
            ratio = max(body[name] for name in names) / ring.pull
            worst = max(worst, (ring.name, ratio), key=lambda each: each[1])
        tightest[route] = worst
    return Sum(min(ratio for _, ratio in tightest.values()) <= 1.0 + 1e-4, tightest)


def girths(measures: Mapping[str, Any]) -> dict[str, float]:
    """The girths of a body that may have to pass, mm, from its measures as filled in."""
    return {name: float(measures[name].value) for name in LADDER}


def catenary_sag(half_length: float, half_span: float) -> float:
    """The sag of an edge, half its length L, over half a span s: c sinh(s / c) = L, c (cosh(s / c) - 1) [A]."""
    low, high = 1e-9, 700.0
    for _ in range(200):
        k = (low + high) / 2.0
        low, high = (k, high) if math.sinh(k) / k < half_length / half_span else (low, k)
    return half_length * (math.cosh(k) - 1.0) / math.sinh(k)
