"""The signs of the trade as strokes: arrowheads, grain line, the fold's bracket, notches, crossed circles, rulers."""

from __future__ import annotations

import math

from onfold.drawing import Layer, PenName, Stroke, Word
from onfold.geometry.path import Path, cubic, joined, line, polyline

Point = tuple[float, float]

ARROW = (6.0, 2.6)
"""Length and width of an arrowhead, mm."""
_QUARTER = 0.5522847498
"""Handle of the cubic that stands for a quarter circle, of its radius [A: 4/3 (√2 - 1)]."""


def unit(a: Point, b: Point) -> Point:
    """Return the direction from a to b, of length 1; (1, 0) where they are one point."""
    size = math.hypot(b[0] - a[0], b[1] - a[1])
    return ((b[0] - a[0]) / size, (b[1] - a[1]) / size) if size > 0 else (1.0, 0.0)


def step(at: Point, way: Point, mm: float, aside: float = 0.0) -> Point:
    """Return the point `mm` along the direction and `aside` to its left."""
    return at[0] + way[0] * mm - way[1] * aside, at[1] + way[1] * mm + way[0] * aside


def arrowhead(tip: Point, way: Point, layer: Layer, size: Point = ARROW) -> Stroke:
    """Return a filled arrowhead with its tip at a point, pointing along `way`."""
    back = size[0]
    corners = (
        tip,
        step(tip, way, -back, size[1] / 2),
        step(tip, way, -back * 0.8),
        step(tip, way, -back, -size[1] / 2),
        tip,
    )
    return Stroke(polyline(corners), "fill", layer, closed=True, filled=True)


def grain_line(start: Point, end: Point, one_way: bool, name: str) -> list[Stroke]:
    """Return a grain line with a head at both ends, or at its upper end only for cloth with one way up."""
    if one_way and end[1] < start[1]:
        start, end = end, start
    way = unit(start, end)
    low = start if one_way else step(start, way, ARROW[0] * 0.8)
    shaft = Stroke(line(low, step(end, way, -ARROW[0] * 0.8)), "grain", "grain lines", name=name)
    heads = [arrowhead(end, way, "grain lines")]
    if not one_way:
        heads.append(arrowhead(start, (-way[0], -way[1]), "grain lines"))
    return [shaft, *heads]


def fold_bracket(a: Point, b: Point, inset: float, name: str) -> list[Stroke]:
    """Return the bent double arrow whose two heads touch the fold at a and b; it lies to the left of a → b."""
    way = unit(a, b)
    inward = (-way[1], way[0])
    out = (-inward[0], -inward[1])
    bend = inset * 0.35
    k = bend * (1 - _QUARTER)
    turn_a, turn_b = step(a, inward, inset), step(b, inward, inset)
    path = joined(
        (
            line(step(a, inward, ARROW[0] * 0.7), step(a, inward, inset - bend)),
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
            line(step(b, inward, inset - bend), step(b, inward, ARROW[0] * 0.7)),
        )
    )
    heads = [arrowhead(step(at, inward, 0.4), out, "fold lines") for at in (a, b)]
    return [Stroke(path, "grain", "fold lines", name=name), *heads]


def notch(foot: Point, head: Point, double: bool, name: str) -> list[Stroke]:
    """Return a balance mark from the seam line (`foot`) to the cut line (`head`): a stem, a wedge at its end."""
    way = unit(foot, head)
    reach = math.hypot(head[0] - foot[0], head[1] - foot[1])
    deep = min(4.0, reach * 0.6)
    strokes = []
    for aside in (-2.5, 2.5) if double else (0.0,):
        low, top = step(foot, way, 0.0, aside), step(foot, way, reach, aside)
        strokes.append(Stroke(line(low, top), "notch", "marks", name=name))
        wedge = (step(top, way, 0, 1.7), step(top, way, -deep), step(top, way, 0, -1.7), step(top, way, 0, 1.7))
        strokes.append(Stroke(polyline(wedge), "fill", "marks", closed=True, filled=True))
    return strokes


def crossed_circle(at: Point, radius: float, name: str) -> list[Stroke]:
    """Return a small circle with a cross through it: a place to be marked on the cloth."""
    arm = radius * 1.6
    cross = [
        Stroke(line((at[0] - arm, at[1]), (at[0] + arm, at[1])), "inner", "marks"),
        Stroke(line((at[0], at[1] - arm), (at[0], at[1] + arm)), "inner", "marks"),
    ]
    return [Stroke(circle(at, radius), "grain", "marks", closed=True, name=name), *cross]


def dart_dot(at: Point, name: str) -> list[Stroke]:
    """Return the dot at a dart's point: a filled spot in a ring."""
    return [
        Stroke(circle(at, 0.7), "fill", "marks", closed=True, filled=True),
        Stroke(circle(at, 2.2), "furniture", "marks", closed=True, name=name),
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


def rectangle(low: Point, high: Point, pen: PenName, layer: Layer, name: str = "") -> Stroke:
    """Return an upright rectangle as one closed path."""
    (a, b), (c, d) = low, high
    return Stroke(polyline(((a, b), (c, b), (c, d), (a, d), (a, b))), pen, layer, closed=True, name=name)


def test_square(low: Point) -> list[Stroke]:
    """Return the 100 mm square: one closed path, its lower left corner at `low`."""
    return [rectangle(low, (low[0] + 100.0, low[1] + 100.0), "grain", "sheet", "100 mm square")]


def upright_ruler(low: Point) -> tuple[list[Stroke], list[Word]]:
    """Return the 200 mm line standing on `low`, ticks every 10 mm on its left, and its words."""
    x, y = low
    strokes = [Stroke(line(low, (x, y + 200.0)), "grain", "sheet", name="200 mm line")]
    words = []
    for tenth in range(21):
        size = 6.0 if tenth % 10 == 0 else 4.0 if tenth % 5 == 0 else 2.0
        strokes.append(Stroke(line((x, y + 10 * tenth), (x - size, y + 10 * tenth)), "furniture", "sheet"))
        if tenth % 5 == 0 and 0 < tenth < 20:
            words.append(Word(str(10 * tenth), (x - size - 0.8, y + 10 * tenth - 0.9), 1.8, 0.0, "end", "sheet"))
    words.append(Word("this line: 200 mm", (x - 6.0, y + 75.0), 2.0, 90.0, "middle", "sheet"))
    return strokes, words


def inch_ruler(low: Point, inches: int = 6) -> tuple[list[Stroke], list[Word]]:
    """Return a ruler of whole inches from `low` to the right, with eighths, and its words."""
    x, y = low
    strokes = [Stroke(line(low, (x + 25.4 * inches, y)), "grain", "sheet", name=f"{inches} inch ruler")]
    heights = {0: 5.0, 4: 3.5, 2: 2.5, 6: 2.5}
    for eighth in range(8 * inches + 1):
        at = x + 25.4 * eighth / 8
        tall = heights.get(eighth % 8, 1.5)
        strokes.append(Stroke(line((at, y), (at, y + tall)), "furniture", "sheet"))
    words = [Word(str(inch), (x + 25.4 * inch, y + 6.0), 2.0, 0.0, "middle", "sheet") for inch in range(inches + 1)]
    words.append(Word(f"this ruler: {inches} inches", (x + 12.7, y - 3.4), 2.0, 0.0, "start", "sheet"))
    return strokes, words
