"""Stills of the hang: the garment on its form seen from one side, in ink and wash on calico, nothing foreshortened."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from onfold.hang import ink, raster
from onfold.hang.refined import BROAD, NARROW, Mesh, refine
from onfold.hang.scene import MOST, Floats, Line3, LineKind, Scene

Picture = NDArray[np.uint8]
Singles = NDArray[np.float32]


@dataclass(frozen=True)
class View:
    """Whence the form is looked at: `turn` degrees round it from the front towards its left side, `above` degrees."""

    name: str
    turn: float = 0.0
    above: float = 0.0


FRONT, THREE_QUARTER, SIDE, BACK = (
    View("front"),
    View("three-quarter", 40.0),
    View("side", 90.0),
    View("back", 180.0),
)
VIEWS = (FRONT, THREE_QUARTER, SIDE, BACK)
CLOSE = View("close", 0.0, 22.0)
"""How the neck is looked at from near."""


@dataclass(frozen=True)
class Window:
    """The part of a view that is shown, mm across and up as it is seen."""

    left: float
    low: float
    right: float
    high: float


@dataclass(frozen=True, eq=False)
class Prepared:
    """A scene ready to be looked at from anywhere: its mesh and the lines that can be drawn."""

    mesh: Mesh
    lines: tuple[Line3, ...]


@dataclass(frozen=True, eq=False)
class Seen:
    """A still, (h, w, 3) uint8, and where the words of its tape lines point: each line's row and (column, row)."""

    picture: Picture
    ends: tuple[tuple[int, float, float], ...]


@dataclass(frozen=True)
class _Pen:
    """A width in points of the picture, and points drawn and left out."""

    width: float
    dash: float = 0.0
    gap: float = 0.0


_PENS: dict[LineKind, _Pen] = {
    "seam": _Pen(0.8, 5.0, 3.4),
    "fold": _Pen(1.0),
    "edge": _Pen(1.5),
    "hem": _Pen(2.0),
    "strap": _Pen(1.8),
    "neck edge": _Pen(2.1),
}
_TAPE, _TAPE_INSIDE, _TAPES_APART = 4.0, 2.3, 6.2
_OUTLINE, _FORM_OUTLINE = 1.35, 0.95
_LIGHT = np.array((-0.52, 0.62, 0.59)) / math.sqrt(0.52**2 + 0.62**2 + 0.59**2)
"""From the upper left, before the picture: right, up, towards the viewer."""
_LIFT, _NEAR = 1.5, 6.0
"""mm that touching cloth is taken nearer than what it lies on, and that a line may lie under what it is on."""
_EASED = 3.0
"""mm over which the tone is evened once more in the picture, before folds are looked for."""
_LAMPS = (
    (_LIGHT, (0.04, 0.2), 1.5),
    (_LIGHT * (-1.0, 1.0, 1.0), (0.07, 0.35), 1.1),
)
"""For the lines along folds: a light, how strongly the tone must curve for a line to begin and to be full, and its full
width. The second light, from the other side, gives the folds that the first shines on thinner lines of their own."""
_FOLDS_APART = 5.0
"""mm: a line along a fold that would lie nearer to one already drawn is of the same fold."""
_LEAST_LINE = 10.0
"""Points of ink from which a line along a fold is one, and no speck."""
_MOST_POINTS = 6_000_000
"""Points of a still: one wider than this allows loses its sides."""


def still(scene: Scene, view: View, height_px: int, span: tuple[float, float] | None = None) -> Picture:
    """Return the scene from a view, (h, w, 3) uint8 of red, green and blue, h being `height_px`.

    `span` is the least and the greatest height, mm as it is seen, between which all is shown; stills of one span and
    height are of one scale. Without one, or with an empty one, all of the scene is. A scene of nothing gives calico.
    """
    prepared = prepare(scene)
    whole = reach(prepared, view)
    low, high = (whole.low, whole.high) if span is None else (float(span[0]), float(span[1]))
    if not (math.isfinite(low) and math.isfinite(high) and high - low > 1e-3):
        low, high = whole.low, whole.high
    tall = min(max(int(height_px), 8), 8000)
    return draw(prepared, view, Window(whole.left, low, whole.right, high), tall / (high - low), tall).picture


def prepare(scene: Scene) -> Prepared:
    """Return the scene ready to be drawn; lines with a coordinate that is no number, or beyond 100 m, are left out."""
    return Prepared(refine(scene.surfaces), tuple(line for line in scene.lines if _is_sound(line)))


def _is_sound(line: Line3) -> bool:
    points = np.asarray(line.points, dtype=np.float64)
    return bool(points.ndim == 2 and points.shape[1:] == (3,) and len(points) > 1 and _near(points))


def _near(points: Floats) -> bool:
    return bool(np.isfinite(points).all() and np.abs(points).max() < MOST)


def sight(view: View) -> Floats:
    """Return the rows (3, 3) that turn a point into mm to the right, up, and towards the viewer."""
    turn, above = math.radians(view.turn), math.radians(view.above)
    cos, sin, up, over = math.cos(turn), math.sin(turn), math.cos(above), math.sin(above)
    return np.array(((cos, 0.0, -sin), (-sin * over, up, -cos * over), (sin * up, over, cos * up)))


def reach(prepared: Prepared, view: View, margin: float = 0.02) -> Window:
    """Return the window that holds all of the scene and `margin` of its size round it; a 10 cm square for nothing."""
    groups = [prepared.mesh.points, *(np.asarray(line.points, dtype=np.float64) for line in prepared.lines)]
    points = np.concatenate(groups)
    if not len(points):
        return Window(-50.0, -50.0, 50.0, 50.0)
    seen = points @ sight(view)[:2].T
    low, high = seen.min(axis=0), seen.max(axis=0)
    spare = max(float((high - low).max()) * margin, 1.0)
    return Window(float(low[0]) - spare, float(low[1]) - spare, float(high[0]) + spare, float(high[1]) + spare)


def draw(prepared: Prepared, view: View, window: Window, scale: float, tall: int | None = None) -> Seen:
    """Return what the window shows at `scale` points for each mm, `tall` rows high where that is given."""
    height = tall or max(1, math.ceil((window.high - window.low) * scale))
    wanted = math.ceil((window.right - window.left) * scale)
    width = max(1, min(wanted, _MOST_POINTS // height))
    window = replace(window, left=window.left + (wanted - width) / 2.0 / scale)
    canvas = _Canvas(prepared, view, window, scale * ink.FINE, height * ink.FINE, width * ink.FINE)
    canvas.lay_wash()
    canvas.draw_outlines()
    ends = canvas.draw_lines(prepared.lines)
    return Seen(ink.as_shown(canvas.paint), tuple(ends))


class _Canvas:
    """A picture in the making, `FINE` times finer than it is shown."""

    def __init__(self, prepared: Prepared, view: View, window: Window, scale: float, height: int, width: int) -> None:
        self.turned, self.window, self.scale, self.mm = sight(view), window, scale, ink.FINE / scale
        mesh = prepared.mesh
        self.mesh, self.places = mesh, self._placed(mesh.points)
        self.seen = seen = np.full((height, width), -1, dtype=np.int32)
        self.depth = np.full((height, width), raster.FAR, dtype=np.float32)
        self.what = np.zeros((height, width), dtype=np.uint8)
        self.normals = np.zeros((height, width, 3), dtype=np.float32)
        self.paint = np.empty((height, width, 3), dtype=np.uint8)
        self.paint[:] = ink.CALICO
        raster.fill(self.places, mesh.faces, mesh.kinds, _LIFT, seen, self.depth, self.what)
        raster.normals_seen(self.places, mesh.normals @ self.turned.T, mesh.faces, seen, self.what, self.normals)

    def _placed(self, points: Floats) -> Floats:
        seen = np.asarray(points, dtype=np.float64) @ self.turned.T
        across, down = (seen[:, 0] - self.window.left) * self.scale, (self.window.high - seen[:, 1]) * self.scale
        return np.column_stack((across, down, seen[:, 2]))

    def lay_wash(self) -> None:
        """Lay the washes and the shadows."""
        what, depth = self._coarse(self.what), self._coarse(self.depth)
        dark = np.zeros(what.shape, dtype=np.float32)
        raster.shadowed(depth, what, _LIGHT, self.mm, max(1, min(60, round(70.0 / self.mm))), 2.5, dark)
        ink.lay_wash(self.what, self.normals, _blurred(_blurred(dark)), _LIGHT, ink.WASHES, self.paint)

    def _coarse(self, values: Any) -> Any:
        """Return the values at the middle of each point as it is shown."""
        middle = ink.FINE // 2
        return np.ascontiguousarray(values[middle :: ink.FINE, middle :: ink.FINE])

    def draw_outlines(self) -> None:
        """Draw outlines, those of the form first, so that the garment's stand over them; then the lines along folds."""
        what = self._coarse(self.what)
        ended = np.zeros_like(what)
        for garment, weight in ((False, _FORM_OUTLINE), (True, _OUTLINE)):
            ink.outline(
                self.places, self.mesh.faces, self.seen, self.what, self.depth, self.normals, _LIGHT,
                weight * ink.FINE, garment, ended, self.paint,
            )  # fmt: skip
        ink.lay_cover(self._folds(what, ended), self.paint)

    def _folds(self, what: Picture, ended: Picture) -> Singles:
        """Return how much of each point as it is shown the lines along folds cover: narrow folds before broad ones."""
        cover = np.zeros(what.shape, dtype=np.float32)
        rounds = min(30, math.ceil((_EASED / self.mm) ** 2 / 0.4))
        apart = min(12, math.ceil(_FOLDS_APART / self.mm))
        for lamp, strengths, width in _LAMPS:
            for evened, size in ((self.mesh.normals, NARROW), (self.mesh.broad, BROAD)):
                tones = evened @ (self.turned.T @ lamp)
                tone = raster.tone_seen(self.places, tones, self.mesh.faces, self.seen, self.what, ink.FINE)
                tone = raster.eased(tone, what, ended, rounds)
                more = np.zeros_like(cover)
                raster.dark_lines(tone, what, ended, (size / self.mm) ** 2, *strengths, width, more)
                raster.add_apart(cover, more, apart)
                raster.drop_specks(cover, _LEAST_LINE)
        return cover

    def draw_lines(self, lines: Sequence[Line3]) -> list[tuple[int, float, float]]:
        """Draw the lines, tapes last; return where each tape with words is first seen from the left."""
        for line in lines:
            pen = _PENS.get(line.kind)
            if pen is not None:
                self._stroke(line, pen.width, ink.INK, 0.0, pen)
        ends = []
        for row, line in enumerate(lines):
            if line.kind != "tape":
                continue
            times = min(max(int(line.times), 1), 3)
            asides = [(at - (times - 1) / 2.0) * _TAPES_APART for at in range(times)]
            for width, colour in ((_TAPE, ink.INK), (_TAPE_INSIDE, ink.TAPE)):
                for aside in asides:
                    self._stroke(line, width, colour, aside, _Pen(width))
            end = self._end(line)
            if line.words and end is not None:
                ends.append((row, *end))
        return ends

    def _stroke(self, line: Line3, width: float, colour: tuple[int, int, int], aside: float, pen: _Pen) -> None:
        fine = float(ink.FINE)
        placed = self._placed(line.points)
        ink.stroke(
            placed, self.depth, _NEAR, width * fine / 2.0, pen.dash * fine, pen.gap * fine, aside * fine, colour,
            self.paint,
        )  # fmt: skip

    def _end(self, line: Line3) -> tuple[float, float] | None:
        """Return the leftmost point, in columns and rows as shown, at which a line is seen; None if nowhere."""
        placed = self._placed(line.points)
        parts = np.linspace(0.0, 1.0, 8, endpoint=False)[:, None, None]
        along = (placed[:-1] + parts * (placed[1:] - placed[:-1])).reshape(-1, 3)
        for x, y, z in along[np.argsort(along[:, 0], kind="stable")]:
            if ink.in_sight(x, y, z, self.depth, _NEAR):
                return float(x) / ink.FINE, float(y) / ink.FINE
        return None


def _blurred(values: Singles) -> Singles:
    """Return the values (h, w) each drawn together with those round it."""
    around = np.pad(values, 1, mode="edge")
    across = around[:, :-2] + around[:, 1:-1] + around[:, 2:]
    evened: Singles = (across[:-2] + across[1:-1] + across[2:]) / np.float32(9.0)
    return evened
