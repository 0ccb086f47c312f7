"""What is cut, held against a draft changed since: by an independent containment test, by hand, and in the ticket."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from random import Random

import numpy as np
import pytest
import shapely
from bodies import survey_women
from drafting import WOVEN, codes, knit, ticket_of, ticket_text, unchecked
from numpy.typing import NDArray

from onfold.cloth import settle
from onfold.fitting.reach import CUT_TO, Reach, least_of, reach_of, size_of
from onfold.geometry.path import flatten, line, polyline
from onfold.geometry.region import closed, depths, joined_to_mirror
from onfold.pattern import Edge, Grain, Pattern, Piece
from onfold.project import Garment, open_ticket
from onfold.project_cut import cut_garment, cut_problems
from onfold.shelf.ticket import as_cut
from onfold.units import say_length

Floats = NDArray[np.float64]
ALTO = {"height": 1680.0, "waist": 700.0, "hip": 960.0, "waist to hip": 200.0, "waist to knee": 580.0}
DEEP = {"side seam": "plain 40 mm", "hem": "single turned 65 mm"}
USUAL = least_of(ticket_of(ticket_text("straight-skirt", ALTO, WOVEN)).cloth)


def inlaid(edge: Edge) -> float:
    """What `DEEP` is cut for: seams of 15 mm and hems of 40 mm; the other 25 mm are inlays."""
    return {"side": 15.0, "hem": 40.0}.get(edge.root, USUAL(edge))


def whole(edge: Edge) -> float:
    return edge.allowance


def skirt(
    choices: dict[str, str], finish: dict[str, str] | None = None, body: dict[str, float] | None = None
) -> Pattern:
    return unchecked(ticket_text("straight-skirt", body or ALTO, WOVEN, choices, finish)).pattern


def answers(before: Pattern, after: Pattern, least: Callable[[Edge], float] = inlaid) -> dict[str, Reach]:
    return {each.piece: each for each in reach_of(before, after, least)}


def cm(mm: float) -> str:
    return f"{mm / 10.0:.4f} cm"


# --- by hand ---


@pytest.mark.parametrize("out", [2.0, 5.0, 10.0, 17.0])
def test_a_side_let_out_leaves_the_inlay_less_what_it_was_let_out(out: float) -> None:
    """[A] hip ease grows by 4 x out: a quarter, so each side, by `out`; 25 mm of inlay leave 25 - out."""
    found = answers(skirt({"hip ease": "5 cm"}, DEEP), skirt({"hip ease": cm(50.0 + 4.0 * out)}, DEEP))
    front, back = found["front"], found["back"]
    # the hem has its inlay too; it is as deep as before, so that the side is the tightest only where it is let out
    assert front.answer == back.answer == "reaches"
    assert {each.edge: each.spare for each in front.edges}["side"] == pytest.approx(25.0 - out, abs=0.4)
    assert {each.edge: each.spare for each in back.edges}["side"] == pytest.approx(25.0 - out, abs=0.7)
    assert (front.edge, back.edge) == ("side", "side")
    assert front.spare == pytest.approx(25.0 - out, abs=0.4)
    assert front.full == pytest.approx(-out, abs=1.0), "with the whole allowance so much would lack"
    assert front.size == (0.0, 0.0) and front.pieces == 0


@pytest.mark.parametrize("out", [3.0, 10.0])
def test_a_side_let_out_without_an_inlay_is_recut(out: float) -> None:
    """[A] a seam of 15 mm uses all its 15 mm: what is let out lacks; the back shares it with its centre seam."""
    found = answers(skirt({"hip ease": "5 cm"}), skirt({"hip ease": cm(50.0 + 4.0 * out)}), USUAL)
    assert found["front"].answer == found["back"].answer == "recut"
    assert found["front"].spare == pytest.approx(-out, abs=0.1) and found["front"].edge == "side"
    assert found["back"].spare == pytest.approx(-out / 2.0, abs=0.1)
    assert found["waistband"].answer == "unchanged"


@pytest.mark.parametrize(("longer", "answer"), [(10.0, "reaches"), (24.0, "reaches"), (35.0, "recut")])
def test_a_hem_is_let_down_by_its_inlay(longer: float, answer: str) -> None:
    """[A] 65 mm were left where a hem uses 40: 25 mm longer and no more; what lacks is shared with the waist."""
    found = answers(skirt({"length": "58 cm"}, DEEP), skirt({"length": cm(580.0 + longer)}, DEEP))
    front = found["front"]
    assert front.answer == answer
    spare = 25.0 - longer if longer <= 25.0 else (25.0 - longer) / 2.0
    assert {each.edge: each.spare for each in front.edges}["hem"] == pytest.approx(spare, abs=0.1)
    assert front.edge == "hem"
    assert front.spare == pytest.approx(spare, abs=0.1)


def test_taken_in_it_reaches_and_nothing_changed_is_unchanged() -> None:
    before = skirt({"hip ease": "6 cm"})
    assert {each.answer for each in answers(before, before).values()} == {"unchanged"}
    found = answers(before, skirt({"hip ease": "4 cm"}), USUAL)
    assert found["front"].answer == found["back"].answer == "reaches"


def test_the_cloth_for_a_recut_is_the_cut_line_opened_out_along_the_grain() -> None:
    """[A] the front is cut on the fold: twice its width; the waistband's grain runs its length."""
    after = skirt({"hip ease": "12 cm", "waist ease": "5 cm"})
    found = answers(skirt({"hip ease": "5 cm"}), after, USUAL)
    front, back, band = (after.piece(name) for name in ("front", "back", "waistband"))
    assert front is not None and back is not None and band is not None
    assert front.cut_line is not None and back.cut_line is not None and band.cut_line is not None
    assert found["front"].size == pytest.approx((2.0 * front.cut_line[:, 0].max(), np.ptp(front.cut_line[:, 1])))
    assert found["front"].pieces == 1
    assert found["back"].size == pytest.approx(tuple(np.ptp(back.cut_line, axis=0)))
    assert found["back"].pieces == 2
    assert found["waistband"].answer == "recut"
    assert found["waistband"].size == pytest.approx(tuple(np.ptp(band.cut_line, axis=0)[::-1]))


def box(name: str, wide: float, high: float, allowance: float = 10.0, **more: object) -> Piece:
    """A rectangle from (0, 0) with allowance on every side but a fold on x = 0."""
    low = 0.0 if more.get("on_fold") else -allowance
    corners = [(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)]
    names = ("hem", "side", "top", "centre")
    edges = tuple(
        Edge(each, line(a, b), fold=each == "centre" and low == 0.0, allowance=allowance, finish="plain 10 mm")
        for each, a, b in zip(names, corners, corners[1:] + corners[:1], strict=True)
    )
    right, top = wide + allowance, high + allowance
    ring = np.array([(low, -allowance), (right, -allowance), (right, top), (low, top), (low, -allowance)])
    grain = Grain("straight", (5.0, 5.0), (5.0, high - 5.0))
    return Piece(name, edges, cut=1, grain=grain, cut_line=ring, **more)  # type: ignore[arg-type]


def of(*pieces: Piece) -> Pattern:
    return Pattern("made up", "", "", pieces)


def test_a_piece_off_the_fold_is_shared_out_between_its_sides_and_one_on_the_fold_is_not() -> None:
    """[A] 6 mm wider: moved by half, 3 mm lack on either side; on the fold it cannot move, so 6 mm lack at the side."""
    loose = answers(of(box("a", 100, 200)), of(box("a", 106, 200)), whole)["a"]
    folded = answers(of(box("a", 100, 200, on_fold=True)), of(box("a", 106, 200, on_fold=True)), whole)["a"]
    assert loose.spare == pytest.approx(-3.0, abs=0.01) and loose.shift[0] == pytest.approx(-3.0, abs=0.01)
    assert folded.spare == pytest.approx(-6.0, abs=0.01) and folded.shift[0] == 0.0
    assert folded.edge == "side"
    assert loose.size == pytest.approx((126.0, 220.0)) and folded.size == pytest.approx((232.0, 220.0))


def test_a_piece_is_found_where_it_lies_in_another_frame() -> None:
    """A piece that was let out at its left edge is moved in its own frame; on the cloth it is where it was."""
    after, off = box("a", 100, 200), np.array([40.0, -25.0])
    moved = replace(
        after,
        edges=tuple(replace(each, path=polyline(flatten(each.path) + off)) for each in after.edges),
        cut_line=None if after.cut_line is None else after.cut_line + off,
    )
    assert answers(of(box("a", 100, 200)), of(moved))["a"].answer == "unchanged"
    wider = box("a", 104, 200, 15.0)
    found = answers(of(wider), of(moved), lambda _: 10.0)["a"]
    assert found.answer == "reaches"
    assert found.spare == pytest.approx(5.0, abs=0.01)  # [A] top and hem: 15 cut, 10 used; the sides have 7


def test_pieces_new_gone_and_cut_otherwise_are_named() -> None:
    before = of(box("a", 100, 200), box("b", 50, 60), box("c", 80, 90, on_fold=True), box("d", 80, 90))
    after = of(
        box("a", 100, 200, material="lining"),
        box("c", 80, 90),
        replace(box("d", 80, 90), cut=3),
        box("e", 30, 40, on_fold=True),
    )
    found = answers(before, after)
    assert {name: each.answer for name, each in found.items()} == {
        "a": "recut",
        "c": "recut",
        "d": "recut",
        "e": "new",
        "b": "gone",
    }
    assert "lining" in found["a"].why and "seam" in found["c"].why
    assert found["d"].pieces == 2 and "2 more" in found["d"].why
    assert found["e"].size == pytest.approx((80.0, 60.0))


@pytest.mark.parametrize(("kind", "turn"), [("straight", 0.0), ("cross", 90.0), ("bias", 45.0)])
def test_the_size_goes_by_the_thread_not_by_the_arrow(kind: str, turn: float) -> None:
    piece = replace(box("a", 100, 200), grain=Grain(kind, (0.0, 0.0), (0.0, 100.0)))  # type: ignore[arg-type]
    along = np.array([np.cos(np.radians(90.0 + turn)), np.sin(np.radians(90.0 + turn))])
    across = np.array([along[1], -along[0]])
    assert piece.cut_line is not None
    assert size_of(piece) == pytest.approx((np.ptp(piece.cut_line @ across), np.ptp(piece.cut_line @ along)))


# --- an independent containment test ---


def region(ring: Floats, piece: Piece) -> shapely.Polygon:
    half = shapely.Polygon(ring)
    if not piece.on_fold:
        return half
    return shapely.union_all([half, shapely.affinity.scale(half, -1.0, 1.0, origin=(0.0, 0.0))]).buffer(1e-6)


def needs(piece: Piece, least: Callable[[Edge], float]) -> shapely.Geometry:
    """The seam line and, beside every edge, the strip that its seam uses; corners left out: a part of what it needs."""
    ring = np.concatenate([flatten(each.path)[:-1] for each in piece.edges])
    parts = [shapely.Polygon(ring).buffer(0)]
    for edge in piece.edges:
        if not edge.fold and edge.finish != "dart" and least(edge) > 0.0:
            strip = shapely.LineString(flatten(edge.path)).buffer(-least(edge), cap_style="flat", single_sided=True)
            parts.append(strip.buffer(0))
    return shapely.union_all(parts)


def held(outer: shapely.Geometry, inner: shapely.Geometry, shift: tuple[float, float], tolerance: float) -> bool:
    wider = outer.buffer(tolerance, join_style="mitre", mitre_limit=2.0)
    return bool(wider.covers(shapely.affinity.translate(inner, *shift)))


def held_anywhere(outer: shapely.Geometry, inner: shapely.Geometry, fold: bool, tolerance: float) -> bool:
    """Whether any shift of a grid of 1 mm within 25 mm, about where the boxes' middles meet, holds it."""
    wider = outer.buffer(tolerance, join_style="mitre", mitre_limit=2.0)
    (ox, oy, ou, ov), (ix, iy, iu, iv) = outer.bounds, inner.bounds
    x, y = ((ox + ou) - (ix + iu)) / 2.0, ((oy + ov) - (iy + iv)) / 2.0
    xs = [0.0] if fold else np.arange(-25.0, 25.5, 1.0) + x
    for dx in xs:
        for dy in np.arange(-25.0, 25.5, 1.0) + y:
            wide, low, high = inner.bounds[0] + dx, inner.bounds[1] + dy, inner.bounds[3] + dy
            box_in = wide >= wider.bounds[0] and low >= wider.bounds[1] and high <= wider.bounds[3]
            if box_in and wider.covers(shapely.affinity.translate(inner, dx, dy)):
                return True
    return False


def changed(chance: Random) -> tuple[dict[str, str], dict[str, str]]:
    """Choices of the skirt before and after a fitting that lets out or takes in, at hip, waist and hem."""
    before = {"hip ease": 50.0, "waist ease": 24.0, "length": 600.0}
    after = {
        "hip ease": 50.0 + chance.uniform(-30.0, 70.0),
        "waist ease": 24.0 + chance.choice([0.0, chance.uniform(-24.0, 36.0)]),
        "length": 600.0 + chance.choice([0.0, chance.uniform(-40.0, 40.0)]),
    }
    return {k: cm(v) for k, v in before.items()}, {k: cm(v) for k, v in after.items()}


@pytest.mark.parametrize("seed", range(6))
def test_the_answer_is_that_of_an_independent_containment_test(seed: int) -> None:
    """Let-outs and take-ins of several bodies, with inlays and without, against shapely's own predicate."""
    chance = Random(seed)
    body = survey_women(40)[seed * 5] | {"waist to hip": 200.0, "waist to knee": 580.0}
    told: list[str] = []
    for finish, least in ((DEEP, inlaid), (None, USUAL)):
        first, second = changed(chance)
        before, after = skirt(first, finish, body), skirt(second, finish, body)
        for name, each in answers(before, after, least).items():
            old, new = before.piece(name), after.piece(name)
            assert old is not None and new is not None and old.cut_line is not None
            outer = region(old.cut_line, old)
            inner = needs(new, least)
            told.append(each.answer)
            if each.answer in ("reaches", "unchanged"):
                assert held(outer, inner, each.shift, CUT_TO + 0.05), (seed, each)
            elif min(edge.spare for edge in each.edges) < -CUT_TO - 1.0:
                assert not held_anywhere(outer, inner, new.on_fold, CUT_TO), (seed, each)
    assert set(told) & {"reaches", "unchanged"}


@pytest.mark.parametrize("seed", range(6))
def test_with_all_its_allowance_the_answer_is_whether_one_cut_line_holds_the_other(seed: int) -> None:
    chance = Random(seed + 50)
    body = survey_women(60)[seed * 7 + 3] | {"waist to hip": 205.0, "waist to knee": 575.0}
    first, second = changed(chance)
    before, after = skirt(first, None, body), skirt(second, None, body)
    for name, each in answers(before, after, whole).items():
        old, new = before.piece(name), after.piece(name)
        assert old is not None and new is not None and old.cut_line is not None and new.cut_line is not None
        outer, inner = region(old.cut_line, old), region(new.cut_line, new)
        if each.answer in ("reaches", "unchanged"):
            assert held(outer, inner, each.shift, CUT_TO + 0.05), (seed, each)
        else:
            assert each.spare < -CUT_TO
            assert not held(outer, inner, each.shift, CUT_TO - 0.05), (seed, each)
            if each.spare < -CUT_TO - 1.0:
                assert not held_anywhere(outer, inner, new.on_fold, CUT_TO), (seed, each)


def test_a_knit_sheath_is_held_against_its_cut_too() -> None:
    """Curved armholes, a cowl and a facing cut in one: the sheath taken in and let out at its bust."""
    body = {"height": 1680.0, "bust": 920.0, "waist": 740.0, "hip": 980.0}
    cloth = knit(0.7)

    def sheath(reduction: str) -> Pattern:
        return unchecked(ticket_text("choir-sheath", body, cloth, {"hip reduction": reduction})).pattern

    before, tighter, looser = sheath("10 %"), sheath("12 %"), sheath("7 %")
    least = least_of(settle("knit", 1600.0, stretch_across=0.7, stretch_along=0.35))
    for after, expected in ((tighter, {"reaches", "unchanged"}), (looser, {"recut", "unchanged"})):
        found = answers(before, after, least)
        assert {each.answer for each in found.values()} <= expected
        for name, each in found.items():
            old, new = before.piece(name), after.piece(name)
            assert old is not None and new is not None and old.cut_line is not None
            fits = held(region(old.cut_line, old), needs(new, least), each.shift, CUT_TO + 0.05)
            assert fits == (each.answer != "recut"), (name, each)


def test_the_spare_falls_as_the_change_grows() -> None:
    """Monotone: the more is let out, the less is spare, and what is recut stays so."""
    before = skirt({"hip ease": "4 cm", "waist ease": "2.4 cm"}, DEEP)
    eases = [40.0, 44.0, 52.0, 60.0, 72.0, 90.0, 120.0]
    found = [answers(before, skirt({"hip ease": cm(ease), "waist ease": "2.4 cm"}, DEEP)) for ease in eases]
    for name in ("front", "back"):
        spares = [each[name].spare for each in found[1:]]
        assert all(b <= a + 0.05 for a, b in pairwise(spares)), (name, spares)
        fulls = [each[name].full for each in found[1:]]
        assert all(b <= a + 0.05 for a, b in pairwise(fulls)), (name, fulls)
    tight = skirt({"hip ease": "4 cm"})
    hard = [answers(tight, skirt({"hip ease": cm(ease)}), USUAL)["front"] for ease in eases[1:]]
    order = [each.answer == "recut" for each in hard]
    assert order == sorted(order) and order[-1]
    assert [each.spare for each in hard] == sorted((each.spare for each in hard), reverse=True)


def test_depths_and_the_whole_of_a_half_are_those_of_plain_geometry() -> None:
    """[A] a square of 10 mm: its middle lies 5 mm deep, a point 3 mm beside it -3 mm."""
    square = closed(np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]))
    spots = np.array([(5.0, 5.0), (13.0, 5.0), (0.0, 4.0), (14.0, 13.0), (9.0, 5.0)])
    assert depths(square, spots) == pytest.approx([5.0, -3.0, 0.0, -5.0, 1.0])
    assert np.ptp(joined_to_mirror(square)[:, 0]) == pytest.approx(20.0)


# --- the ticket ---


TICKET = """ticket: Concert skirt, alto-5
recipe: straight-skirt
wearer:
  name: alto-5
  figure: woman
  measures: {height: 168 cm, waist: 70 cm, hip: 96 cm, waist to hip: 20 cm, waist to knee: 58 cm}
cloth: {kind: woven, width: 150 cm, name: twill}
choices: {hip ease: 5 cm}
finish: {side seam: plain 15 mm}
cut on: 2026-10-20
fittings:
  - on: 2026-10-19
    choice: {length: 60 cm}
  - on: DAY
    choice: {hip ease: EASE}
"""


def opened(folder: Path, day: str = "2026-10-27", ease: str = "9 cm", more: str = "") -> Garment:
    path = folder / "ticket.yaml"
    path.write_text(TICKET.replace("DAY", day).replace("EASE", ease) + more, "utf-8")
    return open_ticket(path)


def test_fittings_before_the_day_are_in_the_cut_cloth_those_of_the_day_and_after_are_not() -> None:
    for day, then in (("2026-10-19", "9 cm"), ("2026-10-20", "5 cm"), ("2026-10-21", "5 cm")):
        ticket = ticket_of(TICKET.replace("DAY", day).replace("EASE", "9 cm"))
        cut = as_cut(ticket)
        assert cut is not None
        assert (cut.choices["hip ease"].text, cut.choices["length"].text) == (then, "60 cm")
        assert ticket.choices["hip ease"].text == "9 cm"
        assert not cut.cut_on and as_cut(cut) is None


def test_a_let_out_after_cutting_is_recut_and_the_problem_says_what_from_how_much(tmp_path: Path) -> None:
    garment = opened(tmp_path)
    assert garment.draft is not None
    cut = cut_garment(garment)
    assert cut is not None and cut.draft is not None
    found = answers(cut.draft.pattern, garment.draft.pattern)
    assert {name: each.answer for name, each in found.items()} == {
        "front": "recut",
        "back": "recut",
        "waistband": "unchanged",
    }
    told = [each for each in garment.all_problems if each.code == "CUT-RECUT"]
    assert [each.where.piece for each in told] == ["front", "back"]
    assert all(each.severity == "mind" for each in told)
    width = say_length(found["front"].size[0]).removesuffix(" cm")
    assert f"10 mm lack at the side. Recut the front: {width} × " in told[0].says
    assert "2 pieces" in told[1].says
    (same,) = [each for each in garment.all_problems if each.code == "CUT-REACHES"]
    assert same.severity == "note" and "waistband" in same.says


def test_a_let_out_after_cutting_that_reaches_is_a_note_with_its_spare(tmp_path: Path) -> None:
    garment = opened(tmp_path, ease="3 cm")
    told = [each for each in garment.all_problems if each.code.startswith("CUT-")]
    assert {each.code for each in told} == {"CUT-REACHES"}
    assert "trimmed or clipped since cannot be known" in told[0].says
    assert "Do not cut it again" in told[0].says


def test_the_spare_of_an_inlay_and_what_its_whole_allowance_would_lack_are_both_said() -> None:
    ticket = ticket_of(TICKET.replace("DAY", "2026-10-27").replace("EASE", "9 cm"))
    told = cut_problems(
        tuple(answers(skirt({"hip ease": "5 cm"}, DEEP), skirt({"hip ease": "9 cm"}, DEEP)).values()), ticket
    )
    front = next(each for each in told if each.where.piece == "front")
    assert front.code == "CUT-REACHES"
    assert "The front reaches, with 15 mm spare at the side." in front.says
    assert "With the whole allowance of the new draft 10 mm would lack at the side" in front.says
    inches = replace(ticket, units="in")
    (said, *_) = cut_problems((Reach("front", "recut", -10.0, "side", size=(590.0, 677.0), pieces=1),), inches)
    assert "3/8 in lack at the side. Recut the front: 23 1/4 × 26 5/8 in" in said.says


def test_the_sheets_say_on_each_piece_that_it_is_cut(tmp_path: Path) -> None:
    garment = opened(tmp_path)
    assert garment.draft is not None
    labels = {each.name: each.label for each in garment.draft.pattern.pieces}
    assert "cut it again" in labels["front"] and "Do not cut it again" in labels["waistband"]
    drawn = garment.files(("pattern.svg",))["pattern.svg"].decode()
    assert "Do not cut it again" in drawn and "it no longer does" in drawn


def test_before_it_is_cut_nothing_is_said(tmp_path: Path) -> None:
    path = tmp_path / "ticket.yaml"
    text = TICKET.replace("DAY", "2026-10-27").replace("EASE", "9 cm").replace("cut on: 2026-10-20\n", "")
    path.write_text(text, "utf-8")
    garment = open_ticket(path)
    assert not {code for code in codes(garment.all_problems) if code.startswith("CUT-")}
    assert cut_garment(garment) is None


def test_the_garment_of_the_cut_day_is_drafted_as_it_was(tmp_path: Path) -> None:
    cut = cut_garment(opened(tmp_path))
    assert cut is not None and cut.draft is not None
    assert cut.draft.choices["hip ease"].value == 50.0
    assert not {code for code in codes(cut.all_problems) if code.startswith("CUT-")}


def test_a_cut_day_whose_draft_cannot_be_drawn_is_told_and_the_new_one_is_drawn(tmp_path: Path) -> None:
    """A child's measures are never estimated: what was taped at a later fitting was not there on the day of cutting."""
    text = TICKET.replace("DAY", "2026-10-27").replace("EASE", "9 cm").replace("figure: woman", "figure: child")
    text = text.replace("waist to hip: 20 cm, ", "")
    text += "  - on: 2026-10-28\n    measure: {waist to hip: 20 cm}\n"
    path = tmp_path / "ticket.yaml"
    path.write_text(text, "utf-8")
    garment = open_ticket(path)
    told = [each for each in garment.all_problems if each.code.startswith("CUT-")]
    assert [each.code for each in told] == ["CUT-RECUT"] and "cannot be drawn" in told[0].says
    assert garment.draft is not None and len(garment.draft.pattern.pieces) == 3


@pytest.mark.parametrize("day", ["yesterday", "2026-13-01", "0001-01-01", "9999-12-31"])
def test_any_day_is_met(tmp_path: Path, day: str) -> None:
    path = tmp_path / "ticket.yaml"
    path.write_text(
        TICKET.replace("2026-10-20", day).replace("DAY", "2026-10-27").replace("EASE", "9 cm"), encoding="utf-8"
    )
    garment = open_ticket(path)
    if day[0].isdigit() and "13" not in day:
        assert any(each.code.startswith("CUT-") for each in garment.all_problems)
    else:
        assert [each.where.line for each in garment.problems if each.code == "VALUE-WRONG"] == [10]
