"""The figures of one draft that the formulas of a fitting read, by name.

What the checks measure is asked of them, not measured again.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field

from onfold.body.measures import MEASURES, SIDES
from onfold.body.taken import Taken
from onfold.checks.darts import darts_of
from onfold.checks.getting_in import getting_in
from onfold.checks.straps import strap_way
from onfold.checks.stride import stride_asked
from onfold.checks.subject import Figure, Subject
from onfold.cloth import SURFACES, Cloth, comfort_across
from onfold.fitting.naming import AT_LEVEL, FIGURE_NOTES, NARROWEST_BESIDE
from onfold.formula import FormulaFault, check_name, evaluate
from onfold.pattern import Level, Pattern, Piece
from onfold.recipe.choosing import Settled

Named = tuple[str, float, str]
"""A name, its value (mm, a share, a number, degrees) and its kind: length, share, number, degrees, yes."""


@dataclass(frozen=True, eq=False)
class Values:
    """Every figure of a draft by its formula name: mm, shares, numbers; and of its choices what may be asked for.

    `kinds` are length, share, number, degrees, yes (1 or 0). `bounds` are the least and the most of a choice for this
    body; `words` the word each choice of words has. It is the scope of a fitting's formulas; it knows edges by the
    tape (`along side of front`) and no points.
    """

    known: Mapping[str, float]
    kinds: Mapping[str, str]
    bounds: Mapping[str, tuple[float | None, float | None]] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    edges: Mapping[str, Mapping[str, float]] = field(default_factory=dict)

    def value(self, name: str) -> float | None:
        """Return the value of a name, or None where this draft has none."""
        return self.known.get(name)

    def point(self, name: str) -> None:
        """Return None: a finished draft keeps no points."""
        return

    def point_names(self) -> Collection[str]:
        """Return nothing: a finished draft keeps no points."""
        return ()

    def edge_length(self, edge: str, piece: str) -> float | None:
        """Return the length of an edge of a piece by the tape, mm; a root's is that of its leaves together."""
        return self.edges.get(piece, {}).get(edge)

    def edge_names(self, piece: str) -> Collection[str]:
        """Return the edges of a piece."""
        return tuple(self.edges.get(piece, ()))

    def piece_names(self) -> Collection[str]:
        """Return the pieces there are."""
        return tuple(self.edges)


def formula_kind(kind: str) -> str:
    """Return what a formula takes a kind of value for: degrees, yes and no are plain numbers."""
    return kind if kind in ("length", "share") else "number"


def values_of(
    pattern: Pattern,
    cloth: Cloth,
    body: Mapping[str, Taken],
    choices: Mapping[str, Settled],
    notes: Mapping[str, float] | None = None,
    figure: Figure = "woman",
) -> Values:
    """Return the figures of a draft by name.

    `body` is every measure known or estimated, `choices` as settled, `notes` the figure notes
    that the recipe drafts for, mm, 0 where not noted; None: all of them, none noted.
    A choice comes before a fact of the same name: it is what a maker can change.
    """
    subject = Subject(pattern, cloth, figure=figure, body=body)
    found = [*_facts(subject), *_of_draft(subject), *_of_cloth(subject), *_of_body(body), *_of_notes(notes)]
    found += _of_choices(choices)
    known = {name: value for name, value, _ in found if math.isfinite(value)}
    kinds = {name: kind for name, _, kind in found}
    words = {name: each.word for name, each in choices.items() if each.choice.kind == "word"}
    values = Values(known, kinds, {}, words, _edges(subject))
    bounds = {name: _bounds(each, values) for name, each in choices.items() if each.choice.kind != "word"}
    return Values(known, kinds, bounds, words, values.edges)


def _facts(subject: Subject) -> Iterator[Named]:
    for name, fact in subject.pattern.facts.items():
        yield name, fact.value, {"mm": "length", "count": "number"}.get(fact.unit, fact.unit)


def _of_draft(subject: Subject) -> Iterator[Named]:
    for level in subject.pattern.levels.values():
        yield from _of_level(level)
    for piece in subject.pattern.pieces:
        yield from _of_darts(piece)
    for opening in subject.pattern.openings:
        yield f"{opening.name} length", opening.length, "length"
    verdict = getting_in(subject)
    if verdict.ring is not None:
        yield "room to pass", verdict.at_full_pull - verdict.girth_to_pass, "length"
        at = "opening" if verdict.place.startswith("bottom of the ") else verdict.place
        places = (*subject.pattern.levels, *NARROWEST_BESIDE)
        yield from ((f"narrowest at {place}", float(place == at), "number") for place in places)
    asked = stride_asked(subject)
    if asked is not None:
        yield "room to stride", asked[1].gives - asked[2], "length"
    way = strap_way(subject) if "strap way" not in subject.pattern.facts else None
    if way is not None:
        yield "strap way", way, "length"


def _of_level(level: Level) -> Iterator[Named]:
    values = {"finished": level.finished, "share at": level.share}
    if level.body > 0.0:
        values |= {"ease at": level.finished - level.body, "wearing stretch at": level.wearing_stretch}
    yield from ((f"{words} {level.name}", value, AT_LEVEL[words]) for words, value in values.items())


def _of_darts(piece: Piece) -> Iterator[Named]:
    darts = darts_of(piece)
    across = [dart for dart in darts if not dart.on_side]
    yield f"darts {piece.name}", float(len(across)), "number"
    if across:
        widest = max(across, key=lambda dart: dart.mouth)
        middle = ((widest.first[0] + widest.last[0]) / 2.0, (widest.first[1] + widest.last[1]) / 2.0)
        yield f"dart width {piece.name}", widest.mouth, "length"
        yield f"dart length {piece.name}", math.dist(middle, widest.point), "length"
    bust = next((mark.at for mark in piece.marks if mark.kind == "bust point"), None)
    for dart in darts:
        if dart.on_side:
            yield "side dart width", dart.mouth, "length"
            if bust is not None:
                yield "side dart short", math.dist(dart.point, bust), "length"


def _of_cloth(subject: Subject) -> Iterator[Named]:
    cloth = subject.cloth
    yield "crosswise stretch", cloth.stretch_across, "share"
    yield "lengthwise stretch", cloth.stretch_along, "share"
    yield "comfortable stretch", comfort_across(subject.round_cloth), "share"
    yield "cloth thickness", cloth.thickness, "length"
    yield "cloth width", cloth.width, "length"
    yield "cloth weight", cloth.weight, "number"
    yield "recovery", cloth.recovery, "share"
    yield "lengthwise shrinkage", cloth.shrinkage_along, "share"
    yield "crosswise shrinkage", cloth.shrinkage_across, "share"
    yield from ((surface, float(surface in cloth.surface), "yes") for surface in SURFACES)
    yield "knit", float(cloth.kind == "knit"), "yes"
    yield "stretch not given", float(not cloth.stretch_given), "yes"
    yield "recovery not given", float("recovery" in cloth.guessed), "yes"
    yield "washed first", float(cloth.washed_first), "yes"


def _of_body(body: Mapping[str, Taken]) -> Iterator[Named]:
    for name, taken in body.items():
        yield name, taken.value, "length"
        low, high = taken.interval or (taken.value, taken.value)
        yield f"estimated {name}", float(taken.estimated), "number"
        yield f"doubt about {name}", (high - low) / 2.0 if taken.estimated else 0.0, "length"
    for name, entry in MEASURES.items():
        if entry.sided and name in body:
            apart = [f"{side} {name}" for side in SIDES]
            yield from ((each, body[name].value, "length") for each in apart if each not in body)


def _of_notes(notes: Mapping[str, float] | None) -> Iterator[Named]:
    for name, value in (dict.fromkeys(FIGURE_NOTES, 0.0) if notes is None else notes).items():
        yield name, value, "length"


def _of_choices(choices: Mapping[str, Settled]) -> Iterator[Named]:
    for name, each in choices.items():
        if each.value is not None:
            yield name, each.value, each.choice.kind
        for word in each.choice.words:
            if check_name(f"{name} {word}") is None:
                yield f"{name} {word}", float(each.word == word), "yes"


def _edges(subject: Subject) -> dict[str, dict[str, float]]:
    found: dict[str, dict[str, float]] = {}
    for piece in subject.pattern.pieces:
        own = found.setdefault(piece.name, {})
        for edge in piece.edges:
            length = subject.lengths[piece.name, edge.name]
            own[edge.name] = length
            if edge.parent:
                own[edge.parent] = own.get(edge.parent, 0.0) + length
    return found


def _bounds(settled: Settled, values: Values) -> tuple[float | None, float | None]:
    """Return a choice's least and most for this body; of one left open they are reckoned from the recipe's formulas."""
    found: list[float | None] = []
    for given, formula in ((settled.least, settled.choice.least), (settled.most, settled.choice.most)):
        reckoned = evaluate(formula, values) if given is None and formula is not None else given
        found.append(None if isinstance(reckoned, FormulaFault) else reckoned)
    return found[0], found[1]
