"""A piece turned a quarter on the paper, so that its long way runs along a roll; what is cut stays the same."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from onfold.geometry.path import Path
from onfold.pattern import Piece, Point


def quarter_turned(piece: Piece, one_way: bool) -> Piece:
    """Return the piece turned anticlockwise by a quarter about (0, 0), to the bit: x and y change places.

    On `one_way` cloth the grain is led to the piece's top first: turned, its arrow can't tell by itself where that is.
    """
    grain = piece.grain
    if grain is not None:
        ends = (grain.end, grain.start) if one_way and grain.end[1] < grain.start[1] else (grain.start, grain.end)
        grain = replace(grain, start=_point(ends[0]), end=_point(ends[1]))
    return replace(
        piece,
        edges=tuple(replace(each, path=_path(each.path)) for each in piece.edges),
        grain=grain,
        notches=tuple(replace(each, at=_point(each.at)) for each in piece.notches),
        marks=tuple(replace(each, at=_point(each.at)) for each in piece.marks),
        inner=tuple(replace(each, path=_path(each.path)) for each in piece.inner),
        cut_line=None if piece.cut_line is None else _over(piece.cut_line),
    )


def _point(at: Point) -> Point:
    return -at[1], at[0]


def _path(path: Path) -> Path:
    return Path(_over(path.curves), path.straight)


def _over(points: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.stack((-points[..., 1], points[..., 0]), axis=-1)
