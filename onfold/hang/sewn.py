"""The garment sewn together: panels filled with triangles, copies laid out, points that meet made one.

The drawn copies and their mirror twins share one triangulation, so that the net is alike on both sides to the bit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from onfold.geometry.fault import Fault
from onfold.geometry.path import closest, length, points_along
from onfold.hang.flat import Floats, Ints, Size, triangulated
from onfold.hang.mechanics import Mechanics
from onfold.hang.net import Net, areas
from onfold.hang.parts import Join, Key, Panel, Parts, is_strap
from onfold.hang.sampled import Samples
from onfold.pattern import Grain, Mark, Pattern, Piece

MM2 = 1e-6
"""m² in one mm²."""
BULGE = 5.0
"""mm an outline may bulge between two of its samples."""
STIFFEST = 1200.0
"""N/m that no thread of the net exceeds: what hangs of its own weight is then stretched by less than half a hundredth,
and a stiffer net would only come to rest more slowly. [C]"""
STAYED = 1200.0
"""N/m along a strap at the least: it carries the garment, and in a stretch cloth it is taped (T175 [C], figure [M])."""
STRAP_ACROSS = 2
"""Triangles' edges across a strap before the net is made finer."""


@dataclass(frozen=True, eq=False)
class Sewn:
    """A garment as one net. `corner` (m, 3, 2) mm: where each corner of a triangle lies on its piece, `of_piece` (m,).

    `copy` (m,) is 1 on drawn copies, -1 on their mirror twins; `layer` (m,) 0 the garment, 1 a facing, 2 a strap.
    `side` (n,) says the same of points, 0 on what the copies share. `mirror` (n,) gives every point's twin; None where
    the garment is not alike on both sides. `lines` are points in order by (piece, copy, line). `threads` (k, 2, 2)
    turns a piece's frame onto the thread of the cloth.
    """

    net: Net
    pieces: tuple[str, ...]
    threads: Floats
    corner: Floats
    side: Ints
    mirror: Ints | None
    lines: Mapping[tuple[str, str, str], Ints]
    curves: Mapping[tuple[int, int], tuple[Floats, ...]]
    copy: Ints
    layer: Ints
    of_piece: Ints
    straps: tuple[Ints, ...]
    left_out: tuple[tuple[str, str], ...]

    @property
    def spots(self) -> tuple[Ints, Floats]:
        """For every point a piece (n,) and where it lies on it (n, 2) mm: of those that meet there, the first."""
        point = self.net.tri.reshape(-1)
        _, first = np.unique(point, return_index=True)
        return np.repeat(self.of_piece, 3)[first], self.corner.reshape(-1, 2)[first]


def laid_flat(corner: Floats, copy: Ints, of_piece: Ints, threads: Floats) -> Floats:
    """Return corners (m, 3, 2) as (across, along) the thread; mirrored copies are turned over."""
    flat: Floats = np.einsum("mci,mij->mcj", corner, threads[of_piece])
    flat[:, :, 0] *= copy[:, None]
    return flat


@dataclass(frozen=True, eq=False)
class _Patch:
    """One panel filled: points (k, 2), triangles, and where each line's samples lie among the points."""

    panel: Panel
    points: Floats
    tri: Ints
    where: Mapping[tuple[Key, int], int]


@dataclass(frozen=True)
class Strap:
    """A strap from a mark on one piece to a mark on another, mm long between them, or None where the body decides."""

    name: str
    front: tuple[Key, float]
    back: tuple[Key, float]
    width: float
    long: float | None
    crossed: bool


def strap_of(pattern: Pattern, parts: Parts) -> Strap | None:
    """Return the strap as it is set: between its marks on two pieces; None where the garment has none."""
    piece = next((each for each in pattern.pieces if is_strap(each)), None)
    if piece is None:
        return None
    found = []
    for other in pattern.pieces:
        for mark in other.marks:
            if mark.kind == "strap" and not is_strap(other):
                spot = _on_line(parts, other, mark)
                if spot is not None:
                    found.append(spot)
                break
    if len(found) != 2:
        return None
    facts = {name: fact.value for name, fact in pattern.facts.items()}
    width = facts.get("strap width", 15.0)
    crossed = facts.get("straps crossed", 0.0) > 0.5
    return Strap(piece.name, found[0], found[1], width, facts.get("strap way"), crossed)


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
    return (key, along) if away < 20.0 else None


def strap_places(strap: Strap, parts: Parts) -> dict[Key, set[float]]:
    """Return the places (mm along, by key) that a strap's ends need sampled: its middle and its sides."""
    out: dict[Key, set[float]] = {}
    for key, along in (strap.front, strap.back):
        out.setdefault(key, set()).update(_strap_spots(parts, key, along, strap.width))
    return out


def _strap_spots(parts: Parts, key: Key, along: float, width: float) -> list[float]:
    whole = length(parts.paths[key])
    middle = min(max(along, width / 2.0), whole - width / 2.0)
    return [middle - width / 2.0, middle, middle + width / 2.0]


def sew(pattern: Pattern, parts: Parts, mechanics: Mechanics, size: Size) -> Sewn | Fault:
    """Return the garment as one net, its edges about as long as `size` wants. A Fault where a piece cannot be filled."""
    strap = strap_of(pattern, parts)
    samples = Samples(parts, size, strap_places(strap, parts) if strap else {})
    patches = []
    for panel in parts.panels:
        patch = _fill(panel, parts, samples, size)
        if isinstance(patch, Fault):
            return Fault(f"The {panel.piece.name}: {patch.reason}.")
        patches.append(patch)
    return _Sewing(pattern, parts, mechanics, samples, patches, strap).sewn()


def _fill(panel: Panel, parts: Parts, samples: Samples, size: Size) -> _Patch | Fault:
    ring: list[Floats] = []
    where: dict[tuple[Key, int], int] = {}
    spots: list[tuple[Key, int]] = []
    for stretch in panel.ring:
        along = samples.along[stretch.key]
        low, high = min(stretch.begin, stretch.finish), max(stretch.begin, stretch.finish)
        inside = np.flatnonzero((along >= low - 0.01) & (along <= high + 0.01))
        if stretch.begin > stretch.finish:
            inside = inside[::-1]
        points = points_along(parts.paths[stretch.key], along[inside])
        for k, point in zip(inside.tolist(), points, strict=True):
            if ring and np.hypot(*(point - ring[-1])) < 0.05:
                where[stretch.key, k] = len(ring) - 1
                continue
            where[stretch.key, k] = len(ring)
            ring.append(point)
            spots.append((stretch.key, k))
    if len(ring) > 1 and np.hypot(*(ring[-1] - ring[0])) < 0.05:
        last = len(ring) - 1
        ring.pop()
        where = {each: (0 if at == last else at) for each, at in where.items()}
    outline = np.array(ring)
    if not panel.piece.on_fold and not panel.piece.mirrored_pair:
        halved = _whole(outline, size)
        if halved is not None:
            points, tri = halved
            return _Patch(panel, points, tri, _found(where, outline, points))
    filled = triangulated(outline, size)
    if isinstance(filled, Fault):
        return filled
    return _Patch(panel, *filled, where)


def _found(where: Mapping[tuple[Key, int], int], outline: Floats, points: Floats) -> dict[tuple[Key, int], int]:
    out = {}
    for each, at in where.items():
        away = ((points - outline[at]) ** 2).sum(axis=1)
        if away.min() < 0.25:
            out[each] = int(away.argmin())
    return out


def _whole(outline: Floats, size: Size) -> tuple[Floats, Ints] | None:
    """Fill an outline that is alike on both sides by its half and the half's mirror; None where it is not alike."""
    middle = 0.5 * (outline[:, 0].min() + outline[:, 0].max())
    turned = outline * (-1.0, 1.0) + (2.0 * middle, 0.0)
    away = ((outline[:, None] - turned[None]) ** 2).sum(axis=2).min(axis=1)
    if away.max() > 0.25:
        return None
    ring = np.concatenate([outline, outline[:1]])
    half: list[Floats] = []
    for a, b in zip(ring, ring[1:], strict=False):
        if a[0] >= middle - 0.02:
            half.append(np.array([max(a[0], middle), a[1]]) if a[0] > middle + 0.02 else np.array([middle, a[1]]))
        if (a[0] - middle) * (b[0] - middle) < 0.0 and abs(a[0] - middle) > 0.02 and abs(b[0] - middle) > 0.02:
            share = (middle - a[0]) / (b[0] - a[0])
            half.append(np.array([middle, a[1] + share * (b[1] - a[1])]))
    on = [n for n, p in enumerate(half) if p[0] <= middle + 0.02]
    if len(on) != 2:
        return None
    full: list[Floats] = []
    for n, p in enumerate(half):
        full.append(p)
        q = half[(n + 1) % len(half)]
        if p[0] <= middle + 0.02 and q[0] <= middle + 0.02:
            step = float(size(np.array([0.5 * (p + q)]))[0])
            count = max(1, round(abs(float(q[1] - p[1])) / step))
            full += [np.array([middle, p[1] + (q[1] - p[1]) * k / count]) for k in range(1, count)]
    filled = triangulated(np.array(full), size)
    if isinstance(filled, Fault):
        return None
    points, tri = filled
    beyond = points[:, 0] > middle + 0.02
    twin = np.where(beyond, len(points) + np.cumsum(beyond) - 1, np.arange(len(points)))
    other = points[beyond] * (-1.0, 1.0) + (2.0 * middle, 0.0)
    return np.concatenate([points, other]), np.concatenate([tri, twin[tri][:, ::-1]])


class _Sewing:
    """Points of all copies numbered, those that meet made one, and the net made of what is left."""

    def __init__(
        self, pattern: Pattern, parts: Parts, mechanics: Mechanics, samples: Samples, patches: list[_Patch],
        strap: Strap | None,
    ) -> None:  # fmt: skip
        self.pattern, self.parts, self.mechanics = pattern, parts, mechanics
        self.samples, self.patches, self.strap = samples, patches, strap
        self.pieces = tuple(dict.fromkeys(panel.piece.name for panel in parts.panels))
        self.first: dict[tuple[int, str], int] = {}
        count = 0
        for n, patch in enumerate(patches):
            for copy in _copies(patch.panel.piece):
                self.first[n, copy] = count
                count += len(patch.points)
        self.count = count
        self.above = np.arange(count)

    def root(self, i: int) -> int:
        while self.above[i] != i:
            self.above[i] = self.above[self.above[i]]
            i = int(self.above[i])
        return i

    def join(self, i: int, j: int) -> None:
        a, b = self.root(i), self.root(j)
        if a != b:
            self.above[max(a, b)] = min(a, b)

    def spots(self, key: Key, copy: str, k: int) -> list[int]:
        """Return the points at a sample of a line, one for every panel that has it."""
        out = []
        for n, patch in enumerate(self.patches):
            at = patch.where.get((key, k))
            if at is not None and (n, copy) in self.first:
                out.append(self.first[n, copy] + at)
        return out

    def sewn(self) -> Sewn | Fault:
        for key, along in self.samples.along.items():
            for copy in ("drawn", "mirrored"):
                for k in range(len(along)):
                    found = self.spots(key, copy, k)
                    for other in found[1:]:
                        self.join(found[0], other)
        self._join_folds()
        for join in self.parts.joins:
            self._join(join)
        self._close_bands()
        return self._net()

    def _join_folds(self) -> None:
        for n, patch in enumerate(self.patches):
            piece = patch.panel.piece
            if not piece.on_fold:
                continue
            keys = [(piece.name, edge.name) for edge in piece.edges if edge.fold]
            for key in keys:
                for k in range(len(self.samples.along[key])):
                    at = patch.where.get((key, k))
                    if at is not None:
                        self.join(self.first[n, "drawn"] + at, self.first[n, "mirrored"] + at)

    def _join(self, join: Join) -> None:
        for (key, copy, mm), (other, other_copy, other_mm) in self.samples.meeting(join):
            k = int(np.argmin(np.abs(self.samples.along[key] - mm)))
            m = int(np.argmin(np.abs(self.samples.along[other] - other_mm)))
            copies = [(copy, other_copy)] if copy != "both" else [("drawn", "drawn"), ("mirrored", "mirrored")]
            for one, two in copies:
                a, b = self.spots(key, one, k), self.spots(other, two, m)
                if a and b:
                    self.join(a[0], b[0])

    def _close_bands(self) -> None:
        """A band whose seam comes round to where it began is closed at its ends."""
        for patch in self.patches:
            if not patch.panel.band:
                continue
            name = patch.panel.piece.name
            begin, finish = (name, "|begin"), (name, "|finish")
            for copy in _copies(patch.panel.piece):
                a, b = self.spots(begin, copy, 0), self.spots(finish, copy, 0)
                if not a or not b or self.root(a[0]) != self.root(b[0]):
                    continue
                last = min(len(self.samples.along[begin]), len(self.samples.along[finish]))
                for k in range(last):
                    for p, q in zip(self.spots(begin, copy, k), self.spots(finish, copy, k), strict=True):
                        self.join(p, q)

    def _net(self) -> Sewn | Fault:
        roots = np.array([self.root(i) for i in range(self.count)])
        kept, node = np.unique(roots, return_inverse=True)
        n, m = len(kept), self.mechanics
        tri, spot, layers, layer, copy, of_piece = [], [], [], [], [], []
        drawn, mirrored = np.zeros(n, bool), np.zeros(n, bool)
        for k, patch in enumerate(self.patches):
            piece, count = patch.panel.piece, len(patch.tri)
            for each in _copies(piece):
                here = node[self.first[k, each] + np.arange(len(patch.points))]
                turned = each == "mirrored"
                corner = patch.tri[:, ::-1] if turned else patch.tri
                tri.append(here[corner])
                spot.append(patch.points[corner])
                layers.append(np.full(count, patch.panel.layers))
                layer.append(np.full(count, patch.panel.layer))
                copy.append(np.full(count, -1 if turned else 1))
                of_piece.append(np.full(count, self.pieces.index(piece.name)))
                if piece.on_fold or piece.mirrored_pair:
                    (mirrored if turned else drawn)[here] = True
        side = drawn.astype(np.int64) - mirrored.astype(np.int64)
        grain = {panel.piece.name: _threads(panel.piece.grain) for panel in self.parts.panels}
        threads = np.stack([grain[name] for name in self.pieces])
        stack = np.concatenate
        faces, spots, copies, pieces = stack(tri), stack(spot), stack(copy), stack(of_piece)
        flat = laid_flat(spots, copies, pieces, threads)
        count, lay = stack(layers).astype(float), stack(layer)
        weight = count * m.mass * MM2
        mass = np.bincount(faces.reshape(-1), np.repeat(areas(flat) * weight, 3), n) / 3.0
        net = Net(
            n, faces, flat, np.minimum(m.across * count, STIFFEST), np.minimum(m.along * count, STIFFEST), m.shear * count, m.bending_across * count,
            m.bending_along * count, mass + self._allowances(node, n), lay, weight,
            (m.stiffening_across, m.stiffening_along), m.thickness * 1000.0,
        )  # fmt: skip
        lines, curves = self._lines(node)
        left_out = tuple(each for each in self.parts.left_out if each[1] != "strap")
        sewn = Sewn(
            net, self.pieces, threads, spots, side, self._mirror(node, n), lines, curves, copies, lay, pieces, (),
            left_out,
        )  # fmt: skip
        return sewn if self.strap is None else self._with_straps(sewn, node)

    def _allowances(self, node: Ints, n: int) -> Floats:
        """The weight of what is turned in beyond the seam lines, kg at each point."""
        mass = np.zeros(n)
        for k, patch in enumerate(self.patches):
            piece = patch.panel.piece
            for edge in piece.edges:
                key = (piece.name, edge.name)
                spots = [patch.where.get((key, j)) for j in range(len(self.samples.along[key]))]
                run = [s for s in spots if s is not None]
                for a, b in zip(run, run[1:], strict=False):
                    size = float(np.hypot(*(patch.points[a] - patch.points[b])))
                    kg = 0.5 * size * edge.allowance * self.mechanics.mass * MM2
                    for copy in _copies(piece):
                        for p in (a, b):
                            mass[node[self.first[k, copy] + p]] += kg
        return mass

    def _lines(self, node: Ints) -> tuple[dict[tuple[str, str, str], Ints], dict[tuple[int, int], tuple[Floats, ...]]]:
        lines: dict[tuple[str, str, str], Ints] = {}
        curves: dict[tuple[int, int], tuple[Floats, ...]] = {}
        for key, along in self.samples.along.items():
            for copy in ("drawn", "mirrored"):
                found = [self.spots(key, copy, k) for k in range(len(along))]
                run = [(k, node[each[0]]) for k, each in enumerate(found) if each]
                if len(run) < 2:
                    continue
                lines[key[0], copy, key[1]] = np.array([point for _, point in run])
                middles = [0.5 * (along[a] + along[b]) for (a, _), (b, _) in zip(run, run[1:], strict=False)]
                points = points_along(self.parts.paths[key], np.array(middles))
                for (_, a), (_, b), point in zip(run, run[1:], points, strict=False):
                    pair = (int(min(a, b)), int(max(a, b)))
                    curves[pair] = (*curves.get(pair, ()), np.array([self.pieces.index(key[0]), *point]))
        return lines, curves

    def _mirror(self, node: Ints, n: int) -> Ints | None:
        mirror = np.full(n, -1, dtype=np.int64)
        for k, patch in enumerate(self.patches):
            piece = patch.panel.piece
            here = node[self.first[k, "drawn"] + np.arange(len(patch.points))]
            if (k, "mirrored") in self.first:
                there = node[self.first[k, "mirrored"] + np.arange(len(patch.points))]
            else:
                middle = 0.5 * (patch.points[:, 0].min() + patch.points[:, 0].max())
                turned = patch.points * (-1.0, 1.0) + (2.0 * middle, 0.0)
                away = ((patch.points[:, None] - turned[None]) ** 2).sum(axis=2)
                if away.min(axis=0).max() > 0.01:
                    return None
                there = here[away.argmin(axis=0)]
            for a, b in ((here, there), (there, here)):
                clash = (mirror[a] >= 0) & (mirror[a] != b)
                if clash.any():
                    return None
                mirror[a] = b
        return mirror if (mirror >= 0).all() and (mirror[mirror] == np.arange(n)).all() else None

    def _with_straps(self, sewn: Sewn, node: Ints) -> Sewn:
        """Add the straps as strips, their ends the very points of the edges they are sewn to."""
        strap = self.strap
        assert strap is not None
        ends = {}
        for copy in ("drawn", "mirrored"):
            for which, (key, along) in (("front", strap.front), ("back", strap.back)):
                spots = _strap_spots(self.parts, key, along, strap.width)
                k = [int(np.argmin(np.abs(self.samples.along[key] - mm))) for mm in spots]
                # from the middle of the body outward
                k.sort(
                    key=lambda each: points_along(self.parts.paths[key], self.samples.along[key][each : each + 1])[0, 0]
                )
                found = [self.spots(key, copy, each) for each in k]
                if not all(found):
                    return replace(sewn, left_out=(*sewn.left_out, (strap.name, "has no place to be sewn to")))
                ends[which, copy] = node[[each[0] for each in found]]
        long = strap.long or 400.0
        rows = max(6, round(long / 16.0))
        strips = []
        for copy in ("drawn", "mirrored"):
            other = {"drawn": "mirrored", "mirrored": "drawn"}[copy] if strap.crossed else copy
            strips.append((copy, ends["front", copy], ends["back", other]))
        return _strips(sewn, strap, strips, rows, long, self.mechanics)


def _strips(
    sewn: Sewn, strap: Strap, strips: list[tuple[str, Ints, Ints]], rows: int, long: float, m: Mechanics
) -> Sewn:
    """Add strips of `rows` rows from edge to edge. A strap's warp runs along it; it is a tube, two layers thick."""
    net, n = sewn.net, sewn.net.count
    w, h = strap.width / STRAP_ACROSS, long / rows
    place = np.stack(np.meshgrid(np.arange(STRAP_ACROSS + 1) * w, np.arange(rows + 1) * h), axis=2)
    tri, corner, copies, grids, first = [], [], [], [], n
    for which, (_, front, back) in enumerate(strips):
        grid = np.zeros((rows + 1, STRAP_ACROSS + 1), dtype=np.int64)
        # the side nearer the neck stays nearer it; on the other half, where a crossed strap ends, that is the outer side
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
        np.concatenate([net.weight, weight]), net.stiffening, net.thick,
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


def _copies(piece: Piece) -> tuple[str, ...]:
    return ("drawn", "mirrored") if piece.on_fold or piece.mirrored_pair else ("drawn",)


def _threads(grain: Grain | None) -> Floats:
    """Return the matrix (2, 2) that turns points of a piece, as rows, to (across, along) the thread of the cloth."""
    way = np.array([0.0, 1.0])
    if grain is not None:
        line = np.array(grain.end) - np.array(grain.start)
        if np.hypot(*line) > 1e-6:
            way = line / np.hypot(*line)
        turn = {"straight": 0.0, "cross": np.pi / 2.0, "bias": np.pi / 4.0}[grain.kind]
        c, s = np.cos(turn), np.sin(turn)
        way = np.array([c * way[0] - s * way[1], s * way[0] + c * way[1]])
    return np.array([[way[1], way[0]], [-way[0], way[1]]])


def finer(sewn: Sewn) -> tuple[Sewn, Ints]:
    """Return the net with every triangle cut in four, and the two points (k, 2) that each new point stands between.

    On the outline the new points stand on the pattern's own curve.
    """
    net, n = sewn.net, sewn.net.count
    assert net.weight is not None
    pairs = np.sort(np.concatenate([net.tri[:, [0, 1]], net.tri[:, [1, 2]], net.tri[:, [2, 0]]]), axis=1)
    edges, which = np.unique(pairs, axis=0, return_inverse=True)
    lookup = {(int(a), int(b)): n + k for k, (a, b) in enumerate(edges.tolist())}
    mids = n + which.reshape(3, -1).T
    tri, corner = _in_four(net.tri, mids), _corners_in_four(sewn)

    def four(each: NDArray[Any]) -> NDArray[Any]:
        return np.tile(each, 4)

    copy, of_piece = four(sewn.copy), four(sewn.of_piece)
    flat = laid_flat(corner, copy, of_piece, sewn.threads)
    weight = four(net.weight)
    mass = np.bincount(tri.reshape(-1), np.repeat(areas(flat) * weight, 3), n + len(edges)) / 3.0
    own = np.bincount(net.tri.reshape(-1), np.repeat(areas(net.flat) * net.weight, 3), n) / 3.0
    # what a point weighs beyond its triangles (allowances) stays where it is
    mass[:n] += net.mass - own
    new = Net(
        n + len(edges), tri, flat, four(net.across), four(net.along), four(net.shear), four(net.bend_across),
        four(net.bend_along), mass, four(net.sheet), weight, net.stiffening, net.thick,
    )  # fmt: skip
    a, b = sewn.side[edges[:, 0]], sewn.side[edges[:, 1]]
    side = np.where(a == 0, b, np.where(a * b < 0, 0, a))
    mirror = None
    if sewn.mirror is not None:
        twins = np.sort(sewn.mirror[edges], axis=1).tolist()
        mirror = np.concatenate([sewn.mirror, np.array([lookup[p, q] for p, q in twins], dtype=np.int64)])
    made = replace(
        sewn,
        net=new,
        corner=corner,
        side=np.concatenate([sewn.side, side]),
        mirror=mirror,
        lines={key: _between(run, lookup) for key, run in sewn.lines.items()},
        curves={},
        copy=copy,
        layer=four(sewn.layer),
        of_piece=of_piece,
        straps=tuple(_finer_strap(grid, lookup) for grid in sewn.straps),
    )
    return made, edges


def _in_four(corners: NDArray[Any], mids: NDArray[Any]) -> NDArray[Any]:
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    ab, bc, ca = mids[:, 0], mids[:, 1], mids[:, 2]
    return np.concatenate([np.stack(t, axis=1) for t in ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))])


def _corners_in_four(sewn: Sewn) -> Floats:
    """Cut the triangles in four where they lie on their pieces, the middles of outline edges on the outline's curve."""
    mids = 0.5 * (sewn.corner + np.roll(sewn.corner, -1, axis=1))
    tri = sewn.net.tri
    for k in range(3):
        for t, pair in enumerate(np.sort(tri[:, [k, (k + 1) % 3]], axis=1).tolist()):
            for piece, x, y in sewn.curves.get((pair[0], pair[1]), ()):
                if piece == sewn.of_piece[t] and np.hypot(*(mids[t, k] - (x, y))) < BULGE:
                    mids[t, k] = x, y
    found: Floats = _in_four(sewn.corner, mids)
    return found


def _between(run: Ints, lookup: Mapping[tuple[int, int], int]) -> Ints:
    out = [int(run[0])]
    for a, b in zip(run.tolist(), run[1:].tolist(), strict=False):
        middle = lookup.get((min(a, b), max(a, b)))
        out += [b] if middle is None else [middle, b]
    return np.array(out)


def _finer_strap(grid: Ints, lookup: Mapping[tuple[int, int], int]) -> Ints:
    out = []
    for r, row in enumerate(grid):
        out.append(_between(row, lookup))
        if r + 1 == len(grid):
            break
        below = grid[r + 1]

        def middle(a: int, b: int) -> int | None:
            return lookup.get((min(a, b), max(a, b)))

        points = [middle(int(row[0]), int(below[0]))]
        for c in range(len(row) - 1):
            slant = middle(int(row[c]), int(below[c + 1]))
            points.append(middle(int(row[c + 1]), int(below[c])) if slant is None else slant)
            points.append(middle(int(row[c + 1]), int(below[c + 1])))
        out.append(np.array(points, dtype=np.int64))
    return np.array(out)
