"""The lesson as one page of HTML: a head, the problems, one part a stage, the tables, the cautions.

It needs nothing from outside, no script to be read, and repeats garment, wearer and date on every printed page.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from itertools import groupby
from typing import TYPE_CHECKING

from onfold.guide.cautions import Caution, about, cautions
from onfold.lesson.facts import LessonFacts
from onfold.lesson.picture import Frame, draw_picture, frame_of, tell_picture
from onfold.lesson.tables import (
    not_taped,
    tell_choices,
    tell_cloth,
    tell_levels,
    tell_measures,
    tell_pieces,
    tell_problems,
)
from onfold.problems import Problem
from onfold.units import capital
from onfold.writers.markup import listed, measured, page, safe, shown, tag

if TYPE_CHECKING:
    from onfold.recipe.step import Told

FEW = 2
"""A stage of no more steps than this is printed with its pictures large: its page has the room."""


def write_lesson(told: Sequence[Told], facts: LessonFacts, problems: Sequence[Problem]) -> str:
    """Return the whole lesson as one HTML document: equal for equal input, complete without its script.

    Text of the maker's is escaped, control characters dropped. The script only moves the chalk mark; the page's own
    policy lets no other script run and loads nothing.
    """
    found = cautions(facts.cloth, facts.figure, facts.ties)
    stages = _stages(told)
    frames = _frames(told)
    body = [
        '<a class="skip" href="#steps">Skip to the first step</a>',
        _head(told, facts, problems, stages),
        '<main id="lesson">',
        _before(facts, problems),
        '<div id="steps" tabindex="-1">',
        *(_stage(at, name, steps, facts, frames) for at, (name, steps) in enumerate(stages)),
        "</div>",
        _sheet(facts, "measures", "Measures used", tell_measures(facts)) if facts.measures else "",
        _after(facts, found),
        "</main>",
        tag("footer", tag("p", f"{_running(facts)} Drafted by Onfold from the recipe {safe(facts.recipe)}.")),
        _chalk(len(told)) if told else "",
    ]
    script = _shipped("lesson.js") if told else ""
    return page(f"Lesson: {facts.title}, for {facts.wearer}", _shipped("lesson.css"), body, script)


@cache
def _shipped(name: str) -> str:
    return (files("onfold.lesson") / name).read_text("utf-8")


def _stages(told: Sequence[Told]) -> list[tuple[str, list[Told]]]:
    """Return the steps by stage in their order; a stage come back to later is said to be continued."""
    seen: set[str] = set()
    stages: list[tuple[str, list[Told]]] = []
    for name, steps in groupby(told, key=lambda each: shown(each.stage)):
        title = capital(name) if name else "Steps"
        stages.append((f"{title}, continued" if name in seen else title, list(steps)))
        seen.add(name)
    return stages


def _frames(told: Sequence[Told]) -> dict[str, Frame | None]:
    """Return for every piece the frame all its pictures share, so that the draft grows in place from step to step."""
    return {
        piece: frame_of(each.picture for each in told if each.piece == piece and each.picture is not None)
        for piece in dict.fromkeys(each.piece for each in told)
    }


def _running(facts: LessonFacts) -> str:
    """Return what stands at the head of every page: garment, wearer, date."""
    said = [f"{safe(facts.title)}.", f"For {safe(facts.wearer)}."]
    return " ".join([*said, *([f"{safe(facts.date)}."] if facts.date else [])])


def _head(
    told: Sequence[Told], facts: LessonFacts, problems: Sequence[Problem], stages: list[tuple[str, list[Told]]]
) -> str:
    untaped = sum(taken.estimated for taken in facts.measures.values())
    stops = sum(each.severity == "stop" for each in problems)
    units = "inches" if facts.units == "in" else "centimetres"
    card = [
        ("Wearer", facts.wearer),
        ("Date", facts.date or "no date on the ticket"),
        ("Recipe", facts.recipe),
        ("Cloth", facts.cloth.name),
        ("Lengths in", units),
        ("Not taped", f"{untaped} of {len(facts.measures)} measures"),
    ]
    if facts.notes:
        card.append(("Figure notes", "; ".join(facts.notes)))
    if stops:
        card.append(("Stops", f"{stops}: read them before you cut"))
    facts_list = "".join(tag("div", tag("dt", name), tag("dd", safe(value))) for name, value in card)
    links = [("before", "Before you begin", "")] + [
        (f"stage-{at + 1}", name, _span(steps)) for at, (name, steps) in enumerate(stages)
    ]
    links += [("measures", "Measures used", "")] if facts.measures else []
    links += [("after", "Cutting and care", "")]
    items = (
        tag("li", f'<a href="#{where}">{safe(name)}</a>', f" <small>{steps}</small>" if steps else "")
        for where, name, steps in links
    )
    nav = tag("nav", tag("h2", "In this lesson"), tag("ul", *items), class_="contents", aria_label="In this lesson")
    title = tag("p", "The drafting lesson", class_="kind") + tag("h1", safe(facts.title))
    lead = f"{len(told)} steps, drawn in order with this wearer's own numbers. "
    lead += "Heavy lines are new in a step, thin ones it was drawn from, grey ones stood already."
    return tag(
        "header", title, tag("dl", facts_list, class_="card"), tag("p", lead, class_="lead"), nav, class_="sheet"
    )


def _span(steps: list[Told]) -> str:
    first, last = steps[0].number, steps[-1].number
    return f"step {first}" if first == last else f"steps {first} to {last}"


def _sheet(facts: LessonFacts, name: str, heading: str, *inside: str, class_: str = "") -> str:
    """Return one sheet: its running head (seen, not read out again), its heading, what stands on it."""
    head = tag(
        "div", tag("p", tag("span", _running(facts)), tag("span", safe(heading))), class_="running", aria_hidden="true"
    )
    flow = tag("div", tag("h2", safe(heading), id=name), *inside, class_="flow")
    return tag("section", head, flow, class_=f"sheet {class_}".strip(), aria_labelledby=name)


def _before(facts: LessonFacts, problems: Sequence[Problem]) -> str:
    parts = [
        tell_problems(problems),
        *(_under(part) for part in (tell_cloth(facts), tell_levels(facts), tell_choices(facts))),
    ]
    return _sheet(facts, "before", "Before you begin", *parts, class_="opening")


def _under(part: str) -> str:
    """Return a part whose heading stands one step lower, under a sheet's own."""
    return part.replace("<h2", "<h3").replace("</h2>", "</h3>")


def _stage(at: int, name: str, steps: list[Told], facts: LessonFacts, frames: dict[str, Frame | None]) -> str:
    cards = "".join(_step(step, facts, frames.get(step.piece)) for step in steps)
    listing = f'<ol class="steps" role="list" start="{steps[0].number}">{cards}</ol>'
    return _sheet(facts, f"stage-{at + 1}", name, listing, class_="stage few" if len(steps) <= FEW else "stage")


def _step(step: Told, facts: LessonFacts, frame: Frame | None) -> str:
    name = shown(step.verb)
    head = f'<span class="number">{step.number}</span> {safe(capital(name))}'
    aside = ", ".join(part for part in (shown(step.piece), shown(step.label)) if part)
    head += f" <small>{safe(aside)}</small>" if aside else ""
    words = [tag("h3", head), tag("p", measured(step.sentence), class_="sentence")]
    if step.why:
        words.append(tag("p", tag("b", "Why: "), measured(step.why), class_="why"))
    if step.noted:
        words.append(tag("p", tag("b", "For this figure: "), measured("; ".join(step.noted)), class_="noted"))
    if step.estimated:
        words.append(
            tag("p", "From ", "; ".join(_estimate(each, facts) for each in step.estimated), class_="estimates")
        )
    figure, shape = _figure(step, facts, frame)
    text = tag("div", *words, class_="words")
    return f'<li id="step-{step.number}" value="{step.number}" class="step {shape}">{text}{figure}</li>'


def _estimate(name: str, facts: LessonFacts) -> str:
    taken = facts.measures.get(name)
    mark = tag("span", "not taped", class_="untaped") if taken is None else not_taped(taken, facts)
    return f"{safe(name)}: {mark}"


def _figure(step: Told, facts: LessonFacts, frame: Frame | None) -> tuple[str, str]:
    if step.picture is None:
        return "", "plain"
    alt = tell_picture(step.picture, step.number, step.piece)
    picture = draw_picture(step.picture, alt, facts.units, frame)
    if picture is None:
        return "", "plain"
    also = f"Also marked: {', '.join(map(safe, picture.crowded_out))}. " if picture.crowded_out else ""
    where = f"{safe(step.piece)}, " if shown(step.piece) else ""
    caption = tag("figcaption", f"{where}step {step.number}. {also}")
    return tag("figure", picture.svg, caption), picture.shape


def _after(facts: LessonFacts, found: list[Caution]) -> str:
    pieces = _under(tell_pieces(facts, about(found, "cutting")))
    topics = (
        ("sewing", "Pins and needles"),
        ("pressing", "Iron and steam"),
        ("children", "Children's clothes"),
        ("rules", "Rules"),
    )
    said = [tag("h3", "Take care", id="care")]
    if not facts.pieces:
        said.append(tag("h4", "Shears and blades") + listed(map(safe, about(found, "cutting")), class_="cautions"))
    for topic, heading in topics:
        texts = about(found, topic)  # type: ignore[arg-type]
        if texts:
            said.append(tag("h4", heading) + listed(map(safe, texts), class_="cautions"))
    return _sheet(facts, "after", "Cutting and care", pieces, *said)


def _chalk(count: int) -> str:
    """Return the chalk mark's controls, hidden until the script shows them."""
    return (
        '<nav id="chalk" class="chalk" aria-label="Chalk mark: go through the lesson step by step" hidden>'
        '<button type="button" data-by="-1">Back</button>'
        f'<input type="range" min="1" max="{count}" value="1" aria-label="Step">'
        '<button type="button" data-by="1">Next step</button>'
        f'<output aria-live="polite">Step 1 of {count}</output></nav>\n'
    )
