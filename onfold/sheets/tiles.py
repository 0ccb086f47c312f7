"""A pattern laid out on a paper: the sheet, the tiles it is cut into, and the pages that are printed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from onfold.drawing import Drawing, shifted
from onfold.pattern import Pattern, Piece
from onfold.sheets.cover import COVER_WIDTH, cover_pages
from onfold.sheets.facts import SheetFacts, told_title
from onfold.sheets.furniture import furnish, joins_of
from onfold.sheets.grid import Grid, count_tiles, fitted, ink_points, needed_tiles
from onfold.sheets.layout import EDGE, pack, together
from onfold.sheets.papers import Paper
from onfold.sheets.piece_drawing import Sketch, sketched, worded
from onfold.sheets.space import Floats
from onfold.writers.pdf import Page, Window

_COARSE = 6.0
_FINE = 0.4
_SHIFTS = (0.0, 1 / 3, 2 / 3, 1.0)
_MOST_COLUMNS = 12
_LARGE = (400.0, 560.0)
"""From this page size on (A2, and rolls as wide) the legend lies on the sheet itself instead of taking a page."""


@dataclass(frozen=True, eq=False)
class Tiles:
    """A pattern on its paper: the whole sheet, the grid it is cut by, and the pages in the order they are printed.

    `covers` of the pages come before the first tile.
    """

    sheet: Drawing
    grid: Grid
    pages: tuple[Page, ...]
    covers: int


def tile(pattern: Pattern, facts: SheetFacts) -> Tiles:
    """Return the pattern laid out on the facts' paper, turned upright or across, whichever takes fewer tiles."""
    margin, overlap = trimmed(facts)
    sketches = [_along_roll(each, facts, margin) for each in sketches_of(pattern, facts)]
    pieces = [worded(each, pattern, facts) for each in sketches]
    block = _legend_on_sheet(pattern, facts, margin, bool(pieces))
    drawings = ([block] if block else []) + pieces
    sheet, grid, places = _laid_out(drawings, told_title(pattern, facts), facts.paper, margin, overlap, bool(block))
    if grid.rows * grid.columns > 1:
        # Only now is it known where tiles are pasted: the words are set once more, to keep off the joints.
        own = places[len(places) - len(pieces) :]
        pieces = [_kept_off(*each, pattern, facts, grid) for each in zip(sketches, pieces, own, strict=True)]
        sheet = together([*drawings[: len(drawings) - len(pieces)], *pieces], places, sheet.title)
    grid = _chosen(grid, sheet)
    covers: list[Drawing] = []
    if block:
        final = cover_pages(pattern, facts, sheet, grid, None)[0]
        sheet = together([final, *pieces], places, sheet.title)
    else:
        covers = cover_pages(pattern, facts, sheet, grid, facts.paper.height - 2 * margin)
    pages = [_cover_page(cover, facts.paper, margin) for cover in covers]
    pages += _tile_pages(sheet, grid, pattern, facts, margin)
    return Tiles(sheet, grid, tuple(pages), len(covers))


def _along_roll(sketch: Sketch, facts: SheetFacts, margin: float) -> Sketch:
    """Return a piece too wide for the roll turned by a quarter, if it fits so: a roll is as long as is wanted."""
    room = facts.paper.width - 2 * margin - 2 * EDGE - 1.0
    wide, high = sketch.box[2] - sketch.box[0], sketch.box[3] - sketch.box[1]
    if not facts.paper.roll or wide <= room or high > room:
        return sketch
    return sketched(sketch.piece, facts, sketch.whole, turned=True)


def _kept_off(
    sketch: Sketch, drawn: Drawing, place: tuple[float, float], pattern: Pattern, facts: SheetFacts, grid: Grid
) -> Drawing:
    """Return a piece with its words off the joints of the tiles, in the box that `drawn` has on the sheet."""
    dx, dy = place[0] - drawn.box[0], -place[1] - drawn.box[3]
    (low_x, low_y), (high_x, high_y) = drawn.box[:2], drawn.box[2:]
    joints = (
        [x for x in (grid.left + at * grid.step[0] - dx for at in range(1, grid.columns)) if low_x < x < high_x],
        [y for y in (grid.top - at * grid.step[1] - dy for at in range(1, grid.rows)) if low_y < y < high_y],
    )
    if not any(joints):
        return drawn
    found = worded(sketch, pattern, facts, joints)
    fits = found.box[0] >= low_x and found.box[1] >= low_y and found.box[2] <= high_x and found.box[3] <= high_y
    return replace(found, box=drawn.box) if fits else drawn


def _legend_on_sheet(pattern: Pattern, facts: SheetFacts, margin: float, has_pieces: bool) -> Drawing | None:
    """Return the legend as a block to lie on the sheet, or None where it takes pages of its own."""
    paper = facts.paper
    if has_pieces and not paper.roll and not (paper.width >= _LARGE[0] and paper.height >= _LARGE[1]):
        return None
    block = cover_pages(pattern, facts, None, None, None)[0]
    room = (paper.height if paper.roll else min(paper.width, paper.height)) - 2 * margin - 2 * EDGE
    return block if block.size[1] <= room or not has_pieces else None


def trimmed(facts: SheetFacts) -> tuple[float, float]:
    """Return margin and overlap in mm, held to what a page can carry: 4 to 15 and 0 to 30."""
    return min(15.0, max(4.0, facts.margin)), min(30.0, max(0.0, facts.overlap))


def piece_drawings(pattern: Pattern, facts: SheetFacts) -> list[Drawing]:
    """Return every piece drawn once, those cut in one layer whole; what cannot be drawn is left out."""
    return [worded(each, pattern, facts) for each in sketches_of(pattern, facts)]


def sketches_of(pattern: Pattern, facts: SheetFacts) -> list[Sketch]:
    """Return the lines of every piece, those cut in one layer whole; what cannot be drawn is left out."""
    return [sketched(each, facts, facts.prints_whole(each)) for each in pattern.pieces if _drawable(each)]


def _drawable(piece: Piece) -> bool:
    """Return whether a piece has any line, and only real numbers: a draft that failed may hold others."""
    curves = [edge.path.curves for edge in piece.edges if len(edge.path.curves)]
    return bool(curves) and all(bool(np.isfinite(each).all()) for each in curves)


def whole_sheet(pattern: Pattern, facts: SheetFacts) -> Drawing:
    """Return the whole pattern on one sheet of any size, with legend and rulers, its proportions those of a table."""
    block = cover_pages(pattern, facts, None, None, None)[0]
    drawings = [block, *piece_drawings(pattern, facts)]
    sizes = [drawing.size for drawing in drawings]
    area = sum((wide + 10.0) * (deep + 10.0) for wide, deep in sizes)
    width = max(max(wide for wide, _ in sizes), (area * 1.5) ** 0.5)
    return together(drawings, pack(sizes, width, first=0), told_title(pattern, facts))


def _laid_out(
    drawings: Sequence[Drawing], title: str, paper: Paper, margin: float, overlap: float, block_first: bool
) -> tuple[Drawing, Grid, list[tuple[float, float]]]:
    """Return the arrangement on as few tiles as was found: over ways up, numbers of columns and shifts of the grid."""
    sizes = [drawing.size for drawing in drawings]
    samples = [ink_points(drawing, _COARSE)[0] - np.array((drawing.box[0], drawing.box[3])) for drawing in drawings]
    upright = (paper.width, paper.height)
    ways = (upright,) if paper.roll else (upright, upright[::-1])
    best: tuple[tuple[float, ...], list[tuple[float, float]], tuple[float, float], tuple[float, float]] | None = None
    for page in ways:
        step = page[0] - 2 * margin - overlap
        for columns in range(1, _MOST_COLUMNS + 1):
            width = columns * step + overlap - 2 * EDGE
            if width < max(wide for wide, _ in sizes) and columns < _MOST_COLUMNS:
                continue
            places = pack(sizes, width, first=0 if block_first else None)
            points = np.concatenate([s + np.array((x, -depth)) for s, (x, depth) in zip(samples, places, strict=True)])
            wide = max(x + size[0] for size, (x, _) in zip(sizes, places, strict=True))
            deep = max(depth + size[1] for size, (_, depth) in zip(sizes, places, strict=True))
            for shift in product(_SHIFTS, _SHIFTS):
                grid = fitted((-EDGE, -deep - EDGE, wide + EDGE, EDGE), page, margin, overlap, shift)
                if block_first and not _holds_block(grid, sizes[0]):
                    continue
                cost = (float(count_tiles(grid, points)), _length(paper, deep), wide + deep, *shift)
                if best is None or cost < best[0]:
                    best = (cost, places, page, shift)
            if wide < width - step or paper.roll:
                break
    assert best is not None
    _, places, page, shift = best
    sheet = together(drawings, places, title)
    grid = fitted(sheet.box, page, margin, overlap, shift)
    if paper.roll and grid.rows == 1:
        page = (page[0], sheet.size[1] + 2 * margin)
        grid = fitted(sheet.box, page, margin, overlap, (0.0, 0.0))
    return sheet, grid, places


def _length(paper: Paper, deep: float) -> float:
    return deep if paper.roll else 0.0


def _holds_block(grid: Grid, size: tuple[float, float]) -> bool:
    """Return whether the legend, in the sheet's upper left corner, lies wholly on the first tile."""
    left, low, right, high = grid.window((0, 0))
    return left <= 0.0 and size[0] <= right and low <= -size[1] and high >= 0.0


def _chosen(grid: Grid, sheet: Drawing) -> Grid:
    points, reach = ink_points(sheet, _FINE)
    return Grid(
        grid.page, grid.width, grid.height, grid.overlap, grid.left, grid.top, grid.rows, grid.columns,
        needed_tiles(grid, points, reach),
    )  # fmt: skip


def _cover_page(cover: Drawing, paper: Paper, margin: float) -> Page:
    left = (paper.width - COVER_WIDTH) / 2 if paper.width < COVER_WIDTH + 60.0 else margin
    return Page(paper.width, paper.height, own=shifted(cover, left, paper.height - margin))


def _tile_pages(sheet: Drawing, grid: Grid, pattern: Pattern, facts: SheetFacts, margin: float) -> list[Page]:
    points: Floats = ink_points(sheet, 4.0)[0]
    joins = joins_of(grid, points)
    return [
        Page(
            *grid.page,
            windows=(Window(sheet, grid.window(each), (margin, margin)),),
            own=furnish(each, grid, joins, points, pattern, facts, margin),
        )
        for each in grid.tiles
    ]


__all__ = ["Tiles", "piece_drawings", "tile", "trimmed", "whole_sheet"]
