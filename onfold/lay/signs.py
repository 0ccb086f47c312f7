"""The signs of a lay as strokes, in mm of the paper: arrows, the fold's bracket, chalk arrows, dimensions, breaks."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from onfold.drawing import Layer, PenName, Stroke, Word
from onfold.geometry.hatching import Segment
from onfold.geometry.path import Path, cubic, joined, line, polyline
from onfold.geometry.point import direction
from onfold.lettering import width_of

Point = tuple[float, float]
Floats = NDArray[np.float64]
_QUARTER = 0.5522847498
"""Handle of the cubic that stands for a quarter circle, of its radius [A: 4/3 (√2 - 1)]."""
_LIGHT = 3.2
"""mm: shorter chalk arrows are drawn lighter, so that they don't fill up."""


@dataclass(frozen=True)
class View:
    """A stretch of the cloth, x `low` to `high` mm, drawn at 1 : `scale` with its (low, 0) at the origin."""

    scale: float
    low: float
    high: float

    def at(self, points: Floats | Sequence[Point]) -> Floats:
        """Return points (n, 2) of the cloth on the paper, mm."""
        found: Floats = (np.asarray(points, dtype=np.float64).reshape(-1, 2) - (self.low, 0.0)) / self.scale
        return found

    def point(self, x: float, y: float) -> Point:
        """Return one point of the cloth on the paper."""
        return (x - self.low) / self.scale, y / self.scale

    @property
    def wide(self) -> float:
        """Return how wide the stretch is on the paper, mm."""
        return (self.high - self.low) / self.scale


def step(at: Point, way: Point, mm: float, aside: float = 0.0) -> Point:
    """Return the point `mm` along the direction and `aside` to its left."""
    return at[0] + way[0] * mm - way[1] * aside, at[1] + way[1] * mm + way[0] * aside


def ruled(segments: Sequence[Segment], pen: PenName, layer: Layer, name: str = "") -> list[Stroke]:
    """Return straight strokes; the first alone carries the name."""
    return [Stroke(line(a, b), pen, layer, name="" if k else name) for k, (a, b) in enumerate(segments)]


def head(tip: Point, way: Point, layer: Layer, size: float) -> Stroke:
    """Return a filled arrowhead `size` mm long with its tip at a point, pointing along `way`."""
    corners = (
        tip,
        step(tip, way, -size, size * 0.26),
        step(tip, way, -size * 0.8),
        step(tip, way, -size, -size * 0.26),
        tip,
    )
    return Stroke(polyline(corners), "fill", layer, closed=True, filled=True)


def chalk_arrow(middle: Point, way: Point, size: float, name: str) -> list[Stroke]:
    """Return an open arrow `size` mm long about its middle, as it is chalked on the back: it points to the top."""
    tip, tail = step(middle, way, size / 2), step(middle, way, -size / 2)
    barbs = (step(tip, way, -size * 0.36, size * 0.24), tip, step(tip, way, -size * 0.36, -size * 0.24))
    pen: PenName = "notch" if size > _LIGHT else "grain"
    return [Stroke(line(tail, tip), pen, "marks", name=name), Stroke(polyline(barbs), pen, "marks")]


def bracket(a: Point, b: Point, inset: float) -> list[Stroke]:
    """Return the bent double arrow whose two heads touch the fold at a and b; it lies to the left of a → b."""
    way = direction(a, b)
    inward = (-way[1], way[0])
    bend = inset * 0.4
    k = bend * (1 - _QUARTER)
    turn_a, turn_b = step(a, inward, inset), step(b, inward, inset)
    tip = inset * 0.5
    path = joined(
        (
            line(step(a, inward, tip * 0.8), step(a, inward, inset - bend)),
            cubic(
                step(a, inward, inset - bend), step(a, inward, inset - k), step(turn_a, way, k), step(turn_a, way, bend)
            ),
            line(step(turn_a, way, bend), step(turn_b, way, -bend)),
            cubic(
                step(turn_b, way, -bend),
                step(turn_b, way, -k),
                step(b, inward, inset - k),
                step(b, inward, inset - bend),
            ),
            line(step(b, inward, inset - bend), step(b, inward, tip * 0.8)),
        )
    )
    out = (-inward[0], -inward[1])
    return [
        Stroke(path, "furniture", "fold lines", name="on the fold"),
        *(head(x, out, "fold lines", tip) for x in (a, b)),
    ]


def circle(at: Point, radius: float) -> Path:
    """Return a circle as four cubics."""
    k, (x, y), r = radius * _QUARTER, at, radius
    return joined(
        (
            cubic((x + r, y), (x + r, y + k), (x + k, y + r), (x, y + r)),
            cubic((x, y + r), (x - k, y + r), (x - r, y + k), (x - r, y)),
            cubic((x - r, y), (x - r, y - k), (x - k, y - r), (x, y - r)),
            cubic((x, y - r), (x + k, y - r), (x + r, y - k), (x + r, y)),
        )
    )


def diamond(at: Point, size: float, name: str) -> Stroke:
    """Return a small diamond: a place where partners meet."""
    x, y = at
    corners = ((x + size, y), (x, y + size), (x - size, y), (x, y - size), (x + size, y))
    return Stroke(polyline(corners), "grain", "marks", closed=True, name=name)


def box(low: Point, high: Point, pen: PenName, layer: Layer, name: str = "") -> Stroke:
    """Return an upright rectangle as one closed path."""
    (a, b), (c, d) = low, high
    return Stroke(polyline(((a, b), (c, b), (c, d), (a, d), (a, b))), pen, layer, closed=True, name=name)


def dimension(a: Point, b: Point, text: str, size: float, short: str = "") -> tuple[list[Stroke], list[Word]]:
    """Return a dimension line from a to b, level or upright, its words in a gap at its middle, or beyond b.

    Where the text finds no room in the gap, `short` is said if there is one.
    """
    way, whole = direction(a, b), math.dist(a, b)
    text = short if short and whole < width_of(text, size) + size * 4.5 else text
    wide, tip = width_of(text, size), size * 1.1
    bars = [
        Stroke(line(step(at, way, 0.0, size * 0.6), step(at, way, 0.0, -size * 0.6)), "furniture", "sheet")
        for at in (a, b)
    ]
    heads = [head(a, (-way[0], -way[1]), "sheet", tip), head(b, way, "sheet", tip)] if whole > tip * 2.4 else []
    angle = 90.0 if abs(way[1]) > 0.5 else 0.0
    if whole >= wide + size * 4.5:
        left = (whole - wide) / 2 - size * 0.6
        lines = [line(a, step(a, way, left)), line(step(b, way, -left), b)]
        word = Word(text, step(a, way, whole / 2, -size * 0.5), size, angle, "middle", "sheet")
    else:
        lines = [line(a, b)]
        word = Word(text, step(b, way, size * 0.8, -size * 0.5), size, angle, "start", "sheet")
    return [*bars, *heads, *(Stroke(each, "furniture", "sheet") for each in lines)], [word]


def torn(x: float, low: float, high: float, size: float, name: str) -> Stroke:
    """Return a wavy upright line: the cloth goes on beyond it."""
    count = max(2, round((high - low) / (size * 1.6)))
    tall = (high - low) / count
    waves = []
    for k in range(count):
        y, bulge = low + k * tall, size * (0.7 if k % 2 else -0.7)
        waves.append(cubic((x, y), (x + bulge, y + tall / 3), (x + bulge, y + tall * 2 / 3), (x, y + tall)))
    return Stroke(joined(waves), "furniture", "sheet", name=name)
