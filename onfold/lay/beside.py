"""Words that found no room where they belong: set on the nearest free cloth, else above it, each with a thin leader."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from onfold.drawing import Stroke, Word
from onfold.geometry.hatching import Floats, broken
from onfold.geometry.point import Point
from onfold.lay.labels import Block, Room
from onfold.lay.placed import Lay
from onfold.lay.signs import View, circle, ruled
from onfold.lettering import frame_of

_FAR = 12.0
"""Letters beyond which a leader is followed with difficulty: nearer to that the words go above the cloth instead."""


@dataclass(frozen=True)
class Apart:
    """Words that stand apart from the point they speak of; `name` is what their leader says."""

    lines: tuple[str, ...]
    touch: Point
    name: str


def set_apart(
    lay: Lay, view: View, wanted: Sequence[Apart], rings: Sequence[Floats], words: Sequence[Word], size: float
) -> tuple[list[Word], list[Stroke]]:
    """Return the words that stand apart with their leaders, clear of all rings, other words and the end of the lay."""
    if not wanted:
        return [], []
    room = _room(lay, view, rings, words, size)
    found: list[Word] = []
    leaders: list[Stroke] = []
    above = _Above(max((word.at[1] + word.size for word in words), default=0.0) + size, view.wide, size)
    for each in sorted(wanted, key=lambda one: (one.touch[0], one.touch[1])):
        block = Block(tuple((text, True) for text in each.lines), size * 0.85)
        spot = room.place(*block.sides, 0.4 * size, each.touch)
        if spot is None or (math.dist(spot, each.touch) > _FAR * size and above.nearer(block, each.touch, spot)):
            spot = above.place(block, each.touch)
        own = block.at(spot, 0.0)
        for word in own:
            room.take_frame(frame_of(word, 0.3 * size))
        found += own
        edge = _toward(frame_of(own[0], 0.25 * size), each.touch)
        others = [frame_of(word, 0.2 * size) for word in (*words, *found) if word not in own]
        leaders += ruled(broken([(edge, each.touch)], others, 0.2 * size), "furniture", "words", each.name)
        leaders.append(Stroke(circle(each.touch, 0.2 * size), "fill", "words", closed=True, filled=True))
    return found, leaders


class _Above:
    """Rows of words above the picture, each filled from left to right as far as the cloth is drawn."""

    def __init__(self, low: float, wide: float, size: float) -> None:
        self.low, self.wide, self.size = low, wide, size
        self.filled = [0.0]

    def _next(self, block: Block, touch: Point) -> tuple[int, Point]:
        wide, _ = block.sides
        for row, filled in enumerate((*self.filled, 0.0)):
            x = max(filled + wide / 2, min(touch[0], self.wide - wide / 2))
            if x + wide / 2 <= self.wide or not filled:
                return row, (x, self.low + self.size * (1.0 + 2.0 * row))
        raise AssertionError("the row begun last is empty")

    def nearer(self, block: Block, touch: Point, spot: Point) -> bool:
        """Return whether the next place above is nearer to a point than the spot."""
        return math.dist(self._next(block, touch)[1], touch) < math.dist(spot, touch)

    def place(self, block: Block, touch: Point) -> Point:
        """Take the next place as near above a point as its row allows."""
        row, spot = self._next(block, touch)
        if row == len(self.filled):
            self.filled.append(0.0)
        self.filled[row] = spot[0] + block.sides[0] / 2 + self.size
        return spot


def _room(lay: Lay, view: View, rings: Sequence[Floats], words: Sequence[Word], size: float) -> Room:
    high = lay.bed.high / view.scale
    corners = np.array(((0.0, 0.0), (view.wide, 0.0), (view.wide, high), (0.0, high), (0.0, 0.0)))
    room = Room(corners, 0.0, size * 0.2)
    room.keep_within(corners)
    for ring in rings:
        room.keep_out(ring)
    for word in words:
        room.take_frame(frame_of(word, 0.3 * size))
    room.take_line(view.at(((lay.lies, 0.0), (lay.lies, lay.bed.high))))
    return room


def _toward(frame: Floats, touch: Point) -> Point:
    """Return the point of an upright frame nearest to another point."""
    x, y = np.clip(np.array(touch), frame.min(axis=0), frame.max(axis=0)).tolist()
    return x, y
