"""A scene's surfaces made fit to be drawn: sound triangles, smooth normals, and curved where the mesh is coarse."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numba import njit
from numpy.typing import NDArray

from onfold.hang.scene import Faces, Floats, Surface, corner_normals, sound_faces, unit

FORM, CLOTH, FACING = 0, 1, 2
_KINDS = {"form": FORM, "cloth": CLOTH, "facing": FACING}
_ENOUGH = 40_000
"""Triangles from which a mesh is fine enough to be drawn as it is."""
_SAME = 1e-2
"""mm within which two points are one: pieces meet so at their seams."""
_ALIKE = 0.5
"""The cosine from which two normals at a shared point are of one smooth surface; a turned edge stays sharp."""
NARROW, BROAD = 5.0, 14.0
"""mm over which normals are evened: for the tones and the narrow folds, and for the broad folds."""
_MOST_ROUNDS = 40


@dataclass(frozen=True, eq=False)
class Mesh:
    """All triangles of a scene: points and unit normals (n, 3), faces (m, 3), and each face's kind (m,) uint8.

    `broad` are the normals (n, 3) evened so far that only broad folds are left in them.
    """

    points: Floats
    normals: Floats
    faces: Faces
    kinds: NDArray[np.uint8]
    broad: Floats


def refine(surfaces: Sequence[Surface]) -> Mesh:
    """Return the surfaces as one mesh; where it is coarse every triangle is made four, curved by its normals.

    The curve of an edge is the cubic of Vlachos, Peters, Boyd and Mitchell, Curved PN Triangles (2001) [M]: it depends
    on its own two ends alone, so that neighbours meet without a gap.
    """
    points, normals, faces, kinds = [np.zeros((0, 3))], [np.zeros((0, 3))], [np.zeros((0, 3), np.int32)], [_NO_KIND]
    count = 0
    for each in surfaces:
        own = np.asarray(each.points, dtype=np.float64)
        sound = sound_faces(own, np.asarray(each.faces))
        if not len(sound):
            continue
        used, at = np.unique(sound, return_inverse=True)
        own, sound = own[used], at.reshape(-1, 3).astype(np.int32)
        points.append(own)
        normals.append(corner_normals(own, sound))
        faces.append(sound + np.int32(count))
        kinds.append(np.full(len(sound), _KINDS.get(each.kind, CLOTH), dtype=np.uint8))
        count += len(own)
    blank = np.concatenate(normals)
    mesh = Mesh(np.concatenate(points), blank, np.concatenate(faces), np.concatenate(kinds), blank)
    if not count:
        return mesh
    mesh = _joined(mesh)
    return _evened(_curved(mesh) if len(mesh.faces) < _ENOUGH else mesh)


_NO_KIND = np.zeros(0, dtype=np.uint8)


def _joined(mesh: Mesh) -> Mesh:
    """Return the mesh with one point where pieces of a kind meet smoothly, so that a seam shows no crease or gap."""
    kind_of = np.zeros(len(mesh.points))
    kind_of[mesh.faces] = mesh.kinds[:, None]
    keys = np.column_stack((np.round(mesh.points / _SAME), kind_of))
    _, first, group, size = np.unique(keys, axis=0, return_index=True, return_inverse=True, return_counts=True)
    group = group.ravel()
    total: Floats = np.column_stack([np.bincount(group, mesh.normals[:, axis]) for axis in range(3)])
    shared = unit(total)
    alike = (shared[group] * mesh.normals).sum(axis=1) >= _ALIKE
    together = (np.bincount(group, alike) == size) & (size > 1)
    faces = np.where(together[group], first[group], np.arange(len(group)))[mesh.faces].astype(np.int32)
    return replace(mesh, normals=corner_normals(mesh.points, faces), faces=faces)


def _edges_of(mesh: Mesh) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the two ends of every edge (e, 2), and which edges each triangle has, (3 m,) side by side."""
    a, b, c = mesh.faces.T
    ends = np.sort(np.concatenate((np.column_stack((a, b)), np.column_stack((b, c)), np.column_stack((c, a)))), axis=1)
    keys = ends[:, 0].astype(np.int64) * len(mesh.points) + ends[:, 1]
    edges, row = np.unique(keys, return_inverse=True)
    return np.column_stack(np.divmod(edges, len(mesh.points))), row.ravel()


def _curved(mesh: Mesh) -> Mesh:
    edges, row = _edges_of(mesh)
    i, j = edges.T
    p, q, m, n = mesh.points[i], mesh.points[j], mesh.normals[i], mesh.normals[j]
    along = q - p
    start = along - (along * m).sum(axis=1, keepdims=True) * m
    end = along - (along * n).sum(axis=1, keepdims=True) * n
    middle = (p + q) / 2.0 + (start - end) / 8.0
    a, b, c = mesh.faces.T
    ab, bc, ca = (row + len(mesh.points)).astype(np.int32).reshape(3, -1)
    quarters = ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))
    faces = np.concatenate([np.column_stack(each) for each in quarters])
    normals = np.concatenate((mesh.normals, unit(m + n)))
    kinds = np.tile(mesh.kinds, 4)
    return Mesh(np.concatenate((mesh.points, middle)), normals, np.ascontiguousarray(faces), kinds, normals)


def _evened(mesh: Mesh) -> Mesh:
    """Return the mesh with its normals evened; each round draws them halfway to the mean of their neighbours'.

    On a mesh of edges h long a round spreads by h / 2, the variance of a step on the plane's even triangles [A].
    """
    edges, _ = _edges_of(mesh)
    along = mesh.points[edges[:, 1]] - mesh.points[edges[:, 0]]
    long = max(float(np.median(np.sqrt((along * along).sum(axis=1)))), 1e-3)
    narrow, broad = (min(_MOST_ROUNDS, math.ceil((2.0 * size / long) ** 2)) for size in (NARROW, BROAD))
    normals = mesh.normals.copy()
    _even(normals, edges, narrow)
    wide = normals.copy()
    _even(wide, edges, max(0, broad - narrow))
    return replace(mesh, normals=unit(normals), broad=unit(wide))


@njit(cache=True)
def _even(values: Floats, edges: NDArray[np.int64], rounds: int) -> None:
    meeting = np.zeros(len(values))
    for e in range(len(edges)):
        meeting[edges[e, 0]] += 1.0
        meeting[edges[e, 1]] += 1.0
    total = np.empty_like(values)
    for _ in range(rounds):
        total[:] = 0.0
        for e in range(len(edges)):
            i, j = edges[e, 0], edges[e, 1]
            for c in range(3):
                total[i, c] += values[j, c]
                total[j, c] += values[i, c]
        for i in range(len(values)):
            if meeting[i] > 0.0:
                for c in range(3):
                    values[i, c] = 0.5 * values[i, c] + 0.5 * total[i, c] / meeting[i]
