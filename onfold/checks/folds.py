"""Folds and facings cut in one: straight folds, curves square to them, facings that lie on their garment edge."""

from __future__ import annotations

import numpy as np

from onfold.checks.seams import inner_angle
from onfold.checks.subject import Subject, on_piece
from onfold.construction import turn_of_cloth
from onfold.geometry.apart import distances_to
from onfold.geometry.path import end, flatten, mirrored, start
from onfold.pattern import Edge, Inner, Piece, edges_of
from onfold.problems import Problem, problem

STRAIGHT_WITHIN = 0.01  # mm
SQUARE_WITHIN = 3.0  # degrees [C]
MIRROR_WITHIN = 0.05  # mm
TURN_WITHIN = 0.5  # mm: what the turn of the cloth is rounded to


def folds_straight(subject: Subject) -> list[Problem]:
    """FOLD-STRAIGHT: a fold edge lies within 0.01 mm of a straight line, and a piece on the fold has one.

    Source [A]: flat cloth folds along a straight line only.
    """
    found = []
    for piece in subject.pattern.pieces:
        folds = [edge for edge in piece.edges if edge.fold]
        if piece.on_fold and not folds:
            found.append(_no_fold(piece))
        for edge in folds:
            off = bow_of(edge)
            if off > STRAIGHT_WITHIN:
                found.append(_bent(piece, edge, off))
    return found


def bow_of(edge: Edge) -> float:
    """Return how far, mm, an edge's control points lie off the straight line from its start to its end."""
    controls = edge.path.curves.reshape(-1, 2)
    chord = controls[-1] - controls[0]
    size = float(np.hypot(chord[0], chord[1]))
    away = controls - controls[0]
    if size == 0.0:
        return float(np.hypot(away[:, 0], away[:, 1]).max())
    return float(np.abs(away[:, 0] * chord[1] - away[:, 1] * chord[0]).max() / size)


def _no_fold(piece: Piece) -> Problem:
    return problem(
        "FOLD-STRAIGHT",
        says=f"The {piece.name} is cut on the fold, but none of its edges is the fold.",
        found="no fold edge",
        expected="one straight edge on the fold of the cloth",
        remedy="Name the centre line as the fold in the step that begins the piece, or cut the piece in two.",
        where=on_piece(piece.name),
    )


def _bent(piece: Piece, edge: Edge, off: float) -> Problem:
    return problem(
        "FOLD-STRAIGHT",
        says=f"The {edge.root} of the {piece.name} lies on the fold and bends by {off:.2f} mm. Cloth folds along a "
        "straight line only.",
        found=f"{off:.2f} mm off the straight",
        expected=f"straight within {STRAIGHT_WITHIN} mm",
        remedy=f"Rule the {edge.root} straight from its first point to its last, or cut the {piece.name} as two "
        "pieces with a seam there.",
        where=on_piece(piece.name),
    )


def curves_square_to_folds(subject: Subject) -> list[Problem]:
    """FOLD-SQUARE: a curved edge meets a fold at 90 degrees within 3; a straight one may make a V or a point.

    Source [A]: opened out, the curve and its mirror image join without a corner only at a right angle; the 3 degrees
    are [C].
    """
    found = []
    for piece in subject.pattern.pieces:
        count = len(piece.edges)
        for index, edge in enumerate(piece.edges):
            if not edge.fold:
                continue
            before, after = piece.edges[index - 1], piece.edges[(index + 1) % count]
            for neighbour, angle, last in (
                (before, inner_angle(before, edge), True),
                (after, inner_angle(edge, after), False),
            ):
                if curved_at(neighbour, last) and abs(angle - 90.0) > SQUARE_WITHIN:
                    found.append(_off_square(piece, neighbour, edge, angle))
    return found


def curved_at(edge: Edge, last: bool) -> bool:
    """Return whether the edge's last (or first) stretch is a curve and not a line drawn as one."""
    index = -1 if last else 0
    if bool(edge.path.straight[index]):
        return False
    controls = edge.path.curves[index]
    chord = controls[3] - controls[0]
    away = controls[1:3] - controls[0]
    return bool(np.abs(away[:, 0] * chord[1] - away[:, 1] * chord[0]).max() > 0.01 * np.hypot(chord[0], chord[1]))


def _off_square(piece: Piece, edge: Edge, fold: Edge, angle: float) -> Problem:
    shape = "a point" if angle < 90.0 else "a dip"
    return problem(
        "FOLD-SQUARE",
        says=f"The {edge.root} of the {piece.name} meets the {fold.root} at {angle:.0f}°: opened out it makes {shape} "
        "there. A curve that runs over the fold meets it square.",
        found=f"{angle:.0f}°",
        expected=f"90° within {SQUARE_WITHIN:.0f}°",
        remedy=f"Let the {edge.root} set out square from the {fold.root}, for a hand's width at least; where a point "
        "is meant, draw it straight to the fold.",
        where=on_piece(piece.name),
    )


def facings(piece: Piece) -> list[tuple[str, Inner]]:
    """Return the root of each edge that a facing cut in one mirrors, with the fold line it is turned back on."""
    lines = [inner for inner in piece.inner if inner.kind == "fold line"]
    if not lines:
        return []
    roots = dict.fromkeys(edge.root for edge in piece.edges)
    return [(root, lines[0]) for root in roots if f"{root} facing" in roots]


def facings_mirror(subject: Subject) -> list[Problem]:
    """FACING-MIRROR: turned back on its fold line, a facing's side lies within 0.05 mm of the edge it faces.

    Source [A]: a fold is a reflection; the bar is this project's.
    """
    found = []
    for piece in subject.pattern.pieces:
        for root, line in facings(piece):
            off = mirror_gap(piece, root, line)
            if off > MIRROR_WITHIN:
                found.append(_not_mirrored(subject, piece, root, line, off))
    return found


def mirror_gap(piece: Piece, root: str, line: Inner) -> float:
    """Return the greatest distance, mm, from the turned-back side of a facing to the edge that it faces."""
    a, b = start(line.path), end(line.path)
    turned = [flatten(mirrored(edge.path, a, b), 0.02) for edge in edges_of(piece, f"{root} facing")]
    under = [flatten(edge.path, 0.005) for edge in edges_of(piece, root)]
    return max(float(distances_to(points, np.concatenate(under)).max()) for points in turned)


def _not_mirrored(subject: Subject, piece: Piece, root: str, line: Inner, off: float) -> Problem:
    return problem(
        "FACING-MIRROR",
        says=f"Folded on the {line.name}, the {root} facing of the {piece.name} lies {subject.say_fine(off)} off the "
        f"{root}: it would show or drag.",
        found=f"{off:.2f} mm off",
        expected=f"within {MIRROR_WITHIN} mm",
        remedy=f"Draw the facing after the {root} is trued, by turning it over on the {line.name}; no later step may "
        "move either.",
        where=on_piece(piece.name),
    )


def facings_short(subject: Subject) -> list[Problem]:
    """FACING-TURN: a facing's allowance is shorter than its edge's by the turn of the cloth, 1 to 3 mm by thickness.

    Source [C]: common practice; what the fold takes is twice the thickness.
    """
    found = []
    wanted = turn_of_cloth(subject.cloth)
    for piece in subject.pattern.pieces:
        for root, _ in facings(piece):
            under, over = edges_of(piece, root)[0], edges_of(piece, f"{root} facing")[0]
            short = under.allowance - over.allowance
            if short < wanted - TURN_WITHIN:
                found.append(_too_long(subject, piece, root, short, wanted))
    return found


def _too_long(subject: Subject, piece: Piece, root: str, short: float, wanted: float) -> Problem:
    finish = edges_of(piece, root)[0].finish or "folded facing 7 mm"
    finish = f"'{finish}'" if "," in finish else finish
    return problem(
        "FACING-TURN",
        says=f"The {root} facing of the {piece.name} is cut {subject.say_fine(max(short, 0.0))} shorter than the "
        f"{root}; this cloth takes {subject.say_fine(wanted)} to turn. The facing would roll out.",
        found=subject.say_fine(short),
        expected=subject.say_fine(wanted),
        remedy="Give both the same finish; then the facing is cut so much shorter: "
        f"finish: {{{root}: {finish}, {root} facing: {finish}}}.",
        where=on_piece(piece.name),
    )
