"""Given how a seam or hem is sewn, what it takes of the cloth and what it lets stretch."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onfold import construction as sewn
from onfold.cloth import Cloth, settle
from onfold.construction import CONSTRUCTIONS, NAMES, STITCHES, Finish, FinishFault, read_finish

KNIT = settle("knit", 1500, stretch_across=0.7, stretch_along=0.4, thickness=0.6)
VELVET = settle("knit", 1500, stretch_across=0.5, thickness=1.3, surface=("pile",), nap="up")
LAWN = settle("woven", 1400, thickness=0.2)
TWILL = settle("woven", 1500, thickness=0.8)
INCH = 25.4


def read(text: str) -> Finish:
    finish = read_finish(text)
    assert isinstance(finish, Finish), finish
    return finish


def give(text: str, cloth: Cloth = KNIT, stretch: float | None = None) -> float:
    """How far an edge sewn so in this cloth stretches, crosswise where nothing else is said."""
    return sewn.give_of(sewn.settled(read(text), cloth), cloth.stretch_across if stretch is None else stretch)


def allowance(text: str, cloth: Cloth) -> float:
    """What is cut for it in this cloth, mm."""
    return sewn.settled(read(text), cloth).allowance


def fault(text: str) -> FinishFault:
    found = read_finish(text)
    assert isinstance(found, FinishFault), found
    return found


@pytest.mark.parametrize(
    ("text", "first", "trim", "second", "total"),
    [
        # inches; 5/8 = 3/8 + 1/4, trimmed to 1/8, common practice [C]
        ("french 5/8 in, first row 3/8 in, trim 1/8 in", 3 / 8, 1 / 8, 1 / 4, 5 / 8),
        # total 1/2: first 1/4, trim to 1/8, second is the remainder [C]
        ("french 1/2 in, first row 1/4 in, trim 1/8 in", 1 / 4, 1 / 8, 1 / 4, 1 / 2),
        # A Complete Course in Dressmaking, vol. 1, p. 98 (1921-22): 1/8 + 1/4 = 3/8 [S]; the trim is ours
        ("french 1/8 in + 1/4 in, trim 1/16 in", 1 / 8, 1 / 16, 1 / 4, 3 / 8),
        # Utah State University Extension, Technique: French Seam: 3/8, trim to 1/8, + 3/8 = 3/4 [S]
        ("enclosed 3/4 in, first row 3/8 in, trim 1/8 in", 3 / 8, 1 / 8, 3 / 8, 3 / 4),
    ],
)
def test_rows_of_an_enclosed_seam(text: str, first: float, trim: float, second: float, total: float) -> None:
    finish = read(text)
    assert finish.allowance == pytest.approx(total * INCH, abs=1e-9)
    assert finish.rows[0].from_raw == pytest.approx(first * INCH, abs=1e-9)
    assert finish.rows[0].from_net == pytest.approx(second * INCH, abs=1e-9)
    assert finish.rows[1].from_raw == pytest.approx(total * INCH, abs=1e-9)
    assert finish.trims[0].left == pytest.approx(trim * INCH, abs=1e-9)
    assert sewn.rows_add_up(finish)
    assert sewn.encloses(finish)


@given(st.floats(2, 60), st.floats(0.1, 0.9))
def test_an_enclosed_seam_adds_up_and_hides_its_edges_unless_told_otherwise(total: float, share: float) -> None:
    """a1 + a2 = allowance, trimmed a1 < a2 [A]."""
    for text in (f"french {total:.3f} mm", f"french {total:.3f} mm, first row {total * share:.3f} mm"):
        finish = read(text)
        first, second = finish.rows
        assert first.from_raw + first.from_net == pytest.approx(finish.allowance, abs=1e-9)
        assert finish.trims[0].left < first.from_net
        assert second.from_net == 0.0


def test_rows_that_do_not_add_up_are_read_as_written_for_the_check_to_find() -> None:
    finish = read("french 15 mm, first row 6 mm, second row 6 mm")
    assert (finish.allowance, finish.uses) == (15.0, 12.0)
    assert not sewn.rows_add_up(finish)
    assert not sewn.encloses(read("french 10 mm, first row 6 mm, trim 5 mm"))
    assert not sewn.rows_add_up(read("double turned 15 mm, first turn 7 mm, allowance 15 mm"))


def test_plain_seam_of_five_eighths() -> None:
    assert read("plain 5/8 in").allowance == pytest.approx(15.875, abs=1e-9)  # [C]
    assert read("plain").allowance == 15.0  # [C]


@pytest.mark.parametrize(
    ("text", "depth", "allowance", "turns"),
    [
        ("double turned 15 mm, first turn 7 mm", 15, 22, (7, 15)),
        ("double turned 15 mm", 15, 30, (15, 15)),  # equal turns: 2 x the finished width [A]
        ("double turned 1/4 in", 6.35, 12.7, (6.35, 6.35)),  # T. Johnson, It's Fun to Sew: 1/4 + 1/4 in [S]
        ("single turned 40 mm", 40, 40, (40,)),
        # University of Wisconsin, Construction of Clothing: hem + 1/4 in turn [S]
        ("single turned 2 in, edge 1/4 in", 50.8, 57.15, (6.35, 50.8)),
    ],
)
def test_hems(text: str, depth: float, allowance: float, turns: tuple[float, ...]) -> None:
    finish = read(text)
    assert finish.depth == pytest.approx(depth)
    assert finish.allowance == pytest.approx(allowance)
    assert finish.turns == pytest.approx(turns)
    assert sewn.is_hem(finish)
    assert sewn.rows_add_up(finish)


def test_flat_felled_trims_one_side_and_folds_the_other_over_it() -> None:
    finish = read("flat-felled 5/8 in, trim 1/8 in")  # stitch at 5/8, trim one to 1/8, fold the other in half [C]
    assert finish.rows[0].from_raw == pytest.approx(5 / 8 * INCH)
    assert finish.rows[1].from_net == pytest.approx(5 / 16 * INCH)
    assert finish.trims[0].sides == "one"
    assert finish.trims[0].left < finish.rows[1].from_net


def test_a_bound_edge_is_sewn_a_quarter_inch_in() -> None:
    assert read("bound 15 mm, binding 1/4 in").rows[1].from_raw == pytest.approx(6.35)  # strip 4 x 1/4 in [C]


@pytest.mark.parametrize("width", ["3 mm", "5.9 mm"])
def test_a_binding_is_no_wider_than_the_allowance_it_encloses(width: str) -> None:
    assert "does not fit" in fault(f"bound {width}, binding 6 mm").message
    # [A] the row that holds the binding lies within the allowance, or on its seam line
    assert all(row.from_net >= 0.0 for row in read(f"bound {width}").rows)


@pytest.mark.parametrize(("text", "least", "most"), [("french 10 mm", 0.10, 0.15), ("plain 15 mm", 0.10, 0.15)])
def test_a_lockstitched_seam_holds_the_cloth(text: str, least: float, most: float) -> None:
    assert least <= give(text) <= most  # about 10 to 15 % [C]


@pytest.mark.parametrize("text", ["overlocked 10 mm", "narrow zigzag 8 mm", "single turned 20 mm"])
def test_an_overlock_or_narrow_zigzag_gives_nearly_all(text: str) -> None:
    assert 0.8 * 0.7 <= give(text) < 0.7  # nearly all of the cloth's 70 % [C]
    assert give(text, stretch=0.4) < 0.4


def test_an_edge_without_a_row_gives_all() -> None:
    assert give("folded facing") == 0.7
    assert give("raw") == 0.7


@given(st.sampled_from(sorted(CONSTRUCTIONS)), st.floats(0, 2))
def test_no_seam_gives_more_than_its_cloth(kind: str, stretch: float) -> None:
    assert 0.0 <= give(kind, settle("knit", 1500, stretch_across=stretch)) <= stretch


def test_another_stitch_changes_the_give_not_the_allowance() -> None:
    lock, zigzag = read("french 10 mm"), read("french 10 mm, narrow zigzag")
    assert lock.allowance == zigzag.allowance
    assert give(lock.text) < 0.15 < give(zigzag.text)


def test_what_is_not_stated_goes_by_the_cloth_and_what_is_stated_stays() -> None:
    assert allowance("french", LAWN) < allowance("french", TWILL)
    assert 20.0 <= allowance("single turned", KNIT) <= 25.0  # stretch cloth: 20 to 25 mm [C]
    assert sewn.settled(read("single turned 30 mm"), KNIT).stitch == "twin needle"
    for cloth in (LAWN, TWILL, KNIT, VELVET):
        assert allowance("double turned 15 mm, first turn 7 mm", cloth) == 22.0
        assert allowance("french 10 mm", cloth) == 10.0


def test_a_folded_facing_is_cut_short_for_the_turn_of_the_cloth() -> None:
    turns = [sewn.turn_of_cloth(cloth) for cloth in (LAWN, KNIT, VELVET)]
    assert turns == sorted(turns)
    assert all(1.0 <= turn <= 3.0 for turn in turns)  # 1 to 3 mm, thick or piled cloth more [C]
    assert sewn.turn_of_cloth(settle("woven", 1500, thickness=30.0)) == 3.0
    assert sewn.turn_of_cloth(settle("knit", 1500, thickness=0.3, surface=("pile",))) == 2.0


@pytest.mark.parametrize(
    ("text", "column", "in_remedy"),
    [
        ("frnch 10 mm", 1, "french"),
        ("plain 15", 7, "15 mm"),
        ("plain 15 parsecs", 10, "unit"),
        ("plain -3 mm", 7, "figure"),
        ("plain 60 cm", 7, "figure"),
        ("15 mm", 1, "plain 15 mm"),
        ("", 1, "plain 15 mm"),
        ("french 10 mm, first row 12 mm", 15, "figures"),
        ("double turned 10 mm, first turn 20 mm", 22, "figures"),
        ("french 10 mm, frist row 6 mm", 15, "first row"),
        ("plain 15 mm, first row 3 mm", 14, "parts"),
        ("french 10 mm, trim 3 mm, trim 3 mm", 24 + 2, "Keep"),
        ("raw, twin needle", 6, "Leave"),
        ("double turned 1 cm + 1 cm", 20, "comma"),
    ],
)
def test_a_fault_says_where_and_what_to_do(text: str, column: int, in_remedy: str) -> None:
    found = fault(text)
    assert found.column == column
    assert in_remedy in found.remedy
    assert found.message
    assert found.expected


def test_an_unknown_kind_lists_all_that_are_known() -> None:
    assert all(kind in fault("glued 10 mm").expected for kind in CONSTRUCTIONS)
    assert all(kind in fault("glued 10 mm").remedy for kind in CONSTRUCTIONS)


@settings(max_examples=400)
@given(st.one_of(st.text(max_size=80), st.from_regex(r"(french|plain|hem|double turned)[ 0-9a-z+,.;/%-]{0,60}")))
def test_any_text_gives_a_finish_or_a_fault(text: str) -> None:
    found = read_finish(text, KNIT)
    if isinstance(found, FinishFault):
        assert 1 <= found.column <= len(text) + 1
        assert not any(ord(char) < 32 or ord(char) == 127 for char in found.message + found.found + found.remedy)
    else:
        assert math.isfinite(found.allowance)
        assert found.allowance >= 0


@pytest.mark.parametrize("name", sorted(NAMES))
@pytest.mark.parametrize("units", ["in", "cm"])
def test_every_construction_can_be_read_and_said(name: str, units: str) -> None:
    finish = read(name)
    assert finish.kind == NAMES[name]
    assert sewn.rows_add_up(finish)
    assert not finish.rows or finish.stitch in STITCHES
    assert sewn.say_finish(finish, units)  # type: ignore[arg-type]


def test_cautions_know_the_pile_and_the_doubtful_fibre() -> None:
    wool = settle("woven", 1500, fibre=(("wool", 1.0),))
    acetate = settle("knit", 1500, fibre=(("acetate", 0.8), ("elastane", 0.2)), surface=("pile",))
    assert sewn.CAUTIONS["iron"] in sewn.cautions_for(wool)
    assert sewn.CAUTIONS["fibre"] not in sewn.cautions_for(wool)
    assert {sewn.CAUTIONS["pile"], sewn.CAUTIONS["fibre"]} <= set(sewn.cautions_for(acetate))
