"""How far every point near a closed mesh lies from its skin, kept on a grid of cubes.

Close to the skin each grid point is measured against the triangles about it; from there outward a point takes the
nearest triangle from its neighbours', measures itself against that and walks on over the skin. Whether it lies inside
is counted along lines across the grid. Beyond the band the values grow on by the steps between grid points, so that
they still rise outward.

Sources: distance to a triangle by the regions of its corners, edges and face (Ericson, Real-Time Collision Detection,
2005, 5.1.5 [M]); nearest features handed from point to point (Danielsson, Euclidean distance mapping, 1980 [M]);
steps beyond the band (Borgefors, Distance transformations in digital images, 1986 [M]).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numba import njit
from numpy.typing import NDArray

from onfold.hang.kernel import probe

Array = NDArray[np.float64]

BAND = 30.0
"""How far to either side of the skin values are measured and not stepped, mm."""

MARGIN = 45.0
"""How far the grid reaches beyond the mesh on every side, mm."""
_TOLD = 400.0


@dataclass(frozen=True, eq=False)
class Distance:
    """Signed distances, mm, negative inside: `values[i, j, k]` holds at `origin + spacing * (i, j, k)`, read-only.

    Within 25 mm of the skin they are the mesh's own; beyond that they rise outward but are only about right.
    """

    origin: Array
    spacing: float
    values: NDArray[np.float32]


def distance_of(points: Array, faces: NDArray[np.int32], spacing: float = 5.0) -> Distance:
    """Return the distances about a closed mesh: points (n, 3) mm, faces (m, 3) anticlockwise seen from outside.

    One thread does all, so that the bytes are the same on any machine with the same arithmetic. Raises ValueError for
    a mesh without faces, points that are no numbers, or a spacing that is not above 0.
    """
    points = np.ascontiguousarray(points, dtype=np.float64)
    faces = np.ascontiguousarray(faces, dtype=np.int32)
    if not len(faces) or not np.isfinite(points).all() or not spacing > 0.0:
        raise ValueError("a distance needs faces, points that are numbers and a spacing above 0")
    used = points[faces.ravel()]
    margin = max(MARGIN, 3.0 * spacing)
    first = np.floor((used.min(axis=0) - margin) / spacing)
    last = np.ceil((used.max(axis=0) + margin) / spacing)
    origin = first * spacing
    nx, ny, nz = (int(each) for each in last - first + 1.0)
    shape = (nx, ny, nz)
    triangles = np.ascontiguousarray((points[faces] - origin) / spacing)
    values = np.full(shape, np.inf, dtype=np.float32)
    nearest = np.full(shape, -1, dtype=np.int32)
    band = max(BAND / spacing, 2.0)
    _seed(triangles, values, nearest)
    _hand_on(triangles, values, nearest, band)
    about, starts = _about_corners(faces, len(points))
    _settle(triangles, faces, about, starts, values, nearest)
    inside = _inside(triangles, shape)
    _step_on(values, nearest)
    _edges(values)
    _scale(values, inside, spacing)
    values.flags.writeable = False
    origin.flags.writeable = False
    return Distance(origin, float(spacing), values)


def off_skin(distance: Distance, x: Array) -> tuple[Array, Array]:
    """Return how far points (k, 3) lie off the skin (k,) mm, 1e9 beyond the grid, and the way outward there (k, 3).

    From 420 mm off no way outward is told: it is 0.
    """
    n = len(x)
    normal, push, gap, room = np.zeros((n, 3)), np.zeros(n), np.zeros(n), np.zeros(n)
    points = np.ascontiguousarray(x)
    probe(points, distance.origin, distance.spacing, distance.values, _TOLD, 1.0, room, normal, push, gap)
    return gap, normal


@njit(cache=True, error_model="numpy")
def _foot(t: Array, x: float, y: float, z: float) -> tuple[float, float, float]:
    """Give the distance of (x, y, z) from the triangle t (3, 3), and the second and third corners' weight there."""
    abx, aby, abz = t[1, 0] - t[0, 0], t[1, 1] - t[0, 1], t[1, 2] - t[0, 2]
    acx, acy, acz = t[2, 0] - t[0, 0], t[2, 1] - t[0, 1], t[2, 2] - t[0, 2]
    apx, apy, apz = x - t[0, 0], y - t[0, 1], z - t[0, 2]
    d1, d2 = abx * apx + aby * apy + abz * apz, acx * apx + acy * apy + acz * apz
    bpx, bpy, bpz = apx - abx, apy - aby, apz - abz
    d3, d4 = abx * bpx + aby * bpy + abz * bpz, acx * bpx + acy * bpy + acz * bpz
    cpx, cpy, cpz = apx - acx, apy - acy, apz - acz
    d5, d6 = abx * cpx + aby * cpy + abz * cpz, acx * cpx + acy * cpy + acz * cpz
    va, vb, vc = d3 * d6 - d5 * d4, d5 * d2 - d1 * d6, d1 * d4 - d3 * d2
    if d1 <= 0.0 and d2 <= 0.0:
        v, w = 0.0, 0.0
    elif d3 >= 0.0 and d4 <= d3:
        v, w = 1.0, 0.0
    elif d6 >= 0.0 and d5 <= d6:
        v, w = 0.0, 1.0
    elif vc <= 0.0 and d1 >= 0.0 and d3 <= 0.0:
        v, w = d1 / (d1 - d3), 0.0
    elif vb <= 0.0 and d2 >= 0.0 and d6 <= 0.0:
        v, w = 0.0, d2 / (d2 - d6)
    elif va <= 0.0 and d4 >= d3 and d5 >= d6:
        w = (d4 - d3) / ((d4 - d3) + (d5 - d6))
        v = 1.0 - w
    else:
        whole = va + vb + vc
        v, w = vb / whole, vc / whole
    qx, qy, qz = apx - v * abx - w * acx, apy - v * aby - w * acy, apz - v * abz - w * acz
    return sqrt(qx * qx + qy * qy + qz * qz), v, w


@njit(cache=True, error_model="numpy")
def _far(t: Array, x: float, y: float, z: float) -> np.float32:
    return np.float32(_foot(t, x, y, z)[0])


@njit(cache=True, error_model="numpy")
def _seed(triangles: Array, values: NDArray[np.float32], nearest: NDArray[np.int32]) -> None:
    """Measure the grid points in each triangle's box, a step wider all round; grid units."""
    for at in range(len(triangles)):
        t = triangles[at]
        low = np.empty(3, np.int64)
        high = np.empty(3, np.int64)
        for axis in range(3):
            least = min(t[0, axis], t[1, axis], t[2, axis])
            most = max(t[0, axis], t[1, axis], t[2, axis])
            low[axis] = max(int(np.ceil(least - 1.0)), 0)
            high[axis] = min(int(np.floor(most + 1.0)), values.shape[axis] - 1)
        for i in range(low[0], high[0] + 1):
            for j in range(low[1], high[1] + 1):
                for k in range(low[2], high[2] + 1):
                    far = _far(t, float(i), float(j), float(k))
                    if far < values[i, j, k]:
                        values[i, j, k] = far
                        nearest[i, j, k] = at


@njit(cache=True, error_model="numpy")
def _before(ny: int, nz: int) -> tuple[NDArray[np.int64], NDArray[np.float32]]:
    """Give the 13 neighbours that come before a grid point in memory: how far before, and how far away."""
    back = np.empty(13, np.int64)
    away = np.empty(13, np.float32)
    for step in range(13):
        dx, dy, dz = 1 - step // 9, 1 - (step // 3) % 3, 1 - step % 3
        back[step] = (dx * ny + dy) * nz + dz
        away[step] = np.float32(np.sqrt(float(dx * dx + dy * dy + dz * dz)))
    return back, away


@njit(cache=True, error_model="numpy")
def _hand_on(triangles: Array, values: NDArray[np.float32], nearest: NDArray[np.int32], band: float) -> None:
    """Let each grid point try its neighbours' nearest triangles, up the grid and down again.

    The outermost points, which the margin keeps out of the band, stay as they are: so every neighbour is there.
    """
    nx, ny, nz = values.shape
    value, near = values.reshape(-1), nearest.reshape(-1)
    back, away = _before(ny, nz)
    for way in (1, -1):
        for a in range(1, nx - 1):
            i = a if way > 0 else nx - 1 - a
            for b in range(1, ny - 1):
                j = b if way > 0 else ny - 1 - b
                row = (i * ny + j) * nz
                for c in range(1, nz - 1):
                    here = row + (c if way > 0 else nz - 1 - c)
                    own, at = value[here], near[here]
                    for step in range(13):
                        there = here - way * back[step]
                        theirs = value[there]
                        # What is at least as far as this point already lies cannot better it.
                        if theirs > band or theirs - away[step] >= own or near[there] == at:
                            continue
                        far = _far(triangles[near[there]], float(i), float(j), float(here - row))
                        if far < own:
                            own, at = far, near[there]
                    value[here], near[here] = own, at


def _about_corners(faces: NDArray[np.int32], corners: int) -> tuple[NDArray[np.int32], NDArray[np.int64]]:
    """Give the faces about each corner one after the other, and where each corner's begin."""
    order = np.argsort(faces.ravel(), kind="stable")
    starts = np.concatenate([[0], np.cumsum(np.bincount(faces.ravel(), minlength=corners))])
    return (order // 3).astype(np.int32), starts.astype(np.int64)


@njit(cache=True, error_model="numpy")
def _settle(
    triangles: Array,
    faces: NDArray[np.int32],
    about: NDArray[np.int32],
    starts: NDArray[np.int64],
    values: NDArray[np.float32],
    nearest: NDArray[np.int32],
) -> None:
    """Walk each grid point's nearest triangle downhill over the skin, for what its neighbours could not hand on.

    A foot inside a triangle is nearest of all about it; one on its rim may lie nearer still on a triangle beyond.
    """
    nx, ny, nz = values.shape
    for i in range(nx):
        for j in range(ny):
            for k in range(nz):
                if nearest[i, j, k] < 0 or values[i, j, k] < 1.0:
                    continue
                for _ in range(32):
                    at = nearest[i, j, k]
                    _, v, w = _foot(triangles[at], float(i), float(j), float(k))
                    u = 1.0 - v - w
                    if u > 1e-9 and v > 1e-9 and w > 1e-9:
                        break
                    corner = faces[at, 0] if u >= v and u >= w else faces[at, 1] if v >= w else faces[at, 2]
                    best, own = at, values[i, j, k]
                    for place in range(starts[corner], starts[corner + 1]):
                        far = _far(triangles[about[place]], float(i), float(j), float(k))
                        if far < own:
                            best, own = about[place], far
                    if best == at:
                        break
                    nearest[i, j, k], values[i, j, k] = best, own


@njit(cache=True, error_model="numpy")
def _inside(triangles: Array, shape: tuple[int, int, int]) -> NDArray[np.bool_]:
    """Tell which grid points lie inside, by the turns of the skin that lie before each along the first axis."""
    turns = np.zeros(shape, dtype=np.int8)
    # Lines just beside the grid's miss the corners of meshes that are set on round figures.
    off_y, off_z = 1.2371e-5, 0.7713e-5
    for at in range(len(triangles)):
        t = triangles[at]
        ay, az = t[0, 1] - off_y, t[0, 2] - off_z
        by, bz = t[1, 1] - off_y, t[1, 2] - off_z
        cy, cz = t[2, 1] - off_y, t[2, 2] - off_z
        area = (by - ay) * (cz - az) - (bz - az) * (cy - ay)
        if area == 0.0:
            continue
        for j in range(max(int(np.ceil(min(ay, by, cy))), 0), min(int(np.floor(max(ay, by, cy))), shape[1] - 1) + 1):
            for k in range(
                max(int(np.ceil(min(az, bz, cz))), 0), min(int(np.floor(max(az, bz, cz))), shape[2] - 1) + 1
            ):
                u = ((by - j) * (cz - k) - (bz - k) * (cy - j)) / area
                v = ((cy - j) * (az - k) - (cz - k) * (ay - j)) / area
                w = 1.0 - u - v
                if u < 0.0 or v < 0.0 or w < 0.0:
                    continue
                x = int(np.ceil(u * t[0, 0] + v * t[1, 0] + w * t[2, 0]))
                if x < shape[0]:
                    turns[max(x, 0), j, k] += 1 if area > 0.0 else -1
    found = np.zeros(shape, dtype=np.bool_)
    for j in range(shape[1]):
        for k in range(shape[2]):
            total = 0
            for i in range(shape[0]):
                total += turns[i, j, k]
                found[i, j, k] = total != 0
    return found


@njit(cache=True, error_model="numpy")
def _step_on(values: NDArray[np.float32], nearest: NDArray[np.int32]) -> None:
    """Fill what lies beyond the band by the steps from point to point, up the grid and down again."""
    nx, ny, nz = values.shape
    value, near = values.reshape(-1), nearest.reshape(-1)
    back, away = _before(ny, nz)
    for way in (1, -1):
        for a in range(1, nx - 1):
            i = a if way > 0 else nx - 1 - a
            for b in range(1, ny - 1):
                row = (i * ny + (b if way > 0 else ny - 1 - b)) * nz
                for c in range(1, nz - 1):
                    here = row + (c if way > 0 else nz - 1 - c)
                    if near[here] < 0:
                        best = value[here]
                        for step in range(13):
                            best = min(best, value[here - way * back[step]] + away[step])
                        value[here] = best


@njit(cache=True, error_model="numpy")
def _edges(values: NDArray[np.float32]) -> None:
    """Fill the outermost points from those within, one step farther."""
    nx, ny, nz = values.shape
    for i in range(nx):
        for j in range(ny):
            for k in range(nz):
                p, q, r = min(max(i, 1), nx - 2), min(max(j, 1), ny - 2), min(max(k, 1), nz - 2)
                if p != i or q != j or r != k:
                    away = float((p - i) ** 2 + (q - j) ** 2 + (r - k) ** 2)
                    values[i, j, k] = values[p, q, r] + np.float32(np.sqrt(away))


@njit(cache=True, error_model="numpy")
def _scale(values: NDArray[np.float32], inside: NDArray[np.bool_], spacing: float) -> None:
    """Turn grid steps into mm and give the inside its sign."""
    for i in range(values.shape[0]):
        for j in range(values.shape[1]):
            for k in range(values.shape[2]):
                values[i, j, k] *= np.float32(-spacing if inside[i, j, k] else spacing)
