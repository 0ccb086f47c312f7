"""What is to be laid: each piece as often as it is cut, with every way it may lie on this cloth.

A piece's frame has its top at greater y. On the cloth the top points along x, to the far end: that is turn 0. Laid
face down a piece is mirrored across the cloth (y), so that its top still points the same way along it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from onfold.geometry.region import ALIKE, farthest, joined_to_mirror
from onfold.lay.bed import Bed
from onfold.pattern import Piece

Ring = NDArray[np.float64]
Face = Literal["up", "down"]
_UPRIGHT = 1e-6
"""Sine within which a fold edge laid on the cloth runs along it."""


@dataclass(frozen=True)
class Way:
    """How a piece lies: its printed `face` up or down, `turn` degrees anticlockwise from its top to the far end.

    `spin` is by how much the piece's own frame is turned, before it is turned over where it lies face down.
    """

    face: Face
    turn: float
    spin: float

    @property
    def matrix(self) -> Ring:
        """Return the 2 x 2 matrix that takes points (n, 2) of the piece's frame onto the cloth: points @ matrix.T."""
        c, s = _cosine(self.spin), _cosine(self.spin - 90.0)
        over = -1.0 if self.face == "down" else 1.0
        return np.array(((c, -s), (over * s, over * c)))

    @property
    def top(self) -> tuple[float, float]:
        """Return the unit direction in which the grain arrow's head points on the cloth."""
        over = -1.0 if self.face == "down" else 1.0
        return _cosine(self.turn), over * _cosine(self.turn - 90.0)


def _cosine(degrees: float) -> float:
    """Return the cosine, exact at quarter turns."""
    exact = {0.0: 1.0, 90.0: 0.0, 180.0: -1.0, 270.0: 0.0}.get(degrees % 360.0)
    return math.cos(math.radians(degrees)) if exact is None else exact


@dataclass(frozen=True, eq=False)
class Part:
    """One thing to lay: `ring` (n, 2) is its closed cut line in the piece's frame, opened out or half on a fold.

    `gives` is how many pieces of cloth it yields; `layers` how many layers are cut through (one of two: cut singly).
    Parts of one `shape` have the same ring and ways. `whose` names the ticket where several are laid together.
    """

    piece: str
    copy: int
    ring: Ring
    ways: tuple[Way, ...]
    on_fold: bool
    gives: int
    layers: int
    shape: int
    source: Piece = field(repr=False)
    whose: str = ""

    @property
    def name(self) -> str:
        """Return what it is called in words: `front`, or `alto-1: front`."""
        return f"{self.whose}: {self.piece}" if self.whose else self.piece


def parts_for(bed: Bed, groups: Sequence[tuple[str, Sequence[Piece]]]) -> list[Part]:
    """Return what is laid on this bed for some tickets' pieces, (whose, pieces) each; cut in no cloth, none.

    Opened out, a piece on the fold is joined to its mirror, and of a mirrored pair one is turned over. In two layers
    one placing gives a pair; what is cut once, or twice but not as a pair, is cut from the upper layer alone.
    """
    parts: list[Part] = []
    for whose, pieces in groups:
        for piece in pieces:
            if piece.cut > 0 and piece.cut_line is not None and len(piece.cut_line) > 3:
                parts.extend(_parts_of(bed, piece, whose, len(parts)))
    return parts


def _parts_of(bed: Bed, piece: Piece, whose: str, shape: int) -> Iterable[Part]:
    half = _closed(piece.cut_line) if piece.cut_line is not None else np.zeros((0, 2))
    faces: tuple[Face, ...] = ("up", "down")
    folded = piece.on_fold and bed.layers == 2 and any(band.fold_low or band.fold_high for band in bed.bands)
    if folded:
        ways = tuple(way for way in ways_of(piece, bed.one_way, faces) if _runs_along(way))
        if ways:
            return [Part(piece.name, n, half, ways, True, 1, 2, shape, piece, whose) for n in range(1, piece.cut + 1)]
    ring = joined_to_mirror(half) if piece.on_fold else half
    even = is_even(ring)
    own: tuple[Face, ...] = ("up",) if even or bed.upward == "right side" else ("down",)
    other: tuple[Face, ...] = ("down",) if own == ("up",) else ("up",)
    if bed.layers == 1:
        pairs = piece.cut // 2 if piece.mirrored_pair and not even else 0
        sides = [own] * (piece.cut - pairs) + [other] * pairs
        laid = {face: ways_of(piece, bed.one_way, face) for face in (own, other)}
        return [
            Part(piece.name, n, ring, laid[side], False, 1, 1, shape + (0 if side == own else pairs), piece, whose)
            for n, side in enumerate(sides, start=1)
        ]
    doubles = piece.cut // 2 if piece.mirrored_pair or even else 0
    both, one = ways_of(piece, bed.one_way, faces), ways_of(piece, bed.one_way, own)
    return [
        *(Part(piece.name, n, ring, both, False, 2, 2, shape, piece, whose) for n in range(1, doubles + 1)),
        *(
            Part(piece.name, n, ring, one, False, 1, 1, shape + doubles, piece, whose)
            for n in range(doubles + 1, piece.cut - doubles + 1)
        ),
    ]


def ways_of(piece: Piece, one_way: bool, faces: tuple[Face, ...]) -> tuple[Way, ...]:
    """Return the ways the grain lets a piece lie: along the cloth, across it, or slantwise; one-way cloth, one only.

    Where its recipe lets it tilt, it may also lie by that much, and by half of it, to either side.
    """
    kind = piece.grain.kind if piece.grain is not None else "straight"
    turns = {"straight": (0.0, 180.0), "cross": (90.0, 270.0), "bias": (45.0, 135.0, 225.0, 315.0)}[kind]
    lean, tilt = _grain_angle(piece), piece.grain.tilt if piece.grain is not None else 0.0
    tilts = (0.0, tilt, -tilt, tilt / 2.0, -tilt / 2.0) if tilt > 0.0 else (0.0,)
    return tuple(
        Way(face, (turn + off) % 360.0, (turn + off - lean) % 360.0)
        for face in faces
        for turn in (turns[:1] if one_way else turns)
        for off in tilts
    )


def _grain_angle(piece: Piece) -> float:
    """Return the direction of the grain arrow in the piece's frame, degrees; straight up where there is none."""
    if piece.grain is None or piece.grain.start == piece.grain.end:
        return 90.0
    (ax, ay), (bx, by) = piece.grain.start, piece.grain.end
    return math.degrees(math.atan2(by - ay, bx - ax))


def _runs_along(way: Way) -> bool:
    """Return whether a fold, upright in the piece's frame, lies along the cloth."""
    return abs(float(way.matrix[1, 1])) < _UPRIGHT


def _closed(ring: Ring) -> Ring:
    return ring if np.array_equal(ring[0], ring[-1]) else np.concatenate([ring, ring[:1]])


def is_even(ring: Ring) -> bool:
    """Return whether a ring is its own mirror image in an upright line: left and right are alike."""
    middle = float(ring[:, 0].min() + ring[:, 0].max())
    twin = ring * (-1.0, 1.0) + (middle, 0.0)
    return farthest(ring, twin) <= ALIKE
