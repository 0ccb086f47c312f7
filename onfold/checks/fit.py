"""Finished girth against the body, level by level: wearing stretch, taking in, pile, room and ease."""

from __future__ import annotations

import math

from onfold.checks.subject import Subject
from onfold.cloth import comfort_across
from onfold.pattern import Level
from onfold.problems import Problem, problem
from onfold.units import say_share

MOST_TAKEN_IN = 0.5  # of the cloth's stretch [C]
USUAL_TAKEN_IN = {"waist": 0.10}  # of the stretch; one fifth elsewhere [C]
PILE_MOST = 0.10  # wearing stretch of pile cloth [C]
_ROUND = 1e-6

LEAST_EASE = {"bust": 38.0, "waist": 10.0, "hip": 40.0}
"""Least ease a published rule drafts with, mm, in a woven without stretch.

bust 1 1/2 in: Central Washington University, costume text ch. 16 (x5) [S]; the least of the published set [A].
waist 1 cm, hip 4 cm: *Practical English for Clothing*, basic trousers block at waist 68, hip 94 (h11) [S]; x5 has
1/2 in and 2 in, the WikiEducator skirt handout (x1) 2.4 and 5 cm [S].
"""


def worn_levels(subject: Subject) -> list[Level]:
    """Return the levels at which the garment lies on a known girth of the body, the hem left out."""
    return [
        level
        for level in subject.pattern.levels.values()
        if level.body > 0.0 and level.finished > 0.0 and level.name != "hem"
    ]


def wearing_stretch(subject: Subject) -> list[Problem]:
    """WEARING-STRETCH: at each level worn stretched by no more than half of what the cloth can.

    Left to BODY-ROOM where the cloth cannot reach at all, to TAKEN-IN-TOO-FAR where a share was asked for.
    Source [C]: common practice.
    """
    comfort, whole = comfort_across(subject.round_cloth), subject.round_cloth.stretch_across
    past = [
        level
        for level in worn_levels(subject)
        if comfort + _ROUND < level.wearing_stretch <= whole + _ROUND and _asked(level) <= MOST_TAKEN_IN + _ROUND
    ]
    if not past:
        return []
    tightest = max(past, key=lambda level: level.wearing_stretch)
    least = ", ".join(f"{level.name} {subject.say_up(level.body / (1.0 + comfort))}" for level in past)
    return [
        problem(
            "WEARING-STRETCH",
            says=f"Worn stretched past the comfortable {say_share(comfort)} of this cloth: {_say_worn(past)}. At the "
            f"{tightest.name} the garment is {subject.say(tightest.finished)} for a body of "
            f"{subject.say(tightest.body)}.",
            found=_say_worn(past),
            expected=f"at most {say_share(comfort)}",
            remedy=f"Draft at least: {least}; {_reductions(past, None)}.",
        )
    ]


def _say_worn(levels: list[Level]) -> str:
    return ", ".join(f"{level.name} {say_share(level.wearing_stretch)}" for level in levels)


def _reductions(levels: list[Level], most: float | None) -> str:
    """Return the choices by which the levels are taken in as usual, or by no more than `most` of the stretch."""
    shares = {reduction_choice(level): usual_share(level) if most is None else most for level in levels}
    return "choices: {" + ", ".join(f"{name}: {say_share(share)}" for name, share in shares.items()) + "}"


def usual_share(level: Level) -> float:
    """Return the usual part of the stretch that a level is taken in by."""
    return USUAL_TAKEN_IN.get(level.name, 0.20)


def _asked(level: Level) -> float:
    return max(level.share, level.asked_share)


def _take_in(level: Level, share: float) -> str:
    return f"choices: {{{reduction_choice(level)}: {say_share(share)}}}"


def reduction_choice(level: Level) -> str:
    """Return the choice by which a level is taken in; the underarm goes with the bust."""
    return f"{'bust' if level.name == 'underarm' else level.name} reduction"


def taken_in(subject: Subject) -> list[Problem]:
    """TAKEN-IN-TOO-FAR: no level uses more than one half of the cloth's stretch. Source [C]: common practice."""
    past = [level for level in subject.pattern.levels.values() if _asked(level) > MOST_TAKEN_IN + _ROUND]
    if not past:
        return []
    said = ", ".join(f"{level.name} {say_share(_asked(level))}" for level in past)
    return [
        problem(
            "TAKEN-IN-TOO-FAR",
            says=f"Taken in by more than half of the cloth's stretch: {said}. Nothing is left for breathing and "
            "sitting.",
            found=said,
            expected=f"at most {say_share(MOST_TAKEN_IN)}",
            remedy=f"Take it in less; usual is {_reductions(past, None)}.",
        )
    ]


def pile_stretch(subject: Subject) -> list[Problem]:
    """PILE-STRETCH: pile cloth is worn stretched by no more than 10 %. Source [C]: stretched pile shows its ground."""
    stretch = subject.round_cloth.stretch_across
    past = [level for level in worn_levels(subject) if level.wearing_stretch > PILE_MOST + _ROUND]
    if "pile" not in subject.cloth.surface or stretch <= 0.0 or not past:
        return []
    share = min(math.floor(PILE_MOST / stretch * 100.0 + _ROUND) / 100.0, MOST_TAKEN_IN)
    return [
        problem(
            "PILE-STRETCH",
            says=f"The pile is worn stretched by more than {say_share(PILE_MOST)}: {_say_worn(past)}. Its ground "
            "would show.",
            found=_say_worn(past),
            expected=f"at most {say_share(PILE_MOST)}",
            remedy=f"Take it in less: {_reductions(past, share)}.",
        )
    ]


def body_room(subject: Subject) -> list[Problem]:
    """BODY-ROOM: the finished girth, with all that the cloth can stretch, is not below the body's. Source [A]."""
    found = []
    stretch = subject.round_cloth.stretch_across
    for level in worn_levels(subject):
        reach = level.finished * (1.0 + stretch)
        if reach >= level.body - 0.5:
            continue
        gives = f", {subject.say(reach)} at full pull" if stretch > 0.0 else " and the cloth does not stretch"
        found.append(
            problem(
                "BODY-ROOM",
                says=f"The {level.name} is finished {subject.say(level.finished)} for a body of "
                f"{subject.say(level.body)}{gives}. It cannot be worn.",
                found=subject.say(level.finished),
                expected=f"at least {subject.say_up(level.body / (1.0 + stretch))}",
                remedy=_more_room(subject, level),
            )
        )
    return found


def _more_room(subject: Subject, level: Level) -> str:
    if level.share > 0.0 or level.asked_share > 0.0:
        return f"Take the {level.name} in less, {_take_in(level, usual_share(level))}, or use a cloth that stretches."
    ease = subject.say_up(LEAST_EASE.get(level.name, 0.0))
    return f"Draft it with ease: choices: {{{level.name} ease: {ease}}}."


def ease_enough(subject: Subject) -> list[Problem]:
    """EASE-SMALL: in a woven, ease with what stretches in comfort is at least the least that a published rule drafts.

    Finished girth less body girth, allowances and darts left out [A]; the figures: `LEAST_EASE` [S].
    """
    found = []
    comfort = comfort_across(subject.round_cloth)
    for level in worn_levels(subject) if subject.cloth.kind == "woven" else []:
        least = LEAST_EASE.get(level.measure or level.name)
        reach = level.finished * (1.0 + comfort)
        ease = reach - level.body
        at_full_pull = level.finished * (1.0 + subject.round_cloth.stretch_across)
        if least is None or ease >= least - 0.5 or at_full_pull < level.body:
            continue
        wanted = (level.body + least) / (1.0 + comfort) - level.body
        found.append(
            problem(
                "EASE-SMALL",
                says=f"The {level.name} has {subject.say(level.finished - level.body)} of ease; breathing and sitting "
                f"in a woven ask for {subject.say(wanted)} at least.",
                found=subject.say(level.finished - level.body),
                expected=f"at least {subject.say(wanted)}",
                remedy=f"Draft it easier: choices: {{{level.name} ease: {subject.say_up(wanted)}}}.",
            )
        )
    return found
