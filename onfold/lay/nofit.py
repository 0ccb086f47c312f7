"""Where a part may lie without touching another: no-fit polygons, and what they leave free. The one door to pyclipper.

The no-fit polygon of a fixed and a moved outline holds every displacement of the moved one at which the two overlap;
it is the Minkowski sum of the fixed outline and the moved one turned through half a circle (E. Burke et al. 2006,
"A new bottom-left-fill heuristic algorithm for the two-dimensional irregular packing problem", Operations Research
54(3) [M]). What the sum leaves hollow is kept: a part may lie inside a loop of another.

All is counted in whole units of 1/32768 mm, so that what the library does is exact but for rounding to a unit.
Outlines are simplified outward: where their simplified forms do not overlap, they do not.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence

import numpy as np
import pyclipper
from numpy.typing import NDArray

from onfold.lay.part import Ring

Points = NDArray[np.int64]
Paths = list[Points]
Box = tuple[int, int, int, int]
"""Least x, least y, greatest x, greatest y, in units."""
_Passed = tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.bool_]]
UNIT = 32768.0
"""Units in a mm: a power of two, so that a whole number of units is a float to the bit."""
GROWTH = 0.5
"""mm by which a simplified outline may stand off the true one."""
GIVE = 2
"""Units by which every outline is made smaller, so that a place without any play stays a place. Two edges of 2 m that
meet share 0.3 mm2 of cloth for it, a third of what the judge of lays allows."""


def simplified(ring: Ring, growth: float = GROWTH) -> Ring:
    """Return an outline (m, 2), anticlockwise and open, that holds `ring` and stands off it by `growth` mm at most.

    Hollow corners are bridged, short edges between two salient corners give way to the corner where their neighbours
    meet. Straight edges and the corners between them stay as they are.
    """
    points = _open_anticlockwise(ring)
    count = len(points)
    if count < 4:
        return points
    spot: list[complex] = [complex(x, y) for x, y in points.tolist()]
    before = [(k - 1) % count for k in range(count)]
    after = [(k + 1) % count for k in range(count)]
    grown, stamp, alive = [0.0] * count, [0] * count, count
    queue = [(_cost(spot, before, after, k), k, 0) for k in range(count)]
    heapq.heapify(queue)
    while queue and alive > 3:
        cost, k, when = heapq.heappop(queue)
        if when != stamp[k] or cost > growth:
            continue
        a, b = before[k], after[k]
        total = cost + max(grown[a], grown[k], grown[b])
        if total > growth:
            continue
        if _turn(spot[a], spot[k], spot[b]) > 0.0:
            spot[b] = _meeting(spot, before, after, k)
        after[a], before[b], stamp[k] = b, a, -1
        grown[a] = max(total, grown[a])
        grown[b] = max(total, grown[b])
        alive -= 1
        for each in {a, b, before[a], before[before[a]], after[b]}:
            stamp[each] += 1
            heapq.heappush(queue, (_cost(spot, before, after, each), each, stamp[each]))
    return np.array([(spot[k].real, spot[k].imag) for k in range(count) if stamp[k] >= 0])


def _open_anticlockwise(ring: Ring) -> Ring:
    """Return the ring without repeated points, anticlockwise."""
    points = ring[np.any(ring != np.roll(ring, 1, axis=0), axis=1)]
    x, y = (points - points[:1]).T
    return points if float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) >= 0.0 else points[::-1]


def _turn(a: complex, b: complex, c: complex) -> float:
    """Return twice the signed area of three points: positive where b is a salient corner."""
    return ((b - a).conjugate() * (c - b)).imag


def _cost(spot: list[complex], before: list[int], after: list[int], k: int) -> float:
    """Return how far, mm, the outline would come to stand off if point k went; infinite where it can't go.

    A hollow point is bridged; a salient one goes together with the next, to where their outer edges meet.
    """
    a, b = before[k], after[k]
    turn = _turn(spot[a], spot[k], spot[b])
    if turn <= 0.0:
        chord = abs(spot[b] - spot[a])
        back = ((spot[k] - spot[a]).conjugate() * (spot[b] - spot[k])).real < 0.0
        return float("inf") if chord == 0.0 or back else -turn / chord
    c = after[b]
    if c == a or _turn(spot[k], spot[b], spot[c]) <= 0.0:
        return float("inf")
    edge, into, out = spot[b] - spot[k], spot[k] - spot[a], spot[c] - spot[b]
    across = (into.conjugate() * out).imag
    if across <= 1e-9 * abs(into) * abs(out) or (into.conjugate() * out).real < 0.0:
        return float("inf")
    meet = _meeting(spot, before, after, k)
    return abs(((meet - spot[k]).conjugate() * edge).imag) / abs(edge) if edge else 0.0


def _meeting(spot: list[complex], before: list[int], after: list[int], k: int) -> complex:
    """Return where the edge that ends at point k and the edge that begins at the next one meet, prolonged."""
    b = after[k]
    into, out = spot[k] - spot[before[k]], spot[after[b]] - spot[b]
    ahead = ((spot[b] - spot[k]).conjugate() * out).imag / (into.conjugate() * out).imag
    return spot[k] + ahead * into


def in_units(points: Ring) -> Points:
    """Return points (n, 2) mm as whole units."""
    return np.rint(points * UNIT).astype(np.int64)


def united(paths: Sequence[Points]) -> Paths:
    """Return the outer outlines of the union of closed paths, each anticlockwise, holes filled."""
    whole = _union([_forward(path) for path in paths if len(path) > 2])
    return [path for path in whole if _area(path) > 0.0]


def _union(paths: Sequence[Points]) -> Paths:
    if not paths:
        return []
    clipper = pyclipper.Pyclipper()
    for path in paths:
        _add(clipper, path, pyclipper.PT_SUBJECT)
    return _arrays(clipper.Execute(pyclipper.CT_UNION, pyclipper.PFT_POSITIVE, pyclipper.PFT_POSITIVE))


def _add(clipper: pyclipper.Pyclipper, path: Points, kind: int) -> None:
    """Add a path to a clipper; one without area is no path to it, and nothing is lost by leaving it out."""
    try:
        clipper.AddPath(path.tolist(), kind, True)
    except pyclipper.ClipperException:
        return


def _arrays(paths: Sequence[Sequence[Sequence[int]]]) -> Paths:
    return [np.array(path, dtype=np.int64) for path in paths]


def _area(path: Points) -> float:
    x, y = (path - path[0]).astype(np.float64).T
    return float(0.5 * (np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))))


def _forward(path: Points) -> Points:
    return path if _area(path) >= 0.0 else path[::-1]


def outline(ring: Ring, give: int = GIVE) -> Paths:
    """Return a simplified ring in units, made smaller by `give`: simple anticlockwise paths, none where it is flat."""
    points = in_units(ring)
    if len(points) < 3:
        return []
    return shrunk(united([points]), give)


def shrunk(paths: Sequence[Points], give: int) -> Paths:
    """Return outlines made smaller by so many units."""
    offset = pyclipper.PyclipperOffset(2.0)
    for path in paths:
        offset.AddPath(path.tolist(), pyclipper.JT_MITER, pyclipper.ET_CLOSEDPOLYGON)
    return [_forward(each) for each in _arrays(offset.Execute(-give)) if _area(each) > 0.0]


def no_fit(fixed: Sequence[Points], moved: Sequence[Points]) -> Paths:
    """Return the displacements at which some of `moved` overlaps some of `fixed`: outlines, and holes turned about.

    All paths simple and anticlockwise, in units, as `outline` gives them.
    """
    return _union([cycle for base in fixed for shape in moved for cycle in convolved(base, -shape)])


def convolved(a: Points, b: Points) -> Paths:
    """Return closed paths that wind at least once round each point of the Minkowski sum of two simple outlines.

    This is their convolution (L. Guibas, L. Ramshaw and J. Stolfi 1983, "A kinetic framework for computational
    geometry" [M]): every edge of one at every vertex of the other where its direction is passed in turning the corner,
    backwards at hollow corners. Round a point it winds as often as the intersection there has separate parts, and
    everything else is left out of it; the edges may be strung together in any order.
    """
    (passed_a, passed_b), count, other = _passed(a, b), len(b), len(a)
    starts, ends = [], []
    at, edge, back = passed_a
    near, far = at * count + edge, at * count + (edge + 1) % count
    starts.append(np.where(back, far, near))
    ends.append(np.where(back, near, far))
    at, edge, back = passed_b
    near, far = edge * count + at, (edge + 1) % other * count + at
    starts.append(np.where(back, far, near))
    ends.append(np.where(back, near, far))
    walks = _strung(np.concatenate(starts).tolist(), np.concatenate(ends).tolist())
    return [a[each // count] + b[each % count] for each in walks]


def _passed(a: Points, b: Points) -> tuple[_Passed, _Passed]:
    """Return for either outline (its vertex, edge of the other, whether backwards) of what its corners turn past."""
    edges = np.concatenate([np.roll(a, -1, axis=0) - a, np.roll(b, -1, axis=0) - b])
    angle = np.arctan2(edges[:, 1], edges[:, 0])
    whole, split = len(edges), len(a)
    rank = np.empty(whole, dtype=np.int64)
    # of parallel edges those of b come first: either order will do, but it must be one order for both outlines
    rank[np.lexsort((np.arange(whole) < split, angle))] = np.arange(whole)
    found = []
    for own, other in ((slice(0, split), slice(split, whole)), (slice(split, whole), slice(0, split))):
        out, into = rank[own], np.roll(rank[own], 1)
        sweep = angle[own] - np.roll(angle[own], 1)
        sweep = np.where(sweep > np.pi, sweep - 2.0 * np.pi, np.where(sweep < -np.pi, sweep + 2.0 * np.pi, sweep))
        salient = (sweep > 0.0) | ((sweep == 0.0) & (out > into))
        first, last = np.where(salient, into, out), np.where(salient, out, into)
        inside = (rank[other][None, :] - first[:, None]) % whole < ((last - first) % whole)[:, None]
        at, edge = np.nonzero(inside)
        found.append((at, edge, ~salient[at]))
    return found[0], found[1]


def _strung(starts: list[int], ends: list[int]) -> list[NDArray[np.int64]]:
    """Return closed walks, as numbers of nodes, that use every edge from a start to an end once."""
    leaving: dict[int, list[int]] = {}
    for start, end in zip(starts, ends, strict=True):
        leaving.setdefault(start, []).append(end)
    walks = []
    for start, here in leaving.items():
        while here:
            walk, node = [start], here.pop()
            while node != start:
                walk.append(node)
                node = leaving[node].pop()
            walks.append(np.array(walk, dtype=np.int64))
    return walks


def free(box: Box, blocked: Sequence[Points]) -> Points:
    """Return the corners (n, 2) of what a box leaves free beside no-fit polygons; none where nothing is free."""
    left, low, right, high = box
    # a box without breadth is given a little, or there would be nothing for the library to cut from
    left, right = (left - GIVE, right + GIVE) if right - left < GIVE else (left, right)
    low, high = (low - GIVE, high + GIVE) if high - low < GIVE else (low, high)
    clipper = pyclipper.Pyclipper()
    clipper.AddPath(((left, low), (right, low), (right, high), (left, high)), pyclipper.PT_SUBJECT, True)
    for path in blocked:
        _add(clipper, path, pyclipper.PT_CLIP)
    left_over = clipper.Execute(pyclipper.CT_DIFFERENCE, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    return np.array([point for path in left_over for point in path], dtype=np.int64).reshape(-1, 2)


def blocked_along(paths: Sequence[Points], level: float, axis: int) -> list[tuple[float, float]]:
    """Return the stretches, in order, of the line at `level` that lie in no-fit polygons; axis 0: along x, 1: along y.

    The paths are those of one no-fit polygon, holes among them.
    """
    cuts: list[float] = []
    for path in paths:
        across, along = path[:, 1 - axis], path[:, axis].astype(np.float64)
        over = across > level
        k = np.flatnonzero(over != np.roll(over, -1))
        if len(k):
            n = (k + 1) % len(path)
            share = (level - across[k]) / (across[n] - across[k])
            cuts += (along[k] + share * (along[n] - along[k])).tolist()
    cuts.sort()
    return list(zip(cuts[::2], cuts[1::2], strict=True))


def gaps(stretches: Sequence[tuple[float, float]], low: float, high: float) -> list[tuple[float, float]]:
    """Return what is left of low to high beside the stretches, in order; a gap may be a single place."""
    left: list[tuple[float, float]] = []
    here = low
    for start, stop in sorted(stretches):
        if start > high:
            break
        if start >= here:
            left.append((here, start))
        here = max(here, stop)
    return [*left, (here, high)] if here <= high else left
