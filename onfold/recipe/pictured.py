"""A piece as it stands after a step: what is new inked heavy, what was used thin, the rest grey, and where to look."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from onfold.drawing import Drawing, Layer, PenName, Stroke, Word, box_of
from onfold.geometry.path import Path, at, bounds_of, flatten, length, line
from onfold.pattern import Edge, Inner, Mark, Point
from onfold.recipe.bench import Key
from onfold.recipe.laid import GrainAsked, NotchAsked, NotchSpot
from onfold.recipe.marking import along_edge, grain_line
from onfold.recipe.memory import Run

DOT = 2.2
"""Half the size, mm on the drawing, of the cross that marks a point."""
ROOM = 12.0
"""Room left round a picture, mm on the drawing, for its names."""
MOVED = 0.5
"""mm: a line drawn again nearer than this to where lines ran before has not changed there."""

Box = tuple[float, float, float, float]
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class _Seen:
    """One thing of a piece as drawn: its strokes' paths, whether it is new, used or older, its name and its layer."""

    key: Key
    paths: tuple[Path, ...]
    pen: PenName
    name: str
    layer: Layer

    @property
    def is_point(self) -> bool:
        return self.layer == "marks"


def picture(
    piece: str, before: Mapping[Key, Any], after: Mapping[Key, Any], run: Run
) -> tuple[Drawing | None, Box | None]:
    """Return the piece as drawn after a step, and the box, mm, of what changed where that is a part of it.

    Nothing is drawn where nothing changed. There is no box for straight lines ruled on an open draft: they are read by
    their place in the whole.
    """
    seen: list[_Seen] = []
    changed = False
    closed = after.get(("outline", piece)) is not None
    for key, value in after.items():
        draw = _DRAWN.get(key[0])
        if draw is None or len(key) < 2 or key[1] != piece:
            continue
        if closed and key[0] in ("line", "point") and key not in run.writes:
            continue
        is_new = key in run.writes and value is not before.get(key)
        changed = changed or is_new
        pen: PenName = "new" if is_new else "used" if key in run.reads else "old"
        layer = _layer(key[0], value)
        seen.extend(_Seen(key, paths, each_pen, name, layer) for paths, each_pen, name in draw(key, value, pen, before))
    if not seen or not changed:
        return None, None
    strokes = tuple(
        Stroke(path, each.pen, each.layer, name=each.name) for each in _by_weight(seen) for path in each.paths
    )
    drawn = Drawing(strokes, tuple(_names(seen)), box_of(strokes, ROOM), f"The {piece} after this step")
    return drawn, _changed(seen, _lines_of(piece, before))


def _layer(kind: str, value: Any) -> Layer:
    if kind in ("point", "mark", "notch"):
        return "marks"
    if kind == "grain":
        return "grain lines"
    if kind == "inner":
        return "levels" if value.kind == "level" else "fold lines" if value.kind == "fold line" else "picture"
    return "seam lines"


def _by_weight(seen: list[_Seen]) -> list[_Seen]:
    order = {"old": 0, "used": 1, "new": 2}
    return sorted(seen, key=lambda each: order.get(each.pen, 1))


Drawn = list[tuple[tuple[Path, ...], PenName, str]]
_PART = re.compile(r"\.\d+$")
_LEG = re.compile(r" (?:other )?leg$")


def _point(key: Key, value: Point, pen: PenName, before: Mapping[Key, Any]) -> Drawn:
    x, y = value
    cross = (line((x - DOT, y), (x + DOT, y)), line((x, y - DOT), (x, y + DOT)))
    return [(cross, pen, key[-1])]


def _line(key: Key, value: Path, pen: PenName, before: Mapping[Key, Any]) -> Drawn:
    return [((value,), pen, key[-1])]


def _outline(key: Key, value: tuple[Edge, ...], pen: PenName, before: Mapping[Key, Any]) -> Drawn:
    old = {each.name: each.path for each in before.get(key) or ()}
    kept: PenName = "used" if pen == "new" else "old"
    return [
        ((each.path,), kept if pen != "new" or old.get(each.name) is each.path else "new", _spoken(each))
        for each in value
    ]


def _spoken(edge: Edge) -> str:
    """Return an edge's name as it is spoken: both legs are the dart's, every part of a divided waist is the waist."""
    return _LEG.sub("", edge.name) if edge.finish == "dart" else _PART.sub("", edge.root)


def _inner(key: Key, value: Inner, pen: PenName, before: Mapping[Key, Any]) -> Drawn:
    return [] if value.kind == "dropped" else [((value.path,), pen, value.name)]


def _mark(key: Key, value: Mark, pen: PenName, before: Mapping[Key, Any]) -> Drawn:
    name = f"point of the {value.name}" if value.kind == "dart point" else value.name
    return [(_point(key, value.at, pen, before)[0][0], pen, name)]


def _grain(key: Key, value: GrainAsked, pen: PenName, before: Mapping[Key, Any]) -> Drawn:
    outline: tuple[Edge, ...] = before.get(("outline", key[1])) or ()
    if not outline:
        return []
    grain = grain_line(value, bounds_of([each.path for each in outline]))
    return [((line(grain.start, grain.end),), pen, f"{grain.kind} grain")]


def _notch(key: Key, value: NotchAsked | NotchSpot, pen: PenName, before: Mapping[Key, Any]) -> Drawn:
    edge = next((each for each in before.get(("outline", key[1])) or () if each.name == value.edge), None)
    if edge is None:
        return []
    where = key[-1].removeprefix(edge.root).strip()
    name = f"{where} mark" if where and not where.isdigit() else "balance mark"
    return [(_point(key, at(edge.path, along_edge(edge, value)), pen, before)[0][0], pen, name)]


_DRAWN: dict[str, Callable[[Key, Any, PenName, Mapping[Key, Any]], Drawn]] = {
    "point": _point,
    "line": _line,
    "outline": _outline,
    "inner": _inner,
    "mark": _mark,
    "grain": _grain,
    "notch": _notch,
}


def _names(seen: list[_Seen]) -> list[Word]:
    """Return the names of what is new, each at its middle, none twice: where a word stands is the page's to settle."""
    words: dict[str, Word] = {}
    for each in seen:
        if each.pen == "new" and each.name and each.name not in words:
            path = each.paths[0]
            words[each.name] = Word(each.name, at(path, length(path) / 2.0), layer=each.layer)
    return list(words.values())


def _lines_of(piece: str, state: Mapping[Key, Any]) -> list[Path]:
    """Return every line that was drawn of a piece."""
    paths: list[Path] = []
    for key, value in state.items():
        if len(key) < 2 or key[1] != piece or value is None:
            continue
        if key[0] == "outline":
            paths += [each.path for each in value]
        elif key[0] in ("line", "inner"):
            paths.append(value if key[0] == "line" else value.path)
    return paths


def _changed(seen: Sequence[_Seen], old: list[Path]) -> Box | None:
    """Return the box of what runs where nothing ran before, mm, or None where that says nothing."""
    new = [each for each in seen if each.pen == "new"]
    lines = [path for each in new if not each.is_point for path in each.paths]
    if not old or (
        lines and all(path.straight.all() for path in lines) and all(each.key[0] != "outline" for each in new)
    ):
        return None
    known = [flatten(path, 0.1) for path in old]
    fresh = [_off(_closely(flatten(path, 0.1)), known) for path in lines]
    if not lines:  # a point is read by its place: what it was measured from is shown with it
        from_ = [each for each in seen if each.pen == "used" and each.is_point]
        fresh = [each.paths[0].curves[0, ::3].mean(axis=0, keepdims=True) for each in (*new, *from_)]
    spots = np.concatenate(fresh) if fresh else np.empty((0, 2))
    if not len(spots):
        return None
    (a, b), (c, d) = spots.min(axis=0).tolist(), spots.max(axis=0).tolist()
    return a, b, c, d


def _closely(points: Floats) -> Floats:
    """Return a polyline (n, 2) with points no farther than 5 mm apart."""
    gaps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    along = np.concatenate(([0.0], np.cumsum(gaps)))
    if not np.isfinite(along[-1]) or along[-1] > 1e5:
        return points
    every = np.union1d(along, np.arange(0.0, along[-1], 5.0))
    return np.stack([np.interp(every, along, points[:, axis]) for axis in (0, 1)], axis=1)


def _off(points: Floats, lines: list[Floats]) -> Floats:
    """Return those points (n, 2) that lie farther than MOVED from every line."""
    if not lines:
        return points
    starts = np.concatenate([each[:-1] for each in lines])
    ways = np.concatenate([np.diff(each, axis=0) for each in lines])
    squares = np.maximum((ways**2).sum(axis=1), 1e-18)
    rest = points[:, None] - starts
    share = np.clip((rest * ways).sum(axis=2) / squares, 0.0, 1.0)
    apart = np.linalg.norm(rest - share[..., None] * ways, axis=2).min(axis=1)
    kept: Floats = points[apart > MOVED]
    return kept
