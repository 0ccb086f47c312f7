"""Judging `lay.json` against `pattern.json` as another program would: nothing of Onfold's imported."""

from __future__ import annotations

import math
from collections import Counter
from itertools import combinations
from typing import Any

import numpy as np
from shapely import Polygon, hausdorff_distance
from shapely.affinity import rotate, scale, translate

Data = dict[str, Any]
CONGRUENT = 0.01
"""mm that a laid ring may differ from its piece's cut line."""


def judged(lay: Data, patterns: dict[str, Data]) -> list[str]:
    """What is wrong with a lay of these patterns (by whose they are; '' for one ticket): empty where nothing is."""
    return [
        *_apart(lay),
        *_inside(lay),
        *_on_fold(lay),
        *_counts(lay, patterns),
        *_congruent(lay, patterns),
        *_one_way(lay),
        *_length(lay),
    ]


def name_of(each: Data) -> str:
    return f"{each.get('whose', '')} {each['piece']} {each['copy']}".strip()


def _apart(lay: Data) -> list[str]:
    rings = [(name_of(each), Polygon(each["ring"])) for each in lay["placements"]]
    rings += [(f"flaw {n}", Polygon(ring)) for n, ring in enumerate(lay["cloth"]["kept_off"])]
    said = []
    for (a, one), (b, other) in combinations(rings, 2):
        if a.startswith("flaw") and b.startswith("flaw"):
            continue
        shared = one.intersection(other).area
        if shared > 1.0:
            said.append(f"{a} and {b} share {shared:.2f} mm2")
    return said


def _inside(lay: Data) -> list[str]:
    said = []
    for each in lay["placements"]:
        ring = np.array(each["ring"])
        low, high = lay["cloth"]["bands"][each["band"]]
        if ring[:, 1].min() < low - 1e-3 or ring[:, 1].max() > high + 1e-3 or ring[:, 0].min() < -1e-3:
            said.append(f"{name_of(each)} lies beyond the cloth")
    return said


def _on_fold(lay: Data) -> list[str]:
    """A half piece has a straight run of its ring exactly on a fold of the cloth, and nothing beyond it."""
    folds = {
        "lengthwise": [lay["cloth"]["bands"][-1][1]],
        "both edges to the middle": [0.0, lay["cloth"]["bands"][-1][1]],
    }
    said = []
    for each in lay["placements"]:
        if not each["on_fold"]:
            continue
        ring = np.array(each["ring"])
        at = folds.get(lay["cloth"]["fold"], [])
        runs = [ring[np.abs(ring[:, 1] - y) < 1e-3] for y in at]
        if not any(len(run) > 1 and np.ptp(run[:, 0]) > 1.0 for run in runs):
            said.append(f"{name_of(each)} is not on the fold")
    return said


def _counts(lay: Data, patterns: dict[str, Data]) -> list[str]:
    wanted = Counter(
        {
            (whose, p["name"]): p["cut"]
            for whose, data in patterns.items()
            for p in data["pieces"]
            if p["material"] == lay["material"]
        }
    )
    there: Counter[tuple[str, str]] = Counter()
    for each in lay["placements"]:
        there[each.get("whose", ""), each["piece"]] += each["gives"]
    return [f"{key}: {there[key]} laid, {wanted[key]} wanted" for key in wanted | there if there[key] != wanted[key]]


def _congruent(lay: Data, patterns: dict[str, Data]) -> list[str]:
    said = []
    for each in lay["placements"]:
        piece = next(p for p in patterns[each.get("whose", "")]["pieces"] if p["name"] == each["piece"])
        own = Polygon(piece["cut_line"])
        if piece["on_fold"] and not each["on_fold"]:
            own = own.buffer(0).union(scale(own.buffer(0), xfact=-1.0, origin=(0, 0)).buffer(1e-6)).buffer(0)
        (ax, ay), (bx, by) = piece["grain"]["from"], piece["grain"]["to"]
        laid = rotate(own, each["turn"] - math.degrees(math.atan2(by - ay, bx - ax)), origin=(0, 0))
        if each["face"] == "down":
            laid = scale(laid, yfact=-1.0, origin=(0, 0))
        laid = translate(laid, *each["at"])
        off = hausdorff_distance(laid.exterior, Polygon(each["ring"]).exterior)
        if off > CONGRUENT:
            said.append(f"{name_of(each)} differs from its cut line by {off:.4f} mm")
    return said


def _one_way(lay: Data) -> list[str]:
    if not lay["cloth"]["one_way"]:
        return []
    tops: dict[tuple[str, str], set[tuple[float, float]]] = {}
    for each in lay["placements"]:
        tops.setdefault((each.get("whose", ""), each["piece"]), set()).add((each["top"][0], abs(each["top"][1])))
    return [f"{key} lies with its top to {len(found)} sides" for key, found in tops.items() if len(found) > 1]


def _length(lay: Data) -> list[str]:
    lies = max(x for each in lay["placements"] for x, _ in each["ring"])
    times = 2 if lay["cloth"]["fold"] == "crosswise" else 1
    said = [] if abs(lies * times - lay["length"]) < 1e-3 else [f"length {lay['length']}, but the pieces reach {lies}"]
    before = lay["length"] / (1.0 - lay["cloth"]["shrinkage"]["along"])
    reserve = lay["reserve"]["squaring"] + lay["reserve"]["shrinkage"]
    if not before + reserve - 1e-3 <= lay["buy"] < before + reserve + lay["step"]:
        said.append(f"buy {lay['buy']} for {before:.1f} before shrinking and {reserve:.1f} kept back")
    if lay["reserve"]["squaring"] < 50.0:
        said.append("no cloth is bought for squaring both ends")
    return said


def bars_at(data: Data, pattern: Data, repeat: float) -> dict[str, list[float]]:
    """How far, mm, the points that notches mark at the middle of each seam of two pieces lie past a bar."""
    found: dict[str, list[float]] = {}
    for seam in pattern["seams"]:
        (first,), (second,) = (side if len(side) == 1 else [None] for side in seam["sides"])
        if first is None or second is None or first["piece"] == second["piece"]:
            continue
        pairs = _meeting(pattern, first, second)
        if not pairs:
            continue
        for run_, point in zip((first, second), pairs, strict=True):
            for each in data["placements"]:
                if each["piece"] == run_["piece"]:
                    x = _laid(each, pattern, point)[0]
                    found.setdefault(seam["name"], []).append((x + repeat / 2.0) % repeat)
    assert found
    return found


def _meeting(pattern: Data, first: Data, second: Data) -> list[list[float]]:
    """The two notches nearest the middle of a seam that meet when it is sewn."""
    sides = []
    for run_ in (first, second):
        piece = next(each for each in pattern["pieces"] if each["name"] == run_["piece"])
        whole = sum(e["length"] for e in piece["edges"] if run_["edge"] in (e["name"], e["parent"]))
        notches = [n for n in piece["notches"] if n["edge"].split(".")[0] == run_["edge"]]
        sides.append([(whole - n["along"] if run_["reversed"] else n["along"], n["at"], whole) for n in notches])
    met = [(a, p, q, w) for a, p, w in sides[0] for b, q, _ in sides[1] if abs(a - b) <= 1.0]
    return [] if not met else list(min(met, key=lambda each: abs(each[0] - each[3] / 2.0))[1:3])


def _laid(each: Data, pattern: Data, point: list[float]) -> tuple[float, float]:
    """Where a point of a piece's frame lies on the cloth, by its turn, face and place."""
    piece = next(p for p in pattern["pieces"] if p["name"] == each["piece"])
    (ax, ay), (bx, by) = piece["grain"]["from"], piece["grain"]["to"]
    spin = np.radians(each["turn"]) - np.arctan2(by - ay, bx - ax)
    x, y = point[0] * np.cos(spin) - point[1] * np.sin(spin), point[0] * np.sin(spin) + point[1] * np.cos(spin)
    return x + each["at"][0], (-y if each["face"] == "down" else y) + each["at"][1]
