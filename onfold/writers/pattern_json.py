"""`pattern.json`, format `onfold pattern 1`: the pattern as plain numbers for other programs (docs/pattern-json.md).

Millimetres to four places, rounded here and nowhere before; rings repeat their first point and lie within 0.05 mm of
the curves.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

import numpy as np

from onfold.geometry.path import Path, flatten_all, lengths_of
from onfold.geometry.region import area
from onfold.pattern import Edge, Inner, Pattern, Piece, Run, Seam, edges_of
from onfold.problems import Problem

FORMAT = "onfold pattern 1"
PLACES = 4
RING = 0.02


def write_pattern_json(pattern: Pattern) -> bytes:
    """Return the pattern as UTF-8 JSON, equal for equal patterns."""
    return (json.dumps(pattern_data(pattern), ensure_ascii=False, indent=1) + "\n").encode()


def pattern_data(pattern: Pattern) -> dict[str, Any]:
    """Return the pattern as plain lists and dicts."""
    pieces = {piece.name: piece for piece in pattern.pieces}
    return {
        "format": FORMAT,
        "unit": "mm",
        "recipe": pattern.recipe,
        "title": pattern.title,
        "wearer": pattern.wearer,
        "worn": pattern.worn,
        "pieces": [_piece(piece) for piece in pattern.pieces],
        "seams": [_seam(seam, pieces) for seam in pattern.seams],
        "levels": {
            name: {
                "body": _number(level.body),
                "finished": _number(level.finished),
                "wearing_stretch": _number(level.wearing_stretch),
                "share": _number(level.share),
                "across": [{"piece": piece, "times": _number(times)} for piece, times in level.across],
            }
            for name, level in pattern.levels.items()
        },
        "measures": {
            name: {
                "value": _number(taken.value),
                "estimated": taken.estimated,
                "interval": None if taken.interval is None else [_number(x) for x in taken.interval],
            }
            for name, taken in pattern.measures.items()
        },
        **({"figure_notes": {name: _number(mm) for name, mm in pattern.notes.items()}} if pattern.notes else {}),
        "openings": [
            {"name": o.name, "edges": list(o.edges), "length": _number(o.length), "closes": o.closes}
            for o in pattern.openings
        ],
        "facts": {name: {"value": _number(f.value), "unit": f.unit} for name, f in pattern.facts.items()},
        "problems": [problem_data(each) for each in pattern.problems],
    }


def problem_data(each: Problem) -> dict[str, Any]:
    """Return a problem as plain data, its place in one string."""
    return {
        "code": each.code,
        "severity": each.severity,
        "where": str(each.where),
        "found": each.found,
        "expected": each.expected,
        "remedy": each.remedy,
        "says": each.says,
    }


def _number(value: float) -> float:
    rounded = round(float(value), PLACES)
    return 0.0 if rounded == 0 else rounded


def _points(points: Iterable[Iterable[float]]) -> list[list[float]]:
    return [[_number(x), _number(y)] for x, y in points]


def _path(path: Path) -> list[dict[str, Any]]:
    segments: list[dict[str, Any]] = []
    for curve, straight in zip(path.curves.tolist(), path.straight.tolist(), strict=True):
        segments.append({"line": _points([curve[0], curve[3]])} if straight else {"cubic": _points(curve)})
    return segments


def _piece(piece: Piece) -> dict[str, Any]:
    paths = [edge.path for edge in piece.edges]
    ring = np.concatenate([each[:-1] for each in flatten_all(paths, RING)])
    ring = np.concatenate([ring, ring[:1]])
    size = ring.max(axis=0) - ring.min(axis=0)
    lengths = lengths_of(paths).tolist()
    grain = piece.grain
    return {
        "name": piece.name,
        "cut": piece.cut,
        "on_fold": piece.on_fold,
        "mirrored_pair": piece.mirrored_pair,
        "material": piece.material,
        "grain": None
        if grain is None
        else {
            "kind": grain.kind,
            "from": _points([grain.start])[0],
            "to": _points([grain.end])[0],
            **({"tilt": _number(grain.tilt)} if grain.tilt else {}),
        },
        "seam_line": _points(ring.tolist()),
        "cut_line": [] if piece.cut_line is None else _points(piece.cut_line.tolist()),
        "area": _number(area(ring)),
        "size": [_number(size[0]), _number(size[1])],
        "edges": [_edge(edge, run) for edge, run in zip(piece.edges, lengths, strict=True)],
        "notches": [
            {"edge": n.edge, "along": _number(n.along), "at": _points([n.at])[0], "kind": n.kind} for n in piece.notches
        ],
        "marks": [{"kind": m.kind, "name": m.name, "at": _points([m.at])[0]} for m in piece.marks],
        "inner": [_inner(each) for each in piece.inner],
    }


def _edge(edge: Edge, run: float) -> dict[str, Any]:
    return {
        "name": edge.name,
        "parent": edge.parent,
        "length": _number(run),
        "allowance": _number(edge.allowance),
        "fold": edge.fold,
        "finish": edge.finish,
        "segments": _path(edge.path),
    }


def _inner(inner: Inner) -> dict[str, Any]:
    (points,) = flatten_all([inner.path], RING)
    return {"kind": inner.kind, "name": inner.name, "line": _points(points.tolist())}


def _seam(seam: Seam, pieces: dict[str, Piece]) -> dict[str, Any]:
    return {
        "name": seam.name,
        "construction": seam.construction,
        "finish": seam.finish,
        "ease": _number(seam.ease),
        "twice": seam.twice,
        "lengths": [_number(_run_length(side, pieces)) for side in seam.sides],
        "sides": [
            [{"piece": r.piece, "edge": r.edge, "copy": r.copy, "reversed": r.reversed} for r in side]
            for side in seam.sides
        ],
    }


def _run_length(side: tuple[Run, ...], pieces: dict[str, Piece]) -> float:
    paths = [edge.path for run in side if run.piece in pieces for edge in edges_of(pieces[run.piece], run.edge)]
    return float(lengths_of(paths).sum()) if paths else 0.0
