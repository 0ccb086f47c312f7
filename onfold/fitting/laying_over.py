"""Two drafts of one piece laid over each other: the shift that makes most of their edges agree, and what is left.

Drafts of one recipe are never turned, so a shift is enough; on the fold it runs along the fold alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import zip_longest
from math import dist

import numpy as np
from numpy.typing import NDArray

from onfold.geometry.path import Path, bounds_of, end, flatten, flatten_all, length, moved, points_along, start
from onfold.geometry.region import contains
from onfold.pattern import Edge, Grain, Inner, Notch, Piece, Point

SAME = 0.05
"""mm within which lines and lengths count as the same: what rings are read back to, and less than any pencil's line."""
_STEP = 4.0
_SAMPLES = 25
_AGREES = 0.01
"""mm within which edges lie on each other once shifted: corners are brought together exactly."""
_LEAST_AGREED = 0.1
"""The share of the outline that must lie on what it was before a shift by it is believed: a corner or two is chance."""

_AHEAD = 0.35
"""The cosine of the angle to an edge's last direction within which what lies past its end counts as running on."""

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Move:
    """How far an edge moved at most, mm, and where: from `at` on the edge before to `to` on the edge after.

    `outward` says that there the piece grew, `even` that the whole edge moved as far.
    """

    by: float
    at: Point
    to: Point
    outward: bool
    even: bool = False


@dataclass(frozen=True)
class EdgeChange:
    """An edge by the name recipes use: its length and allowance before and after, mm; None where it is not there.

    `move` is how far it moved sideways, `ran_on` how far it runs on past its old end, or ends before it, along itself;
    each is None where it did not, and both where the edge came or went. `dart` says that it is a dart's leg.
    """

    name: str
    before: float | None
    after: float | None
    move: Move | None
    allowances: tuple[float | None, float | None] = (None, None)
    ran_on: Move | None = None
    dart: bool = False

    @property
    def reach(self) -> float:
        """Return how far any of it lies from where it was, mm."""
        return max((each.by for each in (self.move, self.ran_on) if each is not None), default=0.0)


@dataclass(frozen=True)
class PointChange:
    """A notch or mark that moved, came or went: where it was and is, and for a notch how far along its edge, mm."""

    kind: str
    name: str
    before: Point | None
    after: Point | None
    along: tuple[float | None, float | None] = (None, None)


def laid_over(before: Piece, after: Piece) -> tuple[Piece, Point]:
    """Return the piece after, shifted so that most of its edges lie on those before, and the shift (dx, dy) mm."""
    shift = _best_shift(before, after)
    return (after if shift == (0.0, 0.0) else _shifted(after, *shift)), shift


def _best_shift(before: Piece, after: Piece) -> Point:
    pairs = [(old, new) for old in before.edges for new in after.edges if old.name == new.name]
    pairs = [(old, new) for old, new in pairs if len(old.path.curves) and len(new.path.curves)]
    sampled = [(_sampled(old.path), length(old.path), flatten(new.path, 0.2 * _AGREES)) for old, new in pairs]
    whole = sum(size for _, size, _ in sampled)
    agreed = {}
    for each in _tried(pairs, after.on_fold):
        agreed[each] = sum(size * _share_on(points - each, line) for points, size, line in sampled)
        if agreed[each] >= whole * (1.0 - 1e-9):
            return each
    most = max(agreed.values())
    if most < _LEAST_AGREED * whole:
        return (0.0, 0.0) if after.on_fold else (_middle(before) - _middle(after), 0.0)
    near = [each for each, weight in agreed.items() if weight >= most - 0.002 * whole]
    return min(near, key=lambda each: dist(each, (0.0, 0.0)))


def _tried(pairs: list[tuple[Edge, Edge]], on_fold: bool) -> list[Point]:
    """Return the shifts that bring a corner onto what it was, none first, each once."""
    found = {(0.0, 0.0): (0.0, 0.0)}
    for old, new in pairs:
        for place in (start, end):
            (ax, ay), (bx, by) = place(old.path), place(new.path)
            if on_fold and abs(ax - bx) > SAME:
                continue
            shift = (0.0 if on_fold else ax - bx, ay - by)
            if dist(shift, (0.0, 0.0)) > 1e-6:
                found.setdefault((round(shift[0], 2), round(shift[1], 2)), shift)
    return list(found.values())


def _sampled(path: Path) -> Floats:
    return points_along(path, np.linspace(0.0, length(path), _SAMPLES))


def _share_on(points: Floats, line: Floats) -> float:
    """Return which share of the points lies on a line."""
    return float((_nearest(points, [line])[0] <= _AGREES).mean())


def _middle(piece: Piece) -> float:
    low, _, high, _ = bounds_of([edge.path for edge in piece.edges])
    return (low + high) / 2.0


def _shifted(piece: Piece, dx: float, dy: float) -> Piece:
    def place(at: Point) -> Point:
        return at[0] + dx, at[1] + dy

    grain = piece.grain
    return replace(
        piece,
        edges=tuple(replace(each, path=moved(each.path, dx, dy)) for each in piece.edges),
        grain=Grain(grain.kind, place(grain.start), place(grain.end), grain.tilt) if grain is not None else None,
        notches=tuple(replace(each, at=place(each.at)) for each in piece.notches),
        marks=tuple(replace(each, at=place(each.at)) for each in piece.marks),
        inner=tuple(Inner(each.kind, each.name, moved(each.path, dx, dy)) for each in piece.inner),
        cut_line=None if piece.cut_line is None else piece.cut_line + np.array((dx, dy)),
    )


def ring_of(piece: Piece) -> Floats:
    """Return the seam line as a closed ring (n, 2) within 0.02 mm of its curves."""
    parts = [each[:-1] for each in flatten_all([edge.path for edge in piece.edges])]
    ring = np.concatenate(parts)
    return np.concatenate([ring, ring[:1]])


def changed_edges(before: Piece | None, after: Piece | None) -> tuple[EdgeChange, ...]:
    """Return the edges that differ, by the names recipes use, those of the piece after in their order first."""
    old, new = _by_root(before), _by_root(after)
    ring = ring_of(before) if before is not None and before.edges else None
    found = (_edge(name, old.get(name, ()), new.get(name, ()), ring) for name in dict.fromkeys([*new, *old]))
    return tuple(each for each in found if each is not None)


def _by_root(piece: Piece | None) -> dict[str, tuple[Edge, ...]]:
    found: dict[str, tuple[Edge, ...]] = {}
    for edge in piece.edges if piece is not None else ():
        if len(edge.path.curves):
            found[edge.root] = (*found.get(edge.root, ()), edge)
    return found


def _edge(name: str, old: tuple[Edge, ...], new: tuple[Edge, ...], ring: Floats | None) -> EdgeChange | None:
    sizes = tuple(sum(length(each.path) for each in edges) if edges else None for edges in (old, new))
    widths = tuple(max((each.allowance for each in edges), default=None) for edges in (old, new))
    allowances = widths[0], widths[1]
    if not old or not new or ring is None:
        return EdgeChange(name, sizes[0], sizes[1], None, allowances)
    move, ran_on = _moves([each.path for each in old], [each.path for each in new], ring)
    stays = move is None and ran_on is None and abs((sizes[0] or 0.0) - (sizes[1] or 0.0)) <= SAME
    if stays and abs((widths[0] or 0.0) - (widths[1] or 0.0)) <= SAME:
        return None
    return EdgeChange(name, sizes[0], sizes[1], move, allowances, ran_on, all(each.finish == "dart" for each in new))


def _moves(old: list[Path], new: list[Path], ring: Floats) -> tuple[Move | None, Move | None]:
    """Return where a run moved most sideways, and where it ran on or ends before its old end; None where nowhere.

    Every place of either run is set against the nearest of the other.
    """
    here, there = _points(old), _points(new)
    was, now = [flatten(path) for path in old], [flatten(path) for path in new]
    to_old, to_new = _nearest(there, was), _nearest(here, now)
    at = np.concatenate([to_old[1], here])
    to = np.concatenate([there, to_new[1]])
    by = np.concatenate([to_old[0], to_new[0]])
    over = np.concatenate([_past_end(there, to_old[1], was), _past_end(here, to_new[1], now)])
    middle = here[len(here) // 2]
    return _greatest(at, to, by, ~over, middle, ring), _greatest(at, to, by, over, middle, ring)


def _greatest(at: Floats, to: Floats, by: Floats, held: Bools, middle: Floats, ring: Floats) -> Move | None:
    """Return the greatest of the moves held, of some that are about as great the one nearest the run's middle."""
    if not held.any() or by[held].max() <= SAME:
        return None
    most = float(by[held].max())
    far = np.flatnonzero(held & (by >= most - 0.002 - 0.001 * most))
    best = far[np.hypot(*(at[far] - middle).T).argmin()]
    was, now = ((float(each[best, 0]), float(each[best, 1])) for each in (at, to))
    return Move(most, was, now, not contains(ring, now), bool(by[held].min() >= 0.98 * most - SAME))


def _past_end(points: Floats, spots: Floats, lines: list[Floats]) -> Bools:
    """Return which points lie past an end of the lines, about in the direction in which the line arrives there."""
    found = np.zeros(len(points), dtype=bool)
    for line in lines:
        for last, inner in ((line[0], line[1]), (line[-1], line[-2])):
            way = (last - inner) / max(float(np.hypot(*(last - inner))), 1e-12)
            gap = points - last
            ahead = gap @ way
            ends_here = np.hypot(*(spots - last).T) <= 1e-6
            found |= ends_here & (ahead > _AHEAD * np.hypot(*gap.T)) & (ahead > 0.0)
    return found


def _points(paths: list[Path]) -> Floats:
    """Return points (n, 2) along the paths, corners and ends among them, no farther apart than a few mm."""
    found = []
    for path in paths:
        size = length(path)
        even = points_along(path, np.linspace(0.0, size, max(2, int(size / _STEP) + 1)))
        found.append(np.concatenate([even, path.curves[:, 0], path.curves[-1:, 3]]))
    return np.concatenate(found)


def _nearest(points: Floats, lines: Iterable[Floats]) -> tuple[Floats, Floats]:
    """Return how far each point lies from some lines of chords, (n,), and the nearest place on them, (n, 2)."""
    chords = list(lines)
    first = np.concatenate([each[:-1] for each in chords])
    way = np.concatenate([np.diff(each, axis=0) for each in chords])
    square = np.maximum((way**2).sum(axis=1), 1e-18)
    share = np.clip(((points[:, None] - first) * way).sum(axis=2) / square, 0.0, 1.0)
    spots = first + share[..., None] * way
    away = np.hypot(*np.moveaxis(points[:, None] - spots, 2, 0))
    best = away.argmin(axis=1)
    rows = np.arange(len(points))
    return away[rows, best], spots[rows, best]


def changed_points(before: Piece | None, after: Piece | None) -> tuple[PointChange, ...]:
    """Return the notches and marks that moved, came or went; notches of one edge are paired in their order."""
    found = []
    old, new = _notches(before), _notches(after)
    for name in dict.fromkeys([*new, *old]):
        for was, now in _paired(old.get(name, []), new.get(name, [])):
            along = (was and was[0], now and now[0])
            places = (was and was[1], now and now[1])
            if _differ(*places):
                found.append(PointChange("notch", name, *places, along))
    olds, news = _marks(before), _marks(after)
    for kind, name, number in dict.fromkeys([*news, *olds]):
        was_at, now_at = olds.get((kind, name, number)), news.get((kind, name, number))
        if _differ(was_at, now_at):
            found.append(PointChange(kind, name, was_at, now_at))
    return tuple(found)


def _differ(was: Point | None, now: Point | None) -> bool:
    return was is None or now is None or dist(was, now) > SAME


def _notches(piece: Piece | None) -> dict[str, list[tuple[float, Point]]]:
    """Return mm along the whole edge and place of each notch, by the edge's name in recipes."""
    found: dict[str, list[tuple[float, Point]]] = {}
    gone: dict[str, float] = {}
    for edge in piece.edges if piece is not None else ():
        own: list[Notch] = [each for each in piece.notches if each.edge == edge.name] if piece is not None else []
        for notch in sorted(own, key=lambda each: each.along):
            found.setdefault(edge.root, []).append((gone.get(edge.root, 0.0) + notch.along, notch.at))
        gone[edge.root] = gone.get(edge.root, 0.0) + length(edge.path)
    return found


Spot = tuple[float, Point]


def _paired(old: list[Spot], new: list[Spot]) -> list[tuple[Spot | None, Spot | None]]:
    """Return the pairs of one edge's notches: in order where there are as many, else each with the nearest left."""
    if len(old) == len(new):
        return list(zip_longest(old, new))
    left = list(new)
    pairs: list[tuple[Spot | None, Spot | None]] = []
    for was in old:
        now = min(left, key=lambda each: dist(was[1], each[1]), default=None)
        if now is not None:
            left.remove(now)
        pairs.append((was, now))
    return [*pairs, *((None, each) for each in left)]


def _marks(piece: Piece | None) -> dict[tuple[str, str, int], Point]:
    found: dict[tuple[str, str, int], Point] = {}
    for mark in piece.marks if piece is not None else ():
        number = sum(key[:2] == (mark.kind, mark.name) for key in found)
        found[mark.kind, mark.name, number] = mark.at
    return found
