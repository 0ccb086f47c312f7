"""A seam cut across and looked at from its end: cloth as ribbons, rows of stitches, raw edges, figures.

Drawing mm. Lengths across the seam are true to one another; the thickness of the cloth and the gaps between layers are
drawn larger than they are, or nothing could be told apart. The right side is the heavy line, the wrong side the thin
one, with fine hatching between them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from onfold.drawing import Anchor, PenName, Stroke, Word
from onfold.geometry.path import line, polyline
from onfold.guide.scene import hatched
from onfold.guide.signs import LETTER, arrowhead
from onfold.lettering import frame_of, width_of

Floats = NDArray[np.float64]
Point = tuple[float, float]

THICK = 2.2
"""How thick a cloth is drawn."""
PITCH = 3.5
"""From the middle of one layer to the middle of the next."""
_TICK = 1.6
_LEAN = 0.9


class Way:
    """The middle line of a ribbon, laid stretch by stretch: it sets out from a point in a direction (degrees)."""

    def __init__(self, start: Point, heading: float) -> None:
        self.points: list[Point] = [start]
        self.heading = math.radians(heading)

    def go(self, length: float) -> Way:
        """Go straight on; a length below nothing is left out."""
        if length > 1e-6:
            x, y = self.points[-1]
            self.points.append((x + length * math.cos(self.heading), y + length * math.sin(self.heading)))
        return self

    def bend(self, degrees: float, radius: float) -> Way:
        """Turn about a centre `radius` to the left, or to the right where the degrees are below 0."""
        x, y = self.points[-1]
        side = 1.0 if degrees >= 0 else -1.0
        centre = (x - side * radius * math.sin(self.heading), y + side * radius * math.cos(self.heading))
        steps = max(2, math.ceil(abs(degrees) / 12.0))
        for k in range(1, steps + 1):
            turned = self.heading + math.radians(degrees) * k / steps
            self.points.append(
                (centre[0] + side * radius * math.sin(turned), centre[1] - side * radius * math.cos(turned))
            )
        self.heading += math.radians(degrees)
        return self

    def sink(self, by: float, radius: float, side: float) -> Way:
        """Move over by `by` to the left (side 1) or right (-1) of the way, and go on in the same direction."""
        turn = math.degrees(math.acos(max(-1.0, 1.0 - by / (2.0 * radius))))
        return self.bend(side * turn, radius).bend(-side * turn, radius)

    @property
    def line(self) -> Floats:
        """Return the points (n, 2)."""
        return np.array(self.points)


@dataclass
class Board:
    """What a section is drawn on, piece by piece; `strokes` and `words` are what is on it so far."""

    strokes: list[Stroke] = field(default_factory=list)
    words: list[Word] = field(default_factory=list)

    def ribbon(self, way: Way, right: float, ends: tuple[bool, bool] = (False, True), thick: float = THICK) -> None:
        """Lay a cloth along a way, its right side to the left (1) or right (-1); `ends` are closed where it is cut."""
        middle = way.line
        across = _normals(middle) * (thick / 2)
        faces = middle + across * right, middle - across * right
        ring = np.vstack((faces[0], faces[1][::-1], faces[0][:1]))
        self.strokes.append(Stroke(polyline(ring), "cover", "picture", closed=True, filled=True))
        self.strokes += hatched(_ticks(*faces), "wrong side")
        self.strokes.append(Stroke(polyline(faces[1]), "furniture", "picture", name="wrong side"))
        self.strokes.append(Stroke(polyline(faces[0]), "cut", "picture", name="right side"))
        for end, closed in zip((0, -1), ends, strict=True):
            if closed:
                self._line(faces[0][end], faces[1][end], "used", "raw edge")

    def ghost(self, a: Point, b: Point) -> None:
        """Draw what was cut away: the outline of a layer from a to b, dotted."""
        (ax, ay), (bx, by) = a, b
        half = THICK / 2
        ring = np.array([(ax, ay + half), (bx, by + half), (bx, by - half), (ax, ay - half)])
        self.strokes.append(Stroke(polyline(ring), "measure", "picture", name="cut away"))

    def stitch(self, x: float, high: float, low: float, kind: str = "straight stitch", label: str = "") -> None:
        """Draw a row of stitches seen from its end, through everything between two heights."""
        top, foot = high + THICK / 2 + 0.9, low - THICK / 2 - 0.9
        if "zigzag" in kind or kind == "twin needle":
            wide = 1.3
            for at in (x - wide, x + wide):
                self._bar(at, top, foot)
            if "zigzag" in kind:
                self._line((x - wide, top), (x + wide, foot), "used")
        else:
            self._bar(x, top, foot)
        if label:
            self.say(label, (x, top + 1.2), "middle")

    def _bar(self, x: float, top: float, foot: float) -> None:
        self._line((x, top), (x, foot), "new", "row of stitches")
        for y in (top, foot):
            self._line((x - 1.0, y), (x + 1.0, y), "notch")

    def level_stitch(self, y: float, left: float, right: float) -> None:
        """Draw a row that passes through two layers standing upright."""
        self._line((left, y), (right, y), "new", "row of stitches")
        for x in (left, right):
            self._line((x, y - 1.0), (x, y + 1.0), "notch")

    def hand_stitch(self, x: float, y: float, kind: str) -> None:
        """Draw a stitch by hand between two layers whose gap is at height y: a cross for catching, a loop else."""
        if kind == "catch stitch":
            self._line((x - 2.2, y - 2.0), (x + 2.2, y + 2.0), "notch", kind)
            self._line((x - 2.2, y + 2.0), (x + 2.2, y - 2.0), "notch")
        else:
            turns = np.linspace(0.0, 2.0 * math.pi, 17)
            ring = np.column_stack((x + 1.3 * np.cos(turns), y + 2.3 * np.sin(turns)))
            self.strokes.append(Stroke(polyline(ring), "notch", "picture", closed=True, name=kind))

    def loop(self, inner: float, edge: float, high: float, low: float) -> None:
        """Draw thread wrapped round raw edges at `edge`, from `inner` on: neatened, or overlocked together."""
        out = 1.6 if edge >= inner else -1.6
        top, foot = high + THICK / 2 + 0.8, low - THICK / 2 - 0.8
        way = Way((inner, top), 0.0 if out > 0 else 180.0).go(abs(edge - inner))
        radius = (top - foot) / 2
        turns = np.linspace(math.pi / 2, -math.pi / 2, 13)
        round_edge = np.column_stack((edge + out * np.cos(turns), (top + foot) / 2 + radius * np.sin(turns)))
        ring = np.vstack((way.line[:1], round_edge, [(inner, foot)]))
        self.strokes.append(Stroke(polyline(ring), "used", "picture", name="thread round the raw edge"))

    def measure(self, a: float, b: float, y: float, said: str, reach: tuple[float, float]) -> None:
        """Draw a figure from x = a to x = b at height y, with lines up or down to the heights in `reach`."""
        low, high = min(a, b), max(a, b)
        for x, to in zip((a, b), reach, strict=True):
            self._line((x, y + (1.0 if y > to else -1.0)), (x, to), "furniture")
        self._line((low, y), (high, y), "furniture", said)
        if high - low > 5.0:
            self.strokes += [arrowhead((low, y), (-1.0, 0.0), 2.0), arrowhead((high, y), (1.0, 0.0), 2.0)]
        else:
            for x, sign in ((low, -1.0), (high, 1.0)):
                self._line((x + sign * 3.2, y), (x, y), "furniture")
                self.strokes.append(arrowhead((x, y), (-sign, 0.0), 2.0))
        wide = width_of(said, LETTER)
        above = y + 1.3 if y > max(reach) - 1e-9 else y - 1.3 - LETTER
        if wide < high - low + 14.0:
            self.say(said, ((low + high) / 2, above), "middle")
        else:
            self.say(said, (high + 4.2, y - LETTER / 2))

    def say(self, said: str, at: Point, anchor: Anchor = "start") -> None:
        """Set a word."""
        self.words.append(Word(said, at, LETTER, anchor=anchor, layer="picture"))

    def _line(self, a: Point | Floats, b: Point | Floats, pen: PenName, name: str = "") -> None:
        self.strokes.append(
            Stroke(line((float(a[0]), float(a[1])), (float(b[0]), float(b[1]))), pen, "picture", name=name)
        )

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Return the box around everything on it; all 0 where there is nothing."""
        points = [stroke.path.curves.reshape(-1, 2) for stroke in self.strokes]
        points += [frame_of(word) for word in self.words]
        if not points:
            return 0.0, 0.0, 0.0, 0.0
        whole = np.concatenate(points)
        return (*whole.min(axis=0).tolist(), *whole.max(axis=0).tolist())


def _normals(points: Floats) -> Floats:
    """Return the direction to the left of a line at each of its points, of size 1 (n, 2)."""
    steps = np.diff(points, axis=0)
    steps = steps / np.maximum(np.hypot(*steps.T), 1e-12)[:, None]
    before, after = np.vstack((steps[:1], steps)), np.vstack((steps, steps[-1:]))
    mean = before + after
    mean = mean / np.maximum(np.hypot(*mean.T), 1e-12)[:, None]
    found: Floats = np.column_stack((-mean[:, 1], mean[:, 0]))
    return found


def _ticks(right: Floats, wrong: Floats) -> list[tuple[Point, Point]]:
    """Return fine lines across a ribbon from its wrong side to its right side, leaning a little."""
    middle = (right + wrong) / 2
    gone = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(middle, axis=0).T))])
    count = int(gone[-1] / _TICK)
    if count < 2:
        return []
    at = (np.arange(count) + 0.5) * gone[-1] / count
    lean = np.minimum(at + _LEAN, gone[-1])

    def on(face: Floats, alongs: Floats) -> Floats:
        return np.column_stack([np.interp(alongs, gone, face[:, axis]) for axis in (0, 1)])

    return [
        ((float(a[0]), float(a[1])), (float(b[0]), float(b[1])))
        for a, b in zip(on(wrong, at), on(right, lean), strict=True)
    ]
