"""Cowls: how far they turn, what that does to the armhole, how low they fall, what covers the wrong side."""

from __future__ import annotations

from onfold.checks.subject import Subject, fact, on_piece
from onfold.problems import Problem, problem
from onfold.units import say_degrees

MOST_TURN = 75.0  # degrees in all
GROWS_FROM = 35.0  # degrees of total turn past which the armhole falls on the bias [C]
FACING_OVER = 25.0  # mm a facing is deeper than the fall: 2 to 3 cm [C]
_WITHIN = 0.05


def cowl_turn(subject: Subject) -> list[Problem]:
    """COWL-TURN: the slashes turn the front by no more than 75 degrees in all.

    The remedy scales the spread: the angle of a straight opening, 2 asin(width / 2 length), falls at least as fast as
    the width [A]. The 75 degrees are the project's own bar.
    """
    turn = fact(subject, "total turn")
    if turn is None or turn <= MOST_TURN + _WITHIN:
        return []
    return [
        problem(
            "COWL-TURN",
            says=f"The slashes turn the front by {say_degrees(turn)} in all. Beyond {say_degrees(MOST_TURN)} the piece "
            "lies over itself or loses its neck.",
            found=say_degrees(turn),
            expected=f"at most {say_degrees(MOST_TURN)}",
            remedy=_smaller(subject, turn, MOST_TURN),
            where=on_piece("front"),
        )
    ]


def _smaller(subject: Subject, turn: float, most: float) -> str:
    spread = fact(subject, "spread")
    asked = fact(subject, "asked fall")
    if asked:
        return "Ask for less fall, or for fewer slashes further apart: choices: {fall: …}."
    if not spread:
        return "Open each slash less: choices: {spread: …}."
    return f"Open each slash less: choices: {{spread: {subject.say_down(spread * most / turn)}}}."


def cowl_grain(subject: Subject) -> list[Problem]:
    """COWL-GRAIN: past about 35 degrees of total turn the armhole falls on the bias and grows. Source [C]."""
    turn = fact(subject, "total turn")
    if turn is None or turn <= GROWS_FROM + _WITHIN or turn > MOST_TURN + _WITHIN:
        return []
    grain = fact(subject, "armhole to grain")
    lies = f"; the armhole lies {say_degrees(grain)} off the grain" if grain is not None else ""
    return [
        problem(
            "COWL-GRAIN",
            says=f"The front turns by {say_degrees(turn)} in all{lies}. It will grow there.",
            found=say_degrees(turn),
            expected=f"at most {say_degrees(GROWS_FROM)}, or a stay",
            remedy="Stay the armhole with a tape of its drafted length before it is handled. "
            + _smaller(subject, turn, GROWS_FROM).replace("Open", "Or open", 1).replace("Ask", "Or ask", 1),
            where=on_piece("front"),
        )
    ]


def cowl_above_bust(subject: Subject) -> list[Problem]:
    """COWL-DEEP: the expected fall, the catenary's sag, leaves the neck edge above the bust point.

    Source [A]: sag against the neck's height above the bust level.
    """
    fall, room = fact(subject, "cowl fall"), fact(subject, "neck above bust")
    if fall is None or room is None or fall <= max(room, 0.0) + _WITHIN or fall <= 0.0:
        return []
    return [
        problem(
            "COWL-DEEP",
            says=f"The cowl falls {subject.say(fall)}; the bust point lies {subject.say(room)} below the neck. Its "
            "edge would hang below the bust.",
            found=subject.say(fall),
            expected=f"at most {subject.say(room)}",
            remedy=f"Ask for less fall: choices: {{fall: {subject.say_down(max(room, 0.0))}}}; or wear it over a slip.",
            where=on_piece("front"),
        )
    ]


def facing_deep_enough(subject: Subject) -> list[Problem]:
    """FACING-DEPTH: the facing cut in one is deeper than the cowl falls.

    Source [C]: depth at the centre front = expected fall + 2 to 3 cm; a printed trade text has 6 in for a cowl [C].
    """
    fall, depth = fact(subject, "cowl fall"), fact(subject, "facing depth")
    if fall is None or depth is None or fall <= depth + _WITHIN:
        return []
    return [
        problem(
            "FACING-DEPTH",
            says=f"The cowl falls {subject.say(fall)}; its facing is {subject.say(depth)} deep. The wrong side and the "
            "facing's edge would show.",
            found=f"{subject.say(depth)} of facing",
            expected=f"more than {subject.say(fall)}",
            remedy=f"Cut the facing deeper: choices: {{facing: {subject.say_up(fall + FACING_OVER)}}}.",
            where=on_piece("front"),
        )
    ]
