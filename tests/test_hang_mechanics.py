"""Given a cloth, what the hang takes of it: weight, stiffness, shear, rigidity, friction, and what of it is guessed."""

from __future__ import annotations

import math
from dataclasses import fields, replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from making_cloths import JERSEY, LAWN, SATIN, TWILL, UNKNOWN, VELVET, any_cloth

from onfold.cloth import KINDS, Cloth, Hung, settle
from onfold.hang.mechanics import (
    BENDING_SPREAD,
    CLOTH_FRICTION,
    FRICTION,
    GRAVITY,
    HAND_TENSION,
    LEAST_STIFFNESS,
    PILE_FRICTION,
    SLIPPERY_FRICTION,
    Mechanics,
    bending_length,
    bending_lengths,
    guess_bending_length,
    limp_and_stiff,
    mechanics_of,
    rigidity,
    softened,
    with_bending,
)

FIGURES = [each.name for each in fields(Mechanics) if each.name != "estimates" and "stiffening" not in each.name]
STIFFNESSES = ["along", "across", "shear", "bending_along", "bending_across"]
lengths = st.floats(2.0, 120.0)


def of(mechanics: Mechanics, names: list[str]) -> list[float]:
    return [getattr(mechanics, name) for name in names]


def measured(**more: object) -> Cloth:
    return settle(
        "woven",
        1500.0,
        weight=150.0,
        thickness=0.4,
        stretch_across=0.0,
        stretch_along=0.0,
        **{"bending_along": 20.0, "bending_across": 15.0, **more},  # type: ignore[arg-type]
    )


# --- bending


def test_rigidity_of_a_hundred_and_fifty_grams_bending_at_twenty_millimetres() -> None:
    # T163 [A]: 15 mg/cm2 x (2 cm)3 = 120 mg cm, in SI 11.77 uN m
    assert rigidity(150.0, 20.0) == pytest.approx(11.77e-6, abs=0.005e-6)
    assert rigidity(150.0, 20.0) == pytest.approx(120e-6 * 1e-2 * GRAVITY, rel=1e-12)
    found = mechanics_of(measured())
    assert found.bending_along == rigidity(150.0, 20.0)
    assert found.bending_across == rigidity(150.0, 15.0)


@given(any_cloth(), lengths, lengths)
def test_a_measured_bending_length_gives_weight_by_its_cube_by_gravity(c: Cloth, along: float, across: float) -> None:
    found = mechanics_of(replace(c, bending_along=along, bending_across=across, hung=None))
    assert found.bending_along == c.weight / 1000.0 * (along / 1000.0) ** 3 * GRAVITY  # [A]
    assert found.bending_across == c.weight / 1000.0 * (across / 1000.0) ** 3 * GRAVITY
    assert bending_length(c.weight, found.bending_along) == pytest.approx(along, rel=1e-9)
    assert "bending" not in found.estimates


@pytest.mark.parametrize(
    ("weight", "least", "most"),
    # voile, lawn, poplin, denim, coating: bands of T166 [M], so their middle is only held within the guess's spread
    [(70.0, 12.0, 16.0), (85.0, 16.0, 20.0), (120.0, 20.0, 25.0), (400.0, 30.0, 40.0), (450.0, 25.0, 40.0)],
)
def test_a_wovens_guess_meets_the_rough_bands(weight: float, least: float, most: float) -> None:
    guess = guess_bending_length(settle("woven", 1500.0, weight=weight))
    assert guess / BENDING_SPREAD <= (least + most) / 2 <= guess * BENDING_SPREAD


def test_knits_are_limper_than_wovens_and_pile_than_its_weight() -> None:
    for weight in (150.0, 200.0, 260.0):
        knit, woven = (settle(kind, 1500.0, weight=weight) for kind in ("knit", "woven"))
        assert 8.0 <= guess_bending_length(knit) <= 14.0  # [M]
        assert guess_bending_length(knit) < guess_bending_length(woven)
        for kind in KINDS:
            bare, pile = (settle(kind, 1500.0, weight=weight, surface=s) for s in ((), ("pile",)))
            assert guess_bending_length(pile) < guess_bending_length(bare)
    slippery, coated = (settle("woven", 1500.0, weight=150.0, surface=(each,)) for each in ("slippery", "coated"))
    plain = guess_bending_length(settle("woven", 1500.0, weight=150.0))
    assert guess_bending_length(slippery) < plain < guess_bending_length(coated)


def test_a_cloth_thicker_than_usual_for_its_weight_is_stiffer_where_that_was_measured() -> None:
    thin, usual, thick = (settle("woven", 1500.0, weight=350.0, thickness=each) for each in (0.7, 1.0, 1.4))
    guesses = [guess_bending_length(each) for each in (thin, usual, thick)]
    assert guesses == sorted(guesses)
    assert guesses[0] < guesses[2]
    assert guesses[1] == pytest.approx(guess_bending_length(settle("woven", 1500.0, weight=350.0)))


def test_a_way_that_is_not_measured_is_taken_as_the_other() -> None:
    cloth = measured(bending_across=None)
    assert bending_lengths(cloth) == (20.0, 20.0)
    assert "bending" in mechanics_of(cloth).estimates
    limp, stiff = limp_and_stiff(cloth)
    # the strip that was cut has its test's spread, the other the guess's: 1.10 and 1.33 on the length [C]
    assert stiff.bending_along / limp.bending_along == pytest.approx(1.10**6)
    assert stiff.bending_across / limp.bending_across == pytest.approx(1.33**6)


def test_what_a_hung_garment_showed_comes_before_the_strips() -> None:
    hung = measured(hung=Hung(132.0, 121.0, 10.0))
    along, across = bending_lengths(hung)
    assert math.sqrt(along * across) == pytest.approx(10.0)
    assert along / across == pytest.approx(20.0 / 15.0)
    assert bending_lengths(measured(hung=Hung(132.0, 121.0))) == (20.0, 15.0)
    assert "bending" not in mechanics_of(replace(UNKNOWN, hung=Hung(132.0, 121.0, 10.0))).estimates
    assert "bending" in mechanics_of(replace(UNKNOWN, hung=Hung(132.0, 121.0))).estimates


@given(any_cloth(), lengths)
def test_a_softened_cloth_has_the_length_it_was_given(cloth: Cloth, length: float) -> None:
    soft = softened(cloth, length)
    along, across = bending_lengths(soft)
    assert math.sqrt(along * across) == pytest.approx(length)
    ways = bending_lengths(replace(cloth, hung=None))
    assert along / across == pytest.approx(ways[0] / ways[1])
    assert of(mechanics_of(soft), ["mass", "along", "across", "shear"]) == of(
        mechanics_of(cloth), ["mass", "along", "across", "shear"]
    )
    # so that one found from a hung garment is the one that is used again
    found = mechanics_of(replace(cloth, hung=Hung(1.0, 1.0, length)))
    assert found.bending_along == pytest.approx(mechanics_of(soft).bending_along, rel=1e-9)


def test_bending_times_a_factor_changes_bending_alone() -> None:
    found = mechanics_of(JERSEY)
    twice = with_bending(found, 2.0)
    assert (twice.bending_along, twice.bending_across) == (2 * found.bending_along, 2 * found.bending_across)
    assert with_bending(twice, 0.5) == found


# --- stretch, shear, friction


def test_a_knits_stiffness_is_the_hands_pull_over_its_stretch() -> None:
    jersey = mechanics_of(settle("knit", 1500.0, stretch_across=0.7, stretch_along=0.4))
    # at the stretch of the test the tension is the hand's: 100 N/m [C] at 70 % across, at 40 % along
    for stiff, stiffening, stretch in (
        (jersey.across, jersey.stiffening_across, 0.7),
        (jersey.along, jersey.stiffening_along, 0.4),
    ):
        assert stiff * stretch * (1.0 + stiffening * stretch**2) == pytest.approx(HAND_TENSION)
        assert stiff == pytest.approx(0.25 * HAND_TENSION / stretch)  # it gives before its yarns are drawn straight [M]
    # E / (2 (1 + v)) of the softer way: a quarter to a half of it [A]; v here about two thirds [M]
    assert 0.25 <= jersey.shear / jersey.across <= 0.5


def test_a_woven_without_stretch_is_stiff_and_shears_softly() -> None:
    for cloth in (TWILL, LAWN, SATIN, settle("woven", 1500.0, stretch_across=0.0)):
        found = mechanics_of(cloth)
        assert 2_000.0 <= found.along == found.across <= 6_000.0  # [M]
        assert 30.0 <= found.shear <= 60.0  # [M]
    assert mechanics_of(settle("woven", 1500.0, stretch_across=0.01)).across <= mechanics_of(UNKNOWN).across


def test_no_cloth_stretches_by_more_than_a_quarter_under_its_own_length() -> None:
    soft = mechanics_of(settle("knit", 1500.0, weight=150.0, stretch_across=4.0, stretch_along=4.0))
    assert soft.across == LEAST_STIFFNESS
    heavy = mechanics_of(settle("knit", 1500.0, weight=3000.0, stretch_across=4.0, stretch_along=4.0))
    assert heavy.mass * GRAVITY * 1.5 / heavy.across == pytest.approx(0.25)


def test_friction_by_the_surface() -> None:
    assert [mechanics_of(each).friction for each in (LAWN, SATIN, VELVET)] == [
        FRICTION,
        SLIPPERY_FRICTION,
        PILE_FRICTION,
    ]
    assert mechanics_of(LAWN).cloth_friction == CLOTH_FRICTION


# --- any cloth


@given(any_cloth())
def test_any_cloth_has_positive_finite_figures(cloth: Cloth) -> None:
    for found in (mechanics_of(cloth), *limp_and_stiff(cloth)):
        assert all(math.isfinite(value) and value > 0.0 for value in of(found, FIGURES))
        assert all(math.isfinite(each) and each >= 0.0 for each in (found.stiffening_across, found.stiffening_along))
        assert min(found.along, found.across) >= LEAST_STIFFNESS
    assert mechanics_of(cloth).mass == cloth.weight / 1000.0


@given(any_cloth(), st.floats(1.0, 20.0))
def test_a_heavier_cloth_is_not_softer(cloth: Cloth, times: float) -> None:
    assume(cloth.weight * times <= 3000.0)
    light, heavy = mechanics_of(cloth), mechanics_of(replace(cloth, weight=cloth.weight * times))
    assert heavy.mass >= light.mass
    assert all(a <= b * (1 + 1e-12) for a, b in zip(of(light, STIFFNESSES), of(heavy, STIFFNESSES), strict=True))


@given(
    st.sampled_from(KINDS),
    st.none() | st.floats(5.0, 3000.0),
    st.none() | st.floats(0.02, 50.0),
    st.none() | st.floats(0.0, 4.0),
    st.none() | st.floats(0.0, 4.0),
    st.none() | lengths,
    st.none() | lengths,
)
def test_estimates_name_just_what_was_not_stated(
    kind: str,
    weight: float | None,
    thickness: float | None,
    stretch_across: float | None,
    stretch_along: float | None,
    along: float | None,
    across: float | None,
) -> None:
    cloth = settle(
        kind,  # type: ignore[arg-type]
        1500.0,
        weight=weight,
        thickness=thickness,
        stretch_across=stretch_across,
        stretch_along=stretch_along,
        bending_along=along,
        bending_across=across,
    )
    unsaid = {
        "weight": weight is None,
        "thickness": thickness is None,
        "stretch": stretch_across is None and stretch_along is None,
        "shear": True,
        "bending": along is None or across is None,
    }
    assert mechanics_of(cloth).estimates == tuple(name for name, missing in unsaid.items() if missing)


@given(any_cloth())
def test_the_best_guess_lies_between_the_limp_end_and_the_stiff_one(cloth: Cloth) -> None:
    best, (limp, stiff) = mechanics_of(cloth), limp_and_stiff(cloth)
    for a, b, c in zip(*(of(each, STIFFNESSES) for each in (limp, best, stiff)), strict=True):
        assert a <= b <= c
    assert limp.shear < best.shear < stiff.shear
    assert limp.bending_along < best.bending_along < stiff.bending_along
    if "stretch" not in best.estimates:
        assert (limp.along, limp.across) == (best.along, best.across) == (stiff.along, stiff.across)
    for name in ("mass", "thickness", "friction", "cloth_friction", "estimates"):
        assert getattr(limp, name) == getattr(best, name) == getattr(stiff, name)


def test_of_a_measured_cloth_only_the_tests_own_spread_and_the_shear_are_left() -> None:
    best, (limp, stiff) = mechanics_of(measured()), limp_and_stiff(measured())
    assert best.estimates == ("shear",)
    assert stiff.bending_along == pytest.approx(rigidity(150.0, 20.0 * 1.10))  # 10 % on the length [C]
    assert limp.bending_across == pytest.approx(rigidity(150.0, 15.0 / 1.10))
    guessed = limp_and_stiff(settle("woven", 1500.0, weight=150.0))
    # a factor of about 2.4 on the rigidity each way [C]
    assert guessed[1].bending_along / guessed[0].bending_along == pytest.approx(2.4**2, rel=0.05)
    wider = limp_and_stiff(UNKNOWN)
    assert wider[1].bending_along / wider[0].bending_along > guessed[1].bending_along / guessed[0].bending_along
