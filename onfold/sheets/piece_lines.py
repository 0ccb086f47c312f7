"""The lines of one piece as the trade draws them: cut, seam, fold, grain, levels, notches, marks."""

from __future__ import annotations

import math

import numpy as np

from onfold.drawing import Layer, PenName, Stroke
from onfold.geometry.path import length, line, polyline, tangent_at
from onfold.pattern import Edge, Inner, Notch, Piece, Point
from onfold.sheets.opened import OTHER_HALF, cut_runs, fold_line, folded_run
from onfold.sheets.symbols import crossed_circle, dart_dot, fold_bracket, grain_line, notch, step, unit

_BRACKET_INSET = 13.0
_LONGEST_BRACKET = 220.0
_BARE_NOTCH = 6.0
"""mm a notch is drawn into the piece where the edge has no allowance to draw it over."""


def piece_strokes(piece: Piece, one_way: bool) -> list[Stroke]:
    """Return all lines of a piece in its own frame, each named `WHAT of PIECE`, the heaviest drawn last."""
    return [
        *_inner_lines(piece),
        *_seam_lines(piece),
        *_grain(piece, one_way),
        *_fold(piece),
        *_marks(piece),
        *_notches(piece),
        *_cut_lines(piece),
    ]


def _cut_lines(piece: Piece) -> list[Stroke]:
    named = f"cut line of {piece.name}"
    runs = cut_runs(piece)
    whole = len(runs) == 1 and bool(np.allclose(runs[0][0], runs[0][-1]))
    return [Stroke(polyline(run), "cut", "cut lines", closed=whole, name=named) for run in runs]


def _seam_lines(piece: Piece) -> list[Stroke]:
    return [
        Stroke(edge.path, "seam", "seam lines", name=f"{edge.name} of {piece.name}")
        for edge in piece.edges
        if not edge.fold and len(edge.path.curves)
    ]


def _fold(piece: Piece) -> list[Stroke]:
    run, edge = folded_run(piece), fold_line(piece)
    if run is None or edge is None or not piece.on_fold:
        return []
    names = [each.name for each in piece.edges if each.fold]
    drawn = [Stroke(line(*run), "fold", "fold lines", name=f"{names[0]} of {piece.name}")]
    bracket = bracket_ends(piece)
    return (
        drawn if bracket is None else [*drawn, *fold_bracket(*bracket, bracket_inset(piece), f"fold of {piece.name}")]
    )


def bracket_inset(piece: Piece) -> float:
    """Return how far inside the fold the bracket's long side runs, mm: less on a narrow piece."""
    points = np.concatenate([edge.path.curves.reshape(-1, 2) for edge in piece.edges])
    fold = fold_line(piece)
    if fold is None:
        return _BRACKET_INSET
    way = unit(*fold)
    wide = float(((points - np.array(fold[0])) @ np.array((-way[1], way[0]))).max())
    return min(_BRACKET_INSET, max(4.0, wide * 0.2))


def bracket_ends(piece: Piece) -> tuple[Point, Point] | None:
    """Return the two points of the fold that the bracket's arrows touch, or None where the fold is too short."""
    fold = fold_line(piece)
    if fold is None or not piece.on_fold:
        return None
    whole = math.dist(*fold)
    long = min(_LONGEST_BRACKET, whole * 0.5)
    if long < 20.0:
        return None
    way = unit(*fold)
    return step(fold[0], way, (whole - long) / 2), step(fold[0], way, (whole + long) / 2)


def _grain(piece: Piece, one_way: bool) -> list[Stroke]:
    if piece.grain is None or math.dist(piece.grain.start, piece.grain.end) < 1.0:
        return []
    return grain_line(piece.grain.start, piece.grain.end, one_way, f"grain of {piece.name}")


def _inner_lines(piece: Piece) -> list[Stroke]:
    looks: dict[str, tuple[PenName, Layer]] = {"level": ("level", "levels"), "fold line": ("fold", "fold lines")}

    def drawn(inner: Inner) -> Stroke:
        pen, layer = looks.get(inner.kind, ("dots", "marks"))
        kind = " level" if inner.kind == "level" else ""
        return Stroke(inner.path, pen, layer, name=f"{inner.name}{kind} of {piece.name}" if inner.name else "")

    # a centre that lies on the fold is drawn as the fold
    return [
        drawn(inner)
        for inner in piece.inner
        if len(inner.path.curves) and not (inner.kind == "centre" and piece.on_fold)
    ]


def _marks(piece: Piece) -> list[Stroke]:
    strokes: list[Stroke] = []
    for mark in piece.marks:
        named = f"{mark.name or mark.kind} of {piece.name}"
        strokes += dart_dot(mark.at, named) if "dart" in mark.kind else crossed_circle(mark.at, 2.6, named)
    return strokes


def _notches(piece: Piece) -> list[Stroke]:
    edges = {edge.name: edge for edge in piece.edges}
    strokes: list[Stroke] = []
    for each in piece.notches:
        ends = _notch_ends(piece, edges.get(each.edge), each)
        strokes += notch(*ends, each.kind == "double", f"notch on {each.edge} of {piece.name}") if ends else []
    return strokes


def _notch_ends(piece: Piece, edge: Edge | None, mark: Notch) -> tuple[Point, Point] | None:
    """Return where the notch starts on the seam line and ends on the cut line, square to the edge."""
    if edge is None or not len(edge.path.curves):
        return None
    way = tangent_at(edge.path, _along(edge, mark))
    out = (way[1], -way[0])
    reach = _reach(piece, mark.at, out)
    if reach is None or reach < 1.0:
        return step(mark.at, out, -_BARE_NOTCH), mark.at
    return mark.at, step(mark.at, out, reach)


def _along(edge: Edge, mark: Notch) -> float:
    """Return where the notch lies on the edge as drawn: a mirrored twin runs the other way round."""
    whole = length(edge.path)
    return whole - mark.along if edge.name.endswith(OTHER_HALF) else mark.along


def _reach(piece: Piece, at: Point, out: Point) -> float | None:
    """Return how far from a point the cut line lies in a direction, mm; None where it doesn't within 150 mm."""
    ring = piece.cut_line
    if ring is None or len(ring) < 2:
        return None
    a, run = ring[:-1] - np.array(at), np.diff(ring, axis=0)
    way = np.array(out)
    across = way[0] * run[:, 1] - way[1] * run[:, 0]
    sound = np.abs(across) > 1e-12
    safe = np.where(sound, across, 1.0)
    far = (a[:, 0] * run[:, 1] - a[:, 1] * run[:, 0]) / safe
    share = (a[:, 0] * way[1] - a[:, 1] * way[0]) / safe
    hits = far[sound & (share >= -1e-9) & (share <= 1 + 1e-9) & (far > -0.01) & (far < 150.0)]
    return float(hits.min()) if len(hits) else None
