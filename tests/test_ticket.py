"""Given a ticket as makers write and damage them, what is read and what is said."""

from __future__ import annotations

import re
import time
from pathlib import Path

import damage
import jsonschema
import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from onfold.cloth import Hung
from onfold.problems import CODES, Problem
from onfold.shelf.schema import ticket_schema
from onfold.shelf.ticket import Ticket, as_of, read_ticket, read_ticket_text

EXAMPLES = sorted((Path(__file__).parent.parent / "examples").glob("*.yaml"))
SKIRT = (Path(__file__).parent.parent / "examples" / "soprano-2-skirt.yaml").read_text(encoding="utf-8")

# Every settled key of a ticket, as the design's sheet of one writes them.
WHOLE = """\
ticket: Concert skirt, alto-1
recipe: straight-skirt          # a shipped recipe's name
units: in
wearer:
  name: alto-1
  figure: woman
  measures: {waist: 32 1/4 in, hip: 42 in, waist to hip: 8 1/4 in, height: 5 ft 6 in}
cloth:
  name: navy wool twill
  kind: woven
  width: 150 cm
  selvage: 1 cm
  stretch: {across: 0 %, along: 0 %}
  recovery: 95 %
  nap: none
  surface: []
  fibre: {wool: 100 %}
  washed first: no
  repeat: {along: 0 cm, across: 0 cm}
  weight: 260 g/m2
  thickness: 0.8 mm
  shrinkage: {along: 3 %, across: 2 %}
  price: 14.50
  bending length: {along: 24 mm, across: 21 mm}
  hung: {fall: 132 mm, reckoned: 121 mm, bending length: 20 mm}
choices: {length: 24 in}
finish: {side seam: plain 15 mm, waist seam: plain 10 mm, hem: single turned 40 mm}
paper: a4
date: 2026-12-01
fittings:
  - on: 2026-12-09
    note: the right side hangs low
    choice: {length: 25 in}
    figure: {right shoulder: 1 cm low}
    steps: [{after: LABEL, square across: {at: start, length: 2 cm, to: a}}]
  - {on: 2026-12-03, note: drags at the waist, choice: {waist ease: 3 cm, length: 23 in}, measure: {waist: 33 in}}
rates: {hour: 18.00, currency: EUR}
"""

LEAST = """\
ticket: A skirt
recipe: straight-skirt
wearer: {measures: {waist: 72 cm, hip: 98 cm}}
cloth: {kind: woven, width: 150 cm}
"""


def sound(text: str) -> Ticket:
    ticket, problems = read_ticket_text(text, "a.yaml")
    assert ticket is not None
    assert [each.says for each in problems if each.severity == "stop"] == []
    return ticket


def only(text: str, code: str) -> Problem:
    """Return the one problem of this code; nothing else may be wrong."""
    _, problems = read_ticket_text(text, "a.yaml")
    assert [each.code for each in problems] == [code], [each.says for each in problems]
    return problems[0]


def test_every_settled_key_is_read() -> None:
    ticket = sound(WHOLE)
    assert (ticket.title, ticket.recipe.text, ticket.units) == ("Concert skirt, alto-1", "straight-skirt", "in")
    assert (ticket.wearer.name, ticket.wearer.figure) == ("alto-1", "woman")
    assert ticket.wearer.measures["height"] == pytest.approx(66 * 25.4)  # 5 ft 6 in, 1 in = 25.4 mm exactly [A]
    assert ticket.wearer.measures["waist to hip"] == pytest.approx(8.25 * 25.4)
    cloth = ticket.cloth
    assert (cloth.kind, cloth.width, cloth.selvage, cloth.thickness) == ("woven", 1500, 10, 0.8)
    assert (cloth.stretch_given, cloth.recovery, cloth.nap, cloth.surface) == (True, 0.95, "none", ())
    assert (cloth.fibre, cloth.washed_first, cloth.weight, cloth.price) == ((("wool", 1.0),), False, 260, 14.5)
    assert (cloth.shrinkage_along, cloth.shrinkage_across, cloth.guessed) == (0.03, 0.02, ())
    assert (cloth.bending_along, cloth.bending_across, cloth.hung) == (24.0, 21.0, Hung(132.0, 121.0, 20.0))
    assert {name: text.text for name, text in ticket.finish.items()} == {
        "side seam": "plain 15 mm",
        "waist seam": "plain 10 mm",
        "hem": "single turned 40 mm",
    }
    assert (ticket.paper.text, ticket.date, ticket.rates.hour, ticket.rates.currency) == ("a4", "2026-12-01", 18, "EUR")
    place = ticket.finish["hem"].place
    assert (place.line, WHOLE.splitlines()[place.line - 1][place.column - 1 :]) == (27, "single turned 40 mm}")


def test_what_is_not_stated_has_its_stated_default() -> None:
    ticket = sound(LEAST)
    assert (ticket.units, ticket.paper.text, ticket.date, ticket.fittings) == ("cm", "a4", "", ())
    assert (ticket.wearer.figure, ticket.choices, ticket.finish) == ("woman", {}, {})
    assert (ticket.cloth.stretch_across, ticket.cloth.stretch_given) == (0.0, False)
    assert "thickness" in ticket.cloth.guessed
    assert ticket.cloth.bending_along is ticket.cloth.bending_across is ticket.cloth.hung is None


def test_later_fittings_override_earlier_ones_whatever_their_order_in_the_file() -> None:
    ticket = sound(WHOLE)
    assert [fitting.on for fitting in ticket.fittings] == ["2026-12-03", "2026-12-09"]
    assert ticket.choices["length"].text == "25 in"
    assert ticket.choices["waist ease"].text == "3 cm"
    assert ticket.wearer.measures["waist"] == pytest.approx(33 * 25.4)
    assert ticket.wearer.notes["right shoulder"].text == "1 cm low"
    assert [(step.after, step.verb) for step in ticket.steps] == [("LABEL", "square across")]


def test_the_ticket_as_it_was_on_an_earlier_day() -> None:
    ticket = sound(WHOLE)
    first = as_of(ticket, None)
    assert first.choices["length"].text == "24 in"
    assert first.wearer.measures["waist"] == pytest.approx(32.25 * 25.4)
    assert (first.steps, first.wearer.notes) == ((), {})
    between = as_of(ticket, "2026-12-03")
    assert between.choices["length"].text == "23 in"
    assert between.steps == ()
    assert as_of(first, "2026-12-31") == ticket


def test_left_and_right_and_one_side_taped_again() -> None:
    sides = LEAST.replace("hip: 98 cm", "hip: 98 cm, upper arm: {left: 30 cm, right: 31 cm}")
    measures = sound(sides).wearer.measures
    assert (measures["left upper arm"], measures["right upper arm"], measures["upper arm"]) == (300, 310, 310)
    apart = sound(LEAST.replace("hip: 98 cm", "hip: 98 cm, left upper arm: 30 cm, right upper arm: 31 cm"))
    assert apart.wearer.measures == measures
    again = sound(sides + "fittings: [{on: 2026-12-03, measure: {left upper arm: 33 cm}}]\n").wearer.measures
    assert (again["left upper arm"], again["right upper arm"], again["upper arm"]) == (330, 310, 330)
    whole = sound(sides + "fittings: [{on: 2026-12-03, measure: {upper arm: 29 cm}}]\n").wearer.measures
    assert whole["upper arm"] == 290
    assert "left upper arm" not in whole


@pytest.mark.parametrize(
    ("old", "new", "code", "line", "remedy"),
    [
        ("recipe: straight-skirt", "recipee: straight-skirt\nrecipe: straight-skirt", "KEY-UNKNOWN", 2, "recipe"),
        ("kind: woven", "kind: wovn", "VALUE-WRONG", 4, "woven"),
        ("kind: woven,", "kind: woven, nap: sideways,", "VALUE-WRONG", 4, "up"),
        ("waist: 72 cm", "waist: 72", "VALUE-WRONG", 3, "72 cm"),
        ("waist: 72 cm", "waste: 72 cm", "MEASURE-UNKNOWN", 3, "waist"),
        ("waist: 72 cm", "waist: 72 m", "MEASURE-RANGE", 3, "unit"),
        ("waist: 72 cm", "waist: -72 cm", "MEASURE-RANGE", 3, "unit"),
        ("waist: 72 cm", "waist: {left: 36 cm, right: 36 cm}", "FILE-SHAPE", 3, "82 cm"),
        ("waist: 72 cm", "waist: 40 %", "VALUE-WRONG", 3, "82 cm"),
        ("width: 150 cm", "width: 150 km", "VALUE-WRONG", 4, "82 cm"),
        ("width: 150 cm", "width: 150 cm, stretch: 50 %", "FILE-SHAPE", 4, "across"),
        ("width: 150 cm", "width: 150 cm, stretch: {across: 50}", "VALUE-WRONG", 4, "50 %"),
        ("width: 150 cm", "width: 150 cm, fibre: {wool: 80 %, silk: 40 %}", "VALUE-RANGE", 4, "label"),
        ("width: 150 cm", "width: 20 cm, selvage: 10 cm", "VALUE-RANGE", 4, "selvage"),
        ("width: 150 cm", "width: 150 cm, price: EUR 3", "VALUE-WRONG", 4, "14.50"),
        ("width: 150 cm", "width: 150 cm, surface: [pile, furry]", "VALUE-WRONG", 4, "pile"),
        (", width: 150 cm", "", "KEY-MISSING", 4, "width"),
        ("width: 150 cm", "widht: 150 cm", "KEY-UNKNOWN", 4, "width"),
        ("wearer: {measures: {waist: 72 cm, hip: 98 cm}}", "wearer: alto-1", "KEY-MISSING", 3, "measures"),
        ("ticket: A skirt", "ticket: [a, skirt]", "FILE-SHAPE", 1, "words"),
        ("ticket: A skirt", "ticket:", "VALUE-EMPTY", 1, ""),
        ("kind: woven,", "kind: woven, washed first: perhaps,", "VALUE-WRONG", 4, "yes"),
    ],
)
def test_each_slip_is_met_at_its_line_with_a_way_out(old: str, new: str, code: str, line: int, remedy: str) -> None:
    assert old in LEAST
    found = only(LEAST.replace(old, new), code)
    assert found.where.line == line
    assert found.where.column > 0
    assert remedy in found.remedy
    assert "^" in found.excerpt


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ("date: 3 December", "VALUE-WRONG"),
        ("date: 2026-13-40", "VALUE-WRONG"),
        ("units: inches", "VALUE-WRONG"),
        ("finish: {hem: singel turned 40 mm}", "FINISH-UNKNOWN"),
        ("finish: {hem: single turned 40}", "FINISH-UNKNOWN"),
        ("finish: {hem: double turned 15 mm, first turn 7 mm}", "VALUE-EMPTY"),
        ("rates: {hour: many}", "VALUE-WRONG"),
        ("rates: {currency: Euros}", "VALUE-WRONG"),
        ("fittings: [{note: tight}]", "KEY-MISSING"),
        ("fittings: [{on: today}]", "VALUE-WRONG"),
        ("fittings: [{on: 2026-12-03, carried: [neighbour]}]", "VALUE-WRONG"),
        ("fittings: [{on: 2026-12-03, carried: wearer}]", "FILE-SHAPE"),
        ("fittings: [{on: 2026-12-03, seen: [folds]}]", "FILE-SHAPE"),
        ("fittings: tight", "FILE-SHAPE"),
        ("fittings: [{on: 2026-12-03, steps: [{after: a, dart: {}, seam: {}}]}]", "FILE-SHAPE"),
        ("choices: [length]", "FILE-SHAPE"),
        ("choices: {length: {a: b}}", "FILE-SHAPE"),
        ("paper: [a4]", "FILE-SHAPE"),
        ("units: cm\nunits: in", "KEY-TWICE"),
    ],
)
def test_slips_of_the_other_keys(more: str, code: str) -> None:
    found = only(f"{LEAST}{more}\n", code)
    assert found.where.line in (5, 6)


def test_the_column_of_a_bad_finish_is_the_bad_word() -> None:
    line = "finish: {hem: 'double turned 15 mm, frist turn 7 mm'}"
    found = only(f"{LEAST}{line}\n", "FINISH-UNKNOWN")
    assert line[found.where.column - 1 :].startswith("frist turn")
    assert "first turn" in found.remedy


def test_every_fault_of_a_file_is_met_at_once() -> None:
    text = WHOLE.replace("150 cm", "150").replace("woman", "lady").replace("33 in", "33").replace("paper", "papper")
    _, problems = read_ticket_text(text, "a.yaml")
    assert [(each.code, each.where.line) for each in problems if each.severity == "stop"] == [
        ("VALUE-WRONG", 6),
        ("VALUE-WRONG", 11),
        ("KEY-UNKNOWN", 28),
        ("VALUE-WRONG", 36),
    ]


def with_cloth(line: str) -> str:
    return LEAST.replace("cloth: {kind: woven, width: 150 cm}", f"cloth:\n  kind: woven\n  width: 150 cm\n  {line}")


@pytest.mark.parametrize(
    ("line", "along", "across"),
    [
        ("bending length: 18 mm", 18.0, 18.0),
        ("bending length: 3/4 in", 19.05, 19.05),
        ("bending length: {along: 1.8 cm}", 18.0, None),
        ("bending length: {across: 15 mm, along: 18 mm}", 18.0, 15.0),
    ],
)
def test_a_bending_length_holds_for_one_way_or_both(line: str, along: float | None, across: float | None) -> None:
    cloth = sound(with_cloth(line)).cloth
    assert (cloth.bending_along, cloth.bending_across) == pytest.approx((along, across))


def test_a_hung_garment_may_lack_the_bending_length() -> None:
    assert sound(with_cloth("hung: {fall: 1 mm, reckoned: 3 cm}")).cloth.hung == Hung(1.0, 30.0)


@pytest.mark.parametrize(
    ("line", "code", "there", "said"),
    [
        ("bending length: 18", "VALUE-WRONG", "18", "has no unit"),
        ("bending length: 1.9 mm", "VALUE-RANGE", "1.9 mm", "bending length of 1.9 mm is outside 2 mm to 12 cm"),
        ("bending length: {along: 18 mm, across: 121 mm}", "VALUE-RANGE", "121 mm}", "length across of 12.1 cm"),
        ("bending length: {along: 18 mm, acros: 12 mm}", "KEY-UNKNOWN", "acros:", "Did you mean 'across'?"),
        ("bending length:", "VALUE-EMPTY", "", "has no value"),
        ("bending length: [18 mm]", "FILE-SHAPE", "[", "or 18 mm for both"),
        ("bending lenght: 18 mm", "KEY-UNKNOWN", "bending", "Did you mean 'bending length'?"),
        ("hung: {fall: 132 mm}", "KEY-MISSING", "{", "lacks 'reckoned'"),
        ("hung: {fall: 132 mm, reckoned: 40 %}", "VALUE-WRONG", "40 %", "'reckoned' '40 %' is not a length"),
        ("hung: {fall: 4 m, reckoned: 12 cm}", "VALUE-RANGE", "4 m", "'fall' of 400 cm is outside 1 mm to 300 cm"),
        ("hung: {fall: 4 cm, reckoned: 0 mm}", "VALUE-RANGE", "0 mm", "'reckoned' of 0 cm is outside 1 mm to 300 cm"),
        ("hung: {fall: 4 cm, reckoned: 3 cm, bending length: 1 mm}", "VALUE-RANGE", "1 mm", "length' of 1 mm"),
        ("hung: 132 mm", "FILE-SHAPE", "132", "{fall: 132 mm, reckoned: 121 mm}"),
        ("hung:", "VALUE-EMPTY", "", "should be a set of fields"),
    ],
)
def test_a_wrong_bending_or_hanging_is_said_where_it_stands(line: str, code: str, there: str, said: str) -> None:
    found = only(with_cloth(line), code)
    assert (found.where.line, said in found.says) == (7, True), found.says
    rest = f"  {line}"[found.where.column - 1 :]
    assert rest.startswith(there) if there else not rest
    assert found.excerpt


def test_a_knit_without_its_stretch_is_asked_about() -> None:
    found = only(LEAST.replace("woven", "knit"), "STRETCH-UNKNOWN")
    assert found.severity == "mind"
    assert "across" in found.remedy
    sound(LEAST.replace("kind: woven", "kind: knit, stretch: {across: 0 %}"))


def test_inches_beside_centimetres_are_asked_about_and_conversions_are_not() -> None:
    assert only(LEAST.replace("hip: 98 cm", "hip: 38 in"), "UNITS-MIXED").where.line == 3
    sound(LEAST.replace("hip: 98 cm", "hip: 98 cm   # 38 5/8 in\n   "))
    twice = LEAST + "choices: {length: 24 in}\nfinish: {hem: 'single turned 25 mm'}\n"
    assert read_ticket_text(twice, "a.yaml")[1] == []


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_choirs_tickets_are_sound(path: Path) -> None:
    ticket, problems = read_ticket(path)
    assert ticket is not None
    assert [each.says for each in problems] == []
    assert ticket.recipe.text in ("choir-sheath", "straight-skirt")


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_choirs_tickets_satisfy_the_schema_that_editors_use(path: Path) -> None:
    """The schema is itself sound, and an outside validator finds no fault with our tickets."""
    schema = ticket_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    data = yaml.load(path.read_text(encoding="utf-8"), Loader=_DatesAsText)
    assert [error.message for error in jsonschema.Draft202012Validator(schema).iter_errors(data)] == []


class _DatesAsText(yaml.SafeLoader):
    """Reads dates as editors do: as the text they are; `on` stays a key."""


_DatesAsText.yaml_implicit_resolvers = {
    first: [(tag, pattern) for tag, pattern in resolvers if not tag.endswith((":timestamp", ":bool"))]
    for first, resolvers in yaml.SafeLoader.yaml_implicit_resolvers.items()
}


def test_the_schema_finds_an_unknown_key_and_a_bare_length() -> None:
    check = jsonschema.Draft202012Validator(ticket_schema())
    good = yaml.load(LEAST, Loader=_DatesAsText)
    assert check.is_valid(good)
    assert not check.is_valid(good | {"papper": "a4"})
    assert check.is_valid(yaml.load(with_cloth("bending length: 18 mm"), Loader=_DatesAsText))
    assert check.is_valid(yaml.load(WHOLE.replace("on: 2026", "'on': 2026"), Loader=_DatesAsText))
    assert not check.is_valid(yaml.load(with_cloth("bending length: {alog: 18 mm}"), Loader=_DatesAsText))
    assert not check.is_valid(yaml.load(with_cloth("hung: {fall: 13 cm}"), Loader=_DatesAsText))
    assert not check.is_valid(good | {"cloth": {"kind": "woven", "width": 150}})


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    ticket, problems = read_ticket(tmp_path / "none.yaml")
    assert ticket is None
    assert [each.code for each in problems] == ["FILE-MISSING"]


@pytest.mark.parametrize(
    "text", ["", "\n\n# nothing\n", "---\n", "a", "[]", "- a\n- b\n", "5", "'", "{", "? a", "\ufeff"]
)
def test_what_is_no_ticket_is_a_problem(text: str) -> None:
    ticket, problems = read_ticket_text(text, "a.yaml")
    assert ticket is None
    assert any(each.severity == "stop" for each in problems)


def speaks_safely(problems: list[Problem]) -> bool:
    """Return whether no problem carries a control character towards a terminal."""
    said = "".join(each.says + each.found + each.expected + each.remedy + each.excerpt for each in problems)
    return all(char in "\n\t" or (ord(char) >= 32 and not 127 <= ord(char) < 160) for char in said)


# A ticket alone knows neither a recipe's choices nor the sheets' papers nor the seams that finishes name.
FOR_RECIPE_AND_SHEETS = ("wrong unit", "no unit", "huge number", "wrong type")


@pytest.mark.parametrize("start", range(0, 2000, 100))
def test_seeded_damages_are_met_quickly_and_where_they_stand(start: int, tmp_path: Path) -> None:
    """2,000 damages: no exception, each within a second, and the problem within one line where one line holds it."""
    texts = [WHOLE, *(path.read_text(encoding="utf-8") for path in EXAMPLES)]
    for seed in range(start, start + 100):
        done = damage.damaged(texts[seed % len(texts)], seed)
        path = tmp_path / "damaged.yaml"
        damage.write(path, done)
        begun = time.process_time()
        _, problems = read_ticket(path)
        took = time.process_time() - begun
        assert took < 5.0, (seed, done.kind, took)
        assert speaks_safely(problems), (seed, done.kind)
        assert all(each.code in CODES for each in problems)
        shown = "".join(done.text.splitlines()[done.line - 1 : done.line])[:160]
        left_to_others = re.search(r"choices?:|paper:", shown) and done.kind in FOR_RECIPE_AND_SHEETS
        if not done.one_line or left_to_others or done.kind == "misspelt name":
            continue
        near = [each for each in problems if abs(each.where.line - done.line) <= 1]
        assert near, (seed, done.kind, done.line, shown, [(p.code, p.where.line) for p in problems])


def test_the_damages_are_the_same_for_the_same_seed_and_of_every_kind() -> None:
    done = [damage.damaged(WHOLE, seed) for seed in range(300)]
    assert done == [damage.damaged(WHOLE, seed) for seed in range(300)]
    assert {each.kind for each in done} == set(damage.KINDS)
    assert all(each.text != WHOLE for each in done)
    assert sum(each.one_line for each in done) > 150


@settings(max_examples=300, deadline=1000)
@given(st.text(max_size=300))
def test_any_text_is_answered(text: str) -> None:
    ticket, problems = read_ticket_text(text, "a.yaml")
    assert ticket is not None or problems
    assert speaks_safely(problems)


@settings(max_examples=300, deadline=1000)
@given(st.integers(0, len(WHOLE) - 1), st.integers(1, 30), st.text(max_size=12))
def test_any_text_put_anywhere_into_a_ticket_is_answered(at: int, taken: int, put: str) -> None:
    _, problems = read_ticket_text(WHOLE[:at] + put + WHOLE[at + taken :], "a.yaml")
    assert speaks_safely(problems)
