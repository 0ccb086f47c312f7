"""Slash and spread, slash and overlap: rigid parts turned about hinges, and the one undoes the other.

What a turned part should be is worked out here by plain rotation matrices, part by part.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import pytest
from drafting import codes, knit, stops, ticket_of, ticket_text
from hypothesis import given, settings
from hypothesis import strategies as st

from onfold.body.measures import MEASURES
from onfold.geometry.path import at, end, flatten, length, start
from onfold.pattern import Edge
from onfold.project import recipe_text
from onfold.project_draft import Draft, draft_for
from onfold.recipe.file import Recipe, read_recipe
from onfold.steps import VERBS

BODY = {"height": 1676.0, "bust": 952.0, "waist": 768.0, "hip": 1029.0}
SLASH = (
    "  - slash and spread: {centre: centre front, hinged: armhole, slashes: slashes, opening: spread, fall: fall, "
    "span: across front / 2, most turn: 75}\n"
)
LAP = "  - slash and overlap: {centre: centre front, hinged: armhole, slashes: slashes, lap: spread}\n"


@lru_cache
def recipe_with(steps: str) -> Recipe:
    """The sheath's front up to the cowl, then these steps in place of the slashes and all that comes after."""
    text, trouble = recipe_text("choir-sheath")
    assert trouble is None and SLASH in text
    recipe, problems = read_recipe(text[: text.index(SLASH)] + steps, "own.yaml", VERBS, MEASURES)
    assert recipe is not None and not problems, problems
    return recipe


def drafted(steps: str, spread: float, slashes: int, **choices: str) -> Draft:
    named = {"spread": f"{spread:.9f} mm", "slashes": str(slashes), **choices}
    return draft_for(ticket_of(ticket_text("choir-sheath", BODY, knit(0.7), named)), recipe_with(steps))


def outline(draft: Draft) -> dict[str, Edge]:
    return {edge.name: edge for edge in draft.replayed.state["outline", "front"]}


def most_apart(first: Edge, second: Edge) -> float:
    """The greatest distance, mm, between two edges at equal lengths along them."""
    shares = np.linspace(0.0, 1.0, 101)
    whole = [(edge.path, length(edge.path)) for edge in (first, second)]
    return max(math.dist(*(at(path, share * run) for path, run in whole)) for share in shares)


def drawn_inside(draft: Draft) -> dict[str, list[tuple[float, float]]]:
    """The front's points, and the ends of the lines inside it that are no slashes."""
    state = draft.replayed.state
    spots = {name: [state["point", "front", name]] for name in state["listing", "point", "front"]}
    for name in state.get(("listing", "inner", "front"), ()):
        inner = state["inner", "front", name]
        if inner.kind not in ("slash", "dropped"):
            spots[f"line {name}"] = [start(inner.path), end(inner.path)]
    return spots


def restored(spread: float, slashes: int, rise: str = "11 cm") -> None:
    plain = drafted("", spread, slashes, rise=rise)
    closed = outline(plain)
    spread_out = drafted(SLASH, spread, slashes, rise=rise)
    lapped = drafted(SLASH + LAP, spread, slashes, rise=rise)
    assert not stops(spread_out.pattern.problems) and not stops(lapped.pattern.problems)
    again = outline(lapped)
    assert list(again) == list(closed)
    for name, edge in closed.items():
        assert math.isclose(length(again[name].path), length(edge.path), abs_tol=1e-6), name
        assert most_apart(again[name], edge) <= 1e-6, name
    if spread > 0.1:
        assert most_apart(outline(spread_out)["neck"], closed["neck"]) > 0.05
        assert math.dist(drawn_inside(spread_out)["end of neck"][0], drawn_inside(plain)["end of neck"][0]) > 0.05
    assert set(drawn_inside(lapped)) == set(drawn_inside(plain))
    for name, spots in drawn_inside(plain).items():
        for spot, again_there in zip(spots, drawn_inside(lapped)[name], strict=True):
            assert math.dist(spot, again_there) <= 1e-6, name


class TestUndone:
    """Acceptance 3: spread then overlap restores the outline within 1e-6 mm."""

    @pytest.mark.parametrize("slashes", range(1, 10))
    @pytest.mark.parametrize("spread", [0.01, 10.0, 20.0])
    def test_overlap_undoes_spread(self, spread: float, slashes: int) -> None:
        restored(spread, slashes)

    @settings(max_examples=15, deadline=None)
    @given(st.floats(0.001, 22.0), st.integers(1, 9), st.floats(60.0, 150.0))
    def test_overlap_undoes_any_spread(self, spread: float, slashes: int, rise: float) -> None:
        restored(spread, slashes, f"{rise:.3f} mm")

    @pytest.mark.long
    @settings(max_examples=300, deadline=None)
    @given(st.floats(0.001, 22.0), st.integers(1, 9), st.floats(40.0, 160.0))
    def test_overlap_undoes_any_spread_at_length(self, spread: float, slashes: int, rise: float) -> None:
        restored(spread, slashes, f"{rise:.3f} mm")


class TestSpread:
    @pytest.mark.parametrize("slashes", [1, 2, 4, 9])
    def test_each_part_turns_about_its_hinge_and_carries_the_turns_below(self, slashes: int) -> None:
        opening = 15.0
        closed, opened = outline(drafted("", opening, slashes)), outline(drafted(SLASH, opening, slashes))
        armhole = closed["armhole"].path
        whole = length(armhole)
        hinges = [np.array(at(armhole, whole * (k + 1) / (slashes + 1))) for k in range(slashes)]
        # an upper part turns about the lowest hinge last: the turns below carry it along
        expected = np.array(end(armhole))
        for hinge in reversed(hinges):
            angle = -2.0 * math.asin(opening / 2.0 / hinge[0])
            turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
            expected = hinge + turn @ (expected - hinge)
        assert np.allclose(end(opened["armhole"].path), expected, atol=1e-9)
        assert np.allclose(start(opened["neck"].path), expected, atol=1e-9)

    @pytest.mark.parametrize("slashes", [1, 4, 9])
    def test_the_hinged_edge_keeps_its_length_and_the_centre_gains_the_openings(self, slashes: int) -> None:
        closed, opened = outline(drafted("", 18.0, slashes)), outline(drafted(SLASH, 18.0, slashes))
        assert math.isclose(length(closed["armhole"].path), length(opened["armhole"].path), abs_tol=1e-7)
        gained = length(opened["centre front"].path) - length(closed["centre front"].path)
        assert math.isclose(gained, 18.0 * slashes, abs_tol=1e-7)
        assert math.isclose(length(closed["neck"].path), length(opened["neck"].path), abs_tol=1e-9)
        for name in ("hem", "side"):
            assert opened[name].path is closed[name].path or most_apart(opened[name], closed[name]) == 0.0

    def test_nothing_below_the_lowest_slash_moves(self) -> None:
        closed, opened = outline(drafted("", 18.0, 4)), outline(drafted(SLASH, 18.0, 4))
        assert start(opened["armhole"].path) == start(closed["armhole"].path)
        assert end(opened["centre front"].path) == end(closed["centre front"].path)
        assert start(opened["hem"].path) == start(closed["hem"].path)

    def test_marks_and_lines_above_a_slash_turn_with_their_part(self) -> None:
        first, spread_out = drafted("", 20.0, 4), drafted(SLASH, 20.0, 4)
        where = {
            name: each.replayed.state["point", "front", "end of neck"]
            for name, each in (("a", first), ("b", spread_out))
        }
        assert math.dist(where["a"], end(outline(first)["armhole"].path)) < 1e-6
        assert math.dist(where["b"], end(outline(spread_out)["armhole"].path)) < 1e-6
        low = [each.replayed.state["point", "front", "end of bust"] for each in (first, spread_out)]
        assert low[0] == low[1]

    def test_the_drawn_slashes_open_by_what_was_asked(self) -> None:
        draft = drafted(SLASH, 20.0, 5)
        state = draft.replayed.state
        slashes = [state["inner", "front", name] for name in state["listing", "inner", "front"]]
        slashes = [each for each in slashes if each.kind == "slash"]
        assert len(slashes) == 5
        armhole = flatten(outline(draft)["armhole"].path, 0.001)
        for each in slashes:
            below, hinge, above = each.path.curves[0, 0], each.path.curves[0, 3], each.path.curves[-1, 3]
            assert math.isclose(math.dist(below, above), 20.0, abs_tol=1e-9)
            assert np.hypot(*(armhole - hinge).T).min() < 0.5
            assert math.isclose(math.dist(below, hinge), math.dist(above, hinge), abs_tol=1e-9)


class TestCannot:
    def test_laps_wider_than_the_way_between_two_slashes(self) -> None:
        draft = drafted(LAP, 100.0, 9)
        assert codes(stops(draft.pattern.problems)) == {"STEP-CANNOT"}

    @pytest.mark.parametrize("slashes", ["2.5", "0.4"])
    def test_half_a_slash_cannot_be_made(self, slashes: str) -> None:
        ticket = ticket_text("choir-sheath", BODY, knit(0.7), {"slashes": slashes})
        assert stops(draft_for(ticket_of(ticket), recipe_with(SLASH)).pattern.problems)

    def test_overlap_without_a_spread_takes_the_length_out(self) -> None:
        closed, lapped = outline(drafted("", 5.0, 3)), outline(drafted(LAP, 5.0, 3))
        lost = length(closed["centre front"].path) - length(lapped["centre front"].path)
        # a lap is measured straight along the centre, its parts meet on an arc about the hinge: a step of sagitta stays
        assert 15.0 - 3 * 0.1 < lost <= 15.0
        assert math.isclose(length(closed["armhole"].path), length(lapped["armhole"].path), abs_tol=1e-7)
        assert end(lapped["armhole"].path)[0] < end(closed["armhole"].path)[0]
