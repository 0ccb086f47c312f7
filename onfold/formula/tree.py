"""What a formula is once read: a frozen tree, and the fault that stands where one could not be read."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, TypeAlias


@dataclass(frozen=True)
class FormulaFault:
    """One reason why a formula cannot be read or has no result.

    `column` counts from 1 within the formula's text, 0 where none is known. `code` is one of the problem codes:
    FORMULA, FORMULA-NAME, FORMULA-UNIT when read; STEP-CANNOT, STEP-NAME, MEASURE-MISSING when evaluated.
    `hint` is what could be written instead, or ''.
    """

    column: int
    message: str
    found: str = ""
    expected: str = ""
    remedy: str = ""
    hint: str = ""
    code: str = "FORMULA"


@dataclass(frozen=True)
class Amount:
    """A quantity: mm, a fraction for a share, or a plain number. `text` is how it is written."""

    value: float
    kind: str
    text: str


@dataclass(frozen=True)
class Name:
    """A measure, a choice or a property of the cloth."""

    name: str
    kind: str | None


@dataclass(frozen=True)
class Along:
    """`along EDGE of PIECE`, by the tape. `words` is all that follows `along`; evaluation finds the divider."""

    words: str


@dataclass(frozen=True)
class Between:
    """`from POINT to POINT`, straight. `words` is all that follows `from`; evaluation finds the divider."""

    words: str


@dataclass(frozen=True)
class Negative:
    """A leading minus."""

    of: Node


@dataclass(frozen=True)
class Sum:
    """Terms added (`+`) or taken away (`-`) in order; the first has `+`."""

    terms: tuple[tuple[Literal["+", "-"], Node], ...]


@dataclass(frozen=True)
class Product:
    """Factors multiplied (`*`) or divided by (`/`) in order; the first has `*`."""

    factors: tuple[tuple[Literal["*", "/"], Node], ...]


@dataclass(frozen=True)
class Pick:
    """The larger or the smaller of two."""

    which: Literal["larger", "smaller"]
    first: Node
    second: Node


@dataclass(frozen=True)
class Rounded:
    """`of` rounded to a multiple of `to`: the nearest (a half to the even one), or the next one `up`."""

    of: Node
    to: Node
    up: bool = False


Node: TypeAlias = Amount | Name | Along | Between | Negative | Sum | Product | Pick | Rounded


def inner_nodes(node: Node) -> Iterator[Node]:
    """Yield a node and all that stands in it, outside first."""
    yield node
    match node:
        case Negative():
            inner: tuple[Node, ...] = (node.of,)
        case Sum():
            inner = tuple(term for _, term in node.terms)
        case Product():
            inner = tuple(factor for _, factor in node.factors)
        case Pick():
            inner = (node.first, node.second)
        case Rounded():
            inner = (node.of, node.to)
        case _:
            inner = ()
    for each in inner:
        yield from inner_nodes(each)


def without_terms(node: Node, gone: frozenset[str]) -> Node:
    """Return a tree without those terms of its sums that are a multiple of one of these names, which are worth 0.

    A sum of nothing else stays as it is.
    """
    match node:
        case Sum():
            kept = tuple((sign, without_terms(term, gone)) for sign, term in node.terms if not _multiple(term, gone))
            if not kept:
                return node
            first = kept[0][1] if kept[0][0] == "+" else None
            return first if first is not None and len(kept) == 1 else Sum(kept) if first is not None else node
        case Product():
            return Product(tuple((sign, without_terms(factor, gone)) for sign, factor in node.factors))
        case Pick():
            return Pick(node.which, without_terms(node.first, gone), without_terms(node.second, gone))
        case Rounded():
            return Rounded(without_terms(node.of, gone), node.to, node.up)
        case Negative():
            return Negative(without_terms(node.of, gone))
    return node


def _multiple(term: Node, names: frozenset[str]) -> bool:
    if isinstance(term, Product):
        return any(sign == "*" and _multiple(factor, names) for sign, factor in term.factors)
    return isinstance(term, Name) and term.name in names


def write_formula(node: Node) -> str:
    """Return a tree as a formula with as few brackets as its rules allow; reading it gives the same tree."""
    match node:
        case Amount():
            return node.text
        case Name():
            return node.name
        case Along():
            return f"along {node.words}"
        case Between():
            return f"from {node.words}"
        case Negative():
            return f"-{_operand(node.of)}"
        case Sum():
            return _chain(node.terms, (Sum, Negative))
        case Product():
            return _chain(node.factors, (Sum, Product, Negative))
        case Pick():
            return f"{node.which} of {_operand(node.first, Pick)} and {_operand(node.second, Pick)}"
        case Rounded():
            return f"{_operand(node.of)} rounded {'up ' if node.up else ''}to {_operand(node.to)}"


def _operand(node: Node, *allowed: type) -> str:
    text = write_formula(node)
    return text if isinstance(node, (Amount, Name, *allowed)) else f"({text})"


def _chain(parts: tuple[tuple[str, Node], ...], bracketed: tuple[type, ...]) -> str:
    """Write a sum's or product's parts; fractions after the first are bracketed as after `*` and `/` they must be."""
    written = []
    for place, (sign, node) in enumerate(parts):
        text = write_formula(node)
        if isinstance(node, (*bracketed, Pick, Rounded)) or (place and isinstance(node, Amount) and "/" in text):
            text = f"({text})"
        written.append(f" {sign} {text}" if place else text)
    return "".join(written)
