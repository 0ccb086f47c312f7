"""One piece as it lies: cut line, grain line, fold, notches, the arrow to its top, hatching when it is turned over."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from onfold.drawing import PenName, Stroke
from onfold.geometry.hatching import Floats, broken, hatch, stretch_of_line, stretch_of_ring
from onfold.geometry.path import polyline
from onfold.geometry.point import Point, direction
from onfold.lay.labels import OVER, Block, Over, Room
from onfold.lay.measured import Spot, cut_singly
from onfold.lay.placed import Lay
from onfold.lay.signs import View, bracket, chalk_arrow, head, ruled, step

_LIFE = 3.0
"""1 : n below which cut lines are as heavy as on the pattern; smaller, pieces a millimetre apart are still two."""
_ON_FOLD = 0.05
"""mm within which a point of a half piece lies on its fold."""


@dataclass(eq=False)
class Inked:
    """A piece on the paper, as far as it lies in the stretch. `ring` is its closed outline there, mm.

    `strokes` are what is always drawn, `fixed` the lines among them that words keep off; the grain line is its `shaft`,
    which may be broken for words, and its `heads`. `arrow` points to the top. `frames` are the words set on the piece.
    """

    spot: Spot
    ring: Floats
    strokes: list[Stroke]
    fixed: list[Floats]
    shaft: tuple[Point, Point] | None
    heads: list[Stroke]
    arrow: list[Stroke] = field(default_factory=list)
    frames: list[Floats] = field(default_factory=list)

    @property
    def lines(self) -> list[Floats]:
        """Return what words keep off; the last is the shaft of the grain line."""
        last = np.array(self.shaft) if self.shaft is not None else self.ring[:1]
        return [*self.fixed, *map(_corners, (*self.arrow, *self.heads)), last]

    @property
    def middle(self) -> Point:
        """Return a point well inside: the middle of the widest of its cross lines."""
        low, high = self.ring[:, 0].min(), self.ring[:, 0].max()
        best, found = -1.0, (float(self.ring[0, 0]), float(self.ring[0, 1]))
        for x in np.linspace(low, high, 9)[1:-1].tolist():
            a, b = self.ring[:-1], self.ring[1:]
            crossed = (a[:, 0] <= x) != (b[:, 0] <= x)
            p, q = a[crossed], b[crossed]
            ys = np.sort(p[:, 1] + (x - p[:, 0]) / (q[:, 0] - p[:, 0]) * (q[:, 1] - p[:, 1])).tolist()
            for y0, y1 in zip(ys[0::2], ys[1::2], strict=False):
                if y1 - y0 > best:
                    best, found = y1 - y0, (x, (y0 + y1) / 2)
        return found

    def drawn(self, size: float) -> list[Stroke]:
        """Return its strokes, with hatching and grain line broken where words stand."""
        over: list[Stroke] = []
        if self.spot.turned_over:
            spacing = size * (1.1 if float(np.ptp(self.ring, axis=0).min()) > 5.0 * size else 0.6)
            lines = broken(hatch([self.ring], 45.0, spacing), self.frames, size * 0.2)
            over += ruled(lines, "furniture", "marks", f"{self.spot.name} turned over")
        if self.shaft is not None:
            over += ruled(
                broken([self.shaft], self.frames, 0.2 * size), "grain", "grain lines", f"grain of {self.spot.name}"
            )
        return [*over, *self.strokes, *self.heads, *self.arrow]


def ink_piece(lay: Lay, spot: Spot, view: View, size: float, kept: Sequence[Floats] = ()) -> Inked | None:
    """Return a piece on the paper; None where nothing of it lies in the stretch. Its words also keep off of `kept`."""
    part = stretch_of_ring(spot.ring, view.low, view.high)
    if len(part) < 4 or float(np.ptp(part[:, 0])) < 1e-6:
        return None
    ring = view.at(part)
    ticks = _notches(spot, view, size)
    own = _bracket(spot, view, size)
    strokes = _cut_strokes(spot, view)
    strokes += [Stroke(polyline(each), "grain", "marks", name=f"notch of {spot.name}") for each in ticks]
    shaft, heads = _grain(lay, spot, view, size)
    inked = Inked(spot, ring, [*strokes, *own], [*kept, *ticks, *map(_corners, own)], shaft, heads)
    if lay.bed.one_way:
        inked.arrow = _chalk(inked, size) or chalk_arrow(inked.middle, spot.placed.way.top, 0.7 * size, _top(spot))
    return inked


def bared(inked: Inked, frame: Floats, size: float) -> bool:
    """Take a piece's grain line off for the sake of its number's `frame`; say whether the arrow to its top still fits.

    The lines that tell the grain in words are not touched: this is for the smallest pieces alone.
    """
    shaft, heads, arrow = inked.shaft, inked.heads, inked.arrow
    inked.shaft, inked.heads = None, []
    if not arrow:
        return True
    inked.arrow = []
    inked.fixed.append(np.concatenate([frame, frame[:1], frame[2:], frame[1:2], frame[3:]]))
    found = _chalk(inked, size)
    if found is not None:
        inked.arrow = found
        return True
    inked.fixed.pop()
    inked.shaft, inked.heads, inked.arrow = shaft, heads, arrow
    return False


def _corners(stroke: Stroke) -> Floats:
    found: Floats = stroke.path.curves[:, (0, 3)].reshape(-1, 2)
    return found


def _top(spot: Spot) -> str:
    return f"top of {spot.name}"


def _cut_strokes(spot: Spot, view: View) -> list[Stroke]:
    """Return the cut line within the stretch: whole and closed, or in runs; never along a fold."""
    pen: PenName = "cut" if view.scale < _LIFE else "notch"
    ring, name = spot.ring, f"{spot.name} cut line"
    inside = float(ring[:, 0].min()) >= view.low - 1e-6 and float(ring[:, 0].max()) <= view.high + 1e-6
    if inside and not spot.placed.part.on_fold:
        return [Stroke(polyline(view.at(ring)), pen, "cut lines", closed=True, name=name)]
    runs = [ring]
    if spot.placed.part.on_fold:
        runs = _off_fold(ring, spot.placed.part.ring)
    parts = [part for run in runs for part in stretch_of_line(run, view.low, view.high) if len(part) > 1]
    return [Stroke(polyline(view.at(part)), pen, "cut lines", name=name) for part in parts]


def _off_fold(ring: Floats, flat: Floats) -> list[Floats]:
    """Return the runs of a half piece's ring that do not lie on its fold, x = 0 in its own frame `flat`."""
    held = np.abs(flat[:, 0]) <= _ON_FOLD
    folded = held[:-1] & held[1:]
    if not folded.any():
        return [ring]
    count = len(folded)
    first = int(np.flatnonzero(folded)[0])
    runs: list[Floats] = []
    current: list[int] = []
    for k in range(count):
        at = (first + k) % count
        if folded[at]:
            if current:
                runs.append(ring[[*current, at]])
            current = []
        else:
            current.append(at)
    if current:
        runs.append(ring[[*current, first]])
    return runs


def _notches(spot: Spot, view: View, size: float) -> list[Floats]:
    """Return each notch as a short tick from the cut line inward, both halves' where it is opened out."""
    part = spot.placed.part
    spots = [notch.at for notch in part.source.notches]
    if part.source.on_fold and not part.on_fold:
        spots += [(-x, y) for x, y in spots]
    if not spots:
        return []
    feet = np.array(spots) @ spot.placed.way.matrix.T + (spot.placed.x, spot.placed.y)
    a, b = spot.ring[:-1], spot.ring[1:]
    along = b - a
    sizes = np.maximum((along**2).sum(axis=1), 1e-12)
    ticks = []
    for foot in feet:
        share = np.clip(((foot - a) * along).sum(axis=1) / sizes, 0.0, 1.0)
        near = a + share[:, None] * along
        away = np.hypot(*(near - foot).T)
        best = int(np.argmin(away))
        start = near[best]
        if not view.low <= start[0] <= view.high:
            continue
        normal = np.array((-along[best, 1], along[best, 0])) / math.sqrt(float(sizes[best]))
        inward = (foot - start) / away[best] if away[best] > 0.5 else normal
        p = view.at(start)[0]
        ticks.append(np.array((p, p + inward * size * 0.75)))
    return ticks


def _grain(lay: Lay, spot: Spot, view: View, size: float) -> tuple[tuple[Point, Point] | None, list[Stroke]]:
    """Return the grain line's shaft and its heads: one, at the top, where the cloth is one-way."""
    if spot.foot is None or spot.head is None:
        return None, []
    runs = stretch_of_line(np.array((spot.foot, spot.head)), view.low, view.high)
    if not runs or len(runs[0]) < 2:
        return None, []
    start, end = (tuple(each) for each in view.at(runs[0]).tolist())
    way, whole = direction(start, end), math.dist(start, end)
    tip = min(1.3 * size, whole * 0.4)
    heads = []
    a, b = start, end
    if view.low <= spot.head[0] <= view.high:
        heads.append(head(end, way, "grain lines", tip))
        b = step(end, way, -tip * 0.8)
    if not lay.bed.one_way and view.low <= spot.foot[0] <= view.high:
        heads.append(head(start, (-way[0], -way[1]), "grain lines", tip))
        a = step(start, way, tip * 0.8)
    return (a, b), heads


def _bracket(spot: Spot, view: View, size: float) -> list[Stroke]:
    """Return the fold's bent arrow along the edge of a piece that lies on it, unless the grain line is in the way."""
    part = spot.placed.part
    if not part.on_fold:
        return []
    held = part.ring[np.abs(part.ring[:, 0]) <= _ON_FOLD]
    if len(held) < 2:
        return []
    ends = np.array(((0.0, held[:, 1].min()), (0.0, held[:, 1].max())))
    (ax, y), (bx, _) = (ends @ spot.placed.way.matrix.T + (spot.placed.x, spot.placed.y)).tolist()
    low, high = max(min(ax, bx), view.low), min(max(ax, bx), view.high)
    inset, off = 1.5 * size, 2.0 * size * view.scale
    if (high - low) < 3.5 * off or (spot.foot is not None and abs(spot.foot[1] - y) / view.scale < inset * 1.4):
        return []
    inward = float((np.array((1.0, 0.0)) @ spot.placed.way.matrix.T)[1])
    a, b = view.point(low + off, y), view.point(high - off, y)
    return bracket(a, b, inset) if inward > 0.0 else bracket(b, a, inset)


def _chalk(inked: Inked, size: float) -> list[Stroke] | None:
    """Return the chalk arrow near the top of a piece, as large as there is room for; None where there is none."""
    way, ring = inked.spot.placed.way.top, inked.ring
    top = ring[int(np.argmax(ring @ np.array(way)))]
    aim = ring.mean(axis=0) * 0.15 + top * 0.85
    room = Room(ring, math.degrees(math.atan2(way[1], way[0])), size * 0.12)
    room.keep_within(ring)
    for each in inked.lines:
        room.take_line(each)
    for share in (1.0, 0.75, 0.5, 0.35):
        long = 2.2 * size * share
        middle = room.place(long, long * 0.55, 0.25 * size * share, (float(aim[0]), float(aim[1])))
        if middle is not None:
            return chalk_arrow(middle, way, long, _top(inked.spot))
    return None


def notes_of(lay: Lay, spot: Spot) -> list[str]:
    """Return in few words what is unlike the plain case about how a piece lies."""
    lies = {"straight": [], "turned end for end": ["end for end"], "across": ["across"], "bias": ["on the bias"]}
    return [
        *(["on the fold"] if spot.placed.part.on_fold else []),
        *(["cut singly"] if cut_singly(lay, spot.placed) else []),
        *(["turned over"] if spot.turned_over else []),
        *lies[spot.lies],
    ]


def tell_short(lay: Lay, spot: Spot) -> str:
    """Return what the key says of a piece whose words found no room: its name, which of several, how it lies."""
    return ", ".join([spot.name, *notes_of(lay, spot)])


def label_blocks(lay: Lay, spot: Spot, size: float, full: bool) -> list[tuple[Block, Over, bool]]:
    """Return a piece's words from the fullest to its number alone: (block, how it stands to the grain
    line, says all)."""
    name, number = spot.called, str(spot.number)
    found: list[tuple[Block, Over, bool]] = []
    if full:
        which = [f"{spot.placed.part.copy} of {spot.of}"] if spot.of > 1 else []
        rest = tuple((each, False) for each in (*which, *notes_of(lay, spot)))
        words = name.split() or [name]
        first, *others = words
        headed = ((f"{number}  {name}", True), *rest)
        stacked = ((f"{number}  {first}", True), *((each, True) for each in others), *rest)
        lower = ((number, True), *((each, True) for each in words), *rest)
        joined = (
            ((f"{number}  {name}", True), (", ".join(text for text, _ in rest), False)) if len(rest) > 1 else headed
        )
        one = ((", ".join([f"{number}  {name}", *(text for text, _ in rest)]), True),)
        every = (headed, joined, stacked, one, lower)
        for scale in (1.25, 1.0, 0.85, 0.75):
            for over in OVER[:2]:
                fit = (headed, joined, stacked, lower) if scale > 1.0 else every
                found += [(Block(lines, size * scale), over, True) for lines in fit]
        found += [(Block(lines, size * scale), "over", True) for scale in (1.0, 0.75) for lines in every]
        named = (((f"{number}  {name}", True),), tuple((each, True) for each in (f"{number}  {first}", *others)))
        found += [(Block(lines, size * 0.75), over, not rest) for over in OVER for lines in named]
    for scale in (1.1, 0.85, 0.75):
        found += [(Block(((number, True),), size * scale), over, False) for over in OVER]
    return found


def bare_blocks(spot: Spot, size: float) -> list[Block]:
    """Return the number of a piece too small to hold it beside its grain line."""
    return [Block(((str(spot.number), True),), size * scale) for scale in (0.85, 0.75, 0.65)]
