"""Nets of plain shapes in meshes of every kind, the exact shapes they must take, and their energy written out anew.

Lengths mm, stiffness N/m, rigidity N·m, mass kg/m², forces mN, energies µJ, as in `onfold.hang`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_bvp
from scipy.optimize import brentq
from scipy.spatial import Delaunay

from onfold.hang.kernel import SLACK
from onfold.hang.net import Net, Woven, hinges_of, woven
from onfold.hang.settle import GRAVITY, SHELL, Ground, Hanging, step

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

G = GRAVITY / 1000.0  # m/s2


@dataclass(frozen=True)
class Stuff:
    """A cloth: kg/m², N/m, N·m."""

    mass: float = 0.15
    across: float = 400.0
    along: float = 400.0
    shear: float = 40.0
    bend_across: float = 1e-6
    bend_along: float = 1e-6
    stiffening: tuple[float, float] = (0.0, 0.0)


def rigid(stuff_mass: float, length: float) -> float:
    """B = w c³ of a cloth whose bending length is `length` mm (T163)."""
    return stuff_mass * G * (length / 1000.0) ** 3


# --- meshes: points (n, 2) and triangles (m, 3) of a rectangle, first coordinate 0..wide, second 0..high


def right_angled(wide: float, high: float, edge: float) -> tuple[Floats, Ints]:
    """Squares halved, all diagonals one way."""
    nx, ny = max(1, round(wide / edge)), max(1, round(high / edge))
    x, y = np.meshgrid(np.linspace(0.0, wide, nx + 1), np.linspace(0.0, high, ny + 1))
    tri = []
    for j in range(ny):
        for i in range(nx):
            a = j * (nx + 1) + i
            b, c, d = a + 1, a + nx + 1, a + nx + 2
            tri += [(a, b, d), (a, d, c)]
    return np.column_stack((x.ravel(), y.ravel())), np.array(tri, dtype=np.int64)


def staggered(wide: float, high: float, edge: float, phase: int = 0) -> tuple[Floats, Ints]:
    """Rows of points from side to side, every other row shifted by half an edge; ends and sides straight."""
    ny = max(1, round(high / (edge * np.sqrt(0.75))))
    nx = max(1, round(wide / edge))
    rows, tri, at = [], [], 0
    for j in range(ny + 1):
        even = (j + phase) % 2 == 0
        inside = np.arange(nx + 1) / nx if even else np.concatenate(([0.0], (np.arange(nx) + 0.5) / nx, [1.0]))
        rows.append(np.column_stack((inside * wide, np.full(len(inside), j * high / ny))))
        if j:
            lower, upper = (rows[-2], rows[-1])
            tri += _band(lower[:, 0], upper[:, 0], at - len(lower), at)
        at += len(inside)
    return np.concatenate(rows), np.array(tri, dtype=np.int64)


def _band(lower: Floats, upper: Floats, first: int, second: int) -> list[tuple[int, int, int]]:
    i, j, out = 0, 0, []
    while i < len(lower) - 1 or j < len(upper) - 1:
        below = lower[i + 1] if i < len(lower) - 1 else np.inf
        above = upper[j + 1] if j < len(upper) - 1 else np.inf
        if below < above or (below == above and len(lower) > len(upper)):
            out.append((first + i, first + i + 1, second + j))
            i += 1
        else:
            out.append((first + i, second + j + 1, second + j))
            j += 1
    return out


def staggered_endwise(wide: float, high: float, edge: float, phase: int = 0) -> tuple[Floats, Ints]:
    """The staggered rows running the other way."""
    points, tri = staggered(high, wide, edge, phase)
    return points[:, ::-1].copy(), tri[:, ::-1].copy()


def uneven(wide: float, high: float, edge: float, phase: int = 0) -> tuple[Floats, Ints]:
    """A staggered net whose inner points are pushed about by up to a fifth of an edge, in Delaunay's triangles."""
    points, _ = staggered(wide, high, edge, phase)
    inner = (points[:, 0] > 1e-6) & (points[:, 0] < wide - 1e-6) & (points[:, 1] > 1e-6) & (points[:, 1] < high - 1e-6)
    push = np.random.default_rng(7 + phase).uniform(-0.2, 0.2, points.shape) * edge
    points = points + push * inner[:, None]
    return points, _delaunay(points)


def disc(radius: float, edge: float, turn: float = 0.1) -> tuple[Floats, Ints]:
    """A disc about (0, 0): staggered points within, evenly spaced ones around."""
    count = round(2.0 * np.pi * radius / edge)
    a = 2.0 * np.pi * np.arange(count) / count
    rim = radius * np.column_stack((np.cos(a), np.sin(a)))
    side = 2.0 * radius + 4.0 * edge
    inside, _ = staggered(side, side, edge)
    inside = inside - side / 2.0
    c, s = np.cos(turn), np.sin(turn)
    inside = inside @ np.array([[c, s], [-s, c]])
    inside = inside[np.hypot(inside[:, 0], inside[:, 1]) < radius - 0.6 * edge]
    points = np.concatenate((rim, inside))
    return points, _delaunay(points)


def _delaunay(points: Floats) -> Ints:
    tri = Delaunay(points).simplices.astype(np.int64)
    a, b = points[tri[:, 1]] - points[tri[:, 0]], points[tri[:, 2]] - points[tri[:, 0]]
    double = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    longest = np.maximum(np.hypot(*a.T), np.hypot(*b.T))
    tri, double = tri[np.abs(double) > 1e-3 * longest**2], double[np.abs(double) > 1e-3 * longest**2]
    tri[double < 0.0] = tri[double < 0.0][:, ::-1]
    return tri


MESHES: dict[str, Callable[[float, float, float], tuple[Floats, Ints]]] = {
    "right-angled": right_angled,
    "staggered": staggered,
    "endwise": staggered_endwise,
    "uneven": uneven,
}


def net_of(points: Floats, tri: Ints, stuff: Stuff, flat: Floats | None = None, sheet: Ints | None = None) -> Net:
    """The net of points (n, 2): first across the cloth, second along it, or with `flat` (m, 3, 2) given."""
    flat = points[tri] if flat is None else flat
    m, n = len(tri), int(tri.max()) + 1
    a, b = flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]
    area = 0.5 * np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
    mass = np.bincount(tri.ravel(), np.repeat(area, 3), n) / 3.0 * stuff.mass * 1e-6
    return Net(
        count=n, tri=tri, flat=flat, mass=mass, sheet=np.zeros(m, dtype=np.int64) if sheet is None else sheet,
        across=np.full(m, stuff.across), along=np.full(m, stuff.along), shear=np.full(m, stuff.shear),
        bend_across=np.full(m, stuff.bend_across), bend_along=np.full(m, stuff.bend_along),
        weight=np.full(m, stuff.mass * 1e-6), stiffening=stuff.stiffening,
    )  # fmt: skip


def tube(girth: float, high: float, edge: float, radius: float, stuff: Stuff) -> tuple[Net, Floats]:
    """A tube of cloth, across around it, standing about the y axis at `radius`: the net and its points (n, 3)."""
    points, tri = staggered(girth, high, edge)
    turn = 2.0 * np.pi * points[:, 0] / girth
    x = np.column_stack((radius * np.sin(turn), points[:, 1] - high / 2.0, radius * np.cos(turn)))
    right = points[:, 0] > girth - 1e-9
    same = np.arange(len(points))
    left = {round(y, 6): k for k, (side, y) in enumerate(points) if side < 1e-9}
    same[right] = [left[round(y, 6)] for y in points[right, 1]]
    kept, number = np.unique(same, return_inverse=True)
    return net_of(points, number[tri].astype(np.int64), stuff, flat=points[tri]), x[kept]


# --- coming to rest


def come_to_rest(state: Hanging, quiet: float, most: int, row: int = 20) -> int:
    """Step until no point has moved `quiet` mm in `row` steps together; return the steps taken, or `most`."""
    still = 0
    for k in range(most):
        still = still + 1 if step(state) < quiet else 0
        if still == row:
            return k + 1
    return most


# --- shapes known exactly


def elastica(length: float, bending_length: float) -> Floats:
    """[A] The tip (2,) mm, out and down, of a heavy strip held level: B θ'' = −w (L − s) cos θ, θ(0) = 0, θ'(L) = 0."""
    k = (length / bending_length) ** 3

    def slope(s: Floats, y: Floats) -> Floats:
        return np.stack((y[1], -k * (1.0 - s) * np.cos(y[0]), np.cos(y[0]), np.sin(y[0])))

    def ends(a: Floats, b: Floats) -> Floats:
        return np.array([a[0], b[1], a[2], a[3]])

    s = np.linspace(0.0, 1.0, 200)
    guess = np.stack((1.2 * (1.0 - np.exp(-4.0 * s)), 4.8 * np.exp(-4.0 * s), s * 0.7, s * 0.6))
    found = solve_bvp(slope, ends, s, guess, tol=1e-8, max_nodes=20000)
    assert found.success
    out: Floats = length * found.y[2:, -1]
    return out


def catenary_sag(half_span: float, half_length: float) -> float:
    """[A] T102: s = c sinh(a / c), sag = c (cosh(a / c) − 1)."""
    a, s = half_span, half_length
    c = brentq(lambda c: c * np.sinh(a / c) - s, 0.05 * a, 50.0 * a)
    return float(c * (np.cosh(a / c) - 1.0))


def strain_under(tension: Floats | float, stiffness: float, stiffening: float) -> Floats:
    """[A] The strain e whose tension E e (1 + β e²) is `tension` N/m, the cubic's only real root for β ≥ 0."""
    out = [
        brentq(lambda e, t=each: stiffness * e * (1.0 + stiffening * e * e) - t, -1.0, 1.0 + each / stiffness)
        for each in np.atleast_1d(tension)
    ]
    return np.array(out)


# --- the energy, written anew


@dataclass
class Energy:
    """The potential energy of a net, from the published forms and nothing of the kernel's.

    Threads: area E (e²/2 + β e⁴/4), e = |x_u| − 1, and `SLACK` E where e < 0; shear: area G (x_u · x_v)² / 2; bends:
    B |K x|² / (2 (A0 + A1)) at each inner edge, |K x| = edge times the jump of slope across it.
    """

    net: Net
    load: Floats
    _hinge: Ints = field(init=False)
    _k: Floats = field(init=False)
    _rigid: Floats = field(init=False)
    _inverse: Floats = field(init=False)
    _area: Floats = field(init=False)

    def __post_init__(self) -> None:
        net = self.net
        two = np.stack((net.flat[:, 1] - net.flat[:, 0], net.flat[:, 2] - net.flat[:, 0]), axis=2)
        self._inverse = np.linalg.inv(two)
        self._area = 0.5 * np.abs(np.linalg.det(two))
        self._hinge = hinges_of(net)
        self._k, self._rigid = self._flat_hinges()

    def _flat_hinges(self) -> tuple[Floats, Floats]:
        """Each hinge laid flat, edge on the first axis: its second difference straight across the edge, times the edge.

        A function linear on either side has slopes g0, g1 across the edge; K x = edge (g0 + g1), both outward.
        """
        net, rows, rigid = self.net, [], []
        for p, q, r0, r1, t0, t1 in self._hinge:
            k, ways = np.zeros(4), []
            for t, apex, place in ((t0, r0, 2), (t1, r1, 3)):
                corner = {int(v): net.flat[t, c] for c, v in enumerate(net.tri[t])}
                e = corner[int(q)] - corner[int(p)]
                size = float(np.hypot(*e))
                along = float((corner[int(apex)] - corner[int(p)]) @ e) / size**2
                high = 2.0 * float(self._area[t]) / size
                # the height of the function at the apex, over the edge's line below it, by how far it lies
                k[place] += size / high
                k[0] -= size / high * (1.0 - along)
                k[1] -= size / high * along
                ways.append(np.arctan2(e[0], -e[1]))
            b = 0.5 * (net.bend_across[t0] + net.bend_across[t1]), 0.5 * (net.bend_along[t0] + net.bend_along[t1])
            f = ways[0]
            share = np.cos(f) ** 2 + np.cos(2 * f) * np.sin(2 * f) ** 2
            rows.append(k)
            rigid.append(max(share * b[0] + (1.0 - share) * b[1], 0.1 * min(b)) * 1e6)
        return np.array(rows).reshape(-1, 4), np.array(rigid)

    def __call__(self, x: Floats) -> tuple[float, Floats]:
        """Energy µJ and its gradient (n, 3) mN."""
        net = self.net
        corners = x[net.tri]
        two = np.stack((corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=2) @ self._inverse
        u, v = two[:, :, 0], two[:, :, 1]
        total, pull = 0.0, []
        for way, stiff, more in ((u, net.across, net.stiffening[0]), (v, net.along, net.stiffening[1])):
            size = np.linalg.norm(way, axis=1)
            e = size - 1.0
            k = np.where(e > 0.0, stiff, SLACK * stiff)
            beta = np.where(e > 0.0, more, 0.0)
            total += float((self._area * k * (e**2 / 2.0 + beta * e**4 / 4.0)).sum())
            pull.append((self._area * k * e * (1.0 + beta * e * e) / size)[:, None] * way)
        dot = (u * v).sum(axis=1)
        total += float((self._area * net.shear * dot**2 / 2.0).sum())
        f = (self._area * net.shear * dot)[:, None]
        both = np.stack((pull[0] + f * v, pull[1] + f * u), axis=2) @ self._inverse.transpose(0, 2, 1)
        gradient = np.zeros_like(x)
        np.add.at(gradient, net.tri[:, 1], both[:, :, 0])
        np.add.at(gradient, net.tri[:, 2], both[:, :, 1])
        np.add.at(gradient, net.tri[:, 0], -both.sum(axis=2))
        if len(self._hinge):
            four, t = self._hinge[:, :4], self._hinge[:, 4:]
            factor = self._rigid / (self._area[t[:, 0]] + self._area[t[:, 1]])
            kx = (self._k[:, :, None] * x[four]).sum(axis=1)
            total += float((factor * (kx**2).sum(axis=1) / 2.0).sum())
            np.add.at(gradient, four, factor[:, None, None] * self._k[:, :, None] * kx[:, None, :])
        total -= float((self.load * x).sum())
        return total, gradient - self.load


def gravity_on(net: Net) -> Floats:
    out = np.zeros((net.count, 3))
    out[:, 1] = -net.mass * GRAVITY
    return out


def pressed(ground: Ground, x: Floats, stiffness: float) -> tuple[float, Floats]:
    """Energy µJ of the form's push, and the push (n,) mN at each point: read off the grid anew."""
    at = (x - ground.origin) / ground.spacing
    low = np.clip(np.floor(at).astype(int), 0, np.array(ground.values.shape) - 2)
    t = at - low
    d = np.zeros(len(x))
    for c in np.ndindex(2, 2, 2):
        w = np.prod(np.where(np.array(c) == 1, t, 1.0 - t), axis=1)
        i = low + np.array(c)
        d += w * ground.values[i[:, 0], i[:, 1], i[:, 2]]
    lack = np.maximum(0.0, SHELL - d)
    return float((stiffness * lack**2 / 2.0).sum()), stiffness * lack


# --- grids of distances to plain bodies


def ground_of(
    distance: Callable[[Floats], Floats], low: Floats, high: Floats, spacing: float, friction: float
) -> Ground:
    """The grid of a body whose distance at points (n, 3) is known."""
    axes = [np.arange(a, b + spacing, spacing) for a, b in zip(low, high, strict=True)]
    points = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1)
    values = distance(points.reshape(-1, 3)).reshape(points.shape[:3]).astype(np.float32)
    return Ground(np.array([each[0] for each in axes]), spacing, np.ascontiguousarray(values), friction)


def cylinder_distance(radius: float, top: float, bottom: float) -> Callable[[Floats], Floats]:
    """[A] Distance to an upright cylinder about the y axis."""

    def distance(p: Floats) -> Floats:
        out = np.hypot(p[:, 0], p[:, 2]) - radius
        up = np.maximum(p[:, 1] - top, bottom - p[:, 1])
        return np.minimum(np.maximum(out, up), 0.0) + np.hypot(np.maximum(out, 0.0), np.maximum(up, 0.0))

    return distance


def hung(net: Net, x: Floats, **more: object) -> Hanging:
    made: Woven = woven(net)
    return Hanging(made, x.copy(), **more)  # type: ignore[arg-type]
