"""Lines and cubics: lengths, cuts, meetings, nearest points, smooth runs. Marks: [A] analytic identity."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from strategies import cubics, paths, points, wild_numbers, wild_points

from onfold.geometry import curve
from onfold.geometry.path import (
    Path,
    at,
    bounds,
    closest,
    cubic,
    curvature_at,
    cut,
    end,
    end_tangent,
    flatten,
    flatten_all,
    gap,
    joined,
    length,
    lengths,
    lengths_of,
    line,
    measure_all,
    meetings,
    mirrored,
    moved,
    part,
    points_along,
    polyline,
    smooth,
    start,
    start_tangent,
    tangent_at,
    turned,
    turned_back,
)
from onfold.geometry.point import distance, mirrored_point, turned_point

QUICK = (Phase.explicit, Phase.generate)
S_CURVE = cubic((0.0, 0.0), (100.0, 50.0), (200.0, -50.0), (300.0, 40.0))


def parabola(a: float, width: float) -> Path:
    """y = a x² from 0 to width: a quadratic, its degree raised, so that its length is known in closed form."""
    control = (width / 2.0, 0.0)
    last = (width, a * width * width)
    first_third = (control[0] * 2 / 3, control[1] * 2 / 3)
    second_third = (last[0] + (control[0] - last[0]) * 2 / 3, last[1] + (control[1] - last[1]) * 2 / 3)
    return cubic((0.0, 0.0), first_third, second_third, last)


@pytest.mark.parametrize(("a", "width"), [(0.001, 300.0), (0.01, 200.0), (0.2, 100.0), (5.0, 50.0), (1e-6, 900.0)])
def test_length_of_a_parabola_is_its_closed_form(a: float, width: float) -> None:
    u = 2.0 * a * width
    expected = (u * math.sqrt(1.0 + u * u) + math.asinh(u)) / (4.0 * a)  # [A]
    assert length(parabola(a, width)) == pytest.approx(expected, abs=1e-6)


def test_length_of_a_cusp_is_its_closed_form() -> None:
    # [A] x = t², y = t³ scaled: 1/27 ((4 + 9 t²)^1.5 - 8) from the cusp, twice
    size = 100.0
    cusp = cubic((size, -size), (-size / 3, size), (-size / 3, -size), (size, size))
    half = size / 27.0 * (13.0**1.5 - 8.0)
    assert length(cusp) == pytest.approx(2.0 * half, abs=1e-5)
    x, y = at(cusp, half)
    assert math.hypot(x, y) < 1e-3


def twin(path: Path) -> Path:
    return Path(path.curves, path.straight)


@given(st.lists(paths(), min_size=1, max_size=6))
@settings(max_examples=150, deadline=None, phases=QUICK)
def test_many_paths_are_measured_to_the_bit_as_each_alone(many: list[Path]) -> None:
    alone, batch = [twin(each) for each in many], [twin(each) for each in many]
    measure_all(batch)
    assert [each.tape for each in batch] == [each.tape for each in alone]


def test_single_lines_are_measured_to_the_bit_as_alone() -> None:
    many = [line((0.0, 0.0), (0.1 * k + 1.7, 0.3 * k * k)) for k in range(200)]
    batch = [S_CURVE, *map(twin, many)]
    measure_all(batch)
    assert [each.tape for each in batch[1:]] == [each.tape for each in many]


def test_paths_too_rough_to_measure_are_measured_as_alone_too() -> None:
    # numbers that have lost their figures: halving goes on without end
    rough = cubic((0.0, 0.0), (1e19, 1e19), (-1e19, -1e19 + 1e4), (1.0, 1.0))
    batch = [twin(rough), twin(S_CURVE), twin(rough)]
    measure_all(batch)
    assert [each.tape for each in batch] == [twin(rough).tape, twin(S_CURVE).tape, twin(rough).tape]


@given(cubics)
@settings(max_examples=150, deadline=None, phases=QUICK)
def test_length_agrees_with_adaptive_quadrature(path: Path) -> None:
    def speed(t: float) -> float:
        dx, dy = curve.derivative(path.curves, np.array([t]))[0]
        return math.hypot(dx, dy)

    # the oracle needs to be told where the curve may turn back: where x or y is extreme, and where it is slowest
    turns = curve.turning_points(path.curves).ravel()
    fine = np.linspace(0.0, 1.0, 20_001)
    speeds = np.hypot(*curve.derivative(path.curves, fine[None])[0].T)
    slow = fine[1:-1][(speeds[1:-1] <= speeds[:-2]) & (speeds[1:-1] <= speeds[2:])][:6]
    stops = np.unique(np.concatenate([[0.0, 1.0], turns[np.isfinite(turns)], slow]))
    expected = sum(quad(speed, a, b, epsabs=1e-9, limit=200)[0] for a, b in pairwise(stops))
    # beside a near-cusp the oracle itself is no better than some 1e-5 mm
    assert length(path) == pytest.approx(expected, abs=1e-4)


@given(paths())
@settings(max_examples=150, deadline=None, phases=QUICK)
def test_running_along_a_path_is_undone_by_measuring_to_there(path: Path) -> None:
    whole = length(path)
    assert whole == pytest.approx(float(lengths(path).sum()), abs=1e-9)
    assert lengths_of([path, path])[1] == pytest.approx(whole, abs=1e-9)
    for share in (0.0, 0.123, 0.5, 0.9, 1.0):
        first, second = cut(path, [share * whole])
        assert length(first) == pytest.approx(share * whole, abs=1e-5)
        assert length(first) + length(second) == pytest.approx(whole, abs=1e-5)
        assert distance(end(first), at(path, share * whole)) < 1e-6
    many = points_along(path, [whole * share for share in (0.2, 0.4, 0.6)])
    assert all(distance(tuple(p), at(path, whole * s)) < 1e-6 for p, s in zip(many, (0.2, 0.4, 0.6), strict=True))


def test_length_in_batch_is_the_length_alone() -> None:
    random = np.random.default_rng(3)
    curves = random.uniform(-500.0, 500.0, (300, 4, 2))
    curves[7, 1:] = curves[7, 0]  # no length
    curves[8, 1] = curves[8, 0]  # stands still at its start
    batch = curve.lengths(curves)
    alone = [length(Path(curves[k : k + 1].copy(), np.zeros(1, dtype=bool))) for k in range(300)]
    assert np.abs(batch - alone).max() < 1e-9
    t = curve.at_length(curves, 0.3 * batch)
    left, right = curve.split(curves, t)
    assert np.abs(curve.lengths(left) - 0.3 * batch).max() < 1e-6
    assert np.abs(curve.lengths(left) + curve.lengths(right) - batch).max() < 1e-6


def test_tangent_and_curvature_of_a_circle() -> None:
    circle = smooth([(100.0, 0.0), (0.0, 100.0), (-100.0, 0.0)], (0.0, 1.0), (0.0, -1.0))
    # [A] radius 100: the usual cubic quarter strays 0.027 per cent of it
    assert np.abs(np.hypot(*flatten(circle).T) - 100.0).max() < 0.05
    assert curvature_at(circle, 80.0) == pytest.approx(0.01, rel=0.02)
    assert curvature_at(turned_back(circle), 80.0) == pytest.approx(-0.01, rel=0.02)
    assert tangent_at(circle, 0.0) == pytest.approx((0.0, 1.0), abs=1e-12)
    assert start_tangent(circle) == pytest.approx((0.0, 1.0), abs=1e-12)
    assert end_tangent(circle) == pytest.approx((0.0, -1.0), abs=1e-12)
    assert curvature_at(line((0.0, 0.0), (1.0, 1.0)), 0.5) == 0.0


def test_a_tangent_is_known_where_the_curve_stands_still() -> None:
    path = cubic((0.0, 0.0), (0.0, 0.0), (50.0, 50.0), (100.0, 0.0))
    assert tangent_at(path, 0.0) == pytest.approx((math.sqrt(0.5), math.sqrt(0.5)), abs=1e-3)
    assert tangent_at(line((1.0, 1.0), (1.0, 1.0)), 0.0) == (0.0, 0.0)


@given(paths(), points, points)
@settings(max_examples=80, deadline=None, phases=QUICK)
def test_moving_turning_mirroring_and_their_undoing(path: Path, a: tuple[float, float], b: tuple[float, float]) -> None:
    def off(one: Path, other: Path) -> float:
        return float(np.abs(one.curves - other.curves).max())

    assert off(moved(moved(path, 3.0, -4.0), -3.0, 4.0), path) < 1e-9
    assert off(turned(turned(path, a, 0.7), a, -0.7), path) < 1e-9
    assert off(mirrored(mirrored(path, a, b), a, b), path) < 1e-8
    assert off(turned_back(turned_back(path)), path) == 0.0
    assert length(turned(path, a, 1.0)) == pytest.approx(length(path), abs=1e-6)
    assert distance(end(turned(path, a, 1.0)), turned_point(end(path), a, 1.0)) < 1e-9
    assert distance(start(mirrored(path, a, b)), mirrored_point(start(path), a, b)) < 1e-9


def test_turning_keeps_joints_closed_to_the_bit() -> None:
    path = smooth([(0.0, 0.0), (31.7, 12.3), (77.7, -3.1), (120.9, 55.5)])
    turned_path = turned(path, (13.1, 7.7), 0.123456)
    assert (turned_path.curves[1:, 0] == turned_path.curves[:-1, 3]).all()


def test_cuts_at_joints_leave_no_slivers() -> None:
    path = joined([line((0.0, 0.0), (100.0, 0.0)), S_CURVE_MOVED, line((400.0, 40.0), (500.0, 40.0))])
    pieces = cut(path, [100.0, 100.0 + length(S_CURVE_MOVED)])
    assert [len(each.curves) for each in pieces] == [1, 1, 1]
    assert [bool(each.straight[0]) for each in pieces] == [True, False, True]
    assert gap(pieces[0], pieces[1]) == gap(pieces[1], pieces[2]) == 0.0
    assert len(cut(path, [0.0, 50.0, 1e9])) == 4
    assert length(part(path, 50.0, 450.0)) == pytest.approx(400.0, abs=1e-6)
    assert start(part(path, 450.0, 50.0)) == pytest.approx(at(path, 450.0))


S_CURVE_MOVED = moved(S_CURVE, 100.0, 0.0)


@given(paths())
@settings(max_examples=80, deadline=None, phases=QUICK)
def test_bounds_are_those_of_a_dense_sampling_and_flattening_is_near(path: Path) -> None:
    t = np.tile(np.linspace(0.0, 1.0, 2001), (len(path.curves), 1))
    dense = curve.evaluate(path.curves, t).reshape(-1, 2)
    left, low, right, high = bounds(path)
    assert (left, low) == pytest.approx(tuple(dense.min(axis=0)), abs=2e-3)
    assert (right, high) == pytest.approx(tuple(dense.max(axis=0)), abs=2e-3)
    assert left <= dense[:, 0].min() + 1e-9 and high >= dense[:, 1].max() - 1e-9
    from onfold.geometry.region import farthest

    flat = flatten(path)
    if length(path) > 0.0:
        assert farthest(dense, flat) <= 0.02 + 1e-9
    assert all(np.array_equal(each, flat) for each in flatten_all([path, path, path]))


def test_lines_meet_as_lines_do() -> None:
    a = line((0.0, 0.0), (10.0, 0.0))
    (cross,) = meetings(a, line((4.0, -3.0), (4.0, 6.0)))
    assert (cross.along_a, cross.along_b, *cross.at) == pytest.approx((4.0, 3.0, 4.0, 0.0))
    assert meetings(a, line((0.0, 1.0), (10.0, 1.0))) == []
    assert [m.at for m in meetings(a, line((6.0, 0.0), (20.0, 0.0)))] == [(6.0, 0.0), (10.0, 0.0)]
    assert [m.at for m in meetings(a, line((10.0, 0.0), (20.0, 5.0)))] == [(10.0, 0.0)]
    assert [m.at for m in meetings(a, line((5.0, 0.0), (5.0, 0.0)))] == [(5.0, 0.0)]
    assert len(meetings(a, a)) == 2


def test_curves_cross_touch_and_overlap() -> None:
    crossing = cubic((50.0, -50.0), (100.0, 150.0), (200.0, -150.0), (250.0, 50.0))
    found = meetings(S_CURVE, crossing)
    assert len(found) == 3
    assert all(distance(at(S_CURVE, m.along_a), at(crossing, m.along_b)) < 1e-9 for m in found)
    arch = cubic((0.0, 0.0), (0.0, 10.0), (20.0, 10.0), (20.0, 0.0))
    # [A] the arch's top is y = 7.5 at x = 10; its reflection in that line touches it there alone
    for other in (line((-5.0, 7.5), (30.0, 7.5)), mirrored(arch, (0.0, 7.5), (1.0, 7.5))):
        (touch,) = meetings(arch, other)
        assert touch.at == pytest.approx((10.0, 7.5), abs=1e-4)
    whole = length(S_CURVE)
    both = meetings(part(S_CURVE, 50.0, 200.0), part(S_CURVE, 100.0, 300.0))
    assert [m.along_a for m in both] == pytest.approx([50.0, 150.0], abs=1e-5)
    assert [m.along_a for m in meetings(S_CURVE, S_CURVE)] == pytest.approx([0.0, whole], abs=1e-6)


def test_meetings_agree_with_polynomial_roots() -> None:
    """[A] A cubic meets a line where its signed distance, a cubic polynomial, has its real roots."""
    random = np.random.default_rng(11)
    for _ in range(200):
        controls = random.uniform(-100.0, 100.0, (4, 2))
        a, b = random.uniform(-150.0, 150.0, (2, 2))
        normal = np.array([a[1] - b[1], b[0] - a[0]]) / np.hypot(*(b - a))
        d = (controls - a) @ normal
        roots = np.roots([d[3] - 3 * d[2] + 3 * d[1] - d[0], 3 * (d[2] - 2 * d[1] + d[0]), 3 * (d[1] - d[0]), d[0]])
        t = np.sort(roots[(np.abs(roots.imag) < 1e-9) & (roots.real >= 0) & (roots.real <= 1)].real)
        at_t = curve.evaluate(np.repeat(controls[None], len(t), 0), t) if len(t) else np.zeros((0, 2))
        share = (at_t - a) @ (b - a) / ((b - a) @ (b - a))
        expected = at_t[(share >= 0.0) & (share <= 1.0)]
        path = Path(controls[None].copy(), np.zeros(1, dtype=bool))
        for found in (meetings(path, line(tuple(a), tuple(b))), meetings(line(tuple(a), tuple(b)), path)):
            assert len(found) == len(expected)
            for point in expected:
                assert min(distance(m.at, tuple(point)) for m in found) < 1e-6


@given(paths(), points)
@settings(max_examples=100, deadline=None, phases=QUICK)
def test_nothing_lies_nearer_than_the_closest_point(path: Path, point: tuple[float, float]) -> None:
    found = closest(path, point)
    t = np.tile(np.linspace(0.0, 1.0, 801), (len(path.curves), 1))
    dense = curve.evaluate(path.curves, t).reshape(-1, 2)
    assert found.distance <= np.hypot(*(dense - point).T).min() + 1e-7
    assert distance(found.at, point) == pytest.approx(found.distance, abs=1e-9)
    assert distance(at(path, found.along), found.at) < 1e-5


def test_a_hip_curve_never_swells_past_its_points() -> None:
    for hem in (180.0, 236.0, 240.0, 300.0):
        side = smooth([(170.0, 0.0), (222.0, -110.0), (235.0, -200.0), (hem, -600.0)])
        dense = flatten(side, 0.001)
        assert (np.diff(dense[:, 1]) < 0.0).all()
        assert dense[:, 0].max() <= max(235.0, hem) + 1e-6
        above = dense[dense[:, 1] >= -200.0]
        assert (np.diff(above[:, 0]) >= -1e-9).all()
        joints = [tangent_at(side, s) for s in np.cumsum(lengths(side))[:-1]]
        before = [end_tangent(Path(side.curves[k : k + 1].copy(), side.straight[k : k + 1])) for k in range(2)]
        assert all(distance(p, q) < 1e-9 for p, q in zip(before, joints, strict=False))


def test_smooth_runs_keep_the_directions_asked_for() -> None:
    path = smooth([(0.0, 0.0), (50.0, 30.0), (100.0, 0.0)], (0.0, 2.0), (0.0, -1.0), {1: (1.0, 0.0)})
    assert start_tangent(path) == pytest.approx((0.0, 1.0))
    assert end_tangent(path) == pytest.approx((0.0, -1.0))
    assert tangent_at(path, float(lengths(path)[0])) == pytest.approx((1.0, 0.0), abs=1e-9)
    assert smooth([(0.0, 0.0), (10.0, 0.0)]).straight.all()
    assert length(smooth([(0.0, 0.0), (0.0, 0.0), (10.0, 0.0)])) == pytest.approx(10.0)
    assert length(smooth([(3.0, 3.0)])) == 0.0


@given(wild_points, wild_points, wild_points, wild_points, wild_numbers)
@settings(max_examples=200, deadline=None, phases=QUICK)
@pytest.mark.filterwarnings("ignore::RuntimeWarning")
def test_nothing_raises_on_numbers_that_are_none(a: tuple, b: tuple, c: tuple, d: tuple, s: float) -> None:  # type: ignore[type-arg]
    for path in (cubic(a, b, c, d), line(a, b), polyline([a, b, a, a]), smooth([a, b, c])):
        assert isinstance(length(path), float)
        assert len(at(path, s)) == len(tangent_at(path, s)) == 2
        assert isinstance(curvature_at(path, s), float)
        assert len(cut(path, [s])) == 2
        assert len(bounds(turned(mirrored(path, a, b), c, s if abs(s) < 1e9 else 0.0))) == 4
        assert len(flatten(path)) >= 2
        assert isinstance(meetings(path, line(c, d)), list)
        assert isinstance(meetings(path, cubic(d, c, b, a)), list)
        assert isinstance(closest(path, c).distance, float)


def test_a_path_cannot_be_written_into() -> None:
    path = line((0.0, 0.0), (1.0, 0.0))
    with pytest.raises(ValueError, match="read-only"):
        path.curves[0, 0, 0] = 5.0
    with pytest.raises(ValueError, match="no paths"):
        joined([])
