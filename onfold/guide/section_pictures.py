"""The sections of one finish set under one another, each with the words that say its stage."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from onfold.construction import Finish
from onfold.drawing import Stroke, Word
from onfold.geometry.path import moved
from onfold.guide.facts import say_small
from onfold.guide.section_edges import EDGES
from onfold.guide.section_seams import SEAMS, Panel, Scale
from onfold.guide.signs import LETTER
from onfold.lettering import width_of

LEAD = 2.6
"""Drawing mm between a panel and the words over it."""
_BODY, _MOST_K = 13.0, 4.2
Sheet = tuple[list[Stroke], list[Word], float, float]
"""Strokes, words, width and height of what is drawn, its least corner at (0, 0)."""


def panels_of(finish: Finish, units: Literal["in", "cm"], alone: bool, wide: float) -> list[Panel]:
    """Return the stages of a finish in section, at most `wide` drawing mm across; none for an edge left raw.

    `alone` is an edge joined to nothing.
    """
    kinds: dict[str, Callable[[Scale, Finish], list[Panel]]] = EDGES if alone else {**EDGES, **SEAMS}
    make = kinds.get(finish.kind)
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
        strokes += [
            Stroke(moved(s.path, dx, dy), s.pen, s.layer, s.closed, s.filled, s.name) for s in panel.board.strokes
        ]
        words += [
            Word(w.text, (w.at[0] + dx, w.at[1] + dy), w.size, w.angle, w.anchor, w.layer, w.bold)
            for w in panel.board.words
        ]
        y -= (high - low) + 5.0
    high = -y - 5.0
    lifted = [Stroke(moved(s.path, 0.0, high), s.pen, s.layer, s.closed, s.filled, s.name) for s in strokes]
    set_words = [Word(w.text, (w.at[0], w.at[1] + high), w.size, w.angle, w.anchor, w.layer, w.bold) for w in words]
    return lifted, set_words, across, high
