"""The cloth card as a maker meets it: one page, a rule that is true, blanks that fill lines of a ticket."""

from __future__ import annotations

import io
import json
import math
import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pdfplumber
import pikepdf
import pytest
from click.testing import CliRunner, Result

from onfold.cli import main
from onfold.cloth import Cloth, settle
from onfold.construction import CAUTIONS
from onfold.guide import CardFacts, write_card
from onfold.guide.card import AT_45_DEGREES, BLANK, cautions_of_card, tables, ticket_says, trials
from onfold.guide.cautions import RULES
from onfold.project_card import card_files
from onfold.shelf.ticket import read_ticket, read_ticket_text
from onfold.shelf.ticket_cloth import CLOTH_KEYS
from onfold.units import System

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
SHEATH, SKIRT = EXAMPLES / "alto-1-sheath.yaml", EXAMPLES / "soprano-2-skirt.yaml"
PT = 72.0 / 25.4
UNITS: tuple[System, ...] = ("cm", "in")
HOSTILE = '#panic("x") <script> $a$ *b* @c \\\\ "quoted" \x00\x1b[31m\u202eevil \U0001f9f5'


def jersey() -> Cloth:
    ticket, _ = read_ticket(SHEATH)
    assert ticket is not None
    return ticket.cloth


def card(units: System = "cm", paper: str = "a4", cloth: Cloth | None = None, title: str = "Sheath, alto-1") -> bytes:
    return write_card(CardFacts(title, "2026-10-05", units, paper, cloth))


def text_of(data: bytes) -> str:
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        return " ".join(" ".join((page.extract_text() or "").split()) for page in pdf.pages)


# --- the page ---


@pytest.mark.parametrize(
    ("units", "paper", "size"),
    [
        ("cm", "a4", (210.0, 297.0)),
        ("cm", "a0", (210.0, 297.0)),
        ("in", "letter", (215.9, 279.4)),
        ("in", "roll 36 in", (215.9, 279.4)),
        ("cm", "roll 91 cm", (210.0, 297.0)),
    ],
)
def test_it_is_one_page_of_a4_or_letter(units: System, paper: str, size: tuple[float, float]) -> None:
    with pdfplumber.open(io.BytesIO(card(units, paper, jersey()))) as pdf:
        assert len(pdf.pages) == 1
        assert (pdf.pages[0].width / PT, pdf.pages[0].height / PT) == pytest.approx(size, abs=0.1)


def test_the_rule_is_true_to_size() -> None:
    """10 cm and 4 in between the first tick and the last, 1 mm and 1/8 in from tick to tick, within 0.001 mm [A]."""
    with pdfplumber.open(io.BytesIO(card())) as pdf:
        lines = pdf.pages[0].lines
    level = [abs(each["x1"] - each["x0"]) / PT for each in lines if abs(each["top"] - each["bottom"]) < 0.01]
    assert [each for each in level if each == pytest.approx(100.0, abs=0.001)]
    assert [each for each in level if each == pytest.approx(101.6, abs=0.001)]
    upright = [each for each in lines if abs(each["x1"] - each["x0"]) < 0.01 and each["bottom"] / PT < 30.0]
    rows: dict[float, list[float]] = {}
    for each in upright:
        rows.setdefault(round(each["top"] / PT, 2), []).append(each["x0"] / PT)
    (centimetres,) = [sorted(found) for found in rows.values() if len(found) == 101]
    assert centimetres[-1] - centimetres[0] == pytest.approx(100.0, abs=0.001)
    assert all(b - a == pytest.approx(1.0, abs=0.001) for a, b in pairwise(centimetres))
    inches = sorted(
        each["x0"] / PT for each in upright if round(each["bottom"] / PT, 1) == round(_foot(lines, 101.6), 1)
    )
    assert len(inches) == 33
    assert all(b - a == pytest.approx(3.175, abs=0.001) for a, b in pairwise(inches))


def _foot(lines: list[dict[str, float]], long: float) -> float:
    return next(each["top"] / PT for each in lines if abs(abs(each["x1"] - each["x0"]) / PT - long) < 0.001)


def test_it_is_tagged_named_and_equal_for_equal_input() -> None:
    """[S] ISO 14289-1 (PDF/UA-1): tagged, a language, a title."""
    data = card(cloth=jersey())
    assert data == card(cloth=jersey())
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert bool(pdf.Root.MarkInfo.Marked)
        assert str(pdf.Root.Lang) == "en"
        with pdf.open_metadata() as meta:
            assert meta["dc:title"] == "Cloth card: black viscose jersey"
            assert meta["pdfuaid:part"] == "1"


@pytest.mark.parametrize("units", UNITS)
def test_every_trial_blank_line_and_caution_is_on_it(units: System) -> None:
    said = text_of(card(units, "letter" if units == "in" else "a4", jersey()))
    for trial in trials(units):
        assert trial.name in said
        assert trial.reckon.split(";")[0] in said
        for row in trial.fills:
            assert row.split(":")[0] + ":" in said
    for table in tables(units):
        assert table.name in said
        assert all(head in said for head in table.heads)
    flat = re.sub(r"\W+", "", said)
    for word in ("110", "150", "200", "never", "as bought", "washed", "stitched", "pressed", "10 cm above"):
        assert re.sub(r"\W+", "", word) in flat
    assert "stretch 70 % across, 40 % along; recovery 92 %" in said


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("cloth", [None, jersey(), replace(jersey(), bending_along=22.0, bending_across=19.0)])
def test_no_word_stands_on_another(units: System, cloth: Cloth | None) -> None:
    with pdfplumber.open(io.BytesIO(card(units, "letter" if units == "in" else "a4", cloth))) as pdf:
        words = [each for each in pdf.pages[0].extract_words() if each["text"] != "•"]
    assert len(words) > 200
    for at, a in enumerate(words):
        for b in words[at + 1 :]:
            wide = min(a["x1"], b["x1"]) - max(a["x0"], b["x0"])
            high = min(a["bottom"], b["bottom"]) - max(a["top"], b["top"])
            assert wide < 1.0 or high < 4.0, (a["text"], b["text"])


def test_the_cautions_defer_to_local_rules_and_trained_practice() -> None:
    for cloth in (None, jersey(), settle("woven", 1500.0)):
        said = cautions_of_card(cloth)
        assert {CAUTIONS[name] for name in ("iron", "pile", "pins", "needle", "blades")} <= set(said)
        assert said[-1] == RULES
        assert "Local rules and trained practice" in said[-1]
    assert CAUTIONS["fibre"] in cautions_of_card(None)
    assert CAUTIONS["fibre"] not in cautions_of_card(jersey())


@pytest.mark.parametrize("word", ["W" * 200, "many short words " * 20, HOSTILE])
def test_a_makers_words_never_break_the_page(word: str) -> None:
    cloth = replace(jersey(), name=word, fibre=tuple((f"{word[:40]}{n}", 0.01) for n in range(20)))
    data = card("in", "letter", cloth, title=word)
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        (page,) = pdf.pages
        assert max(char["x1"] for char in page.chars) <= page.width - 12.0 * PT
        assert max(char["bottom"] for char in page.chars) <= page.height - 8.0 * PT
    assert "Needle and stitch" in text_of(data)


# --- the trials ---


def test_what_it_fills_are_lines_of_a_ticket() -> None:
    keys = [key for trial in trials("cm") for key in trial.keys]
    assert set(keys) <= set(CLOTH_KEYS)
    assert set(keys) == {"stretch", "recovery", "shrinkage", "nap", "surface", "bending length", "thickness", "weight"}
    assert len(keys) == len(set(keys))
    for trial in trials("cm"):
        assert bool(trial.fills) != bool(trial.keeps)


@pytest.mark.parametrize("units", UNITS)
def test_a_filled_card_can_be_copied_into_a_ticket_as_it_stands(units: System) -> None:
    words = {"nap": "up", "surface": "pile", "bending length": "1.5" if units == "in" else "3"}
    rows = [line.replace(BLANK, words.get(line.split(":")[0], "5")) for trial in trials(units) for line in trial.fills]
    text = SHEATH.read_text("utf-8")
    start, end = text.index("cloth:\n") + len("cloth:\n"), text.index("finish:\n")
    filled = "  kind: knit\n  width: 150 cm\n" + "".join(f"  {row}\n" for row in rows)
    ticket, problems = read_ticket_text(text[:start] + filled + text[end:])
    assert problems == []
    assert ticket is not None
    assert ticket.cloth.guessed == ("selvage",)
    assert (ticket.cloth.nap, ticket.cloth.surface, ticket.cloth.stretch_across) == ("up", ("pile",), 0.05)
    bent = 1.5 * 25.4 if units == "in" else 30.0
    assert (ticket.cloth.bending_along, ticket.cloth.bending_across) == pytest.approx((bent, bent))
    assert ticket.cloth.weight == pytest.approx(5.0 if units == "cm" else 5.0 * 33.906, rel=1e-4)


def test_squares_weighed_in_inches_add_up_to_a_yard() -> None:
    """36 x 36 in hold 81 squares of 4 in; a square metre holds 100 of 10 cm [A]."""
    said = {trial.name: trial.reckon for units in UNITS for trial in trials(units)}
    assert "81" in said["A square weighed"]
    assert 36 * 36 / 16 == 81
    metric = next(trial for trial in trials("cm") if trial.name == "A square weighed")
    assert "× 100" in metric.reckon


def test_the_strip_over_the_edge_is_reckoned_by_the_testers_own_rule() -> None:
    """c = l (cos(t/2) / (8 tan t))^(1/3): 0.5093 at 41.5 degrees (T162 [C], its value [A]); here 45 degrees."""

    def factor(degrees: float) -> float:
        angle = math.radians(degrees)
        return float((math.cos(angle / 2) / (8 * math.tan(angle))) ** (1 / 3))

    assert factor(41.5) == pytest.approx(0.5093, abs=0.0001)
    assert pytest.approx(factor(45.0), abs=1e-12) == AT_45_DEGREES
    strip = next(trial for trial in trials("cm") if trial.name.startswith("Over"))
    assert "0.49" in strip.reckon
    assert "as far below the table's top as it stands out" in strip.how  # its tip 45 degrees down


def test_what_the_ticket_says_now_stands_beside_the_blank() -> None:
    cloth = jersey()
    assert ticket_says(cloth, "shrinkage", "cm") == "2 % across, 4 % along"
    assert ticket_says(cloth, "weight", "cm") == "240 g/m2"
    assert ticket_says(cloth, "weight", "in") == "7.1 oz/yd2"
    assert ticket_says(None, "stretch", "cm") == ""
    bent = replace(cloth, bending_along=14.02, bending_across=11.5)
    assert ticket_says(bent, "bending length", "cm") == "14 mm along, 11.5 mm across"
    assert ticket_says(bent, "bending length", "in") == "9/16 in along, 7/16 in across"
    assert ticket_says(replace(bent, bending_along=None), "bending length", "cm") == "11.5 mm across"
    bare = settle("knit", 1500.0)
    for key in ("bending length", "stretch", "recovery", "shrinkage", "weight", "thickness"):
        assert ticket_says(bare, key, "cm") == "not stated"
    assert (ticket_says(bare, "nap", "cm"), ticket_says(bare, "surface", "cm")) == ("none", "nothing")


# --- the façade and the command ---


def run(*words: str | Path) -> Result:
    return CliRunner(env={"COLUMNS": "100"}).invoke(main, [str(word) for word in words])


def test_the_command_writes_the_card_of_a_ticket(tmp_path: Path) -> None:
    done = run("card", SKIRT, "-o", tmp_path)
    assert done.exit_code == 0
    assert done.stdout.splitlines() == [str(tmp_path / "cloth-card.pdf")]
    assert [path.name for path in tmp_path.iterdir()] == ["cloth-card.pdf"]
    said = text_of((tmp_path / "cloth-card.pdf").read_bytes())
    assert "navy wool twill" in said
    assert "Concert skirt, soprano-2" in said


def test_without_a_ticket_it_is_blank_on_the_paper_of_its_units(tmp_path: Path) -> None:
    for words, wide in (((), 210.0), (("--units", "in"), 215.9)):
        assert run("card", "-o", tmp_path, *words).exit_code == 0
        with pdfplumber.open(tmp_path / "cloth-card.pdf") as pdf:
            assert pdf.pages[0].width / PT == pytest.approx(wide, abs=0.1)
        assert "The ticket now" not in text_of((tmp_path / "cloth-card.pdf").read_bytes())


def test_a_ticket_that_cannot_be_read_writes_nothing(tmp_path: Path) -> None:
    broken = tmp_path / "t.yaml"
    broken.write_text(SKIRT.read_text("utf-8").replace("width: 150 cm", "width: 150"), "utf-8")
    done = run("card", broken, "-o", tmp_path / "out", "--json")
    assert done.exit_code == 2
    assert json.loads(done.stdout)["exit"] == 2
    assert not (tmp_path / "out").exists()
    assert run("card", tmp_path / "nowhere.yaml", "-o", tmp_path / "out").exit_code == 2


def test_the_recipe_has_no_say_in_it(tmp_path: Path) -> None:
    path = tmp_path / "t.yaml"
    path.write_text(SKIRT.read_text("utf-8").replace("recipe: straight-skirt", "recipe: not-yet-chosen"), "utf-8")
    assert list(card_files(path).files) == ["cloth-card.pdf"]
