"""Words as YAML writes them: plain where every reader takes them for the same words, quoted where one would not."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

_STARTS_ODDLY = re.compile(r"[-?:,\[\]{}#&*!|>'\"%@`=~\s]")
_READ_AS_OTHERS = frozenset({"on", "off", "yes", "no", "y", "n", "true", "false", "null", "~"})
_BREAKS_PLAIN = re.compile(r":(?=\s|$)|\s#|[\r\n\t]|\s$|^(?:---|\.\.\.)")
_BREAKS_FLOW = re.compile(r"[,\[\]{}?:#]")
_NEEDS_ESCAPE = re.compile("[\r\n\t\x00-\x1f\x7f-\x9f\u2028\u2029\ufeff]")


def write_scalar(text: str, in_flow: bool, style: str = "", replaced: str = "") -> str:
    """Return a word as it is written in block or flow; `style` is the quote to keep, `replaced` what stood there.

    Words that other readers take for truth values (`on`, `no`) are quoted, unless one such word stood there unquoted.
    """
    if _NEEDS_ESCAPE.search(text):
        return _double_quoted(text)
    if style == '"':
        return _double_quoted(text)
    bool_like = text.lower() in _READ_AS_OTHERS and replaced.lower() not in _READ_AS_OTHERS
    if style == "'" or bool_like or not _can_be_plain(text, in_flow):
        return "'" + text.replace("'", "''") + "'"
    return text


def _can_be_plain(text: str, in_flow: bool) -> bool:
    if not text or _STARTS_ODDLY.match(text) or _BREAKS_PLAIN.search(text):
        return False
    return not (in_flow and _BREAKS_FLOW.search(text))


def _double_quoted(text: str) -> str:
    escapes = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\r": "\\r", "\t": "\\t"}
    written = (escapes.get(char) or (f"\\u{ord(char):04x}" if _NEEDS_ESCAPE.match(char) else char) for char in text)
    return '"' + "".join(written) + '"'


def write_key(key: str, in_flow: bool) -> str:
    """Return a key as it is written; `on` is a key like any other, for our reader takes keys as text."""
    return write_scalar(key, in_flow, "", key)


def write_value(value: str | Sequence[Any] | Mapping[str, Any], in_flow: bool) -> str:
    """Return a value on one line: words as they are, lists and fields in flow style."""
    if isinstance(value, str):
        return write_scalar(value, in_flow)
    if isinstance(value, Mapping):
        fields = (f"{write_key(key, True)}: {write_value(inner, True)}" for key, inner in value.items())
        return "{" + ", ".join(fields) + "}"
    return "[" + ", ".join(write_value(inner, True) for inner in value) + "]"


def write_quoted(value: str | Sequence[Any] | Mapping[str, Any]) -> str:
    """Return a value on one line with every word in double quotes, so that JSON stays JSON."""
    if isinstance(value, str):
        return _double_quoted(value)
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{_double_quoted(key)}: {write_quoted(inner)}" for key, inner in value.items()) + "}"
    return "[" + ", ".join(write_quoted(inner) for inner in value) + "]"


def write_item(value: str | Sequence[Any] | Mapping[str, Any]) -> str:
    """Return a list's item on one line; one field alone (a step) stands without braces, as steps are written."""
    if isinstance(value, Mapping) and len(value) == 1:
        key, inner = next(iter(value.items()))
        return f"{write_key(key, False)}: {write_value(inner, False)}"
    return write_value(value, False)
