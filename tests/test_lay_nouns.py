"""The lay's nouns: beds, what lies on them, the judge of a lay, what to buy, what is left, flaws."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from drafting import KNIT, WOVEN, drafted, example, ticket_of, ticket_text
from hypothesis import given, settings
from hypothesis import strategies as st

from onfold.body.measures import MEASURES as KNOWN
from onfold.cloth import Cloth, Flaw, settle
from onfold.geometry.region import area
from onfold.lay.bed import FOLDS, Bed, bed_of
from onfold.lay.buy import SQUARING, UNKNOWN_SHRINKAGE, buy_of, say_buy, say_yards
from onfold.lay.flaws import flaw_rings
from onfold.lay.part import Part, is_even, joined_to_mirror, parts_for
from onfold.lay.placed import Lay, Placed, faults_of
from onfold.lay.rest import rests_of
from onfold.pattern import Piece
from onfold.project_draft import draft_for
from onfold.recipe.file import read_recipe
from onfold.steps import VERBS
from onfold.units import System

LAY_RECIPES = Path(__file__).resolve().parent / "lay"
MEASURES = {"height": 1680.0, "bust": 920.0, "waist": 740.0, "hip": 1000.0}
TWILL = settle("woven", 1500.0, name="twill")
WASHED = settle("woven", 1500.0, washed_first=True)


def pieces_of(recipe: str) -> tuple[Piece, ...]:
    return drafted(ticket_text(recipe, MEASURES, KNIT if recipe == "choir-sheath" else WOVEN)).pattern.pieces


def bed(fold: str, cloth: Cloth = TWILL) -> Bed:
    made = bed_of(cloth, fold)  # type: ignore[arg-type]
    assert isinstance(made, Bed), made
    return made


def box(long: float, wide: float) -> np.ndarray:
    return np.array([(0.0, 0.0), (wide, 0.0), (wide, long), (0.0, long), (0.0, 0.0)])


def part(ring: np.ndarray, on_fold: bool = False, layers: int = 1) -> Part:
    source = Piece("box", (), on_fold=on_fold, cut=1, cut_line=ring)
    (made,) = parts_for(bed("lengthwise" if layers == 2 else "none"), [("", [source])])
    return made


class TestBeds:
    def test_the_selvages_come_off_and_the_cloth_is_as_it_is_after_shrinking(self) -> None:
        shrinks = settle("woven", 1500.0, selvage=10.0, shrinkage_across=0.02)
        (band,) = bed("none", shrinks).bands
        assert band.low == pytest.approx(9.8) and band.high == pytest.approx(1470.0 - 9.8)  # [A]
        (folded,) = bed("lengthwise", shrinks).bands
        assert folded.high == pytest.approx(735.0) and folded.fold_high

    def test_both_edges_to_the_middle_gives_two_folds_and_keeps_off_the_selvages_between_them(self) -> None:
        low, high = bed("both edges to the middle").bands
        assert (low.low, low.high, low.fold_low) == (0.0, 365.0, True)  # [A] 1500 / 4 - 10
        assert (high.low, high.high, high.fold_high) == (385.0, 750.0, True)

    def test_pile_lies_in_one_layer_wrong_side_up(self) -> None:
        velvet = settle("knit", 1400.0, nap="up", surface=("pile",))
        assert bed("none", velvet).upward == "wrong side"  # T186 [C]
        assert all(isinstance(bed_of(velvet, fold), str) for fold in FOLDS if fold != "none")

    def test_one_way_cloth_is_cut_apart_and_turned_at_a_crosswise_fold(self) -> None:
        napped = settle("woven", 1400.0, nap="down")
        assert bed("crosswise", napped).turned and not bed("crosswise").turned

    def test_a_stripe_lies_in_one_layer_all_tops_one_way(self) -> None:
        striped = settle("woven", 1400.0, repeat_along=60.0)
        assert bed("none", striped).one_way
        assert isinstance(bed_of(striped, "lengthwise"), str)

    def test_nothing_between_the_selvages_is_said(self) -> None:
        assert isinstance(bed_of(settle("woven", 50.0, selvage=25.0), "none"), str)


class TestParts:
    @pytest.mark.parametrize("recipe", ["choir-sheath", "straight-skirt"])
    @pytest.mark.parametrize("fold", FOLDS)
    def test_every_piece_comes_as_often_as_it_is_cut(self, recipe: str, fold: str) -> None:
        pieces = pieces_of(recipe)
        given_ = {piece.name: 0 for piece in pieces}
        for each in parts_for(bed(fold), [("", pieces)]):
            given_[each.piece] += each.gives
        assert given_ == {piece.name: piece.cut for piece in pieces}

    def test_a_fold_piece_lies_on_the_fold_or_is_opened_out(self) -> None:
        front = next(piece for piece in pieces_of("choir-sheath") if piece.name == "front")
        (half,) = parts_for(bed("lengthwise"), [("", [front])])
        (whole,) = parts_for(bed("none"), [("", [front])])
        assert half.on_fold and not whole.on_fold
        assert area(whole.ring) == pytest.approx(2.0 * area(half.ring), rel=1e-6)  # [A]
        assert is_even(whole.ring) and not is_even(half.ring)

    def test_of_a_pair_in_one_layer_one_is_turned_over(self) -> None:
        back = next(piece for piece in pieces_of("straight-skirt") if piece.name == "back")
        faces = [each.ways[0].face for each in parts_for(bed("none"), [("", [back])])]
        assert sorted(faces) == ["down", "up"]
        (pair,) = parts_for(bed("lengthwise"), [("", [back])])
        assert pair.gives == pair.layers == 2

    def test_napped_cloth_leaves_one_turn(self) -> None:
        napped = replace(TWILL, nap="up")
        for fold in FOLDS:
            for each in parts_for(bed(fold, napped), [("", pieces_of("straight-skirt"))]):
                assert {way.turn for way in each.ways} == {0.0}
                assert {way.top for way in each.ways} == {(1.0, 0.0)}

    def test_bias_and_cross_grain_turn_the_piece(self) -> None:
        (back,) = [piece for piece in pieces_of("straight-skirt") if piece.name == "back"]
        assert back.grain is not None
        for kind, turns in (("bias", {45.0, 135.0, 225.0, 315.0}), ("cross", {90.0, 270.0})):
            turned = replace(back, grain=replace(back.grain, kind=kind))  # type: ignore[arg-type]
            for each in parts_for(bed("none"), [("", [turned])]):
                assert {way.turn for way in each.ways} == turns

    def test_a_piece_cut_in_no_cloth_is_not_laid(self) -> None:
        assert parts_for(bed("none"), [("", [Piece("paper", (), cut=0, cut_line=box(10.0, 10.0))])]) == []

    @given(st.lists(st.floats(20.0, 300.0), min_size=3, max_size=9))
    @settings(max_examples=60, deadline=None)
    def test_a_half_joined_to_its_mirror_has_twice_its_area_and_is_even(self, reach: list[float]) -> None:
        steps = np.linspace(0.0, 400.0, len(reach))
        ring = np.array([(0.0, 0.0), *zip(reach, steps, strict=True), (0.0, 400.0), (0.0, 0.0)])
        whole = joined_to_mirror(ring)
        assert area(whole) == pytest.approx(2.0 * area(ring), rel=1e-9)  # [A]
        assert shapely.Polygon(whole).equals_exact(
            shapely.Polygon(whole * (-1.0, 1.0)), 1e-6, normalize=True
        )  # its own mirror image


class TestTheJudge:
    def lay(self, *placed: Placed, end: float | None = None, kept_off: tuple[np.ndarray, ...] = ()) -> Lay:
        return Lay(bed("none"), placed, kept_off, end)

    def test_a_sound_lay_has_no_faults(self) -> None:
        one, other = part(box(300.0, 200.0)), part(box(300.0, 200.0))
        lay = self.lay(Placed(one, one.ways[0], 0.0, 300.0, 0), Placed(other, other.ways[0], 0.0, 600.0, 0))
        assert faults_of(lay, [one, other]) == []
        assert lay.length == 300.0
        assert lay.density == pytest.approx(2 * 300 * 200 / (300 * 1500))  # [A]

    @pytest.mark.parametrize(
        ("x", "y", "said"),
        [
            (0.0, 400.0, "overlap"),
            (-1.0, 700.0, "beyond the end"),
            (0.0, 209.0, "beyond the cloth"),
            (0.0, 1491.0, "cloth"),
        ],
    )
    def test_each_fault_is_found(self, x: float, y: float, said: str) -> None:
        one, other = part(box(300.0, 200.0)), part(box(300.0, 200.0))
        lay = self.lay(Placed(one, one.ways[0], 0.0, 450.0, 0), Placed(other, other.ways[0], x, y, 0))
        assert any(said in fault for fault in faults_of(lay, [one, other])), faults_of(lay, [one, other])

    def test_a_missing_a_doubled_and_a_turned_part_are_found(self) -> None:
        one, other = part(box(300.0, 200.0)), part(box(300.0, 200.0))
        placed = Placed(one, one.ways[0], 0.0, 300.0, 0)
        assert faults_of(self.lay(placed), [one, other])
        assert faults_of(self.lay(placed, replace(placed, x=400.0)), [one])
        assert faults_of(self.lay(replace(placed, way=replace(placed.way, turn=90.0, spin=0.0))), [one])
        assert faults_of(self.lay(replace(placed, band=3)), [one])
        assert faults_of(self.lay(placed, end=299.0), [one])
        assert faults_of(self.lay(placed, kept_off=(np.add(box(50.0, 50.0), (100.0, 150.0)),)), [one])

    def test_a_fold_part_off_the_fold_is_found(self) -> None:
        half = part(box(300.0, 200.0), on_fold=True, layers=2)
        folded = bed("lengthwise")
        way = next(way for way in half.ways if way.face == "up" and way.turn == 0.0)
        assert faults_of(Lay(folded, (Placed(half, way, 0.0, 750.0, 0),)), [half]) == []
        assert faults_of(Lay(folded, (Placed(half, way, 0.0, 749.9, 0),)), [half])


class TestBuying:
    def test_what_is_bought_shrinks_to_the_lay(self) -> None:
        cloth = settle("woven", 1500.0, shrinkage_along=0.05, price=20.0)
        buy = buy_of(2000.0, cloth, "cm")
        assert buy is not None
        assert buy.before == pytest.approx(2105.263, abs=0.001)  # [A] T115: 200 cm at 5 % are 210.5 cm
        assert buy.buy == 2200.0 and buy.cost == pytest.approx(44.0)
        assert buy.squaring == SQUARING and buy.unsure == 0.0
        said = say_buy(buy, cloth, "EUR")
        assert said[1].startswith(
            "In it: 200 cm for the lay, 10.5 cm that shrink away (5 %), 5 cm to square both ends;"
        )

    def test_the_shops_step_is_never_passed_by_rounding(self) -> None:
        for length in (1400.0, 1400.0 + 1e-9, 800.0):
            buy = buy_of(length - SQUARING, WASHED, "cm")
            assert buy is not None and buy.buy == pytest.approx(round(length, 3))

    def test_inches_are_bought_by_the_eighth_of_a_yard(self) -> None:
        buy = buy_of(1400.0 - SQUARING, WASHED, "in")
        assert buy is not None and buy.buy == pytest.approx(13 / 8 * 914.4)  # [A] 1.53 yd
        assert say_yards(1.625) == "1 5/8 yd" and say_yards(0.25) == "1/4 yd" and say_yards(3.0) == "3 yd"
        assert "1 5/8 yd" in say_buy(buy, WASHED)[0] and "1.4 m" in say_buy(buy, WASHED)[0]

    @given(st.floats(100.0, 9000.0), st.sampled_from(("cm", "in")), st.floats(0.0, 0.1))
    def test_enough_is_bought_to_square_it_and_for_what_is_not_known(
        self, length: float, units: System, shrinks: float
    ) -> None:
        """[A] Squared and shrunk by what is stated, or by what is taken where nothing is, the lay still fits."""
        known = settle("knit", 1500.0, shrinkage_along=shrinks)
        unknown = settle("knit", 1500.0)
        for cloth, share in ((known, shrinks), (unknown, UNKNOWN_SHRINKAGE), (WASHED, 0.0)):
            buy = buy_of(length, cloth, units)
            assert buy is not None
            assert (buy.buy - SQUARING) * (1.0 - share) >= length - 1e-3
            assert buy.there <= (buy.buy - SQUARING) * (1.0 - share) + 1e-3 and buy.there >= length - 1e-3
            text = " ".join(say_buy(buy, cloth))
            assert "to square both ends" in text
            assert ("because its shrinkage is not known" in text) == (cloth is unknown)

    def test_cloth_at_hand_is_not_bought_again(self) -> None:
        for have, words in (
            (1500.0, "You have 1.5 m: it does; 38 cm over."),
            (1130.0, "You have 1.13 m: it does, 1 cm"),
        ):
            cloth = settle("woven", 1500.0, at_hand=have, price=20.0)
            buy = buy_of(1120.0, cloth, "cm")
            assert buy is not None and buy.cost is None and buy.have == have
            assert say_buy(buy, cloth)[0].startswith(words)
            assert not any("Buy" in each for each in say_buy(buy, cloth))

    def test_a_width_is_said_as_shops_say_it(self) -> None:
        for width, said in (
            (1400.0, "55 in"),
            (1500.0, "59 in"),
            (1371.6, "54 in"),
            (1143.0, "45 in"),
            (914.4, "36 in"),
        ):
            cloth = settle("woven", width)
            buy = buy_of(1000.0, cloth, "in")
            assert buy is not None and f"of {said} cloth" in say_buy(buy, cloth)[0]


class TestWhatIsLeft:
    @given(st.integers(0, 10_000))
    @settings(max_examples=25, deadline=None)
    def test_rectangles_are_free_and_lie_in_the_bought_cloth(self, seed: int) -> None:
        random = np.random.default_rng(seed)
        placed = []
        for number in range(int(random.integers(1, 5))):
            turn = np.linspace(0.0, 2 * np.pi, 9)
            reach = random.uniform(60.0, 200.0, 8)
            reach = np.append(reach, reach[0])
            ring = np.stack([reach * np.cos(turn), reach * np.sin(turn)], axis=1)
            made = part(ring)
            placed.append(Placed(made, made.ways[0], 250.0 + 450.0 * number, float(random.uniform(260.0, 1200.0)), 0))
        lay = Lay(bed("none"), tuple(placed))
        bought = lay.length + 100.0
        rests = rests_of(lay, bought)
        boxes = [shapely.box(r.x, r.y, r.x + r.length, r.y + r.width) for r in rests]
        assert rests and all(r.length >= 150.0 and r.width >= 150.0 for r in rests)
        assert all(
            b.bounds[0] >= 0 and b.bounds[2] <= bought and b.bounds[1] >= 10.0 and b.bounds[3] <= 1490.0 for b in boxes
        )
        taken = shapely.union_all([shapely.Polygon(ring) for ring in lay.rings])
        assert all(b.intersection(taken).area < 1.0 for b in boxes)
        assert shapely.union_all(boxes).area == pytest.approx(sum(b.area for b in boxes))


class TestFlaws:
    @given(
        st.floats(0.0, 800.0),
        st.floats(0.0, 1300.0),
        st.floats(10.0, 300.0),
        st.floats(10.0, 200.0),
        st.sampled_from(FOLDS),
    )
    @settings(max_examples=120, deadline=None)
    def test_a_flaw_keeps_its_size_however_the_cloth_is_folded(
        self, along: float, across: float, long: float, wide: float, fold: str
    ) -> None:
        cloth = replace(TWILL, flaws=(Flaw(along, across, long, wide),))
        rings = flaw_rings(cloth, fold, 3000.0)  # type: ignore[arg-type]
        assert not isinstance(rings, str)
        assert sum(area(ring) for ring in rings) == pytest.approx(long * wide)  # [A]
        high = bed(fold).high
        assert all(ring[:, 1].min() >= -1e-9 and ring[:, 1].max() <= high + 1e-9 for ring in rings)

    def test_a_hole_at_a_selvage_lies_there_and_one_in_the_middle_on_the_fold(self) -> None:
        at_edge, in_middle = Flaw(100.0, 0.0, 50.0, 50.0), Flaw(100.0, 725.0, 50.0, 50.0)
        (ring,) = flaw_rings(replace(TWILL, flaws=(at_edge,)), "lengthwise", None)
        assert ring[:, 1].min() == 0.0
        both = flaw_rings(replace(TWILL, flaws=(in_middle,)), "lengthwise", None)
        assert len(both) == 2 and all(ring[:, 1].max() == pytest.approx(750.0) for ring in both)


def test_the_choirs_sheath_lies_as_its_ticket_says() -> None:
    made = drafted(example("alto-1-sheath"))
    parts = parts_for(bed("both edges to the middle"), [("", made.pattern.pieces)])
    assert [each.name for each in parts if each.on_fold] == ["front", "back"]


class TestTilt:
    def tilted(self, tilt: float) -> Piece:
        (back,) = [piece for piece in pieces_of("straight-skirt") if piece.name == "back"]
        assert back.grain is not None
        return replace(back, grain=replace(back.grain, tilt=tilt))

    def test_a_piece_tilts_only_where_its_recipe_allows_it(self) -> None:
        for each in parts_for(bed("none"), [("", [self.tilted(0.0)])]):
            assert {way.turn for way in each.ways} == {0.0, 180.0}
        for each in parts_for(bed("none"), [("", [self.tilted(3.0)])]):
            offs = {(way.turn + 10.0) % 180.0 - 10.0 for way in each.ways}
            assert offs == {-3.0, -1.5, 0.0, 1.5, 3.0}

    def test_a_fold_piece_never_tilts_off_its_fold(self) -> None:
        front = next(piece for piece in pieces_of("choir-sheath") if piece.on_fold and piece.grain)
        assert front.grain is not None
        tilted = replace(front, grain=replace(front.grain, tilt=5.0))
        (half,) = parts_for(bed("lengthwise"), [("", [tilted])])
        assert half.on_fold and {way.turn for way in half.ways} == {0.0, 180.0}

    def test_a_step_says_its_tilt_and_refuses_too_much(self) -> None:
        text = (LAY_RECIPES / "small-parts.yaml").read_text("utf-8")
        for tilt, stops in (("3", False), ("30", True)):
            changed = text.replace("{piece: flap, kind: straight}", f"{{piece: flap, kind: straight, tilt: {tilt}}}")
            recipe, problems = read_recipe(changed, "r.yaml", VERBS, KNOWN)
            assert recipe is not None and not problems
            made = draft_for(ticket_of(ticket_text("straight-skirt", MEASURES, WOVEN)), recipe)
            found = [each for each in made.pattern.problems if each.code == "STEP-CANNOT"]
            assert bool(found) is stops
            if not stops:
                flap = next(piece for piece in made.pattern.pieces if piece.name == "flap")
                assert flap.grain is not None and flap.grain.tilt == 3.0
