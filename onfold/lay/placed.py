"""A lay: every part in its place on the bed, how long that is, and whether it is what it says it is.

`faults_of` is the one judge: a plain function over rings that knows nothing of how a lay was found. A lay with faults
is never shown.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from onfold.geometry.region import area, overlaps
from onfold.lay.bed import Band, Bed
from onfold.lay.part import Part, Ring, Way

OVERLAP = 1.0
"""mm2 that two pieces may share: what remains of rounding along a touching edge of a metre."""
SLACK = 1e-3
"""mm by which a piece may lie beyond its band, or off its fold."""


@dataclass(frozen=True, eq=False)
class Placed:
    """A part laid in one of its ways, its frame's origin at (x, y), mm, in the band of that number."""

    part: Part
    way: Way
    x: float
    y: float
    band: int

    @property
    def ring(self) -> Ring:
        """Return its cut line on the cloth as it lies, (n, 2) mm."""
        return self.part.ring @ self.way.matrix.T + (self.x, self.y)


@dataclass(frozen=True, eq=False)
class Lay:
    """Parts on a bed. `kept_off` are flaws and missing corners, closed rings; `end` a length that may not be passed.

    `how` says in a word what found it (`search` or the library's name), `seed` and `trials` what to repeat it with.
    """

    bed: Bed
    placed: tuple[Placed, ...]
    kept_off: tuple[Ring, ...] = ()
    end: float | None = None
    how: str = "search"
    seed: int = 0
    trials: int = 0
    rings: tuple[Ring, ...] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "rings", tuple(each.ring for each in self.placed))

    @property
    def lies(self) -> float:
        """Return its length as it lies, mm."""
        return max((float(ring[:, 0].max()) for ring in self.rings), default=0.0)

    @property
    def length(self) -> float:
        """Return how much cloth it takes, mm along the cloth after shrinking."""
        return self.lies * self.bed.times

    @property
    def density(self) -> float:
        """Return the share of the cloth, selvages included, that goes into pieces."""
        used = sum(
            abs(area(ring)) * (2.0 if each.part.on_fold else each.part.gives)
            for ring, each in zip(self.rings, self.placed, strict=True)
        )
        return used / (self.length * self.bed.width) if self.length > 0.0 else 0.0


def faults_of(lay: Lay, wanted: Sequence[Part]) -> list[str]:
    """Return in plain words what is wrong with a lay that should hold these parts; empty where nothing is.

    Inside its band and the cloth, apart from each other and from flaws, on the fold, lying as allowed, each as often
    as wanted.
    """
    faults = [
        *(f"{each.part.name} {each.part.copy}: {said}" for each in lay.placed for said in _faults_of_one(lay, each)),
        *(
            f"{lay.placed[i].part.name} {lay.placed[i].part.copy} and {lay.placed[j].part.name} "
            f"{lay.placed[j].part.copy} overlap by {shared:.1f} mm2"
            for i, j, shared in overlaps(lay.rings, OVERLAP)
        ),
    ]
    count = len(lay.rings)
    together = (*lay.rings, *lay.kept_off)
    faults += [
        f"{lay.placed[i].part.name} {lay.placed[i].part.copy} lies on a flaw"
        for i, j, _ in overlaps(together, OVERLAP)
        if i < count <= j
    ]
    asked, there = Counter(map(id, wanted)), Counter(id(each.part) for each in lay.placed)
    if asked != there:
        faults.append(f"{sum(asked.values())} parts are wanted, {sum((asked & there).values())} of them are laid")
    return faults


def _faults_of_one(lay: Lay, each: Placed) -> list[str]:
    ring, faults = each.ring, []
    if each.way not in each.part.ways:
        faults.append("lies in a way that its grain or the nap doesn't allow")
    if not 0 <= each.band < len(lay.bed.bands):
        return [*faults, "lies in no band of the cloth"]
    band = lay.bed.bands[each.band]
    low, high = ring.min(axis=0), ring.max(axis=0)
    if low[1] < band.low - SLACK or high[1] > band.high + SLACK:
        faults.append("lies beyond the cloth that may be used")
    if low[0] < -SLACK or (lay.end is not None and high[0] > lay.end + SLACK):
        faults.append("lies beyond the end of the cloth")
    if each.part.on_fold and not _on_its_fold(each, band):
        faults.append("doesn't lie on the fold")
    return faults


def _on_its_fold(each: Placed, band: Band) -> bool:
    """Return whether the part's fold, x = 0 in its frame, lies on a fold of the band and its cloth inside."""
    line = np.array(((0.0, 0.0), (0.0, 1.0))) @ each.way.matrix.T + (each.x, each.y)
    inward = float((np.array((1.0, 0.0)) @ each.way.matrix.T)[1])
    at = [band.high] * (band.fold_high and inward < 0.0) + [band.low] * (band.fold_low and inward > 0.0)
    return any(float(np.abs(line[:, 1] - y).max()) <= SLACK for y in at)
