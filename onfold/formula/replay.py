"""The value of a formula's tree against a draft, and the rule that finds the dividing word of edges and points.

A tree is turned into functions once, each node's holding those of what stands in it, and these are called for a value.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import replace
from typing import NoReturn

from onfold.formula.names import Scope, did_you_mean
from onfold.formula.tree import (
    Along,
    Amount,
    Between,
    FormulaFault,
    Name,
    Negative,
    Node,
    Pick,
    Product,
    Rounded,
    Sum,
)
from onfold.units import plain


class _NoValueError(Exception):
    """Carries the fault that leaves a formula without a value; never leaves this module."""

    def __init__(self, fault: FormulaFault) -> None:
        super().__init__(fault.message)
        self.fault = fault


Reckoner = Callable[[Scope], float]
"""What gives a node's value against a draft; it raises _NoValueError where there is none."""


def reckoner(tree: Node) -> Reckoner:
    """Return the function that gives a tree's value, for `value_by`."""
    return _RULES[type(tree)](tree)


def value_by(reckon: Reckoner, text: str, scope: Scope) -> float | FormulaFault:
    """Return a value in mm, a fraction or a number, or why there is none; `text` gives the fault's column."""
    try:
        value = reckon(scope)
    except _NoValueError as refused:
        return _placed(refused.fault, text)
    if math.isfinite(value):
        return value
    message, remedy = "The result is too large to be a number.", "Look for a slip of the keyboard."
    return FormulaFault(1, message, plain(text), "a finite number", remedy, code="STEP-CANNOT")


def _placed(fault: FormulaFault, text: str) -> FormulaFault:
    """Return the fault with the column where what it names stands in the text."""
    at = text.find(fault.found) if fault.found else -1
    return replace(fault, column=max(at, 0) + 1)


def _amount(node: Amount) -> Reckoner:
    value = node.value
    return lambda scope: value


def _name(node: Name) -> Reckoner:
    name = node.name

    def reckon(scope: Scope) -> float:
        value = scope.value(name)
        if value is None:
            _refuse(
                f"'{name}' has no value here: it was neither given nor could it be estimated.",
                name,
                "a measure or choice with a value",
                f"Give '{name}'.",
                "MEASURE-MISSING",
            )
        return value

    return reckon


def _negative(node: Negative) -> Reckoner:
    of = reckoner(node.of)
    return lambda scope: -of(scope)


def _sum(node: Sum) -> Reckoner:
    terms = [(sign == "+", reckoner(term)) for sign, term in node.terms]

    def reckon(scope: Scope) -> float:
        total = 0.0
        for more, term in terms:
            total = total + term(scope) if more else total - term(scope)
        return total

    return reckon


def _product(node: Product) -> Reckoner:
    factors = [(sign == "*", reckoner(factor)) for sign, factor in node.factors]

    def reckon(scope: Scope) -> float:
        result = 1.0
        for times, factor in factors:
            value = factor(scope)
            if times:
                result *= value
            elif value == 0:
                _refuse(
                    "Nothing can be divided by zero.", "/", "a divisor other than 0", "Change what stands after '/'."
                )
            else:
                result /= value
        return result

    return reckon


def _pick(node: Pick) -> Reckoner:
    first, second, pick = reckoner(node.first), reckoner(node.second), max if node.which == "larger" else min
    return lambda scope: pick(first(scope), second(scope))


def _rounded(node: Rounded) -> Reckoner:
    """Round to a multiple; noise below 1e-9 of a step counts neither as a half nor as something more."""
    of, to, up = reckoner(node.of), reckoner(node.to), node.up

    def reckon(scope: Scope) -> float:
        value, step = of(scope), to(scope)
        if step <= 0:
            said = "Only a step above zero can be rounded to."
            _refuse(said, "rounded", "a step above 0", "Change what stands after 'to'.")
        steps = value / step
        if not math.isfinite(steps):
            return math.inf
        return (math.ceil(steps - 1e-9) if up else round(round(steps, 9))) * step

    return reckon


def _along(node: Along) -> Reckoner:
    divided = list(splits(node.words, " of "))

    def reckon(scope: Scope) -> float:
        found = [length for edge, piece in divided if (length := scope.edge_length(edge, piece)) is not None]
        if len(found) == 1:
            return found[0]
        reach = [f"{edge} of {piece}" for piece in scope.piece_names() for edge in scope.edge_names(piece)]
        raise _NoValueError(_draft_fault(node, len(found), reach))

    return reckon


def _between(node: Between) -> Reckoner:
    divided = list(splits(node.words, " to "))

    def reckon(scope: Scope) -> float:
        found = [
            (a, b)
            for first, second in divided
            if (a := scope.point(first)) is not None and (b := scope.point(second)) is not None
        ]
        if len(found) == 1:
            (ax, ay), (bx, by) = found[0]
            return math.hypot(bx - ax, by - ay)
        raise _NoValueError(_draft_fault(node, len(found), list(scope.point_names())))

    return reckon


_RULES: dict[type, Callable[..., Reckoner]] = {
    Amount: _amount,
    Name: _name,
    Negative: _negative,
    Sum: _sum,
    Product: _product,
    Pick: _pick,
    Rounded: _rounded,
    Along: _along,
    Between: _between,
}


def splits(words: str, divider: str) -> Iterator[tuple[str, str]]:
    """Yield every way to part the words at the divider, which itself belongs to neither side."""
    at = words.find(divider)
    while at >= 0:
        yield words[:at], words[at + len(divider) :]
        at = words.find(divider, at + 1)


def check_draft_words(
    node: Along | Between,
    text: str,
    points: Collection[str] | None,
    pieces: Collection[str] | Mapping[str, Collection[str]] | None,
) -> Iterator[FormulaFault]:
    """Yield the fault of words that don't name an edge or two points of a draft known while reading."""
    if isinstance(node, Between) and points is not None:
        known = [pair for pair in splits(node.words, " to ") if pair[0] in points and pair[1] in points]
        reach = list(points)
    elif isinstance(node, Along) and pieces is not None:
        edges = pieces if isinstance(pieces, Mapping) else {}
        known = [
            (edge, piece)
            for edge, piece in splits(node.words, " of ")
            if piece in pieces and (piece not in edges or edge in edges[piece])
        ]
        reach = [f"{edge} of {piece}" for piece in edges for edge in edges[piece]] or [
            f"… of {each}" for each in pieces
        ]
    else:
        return
    if len(known) != 1:
        yield _placed(_draft_fault(node, len(known), reach), text)


def _draft_fault(node: Along | Between, found: int, reach: list[str]) -> FormulaFault:
    """Return why words after `along` or `from` name nothing, or more than one thing."""
    words = plain(node.words, 120)
    what = "an edge of a piece" if isinstance(node, Along) else "two points"
    if found > 1:
        message = f"'{words}' can be divided into {what} in {found} ways."
        return FormulaFault(1, message, words, "one way to divide it", "Rename one of them.", code="STEP-NAME")
    if isinstance(node, Along):
        near = did_you_mean(node.words, reach)
    else:
        near = next((each for pair in splits(node.words, " to ") if (each := _near_pair(pair, reach))), "")
    message = f"'{words}' does not name {what} drawn by then."
    remedy = f"Did you mean '{near}'?" if near else "Use a name that an earlier step gave."
    return FormulaFault(1, message, words, what, remedy, near, "STEP-NAME")


def _near_pair(pair: tuple[str, str], reach: list[str]) -> str:
    first, second = (name if name in reach else did_you_mean(name, reach) for name in pair)
    return f"{first} to {second}" if first and second else ""


def _refuse(message: str, found: str, expected: str, remedy: str, code: str = "STEP-CANNOT") -> NoReturn:
    raise _NoValueError(FormulaFault(1, message, found, expected, remedy, code=code))
