"""Getting in: the verdict against the hand sum, over bodies and cloths; seams and openings that turn it."""

from __future__ import annotations

import math
import random
import re
from dataclasses import replace
from itertools import pairwise

import pytest
from check_patterns import (
    BODY,
    edit_edge,
    knit,
    of_sheath,
    of_skirt,
    sheath,
    skirt,
    with_measures,
    without_measure,
)

from onfold.checks import getting_in, run_checks
from onfold.checks.places import Part, Place

ORDER = ("high bust", "bust", "waist", "hip")
LEVEL = {"high bust": "underarm", "bust": "bust", "waist": "waist", "hip": "hip"}
USED = {"high bust": 0.2, "bust": 0.2, "waist": 0.1, "hip": 0.2}


def bodies(count: int) -> list[dict[str, float]]:
    """Bodies of many shapes, hip over waist from 1.1 to 1.7, drawn from a fixed seed."""
    rng = random.Random(1988)
    found = []
    for _ in range(count):
        waist = rng.uniform(600.0, 1000.0)
        hip = waist * rng.uniform(1.1, 1.7)
        bust = waist * rng.uniform(1.1, 1.35)
        found.append(
            {
                "waist": waist,
                "hip": hip,
                "bust": bust,
                "high bust": bust * rng.uniform(0.93, 0.99),
                "round the shoulders": hip * rng.uniform(0.95, 1.25),
                "underbust": bust * 0.88,
            }
        )
    return found


def hand_sum(body: dict[str, float]) -> float:
    """The least stretch at which a sheath drafted for that very stretch goes on, a share, inf where none does.

    [A] finished = b / (1 + u s) must reach g at full pull: b (1 + s) >= g (1 + u s), so s = (g/b - 1) / (1 - u g/b).
    Stepped into, each level passes the widest from itself down; over the head, from itself up, the hem passing all
    with 0.85 of the stretch for its twin needle [C].
    """

    def least(b: float, g: float, u: float, of_cloth: float = 1.0) -> float:
        over = g / b
        rate = of_cloth - u * over
        return max(0.0, (over - 1.0) / rate) if rate > 0.0 else (0.0 if over <= 1.0 else math.inf)

    below = [least(body[name], max(body[low] for low in ORDER[k:]), USED[name]) for k, name in enumerate(ORDER)]
    tops = [max([body["round the shoulders"], BODY["head"], *(body[n] for n in ORDER[: k + 1])]) for k in range(4)]
    above = [least(body[name], tops[k], USED[name]) for k, name in enumerate(ORDER)]
    above.append(least(body["hip"], max(tops), USED["hip"], 0.85))
    return min(max(below), max(above))


def test_the_published_condition_for_getting_in() -> None:
    # [A] opening 68 cm over girth 94 cm: s = 94/68 - 1 = 38.2 %
    assert Place("waist", 5.0, (Part(680.0),), 0.0).stretch_to_pass(940.0) == pytest.approx(0.382, abs=0.0005)


@pytest.mark.parametrize("body", bodies(200)[:40])
def test_drafted_for_each_stretch_the_verdict_changes_once_at_the_hand_sum(body: dict[str, float]) -> None:
    steps = [k / 100.0 for k in range(0, 101, 2)]
    verdicts = [goes_on_at(body, s) for s in steps]
    assert verdicts == sorted(verdicts)
    bar = hand_sum(body)
    for s, goes_on in zip(steps, verdicts, strict=True):
        if abs(s - bar) > 0.01:
            assert goes_on == (s > bar), (s, bar)


def goes_on_at(body: dict[str, float], stretch: float) -> bool:
    cloth = knit(stretch_across=stretch)
    return getting_in(of_sheath(sheath(cloth=cloth, body=body), cloth=cloth)).goes_on


@pytest.mark.parametrize("body", bodies(200)[40:])
def test_the_verdict_of_one_pattern_is_monotone_in_the_stretch(body: dict[str, float]) -> None:
    pattern = sheath(cloth=knit(), body=body)
    found = [getting_in(of_sheath(pattern, cloth=knit(stretch_across=k / 20.0))) for k in range(21)]
    assert [each.goes_on for each in found] == sorted(each.goes_on for each in found)
    pulls = [each.at_full_pull / each.girth_to_pass for each in found]
    assert all(b >= a - 1e-9 for a, b in pairwise(pulls) if a < 1.0)
    needed = found[10].needed_stretch
    just, not_yet = (getting_in(of_sheath(pattern, cloth=knit(stretch_across=needed + d))) for d in (1e-3, -2e-3))
    assert just.goes_on
    assert needed < 2e-3 or not not_yet.goes_on


def test_route_place_and_lack_are_named() -> None:
    stuck = with_measures(sheath(), hip=1100.0, round_the_shoulders=1300.0)
    verdict = getting_in(of_sheath(stuck))
    assert (verdict.goes_on, verdict.route, verdict.place, verdict.passing) == (False, "stepped into", "waist", "hip")
    assert verdict.at_full_pull == pytest.approx(720.0 / 1.05 * 1.5)
    assert verdict.lacks == pytest.approx(1100.0 - 720.0 / 1.05 * 1.5)


def test_over_the_head_is_chosen_where_the_shoulders_are_narrower_than_the_hip() -> None:
    body = {"waist": 760.0, "bust": 860.0, "hip": 1160.0, "round the shoulders": 900.0, "high bust": 830.0}
    wide_hem = sheath({"hip": 0.0}, body=body)
    verdict = getting_in(of_sheath(wide_hem))
    assert verdict.goes_on and verdict.route == "over the head"


def test_an_edge_sewn_without_give_turns_the_verdict() -> None:
    body = {"waist": 800.0, "hip": 1120.0, "high bust": 860.0, "round the shoulders": 1300.0}
    free = getting_in(of_sheath(sheath(body=body)))
    assert free.goes_on
    held = edit_edge(sheath(body=body), "back", "back neck", finish="plain 8 mm")
    verdict = getting_in(of_sheath(held))
    assert not verdict.goes_on and verdict.place == "underarm"
    said = next(each for each in run_checks(of_sheath(held)) if each.code == "GETTING-IN")
    assert "back neck: narrow zigzag" in said.remedy


def test_the_remedy_of_stretch_is_exact_to_the_percent() -> None:
    body = {"hip": 1100.0, "round the shoulders": 1300.0}
    said = next(each for each in run_checks(of_sheath(sheath(body=body))) if each.code == "GETTING-IN")
    asked = [int(each) / 100.0 for each in re.findall(r"(\d+) %", said.remedy)]
    assert asked[0] == math.ceil((1100.0 / (720.0 / 1.05) - 1.0) * 100.0) / 100.0
    assert goes_on_at(body, asked[1]) and not goes_on_at(body, asked[1] - 0.01)


def test_the_remedy_of_less_reduction_lets_it_on() -> None:
    body = {"hip": 1060.0, "round the shoulders": 1300.0}
    said = next(each for each in run_checks(of_sheath(sheath(body=body))) if each.code == "GETTING-IN")
    share = re.search(r"waist reduction: (\d+) %", said.remedy)
    assert share
    assert getting_in(of_sheath(sheath({"waist": int(share[1]) / 100.0}, body=body))).goes_on
    assert not getting_in(of_sheath(sheath({"waist": (int(share[1]) + 1) / 100.0}, body=body))).goes_on


def test_the_opening_needed_is_found_by_walking_down_the_skirt() -> None:
    short = of_skirt(skirt(zip_length=80.0))
    said = next(each for each in run_checks(short) if each.code == "OPENING-SHORT")
    needed = float(re.search(r"at least ([\d.]+) cm", said.expected)[1]) * 10.0  # type: ignore[index]
    assert "zip length" in said.remedy
    assert getting_in(of_skirt(skirt(zip_length=needed))).goes_on
    assert not getting_in(of_skirt(skirt(zip_length=needed - 5.0))).goes_on
    assert getting_in(of_skirt()).route == "fastened"


def test_without_an_opening_a_woven_skirt_needs_one() -> None:
    closed = replace(skirt(), openings=())
    verdict = getting_in(of_skirt(closed))
    assert (verdict.goes_on, verdict.place, verdict.passing) == (False, "waist", "hip")
    assert "opening" in next(each for each in run_checks(of_skirt(closed)) if each.code == "GETTING-IN").remedy


def test_a_dip_between_two_levels_is_found() -> None:
    pattern = sheath()
    curves = pattern.pieces[0].edges[1].path.curves.copy()
    curves[1, 2] = (90.0, 560.0)
    curves[1, 1] = (90.0, 540.0)
    dipped = pattern
    for name in ("front", "back"):
        dipped = edit_edge(dipped, name, "side", path=replace(pattern.pieces[0].edges[1].path, curves=curves))
    verdict = getting_in(of_sheath(dipped))
    assert verdict.place == "between waist and hip" and not verdict.goes_on


def test_a_route_whose_girth_is_unknown_is_not_judged() -> None:
    no_shoulders = without_measure(with_measures(sheath(), hip=1100.0), "round the shoulders")
    verdict = getting_in(of_sheath(no_shoulders))
    assert not verdict.goes_on and verdict.route == "stepped into"
