"""Given cloth that lies on something, or on itself, it does what is known of it: Coulomb, Laplace, drape, least energy.

All [A] unless another mark stands beside the number. The exact shapes are worked out in `hang_nets`.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hang_crossings import crossing_pairs, crossings, least_apart
from hang_nets import (
    MESHES,
    Energy,
    Floats,
    Stuff,
    come_to_rest,
    cylinder_distance,
    disc,
    gravity_on,
    ground_of,
    hung,
    net_of,
    pressed,
    right_angled,
    rigid,
    staggered,
    tube,
)
from scipy.optimize import minimize

from onfold.hang.net import Net
from onfold.hang.settle import SHELL, Hanging, loads, step

MASS = Stuff().mass


# --- 1. friction


@pytest.mark.parametrize("friction", [0.15, 0.3, 0.45])
def test_cloth_on_a_slope_slides_above_the_angle_of_friction_and_stays_below(friction: float) -> None:
    def slid(share: float) -> float:
        angle = share * np.arctan(friction)
        up = np.array([np.sin(angle), np.cos(angle), 0.0])
        down = np.array([np.cos(angle), -np.sin(angle), 0.0])
        ground = ground_of(lambda p: p @ up, np.full(3, -300.0), np.full(3, 300.0), 10.0, friction)
        points, tri = staggered(60.0, 60.0, 15.0)
        net = net_of(points, tri, Stuff(bend_along=rigid(MASS, 20.0), bend_across=rigid(MASS, 20.0)))
        across = np.array([0.0, 0.0, 1.0])
        x = (points[:, :1] - 30.0) * down + (points[:, 1:] - 30.0) * across + up * SHELL
        state = hung(net, x, ground=ground, touching=False)
        for _ in range(240):
            step(state)
        return float(((state.x - x) @ down).mean())

    assert abs(slid(0.85)) < 0.05
    # a full spring to an anchor that follows lets it creep some thousandths of a mm
    assert slid(1.15) > 0.5


# --- 2. at rest


def over_a_cylinder(edge: float) -> tuple[Hanging, Net]:
    ground = ground_of(
        cylinder_distance(50.0, 0.0, -200.0),
        np.array([-150.0, -60.0, -150.0]),
        np.array([150.0, 40.0, 150.0]),
        5.0,
        0.3,
    )
    points, tri = disc(90.0, edge)
    net = net_of(points, tri, Stuff(bend_across=rigid(MASS, 20.0), bend_along=rigid(MASS, 20.0)))
    bump = 0.2 * np.random.default_rng(1).normal(size=len(points)) * (np.hypot(*points.T) > 55.0)
    return hung(net, np.column_stack((points[:, 0], SHELL + bump, points[:, 1])), ground=ground, touching=False), net


def test_cloth_at_rest_gains_no_energy_and_stays_where_it_is() -> None:
    state, net = over_a_cylinder(12.0)
    assert come_to_rest(state, 2e-3, 4000) < 4000
    energy, was = Energy(net, gravity_on(net)), state.x.copy()
    assert state.ground is not None
    allowed = 1e-3 * float(net.mass.sum()) * state.gravity

    def total() -> float:
        assert state.ground is not None
        return energy(state.x)[0] + pressed(state.ground, state.x, state.push_stiffness)[0]

    first, most = total(), 0.0
    for _ in range(100):
        step(state)
        most = max(most, total() - first)
    assert most < allowed
    assert np.sqrt(((state.x - was) ** 2).sum(axis=1)).max() < 0.5
    assert loads(state) == pytest.approx(1.0, abs=0.02)


# --- 3. drape


def draped(bending: float, shear: float, edge: float) -> tuple[float, int]:
    """Drape coefficient and number of folds of a 30 cm disc over a support of 18 cm (T165 [C])."""
    ground = ground_of(
        cylinder_distance(90.0, 0.0, -200.0),
        np.array([-180.0, -40.0, -180.0]),
        np.array([180.0, 40.0, 180.0]),
        5.0,
        0.3,
    )
    points, tri = disc(150.0, edge)
    bend = rigid(MASS, bending)
    net = net_of(points, tri, Stuff(across=300.0, along=300.0, shear=shear, bend_across=bend, bend_along=bend))
    bump = 0.2 * np.random.default_rng(1).normal(size=len(points)) * (np.hypot(*points.T) > 95.0)
    x = np.column_stack((points[:, 0], SHELL + bump, points[:, 1]))
    state = hung(net, x, ground=ground, touching=False)
    assert come_to_rest(state, 5e-3, 3000) < 3000
    seen = state.x[:, [0, 2]]
    shadow = shapely.union_all(shapely.polygons(seen[tri])).area
    rim = np.hypot(*seen[: round(2.0 * np.pi * 150.0 / edge)].T)
    waves = np.fft.rfft(rim - rim.mean())
    waves[14:] = 0.0
    smooth = np.fft.irfft(waves, len(rim))
    folds = (smooth > np.roll(smooth, 1)) & (smooth > np.roll(smooth, -1)) & (smooth > 0.0)
    inner = np.pi * 90.0**2
    return float((shadow - inner) / (np.pi * 150.0**2 - inner)), int(folds.sum())


@pytest.mark.parametrize("edge", [14.0, pytest.param(9.0, marks=pytest.mark.long)])
def test_limp_cloth_drapes_in_many_folds_and_stiff_cloth_in_few(edge: float) -> None:
    limp, middling, stiff = draped(12.0, 10.0, edge), draped(20.0, 20.0, edge), draped(40.0, 30.0, edge)
    assert limp[0] < middling[0] < stiff[0]
    # bands of voile, poplin and coating in tables of dress cloths [M]
    assert 0.12 < limp[0] < 0.40
    assert 0.30 < middling[0] < 0.70
    assert 0.70 < stiff[0] < 0.98
    assert limp[1] > stiff[1]
    assert 3 <= stiff[1] <= limp[1] <= 13  # [M]


# --- 4. pressure


@pytest.mark.parametrize(
    ("radius", "stiff", "stiffening", "share"),
    [(60.0, 40.0, 0.0, 0.85), (60.0, 40.0, 5.0, 0.7), (30.0, 40.0, 0.0, 0.85), (110.0, 20.0, 2.0, 0.8)],
)
def test_a_stretched_tube_presses_as_tension_over_radius(
    radius: float, stiff: float, stiffening: float, share: float
) -> None:
    # T168: P = T / R
    stuff = Stuff(across=stiff, along=stiff, shear=10.0, bend_across=1e-7, bend_along=1e-7,
                  stiffening=(stiffening, stiffening))  # fmt: skip
    girth = 2.0 * np.pi * (radius + SHELL) * share
    ratios = []
    for edge in (radius / 4.0, radius / 8.0):
        net, x = tube(girth, 60.0, edge, radius + SHELL, stuff)
        out = radius + 40.0
        ground = ground_of(
            cylinder_distance(radius, 300.0, -300.0),
            np.array([-out, -60.0, -out]),
            np.array([out, 60.0, out]),
            5.0,
            0.0,
        )
        state = hung(net, x, ground=ground, gravity=0.0, touching=False)
        assert come_to_rest(state, 1e-6, 4000) < 4000
        assert state.ground is not None
        _, push = pressed(state.ground, state.x, state.push_stiffness)
        at = float(np.hypot(state.x[:, 0], state.x[:, 2]).mean())
        e = 2.0 * np.pi * at / girth - 1.0
        tension = stiff * e * (1.0 + stiffening * e * e)
        ratios.append(float(push.sum()) / (2.0 * np.pi * at * np.ptp(state.x[:, 1])) / (tension / at))
    assert ratios == pytest.approx([1.0, 1.0], abs=0.05)
    assert abs(ratios[1] - 1.0) < abs(ratios[0] - 1.0)


# --- 5. where the energy is least


@pytest.mark.parametrize("mesh", list(MESHES))
@pytest.mark.parametrize(("turn", "wide"), [(0.0, 0.9), (0.6, 0.9), (0.6, 1.15)])
def test_cloth_rests_where_its_energy_written_anew_is_least(mesh: str, turn: float, wide: float) -> None:
    points, tri = MESHES[mesh](40.0, 30.0, 14.0)
    flat = points @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    stuff = Stuff(
        mass=0.3, across=60.0, along=30.0, shear=8.0, bend_across=4e-6, bend_along=2e-6, stiffening=(5.0, 3.0)
    )
    net = net_of(flat, tri, stuff)
    noise = np.random.default_rng(3)
    held = (points[:, 1] < 1e-6) & (np.abs(points[:, 0] - 20.0) > 20.0 - 1e-6)
    x = np.column_stack((points[:, 0] * wide, -points[:, 1], noise.normal(size=len(points))))
    state = hung(net, x, pinned=held, touching=False)
    assert come_to_rest(state, 1e-7, 20000) < 20000
    energy = Energy(net, gravity_on(net))

    def at(v: Floats) -> tuple[float, Floats]:
        y = state.x.copy()
        y[~held] = v.reshape(-1, 3)
        value, gradient = energy(y)
        return value, gradient[~held].ravel()

    start = state.x[~held].ravel() + 0.3 * noise.normal(size=3 * int((~held).sum()))
    way = noise.normal(size=len(start))
    ahead, behind = at(start + 1e-5 * way)[0], at(start - 1e-5 * way)[0]
    assert (ahead - behind) / 2e-5 == pytest.approx(float(at(start)[1] @ way), rel=1e-5)
    least = minimize(at, start, jac=True, method="BFGS", options={"gtol": 1e-8, "maxiter": 20000})
    assert np.abs(least.x - state.x[~held].ravel()).max() < 1e-3
    assert np.abs(at(state.x[~held].ravel())[1]).max() < 1e-5 * float(net.mass.sum()) * state.gravity


# --- 6. cloth on cloth


def test_the_count_of_crossings_counts_what_crosses() -> None:
    x = np.array([[0, 0, 0], [10, 0, 0], [0, 10, 0], [2, 2, -1], [2, 2, 1], [3, 3, 1.0]])
    two = np.array([[0, 1, 2], [3, 4, 5]])
    assert crossings(x, two) == 1
    assert crossings(x + np.array([[0, 0, 0]] * 3 + [[0, 0, 1.5]] * 3), two) == 0
    # a corner that only touches the other's face does not pass through it, to the last bit
    assert crossings(x + np.array([[0, 0, 0]] * 3 + [[0, 0, 1.0]] * 3), two) == 0
    assert crossings(x + np.array([[0, 0, 0]] * 3 + [[0, 0, 1.0 - 1e-9]] * 3), two) == 1
    points, tri = right_angled(50.0, 50.0, 10.0)
    flat = np.column_stack((points, 0.0 * points[:, 0]))
    assert crossings(flat, tri) == 0
    upright = np.column_stack((points[:, 0] + 0.3, np.full(len(points), 21.7), points[:, 1] - 25.3))
    # it stands along the line y = 21.7 from x = 0.3: the five squares it is cut by have ten triangles
    both = crossing_pairs(np.concatenate((flat, upright)), np.concatenate((tri, tri + len(points))))
    assert len(np.unique(both[:, 0])) == 10


def two_sheets(edge: float, turn: float) -> tuple[Hanging, Net]:
    """A sheet held by its four corners and another let down on it, turned."""
    a, tri = staggered(80.0, 80.0, edge)
    b = (a - 40.0) @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]) + (8.0, 5.0)
    stuff = Stuff(bend_across=rigid(MASS, 20.0), bend_along=rigid(MASS, 20.0))
    both = np.concatenate((tri, tri + len(a)))
    net = net_of(np.concatenate((a, a)), both, stuff)
    held = np.zeros(net.count, dtype=bool)
    held[: len(a)] = (np.abs(a - 40.0) > 40.0 - 1e-6).all(axis=1)
    lower = np.column_stack((a[:, 0] - 40.0, 0.0 * a[:, 0], a[:, 1] - 40.0))
    upper = np.column_stack((b[:, 0], np.full(len(b), 8.0), b[:, 1]))
    return hung(net, np.concatenate((lower, upper)), pinned=held), net


@pytest.mark.parametrize("turn", [0.0, 0.4])
@pytest.mark.parametrize(
    ("edge", "steps"), [(10.0, 200), pytest.param(10.0, 600, marks=pytest.mark.long)], ids=["short", "long"]
)
def test_a_sheet_let_down_on_another_never_comes_through_it(turn: float, edge: float, steps: int) -> None:
    state, net = two_sheets(edge, turn)
    for k in range(steps):
        step(state)
        if k % 10 == 9:
            assert crossings(state.x, net.tri) == 0
            assert least_apart(state.x, net.tri) > 0.2
    above = state.x[net.count // 2 :, 1].mean() - state.x[: net.count // 2, 1].mean()
    assert above > 0.5


def dropped_strip(wave: float) -> tuple[Hanging, Net]:
    """A limp strip 50 mm wide let fall on a floor from upright, so that it folds on itself."""
    points, tri = staggered(50.0, 160.0, 8.0)
    net = net_of(points, tri, Stuff(bend_across=rigid(MASS, 8.0), bend_along=rigid(MASS, 8.0)))
    ground = ground_of(lambda p: p[:, 1], np.array([-100.0, -20.0, -150.0]), np.array([100.0, 250.0, 150.0]), 10.0, 0.3)
    lean = 0.02 * points[:, 1] + wave * np.sin(2.0 * np.pi * points[:, 1] / 160.0)
    return hung(net, np.column_stack((points[:, 0], points[:, 1] + 2.0, lean)), ground=ground), net


@pytest.mark.parametrize("wave", [1.0, 2.0, -1.0])
@pytest.mark.parametrize("steps", [400, pytest.param(1500, marks=pytest.mark.long)])
def test_a_strip_that_falls_in_folds_never_comes_through_itself(steps: int, wave: float) -> None:
    state, net = dropped_strip(wave)
    for k in range(steps):
        step(state)
        if k % 10 == 9:
            assert crossings(state.x, net.tri) == 0
