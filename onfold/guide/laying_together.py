"""How the two sides of a seam lie when they are sewn: one over the other, edge to edge, or one cloth folded on itself.

Cloths keep their shape: each is turned, and turned over, so that its edge fits its partner best. Where the edges do not
fit (they differ in length, or their curves oppose), the cloths are laid edge to edge, opened out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from onfold.geometry.hatching import stretch_of_ring
from onfold.geometry.region import area, overlap_area
from onfold.guide.cut_cloth import Cut, Walk, ring_of, walk_of
from onfold.pattern import Pattern, Run

Floats = NDArray[np.float64]

CLOSE = 0.022
"""Edges that stray by no more than this share of the whole lying are laid one over the other: 1 mm of a picture."""
_SAMPLES = 33


@dataclass(frozen=True)
class Lie:
    """Where a cloth lies: points as complex numbers, turned over first where `over`, then turned and moved."""

    turn: complex = 1.0 + 0.0j
    move: complex = 0.0j
    over: bool = False

    def put(self, points: Floats) -> Floats:
        """Return points (n, 2) of the cloth on the table."""
        z = points[:, 0] + 1j * points[:, 1]
        w = self.turn * (z.conj() if self.over else z) + self.move
        found: Floats = np.column_stack((w.real, w.imag))
        return found

    def then(self, turn: complex, move: complex) -> Lie:
        """Return the lie after the whole table is turned and moved."""
        return Lie(self.turn * turn, self.move * turn + move, self.over)


@dataclass(frozen=True, eq=False)
class Laid:
    """A cloth on the table: its outline there (n, 2), and the walks on it that are sewn."""

    cut: Cut
    lie: Lie
    ring: Floats
    walks: tuple[Walk, ...]
    side: int

    def edge(self, walk: Walk) -> Floats:
        """Return a walk's points on the table."""
        return self.lie.put(walk.points)

    def left(self, walk: Walk) -> bool:
        """Return whether the cloth lies to the left of a walk on the table."""
        return walk.left != self.lie.over


@dataclass(frozen=True, eq=False)
class Laying:
    """The cloths of a seam in the order they are laid; `apart` where they lie edge to edge."""

    cloths: tuple[Laid, ...]
    apart: bool

    def of_side(self, side: int) -> tuple[Laid, ...]:
        """Return the cloths of one side."""
        return tuple(each for each in self.cloths if each.side == side)


def walks_of(pattern: Pattern, side: Sequence[Run]) -> list[Walk]:
    """Return the runs of one side of a seam that can be walked, in order."""
    return [walk for run in side if (walk := walk_of(pattern, run)) is not None]


def lay_together(first: Sequence[Walk], second: Sequence[Walk]) -> Laying | None:
    """Return how two sides lie, the larger below; None where a side has no cloth that can be drawn.

    Each side's walks follow one another along the seam. The side of fewest cloths keeps its shape and gives the line;
    the other's are fitted to their stretch of it.
    """
    if not first or not second:
        return None
    sides = (first, second)
    counts = [len({walk.cut.key for walk in side}) for side in sides]
    sizes = [_size(side) for side in sides]
    base = 0 if (counts[0], -sizes[0]) <= (counts[1], -sizes[1]) else 1
    spine = _chained(sides[base], base)
    if spine is None:
        return None
    over = _fitted(sides[1 - base], 1 - base, spine, same_side=True)
    if not over:
        return None
    cloths, stray = over
    reach = _reach([each.ring for each in (*spine, *cloths)])
    apart = stray > CLOSE * reach
    if apart:
        beside = _fitted(sides[1 - base], 1 - base, spine, same_side=False)
        cloths = _moved_off(spine, beside[0], reach) if beside else cloths
    lower, upper = (spine, cloths) if sizes[base] >= sizes[1 - base] else (cloths, spine)
    return Laying(stood_up((*lower, *upper)), apart)


def _size(side: Sequence[Walk]) -> float:
    rings = [ring_of(cut) for cut in {walk.cut.key: walk.cut for walk in side}.values()]
    return sum(abs(area(ring)) for ring in rings if ring is not None)


def _reach(rings: Sequence[Floats]) -> float:
    points = np.concatenate(rings)
    return float(np.ptp(points, axis=0).max())


def by_cloth(side: Sequence[Walk]) -> list[list[Walk]]:
    """Return the walks of a side by the cloth they are on, in order."""
    found: dict[tuple[str, bool], list[Walk]] = {}
    for walk in side:
        found.setdefault(walk.cut.key, []).append(walk)
    return list(found.values())


def _chained(side: Sequence[Walk], number: int) -> list[Laid] | None:
    """Return one side's cloths laid so that their edges run on into one another, the first as it was drawn."""
    laid: list[Laid] = []
    end, way, left = 0j, 1 + 0j, True
    for walks in by_cloth(side):
        cut = walks[0].cut
        ring = ring_of(cut)
        if ring is None:
            continue
        lie = Lie()
        if laid:
            over = walks[0].left != left
            go = _ways(Lie(over=over).put(walks[0].points))[0]
            turn = way / go
            start = complex(*Lie(over=over).put(walks[0].points[:1])[0])
            lie = Lie(turn, end - turn * start, over)
        else:
            left = walks[0].left
        last = lie.put(walks[-1].points)
        end, way = complex(*last[-1]), _ways(last)[1]
        laid.append(Laid(cut, lie, lie.put(ring), tuple(walks), number))
    return laid or None


def _ways(points: Floats) -> tuple[complex, complex]:
    """Return the directions in which a line sets out and arrives, each of size 1."""
    z = points[:, 0] + 1j * points[:, 1]
    steps = np.diff(z)
    steps = steps[np.abs(steps) > 1e-9]
    if not len(steps):
        return 1 + 0j, 1 + 0j
    return complex(steps[0] / abs(steps[0])), complex(steps[-1] / abs(steps[-1]))


def _fitted(
    side: Sequence[Walk], number: int, spine: Sequence[Laid], same_side: bool
) -> tuple[list[Laid], float] | None:
    """Return the cloths of a side fitted to the spine's line, and by how much the worst edge strays, mm."""
    line, gone, left = _line_of(spine)
    whole = sum(walk.length for walk in side)
    share = float(gone[-1]) / whole
    starts = dict(zip(map(id, side), np.concatenate([[0.0], np.cumsum([walk.length for walk in side])]), strict=False))
    laid, worst = [], 0.0
    for walks in by_cloth(side):
        ring = ring_of(walks[0].cut)
        if ring is None:
            continue
        own, goal = [], []
        for walk in walks:
            alongs = np.linspace(0.0, walk.length, _SAMPLES)
            own.append(walk.at(alongs))
            targets = (starts[id(walk)] + alongs) * share
            goal.append(np.column_stack([np.interp(targets, gone, line[:, axis]) for axis in (0, 1)]))
        over = (walks[0].left != left) if same_side else (walks[0].left == left)
        lie, stray = fit(np.concatenate(own), np.concatenate(goal), over)
        worst = max(worst, stray)
        laid.append(Laid(walks[0].cut, lie, lie.put(ring), tuple(walks), number))
    return (laid, worst) if laid else None


def _line_of(spine: Sequence[Laid]) -> tuple[Floats, Floats, bool]:
    """Return the spine's line on the table (n, 2), mm gone along it, and whether its cloth lies to the left."""
    points, gone, so_far = [], [], 0.0
    for each in spine:
        for walk in each.walks:
            points.append(each.edge(walk))
            gone.append(walk.gone + so_far)
            so_far += walk.length
    return np.concatenate(points), np.concatenate(gone), spine[0].left(spine[0].walks[0])


def fit(own: Floats, goal: Floats, over: bool) -> tuple[Lie, float]:
    """Return the lie that brings points (n, 2) nearest to their goals, turned over or not, and the worst distance.

    Least squares over turn and move: the turn is the direction of Σ conj(z) w about the two means [A].
    """
    z, w = own[:, 0] + 1j * own[:, 1], goal[:, 0] + 1j * goal[:, 1]
    z = z.conj() if over else z
    about, to = z.mean(), w.mean()
    turn = complex(np.sum((z - about).conj() * (w - to)))
    turn = turn / abs(turn) if abs(turn) > 1e-9 else 1.0 + 0.0j
    lie = Lie(turn, complex(to - turn * about), over)
    return lie, float(np.abs(turn * z + lie.move - w).max())


def _moved_off(spine: Sequence[Laid], cloths: Sequence[Laid], reach: float) -> list[Laid]:
    """Return the cloths moved off the spine's edge until they lie free of its cloth."""
    line, _, left = _line_of(spine)
    chord = complex(*(line[-1] - line[0])) or 1 + 0j
    out = chord / abs(chord) * (-1j if left else 1j)
    widths = max(walk.allowance for each in (*spine, *cloths) for walk in each.walks)
    step = max(2.0 * widths, 0.05 * reach)
    moved = list(cloths)
    for count in range(1, 12):
        moved = [_shift(each, out * step * count) for each in cloths]
        if all(overlap_area(a.ring, b.ring) < 1.0 for a in spine for b in moved):
            break
    return moved


def _shift(each: Laid, by: complex) -> Laid:
    return replace(each, lie=each.lie.then(1.0 + 0j, by), ring=each.ring + np.array([by.real, by.imag]))


def stood_up(cloths: Sequence[Laid]) -> tuple[Laid, ...]:
    """Return the cloths turned together so that the largest stands as it was drawn, its top to the top."""
    largest = max(cloths, key=lambda each: abs(area(each.ring)))
    up = complex(*(largest.lie.put(np.array([[0.0, 1.0]])) - largest.lie.put(np.array([[0.0, 0.0]])))[0])
    turn = 1j / up if abs(up) > 1e-9 else 1 + 0j
    return tuple(
        Laid(each.cut, each.lie.then(turn, 0j), _turned(each.ring, turn), each.walks, each.side) for each in cloths
    )


def _turned(ring: Floats, turn: complex) -> Floats:
    z = (ring[:, 0] + 1j * ring[:, 1]) * turn
    return np.column_stack((z.real, z.imag))


@dataclass(frozen=True, eq=False)
class Folded:
    """One cloth folded on itself so that two of its edges meet: the axis (a point and a direction), and the two parts.

    `under` (n, 2) stays, `over` is the other part turned over on top of it; `edges` are the walks on the part below
    and on the part above, both as they lie.
    """

    cut: Cut
    at: complex
    way: complex
    under: Floats
    over: Floats
    edges: tuple[Floats, Floats]
    walks: tuple[Walk, Walk]
    left: bool


def fold_on_itself(first: Walk, second: Walk) -> Folded | None:
    """Return one cloth folded so that two of its own edges meet; None where no single fold brings them together."""
    ring = ring_of(first.cut)
    if ring is None or first.cut.key != second.cut.key:
        return None
    best: tuple[float, Walk, Lie] | None = None
    alongs = np.linspace(0.0, 1.0, _SAMPLES)
    for partner in (second, second.back()):
        lie, stray = fit(first.at(alongs * first.length), partner.at(alongs * partner.length), over=True)
        axis = np.sqrt(lie.turn)
        glide = abs((lie.move * axis.conjugate()).real)
        if best is None or stray + glide < best[0]:
            best = (stray + glide, partner, lie)
    if best is None or best[0] > 0.06 * _reach([ring]):
        return None
    _, partner, lie = best
    # the axis of a reflection halves the way from any point to its image
    axis = complex(np.sqrt(lie.turn))
    middle = complex(*first.points.mean(axis=0))
    at = (middle + lie.turn * middle.conjugate() + lie.move) / 2
    under, part = parted(ring, at, axis, keep=complex(*partner.points.mean(axis=0)))
    if len(under) < 4 or len(part) < 4:
        return None
    over = lie.put(part)
    small_over = abs(area(part)) <= abs(area(under))
    if not small_over:
        return _swapped(first, partner, lie, at, axis, ring)
    return Folded(
        first.cut, at, axis, under, over, (partner.points, lie.put(first.points)), (partner, first), partner.left
    )


def _swapped(first: Walk, second: Walk, lie: Lie, at: complex, axis: complex, ring: Floats) -> Folded | None:
    """Return the same fold with the other part turned over."""
    back = Lie(lie.turn, -lie.turn * lie.move.conjugate(), True)
    under, part = parted(ring, at, axis, keep=complex(*first.points.mean(axis=0)))
    if len(under) < 4 or len(part) < 4:
        return None
    return Folded(
        first.cut, at, axis, under, back.put(part), (first.points, back.put(second.points)), (first, second), first.left
    )


def parted(ring: Floats, at: complex, way: complex, keep: complex) -> tuple[Floats, Floats]:
    """Return the parts of a closed ring on the side of a line where `keep` lies, and on the other; closed, or empty."""
    z = (ring[:, 0] + 1j * ring[:, 1] - at) / way * 1j  # the line upright, its left to the left
    sign = 1.0 if ((keep - at) / way * 1j).real >= 0 else -1.0
    level = np.column_stack((z.real * sign, z.imag))
    reach = float(np.abs(level).max()) + 1.0
    parts = (stretch_of_ring(level, 0.0, reach), stretch_of_ring(level, -reach, 0.0))
    return _back(parts[0], at, way, sign), _back(parts[1], at, way, sign)


def _back(part: Floats, at: complex, way: complex, sign: float) -> Floats:
    if not len(part):
        return part
    z = (part[:, 0] * sign + 1j * part[:, 1]) / 1j * way + at
    return np.column_stack((z.real, z.imag))
