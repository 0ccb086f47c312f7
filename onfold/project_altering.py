"""The façade of an alteration: a ticket without a recipe in; answers, measures after, order of work, guide out."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from onfold.body.estimate import fill
from onfold.guide.altering import alteration_parts, say_body
from onfold.guide.facts import GuideFacts
from onfold.guide.printing import print_parts
from onfold.making.altered import Answer, Job, MeasureAfter, answers_of, measures_after, too_small
from onfold.making.altering import altering
from onfold.making.operation import MakingUp
from onfold.problems import Place, Problem, problem
from onfold.shelf.ticket import Ticket
from onfold.units import capital, say_length

if TYPE_CHECKING:
    from onfold.project import Garment

FORMAT = "onfold alteration 1"
READING = "Alteration"
FOOT = "Set out by Onfold. No pattern was drafted: the garment was made elsewhere."


@dataclass(frozen=True)
class Altered:
    """An alteration as it was reckoned."""

    job: Job
    answers: tuple[Answer, ...]
    measures: tuple[MeasureAfter, ...]
    made: MakingUp


def altered(ticket: Ticket) -> Altered | None:
    """Return the alteration of a ticket reckoned and set in order; None where it has none."""
    if ticket.alteration is None:
        return None
    body = fill(ticket.wearer.figure, ticket.wearer.measures, ticket.units).measures
    job = Job(ticket.alteration, ticket.cloth, ticket.units, body)
    return Altered(job, answers_of(job), measures_after(job), altering(job))


def alteration_problems(ticket: Ticket) -> list[Problem]:
    """Return what is to be said of an alteration: what reaches and what doesn't, the measures after, and their ease."""
    done = altered(ticket)
    if done is None:
        return []
    told = [each for answer in done.answers if (each := _answered(done.job, answer)) is not None]
    for measure in done.measures:
        told += _measured(done.job, measure, ticket)
    return told


def _answered(job: Job, answer: Answer) -> Problem | None:
    work = answer.work
    what = f"{capital(work.verb)} the {work.what} by {job.say(work.by)}"
    if answer.way == "reaches":
        says = f"{what}: the inlay reaches. {answer.sum}"
        return _at(answer, problem("ALTER-REACHES", says=says, found=answer.sum))
    if answer.way == "unknown":
        says = f"{what}: {answer.sum[:1].lower()}{answer.sum[1:]}"
        return _at(answer, problem("ALTER-UNKNOWN", says=says, expected="what lies beyond it", remedy=answer.remedy))
    if answer.way in ("narrower", "strip", "facing", "band"):
        says = f"{what}: the inlay does not reach. {answer.sum}"
        return _at(answer, problem("ALTER-SHORT", says=says, found=answer.sum, remedy=answer.remedy))
    return None


def _at(answer: Answer, told: Problem) -> Problem:
    return replace(told, where=answer.work.place, excerpt=answer.work.excerpt)


def _measured(job: Job, each: MeasureAfter, ticket: Ticket) -> list[Problem]:
    """Return the note of a measure that changes; where it leaves the garment too small or without cloth, that too."""
    where = Place(ticket.file)
    if each.after <= 0.0 or (each.crossed and each.after < each.before / 2.0):
        return [_cannot(each, where)]
    if not each.crossed:
        return []
    _, ease = say_body(job, each)
    more = f" {'Ease on the wearer' if each.girth else 'Beyond the measure of the wearer'}: {ease}." if ease else ""
    says = f"{capital(each.name)} of the garment: {each.sum}.{more}"
    told = [problem("ALTER-MEASURE", says=says, found=each.sum, where=where)]
    small = too_small(job, each)
    if small:
        lacks, body = say_length(small, job.units), say_length(each.body.value if each.body else 0.0, job.units)
        after = say_length(each.after, job.units)
        told.append(
            problem(
                "ALTER-EASE",
                says=f"After the work the {each.name} is {after} round, on a wearer of {body}: {lacks} too little.",
                found=after,
                expected=f"{body} and some ease",
                remedy=f"let out {lacks} more in all, or take in so much less",
                where=where,
            )
        )
    return told


def _cannot(each: MeasureAfter, where: Place) -> Problem:
    return problem(
        "ALTER-CANNOT",
        says=f"The {each.name} would be {each.sum}: more than half of it would go. No garment can be altered so far.",
        found=each.sum,
        expected="a change that leaves the garment its shape",
        remedy="look at the amounts, their units, and the number of seams",
        where=where,
    )


def no_pattern(garment: Garment) -> Problem | None:
    """Return why a garment has neither lesson nor lay, where it is one to be altered; None for any other."""
    ticket = garment.ticket
    if ticket is None or ticket.alteration is None:
        return None
    says = f"'{ticket.title}' alters a garment that was made elsewhere: there is no pattern, so neither lesson nor lay."
    remedy = "write its guide with 'onfold make'"
    return problem(
        "NO-PATTERN", says=says, found="alteration", expected="recipe", remedy=remedy, where=ticket.alteration.place
    )


def missing_pattern(garment: Garment, wanted: tuple[str, ...]) -> tuple[Problem, ...]:
    """Return why none of the files wanted can be written for a garment that is altered; empty for any other."""
    told = no_pattern(garment) if wanted and not alteration_makers(wanted) else None
    return () if told is None else (told,)


def alteration_makers(wanted: tuple[str, ...] = ()) -> dict[str, Callable[[Garment], bytes]]:
    """Return by name what writes each file of an alteration, all or those wanted."""
    makers = {"guide.pdf": guide_of_alteration, "alteration.json": alteration_json}
    return {name: make for name, make in makers.items() if not wanted or name in wanted}


def alteration_files(garment: Garment, wanted: tuple[str, ...] = ()) -> dict[str, bytes]:
    """Return the files of an alteration by name: its guide, and the same as data."""
    return {name: make(garment) for name, make in alteration_makers(wanted).items()}


def guide_of_alteration(garment: Garment) -> bytes:
    """Return the guide of an alteration as PDF. Raises ValueError where the ticket has none."""
    ticket = garment.ticket
    done = None if ticket is None else altered(ticket)
    if ticket is None or done is None:
        raise ValueError("this ticket has no alteration")
    facts = GuideFacts(
        title=ticket.title,
        wearer=ticket.wearer.name,
        date=ticket.date,
        units=ticket.units,
        cloth=ticket.cloth,
        figure=ticket.wearer.figure,
        paper=ticket.paper.text,
    )
    parts = alteration_parts(done.job, done.answers, done.measures, done.made, facts, garment.all_problems)
    return print_parts(parts, facts, READING, FOOT)


def alteration_json(garment: Garment) -> bytes:
    """Return `alteration.json`: equal bytes for equal input."""
    return (json.dumps(alteration_data(garment), ensure_ascii=False, indent=1) + "\n").encode()


def alteration_data(garment: Garment) -> dict[str, Any]:
    """Return an alteration as plain data, mm: what other programs read; {} where the ticket has none."""
    ticket = garment.ticket
    done = None if ticket is None else altered(ticket)
    if ticket is None or done is None:
        return {}
    return {
        "format": FORMAT,
        "unit": "mm",
        "title": ticket.title,
        "wearer": ticket.wearer.name,
        "garment": done.job.alteration.garment,
        "work": [_answer_data(each) for each in done.answers],
        "measures": [_measure_data(each) for each in done.measures],
        "operations": [
            {
                "name": each.name,
                "kind": each.kind,
                "times": each.times,
                "why": each.why,
                "after": list(each.tried),
                "acts": [{"kind": a.kind, "says": a.says, "no_way_back": a.no_way_back} for a in each.acts],
            }
            for each in done.made.operations
        ],
        "before": [{"first": b.first, "then": b.then, "must": b.must, "reason": b.reason} for b in done.made.before],
    }


def _answer_data(each: Answer) -> dict[str, Any]:
    work = each.work
    return {
        "work": work.verb,
        "at": work.what,
        "by": work.by,
        "from": work.start,
        "to": work.stop,
        "seams": each.seams,
        "answer": each.way,
        "beyond": each.beyond,
        "uses": each.uses,
        "spare": each.spare,
        "strip": each.strip,
        "sum": each.sum,
        "remedy": each.remedy,
    }


def _measure_data(each: MeasureAfter) -> dict[str, Any]:
    body = each.body
    return {
        "name": each.name,
        "before": each.before,
        "after": each.after,
        "sum": each.sum,
        "wearer": None if body is None else body.value,
        "estimated": body is not None and body.estimated,
        "ease_before": None if body is None else round(each.before - body.value, 6),
        "ease_after": None if body is None else round(each.after - body.value, 6),
    }
