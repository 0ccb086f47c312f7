"""Labels to cut out and pin on the cut pieces, so that none is mistaken, turned round or counted twice."""

from __future__ import annotations

from onfold.guide.facts import Card, GuideFacts, Part
from onfold.making.cutting import cutting_order, how_cut
from onfold.pattern import Pattern, Piece

MOST_ALIKE = 8
"""Of more pieces alike than this one label is printed, to be copied."""


def label_parts(pattern: Pattern, facts: GuideFacts) -> list[Part]:
    """Return one part with a card for every piece of cloth, in the order of cutting; nothing without pieces."""
    cards = tuple(card for piece in cutting_order(pattern) for card in _cards(piece, pattern, facts))
    if not cards:
        return []
    note = "Cut them out and pin one to the wrong side of each piece, its arrow to the piece's top."
    return [Part("labels", "Labels to pin on the pieces", cards=cards, note=note)]


def _cards(piece: Piece, pattern: Pattern, facts: GuideFacts) -> list[Card]:
    said = [
        how_cut(piece, facts.cloth),
        "" if piece.material == "main" else f"from {piece.material}",
        f"grain {piece.grain.kind}" if piece.grain else "no grain line",
        f"for {facts.wearer or pattern.wearer}" if facts.wearer or pattern.wearer else "",
    ]
    many = max(piece.cut, 1)
    if many > MOST_ALIKE:
        return [Card(piece.name, f"each of {many}", tuple(filter(None, said)))]
    return [Card(piece.name, _count(piece, at + 1, many), tuple(filter(None, said))) for at in range(many)]


def _count(piece: Piece, at: int, many: int) -> str:
    """Return which piece this is: `2 of 2, turned over` for the second of a mirrored pair."""
    turned = ", turned over" if piece.mirrored_pair and at % 2 == 0 else ""
    return f"{at} of {many}{turned}"
