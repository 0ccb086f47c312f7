"""Seams walked on paper: partners equal, notches meeting, edges running true across the join."""

from __future__ import annotations

import math
from dataclasses import dataclass

from onfold.checks.subject import Subject, finish_of, on_piece, run_edges, run_length
from onfold.construction import give_of
from onfold.geometry.path import end, end_tangent, start, start_tangent
from onfold.pattern import Edge, Piece, Run, Seam, sewn_to_itself
from onfold.problems import Problem, problem
from onfold.units import capital

SEAM_TOLERANCE = 1.0  # mm, after the stated ease
NOTCH_TOLERANCE = 1.0  # mm along the seam
ALLOWANCE_TOLERANCE = 0.5  # mm
JOIN_TOLERANCE = 5.0  # degrees off a straight run [C]
NOTCH_FROM = 250.0  # mm of seam from which a balance mark is wanted [C]


def seam_partners(subject: Subject) -> list[Problem]:
    """SEAM-LENGTH: the two sides of each seam are equal within 1 mm once the stated ease is taken off the first.

    Source [A]: both are stitched along one line; the 1 mm is the project's own bar.
    """
    found = []
    for seam in subject.pattern.seams:
        missing = [f"{run.edge} of {run.piece}" for run in (*seam.sides[0], *seam.sides[1]) if not _drawn(subject, run)]
        if missing:
            found.append(_missing(seam, missing))
            continue
        first, second = (sum(run_length(subject, run) for run in side) for side in seam.sides)
        off = first - seam.ease - second
        if abs(off) > SEAM_TOLERANCE:
            found.append(_unequal(subject, seam, first, second, off))
    return found


def _drawn(subject: Subject, run: Run) -> bool:
    return bool(run_edges(subject, run))


def _missing(seam: Seam, missing: list[str]) -> Problem:
    return problem(
        "SEAM-LENGTH",
        says=f"{capital(seam.name)} sews {' and '.join(missing)}, which is not drawn.",
        found=f"no {missing[0]}",
        expected="two edges of the draft",
        remedy="Name in the seam's step the edges as they are called on the pieces.",
    )


def _side_name(side: tuple[Run, ...]) -> str:
    pieces = list(dict.fromkeys(run.piece for run in side))
    return " and ".join(pieces)


def _unequal(subject: Subject, seam: Seam, first: float, second: float, off: float) -> Problem:
    a, b = (_side_name(side) for side in seam.sides)
    if a == b:
        a, b = f"{a} ({seam.sides[0][0].edge})", f"{b} ({seam.sides[1][0].edge})"
    gap = subject.say_fine(abs(off))
    eased = f" after {subject.say_fine(seam.ease)} of ease" if seam.ease else ""
    longer = (a if off > 0 else b) if first - second > 0 or not seam.ease else a
    return problem(
        "SEAM-LENGTH",
        says=f"{capital(seam.name)}: the two sides differ by {gap}{eased}: {a} {subject.say(first)}, "
        f"{b} {subject.say(second)}. Walk them from the hem and true the end.",
        found=f"{a} {subject.say(first)}, {b} {subject.say(second)}",
        expected=f"equal within {subject.say_fine(SEAM_TOLERANCE)}{eased}",
        remedy=f"Walk the two from the end where they start and shorten {longer} by {gap}; or, where the difference "
        f"is meant to be eased in, say so in the seam's step: ease: {subject.say_fine(seam.ease + off)}.",
        where=on_piece(seam.sides[0][0].piece),
    )


def seam_allowances(subject: Subject) -> list[Problem]:
    """SEAM-ALLOWANCE: both sides of a seam carry one allowance.

    Source [A]: raw edges are laid together and stitched at one distance from them.
    """
    found = []
    for seam in subject.pattern.seams:
        widths: dict[str, float] = {}
        for run in (*seam.sides[0], *seam.sides[1]):
            for edge in run_edges(subject, run):
                widths[f"{edge.name} of {run.piece}"] = edge.allowance
        if widths and max(widths.values()) - min(widths.values()) > ALLOWANCE_TOLERANCE:
            found.append(_two_allowances(subject, seam, widths))
    return found


def _two_allowances(subject: Subject, seam: Seam, widths: dict[str, float]) -> Problem:
    least, most = min(widths, key=lambda each: widths[each]), max(widths, key=lambda each: widths[each])
    a, b = subject.say_fine(widths[least]), subject.say_fine(widths[most])
    finish = seam.finish or f"plain {b}"
    return problem(
        "SEAM-ALLOWANCE",
        says=f"{capital(seam.name)} has two allowances: {a} on the {least}, {b} on the {most}. "
        "Laid raw edge to raw edge the stitching lines would not meet.",
        found=f"{a} and {b}",
        expected="one allowance on both sides",
        remedy=f"Give the seam one finish and leave its edges without their own: finish: {{{seam.name}: {finish}}}.",
        where=on_piece(seam.sides[0][0].piece),
    )


@dataclass(frozen=True)
class Walked:
    """One side of a seam as walked from its sewn start: its notches, where its edges join, mm, and its length.

    Edges join where a seam ends on it and where a dart is closed in it: places to match by, like notches.
    """

    notches: list[tuple[float, str]]
    joins: list[float]
    length: float


def walk_side(subject: Subject, side: tuple[Run, ...]) -> Walked:
    """Return the notches and inner joins of one side of a seam, mm from its sewn start, in order."""
    notches: list[tuple[float, str]] = []
    joins: list[float] = []
    gone = 0.0
    for run in side:
        whole = run_length(subject, run)
        along = _notches_along(subject, run)
        notches += [(gone + (whole - each if run.reversed else each), run.piece) for each in along]
        leaves = [subject.lengths[run.piece, edge.name] for edge in run_edges(subject, run)]
        for leaf in reversed(leaves) if run.reversed else leaves:
            gone += leaf
            joins.append(gone)
    return Walked(sorted(notches), joins[:-1], gone)


def _notches_along(subject: Subject, run: Run) -> list[float]:
    """Return mm from the first point of the run's edges, anticlockwise, of each notch on them that meets a partner."""
    piece = subject.pattern.piece(run.piece)
    if piece is None:
        return []
    starts: dict[str, float] = {}
    gone = 0.0
    for edge in run_edges(subject, run):
        starts[edge.name] = gone
        gone += subject.lengths[run.piece, edge.name]
    starts.setdefault(run.edge, 0.0)
    meeting = (notch for notch in piece.notches if notch.kind != "dart" and notch.edge in starts)
    return [starts[notch.edge] + notch.along for notch in meeting]


def notches_meet(subject: Subject) -> list[Problem]:
    """NOTCH-MEET: each notch meets a notch, or a seam that joins its partner, within 1 mm (and the stated ease).

    Both are measured from the same sewn end. Source [A]: laid together from that end, equal lengths lie on each other.
    """
    found = []
    for seam in subject.pattern.seams:
        first, second = (walk_side(subject, side) for side in seam.sides)
        if not first.notches or not second.notches:
            continue
        slack = NOTCH_TOLERANCE + abs(seam.ease)
        for here, there in ((first, second), (second, first)):
            found += [
                _apart(subject, seam, at, name, there) for at, name in here.notches if _nearest(at, there) > slack
            ]
    return found


def _meeting_points(side: Walked) -> list[float]:
    return [at for at, _ in side.notches] + side.joins


def _nearest(at: float, other: Walked) -> float:
    return min(abs(at - each) for each in _meeting_points(other))


def _apart(subject: Subject, seam: Seam, at: float, name: str, other: Walked) -> Problem:
    partner = min(other.notches, key=lambda each: abs(each[0] - at))
    return problem(
        "NOTCH-MEET",
        says=f"{capital(seam.name)}: the notch on {name} lies {subject.say(at)} from where the seam starts, its "
        f"partner on {partner[1]} {subject.say(partner[0])}: {subject.say_fine(abs(at - partner[0]))} apart.",
        found=f"{subject.say(at)} and {subject.say(partner[0])}",
        expected=f"the same distance within {subject.say_fine(NOTCH_TOLERANCE)}",
        remedy=f"Move the notch on {partner[1]} to {subject.say(at)} from the end where the seam starts, or notch both "
        "sides in one step.",
        where=on_piece(name),
    )


def long_seams_notched(subject: Subject) -> list[Problem]:
    """PIECE-NOTCH: a seam longer than 25 cm has a balance mark on both sides. Source [C], common practice."""
    found = []
    for seam in subject.pattern.seams:
        sides = [walk_side(subject, side) for side in seam.sides]
        length = max(side.length for side in sides)
        bare = [_side_name(side) for side, walked in zip(seam.sides, sides, strict=True) if not _marked(walked)]
        if length <= NOTCH_FROM or not bare or sewn_to_itself(seam):
            continue
        found.append(
            problem(
                "PIECE-NOTCH",
                says=f"{capital(seam.name)} is {subject.say(length)} long and has no notch on {' or '.join(bare)}. "
                "A long seam without balance marks is easily sewn on askew.",
                found="no notch",
                expected=f"one at least on a seam over {subject.say(NOTCH_FROM)}",
                remedy=f"Add a notch step on both sides of the {seam.name}, at a level or half way.",
                where=on_piece(seam.sides[0][0].piece),
            )
        )
    return found


def _marked(side: Walked) -> bool:
    """Return whether a side has something to match by: a notch, or a seam that joins it part way."""
    return bool(side.notches or side.joins)


def edges_run_true(subject: Subject) -> list[Problem]:
    """JOIN-ANGLE: an edge that runs on over a seam makes no corner there: the two inner angles add up to 180 degrees.

    Hems and upper edges; openings, darts and folds are left out. Source [A]: joined along the seam the two pieces'
    angles at its end add up; the 5 degrees are [C].
    """
    found = []
    for seam in subject.pattern.seams:
        for at_start in (True, False):
            first, second = (_corner(subject, side, at_start) for side in seam.sides)
            if first is None or second is None:
                continue
            total = first.angle + second.angle
            if abs(total - 180.0) > JOIN_TOLERANCE:
                found.append(_broken(seam, first, second, total))
    return found


@dataclass(frozen=True)
class Corner:
    """Where a seam ends on a piece: the edge that runs on from there and the angle inside the piece, degrees."""

    piece: str
    edge: str
    angle: float


def _corner(subject: Subject, side: tuple[Run, ...], at_start: bool) -> Corner | None:
    """Return the corner at one sewn end of a side, None where the neighbour is not meant to run on."""
    if not side:
        return None
    run = side[0] if at_start else side[-1]
    piece = subject.pattern.piece(run.piece)
    leaves = run_edges(subject, run)
    if piece is None or not leaves:
        return None
    forward = at_start == run.reversed
    index = piece.edges.index(leaves[-1] if forward else leaves[0])
    before, after = (index, index + 1) if forward else (index - 1, index)
    incoming, outgoing = piece.edges[before % len(piece.edges)], piece.edges[after % len(piece.edges)]
    neighbour = outgoing if forward else incoming
    if neighbour.fold or neighbour.finish == "dart" or neighbour.root in _ends_of_openings(subject, piece):
        return None
    return Corner(piece.name, neighbour.root, inner_angle(incoming, outgoing))


def inner_angle(incoming: Edge, outgoing: Edge) -> float:
    """Return the angle inside an anticlockwise outline where one edge follows another, degrees from 0 to 360."""
    (ax, ay), (bx, by) = end_tangent(incoming.path), start_tangent(outgoing.path)
    turn = math.degrees(math.atan2(ax * by - ay * bx, ax * bx + ay * by))
    return 180.0 - turn


def _ends_of_openings(subject: Subject, piece: Piece) -> set[str]:
    """Return the roots on this piece that belong to an opening: its edges, and those named after it (`vent top`)."""
    named = {
        edge
        for opening in subject.pattern.openings
        for edge, _, owner in (text.partition(" of ") for text in opening.edges)
        if owner in ("", piece.name)
    }
    words = {name.split()[0] for name in named if name} | {"vent", "zip", "slit", "underlap", "placket"}
    return {edge.root for edge in piece.edges if edge.root in named or edge.root.split()[0] in words}


def _broken(seam: Seam, first: Corner, second: Corner, total: float) -> Problem:
    kind = "dips" if total > 180.0 else "makes a point"
    edge = first.edge if first.edge == second.edge else f"{first.edge} and {second.edge}"
    each = (
        f"{first.angle:.0f}° on {first.piece} and {second.angle:.0f}° on {second.piece}"
        if first.piece != second.piece
        else f"{first.angle:.0f}° on each side"
    )
    return problem(
        "JOIN-ANGLE",
        says=f"The {edge} {kind} at the {seam.name}: {each} add up to {total:.0f}°, not 180°. "
        "Lay the pieces together along the seam and draw the edge through in one line.",
        found=f"{total:.0f}°",
        expected=f"180° within {JOIN_TOLERANCE:.0f}°",
        remedy=f"True the {edge} across the {seam.name}: let it meet the seam square on both pieces.",
        where=on_piece(first.piece),
    )


def seams_give(subject: Subject) -> list[Problem]:
    """SEAM-GIVE: an edge sewn round the body stretches as far as the garment is worn stretched there.

    Edges that carry the name of a level are held to that level, other upper edges to the highest level that has a
    wearing stretch. Source [C]: a lockstitched enclosed seam gives 10 to 15 %, overlock or zigzag nearly all.
    """
    levels = subject.pattern.levels
    worn = [level for level in levels.values() if level.body > 0.0 and level.name != "hem"]
    if not worn or max(level.wearing_stretch for level in worn) <= 0.0:
        return []
    found: dict[str, Problem] = {}
    top = worn[0]
    for piece in subject.pattern.pieces:
        if not any(piece.name == name for level in worn for name, _ in level.across):
            continue
        for edge in piece.edges:
            level = levels.get(edge.root) or (top if _runs_round(subject, piece, edge) else None)
            finish = finish_of(subject, piece, edge)
            if level is None or finish is None or edge.fold or edge.root in found:
                continue
            give = give_of(finish, subject.round_cloth.stretch_across)
            if give < level.wearing_stretch - 1e-6:
                found[edge.root] = _held(piece.name, edge.root, finish.text, give, level.name, level.wearing_stretch)
    return list(found.values())


def _runs_round(subject: Subject, piece: Piece, edge: Edge) -> bool:
    """Return whether an edge lies round the body: sewn to nothing, no facing's end, not more upright than level."""
    if (piece.name, edge.name) in subject.seam_of or edge.root.endswith("facing") or edge.root == "hem":
        return False
    (ax, ay), (bx, by) = start(edge.path), end(edge.path)
    return abs(bx - ax) >= 0.5 * abs(by - ay)


def _held(piece: str, edge: str, text: str, give: float, level: str, worn: float) -> Problem:
    return problem(
        "SEAM-GIVE",
        says=f"The {edge}, sewn {text}, gives {give:.0%}; the garment is worn stretched by {worn:.0%} at the {level}. "
        "The thread would crack or the edge would cut in.",
        found=f"{give:.0%}",
        expected=f"at least {worn:.0%}",
        remedy=f"Sew it with a stitch that gives: finish: {{{edge}: narrow zigzag 8 mm}}.",
        where=on_piece(piece),
    )
