"""A ticket's or recipe's text as nodes with marks: every word as it is written, and where it stands.

The nodes are built from the events of PyYAML's C parser: that keeps anchors, tags, styles and repeated keys in sight,
needs no recursion, and is quicker than composing. There is no fallback to the Python parser, which reads differently.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from yaml import MarkedYAMLError
from yaml.cyaml import CParser  # type: ignore[attr-defined]
from yaml.events import (
    AliasEvent,
    DocumentEndEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)
from yaml.reader import ReaderError

from onfold.formula.names import did_you_mean
from onfold.problems import Place, Problem, problem
from onfold.recipe.yaml_faults import explain
from onfold.recipe.yaml_marks import (
    Entry,
    Mapping,
    Mark,
    Node,
    Scalar,
    Sequence,
    excerpt,
    find,
    mark_at,
    mark_within,
    place_of,
    suggestion,
)
from onfold.units import plain

__all__ = [
    "Entry",
    "Mapping",
    "Mark",
    "Node",
    "Scalar",
    "Sequence",
    "compose",
    "did_you_mean",
    "excerpt",
    "find",
    "mark_at",
    "mark_within",
    "place_of",
    "plain",
    "read_text",
    "suggestion",
]

MOST_BYTES = 1_000_000
DEEPEST = 20
MOST_NODES = 100_000
"""Far more than any recipe has; so a file of brackets alone is refused within half a second."""

_MOST_PROBLEMS = 20

_CONTROL = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufeff\ufffe\uffff]|\r(?!\n)"
)
_TAB_INDENT = re.compile(r"^ *(\t)[ \t]*[^\s#]", re.MULTILINE)
_CONTROL_NAMES = {
    "\x00": "a NUL character",
    "\x07": "a bell character",
    "\x08": "a backspace character",
    "\x0b": "a vertical tab",
    "\x0c": "a form feed",
    "\r": "a carriage return without a line feed",
    "\x1b": "an escape character",
    "\x7f": "a delete character",
    "\x85": "a next-line character",
    "\ufeff": "a byte order mark inside the text",
}


def read_text(path: Path) -> tuple[str | None, list[Problem]]:
    """Return a file's text as it stands, byte order mark and line ends kept, or None with the reason."""
    file = plain(str(path), 200)
    try:
        if not path.is_file():
            what = "is a folder" if path.is_dir() else "is not there"
            return None, [_missing(file, f"{file} {what}.")]
        with path.open("rb") as stream:
            data = stream.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else "its name is not one"
        return None, [_missing(file, f"{file} cannot be read: {plain(reason).lower()}.")]
    if len(data) > MOST_BYTES:
        says = f"{file} is larger than {MOST_BYTES // 1000} kB; a ticket or recipe is a page or two of text."
        most = f"at most {MOST_BYTES // 1000} kB"
        return None, [_stop("FILE-SIZE", says, Place(file), "more", most, "Check that this is the right file.")]
    try:
        return data.decode("utf-8"), []
    except UnicodeDecodeError as error:
        return None, [_not_utf8(data, error.start, file)]


def _missing(file: str, says: str) -> Problem:
    return _stop("FILE-MISSING", says, Place(file), file, "a file that can be read", "Check its name and folder.")


def _not_utf8(data: bytes, at: int, file: str) -> Problem:
    line_start = data.rfind(b"\n", 0, at) + 1
    column = len(data[line_start:at].decode("utf-8", "replace")) + 1
    where = Place(file, data.count(b"\n", 0, at) + 1, column)
    utf16 = data[:2] in (b"\xff\xfe", b"\xfe\xff")
    found = "UTF-16 text" if utf16 else f"the byte {data[at]:02X}"
    says = f"{file} is not UTF-8 text: {found} stands in line {where.line}, column {column}."
    return _stop("FILE-TEXT", says, where, found, "UTF-8 text", "Save the file as UTF-8.")


def _stop(code: str, says: str, where: Place, found: str, expected: str, remedy: str, shown: str = "") -> Problem:
    return problem(code, says=says, found=found, expected=expected, remedy=remedy, where=where, excerpt=shown)


def compose(text: str, file: str = "") -> tuple[Node | None, list[Problem]]:
    """Return (node, problems) of a text. The node is None where the text as a whole cannot be read."""
    if len(text) > MOST_BYTES:
        says = f"The text is longer than {MOST_BYTES // 1000} kB; a ticket or recipe is a page or two of text."
        return None, [_stop("FILE-SIZE", says, Place(file), "more", f"at most {MOST_BYTES // 1000} kB", "Shorten it.")]
    troubles = list(_text_problems(text, file))
    if troubles:
        return None, troubles
    return _Builder(text, file).build()


def _text_problems(text: str, file: str) -> Iterator[Problem]:
    """Yield the first control characters and tabs used for indenting, named in words, never shown raw."""
    for count, match in enumerate(_CONTROL.finditer(text, 1 if text.startswith("\ufeff") else 0)):
        if count == _MOST_PROBLEMS:
            return
        mark = mark_at(text, match.start())
        name = _in_words(match[0])
        says = f"Line {mark.line}, column {mark.column} holds {name}, which no ticket or recipe needs."
        yield _stop("FILE-TEXT", says, place_of(mark, file), name, "plain text", "Delete it.", excerpt(text, mark))
    for count, match in enumerate(_TAB_INDENT.finditer(text)):
        if count == _MOST_PROBLEMS:
            return
        mark = mark_at(text, match.start(1))
        says = f"Line {mark.line} is indented with a tab."
        yield _stop("FILE-TEXT", says, place_of(mark, file), "a tab", "spaces", "Use spaces.", excerpt(text, mark))


def _in_words(char: str) -> str:
    name = _CONTROL_NAMES.get(char) or unicodedata.name(char, "a control character").lower()
    return f"{name} (U+{ord(char):04X})"


class _Open:
    """A mapping or sequence whose end has not been read."""

    __slots__ = ("entries", "flow", "is_mapping", "key", "mark", "seen")

    def __init__(self, is_mapping: bool, mark: Mark, flow: bool) -> None:
        self.is_mapping, self.mark, self.flow = is_mapping, mark, flow
        self.entries: list[Entry | Node] = []
        self.key: Scalar | None = None
        self.seen: dict[str, Mark] = {}


class _Builder:
    """Builds nodes from the parser's events with a stack of its own, so that depth is bounded and nothing recurses."""

    def __init__(self, text: str, file: str) -> None:
        self.text, self.file = text, file
        self.shift = 1 if text.startswith("\ufeff") else 0
        self.stack: list[_Open] = []
        self.root: Node | None = None
        self.problems: list[Problem] = []
        self.documents = 0
        self.nodes = 0

    def build(self) -> tuple[Node | None, list[Problem]]:
        last: Any = None
        try:
            parser = CParser(self.text[self.shift :])
            while (event := parser.get_event()) is not None:
                if not self.take(event):
                    return None, self.problems
                last = last if type(event) is DocumentEndEvent else event
        except ReaderError:
            self.report(
                "FILE-TEXT", Mark(1, 1, 0, 0), "The text holds characters that YAML does not allow.", "", "text", ""
            )
            return None, self.problems
        except MarkedYAMLError as fault:
            return None, [*self.problems, self.syntax_problem(fault, last)]
        if self.root is None and not self.problems:
            self.report(
                "FILE-SHAPE", Mark(1, 1, 0, 0), "The file is empty.", "nothing", "fields", "Start with its first key."
            )
        return self.root, self.problems

    def syntax_problem(self, fault: MarkedYAMLError, last: Any) -> Problem:
        told = explain(fault, last, self.text[self.shift :])
        start = min(told.index + self.shift, len(self.text))
        mark = Mark(told.line, told.column, start, start)
        where = place_of(mark, self.file)
        shown = excerpt(self.text, mark)
        if told.deep:
            return self.too_deep(mark)
        return _stop("FILE-YAML", told.says, where, told.found, told.expected, told.remedy, shown)

    def too_deep(self, mark: Mark) -> Problem:
        says = f"Line {mark.line} opens a level inside {DEEPEST} others; no ticket or recipe needs so many."
        where, most = place_of(mark, self.file), f"at most {DEEPEST} levels"
        return _stop("FILE-DEEP", says, where, "a deeper level", most, "Close brackets.", excerpt(self.text, mark))

    def too_many(self, mark: Mark) -> bool:
        says = f"The text holds more than {MOST_NODES:,} values; a ticket or recipe is a page or two of text."
        self.report("FILE-SIZE", mark, says, "more", f"at most {MOST_NODES:,}", "Check that this is the right file.")
        return False

    def mark_of(self, event: Any) -> Mark:
        start = event.start_mark
        return Mark(start.line + 1, start.column + 1, start.index + self.shift, event.end_mark.index + self.shift)

    def report(self, code: str, mark: Mark, says: str, found: str, expected: str, remedy: str) -> None:
        if len(self.problems) < _MOST_PROBLEMS:
            where, shown = place_of(mark, self.file), excerpt(self.text, mark)
            self.problems.append(_stop(code, says, where, plain(found), expected, remedy, shown))

    def take(self, event: Any) -> bool:
        """Take the next event in; False where reading must end."""
        self.nodes += 1
        if self.nodes > MOST_NODES:
            return self.too_many(self.mark_of(event))
        kind = type(event)
        if kind is ScalarEvent:
            mark = self.mark_of(event)
            if event.anchor is not None or event.tag is not None:
                self.report_alias(event, mark)
            self.add(Scalar(event.value, mark, event.style or ""))
        elif kind is MappingStartEvent or kind is SequenceStartEvent:
            return self.open(event, kind is MappingStartEvent)
        elif kind is MappingEndEvent or kind is SequenceEndEvent:
            self.close(event.end_mark.index + self.shift)
        elif kind is AliasEvent:
            mark = self.mark_of(event)
            self.report_alias(event, mark)
            self.add(Scalar("", mark, "*"))
        elif kind is DocumentStartEvent:
            return self.document(event)
        return True

    def document(self, event: Any) -> bool:
        self.documents += 1
        mark = self.mark_of(event)
        if self.documents > 1:
            says = f"A second document begins in line {mark.line}; a file holds one."
            self.report("FILE-SHAPE", mark, says, "---", "one document", "Put the second into a file of its own.")
            return False
        if event.tags:
            self.report(
                "FILE-ALIAS", mark, "The file declares tags, which are not used.", "%TAG", "plain values", "Delete it."
            )
        return True

    def report_alias(self, event: Any, mark: Mark) -> None:
        if type(event) is AliasEvent:
            what, found = "an alias", f"*{event.anchor}"
        elif event.anchor is not None:
            what, found = "an anchor", f"&{event.anchor}"
        else:
            what, found = "a tag", event.tag
        says = f"Line {mark.line} holds {what}, {plain(found)}; every value is written where it is used."
        if what != "an anchor" and found.startswith(("*", "!")):
            says += " If it is meant as text, quote it."
        self.report("FILE-ALIAS", mark, says, found, "the value itself", "Write the value out, or quote it.")

    def open(self, event: Any, is_mapping: bool) -> bool:
        mark = self.mark_of(event)
        if event.anchor is not None or event.tag is not None:
            self.report_alias(event, mark)
        if len(self.stack) >= DEEPEST:
            self.problems.append(self.too_deep(mark))
            return False
        self.stack.append(_Open(is_mapping, mark, bool(event.flow_style)))
        return True

    def close(self, end: int) -> None:
        done = self.stack.pop()
        if not done.flow and done.entries:
            last = done.entries[-1]
            end = (last.value if isinstance(last, Entry) else last).mark.end
        mark = done.mark._replace(end=end)
        if done.is_mapping:
            self.add(Mapping(tuple(each for each in done.entries if isinstance(each, Entry)), mark, done.flow))
        else:
            self.add(Sequence(tuple(each for each in done.entries if not isinstance(each, Entry)), mark, done.flow))

    def add(self, node: Node) -> None:
        """Put a finished node where it belongs: the root, an item, a key, or the value of the last key."""
        if not self.stack:
            self.root = node
            return
        parent = self.stack[-1]
        if not parent.is_mapping:
            parent.entries.append(node)
        elif parent.key is None:
            parent.key = self.checked_key(node, parent)
        else:
            self.add_value(parent, parent.key, node)
            parent.key = None

    def add_value(self, parent: _Open, key: Scalar, node: Node) -> None:
        if isinstance(node, Scalar) and parent.flow and not node.text and not node.style:
            says = f"'{plain(key.text)}' has no value in line {key.mark.line}."
            self.report(
                "VALUE-EMPTY", key.mark, says, key.text, "a colon and a value", "Give it one, or delete the key."
            )
        parent.entries.append(Entry(key, node))

    def checked_key(self, node: Node, parent: _Open) -> Scalar:
        mark = node.mark
        if not isinstance(node, Scalar):
            says = f"A list or a set of fields stands as a key in line {mark.line}."
            self.report("FILE-SHAPE", mark, says, "brackets", "a word as key", "Write a word before the colon.")
            return Scalar("", mark)
        if not node.text.strip():
            says = f"A key is missing before the colon in line {mark.line}."
            self.report("FILE-SHAPE", mark, says, "nothing", "a word as key", "Write a word before the colon.")
            return node
        earlier = parent.seen.setdefault(node.text, mark)
        if earlier is not mark:
            says = (
                f"'{plain(node.text)}' stands in line {earlier.line} and again in line {mark.line}; neither is guessed."
            )
            self.report("KEY-TWICE", mark, says, node.text, "each key once", "Keep the one you mean.")
        return node
