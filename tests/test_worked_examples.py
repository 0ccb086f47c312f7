"""Worked figures of the trade, each computed by one of our verbs, recipes, checks or units.

Where each is computed (`WHERE` below is the same table; a test holds it to what exists). Marks: [S] published source
seen, [A] analytic identity, [C] common practice.

    W10  ease in a 4 cm turned hem of a full circle, 50.27 cm            the check HEM-CURVE            [A]
    W13  skirt for 68/94: half width 49.5 cm                             recipe straight-skirt          [A], rule [S]
    W14  skirt for 68/94: sewn waist 70.4 cm                             recipe straight-skirt          [A], rule [S]
    W15  skirt for 68/94: suppression 14.3 cm on the half                recipe straight-skirt          [A], rule [S]
    W17  skirt for a 36 in hip: 19 in wide, back 9 1/2 in                recipe straight-skirt, inches  [C]
    W33  39 in is 99.1 cm                                                units                          [S]
    W34  dart with legs of 24 cm, 7 cm wide: 16.77 degrees               verb darts                     [A]
    W35  the same dart is 4.083 cm wide 14 cm from its point             verb darts                     [A]
    W36  bust dart 2 cm wide, 13 cm long: 8.82 degrees                   verb side dart                 [A]
    W37  suppression for 68/94 with 1 and 3 cm ease: 14 cm               recipe straight-skirt          [A]
    W48  a strip of 1 1/8 in makes a tube of 5/16 in                     verb strap, cut line           [A], rule [C]
    W49  rows of an enclosed seam, 3/8 + 1/4 = 5/8 in                    construction                   [C]
    W50  rows of an enclosed seam, 1/8 + 1/4 = 3/8 in                    construction                   [A], rule [S]
    W51  4 in held at 5 in stretches 25 %                                cloth                          [C]
    W52  10 cm held at 13 cm stretches 30 %                              cloth                          [C]
    W53  4 in held at 10 in stretches 150 %                              cloth                          [C]
    W54  opening 68 cm, girth 94 cm: 38.2 % of stretch                   the check GETTING-IN           [A]
    W55  recovery of 10, 15, 10.5 cm: 90 %                               cloth                          [A], rule [C]
    W56  a stride of 66 cm asks for 93.75 cm at the hem                  the check STRIDE               [A]
    W57  edge 30 over 24 cm: the catenary's constant is 10.146 cm        verb slash and spread, cowl    [A]
    W58  edge 30 over 24 cm sags 7.96 cm                                 geometry.fall                  [A]
    W60  200 cm at 5 % shrinkage: 210.53 cm                              cloth                          [A]
    W61  1 oz to the square yard is 33.906 g/m2                          units                          [C]
    W71  A4 is 595 points wide                                           sheets, the PDF's page         [S]
    W72  Letter is 792 points high                                       sheets, the PDF's page         [S]
    W73  A0 is 0.999949 m2                                               sheets, papers                 [C]
    W74  700 x 1200 mm takes 20 sheets of A4 with 1 cm margins           sheets, the grid               [A]
    W83  10 cm let in 60 cm out turns by 9.56 degrees                    verb slash and spread          [A]

Plausibility bands at the end: common practice without a source [C], wide on purpose, and never our recipes' numbers.
"""

from __future__ import annotations

import importlib
import io
import math
from typing import Any

import numpy as np
import pikepdf
import pytest

from onfold.body.measures import MEASURES
from onfold.cloth import settle
from onfold.construction import Finish, read_finish
from onfold.pattern import Edge
from onfold.recipe.file import read_recipe
from onfold.recipe.replay import Replayed, replay
from onfold.sheets import SheetFacts, pattern_pdf, read_paper
from onfold.sheets.grid import fitted
from onfold.sheets.papers import PAPERS, Paper
from onfold.steps import VERBS
from tests.drafting import KNIT, WOVEN, as_json, drafted, example, ticket_text
from tests.synthetic import skirt

INCH = 25.4

WHERE = {
    "W10": "test_checks_sources:test_what_a_turned_circular_hem_has_too_much",
    "W13": "test_worked_examples:test_a_skirt_by_the_teaching_handout",
    "W14": "test_worked_examples:test_a_skirt_by_the_teaching_handout",
    "W15": "test_worked_examples:test_a_skirt_by_the_teaching_handout",
    "W17": "test_worked_examples:test_a_skirt_in_inches",
    "W33": "test_units:test_a_hip_in_inches_said_in_centimetres",
    "W34": "test_worked_examples:test_a_dart_has_one_angle_at_every_distance",
    "W35": "test_worked_examples:test_a_dart_has_one_angle_at_every_distance",
    "W36": "test_worked_examples:test_a_bust_dart_at_the_side",
    "W37": "test_worked_examples:test_suppression_with_little_ease",
    "W48": "test_worked_examples:test_a_strap_tube_from_a_strip",
    "W49": "test_construction:test_rows_of_an_enclosed_seam",
    "W50": "test_construction:test_rows_of_an_enclosed_seam",
    "W51": "test_cloth:test_stretch_from_a_test",
    "W52": "test_cloth:test_stretch_from_a_test",
    "W53": "test_cloth:test_stretch_from_a_test",
    "W54": "test_checks_getting_in:test_the_published_condition_for_getting_in",
    "W55": "test_cloth:test_recovery_of_ten_fifteen_ten_and_a_half",
    "W56": "test_checks_sources:test_stride_hull_of_two_legs",
    "W57": "test_worked_examples:test_a_spread_neck_hangs_as_the_catenary_of_its_edge",
    "W58": "test_geometry_fall:test_worked_sags",
    "W60": "test_cloth:test_cloth_is_bought_longer_than_it_shrinks_to",
    "W61": "test_cloth:test_an_ounce_to_the_square_yard_in_grams",
    "W71": "test_worked_examples:test_pages_in_points",
    "W72": "test_worked_examples:test_pages_in_points",
    "W73": "test_worked_examples:test_the_largest_paper_is_a_square_metre",
    "W74": "test_worked_examples:test_tiles_without_overlap",
    "W83": "test_worked_examples:test_a_slash_opened_turns_by_its_chord",
}


def test_at_least_twenty_are_computed_and_every_named_test_exists() -> None:
    assert len(WHERE) >= 20
    for name, where in WHERE.items():
        module, _, test = where.partition(":")
        assert callable(getattr(importlib.import_module(f"tests.{module}"), test)), name
        assert f"    {name}  " in (__doc__ or ""), f"{name} is missing from the table above"


def piece_of(pattern: dict[str, Any], name: str) -> dict[str, Any]:
    return next(piece for piece in pattern["pieces"] if piece["name"] == name)


def run_length(piece: dict[str, Any], root: str) -> float:
    """The length of an edge without its darts, mm."""
    leaves = [edge for edge in piece["edges"] if edge["name"] == root or edge["parent"] == root]
    assert leaves, root
    return sum(edge["length"] for edge in leaves)


def level_width(piece: dict[str, Any], name: str) -> float:
    """The length of a level's line from the centre to the side, mm."""
    drawn = next(inner["line"] for inner in piece["inner"] if inner["kind"] == "level" and inner["name"] == name)
    return math.dist(drawn[0], drawn[-1])


def half_skirt(measures: dict[str, float] | dict[str, str], units: str = "cm", **choices: str) -> dict[str, float]:
    text = ticket_text("straight-skirt", measures, WOVEN, {key.replace("_", " "): v for key, v in choices.items()},
                       units=units)  # fmt: skip
    pattern = as_json(drafted(text))
    front, back = piece_of(pattern, "front"), piece_of(pattern, "back")
    return {
        "front": level_width(front, "hip"),
        "back": level_width(back, "hip"),
        "waist": run_length(front, "waist") + run_length(back, "waist"),
    }


BODY = {"height": 1650.0, "waist": 680.0, "hip": 940.0, "waist to hip": 206.0}


def test_a_skirt_by_the_teaching_handout() -> None:
    """WikiEducator, Handout for drafting skirt block [S], at waist 68, hip 94; measured on the pieces.

    Its width is half the hip and 2.5, the back half of that and 0.75 more, the sewn waist 70.4 round.
    """
    half = half_skirt(BODY)
    assert half["front"] + half["back"] == pytest.approx(495.0, abs=0.01)
    assert half["back"] == pytest.approx(255.0, abs=0.01)
    assert 2 * half["waist"] == pytest.approx(704.0, abs=0.01)
    assert half["front"] + half["back"] - half["waist"] == pytest.approx(143.0, abs=0.01)


def test_suppression_with_little_ease() -> None:
    """1 cm ease at the waist, 3 cm at the hip: (94 + 3) / 2 - (68 + 1) / 2 = 14.0 cm [A], on the drafted half."""
    half = half_skirt(BODY, waist_ease="1 cm", hip_ease="3 cm")
    assert half["front"] + half["back"] - half["waist"] == pytest.approx(140.0, abs=0.01)


def test_a_skirt_in_inches() -> None:
    """Hip 36 in: half of it and 1 in is 19 in across; halved, the back has 9 1/2 in [C]."""
    measures = {"height": "5 ft 5 in", "waist": "26 in", "hip": "36 in", "waist to hip": "8 in"}
    half = half_skirt(measures, "in", hip_ease="2 in", back_wider="0 in")
    assert half["front"] + half["back"] == pytest.approx(19 * INCH, abs=0.01)
    assert half["back"] == pytest.approx(9.5 * INCH, abs=0.01)


def made_by(*steps: str) -> Replayed:
    """What the steps of a small recipe leave on the bench; it must be sound."""
    lines = "".join(f"  - {step}\n" for step in steps)
    text = f"recipe: worked-example\ntitle: Worked example\nlicence: CC0-1.0\nfor: any\nkind: block\nsteps:\n{lines}"
    recipe, problems = read_recipe(text, "worked-example.yaml", VERBS, MEASURES)
    assert recipe is not None and not problems, problems
    made = replay(recipe.steps, {})
    assert not made.problems, made.problems
    return made


def edge_of(made: Replayed, name: str) -> Edge:
    return next(edge for edge in made.state["outline", "panel"] if edge.name == name)


def oblong(width: str, height: str) -> list[str]:
    """A panel with its centre on the left: the edges lower, right, upper, centre."""
    return [
        "begin piece: {name: panel, centre: centre}",
        f"rule down: {{name: centre, from: start, length: {height}}}",
        f"mark point: {{name: upper corner, from: start, across: {width}}}",
        f"mark point: {{name: lower corner, from: end of centre, across: {width}}}",
        "join: {name: upper, points: [start, upper corner], curve: straight}",
        "join: {name: right, points: [upper corner, lower corner], curve: straight}",
        "join: {name: lower, points: [end of centre, lower corner], curve: straight}",
        "close the outline: {lines: [lower, right, upper, centre]}",
    ]


def corner_angle(a: np.ndarray, point: np.ndarray, b: np.ndarray) -> float:
    """The angle at a point between the ways to two others, degrees."""
    u, v = a - point, b - point
    return math.degrees(math.atan2(abs(u[0] * v[1] - u[1] * v[0]), float(u @ v)))


def legs(made: Replayed, name: str) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """A dart's two mouth points and its point, from its edges in the outline."""
    leg, other = edge_of(made, f"{name} leg"), edge_of(made, f"{name} other leg")
    return leg.path.curves[0, 0], leg.path.curves[-1, 3], other.path.curves[-1, 3]


def test_a_dart_has_one_angle_at_every_distance() -> None:
    """Legs of 24 cm, 7 cm wide: 16.77 degrees, and 4.083 cm wide 14 cm from the point: chords of a circle [A]."""
    deep = math.sqrt(24.0**2 - 3.5**2)
    made = made_by(
        *oblong("40 cm", "60 cm"),
        f"darts: {{name: waist dart, on: upper, total: 7 cm, length: {deep:.9f} cm, most: 8 cm, least: 3 mm}}",
    )
    a, point, b = legs(made, "waist dart")
    assert np.linalg.norm(a - point) == pytest.approx(240.0, abs=1e-5)
    assert np.linalg.norm(a - b) == pytest.approx(70.0, abs=1e-9)
    assert corner_angle(a, point, b) == pytest.approx(16.77, abs=0.005)
    near, beside = (point + (each - point) * 140.0 / np.linalg.norm(each - point) for each in (a, b))
    assert np.linalg.norm(near - beside) == pytest.approx(40.83, abs=0.01)


def test_a_bust_dart_at_the_side() -> None:
    """2 cm over legs of 13 cm: 8.82 degrees [A]; it points at the goal it was given."""
    deep = math.sqrt(13.0**2 - 1.0)
    made = made_by(
        *oblong("30 cm", "60 cm"),
        "mark point: {name: at the side, from: upper corner, up: -20 cm}",
        f"mark point: {{name: bust point, from: at the side, across: 0 cm - {deep:.9f} cm, up: -1 cm}}",
        "side dart: {name: bust dart, on: right, from: at the side, width: 2 cm, towards: bust point, short of: 0 cm}",
    )
    a, point, b = legs(made, "bust dart")
    assert corner_angle(a, point, b) == pytest.approx(8.82, abs=0.005)
    assert point == pytest.approx(np.array(made.state["point", "panel", "bust point"]), abs=1e-6)


def spread(width: str, height: str, slashes: int, opening: str) -> Replayed:
    return made_by(
        *oblong(width, height),
        f"slash and spread: {{centre: centre, hinged: right, slashes: {slashes}, opening: {opening}, span: {width}, "
        "most turn: 75}",
    )


def test_a_slash_opened_turns_by_its_chord() -> None:
    """A panel 60 cm wide opened by 10 cm at its centre turns by 2 asin(10 / 120) = 9.56 degrees [A]."""
    made = spread("60 cm", "40 cm", 1, "10 cm")
    upper = edge_of(made, "upper").path.curves
    way = upper[-1, 3] - upper[0, 0]
    turned = abs(math.degrees(math.atan2(way[1], way[0])))
    assert min(turned, 180.0 - turned) == pytest.approx(9.56, abs=0.005)


def test_a_spread_neck_hangs_as_the_catenary_of_its_edge() -> None:
    """A neck edge of 30 cm that spans 24: L = c sinh(s / c) with c = 10.146056 cm, so sag c (cosh(s / c) - 1) [A].

    The shipped cowl is solved for that sag; its own edge and span then fit one catenary, whose constant is found here
    by halving, with our own `sinh`.
    """
    asked = 10.146056 * (math.cosh(12 / 10.146056) - 1.0)
    text = ticket_text(
        "choir-sheath",
        {"height": "167 cm", "bust": "95 cm", "waist": "77 cm", "hip": "103 cm", "across front": "24 cm"},
        KNIT,
        {"fall": f"{asked:.6f} cm"},
    )
    facts = {name: fact.value for name, fact in drafted(text).pattern.facts.items()}
    span, edge = facts["half strap span"], facts["half neck edge"]
    assert span == pytest.approx(120.0, abs=1e-6)
    low, high = 20.0, 2000.0
    for _ in range(80):
        c = (low + high) / 2
        low, high = (c, high) if c * math.sinh(span / c) > edge else (low, c)
    assert c / 10 == pytest.approx(10.146, abs=0.01)
    assert edge / 10 == pytest.approx(15.0, abs=0.01)


def test_a_strap_tube_from_a_strip() -> None:
    """A strip of 1 1/8 in sewn a quarter inch in and turned is 5/16 in wide [A]: here the other way round.

    A strap of 5/16 in with allowances of a quarter inch is cut 1 1/8 in wide.
    """
    text = ticket_text(
        "choir-sheath",
        {"height": "5 ft 6 in", "bust": "37 1/2 in", "waist": "30 in", "hip": "40 in"},
        KNIT,
        {"strap width": "5/16 in"},
        {"strap seam": "plain 1/4 in"},
        units="in",
    )
    ring = np.array(piece_of(as_json(drafted(text)), "strap")["cut_line"])
    assert np.ptp(ring[:, 0]) == pytest.approx(1.125 * INCH, abs=0.01)


@pytest.mark.parametrize(("paper", "points"), [("a4", (595, 842)), ("letter", (612, 792))])
def test_pages_in_points(paper: str, points: tuple[int, int]) -> None:
    """ISO 32000-1 as quoted: a point is 1/72 in, A4 595 x 842, Letter 612 x 792 [S], on the pages as written."""
    found = read_paper(paper)
    assert isinstance(found, Paper)
    with pikepdf.open(io.BytesIO(pattern_pdf(skirt(), SheetFacts(paper=found)))) as pdf:
        for page in pdf.pages:
            assert "/UserUnit" not in page.obj
            assert sorted(float(each) for each in page.mediabox)[2:] == pytest.approx(points, abs=0.5)


def test_the_largest_paper_is_a_square_metre() -> None:
    assert PAPERS["a0"].width * PAPERS["a0"].height / 1e6 == pytest.approx(0.999949, abs=1e-6)  # [C]


def test_tiles_without_overlap() -> None:
    """Usable 190 x 277 mm: ceil(700 / 190) x ceil(1200 / 277) = 20 [A]; an overlap takes (W - o) / (w - o)."""
    paper = PAPERS["a4"]
    page = (paper.width, paper.height)
    grid = fitted((0.0, 0.0, 700.0, 1200.0), page, 10.0, 0.0, (0.0, 0.0))
    assert (grid.width, grid.height) == (190.0, 277.0)
    assert (grid.columns, grid.rows) == (4, 5)
    lapped = fitted((0.0, 0.0, 700.0, 1200.0), page, 10.0, 10.0, (0.0, 0.0))
    assert (lapped.columns, lapped.rows) == (math.ceil(690 / 180), math.ceil(1190 / 267))


@pytest.mark.parametrize("stretch", [20, 50, 70, 100])
def test_band_reduction_of_a_close_stretch_garment(stretch: int) -> None:
    """[C] From a tenth to a half of the stretch is used, so a quarter of the hip is reduced by so much.

    A tenth of 20 % takes 5 mm off the quarter of a 103 cm hip; a half of 100 %, 86 mm.
    """
    cloth = {"kind": "knit", "stretch": f"{{across: {stretch} %, along: 30 %}}"}
    body = {"height": 1670.0, "bust": 950.0, "waist": 770.0, "hip": 1030.0}
    front = piece_of(as_json(drafted(ticket_text("choir-sheath", body, cloth))), "front")
    reduced = body["hip"] / 4 - level_width(front, "hip")
    least, most = (body["hip"] / 4 * (1 - 1 / (1 + used * stretch / 100)) for used in (0.1, 0.5))
    assert 4.0 < least <= reduced <= most < 90.0


def test_band_spacing_and_opening_of_a_cowls_slashes() -> None:
    """[C] Slashes lie 1 to 8 cm apart along the armhole, are opened 0.5 to 6 cm, and all in all turn at most 75."""
    pattern = drafted(example("alto-1-sheath")).pattern
    facts = {name: fact.value for name, fact in pattern.facts.items()}
    front = pattern.piece("front")
    assert front is not None
    armhole = next(edge for edge in as_json(drafted(example("alto-1-sheath")))["pieces"][0]["edges"]
                   if edge["name"] == "armhole")  # fmt: skip
    assert 10.0 <= armhole["length"] / (facts["slashes"] + 1) <= 80.0
    assert 5.0 <= facts["spread"] <= 60.0
    assert facts["total turn"] <= 75.0


@pytest.mark.parametrize("cloth", [settle("woven", 1400, thickness=0.2), settle("woven", 1500, thickness=1.0)])
def test_band_first_row_of_an_enclosed_seam(cloth: Any) -> None:
    """[C] A third to two thirds of the whole: 1/8 of 3/8, 1/4 of 5/8, 3/8 of 3/4, 3/8 of 5/8 in are all in use."""
    finish = read_finish("french", cloth)
    assert isinstance(finish, Finish)
    assert 1 / 3 <= finish.rows[0].from_raw / finish.allowance <= 2 / 3
    assert finish.trims[0].left < finish.rows[0].from_net  # [A] else the raw edge shows


def test_band_turns_of_a_narrow_hem() -> None:
    """[C] A first turn of 5 to 7 mm where the turns are unequal, else two of 5 to 25; both are allowed for."""
    usual = read_finish("double turned", settle("woven", 1400, thickness=0.2))
    assert isinstance(usual, Finish)
    assert 5.0 <= usual.turns[0] <= usual.turns[1] <= 25.0
    narrow = read_finish("double turned 15 mm, first turn 6 mm")
    assert isinstance(narrow, Finish)
    assert 5.0 <= narrow.turns[0] <= 7.0
    assert narrow.allowance == pytest.approx(sum(narrow.turns))
