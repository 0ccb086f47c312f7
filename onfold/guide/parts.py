"""The guide's parts in their order. A later issue widens making up by adding parts here; the template stays."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from onfold.cloth import Cloth, say_guesses, say_width
from onfold.drawing import Drawing
from onfold.guide.cautions import Caution, Topic, about, cautions
from onfold.guide.facts import GuideFacts, Part
from onfold.guide.labels import label_parts
from onfold.guide.operations import operation_parts
from onfold.guide.tables import allowance_parts, handling_parts, machine_parts, notion_lines
from onfold.making.cutting import cutting_order, how_cut
from onfold.making.minutes import minutes_of
from onfold.making.operation import MakingUp
from onfold.making.order import making_up
from onfold.pattern import Pattern
from onfold.problems import CODES, Problem, gravest_first
from onfold.units import capital, say_share

_HEADINGS: tuple[tuple[Topic, str], ...] = (
    ("cutting", "Shears and blades"),
    ("sewing", "Pins, needles, machine"),
    ("pressing", "Iron and steam"),
    ("children", "Children's clothes"),
    ("rules", "Rules"),
)


def parts_of(
    pattern: Pattern, facts: GuideFacts, problems: Sequence[Problem], drawn: Mapping[str, Drawing] | None = None
) -> list[Part]:
    """Return every part of the guide, in the order of the work: what to know, to have, to do, to mind.

    `drawn` are the drawings of the operations by name, whose SVG `facts.pictures` holds. The labels to cut out come
    last, so that nothing else is on their page.
    """
    making = making_of(pattern, facts)
    times = {each.name: minutes_of(each, facts.cloth).hands for each in making.operations}
    return [
        *problem_parts(problems),
        *_untaped(pattern, facts),
        Part("pieces", "The pieces", rows=_pieces(pattern, facts)),
        *_materials(pattern, facts, making),
        *machine_parts(facts, making),
        *handling_parts(facts),
        *allowance_parts(pattern, facts),
        *_left_out(making),
        *operation_parts(making, pattern, facts, drawn or {}, times),
        *care_parts(cautions(facts.cloth, facts.figure, facts.ties)),
        *label_parts(pattern, facts),
    ]


def making_of(pattern: Pattern, facts: GuideFacts) -> MakingUp:
    """Return the operations told: those given, else found here."""
    return facts.making if facts.making is not None else making_up(pattern, facts.cloth, facts.units)


def problem_parts(problems: Sequence[Problem], heading: str = "Before you cut") -> list[Part]:
    """Return the problems, gravest first; estimates have a part of their own."""
    rows = tuple(
        (each.severity, CODES[each.code].title if each.code in CODES else each.code, each.says, each.remedy)
        for each in gravest_first(problems)
        if each.code != "NOT-TAPED"
    )
    return [Part("problems", heading, rows=rows)] if rows else []


def _untaped(pattern: Pattern, facts: GuideFacts) -> list[Part]:
    """Return what was not taped, each with its interval where the pattern knows it."""
    guessed = {name: taken for name, taken in pattern.measures.items() if taken.estimated}
    names = tuple(guessed) if facts.not_taped is None else facts.not_taped
    said = []
    for name in names:
        taken = guessed.get(name)
        between = taken.interval if taken else None
        said.append(f"{name} ({facts.say(between[0])} to {facts.say(between[1])})" if between else name)
    if not said:
        return []
    lines = (f"{'; '.join(said)}.",)
    return [
        Part(
            "text",
            "Measures not taken",
            lines=lines,
            note="Estimated from the other measures. Take them before you cut.",
        )
    ]


def _pieces(pattern: Pattern, facts: GuideFacts) -> tuple[tuple[str, ...], ...]:
    return tuple(
        (
            piece.name,
            how_cut(piece, facts.cloth),
            "" if piece.material == "main" else f"from {piece.material}",
            f"grain {piece.grain.kind}" if piece.grain else "no grain line",
        )
        for piece in cutting_order(pattern)
    )


def _materials(pattern: Pattern, facts: GuideFacts, making: MakingUp) -> list[Part]:
    cloth = facts.cloth
    materials = list(dict.fromkeys(piece.material for piece in pattern.pieces if piece.material != "main"))
    lines = [
        f"{cloth.name}: {_tell_cloth(cloth, facts)}.",
        *(f"{capital(each)}, for {_for(pattern, each)}." for each in materials),
        *notion_lines(pattern, facts, making),
    ]
    guesses = say_guesses(cloth, facts.units)
    return [Part("bullets", "Cloth and notions", lines=tuple(lines), note=" ".join(guesses))]


def _tell_cloth(cloth: Cloth, facts: GuideFacts) -> str:
    between = facts.say(cloth.width - 2 * cloth.selvage)
    said = [cloth.kind, f"{say_width(cloth.width, facts.units)} wide, {between} between the selvages"]
    if cloth.stretch_across > 0 or cloth.stretch_along > 0:
        said.append(f"stretch {say_share(cloth.stretch_across)} across and {say_share(cloth.stretch_along)} along")
    said += [f"{name} {say_share(share)}" for name, share in cloth.fibre]
    said += [*cloth.surface, *([f"nap {cloth.nap}"] if cloth.nap != "none" else [])]
    return ", ".join(said)


def _for(pattern: Pattern, material: str) -> str:
    return ", ".join(piece.name for piece in pattern.pieces if piece.material == material)


def _left_out(making: MakingUp) -> list[Part]:
    """Return what could not be brought into an order, where the draft has a fault; it is read before the order is."""
    return [Part("bullets", "Not in this order", lines=making.left_out)] if making.left_out else []


def care_parts(found: list[Caution]) -> list[Part]:
    """Return the cautions by topic, the last part of every guide."""
    rows = tuple((heading, *about(found, topic)) for topic, heading in _HEADINGS if about(found, topic))
    return [Part("care", "Take care", rows=rows)]
