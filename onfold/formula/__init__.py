"""Formulas: the closed expressions of recipes and tickets, read with a caret at every fault and evaluated without eval.

Grammar:
    level    = sum | single "rounded" ["up"] "to" operand
    sum      = product {("+" | "-") product}
    product  = signed {("*" | "/") signed}
    signed   = ["-"] primary
    primary  = single | "along" EDGE "of" PIECE | "from" POINT "to" POINT | pick
    pick     = ("larger" | "smaller") "of" operand "and" operand
    operand  = single | pick | "-" quantity
    single   = NAME | QUANTITY | "(" level ")"
What could be read in two ways under these rules is a fault that shows both bracketings.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from onfold.formula.names import NameTable, Scope, check_name, did_you_mean
from onfold.formula.reader import DEEPEST, LONGEST, read_tree
from onfold.formula.replay import Reckoner, check_draft_words, reckoner, value_by
from onfold.formula.tree import Along, Between, FormulaFault, Name, Node, inner_nodes, without_terms, write_formula

__all__ = [
    "DEEPEST",
    "LONGEST",
    "Formula",
    "FormulaFault",
    "NameTable",
    "Scope",
    "check_name",
    "did_you_mean",
    "evaluate",
    "read_formula",
    "without_names",
    "write_formula",
]


@dataclass(frozen=True)
class Formula:
    """A read formula. Two with the same text, kind and names are equal, and hash alike.

    `kind` is "length", "share" or "number", None where a name's kind is known only at replay. `reads_draft` says that
    it asks for an edge or for points, so that its value depends on where in the recipe it stands.
    """

    text: str
    kind: str | None
    names_used: frozenset[str]
    reads_draft: bool
    tree: Node = field(compare=False, repr=False)

    @cached_property
    def reckon(self) -> Reckoner:
        """What gives its value, made when first asked for."""
        return reckoner(self.tree)

    def __getstate__(self) -> dict[str, Any]:
        """Return what is pickled: the tree, not the functions made of it."""
        return {name: value for name, value in self.__dict__.items() if name != "reckon"}


def read_formula(
    text: str,
    names: NameTable,
    *,
    points: Collection[str] | None = None,
    pieces: Collection[str] | Mapping[str, Collection[str]] | None = None,
) -> Formula | list[FormulaFault]:
    """Return the formula a text says, or every fault found in it.

    `points` and `pieces` (with their edges, where a mapping) are what the draft holds at this step, where that is
    known; then `from … to …` and `along … of …` are held to them at once, else only at evaluation.
    """
    read = read_tree(text, names)
    if isinstance(read, list):
        return read
    tree, kind = read
    nodes = list(inner_nodes(tree))
    faults = [
        fault
        for node in nodes
        if isinstance(node, Along | Between)
        for fault in check_draft_words(node, text, points, pieces)
    ]
    if faults:
        return faults
    used = frozenset(node.name for node in nodes if isinstance(node, Name))
    return Formula(text, kind, used, any(isinstance(node, Along | Between) for node in nodes), tree)


def without_names(formula: Formula, gone: frozenset[str]) -> Formula:
    """Return a formula as it reads where these names are worth 0: their terms are left out of its sums."""
    if not gone & formula.names_used:
        return formula
    tree = without_terms(formula.tree, gone)
    used = frozenset(node.name for node in inner_nodes(tree) if isinstance(node, Name))
    return Formula(write_formula(tree), formula.kind, used, formula.reads_draft, tree)


def evaluate(formula: Formula, scope: Scope) -> float | FormulaFault:
    """Return a formula's value: mm for a length, a fraction for a share; or the fault that leaves it without one.

    Never raises on what a maker wrote: division by zero and numbers past every float are faults.
    """
    return value_by(formula.reckon, formula.text, scope)
