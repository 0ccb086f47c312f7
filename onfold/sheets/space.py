"""Where on a sheet there is room: the cells that lines and words take, and the free places for more words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from copy import copy

import numpy as np
from numpy.typing import NDArray

from onfold.drawing import Stroke, Word
from onfold.writers.font import width_of

Box = tuple[float, float, float, float]
Floats = NDArray[np.float64]


def sampled(strokes: tuple[Stroke, ...] | list[Stroke], spacing: float) -> Floats:
    """Return points (n, 2) along all strokes, no further than `spacing` mm apart; all curves in one batch."""
    kept = [stroke.path.curves for stroke in strokes if len(stroke.path.curves)]
    if not kept:
        return np.zeros((0, 2))
    curves = np.concatenate(kept)
    curves = curves[np.isfinite(curves).all(axis=(1, 2))]
    # The control polygon is never shorter than its curve, and a cubic's points bunch by less than three to one.
    reach = np.linalg.norm(np.diff(curves, axis=1), axis=2).sum(axis=1)
    counts = np.clip(np.ceil(reach / spacing * 1.5), 1, 4000).astype(int) + 1
    owner = np.repeat(np.arange(len(curves)), counts)
    first = np.repeat(np.cumsum(counts) - counts, counts)
    t = ((np.arange(len(owner)) - first) / (counts[owner] - 1))[:, None]
    a, b, c, d = (curves[owner, at] for at in range(4))
    u = 1 - t
    points: Floats = u**3 * a + 3 * u**2 * t * b + 3 * u * t**2 * c + t**3 * d
    return points


def word_frame(word: Word) -> tuple[tuple[float, float], float, float, float]:
    """Return a word's middle, its width and height mm (with what hangs below the line) and its angle in radians."""
    width, turn = width_of(word.text, word.size, word.bold), math.radians(word.angle)
    along = {"start": 0.5, "middle": 0.0, "end": -0.5}[word.anchor] * width
    up = word.size * 0.36
    x = word.at[0] + along * math.cos(turn) - up * math.sin(turn)
    y = word.at[1] + along * math.sin(turn) + up * math.cos(turn)
    return (x, y), width, word.size * 1.4, turn


def frame_points(at: tuple[float, float], width: float, height: float, turn: float, spacing: float) -> Floats:
    """Return points (n, 2) covering a turned rectangle about its middle, no further than `spacing` mm apart."""
    across = np.linspace(-width / 2, width / 2, max(2, math.ceil(width / spacing) + 1))
    up = np.linspace(-height / 2, height / 2, max(2, math.ceil(height / spacing) + 1))
    x, y = (grid.ravel() for grid in np.meshgrid(across, up))
    cos, sin = math.cos(turn), math.sin(turn)
    return np.column_stack((at[0] + x * cos - y * sin, at[1] + x * sin + y * cos))


def word_points(words: tuple[Word, ...] | list[Word], spacing: float) -> Floats:
    """Return points (n, 2) covering all words."""
    parts = [frame_points(*word_frame(word), spacing) for word in words]
    return np.concatenate(parts) if parts else np.zeros((0, 2))


class Space:
    """Cells of `cell` mm over a box, each free or taken; what lies outside the box counts as taken.

    `joints` are cells where tiles are pasted together: free, but words that must be read whole keep off them.
    """

    def __init__(self, box: Box, cell: float) -> None:
        self.cell = cell
        self.low = np.array((box[0] - cell, box[1] - cell))
        columns, rows = (math.ceil((box[2] - box[0]) / cell) + 2, math.ceil((box[3] - box[1]) / cell) + 2)
        self.taken = np.zeros((rows, columns), dtype=bool)
        self.joints: NDArray[np.bool_] | None = None

    def copy(self) -> Space:
        """Return the same space with cells of its own."""
        twin = copy(self)
        twin.taken = self.taken.copy()
        return twin

    def join_at(self, across: Sequence[float], up: Sequence[float], clear: float) -> None:
        """Mark the joints: upright lines at the x in `across`, level ones at the y in `up`, `clear` mm to each side."""
        marked = np.zeros_like(self.taken)
        for axis, places in ((0, across), (1, up)):
            middles = self.low[axis] + (np.arange(self.taken.shape[1 - axis]) + 0.5) * self.cell
            for place in places:
                near = np.abs(middles - place) <= clear + self.cell / 2
                marked[(slice(None), near) if axis == 0 else near] = True
        self.joints = marked if marked.any() else None

    def keep_within(self, *rings: Floats) -> None:
        """Take every cell whose middle lies in none of the closed rings (n, 2), by the even-odd rule."""
        free = np.zeros_like(self.taken)
        for ring in rings:
            free |= self._inside(ring)
        self.taken |= ~free

    def take(self, points: Floats) -> None:
        """Take the cells of these points; points outside the box are passed over."""
        self.taken[self._cells(points)] = True

    def take_words(self, words: list[Word]) -> None:
        """Take the cells under the words, and some before and after each, so that two are never read as one."""
        for word in words:
            at, width, height, turn = word_frame(word)
            self.take(frame_points(at, width + 2 * word.size, height, turn, self.cell * 0.9))

    def free_for(self, word: Word, clear: float, whole: bool = False) -> bool:
        """Return whether the word lies wholly on free cells, with `clear` mm round it, and if `whole` on no joint."""
        at, width, height, turn = word_frame(word)
        points = frame_points(at, width + 2 * clear, height + 2 * clear, turn, self.cell * 0.9)
        rows, columns = self._cells(points)
        if len(rows) != len(points) or self.taken[rows, columns].any():
            return False
        return not whole or self.joints is None or not self.joints[rows, columns].any()

    def place(self, width: float, height: float, clear: float, whole: bool = False) -> tuple[float, float] | None:
        """Return the lower left corner of a free upright rectangle with `clear` mm round it, near the middle of all.

        A `whole` one lies on no joint.
        """
        taken = self.taken if not whole or self.joints is None else self.taken | self.joints
        across, up = (math.ceil((side + 2 * clear) / self.cell) + 1 for side in (width, height))
        sums = np.zeros(tuple(side + 1 for side in self.taken.shape), dtype=np.int32)
        np.cumsum(np.cumsum(taken, axis=0, dtype=np.int32), axis=1, out=sums[1:, 1:])
        if up >= sums.shape[0] or across >= sums.shape[1]:
            return None
        held = sums[up:, across:] - sums[:-up, across:] - sums[up:, :-across] + sums[:-up, :-across]
        rows, columns = np.nonzero(held == 0)
        if not len(rows):
            return None
        far = (rows - np.median(rows)) ** 2 + (columns - np.median(columns)) ** 2
        best = int(np.argmin(far))
        x, y = self.low + np.array((columns[best], rows[best])) * self.cell
        return float(x + ((across * self.cell) - width) / 2), float(y + ((up * self.cell) - height) / 2)

    def _cells(self, points: Floats) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        cells = np.floor((points - self.low) / self.cell).astype(np.int64)
        rows, columns = cells[:, 1], cells[:, 0]
        within = (rows >= 0) & (columns >= 0) & (rows < self.taken.shape[0]) & (columns < self.taken.shape[1])
        return rows[within], columns[within]

    def _inside(self, ring: Floats) -> NDArray[np.bool_]:
        a, b = ring, np.roll(ring, -1, axis=0)
        middles = self.low[1] + (np.arange(self.taken.shape[0]) + 0.5) * self.cell
        crossed = (a[:, 1][None, :] <= middles[:, None]) != (b[:, 1][None, :] <= middles[:, None])
        rows, edges = np.nonzero(crossed)
        share = (middles[rows] - a[edges, 1]) / (b[edges, 1] - a[edges, 1])
        x = a[edges, 0] + share * (b[edges, 0] - a[edges, 0])
        columns = np.ceil((x - self.low[0]) / self.cell - 0.5).astype(np.int64)
        flips = np.zeros((self.taken.shape[0], self.taken.shape[1] + 1), dtype=np.int16)
        np.add.at(flips, (rows, np.clip(columns, 0, self.taken.shape[1])), 1)
        inside: NDArray[np.bool_] = (np.cumsum(flips, axis=1)[:, :-1] % 2).astype(bool)
        return inside
