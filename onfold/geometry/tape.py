"""The tape laid along a path: its stretches and joints in mm, one path at a time or many in one batch."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from onfold.geometry import curve
from onfold.geometry.curve import Bools, Floats


@dataclass(frozen=True)
class Tape:
    """A path's measured stretches in order, as plain lists for quick looking up.

    Stretch k is t from `begin[k]` to `finish[k]` of curve `owner[k]`; it starts `starts[k]` mm along the path.
    `joints` are the mm at which each curve starts, and the whole length last.
    """

    owner: list[int]
    begin: list[float]
    finish: list[float]
    starts: list[float]
    joints: list[float]


def tape_of(curves: Floats, straight: Bools) -> Tape:
    """Return the tape of a path of these cubics (n, 4, 2), of which `straight` (n,) are true lines."""
    count = len(curves)
    if count == 1 and straight[0]:
        return _of_line(curves)
    if straight.all():
        return _laid(list(range(count)), [0.0] * count, [1.0] * count, curve.chords(curves).tolist())
    leaves = curve.measure(curves, straight)
    return _laid(leaves.owner.tolist(), leaves.begin.tolist(), leaves.finish.tolist(), leaves.length.tolist())


def _of_line(curves: Floats) -> Tape:
    (ax, ay), _, _, (bx, by) = curves[0].tolist()
    return Tape([0], [0.0], [1.0], [0.0], [0.0, math.hypot(bx - ax, by - ay)])


def tapes_of(paths: Sequence[tuple[Floats, Bools]]) -> list[Tape]:
    """Return `tape_of` many paths, measured in one batch: to the bit what each gives alone."""
    if len(paths) < 2:
        return [tape_of(*each) for each in paths]
    counts = [len(curves) for curves, _ in paths]
    leaves = curve.measure(np.concatenate([each for each, _ in paths]), np.concatenate([each for _, each in paths]))
    columns = [each.tolist() for each in (leaves.owner, leaves.begin, leaves.finish, leaves.length)]
    firsts = np.cumsum([0, *counts])
    stops = np.searchsorted(leaves.owner, firsts).tolist()
    # past that a measure is broken off, sooner in a small batch
    if any(
        end - begin >= curve.MOST_ROUGH * count for begin, end, count in zip(stops, stops[1:], counts, strict=False)
    ):
        return [tape_of(*each) for each in paths]
    tapes = []
    for first, begin, end in zip(firsts.tolist(), stops, stops[1:], strict=False):
        owner, *rest = (each[begin:end] for each in columns)
        tapes.append(_laid([each - first for each in owner], *rest))
    # two ways to a hypotenuse may differ in the last bit
    return [
        _of_line(curves) if len(curves) == 1 and straight[0] else tape
        for (curves, straight), tape in zip(paths, tapes, strict=True)
    ]


def _laid(owner: list[int], begin: list[float], finish: list[float], sizes: list[float]) -> Tape:
    starts, joints, run, last = [], [], 0.0, -1
    for each, size in zip(owner, sizes, strict=True):
        if each != last:
            joints.append(run)
            last = each
        starts.append(run)
        run += size
    joints.append(run)
    return Tape(owner, begin, finish, starts, joints)
