"""The cowl: its facing mirrors, its neck is square, its fall is the catenary's, and it says how far one may go.

L and s are measured again from `pattern.json`, and the catenary is solved here, not by Onfold.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from itertools import pairwise

import numpy as np
import pytest
from drafting import as_json, codes, drafted, example, knit, stops, ticket_of, ticket_text, unchecked
from hand_sums import catenary_sag
from json_reader import Data, edge_length, edges, inner, level_height, piece, points, stroke
from shapely import LineString, hausdorff_distance
from shapely.ops import substring

from onfold.body.measures import MEASURES
from onfold.project import recipe_text
from onfold.project_draft import Draft, draft_for
from onfold.recipe.file import read_recipe
from onfold.steps import VERBS

BODY = {"height": 1676.0, "bust": 952.0, "waist": 768.0, "hip": 1029.0}
SPREADS = (5.0, 10.0, 20.0, 30.0, 45.0, 60.0)
SLASHES = tuple(range(1, 10))
MOST_TURN = 75.0


def cowl(**choices: str) -> str:
    named = {name.replace("_", " "): value for name, value in choices.items()}
    return ticket_text("choir-sheath", BODY, knit(0.7), named)


@lru_cache
def opened(spread: float, slashes: int, ends: str = "above the underarm") -> tuple[Draft, Data]:
    draft = unchecked(cowl(spread=f"{spread:g} mm", slashes=str(slashes), facing_edge=ends))
    return draft, as_json(draft)


def neck_of(data: Data) -> np.ndarray:
    return inner(data, "front", "fold line", "neck fold")


def half_neck(data: Data) -> float:
    """L, mm: the neck edge from the fold to its side end."""
    return float(neck_of(data)[:, 0].max() - neck_of(data)[:, 0].min())


def half_span(data: Data) -> float:
    """s, mm: half the across front, what the half neck edge was before the slashes were opened."""
    return float(data["measures"]["across front"]["value"]) / 2.0


def sag_of(data: Data) -> float:
    return catenary_sag(half_neck(data), half_span(data))


def total_turn(data: Data, count: int, spread: float, drawn: Data) -> float:
    """The sum of 2 asin(opening / 2 width) over the slashes of the closed front `drawn`, degrees [A]."""
    armhole = stroke(drawn, "front", "armhole")
    hinges = [armhole.interpolate(armhole.length * (k + 1) / (count + 1)) for k in range(count)]
    return math.degrees(sum(2.0 * math.asin(spread / (2.0 * hinge.x)) for hinge in hinges))


def most_of(said: str) -> float:
    """The length, mm, in 'at most 2.8 cm' or 'at most 5 13/32 in'."""
    found = re.search(r"at most ((?:\d+ )?\d+(?:[./]\d+)?) (cm|in)", said)
    assert found, said
    value = sum(float(a) / float(b or 1) for a, b in (each.partition("/")[::2] for each in found[1].split()))
    return value * (10.0 if found[2] == "cm" else 25.4)


def reflected(line: LineString, y: float) -> LineString:
    return LineString([(px, 2.0 * y - py) for px, py in line.coords])


def angles(slashes: int, spread: float) -> float:
    _, closed = opened(0.0, slashes)
    return total_turn(closed, slashes, spread, closed)


class TestGeometry:
    """Acceptance 3."""

    @pytest.mark.parametrize("slashes", SLASHES)
    def test_the_facing_mirrors_and_the_neck_is_square(self, slashes: int) -> None:
        drawn = 0
        for spread in (0.0, *SPREADS):
            if angles(slashes, spread) > MOST_TURN:
                continue
            for ends in ("above the underarm", "in the side seam"):
                _geometry_holds(opened(spread, slashes, ends)[1], ends)
            drawn += 1
        assert drawn >= 3

    @pytest.mark.long
    @pytest.mark.parametrize("slashes", SLASHES)
    def test_the_facing_mirrors_at_every_millimetre_of_spread(self, slashes: int) -> None:
        for spread in range(61):
            if angles(slashes, float(spread)) <= MOST_TURN:
                _geometry_holds(opened(float(spread), slashes)[1], "above the underarm")

    def test_the_total_turn_is_the_sum_of_the_slashes_angles(self) -> None:
        for slashes in (1, 4, 9):
            for spread in (10.0, 20.0):
                _, data = opened(spread, slashes)
                assert math.isclose(data["facts"]["total turn"]["value"], angles(slashes, spread), abs_tol=0.01)

    def test_unopened_the_neck_edge_is_half_the_across_front(self) -> None:
        _, data = opened(0.0, 4)
        assert math.isclose(half_neck(data), half_span(data), abs_tol=1e-3)
        assert data["facts"]["cowl fall"]["value"] == 0.0

    def test_the_armhole_keeps_its_length_within_a_millimetre(self) -> None:
        closed = sum(edge_length(edge) for edge in edges(opened(0.0, 4)[1], "front", "armhole"))
        for slashes in SLASHES:
            for spread in SPREADS:
                if angles(slashes, spread) <= MOST_TURN:
                    data = opened(spread, slashes)[1]
                    grown = sum(edge_length(edge) for edge in edges(data, "front", "armhole")) - closed
                    assert grown <= 1.0 + 1e-3
                    assert math.isclose(grown, data["facts"]["armhole growth"]["value"], abs_tol=1e-2)

    def test_the_straps_sit_at_the_squared_neck_s_side_end(self) -> None:
        _, data = opened(20.0, 4)
        strap = next(mark["at"] for mark in piece(data, "front")["marks"] if mark["name"] == "strap front")
        half_width = data["facts"]["strap width"]["value"] / 2.0
        assert math.isclose(strap[1], neck_of(data)[0, 1], abs_tol=1e-3)
        assert math.isclose(strap[0], half_neck(data) - half_width, abs_tol=1e-3)


def _geometry_holds(data: Data, ends: str) -> None:
    neck = neck_of(data)
    front = piece(data, "front")
    height = float(neck[0, 1])
    # the fold is one straight line on x = 0, and the neck edge lies square to it
    fold = next(edge for edge in front["edges"] if edge["fold"])
    assert np.abs(points(fold)[:, 0]).max() <= 0.01
    assert np.ptp(neck[:, 1]) <= 1e-3 and neck[:, 0].min() == 0.0
    armhole, facing = (stroke(data, "front", name, 50) for name in ("armhole", "armhole facing"))
    assert math.dist(armhole.coords[-1], (half_neck(data), height)) <= 1e-3
    back = reflected(facing, height)
    ended = substring(armhole, armhole.length, max(0.0, armhole.length - back.length))
    assert hausdorff_distance(back, ended, densify=0.25) <= 0.05
    underarm = level_height(data, "front", "underarm")
    assert underarm is not None
    free = stroke(data, "front", "neck facing")
    if ends == "in the side seam":
        assert math.isclose(back.length, armhole.length, abs_tol=0.05)
        # caught in the side seam: turned in, the free edge lies below the underarm
        assert height - (free.coords[0][1] - height) < underarm
    else:
        # at least 1 cm above the underarm once it is turned in [C]
        assert height - (free.coords[0][1] - height) >= underarm + 10.0 - 0.05
    assert math.isclose(free.coords[-1][1] - height, data["facts"]["facing depth"]["value"], abs_tol=1e-2)
    # the facing is deeper than the fall by 2 to 3 cm, and at least 10 cm deep [C]
    fall = sag_of(data)
    assert data["facts"]["facing depth"]["value"] >= max(100.0, fall + 20.0) - 0.1


class TestTooFar:
    @pytest.mark.parametrize("slashes", SLASHES)
    def test_beyond_75_degrees_it_says_how_far_one_may_go(self, slashes: int) -> None:
        draft, _ = opened(120.0, slashes)
        told = stops(draft.pattern.problems)
        if angles(slashes, 120.0) <= MOST_TURN:
            assert not told
            return
        assert codes(told) == {"COWL-TURN"}
        most = most_of(told[0].expected)
        allowed, past = opened(most, slashes)[0], opened(most + 1.0, slashes)[0]
        assert not stops(allowed.pattern.problems)
        assert as_json(allowed)["facts"]["total turn"]["value"] <= MOST_TURN
        assert codes(stops(past.pattern.problems)) == {"COWL-TURN"}
        assert angles(slashes, most + 1.0) > MOST_TURN

    def test_its_remedy_is_something_to_write_in_the_ticket(self) -> None:
        told = stops(opened(60.0, 9)[0].pattern.problems)[0]
        found = re.search(r"choices: \{spread: ([^}]+)\}", told.remedy)
        assert found
        assert not stops(unchecked(cowl(spread=found[1], slashes="9")).pattern.problems)

    def test_where_the_piece_would_lie_over_itself_it_says_how_far_one_may_go(self) -> None:
        # a recipe that lets the front turn much further than ours: there the armhole swings over the side
        shipped, _ = recipe_text("choir-sheath")
        recipe, problems = read_recipe(shipped.replace("most turn: 75", "most turn: 175"), "own.yaml", VERBS, MEASURES)
        assert recipe is not None and not problems

        def at(spread: float) -> Draft:
            return draft_for(ticket_of(cowl(spread=f"{spread:g} mm", slashes="9", rise="16 cm")), recipe)

        told = [each for each in at(50.0).pattern.problems if each.code == "COWL-TURN"]
        assert len(told) == 1 and "over itself" in told[0].says
        most = most_of(told[0].expected)
        assert not stops(at(most).pattern.problems)
        assert "COWL-TURN" in codes(at(most + 1.0).pattern.problems)


class TestFall:
    """Acceptance 4."""

    def test_more_spread_gives_more_fall(self) -> None:
        for slashes in SLASHES:
            falls = [sag_of(opened(spread, slashes)[1]) for spread in SPREADS if angles(slashes, spread) <= MOST_TURN]
            assert len(falls) >= 3
            assert all(more > less + 0.5 for less, more in pairwise(falls)), (slashes, falls)

    def test_more_slashes_give_more_fall(self) -> None:
        for spread in SPREADS:
            falls = [sag_of(opened(spread, slashes)[1]) for slashes in SLASHES if angles(slashes, spread) <= MOST_TURN]
            assert all(more > less for less, more in pairwise(falls)), (spread, falls)

    def test_the_told_fall_is_the_catenary_s_and_the_most_the_v_s(self) -> None:
        for slashes in (1, 4, 9):
            for spread in (10.0, 20.0):
                _, data = opened(spread, slashes)
                length, span = half_neck(data), half_span(data)
                assert math.isclose(data["facts"]["cowl fall"]["value"], sag_of(data), abs_tol=0.01)
                assert math.isclose(data["facts"]["most fall"]["value"], math.sqrt(length**2 - span**2), abs_tol=0.01)
                assert data["facts"]["most fall"]["value"] > data["facts"]["cowl fall"]["value"]

    @pytest.mark.parametrize("slashes", [4, 5, 6, 7, 8, 9])
    @pytest.mark.parametrize("fall", [60.0, 100.0])
    def test_asked_falls_are_solved_on_alto_1(self, fall: float, slashes: int) -> None:
        _solved(alto_1(fall=f"{fall:g} mm", slashes=str(slashes)), fall)

    @pytest.mark.parametrize("slashes", [4, 5, 6, 7, 8, 9])
    def test_150_mm_is_solved_with_an_armhole_of_150_mm(self, slashes: int) -> None:
        draft = _solved(alto_1(fall="150 mm", slashes=str(slashes), rise="14.5 cm"), 150.0)
        assert sum(edge_length(edge) for edge in edges(as_json(draft), "front", "armhole")) >= 150.0

    @pytest.mark.parametrize("slashes", [1, 4, 9])
    @pytest.mark.parametrize("units", ["cm", "in"])
    def test_out_of_reach_it_names_the_largest_fall(self, units: str, slashes: int) -> None:
        def asked(fall: float) -> Draft:
            return unchecked(alto_1(units=units, fall=f"{fall:.3f} mm", slashes=str(slashes)))

        told = stops(asked(500.0).pattern.problems)
        assert codes(told) == {"COWL-FALL"}
        most = most_of(told[0].expected)
        solved = asked(most)
        assert not stops(solved.pattern.problems)
        assert math.isclose(sag_of(as_json(solved)), most, abs_tol=0.1)
        assert codes(stops(asked(most + 1.0).pattern.problems)) == {"COWL-FALL"}

    def test_out_of_reach_the_rest_of_the_garment_is_still_drafted(self) -> None:
        draft = unchecked(alto_1(fall="50 cm"))
        assert {each.name for each in draft.pattern.pieces} == {"front", "back", "strap"}

    def test_its_remedy_cures_it(self) -> None:
        told = stops(unchecked(alto_1(fall="50 cm")).pattern.problems)[0]
        found = re.search(r"choices: \{fall: ([^}]+)\}", told.remedy)
        assert found
        assert not stops(unchecked(alto_1(fall=found[1])).pattern.problems)


@lru_cache
def alto_1(units: str = "in", **choices: str) -> str:
    """The ticket of alto-1 with choices of its own."""
    named = ", ".join(f"{name.replace('_', ' ')}: {value}" for name, value in choices.items())
    return example("alto-1-sheath").replace("units: in", f"units: {units}") + f"choices: {{{named}}}\n"


def _solved(text: str, fall: float) -> Draft:
    draft = unchecked(text)
    data = as_json(draft)
    assert not stops(draft.pattern.problems)
    assert data["facts"]["total turn"]["value"] <= MOST_TURN
    length, span = half_neck(data), half_span(data)
    assert math.isclose(catenary_sag(length, span), fall, abs_tol=0.1)
    assert math.sqrt(length**2 - span**2) > fall
    return draft


class TestTooDeep:
    """A fall past the bust point, or past its facing, is minded with both depths."""

    def test_below_the_bust_point(self) -> None:
        minded = {True: 0, False: 0}
        for fall in range(40, 128, 8):
            draft = drafted(alto_1(fall=f"{fall} mm", rise="8 cm"))
            data = as_json(draft)
            assert not stops(draft.pattern.problems)
            bust = level_height(data, "front", "bust")
            assert bust is not None
            room = float(neck_of(data)[0, 1]) - bust
            told = [each for each in draft.pattern.problems if each.code == "COWL-DEEP"]
            assert bool(told) == (sag_of(data) > room), (fall, room)
            assert all(each.severity == "mind" for each in told)
            minded[bool(told)] += 1
            if told:
                fell, high = (_inches(each) for each in re.findall(r"[\d/ ]+ in", told[0].says))
                assert math.isclose(fell, fall, abs_tol=1.7) and math.isclose(high, room, abs_tol=1.7)
        assert min(minded.values()) > 0

    def test_past_its_facing(self) -> None:
        for depth, deep in ((60.0, True), (90.0, True), (110.0, False), (140.0, False)):
            draft = drafted(alto_1(fall="100 mm", facing=f"{depth:g} mm"))
            data = as_json(draft)
            top = stroke(data, "front", "neck facing").coords[-1][1]
            assert math.isclose(top - neck_of(data)[0, 1], depth, abs_tol=1e-2)
            told = [each for each in draft.pattern.problems if each.code == "FACING-DEPTH"]
            assert [each.severity for each in told] == (["mind"] if deep else [])
            if told:
                fell, covered = (_inches(each) for each in re.findall(r"[\d/ ]+ in", told[0].says))
                assert math.isclose(fell, 100.0, abs_tol=1.7) and math.isclose(covered, depth, abs_tol=1.7)

    def test_past_35_degrees_the_armhole_is_minded(self) -> None:
        for spread in (5, 10, 20, 30, 40):
            draft = drafted(cowl(spread=f"{spread} mm", slashes="4"))
            turn = angles(4, float(spread))
            assert ("COWL-GRAIN" in codes(draft.pattern.problems)) == (turn > 35.0)


def _inches(said: str) -> float:
    parts = said.replace(" in", "").split()
    return 25.4 * sum(float(a) / float(b or 1) for a, b in (each.partition("/")[::2] for each in parts))
