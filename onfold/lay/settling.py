"""All pieces moved at once, so that the strip they lie on gets shorter: a linear programme, solved again and again.

Two convex outlines lie apart where an edge of one has all of the other beyond it; for each pair such an edge is chosen
and kept, and the pieces move, without turning, to the least length those lines allow (Z. Li, V. Milenkovic,
'Compaction and separation algorithms for non-convex polygons and their applications', European Journal of Operational
Research 84, 1995 [M]). No step lengthens the strip or makes an overlap.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from onfold.geometry.solve import least
from onfold.lay.part import Ring

REACH = 0.04
"""Share of the room within which pieces are neighbours: none moves by more than half of it before the next look."""
GAP = 5e-7
"""The gap kept between pieces, as a share of the room: above what the programme's solver lets a limit be broken by."""
WORTH = 1e-5
"""The share of the length that a step must win for another to follow."""
MOST = 12
"""Steps in a row; five are seldom passed."""


@dataclass(frozen=True, eq=False)
class _Pairs:
    """Convex outlines of neighbours, (m,): pieces `first` and `second`, and (m, k) lines that may part them.

    The outlines lie apart by `normals` @ (moved second - moved first) + `offsets` along the best of these lines.
    """

    first: NDArray[np.intp]
    second: NDArray[np.intp]
    normals: NDArray[np.float64]
    offsets: NDArray[np.float64]

    def apart(self, moves: Ring) -> NDArray[np.float64]:
        """Return (m, k) how far apart along each line, once the pieces are moved."""
        far: NDArray[np.float64] = np.einsum("mkd,md->mk", self.normals, moves[self.second] - moves[self.first])
        return far + self.offsets


def settled(pieces: Sequence[Sequence[Ring]], room: float) -> Ring:
    """Return by how much to move each piece, (n, 2), given as its convex outlines, on a strip 0 <= y <= room, x >= 0.

    Pieces that overlap are left no nearer to one another. What is given back holds to within `GAP`.
    """
    scaled = [[part / room for part in parts] for parts in pieces]
    boxes = np.array([_box(np.concatenate(parts)) for parts in scaled])
    moves = np.zeros((len(pieces), 2))
    for _ in range(MOST):
        before = _length(boxes, moves)
        moves = moves + _come_closer(_neighbours(scaled, moves), boxes + np.tile(moves, 2))
        if _length(boxes, moves) > before * (1.0 - WORTH):
            break
    return moves * room


def _length(boxes: Ring, moves: Ring) -> float:
    return float((boxes[:, 2] + moves[:, 0]).max())


def _box(points: Ring) -> tuple[float, float, float, float]:
    (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
    return float(x0), float(y0), float(x1), float(y1)


def _come_closer(pairs: _Pairs, boxes: Ring) -> Ring:
    """Return the pieces' moves once programme after programme wins nothing more."""
    moves = np.zeros((len(boxes), 2))
    for _ in range(MOST):
        found = _programme(pairs, boxes, moves)
        if found is None:
            return moves
        before, moves = _length(boxes, moves), found
        if _length(boxes, moves) > before * (1.0 - WORTH):
            return moves
    return moves


@dataclass(frozen=True, eq=False)
class _Limits:
    """The lines that part neighbours best now, as limits of a programme in the pieces' x and y: entries and bounds."""

    entries: tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.float64]]
    room: NDArray[np.float64]
    which: NDArray[np.intp]


def _limits(pairs: _Pairs, moves: Ring, kept: float) -> _Limits:
    """Return limits that keep neighbours `GAP` apart; nearer ones stay as near, or are asked for it by `kept` inf."""
    apart = pairs.apart(moves)
    line = apart.argmax(axis=1)
    at = np.flatnonzero(apart.max(axis=1) < 2.0 * REACH)
    line = line[at]
    far, normal, first, second = apart[at, line], pairs.normals[at, line], pairs.first[at], pairs.second[at]
    # normal @ (second - first) may fall by what they lie apart, the gap aside
    here = np.einsum("md,md->m", normal, moves[second] - moves[first])
    rows = np.tile(np.arange(len(at)), 4)
    columns = np.concatenate([2 * first, 2 * first + 1, 2 * second, 2 * second + 1])
    values = np.concatenate([normal[:, 0], normal[:, 1], -normal[:, 0], -normal[:, 1]])
    return _Limits((rows, columns, values), far - np.minimum(np.maximum(far, kept), GAP) - here, at)


def _programme(pairs: _Pairs, boxes: Ring, moves: Ring) -> Ring | None:
    """Return the moves that make the strip shortest, along the lines that part the pieces best now; None for none."""
    count = len(boxes)
    lines = _limits(pairs, moves, -np.inf)
    row, column, value = lines.entries
    ends, pieces = len(lines.room) + np.arange(count), np.arange(count)
    entries = (
        np.concatenate([row, ends, ends]),
        np.concatenate([column, 2 * pieces, np.full(count, 2 * count)]),
        np.concatenate([value, np.ones(count), -np.ones(count)]),
    )
    low, high = _bounds(boxes, np.inf)
    low, high = np.minimum(low, moves), np.maximum(high, moves)
    cost = np.append(np.zeros(2 * count), 1.0)
    limits = np.concatenate([lines.room, -boxes[:, 2]])
    found = least(cost, entries, limits, np.append(low, 0.0), np.append(high, _length(boxes, moves)))
    return None if found is None else found[:-1].reshape(count, 2)


def _bounds(boxes: Ring, length: float) -> tuple[Ring, Ring]:
    """Return the least and the greatest moves, (n, 2), within reach and the strip; what lies beyond it comes back."""
    high = np.minimum(REACH / 2.0, np.stack([length - boxes[:, 2], 1.0 - boxes[:, 3]], axis=1))
    return np.minimum(np.maximum(-REACH / 2.0, -boxes[:, :2]), high), high


def separated(pieces: Sequence[Sequence[Ring]], room: float, length: float) -> Ring | None:
    """Return by how much to move each piece, (n, 2), so that none overlap on a strip of that length; None: not found.

    Pieces are given as for `settled`, overlapping a little. Programme after programme makes the sum of all depths
    least; where it sticks, the depths that are left weigh half as much again (after Li and Milenkovic 1995 [M]).
    """
    scaled = [[part / room for part in parts] for parts in pieces]
    boxes = np.array([_box(np.concatenate(parts)) for parts in scaled])
    if float((boxes[:, 2] - boxes[:, 0]).max()) > length / room:
        return None
    count = len(pieces)
    moves = base = np.zeros((count, 2))
    pairs = _neighbours(scaled, base)
    weights, before = np.ones((count, count)), np.inf
    for _ in range(MOST):
        if np.abs(moves - base).max(initial=0.0) > 0.49 * REACH:
            base = moves
            pairs = _neighbours(scaled, base)
        lines = _limits(pairs, moves - base, np.inf)
        row, column, value = lines.entries
        first, second = pairs.first[lines.which], pairs.second[lines.which]
        between, of = np.unique(first * count + second, return_inverse=True)
        rows = np.arange(len(of))
        entries = (
            np.concatenate([row, rows]),
            np.concatenate([column, 2 * count + of]),
            np.concatenate([value, -np.ones(len(of))]),
        )
        low, high = _bounds(boxes + np.tile(base, 2), length / room)
        none, any_depth = np.zeros(len(between)), np.full(len(between), np.inf)
        cost = np.concatenate([np.zeros(2 * count), weights.ravel()[between]])
        found = least(cost, entries, lines.room, np.append(low, none), np.append(high, any_depth))
        if found is None:
            return None
        moves, left = base + found[: 2 * count].reshape(count, 2), found[2 * count :]
        # what came back into the strip from afar may have met others on its way: that is looked at first
        if left.sum() < GAP / 100.0 and np.abs(moves - base).max() < 0.51 * REACH:
            return moves * room
        if left.sum() > 0.97 * before:
            weights.ravel()[between[left > GAP / 100.0]] *= 1.5
        before = float(left.sum())
    return None


def _neighbours(pieces: Sequence[Sequence[Ring]], moves: Ring) -> _Pairs:
    """Return the pairs of convex outlines of different pieces within reach of one another, and their lines."""
    parts = [part + move for each, move in zip(pieces, moves, strict=True) for part in each]
    whose = np.repeat(np.arange(len(pieces)), [len(each) for each in pieces])
    most = max(map(len, parts))
    corners = np.stack([np.concatenate([part, np.repeat(part[-1:], most - len(part), axis=0)]) for part in parts])
    low, high = corners.min(axis=1), corners.max(axis=1)
    close = ((low[:, None] - REACH <= high[None]) & (low[None] - REACH <= high[:, None])).all(axis=2)
    first, second = np.nonzero(close & (whose[:, None] < whose[None]))
    edges = np.roll(corners, -1, axis=1) - corners
    length = np.hypot(edges[..., 0], edges[..., 1])
    real = length > 1e-12
    normals = np.stack([edges[..., 1], -edges[..., 0]], axis=2) / np.where(real, length, 1.0)[..., None]
    own = np.einsum("pkd,pkd->pk", normals, corners)
    # so many at once that what is worked out between stays small
    block = max(1, 2_000_000 // most**2)

    def beyond(one: NDArray[np.intp], other: NDArray[np.intp]) -> NDArray[np.float64]:
        reach = np.concatenate(
            [
                np.einsum("mkd,mjd->mkj", normals[one[k : k + block]], corners[other[k : k + block]]).min(axis=2)
                for k in range(0, max(len(one), 1), block)
            ]
        )
        return np.where(real[one], reach - own[one], -np.inf)

    lines = np.concatenate([normals[first], -normals[second]], axis=1)
    offsets = np.concatenate([beyond(first, second), beyond(second, first)], axis=1)
    return _Pairs(whose[first], whose[second], lines, offsets)
