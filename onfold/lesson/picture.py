"""A step's drawing as a small picture on the page: new lines inked heavy, used ones thin, the rest grey, a tape below.

The sheets' own writer keeps a drawing at full size. A picture in the lesson is small and must stay readable, so
lines and words keep their size on the page however far the draft is reduced, and every picture carries a scale.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from onfold.drawing import Drawing, PenName, Stroke, Word, box_of
from onfold.geometry.path import flatten
from onfold.lesson.labels import Label, place_labels
from onfold.units import UNITS, say_length
from onfold.writers.markup import safe, shown

WIDEST, TALLEST = 320.0, 330.0
MARGIN, FOOT, LEAST = 20.0, 26.0, 64.0
"""px on the page: the most a picture takes, its margins, the room for the tape below, the least it is drawn in."""
BESIDE = 230.0
"""px: how far a narrow picture is widened so that words find room beside its lines."""
SMALL, LONE = 0.15, 25.0
"""A drawing smaller than this share of its piece's frame has a frame of its own, or it could not be read; but not one
of less than 25 mm, which is a lone point and is read by its place."""

_BARS: dict[str, tuple[float, ...]] = {"cm": (0.5, 1, 2, 5, 10, 20, 50, 100), "in": (0.25, 0.5, 1, 2, 4, 8, 12, 24, 36)}
_BACK_TO_FRONT: tuple[PenName, ...] = (
    "fill", "old", "furniture", "level", "inner", "used", "fold", "grain", "seam", "cut", "measure", "notch", "new",
)  # fmt: skip

Frame = tuple[float, float, float, float]
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Picture:
    """An `svg` element, its shape on the page, and the words that found no room in it."""

    svg: str
    shape: Literal["tall", "wide"]
    crowded_out: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class _Sheet:
    """How a frame of the draft lies in the picture: `points @ turn + origin` gives px, Y down."""

    scale: float
    width: float
    height: float
    turn: Floats
    origin: Floats

    def put(self, points: Floats) -> Floats:
        """Return points (..., 2) of the draft, mm, in px."""
        moved: Floats = points @ self.turn + self.origin
        return moved


def frame_of(drawings: Iterable[Drawing]) -> Frame | None:
    """Return the frame around all strokes of these drawings, mm: shared, the draft grows in it and nothing jumps."""
    strokes = [stroke for drawing in drawings for stroke in _sound(drawing)]
    return box_of(tuple(strokes)) if strokes else None


def draw_picture(drawing: Drawing, alt: str, units: Literal["in", "cm"], frame: Frame | None = None) -> Picture | None:
    """Return the drawing as a small picture with a scale bar, within `frame`; None where it has nothing to show."""
    strokes = _sound(drawing)
    if not strokes:
        return None
    own = box_of(tuple(strokes))
    words = [word for word in drawing.words if np.isfinite(word.at).all()]
    alone = frame is None or LONE < _reach(own) < SMALL * _reach(frame)
    sheet = _lay_out(own if alone or frame is None else frame, bool(words))
    drawn = [each for each in strokes if each.pen != "fill"]
    lines = [sheet.put(np.array(flatten(each.path, 0.5 / sheet.scale))) for each in drawn]
    labels = [_label(word, sheet) for word in words]
    new = [line for line, each in zip(lines, drawn, strict=True) if each.pen == "new"]
    labels.sort(key=lambda each: 0 if _touches(each, new) else 1)
    placed, crowded = place_labels(labels, (sheet.width, sheet.height - FOOT + 4.0), lines)
    order = sorted(strokes, key=lambda each: _BACK_TO_FRONT.index(each.pen))
    parts = [
        f'<svg role="img" aria-label="{safe(alt)}" viewBox="0 0 {_n(sheet.width)} {_n(sheet.height)}" '
        f'width="{_n(sheet.width)}" height="{_n(sheet.height)}">',
        *(_line(each, sheet) for each in order),
        *(_text(each) for each in placed),
        _tape(sheet, units),
        "</svg>",
    ]
    shape: Literal["tall", "wide"] = "tall" if sheet.height > 1.15 * sheet.width else "wide"
    return Picture("".join(parts), shape, tuple(each.text for each in crowded))


def _label(word: Word, sheet: _Sheet) -> Label:
    x, y = sheet.put(np.array(word.at)).tolist()
    return Label(shown(word.text), x, y, word.bold)


def _touches(label: Label, lines: list[Floats]) -> bool:
    """Return whether a word names a point of these lines: such words are set first, while there is room."""
    return any((np.abs(line - (label.x, label.y)) < 2.0).all(axis=1).any() for line in lines)


def _sound(drawing: Drawing) -> list[Stroke]:
    """Return the strokes that can be drawn: with curves, every figure of them one, none beyond a hundred metres."""
    return [each for each in drawing.strokes if len(each.path.curves) and (np.abs(each.path.curves) < 1e5).all()]


def _reach(frame: Frame) -> float:
    return max(frame[2] - frame[0], frame[3] - frame[1])


def _lay_out(frame: Frame, worded: bool) -> _Sheet:
    across, up = max(frame[2] - frame[0], 1.0), max(frame[3] - frame[1], 1.0)
    scale = min((WIDEST - 2 * MARGIN) / across, (TALLEST - MARGIN - FOOT) / up)
    wide, high = across * scale, max(up * scale, LEAST if worded else LEAST / 2)
    width = max(wide + 2 * MARGIN, BESIDE if worded else 2 * LEAST)
    turn = np.array([[scale, 0.0], [0.0, -scale]])
    left, top = (width - wide) / 2, MARGIN / 2 + (high - up * scale) / 2
    origin = np.array([left - frame[0] * scale, top + frame[3] * scale])
    return _Sheet(scale, width, high + MARGIN + FOOT, turn, origin)


def tell_picture(drawing: Drawing, step: int, piece: str) -> str:
    """Return the words that stand for the picture: its own title, then what is new in it and what that used."""
    title = shown(drawing.title) or f"Step {step}" + (f", {piece}" if piece else "")
    said = [title.rstrip(".")]
    for pen, words in (("new", "Drawn now"), ("used", "From")):
        names = list(dict.fromkeys(shown(each.name) for each in drawing.strokes if each.pen == pen and each.name))
        if names:
            said.append(f"{words}: {', '.join(names)}")
    return ". ".join(said) + "."


def _bar(scale: float, units: Literal["in", "cm"]) -> float:
    """Return the longest round length, mm, that takes no more than 90 px on the page; the least one at worst."""
    lengths = [each * UNITS[units] for each in _BARS[units]]
    return max((each for each in lengths if each * scale <= 90.0), default=lengths[0])


def _line(stroke: Stroke, sheet: _Sheet) -> str:
    moved = np.round(sheet.put(stroke.path.curves), 1).tolist()
    parts: list[str] = []
    last: list[float] | None = None
    for is_line, (a, b, c, d) in zip(stroke.path.straight.tolist(), moved, strict=True):
        if a != last:
            parts.append(f"M{_p(a)}")
        parts.append(f"L{_p(d)}" if is_line else f"C{_p(b)} {_p(c)} {_p(d)}")
        last = d
    kind = f"{stroke.pen} filled" if stroke.filled else stroke.pen
    length = ' pathLength="1"' if stroke.pen == "new" and not stroke.filled else ""
    return f'<path class="{kind}" d="{"".join(parts)}{"Z" if stroke.closed else ""}"{length}/>'


def _text(label: Label) -> str:
    bold = ' class="bold"' if label.bold else ""
    return f'<text x="{_n(label.x)}" y="{_n(label.y)}"{bold}>{safe(label.text)}</text>'


def _tape(sheet: _Sheet, units: Literal["in", "cm"]) -> str:
    """Return the scale bar: a piece of tape in four parts, every other one inked, its length written below it."""
    bar = _bar(sheet.scale, units)
    length, top = bar * sheet.scale, sheet.height - FOOT + 8.0
    left, part = (sheet.width - length) / 2, length / 4
    box = '<rect class="{}" x="{}" y="{}" width="{}" height="4"/>'
    whole = box.format("tape", _n(left), _n(top), _n(length, 3))
    inked = "".join(box.format("ink", _n(left + at * part), _n(top), _n(part)) for at in (0, 2))
    word = f'<text class="scale" x="{_n(sheet.width / 2)}" y="{_n(top + 16)}">{safe(say_length(bar, units))}</text>'
    return f"<g>{whole}{inked}{word}</g>"


def _p(point: list[float]) -> str:
    return f"{_n(point[0])} {_n(point[1])}"


def _n(value: float, places: int = 1) -> str:
    text = f"{value:.{places}f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text
