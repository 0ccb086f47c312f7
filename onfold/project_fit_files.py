"""What `onfold fit` writes: the change as data, before and after on one sheet, and the list for the next try-on."""

from __future__ import annotations

import json
from typing import Any

from onfold.fitting.comparing import Differences, EdgeChange, Move, Pair, PieceChange, PointChange, SeamChange
from onfold.fitting.entry import NewFitting
from onfold.fitting.sheet import SheetFacts, describe, fitting_sheet
from onfold.fitting.telling import tell_change
from onfold.fitting.try_on import TryOnFacts, try_on_pages
from onfold.problems import Problem
from onfold.project import Garment
from onfold.project_fit import Fitted, say_fittings
from onfold.project_seen import looks_of
from onfold.sheets.papers import PAPERS, Paper, read_paper
from onfold.units import say_length
from onfold.writers.pattern_json import problem_data
from onfold.writers.pdf import Page, write_pdf
from onfold.writers.svg import write_svg

FORMAT = "onfold fitting 1"
PLACES = 4
_SHEET_WIDEST, _LIST_WIDEST = 300.0, 220.0
"""mm; a larger paper is for patterns, not for a sheet that lies beside the machine or a list held in the hand."""


def fitting_json(fitted: Fitted) -> bytes:
    """Return `fitting.json` as UTF-8, equal for equal changes (docs/fitting.md)."""
    return (json.dumps(fitting_data(fitted), ensure_ascii=False, indent=1) + "\n").encode()


def fitting_data(fitted: Fitted) -> dict[str, Any]:
    """Return the change and all that it does as plain lists and dicts, mm to four places."""
    ticket, found = fitted.after.ticket, fitted.differences
    recipe = fitted.after.recipe
    return {
        "format": FORMAT,
        "unit": "mm",
        "ticket": ticket.title if ticket is not None else "",
        "recipe": recipe.name if recipe is not None else "",
        "wearer": ticket.wearer.name if ticket is not None else "",
        "changes": [change_data(each) for each in fitted.fittings],
        "taken_back": fitted.taken_back,
        **(_differences(found) if found is not None else {}),
        "problems": {
            "gained": [problem_data(each) for each in (found.gained if found is not None else ())],
            "cured": [problem_data(each) for each in (found.cured if found is not None else ())],
            "now": [problem_data(each) for each in fitted.after.all_problems],
            "of_the_change": [problem_data(each) for each in fitted.problems],
        },
    }


def change_data(fitting: NewFitting) -> dict[str, Any]:
    """Return a fitting as data, its change under the keys it has in a ticket."""
    change = fitting.change
    return {
        "on": fitting.on,
        "note": fitting.note,
        "seen": fitting.seen,
        "because": fitting.because,
        "choice": change.choices,
        "figure": change.figure,
        "measure": change.measures,
        "steps": [{"after": after, "step": text} for after, text in change.steps],
        "carried": list(fitting.carried),
    }


def _differences(found: Differences) -> dict[str, Any]:
    return {
        "pieces": [_piece(each) for each in found.pieces],
        "seams": [_seam(each) for each in found.seams],
        "seams_walked": found.walked,
        "levels": [_pair(each) for each in found.levels],
        "facts": [_pair(each) for each in found.facts],
        "measures": [_pair(each) for each in found.measures],
    }


def _piece(piece: PieceChange) -> dict[str, Any]:
    state = "came" if piece.before is None else "went" if piece.after is None else "same"
    return {
        "name": piece.name,
        "state": "changed" if state == "same" and piece.changed else state,
        "shift": _place(piece.shift),
        "area": [_number(piece.area.before), _number(piece.area.after)],
        "cut": [piece.cut.before and int(piece.cut.before), piece.cut.after and int(piece.cut.after)],
        "edges": [_edge(each) for each in piece.edges],
        "points": [_point(each) for each in piece.points],
        "words": [{"what": what, "before": before, "after": after} for what, before, after in piece.words],
    }


def _edge(edge: EdgeChange) -> dict[str, Any]:
    return {
        "name": edge.name,
        "before": _number(edge.before),
        "after": _number(edge.after),
        "allowance": [_number(each) for each in edge.allowances],
        "moved": None if edge.move is None else _move(edge.move),
        "ran_on": None if edge.ran_on is None else _move(edge.ran_on),
    }


def _move(move: Move) -> dict[str, Any]:
    return {
        "by": _number(move.by),
        "from": _place(move.at),
        "to": _place(move.to),
        "outward": move.outward,
        "even": move.even,
    }


def _point(point: PointChange) -> dict[str, Any]:
    return {
        "kind": point.kind,
        "name": point.name,
        "from": point.before and _place(point.before),
        "to": point.after and _place(point.after),
    }


def _seam(seam: SeamChange) -> dict[str, Any]:
    return {
        "name": seam.name,
        "before": seam.before and _place(seam.before),
        "after": seam.after and _place(seam.after),
        "off": [_number(seam.off_before), _number(seam.off_after)],
    }


def _pair(pair: Pair) -> dict[str, Any]:
    return {"name": pair.name, "before": _number(pair.before), "after": _number(pair.after), "unit": pair.unit}


def _place(at: tuple[float, float]) -> list[float | None]:
    return [_number(at[0]), _number(at[1])]


def _number(value: float | None) -> float | None:
    """Return a figure as it is written: to four places, no minus before a nought."""
    return None if value is None else round(value, PLACES) + 0.0


def fit_files(fitted: Fitted) -> dict[str, bytes]:
    """Return the files of a change by name, before and after on one sheet; empty where it could not be drafted."""
    if fitted.differences is None or fitted.after.ticket is None:
        return {}
    paper = _small_paper(fitted.after, _SHEET_WIDEST)
    sheet = fitting_sheet(fitted.differences, _sheet_facts(fitted), (paper.height, paper.width))
    title, on = sheet.title, fitted.fittings[-1].on if fitted.fittings else ""
    page = Page(sheet.box[2], sheet.box[3], own=sheet)
    return {
        "fitting.json": fitting_json(fitted),
        "fitting.svg": write_svg(sheet, described=describe(fitted.differences)).encode(),
        "fitting.pdf": write_pdf([page], title=title, date=on),
        "try-on.pdf": try_on_pdf(fitted.after),
    }


def try_on_pdf(garment: Garment, said: tuple[str, ...] = ()) -> bytes:
    """Return the list for the next try-on as PDF."""
    ticket, draft = garment.ticket, garment.draft
    assert ticket is not None and draft is not None
    girths = [level for level in draft.pattern.levels.values() if level.finished > 0.0]
    facts = TryOnFacts(
        ticket.title,
        ticket.wearer.name,
        tuple(f"{level.name} {say_length(level.finished, ticket.units)}" for level in girths),
        say_fittings(garment) if ticket.fittings else (),
        said,
    )
    paper = _small_paper(garment, _LIST_WIDEST)
    pages = try_on_pages(looks_of(garment), facts, (paper.width, paper.height))
    return write_pdf(
        [Page(each.box[2], each.box[3], own=each) for each in pages], title=f"{ticket.title}: try-on", date=ticket.date
    )


def _small_paper(garment: Garment, widest: float) -> Paper:
    """Return the ticket's own paper where it is no wider than this, mm, else the common small one of its units."""
    ticket = garment.ticket
    assert ticket is not None
    paper = read_paper(ticket.paper.text, ticket.paper.place)
    if isinstance(paper, Problem) or paper.roll or paper.width > widest:
        return PAPERS["letter" if ticket.units == "in" else "a4"]
    return paper


def _sheet_facts(fitted: Fitted) -> SheetFacts:
    ticket, recipe = fitted.after.ticket, fitted.after.recipe
    assert ticket is not None
    new = fitted.fittings
    return SheetFacts(
        title=ticket.title,
        wearer=ticket.wearer.name,
        recipe=recipe.name if recipe is not None else "",
        on=", ".join(dict.fromkeys(each.on for each in new)),
        note=" ".join(each.note for each in new if each.note),
        seen=", ".join(each.seen for each in new if each.seen),
        because=", ".join(each.because for each in new if each.because),
        changes=tuple(line for each in new for line in tell_change(each.change)),
        what=f"Without the fitting of {fitted.taken_back}" if fitted.taken_back else "Fitting",
        units=ticket.units,
        said=tuple(each.says for each in fitted.problems),
    )
