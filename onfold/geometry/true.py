"""Truing: one smooth curve in place of a run with corners, near its own length."""

from __future__ import annotations

from collections.abc import Sequence

from onfold.geometry.path import Path, at, end, end_tangent, length, smooth, start, start_tangent
from onfold.geometry.point import Point, between, midpoint


def trued(path: Path, corners: Sequence[float], grow: float) -> Path:
    """Return one smooth curve from end to end, its end directions kept, that is at most `grow` mm longer.

    It runs through the corners (mm along) where that adds no more than `grow`; else every corner is drawn towards the
    middle of its neighbours until it adds just that.
    """
    if not corners:
        return path
    nodes = [start(path), *(at(path, mm) for mm in corners), end(path)]
    most = length(path) + grow

    def rounded(share: float) -> Path:
        inner = [between(b, midpoint(a, c), share) for a, b, c in zip(nodes, nodes[1:], nodes[2:], strict=False)]
        points: list[Point] = [nodes[0], *inner, nodes[-1]]
        return smooth(points, start_tangent=start_tangent(path), end_tangent=end_tangent(path))

    curve = rounded(0.0)
    if length(curve) <= most:
        return curve
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = (low + high) / 2.0
        low, high = (middle, high) if length(rounded(middle)) > most else (low, middle)
    return rounded(high)
