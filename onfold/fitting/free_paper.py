"""What is free on a page: so that no word lies on a line or on another word."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray

from onfold.drawing import Word
from onfold.lettering import frame_of
from onfold.pattern import Point

Floats = NDArray[np.float64]
CELL = 0.5
"""mm; the side of the squares a page is divided into."""
_ALIKE, _MOST_TRIED = 2.0, 60
"""mm by which two places differ at least, and how many are tried."""


class FreePaper:
    """The squares of a page, each free or taken. `box` is (least x, least y, most x, most y), mm."""

    def __init__(self, box: tuple[float, float, float, float]) -> None:
        self.box = box
        wide, high = (max(1, int((box[2 + k] - box[k]) / CELL)) for k in (0, 1))
        self.taken = np.zeros((high, wide), dtype=bool)
        self.worded = np.zeros((high, wide), dtype=bool)

    def take_line(self, points: Floats) -> None:
        """Take the squares that a line of chords (n, 2) runs through."""
        runs = np.diff(points, axis=0)
        for start, run in zip(points[:-1], runs, strict=True):
            count = max(2, int(np.hypot(*run) / (CELL * 0.5)) + 1)
            self._take(start + np.linspace(0.0, 1.0, count)[:, None] * run)

    def _take(self, points: Floats) -> None:
        cells = np.floor((points - self.box[:2]) / CELL).astype(int)
        inside = ((cells >= 0) & (cells < self.taken.shape[::-1])).all(axis=1)
        self.taken[cells[inside, 1], cells[inside, 0]] = True

    def take_words(self, words: Iterable[Word], clear: float) -> None:
        """Take the squares under upright words and `clear` mm round them."""
        for word in words:
            frame = frame_of(word, clear)
            least, most = frame.min(axis=0), frame.max(axis=0)
            (left, right), (low, high) = (
                (int(np.floor((least[k] - self.box[k]) / CELL)), int(np.ceil((most[k] - self.box[k]) / CELL)))
                for k in (0, 1)
            )
            squares = slice(max(low, 0), max(high, 0)), slice(max(left, 0), max(right, 0))
            self.taken[squares] = self.worded[squares] = True

    def nearest(self, wide: float, high: float, touch: Point, most: float) -> Iterator[Point]:
        """Yield lower left corners of free rectangles within `most` of a point, the nearest first, none too alike."""
        across, up = int(np.ceil(wide / CELL)) + 1, int(np.ceil(high / CELL)) + 1
        rows, columns = self.taken.shape
        if across > columns or up > rows:
            return
        sums = np.zeros((rows + 1, columns + 1))
        sums[1:, 1:] = self.taken.cumsum(axis=0).cumsum(axis=1)
        held = sums[up:, across:] - sums[:-up, across:] - sums[up:, :-across] + sums[:-up, :-across]
        y, x = np.nonzero(held == 0)
        left, low = self.box[0] + x * CELL, self.box[1] + y * CELL
        away = np.hypot(
            np.maximum(np.maximum(left - touch[0], touch[0] - left - wide), 0.0),
            np.maximum(np.maximum(low - touch[1], touch[1] - low - high), 0.0),
        )
        near = away <= most
        # Of places about as near, the one whose middle is nearest: a leader then meets the words, not their corner.
        weight = away + 0.05 * np.hypot(left + wide / 2 - touch[0], low + high / 2 - touch[1])
        order = np.flatnonzero(near)[np.argsort(weight[near], kind="stable")]
        given: list[Point] = []
        for at in order:
            corner = float(left[at]), float(low[at])
            if all(abs(corner[0] - a) > _ALIKE or abs(corner[1] - b) > _ALIKE for a, b in given):
                given.append(corner)
                yield corner
            if len(given) == _MOST_TRIED:
                return

    def crosses_words(self, start: Point, end: Point) -> bool:
        """Return whether a straight line from one point to another runs through words."""
        count = max(2, int(np.hypot(end[0] - start[0], end[1] - start[1]) / (CELL * 0.5)) + 1)
        points = np.array(start) + np.linspace(0.0, 1.0, count)[:, None] * (np.array(end) - np.array(start))
        cells = np.floor((points - self.box[:2]) / CELL).astype(int)
        inside = ((cells >= 0) & (cells < self.worded.shape[::-1])).all(axis=1)
        return bool(self.worded[cells[inside, 1], cells[inside, 0]].any())
