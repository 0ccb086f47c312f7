"""Surfaces as a binary glTF 2.0 file (Khronos Group; ISO/IEC 12113:2022), for other programs to turn about.

Metres, Y up, Z to the front, as the standard has it. Equal input gives equal bytes.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Sequence
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

Tone = Literal["form", "cloth", "facing"]
Named = tuple[str, NDArray[np.float64], NDArray[np.int32], Tone]

_MAGIC, _VERSION = 0x46546C67, 2
_JSON, _BIN = 0x4E4F534A, 0x004E4942
_FLOAT, _UNSIGNED_INT = 5126, 5125
_ARRAY_BUFFER, _ELEMENT_ARRAY_BUFFER = 34962, 34963
_TRIANGLES = 4
_COLOURS: dict[str, tuple[float, float, float]] = {
    "form": (0.871, 0.791, 0.617),
    "cloth": (0.80, 0.82, 0.84),
    "facing": (0.38, 0.40, 0.42),
}
"""Red, green and blue of each tone's material, linear light."""


def glb(meshes: Sequence[Named]) -> bytes:
    """Return the meshes as one file: (name, points (n, 3) mm, faces (m, 3), tone) each.

    Every mesh is a node of its own with smooth normals, the faces round a point weighted by area; cloth and facing
    show both sides. Faces that name no point, or have a corner that is no finite number or no area as single precision
    holds it, are left out, and a mesh without any is too.
    """
    body = _Body()
    nodes: list[dict[str, Any]] = []
    tones = [tone for tone in _COLOURS if any(each[3] == tone for each in meshes)]
    for name, points, faces, tone in meshes:
        held = _sound(points, faces)
        if held is None:
            continue
        body.meshes.append({"name": name, "primitives": [body.primitive(*held, tones.index(tone))]})
        nodes.append({"name": name, "mesh": len(body.meshes) - 1})
    scene: dict[str, Any] = {"name": "hang", **({"nodes": list(range(len(nodes)))} if nodes else {})}
    document: dict[str, Any] = {
        "asset": {"version": "2.0", "generator": "Onfold"},
        "scene": 0,
        "scenes": [scene],
        "nodes": nodes,
        "meshes": body.meshes,
        "materials": [_material(tone) for tone in tones] if nodes else [],
        "accessors": body.accessors,
        "bufferViews": body.views,
        "buffers": [{"byteLength": len(body.data)}] if body.data else [],
    }
    kept = {key: value for key, value in document.items() if value != []}
    return _packed(json.dumps(kept, ensure_ascii=True, separators=(",", ":")).encode("ascii"), bytes(body.data))


def _material(tone: str) -> dict[str, Any]:
    rough = {"baseColorFactor": [*_COLOURS[tone], 1.0], "metallicFactor": 0.0, "roughnessFactor": 0.95}
    return {"name": tone, "pbrMetallicRoughness": rough, "doubleSided": tone != "form"}


class _Body:
    """The binary part of a file and what describes it."""

    def __init__(self) -> None:
        self.data = bytearray()
        self.views: list[dict[str, Any]] = []
        self.accessors: list[dict[str, Any]] = []
        self.meshes: list[dict[str, Any]] = []

    def primitive(
        self, points: NDArray[np.float32], normals: NDArray[np.float32], faces: NDArray[np.uint32], material: int
    ) -> dict[str, Any]:
        position = self._held(points.astype("<f4").tobytes(), len(points), "VEC3", _FLOAT, _ARRAY_BUFFER)
        self.accessors[position] |= {"min": points.min(axis=0).tolist(), "max": points.max(axis=0).tolist()}
        normal = self._held(normals.astype("<f4").tobytes(), len(points), "VEC3", _FLOAT, _ARRAY_BUFFER)
        indices = self._held(faces.astype("<u4").tobytes(), faces.size, "SCALAR", _UNSIGNED_INT, _ELEMENT_ARRAY_BUFFER)
        named = {"POSITION": position, "NORMAL": normal}
        return {"attributes": named, "indices": indices, "material": material, "mode": _TRIANGLES}

    def _held(self, data: bytes, count: int, kind: str, component: int, target: int) -> int:
        view = {"buffer": 0, "byteOffset": len(self.data), "byteLength": len(data), "target": target}
        self.data += data
        self.views.append(view)
        self.accessors.append(
            {"bufferView": len(self.views) - 1, "componentType": component, "count": count, "type": kind}
        )
        return len(self.accessors) - 1


def _sound(
    points: NDArray[np.float64], faces: NDArray[np.int32]
) -> tuple[NDArray[np.float32], NDArray[np.float32], NDArray[np.uint32]] | None:
    """Return points in metres, unit normals and faces of what can be shown, unused points dropped; None for nothing."""
    faces = np.asarray(faces).reshape(-1, 3) if np.asarray(faces).size else np.zeros((0, 3), dtype=np.int32)
    kept = faces[((faces >= 0) & (faces < len(points))).all(axis=1)]
    metres = np.where(np.isfinite(points) & (np.abs(points) < _MOST), points, np.nan) / 1000.0
    kept = kept[np.isfinite(metres[kept]).all(axis=(1, 2))]
    single = metres.astype(np.float32)
    across = _across(single.astype(np.float64), kept)
    sized = (across * across).sum(axis=1) > _LEAST**2
    kept, across = kept[sized], across[sized]
    if not len(kept):
        return None
    total = np.zeros((len(points), 3))
    for at in range(3):
        for axis in range(3):
            total[:, axis] += np.bincount(kept[:, at], across[:, axis], len(points))
    long = np.sqrt((total * total).sum(axis=1, keepdims=True))
    normals = np.where(long > _LEAST, total / np.maximum(long, _LEAST), (0.0, 1.0, 0.0)).astype(np.float32)
    used, at_used = np.unique(kept, return_inverse=True)
    return single[used], normals[used], at_used.reshape(-1, 3).astype(np.uint32)


_MOST = 1e7
_LEAST = 1e-15
"""m2, twice the area below which a triangle has no side to show."""


def _across(points: NDArray[np.float64], faces: NDArray[np.int32]) -> NDArray[np.float64]:
    corners = points[faces]
    normals: NDArray[np.float64] = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return normals


def _packed(said: bytes, data: bytes) -> bytes:
    """Return header and chunks, each filled up to a multiple of four: JSON with spaces, binary with zeros."""
    said += b" " * (-len(said) % 4)
    data += b"\0" * (-len(data) % 4)
    chunks = struct.pack("<II", len(said), _JSON) + said
    if data:
        chunks += struct.pack("<II", len(data), _BIN) + data
    return struct.pack("<III", _MAGIC, _VERSION, 12 + len(chunks)) + chunks
