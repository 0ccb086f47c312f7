"""The sections of one finish set under one another, each with the words that say its stage."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from onfold.construction import Finish
from onfold.drawing import Stroke, Word, moved_strokes, moved_words
from onfold.guide.section_edges import EDGES
from onfold.guide.section_seams import SEAMS, Panel, Scale, closed_end, into_the_band
from onfold.guide.signs import LETTER
from onfold.lettering import width_of
from onfold.units import say_small

LEAD = 2.6
"""Drawing mm between a panel and the words over it."""
_BODY, _MOST_K = 13.0, 4.2
Sheet = tuple[list[Stroke], list[Word], float, float]
"""Strokes, words, width and height of what is drawn, its least corner at (0, 0)."""


Use = Literal["", "into the band", "closed end"]
"""What becomes of a seam where its kind alone does not tell."""


def panels_of(finish: Finish, units: Literal["in", "cm"], alone: bool, wide: float, use: Use = "") -> list[Panel]:
    """Return the stages of a finish in section, at most `wide` drawing mm across; none for an edge left raw.

    `alone` is an edge joined to nothing; `use` says that a seam lies inside a band, or closes its end.
    """
    kinds: dict[str, Callable[[Scale, Finish], list[Panel]]] = EDGES if alone else {**EDGES, **SEAMS}
    make = kinds.get(finish.kind)
    if finish.kind == "plain" and use:
        make, alone = into_the_band if use == "into the band" else closed_end, False
    if make is None or not _has_size(finish, alone):
        return []

    def say(mm: float) -> str:
        return say_small(mm, units)

    k = _MOST_K
    panels = make(Scale(k, _BODY, say), finish)
    for _ in range(6):
        across = max(panel.board.box[2] - panel.board.box[0] for panel in panels)
        if across <= wide or k < 0.02:
            break
        k *= 0.97 * max(0.3, (wide - 2 * _BODY) / max(across - 2 * _BODY, 1e-6))
        panels = make(Scale(k, _BODY, say), finish)
    return panels


def _has_size(finish: Finish, alone: bool) -> bool:
    """Return whether there is anything to draw: a seam without an allowance, or a hem without a depth, has not."""
    if finish.kind in ("single turned", "double turned"):
        return finish.depth > 0.0 and bool(finish.turns)
    return finish.kind == "folded facing" or alone or (finish.allowance > 0.0 and bool(finish.rows))


def stacked(panels: list[Panel], wide: float) -> Sheet:
    """Return the panels below one another, their words over them, in the middle of a sheet at least `wide` across."""
    strokes: list[Stroke] = []
    words: list[Word] = []
    y = 0.0
    across = max([wide, *(panel.board.box[2] - panel.board.box[0] for panel in panels)])
    across = max([across, *(width_of(panel.shows, LETTER) + 1.5 for panel in panels)])
    for panel in panels:
        left, low, right, high = panel.board.box
        y -= LETTER
        words.append(Word(panel.shows, (0.0, y), LETTER, layer="picture"))
        y -= LEAD + 1.0
        dx, dy = (across - (right - left)) / 2 - left, y - high
        strokes += moved_strokes(panel.board.strokes, dx, dy)
        words += moved_words(panel.board.words, dx, dy)
        y -= (high - low) + 5.0
    high = -y - 5.0
    lifted = moved_strokes(strokes, 0.0, high)
    set_words = moved_words(words, 0.0, high)
    return lifted, set_words, across, high


def in_a_row(panels: list[Panel], gap: float) -> Sheet:
    """Return the panels beside one another, their tops level, as one sheet."""
    sheets = [stacked([panel], 0.0) for panel in panels]
    high = max((sheet[3] for sheet in sheets), default=0.0)
    strokes: list[Stroke] = []
    words: list[Word] = []
    x = 0.0
    for own_strokes, own_words, wide, tall in sheets:
        dy = high - tall
        strokes += moved_strokes(own_strokes, x, dy)
        words += moved_words(own_words, x, dy)
        x += wide + gap
    return strokes, words, max(x - gap, 0.0), high
