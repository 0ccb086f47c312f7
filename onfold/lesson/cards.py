"""One step of the lesson as a card: what to do as jobs, why, what went wrong in it, and its picture beside it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from onfold.lesson.facts import LessonFacts
from onfold.lesson.picture import TALLEST, Frame, draw_picture, tell_picture
from onfold.lesson.tables import not_taped
from onfold.problems import CODES, Problem
from onfold.units import say_list
from onfold.writers.markup import measured, safe, shown, tag

if TYPE_CHECKING:
    from onfold.recipe.step import Told

JOBS, LONG = 3, 330
"""A step of so many sentences is set as a list of jobs: one is done and ticked off before the next is read. One of more
letters, its reason among them, takes the page's full width."""

CROWD, HIGH = 8, 340.0
"""More names than this want a drawing higher than usual, px."""

_SENTENCES = re.compile(r"(?<=[.!?]) (?=[A-Z])")
_WORDS = {"stop": "Stop", "mind": "Mind", "note": "Note"}


def write_steps(steps: Sequence[Told], facts: LessonFacts, frames: dict[str, Frame | None]) -> str:
    """Return a stage's steps as a list that keeps their numbers, and what this wearer has no need of in one line.

    A reason that was given already in the stage is not said again.
    """
    said: set[str] = set()
    cards: list[str] = []
    needed = [each for each in steps if not each.idle]
    figures = [_figure(each, facts, frames.get(each.piece)) for each in needed]
    shapes = _shapes([_shape(each, figure) for each, figure in zip(needed, figures, strict=True)])
    for step, figure, shape in zip(needed, figures, shapes, strict=True):
        cards.append(_step(step, facts, figure, shape, step.why if shown(step.why) not in said else ""))
        said.add(shown(step.why))
    listing = tag("ol", *cards, class_="steps", role="list", start=str(needed[0].number)) if needed else ""
    return listing + _not_needed([each for each in steps if each.idle])


def _not_needed(steps: Sequence[Told]) -> str:
    if not steps:
        return ""
    named = [f"step {each.number} ({_heading(each)})" for each in steps]
    return tag("p", tag("b", "Not needed for this wearer: "), safe(say_list(named)), ".", class_="idle")


def _heading(step: Told) -> str:
    said = shown(step.heading) or shown(step.verb)
    return said[:1].lower() + said[1:]


def _shapes(shapes: list[str]) -> list[str]:
    """Return the cards' shapes with no picture left alone in half a page: the last of an odd run takes its width."""
    kept: list[str] = []
    for wide, run in groupby(shapes, key=lambda each: each == "pictured"):
        these = list(run)
        if not wide and len(these) % 2 and these[-1] == "paired":
            these[-1] = "pictured"
        kept += these
    return kept


def _step(step: Told, facts: LessonFacts, figure: str, shape: str, why: str) -> str:
    name = _heading(step)
    head = f'<span class="number">{step.number}</span> {safe(name[:1].upper() + name[1:])}'
    piece = shown(step.piece)
    aside = f"on the {piece}" if piece and not re.search(rf"\b{re.escape(piece)}\b", name) else ""
    head += f" <small>{safe(aside)}</small>" if aside else ""
    words = [tag("h3", head), *(_found(each) for each in step.found), _stands_on(step), _jobs(step.sentence)]
    if why:
        words.append(tag("p", tag("b", "Why: "), measured(why), class_="why"))
    if step.noted:
        words.append(tag("p", tag("b", "For this figure: "), measured("; ".join(step.noted)), class_="noted"))
    if step.estimated:
        words.append(
            tag("p", "From ", "; ".join(_estimate(each, facts) for each in step.estimated), class_="estimates")
        )
    text = tag("div", *words, class_="words")
    return f'<li id="step-{step.number}" value="{step.number}" class="step {shape}">{text}{figure}</li>'


def _shape(step: Told, figure: str) -> str:
    """Return how a card takes the page: short ones two abreast, a picture below its words; others its full width."""
    if not figure:
        return "plain"
    long = len(_SENTENCES.split(step.sentence)) >= JOBS or len(step.sentence) + len(step.why) > LONG or step.found
    return "pictured" if long or 'class="large"' in figure else "paired"


def _found(found: Problem) -> str:
    """Return what went wrong in a step, set where the step is worked: on the head page alone it would be forgotten."""
    code = CODES.get(found.code)
    head = f"{_WORDS[found.severity]}: {code.title}" if code else _WORDS[found.severity]
    remedy = tag("p", tag("b", "What to do: "), measured(found.remedy), class_="remedy") if found.remedy else ""
    said = tag("p", tag("b", safe(head))) + tag("p", measured(found.says))
    return tag("div", said, remedy, class_=f"problem {found.severity}")


def _stands_on(step: Told) -> str:
    """Return the warning that a step is drawn from one that is stopped, '' where it is not."""
    if not step.stands_on:
        return ""
    which = say_list([f"step {each}" for each in step.stands_on])
    return tag(
        "div", tag("p", tag("b", f"Stop: it is drawn from {which}. Put that right first.")), class_="problem stop"
    )


def _jobs(sentence: str) -> str:
    if not shown(sentence):
        return tag("p", "This cannot be drawn until that is put right; go on with what follows.", class_="sentence")
    jobs = _SENTENCES.split(sentence)
    if len(jobs) < JOBS:
        return tag("p", measured(sentence), class_="sentence")
    return tag("ol", " ".join(tag("li", measured(each)) for each in jobs), class_="sentence jobs", type="a")


def _estimate(name: str, facts: LessonFacts) -> str:
    taken = facts.measures.get(name)
    mark = tag("span", "not taped", class_="untaped") if taken is None else not_taped(taken, facts)
    return f"{safe(name)}: {mark}"


def _figure(step: Told, facts: LessonFacts, frame: Frame | None) -> str:
    if step.picture is None:
        return ""
    alt = tell_picture(step.picture, step.number, step.piece)
    crowded = len(step.picture.words) > CROWD
    picture = draw_picture(step.picture, alt, facts.units, frame, step.focus, HIGH if crowded else TALLEST)
    if picture is None:
        return ""
    where = f"{safe(step.piece)}, " if shown(step.piece) else ""
    part = ", the part that changes" if picture.in_part else ""
    also = f" Also marked: {', '.join(map(safe, picture.crowded_out))}." if picture.crowded_out else ""
    caption = tag("figcaption", f"{where}step {step.number}{part}.{also}")
    return tag("figure", picture.svg, caption, class_="large" if picture.in_part or crowded else "whole-piece")
