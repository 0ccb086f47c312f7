"""Reading `pattern.json` as another program would: plain arithmetic on its numbers, nothing of Onfold's imported."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
from shapely import LineString, Polygon

Data = dict[str, Any]
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(24)


def piece(data: Data, name: str) -> Data:
    return next(each for each in data["pieces"] if each["name"] == name)


def edges(data: Data, piece_name: str, root: str) -> list[Data]:
    """The edge of this name, or the leaves whose parent it is, in their order round the piece."""
    found = piece(data, piece_name)["edges"]
    return [e for e in found if e["name"] == root] or [e for e in found if e["parent"] == root]


def segment_length(segment: Data) -> float:
    """The length of a line, or of a cubic by Gauss and Legendre's rule of 24 nodes on its four quarters [A]."""
    if "line" in segment:
        (ax, ay), (bx, by) = segment["line"]
        return math.hypot(bx - ax, by - ay)
    p0, p1, p2, p3 = (np.array(point) for point in segment["cubic"])
    total = 0.0
    for low, high in pairwise(np.linspace(0.0, 1.0, 5)):
        t = (low + (high - low) * (_NODES + 1.0) / 2.0)[:, None]
        speed = 3.0 * ((1 - t) ** 2 * (p1 - p0) + 2 * t * (1 - t) * (p2 - p1) + t**2 * (p3 - p2))
        total += float((np.hypot(*speed.T) * _WEIGHTS).sum() * (high - low) / 2.0)
    return total


def edge_length(edge: Data) -> float:
    return sum(segment_length(segment) for segment in edge["segments"])


def run_length(data: Data, piece_name: str, root: str) -> float:
    return sum(edge_length(edge) for edge in edges(data, piece_name, root))


def points(edge: Data, n: int = 200) -> np.ndarray:
    """The edge as points (m, 2), n steps to a cubic, no two that follow one another alike."""
    found: list[np.ndarray] = []
    for segment in edge["segments"]:
        if "line" in segment:
            found.append(np.array(segment["line"]))
            continue
        p0, p1, p2, p3 = (np.array(point) for point in segment["cubic"])
        t = np.linspace(0.0, 1.0, n + 1)[:, None]
        found.append((1 - t) ** 3 * p0 + 3 * t * (1 - t) ** 2 * p1 + 3 * t**2 * (1 - t) * p2 + t**3 * p3)
    run = np.concatenate(found)
    return run[np.r_[True, np.hypot(*np.diff(run, axis=0).T) > 0.0]]


def stroke(data: Data, piece_name: str, root: str, n: int = 200) -> LineString:
    run = np.concatenate([points(edge, n) for edge in edges(data, piece_name, root)])
    return LineString(run[np.r_[True, np.hypot(*np.diff(run, axis=0).T) > 0.0]])


def inner(data: Data, piece_name: str, kind: str, name: str) -> np.ndarray:
    """An inner line's points (m, 2)."""
    found = next(i for i in piece(data, piece_name)["inner"] if i["kind"] == kind and i["name"] == name)
    return np.array(found["line"])


def level_height(data: Data, piece_name: str, level: str) -> float | None:
    """The y of a level's line on a piece, None where it has none."""
    lines = [i["line"] for i in piece(data, piece_name)["inner"] if i["kind"] == "level" and i["name"] == level]
    return float(lines[0][0][1]) if lines else None


def width_across(data: Data, piece_name: str, y: float) -> float:
    """How wide a piece is at a height, mm: the sum of what a level line shares with it, its darts left out."""
    ring = Polygon(piece(data, piece_name)["seam_line"])
    low, _, high, _ = ring.bounds
    return float(ring.intersection(LineString([(low - 10.0, y), (high + 10.0, y)])).length)


def seam_gaps(data: Data) -> dict[str, float]:
    """By how much, mm, the sides of each seam differ once its ease is taken out, from the curves themselves."""
    gaps = {}
    for seam in data["seams"]:
        first, second = (sum(run_length(data, run["piece"], run["edge"]) for run in side) for side in seam["sides"])
        gaps[seam["name"]] = abs(first - second - seam["ease"])
    return gaps


def unsound(data: Data) -> list[str]:
    """What is wrong with the pieces' rings by shapely: nothing of sound ones."""
    found = []
    for each in data["pieces"]:
        for kind in ("seam_line", "cut_line"):
            ring = Polygon(each[kind])
            if each[kind][0] != each[kind][-1] or not ring.is_valid or ring.area <= 0.0 or not ring.exterior.is_ccw:
                found.append(f"{kind} of {each['name']}")
        if not Polygon(each["cut_line"]).buffer(0.06).contains(Polygon(each["seam_line"])):
            found.append(f"{each['name']} lies outside its cut line")
    return found


def fold_bend(data: Data) -> float:
    """How far, mm, any fold edge lies from the straight line between its ends, or off x = 0."""
    worst = 0.0
    for each in data["pieces"]:
        for edge in each["edges"]:
            if edge["fold"]:
                worst = max(worst, float(np.abs(points(edge)[:, 0]).max()))
    return worst
