"""What the commands write: each file from the draft, by the name that scripts rely on."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from onfold.body.figure_notes import say_notes
from onfold.body.measures import MEASURES
from onfold.cloth import in_one_layer
from onfold.lesson.facts import Chosen, LessonFacts
from onfold.problems import Problem
from onfold.project import Garment, cloth_is_one_way, first_to_tape, not_taped, said_choices
from onfold.project_guide import guide_files
from onfold.project_words import beside_the_tables
from onfold.sheets import SheetFacts, pattern_pdf, pattern_svg
from onfold.sheets.papers import PAPERS, Paper, read_paper
from onfold.writers.pattern_json import write_pattern_json

if TYPE_CHECKING:
    from onfold.project import Draft
    from onfold.shelf.ticket import Ticket


def write_all(garment: Garment, wanted: tuple[str, ...] = ()) -> dict[str, bytes]:
    """Return every file of the garment (or those wanted) by name."""
    makers: dict[str, Callable[[Garment], bytes]] = {
        "pattern.json": lambda g: write_pattern_json(_drafted(g).pattern),
        "pattern.svg": lambda g: pattern_svg(_drafted(g).pattern, sheet_facts(g)).encode(),
        "pattern.pdf": lambda g: pattern_pdf(_drafted(g).pattern, sheet_facts(g)),
        "lesson.html": lesson_of,
    }
    made = {name: make(garment) for name, make in makers.items() if not wanted or name in wanted}
    return {**made, **guide_files(garment, wanted)}


def _drafted(garment: Garment) -> Draft:
    assert garment.draft is not None
    return garment.draft


def _ticket(garment: Garment) -> Ticket:
    assert garment.ticket is not None
    return garment.ticket


def paper_of(garment: Garment) -> Paper | Problem:
    """Return the paper the ticket asks for, or what is wrong with it."""
    ticket = _ticket(garment)
    return read_paper(ticket.paper.text, ticket.paper.place)


def sheet_facts(garment: Garment) -> SheetFacts:
    """Return what every sheet says."""
    ticket = _ticket(garment)
    paper = paper_of(garment)
    return SheetFacts(
        title=ticket.title,
        wearer=ticket.wearer.name,
        date=ticket.date,
        paper=PAPERS["a4"] if isinstance(paper, Problem) else paper,
        units=ticket.units,
        drafted_for=say_notes(_drafted(garment).pattern.notes, ticket.units),
        not_taped=not_taped(garment),
        one_way=cloth_is_one_way(garment),
        one_layer=_one_layer(garment, ticket),
    )


def _one_layer(garment: Garment, ticket: Ticket) -> frozenset[str]:
    """Return the pieces whose cloth is cut in one layer only."""
    cloths = {"main": ticket.cloth, "": ticket.cloth, **ticket.other_cloths}
    flat = {name for name, cloth in cloths.items() if in_one_layer(cloth)}
    return frozenset(piece.name for piece in _drafted(garment).pattern.pieces if piece.material in flat)


def picture_of(garment: Garment) -> str:
    """Return the whole sheet as SVG, for notebooks."""
    return pattern_svg(_drafted(garment).pattern, sheet_facts(garment))


def lesson_of(garment: Garment) -> bytes:
    """Return the lesson as one page of HTML."""
    from onfold.lesson.page import write_lesson

    draft, ticket = _drafted(garment), _ticket(garment)
    first = first_to_tape(garment)
    facts = LessonFacts(
        title=ticket.title,
        wearer=ticket.wearer.name,
        date=ticket.date,
        units=ticket.units,
        recipe=draft.pattern.title,
        cloth=ticket.cloth,
        figure=ticket.wearer.figure,
        measures=draft.pattern.measures,
        how={name: MEASURES[name].how for name in (*draft.pattern.measures, *first) if name in MEASURES},
        measure_first=first,
        levels=draft.pattern.levels,
        choices=tuple(Chosen(*each) for each in said_choices(garment)),
        pieces=draft.pattern.pieces,
        ties="strap width" in draft.pattern.facts,
        notes=say_notes(draft.pattern.notes, ticket.units),
    )
    return write_lesson(garment.told, facts, beside_the_tables(garment)).encode()
