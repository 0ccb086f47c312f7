"""Given a seam with an inlay for fitting, what is cut, what is sewn, where it is tacked, and what is said of it."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from onfold import construction as sewn
from onfold import open_ticket
from onfold.construction import CONSTRUCTIONS, Finish, FinishFault, read_finish
from onfold.geometry.path import flatten
from onfold.geometry.region import area
from onfold.pattern import Piece
from onfold.project import Garment
from onfold.sheets.piece_lines import piece_strokes
from onfold.shelf.schema import ticket_schema

SKIRT = Path(__file__).resolve().parent.parent / "examples" / "soprano-2-skirt.yaml"
INCH = 25.4
SEAMS = sorted(each.name for each in CONSTRUCTIONS.values() if sewn.takes_inlay(each))


def read(text: str) -> Finish:
    finish = read_finish(text)
    assert isinstance(finish, Finish), finish
    return finish


def fault(text: str) -> FinishFault:
    found = read_finish(text)
    assert isinstance(found, FinishFault), found
    return found


# --- read and reckoned ---


@pytest.mark.parametrize(
    ("text", "uses", "inlay"),
    [
        ("plain 15 mm, inlay 25 mm", 15.0, 25.0),
        ("french 10 mm, first row 6 mm, trim 3 mm, inlay 2 cm", 10.0, 20.0),
        ("overlocked 7 mm with inlay 25 mm", 7.0, 25.0),
        ("felled 5/8 in, inlay 1 in", 5 / 8 * INCH, INCH),
        ("lapped zip 20 mm, inlay 20 mm", 20.0, 20.0),
        ("raw 0 mm, inlay 3/4 in", 0.0, 0.75 * INCH),
        ("bound 10 mm, inlay of 2,5 cm", 10.0, 25.0),
    ],
)
def test_what_is_cut_is_what_is_sewn_and_the_inlay(text: str, uses: float, inlay: float) -> None:
    """Allowance = uses + inlay [A]: both are measured outward from one net line."""
    finish = read(text)
    assert (finish.uses, finish.inlay) == (pytest.approx(uses), pytest.approx(inlay))
    assert finish.allowance == pytest.approx(uses + inlay)
    assert finish.kept == pytest.approx(uses)
    assert sewn.rows_add_up(finish)


@given(st.sampled_from(SEAMS), st.floats(8, 60), st.floats(0, 80))
def test_an_inlay_changes_the_cut_alone(kind: str, width: float, inlay: float) -> None:
    """Rows, trims, turns and give are as without it [A]: they belong to the edge that is left."""
    bare, wide = read(f"{kind} {width:.2f} mm"), read(f"{kind} {width:.2f} mm, inlay {inlay:.2f} mm")
    assert (wide.rows, wide.trims, wide.turns, wide.uses) == (bare.rows, bare.trims, bare.turns, bare.uses)
    assert (wide.give, wide.give_of_cloth, wide.stitch) == (bare.give, bare.give_of_cloth, bare.stitch)
    assert wide.allowance == pytest.approx(bare.allowance + round(inlay, 2))
    if kind not in ("bound", "lapped zip"):
        for row in wide.rows:
            assert row.from_raw + wide.inlay + row.from_net == pytest.approx(wide.allowance)


def test_an_inlay_without_a_figure_is_the_usual_one() -> None:
    assert read("plain 15 mm, inlay").inlay == 25.0  # 2 to 3 cm [C]
    assert read("french, inlay").stated is False
    assert read("plain 15 mm").inlay == 0.0


def test_it_is_tacked_on_the_net_line_before_it_is_cut_away() -> None:
    """The tacking lies the whole allowance in from the edge as cut [A]; the first row from the edge that is left."""
    finish = read("french 10 mm, first row 6 mm, inlay 25 mm")
    tacking = sewn.tacking_row(finish)
    assert tacking is not None
    assert (tacking.from_net, tacking.from_raw) == (0.0, 35.0)
    assert finish.rows[0].from_raw == 6.0
    assert sewn.tacking_row(read("french 10 mm, first row 6 mm")) is None


def test_a_stated_allowance_is_the_whole_of_it() -> None:
    assert sewn.rows_add_up(read("plain 15 mm, inlay 25 mm, allowance 40 mm"))
    assert not sewn.rows_add_up(read("plain 15 mm, inlay 25 mm, allowance 30 mm"))


@pytest.mark.parametrize(
    ("text", "column", "in_remedy"),
    [
        ("single turned 40 mm, inlay 25 mm", 22, "deeper"),
        ("double turned 1/2 in, inlay", 23, "deeper"),
        ("folded facing, inlay 20 mm", 16, "beside the fold"),
        ("plain 15 mm, inlay 25", 20, "25 mm"),
        ("plain 15 mm, inlay -2 cm", 20, "figure"),
        ("plain 15 mm, inlay 2 cm, inlay 3 cm", 26, "Keep"),
        ("plain 15 mm, inley 25 mm", 14, "inlay"),
        ("plain 5/8 in, inlay 1 im", 23, "5/8 in"),
    ],
)
def test_a_fault_of_an_inlay_says_where_and_what_to_do(text: str, column: int, in_remedy: str) -> None:
    found = fault(text)
    assert found.column == column
    assert in_remedy in found.remedy


# --- said ---


def test_inches_are_said_in_inches() -> None:
    finish = read("felled 5/8 in, inlay 1 in")
    assert sewn.say_finish(finish, "in") == "felled, 5/8 in; inlay 1 in: 1 5/8 in allowed"


def test_a_finish_with_an_inlay_in_few_words() -> None:
    assert sewn.say_finish(read("plain 15 mm, inlay 25 mm"), "cm") == "plain, 15 mm; inlay 25 mm: 40 mm allowed"
    said = sewn.say_finish(read("french 10 mm, first row 6 mm, trim 3 mm, inlay 25 mm"), "cm")
    assert said.startswith("french, 10 mm: first row 6 mm, trimmed to 3 mm, second row 4 mm; inlay 25 mm")


def test_saying_the_inlay_anew_leaves_the_rest_as_it_is() -> None:
    assert sewn.with_inlay("french 10 mm, inlay 9,5 cm, trim 3 mm", "25 mm") == "french 10 mm, inlay 25 mm, trim 3 mm"
    assert sewn.with_inlay("plain 15 mm with inlay", "1 in") == "plain 15 mm with inlay 1 in"
    assert sewn.with_inlay("plain 15 mm", "25 mm") == "plain 15 mm"


def test_editors_are_told_of_it() -> None:
    assert "inlay" in json.dumps(ticket_schema()["properties"]["finish"])


# --- drawn and checked ---


def garment_with(tmp_path: Path, finish: str, swap: tuple[str, str] = ("", "")) -> Garment:
    text = SKIRT.read_text("utf-8")
    changed = re.sub(r"^finish: .*$", f"finish: {finish}", text, flags=re.MULTILINE).replace(*swap)
    path = tmp_path / "t.yaml"
    path.write_text(changed, "utf-8")
    return open_ticket(path)


def piece_of(garment: Garment, name: str) -> Piece:
    assert garment.draft is not None
    piece = garment.draft.pattern.piece(name)
    assert piece is not None
    return piece


INLAID = "{side seam: 'plain 15 mm, inlay 25 mm', hem: single turned 40 mm}"
BARE = "{side seam: plain 15 mm, hem: single turned 40 mm}"


def test_both_sides_of_the_seam_are_cut_wider_and_the_net_line_stays(tmp_path: Path) -> None:
    inlaid, bare = garment_with(tmp_path, INLAID), garment_with(tmp_path, BARE)
    for name in ("front", "back"):
        wide, narrow = piece_of(inlaid, name), piece_of(bare, name)
        for edge, other in zip(wide.edges, narrow.edges, strict=True):
            assert np.array_equal(edge.path.curves, other.path.curves)
            assert edge.allowance - other.allowance == (25.0 if edge.root == "side" else 0.0)
        assert wide.cut_line is not None and narrow.cut_line is not None
        assert area(wide.cut_line) > area(narrow.cut_line)
    assert [each for each in inlaid.all_problems if each.severity == "stop"] == []
    assert {each.code for each in inlaid.all_problems} == {each.code for each in bare.all_problems}


def test_the_line_it_is_cut_back_to_is_the_cut_line_without_it(tmp_path: Path) -> None:
    """Every point of the inner line lies on the other draft's cut line, within twice 0.02 mm [A]."""
    inlaid, bare = garment_with(tmp_path, INLAID), garment_with(tmp_path, BARE)
    for name in ("front", "back"):
        lines = [each for each in piece_of(inlaid, name).inner if each.kind == "inlay"]
        ring = piece_of(bare, name).cut_line
        assert ring is not None
        assert [each.name for each in lines] == ["inlay"]
        points = flatten(lines[0].path)
        run, away = ring[1:] - ring[:-1], points[:, None] - ring[:-1]
        share = np.clip((away * run).sum(axis=2) / np.maximum((run**2).sum(axis=1), 1e-18), 0.0, 1.0)
        assert np.linalg.norm(away - share[..., None] * run, axis=2).min(axis=1).max() < 0.04
        drawn = [each for each in piece_strokes(piece_of(inlaid, name), False) if each.name.startswith("inlay of")]
        assert [each.pen for each in drawn] == ["dots"]
    assert not [each for each in piece_of(bare, "front").inner if each.kind == "inlay"]


def test_an_inlay_on_one_side_alone_is_a_stop(tmp_path: Path) -> None:
    """Raw edges laid together would not meet [A]."""
    recipe = "onfold/recipes/straight-skirt.yaml"
    text = (Path(__file__).resolve().parent.parent / recipe).read_text("utf-8")
    (tmp_path / "own.yaml").write_text(
        text.replace(
            "  - grain: {piece: front, kind: straight}",
            "  - finish edge: {edge: side of front, construction: 'plain 15 mm, inlay 25 mm'}\n"
            "  - grain: {piece: front, kind: straight}",
        ),
        "utf-8",
    )
    sound = garment_with(tmp_path, "{hem: single turned 40 mm}", ("recipe: straight-skirt", "recipe: own.yaml"))
    assert "SEAM-ALLOWANCE" not in {each.code for each in sound.all_problems}  # the seam's finish holds for both
    one = garment_with(tmp_path, "{side of front: 'plain 15 mm, inlay 25 mm'}")
    assert "SEAM-ALLOWANCE" in {each.code for each in one.all_problems}


def test_an_inlay_that_does_not_add_up_is_found_with_its_remedy(tmp_path: Path) -> None:
    garment = garment_with(tmp_path, "{side seam: 'plain 15 mm, inlay 25 mm, allowance 30 mm'}")
    found = [each for each in garment.all_problems if each.code == "ALLOWANCE-SEAM"]
    assert found[0].expected == "40 mm"
    assert "'plain 15 mm, inlay 25 mm'" in found[0].remedy


def test_a_fault_in_a_ticket_stands_under_its_column(tmp_path: Path) -> None:
    garment = garment_with(tmp_path, "{hem: 'single turned 40 mm, inlay 25 mm'}")
    (found,) = [each for each in garment.problems if each.code == "FINISH-UNKNOWN"]
    row, caret = found.excerpt.splitlines()
    assert row[caret.index("^") :].startswith("inlay")


def test_a_wide_inlay_is_a_mind(tmp_path: Path) -> None:
    wide = garment_with(tmp_path, "{side seam: 'plain 15 mm, inlay 81 mm'}")
    found = [each for each in wide.all_problems if each.code == "INLAY-WIDE"]
    assert [each.severity for each in found] == ["mind"]
    assert "8.1 cm" in found[0].says
    at_most = garment_with(tmp_path, "{side seam: 'plain 15 mm, inlay 80 mm'}")
    assert "INLAY-WIDE" not in {each.code for each in at_most.all_problems}
