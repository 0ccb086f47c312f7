"""Seeded damages to a ticket or recipe: what a slip of the hand, a bad copy or a broken disk makes of a file."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import NamedTuple

_Done = tuple[str, int, bool] | None
_Way = Callable[[str, Random], _Done]


class Damage(NamedTuple):
    """A damaged text. `line` (from 1, 0 unknown) is where the damage stands in it.

    `one_line` says that the damaged key or value stands on that one line and that the file cannot be right any more:
    a reader must then report a problem within one line of it. Otherwise it must only answer, quickly and without
    raising.
    """

    text: str
    line: int
    kind: str
    one_line: bool


_KEY = re.compile(r"(?:^\s*(?:- )?|[{,]\s*)(?P<key>[A-Za-z][A-Za-z ]*?)(?=:(?:\s|$))")
_LENGTH = re.compile(r"(?<![\w/.-])(?P<number>\d+(?:\.\d+)?)(?P<gap> ?)(?P<unit>cm|mm|in|ft|yd)\b(?!\s*\d)")
_SHARE = re.compile(r"(?<![\w/.-])(?P<number>\d+(?:\.\d+)?) ?%")
_VALUE = re.compile(r"^(?P<lead>\s*(?:- )?[A-Za-z][A-Za-z ]*:\s+)(?P<value>[^\s#].*?)\s*(?:\s#.*)?$")
_STEP = re.compile(r"^\s*- (?P<verb>[a-z][a-z ]*): \{")
_WORD = re.compile(r"(?:[{,] ?)(?P<key>[a-z][a-z ]*): (?P<word>[A-Za-z][A-Za-z ]*[A-Za-z])(?=[,}])")
_ANY_WORDS = ("material", "construction", "finish", "hem finish")
_NAMES_FOR_READERS = ("state", "open", "darts", "side dart", "vent", "sew")
"""Steps whose names are for the sheets, the checks and the lesson; no other step need ask for them."""
_NAMED_BY_THE_MAKER = ("choices", "choice", "finish", "found")
_ANY_WORD_WILL_DO = ("fibre", "figure")
_FREE_TEXT = ("why", "note", "notes", "title", "ticket", "label", "ask", "name", "garment")


def write(path: Path, damage: Damage) -> None:
    """Write the damaged text; what stands for a byte that is no UTF-8 is written as that byte."""
    path.write_bytes(damage.text.encode("utf-8", "surrogateescape"))


def damaged(text: str, seed: int, ways: dict[str, _Way] | None = None) -> Damage:
    """Return `text` damaged in one of the ways of `KINDS` (or those given): the same for the same seed."""
    chance = Random(seed)
    ways = KINDS if ways is None else ways
    kinds = list(ways)
    chance.shuffle(kinds)
    for kind in kinds:
        done = ways[kind](text, chance)
        if done is not None:
            changed, line, one_line = done
            return Damage(changed, line, kind, one_line)
    return Damage(text, 0, "none", False)


def _lines_with(text: str, wanted: re.Pattern[str]) -> list[tuple[int, re.Match[str]]]:
    """Return (line index, match) of every match outside comments, quotes with free text, and block scalars."""
    found = []
    deeper_than: int | None = None
    for index, line in enumerate(text.splitlines()):
        indent = len(line) - len(line.lstrip())
        if deeper_than is not None and (not line.strip() or indent > deeper_than):
            continue
        deeper_than = indent if re.search(r":\s+[|>][-+\d]*\s*$", line) else None
        bare = re.split(r"\s#|^#", line)[0]
        for each in wanted.finditer(bare):
            before = bare[: each.start()]
            quoted = before.count("'") % 2 or before.count('"') % 2
            key = re.findall(r"([A-Za-z][A-Za-z ]*):\s", before)
            free = (key and key[-1].strip() in _FREE_TEXT) or _under(text, index, each.start()) == "figure"
            if not quoted and not free:
                found.append((index, each))
    return found


def _put(text: str, index: int, line: str) -> str:
    lines = text.splitlines(keepends=True)
    ending = lines[index][len(lines[index].rstrip("\r\n")) :]
    lines[index] = line + ending
    return "".join(lines)


def _swap(text: str, index: int, span: tuple[int, int], new: str) -> str:
    line = text.splitlines()[index]
    return _put(text, index, line[: span[0]] + new + line[span[1] :])


def _written(text: str) -> list[int]:
    return [i for i, line in enumerate(text.splitlines()) if line.strip() and not line.lstrip().startswith("#")]


def _removed_line(text: str, chance: Random) -> _Done:
    lines = text.splitlines(keepends=True)
    index = chance.choice(_written(text))
    return "".join(lines[:index] + lines[index + 1 :]), index + 1, False


def _doubled_line(text: str, chance: Random) -> _Done:
    lines = text.splitlines(keepends=True)
    index = chance.choice(_written(text))
    line = lines[index] if lines[index].endswith("\n") else lines[index] + "\n"
    a_key = any(i == index and m.start("key") == len(line) - len(line.lstrip()) for i, m in _lines_with(text, _KEY))
    return "".join([*lines[:index], line, line, *lines[index + 1 :]]), index + 2, a_key


def _under(text: str, index: int, span_start: int) -> str:
    """Return the nearest key that the key standing here lies under, flow or block."""
    lines = text.splitlines()
    opened = [m.group(1) for m in re.finditer(r"([A-Za-z][A-Za-z ]*):\s*\{", lines[index][:span_start])]
    if opened:
        return opened[-1]
    indent = len(lines[index]) - len(lines[index].lstrip())
    for line in reversed(lines[:index]):
        if line.strip() and len(line) - len(line.lstrip()) < indent:
            return line.strip().lstrip("- ").split(":")[0]
    return ""


def _misspelt(word: str, chance: Random) -> str:
    at = chance.randrange(len(word))
    wrong = chance.choice(
        [word[:at] + word[at] + word[at:], word[:at] + "q" + word[at + 1 :], word[:at] + "zz" + word[at:]]
    )
    return f"{wrong.strip()}qq" if wrong.split() == word.split() else wrong.strip()


def _misspelt_key(text: str, chance: Random) -> _Done:
    others = (*_NAMED_BY_THE_MAKER, *_ANY_WORD_WILL_DO)
    keys = [(i, m) for i, m in _lines_with(text, _KEY) if _under(text, i, m.start("key")) not in others]
    if not keys:
        return None
    index, key = chance.choice(keys)
    return _swap(text, index, key.span("key"), _misspelt(key["key"], chance)), index + 1, True


def _misspelt_name(text: str, chance: Random) -> _Done:
    keys = [(i, m) for i, m in _lines_with(text, _KEY) if _under(text, i, m.start("key")) in _NAMED_BY_THE_MAKER]
    if not keys:
        return None
    index, key = chance.choice(keys)
    # A choice misspelt where a recipe defines it is missed where a formula uses it, which may be elsewhere.
    a_ticket = re.search(r"^ticket:", text, re.MULTILINE) is not None
    return _swap(text, index, key.span("key"), _misspelt(key["key"], chance)), index + 1, a_ticket


def _misspelt_word(text: str, chance: Random) -> _Done:
    """A word of a recipe's step misspelt. A name that no other step asks for is only given another way."""
    words = [
        (i, m) for i, m in _lines_with(text, _WORD) if _STEP.match(text.splitlines()[i]) and m["key"] not in _ANY_WORDS
    ]
    if not words:
        return None
    index, word = chance.choice(words)
    lines = text.splitlines()
    verb = _STEP.match(lines[index])
    others = "\n".join(re.split(r"\s#|^#", each)[0] for n, each in enumerate(lines) if n != index)
    asked = re.search(
        rf"(?<![\w ]){re.escape(word['word'])}(?![\w])|\b(?:of|on|end of) {re.escape(word['word'])}\b", others
    )
    only_named = word["key"] == "name" and (asked is None or (verb is not None and verb["verb"] in _NAMES_FOR_READERS))
    return _swap(text, index, word.span("word"), _misspelt(word["word"], chance)), index + 1, not only_named


def _cut_file(text: str, chance: Random) -> _Done:
    cut = text[: chance.randrange(1, len(text))]
    return cut, cut.count("\n") + 1, False


def _tab(text: str, chance: Random) -> _Done:
    lines = text.splitlines()
    indented = [i for i in _written(text) if re.match(r" +(- )?[A-Za-z][A-Za-z ]*:(\s|$)", lines[i])]
    if not indented:
        return None
    index = chance.choice(indented)
    return _put(text, index, "\t" + lines[index].lstrip()), index + 1, True


def _control(text: str, chance: Random) -> _Done:
    lines = text.splitlines()
    index = chance.choice(_written(text))
    at = chance.randrange(len(lines[index]) + 1)
    wrong = chance.choice(["\x00", "\x01", "\x07", "\x08", "\x0e", "\x1b[2J", "\x1b]0;x\x07", "\x7f", "\udcff"])
    return _put(text, index, lines[index][:at] + wrong + lines[index][at:]), index + 1, True


def _huge(text: str, chance: Random) -> _Done:
    numbers = _lines_with(text, _LENGTH) + _lines_with(text, _SHARE)
    if not numbers:
        return None
    index, number = chance.choice(numbers)
    return _swap(text, index, number.span("number"), "9" * chance.choice([12, 40, 400, 5000])), index + 1, True


def _wrong_unit(text: str, chance: Random) -> _Done:
    lengths = _lines_with(text, _LENGTH)
    if not lengths:
        return None
    index, length = chance.choice(lengths)
    unit = chance.choice(["kg", "parsecs", "%", "cmm", "ells", "g/m2"])
    return _swap(text, index, length.span("unit"), unit), index + 1, True


def _no_unit(text: str, chance: Random) -> _Done:
    lengths = _lines_with(text, _LENGTH)
    if not lengths:
        return None
    index, length = chance.choice(lengths)
    return _swap(text, index, (length.start("gap"), length.end("unit")), ""), index + 1, True


def _wrong_type(text: str, chance: Random) -> _Done:
    values = _lines_with(text, _VALUE)
    if not values:
        return None
    index, value = chance.choice(values)
    plain = value["value"][0] not in "[{"
    wrong = chance.choice(["[1, [2, 3]]", "{a: b, c: d}", ""] if plain else ["banana 7", "''", ""])
    return _swap(text, index, (value.start("value"), value.end("value")), wrong), index + 1, True


def _marked(text: str, chance: Random) -> _Done:
    values = _lines_with(text, _VALUE)
    if not values:
        return None
    index, value = chance.choice(values)
    mark = chance.choice(["&mark ", "*mark ", "!!python/object/apply:os.system ", "!tag "])
    return _swap(text, index, (value.start("value"),) * 2, mark), index + 1, True


def _deep(text: str, chance: Random) -> _Done:
    values = _lines_with(text, _VALUE)
    if not values:
        return None
    index, value = chance.choice(values)
    levels = chance.choice([100, 3_000, 60_000])
    opening, closing = chance.choice(["[]", "{}"])
    deep = opening * levels + (closing * levels if chance.random() < 0.5 else "")
    return _swap(text, index, (value.start("value"), value.end("value")), deep), index + 1, closing == deep[-1]


def _bracket_lost(text: str, chance: Random) -> _Done:
    lines = text.splitlines()
    ends = [i for i in _written(text) if re.search(r"[}\]]\s*(#.*)?$", lines[i])]
    if not ends:
        return None
    index = chance.choice(ends)
    line = lines[index]
    at = max(line.rfind("}"), line.rfind("]"))
    return _put(text, index, line[:at] + line[at + 1 :]), index + 1, False


def _quote_open(text: str, chance: Random) -> _Done:
    values = _lines_with(text, _VALUE)
    if not values:
        return None
    index, value = chance.choice(values)
    return _swap(text, index, (value.start("value"),) * 2, chance.choice("'\"")), index + 1, False


def _ten_megabytes(text: str, chance: Random) -> _Done:
    more = chance.choice(["# long\n" * 1_500_000, "note: " + "x" * 10_000_000, "- a\n" * 2_600_000])
    return text + more, 0, False


KINDS = {
    "removed line": _removed_line,
    "doubled line": _doubled_line,
    "misspelt key": _misspelt_key,
    "misspelt name": _misspelt_name,
    "cut file": _cut_file,
    "tab": _tab,
    "control character": _control,
    "huge number": _huge,
    "wrong unit": _wrong_unit,
    "no unit": _no_unit,
    "wrong type": _wrong_type,
    "anchor, alias or tag": _marked,
    "deep nesting": _deep,
    "bracket lost": _bracket_lost,
    "quote left open": _quote_open,
    "ten megabytes": _ten_megabytes,
}

RECIPE_KINDS = {**KINDS, "misspelt word": _misspelt_word}
"""The ways of a recipe, whose steps are full of names."""
