"""Straps as strips of the net, from mark to mark, their ends the very points of the edges they are sewn to."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from onfold.geometry.path import closest, length
from onfold.hang.mechanics import Mechanics
from onfold.hang.net import MM2, Floats, Ints, Net, areas
from onfold.hang.parts import Key, Parts, is_strap
from onfold.hang.sewn_net import Sewn, laid_flat
from onfold.pattern import Mark, Pattern, Piece

STAYED = 1200.0
"""N/m along a strap at the least: it carries the garment, and in a stretch cloth it is taped (T175 [C], figure [M])."""
STRAP_ACROSS = 2
"""Triangles' edges across a strap before the net is made finer."""
ROW, LEAST_ROWS = 16.0, 6
"""mm of a strap from row to row of the net before it is made finer, and its rows at the least."""
AT_EDGE = 20.0
"""mm from an edge up to which a strap's mark tells where on the edge the strap is sewn."""


@dataclass(frozen=True)
class Strap:
    """A pair of straps, each from a mark on one piece to a mark on another: a line by its key, and mm along it.

    `width` mm finished, `long` mm from edge to edge, less `shorter` mm (left, right) for a low shoulder.
    """

    name: str
    front: tuple[Key, float]
    back: tuple[Key, float]
    width: float
    long: float
    shorter: tuple[float, float]
    crossed: bool


def strap_of(pattern: Pattern, parts: Parts) -> tuple[Strap | None, tuple[tuple[str, str], ...]]:
    """Return the straps as they are set between their marks; and by piece, why what is a strap is not hung."""
    pieces = [each for each in pattern.pieces if is_strap(each)]
    if not pieces:
        return None, ()
    name = pieces[0].name
    left = tuple((each.name, "is a second pair of straps") for each in pieces[1:])
    facts = {fact: found.value for fact, found in pattern.facts.items()}
    if not {"strap width", "strap way"} <= facts.keys():
        return None, ((name, "has no finished width and length"), *left)
    found = []
    for other in pattern.pieces:
        marks = [mark for mark in other.marks if mark.kind == "strap" and not is_strap(other)]
        spots = [spot for mark in marks if (spot := _on_line(parts, other, mark)) is not None]
        found += spots[:1]
    if len(found) != 2:
        return None, ((name, "is not marked on an edge in front and one behind"), *left)
    shorter = facts.get(f"left {name} shorter", 0.0), facts.get(f"right {name} shorter", 0.0)
    crossed = facts.get("straps crossed", 0.0) > 0.5
    return Strap(name, found[0], found[1], facts["strap width"], facts["strap way"], shorter, crossed), left


def _on_line(parts: Parts, piece: Piece, mark: Mark) -> tuple[Key, float] | None:
    near = []
    for key, path in parts.paths.items():
        if key[0] == piece.name:
            spot = closest(path, mark.at)
            # of lines equally near the fold of a facing counts: that is the edge once it is turned
            near.append((round(spot.distance, 3), not key[1].startswith("~"), key, spot.along))
    if not near:
        return None
    away, _, key, along = min(near)
    return (key, along) if away < AT_EDGE else None


def strap_places(strap: Strap, parts: Parts) -> dict[Key, set[float]]:
    """Return the places (mm along, by key) that a strap's ends need sampled: its middle and its sides."""
    out: dict[Key, set[float]] = {}
    for key, along in (strap.front, strap.back):
        out.setdefault(key, set()).update(strap_spots(parts, key, along, strap.width))
    return out


def strap_spots(parts: Parts, key: Key, along: float, width: float) -> list[float]:
    """Return where a strap of this width meets a line: its side, middle and other side, mm along."""
    whole = length(parts.paths[key])
    middle = min(max(along, width / 2.0), whole - width / 2.0)
    return [middle - width / 2.0, middle, middle + width / 2.0]


def strips(sewn: Sewn, strap: Strap, runs: list[tuple[Ints, Ints]], m: Mechanics) -> Sewn:
    """Add strips from edge to edge: `runs` are the points they are sewn to, front and back, of the left and the right.

    A strap's warp runs along it; it is a tube, two layers thick.
    """
    net, n = sewn.net, sewn.net.count
    rows = max(LEAST_ROWS, round(strap.long / ROW))
    tri, corner, copies, grids, first = [], [], [], [], n
    for which, (front, back) in enumerate(runs):
        w, h = strap.width / STRAP_ACROSS, max(strap.long - strap.shorter[which], 1.0) / rows
        place = np.stack(np.meshgrid(np.arange(STRAP_ACROSS + 1) * w, np.arange(rows + 1) * h), axis=2)
        grid = np.zeros((rows + 1, STRAP_ACROSS + 1), dtype=np.int64)
        # the side nearer the neck stays nearer it: where a crossed strap ends, on the other half, it is the outer
        grid[0], grid[rows] = front, back[::-1] if strap.crossed else back
        grid[1:rows] = np.arange(first, first + (rows - 1) * (STRAP_ACROSS + 1)).reshape(rows - 1, -1)
        first += (rows - 1) * (STRAP_ACROSS + 1)
        grids.append(grid)
        for r in range(rows):
            for c in range(STRAP_ACROSS):
                quad = ((r, c), (r, c + 1), (r + 1, c + 1), (r + 1, c))
                for half in ((0, 1, 2), (0, 2, 3)) if (r + c) % 2 == 0 else ((0, 1, 3), (1, 2, 3)):
                    turned = half[::-1] if which else half
                    tri.append([grid[quad[k]] for k in turned])
                    corner.append([place[quad[k]] for k in turned])
                    copies.append(-1 if which else 1)
    k, pieces, threads = len(tri), (*sewn.pieces, strap.name), np.concatenate([sewn.threads, np.eye(2)[None]])
    of_piece = np.full(k, len(pieces) - 1)
    faces, spots, copy = np.array(tri, dtype=np.int64), np.array(corner), np.array(copies)
    flat = laid_flat(spots, copy, of_piece, threads)
    weight = np.full(k, 2.0 * m.mass * MM2)
    mass = np.concatenate([net.mass, np.zeros(first - n)])
    mass += np.bincount(faces.reshape(-1), np.repeat(areas(flat) * weight, 3), first) / 3.0

    def more(a: Floats, value: float) -> Floats:
        return np.concatenate([a, np.full(k, 2.0 * value)])

    stayed = max(m.along, STAYED / 2.0)

    assert net.weight is not None
    together = Net(
        first, np.concatenate([net.tri, faces]), np.concatenate([net.flat, flat]), more(net.across, m.across),
        more(net.along, stayed), more(net.shear, m.shear), more(net.bend_across, m.bending_across),
        more(net.bend_along, m.bending_along), mass, np.concatenate([net.sheet, np.where(copy > 0, 2, 3)]),
        np.concatenate([net.weight, weight]), net.stiffening,
    )  # fmt: skip
    own = (rows - 1) * (STRAP_ACROSS + 1)
    one, two = n + np.arange(own), n + own + np.arange(own)
    return replace(
        sewn,
        net=together,
        pieces=pieces,
        threads=threads,
        corner=np.concatenate([sewn.corner, spots]),
        side=np.concatenate([sewn.side, np.full(own, 1), np.full(own, -1)]),
        mirror=None if sewn.mirror is None else np.concatenate([sewn.mirror, two, one]),
        copy=np.concatenate([sewn.copy, copy]),
        layer=np.concatenate([sewn.layer, np.full(k, 2)]),
        of_piece=np.concatenate([sewn.of_piece, of_piece]),
        straps=tuple(grids),
    )
