"""Words set in columns: lines that stay with the next one, columns filled in turn and evened out at the end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from onfold.drawing import Drawing, Stroke, Word, shifted
from onfold.geometry.path import line
from onfold.lay.words import Section
from onfold.lettering import LEAD, width_of, wrapped


@dataclass(frozen=True, eq=False)
class Item:
    """A line of a column, `height` mm deep, its upper left corner at (0, 0). `held` may not be the last in a column.

    `space` is blank, mm, above it, left out at the top of a column.
    """

    words: tuple[Word, ...]
    height: float
    held: bool = False
    space: float = 0.0
    strokes: tuple[Stroke, ...] = ()


def items_of(section: Section, width: float, size: float) -> list[Item]:
    """Return a section's heading and its lines, broken to the column's width; a line's first two rows stay together."""
    found = [_heading(section.heading, size)]
    lead = size * 1.6
    if section.marks:
        lead = max(width_of(mark, size, True) for mark in section.marks) + size * 0.9
    for number, text in enumerate(section.lines):
        rows = wrapped(text, width - lead, size)
        mark = section.marks[number] if section.marks else "–"
        for k, row in enumerate(rows):
            words = [Word(row, (lead, -size * 1.3), size)]
            words += [Word(mark, (0.0, -size * 1.3), size, bold=bool(section.marks))] if not k else []
            held = len(rows) > 1 and k in (0, len(rows) - 2)
            found.append(Item(tuple(words), size * LEAD, held, size * 0.45 if not k else 0.0))
    return found


def table_items(
    title: str,
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    shares: Sequence[float],
    width: float,
    size: float,
) -> list[Item]:
    """Return a table as lines: its title, its heads over a rule, its rows."""
    lefts = [width * sum(shares[:at]) for at in range(len(shares))]
    found = [_heading(title, size)]
    top = tuple(Word(text, (x, -size * 1.3), size * 0.85) for text, x in zip(heads, lefts, strict=True))
    rule = Stroke(line((0.0, -size * 1.75), (width, -size * 1.75)), "furniture", "words")
    found.append(Item(top, size * (LEAD + 0.2), True, 0.0, (rule,)))
    for row in rows:
        cells = [
            wrapped(text, width * share - size * 0.8, size) or [""] for text, share in zip(row, shares, strict=True)
        ]
        deep = max(map(len, cells))
        words = tuple(
            Word(text, (x, -size * (1.3 + LEAD * k)), size)
            for own, x in zip(cells, lefts, strict=True)
            for k, text in enumerate(own)
        )
        found.append(Item(words, size * LEAD * deep))
    return found


def _heading(text: str, size: float) -> Item:
    return Item((Word(text, (0.0, -size * 1.5), size * 1.2, bold=True),), size * 2.1, True, size * 1.6)


def fill_columns(
    items: Sequence[Item], count: int, width: float, gap: float, height: float
) -> tuple[list[Stroke], list[Word], list[Item]]:
    """Return what stands in `count` columns under (0, 0), each `height` mm deep, and the items that are left over.

    Where all fit, the columns are made as even as they can be.
    """
    columns, rest = _split(items, count, height)
    if not rest:
        tall = sum(item.height + item.space for item in items) / count
        while tall < height:
            evened, over = _split(items, count, tall)
            if not over:
                columns = evened
                break
            tall += 1.0
    strokes: list[Stroke] = []
    words: list[Word] = []
    for number, column in enumerate(columns):
        more, said = _set(column, number * (width + gap))
        strokes, words = strokes + more, words + said
    return strokes, words, rest


def _split(items: Sequence[Item], count: int, height: float) -> tuple[list[list[Item]], list[Item]]:
    rest = list(items)
    columns: list[list[Item]] = []
    for _ in range(count):
        taken, deep = 0, 0.0
        while taken < len(rest):
            item = rest[taken]
            deep += item.height + (item.space if taken else 0.0)
            if deep > height:
                break
            taken += 1
        if taken < len(rest):
            whole = taken
            while taken > 0 and rest[taken - 1].held:
                taken -= 1
            taken = taken or max(whole, 1)
        columns.append(rest[:taken])
        rest = rest[taken:]
    return columns, rest


def _set(column: Sequence[Item], left: float) -> tuple[list[Stroke], list[Word]]:
    strokes: list[Stroke] = []
    words: list[Word] = []
    y = 0.0
    for number, item in enumerate(column):
        y -= item.space if number else 0.0
        placed = shifted(Drawing(item.strokes, item.words, (0.0, 0.0, 0.0, 0.0)), left, y)
        strokes += placed.strokes
        words += placed.words
        y -= item.height
    return strokes, words
