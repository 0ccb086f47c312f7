"""What shows of a hung garment's facing and of its wrong side, from the front and from a little above."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from onfold.hang.raster import FACING, FACING_WRONG, FAR, WRONG, fill
from onfold.hang.scene import Faces, Floats, Surface
from onfold.hang.stills import View, sight

FROM = {"front": View("front"), "above": View("above", 0.0, 30.0)}
"""Whence it is looked at: level, and as someone taller sees it who stands before the wearer, 30 degrees above."""
_EACH = 2.0
"""Points of the picture for each mm."""
_LIFT = 1.5
Kinds = NDArray[np.uint8]
_KINDS = {"form": 0, "cloth": 1, "facing": 2}


@dataclass(frozen=True)
class Showing:
    """What shows from one side, mm2 as it is seen: of the facing, and of the garment's wrong side beyond it.

    `at` is the middle of the facing that shows, (x, y, z) mm, None where none does.
    """

    facing: float
    wrong: float
    at: tuple[float, float, float] | None


def showing(surfaces: Sequence[Surface]) -> dict[str, Showing]:
    """Return what shows by `FROM`, round the facing and as far below it again; nothing where there is no facing."""
    faced = [each for each in surfaces if each.kind == "facing" and len(each.faces)]
    if not faced:
        return {}
    round_about = np.concatenate([each.points[np.unique(each.faces)] for each in faced])
    points, faces, kinds, count = [], [], [], 0
    for each in surfaces:
        points.append(np.asarray(each.points, dtype=np.float64))
        faces.append(np.asarray(each.faces) + count)
        kinds.append(np.full(len(each.faces), _KINDS[each.kind]))
        count += len(each.points)
    mesh = np.concatenate(points), np.concatenate(faces).astype(np.int32), np.concatenate(kinds).astype(np.uint8)
    return {name: _from(view, round_about, *mesh) for name, view in FROM.items()}


def _from(view: View, round_about: Floats, points: Floats, faces: Faces, kinds: Kinds) -> Showing:
    rows = sight(view)
    seen = points @ rows.T
    window = round_about @ rows.T
    (left, low), (right, high) = window[:, :2].min(axis=0) - 5.0, window[:, :2].max(axis=0) + 5.0
    low -= 0.5 * (high - low)
    width, height = (max(1, int(np.ceil(size * _EACH))) for size in (right - left, high - low))
    places = np.stack([(seen[:, 0] - left) * _EACH, (high - seen[:, 1]) * _EACH, seen[:, 2]], axis=1)
    which = np.full((height, width), -1, dtype=np.int32)
    depth = np.full((height, width), FAR, dtype=np.float32)
    what = np.zeros((height, width), dtype=np.uint8)
    fill(np.ascontiguousarray(places), faces, kinds, _LIFT, which, depth, what)
    facing = (what == FACING) | (what == FACING_WRONG)
    each = 1.0 / _EACH**2
    at = points[faces[which[facing]]].mean(axis=(0, 1)) if facing.any() else None
    spot = None if at is None else (float(at[0]), float(at[1]), float(at[2]))
    return Showing(float(facing.sum()) * each, float((what == WRONG).sum()) * each, spot)
