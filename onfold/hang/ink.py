"""Ink and wash on a picture: tones, hatching of the wrong side, outlines and strokes, painted point by point by numba.

A picture is painted `FINE` times finer than it is shown. Line kinds differ by weight, dash and number, and tones by
lightness, so that a photocopy still reads.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Ints = NDArray[np.int32]
Bytes = NDArray[np.uint8]

FINE = 3
CALICO = (245, 239, 225)
INK = (34, 37, 43)
SOFT_INK = (122, 108, 80)
TAPE = (242, 207, 87)
WASHES = np.array(
    (
        ((245, 239, 225),) * 4,
        ((240, 230, 206), (228, 215, 186), (212, 197, 164), (196, 180, 146)),
        ((253, 252, 249), (216, 219, 221), (174, 181, 187), (132, 141, 150)),
        ((214, 209, 196), (196, 191, 179), (172, 167, 157), (150, 146, 138)),
        ((178, 181, 183), (156, 160, 164), (130, 136, 142), (106, 112, 119)),
        ((178, 174, 164), (160, 156, 147), (140, 136, 128), (122, 118, 112)),
    ),
    dtype=np.float64,
)
"""(what is shown, from light to deep shade, red green blue)."""
_STEPS = (0.745, 0.54, 0.37)
"""Where one wash passes into the next, 1 the fullest light."""
_SOFT = 0.035
"""Half the width of that passage."""
_HATCH, _HATCH_WIDE = 5.0, 0.95
"""Points of the shown picture from hatching line to line, and a line's width."""


@njit(cache=True)
def _step(value: float, at: float, half: float) -> float:
    t = min(1.0, max(0.0, (value - at + half) / (2.0 * half)))
    return t * t * (3.0 - 2.0 * t)


@njit(cache=True)
def _between(values: Singles, y: float, x: float) -> float:
    """Return the value at a place between the points of a picture, (row, column) counted from their middles."""
    y, x = min(max(y, 0.0), values.shape[0] - 1.0), min(max(x, 0.0), values.shape[1] - 1.0)
    top, left = int(y), int(x)
    low, right = min(top + 1, values.shape[0] - 1), min(left + 1, values.shape[1] - 1)
    down, over = y - top, x - left
    above = values[top, left] * (1.0 - over) + values[top, right] * over
    below = values[low, left] * (1.0 - over) + values[low, right] * over
    return float(above * (1.0 - down) + below * down)


@njit(cache=True)
def lay_wash(what: Bytes, normals: Singles, dark: Singles, light: Floats, washes: Floats, paint: Bytes) -> None:
    """Paint the tones: the light falls on the normals (h, w, 3) in few soft steps; `dark`, `FINE` times coarser, is
    where a shadow falls.
    """
    height, width = what.shape
    apart, half = _HATCH * FINE * math.sqrt(2.0), _HATCH_WIDE * FINE * math.sqrt(2.0) / 2.0
    for y in range(height):
        for x in range(width):
            kind = what[y, x]
            if kind == 0:
                continue
            lit = 0.0
            for c in range(3):
                lit += normals[y, x, c] * light[c]
            lit = 0.5 + 0.5 * lit
            if dark[y // FINE, x // FINE] > 0.0:
                shade = _step(_between(dark, (y + 0.5) / FINE - 0.5, (x + 0.5) / FINE - 0.5), 0.5, 0.3)
                lit -= shade * max(0.22, lit - 0.47)
            level = 3.0
            for step in _STEPS:
                level -= _step(lit, step, _SOFT)
            level = min(3.0, max(0.0, level + 0.35 * (0.6 - lit)))
            low = min(2, int(level))
            part = level - low
            hatched = 0.0
            if kind == 3 or kind == 5:
                off = (x + y) % apart
                off = min(off, apart - off)
                hatched = 0.85 * min(1.0, max(0.0, half - off + 0.5))
            for c in range(3):
                value = washes[kind, low, c] * (1.0 - part) + washes[kind, low + 1, c] * part
                paint[y, x, c] = np.uint8(value * (1.0 - hatched) + INK[c] * hatched + 0.5)


@njit(cache=True)
def lay_cover(cover: Singles, paint: Bytes) -> None:
    """Ink the picture as much as `cover` (`FINE` times coarser, 0 to 1) says."""
    for y in range(paint.shape[0]):
        for x in range(paint.shape[1]):
            share = cover[y // FINE, x // FINE]
            if share > 0.0:
                for c in range(3):
                    paint[y, x, c] = np.uint8(paint[y, x, c] * (1.0 - share) + INK[c] * share + 0.5)


@njit(cache=True)
def dab(paint: Bytes, x: float, y: float, radius: float, colour: tuple[int, int, int]) -> None:
    """Paint a round dab about the point (x, y), in columns and rows."""
    height, width = paint.shape[:2]
    for row in range(max(0, int(y - radius)), min(height - 1, int(y + radius) + 1) + 1):
        for column in range(max(0, int(x - radius)), min(width - 1, int(x + radius) + 1) + 1):
            dx, dy = column + 0.5 - x, row + 0.5 - y
            if dx * dx + dy * dy <= radius * radius:
                for c in range(3):
                    paint[row, column, c] = colour[c]


_LEAST_STEP = 2.0
"""mm of depth that one layer stands before another where an outline is drawn between them."""
_FULL_STEP = 6.0
"""mm from which the outline alone is drawn; below, a line along the fold runs on into it."""


@njit(cache=True)
def _touch(faces: Ints, f: int, g: int) -> bool:
    """Return whether two triangles share an edge: the surface goes on from one to the other, however steep."""
    shared = 0
    for i in range(3):
        for j in range(3):
            if faces[f, i] == faces[g, j]:
                shared += 1
    return shared > 1


@njit(cache=True)
def _rise(places: Floats, face: Ints, way: int) -> float:
    """Return how the depth of a triangle's plane changes from a point to the next below it (0) or beside it (1)."""
    i, j, k = face
    ax, ay, az = places[j, 0] - places[i, 0], places[j, 1] - places[i, 1], places[j, 2] - places[i, 2]
    bx, by, bz = places[k, 0] - places[i, 0], places[k, 1] - places[i, 1], places[k, 2] - places[i, 2]
    doubled = ax * by - ay * bx
    if doubled == 0.0:
        return 0.0
    return float((ax * bz - az * bx) / doubled if way == 0 else (az * by - ay * bz) / doubled)


@njit(cache=True)
def outline(
    places: Floats,
    faces: Ints,
    seen: Ints,
    what: Bytes,
    depth: Singles,
    normals: Singles,
    light: Floats,
    weight: float,
    garment: bool,
    ended: Bytes,
    paint: Bytes,
) -> None:
    """Draw where surfaces end or turn away: outlines, edges, and steps in depth, of the garment or of the form.

    `weight` is the width of a plain line in points. Lines are heavier away from the light and thinner where the step
    is small. Points of `ended`, `FINE` times coarser, are marked where one is drawn within what is shown.
    """
    height, width = what.shape
    colour = INK if garment else SOFT_INK
    for y in range(height - 1):
        for x in range(width - 1):
            for way in range(2):
                ny, nx = (y + 1, x) if way == 0 else (y, x + 1)
                one, other = what[y, x], what[ny, nx]
                if one == 0 and other == 0:
                    continue
                if (one > 1 or other > 1) != garment:
                    continue
                gap = depth[y, x] - depth[ny, nx]
                fy, fx = (y, x) if gap > 0.0 else (ny, nx)
                if one != other:
                    wide = 1.0
                    if one == 0 or other == 0:
                        wide = 1.35
                else:
                    step = abs(gap)
                    if step < _LEAST_STEP:
                        continue
                    f, g = seen[y, x], seen[ny, nx]
                    if _touch(faces, f, g):
                        continue
                    step = min(step, abs(gap + _rise(places, faces[f], way)), abs(gap + _rise(places, faces[g], way)))
                    if step < _LEAST_STEP:
                        continue
                    wide = min(1.1, 0.45 + step / 25.0)
                    if step > _FULL_STEP and y // FINE < ended.shape[0] and x // FINE < ended.shape[1]:
                        ended[y // FINE, x // FINE] = 1
                facing_light = normals[fy, fx, 0] * light[0] + normals[fy, fx, 1] * light[1]
                turned = 1.0 - abs(normals[fy, fx, 2])
                wide *= 1.0 + 0.5 * turned * min(1.0, max(-0.5, -facing_light))
                half = weight * wide / 2.0
                dab(paint, (x + nx) / 2.0 + 0.5, (y + ny) / 2.0 + 0.5, half, colour)


@njit(cache=True)
def stroke(
    line: Floats,
    depth: Singles,
    near: float,
    radius: float,
    dash: float,
    gap: float,
    aside: float,
    colour: tuple[int, int, int],
    paint: Bytes,
) -> None:
    """Draw a line (k, 3) of columns, rows and mm of depth wherever nothing lies more than `near` mm before it.

    `dash` and `gap` are points drawn and left out (a gap of 0 leaves nothing out); `aside` moves it square to itself.
    """
    gone = 0.0
    for at in range(len(line) - 1):
        dx, dy, dz = line[at + 1, 0] - line[at, 0], line[at + 1, 1] - line[at, 1], line[at + 1, 2] - line[at, 2]
        long = math.sqrt(dx * dx + dy * dy)
        count = max(1, math.ceil(long / 0.7))
        for step in range(count):
            part = step / count
            x, y, z = line[at, 0] + part * dx, line[at, 1] + part * dy, line[at, 2] + part * dz
            if gap > 0.0 and (gone + part * long) % (dash + gap) > dash:
                continue
            if not in_sight(x, y, z, depth, near):
                continue
            if long > 0.0:
                x -= aside * dy / long
                y += aside * dx / long
            dab(paint, x, y, radius, colour)
        gone += long


@njit(cache=True)
def in_sight(x: float, y: float, z: float, depth: Singles, near: float) -> bool:
    """Return whether a point at (column, row, depth) is seen: nothing more than `near` mm before it round about."""
    height, width = depth.shape
    column, row = math.floor(x), math.floor(y)
    if not (0 <= column < width and 0 <= row < height):
        return False
    before = 1e30
    for yy in range(max(0, row - 1), min(height, row + 2)):
        for xx in range(max(0, column - 1), min(width, column + 2)):
            before = min(before, depth[yy, xx])
    return z + near >= before


@njit(cache=True)
def as_shown(paint: Bytes) -> Bytes:
    """Return the picture at the size it is shown, each point the mean of its finer ones."""
    height, width = paint.shape[0] // FINE, paint.shape[1] // FINE
    out = np.empty((height, width, 3), dtype=np.uint8)
    for y in range(height):
        for x in range(width):
            for c in range(3):
                total = 0
                for dy in range(FINE):
                    for dx in range(FINE):
                        total += paint[y * FINE + dy, x * FINE + dx, c]
                out[y, x, c] = (total + FINE * FINE // 2) // (FINE * FINE)
    return out
