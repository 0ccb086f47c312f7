"""The law of a hanging edge. Marks: [A] analytic identity of the catenary."""

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from onfold.geometry.fall import half_length_for, most_sag, sag


@pytest.mark.parametrize(("span", "edge", "expected"), [(24.0, 30.0, 7.96), (20.0, 28.0, 8.76)])
def test_worked_sags(span: float, edge: float, expected: float) -> None:
    assert sag(edge / 2, span / 2) == pytest.approx(expected, abs=0.005)  # [A]


@pytest.mark.parametrize(("span", "edge", "expected"), [(24.0, 30.0, 9.00), (20.0, 28.0, 9.80)])
def test_worked_bounds(span: float, edge: float, expected: float) -> None:
    assert most_sag(edge / 2, span / 2) == pytest.approx(expected, abs=0.005)  # [A]


@given(st.floats(0.01, 60.0), st.floats(1.0, 500.0))
def test_the_catenary_it_was_made_from_comes_back(k: float, s: float) -> None:
    c = s / k  # [A] L = c sinh(s / c), sag = c (cosh(s / c) - 1), by its half-angle form
    long, deep = c * math.sinh(k), 2.0 * c * math.sinh(k / 2.0) ** 2
    assert sag(long, s) == pytest.approx(deep, rel=1e-9)
    assert half_length_for(deep, s) == pytest.approx(long, rel=1e-9)


@given(st.floats(1e-12, 1e-7), st.floats(1.0, 500.0))
def test_all_but_taut(extra: float, s: float) -> None:
    long = s * (1.0 + extra)
    # [A] the leading term: sag = sqrt(3/2 · s · (L - s)), from the numbers as rounded
    assert sag(long, s) == pytest.approx(math.sqrt(1.5 * s * (long - s)), rel=1e-6)


@given(st.floats(0.0, 1e6), st.floats(0.0, 1e6))
def test_never_below_the_v_nor_above_the_span(long: float, s: float) -> None:
    deep = sag(long, s)
    assert 0.0 <= deep <= most_sag(long, s) * (1.0 + 1e-12) + 1e-300 or (s == 0.0 and deep == long)
    assert sag(long * 1.01 + 0.1, s) >= deep


@given(st.floats(0.0, 1e5), st.floats(0.0, 1e4))
@example(5e-324, 1.0)
@example(1e-9, 1.0)
def test_the_length_for_a_sag_sags_so_far(deep: float, s: float) -> None:
    long = half_length_for(deep, s)
    assert long >= s
    # the length holds no more of the sag than its own rounding: a shallow one is lost in it
    assert sag(long, s) == pytest.approx(deep, rel=1e-7, abs=2e-8 * max(s, 1e-290) + 1e-290)


def test_the_extremes_have_answers() -> None:
    assert sag(1.0, 1.0) == sag(0.5, 1.0) == sag(0.0, 0.0) == 0.0
    assert sag(100.0, 0.0) == 100.0
    assert sag(1e9, 1.0) == pytest.approx(1e9, rel=1e-6)
    assert sag(1e300, 1e-300) == pytest.approx(1e300)
    for bad in (math.nan, math.inf, -1.0):
        assert math.isnan(sag(bad, 1.0)) and math.isnan(sag(1.0, bad))
        assert math.isnan(half_length_for(bad, 1.0)) and math.isnan(most_sag(bad, 1.0))
