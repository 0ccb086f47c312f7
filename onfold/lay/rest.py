"""What is left of the cloth once the pieces are cut: the rectangles worth keeping, largest first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from onfold.lay.part import Ring
from onfold.lay.placed import Lay

LEAST = 150.0
"""mm: what is narrower or shorter goes into the scrap bag [C]."""
_CELL = 5.0
_MOST = 6
Cells = NDArray[np.bool_]


@dataclass(frozen=True)
class Rest:
    """A rectangle that no piece touches, on the cloth as it lies: its least corner, and its size along and across, mm.

    `layers` says how many of them there are, one on another.
    """

    x: float
    y: float
    length: float
    width: float
    layers: int


def rests_of(lay: Lay, bought: float) -> list[Rest]:
    """Return what is left of `bought` mm of shrunk cloth: rectangles of 15 cm or more each way, not overlapping."""
    end = bought / lay.bed.times
    found: list[Rest] = []
    for band in lay.bed.bands:
        shape = (int(end // _CELL), int(band.room // _CELL))
        if min(shape) < 1:
            continue
        free = np.ones(shape, dtype=bool)
        for ring in (*lay.rings, *lay.kept_off):
            _mark(free, (ring - (0.0, band.low)) / _CELL)
        found.extend(
            Rest(x * _CELL, band.low + y * _CELL, long * _CELL, wide * _CELL, lay.bed.layers)
            for x, y, long, wide in _rectangles(free)
        )
    found.sort(key=lambda each: (-each.length * each.width, each.x, each.y))
    return found[:_MOST]


def _mark(free: Cells, ring: Ring) -> None:
    """Mark the cells that a ring, in cells, covers or passes through."""
    step = np.diff(ring, axis=0)
    counts = np.maximum(np.ceil(np.abs(step).max(axis=1) * 8.0), 1.0).astype(int)
    owner = np.repeat(np.arange(len(step)), counts)
    share = (np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts)) / counts[owner]
    points = ring[owner] + share[:, None] * step[owner]
    for lean in (-1e-6, 1e-6):
        cells = np.floor(points + lean).astype(int)
        inside = (cells >= 0).all(axis=1) & (cells < free.shape).all(axis=1)
        free[cells[inside, 0], cells[inside, 1]] = False
    low, high = np.floor(ring.min(axis=0)).astype(int), np.ceil(ring.max(axis=0)).astype(int)
    xs = np.arange(max(low[0], 0), min(high[0], free.shape[0]))
    ys = np.arange(max(low[1], 0), min(high[1], free.shape[1]))
    if len(xs) and len(ys):
        free[np.ix_(xs, ys)] &= ~_covers(ring, xs + 0.5, ys + 0.5)


def _covers(ring: Ring, xs: NDArray[np.float64], ys: NDArray[np.float64]) -> Cells:
    """Return which centres (x, y) of a lattice lie inside the ring: even-odd, line by line along y."""
    a, b = ring[:-1], ring[1:]
    inside = np.zeros((len(xs), len(ys)), dtype=bool)
    for row, x in enumerate(xs.tolist()):
        crossing = (a[:, 0] <= x) != (b[:, 0] <= x)
        p, q = a[crossing], b[crossing]
        at = np.sort(p[:, 1] + (x - p[:, 0]) / (q[:, 0] - p[:, 0]) * (q[:, 1] - p[:, 1]))
        inside[row] = np.searchsorted(at, ys) % 2 == 1
    return inside


def _rectangles(free: Cells) -> list[tuple[int, int, int, int]]:
    """Return (x, y, length, width) of the largest free rectangle, then of the largest of what is left, and so on."""
    least = int(np.ceil(LEAST / _CELL))
    left = free.copy()
    found: list[tuple[int, int, int, int]] = []
    while len(found) < _MOST:
        best = _largest(left, least)
        if best is None:
            break
        found.append(best)
        x, y, long, wide = best
        left[x : x + long, y : y + wide] = False
    return found


def _largest(free: Cells, least: int) -> tuple[int, int, int, int] | None:
    """Return the largest free rectangle of `least` cells or more each way: a histogram's, row by row."""
    best, biggest = None, 0
    heights = np.zeros(free.shape[1], dtype=int)
    for row in range(free.shape[0]):
        heights = np.where(free[row], heights + 1, 0)
        stack: list[tuple[int, int]] = []
        for column, height in enumerate([*heights.tolist(), 0]):
            start = column
            while stack and stack[-1][1] >= height:
                start, tall = stack.pop()
                wide = column - start
                if tall >= least and wide >= least and tall * wide > biggest:
                    biggest, best = tall * wide, (row - tall + 1, start, tall, wide)
            stack.append((start, height))
    return best
