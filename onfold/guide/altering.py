"""The guide of an alteration: what is to be done, the measures after it, and the operations in order, with reasons.

There is no pattern: nothing here lists pieces. The same page sets it as sets every guide.
"""

from __future__ import annotations

from collections.abc import Sequence

from onfold.cloth import Cloth
from onfold.guide.cautions import about, cautions
from onfold.guide.facts import GuideFacts, Part
from onfold.guide.parts import care_parts, problem_parts
from onfold.making.altered import Answer, Job, MeasureAfter
from onfold.making.operation import MakingUp, Operation
from onfold.problems import Problem
from onfold.units import capital, say_length, say_share

UNPICKER = (
    "An unpicker's point wounds: push it away from the hand that holds the cloth, in good light, and cap it when you "
    "lay it down."
)
NO_WAY_BACK = "There is no way back from this:"
_ANSWERS = {
    "reaches": "it reaches",
    "narrower": "sew it narrower",
    "strip": "set in a strip",
    "facing": "face it",
    "band": "not with this cloth",
    "surplus": "it can be done",
    "thing": "",
    "unknown": "measure first",
}


def alteration_parts(
    job: Job,
    answers: Sequence[Answer],
    measures: Sequence[MeasureAfter],
    made: MakingUp,
    facts: GuideFacts,
    problems: Sequence[Problem],
) -> list[Part]:
    """Return every part of the guide of an alteration, in the order of the work."""
    found = cautions(facts.cloth, facts.figure, facts.ties)
    told = [each for each in problems if each.severity != "note"]
    pressing, cutting = tuple(about(found, "pressing")), tuple(about(found, "cutting"))
    return [
        *problem_parts(told, "Before you unpick"),
        *_work(job, answers),
        *_measures(job, measures),
        Part("bullets", "Cloth and notions", lines=tuple(_notions(job, answers, facts.cloth))),
        *([Part("text", "Notes", lines=(job.alteration.notes,))] if job.alteration.notes else []),
        Part("text", "The work", lines=(_ORDER,)),
        Part("cautions", "", lines=(UNPICKER, *cutting)),
        *steps_of_making(made),
        Part("cautions", "", lines=pressing),
        *care_parts(found),
    ]


_ORDER = "In this order. Nothing is trimmed or cut before the second try-on; up to there all can be put back."


def steps_of_making(made: MakingUp) -> list[Part]:
    """Return a part for every operation: its acts numbered, its reason above them."""
    return [Part("steps", _heading(each), lines=_acts(each), note=each.why, level=2) for each in made.operations]


def _heading(each: Operation) -> str:
    alike = "both alike" if each.times == 2 else f"all {each.times} alike"
    return f"{each.name}, {alike}" if each.times > 1 else each.name


def _acts(each: Operation) -> tuple[str, ...]:
    return tuple(
        f"{NO_WAY_BACK} {act.says[:1].lower()}{act.says[1:]}" if act.no_way_back else act.says for act in each.acts
    )


def _work(job: Job, answers: Sequence[Answer]) -> list[Part]:
    def said(mm: float | None) -> str:
        return "" if mm is None else job.say(mm)

    rows = []
    for each in answers:
        work = each.work
        where = (
            f", {work.start or 'its upper end'} to {work.stop or 'its lower end'}" if work.start or work.stop else ""
        )
        sides = f"{each.seams} × " if each.seams > 1 else ""
        amount = f"{sides}{job.say(work.by)}" if work.by else ""
        answer = _ANSWERS[each.way] + (f", {said(each.spare)} spare" if each.way == "reaches" else "")
        rows.append((f"{work.verb} {work.what}{where}", amount, said(each.beyond), said(each.uses), answer))
    heads = ("Work", "By", "There is", "It uses", "Answer")
    note = (
        "By: at a seam, on each side of it. There is: what lies beyond the seam line, to the raw edge. "
        "It uses: what the seam or hem takes of it."
    )
    return [Part("table", "What is to be done", heads=heads, rows=tuple(rows), note=note)]


def _measures(job: Job, measures: Sequence[MeasureAfter]) -> list[Part]:
    if not measures:
        return []
    rows = [
        (each.name, say_length(each.before, job.units), say_length(each.after, job.units), *say_body(job, each))
        for each in measures
    ]
    sums = tuple(f"{capital(each.name)}: {each.sum}." for each in measures if each.crossed)
    heads = ("The garment", "Before", "After", "The wearer", "More than the wearer")
    table = Part(
        "table", "Measures", heads=heads, rows=tuple(rows), note="Girths are all round: measured flat, times two."
    )
    return [table, *([Part("bullets", "How they are reckoned", lines=sums, level=2)] if sums else [])]


def say_body(job: Job, each: MeasureAfter) -> tuple[str, str]:
    """Return the wearer's measure, and what the garment has beyond it before and after; '' where it is not known."""
    if each.body is None:
        return "", ""
    body = each.body.value
    between = each.body.interval
    about_ = (
        f" (estimated, {say_length(between[0], job.units)} to {say_length(between[1], job.units)})" if between else ""
    )
    before, after = say_length(each.before - body, job.units), say_length(each.after - body, job.units)
    return f"{say_length(body, job.units)}{about_}", f"{before} before, {after} after" if each.crossed else before


def _notions(job: Job, answers: Sequence[Answer], cloth: Cloth) -> list[str]:
    fibres = ", ".join(f"{name} {say_share(share)}" for name, share in cloth.fibre)
    needle = "a ball-point or stretch needle" if cloth.kind == "knit" else "a sharp or universal needle"
    said = [
        f"The garment: {job.alteration.garment}; {cloth.kind}{', ' + fibres if fibres else ''}.",
        f"Thread to match, tacking thread, {needle}, an unpicker or fine scissors, chalk, pins.",
    ]
    for each in answers:
        if each.work.verb == "replace":
            said.append(f"A new {each.work.what}, by the measure of the old one.")
        elif each.strip and each.way == "strip":
            said.append(
                f"Like cloth for a strip {job.say(each.strip)} wide, as long as the {each.work.what} is opened."
            )
        elif each.strip:
            said.append(
                f"Like or thinner cloth for a facing {job.say(each.strip)} deep, to the {each.work.what}'s curve."
            )
    return said
