"""Plain scenes for the stills: a ball, a sheet of cloth, a tube, lines on them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from onfold.hang.scene import Line3, LineKind, Surface, SurfaceKind

Floats = NDArray[np.float64]


def grid(points: Floats, kind: SurfaceKind, name: str = "cloth", round_about: bool = False) -> Surface:
    """The surface through (rows, columns, 3) points, rows from above, columns from the left as its right side shows."""
    rows, columns = points.shape[:2]
    at = np.arange(rows * columns).reshape(rows, columns)
    if round_about:
        at = np.concatenate((at, at[:, :1]), axis=1)
    a, b, c, d = (each.ravel() for each in (at[:-1, :-1], at[:-1, 1:], at[1:, 1:], at[1:, :-1]))
    faces = np.concatenate((np.column_stack((a, d, c)), np.column_stack((a, c, b)))).astype(np.int32)
    return Surface(name, points.reshape(-1, 3), faces, kind)


def ball(radius: float, kind: SurfaceKind = "form", rows: int = 60) -> Surface:
    down = np.linspace(0.0, np.pi, rows)[:, None]
    turn = np.linspace(-np.pi, np.pi, 2 * rows, endpoint=False)[None, :]
    x, y, z = np.sin(down) * np.sin(turn), np.cos(down) + 0.0 * turn, np.sin(down) * np.cos(turn)
    return grid(radius * np.stack((x, y, z), axis=-1), kind, "ball", round_about=True)


def sheet(wide: float, high: float, z: float = 0.0, kind: SurfaceKind = "cloth", wrong: bool = False) -> Surface:
    """A flat piece about the middle that shows its right side to the front, or its wrong side."""
    x = np.linspace(-wide / 2.0, wide / 2.0, 21)[:: -1 if wrong else 1]
    y = np.linspace(high / 2.0, -high / 2.0, 21)
    points = np.stack(
        (np.broadcast_to(x[None, :], (21, 21)), np.broadcast_to(y[:, None], (21, 21)), np.full((21, 21), z)), -1
    )
    return grid(points, kind, "sheet")


def skirt(flutes: int = 6, rows: int = 60, columns: int = 120) -> Surface:
    down = np.linspace(0.0, 1.0, rows)[:, None]
    turn = np.linspace(-np.pi, np.pi, columns, endpoint=False)[None, :]
    radius = 130.0 + 90.0 * down + 30.0 * down * np.cos(flutes * turn)
    points = np.stack((radius * np.sin(turn), 300.0 - 600.0 * down + 0.0 * turn, radius * np.cos(turn)), axis=-1)
    return grid(points, "cloth", "skirt", round_about=True)


def level(radius: float, y: float, times: int = 1, words: str = "", kind: LineKind = "tape") -> Line3:
    turn = np.linspace(-np.pi, np.pi, 181)
    return Line3(np.column_stack((radius * np.sin(turn), np.full(181, y), radius * np.cos(turn))), kind, times, words)
