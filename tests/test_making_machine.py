"""Given a cloth, the stitch, the thread, the needle and the foot: against what is in print, each with its mark."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from making_cloths import CHIFFON, CLOTHS, COATED, DENIM, JERSEY, LAWN, SATIN, TWILL, UNKNOWN, VELVET, any_cloth

from onfold.cloth import Cloth, settle
from onfold.construction import STITCHES
from onfold.making.machine import NUMBERS, foot_for, machine_setting, needle_for, say_machine, say_needle
from onfold.making.operation import Act, Operation, SewnRow
from onfold.making.stitches import (
    CLASS_NAMES,
    STITCH_TYPES,
    length_of,
    say_setting,
    setting_of,
)
from onfold.making.thread import (
    RATIOS,
    USUAL_WASTE,
    Ratio,
    geometric_ratios,
    ratio_of,
    rows_of,
    thread_need,
    thread_of_row,
    with_waste,
)
from onfold.making.traits import weight_class
from onfold.units import UNITS, WEIGHT_UNITS

MAKING_UP = ("tacking", "stay stitching", "buttonhole", "zip row")
cloths = pytest.mark.parametrize("cloth", [cloth for _, cloth in CLOTHS], ids=[name for name, _ in CLOTHS])


# --- stitches


def test_every_stitch_of_a_finish_and_of_making_up_has_its_class() -> None:
    assert {*STITCHES, *MAKING_UP} <= set(STITCH_TYPES)
    for stitch in STITCH_TYPES.values():
        assert stitch.class_name == CLASS_NAMES[stitch.iso_class]
        assert not stitch.iso_type or int(stitch.iso_type) // 100 * 100 == stitch.iso_class


def test_iso_4915_has_six_classes() -> None:
    # T158 [S]: ISO 4915:1991, six classes 100 to 600
    assert list(CLASS_NAMES) == [100, 200, 300, 400, 500, 600]
    # T119 [S]: 301 the lockstitch, 304 the zigzag lockstitch
    assert STITCH_TYPES["straight stitch"].iso_type == "301"
    assert STITCH_TYPES["narrow zigzag"].iso_type == "304"
    assert STITCH_TYPES["overlock"].iso_class == 500
    assert STITCH_TYPES["catch stitch"].iso_class == STITCH_TYPES["slip stitch"].iso_class == 200


def per_inch_of(mm: float) -> float:
    """Stitches to the inch of a stitch so many mm long (T126 [A])."""
    return UNITS["in"] / mm


@pytest.mark.parametrize(("mm", "printed"), [(2, 12), (2.5, 10), (3, 8), (4, 6)])
def test_stitch_length_and_stitches_to_the_inch(mm: float, printed: int) -> None:
    assert int(per_inch_of(mm)) == printed  # T126 [C], as printed
    assert length_of((per_inch_of(mm), per_inch_of(mm))) == mm


@pytest.mark.parametrize(
    ("weight", "per_inch", "mm"), [(80, (13, 14), 1.9), (260, (11, 12), 2.2), (420, (10, 11), 2.4)]
)
def test_an_ordinary_seam_by_the_weight_of_the_cloth(weight: float, per_inch: tuple[float, float], mm: float) -> None:
    setting = setting_of("straight stitch", settle("woven", 1500.0, weight=weight))
    assert setting.per_inch == per_inch  # T127 [C]
    assert setting.length == mm == length_of(per_inch)  # 25.4 over the middle of the range [A]


def test_the_other_rows_stand_in_their_ranges() -> None:
    # T127 [C]: ordinary 10 to 15, machine tacking 5 to 8, easing 8 to 10, reinforcing 18 to 20; by hand 1 to 2 cm [C]
    ranges = {
        "machine tacking": (5, 8),
        "tacking": (25.4 / 20.0, 25.4 / 10.0),
        "easing": (8, 10),
        "reinforcing": (18, 20),
        "stay stitching": (10, 15),
    }
    for stitch, (low, high) in ranges.items():
        assert low <= per_inch_of(setting_of(stitch, TWILL).length) <= high


def test_stretch_cloth_takes_a_shorter_stitch_and_is_told_of_the_zigzag() -> None:
    plain, stretchy = (setting_of("straight stitch", settle("woven", 1500.0, stretch_across=s)) for s in (0.0, 0.3))
    assert stretchy.length < plain.length
    assert "zigzag" in stretchy.why


def test_pile_and_coated_cloth_take_a_long_stitch() -> None:
    assert setting_of("straight stitch", VELVET).length >= 2.5
    assert setting_of("straight stitch", COATED).length >= 3.0
    assert setting_of("stay stitching", COATED).length >= 3.0


def test_a_row_of_no_known_stitch_is_a_programmers_mistake() -> None:
    with pytest.raises(KeyError, match="glued"):
        setting_of("glued", TWILL)


@cloths
@pytest.mark.parametrize("stitch", sorted(STITCH_TYPES))
def test_every_stitch_is_set_and_said_in_every_cloth(stitch: str, cloth: Cloth) -> None:
    setting = setting_of(stitch, cloth)
    low, high = setting.per_inch
    assert low - 0.5 <= per_inch_of(setting.length) <= high + 0.5
    assert "mm" in say_setting(setting, "cm")
    assert "mm" not in say_setting(setting, "in")
    said = say_setting(setting, "in")
    assert "to the inch" in said or (stitch == "tacking" and said.endswith("3/8 in to 13/16 in long"))


# --- thread


@pytest.mark.parametrize(("iso_type", "ratio"), [("101", 5.0), ("103", 4.5), ("301", 2.5), ("304", 5.5)])
def test_ratios_of_a_thread_makers_guide(iso_type: str, ratio: float) -> None:
    assert RATIOS[iso_type] == Ratio(ratio, "S", RATIOS[iso_type].parts)  # T119 [S]


def test_ratios_from_memory_say_so() -> None:
    remembered = {"401": 5.5, "503": 12, "504": 14, "512": 18, "516": 20, "602": 25, "605": 28}
    assert {key: each.ratio for key, each in RATIOS.items() if each.mark == "M"} == remembered  # T119 [M]
    need = thread_need([SewnRow("overlock", 1000.0, 10.0)], JERSEY)
    assert any("from memory" in each for each in need.guessed)


def test_the_lockstitch_is_half_needle_and_half_bobbin() -> None:
    use = thread_of_row(SewnRow("straight stitch", 2200.0, 15.0), CHIFFON)
    assert use.thread == pytest.approx(5500.0, rel=0.01)  # T125 [S]: 220 cm at 2.5 is 550 cm
    assert dict(use.parts) == {"needle": 0.5 * use.thread, "bobbin": 0.5 * use.thread}  # T119 [S]: 1 to 1
    assert thread_of_row(SewnRow("narrow zigzag", 2200.0, 15.0), CHIFFON).parts == ()  # no source tells it


def test_the_lockstitch_by_its_geometry() -> None:
    # [A] two threads along and two crossings a stitch: 2 + 2TS; T123 [C]: T 0.01 in, S 10 gives 2.2
    assert geometric_ratios("301", 0.254, 2.54) == pytest.approx((2.2,), abs=1e-12)
    assert geometric_ratios("101", 0.127, 25.4 / 9.0) == pytest.approx((3.09,), abs=1e-12)  # T123 [C]
    assert geometric_ratios("301", 0.0, 2.0) == (2.0,)


def test_the_other_formulas_in_print() -> None:
    # T124 [C], at T 0.03 in, S 12, W 0.2 in, reckoned by hand
    expected = {"401": 4.72, "406": 12.52, "407": 15.96, "514": 16.76, "516": 20.76, "602": 21.44, "605": 21.76}
    for iso_type, ratio in {**expected, "607": 24.48}.items():
        assert geometric_ratios(iso_type, 0.762, 25.4 / 12.0, 5.08) == pytest.approx((ratio,), abs=1e-9)


def test_the_two_formulas_of_504_lie_two_inches_an_inch_apart() -> None:
    one, other = geometric_ratios("504", 0.762, 25.4 / 12.0, 5.08)
    assert other - one == pytest.approx(2.0)  # T124, a trap: no estimate rests on either
    assert one - 0.5 < RATIOS["504"].ratio < other + 0.5  # the remembered ratio lies between them


def test_two_samples_unpicked_stand_round_the_ratio_from_memory() -> None:
    # T120 [C]: 15 cm, needle 19.5, looper 62 cm: 540 cm a metre as printed, 621 with 15 %
    ratio = (19.5 + 62.0) / 15.0
    assert 100.0 * ratio == pytest.approx(540.0, abs=5.0)
    assert with_waste(540.0, 0.15) == pytest.approx(621.0, abs=0.5)
    # T121 [S]: 42 in, 3 in unpicked, needle 9, looper 8: 6.63 yd, with 15 % 7.62, to 0.03
    of_401 = (9.0 + 8.0) / 3.0
    assert of_401 * 42.0 / 36.0 == pytest.approx(6.63, abs=0.03)
    assert with_waste(of_401 * 42.0 / 36.0, 0.15) == pytest.approx(7.62, abs=0.03)
    # what stands in the table from memory lies between the two samples
    assert ratio - 0.1 <= RATIOS["401"].ratio <= of_401 + 0.1


def test_waste_is_ten_to_twenty_in_the_hundred() -> None:
    assert 0.10 <= USUAL_WASTE <= 0.20  # T122 [S]
    row = [SewnRow("straight stitch", 10_000.0, 15.0)]
    bare, usual = thread_need(row, LAWN, waste=0.0), thread_need(row, LAWN)
    assert usual.total == pytest.approx(1.15 * bare.total)


def test_thick_layers_take_more_than_the_ratio() -> None:
    row = SewnRow("straight stitch", 1000.0, 15.0, layers=4)
    thick, thin = thread_of_row(row, DENIM), thread_of_row(row, CHIFFON)
    length = setting_of("straight stitch", DENIM).length
    assert thick.thread == pytest.approx(1000.0 * (2.0 + 2.0 * 4 * 0.9 / length))  # [A]
    assert thin.thread < thick.thread
    own = thread_of_row(row, DENIM, {"straight stitch": Ratio(3.1, "A")})
    assert own.thread == pytest.approx(3100.0)  # a maker's own sample is taken as it is


def test_spools_are_counted_by_what_they_hold() -> None:
    row = [SewnRow("straight stitch", 40_000.0, 15.0)]
    assert thread_need(row, LAWN).spools == 2
    assert thread_need(row, LAWN, spool=500_000.0).spools == 1
    need = thread_need([*row, SewnRow("overlock", 500.0, 10.0)], LAWN)
    assert need.cones == 3, "an overlocker wants a cone for each of its three threads"
    assert need.total == pytest.approx(need.sewing + need.overlock)
    assert thread_need([], LAWN).spools == thread_need([], LAWN).cones == 0


def test_the_rows_of_operations_are_summed_once() -> None:
    row = SewnRow("straight stitch", 1600.0, 15.0)
    operation = Operation("side seam", "sew", (Act("sew", "Sew.", row), Act("press", "Press.")), times=2)
    assert rows_of([operation]) == (row,)
    assert thread_need(rows_of([operation]), TWILL).uses[0].sewn == 1600.0


@given(any_cloth(), st.sampled_from(sorted(STITCH_TYPES)), st.floats(0.0, 1e5), st.integers(0, 8))
def test_no_row_takes_less_thread_than_it_is_long(cloth: Cloth, stitch: str, length: float, layers: int) -> None:
    use = thread_of_row(SewnRow(stitch, length, 10.0, layers=layers), cloth)
    assert use.thread >= length
    assert sum(part for _, part in use.parts) == pytest.approx(use.thread if use.parts else 0.0)
    assert ratio_of(use.stitch).mark in "SAM"


# --- needle, foot, settings


@pytest.mark.parametrize(
    ("nm", "number"), [(60, 8), (65, 9), (70, 10), (75, 11), (80, 12), (90, 14), (100, 16), (110, 18), (120, 19)]
)
def test_needle_sizes(nm: int, number: int) -> None:
    assert NUMBERS[nm] == number  # T129 [S]


@pytest.mark.parametrize(
    ("cloth", "nm"),
    [
        (CHIFFON, 60),
        (LAWN, 70),
        (settle("woven", 1500.0, weight=150.0), 80),
        (TWILL, 90),
        (DENIM, 100),
        (settle("woven", 1500.0, weight=600.0), 110),
    ],
)
def test_needle_by_cloth(cloth: Cloth, nm: int) -> None:
    # T130 [C]: 60 chiffon, 70 fine, 80 dress cotton, 90 bottom weights, 100 denim, 110 canvas
    assert needle_for(cloth).nm == nm


@pytest.mark.parametrize(
    ("weight", "named"), [(30, "light"), (149, "light"), (150, "medium"), (350, "medium"), (351, "heavy")]
)
def test_weight_bands(weight: float, named: str) -> None:
    # T117 [C]: light 30 to 150, medium 150 to 350, heavy over 350 g/m2; 4 oz/yd2 is 135.6 g/m2 (T118 [A])
    assert weight_class(settle("woven", 1500.0, weight=weight)) == named
    assert weight_class(settle("woven", 1500.0, weight=4.0 * WEIGHT_UNITS["oz/yd2"])) == "light"


def test_needle_points() -> None:
    # T130 [C]: ballpoint or stretch for knits, sharp for dense wovens, the wedge for leather alone
    assert needle_for(JERSEY).point == "stretch"
    assert needle_for(VELVET).point == "stretch"
    assert needle_for(settle("knit", 1500.0, stretch_across=0.1)).point == "ballpoint"
    assert needle_for(DENIM).point == needle_for(SATIN).point == needle_for(COATED).point == "sharp"
    assert needle_for(settle("woven", 1400.0, fibre=(("leather", 1.0),))).point == "leather"
    assert needle_for(UNKNOWN).point == "universal"
    assert needle_for(UNKNOWN).guessed
    assert say_needle(needle_for(UNKNOWN)).startswith("80/12")


@given(any_cloth())
def test_the_wedge_is_for_leather_alone_and_knits_are_never_cut(cloth: Cloth) -> None:
    needle = needle_for(cloth)
    leather = any(name == "leather" for name, _ in cloth.fibre)
    assert (needle.point == "leather") == leather
    if cloth.kind == "knit" and not leather:
        assert needle.point in ("ballpoint", "stretch")
    assert needle.nm in NUMBERS


def test_feet() -> None:
    for cloth in (VELVET, SATIN, COATED):
        assert "walking" in foot_for("straight stitch", cloth)
        assert foot_for("zip row", cloth) == "zip foot"
        assert foot_for("buttonhole", cloth) == "buttonhole foot"
    assert foot_for("straight stitch", TWILL) == "all-purpose foot"
    assert foot_for("catch stitch", TWILL) == ""


def test_twin_needles_say_how_far_apart_they_stand() -> None:
    setting = machine_setting("twin needle", JERSEY)
    assert setting.needle is not None
    assert setting.needle.twin == setting.stitch.width == 2.5
    assert "2.5 mm apart" in say_needle(setting.needle)


@given(any_cloth(), st.sampled_from(sorted(STITCH_TYPES)), st.sampled_from(["cm", "in"]))
def test_every_setting_is_said_in_whole_sentences(cloth: Cloth, stitch: str, units: str) -> None:
    said = say_machine(machine_setting(stitch, cloth), units)  # type: ignore[arg-type]
    assert all(line.endswith(".") and line[0].isupper() for line in said)
    assert (len(said) == 1) == (STITCH_TYPES[stitch].worked == "hand")
