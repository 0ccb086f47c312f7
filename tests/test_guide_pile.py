"""Pile told as one story: guide, labels, card and lay all cut it whole in one layer, and no iron rests on it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from making_cloths import JERSEY, REMNANT_PILE, TWILL, VELVET, VELVETEEN
from synthetic import skirt
from test_lay_picture import small
from test_making_handling import rests

from onfold.checks.pieces import pairs_on_one_way_cloth
from onfold.checks.subject import Subject
from onfold.cloth import Cloth, settle
from onfold.construction import CAUTIONS, Finish, read_finish
from onfold.guide import GuideFacts, draw_pieces
from onfold.guide.card import CardFacts, card_content
from onfold.guide.cautions import HOT
from onfold.guide.parts import parts_of
from onfold.lay.facts import LayFacts
from onfold.lay.words import CAUTION_LINES, tell_lay
from onfold.making.trials import trials_of

PILE = (VELVET, VELVETEEN, REMNANT_PILE)
CHECK = settle("woven", 1500.0, name="check", repeat_along=80.0, repeat_across=60.0, fibre=(("wool", 1.0),))
piled = pytest.mark.parametrize("cloth", PILE, ids=lambda cloth: cloth.name)


def texts(data: Any) -> Iterator[str]:
    """Every text in plain data, whatever holds it."""
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for value in data.values():
            yield from texts(value)
    elif isinstance(data, list | tuple):
        for value in data:
            yield from texts(value)
    elif hasattr(data, "__dict__"):
        yield from texts(vars(data))


def guide(cloth: Cloth) -> list[str]:
    return list(texts(parts_of(skirt(), GuideFacts("Skirt", "alto-1", "2026-11-25", "cm", cloth), ())))


def lay(cloth: Cloth) -> list[str]:
    return [line for section in tell_lay(small("none"), LayFacts(cloth=cloth)) for line in section.lines]


def card(cloth: Cloth) -> list[str]:
    return list(texts(card_content(CardFacts(cloth=cloth))))


@piled
def test_no_iron_rests_on_pile_in_guide_lay_or_card(cloth: Cloth) -> None:
    # T139, T186 [C]: pile down over a needle board or hung in steam, the iron never resting
    known = {*CAUTIONS.values(), *CAUTION_LINES, HOT}
    for said in (guide(cloth), lay(cloth), card(cloth)):
        told = [line for line in said if line not in known and " " in line and line.endswith(".")]
        assert [line for line in told if rests(line)] == []
    assert any(line.startswith("Hang it in steam") for line in lay(cloth))


def test_an_ordinary_cloth_is_pressed_in_all_three() -> None:
    """The test above can fail."""
    assert all(any(rests(line) for line in said) for said in (guide(TWILL), lay(TWILL), card(TWILL)))


@pytest.mark.parametrize("cloth", [*PILE, CHECK], ids=lambda cloth: cloth.name)
def test_what_is_never_folded_is_cut_whole_everywhere(cloth: Cloth) -> None:
    # T186 [C]; the lay refuses every fold for it
    said = guide(cloth)
    assert not any("on the fold" in line and "Fold the cloth on a" not in line and "Mark " not in line for line in said)
    assert not any("folded wrong sides together" in line for line in said)
    assert any(line.startswith("Front: cut 1 whole, in one layer") for line in said)
    assert said.count("cut 1 whole, in one layer") >= 2  # in the table of pieces, and on the label
    assert any("one layer" in line for line in lay(cloth))
    shape = draw_pieces(skirt(), "cm", cloth)["front"]
    half = draw_pieces(skirt(), "cm", TWILL)["front"]
    assert "on the fold" not in shape.title and "on the fold" in half.title
    assert {stroke.name for stroke in shape.strokes} >= {"centre front"}
    assert not any(stroke.layer == "fold lines" for stroke in shape.strokes)


def test_what_may_be_folded_still_is() -> None:
    assert "cut 1 on the fold" in guide(JERSEY)


def test_a_pile_hem_is_offered_by_hand_and_a_hem_is_tried_on_one_layer() -> None:
    # [C] a machine's row flattens pile along it
    said = guide(VELVET)
    assert any("catch stitch" in line and line.startswith("Hem it by hand") for line in said)
    assert any("catch stitch by hand" in line for line in card(VELVET))
    assert not any(line.startswith("Hem it by hand") for line in guide(JERSEY))
    for cloth, finish in ((VELVET, "single turned 25 mm, twin needle"), (TWILL, "double turned 20 mm")):
        read = read_finish(finish, cloth)
        assert isinstance(read, Finish)
        (trial,) = [each for each in trials_of(cloth, [read]) if each.name.startswith("sewing")]
        assert trial.do[0].startswith("Turn the edge of one layer up") and "two layers" not in trial.do[0]
        assert any("sew a catch stitch by hand" in each for each in trial.do) == (cloth is VELVET)


def test_a_knit_is_squared_on_its_loops_and_pressed_with_the_grain() -> None:
    said = " ".join(guide(JERSEY))
    assert "course of loops" in said and "row of stitches." not in said and "with the thread" not in said


def test_heat_and_blades_are_cautioned_once_in_the_steps_and_again_at_the_end() -> None:
    said = guide(TWILL)
    assert said.count(HOT) == 1 and CAUTIONS["iron"] in said and CAUTIONS["blades"] in said


@piled
def test_what_the_checks_advise_is_the_same(cloth: Cloth) -> None:
    told = [each.remedy for each in pairs_on_one_way_cloth(Subject(skirt(), cloth))]
    assert told == ["Cut in one layer, wrong side up."]
