"""Which surface each point of a picture shows, and how its tone runs: the loops over points, compiled by numba.

Rows run down the picture. Depths are mm towards the viewer. Compiled code is kept on disk beside the module.
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

GROUND, ON_FORM, RIGHT, WRONG, FACING, FACING_WRONG = 0, 1, 2, 3, 4, 5
"""What a point shows: nothing, the form, the cloth's right or wrong side, a facing's."""
FAR = -1e30


@njit(cache=True)
def fill(places: Floats, faces: Ints, kinds: Bytes, lift: float, seen: Ints, depth: Singles, what: Bytes) -> None:
    """Note for each point of the picture the nearest triangle: its row in `seen`, its depth, and `what` it shows.

    `places` (n, 3) are columns and rows of the picture and mm of depth. The right side of cloth is taken as `lift` mm
    nearer than it is, so that a surface which touches it from within does not show through.
    """
    height, width = seen.shape
    for f in range(len(faces)):
        i, j, k = faces[f]
        ax, ay, bx, by, cx, cy = places[i, 0], places[i, 1], places[j, 0], places[j, 1], places[k, 0], places[k, 1]
        doubled = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
        towards = doubled < 0.0
        if doubled == 0.0 or (kinds[f] == 0 and not towards):
            continue
        shows = np.uint8(1)
        raised = 0.0
        if kinds[f] == 1:
            shows = np.uint8(2) if towards else np.uint8(3)
        elif kinds[f] == 2:
            shows = np.uint8(4) if towards else np.uint8(5)
        if kinds[f] != 0 and towards:
            raised = lift
        left = max(0, math.ceil(min(ax, bx, cx) - 0.5))
        right = min(width - 1, math.floor(max(ax, bx, cx) - 0.5))
        top = max(0, math.ceil(min(ay, by, cy) - 0.5))
        bottom = min(height - 1, math.floor(max(ay, by, cy) - 0.5))
        if right < left or bottom < top:
            continue
        du, dv = (by - cy) / doubled, (cy - ay) / doubled
        zi, zj, zk = places[i, 2] - places[k, 2], places[j, 2] - places[k, 2], places[k, 2] + raised
        for y in range(top, bottom + 1):
            py, px = y + 0.5, left + 0.5
            u = ((bx - px) * (cy - py) - (by - py) * (cx - px)) / doubled
            v = ((cx - px) * (ay - py) - (cy - py) * (ax - px)) / doubled
            for x in range(left, right + 1):
                if u >= -1e-7 and v >= -1e-7 and u + v <= 1.0 + 1e-7:
                    z = np.float32(u * zi + v * zj + zk)
                    if z > depth[y, x]:
                        depth[y, x] = z
                        seen[y, x] = f
                        what[y, x] = shows
                u += du
                v += dv


@njit(cache=True)
def normals_seen(places: Floats, turned: Floats, faces: Ints, seen: Ints, what: Bytes, out: Singles) -> None:
    """Write the normals (h, w, 3) of what is seen, turned towards the viewer, from those of the corners."""
    height, width = seen.shape
    for y in range(height):
        for x in range(width):
            f = seen[y, x]
            if f < 0:
                continue
            i, j, k = faces[f]
            ax, ay, bx, by, cx, cy = places[i, 0], places[i, 1], places[j, 0], places[j, 1], places[k, 0], places[k, 1]
            doubled = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
            px, py = x + 0.5, y + 0.5
            u = ((bx - px) * (cy - py) - (by - py) * (cx - px)) / doubled
            v = ((cx - px) * (ay - py) - (cy - py) * (ax - px)) / doubled
            w = 1.0 - u - v
            n0 = u * turned[i, 0] + v * turned[j, 0] + w * turned[k, 0]
            n1 = u * turned[i, 1] + v * turned[j, 1] + w * turned[k, 1]
            n2 = u * turned[i, 2] + v * turned[j, 2] + w * turned[k, 2]
            size = math.sqrt(n0 * n0 + n1 * n1 + n2 * n2)
            if what[y, x] == 3 or what[y, x] == 5:
                size = -size
            if size == 0.0:
                out[y, x, 2] = 1.0
                continue
            out[y, x, 0] = n0 / size
            out[y, x, 1] = n1 / size
            out[y, x, 2] = n2 / size


@njit(cache=True)
def tone_seen(places: Floats, tones: Floats, faces: Ints, seen: Ints, what: Bytes, fine: int) -> Singles:
    """Return the tone (h, w) of the cloth seen in the middle of each `fine` by `fine` points, from its corners'."""
    height, width = seen.shape[0] // fine, seen.shape[1] // fine
    out = np.zeros((height, width), dtype=np.float32)
    for row in range(height):
        for column in range(width):
            y, x = row * fine + fine // 2, column * fine + fine // 2
            f = seen[y, x]
            if f < 0 or what[y, x] < 2:
                continue
            i, j, k = faces[f]
            ax, ay, bx, by, cx, cy = places[i, 0], places[i, 1], places[j, 0], places[j, 1], places[k, 0], places[k, 1]
            doubled = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
            px, py = x + 0.5, y + 0.5
            u = ((bx - px) * (cy - py) - (by - py) * (cx - px)) / doubled
            v = ((cx - px) * (ay - py) - (cy - py) * (ax - px)) / doubled
            tone = u * tones[i] + v * tones[j] + (1.0 - u - v) * tones[k]
            out[row, column] = -tone if what[y, x] == 3 or what[y, x] == 5 else tone
    return out


@njit(cache=True)
def eased(tone: Singles, what: Bytes, ended: Bytes, rounds: int) -> Singles:
    """Return the tone (h, w) of the cloth evened over `rounds` steps to its four neighbours, never across an edge.

    An edge is where something else is shown, or where a surface has `ended`. Each round spreads by the root of 0.4
    points [A].
    """
    height, width = tone.shape
    one, other = tone.copy(), tone.copy()
    for _ in range(rounds):
        for y in range(1, height - 1):
            for x in range(1, width - 1):
                kind = what[y, x]
                if kind < 2 or ended[y, x]:
                    continue
                here, flow = one[y, x], 0.0
                if what[y - 1, x] == kind and not ended[y - 1, x]:
                    flow += one[y - 1, x] - here
                if what[y + 1, x] == kind and not ended[y + 1, x]:
                    flow += one[y + 1, x] - here
                if what[y, x - 1] == kind and not ended[y, x - 1]:
                    flow += one[y, x - 1] - here
                if what[y, x + 1] == kind and not ended[y, x + 1]:
                    flow += one[y, x + 1] - here
                other[y, x] = here + 0.2 * flow
        one, other = other, one
    return one


@njit(cache=True)
def _whole(what: Bytes, ended: Bytes, y: int, x: int) -> bool:
    """Return whether one surface goes on round a point: beside an edge the tone says nothing of folds."""
    for dy in range(-2, 3):
        for dx in range(-2, 3):
            if what[y + dy, x + dx] != what[y, x]:
                return False
            if abs(dy) < 2 and abs(dx) < 2 and ended[y + dy, x + dx]:
                return False
    return True


@njit(cache=True)
def dark_lines(
    tone: Singles, what: Bytes, ended: Bytes, scale: float, low: float, high: float, thick: float, out: Singles
) -> None:
    """Add to `out` (h, w) how much of each point the lines cover that run along the valleys of a tone.

    A line lies where the tone is least across its steepest curve; it is as thick as the curve is strong, nothing at
    `low` and `thick` points at `high`, both times `scale`, so that it tapers off. After Lee, Markosian, Lee and
    Hughes, Line Drawings via Abstracted Shading (2007) [M].
    """
    height, width = tone.shape
    for y in range(2, height - 2):
        for x in range(2, width - 2):
            if what[y, x] < 2 or not _whole(what, ended, y, x):
                continue
            gx = (tone[y, x + 1] - tone[y, x - 1]) / 2.0
            gy = (tone[y + 1, x] - tone[y - 1, x]) / 2.0
            xx = tone[y, x + 1] - 2.0 * tone[y, x] + tone[y, x - 1]
            yy = tone[y + 1, x] - 2.0 * tone[y, x] + tone[y - 1, x]
            xy = (tone[y + 1, x + 1] - tone[y + 1, x - 1] - tone[y - 1, x + 1] + tone[y - 1, x - 1]) / 4.0
            middle, half = (xx + yy) / 2.0, (xx - yy) / 2.0
            most = middle + math.sqrt(half * half + xy * xy)
            strength = (most * scale - low) / (high - low)
            if strength <= 0.0:
                continue
            angle = 0.5 * math.atan2(2.0 * xy, xx - yy)
            away = abs((gx * math.cos(angle) + gy * math.sin(angle)) / most)
            wide = thick * min(1.0, strength)
            cover = min(1.0, max(0.0, wide / 2.0 + 0.5 - away)) * min(1.0, wide)
            out[y, x] = max(out[y, x], cover)


@njit(cache=True)
def drop_specks(cover: Singles, least: float) -> None:
    """Take out of `cover` (h, w) every line whose points, taken together, cover less than `least` points."""
    height, width = cover.shape
    known = np.zeros((height, width), dtype=np.uint8)
    found = np.empty((height * width, 2), dtype=np.int32)
    for top in range(height):
        for left in range(width):
            if known[top, left] or cover[top, left] <= 0.0:
                continue
            found[0, 0], found[0, 1] = top, left
            known[top, left] = 1
            count, at, total = 1, 0, 0.0
            while at < count:
                y, x = found[at, 0], found[at, 1]
                total += cover[y, x]
                at += 1
                for yy in range(max(0, y - 1), min(height, y + 2)):
                    for xx in range(max(0, x - 1), min(width, x + 2)):
                        if cover[yy, xx] > 0.0 and not known[yy, xx]:
                            known[yy, xx] = 1
                            found[count, 0], found[count, 1] = yy, xx
                            count += 1
            if total < least:
                for each in range(count):
                    cover[found[each, 0], found[each, 1]] = 0.0


@njit(cache=True)
def add_apart(cover: Singles, more: Singles, reach: int) -> None:
    """Add to `cover` the lines of `more`, but nothing within `reach` points of a line that is there already."""
    height, width = cover.shape
    taken = np.zeros((height, width), dtype=np.uint8)
    for y in range(height):
        for x in range(width):
            if cover[y, x] > 0.0:
                taken[max(0, y - reach) : y + reach + 1, max(0, x - reach) : x + reach + 1] = 1
    for y in range(height):
        for x in range(width):
            if not taken[y, x]:
                cover[y, x] = more[y, x]


@njit(cache=True)
def shadowed(depth: Singles, what: Bytes, light: Floats, mm: float, reach: int, least: float, out: Singles) -> None:
    """Mark the points that the light, `light` (right, up, towards the viewer), does not reach.

    Each point looks `reach` points of the picture along the light, and is in shadow behind what stands nearer there.
    """
    height, width = depth.shape
    flat = math.sqrt(light[0] * light[0] + light[1] * light[1])
    dx, dy, rise = light[0] / flat, -light[1] / flat, light[2] / flat * mm
    for y in range(height):
        for x in range(width):
            if what[y, x] == 0:
                continue
            for step in range(1, reach + 1):
                yy, xx = math.floor(y + 0.5 + dy * step), math.floor(x + 0.5 + dx * step)
                if yy < 0 or xx < 0 or yy >= height or xx >= width:
                    break
                if what[yy, xx] == 0:
                    continue
                over = depth[yy, xx] - depth[y, x] - rise * step
                if least < over < 60.0:
                    out[y, x] = 1.0
                    break
