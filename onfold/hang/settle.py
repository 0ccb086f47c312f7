"""Letting the cloth settle: step after step of sweeps, with contacts, friction and rest found anew at each.

`Hanging` is the state; `step` takes it one sixtieth of a second on. Deterministic: the same state gives the same bytes,
with any number of threads.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from onfold.hang import kernel
from onfold.hang.kernel import keep_within, probe
from onfold.hang.mechanics import CLOTH_FRICTION, FRICTION
from onfold.hang.net import Bools, Floats, Ints, Woven, edges_on_flat
from onfold.hang.touching import contacts, sorted_by_point

sweep: Any = kernel.sweep
STEP = 1.0 / 60.0
SWEEPS = 6
PRESS_EVERY = 3
"""Sweeps between two looks at where the form is."""
GRAVITY = 9806.65
"""mm/s² (standard gravity, CGPM 1901)."""
SHELL = 1.5
"""mm the middle of the cloth keeps from the form."""
LOOK_EVERY = 2
"""Steps between two looks for cloth near cloth."""
WITHIN = 5.0
"""mm within which cloth near cloth is watched."""
SHARE_OF_GAP = 0.4
"""Of the gap to other cloth a point may go between two looks: two that meet straight on cannot pass."""
MOST_NEAR = 4
"""Triangles that one point is kept from, at the most."""
CELL = 24.0
"""mm of the cells in which cloth near cloth is looked for."""
KEEPS = 0.95
"""Share of its speed that cloth keeps from step to step. Stopped at every peak of its energy of motion instead, what
swings slowly, a loose top or a flute of a skirt, is stopped again and again by what trembles."""
LEAD = 1.5
"""mm that a led point goes in a step."""
BESIDE, BESIDE_APART = 0.7, 0.3
"""Of the shortest edge at a point: how near neighbours are watched, and kept apart at the most. Flat, they lie 0.7 or
0.87 of it apart."""
LEAST_PUSH = 60.0
"""N/m with which the form and other cloth push back, at the least."""
FREE = 2.0
"""mm a point near nothing may go in a step: less than half of `WITHIN`, so that no two can meet unseen."""


@dataclass(frozen=True, eq=False)
class Ground:
    """What the cloth lies on: distances (nx, ny, nz) mm on a grid, negative inside; friction of cloth on it."""

    origin: Floats
    spacing: float
    values: NDArray[np.float32]
    friction: float = FRICTION


@dataclass(frozen=True, eq=False)
class Ties:
    """Points tacked to spots of the net: row k ties `point[k, 0]` to a spot of the triangle `point[k, 1:]` (k, 4).

    `weight` (k, 4) is 1 and the spot's weights, negative. `stiff` (k,) N/m. The point is held `inside` mm off the
    spot, against the triangle's normal times `outward` (k,).
    """

    point: Ints
    weight: Floats
    stiff: Floats
    outward: Floats
    inside: float = 0.0

    def offset(self, x: Floats) -> Floats:
        """Return where the points stand from their spots (k, 3), by the way the triangles face now."""
        a, b, c = (x[self.point[:, k]] for k in (1, 2, 3))
        normal = np.cross(b - a, c - a)
        normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-12)[:, None]
        return np.asarray(-self.inside * self.outward[:, None] * normal)


@dataclass(eq=False)
class Hanging:
    """A cloth on its way to rest. `x`, `speed` (n, 3) mm, mm/s; `pinned` points do not move.

    `load` (n, 3) mN besides gravity. `stretched` (m, 2, 2), where given, is the stretch at the start, blended away by
    `rest_share`; `bend_scale` multiplies the bends. Cloth near cloth is watched `within` mm and kept `apart` mm, that
    of `active` points only; a point near nothing may go `free` mm between two looks, less than half of `within`, any
    other a share of its gap, or `least_reach` mm; and none more than its share of a gap towards what is near. `grip`
    (n,) is the points' friction on the form, where it is not the ground's; `slippery` points know none. `led` (n, 3) mm
    are places that points are led to and held at, NaN for those that hang. A point keeps the share `keeps` of its speed
    from step to step. With a `mirror` the cloth is kept alike on both sides, but for what hangs `askew`.
    """

    woven: Woven
    x: Floats
    ground: Ground | None = None
    pinned: Bools | None = None
    ties: Ties | None = None
    load: Floats | None = None
    gravity: float = GRAVITY
    touching: bool = True
    active: Bools | None = None
    apart: float = 1.0
    cloth_friction: float = CLOTH_FRICTION
    least_reach: float = 0.3
    within: float = WITHIN
    free: float = FREE
    grip: Floats | None = None
    slippery: Bools | None = None
    bend_scale: float = 1.0
    stretched: Floats | None = None
    rest_share: float = 1.0
    mirror: Ints | None = None
    askew: Bools | None = None
    led: Floats | None = None
    keeps: float = KEEPS
    speed: Floats = field(init=False)
    steps: int = 0
    near: tuple[Floats, tuple[Ints | Floats, ...]] | None = field(default=None, repr=False)
    centre: Floats = field(init=False, repr=False)

    def __post_init__(self) -> None:
        n = self.woven.net.count
        self.x = np.ascontiguousarray(self.x, dtype=np.float64)
        self.speed = np.zeros((n, 3))
        self.pinned = np.zeros(n, dtype=bool) if self.pinned is None else self.pinned
        self.active = np.ones(n, dtype=bool) if self.active is None else self.active
        self.anchor = self.x.copy()
        self.push = np.zeros(n)
        self.normal = np.zeros((n, 3))
        self.room = np.zeros(n)
        self.gap = np.full(n, 1e9)
        self.hold = np.zeros(n)
        self.pressing = np.zeros(n)
        corners, tri = self.woven.corners, self.woven.net.tri
        self.edges, sizes = edges_on_flat(self.woven.net)
        both = np.concatenate([self.edges, self.edges[:, ::-1]])
        order = np.lexsort((both[:, 1], both[:, 0]))
        self.linked = np.ascontiguousarray(both[order, 1])
        self.linked_at = np.searchsorted(both[order, 0], np.arange(n + 1)).astype(np.int64)
        stiffness = np.bincount(
            tri[corners.tri, corners.corner],
            (self.woven.stiff[corners.tri, :2].max(axis=1)) * self.woven.across[corners.tri, corners.corner] ** 2,
            n,
        )
        self.beside = np.full(n, 1e9)
        np.minimum.at(self.beside, self.edges.reshape(-1), np.repeat(BESIDE * sizes, 2))
        self.push_stiffness = max(LEAST_PUSH, float(np.median(stiffness)))


_NONE = np.zeros((0, 4), dtype=np.int64)


def step(state: Hanging, sweeps: int = SWEEPS) -> float:
    """Take the cloth one step on; return the greatest move of any point, mm."""
    woven, x = state.woven, state.x
    n, mass = woven.net.count, woven.net.mass
    assert state.pinned is not None
    began = x.copy()
    inertia = mass / STEP**2
    target = began + STEP * state.speed
    load = np.zeros((n, 3)) if state.load is None else state.load.copy()
    load[:, 1] -= mass * state.gravity
    across, along = _threads(state)
    if state.steps % LOOK_EVERY == 0 or state.near is None:
        state.centre = began.copy()
        state.near = _near(state)
    reach, near = state.near
    tie = _tied(state)
    x += np.clip(STEP * state.speed, -5.0, 5.0)
    x[state.pinned] = began[state.pinned]
    held = state.pinned if state.led is None else state.pinned | _lead(x, began, state.led)
    keep_within(x, state.centre, reach, near[0], near[1], near[2], near[5], near[8])
    for turn in range(sweeps):
        if state.ground is not None and turn % PRESS_EVERY == 0:
            _press(state)
        sweep(
            x, target, inertia, load,
            woven.net.tri, woven.corners.at, woven.corners.tri, woven.corners.corner, across, along, woven.stiff,
            *woven.net.stiffening,
            woven.bends.at, woven.bends.other, woven.bends.value, woven.bends.own, state.bend_scale,
            state.push, state.normal, state.room, state.hold, state.anchor,
            *near, state.cloth_friction, *tie, state.centre, reach, held,
        )  # fmt: skip
    if state.mirror is not None:
        alike = 0.5 * (x + x[state.mirror] * (-1.0, 1.0, 1.0))
        x[:] = alike if state.askew is None else np.where(state.askew[:, None], x, alike)
    if state.ground is not None:
        _slip(state)
    moved = x - began
    state.speed = state.keeps * moved / STEP
    state.steps += 1
    return float(np.sqrt((moved**2).sum(axis=1).max()))


def _lead(x: Floats, began: Floats, led: Floats) -> Bools:
    """Take the points that are led a step nearer to their places; return which they are."""
    off = led - began
    size = np.sqrt((off**2).sum(axis=1))
    which: Bools = ~np.isnan(size)
    x[which] = (began + off * np.minimum(1.0, LEAD / np.maximum(size, 1e-9))[:, None])[which]
    return which


def _threads(state: Hanging) -> tuple[Floats, Floats]:
    """The weights of the threads, from the start's stretch to the cloth as it was cut."""
    woven = state.woven
    if state.stretched is None or state.rest_share >= 1.0:
        return woven.across, woven.along
    t = state.rest_share
    stretch = (1.0 - t) * state.stretched + t * np.eye(2)
    inverse = np.linalg.inv(stretch)
    across = inverse[:, 0, 0, None] * woven.across + inverse[:, 1, 0, None] * woven.along
    along = inverse[:, 0, 1, None] * woven.across + inverse[:, 1, 1, None] * woven.along
    return across, along


def stretch_of(woven: Woven, x: Floats) -> Floats:
    """Return the stretch (m, 2, 2) of each triangle as it stands: symmetric, 1 where the cloth is as cut."""
    corners = x[woven.net.tri]
    u = (woven.across[:, :, None] * corners).sum(axis=1)
    v = (woven.along[:, :, None] * corners).sum(axis=1)
    c = np.empty((len(u), 2, 2))
    c[:, 0, 0], c[:, 1, 1] = (u * u).sum(axis=1), (v * v).sum(axis=1)
    c[:, 0, 1] = c[:, 1, 0] = (u * v).sum(axis=1)
    values, vectors = np.linalg.eigh(c)
    root = np.sqrt(np.maximum(values, 1e-6))
    out: Floats = np.einsum("mik,mk,mjk->mij", vectors, root, vectors)
    return out


def _press(state: Hanging) -> None:
    """Look where the form is, and how hard each point is pressed on it: that bounds its friction."""
    ground = state.ground
    assert ground is not None
    probe(
        state.x, ground.origin, ground.spacing, ground.values, SHELL, state.push_stiffness,
        state.room, state.normal, state.push, state.gap,
    )  # fmt: skip
    lack = np.maximum(0.0, SHELL - state.gap)
    state.pressing = np.where(state.push > 0.0, state.push * lack, 0.0)
    # no more than Coulomb's force at the reach it has now: a full spring would let what slides only creep
    size = np.sqrt((_off(state) ** 2).sum(axis=1))
    state.hold = np.minimum(state.push_stiffness, _most(state) / np.maximum(size, 1e-12))


def _off(state: Hanging) -> Floats:
    """How far each point stands from the anchor of its friction, along the form (n, 3) mm."""
    off: Floats = state.x - state.anchor
    off -= (off * state.normal).sum(axis=1)[:, None] * state.normal
    return off


def _most(state: Hanging) -> Floats:
    """The most that friction can hold at each point (n,), mN: Coulomb's share of what presses."""
    assert state.ground is not None
    most: Floats = (state.ground.friction if state.grip is None else state.grip) * state.pressing
    return most if state.slippery is None else np.where(state.slippery, 0.0, most)


def _slip(state: Hanging) -> None:
    """Let the anchors of friction follow where more would be needed than friction can give."""
    _press(state)
    off = _off(state)
    size = np.sqrt((off**2).sum(axis=1))
    most = _most(state) / state.push_stiffness
    loose = state.pressing <= 0.0
    slid = size > most
    keep = np.where(slid, most / np.maximum(size, 1e-12), 1.0)
    state.anchor = np.where(loose[:, None], state.x, state.x - off * keep[:, None])


def _near(state: Hanging) -> tuple[Floats, tuple[Ints | Floats, ...]]:
    """Look for cloth near cloth; return how far each point may go, and the contacts as the sweeps want them."""
    n = state.woven.net.count
    if not state.touching:
        points, weights, least = _NONE, np.zeros((0, 4)), np.full(n, 1e9)
        gaps, joined = np.zeros(0), np.zeros(0, dtype=bool)
    else:
        points, weights, gaps, joined, least = contacts(
            state.x, state.woven.net.tri, state.edges, state.active, state.linked_at, state.linked,
            state.beside, state.within, CELL, MOST_NEAR,
        )  # fmt: skip
    normal = (weights[:, :, None] * state.x[points]).sum(axis=1)
    normal /= np.maximum(np.sqrt((normal**2).sum(axis=1)), 1e-9)[:, None]
    room = np.where(joined, np.minimum(state.apart, BESIDE_APART / BESIDE * state.beside[points[:, 0]]), state.apart)
    stiff = np.full(len(points), state.push_stiffness)
    at, where = sorted_by_point(points, n)
    near_by = np.maximum(SHARE_OF_GAP * least, state.least_reach)
    assert state.active is not None
    free = np.where(state.active & state.touching, state.free, 1e9)
    reach = np.where(least < state.within, near_by, free)
    allowed = SHARE_OF_GAP * gaps
    return reach, (at, where // 4, weights.reshape(-1)[where], points, weights, normal, room, stiff, allowed)


def _tied(state: Hanging) -> tuple[Ints | Floats, ...]:
    n, ties = state.woven.net.count, state.ties
    if ties is None:
        empty = np.zeros(0)
        return (
            np.zeros(n + 1, dtype=np.int64), np.zeros(0, dtype=np.int64), empty, _NONE, np.zeros((0, 4)),
            np.zeros((0, 3)), empty,
        )  # fmt: skip
    at, where = sorted_by_point(ties.point, n)
    return (at, where // 4, ties.weight.reshape(-1)[where], ties.point, ties.weight, ties.offset(state.x), ties.stiff)


def loads(state: Hanging) -> float:
    """Return the vertical force of all that holds the cloth up, the form's push and its friction, over its weight."""
    if state.ground is None:
        return 0.0
    _press(state)
    held = state.pressing * state.normal[:, 1] - state.hold * _off(state)[:, 1]
    return float(held.sum() / (state.woven.net.mass.sum() * state.gravity))
