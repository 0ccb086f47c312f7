"""A formula's text as tokens, each with its place: quantities, known names, operations."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from onfold.formula.names import RESERVED, NameTable, did_you_mean
from onfold.formula.tree import FormulaFault
from onfold.units import Quantity, UnitFault, capital, other_unit, plain, scan_quantity

TokenKind = Literal["amount", "name", "sign", "open", "close", "pick", "and", "rounded", "along", "from", "end"]

_WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*['’]?")
_PICK = re.compile(r"(larger|smaller)\s+of(?![^\W_])")
_ROUNDED = re.compile(r"rounded\s+(up\s+)?to(?![^\W_])")
_OF_THE_DRAFT = re.compile(r"(along|from)(?![^\W_])\s*")
_END_OF_WORDS = re.compile(r"[-+*/()]|(?<!\S)rounded(?!\S)")
_NAME_CHARACTER = re.compile(r"[^\w '’]|_")
_START_OF_NUMBER = re.compile(r"[0-9.½⅓⅔¼¾⅛⅜⅝⅞]")
_LOOKALIKES = {"×": "*", "·": "*", "÷": "/", "−": "-", "–": "-", "—": "-", "[": "(", "]": ")", "{": "(", "}": ")"}


@dataclass(frozen=True)
class Token:
    """A stretch [start, end) of the formula. `value` is that of an amount."""

    kind: TokenKind
    start: int
    end: int
    text: str
    value: Quantity | None = None


def tokenize(text: str, names: NameTable) -> tuple[list[Token], list[FormulaFault], bool]:
    """Return (tokens, faults, whether the tokens reach the end of the text).

    An unknown name is a fault that still gives its token, so that every one of them is reported at once.
    """
    tokens: list[Token] = []
    faults: list[FormulaFault] = []
    at = 0
    while True:
        while at < len(text) and text[at].isspace():
            at += 1
        if at == len(text):
            tokens.append(Token("end", at, at, ""))
            return tokens, faults, True
        scanned = _scan(text, at, names, tokens)
        if isinstance(scanned, FormulaFault):
            return tokens, [*faults, scanned], False
        token, fault = scanned
        tokens.append(token)
        if fault:
            faults.append(fault)
        at = token.end


Scanned = tuple[Token, FormulaFault | None] | FormulaFault


def _scan(text: str, at: int, names: NameTable, before: list[Token]) -> Scanned:
    char = text[at]
    if char in "+-*/":
        return Token("sign", at, at + 1, char), None
    if char in "()":
        return Token("open" if char == "(" else "close", at, at + 1, char), None
    if _START_OF_NUMBER.match(char):
        return _scan_amount(text, at, before)
    if _WORD.match(text, at):
        return _scan_words(text, at, names)
    return _odd_character(text, at)


def _scan_amount(text: str, at: int, before: list[Token]) -> Scanned:
    scanned = scan_quantity(text, at)
    if scanned is None:
        return _odd_character(text, at)
    if isinstance(scanned, UnitFault):
        return FormulaFault(
            scanned.column, f"{capital(scanned.message)}.", plain(text[at : at + 20]), "a quantity", hint=scanned.hint
        )
    quantity, end = scanned
    written = " ".join(text[at:end].split())
    if quantity.kind == "weight":
        return FormulaFault(at + 1, "A weight of cloth has no place in a formula.", written, "a length or a number")
    if quantity.fraction and before and before[-1].text in ("*", "/"):
        return FormulaFault(
            at + 1,
            f"Directly after '{before[-1].text}' a fraction stands in brackets.",
            written,
            f"({written})",
            f"Write {before[-1].text} ({written}).",
            f"({written})",
        )
    ours = other_unit(text, end)
    word = text[end:].split(maxsplit=1)[0] if ours else ""
    if ours:
        return FormulaFault(
            end + 1 + len(text[end:]) - len(text[end:].lstrip()),
            f"The unit '{plain(word)}' is not one of ours.",
            plain(word),
            ours,
            f"Write {written} {ours}.",
            f"{written} {ours}",
        )
    return Token("amount", at, end, written, quantity), None


def _scan_words(text: str, at: int, names: NameTable) -> Scanned:
    picked = _PICK.match(text, at)
    if picked:
        return Token("pick", at, picked.end(), picked[1]), None
    known = _longest_name(text, at, names)
    if known:
        name, end = known
        return _unless_it_goes_on(text, at, end, name, names)
    of_the_draft = _OF_THE_DRAFT.match(text, at)
    if of_the_draft:
        return _scan_of_the_draft(text, at, of_the_draft)
    rounded = _ROUNDED.match(text, at)
    if rounded:
        return Token("rounded", at, rounded.end(), "up" if rounded[1] else ""), None
    return _scan_other_word(text, at, names)


def _scan_other_word(text: str, at: int, names: NameTable) -> Scanned:
    match = _WORD.match(text, at)
    word = match[0] if match else ""
    if word == "and":
        return Token("and", at, at + 3, word), None
    if word == "rounded":
        return FormulaFault(
            at + 1, "After 'rounded' comes 'to' or 'up to'.", word, "rounded to", hint="rounded to 1 cm"
        )
    if word in ("larger", "smaller"):
        return FormulaFault(at + 1, f"After '{word}' comes 'of'.", word, f"{word} of", hint=f"{word} of A and B")
    if word in RESERVED:
        return FormulaFault(at + 1, f"The word '{word}' has no place here.", word, "a name or a quantity")
    return _unknown(text, at, names)


def _longest_name(text: str, at: int, names: NameTable) -> tuple[str, int] | None:
    """Return the longest known name that begins at `at` and the offset after it."""
    ends: list[int] = []
    words: list[str] = []
    match = _WORD.match(text, at)
    while match and len(words) < names.most_words:
        words.append(match[0])
        ends.append(match.end())
        match = _WORD.match(text, _after_space(text, match.end()))
    for count in range(len(words), 0, -1):
        name = " ".join(words[:count])
        if name in names.kinds:
            return name, ends[count - 1]
    return None


def _after_space(text: str, at: int) -> int:
    """Return the offset of the next word where space leads to it, else the end of the text."""
    start = at
    while at < len(text) and text[at].isspace():
        at += 1
    return at if at > start else len(text)


def _unless_it_goes_on(text: str, at: int, end: int, name: str, names: NameTable) -> Scanned:
    """Return the name's token, or the fault of a longer unknown name that only begins like it (`waist to knees`)."""
    following = _WORD.match(text, _after_space(text, end))
    joined = end < len(text) and (text[end].isalnum() or text[end] in "_'’")
    goes_on = following and following[0] not in RESERVED and not _PICK.match(text, following.start())
    if joined or (goes_on and following and not _longest_name(text, following.start(), names)):
        return _unknown(text, at, names)
    return Token("name", at, end, name), None


def _unknown(text: str, at: int, names: NameTable) -> Scanned:
    end = at
    match = _WORD.match(text, at)
    while match and (end == at or match[0] not in RESERVED) and not _PICK.match(text, match.start()):
        end = match.end()
        match = _WORD.match(text, _after_space(text, end))
    if end == at:
        return _odd_character(text, at)
    while end < len(text) and (text[end].isalnum() or text[end] == "_"):
        end += 1
    found = plain(" ".join(text[at:end].split()))
    near = did_you_mean(found, names.kinds)
    fault = FormulaFault(
        at + 1,
        f"No measure, choice or property of the cloth is called '{found}'.",
        found,
        near or "a known name",
        f"Did you mean '{near}'?" if near else "Use a measure, a choice of this recipe, or a property of the cloth.",
        near,
        "FORMULA-NAME",
    )
    return Token("name", at, end, found), fault


def _scan_of_the_draft(text: str, at: int, opened: re.Match[str]) -> Scanned:
    """Scan `along …` or `from …` up to the next operation; which names stand there only the draft can tell."""
    closing = _END_OF_WORDS.search(text, opened.end())
    end = closing.start() if closing else len(text)
    raw = text[opened.end() : end]
    words = " ".join(raw.split())
    form = "along EDGE of PIECE" if opened[1] == "along" else "from POINT to POINT"
    divider = " of " if opened[1] == "along" else " to "
    odd = _NAME_CHARACTER.search(" ".join(raw.splitlines()))
    if odd and not odd[0].isspace():
        return _odd_character(text, opened.end() + odd.start())
    if divider not in words:
        return FormulaFault(at + 1, f"This is written '{form}'.", plain(f"{opened[1]} {words}"), form)
    end = opened.end() + len(raw.rstrip())
    return Token("along" if opened[1] == "along" else "from", at, end, words), None


def _odd_character(text: str, at: int) -> FormulaFault:
    char = text[at]
    shown = plain(char)
    if char == ",":
        return FormulaFault(
            at + 1,
            "Formulas have no commas; a decimal comma is understood only where a lone quantity is the whole value.",
            shown,
            "a decimal point",
        )
    better = _LOOKALIKES.get(char, "")
    remedy = f"Write {better} instead." if better else "Formulas hold names, quantities, + - * / and round brackets."
    return FormulaFault(at + 1, f"The character '{shown}' has no meaning in a formula.", shown, better, remedy, better)
