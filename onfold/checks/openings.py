"""Openings that close: how far they open the garment, and how long they need to be."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from onfold.checks.girths import Slice, carried, girths_at, slices_of
from onfold.checks.places import Part, Place, level_heights, rank_at
from onfold.checks.seams import inner_angle
from onfold.checks.subject import Subject
from onfold.pattern import Opening, Piece, edges_of

CLOSING = ("zip", "buttons", "tie")
_STEP = 1.0  # mm between two readings where the girth is walked down from an opening's top
_BELOW = 0.1  # mm: the ring at an opening's bottom is measured this much under it


@dataclass(frozen=True)
class Opened:
    """What an opening frees: the heights it opens (y of the guide piece) and the ring at its bottom, still closed."""

    opening: Opening
    low: float
    high: float
    bottom: Place
    top: float


def opened(subject: Subject) -> Opened | None:
    """Return the garment's longest closing opening on a piece that goes round the body, or None."""
    slices = slices_of(subject)
    found = [
        gap
        for opening in subject.pattern.openings
        if opening.closes in CLOSING and (gap := _open(subject, slices, opening)) is not None
    ]
    return max(found, key=lambda gap: gap.top - gap.low, default=None)


def heights_of(subject: Subject, slices: tuple[Slice, ...], opening: Opening) -> tuple[float, float, bool] | None:
    """Return an opening's least and greatest y on the guide piece, and whether it runs out at the top edge."""
    for text in opening.edges:
        name, _, owner = text.partition(" of ")
        each = next((each for each in slices if each.piece.name == owner), None)
        leaves = edges_of(each.piece, name) if each else ()
        if each is None or not leaves:
            continue
        ys = np.concatenate([subject.strokes[owner, leaf.name][:, 1] for leaf in leaves])
        low, high = carried(each, slices[0], np.array([ys.min(), ys.max()])).tolist()
        return low, high, _reaches_top(each.piece, name)
    return None


def _reaches_top(piece: Piece, name: str) -> bool:
    """Return whether the edge's upper end is a corner of the piece and not the start of the seam that goes on."""
    leaves = edges_of(piece, name)
    first, last = piece.edges.index(leaves[0]), piece.edges.index(leaves[-1])
    low, high = leaves[0].path.curves[0, 0, 1], leaves[-1].path.curves[-1, 3, 1]
    count = len(piece.edges)
    if high > low:
        angle = inner_angle(piece.edges[last], piece.edges[(last + 1) % count])
    else:
        angle = inner_angle(piece.edges[first - 1], piece.edges[first])
    return abs(angle - 180.0) > 30.0


def _open(subject: Subject, slices: tuple[Slice, ...], opening: Opening) -> Opened | None:
    span = heights_of(subject, slices, opening)
    if span is None:
        return None
    low, high, at_top = span
    girth = float(girths_at(slices, np.array([low - _BELOW]))[0])
    if not math.isfinite(girth):
        return None
    rank = rank_at(level_heights(slices), low)
    bottom = Place(f"bottom of the {opening.name}", rank, (Part(girth),), low)
    return Opened(opening, low, math.inf if at_top else high, bottom, high)


def length_needed(subject: Subject, gap: Opened, girth: float, stretch: float) -> float | None:
    """Return how long an opening must be, mm from its top, for a girth to pass below it; None where no length does.

    Found by walking the girth of the pieces down from the opening's top: it must suffice from there to the lowest
    level line.
    """
    slices = slices_of(subject)
    heights = level_heights(slices)
    lowest = min((y for name, y in heights.items() if name != "hem"), default=gap.low)
    ys = np.append(np.arange(gap.top, lowest, -_STEP), lowest)
    passes = girths_at(slices, ys) * (1.0 + stretch) >= girth
    if not len(ys) or not passes[-1]:
        return None
    narrow = np.flatnonzero(~passes)
    first = int(narrow[-1]) + 1 if len(narrow) else 0
    return float(gap.top - ys[first])
