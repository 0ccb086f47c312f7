"""How wide words are, where lines break, and the frame a word takes up: so that none lies on another.

The widths are those of the face our sheets are set in, capital heights to a thousandth, read from the face itself;
characters not named here are taken as the widest of the named ones, so that no word is wider than is reckoned.
"""

from __future__ import annotations

import math
import re
import unicodedata
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from onfold.drawing import Word

Floats = NDArray[np.float64]
_LENGTH = re.compile(r"\b[0-9.]+(?: [0-9]+/[0-9]+)? (?:cm|mm|m|in|yd|%)(?![^\W_])|\b[0-9]+ [0-9]+/[0-9]+")
_TIE = "\x00"
LEAD = 1.75
"""From line to line, in capital heights."""
_UPRIGHT = (
    "311 ′¦377 '¦381 ijl¦405 IJ¦436  ,.·’¦462 /:;\\|¦483 f¦495 -¦512 ″¦535 ()[]¦538 t¦550 !¦564 r¦631 \"¦686 *_`–°¦"
    "711 “”¦715 s¦720 z¦728 ?¦754 c¦764 L¦789 F¦794 k¦812 vxy¦827 P¦838 TY¦839 o¦841 a¦844 e¦867 E¦869 hnu¦"
    "871 Sbdgpq¦873 $0123456789{}¦900 K¦938 AV¦940 XZ¦941 B¦953 R¦958 C¦1004 U¦1026 N¦1031 H¦1056 D¦1063 G¦1070 &¦"
    "1080 OQ¦1122 w¦1149 #+<=>^~×→←¦1184 M¦1303 %¦1330 ½¼¾⅛⅜⅝⅞¦1336 m¦1356 W¦1372 @—…"
)
_BOLD = (
    "362 ′¦420 '¦470 ijl¦478  ¦501 /\\|¦510 IJ¦521 ,.·’¦549 :;¦569 -¦597 f¦613 ″¦626 !¦627 ()[]¦656 t¦676 r¦686 _`–°¦"
    '715 "¦717 *¦796 ?¦798 z¦813 c¦816 s¦874 L¦885 x¦894 vy¦902 “”¦912 k¦926 a¦930 e¦936 T¦937 EF¦942 o¦'
    "954 $0123456789¦977 hnu{}¦982 bdgpq¦988 S¦993 Y¦995 Z¦1005 P¦1007 C¦1046 B¦1056 R¦1058 X¦1062 AV¦1063 K¦1114 U¦"
    "1126 G¦1139 D¦1148 HN¦1149 #+<=>^~×→←¦1166 OQ¦1196 &¦1267 w¦1365 M¦1372 @—…¦1374 %¦1420 ½¼¾⅛⅜⅝⅞¦1429 m¦1513 W"
)


def _table(text: str) -> dict[str, float]:
    rows = (row.split(" ", 1) for row in text.split("¦"))
    return {char: int(number) / 1000.0 for number, chars in rows for char in chars}


_WIDTHS = {False: _table(_UPRIGHT), True: _table(_BOLD)}
_WIDEST = {bold: max(table.values()) for bold, table in _WIDTHS.items()}


@lru_cache(maxsize=4096)
def _reckoned(text: str, bold: bool) -> float:
    own, widest = _WIDTHS[bold], _WIDEST[bold]
    return sum(own.get(char, widest) for char in _plainest(text, own))


def _plainest(text: str, own: dict[str, float]) -> str:
    """Return the text with letters for those with accents, which are as wide, and for those run together."""
    if all(char in own for char in text):
        return text
    parts = (char if char in own else unicodedata.normalize("NFKD", char) for char in text)
    return "".join(char for part in parts for char in part if not unicodedata.combining(char))


def width_of(text: str, size: float, bold: bool = False) -> float:
    """Return the width, mm, of a line of text whose capitals are `size` mm high: never less than it will have."""
    return _reckoned(text, bold) * size


def wrapped(text: str, width: float, size: float, bold: bool = False) -> list[str]:
    """Return the text broken into lines no wider than `width` mm; a word too long for a line is broken too.

    A length stays with its fraction and its unit: `31 5/8 in` is never read as 31.
    """
    lines: list[str] = []
    current = ""
    tied = _LENGTH.sub(lambda found: found[0].replace(" ", _TIE), " ".join(text.split()))
    for part in (each.replace(_TIE, " ") for each in tied.split(" ") if each):
        longer = f"{current} {part}".strip()
        if width_of(longer, size, bold) <= width:
            current = longer
            continue
        if current:
            lines.append(current)
        current = part
        while width_of(current, size, bold) > width and len(current) > 1:
            fits = len(current) - 1
            while fits > 1 and width_of(current[:fits], size, bold) > width:
                fits -= 1
            lines.append(current[:fits])
            current = current[fits:]
    return [*lines, current] if current else lines


def frame_of(word: Word, clear: float = 0.0) -> Floats:
    """Return the corners (4, 2) of the rectangle a word takes up, what hangs below its line too, widened by `clear`."""
    width, turn = width_of(word.text, word.size, word.bold), math.radians(word.angle)
    back = {"start": 0.0, "middle": 0.5, "end": 1.0}[word.anchor] * width
    low, high = -0.34 * word.size - clear, 1.06 * word.size + clear
    left, right = -back - clear, width - back + clear
    flat = np.array(((left, low), (right, low), (right, high), (left, high)))
    cos, sin = math.cos(turn), math.sin(turn)
    corners: Floats = flat @ np.array(((cos, sin), (-sin, cos))) + word.at
    return corners
