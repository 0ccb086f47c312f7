"""Pins, notches, arrows: signs on a picture of cloth, sized for the paper whatever the cloth's scale is."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from onfold.drawing import PenName, Stroke, Word
from onfold.geometry.path import line, polyline

Point = tuple[float, float]
Floats = NDArray[np.float64]
LETTER = 3.2
"""Capital height of words in the pictures, drawing mm: half of it on the page."""


@dataclass(frozen=True)
class Sign:
    """A sign at a point of the table, mm, pointing along `way`; `said` stands beside it, on the side it points to.

    `size` drawing mm; `away` mm of cloth by which an arrow's tail lies back from `at`, where it is not 0.
    """

    kind: Literal["pin", "notch", "cross", "arrow", "tie", "button", "pull", "word"]
    at: Point
    way: Point = (0.0, 1.0)
    said: str = ""
    size: float = 0.0
    away: float = 0.0


def draw_sign(sign: Sign, at: Point, ratio: float) -> tuple[list[Stroke], list[Word]]:
    """Return the sign's strokes and words on paper, at a point of the paper."""
    size = math.hypot(*sign.way)
    way = (sign.way[0] / size, sign.way[1] / size) if size > 1e-9 else (0.0, 1.0)
    strokes = _DRAWN[sign.kind](sign, at, way, ratio)
    words = []
    if sign.said:
        side = 1.0 if way[0] >= 0 else -1.0
        off = 1.0 if sign.kind == "word" else 2.6
        place = (at[0] + off * side, at[1] - LETTER / 2)
        anchor: Literal["start", "end"] = "start" if side > 0 else "end"
        words.append(Word(sign.said, place, LETTER, anchor=anchor, layer="picture"))
    return strokes, words


def on(at: Point, way: Point, along: float, aside: float = 0.0) -> Point:
    """Return the point `along` the direction and `aside` to its left."""
    return at[0] + way[0] * along - way[1] * aside, at[1] + way[1] * along + way[0] * aside


def disc(at: Point, radius: float, filled: bool, pen: PenName = "notch") -> Stroke:
    """Return a round dot or ring."""
    turns = np.linspace(0.0, 2.0 * math.pi, 17)
    ring = np.column_stack((at[0] + radius * np.cos(turns), at[1] + radius * np.sin(turns)))
    return Stroke(polyline(ring), pen, "picture", closed=True, filled=filled)


def arrowhead(tip: Point, way: Point, size: float = 3.4) -> Stroke:
    """Return a filled arrowhead whose tip points along `way`."""
    ring = np.array([tip, on(tip, way, -size, 0.36 * size), on(tip, way, -size, -0.36 * size), tip])
    return Stroke(polyline(ring), "fill", "picture", closed=True, filled=True)


def _pin(sign: Sign, at: Point, way: Point, ratio: float) -> list[Stroke]:
    head, point = on(at, way, 3.2), on(at, way, -4.2)
    return [Stroke(line(point, head), "used", "picture", name="pin"), disc(head, 0.75, True, "fill")]


def _notch(sign: Sign, at: Point, way: Point, ratio: float) -> list[Stroke]:
    return [Stroke(line(on(at, way, 0.8), on(at, way, -2.4)), "cut", "picture", name="notch")]


def _cross(sign: Sign, at: Point, way: Point, ratio: float) -> list[Stroke]:
    arm = sign.size or 1.8
    return [
        Stroke(
            line((at[0] - arm, at[1] - arm), (at[0] + arm, at[1] + arm)), "cut", "picture", name=sign.said or "mark"
        ),
        Stroke(line((at[0] - arm, at[1] + arm), (at[0] + arm, at[1] - arm)), "cut", "picture"),
    ]


def _arrow(sign: Sign, at: Point, way: Point, ratio: float) -> list[Stroke]:
    long = max(sign.size or 10.0, 4.0) if not sign.away else max(sign.away * ratio, 4.0)
    return [Stroke(line(on(at, way, -long), on(at, way, -2.0)), "notch", "picture"), arrowhead(at, way)]


def _tie(sign: Sign, at: Point, way: Point, ratio: float) -> list[Stroke]:
    return [Stroke(line(at, on(at, way, sign.away * ratio)), "measure", "picture")]


def _button(sign: Sign, at: Point, way: Point, ratio: float) -> list[Stroke]:
    return [
        disc(at, 1.6, False),
        disc((at[0], at[1] + 0.5), 0.25, True, "fill"),
        disc((at[0], at[1] - 0.5), 0.25, True, "fill"),
    ]


def _pull(sign: Sign, at: Point, way: Point, ratio: float) -> list[Stroke]:
    """Return a zip's slider and its pull, hanging along `way`."""
    low = on(at, way, 5.4)
    ring = np.array(
        [
            on(at, way, -1.2, 1.3),
            on(at, way, -1.2, -1.3),
            on(at, way, 1.6, -0.9),
            on(at, way, 1.6, 0.9),
            on(at, way, -1.2, 1.3),
        ]
    )
    return [
        Stroke(polyline(ring), "fill", "picture", closed=True, filled=True, name="zip slider"),
        Stroke(line(on(at, way, 1.6), low), "cut", "picture"),
        disc(low, 0.8, False),
    ]


def _word(sign: Sign, at: Point, way: Point, ratio: float) -> list[Stroke]:
    return []


_DRAWN = {
    "pin": _pin,
    "notch": _notch,
    "cross": _cross,
    "arrow": _arrow,
    "tie": _tie,
    "button": _button,
    "pull": _pull,
    "word": _word,
}
