"""Lengths as makers write them, and as they are said back."""

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onfold.units import (
    FRACTION_BOTTOMS,
    UNITS,
    WEIGHT_UNITS,
    Quantity,
    UnitFault,
    lengths_in,
    mixes_systems,
    plain,
    read_quantity,
    say_degrees,
    say_length,
    say_list,
    say_share,
)


@pytest.mark.parametrize(
    ("text", "value", "kind"),
    [
        ("1 1/2 in", 38.1, "length"),  # [A] 1 in = 25.4 mm exactly
        ("7/8 in", 22.225, "length"),
        ("5 ft 6 in", 1676.4, "length"),  # [A] 66 × 25.4
        ("5 ft 6 1/2 in", 1689.1, "length"),
        ("5 ft", 1524.0, "length"),
        ("2 yd", 1828.8, "length"),  # [A] 1 yd = 91.44 cm exactly
        ("3.5 cm", 35.0, "length"),
        ("12 mm", 12.0, "length"),
        ("12mm", 12.0, "length"),
        ("1.2 m", 1200.0, "length"),
        (".5 in", 12.7, "length"),
        ("-1 cm", -10.0, "length"),
        ("- 1 1/2 in", -38.1, "length"),
        ("3,5 cm", 35.0, "length"),
        ("0,125 in", 3.175, "length"),
        ("40 %", 0.4, "share"),
        ("12,5 %", 0.125, "share"),
        ("2", 2.0, "number"),
        ("1/2", 0.5, "number"),
        ("260 g/m2", 260.0, "weight"),
        ("260 g/m²", 260.0, "weight"),
    ],
)
def test_quantities_are_read(text, value, kind):
    read = read_quantity(text)
    assert isinstance(read, Quantity), read
    assert read.kind == kind
    assert read.value == pytest.approx(value, rel=1e-15)


def test_ounces_to_the_square_yard():
    # [A] 28.349523125 g / 0.9144² m² = 33.9057 g/m²; web conversions print 33.906 [C]
    read = read_quantity("1 oz/yd2")
    assert read.value == pytest.approx(33.9057, abs=5e-5)
    assert read.kind == "weight" and WEIGHT_UNITS["oz/yd2"] == pytest.approx(33.906, abs=5e-4)


@pytest.mark.parametrize(
    ("text", "column", "hint"),
    [
        ("1-1/2 in", 2, "1 1/2 in"),
        ("7/4 in", 1, "1 3/4 in"),
        ("2 8/8 in", 3, "3 in"),
        ("7/4", 1, "1 3/4, or 7 / 4 to divide"),
        ("1/5 in", 1, ""),
        ("1/0 in", 1, ""),
        ("1½ in", 2, "1 1/2"),
        ("12 inches", 4, "12 in"),
        ('12"', 3, "12 in"),
        ("80 centimetres", 4, "80 cm"),
        ("1 m 75 cm", 5, "1 m + 75 cm"),
        ("5.5 ft 3 in", 1, ""),
        ("5 ft 12 in", 6, ""),
        ("1,500 mm", 2, "1.500 mm or 1500 mm"),
        ("1,2,3 cm", 2, ""),
        ("waist", 1, "2.5 cm or 1 in"),
        ("", 1, "2.5 cm or 1 in"),
        ("1e5 cm", 2, ""),
        ("9999999999999 cm", 1, ""),
        ("9" * 79, 1, ""),
        ("1/" + "9" * 70, 1, ""),
        ("٣ cm", 1, "2.5 cm or 1 in"),
    ],
)
def test_what_is_no_quantity_says_why(text, column, hint):
    fault = read_quantity(text)
    assert isinstance(fault, UnitFault), fault
    assert fault.message
    assert (fault.column, fault.hint) == (column, hint)


@given(st.text(max_size=120))
def test_any_text_is_read_or_refused(text):
    read = read_quantity(text)
    assert isinstance(read, Quantity | UnitFault)
    if isinstance(read, UnitFault):
        assert all(char.isprintable() for char in read.message + read.hint)
        assert 1 <= read.column <= len(text) + 1


@given(st.text(alphabet="0123456789 /.,-incmftyd%g2½", max_size=30))
def test_near_misses_are_read_or_refused(text):
    assert isinstance(read_quantity(text), Quantity | UnitFault)
    lengths_in(text)


@given(st.integers(0, 400), st.sampled_from(FRACTION_BOTTOMS), st.data(), st.sampled_from(["in", "yd"]))
def test_fractions_are_worth_what_they_say(whole, bottom, data, unit):
    top = data.draw(st.integers(0, bottom - 1))
    read = read_quantity(f"{whole} {top}/{bottom} {unit}")
    assert read.value == pytest.approx((whole + top / bottom) * UNITS[unit], rel=1e-14)


@pytest.mark.parametrize(
    ("mm", "cm", "eighths", "sixteenths"),
    [
        (314.2, "31.4 cm", "12 3/8 in", "12 3/8 in"),
        (22.2, "2.2 cm", "7/8 in", "7/8 in"),
        (0.0, "0 cm", "0 in", "0 in"),
        (-0.4, "0 cm", "0 in", "0 in"),
        (-38.1, "-3.8 cm", "-1 1/2 in", "-1 1/2 in"),
        (1000.0, "100 cm", "39 3/8 in", "39 3/8 in"),
        (1676.4, "167.6 cm", "66 in", "66 in"),
        (25.4 * 12.3125, "31.3 cm", "12 1/4 in", "12 5/16 in"),  # 12 5/16 is a half of an eighth: to the even, 98/8
        (25.4 * 12.4375, "31.6 cm", "12 1/2 in", "12 7/16 in"),  # 99.5/8 goes up to the even 100/8
        (2.5, "0.2 cm", "1/8 in", "1/8 in"),
        (3.5, "0.4 cm", "1/8 in", "1/8 in"),
    ],
)
def test_lengths_are_said(mm, cm, eighths, sixteenths):
    assert say_length(mm, "cm") == cm
    assert say_length(mm, "in", 8) == eighths
    assert say_length(mm, "in") == say_length(mm, "in", 16) == sixteenths


def test_a_hip_in_inches_said_in_centimetres():
    # [S] printed beside each other in a drafting text: 39 in is 99.1 cm
    assert say_length(read_quantity("39 in").value, "cm") == "99.1 cm"


@given(st.floats(-1e5, 1e5), st.sampled_from(["cm", "in"]), st.sampled_from([8, 16]))
def test_what_is_said_reads_back_within_half_a_step(mm, system, fraction):
    step = 1.0 if system == "cm" else 25.4 / fraction
    read = read_quantity(say_length(mm, system, fraction))
    assert isinstance(read, Quantity), read
    assert abs(read.value - mm) <= step / 2 + 1e-6


@pytest.mark.parametrize("odd", [float("nan"), float("inf"), float("-inf")])
def test_what_is_not_finite_is_said_so(odd):
    assert say_length(odd) == "no length"
    assert say_share(odd) == "no share"
    assert say_degrees(odd) == "no angle"


def test_shares_and_degrees():
    assert [say_share(x) for x in (0.2, 0.125, 0, -0.05, 1)] == ["20 %", "12.5 %", "0 %", "-5 %", "100 %"]
    assert [say_degrees(x) for x in (35, 12.5, 0.04, -7.26)] == ["35°", "12.5°", "0°", "-7.3°"]


@pytest.mark.parametrize(
    ("line", "mixed"),
    [
        ("30 cm + 1 in", True),
        ("waist + 2 cm + 1/2 in", True),
        ("{waist: 32 1/4 in, hip: 106 cm}", True),
        ("5 ft 6 in", False),
        ("12 in, that is 30.5 cm", False),
        ("1 in or 2.5 cm", False),
        ("30 cm + 12 mm", False),
        ("taken in at the waist by 2 cm", False),
        ("", False),
    ],
)
def test_two_systems_in_one_line(line, mixed):
    assert mixes_systems(line) is mixed


def test_found_text_is_shown_harmless():
    assert plain("a\x1b[31m") == "a<U+001B>[31m"
    assert plain("\u202eabc\x00") == "<U+202E>abc<U+0000>"
    assert plain("Größe – 中") == "Größe – 中"
    assert len(plain("x" * 1000)) == 60
    assert plain("\ud800") == "<U+D800>"


@given(st.text())
def test_found_text_never_holds_a_control(text):
    assert plain(text).isprintable()


def test_names_are_said_in_a_row():
    assert [say_list(("front", "back", "sleeve")[:n]) for n in range(4)] == [
        "",
        "front",
        "front and back",
        "front, back and sleeve",
    ]


def test_reading_rooms_load_without_numpy():
    rooms = "onfold.units, onfold.formula, onfold.recipe.yaml_nodes, onfold.recipe.splice, onfold.shelf.safe"
    code = f"import sys, {rooms}; sys.exit('numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
