"""Pieces placed side by side on one whole sheet, grain upright, none turned."""

from __future__ import annotations

import math
from collections.abc import Sequence

from onfold.drawing import Drawing, Stroke, Word, shifted

GAP = 8.0
"""mm between neighbouring pieces."""
EDGE = 3.0
"""mm left free round all pieces, so that no line lies on the border of a tile."""
Size = tuple[float, float]
Point = tuple[float, float]


def pack(sizes: Sequence[Size], width: float, gap: float = GAP, first: int | None = None) -> list[Point]:
    """Return the upper left corners (x, depth below the top) of boxes placed within a width, none overlapping.

    The tallest go first (after the box `first`, which takes the upper left corner), each as high up as it can go,
    then as far left [skyline, bottom-left rule: Burke, Kendall and Whitwell, Operations Research 52 (2004)].
    A box wider than the width lies alone at the left.
    """
    order = sorted(range(len(sizes)), key=lambda at: (at != first, -sizes[at][1], -sizes[at][0], at))
    places: list[Point] = [(0.0, 0.0)] * len(sizes)
    skyline: list[tuple[float, float, float]] = [(0.0, math.inf, 0.0)]  # from x, to x, depth reached
    for at in order:
        wide, deep = sizes[at][0] + gap, sizes[at][1] + gap
        x, depth = _highest(skyline, wide, width + gap)
        places[at] = (x, depth)
        skyline = _lowered(skyline, x, x + wide, depth + deep)
    return places


def _highest(skyline: list[tuple[float, float, float]], wide: float, width: float) -> Point:
    best: tuple[float, float] | None = None
    for start, _, _ in skyline:
        if start > 0 and start + wide > width + 1e-9:
            continue
        depth = max(reached for a, b, reached in skyline if a < start + wide and b > start)
        if best is None or depth < best[0] - 1e-9:
            best = (depth, start)
    return (best[1], best[0]) if best else (0.0, max(reached for _, _, reached in skyline))


def _lowered(
    skyline: list[tuple[float, float, float]], left: float, right: float, depth: float
) -> list[tuple[float, float, float]]:
    kept = [(a, min(b, left), reached) for a, b, reached in skyline if a < left]
    kept += [(max(a, right), b, reached) for a, b, reached in skyline if b > right]
    return sorted([*kept, (left, right, depth)])


def together(drawings: Sequence[Drawing], places: Sequence[Point], title: str) -> Drawing:
    """Return one drawing of all, each with its box's upper left corner at its place; the sheet's top is y = 0.

    The box runs `EDGE` further than the drawings on every side.
    """
    strokes: list[Stroke] = []
    words: list[Word] = []
    wide, deep = 1.0, 1.0
    for drawing, (x, depth) in zip(drawings, places, strict=True):
        placed = shifted(drawing, x - drawing.box[0], -depth - drawing.box[3])
        strokes += placed.strokes
        words += placed.words
        wide, deep = max(wide, placed.box[2]), max(deep, -placed.box[1])
    return Drawing(tuple(strokes), tuple(words), (-EDGE, -deep - EDGE, wide + EDGE, EDGE), title)
