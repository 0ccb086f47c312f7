"""Where an outline that may be moved, but not turned, lies best within another, its least spare the largest.

A minimax by sequential linear programming in a trust region: about a place, how deep each point lies is linear in the
shift to first order, so that the best step is a linear programme of five unknowns. The spare counted is that of the
points that have room by intention (`favoured`), as long as nothing sticks out farther than it may; where something
does, what sticks out most is made least first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from onfold.geometry.point import Point
from onfold.geometry.region import ALIKE, Ring, depths, nearest_spots
from onfold.geometry.solve import least

Floats = NDArray[np.float64]
Whole = NDArray[np.intp]

_LIGHT, _HEAVY = 3.0, 1000.0
"""How much 1 mm that sticks out weighs against 1 mm of spare: as far as it may, and beyond.

Light, so that no inlay is given away for a tenth of a millimetre at a waist drawn anew; yet more than what a shift
gives on one side by taking it from the other."""
_FIRST, _LEAST_GAIN = 16.0, 2e-3
"""mm: the trust region's first reach; and the gain, or the reach, below which no further step is taken."""
_STEPS, _TRIED = 60, 4
_FARTHEST = 1e5


@dataclass(frozen=True, eq=False)
class Within:
    """A place found: `shift` mm, and for each point (m,) how deep it lies in the outer ring, mm, negative outside.

    `spare` (m,) is how far it lies from the stretch of the outer line that it is measured against.
    """

    shift: Point
    depth: Floats
    spare: Floats

    @property
    def lacks(self) -> float:
        """Return how far the farthest point sticks out, mm; 0 where none does."""
        return max(0.0, -float(self.depth.min()))


@dataclass(frozen=True, eq=False)
class Question:
    """`points` (m, 2) that are to lie within the closed ring `outer`, which runs anticlockwise.

    `groups` (m,) says which of `lines` each point is measured against: stretches of the outer line, each a list of
    lines (k, 2); an empty one stands for the whole. `favoured` (m,) are the points whose least spare is made as
    large as it can be; none: all, as deep as they lie. `across` says whether the points may be moved in x, `may`
    how far one may stick out, mm. `starts` are shifts to look from: the outlines may hang together at several.
    """

    points: Floats
    groups: Whole
    outer: Ring
    lines: Sequence[Sequence[Ring]]
    favoured: NDArray[np.bool_]
    across: bool = True
    may: float = ALIKE
    starts: tuple[Point, ...] = ((0.0, 0.0),)


def best_within(asked: Question) -> Within:
    """Return the best place found by climbing from the most promising starts.

    Where nothing sticks out farther than it may, the first start's place is kept; else the next ones are tried too.
    """
    starts = sorted((_place(asked, each) for each in asked.starts), key=lambda each: -_worth(asked, each))
    best = _climbed(asked, starts[0])
    for other in starts[1:_TRIED]:
        if best.lacks <= asked.may:
            break
        best = max(best, _climbed(asked, other), key=lambda each: _worth(asked, each))
    return best


def _worth(asked: Question, place: Within) -> float:
    if not asked.favoured.any():
        return float(place.depth.min())
    deepest = float(place.depth.min())
    out = _LIGHT * min(0.0, deepest) + _HEAVY * min(0.0, deepest + asked.may)
    return out + float(place.spare[asked.favoured].min())


def _climbed(asked: Question, best: Within) -> Within:
    """Return the place reached from another by steps that each make it better."""
    reach = _FIRST
    worth = _worth(asked, best)
    for _ in range(_STEPS):
        step = _step(asked, best, reach)
        if step is None or step[2] - worth < _LEAST_GAIN or reach < _LEAST_GAIN:
            break
        tried = _place(asked, (best.shift[0] + step[0], best.shift[1] + step[1]))
        gained = _worth(asked, tried) - worth
        # a step that gains much less than the lines promised went too far to trust them
        reach = min(2.0 * reach, _FIRST) if gained > 0.5 * (step[2] - worth) else reach / 4.0
        if gained > 0.0:
            best, worth = tried, worth + gained
    return best


def _place(asked: Question, shift: Point) -> Within:
    points = asked.points + shift
    depth = depths(asked.outer, points)
    spare = depth.copy()
    for group, lines in enumerate(asked.lines):
        own = np.flatnonzero((asked.groups == group) & (depth >= -asked.may))
        if lines and len(own):
            gap = nearest_spots(lines, points[own]) - points[own]
            spare[own] = np.hypot(gap[:, 0], gap[:, 1])
    return Within(shift, depth, spare)


def _step(asked: Question, place: Within, reach: float) -> tuple[float, float, float] | None:
    """Return the step, within `reach` mm each way, that is best by the lines' directions, and what they promise."""
    points = asked.points + place.shift
    some = bool(asked.favoured.any())
    counted = asked.favoured if some else np.ones(len(points), dtype=bool)
    # what lies deeper than this cannot become the tightest within one step
    near = np.flatnonzero(place.depth <= place.depth.min() + 3.0 * reach)
    tight = np.flatnonzero(counted & (place.spare <= place.spare[counted].min() + 3.0 * reach))
    rows = [_rows(points[near], place.depth[near], [asked.outer], 2)]
    for group in np.unique(asked.groups[tight]).tolist():
        own = tight[asked.groups[tight] == group]
        lines = asked.lines[group] if some and asked.lines[group] else [asked.outer]
        rows.append(_rows(points[own], place.spare[own], lines, 4))
    rows.append((np.array([(0.0, 0.0, -1.0, 1.0, 0.0)]), np.array([asked.may])))
    matrix = np.concatenate([each[0] for each in rows])
    limits = np.concatenate([each[1] for each in rows])
    row, column = np.nonzero(matrix)
    wide, top = (reach if asked.across else 0.0), (0.0 if some else _FARTHEST)
    low = np.array([-wide, -reach, -_FARTHEST, -_FARTHEST, -_FARTHEST])
    high = np.array([wide, reach, top, 0.0, _FARTHEST])
    cost = -np.array([0.0, 0.0, _LIGHT, _HEAVY, 1.0]) if some else -np.array([0.0, 0.0, 0.0, 0.0, 1.0])
    found = least(cost, (row, column, matrix[row, column]), limits, low, high)
    return None if found is None else (float(found[0]), float(found[1]), -float(cost @ found))


def _rows(points: Floats, depth: Floats, lines: Sequence[Ring], unknown: int) -> tuple[Floats, Floats]:
    """Return rows (m, 5) and limits (m,): unknown + outward . step <= depth, for points this deep beside the lines."""
    matrix = np.zeros((len(points), 5))
    matrix[:, :2] = _outward(points, depth, lines)
    matrix[:, unknown] = 1.0
    return matrix, depth


def _outward(points: Floats, depth: Floats, lines: Sequence[Ring]) -> Floats:
    """Return the unit directions (m, 2) in which each point loses most depth: towards the nearest spot, or away."""
    gap = nearest_spots(lines, points) - points
    size = np.hypot(gap[:, 0], gap[:, 1])
    way = gap * (np.where(depth < 0.0, -1.0, 1.0) / np.maximum(size, 1e-12))[:, None]
    on = np.flatnonzero(size < 1e-6)
    if len(on):
        way[on] = _normals(points[on], lines)
    return np.asarray(way)


def _normals(points: Floats, lines: Sequence[Ring]) -> Floats:
    """Return for points on the lines (m, 2) the unit normal, to the right of the way that the line runs there."""
    a, b = np.concatenate([each[:-1] for each in lines]), np.concatenate([each[1:] for each in lines])
    run = b - a
    long = np.maximum((run * run).sum(axis=1), 1e-18)
    off = points[:, None, :] - a[None, :, :]
    along = np.clip((off * run).sum(axis=2) / long, 0.0, 1.0)
    apart = np.hypot(*np.moveaxis(off - along[:, :, None] * run, 2, 0))
    nearest = apart.argmin(axis=1)
    way = run[nearest] / np.sqrt(long[nearest])[:, None]
    return np.stack([way[:, 1], -way[:, 0]], axis=1)
