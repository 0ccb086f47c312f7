"""Given a garment and its cloth, what to have beside it: fastenings, tape, binding, tubes, and how long it takes."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from check_patterns import edit_edge, edit_piece, knit, sheath, skirt, with_fact, woven
from hypothesis import given, settings
from hypothesis import strategies as st
from making_cloths import CHIFFON, CLOTHS, DENIM, JERSEY, LAWN, SATIN, TWILL, VELVET, any_cloth

from onfold.cloth import Cloth
from onfold.construction import tube_room
from onfold.geometry.path import length, line
from onfold.making.fastenings import (
    ELASTICS,
    SPACING,
    ZIPS,
    Button,
    button_places,
    buttonhole_length,
    edge_beyond,
    elastic_length,
    elastic_width,
    zip_for,
)
from onfold.making.minutes import ESTIMATE, PACES, Pace, minutes_of, slowness
from onfold.making.notions import BIAS_SEAM, Notion, notions_of, say_notion, square_for_bias
from onfold.making.operation import Act, Operation, SewnRow
from onfold.making.rows import rows_in, worked_in
from onfold.making.stays import say_stay, stays_of
from onfold.making.tubes import TOOLS, least_width, say_tube, tube_of, tubes_in
from onfold.pattern import Edge, Opening, Pattern
from onfold.units import UNITS

INCH = UNITS["in"]


def only(notions: tuple[Notion, ...], name: str) -> Notion:
    (found,) = [each for each in notions if each.name == name]
    return found


# --- what is sewn


def test_the_rows_of_a_skirt_add_up_to_its_edges() -> None:
    made, cloth = skirt(), woven()
    worked = {each.name: each for each in worked_in(made, cloth)}
    assert worked["waist seam"].length == pytest.approx(740.0)  # the waistband's whole edge
    front = made.piece("front")
    assert front is not None
    side = next(edge for edge in front.edges if edge.name == "side")
    assert worked["side seam"].length == pytest.approx(2.0 * length(side.path))  # its twin is sewn too
    assert worked["centre back seam"].length == pytest.approx(600.0 - 180.0 - 220.0)  # once: drawn and mirrored
    assert worked["zip"].length == pytest.approx(2.0 * 180.0)  # both sides of the opening
    zips = [row for row in rows_in(made, cloth) if row.from_raw in (17.0, 10.0) and row.length == pytest.approx(180.0)]
    assert len(zips) == 2, "one row on each side of the zip"


def test_a_strap_cut_twice_is_sewn_twice() -> None:
    worked = {each.name: each for each in worked_in(sheath(), knit())}
    assert worked["strap seam"].length == pytest.approx(2.0 * 450.0)


def test_darts_are_one_row_for_two_legs() -> None:
    made, cloth = skirt(), woven()
    legs = [
        math.dist(edge.path.curves[0, 0], edge.path.curves[-1, 3])
        for piece in made.pieces
        for edge in piece.edges
        if edge.finish == "dart"
    ]
    assert rows_in(made, cloth)[-1].length == pytest.approx(sum(legs))  # two halves of each leg pair, two copies


# --- fastenings


@pytest.mark.parametrize(("cm", "inches"), ZIPS)
def test_zips_are_made_in_these_lengths(cm: int, inches: int) -> None:
    # T133 [S]; the table rounds its inches to the whole centimetre
    assert cm == pytest.approx(inches * 2.54, abs=0.55)
    assert zip_for(cm * 10.0, "cm") == cm * 10.0
    assert zip_for(inches * INCH, "in") == inches * INCH


def test_a_zip_is_bought_at_or_above_its_opening() -> None:
    assert zip_for(199.99, "cm") == 200.0
    assert zip_for(201.0, "cm") == 230.0
    assert zip_for(190.0, "in") == pytest.approx(8 * INCH)
    assert zip_for(770.0, "cm") is None
    bought = only(notions_of(skirt(zip_length=185.0), woven()), "zip")
    assert (bought.size, bought.part) == ("20 cm", "the zip")
    assert "shorten" in bought.note
    long = only(notions_of(skirt(zip_length=180.0), woven()), "zip")
    assert long.note == ""
    assert not long.guessed


def test_buttonholes_and_the_edge_beyond() -> None:
    button = Button(18.0, 3.0)
    assert buttonhole_length(button) == 24.0  # T134 [S]: diameter, thickness and 3 mm
    assert buttonhole_length(button, bound=True) == 21.0  # T134 [S]: bound ones without the 3
    rules = (0.75 * 18.0, 0.5 * 18.0, 0.5 * 18.0 + 0.25 * INCH, 18.0)  # T135 [S]
    assert edge_beyond(button) == max(rules)
    assert edge_beyond(Button(8.0, 2.0)) == 12.0  # a very small one: one and a half


def test_buttons_divide_the_opening() -> None:
    # T136 [S]: 3 to 3 1/2 in apart; first and last are placed and the rest divided
    places = button_places(600.0, Button(12.0, 3.0))
    steps = [b - a for a, b in pairwise(places)]
    assert max(steps) <= SPACING[1] + 1e-9
    assert max(steps) == pytest.approx(min(steps))
    assert places[0] == pytest.approx(600.0 - places[-1])
    on_bust = button_places(600.0, Button(12.0, 3.0), bust=200.0)
    assert min(abs(place - 200.0) for place in on_bust) < 1e-9, "one stands on the bust line"
    assert button_places(0.0) == ()
    assert button_places(10.0) == (5.0,)


@given(st.floats(1.0, 3000.0), st.floats(5.0, 40.0), st.none() | st.floats(-100.0, 3000.0))
def test_no_two_buttons_gape(length: float, diameter: float, bust: float | None) -> None:
    places = button_places(length, Button(diameter, 3.0), bust)
    assert all(0.0 < place < length for place in places)
    assert all(0.0 < b - a <= SPACING[1] + 1e-6 for a, b in pairwise(places))


def test_elastic() -> None:
    assert elastic_length(680.0) == pytest.approx(680.0 - 50.8 + 25.0)  # T131 [C]
    assert [least for least, _, _ in ELASTICS] == [6, 12, 19, 25, 32, 37, 43, 50]  # T132 [S]
    for least, most, inches in ELASTICS:
        assert least - 0.6 <= inches * INCH <= most + 0.9
    assert elastic_width(0.75 * INCH) == (12.0, 0.5)  # T131 [C]: 1/2 in runs in 3/4 to 1 in
    assert elastic_width(1.0 * INCH) == (19.0, 0.75)
    assert elastic_width(5.0) is None


# --- notions


def test_a_skirt_has_its_zip_interfacing_and_needles() -> None:
    notions = notions_of(skirt(), woven())
    band = next(each for each in notions if each.part == "the waistband" and each.name == "interfacing")
    assert band.unit == "mm2"
    assert band.amount == pytest.approx(770.0 * 60.0)  # [A] drawn without a cut line: the band's own rectangle
    strip = next(each for each in notions if each.part == "the zip of the back")
    assert strip.amount == pytest.approx(180.0 * 25.0 * 2.0)
    assert strip.guessed
    assert only(notions, "machine needle").size.startswith("80/12")
    assert only(notions, "hook and bar").part == "the waistband"
    assert "sharps 7 to 8" in only(notions, "hand needle").size
    assert only(notions, "sewing thread").guessed, "rows taken from the pattern, not from the order of making up"
    assert not only(
        notions_of(skirt(), TWILL, rows=[SewnRow("straight stitch", 5000.0, 15.0)]), "sewing thread"
    ).guessed


def test_pile_takes_no_fusible() -> None:
    for cloth, kind in ((VELVET, "sewn in"), (LAWN, "fusible"), (CHIFFON, "sewn in")):
        band = next(each for each in notions_of(skirt(), cloth) if each.name == "interfacing")
        assert band.size.startswith(kind)


def buttoned(made: Pattern) -> Pattern:
    opening = Opening("front opening", ("zip of back",), 600.0, "buttons")
    return replace(made, openings=(opening,))


def test_buttons_are_counted_and_a_size_not_given_is_a_guess() -> None:
    usual = only(notions_of(buttoned(skirt()), woven()), "buttons")
    named = only(notions_of(buttoned(skirt()), woven(), button=Button(11.0, 2.5)), "buttons")
    assert usual.guessed
    assert not named.guessed
    assert named.amount == len(button_places(600.0, Button(11.0, 2.5)))
    assert "16.5 mm" in named.note  # 11 + 2.5 + 3
    assert any(each.part == "the zip of the back" for each in notions_of(buttoned(skirt()), woven()))


def test_an_elastic_runs_in_an_edge_named_for_it() -> None:
    made = edit_piece(
        skirt(),
        "waistband",
        lambda piece: replace(
            piece,
            edges=(
                *piece.edges[:3],
                Edge("waist casing", line((0.0, 60.0), (770.0, 60.0)), finish="double turned 25 mm"),
                *piece.edges[4:],
            ),
        ),
    )
    elastic = only(notions_of(made, woven()), "elastic")
    assert elastic.amount == pytest.approx(elastic_length(770.0))
    assert elastic.size == "12 mm wide"


def test_bound_seams_take_binding_for_both_edges() -> None:
    made = replace(skirt(), seams=(replace(skirt().seams[0], finish="bound 15 mm"),))
    binding = only(notions_of(made, woven()), "bias binding")
    side = {each.name: each.length for each in worked_in(made, woven())}["side seam"]
    assert binding.amount == pytest.approx(side * 2.0 * 1.1)
    assert "24 mm" in binding.size  # T66 [C]: four times 6 mm
    assert "square" in binding.note


def bias_from_square(side: float, strip: float, seam: float) -> float:
    """The bias that a square gives: its area, less a seam along two sides, in strips (T62, T63 [C])."""
    return (side - seam) ** 2 / strip


@pytest.mark.parametrize(("length", "strip", "side"), [(250.0, 2.0, 23.0), (100.0, 3.5, 19.0)])
def test_the_square_for_a_bias(length: float, strip: float, side: float) -> None:
    found = square_for_bias(length * INCH, strip * INCH, "in")
    assert found == pytest.approx(side * INCH)  # T62 [C], as printed: 23 in and 19 in
    assert found is not None
    assert bias_from_square(found, strip * INCH, BIAS_SEAM) >= length * INCH


def test_what_a_square_gives() -> None:
    assert bias_from_square(20.0, 2.0, 0.0) == pytest.approx(200.0)  # T62 [C]
    assert bias_from_square(22.0, 1.0, 0.25) == pytest.approx(473.0, abs=0.5)  # T63 [C]
    assert bias_from_square(22.0, 3.0, 0.25) == pytest.approx(157.7, abs=0.05)  # T63 [A]
    assert square_for_bias(0.0, 1.0) is square_for_bias(1.0, 0.0) is None


@pytest.mark.parametrize("cloth", [cloth for _, cloth in CLOTHS], ids=[name for name, _ in CLOTHS])
@pytest.mark.parametrize("units", ["cm", "in"])
def test_every_notion_is_said_as_a_line_of_the_list(cloth: Cloth, units: str) -> None:
    for made in (skirt(), sheath(), buttoned(skirt()), replace(skirt(), pieces=(), seams=(), openings=())):
        for notion in notions_of(made, cloth, units=units):  # type: ignore[arg-type]
            said = say_notion(notion, units)  # type: ignore[arg-type]
            assert said.endswith(".")
            assert said[0].isupper()
            assert notion.amount > 0.0
            assert units == "cm" or " cm" not in said


@settings(max_examples=60)
@given(any_cloth(), st.sampled_from(["cm", "in"]))
def test_any_cloth_has_its_notions_and_its_time(cloth: Cloth, units: str) -> None:
    notions = notions_of(sheath(), cloth, units=units)  # type: ignore[arg-type]
    assert {"sewing thread", "machine needle", "hand needle"} <= {each.name for each in notions}
    assert all(math.isfinite(each.amount) and each.amount > 0.0 for each in notions)
    assert all(say_stay(stay, units).endswith(".") for stay in stays_of(sheath(), cloth))  # type: ignore[arg-type]
    assert slowness(cloth) >= 1.0


# --- stays


def test_stretch_cloth_is_taped_where_it_hangs() -> None:
    stays = {(stay.piece, stay.edge): stay for stay in stays_of(sheath(), knit())}
    strap = stays["strap", "long"]
    assert (strap.kind, strap.length) == ("tape", pytest.approx(2 * (450.0 + 20.0)))  # T179 [C]
    assert stays["front", "armhole"].kind == "tape"  # T175 [C]
    assert stays["back", "back neck"].kind == "elastic"  # T184 [C]
    tape = only(notions_of(sheath(), knit()), "stay tape")
    assert tape.amount == sum(each.length for each in stays.values() if each.kind == "tape")


def test_a_firm_cowl_is_taped_only_above_35_degrees() -> None:
    def kinds(turn: float) -> set[str]:
        return {stay.kind for stay in stays_of(with_fact(sheath(), total_turn=turn), woven()) if stay.edge == "armhole"}

    assert kinds(36.0) == {"tape"}  # T175 [C]
    assert kinds(35.0) == {"stay stitching"}


def test_leaves_of_one_edge_are_one_stay() -> None:
    curved = edit_edge(skirt(), "front", "waist.1", path=sheath().pieces[0].edges[2].path)
    (stay,) = [each for each in stays_of(curved, woven()) if each.piece == "front"]
    assert stay.edge == "waist"
    assert stays_of(skirt(), woven()) == (), "straight edges on the thread want none"
    assert all(say_stay(each, "cm").endswith(".") for each in stays_of(sheath(), knit()))


# --- tubes


def test_the_strip_of_a_tube() -> None:
    # T67 [A]: 2X + 2S; the published 2X + S would give a tube S/2 too narrow
    assert tube_of(10.0, LAWN, allowance=6.0).strip == 32.0
    assert tube_of(5 / 16, LAWN, allowance=0.25).strip == pytest.approx(1.125)  # T68 [A], strip and seam [C]


def test_an_allowance_is_trimmed_to_the_width_less_two_thicknesses() -> None:
    tube = tube_of(8.0, JERSEY, allowance=8.0)
    assert tube.trim_to is not None
    assert tube.room == tube_room(8.0, 0.7) == pytest.approx(6.6)  # T179 [C]
    assert tube.trim_to <= tube.room
    assert tube.trimmed
    assert "Trim the allowances to" in " ".join(say_tube(tube, "cm"))
    assert "stay tape" in " ".join(say_tube(tube, "cm"))  # T179 [C]: where the cloth stretches
    assert not tube_of(8.0, LAWN).taped


def test_the_least_width_of_a_tube() -> None:
    for way in TOOLS:
        for thickness in (0.2, 0.5, 1.3):
            width = least_width(thickness, way)
            assert width >= 3.0 + 2.0 * thickness  # T179 [C]
            pressed, tool = 0.6 * thickness, math.pi * (TOOLS[way] / 2.0) ** 2
            hole = math.pi * (width / math.pi - pressed / 2.0) ** 2
            assert hole >= (2.0 * width + 6.0) * pressed + tool - 1e-9  # [A] it passes through itself
    assert least_width(0.2, "turning hook") < least_width(0.2, "bodkin and thread")
    assert least_width(0.2, "turning hook") < least_width(0.8, "turning hook") < least_width(1.3, "turning hook")


@given(any_cloth(), st.floats(0.5, 60.0), st.floats(1.0, 20.0))
def test_a_tube_turns_or_says_why_not(cloth: Cloth, width: float, allowance: float) -> None:
    tube = tube_of(width, cloth, length=400.0, allowance=allowance)
    assert (tube.reason == "") == any(way.passes for way in tube.ways)
    assert all(width >= way.least_width - 1e-6 for way in tube.ways if way.passes)
    if tube.trim_to is not None:
        assert 0.0 < tube.trim_to <= min(allowance, tube.room) + 1e-9
    assert all(line[0].isupper() and line.endswith(".") for line in say_tube(tube, "in"))


def test_the_straps_of_a_garment_are_its_tubes() -> None:
    ((name, tube),) = tubes_in(with_fact(sheath(), strap_width=10.0), knit())
    assert (name, tube.width, tube.length, tube.allowance) == ("strap", 10.0, 450.0, 6.0)
    assert tubes_in(skirt(), woven()) == ()
    (narrow,) = [tube for _, tube in tubes_in(with_fact(sheath(), strap_width=3.0), knit())]
    assert "fold the strip in four" in narrow.reason


# --- minutes


def seam(length: float, stitch: str = "straight stitch", times: int = 1) -> Operation:
    return Operation(
        "side seam",
        "sew",
        (Act("pin", "Pin."), Act("sew", "Sew.", SewnRow(stitch, length, 15.0)), Act("press", "Press.")),
        times=times,
    )


def test_time_grows_with_the_row_and_with_the_cloth() -> None:
    short, long = minutes_of(seam(500.0), TWILL), minutes_of(seam(2000.0), TWILL)
    assert short.hands < long.hands
    assert long.rows == pytest.approx(4.0 * short.rows)
    assert minutes_of(seam(500.0, times=2), TWILL).rows == short.rows, "a row's length counts its repeats already"
    for slow in (VELVET, SATIN, CHIFFON, DENIM):
        assert minutes_of(seam(500.0), slow).hands > short.hands
    assert slowness(CHIFFON) > max(slowness(SATIN), 1.25)
    assert minutes_of(seam(500.0, "slip stitch"), TWILL).rows > short.rows


def test_the_table_of_times_can_be_changed_in_one_place() -> None:
    own = replace(PACES, acts={**PACES.acts, "pin": Pace(10.0)}, rows={**PACES.rows, "straight stitch": 0.0})
    changed = minutes_of(seam(1000.0), TWILL, own)
    assert changed.rows == 0.0
    assert changed.hands > 10.0
    assert "estimates" in ESTIMATE
