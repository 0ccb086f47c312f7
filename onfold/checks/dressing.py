"""The checks that ask whether the garment goes on, and their remedies in the maker's words."""

from __future__ import annotations

import math

from onfold.checks.fit import reduction_choice
from onfold.checks.getting_in import Verdict, body_girths, getting_in, widest_to_pass
from onfold.checks.openings import Opened, length_needed, opened
from onfold.checks.subject import Subject
from onfold.pattern import Level
from onfold.problems import Problem, problem
from onfold.units import capital, say_share

ZIPS_CM = (10, 13, 15, 18, 20, 23, 25, 28, 30, 33, 36, 38, 41, 43, 46, 48, 51, 53, 56, 61, 66, 69, 71, 76)
"""Zips as they are sold, cm (k6, UK Sewing Services information sheet [S])."""


STRETCHIEST = 2.0
"""Cloth that stretches further is not to be had: none is offered [C]."""


def garment_goes_on(subject: Subject) -> list[Problem]:
    """GETTING-IN, OPENING-SHORT: by the better route each girth at full pull passes the body that goes through.

    Where a longer opening alone would do, that is said with the length it needs, found by walking the girth of the
    pieces down from its top. Source [A]: opening x (1 + s) >= girth. What seams give: [C], lockstitch 10 to 15 %.
    """
    verdict = getting_in(subject)
    if verdict.unknown:
        return [_not_judged(verdict)]
    if verdict.goes_on or verdict.ring is None:
        return []
    cure = _opening_cures(subject)
    return [_opening_short(subject, *cure) if cure else _does_not_go_on(subject, verdict)]


def _not_judged(verdict: Verdict) -> Problem:
    names = dict.fromkeys(verdict.unknown)
    return problem(
        "GETTING-IN",
        severity="mind",
        says=f"Whether the garment goes on is not judged: neither {' nor '.join(names)} is known.",
        found="not taped, and not estimated",
        expected=" or ".join(names),
        remedy=f"Tape {' or '.join(names)}, and the height, from which more is estimated.",
    )


def _does_not_go_on(subject: Subject, verdict: Verdict) -> Problem:
    route = {"stepped into": "Stepped into", "over the head": "Pulled over the head", "fastened": "Unfastened"}
    at, has = verdict.place, subject.say(verdict.at_full_pull)
    needed = subject.say(verdict.girth_to_pass)
    return problem(
        "GETTING-IN",
        says=f"The garment does not go on. {route[verdict.route]}, which asks least, its narrowest place is "
        f"{_the(at)}: {has} at full pull, and {_the(verdict.passing)} of {needed}"
        f"{subject.untaped(verdict.passing)} must pass. It lacks "
        f"{subject.say_up(verdict.lacks)}.",
        found=f"{at} {has} at full pull",
        expected=f"{needed} ({verdict.passing})",
        remedy=_remedy(subject, verdict),
    )


def _the(name: str) -> str:
    """Return a place or girth as it is spoken of: `the waist`, `between waist and hip`, `a girth round the arms`."""
    lead = {"between": "", "round": "a girth "}.get(name.split()[0], "the ")
    return f"{lead}{name}"


def _remedy(subject: Subject, verdict: Verdict) -> str:
    offers = [_more_stretch(subject, verdict), _less_reduction(subject, verdict), _freer_edge(subject, verdict)]
    told = [offer for offer in offers if offer]
    told.append(f"{'or g' if told else 'G'}ive it an opening down to where the {verdict.passing} passes")
    return capital("; ".join(told)) + "."


def _up_to_percent(share: float) -> str:
    return say_share(math.ceil(round(share * 100.0, 6)) / 100.0)


def _more_stretch(subject: Subject, verdict: Verdict) -> str:
    """Return the stretch that this pattern needs, and that a pattern drafted anew for that cloth needs."""
    if verdict.needed_stretch > STRETCHIEST:
        return ""
    asks = _up_to_percent(verdict.needed_stretch)
    offer = f"take a cloth that stretches {asks} across for this pattern as it is cut"
    level = _level(subject, verdict)
    if level is None or level.share <= 0.0:
        return f"{offer}: cloth: {{stretch: {{across: {asks}}}}}"
    over = verdict.girth_to_pass / level.body
    if level.share * over >= 1.0:
        return offer
    anew = max(verdict.needed_stretch, (over - 1.0) / (1.0 - level.share * over))
    if anew > STRETCHIEST:
        return offer
    said = _up_to_percent(anew)
    return f"{offer}, {said} where it is drafted anew: cloth: {{stretch: {{across: {said}}}}}"


def _level(subject: Subject, verdict: Verdict) -> Level | None:
    level = subject.pattern.levels.get(verdict.ring.level) if verdict.ring else None
    return level if level and level.body > 0.0 else None


def _less_reduction(subject: Subject, verdict: Verdict) -> str:
    """Return how far the level may be taken in for the girth to pass, a share of the stretch; empty where none does."""
    level, place = _level(subject, verdict), verdict.ring
    stretch = subject.round_cloth.stretch_across
    if level is None or place is None or level.share <= 0.0 or stretch <= 0.0 or verdict.at_full_pull <= 0.0:
        return ""
    finished = level.finished * verdict.girth_to_pass / verdict.at_full_pull
    share = (level.body / finished - 1.0) / stretch
    if share < 0.0:
        return ""
    return f"take the {level.name} in less: choices: {{{reduction_choice(level)}: {math.floor(share * 100.0)} %}}"


def _freer_edge(subject: Subject, verdict: Verdict) -> str:
    """Return the edges whose stitches hold the place back, where freeing them lets the girth pass."""
    if verdict.ring is None:
        return ""
    stretch = subject.round_cloth.stretch_across
    held = [part for part in verdict.ring.parts if part.edge and part.most < part.of_cloth * stretch]
    freed = sum(part.length * (1.0 + 0.9 * stretch) - part.at_pull(stretch) for part in held)
    if not held or freed < verdict.lacks:
        return ""
    names = list(dict.fromkeys(part.edge for part in held))
    keys = ", ".join(f"{name}: narrow zigzag 8 mm" for name in names)
    return f"sew the {' and the '.join(names)} with a stitch that gives: finish: {{{keys}}}"


def _opening_short(subject: Subject, gap: Opened, length: float, passing: str) -> Problem:
    name, has = gap.opening.name, gap.top - gap.low
    bottom = gap.bottom.at_pull(subject.round_cloth.stretch_across)
    girth = body_girths(subject)[passing]
    sold = next((each for each in ZIPS_CM if each * 10.0 >= length), None) if gap.opening.closes == "zip" else None
    zip_sold = f" The next zip sold is {subject.say(sold * 10.0)}." if sold else ""
    return problem(
        "OPENING-SHORT",
        says=f"The {name} is {subject.say(has)} long; at its bottom the garment measures {subject.say(bottom)} and "
        f"{_the(passing)} of {subject.say(girth)}{subject.untaped(passing)} must pass. It needs "
        f"{subject.say_up(length)}.",
        found=subject.say(has),
        expected=f"at least {subject.say_up(length)}",
        remedy=f"Open it further down: choices: {{{gap.opening.closes} length: {subject.say_up(length)}}}.{zip_sold}",
    )


def _opening_cures(subject: Subject) -> tuple[Opened, float, str] | None:
    """Return the opening, the length that would let the garment go on and the girth that passes, or None."""
    gap = opened(subject)
    body = body_girths(subject)
    passing = widest_to_pass(gap.bottom, body, from_below=True) if gap else None
    if gap is None or passing is None:
        return None
    length = length_needed(subject, gap, body[passing], subject.round_cloth.stretch_across)
    if length is None or length <= gap.top - gap.low:
        return None
    return gap, length, passing
