"""What a hung garment showed, put into a ticket: read back as it was, and nothing else of the text touched."""

from __future__ import annotations

import json
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from onfold.cloth import Hung
from onfold.problems import Problem
from onfold.shelf.hung import hung_written
from onfold.shelf.ticket import read_ticket_text
from onfold.units import System

SEEN = Hung(132.0, 121.5, 14.26)
BARE = Hung(127.0, 133.35)  # 5 in and 5 1/4 in [A]
HEAD = "# a ticket\nticket: x   # t\nrecipe: r\nwearer:\n  measures: {hip: 98 cm}\n"
TAIL = "\n# the rest\npaper: a4   # p\n"
CLOTHS = {
    "block": "cloth:\n  kind: woven   # a\n  width: 150 cm   # b\n",
    "block far in": "cloth:\n      kind: woven\n      fibre:\n        wool: 100 %   # all\n      width: 150 cm\n",
    "one line": "cloth: {kind: woven, width: 150 cm}   # wool\n",
    "one line, closed by a comma": "cloth: {kind: woven, width: 150 cm,}\n",
    "brackets over lines": "cloth: {kind: woven, # k\n    width: 150 cm # w\n  }   # end\n",
    "key without a value": "cloth:\n  kind: woven\n  hung:   # later\n  width: 150 cm\n",
    "empty brackets": "cloth:\n  kind: woven\n  width: 150 cm\n  hung: { }   # later\n",
    "written before": "cloth:\n  hung: {fall: 1 cm, reckoned: 2 cm}   # first\n  kind: woven\n  width: 150 cm\n",
    "before, other way round": "cloth: {kind: woven, hung: {bending length: 3 mm, reckoned: 2 cm, fall: 1 cm},"
    " width: 150 cm}\n",
    "before, in quotes over lines": "cloth:\n  kind: woven\n  width: 150 cm\n  hung: {fall: '1 cm', # seen\n"
    '    "bending length": "3 mm", # b\n    reckoned: 2 cm # r\n    }\n',
    "before, as a block": "cloth:\n  hung:   # first\n    fall: 1 cm   # seen\n    reckoned: 2 cm\n\n    # found\n"
    "    bending length: 3 mm   # b\n  kind: woven\n  width: 150 cm\n",
    "before, length last in brackets": "cloth:\n  kind: woven\n  width: 150 cm\n"
    "  hung: {fall: 1 cm, reckoned: 2 cm, # r\n    bending length: 3 mm} # b\n",
}
TEXTS = {name: HEAD + cloth + TAIL for name, cloth in CLOTHS.items()}
BODY: dict[str, Any] = {"ticket": "x", "recipe": "r", "wearer": {"measures": {"hip": "98 cm"}}}
CLOTH = {"kind": "woven", "width": "1 m"}


def done(text: str, hung: Hung = SEEN, units: System = "cm") -> str:
    written = hung_written(text, "t.yaml", hung, units)
    assert isinstance(written, str), written
    return written


def refusal(text: str, hung: Hung = SEEN) -> Problem:
    written = hung_written(text, "t.yaml", hung, "cm")
    assert isinstance(written, Problem), written
    return written


def hung_of(text: str) -> Hung | None:
    ticket, problems = read_ticket_text(text)
    assert ticket is not None
    assert problems == []
    return ticket.cloth.hung


def outside(text: str) -> Any:
    """[S] PyYAML's own reader, every word a word: an outside eye on what was written."""
    return yaml.load(text, yaml.BaseLoader)


def remarks(text: str) -> list[str]:
    return [line.split("#", 1)[1].strip() for line in text.splitlines() if "#" in line]


@pytest.mark.parametrize("hung", [SEEN, BARE], ids=["with a length", "without one"])
@pytest.mark.parametrize("name", TEXTS)
def test_it_is_read_back_and_nothing_else_changes(name: str, hung: Hung) -> None:
    text = TEXTS[name]
    written = done(text, hung)
    assert hung_of(written) == hung
    before, after = outside(text), outside(written)
    assert set(after["cloth"].pop("hung")) == {"fall", "reckoned"} | ({"bending length"} if hung is SEEN else set())
    before["cloth"].pop("hung", None)
    assert list(after) == list(before)
    assert after == before
    assert (written.startswith(HEAD), written.endswith(TAIL)) == (True, True)
    gone = {"b"} if name == "before, as a block" and hung is BARE else set()  # that of the line that is taken out
    assert [each for each in remarks(text) if each not in gone] == [
        each for each in remarks(written) if each not in gone
    ]


@pytest.mark.parametrize("name", TEXTS)
def test_written_twice_is_written_once(name: str) -> None:
    once = done(TEXTS[name])
    assert done(once) == once
    again = done(done(once, BARE), SEEN)
    assert hung_of(again) == SEEN
    assert outside(again) == outside(once) | {"cloth": outside(again)["cloth"]}


@pytest.mark.parametrize("name", TEXTS)
def test_line_ends_and_the_mark_at_the_start_survive(name: str) -> None:
    crlf = "\ufeff" + TEXTS[name].replace("\n", "\r\n")
    written = done(crlf)
    assert written == "\ufeff" + done(TEXTS[name]).replace("\n", "\r\n")
    short = (HEAD + CLOTHS[name]).removesuffix("\n")
    assert hung_of(done(short)) == SEEN
    assert not done(short).endswith("\n")


def test_json_stays_json() -> None:
    for cloth in (CLOTH, CLOTH | {"hung": {}}, CLOTH | {"hung": {"reckoned": "1 cm", "fall": "2 cm"}}):
        for indent in (None, 1):
            written = done(json.dumps(BODY | {"cloth": cloth}, indent=indent))
            assert hung_of(written) == SEEN
            if cloth.get("hung") != {}:
                assert json.loads(written)["cloth"]["hung"]["bending length"] == "14.26 mm"


def test_lengths_are_written_in_the_makers_units() -> None:
    block = TEXTS["block"]
    assert "  hung: {fall: 132 mm, reckoned: 121.5 mm, bending length: 14.26 mm}\n" in done(block)
    assert "  hung: {fall: 5 in, reckoned: 5 1/4 in}\n" in done(block, BARE, "in")
    assert "150 cm, hung: {fall: 127 mm, reckoned: 133.35 mm}}   # wool" in done(TEXTS["one line"], BARE, "in")
    assert "  hung: {fall: 5.197 in, reckoned: 4.783 in, bending length: 0.561 in}\n" in done(block, SEEN, "in")


figures = st.floats(1.02, 2999.9)


@given(
    st.sampled_from(list(TEXTS)),
    st.builds(Hung, figures, figures, st.none() | st.floats(2.01, 119.9)),
    st.sampled_from(["cm", "in"]),
)
def test_any_reading_comes_back_to_what_is_written(name: str, hung: Hung, units: System) -> None:
    found = hung_of(done(TEXTS[name], hung, units))
    assert found is not None
    near = 0.0051 if units == "cm" else 0.0128  # half of 1/100 mm, half of 1/1000 in [A]
    assert found.fall == pytest.approx(hung.fall, abs=near)
    assert found.reckoned == pytest.approx(hung.reckoned, abs=near)
    assert (found.bending_length is None) == (hung.bending_length is None)
    if hung.bending_length is not None:
        assert found.bending_length == pytest.approx(hung.bending_length, abs=near)


@pytest.mark.parametrize(
    ("cloth", "code"),
    [
        ("cloth:\n\tkind: woven\n", "FILE-TEXT"),
        ("cloth: &c\n  kind: woven\n  width: 150 cm\n", "FILE-ALIAS"),
        ("cloth: wool\n", "EDIT-REFUSED"),
        ("cloth: [1, 2]\n", "EDIT-REFUSED"),
        ("", "EDIT-REFUSED"),
        ("cloth:\n  kind: woven\n  hung: soon\n", "EDIT-REFUSED"),
        ("cloth:\n  kind: woven\n  hung: [1 cm]\n", "EDIT-REFUSED"),
        ("cloth:\n  kind: woven\n  hung: {fall: [1 cm]}\n", "EDIT-REFUSED"),
        ("cloth:\n  hung: {fall: 1 cm}\n  hung: {fall: 2 cm}\n", "KEY-TWICE"),
    ],
)
def test_what_it_cannot_be_put_into_is_a_problem(cloth: str, code: str) -> None:
    found = refusal(HEAD + cloth + TAIL)
    assert found.code == code
    assert found.says
    assert found.where.line >= 1


@pytest.mark.parametrize("text", ["", "[]", "a", "{", "\x00", "- a\n"])
def test_what_is_no_ticket_is_a_problem(text: str) -> None:
    assert refusal(text).severity == "stop"


@pytest.mark.parametrize(
    "hung", [Hung(-1.0, 1.0), Hung(1.0, 3001.0), Hung(1.0, 1.0, 1.9), Hung(1.0, 1.0, 200.0), Hung(float("nan"), 1.0)]
)
def test_what_the_ticket_would_not_read_is_not_written(hung: Hung) -> None:
    assert "is outside" in refusal(TEXTS["block"], hung).says


@given(st.text(max_size=200), st.builds(Hung, figures, figures))
def test_any_text_is_answered(text: str, hung: Hung) -> None:
    assert isinstance(hung_written(text, "t.yaml", hung, "cm"), str | Problem)
