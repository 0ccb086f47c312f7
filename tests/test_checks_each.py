"""Each check is quiet on a sound garment, speaks after one edit, and is quiet again once its remedy is followed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path as Path_

import pytest
from check_edits import (
    child,
    facing_off,
    longer_front,
    low_back,
    moved_notch,
    no_grain,
    not_a_pair,
    notched_corner,
    open_at,
    side_dart,
    wide_dart,
    with_ease,
    with_sides,
    without_piece_mark,
)
from check_patterns import (
    NECK,
    UNDERARM,
    edit_edge,
    edit_piece,
    knit,
    of_sheath,
    of_skirt,
    sheath,
    skirt,
    strap,
    with_fact,
    with_level,
    with_measures,
    woven,
)

from onfold.body.taken import Taken
from onfold.checks import CHECKS, ELSEWHERE, Subject, run_checks
from onfold.geometry.path import cubic, line, polyline
from onfold.pattern import Mark, Opening
from onfold.problems import CODES, Problem


@dataclass(frozen=True)
class Case:
    """One edit that trips a code, and the subject as its remedy leaves it."""

    code: str
    broken: Callable[[], Subject]
    cured: Callable[[], Subject] = of_sheath
    severity: str = ""
    says: str = ""


def found(subject: Subject, code: str) -> list[Problem]:
    return [each for each in run_checks(subject) if each.code == code]


TABLE = (
    Case(
        "SEAM-LENGTH",
        lambda: of_sheath(longer_front()),
        lambda: of_sheath(with_ease(longer_front(), 5.9)),
        says="front",
    ),
    Case("SEAM-ALLOWANCE", lambda: of_sheath(edit_edge(sheath(), "back", "side", allowance=15.0))),
    Case("NOTCH-MEET", lambda: of_sheath(moved_notch(503.0)), lambda: of_sheath(moved_notch(500.5))),
    Case("JOIN-ANGLE", lambda: of_sheath(open_at(6.0))),
    Case(
        "FOLD-STRAIGHT",
        lambda: of_sheath(edit_edge(sheath(), "back", "centre back", path=polyline([(0, 840), (0.02, 400), (0, 0)]))),
    ),
    Case(
        "FOLD-SQUARE",
        lambda: of_sheath(
            edit_edge(
                sheath(),
                "back",
                "back neck",
                path=cubic((190.0, UNDERARM), (120.0, UNDERARM), (60.0, 800.0), (0.0, 840.0)),
            )
        ),
    ),
    Case("FACING-MIRROR", lambda: of_sheath(facing_off())),
    Case("FACING-TURN", lambda: of_sheath(edit_edge(sheath(), "front", "armhole facing", allowance=8.0))),
    Case(
        "GETTING-IN", lambda: of_sheath(with_measures(sheath(), hip=1100.0, round_the_shoulders=1200.0)), says="waist"
    ),
    Case("WEARING-STRETCH", lambda: of_sheath(with_level(sheath(), "bust", finished=700.0)), says="bust"),
    Case(
        "TAKEN-IN-TOO-FAR", lambda: of_sheath(sheath({"bust": 0.6})), lambda: of_sheath(sheath({"bust": 0.2})), "stop"
    ),
    Case(
        "PILE-STRETCH",
        lambda: of_sheath(sheath({"bust": 0.3}), cloth=knit(surface=("pile",), nap="up")),
        lambda: of_sheath(sheath({"bust": 0.2}), cloth=knit(surface=("pile",), nap="up")),
    ),
    Case("FINISHED-GIRTH", lambda: of_sheath(with_level(sheath(), "hip", finished=880.0)), says="hip"),
    Case(
        "BODY-ROOM",
        lambda: of_skirt(with_level(skirt(), "hip", body=1010.0)),
        lambda: of_skirt(skirt(hip=1060.0)),
        "stop",
    ),
    Case("EASE-SMALL", lambda: of_skirt(with_level(skirt(), "hip", body=970.0)), of_skirt),
    Case(
        "STRIDE",
        lambda: of_skirt(skirt(vent=60.0, hem=850.0)),
        lambda: of_skirt(skirt(vent=220.0, hem=850.0)),
        "mind",
        "back vent",
    ),
    Case("ALLOWANCE-SEAM", lambda: of_sheath(edit_edge(sheath(), "front", "hem", allowance=15.0)), says="hem"),
    Case(
        "ENCLOSED-TRIM",
        lambda: of_sheath(edit_edge(sheath(), "back", "side", finish="french 10 mm, first row 6 mm, trim 5 mm")),
        lambda: of_sheath(edit_edge(sheath(), "back", "side", finish="french 10 mm, first row 6 mm, trim 3 mm")),
    ),
    Case(
        "HEM-CURVE",
        lambda: of_sheath(
            edit_edge(sheath(), "back", "back neck", finish="double turned 30 mm", allowance=60.0), cloth=woven()
        ),
    ),
    Case("HEM-KIND", lambda: of_sheath(edit_edge(sheath(), "front", "hem", finish="double turned 10 mm"))),
    Case(
        "SEAM-GIVE",
        lambda: of_sheath(edit_edge(sheath({"underarm": 0.3}), "back", "back neck", finish="plain 8 mm")),
        lambda: of_sheath(sheath({"underarm": 0.3})),
    ),
    Case(
        "STRAP-TURN",
        lambda: of_sheath(with_fact(sheath(), strap_width=7.0)),
        lambda: of_sheath(with_fact(sheath(), strap_width=7.6)),
    ),
    Case(
        "STRAP-LENGTH",
        lambda: of_sheath(with_fact(edit_piece(sheath(), "strap", lambda _: strap(length=150.0)), strap_length=150.0)),
    ),
    Case("STRAP-PLACE", lambda: of_sheath(without_piece_mark("back")), says="back"),
    Case(
        "COWL-TURN",
        lambda: of_sheath(with_fact(sheath(), total_turn=80.0)),
        lambda: of_sheath(with_fact(sheath(), total_turn=75.0)),
    ),
    Case(
        "COWL-GRAIN",
        lambda: of_sheath(with_fact(sheath(), total_turn=40.0)),
        lambda: of_sheath(with_fact(sheath(), total_turn=35.0)),
    ),
    Case("COWL-DEEP", lambda: of_sheath(with_fact(sheath(), cowl_fall=160.0, facing_depth=200.0)), says="16 cm"),
    Case(
        "FACING-DEPTH",
        lambda: of_sheath(with_fact(sheath(), cowl_fall=110.0, facing_depth=100.0)),
        lambda: of_sheath(with_fact(sheath(), cowl_fall=110.0, facing_depth=135.0)),
        says="11 cm",
    ),
    Case(
        "FRONT-LENGTH",
        lambda: of_sheath(with_fact(sheath(), front_extra=46.0, front_extra_taken=10.0)),
        lambda: of_sheath(with_fact(sheath(), front_extra=46.0, front_extra_taken=21.0)),
    ),
    Case("DART-LEGS", lambda: of_skirt(wide_dart(25.0, 6.0)), lambda: of_skirt(wide_dart(25.0))),
    Case("DART-WIDE", lambda: of_skirt(wide_dart(40.0)), lambda: of_skirt(wide_dart(35.0))),
    Case(
        "DART-AIM",
        lambda: of_sheath(side_dart(20.0, (150.0, 840.0))),
        lambda: of_sheath(side_dart(20.0, (114.0, 877.5))),
    ),
    Case("STRETCH-WAY", lambda: of_sheath(cloth=knit(stretch_along=0.6))),
    Case(
        "SURFACE-NAP",
        lambda: of_sheath(cloth=knit(surface=("pile",))),
        lambda: of_sheath(cloth=knit(surface=("pile",), nap="up")),
    ),
    Case("STRETCH-UNKNOWN", lambda: of_sheath(cloth=knit(stretch_across=None, stretch_along=None))),
    Case("PIECE-GRAIN", lambda: of_sheath(no_grain()), says="back"),
    Case(
        "PIECE-LABEL", lambda: of_sheath(edit_piece(sheath(), "back", lambda piece: replace(piece, cut=0))), says="back"
    ),
    Case("PIECE-NOTCH", lambda: of_sheath(edit_piece(sheath(), "back", lambda piece: replace(piece, notches=())))),
    Case(
        "EDGE-BARE",
        lambda: of_skirt(edit_edge(skirt(), "front", "hem", finish="", allowance=0.0)),
        of_skirt,
        says="no finish",
    ),
    Case(
        "EDGE-BARE",
        lambda: of_skirt(replace(skirt(), seams=tuple(replace(each, twice=False) for each in skirt().seams))),
        of_skirt,
        says="one half",
    ),
    Case(
        "NONE-TAPED",
        lambda: of_skirt(
            replace(skirt(), measures={"hip": Taken(980.0, True, (950.0, 1010.0))}),
        ),
        of_skirt,
        says="Not one measure",
    ),
    Case(
        "PIECE-WIDTH",
        lambda: of_sheath(cloth=replace(knit(), width=400.0)),
        lambda: of_sheath(cloth=replace(knit(), width=520.0)),
    ),
    Case("NAP-PAIR", lambda: of_skirt(not_a_pair()), of_skirt, "mind"),
    Case(
        "INLAY-WIDE",
        lambda: of_skirt(edit_edge(skirt(), "front", "hem", finish="raw 0 mm, inlay 90 mm", allowance=90.0)),
        lambda: of_skirt(edit_edge(skirt(), "front", "hem", finish="raw 0 mm, inlay 25 mm", allowance=25.0)),
        says="inlay of 9 cm",
    ),
    Case("CORNER-SHARP", lambda: of_skirt(notched_corner(15.0)), lambda: of_skirt(notched_corner(7.0))),
    Case("NECK-DEPTH", lambda: of_sheath(low_back(690.0)), severity="mind", says="waist"),
    Case("CORDS-CHILD", child, lambda: of_skirt(figure="child"), says="local rules"),
    Case("OPENING-SHORT", lambda: of_skirt(skirt(zip_length=80.0)), of_skirt, "stop", "zip"),
    Case(
        "SIDES-DIFFER",
        lambda: of_sheath(with_sides(130.0, 120.0)),
        lambda: of_sheath(with_sides(130.0, 127.0)),
        says="made for the left",
    ),
    Case(
        "NOT-TAPED",
        lambda: of_sheath(
            replace(sheath(), measures={**sheath().measures, "across front": Taken(320.0, True, (300.0, 340.0))})
        ),
        severity="note",
        says="30 cm to 34 cm",
    ),
)


@pytest.mark.parametrize("case", TABLE, ids=[case.code for case in TABLE])
def test_an_edit_trips_the_check_and_its_remedy_clears_it(case: Case) -> None:
    tripped = found(case.broken(), case.code)
    graver = [each for each in tripped if each.severity == (case.severity or CODES[case.code].severity)]
    assert graver, [each.code for each in run_checks(case.broken())]
    assert case.says in graver[0].says
    assert graver[0].remedy and graver[0].found and graver[0].expected
    severity = graver[0].severity
    assert not [each for each in found(case.cured(), case.code) if each.severity == severity]


def test_sound_garments_have_no_stop_and_little_to_mind() -> None:
    assert {each.code for each in run_checks(of_skirt())} == set()
    assert {(each.severity, each.code) for each in run_checks(of_sheath())} == {
        ("mind", "STRIDE"),
        ("note", "NECK-DEPTH"),
    }


def test_every_code_of_the_group_has_its_check_or_says_who_raises_it() -> None:
    mine = {case.code for case in TABLE}
    listed = {code for code, entry in CODES.items() if entry.group == "check"}
    assert mine | set(ELSEWHERE) == listed
    assert not mine & set(ELSEWHERE)


def test_every_check_is_exercised_and_says_its_source() -> None:
    speaking = set()
    for case in TABLE:
        broken = case.broken()
        speaking |= {check.__name__ for check in CHECKS if check(broken)}
    assert speaking == {check.__name__ for check in CHECKS}
    for check in CHECKS:
        text = check.__doc__ or ""
        code = text.split(":")[0].split(", ")[0]
        assert code in CODES, check.__name__
        assert any(mark in text for mark in ("[A]", "[C]", "[S]", "nine in ten")), check.__name__


def test_checks_come_gravest_first() -> None:
    pattern = edit_edge(with_fact(longer_front(), total_turn=40.0), "front", "hem", allowance=15.0)
    told = [each.severity for each in run_checks(of_sheath(pattern))]
    assert told == sorted(told, key=["stop", "mind", "note"].index)
    assert {"stop", "mind", "note"} <= set(told)


def test_inches_are_said_in_inches() -> None:
    said = found(of_sheath(longer_front(), units="in"), "SEAM-LENGTH")[0]
    assert " in" in said.says and " cm" not in said.says + said.remedy and " mm" not in said.says + said.remedy


def test_inlays_and_wraps_are_no_faults() -> None:
    inlaid = notched_corner(15.0)
    for edge in ("step", "ledge", "hem"):
        inlaid = edit_edge(inlaid, "front", edge, finish="plain 7 mm, inlay 8 mm")
    assert not found(of_skirt(inlaid), "CORNER-SHARP")
    still = edit_edge(inlaid, "front", "step", finish="plain 15 mm, inlay 8 mm", allowance=23.0)
    still = edit_edge(still, "front", "ledge", finish="plain 15 mm, inlay 8 mm", allowance=23.0)
    assert found(of_skirt(still), "CORNER-SHARP")  # what is left once the inlay is gone is too wide all the same
    too_small = with_measures(sheath(), hip=1100.0, round_the_shoulders=1200.0)
    for worn in ("wrap", "cape", "bag"):
        assert not found(of_sheath(replace(too_small, worn=worn)), "GETTING-IN")


def test_one_way_cloth_notes_how_a_pair_is_laid() -> None:
    said = found(of_skirt(cloth=woven(nap="up")), "NAP-PAIR")
    assert [each.severity for each in said] == ["note"] and "back" in said[0].says


def test_a_point_meant_at_the_fold_is_no_alarm() -> None:
    pointed = edit_edge(sheath(), "back", "back neck", path=line((190.0, UNDERARM), (0.0, 840.0)))
    assert not found(of_sheath(pointed), "FOLD-SQUARE")


def test_a_mark_off_every_edge_is_not_placed() -> None:
    stray = edit_piece(
        sheath(), "front", lambda piece: replace(piece, marks=(Mark("strap", "strap front", (70.0, 700.0)),))
    )
    assert "strap front" in found(of_sheath(stray), "STRAP-PLACE")[0].says
    assert not found(
        of_sheath(
            edit_piece(
                sheath(), "front", lambda piece: replace(piece, marks=(Mark("strap", "strap front", (145.0, NECK)),))
            )
        ),
        "STRAP-PLACE",
    )


def test_nothing_is_asked_of_an_empty_or_broken_pattern() -> None:
    bare = replace(sheath(), pieces=(), levels={}, measures={}, facts={})
    assert {each.code for each in run_checks(of_sheath(bare))} == {"SEAM-LENGTH"}
    ghost = replace(skirt(), openings=(Opening("zip", ("zip of nowhere",), 100.0, "zip"),))
    assert "SEAM-LENGTH" not in {each.code for each in run_checks(of_skirt(ghost))}
    lost = replace(sheath(), measures={})
    assert isinstance(run_checks(of_sheath(lost)), list)


def test_every_code_has_its_line_in_the_docs() -> None:
    page = (Path_(__file__).parent.parent / "docs" / "checks.md").read_text(encoding="utf-8")
    missing = [code for code, entry in CODES.items() if entry.group == "check" and code not in page]
    assert not missing
