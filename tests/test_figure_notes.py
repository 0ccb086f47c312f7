"""Given figure notes in a ticket, what is said of them, what each changes in the shipped garments, and what it leaves.

All notes are common practice [C]. What a note must do follows from how it is measured: a fold of 15 mm pinned at the
centre back is 15 mm that the centre back loses [A]. Lengths are read from `pattern.json` by `json_reader`.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from typing import Any

import jsonschema
import numpy as np
import pytest
import yaml
from bodies import survey_men, survey_women
from drafting import WOVEN, as_json, checked, codes, garment_of, knit, recipe_of, stops, ticket_of, ticket_text
from json_reader import Data, fold_bend, piece, run_length, seam_gaps, unsound

from onfold.body.figure_notes import BY_FORMULA_NAME, FIGURE_NOTES, NoteFault, near_notes, notes_page, read_note
from onfold.body.measures import MEASURES
from onfold.problems import CODES, Problem
from onfold.project import recipe_text
from onfold.project_draft import Draft, draft_for
from onfold.recipe.file import read_recipe
from onfold.recipe.memory import Memory
from onfold.recipe.step import formulas_of
from onfold.shelf.schema import ticket_schema
from onfold.shelf.ticket import as_of, read_ticket_text
from onfold.steps import VERBS
from onfold.writers.pattern_json import write_pattern_json

WOMEN, MEN = survey_women(), survey_men()
ASKED_FOR = """
sway back, rounded back, forward shoulder, right shoulder, left shoulder, full bust, full tummy, hollow under the seat,
flat seat, right hip, left hip, square shoulders, sloping shoulders
"""


def with_notes(text: str, *notes: str) -> str:
    """A ticket's text with the notes of one fitting."""
    return f"{text}fittings:\n  - on: 2026-10-19\n    figure: {{{', '.join(notes)}}}\n" if notes else text


def skirt(body: dict[str, float] = WOMEN[0], figure: str = "woman", **choices: str) -> str:
    named = {name.replace("_", " "): said for name, said in choices.items()}
    return ticket_text("straight-skirt", body, WOVEN, named, figure=figure)


def sheath(body: dict[str, float] = WOMEN[0], figure: str = "woman", **choices: str) -> str:
    named = {name.replace("_", " "): said for name, said in choices.items()}
    return ticket_text("choir-sheath", body, knit(0.7), named, figure=figure)


# The table ------------------------------------------------------------------------------------------------------------


def test_the_notes_asked_for_are_there_and_each_is_told_whole() -> None:
    assert set(" ".join(ASKED_FOR.split()).split(", ")) <= set(FIGURE_NOTES)
    for note in FIGURE_NOTES.values():
        assert all(text.endswith(".") and len(text.split()) > 5 for text in (note.see, note.how, note.otherwise))
        assert note.least == 0.0 < note.most <= 60.0
        assert re.fullmatch(r"[a-z]+( [a-z]+)*", note.formula_name)
    assert not set(BY_FORMULA_NAME) & set(MEASURES)
    assert (FIGURE_NOTES["right shoulder"].sense, FIGURE_NOTES["left hip"].sense) == ("low", "high")


def test_every_note_stands_on_its_page() -> None:
    page = notes_page()
    for note in FIGURE_NOTES.values():
        assert f"`{note.written('1 cm')}`" in page and note.how in page and f"`{note.formula_name}`" in page


@pytest.mark.parametrize(
    ("spoken", "meant"),
    [
        ("swayback", "sway back"),
        ("Sway back", "sway back"),
        ("hollow back", "sway back"),
        ("right shoulder low", "right shoulder"),
        ("right sholder", "right shoulder"),
        ("tummy", "full tummy"),
        ("low shoulders", "sloping shoulders"),
        ("stoop", "rounded back"),
    ],
)
def test_a_note_spoken_otherwise_is_known(spoken: str, meant: str) -> None:
    assert near_notes(spoken)[0] == meant


@pytest.mark.parametrize(
    ("name", "text", "mm"),
    [
        ("sway back", "1.5 cm", 15.0),
        ("sway back", "5/8 in", 15.875),  # [A] 1 in = 25.4 mm
        ("sway back", "1,5 cm", 15.0),
        ("sway back", "0 cm", 0.0),
        ("right shoulder", "1 cm low", 10.0),
        ("right shoulder", "1/2 in Low", 12.7),
        ("left hip", "8 mm high", 8.0),
    ],
)
def test_a_note_is_read_in_either_unit(name: str, text: str, mm: float) -> None:
    assert read_note(name, text) == pytest.approx(mm)


# In a ticket ----------------------------------------------------------------------------------------------------------


def only(text: str, code: str) -> Problem:
    _, problems = read_ticket_text(text, "a.yaml")
    assert [each.code for each in problems] == [code], [each.says for each in problems]
    return problems[0]


@pytest.mark.parametrize(
    ("note", "code", "under", "says"),
    [
        ("swayback: 1 cm", "FIGURE-UNKNOWN", "swayback", "Did you mean 'sway back: 1 cm'"),
        ("right shoulder low: 1 cm", "FIGURE-UNKNOWN", "right shoulder low", "'right shoulder: 1 cm low'"),
        ("sway back: 9 cm", "FIGURE-RANGE", "9 cm", "0 cm to 4 cm"),
        ("sway back: '-1 cm'", "FIGURE-RANGE", "'-1 cm", "0 cm to 4 cm"),
        ("sway back: 1.5", "VALUE-WRONG", "1.5", "'sway back: 1.5 cm'"),
        ("sway back: much", "VALUE-WRONG", "much", "'sway back: "),
        ("sway back: 1 cm low", "VALUE-WRONG", "low", "sway back"),
        ("sway back: 20 %", "VALUE-WRONG", "20 %", "not a length"),
        ("right shoulder: 1 cm", "VALUE-WRONG", "1 cm", "'right shoulder: 1 cm low'"),
        ("right shoulder: 1 cm high", "VALUE-WRONG", "high", "'left shoulder: 1 cm low'"),
        ("left hip: 1 cm low", "VALUE-WRONG", "low", "'right hip: 1 cm high'"),
        ("right shoulder: low", "VALUE-WRONG", "low", "right shoulder"),
        ("sway back:", "VALUE-EMPTY", "", ""),
        ("sway back: [1 cm]", "FILE-SHAPE", "[1 cm]", ""),
    ],
)
@pytest.mark.parametrize("where", ["fitting", "wearer"])
def test_a_slip_is_met_at_its_line_with_a_caret(note: str, code: str, under: str, says: str, where: str) -> None:
    text = skirt()
    if where == "fitting":
        text += f"fittings:\n  - on: 2026-10-19\n    figure:\n      {note}\n"
    else:
        text = text.replace("  figure: woman\n", f"  figure: woman\n  notes:\n    {note}\n")
    found = only(text, code)
    line = text.splitlines()[found.where.line - 1]
    assert line.strip() == note and "^" in found.excerpt
    assert line[found.where.column - 1 :].startswith(under)
    assert says in found.says + found.remedy
    assert CODES[found.code].severity == "stop"


def test_a_carried_note_stands_with_the_wearer_and_a_later_fitting_overrides_it() -> None:
    text = skirt().replace("  figure: woman\n", "  figure: woman\n  notes: {sway back: 1 cm, full tummy: 2 cm}\n")
    text += (
        "fittings:\n  - {on: 2026-10-19, figure: {sway back: 2 cm}}\n"
        "  - {on: 2026-10-12, figure: {sway back: 1.5 cm, flat seat: 1 cm}}\n"
        "  - {on: 2026-10-26, figure: {full tummy: 0 cm}}\n"
    )
    ticket = ticket_of(text)

    def held(day: str | None) -> dict[str, float]:
        return {name: each.value for name, each in as_of(ticket, day).wearer.notes.items()}

    assert held(None) == {"sway back": 10.0, "full tummy": 20.0}
    assert held("2026-10-12") == {"sway back": 15.0, "full tummy": 20.0, "flat seat": 10.0}
    assert held("2026-10-26") == {"sway back": 20.0, "full tummy": 0.0, "flat seat": 10.0}
    assert draft_for(ticket, recipe_of("straight-skirt")).pattern.notes == {"sway back": 20.0, "flat seat": 10.0}


def test_the_schema_offers_the_notes_and_finds_a_slip() -> None:
    check = jsonschema.Draft202012Validator(ticket_schema())

    def valid(note: str) -> bool:
        text = with_notes(skirt().replace("  figure: woman\n", f"  figure: woman\n  notes: {{{note}}}\n"), note)
        return bool(check.is_valid(yaml.load(text, Loader=yaml.BaseLoader)))

    assert valid("sway back: 1.5 cm") and valid("right shoulder: 1 1/2 in low")
    assert not valid("swayback: 1.5 cm") and not valid("right shoulder: 1 cm") and not valid("sway back: 1.5")


def test_a_note_that_the_recipe_does_not_use_is_said_and_what_to_do_by_hand() -> None:
    text = with_notes(skirt(), "right hip: 1 cm high", "sway back: 1 cm", "square shoulders: 0 cm")
    ticket = ticket_of(text)
    draft = draft_for(ticket, recipe_of("straight-skirt"))
    (found,) = [each for each in draft.pattern.problems if each.code == "FIGURE-UNUSED"]
    assert found.severity == "note" and "right hip 1 cm high" in found.says and "straight-skirt" in found.says
    assert FIGURE_NOTES["right hip"].otherwise in found.remedy
    assert text.splitlines()[found.where.line - 1][found.where.column - 1 :].startswith("1 cm high")
    assert set(draft.pattern.notes) == {"sway back"}


def test_each_shipped_recipe_uses_a_note_or_says_that_it_does_not() -> None:
    for text in (skirt(), sheath()):
        recipe = recipe_of(ticket_of(text).recipe.text)
        in_choices = {name for each in recipe.choices.values() if each.default for name in each.default.names_used}
        used = recipe.names_in_steps | in_choices
        notes = [note.written("1 cm") for note in FIGURE_NOTES.values()]
        draft = draft_for(ticket_of(with_notes(text, *notes)), recipe)
        said = {each.found for each in draft.pattern.problems if each.code == "FIGURE-UNUSED"}
        assert said == {note.said("1 cm") for name, note in BY_FORMULA_NAME.items() if name not in used}


def test_a_maker_s_step_uses_a_note_that_the_recipe_does_not() -> None:
    lifted = "edges: [waist of back], by: right hip high, from: side, to: side, runs out: 5 cm"
    step = f"{{after: outlines drawn, raise: {{{lifted}}}}}"
    text = with_notes(skirt(), "right hip: 1 cm high") + f"    steps:\n      - {step}\n"
    draft = draft_for(ticket_of(text), recipe_of("straight-skirt"))
    assert "FIGURE-UNUSED" not in codes(draft.pattern.problems)
    assert draft.pattern.notes == {"right hip high": 10.0}


def test_a_choice_cannot_have_a_note_s_name() -> None:
    text, _ = recipe_text("straight-skirt")
    own = text.replace("choices:\n", "choices:\n  sway back: {default: 1 cm}\n")
    recipe, problems = read_recipe(own, "own.yaml", VERBS, MEASURES)
    assert recipe is None and any("figure note" in each.says for each in problems)


# In replay, lesson and files ------------------------------------------------------------------------------------------


def test_a_changed_note_runs_only_the_steps_again_that_use_it_or_read_their_work() -> None:
    memory = Memory()
    recipe = recipe_of("choir-sheath")
    for amount in ("1 cm", "1.5 cm"):
        draft_for(ticket_of(with_notes(sheath(), f"right shoulder: {amount} low")), recipe, memory)
    assert [each.verb for each in memory.ran] == ["strap"]
    memory = Memory()
    for amount in ("1 cm", "1.5 cm"):
        draft_for(ticket_of(with_notes(sheath(), f"sway back: {amount}")), recipe, memory)
    first = memory.ran[0]
    assert first.verb == "take up" and any("sway back" in each.names_used for each in formulas_of(first))
    assert {each.verb for each in memory.ran} <= {
        "take up", "true across", "mark point", "join", "close the outline", "place strap", "strap", "notch"
    }  # fmt: skip


@pytest.mark.parametrize("text", [skirt(), sheath()], ids=["skirt", "sheath"])
def test_without_a_note_the_draft_is_the_same_to_the_byte(text: str) -> None:
    none = [f"{note.written('0 cm')}" for note in FIGURE_NOTES.values()]
    recipe = recipe_of(ticket_of(text).recipe.text)
    written = [write_pattern_json(draft_for(ticket_of(with_notes(text, *each)), recipe).pattern) for each in ([], none)]
    assert written[0] == written[1]
    assert b"figure_notes" not in written[0]


@pytest.mark.parametrize(("units", "said"), [("cm", "sway back 1.5 cm"), ("in", "sway back 9/16 in")])
def test_lesson_sheets_and_file_carry_the_note(units: str, said: str) -> None:
    text = with_notes(skirt(), "sway back: 15 mm").replace("units: cm", f"units: {units}")
    garment = garment_of(text)
    told = [each for each in garment.told if each.noted]
    assert told and all(each.noted == (said,) for each in told)
    assert any(each.verb == "mark point" for each in told)
    files = garment.files(("lesson.html", "pattern.json", "pattern.svg"))
    lesson = files["lesson.html"].decode()
    assert lesson.count("For this figure:") == len(told)
    assert f"<dt>Figure notes</dt><dd>{said}</dd>" in lesson
    assert json.loads(files["pattern.json"])["figure_notes"] == {"sway back": 15.0}
    assert "figure notes" in files["pattern.svg"].decode() or "sway back" in files["pattern.svg"].decode()


def test_a_note_that_a_wearer_does_not_have_is_not_told() -> None:
    plain = garment_of(skirt()).told
    assert not any(note.formula_name in each.sentence for each in plain for note in FIGURE_NOTES.values())
    noted = garment_of(with_notes(skirt(), "full tummy: 2 cm")).told
    assert any("full tummy" in each.sentence for each in noted)


# What each note does to the garments ----------------------------------------------------------------------------------


def edge_lengths(data: Data) -> dict[str, float]:
    """The length of every edge by its root and piece; of the legs of several darts, all together."""
    found: dict[str, float] = {}
    for each in data["pieces"]:
        for root in dict.fromkeys(leaf["parent"] or leaf["name"] for leaf in each["edges"]):
            key = f"{re.sub(r' [0-9]+ ', ' ', root)} of {each['name']}"
            found[key] = found.get(key, 0.0) + run_length(data, each["name"], root)
    return found


def centre_back(data: Data) -> float:
    """The whole centre back of a skirt or sheath, zip and vent's length included, mm."""
    lowest = min(y for _, y in piece(data, "back")["seam_line"])
    edges = {edge["name"]: edge for edge in piece(data, "back")["edges"]}
    upper = edges.get("zip") or edges["centre back"]
    return max(y for segment in upper["segments"] for _, y in next(iter(segment.values()))) - lowest


def strap(data: Data) -> float:
    return run_length(data, "strap", "strap side")


def strap_mark(name: str) -> Callable[[Data], float]:
    def along(data: Data) -> float:
        found = [each["at"][1] for each in piece(data, "strap")["marks"] if each["name"] == name]
        return float(found[0]) if found else math.nan

    return along


def hip_edge(name: str) -> Callable[[Data], float]:
    return lambda data: run_length(data, name, "hem")


def side_dart(data: Data) -> float:
    found = [e for e in piece(data, "front")["edges"] if e["name"].startswith("side dart")]
    if len(found) != 2:
        return 0.0
    (a, _), (_, b) = found[0]["segments"][0]["line"], found[1]["segments"][0]["line"]
    return math.dist(a, b)


BACK_DARTS = {"back dart leg of back", "back dart other leg of back"}
SKIRT_EDGES = {"zip of back", "centre back of back", "waist of back", *BACK_DARTS}
FRONT = {"waist of front", "centre front of front", "hem of front", "side of front",
         "front dart leg of front", "front dart other leg of front"}  # fmt: skip
STRAP = {"strap side of strap", "strap other side of strap"}
Effect = tuple[str, str, Callable[[Data], float], float, set[str]]
EFFECTS: list[Effect] = [
    ("skirt", "sway back", centre_back, -1.0, SKIRT_EDGES),
    ("skirt", "hollow under the seat", centre_back, -1.0, SKIRT_EDGES),
    ("skirt", "flat seat", centre_back, -0.5, SKIRT_EDGES | FRONT | {"hem of back", "side of back"}),
    ("skirt", "flat seat", hip_edge("back"), -0.5, SKIRT_EDGES | FRONT | {"hem of back", "side of back"}),
    ("skirt", "full tummy", lambda data: run_length(data, "front", "centre front"), 0.5,
     FRONT | {"waist of back", "hem of back", *BACK_DARTS}),
    ("skirt", "full tummy", hip_edge("front"), 0.25,
     FRONT | {"waist of back", "hem of back", *BACK_DARTS}),
    ("sheath", "sway back", centre_back, -1.0, {"centre back of back", "back neck of back", *STRAP}),
    ("sheath", "hollow under the seat", centre_back, -1.0, {"centre back of back", "back neck of back", *STRAP}),
    ("sheath", "flat seat", centre_back, -0.5, {"centre back of back", "back neck of back", *STRAP}),
    ("sheath", "full tummy", lambda data: run_length(data, "front", "centre front"), 0.5,
     {"centre front of front", "hem of front"}),
    ("sheath", "full bust", side_dart, 1.0,
     {"centre front of front", "side dart leg of front", "side dart other leg of front", "hem of front"}),
    ("sheath", "rounded back", strap, 1.0, STRAP),
    ("sheath", "square shoulders", strap, 1.0, STRAP),
    ("sheath", "sloping shoulders", strap, -1.0, STRAP),
    ("sheath", "right shoulder", strap_mark("right strap end"), -1.0, set()),
    ("sheath", "left shoulder", strap_mark("left strap end"), -1.0, set()),
    ("sheath", "forward shoulder", strap_mark("top of shoulder"), -1.0, set()),
]  # fmt: skip
AMOUNTS = (5.0, 15.0, 25.0)
BODIES = [("woman", WOMEN[0]), ("woman", WOMEN[140]), ("woman", WOMEN[333]), ("man", MEN[12])]


@lru_cache
def noted(garment: str, number: int, name: str, mm: float) -> Draft:
    """A garment for one body, its checks run, with a note of so many mm; none where it is 0."""
    figure, body = BODIES[number]
    ample = {"hip_ease": "6 cm"} if garment == "skirt" else {}
    text = (skirt if garment == "skirt" else sheath)(body, figure, **ample)
    return checked(ticket_of(with_notes(text, FIGURE_NOTES[name].written(f"{mm:g} mm")) if mm else text))


def minded(draft: Draft) -> set[str]:
    return codes(each for each in draft.pattern.problems if each.severity != "note")


@pytest.mark.parametrize(
    ("garment", "name", "measured", "share", "edges"),
    EFFECTS,
    ids=[f"{number}-{garment}-{name}" for number, (garment, name, *_) in enumerate(EFFECTS)],
)
@pytest.mark.parametrize("number", range(len(BODIES)))
def test_a_note_does_what_its_measure_says_and_changes_no_other_edge(
    garment: str, name: str, measured: Callable[[Data], float], share: float, edges: set[str], number: int
) -> None:
    plain = noted(garment, number, name, 0.0)
    before, found = as_json(plain), []
    for mm in AMOUNTS:
        draft = noted(garment, number, name, mm)
        data = as_json(draft)
        now, was = edge_lengths(data), edge_lengths(before)
        changed = {key for key in now.keys() | was.keys() if abs(now.get(key, 0.0) - was.get(key, 0.0)) > 0.02}
        assert changed <= edges, changed - edges
        assert max(seam_gaps(data).values()) < 0.1
        assert unsound(data) == [] and fold_bend(data) < 0.01
        assert not stops(draft.pattern.problems), [each.says for each in stops(draft.pattern.problems)]
        assert minded(draft) <= minded(plain), minded(draft) - minded(plain)
        found.append(measured(data))
    start = measured(before)
    start = found[0] - share * AMOUNTS[0] if math.isnan(start) else start
    for mm, value in zip(AMOUNTS, found, strict=True):
        assert math.isclose(value - start, share * mm, abs_tol=0.1), (mm, value - start)


def test_the_strap_keeps_its_length_where_the_back_is_shortened_below_it() -> None:
    for name in ("sway back", "hollow under the seat"):
        lengths = [strap(as_json(noted("sheath", 0, name, mm))) for mm in (0.0, 25.0)]
        assert abs(lengths[1] - lengths[0]) < 1.5, "its mark lies a little farther in on the deeper neck"


def test_the_difference_of_the_two_straps_is_read_from_the_file() -> None:
    text = with_notes(sheath(), "right shoulder: 1 cm low", "left shoulder: 4 mm low")
    data = as_json(checked(ticket_of(text)))
    whole = strap(data)
    assert whole - strap_mark("right strap end")(data) == pytest.approx(10.0, abs=1e-3)
    assert whole - strap_mark("left strap end")(data) == pytest.approx(4.0, abs=1e-3)
    assert data["facts"]["right strap shorter"] == {"value": 10.0, "unit": "mm"}
    assert data["facts"]["left strap shorter"] == {"value": 4.0, "unit": "mm"}


def test_front_darts_end_higher_over_a_full_tummy() -> None:
    reach = []
    for mm in (0.0, *AMOUNTS):
        data = as_json(noted("skirt", 0, "full tummy", mm))
        legs = [e for e in piece(data, "front")["edges"] if e["name"].startswith("front dart")]
        reach.append(run_length(data, "front", legs[0]["name"]))
    assert (np.diff(reach) < 0.0).all()


def test_all_notes_together_still_draft() -> None:
    for text, name in ((skirt(), "straight-skirt"), (sheath(), "choir-sheath")):
        notes = [note.written("8 mm") for note in FIGURE_NOTES.values()]
        draft = checked(ticket_of(with_notes(text, *notes)))
        assert not stops(draft.pattern.problems), name
        assert max(seam_gaps(as_json(draft)).values()) < 0.1


def test_a_note_from_outside_its_bounds_never_reaches_a_draft() -> None:
    assert isinstance(read_note("sway back", "41 mm"), NoteFault)
    ticket, problems = read_ticket_text(with_notes(skirt(), "sway back: 41 mm"))
    assert ticket is not None and "sway back" not in ticket.wearer.notes
    assert [each.code for each in problems] == ["FIGURE-RANGE"]


def test_a_wearer_s_notes_made_by_hand_are_kept() -> None:
    ticket = ticket_of(with_notes(skirt(), "sway back: 1 cm"))
    bare: Any = replace(ticket, wearer=replace(ticket.wearer, notes={}))
    assert draft_for(bare, recipe_of("straight-skirt")).pattern.notes == {}
