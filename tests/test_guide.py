"""The guide as a PDF reader, a screen reader and a cutter meet it."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pikepdf
import pypdf
import pytest
from synthetic import skirt, strap

from onfold.cloth import settle
from onfold.geometry.path import line, polyline
from onfold.guide import GuideFacts, draw_pieces, write_guide
from onfold.guide.cautions import CORDS
from onfold.guide.pictures import FINER, scale_of
from onfold.making.cutting import cutting_order
from onfold.pattern import Edge, Opening, Pattern, Piece
from onfold.problems import Place, problem
from onfold.writers.letters import covered
from onfold.writers.svg import write_svg

HOSTILE = '#panic("x") <script> $a$ *b* @c \\\\ "quoted" \x00\x1b[31m\u202eevil'


def pattern() -> Pattern:
    return replace(skirt(), openings=(Opening("centre back zip", (), 180.0, "zip"),))


def facts(**other: object) -> GuideFacts:
    cloth = settle("woven", 1500.0, name="navy wool twill", fibre=(("wool", 1.0),))
    return replace(GuideFacts("Concert skirt", "soprano-2", "2026-11-25", "cm", cloth), **other)  # type: ignore[arg-type]


def made(of: Pattern, said: GuideFacts, found: tuple[object, ...] = ()) -> bytes:
    drawn = draw_pieces(of, said.units)
    svgs = {name: write_svg(drawing) for name, drawing in drawn.items()}
    return write_guide(of, replace(said, pictures=svgs), found)  # type: ignore[arg-type]


def text_of(data: bytes) -> str:
    pages = pypdf.PdfReader(io.BytesIO(data)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


@pytest.fixture(scope="module")
def guide() -> bytes:
    found = (
        problem(
            "STRIDE", says="The hem is 104.8 cm round.", remedy="Cut the vent 22 cm long.", where=Place(piece="back")
        ),
    )
    return made(pattern(), facts(), found)


def test_it_is_tagged_named_and_in_a_language(guide: bytes) -> None:
    """[S] ISO 14289-1 (PDF/UA-1): tagged, a language, a title that is shown, its own mark in the metadata."""
    with pikepdf.open(io.BytesIO(guide)) as pdf:
        assert bool(pdf.Root.MarkInfo.Marked)
        assert str(pdf.Root.Lang) == "en"
        assert bool(pdf.Root.ViewerPreferences.DisplayDocTitle)
        assert "/StructTreeRoot" in pdf.Root
        with pdf.open_metadata() as meta:
            assert meta["dc:title"] == "Making up: Concert skirt, for soprano-2"
            assert meta["pdfuaid:part"] == "1"
        kinds = [str(each.S) for each in _elements(pdf.Root.StructTreeRoot)]
        assert kinds.count("/Figure") == 4
        assert {"/H1", "/L", "/LI", "/Table", "/TH", "/TD"} <= set(kinds)
        alts = [str(each.Alt) for each in _elements(pdf.Root.StructTreeRoot) if str(each.S) == "/Figure"]
        assert all("one to" in alt and "edges" in alt for alt in alts)
        assert any("centre front on the fold" in alt for alt in alts)


def _elements(node: pikepdf.Object) -> list[pikepdf.Object]:
    found: list[pikepdf.Object] = []
    kids = node.get("/K")
    if kids is None:
        return found
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            found += [kid, *_elements(kid)]
    return found


def test_pieces_allowances_seams_notions_and_cautions_are_said(guide: bytes) -> None:
    said = text_of(guide)
    for words in (
        "Concert skirt",
        "soprano-2",
        "2026-11-25",
        "cut 1 on the fold",
        "cut 2, a mirrored pair",
        "Zip, 1, 18 cm, for the centre back zip",
        "148 cm between the selvages",
        "Match the balance marks and pin across the seam.",
        "Right sides together, straight stitch, 15 mm from the raw edge.",
        "Turn the hem up 40 mm on the line",
        "Interfacing, for back neck facing.",
        "Carry shears closed",
        "Steam and the hot plate burn",
        "trained practice",
        "Cut the vent 22 cm long.",
        "Measures not taken waist to hip (18.5 cm to 22.5 cm).",
    ):
        assert words in said, words
    rows = said[said.index("Allowances") : said.index("The order at a glance")]
    assert "hem 40 mm single turned 40 mm" in rows
    assert "centre front none, fold" in rows


def test_equal_input_gives_equal_bytes_without_a_clock(guide: bytes) -> None:
    found = (
        problem(
            "STRIDE", says="The hem is 104.8 cm round.", remedy="Cut the vent 22 cm long.", where=Place(piece="back")
        ),
    )
    assert made(pattern(), facts(), found) == guide
    info = pypdf.PdfReader(io.BytesIO(guide)).metadata
    assert info is not None
    assert "/CreationDate" not in info


def test_folds_are_cut_first_then_pairs_then_single_pieces_the_longest_first() -> None:
    corners = [((0.0, 0.0), (9.0, 0.0)), ((9.0, 0.0), (9.0, 50.0)), ((9.0, 50.0), (0.0, 0.0))]
    square = tuple(Edge(f"e{n}", line(a, b)) for n, (a, b) in enumerate(corners))
    names = [
        each.name for each in cutting_order(replace(pattern(), pieces=(Piece("tab", square, cut=1), *pattern().pieces)))
    ]
    assert names == ["front", "back", "strap", "tab", "back neck facing"]


def test_one_way_pile_cloth_says_how_it_lies() -> None:
    pile = settle("knit", 1500.0, nap="up", surface=("pile",), stretch_across=0.5)
    said = text_of(made(pattern(), facts(cloth=pile)))
    for words in ("All tops lie to the same end", "chalk an arrow to the top", "never pile to pile"):
        assert words in said
    assert "All tops lie" not in text_of(made(pattern(), facts(cloth=settle("woven", 1500.0))))


def test_a_childs_cords_are_warned_of() -> None:
    assert CORDS in text_of(made(pattern(), facts(figure="child", ties=True)))
    assert "strangle" not in text_of(made(pattern(), facts()))


def test_what_a_maker_writes_is_data_never_markup() -> None:
    wild = replace(
        pattern(),
        title=HOSTILE,
        wearer=HOSTILE,
        recipe=HOSTILE,
        pieces=(replace(strap(), name=HOSTILE, material=HOSTILE),),
        seams=(),
    )
    data = made(wild, facts(title=HOSTILE, wearer=HOSTILE, date=HOSTILE, notions=(HOSTILE,)))
    said = text_of(data)
    assert '#panic("x") <script> $a$ *b* @c' in said.replace("“", '"').replace("”", '"')
    assert "\x1b" not in said
    assert "\u202e" not in said


@pytest.mark.parametrize("name", ["歌手", "🎵", "Ζωή Жанна", "עברית", "e\u0301a", "\ud800", "\ufffe", "नमस्ते", ""])
def test_any_letters_are_printed_or_named(name: str) -> None:
    said = text_of(made(pattern(), facts(wearer=name, title=name)))
    if any(ord(char) not in covered() for char in name if char != "\u0301"):
        lost = next(char for char in name if ord(char) not in covered())
        assert f"U+{ord(lost):04X}" in said
    elif name.isascii() or name[0] == "Ζ":
        assert name in said


def test_the_character_map_is_the_faces_own() -> None:
    from fontTools.ttLib import TTFont

    font = TTFont("onfold/writers/fonts/DejaVuSans.ttf", lazy=True)
    assert covered() == frozenset(font.getBestCmap())


@pytest.mark.parametrize("paper", ["a4", "a0", "Letter", "tabloid", "roll 36 in", "roll 91 cm", "nonsense"])
def test_the_page_is_a4_or_letter(paper: str) -> None:
    units = "in" if "in" in paper.split() else "cm"
    (first, *_) = pypdf.PdfReader(io.BytesIO(made(pattern(), facts(paper=paper, units=units)))).pages
    wide, high = float(first.mediabox.width), float(first.mediabox.height)
    american = paper in ("Letter", "tabloid", "roll 36 in")
    assert (wide, high) == pytest.approx((612, 792) if american else (595.28, 841.89), abs=0.02)


def test_pieces_are_drawn_to_one_scale_with_a_true_tape() -> None:
    """[A] The tape's length on the page, times the scale, is the length written on it; a piece's likewise."""
    for units, per in (("cm", 10.0), ("in", 25.4)):
        drawn = draw_pieces(pattern(), units)
        for name, drawing in drawn.items():
            scale = int(drawing.title.split("one to ")[1].split(":")[0])
            tapes = [each for each in drawing.strokes if each.pen == "furniture"]
            points = np.concatenate([each.path.curves.reshape(-1, 2) for each in tapes])
            length = np.ptp(points[:, 0]) / FINER * scale
            assert length == pytest.approx(float(drawing.words[0].text.split()[0]) * per, rel=1e-9)
            piece = pattern().piece(name)
            assert piece is not None
            assert piece.cut_line is not None
            cut = next(each for each in drawing.strokes if each.pen == "cut").path.curves[:, (0, 3)].reshape(-1, 2)
            assert np.ptp(cut, axis=0) / FINER * scale == pytest.approx(np.ptp(piece.cut_line, axis=0), rel=1e-9)
        assert len({drawing.title.split(":")[0].split("one to ")[1] for drawing in drawn.values()}) == 1


def test_scales_are_round_and_large_enough() -> None:
    assert scale_of([(0, 0, 380.0, 100.0)]) == 10
    assert scale_of([(0, 0, 381.0, 100.0)]) == 12
    assert scale_of([(0, 0, 1.0, 1e5)]) == 1389


def test_broken_pieces_are_listed_without_a_picture() -> None:
    nan = Edge("hem", polyline(np.array([[0.0, 0.0], [np.nan, 1.0]])))
    broken = replace(pattern(), pieces=(*pattern().pieces, Piece("lost", (nan,), cut=1), Piece("empty", ())))
    assert set(draw_pieces(broken, "cm")) == {piece.name for piece in pattern().pieces}
    said = text_of(made(broken, facts()))
    assert "Lost" in said
    assert "Empty" in said
    assert "no cut count given" in said.lower()


def test_a_guide_without_pieces_or_pictures_is_still_a_guide() -> None:
    assert "Concert skirt" in text_of(write_guide(Pattern("r", "t", "w", ()), facts(), ()))
    assert "Cut 1 on the fold" in text_of(write_guide(pattern(), facts(), ()))


def test_a_level_grain_is_stood_up_in_the_picture_and_only_there() -> None:
    """[A] A quarter turn: what was wide is high, the seam lines keep their lengths and stay anticlockwise."""
    from onfold.geometry.path import length
    from onfold.guide.pictures import upright
    from onfold.pattern import Grain

    band = replace(strap(), grain=Grain("straight", (2.0, 5.0), (12.0, 6.0)))
    stood = upright(band)
    assert stood.cut_line is not None
    assert band.cut_line is not None
    assert np.ptp(stood.cut_line, axis=0) == pytest.approx(np.ptp(band.cut_line, axis=0)[::-1])
    assert [length(each.path) for each in stood.edges] == pytest.approx([length(each.path) for each in band.edges])

    def signed(ring: np.ndarray) -> float:
        x, y = ring[:, 0], ring[:, 1]
        return float(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]))

    assert signed(stood.cut_line) == pytest.approx(signed(band.cut_line))
    assert upright(strap()).grain == strap().grain
    assert upright(replace(band, grain=Grain("bias", (0.0, 0.0), (9.0, 1.0)))).grain == Grain(
        "bias", (0.0, 0.0), (9.0, 1.0)
    )
