"""The levels as they are marked on the pieces, and by which of them a piece is put on the body."""

from __future__ import annotations

from onfold.body.form import Form
from onfold.pattern import Piece

TELLS_BEST = ("waist", "hip", "bust", "underarm")
"""By which level a piece is put on the body: the first of these that is marked on it."""


def level_heights(piece: Piece | None) -> dict[str, float]:
    """Return how high each level is marked on a piece, mm in its frame; of one that is tilted, its first end."""
    inner = () if piece is None else piece.inner
    return {
        each.name: float(each.path.curves[0, 0, 1]) for each in inner if each.kind == "level" and len(each.path.curves)
    }


def put_on(piece: Piece | None, form: Form) -> tuple[float, float] | None:
    """Return where the level by which a piece is put on lies: mm above the floor, and mm in the piece's frame."""
    marked = level_heights(piece)
    level = next((each for each in TELLS_BEST if each in marked and each in form.levels), None)
    return None if level is None else (form.levels[level], marked[level])
