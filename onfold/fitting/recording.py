"""Fittings written into a ticket and taken out again: text in, text out, everything else left as the maker wrote it.

How an entry is written follows from what stands there, so that taking it back finds exactly what was put in. Where
`fittings` is missing, or a list with dashes, the entry is a dashed item; in a list in brackets it stands in braces.
Taking the last dashed item back takes its key too; an emptied pair of brackets stays.
"""

from __future__ import annotations

import re
from typing import Any

from onfold.fitting.entry import Data, NewFitting, block_lines, brace_lines, entry_data
from onfold.problems import Place, Problem, problem
from onfold.recipe.splice import RefusedError, edited, refused
from onfold.recipe.yaml_ends import data_of, end_of, entry_end, line_break
from onfold.recipe.yaml_nodes import Entry, Mapping, Node, Scalar, Sequence, compose, find, place_of, plain

KEY = "fittings"
_WHICH = re.compile(r"(\d{4}-\d\d-\d\d)(?:#(\d{1,4}))?")


def record(ticket_text: str, file: str, fitting: NewFitting) -> str | Problem:
    """Return the ticket's text with one entry more at the end of its fittings, or the problem that kept it out."""
    data = entry_data(fitting, file)
    if isinstance(data, Problem):
        return data

    def splice(root: Node) -> str:
        if not isinstance(root, Mapping):
            raise RefusedError(refused("The ticket is no set of fields.", file, root))
        entry = find(root, KEY)
        if entry is None:
            return _with_key(ticket_text, root, data)
        value = entry.value
        if isinstance(value, Sequence):
            return (
                _in_brackets(ticket_text, root, entry, value, data) if value.flow else _dashed(ticket_text, value, data)
            )
        if isinstance(value, Scalar) and not value.text.strip() and not value.style and not root.flow:
            return _below_bare_key(ticket_text, entry, data)
        raise RefusedError(refused(f"'{KEY}' is no list.", file, value))

    def change(old: Any) -> Any:
        new = data_of(data)
        if any(key == KEY for key, _ in old):
            return [(key, (*(held or ()), new) if key == KEY else held) for key, held in old]
        return [*old, (KEY, (new,))]

    return edited(ticket_text, file, splice, change)


def take_back(ticket_text: str, file: str, which: str) -> str | Problem:
    """Return the text without one entry, those before and after it left: `2026-10-12`, or `2026-10-12#2` of several."""
    place = place_in_list(ticket_text, file, which)
    if isinstance(place, Problem):
        return place

    def splice(root: Node) -> str:
        assert isinstance(root, Mapping)
        entry = find(root, KEY)
        assert entry is not None and isinstance(entry.value, Sequence)
        if entry.value.flow:
            return _out_of_brackets(ticket_text, root, entry, entry.value, place)
        return _undashed(ticket_text, entry, entry.value, place)

    def change(old: Any) -> Any:
        held = next(each for key, each in old if key == KEY)
        left = (*held[:place], *held[place + 1 :])
        kept = [(key, left if key == KEY else each) for key, each in old]
        return [(key, each) for key, each in kept if key != KEY or left or not gone_with_last]

    root, _ = compose(ticket_text, file)
    gone_with_last = isinstance(root, Mapping) and _goes_with_last(ticket_text, root)
    return edited(ticket_text, file, splice, change)


def place_in_list(ticket_text: str, file: str, which: str) -> int | Problem:
    """Return where in the list, from 0, the entry of a date stands, or of a date and its number in the file's order."""
    root, problems = compose(ticket_text, file)
    stop = next((each for each in problems if each.severity == "stop"), None)
    if root is None or stop is not None:
        return stop or refused("The ticket cannot be read.", file, None)
    entry = find(root, KEY) if isinstance(root, Mapping) else None
    items = entry.value.items if entry is not None and isinstance(entry.value, Sequence) else ()
    dates = [_date_of(item) for item in items]
    asked = _WHICH.fullmatch(which.strip())
    where = place_of(entry.key, file) if entry is not None else Place(file)
    found = [at for at, date in enumerate(dates) if asked is not None and date == asked[1]]
    number = int(asked[2]) if asked is not None and asked[2] else 0
    if number:
        found = found[number - 1 : number]
    return found[0] if len(found) == 1 else _not_found(which, dates, bool(found), where)


def numbered(dates: list[str]) -> list[str]:
    """Return what each entry is called, by these dates in the file's order: of several on one day with a number."""
    names = []
    for at, date in enumerate(dates):
        number = f"#{dates[: at + 1].count(date)}" if dates.count(date) > 1 else ""
        names.append(date + number)
    return names


def _not_found(which: str, dates: list[str], several: bool, where: Place) -> Problem:
    known = ", ".join(plain(each) for each in numbered(dates) if each)
    shown = plain(which.strip()) or "nothing"
    what = "Several fittings are" if several else "No fitting is"
    return problem(
        "FITTING-UNKNOWN",
        says=f"{what} called '{shown}'. " + (f"The ticket holds: {known}." if known else "The ticket holds none."),
        found=shown,
        expected=known or "no fitting",
        remedy="Name one by its date; of several on one day, with its number behind it: 2026-10-12#2.",
        where=where,
    )


def _date_of(item: Node) -> str:
    entry = find(item, "on") if isinstance(item, Mapping) else None
    return entry.value.text.strip() if entry is not None and isinstance(entry.value, Scalar) else ""


def _lines(data: Data, column: int, text: str) -> str:
    """Return the lines of a dashed item, joined as the text joins its lines, the last without its end."""
    return line_break(text).join(" " * column + line for line in block_lines(data))


def _whole_lines(text: str, end: int, written: str) -> str:
    """Write lines after the line in which `end` lies; at the end of a text without a last line end, as it has none."""
    breaks = line_break(text)
    newline = text.find("\n", end)
    if newline < 0:
        return f"{text}{breaks}{written}"
    return f"{text[: newline + 1]}{written}{breaks}{text[newline + 1 :]}"


def _without_lines(text: str, start: int, end: int) -> str:
    """Take out the lines from that of `start` to that of `end`; what stood before them ends as the text ended."""
    first = text.rfind("\n", 0, start) + 1
    if not first and text.startswith("\ufeff"):
        first = 1
    newline = text.find("\n", end)
    if newline >= 0:
        return text[:first] + text[newline + 1 :]
    kept = text[:first]
    return kept.removesuffix("\r\n") if kept.endswith("\r\n") else kept.removesuffix("\n")


def _with_key(text: str, root: Mapping, data: Data) -> str:
    if root.flow:
        # No line between bracket and brace: that says that the key came with the entry, and goes with it.
        ends = [entry_end(each, text) for each in root.entries]
        return _into(text, root, ends, _keyed(text, root, data), _lead_of_last(text, root))
    column = root.entries[0].key.mark.column - 1
    written = f"{' ' * column}{KEY}:{line_break(text)}{_lines(data, column + 2, text)}"
    return _whole_lines(text, end_of(root, text), written)


def _lead_of_last(text: str, root: Mapping) -> str:
    """Return what stands before the last key in braces: a new line and its indentation, or a blank on the same line."""
    at = root.entries[-1].key.mark.start if root.entries else 0
    line = text.rfind("\n", 0, at) + 1
    return line_break(text) + text[line:at] if line > root.mark.start and not text[line:at].strip() else " "


def _below_bare_key(text: str, entry: Entry, data: Data) -> str:
    column = entry.key.mark.column - 1
    return _whole_lines(text, entry.key.mark.end, _lines(data, column + 2, text))


def _dashed(text: str, items: Sequence, data: Data) -> str:
    column = items.mark.start - (text.rfind("\n", 0, items.mark.start) + 1)
    return _whole_lines(text, end_of(items, text), _lines(data, column, text))


def _undashed(text: str, entry: Entry, items: Sequence, place: int) -> str:
    left = _without_lines(text, _dash(text, items, place), end_of(items.items[place], text))
    if len(items.items) > 1:
        return left
    return _without_lines(left, entry.key.mark.start, entry.key.mark.end)


def _dash(text: str, items: Sequence, place: int) -> int:
    """Return the offset of an item's dash: all dashes of a list stand in one column, a comment may follow one."""
    column = items.mark.start - (text.rfind("\n", 0, items.mark.start) + 1)
    line = text.rfind("\n", 0, max(items.items[place].mark.start, 1)) + 1
    while line > items.mark.start and (
        text[line : line + column].strip() or text[line + column : line + column + 1] != "-"
    ):
        line = text.rfind("\n", 0, line - 1) + 1
    return max(line + column, items.mark.start)


def _is_quoted(root: Mapping) -> bool:
    """Return whether a ticket is written as JSON: every key of it in double quotes, all within braces."""
    return root.flow and all(entry.key.style == '"' for entry in root.entries)


def _braced(text: str, root: Mapping, data: Data, column: int) -> str:
    return (line_break(text) + " " * column).join(brace_lines(data, _is_quoted(root)))


def _keyed(text: str, root: Mapping, data: Data) -> str:
    key = f'"{KEY}"' if _is_quoted(root) else KEY
    return f"{key}: [{_braced(text, root, data, 3)}]"


def _in_brackets(text: str, root: Mapping, entry: Entry, items: Sequence, data: Data) -> str:
    line = text.rfind("\n", 0, entry.key.mark.start) + 1
    column = len(text[line:]) - len(text[line:].lstrip("\ufeff ")) + 2
    lead = line_break(text) + " " * column
    written = _braced(text, root, data, column)
    if not items.items:
        return text[: items.mark.start + 1] + lead + written + text[items.mark.start + 1 :]
    return _into(text, items, [item.mark.end for item in items.items], written, lead)


def _into(text: str, node: Mapping | Sequence, ends: list[int], written: str, lead: str) -> str:
    """Write something last within brackets. A comma that closes the list is kept: then one closes ours as well."""
    if not ends:
        at = node.mark.start + 1
        return text[:at] + written + text[at:]
    at = ends[-1]
    blank = len(text[at:]) - len(text[at:].lstrip())
    if text[at + blank] == ",":
        at += blank + 1
        return f"{text[:at]}{lead}{written},{text[at:]}"
    return f"{text[:at]},{lead}{written}{text[at:]}"


def _out_of_brackets(text: str, root: Mapping, entry: Entry, items: Sequence, place: int) -> str:
    if len(items.items) == 1 and _goes_with_last(text, root):
        at = next(number for number, each in enumerate(root.entries) if each is entry)
        spans = [(each.key.mark.start, entry_end(each, text)) for each in root.entries]
        return _out(text, spans, at)
    return _out(text, [(item.mark.start, item.mark.end) for item in items.items], place, items.mark.start + 1)


def _out(text: str, spans: list[tuple[int, int]], place: int, opening: int | None = None) -> str:
    """Take something out of brackets, with the blanks and the comma that came with it."""
    start, end = spans[place]
    closed = text[end] == ","
    if place + 1 < len(spans):
        between = text[end : spans[place + 1][0]]
        comma = between.find(",")
        if "#" not in between:
            return text[:start] + text[spans[place + 1][0] :]
        # A comment between the two stays where it is.
        return text[:start] + between[:comma] + between[comma + 1 :] + text[spans[place + 1][0] :]
    if not place:
        first = opening if opening is not None else start
        first = first if not text[first:start].strip() else start
        return text[:first] + text[end + closed :]
    before = spans[place - 1][1]
    between = text[before:start]
    if "#" in between:
        return text[:before] + between.rstrip(" ") + text[end + closed :]
    return text[: before + between.index(",") + 1 if closed else before] + text[end + closed :]


def _goes_with_last(text: str, root: Mapping) -> bool:
    """Return whether the key goes when its list is emptied: dashed, or in a ticket in braces as we write it there."""
    entry = find(root, KEY)
    items = entry.value if entry is not None else None
    if not isinstance(items, Sequence) or not items.items:
        return False
    tight = text[items.mark.start + 1] == "{" and text[items.items[-1].mark.end] == "]"
    return not items.flow or (root.flow and tight)
