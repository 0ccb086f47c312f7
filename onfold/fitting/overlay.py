"""Changed pieces before and after, laid over each other at a round scale: what moved most is dimensioned.

Before is thin and dashed, after bold. An arrow points from where an edge was to where it is; words stand in free paper.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import dist

import numpy as np
from numpy.typing import NDArray

from onfold.drawing import PenName, Stroke, Word
from onfold.fitting.comparing import Differences, EdgeChange, PieceChange, PointChange
from onfold.fitting.free_paper import FreePaper
from onfold.fitting.telling import HARDLY, say_fine, say_pair, tell_move
from onfold.geometry.path import Path, bounds_of, flatten, length, line, points_along, polyline
from onfold.lettering import LEAD, width_of
from onfold.pattern import Edge, Piece, Point
from onfold.units import System

Floats = NDArray[np.float64]
Box = tuple[float, float, float, float]

SCALES = (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0)
"""Round scales, 1 : n. Teaching sheets are drawn at a quarter or a fifth [C]."""
_GAP, _ROOM = 16.0, 9.0
"""mm on paper between pieces, and round them all, for the words."""
_WORD = 1.9
_NEAR, _FAR = 5.0, 45.0
_MOST_LABELS = 9
_SHORT = 4.0
"""mm on paper below which a move is shown by an arrow that comes from a little way off."""
_HEAD = (1.9, 0.65)
_CLEAR = 0.7
_LEAD = LEAD * 0.85


@dataclass(frozen=True)
class Overlay:
    """The drawn pieces within a box of a page, the scale 1 : n, and by piece the edges that found no room for words."""

    strokes: tuple[Stroke, ...]
    words: tuple[Word, ...]
    scale: float
    unsaid: tuple[str, ...]


@dataclass(frozen=True)
class _Placed:
    """A piece on the page: `at` of the pattern, mm, lies at `at / scale + origin`."""

    piece: PieceChange
    scale: float
    origin: Point

    def point(self, at: Point) -> Point:
        return at[0] / self.scale + self.origin[0], at[1] / self.scale + self.origin[1]

    def path(self, path: Path) -> Path:
        return Path(path.curves / self.scale + np.array(self.origin), path.straight)


def lay_out(found: Differences, box: Box, units: System) -> Overlay:
    """Return the changed pieces before and after within `box` (least x, least y, most x, most y), mm on the page."""
    changed = [piece for piece in found.changed if _outlines(piece)]
    if not changed:
        return Overlay((), (), 1.0, ())
    scale, placed = _placed(changed, box)
    strokes = [stroke for each in placed for stroke in _drawn(each)]
    paper = FreePaper(box)
    for stroke in strokes:
        paper.take_line(flatten(stroke.path, 0.1))
    words: list[Word] = []
    unsaid: list[str] = []
    for each in placed:
        more, said = _named(each, paper)
        strokes, words = strokes + more, words + said
    arrows = [(each, edge) for each in placed for edge in _worth_words(each.piece)]
    for each, edge in arrows:
        strokes += (drawn := _arrow(each, edge))
        for stroke in drawn:
            paper.take_line(flatten(stroke.path, 0.1))
    for each, edge in arrows:
        more, said = _edge_words(each, edge, paper, units)
        strokes, words = strokes + more, words + said
        unsaid += [] if said else [f"{edge.name} of {each.piece.name}"]
    for each in placed:
        more, said = _points(each, paper, units)
        strokes, words = strokes + more, words + said
    return Overlay(tuple(strokes), tuple(words), scale, tuple(unsaid))


def _outlines(piece: PieceChange) -> list[Piece]:
    return [each for each in (piece.before, piece.after) if each is not None and each.edges]


def _bounds(piece: PieceChange) -> Box:
    return bounds_of([edge.path for each in _outlines(piece) for edge in each.edges if len(edge.path.curves)])


def _placed(pieces: Sequence[PieceChange], box: Box) -> tuple[float, list[_Placed]]:
    """Return the largest round scale at which the pieces stand in rows within the box, and where each stands."""
    wide, high = box[2] - box[0] - 2 * _ROOM, box[3] - box[1] - 2 * _ROOM
    bounds = [_bounds(piece) for piece in pieces]
    for scale in SCALES:
        rows = _rows([((b[2] - b[0]) / scale, (b[3] - b[1]) / scale) for b in bounds], wide)
        tall = sum(max(size[1] for _, size in row) for row in rows) + _GAP * (len(rows) - 1)
        broad = max(sum(size[0] for _, size in row) + _GAP * (len(row) - 1) for row in rows)
        if (tall <= high and broad <= wide) or scale == SCALES[-1]:
            break
    found: list[_Placed] = []
    spare = max(0.0, high - tall) / (len(rows) + 1)
    top = box[3] - _ROOM - spare
    for row in rows:
        across = sum(size[0] for _, size in row) + _GAP * (len(row) - 1)
        between = _GAP + max(0.0, wide - across) / (len(row) + 1)
        left = box[0] + _ROOM + max(0.0, wide - across - (between - _GAP) * (len(row) - 1)) / 2.0
        deep = max(size[1] for _, size in row)
        for number, size in row:
            low_x, _, _, high_y = bounds[number]
            down = top - (deep - size[1]) / 2.0
            found.append(_Placed(pieces[number], scale, (left - low_x / scale, down - high_y / scale)))
            left += size[0] + between
        top -= deep + _GAP + spare
    return scale, found


def _rows(sizes: Sequence[tuple[float, float]], wide: float) -> list[list[tuple[int, tuple[float, float]]]]:
    """Return pieces by rows, tallest first, so that those of one height stand together."""
    order = sorted(range(len(sizes)), key=lambda at: -sizes[at][1])
    rows: list[list[tuple[int, tuple[float, float]]]] = []
    filled = wide + 1.0
    for at in order:
        if filled + _GAP + sizes[at][0] > wide:
            rows.append([])
            filled = -_GAP
        rows[-1].append((at, sizes[at]))
        filled += _GAP + sizes[at][0]
    return rows


def _drawn(each: _Placed) -> list[Stroke]:
    """Return the outlines; a fold is drawn like any edge: that a half lies on it is said beside its name."""
    strokes: list[Stroke] = []
    if each.piece.before is not None:
        strokes += [_edge_stroke(each, edge, "before", "before") for edge in each.piece.before.edges]
    if each.piece.after is not None:
        strokes += [_edge_stroke(each, edge, "after", "after") for edge in each.piece.after.edges]
    return [stroke for stroke in strokes if len(stroke.path.curves)]


def _edge_stroke(each: _Placed, edge: Edge, pen: PenName, when: str) -> Stroke:
    return Stroke(each.path(edge.path), pen, "seam lines", name=f"{edge.name} of {each.piece.name} {when}")


def _arrow(each: _Placed, edge: EdgeChange) -> list[Stroke]:
    """Return the arrow of an edge's greatest move, from where it was to where it is."""
    if edge.move is None or edge.move.by <= HARDLY:
        return []
    start, tip = each.point(edge.move.at), each.point(edge.move.to)
    reach = dist(start, tip)
    way = ((tip[0] - start[0]) / reach, (tip[1] - start[1]) / reach) if reach > 1e-9 else (0.0, 1.0)
    if reach < _SHORT:
        start = tip[0] - way[0] * _SHORT, tip[1] - way[1] * _SHORT
    name = f"{edge.name} of {each.piece.name} moved"
    neck = tip[0] - way[0] * _HEAD[0] * 0.8, tip[1] - way[1] * _HEAD[0] * 0.8
    return [Stroke(line(start, neck), "used", "marks", name=name), _head(tip, way)]


def _head(tip: Point, way: Point) -> Stroke:
    long, half = _HEAD
    back = tip[0] - way[0] * long, tip[1] - way[1] * long
    sides = (back[0] - way[1] * half, back[1] + way[0] * half), (back[0] + way[1] * half, back[1] - way[0] * half)
    return Stroke(polyline((tip, sides[0], sides[1], tip)), "fill", "marks", closed=True, filled=True)


def _dot(at: Point, radius: float, filled: bool) -> Stroke:
    turn = np.linspace(0.0, 2.0 * np.pi, 17)
    ring = np.stack((np.cos(turn), np.sin(turn)), axis=1) * radius + np.array(at)
    return Stroke(polyline(ring), "fill" if filled else "furniture", "marks", closed=True, filled=filled)


def _worth_words(piece: PieceChange) -> list[EdgeChange]:
    """Return the edges that get words in the picture: those that moved or changed length, the largest moves first."""
    if piece.before is None or piece.after is None:
        return []
    darts = {edge.root for each in (piece.before, piece.after) for edge in each.edges if edge.finish == "dart"}
    worth = [edge for edge in piece.edges if edge.name not in darts and edge.after is not None and _tells(edge)]
    worth.sort(key=lambda edge: -edge.reach)
    return worth[:_MOST_LABELS]


def _tells(edge: EdgeChange) -> bool:
    longer = edge.before is not None and edge.after is not None and abs(edge.before - edge.after) > HARDLY
    return longer or (edge.move is not None and edge.move.by > HARDLY)


def _edge_words(each: _Placed, edge: EdgeChange, paper: FreePaper, units: System) -> tuple[list[Stroke], list[Word]]:
    """Return an edge's length before and after, and below it how far it moved, by its arrow; else by its middle."""
    lines = [f"{edge.name} {say_pair(edge.before, edge.after, units)}"]
    if edge.move is None or edge.move.by <= HARDLY:
        return _set(lines, each.point(_middle_of(each.piece, edge.name)), paper, _WORD)
    lines.append(tell_move(edge, units))
    start, tip = each.point(edge.move.at), each.point(edge.move.to)
    return _set(lines, ((start[0] + tip[0]) / 2.0, (start[1] + tip[1]) / 2.0), paper, _WORD)


def _middle_of(piece: PieceChange, root: str) -> Point:
    assert piece.after is not None
    leaves = [edge.path for edge in piece.after.edges if edge.root == root]
    longest = max(leaves, key=length)
    x, y = points_along(longest, [length(longest) / 2.0])[0].tolist()
    return x, y


def _named(each: _Placed, paper: FreePaper) -> tuple[list[Stroke], list[Word]]:
    """Return the piece's name as near its middle as there is room, and whether it came or went."""
    low_x, low_y, high_x, high_y = _bounds(each.piece)
    lines = [each.piece.name]
    if each.piece.after is not None and each.piece.after.on_fold:
        lines.append("half, on the fold")
    if each.piece.before is None or each.piece.after is None:
        lines.append("new" if each.piece.before is None else "no more cut")
    middle = each.point(((low_x + high_x) / 2.0, (low_y + high_y) / 2.0))
    return _set(lines, middle, paper, _WORD * 1.25, heading=True)


def _points(each: _Placed, paper: FreePaper, units: System) -> tuple[list[Stroke], list[Word]]:
    """Return notches and marks that moved, came or went: a ring where one was, a dot where it is."""
    if each.piece.before is None or each.piece.after is None:
        return [], []
    told = [point for point in each.piece.points if (moved := _moved(point)) is None or moved > HARDLY]
    strokes = [
        _dot(each.point(spot), 0.75, filled)
        for point in told
        for spot, filled in ((point.before, False), (point.after, True))
        if spot is not None
    ]
    for stroke in strokes:
        paper.take_line(flatten(stroke.path))
    words: list[Word] = []
    for point in told:
        spot = point.after if point.after is not None else point.before
        if point.kind != "notch" and spot is not None:
            more, said = _set([_point_words(point, _moved(point), units)], each.point(spot), paper, _WORD)
            strokes, words = strokes + more, words + said
    return strokes, words


def _moved(point: PointChange) -> float | None:
    return dist(point.before, point.after) if point.before is not None and point.after is not None else None


def _point_words(point: PointChange, moved: float | None, units: System) -> str:
    if moved is None:
        return f"{point.name}: {'new' if point.before is None else 'gone'}"
    return f"{point.name} {say_fine(moved, units)}"


def _set(
    lines: Sequence[str], touch: Point, paper: FreePaper, size: float, heading: bool = False
) -> tuple[list[Stroke], list[Word]]:
    """Return lines of words set in free paper near a point: level, turned up where that is nearer, else farther off.

    A leader runs to words that stand off the point. A heading's first line is bold, and no leader is drawn to it.
    """
    block = _Block(tuple(lines), size, heading)
    for upright, reach in ((False, _NEAR), (True, _NEAR), (False, _FAR)):
        if upright and heading:
            continue
        wide, high = block.sides(upright)
        for corner in paper.nearest(wide, high, touch, reach):
            near = (
                float(np.clip(touch[0], corner[0] + 0.2, corner[0] + wide - 0.2)),
                float(np.clip(touch[1], corner[1] + 0.2, corner[1] + high - 0.2)),
            )
            leads = dist(near, touch) >= 2.0 and not heading
            if leads and paper.crosses_words(near, touch):
                continue
            words = block.at(corner, upright)
            paper.take_words(words, 0.3)
            if not leads:
                return [], words
            leader = Stroke(line(near, touch), "furniture", "words")
            paper.take_line(flatten(leader.path))
            return [leader], words
    return [], []


@dataclass(frozen=True)
class _Block:
    """Lines of words one under another about one middle; the first of a heading is bold, the others smaller."""

    lines: tuple[str, ...]
    size: float
    heading: bool

    def _styles(self) -> list[tuple[str, float, bool]]:
        bolds = [self.heading and not at for at in range(len(self.lines))]
        return [
            (text, self.size * (1.0 if bold or not self.heading else 0.7), bold)
            for text, bold in zip(self.lines, bolds, strict=True)
        ]

    def sides(self, upright: bool) -> tuple[float, float]:
        """Return the width and height it takes up with the blank round it, mm."""
        wide = max(width_of(*style) for style in self._styles()) + 2 * _CLEAR
        high = self.size * (1.35 + _LEAD * (len(self.lines) - 1)) + 2 * _CLEAR
        return (high, wide) if upright else (wide, high)

    def at(self, corner: Point, upright: bool) -> list[Word]:
        """Return its words with the lower left corner of what it takes up at a point; `upright` reads upwards."""
        wide, high = self.sides(False)
        found = []
        for number, (text, own, bold) in enumerate(self._styles()):
            up = _CLEAR + 0.3 * self.size + self.size * _LEAD * (len(self.lines) - 1 - number)
            x, y = (corner[0] + high - up, corner[1] + wide / 2) if upright else (corner[0] + wide / 2, corner[1] + up)
            found.append(Word(text, (x, y), own, 90.0 if upright else 0.0, "middle", bold=bold))
        return found
