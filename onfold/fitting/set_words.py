"""Words set in a column: headings with lines below, cut down step by step where a page holds no more."""

from __future__ import annotations

from collections.abc import Sequence

from onfold.drawing import Word
from onfold.fitting.telling import Told
from onfold.lettering import LEAD, wrapped

_LEAD = LEAD * 0.92
_BEFORE_HEADING = 1.1
_INDENT = 1.4


def column_height(told: Sequence[Told], wide: float, size: float) -> float:
    """Return how deep a column of headings and lines is, mm."""
    return set_column(told, (0.0, 0.0), wide, size)[1]


def set_column(told: Sequence[Told], at: tuple[float, float], wide: float, size: float) -> tuple[list[Word], float]:
    """Return the words of a column, its upper left corner at a point, and how deep it is, mm."""
    words: list[Word] = []
    x, top = at
    y = top
    for number, each in enumerate(told):
        y -= size * _BEFORE_HEADING if number else 0.0
        for row in wrapped(each.heading, wide, size, True):
            y -= size * _LEAD
            words.append(Word(row, (x, y), size, bold=True))
        for text in each.lines:
            for k, row in enumerate(wrapped(text, wide - size * _INDENT, size)):
                y -= size * _LEAD
                words.append(Word(row, (x + (size * _INDENT if k else size * 0.4), y), size))
    return words, top - y


def shortened(told: Sequence[Told], lines: int, sentence: bool = False) -> list[Told]:
    """Return the same with at most so many lines under a heading; `sentence` keeps the first sentence of each."""
    found = []
    for each in told:
        rows = [_first(text) if sentence else text for text in each.lines]
        more = len(rows) - lines
        found.append(Told(each.heading, (*rows[:lines], f"and {more} more") if more > 1 else tuple(rows)))
    return found


def _first(text: str) -> str:
    head, dot, rest = text.partition(". ")
    return f"{head}. …" if dot and rest else text
