"""Outlines taken apart into convex ones: ears cut off one by one, then joined again while what they make is convex.

S. Hertel, K. Mehlhorn, 'Fast triangulation of simple polygons', 1983 [M]: at most four times the fewest parts.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from onfold.lay.nofit import simplified
from onfold.lay.part import Ring

Cycle = list[int]


def convex_parts(ring: Ring, growth: float = 0.0) -> list[Ring]:
    """Return convex outlines (m, 2), open and anticlockwise, that fill a simple ring, grown by so much at most.

    Empty where the ring is so thin that rounding hides which way it turns.
    """
    points = simplified(ring, growth)
    return [points[cycle] for cycle in _joined(points, _ears(points))]


def _crosses(a: Ring, b: Ring, c: Ring) -> NDArray[np.float64]:
    """Return twice the signed areas of triangles, arrays broadcast over their first axes."""
    found: NDArray[np.float64] = (b[..., 0] - a[..., 0]) * (c[..., 1] - a[..., 1]) - (b[..., 1] - a[..., 1]) * (
        c[..., 0] - a[..., 0]
    )
    return found


def _ears(points: Ring) -> list[Cycle]:
    """Return triangles that fill the outline, as places in `points`; empty where no ear is left to cut."""
    left = list(range(len(points)))
    found: list[Cycle] = []
    while len(left) > 3:
        there = points[left]
        before, after = np.roll(there, 1, axis=0), np.roll(there, -1, axis=0)
        turns = _crosses(before, there, after)
        hollow = there[turns <= 0.0]
        ear = next((k for k in np.argsort(-turns).tolist() if _is_ear(before[k], there[k], after[k], hollow)), None)
        if ear is None or turns[ear] <= 0.0:
            return []
        found.append([left[ear - 1], left[ear], left[(ear + 1) % len(left)]])
        del left[ear]
    return [*found, left]


def _is_ear(a: Ring, b: Ring, c: Ring, others: Ring) -> bool:
    """Return whether none of the other corners lies in the triangle, its own corners aside."""
    inside = (_crosses(a, b, others) >= 0.0) & (_crosses(b, c, others) >= 0.0) & (_crosses(c, a, others) >= 0.0)
    own = (others == a).all(axis=1) | (others == b).all(axis=1) | (others == c).all(axis=1)
    return not bool((inside & ~own).any())


def _joined(points: Ring, cycles: Sequence[Cycle]) -> list[Cycle]:
    """Return the cycles joined across shared edges wherever the whole stays convex, each edge looked at once."""
    whole = dict(enumerate(cycles))
    owner = {edge: k for k, cycle in whole.items() for edge in _edges(cycle)}
    for a, b in list(owner):
        if a > b or (b, a) not in owner:
            continue
        one, other = owner[a, b], owner[b, a]
        made = _across(whole[one], whole[other], a, b)
        if _is_convex(points[made]):
            owner.update(dict.fromkeys(_edges(whole.pop(other)), one))
            whole[one] = made
    return list(whole.values())


def _edges(cycle: Cycle) -> list[tuple[int, int]]:
    return list(zip(cycle, [*cycle[1:], cycle[0]], strict=True))


def _across(one: Cycle, other: Cycle, a: int, b: int) -> Cycle:
    """Return two cycles made one across the edge they share, a to b in the one and b to a in the other."""
    at, there = one.index(b), other.index(a)
    # from b round the first back to a, then from a round the second up to b
    return [*one[at:], *one[:at], *[*other[there:], *other[:there]][1:-1]]


def _is_convex(points: Ring) -> bool:
    return bool((_crosses(np.roll(points, 1, axis=0), points, np.roll(points, -1, axis=0)) >= 0.0).all())
