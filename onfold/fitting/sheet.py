"""Before and after on one sheet: every changed piece laid over what it was, what was seen, and what else differs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from onfold.construction import CAUTIONS
from onfold.drawing import Drawing, PenName, Stroke, Word
from onfold.fitting.comparing import Differences
from onfold.fitting.overlay import Overlay, lay_out
from onfold.fitting.set_words import column_height, set_column, shortened
from onfold.fitting.telling import Told, tell_differences
from onfold.geometry.path import line, polyline
from onfold.lettering import width_of, wrapped
from onfold.units import UNITS, System, plain, say_length

A4_LANDSCAPE = (297.0, 210.0)
CAUTION_LINES: tuple[str, ...] = (
    f"{CAUTIONS['pins']} At a try-on they point away from the body.",
    "Trying on changes nothing that is cut: check seam allowances and inlays for room before you let out.",
    "The rules of your workroom and country, and trained practice, come before anything said here.",
)
_MARGIN, _GUTTER = 11.0, 6.0
_COLUMN = 82.0
_TITLE, _SUBTITLE, _TEXT = 4.2, 2.2, 2.0
_LEAST_TEXT = 1.6
_FOOT = 9.5
_BARS: dict[System, tuple[float, ...]] = {"cm": (1, 2, 5, 10, 20, 50), "in": (0.5, 1, 2, 4, 8, 12, 24)}


@dataclass(frozen=True)
class SheetFacts:
    """What the sheet says beside the differences: the garment's title, for whom, the day, words and changes.

    `changes` are lines such as `waist ease 3 cm`; `what` says in a few words what is shown.
    """

    title: str = ""
    wearer: str = ""
    recipe: str = ""
    on: str = ""
    note: str = ""
    seen: str = ""
    because: str = ""
    changes: tuple[str, ...] = ()
    what: str = "Fitting"
    units: System = "cm"
    said: tuple[str, ...] = field(default_factory=tuple)


def fitting_sheet(found: Differences, facts: SheetFacts, paper: tuple[float, float] = A4_LANDSCAPE) -> Drawing:
    """Return the sheet, its box the whole of a page of (width, height) mm; nothing is scaled after that."""
    wide, high = paper
    words, top = _heading(facts, (_MARGIN, high - _MARGIN), wide - 2 * _MARGIN)
    strokes = [Stroke(line((_MARGIN, top), (wide - _MARGIN, top)), "furniture", "sheet")]
    top -= 2.5
    left = wide - _MARGIN - _COLUMN
    picture = (_MARGIN, _MARGIN + _FOOT, left - _GUTTER, top)
    overlay = lay_out(found, picture, facts.units)
    if not found.changed:
        middle = ((picture[0] + picture[2]) / 2.0, (picture[1] + picture[3]) / 2.0)
        words.append(Word("No piece is different.", middle, 2.6, anchor="middle"))
    more, said = _foot(overlay, found, facts, (_MARGIN, _MARGIN), picture[2] - picture[0])
    words += [*overlay.words, *said, *_column(found, facts, overlay, (left, top), (_COLUMN, top - _MARGIN))]
    rule = Stroke(line((left - _GUTTER / 2, top), (left - _GUTTER / 2, _MARGIN)), "furniture", "sheet")
    title = f"{facts.title or 'Fitting'}: before and after"
    return Drawing((*strokes, rule, *overlay.strokes, *more), tuple(words), (0.0, 0.0, wide, high), plain(title, 160))


def describe(found: Differences) -> str:
    """Return the sheet in a sentence, for those who cannot see it."""
    names = ", ".join(piece.name for piece in found.changed) or "none"
    return f"Changed pieces before (thin, dashed) and after (bold), laid over each other: {names}."


def _heading(facts: SheetFacts, at: tuple[float, float], wide: float) -> tuple[list[Word], float]:
    """Return title and the line below it, and how low they reach."""
    x, y = at
    words = []
    for row in wrapped(plain(facts.title, 120) or "Fitting", wide, _TITLE, True)[:2]:
        y -= _TITLE * 1.5
        words.append(Word(row, (x, y), _TITLE, bold=True))
    parts = [facts.what, plain(facts.on), f"for {plain(facts.wearer)}" if facts.wearer else "", plain(facts.recipe)]
    for row in wrapped(" · ".join(part for part in parts if part), wide, _SUBTITLE)[:2]:
        y -= _SUBTITLE * 1.9
        words.append(Word(row, (x, y), _SUBTITLE))
    return words, y - 2.4


def _column(
    found: Differences, facts: SheetFacts, overlay: Overlay, at: tuple[float, float], room: tuple[float, float]
) -> list[Word]:
    """Return the words beside the picture, as many as the column holds; cautions always, at its foot."""
    wide, high = room
    cautions = [Told("Cautions", CAUTION_LINES)]
    deep = column_height(cautions, wide, _LEAST_TEXT)
    high -= deep + 3.0
    for told, size in _ever_shorter(found, facts):
        tall = column_height(told, wide, size)
        if tall <= high:
            break
    words, _ = set_column(told, at, wide, size)
    low = at[1] - room[1]
    words = [word for word in words if word.at[1] > low + deep + 1.0]
    return [*words, *set_column(cautions, (at[0], low + deep), wide, _LEAST_TEXT)[0]]


def _ever_shorter(found: Differences, facts: SheetFacts) -> Sequence[tuple[list[Told], float]]:
    """Return the column's words at full length, then shorter and shorter, with the height of their capitals."""
    head, rest = _said(facts), list(tell_differences(found, facts.units))
    if not found.gained and not found.cured:
        rest.append(Told("Checks", ("No problem came, none went.",)))
    lean = [each for each in rest if each.heading != "Other figures"]
    hint = Told("More", ("Every figure stands in fitting.json.",))
    return [
        ([*head, *rest], _TEXT),
        ([*head, *rest], _LEAST_TEXT + 0.2),
        ([*head, *shortened(rest, 8), hint], _LEAST_TEXT + 0.2),
        ([*head, *shortened(lean, 6, sentence=True), hint], _LEAST_TEXT + 0.1),
        ([*shortened(head, 3, sentence=True), *shortened(lean, 3, sentence=True), hint], _LEAST_TEXT),
        ([*shortened(head, 2, sentence=True), *shortened(lean, 1, sentence=True), hint], _LEAST_TEXT),
    ]


def _said(facts: SheetFacts) -> list[Told]:
    """Return what was seen, why, and what is changed."""
    seen = [plain(facts.note, 2000)] if facts.note else []
    seen += [f"seen: {plain(facts.seen, 200)}"] if facts.seen else []
    seen += [f"because: {plain(facts.because, 200)}"] if facts.because else []
    told = [Told("What was seen", tuple(seen))] if seen else []
    told += [Told("What is changed", facts.changes)] if facts.changes else []
    return [*told, *([Told("To know", facts.said)] if facts.said else [])]


def _foot(
    overlay: Overlay, found: Differences, facts: SheetFacts, at: tuple[float, float], wide: float
) -> tuple[list[Stroke], list[Word]]:
    """Return the scale with its tape, and the kinds of line: told apart by weight and dash."""
    if not found.changed:
        return [], []
    x, y = at
    bar = max(each for each in _BARS[facts.units] if each * UNITS[facts.units] <= 36.0 * overlay.scale)
    long = bar * UNITS[facts.units] / overlay.scale
    strokes = _tape((x, y), long)
    shown = say_length(bar * UNITS[facts.units], facts.units)
    scale = "full size" if overlay.scale == 1.0 else f"1 : {overlay.scale:g}"
    words = [Word(f"{shown}, {scale}", (x + long + 2.0, y), _TEXT * 0.95)]
    samples: list[tuple[PenName, str]] = [("before", "before"), ("after", "after")]
    along, line_y = x, y + 5.0
    for pen, text in samples:
        strokes.append(Stroke(line((along, line_y + 0.7), (along + 11.0, line_y + 0.7)), pen, "sheet"))
        words.append(Word(text, (along + 12.5, line_y), _TEXT * 0.95))
        along += 12.5 + width_of(text, _TEXT * 0.95) + 6.0
    words.append(Word("arrow: where an edge moved most", (along, line_y), _TEXT * 0.95))
    rest = wide - (along - x)
    if overlay.unsaid and rest > 0:
        said = f"without room for words: {', '.join(overlay.unsaid)}"
        lead = x + long + 2.0 + width_of(words[0].text, _TEXT * 0.95) + 6.0
        words += [Word(row, (lead, y), _TEXT * 0.95) for row in wrapped(said, wide - (lead - x), _TEXT * 0.95)[:1]]
    return strokes, words


def _tape(at: tuple[float, float], long: float) -> list[Stroke]:
    """Return a piece of tape in four parts, every other one inked."""
    (x, y), high, part = at, 1.8, long / 4.0
    ring = polyline(((x, y), (x + long, y), (x + long, y + high), (x, y + high), (x, y)))
    strokes = [Stroke(ring, "furniture", "sheet", closed=True, name="scale")]
    for left in (x, x + 2 * part):
        box = polyline(((left, y), (left + part, y), (left + part, y + high), (left, y + high), (left, y)))
        strokes.append(Stroke(box, "fill", "sheet", closed=True, filled=True))
    return strokes
