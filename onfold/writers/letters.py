"""Which characters our faces can print. A PDF for screen readers may hold no character without a form."""

from __future__ import annotations

import struct
import unicodedata
from functools import cache
from importlib.resources import files

INSTEAD = "\ufffd"


def printed(text: str, lost: set[str]) -> str:
    """Return the text as one line of printable characters; one without a form becomes � and is added to `lost`."""
    spaced = "".join(" " if char.isspace() else char for char in unicodedata.normalize("NFC", text))
    kept = (char for char in spaced if unicodedata.category(char) not in {"Cc", "Cf"})
    return " ".join("".join(_form(char, lost) for char in kept).split(" ")).strip()


def _form(char: str, lost: set[str]) -> str:
    if ord(char) in covered():
        return char
    lost.add(char)
    return INSTEAD


@cache
def covered() -> frozenset[int]:
    """Return the code points that the upright face has a glyph for, read from its character map (formats 4 and 12).

    Read here in a few lines, and not by a font library, because a guide may be wanted where only the pattern's
    own sheets need one.
    """
    data = (files("onfold") / "writers" / "fonts" / "DejaVuSans.ttf").read_bytes()
    table = _table(data, b"cmap")
    (count,) = struct.unpack_from(">H", data, table + 2)
    found: set[int] = set()
    for record in range(count):
        _, _, offset = struct.unpack_from(">HHI", data, table + 4 + 8 * record)
        (kind,) = struct.unpack_from(">H", data, table + offset)
        if kind == 4:
            found |= _format_4(data, table + offset)
        if kind == 12:
            found |= _format_12(data, table + offset)
    return frozenset(found)


def _table(data: bytes, wanted: bytes) -> int:
    (count,) = struct.unpack_from(">H", data, 4)
    for record in range(count):
        tag, _, offset, _ = struct.unpack_from(">4sIII", data, 12 + 16 * record)
        if tag == wanted:
            return int(offset)
    raise ValueError(f"the vendored face has no {wanted!r} table")


def _format_4(data: bytes, at: int) -> set[int]:
    (twice,) = struct.unpack_from(">H", data, at + 6)
    count = twice // 2
    ends = struct.unpack_from(f">{count}H", data, at + 14)
    starts = struct.unpack_from(f">{count}H", data, at + 16 + twice)
    deltas = struct.unpack_from(f">{count}H", data, at + 16 + 2 * twice)
    ranges_at = at + 16 + 3 * twice
    ranges = struct.unpack_from(f">{count}H", data, ranges_at)
    found: set[int] = set()
    for segment, (first, last, delta, offset) in enumerate(zip(starts, ends, deltas, ranges, strict=True)):
        for code in range(first, last + 1):
            glyph = code + delta
            if offset:
                (glyph,) = struct.unpack_from(">H", data, ranges_at + 2 * segment + offset + 2 * (code - first))
            if glyph & 0xFFFF and code != 0xFFFF:
                found.add(code)
    return found


def _format_12(data: bytes, at: int) -> set[int]:
    (count,) = struct.unpack_from(">I", data, at + 12)
    found: set[int] = set()
    for group in range(count):
        first, last, glyph = struct.unpack_from(">III", data, at + 16 + 12 * group)
        found.update(code for code in range(first, last + 1) if glyph + code - first)
    return found
