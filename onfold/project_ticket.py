"""A job ticket written as text: what was answered, and beside it in comments what else may be said."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field

from onfold.body.measures import Figure
from onfold.cloth import ClothKind
from onfold.fitting.entry import Data, block_lines
from onfold.recipe.file import Choice, Recipe
from onfold.recipe.yaml_writing import write_scalar, write_value
from onfold.units import System, plain

COMMENT = 34
"""The column at which comments begin, where the value leaves room."""


@dataclass
class Answers:
    """What a maker answered. `measures` are as written, `taped` the same in mm; `to_take` are still to be taped.

    `choices` and `notes` were carried from earlier fittings and taken up, the notes from where `notes_from` says;
    `offered` are carried measures, to be taken by an empty answer.
    """

    title: str
    recipe: Recipe
    units: System
    wearer: str
    figure: Figure
    date: str = ""
    measures: dict[str, str] = field(default_factory=dict)
    taped: dict[str, float] = field(default_factory=dict)
    to_take: list[str] = field(default_factory=list)
    cloth_name: str = ""
    cloth_kind: ClothKind = "woven"
    cloth_width: str = ""
    stretch_across: str = ""
    stretch_along: str = ""
    paper: str = "a4"
    choices: dict[str, str] = field(default_factory=dict)
    notes: dict[str, str] = field(default_factory=dict)
    notes_from: str = ""
    offered: dict[str, str] = field(default_factory=dict)


def write_ticket(answers: Answers) -> str:
    """Return the ticket's text; it reads back as the answers, without a problem of reading."""
    lines = [
        "# A job ticket: one garment for one wearer. Plain text; what stands behind a # is a remark.",
        _line("ticket", answers.title),
        _line("recipe", answers.recipe.name, plain(answers.recipe.title)),
        _line("units", answers.units, "how lengths are said: in or cm"),
        "wearer:",
        _line("  name", answers.wearer),
        _line("  figure", answers.figure, "woman, man or child"),
        *_measures(answers),
        *_cloth(answers),
        *_choices(answers.recipe, answers.choices),
        "# finish: {side seam: plain 15 mm, hem: single turned 40 mm}   instead of the recipe's own",
        _line("paper", answers.paper),
        _line("date", answers.date, "printed on every sheet"),
        *_fittings(answers),
    ]
    return "\n".join(lines) + "\n"


def _line(key: str, value: str, remark: str = "") -> str:
    written = f"{key}: {write_scalar(value, in_flow=False)}"
    return f"{written:<{COMMENT - 2}}  # {remark}" if remark else written


def _measures(answers: Answers) -> list[str]:
    if answers.measures:
        lines = ["  measures:", *(_line(f"    {name}", text) for name, text in answers.measures.items())]
    else:
        lines = ["  measures: {}"]
    lines += [f"    # {name}: …   still to be taped" for name in answers.to_take]
    return lines


def _cloth(answers: Answers) -> list[str]:
    lines = ["cloth:"]
    if answers.cloth_name:
        lines.append(_line("  name", answers.cloth_name))
    lines.append(_line("  kind", answers.cloth_kind, "knit or woven"))
    lines.append(_line("  width", answers.cloth_width, "selvages included"))
    if answers.stretch_across:
        across, along = (write_scalar(each, in_flow=True) for each in (answers.stretch_across, answers.stretch_along))
        lines.append(f"  stretch: {{across: {across}, along: {along}}}")
    return [
        *lines,
        "  # nap: none                   none, up or down: which way pile or print points on the wearer",
        "  # surface: []                 any of pile, slippery, sheer, coated",
        "  # weight: 240 g/m2",
        "  # thickness: 0.7 mm",
        "  # bending length: {along: 14 mm, across: 12 mm}   half of what hangs out over a table's edge",
        "  # shrinkage: {along: 4 %, across: 2 %}",
        "  # washed first: no",
    ]


def _fittings(answers: Answers) -> list[str]:
    """Return what earlier fittings of this body showed, as an entry of its own: the ticket then holds it itself."""
    if not answers.notes:
        return []
    on = answers.date or datetime.date.today().isoformat()
    note = f"Carried from {answers.notes_from}." if answers.notes_from else "Carried from the workroom book."
    entry: Data = {"on": on, "note": note, "figure": answers.notes, "carried": ["wearer"]}
    return ["fittings:", *(f"  {line}" for line in block_lines(entry))]


def _choices(recipe: Recipe, carried: Mapping[str, str]) -> list[str]:
    asked = [each for each in recipe.choices.values() if each.ask]
    if not (asked or carried):
        return []
    told = f"choices: {write_value(carried, in_flow=False)}"
    head = f"{told:<{COMMENT - 2}}  # yours between the brackets; else the recipe's own, which are:"
    return [head, *(f"{f'#   {_choice(each)}':<{COMMENT}}  {plain(each.ask, 120)}" for each in asked)]


def _choice(choice: Choice) -> str:
    if choice.kind == "word":
        return f"{choice.name}: {choice.word}"
    return f"{choice.name}: {plain(choice.default.text, 200) if choice.default is not None else 'none'}"
