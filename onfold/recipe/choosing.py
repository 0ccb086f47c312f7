"""What formulas start from: measures, figure notes, cloth, and choices settled in the order they need one another."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from math import ceil, floor
from typing import Any

from onfold.body.figure_notes import BY_FORMULA_NAME
from onfold.body.taken import Taken
from onfold.cloth import Cloth, values
from onfold.formula import Formula, FormulaFault, NameTable, evaluate, read_formula
from onfold.problems import Place, Problem, problem
from onfold.recipe.bench import Key
from onfold.recipe.file import Choice, Recipe
from onfold.units import UNITS, System, say_length, say_share


@dataclass(frozen=True)
class Asked:
    """A choice as the ticket words it: the text, where it stands, and the line with it."""

    text: str
    place: Place = field(default_factory=Place)
    excerpt: str = ""


@dataclass(frozen=True)
class Settled:
    """A choice as used: its value (mm, a share, a number), its word, or open; `by_maker` where the ticket gave it.

    `used` are the names its formula was reckoned from; `least` and `most` are its bounds for this body.
    """

    choice: Choice
    value: float | None
    word: str
    by_maker: bool
    used: frozenset[str] = frozenset()
    least: float | None = None
    most: float | None = None


class _Scope:
    """The scope of a choice's formula: measures, notes, cloth and choices settled before it; nothing of the draft."""

    def __init__(self, known: Mapping[str, float]) -> None:
        self.known = known
        self.used: set[str] = set()

    def value(self, name: str) -> float | None:
        self.used.add(name)
        return self.known.get(name)

    def point(self, name: str) -> None:
        return None

    def point_names(self) -> tuple[str, ...]:
        return ()

    def edge_length(self, edge: str, piece: str) -> None:
        return None

    def edge_names(self, piece: str) -> tuple[str, ...]:
        return ()

    def piece_names(self) -> tuple[str, ...]:
        return ()


def starting_values(
    recipe: Recipe,
    measures: Mapping[str, Taken],
    cloth: Cloth,
    asked: Mapping[str, Asked],
    units: System,
    names: NameTable,
    notes: Mapping[str, float] | None = None,
) -> tuple[dict[Key, Any], dict[str, Settled], list[Problem]]:
    """Return (the bench's starting state, the choices as settled, problems).

    `notes` are the wearer's figure notes, mm by their names in formulas; of those that are not given there is 0.
    A default is held within its bounds, so that every body gets one that can be drafted; what a maker asks for is
    never changed, and outside the bounds it is a stop at its place.
    """
    known: dict[str, float] = {name: taken.value for name, taken in measures.items()}
    known.update({name: (notes or {}).get(name, 0.0) for name in BY_FORMULA_NAME})
    known.update(values(cloth))
    problems = _unknown(recipe, asked)
    settled: dict[str, Settled] = {}
    waiting = _formulas(recipe, asked, names, settled, problems)
    while waiting:
        ready = [
            name for name, formula in waiting.items() if not _leans_on(recipe.choices[name], formula) & waiting.keys()
        ]
        if not ready:
            problems.append(_circle(recipe, list(waiting), asked))
            break
        for name in ready:
            formula = waiting.pop(name)
            choice = recipe.choices[name]
            found = evaluate(formula, _Scope(known))
            where = asked[name].place if name in asked else choice.place
            if isinstance(found, FormulaFault):
                open_names = [each for each in formula.names_used if each in settled and settled[each].value is None]
                if not open_names and not _lacks(formula, known):
                    problems.append(_fault(name, found, where, asked.get(name)))
                continue
            bounds = _bound(choice.least, known), _bound(choice.most, known)
            value = _bounded(choice, found, bounds, asked.get(name), units, problems)
            known[name] = value
            settled[name] = Settled(choice, value, "", name in asked, formula.names_used, *bounds)
    state: dict[Key, Any] = {("value", name): value for name, value in known.items()}
    for name, each in settled.items():
        if each.choice.kind == "word":
            state["word", name] = each.word
        elif each.value is None:
            state["open", name] = True
        if each.by_maker:
            state["stated", name] = True
    state["units", ""] = units
    return state, {name: settled[name] for name in recipe.choices if name in settled}, problems


def _leans_on(choice: Choice, formula: Formula) -> frozenset[str]:
    """Return the names that must be known before a choice can be settled: its formula's and its bounds'."""
    bounds = [bound.names_used for bound in (choice.least, choice.most) if bound is not None]
    return formula.names_used.union(*bounds)


def _lacks(formula: Formula, known: Mapping[str, float]) -> bool:
    """Return whether a formula only lacks a measure; that is said once, as a missing measure."""
    return any(name not in known for name in formula.names_used)


def _unknown(recipe: Recipe, asked: Mapping[str, Asked]) -> list[Problem]:
    from onfold.formula import did_you_mean

    problems = []
    for name, each in asked.items():
        if name not in recipe.choices:
            near = did_you_mean(name, list(recipe.choices))
            offer = f"Did you mean '{near}'?" if near else f"It asks for: {', '.join(recipe.choices)}."
            problems.append(
                problem(
                    "CHOICE-UNKNOWN",
                    says=f"The recipe '{recipe.name}' has no choice called '{name}'. {offer}",
                    found=name,
                    expected=near or ", ".join(recipe.choices),
                    remedy=offer,
                    where=each.place,
                    excerpt=each.excerpt,
                )
            )
    return problems


def _formulas(
    recipe: Recipe,
    asked: Mapping[str, Asked],
    names: NameTable,
    settled: dict[str, Settled],
    problems: list[Problem],
) -> dict[str, Formula]:
    """Return the formulas still to be evaluated; words and open choices are settled at once."""
    waiting: dict[str, Formula] = {}
    for name, choice in recipe.choices.items():
        each = asked.get(name)
        if choice.kind == "word":
            settled[name] = _word(choice, each, problems)
        elif each is not None:
            if each.text.strip() == "none" and choice.default is None:
                settled[name] = Settled(choice, None, "", True)
                continue
            formula = _read(choice, each, names, problems)
            if formula is not None:
                waiting[name] = formula
        elif choice.default is not None:
            waiting[name] = choice.default
        else:
            settled[name] = Settled(choice, None, "", False)
    return waiting


def _word(choice: Choice, each: Asked | None, problems: list[Problem]) -> Settled:
    if each is None:
        return Settled(choice, None, choice.word, False)
    word = each.text.strip().lower()
    if word not in choice.words:
        problems.append(
            problem(
                "VALUE-WRONG",
                says=f"The choice '{choice.name}' cannot be '{each.text}'. Write {' or '.join(choice.words)}.",
                found=each.text,
                expected=", ".join(choice.words),
                remedy=f"Write {' or '.join(choice.words)}.",
                where=each.place,
                excerpt=each.excerpt,
            )
        )
        word = choice.word
    return Settled(choice, None, word, True)


def _read(choice: Choice, each: Asked, names: NameTable, problems: list[Problem]) -> Formula | None:
    read = read_formula(each.text, names)
    if isinstance(read, list):
        problems.extend(_fault(choice.name, fault, each.place, each) for fault in read)
        return None
    alike = {"share", "number"}
    if read.kind is None or read.kind == choice.kind or {read.kind, choice.kind} <= alike:
        return read
    example = {"length": "a length with its unit", "share": "a share such as 20 %", "number": "a plain number"}
    problems.append(
        problem(
            "FORMULA-UNIT",
            says=f"The choice '{choice.name}' should be {example[choice.kind]}; '{each.text}' is a {read.kind}.",
            found=each.text,
            expected=choice.kind,
            remedy="Write a unit behind the number." if choice.kind == "length" else "Write it without a unit.",
            where=each.place,
            excerpt=each.excerpt,
        )
    )
    return None


def _fault(name: str, fault: FormulaFault, place: Place, each: Asked | None) -> Problem:
    return problem(
        fault.code,
        says=f"The choice '{name}': {fault.message}",
        found=fault.found,
        expected=fault.expected,
        remedy=fault.remedy,
        where=place,
        excerpt=each.excerpt if each else "",
    )


def _circle(recipe: Recipe, names: list[str], asked: Mapping[str, Asked]) -> Problem:
    first = next((name for name in names if name in asked), names[0])
    where = asked[first].place if first in asked else recipe.choices[first].place
    return problem(
        "FORMULA",
        says=f"The choices {', '.join(names)} are each reckoned from the other, so none can be.",
        found=", ".join(names),
        expected="one that stands alone",
        remedy="Give one of them a value.",
        where=where,
    )


def _bound(formula: Formula | None, known: Mapping[str, float]) -> float | None:
    found = evaluate(formula, _Scope(known)) if formula is not None else None
    return None if isinstance(found, FormulaFault) else found


def _bounded(
    choice: Choice,
    value: float,
    bounds: tuple[float | None, float | None],
    each: Asked | None,
    units: System,
    problems: list[Problem],
) -> float:
    """Return the value, a default held within the bounds; what the maker asked for outside them is a stop."""
    least, most = bounds
    if each is None:
        value = value if most is None else min(value, most)
        return value if least is None else max(value, least)
    low, high = least is not None and value < least - 1e-9, most is not None and value > most + 1e-9
    if low or high:
        bound = least if low else most
        word = "least" if low else "most"
        said = say_value(value, choice.kind, units)
        limit = say_value(_within(bound or 0.0, choice.kind, units, ceil if low else floor), choice.kind, units)
        problems.append(
            problem(
                "VALUE-RANGE",
                says=f"The choice '{choice.name}' is {said}; the {word} that the recipe drafts here is {limit}.",
                found=said,
                expected=f"at {word} {limit}",
                remedy=f"Write {limit} or {'more' if low else 'less'}.",
                where=each.place,
                excerpt=each.excerpt,
            )
        )
    return value


def _within(bound: float, kind: str, units: System, rounded: Callable[[float], int]) -> float:
    """Return a bound rounded to what is said of a length, to the inside, so that writing what is said is allowed."""
    grain = 1.0 if units == "cm" else UNITS["in"] / 8.0
    return rounded(round(bound / grain, 6)) * grain if kind == "length" else bound


def say_value(value: float, kind: str, units: System) -> str:
    """Return a choice's value in the maker's units."""
    if kind == "length":
        return say_length(value, units)
    return say_share(value) if kind == "share" else f"{value:g}"
