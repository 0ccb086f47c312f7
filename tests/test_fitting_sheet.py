"""The sheet of a fitting and the list for a try-on: true to scale, nothing on anything else, nothing left out."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pypdf
import pytest

from onfold import open_ticket
from onfold.drawing import PENS, Drawing, Word
from onfold.fitting.change import Change
from onfold.fitting.comparing import Differences, differences
from onfold.fitting.entry import NewFitting
from onfold.fitting.overlay import SCALES, lay_out
from onfold.fitting.sheet import CAUTION_LINES, SheetFacts, fitting_sheet
from onfold.fitting.telling import say_fine, say_pair, tell_differences
from onfold.fitting.try_on import STAGES, Look, TryOnFacts, try_on_pages
from onfold.geometry.path import bounds_of, flatten, length
from onfold.lettering import frame_of
from onfold.pattern import Pattern
from onfold.problems import problem
from onfold.project_fit import Fitted, fit
from onfold.project_fit_files import fit_files

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
STORIES = {
    "more ease": ("soprano-2-skirt", Change({"waist ease": "4 cm"})),
    "longer": ("soprano-2-skirt", Change({"length": "70 cm"})),
    "taped again": ("alto-5-skirt", Change(measures={"hip": "49 in"})),
    "lower": ("alto-1-sheath", Change({"rise": "3 in", "back depth": "5 in"})),
    "a stop": ("alto-1-sheath", Change({"fall": "6 in"})),
    "a dart comes": ("alto-3-velvet-sheath", Change({"side dart": "3 cm"})),
    "nothing": ("soprano-2-skirt", Change()),
    "much at once": (
        "tenor-1-skirt",
        Change({"hem taper": "2 cm", "waist ease": "1 cm", "length": "50 cm"}, measures={"waist": "88 cm"}),
    ),
}


@pytest.fixture(scope="module")
def fitted() -> dict[str, Fitted]:
    found = {}
    for name, (ticket, change) in STORIES.items():
        garment = open_ticket(EXAMPLES / f"{ticket}.yaml")
        found[name] = fit(garment, [NewFitting("2026-12-12", "Seen at the second try-on.", change)])
        assert found[name].drafted
    return found


def found_of(fitted: Fitted) -> Differences:
    assert fitted.differences is not None
    return fitted.differences


def box_of(word: Word) -> tuple[float, float, float, float]:
    frame = frame_of(word)
    return (*frame.min(axis=0).tolist(), *frame.max(axis=0).tolist())


def overlapping(words: tuple[Word, ...]) -> list[tuple[str, str]]:
    boxes = [(word, box_of(word)) for word in words]
    return [
        (one.text, other.text)
        for (one, a), (other, b) in combinations(boxes, 2)
        if min(a[2], b[2]) - max(a[0], b[0]) > 0.05 and min(a[3], b[3]) - max(a[1], b[1]) > 0.05
    ]


def off_the_page(drawing: Drawing) -> list[str]:
    low_x, low_y, high_x, high_y = drawing.box
    return [
        word.text
        for word in drawing.words
        for a, b, c, d in [box_of(word)]
        if a < low_x + 5 or b < low_y + 5 or c > high_x - 5 or d > high_y - 5
    ]


def words_on_lines(drawing: Drawing) -> list[tuple[str, str]]:
    """Words that a piece's line, an arrow or a leader runs through; a leader may touch its own words' edge."""
    boxes = [(word.text, box_of(word)) for word in drawing.words]
    hit = []
    for stroke in drawing.strokes:
        if stroke.layer == "sheet":
            continue
        points = flatten(stroke.path, 0.1)
        steps = np.linspace(0, 1, 40)[:, None]
        x, y = np.concatenate([a + steps * (b - a) for a, b in pairwise(points)]).T
        for text, (a, b, c, d) in boxes:
            if ((x > a + 0.3) & (x < c - 0.3) & (y > b + 0.3) & (y < d - 0.3)).any():
                hit.append((text, stroke.name))
    return hit


@pytest.mark.parametrize("story", STORIES)
@pytest.mark.parametrize("paper", [(297.0, 210.0), (279.4, 215.9), (420.0, 297.0)], ids=["a4", "letter", "a3"])
def test_nothing_lies_on_anything_else(fitted: dict[str, Fitted], story: str, paper: tuple[float, float]) -> None:
    facts = SheetFacts("Concert skirt, soprano-2", "soprano-2", "straight-skirt", "2026-12-12", "A note. " * 12)
    for units in ("cm", "in"):
        sheet = fitting_sheet(found_of(fitted[story]), replace(facts, units=units), paper)
        assert sheet.box == (0.0, 0.0, *paper)
        assert overlapping(sheet.words) == []
        assert off_the_page(sheet) == []
        assert words_on_lines(sheet) == []


def test_a_word_on_a_line_or_a_word_would_be_found() -> None:
    sheet = Drawing((), (Word("one", (20.0, 20.0)), Word("two", (21.0, 20.0))), (0.0, 0.0, 100.0, 100.0))
    assert overlapping(sheet.words) == [("one", "two")]
    assert off_the_page(replace(sheet, box=(0.0, 0.0, 22.0, 100.0)))


@pytest.mark.parametrize("story", [name for name in STORIES if name != "nothing"])
def test_pieces_are_drawn_true_to_a_round_scale(fitted: dict[str, Fitted], story: str) -> None:
    """[A] each line of the sheet, taken times the scale, is as long as its edge; before dashed, after bold."""
    found = found_of(fitted[story])
    overlay = lay_out(found, (10.0, 20.0, 200.0, 190.0), "cm")
    assert overlay.scale in SCALES
    drawn = {stroke.name: stroke for stroke in overlay.strokes if stroke.layer == "seam lines"}
    expected = {}
    for piece in found.changed:
        for when, shape in (("before", piece.before), ("after", piece.after)):
            for edge in shape.edges if shape is not None else ():
                expected[f"{edge.name} of {piece.name} {when}"] = edge
    assert set(drawn) == set(expected)
    for name, stroke in drawn.items():
        assert length(stroke.path) * overlay.scale == pytest.approx(length(expected[name].path), rel=1e-9)
        assert stroke.pen == name.rsplit(" ", 1)[1]
    low_x, low_y, high_x, high_y = bounds_of([stroke.path for stroke in drawn.values()])
    assert low_x >= 10.0 and low_y >= 20.0 and high_x <= 200.0 and high_y <= 190.0
    assert PENS["before"].dash and not PENS["after"].dash
    assert PENS["after"].width > 2 * PENS["before"].width


def test_what_did_not_change_is_drawn_over_what_it_was(fitted: dict[str, Fitted]) -> None:
    overlay = lay_out(found_of(fitted["longer"]), (10.0, 20.0, 200.0, 190.0), "cm")
    lines = {stroke.name: stroke.path.curves for stroke in overlay.strokes}
    assert lines["waist.1 of front before"] == pytest.approx(lines["waist.1 of front after"])
    assert lines["hem of front before"][0, 0, 1] - lines["hem of front after"][0, 0, 1] == pytest.approx(
        80 / overlay.scale
    )


def test_the_figures_are_those_of_the_differences(fitted: dict[str, Fitted]) -> None:
    sheet = fitting_sheet(found_of(fitted["longer"]), SheetFacts(units="cm"))
    said = [word.text for word in sheet.words]
    assert "hem 25 cm" in said
    assert said.count("outward 8 cm") == 3  # two hems and the vent's
    assert "As before" in said and "waistband" in said
    assert not [stroke for stroke in sheet.strokes if "waistband" in stroke.name]
    assert "side: 63.7 → 71.7 cm" in said
    inches = [word.text for word in fitting_sheet(found_of(fitted["longer"]), SheetFacts(units="in")).words]
    assert "side: 25 1/8 → 28 1/4 in" in inches  # [A] 637.5 and 717.5 mm to the eighth


def test_every_story_says_what_came_and_what_is_cured(fitted: dict[str, Fitted]) -> None:
    sheet = fitting_sheet(found_of(fitted["a stop"]), SheetFacts(units="in"))
    text = " ".join(word.text for word in sheet.words)
    assert "New problems" in text
    assert "stop: A fall of 6 in is out of reach" in text
    for line in CAUTION_LINES:
        assert " ".join(line.split()) in text
    assert "No piece is different." in [w.text for w in fitting_sheet(found_of(fitted["nothing"]), SheetFacts()).words]


def test_a_page_holds_even_a_long_note_and_many_problems(fitted: dict[str, Fitted]) -> None:
    many = tuple(
        problem(
            "SEAM-LENGTH", says=f"Seam {chr(65 + n)}: the two sides differ. Walk them again, and true the end. " * 3
        )
        for n in range(26)
    )
    found = replace(found_of(fitted["much at once"]), gained=many, cured=many[:9])
    facts = SheetFacts(
        "A very long title " * 9, "w" * 90, "r", "2026-12-12", "Drags at the back. " * 100, changes=("a",) * 30
    )
    sheet = fitting_sheet(found, facts)
    assert overlapping(sheet.words) == []
    assert off_the_page(sheet) == []
    text = " ".join(word.text for word in sheet.words)
    assert "and 25 more" in text or "and 23 more" in text
    assert "Every figure stands in fitting.json." in text
    assert CAUTION_LINES[-1].split(",")[0] in text


def test_files_are_read_by_outside_readers(fitted: dict[str, Fitted]) -> None:
    for name, each in fitted.items():
        files = fit_files(each)
        assert list(files) == ["fitting.json", "fitting.svg", "fitting.pdf", "try-on.pdf"]
        assert fit_files(each) == files  # equal input, equal bytes
        ET.fromstring(files["fitting.svg"].decode())
        (page,) = pypdf.PdfReader(io.BytesIO(files["fitting.pdf"])).pages
        text = page.extract_text()
        assert "Cautions" in text
        assert "2026-12-12" in text
        if name != "nothing":
            assert "1 : " in text
            assert "What is changed" in text
        assert float(page.mediabox.width) > float(page.mediabox.height)


# --- words ---


def test_lengths_before_and_after_share_their_unit() -> None:
    assert say_pair(812.0, 802.0, "cm") == "81.2 → 80.2 cm"
    assert say_pair(812.0, 812.0, "cm") == "81.2 cm"
    assert say_pair(812.0, 812.3, "cm") == "812 → 812.3 mm"
    assert say_pair(812.8, 825.5, "in") == "32 → 32 1/2 in"
    assert say_pair(812.8, 813.6, "in") == "32 → 32 1/16 in"
    assert say_pair(812.8, 813.2, "in") == "32 → 32 1/32 in"
    assert say_pair(None, 100.0, "cm") == "new: 10 cm"
    assert say_pair(100.0, None, "cm") == "gone: 10 cm"
    assert (say_fine(5.26, "cm"), say_fine(16.0, "cm"), say_fine(80.0, "cm")) == ("5.3 mm", "16 mm", "8 cm")
    assert (say_fine(1.6, "in"), say_fine(0.7, "in")) == ("1/16 in", "1/32 in")


def test_the_telling_leaves_no_changed_edge_out(fitted: dict[str, Fitted]) -> None:
    for each in fitted.values():
        found = found_of(each)
        told = {one.heading: " ".join(one.lines) for one in tell_differences(found, "cm")}
        for piece in found.changed:
            for edge in piece.edges:
                assert edge.name in told[piece.name]


# --- the list for a try-on ---


def rows(pages: tuple[Drawing, ...]) -> list[str]:
    return [word.text for page in pages for word in page.words]


def test_the_list_is_in_the_order_in_which_fittings_are_read() -> None:
    """[C] T184: balance and grain, shoulder and neck or waist, bust and darts, girths, armhole, lengths, hem, seams."""
    stages = [look.stage for look in STAGES]
    first = ("Balance", "Shoulder", "Bust", "Side seams", "Armhole", "Lengths", "Hem", "Seams walked")
    assert [stage.startswith(word) for stage, word in zip(stages, first, strict=True)] == [True] * 8
    (page,) = try_on_pages(STAGES, TryOnFacts("Concert skirt", "alto-1", ("waist 74.4 cm",), ("2026-10-12: tight.",)))
    said = rows((page,))
    places = [said.index(look.name) for look in STAGES]
    assert places == sorted(places)
    assert sum(stroke.name.startswith("tick: ") for stroke in page.strokes) == len(STAGES)
    assert said.count("seen") >= len(STAGES)
    for text in ("waist 74.4 cm", "2026-10-12: tight.", "Cautions"):
        assert text in said


@pytest.mark.parametrize("count", [0, 1, 8, 20, 21, 22, 60])
@pytest.mark.parametrize("paper", [(210.0, 297.0), (215.9, 279.4)])
def test_any_number_of_things_to_look_at(count: int, paper: tuple[float, float]) -> None:
    looks = [
        Look(f"Stage {n // 7}", f"Observation {n}", "How to look for it, from the side and from behind. " * (n % 4))
        for n in range(count)
    ]
    facts = TryOnFacts("A title " * 20, "alto-1", ("hip 1 m",) * 12, ("An earlier fitting. " * 5,) * 3)
    pages = try_on_pages(looks, facts, paper)
    said = rows(pages)
    assert [said.count(look.name) for look in looks] == [1] * count
    assert sum(stroke.name.startswith("tick: ") for page in pages for stroke in page.strokes) == count
    for number, page in enumerate(pages, start=1):
        assert overlapping(page.words) == []
        assert off_the_page(page) == []
        assert f"page {number} of {len(pages)}" in rows((page,))
    text = " ".join(said)
    for line in CAUTION_LINES:
        assert line in text


def test_a_pattern_without_pieces_has_a_sheet_too() -> None:
    bare = Pattern("r", "r", "w", ())
    sheet = fitting_sheet(differences(bare, bare), SheetFacts())
    assert "No piece is different." in rows((sheet,))
