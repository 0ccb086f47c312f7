"""Straps: turnable, placed on both pieces, long enough over the shoulder; cords on children's clothes."""

from __future__ import annotations

import math

import numpy as np

from onfold.checks.places import strap_length
from onfold.checks.subject import Floats, Subject, fact, finish_of, measure, offer_finish, on_piece, run_edges
from onfold.construction import tube_room
from onfold.geometry.apart import distances_to
from onfold.pattern import Mark, Piece, edges_of
from onfold.problems import Problem, problem

OFF_THE_EDGE = 20.0  # mm a strap's mark may lie from the outline or the fold it hangs from
SHORT_BY = 5.0  # mm a strap may be short of its way: the tape over a body is no finer
AT_SHOULDER = 0.25  # of the across front: half way out on each half, where a strap lies on the shoulder [C]


def strap_piece(subject: Subject) -> Piece | None:
    """Return the strap's piece, or None where the garment has none."""
    return next((piece for piece in subject.pattern.pieces if piece.name.startswith("strap")), None)


def strap_turns(subject: Subject) -> list[Problem]:
    """STRAP-TURN: the allowance left inside a strap is no more than its width less two thicknesses.

    Source [C]: common practice; [A]: two layers of cloth stand inside a tube of that width, see `tube_room`.
    """
    piece, width = strap_piece(subject), fact(subject, "strap width")
    if piece is None or width is None:
        return []
    room = tube_room(width, subject.cloth.thickness)
    for seam in subject.pattern.seams:
        for run in (*seam.sides[0], *seam.sides[1]):
            for edge in run_edges(subject, run) if run.piece == piece.name else ():
                finish = finish_of(subject, piece, edge)
                trims = [trim.left for trim in finish.trims] if finish else []
                left = min([edge.allowance - (finish.inlay if finish else 0.0), *trims])
                if left > room + 1e-6:
                    return [_too_narrow(subject, piece, width, left, room, seam.name)]
    return []


def _too_narrow(subject: Subject, piece: Piece, width: float, left: float, room: float, seam: str) -> Problem:
    needs = left + 2.0 * subject.cloth.thickness
    trim = " or trim its seam: " + offer_finish(seam, f"narrow zigzag 8 mm, trim {math.floor(room):g} mm")
    return problem(
        "STRAP-TURN",
        says=f"The strap is {subject.say_fine(width)} wide; its allowance of {subject.say_fine(left)} does not fit "
        f"inside with the cloth {subject.say_fine(subject.cloth.thickness)} thick.",
        found=f"{subject.say_fine(left)} of allowance",
        expected=f"at most {subject.say_fine(max(room, 0.0))}",
        remedy=f"Widen it: choices: {{strap width: {subject.say_up(needs)}}};{trim if room >= 2.0 else ''}".rstrip(";")
        + ".",
        where=on_piece(piece.name),
    )


def strap_marks(subject: Subject) -> dict[str, Mark]:
    """Return the strap marks by the piece they stand on; of several on one piece, the first."""
    return {
        piece.name: next(mark for mark in piece.marks if mark.kind == "strap")
        for piece in subject.pattern.pieces
        if any(mark.kind == "strap" for mark in piece.marks)
    }


def straps_placed(subject: Subject) -> list[Problem]:
    """STRAP-PLACE: a strap has its mark on front and back, each on an edge or fold. Source [A]: it has two ends."""
    strap = strap_piece(subject)
    if strap is None:
        return []
    marks = strap_marks(subject)
    bare = [name for name in ("front", "back") if name not in marks and subject.pattern.piece(name)]
    found = []
    if len(marks) < 2:
        where = " and the ".join(bare) or "pieces"
        found.append(
            problem(
                "STRAP-PLACE",
                says=f"The strap has no place on the {where}. Front and back each need their mark.",
                found=f"{len(marks)} of 2 marks",
                expected="a mark on the front and one on the back",
                remedy=f"Add a mark step of kind strap on the {where}, where the strap is to be sewn.",
                where=on_piece(bare[0] if bare else strap.name),
            )
        )
    for name, mark in marks.items():
        off = _off_edge(subject, name, mark)
        if off > OFF_THE_EDGE:
            found.append(_astray(subject, name, mark, off))
    return found


def _off_edge(subject: Subject, name: str, mark: Mark) -> float:
    piece = subject.pattern.piece(name)
    if piece is None:
        return 0.0
    at = np.array([mark.at])
    lines: list[Floats] = [subject.strokes[name, edge.name] for edge in piece.edges]
    lines += [inner.path.curves[:, (0, 3)].reshape(-1, 2) for inner in piece.inner if inner.kind == "fold line"]
    return min(float(distances_to(at, line)[0]) for line in lines)


def _astray(subject: Subject, name: str, mark: Mark, off: float) -> Problem:
    return problem(
        "STRAP-PLACE",
        says=f"The mark {mark.name} lies {subject.say(off)} from every edge of the {name}.",
        found=f"{subject.say(off)} inside",
        expected="on the edge the strap is sewn to",
        remedy=f"Place the {mark.name} again after the last step that moves the edge of the {name}.",
        where=on_piece(name),
    )


def strap_way(subject: Subject) -> float | None:
    """Return the strap's way over the body, mm: up from its front end to the shoulder, down to its back end.

    Front: `shoulder to underarm` less the height of the front mark above the underarm; back: the same with the back
    mark, which may lie below. Crossed straps run from one side to the other at the back, so their way is the slant.
    None where marks or measures are missing. Source [A]: Pythagoras on levels and widths.
    """
    drop, marks = measure(subject, "shoulder to underarm"), strap_marks(subject)
    front, back = subject.pattern.piece("front"), subject.pattern.piece("back")
    if drop is None or front is None or back is None or not {"front", "back"} <= set(marks):
        return None
    up_front, low_back = front_height(subject, front, marks["front"]), _underarm_y(back, marks["back"].at[0])
    if up_front is None or low_back is None:
        return None
    drop += fact(subject, "underarm drop") or 0.0  # the garment's underarm lies this much below the body's
    up_back = marks["back"].at[1] - low_back
    across = measure(subject, "across front")
    shoulder = across * AT_SHOULDER if across else marks["back"].at[0]
    beside = shoulder + marks["back"].at[0] if fact(subject, "straps crossed") else shoulder - marks["back"].at[0]
    span = fact(subject, "half strap span")
    front_beside = span - shoulder if span is not None else 0.0
    return math.hypot(drop - up_front, front_beside) + math.hypot(drop - up_back, beside)


def _underarm_y(piece: Piece, x: float = 0.0) -> float | None:
    """Return the y of the underarm on a piece: its level line, at x where it is tilted, else the side seam's top."""
    line = next((inner for inner in piece.inner if inner.kind == "level" and inner.name == "underarm"), None)
    if line is not None:
        (ax, ay), (bx, by) = line.path.curves[0, 0].tolist(), line.path.curves[-1, 3].tolist()
        share = (x - ax) / (bx - ax) if by != ay and bx != ax else 0.0
        return float(ay + (by - ay) * min(1.0, max(0.0, share)))
    side = edges_of(piece, "side")
    return max(float(edge.path.curves[:, (0, 3), 1].max()) for edge in side) if side else None


def front_height(subject: Subject, front: Piece, mark: Mark) -> float | None:
    """Return how high above the underarm the front strap lies on the body, mm.

    A cowl's front is drawn spread: its armhole leans out by the total turn. Leaned back by what each hinge turned, its
    stretches give the height they have on the body.
    """
    stated = fact(subject, "strap front height")
    if stated is not None:
        return stated
    turn, slashes = fact(subject, "total turn") or 0.0, fact(subject, "slashes") or 0.0
    armhole = edges_of(front, "armhole")
    underarm = _underarm_y(front)
    if underarm is None:
        return None
    if not armhole or turn <= 0.0 or slashes < 1.0:
        return mark.at[1] - underarm
    points = np.concatenate([subject.strokes["front", edge.name] for edge in armhole])
    legs = np.diff(points, axis=0)
    sizes = np.hypot(legs[:, 0], legs[:, 1])
    middle = (np.cumsum(sizes) - sizes / 2.0) / max(float(sizes.sum()), 1e-9)
    back = math.radians(turn) * np.floor(middle * (slashes + 1.0)) / slashes
    return float((np.sin(back) * legs[:, 0] + np.cos(back) * legs[:, 1]).sum())


def strap_reaches(subject: Subject) -> list[Problem]:
    """STRAP-LENGTH: the strap is as long as its way over the shoulder, see `strap_way`. Source [A]; taped [C]."""
    strap, way = strap_piece(subject), strap_way(subject)
    has = max(fact(subject, "strap length") or 0.0, strap_length(subject))
    if strap is None or way is None or has <= 0.0 or has >= way - SHORT_BY:
        return []
    straight = ", or wear the straps straight: choices: {straps: straight}" if fact(subject, "straps crossed") else ""
    return [
        problem(
            "STRAP-LENGTH",
            says=f"The strap is {subject.say(has)} long; over the shoulder its way is {subject.say(way)}. "
            f"It lacks {subject.say_up(way - has)}.",
            found=subject.say(has),
            expected=f"at least {subject.say_up(way)}",
            remedy=f"Draft it {subject.say_up(way + 50.0)} long, {subject.say(50.0)} of it for the try-on{straight}.",
            where=on_piece(strap.name),
        )
    ]


def cords_on_children(subject: Subject) -> list[Problem]:
    """CORDS-CHILD: straps, cords and ties on a child's garment refer to local rules; nothing is certified.

    Sources, scope only [S]: EN 14682 (clothing up to 14 years; ties behind the neck included, none in the neck up to
    7 years or 134 cm; theatrical costume for performances is outside it), 16 CFR 1120 with ASTM F1816 (upper outerwear
    with neck or hood drawstrings, sizes 2T to 12).
    """
    if subject.figure != "child":
        return []
    words = ("strap", "tie", "cord", "drawstring", "sash")
    pieces = [piece.name for piece in subject.pattern.pieces if any(word in piece.name.split() for word in words)]
    ties = [opening.name for opening in subject.pattern.openings if opening.closes == "tie"]
    if not pieces and not ties:
        return []
    what = " and the ".join(dict.fromkeys([*pieces, *ties]))
    return [
        problem(
            "CORDS-CHILD",
            says=f"This is a child's garment with a {what}. Cords and ties at the neck have killed; local rules decide "
            "what is allowed.",
            found=what,
            expected="no free cord or tie at head, neck or upper chest",
            remedy="Sew both ends of every strap down, leave no free ends, tie nothing behind the neck, and look up "
            "the rule of your country (EN 14682 in Europe, 16 CFR 1120 in the United States); or leave out the steps "
            f"that draw and sew the {what}.",
        )
    ]
