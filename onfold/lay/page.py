"""The pages of a lay: heading and answers, the picture at a round scale, then every step in words, cautions last.

Pages come out as drawings the size of the paper, their lower left corner at (0, 0); nothing is scaled after that.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from onfold.drawing import Drawing, Stroke, Word, shifted
from onfold.geometry.path import line
from onfold.lay.cloth_drawing import Stretch, ends_of
from onfold.lay.facts import LayFacts
from onfold.lay.flow import Item, fill_columns, items_of, table_items
from onfold.lay.legend import foot_of
from onfold.lay.picture import Picture, draw_stretch, letter_for
from onfold.lay.placed import Lay
from onfold.lay.signs import View
from onfold.lay.words import Section, answers_of, say_cloth, tell_lay
from onfold.lettering import LEAD, width_of, wrapped
from onfold.units import capital, plain

A4_LANDSCAPE = (297.0, 210.0)
LETTER_LANDSCAPE = (279.4, 215.9)
SCALES = (5.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0, 150.0, 200.0)
"""Round scales, 1 : n."""
_FINEST, _COARSEST = 8.0, 20.0
"""1 : n between which the narrowest piece decides whether a long lay is broken over several pages."""
_HOLDS = 3.4
"""mm of paper within which a number stands clear of its piece's cut line."""
_MOST_PAGES = 5
_PER_BREAK = 0.25
"""By what share of the scale one more break must pay: a lay in one stretch is read more easily."""
_MARGIN = 12.0
_FOOTING = 6.0
_TEXT = 2.1
_GAP = 8.0
_SIDES, _ABOVE, _BELOW = 14.0, 6.0, 19.0
"""What stands beside, above and below the cloth in the picture, in halves of a letter."""
_FOOT = 16.0
_MOST_STOPS = 3
"""Stops told at the head of the first page; the pattern's first page tells the rest."""
_NARROWEST, _WIDEST = 74.0, 112.0
"""mm between which a column of words is wide; where so much is free beside the picture, words stand there."""


Inks = tuple[list[Stroke], list[Word]]


@dataclass(frozen=True)
class Plan:
    """The scale, 1 : n, and where the stretches of a lay begin and end, mm along the cloth as it lies."""

    scale: float
    breaks: tuple[float, ...]


def lay_pages(
    lay: Lay, facts: LayFacts | None = None, paper: tuple[float, float] = A4_LANDSCAPE
) -> tuple[Drawing, ...]:
    """Return the pages of a lay on a paper of (width, height) mm, each drawing's box the whole of its page.

    The scale is chosen so that the lay fits the width; a long one is broken into stretches one under another.
    """
    facts = facts or LayFacts()
    width, height = paper[0] - 2.0 * _MARGIN, paper[1] - 2.0 * _MARGIN - _FOOTING
    strokes, words, deep = _heading(lay, facts, width)
    plan = plan_for(lay, facts, width, height - deep)
    letter = letter_for(plan.scale)
    pages: list[Inks] = [(strokes, words)]
    y = -deep
    key: list[tuple[str, str]] = []
    pictures = _stretches(lay, facts, plan, letter)
    for each in pictures:
        tall = each.drawing.size[1]
        if y - tall < -height and y < -0.5 * _GAP:
            pages.append(([], []))
            y = 0.0
        placed = shifted(each.drawing, -each.drawing.box[0], y - each.drawing.box[3])
        pages[-1][0].extend(placed.strokes)
        pages[-1][1].extend(placed.words)
        y -= tall + 1.5
        key += each.key
    wide = max((each.drawing.size[0] for each in pictures), default=0.0)
    key.sort(key=lambda row: int(row[0]))
    if len(pages) == 1 and width - max(wide, _NARROWEST) - _GAP >= _NARROWEST:
        _flow_beside(pages, lay, facts, plan.scale, key, (max(wide, _NARROWEST), y, -deep), (width, height))
    else:
        _flow_below(pages, lay, facts, plan.scale, key, y, (width, height))
    return tuple(_page(each, number, len(pages), lay, facts, paper) for number, each in enumerate(pages, start=1))


def plan_for(lay: Lay, facts: LayFacts, width: float, height: float) -> Plan:
    """Return the largest round scale at which all of the lay goes into a space of width by height mm.

    Where none does at which the smallest piece still holds its number, stretches run on over more pages.
    """
    total = max(ends_of(lay, facts).drawn, 1.0)
    finest = _legible(lay)
    fits: list[tuple[float, int]] = []
    spread: list[tuple[float, int]] = []
    for scale in SCALES:
        count, tall, free = _stretched(lay, total, scale, width)
        if count * tall + (count - 1) * 1.5 + (0.0 if free else _FOOT) <= height:
            fits.append((scale, count))
        elif scale <= finest and tall + _FOOT <= height and math.ceil(count / int(height // tall)) <= _MOST_PAGES:
            spread.append((scale, count))
    near = [each for each in fits if each[0] <= finest] or ([] if spread else fits)
    scale, count = (
        min(near, key=lambda each: each[0] * (1.0 + _PER_BREAK * (each[1] - 1)))
        if near
        else spread[-1]
        if spread
        else (SCALES[-1], _stretched(lay, total, SCALES[-1], width)[0])
    )
    longest = (width - _SIDES * letter_for(scale) / 2.0) * scale
    return Plan(scale, _breaks(lay, total, min(longest, total / count * 1.15), count))


def _stretched(lay: Lay, total: float, scale: float, width: float) -> tuple[int, float, bool]:
    """Return how many stretches a lay takes at 1 : `scale`, how high each is, mm, and whether words go beside it."""
    u = letter_for(scale) / 2.0
    count = max(1, math.ceil(total / max((width - _SIDES * u) * scale, 1.0) - 1e-9))
    beside = total / scale + _SIDES * u + _GAP + _NARROWEST <= width
    return count, lay.bed.high / scale + (_ABOVE + _BELOW) * u, beside


def _legible(lay: Lay) -> float:
    """Return the coarsest scale, 1 : n, at which the narrowest piece holds its number: from 8 to 20."""
    turns = np.radians(np.arange(0.0, 180.0, 7.5))
    ways = np.stack((np.cos(turns), np.sin(turns)))
    narrowest = min((float(np.ptp(ring @ ways, axis=0).min()) for ring in lay.rings), default=math.inf)
    return min(max(narrowest / _HOLDS, _FINEST), _COARSEST)


def _breaks(lay: Lay, total: float, longest: float, count: int) -> tuple[float, ...]:
    """Return 0, where the picture is broken, and its end: breaks lie where they cut the fewest and least pieces."""
    found = [0.0]
    lows = np.array([ring[:, 0].min() for ring in lay.rings])
    highs = np.array([ring[:, 0].max() for ring in lay.rings])
    talls = np.array([np.ptp(ring[:, 1]) for ring in lay.rings])
    for k in range(count - 1):
        latest = found[-1] + longest
        earliest = max(latest - 0.3 * longest, total - (count - 1 - k) * longest)
        earliest = min(earliest, latest)
        edges = np.concatenate((lows, highs))
        kept = edges[(edges > earliest) & (edges < latest)]
        places = np.concatenate((np.linspace(latest, earliest, 61), kept))
        cut = (lows < places[:, None] - 1e-6) & (places[:, None] + 1e-6 < highs)
        cost = (cut * talls).sum(axis=1) + (latest - places) * 0.2
        found.append(float(places[int(np.argmin(cost))]))
    return (*found, total)


def _stretches(lay: Lay, facts: LayFacts, plan: Plan, letter: float) -> list[Picture]:
    """Return the stretches drawn; a piece's words stand in the one that holds most of it."""
    pairs = list(zip(plan.breaks[:-1], plan.breaks[1:], strict=True))
    homes: list[list[int]] = [[] for _ in pairs]
    for index, ring in enumerate(lay.rings):
        low, high = float(ring[:, 0].min()), float(ring[:, 0].max())
        shares = [min(high, b) - max(low, a) for a, b in pairs]
        homes[int(np.argmax(shares))].append(index)
    found = []
    for k, (low, high) in enumerate(pairs):
        came, goes = (_letters(k - 1) if k else ""), (_letters(k) if k < len(pairs) - 1 else "")
        stretch = Stretch(View(plan.scale, low, high), came, goes)
        found.append(draw_stretch(lay, facts, stretch, homes[k], letter))
    return found


def _letters(number: int) -> str:
    """Return A, B, … Z, AA, AB, …"""
    text = ""
    number += 1
    while number > 0:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


def _heading(lay: Lay, facts: LayFacts, width: float) -> tuple[list[Stroke], list[Word], float]:
    """Return title, a stop, wearers and cloth on the left, the answers on the right, and how deep they are, mm."""
    left_wide = width * 0.46
    words: list[Word] = []
    y = 0.0
    for row in wrapped(plain(facts.title, 120) or "Lay", left_wide, 4.4, True)[:3]:
        y -= 4.4 * 1.3
        words.append(Word(row, (0.0, y), 4.4, bold=True))
    if facts.stops:
        y -= 6.0 * 1.5
        words.append(Word("STOP: do not cut", (0.0, y), 6.0, bold=True))
        y -= 0.8
        for text in facts.stops[:_MOST_STOPS]:
            for row in wrapped(plain(text, 400), left_wide, _TEXT, True):
                y -= _TEXT * LEAD
                words.append(Word(row, (0.0, y), _TEXT, bold=True))
    y -= 1.6
    wearers = ", ".join(plain(each) for each in facts.wearers)
    said = say_cloth(lay, facts)
    below = [
        " · ".join(each for each in (wearers and f"for {wearers}", plain(facts.date)) if each),
        capital(said),
    ]
    for text in below:
        for row in wrapped(text, left_wide, _TEXT * 1.15):
            y -= _TEXT * 1.15 * LEAD
            words.append(Word(row, (0.0, y), _TEXT * 1.15))
    right, down = width * 0.5, -1.2
    rows = answers_of(lay, facts)
    lead = max(width_of(name, _TEXT, True) for name, _ in rows) + 3.0
    for name, text in rows:
        for k, row in enumerate(wrapped(text, width - right - lead, _TEXT)):
            down -= _TEXT * LEAD
            if not k:
                words.append(Word(name, (right, down), _TEXT, bold=True))
            words.append(Word(row, (right + lead, down), _TEXT))
        down -= 0.7
    deep = max(-y, -down) + 2.2
    return [Stroke(line((0.0, -deep), (width, -deep)), "furniture", "sheet")], words, deep + 2.4


def _flow_beside(
    pages: list[Inks],
    lay: Lay,
    facts: LayFacts,
    scale: float,
    key: Sequence[tuple[str, str]],
    at: tuple[float, float, float],
    space: tuple[float, float],
) -> None:
    """Set the words right of a narrow picture, `at` its width, its foot's y and its top y, then on further pages.

    The scale and the kinds of line stand below the picture where they fit, else above the words.
    """
    wide, below, top = at
    width, height = space
    room = width - wide - _GAP
    count, column = _columns(room)
    column = min(column, _WIDEST if count == 1 else _columns(width)[1])
    foots = [foot_of(lay, facts, scale, rows, wide, letter_for(scale)) for rows in (key, ())]
    fits = [below - foot.height >= -height for foot in foots]
    items = _items(lay, facts, column, () if fits[0] else key)
    if any(fits):
        more, said = foots[fits.index(True)].at(0.0, below)
        pages[-1][0].extend(more)
        pages[-1][1].extend(said)
    else:
        foot = foot_of(lay, facts, scale, (), column, letter_for(scale))
        items = [Item(foot.words, foot.height, strokes=foot.strokes), *items]
    items = _set_in(pages[-1], items, (wide + _GAP, top), count, column, height + top)
    _flow(pages, items, -height, max(1, int((width + _GAP) // (column + _GAP))), column, height)


def _flow_below(
    pages: list[Inks],
    lay: Lay,
    facts: LayFacts,
    scale: float,
    key: Sequence[tuple[str, str]],
    y: float,
    space: tuple[float, float],
) -> None:
    """Set scale, kinds of line and words below the picture, which ends at y, then on further pages."""
    width, height = space
    foots = [(foot_of(lay, facts, scale, rows, width, letter_for(scale)), rows) for rows in (key, ())]
    foot, told = next((each for each in foots if y - each[0].height >= -height), foots[0])
    if y - foot.height < -height:
        pages.append(([], []))
        y = 0.0
    more, said = foot.at(0.0, y)
    pages[-1][0].extend(more)
    pages[-1][1].extend(said)
    count, column = _columns(width)
    _flow(pages, _items(lay, facts, column, () if told else key), y - foot.height - 2.0, count, column, height)


def _columns(width: float) -> tuple[int, float]:
    """Return how many columns of words stand beside one another, and how wide each is, mm."""
    count = max(1, int((width + _GAP) // (_NARROWEST + _GAP)))
    return count, (width - _GAP * (count - 1)) / count


def _items(lay: Lay, facts: LayFacts, wide: float, key: Sequence[tuple[str, str]]) -> list[Item]:
    """Return all words as lines of a column `wide` mm across: what lone numbers stand for, the steps, cautions last."""
    sections = tell_lay(lay, facts)
    found: list[Item] = []
    if key:
        numbers, names = zip(*key, strict=True)
        told = items_of(Section("Numbers in the picture", tuple(names), tuple(numbers)), wide, _TEXT)
        found += [told[0], *(replace(item, space=0.0) for item in told[1:])]
    found += [item for section in sections[:-1] for item in items_of(section, wide, _TEXT)]
    if facts.other_widths:
        heads = ("width", "fold", "length", "buy")
        found += table_items("Other widths", heads, facts.other_widths, (0.2, 0.36, 0.2, 0.24), wide, _TEXT)
    return [*found, *items_of(sections[-1], wide, _TEXT)]


def _set_in(
    page: Inks, items: Sequence[Item], at: tuple[float, float], count: int, wide: float, height: float
) -> list[Item]:
    """Set items in columns on a page, the upper left corner of the first at `at`; return what is left over."""
    strokes, words, rest = fill_columns(items, count, wide, _GAP, height)
    placed = shifted(Drawing(tuple(strokes), tuple(words), (0.0, 0.0, 0.0, 0.0)), *at)
    page[0].extend(placed.strokes)
    page[1].extend(placed.words)
    return rest


def _flow(pages: list[Inks], items: Sequence[Item], y: float, count: int, wide: float, height: float) -> None:
    """Set the items in columns below what stands on the last page, then on as many pages as they need."""
    rest = list(items)
    if rest and height + y < 24.0:
        pages.append(([], []))
        y = 0.0
    while rest:
        rest = _set_in(pages[-1], rest, (0.0, y), count, wide, height + y)
        if rest:
            pages.append(([], []))
            y = 0.0


def _page(
    drawn: Inks,
    number: int,
    count: int,
    lay: Lay,
    facts: LayFacts,
    paper: tuple[float, float],
) -> Drawing:
    """Return a page with its foot line, moved from (0, 0) at its upper left margin onto the paper."""
    title = plain(facts.title, 120) or "Lay"
    low = -(paper[1] - 2.0 * _MARGIN)
    wide = paper[0] - 2.0 * _MARGIN
    size = 1.7
    room = wide - width_of(f"page {number} of {count}", size) - 6.0
    said = wrapped(" · ".join(each for each in (title, plain(facts.date)) if each), room, size)[:1]
    foot = [Word(text, (0.0, low), size, layer="sheet") for text in said]
    foot.append(Word(f"page {number} of {count}", (wide, low), size, anchor="end", layer="sheet"))
    whole = Drawing(tuple(drawn[0]), (*drawn[1], *foot), (0.0, 0.0, 0.0, 0.0))
    moved = shifted(whole, _MARGIN, paper[1] - _MARGIN)
    return Drawing(moved.strokes, moved.words, (0.0, 0.0, paper[0], paper[1]), f"{title}, page {number} of {count}")
