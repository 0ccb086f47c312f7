"""What `onfold fit` writes: the change as data, before and after on one sheet, and the list for the next try-on."""

from __future__ import annotations

import json
from typing import Any

from onfold.fitting.comparing import Differences, EdgeChange, Move, Pair, PieceChange, PointChange, SeamChange
from onfold.fitting.entry import NewFitting
from onfold.project_fit import Fitted
from onfold.writers.pattern_json import problem_data

FORMAT = "onfold fitting 1"
PLACES = 4


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
    }


def _move(move: Move) -> dict[str, Any]:
    return {"by": _number(move.by), "from": _place(move.at), "to": _place(move.to), "outward": move.outward}


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
