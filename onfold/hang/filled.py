"""A panel filled with triangles, its outline sampled where its neighbours are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from onfold.geometry.fault import Fault
from onfold.geometry.path import points_along
from onfold.hang.flat import Size, triangulated
from onfold.hang.net import Floats, Ints
from onfold.hang.parts import Key, Panel, Parts
from onfold.hang.sampled import Samples


@dataclass(frozen=True, eq=False)
class Patch:
    """One panel filled: points (k, 2), triangles, and where each line's samples lie among the points."""

    panel: Panel
    points: Floats
    tri: Ints
    where: Mapping[tuple[Key, int], int]


def fill(panel: Panel, parts: Parts, samples: Samples, size: Size) -> Patch | Fault:
    """Return the panel filled with triangles, one that is alike on both sides by its half and the half's mirror."""
    ring: list[Floats] = []
    where: dict[tuple[Key, int], int] = {}
    for stretch in panel.ring:
        along = samples.along[stretch.key]
        low, high = min(stretch.begin, stretch.finish), max(stretch.begin, stretch.finish)
        inside = np.flatnonzero((along >= low - 0.01) & (along <= high + 0.01))
        if stretch.begin > stretch.finish:
            inside = inside[::-1]
        points = points_along(parts.paths[stretch.key], along[inside])
        for k, point in zip(inside.tolist(), points, strict=True):
            if ring and np.hypot(*(point - ring[-1])) < 0.05:
                where[stretch.key, k] = len(ring) - 1
                continue
            where[stretch.key, k] = len(ring)
            ring.append(point)
    if len(ring) > 1 and np.hypot(*(ring[-1] - ring[0])) < 0.05:
        last = len(ring) - 1
        ring.pop()
        where = {each: (0 if at == last else at) for each, at in where.items()}
    outline = np.array(ring)
    if not panel.piece.on_fold and not panel.piece.mirrored_pair:
        halved = _whole(outline, size)
        if halved is not None:
            points, tri = halved
            return Patch(panel, points, tri, _found(where, outline, points))
    filled = triangulated(outline, size)
    if isinstance(filled, Fault):
        return filled
    return Patch(panel, *filled, where)


def _found(where: Mapping[tuple[Key, int], int], outline: Floats, points: Floats) -> dict[tuple[Key, int], int]:
    out = {}
    for each, at in where.items():
        away = ((points - outline[at]) ** 2).sum(axis=1)
        if away.min() < 0.25:
            out[each] = int(away.argmin())
    return out


def _whole(outline: Floats, size: Size) -> tuple[Floats, Ints] | None:
    """Fill an outline that is alike on both sides by its half and the half's mirror; None where it is not alike."""
    middle = 0.5 * (outline[:, 0].min() + outline[:, 0].max())
    turned = outline * (-1.0, 1.0) + (2.0 * middle, 0.0)
    away = ((outline[:, None] - turned[None]) ** 2).sum(axis=2).min(axis=1)
    if away.max() > 0.25:
        return None
    ring = np.concatenate([outline, outline[:1]])
    half: list[Floats] = []
    for a, b in pairwise(ring):
        if a[0] >= middle - 0.02:
            half.append(np.array([max(a[0], middle), a[1]]) if a[0] > middle + 0.02 else np.array([middle, a[1]]))
        if (a[0] - middle) * (b[0] - middle) < 0.0 and abs(a[0] - middle) > 0.02 and abs(b[0] - middle) > 0.02:
            share = (middle - a[0]) / (b[0] - a[0])
            half.append(np.array([middle, a[1] + share * (b[1] - a[1])]))
    on = [n for n, p in enumerate(half) if p[0] <= middle + 0.02]
    if len(on) != 2:
        return None
    full: list[Floats] = []
    for n, p in enumerate(half):
        full.append(p)
        q = half[(n + 1) % len(half)]
        if p[0] <= middle + 0.02 and q[0] <= middle + 0.02:
            step = float(size(np.array([0.5 * (p + q)]))[0])
            count = max(1, round(abs(float(q[1] - p[1])) / step))
            full += [np.array([middle, p[1] + (q[1] - p[1]) * k / count]) for k in range(1, count)]
    filled = triangulated(np.array(full), size)
    if isinstance(filled, Fault):
        return None
    points, tri = filled
    beyond = points[:, 0] > middle + 0.02
    twin = np.where(beyond, len(points) + np.cumsum(beyond) - 1, np.arange(len(points)))
    other = points[beyond] * (-1.0, 1.0) + (2.0 * middle, 0.0)
    return np.concatenate([points, other]), np.concatenate([tri, twin[tri][:, ::-1]])
