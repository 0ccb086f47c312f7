"""Cloth as it lies on the table, drawn small: areas that show their right or wrong side, lines, signs and names.

A scene is in mm of the table, painted in its order: an area hides what lies under it. Wrong sides are hatched with fine
lines, right sides plain, in every picture alike, so that a photocopy still reads.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from onfold.drawing import PenName, Stroke, Word
from onfold.geometry.hatching import Segment, broken, hatch, stretch_of_line, stretch_of_ring
from onfold.geometry.path import Path, polyline
from onfold.guide.naming import Named, apart, place_names
from onfold.guide.signs import Sign, draw_sign
from onfold.lettering import frame_of

Floats = NDArray[np.float64]
Box = tuple[float, float, float, float]
Face = Literal["right", "wrong"]

SLANT, APART = 45.0, 2.2
"""How the wrong side is hatched: degrees, and drawing mm from line to line."""
MOST = 1e5
"""mm: a table no garment reaches across; what lies beyond cannot be drawn."""
_LEAST = 1e-3
_FINEST, _CORNER = 0.5, 0.15
"""Drawing mm between the points of a smooth line, and radians from which a turn is a corner."""


@dataclass(frozen=True, eq=False)
class Area:
    """A stretch of cloth, `ring` closed (n, 2), and the side of it that is seen. `name` is set in it where it fits.

    `outline` are the lines drawn round it (k, 2); None draws the ring itself.
    """

    ring: Floats
    face: Face = "right"
    name: str = ""
    outline: tuple[Floats, ...] | None = None
    pen: PenName = "notch"


@dataclass(frozen=True, eq=False)
class Line:
    """A line on the cloth, (n, 2)."""

    points: Floats
    pen: PenName
    name: str = ""


Item = Area | Line | Sign


@dataclass(frozen=True, eq=False)
class Painted:
    """A scene on paper, its least corner at (0, 0): `ratio` is drawing mm for each mm of cloth."""

    strokes: tuple[Stroke, ...]
    words: tuple[Word, ...]
    wide: float
    high: float
    ratio: float


def paint(scene: Sequence[Item], room: tuple[float, float], window: Box | None = None) -> Painted | None:
    """Return the scene as large as the room allows (drawing mm), or what of it lies in the window; None if nothing.

    Areas and lines with a coordinate that is no number, or beyond 100 m, are left out.
    """
    sound = [item for item in scene if _is_sound(item)]
    box = window if window is not None else box_of_scene(sound)
    if box is None:
        return None
    across, up = box[2] - box[0], box[3] - box[1]
    if max(across, up) < _LEAST or not math.isfinite(across + up):
        return None
    ratio = min(room[0] / max(across, _LEAST), room[1] / max(up, _LEAST), _largest(room))
    view = _View(box, ratio, window is not None)
    rings = [view.ring(item.ring) if isinstance(item, Area) else None for item in sound]
    lines = [view.lines(item.points) if isinstance(item, Line) else [] for item in sound]
    named = [
        Named(item.name, ring, tuple(other for other in rings[at + 1 :] if other is not None))
        for at, (item, ring) in enumerate(zip(sound, rings, strict=True))
        if isinstance(item, Area) and ring is not None and item.name
    ]
    signs = [view.sign(item) for item in sound if isinstance(item, Sign)]
    kept_clear = [points for each in lines for points in each]
    kept_clear += [stroke.path.curves[:, (0, 3)].reshape(-1, 2) for drawn in signs for stroke in drawn[0]]
    sign_words = apart([word for _, words in signs for word in words])
    names = place_names(named, kept_clear, [frame_of(word) for word in sign_words])
    words = [*names, *sign_words]
    frames = [frame_of(word, 0.5) for word in words]
    strokes: list[Stroke] = []
    for item, ring, own in zip(sound, rings, lines, strict=True):
        if isinstance(item, Area) and ring is not None:
            strokes += _cloth(item, ring, view, frames)
        elif isinstance(item, Line):
            strokes += [Stroke(polyline(points), item.pen, "picture", name=item.name) for points in own]
    strokes += [stroke for drawn, _ in signs for stroke in drawn]
    return Painted(tuple(strokes), tuple(words), across * ratio, up * ratio, ratio)


def _largest(room: tuple[float, float]) -> float:
    """Return the largest ratio a scene is drawn at: a piece of 2 cm fills the room, a smaller one does not."""
    return min(room) / 20.0


@dataclass(frozen=True)
class _View:
    """The window, mm of the table, and the ratio it is drawn at."""

    box: Box
    ratio: float
    cropped: bool

    def put(self, points: Floats) -> Floats:
        found: Floats = (points - (self.box[0], self.box[1])) * self.ratio
        return found

    def ring(self, ring: Floats, beyond: float = 0.0) -> Floats | None:
        """Return what is seen of a ring, on paper; `beyond` mm of paper past the window too."""
        if self.cropped:
            left, low, right, high = self.box
            past = beyond / self.ratio
            ring = stretch_of_ring(ring, left - past, right + past)
            ring = stretch_of_ring(ring[:, ::-1], low - past, high + past)[:, ::-1] if len(ring) else ring
        return thinned(self.put(ring)) if len(ring) > 3 else None

    def lines(self, points: Floats) -> list[Floats]:
        if not self.cropped:
            return [thinned(self.put(points))] if len(points) > 1 else []
        runs = stretch_of_line(points, self.box[0], self.box[2])
        cut = [part[:, ::-1] for run in runs for part in stretch_of_line(run[:, ::-1], self.box[1], self.box[3])]
        return [thinned(self.put(part)) for part in cut if len(part) > 1]

    def sign(self, sign: Sign) -> tuple[list[Stroke], list[Word]]:
        x, y = sign.at
        left, low, right, high = self.box
        slack = 1e-6 + 0.001 * max(right - left, high - low)
        if self.cropped and not (left - slack <= x <= right + slack and low - slack <= y <= high + slack):
            return [], []
        at = ((x - left) * self.ratio, (y - low) * self.ratio)
        return draw_sign(sign, at, self.ratio)


def thinned(points: Floats) -> Floats:
    """Return a line on paper (n, 2) with no more points than the eye can tell: its corners and ends are kept."""
    if len(points) < 8:
        return points
    steps = np.diff(points, axis=0)
    gone = np.concatenate([[0.0], np.cumsum(np.hypot(*steps.T))])
    ways = np.arctan2(steps[:, 1], steps[:, 0])
    turn = np.abs((np.diff(ways) + np.pi) % (2 * np.pi) - np.pi)
    kept = np.ones(len(points), dtype=bool)
    kept[1:-1] = (np.floor(gone[1:-1] / _FINEST) != np.floor(gone[:-2] / _FINEST)) | (turn > _CORNER)
    return points[kept]


def _cloth(area: Area, ring: Floats, view: _View, frames: Sequence[Floats]) -> list[Stroke]:
    hidden = view.ring(area.ring, 0.6)  # the ends of hatching under it stand out past the window by half a pen
    strokes = [Stroke(polyline(ring if hidden is None else hidden), "cover", "picture", closed=True, filled=True)]
    if area.face == "wrong":
        lines = broken(hatch([ring], SLANT, APART), frames, 0.6)
        strokes += hatched(lines, "wrong side")
    outline = (area.ring,) if area.outline is None else area.outline
    for points in outline:
        for run in view.lines(points):
            strokes.append(Stroke(polyline(run), area.pen, "picture", name=area.name))
    return strokes


def hatched(lines: Sequence[Segment], name: str) -> list[Stroke]:
    """Return separate straight lines as one stroke: none where there are none."""
    if not lines:
        return []
    ends = np.array(lines, dtype=np.float64)
    a, b = ends[:, 0], ends[:, 1]
    curves = np.stack([a, a + (b - a) / 3.0, b - (b - a) / 3.0, b], axis=1)
    return [Stroke(Path(curves, np.ones(len(curves), dtype=bool)), "furniture", "picture", name=name)]


def box_of_scene(scene: Sequence[Item]) -> Box | None:
    """Return the box around all areas and lines, or around the signs where there is nothing else; None if empty."""
    points = [item.ring if isinstance(item, Area) else item.points for item in scene if not isinstance(item, Sign)]
    points = [each for each in points if len(each)] or [np.array([item.at]) for item in scene if isinstance(item, Sign)]
    if not points:
        return None
    low, high = (
        np.min([each.min(axis=0) for each in points], axis=0),
        np.max([each.max(axis=0) for each in points], axis=0),
    )
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _is_sound(item: Item) -> bool:
    if isinstance(item, Sign):
        return bool(np.isfinite([*item.at, *item.way]).all()) and max(map(abs, item.at)) < MOST
    points = item.ring if isinstance(item, Area) else item.points
    least = 4 if isinstance(item, Area) else 2
    return len(points) >= least and bool(np.isfinite(points).all()) and float(np.abs(points).max()) < MOST
