"""The JSON Schema of a ticket, by which editors offer keys and words. What counts is what the reader says."""

from __future__ import annotations

from typing import Any

from onfold.body.figure_notes import FIGURE_NOTES
from onfold.body.measures import MEASURES, SIDES
from onfold.cloth import KINDS, NAPS, SURFACES
from onfold.construction import CONSTRUCTIONS
from onfold.construction.alteration import EDGE_VERBS, LEVELS, SEAM_VERBS, THING_VERBS, VERBS
from onfold.shelf.ticket import ONE_OF, REQUIRED, TICKET_KEYS, UNITS
from onfold.shelf.ticket_alteration import ALTERATION_KEYS, EDGE_KEYS, MEASURED
from onfold.shelf.ticket_alteration import REQUIRED as ALTERATION_REQUIRED
from onfold.shelf.ticket_cloth import BOTH_WAYS, CLOTH_KEYS, FLAW_KEYS, HUNG_KEYS, HUNG_REQUIRED
from onfold.shelf.ticket_cloth import REQUIRED as CLOTH_REQUIRED
from onfold.shelf.ticket_parts import CARRIED, FIGURES, FITTING_KEYS

Schema = dict[str, Any]

_NUMBER = r"-?(\d+ \d+/\d+|\d+/\d+|\d+([.,]\d+)?)"
_LENGTH = rf"^{_NUMBER} ?(mm|cm|m|in|ft|yd)( {_NUMBER} ?in)?$"
_DATE = r"^\d{4}-\d{2}-\d{2}$"


def ticket_schema() -> Schema:
    """Return the JSON Schema (2020-12) of a ticket: its keys, the words each takes, and what each is for."""
    properties = {
        "ticket": _text("What is made, and for whom: the title on every sheet."),
        "recipe": _text("A shipped recipe's name, or the path of a recipe beside the ticket."),
        "alteration": _alteration(),
        "units": {"enum": list(UNITS), "description": "How lengths are said. Centimetres where it is left out."},
        "wearer": _wearer(),
        "cloth": _cloth(),
        "other cloths": _named("The cloths of further materials by name: lining, interfacing.", _cloth()),
        "choices": _named("The maker's choices; 'onfold recipes NAME' lists those of a recipe.", _scalar()),
        "finish": _named("How seams and edges are sewn, by seam, EDGE of PIECE, or EDGE.", _finish()),
        "paper": _text("a4 a3 a2 a1 a0 letter legal tabloid, or 'roll 36 in'. A4 where it is left out."),
        "date": _date("The date printed on every sheet."),
        "cut on": _date("The day the cloth was cut. Fittings from that day on are held against what is cut."),
        "fittings": {"type": "array", "items": _fitting(), "description": "Dated notes from try-ons."},
        "rates": _fields(
            {"hour": _price("What an hour of work costs."), "currency": {"type": "string", "pattern": "^[A-Za-z]{3}$"}},
            "What work costs, for the reckoning.",
        ),
    }
    schema = _fields({key: properties[key] for key in TICKET_KEYS}, "One garment for one wearer in one cloth.")
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Onfold ticket",
        **schema,
        "required": list(REQUIRED),
        "oneOf": [{"required": [key]} for key in ONE_OF],
    }


def _fields(properties: Schema, description: str) -> Schema:
    return {
        "type": "object",
        "description": description,
        "properties": properties,
        "additionalProperties": False,
    }


def _named(description: str, values: Schema) -> Schema:
    return {"type": "object", "description": description, "additionalProperties": values}


def _text(description: str) -> Schema:
    return {"type": "string", "minLength": 1, "description": description}


def _scalar() -> Schema:
    return {"type": ["string", "number", "boolean"]}


def _length(description: str) -> Schema:
    return {"type": "string", "pattern": _LENGTH, "description": description}


def _share(description: str) -> Schema:
    return {"type": "string", "pattern": r"^\d+([.,]\d+)? ?%$", "description": description}


def _price(description: str) -> Schema:
    return {"type": "number", "minimum": 0, "description": description}


def _date(description: str) -> Schema:
    return {"type": "string", "pattern": _DATE, "description": description}


def _finish() -> Schema:
    kinds = "; ".join(f"{each.name} ({each.gist})" for each in CONSTRUCTIONS.values())
    said = f"{kinds}. A seam or edge may have an inlay for fitting: 'plain 15 mm, inlay 25 mm'."
    examples = ["plain 15 mm", "double turned 15 mm, first turn 7 mm", "plain 15 mm, inlay 25 mm"]
    return {"type": "string", "description": said, "examples": examples}


def _measures() -> Schema:
    properties: Schema = {}
    for entry in MEASURES.values():
        length = _length(entry.how)
        sides = _fields(dict.fromkeys(SIDES, length), entry.how) | {"required": list(SIDES)}
        properties[entry.name] = {"anyOf": [length, sides]} if entry.sided else length
        if entry.sided:
            properties |= {f"{side} {entry.name}": length for side in SIDES}
    return _fields(properties, "Measures as taped. Missing ones are estimated, and every sheet says which.")


def _notes(description: str) -> Schema:
    properties: Schema = {}
    for note in FIGURE_NOTES.values():
        ends = f" {note.sense}$" if note.sense else "$"
        properties[note.name] = {"type": "string", "pattern": _LENGTH[:-1] + ends, "description": note.see}
    return _fields(properties, description)


def _wearer() -> Schema:
    properties = {
        "name": _text("Who it is for."),
        "figure": {"enum": list(FIGURES), "description": "Estimates and the cautions on cords use it."},
        "measures": _measures(),
        "notes": _notes("What the tape does not say."),
    }
    return _fields(properties, "Who the garment is for.") | {"required": ["measures"]}


def _ways(what: Schema, description: str) -> Schema:
    return _fields(dict.fromkeys(BOTH_WAYS, what), description)


def _cloth() -> Schema:
    share, length = _share(""), _length("")
    properties: Schema = {
        "name": _text("What it is called in the shop."),
        "kind": {"enum": list(KINDS), "description": "Knits stretch, wovens hardly."},
        "width": _length("From edge to edge, selvages included."),
        "selvage": _length("What cannot be cut at each edge."),
        "stretch": _ways(share, "A relaxed 10 cm held at a comfortable 15 cm is 50 %."),
        "recovery": _share("How much of the stretch comes back."),
        "nap": {"enum": list(NAPS), "description": "Which way the pile or print points on the wearer."},
        "surface": {"type": "array", "items": {"enum": list(SURFACES)}, "description": "What the iron and pins meet."},
        "fibre": _named("From the label.", share),
        "washed first": {"enum": ["yes", "no", True, False], "description": "Whether it is washed before it is cut."},
        "repeat": _ways(length, "The repeat of a stripe or check."),
        "weight": {"type": "string", "pattern": rf"^{_NUMBER} ?(g/m[2²]|oz/yd[2²])$", "description": "260 g/m2"},
        "thickness": _length("Of one layer."),
        "shrinkage": _ways(share, "What washing takes."),
        "price": _price("Of one metre."),
        "at hand": _length("How long the cloth is, where it is bought already."),
        "flaws": {
            "type": "array",
            "items": _fields(dict.fromkeys(FLAW_KEYS, length), "Measured from the cut end and the near selvage.")
            | {"required": list(FLAW_KEYS)},
            "description": "Holes, stains and missing corners that pieces keep off.",
        },
        "bending length": {
            "anyOf": [length, _ways(length, "Of a strip cut along, and of one cut across.")],
            "description": "About half of what hangs out over a table's edge when its tip has dropped 41.5 degrees.",
        },
        "hung": _fields(dict.fromkeys(HUNG_KEYS, length), "What a hung garment showed: the fall seen and reckoned.")
        | {"required": list(HUNG_REQUIRED)},
    }
    return _fields({key: properties[key] for key in CLOTH_KEYS}, "The cloth.") | {"required": list(CLOTH_REQUIRED)}


def _alteration() -> Schema:
    by = _length("At a seam, on each side of it.")
    seam = _fields(
        {
            "seam": _text("Which seam."),
            "by": by,
            "from": {"enum": list(LEVELS), "description": "Where it begins; the seam's own end where it is left out."},
            "to": {"enum": list(LEVELS), "description": "Where it ends; past it the line runs out to nothing."},
            "seams": {"type": "integer", "minimum": 1, "description": "How many seams of this name are meant."},
        },
        "A seam let out or taken in.",
    ) | {"required": ["seam", "by"]}
    edge = _fields({"edge": _text("Which edge."), "by": by}, "An edge made longer or shorter.")
    edge |= {"required": list(EDGE_KEYS)}
    works: Schema = {
        **dict.fromkeys(SEAM_VERBS, seam),
        **dict.fromkeys(EDGE_VERBS, edge),
        **dict.fromkeys(THING_VERBS, _text("What: zip, pocket bag.")),
    }
    found = _fields(
        {"inlay": _length("All the cloth beyond the seam line, to the raw edge, on each side."), "finish": _finish()},
        "What there is beyond a seam line, and how it is sewn again.",
    )
    properties = {
        "garment": _text("What is altered."),
        "found": _named("By seam or edge: what lies beyond its line.", found | {"required": ["inlay"]}),
        "measured": _fields(
            dict.fromkeys(MEASURED, _length("Of the garment; girths all round.")), "The garment's own."
        ),
        "work": {
            "type": "array",
            "minItems": 1,
            "items": _fields({verb: works[verb] for verb in VERBS}, "One piece of work.")
            | {"minProperties": 1, "maxProperties": 1},
            "description": "What is to be done, one item each.",
        },
        "notes": _text("What else there is to know."),
    }
    schema = _fields(
        {key: properties[key] for key in ALTERATION_KEYS}, "In place of a recipe: a garment made elsewhere."
    )
    return schema | {"required": list(ALTERATION_REQUIRED)}


def _fitting() -> Schema:
    added = {"type": "object", "properties": {"after": _text("The label of the step it follows.")}}
    properties = {
        "on": _date("When it was tried on."),
        "note": _text("What was seen, in your own words."),
        "seen": _text("What was seen, by the name 'onfold fit' has for it."),
        "because": _text("The cause that was taken."),
        "choice": _named("Choices changed.", _scalar()),
        "measure": _measures(),
        "figure": _notes("What the tape does not say, as it was found."),
        "steps": {"type": "array", "items": added, "description": "Steps added to the recipe's."},
        "carried": {
            "type": "array",
            "items": {"enum": list(CARRIED)},
            "description": "To whom the change was given beyond this ticket.",
        },
    }
    return _fields({key: properties[key] for key in FITTING_KEYS}, "What a try-on found and what was done.") | {
        "required": ["on"]
    }
