"""Seams seen from above as they lie under the needle: two cloths over one another, edge to edge, or one folded."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from onfold.geometry.region import area
from onfold.guide.cut_cloth import Walk, ring_of
from onfold.guide.laying_together import Folded, Laid, Laying, Lie, fold_on_itself, lay_together, parted, walks_of
from onfold.guide.scene import Area, Box, Face, Item, Line
from onfold.guide.signs import Sign
from onfold.making.operation import Operation
from onfold.pattern import Pattern

Floats = NDArray[np.float64]
_PINS = (0.06, 0.28, 0.5, 0.72, 0.94)
"""Where pins are set, shares of the seam."""
_TURNED_BACK = 0.42
"""How much of the cloth's lesser width a corner turned back takes."""
_SHARP = 0.6
"""Radians a corner turns by at least."""


@dataclass(frozen=True, eq=False)
class Plan:
    """A scene, what it says in a few words, and the window of the table it is seen through (None: all of it)."""

    scene: tuple[Item, ...]
    caption: str
    window: Box | None = None


def plan_seam(pattern: Pattern, operation: Operation, net: float, right_together: bool) -> Plan | None:
    """Return a seam's plan: `net` is how far outside the seam line its first row runs, mm. None without two sides."""
    if len(operation.sides) < 2:
        return None
    first, second = walks_of(pattern, operation.sides[0]), walks_of(pattern, operation.sides[1])
    if not first or not second:
        return None
    if _one_cloth(first, second):
        folded = fold_on_itself(first[0], second[0]) if len(first) == len(second) == 1 else None
        return _plan_folded(folded, net, right_together) if folded is not None else _plan_open(first, second, net)
    laying = lay_together(first, second)
    if laying is None:
        return None
    return _plan_apart(laying, net) if laying.apart else _plan_over(laying, net, right_together)


def _one_cloth(first: Sequence[Walk], second: Sequence[Walk]) -> bool:
    keys = {walk.cut.key for walk in (*first, *second)}
    return len(keys) == 1


def outward(points: Floats, left: bool) -> Floats:
    """Return the directions away from the cloth at each point of an edge (n, 2), of size 1."""
    steps = np.diff(points, axis=0)
    steps = steps / np.maximum(np.hypot(*steps.T), 1e-12)[:, None]
    mean = np.vstack((steps[:1], steps)) + np.vstack((steps, steps[-1:]))
    mean = mean / np.maximum(np.hypot(*mean.T), 1e-12)[:, None]
    found: Floats = np.column_stack((mean[:, 1], -mean[:, 0])) * (1.0 if left else -1.0)
    return found


def off_edge(points: Floats, left: bool, by: float) -> Floats:
    """Return a line beside an edge, `by` mm outside the cloth's seam line (inside where it is below 0)."""
    found: Floats = points + outward(points, left) * by
    return found


def leaves_of(walk: Walk) -> list[slice]:
    """Return the stretches of a walk between its darts, where the tape does not stand still."""
    leaps = np.flatnonzero((np.diff(walk.gone) < 1e-9) & (np.hypot(*np.diff(walk.points, axis=0).T) > 1e-6)) + 1
    bounds = [0, *leaps.tolist(), len(walk.gone)]
    return [slice(a, b) for a, b in pairwise(bounds) if b - a > 1]


def _plan_over(laying: Laying, net: float, right_together: bool) -> Plan:
    """Return one side laid over the other, a corner of what lies above turned back."""
    lower_side = laying.cloths[0].side
    lower, upper = laying.of_side(lower_side), laying.of_side(1 - lower_side)
    faces: tuple[Face, Face] = ("right", "wrong") if right_together else ("wrong", "right")
    scene: list[Item] = [Area(each.ring, faces[0], name=each.cut.piece.name) for each in lower]
    edges = [each.edge(walk) for each in upper for walk in each.walks]
    keep = np.concatenate(edges)
    for each in upper:
        scene += upper_cloth(each.ring, keep, faces[1], each.cut.piece.name)
    for each in upper:
        for walk in each.walks:
            scene += _row(each.edge(walk), walk, each.left(walk), net)
    for each in upper:
        for walk in each.walks:
            scene += _pins(each, walk, net)
    for each in (*lower, *upper):
        scene += notches_of(each)
    together = "right sides together" if right_together else "wrong sides together"
    return Plan(tuple(scene), f"{_names(upper)} on {_names(lower)}, {together}")


def _names(cloths: Sequence[Laid]) -> str:
    return " and ".join(dict.fromkeys(each.cut.piece.name for each in cloths))


def upper_cloth(ring: Floats, keep: Floats, face: Face, name: str = "") -> list[Item]:
    """Return a cloth with a corner turned back, away from what must be kept (n, 2), where it has such a corner."""
    turned = turned_corner(ring, keep)
    if turned is None:
        return [Area(ring, face, name=name)]
    kept, flap = turned
    other: Face = "right" if face == "wrong" else "wrong"
    return [Area(kept, face, name=name), Area(flap, other)]


def turned_corner(ring: Floats, keep: Floats) -> tuple[Floats, Floats] | None:
    """Return the cloth without its corner farthest from `keep` (n, 2), and that corner turned back; None without."""
    points = ring[:-1]
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    turn = np.angle((after[:, 0] + 1j * after[:, 1]) * (before[:, 0] - 1j * before[:, 1]))
    turn = turn * (1.0 if area(ring) >= 0 else -1.0)
    sharp = np.flatnonzero(turn > _SHARP)
    if not len(sharp):
        return None
    size = np.ptp(points, axis=0)
    far = np.array([np.hypot(*(keep - points[k]).T).min() for k in sharp])
    best = int(sharp[np.argmax(far)])
    reach = min(_TURNED_BACK * float(size.min()), 0.6 * float(far.max()), 0.3 * float(size.max()))
    if reach < 0.05 * float(size.max()) and reach < 0.3 * float(size.min()):
        return None
    corner = complex(*points[best])
    a, b = -before[best], after[best]
    bisector = complex(*(a / max(np.hypot(*a), 1e-9) + b / max(np.hypot(*b), 1e-9)))
    if abs(bisector) < 1e-6:
        return None
    inward = bisector / abs(bisector)
    at = corner + inward * reach * 0.75
    kept, flap = parted(ring, at, inward * 1j, keep=at + inward)
    if len(kept) < 4 or len(flap) < 4 or abs(area(flap)) > 0.4 * abs(area(ring)):
        return None
    z = flap[:, 0] + 1j * flap[:, 1] - at
    axis = inward * 1j
    back = (z / axis).conj() * axis + at
    return kept, np.column_stack((back.real, back.imag))


def _row(points: Floats, walk: Walk, left: bool, net: float) -> list[Item]:
    return [Line(off_edge(points[leaf], left, net), "row", "row of stitches") for leaf in leaves_of(walk)]


def _pins(each: Laid, walk: Walk, net: float) -> list[Item]:
    marked = [at for at, _ in walk.notches]
    alongs = [share * walk.length for share in _PINS]
    clear = [at for at in alongs if all(abs(at - other) > 0.04 * walk.length for other in marked)]
    at, way = _spots(each, walk, clear, net)
    return [Sign("pin", (p[0], p[1]), (w[0], w[1])) for p, w in zip(at.tolist(), way.tolist(), strict=True)]


def _spots(each: Laid, walk: Walk, alongs: Sequence[float], off: float) -> tuple[Floats, Floats]:
    """Return the points `off` mm outside a walk at mm along it, on the table, and the ways out of the cloth there."""
    if not alongs:
        return np.empty((0, 2)), np.empty((0, 2))
    step = max(walk.length * 1e-3, 1e-6)
    where = np.asarray(alongs, dtype=np.float64)
    a, b = (each.lie.put(walk.at(np.clip(where + by, 0.0, walk.length))) for by in (-step, step))
    way = b - a
    way = way / np.maximum(np.hypot(*way.T), 1e-12)[:, None]
    out = np.column_stack((way[:, 1], -way[:, 0])) * (1.0 if each.left(walk) else -1.0)
    return each.lie.put(walk.at(where)) + out * off, out


def notches_of(each: Laid) -> list[Item]:
    """Return the notches of a cloth's walks, at its raw edge."""
    found: list[Item] = []
    for walk in each.walks:
        at, way = _spots(each, walk, [at for at, _ in walk.notches], walk.allowance)
        found += [Sign("notch", (p[0], p[1]), (w[0], w[1])) for p, w in zip(at.tolist(), way.tolist(), strict=True)]
    return found


def _plan_apart(laying: Laying, net: float) -> Plan:
    """Return the two sides edge to edge, opened out, with ties between what meets."""
    scene: list[Item] = [Area(each.ring, "right", name=each.cut.piece.name) for each in laying.cloths]
    for each in laying.cloths:
        for walk in each.walks:
            scene += _row(each.edge(walk), walk, each.left(walk), net)
        scene += notches_of(each)
    sides = [laying.of_side(0), laying.of_side(1)]
    ends = [_along_side(side, (0.0, 0.25, 0.5, 0.75, 1.0)) for side in sides]
    scene += [Line(np.array(pair), "measure", "meets") for pair in zip(*ends, strict=True)]
    first, second = (_names(side) for side in sides)
    return Plan(tuple(scene), f"{first} to {second}, edge to edge as they meet")


def _along_side(side: Sequence[Laid], shares: Sequence[float]) -> Floats:
    walks = [(each, walk) for each in side for walk in each.walks]
    starts = np.concatenate([[0.0], np.cumsum([walk.length for _, walk in walks])])
    found = []
    for share in shares:
        goal = share * starts[-1]
        k = min(int(np.searchsorted(starts, goal, side="right")) - 1, len(walks) - 1)
        each, walk = walks[max(k, 0)]
        found.append(each.lie.put(walk.at([goal - starts[max(k, 0)]]))[0])
    return np.array(found)


def _plan_open(first: Sequence[Walk], second: Sequence[Walk], net: float) -> Plan | None:
    """Return one cloth flat, both of its edges that meet marked: for a cloth that no single fold brings together."""
    ring = ring_of(first[0].cut)
    if ring is None:
        return None
    scene: list[Item] = [Area(ring, "wrong", name=first[0].cut.piece.name)]
    for walk in (*first, *second):
        scene += _row(walk.points, walk, walk.left, net)
    for share in (0.1, 0.9):
        a = first[0].at([share * first[0].length])[0]
        b = second[0].at([share * second[0].length])[0]
        scene.append(Line(np.array([a, b]), "measure", "meets"))
    return Plan(tuple(scene), f"{first[0].cut.piece.name}: its two edges meet")


def _plan_folded(folded: Folded, net: float, right_together: bool) -> Plan:
    """Return one cloth folded on itself, its row along the edges that meet."""
    name = folded.cut.piece.name
    faces: tuple[Face, Face] = ("right", "wrong") if right_together else ("wrong", "right")
    keep = folded.edges[0]
    scene: list[Item] = [Area(folded.under, faces[0])]
    scene += upper_cloth(folded.over, keep, faces[1], name)
    scene.append(_fold_line(folded))
    walk = folded.walks[0]
    for leaf in leaves_of(walk):
        scene.append(Line(off_edge(walk.points[leaf], folded.left, net), "row", "row of stitches"))
    laid = Laid(walk.cut, Lie(), folded.under, (walk,), 0)
    scene += _pins(laid, walk, net)
    together = "right sides inside" if right_together else "wrong sides inside"
    return Plan(tuple(scene), f"{name} folded, {together}", _long_window(folded))


def _fold_line(folded: Folded) -> Item:
    z = ((folded.over[:, 0] + 1j * folded.over[:, 1]) - folded.at) / folded.way
    near = z.real[np.abs(z.imag) < 1e-3 * max(float(np.abs(z).max()), 1.0)]
    low, high = (float(near.min()), float(near.max())) if len(near) > 1 else (float(z.real.min()), float(z.real.max()))
    ends = [folded.at + folded.way * along for along in (low, high)]
    return Line(np.array([[end.real, end.imag] for end in ends]), "fold", "fold")


def _long_window(folded: Folded) -> Box | None:
    return long_window((folded.under, folded.over))


def long_window(rings: Sequence[Floats]) -> Box | None:
    """Return a window on the upper end of what is much longer than wide, so that its width can be seen; else None."""
    points = np.concatenate(rings)
    low, high = points.min(axis=0), points.max(axis=0)
    wide, tall = (high - low).tolist()
    most, slack = 5.0, 0.02 * min(wide, tall)
    if tall > most * wide > 0:
        return float(low[0]) - slack, float(high[1] - most * wide), float(high[0]) + slack, float(high[1]) + slack
    if wide > most * 2 * tall > 0:
        return float(low[0]) - slack, float(low[1]) - slack, float(low[0] + 2 * most * tall), float(high[1]) + slack
    return None
