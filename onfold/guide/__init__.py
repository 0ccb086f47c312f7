"""The making-up guide: pieces, cutting, operations, notions and cautions, as a tagged PDF and as a page of HTML."""

from __future__ import annotations

from onfold.guide.card import CardFacts
from onfold.guide.facts import GuideFacts
from onfold.guide.operation_pictures import draw_operation, draw_operations
from onfold.guide.operations import KEY, operation_parts, picture_name
from onfold.guide.picture_key import draw_key
from onfold.guide.pictures import draw_pieces
from onfold.guide.printing import write_card, write_guide
from onfold.guide.web import write_guide_html

__all__ = [
    "KEY",
    "CardFacts",
    "GuideFacts",
    "draw_key",
    "draw_operation",
    "draw_operations",
    "draw_pieces",
    "operation_parts",
    "picture_name",
    "write_card",
    "write_guide",
    "write_guide_html",
]
