"""The PDF file read back by four readers that are not ours: pikepdf, pdfplumber, pypdf, pypdfium2."""

from __future__ import annotations

import io
import subprocess
import sys
from itertools import pairwise

import numpy as np
import pdfplumber
import pikepdf
import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onfold.drawing import Drawing, Stroke, Word
from onfold.geometry.path import cubic, joined, line, polyline
from onfold.sheets import SheetFacts, pattern_pdf, read_paper
from onfold.writers.font import printable, width_of
from onfold.writers.pdf import Page, Window, write_pdf
from onfold.writers.png import pdf_to_png
from tests.synthetic import many_pieces, skirt

MM = 25.4 / 72


def named_paths(data: bytes) -> dict[str, list[list[tuple[float, float]]]]:
    """Every stroke that carries a name, mm: its points in order (ends of lines, all four of curves)."""
    found: dict[str, list[list[tuple[float, float]]]] = {}
    with pikepdf.open(io.BytesIO(data)) as pdf:
        streams = [page.obj for page in pdf.pages]
        forms = {o.objgen: o for page in pdf.pages for o in page.obj.Resources.get("/XObject", {}).values()}
        for stream in [*streams, *forms.values()]:
            name, points, matrix = "", [], []
            for operands, operator in pikepdf.parse_content_stream(stream):
                op, values = str(operator), operands
                if op == "BDC" and str(values[0]) == "/Onfold":
                    name, points = str(values[1].Name), []
                elif op == "EMC" and name:
                    found.setdefault(name, []).append(points)
                    name = ""
                elif op == "cm":
                    matrix.append([float(v) for v in values])
                elif name and op in {"m", "l", "c"}:
                    flat = [float(v) * MM for v in values]
                    points += list(zip(flat[::2], flat[1::2], strict=True))
                elif name and op in {"s", "h", "b"}:
                    points.append(points[0])
            assert all(m[:4] == [1, 0, 0, 1] for m in matrix), "something is scaled"
    return found


def facts(paper: str = "a4", **more: object) -> SheetFacts:
    return SheetFacts(title="Concert skirt", wearer="soprano-2", date="2026-11-02", paper=read_paper(paper), **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("paper", ["a4", "letter", "a0", "roll 36 in"])
def test_the_square_is_one_closed_path_of_100_mm_by_two_readers(paper: str) -> None:
    data = pattern_pdf(skirt(), facts(paper))
    (square,) = named_paths(data)["100 mm square"]
    sides = [np.hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(square)]
    assert len(sides) == 4
    assert sides == pytest.approx([100.0] * 4, abs=0.001)

    with pdfplumber.open(io.BytesIO(data)) as pdf:
        page = pdf.pages[0]
        boxes = [
            r
            for r in page.rects + page.curves
            if abs(r["width"] * MM - 100) < 0.5 and abs(r["height"] * MM - 100) < 0.5
        ]
    assert len(boxes) == 1
    assert boxes[0]["width"] * MM == pytest.approx(100.0, abs=0.001)
    assert boxes[0]["height"] * MM == pytest.approx(100.0, abs=0.001)


def test_the_three_rulers_are_exact_and_apart() -> None:
    paths = named_paths(pattern_pdf(skirt(), facts()))
    (a, b), (c, d) = paths["200 mm line"][0], paths["6 inch ruler"][0]
    assert np.hypot(b[0] - a[0], b[1] - a[1]) == pytest.approx(200.0, abs=0.001)
    assert np.hypot(d[0] - c[0], d[1] - c[1]) == pytest.approx(152.4, abs=0.001)
    boxes = [np.array(paths[name][0]) for name in ("100 mm square", "200 mm line", "6 inch ruler")]
    for at, one in enumerate(boxes):
        for other in boxes[at + 1 :]:
            gap = np.maximum(one.min(axis=0) - other.max(axis=0), other.min(axis=0) - one.max(axis=0)).max()
            assert gap > 5.0


def test_page_boxes_are_the_papers_exactly() -> None:
    for paper, size in (("a4", (210.0, 297.0)), ("letter", (215.9, 279.4)), ("a0", (841.0, 1189.0))):
        with pikepdf.open(io.BytesIO(pattern_pdf(skirt(), facts(paper)))) as pdf:
            for page in pdf.pages:
                box = sorted(float(v) * MM for v in page.mediabox)[2:]
                assert box == pytest.approx(sorted(size), abs=1e-4)


def test_named_seam_lines_give_the_drafted_measures() -> None:
    """Hip level and hem of the made-up skirt are 262 mm wide, its fold 620 [A: so drawn in tests/synthetic.py]."""
    paths = named_paths(pattern_pdf(skirt(), facts()))

    def run(name: str) -> float:
        points = paths[name][0]
        return sum(np.hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points))

    assert run("hip level of front") == pytest.approx(262.0, abs=0.001)
    assert run("hem of front") == pytest.approx(262.0, abs=0.001)
    fold = paths["centre front of front"][0]
    assert fold[0][1] - fold[-1][1] == pytest.approx(620.0 + 40.0 + 10.0, abs=0.2)  # to the cut line at both ends


def test_curves_stay_curves() -> None:
    bent = cubic((0, 0), (10, 30), (40, 30), (50, 0))
    data = write_pdf(
        [Page(60, 40, own=Drawing((Stroke(bent, "seam", "seam lines", name="bent"),), (), (0, 0, 60, 40)))]
    )
    assert named_paths(data)["bent"] == [[pytest.approx(p, abs=1e-4) for p in ((0, 0), (10, 30), (40, 30), (50, 0))]]
    with pikepdf.open(io.BytesIO(data)) as pdf:
        operators = [str(op) for _, op in pikepdf.parse_content_stream(pdf.pages[0])]
    assert operators.count("c") == 1
    assert "l" not in operators


def test_one_form_holds_the_sheet_for_all_tiles() -> None:
    with pikepdf.open(io.BytesIO(pattern_pdf(many_pieces(), facts()))) as pdf:
        forms = {o.objgen for page in pdf.pages for o in page.obj.Resources.get("/XObject", {}).values()}
        assert len(pdf.pages) > 40
        assert len(forms) == 1


def test_layers_can_be_switched_and_nothing_is_scaled_by_the_viewer() -> None:
    with pikepdf.open(io.BytesIO(pattern_pdf(skirt(), facts(), hidden=("sheet",)))) as pdf:
        root = pdf.Root
        names = {str(group.Name) for group in root.OCProperties.OCGs}
        assert names == {"cut lines", "seam lines", "fold lines", "grain lines", "levels", "marks", "words", "sheet"}
        assert [str(group.Name) for group in root.OCProperties.D.OFF] == ["sheet"]
        assert root.ViewerPreferences.PrintScaling == "/None"
        assert str(root.Lang) == "en"
        assert pdf.check_pdf_syntax() == []
        assert pdf.docinfo["/Title"] == "Concert skirt, soprano-2"
        assert str(pdf.docinfo["/CreationDate"]) == "D:20261102"
    for _ in pypdf.PdfReader(io.BytesIO(pattern_pdf(skirt(), facts())), strict=True).pages:
        pass


def test_words_can_be_searched_also_those_the_face_lacks() -> None:
    said = "Ζωή Ŵałęsa 漢字 ﷽ soprano-2"
    sheet = Drawing((), (Word(said, (10, 10)), Word("bold " + said, (10, 20), bold=True)), (0, 0, 200, 30))
    data = write_pdf([Page(200, 30, own=sheet)], title=said)
    for text in (pypdf.PdfReader(io.BytesIO(data)).pages[0].extract_text(), pdf_text(data)):
        for part in ("Ζωή", "Ŵałęsa", "漢字", "soprano-2", "bold"):
            assert part in text
    assert pypdf.PdfReader(io.BytesIO(data)).metadata.title == said


def pdf_text(data: bytes) -> str:
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        return "\n".join(page.extract_text() for page in pdf.pages)


def test_capitals_have_the_height_that_was_asked_for() -> None:
    """A word of 10 mm, read from the picture: its capital H is 10 mm high and as wide as the face says."""
    data = write_pdf([Page(60, 40, own=Drawing((), (Word("HHH", (5, 10), 10.0),), (0, 0, 60, 40)))])
    picture = pdf_to_png(data, 0, 254)
    from PIL import Image

    dark = np.asarray(Image.open(io.BytesIO(picture)).convert("L")) < 128
    rows, columns = np.nonzero(dark.any(axis=1))[0], np.nonzero(dark.any(axis=0))[0]
    assert len(rows) / 10 == pytest.approx(10.0, abs=0.15)
    # Side bearings stand before the first and after the last letter: 201 of 2048 units each, 1493 to a capital.
    inked = width_of("HHH", 10.0) - 2 * 201 / 1493 * 10.0
    assert (columns.max() - columns.min() + 1) / 10 == pytest.approx(inked, abs=0.2)


def test_the_same_pattern_gives_the_same_bytes_in_another_process() -> None:
    code = (
        "import hashlib; from tests.test_writers_pdf import *; "
        "print(hashlib.sha256(pattern_pdf(skirt(), facts('a3'))).hexdigest())"
    )
    seen = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": "."},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(seen) == 1


@settings(max_examples=60, deadline=None)
@given(st.lists(st.text(st.characters(exclude_categories=()), max_size=30), min_size=1, max_size=4), st.booleans())
def test_no_text_breaks_the_file(texts: list[str], bold: bool) -> None:
    words = tuple(Word(text, (5, 5 + 6 * at), bold=bold) for at, text in enumerate(texts))
    path = line((0, 0), (10, 10))
    strokes = tuple(Stroke(path, "cut", "cut lines", name=text) for text in texts)
    data = write_pdf(
        [Page(100, 60, own=Drawing(strokes, words, (0, 0, 100, 60)))], title=texts[0], date=texts[0], language="en"
    )
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert pdf.check_pdf_syntax() == []
        list(pikepdf.parse_content_stream(pdf.pages[0]))
    assert pdf_to_png(data, 0, 30).startswith(b"\x89PNG")
    assert all(ord(char) >= 32 and not "\ud800" <= char <= "\udfff" for text in texts for char in printable(text))


def test_strokes_without_numbers_are_left_out_and_the_rest_kept() -> None:
    bad = joined((line((0, 0), (float("nan"), 1)), line((1, 1), (2, 2))))
    good = polyline(((0, 0), (5, 0), (5, 5), (0, 0)))
    sheet = Drawing(
        (Stroke(bad, "cut", "cut lines", name="bad"), Stroke(good, "cut", "cut lines", True, name="good")),
        (),
        (0, 0, 9, 9),
    )
    paths = named_paths(write_pdf([Page(9, 9, windows=(Window(sheet, sheet.box, (0, 0)),))]))
    assert list(paths) == ["good"]
    assert len(paths["good"][0]) == 4
