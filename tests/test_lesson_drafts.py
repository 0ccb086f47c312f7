"""The lesson of real drafts: what is told of both recipes over several bodies, read back from the page."""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from test_lesson import Node, Tree, facts, steps_of

from onfold import open_ticket
from onfold.drawing import Drawing, Stroke, Word
from onfold.geometry.path import line
from onfold.lesson import write_lesson
from onfold.lesson.labels import apart
from onfold.lesson.page import _frames
from onfold.lesson.picture import draw_picture
from onfold.project import Garment, open_text
from onfold.project_files import lesson_of
from onfold.recipe.headings import HEADINGS
from onfold.recipe.step import Told
from onfold.steps import VERBS
from onfold.units import say_small

ROOT = Path(__file__).parent.parent
TICKETS = sorted(
    each
    for folder in ("examples", "tests/garments")
    for each in (ROOT / folder).glob("*.yaml")
    if re.search(r"^recipe: (choir-sheath|straight-skirt)", each.read_text("utf-8"), re.M) and "wrong" not in each.name
)
EXAMPLES = [each for each in TICKETS if each.parent.name == "examples"]
SHEATH = ROOT / "examples" / "alto-1-sheath.yaml"
SKIRT = ROOT / "examples" / "soprano-2-skirt.yaml"
VELVET = ROOT / "examples" / "alto-3-velvet-sheath.yaml"


@lru_cache
def garment(path: Path, choices: str = "") -> Garment:
    if not choices:
        return open_ticket(path)
    text = re.sub(r"^choices:.*(\n .*)*", "", path.read_text("utf-8"), flags=re.M)
    return open_text(f"{text}\nchoices: {{{choices}}}\n", path)


@lru_cache
def page(path: Path, choices: str = "") -> Node:
    return Tree(lesson_of(garment(path, choices)).decode()).root


def step(path: Path, number: int, choices: str = "") -> Node:
    (found,) = [each for each in steps_of(page(path, choices)) if each.attributes["value"] == str(number)]
    return found


def told_as(path: Path, verb: str, choices: str = "") -> Told:
    (found,) = [each for each in garment(path, choices).told if each.verb == verb]
    return found


@pytest.mark.parametrize("path", TICKETS, ids=lambda each: each.stem)
def test_every_name_stands_nearer_to_its_own_than_to_any_other_of_its_kind(path: Path) -> None:
    """[A] From the word's box, or from its leader's end, measured to the ink of every line or point of its kind."""
    told = garment(path).told
    frames = _frames(told)
    set_words = 0
    for each in told:
        if each.picture is None:
            continue
        picture = draw_picture(each.picture, "", "cm", frames[each.piece], each.focus)
        if picture is None:
            continue
        named = {(name.text, len(name.own) > 1): name for name in picture.names}
        texts = [label.text for label in picture.labels]
        assert sorted([*texts, *picture.crowded_out]) == sorted(name.text for name in picture.names)
        for label in picture.labels:
            set_words += 1
            name = next(one for (text, _), one in named.items() if text == label.text)
            at = label.box if label.lead is None else (*label.lead[2:], *label.lead[2:])
            assert apart(at, name.own) < apart(at, name.others), (each.number, label.text)
            if label.lead is not None:
                assert apart(at, name.own) < 1.0
    assert set_words > 40


def test_names_of_three_levels_stand_each_by_its_own() -> None:
    """[A] Three levels 30 mm apart on a piece a metre long: in the page's own figures each word is by its own line."""
    levels = {"underarm": 0.0, "bust": -30.0, "waist": -60.0}
    strokes = tuple(Stroke(line((0, y), (220, y)), "new", "levels", name=name) for name, y in levels.items())
    strokes += (Stroke(line((0, 0), (0, -1000)), "old", "seam lines", name="centre front"),)
    words = tuple(Word(name, (110.0, y)) for name, y in levels.items())
    picture = draw_picture(Drawing(strokes, words, (0, -1000, 220, 0)), "three levels", "cm")
    assert picture is not None
    svg = Tree(picture.svg).root
    rows = [
        float(re.findall(r"-?[\d.]+", each.attributes["d"] or "")[1]) for each in svg.all("path") if each.has("new")
    ]
    ends = [
        float(re.findall(r"-?[\d.]+", each.attributes["d"] or "")[3]) for each in svg.all("path") if each.has("lead")
    ]
    led = {label.text: label.lead[3] for label in picture.labels if label.lead is not None}
    assert len(ends) == len(led)
    for number, name in enumerate(levels):
        (word,) = [each for each in svg.all("text") if each.text == name]
        y = led.get(name, float(word.attributes["y"] or 0) - 4.0)
        assert int(np.argmin([abs(y - row) for row in rows])) == number


@pytest.mark.parametrize("verb", ["slash and spread", "cowl"])
def test_the_cowl_is_drawn_large_with_an_inset(verb: str) -> None:
    each = told_as(SHEATH, verb)
    frame = _frames(garment(SHEATH).told)[each.piece]
    assert each.picture is not None
    assert each.focus is not None
    large = draw_picture(each.picture, "", "cm", frame, each.focus)
    small = draw_picture(each.picture, "", "cm", frame)
    assert large is not None and large.in_part and 'class="inset"' in large.svg
    assert small is not None and not small.in_part

    def bar(svg: str) -> float:
        root = Tree(svg).root
        (tape,) = [each for each in root.all("rect") if each.has("tape")]
        said = next(each.text for each in root.all("text") if each.has("scale"))
        return float(tape.attributes["width"] or 0) / float(said.split()[0])

    assert bar(large.svg) > 2.5 * bar(small.svg)
    assert "the part that changes" in step(SHEATH, each.number).text


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda each: each.stem)
def test_every_edge_with_an_allowance_is_in_the_table(path: Path) -> None:
    draft = garment(path).draft
    ticket = garment(path).ticket
    assert draft is not None and ticket is not None
    root = page(path)
    (sheet,) = [each for each in root.all("section") if each.has("allowances")]
    tables = {each.all("caption")[0].text: each for each in sheet.all("table")}
    for piece in draft.pattern.pieces:
        rows = [
            [cell.text for cell in row.inside if isinstance(cell, Node)]
            for row in tables[f"Allowances of the {piece.name}"].all("tr")
        ]
        for edge in piece.edges:
            if edge.fold or edge.finish == "dart":
                continue
            said = say_small(edge.allowance, ticket.units) if edge.allowance > 0.05 else "none: cut on the line"
            assert any(row[0] == edge.root and row[1] == said for row in rows), (piece.name, edge.name)
        assert (
            len([each for each in sheet.all("svg") if f"The {piece.name}" in (each.attributes["aria-label"] or "")])
            == 1
        )
    assert [each for each in root.all("a") if each.attributes["href"] == "#allowances"]


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda each: each.stem)
def test_what_does_nothing_for_this_wearer_has_one_line_and_no_reason(path: Path) -> None:
    told = garment(path).told
    shown = {int(each.attributes["value"] or 0) for each in steps_of(page(path))}
    idle = {each.number for each in told if each.idle}
    assert idle
    assert shown | idle == set(range(1, len(told) + 1))
    assert not shown & idle
    lines = [each for each in page(path).all("p") if each.has("idle")]
    assert {int(found) for each in lines for found in re.findall(r"step (\d+)", each.text)} == idle
    needed = {each.why for each in told if not each.idle}
    for each in told:
        if each.idle and each.why not in needed:
            assert each.why not in page(path).text
        assert each.idle or not re.match(r"No |Nothing ", each.sentence), each.sentence


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda each: each.stem)
def test_a_reason_is_given_once_a_stage(path: Path) -> None:
    for stage in [each for each in page(path).all("section") if each.has("stage")]:
        whys = [each.text for each in stage.all("p") if each.has("why")]
        assert len(whys) == len(set(whys))


def test_a_neck_that_is_not_opened_draws_no_slashes_and_no_fall() -> None:
    assert told_as(SHEATH, "slash and spread", "spread: 0 cm").idle
    cowl = told_as(SHEATH, "cowl", "spread: 0 cm").sentence
    assert "does not fall" in cowl
    assert "Expect" not in cowl


@pytest.mark.parametrize("choices", ["slashes: 5, spread: 9 cm", "fall: 40 cm"])
def test_a_stop_stands_in_its_step_in_the_next_and_at_the_head(choices: str) -> None:
    slash = told_as(SHEATH, "slash and spread", choices)
    (stop,) = slash.found
    assert stop.severity == "stop"
    assert not slash.idle
    card = step(SHEATH, slash.number, choices)
    assert stop.says in card.text
    assert card.text.index(stop.says) < card.text.index(slash.sentence)
    cowl = told_as(SHEATH, "cowl", choices)
    assert cowl.stands_on == (slash.number,)
    assert f"it is drawn from step {slash.number}" in step(SHEATH, cowl.number, choices).text
    head = page(SHEATH, choices).all("header")[0].text
    assert f"Stop, step {slash.number}: {stop.says}" in head
    said = [each for each in page(SHEATH, choices).all("div") if each.has("problem") and stop.says in each.text]
    assert any(f"Step {slash.number}" in each.text for each in said)


def test_a_step_that_cannot_be_drawn_says_why_and_later_ones_do_not() -> None:
    """A zip longer than its edge: the part is not measured off, and what would use it stays silent."""
    choices = "zip length: 40 cm, length: 40 cm, vent length: 0 cm"
    told = garment(SKIRT, choices).told
    assert [each.number for each in told] == list(range(1, len(told) + 1))
    (failed,) = [each for each in told if each.found]
    assert failed.verb == "name a part"
    card = step(SKIRT, failed.number, choices).text
    assert failed.found[0].says in card
    assert "cannot be drawn" in card


def test_several_sentences_are_a_list_of_jobs() -> None:
    cowl = told_as(SHEATH, "cowl")
    (jobs,) = [each for each in step(SHEATH, cowl.number).all("ol") if each.has("jobs")]
    assert [each.text for each in jobs.all("li")] == re.split(r"(?<=\.) (?=[A-Z])", cowl.sentence)
    assert len(jobs.all("li")) > 5
    slash = told_as(SHEATH, "slash and spread").sentence
    assert slash.index("Paste paper above") < slash.index("Slash from")


def test_half_pieces_are_told_to_be_cut_on_the_fold_but_for_pile() -> None:
    def said(path: Path) -> str:
        return next(each.sentence for each in garment(path).told if each.verb == "cut" and "front" in each.sentence)

    assert "cut 1 on the fold" in said(SHEATH)
    assert "1 on the fold" in page(SHEATH).text
    assert "cut 1 whole, in one layer" in said(VELVET)
    assert "1 whole, in one layer" in page(VELVET).text
    assert "on the fold, main cloth" not in page(VELVET).text


def test_a_stripe_is_matched_in_one_layer_as_the_lay_has_it(tmp_path: Path) -> None:
    text = SHEATH.read_text("utf-8").replace("  kind: knit", "  kind: knit\n  repeat: {across: 0 cm, along: 4 cm}", 1)
    (tmp_path / "striped.yaml").write_text(text, "utf-8")
    assert "repeat" in text
    told = open_ticket(tmp_path / "striped.yaml").told
    assert "whole, in one layer" in next(e.sentence for e in told if e.verb == "cut" and "front" in e.sentence)


def test_what_to_measure_first_is_told_with_how_it_is_taken() -> None:
    for path in EXAMPLES:
        for each in [item for item in page(path).all("ol") if item.has("first")]:
            assert all(": " in item.text for item in each.all("li")), each.text


def test_every_verb_has_a_heading_in_the_words_of_the_table() -> None:
    assert set(HEADINGS) == set(VERBS)
    for path in EXAMPLES:
        for each in page(path).all("h3"):
            assert not re.search(r"\.\d|\{|other leg|^(State|Join|Name a part)$", each.text), each.text
        for text in page(path).all("text"):
            assert not re.search(r"\.\d+$| leg$", text.text) or text.has("scale"), text.text


@pytest.mark.parametrize(("level", "said"), [("underarm", "32 5/16 in"), ("waist", "28 1/4 in"), ("hip", "35 1/2 in")])
def test_one_figure_has_one_reading_in_inches(level: str, said: str) -> None:
    """[A] 517.04, 452.3 and 568.4 sixteenths: the step and the table of levels say them alike, to the sixteenth."""
    (taken_in,) = [
        each.sentence
        for each in garment(SHEATH).told
        if each.verb == "take in" and each.sentence.startswith(level.capitalize())
    ]
    assert f"{said} finished" in taken_in
    (row,) = [each for each in page(SHEATH).all("tr") if each.text.startswith(level) and "taken in" in each.text]
    assert said in row.text


def test_what_is_wrong_with_a_step_is_escaped() -> None:
    wild = Told(1, "s", "v", "p", "", "<b>", "", heading="<i>", stands_on=(3,))
    text = write_lesson([wild], facts(), [])
    assert "<b>&lt;" not in text
    assert "&lt;b&gt;" in text
    assert "&lt;i&gt;" in text
