"""Pattern sheets: pieces, legends and rulers on any paper, cut into tiles that paste together exactly."""

from __future__ import annotations

from collections.abc import Iterable

from onfold.pattern import Pattern
from onfold.sheets.facts import SheetFacts, told_title, told_wearer
from onfold.sheets.papers import PAPERS, Paper, read_paper
from onfold.sheets.tiles import Tiles, tile, whole_sheet
from onfold.writers.pdf import write_pdf
from onfold.writers.svg import write_svg


def pattern_pdf(pattern: Pattern, facts: SheetFacts, hidden: Iterable[str] = ()) -> bytes:
    """Return the pattern as a PDF file tiled to the facts' paper, `hidden` layers switched off when it is opened."""
    return tiles_pdf(tile(pattern, facts), pattern, facts, hidden)


def tiles_pdf(tiles: Tiles, pattern: Pattern, facts: SheetFacts, hidden: Iterable[str] = ()) -> bytes:
    """Return a pattern already laid out as a PDF file."""
    title, wearer = told_title(pattern, facts), told_wearer(pattern, facts)
    named = title if wearer in title else f"{title}, {wearer}"
    return write_pdf(tiles.pages, title=named, language=facts.language, date=facts.date, hidden=hidden)


def pattern_svg(pattern: Pattern, facts: SheetFacts) -> str:
    """Return the whole pattern, with legend and rulers, as one SVG picture at full size."""
    said = ", ".join(piece.name for piece in pattern.pieces)
    return write_svg(whole_sheet(pattern, facts), described=f"Pattern pieces at full size, in millimetres: {said}.")


__all__ = ["PAPERS", "Paper", "SheetFacts", "Tiles", "pattern_pdf", "pattern_svg", "read_paper", "tile", "tiles_pdf"]
