"""The guide's parts in their order. A later issue widens making up by adding parts here; the template stays."""

from __future__ import annotations

from collections.abc import Sequence

from onfold.cloth import Cloth, one_way, say_guesses
from onfold.guide.cautions import Caution, Topic, about, cautions
from onfold.guide.facts import GuideFacts, Part
from onfold.guide.labels import label_parts
from onfold.guide.order import (
    allowance_rows,
    seam_parts,
    tell_cutting,
    tell_direction,
    tell_preparing,
)
from onfold.making.cutting import cutting_order, how_cut
from onfold.pattern import Pattern
from onfold.problems import CODES, Problem, Severity
from onfold.units import say_share

_HEADINGS: tuple[tuple[Topic, str], ...] = (
    ("cutting", "Shears and blades"),
    ("sewing", "Pins, needles, machine"),
    ("pressing", "Iron and steam"),
    ("children", "Children's clothes"),
    ("rules", "Rules"),
)


def parts_of(
    pattern: Pattern, facts: GuideFacts, problems: Sequence[Problem], operations: Sequence[Part] = ()
) -> list[Part]:
    """Return every part of the guide, in the order of the work: what to know, to have, to cut, to sew, to mind.

    `operations`, where there are any, take the place of the seams and edges told one by one. The labels to cut out
    come last, so that nothing else is on their page.
    """
    found = cautions(facts.cloth, facts.figure, facts.ties)
    return [
        *problem_parts(problems),
        *_untaped(pattern, facts),
        Part("pieces", "The pieces", rows=_pieces(pattern)),
        *_materials(pattern, facts),
        *_cutting(pattern, facts, found),
        *(_making_up(operations, found) if operations else _sewing(pattern, facts, found)),
        *care_parts(found),
        *label_parts(pattern, facts),
    ]


def problem_parts(problems: Sequence[Problem], heading: str = "Before you cut") -> list[Part]:
    """Return the problems, gravest first; estimates have a part of their own."""
    order: tuple[Severity, ...] = ("stop", "mind", "note")
    rows = tuple(
        (each.severity, CODES[each.code].title if each.code in CODES else each.code, each.says, each.remedy)
        for severity in order
        for each in problems
        if each.severity == severity and each.code != "NOT-TAPED"
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
    return [Part("text", "Not taped", lines=lines, note="Estimated from the other measures. Take them before you cut.")]


def _pieces(pattern: Pattern) -> tuple[tuple[str, ...], ...]:
    return tuple(
        (
            piece.name,
            how_cut(piece),
            "" if piece.material == "main" else f"from {piece.material}",
            f"grain {piece.grain.kind}" if piece.grain else "no grain line",
        )
        for piece in cutting_order(pattern)
    )


def _materials(pattern: Pattern, facts: GuideFacts) -> list[Part]:
    cloth = facts.cloth
    materials = list(dict.fromkeys(piece.material for piece in pattern.pieces if piece.material != "main"))
    lines = [
        f"{cloth.name}: {_tell_cloth(cloth, facts)}.",
        *(f"{_upper(each)}, for {_for(pattern, each)}." for each in materials),
        *(f"{each}." for each in notions_of(pattern, facts)),
    ]
    guesses = say_guesses(cloth, facts.units)
    return [Part("bullets", "Cloth and notions", lines=tuple(lines), note=" ".join(guesses))]


def _tell_cloth(cloth: Cloth, facts: GuideFacts) -> str:
    said = [
        cloth.kind,
        f"{facts.say(cloth.width)} wide, {facts.say(cloth.width - 2 * cloth.selvage)} between the selvages",
    ]
    if cloth.stretch_across > 0 or cloth.stretch_along > 0:
        said.append(f"stretch {say_share(cloth.stretch_across)} across and {say_share(cloth.stretch_along)} along")
    said += [f"{name} {say_share(share)}" for name, share in cloth.fibre]
    said += [*cloth.surface, *([f"nap {cloth.nap}"] if cloth.nap != "none" else [])]
    return ", ".join(said)


def _for(pattern: Pattern, material: str) -> str:
    return ", ".join(piece.name for piece in pattern.pieces if piece.material == material)


def notions_of(pattern: Pattern, facts: GuideFacts) -> list[str]:
    """Return the notions: thread and needle by the cloth, what closes each opening, and the maker's own."""
    knit = facts.cloth.kind == "knit"
    said = [
        "Thread to match; a ball-point or stretch needle" if knit else "Thread to match; a sharp or universal needle"
    ]
    for opening in pattern.openings:
        size = facts.say(opening.length)
        closing = {"zip": f"Zip, at least {size}", "buttons": f"Buttons for {size}", "tie": f"Ties for {size}"}
        if opening.closes in closing:
            said.append(f"{closing[opening.closes]}, for the {opening.name}")
    return [*said, *facts.notions]


def _cutting(pattern: Pattern, facts: GuideFacts, found: list[Caution]) -> list[Part]:
    pairs = any(piece.mirrored_pair for piece in pattern.pieces)
    direction = tuple(tell_direction(facts.cloth, pairs))
    rows = allowance_rows(pattern, facts)
    parts = [
        Part("bullets", "Before cutting", lines=(*tell_preparing(facts.cloth), *direction)),
        Part("cautions", "", lines=tuple(about(found, "cutting"))),
        Part(
            "numbers",
            "Order of cutting",
            lines=tuple(tell_cutting(pattern, facts)),
            note="Nick or tack every notch and mark before a piece leaves the table."
            + (" The tops of all pieces to one end." if one_way(facts.cloth) else ""),
        ),
    ]
    if rows:
        note = "The cut line of the sheets has these allowances; add nothing."
        parts.append(Part("table", "Allowances", heads=("Piece", "Edge", "Allowance", "Finish"), rows=rows, note=note))
    return parts


def _sewing(pattern: Pattern, facts: GuideFacts, found: list[Caution]) -> list[Part]:
    seams = seam_parts(pattern, facts)
    if not seams:
        return []
    return [
        Part(
            "text",
            "Sewing",
            lines=("Seams in the order of the draft, then the edges. Press each before the next crosses it.",),
        ),
        *seams,
        Part("cautions", "", lines=tuple(about(found, "pressing"))),
    ]


def _making_up(operations: Sequence[Part], found: list[Caution]) -> list[Part]:
    return [*operations, Part("cautions", "", lines=tuple(about(found, "pressing")))]


def care_parts(found: list[Caution]) -> list[Part]:
    """Return the cautions by topic, the last part of every guide."""
    rows = tuple((heading, *about(found, topic)) for topic, heading in _HEADINGS if about(found, topic))
    return [Part("care", "Take care", rows=rows)]


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]
