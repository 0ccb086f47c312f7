"""Where a part may lie beside what lies already: the ways it may stand in each band, and the best free place there.

Lengths are mm of the cloth as it lies; what is handed to `nofit` is counted in its units.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

import numpy as np

from onfold.geometry.point import Point
from onfold.lay.bed import Band, Bed
from onfold.lay.nofit import (
    GIVE,
    UNIT,
    Box,
    Paths,
    blocked_along,
    free,
    gaps,
    in_units,
    no_fit,
    outline,
    simplified,
    united,
)
from onfold.lay.part import Part, Ring, Way
from onfold.lay.placed import SLACK, Placed

Anchor = tuple[Point, Point]
Lean = Literal["either side", "far side", "near side", "slanting far", "slanting near"]
LEANS: tuple[Lean, ...] = ("either side", "far side", "near side", "slanting far", "slanting near")
_SLANT = 0.35
"""mm across the cloth that a slanting lean counts as much as 1 mm along it."""
_LEVEL = 32
"""Units within which places count as equally far along the cloth: 0.001 mm."""
_SOONER = 0.01
"""mm by which a fold is sooner chosen than an edge as near."""
_ROUNDING = 2.0
"""Units by which rounding may spoil a tight fit."""
_ON = 1e-7
"""mm within which an anchor stands on the repeat."""
_ALIKE = 0.05
"""mm within which outlines are alike."""


@dataclass(frozen=True)
class Repeat:
    """A stripe or check: the cloth's repeat along x and across y, mm (0: none), and what stands on it.

    `anchors` gives for the index of a part the point of its frame that must stand on the repeat, and the phases
    (px, py), mm, at which it does: (anchor on the cloth).x is px modulo `along`, .y is py modulo `across`. Mirrored
    phases of parts that lie face down are the caller's affair.
    """

    along: float
    across: float
    anchors: Mapping[int, Anchor]


@dataclass(frozen=True, eq=False)
class Stand:
    """A part in one way in one band. `left` to `right` are its bounds along x about its frame's origin, mm.

    The origin's y may be `first` to `last`, or one of `lines` only; its x one of `step` only, (a place, the repeat).
    `number` is that of its outline, `width` how much of the band it takes up.
    """

    number: int
    way: Way
    band: int
    left: float
    right: float
    first: float
    last: float
    lines: tuple[float, ...] | None
    step: tuple[float, float] | None
    width: float


class Spot(NamedTuple):
    """A stand in its place (x, y), mm, and the same in units; `end` is how far along the cloth it reaches, mm."""

    stand: Stand
    x: float
    y: float
    units: tuple[int, int]
    end: float


@dataclass
class Ground:
    """The bed with all that may not be lain on, and what has been found out about the parts to be laid on it.

    `give` is by how many units outlines are made smaller. `kinds` gives for each part the first that is the same to
    lay; `stands` for each kind how it may stand.
    """

    parts: Sequence[Part]
    bed: Bed
    kept_off: Sequence[Ring] = ()
    end: float | None = None
    repeat: Repeat | None = None
    give: int = GIVE
    kinds: list[int] = field(init=False)
    stands: dict[int, tuple[Stand, ...]] = field(init=False)
    _outlines: list[Paths] = field(init=False)
    _pairs: dict[tuple[int, int], tuple[Paths, Box]] = field(init=False, default_factory=dict)
    _every: dict[tuple[int, Way, int], Stand] = field(init=False, default_factory=dict)
    _far: float = field(init=False, default=0.0)
    _flaws: int = field(init=False, default=0)

    def __post_init__(self) -> None:
        flaws = [in_units(ring) for ring in self.kept_off if len(ring) > 2 and np.isfinite(ring).all()]
        self._far = max((float(ring[:, 0].max()) / UNIT for ring in flaws), default=0.0)
        # a flaw's outline stands first, at its own place on the cloth
        self._outlines = [[path] for path in united(flaws)]
        self._flaws = len(self._outlines)
        self.kinds, self.stands = [], {}
        known: dict[object, int] = {}
        for index, part in enumerate(self.parts):
            anchor = None if self.repeat is None else self.repeat.anchors.get(index)
            kind = known.setdefault((part.shape, part.on_fold, anchor), index)
            self.kinds.append(kind)
            if kind == index:
                self.stands[kind] = tuple(self._stands_of(kind, part, anchor))

    def _stands_of(self, kind: int, part: Part, anchor: Anchor | None) -> list[Stand]:
        """Return how a part may stand: each way in each band wide enough; ways that look alike only once."""
        found: dict[object, Stand] = {}
        plain = simplified(part.ring)
        for way in part.ways:
            ring, paths = part.ring @ way.matrix.T, outline(plain @ way.matrix.T, self.give)
            (left, low), (right, high) = ring.min(axis=0).tolist(), ring.max(axis=0).tolist()
            if not paths or (self.end is not None and right - left > self.end + SLACK):
                continue
            number = len(self._outlines)
            self._outlines.append(paths)
            for at, band in enumerate(self.bed.bands):
                if high - low > band.room + SLACK:
                    continue
                first, last = _both(band.low - low, band.high - high)
                lines = _fold_lines(way, band, first, last) if part.on_fold else None
                step = None
                if anchor is not None and self.repeat is not None:
                    lines = _lines(lines, way, anchor, self.repeat.across, first, last)
                    step = _step(way, anchor, self.repeat.along)
                if lines == ():
                    continue
                alike = (_looks(paths), at, lines) if anchor is None else (way, at)
                stand = Stand(number, way, at, left, right, first, last, lines, step, high - low)
                self._every[kind, way, at] = stand
                found.setdefault(alike, stand)
        return list(found.values())

    def as_placed(self, index: int, placed: Placed) -> Spot | None:
        """Return the spot at which a part lies in a lay made elsewhere; None where it may not lie so."""
        stand = self._every.get((self.kinds[index], placed.way, placed.band))
        if stand is None or (stand.step is not None and abs(_next(stand.step, placed.x) - placed.x) > _ON):
            return None
        if stand.lines is not None and min(abs(y - placed.y) for y in stand.lines) > _ON:
            return None
        return _spot(stand, placed.x, placed.y)

    def place(self, stand: Stand, laid: Sequence[Spot], limit: float, lean: Lean = "either side") -> Spot | None:
        """Return the free place for a stand that lies least far along the cloth, None where it would pass `limit` mm.

        Of places equally far along it takes that nearest to the side it leans to, a fold before an edge; a slanting
        lean weighs both.
        """
        reach = max((spot.end for spot in laid), default=0.0)
        reach = max(reach, self._far) + stand.right - stand.left + (stand.step[1] if stand.step else 0.0) + 1.0
        last = min(limit, reach) - stand.right
        if self.end is not None:
            last = min(last, max(self.end - stand.right, -stand.left))
        if last < -stand.left:
            return None
        if stand.lines is not None:
            return self._on_lines(stand, laid, last, lean)
        if stand.step is not None:
            return self._at_steps(stand, laid, last, lean)
        return self._anywhere(stand, laid, last, lean)

    def _around(self, stand: Stand, laid: Sequence[Spot]) -> Iterator[tuple[Paths, Box, int, int]]:
        """Yield the no-fit polygon of each flaw and each part laid, its bounds, and where it stands."""
        for flaw in range(self._flaws):
            yield *self._pair(flaw, stand.number), 0, 0
        for spot in laid:
            yield *self._pair(spot.stand.number, stand.number), *spot.units

    def _pair(self, fixed: int, moved: int) -> tuple[Paths, Box]:
        found = self._pairs.get((fixed, moved))
        if found is None:
            paths = no_fit(self._outlines[fixed], self._outlines[moved])
            every = np.concatenate(paths) if paths else np.zeros((1, 2), dtype=np.int64)
            (left, low), (right, high) = every.min(axis=0).tolist(), every.max(axis=0).tolist()
            found = self._pairs[fixed, moved] = (paths, (left, low, right, high))
        return found

    def _anywhere(self, stand: Stand, laid: Sequence[Spot], last: float, lean: Lean) -> Spot | None:
        left, right = _whole(-stand.left, last)
        low, high = _whole(stand.first, stand.last)
        blocked: Paths = []
        for paths, box, x, y in self._around(stand, laid):
            if box[0] + x < right and box[2] + x > left and box[1] + y < high and box[3] + y > low:
                blocked += [path + np.array((x, y)) for path in paths]
        corners = free((left, low, right, high), blocked)
        if not len(corners):
            return None
        ahead, across = corners[:, 0], corners[:, 1]
        if lean == "slanting far":
            best = int(np.argmin(ahead - _SLANT * across))
        elif lean == "slanting near":
            best = int(np.argmin(ahead + _SLANT * across))
        else:
            level = np.flatnonzero(ahead <= ahead.min() + _LEVEL)
            best = int(level[np.argmin([self._off(stand, each / UNIT, lean) for each in across[level].tolist()])])
        return _spot(stand, float(ahead[best]) / UNIT, float(across[best]) / UNIT)

    def _on_lines(self, stand: Stand, laid: Sequence[Spot], last: float, lean: Lean) -> Spot | None:
        """Return the best place on the lines that the stand's origin is bound to."""
        found: list[Spot] = []
        around = list(self._around(stand, laid))
        for y in stand.lines or ():
            level = round(y * UNIT)
            taken = [
                (start + x, stop + x)
                for paths, box, x, up in around
                if box[1] + up < level < box[3] + up
                for start, stop in blocked_along(paths, level - up, 0)
            ]
            for start, stop in gaps(taken, -stand.left * UNIT, last * UNIT):
                at = start / UNIT if stand.step is None else _next(stand.step, start / UNIT)
                if at * UNIT <= stop + _ROUNDING:
                    found.append(_spot(stand, at, y))
                    break
        return min(found, key=lambda spot: (round(spot.x, 3), self._off(stand, spot.y, lean)), default=None)

    def _at_steps(self, stand: Stand, laid: Sequence[Spot], last: float, lean: Lean) -> Spot | None:
        """Return the best place at the x that the stand's origin is bound to."""
        around = list(self._around(stand, laid))
        assert stand.step is not None
        first, along = stand.step
        x = _next(stand.step, -stand.left)
        while x <= last + _ROUNDING / UNIT:
            level = round(x * UNIT)
            taken = [
                (start + y, stop + y)
                for paths, box, over, y in around
                if box[0] + over < level < box[2] + over
                for start, stop in blocked_along(paths, level - over, 1)
            ]
            ends = [end / UNIT for gap in gaps(taken, stand.first * UNIT, stand.last * UNIT) for end in gap]
            if ends:
                return _spot(stand, x, min(ends, key=lambda y: self._off(stand, y, lean)))
            x = first + (round((x - first) / along) + 1) * along
        return None

    def _off(self, stand: Stand, y: float, lean: Lean) -> float:
        """Return how far, mm, a stand lies from the side of its band that it leans to."""
        band = self.bed.bands[stand.band]
        far, near = stand.last - y, y - stand.first
        if lean in ("far side", "slanting far"):
            return far
        if lean in ("near side", "slanting near"):
            return near
        return min(far - _SOONER * band.fold_high, near - _SOONER * band.fold_low)


def _spot(stand: Stand, x: float, y: float) -> Spot:
    return Spot(stand, x, y, (round(x * UNIT), round(y * UNIT)), x + stand.right)


def _both(first: float, last: float) -> tuple[float, float]:
    """Return a range as it is, or its middle twice where rounding has turned it about."""
    return (first, last) if first <= last else ((first + last) / 2.0,) * 2


def _whole(first: float, last: float) -> tuple[int, int]:
    """Return a range, mm, in whole units that lie in it, one unit where none do."""
    low, high = math.ceil(first * UNIT), math.floor(last * UNIT)
    return (low, high) if low <= high else (low, low)


def _looks(paths: Paths) -> object:
    """Return what is equal for outlines that are alike but for where they stand."""
    least = np.concatenate(paths).min(axis=0)
    return frozenset(map(tuple, np.rint((np.concatenate(paths) - least) / (_ALIKE * UNIT)).astype(int).tolist()))


def _fold_lines(way: Way, band: Band, first: float, last: float) -> tuple[float, ...]:
    """Return the y of the band's folds that the fold of a part in this way may lie on, its cloth inside."""
    inward = float(way.matrix[1, 0])
    lines = [band.high] * (band.fold_high and inward < 0.0) + [band.low] * (band.fold_low and inward > 0.0)
    return tuple(y for y in lines if first - SLACK <= y <= last + SLACK)


def _lines(
    folds: tuple[float, ...] | None, way: Way, anchor: Anchor, across: float, first: float, last: float
) -> tuple[float, ...] | None:
    """Return the y at which a part's anchor stands on the repeat, of the fold lines if it lies on a fold."""
    if across <= 0.0:
        return folds
    base = anchor[1][1] - float((way.matrix @ np.array(anchor[0]))[1])
    if folds is not None:
        return tuple(y for y in folds if abs((y - base) - round((y - base) / across) * across) <= _ON)
    begin, stop = math.ceil((first - base - _ON) / across), math.floor((last - base + _ON) / across)
    return tuple(base + k * across for k in range(begin, stop + 1))


def _step(way: Way, anchor: Anchor, along: float) -> tuple[float, float] | None:
    """Return (an x, how often) at which a part's anchor stands on the repeat."""
    return (anchor[1][0] - float((way.matrix @ np.array(anchor[0]))[0]), along) if along > 0.0 else None


def _next(step: tuple[float, float], x: float) -> float:
    """Return the first place of a step at x or beyond it."""
    first, along = step
    return first + math.ceil((x - first - _ON) / along) * along
