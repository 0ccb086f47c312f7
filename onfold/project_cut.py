"""What is cut already, after the fittings since: which pieces still do, which are recut, from how much cloth."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from onfold.fitting.reach import CUT_TO, Reach, least_of, reach_of
from onfold.pattern import Pattern, Piece
from onfold.problems import Place, Problem, problem, unreadable
from onfold.project_draft import Draft, draft_for
from onfold.shelf.ticket import Ticket, as_cut
from onfold.units import System, say_length, say_list

if TYPE_CHECKING:
    from onfold.project import Garment

TRIMMED = "Reckoned from the cut line: what was sewn and trimmed or clipped since cannot be known."
RULES = {
    "unchanged": "Already cut: unchanged. Do not cut it again.",
    "reaches": "Already cut: it reaches. Do not cut it again.",
    "recut": "Already cut, but it no longer does: cut it again.",
    "new": "Not cut yet.",
    "gone": "",
}
"""What the sheets say on each piece."""


def cut_garment(garment: Garment) -> Garment | None:
    """Return the garment as it was when the cloth was cut: the fittings before that day; None where it isn't cut."""
    if garment.ticket is None or garment.recipe is None:
        return None
    then = as_cut(garment.ticket)
    if then is None:
        return None
    from onfold.project import Garment as Whole

    return Whole(garment.path, then, garment.recipe, garment.problems)


def _drawn_then(garment: Garment) -> Pattern | None:
    """Return the pattern that the cloth was cut by, with what its steps had to say; None where it isn't cut."""
    before = cut_garment(garment)
    if before is None or before.ticket is None or before.recipe is None:
        return None
    return draft_for(before.ticket, before.recipe).pattern


def still_to_cut(garment: Garment) -> tuple[Piece, ...]:
    """Return the pieces that lie on the cloth: all of them, or of a garment that is cut those cut again or new."""
    if garment.draft is None:
        return ()
    pieces = garment.draft.pattern.pieces
    if garment.ticket is None or not garment.ticket.cut_on or garment.given is not None:
        return pieces
    told = [each.where.piece for each in garment.draft.pattern.problems if each.code == "CUT-RECUT"]
    # without a piece named, what is cut is not known
    return pieces if "" in told else tuple(each for each in pieces if each.name in told)


def with_cut(garment: Garment, draft: Draft) -> tuple[Pattern, list[Problem]]:
    """Return the new pattern, its pieces marked as cut or to be cut again, and what is to be said of them."""
    ticket, before = garment.ticket, _drawn_then(garment)
    if ticket is None or before is None:
        return draft.pattern, []
    if unreadable(before.problems):
        return draft.pattern, [_not_drawn(before, ticket)]
    found = reach_of(before, draft.pattern, least_of(ticket.cloth))
    rules = {each.piece: RULES[each.answer] for each in found}
    pieces = tuple(_marked(each, rules.get(each.name, "")) for each in draft.pattern.pieces)
    return replace(draft.pattern, pieces=pieces), cut_problems(found, ticket)


def _not_drawn(before: Pattern, ticket: Ticket) -> Problem:
    first = next(each for each in before.problems if unreadable((each,)))
    return problem(
        "CUT-RECUT",
        says=f"The draft of {ticket.cut_on} cannot be drawn, so what is cut is not known. {first.says}",
        found="no draft of that day",
        expected="the draft that was cut by",
        remedy="write above the fittings what the cloth was cut by, or lay the new pattern on each cut piece",
        where=first.where if first.where.file else Place(ticket.file),
        excerpt=first.excerpt,
    )


def _marked(piece: Piece, words: str) -> Piece:
    if not words:
        return piece
    return replace(piece, label=f"{piece.label}. {words}" if piece.label.strip() not in ("", piece.name) else words)


def cut_problems(found: tuple[Reach, ...], ticket: Ticket) -> list[Problem]:
    """Return what the maker is told: a mind for each piece to be cut again, a note for each that reaches."""
    told = [_recut(each, ticket) for each in found if each.answer in ("recut", "new")]
    told += [_reaches(each, ticket) for each in found if each.answer == "reaches"]
    same = [each.piece for each in found if each.answer == "unchanged"]
    gone = [each.piece for each in found if each.answer == "gone"]
    if same:
        says = f"Cut on {ticket.cut_on} and unchanged since: {', '.join(same)}."
        told.append(problem("CUT-REACHES", says=says, found="unchanged", where=Place(ticket.file)))
    if gone:
        says = f"Cut on {ticket.cut_on} and no longer needed: {', '.join(gone)}. Keep the cloth for recutting."
        told.append(problem("CUT-REACHES", says=says, found="no longer needed", where=Place(ticket.file)))
    return told


def _recut(each: Reach, ticket: Ticket) -> Problem:
    cut = say_cut(each, ticket.units)
    if each.answer == "new":
        says = f"The {each.piece} was not among the pieces cut on {ticket.cut_on}. Cut the {each.piece}: {cut}."
        return _said("CUT-RECUT", each, ticket, says, ("new", "a cut piece", f"cut the {each.piece}"))
    if each.why:
        says = f"The {each.piece} cut on {ticket.cut_on} does not do: {each.why}. Recut the {each.piece}: {cut}."
        return _said("CUT-RECUT", each, ticket, says, (each.why, "as it was cut", f"recut the {each.piece}"))
    lacks, where = say_spare(-each.spare, ticket.units), _where(each)
    says = f"The {each.piece} does not reach: {lacks} lack at the {where}. Recut the {each.piece}: {cut}."
    remedy = f"Recut it, or give {where} a finish that uses {lacks} less, if it can be sewn so."
    return _said("CUT-RECUT", each, ticket, says, (f"{lacks} lacking", "none lacking", remedy))


def _where(each: Reach) -> str:
    """Return the edges at which cloth lacks along their length, not at a corner alone; the one that is named first."""
    out = [edge for edge in each.edges if edge.spare < -CUT_TO and edge.let_out > CUT_TO / 2.0]
    lacking = [edge.edge for edge in out if edge.edge != each.edge]
    names = [each.edge, *lacking]
    return say_list(names)


def _reaches(each: Reach, ticket: Ticket) -> Problem:
    units = ticket.units
    spare = f"{say_spare(each.spare, units)} spare at the {each.edge}" if each.spare >= 0.5 else "nothing to spare"
    says = f"The {each.piece} reaches, with {spare}."
    if each.full < -0.5 and each.full < each.spare - 0.5:
        lacks = say_spare(-each.full, units)
        says += (
            f" With the whole allowance of the new draft {lacks} would lack at the {each.full_edge}: sew it narrower."
        )
    says += f" {TRIMMED} Do not cut it again: mark the new seam line on it."
    return _said("CUT-REACHES", each, ticket, says, (spare, "", ""))


def _said(code: str, each: Reach, ticket: Ticket, says: str, told: tuple[str, str, str] = ("", "", "")) -> Problem:
    """Return a problem of one piece; `told` is what was found, what was expected and what to do."""
    found, expected, remedy = told
    where = Place(ticket.file, piece=each.piece)
    return problem(code, says=says, found=found, expected=expected, remedy=remedy, where=where)


def say_cut(each: Reach, units: System) -> str:
    """Return what is to be cut: `62 × 38 cm (across × along the grain)`, and how many where it is more than one."""
    across, along = (say_length(mm, units) for mm in each.size)
    count = "" if each.pieces == 1 else f", {each.pieces} pieces"
    return f"{across.removesuffix(f' {units}')} × {along} (across × along the grain){count}"


def say_spare(mm: float, units: System) -> str:
    """Return a spare or a lack as it is said at the table: whole millimetres, or sixteenths of an inch."""
    return say_length(mm, "in", 16) if units == "in" else f"{max(1, round(mm))} mm"
