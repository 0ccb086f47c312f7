"""The JSON Schema of a recipe, written from the steps' forms, by which editors offer verbs, blanks and words.

What counts is what the reader says: a schema knows no formula's grammar and no name of a draft.
"""

from __future__ import annotations

from collections.abc import Mapping
from inspect import cleandoc
from typing import Any

from onfold.recipe.step import FormField

Schema = dict[str, Any]

_ASKED = {
    "length": "A length: a formula such as 'waist / 4 + 2 cm'. A number carries its unit.",
    "share": "A share: a formula such as '20 %'.",
    "number": "A plain number, or a formula that gives one.",
    "word": "A word.",
    "text": "Words.",
    "finish": "A seam or hem as it is sewn: 'plain 15 mm', 'plain 15 mm, inlay 25 mm'.",
    "point": "The name of a point.",
    "line": "The name of a line.",
    "level": "The name of a level.",
    "edge": "The name of an edge.",
    "piece": "The name of a piece.",
    "edge of piece": "An edge and its piece: 'side of front'.",
    "place": "A place on an edge: a level, a point, or the edge that meets it there.",
    "name": "A name.",
}
_FORMULA = ("length", "share", "number")
_TRUTHS: Schema = {"yes": True, "no": False}


def recipe_schema(verbs: Mapping[str, type[Any]]) -> Schema:
    """Return the JSON Schema (2020-12) of a recipe whose steps may use these verbs."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Onfold recipe",
        "description": "A drafting lesson kept as data: choices, and steps in the words a cutter says aloud.",
        "type": "object",
        "properties": {
            "recipe": _text("Its name, as tickets write it."),
            "title": _text("What it drafts, in a line."),
            "licence": _text("What others may do with it."),
            "for": {"enum": ["woven", "knit", "any"], "description": "The cloth it is drafted for."},
            "kind": {"enum": ["block", "garment"], "description": "A block is developed further; a garment is cut."},
            "worn": {"enum": ["closed", "wrap", "cape", "bag"], "description": "Whether it closes round the body."},
            "note": _text("What a reader should know."),
            "choices": {
                "type": "object",
                "description": "What the maker is asked. Formulas may use each by its name.",
                "additionalProperties": _choice(),
            },
            "steps": {"type": "array", "items": _step(verbs), "description": "In the order they are drawn."},
            "finish": {
                "type": "object",
                "description": "How seams and edges are sewn, by seam, EDGE of PIECE, or EDGE.",
                "additionalProperties": _text("Such as 'plain 15 mm'."),
            },
        },
        "required": ["recipe", "title", "for", "steps"],
        "additionalProperties": False,
    }


def _text(description: str) -> Schema:
    return {"type": "string", "minLength": 1, "description": description}


def _formula(description: str) -> Schema:
    return {"type": ["string", "number"], "minLength": 1, "description": description}


def _choice() -> Schema:
    return {
        "type": "object",
        "properties": {
            "default": _formula("What holds until the maker says otherwise; 'none' leaves it open."),
            "least": _formula("The least that can be drafted."),
            "most": _formula("The most that can be drafted."),
            "of": {"type": "array", "items": _text("A word."), "minItems": 1, "description": "The words it may be."},
            "ask": _text("The question, as it is put to the maker."),
        },
        "required": ["default"],
        "additionalProperties": False,
    }


def _step(verbs: Mapping[str, type[Any]]) -> Schema:
    beside = {
        "why": _text("The reason, said in the lesson instead of the verb's own."),
        "label": _text("A name for this step, so that a fitting may add one after it."),
        "stage": _text("Opens a new page of the lesson under this heading."),
    }
    return {
        "type": "object",
        "description": "One verb with its blanks; why, label and stage may stand beside it.",
        "properties": {verb: _verb(kind) for verb, kind in verbs.items()} | beside,
        "additionalProperties": False,
        "oneOf": [{"required": [verb]} for verb in verbs],
    }


def _verb(kind: type[Any]) -> Schema:
    form: tuple[FormField, ...] = kind.form
    required = [each.name for each in form if each.required]
    blanks: Schema = {
        "type": "object" if required else ["object", "null"],
        "description": cleandoc(kind.__doc__ or ""),
        "properties": {each.name: _blank(each) for each in form},
        "additionalProperties": False,
    }
    return blanks | ({"required": required} if required else {})


def _blank(blank: FormField) -> Schema:
    one = _one(blank)
    if not blank.many:
        return one
    return {"anyOf": [{"type": "array", "items": one, "minItems": 1}, one], "description": "One, or a list."}


def _one(blank: FormField) -> Schema:
    described = _ASKED.get(blank.kind, f"The {blank.kind}.") + (" It is given here." if blank.new else "")
    if blank.kind in _FORMULA:
        return _formula(described)
    if blank.kind == "word":
        # Some readers of YAML take a bare yes for a truth value; and a choice of words may stand for the word.
        words: list[Any] = [*blank.words, *(_TRUTHS[word] for word in blank.words if word in _TRUTHS)]
        return {"anyOf": [{"enum": words}, _text("The name of a choice of these words.")]}
    if blank.new:
        return _text(described) | {"pattern": r"^[^.]+$"}
    return _text(described) | ({"pattern": " of "} if blank.kind == "edge of piece" else {})
