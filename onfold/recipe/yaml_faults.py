"""The YAML parser's complaints in plain words, placed where the slip most likely is, not where it came to light."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Told:
    """A complaint in plain words. Line and column count from 1; `index` is the offset in the parsed text."""

    line: int
    column: int
    index: int
    says: str
    found: str
    expected: str
    remedy: str
    deep: bool = False


_WORDS: tuple[tuple[str, str, str, str], ...] = (
    # (what the parser says, what is wrong, expected, remedy)
    ("found unexpected end of stream", "A quote opened here is never closed", "a closing quote", "Close the quote."),
    ("found unknown escape", "A backslash in double quotes stands before a letter it has no meaning for", "text",
     "Use single quotes."),
    ("mapping values are not allowed", "A colon stands where no key can, or the line is indented wrongly",
     "one key and one value in a line", "Quote a value that holds a colon, or mend the indentation."),
    ("block sequence entries are not allowed", "A list begins on the line of its key", "a new line before '- '",
     "Begin the list on a new line."),
    ("did not find expected ',' or", "A bracket is not closed, or a comma is missing", "a comma or the closing bracket",
     "Close the bracket, or set a comma between the values."),
    ("could not find expected ':'", "A key has no colon", "a colon after the key", "Write KEY: VALUE."),
    ("did not find expected '-' indicator", "A line in a list does not begin with '- '", "'- '",
     "Begin it with '- ', or mend the indentation."),
    ("did not find expected key", "A line does not fit in: its indentation, quotes or colon are wrong",
     "a key, a colon and a value", "Mend the indentation or the quotes of this line."),
    ("did not find expected node content", "A value is missing, or a bracket or comma is one too many", "a value",
     "Give the value, or delete the sign."),
    ("found character that cannot start any token", "A value begins with a sign that YAML keeps for itself",
     "a quoted value", "Quote the value."),
    ("did not find expected <document start>", "A line stands further left than the first one",
     "the same indentation for every first-level key", "Mend the indentation."),
    ("found a tab character", "A tab stands where spaces must", "spaces", "Use spaces."),
    ("found undefined alias", "An alias stands here", "the value itself", "Quote a value that begins with a star."),
    ("directive", "A line begins with a per cent sign", "a key", "Delete the line, or quote the value."),
)  # fmt: skip

_LOST_QUOTE = "A quote opened here runs on over following lines"
_LOST_END = "This value runs on into the next line, so a bracket, comma or colon is missing"


def explain(fault: Any, last: Any, text: str) -> Told:
    """Return a parser's complaint about a text in plain words; `last` is the last event before it, if any.

    Both are the parser's own: a complaint has `problem`, `context` and their marks, an event its two marks and, for a
    scalar, `value` and `style`. The parser itself is `yaml_nodes`'s alone.

    A quote or bracket that isn't closed comes to light lines later, so the place is that of the last scalar where that
    ran on over lines, and of what was opened where the parser says so.
    """
    complaint = fault.problem or ""
    deep = "nesting depth" in complaint
    mark = fault.problem_mark or fault.context_mark
    opened = fault.context or ""
    if fault.context_mark and ("simple key" in opened or "quoted scalar" in opened):
        mark = fault.context_mark
    words = next((entry for entry in _WORDS if entry[0] in complaint), None)
    says, expected, remedy = (
        words[1:] if words else ("The text does not follow YAML's rules", "YAML", "Mend this line.")
    )
    line, column, index = (mark.line + 1, mark.column + 1, mark.index) if mark else (1, 1, 0)
    if "document start" in complaint and _is_scalar(last):
        return _without_colon(last)
    runs_on = _is_scalar(last) and _lines(last) > 1
    if last is not None and runs_on and last.style in ("'", '"') and last.end_mark.line + 1 == line:
        start = last.start_mark
        line, column, index = start.line + 1, start.column + 1, start.index
        says, expected, remedy = _LOST_QUOTE, "a closing quote", "Close the quote."
    elif last is not None and runs_on and not last.style and last.end_mark.line <= line:
        start = last.start_mark
        line, column, index = start.line + 1, start.column + 1, start.index
        says = _LOST_END
    elif last is not None and "flow" in opened and last.end_mark.line + 1 < line:
        end = last.end_mark
        line, column, index = end.line + 1, end.column + 1, end.index
    if fault.context_mark and "flow" in opened:
        line, column, index = _before_outdent(text, fault.context_mark.index, index) or (line, column, index)
    return Told(line, column, index, f"{says} (line {line}).", "", expected, remedy, deep)


def _before_outdent(text: str, opened: int, noticed: int) -> tuple[int, int, int] | None:
    """Return the end of the last line that belongs to a bracket, where a line after it stands no further right.

    The parser reads on past such a line, and notices only at the next colon or dash; people indent what is inside.
    """
    line_start = text.rfind("\n", 0, opened) + 1
    inside = text[line_start:noticed]
    indent = _indent(inside)
    at = line_start
    for line in inside.splitlines(keepends=True)[1:]:
        at = text.index("\n", at) + 1
        if line.strip() and _indent(line) <= indent:
            end = len(text[:at].rstrip())
            start = text.rfind("\n", 0, end) + 1
            return text.count("\n", 0, end) + 1, end - start + 1, end
    return None


def _indent(line: str) -> int:
    """Return the column of a line's first word, the dashes of lists counted as indentation."""
    return len(line) - len(line.lstrip(" -"))


def _without_colon(first: Any) -> Told:
    """Return the complaint about a first line that is no key, so that the whole file seemed to be one word."""
    line, column = first.start_mark.line + 1, first.start_mark.column + 1
    says = f"A key has no colon (line {line})."
    return Told(line, column, first.start_mark.index, says, "", "a colon after the key", "Write KEY: VALUE.")


def _is_scalar(event: Any) -> bool:
    return hasattr(event, "value")


def _lines(event: Any) -> int:
    return int(event.end_mark.line - event.start_mark.line + 1)
