"""The grid over a form's skin made into a closed mesh, and what a tape finds on a mesh."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from onfold.body.form_levels import Plan, Side
from onfold.body.form_surface import TRUNK, Profiles, radius

Array = NDArray[np.float64]
Faces = NDArray[np.int32]

PITCH = 14.5
"""Wanted edge of the mesh, mm, for a grown body."""


def around(plan: Plan) -> int:
    """Return how many points stand in a ring: a multiple of 16, so that the caps can halve them."""
    largest = max(plan.girths.values())
    return 16 * int(np.clip(np.round(largest / PITCH / 16.0), 4, 7))


def heights(plan: Plan) -> tuple[Array, dict[str, int]]:
    """Return the heights (k,) of the level rings from the hem to the underarm, and which of them each level is."""
    rows, place = [plan.levels["hem"]], {"hem": 0}
    for low, high in pairwise(TRUNK):
        gap = plan.levels[high] - plan.levels[low]
        # Below the thighs the column is all but straight: longer steps lose nothing there.
        pitch = (1.5 if high in ("knee", "thigh") else 1.0) * max(PITCH * plan.scale, 8.0)
        count = max(int(np.ceil(gap / pitch)), 1)
        rows += [plan.levels[low] + gap * step / count for step in range(1, count + 1)]
        place[high] = len(rows) - 1
    return np.array(rows), place


def half_grid(plan: Plan, made: Profiles, side: Side, n: int) -> tuple[Array, int]:
    """Return the points (rows, n / 2 + 1, 3) of one half, x positive, and which row is the neck's root."""
    even = np.linspace(0.0, np.pi, n // 2 + 1)
    # A trunk is broader than deep: closer angles at the side give edges that are alike all round.
    angle = even + 0.12 * np.sin(2.0 * even)
    level, _ = heights(plan)
    y = np.repeat(level[:, None], len(angle), axis=1)
    above, root = _upper_heights(plan, made, side, angle, level[-1])
    y = np.concatenate([y, above])
    turned = np.broadcast_to(angle, y.shape)
    out = radius(plan, made, side, turned, y)
    points = np.stack([out * np.sin(turned), y, np.interp(y, made.y, made.middle) + out * np.cos(turned)], axis=2)
    points[:, 0, 0] = points[:, -1, 0] = 0.0
    return points, len(level) - 1 + root


def _upper_heights(plan: Plan, made: Profiles, side: Side, angle: Array, underarm: float) -> tuple[Array, int]:
    """Give the heights (k, n) of the points above the underarm: along each upright line at even steps."""
    base = root_heights(plan, made, angle)
    front, back = made.pit[0] + 70.0 * plan.scale, made.neck_nape[0] + 29.0 * plan.scale
    top = np.maximum((front + back) / 2.0 + (front - back) / 2.0 * np.cos(angle), base + 10.0 * plan.scale)
    share = np.linspace(0.0, 1.0, 161)[:, None]
    fine = underarm + share * (base - underarm)
    turned = np.broadcast_to(angle, fine.shape)
    out = radius(plan, made, side, turned, fine)
    z = np.interp(fine, made.y, made.middle) + out * np.cos(turned)
    step = np.sqrt(np.diff(out * np.sin(turned), axis=0) ** 2 + np.diff(fine, axis=0) ** 2 + np.diff(z, axis=0) ** 2)
    run = np.concatenate([np.zeros((1, len(angle))), np.cumsum(step, axis=0)])
    rows = _rows_above(plan)
    share = np.linspace(0.0, 1.0, rows + 1)[1:]
    # Closer towards the neck, where the columns draw together.
    wanted = share + 0.1 * np.sin(np.pi * share)
    lower = np.stack([np.interp(wanted * run[-1, at], run[:, at], fine[:, at]) for at in range(len(angle))], axis=1)
    lower[-1] = base
    count = 4
    stump = base + (np.arange(1, count + 1) / count)[:, None] * (top - base)
    return np.concatenate([lower, stump]), rows


def _rows_above(plan: Plan) -> int:
    """Give how many rows lie between underarm and neck: as many as up the plate and along the longer shoulder."""
    plate = plan.levels["neck"] - plan.levels["underarm"] - (plan.left.drop + plan.right.drop) / 2.0
    longest = max(plan.left.shoulder, plan.right.shoulder) + max(plate, 0.0)
    return max(int(np.ceil(longest / (1.05 * PITCH * plan.scale))), 6)


def root_heights(plan: Plan, made: Profiles, angle: Array) -> Array:
    """Return the heights (n,) of the neck's root: level over the shoulder's top, bowed to the pit and to the nape."""
    side = plan.levels["neck"]
    apart = np.where(np.cos(angle) > 0.0, made.pit[0], made.neck_nape[0]) - side
    found: Array = side + apart * np.cos(angle) ** 2
    return found


def closed(left: Array, right: Array) -> tuple[Array, Faces]:
    """Return points and faces of the closed mesh of two halves (rows, n / 2 + 1, 3), the right one given as x < 0."""
    rows, half, _ = left.shape
    n = 2 * (half - 1)
    grid = np.concatenate([left, right[:, -2:0:-1]], axis=1)
    points = [grid.reshape(-1, 3)]
    at = np.arange(rows * n).reshape(rows, n)
    a, b = at[:-1], np.roll(at[:-1], -1, axis=1)
    c, d = at[1:], np.roll(at[1:], -1, axis=1)
    flat = grid.reshape(-1, 3)
    falling, rising = (((flat[p] - flat[q]) ** 2).sum(axis=2) for p, q in ((b, c), (a, d)))
    # The shorter way across each four corners; where both are alike the two sides still mirror one another.
    rises = np.where(np.arange(n) >= half - 1, rising <= falling, rising < falling)[..., None]
    one = np.where(rises, np.stack([a, b, d], 2), np.stack([a, b, c], 2)).reshape(-1, 3)
    two = np.where(rises, np.stack([a, d, c], 2), np.stack([b, d, c], 2)).reshape(-1, 3)
    faces = [one, two]
    start = rows * n
    for ring, upward in ((at[0], False), (at[-1], True)):
        more, caps = _cap(flat[ring], ring, start)
        start += len(more)
        points.append(more)
        faces.append(caps if upward else caps[:, ::-1])
    return np.concatenate(points), np.ascontiguousarray(np.concatenate(faces), dtype=np.int32)


def _cap(edge: Array, ring: NDArray[np.intp], start: int) -> tuple[Array, NDArray[np.intp]]:
    """Give new points and faces of a ring's lid, seen from its outside anticlockwise for an upper one.

    Rings within rings; where the edges have become short every second point is left out.
    """
    middle = edge.mean(axis=0)
    middle[0] = 0.0 if abs(middle[0]) < 1e-6 else middle[0]
    points: list[Array] = []
    faces: list[NDArray[np.intp]] = []
    outer, share, spokes = ring, 1.0, np.arange(len(ring))
    mean_radius = float(np.linalg.norm(edge - middle, axis=1).mean())
    first = 2.0 * np.pi * mean_radius / len(ring)
    while True:
        n = len(outer)
        here = 2.0 * np.pi * mean_radius * share / n
        halve = here < 0.72 * first and n % 2 == 0
        inside = share - 0.9 * first / mean_radius
        if inside * mean_radius < 0.7 * first or n <= 6:
            break
        if halve:
            spokes = spokes[::2]
        share = inside
        new = middle + share * (edge[spokes] - middle)
        inner = np.arange(start, start + len(new))
        start += len(new)
        points.append(new)
        if halve:
            o0, o1, o2 = outer[::2], outer[1::2], np.roll(outer[::2], -1)
            i0, i1 = inner, np.roll(inner, -1)
            faces += [np.stack(each, 1) for each in ((o0, o1, i0), (o1, i1, i0), (o1, o2, i1))]
        else:
            o0, o1, i0, i1 = outer, np.roll(outer, -1), inner, np.roll(inner, -1)
            right = (np.arange(n) >= n // 2)[:, None]
            faces.append(np.where(right, np.stack([o0, o1, i1], 1), np.stack([o0, o1, i0], 1)))
            faces.append(np.where(right, np.stack([o0, i1, i0], 1), np.stack([o1, i1, i0], 1)))
        outer = inner
    points.append(middle[None])
    faces.append(np.stack([outer, np.roll(outer, -1), np.full(len(outer), start)], 1))
    return np.concatenate(points), np.concatenate(faces)


def cut(points: Array, faces: Faces, normal: Array, offset: float) -> list[Array]:
    """Return the closed rings (k, 3) in which the plane `normal` @ p = `offset` cuts a closed mesh.

    A point that lies in the plane counts as above it.
    """
    height = points @ normal - offset
    above = height >= 0.0
    crossed = faces[above[faces].any(axis=1) & ~above[faces].all(axis=1)]
    if not len(crossed):
        return []
    ends: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for a, b, c in crossed.tolist():
        pair = [(min(p, q), max(p, q)) for p, q in ((a, b), (b, c), (c, a)) if above[p] != above[q]]
        ends.setdefault(pair[0], []).append(pair[1])
        ends.setdefault(pair[1], []).append(pair[0])
    rings = []
    while ends:
        first = min(ends)
        ring, at = [first], first
        while at in ends:
            onward = ends.pop(at)
            step = next((each for each in onward if each in ends), None)
            if step is None:
                break
            ring.append(step)
            at = step
        rings.append(_on_edges(points, height, np.array(ring)))
    return rings


def _on_edges(points: Array, height: Array, edges: NDArray[np.intp]) -> Array:
    a, b = edges[:, 0], edges[:, 1]
    share = (height[a] / (height[a] - height[b]))[:, None]
    return np.asarray(points[a] + share * (points[b] - points[a]))
