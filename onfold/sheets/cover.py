"""The first page: rulers to check the print by, the plan of the tiles, how they are pasted, the legend."""

from __future__ import annotations

import numpy as np

from onfold.drawing import Drawing, Stroke, Word
from onfold.geometry.path import Path, polyline
from onfold.lettering import wrapped
from onfold.pattern import Pattern
from onfold.sheets.facts import SheetFacts, told_title, told_wearer, untaped
from onfold.sheets.grid import Grid
from onfold.sheets.legend import Panel, panels, paragraph, stop_panel
from onfold.sheets.space import Box, Floats, sampled
from onfold.sheets.symbols import inch_ruler, rectangle, test_square, upright_ruler
from onfold.writers.font import width_of

COVER_WIDTH = 180.0
"""mm; it fits the printable width of every paper."""
_BAND = 19.0
_PLAN = (58.0, 92.0)
_RULERS = 206.0
"""mm of height that the square and the upright ruler take below the heading."""
_GUTTER = 6.0
_COLUMN = (COVER_WIDTH - _BAND - _GUTTER) / 2


def cover_pages(
    pattern: Pattern, facts: SheetFacts, sheet: Drawing | None, grid: Grid | None, height: float | None
) -> list[Drawing]:
    """Return the first page, and more of the same where the legend is long; with no `height`, one of any length.

    Each is `COVER_WIDTH` wide with its upper left corner at (0, 0). Without a grid the plan's place is kept free.
    A draft's stops stand first; where they leave no room for the rulers, on a page of their own.
    """
    strokes: list[Stroke] = []
    words: list[Word] = []
    top = _heading(pattern, facts, grid, words)
    pages: list[Drawing] = []
    stop = stop_panel(pattern, COVER_WIDTH)
    if stop is not None:
        _add(stop, 0.0, top, strokes, words)
        top -= stop.height
        if height is not None and top - _RULERS < -height:
            pages.append(_page(strokes, words, top))
            strokes, words = [], []
            top = _heading(pattern, facts, grid, words)
    square_at = (0.5, top - 102.0)
    strokes += test_square(square_at)
    told = paragraph("", tuple(_telling(grid)), 92.0, 2.3, "sheet")
    _add(told, square_at[0] + 4.0, square_at[1] + 96.0, strokes, words)
    _plan(sheet, grid, (square_at[0] + 100.0 + _GUTTER, square_at[1] + 100.0), strokes, words)
    ruler_words = [upright_ruler((COVER_WIDTH - 1.0, top - 202.0)), inch_ruler((0.5, square_at[1] - 17.0))]
    for lines, said in ruler_words:
        strokes += lines
        words += said
    blocks = panels(pattern, facts, _COLUMN)
    return pages + _flow(blocks, square_at[1] - 28.0, height, strokes, words, top - _RULERS)


def _flow(
    blocks: list[Panel], start: float, height: float | None, strokes: list[Stroke], words: list[Word], band: float
) -> list[Drawing]:
    """Return the pages with the legend's blocks set in two columns, a new page where neither has room."""
    pages: list[Drawing] = []
    depth = [start, start]
    for block in blocks:
        column = 0 if depth[0] >= depth[1] else 1
        if height is not None and depth[column] - block.height < -height and (strokes or words):
            pages.append(_page(strokes, words, min(*depth, band)))
            strokes, words, depth, column, band = [], [], [0.0, 0.0], 0, 0.0
        _add(block, column * (_COLUMN + _GUTTER), depth[column], strokes, words)
        depth[column] -= block.height + 1.5
    pages.append(_page(strokes, words, min(*depth, band)))
    return pages


def _page(strokes: list[Stroke], words: list[Word], low: float) -> Drawing:
    return Drawing(tuple(strokes), tuple(words), (0.0, low, COVER_WIDTH, 0.0), "First page")


def _add(panel: Panel, x: float, y: float, strokes: list[Stroke], words: list[Word]) -> None:
    lines, said = panel.at(x, y)
    strokes += lines
    words += said


def _heading(pattern: Pattern, facts: SheetFacts, grid: Grid | None, words: list[Word]) -> float:
    title, size = told_title(pattern, facts), 5.0
    while size > 3.0 and width_of(title, size, True) > COVER_WIDTH:
        size -= 0.5
    y = 0.0
    for row in wrapped(title, COVER_WIDTH, size, True):
        y -= size * 1.5
        words.append(Word(row, (0.0, y), size, bold=True))
    pages = "" if grid is None else "1 page" if len(grid.tiles) == 1 else f"{len(grid.tiles)} tiles"
    facts_said = (
        f"for {told_wearer(pattern, facts)}" if told_wearer(pattern, facts) else "",
        facts.date,
        f"recipe {pattern.recipe}" if pattern.recipe else "",
        f"{facts.paper.name}, {pages}" if pages else facts.paper.name,
    )
    y -= 1.5
    for row in wrapped(" · ".join(each for each in facts_said if each), COVER_WIDTH, 2.6):
        y -= 4.6
        words.append(Word(row, (0.0, y), 2.6))
    figure = "figure notes: " + ", ".join(facts.drafted_for) if facts.drafted_for else ""
    for row in wrapped(figure, COVER_WIDTH, 2.6) if figure else []:
        y -= 4.6
        words.append(Word(row, (0.0, y), 2.6))
    names = untaped(pattern, facts)
    for row in wrapped("not taped: " + ", ".join(names), COVER_WIDTH, 2.6, True) if names else []:
        y -= 4.6
        words.append(Word(row, (0.0, y), 2.6, bold=True))
    return y - 3.0


def _telling(grid: Grid | None) -> list[str]:
    said = [
        "This square measures 100 mm each way, the upright line 200 mm, the ruler below 6 in. Measure all three: "
        "if one is off by more than half a millimetre, print again at full size (100 %), not fitted to the page.",
    ]
    if grid is None or len(grid.tiles) == 1:
        return [*said, "The pattern is on one page: nothing has to be pasted."]
    rows: dict[int, list[str]] = {}
    for tile in grid.tiles:
        rows.setdefault(tile[0], []).append(grid.name(tile))
    order = "; ".join(" ".join(names) for names in rows.values())
    if len(order) > 330:
        order = f"{order[: order.find(';')]}; and so on, row by row, to {grid.name(grid.tiles[-1])}"
    return [
        *said,
        f"The pattern lies on {len(grid.tiles)} tiles. A tile's name is its row's letter, then its column's: "
        "AB is row A, column B. Tiles with nothing on them are not printed; the plan shows them dotted.",
        "Trim each tile along the line at its left edge and the line at its upper edge, where there is one. Lay it "
        "on the strip that its neighbour has left, so that the halves of each diamond meet and show the same number.",
        "Paste each row from left to right, then the rows from the top down:",
        order + ".",
    ]


def _plan(
    sheet: Drawing | None, grid: Grid | None, corner: tuple[float, float], strokes: list[Stroke], words: list[Word]
) -> None:
    """Draw the small map of the tiles with the pieces on it, its upper left corner at `corner`."""
    if grid is None or sheet is None or len(grid.tiles) < 2:
        return
    whole_x, whole_y = grid.columns * grid.step[0] + grid.overlap, grid.rows * grid.step[1] + grid.overlap
    scale = min(_PLAN[0] / whole_x, _PLAN[1] / whole_y)

    def onto(x: float, y: float) -> tuple[float, float]:
        return corner[0] + (x - grid.left) * scale, corner[1] + (y - grid.top) * scale

    strokes += [
        Stroke(_small(stroke.path, scale, onto(0.0, 0.0)), "used", "sheet")
        for stroke in sheet.strokes
        if (stroke.layer == "cut lines" and stroke.name) or (stroke.layer == "fold lines" and stroke.pen == "fold")
    ]
    inked = sampled([stroke for stroke in strokes if stroke.pen == "used"], 0.7)
    printed = set(grid.tiles)
    size = min(2.6, 0.28 * min(grid.step) * scale)
    # Left-out tiles first, so that a printed tile's solid line lies over a dotted one.
    every = [(row, column) for row in range(grid.rows) for column in range(grid.columns)]
    for tile in sorted(every, key=lambda tile: tile in printed):
        left, _, _, high = grid.window(tile)
        low, top = onto(left, high - grid.step[1]), onto(left + grid.step[0], high)
        strokes.append(rectangle(low, top, "furniture" if tile in printed else "measure", "sheet"))
        if tile in printed:
            spot = _roomy((low[0], low[1], top[0], top[1]), inked, size)
            words.append(Word(grid.name(tile), spot, size, 0.0, "middle", "sheet", bold=True))
    words.append(Word("plan of the tiles", (corner[0], corner[1] - whole_y * scale - 3.5), 2.1, layer="sheet"))


def _roomy(cell: Box, inked: Floats, size: float) -> tuple[float, float]:
    """Return where in a tile of the plan its name keeps furthest off the pieces' lines: the middle of its baseline."""
    left, low, right, high = cell
    across = np.linspace(left + size * 1.3, right - size * 1.3, 7)
    up = np.linspace(high - size, low + size, 7)
    spots = np.array([(x, y) for y in up for x in across])
    near = inked[(inked[:, 0] > left) & (inked[:, 0] < right) & (inked[:, 1] > low) & (inked[:, 1] < high)]
    # The middle of a tile is the best place for its name when nothing is drawn there.
    held = np.concatenate((near, np.array(((left, low), (right, high), (left, high), (right, low)))))
    away = np.abs(spots[:, None, :] - held[None, :, :]) / np.array((1.0, 0.6))
    x, y = spots[int(np.argmax(np.hypot(away[..., 0], away[..., 1]).min(axis=1)))].tolist()
    return x, y - size / 2


def _small(path: Path, scale: float, at: tuple[float, float]) -> Path:
    """Return a path drawn small, as few straight lines as half a millimetre can show."""
    points = np.concatenate((path.curves[:, 0], path.curves[-1:, 3])) * scale + np.array(at)
    run = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
    kept = np.concatenate(([True], np.diff(np.floor(run / 0.5)) > 0))
    kept[-1] = True
    return polyline(points[kept])
