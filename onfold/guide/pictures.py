"""Small pictures of the pieces, all to one scale, each with its tape: drawings for whichever writer makes them SVG."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from onfold.cloth import Cloth
from onfold.drawing import Drawing, Stroke, Word
from onfold.geometry.path import Path, bounds, line, mirrored, polyline, turned_back
from onfold.guide.cut_cloth import opened
from onfold.making.cutting import is_cut_whole
from onfold.pattern import Grain, Inner, Pattern, Piece, edges_of
from onfold.units import UNITS, say_length

WIDEST, TALLEST = 38.0, 72.0
"""mm: the most a piece's picture takes on the page."""
FINER = 2.0
"""Pictures are drawn this much larger than the guide sets them, so that the pens of full-size sheets come out fine."""
SCALES = (2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50)
_BARS = {"cm": (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0), "in": (0.5, 1.0, 2.0, 4.0, 8.0, 12.0, 24.0, 36.0)}
Floats = NDArray[np.float64]
_QUARTER = np.array([[0.0, 1.0], [-1.0, 0.0]])
_FOOT, _SIDE = 12.0, 2.0
_TWIN = ", other half"


def draw_pieces(pattern: Pattern, units: Literal["in", "cm"], cloth: Cloth | None = None) -> dict[str, Drawing]:
    """Return a small drawing of every piece, by name: seam line, cut line, grain, fold, notches and a scale bar.

    All are reduced alike, by the first round scale at which the largest fits 38 by 72 mm on the page; they are drawn
    `FINER` times as large as the guide sets them. Pieces without an outline that can be drawn are left out. In a
    `cloth` that lies in one layer a piece drafted on the fold is drawn whole, as it is cut.
    """
    pieces = [whole(piece) if is_cut_whole(piece, cloth) else upright(piece) for piece in pattern.pieces]
    boxes = {piece.name: box for piece in pieces if (box := _box(piece)) is not None}
    if not boxes:
        return {}
    scale = scale_of(boxes.values())
    return {piece.name: _draw(piece, boxes[piece.name], scale, units) for piece in pieces if piece.name in boxes}


def upright(piece: Piece) -> Piece:
    """Return the piece with its straight grain upright, as on the cloth: turned a quarter where it lay level."""
    grain = piece.grain
    if (
        grain is None
        or grain.kind != "straight"
        or abs(grain.end[0] - grain.start[0]) <= abs(grain.end[1] - grain.start[1])
    ):
        return piece

    def put(path: Path) -> Path:
        return Path(path.curves @ _QUARTER, path.straight)

    def spot(at: tuple[float, float]) -> tuple[float, float]:
        return -at[1], at[0]

    return replace(
        piece,
        edges=tuple(replace(each, path=put(each.path)) for each in piece.edges),
        inner=tuple(replace(each, path=put(each.path)) for each in piece.inner),
        notches=tuple(replace(each, at=spot(each.at)) for each in piece.notches),
        grain=Grain("straight", spot(grain.start), spot(grain.end)),
        cut_line=None if piece.cut_line is None else piece.cut_line @ _QUARTER,
    )


def whole(piece: Piece) -> Piece:
    """Return a piece drafted on the fold opened out to be drawn: its edges twice, its fold a line inside it."""
    twins = [
        replace(each, name=each.name + _TWIN, parent=each.root + _TWIN, path=turned_back(_over(each.path)))
        for each in piece.edges
        if not each.fold
    ]
    far = [replace(each, edge=each.edge + _TWIN, at=(-each.at[0], each.at[1])) for each in piece.notches]
    folds = [Inner("centre line", each.root, each.path) for each in piece.edges if each.fold]
    return replace(
        piece,
        edges=(*(each for each in piece.edges if not each.fold), *twins),
        inner=(*piece.inner, *(replace(each, path=_over(each.path)) for each in piece.inner), *folds),
        notches=(*piece.notches, *far),
        cut_line=None if piece.cut_line is None or len(piece.cut_line) < 4 else opened(piece.cut_line),
        on_fold=False,
    )


def _over(path: Path) -> Path:
    """Return a path on the other half of a piece opened out."""
    return mirrored(path, (0.0, 0.0), (0.0, 1.0))


def scale_of(boxes: Iterable[tuple[float, float, float, float]]) -> int:
    """Return by how much the pieces are reduced: 10 for one to ten."""
    need = max(max((box[2] - box[0]) / WIDEST, (box[3] - box[1]) / TALLEST) for box in boxes)
    return next((scale for scale in SCALES if scale >= need), int(np.ceil(need)))


def _box(piece: Piece) -> tuple[float, float, float, float] | None:
    paths = [edge.path for edge in piece.edges if np.isfinite(edge.path.curves).all()]
    if not paths or len(paths) < len(piece.edges):
        return None
    corners = [bounds(path) for path in paths]
    if piece.cut_line is not None and len(piece.cut_line) and np.isfinite(piece.cut_line).all():
        low, high = piece.cut_line.min(axis=0).tolist(), piece.cut_line.max(axis=0).tolist()
        corners.append((low[0], low[1], high[0], high[1]))
    lows, highs = np.min(corners, axis=0), np.max(corners, axis=0)
    return float(lows[0]), float(lows[1]), float(highs[2]), float(highs[3])


def _draw(piece: Piece, box: tuple[float, float, float, float], scale: int, units: Literal["in", "cm"]) -> Drawing:
    left, low = box[0], box[1]
    ratio = FINER / scale
    wide, high = (box[2] - box[0]) * ratio, (box[3] - box[1]) * ratio
    bar = bar_for(ratio, units)
    room = max(wide, bar * ratio)
    inset = (room - wide) / 2

    def put(path: Path) -> Path:
        return Path((path.curves - (left, low)) * ratio + (inset, 0.0), path.straight)

    strokes = [
        Stroke(put(edge.path), "fold" if edge.fold else "seam", "fold lines" if edge.fold else "seam lines")
        for edge in piece.edges
    ]
    if piece.cut_line is not None and len(piece.cut_line) > 2:
        strokes.insert(0, Stroke(put(polyline(piece.cut_line)), "cut", "cut lines", closed=True))
    strokes += [
        Stroke(put(each.path), "inner", "marks", name=each.name) for each in piece.inner if each.kind != "level"
    ]
    for edge in piece.edges:
        strokes += _bracket(put(edge.path)) if edge.fold else []
    if piece.grain is not None:
        strokes += _grain(put(line(piece.grain.start, piece.grain.end)))
    for notch in piece.notches:
        strokes += _notch(piece, notch.edge, put(line(notch.at, notch.at)))
    tape, word = tape_below(room / 2, bar * ratio, say_length(bar, units))
    drawn = (-_SIDE, -_FOOT, room + _SIDE, high + _SIDE)
    title = f"{piece.name}, one to {scale}: {tell_shape(piece, units)}"
    return Drawing((*strokes, *tape), (word,), drawn, title)


def tell_shape(piece: Piece, units: Literal["in", "cm"]) -> str:
    """Return the piece's outline in words: its size and its edges in order, the fold named."""
    box = _box(piece)
    size = f"{say_length(box[2] - box[0], units)} by {say_length(box[3] - box[1], units)} cut; " if box else ""
    roots = list(dict.fromkeys(edge.root.removesuffix(_TWIN) for edge in piece.edges if edge.finish != "dart"))
    said = [f"{root} on the fold" if any(each.fold for each in edges_of(piece, root)) else root for root in roots]
    return f"{size}edges {', '.join(said)}"


def _grain(path: Path) -> list[Stroke]:
    """Return the grain line with an arrowhead at either end."""
    a, b = path.curves[0, 0], path.curves[-1, 3]
    length = float(np.hypot(*(b - a)))
    if length < 1e-6:
        return []
    way = (b - a) / length
    heads = [_head(a, way), _head(b, -way)]
    return [Stroke(path, "grain", "grain lines"), *heads]


def _head(tip: Floats, back: Floats) -> Stroke:
    """Return an arrowhead whose tip is `tip`; `back` points from it along the shaft."""
    across = np.array((-back[1], back[0]))
    ring = np.array([tip, tip + 3.2 * back + 1.2 * across, tip + 3.2 * back - 1.2 * across, tip])
    return Stroke(polyline(ring), "grain", "grain lines", closed=True, filled=True)


def _bracket(fold: Path) -> list[Stroke]:
    """Return the trade's sign of a fold: a bracket inside the edge, its two arrows pointing at the fold."""
    a, b = fold.curves[0, 0], fold.curves[-1, 3]
    length = float(np.hypot(*(b - a)))
    if length < 12.0:
        return []
    way = (b - a) / length
    inward = np.array((-way[1], way[0]))
    ends = [a + share * (b - a) for share in (0.12, 0.88)]
    ring = np.array([ends[0], ends[0] + 5.0 * inward, ends[1] + 5.0 * inward, ends[1]])
    shaft = Stroke(polyline(ring), "grain", "fold lines", name="fold")
    return [shaft, *(_head(each, inward) for each in ends)]


def _notch(piece: Piece, edge_name: str, at: Path) -> list[Stroke]:
    """Return a short tick across the seam line at a notch."""
    spot = at.curves[0, 0]
    edges = edges_of(piece, edge_name)
    if not edges:
        return []
    ends = np.array([edges[0].path.curves[0, 0], edges[-1].path.curves[-1, 3]])
    way = ends[1] - ends[0]
    length = float(np.hypot(*way)) or 1.0
    out = np.array((way[1], -way[0])) / length
    return [Stroke(line(tuple((spot - 0.8 * out).tolist()), tuple((spot + 3.2 * out).tolist())), "notch", "marks")]


def bar_for(ratio: float, units: Literal["in", "cm"], most: float = 20.0 * FINER) -> float:
    """Return the longest round length, mm, that takes no more than `most` at this ratio; the least one at worst."""
    lengths = [each * UNITS[units] for each in _BARS[units]]
    return max((each for each in lengths if each * ratio <= most), default=lengths[0])


def tape_below(middle: float, length: float, said: str) -> tuple[list[Stroke], Word]:
    """Return the scale bar, of four parts, below y = 0, and its word."""
    left, top, high = middle - length / 2, -5.5, 1.6
    part = length / 4

    def block(x: float, wide: float, filled: bool) -> Stroke:
        ring = np.array([[x, top], [x + wide, top], [x + wide, top + high], [x, top + high], [x, top]])
        return Stroke(polyline(ring), "furniture", "sheet", closed=True, filled=filled)

    blocks = [block(left, length, False), block(left, part, True), block(left + 2 * part, part, True)]
    return blocks, Word(said, (middle, top - 4.6), 3.2, anchor="middle")
