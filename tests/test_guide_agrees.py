"""Text and picture of an operation tell one thing: the way allowances lie, which side laps over, why it stands here."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import pytest
from drafting import drafted, example
from making_patterns import GARMENTS, cloth_of

from onfold.cloth import Cloth
from onfold.drawing import Drawing
from onfold.guide import draw_operations
from onfold.lettering import frame_of
from onfold.making.laps import lap_of
from onfold.making.operation import MakingUp, Operation
from onfold.making.order import making_up
from onfold.pattern import Pattern

NAMES = ("alto-1-sheath", "soprano-2-skirt", "alto-5-skirt", *GARMENTS)


@lru_cache
def told(name: str) -> tuple[Pattern, MakingUp, dict[str, Drawing]]:
    if name in GARMENTS:
        pattern, cloth = GARMENTS[name](), cloth_of(name)
    else:
        draft = drafted(example(name))
        pattern, cloth = draft.pattern, cloth_from(name)
    making = making_up(pattern, cloth)
    return pattern, making, draw_operations(pattern, making, "cm", cloth)


def cloth_from(name: str) -> Cloth:
    from drafting import ticket_of

    return ticket_of(example(name)).cloth


def sentences(operation: Operation) -> str:
    return " ".join(act.says for act in operation.acts)


every = pytest.mark.parametrize("name", NAMES)


@every
def test_allowances_lie_in_the_picture_as_they_are_pressed(name: str) -> None:
    _, making, drawn = told(name)
    for each in making.operations:
        if each.kind != "sew" or each.name not in drawn:
            continue
        title = drawn[each.name].title
        if "into the band" in sentences(each):
            assert "into the band" in title and "pressed open" not in title, each.name
        else:
            assert "into the band" not in title, each.name
        assert ("pressed open" in title) <= ("open" in sentences(each).lower()), each.name


def test_a_bands_ends_are_drawn_folded_right_sides_together() -> None:
    _, making, drawn = told("soprano-2-skirt")
    assert "right sides together" in sentences(making.operation("ends of the waistband") or making.operations[0])
    title = drawn["ends of the waistband"].title
    assert "folded, right sides together" in title and "neatened" not in title
    rows = [stroke for stroke in drawn["ends of the waistband"].strokes if stroke.name == "row of stitches"]
    assert len(rows) >= 2  # the end and the underlap


def test_a_facing_is_drawn_step_by_step() -> None:
    """Right sides together with the strap between, sewn; trimmed and clipped; turned, and the rest snipped."""
    _, _, drawn = told("alto-1-sheath")
    drawing = drawn["neck fold"]
    names = {stroke.name for stroke in drawing.strokes}
    assert {"row of stitches", "strap between", "clip", "cut away", "snip"} <= names
    for words in (
        "right sides together, the strap between",
        "clipped to just short of the row",
        "turned to the inside",
    ):
        assert words in drawing.title
    boxes = [frame_of(word) for word in drawing.words]
    for at, one in enumerate(boxes):
        for other in boxes[:at]:
            clear = (one.min(axis=0) >= other.max(axis=0) - 0.2) | (other.min(axis=0) >= one.max(axis=0) - 0.2)
            assert clear.any()


@pytest.mark.parametrize("name", ["soprano-2-skirt", "alto-5-skirt"])
def test_a_back_laps_left_over_right_in_every_sentence(name: str) -> None:
    # [C]: as worn the left back laps over, the underlap lies on the right back
    pattern, making, drawn = told(name)
    assert (lap_of(pattern).over, lap_of(pattern).under) == ("left back", "right back")
    said = {each.name: sentences(each) for each in making.operations}
    assert "The left back laps over the right back, as worn. Let the right back stand out" in said["back opening"]
    assert "Lay the left back over the zip" in said["back opening"]
    assert "underlap beyond the right back" in said["waist seam"]
    assert "hook inside the end on the left back and its bar on the underlap" in said["band fold"]
    assert "left back and right back" in drawn["back opening"].title
    words = {word.text for word in drawn["back opening"].words}
    assert {"left", "right"} <= words or {"left back", "right back"} <= words
    if "vent fold" in said:
        assert "Clip the allowance of the right back" in said["centre back seam"]
        assert "Turn the facing of the left back" in said["vent fold"]
        assert "left back turned" in drawn["vent fold"].title


def test_the_left_back_is_drawn_on_the_left_and_its_lap_on_it() -> None:
    """[A] Seen from behind and right side up, left and right are the wearer's own."""
    _, _, drawn = told("soprano-2-skirt")
    drawing = drawn["back opening"]
    at = {word.text: word.at[0] for word in drawing.words}
    zip_at = next(stroke.path.curves[..., 0].mean() for stroke in drawing.strokes if stroke.name == "zip")
    lap_at = next(stroke.path.curves[..., 0].mean() for stroke in drawing.strokes if stroke.name == "lap row")
    assert at["left"] < zip_at < at["right"] and lap_at < zip_at


def test_a_seam_says_how_far_in_the_sentence_that_sews_it() -> None:
    _, making, _ = told("soprano-2-skirt")
    acts = (making.operation("centre back seam") or making.operations[0]).acts
    sewn = next(at for at, act in enumerate(acts) if act.kind == "sew")
    assert "backstitch" in acts[sewn].says and "head of the vent" in acts[sewn].says
    assert not any("sew" in act.says.lower() or "backstitch" in act.says for act in acts[:sewn])
    assert next(at for at, act in enumerate(acts) if act.kind == "clip") > sewn


@every
def test_each_operation_has_a_reason_of_its_own(name: str) -> None:
    _, making, _ = told(name)
    for one, other in pairwise(making.operations):
        if one.why and one.kind != "trial":
            # two of a kind may wait for the same thing
            assert one.why != other.why or one.kind == other.kind, (one.name, other.name, one.why)


def test_a_flat_front_has_no_cowl_to_hang() -> None:
    text = example("alto-1-sheath").replace("finish:", "choices: {spread: 0 cm}\nfinish:", 1)
    if text.count("choices:") > 1:
        pytest.skip("the example has choices of its own")
    making = making_up(drafted(text).pattern, cloth_from("alto-1-sheath"))
    said = " ".join(sentences(each) for each in making.operations)
    assert "Tape the armhole of the front" in said and "cowl" not in said


def test_a_vents_edges_do_not_borrow_the_hems_reason() -> None:
    _, making, _ = told("soprano-2-skirt")
    why = {each.name: each.why for each in making.operations}
    assert "hem comes last" not in why["edges of the vent"] and "lie flat" in why["edges of the vent"]
    assert why["centre back seam"] != why["back opening"]
