"""Slash and spread, slash and overlap: parts of a piece turned about hinges on one of its edges.

The hinged edge runs upward, the centre edge downward (an anticlockwise outline, its centre on the left). Slash k goes
from its hinge to its foot on the centre edge; the lowest comes first, and everything above it turns as one, so that
later parts carry the earlier turns. A turn is z -> a z + b in the complex plane, |a| = 1.
"""

from __future__ import annotations

from cmath import exp
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import asin

import numpy as np

from onfold.geometry.path import Path, at, cut, end, joined, length, line, meetings, part, start
from onfold.geometry.point import Point, direction, distance

Turn = tuple[complex, complex]
STILL: Turn = (1 + 0j, 0j)


@dataclass(frozen=True, eq=False)
class Swung:
    """The edges after swinging, the turn of every part (lowest first) and where the hinged edge has corners, mm."""

    hinged: Path
    above: tuple[Path, ...]
    centre: Path
    turns: tuple[Turn, ...]
    corners: tuple[float, ...]


def about(hinge: Point, angle: float) -> Turn:
    """Return the turn about a hinge by an angle in radians, anticlockwise."""
    turn, centre = exp(1j * angle), complex(*hinge)
    return turn, centre - turn * centre


def after(first: Turn, second: Turn) -> Turn:
    """Return the turn that does `second`, then `first`."""
    return first[0] * second[0], first[0] * second[1] + first[1]


def swing_point(p: Point, turn: Turn) -> Point:
    """Return a point after a turn."""
    z = turn[0] * complex(*p) + turn[1]
    return z.real, z.imag


def swing_path(path: Path, turn: Turn) -> Path:
    """Return a path after a turn."""
    if turn == STILL:
        return path
    z = turn[0] * (path.curves[..., 0] + 1j * path.curves[..., 1]) + turn[1]
    return Path(np.stack([z.real, z.imag], axis=-1), path.straight)


def opening_angle(width: float, opening: float) -> float | None:
    """Return the angle of a slash `width` mm long opened by a straight `opening`, or None where it cannot reach."""
    share = opening / (2.0 * width) if width > 0.0 else 2.0
    return 2.0 * asin(share) if 0.0 <= share <= 1.0 else None


def swing(
    hinged: Path,
    above: Sequence[Path],
    centre: Path,
    hinges: Sequence[float],
    feet: Sequence[float],
    angles: Sequence[float],
    taken: Sequence[float],
) -> Swung:
    """Return the edges after every part above a slash is turned about its hinge by its angle (anticlockwise).

    `hinges` are mm along the hinged edge, rising; `feet` mm along the centre edge, falling with them; `taken` is how
    much of the centre edge is lost below each foot (what an overlap covers), 0 where a slash is opened.
    """
    turns = [STILL]
    for along, angle in zip(hinges, angles, strict=True):
        turns.append(after(turns[-1], about(at(hinged, along), angle)))
    sides = [swing_path(path, turn) for path, turn in zip(cut(hinged, list(hinges)), turns, strict=True)]
    stretches = _stretches(centre, feet, taken)
    run: list[Path] = []
    for path, turn in zip(stretches, reversed(turns), strict=True):
        swung = swing_path(path, turn)
        if run and distance(end(run[-1]), start(swung)) > 1e-9:
            run.append(line(end(run[-1]), start(swung)))
        run.append(swung)
    corners, so_far = [], 0.0
    for side in sides[:-1]:
        so_far += length(side)
        corners.append(so_far)
    return Swung(
        joined(sides), tuple(swing_path(path, turns[-1]) for path in above), joined(run), tuple(turns), tuple(corners)
    )


def _stretches(centre: Path, feet: Sequence[float], taken: Sequence[float]) -> list[Path]:
    """Return the centre edge's parts from the top down, each without what the part above it covers."""
    bounds = [0.0]
    for foot, lost in zip(reversed(feet), reversed(taken), strict=True):
        bounds.extend((foot, foot + lost))
    bounds.append(length(centre))
    parts = []
    for low, high in zip(bounds[::2], bounds[1::2], strict=True):
        parts.append(part(centre, low, max(low, high)))
    return parts


def square_foot(hinge: Point, centre: Path) -> float | None:
    """Return the mm along a centre edge where the line square to it through the hinge meets it, or None.

    The centre edge is taken as straight from its start to its end.
    """
    a, b = start(centre), end(centre)
    run = distance(a, b)
    if run <= 0.0:
        return None
    ux, uy = (b[0] - a[0]) / run, (b[1] - a[1]) / run
    reach = (hinge[0] - a[0]) * ux + (hinge[1] - a[1]) * uy
    across = line(hinge, (a[0] + ux * reach, a[1] + uy * reach))
    return reach if 0.0 < reach < run and length(across) > 1e-6 and meetings(across, centre) else None


def lies_above(where: Point, hinge: Point, foot: Point) -> bool:
    """Return whether a point lies above the slash from a hinge to its foot, which runs to the left."""
    x, y = direction(hinge, foot)
    return y * (where[0] - hinge[0]) - x * (where[1] - hinge[1]) > 1e-9


def rising(values: Sequence[float]) -> bool:
    """Return whether each value is greater than the one before."""
    return all(b > a for a, b in pairwise(values))
