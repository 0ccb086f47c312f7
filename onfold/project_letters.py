"""Letters that the printed pages have no shape for, so that two names could not be told apart on paper."""

from __future__ import annotations

from collections.abc import Iterator

from onfold.problems import Place, Problem, problem
from onfold.shelf.ticket import Ticket
from onfold.units import plain

FAR = "\u0250"
"""Below it every letter is in the printed faces, and they need not be opened."""


def letters_lacking(ticket: Ticket) -> list[Problem]:
    """Return a mind for each name in a ticket that holds letters which print as empty boxes."""
    return [_lacking(what, text, odd, ticket.file) for what, text in _names(ticket) if (odd := _unprinted(text))]


def _names(ticket: Ticket) -> Iterator[tuple[str, str]]:
    yield "wearer's name", ticket.wearer.name
    yield "ticket's title", ticket.title
    yield "name of the cloth", ticket.cloth.name


def _unprinted(text: str) -> str:
    if all(letter < FAR for letter in text):
        return ""
    from onfold.writers.font import face, printable

    known = face().glyphs
    return "".join(dict.fromkeys(letter for letter in printable(text) if ord(letter) not in known))


def _lacking(what: str, text: str, odd: str, file: str) -> Problem:
    return problem(
        "LETTERS",
        says=f"The {what}, '{plain(text, 60)}', has letters that the pages cannot print: {plain(odd, 20)}. Each comes "
        "out as an empty box.",
        found=plain(odd, 20),
        expected="letters that print",
        remedy="Write it in Latin, Greek or Cyrillic letters as well, so that the sheets can be told apart.",
        where=Place(file),
    )
