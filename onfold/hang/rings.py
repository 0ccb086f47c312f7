"""Half rings round the form, a little off it: where cloth goes that is laid round the body and over it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from onfold.body.form import Form, section
from onfold.geometry.region import hull
from onfold.hang.net import Floats

OFF = 12.0
"""mm between the form and the cloth at the start."""
RING = 49


@dataclass(frozen=True, eq=False)
class Rings:
    """Half rings round the form, `OFF` mm off: points (h, RING, 2), x and z, at `heights` (h,), `half` (h,) mm long."""

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
