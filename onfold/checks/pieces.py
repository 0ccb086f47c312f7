"""What every piece must carry to be cut: grain, name, count, and room on the cloth."""

from __future__ import annotations

import math

import numpy as np

from onfold.checks.subject import Floats, Subject, on_piece
from onfold.cloth import in_one_layer, one_way, usable_width
from onfold.pattern import Piece
from onfold.problems import Problem, problem
from onfold.units import capital

_WITHIN = 0.5  # mm
SAME_WITHIN = 1.0  # mm within which a piece's two halves count as alike


def grain_lines(subject: Subject) -> list[Problem]:
    """PIECE-GRAIN: each piece has a grain line of some length. Source [C]: a piece without cannot be laid."""
    return [
        problem(
            "PIECE-GRAIN",
            says=f"The {piece.name} has no grain line, so it cannot be laid on the cloth.",
            found="no grain line",
            expected="a grain line",
            remedy=f"Add a grain step for the {piece.name}: straight, cross or bias.",
            where=on_piece(piece.name),
        )
        for piece in subject.pattern.pieces
        if piece.grain is None or math.dist(piece.grain.start, piece.grain.end) <= 0.0
    ]


def labels(subject: Subject) -> list[Problem]:
    """PIECE-LABEL: each piece has a name and a cut count of at least one. Source [C]: "cut n (pair)"."""
    found = []
    for piece in subject.pattern.pieces:
        lacks = [] if piece.name.strip() else ["name"]
        lacks += [] if piece.cut >= 1 else ["cut count"]
        if lacks:
            name = piece.name.strip() or "piece without a name"
            found.append(
                problem(
                    "PIECE-LABEL",
                    says=f"The {name} has no {' and no '.join(lacks)}: the cutter must know what it is and how many.",
                    found=f"no {' and no '.join(lacks)}",
                    expected="a name and how many to cut",
                    remedy=f"Add a cut step for the {name} that says how many: cut: 1, or cut: 2 as a pair.",
                    where=on_piece(piece.name),
                )
            )
    return found


def across_the_cloth(piece: Piece) -> float | None:
    """Return how wide a piece lies across the cloth, mm, opened out where it is on the fold; None without an outline.

    Measured on its cut line, square to its grain.
    """
    if piece.cut_line is not None and len(piece.cut_line):
        ring = piece.cut_line
    elif piece.edges:
        ring = np.concatenate([edge.path.curves.reshape(-1, 2) for edge in piece.edges])
        ring = np.concatenate([ring - widest_allowance(piece), ring + widest_allowance(piece)])
        ring = np.maximum(ring, 0.0) if piece.on_fold else ring
    else:
        return None
    return _extent(ring, piece)


def widest_allowance(piece: Piece) -> float:
    """Return the widest allowance of a piece, mm."""
    return max(edge.allowance for edge in piece.edges)


def _extent(ring: Floats, piece: Piece) -> float:
    along = (0.0, 1.0)
    if piece.grain is not None:
        dx, dy = piece.grain.end[0] - piece.grain.start[0], piece.grain.end[1] - piece.grain.start[1]
        size = math.hypot(dx, dy)
        along = (dx / size, dy / size) if size > 0.0 else along
        if piece.grain.kind == "cross":
            along = (-along[1], along[0])
    if piece.on_fold:
        ring = np.concatenate([ring, ring * (-1.0, 1.0)])
    across = ring[:, 0] * -along[1] + ring[:, 1] * along[0]
    return float(across.max() - across.min())


def pieces_fit(subject: Subject) -> list[Problem]:
    """PIECE-WIDTH: each piece, opened out where it is on the fold, fits between the selvages after shrinking.

    Folded lengthwise the half lies on half the width, so one sum holds for both. Source [A].
    """
    cloth = subject.cloth
    width = usable_width(cloth) * (1.0 - cloth.shrinkage_across)
    found = []
    for piece in subject.pattern.pieces:
        wide = across_the_cloth(piece) if piece.material == "main" else None
        if wide is None or wide <= width + _WITHIN:
            continue
        beside = cloth.width - usable_width(cloth)
        shrinks = max(1e-6, 1.0 - cloth.shrinkage_across)
        needed = subject.say_up(wide / shrinks + beside)
        opened = ", opened out," if piece.on_fold else ""
        seam = "a centre seam, cut as a pair" if piece.on_fold else "a seam across it"
        found.append(
            problem(
                "PIECE-WIDTH",
                says=f"The {piece.name}{opened} is {subject.say_up(wide)} wide with its allowances; between the "
                f"selvages there are {subject.say_down(width)}.",
                found=subject.say_up(wide),
                expected=f"at most {subject.say_down(width)}",
                remedy=f"Use a cloth at least {needed} wide: cloth: {{width: {needed}}}; or give the piece {seam}"
                + _turned_round(subject, piece, width)
                + ".",
                where=on_piece(piece.name),
            )
        )
    return found


def _turned_round(subject: Subject, piece: Piece, width: float) -> str:
    """Return the offer to lay the piece crosswise, where it would fit so and the cloth allows it."""
    if piece.cut_line is None or one_way(subject.cloth) or piece.grain is None:
        return ""
    height = float(np.ptp(piece.cut_line[:, 1]))
    if height > width or subject.cloth.stretch_across > 0.0:
        return ""
    return "; or, where pattern and hang allow, lay it with its grain across the cloth"


def needs_pair(subject: Subject, piece: Piece) -> bool:
    """Return whether a piece cut more than once is sewn as itself and as its mirror image."""
    if piece.on_fold or piece.cut < 2 or piece.mirrored_pair:
        return False
    runs = [
        run
        for seam in subject.pattern.seams
        for run in (*seam.sides[0], *seam.sides[1])
        if run.piece == piece.name
    ]  # fmt: skip
    sewn_twice = any(
        seam.twice
        for seam in subject.pattern.seams
        for run in (*seam.sides[0], *seam.sides[1])
        if run.piece == piece.name and any(other.piece != piece.name for side in seam.sides for other in side)
    )
    return (sewn_twice or any(run.copy == "mirrored" for run in runs)) and not symmetric(subject, piece)


def symmetric(subject: Subject, piece: Piece) -> bool:
    """Return whether a piece is its own mirror image about its upright middle, within 1 mm at its corners."""
    corners = np.array([edge.path.curves[0, 0] for edge in piece.edges])
    if not len(corners):
        return True
    turned = corners * (-1.0, 1.0) + (corners[:, 0].min() + corners[:, 0].max(), 0.0)
    gaps = np.hypot(*(turned[:, None, :] - corners[None]).transpose(2, 0, 1)).min(axis=1)
    return bool(gaps.max() <= SAME_WITHIN)


def pairs_on_one_way_cloth(subject: Subject) -> list[Problem]:
    """NAP-PAIR: pieces sewn left and right are cut as a mirrored pair; in one-way cloth a note says how to lay them.

    Source [C]: all tops lie one way, a pair is cut with one piece turned over, never turned round; pile, stripes and
    checks are cut in one layer (T186).
    """
    found = [_not_a_pair(piece) for piece in subject.pattern.pieces if needs_pair(subject, piece)]
    pairs = [piece.name for piece in subject.pattern.pieces if piece.mirrored_pair and piece.material == "main"]
    if pairs and one_way(subject.cloth):
        found.append(_lay_one_way(subject, pairs))
    return found


def _not_a_pair(piece: Piece) -> Problem:
    return problem(
        "NAP-PAIR",
        says=f"The {piece.name} is cut {piece.cut} times but not as a pair: with all tops one way both would be for "
        "the same side.",
        found=f"cut {piece.cut}",
        expected=f"cut {piece.cut} as a mirrored pair",
        remedy=f"Say in the cut step of the {piece.name} that it is a pair.",
        where=on_piece(piece.name),
    )


def _lay_one_way(subject: Subject, pairs: list[str]) -> Problem:
    side = "wrong side up" if "pile" in subject.cloth.surface else "right side up"
    how = f"in one layer, {side}" if in_one_layer(subject.cloth) else "folded lengthwise, right sides together"
    names = " and the ".join(pairs)
    return problem(
        "NAP-PAIR",
        says=f"{capital(subject.cloth.name or 'the cloth')} runs one way: lay all tops to one end, and cut the {names} "
        "with one piece turned over, not round.",
        found="one-way cloth",
        expected="all tops to one end",
        remedy=f"Cut {how}.",
        severity="note",
    )
