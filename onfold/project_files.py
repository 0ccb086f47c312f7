"""What the commands write: each file from the draft, by the name that scripts rely on."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from onfold.body.measures import MEASURES
from onfold.lesson.facts import Chosen, LessonFacts
from onfold.problems import Problem
from onfold.project import Garment, cloth_is_one_way, first_to_tape, not_taped, said_choices
from onfold.sheets import SheetFacts, pattern_pdf, pattern_svg
from onfold.sheets.papers import PAPERS, Paper, read_paper
from onfold.writers.pattern_json import write_pattern_json

if TYPE_CHECKING:
    from onfold.guide import GuideFacts
    from onfold.making.operation import MakingUp
    from onfold.project import Draft
    from onfold.shelf.ticket import Ticket


def write_all(garment: Garment, wanted: tuple[str, ...] = ()) -> dict[str, bytes]:
    """Return every file of the garment (or those wanted) by name."""
    makers: dict[str, Callable[[Garment], bytes]] = {
        "pattern.json": lambda g: write_pattern_json(_drafted(g).pattern),
        "pattern.svg": lambda g: pattern_svg(_drafted(g).pattern, sheet_facts(g)).encode(),
        "pattern.pdf": lambda g: pattern_pdf(_drafted(g).pattern, sheet_facts(g)),
        "lesson.html": lesson_of,
        "guide.pdf": guide_of,
        "guide.html": guide_page_of,
        "guide.json": guide_data_of,
    }
    return {name: make(garment) for name, make in makers.items() if not wanted or name in wanted}


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
    piled = "pile" in ticket.cloth.surface
    return SheetFacts(
        title=ticket.title,
        wearer=ticket.wearer.name,
        date=ticket.date,
        paper=PAPERS["a4"] if isinstance(paper, Problem) else paper,
        units=ticket.units,
        not_taped=not_taped(garment),
        one_way=cloth_is_one_way(garment),
        one_layer=piled,
    )


def picture_of(garment: Garment) -> str:
    """Return the whole sheet as SVG, for notebooks."""
    return pattern_svg(_drafted(garment).pattern, sheet_facts(garment))


def lesson_of(garment: Garment) -> bytes:
    """Return the lesson as one page of HTML."""
    from onfold.lesson.page import write_lesson

    draft, ticket = _drafted(garment), _ticket(garment)
    facts = LessonFacts(
        title=ticket.title,
        wearer=ticket.wearer.name,
        date=ticket.date,
        units=ticket.units,
        recipe=draft.pattern.title,
        cloth=ticket.cloth,
        figure=ticket.wearer.figure,
        measures=draft.pattern.measures,
        how={name: MEASURES[name].how for name in draft.pattern.measures if name in MEASURES},
        measure_first=first_to_tape(garment),
        levels=draft.pattern.levels,
        choices=tuple(Chosen(*each) for each in said_choices(garment)),
        pieces=draft.pattern.pieces,
        ties="strap width" in draft.pattern.facts,
    )
    return write_lesson(garment.told, facts, _beside_the_tables(garment)).encode()


def making_of(garment: Garment) -> MakingUp:
    """Return the operations of making the garment up, in their order."""
    from onfold.making.order import making_up

    ticket = _ticket(garment)
    return making_up(_drafted(garment).pattern, ticket.cloth, ticket.units)


def guide_data_of(garment: Garment) -> bytes:
    """Return the guide as data."""
    from onfold.guide.data import write_guide_json

    return write_guide_json(making_of(garment), _drafted(garment).pattern)


def guide_of(garment: Garment) -> bytes:
    """Return the guide as PDF."""
    from onfold.guide import write_guide

    return write_guide(_drafted(garment).pattern, _guide_facts(garment), _beside_the_tables(garment))


def guide_page_of(garment: Garment) -> bytes:
    """Return the guide as one page of HTML."""
    from onfold.guide import write_guide_html

    return write_guide_html(_drafted(garment).pattern, _guide_facts(garment), _beside_the_tables(garment)).encode()


def _guide_facts(garment: Garment) -> GuideFacts:
    """Return what the guide says beside the pattern, with the pictures of its pieces."""
    from onfold.guide import GuideFacts, draw_pieces
    from onfold.writers.svg import write_svg

    draft, ticket = _drafted(garment), _ticket(garment)
    drawn = draw_pieces(draft.pattern, ticket.units)
    pictures = {name: write_svg(drawing) for name, drawing in drawn.items()}
    return GuideFacts(
        title=ticket.title,
        wearer=ticket.wearer.name,
        date=ticket.date,
        units=ticket.units,
        paper=ticket.paper.text,
        cloth=ticket.cloth,
        figure=ticket.wearer.figure,
        ties="strap width" in draft.pattern.facts,
        not_taped=not_taped(garment),
        pictures=pictures,
    )


def _beside_the_tables(garment: Garment) -> tuple[Problem, ...]:
    """Return the problems without the notes on estimates: lesson and guide have a table of those."""
    return tuple(each for each in garment.all_problems if each.code != "NOT-TAPED")
