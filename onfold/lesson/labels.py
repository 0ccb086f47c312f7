"""Words set beside the points they name in a small picture, so that none covers another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

SIZE = 12.0
MANY = 10
"""Among more words than this, one that would lie over a line is left to the caption."""
_PER_CHAR = 0.56
_GAP = 4.0


@dataclass(frozen=True)
class Label:
    """A word whose baseline starts at (x, y), px, Y down."""

    text: str
    x: float
    y: float
    bold: bool = False

    @property
    def width(self) -> float:
        """Return how wide the word is likely to be set, px: readers' faces differ, so this is a little generous."""
        return len(self.text) * SIZE * (_PER_CHAR + 0.05 * self.bold)

    def moved(self, dx: float, dy: float) -> Label:
        """Return the label elsewhere."""
        return replace(self, x=self.x + dx, y=self.y + dy)


Box = tuple[float, float, float, float]


def place_labels(
    labels: Sequence[Label], room: tuple[float, float], lines: Sequence[NDArray[np.float64]]
) -> tuple[list[Label], list[Label]]:
    """Return the labels at the first free place near their points, and those that found none.

    Places tried: right of the point, left, above, below, then further off. `lines` are the drawn lines as points
    (n, 2), px: they are kept clear where another place is free. A word repeated at its own point is set once.
    """
    inked = np.concatenate([_closely(each) for each in lines]) if lines else np.empty((0, 2))
    placed: list[Label] = []
    boxes: list[Box] = []
    crowded: list[Label] = []
    once = list(dict.fromkeys(label for label in labels if label.text))
    for label in once:
        free = [
            (where, box)
            for where in _places(label)
            if _inside(box := _box(where), room) and not any(_overlap(box, other) for other in boxes)
        ]
        if not free:
            crowded.append(label)
            continue
        clear = [(where, box) for where, box in free if not _covers(box, inked)]
        if not clear and len(once) > MANY:
            crowded.append(label)
            continue
        where, box = (clear or free)[0]
        placed.append(where)
        boxes.append(box)
    return placed, crowded


def _places(label: Label) -> list[Label]:
    half, drop = label.width / 2, SIZE * 0.36
    places = []
    for far in (_GAP, 3 * _GAP, 5 * _GAP):
        places += [
            label.moved(far, drop),
            label.moved(-label.width - far, drop),
            label.moved(-half, -far),
            label.moved(-half, far + SIZE * 0.8),
            label.moved(far, -far),
            label.moved(-label.width - far, -far),
            label.moved(far, far + SIZE * 0.8),
            label.moved(-label.width - far, far + SIZE * 0.8),
        ]
    return places


def _closely(line: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return points along a drawn line no further than 3 px apart."""
    steps = np.diff(line, axis=0)
    counts = np.maximum(np.ceil(np.linalg.norm(steps, axis=1) / 3.0), 1).astype(int)
    shares = np.concatenate([np.arange(count) / count for count in counts])
    starts = np.repeat(np.arange(len(steps)), counts)
    return np.vstack((line[starts] + shares[:, None] * steps[starts], line[-1:]))


def _box(label: Label) -> Box:
    return label.x, label.y - SIZE * 0.8, label.x + label.width, label.y + SIZE * 0.25


def _inside(box: Box, room: tuple[float, float]) -> bool:
    return box[0] >= 0 and box[1] >= 0 and box[2] <= room[0] and box[3] <= room[1]


def _overlap(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _covers(box: Box, points: NDArray[np.float64]) -> bool:
    x, y = points[:, 0], points[:, 1]
    return bool(((x > box[0]) & (x < box[2]) & (y > box[1]) & (y < box[3])).any())
