"""The cut line round a piece. Marks: [A] analytic identity; shapely's buffer is the outside oracle for round parts."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import Phase, given, settings
from strategies import fold_piece, fold_pieces, pieces, random_piece, seeds, wild_numbers, wild_points

from onfold.geometry import curve, region
from onfold.geometry.fault import Fault
from onfold.geometry.offset import OffsetEdge, offset_outline, offset_outlines
from onfold.geometry.path import cubic, flatten, joined, line, polyline, smooth
from onfold.geometry.point import mirrored_point

QUICK = (Phase.explicit, Phase.generate)


def ring_of(edges: list[OffsetEdge], **settings: float) -> np.ndarray:
    ring = offset_outline(edges, **settings)
    assert not isinstance(ring, Fault), ring
    return ring


def polygon(points: list[tuple[float, float]], width: float, corner: str = "mitred") -> list[OffsetEdge]:
    return [OffsetEdge(line(a, b), width, corner) for a, b in pairwise([*points, points[0]])]  # type: ignore[arg-type]


def has(ring: np.ndarray, point: tuple[float, float], within: float = 1e-9) -> bool:
    return bool(np.hypot(*(ring - point).T).min() <= within)


def spikes(ring: np.ndarray) -> list[tuple[float, float]]:
    """The points at which a ring runs out and back on itself, a stretch of no width to cut along twice."""
    come, go = np.diff(ring[[-2, *range(len(ring) - 1)]], axis=0), np.diff(ring, axis=0)
    wide = np.abs(come[:, 0] * go[:, 1] - come[:, 1] * go[:, 0])
    longest = np.maximum(np.hypot(*come.T), np.hypot(*go.T))
    return [tuple(spot) for spot in ring[:-1][((come * go).sum(1) < 0.0) & (wide < 1e-8 * longest)].tolist()]


def test_a_short_edge_between_two_turned_corners_leaves_no_spike() -> None:
    """[A] Where an allowance that ends square eats up its neighbour's, the cut line doesn't run out and back."""
    assert spikes(np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 5.0), (10.0, 9.0), (10.0, 6.0), (0.0, 5.0), (0.0, 0.0)]))
    for seed in (2, 22, 35, 99, 351, 423, 1122):
        random = np.random.default_rng(seed)
        edges = fold_piece(random) if seed % 4 == 0 else random_piece(random)
        assert_sound(edges, ring_of(edges))


def test_many_outlines_in_one_batch_give_to_the_bit_what_each_gives_alone() -> None:
    outlines = [random_piece(np.random.default_rng(seed)) for seed in range(60)]
    outlines[7:7] = [[], polygon([(0.0, 0.0), (5.0, 8.0), (10.0, 0.0)], 1.0), polygon([(3.0, 3.0), (3.0, 3.0)], 1.0)]
    alone = [offset_outline(each) for each in outlines]
    for one, other in zip(alone, offset_outlines(outlines), strict=True):
        assert isinstance(one, Fault) == isinstance(other, Fault)
        assert one == other if isinstance(one, Fault) else np.array_equal(one, other)
    assert 10 < sum(isinstance(each, Fault) for each in alone) < 50
    assert offset_outlines([]) == []


def assert_sound(edges: list[OffsetEdge], ring: np.ndarray) -> None:
    assert np.array_equal(ring[0], ring[-1])
    assert region.is_valid(ring), region.why_invalid(ring)
    assert region.area(ring) > 0.0
    assert not spikes(ring)
    dense = np.concatenate([flatten(edge.path, 0.001) for edge in edges])
    inside = shapely.polygons(ring).buffer(0.021)
    assert shapely.covers(inside, shapely.multipoints(dense))


def assert_crossing(edges: list[OffsetEdge], fault: Fault) -> None:
    """A piece with an area is only refused where its own seam line crosses itself, drawn finely."""
    seam = np.concatenate([flatten(edge.path, 0.0005)[:-1] for edge in edges])
    assert "crosses" in fault.reason or "clockwise" in fault.reason, fault
    assert not region.is_valid(seam) or region.area(seam) <= 0.0, fault


@pytest.mark.parametrize("angle", [30, 45, 60, 90, 120, 150, 170])
def test_a_mitred_corner_stands_off_by_its_sine_rule(angle: int) -> None:
    alpha, s = math.radians(angle), 10.0
    ring = ring_of(
        polygon([(0.0, 0.0), (200.0, 0.0), (200 * math.cos(alpha), 200 * math.sin(alpha))], s), mitre_limit=9
    )
    distance = s / math.sin(alpha / 2)  # [A] two parallels at distance s
    outward = (-distance * math.cos(alpha / 2), -distance * math.sin(alpha / 2))
    assert has(ring, outward)


def test_a_sharp_mitre_is_cut_square_at_its_limit() -> None:
    alpha, s = math.radians(10), 10.0
    edges = polygon([(0.0, 0.0), (300.0, 0.0), (300 * math.cos(alpha), 300 * math.sin(alpha))], s)
    ring = ring_of(edges, mitre_limit=3.0)
    reach = -(ring @ np.array([math.cos(alpha / 2), math.sin(alpha / 2)])).min()
    assert reach == pytest.approx(30.0, abs=1e-9)
    assert_sound(edges, ring)


def test_different_widths_each_keep_their_own() -> None:
    sides = [((0.0, 0.0), 40.0), ((200.0, 0.0), 15.0), ((200.0, 300.0), 0.0), ((0.0, 300.0), 6.0)]
    edges = [OffsetEdge(line(a, b), w) for (a, w), (b, _) in pairwise([*sides, sides[0]])]
    ring = ring_of(edges)
    for corner in ((-6.0, -40.0), (215.0, -40.0), (215.0, 300.0), (-6.0, 300.0)):
        assert has(ring, corner)
    assert region.area(ring) == pytest.approx(221.0 * 340.0)


def test_a_square_end_stands_at_right_angles_to_its_own_edge() -> None:
    alpha = math.radians(50)
    top = (200 * math.cos(alpha), 200 * math.sin(alpha))
    edges = [
        OffsetEdge(line((0.0, 0.0), (300.0, 0.0)), 12.0, "square"),
        OffsetEdge(line((300.0, 0.0), top), 8.0),
        OffsetEdge(line(top, (0.0, 0.0)), 8.0),
    ]
    ring = ring_of(edges)
    # [A] the neighbour's offset meets the edge produced at width / sin(turn) from the corner
    reach = 8.0 / math.sin(math.pi - alpha)
    assert has(ring, (-reach, -12.0)) and has(ring, (-reach, 0.0))
    assert_sound(edges, ring)
    assert_sound(edges, ring_of([OffsetEdge(e.path, e.width, "square") for e in edges]))


@pytest.mark.parametrize("lean", [-60.0, -20.0, 0.0, 20.0, 60.0])
@pytest.mark.parametrize("width", [0.0, 15.0])
@pytest.mark.parametrize("bend", [0.0, 12.0])
def test_a_mirrored_hem_folded_back_lies_on_its_side(lean: float, width: float, bend: float) -> None:
    """[A] The hem allowance reflected in the hem line: its side coincides with the side seam's cut line."""
    side = cubic(
        (200.0, 0.0), (200 - lean / 3 + bend, 130.0), (200 - 2 * lean / 3 - bend, 260.0), (200.0 - lean, 400.0)
    )
    edges = [
        OffsetEdge(line((0.0, 0.0), (200.0, 0.0)), 40.0, "mirrored"),
        OffsetEdge(side, width),
        OffsetEdge(line((200.0 - lean, 400.0), (0.0, 400.0)), 10.0),
        OffsetEdge(line((0.0, 400.0), (0.0, 0.0)), 0.0, fold=True),
    ]
    ring = ring_of(edges)
    assert_sound(edges, ring)
    below = ring[(ring[:, 1] < -1e-6) & (ring[:, 0] > 100.0)]
    assert below[:, 1].min() == pytest.approx(-40.0, abs=1e-9)
    # the allowance's side and its corner; the rest of what lies below is the hem's own cut line
    deepest = below[below[:, 1] < -40.0 + 1e-6]
    below = np.concatenate([below[below[:, 1] > -40.0 + 1e-6], deepest[deepest[:, 0].argmax()][None]])
    folded = np.array([mirrored_point(tuple(p), (0.0, 0.0), (1.0, 0.0)) for p in below])
    above = shapely.linestrings(ring[(ring[:, 1] >= -1e-9) & (ring[:, 0] > 100.0)])
    assert max(shapely.distance(above, shapely.points(folded))) < 1e-6


def test_the_fold_stays_on_the_fold() -> None:
    for seed in range(60):
        edges = fold_piece(np.random.default_rng(seed))
        ring = ring_of(edges)
        assert_sound(edges, ring)
        assert ring[:, 0].min() == 0.0
        on_fold = ring[ring[:, 0] == 0.0]
        ends = edges[0].path.curves[:, ::3, 1]
        assert on_fold[:, 1].min() <= ends.min() and on_fold[:, 1].max() >= ends.max()


def test_an_allowance_ends_square_on_the_fold() -> None:
    edges = [
        OffsetEdge(line((0.0, 250.0), (0.0, 0.0)), 99.0, fold=True),
        OffsetEdge(line((0.0, 0.0), (200.0, 0.0)), 40.0),
        OffsetEdge(line((200.0, 0.0), (200.0, 300.0)), 10.0),
        OffsetEdge(smooth([(200.0, 300.0), (80.0, 260.0), (0.0, 250.0)], end_tangent=(-1.0, 0.0)), 8.0),
    ]
    ring = ring_of(edges)
    assert has(ring, (0.0, -40.0)) and has(ring, (0.0, 258.0))
    assert ring[:, 0].min() == 0.0  # a fold's own width counts for nothing


def test_round_parts_agree_with_shapelys_buffer() -> None:
    """Away from corners the cut line is the boundary of the piece buffered by the same width."""
    for seed in range(40):
        random = np.random.default_rng(seed)
        count = int(random.integers(6, 10))
        angle = np.arange(count) * 2 * math.pi / count
        reach = random.uniform(150.0, 260.0, count)
        knots = [(float(r * math.cos(a)), float(r * math.sin(a))) for r, a in zip(reach, angle, strict=True)]
        around = smooth([*knots, knots[0]])
        closing = smooth([knots[-1], knots[0], knots[1]])
        way = tuple(closing.curves[0, 3] - closing.curves[0, 2])
        around = smooth([*knots, knots[0]], way, way)
        width = float(random.choice([6.0, 10.0, 15.0]))
        ring = ring_of([OffsetEdge(around, width)])
        fine = shapely.polygons(flatten(around, 0.0005))
        expected = shapely.buffer(fine, width, quad_segs=512).exterior
        assert shapely.hausdorff_distance(shapely.linestrings(ring), expected) <= 0.022


def test_offset_points_stay_within_tolerance_of_the_true_offset() -> None:
    """[A] p + w n, sampled finely: on the ring wherever no neighbour is near, and nowhere mid-edge outside it."""
    checked = 0
    for seed in range(60):
        edges = fold_piece(np.random.default_rng(seed))
        ring = ring_of(edges)
        near, held = shapely.linestrings(ring), shapely.polygons(ring)
        for edge in edges[1:]:
            t = np.tile(np.linspace(0.0, 1.0, 801), (len(edge.path.curves), 1))
            mid = ((t > 0.25) & (t < 0.75)).ravel()
            p, d = curve.evaluate(edge.path.curves, t), curve.tangents(edge.path.curves, t)
            true = (p + edge.width * np.stack([d[..., 1], -d[..., 0]], -1)).reshape(-1, 2)
            # the fold ends every allowance
            mid, true = mid[true[:, 0] > 0.0], true[true[:, 0] > 0.0]
            off = shapely.distance(near, shapely.points(true))
            outside = mid & ~shapely.contains_xy(held, true[:, 0], true[:, 1])
            assert off[outside].max(initial=0.0) <= 0.02
            others = [
                shapely.linestrings(flatten(other.path)).buffer(3.5 * 40.0) for other in edges if other is not edge
            ]
            free = ~shapely.contains_xy(shapely.union_all(others), true[:, 0], true[:, 1])
            assert off[free].max(initial=0.0) <= 0.02
            checked += int(free.sum())
    assert checked > 2_000


def test_an_allowance_wider_than_a_hollow_corner_or_curve() -> None:
    notched = [(0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (160.0, 200.0), (155.0, 120.0), (150.0, 200.0), (0.0, 200.0)]
    for width in (1.0, 5.0, 15.0, 60.0, 400.0):
        edges = polygon(notched, width)
        assert_sound(edges, ring_of(edges))
    tight = [
        OffsetEdge(line((0.0, 0.0), (200.0, 0.0)), 10.0),
        OffsetEdge(line((200.0, 0.0), (200.0, 100.0)), 10.0),
        OffsetEdge(line((200.0, 100.0), (105.0, 100.0)), 10.0),
        OffsetEdge(smooth([(105.0, 100.0), (100.0, 95.0), (95.0, 100.0)], (0.0, -1.0), (0.0, 1.0)), 40.0),
        OffsetEdge(line((95.0, 100.0), (0.0, 100.0)), 10.0),
        OffsetEdge(line((0.0, 100.0), (0.0, 0.0)), 10.0),
    ]
    assert_sound(tight, ring_of(tight))


@pytest.mark.parametrize(
    ("edges", "said"),
    [
        ([], "no edges"),
        (polygon([(0.0, 0.0), (10.0, 0.0), (5.0, 8.0)], -1.0), "must be 0 or more"),
        (polygon([(0.0, 0.0), (10.0, 0.0), (5.0, 8.0)], math.nan), "must be 0 or more"),
        (polygon([(0.0, 0.0), (math.inf, 0.0), (5.0, 8.0)], 1.0), "not a number"),
        (polygon([(0.0, 0.0), (5.0, 8.0), (10.0, 0.0)], 1.0), "clockwise"),
        (polygon([(0.0, 0.0), (5.0, 0.0), (10.0, 0.0)], 1.0), "crosses or touches"),
        (polygon([(3.0, 3.0), (3.0, 3.0)], 1.0), "no length"),
        (
            [OffsetEdge(line((0.0, 0.0), (10.0, 0.0)), 1.0), OffsetEdge(line((10.0, 5.0), (0.0, 0.0)), 1.0)],
            "edge 2 begins",
        ),
        (polygon([(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (50.0, -20.0), (0.0, 100.0)], 60.0), "crosses"),
    ],
)
def test_what_has_no_cut_line_says_why(edges: list[OffsetEdge], said: str) -> None:
    fault = offset_outline(edges)
    assert isinstance(fault, Fault)
    assert said in fault.reason


def test_repeated_points_and_edges_of_no_length_change_nothing() -> None:
    plain = polygon([(0.0, 0.0), (100.0, 0.0), (100.0, 80.0), (0.0, 80.0)], 10.0)
    spiced = [plain[0], OffsetEdge(line((100.0, 0.0), (100.0, 0.0)), 25.0), *plain[1:]]
    doubled = OffsetEdge(polyline([(0.0, 80.0), (0.0, 80.0), (0.0, 40.0), (0.0, 40.0), (0.0, 0.0)]), 10.0)
    spiced[-1] = doubled
    assert region.hausdorff(ring_of(plain), ring_of(spiced)) < 1e-9
    again = [OffsetEdge(joined([e.path]), e.width) for e in plain]
    assert np.array_equal(ring_of(again), ring_of(plain))


@given(pieces)
@settings(max_examples=100, deadline=None, phases=QUICK)
def test_any_piece_gets_a_sound_cut_line_or_a_reason(edges: list[OffsetEdge]) -> None:
    ring = offset_outline(edges)
    if isinstance(ring, Fault):
        assert_crossing(edges, ring)
    else:
        assert_sound(edges, ring)


@given(fold_pieces)
@settings(max_examples=60, deadline=None, phases=QUICK)
def test_any_half_piece_gets_a_sound_cut_line_or_a_reason(edges: list[OffsetEdge]) -> None:
    ring = offset_outline(edges)
    if isinstance(ring, Fault):
        assert_crossing(edges, ring)
    else:
        assert_sound(edges, ring)


@given(wild_points, wild_points, wild_points, wild_numbers, wild_numbers)
@settings(max_examples=150, deadline=None, phases=QUICK)
@pytest.mark.filterwarnings("ignore::RuntimeWarning")
def test_nothing_raises_on_numbers_that_are_none(a: tuple, b: tuple, c: tuple, w: float, limit: float) -> None:  # type: ignore[type-arg]
    edges = [
        OffsetEdge(line(a, b), w),
        OffsetEdge(cubic(b, c, a, c), 10.0, "square"),
        OffsetEdge(line(c, a), w, "mirrored"),
    ]
    for got in (
        offset_outline(edges),
        offset_outline(edges, mitre_limit=limit),
        offset_outline(edges, tolerance=limit),
    ):
        assert isinstance(got, Fault) or region.is_valid(got)


def run_law(count: int, first: int = 0) -> tuple[int, int]:
    rings = faults = 0
    for seed in range(first, first + count):
        random = np.random.default_rng(seed)
        edges = fold_piece(random) if seed % 4 == 0 else random_piece(random)
        ring = offset_outline(edges)
        if isinstance(ring, Fault):
            assert_crossing(edges, ring)
            faults += 1
            continue
        assert_sound(edges, ring)
        assert region.is_valid(np.round(ring, 4)), f"unsound once it is written to four places: {seed}"
        rings += 1
    return rings, faults


def test_three_hundred_random_pieces_have_no_invalid_outline() -> None:
    rings, _faults = run_law(300)
    assert rings > 220


@pytest.mark.long
def test_ten_thousand_random_pieces_have_no_invalid_outline() -> None:
    rings, _faults = run_law(10_000)
    assert rings > 7_500


@given(seeds)
@settings(max_examples=30, deadline=None, phases=QUICK)
def test_areas_and_insides_agree_with_shapely(seed: int) -> None:
    random = np.random.default_rng(seed)
    ring = offset_outline(random_piece(random))
    if isinstance(ring, Fault):
        return
    shape = shapely.polygons(ring)
    assert region.area(ring) == pytest.approx(shape.area, rel=1e-12)
    assert region.area(ring[::-1]) == pytest.approx(-shape.area, rel=1e-12)
    for point in random.uniform(-450.0, 450.0, (20, 2)).tolist():
        assert region.contains(ring, tuple(point)) == shapely.covers(shape, shapely.Point(point))
    joined_up = region.joined_region([ring, ring + 1.0])
    assert not isinstance(joined_up, Fault)
    assert region.area(joined_up) == pytest.approx(shape.union(shapely.polygons(ring + 1.0)).area, rel=0.02)
