"""The making-up guide: pieces, cutting, seams, notions and cautions, as a tagged PDF to print and pin up."""

from __future__ import annotations

from onfold.guide.card import CardFacts
from onfold.guide.facts import GuideFacts
from onfold.guide.pictures import draw_pieces
from onfold.guide.printing import write_card, write_guide

__all__ = ["CardFacts", "GuideFacts", "draw_pieces", "write_card", "write_guide"]
