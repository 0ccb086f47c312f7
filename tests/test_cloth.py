"""Given a cloth, what a cutter may count on."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onfold import cloth as c
from onfold.cloth import Cloth, Hung, settle
from onfold.units import Quantity, read_quantity

NAVY_TWILL = settle("woven", 1500.0, name="navy wool twill", selvage=10.0, weight=260.0, thickness=0.8)


@pytest.mark.parametrize(
    ("relaxed", "held", "percent"),
    [(4, 5, 25), (4, 7, 75), (4, 10, 150), (10, 14, 40), (10, 15, 50), (10, 13, 30), (10, 16, 60)],
)
def test_stretch_from_a_test(relaxed: float, held: float, percent: float) -> None:
    # relaxed and held lengths as commonly taught [C]; the definition itself [A]
    assert c.stretch_of(relaxed, held) == pytest.approx(percent / 100, abs=1e-12)


def test_recovery_of_ten_fifteen_ten_and_a_half() -> None:
    assert c.recovery_of(10, 15, 10.5) == pytest.approx(0.90, abs=1e-12)  # [A], rule [C]


@given(st.floats(1, 500), st.floats(0.01, 3), st.floats(0, 1))
def test_recovery_is_the_part_of_the_pull_that_comes_back(relaxed: float, stretch: float, recovery: float) -> None:
    """[A]"""
    held = relaxed * (1 + stretch)
    after = held - recovery * (held - relaxed)
    assert c.recovery_of(relaxed, held, after) == pytest.approx(recovery, abs=1e-6)


def test_cloth_is_bought_longer_than_it_shrinks_to() -> None:
    assert c.before_shrinking(2000, 0.05) == pytest.approx(2105.3, abs=0.1)  # [A]
    assert c.before_shrinking(2000, 1.0) is None


def test_an_ounce_to_the_square_yard_in_grams() -> None:
    read = read_quantity("1 oz/yd2")
    assert isinstance(read, Quantity)
    assert read.value == pytest.approx(33.906, abs=0.001)  # [C]; exactly 28.349523125 / 0.9144² [A]


def test_usable_width_leaves_both_selvages_off() -> None:
    assert c.usable_width(NAVY_TWILL) == 1480.0
    assert c.usable_width(settle("woven", 15.0, selvage=10.0)) == 0.0


def test_a_knit_whose_stretch_is_not_said_is_told_from_one_that_has_none() -> None:
    unsaid, none = settle("knit", 1500), settle("knit", 1500, stretch_across=0.0)
    assert unsaid.stretch_across == none.stretch_across == 0.0
    assert not unsaid.stretch_given
    assert none.stretch_given
    assert any("Stretch not given" in line for line in c.say_guesses(unsaid, "cm"))
    assert not any("Stretch not given" in line for line in c.say_guesses(none, "cm"))


def test_every_unstated_figure_is_named_and_a_stated_one_is_not() -> None:
    assert set(settle("woven", 1500).guessed) == {"selvage", "recovery", "weight", "thickness", "shrinkage"}
    stated = settle(
        "woven", 1500, selvage=10, recovery=0.95, weight=260, thickness=0.8, shrinkage_along=0.03, shrinkage_across=0.0
    )
    assert stated.guessed == ()
    assert c.say_guesses(stated, "in") == []


def test_thickness_is_guessed_from_weight_and_kind_and_says_so() -> None:
    """A guess [M], so held only to be sensible: knits and pile are thicker than a woven of their weight."""
    woven, knit = settle("woven", 1500, weight=260), settle("knit", 1500, weight=260)
    pile = settle("knit", 1500, weight=260, surface=("pile",))
    assert 0.3 < woven.thickness < knit.thickness < pile.thickness < 2.0
    assert any("guessed as" in line for line in c.say_guesses(knit, "cm"))


def test_comfort_is_half_of_the_stretch() -> None:
    cloth = settle("knit", 1500, stretch_across=0.5, stretch_along=0.2)
    assert (c.comfort_across(cloth), c.comfort_along(cloth)) == (0.25, 0.1)  # [C]


def test_formula_names_and_values_are_the_same_set() -> None:
    assert tuple(c.values(NAVY_TWILL)) == c.FORMULA_NAMES
    assert c.values(NAVY_TWILL)["cloth width"] == 1500.0


def test_cloth_turned_twice_is_the_cloth() -> None:
    cloth = settle(
        "knit",
        1500,
        stretch_across=0.5,
        stretch_along=0.2,
        repeat_along=40.0,
        shrinkage_along=0.03,
        bending_along=14.0,
        hung=Hung(130.0, 120.0),
    )
    assert c.turned(cloth).stretch_across == 0.2
    assert (c.turned(cloth).bending_along, c.turned(cloth).bending_across) == (None, 14.0)
    assert c.turned(cloth).hung == Hung(130.0, 120.0)
    assert c.turned(c.turned(cloth)) == cloth


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan")])
def test_a_test_piece_without_length_gives_no_figure(bad: float) -> None:
    assert c.stretch_of(bad, 15) is None
    assert c.recovery_of(10, 10 if bad == 0 else bad, 10) is None


def test_pile_lies_one_way_even_where_its_way_is_not_said() -> None:
    assert c.one_way(settle("knit", 1500, surface=("pile",)))
    assert c.one_way(settle("woven", 1500, nap="down"))
    assert not c.one_way(NAVY_TWILL)


def test_a_cloth_is_a_value() -> None:
    assert hash(NAVY_TWILL) == hash(
        settle("woven", 1500.0, name="navy wool twill", selvage=10, weight=260, thickness=0.8)
    )
    assert isinstance(NAVY_TWILL, Cloth)
