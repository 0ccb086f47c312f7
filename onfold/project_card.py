"""The façade of the cloth card: a ticket, or none, in; one page of trials on scraps out."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from onfold.problems import Problem, unreadable
from onfold.shelf.ticket import read_ticket
from onfold.units import System

CARD = "cloth-card.pdf"


@dataclass(frozen=True)
class CardFiles:
    """What came of it: files by name, problems. `refused` where nothing may be written."""

    files: dict[str, bytes] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    refused: bool = False


def card_files(path: Path | None, units: System | None = None) -> CardFiles:
    """Return the card of a ticket's cloth, or a blank one; `units` stands in for the ticket's.

    The ticket is read for its cloth alone: what its recipe makes of it has no say here. Never raises on its content.
    """
    from onfold.guide import CardFacts, write_card

    if path is None:
        paper = "letter" if units == "in" else "a4"
        return CardFiles({CARD: write_card(CardFacts(units=units or "cm", paper=paper))})
    ticket, problems = read_ticket(path)
    if ticket is None or unreadable(problems):
        return CardFiles(problems=tuple(problems), refused=True)
    wearer = ticket.wearer.name
    facts = CardFacts(
        title=ticket.title if wearer in ticket.title else f"{ticket.title}, {wearer}",
        date=ticket.date,
        units=units or ticket.units,
        paper=ticket.paper.text,
        cloth=ticket.cloth,
    )
    return CardFiles({CARD: write_card(facts)}, tuple(problems))
