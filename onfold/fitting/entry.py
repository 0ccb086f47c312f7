"""One entry of a ticket's fittings: what it says, and how it is written, in lines or in braces."""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from onfold.fitting.change import Change
from onfold.problems import Place, Problem, problem
from onfold.recipe.yaml_ends import Value
from onfold.recipe.yaml_nodes import Mapping as MappingNode
from onfold.recipe.yaml_nodes import Node, Scalar, compose
from onfold.recipe.yaml_writing import write_item, write_key, write_value
from onfold.units import plain

Data = dict[str, Value]
"""An entry's fields in their order, as they are put into a file."""


@dataclass(frozen=True)
class NewFitting:
    """What a try-on found and what is to be done, not yet in a ticket. `on` is an ISO date.

    `note` are the maker's words, `seen` the observation's name, `because` the cause that was taken; `carried` says to
    whom else the change was given: wearer, taste, recipe.
    """

    on: str
    note: str = ""
    change: Change = field(default_factory=Change)
    seen: str = ""
    because: str = ""
    carried: tuple[str, ...] = ()


def entry_data(fitting: NewFitting, file: str = "") -> Data | Problem:
    """Return the entry's fields, empty ones left out; the problem where its date or a step of it cannot be read."""
    if not is_date(fitting.on):
        return problem(
            "VALUE-WRONG",
            says=f"The fitting's date '{plain(fitting.on)}' is not a date. Write it like 2026-12-03.",
            found=plain(fitting.on),
            expected="year-month-day",
            remedy="Write it like 2026-12-03.",
            where=Place(file),
        )
    change = fitting.change
    data: Data = {"on": fitting.on}
    for key, words in (("note", fitting.note), ("seen", fitting.seen), ("because", fitting.because)):
        if words.strip():
            data[key] = words.strip()
    for key, values in (("choice", change.choices), ("figure", change.figure), ("measure", change.measures)):
        if values:
            data[key] = values
    steps: list[Value] = []
    for after, text in change.steps:
        step = step_data(after, text, file)
        if isinstance(step, Problem):
            return step
        steps.append(step)
    if steps:
        data["steps"] = steps
    if fitting.carried:
        data["carried"] = list(fitting.carried)
    return data


def is_date(text: str) -> bool:
    """Return whether a text is a day of the calendar as tickets write it: `2026-12-03`."""
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        return False
    try:
        datetime.date.fromisoformat(text)
    except ValueError:
        return False
    return True


def step_data(after: str, text: str, file: str = "") -> Value | Problem:
    """Return a step's line as fields, `after` its label where it has one."""
    node, problems = compose(text, file)
    if node is None or problems:
        return problems[0]
    return {**({"after": after} if after else {}), **_fields(node)}


def _fields(node: Node) -> dict[str, Value]:
    """Return a mapping's fields; a bare word is a verb without blanks, which the ticket's reader then refuses."""
    if isinstance(node, MappingNode):
        return {entry.key.text: value_of(entry.value) for entry in node.entries}
    return {node.text if isinstance(node, Scalar) else "steps": {}}


def value_of(node: Node) -> Value:
    """Return what a node holds, as it is put into a file."""
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, MappingNode):
        return _fields(node)
    return [value_of(item) for item in node.items]


def block_lines(data: Data) -> list[str]:
    """Return an entry as the lines of a list's item: a dash, then a key a line."""
    lines: list[str] = []
    for key, value in data.items():
        if key == "steps" and not isinstance(value, str | Mapping):
            lines += ["steps:", *(f"  - {write_item(step)}" for step in value)]
        else:
            lines.append(f"{write_key(key, False)}: {write_value(value, False)}")
    return [("  " if number else "- ") + line for number, line in enumerate(lines)]


def brace_lines(data: Data, quoted: bool = False) -> list[str]:
    """Return an entry in braces, a key a line; `quoted` writes it as JSON, as a ticket may be written throughout."""
    if quoted:
        written = [f"{json.dumps(key)}: {json.dumps(value, ensure_ascii=False)}" for key, value in data.items()]
    else:
        written = [f"{write_key(key, True)}: {write_value(value, True)}" for key, value in data.items()]
    lines = [("{" if not number else " ") + each + "," for number, each in enumerate(written)]
    lines[-1] = lines[-1][:-1] + "}"
    return lines
