"""A facing turned at its fold and tacked to what it faces, as a maker tacks it; and which side of the cloth shows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from onfold.hang.net import Bools, Floats, Ints, areas, doubled
from onfold.hang.settle import Ties
from onfold.hang.sewn_net import Sewn
from onfold.pattern import Pattern

TACKED = 20.0
"""N/m that hold a point of a facing while it is tacked."""
LEFT = 0.001
"""Share of its weight and its stiffness that a facing keeps where it is laid upon what it faces."""
ON_FOLD = 0.05
"""mm within which two spots of a piece are one."""


def neck_edge(sewn: Sewn, pattern: Pattern) -> Ints | None:
    """Return the points of the neck edge from the wearer's right to her left; None where the garment has no cowl.

    It is the fold at which a facing cut in one is turned.
    """
    if "half neck edge" not in pattern.facts:
        return None
    own, facing = (set(np.unique(sewn.net.tri[sewn.layer == each]).tolist()) for each in (0, 1))
    for (piece, copy, line), run in sewn.lines.items():
        if copy != "drawn" or not line.startswith("~") or not set(run.tolist()) <= own & facing:
            continue
        other = sewn.lines.get((piece, "mirrored", line))
        if other is None:
            return run
        if run[0] == other[0]:
            return np.concatenate([other[::-1], run[1:]])
        if run[-1] == other[-1]:
            return np.concatenate([other, run[-2::-1]])
    return None


def on_outer(sewn: Sewn, mine: Bools, spots: Floats, copy: Ints) -> tuple[Ints, Floats]:
    """Return for points (k, 2) of a piece's drawn copy the triangle they lie in (or nearest) and their weights."""
    which = np.flatnonzero(mine & (copy > 0))
    found, weights, _ = _lying(sewn.corner[which], spots)
    return which[found], weights


def _lying(f: Floats, spots: Floats) -> tuple[Ints, Floats, Bools]:
    """Return for spots (k, 2) which of the triangles (m, 3, 2) they lie in or nearest, weights, and whether within."""
    det = doubled(f)
    out, weights = np.zeros(len(spots), dtype=np.int64), np.zeros((len(spots), 3))
    within = np.zeros(len(spots), dtype=bool)
    for n, p in enumerate(spots):
        d = p - f[:, 0]
        b = (d[:, 0] * (f[:, 2, 1] - f[:, 0, 1]) - d[:, 1] * (f[:, 2, 0] - f[:, 0, 0])) / det
        c = (d[:, 1] * (f[:, 1, 0] - f[:, 0, 0]) - d[:, 0] * (f[:, 1, 1] - f[:, 0, 1])) / det
        worst = np.minimum(np.minimum(b, c), 1.0 - b - c)
        k = int(np.argmax(worst))
        w = np.clip([1.0 - b[k] - c[k], b[k], c[k]], 0.0, None)
        out[n], weights[n], within[n] = k, w / w.sum(), worst[k] >= 0.0
    return out, weights, within


def outward_of(sewn: Sewn, x: Floats) -> Floats:
    """Return for every triangle (m,) 1 where its corners run anticlockwise seen from outside, -1 where clockwise."""
    corners = x[sewn.net.tri]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    middle = corners.mean(axis=1)
    away = middle - (0.0, 0.0, float(np.median(middle[:, 2])))
    shows = normal[:, 0] * away[:, 0] + normal[:, 2] * away[:, 2]
    group = sewn.of_piece * 2 + (sewn.copy > 0)
    total = np.bincount(group, np.where(sewn.layer == 1, 0.0, shows), 2 * len(sewn.pieces))
    return np.where(total >= 0.0, 1.0, -1.0)[group]


def tie_facings(sewn: Sewn, outward: Floats, inside: float) -> Ties | None:
    """Return what holds every facing `inside` mm off the cloth it faces, as if it were tacked; None without any."""
    found = []
    for k in np.unique(sewn.of_piece[sewn.layer == 1]):
        mine, faces = ((sewn.of_piece == k) & (sewn.layer == layer) for layer in (0, 1))
        own = np.unique(sewn.net.tri[mine])
        facing, turned = turned_in(sewn, mine, faces, own)
        if len(facing):
            found.append(_tied(sewn, outward, mine, faces, facing, turned[facing]))
    if not found:
        return None
    return Ties(
        np.concatenate([each.point for each in found]),
        np.concatenate([each.weight for each in found]),
        np.concatenate([each.stiff for each in found]),
        np.concatenate([each.outward for each in found]),
        inside,
    )


def laminated(sewn: Sewn) -> Sewn:
    """Return the garment with what its facings weigh and resist laid upon the cloth they face.

    Tacked to it they fold as it folds, one cloth of two layers; what little is left to a facing only keeps it smooth.
    """
    net = sewn.net
    assert net.weight is not None
    share, weight = np.ones(len(net.tri)), net.weight.copy()
    for k in np.unique(sewn.of_piece[sewn.layer == 1]):
        mine, faces = ((sewn.of_piece == k) & (sewn.layer == layer) for layer in (0, 1))
        _, turned = turned_in(sewn, mine, faces, np.unique(net.tri[mine]))
        under = np.flatnonzero(mine)
        _, _, covered = _lying(turned[net.tri[faces & (sewn.copy > 0)]], sewn.corner[under].mean(axis=1))
        under = under[covered]
        if not len(under):
            continue
        share[under] += 1.0 - LEFT
        share[faces] = LEFT
        size = areas(net.flat)
        moved = (1.0 - LEFT) * float((weight * size)[faces].sum())
        weight[faces] *= LEFT
        weight[under] *= 1.0 + moved / float((weight * size)[under].sum())
    more = np.repeat(areas(net.flat) * (weight - net.weight), 3)
    mass = net.mass + np.bincount(net.tri.reshape(-1), more, net.count) / 3.0
    return replace(
        sewn,
        net=replace(
            net, across=net.across * share, along=net.along * share, shear=net.shear * share,
            bend_across=net.bend_across * share, bend_along=net.bend_along * share, mass=mass, weight=weight,
        ),
    )  # fmt: skip


def tacked(ties: Ties | None, x: Floats) -> Floats:
    """Return the points with every facing laid where it is tacked."""
    if ties is None:
        return x
    out = x.copy()
    out[ties.point[:, 0]] = ties.offset(x) - (ties.weight[:, 1:, None] * x[ties.point[:, 1:]]).sum(axis=1)
    return out


def turned_in(sewn: Sewn, mine: Bools, faces: Bools, own: Ints) -> tuple[Ints, Floats]:
    """Return a facing's own points, and where every point of it comes to lie (n, 2) once it is turned at its fold."""
    spots, turned = (np.full((sewn.net.count, 2), np.nan) for _ in range(2))
    spots[sewn.net.tri[mine].reshape(-1)] = sewn.corner[mine].reshape(-1, 2)
    turned[sewn.net.tri[faces].reshape(-1)] = sewn.corner[faces].reshape(-1, 2)
    # on the fold line, and nowhere else, facing and faced have the same spot of the piece
    fold = spots[(np.abs(spots - turned) < ON_FOLD).all(axis=1)]
    if len(fold) < 2:
        return np.zeros(0, dtype=np.int64), turned
    a = fold[int(np.argmax(np.hypot(*(fold - fold.mean(axis=0)).T)))]
    b = fold[int(np.argmax(np.hypot(*(fold - a).T)))]
    way = (b - a) / max(float(np.hypot(*(b - a))), 1e-9)
    off = turned - a
    turned = a + 2.0 * (off @ way)[:, None] * way - off
    return np.setdiff1d(np.unique(sewn.net.tri[faces]), own), turned


def _tied(sewn: Sewn, outward: Floats, mine: Bools, faces: Bools, facing: Ints, spots: Floats) -> Ties:
    assert sewn.mirror is not None
    copy_of = np.zeros(sewn.net.count, dtype=np.int64)
    copy_of[sewn.net.tri[faces].reshape(-1)] = np.repeat(sewn.copy[faces], 3)
    drawn, weight = on_outer(sewn, mine, spots, sewn.copy)
    corners = sewn.net.tri[drawn]
    left = copy_of[facing] < 0
    corners[left] = sewn.mirror[corners[left]]
    point = np.concatenate([facing[:, None], corners], axis=1)
    weights = np.concatenate([np.ones((len(facing), 1)), -weight], axis=1)
    # the twin's corners run the other way round
    sign = outward[drawn] * np.where(left, -1.0, 1.0)
    return Ties(point, weights, np.full(len(facing), TACKED), sign)
