"""What stands on a tile beside the pattern: its name and facts, the trimming lines, the marks that join it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from onfold.drawing import Drawing, Stroke, Word
from onfold.geometry.path import line, polyline
from onfold.pattern import Pattern
from onfold.sheets.facts import SheetFacts, told_title, told_wearer, untaped
from onfold.sheets.grid import Grid, Tile
from onfold.sheets.space import Floats, frame_points, word_frame
from onfold.sheets.stops import STOP, stops_of
from onfold.sheets.symbols import circle
from onfold.writers.font import width_of

_DIAMOND = 5.0
_PLACES = (0.25, 0.75, 0.5, 0.35, 0.65, 0.15, 0.85)


@dataclass(frozen=True)
class Join:
    """Where two tiles meet: `number` stands on both halves of its diamonds, whose middles `at` lie on the sheet."""

    number: int
    first: Tile
    second: Tile
    at: tuple[tuple[float, float], ...]


def joins_of(grid: Grid, points: Floats) -> list[Join]:
    """Return all joins between printed tiles, numbered as they are pasted; marks keep off the ink if they can."""
    printed, found = set(grid.tiles), []
    for row, column in grid.tiles:
        left, low, right, high = grid.window((row, column))
        beside, below = (row, column + 1), (row + 1, column)
        if beside in printed:
            spots = [(right - grid.overlap, high - share * (high - low)) for share in _PLACES]
            found.append(((row, column), beside, _clearest(spots, points)))
        if below in printed:
            spots = [(left + share * (right - left), low + grid.overlap) for share in _PLACES]
            found.append(((row, column), below, _clearest(spots, points)))
    return [Join(number, first, second, at) for number, (first, second, at) in enumerate(found, start=1)]


def _clearest(spots: list[tuple[float, float]], points: Floats) -> tuple[tuple[float, float], ...]:
    """Return two of the spots: the first two that no ink comes near, else the usual ones."""
    spot_array = np.array(spots)
    (left, low), (right, high) = spot_array.min(axis=0) - 8.0, spot_array.max(axis=0) + 8.0
    x, y = points.T
    near = points[(x >= left) & (x <= right) & (y >= low) & (y <= high)]
    if not len(near):
        return spots[0], spots[1]
    far = np.abs(near[:, None, :] - spot_array[None, :, :]).max(axis=2).min(axis=0)
    free = [spot for spot, clear in zip(spots, far.tolist(), strict=True) if clear > _DIAMOND + 0.5]
    kept = (free + [spot for spot in spots if spot not in free])[:2]
    return kept[0], kept[1]


def furnish(
    tile: Tile, grid: Grid, joins: list[Join], points: Floats, pattern: Pattern, facts: SheetFacts, margin: float
) -> Drawing:
    """Return all of a tile's furniture, in mm of its page from the lower left corner."""
    left, low, right, high = grid.window(tile)
    window = (margin, margin, margin + grid.width, margin + grid.height)
    shift = (margin - left, margin - low)
    strokes = _corner_ticks(window)
    words = _facts_line(grid.name(tile), pattern, facts, grid, margin)
    x, y = points.T
    within = (x > left) & (x < right) & (y > low) & (y < high)
    own = points[within] + np.array(shift)
    for join in joins:
        if tile in (join.first, join.second):
            _join_marks(join, tile, shift, window, grid, strokes, words)
    _strip_words(tile, joins, window, grid, own, words)
    if len(grid.tiles) > 1:
        _big_name(grid.name(tile), window, own, strokes, words)
    return Drawing(tuple(strokes), tuple(words), (0.0, 0.0, *grid.page), f"tile {grid.name(tile)}")


def _corner_ticks(window: tuple[float, float, float, float]) -> list[Stroke]:
    """Return short ticks at the four corners of the printed part: a whole border would be taken for a line to cut."""
    left, low, right, high = window
    return [
        Stroke(line((x, y), end), "furniture", "sheet")
        for x, inward in ((left, 5.0), (right, -5.0))
        for y, upward in ((low, 5.0), (high, -5.0))
        for end in ((x + inward, y), (x, y + upward))
    ]


def _join_marks(
    join: Join,
    tile: Tile,
    shift: tuple[float, float],
    window: tuple[float, float, float, float],
    grid: Grid,
    strokes: list[Stroke],
    words: list[Word],
) -> None:
    """Draw this tile's halves of a join's diamonds, and the line it is trimmed at or the other is laid to."""
    beside, first = join.first[0] == join.second[0], tile == join.first
    half = _DIAMOND
    for x, y in ((at[0] + shift[0], at[1] + shift[1]) for at in join.at):
        if beside:
            tip, ends = (x - half if first else x + half, y), ((x, y - half), (x, y + half))
            spot, anchor = ((x - 0.7, y - 0.8), "end") if first else ((x + 0.7, y - 0.8), "start")
        else:
            tip, ends = (x, y + half if first else y - half), ((x - half, y), (x + half, y))
            spot, anchor = ((x, y + 0.8), "middle") if first else ((x, y - 2.4), "middle")
        strokes.append(Stroke(polyline((ends[0], tip, ends[1], ends[0])), "used", "sheet", closed=True))
        words.append(Word(str(join.number), spot, 1.6, 0.0, anchor, "sheet"))  # type: ignore[arg-type]
    if beside:
        edge = window[2] - grid.overlap if first else window[0]
        strokes.append(Stroke(line((edge, window[1]), (edge, window[3])), "furniture", "sheet"))
    else:
        edge = window[1] + grid.overlap if first else window[3]
        strokes.append(Stroke(line((window[0], edge), (window[2], edge)), "furniture", "sheet"))


def _strip_words(
    tile: Tile,
    joins: list[Join],
    window: tuple[float, float, float, float],
    grid: Grid,
    own: Floats,
    words: list[Word],
) -> None:
    """Say on each strip which tile is laid on it, where the strip has a place free of ink."""
    if grid.overlap < 6.0:
        return
    middle = grid.overlap / 2
    for join in joins:
        if join.first != tile:
            continue
        beside = join.first[0] == join.second[0]
        text = f"{grid.name(join.second)} is pasted here"
        for share in (0.5, 0.4, 0.6, 0.32, 0.68, 0.12, 0.88):
            if beside:
                spot = (window[2] - middle + 0.9, window[3] - share * grid.height)
            else:
                spot = (window[0] + share * grid.width, window[1] + middle - 0.9)
            word = Word(text, spot, 1.8, 90.0 if beside else 0.0, "middle", "sheet")
            if _is_clear(word, own):
                words.append(word)
                break


def _is_clear(word: Word, points: Floats) -> bool:
    at, width, height, turn = word_frame(word)
    away = points - np.array(at)
    along = away[:, 0] * np.cos(turn) + away[:, 1] * np.sin(turn)
    up = away[:, 1] * np.cos(turn) - away[:, 0] * np.sin(turn)
    return not bool(((np.abs(along) < width / 2 + 2.0) & (np.abs(up) < height / 2 + 2.0)).any())


def _facts_line(name: str, pattern: Pattern, facts: SheetFacts, grid: Grid, margin: float) -> list[Word]:
    """Return the words in the margins: below, garment, wearer, date and paper; above, a stop and what was not taped."""
    parts = (told_title(pattern, facts), told_wearer(pattern, facts), facts.date, facts.paper.name)
    room = grid.width - 2.0
    base = max(1.5, margin - 3.6)
    label = f"tile {name}" if len(grid.tiles) > 1 else ""
    words = [Word(label, (margin, base), 2.2, bold=True, layer="sheet")] if label else []
    start = width_of(label, 2.2, True) + 4.0 if label else 0.0
    words.append(_within(" · ".join(part for part in parts if part), (margin + start, base), room - start))
    names, high, start = untaped(pattern, facts), grid.page[1] - margin + 1.6, 0.0
    if stops_of(pattern):
        words.append(Word(STOP, (margin, high), 2.2, bold=True, layer="sheet"))
        start = width_of(STOP, 2.2, True) + 4.0
    if names:
        words.append(_within("not taped: " + ", ".join(names), (margin + start, high), room - start))
    return words


def _within(text: str, at: tuple[float, float], room: float) -> Word:
    """Return words made small enough for the room, and ended by dots where even 1.4 mm is too large."""
    size = 2.0
    while size > 1.4 and width_of(text, size) > room:
        size -= 0.1
    while width_of(text, size) > room and len(text) > 2:
        text = text[:-2] + "…"
    return Word(text, at, size, layer="sheet")


def _big_name(
    name: str, window: tuple[float, float, float, float], own: Floats, strokes: list[Stroke], words: list[Word]
) -> None:
    """Set the tile's name large, in a ring, in the roomiest spot; leave it out where there is none."""
    across = np.linspace(window[0] + 26.0, window[2] - 26.0, 7)
    up = np.linspace(window[1] + 26.0, window[3] - 26.0, 9)
    spots = np.array([(x, y) for y in up[::-1] for x in across])
    held = [own] + [frame_points(*word_frame(word), 4.0) for word in words]
    points = np.concatenate(held)
    clear = ((spots[:, 0, None] - points[:, 0]) ** 2 + (spots[:, 1, None] - points[:, 1]) ** 2).min(axis=1)
    best = int(np.argmax(clear))
    if clear[best] < 13.0**2:
        return
    x, y = spots[best].tolist()
    strokes.append(Stroke(circle((x, y), 9.0), "furniture", "sheet", closed=True))
    size = 5.0 if len(name) <= 2 else 3.6
    words.append(Word(name, (x, y - size / 2), size, 0.0, "middle", "sheet", bold=True))
