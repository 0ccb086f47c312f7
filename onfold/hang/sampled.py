"""Where each line of the pattern is sampled, so that the points of a seam's two sides meet one to one."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from onfold.geometry.path import length, points_along
from onfold.hang.flat import Size
from onfold.hang.net import Floats
from onfold.hang.parts import Join, Key, Parts

SAME = 1e-6


class Samples:
    """mm along of every line's samples by key, and for each join the samples that meet, in order."""

    def __init__(self, parts: Parts, size: Size, forced: dict[Key, set[float]]) -> None:
        self.parts, self.size = parts, size
        self.along: dict[Key, Floats] = {}
        self.forced = {key: set(each) for key, each in parts.forced.items()}
        for key, more in forced.items():
            self.forced.setdefault(key, set()).update(more)
        for join in parts.joins:
            if join.kind == "turned in":
                self._pass_on(join)
        for join in parts.joins:
            self._sample(join)
        for key in parts.paths:
            if key not in self.along:
                self.along[key] = self._own(key)

    def meeting(self, join: Join) -> list[tuple[tuple[Key, str, float], tuple[Key, str, float]]]:
        """Return the pairs of samples (key, copy, mm along) that a join brings together."""
        first, second = self._walked(join.first), self._walked(join.second)
        out = []
        at = [s for _, s in second]
        for spot, mm in first:
            goal = float(np.interp(mm, join.pairs[:, 0], join.pairs[:, 1]))
            if mm > join.pairs[-1, 0] + SAME:
                break
            k = int(np.argmin(np.abs(np.array(at) - goal)))
            if abs(at[k] - goal) < 0.5:
                out.append((spot, second[k][0]))
        return out

    def _walked(self, side: Sequence[tuple[Key, str, bool]]) -> list[tuple[tuple[Key, str, float], float]]:
        out, so_far = [], 0.0
        for key, copy, back in side:
            whole = length(self.parts.paths[key])
            along = self.along[key]
            order = along[::-1] if back else along
            out += [((key, copy, float(mm)), so_far + (whole - mm if back else mm)) for mm in order]
            so_far += whole
        return out

    def _breaks(self, side: Sequence[tuple[Key, str, bool]]) -> list[float]:
        """Every place along a side that must be sampled: ends of lines, forced places, samples it has already."""
        out, so_far = [], 0.0
        for key, _, back in side:
            whole = length(self.parts.paths[key])
            own = set(self.forced.get(key, set())) | {0.0, whole}
            if key in self.along:
                own |= set(self.along[key].tolist())
            out += [so_far + (whole - mm if back else mm) for mm in own]
            so_far += whole
        return out

    def _pass_on(self, join: Join) -> None:
        """What is forced on an edge is forced on the side that is turned onto it, and the other way round."""
        for a, b in ((0, 1), (1, 0)):
            (key, _, back), (other, _, other_back) = (join.first, join.second)[a][0], (join.first, join.second)[b][0]
            whole, own = length(self.parts.paths[key]), length(self.parts.paths[other])
            reach = float(join.pairs[-1, 0])
            places = self.forced.get(key, set()) | {whole - reach if back else reach}
            for mm in places:
                walked = whole - mm if back else mm
                if walked <= reach + SAME:
                    self.forced.setdefault(other, set()).add(own - walked if other_back else walked)

    def _sample(self, join: Join) -> None:
        reach = join.pairs[-1]
        if join.kind == "turned in" and all(side[0][0] in self.along for side in (join.first, join.second)):
            return
        places = [mm for mm in self._breaks(join.first) if mm <= reach[0] + SAME]
        back_pairs = join.pairs[:, ::-1]
        places += [
            float(np.interp(mm, back_pairs[:, 0], back_pairs[:, 1]))
            for mm in self._breaks(join.second)
            if mm <= reach[1] + SAME
        ]
        places += join.pairs[:, 0].tolist()
        marks = _apart(sorted(places))
        ready = all(key in self.along for key, _, _ in join.first) or all(
            key in self.along for key, _, _ in join.second
        )
        spots = marks if ready else self._filled(join.first, marks)
        self._give(join.first, np.array(spots), reach[0])
        self._give(join.second, np.interp(spots, join.pairs[:, 0], join.pairs[:, 1]), reach[1])

    def _filled(self, side: Sequence[tuple[Key, str, bool]], marks: list[float]) -> list[float]:
        spots = [marks[0]]
        for a, b in pairwise(marks):
            fine = np.linspace(a, b, max(5, int((b - a) / 2.0)))
            spots += [*_graded(fine, self._density(side, fine)), b]
        return spots

    def _density(self, side: Sequence[tuple[Key, str, bool]], fine: Floats) -> Floats:
        """Return how many points a mm are wanted at places (k,) along a side."""
        out, so_far = np.ones(len(fine)), 0.0
        for n, (key, _, back) in enumerate(side):
            whole = length(self.parts.paths[key])
            last = n == len(side) - 1
            mine = (fine >= so_far - SAME) & ((fine <= so_far + whole) | last)
            mm = np.clip(fine[mine] - so_far, 0.0, whole)
            out[mine] = 1.0 / self.size(points_along(self.parts.paths[key], whole - mm if back else mm))
            so_far += whole
        return out

    def _give(self, side: Sequence[tuple[Key, str, bool]], spots: Floats, reach: float) -> None:
        so_far = 0.0
        for key, _, back in side:
            whole = length(self.parts.paths[key])
            inside = spots[(spots >= so_far - SAME) & (spots <= so_far + whole + SAME)] - so_far
            along = np.sort(whole - inside if back else inside)
            if so_far + whole > reach + SAME:
                rest = self._own(key)
                far = whole - reach + so_far if back else reach - so_far
                along = np.concatenate([along, rest[rest < far - SAME] if back else rest[rest > far + SAME]])
            if key not in self.along:
                self.along[key] = np.array(_apart(sorted({0.0, whole, *along.tolist()})))
            so_far += whole

    def _own(self, key: Key) -> Floats:
        whole = length(self.parts.paths[key])
        marks = _apart(sorted({0.0, whole, *(mm for mm in self.forced.get(key, set()) if 0.0 <= mm <= whole)}))
        return np.array(self._filled(((key, "drawn", False),), marks))


def _graded(fine: Floats, density: Floats) -> list[float]:
    """Return the places between the first and the last of `fine` that share the density out evenly."""
    total = np.concatenate([[0.0], np.cumsum(0.5 * (density[1:] + density[:-1]) * np.diff(fine))])
    count = max(1, round(float(total[-1])))
    return [float(each) for each in np.interp(np.arange(1, count) * total[-1] / count, total, fine)]


def _apart(places: list[float]) -> list[float]:
    out: list[float] = []
    for each in places:
        if not out or each - out[-1] > 1e-3:
            out.append(each)
    return out
