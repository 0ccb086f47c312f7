"""The breadths and depths of a trunk that no tape takes: `form_sections.csv`, read and used.

Each is a log-linear relation to height, bust, waist and hip, fitted to the 1988 survey by `scripts/fit_bodies.py`
(Gordon et al. 1989). A child is read as a grown woman of its own proportions, which is common practice for a stand
and no survey's [C]. `superellipse` is the horizontal section they shape.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from itertools import pairwise
from math import hypot

import numpy as np
from numpy.typing import NDArray

from onfold.body.measures import Figure

Array = NDArray[np.float64]

ROUNDEST, SQUAREST = 1.8, 3.6
"""The exponents a section of a trunk may have: 2 is an ellipse. Beyond them breadth and depth give way to the girth."""

_GROWN = 1629.0
"""Mean height (mm) of the surveyed women: the size at which a child's proportions are read."""

_TURN = np.linspace(0.0, 2.0 * np.pi, 145)


@lru_cache(maxsize=2)
def _relations(figure: Figure) -> dict[str, tuple[Array, float]]:
    text = files("onfold.body").joinpath("form_sections.csv").read_text(encoding="utf-8")
    rows = list(csv.reader(line for line in text.splitlines() if line and not line.startswith("#")))[1:]
    return {row[1]: (np.array([float(cell) for cell in row[2:7]]), float(row[7])) for row in rows if row[0] == figure}


def parts_of(figure: Figure, height: float, bust: float, waist: float, hip: float) -> dict[str, float]:
    """Return the relations' central value of each part, mm, for a body of these four (mm, all above 0)."""
    grown = _GROWN / height if figure == "child" else 1.0
    given = np.array([1.0, *np.log(grown * np.array([height, bust, waist, hip]))])
    relations = _relations("man" if figure == "man" else "woman")
    return {part: float(np.exp(shares @ given)) / grown for part, (shares, _) in relations.items()}


def spread_of(figure: Figure, part: str) -> float:
    """Return the standard deviation of what a relation leaves, as a share of the part."""
    return _relations("man" if figure == "man" else "woman")[part][1]


def superellipse(angle: Array, breadth: Array | float, depth: Array | float, exponent: Array | float) -> Array:
    """Return the radius, mm, at `angle` from straight ahead of |x / half breadth|^n + |z / half depth|^n = 1."""
    across = np.abs(np.sin(angle)) / breadth
    along = np.abs(np.cos(angle)) / depth
    radius: Array = (across**exponent + along**exponent) ** (-1.0 / exponent)
    return radius


@dataclass(frozen=True)
class Mounds:
    """The bust's two mounds in plan: how far they stand out at their points (mm), and where those lie.

    `angle` and `reach` (mm) are the points' place about the middle of the ribs; `inward`, `outward` the mounds' widths
    to either side of it, mm.
    """

    out: float
    angle: float
    reach: float
    inward: float
    outward: float


def mounds_of(breadth: float, depth: float, exponent: float, mound: float, span: float) -> Mounds:
    """Return the mounds that bring ribs `depth - mound` deep to the whole `depth` (mm), their points `span` apart.

    Inward they run into one another, so that the tape bridges a shallow hollow; outward they end before the side [C].
    """
    ribs, x = (depth - mound) / 2.0, span / 2.0
    angle, reach = float(np.arctan2(x, ribs + mound)), float(np.hypot(x, ribs + mound))
    bare = float(superellipse(np.array(angle), breadth / 2.0, ribs, exponent))
    return Mounds(max(reach - bare, 0.0), angle, reach, 0.75 * x, 0.42 * x + 0.3 * mound)


def mounds_at(mounds: Mounds, angle: Array) -> Array:
    """Return how far, mm, the mounds stand out of the ribs at each angle from straight ahead, at the bust's level."""
    found = np.zeros_like(angle)
    for away in (mounds.reach * (np.abs(angle) - mounds.angle), mounds.reach * (-np.abs(angle) - mounds.angle)):
        width = np.where(away > 0.0, mounds.outward, mounds.inward)
        found = found + np.exp(-0.5 * (away / width) ** 2)
    ahead = np.clip(np.cos(angle) / 0.4, 0.0, 1.0)
    shown: Array = mounds.out * found * ahead * ahead * (3.0 - 2.0 * ahead)
    return shown


def round_of(breadth: float, depth: float, exponent: float, mound: float = 0.0, span: float = 0.0) -> float:
    """Return the taut girth, mm, of the superellipse of these whole breadth and depth, with the bust's mounds on it."""
    radius = superellipse(_TURN, breadth / 2.0, (depth - mound) / 2.0, exponent)
    if mound > 0.0:
        radius = radius + mounds_at(mounds_of(breadth, depth, exponent, mound, span), _TURN)
    ring = np.stack([radius * np.sin(_TURN), radius * np.cos(_TURN)], axis=1)
    return hull_round(ring) if mound > 0.0 else float(np.linalg.norm(np.diff(ring, axis=0), axis=1).sum())


def fitted_section(
    breadth: float, depth: float, girth: float, mound: float = 0.0, span: float = 0.0
) -> tuple[float, float, float]:
    """Return breadth, depth and exponent of the section of this girth that has the wanted sizes or comes nearest.

    The exponent is held between the roundest and the squarest, the depth between 0.5 and 1.05 of the breadth, as any
    trunk's is [C].
    """
    depth = min(max(depth, 0.5 * breadth), 1.05 * breadth)
    low, high = ROUNDEST, SQUAREST
    for _ in range(14):
        middle = (low + high) / 2.0
        fuller = round_of(breadth, depth, middle, mound, span) >= girth
        low, high = (low, middle) if fuller else (middle, high)
    exponent = (low + high) / 2.0
    grown = girth / round_of(breadth, depth, exponent, mound, span)
    return breadth * grown, depth * grown, exponent


def hull_round(points: Array) -> float:
    """Return the perimeter, mm, of the convex hull of points (n, 2): how a taut tape lies. 0 for fewer than two."""
    ordered = points[np.lexsort((points[:, 1], points[:, 0]))].tolist()
    if len(ordered) < 2:
        return 0.0
    return sum(taut_length(run) for run in (ordered, ordered[::-1]))


def taut_length(run: list[list[float]]) -> float:
    """Return the length of a thread laid along a run of points and pulled taut on the run's right-hand side."""
    chain: list[list[float]] = []
    for point in run:
        while len(chain) > 1 and (
            (chain[-1][0] - chain[-2][0]) * (point[1] - chain[-2][1])
            - (chain[-1][1] - chain[-2][1]) * (point[0] - chain[-2][0])
            <= 0.0
        ):
            chain.pop()
        chain.append(point)
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(chain))
