"""One blank of a form read from its node: a formula, a word, a name, a finish; every fault at its place."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from onfold.construction import FinishFault, read_finish
from onfold.formula import Formula, NameTable, read_formula
from onfold.problems import problem
from onfold.recipe.fields import Reading, read_items, read_text, read_word
from onfold.recipe.step import FormField
from onfold.recipe.yaml_nodes import Node, Scalar
from onfold.recipe.yaml_nodes import Sequence as SequenceNode
from onfold.units import plain

WordChoices = Mapping[str, tuple[str, ...]]
"""The recipe's choices of words, each with the words it may be: a word's blank may name one of them."""


def read_value(reading: Reading, node: Node, kind: str | None, names: NameTable, what: str) -> Formula | None:
    """Return the formula a node holds, of the kind wanted (None: any); None with its problems otherwise."""
    if not isinstance(node, Scalar):
        read_text(reading, node, what)
        return None
    if not node.text.strip():
        reading.fault("VALUE-EMPTY", node, f"{what} has no value.", expected="a value", remedy="Write one.")
        return None
    read = read_formula(node.text, names)
    if isinstance(read, list):
        for fault in read:
            found = problem(
                fault.code,
                says=f"{what}: {fault.message}",
                found=fault.found,
                expected=fault.expected,
                remedy=fault.remedy,
            )
            reading.found_at(found, node, fault.column)
        return None
    if kind is None or read.kind is None or read.kind == kind or {read.kind, kind} <= {"share", "number"}:
        return read
    example = {"length": "a length with its unit, such as 12 cm", "share": "a share, such as 20 %"}
    reading.fault(
        "FORMULA-UNIT",
        node,
        f"{what} should be {example.get(kind, 'a plain number')}; '{plain(node.text)}' is a {read.kind}.",
        found=read.kind,
        expected=kind,
        remedy="Write a unit behind the number." if kind == "length" else "",
    )
    return None


def read_construction(reading: Reading, node: Node, what: str) -> str | None:
    """Return a finish as written, once it is known that it can be read; None with a problem otherwise."""
    text = read_text(reading, node, what)
    found = read_finish(text) if text is not None else None
    if not isinstance(found, FinishFault):
        return text
    reading.fault(
        "FINISH-UNKNOWN",
        node,
        f"{what}: {found.message}",
        found=found.found,
        expected=found.expected,
        remedy=found.remedy,
        within=found.column,
    )
    return None


def read_blank(reading: Reading, node: Node, blank: FormField, names: NameTable, words: WordChoices, what: str) -> Any:
    """Return what a step keeps of a blank: a tuple where it takes many; None in place of what is wrong."""
    if not blank.many:
        return _one(reading, node, blank, names, words, what)
    if isinstance(node, Scalar) and node.text.strip():
        return (_one(reading, node, blank, names, words, what),)
    items = read_items(reading, node, what, "[one, another]")
    if isinstance(node, SequenceNode) and not items:
        reading.fault("VALUE-EMPTY", node, f"{what} is an empty list.", expected="at least one", remedy="Name one.")
    return tuple(_one(reading, item, blank, names, words, what) for item in items)


def _one(reading: Reading, node: Node, blank: FormField, names: NameTable, words: WordChoices, what: str) -> Any:
    if blank.kind in ("length", "share", "number"):
        return read_value(reading, node, blank.kind, names, what)
    if blank.kind == "finish":
        return read_construction(reading, node, what)
    if blank.kind != "word":
        return _name(reading, node, blank, what)
    chosen = node.text.strip() if isinstance(node, Scalar) else ""
    if chosen in words and set(words[chosen]) <= set(blank.words):
        return chosen
    return read_word(reading, node, what, blank.words)


def _name(reading: Reading, node: Node, blank: FormField, what: str) -> str | None:
    text = read_text(reading, node, what)
    if text is not None and blank.new and "." in text:
        reading.fault("VALUE-WRONG", node, f"{what}: a name has no dots.", found=plain(text), remedy="Use words.")
    if text is not None and blank.kind == "edge of piece" and " of " not in text:
        reading.fault(
            "VALUE-WRONG",
            node,
            f"{what} should name an edge and its piece.",
            found=plain(text),
            expected="EDGE of PIECE",
            remedy="Write it as 'side of front'.",
        )
    return text
