"""Fittings put into a ticket and taken out again: identical bytes, and nothing else touched."""

from __future__ import annotations

import json
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from onfold.fitting.change import Change
from onfold.fitting.entry import NewFitting
from onfold.fitting.recording import numbered, place_in_list, record, take_back
from onfold.problems import Problem
from onfold.shelf.ticket import Fitting, read_ticket_text

TIGHT = NewFitting(
    "2026-10-12",
    note="Tight when sitting: taped again, over the hip # twice.",
    change=Change({"waist ease": "3 cm"}, {"sway back": "1.5 cm"}, {"hip": "108 cm"}),
    seen="folds across the back waist",
    because="the back is hollow",
)
STEPS = NewFitting(
    "2026-10-19",
    change=Change(steps=(("", "let out: {seam: side seam, by: 5 mm}"), ("hip line", "rule down: {name: a, from: b}"))),
    carried=("wearer", "taste"),
)
PLAIN = NewFitting("2026-09-30", note="Tried on; nothing to change.")


def done(result: str | Problem) -> str:
    assert isinstance(result, str), result
    return result


def plain(text: str) -> Any:
    """[S] PyYAML's own reader, every word a word: an outside eye on what was written. A block's last line ends count
    for nothing: at the end of a text without one, what is written below adds it."""
    return without_last_ends(yaml.load(text, yaml.BaseLoader))


def without_last_ends(data: Any) -> Any:
    if isinstance(data, dict):
        return {key: without_last_ends(value) for key, value in data.items()}
    return [without_last_ends(each) for each in data] if isinstance(data, list) else data.rstrip("\n")


def fittings_of(text: str) -> tuple[Fitting, ...]:
    ticket, problems = read_ticket_text(text)
    assert ticket is not None
    assert not [each for each in problems if each.severity == "stop"], problems
    return ticket.fittings


HEAD = """\
# a job ticket
ticket: Concert skirt, alto-1
recipe: straight-skirt
wearer:
  name: "alto-1"
  measures: {waist: 82 cm, hip: 107 cm}   # taped twice

  # the rest is estimated
cloth: {kind: woven, width: 150 cm}
choices: {
    length: 62 cm,   # to the knee
  }
"""
ENTRY = "on: 2026-10-01, note: 'first, of - two'"

FAR_IN = """\
fittings:   # so far

      # the first
      -   on: 2026-10-02
          note: >
            long
            words

      # the second
      -  # a-b
         on: 2026-10-12
"""
CLOSED = f"fittings: [\n    {{{ENTRY}}},   # first\n    {{on: 2026-10-12}},  # b\n]\n"

LISTS = {
    "missing": "",
    "empty": "fittings: []\n",
    "empty and wide": "fittings:   [ ]   # none yet\n",
    "empty with a remark inside": "fittings: [ # none yet\n  ]\n",
    "one in brackets": f"fittings: [{{{ENTRY}}}]\n",
    "two in brackets, closed by a comma": f"fittings: [{{{ENTRY}}}, {{on: 2026-10-12}},]   # two\n",
    "brackets over lines": f"fittings: [\n    {{{ENTRY}}},   # first\n    {{on: 2026-10-02}}   # second\n  ]\n",
    "brackets over lines, closed by a comma": CLOSED,
    "dashed": f"fittings:\n  - {{{ENTRY}}}\n",
    "dashed at the edge": "fittings:\n- on: 2026-10-12\n  note: a\n- on: 2026-10-12   # again\n",
    "dashed far in": FAR_IN,
    "dash alone": "fittings:\n  -\n    on: 2026-10-02\n    steps:\n      - dart: {}\n",
    "block last": "fittings:\n  - on: 2026-10-02\n    note: |\n      a\n      b\n",
    "block last, its ends kept": "fittings:\n  - on: 2026-10-02\n    note: |+\n      a\n\n\n",
}
TAILS = {
    "nothing": "",
    "a key": "paper: a4\n",
    "blank lines and a key": "\n# the paper\n\npaper: a4   # printed\n\n",
    "remarks": "  # the end\n# indeed\n\n\n",
    "end of document": "...\n",
}
ENDS = ("as it is", "no last line end", "more blank lines")


def shaped(lists: str, tail: str, end: str, crlf: bool, mark: bool) -> str:
    text = HEAD + LISTS[lists] + TAILS[tail]
    text = text.rstrip("\n") if end == ENDS[1] else text + "\n\n" if end == ENDS[2] else text
    return ("\ufeff" if mark else "") + (text.replace("\n", "\r\n") if crlf else text)


shapes = st.builds(
    shaped,
    st.sampled_from(list(LISTS)),
    st.sampled_from(list(TAILS)),
    st.sampled_from(ENDS),
    st.booleans(),
    st.booleans(),
)

BODY = {"ticket": "x", "recipe": "r", "wearer": {"measures": {"hip": "98 cm"}}}
CLOTH = {"cloth": {"kind": "woven", "width": "1 m"}}
BRACED = [
    "{ticket: x, recipe: r, wearer: {measures: {hip: 98 cm}}, cloth: {kind: woven, width: 150 cm}}",
    "{ticket: x, recipe: r,\n wearer: {measures: {hip: 98 cm}},\n cloth: {kind: woven, width: 150 cm} , }\n",
    "# braces\n{ticket: x, recipe: r, wearer: {measures: {hip: 98 cm}}, fittings: [ ],\n"
    "cloth: {kind: woven, width: 150 cm}   # wool\n}\n",
    json.dumps(BODY | CLOTH, indent=2),
    json.dumps(BODY | {"fittings": []} | CLOTH, indent=2),
    json.dumps(BODY | {"fittings": [{"on": "2026-10-12"}]} | CLOTH),
]

odd = ["on", "no", "-1 cm", "a: b", "# x", "{", "a, b", "'", '"', "é", "?", "~", "1/2 in", "a #b", "two\nlines"]
letters = st.characters(exclude_categories=["Cs", "Cc", "Cf", "Zl", "Zp"])
words = st.one_of(st.sampled_from(odd), st.text(alphabet=letters, min_size=1, max_size=20).filter(str.strip))
pairs = st.dictionaries(words, words, max_size=2)
added = [
    (),
    (("", "let out: {seam: 'a, b', by: 5 mm}"),),
    (("x: y", "dart: {}"), ("", "dart: {points: [a, b]}")),
]
taped = [{}, {"hip": "108 cm"}, {"left upper arm": "33 cm"}]
changes = st.builds(Change, pairs, pairs, st.sampled_from(taped), st.sampled_from(added))
new_fittings = st.builds(
    NewFitting,
    st.sampled_from(["2026-09-30", "2026-10-12", "2026-10-19"]),
    st.one_of(st.just(""), words),
    changes,
    st.one_of(st.just(""), words),
    st.one_of(st.just(""), words),
    st.sampled_from([(), ("wearer",), ("taste", "recipe")]),
)


def last_of(text: str) -> str:
    """How the last entry in the file is called."""
    dates = [each["on"] for each in plain(text)["fittings"]]
    return numbered(dates)[-1]


@pytest.mark.parametrize("fitting", [TIGHT, STEPS, PLAIN], ids=["change", "steps", "note"])
@pytest.mark.parametrize("tail", TAILS)
@pytest.mark.parametrize("lists", LISTS)
def test_recorded_and_taken_back_is_the_same_text(lists: str, tail: str, fitting: NewFitting) -> None:
    for end in ENDS:
        for crlf in (False, True):
            for mark in (False, True):
                text = shaped(lists, tail, end, crlf, mark)
                after = done(record(text, "t.yaml", fitting))
                assert len(fittings_of(after)) == len(fittings_of(text)) + 1
                assert done(take_back(after, "t.yaml", last_of(after))) == text


@pytest.mark.parametrize("text", BRACED)
def test_a_ticket_in_braces_takes_an_entry_and_gives_it_back(text: str) -> None:
    for fitting in (TIGHT, STEPS, PLAIN):
        after = done(record(text, "t.yaml", fitting))
        if text.startswith("{\n") or text.startswith('{"'):
            assert json.loads(after)["fittings"][-1]["on"] == fitting.on  # JSON stays JSON
        again = done(record(after, "t.yaml", PLAIN))
        assert done(take_back(again, "t.yaml", last_of(again))) == after
        assert done(take_back(after, "t.yaml", last_of(after))) == text


@settings(max_examples=300, deadline=None)
@given(st.one_of(shapes, st.sampled_from(BRACED)), new_fittings)
def test_any_entry_comes_out_as_it_went_in(text: str, fitting: NewFitting) -> None:
    after = done(record(text, "t.yaml", fitting))
    before, now = plain(text), plain(after)
    assert {k: v for k, v in now.items() if k != "fittings"} == {k: v for k, v in before.items() if k != "fittings"}
    assert now["fittings"][:-1] == (before.get("fittings") or [])
    last = now["fittings"][-1]
    assert last["on"] == fitting.on
    assert last.get("note", "") == fitting.note.strip()
    assert last.get("choice", {}) == fitting.change.choices
    assert last.get("figure", {}) == fitting.change.figure
    assert last.get("carried", []) == list(fitting.carried)
    assert len(last.get("steps", [])) == len(fitting.change.steps)
    assert done(take_back(after, "t.yaml", last_of(after))) == text
    lines = text.splitlines(keepends=True)
    kept = [line for line in after.splitlines(keepends=True) if line in lines]
    assert len([line for line in lines if "#" in line and line not in kept]) <= 1  # a remark stays, its line may gain
    if "\r\n" in text:
        assert after.count("\n") == after.count("\r\n")
    assert after.startswith("\ufeff") is text.startswith("\ufeff")


@settings(max_examples=200, deadline=None)
@given(shapes, new_fittings, new_fittings)
def test_the_first_taken_back_leaves_the_second_alone(text: str, first: NewFitting, second: NewFitting) -> None:
    once = done(record(text, "t.yaml", first))
    name = last_of(once)
    twice = done(record(once, "t.yaml", second))
    if first.on == second.on:
        name = numbered([each["on"] for each in plain(twice)["fittings"]])[-2]
    left = done(take_back(twice, "t.yaml", name))
    assert plain(left) == plain(done(record(text, "t.yaml", second)))


@settings(max_examples=100, deadline=None)
@given(shapes, st.lists(new_fittings, min_size=1, max_size=4), st.data())
def test_entries_taken_back_in_any_order_leave_what_was_there(
    text: str, many: list[NewFitting], data: st.DataObject
) -> None:
    held = len(plain(text).get("fittings") or [])
    after = text
    for each in many:
        after = done(record(after, "t.yaml", each))
    for _ in many:
        dates = [each["on"] for each in plain(after)["fittings"]]
        at = data.draw(st.integers(held, len(dates) - 1))
        after = done(take_back(after, "t.yaml", numbered(dates)[at]))
    assert (plain(after).get("fittings") or []) == (plain(text).get("fittings") or [])


@settings(max_examples=200, deadline=None)
@given(st.sampled_from([HEAD, HEAD + "fittings: []\n", *BRACED]), st.text(), st.text(), st.text(), st.text())
def test_whatever_a_maker_types_is_written_or_refused(text: str, note: str, key: str, value: str, step: str) -> None:
    fitting = NewFitting("2026-10-12", note, Change({key: value}, steps=(("", step),) if step else ()), seen=value)
    after = record(text, "t.yaml", fitting)
    if isinstance(after, Problem):
        assert after.says.isprintable()
        return
    assert plain(after)["fittings"][-1].get("choice", {}) == without_last_ends({key: value})
    assert done(take_back(after, "t.yaml", last_of(after))) == text


def test_the_entry_reads_as_it_was_meant() -> None:
    (fitting,) = fittings_of(done(record(HEAD, "t.yaml", TIGHT)))
    assert (fitting.on, fitting.note, fitting.seen, fitting.because) == (
        "2026-10-12", TIGHT.note, "folds across the back waist", "the back is hollow",
    )  # fmt: skip
    assert {name: each.text for name, each in fitting.choices.items()} == {"waist ease": "3 cm"}
    assert {name: each.text for name, each in fitting.figure.items()} == {"sway back": "1.5 cm"}
    assert fitting.measures == {"hip": 1080.0}
    (stepped,) = fittings_of(done(record(HEAD, "t.yaml", STEPS)))
    assert [(each.after, each.verb) for each in stepped.steps] == [("", "let out"), ("hip line", "rule down")]
    assert stepped.carried == ("wearer", "taste")


def test_how_it_is_written() -> None:
    assert done(record("a: 1\n", "", TIGHT)) == (
        "a: 1\n"
        "fittings:\n"
        "  - on: 2026-10-12\n"
        "    note: 'Tight when sitting: taped again, over the hip # twice.'\n"
        "    seen: folds across the back waist\n"
        "    because: the back is hollow\n"
        "    choice: {waist ease: 3 cm}\n"
        "    figure: {sway back: 1.5 cm}\n"
        "    measure: {hip: 108 cm}\n"
    )
    assert done(record("a: 1\nfittings: []\n", "", STEPS)) == (
        "a: 1\n"
        "fittings: [\n"
        "  {on: 2026-10-19,\n"
        "   steps: [{let out: {seam: side seam, by: 5 mm}}, {after: hip line, rule down: {name: a, from: b}}],\n"
        "   carried: [wearer, taste]}]\n"
    )


@pytest.mark.parametrize("text", ["", "- a\n", "a: [\n", "fittings: tight\n", "fittings: {a: b}\n", "a: 1\na: 2\n"])
def test_what_cannot_take_an_entry_is_a_problem(text: str) -> None:
    for result in (record(text, "t.yaml", TIGHT), take_back(text, "t.yaml", "2026-10-12")):
        assert isinstance(result, Problem)
        assert result.says
        assert result.where.file == "t.yaml"


def test_a_bare_key_is_filled() -> None:
    assert len(fittings_of(done(record(HEAD + "fittings:   # none\npaper: a4\n", "", TIGHT)))) == 1


def test_a_step_that_cannot_be_read_is_a_problem() -> None:
    wrong = NewFitting("2026-10-12", change=Change(steps=(("", "let out: {by: "),)))
    assert isinstance(record(HEAD, "", wrong), Problem)


def test_a_date_that_is_none_is_a_problem() -> None:
    for on in ("today", "2026-13-01", "2026-1-1", "", "2026-02-30", "٢٠٢٦-١٠-١٢"):
        wrong = record(HEAD, "t.yaml", NewFitting(on))
        assert isinstance(wrong, Problem)
        assert wrong.code == "VALUE-WRONG"


def test_an_entry_is_named_by_date_and_number() -> None:
    text = HEAD + LISTS["dashed at the edge"]
    assert [place_in_list(text, "", which) for which in ("2026-10-12#1", " 2026-10-12#2 ")] == [0, 1]
    for which in ("2026-10-12", "2026-10-12#3", "2026-10-12#0", "2026-10-13", "", "last", "\x1b[31m"):
        wrong = take_back(text, "t.yaml", which)
        assert isinstance(wrong, Problem)
        assert wrong.code == "FITTING-UNKNOWN"
        assert "2026-10-12#1, 2026-10-12#2" in wrong.says
        assert wrong.says.isprintable()
    again = done(take_back(text, "", "2026-10-12#1"))
    assert again == HEAD + "fittings:\n- on: 2026-10-12   # again\n"


def test_remarks_stay_when_an_entry_in_brackets_goes() -> None:
    text = HEAD + LISTS["brackets over lines"]
    for which in ("2026-10-01", "2026-10-02"):
        left = done(take_back(text, "", which))
        assert "# first" in left and "# second" in left
        assert len(fittings_of(left)) == 1
