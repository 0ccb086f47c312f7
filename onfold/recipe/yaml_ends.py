"""Where a node ends in its text, where a line of its own may follow it, and what a node holds: for edits in place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, TypeAlias

from onfold.recipe.yaml_nodes import Entry, Node, Scalar
from onfold.recipe.yaml_nodes import Mapping as MappingNode
from onfold.recipe.yaml_nodes import Sequence as SequenceNode

Value: TypeAlias = "str | Sequence[Value] | Mapping[str, Value]"
"""What can be put into a file: words, lists and sets of fields of words."""


def end_of(node: Node, text: str) -> int:
    """Return the offset after a node's last character, the line ends after a block scalar left out."""
    if isinstance(node, MappingNode) and not node.flow and node.entries:
        return entry_end(node.entries[-1], text)
    if isinstance(node, SequenceNode) and not node.flow and node.items:
        return end_of(node.items[-1], text)
    if isinstance(node, Scalar) and node.style in ("|", ">"):
        return node.mark.start + len(text[node.mark.start : node.mark.end].rstrip())
    return node.mark.end


def entry_end(entry: Entry, text: str) -> int:
    """Return the offset after a key's value, after its colon where it has none."""
    return max(end_of(entry.value, text), entry.key.mark.end, colon_after(entry, text))


def colon_after(entry: Entry, text: str) -> int:
    """Return the offset after the colon of a key without a value, 0 where the value or no colon is there."""
    value = entry.value
    if not isinstance(value, Scalar) or value.text or value.style:
        return 0
    rest = text[entry.key.mark.end :]
    blank = len(rest) - len(rest.lstrip(" "))
    return entry.key.mark.end + blank + 1 if rest[blank : blank + 1] == ":" else 0


def line_break(text: str) -> str:
    """Return how the text ends its lines, told by the first."""
    first = text.find("\n")
    return "\r\n" if first > 0 and text[first - 1] == "\r" else "\n"


def after_line(text: str, end: int, column: int, written: str) -> str:
    """Write a line of its own after the line in which `end` lies, behind the comment that stands there."""
    breaks = line_break(text)
    newline = text.find("\n", end)
    indented = " " * column + written
    if newline < 0:
        return f"{text}{breaks}{indented}"
    return f"{text[: newline + 1]}{indented}{breaks}{text[newline + 1 :]}"


def dash_before(text: str, start: int) -> int:
    """Return the offset of the dash of a list's item."""
    return text.rfind("-", 0, start)


def data_in(node: Node) -> Any:
    """Return a node's content: text, a tuple of items, or a list of (key, value) in order.

    The line ends after a block scalar don't count: what is written after it can make one more or one fewer of them.
    """
    if isinstance(node, Scalar):
        return node.text.rstrip("\n") if node.style in ("|", ">") else node.text
    if isinstance(node, SequenceNode):
        return tuple(data_in(item) for item in node.items)
    return [(entry.key.text, data_in(entry.value)) for entry in node.entries]


def data_of(value: Value) -> Any:
    """Return what `data_in` gives of a value once it is written."""
    if isinstance(value, str):
        return value
    if isinstance(value, Mapping):
        return [(key, data_of(inner)) for key, inner in value.items()]
    return tuple(data_of(inner) for inner in value)
