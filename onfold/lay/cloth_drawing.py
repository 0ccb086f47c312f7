"""The cloth itself on paper: selvages, folds, both layers, its ends, its repeat, its ruler and dimensions."""

from __future__ import annotations

import math
from dataclasses import dataclass

from onfold.drawing import Layer, PenName, Stroke, Word
from onfold.geometry.hatching import Segment
from onfold.geometry.path import line
from onfold.lay.facts import LayFacts
from onfold.lay.measured import sides_of
from onfold.lay.placed import Lay
from onfold.lay.signs import View, dimension, head, torn
from onfold.lettering import width_of

_BEYOND = 0.12
"""Share of the lay by which cloth beyond it is drawn before it is torn off."""
_FINEST = 2.0
"""Least distance, in halves of a letter, between the bars that are drawn of a repeat."""


@dataclass(frozen=True)
class Ends:
    """Where the cloth is drawn to, and where it ends, mm as it lies; `known` is None where its length is not known.

    `of` is what ends before it: the lay, or the piece that is cut again.
    """

    drawn: float
    known: float | None
    of: str = "the lay"

    @property
    def torn(self) -> bool:
        """Return whether the cloth goes on beyond what is drawn."""
        return self.known is None or self.known > self.drawn


@dataclass(frozen=True)
class Stretch:
    """Which part of the cloth a picture shows: the whole when first and last. `came` and `goes` name its breaks."""

    view: View
    came: str = ""
    goes: str = ""

    @property
    def whole(self) -> bool:
        """Return whether nothing of the cloth is in another stretch."""
        return not self.came and not self.goes


def ends_of(lay: Lay, facts: LayFacts) -> Ends:
    """Return where the cloth ends: as bought, else as it is at hand, else a little beyond the lay, torn."""
    known = lay.end if facts.cloth_length is None else facts.cloth_length / lay.bed.times
    spare = max(lay.lies * _BEYOND, 60.0)
    of = "the piece" if facts.again else "the lay"
    if known is None:
        return Ends(lay.lies + min(spare, 60.0), None, of)
    return Ends(max(min(known, lay.lies + spare * 2.0), lay.lies), known, of)


def cloth_strokes(lay: Lay, stretch: Stretch, ends: Ends, letter: float) -> list[Stroke]:
    """Return the edges of the cloth: selvages as double lines, folds, the lower layer peeping out, its ends."""
    view, bed, u = stretch.view, lay.bed, letter / 2.0
    right = view.wide

    def level(y: float, pen: PenName, name: str, layer_at: float = 0.0) -> Stroke:
        at = y / view.scale + layer_at
        layer: Layer = "fold lines" if pen == "fold" else "sheet"
        return Stroke(line((0.0, at), (right, at)), pen, layer, name=name)

    strokes: list[Stroke] = []
    for y, inner in _selvages(lay):
        strokes += [level(y, "grain", "selvage")] + [level(each, "furniture", "selvage") for each in inner]
    strokes += [level(y, "fold", "fold") for y in _folds(lay)]
    low, high, peep = 0.0, bed.high / view.scale, 1.1 * u
    under = bed.layers > 1
    if under and bed.fold != "both edges to the middle":
        strokes.append(level(0.0, "furniture", "edge of the lower layer", -peep))
    if not stretch.came:
        strokes.append(Stroke(line((0.0, low), (0.0, high)), "grain", "sheet", name="squared end"))
        if under:
            foot = -peep if bed.fold != "both edges to the middle" else peep
            strokes.append(Stroke(line((-peep, foot), (-peep, high - peep)), "furniture", "sheet"))
            if bed.fold != "both edges to the middle":
                strokes.append(Stroke(line((-peep, -peep), (0.0, -peep)), "furniture", "sheet"))
    else:
        strokes.append(torn(0.0, low, high, letter, "goes on"))
    if stretch.goes or ends.torn:
        strokes.append(torn(right, low, high, letter, "goes on"))
    else:
        pen: PenName = "fold" if bed.fold == "crosswise" and not bed.turned else "grain"
        strokes.append(Stroke(line((right, low), (right, high)), pen, "sheet", name="end of the cloth"))
    if view.low < lay.lies <= view.high:
        at = view.point(lay.lies, 0.0)[0]
        strokes.append(Stroke(line((at, low - 1.8 * u), (at, high)), "inner", "sheet", name=f"end of {ends.of}"))
    return strokes


def _selvages(lay: Lay) -> list[tuple[float, tuple[float, ...]]]:
    """Return each selvage's outer edge with the inner ones beside it, mm across."""
    bands = lay.bed.bands
    if lay.bed.fold == "both edges to the middle":
        return [(lay.bed.high / 2.0, (bands[0].high, bands[-1].low))]
    found: list[tuple[float, tuple[float, ...]]] = [(0.0, (bands[0].low,))]
    return found if lay.bed.fold == "lengthwise" else [*found, (lay.bed.high, (bands[-1].high,))]


def _folds(lay: Lay) -> list[float]:
    return [y for band in lay.bed.bands for held, y in ((band.fold_low, band.low), (band.fold_high, band.high)) if held]


def edge_words(lay: Lay, facts: LayFacts, stretch: Stretch, letter: float) -> tuple[list[Stroke], list[Word]]:
    """Return the names of the edges, which side looks up, which way tops and nap run, and where the cloth goes on."""
    view, u, bed = stretch.view, letter / 2.0, lay.bed
    near, far = sides_of(bed, 0)[0].name, sides_of(bed, len(bed.bands) - 1)[1].name
    high = bed.high / view.scale
    layers = "both layers" if bed.layers > 1 else "one layer"
    side = f"pile down, {bed.upward} up" if "pile" in facts.surface else f"{bed.upward} up"
    upper = f"{far} · {layers}, {side}"
    words = [Word(upper, (0.0, high + 1.7 * u), letter, layer="sheet")]
    words.append(Word(near, (6.0 * u, -6.7 * u), letter, layer="sheet"))
    if bed.fold == "both edges to the middle":
        words.append(Word("selvages", (view.wide + 3.4 * u, high / 2), letter, 90.0, "middle", "sheet"))
    if bed.fold == "crosswise" and not bed.turned and not (stretch.goes or ends_of(lay, facts).torn):
        words.append(Word("fold", (view.wide + 3.4 * u, high / 2), letter, 90.0, "middle", "sheet"))
    strokes: list[Stroke] = []
    taken = width_of(upper, letter)
    row = high + 1.7 * u
    for text, way in _ways(lay, facts):
        wide = width_of(text, letter) + 13.0 * u
        if taken + wide + 4.0 * u > view.wide and taken > 0.0:
            row, taken = row + 4.4 * u, 0.0
        left = max(0.0, view.wide - taken_right(words, row, view.wide) - wide) if taken else 0.0
        words.append(Word(text, (left, row), letter, layer="sheet"))
        start, end = left + width_of(text, letter) + 1.6 * u, left + wide
        tip, tail = (end, start) if way > 0 else (start, end)
        y = row + letter * 0.5
        strokes.append(Stroke(line((tail, y), (tip - way * 1.5 * u, y)), "grain", "sheet", name=text))
        strokes.append(head((tip, y), (float(way), 0.0), "sheet", 2.4 * u))
        taken += wide + 4.0 * u
    for text, at, anchor in ((stretch.came, 0.0, -1), (stretch.goes, view.wide, 1)):
        if text:
            spot = at + anchor * 2.6 * u, high * 0.85 - letter / 2
            words.append(Word(text, spot, letter * 1.3, 0.0, "start" if anchor > 0 else "end", "sheet", bold=True))
    return strokes, words


def taken_right(words: list[Word], row: float, wide: float) -> float:
    """Return how far from the right the words of a row begin that stand right of its left end."""
    own = [wide - word.at[0] for word in words if word.at[1] == row and word.at[0] > 0.0]
    return max(own, default=0.0) + (4.0 if own else 0.0)


def _ways(lay: Lay, facts: LayFacts) -> list[tuple[str, int]]:
    """Return the arrows one-way cloth carries: words, and 1 to the right or -1 to the left."""
    if not lay.bed.one_way:
        return []
    nap = facts.cloth.nap if facts.cloth is not None else "none"
    found = [("all tops", 1)]
    return found if nap == "none" else [*found, ("nap", 1 if nap == "up" else -1)]


def ruler(lay: Lay, facts: LayFacts, stretch: Stretch, ends: Ends, letter: float) -> tuple[list[Stroke], list[Word]]:
    """Return a tape laid along the near edge, numbered from the squared end, and the dimensions below and beside it."""
    view, u = stretch.view, letter / 2.0
    unit, steps = (10.0, (5, 10, 20, 50, 100, 200)) if facts.units == "cm" else (25.4, (2, 6, 12, 24, 36, 72))
    numbered = next((each for each in steps if each * unit / view.scale >= 21.0 * u), steps[-1])
    ticked = next((each for each in steps if each * unit / view.scale >= 2.4 * u), numbered)
    y = -2.6 * u
    strokes = [Stroke(line((0.0, y), (view.wide, y)), "furniture", "sheet", name="tape")]
    words: list[Word] = []
    for k in range(math.ceil(view.low / (ticked * unit) - 1e-9), math.floor(view.high / (ticked * unit) + 1e-9) + 1):
        x = view.point(k * ticked * unit, 0.0)[0]
        whole = (k * ticked) % numbered == 0
        strokes.append(Stroke(line((x, y), (x, y - (1.5 if whole else 0.8) * u)), "furniture", "sheet"))
        if whole and (k or not stretch.came) and (x > 28.0 * u or k == 0) and x < view.wide - 1.0 * u:
            text = f"{k * ticked}" if words else f"{k * ticked} {facts.units}"
            words.append(Word(text, (x, -6.7 * u), letter, 0.0, "middle", "sheet"))
    more, said = _lengths(lay, facts, stretch, ends, letter)
    strokes, words = strokes + more, words + said
    if not stretch.came:
        wide = facts.say(lay.bed.high)
        full = wide + (" as it lies" if lay.bed.high != lay.bed.width else "")
        more, said = dimension((-4.6 * u, 0.0), (-4.6 * u, lay.bed.high / view.scale), full, letter, wide)
        strokes, words = strokes + more, words + said
    return strokes, words


def _lengths(lay: Lay, facts: LayFacts, stretch: Stretch, ends: Ends, letter: float) -> tuple[list[Stroke], list[Word]]:
    view, u = stretch.view, letter / 2.0
    rows = [(lay.lies, f"{ends.of}, {facts.say(lay.lies)}")]
    if ends.known is not None and not stretch.goes:
        bought = "the cloth bought, squared" if lay.end is None else "the cloth"
        shrunk = " and shrunk" if lay.end is None else " after shrinking"
        bought += shrunk if facts.cloth is not None and facts.cloth.shrinkage_along > 0.0 else ""
        what = "one layer" if lay.bed.times > 1 else bought
        rows.append((ends.known, f"{what}, {facts.say(ends.known)}"))
    strokes: list[Stroke] = []
    words: list[Word] = []
    y = -10.6 * u
    for mm, text in rows:
        if stretch.goes and mm > view.high:
            continue
        x = min(view.point(mm, 0.0)[0], view.wide)
        if stretch.came or mm > ends.drawn:
            strokes.append(Stroke(line((x, y + 0.8 * u), (x, y + 3.0 * u)), "furniture", "sheet"))
            words.append(Word(f"end of {text}", (x, y - letter * 0.5), letter, 0.0, "end", "sheet"))
        else:
            # where one piece lies, the length is not its own
            whole = f"to the end of {text}" if facts.again and mm == lay.lies else text
            more, said = dimension((0.0, y), (x, y), whole, letter)
            strokes, words = strokes + more, words + said
        y -= 4.2 * u
    return strokes, words


def bars(lay: Lay, facts: LayFacts, view: View, letter: float) -> tuple[list[Segment], list[Segment], int]:
    """Return the bars of a stripe or check on the paper, across and along, and that every so many-th is drawn."""
    along, across = facts.repeats
    most = 1
    for repeat in (along, across):
        if repeat > 0.0:
            most = max(most, math.ceil(_FINEST * letter / 2.0 * view.scale / repeat))
    high = lay.bed.high
    upright = [
        (view.point(x, 0.0), view.point(x, high)) for x in _series(facts.phase[0], along * most, view.low, view.high)
    ]
    level = [
        (view.point(view.low, y), view.point(view.high, y)) for y in _series(facts.phase[1], across * most, 0, high)
    ]
    return upright, level, most


def _series(phase: float, repeat: float, low: float, high: float) -> list[float]:
    if not repeat > 0.0:
        return []
    first = math.ceil((low - phase) / repeat + 1e-9)
    return [phase + repeat * k for k in range(first, math.ceil((high - phase) / repeat - 1e-9))]
