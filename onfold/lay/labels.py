"""Where words stand: inside their piece, turned along it when it is narrow, else in the free cloth with a leader."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

from onfold.drawing import Word
from onfold.geometry.point import Point
from onfold.lettering import LEAD, width_of

Floats = NDArray[np.float64]
Over = Literal["clear", "between", "over"]
OVER: tuple[Over, ...] = get_args(Over)
"""How words stand to a grain line: clear of it, between its ends, or over all of it but its heads."""
Line = tuple[str, bool]
"""Words and whether they are bold."""


@dataclass(frozen=True)
class Block:
    """Lines of one size, one under another, about a common middle."""

    lines: tuple[Line, ...]
    size: float

    @property
    def sides(self) -> tuple[float, float]:
        """Return its width and height, mm."""
        tall = self.size * (1.0 + LEAD * (len(self.lines) - 1))
        return max(width_of(text, self.size, bold) for text, bold in self.lines), tall

    def at(self, middle: Point, angle: float) -> list[Word]:
        """Return its words about a middle, turned by `angle` degrees."""
        turn = math.radians(angle)
        cos, sin = math.cos(turn), math.sin(turn)
        down = self.sides[1] / 2 - self.size
        words = []
        for text, bold in self.lines:
            spot = middle[0] - down * sin, middle[1] + down * cos
            words.append(Word(text, spot, self.size, angle, "middle", bold=bold))
            down -= self.size * LEAD
        return words


class Room:
    """Cells over a turned raster, each free or taken. What lies outside the box of `reach` is taken.

    `angle` degrees is how far the raster, and with it every word set on it, is turned; `cell` is mm.
    """

    def __init__(self, reach: Floats, angle: float, cell: float) -> None:
        turn = math.radians(angle)
        cos, sin = math.cos(turn), math.sin(turn)
        self.level = np.array(((cos, -sin), (sin, cos)))
        self.angle, self.cell = angle, cell
        flat = reach @ self.level
        self.low = flat.min(axis=0) - cell
        columns, rows = np.ceil((flat.max(axis=0) + cell - self.low) / cell).astype(int) + 1
        self.taken = np.zeros((int(rows), int(columns)), dtype=bool)
        self.summed: NDArray[np.int32] | None = None

    def keep_within(self, ring: Floats) -> None:
        """Take every cell that is not wholly inside the closed ring (n, 2), by the even-odd rule."""
        self.taken |= ~self._inside(ring)
        self.summed = None
        self.take_line(ring)

    def keep_out(self, ring: Floats) -> None:
        """Take every cell inside the closed ring or on it."""
        self.taken |= self._inside(ring)
        self.summed = None
        self.take_line(ring)

    def take_line(self, points: Floats) -> None:
        """Take the cells along a polyline (n, 2)."""
        spots = (points @ self.level - self.low) / self.cell
        move = np.diff(spots, axis=0)
        counts = np.maximum(np.ceil(np.abs(move).max(axis=1, initial=0.0) * 2.0), 1.0).astype(int)
        owner = np.repeat(np.arange(len(move)), counts)
        share = (np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts)) / counts[owner]
        self._take(np.concatenate([spots[owner] + share[:, None] * move[owner], spots[-1:]]))

    def take_frame(self, corners: Floats) -> None:
        """Take the cells of a filled frame (4, 2)."""
        whole = np.concatenate([corners, corners[:1]])
        self.keep_out(whole)

    def place(self, width: float, height: float, clear: float, prefer: Point | None = None) -> Point | None:
        """Return the middle of a free rectangle with `clear` mm round it, nearest to `prefer` or to the middle."""
        across, up = (max(1, math.ceil((side + 2 * clear) / self.cell)) for side in (width, height))
        if up > self.taken.shape[0] or across > self.taken.shape[1]:
            return None
        sums = self._sums()
        held = sums[up:, across:] - sums[:-up, across:] - sums[up:, :-across] + sums[:-up, :-across]
        rows, columns = np.nonzero(held == 0)
        if not len(rows):
            return None
        half = np.array((across, up)) / 2.0
        if prefer is None:
            free_rows, free_columns = np.nonzero(~self.taken)
            aim = np.array((free_columns.mean() + 0.5, free_rows.mean() + 0.5))
        else:
            aim = (np.array(prefer) @ self.level - self.low) / self.cell
        far = (columns + half[0] - aim[0]) ** 2 + (rows + half[1] - aim[1]) ** 2
        best = int(np.argmin(far))
        flat = self.low + (np.array((columns[best], rows[best])) + half) * self.cell
        x, y = (self.level @ flat).tolist()
        return x, y

    def _sums(self) -> NDArray[np.int32]:
        """Return how many cells are taken below and left of each corner: any rectangle is then four look-ups."""
        if self.summed is None:
            self.summed = np.zeros(tuple(side + 1 for side in self.taken.shape), dtype=np.int32)
            np.cumsum(np.cumsum(self.taken, axis=0, dtype=np.int32), axis=1, out=self.summed[1:, 1:])
        return self.summed

    def _take(self, spots: Floats) -> None:
        self.summed = None
        cells = np.floor(spots).astype(np.int64)
        within = (cells >= 0).all(axis=1) & (cells[:, 0] < self.taken.shape[1]) & (cells[:, 1] < self.taken.shape[0])
        self.taken[cells[within, 1], cells[within, 0]] = True

    def _inside(self, ring: Floats) -> NDArray[np.bool_]:
        flat = (ring @ self.level - self.low) / self.cell
        a, b = flat[:-1], flat[1:]
        first = max(0, math.floor(float(flat[:, 1].min())))
        last = min(self.taken.shape[0], math.ceil(float(flat[:, 1].max())))
        inside = np.zeros_like(self.taken)
        if first >= last:
            return inside
        middles = np.arange(first, last) + 0.5
        crossed = (a[:, 1][None, :] <= middles[:, None]) != (b[:, 1][None, :] <= middles[:, None])
        rows, edges = np.nonzero(crossed)
        share = (middles[rows] - a[edges, 1]) / (b[edges, 1] - a[edges, 1])
        columns = np.ceil(a[edges, 0] + share * (b[edges, 0] - a[edges, 0]) - 0.5).astype(np.int64)
        flips = np.zeros((last - first, self.taken.shape[1] + 1), dtype=np.int16)
        np.add.at(flips, (rows, np.clip(columns, 0, self.taken.shape[1])), 1)
        inside[first:last] = np.cumsum(flips, axis=1)[:, :-1] % 2
        return inside


def angles_for(ring: Floats) -> tuple[float, ...]:
    """Return the angles at which words may be set in a ring: level, upright, and along it where it lies slantwise."""
    spots = ring[:-1] - ring[:-1].mean(axis=0)
    _, reach, ways = np.linalg.svd(spots, full_matrices=False)
    slant = math.degrees(math.atan2(float(ways[0, 1]), float(ways[0, 0])))
    slant = slant - 180.0 if slant > 90.0 else slant + 180.0 if slant <= -90.0 else slant
    wide, tall = np.ptp(ring, axis=0)
    square = (0.0, 90.0) if wide >= tall * 0.6 else (90.0, 0.0)
    narrow = reach[0] > 3.0 * reach[1] and min(abs(slant), 90.0 - abs(slant)) > 12.0
    return (slant, *square) if narrow else square


def place_block(
    ring: Floats, blocks: Sequence[tuple[Block, Over]], taken: Sequence[Floats], cell: float
) -> tuple[list[Word], int] | None:
    """Return the first of the blocks that fits inside a ring, and its number; None where none does.

    Each block says how it stands to the last of the `taken` lines, the grain line, which is broken under words.
    """
    rooms: dict[tuple[float, Over], Room] = {}
    angles = angles_for(ring)
    for number, (block, over) in enumerate(blocks):
        for angle in angles:
            key = (angle, over)
            if key not in rooms:
                rooms[key] = Room(ring, angle, cell)
                rooms[key].keep_within(ring)
                for each in _kept_off(taken, over):
                    rooms[key].take_line(each)
            for clear in (1.2, 0.45):
                middle = rooms[key].place(*block.sides, clear * block.size)
                if middle is not None:
                    return block.at(middle, angle), number
    return None


def _kept_off(taken: Sequence[Floats], over: Over) -> list[Floats]:
    """Return the lines that words keep off: a grain line's whole shaft, its ends alone, or nothing of it."""
    if over == "clear" or not taken:
        return list(taken)
    first, last = taken[-1][0], taken[-1][-1]
    ends = [np.array((first, first + (last - first) * 0.22)), np.array((last - (last - first) * 0.22, last))]
    return [*taken[:-1], *(ends if over == "between" else [])]
