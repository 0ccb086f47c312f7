"""The tables a sheet carries: levels, seams, pieces, the kinds of line, what was not taped, cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from onfold.drawing import Drawing, Layer, PenName, Stroke, Word, shifted
from onfold.geometry.path import length, line, polyline
from onfold.lettering import wrapped
from onfold.pattern import Pattern, Run, edges_of
from onfold.sheets.facts import SheetFacts, untaped
from onfold.sheets.lengths import centre_lengths
from onfold.sheets.piece_drawing import cut_words, material_words
from onfold.sheets.stops import STOP, told_stops
from onfold.units import say_share

TEXT = 2.1
"""Capital height of the tables, mm."""
_LEAD = 1.85
_MOST_LINES = 44
"""Lines of a table before it is continued in another block, which may stand on the next page."""
_CAUTION = (
    "Blades and pins wound, irons and steam burn: cut away from yourself, cover points, and follow the rules and "
    "practice of your own workroom and country. They also decide on cords, small parts and flammable cloth."
)


@dataclass(frozen=True, eq=False)
class Panel:
    """A block of a legend, its top left corner at (0, 0), `height` mm downwards."""

    strokes: tuple[Stroke, ...]
    words: tuple[Word, ...]
    height: float

    def at(self, x: float, y: float) -> tuple[tuple[Stroke, ...], tuple[Word, ...]]:
        """Return its strokes and words with its top left corner at (x, y)."""
        placed = shifted(Drawing(self.strokes, self.words, (0.0, 0.0, 0.0, 0.0)), x, y)
        return placed.strokes, placed.words


def panels(pattern: Pattern, facts: SheetFacts, width: float) -> list[Panel]:
    """Return the legend's blocks, each `width` mm wide, in the order a maker reads them."""
    say = facts.say
    levels = [
        (
            level.name,
            say(level.body) if level.body > 0 else "",
            say(level.finished),
            say_share(level.wearing_stretch) if level.body > 0 else "",
        )
        for level in pattern.levels.values()
    ]
    seams = [
        (
            seam.name + (" (twice)" if seam.twice else ""),
            seam.finish or seam.construction,
            *(say(run_length(pattern, side)) for side in seam.sides),
        )
        for seam in pattern.seams
    ]
    pieces = [
        (piece.name, cut_words(piece, facts.prints_whole(piece)), material_words(piece)) for piece in pattern.pieces
    ]
    return [
        *(paragraph(heading, texts, width) for heading, texts in facts.blocks),
        *_table(
            "Round the body", ("level", "body", "finished", "worn stretch"), levels, (0.24, 0.27, 0.27, 0.22), width
        ),
        *_table(
            "Down the centre, finished",
            ("centre of", "length"),
            [(name, say(mm)) for name, mm in centre_lengths(pattern)],
            (0.5, 0.5),
            width,
        ),
        *_table("Pieces", ("piece", "cut", "from"), pieces, (0.36, 0.36, 0.28), width),
        *_table("Seams", ("seam", "sewn", "one side", "other side"), seams, (0.25, 0.23, 0.26, 0.26), width),
        *_not_taped(pattern, facts, width),
        line_key(width),
        paragraph("Cautions", (_CAUTION,), width),
    ]


def _not_taped(pattern: Pattern, facts: SheetFacts, width: float) -> list[Panel]:
    """Return the measures that were estimated, each with what nine in ten such people have."""
    rows = []
    for name in untaped(pattern, facts):
        taken = pattern.measures.get(name)
        low, high = (taken.interval if taken is not None else None) or (None, None)
        said = "" if taken is None else facts.say(taken.value)
        rows.append((name, said, "" if low is None or high is None else f"{facts.say(low)} to {facts.say(high)}"))
    if not rows:
        return []
    return _table("Not taped, so estimated", ("measure", "taken as", "nine in ten"), rows, (0.34, 0.25, 0.41), width)


def stop_panel(pattern: Pattern, width: float) -> Panel | None:
    """Return the draft's stops in a heavy frame `width` mm wide, each with what to do; None where there are none."""
    told = told_stops(pattern)
    if not told:
        return None
    inset, large, size = 4.0, 8.0, 2.6
    y = -inset - large
    words = [Word(STOP, (inset, y), large, bold=True)]
    y -= 1.5
    for text, bold in told:
        y -= 0.8
        for row in wrapped(text, width - 2 * inset, size, bold):
            y -= size * _LEAD
            words.append(Word(row, (inset, y), size, bold=bold))
    low = y - inset
    frame = polyline(((0.0, low), (width, low), (width, 0.0), (0.0, 0.0), (0.0, low)))
    return Panel((Stroke(frame, "new", "words", closed=True, name="stop"),), tuple(words), -low + 4.0)


def run_length(pattern: Pattern, side: tuple[Run, ...]) -> float:
    """Return the length in mm of one side of a seam along the drawn seam lines."""
    total = 0.0
    for run in side:
        piece = pattern.piece(run.piece)
        total += sum(length(edge.path) for edge in edges_of(piece, run.edge)) if piece else 0.0
    return total


def paragraph(title: str, texts: tuple[str, ...], width: float, size: float = TEXT, layer: Layer = "words") -> Panel:
    """Return a heading with lines of running text below it."""
    words = [Word(title, (0.0, -size * 1.5), size * 1.15, bold=True, layer=layer)] if title else []
    y = -size * 1.5 if title else size * 0.4
    for text in texts:
        for row in wrapped(text, width, size):
            y -= size * _LEAD
            words.append(Word(row, (0.0, y), size, layer=layer))
        y -= size * 0.7
    return Panel((), tuple(words), -y + size * 0.8)


def _table(
    title: str, heads: tuple[str, ...], rows: Sequence[tuple[str, ...]], shares: tuple[float, ...], width: float
) -> list[Panel]:
    chunks: list[list[tuple[str, ...]]] = []
    lines = _MOST_LINES
    for row in rows:
        deep = max(len(wrapped(cell, width * share - 1.5, TEXT)) for cell, share in zip(row, shares, strict=True))
        if lines + deep > _MOST_LINES:
            chunks.append([])
            lines = 0
        chunks[-1].append(row)
        lines += deep
    return [
        _one_table(title if not at else f"{title}, continued", heads, chunk, shares, width)
        for at, chunk in enumerate(chunks)
    ]


def _one_table(
    title: str, heads: tuple[str, ...], rows: Sequence[tuple[str, ...]], shares: tuple[float, ...], width: float
) -> Panel:
    lefts = [width * sum(shares[:at]) for at in range(len(shares))]
    words = [Word(title, (0.0, -TEXT * 1.5), TEXT * 1.15, bold=True)]
    y = -TEXT * 1.5 - TEXT * _LEAD * 1.05
    words += [Word(head, (left, y), TEXT * 0.85) for head, left in zip(heads, lefts, strict=True)]
    rule = y - TEXT * 0.6
    strokes = [Stroke(line((0.0, rule), (width, rule)), "furniture", "words")]
    y = rule - TEXT * 0.1
    for row in rows:
        cells = [wrapped(cell, width * share - 1.5, TEXT) for cell, share in zip(row, shares, strict=True)]
        for cell, left in zip(cells, lefts, strict=True):
            words += [Word(text, (left, y - TEXT * _LEAD * (1 + at)), TEXT) for at, text in enumerate(cell)]
        y -= TEXT * _LEAD * max(1, *map(len, cells))
    return Panel(tuple(strokes), tuple(words), -y + TEXT * 1.6)


def line_key(width: float) -> Panel:
    """Return the key of the kinds of line, each drawn as it is on the pieces."""
    kinds: tuple[tuple[PenName, Layer, str], ...] = (
        ("cut", "cut lines", "cut here"),
        ("seam", "seam lines", "sew here"),
        ("fold", "fold lines", "fold, never cut"),
        ("grain", "grain lines", "along the thread"),
        ("level", "levels", "level"),
        ("dots", "marks", "inner line"),
    )
    words = [Word("Lines", (0.0, -TEXT * 1.5), TEXT * 1.15, bold=True)]
    strokes: list[Stroke] = []
    y = -TEXT * 1.5
    for at, (pen, layer, text) in enumerate(kinds):
        left = (at % 2) * width / 2
        if at % 2 == 0:
            y -= TEXT * 2.2
        strokes.append(Stroke(line((left, y + TEXT * 0.45), (left + 13.0, y + TEXT * 0.45)), pen, layer))
        words.append(Word(text, (left + 14.5, y), TEXT * 0.95))
    return Panel(tuple(strokes), tuple(words), -y + TEXT * 1.6)
