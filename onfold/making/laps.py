"""Which side of a back opening lies over the other, so that zip, vent and waistband all say the same.

Common practice [C]: at a centre back the left back laps over the right, as worn; the underlap lies on the right back.
"""

from __future__ import annotations

from dataclasses import dataclass

from onfold.making.folds import folds_of
from onfold.pattern import Pattern, Piece


@dataclass(frozen=True)
class Lap:
    """The side that lies over and the side that lies under, as a sentence names them: `left back`, `right back`.

    `known` is False where the sides are not those of a centre back, and are named by how they lie alone.
    """

    over: str
    under: str
    known: bool = True


UNKNOWN = Lap("upper side", "under side", known=False)


def lap_at(piece: Piece | None) -> Lap:
    """Return which side of a piece laps over: known where it is one of a pair that meets at the back."""
    if piece is None or not piece.mirrored_pair or "back" not in piece.name.split():
        return UNKNOWN
    return Lap(f"left {piece.name}", f"right {piece.name}")


def lap_of(pattern: Pattern) -> Lap:
    """Return which side laps over at the garment's first opening, else at its first vent."""
    for opening in pattern.openings:
        for text in opening.edges:
            lap = lap_at(pattern.piece(text.rpartition(" of ")[2]))
            if lap.known:
                return lap
    for piece in pattern.pieces:
        if any(fold.kind == "vent" for fold in folds_of(pattern, piece)) and lap_at(piece).known:
            return lap_at(piece)
    return UNKNOWN
