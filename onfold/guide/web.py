"""The guide as one page of HTML: the parts of the printed guide, for the screen beside the machine.

It needs nothing from outside and no script, prints well, and repeats garment, wearer and date on every printed page.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from importlib.resources import files

from onfold.drawing import Drawing
from onfold.guide.facts import Card, Doing, Entry, GuideFacts, Part
from onfold.guide.parts import parts_of
from onfold.guide.pictures import FINER, draw_pieces
from onfold.pattern import Pattern
from onfold.problems import Problem
from onfold.units import capital
from onfold.writers.markup import listed, measured, page, safe, shown, table, tag

_WORDS = {"stop": "Stop", "mind": "Mind", "note": "Note"}
_PROLOG = re.compile(r"^\s*<\?xml[^>]*\?>\s*")
_MARK = re.compile(r'<g id="(d[0-9a-f]{10})"')
_SIZE = re.compile(r'^(<svg\b[^>]*?) width="([\d.]+)mm" height="([\d.]+)mm"')


def write_guide_html(
    pattern: Pattern,
    facts: GuideFacts,
    problems: Sequence[Problem],
    drawn: Mapping[str, Drawing] | None = None,
) -> str:
    """Return the guide as one HTML document, equal for equal input; `drawn` as for `write_guide`.

    Text of the maker's is escaped. A picture that is not in `facts.pictures` is left out, its words stay.
    """
    sheet = _Sheet(facts, {name: each.title for name, each in draw_pieces(pattern, facts.units, facts.cloth).items()})
    sections = _sections(parts_of(pattern, facts, problems, drawn))
    title = facts.title or pattern.title or pattern.recipe
    wearer = facts.wearer or pattern.wearer
    running = " ".join(f"{said}." for said in (title, f"For {wearer}", facts.date) if said)
    body = [
        '<a class="skip" href="#guide">Skip to the guide</a>',
        _head(facts, title, wearer, [parts[0].heading for parts in sections]),
        '<main id="guide" tabindex="-1">',
        *(_section(sheet, at + 1, parts, running) for at, parts in enumerate(sections)),
        "</main>",
        tag("footer", tag("p", f"{safe(running)} Drafted by Onfold from the recipe {safe(pattern.recipe)}.")),
    ]
    return page(f"Making up: {title}, for {wearer}", _style(), body)


@cache
def _style() -> str:
    return (files("onfold.guide") / "guide.css").read_text("utf-8")


def _sections(parts: Sequence[Part]) -> list[list[Part]]:
    """Return the parts by the heading they stand under."""
    found: list[list[Part]] = []
    for part in parts:
        if not found or (part.heading and part.level == 1):
            found.append([])
        found[-1].append(part)
    return found


def _head(facts: GuideFacts, title: str, wearer: str, headings: Sequence[str]) -> str:
    units = "inches" if facts.units == "in" else "cm and mm"
    card = (
        ("Wearer", wearer),
        ("Date", facts.date or "no date on the ticket"),
        ("Cloth", facts.cloth.name),
        ("Lengths in", units),
    )
    told = "".join(tag("div", tag("dt", name), tag("dd", safe(said))) for name, said in card)
    links = (f'<a href="#part-{at + 1}">{safe(_upper(said))}</a>' for at, said in enumerate(headings))
    return tag(
        "header",
        tag("p", "Making up", class_="kind"),
        tag("h1", safe(title)),
        tag("dl", told, class_="card"),
        tag("nav", tag("h2", "In this guide"), listed(links), class_="contents", aria_label="In this guide"),
        class_="sheet",
    )


class _Sheet:
    """What the parts of one page share: its facts, and the marks of the pictures that stand on it already."""

    def __init__(self, facts: GuideFacts, alts: dict[str, str]) -> None:
        self.facts, self.alts = facts, alts
        self.marks: dict[str, int] = {}

    def figure(self, name: str, caption: str, class_: str = "picture") -> str:
        """Return a picture with its caption; nothing where there is none of this name."""
        svg = self.facts.pictures.get(name)
        if svg is None:
            return ""
        drawn = _SIZE.sub(_sized, _PROLOG.sub("", svg).strip())
        found = _MARK.search(drawn)
        if found:
            mark = found[1]
            times = self.marks.get(mark, 0)
            self.marks[mark] = times + 1
            drawn = drawn.replace(mark, f"{mark}x{times}") if times else drawn
        return tag("figure", drawn, tag("figcaption", safe(caption)), class_=class_)


def _sized(found: re.Match[str]) -> str:
    """Return the head of an SVG that knows the size it is meant for: pictures are drawn `FINER` times as large."""
    return f'{found[1]} style="--wide:{float(found[2]) / FINER:.1f}mm"'


def _section(sheet: _Sheet, number: int, parts: Sequence[Part], running: str) -> str:
    heading = _upper(parts[0].heading) or "Before you begin"
    name = f"part-{number}"
    head = tag(
        "div", tag("p", tag("span", safe(running)), tag("span", safe(heading))), class_="running", aria_hidden="true"
    )
    inside = [tag("h2", safe(heading), id=name, tabindex="-1")]
    for at, part in enumerate(parts):
        if part.heading and at:
            inside.append(tag("h3", safe(_upper(part.heading))))
        inside.append(_PARTS[part.kind](sheet, part))
        if part.note and part.kind != "steps":
            inside.append(tag("p", measured(part.note), class_="small"))
    class_ = "sheet labels" if any(part.kind == "labels" for part in parts) else "sheet"
    return tag("section", head, tag("div", *inside, class_="flow"), class_=class_, aria_labelledby=name)


def _text(sheet: _Sheet, part: Part) -> str:
    return "".join(tag("p", measured(said)) for said in part.lines)


def _bullets(sheet: _Sheet, part: Part) -> str:
    return listed(map(measured, part.lines)) if part.lines else ""


def _numbers(sheet: _Sheet, part: Part) -> str:
    return tag("ol", *(tag("li", measured(_upper(said))) for said in part.lines)) if part.lines else ""


def _cautions(sheet: _Sheet, part: Part) -> str:
    return listed(map(safe, part.lines), class_="cautions") if part.lines else ""


def _table(sheet: _Sheet, part: Part) -> str:
    return table(part.heading, part.heads, [[measured(cell) for cell in row] for row in part.rows])


def _steps(sheet: _Sheet, part: Part) -> str:
    note = tag("p", measured(_upper(part.note)), class_="why") if part.note else ""
    return note + _numbers(sheet, part)


def _problems(sheet: _Sheet, part: Part) -> str:
    return "".join(
        tag(
            "div",
            tag("p", tag("b", safe(f"{_WORDS.get(severity, 'Note')}: {title}"))),
            tag("p", measured(says)) if says else "",
            tag("p", tag("b", "What to do: "), measured(remedy)) if remedy else "",
            class_=f"problem {severity}",
        )
        for severity, title, says, remedy in part.rows
    )


def _care(sheet: _Sheet, part: Part) -> str:
    blocks = (tag("div", tag("h3", safe(row[0])), listed(map(safe, row[1:]))) for row in part.rows)
    return tag("div", *blocks, class_="care")


def _pieces(sheet: _Sheet, part: Part) -> str:
    items = []
    for name, *said in part.rows:
        facts = "".join(tag("p", safe(_upper(each)), class_="small") for each in said if each)
        caption = sheet.alts.get(name, name).split(":")[0]
        items.append(tag("li", tag("h3", safe(_upper(name))), facts, sheet.figure(name, _upper(caption))))
    return tag("ul", *items, class_="pieces", role="list")


def _key(sheet: _Sheet, part: Part) -> str:
    return "".join(
        sheet.figure(name, "Right sides are plain, wrong sides hatched, in every picture.", "key")
        for name, _ in part.rows
    )


def _operations(sheet: _Sheet, part: Part) -> str:
    return tag("ol", *(_operation(sheet, entry) for entry in part.entries), class_="operations", role="list")


def _operation(sheet: _Sheet, entry: Entry) -> str:
    aside = ", ".join(said for said in (entry.often, entry.state, entry.time) if said)
    head = f'<span class="number">{entry.number}</span> {safe(_upper(entry.name))}'
    head += f" <small>{safe(_upper(aside))}</small>" if aside else ""
    words = [tag("h3", head)]
    if entry.on:
        words.append(tag("p", safe(f"On: {entry.on}"), class_="small"))
    if entry.why:
        words.append(tag("p", tag("b", "Why here: "), measured(entry.why), class_="why"))
    if entry.first:
        words.append(tag("p", tag("b", "Try first: "), safe(entry.first), "."))
    if entry.acts:
        words.append(tag("ol", *map(_doing, entry.acts), class_="acts"))
    words += [tag("p", tag("b", "Mind: "), safe(said), class_="caution") for said in entry.cautions]
    if entry.other:
        lines = (tag("p", measured(said)) for said in entry.other)
        words.append(tag("div", tag("p", tag("b", "Two orders are sound.")), *lines, class_="other"))
    figure = sheet.figure(entry.picture, f"{entry.number}. {_upper(entry.name)}") if entry.picture else ""
    class_ = "operation" if figure else "operation plain"
    return (
        f'<li id="operation-{entry.number}" value="{entry.number}" class="{class_}">{tag("div", *words)}{figure}</li>'
    )


def _doing(act: Doing) -> str:
    if not act.no_way_back:
        return tag("li", measured(act.says))
    return tag("li", tag("div", tag("b", "No way back. "), measured(act.says), class_="no-way-back"))


def _labels(sheet: _Sheet, part: Part) -> str:
    return tag("ul", *map(_label, part.cards), class_="cards", role="list")


def _label(card: Card) -> str:
    facts = "".join(tag("p", safe(_upper(said)), class_="small") for said in card.facts)
    arrow = tag("p", tag("span", "\u2191", class_="arrow", aria_hidden="true"), "top", class_="top")
    words = tag("div", tag("p", tag("b", safe(_upper(card.name)))), tag("p", safe(_upper(card.count))), facts)
    return tag("li", words, arrow)


def _upper(text: str) -> str:
    plain = shown(text)
    return capital(plain)


_PARTS: dict[str, Callable[[_Sheet, Part], str]] = {
    "text": _text,
    "bullets": _bullets,
    "numbers": _numbers,
    "cautions": _cautions,
    "table": _table,
    "steps": _steps,
    "problems": _problems,
    "care": _care,
    "pieces": _pieces,
    "key": _key,
    "operations": _operations,
    "labels": _labels,
}
