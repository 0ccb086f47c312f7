"""The lesson's tables and lists: what was taped and what wasn't, levels, choices, cloth, pieces, problems."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from onfold.body.taken import Taken
from onfold.cloth import in_one_layer, say_guesses
from onfold.lesson.facts import LessonFacts
from onfold.pattern import Piece
from onfold.problems import CODES, Problem, Severity
from onfold.recipe.telling import WHOLE
from onfold.units import say_length, say_share
from onfold.writers.markup import listed, safe, table, tag

_SEVERITIES: tuple[tuple[Severity, str, str], ...] = (
    ("stop", "Stop", "it cannot be cut, sewn or put on like this"),
    ("mind", "Mind", "decide before you cut"),
    ("note", "Note", "good to know"),
)


def say(mm: float, facts: LessonFacts) -> str:
    """Return a length in the maker's units."""
    return say_length(mm, facts.units, facts.fraction)


def say_taken(taken: Taken, facts: LessonFacts) -> str:
    """Return a measure's markup: its value, and where it wasn't taped the words 'not taped' with the interval."""
    value = tag("span", safe(say(taken.value, facts)), class_="figure")
    return f"{value} {not_taped(taken, facts)}" if taken.estimated else value


def not_taped(taken: Taken, facts: LessonFacts) -> str:
    """Return the mark of an estimate: 'not taped, between … and …' (nine times in ten)."""
    if taken.interval is None:
        return tag("span", "not taped", class_="untaped")
    low, high = (safe(say(each, facts)) for each in taken.interval)
    return tag("span", f"not taped, {low} to {high}", class_="untaped")


def tell_problems(problems: Sequence[Problem], steps: Mapping[str, str] = MappingProxyType({})) -> str:
    """Return the problems, gravest first, each with what was found, what was expected and what to do.

    `steps` gives the step of the lesson that a problem came up in, by the problem's words.
    """
    if not problems:
        return tag("p", "Nothing stands in the way of cutting: every check came out well.", class_="clear")
    parts: list[str] = []
    for severity, word, meaning in _SEVERITIES:
        found = [each for each in problems if each.severity == severity]
        if found:
            count = f"{word}: {len(found)}"
            parts.append(tag("h3", f"{count} <small>{meaning}</small>", class_=f"severity {severity}"))
            alike = [
                [each for each in found if each.code == code] for code in dict.fromkeys(each.code for each in found)
            ]
            told = (_problem(same[0], word, steps) if len(same) == 1 else _alike(same, word, steps) for same in alike)
            parts.append(listed(told, class_="problems", role="list"))
    return "".join(parts)


def _alike(problems: Sequence[Problem], word: str, steps: Mapping[str, str]) -> str:
    """Return several problems of one code under one head, each with what to do."""
    code = CODES.get(problems[0].code)
    head = f"{word}: {code.title if code else problems[0].code} ({len(problems)})"
    items = [
        safe(each.says)
        + (f" {tag('b', 'What to do:')} {safe(each.remedy)}" if each.remedy else "")
        + (f" {tag('span', safe(_where(each, steps)), class_='small')}" if _where(each, steps) else "")
        for each in problems
    ]
    small = tag("p", f"In the list of problems: {safe(problems[0].code)}.", class_="small")
    return tag("div", tag("p", tag("b", safe(head))), listed(items), small, class_=f"problem {problems[0].severity}")


def _where(found: Problem, steps: Mapping[str, str]) -> str:
    """Return where a problem came up, as the lesson speaks of it: its step by number and its piece."""
    step = steps.get(found.says, "")
    spot = "" if step else str(replace(found.where, step="", piece=""))
    named = (step, spot, f"the {found.where.piece}" if found.where.piece else "")
    said = ", ".join(part for part in named if part)
    return f"{said[:1].upper()}{said[1:]}." if step else f"{said}." if said else ""


def _problem(problem: Problem, word: str, steps: Mapping[str, str]) -> str:
    code = CODES.get(problem.code)
    head = f"{word}: {code.title}" if code else word
    figures = [
        f"{name}: {value.rstrip('.')}."
        for name, value in (("Found", problem.found), ("Expected", problem.expected))
        if value
    ]
    small = " ".join([*figures, _where(problem, steps), f"In the list of problems: {problem.code}."])
    remedy = tag("p", tag("b", "What to do: "), safe(problem.remedy), class_="remedy") if problem.remedy else ""
    return tag(
        "div",
        tag("p", tag("b", safe(head))),
        tag("p", safe(problem.says)) if problem.says else "",
        remedy,
        tag("p", safe(small), class_="small"),
        class_=f"problem {problem.severity}",
    )


def tell_measures(facts: LessonFacts) -> str:
    """Return the table of measures used, untaped ones marked, and what to measure first."""
    if not facts.measures:
        return ""
    rows = [
        (safe(name), say_taken(taken, facts), safe(facts.how.get(name, ""))) for name, taken in facts.measures.items()
    ]
    guessed = any(taken.estimated for taken in facts.measures.values())
    parts: list[str] = []
    if guessed:
        words = "What stands marked not taped was filled in from the other measures by a survey. "
        words += "Nine bodies in ten lie between the two figures; yours may not."
        parts.append(tag("p", words))
    if facts.measure_first:
        first = [
            safe(name) + (f": {safe(facts.how[name])}" if name in facts.how else "") for name in facts.measure_first
        ]
        parts.append(tag("p", tag("b", "Measure first, if you measure anything more:")))
        parts.append(tag("ol", *(tag("li", each) for each in first), class_="first"))
    parts.append(table("Measures", ("Measure", "As used", "How it is taken"), rows))
    return "".join(parts)


def tell_levels(facts: LessonFacts) -> str:
    """Return the table of levels: body, finished garment, wearing stretch, share of the cloth's stretch used."""
    if not facts.levels:
        return ""
    stretch = facts.cloth.stretch_across
    rows = [
        (
            safe(name),
            safe(say(level.body, facts)),
            safe(say(level.finished, facts)),
            safe(_difference(level.finished - level.body, facts)),
            safe(say_share(level.wearing_stretch)),
            safe(say_share(level.wearing_stretch / stretch)) if stretch > 0 else "none to use",
        )
        for name, level in facts.levels.items()
        if level.body > 0 and level.finished > 0
    ]
    if not rows:
        return ""
    heads = (
        "Level",
        "Body",
        "Finished garment",
        "Ease or reduction",
        "Wearing stretch",
        "Share of the cloth's stretch",
    )
    said = "All round the body. Wearing stretch is how far the cloth is pulled when the garment is worn; "
    said += f"this cloth stretches {say_share(stretch)} round the body." if stretch else "this cloth does not stretch."
    head = tag("h2", "From the body to the garment", id="levels")
    return tag("div", head, tag("p", said), table("Levels", heads, rows), class_="whole")


def _difference(mm: float, facts: LessonFacts) -> str:
    if abs(mm) < 0.5:
        return "none"
    return f"{say(abs(mm), facts)} {'ease' if mm > 0 else 'taken in'}"


def tell_choices(facts: LessonFacts) -> str:
    """Return the table of choices: what was asked, what it is, who set it."""
    if not facts.choices:
        return ""
    rows = [
        (safe(each.name), safe(each.said), "you, in the ticket" if each.by_maker else "the recipe", safe(each.asked))
        for each in facts.choices
    ]
    head = tag("h2", "Choices", id="choices")
    return tag("div", head, table("Choices", ("Choice", "Value", "Set by", "What it asks"), rows), class_="whole")


def tell_cloth(facts: LessonFacts) -> str:
    """Return what is known of the cloth and what was taken for granted."""
    cloth = facts.cloth
    known = [f"{cloth.kind}, {say(cloth.width, facts)} wide"]
    if cloth.stretch_across > 0 or cloth.stretch_along > 0:
        known.append(f"stretch {say_share(cloth.stretch_across)} across, {say_share(cloth.stretch_along)} along")
    if cloth.nap != "none":
        known.append(f"nap pointing {cloth.nap}")
    known += list(cloth.surface)
    guesses = say_guesses(cloth, facts.units)
    said = tag("p", tag("b", safe(cloth.name)), f": {safe('; '.join(known))}.")
    return tag("h2", "The cloth", id="cloth") + said + (listed(map(safe, guesses)) if guesses else "")


def tell_pieces(facts: LessonFacts, cautions: Sequence[str]) -> str:
    """Return the pieces to cut, with the cautions that belong to cutting beside them."""
    if not facts.pieces:
        return ""
    flat = in_one_layer(facts.cloth)
    rows = [(safe(piece.name), safe(how_cut(piece, flat)), safe(piece.material)) for piece in facts.pieces]
    beside = listed(map(safe, cautions), class_="cautions") if cautions else ""
    return tag("h2", "Pieces to cut", id="pieces") + table("Pieces", ("Piece", "Cut", "From"), rows) + beside


def how_cut(piece: Piece, one_layer: bool = False) -> str:
    """Return how a piece is cut, as a cutter says it: `1 on the fold`, `2, a mirrored pair`.

    From cloth that is not folded a piece drafted to a fold is cut whole, in one layer.
    """
    count = str(piece.cut) if piece.cut else "no count given"
    if piece.on_fold:
        return f"{count} {WHOLE if one_layer else 'on the fold'}"
    return f"{count}, a mirrored pair" if piece.mirrored_pair else count
