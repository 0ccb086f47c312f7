"""glTF files held against the standard by hand. [S] glTF 2.0, Khronos Group (ISO/IEC 12113:2022): 4.4 for the
container, 3.6 for buffers and accessors, 3.7 for geometry, 3.9 for materials.
"""

from __future__ import annotations

import json
import math
import struct
from typing import Any

import numpy as np
import pytest
from hang_scenes import ball, sheet, skirt
from numpy.typing import NDArray

from onfold.hang.scene import Surface
from onfold.writers.gltf import Named, glb

SIZES = {"SCALAR": 1, "VEC3": 3}
TYPES = {5126: "<f4", 5125: "<u4"}


def named(surface: Surface) -> Named:
    return surface.name, surface.points, surface.faces, surface.kind


MESHES = [named(ball(100.0)), named(skirt()), named(sheet(20.0, 30.0, kind="facing"))]


def taken_apart(data: bytes) -> tuple[dict[str, Any], bytes]:
    """The JSON and the binary chunk of a file, its container held against 4.4.2 and 4.4.3 on the way."""
    magic, version, length = struct.unpack_from("<III", data)
    assert (data[:4], magic, version, length) == (b"glTF", 0x46546C67, 2, len(data))
    size, kind = struct.unpack_from("<I4s", data, 12)
    assert kind == b"JSON" and size % 4 == 0
    said = data[20 : 20 + size]
    document = json.loads(said)
    assert said.rstrip(b" ").endswith(b"}")
    at = 20 + size
    if at == len(data):
        return document, b""
    size, kind = struct.unpack_from("<I4s", data, at)
    assert kind == b"BIN\0" and size % 4 == 0 and at + 8 + size == len(data)
    held = data[at + 8 :]
    assert 0 <= size - document["buffers"][0]["byteLength"] <= 3
    assert not any(held[document["buffers"][0]["byteLength"] :])
    return document, held


def values(document: dict[str, Any], held: bytes, at: int) -> NDArray[Any]:
    accessor = document["accessors"][at]
    view = document["bufferViews"][accessor["bufferView"]]
    kind = np.dtype(TYPES[accessor["componentType"]])
    count = accessor["count"] * SIZES[accessor["type"]]
    assert view["byteOffset"] % kind.itemsize == 0
    assert count * kind.itemsize == view["byteLength"] and view["byteOffset"] + view["byteLength"] <= len(held)
    return np.frombuffer(held, kind, count, view["byteOffset"]).reshape(accessor["count"], -1)


def test_every_mesh_can_be_read_back_in_metres() -> None:
    document, held = taken_apart(glb(MESHES))
    assert document["asset"] == {"version": "2.0", "generator": "Onfold"}
    assert document["scenes"][document["scene"]]["nodes"] == [0, 1, 2]
    assert [node["name"] for node in document["nodes"]] == ["ball", "skirt", "sheet"]
    for node, (_, points, faces, tone) in zip(document["nodes"], MESHES, strict=True):
        (primitive,) = document["meshes"][node["mesh"]]["primitives"]
        assert primitive["mode"] == 4
        there = values(document, held, primitive["attributes"]["POSITION"])
        indices = values(document, held, primitive["indices"]).reshape(-1, 3)
        assert indices.max() < len(there)
        corners = points[faces] / 1000.0
        whole = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1) > 1e-12
        assert np.array_equal(there[indices][: whole.sum()], corners[whole].astype(np.float32))
        material = document["materials"][primitive["material"]]
        assert material["name"] == tone and material["doubleSided"] == (tone != "form")
        assert material["pbrMetallicRoughness"]["metallicFactor"] == 0.0


def test_positions_carry_their_bounds_and_normals_are_of_length_one() -> None:
    """[S] 3.7.2.1: POSITION has min and max; 3.6.2.5: as held in single precision. NORMAL is of unit length."""
    document, held = taken_apart(glb(MESHES))
    for mesh in document["meshes"]:
        attributes = mesh["primitives"][0]["attributes"]
        position = document["accessors"][attributes["POSITION"]]
        there = values(document, held, attributes["POSITION"])
        assert np.array_equal(np.float32(position["min"]), there.min(axis=0))
        assert np.array_equal(np.float32(position["max"]), there.max(axis=0))
        assert position["min"] == [float(each) for each in there.min(axis=0)]
        normals = values(document, held, attributes["NORMAL"])
        assert len(normals) == len(there)
        assert np.linalg.norm(normals, axis=1) == pytest.approx(1.0, abs=1e-6)


def test_the_normals_of_a_ball_point_away_from_its_middle() -> None:
    """[A]"""
    document, held = taken_apart(glb([named(ball(100.0, rows=80))]))
    attributes = document["meshes"][0]["primitives"][0]["attributes"]
    there, normals = (values(document, held, attributes[key]) for key in ("POSITION", "NORMAL"))
    away = there / np.linalg.norm(there, axis=1, keepdims=True)
    assert ((away * normals).sum(axis=1) > math.cos(math.radians(2.0))).all()


def test_views_say_what_they_are_for() -> None:
    """[S] 3.6.2.2: 34962 for attributes, 34963 for indices; one buffer, without a uri, is the binary chunk."""
    document, _ = taken_apart(glb(MESHES))
    assert [view["target"] for view in document["bufferViews"]] == [34962, 34962, 34963] * 3
    assert len(document["buffers"]) == 1 and "uri" not in document["buffers"][0]


def test_equal_meshes_give_equal_bytes() -> None:
    again: list[Named] = [(name, points.copy(), faces.copy(), tone) for name, points, faces, tone in MESHES]
    assert glb(MESHES) == glb(again)


NOTHING = np.zeros((0, 3)), np.zeros((0, 3), np.int32)
ODD: dict[str, list[Named]] = {
    "no mesh": [],
    "an empty mesh": [("none", *NOTHING, "cloth")],
    "no area": [("thin", np.zeros((3, 3)), np.array(((0, 1, 2),), np.int32), "form")],
    "no such point": [("lost", np.eye(3), np.array(((0, 1, 3), (-1, 0, 1)), np.int32), "cloth")],
    "no number": [("nan", np.diag((math.nan, 1.0, 1.0)), np.array(((0, 1, 2),), np.int32), "cloth")],
}  # fmt: skip


@pytest.mark.parametrize("name", ODD)
def test_what_cannot_be_shown_is_left_out_and_the_file_still_stands(name: str) -> None:
    """[S] no array of the document is empty, and no accessor counts nothing (schema: minItems 1, minimum 1)."""
    document, held = taken_apart(glb(ODD[name]))
    assert not held and "meshes" not in document and "nodes" not in document["scenes"][0]
    document, _ = taken_apart(glb([*ODD[name], MESHES[2]]))
    assert [mesh["name"] for mesh in document["meshes"]] == ["sheet"]
    assert all(value != [] for value in document.values())


def test_any_name_is_held_as_text() -> None:
    hostile = '"}\u202e\x00 Ärmel \ud800'
    document, _ = taken_apart(glb([(hostile, *MESHES[2][1:])]))
    assert document["meshes"][0]["name"] == hostile
