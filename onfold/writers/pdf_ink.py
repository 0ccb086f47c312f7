"""Strokes and words as the operators of a PDF content stream, in points, curves as curves.

Each layer's content stands between `/OC /NAME BDC` and `EMC`; a stroke with a name is wrapped once more in
`/Onfold <</Name (…)>> BDC … EMC`, so that any reader can find `side of front` again.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from itertools import groupby

import numpy as np

from onfold.drawing import PENS, Drawing, Pen, Stroke, Word
from onfold.writers.decimals import number
from onfold.writers.font import face, printable, width_of
from onfold.writers.pdf_objects import numbers, points, text_string

LAYERS: tuple[str, ...] = (
    "cut lines",
    "seam lines",
    "fold lines",
    "grain lines",
    "levels",
    "marks",
    "words",
    "sheet",
    "picture",
)
Coder = Callable[[str, bool], str]
"""Gives the hexadecimal codes of a printable text in the upright or bold face."""


def layer_tag(layer: str) -> str:
    """Return the resource name a layer goes by inside a content stream."""
    return f"L{LAYERS.index(layer)}"


def ink(drawing: Drawing, codes: Coder) -> bytes:
    """Return the content stream that draws all strokes, then all words; y up, the drawing's own origin, points."""
    parts: list[str] = []
    state: list[str] = [""]
    for layer, strokes in groupby(drawing.strokes, key=lambda stroke: stroke.layer):
        parts += [f"/OC /{layer_tag(layer)} BDC", *_stroke_lines(strokes, state), "EMC"]
    for layer, words in groupby(drawing.words, key=lambda word: word.layer):
        parts += [f"/OC /{layer_tag(layer)} BDC", "0 g BT", *(_word_line(word, codes) for word in words), "ET EMC"]
    return "\n".join(parts).encode("latin-1")


def _stroke_lines(strokes: Iterable[Stroke], state: list[str]) -> list[str]:
    lines: list[str] = []
    for stroke in strokes:
        way = _way(stroke)
        if not way:
            continue
        setting = _setting(PENS[stroke.pen])
        if stroke.name:
            lines.append(f"/Onfold <</Name {text_string(printable(stroke.name))}>> BDC")
        if setting != state[0]:
            lines.append(setting)
            state[0] = setting
        lines.append(f"{way} {_paint(stroke)}")
        if stroke.name:
            lines.append("EMC")
    return lines


def _setting(pen: Pen) -> str:
    cap, dash = (0, numbers(map(points, pen.dash))) if pen.dash else (1, "")
    grey = number(pen.ink)
    return f"{number(points(pen.width))} w {cap} J 1 j [{dash}] 0 d {grey} G {grey} g"


def _paint(stroke: Stroke) -> str:
    if not stroke.filled:
        return "s" if stroke.closed else "S"
    return "f" if PENS[stroke.pen].width == 0 else "b"


def _way(stroke: Stroke) -> str:
    """Return the path operators; empty for a path without curves or with a number that is none."""
    curves = stroke.path.curves
    if not len(curves) or not np.isfinite(curves).all():
        return ""
    steps = _shortened(np.round(curves * (72.0 / 25.4), 4) + 0.0)
    parts: list[str] = []
    last: tuple[str, str] | None = None
    first: tuple[str, str] | None = None
    final = len(steps) - 1
    for index, (straight, ((ax, ay), (bx, by), (cx, cy), (dx, dy))) in enumerate(
        zip(stroke.path.straight.tolist(), steps, strict=True)
    ):
        if (ax, ay) != last:
            parts.append(f"{ax} {ay} m")
            first = (ax, ay)
        last = (dx, dy)
        if not straight:
            parts.append(f"{bx} {by} {cx} {cy} {dx} {dy} c")
        elif not (stroke.closed and index == final and last == first):
            parts.append(f"{dx} {dy} l")
    return " ".join(parts)


def _shortened(values: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> list[list[tuple[str, str]]]:
    return [[(_short(x), _short(y)) for x, y in curve] for curve in values.tolist()]


def _short(value: float) -> str:
    text = repr(value)
    return number(value) if "e" in text else text.removesuffix(".0")


def _word_line(word: Word, codes: Coder) -> str:
    text = printable(word.text)
    size = points(word.size) * face(word.bold).units / face(word.bold).capital
    turn = math.radians(word.angle)
    cos, sin = math.cos(turn), math.sin(turn)
    back = {"start": 0.0, "middle": 0.5, "end": 1.0}[word.anchor] * width_of(text, word.size, word.bold)
    x, y = points(word.at[0] - back * cos), points(word.at[1] - back * sin)
    font = "FB" if word.bold else "F"
    return f"/{font} {number(size)} Tf {numbers((cos, sin, -sin, cos, x, y))} Tm <{codes(text, word.bold)}> Tj"
