"""The one face our sheets are set in, read and cut down by fontTools, whose only door this is.

fontTools is imported inside the functions: a command that prints nothing never pays for it.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from io import BytesIO

_FILES = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}
_KEPT_TABLES = {"head", "hhea", "maxp", "hmtx", "loca", "glyf"}


@dataclass(frozen=True, eq=False)
class Face:
    """A face as it is measured: glyph names by code point, advances in font units, `capital` its capitals' height."""

    name: str
    glyphs: dict[int, str]
    advances: dict[str, int]
    units: int
    capital: int
    ascent: int
    descent: int
    box: tuple[int, int, int, int]


@dataclass(frozen=True)
class Cut:
    """A face cut down to some characters: the TrueType file, and for each character its glyph number there."""

    data: bytes
    glyphs: dict[str, int]


@lru_cache(maxsize=4096)
def printable(text: str) -> str:
    """Return the text as one line that can be printed: composed, white space as spaces, controls dropped.

    Lone surrogates become the replacement character, so that nothing a maker typed can break a writer.
    """
    if text.isascii() and text.isprintable():
        return text
    spaced = "".join(" " if char.isspace() else char for char in text)
    whole = "".join("\ufffd" if "\ud800" <= char <= "\udfff" else char for char in spaced)
    kept = (char for char in whole if unicodedata.category(char) not in {"Cc", "Cf"} and ord(char) & 0xFFFE != 0xFFFE)
    return unicodedata.normalize("NFC", "".join(kept))


@cache
def face(bold: bool = False) -> Face:
    """Return the measures of the upright or the bold face."""
    from fontTools.ttLib import TTFont

    font = TTFont(BytesIO(_read(bold)), lazy=True)
    head, across = font["head"], font["hhea"]
    return Face(
        name=_FILES[bold].removesuffix(".ttf"),
        glyphs=dict(font.getBestCmap()),
        advances={name: advance for name, (advance, _) in font["hmtx"].metrics.items()},
        units=int(head.unitsPerEm),
        capital=int(font["glyf"]["H"].yMax),
        ascent=int(across.ascent),
        descent=int(across.descent),
        box=(int(head.xMin), int(head.yMin), int(head.xMax), int(head.yMax)),
    )


def advance_of(char: str, bold: bool = False) -> int:
    """Return how far the character moves the pen, font units; that of the replacement box where it is missing."""
    own = face(bold)
    return own.advances[own.glyphs.get(ord(char), ".notdef")]


def width_of(text: str, size: float, bold: bool = False) -> float:
    """Return the width in mm of a line of text whose capitals are `size` mm high."""
    return _advance(text, bold) * size / face(bold).capital


@lru_cache(maxsize=4096)
def _advance(text: str, bold: bool) -> int:
    own = face(bold)
    glyphs, advances = own.glyphs, own.advances
    return sum(advances[glyphs.get(ord(char), ".notdef")] for char in printable(text))


def cut_face(chars: Iterable[str], bold: bool = False) -> Cut:
    """Return the face with only the glyphs of these characters; those it lacks show as the replacement box (0).

    The same characters give the same bytes: the file's time stamp is the font's own.
    """
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont

    wanted = sorted(set(chars))
    font = TTFont(BytesIO(_read(bold)), lazy=True, recalcTimestamp=False)
    for tag in set(font.keys()) - _KEPT_TABLES - {"GlyphOrder", "cmap", "OS/2", "post"}:
        del font[tag]
    options = Options()
    options.hinting = False
    options.notdef_outline = True
    cutter = Subsetter(options)
    cutter.populate(unicodes=[ord(char) for char in wanted])
    cutter.subset(font)
    numbers = {name: number for number, name in enumerate(font.getGlyphOrder())}
    glyphs = {char: numbers.get(face(bold).glyphs.get(ord(char), ".notdef"), 0) for char in wanted}
    for tag in set(font.keys()) - _KEPT_TABLES - {"GlyphOrder"}:
        del font[tag]
    out = BytesIO()
    font.save(out)
    return Cut(out.getvalue(), glyphs)


@cache
def _read(bold: bool) -> bytes:
    return files("onfold.writers").joinpath("fonts", _FILES[bold]).read_bytes()
