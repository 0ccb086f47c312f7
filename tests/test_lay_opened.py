"""Lays on cloth opened out: judged without faults whatever the cloth and the parts, and slides that only ever help."""

from __future__ import annotations

import time
from functools import lru_cache

import numpy as np
import pytest
import shapely
from drafting import KNIT, WOVEN, drafted, ticket_text
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchmarks import bench_lay
from onfold.cloth import settle
from onfold.geometry.region import area, overlaps
from onfold.lay.bed import Bed, bed_of
from onfold.lay.compaction import compacted, parted
from onfold.lay.convex import convex_parts
from onfold.lay.opened import GROWTH, opened_lay, strip
from onfold.lay.part import Part, Way, parts_for
from onfold.lay.placed import Lay, faults_of
from onfold.lay.settling import separated, settled
from onfold.lay.strips import HAIR, Kind
from onfold.pattern import Piece

MEASURES = {"height": 1680.0, "bust": 920.0, "waist": 740.0, "hip": 1000.0}
SLANT = (Way("up", 0.0, 270.0), Way("up", 180.0, 90.0))
ROUND = np.linspace(0.0, 2.0 * np.pi, 181)[:, None]


@lru_cache
def pieces_of(recipe: str) -> tuple[Piece, ...]:
    return drafted(ticket_text(recipe, MEASURES, KNIT if recipe == "choir-sheath" else WOVEN)).pattern.pieces


def bed(width: float = 1500.0, nap: str = "none", fold: str = "none") -> Bed:
    made = bed_of(settle("woven", width, nap=nap), fold)  # type: ignore[arg-type]
    assert isinstance(made, Bed)
    return made


def box(long: float, wide: float) -> np.ndarray:
    return np.array([(0.0, 0.0), (wide, 0.0), (wide, long), (0.0, long), (0.0, 0.0)])


def sail(long: float, wide: float) -> np.ndarray:
    return np.array([(0.0, 0.0), (wide, 0.0), (0.0, long), (0.0, 0.0)])


def moved(ring: np.ndarray, x: float, y: float = 0.0) -> np.ndarray:
    return ring + np.array((x, y))


def parts(*rings: np.ndarray, on: Bed, cut: int = 1, pair: bool = False) -> list[Part]:
    pieces = [Piece(f"piece {k}", (), cut=cut, mirrored_pair=pair, cut_line=ring) for k, ring in enumerate(rings)]
    return parts_for(on, [("", pieces)])


def laid(wanted: list[Part], on: Bed, seconds: float = 1.0, seed: int = 0) -> Lay:
    lay = opened_lay(wanted, on, seconds=seconds, seed=seed)
    assert lay is not None and faults_of(lay, wanted) == []
    assert lay.how == "spyrrow" and lay.seed == seed
    return lay


class TestGarments:
    @pytest.mark.parametrize("nap", ["none", "up"])
    @pytest.mark.parametrize("width", [1150.0, 1400.0, 1500.0])
    @pytest.mark.parametrize("recipe", ["choir-sheath", "straight-skirt"])
    def test_are_laid_without_faults(self, recipe: str, width: float, nap: str) -> None:
        on = bed(width, nap)
        wanted = parts_for(on, [("", pieces_of(recipe))])
        lay = laid(wanted, on, 0.6)
        # [A] no lay is shorter than its longest piece, nor than the pieces' area would fill the room
        ways = [np.ptp((each.ring @ way.matrix.T)[:, 0]) for each in wanted for way in each.ways[:1]]
        assert lay.length >= max(ways) - 1e-6
        assert lay.length * on.bands[0].room >= sum(abs(area(each.ring)) for each in wanted)
        assert lay.length < sum(ways), "the pieces lie in a row"

    def test_lie_one_way_on_napped_cloth(self) -> None:
        on = bed(1500.0, "up")
        lay = laid(parts_for(on, [("", pieces_of("straight-skirt"))]), on)
        assert {each.way.turn for each in lay.placed} <= {0.0, 90.0}

    def test_show_one_of_a_mirrored_pair_face_down(self) -> None:
        on = bed()
        lay = laid(parts(sail(600.0, 300.0), on=on, cut=6, pair=True), on)
        faces = [each.way.face for each in lay.placed]
        assert faces.count("up") == faces.count("down") == 3
        turns = [np.linalg.det(each.way.matrix) for each in lay.placed]
        assert turns.count(pytest.approx(1.0)) == turns.count(pytest.approx(-1.0)) == 3  # [A]

    def test_on_a_crosswise_fold_lie_in_both_layers(self) -> None:
        on = bed(1500.0, fold="crosswise")
        wanted = parts_for(on, [("", pieces_of("straight-skirt"))])
        lay = laid(wanted, on)
        assert lay.length == pytest.approx(2.0 * lay.lies)
        assert any({way.face for way in each.ways} == {"up", "down"} for each in wanted)

    @pytest.mark.long
    @pytest.mark.parametrize("seed", range(10))
    @pytest.mark.parametrize("nap", ["none", "down"])
    def test_of_a_whole_choir_are_laid_without_faults(self, nap: str, seed: int) -> None:
        on = bed(1400.0 + 20.0 * seed, nap)
        pieces = (*pieces_of("choir-sheath"), *pieces_of("straight-skirt"))
        laid(parts_for(on, [(f"alto-{n}", pieces) for n in range(1, 5)]), on, 8.0, seed)


class TestEdges:
    def test_no_parts_make_a_lay_of_no_length(self) -> None:
        lay = laid([], bed())
        assert lay.length == 0.0 and not lay.placed

    def test_a_single_part_begins_at_the_start(self) -> None:
        on = bed()
        lay = laid(parts(sail(700.0, 400.0), on=on), on, 0.5)
        assert lay.length == pytest.approx(700.0, abs=1e-3)  # [A]

    @pytest.mark.parametrize("others", [0, 3])
    def test_a_part_as_wide_as_the_cloth_is_laid(self, others: int) -> None:
        on = bed()
        wanted = parts(box(300.0, on.bands[0].room), *[box(200.0, 480.0)] * others, on=on)
        assert laid(wanted, on).length == pytest.approx(300.0 + 200.0 * (others > 0), abs=0.1)  # [A] 3 x 480 < 1480

    def test_a_round_part_as_wide_as_the_cloth_is_laid_though_its_outline_is_simplified(self) -> None:
        on = bed()
        oval = np.concatenate([200.0 * np.sin(ROUND), on.bands[0].room / 2.0 * np.cos(ROUND)], axis=1)[:, ::-1]
        oval[-1] = oval[0]
        lay = laid(parts(oval, box(150.0, 400.0), on=on), on)
        assert 400.0 - 1e-6 <= lay.length <= 560.0

    def test_a_part_wider_than_the_cloth_has_no_lay(self) -> None:
        on = bed()
        wanted = parts(box(300.0, on.bands[0].room + 0.01), box(100.0, 100.0), on=on)
        assert opened_lay(wanted, on, seconds=0.5) is None

    @pytest.mark.parametrize(
        "ring",
        [
            np.array([(0.0, 0.0), (100.0, 0.0), (50.0, 0.0), (0.0, 0.0)]),
            np.array([(0.0, 0.0), (100.0, 100.0), (100.0, 0.0), (0.0, 100.0), (0.0, 0.0)]),
            np.array([(0.0, 0.0), (100.0, 0.0), (np.nan, 50.0), (0.0, 0.0)]),
            np.array([(1.0, 1.0)] * 5),
        ],
        ids=["flat", "crossing", "not a number", "a point"],
    )
    def test_a_ring_that_bounds_nothing_has_no_lay(self, ring: np.ndarray) -> None:
        on = bed()
        (sound,) = parts(box(100.0, 100.0), on=on)
        bad = Part("bad", 1, ring, SLANT, False, 1, 1, 9, sound.source)
        assert opened_lay([sound, bad], on, seconds=0.5) is None

    def test_points_that_repeat_are_no_hindrance(self) -> None:
        on = bed()
        ring = np.repeat(sail(500.0, 200.0), 3, axis=0)
        assert len(laid(parts(ring, ring, on=on), on, 0.5).placed) == 2

    def test_beds_and_parts_that_are_for_the_search_are_left_to_it(self) -> None:
        on = bed(fold="both edges to the middle")
        assert opened_lay(parts(box(100.0, 100.0), on=on), on, seconds=0.5) is None
        folded = bed(fold="lengthwise")
        halves = parts_for(folded, [("", [Piece("half", (), on_fold=True, cut=1, cut_line=box(300.0, 200.0))])])
        assert halves[0].on_fold and opened_lay(halves, folded, seconds=0.5) is None


class TestProgress:
    def test_gives_ever_shorter_lays_without_faults(self) -> None:
        on = bed(1150.0)
        wanted = parts_for(on, [("", pieces_of("straight-skirt"))])
        told: list[Lay] = []
        lay = opened_lay(wanted, on, seconds=1.5, progress=lambda better: told.append(better) is None)
        lengths = [each.length for each in told]
        assert lay is not None and told and lengths == sorted(set(lengths), reverse=True)
        assert lay.length <= lengths[-1] and not any(faults_of(each, wanted) for each in told)

    def test_ends_the_search_soon_when_it_says_so(self) -> None:
        on = bed(1150.0)
        wanted = parts_for(on, [("", pieces_of("straight-skirt"))])
        begun = time.monotonic()
        assert opened_lay(wanted, on, seconds=30.0, progress=lambda _: False) is not None
        assert time.monotonic() - begun < 15.0


def star(random: np.random.Generator, corners: int) -> np.ndarray:
    angles = (np.arange(corners) + random.uniform(0.1, 0.9, corners)) * 2.0 * np.pi / corners
    reach = random.uniform(20.0, 120.0, corners)
    ring = np.stack([reach * np.cos(angles), reach * np.sin(angles)], axis=1)
    return np.concatenate([ring, ring[:1]])


def strewn(seed: int, count: int, room: float, grid: float) -> list[np.ndarray]:
    """Rings strewn over the cloth without overlaps; on a grid, many only just miss or touch one another."""
    random = np.random.default_rng(seed)
    rings: list[np.ndarray] = []
    for _ in range(count):
        ring = (
            box(*random.uniform(30.0, 200.0, 2)) if random.random() < 0.4 else star(random, int(random.integers(4, 24)))
        )
        ring = np.round(ring / grid) * grid if grid else ring
        if not shapely.Polygon(ring).is_valid or shapely.Polygon(ring).area < 1.0:
            continue
        low, size = ring.min(axis=0), np.ptp(ring, axis=0)
        for _ in range(30):
            spot = random.uniform((0.0, 0.0), (2500.0, room - size[1]))
            moved = ring - low + (np.floor(spot / grid) * grid if grid else spot)
            if not any(shapely.Polygon(moved).intersection(shapely.Polygon(each)).area > 0.0 for each in rings):
                rings.append(moved)
                break
    return rings


def ends(rings: list[np.ndarray]) -> float:
    return max(float(ring[:, 0].max()) for ring in rings)


class TestSlides:
    @settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
    @given(st.integers(0, 2**32), st.integers(1, 18), st.sampled_from([0.0, 1.0, 20.0]))
    def test_never_lengthen_and_never_make_overlaps(self, seed: int, count: int, grid: float) -> None:
        rings = strewn(seed, count, 700.0, grid)
        moves = compacted(rings, 0.0, 700.0)
        slid = [ring + move for ring, move in zip(rings, moves, strict=True)]
        if rings:
            assert ends(slid) <= ends(rings) + 1e-9
            assert min(float(ring.min()) for ring in slid) >= -1e-9
            assert max(float(ring[:, 1].max()) for ring in slid) <= 700.0 + 1e-9
        assert overlaps(slid, 1e-6) == []

    def test_bring_two_boxes_together_but_for_the_gap(self) -> None:
        rings = [box(100.0, 50.0), moved(box(100.0, 50.0), 300.0, 20.0)]
        moves = compacted(rings, 0.0, 60.0, gap=1e-4)
        assert moves[1, 0] == pytest.approx(-250.0, abs=1e-3)  # [A] x runs across the box: 50 wide

    def test_let_a_tooth_into_its_gap(self) -> None:
        comb = np.array(
            [(0, 0), (100, 0), (100, 40), (50, 40), (50, 60), (100, 60), (100, 100), (0, 100), (0, 0)], float
        )
        tooth = np.array([(200, 41), (260, 41), (260, 59), (200, 59), (200, 41)], float)
        moves = compacted([comb, tooth], 0.0, 100.0)
        assert moves[1, 0] == pytest.approx(-150.0, abs=1e-3)  # [A]

    def test_do_not_pass_tip_through_tip(self) -> None:
        left = np.array([(0, 0), (100, 50), (0, 100), (0, 0)], float)
        right = np.array([(300, 0), (300, 100), (200, 50), (300, 0)], float)
        slid = [ring + move for ring, move in zip([left, right], compacted([left, right], 0.0, 100.0), strict=True)]
        assert overlaps(slid, 1e-6) == [] and ends(slid) == pytest.approx(200.0, abs=1e-2)  # [A]

    def test_of_nothing_are_none(self) -> None:
        assert compacted([], 0.0, 100.0).shape == parted([]).shape == (0, 2)

    @settings(max_examples=20, deadline=None)
    @given(st.integers(0, 2**32), st.integers(2, 12))
    def test_part_what_lies_over_one_another(self, seed: int, count: int) -> None:
        random = np.random.default_rng(seed)
        rings = [star(random, 9) + random.uniform(0.0, 300.0, 2) for _ in range(count)]
        moves = parted(rings)
        assert not moves[:, 1].any()
        assert overlaps([ring + move for ring, move in zip(rings, moves, strict=True)], 1e-6) == []


class TestStrips:
    def test_what_the_benchmark_calls_overlap_is_seen(self) -> None:
        shared, depth, reach = bench_lay.overlap([box(10.0, 10.0), moved(box(10.0, 10.0), 9.0)], 18.0, 10.0)
        assert (shared, depth) == (pytest.approx(10.0), pytest.approx(1.0, rel=0.01))  # [A] 1 by 10
        assert reach == pytest.approx(1.0)
        assert bench_lay.overlap([box(10.0, 10.0), moved(box(10.0, 10.0), 10.0)], 20.0, 10.0) == (0.0, 0.0, 0.0)

    def test_hold_every_piece_as_often_as_asked_in_turns_that_are_allowed(self) -> None:
        kinds = [Kind(((sail(50.0, 30.0), (0.0, 90.0)),), 3), Kind(((box(20.0, 20.0), (0.0,)),), 2)]
        found = strip(kinds, 100.0, seconds=0.6, growth=GROWTH)
        assert found is not None
        assert sorted(spot.kind for spot in found.spots) == [0, 0, 0, 1, 1]
        assert all(spot.turn in kinds[spot.kind].faces[spot.face][1] for spot in found.spots)
        assert overlaps([spot.ring_of(kinds) for spot in found.spots], (100.0 * HAIR) ** 2) == []

    def test_of_a_published_instance_are_whole_and_without_overlaps(self) -> None:
        found = bench_lay.lay("albano", 2.0)
        assert 60.0 < found.density < 89.47  # [S] arXiv 2509.13329, the mean of runs of 20 minutes
        assert found.overlap[0] <= bench_lay.OVERLAP_BAR and found.overlap[2] <= 1e-6

    @pytest.mark.long
    def test_of_the_published_instances_reach_the_bar(self) -> None:
        found = bench_lay.laid(bench_lay.FULL)
        assert sum(each.gap for each in found) / len(found) <= bench_lay.FULL_BAR
        assert max(each.overlap[0] for each in found) <= bench_lay.OVERLAP_BAR


class TestSettling:
    @settings(max_examples=25, deadline=None)
    @given(st.integers(0, 2**32), st.integers(3, 24))
    def test_convex_parts_fill_the_outline(self, seed: int, corners: int) -> None:
        ring = star(np.random.default_rng(seed), corners)
        made = convex_parts(ring)
        assert sum(area(part) for part in made) == pytest.approx(abs(area(ring)))  # [A]
        assert all(shapely.Polygon(part).convex_hull.area == pytest.approx(area(part)) for part in made)

    @settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
    @given(st.integers(0, 2**32), st.integers(1, 12), st.sampled_from([0.0, 20.0]))
    def test_never_lengthens_and_never_makes_overlaps(self, seed: int, count: int, grid: float) -> None:
        rings = strewn(seed, count, 700.0, grid)
        if not rings:
            return
        moves = settled([convex_parts(ring) for ring in rings], 700.0)
        there = [ring + move for ring, move in zip(rings, moves, strict=True)]
        assert ends(there) <= ends(rings) + 1e-4
        assert min(float(ring.min()) for ring in there) >= -1e-4
        assert max(float(ring[:, 1].max()) for ring in there) <= 700.0 + 1e-4
        # [A] the solver's limit of 1e-7 of the room, deep, along 250 mm
        assert overlaps(there, 1e-7 * 700.0 * 250.0) == []

    def test_moves_pieces_that_only_together_can_make_way(self) -> None:
        # a wedge between two boxes: sliding alone, each box is stopped by the strip's edge or the wedge
        wedge = np.array([(0, 40), (0, 60), (100, 50), (0, 40)], float)
        last = np.array([(60, 0), (160, 0), (160, 44), (60, 44), (60, 0)], float)
        other = moved(last, 0.0, 56.0)
        rings = [wedge, last, other]
        slid = [ring + move for ring, move in zip(rings, compacted(rings, 0.0, 100.0), strict=True)]
        moves = settled([convex_parts(ring) for ring in rings], 100.0)
        there = [ring + move for ring, move in zip(rings, moves, strict=True)]
        assert overlaps(there, 1e-3) == [] and ends(there) <= ends(slid) + 1e-3

    @settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
    @given(st.integers(0, 2**32), st.integers(2, 10))
    def test_frees_pieces_of_one_another_or_says_that_it_cannot(self, seed: int, count: int) -> None:
        random = np.random.default_rng(seed)
        rings = [ring + random.normal(0.0, 5.0, 2) for ring in strewn(seed, count, 700.0, 0.0)]
        length = 0.95 * max((ends(rings), 500.0)) if rings else 0.0
        moves = separated([convex_parts(ring) for ring in rings], 700.0, length) if len(rings) > 1 else None
        if moves is not None:
            there = [ring + move for ring, move in zip(rings, moves, strict=True)]
            assert overlaps(there, 1e-7 * 700.0 * 250.0) == [] and ends(there) <= length + 1e-3
            assert min(float(ring.min()) for ring in there) >= -1e-3
            assert max(float(ring[:, 1].max()) for ring in there) <= 700.0 + 1e-3

    def test_frees_two_boxes_that_overlap_where_there_is_room_and_not_where_there_is_none(self) -> None:
        boxes = [box(50.0, 50.0), moved(box(50.0, 50.0), 48.0)]
        parts_of = [convex_parts(ring) for ring in boxes]
        moves = separated(parts_of, 1000.0, 101.0)
        assert moves is not None
        assert overlaps([ring + move for ring, move in zip(boxes, moves, strict=True)], 1e-2) == []
        assert separated(parts_of, 50.0, 99.0) is None  # [A] two boxes of 50 in 99 by 50
        assert separated(parts_of[:1], 50.0, 49.9) is None  # [A] nor one in less than its length
