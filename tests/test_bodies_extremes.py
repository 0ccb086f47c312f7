"""Bodies at the edge of what people are, sides that differ, tickets in inches: drafted soundly or with a problem."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import Any

import pytest
from bodies import survey_women
from drafting import WOVEN, as_json, checked, codes, drafted, garment_of, knit, stops, ticket_text
from hand_sums import girths, hand_sum
from hypothesis import example, given, settings
from hypothesis import strategies as st
from json_reader import Data, edge_length, edges, fold_bend, level_height, piece, seam_gaps, unsound

from onfold.problems import CODES
from onfold.project_draft import Draft
from onfold.shelf.ticket import read_ticket_text

RECIPES = (("choir-sheath", knit(0.7)), ("straight-skirt", WOVEN))
PIECES = {"choir-sheath": 3, "straight-skirt": 3}


def body(height: float, bust: float, waist: float, hip: float) -> dict[str, float]:
    """Four measures, given in cm, mm."""
    return {"height": height * 10.0, "bust": bust * 10.0, "waist": waist * 10.0, "hip": hip * 10.0}


EXTREMES = {
    "bust 161, hip 173": body(168, 161, 150, 173),
    "very small": body(138, 68, 52, 72),
    "very tall and thin": body(200, 82, 62, 88),
    "waist larger than hip": body(165, 120, 128, 118),
    "waist as large as hip and bust": body(160, 100, 100, 100),
    "hip far over the waist": body(165, 92, 66, 122),
    "bust far over the hip": body(165, 130, 82, 96),
    "short and stout": body(142, 118, 112, 124),
}


def sound(data: Data) -> None:
    """Every piece that is drawn can be cut, every seam that is there can be sewn."""
    assert unsound(data) == []
    assert max(seam_gaps(data).values(), default=0.0) <= 0.5
    assert fold_bend(data) <= 0.01


class TestExtremes:
    @pytest.mark.parametrize("name", EXTREMES)
    @pytest.mark.parametrize(("recipe", "cloth"), RECIPES)
    def test_drafted_soundly(self, recipe: str, cloth: dict[str, str], name: str) -> None:
        draft = drafted(ticket_text(recipe, EXTREMES[name], cloth))
        sound(as_json(draft))
        # 122 / 66 = 1.85: stepped into it would not go on; but over the head only the shoulders must pass [A]
        assert recipe != "choir-sheath" or hand_sum(as_json(draft), 0.7, girths(draft.body.measures)).goes_on
        assert not stops(draft.pattern.problems)
        assert len(draft.pattern.pieces) == PIECES[recipe]

    @pytest.mark.parametrize("figure", ["woman", "man"])
    @pytest.mark.parametrize(("recipe", "cloth"), RECIPES)
    def test_a_child_is_told_what_to_measure(self, recipe: str, cloth: dict[str, str], figure: str) -> None:
        child = body(128, 64, 58, 68)
        adult = drafted(ticket_text(recipe, child, cloth, figure=figure))
        sound(as_json(adult))
        told = garment_of(ticket_text(recipe, child, cloth, figure="child")).all_problems
        missing = {each.code for each in told if each.severity == "stop"}
        assert missing == {"MEASURE-MISSING"}
        assert all(each.remedy for each in told)


def any_draft(text: str) -> Draft | None:
    """The draft of a ticket that may be out of all bounds; None where it cannot be read, which then says so."""
    ticket, problems = read_ticket_text(text)
    if ticket is None or stops(problems):
        assert stops(problems)
        return None
    return checked(ticket)


sizes = st.tuples(st.floats(100.0, 220.0), st.floats(50.0, 190.0), st.floats(40.0, 200.0), st.floats(50.0, 200.0))


def never_unsound(recipe: str, of: tuple[float, float, float, float], stretch: float) -> None:
    cloth = knit(stretch) if recipe == "choir-sheath" else dict(WOVEN)
    draft = any_draft(ticket_text(recipe, body(*of), cloth))
    if draft is None:
        return
    data = as_json(draft)
    if data["pieces"]:
        sound(data)
    told = stops(draft.pattern.problems)
    if len(data["pieces"]) < PIECES[recipe]:
        assert told
    for each in told:
        assert each.says and (each.remedy or CODES[each.code].group == "reading"), each


class TestAnyBody:
    """Whatever four figures a maker writes: no exception, no unsound piece, and what is left out is told."""

    @settings(max_examples=40, deadline=None)
    @given(sizes, st.floats(0.0, 1.5))
    @example((130.0, 129.5, 91.55859375, 178.48828125), 0.0)  # its armhole's hollow ends in a needle of the cut line
    def test_the_sheath(self, of: tuple[float, float, float, float], stretch: float) -> None:
        never_unsound("choir-sheath", of, round(stretch, 3))

    @settings(max_examples=40, deadline=None)
    @given(sizes)
    def test_the_skirt(self, of: tuple[float, float, float, float]) -> None:
        never_unsound("straight-skirt", of, 0.0)

    @pytest.mark.long
    @settings(max_examples=1000, deadline=None)
    @given(st.sampled_from(["choir-sheath", "straight-skirt"]), sizes, st.floats(0.0, 1.5))
    def test_both_at_length(self, recipe: str, of: tuple[float, float, float, float], stretch: float) -> None:
        never_unsound(recipe, of, round(stretch, 3))


def numbers(data: Any) -> list[float]:
    """Every figure of a piece of JSON, in order."""
    if isinstance(data, dict):
        return [each for key in data for each in numbers(data[key])]
    if isinstance(data, list):
        return [each for item in data for each in numbers(item)]
    return [float(data)] if isinstance(data, int | float) and not isinstance(data, bool) else []


INCHES = {
    "height": ("66 in", "167.64 cm"),
    "bust": ("37 1/2 in", "95.25 cm"),
    "waist": ("30 1/4 in", "76.835 cm"),
    "hip": ("40 1/2 in", "102.87 cm"),
    "across front": ("13 in", "33.02 cm"),
    "waist to hip": ("8 1/4 in", "20.955 cm"),
}


class TestUnits:
    """A ticket in inches and the same in centimetres give one pattern."""

    @pytest.mark.parametrize(
        ("recipe", "cloth", "choices"),
        [
            ("choir-sheath", knit(0.6), {"length": ("24 in", "60.96 cm"), "fall": ("2 3/4 in", "69.85 mm")}),
            ("choir-sheath", knit(0.35), {"strap width": ("5/8 in", "1.5875 cm"), "straps": ("straight", "straight")}),
            ("straight-skirt", WOVEN, {"length": ("25 1/2 in", "64.77 cm"), "waist ease": ("1/2 in", "12.7 mm")}),
        ],
    )
    def test_the_same_pattern(self, recipe: str, cloth: dict[str, str], choices: dict[str, tuple[str, str]]) -> None:
        drawn = []
        for at, units in enumerate(("in", "cm")):
            measures = {name: both[at] for name, both in INCHES.items()}
            named = {name: both[at] for name, both in choices.items()}
            hem = {"hem": "single turned 1 in" if units == "in" else "single turned 25.4 mm"}
            text = ticket_text(recipe, measures, {**cloth, "width": ("60 in", "152.4 cm")[at]}, named, hem, units=units)
            drawn.append(as_json(drafted(text)))
        first, second = drawn
        assert [each["name"] for each in first["pieces"]] == [each["name"] for each in second["pieces"]]
        for key in ("pieces", "seams", "levels", "measures", "openings", "facts"):
            a, b = numbers(first[key]), numbers(second[key])
            assert len(a) == len(b) > 0 or key == "openings", key
            assert max((abs(x - y) for x, y in zip(a, b, strict=True)), default=0.0) <= 0.001, key
        assert codes_of(first) == codes_of(second)

    def test_the_maker_reads_their_own_units(self) -> None:
        for units, foreign in (("in", r"\d cm"), ("cm", r"\d in\b")):
            draft = drafted(ticket_text("choir-sheath", survey_women(1)[0], knit(0.4), {"fall": "40 cm"}, units=units))
            told = [each for each in draft.pattern.problems if each.code in ("COWL-FALL", "NOT-TAPED", "FRONT-LENGTH")]
            assert len(told) > 3
            assert not [each.says for each in told if re.search(foreign, f"{each.says} {each.expected} {each.found}")]


def codes_of(data: Data) -> list[str]:
    return sorted(each["code"] for each in data["problems"])


class TestSides:
    """Left and right may differ: the draft is made for the larger, and the maker is told."""

    MEASURES = {"height": "168 cm", "bust": "92 cm", "waist": "74 cm", "hip": "98 cm"}  # noqa: RUF012

    @pytest.mark.parametrize("name", ["shoulder to underarm", "underarm to waist", "waist to hip", "shoulder to bust"])
    def test_the_larger_is_drafted_and_told(self, name: str) -> None:
        sizes = {"shoulder to underarm": (16.0, 18.0), "underarm to waist": (19.0, 21.0), "waist to hip": (20.0, 22.0)}
        less, more = sizes.get(name, (26.0, 28.5))
        both = {**self.MEASURES, name: f"{{left: {more} cm, right: {less} cm}}"}
        plain = {**self.MEASURES, name: f"{more} cm"}
        two, one = (drafted(ticket_text("choir-sheath", each, knit(0.7))) for each in (both, plain))
        first, second = numbers(as_json(two)["pieces"]), numbers(as_json(one)["pieces"])
        assert max(abs(a - b) for a, b in zip(first, second, strict=True)) <= 1e-3
        assert "SIDES-DIFFER" in codes(two.pattern.problems) and "SIDES-DIFFER" not in codes(one.pattern.problems)

    def test_it_does_not_matter_which_side_is_the_larger(self) -> None:
        drawn = []
        for left, right in ((19.0, 21.0), (21.0, 19.0)):
            measures = {**self.MEASURES, "underarm to waist": f"{{left: {left} cm, right: {right} cm}}"}
            drawn.append(as_json(drafted(ticket_text("choir-sheath", measures, knit(0.7)))))
        assert drawn[0]["pieces"] == drawn[1]["pieces"]


class TestShape:
    """What a cutter would look at first, on every fifth of a hundred bodies."""

    @pytest.mark.parametrize("number", range(0, 100, 10))
    def test_front_and_back_of_the_sheath_share_the_side_and_its_levels(self, number: int) -> None:
        data = as_json(drafted(ticket_text("choir-sheath", survey_women()[number], knit(0.7))))
        for upper, lower in pairwise(("underarm", "bust", "waist", "hip", "hem")):
            apart = []
            for name in ("front", "back"):
                high, low = level_height(data, name, upper), level_height(data, name, lower)
                assert high is not None and low is not None and high > low
                apart.append(high - low)
            assert abs(apart[0] - apart[1]) <= 1e-3
        assert min(x for x, _ in piece(data, "front")["seam_line"]) == 0.0

    @pytest.mark.parametrize("number", range(0, 100, 10))
    def test_the_skirt_s_darts_and_sides_take_up_hip_less_waist(self, number: int) -> None:
        # [A] on the half: darts and side intakes = (hip + ease) / 2 - (waist + ease) / 2
        someone = survey_women()[number]
        data = as_json(drafted(ticket_text("straight-skirt", someone, WOVEN)))
        waist = 2.0 * sum(edge_length(e) for name in ("front", "back") for e in edges(data, name, "waist"))
        assert abs(waist - someone["waist"] - 24.0) <= 0.1
        band = next(each for each in data["seams"] if each["name"] == "waist seam")
        assert abs(band["lengths"][0] - waist) <= 0.1
        for name in ("front", "back"):
            legs = [edge_length(e) for e in piece(data, name)["edges"] if e["finish"] == "dart"]
            assert legs and len(legs) % 2 == 0
            assert all(abs(a - b) <= 0.01 for a, b in zip(legs[::2], legs[1::2], strict=True))
        longest = [
            max(edge_length(e) for e in piece(data, n)["edges"] if e["finish"] == "dart") for n in ("front", "back")
        ]
        assert longest[1] > longest[0]


class TestHem:
    """A hem that tapers or flares runs on true over the side seam, and the sides stay equal."""

    @pytest.mark.parametrize("recipe", ["choir-sheath", "straight-skirt"])
    @pytest.mark.parametrize("taper", ["3 cm", "-4 cm", "-18 cm"])
    def test_the_hem_is_square_to_the_side_and_level_at_the_centre(self, recipe: str, taper: str) -> None:
        cloth = knit(0.7) if recipe == "choir-sheath" else WOVEN
        made = drafted(ticket_text(recipe, survey_women()[5], cloth, {"hem taper": taper}))
        told = {each.code for each in made.pattern.problems}
        assert not told & {"JOIN-ANGLE", "NOTCH-MEET", "SEAM-LENGTH", "FINISHED-GIRTH"}
        data = as_json(made)
        for name in ("front", "back"):
            hem, side = (next(e for e in piece(data, name)["edges"] if e["name"] == edge) for edge in ("hem", "side"))
            (ax, ay), (bx, by) = _first_way(hem), _last_way(hem)
            (cx, cy) = _first_way(side)
            assert abs(ay) < 1e-3 * abs(ax)  # level at the centre [A]
            assert abs(bx * cx + by * cy) < 5e-3  # square to the side [A]


def _way(points: list[list[float]]) -> tuple[float, float]:
    (ax, ay), (bx, by) = points
    size = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
    return (bx - ax) / size, (by - ay) / size


def _first_way(edge: dict[str, Any]) -> tuple[float, float]:
    ((_, points),) = edge["segments"][0].items()
    return _way(points[:2])


def _last_way(edge: dict[str, Any]) -> tuple[float, float]:
    ((_, points),) = edge["segments"][-1].items()
    return _way(points[-2:])
