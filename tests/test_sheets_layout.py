"""Papers, packing, tiles and the words on the sheets."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon, STRtree
from shapely.affinity import rotate, translate

from onfold.drawing import Drawing, Word
from onfold.geometry.path import Path, flatten, line
from onfold.pattern import Grain, Inner, Mark, Notch, Pattern, Piece, Taken
from onfold.problems import Problem
from onfold.sheets import PAPERS, Paper, SheetFacts, pattern_pdf, read_paper, tile
from onfold.sheets.grid import letter
from onfold.sheets.layout import pack
from onfold.sheets.legend import paragraph
from onfold.sheets.opened import cut_runs, opened
from onfold.sheets.piece_drawing import draw_piece
from onfold.sheets.tiles import piece_drawings
from onfold.units import say_small
from onfold.writers.font import width_of
from tests.synthetic import many_pieces, skirt


def facts(paper: str = "a4", **more: object) -> SheetFacts:
    return SheetFacts(title="Concert skirt", wearer="soprano-2", date="2026-11-02", paper=read_paper(paper), **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("said", "size"),
    [
        ("a4", (210.0, 297.0)),  # [S] ISO 216
        (" A0 ", (841.0, 1189.0)),  # [S] ISO 216
        ("Letter", (215.9, 279.4)),  # [A] 8 1/2 by 11 in
        ("tabloid", (279.4, 431.8)),  # [A] 11 by 17 in
    ],
)
def test_papers_by_name(said: str, size: tuple[float, float]) -> None:
    paper = read_paper(said)
    assert isinstance(paper, Paper)
    assert (paper.width, paper.height) == size


@pytest.mark.parametrize(
    ("said", "width"), [("roll 91 cm", 910.0), ("Roll  36 in", 914.4), ("roll 3 ft", 914.4), ("roll 35 1/2 in", 901.7)]
)
def test_rolls_by_width(said: str, width: float) -> None:
    paper = read_paper(said)
    assert isinstance(paper, Paper)
    assert paper.roll
    assert paper.width == pytest.approx(width)


@pytest.mark.parametrize(
    "said",
    ["", "a5", "roll", "roll 91", "roll 3 cm", "roll 99 m", "roll 20 %", "roll -91 cm", "\x00", "a4 a4", "x" * 10_000],
)
def test_other_papers_are_a_problem_that_says_what_to_write(said: str) -> None:
    found = read_paper(said)
    assert isinstance(found, Problem)
    assert found.severity == "stop"
    assert "roll 91 cm" in found.remedy
    assert "\x00" not in found.says
    assert len(found.says) < 200


def test_row_and_column_letters_never_run_into_one_another() -> None:
    names = [letter(row) + letter(column) for row in range(60) for column in range(60)]
    assert len(set(names)) == len(names)
    assert [letter(at) for at in (0, 25, 26, 51, 52)] == ["A", "Z", "Aa", "Az", "Ba"]


@settings(max_examples=80, deadline=None)
@given(st.lists(st.tuples(st.floats(1, 900), st.floats(1, 900)), min_size=1, max_size=14), st.floats(50, 2000))
def test_packed_boxes_never_overlap(sizes: list[tuple[float, float]], width: float) -> None:
    places = pack(sizes, width, gap=8.0)
    boxes = [(x, y, x + w, y + h) for (x, y), (w, h) in zip(places, sizes, strict=True)]
    for at, one in enumerate(boxes):
        assert one[0] >= 0
        assert one[1] >= 0
        assert one[2] <= max(width, one[2] - one[0]) + 1e-6
        for other in boxes[at + 1 :]:
            apart = max(one[0] - other[2], other[0] - one[2], one[1] - other[3], other[1] - one[3])
            assert apart >= 8.0 - 1e-6


def _frame(word: Word) -> Polygon:
    """The capitals of a word as a rectangle, by our own turning."""
    width = width_of(word.text, word.size, word.bold)
    start = {"start": 0.0, "middle": -width / 2, "end": -width}[word.anchor]
    flat = Polygon([(start, 0), (start + width, 0), (start + width, word.size), (start, word.size)])
    return translate(rotate(flat, word.angle, origin=(0, 0)), *word.at)


def _clashes(drawing: Drawing) -> list[str]:
    frames = [_frame(word) for word in drawing.words]
    found = [
        f"'{drawing.words[i].text}' on '{drawing.words[j].text}'"
        for i, one in enumerate(frames)
        for j in range(i + 1, len(frames))
        if one.intersects(frames[j])
    ]
    lines = [LineString(np.asarray(flatten(stroke.path))) for stroke in drawing.strokes]
    tree = STRtree(lines)
    for word, frame in zip(drawing.words, frames, strict=True):
        crossed = [drawing.strokes[at] for at in tree.query(frame, predicate="intersects")]
        found += [f"'{word.text}' crosses {stroke.name or stroke.pen}" for stroke in crossed]
    return found


@pytest.mark.parametrize("scale", [0.5, 0.8, 1.0, 1.3])
@pytest.mark.parametrize("whole", [False, True])
def test_no_words_lie_on_one_another_or_on_a_line(scale: float, whole: bool) -> None:
    pattern = skirt(scale)
    for piece in pattern.pieces:
        drawing = draw_piece(piece, pattern, facts(), whole=whole and piece.on_fold)
        assert _clashes(drawing) == []
        assert min(word.size for word in drawing.words) >= 2.0


def test_a_piece_too_small_for_its_label_has_it_beside_with_a_leader() -> None:
    strap = skirt().pieces[2]
    tiny = replace(
        strap,
        edges=tuple(replace(e, path=Path(e.path.curves * np.array((0.9, 0.06)), e.path.straight)) for e in strap.edges),
        cut_line=strap.cut_line * np.array((0.9, 0.06)),
        grain=None,
    )
    drawing = draw_piece(tiny, replace(skirt(), pieces=(tiny,)), facts())
    assert any("strap" in word.text for word in drawing.words)
    assert any(stroke.pen == "furniture" for stroke in drawing.strokes)
    assert all(drawing.box[0] <= word.at[0] <= drawing.box[2] for word in drawing.words)
    assert _clashes(drawing) == []


def test_the_fold_is_not_drawn_as_a_cut() -> None:
    front = skirt().pieces[0]
    (run,) = cut_runs(front)
    on_fold = (np.abs(run[:-1, 0]) < 0.02) & (np.abs(run[1:, 0]) < 0.02)
    assert not on_fold.any()
    assert abs(run[0, 0]) < 1e-6
    assert abs(run[-1, 0]) < 1e-6


def test_an_opened_piece_is_the_half_and_its_mirror() -> None:
    front = skirt().pieces[0]
    whole, half = Polygon(opened(front).cut_line), Polygon(front.cut_line)
    assert whole.is_valid
    assert whole.area == pytest.approx(2 * half.area, rel=1e-9)
    assert whole.bounds[0] == pytest.approx(-whole.bounds[2])


def test_pieces_cut_in_one_layer_are_printed_whole_alone_with_the_wearers_sides() -> None:
    """A half beside its whole would be cut as well: two fronts."""
    asked = facts(one_layer=frozenset({"front"}))
    drawn = piece_drawings(skirt(), asked)
    assert len(drawn) == len(piece_drawings(skirt(), facts()))
    (front,) = [each for each in drawn if each.title.startswith("front")]
    said = " ".join(word.text for word in front.words)
    assert said.count("cut 1") == said.count("cut 1 in one layer") == 1
    assert "fold" not in said
    assert front.size[0] > 1.9 * draw_piece(skirt().pieces[0], skirt(), facts()).size[0]
    told = [word.text for page in tile(skirt(), asked).pages if page.own is not None for word in page.own.words]
    assert told.count("cut 1 in one layer") == 1
    assert "wearer's left" in _words(pattern_pdf(skirt(), facts(one_layer=frozenset({"front"}))))
    front, back = skirt().pieces[:2]
    for piece, side in ((front, "wearer's left"), (back, "wearer's right")):
        drawing = draw_piece(piece, skirt(), facts(), whole=True)
        (word,) = [word for word in drawing.words if word.text == side]
        assert word.at[0] > 0  # the drafted half of a piece, right side up, has x above 0


def _words(data: bytes) -> str:
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        return "\n".join(page.extract_text() for page in pdf.pages)


@pytest.mark.parametrize("paper", [*PAPERS, "roll 91 cm"])
def test_every_page_says_for_whom_what_when_on_what_and_what_was_not_taped(paper: str) -> None:
    pattern = skirt()
    tiles = tile(pattern, facts(paper))
    for page in tiles.pages:
        # The sheet's own words are on every page's form, seen or clipped away: only the page's own are asked here.
        assert page.own is not None
        text = " ".join(word.text for word in page.own.words)
        for said in ("Concert skirt", "soprano-2", "2026-11-02", tiles_paper(paper), "not taped: waist to hip"):
            assert said in text
    with pdfplumber.open(io.BytesIO(pattern_pdf(pattern, facts(paper)))) as pdf:
        assert len(pdf.pages) == len(tiles.pages)
        if len(tiles.grid.tiles) > 1:
            for name, shown in zip(tiles.grid.tiles, pdf.pages[tiles.covers :], strict=True):
                assert f"tile {tiles.grid.name(name)}" in shown.extract_text()


def tiles_paper(paper: str) -> str:
    found = read_paper(paper)
    assert isinstance(found, Paper)
    return found.name


def test_neighbours_carry_the_same_numbers() -> None:
    tiles = tile(skirt(), facts())
    grid = tiles.grid
    numbers: dict[tuple[int, int], set[str]] = {}
    for at, page in zip(grid.tiles, tiles.pages[tiles.covers :], strict=True):
        assert page.own is not None
        numbers[at] = {word.text for word in page.own.words if word.text.isdigit()}
    for row, column in grid.tiles:
        for beside in ((row, column + 1), (row + 1, column)):
            if beside in numbers:
                assert len(numbers[row, column] & numbers[beside]) == 1


def test_no_fewer_tiles_can_be_had_than_the_area_asks_and_few_more_are_used() -> None:
    """[A] The window's area bounds the count from below; the pieces' boxes laid out naively bound it from above."""
    for pattern in (skirt(), many_pieces(6)):
        drawings = [draw_piece(piece, pattern, facts()) for piece in pattern.pieces]
        tiles = tile(pattern, facts())
        step_x, step_y = tiles.grid.step
        naive = sum(-(-d.size[0] // step_x) * -(-d.size[1] // step_y) for d in drawings)
        least = sum(Polygon(p.cut_line).area for p in pattern.pieces) / (tiles.grid.width * tiles.grid.height)
        assert least < len(tiles.grid.tiles) <= naive


def test_long_lists_and_odd_names_are_carried_whole() -> None:
    many = {f"measure number {at}": Taken(100.0, True, (90.0, 110.0)) for at in range(30)}
    pattern: Pattern = replace(skirt(), wearer="Zoë Ωmega 漢字", measures=many, title="A very long title " * 9)
    text = _words(pattern_pdf(pattern, SheetFacts(paper=PAPERS["a4"]))).replace("\n", " ")
    assert "漢字" in text
    assert all(f"number {at}" in text for at in range(30))


def test_a_pattern_without_pieces_or_lines_still_prints() -> None:
    empty = replace(skirt(), pieces=(), seams=())
    bare = replace(skirt(), pieces=(Piece("nothing", ()),), seams=())
    for pattern in (empty, bare):
        assert "Concert skirt" in _words(pattern_pdf(pattern, facts()))


def test_forty_five_tiles_and_more_stay_below_100_kb() -> None:
    pattern = many_pieces(10)
    tiles = tile(pattern, facts())
    assert len(tiles.grid.tiles) >= 45
    assert len(pattern_pdf(pattern, facts())) <= 100_000


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_no_piece_however_odd_breaks_the_sheets(data: st.DataObject) -> None:
    """Pieces that lost parts, flat or tiny ones, marks and notches off the piece: a sheet comes out."""
    front = data.draw(st.sampled_from(skirt().pieces))
    scale = np.array((data.draw(st.sampled_from((0.0, 0.01, 0.2, 1.0))), data.draw(st.sampled_from((0.005, 0.3, 1.0)))))
    edges = tuple(replace(edge, path=Path(edge.path.curves * scale, edge.path.straight)) for edge in front.edges)
    kept = data.draw(st.lists(st.sampled_from(edges), min_size=1, max_size=len(edges), unique_by=lambda e: e.name))
    ring = None if data.draw(st.booleans()) or front.cut_line is None else front.cut_line * scale
    odd = replace(
        front,
        name=data.draw(st.text(max_size=60)),
        label=data.draw(st.text(max_size=60)),
        material=data.draw(st.sampled_from(("main", "lining", ""))),
        edges=tuple(kept),
        cut=data.draw(st.integers(0, 5)),
        cut_line=ring,
        grain=data.draw(
            st.sampled_from((None, front.grain, Grain("bias", (5.0, 5.0), (5.0, 5.0)), Grain("cross", (0, 9), (60, 9))))
        ),
        notches=(
            *front.notches,
            Notch("no such edge", 5.0, (0.0, 0.0)),
            Notch(kept[0].name, 1e6, (-5.0, 3.0), "double"),
        ),
        marks=(*front.marks, Mark("strap", "", (9999.0, -50.0))),
    )
    pattern = replace(skirt(), pieces=(odd,))
    said = facts(data.draw(st.sampled_from(("a4", "roll 91 cm"))), one_layer=data.draw(st.booleans()), one_way=True)
    assert pattern_pdf(pattern, said).startswith(b"%PDF")


def test_numbers_that_are_none_leave_a_piece_out_not_the_sheet() -> None:
    front, *rest = skirt().pieces
    hem = front.edges[0]
    bad = replace(front, edges=(replace(hem, path=Path(hem.path.curves * np.nan, hem.path.straight)),))
    tiles = tile(replace(skirt(), pieces=(bad, *rest)), facts())
    assert not any("of front" in stroke.name for stroke in tiles.sheet.strokes)
    assert any("of back" in stroke.name for stroke in tiles.sheet.strokes)


def test_a_legend_too_long_for_the_sheet_takes_pages_of_its_own() -> None:
    seams = tuple(replace(skirt().seams[0], name=f"seam {at}") for at in range(300))
    for paper in ("a4", "a2", "a0"):
        pattern = replace(skirt(), seams=seams)
        tiles = tile(pattern, facts(paper))
        assert tiles.covers >= 1
        text = _words(pattern_pdf(pattern, facts(paper)))
        assert all(f"seam {at}" in text for at in range(300))
        for page in tiles.pages[: tiles.covers]:
            assert page.own is not None
            assert min(word.at[1] for word in page.own.words) > 5.0


@pytest.mark.parametrize("width", [14.0, 20.0, 32.0, 50.0])
def test_a_length_on_the_sheet_is_never_broken_over_two_lines(width: float) -> None:
    rows = [word.text for word in paragraph("", ("let out 31 5/8 in at the side, 117.3 cm round",), width).words]
    assert " ".join(rows) == "let out 31 5/8 in at the side, 117.3 cm round"
    for length in ("31 5/8 in", "117.3 cm"):
        assert sum(length in row for row in rows) == 1, rows


def test_levels_end_at_the_seam_line_run_on_over_darts_and_are_dropped_off_the_piece() -> None:
    front = skirt().pieces[0]
    wide = Inner("level", "hip", line((0.0, 415.0), (400.0, 415.0)))
    over_dart = Inner("level", "high hip", line((0.0, 560.0), (400.0, 560.0)))
    above = Inner("level", "bust", line((0.0, 900.0), (300.0, 900.0)))
    piece = replace(front, inner=(wide, over_dart, above))
    drawn = {
        stroke.name: stroke.path for stroke in draw_piece(piece, skirt(), facts()).strokes if stroke.pen == "level"
    }
    assert set(drawn) == {"hip level of front", "high hip level of front"}
    seam = Polygon(np.concatenate([np.asarray(flatten(edge.path)) for edge in front.edges]))
    for name, y in (("hip level of front", 415.0), ("high hip level of front", 560.0)):
        crossed = seam.intersection(LineString([(-1.0, y), (500.0, y)]))
        path = np.asarray(flatten(drawn[name]))
        assert path[0, 0] == pytest.approx(0.0, abs=1e-6)
        assert path[-1, 0] == pytest.approx(crossed.bounds[2], abs=0.03)
        assert len(path) == 2


def test_inches_are_said_on_the_sheet_as_the_guide_says_them() -> None:
    """15, 10 and 40 mm to the nearest sixteenth are 9/16, 3/8 and 1 9/16 in [A]; eighths gave 5/8 and 1 5/8."""
    drawing = draw_piece(skirt().pieces[0], skirt(), facts(units="in"))
    said = {word.text for word in drawing.words}
    assert {f"side {say_small(15.0, 'in')}", f"waist {say_small(10.0, 'in')}", f"hem {say_small(40.0, 'in')}"} <= said
    assert "side 9/16 in" in said
