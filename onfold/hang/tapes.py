"""Lines of the pattern as they lie on the hung cloth: where a level runs, and how far cloth is stretched along it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from onfold.geometry.path import flatten
from onfold.hang.net import Floats, Ints, rim_of
from onfold.hang.sewn_net import Sewn
from onfold.pattern import Pattern

WIDEST_GAP = np.radians(60.0)
"""A level that leaves more than this of the way round open does not go round the body."""
_LEAST = 1e-9


@dataclass(frozen=True, eq=False)
class Laid:
    """A line of a piece on the hung cloth, in pieces, one a triangle: `ends` (k, 2, 3) mm in the room.

    `flat` (k,) mm is how long each is on the pattern, `along` (k,) mm where its middle stands along the line.
    """

    ends: Floats
    flat: Floats
    along: Floats

    @property
    def hung(self) -> Floats:
        """Return how long each of the pieces is on the hung cloth (k,) mm."""
        found: Floats = np.linalg.norm(self.ends[:, 1] - self.ends[:, 0], axis=1)
        return found


def lay_line(sewn: Sewn, x: Floats, piece: str, line: Floats, copy: int = 1) -> Laid:
    """Return a line (n, 2) mm of a piece on its hung copy (1 drawn, -1 mirrored), as far as the garment covers it.

    `x` (points, 3) mm. Facings are left out. A piece that does not hang gives nothing.
    """
    ends, flat, along = [np.zeros((0, 2, 3))], [np.zeros(0)], [np.zeros(0)]
    if piece in sewn.pieces and len(line) > 1:
        mine = (sewn.of_piece == sewn.pieces.index(piece)) & (sewn.layer == 0) & (sewn.copy == copy)
        which = np.flatnonzero(mine)
        gone = 0.0
        for p, q in pairwise(np.asarray(line, dtype=np.float64)):
            size = float(np.hypot(*(q - p)))
            if size < _LEAST or not len(which):
                continue
            at, shares = _clipped(sewn.corner[which], p, q)
            ends.append(np.einsum("kec,kcx->kex", shares, x[sewn.net.tri[which[at[:, 0].astype(int)]]]))
            flat.append(size * (at[:, 2] - at[:, 1]))
            along.append(gone + 0.5 * size * (at[:, 1] + at[:, 2]))
            gone += size
    order = np.argsort(np.concatenate(along), kind="stable")
    return Laid(np.concatenate(ends)[order], np.concatenate(flat)[order], np.concatenate(along)[order])


def _clipped(corner: Floats, p: Floats, q: Floats) -> tuple[Floats, Floats]:
    """Return for each triangle that p to q passes (row, begin, end), shares of it, and the corners' weights there."""
    one, two = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
    det = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
    det = np.where(np.abs(det) < _LEAST, np.nan, det)

    def weights(point: Floats) -> Floats:
        d = point - corner[:, 0]
        second = (d[:, 0] * two[:, 1] - d[:, 1] * two[:, 0]) / det
        third = (one[:, 0] * d[:, 1] - one[:, 1] * d[:, 0]) / det
        return np.stack([1.0 - second - third, second, third], axis=1)

    begin, finish = weights(p), weights(q)
    step = finish - begin
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = -begin / step
    low = np.where(step > 0.0, crossing, 0.0).max(axis=1, initial=0.0)
    high = np.where(step < 0.0, crossing, 1.0).min(axis=1, initial=1.0)
    level = np.abs(step) < _LEAST
    off = (level & (begin < -_LEAST)).any(axis=1)
    kept = np.flatnonzero(~off & (high - low > 1e-7))
    at = np.stack([kept.astype(np.float64), low[kept], high[kept]], axis=1)
    shares = np.stack([begin[kept] + step[kept] * at[:, k : k + 1] for k in (1, 2)], axis=1)
    return at, shares


@dataclass(frozen=True, eq=False)
class Round:
    """A level of the garment as it hangs: `round` mm on the hung cloth, `flat` on the pattern, its pieces (k, 2, 3)."""

    name: str
    round: float
    flat: float
    ends: Floats

    @property
    def stretch(self) -> float:
        """Return how far the cloth is stretched along the level, a share; below 0 where it lies slack."""
        return self.round / self.flat - 1.0 if self.flat > 0.0 else 0.0

    @property
    def height(self) -> float:
        """Return the mean height of the level, mm, its pieces counted by their length."""
        long = np.linalg.norm(self.ends[:, 1] - self.ends[:, 0], axis=1)
        return float((self.ends[:, :, 1].mean(axis=1) * long).sum() / max(float(long.sum()), _LEAST))

    @property
    def line(self) -> Floats:
        """Return the level as one closed line (k, 3) round the body; empty where it does not go all the way round."""
        middles = self.ends.mean(axis=1)
        if len(middles) < 8:
            return np.zeros((0, 3))
        centre = 0.5 * (middles[:, [0, 2]].min(axis=0) + middles[:, [0, 2]].max(axis=0))
        angle = np.arctan2(middles[:, 0] - centre[0], middles[:, 2] - centre[1])
        order = np.argsort(angle, kind="stable")
        turned = np.append(angle[order], angle[order[0]] + 2.0 * np.pi)
        if np.diff(turned).max() > WIDEST_GAP:
            return np.zeros((0, 3))
        closed: Floats = middles[np.append(order, order[0])]
        return closed


def levels_of(sewn: Sewn, x: Floats, pattern: Pattern) -> dict[str, Round]:
    """Return by name every level of the pattern that a hung piece is marked with, summed over all pieces and copies."""
    found: dict[str, list[Laid]] = {}
    for piece in pattern.pieces:
        for inner in piece.inner:
            if inner.kind != "level" or inner.name not in pattern.levels or not len(inner.path.curves):
                continue
            line = flatten(inner.path, 0.5)
            for copy in np.unique(sewn.copy).tolist():
                laid = lay_line(sewn, x, piece.name, line, int(copy))
                if len(laid.flat):
                    found.setdefault(inner.name, []).append(laid)
    return {
        name: Round(
            name,
            float(sum(each.hung.sum() for each in laid)),
            float(sum(each.flat.sum() for each in laid)),
            np.concatenate([each.ends for each in laid]),
        )
        for name, laid in found.items()
    }


def ends_of(sewn: Sewn) -> Ints:
    """Return the edges (k, 2) at which the garment ends: those of one triangle only, straps left out."""
    return rim_of(sewn.net.tri[sewn.layer != 2])
