"""A stop stands where the scissors are: on the first page, every tile, every piece it touches, the picture, the lay."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import pdfplumber
import pytest

from onfold.problems import Place, Problem, problem
from onfold.project import Garment, open_text
from onfold.project_lay import Wish, lay_garments
from onfold.project_lay_files import drawn_files, lay_facts
from onfold.sheets import SheetFacts, read_paper, tile
from tests.synthetic import skirt

SHEATH = """\
ticket: Concert sheath, soprano-11
recipe: choir-sheath
units: cm
wearer:
  name: soprano-11
  figure: woman
  measures: {height: 183 cm, bust: 80 cm, waist: 60 cm, hip: 86 cm}
cloth: {name: jersey, kind: knit, width: 160 cm, stretch: {across: STRETCH, along: 60 %}}
choices: {CHOICES}
paper: a4
date: 2026-11-02
"""
CASES = {
    "COWL-TURN": ("80 %", "slashes: 5, spread: 6 cm", "It can be opened by at most"),
    "COWL-FALL": ("80 %", "fall: 19 cm", "is out of reach"),
    "GETTING-IN": ("8 %", "spread: 1 cm", "full pull"),
}


@lru_cache
def garment(code: str) -> Garment:
    stretch, choices, _ = CASES[code]
    return open_text(SHEATH.replace("STRETCH", stretch).replace("CHOICES", choices), Path("mine.yaml"))


def page_words(data: bytes) -> list[str]:
    """The words that each page shows, those clipped away left out, its lines run together."""
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        return [" ".join(page.within_bbox(page.bbox).extract_text().split()) for page in pdf.pages]


@pytest.mark.parametrize("code", CASES)
def test_a_stop_stands_on_page_one_with_its_sentence_and_on_the_picture(code: str) -> None:
    made, said = garment(code), CASES[code][2]
    (stop, *_) = [each for each in made.all_problems if each.severity == "stop"]
    assert stop.code == code
    files = made.files(("pattern.pdf", "pattern.svg"))
    first = page_words(files["pattern.pdf"])[0]
    drawn = " ".join(files["pattern.svg"].decode().split())
    for text in (first, drawn):
        assert "STOP: do not cut" in text
        assert "What to do:" in text
    assert said in first
    assert stop.remedy.split()[0] in first


@pytest.mark.parametrize("code", CASES)
def test_a_stop_stands_on_the_head_of_the_lay(code: str) -> None:
    made = garment(code)
    answer = lay_garments([made], Wish(seconds=0.5, other_widths=False), lambda _: None)
    assert lay_facts(answer, answer.laid[0]).stops
    assert made.ticket is not None
    files = drawn_files(answer.laid[0].lay, lay_facts(answer, answer.laid[0]), "lay", made.ticket)
    (pdf,) = [data for name, data in files.items() if name.endswith(".pdf")]
    head = page_words(pdf)[0]
    assert "STOP: do not cut" in head
    assert "What to do:" in head


def stopped(*stops: Problem) -> object:
    return replace(skirt(), problems=stops)


def stop_at(piece: str) -> Problem:
    return problem(
        "OUTLINE-CROSSES", says="The outline crosses itself.", remedy="change the choices", where=Place(piece=piece)
    )


@pytest.mark.parametrize("paper", ["a4", "letter", "a3", "a1", "roll 91 cm"])
def test_every_tile_says_stop_in_its_margin(paper: str) -> None:
    tiles = tile(stopped(stop_at("front")), SheetFacts(paper=read_paper(paper), title="Skirt"))  # type: ignore[arg-type]
    for page in tiles.pages[tiles.covers :]:
        assert page.own is not None
        assert any(word.text == "STOP: do not cut" and word.at[1] > page.height - 15 for word in page.own.words)
    plain = tile(skirt(), SheetFacts(paper=read_paper(paper), title="Skirt"))  # type: ignore[arg-type]
    drawings = [page.own for page in plain.pages if page.own is not None] + [plain.sheet]
    assert not any("STOP" in word.text for drawing in drawings for word in drawing.words)


@pytest.mark.parametrize(("piece", "count"), [("front", 1), ("", 4), ("a piece that is not there", 4)])
def test_a_stop_stands_on_the_label_of_each_piece_it_touches(piece: str, count: int) -> None:
    pattern = stopped(stop_at(piece))
    sheet = tile(pattern, SheetFacts()).sheet  # type: ignore[arg-type]
    assert sum("STOP: do not cut" in word.text for word in sheet.words) == (len(skirt().pieces) if count > 1 else 1)


@pytest.mark.parametrize("paper", ["a4", "legal", "a0"])
def test_many_long_stops_are_counted_and_no_page_overflows(paper: str) -> None:
    """More than stand on a page beside the rulers take a page of their own; the rulers keep theirs."""
    stops = [replace(stop_at("front"), says="The outline crosses itself here. " * 12 + str(at)) for at in range(30)]
    tiles = tile(stopped(*stops), SheetFacts(paper=read_paper(paper), title="Skirt"))  # type: ignore[arg-type]
    for page in tiles.pages[: tiles.covers]:
        assert page.own is not None
        assert min(word.at[1] for word in page.own.words) > 4.0
        assert page.own.box[1] > 4.0
    drawings = [page.own for page in tiles.pages if page.own is not None] + [tiles.sheet]
    said = " ".join(word.text for drawing in drawings for word in drawing.words)
    assert "And 24 more" in said
    assert any(stroke.name == "100 mm square" for drawing in drawings for stroke in drawing.strokes)
