"""Edges seen from above: a hem turned up, an edge neatened or bound, an opening with its zip, buttons or ties."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from onfold.construction import Finish
from onfold.guide.cut_cloth import Cut, Walk, ring_of, whole_walks
from onfold.guide.laying_together import Laid, Lie, fit, parted, walks_of
from onfold.guide.plan_sewn import Plan, leaves_of, long_window, off_edge, outward
from onfold.guide.scene import Area, Box, Item, Line
from onfold.guide.signs import Sign
from onfold.making.laps import lap_at
from onfold.making.operation import Operation
from onfold.pattern import Pattern, Run

Floats = NDArray[np.float64]


def plan_edge(pattern: Pattern, operation: Operation, finish: Finish | None) -> Plan | None:
    """Return the first cloth of an operation, wrong side up, its edge turned over or neatened as its finish says."""
    walks = [walk for side in operation.sides for walk in walks_of(pattern, side)]
    if not walks:
        return None
    cut = walks[0].cut
    ring = ring_of(cut)
    if ring is None:
        return None
    own = whole_walks([walk for walk in walks if walk.cut.key == cut.key])
    depth = _turned_by(finish)
    scene: list[Item] = []
    if depth > 0.0:
        scene += _turned_up(ring, own, depth, finish, cut.piece.name)
    else:
        scene.append(Area(ring, "wrong", name=cut.piece.name))
        scene += _neatened(own, finish)
    names = " and ".join(dict.fromkeys(walk.cut.piece.name for walk in walks))
    caption = f"{names}, wrong side up"
    return Plan(tuple(scene), caption, _window_on(ring, own, depth))


def _turned_by(finish: Finish | None) -> float:
    """Return how deep an edge is turned, mm; 0 where it is not turned."""
    if finish is None or not finish.turns or finish.kind not in ("single turned", "double turned", "folded facing"):
        return 0.0
    return finish.depth


def _turned_up(ring: Floats, walks: Sequence[Walk], depth: float, finish: Finish | None, name: str) -> list[Item]:
    """Return the cloth with a strip along each edge turned over on its seam line, its right side up."""
    body = ring
    for walk in walks:
        body = _cut_back(body, walk)
    scene: list[Item] = [Area(body, "wrong", name=name, outline=(body,))]
    row = finish.rows[0].from_net if finish is not None and finish.rows else None
    for walk in walks:
        inner = off_edge(walk.points, walk.left, -depth)
        strip = np.vstack((walk.points, inner[::-1], walk.points[:1]))
        scene.append(Area(strip, "right"))
        if row is not None:
            rows = [off_edge(walk.points[leaf], walk.left, -row) for leaf in leaves_of(walk)]
            scene += [Line(points, "row", "row of stitches") for points in rows]
    return scene


def _cut_back(ring: Floats, walk: Walk) -> Floats:
    """Return the ring with what lies outside a walk's chord cut off, where the edge is near to straight."""
    a, b = complex(*walk.points[0]), complex(*walk.points[-1])
    if abs(b - a) < 1e-6:
        return ring
    way = (b - a) / abs(b - a)
    bulge = float(np.abs(((walk.points[:, 0] + 1j * walk.points[:, 1] - a) / way).imag).max())
    if bulge > 0.12 * abs(b - a):
        return ring
    inward = way * (1j if walk.left else -1j)
    kept, off = parted(ring, a, way, keep=a + inward)
    # a fold line produced across the cloth may meet it elsewhere: then it is left whole
    z = (off[:, 0] + 1j * off[:, 1] - a) / way if len(off) else np.zeros(0, dtype=complex)
    deep = float(np.abs(z.imag).max()) if len(z) else 0.0
    return kept if len(kept) > 3 and deep <= 2.0 * walk.allowance + bulge + 1.0 else ring


def _neatened(walks: Sequence[Walk], finish: Finish | None) -> list[Item]:
    found: list[Item] = []
    bound = finish is not None and finish.kind == "bound"
    for walk in walks:
        leaves = [walk.points[leaf] for leaf in leaves_of(walk)]
        if bound and finish is not None:
            inner = walk.allowance - finish.rows[-1].from_raw
            found += [Line(off_edge(points, walk.left, inner), "row", "row of stitches") for points in leaves]
        else:
            found += [Line(_zigzag(points, walk), "used", "neatened edge") for points in leaves]
    return found


def _zigzag(points: Floats, walk: Walk) -> Floats:
    """Return a zigzag between an edge's seam line and its raw edge."""
    own = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    wide = max(walk.allowance, 4.0)
    count = int(np.clip(own[-1] / (0.6 * wide), 6, 160))
    alongs = np.linspace(0.0, own[-1], count + 1)
    line = np.column_stack([np.interp(alongs, own, points[:, axis]) for axis in (0, 1)])
    out = outward(line, walk.left)
    away = np.where(np.arange(count + 1) % 2 == 0, 0.35, 0.95)[:, None] * wide
    found: Floats = line + out * away
    return found


def _window_on(ring: Floats, walks: Sequence[Walk], depth: float) -> Box | None:
    """Return a window on the edge and some of the cloth inside it, where the cloth is much larger than that."""
    points = np.concatenate([walk.points for walk in walks])
    wide = max(walk.allowance for walk in walks)
    low, high = points.min(axis=0), points.max(axis=0)
    span = float((high - low).max())
    reach = max(3.0 * depth, 0.3 * span, 4.0 * wide)
    all_low, all_high = ring.min(axis=0) - 1.0, ring.max(axis=0) + 1.0
    low, high = np.maximum(low - reach, all_low), np.minimum(high + reach, all_high)
    box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    return long_window((np.array([low, high]),)) or box


def plan_fasten(pattern: Pattern, operation: Operation, finish: Finish | None) -> Plan | None:
    """Return an opening, right side up, its two sides meeting, with what closes it; the cloth about it cut off."""
    runs = [run for side in operation.sides for run in side] or _opening_runs(pattern, operation)
    walks = walks_of(pattern, runs)
    if not walks:
        return None
    first = walks[0]
    second = next((walk for walk in walks[1:] if walk.cut.key != first.cut.key or walk.run != first.run), None)
    second = second if second is not None else _mirrored(pattern, first)
    lap = lap_at(first.cut.piece)
    if lap.known and second is not None and second.cut.mirrored:
        first, second = second, first  # seen from outside, the half turned over is the left one, and laps over
    ring = ring_of(first.cut)
    if ring is None:
        return None
    cloths = [Laid(first.cut, Lie(), ring, (first,), 0)]
    other = ring_of(second.cut) if second is not None else None
    if second is not None and other is not None:
        alongs = np.linspace(0.0, 1.0, 33)
        lie, _ = fit(second.at(alongs * second.length), first.at(alongs * first.length), second.left == first.left)
        cloths.append(Laid(second.cut, lie, lie.put(other), (second,), 1))
    closes = next((each.closes for each in pattern.openings if _is_of(each.edges, first.run)), "zip")
    names = [(lap.over, lap.under)[each.side] if lap.known else each.cut.piece.name for each in cloths]
    scene: list[Item] = [_to_net(each, said) for each, said in reversed(list(zip(cloths, names, strict=True)))]
    scene += _closing(first, closes, finish)
    name = " and ".join(dict.fromkeys(names))
    return Plan(tuple(scene), f"{name}, right side up", _window_at(first))


def _to_net(each: Laid, name: str) -> Item:
    """Return a cloth with the allowance beyond its opening turned under."""
    walk = each.walks[0]
    points = each.edge(walk)
    a, b = complex(*points[0]), complex(*points[-1])
    way = (b - a) / abs(b - a) if abs(b - a) > 1e-6 else 1 + 0j
    inward = way * (1j if each.left(walk) else -1j)
    kept, _ = parted(each.ring, a, way, keep=a + inward)
    return Area(kept if len(kept) > 3 else each.ring, "right", name=name)


def _is_of(edges: Sequence[str], run: Run) -> bool:
    return f"{run.edge} of {run.piece}" in edges


def _opening_runs(pattern: Pattern, operation: Operation) -> list[Run]:
    """Return the runs of the opening an operation is named after, or of the first on one of its pieces."""
    found = []
    for opening in pattern.openings:
        runs = [Run(piece, edge) for said in opening.edges for edge, _, piece in [said.partition(" of ")]]
        if opening.name in operation.name or any(run.piece in operation.pieces for run in runs):
            found.append(runs)
    return found[0] if found else []


def _mirrored(pattern: Pattern, walk: Walk) -> Walk | None:
    piece = walk.cut.piece
    if not piece.mirrored_pair and piece.cut < 2:
        return None
    turned = Cut(piece, not walk.cut.mirrored)
    return Walk(turned, walk.run, walk.points * (-1.0, 1.0), walk.gone, not walk.left, walk.allowance, walk.notches)


def _closing(walk: Walk, closes: str, finish: Finish | None) -> list[Item]:
    found: list[Item] = []
    inward = -outward(walk.points, walk.left)
    if closes == "buttons":
        count = int(np.clip(round(walk.length / 80.0) + 1, 2, 12))
        at = walk.at(np.linspace(0.06, 0.94, count) * walk.length)
        return [Sign("button", (float(x), float(y))) for x, y in at.tolist()]
    if closes == "none":
        return []
    if closes == "tie":
        middle = walk.at([walk.length / 2])[0]
        side = inward[len(inward) // 2]
        cords = [middle + side * reach * walk.length * 0.4 for reach in (-1.0, 1.0)]
        return [Line(np.array([middle, cord]), "new", "tie") for cord in cords]
    top_first = walk.points[0][1] >= walk.points[-1][1]
    ends = (walk.points[0], walk.points[-1]) if top_first else (walk.points[-1], walk.points[0])
    found.append(Line(_teeth(walk), "notch", "zip"))
    if closes == "zip" and finish is not None and finish.rows:
        lap = max(row.from_net for row in finish.rows)
        under = min(row.from_net for row in finish.rows)
        row = off_edge(walk.points, walk.left, -lap)
        low = row[0] if walk.points[0][1] < walk.points[-1][1] else row[-1]
        found.append(Line(row, "row", "lap row"))
        found.append(Line(np.array([low, ends[1]]), "row", "across the foot"))
        found.append(Line(off_edge(walk.points, walk.left, under), "row", "underlap row"))
    down = ends[1] - ends[0]
    beside = ends[0] + down * 0.3 + np.array([0.16 * walk.length, 0.0])
    found.append(Line(np.array([ends[0] + down * 0.3, beside]), "measure"))
    found.append(Sign("word", (float(beside[0]), float(beside[1])), (1.0, 0.0), said="zip"))
    at = ends[0] + down * 0.04
    found.append(Sign("pull", (float(at[0]), float(at[1])), (float(down[0]), float(down[1]))))
    return found


def _teeth(walk: Walk) -> Floats:
    """Return the teeth of a zip along a walk."""
    count = int(np.clip(walk.length / 3.0, 24, 90))
    line = walk.at(np.linspace(0.0, walk.length, count))
    away = np.where(np.arange(count) % 2 == 0, -1.0, 1.0)[:, None] * 0.011 * walk.length
    found: Floats = line + outward(line, walk.left) * away
    return found


def _window_at(walk: Walk) -> Box:
    low, high = walk.points.min(axis=0), walk.points.max(axis=0)
    reach = max(0.42 * walk.length, 3.0 * walk.allowance, 1.0)
    return float(low[0] - reach), float(low[1] - 0.5 * reach), float(high[0] + reach), float(high[1] + 0.3 * reach)
