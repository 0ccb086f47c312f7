"""Given a finished outline, a seam that is let out moves by just as much, its partner alike, and nothing else moves.

What is measured on garments is read from `pattern.json` by `json_reader`, as another program would; that edges which
should stay do stay, within 1e-6 mm, is read from the draft, for the file is rounded.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from bodies import survey_men, survey_women
from drafting import WOVEN, as_json, codes, knit, recipe_of, stops, ticket_of, ticket_text
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from json_reader import Data, edges, fold_bend, level_height, piece, points, run_length, seam_gaps, stroke, unsound
from shapely import LineString, Point, Polygon

from onfold.body.measures import MEASURES
from onfold.checks import run_checks
from onfold.formula import read_formula
from onfold.geometry.fault import Fault
from onfold.geometry.let_out import Grading, moved_out
from onfold.geometry.path import (
    at,
    closest,
    end,
    flatten,
    joined,
    length,
    line,
    polyline,
    smooth,
    start,
    tangent_at,
    turned_back,
)
from onfold.pattern import Edge
from onfold.project import recipe_text
from onfold.project_draft import Draft, draft_for, subject_of
from onfold.recipe.file import Recipe, read_recipe
from onfold.recipe.finish import finished
from onfold.recipe.memory import Memory
from onfold.recipe.placed import PlacedStep
from onfold.recipe.replay import replay
from onfold.steps import VERBS
from onfold.steps.alter import LetOut, Raise

WITHIN = 0.1  # mm, the bar for all that follows a moved edge
STILL = 1e-6  # mm
SIDES = "edges: [side of front, side of back]"


def let_out(by: str, first: str, last: str, over: str = "", after: str = "outlines drawn", edges: str = SIDES) -> str:
    runs_out = f", runs out: {over}" if over else ""
    return f"{{after: {after}, let out: {{{edges}, by: '{by}', from: {first}, to: {last}{runs_out}}}}}"


def fitted(text: str, *steps: str) -> str:
    """A ticket's text with the steps that one fitting added."""
    return text + "fittings:\n  - on: 2026-10-19\n    steps:\n" + "".join(f"      - {each}\n" for each in steps)


def drafted(text: str, recipe: Recipe | None = None) -> Draft:
    """The draft with the checks' problems in its pattern."""
    ticket = ticket_of(text)
    made = draft_for(ticket, recipe or recipe_of(ticket.recipe.text))
    found = (*made.pattern.problems, *run_checks(subject_of(ticket, made)))
    return replace(made, pattern=replace(made.pattern, problems=found))


def minded(draft: Draft) -> set[str]:
    return codes(each for each in draft.pattern.problems if each.severity != "note")


def edge_of(draft: Draft, piece_name: str, name: str) -> Edge:
    found = next(each for each in draft.pattern.pieces if each.name == piece_name)
    return next(each for each in found.edges if each.name == name)


def changed_edges(before: Draft, after: Draft) -> set[tuple[str, str]]:
    """Every edge of either draft that is not the same curve within 1e-6 mm in both."""
    one, other = (
        {(each.name, edge.name): edge.path for each in draft.pattern.pieces for edge in each.edges}
        for draft in (before, after)
    )
    same = {
        key
        for key in one.keys() & other.keys()
        if one[key].curves.shape == other[key].curves.shape
        and np.abs(one[key].curves - other[key].curves).max() <= STILL
    }
    return (one.keys() | other.keys()) - same


def led_on_alone(before: Edge, after: Edge, by: float) -> None:
    """An edge has grown by `by` at one end, along its own line, and lies where it lay otherwise."""
    old, new = before.path, after.path
    for share in np.linspace(0.0, 1.0, 41):
        assert closest(new, at(old, share * length(old))).distance <= STILL
    assert math.isclose(length(new) - length(old), by, abs_tol=WITHIN)


# The shipped skirt -------------------------------------------------------------------------------------------------

WOMEN = survey_women()
WEARERS = [("woman", WOMEN[n]) for n in (0, 7, 60, 233)] + [("man", survey_men()[3])]
ids = [f"{figure}-{n}" for n, (figure, _) in enumerate(WEARERS)]


def skirt(figure: str, body: dict[str, float], **choices: str) -> str:
    return ticket_text(
        "straight-skirt", body, WOVEN, {name.replace("_", " "): v for name, v in choices.items()}, figure=figure
    )


@lru_cache
def skirt_before_and_after(number: int) -> tuple[Draft, Draft]:
    text = skirt(*WEARERS[number])
    return drafted(text), drafted(fitted(text, let_out("10 mm", "waist", "hip", "8 cm")))


@pytest.fixture(params=range(len(WEARERS)), ids=ids)
def both(request: pytest.FixtureRequest) -> tuple[Draft, Draft]:
    return skirt_before_and_after(request.param)


def side_points(data: Data, piece_name: str) -> np.ndarray:
    (side,) = edges(data, piece_name, "side")
    return points(side)


def test_the_side_moves_by_just_as_much_from_the_waist_to_the_hip_and_runs_out_below(both: tuple[Draft, Draft]) -> None:
    before, after = (as_json(each) for each in both)
    for name in ("front", "back"):
        old = stroke(before, name, "side", 2000)
        hip = level_height(after, name, "hip")
        assert hip is not None
        new = side_points(after, name)
        off = np.array([old.distance(Point(each)) for each in new])
        assert np.abs(off[new[:, 1] >= hip] - 10.0).max() < 0.01  # [A]: square to the edge
        assert off[new[:, 1] < hip - 80.0 - 0.1].max(initial=0.0) < 1e-3
        graded = new[:, 1] < hip
        assert (np.diff(off[graded]) * np.sign(np.diff(new[graded, 1])) >= -1e-3).all(), "it only ever grows upward"


def test_partners_stay_equal_and_every_check_still_passes(both: tuple[Draft, Draft]) -> None:
    before, after = both
    assert max(seam_gaps(as_json(after)).values()) < WITHIN
    assert unsound(as_json(after)) == []
    assert fold_bend(as_json(after)) < STILL
    assert minded(after) <= minded(before)


def test_the_girth_grows_by_four_times_as_much_at_waist_and_hip_and_not_at_the_hem(both: tuple[Draft, Draft]) -> None:
    before, after = (as_json(each) for each in both)

    def waist(data: Data) -> float:
        return 2.0 * (run_length(data, "front", "waist") + run_length(data, "back", "waist"))

    def hip(data: Data) -> float:
        return 2.0 * sum(_reach(data, name) for name in ("front", "back"))

    for measured, level in ((waist, "waist"), (hip, "hip")):
        assert math.isclose(measured(after) - measured(before), 40.0, abs_tol=WITHIN)
        stated = after["levels"][level]["finished"] - before["levels"][level]["finished"]
        assert math.isclose(stated, 40.0, abs_tol=WITHIN)
    assert after["levels"]["hem"] == before["levels"]["hem"]


def _reach(data: Data, name: str) -> float:
    """How far across the hip the side lies from the piece's centre."""
    y = level_height(data, name, "hip")
    assert y is not None
    across = LineString([(-1e4, y), (1e4, y)]).intersection(stroke(data, name, "side", 2000))
    centre = next(i["line"][0][0] for i in piece(data, name)["inner"] if i["name"] == "hip")
    return float(across.centroid.x) - centre


def test_the_waistband_follows(both: tuple[Draft, Draft]) -> None:
    before, after = (as_json(each) for each in both)
    for edge in ("waist seam", "band edge"):
        grown = run_length(after, "waistband", edge) - run_length(before, "waistband", edge)
        assert math.isclose(grown, 40.0, abs_tol=WITHIN)
    assert math.isclose(run_length(after, "waistband", "waist seam"), _waist(after), abs_tol=WITHIN)
    joins = [each["along"] for each in piece(after, "waistband")["notches"] if each["edge"] == "waist seam"]
    back, front = run_length(after, "back", "waist"), run_length(after, "front", "waist")
    assert np.allclose(joins, [back, back + front, back + 2 * front], atol=WITHIN)


def _waist(data: Data) -> float:
    return 2.0 * (run_length(data, "front", "waist") + run_length(data, "back", "waist"))


def test_notches_level_lines_and_points_follow(both: tuple[Draft, Draft]) -> None:
    data = as_json(both[1])
    along = []
    for name in ("front", "back"):
        side = stroke(data, name, "side", 2000)
        (notch,) = [each for each in piece(data, name)["notches"] if each["edge"] == "side"]
        y = level_height(data, name, "hip")
        assert y is not None and abs(notch["at"][1] - y) < WITHIN
        assert side.distance(Point(notch["at"])) < WITHIN
        line_end = next(i["line"][-1] for i in piece(data, name)["inner"] if i["name"] == "hip")
        assert side.distance(Point(line_end)) < WITHIN
        assert abs(side.project(Point(notch["at"])) - notch["along"]) < WITHIN
        along.append(notch["along"])
        spots = both[1].replayed.state
        for spot in ("end of hip", "top of side"):
            shift = 40.0 if name == "back" else 0.0  # the vent is drawn out to the left of the back's centre
            x, high = spots["point", name, spot]
            assert side.distance(Point((x + shift, high))) < WITHIN
    assert abs(along[0] - along[1]) < WITHIN


def test_no_other_edge_moves_and_the_waist_grows_at_that_end_only(both: tuple[Draft, Draft]) -> None:
    before, after = both
    moved = {(name, edge) for name in ("front", "back") for edge in ("side", _first_waist(before, name))}
    band = {("waistband", edge) for edge in ("waist seam", "underlap", "band end", "band edge")}
    assert changed_edges(before, after) == moved | band
    for name in ("front", "back"):
        leaf = _first_waist(before, name)
        led_on_alone(edge_of(before, name, leaf), edge_of(after, name, leaf), 10.0)
    marks = [{each.name: each.marks for each in draft.pattern.pieces} for draft in both]
    assert marks[0] == marks[1], "the darts stay where they were"


def _first_waist(draft: Draft, name: str) -> str:
    """The part of the waist beside the side seam: its first, anticlockwise."""
    found = next(each for each in draft.pattern.pieces if each.name == name)
    return next(each.name for each in found.edges if each.root == "waist")


@pytest.mark.parametrize("by", ["-5 mm", "-10 mm", "-20 mm"])
@pytest.mark.parametrize("number", [0, 2])
def test_a_side_is_taken_in_alike(number: int, by: str) -> None:
    text = skirt(*WEARERS[number], waist_ease="6 cm", hip_ease="12 cm")
    before, after = drafted(text), drafted(fitted(text, let_out(by, "waist", "hip", "8 cm")))
    mm = float(by.split()[0])
    data, old = as_json(after), as_json(before)
    assert max(seam_gaps(data).values()) < WITHIN
    assert unsound(data) == []
    allowed = {"EASE-SMALL", "BODY-ROOM", "SEAM-GIVE"} if mm < -15.0 else set()
    assert minded(after) <= minded(before) | allowed, "20 mm off every side take the waist below the body's"
    assert math.isclose(_waist(data) - _waist(old), 4.0 * mm, abs_tol=0.02 * abs(4.0 * mm))
    assert math.isclose(2 * sum(_reach(data, n) - _reach(old, n) for n in ("front", "back")), 4.0 * mm, abs_tol=WITHIN)
    assert math.isclose(run_length(data, "waistband", "waist seam"), _waist(data), abs_tol=WITHIN)
    for name in ("front", "back"):
        leaf = _first_waist(before, name)
        kept, new = edge_of(before, name, leaf).path, edge_of(after, name, leaf).path
        rest = length(new) - 3.2 * abs(mm)
        for share in np.linspace(0.02, 1.0, 25):
            spot = at(turned_back(new), share * min(rest, length(new) / 2.0))
            assert closest(kept, spot).distance <= STILL, "away from the seam the waist stays"
    assert {edge for _, edge in changed_edges(before, after)} <= {"side", "waist.1", "waist", *BAND}


BAND = ("waist seam", "underlap", "band end", "band edge")


# A lining traced off the altered pieces ------------------------------------------------------------------------------

LINING = """\
  - trace off: {{piece: {name}, name: {name} lining, {centre}: {line}}}
  - close the outline: {{lines: [hem, side, waist, {line}]}}
"""
LINED = """\
  - sew: {name: lining side seam, first: [side of front lining], second: [side of back lining],
          construction: plain 15 mm, twice: yes}
  - notch: {seam: lining side seam, at: [hip]}
"""


@lru_cache
def lined_skirt() -> Recipe:
    """The shipped skirt with a lining whose pieces are traced off front and back before the waistband."""
    text, trouble = recipe_text("straight-skirt")
    assert trouble is None
    zip_at = text.index("  - name a part: {name: zip")
    seams_at = text.index("  - sew: {name: centre back seam")
    front = LINING.format(name="front", centre="fold", line="lining centre front")
    back = LINING.format(name="back", centre="centre", line="lining centre back")
    own = (
        text[:zip_at] + front + back + "  - turn to: {piece: back}\n" + text[zip_at:seams_at] + LINED + text[seams_at:]
    )
    recipe, problems = read_recipe(own, "lined.yaml", VERBS, MEASURES)
    assert recipe is not None, [(each.where.line, each.says) for each in problems]
    return recipe


@pytest.mark.parametrize("by", ["10 mm", "-8 mm"])
@pytest.mark.parametrize("number", [0, 3])
def test_a_lining_traced_off_the_altered_pieces_follows(number: int, by: str) -> None:
    text = skirt(*WEARERS[number], waist_ease="5 cm", hip_ease="10 cm")
    before = drafted(text, lined_skirt())
    after = drafted(fitted(text, let_out(by, "waist", "hip", "8 cm")), lined_skirt())
    # the checks of girths take the lining for a second round of the outer cloth, before as after
    assert codes(stops(after.pattern.problems)) <= codes(stops(before.pattern.problems))
    assert not [each for each in after.pattern.problems if each.code.startswith("STEP-")]
    mm, data, old = float(by.split()[0]), as_json(after), as_json(before)
    assert max(seam_gaps(data).values()) < WITHIN
    for name in ("front", "back"):
        outer, lining = side_points(data, name), side_points(data, f"{name} lining")
        shift = outer[:, 0].max() - lining[:, 0].max()  # the back lies beside its vent
        assert np.abs(outer - (shift, 0.0) - lining).max() < WITHIN
        (waist,) = edges(data, f"{name} lining", "waist")
        (was,) = edges(old, f"{name} lining", "waist")
        assert math.isclose(waist["length"] - was["length"], mm, abs_tol=0.02 * abs(mm))
        notches = [piece(data, each)["notches"] for each in (name, f"{name} lining")]
        mine, linings = (next(n["along"] for n in found if n["edge"] == "side") for found in notches)
        assert abs(mine - linings) < WITHIN
    others = {edge for where, edge in changed_edges(before, after) if "lining" in where}
    assert others == {"side", "waist"}


# The shipped sheath --------------------------------------------------------------------------------------------------

SHEATHS = [
    {},
    {"side dart": "2 cm"},
    {"bust ease": "1.5 cm"},
    {"side dart": "3 cm", "bust ease": "1 cm"},
    {"facing edge": "in the side seam", "spread": "1 cm"},
]


@pytest.mark.parametrize("label", ["outlines drawn", "cowl drawn"])
@pytest.mark.parametrize("by", ["10 mm", "-6 mm"])
@pytest.mark.parametrize("choices", SHEATHS, ids=lambda each: ", ".join(each) or "plain")
def test_the_sheath_s_side_is_let_out_and_taken_in_from_bust_to_hip(
    choices: dict[str, str], by: str, label: str
) -> None:
    mm = float(by.split()[0])
    for number in (0, 60):
        text = ticket_text("choir-sheath", WOMEN[number], knit(0.7), choices)
        before, after = drafted(text), drafted(fitted(text, let_out(by, "bust", "hip", "3 cm", label)))
        data, old = as_json(after), as_json(before)
        assert max(seam_gaps(data).values()) < WITHIN
        assert unsound(data) == [] and fold_bend(data) < STILL
        assert minded(after) <= minded(before)
        for level in ("bust", "waist", "hip"):
            grown = data["levels"][level]["finished"] - old["levels"][level]["finished"]
            assert math.isclose(grown, 4.0 * mm, rel_tol=0.02)
        for level in ("underarm", "hem"):
            assert data["levels"][level] == old["levels"][level]
        allowed = {"side", "side.1", "side.2", "side dart leg", "side dart other leg"}
        assert {edge for _, edge in changed_edges(before, after)} <= allowed
        for name in ("front", "back"):
            side = stroke(data, name, "side", 2000)
            for notch in piece(data, name)["notches"]:
                assert side.distance(Point(notch["at"])) < WITHIN
        legs = [run_length(data, "front", each) for each in ("side dart leg", "side dart other leg")]
        assert abs(legs[0] - legs[1]) < 1e-3


@pytest.mark.parametrize("by", ["15 mm", "-5 mm", "-15 mm"])
def test_the_sheath_s_side_is_altered_up_to_the_underarm_and_armhole_and_facing_follow(by: str) -> None:
    mm = float(by.split()[0])
    for number in (0, 60, 233):
        text = ticket_text("choir-sheath", WOMEN[number], knit(0.7))
        before, after = drafted(text), drafted(fitted(text, let_out(by, "underarm", "hip", "8 cm")))
        data, old = as_json(after), as_json(before)
        assert max(seam_gaps(data).values()) < WITHIN
        assert unsound(data) == [] and fold_bend(data) < STILL
        # taken in, the armhole has less room at the underarm and turns into the side within about its allowance
        assert minded(after) <= minded(before) | ({"CORNER-SHARP"} if mm < 0.0 else set())
        for level in ("waist", "hip"):
            grown = data["levels"][level]["finished"] - old["levels"][level]["finished"]
            assert math.isclose(grown, 4.0 * mm, rel_tol=0.03), level


def test_what_has_its_facing_is_altered_before_it_is_faced() -> None:
    text = fitted(
        ticket_text("choir-sheath", WOMEN[0], knit(0.7)), let_out("5 mm", "underarm", "hip", "8 cm", "cowl drawn")
    )
    assert any("facing" in each.says and each.where.step == "let out" for each in stops(drafted(text).pattern.problems))


def test_a_dart_in_the_moved_seam_keeps_its_width() -> None:
    text = ticket_text("choir-sheath", WOMEN[0], knit(0.7), {"side dart": "2.5 cm"})
    for steps in ((), (let_out("12 mm", "bust", "hip", "4 cm", "cowl drawn"),)):
        draft = drafted(fitted(text, *steps) if steps else text)
        leg, other = edge_of(draft, "front", "side dart leg"), edge_of(draft, "front", "side dart other leg")
        assert math.isclose(math.dist(start(leg.path), end(other.path)), 25.0, abs_tol=1e-6)


def test_a_fitting_after_the_notches_moves_them_along() -> None:
    text, _ = recipe_text("straight-skirt")
    notched = text.replace(
        "- notch: {seam: side seam, at: [hip]}\n", "- notch: {seam: side seam, at: [hip]}\n    label: notched\n"
    )
    recipe, _ = read_recipe(notched, "own.yaml", VERBS, MEASURES)
    ticket = skirt(*WEARERS[0])
    early = as_json(drafted(fitted(ticket, let_out("10 mm", "waist", "hip", "8 cm")), recipe))
    late = as_json(drafted(fitted(ticket, let_out("10 mm", "waist", "hip", "8 cm", after="notched")), recipe))
    for name in ("front", "back"):
        found = [piece(each, name)["notches"][0]["along"] for each in (early, late)]
        assert abs(found[0] - found[1]) < WITHIN


# Raising, lowering, taking up -----------------------------------------------------------------------------------------

PANEL = """\
recipe: panel
title: A panel
for: any
steps:
  - begin piece: {name: panel, fold: middle}
  - rule down: {name: middle, from: start, length: 60 cm}
  - mark level: {name: bust, on: middle, down: 10 cm, width: 24 cm}
  - mark level: {name: waist, on: middle, down: 25 cm, width: 18 cm}
  - mark level: {name: hip, on: middle, down: 45 cm, width: 26 cm}
  - mark level: {name: hem, on: middle, down: 60 cm, width: 26 cm}
  - mark point: {name: top, from: start, across: 22 cm}
  - join: {name: side, points: [top, end of bust, end of waist, end of hip, end of hem], curve: hip}
  - join: {name: neck, points: [start, top], curve: waist, square to: side}
STEPS  - close the outline: {lines: [hem, side, neck, middle]}
    label: closed
  - grain: {piece: panel, kind: straight}
  - cut: {piece: panel, pieces: 1}
"""


def panel(*steps: str, before: str = "") -> Draft:
    recipe, problems = read_recipe(PANEL.replace("STEPS", before), "panel.yaml", VERBS, MEASURES)
    assert recipe is not None, [each.says for each in problems]
    text = ticket_text("choir-sheath", {"height": 1680.0, "bust": 920.0, "waist": 740.0, "hip": 1000.0}, WOVEN)
    return drafted(fitted(text, *steps) if steps else text, recipe)


def test_a_hem_is_raised_whole_and_both_edges_beside_it_are_cut() -> None:
    before = panel()
    after = panel("{after: closed, raise: {edges: [hem of panel], by: 4 cm, from: middle, to: side}}")
    hem = edge_of(after, "panel", "hem").path
    assert np.allclose(hem.curves, edge_of(before, "panel", "hem").path.curves + np.array([0.0, 40.0]), atol=STILL)
    for name in ("side", "middle"):
        assert math.isclose(
            length(edge_of(before, "panel", name).path) - length(edge_of(after, "panel", name).path),
            40.0,
            abs_tol=STILL,
        )
    assert changed_edges(before, after) == {("panel", "hem"), ("panel", "side"), ("panel", "middle")}
    assert after.replayed.state["point", "panel", "end of hem"] == pytest.approx((260.0, -560.0))


def test_a_neck_is_lowered_at_the_centre_alone() -> None:
    before = panel()
    after = panel(
        "{after: closed, raise: {edges: [neck of panel], by: '-3 cm', from: middle, to: middle, runs out: 15 cm}}"
    )
    old, new = edge_of(before, "panel", "neck").path, edge_of(after, "panel", "neck").path
    assert end(new) == pytest.approx((0.0, -30.0))
    assert closest(old, start(new)).distance < STILL
    lowered = [closest(old, at(new, mm)).distance for mm in np.linspace(0.0, length(new), 30)]
    assert (np.diff(lowered) >= -1e-6).all()
    assert changed_edges(before, after) == {("panel", "neck"), ("panel", "middle")}
    assert "FOLD-SQUARE" not in codes(after.pattern.problems)


@pytest.mark.parametrize("by", ["2 cm", "-1.5 cm"])
def test_a_wedge_shortens_the_centre_and_leaves_the_side(by: str) -> None:
    mm = 10.0 * float(by.split()[0])
    before, after = panel(), panel(before=f"  - take up: {{level: waist, by: '{by}'}}\n")
    assert math.isclose(
        length(edge_of(before, "panel", "middle").path) - length(edge_of(after, "panel", "middle").path),
        mm,
        abs_tol=STILL,
    )
    assert fold_bend(as_json(after)) < STILL
    same = edge_of(before, "panel", "side").path, edge_of(after, "panel", "side").path
    assert np.abs(same[0].curves - same[1].curves).max() <= STILL
    state = after.replayed.state
    assert state["point", "panel", "bust on the centre"] == pytest.approx((0.0, -100.0 - mm))
    assert state["point", "panel", "end of bust"] == pytest.approx((240.0, -100.0))
    assert state["point", "panel", "hip on the centre"] == pytest.approx((0.0, -450.0))


def test_a_closed_piece_is_not_taken_up() -> None:
    after = panel("{after: closed, take up: {level: waist, by: 2 cm}}")
    (stop,) = [each for each in after.pattern.problems if each.where.step == "take up"]
    assert "closed" in stop.says and stop.severity == "stop"


# What cannot be moved -------------------------------------------------------------------------------------------------


def trouble(*steps: str, text: str = "") -> Any:
    draft = drafted(fitted(text or skirt(*WEARERS[0]), *steps))
    found = [each for each in draft.pattern.problems if each.where.step in ("let out", "raise")]
    assert len(found) == 1, [each.says for each in found]
    assert found[0].remedy and found[0].where.line > 0
    return found[0]


def test_a_place_that_is_none_is_met_with_a_near_one() -> None:
    found = trouble(let_out("10 mm", "waist", "hipp", "8 cm"))
    assert found.code == "STEP-NAME"
    assert {"waist", "hem", "end of hip"} <= set(found.expected.split(", "))
    assert "Did you mean 'hip'" in found.says


def test_where_it_is_to_run_out_is_asked_for_and_must_have_room() -> None:
    assert "runs out" in trouble(let_out("10 mm", "waist", "hip")).remedy
    found = trouble(let_out("10 mm", "waist", "hip", "90 cm"))
    assert found.code == "STEP-CANNOT" and "at most" in found.expected


def test_from_end_to_end_nothing_runs_out() -> None:
    text = skirt(*WEARERS[0])
    before, after = drafted(text), drafted(fitted(text, let_out("10 mm", "waist", "hem")))
    assert not stops(after.pattern.problems)
    assert {edge for _, edge in changed_edges(before, after)} == {"side", "waist.1", "hem", *BAND}
    assert math.isclose(
        after.pattern.levels["hem"].finished - before.pattern.levels["hem"].finished, 40.0, abs_tol=WITHIN
    )
    assert max(seam_gaps(as_json(after)).values()) < WITHIN


@pytest.mark.parametrize(
    ("edges", "says"),
    [
        ("edges: [centre front of front]", "fold"),
        ("edges: [waist.1 of front]", "dart"),
        ("edges: [sides of front]", "Did you mean 'side'"),
    ],
)
def test_an_edge_that_cannot_be_moved_says_why(edges: str, says: str) -> None:
    assert says in trouble(let_out("10 mm", "upper end", "lower end", edges=edges)).says


def test_too_much_is_refused_and_the_rest_is_drafted() -> None:
    text = skirt(*WEARERS[0])
    draft = drafted(fitted(text, let_out("-40 cm", "waist", "hem")))
    assert any(each.code == "STEP-CANNOT" and each.where.step == "let out" for each in draft.pattern.problems)
    assert changed_edges(drafted(text), draft) == set()


def test_between_slashing_and_the_cowl_nothing_is_altered() -> None:
    text, _ = recipe_text("choir-sheath")
    recipe, _ = read_recipe(
        text.replace("most turn: 75}\n", "most turn: 75}\n    label: slashed\n"), "o", VERBS, MEASURES
    )
    ticket = fitted(
        ticket_text("choir-sheath", WOMEN[0], knit(0.7)), let_out("10 mm", "bust", "hip", "3 cm", "slashed")
    )
    assert any(
        "cowl" in each.says and each.where.step == "let out" for each in stops(drafted(ticket, recipe).pattern.problems)
    )


def test_another_amount_runs_only_what_it_reaches_again() -> None:
    memory = Memory()
    for by in ("10 mm", "11 mm"):
        ticket = ticket_of(fitted(skirt(*WEARERS[0]), let_out(by, "waist", "hip", "8 cm")))
        draft_for(ticket, recipe_of("straight-skirt"), memory)
    assert {each.verb for each in memory.ran} <= {"let out", "name a part", "vent", "waistband", "open", "notch", "sew"}
    assert "darts" not in {each.verb for each in memory.ran}


# The kernel -----------------------------------------------------------------------------------------------------------

shares = st.just(0.0) | st.floats(0.05, 0.6)
spot = st.tuples(st.floats(-20.0, 20.0), st.floats(60.0, 140.0))


@settings(max_examples=80, deadline=None)
@given(st.lists(spot, min_size=2, max_size=5), st.floats(-15.0, 15.0), shares, st.floats(0.05, 0.3))
def test_a_curve_moves_square_to_itself_by_just_as_much(steps: Any, by: float, first: float, over: float) -> None:
    """[A]: every point lies on the normal of the point it came from, as far off as is graded there."""
    corners = [(sum(x for x, _ in steps[:n]), sum(y for _, y in steps[:n])) for n in range(len(steps) + 1)]
    path = smooth(corners)
    whole = length(path)
    begin, finish = first * whole, (first + 0.4) * whole
    grading = Grading(
        by, begin, finish, over * begin if begin else 0.0, 0.0 if finish >= whole else over * (whole - finish)
    )
    moved = moved_out(path, grading)
    assert not isinstance(moved, Fault)
    new = joined(moved)
    assert np.hypot(*(new.curves[1:, 0] - new.curves[:-1, 3]).T).max(initial=0.0) == 0.0
    for mm in np.linspace(0.0, whole, 40):
        (x, y), (tx, ty), amount = at(path, mm), tangent_at(path, mm), grading.amount(mm)
        assert closest(new, (x + amount * ty, y - amount * tx)).distance < max(2e-4 * abs(by), STILL)


def test_lines_stay_lines_and_a_corner_keeps_its_distance_to_both_sides() -> None:
    corner = polyline([(0.0, 0.0), (0.0, 100.0), (50.0, 150.0), (50.0, 300.0)])
    for by in (8.0, -8.0):
        moved = moved_out(corner, Grading(by, 0.0, 400.0))
        assert not isinstance(moved, Fault)
        new = joined(moved)
        assert new.straight.all() and len(new.curves) == 3
        for mm in (50.0, 130.0, 250.0):
            assert math.isclose(closest(new, at(corner, mm)).distance, 8.0, abs_tol=1e-9)


def test_a_graded_line_is_one_curve() -> None:
    moved = moved_out(line((0.0, 0.0), (0.0, 100.0)), Grading(5.0, 40.0, 100.0, 20.0))
    assert not isinstance(moved, Fault)
    assert moved[0].straight.tolist() == [True, False, True]


def test_a_hollow_tighter_than_the_move_is_refused() -> None:
    tight = smooth([(0.0, 0.0), (5.0, 5.0), (0.0, 10.0)])
    found = moved_out(tight, Grading(20.0, 0.0, 100.0)), moved_out(tight, Grading(-20.0, 0.0, 100.0))
    assert any(isinstance(each, Fault) for each in found)


def test_the_alteration_of_the_ticket_guide_drafts() -> None:
    page = (Path(__file__).resolve().parent.parent / "docs" / "ticket-guide.md").read_text("utf-8")
    first, fittings, step, *_ = re.findall(r"^```yaml\n(.*?)^```", page, re.MULTILINE | re.DOTALL)
    text = first.replace("fittings: []\n", fittings + step)
    plain = drafted(first.replace("fittings: []\n", fittings))
    after = drafted(text)
    assert not [each for each in after.pattern.problems if each.where.step == "let out"]
    assert math.isclose(_waist(as_json(after)) - _waist(as_json(plain)), 4 * 3 / 8 * 25.4, abs_tol=WITHIN)


# Any edge, anywhere --------------------------------------------------------------------------------------------------


@lru_cache
def benches() -> tuple[dict[Any, Any], ...]:
    """What lies on the bench at the end of both garments, and before the sheath's front is slashed."""
    made = [
        draft_for(ticket_of(skirt(*WEARERS[0])), recipe_of("straight-skirt")),
        draft_for(
            ticket_of(ticket_text("choir-sheath", WOMEN[0], knit(0.7), {"side dart": "2 cm"})),
            recipe_of("choir-sheath"),
        ),
    ]
    states = [each.replayed.state for each in made]
    steps = [placed for placed, _ in made[1].replayed.runs]
    closed = next(n for n, each in enumerate(steps) if each.label == "outlines drawn") + 1
    given_ = {key: value for key, value in states[1].items() if key[0] in ("value", "word", "open", "units")}
    return (*states, replay(steps[:closed], given_).state)


@st.composite
def alterations(draw: st.DrawFn) -> tuple[Any, dict[Any, Any]]:
    state = draw(st.sampled_from(range(len(benches()))).map(lambda at: benches()[at]))
    piece_name = draw(st.sampled_from(["front", "back"]))
    outline = state["outline", piece_name]
    roots = sorted({each.root for each in outline if not each.fold and each.finish != "dart"})
    chosen = draw(st.lists(st.sampled_from(roots), min_size=1, max_size=2, unique=True))
    spots = [*sorted({each.root for each in outline}), "hip", "waist", "bust", "upper end", "lower end"]
    kind = draw(st.sampled_from([LetOut, Raise]))
    names = recipe_of("straight-skirt").names(MEASURES)
    by = draw(st.sampled_from([-60.0, -12.0, -3.0, -0.001, 0.001, 2.0, 9.0, 40.0]) | st.floats(-25.0, 25.0))
    amount, over = (read_formula(f"{mm:.6f} mm", names) for mm in (by, draw(st.floats(0.5, 120.0))))
    return (
        kind(
            edges=tuple(f"{each} of {piece_name}" for each in chosen),
            by=amount,
            from_=draw(st.sampled_from(spots)),
            to=draw(st.sampled_from(spots)),
            runs_out=over,
        ),
        state,
    )


@settings(max_examples=250, deadline=None, suppress_health_check=list(HealthCheck))
@given(alterations())
def test_whatever_edge_is_altered_the_outline_stays_closed_and_sound_or_a_stop_says_why(made: Any) -> None:
    step, state = made
    replayed = replay([PlacedStep(step, 1, 1)], state)
    (_, run) = replayed.runs[0]
    if run.failed:
        assert replayed.problems and all(each.says and each.remedy for each in replayed.problems)
        return
    piece_name = step.edges[0].rpartition(" of ")[2]
    before, after = state["outline", piece_name], replayed.state["outline", piece_name]
    assert [each.name for each in before] == [each.name for each in after]
    for one, other in zip(after, (*after[1:], after[0]), strict=True):
        assert math.dist(end(one.path), start(other.path)) <= STILL
    ring = np.concatenate([flatten(each.path, 0.05)[:-1] for each in after])
    assert Polygon(ring).is_valid
    listed = [f"{each.root} of {piece_name}" in step.edges for each in before]
    count = len(before)
    for n, (was, now) in enumerate(zip(before, after, strict=True)):
        # a dart is drawn anew where the run goes on behind it; else only the two edges beside a run are led on or cut
        near = [listed[(n + k) % count] for k in (-2, -1, 0, 1, 2)]
        if not (listed[n] or near[1] or near[3] or (was.finish == "dart" and any(near))):
            assert now.path.curves.shape == was.path.curves.shape
            assert np.abs(now.path.curves - was.path.curves).max() <= STILL
    for piece_of_it in finished(replayed.state, cloth(), {}, {}).pieces:
        assert np.isfinite(np.concatenate([each.path.curves for each in piece_of_it.edges])).all()


@lru_cache
def cloth() -> Any:
    return ticket_of(skirt(*WEARERS[0])).cloth
