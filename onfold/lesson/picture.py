"""A step's drawing as a small picture on the page: new lines inked heavy, used ones thin, the rest grey, a tape below.

The sheets' own writer keeps a drawing at full size. A picture in the lesson is small and must stay readable, so
lines and words keep their size on the page however far the draft is reduced, and every picture carries a scale. Where
a step changes a small part of a piece that part is drawn large, and an inset shows where it lies.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from onfold.drawing import Drawing, PenName, Stroke, Word, box_of
from onfold.geometry.path import flatten
from onfold.lesson.labels import Label, Name, closely, place_labels
from onfold.units import UNITS, say_length
from onfold.writers.markup import safe, shown

WIDEST, MIDDLE, TALLEST = 430.0, 300.0, 225.0
LARGE, LARGE_HIGH = 470.0, 290.0
MARGIN, FOOT, LEAST = 20.0, 26.0, 64.0
"""px on the page: the most a picture takes, the most its drawing takes across and up; the same where a part is drawn
large; its margins, the room for the tape below, the least it is drawn in."""
BESIDE, MOST_BESIDE = 74.0, 150.0
"""px: the room for names beside the drawing, at least and at most."""
INSET, INSET_HIGH = 46.0, 96.0
"""px: the most an inset takes."""
PART, LEAST_PART, ROUND, RIM = 0.62, 0.3, 0.15, 0.03
"""A part of a piece is drawn large where it takes no more than this share of it; it takes no less than the second; so
much of it is shown round what changes, and so much beyond the piece, for names."""
SMALL, LONE = 0.15, 25.0
"""A drawing smaller than this share of its piece's frame has a frame of its own, or it could not be read; but not one
of less than 25 mm, which is a lone point and is read by its place."""
SPOT = 5.0
"""mm: what is no larger marks a point, and is drawn as a dot."""

_BARS: dict[str, tuple[float, ...]] = {"cm": (0.5, 1, 2, 5, 10, 20, 50, 100), "in": (0.25, 0.5, 1, 2, 4, 8, 12, 24, 36)}
_BACK_TO_FRONT: tuple[PenName, ...] = (
    "fill", "old", "furniture", "level", "inner", "used", "fold", "grain", "seam", "cut", "measure", "notch", "new",
)  # fmt: skip

Frame = tuple[float, float, float, float]
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Picture:
    """An `svg` element, the words that found no room in it, whether it shows a part of the piece, and its labels."""

    svg: str
    crowded_out: tuple[str, ...]
    in_part: bool
    labels: tuple[Label, ...] = ()
    names: tuple[Name, ...] = ()


@dataclass(frozen=True, eq=False)
class _Sheet:
    """How a frame of the draft lies in the picture: `points @ turn + origin` gives px, Y down.

    `drawn` is the frame in px, `inset` how the whole piece lies in the inset, where there is one.
    """

    scale: float
    width: float
    height: float
    turn: Floats
    origin: Floats
    drawn: Frame
    inset: _Sheet | None = None

    def put(self, points: Floats) -> Floats:
        """Return points (..., 2) of the draft, mm, in px."""
        moved: Floats = points @ self.turn + self.origin
        return moved


def frame_of(drawings: Iterable[Drawing]) -> Frame | None:
    """Return the frame around all strokes of these drawings, mm: shared, the draft grows in it and nothing jumps."""
    strokes = [stroke for drawing in drawings for stroke in _sound(drawing)]
    return box_of(tuple(strokes)) if strokes else None


def draw_picture(
    drawing: Drawing,
    alt: str,
    units: Literal["in", "cm"],
    frame: Frame | None = None,
    focus: Frame | None = None,
    tallest: float = TALLEST,
) -> Picture | None:
    """Return the drawing as a small picture with a scale bar, within `frame`; None for nothing but points.

    `focus` is what changes, mm: where that is a small part of the frame, that part is drawn large beside an inset.
    `tallest` is the most the drawing takes up the page, px.
    """
    strokes = _sound(drawing)
    if all(map(_is_spot, strokes)):
        return None
    own = box_of(tuple(strokes))
    words = [word for word in drawing.words if np.isfinite(word.at).all()]
    alone = frame is None or LONE < _reach(own) < SMALL * _reach(frame)
    whole = own if alone or frame is None else frame
    window = _window(own, focus) if focus is not None else None
    longest = max((len(shown(word.text)) for word in words), default=0)
    sheet = _lay_out(window or whole, longest, own if window else None, tallest)
    names = _names(strokes, words, sheet)
    ink = _ink([each for each in strokes if each.pen != "fill"], sheet)
    if window:
        ink = np.concatenate((ink, closely(_ring(_edge(sheet)))))
    taken = [sheet.inset.drawn] if sheet.inset else []
    room = (2.0, 2.0, sheet.width - 2.0, sheet.height - FOOT + 4.0)
    placed, crowded = place_labels(names, room, ink, sheet.drawn, taken)
    parts = [
        f'<svg role="img" aria-label="{safe(alt)}" viewBox="0 0 {_n(sheet.width)} {_n(sheet.height)}" '
        f'width="{_n(sheet.width)}" height="{_n(sheet.height)}">',
        _inset(strokes, sheet, window) if window and sheet.inset else "",
        _clipped(_lines(strokes, sheet), sheet) if window else _lines(strokes, sheet),
        *(_text(each) for each in placed),
        _tape(sheet, units),
        "</svg>",
    ]
    return Picture("".join(parts), tuple(crowded), window is not None, tuple(placed), tuple(names))


def _window(own: Frame, focus: Frame) -> Frame | None:
    """Return the part of a piece to be drawn large, mm; None where it takes most of it."""
    reach = _reach(own)
    least, room = LEAST_PART * reach, ROUND * _reach(focus)
    ends: list[tuple[float, float]] = []
    for axis in (0, 1):
        low, high = focus[axis], focus[axis + 2]
        half = max((high - low) / 2 + room, least / 2)
        middle = (low + high) / 2
        rim = RIM * reach
        ends.append((max(middle - half, own[axis] - rim), min(middle + half, own[axis + 2] + rim)))
    window = ends[0][0], ends[1][0], ends[0][1], ends[1][1]
    return window if _reach(window) <= PART * reach and reach > LONE else None


def _names(strokes: list[Stroke], words: list[Word], sheet: _Sheet) -> list[Name]:
    """Return every word with the ink of what it names: the strokes of its name, or the point where it stands."""
    lines = [each for each in strokes if not _is_spot(each) and each.pen != "fill"]
    marked = [sheet.put(each.path.curves[:, ::3].reshape(-1, 2).mean(axis=0)) for each in strokes if _is_spot(each)]
    marked += [sheet.put(np.array(word.at)) for word in words if not _line_called(word, lines)]
    spots = np.array(marked).reshape(-1, 2)
    spots = spots[_within(spots, sheet.drawn)]
    names: list[Name] = []
    told: set[tuple[str, tuple[int, ...]]] = set()
    for word in words:
        text = shown(word.text)
        named = _line_called(word, lines)
        here = sheet.put(np.array(word.at))
        place = () if named else tuple(np.round(here).astype(int).tolist())
        if not text or (text, place) in told:
            continue
        told.add((text, place))
        if named:
            own, others = _ink(named, sheet), _ink([each for each in lines if _like(each, named)], sheet)
        else:
            own = here[None]
            others = spots[np.abs(spots - here).max(axis=1) > 1.0]
        if len(own) and _within(own, sheet.drawn).any():
            names.append(Name(text, own[_within(own, sheet.drawn)], others, word.bold))
    return sorted(names, key=lambda each: len(each.own) > 1)


def _line_called(word: Word, lines: list[Stroke]) -> list[Stroke]:
    called = [each for each in lines if each.name and each.name == word.text]
    return [each for each in called if each.pen == "new"] or called


def _like(stroke: Stroke, named: list[Stroke]) -> bool:
    """Return whether a line might be taken for one of those named: the cut line beside a seam line never is."""
    return stroke not in named and stroke.pen != "cut"


def _is_spot(stroke: Stroke) -> bool:
    size = np.ptp(stroke.path.curves.reshape(-1, 2), axis=0)
    return stroke.layer == "marks" and bool((size < SPOT).all())


def _ink(strokes: list[Stroke], sheet: _Sheet) -> Floats:
    """Return what these strokes ink, as points (n, 2) px no farther than 3 px apart, within the drawing's frame."""
    lines = [closely(sheet.put(np.array(flatten(each.path, 0.5 / sheet.scale)))) for each in strokes]
    points = np.concatenate(lines) if lines else np.empty((0, 2))
    kept: Floats = points[_within(points, sheet.drawn)]
    return kept if len(kept) else points[:0] if sheet.inset else points


def _within(points: Floats, box: Frame) -> NDArray[np.bool_]:
    x, y = points[:, 0], points[:, 1]
    kept: NDArray[np.bool_] = (x >= box[0] - 1) & (x <= box[2] + 1) & (y >= box[1] - 1) & (y <= box[3] + 1)
    return kept


def _sound(drawing: Drawing) -> list[Stroke]:
    """Return the strokes that can be drawn: with curves, every figure of them one, none beyond a hundred metres."""
    return [each for each in drawing.strokes if len(each.path.curves) and (np.abs(each.path.curves) < 1e5).all()]


def _reach(frame: Frame) -> float:
    return max(frame[2] - frame[0], frame[3] - frame[1])


def _lay_out(frame: Frame, longest: int, whole: Frame | None, high: float) -> _Sheet:
    """Return how a frame lies on the page: names of so many letters beside it, at the left an inset of the whole."""
    across, up = max(frame[2] - frame[0], 1.0), max(frame[3] - frame[1], 1.0)
    names = min(max(longest * 7.0 + 22.0, BESIDE), MOST_BESIDE) if longest else MARGIN
    beside = INSET + 14.0 if whole else 0.0
    widest, tallest = (LARGE, LARGE_HIGH) if whole else (WIDEST, high)
    most = min(MIDDLE, widest - names - beside - MARGIN)
    scale = min(most / across, tallest / up)
    wide, high = across * scale, max(up * scale, LEAST if longest else LEAST / 2)
    left = names if wide + 2 * names + beside <= widest else MARGIN
    width, height = max(beside + left + wide + names, 2 * LEAST), high + MARGIN + FOOT
    x, y = beside + left + max(0.0, 2 * LEAST - beside - left - wide - names) / 2, MARGIN / 2 + (high - up * scale) / 2
    turn = np.array([[scale, 0.0], [0.0, -scale]])
    origin = np.array([x - frame[0] * scale, y + frame[3] * scale])
    drawn = (x, y, x + wide, y + up * scale)
    return _Sheet(scale, width, height, turn, origin, drawn, _lay_inset(whole, height) if whole else None)


def _lay_inset(whole: Frame, height: float) -> _Sheet:
    across, up = max(whole[2] - whole[0], 1.0), max(whole[3] - whole[1], 1.0)
    scale = min((INSET - 8.0) / across, INSET_HIGH / up)
    turn = np.array([[scale, 0.0], [0.0, -scale]])
    x, y = 6.0, MARGIN / 2 + 2.0
    origin = np.array([x - whole[0] * scale, y + whole[3] * scale])
    drawn = (0.0, y - 4.0, x + across * scale + 6.0, y + up * scale + 4.0)
    return _Sheet(scale, INSET, height, turn, origin, drawn)


def _lines(strokes: list[Stroke], sheet: _Sheet) -> str:
    dots: set[str] = set()
    parts: list[str] = []
    for each in sorted(strokes, key=lambda one: _BACK_TO_FRONT.index(one.pen)):
        drawn = _dot(each, sheet) if _is_spot(each) else _line(each, sheet)
        if drawn not in dots:
            parts.append(drawn)
        if _is_spot(each):
            dots.add(drawn)
    return "".join(parts)


def _clipped(lines: str, sheet: _Sheet) -> str:
    """Return lines cut off at the window's edge, with the edge drawn: an inner `svg` hides what lies beyond it."""
    x, y, right, low = _edge(sheet)
    wide, high = right - x, low - y
    box = f'x="{_n(x)}" y="{_n(y)}" width="{_n(wide)}" height="{_n(high)}"'
    view = f'viewBox="{_n(x)} {_n(y)} {_n(wide)} {_n(high)}"'
    return f'<svg {box} {view}>{lines}</svg><rect class="window" {box}/>'


def _edge(sheet: _Sheet) -> Frame:
    """Return the edge of the window, px: a little outside what it shows."""
    x, y, right, low = sheet.drawn
    return x - 4.0, y - 4.0, right + 4.0, low + 4.0


def _ring(box: Frame) -> Floats:
    x, y, right, low = box
    return np.array([(x, y), (right, y), (right, low), (x, low), (x, y)])


def _inset(strokes: list[Stroke], sheet: _Sheet, window: Frame) -> str:
    """Return the whole piece, small, with a box round the part that is drawn large."""
    small = sheet.inset
    if small is None:
        return ""
    grey = [Stroke(each.path, "old", each.layer) for each in strokes if not _is_spot(each) and each.layer != "levels"]
    a, b = small.put(np.array([window[0], window[3]])), small.put(np.array([window[2], window[1]]))
    (x, y), (right, low) = a.tolist(), b.tolist()
    box = f'x="{_n(x - 2)}" y="{_n(y - 2)}" width="{_n(right - x + 4)}" height="{_n(low - y + 4)}"'
    return f'<g class="inset">{_lines(grey, small)}<rect class="window" {box}/></g>'


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


def _dot(stroke: Stroke, sheet: _Sheet) -> str:
    box = box_of((stroke,))
    x, y = sheet.put(np.array([(box[0] + box[2]) / 2, (box[1] + box[3]) / 2])).tolist()
    return f'<circle class="{stroke.pen}" cx="{_n(x)}" cy="{_n(y)}" r="{3 if stroke.pen == "new" else 1.6}"/>'


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
    word = f'<text x="{_n(label.x)}" y="{_n(label.y)}"{bold}>{safe(label.text)}</text>'
    if label.lead is None:
        return word
    a, b, x, y = map(_n, label.lead)
    return f'<path class="lead" d="M{a} {b}L{x} {y}"/><circle class="lead" cx="{x}" cy="{y}" r="1.8"/>{word}'


def _tape(sheet: _Sheet, units: Literal["in", "cm"]) -> str:
    """Return the scale bar: a piece of tape in four parts, every other one inked, its length written below it."""
    bar = _bar(sheet.scale, units)
    length, top = bar * sheet.scale, sheet.height - FOOT + 8.0
    middle = (sheet.drawn[0] + sheet.drawn[2]) / 2
    left, part = max(middle - length / 2, 2.0), length / 4
    box = '<rect class="{}" x="{}" y="{}" width="{}" height="4"/>'
    whole = box.format("tape", _n(left), _n(top), _n(length, 3))
    inked = "".join(box.format("ink", _n(left + at * part), _n(top), _n(part)) for at in (0, 2))
    word = f'<text class="scale" x="{_n(left + length / 2)}" y="{_n(top + 16)}">{safe(say_length(bar, units))}</text>'
    return f"<g>{whole}{inked}{word}</g>"


def _p(point: list[float]) -> str:
    return f"{_n(point[0])} {_n(point[1])}"


def _n(value: float, places: int = 1) -> str:
    text = f"{value:.{places}f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text
