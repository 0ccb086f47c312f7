"""Names of pieces set inside what is seen of them, clear of lines and of one another.

One that fits nowhere is left out; it still stands in the picture's caption and in its text alternative.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from onfold.drawing import Word
from onfold.guide.signs import LETTER
from onfold.lettering import LEAD, frame_of, width_of, wrapped

Floats = NDArray[np.float64]
_STEPS = 15
_CLEAR = 0.9


@dataclass(frozen=True, eq=False)
class Named:
    """A name, the ring (n, 2) it belongs in, on paper, and the rings that hide parts of that."""

    text: str
    ring: Floats
    over: tuple[Floats, ...]


def place_names(
    named: Sequence[Named], lines: Sequence[Floats], frames: Sequence[Floats], size: float = LETTER
) -> list[Word]:
    """Return the words of every name that fits in its ring, nearest to the middle of what is seen of it."""
    inked = np.concatenate([_closely(each) for each in lines]) if lines else np.empty((0, 2))
    taken = [(*frame.min(axis=0).tolist(), *frame.max(axis=0).tolist()) for frame in frames]
    words: list[Word] = []
    for each in named:
        for rows in _ways_to_set(each.text, size):
            wide = max(width_of(row, size) for row in rows)
            high = size * (1.0 + LEAD * (len(rows) - 1))
            at = _spot(each, wide, high, inked, taken)
            if at is None:
                continue
            words += [
                Word(row, (at[0], at[1] + high / 2 - size - k * LEAD * size), size, anchor="middle", layer="picture")
                for k, row in enumerate(rows)
            ]
            taken.append((at[0] - wide / 2, at[1] - high / 2, at[0] + wide / 2, at[1] + high / 2))
            break
    return words


def apart(words: Sequence[Word]) -> list[Word]:
    """Return words set at points, each moved up or down off those before it; one that finds no room is left out."""
    kept: list[Word] = []
    boxes: list[tuple[Floats, Floats]] = []
    for word in words:
        for step in (0.0, 1.0, -1.0, 2.0, -2.0):
            there = replace(word, at=(word.at[0], word.at[1] + step * 1.5 * word.size))
            frame = frame_of(there)
            low, high = frame.min(axis=0), frame.max(axis=0)
            if all((low >= other[1]).any() or (high <= other[0]).any() for other in boxes):
                kept.append(there)
                boxes.append((low, high))
                break
    return kept


def _ways_to_set(text: str, size: float) -> list[list[str]]:
    """Return the name on one line, then on as many as it has words."""
    whole = width_of(text, size)
    ways = [[text]]
    for share in (0.62, 0.45):
        rows = wrapped(text, whole * share, size)
        if len(rows) <= 3 and rows not in ways and " ".join(rows) == " ".join(text.split()):
            ways.append(rows)
    return [way for way in ways if all(way)]


def _spot(
    each: Named, wide: float, high: float, inked: Floats, taken: Sequence[tuple[float, ...]]
) -> tuple[float, float] | None:
    low, most = each.ring.min(axis=0), each.ring.max(axis=0)
    if most[0] - low[0] < wide or most[1] - low[1] < high:
        return None
    xs, ys = np.linspace(low[0], most[0], _STEPS + 2)[1:-1], np.linspace(low[1], most[1], _STEPS + 2)[1:-1]
    spots = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    shown = _seen(each, spots)
    spots = spots[shown]
    if not len(spots):
        return None
    middle = spots.mean(axis=0)
    half = np.array([wide / 2 + _CLEAR, high / 2 + _CLEAR])
    reach = np.array([(x, y) for x in (-1.0, -0.5, 0.0, 0.5, 1.0) for y in (-1.0, 0.0, 1.0)]) * half
    corners = _seen(each, (spots[:, None] + reach[None]).reshape(-1, 2)).reshape(len(spots), -1)
    nearest_first = np.argsort(np.round(np.hypot(*(spots - middle).T), 6), kind="stable")
    for at in nearest_first.tolist():
        if bool(corners[at].all()) and _is_clear(spots[at], half, inked, taken):
            return float(spots[at, 0]), float(spots[at, 1])
    return None


def _seen(each: Named, points: Floats) -> NDArray[np.bool_]:
    """Return which points (m, 2) lie in a name's ring and under none that hides it."""
    seen = inside(each.ring, points)
    for ring in each.over:
        seen &= ~inside(ring, points)
    return seen


def _is_clear(at: Floats, half: Floats, inked: Floats, taken: Sequence[tuple[float, ...]]) -> bool:
    (x, y), (wide, high) = at.tolist(), half.tolist()
    if any(
        x - wide < right and left < x + wide and y - high < top and low < y + high for left, low, right, top in taken
    ):
        return False
    return not bool((np.abs(inked - at) < half).all(axis=1).any())


def inside(ring: Floats, points: Floats) -> NDArray[np.bool_]:
    """Return which points (m, 2) lie in the closed ring, by the even-odd rule."""
    a, b = ring[:-1], ring[1:]
    x, y = points[:, 0, None], points[:, 1, None]
    crossing = (a[:, 1] <= y) != (b[:, 1] <= y)
    rise = np.where(b[:, 1] == a[:, 1], 1.0, b[:, 1] - a[:, 1])
    at = a[:, 0] + (y - a[:, 1]) / rise * (b[:, 0] - a[:, 0])
    counted: NDArray[np.bool_] = (crossing & (at > x)).sum(axis=1) % 2 == 1
    return counted


def _closely(points: Floats) -> Floats:
    """Return points along a line no further than 1 mm of the paper apart."""
    steps = np.diff(points, axis=0)
    counts = np.clip(np.ceil(np.hypot(*steps.T)), 1, 400).astype(int)
    shares = np.concatenate([np.arange(count) / count for count in counts])
    starts = np.repeat(np.arange(len(steps)), counts)
    found: Floats = np.vstack((points[starts] + shares[:, None] * steps[starts], points[-1:]))
    return found
