"""Reading a ticket's or recipe's fields node by node, so that every fault is reported at once, each at its place."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, field, replace

from onfold.problems import Problem, problem
from onfold.recipe.yaml_nodes import Entry, Node, Scalar, Sequence, did_you_mean, excerpt, mark_within, place_of
from onfold.recipe.yaml_nodes import Mapping as MappingNode
from onfold.units import Kind, System, UnitFault, mixes_systems, plain, read_quantity, say_length, say_share

Fields = dict[str, Entry]

_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
_NUMBER = re.compile(r"\d{1,9}([.,]\d{1,4})?")
_YES = {"yes": True, "true": True, "no": False, "false": False}
_WRITE = {"length": "82 cm or 32 1/4 in", "share": "40 %", "weight": "260 g/m2 or 7 1/2 oz/yd2", "number": "14.50"}
_UNITLESS = {"length": "cm", "share": "%", "weight": "g/m2", "number": ""}


@dataclass
class Reading:
    """A file being read: its text, the units its lengths are said in, the step at hand, and the problems met so far."""

    file: str
    text: str
    units: System = "cm"
    problems: list[Problem] = field(default_factory=list)
    step: str = ""
    _places: dict[tuple[str, str, int, int, str], int] = field(default_factory=dict)
    _said_empty: set[int] = field(default_factory=set)
    _looked_at: int = 0

    def fault(
        self,
        code: str,
        node: Node,
        says: str,
        *,
        found: str = "",
        expected: str = "",
        remedy: str = "",
        within: int = 0,
    ) -> None:
        """Note a problem at a node, or at the `within`-th character (from 1) of its text."""
        whole = says if not remedy or remedy in says else f"{says} {remedy}"
        self._note(problem(code, says=whole, found=found, expected=expected, remedy=remedy), node, within)

    def found_at(self, found: Problem, node: Node, within: int = 0) -> None:
        """Note a problem that another room found, at its node or at the `within`-th character (from 1) of its text."""
        self._note(found, node, within)

    def _note(self, found: Problem, node: Node, within: int = 0) -> None:
        """Place a problem, keeping one for each fault: a reader that knows the field says more than YAML's."""
        mark = mark_within(self.text, node, within) if within and isinstance(node, Scalar) else node.mark
        where = replace(place_of(mark, self.file), step=self.step)
        placed = replace(found, where=where, excerpt=excerpt(self.text, mark))
        # looked up, since a file of slips has as many problems as lines
        for number in range(self._looked_at, len(self.problems)):
            self._places.setdefault(_fault_of(self.problems[number]), number)
            if self.problems[number].code in ("VALUE-EMPTY", "FILE-ALIAS"):
                self._said_empty.add(self.problems[number].where.line)
        self._looked_at = len(self.problems)
        same = self._places.get(_fault_of(placed))
        if same is not None:
            self.problems[same] = placed
        elif placed.code != "VALUE-EMPTY" or placed.where.line not in self._said_empty:
            self.problems.append(placed)


def _fault_of(found: Problem) -> tuple[str, str, int, int, str]:
    """Return what makes two problems one fault: its code and place, whatever the step."""
    return found.code, found.where.file, found.where.line, found.where.column, found.where.piece


def shape_of(node: Node) -> str:
    """Return what a node is, in plain words."""
    if isinstance(node, Scalar):
        return f"'{plain(node.text)}'" if node.text.strip() else "nothing"
    return "a list" if isinstance(node, Sequence) else "a set of fields"


def is_empty(node: Node) -> bool:
    """Return whether nothing is written where a value belongs."""
    return isinstance(node, Scalar) and not node.text.strip()


def read_fields(
    reading: Reading, node: Node, what: str, known: Iterable[str], required: Iterable[str] = (), example: str = ""
) -> Fields | None:
    """Return the fields of a mapping by key; None where it is no mapping.

    Unknown keys come back as problems with the nearest known one; a required key that is missing, and no misspelt key
    near it, as a problem at the mapping.
    """
    entries = read_entries(reading, node, what, example)
    if entries is None:
        return None
    names = list(known)
    fields: Fields = {}
    meant: set[str] = set()
    for entry in entries:
        key = entry.key.text
        if key in names:
            fields.setdefault(key, entry)
            continue
        if not key.strip():  # said already by the reader of YAML
            continue
        near = did_you_mean(key, names)
        meant.add(near)
        offer = f"Did you mean '{near}'?" if near else f"Known keys: {', '.join(names)}."
        reading.fault(
            "KEY-UNKNOWN",
            entry.key,
            f"{what} has no key '{plain(key)}'.",
            found=plain(key),
            expected=near or ", ".join(names),
            remedy=offer,
        )
    for key in required:
        if key not in fields and key not in meant:
            reading.fault(
                "KEY-MISSING",
                node,
                f"{what} lacks '{key}'.",
                expected=key,
                remedy=f"Add a line '{key}: …'.",
            )
    return fields


def read_entries(reading: Reading, node: Node, what: str, example: str = "") -> tuple[Entry, ...] | None:
    """Return the entries of a mapping whose keys are the maker's own names; None where it is no mapping."""
    if isinstance(node, MappingNode):
        return node.entries
    remedy = f"Write it as {example}." if example else "Write it as 'key: value' lines."
    code = "VALUE-EMPTY" if is_empty(node) else "FILE-SHAPE"
    reading.fault(
        code,
        node,
        f"{what} should be a set of fields, not {shape_of(node)}.",
        found=shape_of(node),
        expected="a set of fields",
        remedy=remedy,
    )
    return None


def read_items(reading: Reading, node: Node, what: str, example: str) -> tuple[Node, ...]:
    """Return the items of a list, none where it is no list."""
    if isinstance(node, Sequence):
        return tuple(node.items)
    code = "VALUE-EMPTY" if is_empty(node) else "FILE-SHAPE"
    reading.fault(
        code,
        node,
        f"{what} should be a list, not {shape_of(node)}.",
        found=shape_of(node),
        expected="a list",
        remedy=f"Write it as {example}.",
    )
    return ()


def read_text(reading: Reading, node: Node, what: str, most: int = 200) -> str | None:
    """Return the words of a scalar, blanks at its ends taken off; None where there are none or too many."""
    if not isinstance(node, Scalar):
        reading.fault(
            "FILE-SHAPE",
            node,
            f"{what} should be a few words, not {shape_of(node)}.",
            found=shape_of(node),
            expected="a few words",
            remedy="Write words, in quotes where they hold a comma, a colon or a bracket.",
        )
        return None
    words = node.text.strip()
    if not words:
        reading.fault(
            "VALUE-EMPTY", node, f"{what} has no value.", expected="a value", remedy="Write one, or take the line out."
        )
        return None
    if len(words) > most:
        reading.fault(
            "VALUE-WRONG",
            node,
            f"{what} is {len(words)} characters long.",
            found=plain(words),
            expected=f"at most {most} characters",
            remedy="Shorten it.",
        )
        return None
    return words


def read_word(reading: Reading, node: Node, what: str, words: tuple[str, ...]) -> str | None:
    """Return one of `words`, however its letters are cased; None with a problem otherwise."""
    text = read_text(reading, node, what)
    if text is None or text.lower() in words:
        return text.lower() if text else None
    near = did_you_mean(text.lower(), words)
    offer = f"Did you mean '{near}'?" if near else f"Write {say_words(words)}."
    reading.fault(
        "VALUE-WRONG",
        node,
        f"{what} cannot be '{plain(text)}'.",
        found=plain(text),
        expected=say_words(words),
        remedy=offer,
    )
    return None


def say_words(words: Iterable[str]) -> str:
    """Return the words as one phrase: `none, up or down`."""
    every = list(words)
    return f"{', '.join(every[:-1])} or {every[-1]}" if len(every) > 1 else "".join(every)


def read_yes(reading: Reading, node: Node, what: str) -> bool | None:
    """Return whether `yes` is written; None with a problem where it is neither yes nor no."""
    word = read_word(reading, node, what, tuple(_YES))
    return None if word is None else _YES[word]


def read_amount(reading: Reading, node: Node, what: str, kind: Kind, least: float, most: float) -> float | None:
    """Return a quantity of this kind between `least` and `most` (mm, fraction or g/m2); None with a problem.

    A bare number is a problem with the way to write it, except where a number is what is asked for.
    """
    value = read_value(reading, node, what, kind)
    if value is None or least <= value <= most:
        return value
    say = _speaker(kind, reading.units)
    reading.fault(
        "VALUE-RANGE",
        node,
        f"{what} of {say(value)} is outside {say(least)} to {say(most)}.",
        found=say(value),
        expected=f"{say(least)} to {say(most)}",
        remedy="Look at the figure and its unit.",
    )
    return None


def _speaker(kind: Kind, units: System) -> Callable[[float], str]:
    if kind == "length":
        return lambda mm: f"{mm:g} mm" if 0.0 < abs(mm) < 10.0 else say_length(mm, units)
    if kind == "share":
        return say_share
    return lambda value: f"{value:g} g/m2" if kind == "weight" else f"{value:g}"


def read_value(reading: Reading, node: Node, what: str, kind: Kind) -> float | None:
    """Return a quantity of this kind, of any size; None with a problem."""
    text = read_text(reading, node, what)
    if text is None:
        return None
    quantity = read_quantity(text)
    write = f"Write it like {_WRITE[kind]}."
    if isinstance(quantity, UnitFault):
        reading.fault(
            "VALUE-WRONG",
            node,
            f"{what} cannot be read: {quantity.message}.",
            found=plain(text),
            expected=f"a {kind}",
            remedy=f"Write {quantity.hint}." if quantity.hint and kind == "length" else write,
            within=max(1, quantity.column),
        )
        return None
    if quantity.kind == kind:
        return quantity.value
    bare = quantity.kind == "number"
    unit = reading.units if kind == "length" else _UNITLESS[kind]
    reading.fault(
        "VALUE-WRONG",
        node,
        f"{what} '{plain(text)}' has no unit." if bare else f"{what} '{plain(text)}' is not a {kind}.",
        found=plain(text),
        expected=f"a {kind}" + (" with its unit" if bare else ""),
        remedy=f"Write {plain(text)} {unit}, if that is meant." if bare else write,
    )
    return None


def read_number(reading: Reading, node: Node, what: str, most: float = 1e6) -> float | None:
    """Return a plain number from 0 to `most`, a price or a rate; None with a problem."""
    text = read_text(reading, node, what)
    if text is None:
        return None
    value = float(text.replace(",", ".")) if _NUMBER.fullmatch(text) and text.isascii() else None
    if value is not None and value <= most:
        return value
    reading.fault(
        "VALUE-WRONG",
        node,
        f"{what} '{plain(text)}' is not a plain number.",
        found=plain(text),
        expected=f"a number from 0 to {most:g}",
        remedy="Write it like 14.50, without a currency.",
    )
    return None


def read_date(reading: Reading, node: Node, what: str) -> str | None:
    """Return a date as YYYY-MM-DD; None with a problem."""
    text = read_text(reading, node, what)
    if text is None:
        return None
    if _DATE.fullmatch(text) and text.isascii():
        try:
            return datetime.date.fromisoformat(text).isoformat()
        except ValueError:
            pass  # the shape of a date, but no day of the calendar: said below
    reading.fault(
        "VALUE-WRONG",
        node,
        f"{what} '{plain(text)}' is not a date.",
        found=plain(text),
        expected="year-month-day",
        remedy="Write it like 2026-12-03.",
    )
    return None


def mind_mixed_units(reading: Reading, node: Node, skip: Collection[str]) -> None:
    """Note each line of the file that holds inches beside centimetres; the values of the keys in `skip` don't count."""
    lines: dict[int, list[Scalar]] = {}
    for scalar in _scalars(node, skip):
        lines.setdefault(scalar.mark.line, []).append(scalar)
    for scalars in lines.values():
        if mixes_systems(" ; ".join(scalar.text for scalar in scalars)):
            reading.fault(
                "UNITS-MIXED",
                scalars[0],
                "Inches and centimetres stand in one line.",
                found=", ".join(plain(scalar.text) for scalar in scalars)[:80],
                expected="one system of units in a line",
                remedy="If one is a slip of the pen, correct it; if both are meant, write them on two lines.",
            )


def _scalars(node: Node, skip: Collection[str]) -> list[Scalar]:
    found: list[Scalar] = []
    waiting = [node]
    while waiting:
        each = waiting.pop()
        if isinstance(each, Scalar):
            found.append(each)
        elif isinstance(each, Sequence):
            waiting.extend(reversed(each.items))
        else:
            waiting.extend(entry.value for entry in reversed(each.entries) if entry.key.text not in skip)
    return found
