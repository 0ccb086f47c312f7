"""The garment sewn together: copies of its panels laid out, points that meet made one."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np

from onfold.geometry.fault import Fault
from onfold.geometry.path import points_along
from onfold.hang.filled import Patch, fill
from onfold.hang.flat import Size
from onfold.hang.mechanics import Mechanics
from onfold.hang.net import MM2, Floats, Ints, Net, areas
from onfold.hang.parts import Join, Key, Parts
from onfold.hang.sampled import Samples
from onfold.hang.sewn_net import Sewn, laid_flat
from onfold.hang.strips import Strap, strap_of, strap_places, strap_spots, strips
from onfold.making.assembly import copies_of
from onfold.pattern import Grain, Pattern

STIFFEST = 1200.0
"""N/m that no thread of the net exceeds: what hangs of its own weight is then stretched by less than half a hundredth,
and a stiffer net would only come to rest more slowly. [C]"""


def sew(pattern: Pattern, parts: Parts, mechanics: Mechanics, size: Size) -> Sewn | Fault:
    """Return the garment as one net, its edges about as long as `size` wants; a Fault where it cannot be filled."""
    strap, left_out = strap_of(pattern, parts)
    parts.left_out += left_out
    samples = Samples(parts, size, strap_places(strap, parts) if strap else {})
    patches = []
    for panel in parts.panels:
        patch = fill(panel, parts, samples, size)
        if isinstance(patch, Fault):
            return Fault(f"The {panel.piece.name}: {patch.reason}.")
        patches.append(patch)
    return _Sewing(pattern, parts, mechanics, samples, patches, strap).sewn()


class _Sewing:
    """Points of all copies numbered, those that meet made one, and the net made of what is left."""

    def __init__(
        self, pattern: Pattern, parts: Parts, mechanics: Mechanics, samples: Samples, patches: list[Patch],
        strap: Strap | None,
    ) -> None:  # fmt: skip
        self.pattern, self.parts, self.mechanics = pattern, parts, mechanics
        self.samples, self.patches, self.strap = samples, patches, strap
        self.pieces = tuple(dict.fromkeys(panel.piece.name for panel in parts.panels))
        self.first: dict[tuple[int, str], int] = {}
        count = 0
        for n, patch in enumerate(patches):
            for copy in copies_of(patch.panel.piece):
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
            for copy in copies_of(patch.panel.piece):
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
            for each in copies_of(piece):
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
        layered, lay = stack(layers).astype(float), stack(layer)
        weight = layered * m.mass * MM2
        mass = np.bincount(faces.reshape(-1), np.repeat(areas(flat) * weight, 3), n) / 3.0
        net = Net(
            n, faces, flat, np.minimum(m.across * layered, STIFFEST), np.minimum(m.along * layered, STIFFEST),
            m.shear * layered, m.bending_across * layered,
            m.bending_along * layered, mass + self._allowances(node, n), lay, weight,
            (m.stiffening_across, m.stiffening_along),
        )  # fmt: skip
        lines, curves = self._lines(node)
        sewn = Sewn(
            net, self.pieces, threads, spots, side, self._mirror(node, n), lines, curves, copies, lay, pieces, (),
            tuple(self.parts.left_out),
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
                for a, b in pairwise(run):
                    size = float(np.hypot(*(patch.points[a] - patch.points[b])))
                    kg = 0.5 * size * edge.allowance * self.mechanics.mass * MM2
                    for copy in copies_of(piece):
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
                middles = [0.5 * (along[a] + along[b]) for (a, _), (b, _) in pairwise(run)]
                points = points_along(self.parts.paths[key], np.array(middles))
                for (_, a), (_, b), point in zip(run, run[1:], points, strict=False):
                    pair = (int(min(a, b)), int(max(a, b)))
                    curves[pair] = (*curves.get(pair, ()), np.array([self.pieces.index(key[0]), *point]))
        return lines, curves

    def _mirror(self, node: Ints, n: int) -> Ints | None:
        mirror = np.full(n, -1, dtype=np.int64)
        for k, patch in enumerate(self.patches):
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
                spots = strap_spots(self.parts, key, along, strap.width)
                k = [int(np.argmin(np.abs(self.samples.along[key] - mm))) for mm in spots]
                # from the middle of the body outward
                k.sort(
                    key=lambda each: points_along(self.parts.paths[key], self.samples.along[key][each : each + 1])[0, 0]
                )
                found = [self.spots(key, copy, each) for each in k]
                if not all(found):
                    return replace(sewn, left_out=(*sewn.left_out, (strap.name, "has no place to be sewn to")))
                ends[which, copy] = node[[each[0] for each in found]]
        runs = []
        for copy in ("drawn", "mirrored"):
            other = {"drawn": "mirrored", "mirrored": "drawn"}[copy] if strap.crossed else copy
            runs.append((ends["front", copy], ends["back", other]))
        return strips(sewn, strap, runs, self.mechanics)


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
