"""The garment as it is tried on, seen from the front: cloths over one another as worn, their seams tacked."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from onfold.geometry.region import area
from onfold.guide.cut_cloth import Walk, ring_of, walk_of
from onfold.guide.laying_together import Laid, Lie, fit
from onfold.guide.plan_fold import body_of
from onfold.guide.plan_sewn import Plan, leaves_of
from onfold.guide.scene import Area, Item, Line
from onfold.guide.signs import Sign
from onfold.making.operation import Operation
from onfold.pattern import Pattern, Run, Seam

Floats = NDArray[np.float64]
_NO_LEVEL = ("hem", "neck")
"""Levels that are edges of the garment already."""
_OVER = ("side", "shoulder", "underarm", "inseam", "inside leg")
"""Seams at which a garment turns from its front to its back; at every other its cloths lie beside one another."""


def plan_worn(pattern: Pattern, operation: Operation) -> Plan | None:
    """Return the cloths that an operation's seams join, as they are worn, with tacking along those seams.

    Where the operation names no seam all are taken. Seams of more than one edge a side, as at a waistband, are left
    out of the picture.
    """
    seams = [seam for seam in pattern.seams if _asked(seam, operation)] or list(pattern.seams)
    pairs = [pair for seam in seams for pair in _pairs(pattern, seam)]
    if not pairs:
        return None
    laid = _laid(pairs)
    if not laid:
        return None
    scene: list[Item] = []
    for layer in (1, 0):
        seen = [each for each in laid.values() if each.side == layer]
        scene += [Area(each.ring, "wrong" if layer else "right", name=each.cut.piece.name) for each in seen]
        for walk in _tacked(pairs, laid, layer):
            points = laid[walk.cut.key].edge(walk)
            scene += [Line(points[leaf], "tacking", "tacking") for leaf in leaves_of(walk)]
    if operation.kind == "try on":
        scene += _levels(laid)
        return Plan(tuple(scene), "as it is worn: the centre hangs plumb, every level lies level")
    return Plan(tuple(scene), "tacked on the seam lines, as it is worn, seen from the front")


def _levels(laid: dict[tuple[str, bool], Laid]) -> list[Item]:
    """Return the centre line and the levels of the cloth in front, each level named at its end."""
    front = next((each for each in laid.values() if each.side == 0), None)
    if front is None:
        return []
    found: list[Item] = []
    piece = front.cut.piece
    beside = float(front.ring[:, 0].max())
    if piece.on_fold:
        found += _centre(front.ring)
    for inner in piece.inner:
        if inner.kind != "level" or not np.isfinite(inner.path.curves).all():
            continue
        ends = inner.path.curves[(0, -1), (0, 3)]
        if piece.on_fold:
            outer = ends[int(np.abs(ends[:, 0]).argmax())]
            ends = np.array([outer * (-1.0, 1.0), outer])
        line = front.lie.put(ends)
        if inner.name not in _NO_LEVEL:
            found.append(Line(line, "level", inner.name))
            found.append(Sign("word", (beside, float(line[:, 1].mean())), (1.0, 0.0), said=inner.name))
    return found


def _centre(ring: Floats) -> list[Item]:
    """Return the centre line of a cloth cut on the fold, from edge to edge."""
    a, b = ring[:-1], ring[1:]
    crossing = (a[:, 0] <= 0.0) != (b[:, 0] <= 0.0)
    a, b = a[crossing], b[crossing]
    if len(a) < 2:
        return []
    heights = a[:, 1] - a[:, 0] / (b[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1])
    return [Line(np.array([(0.0, heights.min()), (0.0, heights.max())]), "level", "centre")]


def _tacked(pairs: list[tuple[Walk, Walk, bool]], laid: dict[tuple[str, bool], Laid], layer: int) -> list[Walk]:
    """Return the walks whose tacking is seen on this layer: of a seam to the back only the front's."""
    found = []
    for pair in pairs:
        on = [walk for walk in pair[:2] if walk.cut.key in laid]
        front = [walk for walk in on if laid[walk.cut.key].side == 0] or on
        found += [walk for walk in front[:1] if laid[walk.cut.key].side == layer]
    return found


def _asked(seam: Seam, operation: Operation) -> bool:
    if seam.name == operation.seam or seam.name in operation.name:
        return True
    runs = {run for side in operation.sides for run in side}
    return bool(runs & {run for side in seam.sides for run in side})


def _pairs(pattern: Pattern, seam: Seam) -> list[tuple[Walk, Walk, bool]]:
    """Return the walks that a seam joins, its mirror twin's too, and whether the garment turns to its back there."""
    if any(len(side) != 1 for side in seam.sides):
        return []
    runs = [(seam.sides[0][0], seam.sides[1][0])]
    if seam.twice:
        runs.append((_turned(runs[0][0]), _turned(runs[0][1])))
    found = []
    said = f"{seam.name} {seam.sides[0][0].edge}".lower()
    turns = any(word in said for word in _OVER)
    for one, other in runs:
        first, second = walk_of(pattern, one), walk_of(pattern, other)
        if first is not None and second is not None and first.cut.key != second.cut.key:
            found.append((first, second, turns))
    return found


def _turned(run: Run) -> Run:
    return replace(run, copy="drawn" if run.copy == "mirrored" else "mirrored")


def _laid(pairs: list[tuple[Walk, Walk, bool]]) -> dict[tuple[str, bool], Laid]:
    """Return every cloth that can be reached from the first, laid; `side` is 0 in front, 1 at the back."""
    cuts = {walk.cut.key: walk.cut for first, second, _ in pairs for walk in (first, second)}
    rings = {key: body_of(cut, ring) for key, cut in cuts.items() if (ring := ring_of(cut)) is not None}
    if not rings:
        return {}
    start = max(rings, key=lambda key: ("front" in key[0].lower(), abs(area(rings[key]))))
    laid = {start: Laid(cuts[start], Lie(), rings[start], (), 0)}
    for _ in range(len(cuts)):
        for one, other, turns in pairs:
            for here, there in ((one, other), (other, one)):
                key = there.cut.key
                if here.cut.key not in laid or key in laid or key not in rings:
                    continue
                base = laid[here.cut.key]
                alongs = np.linspace(0.0, 1.0, 33)
                goal = base.lie.put(here.at(alongs * here.length))
                over = (there.left != base.left(here)) if turns else (there.left == base.left(here))
                lie, _ = fit(there.at(alongs * there.length), goal, over)
                side = 1 - base.side if turns else base.side
                laid[key] = Laid(there.cut, lie, lie.put(rings[key]), (), side)
    return laid
