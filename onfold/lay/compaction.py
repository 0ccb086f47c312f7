"""Pieces slid closer: each towards the start of the cloth and then across, as far as it goes, until none moves.

Exact and translation only. Sliding one way, a piece is stopped first where one of its corners meets an edge that
faces it, or a corner of another meets one of its own: the least of those ways is how far it goes [A]. A little less is
taken, so that no two pieces ever quite touch and rounding never decides whether a corner passes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from onfold.geometry.region import area, closed

Ring = NDArray[np.float64]
Vector = NDArray[np.float64]
_TURNS = {
    "start": np.array(((1.0, 0.0), (0.0, 1.0))),
    "low": np.array(((0.0, 1.0), (-1.0, 0.0))),
    "high": np.array(((0.0, -1.0), (1.0, 0.0))),
}
"""For each way to slide the quarter turn, points @ turn.T, that makes it the way of falling x."""
_STEPS = {"start": np.array((-1.0, 0.0)), "low": np.array((0.0, -1.0)), "high": np.array((0.0, 1.0))}
_LEAST = 100.0
"""How many gaps a slide must be to count as one: a sweep whose slides are all shorter has come to rest."""
MOST_SWEEPS = 30
"""Sweeps after which it is left as it lies: pieces nudging one another could creep on for ever."""


@dataclass(frozen=True, eq=False)
class _Outline:
    """A ring's corners (n, 2) and its edges (n, 2, 2), anticlockwise."""

    corners: Ring
    edges: Ring

    def moved(self, by: Vector) -> _Outline:
        return _Outline(self.corners + by, self.edges + by)

    def turned(self, turn: Ring) -> _Outline:
        return _Outline(self.corners @ turn.T, self.edges @ turn.T)


def _outline(ring: Ring) -> _Outline:
    points = closed(ring)
    if area(points) < 0.0:
        points = points[::-1]
    return _Outline(points[:-1], np.stack([points[:-1], points[1:]], axis=1))


def compacted(rings: Sequence[Ring], low: float, high: float, gap: float = 1e-4) -> Ring:
    """Return by how much to move each ring, (n, 2), so that they lie closer to x = 0 between y `low` and `high`.

    Rings are simple and share no area; each lies at x >= 0 and in the band, but for `gap`. Slid across to either side
    in turn; the better of beginning low and beginning high is given. No ring ends farther from the start than it was.
    """
    if not rings:
        return np.zeros((0, 2))
    outlines = [_outline(ring) for ring in rings]
    tries = [_come_to_rest(outlines, low, high, gap, side) for side in ("low", "high")]
    return min(tries, key=lambda moves: _length(outlines, moves))


def parted(rings: Sequence[Ring], gap: float = 1e-4) -> Ring:
    """Return by how much to move each ring along x, (n, 2), so that none overlap, whatever they did before.

    In order of x each is taken beyond those before it and slid back towards the start as far as it goes.
    """
    moves = np.zeros((len(rings), 2))
    lying: list[_Outline] = []
    end = 0.0
    order = sorted(range(len(rings)), key=lambda k: float(rings[k][:, 0].min()))
    for k in order:
        moves[k, 0] = end + gap - float(rings[k][:, 0].min())
        lying.append(_outline(rings[k]).moved(moves[k]))
        far = _way_free(lying, _boxes(lying), len(lying) - 1, "start", 0.0, gap)
        lying[-1] = lying[-1].moved(far * _STEPS["start"])
        moves[k, 0] -= far
        end = max(end, float(lying[-1].corners[:, 0].max()))
    return moves


def _boxes(lying: Sequence[_Outline]) -> Ring:
    return np.array([(*each.corners.min(axis=0), *each.corners.max(axis=0)) for each in lying])


def _length(outlines: Sequence[_Outline], moves: Ring) -> float:
    return max(float(each.corners[:, 0].max() + move[0]) for each, move in zip(outlines, moves, strict=True))


def _come_to_rest(outlines: Sequence[_Outline], low: float, high: float, gap: float, side: str) -> Ring:
    lying = list(outlines)
    moves = np.zeros((len(lying), 2))
    boxes = _boxes(lying)
    walls = {"start": 0.0, "low": low, "high": -high}
    for sweep in range(MOST_SWEEPS):
        across = side if sweep % 2 == 0 else ("high" if side == "low" else "low")
        farthest = 0.0
        for k in np.argsort(boxes[:, 0], kind="stable").tolist():
            for way in ("start", across, "start"):
                far = _way_free(lying, boxes, k, way, walls[way], gap)
                if far <= 0.0:
                    continue
                step = far * _STEPS[way]
                lying[k] = lying[k].moved(step)
                moves[k] += step
                boxes[k] += np.tile(step, 2)
                farthest = max(farthest, far if way == "start" else 0.0)
        # across alone the pieces could go to and fro for ever
        if farthest <= _LEAST * gap and sweep:
            break
    return moves


def _way_free(lying: Sequence[_Outline], boxes: Ring, k: int, way: str, wall: float, gap: float) -> float:
    """Return how far piece `k` may slide one way, 0 where it may not."""
    turn = _TURNS[way]
    mine = lying[k].turned(turn)
    room = float(mine.corners[:, 0].min()) - wall
    if room <= 0.0:
        return 0.0
    near = _in_the_way(boxes, k, way, room)
    if len(near):
        others = [lying[j] for j in near]
        corners = np.concatenate([each.corners for each in others]) @ turn.T
        edges = np.concatenate([each.edges for each in others]) @ turn.T
        ahead = _first_meeting(mine.corners, edges, 1.0, gap)
        behind = _first_meeting(corners, mine.edges, -1.0, gap)
        room = min(room, ahead - gap, behind - gap)
    return max(room, 0.0)


def _in_the_way(boxes: Ring, k: int, way: str, room: float) -> NDArray[np.intp]:
    """Return which pieces' boxes a slide by `room` would sweep over."""
    swept = boxes[k].copy()
    step = room * _STEPS[way]
    swept[:2] += np.minimum(step, 0.0)
    swept[2:] += np.maximum(step, 0.0)
    met = (boxes[:, :2] <= swept[2:]).all(axis=1) & (boxes[:, 2:] >= swept[:2]).all(axis=1)
    met[k] = False
    return np.flatnonzero(met)


def _first_meeting(corners: Ring, edges: Ring, facing: float, gap: float) -> float:
    """Return the least way along falling x between corners and the edges that face them, infinite where none do.

    `facing` 1: the corners move onto edges that face rising x; -1: edges that face falling x move onto the corners.
    What has been passed by less than a gap counts as met.
    """
    rise = edges[:, 1, 1] - edges[:, 0, 1]
    facers = edges[rise * facing > 0.0]
    if not len(facers):
        return float("inf")
    (ax, ay), (bx, by) = facers[:, 0].T, facers[:, 1].T
    y = corners[:, 1][:, None]
    met = (y >= np.minimum(ay, by)) & (y <= np.maximum(ay, by))
    of, at = np.nonzero(met)
    if not len(of):
        return float("inf")
    share = (corners[of, 1] - ay[at]) / (by[at] - ay[at])
    ways = facing * (corners[of, 0] - (ax[at] + share * (bx[at] - ax[at])))
    ways = ways[ways >= -gap]
    return float(ways.min()) if len(ways) else float("inf")
