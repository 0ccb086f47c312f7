"""Strokes and words on a plane, with no idea of a file format: what every writer receives.

Millimetres, Y up. A drawing may hold smaller drawings' content only by copying strokes: there is no tree.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from onfold.geometry.path import Path, moved

PenName = Literal[
    "cut",
    "seam",
    "fold",
    "grain",
    "level",
    "inner",
    "dots",
    "notch",
    "furniture",
    "new",
    "used",
    "old",
    "measure",
    "before",
    "after",
    "fill",
    "row",
    "tacking",
    "cover",
]
Layer = Literal["cut lines", "seam lines", "fold lines", "grain lines", "levels", "marks", "words", "sheet", "picture"]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True)
class Pen:
    """How a kind of line is drawn: `width` mm, `dash` mm on and off (empty: solid), `ink` 0 black to 1 white."""

    width: float
    dash: tuple[float, ...] = ()
    ink: float = 0.0


PENS: dict[str, Pen] = {
    "cut": Pen(0.7),
    "seam": Pen(0.35, (4.0, 2.0)),
    "fold": Pen(0.5, (9.0, 2.0, 2.0, 2.0)),
    "grain": Pen(0.35),
    "level": Pen(0.18, (1.0, 1.5)),
    "inner": Pen(0.3, (2.0, 1.5)),
    "dots": Pen(0.6, (0.5, 1.7)),
    "notch": Pen(0.5),
    "furniture": Pen(0.2),
    "new": Pen(0.8),
    "used": Pen(0.3),
    "old": Pen(0.3, (), 0.65),
    "measure": Pen(0.25, (0.6, 0.8)),
    "before": Pen(0.2, (1.4, 0.9)),
    "after": Pen(0.55),
    "fill": Pen(0.0),
    "row": Pen(0.6, (2.2, 1.3)),
    "tacking": Pen(0.5, (5.0, 2.6)),
    "cover": Pen(0.3, (), 1.0),
}
"""Told apart by weight and dash alone, so that a photocopy still reads. `row` is sewn, `tacking` taken out again;
`cover`, filled, is cloth that hides what was drawn before it."""


@dataclass(frozen=True, eq=False)
class Stroke:
    """A drawn line. `closed` joins its end to its start; `filled` inks the inside (arrowheads, notches).

    `name` says what it is for those who read the drawing back: `front seam line`, `waist of front`.
    """

    path: Path
    pen: PenName
    layer: Layer
    closed: bool = False
    filled: bool = False
    name: str = ""


@dataclass(frozen=True)
class Word:
    """A line of text: `at` its baseline anchor, `size` mm of capital height, `angle` degrees anticlockwise."""

    text: str
    at: tuple[float, float]
    size: float = 3.5
    angle: float = 0.0
    anchor: Anchor = "start"
    layer: Layer = "words"
    bold: bool = False


@dataclass(frozen=True, eq=False)
class Drawing:
    """Strokes and words within `box` (least x, least y, most x, most y), mm. `title` is its text alternative."""

    strokes: tuple[Stroke, ...]
    words: tuple[Word, ...]
    box: tuple[float, float, float, float]
    title: str = ""
    notes: dict[str, str] = field(default_factory=dict)

    @property
    def size(self) -> tuple[float, float]:
        """Return width and height, mm."""
        return self.box[2] - self.box[0], self.box[3] - self.box[1]


def shifted(drawing: Drawing, dx: float, dy: float) -> Drawing:
    """Return the drawing moved by (dx, dy) mm."""
    strokes, words = tuple(moved_strokes(drawing.strokes, dx, dy)), tuple(moved_words(drawing.words, dx, dy))
    a, b, c, d = drawing.box
    return Drawing(strokes, words, (a + dx, b + dy, c + dx, d + dy), drawing.title, drawing.notes)


def moved_strokes(strokes: Iterable[Stroke], dx: float, dy: float) -> list[Stroke]:
    """Return the strokes moved by (dx, dy) mm."""
    return [Stroke(moved(s.path, dx, dy), s.pen, s.layer, s.closed, s.filled, s.name) for s in strokes]


def moved_words(words: Iterable[Word], dx: float, dy: float) -> list[Word]:
    """Return the words moved by (dx, dy) mm."""
    return [Word(w.text, (w.at[0] + dx, w.at[1] + dy), w.size, w.angle, w.anchor, w.layer, w.bold) for w in words]


def box_of(strokes: tuple[Stroke, ...], margin: float = 0.0) -> tuple[float, float, float, float]:
    """Return the box around the control points of all strokes, widened by `margin` mm."""
    if not strokes:
        return (0.0, 0.0, 0.0, 0.0)
    corners = np.concatenate([stroke.path.curves.reshape(-1, 2) for stroke in strokes])
    low, high = corners.min(axis=0) - margin, corners.max(axis=0) + margin
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])
