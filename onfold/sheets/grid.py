"""How a sheet is cut into pages: the fewest tiles of a paper that hold all of it, and what each is called."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from onfold.drawing import PENS, Drawing
from onfold.sheets.space import Box, Floats, sampled, word_points

Tile = tuple[int, int]
"""Row and column, counted from the top and from the left."""


@dataclass(frozen=True)
class Grid:
    """Tiles over a sheet: windows of `width` by `height` mm, of which each shares `overlap` mm with the next.

    `left`, `top` is the upper left corner of the first window on the sheet; `page` the paper's size as turned;
    `tiles` are those to be printed, row by row.
    """

    page: tuple[float, float]
    width: float
    height: float
    overlap: float
    left: float
    top: float
    rows: int
    columns: int
    tiles: tuple[Tile, ...] = ()

    @property
    def step(self) -> tuple[float, float]:
        """Return how far one window lies from the next, across and down, mm."""
        return self.width - self.overlap, self.height - self.overlap

    def window(self, tile: Tile) -> Box:
        """Return the part of the sheet a tile shows."""
        x = self.left + tile[1] * self.step[0]
        y = self.top - tile[0] * self.step[1]
        return x, y - self.height, x + self.width, y

    def name(self, tile: Tile) -> str:
        """Return a tile's name, row letter then column letter (`BC`: second row, third column)."""
        return letter(tile[0]) + letter(tile[1])


def letter(index: int) -> str:
    """Return the letter of a row or column counted from 0: A to Z, then Aa, Ab; each begins with its one capital."""
    if index < 26:
        return chr(65 + index)
    return letter(index // 26 - 1) + chr(97 + index % 26)


def fitted(box: Box, page: tuple[float, float], margin: float, overlap: float, shift: tuple[float, float]) -> Grid:
    """Return the grid that covers the box, moved by `shift` (0 to 1) of its room to spare; no tile chosen yet."""
    width, height = page[0] - 2 * margin, page[1] - 2 * margin
    columns = max(1, math.ceil((box[2] - box[0] - overlap) / (width - overlap) - 1e-9))
    rows = max(1, math.ceil((box[3] - box[1] - overlap) / (height - overlap) - 1e-9))
    spare_x = columns * (width - overlap) + overlap - (box[2] - box[0])
    spare_y = rows * (height - overlap) + overlap - (box[3] - box[1])
    return Grid(page, width, height, overlap, box[0] - spare_x * shift[0], box[3] + spare_y * shift[1], rows, columns)


def ink_points(drawing: Drawing, spacing: float) -> tuple[Floats, Floats]:
    """Return points (n, 2) covering all ink of a drawing, and how far (n,) mm the ink reaches round each."""
    parts, reach = [word_points(list(drawing.words), spacing)], []
    reach.append(np.zeros(len(parts[0])))
    for pen in sorted({stroke.pen for stroke in drawing.strokes}):
        points = sampled([stroke for stroke in drawing.strokes if stroke.pen == pen], spacing)
        parts.append(points)
        reach.append(np.full(len(points), PENS[pen].width / 2))
    return np.concatenate(parts), np.concatenate(reach)


def count_tiles(grid: Grid, points: Floats) -> int:
    """Return how many tiles the points fall on, those in a shared strip counted where they are looked for first."""
    rows, columns = _cells(grid, points)
    return int(np.count_nonzero(np.bincount(rows * grid.columns + columns, minlength=1)))


def needed_tiles(grid: Grid, points: Floats, reach: Floats) -> tuple[Tile, ...]:
    """Return the tiles that must be printed, row by row: none is empty, and no ink falls on a tile left out.

    What lies only in a strip that a printed neighbour shows as well needs no tile of its own.
    """
    if not len(points):
        return ((0, 0),)
    corners = [points + reach[:, None] * np.array(way) for way in ((1, 1), (1, -1), (-1, 1), (-1, -1))]
    rows, columns, strip_x, strip_y = _owners(grid, np.concatenate(corners))
    chosen = np.zeros((grid.rows, grid.columns), dtype=bool)
    alone = ~strip_x & ~strip_y
    chosen[rows[alone], columns[alone]] = True
    for at_row, at_column, in_x, in_y in sorted(
        set(
            zip(
                rows[~alone].tolist(),
                columns[~alone].tolist(),
                strip_x[~alone].tolist(),
                strip_y[~alone].tolist(),
                strict=True,
            )
        )
    ):
        seen_on = [(at_row - dy, at_column - dx) for dy in (0, 1)[: 1 + in_y] for dx in (0, 1)[: 1 + in_x]]
        if not any(chosen[tile] for tile in seen_on):
            chosen[at_row, at_column] = True
    return tuple((int(row), int(column)) for row, column in zip(*np.nonzero(chosen), strict=True))


def _owners(
    grid: Grid, points: Floats
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.bool_], NDArray[np.bool_]]:
    """Return each point's row and column, and whether the column to its left, the row above, shows it as well."""
    rows, columns = _cells(grid, points)
    across, down = points[:, 0] - grid.left, grid.top - points[:, 1]
    strip_x = (across - columns * grid.step[0] < grid.overlap) & (columns > 0)
    strip_y = (down - rows * grid.step[1] < grid.overlap) & (rows > 0)
    return rows, columns, strip_x, strip_y


def _cells(grid: Grid, points: Floats) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    columns = ((points[:, 0] - grid.left) * (1 / grid.step[0])).astype(np.int64)
    rows = ((grid.top - points[:, 1]) * (1 / grid.step[1])).astype(np.int64)
    return rows.clip(0, grid.rows - 1), columns.clip(0, grid.columns - 1)
