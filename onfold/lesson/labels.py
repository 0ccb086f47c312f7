"""Names set beside what they name in a small picture: each nearest its own line or point, or led to it by a thin line.

A name that can be given neither place is left to the caption. None covers another, a line, or the inset.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

SIZE = 12.0
ROW = 16.0
"""px: the size of a word, and how far names stand below one another beside the drawing."""
_PER_CHAR, _WIDE = 0.56, 3.0
_GAP = 4.0
NEARER, _CLEAR = 2.0, 6.0
"""px: by so much a name stands nearer to its own than to another of its kind; so far from its like a leader may end."""
_ALONG = (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9)

Box = tuple[float, float, float, float]
Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Name:
    """A word, and px, Y down: the ink of what it names (n, 2) and the ink of all else of its kind (m, 2)."""

    text: str
    own: Floats
    others: Floats
    bold: bool = False

    @property
    def width(self) -> float:
        """Return how wide the word is likely to be set, px: readers' faces differ, so this is a little generous."""
        return len(self.text) * SIZE * (_PER_CHAR + 0.05 * self.bold) + _WIDE


@dataclass(frozen=True)
class Label:
    """A word whose baseline starts at (x, y), px, and where its leader ends, if it has one."""

    text: str
    x: float
    y: float
    width: float
    bold: bool = False
    lead: tuple[float, float, float, float] | None = None

    @property
    def box(self) -> Box:
        """Return the room it takes: left, top, right, bottom."""
        return self.x, self.y - SIZE * 0.8, self.x + self.width, self.y + SIZE * 0.25


def place_labels(
    names: Sequence[Name], room: Box, ink: Floats, drawn: Box, taken: Sequence[Box] = ()
) -> tuple[list[Label], list[str]]:
    """Return the names as they stand, and those that found no place.

    `room` is where they may stand, `ink` (n, 2) all that is drawn, `drawn` its box, `taken` what else is kept clear.
    """
    placed: list[Label] = []
    left: list[Name] = []
    for name in names:
        found = next(
            (each for each in _beside(name) if _stands(each, name, room, ink, [*taken, *(p.box for p in placed)])), None
        )
        if found is None:
            left.append(name)
        else:
            placed.append(found)
    crowded: list[str] = []
    for name in sorted(left, key=lambda each: float(each.own[:, 1].mean())):
        led = _led(name, room, drawn, placed, taken)
        if led is None:
            crowded.append(name.text)
        else:
            placed.append(led)
    return placed, crowded


def _spots(name: Name) -> Iterator[tuple[float, float]]:
    count = len(name.own)
    for share in _ALONG if count > 1 else (0.5,):
        x, y = name.own[min(int(share * count), count - 1)].tolist()
        yield x, y


def _beside(name: Name) -> Iterator[Label]:
    """Give the places near it, the best first: right, left, above, below, then slantwise and farther off."""
    wide, drop = name.width, SIZE * 0.36
    for far in (_GAP, 3 * _GAP):
        for x, y in _spots(name):
            for dx, dy in (
                (far, drop),
                (-wide - far, drop),
                (-wide / 2, -far - 2.0),
                (-wide / 2, far + SIZE * 0.8),
                (far, -far - 2.0),
                (-wide - far, -far - 2.0),
                (far, far + SIZE * 0.8),
                (-wide - far, far + SIZE * 0.8),
            ):
                yield Label(name.text, x + dx, y + dy, wide, name.bold)


def _stands(label: Label, name: Name, room: Box, ink: Floats, taken: Sequence[Box]) -> bool:
    box = label.box
    if not inside(box, room) or any(_overlap(box, each) for each in taken) or _covers(box, ink):
        return False
    return apart(box, name.own) + NEARER < apart(box, name.others)


def _led(name: Name, room: Box, drawn: Box, placed: Sequence[Label], taken: Sequence[Box]) -> Label | None:
    """Return the name in the margin right or left of the drawing, the one with the shortest free leader."""
    spots = [spot for spot in _spots(name) if apart((*spot, *spot), name.others) > _CLEAR]
    boxes = [*taken, *(each.box for each in placed)]
    leads = [each.lead for each in placed if each.lead is not None]
    found: list[tuple[float, Label]] = []
    for x, y in spots:
        for step in range(-12, 13):
            base = y + step * ROW / 2
            for right in (True, False):
                at = drawn[2] + 14.0 if right else drawn[0] - 14.0 - name.width
                elbow = at - 3.0 if right else at + name.width + 3.0
                lead = (elbow, base - SIZE * 0.3, x, y)
                label = Label(name.text, at, base, name.width, name.bold, lead)
                reach = float(np.hypot(elbow - x, base - SIZE * 0.3 - y))
                if found and reach >= found[0][0]:
                    continue
                if not inside(label.box, room) or any(_overlap(label.box, each) for each in boxes):
                    continue
                crosses = any(_cross(lead, each) for each in leads) or any(_passes(lead, each) for each in boxes)
                if not crosses and not any(_passes(each, label.box) for each in leads):
                    found = [(reach, label)]
    return found[0][1] if found else None


def closely(line: Floats) -> Floats:
    """Return points along a drawn line (n, 2) no further than 3 px apart."""
    steps = np.diff(line, axis=0)
    counts = np.maximum(np.ceil(np.linalg.norm(steps, axis=1) / 3.0), 1).astype(int)
    shares = np.concatenate([np.arange(count) / count for count in counts])
    starts = np.repeat(np.arange(len(steps)), counts)
    return np.vstack((line[starts] + shares[:, None] * steps[starts], line[-1:]))


def apart(box: Box, points: Floats) -> float:
    """Return how far a box lies from the nearest of these points, px; inf where there are none."""
    if not len(points):
        return float("inf")
    dx = np.maximum(np.maximum(box[0] - points[:, 0], points[:, 0] - box[2]), 0.0)
    dy = np.maximum(np.maximum(box[1] - points[:, 1], points[:, 1] - box[3]), 0.0)
    return float(np.hypot(dx, dy).min())


def inside(box: Box, room: Box) -> bool:
    """Return whether a box lies within another."""
    return box[0] >= room[0] and box[1] >= room[1] and box[2] <= room[2] and box[3] <= room[3]


def _overlap(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _covers(box: Box, points: Floats) -> bool:
    x, y = points[:, 0], points[:, 1]
    return bool(((x > box[0] - 1) & (x < box[2] + 1) & (y > box[1] - 1) & (y < box[3] + 1)).any())


def _passes(lead: Box, box: Box) -> bool:
    """Return whether a leader runs through a box."""
    ax, ay, bx, by = lead
    shares = np.linspace(0.0, 1.0, 33)
    return _covers(box, np.stack((ax + shares * (bx - ax), ay + shares * (by - ay)), axis=1))


def _cross(a: Box, b: Box) -> bool:
    """Return whether two leaders cross."""

    def side(line: Box, x: float, y: float) -> float:
        return (line[2] - line[0]) * (y - line[1]) - (line[3] - line[1]) * (x - line[0])

    return side(a, b[0], b[1]) * side(a, b[2], b[3]) <= 0.0 and side(b, a[0], a[1]) * side(b, a[2], a[3]) <= 0.0
