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
from onfold.lesson.allowances import tell_allowances
from onfold.lesson.cards import write_steps
from onfold.lesson.facts import LessonFacts
from onfold.lesson.picture import Frame, frame_of
from onfold.lesson.tables import (
    tell_choices,
    tell_cloth,
    tell_levels,
    tell_measures,
    tell_pieces,
    tell_problems,
)
from onfold.problems import Problem
from onfold.writers.markup import listed, page, safe, shown, tag

if TYPE_CHECKING:
    from onfold.recipe.step import Told

ALLOWANCES = "Allowances and cut line"


def write_lesson(told: Sequence[Told], facts: LessonFacts, problems: Sequence[Problem]) -> str:
    """Return the whole lesson as one HTML document: equal for equal input, complete without its script.

    Text of the maker's is escaped, control characters dropped. The script only moves the chalk mark; the page's own
    policy lets no other script run and loads nothing.
    """
    found = cautions(facts.cloth, facts.figure, facts.ties)
    stages = _stages(told)
    frames = _frames(told)
    allowances = tell_allowances(facts)
    needed = [each for each in told if not each.idle]
    body = [
        '<a class="skip" href="#steps">Skip to the first step</a>',
        _head(told, facts, problems, stages),
        '<main id="lesson">',
        tag("div", tag("p", tag("span", _running(facts))), class_="running", aria_hidden="true"),
        '<div class="flow">',
        _before(told, facts, problems),
        '<div id="steps" tabindex="-1">',
        *(_stage(at, name, steps, facts, frames) for at, (name, steps) in enumerate(stages)),
        "</div>",
        _sheet("allowances", ALLOWANCES, allowances, class_="allowances") if allowances else "",
        _sheet("measures", "Measures used", tell_measures(facts)) if facts.measures else "",
        _after(facts, found),
        "</div></main>",
        tag("footer", tag("p", f"{_running(facts)} Drafted by Onfold from the recipe {safe(facts.recipe)}.")),
        _chalk(len(needed), told[-1].number) if needed else "",
    ]
    script = _shipped("lesson.js") if needed else ""
    return page(f"Lesson: {facts.title}, for {facts.wearer}", _shipped("lesson.css"), body, script)


@cache
def _shipped(name: str) -> str:
    return (files("onfold.lesson") / name).read_text("utf-8")


def _stages(told: Sequence[Told]) -> list[tuple[str, list[Told]]]:
    """Return the steps by stage in their order; a stage come back to later is said to be continued."""
    seen: set[str] = set()
    stages: list[tuple[str, list[Told]]] = []
    for name, steps in groupby(told, key=lambda each: shown(each.stage)):
        title = name[:1].upper() + name[1:] if name else "Steps"
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
    links += [("allowances", ALLOWANCES, "")] if any(each.edges for each in facts.pieces) else []
    links += [("measures", "Measures used", "")] if facts.measures else []
    links += [("after", "Cutting and care", "")]
    items = (
        tag("li", f'<a href="#{where}">{safe(name)}</a>', f" <small>{steps}</small>" if steps else "")
        for where, name, steps in links
    )
    nav = tag("nav", tag("h2", "In this lesson"), tag("ul", *items), class_="contents", aria_label="In this lesson")
    title = tag("p", "The drafting lesson", class_="kind") + tag("h1", safe(facts.title))
    idle = sum(each.idle for each in told)
    lead = f"{len(told)} steps, drawn in order with this wearer's own numbers"
    lead += f"; {idle} of them are not needed for this wearer and are passed over. " if idle else ". "
    lead += "Heavy lines are new in a step, thin ones it was drawn from, grey ones stood already."
    return tag(
        "header",
        title,
        tag("dl", facts_list, class_="card"),
        _stops(told, problems),
        tag("p", lead, class_="lead"),
        nav,
        class_="sheet",
    )


def _stops(told: Sequence[Told], problems: Sequence[Problem]) -> str:
    """Return every stop in its own words, with the step it came up in: nobody drafts past the head without them."""
    steps = _steps_of(told)
    words = [(steps.get(each.says, ""), each.says) for each in problems if each.severity == "stop" and each.says]
    said = (tag("p", tag("b", f"Stop{', ' + step if step else ''}: "), safe(says)) for step, says in words)
    return tag("div", *said, class_="problem stop") if words else ""


def _span(steps: list[Told]) -> str:
    first, last = steps[0].number, steps[-1].number
    return f"step {first}" if first == last else f"steps {first} to {last}"


def _sheet(name: str, heading: str, *inside: str, class_: str = "") -> str:
    """Return one sheet: its heading and what stands on it."""
    return tag(
        "section", tag("h2", safe(heading), id=name), *inside, class_=f"sheet {class_}".strip(), aria_labelledby=name
    )


def _before(told: Sequence[Told], facts: LessonFacts, problems: Sequence[Problem]) -> str:
    parts = [
        tell_problems(problems, _steps_of(told)),
        *(_under(part) for part in (tell_cloth(facts), tell_levels(facts), tell_choices(facts))),
    ]
    return _sheet("before", "Before you begin", *parts, class_="opening")


def _steps_of(told: Sequence[Told]) -> dict[str, str]:
    """Return by a problem's words the step where it came up: `step 34`."""
    return {found.says: f"step {each.number}" for each in told for found in each.found}


def _under(part: str) -> str:
    """Return a part whose heading stands one step lower, under a sheet's own."""
    return part.replace("<h2", "<h3").replace("</h2>", "</h3>")


def _stage(at: int, name: str, steps: list[Told], facts: LessonFacts, frames: dict[str, Frame | None]) -> str:
    return _sheet(f"stage-{at + 1}", name, write_steps(steps, facts, frames), class_="stage")


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
    return _sheet("after", "Cutting and care", pieces, *said)


def _chalk(count: int, last: int) -> str:
    """Return the chalk mark's controls, hidden until the script shows them."""
    return (
        '<nav id="chalk" class="chalk" aria-label="Chalk mark: go through the lesson step by step" hidden>'
        '<button type="button" data-by="-1">Back</button>'
        f'<input type="range" min="1" max="{count}" value="1" aria-label="Step">'
        '<button type="button" data-by="1">Next step</button>'
        f'<output aria-live="polite">Step 1 of {last}</output></nav>\n'
    )
