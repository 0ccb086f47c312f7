"""What a still shows: surfaces and lines in the room, with no idea of how they are drawn.

Millimetres, Y up, Z to the front, X to the viewer's right as seen from the front.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Faces = NDArray[np.int32]
SurfaceKind = Literal["form", "cloth", "facing"]
LineKind = Literal["tape", "seam", "neck edge", "hem", "edge", "fold", "strap"]


@dataclass(frozen=True, eq=False)
class Surface:
    """A surface of triangles: `points` (n, 3) mm, `faces` (m, 3) rows of points.

    A triangle shows the cloth's right side where its corners run anticlockwise for whoever looks at it. `facing` is
    the part of the cloth that is turned in.
    """

    name: str
    points: Floats
    faces: Faces
    kind: SurfaceKind


@dataclass(frozen=True, eq=False)
class Line3:
    """A line on a surface, `points` (k, 3) mm.

    `times` is how often a tape line is drawn beside itself: once, double (past comfort) or triple (past full pull).
    `words` are said beside a tape line.
    """

    points: Floats
    kind: LineKind
    times: int = 1
    words: str = ""


@dataclass(frozen=True, eq=False)
class Scene:
    """A garment on its form, or either alone."""

    surfaces: tuple[Surface, ...]
    lines: tuple[Line3, ...] = ()


def sound_faces(points: Floats, faces: Faces) -> Faces:
    """Return the faces (m, 3) that can be drawn: corners that there are, finite, and an area.

    Points of another shape than (n, 3), or faces of another than (m, 3), give none.
    """
    if points.ndim != 2 or points.shape[-1] != 3 or faces.ndim != 2 or faces.shape[-1] != 3 or not len(faces):
        return np.zeros((0, 3), dtype=np.int32)
    kept = faces[((faces >= 0) & (faces < len(points))).all(axis=1)]
    corners = points[kept]
    near = np.isfinite(corners).all(axis=(1, 2)) & (np.abs(np.nan_to_num(corners, nan=0.0)) < MOST).all(axis=(1, 2))
    kept, corners = kept[near], corners[near]
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    whole: Faces = np.ascontiguousarray(kept[(across * across).sum(axis=1) > _LEAST**2], dtype=np.int32)
    return whole


MOST = 1e5
"""mm from the middle of the room: no garment reaches so far, and what does cannot be drawn."""
_LEAST = 1e-9
"""mm2, twice the area of a triangle that still shows anything."""


def corner_normals(points: Floats, faces: Faces) -> Floats:
    """Return the unit normals (n, 3) of the points, those of the faces round each weighted by area.

    A point of no face is given the way up. `faces` must be sound.
    """
    corners = points[faces]
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    total = np.zeros_like(points, dtype=np.float64)
    for at in range(3):
        for axis in range(3):
            total[:, axis] += np.bincount(faces[:, at], across[:, axis], len(points))
    return unit(total)


def unit(vectors: Floats) -> Floats:
    """Return the vectors (n, 3) at length 1; those of no length become the way up."""
    size = np.sqrt((vectors * vectors).sum(axis=1, keepdims=True))
    plain = np.where(size > 1e-300, vectors / np.maximum(size, 1e-300), (0.0, 1.0, 0.0))
    made: Floats = plain
    return made
