"""Straight lines cut to size: within a ring, between two bounds, and broken where words stand."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Segment = tuple[tuple[float, float], tuple[float, float]]


def hatch(rings: Sequence[Floats], angle: float, spacing: float) -> list[Segment]:
    """Return parallel lines inside the rings (closed, (n, 2)) by the even-odd rule.

    They run at `angle` degrees, `spacing` apart, on a raster that is the same for all rings: two hatched areas side
    by side read as one texture, told apart by their outlines.
    """
    turn = math.radians(angle)
    cos, sin = math.cos(turn), math.sin(turn)
    level = np.array(((cos, -sin), (sin, cos)))
    flat = [ring @ level for ring in rings if len(ring) > 2]
    if not flat:
        return []
    a = np.concatenate([ring[:-1] for ring in flat])
    b = np.concatenate([ring[1:] for ring in flat])
    low, high = min(ring[:, 1].min() for ring in flat), max(ring[:, 1].max() for ring in flat)
    found: list[Segment] = []
    for row in range(math.ceil(low / spacing), math.floor(high / spacing) + 1):
        y = (row + 1e-7) * spacing
        crossed = (a[:, 1] <= y) != (b[:, 1] <= y)
        p, q = a[crossed], b[crossed]
        xs = np.sort(p[:, 0] + (y - p[:, 1]) / (q[:, 1] - p[:, 1]) * (q[:, 0] - p[:, 0]))
        for x0, x1 in zip(xs[0::2].tolist(), xs[1::2].tolist(), strict=False):
            if x1 - x0 > spacing * 0.15:
                found.append(((x0 * cos - y * sin, x0 * sin + y * cos), (x1 * cos - y * sin, x1 * sin + y * cos)))
    return found


def broken(segments: Sequence[Segment], frames: Sequence[Floats], least: float) -> list[Segment]:
    """Return what is left of the lines outside all frames (convex, (4, 2) anticlockwise), no bit below `least` mm."""
    kept = list(segments)
    for frame in frames:
        low, high = frame.min(axis=0), frame.max(axis=0)
        after: list[Segment] = []
        for segment in kept:
            (ax, ay), (bx, by) = segment
            if max(ax, bx) < low[0] or min(ax, bx) > high[0] or max(ay, by) < low[1] or min(ay, by) > high[1]:
                after.append(segment)
            else:
                after.extend(_outside(segment, frame, least))
        kept = after
    return kept


def _outside(segment: Segment, frame: Floats, least: float) -> list[Segment]:
    """Return the one or two ends of a line that lie outside a convex frame."""
    a, b = np.array(segment[0]), np.array(segment[1])
    enter, leave = 0.0, 1.0
    for p, q in zip(frame, np.roll(frame, -1, axis=0), strict=True):
        edge = q - p
        inside_a = float(edge[0] * (a - p)[1] - edge[1] * (a - p)[0])
        inside_b = float(edge[0] * (b - p)[1] - edge[1] * (b - p)[0])
        if inside_a < 0.0 and inside_b < 0.0:
            return [segment]
        if inside_a < 0.0 <= inside_b:
            enter = max(enter, inside_a / (inside_a - inside_b))
        elif inside_b < 0.0 <= inside_a:
            leave = min(leave, inside_a / (inside_a - inside_b))
    if enter >= leave:
        return [segment]
    size = float(np.hypot(*(b - a)))
    parts = ((0.0, enter), (leave, 1.0))
    return [
        (tuple((a + (b - a) * s).tolist()), tuple((a + (b - a) * t).tolist()))
        for s, t in parts
        if (t - s) * size > least
    ]


def stretch_of_line(points: Floats, low: float, high: float) -> list[Floats]:
    """Return the runs of a polyline (n, 2) that lie between x = low and x = high, cut exactly there."""
    runs: list[Floats] = []
    current: list[Floats] = []
    for a, b in pairwise(points):
        part = _between(a, b, low, high)
        if part is None:
            if current:
                runs.append(np.array(current))
            current = []
            continue
        p, q = part
        if not current:
            current = [p]
        current.append(q)
        if q is not b:
            runs.append(np.array(current))
            current = []
    return [*runs, np.array(current)] if current else runs


def _between(a: Floats, b: Floats, low: float, high: float) -> tuple[Floats, Floats] | None:
    """Return the part of one line between the bounds, its end itself where it is not cut."""
    if max(a[0], b[0]) < low or min(a[0], b[0]) > high:
        return None
    p, q = a, b
    for bound, outside in ((low, -1.0), (high, 1.0)):
        if (a[0] - bound) * outside > 0.0:
            p = a + (b - a) * ((bound - a[0]) / (b[0] - a[0]))
        if (b[0] - bound) * outside > 0.0:
            q = a + (b - a) * ((bound - a[0]) / (b[0] - a[0]))
    return p, q


def stretch_of_ring(ring: Floats, low: float, high: float) -> Floats:
    """Return the closed ring cut to low <= x <= high, (n, 2); empty where nothing is left. Its cut edges are upright.

    Half-plane after half-plane (Sutherland and Hodgman 1974); where a ring is cut into several areas they stay joined
    along the bound, which no even-odd reading minds.
    """
    points = ring
    for bound, outside in ((low, -1.0), (high, 1.0)):
        if not len(points):
            return points
        beyond = (points[:, 0] - bound) * outside > 0.0
        kept: list[Floats] = []
        for k in range(len(points) - 1):
            a, b = points[k], points[k + 1]
            if not beyond[k]:
                kept.append(a)
            if beyond[k] != beyond[k + 1]:
                kept.append(a + (b - a) * ((bound - a[0]) / (b[0] - a[0])))
        points = np.array([*kept, kept[0]]) if len(kept) > 2 else np.zeros((0, 2))
    return points
