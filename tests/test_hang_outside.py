"""Given cloth held in the air whose exact shape is known, the hang takes that shape: elastica, catenary, stretch.

All [A] unless another mark stands beside the number. The exact shapes are worked out in `hang_nets`.
"""

from __future__ import annotations

import numpy as np
import pytest
from hang_nets import (
    MESHES,
    Floats,
    Stuff,
    catenary_sag,
    come_to_rest,
    elastica,
    hung,
    net_of,
    rigid,
    strain_under,
)
from scipy.optimize import fsolve

from onfold.hang.net import woven

MASS = Stuff().mass


def laid(points: Floats, way: str) -> Floats:
    """A strip's own coordinates as the cloth's, for a strip cut along the grain or across."""
    return points if way == "along" else points[:, ::-1].copy()


# --- 1. bending: a heavy strip held level at one end


def cantilever(mesh: str, length: float, bending: float, edge: float, way: str = "along", other: float = 1.0) -> float:
    """How far off the exact tip the strip's is, as a share of its length.

    The hinge on the last held line bends half of the held row, so the strip is free from the middle of that row.
    """
    tall = edge * np.sqrt(0.75) if mesh in ("staggered", "uneven") else edge
    rows = round(length / tall + 0.5)
    row = length / (rows - 0.5)
    own, cross = rigid(MASS, bending), other * rigid(MASS, bending)
    along, across = (own, cross) if way == "along" else (cross, own)
    stuff = Stuff(across=1500.0, along=1500.0, shear=300.0, bend_along=along, bend_across=across)
    points, tri = MESHES[mesh](30.0, row * rows, edge * row / tall)
    flat = laid(points, way)
    net = net_of(flat, tri, stuff)
    held = points[:, 1] < 1.001 * row
    state = hung(
        net, np.column_stack((points[:, 1] - row / 2.0, 0.0 * points[:, 0], points[:, 0])), pinned=held, touching=False,
        keeps=0.98,
    )  # fmt: skip
    assert come_to_rest(state, 1e-4, 8000) < 8000
    tip = state.x[points[:, 1] > row * rows - 1e-6].mean(axis=0)
    out, down = elastica(length, bending)
    return float(np.hypot(tip[0] - out, tip[1] + down)) / length


@pytest.mark.parametrize("mesh", ["right-angled", "staggered"])
@pytest.mark.parametrize(("length", "bending"), [(60.0, 20.0), (60.0, 40.0), (45.0, 12.0), (90.0, 30.0)])
def test_a_heavy_strip_bends_as_the_elastica(mesh: str, length: float, bending: float) -> None:
    errors = [cantilever(mesh, length, bending, length / n) for n in (6, 9, 14)]
    assert max(errors) < 0.05
    if mesh == "staggered":
        # what is left is no matter of the mesh's size: a strip that may curl across bends up to a ninth more (below)
        assert errors[-1] <= errors[0] + 0.01


@pytest.mark.parametrize("mesh", ["endwise", "uneven"])
@pytest.mark.parametrize("edges", [(10.0, 4.0), pytest.param((10.0, 5.0, 2.5), marks=pytest.mark.long)])
def test_a_heavy_strip_in_an_unkind_mesh_comes_to_the_elastica_as_the_mesh_is_made_finer(
    mesh: str, edges: tuple[float, ...]
) -> None:
    # there the held line zigzags, or edges lie any way, and coarse nets bend too little: 11 % of the length at 11 mm
    errors = [cantilever(mesh, 60.0, 20.0, edge) for edge in edges]
    assert errors == sorted(errors, reverse=True)
    assert errors[-1] < 0.05


@pytest.mark.parametrize("way", ["along", "across"])
@pytest.mark.parametrize("other", [0.3, 3.0])
@pytest.mark.parametrize("mesh", ["right-angled", "staggered", "uneven"])
def test_a_strip_bends_by_the_rigidity_of_its_own_direction(mesh: str, way: str, other: float) -> None:
    assert cantilever(mesh, 60.0, 20.0, 5.0, way, other) < 0.05


def test_the_elastica_itself_is_the_beams_where_it_bends_little() -> None:
    # w L⁴ / (8 B), and c³ = B / w
    length, bending = 20.0, 60.0
    assert elastica(length, bending)[1] == pytest.approx(length**4 / (8.0 * bending**3), rel=0.01)


def bending_energy(mesh: str, turn: float, wide: float, high: float, radius: float) -> float:
    """The energy µJ of the bends of a sheet of 1 mN·mm rolled into a cylinder about a line at `turn`."""
    points, tri = MESHES[mesh](wide, high, 6.0)
    net = net_of(points, tri, Stuff(bend_across=1e-6, bend_along=1e-6))
    c, s = np.cos(turn), np.sin(turn)
    p, q = c * points[:, 0] + s * points[:, 1], c * points[:, 1] - s * points[:, 0]
    x = np.column_stack((radius * np.sin(p / radius), q, radius * np.cos(p / radius)))
    bends = woven(net).bends
    pull = bends.own[:, None] * x
    for i in range(net.count):
        part = slice(bends.at[i], bends.at[i + 1])
        pull[i] += bends.value[part] @ x[bends.other[part]]
    return 0.5 * float((pull * x).sum())


def rolled(mesh: str, turn: float, radius: float = 80.0) -> float:
    """The energy of bends of a rolled sheet over the exact B κ² / 2 of its area.

    From two sheets, so that what the edges add or lack, which grows with the outline only, falls out.
    """
    tall = 6.0 * np.sqrt(0.75)
    wide, high = {"right-angled": (120.0, 120.0), "staggered": (120.0, 24.0 * tall), "endwise": (24.0 * tall, 120.0)}[
        mesh
    ]
    large = bending_energy(mesh, turn, wide, high, radius)
    small = bending_energy(mesh, turn, wide / 2.0, high / 2.0, radius)
    return (large - 2.0 * small) / (wide * high / 2.0) * 2.0 * radius**2


@pytest.mark.parametrize("mesh", ["staggered", "endwise"])
@pytest.mark.parametrize("turn", [0.0, 0.3, 0.8, np.pi / 2.0, 2.5])
def test_a_rolled_sheet_of_even_sided_triangles_has_the_energy_of_the_cylinder(mesh: str, turn: float) -> None:
    assert rolled(mesh, turn) == pytest.approx(1.0, abs=0.01)


def test_a_rolled_sheet_of_halved_squares_is_stiff_one_way_and_soft_the_other() -> None:
    # with all diagonals one way: 1 + 2 cs + 4 c² s² of the angle rolled at, from 0.75 to 3; no garment's net is such
    for turn in (0.0, 0.3, np.pi / 4.0, -0.26, -np.pi / 4.0):
        cs = np.sin(turn) * np.cos(turn)
        assert rolled("right-angled", turn) == pytest.approx(1.0 + 2.0 * cs + 4.0 * cs**2, abs=0.03)


# --- 2. hanging: a strip held at both ends


def hanging_sag(mesh: str, edge: float, half_span: float, half_length: float, way: str = "along") -> float:
    stuff = Stuff(bend_along=rigid(MASS, 2.0), bend_across=rigid(MASS, 2.0))
    points, tri = MESHES[mesh](3.0 * edge, 2.0 * half_length, edge)
    net = net_of(laid(points, way), tri, stuff)
    on = (points[:, 1] - half_length) / half_length
    deep = np.sqrt(half_length**2 - half_span**2)
    x = np.column_stack((on * half_span, -deep * (1.0 - np.abs(on)), points[:, 0]))
    state = hung(net, x, pinned=np.abs(on) > 1.0 - 1e-9, touching=False)
    assert come_to_rest(state, 2e-4, 8000) < 8000
    return float(-state.x[:, 1].min())


@pytest.mark.parametrize("mesh", list(MESHES))
@pytest.mark.parametrize(("half_span", "half_length", "sag"), [(120.0, 150.0, 79.6), (100.0, 140.0, 87.6)])
def test_a_strip_held_at_both_ends_hangs_as_a_catenary(
    mesh: str, half_span: float, half_length: float, sag: float
) -> None:
    exact = catenary_sag(half_span, half_length)
    assert exact == pytest.approx(sag, abs=0.06)  # T102, in tenths of a mm
    for edge in (20.0, 12.0, 7.0):
        # 1 %, not the 5 % of a coarse eye: every mesh comes within 0.6 %
        assert hanging_sag(mesh, edge, half_span, half_length) == pytest.approx(exact, rel=0.01)
    assert hanging_sag(mesh, 12.0, half_span, half_length, "across") == pytest.approx(exact, rel=0.01)


# --- 3. stretching


def stretched(mesh: str, way: str, stuff: Stuff, tension: float) -> tuple[float, float]:
    """The lengthening of a strip of 200 mm under its own weight and `tension` N/m on its lower edge: found, exact."""
    high = 200.0
    points, tri = MESHES[mesh](40.0, high, 10.0)
    net = net_of(laid(points, way), tri, stuff)
    low = np.flatnonzero(points[:, 1] > high - 1e-6)
    low = low[np.argsort(points[low, 0])]
    load = np.zeros((net.count, 3))
    load[low[:-1], 1] -= 0.5 * tension * np.diff(points[low, 0])
    load[low[1:], 1] -= 0.5 * tension * np.diff(points[low, 0])
    x = np.column_stack((points[:, 0], -points[:, 1], 0.0 * points[:, 0]))
    state = hung(net, x, pinned=points[:, 1] < 1e-6, load=load, touching=False)
    assert come_to_rest(state, 1e-5, 8000) < 8000
    s = np.linspace(0.0, high, 401)
    stiff, beta = (stuff.along, stuff.stiffening[1]) if way == "along" else (stuff.across, stuff.stiffening[0])
    e = strain_under(tension + stuff.mass * 9.80665 * (high - s) / 1000.0, stiff, beta)
    return float(-state.x[low, 1].mean() - high), float(np.trapezoid(e, s))


@pytest.mark.parametrize("mesh", list(MESHES))
@pytest.mark.parametrize("way", ["along", "across"])
@pytest.mark.parametrize(
    ("stuff", "tension"),
    [
        (Stuff(along=40.0, across=60.0, shear=20.0), 2.0),
        (Stuff(along=40.0, across=60.0, shear=20.0, stiffening=(8.0, 5.0)), 12.0),
        (Stuff(along=100.0, across=80.0, shear=10.0, mass=3.0), 0.0),
    ],
    ids=["little", "stiffening", "own weight"],
)
def test_a_strip_lengthens_by_its_load_and_weight(mesh: str, way: str, stuff: Stuff, tension: float) -> None:
    found, exact = stretched(mesh, way, stuff, tension)
    assert found == pytest.approx(exact, rel=2e-3)


@pytest.mark.parametrize("shear", [5.0, 20.0])
def test_a_strip_on_the_bias_lengthens_and_narrows_by_its_shear(shear: float) -> None:
    # an even pull: both threads alike, |x_u|² = (a² + b²) / 2 and x_u · x_v = (b² − a²) / 2 with a, b the strip's own
    # stretch across and along; ∂W/∂a = 0 and ∂W/∂b = the tension
    stiff, tension = 60.0, 3.0

    def slopes(ab: Floats) -> list[float]:
        a, b = ab
        size, dot = np.sqrt((a * a + b * b) / 2.0), (b * b - a * a) / 2.0
        both = stiff * (size - 1.0) / size
        return [both * a - shear * dot * a, both * b + shear * dot * b - tension]

    a, b = fsolve(slopes, (0.97, 1.1), xtol=1e-12)
    points, tri = MESHES["uneven"](60.0, 120.0, 15.0)
    half = np.sqrt(0.5)
    flat = points @ np.array([[half, half], [-half, half]])
    net = net_of(flat, tri, Stuff(across=stiff, along=stiff, shear=shear))
    low = np.flatnonzero(points[:, 1] > 120.0 - 1e-6)
    low = low[np.argsort(points[low, 0])]
    load = np.zeros((net.count, 3))
    load[low[:-1], 1] -= 0.5 * tension * np.diff(points[low, 0])
    load[low[1:], 1] -= 0.5 * tension * np.diff(points[low, 0])
    top = points[:, 1] < 1e-6
    x = np.column_stack((np.where(top, a, 1.0) * points[:, 0], -points[:, 1], 0.0 * points[:, 0]))
    x[~top, 0] += 0.5 * (a - 1.0) * 60.0
    state = hung(net, x, pinned=top, load=load, gravity=0.0, touching=False)
    assert come_to_rest(state, 1e-6, 8000) < 8000
    assert a < 1.0 < b
    assert np.abs(state.x[:, 0] - a * points[:, 0]).max() < 0.01
    assert np.abs(state.x[:, 1] + b * points[:, 1]).max() < 0.01


# --- 4. a square by two corners


def by_two_corners(mesh: str, edge: float, span: float) -> tuple[float, float]:
    """How far the middle of a 300 mm square's upper edge sags, and how far down its lowest point lies, mm."""
    side = 300.0
    points, tri = MESHES[mesh](side, side, edge)
    # a bending length of 30 mm: a limper cloth rests in several ways, so that two nets need not choose the same
    bend = rigid(MASS, 30.0)
    net = net_of(points, tri, Stuff(across=300.0, along=300.0, shear=30.0, bend_across=bend, bend_along=bend))
    on = 2.0 * points[:, 0] / side - 1.0
    bow = 0.5 * np.sqrt(side**2 - span**2) * (1.0 - on**2)
    held = (points[:, 1] < 1e-6) & (np.abs(on) > 1.0 - 1e-9)
    state = hung(net, np.column_stack((0.5 * on * span, -points[:, 1], bow)), pinned=held, touching=False)
    assert come_to_rest(state, 1e-3, 6000) < 6000
    middle = int(np.argmin(np.hypot(on, points[:, 1])))
    return float(-state.x[middle, 1]), float(-state.x[:, 1].min())


@pytest.mark.parametrize("mesh", ["staggered", "right-angled"])
@pytest.mark.parametrize("span", [250.0, 200.0])
def test_a_square_by_two_corners_hangs_alike_in_a_coarse_net_and_a_fine_one(mesh: str, span: float) -> None:
    coarse, fine = by_two_corners(mesh, 25.0, span), by_two_corners(mesh, 12.5, span)
    assert coarse == pytest.approx(fine, rel=0.05)
