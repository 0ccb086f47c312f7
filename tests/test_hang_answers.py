"""What is read from a hung garment: folds, stretch, the cowl, what shows; on surfaces whose answer is known."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from numpy.typing import NDArray

pytest.importorskip("numba")

from onfold.body.form import section
from onfold.cloth import Hung as Reading
from onfold.hang.answers import Answers, AtLevel, answers_of, asymmetry_of, hang_json
from onfold.hang.cowl import span_round
from onfold.hang.dressed import scene_of
from onfold.hang.folds import folds_down, folds_round
from onfold.hang.hanging import Hung, size_for
from onfold.hang.mechanics import mechanics_of
from onfold.hang.net import Net, woven
from onfold.hang.page import page
from onfold.hang.parts import parts_of
from onfold.hang.scene import Surface
from onfold.hang.sewn import sew
from onfold.hang.sewn_net import Sewn
from onfold.hang.start import BEYOND, Start, start_on
from onfold.hang.tacking import neck_edge, outward_of
from onfold.hang.tapes import lay_line, levels_of
from onfold.hang.telling import OWN, Card, Ends, say_cowl, say_sits, side_by_side, tapes_of, words_of
from onfold.hang.visible import showing
from onfold.pattern import Level, Pattern
from onfold.project import open_ticket
from onfold.project_hang import Stand, stand_for
from onfold.project_hang_fall import HANGS, LIMPEST, SEEN_NEAR, STIFFEST, nearest_share, next_share

Floats = NDArray[np.float64]
DOWN = np.linspace(0.0, 240.0, 400)
TURN = np.linspace(0.0, 2.0 * np.pi, 720, endpoint=False)


# --- folds ---


@pytest.mark.parametrize("folds", [1, 2, 3, 5])
def test_ridges_down_a_cloth_are_counted(folds: int) -> None:
    down = np.linspace(0.0, 70.0 * folds, 200 * folds)
    out = 12.0 * (1.0 - np.cos(2.0 * np.pi * down / 70.0))
    assert folds_down(np.stack([out, -down], axis=1)) == folds  # [A]


@pytest.mark.parametrize("lean", [0.0, 0.4, -0.3])
def test_folds_are_counted_however_the_body_slopes(lean: float) -> None:
    out = 12.0 * (1.0 - np.cos(2.0 * np.pi * 3 * DOWN / 240.0)) + lean * DOWN
    assert folds_down(np.stack([out, -DOWN], axis=1)) == 3


def test_cloth_that_lies_on_a_body_has_no_fold() -> None:
    straight = np.stack([0.2 * DOWN, -DOWN], axis=1)
    bust = np.stack([np.sqrt(100.0**2 - np.clip(DOWN - 120.0, -95.0, 95.0) ** 2), -DOWN], axis=1)[60:340]
    assert folds_down(straight) == 0
    assert folds_down(bust) == 0  # a radius of 100 mm: a bust, no fold
    assert folds_down(np.zeros((0, 2))) == 0
    assert folds_down(np.zeros((1, 2))) == 0


@pytest.mark.parametrize("folds", [0, 3, 5, 8])
@pytest.mark.parametrize("begin", [0.0, 0.37, 1.9])
@pytest.mark.parametrize("way", [1, -1])
def test_folds_round_a_hem_are_counted(folds: int, begin: float, way: int) -> None:
    radius = 200.0 + 45.0 * np.cos(folds * (TURN + begin)) * (folds > 0)
    ring = np.stack([radius * np.cos(TURN), 0.8 * radius * np.sin(TURN)], axis=1)[::way]
    assert folds_round(ring) == folds


# --- lines on the cloth ---


def cloth_square(rows: int = 8) -> Sewn:
    """One piece 100 mm square, alone."""
    line = np.linspace(0.0, 100.0, rows + 1)
    spots = np.array([(a, b) for b in line for a in line])
    at = np.arange((rows + 1) ** 2).reshape(rows + 1, rows + 1)
    a, b, c, d = (each.ravel() for each in (at[:-1, :-1], at[:-1, 1:], at[1:, 1:], at[1:, :-1]))
    tri = np.concatenate([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)])
    m, n = len(tri), len(spots)
    one = np.ones(m)
    net = Net(n, tri, spots[tri], one, one, one, one, one, np.ones(n), np.zeros(m, dtype=np.int64))
    zero = np.zeros(m, dtype=np.int64)
    return Sewn(
        net, ("front",), np.eye(2)[None], spots[tri], np.zeros(n, dtype=np.int64), None, {}, {}, zero + 1, zero, zero,
        (), (),
    )  # fmt: skip


def hung_flat(sewn: Sewn, across: float) -> Floats:
    out = np.zeros((sewn.net.count, 3))
    out[sewn.net.tri.reshape(-1), :2] = sewn.corner.reshape(-1, 2) * (across, 1.0)
    return out


@pytest.mark.parametrize("stretch", [0.0, 0.12, 0.4])
def test_stretch_along_a_level_is_that_of_the_cloth(stretch: float) -> None:
    sewn = cloth_square()
    laid = lay_line(sewn, hung_flat(sewn, 1.0 + stretch), "front", np.array([[0.0, 33.0], [100.0, 33.0]]))
    assert laid.flat.sum() == pytest.approx(100.0, abs=1e-6)  # [A]
    assert laid.hung.sum() / laid.flat.sum() - 1.0 == pytest.approx(stretch, abs=1e-9)  # [A]


def test_a_line_is_laid_as_far_as_the_cloth_goes_and_in_its_order() -> None:
    sewn = cloth_square()
    x = hung_flat(sewn, 1.0)
    slanting = np.array([[-50.0, 20.0], [10.0, 20.0], [70.0, 100.0]])
    laid = lay_line(sewn, x, "front", slanting)
    assert laid.flat.sum() == pytest.approx(10.0 + 100.0, abs=1e-6)  # [A] 10 of 60 mm, and 60 by 80 mm
    assert (np.diff(laid.along) >= 0.0).all()
    assert len(lay_line(sewn, x, "sleeve", slanting).flat) == 0
    assert len(lay_line(sewn, x, "front", slanting, -1).flat) == 0
    assert len(lay_line(sewn, x, "front", slanting + 500.0).flat) == 0


@pytest.mark.parametrize(("stretch", "times"), [(0.0, 1), (0.2, 1), (0.255, 1), (0.3, 2), (0.5, 2), (0.55, 3)])
def test_a_tape_line_is_doubled_past_comfort_and_tripled_past_full_pull(stretch: float, times: int) -> None:
    assert AtLevel("hip", stretch, 0.1, 0.25, 0.5, 1000.0, 850.0, None).times == times


def test_a_woven_at_rest_is_not_past_its_comfort() -> None:
    assert AtLevel("hip", 0.004, 0.0, 0.0, 0.0, 1000.0, 850.0, None).times == 1


# --- what shows ---


def upright(low: float, high: float, z: float, kind: str, outward: bool = True) -> Surface:
    points = np.array([[-50.0, low, z], [50.0, low, z], [50.0, high, z], [-50.0, high, z]])
    faces = np.array([[0, 1, 2], [0, 2, 3]], dtype=np.int32)
    return Surface(kind, points, faces if outward else faces[:, ::-1].copy(), kind)  # type: ignore[arg-type]


def test_a_facing_shows_where_nothing_hides_it() -> None:
    above = showing((upright(0.0, 100.0, 10.0, "cloth"), upright(40.0, 130.0, 0.0, "facing")))
    assert above["front"].facing == pytest.approx(100.0 * 30.0, rel=0.03)  # [A] the 30 mm that stand above the cloth
    assert above["front"].at is not None
    assert above["front"].at[0] == pytest.approx(0.0, abs=20.0)
    within = showing((upright(0.0, 100.0, 10.0, "cloth"), upright(40.0, 100.0, 0.0, "facing")))
    assert within["front"].facing == 0.0
    # [A] 30 degrees above, the edge 10 mm before the facing hides what lies less than 10 tan 30 below it
    seen = 100.0 * 10.0 * math.sin(math.radians(30.0))
    assert within["above"].facing == pytest.approx(seen, rel=0.1)


def test_the_wrong_side_is_told_from_the_facing() -> None:
    seen = showing((upright(0.0, 60.0, 0.0, "cloth", outward=False), upright(60.0, 100.0, 0.0, "facing")))
    assert seen["front"].facing == pytest.approx(4000.0, rel=0.03)
    assert seen["front"].wrong > 0.0
    assert showing((upright(0.0, 60.0, 0.0, "cloth"),)) == {}


# --- a garment as it is begun: sewn, laid round the form, its cowl put where it is known ---


@lru_cache(maxsize=1)
def begun() -> tuple[Hung, Pattern]:
    """The sheath as the hang begins with it, its neck edge where it is led: `BEYOND` times the expected fall down."""
    garment = open_ticket("examples/alto-1-sheath.yaml")
    stand = stand_for(garment)
    assert isinstance(stand, Stand)
    assert garment.draft is not None
    pattern, mechanics = garment.draft.pattern, mechanics_of(stand.ticket.cloth)
    parts = parts_of(pattern)
    sewn = sew(pattern, parts, mechanics, size_for(parts, pattern, 5500))
    assert isinstance(sewn, Sewn)
    start = start_on(sewn, pattern, stand.form, stand.distance)
    assert isinstance(start, Start)
    gap = np.full(sewn.net.count, 12.0)
    assert start.led is not None
    x = np.where(np.isnan(start.led), start.x, start.led)
    outward = outward_of(sewn, x)
    return Hung(sewn, woven(sewn.net), x, gap, outward, False, 0, 0.0, 9.0, 0, mechanics, stand.form), pattern


@lru_cache(maxsize=1)
def answered() -> Answers:
    hung, pattern = begun()
    return answers_of(hung, pattern, cloth())


def cloth() -> object:
    ticket = open_ticket("examples/alto-1-sheath.yaml").ticket
    assert ticket is not None
    return ticket.cloth


def test_the_cowl_is_measured_where_it_was_put() -> None:
    hung, pattern = begun()
    cowl = answered().cowl
    assert cowl is not None
    facts = pattern.facts
    assert cowl.depth == pytest.approx(BEYOND * facts["cowl fall"].value, abs=1.0)  # [A]
    assert abs(cowl.lowest[0]) < 1.0
    assert cowl.by_tape == pytest.approx(facts["cowl fall"].value, abs=1e-6)  # [A] the draft's own catenary
    assert cowl.by_chord >= cowl.by_round >= cowl.by_tape - 1.0  # a shorter span promises more
    assert cowl.around >= cowl.depth  # [A] no way down a body is shorter than straight down
    run = neck_edge(hung.sewn, pattern)
    assert run is not None
    assert hung.x[run[0], 0] < 0.0 < hung.x[run[-1], 0]
    assert (hung.x[run, 0] == -hung.x[run[::-1], 0]).all()


def test_a_tape_round_the_body_is_no_shorter_than_the_straight_line_and_no_longer_than_half_way_round() -> None:
    hung, _ = begun()
    for height in (1260.0, 1300.0, 1340.0):
        ring = np.concatenate(section(hung.form, height))
        side = 0.8 * float(ring[:, 0].max())
        z = float(ring[np.abs(ring[:, 0] - side).argmin(), 1])
        ends = np.array([[side, height, z], [-side, height, z]])
        assert 2.0 * side <= span_round(hung.form, ends) < math.pi * side


def test_levels_of_the_garment_lie_on_the_hung_cloth() -> None:
    hung, pattern = begun()
    levels = levels_of(hung.sewn, hung.x, pattern)
    for name in ("waist", "hip"):
        level: Level = pattern.levels[name]
        assert levels[name].flat == pytest.approx(level.finished, rel=0.005)  # the net cuts off the curve of the side
        ring = levels[name].line
        assert len(ring) > 30
        assert (ring[0] == ring[-1]).all()
        assert abs(levels[name].height - hung.form.levels[name]) < 25.0


def test_how_far_left_and_right_differ_is_half_of_what_one_point_is_moved() -> None:
    hung, _ = begun()
    mirror = hung.sewn.mirror
    assert mirror is not None
    moved = 0.5 * (hung.x + hung.x[mirror] * (-1.0, 1.0, 1.0))  # crossed straps begin one over the other
    assert asymmetry_of(hung.sewn, moved) < 1e-9
    moved[int(np.abs(moved[:, 0]).argmax())] += (0.0, 4.0, 0.0)
    assert asymmetry_of(hung.sewn, moved) == pytest.approx(2.0)  # [A]


def test_hang_json_has_every_key_of_the_design_and_is_rounded() -> None:
    data = hang_json(answered())
    settled = {
        "format", "unit", "vertices", "quiet", "steps", "deepest_penetration", "self_crossings", "asymmetry", "support",
        "cowl", "wearing_stretch", "estimates",
    }  # fmt: skip
    assert settled <= set(data)
    assert (data["format"], data["unit"]) == ("onfold hang 1", "mm")
    assert {"depth", "lowest", "folds"} <= set(data["cowl"])
    assert data["estimates"] == ["shear", "bending"]
    assert json.loads(json.dumps(data, allow_nan=False)) == data
    assert data["cowl"]["depth"] == round(data["cowl"]["depth"], 1)
    bare = hang_json(replace(answered(), cowl=None))
    assert bare["cowl"] == {"depth": 0.0, "lowest": [0.0, 0.0, 0.0], "folds": 0}


def test_penetration_is_told_as_a_depth() -> None:
    hung, pattern = begun()
    within = hung.gap.copy()
    within[7] = -0.4
    answers = answers_of(replace(hung, gap=within), pattern, cloth())  # type: ignore[arg-type]
    assert answers.deepest_penetration == pytest.approx(0.4)
    assert answered().deepest_penetration == 0.0


def test_an_earlier_garment_in_the_cloth_tells_on_the_forecast() -> None:
    hung, pattern = begun()
    seen = replace(cloth(), hung=Reading(132.0, 120.0))  # type: ignore[type-var]
    answers = answers_of(hung, pattern, seen)
    assert answers.cowl is not None
    assert answers.fall == pytest.approx(1.1 * answers.cowl.depth)  # [A] 132 / 120
    assert any("1.10 times" in line for line in say_cowl(answers, None, "cm"))


# --- what is said ---


def test_the_fall_is_said_as_a_range_with_both_ends() -> None:
    answers = answered()
    assert answers.fall is not None
    said = " ".join(say_cowl(answers, Ends(104.0, 88.0, False), "cm"))
    assert "10.4 cm in the limpest, 8.8 cm in the stiffest" in said
    low, high = Ends(104.0, 88.0, False).around(96.0)
    assert (low, high) == pytest.approx(((1.0 - OWN) * 88.0, (1.0 + OWN) * 104.0))
    assert "promises too much" in said


@pytest.mark.parametrize("units", ["cm", "in"])
def test_the_page_says_what_kind_of_answer_it_is_and_no_programmers_words(units: str) -> None:
    words = words_of(answered(), None, Card("Sheath", "alto-1", "jersey", "2026-10-05", units))  # type: ignore[arg-type]
    said = " ".join(line for told in words.told for line in told.lines)
    assert words.verdict == "An estimate: a toile decides."
    assert "--vary" in said
    assert "how crisp it is" in said
    for word in ("simulation", "mesh", "vertices", "vertex", "solver", "iteration", "mechanics"):
        assert word not in said.lower()
    assert (" in " in said) if units == "in" else (" cm" in said)


def test_stretch_past_comfort_is_said_and_drawn() -> None:
    answers = answered()
    levels = tuple(replace(each, stretch=0.8) if each.name == "hip" else each for each in answers.levels)
    tapes = tapes_of(replace(answers, levels=levels), {"bust": 950.0}, "cm")
    assert tapes["hip"].times == 3
    assert "past full pull" in tapes["hip"].words
    assert any("past full pull" in line for line in say_sits(replace(answers, levels=levels), "cm"))


def test_a_gaping_back_and_a_sloping_hem_are_said() -> None:
    answers = answered()
    assert answers.hem is not None
    hem = replace(answers.hem, lowest=400.0, highest=430.0, front=430.0, back=400.0)
    said = " ".join(say_sits(replace(answers, back_gap=22.0, hem=hem), "cm"))
    assert "gapes: it stands 2.2 cm off the body" in said
    assert "does not hang level" in said
    assert "lower behind by 3 cm" in said


def test_two_hangs_stand_side_by_side() -> None:
    answers = answered()
    table = side_by_side(("one", "two"), answers, replace(answers, cowl=None), (None, None), "cm")
    rows = {what: (first, second) for what, first, second in table.rows}
    assert rows["The cowl falls"][1] == ""
    assert rows["Hangs from"] == ("straps", "straps")


def test_the_scene_has_form_garment_facing_and_lines_and_makes_a_page() -> None:
    hung, pattern = begun()
    scene = scene_of(hung, pattern, tapes_of(answered(), hung.form.girths, "cm"))
    assert [each.name for each in scene.surfaces] == ["form", "front", "front facing", "back", "strap"]
    kinds = [line.kind for line in scene.lines]
    assert kinds.count("neck edge") == 1
    assert kinds.count("hem") == 4
    assert kinds.count("tape") == 3
    assert {"seam", "edge", "strap"} <= set(kinds)
    picture = page(scene, words_of(answered(), None, Card("Sheath", "alto-1", "jersey", "", "cm")))
    assert picture.startswith(b"\x89PNG")


def test_pieces_show_their_right_sides_outward() -> None:
    hung, pattern = begun()
    scene = scene_of(hung, pattern, {})
    for surface in scene.surfaces:
        if surface.kind != "cloth":
            continue
        corners = surface.points[surface.faces]
        normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        away = corners.mean(axis=1) - (0.0, 0.0, 0.0)
        assert (normal[:, [0, 2]] * away[:, [0, 2]]).sum() > 0.0, surface.name


# --- what was seen ---


@pytest.mark.parametrize("crisper", [-0.25, 0.2, 0.4])
@pytest.mark.parametrize("hidden", [0.6, 0.8, 1.3, 1.8])
def test_a_bending_length_is_found_whichever_way_it_tells(crisper: float, hidden: float) -> None:
    def fall(share: float) -> float:
        return 110.0 * share**crisper

    falls, share = {1.0: fall(1.0)}, 1.0
    for _ in range(HANGS):
        asked = next_share(falls, fall(hidden))
        if asked is None:
            break
        falls[asked] = fall(asked)
    share = nearest_share(falls, fall(hidden))
    assert len(falls) <= HANGS
    assert fall(share) == pytest.approx(fall(hidden), rel=2.0 * SEEN_NEAR)


def test_what_no_bending_gives_keeps_the_cloth_as_it_was_known() -> None:
    falls = {1.0: 100.0}
    while (asked := next_share(falls, 150.0)) is not None:
        falls[asked] = 100.0 + 0.5 * math.log2(asked)
    assert set(falls) == {1.0, LIMPEST, STIFFEST}
    assert nearest_share(falls, 150.0) == 1.0
