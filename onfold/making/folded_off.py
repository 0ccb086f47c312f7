"""A piece without the facing that is cut in one with it: its outline ends at the fold line, which becomes an edge.

A facing is known by its name: on one side of the fold line every edge but the folds is called `… facing` or
`facing …`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from onfold.geometry.path import at, closest, end, flatten_all, length, line, part, start
from onfold.geometry.region import contains
from onfold.pattern import Edge, Grain, Inner, Mark, Notch, Piece, Point

Floats = NDArray[np.float64]

TOUCHES = 0.1
"""mm within which a fold line's end lies on the outline, and a mark on the edge of what is left."""
LEAST = 1e-6
"""mm: a shorter stretch of an edge is none."""
SAMPLES = 200
LOOKS = tuple(n / 16 for n in range(1, 16))
"""Where along a line it is looked whether it lies on the piece."""
GRAIN_SHARES = (1 / 3, 1 / 2, 2 / 3, 1 / 5, 4 / 5)
"""Where across the piece a grain line is tried that has no room where it was."""
GRAIN_INSET = 0.1
"""The share of its room that a grain line keeps off the outline at either end."""

_FACING = re.compile(r"\bfacing\b")


@dataclass(frozen=True, eq=False)
class Stretch:
    """Part of an edge, `low` to `high` mm along it; `number` is the edge's place round the piece."""

    edge: Edge
    number: int
    low: float
    high: float


def has_facing(piece: Piece) -> bool:
    """Return whether a facing is cut in one with the piece, beyond a fold line."""
    return at_the_fold(piece) is not None


def at_the_fold(piece: Piece) -> Piece | None:
    """Return the piece cut off at the fold line of its facing; None where no fold line parts a facing from it.

    The fold becomes an edge named after it (`neck` for `neck fold`) without allowance; notches, marks, levels and the
    grain line are kept as far as they lie on what is left. The cut line is left out: the allowances decide it.
    """
    for inner in piece.inner:
        kept = _kept_of(piece, inner) if inner.kind == "fold line" and len(inner.path.curves) else None
        if kept is not None:
            return _cut_off(piece, inner, kept)
    return None


def is_facing(name: str) -> bool:
    """Return whether a name says facing: `neck facing`, never `interfacing`."""
    return bool(_FACING.search(name.lower()))


def ring_of(edges: Sequence[Edge]) -> Floats:
    """Return the outline of some edges as a closed ring (m, 2), within 0.05 mm of them."""
    ring = np.concatenate([each[:-1] for each in flatten_all([edge.path for edge in edges], 0.05)])
    return np.concatenate([ring, ring[:1]])


def runs_within(ring: Floats, inner: Inner) -> bool:
    """Return whether a line runs over what a ring holds: where only its ends touch it, it does not."""
    whole = length(inner.path) if len(inner.path.curves) else 0.0
    return whole > 0.0 and any(contains(ring, at(inner.path, whole * share)) for share in LOOKS)


def _kept_of(piece: Piece, fold: Inner) -> list[Stretch] | None:
    """Return the outline's stretches on the garment's side of a fold line, in order; None where none is a facing's."""
    ends = [_along_outline(piece, spot) for spot in (start(fold.path), end(fold.path))]
    if any(each is None for each in ends):
        return None
    first, second = (float(each) for each in ends if each is not None)
    sides = [_between(piece, first, second), _between(piece, second, first)]
    facing = [_all_facing(side) for side in sides]
    return None if facing[0] == facing[1] else sides[facing.index(False)]


def _along_outline(piece: Piece, spot: Point) -> float | None:
    """Return how far round the outline a point lies, mm; None where it does not lie on it."""
    found = [closest(edge.path, spot) for edge in piece.edges]
    nearest = min(range(len(found)), key=lambda k: found[k].distance, default=None)
    if nearest is None or found[nearest].distance > TOUCHES:
        return None
    return sum(length(edge.path) for edge in piece.edges[:nearest]) + found[nearest].along


def _between(piece: Piece, first: float, second: float) -> list[Stretch]:
    """Return the stretches of the outline from one place on it to another, anticlockwise."""
    whole = sum(length(edge.path) for edge in piece.edges)
    last = second if second > first else second + whole
    found: list[Stretch] = []
    for turn in (0.0, whole):
        gone = turn
        for number, edge in enumerate(piece.edges):
            size = length(edge.path)
            low, high = max(first - gone, 0.0), min(last - gone, size)
            if high - low > LEAST:
                found.append(Stretch(edge, number, low, high))
            gone += size
    return found


def _all_facing(side: list[Stretch]) -> bool:
    """Return whether a side holds a facing's edges and nothing but them and folds."""
    cut = [each.edge for each in side if not each.edge.fold]
    return bool(cut) and all(is_facing(edge.root) for edge in cut)


def _cut_off(piece: Piece, fold: Inner, kept: list[Stretch]) -> Piece:
    names = _names(kept)
    edges = [
        replace(each.edge, name=name, parent=parent, path=part(each.edge.path, each.low, each.high))
        for each, (name, parent) in zip(kept, names, strict=True)
    ]
    taken = {edge.root for edge in edges}
    own = fold.name.removesuffix(" fold")
    edges.append(Edge(own if own and own not in taken else fold.name, line(end(edges[-1].path), start(edges[0].path))))
    # the outline begins where it did, as far as that is still there
    first = min(range(len(kept)), key=lambda k: (kept[k].number, kept[k].low))
    edges = edges[first:] + edges[:first]
    ring = ring_of(edges)
    return replace(
        piece,
        edges=tuple(edges),
        notches=tuple(_notches(piece.notches, kept, [name for name, _ in names])),
        marks=tuple(mark for mark in piece.marks if _holds(ring, mark)),
        inner=tuple(each for each in piece.inner if each is not fold and runs_within(ring, each)),
        grain=_within(piece.grain, ring),
        cut_line=None,
    )


def _names(kept: list[Stretch]) -> list[tuple[str, str | None]]:
    """Return (name, parent) of each stretch: an edge of which two stretches are left gives two leaves."""
    numbers = [each.number for each in kept]
    seen: dict[int, int] = {}
    named: list[tuple[str, str | None]] = []
    for each in kept:
        if numbers.count(each.number) == 1:
            named.append((each.edge.name, each.edge.parent))
            continue
        seen[each.number] = seen.get(each.number, 0) + 1
        named.append((f"{each.edge.name}.{seen[each.number]}", each.edge.root))
    return named


def _notches(notches: tuple[Notch, ...], kept: list[Stretch], names: list[str]) -> list[Notch]:
    found = []
    for notch in notches:
        for each, name in zip(kept, names, strict=True):
            if notch.edge == each.edge.name and each.low <= notch.along <= each.high:
                found.append(replace(notch, edge=name, along=notch.along - each.low))
                break
    return found


def _holds(ring: Floats, mark: Mark) -> bool:
    if contains(ring, mark.at):
        return True
    run, away = ring[1:] - ring[:-1], np.array(mark.at) - ring[:-1]
    share = np.clip((away * run).sum(axis=1) / np.maximum((run**2).sum(axis=1), 1e-18), 0.0, 1.0)
    return bool(np.hypot(*(away - share[:, None] * run).T).min() <= TOUCHES)


def _within(grain: Grain | None, ring: Floats) -> Grain | None:
    """Return the grain line kept to what is left of the piece, beside where it was if there is no room there."""
    if grain is None:
        return None
    a, b = np.array(grain.start), np.array(grain.end)
    size = float(np.hypot(*(b - a)))
    if size < 1.0 or (contains(ring, grain.start) and contains(ring, grain.end)):
        return grain
    way = (b - a) / size
    across = np.array((-way[1], way[0]))
    off = ring @ across
    places = [float(a @ across), *(float(off.min() + share * np.ptp(off)) for share in GRAIN_SHARES)]
    runs = [_longest(ring, way, across * place) for place in places]
    roomy = next((run for run in runs if run[1] - run[0] > size / 4.0), max(runs, key=lambda run: run[1] - run[0]))
    place = places[runs.index(roomy)]
    low, high = roomy
    inset = GRAIN_INSET * (high - low)
    middle, half = (low + high) / 2.0, min(size, high - low - 2.0 * inset) / 2.0
    ends = [across * place + way * (middle + sign * half) for sign in (-1.0, 1.0)]
    (ax, ay), (bx, by) = (each.tolist() for each in ends)
    return replace(grain, start=(ax, ay), end=(bx, by))


def _longest(ring: Floats, way: Floats, foot: Floats) -> tuple[float, float]:
    """Return the longest stretch of a straight line that lies in the ring, as places along `way` from `foot`."""
    reach = ring @ way
    places = np.linspace(float(reach.min()), float(reach.max()), SAMPLES)
    inside = [contains(ring, (float(x), float(y))) for x, y in (foot + places[:, None] * way).tolist()]
    changes = np.flatnonzero(np.diff(np.concatenate([[0], np.array(inside, dtype=int), [0]])))
    runs = [(places[a], places[b - 1]) for a, b in list(pairwise(changes.tolist()))[::2]]
    return max(((float(a), float(b)) for a, b in runs), key=lambda run: run[1] - run[0], default=(0.0, 0.0))
