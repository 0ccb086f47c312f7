"""The checks' figures against worked examples and published sources, each with its mark."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from check_patterns import (
    edit_edge,
    of_sheath,
    of_skirt,
    ring_hem,
    sheath,
    skirt,
    with_fact,
    with_level,
    woven,
)

from onfold.checks import run_checks
from onfold.checks.allowances import inside_corner, turned_excess, turning
from onfold.checks.fit import LEAST_EASE
from onfold.checks.folds import facings, mirror_gap
from onfold.checks.girths import measured, slices_of
from onfold.checks.straps import front_height, strap_way
from onfold.checks.stride import stride_girth
from onfold.geometry.path import line
from onfold.pattern import Edge, Mark
from onfold.units import UNITS

INCH = UNITS["in"]


def codes(subject) -> set[str]:
    return {each.code for each in run_checks(subject)}


def test_stride_hull_of_two_legs() -> None:
    # [A] hull of two equal circles: step 66, hip joint 80, hem 45 above the floor, leg 36: 93.75 cm
    assert stride_girth(660.0, 800.0, 450.0, 360.0) == pytest.approx(937.5, abs=0.1)


@pytest.mark.parametrize(("share", "depth", "excess"), [(1.0, 40.0, 502.65), (1.0, 10.0, 125.66), (0.5, 10.0, 62.83)])
def test_what_a_turned_circular_hem_has_too_much(share: float, depth: float, excess: float) -> None:
    # [A] difference of two arcs, 4 pi k h: 50.27 cm for a full circle turned up 4 cm, 12.57 for 1 cm, half circle 6.28
    edge = Edge("hem", ring_hem(700.0, share))
    # an arc's control legs turn less than the arc by its first and last half handle: none here, they are tangents
    assert turned_excess(turning(edge), depth) == pytest.approx(excess, rel=2e-4)


@pytest.mark.parametrize("degrees", [40.0, 90.0, 120.0])
def test_allowances_at_an_inside_corner_meet_on_its_bisector(degrees: float) -> None:
    # [A] mitred corner of interior angle a lies s / sin(a / 2) away, here with the void's angle; 15 mm on both edges
    along = math.radians(-degrees)
    first = Edge("one", line((-100.0, 0.0), (0.0, 0.0)), allowance=15.0)
    second = Edge("two", line((0.0, 0.0), (100.0 * math.cos(along), 100.0 * math.sin(along))), allowance=15.0)
    found = inside_corner(first, second)
    assert found is not None
    corner = 15.0 / math.sin(math.radians(180.0 - degrees) / 2.0)
    assert found.needs == pytest.approx((math.sqrt(corner**2 - 15.0**2),) * 2)


def test_reduction_of_a_hip_in_a_knit_of_half_stretch() -> None:
    # [A] 94 cm, one fifth of 50 % used: 85.45 cm; a waist of 72 by one tenth: 68.57 cm, measured across the pieces
    subject = of_sheath(sheath(body={"hip": 940.0, "waist": 720.0}))
    levels = subject.pattern.levels
    assert measured(subject, slices_of(subject), levels["hip"]) == pytest.approx(854.5, abs=0.1)
    assert measured(subject, slices_of(subject), levels["waist"]) == pytest.approx(685.7, abs=0.1)
    assert levels["hip"].wearing_stretch == pytest.approx(0.10)


def test_ease_leaves_darts_and_allowances_out() -> None:
    # [A] finished girth less body girth: waist 74 cm drafted 84 cm with four darts of 2.5 cm
    subject = of_skirt()
    assert measured(subject, slices_of(subject), subject.pattern.levels["waist"]) == pytest.approx(740.0, abs=0.01)


def test_least_ease_is_what_published_rules_draft_with() -> None:
    # [S] x5: bodice bust 1 1/2 to 2 in; h11 trousers block: 1 cm in the waist, half hip 49 for 94
    assert LEAST_EASE["bust"] == pytest.approx(1.5 * INCH, abs=0.2)
    assert LEAST_EASE["waist"] == 10.0
    assert LEAST_EASE["hip"] == pytest.approx(2 * 490.0 - 940.0)
    # [S] x1 skirt rule A at 68/94: waist 70.4, hip 99 have more, so they are no alarm
    sound = with_level(with_level(skirt(), "waist", body=680.0, finished=704.0), "hip", body=940.0, finished=990.0)
    assert "EASE-SMALL" not in codes(of_skirt(sound))


@pytest.mark.parametrize(
    ("finish", "allowance"),
    [
        ("french 5/8 in, first row 3/8 in, trim 1/8 in", 5 / 8),  # [C] first 3/8, trim to 1/8, second 1/4
        ("french 3/8 in, first row 1/8 in", 3 / 8),  # [S] h17 p. 98: 1/8 + 1/4
        ("french 3/4 in, first row 3/8 in, trim 1/8 in", 3 / 4),  # [S] x3, Utah State University Extension
        ("double turned 1/4 in", 1 / 2),  # [S] x4: narrow double turned 1/4 + 1/4
    ],
)
def test_published_seams_and_hems_add_up(finish: str, allowance: float) -> None:
    pattern = edit_edge(sheath(), "back", "back neck", finish=finish, allowance=allowance * INCH)
    assert not codes(of_sheath(pattern, cloth=woven())) & {"ALLOWANCE-SEAM", "ENCLOSED-TRIM"}
    wider = edit_edge(sheath(), "back", "back neck", finish=finish, allowance=(allowance + 1 / 8) * INCH)
    assert "ALLOWANCE-SEAM" in codes(of_sheath(wider, cloth=woven()))


def test_unequal_turns_of_a_hem_add_up() -> None:
    # design: double turned 15 mm, first turn 7 mm takes 22 mm [A]
    pattern = edit_edge(skirt(), "front", "hem", finish="double turned 15 mm, first turn 7 mm", allowance=22.0)
    assert "ALLOWANCE-SEAM" not in codes(of_skirt(pattern))


def test_a_mirrored_facing_agrees_with_shapely() -> None:
    from shapely import LineString
    from shapely.affinity import scale, translate

    from onfold.geometry.path import flatten, moved

    pattern = sheath()
    facing = next(edge for edge in pattern.pieces[0].edges if edge.name == "armhole facing")
    off = edit_edge(pattern, "front", "armhole facing", path=moved(facing.path, 0.3, 0.0))
    for each in (pattern, off):
        piece = each.pieces[0]
        (root, fold) = facings(piece)[0]
        shape = {edge.name: LineString(flatten(edge.path, 0.002)) for edge in piece.edges}
        turned = scale(translate(shape["armhole facing"], 0.0, -1090.0), 1.0, -1.0, origin=(0.0, 0.0))
        target = translate(shape["armhole"], 0.0, -1090.0)
        worst = max(target.distance(point) for point in map(_point, turned.coords))
        assert mirror_gap(piece, root, fold) == pytest.approx(worst, abs=0.01)


def _point(spot):
    from shapely import Point

    return Point(spot)


def test_a_straps_way_over_the_shoulder() -> None:
    # [A] side-neck level 16 cm above the underarm; front mark 10 cm up, back mark 3 cm below, 6 cm beside each other
    pattern = with_fact(sheath(), strap_front_height=100.0, half_strap_span=80.0, straps_crossed=0.0)
    back = next(piece for piece in pattern.pieces if piece.name == "back")
    low = replace(back, marks=(Mark("strap", "strap back", (20.0, 910.0)),))
    straight = replace(pattern, pieces=(pattern.pieces[0], low, pattern.pieces[2]))
    assert strap_way(of_sheath(straight)) == pytest.approx(60.0 + math.hypot(190.0, 80.0 - 20.0))
    crossed = with_fact(straight, straps_crossed=1.0)
    assert strap_way(of_sheath(crossed)) == pytest.approx(60.0 + math.hypot(190.0, 80.0 + 20.0))


def test_a_spread_armhole_is_leaned_back_to_its_height_on_the_body() -> None:
    # [A] an upright armhole of 150 mm, turned out by 10 degrees more at each of 3 hinges, is 150 mm high on the body
    points = [(200.0, 940.0)]
    for k in range(4):
        lean = math.radians(10.0 * k)
        x, y = points[-1]
        points.append((x + 37.5 * math.sin(lean), y + 37.5 * math.cos(lean)))
    from onfold.geometry.path import polyline

    pattern = edit_edge(sheath(), "front", "armhole", path=polyline(points))
    pattern = replace(
        with_fact(pattern, total_turn=30.0, slashes=3.0),
        facts={
            name: each
            for name, each in with_fact(pattern, total_turn=30.0, slashes=3.0).facts.items()
            if name != "strap front height"
        },
    )
    front = pattern.pieces[0]
    assert front_height(of_sheath(pattern), front, Mark("strap", "strap front", points[-1])) == pytest.approx(150.0)
