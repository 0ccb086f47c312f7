"""Where the sewn cloth stands before it is let go: round the form, a little off it, a cowl already fallen.

The start decides which of several folds the cloth settles in, so it is made with care: every point has a height, from
the levels of the pattern, and a way round, from the front's middle (0) to the back's (1), even in between. What lies
above the underarm hangs in rows from the armhole; a facing lies inside what it faces; a strap takes the shortest way.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np

from onfold.body.form import Form
from onfold.geometry.fault import Fault
from onfold.geometry.solve import balanced, ways
from onfold.hang.distance import Distance, off_skin
from onfold.hang.levels import put_on
from onfold.hang.net import Floats, Ints, areas, doubled, edges_of, edges_on_flat, rim_of, together
from onfold.hang.rings import Rings, on_ring, over_body, rings_of
from onfold.hang.rows import hang_rows
from onfold.hang.sewn_net import Sewn
from onfold.hang.strap_way import hang_straps
from onfold.pattern import Pattern

LEAST_OFF = 6.0
"""mm from the form, that no point starts nearer than."""
BEYOND = 1.1
"""A cowl starts so many times its expected fall down, so that it settles from beyond it."""
CONE_STEP, STEEPEST = 5.0, 0.9
"""mm of cloth from one ring of a cone to the next, and the share of it that may go outward."""


@dataclass(frozen=True, eq=False)
class Start:
    """`x` (n, 3) mm where the points stand; `way` (n,) round, 0 at the front's middle, 1 at the back's.

    `spread`: it starts as a cone, and has far to fall. `led` (n, 3) mm is where a cowl's neck edge is to be led first,
    NaN for all else.
    """

    x: Floats
    way: Floats
    spread: bool = False
    led: Floats | None = None


def start_on(sewn: Sewn, pattern: Pattern, form: Form, distance: Distance, fall: float = BEYOND) -> Start | Fault:
    """Return where the garment starts on the form, a cowl at `fall` times its expected fall; or why it cannot hang."""
    if sewn.mirror is None:
        return Fault("it is not alike on both sides")
    sides = _sides(sewn)
    ends = _middles(sewn, pattern)
    if isinstance(ends, Fault):
        return ends
    way = _way_round(sewn, *ends)
    rings = rings_of(form, form.levels["shoulder"] + 30.0)
    height = _heights(sewn, pattern, form, rings, way)
    spread = height is None
    if height is None:
        height, wider = _cone(sewn, form, rings)
    else:
        wider = _wider(sewn, rings, height)
    x = on_ring(rings, height, way, wider)
    led = hang_rows(sewn, pattern, form, rings, way, height, x, fall)
    led[:, 0] = np.abs(led[:, 0]) * np.where(sides == 0, 0, sides)
    x[:, 0] = np.abs(x[:, 0]) * np.where(sides == 0, 0, sides)
    gap, normal = off_skin(distance, x)
    x += np.maximum(0.0, LEAST_OFF - gap)[:, None] * normal
    x = 0.5 * (x + x[sewn.mirror] * (-1.0, 1.0, 1.0))
    hang_straps(sewn, form, distance, x)
    return Start(x, way, spread, led)


def _sides(sewn: Sewn) -> Ints:
    """Tell of every point on which side it hangs: what a piece in one goes to follows from what it is sewn to."""
    assert sewn.mirror is not None
    side = np.where(sewn.mirror == np.arange(sewn.net.count), 0, sewn.side)
    unknown = (side == 0) & (sewn.mirror != np.arange(sewn.net.count))
    edges = edges_of(sewn.net.tri)
    while unknown.any():
        known = side.copy()
        for a, b in ((0, 1), (1, 0)):
            give = unknown[edges[:, a]] & (side[edges[:, b]] != 0)
            known[edges[give, a]] = side[edges[give, b]]
        if (known == side).all():
            first = int(np.flatnonzero(unknown)[0])
            known[first], known[sewn.mirror[first]] = 1, -1
        side = known
        unknown = (side == 0) & (sewn.mirror != np.arange(sewn.net.count))
    return side


def _middles(sewn: Sewn, pattern: Pattern) -> tuple[Ints, Ints] | Fault:
    """Return the points on the middle of the front and of the back."""
    assert sewn.mirror is not None
    plane = sewn.mirror == np.arange(sewn.net.count)
    edges = edges_of(sewn.net.tri)
    edges = edges[plane[edges].all(axis=1)]
    group = together(sewn.net.count, edges)
    piece, _ = sewn.spots
    runs = []
    for root in np.unique(group[plane]):
        points = np.flatnonzero(plane & (group == root))
        if len(points) > 1:
            runs.append((points, {sewn.pieces[k] for k in piece[points]}))
    if len(runs) < 2:
        return Fault("it does not close round the body")
    back = [k for k, (_, names) in enumerate(runs) if any("back" in name for name in names)]
    front = [k for k, (_, names) in enumerate(runs) if k not in back and any("front" in name for name in names)]
    front = front or [k for k in range(len(runs)) if k not in back][:1]
    back = back or [k for k in range(len(runs)) if k not in front]
    if not front or not back:
        return Fault("its front cannot be told from its back: call one piece 'front' or 'back'")
    ahead, behind = (np.concatenate([runs[k][0] for k in which]) for which in (front, back))
    hangs_on = together(sewn.net.count, edges_of(sewn.net.tri))
    if not set(hangs_on[ahead].tolist()) & set(hangs_on[behind].tolist()):
        return Fault("its front and its back are sewn together nowhere")
    return ahead, behind


def _gradients(sewn: Sewn) -> tuple[Floats, Floats]:
    """Return the gradients (m, 3, 2) of the corners' shape functions on the flat, and the areas (m,)."""
    f = sewn.net.flat
    area = areas(f)
    edge = np.stack([f[:, 2] - f[:, 1], f[:, 0] - f[:, 2], f[:, 1] - f[:, 0]], axis=1)
    turn = np.stack([-edge[:, :, 1], edge[:, :, 0]], axis=2)
    return turn / doubled(f)[:, None, None], area


def _way_round(sewn: Sewn, front: Ints, back: Ints) -> Floats:
    gradient, area = _gradients(sewn)
    garment = sewn.layer < 2
    weights = np.einsum("mik,mjk,m->mij", gradient, gradient, area)[garment]
    tri = sewn.net.tri[garment]
    row = np.repeat(tri, 3, axis=1).reshape(-1)
    column = np.tile(tri, (1, 3)).reshape(-1)
    fixed = np.concatenate([front, back])
    values = np.concatenate([np.zeros(len(front)), np.ones(len(back))])
    return balanced(sewn.net.count, (row, column, weights.reshape(-1)), fixed, values[:, None])[:, 0]


def _heights(sewn: Sewn, pattern: Pattern, form: Form, rings: Rings, way: Floats) -> Floats | None:
    """Return the height of every point above the floor, by the pattern's levels; None where it has none.

    One level of each piece lies where it lies on the body; from there cloth goes as far as it reaches over the body, so
    that it starts neither stretched over a bust or a hip nor pushed together below it.
    """
    found = {k: put_on(pattern.piece(name), form) for k, name in enumerate(sewn.pieces)}
    known = {k: at for k, at in found.items() if at is not None}
    if not known:
        return None
    height = np.full(sewn.net.count, np.nan)
    tri, of = sewn.net.tri, sewn.of_piece
    for k, (high, at) in known.items():
        corners, y = tri[of == k].reshape(-1), sewn.corner[of == k].reshape(-1, 2)[:, 1]
        points, first = np.unique(corners, return_index=True)
        fresh = np.isnan(height[points])
        points, first = points[fresh], first[fresh]
        height[points] = over_body(rings, high, y[first] - at, way[points])
    for k in range(len(sewn.pieces)):
        if k not in known:
            corners, y = tri[of == k].reshape(-1), sewn.corner[of == k].reshape(-1, 2)[:, 1]
            met = ~np.isnan(height[corners])
            up = float((height[corners[met]] - y[met]).mean()) if met.any() else form.levels["waist"]
            height[corners[~met]] = y[~met] + up
    return np.asarray(np.nan_to_num(height, nan=form.levels["waist"]))


def _wider(sewn: Sewn, rings: Rings, height: Floats) -> Floats:
    """How much farther out than the rings cloth must stand that is wider than they are, mm, by height."""
    half = _half_girths(sewn, height, rings.heights)
    out = np.maximum(0.0, half - rings.half) / np.pi
    return np.interp(height, rings.heights, out)


def _half_girths(sewn: Sewn, height: Floats, at: Floats) -> Floats:
    """Return how long the cloth's own line is round half of the garment at each height, laid flat, mm."""
    mine = sewn.layer == 0
    h, flat = height[sewn.net.tri][mine], sewn.net.flat[mine]
    out = np.zeros(len(at))
    for k, y in enumerate(at):
        above = h > y
        which = np.flatnonzero(above.any(axis=1) & ~above.all(axis=1))
        lone = np.where(above[which].sum(axis=1) == 1, above[which].argmax(axis=1), (~above[which]).argmax(axis=1))
        rows = np.arange(len(which))
        ends = []
        for step in (1, 2):
            other = (lone + step) % 3
            a, b = h[which, lone], h[which, other]
            share = ((y - a) / np.where(b == a, 1.0, b - a))[:, None]
            ends.append(flat[which][rows, lone] * (1.0 - share) + flat[which][rows, other] * share)
        out[k] = 0.5 * np.hypot(*(ends[0] - ends[1]).T).sum() if len(which) else 0.0
    return out


def _cone(sewn: Sewn, form: Form, rings: Rings) -> tuple[Floats, Floats]:
    """Heights and widths of a garment without levels: it hangs from its upper edge, at the waist, and spreads."""
    far = ways(sewn.net.count, edges_on_flat(sewn.net), _top(sewn))
    reach = np.arange(0.0, float(far.max()) + 2.0 * CONE_STEP, CONE_STEP)
    half = _half_girths(sewn, far, reach)
    y, out, ys, wider = form.levels["waist"], 0.0, [], []
    for k in range(len(reach)):
        if k:
            ring = float(np.interp(y, rings.heights, rings.half))
            wanted = max(0.0, half[k] - ring) / np.pi if half[k] > 0.0 else out
            grown = min(max(wanted - out, -STEEPEST * CONE_STEP), STEEPEST * CONE_STEP)
            out, y = out + grown, y - sqrt(CONE_STEP**2 - grown**2)
        ys.append(y)
        wider.append(out)
    return np.interp(far, reach, ys), np.interp(far, reach, wider)


def _top(sewn: Sewn) -> Ints:
    """Return the points of the shortest of the garment's round edges: it hangs from that."""
    rim = rim_of(sewn.net.tri[sewn.layer == 0])
    group = together(sewn.net.count, rim)[rim[:, 0]]
    long = {(a, b): size for (a, b), size in zip(*(each.tolist() for each in edges_on_flat(sewn.net)), strict=True)}
    round_ = np.bincount(group, [long[a, b] for a, b in rim.tolist()], sewn.net.count)
    shortest = min(np.unique(group).tolist(), key=lambda root: float(round_[root]))
    return np.unique(rim[group == shortest])
