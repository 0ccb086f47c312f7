"""The key to the pictures: how right and wrong sides, rows, raw edges and signs look in every one of them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from onfold.drawing import Drawing, Stroke, Word, moved_strokes
from onfold.geometry.path import line, polyline
from onfold.guide.scene import Area, Item, Line, paint
from onfold.guide.section import PITCH, Board, Way
from onfold.guide.section_pictures import Sheet
from onfold.guide.signs import LETTER, Sign
from onfold.lettering import width_of

_ACROSS, _ROW, _SAMPLE = 4, 13.0, 18.0
"""Columns, drawing mm from row to row, and the width of a sample."""
_GAP = 4.0


def draw_key() -> Drawing:
    """Return the key, one for a whole guide: a sample of each sign with its words."""
    samples: tuple[tuple[str, Callable[[], Sheet]], ...] = (
        ("right side", lambda: _cloth("right")),
        ("wrong side", lambda: _cloth("wrong")),
        ("cut across: heavy line right side", _ribbon),
        ("row of stitches, cut across", _row_across),
        ("row of stitches", lambda: _line("row")),
        ("tacking", lambda: _line("tacking")),
        ("fold", lambda: _line("fold")),
        ("cut away, or moved", lambda: _line("measure")),
        ("notch", lambda: _sign("notch")),
        ("pin", lambda: _sign("pin")),
        ("mark", lambda: _sign("cross")),
        ("zip", _zip),
    )
    columns = [samples[at::_ACROSS] for at in range(_ACROSS)]
    wide = [_SAMPLE + 2.5 + max(width_of(said, LETTER) for said, _ in column) + _GAP for column in columns]
    strokes: list[Stroke] = []
    words: list[Word] = []
    rows = max(len(column) for column in columns)
    for at, column in enumerate(columns):
        left = sum(wide[:at])
        for row, (said, draw) in enumerate(column):
            middle = (rows - row - 0.5) * _ROW
            sample = draw()
            dx, dy = left + (_SAMPLE - sample[2]) / 2, middle - sample[3] / 2
            strokes += moved_strokes(sample[0], dx, dy)
            words.append(Word(said, (left + _SAMPLE + 2.5, middle - LETTER / 2), LETTER, layer="picture"))
    box = (-1.0, -1.0, sum(wide) + 1.0, rows * _ROW + 1.0)
    title = "Key to the pictures: right sides are plain, wrong sides hatched; " + ", ".join(
        said for said, _ in samples[2:]
    )
    return Drawing(tuple(strokes), tuple(words), box, title)


def _painted(scene: list[Item], room: tuple[float, float]) -> Sheet:
    drawn = paint(scene, room)
    if drawn is None:
        return [], [], 0.0, 0.0
    return list(drawn.strokes), list(drawn.words), drawn.wide, drawn.high


def _square(wide: float = 18.0, high: float = 10.0) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    return np.array([(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high), (0.0, 0.0)])


def _cloth(face: str) -> Sheet:
    return _painted([Area(_square(), "wrong" if face == "wrong" else "right")], (_SAMPLE, 9.0))


def _ribbon() -> Sheet:
    board = Board()
    board.ribbon(Way((0.0, 0.0), 0.0).go(_SAMPLE), 1.0, (False, True))
    return _on_board(board)


def _row_across() -> Sheet:
    board = Board()
    for side in (1.0, -1.0):
        board.ribbon(Way((0.0, side * PITCH / 2), 0.0).go(_SAMPLE), -side, (False, True))
    board.stitch(_SAMPLE * 0.55, PITCH / 2, -PITCH / 2)
    return _on_board(board)


def _on_board(board: Board) -> Sheet:
    left, low, right, high = board.box
    strokes = moved_strokes(board.strokes, -left, -low)
    return strokes, [], right - left, high - low


def _line(kind: str) -> Sheet:
    pens = {"row": "row", "tacking": "tacking", "fold": "fold", "measure": "measure"}
    return [Stroke(line((0.0, 0.0), (_SAMPLE, 0.0)), pens[kind], "picture")], [], _SAMPLE, 0.0  # type: ignore[arg-type]


def _sign(kind: str) -> Sheet:
    edge = Line(np.array([(0.0, 0.0), (_SAMPLE, 0.0)]), "notch")
    middle = (_SAMPLE / 2, 3.0 if kind == "cross" else 0.0)
    sign = Sign("cross", middle) if kind == "cross" else Sign("pin" if kind == "pin" else "notch", middle)
    drawn = paint([edge, sign], (_SAMPLE, _SAMPLE), (0.0, -1.0, _SAMPLE, 4.0))
    return (list(drawn.strokes), [], drawn.wide, drawn.high) if drawn is not None else ([], [], 0.0, 0.0)


def _zip() -> Sheet:
    count = 21
    ys = np.where(np.arange(count) % 2 == 0, -0.9, 0.9)
    teeth = np.column_stack((np.linspace(0.0, _SAMPLE, count), ys))
    return [Stroke(polyline(teeth), "notch", "picture")], [], _SAMPLE, 0.0
