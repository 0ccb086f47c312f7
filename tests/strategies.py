"""Generators for property tests: paths, outlines and pieces with allowances, sound and broken. Millimetres.

Seeded numpy generators stand beside the hypothesis strategies, for laws that run over thousands of pieces.
"""

from __future__ import annotations

import math

import numpy as np
from hypothesis import strategies as st

from onfold.geometry.offset import OffsetEdge
from onfold.geometry.path import Path, cubic, joined, line, polyline, smooth

coordinates = st.floats(-1000.0, 1000.0, allow_nan=False, width=32)
points = st.tuples(coordinates, coordinates)
wild_numbers = st.one_of(
    st.floats(allow_nan=True, allow_infinity=True), st.sampled_from([0.0, 1e-12, 1e300, -1e300, math.inf, math.nan])
)
wild_points = st.tuples(wild_numbers, wild_numbers)
widths = st.sampled_from([0.0, 1.0, 6.0, 10.0, 15.0, 40.0])
corners = st.sampled_from(["mitred", "square", "mirrored"])
lines = st.builds(line, points, points)
cubics = st.builds(cubic, points, points, points, points)
seeds = st.integers(0, 2**32 - 1)


@st.composite
def paths(draw: st.DrawFn, most: int = 4) -> Path:
    """Paths of up to `most` lines and cubics, each beginning where the last one ended."""
    spot = draw(points)
    parts = []
    for _ in range(draw(st.integers(1, most))):
        following = draw(points)
        parts.append(
            line(spot, following) if draw(st.booleans()) else cubic(spot, draw(points), draw(points), following)
        )
        spot = following
    return joined(parts)


def random_outline(random: np.random.Generator, most: int = 12) -> list[Path]:
    """Edges of a star-shaped anticlockwise outline, lines and curves mixed; corners sharp, hollow or smooth."""
    count = int(random.integers(3, most + 1))
    steps = random.uniform(0.3, 1.0, count)
    angles = np.cumsum(steps / steps.sum() * 2 * math.pi)
    reach = random.uniform(60.0, 400.0, count)
    corner = [(float(r * math.cos(a)), float(r * math.sin(a))) for r, a in zip(reach, angles, strict=True)]
    return [_random_edge(random, corner[k], corner[(k + 1) % count]) for k in range(count)]


def _random_edge(random: np.random.Generator, a: tuple[float, float], b: tuple[float, float]) -> Path:
    kind = random.integers(0, 4)
    if kind == 0:
        return line(a, b)
    way, side = (b[0] - a[0], b[1] - a[1]), (a[1] - b[1], b[0] - a[0])
    s, t = random.uniform(0.15, 0.5), random.uniform(0.5, 0.85)
    u, v = random.uniform(-0.2, 0.2, 2)
    first = (a[0] + s * way[0] + u * side[0], a[1] + s * way[1] + u * side[1])
    second = (a[0] + t * way[0] + v * side[0], a[1] + t * way[1] + v * side[1])
    if kind == 1:
        return smooth([a, first, second, b])
    if kind == 2:
        return polyline([a, first, second, b])
    return cubic(a, first, second, b)


def random_piece(random: np.random.Generator, most: int = 12) -> list[OffsetEdge]:
    """A random outline with an allowance and a corner treatment for each edge."""
    return [
        OffsetEdge(
            path,
            float(random.choice([0.0, 1.0, 6.0, 10.0, 15.0, 40.0])),
            random.choice(["mitred", "square", "mirrored"]),
        )
        for path in random_outline(random, most)
    ]


def fold_piece(random: np.random.Generator) -> list[OffsetEdge]:
    """A half piece on the fold at x = 0: fold, hem, side of two curves, shoulder, neck."""
    w, h = float(random.uniform(120, 300)), float(random.uniform(300, 900))
    hem, neck = float(random.uniform(0.7, 1.4)) * w, float(random.uniform(40, 0.5 * w + 20))
    drop = float(random.uniform(-30.0, 160.0))
    under, top = (w, 0.65 * h), (0.6 * w + 20, h)
    outline = [
        (line((0.0, h - drop), (0.0, 0.0)), 0.0, True),
        (line((0.0, 0.0), (hem, float(random.uniform(-20, 40)))), 40.0, False),
    ]
    side = smooth([outline[1][0].curves[0, 3].tolist(), (0.9 * w, 0.35 * h), under])
    armhole = smooth([under, (0.75 * w, 0.8 * h), top])
    shoulder = line(top, (neck, h + 20))
    collar = cubic((neck, h + 20), (0.9 * neck, h - 0.7 * drop), (0.5 * neck, h - drop), (0.0, h - drop))
    outline += [(side, 15.0, False), (armhole, 8.0, False), (shoulder, 12.0, False), (collar, 8.0, False)]
    kinds = [str(random.choice(["mitred", "square", "mirrored"])) for _ in outline]
    return [
        OffsetEdge(path, width, kind, fold)  # type: ignore[arg-type]
        for (path, width, fold), kind in zip(outline, kinds, strict=True)
    ]


pieces = st.builds(lambda seed: random_piece(np.random.default_rng(seed)), seeds)
fold_pieces = st.builds(lambda seed: fold_piece(np.random.default_rng(seed)), seeds)
