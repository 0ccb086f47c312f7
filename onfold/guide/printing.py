"""Guide and cloth card as PDF: tagged for screen readers, equal bytes for equal input."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from importlib.resources import files
from typing import Any

from onfold.drawing import Drawing
from onfold.guide.card import CardFacts, card_content
from onfold.guide.facts import GuideFacts, Part
from onfold.guide.parts import parts_of
from onfold.guide.pictures import FINER, draw_pieces
from onfold.pattern import Pattern
from onfold.problems import Problem
from onfold.writers.typeset import cleaned, set_on_letter, set_pdf


def write_guide(
    pattern: Pattern,
    facts: GuideFacts,
    problems: Sequence[Problem],
    drawn: Mapping[str, Drawing] | None = None,
) -> bytes:
    """Return the guide as a tagged PDF (PDF/UA-1), A4 or Letter.

    `drawn` are the drawings of the operations by name (see `draw_operations`). A piece or operation without a picture
    is told in words. Characters without a printed form are replaced and named at the foot of the guide.
    """
    named = replace(facts, title=facts.title or pattern.title or pattern.recipe, wearer=facts.wearer or pattern.wearer)
    alts = {name: drawing.title for name, drawing in draw_pieces(pattern, facts.units, facts.cloth).items()}
    foot = f"Drafted by Onfold from the recipe {pattern.recipe}."
    return print_parts(parts_of(pattern, facts, problems, drawn), named, "Making up", foot, alts)


def print_parts(
    parts: Sequence[Part], facts: GuideFacts, reading: str, foot: str, alts: Mapping[str, str] | None = None
) -> bytes:
    """Return a guide of these parts as a tagged PDF, with or without pieces.

    `reading` is what it calls itself on every page, `foot` stands below each, `alts` are the pictures in words.
    """
    lost: set[str] = set()
    content = {
        "title": facts.title,
        "wearer": facts.wearer,
        "date": facts.date,
        "reading": reading,
        "foot": foot,
        "cloth": facts.cloth.name,
        "units": "inches" if facts.units == "in" else "cm and mm",
        "parts": [asdict(part) for part in parts],
        "alts": alts or {},
    }
    clean = cleaned(content, lost)
    clean["paper"] = "us-letter" if _is_american(facts) else "a4"
    clean["pictures"] = {cleaned(name, set()): svg for name, svg in facts.pictures.items()}
    clean["finer"] = FINER
    clean["lost"] = ", ".join(sorted(f"U+{ord(char):04X}" for char in lost))
    return _set("guide", clean)


def write_card(facts: CardFacts) -> bytes:
    """Return the cloth card as a tagged PDF (PDF/UA-1) of one page, A4 or Letter.

    Characters without a printed form are replaced and named at its foot.
    """
    lost: set[str] = set()
    clean = cleaned(card_content(facts), lost)
    clean["paper"] = "us-letter" if _is_american(facts) else "a4"
    clean["lost"] = ", ".join(sorted(f"U+{ord(char):04X}" for char in lost))
    return _set("card", clean)


def _set(name: str, content: dict[str, Any]) -> bytes:
    """Return the PDF that the template of this name makes of its content."""
    return set_pdf(name, (files("onfold.guide") / f"{name}.typ").read_bytes(), content)


def _is_american(facts: GuideFacts | CardFacts) -> bool:
    """Return whether a page is set on Letter: with the North American papers, and rolls measured in inches."""
    return set_on_letter(facts.paper, facts.units)
