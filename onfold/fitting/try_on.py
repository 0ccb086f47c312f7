"""The list for a try-on: what to look at, in the order in which fittings are read, with a line for what is seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from onfold.drawing import Drawing, Stroke, Word
from onfold.fitting.set_words import set_column
from onfold.fitting.sheet import CAUTION_LINES
from onfold.fitting.telling import Told
from onfold.geometry.path import line, polyline
from onfold.lettering import LEAD, width_of, wrapped
from onfold.units import plain

A4 = (210.0, 297.0)
_MARGIN = 15.0
_TITLE, _TEXT, _NAME = 4.6, 2.1, 2.5
_BOX = 3.2
_LINE = 7.5
"""mm left for a line written by hand."""
_MOST_BESIDES, _FOR_CAUTIONS = 3, 28.0


@dataclass(frozen=True)
class Look:
    """One thing to look at: the stage of the fitting it belongs to, what it is called, and how to look for it."""

    stage: str
    name: str
    hint: str = ""


@dataclass(frozen=True)
class TryOnFacts:
    """What the list says on top: title, for whom, and figures to hold the garment to (`waist 74.4 cm`).

    `before` are lines on earlier fittings and on what the workroom book carries.
    """

    title: str = ""
    wearer: str = ""
    girths: tuple[str, ...] = ()
    before: tuple[str, ...] = ()
    said: tuple[str, ...] = field(default_factory=tuple)


_STAGES = """
Balance and grain | Hang | From the hanging point down: the grain plumb at centre front and back, the levels level.
Shoulder and neck, or waist | Where it hangs from | It sits where it should, and does not ride up or gape.
Bust, back and their darts | Shape | Darts point at the fullest place and end short of it; no folds start from them.
Side seams and girths | Width | Side seam plumb. Folds across say too little, folds down too much. Sit; lift the arms.
Armhole, then sleeve | Armhole | Close without cutting in as the arm comes forward; then the sleeve hangs as the arm.
Lengths | Length | Looked at from a few steps away: front, side and back.
Hem | Level | Last of all, measured from the floor, in the day's shoes and underwear.
Seams walked again | Partners | After every change on paper: partners equal, notches meeting.
"""
STAGES: tuple[Look, ...] = tuple(Look(*map(str.strip, row.split("|"))) for row in _STAGES.strip().splitlines())
"""The order in which a fitting is read, common practice [C]; used where no longer list is at hand."""


def try_on_pages(looks: Sequence[Look], facts: TryOnFacts, paper: tuple[float, float] = A4) -> tuple[Drawing, ...]:
    """Return the pages of the list on a paper of (width, height) mm, each drawing's box the whole of its page."""
    wide, high = paper
    pages: list[tuple[list[Stroke], list[Word]]] = []
    strokes, words, y = _heading(facts, (_MARGIN, high - _MARGIN), wide - 2 * _MARGIN)
    low = _MARGIN + 3.0
    stage = ""
    for look in looks:
        head = look.stage if look.stage != stage else ""
        stage = look.stage
        more, said, deep = _row(look, head, (_MARGIN, y), wide - 2 * _MARGIN)
        if y - deep < low:
            pages.append((strokes, words))
            more, said, deep = _row(look, look.stage, (_MARGIN, high - _MARGIN), wide - 2 * _MARGIN)
            strokes, words, y = [], [], high - _MARGIN
        strokes, words = strokes + more, words + said
        y -= deep
    also = Look("Seen besides", "", "")
    for number in range(_MOST_BESIDES):
        more, said, deep = _row(also, "" if number else also.stage, (_MARGIN, y), wide - 2 * _MARGIN)
        if y - deep - _FOR_CAUTIONS < low:
            break
        strokes, words = strokes + more, words + said
        y -= deep
    cautions = [Told("Cautions", CAUTION_LINES)]
    said, deep = set_column(cautions, (_MARGIN, y - 3.0), wide - 2 * _MARGIN, _TEXT * 0.9)
    if y - 3.0 - deep < low:
        pages.append((strokes, words))
        strokes, words = [], []
        said, _ = set_column(cautions, (_MARGIN, high - _MARGIN), wide - 2 * _MARGIN, _TEXT * 0.9)
    pages.append((strokes, words + said))
    return tuple(_page(each, number, len(pages), facts, paper) for number, each in enumerate(pages, start=1))


def _heading(facts: TryOnFacts, at: tuple[float, float], wide: float) -> tuple[list[Stroke], list[Word], float]:
    x, y = at
    words: list[Word] = []
    strokes: list[Stroke] = []
    for row in wrapped(plain(facts.title, 120) or "Try-on", wide, _TITLE, True)[:2]:
        y -= _TITLE * 1.5
        words.append(Word(row, (x, y), _TITLE, bold=True))
    y -= 1.0
    told = f"Try-on, for {plain(facts.wearer)}" if facts.wearer else "Try-on"
    y -= _TEXT * LEAD
    words.append(
        Word(
            f"{told}. Look from top to bottom, in this order; settle what stands above before what is below.",
            (x, y),
            _TEXT,
        )
    )
    y -= 7.0
    for text, share in (("day", 0.3), ("shoes and underwear", 0.7)):
        words.append(Word(text, (x, y), _TEXT))
        lead = width_of(text, _TEXT) + 2.0
        strokes.append(Stroke(line((x + lead, y - 0.6), (x + wide * share - 4.0, y - 0.6)), "furniture", "sheet"))
        x += wide * share
    y -= 2.5
    rows = [("Finished girths to hold it to", facts.girths), ("So far", facts.before), ("To know", facts.said)]
    told_rows = [
        Told(heading, (", ".join(lines),) if heading.startswith("Finished") else lines)
        for heading, lines in rows
        if lines
    ]
    said, deep = set_column(told_rows, (at[0], y), wide, _TEXT)
    y -= deep + 3.0
    strokes.append(Stroke(line((at[0], y), (at[0] + wide, y)), "furniture", "sheet"))
    return strokes, words + said, y - 1.5


def _row(look: Look, stage: str, at: tuple[float, float], wide: float) -> tuple[list[Stroke], list[Word], float]:
    """Return one thing to look at with its box to tick and its line, and how deep it is, mm."""
    x, top = at
    y = top
    words: list[Word] = []
    if stage:
        y -= _NAME * 2.2
        words.append(Word(plain(stage, 80), (x, y), _NAME, bold=True))
        y -= 1.2
    lead = _BOX + 2.6
    if not look.name:
        strokes, said = _hand_line((x + lead, y - _LINE), wide - lead)
        return strokes, [*words, *said], top - y + _LINE + 1.2
    y -= _NAME * 1.5
    box = ((x, y - 0.5), (x + _BOX, y - 0.5), (x + _BOX, y - 0.5 + _BOX), (x, y - 0.5 + _BOX), (x, y - 0.5))
    strokes = [Stroke(polyline(box), "grain", "sheet", closed=True, name=f"tick: {look.name}")]
    name = plain(look.name, 90)
    words.append(Word(name, (x + lead, y), _TEXT, bold=True))
    after = width_of(name, _TEXT, True) + 3.0
    first = wrapped(plain(look.hint, 400), wide - lead - after, _TEXT) if look.hint else []
    if first and len(first) == 1:
        words.append(Word(first[0], (x + lead + after, y), _TEXT))
    elif first:
        for row in wrapped(plain(look.hint, 400), wide - lead, _TEXT):
            y -= _TEXT * LEAD
            words.append(Word(row, (x + lead, y), _TEXT))
    y -= _LINE
    more, said = _hand_line((x + lead, y), wide - lead)
    return [*strokes, *more], [*words, *said], top - y + 1.2


def _hand_line(at: tuple[float, float], wide: float) -> tuple[list[Stroke], list[Word]]:
    """Return a line to write on: what was seen, and by how much."""
    x, y = at
    strokes, words = [], []
    for text, begin, end in (("seen", 0.0, 0.72), ("by", 0.75, 1.0)):
        left = x + begin * wide
        words.append(Word(text, (left, y + 0.8), _TEXT * 0.85))
        rule = line((left + width_of(text, _TEXT * 0.85) + 1.5, y), (x + end * wide, y))
        strokes.append(Stroke(rule, "furniture", "sheet"))
    return strokes, words


def _page(
    drawn: tuple[list[Stroke], list[Word]], number: int, count: int, facts: TryOnFacts, paper: tuple[float, float]
) -> Drawing:
    wide, high = paper
    title = plain(facts.title, 120) or "Try-on"
    size = 1.7
    said = wrapped(f"{title} · try-on", wide - 2 * _MARGIN - 25.0, size)[:1]
    foot = [Word(text, (_MARGIN, _MARGIN - 4.0), size, layer="sheet") for text in said]
    foot.append(Word(f"page {number} of {count}", (wide - _MARGIN, _MARGIN - 4.0), size, anchor="end", layer="sheet"))
    name = f"{title}: try-on, page {number} of {count}"
    return Drawing(tuple(drawn[0]), (*drawn[1], *foot), (0.0, 0.0, wide, high), name)
