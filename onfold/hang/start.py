"""Where the sewn cloth stands before it is let go: round the form, a little off it, a cowl already fallen.

The start decides which of several folds the cloth settles in, so it is made with care: every point has a height, from the
levels of the pattern, and a way round, from the front's middle (0) to the back's (1), that is even in between. What lies
above the underarm hangs in rows from the armhole; a facing lies inside what it faces; a strap takes the shortest way.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from onfold.body.form import Form, section
from onfold.geometry.fault import Fault
from onfold.geometry.region import hull
from onfold.geometry.solve import balanced, ways
from onfold.hang.distance import Distance
from onfold.hang.net import Bools, Floats, Ints, areas
from onfold.hang.sewn import Sewn
from onfold.hang.settle import Ties
from onfold.pattern import Pattern

OFF = 12.0
"""mm between the form and the cloth at the start."""
LEAST_OFF = 6.0
"""and never nearer than this."""
INSIDE = 1.5
"""mm a facing lies inside the cloth that it faces."""
BEYOND = 1.1
"""A cowl starts this share of its expected fall below where it hangs, so that it settles from beyond it."""
DROOP = 0.4
"""and its pouch stands off the body, drooping by so much for every 1 mm out."""
TACKED = 20.0
"""N/m that hold a point of a facing while it is tacked."""
RING = 49
STEEPEST = 0.9


@dataclass(frozen=True, eq=False)
class Start:
    """`x` (n, 3) mm where the points stand; `ties` hold a facing to what it faces. `way` (n,) round, 0 front, 1 back."""

    x: Floats
    ties: Ties | None
    way: Floats


@dataclass(frozen=True, eq=False)
class Rings:
    """Half rings round the form, `OFF` mm off it: at `heights` (h,), points (h, RING, 2) as (x, z), and half lengths."""

    heights: Floats
    points: Floats
    half: Floats


def rings_of(form: Form, top: float) -> Rings:
    """Return half rings of the form's hull from below its hem up to `top`, from the front's middle to the back's."""
    low = float(form.points[:, 1].min()) + 2.0
    heights = np.arange(low, top, 8.0)
    found = [_half_ring(form, float(y)) for y in heights]
    kept = [k for k, each in enumerate(found) if each is not None]
    points = np.stack([each for each in found if each is not None])
    steps = np.sqrt((np.diff(points, axis=1) ** 2).sum(axis=2))
    return Rings(heights[kept], points, steps.sum(axis=1))


def _half_ring(form: Form, y: float) -> Floats | None:
    loops = section(form, y)
    if not loops:
        return None
    ring = hull(np.concatenate(loops), OFF)
    if ring is None:
        return None
    ring = np.concatenate([ring, ring[:1]])
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(ring, axis=0).T))])
    fine = np.stack([np.interp(np.linspace(0.0, run[-1], 721), run, ring[:, k]) for k in (0, 1)], axis=1)
    right = fine[:-1]
    right = right[right[:, 0] >= 0.0]
    angle = np.arctan2(right[:, 0], right[:, 1] - 0.5 * (right[:, 1].min() + right[:, 1].max()))
    right = right[np.argsort(angle)]
    right[0, 0] = right[-1, 0] = 0.0
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(right, axis=0).T))])
    return np.stack([np.interp(np.linspace(0.0, run[-1], RING), run, right[:, k]) for k in (0, 1)], axis=1)


def on_ring(rings: Rings, y: Floats, way: Floats, wider: Floats | float = 0.0) -> Floats:
    """Return points (k, 3) at heights `y`, so far round (`way`), each moved outward by `wider` mm."""
    row = np.interp(y, rings.heights, np.arange(len(rings.heights)))
    place = np.clip(way, 0.0, 1.0) * (RING - 1)
    r, p = np.minimum(row.astype(int), len(rings.heights) - 2), np.minimum(place.astype(int), RING - 2)
    a, b = (row - r)[:, None], (place - p)[:, None]
    q = rings.points
    at = (q[r, p] * (1 - b) + q[r, p + 1] * b) * (1 - a) + (q[r + 1, p] * (1 - b) + q[r + 1, p + 1] * b) * a
    ahead = q[r, p + 1] - q[r, p]
    out = np.stack([-ahead[:, 1], ahead[:, 0]], axis=1)
    out /= np.maximum(np.hypot(out[:, 0], out[:, 1]), 1e-9)[:, None]
    at = at + out * np.broadcast_to(np.asarray(wider), len(at))[:, None]
    return np.stack([at[:, 0], y, at[:, 1]], axis=1)


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
    if height is None:
        height, wider = _cone(sewn, form, rings)
    else:
        wider = _wider(sewn, rings, height)
    x = on_ring(rings, height, way, wider)
    _hang_rows(sewn, pattern, form, rings, way, height, x, fall)
    x[:, 0] = np.abs(x[:, 0]) * np.where(sides == 0, 0, sides)
    gap, normal = asked(distance, x)
    x += np.maximum(0.0, LEAST_OFF - gap)[:, None] * normal
    _hang_straps(sewn, form, distance, x)
    x = 0.5 * (x + x[sewn.mirror] * (-1.0, 1.0, 1.0))
    return Start(x, tie_facings(sewn, outward_of(sewn, x)), way)


def _edges(sewn: Sewn) -> Ints:
    tri = sewn.net.tri
    return np.unique(np.sort(np.concatenate([tri[:, [0, 1]], tri[:, [1, 2]], tri[:, [2, 0]]]), axis=1), axis=0)


def _sides(sewn: Sewn) -> Ints:
    """Tell of every point on which side it hangs: what a piece in one goes to follows from what it is sewn to."""
    assert sewn.mirror is not None
    side = np.where(sewn.mirror == np.arange(sewn.net.count), 0, sewn.side)
    unknown = (side == 0) & (sewn.mirror != np.arange(sewn.net.count))
    edges = _edges(sewn)
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
    edges = _edges(sewn)
    edges = edges[plane[edges].all(axis=1)]
    group = np.arange(sewn.net.count)
    while True:
        least = group.copy()
        np.minimum.at(least, edges[:, 0], group[edges[:, 1]])
        np.minimum.at(least, edges[:, 1], group[edges[:, 0]])
        if (least == group).all():
            break
        group = least
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
    return np.concatenate([runs[k][0] for k in front]), np.concatenate([runs[k][0] for k in back])


def _gradients(sewn: Sewn) -> tuple[Floats, Floats]:
    """Return the gradients (m, 3, 2) of the corners' shape functions on the flat, and the areas (m,)."""
    f = sewn.net.flat
    area = areas(f)
    edge = np.stack([f[:, 2] - f[:, 1], f[:, 0] - f[:, 2], f[:, 1] - f[:, 0]], axis=1)
    turn = np.stack([-edge[:, :, 1], edge[:, :, 0]], axis=2)
    sign = np.sign(
        (f[:, 1, 0] - f[:, 0, 0]) * (f[:, 2, 1] - f[:, 0, 1]) - (f[:, 1, 1] - f[:, 0, 1]) * (f[:, 2, 0] - f[:, 0, 0])
    )
    return turn * sign[:, None, None] / (2.0 * area)[:, None, None], area


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
    known: dict[int, tuple[float, float]] = {}
    for k, name in enumerate(sewn.pieces):
        piece = pattern.piece(name)
        lines = {i.name: i.path.curves[0, 0, 1] for i in piece.inner if i.kind == "level"} if piece else {}
        for level in ("waist", "hip", "bust", "underarm"):
            if level in lines and level in form.levels:
                known[k] = (form.levels[level], float(lines[level]))
                break
    if not known:
        return None
    height = np.full(sewn.net.count, np.nan)
    tri, of = sewn.net.tri, sewn.of_piece
    for k, (level, at) in known.items():
        corners, y = tri[of == k].reshape(-1), sewn.corner[of == k].reshape(-1, 2)[:, 1]
        points, first = np.unique(corners, return_index=True)
        fresh = np.isnan(height[points])
        points, first = points[fresh], first[fresh]
        height[points] = over_body(rings, level, y[first] - at, way[points])
    for k in range(len(sewn.pieces)):
        if k not in known:
            corners, y = tri[of == k].reshape(-1), sewn.corner[of == k].reshape(-1, 2)[:, 1]
            met = ~np.isnan(height[corners])
            up = float((height[corners[met]] - y[met]).mean()) if met.any() else form.levels["waist"]
            height[corners[~met]] = y[~met] + up
    return np.nan_to_num(height, nan=form.levels["waist"])


def over_body(rings: Rings, level: float, reach: Floats, way: Floats) -> Floats:
    """Return the heights (k,) to which cloth comes that reaches `reach` mm (k,) up from a level, over the body."""
    place = np.clip(way, 0.0, 1.0) * (RING - 1)
    p = np.minimum(place.astype(int), RING - 2)
    b = (place - p)[:, None, None]
    lines = rings.points[:, p].transpose(1, 0, 2) * (1.0 - b) + rings.points[:, p + 1].transpose(1, 0, 2) * b
    steps = np.sqrt((np.diff(lines, axis=1) ** 2).sum(axis=2) + np.diff(rings.heights) ** 2)
    run = np.concatenate([np.zeros((len(way), 1)), np.cumsum(steps, axis=1)], axis=1)
    out = np.empty(len(way))
    for k in range(len(way)):
        goal = float(np.interp(level, rings.heights, run[k])) + reach[k]
        # beyond the rings cloth goes on straight
        below, above = min(0.0, goal), max(0.0, goal - run[k, -1])
        out[k] = np.interp(goal, run[k], rings.heights) + below + above
    return out


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
    far = ways(sewn.net.count, _flat_edges(sewn), _top(sewn))
    reach = np.arange(0.0, float(far.max()) + 10.0, 5.0)
    half = _half_girths(sewn, far, reach)
    y, out, ys, wider = form.levels["waist"], 0.0, [], []
    for k in range(len(reach)):
        if k:
            ring = float(np.interp(y, rings.heights, rings.half))
            wanted = max(0.0, half[k] - ring) / np.pi if half[k] > 0.0 else out
            grown = min(wanted - out, STEEPEST * 5.0)
            out, y = out + max(grown, -STEEPEST * 5.0), y - 5.0 * np.sqrt(1.0 - (min(abs(grown), 4.5) / 5.0) ** 2)
        ys.append(y)
        wider.append(out)
    return np.interp(far, reach, ys), np.interp(far, reach, wider)


def _flat_edges(sewn: Sewn) -> tuple[Ints, Floats]:
    tri, f = sewn.net.tri, sewn.net.flat
    pairs = np.concatenate([tri[:, [0, 1]], tri[:, [1, 2]], tri[:, [2, 0]]])
    size = np.concatenate([np.hypot(*(f[:, a] - f[:, b]).T) for a, b in ((0, 1), (1, 2), (2, 0))])
    return pairs, size


def _top(sewn: Sewn) -> Ints:
    """Return the points of the shorter of the garment's round edges: it hangs from that."""
    tri = sewn.net.tri[sewn.layer == 0]
    pairs = np.sort(np.concatenate([tri[:, [0, 1]], tri[:, [1, 2]], tri[:, [2, 0]]]), axis=1)
    edges, count = np.unique(pairs, axis=0, return_counts=True)
    rim = edges[count == 1]
    group = np.arange(sewn.net.count)
    while True:
        least = group.copy()
        np.minimum.at(least, rim[:, 0], group[rim[:, 1]])
        np.minimum.at(least, rim[:, 1], group[rim[:, 0]])
        if (least == group).all():
            break
        group = least
    lookup = {
        tuple(sorted(p)): s for p, s in zip(_flat_edges(sewn)[0].tolist(), _flat_edges(sewn)[1].tolist(), strict=True)
    }
    sizes: dict[int, float] = {}
    for a, b in rim.tolist():
        sizes[int(group[a])] = sizes.get(int(group[a]), 0.0) + lookup[min(a, b), max(a, b)]
    shortest = min(sizes, key=lambda root: sizes[root])
    return np.unique(rim[group[rim[:, 0]] == shortest])


def _hang_rows(
    sewn: Sewn, pattern: Pattern, form: Form, rings: Rings, way: Floats, height: Floats, x: Floats, fall: float
) -> None:
    """Hang what lies above the underarm in rows from its armhole, a facing inside."""
    for k, name in enumerate(sewn.pieces):
        piece = pattern.piece(name)
        if piece is None or (len(sewn.straps) and k == len(sewn.pieces) - 1):
            continue
        mine = (sewn.of_piece == k) & (sewn.layer == 0)
        faces = (sewn.of_piece == k) & (sewn.layer == 1)
        own = np.unique(sewn.net.tri[mine])
        spot = np.full((sewn.net.count, 2), np.nan)
        spot[sewn.net.tri[mine].reshape(-1)] = sewn.corner[mine].reshape(-1, 2)
        levels = {i.name: float(i.path.curves[0, 0, 1]) for i in piece.inner if i.kind == "level"}
        waist = levels.get("waist", levels.get("hip", 0.0))
        up = form.levels["waist" if "waist" in levels else "hip"] - waist
        base = levels.get("underarm", form.levels["underarm"] - up)
        top = float(spot[own, 1].max())
        if top - base < 20.0:
            continue
        cowl = bool(faces.any()) and "cowl fall" in pattern.facts
        depth = fall * pattern.facts["cowl fall"].value if cowl else 0.0
        rows = _Rows(sewn, rings, name, base, top, up, depth, pattern, way, height)
        above = own[spot[own, 1] > base + 1e-6]
        x[above] = rows.place(spot[above])
        if faces.any():
            facing, turned = _turned_in(sewn, mine, faces, own)
            low = turned[facing, 1] <= base
            x[facing] = rows.place(turned[facing])
            if low.any():
                at = facing[low]
                triangle, weight = _on_outer(sewn, mine, turned[at], sewn.copy)
                round_ = (way[sewn.net.tri[triangle]] * weight).sum(axis=1)
                x[at] = on_ring(rings, turned[at, 1] + up, round_)


class _Rows:
    """Cloth above the underarm: a neck edge between the armholes' tops, and cloth hung from it down to the underarm.

    What is too long to hang straight hangs in a catenary between the two, so that nothing starts pushed together: cloth
    that unbends from the start would stand up like a wall instead of falling.
    """

    def __init__(
        self, sewn: Sewn, rings: Rings, name: str, base: float, top: float, up: float, depth: float,
        pattern: Pattern, way: Floats, height: Floats,
    ) -> None:  # fmt: skip
        self.base, self.top, self.up, self.depth, self.rings = base, top, up, depth, rings
        k = sewn.pieces.index(name)
        mine = (sewn.of_piece == k) & (sewn.layer == 0)
        spots = sewn.corner[mine].reshape(-1, 2)
        points = sewn.net.tri[mine].reshape(-1)
        self.heights = np.linspace(base, top, 25)
        near = max(8.0, 0.06 * (top - base))
        self.half = np.array([max(1.0, spots[np.abs(spots[:, 1] - y) < near][:, 0].max()) for y in self.heights])
        row = np.abs(spots[:, 1] - base) < near
        order = np.argsort(spots[row][:, 0])
        self.base_x, self.base_way = spots[row][order, 0], way[points[row]][order]
        self.base_y = height[points[row]][order] + (base - spots[row][order, 1])
        self.front = float(self.base_way.min()) < 0.25
        span = pattern.facts.get("half strap span")
        self.span = span.value if span is not None and depth > 0.0 else float(self.half[-1])

    def place(self, spot: Floats) -> Floats:
        """Return where points (k, 2) of the piece hang."""
        share = np.clip((spot[:, 1] - self.base) / (self.top - self.base), 0.0, 1.0)
        q = np.clip(np.abs(spot[:, 0]) / np.interp(spot[:, 1], self.heights, self.half), 0.0, 1.0)
        low_way = np.interp(q * self.half[0], self.base_x, self.base_way)
        low = on_ring(self.rings, np.interp(q * self.half[0], self.base_x, self.base_y), low_way)
        peak = self.top + self.up
        tip = self.span / float(np.interp(peak, self.rings.heights, self.rings.half))
        tip, middle = (tip, 0.0) if self.front else (1.0 - tip, 1.0)
        high = on_ring(self.rings, np.full(len(q), peak), middle + (tip - middle) * q)
        sag = self.depth * (1.0 - q**2)
        at = on_ring(self.rings, peak - sag, middle + (tip - middle) * q)
        high = np.stack([high[:, 0], peak - sag, np.where(sag > 0.0, at[:, 2], high[:, 2])], axis=1)
        high[:, 2] += OFF * (1.0 - q**2) * (1.0 if self.front else -1.0)
        out = np.stack([low[:, 0], np.full(len(q), 0.0), low[:, 2]], axis=1)
        out /= np.maximum(np.linalg.norm(out, axis=1), 1e-9)[:, None]
        return _pouch(low, high, out - (0.0, DROOP, 0.0), self.top - self.base, share)


def _pouch(low: Floats, high: Floats, out: Floats, long: float, share: Floats) -> Floats:
    """Return points at `share` (k,) of arcs `long` mm from `low` to `high` (k, 3) that stand `out`; straight where taut.

    An arc has its own length, so that cloth laid along it need not push itself together: cloth that unbends from its
    start stands up like a wall instead of falling.
    """
    chord = high - low
    size = np.maximum(np.linalg.norm(chord, axis=1), 1e-6)
    ahead = chord / size[:, None]
    aside = out - (out * ahead).sum(axis=1)[:, None] * ahead
    aside /= np.maximum(np.linalg.norm(aside, axis=1), 1e-9)[:, None]
    least, most = np.full(len(size), 1e-4), np.full(len(size), 0.9 * np.pi)
    for _ in range(50):
        half = 0.5 * (least + most)
        slack = np.sin(half) / half > size / long
        least, most = np.where(slack, half, least), np.where(slack, most, half)
    half = 0.5 * (least + most)
    radius = 0.5 * size / np.sin(half)
    turn = (2.0 * share - 1.0) * half
    arc = 0.5 * (low + high) + ahead * (radius * np.sin(turn))[:, None]
    arc += aside * (radius * (np.cos(turn) - np.cos(half)))[:, None]
    straight = low + chord * share[:, None]
    return np.where((size < long)[:, None], arc, straight)


def _on_outer(sewn: Sewn, mine: Bools, spots: Floats, copy: Ints) -> tuple[Ints, Floats]:
    """Return for points (k, 2) of a piece's drawn copy the triangle they lie in (or nearest) and their weights."""
    which = np.flatnonzero(mine & (copy > 0))
    f = sewn.corner[which]
    det = (f[:, 1, 0] - f[:, 0, 0]) * (f[:, 2, 1] - f[:, 0, 1]) - (f[:, 1, 1] - f[:, 0, 1]) * (f[:, 2, 0] - f[:, 0, 0])
    out, weights = np.zeros(len(spots), dtype=np.int64), np.zeros((len(spots), 3))
    for n, p in enumerate(spots):
        d = p - f[:, 0]
        b = (d[:, 0] * (f[:, 2, 1] - f[:, 0, 1]) - d[:, 1] * (f[:, 2, 0] - f[:, 0, 0])) / det
        c = (d[:, 1] * (f[:, 1, 0] - f[:, 0, 0]) - d[:, 0] * (f[:, 1, 1] - f[:, 0, 1])) / det
        worst = np.minimum(np.minimum(b, c), 1.0 - b - c)
        k = int(np.argmax(worst))
        w = np.clip([1.0 - b[k] - c[k], b[k], c[k]], 0.0, None)
        out[n], weights[n] = which[k], w / w.sum()
    return out, weights


def outward_of(sewn: Sewn, x: Floats) -> Floats:
    """Return for every triangle (m,) 1 where its corners run anticlockwise seen from outside, -1 where clockwise."""
    corners = x[sewn.net.tri]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    middle = corners.mean(axis=1)
    away = middle - (0.0, 0.0, float(np.median(middle[:, 2])))
    shows = normal[:, 0] * away[:, 0] + normal[:, 2] * away[:, 2]
    group = sewn.of_piece * 2 + (sewn.copy > 0)
    total = np.bincount(group, np.where(sewn.layer == 1, 0.0, shows), 2 * len(sewn.pieces))
    return np.where(total >= 0.0, 1.0, -1.0)[group]


def tie_facings(sewn: Sewn, outward: Floats) -> Ties | None:
    """Return what holds every facing to the cloth it faces, as if it were tacked there; None where there is none."""
    found = []
    for k in np.unique(sewn.of_piece[sewn.layer == 1]):
        mine, faces = ((sewn.of_piece == k) & (sewn.layer == layer) for layer in (0, 1))
        own = np.unique(sewn.net.tri[mine])
        facing, turned = _turned_in(sewn, mine, faces, own)
        if len(facing):
            found.append(_tied(sewn, outward, mine, faces, facing, turned[facing]))
    if not found:
        return None
    joined = [
        np.concatenate([getattr(each, name) for each in found]) for name in ("point", "weight", "stiff", "outward")
    ]
    return Ties(*joined, INSIDE)


def _turned_in(sewn: Sewn, mine: Bools, faces: Bools, own: Ints) -> tuple[Ints, Floats]:
    """Return a facing's own points, and where every point of it comes to lie (n, 2) once it is turned at its fold."""
    top = float(sewn.corner[mine].reshape(-1, 2)[:, 1].max())
    turned = np.full((sewn.net.count, 2), np.nan)
    turned[sewn.net.tri[faces].reshape(-1)] = sewn.corner[faces].reshape(-1, 2) * (1.0, -1.0) + (0.0, 2.0 * top)
    return np.setdiff1d(np.unique(sewn.net.tri[faces]), own), turned


def _tied(sewn: Sewn, outward: Floats, mine: Bools, faces: Bools, facing: Ints, spots: Floats) -> Ties:
    assert sewn.mirror is not None
    copy_of = np.zeros(sewn.net.count, dtype=np.int64)
    copy_of[sewn.net.tri[faces].reshape(-1)] = np.repeat(sewn.copy[faces], 3)
    drawn, weight = _on_outer(sewn, mine, spots, sewn.copy)
    corners = sewn.net.tri[drawn]
    left = copy_of[facing] < 0
    corners[left] = sewn.mirror[corners[left]]
    point = np.concatenate([facing[:, None], corners], axis=1)
    weights = np.concatenate([np.ones((len(facing), 1)), -weight], axis=1)
    # the twin's corners run the other way round
    sign = outward[drawn] * np.where(left, -1.0, 1.0)
    return Ties(point, weights, np.full(len(facing), TACKED), sign, INSIDE)


def _hang_straps(sewn: Sewn, form: Form, distance: Distance, x: Floats) -> None:
    """Lay every strap on the shortest way over the form, from its edge in front over the shoulder to its edge behind."""
    for which, grid in enumerate(sewn.straps):
        sign = 1.0 if which == 0 else -1.0
        side, end = ("left", "right")[which], grid.shape[1] // 2
        a, b = x[grid[0, end]], x[grid[-1, end]]
        neck, shoulder = form.places[f"{side} side neck"], form.places[f"{side} shoulder point"]
        top = 0.45 * neck + 0.55 * shoulder + (0.0, 18.0, 0.0)
        rows = len(grid)
        first = max(2, round(rows * np.linalg.norm(top - a) / (np.linalg.norm(top - a) + np.linalg.norm(b - top))))
        path = np.concatenate([np.linspace(a, top, first, endpoint=False), np.linspace(top, b, rows - first)])
        path = _taut(path, distance)
        ahead = np.gradient(path, axis=0)
        ahead /= np.maximum(np.linalg.norm(ahead, axis=1), 1e-9)[:, None]
        _, normal = asked(distance, path)
        across = np.cross(ahead, normal)
        across /= np.maximum(np.linalg.norm(across, axis=1), 1e-9)[:, None]
        # from the neck outward at the front end, as the strip's own columns run
        if across[first, 0] * sign < 0.0:
            across = -across
        edge = x[grid[0]]
        half = 0.5 * float(np.linalg.norm(edge[-1] - edge[0]))
        share = np.linspace(-1.0, 1.0, grid.shape[1])
        inner = path[1:-1, None] + half * share[None, :, None] * across[1:-1, None]
        x[grid[1:-1].reshape(-1)] = inner.reshape(-1, 3)


def _taut(path: Floats, distance: Distance, lift: float = 4.0) -> Floats:
    """Pull a line taut over the form, `lift` mm off it, its ends held."""
    path = path.copy()
    for _ in range(150):
        path[1:-1] = 0.5 * path[1:-1] + 0.25 * (path[:-2] + path[2:])
        gap, normal = asked(distance, path)
        low = np.maximum(0.0, lift - gap)
        low[[0, -1]] = 0.0
        path += low[:, None] * normal
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
    even = np.linspace(0.0, run[-1], len(path))
    return np.stack([np.interp(even, run, path[:, k]) for k in range(3)], axis=1)


def asked(distance: Distance, x: Floats) -> tuple[Floats, Floats]:
    """Return the form's distance (k,) mm and outward normal (k, 3) at points; far off, 1e9 and up."""
    n = len(x)
    normal, push, gap, room = np.zeros((n, 3)), np.zeros(n), np.zeros(n), np.zeros(n)
    from onfold.hang.kernel import probe

    probe(
        np.ascontiguousarray(x), distance.origin, distance.spacing, distance.values, 400.0, 1.0, room, normal, push, gap
    )
    return gap, normal
