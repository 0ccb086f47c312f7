"""The cut lines of pieces, from their edges with their allowances: derived last, in one batch for many pieces.

A dart's legs are not cut: over its mouth the cut line follows the cap that the folded dart needs, which is the
adjoining edge mirrored in the leg, so that sewn and pressed it lies in line with its neighbours.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from onfold.geometry.apart import distances_to
from onfold.geometry.curve import Floats
from onfold.geometry.fault import Fault
from onfold.geometry.offset import OffsetEdge, offset_outlines
from onfold.geometry.path import (
    Path,
    end,
    joined,
    length,
    line,
    meetings,
    mirrored,
    part,
    polyline,
    start,
    turned_back,
)
from onfold.geometry.point import distance, midpoint
from onfold.pattern import Edge

_ON = 0.05
"""mm within which two cut lines count as one: both lie within 0.02 mm of their true offsets."""


def cut_lines(pieces: Sequence[Sequence[Edge]]) -> list[Floats | Fault]:
    """Return for the edges of each piece, in order round it, its cut line as a closed ring (m, 2), mm, or the fault."""
    return offset_outlines([to_cut(edges) for edges in pieces])


def cut_back_lines(cut: Floats, later: Floats) -> list[Path]:
    """Return the stretches of a later cut line that run within the first one: where inlays are cut back.

    Both are closed rings (m, 2), mm, the later one nowhere outside the first.
    """
    middles = (later[:-1] + later[1:]) / 2.0
    apart = distances_to(middles, cut) > _ON
    if not apart.any():
        return []
    if apart.all():
        return [polyline(later)]
    first = int(np.argmin(apart))
    points = np.concatenate([later[first:-1], later[: first + 1]])
    steps = np.diff(np.concatenate([[0], np.roll(apart, -first).astype(int), [0]]))
    runs = zip(np.flatnonzero(steps == 1).tolist(), np.flatnonzero(steps == -1).tolist(), strict=True)
    return [polyline(points[a : b + 1]) for a, b in runs]


def to_cut(edges: Sequence[Edge]) -> list[OffsetEdge]:
    """Return the edges that the cut line follows: the darts' legs replaced by the caps of their mouths."""
    run: list[OffsetEdge] = []
    index = 0
    while index < len(edges):
        edge = edges[index]
        following = edges[(index + 1) % len(edges)]
        if edge.finish == "dart" and following.finish == "dart" and index + 1 < len(edges):
            before, beyond = edges[index - 1], edges[(index + 2) % len(edges)]
            run.append(OffsetEdge(cap(edge, following, beyond), before.allowance, before.corner, False))
            index += 2
            continue
        run.append(OffsetEdge(edge.path, edge.allowance, edge.corner, edge.fold))
        index += 1
    return run


def cap(leg: Edge, other: Edge, beyond: Edge) -> Path:
    """Return the outline over a dart's mouth, folded towards the edge that follows it.

    The dart's cloth lies under `beyond`: its edge, mirrored in the leg beside it, meets the dart's fold at the cap's
    peak; the other half mirrors it in the fold. Where they do not meet, the mouth is bridged straight.
    """
    a, b, point = start(leg.path), end(other.path), end(leg.path)
    middle = midpoint(a, b)
    reach = distance(middle, point) * 0.5 + distance(a, b)
    away = ((middle[0] - point[0]), (middle[1] - point[1]))
    size = distance(middle, point)
    if size <= 1e-9:
        return line(a, b)
    fold = line(point, (middle[0] + away[0] / size * reach, middle[1] + away[1] / size * reach))
    side = mirrored(turned_back(beyond.path), point, b)
    crossing = meetings(side, fold)
    if not crossing or distance(crossing[-1].at, middle) > reach:
        return line(a, b)
    second = part(side, crossing[-1].along_a, length(side))
    first = turned_back(mirrored(second, point, crossing[-1].at))
    if distance(start(first), a) > 1e-6:  # the legs differ: a check says so, and the mouth still needs a cut line
        return line(a, b)
    peak = polyline([end(first), start(second)]) if distance(end(first), start(second)) > 1e-9 else None
    paths = [first, *([peak] if peak is not None else []), second]
    return joined(paths)
