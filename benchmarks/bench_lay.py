"""Garment lays of the literature, laid by the same strategy as cloth opened out, against published densities.

`python -m benchmarks.bench_lay --seconds 60` prints the table of all seven; `--seed 3` begins with another seed,
`--only dagli swim` lays those alone. `python -m benchmarks` gives each 10 s, or as many as `--lay-seconds` or
`ONFOLD_BENCH_LAY_SECONDS` asks for.

Density is the pieces' area over strip width times length. Overlap is measured on the true outlines: the greatest area
that two pieces share, in the instance's own unit squared, and the greatest depth of it, the diameter of the largest
circle that fits in what they share; beside them how far a piece reaches out of the strip.
"""

from __future__ import annotations

import argparse
import json
import os
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely

from benchmarks.timing import Row
from onfold.geometry.region import area
from onfold.lay.opened import strip
from onfold.lay.part import Ring
from onfold.lay.strips import Kind, Strip

FOLDER = Path(__file__).resolve().parent.parent / "tests" / "data" / "lay"
PUBLISHED = {
    "albano": 89.47,
    "dagli": 89.26,
    "mao": 86.14,
    "marques": 90.93,
    "shirts": 89.66,
    "swim": 78.26,
    "trousers": 91.73,
}
"""Mean density, per cent, of 20-minute runs: J. Gardeyn, G. Vanden Berghe, T. Wauters, arXiv 2509.13329, 2025 [S]."""
FULL, FULL_BAR = 60.0, 3.0
"""Seconds an instance of the whole proof, and the mean gap to the published densities it is held to, points."""
QUICK, QUICK_BAR = 10.0, 5.0
"""The same for `python -m benchmarks`, which is to end soon: 3.9 points were measured where an instance had 10 to 18 s
of CPU time, 4.5 on a busier machine."""
OVERLAP_BAR = 1e-3
"""The instance's unit squared."""
SECONDS = "ONFOLD_BENCH_LAY_SECONDS"


@dataclass(frozen=True)
class Instance:
    """A strip of that width, the kinds to lay on it and the area of them all, in the instance's own unit."""

    name: str
    width: float
    kinds: tuple[Kind, ...]
    area: float


@dataclass(frozen=True)
class Laid:
    """What was found, by which run of how many: `overlap` is area, depth, reach out of the strip."""

    name: str
    seconds: float
    cpu: float
    density: float
    overlap: tuple[float, float, float]
    run: int
    runs: int

    @property
    def gap(self) -> float:
        """Return by how many points it stays below what is published."""
        return PUBLISHED[self.name] - self.density


def instance(name: str) -> Instance:
    """Return the published instance of that name."""
    data = json.loads((FOLDER / f"{name}.json").read_text("utf-8"))
    rings = [np.array(item["shape"]["data"], dtype=np.float64) for item in data["items"]]
    kinds = tuple(
        Kind(((ring, tuple(item["allowed_orientations"])),), item["demand"])
        for ring, item in zip(rings, data["items"], strict=True)
    )
    whole = sum(abs(area(ring)) * kind.count for ring, kind in zip(rings, kinds, strict=True))
    return Instance(name, float(data["strip_height"]), kinds, whole)


def overlap(rings: Sequence[Ring], length: float, width: float) -> tuple[float, float, float]:
    """Return the greatest area that two rings share, its greatest depth, and the reach out of the strip."""
    polygons = shapely.polygons([shapely.linearrings(ring) for ring in rings])
    first, second = shapely.STRtree(polygons).query(polygons, predicate="intersects")
    shared = shapely.intersection(polygons[first[first < second]], polygons[second[first < second]])
    shared = shared[shapely.area(shared) > 0.0]
    deepest = max((2.0 * shapely.length(shapely.maximum_inscribed_circle(each)) for each in shared), default=0.0)
    points = np.concatenate(rings)
    low, high = points.min(axis=0), points.max(axis=0)
    reach = max(0.0, -float(low.min()), float(high[0]) - length, float(high[1]) - width)
    return float(shapely.area(shared).max(initial=0.0)), float(deepest), reach


def lay(name: str, seconds: float, seed: int = 0) -> Laid:
    """Lay one instance; raises RuntimeError where nothing was found or pieces are missing."""
    given = instance(name)
    begun, spent = time.monotonic(), time.process_time()
    found: Strip | None = strip(given.kinds, given.width, seconds=seconds, seed=seed)
    taken, spent = time.monotonic() - begun, time.process_time() - spent
    if found is None or len(found.spots) != sum(kind.count for kind in given.kinds):
        raise RuntimeError(f"{name}: no whole strip was found in {seconds} s")
    for at, kind in enumerate(given.kinds):
        there = [spot.turn for spot in found.spots if spot.kind == at]
        if len(there) != kind.count or not set(there) <= set(kind.faces[0][1]):
            raise RuntimeError(f"{name}: kind {at} is not laid as it may be")
    rings = [spot.ring_of(given.kinds) for spot in found.spots]
    length = max(float(ring[:, 0].max()) for ring in rings)
    density = 100.0 * given.area / (length * given.width)
    return Laid(name, taken, spent, density, overlap(rings, length, given.width), found.run, found.runs)


def laid(seconds: float, seed: int = 0, names: Sequence[str] = tuple(PUBLISHED)) -> list[Laid]:
    """Return what was found for each instance."""
    return [lay(name, seconds, seed) for name in names]


def asked() -> float:
    """Return how many seconds an instance was asked for: by `--lay-seconds`, else by the environment, else few."""
    parser = argparse.ArgumentParser(add_help=False)
    parser.add_argument("--lay-seconds", type=float, default=float(os.environ.get(SECONDS, QUICK)))
    return float(parser.parse_known_args()[0].lay_seconds)


def rows() -> list[Row]:
    """Return the rows of the mean gap to what is published and of the greatest overlap."""
    seconds = asked()
    found = laid(seconds)
    gap = sum(each.gap for each in found) / len(found)
    bar = FULL_BAR if seconds >= FULL else QUICK_BAR
    most = max(each.overlap[0] for each in found)
    worst = max(found, key=lambda each: each.gap)
    return [
        Row(
            f"{len(found)} garment lays, {seconds:.0f} s each: mean gap to published 20 minutes",
            f"{bar:.1f} points",
            f"{gap:.2f} points",
            gap <= bar,
            f"widest: {worst.name} {worst.density:.2f} of {PUBLISHED[worst.name]} %",
        ),
        Row("greatest overlap in them, area", f"{OVERLAP_BAR} unit²", f"{most:.1e} unit²", most <= OVERLAP_BAR),
    ]


def table(found: Sequence[Laid]) -> str:
    """Return what was found in columns."""
    head = ("instance", "seconds", "CPU s", "density", "published", "gap", "overlap area, depth, reach", "run", "runs")
    wide = (10, 8, 8, 9, 11, 7, 30, 5, 6)
    lines = [head[0].ljust(wide[0]) + "".join(word.rjust(w) for word, w in zip(head[1:], wide[1:], strict=True))]
    for each in found:
        measured = ", ".join(f"{value:.1e}" for value in each.overlap)
        lines.append(
            f"{each.name:10}{each.seconds:8.1f}{each.cpu:8.1f}{each.density:9.2f}{PUBLISHED[each.name]:11.2f}{each.gap:7.2f}"
            f"{measured:>30}{each.run:5}{each.runs:6}"
        )
    lines.append(f"{'mean gap':46}{sum(each.gap for each in found) / len(found):7.2f}")
    return "\n".join(lines)


def main() -> None:
    """Print the table, and the load of the machine before and after."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--seconds", type=float, default=FULL)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--only", nargs="+", choices=tuple(PUBLISHED), default=tuple(PUBLISHED))
    given = parser.parse_args()
    before = os.getloadavg()[0]
    found = laid(given.seconds, given.seed, given.only)
    print(table(found))
    print(f"load {before:.1f} before, {os.getloadavg()[0]:.1f} after, {os.cpu_count()} cores")


if __name__ == "__main__":
    main()
