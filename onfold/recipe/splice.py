"""Editing a ticket or recipe in place: only the characters of the change are touched, at the marks of its nodes.

Comments, order, quotes, indentation and line ends stay as the maker wrote them. After every edit the text is read
again and compared with what the edit should have made; where they differ nothing is changed and a problem says so.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeAlias

from onfold.problems import Place, Problem, problem
from onfold.recipe.yaml_ends import (
    Value,
    after_line,
    colon_after,
    dash_before,
    data_in,
    data_of,
    end_of,
    entry_end,
    line_break,
)
from onfold.recipe.yaml_nodes import Mapping as MappingNode
from onfold.recipe.yaml_nodes import Node, Scalar, compose, find, place_of, plain
from onfold.recipe.yaml_nodes import Sequence as SequenceNode
from onfold.recipe.yaml_writing import write_item, write_key, write_quoted, write_scalar, write_value

Path: TypeAlias = tuple[str | int, ...]
"""Where in a file: keys, and places (from 0) in lists. The empty path is the whole file."""


class RefusedError(Exception):
    """Carries the problem that ends an edit; `edited` hands it back as its result."""

    def __init__(self, why: Problem) -> None:
        super().__init__(why.says)
        self.problem = why


def set_scalar(text: str, path: Path, new: str, file: str = "") -> str | Problem:
    """Return the text with the word, number or sentence at a path replaced, its way of quoting kept if it can be."""

    def splice(root: Node) -> str:
        node, in_flow = _at(root, path, file)
        if not isinstance(node, Scalar):
            raise RefusedError(refused(f"{_said(path)} is no single value.", file, node))
        if not node.text and not node.style:
            return _fill_empty(text, root, path, write_scalar(new, in_flow))
        block = node.style in ("|", ">")
        end = node.mark.start + len(text[node.mark.start : node.mark.end].rstrip("\r\n ")) if block else node.mark.end
        written = write_scalar(new, in_flow, "" if block else node.style, node.text)
        return text[: node.mark.start] + written + text[end:]

    return edited(text, file, splice, lambda data: _replaced(data, path, lambda _: new))


def add_entry(text: str, path: Path, key: str, value: Value, file: str = "") -> str | Problem:
    """Return the text with a new last key in the mapping at a path; lists and fields are written in flow style.

    Among keys that are all in double quotes, as JSON has them, all of it is in double quotes.
    """

    def splice(root: Node) -> str:
        node, in_flow = _at(root, path, file)
        if isinstance(node, MappingNode) and find(node, key):
            raise RefusedError(refused(f"'{plain(key)}' is there already.", file, node, "KEY-TWICE"))
        if isinstance(node, Scalar) and not node.text and not node.style:
            return _fill_empty(text, root, path, f"{{{write_key(key, True)}: {write_value(value, True)}}}")
        if not isinstance(node, MappingNode):
            raise RefusedError(refused(f"{_said(path)} is no set of fields.", file, node))
        flow = node.flow or in_flow
        quoted = node.flow and bool(node.entries) and all(entry.key.style == '"' for entry in node.entries)
        written = write_quoted({key: value})[1:-1] if quoted else f"{write_key(key, flow)}: {write_value(value, flow)}"
        if node.flow:
            return _into_flow(text, node, [entry_end(entry, text) for entry in node.entries], written)
        return after_line(text, end_of(node, text), node.entries[0].key.mark.column - 1, written)

    def change(old: Any) -> Any:
        return [*(old if isinstance(old, list) else []), (key, data_of(value))]

    return edited(text, file, splice, lambda data: _replaced(data, path, change))


def append_item(text: str, path: Path, value: Value, file: str = "") -> str | Problem:
    """Return the text with a new last item in the list at a path."""

    def splice(root: Node) -> str:
        node, _ = _at(root, path, file)
        if isinstance(node, Scalar) and not node.text and not node.style:
            return _fill_empty(text, root, path, f"[{write_value(value, True)}]")
        if not isinstance(node, SequenceNode):
            raise RefusedError(refused(f"{_said(path)} is no list.", file, node))
        if node.flow:
            return _into_flow(text, node, [end_of(item, text) for item in node.items], write_value(value, True))
        dash = dash_before(text, node.items[0].mark.start)
        column = dash - (text.rfind("\n", 0, dash) + 1)
        return after_line(text, end_of(node, text), column, f"- {write_item(value)}")

    def change(old: Any) -> Any:
        return (*(old if isinstance(old, tuple) else ()), data_of(value))

    return edited(text, file, splice, lambda data: _replaced(data, path, change))


def insert_item(text: str, path: Path, place: int, value: Value, file: str = "") -> str | Problem:
    """Return the text with a new item in the list at a path, before the one that stands at `place`, or last."""

    def splice(root: Node) -> str:
        node, _ = _at(root, path, file)
        if not isinstance(node, SequenceNode) or not 0 <= place < len(node.items):
            raise RefusedError(refused(f"{_said(path)} has no item {place + 1}.", file, node))
        start = node.items[place].mark.start
        if node.flow:
            return f"{text[:start]}{write_value(value, True)}, {text[start:]}"
        dash = dash_before(text, node.items[0].mark.start)
        line = text.rfind("\n", 0, dash) + 1
        written = f"- {write_item(value)}"
        if place:
            # After the item before it, so that a comment above the one that follows stays with that one.
            return after_line(text, end_of(node.items[place - 1], text), dash - line, written)
        return f"{text[:line]}{text[line:dash]}{written}{line_break(text)}{text[line:]}"

    def change(old: Any) -> Any:
        return (*old[:place], data_of(value), *old[place:])

    held, _ = compose(text, file)
    count = _count(held, path, file) if held is not None else 0
    if place == count:
        return append_item(text, path, value, file)
    return edited(text, file, splice, lambda data: _replaced(data, path, change))


def _count(root: Node, path: Path, file: str) -> int:
    try:
        node, _ = _at(root, path, file)
    except RefusedError:
        return -1
    return len(node.items) if isinstance(node, SequenceNode) else 0


def remove_entry(text: str, path: Path, file: str = "") -> str | Problem:
    """Return the text without the key, or the item of a list, at a path; the comment on its own line goes with it."""

    def splice(root: Node) -> str:
        if not path:
            raise RefusedError(refused("The whole file cannot be removed.", file, root))
        parent, _ = _at(root, path[:-1], file)
        _at(root, path, file)
        if isinstance(parent, MappingNode):
            place = next(at for at, entry in enumerate(parent.entries) if entry.key.text == path[-1])
            spans = [(entry.key.mark.start, entry_end(entry, text)) for entry in parent.entries]
        else:
            assert isinstance(parent, SequenceNode)
            place = int(path[-1])
            spans = [(item.mark.start, end_of(item, text)) for item in parent.items]
            if not parent.flow:
                spans = [(dash_before(text, start), end) for start, end in spans]
        if parent.flow:
            return _out_of_flow(text, spans, place)
        return _out_of_block(text, spans, place, "{}" if isinstance(parent, MappingNode) else "[]")

    return edited(text, file, splice, lambda data: _removed(data, path))


def edited(text: str, file: str, splice: Callable[[Node], str], change: Callable[[Any], Any]) -> str | Problem:
    """Return the spliced text where reading it again gives just the intended change, else the problem."""
    root, problems = compose(text, file)
    stop = next((each for each in problems if each.severity == "stop"), None)
    if root is None or stop:
        return stop or refused("The file cannot be read.", file, None)
    try:
        spliced = splice(root)
    except RefusedError as ended:
        return ended.problem
    again, troubles = compose(spliced, file)
    if again is None or troubles or data_in(again) != change(data_in(root)):
        return refused("The file is written in a way that this change cannot be fitted into.", file, None)
    return spliced


def refused(says: str, file: str, node: Node | None, code: str = "EDIT-REFUSED") -> Problem:
    """Return the problem of an edit that cannot be made, at the node where that shows."""
    where = place_of(node, file) if node is not None else Place(file)
    return problem(
        code,
        says=f"{says} Nothing was changed.",
        where=where,
        expected="a place for the change",
        remedy="Edit by hand.",
    )


def _said(path: Path) -> str:
    steps = [f"item {step + 1}" if isinstance(step, int) else f"'{plain(step)}'" for step in path]
    return ", ".join(steps) or "The file"


def _at(root: Node, path: Path, file: str) -> tuple[Node, bool]:
    """Return the node at a path and whether it stands inside flow brackets."""
    node, in_flow = root, False
    for count, step in enumerate(path):
        inner: Node | None = None
        if isinstance(node, MappingNode) and isinstance(step, str):
            entry = find(node, step)
            inner = entry.value if entry else None
        elif isinstance(node, SequenceNode) and isinstance(step, int) and 0 <= step < len(node.items):
            inner = node.items[step]
        if inner is None:
            raise RefusedError(refused(f"{_said(path[: count + 1])} is not in the file.", file, node))
        in_flow = in_flow or (isinstance(node, MappingNode | SequenceNode) and node.flow)
        node = inner
    return node, in_flow


def _fill_empty(text: str, root: Node, path: Path, written: str) -> str:
    """Write a value where a key has none."""
    parent, _ = _at(root, path[:-1], "") if path else (root, False)
    if not isinstance(parent, MappingNode):
        node, _ = _at(root, path, "")
        return f"{text[: node.mark.start].rstrip(' ')} {written}{text[node.mark.start :]}"
    entry = next(each for each in parent.entries if each.key.text == path[-1])
    colon = colon_after(entry, text)
    at = colon or entry.key.mark.end
    return f"{text[:at]}{'' if colon else ':'} {written}{text[at:]}"


def _into_flow(text: str, node: MappingNode | SequenceNode, ends: list[int], written: str) -> str:
    if not ends:
        at = node.mark.start + 1
        return text[:at] + written + text[at:]
    at = ends[-1]
    rest = text[at : node.mark.end]
    blank = len(rest) - len(rest.lstrip())
    if rest[blank : blank + 1] == ",":
        at += blank + 1
        return f"{text[:at]} {written}{text[at:]}"
    return f"{text[:at]}, {written}{text[at:]}"


def _out_of_flow(text: str, spans: list[tuple[int, int]], place: int) -> str:
    """Take an entry out of brackets with one of its commas: the one after it, for the last the one before.

    A comment between it and its neighbour stays.
    """
    start, end = spans[place]
    if place + 1 < len(spans):
        following = spans[place + 1][0]
        between = text[end:following]
        kept = between.replace(",", "", 1) if "#" in between else ""
        return text[:start] + kept + text[following:]
    if place:
        before = spans[place - 1][1]
        between = text[before:start]
        if "#" in between:
            return text[:before] + between.rstrip(" ") + text[end + (text[end : end + 1] == ",") :]
        return text[:before] + text[end:]
    rest = text[end:]
    blank = len(rest) - len(rest.lstrip())
    comma = blank + 1 if rest[blank : blank + 1] == "," else 0
    return text[:start] + text[end + comma :]


def _out_of_block(text: str, spans: list[tuple[int, int]], place: int, empty: str) -> str:
    start, end = spans[place]
    if len(spans) == 1:
        return text[:start] + empty + text[end:]
    line_start = text.rfind("\n", 0, start) + 1
    newline = text.find("\n", end)
    after = newline + 1 if newline >= 0 else len(text)
    before = text[line_start:start]
    if not before.strip("\ufeff "):
        kept = text[: line_start + (len(before) - len(before.lstrip("\ufeff")))]
        return (kept.rstrip("\r\n") if newline < 0 else kept) + text[after:]
    # The first key on the line of its list's dash: what follows moves up to the dash.
    following = spans[place + 1][0]
    return text[:start] + text[following if not text[after:following].strip() else after :]


def _replaced(data: Any, path: Path, change: Callable[[Any], Any]) -> Any:
    if not path:
        return change(data)
    step, rest = path[0], path[1:]
    if isinstance(data, list):
        return [(key, _replaced(inner, rest, change) if key == step else inner) for key, inner in data]
    return tuple(_replaced(inner, rest, change) if at == step else inner for at, inner in enumerate(data))


def _removed(data: Any, path: Path) -> Any:
    def without(parent: Any) -> Any:
        if isinstance(parent, list):
            return [pair for pair in parent if pair[0] != path[-1]]
        return tuple(item for at, item in enumerate(parent) if at != path[-1])

    return _replaced(data, path[:-1], without)
