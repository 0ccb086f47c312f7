"""A replayed recipe told step by step: the sentence, the why, and a picture with what is new inked heavy."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from onfold.body.figure_notes import BY_FORMULA_NAME, say_notes
from onfold.body.taken import Taken
from onfold.drawing import Drawing, PenName, Stroke, Word, box_of
from onfold.geometry.path import Path, at, bounds_of, length, line
from onfold.pattern import Edge, Inner, Mark, Point
from onfold.recipe.bench import Key
from onfold.recipe.laid import GrainAsked, NotchAsked, NotchSpot
from onfold.recipe.marking import along_edge, grain_line
from onfold.recipe.memory import Run
from onfold.recipe.replay import Replayed
from onfold.recipe.step import Told
from onfold.recipe.telling import Telling
from onfold.units import Quantity, System, read_quantity, say_length

DOT = 2.2
"""Half the size, mm on the drawing, of the cross that marks a point."""
ROOM = 12.0
"""Room left round a picture, mm on the drawing, for its names."""


def tell(replayed: Replayed, measures: Mapping[str, Taken], units: System, pictures: bool = True) -> tuple[Told, ...]:
    """Return every step told in order. Steps that failed are told by their problems, not here."""
    told: list[Told] = []
    state: dict[Key, Any] = {}
    stage = ""
    for placed, run in replayed.runs:
        stage = placed.stage or stage
        before = dict(state) if pictures else state
        state.update(run.writes)
        if run.failed:
            continue
        piece = _piece_of(run) if placed.step.group == "finish" else str(state.get(("current", "")) or "")
        telling = Telling(run.reads, run.writes, units)
        read = {key[1]: value for key, value in run.reads.items() if key[0] == "value"}
        noted = {name: read[name] for name in BY_FORMULA_NAME if read.get(name)}
        told.append(
            Told(
                len(told) + 1,
                stage,
                placed.step.verb,
                piece,
                placed.label,
                placed.step.say(telling),
                in_units(placed.why or getattr(placed.step, "reason", ""), units),
                tuple(sorted(name for name in read if name in measures and measures[name].estimated)),
                picture(piece, before, state, run) if pictures else None,
                say_notes(noted, units),
            )
        )
    return tuple(told)


def _piece_of(run: Run) -> str:
    """Return the piece a finishing step is about: the one whose mark, grain or edge it wrote of, '' for a seam."""
    for key in run.writes:
        if key[0] in ("notch", "grain", "cut out"):
            return key[1]
        if key[0] == "finish":
            return key[1].rpartition(" of ")[2]
    return ""


_BRACED = re.compile(r"\{([^{}]*)\}")


def in_units(text: str, units: System) -> str:
    """Return a recipe's words with every length in braces, `{2.5 cm}`, said in the maker's units."""

    def said(match: re.Match[str]) -> str:
        read = read_quantity(match[1])
        return say_length(read.value, units) if isinstance(read, Quantity) and read.kind == "length" else match[0]

    return _BRACED.sub(said, text)


@dataclass(frozen=True)
class _Seen:
    """One thing of a piece as drawn: its strokes' paths, whether it is new, used or older, and its name."""

    key: Key
    paths: tuple[Path, ...]
    pen: PenName
    name: str


def picture(piece: str, before: Mapping[Key, Any], after: Mapping[Key, Any], run: Run) -> Drawing | None:
    """Return a piece as it stands after a step: what is new inked heavy, what was used thin, the rest grey."""
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
        seen.extend(_Seen(key, paths, each_pen, name) for paths, each_pen, name in draw(key, value, pen, before))
    if not seen or not changed:
        return None
    strokes = tuple(
        Stroke(path, each.pen, "picture", name=each.name) for each in _by_weight(seen) for path in each.paths
    )
    box = box_of(strokes, ROOM)
    size = max(box[2] - box[0], box[3] - box[1])
    words = tuple(_names(seen, size))
    return Drawing(strokes, words, box, f"The {piece} after this step")


def _by_weight(seen: list[_Seen]) -> list[_Seen]:
    order = {"old": 0, "used": 1, "new": 2}
    return sorted(seen, key=lambda each: order.get(each.pen, 1))


Drawn = list[tuple[tuple[Path, ...], PenName, str]]


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
        ((each.path,), kept if pen != "new" or old.get(each.name) is each.path else "new", each.name) for each in value
    ]


def _inner(key: Key, value: Inner, pen: PenName, before: Mapping[Key, Any]) -> Drawn:
    return [] if value.kind == "dropped" else [((value.path,), pen, "" if value.kind == "slash" else value.name)]


def _mark(key: Key, value: Mark, pen: PenName, before: Mapping[Key, Any]) -> Drawn:
    return _point(key, value.at, pen, before)


def _grain(key: Key, value: GrainAsked, pen: PenName, before: Mapping[Key, Any]) -> Drawn:
    outline: tuple[Edge, ...] = before.get(("outline", key[1])) or ()
    if not outline:
        return []
    grain = grain_line(value, bounds_of([each.path for each in outline]))
    return [((line(grain.start, grain.end),), pen, f"{grain.kind} grain")]


def _notch(key: Key, value: NotchAsked | NotchSpot, pen: PenName, before: Mapping[Key, Any]) -> Drawn:
    edge = next((each for each in before.get(("outline", key[1])) or () if each.name == value.edge), None)
    return [] if edge is None else _point(key, at(edge.path, along_edge(edge, value)), pen, before)


_DRAWN: dict[str, Callable[[Key, Any, PenName, Mapping[Key, Any]], Drawn]] = {
    "point": _point,
    "line": _line,
    "outline": _outline,
    "inner": _inner,
    "mark": _mark,
    "grain": _grain,
    "notch": _notch,
}


def _names(seen: list[_Seen], size: float) -> list[Word]:
    """Return the names of what is new, each beside its middle, none twice and none over another."""
    words: list[Word] = []
    height = size / 38.0
    taken: list[tuple[float, float, float, float]] = []
    for each in seen:
        if each.pen != "new" or not each.name or any(word.text == each.name for word in words):
            continue
        path = each.paths[0]
        x, y = at(path, length(path) / 2.0)
        is_point = len(each.paths) == 2
        start = (x + (DOT * 2 if is_point else size / 60.0), y + height / 2.5)
        wide = len(each.name) * height * 0.75
        box = (start[0], start[1], start[0] + wide, start[1] + height * 1.3)
        for _ in range(12):
            if not any(_overlaps(box, other) for other in taken):
                break
            box = (box[0], box[1] - height * 1.5, box[2], box[3] - height * 1.5)
        taken.append(box)
        words.append(Word(each.name, (box[0], box[1]), height, layer="picture"))
    return words


def _overlaps(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
