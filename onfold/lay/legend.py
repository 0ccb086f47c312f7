"""What stands below the picture of a lay: the scale, the kinds of line that occur, what numbers stand for, cautions."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from onfold.drawing import Drawing, Stroke, Word, shifted
from onfold.geometry.hatching import hatch
from onfold.geometry.path import line, polyline
from onfold.lay.cloth_drawing import bars, ends_of
from onfold.lay.facts import CUT, LayFacts
from onfold.lay.measured import cut_singly
from onfold.lay.placed import Lay
from onfold.lay.signs import View, box, chalk_arrow, diamond, head, ruled
from onfold.lay.words import CAUTION_LINES
from onfold.lettering import LEAD, width_of, wrapped

_SWATCH = 6.5
"""Length of a sample line, in capital heights."""


@dataclass(frozen=True, eq=False)
class Panel:
    """A block with its top left corner at (0, 0), `height` mm downwards."""

    strokes: tuple[Stroke, ...]
    words: tuple[Word, ...]
    height: float

    def at(self, x: float, y: float) -> tuple[tuple[Stroke, ...], tuple[Word, ...]]:
        """Return its strokes and words with its top left corner at (x, y)."""
        placed = shifted(Drawing(self.strokes, self.words, (0.0, 0.0, 0.0, 0.0)), x, y)
        return placed.strokes, placed.words


def foot_of(
    lay: Lay,
    facts: LayFacts,
    scale: float,
    key: Sequence[tuple[str, str]],
    width: float,
    letter: float,
    cautions: bool = False,
) -> Panel:
    """Return what stands below a picture, `width` mm wide."""
    strokes, words = _scale_bar(facts, scale, letter)
    y = -3.4 * letter
    rows = _samples(lay, facts, scale, letter)
    x = 0.0
    for draw, text in rows:
        drawn = draw(x, y + letter * 0.5)
        lead = letter * (_SWATCH + 0.8) if drawn else 0.0
        wide = lead + width_of(text, letter) + letter * 2.0
        if x + wide - letter * 2.0 > width and x > 0.0:
            x, y = 0.0, y - letter * 2.3
            drawn = draw(x, y + letter * 0.5)
        strokes += drawn
        words.append(Word(text, (x + lead, y), letter, layer="sheet"))
        x += wide
    y -= letter * 1.2 if rows else 0.0
    if key:
        more, y = _key(key, width, letter, y)
        words += more
    if cautions:
        for text in CAUTION_LINES:
            for row in wrapped(text, width, letter):
                y -= letter * LEAD
                words.append(Word(row, (0.0, y), letter))
    return Panel(tuple(strokes), tuple(words), -y + letter)


def _key(key: Sequence[tuple[str, str]], width: float, letter: float, y: float) -> tuple[list[Word], float]:
    """Return what the lone numbers stand for, one after another, and how far down it goes."""
    words: list[Word] = []
    y -= letter * LEAD
    x = 0.0
    for number, text in key:
        rows = wrapped(text, width - letter * 5.0, letter)
        lead = width_of(number, letter, True) + letter * 0.7
        wide = lead + max(width_of(row, letter) for row in rows) + letter * 2.2
        if x > 0.0 and x + wide - letter * 2.2 > width:
            x, y = 0.0, y - letter * LEAD
        words.append(Word(number, (x, y), letter, bold=True))
        for k, row in enumerate(rows):
            words.append(Word(row, (x + lead, y - letter * LEAD * k), letter))
        y -= letter * LEAD * (len(rows) - 1)
        x += wide
    return words, y - letter * 0.4


def _scale_bar(facts: LayFacts, scale: float, letter: float) -> tuple[list[Stroke], list[Word]]:
    """Return a bar of a round length of cloth, in halves, and the scale in figures."""
    unit, lengths = (10.0, (2, 5, 10, 20, 50, 100)) if facts.units == "cm" else (25.4, (1, 2, 4, 6, 12, 24, 36))
    fits = [each for each in lengths if each * unit / scale <= 30.0 * letter / 2.0]
    long = (fits[-1] if fits else lengths[0]) * unit
    high, whole = letter * 0.6, long / scale
    low = -letter * 1.3
    strokes = [
        box((0.0, low), (whole, low + high), "furniture", "sheet", "scale bar"),
        Stroke(
            polyline(((0.0, low), (whole / 2, low), (whole / 2, low + high), (0.0, low + high), (0.0, low))),
            "fill",
            "sheet",
            closed=True,
            filled=True,
        ),
    ]
    shown = f"{facts.say(long)} of cloth" + (f", 1 : {scale:g}" if scale != 1.0 else ", life size")
    return strokes, [Word(shown, (whole + letter, low - letter * 0.2), letter, layer="sheet")]


Sample = tuple[Callable[[float, float], list[Stroke]], str]


def _samples(lay: Lay, facts: LayFacts, scale: float, letter: float) -> list[Sample]:
    """Return the signs that occur in this lay, each as a drawer at the left end of its sample and its words."""
    wide = letter * _SWATCH

    def plain_line(pen: str) -> Callable[[float, float], list[Stroke]]:
        return lambda x, y: [Stroke(line((x, y), (x + wide, y)), pen, "sheet")]  # type: ignore[arg-type]

    def selvage(x: float, y: float) -> list[Stroke]:
        return [
            Stroke(line((x, y - letter * 0.2), (x + wide, y - letter * 0.2)), "grain", "sheet"),
            Stroke(line((x, y + letter * 0.25), (x + wide, y + letter * 0.25)), "furniture", "sheet"),
        ]

    def grain(x: float, y: float) -> list[Stroke]:
        tips = [head((x + wide, y), (1.0, 0.0), "sheet", letter * 1.1)]
        tips += [] if lay.bed.one_way else [head((x, y), (-1.0, 0.0), "sheet", letter * 1.1)]
        return [Stroke(line((x + letter * 0.5, y), (x + wide - letter * 0.5, y)), "grain", "sheet"), *tips]

    def hatched(x: float, y: float, angles: tuple[float, ...], spacing: float) -> list[Stroke]:
        low, high = y - letter * 0.75, y + letter * 0.75
        ring = np.array(((x, low), (x + wide, low), (x + wide, high), (x, high), (x, low)))
        lines = [each for angle in angles for each in hatch([ring], angle, letter * spacing)]
        return [*ruled(lines, "furniture", "sheet"), Stroke(polyline(ring), "furniture", "sheet", closed=True)]

    rows: list[Sample] = [(plain_line("notch"), "cut here"), (selvage, "selvage")]
    folds = any(band.fold_low or band.fold_high for band in lay.bed.bands)
    rows += [(plain_line("fold"), "fold")] if folds or (lay.bed.fold == "crosswise" and not lay.bed.turned) else []
    rows.append((grain, "grain"))
    if any(each.way.face == "down" for each in lay.placed):
        rows.append((lambda x, y: hatched(x, y, (45.0,), 1.1), "turned over, printed side down"))
    if lay.bed.one_way:
        rows.append((lambda x, y: chalk_arrow((x + wide / 2, y), (1.0, 0.0), letter * 2.2, ""), "chalk: to the top"))
    if lay.kept_off:
        rows.append((lambda x, y: hatched(x, y, (45.0, -45.0), 0.6), _kept_clear(lay, facts)))
    if max(facts.repeats) > 0.0:
        many = bars(lay, facts, View(scale, 0.0, 1.0), letter)[2]
        rows.append((plain_line("level"), "repeat" if many < 2 else f"repeat, every {_nth(many)} bar"))
    if facts.matching:
        rows.append((lambda x, y: [diamond((x + wide / 2, y), letter * 0.55, "")], "partners meet: mark"))
    if facts.left:
        rows.append((plain_line("measure"), "left over"))
    rows.append((plain_line("inner"), f"end of {ends_of(lay, facts).of}"))
    if any(cut_singly(lay, each) for each in lay.placed):
        rows.append((lambda x, y: [], "cut singly: from the upper layer alone"))
    return rows


def _kept_clear(lay: Lay, facts: LayFacts) -> str:
    names = {facts.flaw(k) for k in range(len(lay.kept_off))}
    if CUT not in names:
        return "flaw, kept clear"
    return "cut already" if names == {CUT} else "cut already, or a flaw"


def _nth(number: int) -> str:
    ending = "th" if 10 <= number % 100 <= 20 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"
