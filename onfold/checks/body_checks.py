"""Neck and back against the body they uncover; sides that differ; measures that were not taped."""

from __future__ import annotations

from onfold.body.measures import MEASURES, SIDES
from onfold.checks.places import upper_edges
from onfold.checks.subject import Subject, fact, on_piece
from onfold.pattern import Piece
from onfold.problems import Problem, problem
from onfold.units import say_list

SIDES_WITHIN = 5.0  # mm left and right may differ before it is said [C]
_WITHIN = 0.5


def neck_and_back_depth(subject: Subject) -> list[Problem]:
    """NECK-DEPTH: the neck stays above the bust; a back cut below the bust level is noted, one below the waist minded.

    Source [A]: heights of the upper edges against the level lines. That the band of a bra lies at the bust level at
    the back is [C].
    """
    found = []
    neck = fact(subject, "neck above bust")
    if neck is not None and neck < -_WITHIN:
        found.append(_low_neck(subject, -neck))
    for piece in subject.pattern.pieces:
        low = lowest_upper(subject, piece)
        heights = {inner.name: float(inner.path.curves[0, 0, 1]) for inner in piece.inner if inner.kind == "level"}
        if low is None or piece.name == "front" or "bust" not in heights:
            continue
        if "waist" in heights and low < heights["waist"] - _WITHIN:
            found.append(_low_back(subject, piece, heights["waist"] - low))
        elif low < heights["bust"] - _WITHIN:
            found.append(_bare_band(subject, piece, heights["bust"] - low))
    return found


def lowest_upper(subject: Subject, piece: Piece) -> float | None:
    """Return the y of the lowest point of a piece's upper edge, mm; None where it has none."""
    edges = upper_edges(subject, piece)
    return min((float(subject.strokes[piece.name, edge.name][:, 1].min()) for edge in edges), default=None)


def _low_neck(subject: Subject, below: float) -> Problem:
    return problem(
        "NECK-DEPTH",
        says=f"The front neck lies {subject.say(below)} below the bust level. It would show the bust.",
        found=f"{subject.say(below)} below the bust",
        expected="above the bust level",
        remedy=f"Raise it: choices: {{rise: …}} by {subject.say_up(below)} at least.",
        where=on_piece("front"),
    )


def _low_back(subject: Subject, piece: Piece, below: float) -> Problem:
    depth = fact(subject, "back depth")
    shallower = (
        f"choices: {{back depth: {subject.say_down(depth - below)}}}"
        if depth is not None and depth > below
        else f"by {subject.say_up(below)}"
    )
    return problem(
        "NECK-DEPTH",
        says=f"The {piece.name} is cut {subject.say(below)} below the waist. It would show the underwear and gape.",
        found=f"{subject.say(below)} below the waist",
        expected="above the waist",
        remedy=f"Cut it less deep: {shallower}.",
        where=on_piece(piece.name),
    )


def _bare_band(subject: Subject, piece: Piece, below: float) -> Problem:
    return problem(
        "NECK-DEPTH",
        says=f"The {piece.name} is cut {subject.say(below)} below the bust level: the band of a bra would show.",
        found=f"{subject.say(below)} below the bust level",
        expected="known before cutting",
        remedy="Plan what is worn underneath, or cut it less deep: choices: {back depth: …}.",
        where=on_piece(piece.name),
        severity="note",
    )


def sides_alike(subject: Subject) -> list[Problem]:
    """SIDES-DIFFER: left and right, where both were taped, differ by no more than 5 mm. Source [C]."""
    found = []
    taken = {**subject.body, **subject.pattern.measures}
    for name, entry in MEASURES.items():
        if not entry.sided:
            continue
        left, right = (taken.get(f"{side} {name}") for side in SIDES)
        if not left or not right or abs(left.value - right.value) <= SIDES_WITHIN:
            continue
        larger = SIDES[0] if left.value > right.value else SIDES[1]
        found.append(
            problem(
                "SIDES-DIFFER",
                says=f"Left {name} {subject.say(left.value)}, right {subject.say(right.value)}: they differ by "
                f"{subject.say(abs(left.value - right.value))}. The draft is one half for both sides, made for the "
                f"{larger}.",
                found=f"{subject.say(left.value)} and {subject.say(right.value)}",
                expected=f"alike within {subject.say_fine(SIDES_WITHIN)}",
                remedy=f"Fit the smaller side at the try-on and leave inlays there; once that is settled write the "
                f"one figure that is drafted for: wearer: {{measures: {{{name}: "
                f"{subject.say(max(left.value, right.value))}}}}}.",
            )
        )
    return found


def somebody_taped(subject: Subject) -> list[Problem]:
    """NONE-TAPED: of the measures that the draft used, one at least was taped; else it is drafted for nobody [C]."""
    names = list(subject.pattern.measures)
    if not names or not all(taken.estimated for taken in subject.pattern.measures.values()):
        return []
    return [
        problem(
            "NONE-TAPED",
            says=f"Not one measure that this garment is drafted from was taped: {say_list(names)} are all estimated.",
            found="no measure",
            expected=f"{names[0]} at least",
            remedy="Tape the wearer before anything is cut.",
        )
    ]


def measures_taped(subject: Subject) -> list[Problem]:
    """NOT-TAPED: each measure that the draft used and nobody taped, with the interval that holds nine in ten people."""
    found = []
    for name, taken in subject.pattern.measures.items():
        if not taken.estimated:
            continue
        low, high = taken.interval or (taken.value, taken.value)
        entry = MEASURES.get(name)
        how = f" {entry.how}" if entry else ""
        found.append(
            problem(
                "NOT-TAPED",
                says=f"Not taped: {name}. {subject.say(taken.value)} was taken; nine in ten people like this have "
                f"{subject.say(low)} to {subject.say(high)}.",
                found=f"{subject.say(taken.value)}, estimated",
                expected=f"{subject.say(low)} to {subject.say(high)}",
                remedy=f"Take it before cutting.{how} Then write wearer: {{measures: {{{name}: …}}}}.",
            )
        )
    return found
