"""What lies above the underarm: cloth hung from the body's ring to a neck edge, in pouches where it is too long."""

from __future__ import annotations

import numpy as np

from onfold.body.form import Form
from onfold.hang.levels import level_heights, put_on
from onfold.hang.net import Floats
from onfold.hang.rings import OFF, Rings, on_ring
from onfold.hang.sewn_net import Sewn
from onfold.hang.tacking import neck_edge, on_outer, turned_in
from onfold.pattern import Pattern

DROOP = 0.4
"""mm by which a pouch droops for every 1 mm that it stands off the body."""
OPEN = 0.3
"""Share of a pouch's cloth that its two ends are apart at the least."""
LEAST_ROWS = 20.0
"""mm above the underarm from which a piece is hung in rows."""

NEAR_ROW = (-6.0, -3.0, 0.0, 3.0, 6.0)
"""mm above and below a row within which its width is told."""


def hang_rows(
    sewn: Sewn, pattern: Pattern, form: Form, rings: Rings, way: Floats, height: Floats, x: Floats, fall: float
) -> Floats:
    """Hang what lies above the underarm in rows from its armhole, a facing inside. Changes `x` (n, 3) mm in place.

    `way` (n,) and `height` (n,) mm are where the points are round the body; a cowl hangs at `fall` times its expected
    fall. A piece without levels stays where it is. Return where a cowl's neck edge is to be led (n, 3) mm, NaN for the
    rest.
    """
    led = np.full((sewn.net.count, 3), np.nan)
    for k, name in enumerate(sewn.pieces):
        piece = pattern.piece(name)
        if piece is None or (len(sewn.straps) and k == len(sewn.pieces) - 1):
            continue
        mine = (sewn.of_piece == k) & (sewn.layer == 0)
        faces = (sewn.of_piece == k) & (sewn.layer == 1)
        own = np.unique(sewn.net.tri[mine])
        spot = np.full((sewn.net.count, 2), np.nan)
        spot[sewn.net.tri[mine].reshape(-1)] = sewn.corner[mine].reshape(-1, 2)
        at = put_on(piece, form)
        if at is None:
            continue
        up = at[0] - at[1]
        base = level_heights(piece).get("underarm", form.levels["underarm"] - up)
        top = float(spot[own, 1].max())
        if top - base < LEAST_ROWS:
            continue
        cowl = bool(faces.any()) and "cowl fall" in pattern.facts
        depth = fall * pattern.facts["cowl fall"].value if cowl else 0.0
        rows = _Rows(sewn, rings, name, base, top, up, depth, pattern, way, height)
        above = own[spot[own, 1] > base + 1e-6]
        x[above] = rows.place(spot[above])
        run = neck_edge(sewn, pattern) if cowl else None
        if run is not None:
            edge = np.intersect1d(run, own)
            led[edge] = rows.edge(rows.across(spot[edge]))
        if faces.any():
            facing, turned = turned_in(sewn, mine, faces, own)
            low = turned[facing, 1] <= base
            x[facing] = rows.place(turned[facing])
            if low.any():
                below = facing[low]
                triangle, weight = on_outer(sewn, mine, turned[below], sewn.copy)
                round_ = (way[sewn.net.tri[triangle]] * weight).sum(axis=1)
                x[below] = on_ring(rings, turned[below, 1] + up, round_)
    return led


class _Rows:
    """Cloth above the underarm: a neck edge between the armholes' tops, and cloth hung from it down to the underarm.

    What is too long to hang straight stands out in an arc of its own length between the two (see `_pouch`). A neck edge
    whose pouches would so close on themselves is placed higher than it hangs, and led down from there.
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
        # the widest near by: towards its edge a row is then less drawn to the armhole, where cloth would start doubled
        wide = [max(_reach(sewn.corner[mine], float(y) + up) for up in NEAR_ROW) for y in self.heights]
        self.half = np.maximum(1.0, np.array(wide))
        off = np.abs(spots[:, 1] - base)
        row = off <= max(8.0, float(off.min()) + 1e-6)
        order = np.argsort(spots[row][:, 0])
        self.base_x, self.base_way = spots[row][order, 0], way[points[row]][order]
        self.base_y = height[points[row]][order] + (base - spots[row][order, 1])
        self.front = float(self.base_way.min()) < 0.25
        span = pattern.facts.get("half strap span")
        self.span = span.value if span is not None and depth > 0.0 else float(self.half[-1])

    def place(self, spot: Floats) -> Floats:
        """Return where points (k, 2) of the piece hang."""
        long = self.top - self.base
        share = np.clip((spot[:, 1] - self.base) / long, 0.0, 1.0)
        q = self.across(spot)
        low_way = np.interp(q * self.half[0], self.base_x, self.base_way)
        low = on_ring(self.rings, np.interp(q * self.half[0], self.base_x, self.base_y), low_way)
        high = self.edge(q)
        high[:, 1] = np.maximum(high[:, 1], low[:, 1] + OPEN * long)
        out = np.stack([low[:, 0], np.full(len(q), 0.0), low[:, 2]], axis=1)
        out /= np.maximum(np.linalg.norm(out, axis=1), 1e-9)[:, None]
        return _pouch(low, high, out - (0.0, DROOP, 0.0), long, share)

    def across(self, spot: Floats) -> Floats:
        """Return how far points (k, 2) lie from the fold (0) towards the armhole (1)."""
        wide = np.interp(spot[:, 1], self.heights, self.half)
        return np.asarray(np.clip(np.abs(spot[:, 0]) / wide, 0.0, 1.0))

    def edge(self, q: Floats) -> Floats:
        """Return where the neck edge hangs (k, 3) at shares `q` (k,) of the way from the fold to the armhole."""
        peak = self.top + self.up
        tip = self.span / float(np.interp(peak, self.rings.heights, self.rings.half))
        tip, middle = (tip, 0.0) if self.front else (1.0 - tip, 1.0)
        high = on_ring(self.rings, np.full(len(q), peak), middle + (tip - middle) * q)
        sag = self.depth * (1.0 - q**2)
        at = on_ring(self.rings, peak - sag, middle + (tip - middle) * q)
        high = np.stack([high[:, 0], peak - sag, np.where(sag > 0.0, at[:, 2], high[:, 2])], axis=1)
        high[:, 2] += OFF * (1.0 - q**2) * (1.0 if self.front else -1.0)
        return high


def _reach(corner: Floats, y: float) -> float:
    """Return how far from the fold a piece reaches at a height, mm, told by the edges of its triangles (m, 3, 2)."""
    a, b = corner.reshape(-1, 2), np.roll(corner, -1, axis=1).reshape(-1, 2)
    crosses = (a[:, 1] - y) * (b[:, 1] - y) <= 0.0
    if not crosses.any():
        return float(a[np.abs(a[:, 1] - y).argmin(), 0])
    a, b = a[crosses], b[crosses]
    rise = np.where(b[:, 1] == a[:, 1], 1.0, b[:, 1] - a[:, 1])
    share = np.where(b[:, 1] == a[:, 1], 0.0, (y - a[:, 1]) / rise)
    return float(np.maximum(a[:, 0] + share * (b[:, 0] - a[:, 0]), np.where(b[:, 1] == a[:, 1], b[:, 0], 0.0)).max())


def _pouch(low: Floats, high: Floats, out: Floats, long: float, share: Floats) -> Floats:
    """Return points at `share` (k,) of arcs `long` mm from `low` to `high` (k, 3) that stand `out`; else straight.

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
