"""Lengths, shares and weights, read as makers write them and said as makers say them; names said in a row.

Inside, a length is millimetres, a share a fraction (40 % is 0.4), a weight grams to the square metre; units live only
here, at the doors. 1 in = 25.4 mm exactly (international inch), 1 ft = 12 in, 1 yd = 36 in.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Kind = Literal["length", "share", "number", "weight"]
System = Literal["cm", "in"]

UNITS: dict[str, float] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8, "yd": 914.4}
"""Millimetres in one of each unit of length."""

INCH_UNITS = frozenset({"in", "ft", "yd"})

WEIGHT_UNITS: dict[str, float] = {"g/m2": 1.0, "oz/yd2": 28.349523125 / 0.9144**2}
"""Grams to the square metre in one of each unit of cloth weight (the avoirdupois ounce is 28.349523125 g exactly)."""

FRACTION_BOTTOMS = (2, 3, 4, 8, 16, 32)

LARGEST = 1e9
"""No quantity may be larger, in mm or plain: a slip of the keyboard, and the kernel's floats stay exact enough."""

_OTHER_SPELLINGS: dict[str, str] = {
    **dict.fromkeys(("inch", "inches", "ins", '"', "″", "”"), "in"),
    **dict.fromkeys(("foot", "feet", "'", "′", "’"), "ft"),
    **dict.fromkeys(("yard", "yards", "yds"), "yd"),
    **dict.fromkeys(("millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("centimetre", "centimetres", "centimeter", "centimeters", "cms"), "cm"),
    **dict.fromkeys(("metre", "metres", "meter", "meters"), "m"),
    **dict.fromkeys(("percent", "pct"), "%"),
    **dict.fromkeys(("gsm", "g"), "g/m2"),
    **dict.fromkeys(("oz",), "oz/yd2"),
}

_VULGAR = "½⅓⅔¼¾⅛⅜⅝⅞"
_MIXED = re.compile(r"([0-9]+)\s+([0-9]+)/([0-9]+)(?![0-9.])")
_FRACTION = re.compile(r"([0-9]+)/([0-9]+)(?![0-9.])")
_DECIMAL = re.compile(r"[0-9]+(?:\.[0-9]+)?|\.[0-9]+")
_DASHED = re.compile(r"([0-9]+)-([0-9]+/[0-9]+)(?![0-9.])(\s*[A-Za-z]+)?")
_VULGAR_FRACTION = re.compile(rf"([0-9]*)\s*([{_VULGAR}])")
_UNIT = re.compile(r"\s*(%|(?:g/m[2²]|oz/yd[2²]|mm|cm|m|in|ft|yd)(?![^\W_]|/))", re.IGNORECASE)
_OTHER_UNIT = re.compile(r"\s*([A-Za-z]+|[\"'″′”’])")
_COMMA = re.compile(r"(-?\s*)([0-9]+),([0-9]+)(\s*[A-Za-z%][A-Za-z0-9/²%]*)?")


@dataclass(frozen=True)
class Quantity:
    """A read value: mm for a length, a fraction for a share, g/m2 for a weight. `unit` is as written, '' for none.

    `fraction` says that it was written with a fraction (`1 1/2`), which formulas treat with care.
    """

    value: float
    kind: Kind
    unit: str = ""
    fraction: bool = False


@dataclass(frozen=True)
class UnitFault:
    """Why a text is no quantity. `column` counts from 1; `hint` is how it could be written, or ''."""

    message: str
    column: int = 1
    hint: str = ""


def plain(text: str, most: int = 60) -> str:
    """Return a maker's text as it may be shown: no control, layout-turning or invisible character, at most `most` long.

    Such characters are written as `<U+001B>`, so that nothing in a file can drive a terminal or reorder a line.
    """
    cut = text if len(text) <= most else text[: most - 1] + "…"
    if cut.isprintable():
        return cut
    return "".join(char if char.isprintable() else f"<U+{ord(char):04X}>" for char in cut)


def read_quantity(text: str) -> Quantity | UnitFault:
    """Return the quantity that is the whole text: `1 1/2 in`, `5 ft 6 in`, `-3.5 cm`, `40 %`, `260 g/m2`, `3,5 cm`.

    A fraction has no spaces, its top is less than its bottom, its bottom one of 2, 3, 4, 8, 16, 32. The decimal comma
    is understood because nothing else stands beside it; `1,500 mm` could be either and is refused.
    """
    if len(text) > 80:
        return UnitFault("this is too long for a quantity")
    if "," in text:
        return _read_with_comma(text)
    start = len(text) - len(text.lstrip())
    body = start
    negative = text.startswith("-", start)
    if negative:
        body = start + 1 + len(text[start + 1 :]) - len(text[start + 1 :].lstrip())
    scanned = scan_quantity(text, body)
    if scanned is None:
        what = "nothing stands here" if not text.strip() else f"'{plain(text.strip())}' is not a quantity"
        return UnitFault(what, body + 1, "2.5 cm or 1 in")
    if isinstance(scanned, UnitFault):
        return scanned
    quantity, end = scanned
    if text[end:].strip():
        return _left_over(text, end)
    return Quantity(-quantity.value, quantity.kind, quantity.unit, quantity.fraction) if negative else quantity


def _read_with_comma(text: str) -> Quantity | UnitFault:
    match = _COMMA.fullmatch(text.strip())
    column = text.index(",") + 1
    if match is None:
        return UnitFault("a comma stands here; it is understood only as the decimal comma of a lone quantity", column)
    sign, whole, decimals, unit = match.groups()
    pointed = f"{sign}{whole}.{decimals}{unit or ''}"
    if len(decimals) == 3 and whole.strip("0") and len(whole) <= 3:
        return UnitFault(
            f"'{plain(text.strip())}' could mean thousands or thousandths",
            column,
            f"{pointed} or {sign}{whole}{decimals}{unit or ''}",
        )
    return read_quantity(pointed)


def _left_over(text: str, end: int) -> UnitFault:
    """Say why the text after a quantity doesn't belong to it."""
    rest = text[end:]
    column = end + 1 + len(rest) - len(rest.lstrip())
    hint = other_unit(text, end)
    if hint:
        return UnitFault(
            f"the unit '{plain(rest.split()[0])}' is not one of ours", column, f"{text[:end].strip()} {hint}"
        )
    if scan_quantity(text, column - 1) is not None:
        return UnitFault("two values stand side by side", column, f"{text[:end].strip()} + {plain(rest.strip())}")
    return UnitFault(f"'{plain(rest.strip())}' does not belong to a quantity", column)


def other_unit(text: str, at: int) -> str:
    """Return our unit for another spelling of one that stands at offset `at` (`inches` gives `in`), or ''."""
    match = _OTHER_UNIT.match(text, at)
    return _OTHER_SPELLINGS.get(match[1].lower(), "") if match else ""


def scan_quantity(text: str, at: int) -> tuple[Quantity, int] | UnitFault | None:
    """Return the quantity that begins at offset `at` with the offset after it; None where no number begins.

    The reader of formulas uses it too, so that both follow one rule.
    """
    odd = _odd_writing(text, at)
    if odd is not None:
        return odd
    number = _scan_number(text, at)
    if number is None or isinstance(number, UnitFault):
        return number
    value, end, whole, fraction = number
    match = _UNIT.match(text, end)
    unit = match[1].lower().replace("²", "2") if match else ""
    end = match.end() if match else end
    if unit == "ft":
        inches = _scan_inches(text, at, end, whole)
        if isinstance(inches, UnitFault):
            return inches
        if inches is not None:
            return Quantity(_in_mm(value * 12 + inches[0], "in"), "length", "ft", inches[2]), inches[1]
    quantity = _in_unit(value, unit, fraction)
    if abs(quantity.value) > LARGEST:
        return UnitFault("the number is too large", at + 1)
    return quantity, end


def _in_unit(value: float, unit: str, fraction: bool) -> Quantity:
    if unit in UNITS:
        return Quantity(_in_mm(value, unit), "length", unit, fraction)
    if unit in WEIGHT_UNITS:
        return Quantity(value * WEIGHT_UNITS[unit], "weight", unit, fraction)
    return Quantity(value / 100, "share", unit, fraction) if unit == "%" else Quantity(value, "number", unit, fraction)


def _in_mm(value: float, unit: str) -> float:
    """Return mm, by whole tenths: 1.5 × 254 / 10 is the float nearest 38.1, where 1.5 × 25.4 is its neighbour."""
    return value * round(UNITS[unit] * 10) / 10


def _odd_writing(text: str, at: int) -> UnitFault | None:
    """Return the fault of `1-1/2` and `1½`, which makers write and which we ask to have in the one way."""
    dashed = _DASHED.match(text, at)
    if dashed:
        written = f"{dashed[1]} {dashed[2]}{dashed[3] or ''}"
        return UnitFault(
            "a whole number and its fraction are written with a space, not a dash", dashed.end(1) + 1, written
        )
    vulgar = _VULGAR_FRACTION.match(text, at)
    if vulgar:
        spelt = unicodedata.normalize("NFKC", vulgar[2]).replace("⁄", "/")
        return UnitFault("fractions are written with a slash", vulgar.start(2) + 1, f"{vulgar[1]} {spelt}".strip())
    return None


def _scan_number(text: str, at: int) -> tuple[float, int, bool, bool] | UnitFault | None:
    """Return (value, end, is a whole number, has a fraction)."""
    mixed = _MIXED.match(text, at)
    fraction = mixed or _FRACTION.match(text, at)
    if fraction:
        top, bottom = (fraction[2], fraction[3]) if mixed else (fraction[1], fraction[2])
        unit = _UNIT.match(text, fraction.end())
        column = fraction.start(2 if mixed else 1) + 1
        fault = _fraction_fault(top, bottom, column, unit[1] if unit else "", fraction[1] if mixed else "")
        if fault:
            return fault
        return (float(fraction[1]) if mixed else 0.0) + float(top) / float(bottom), fraction.end(), False, True
    decimal = _DECIMAL.match(text, at)
    if decimal is None:
        return None
    return float(decimal[0]), decimal.end(), decimal[0].isdigit(), False


def _fraction_fault(top: str, bottom: str, column: int, unit: str, whole: str) -> UnitFault | None:
    """Return what is wrong with a fraction, offering the division where neither unit nor whole number rules it out."""
    if len(top) > 9 or len(bottom) > 9 or len(whole) > 9:
        return UnitFault("the number is too large", column)
    divide = "" if unit or whole else f"{top} / {bottom} to divide"
    if int(bottom) not in FRACTION_BOTTOMS:
        shown = ", ".join(str(each) for each in FRACTION_BOTTOMS)
        return UnitFault(f"the bottom of a fraction is one of {shown}", column, divide)
    if int(top) >= int(bottom):
        wholes, rest = divmod(int(top), int(bottom))
        wholes += int(whole or 0)
        shrink = math.gcd(rest, int(bottom))
        left = f" {rest // shrink}/{int(bottom) // shrink}" if rest else ""
        better = f"{wholes}{left}{' ' if unit else ''}{unit}"
        offers = f"{better}, or {divide}" if divide else better
        return UnitFault("the top of a fraction is less than its bottom", column, offers)
    return None


def _scan_inches(text: str, at: int, after_feet: int, whole_feet: bool) -> tuple[float, int, bool] | UnitFault | None:
    """Return (inches, end, has a fraction) of the inches that follow feet, None where none do."""
    start = after_feet + len(text[after_feet:]) - len(text[after_feet:].lstrip())
    number = _scan_number(text, start)
    if number is None or isinstance(number, UnitFault):
        return number
    value, end, _, fraction = number
    unit = _UNIT.match(text, end)
    if unit is None or unit[1].lower() != "in":
        return None
    if not whole_feet:
        return UnitFault("feet that have inches beside them are a whole number", at + 1)
    if value >= 12:
        return UnitFault("inches beside feet are fewer than 12", start + 1)
    return value, unit.end(), fraction


def lengths_in(text: str) -> list[Quantity]:
    """Return the lengths written anywhere in a text, in order; what cannot be read is passed over."""
    found: list[Quantity] = []
    at = 0
    while True:
        match = _DECIMAL.search(text, at)
        if match is None:
            return found
        scanned = scan_quantity(text, match.start())
        if scanned is None or isinstance(scanned, UnitFault):
            at = match.end()
            continue
        quantity, at = scanned
        if quantity.kind == "length":
            found.append(quantity)


def mixes_systems(text: str) -> bool:
    """Return whether a text holds inches and centimetres together, most often a slip of the pen.

    A number beside its own conversion (`12 in`, `30.5 cm`), within the 2 % that 1 in = 2.5 cm is out, is no mixture.
    """
    lengths = [each for each in lengths_in(text) if each.value]  # nought is nought in either
    inches = [each.value for each in lengths if each.unit in INCH_UNITS]
    metric = [each.value for each in lengths if each.unit not in INCH_UNITS]
    if not inches or not metric:
        return False
    return not all(any(abs(a - b) <= 0.02 * max(abs(a), abs(b)) for b in inches) for a in metric)


def say_length(mm: float, system: System = "cm", fraction: int = 16) -> str:
    """Return a length in the maker's units: `31.4 cm`, `12 3/8 in`, `7/8 in`, `0 cm`; feet are not used.

    Centimetres are said to the millimetre, inches to the nearest 1/`fraction`, a sixteenth unless asked otherwise, so
    that one figure has one reading in every file. A half is rounded to the even neighbour
    (2.5 mm is 0.2 cm, 3.5 mm is 0.4 cm), so that many roundings don't drift one way; noise below 1e-9 of a step is
    not taken for more or less than a half. What is not finite is said as `no length`.
    """
    if not math.isfinite(mm):
        return "no length"
    if system == "cm":
        steps = round(round(mm, 9))
        return f"{_sign(steps)}{_decimal(abs(steps), 10)} cm"
    steps = round(round(mm / UNITS["in"] * fraction, 9))
    whole, top = divmod(abs(steps), fraction)
    shrink = math.gcd(top, fraction)
    parts = [str(whole)] if whole or not top else []
    if top:
        parts.append(f"{top // shrink}/{fraction // shrink}")
    return f"{_sign(steps)}{' '.join(parts)} in"


def say_small(mm: float, system: System = "cm") -> str:
    """Return a length as it is said at the machine: to the tenth of a mm below 10 cm, or to 1/16 in."""
    if system == "in" or not abs(mm) < 100.0:
        return say_length(mm, system, 16)
    return f"{round(mm, 1):g} mm"


def _sign(steps: int) -> str:
    return "-" if steps < 0 else ""


def _decimal(steps: int, per_whole: int) -> str:
    whole, tenths = divmod(steps, per_whole)
    return f"{whole}.{tenths}" if tenths else str(whole)


def say_share(share: float) -> str:
    """Return a share in hundredths, to a tenth of one, half to even: `20 %`, `12.5 %`."""
    if not math.isfinite(share * 1000):
        return "no share"
    steps = round(round(share * 1000, 9))
    return f"{_sign(steps)}{_decimal(abs(steps), 10)} %"


def say_degrees(degrees: float) -> str:
    """Return an angle given in degrees, to a tenth of one, half to even: `35°`, `12.5°`."""
    if not math.isfinite(degrees):
        return "no angle"
    steps = round(round(degrees * 10, 9))
    return f"{_sign(steps)}{_decimal(abs(steps), 10)}°"


def capital(text: str) -> str:
    """Return the text with its first letter a capital, the rest as it is."""
    return text[:1].upper() + text[1:]


def sentence(text: str) -> str:
    """Return the text as a sentence: its first letter a capital, and a stop where neither stop nor question ends it."""
    return capital(text) + ("" if text.endswith((".", "?")) else ".")


def say_list(names: Sequence[str]) -> str:
    """Return names as they are said, for example 'front, back and sleeve'; '' for none."""
    return " and ".join(names) if len(names) < 3 else f"{', '.join(names[:-1])} and {names[-1]}"
