"""The grammar of a PDF file (ISO 32000-1): numbers, strings, streams, and the numbered objects put together.

Knows nothing of drawings. The same objects give the same bytes.
"""

from __future__ import annotations

import hashlib
import zlib
from collections.abc import Iterable

from onfold.writers.decimals import number

_POINTS = 72.0 / 25.4


def points(mm: float) -> float:
    """Return a length of mm in PDF points, 1/72 in."""
    return mm * _POINTS


def numbers(values: Iterable[float]) -> str:
    """Return numbers with spaces between them, to 1e-4."""
    return " ".join(map(number, values))


def text_string(text: str) -> str:
    """Return a text string as hexadecimal: plain ASCII as it is, anything else as UTF-16 with its mark."""
    raw = text.encode("ascii") if text.isascii() else b"\xfe\xff" + text.encode("utf-16-be", "replace")
    return f"<{raw.hex().upper()}>"


class Objects:
    """The numbered objects of a file under way: add them or keep a number free, then put the file together."""

    def __init__(self) -> None:
        self._plain: dict[int, bytes] = {}
        self._streams: dict[int, bytes] = {}
        self._last = 0

    def reserve(self) -> int:
        """Return a number whose object will be given later, by `put`."""
        self._last += 1
        return self._last

    def put(self, at: int, text: str) -> int:
        """Give the object of a reserved number."""
        self._plain[at] = text.encode("latin-1")
        return at

    def add(self, text: str) -> int:
        """Add an object that is no stream and return its number."""
        return self.put(self.reserve(), text)

    def stream(self, entries: str, data: bytes) -> int:
        """Add a compressed stream, `entries` being the inside of its dictionary, and return its number."""
        at = self.reserve()
        self._streams[at] = _packed(entries, data)
        return at

    def file(self, root: int, info: int) -> bytes:
        """Return the whole file: streams, all else packed in one object stream, a cross-reference stream."""
        packed_at, table_at = self.reserve(), self.reserve()
        order = sorted(self._plain)
        offsets, inside = [], b""
        for at in order:
            offsets.append(f"{at} {len(inside)}")
            inside += self._plain[at] + b"\n"
        head = (" ".join(offsets) + "\n").encode()
        streams = dict(self._streams)
        streams[packed_at] = _packed(f"/Type /ObjStm /N {len(order)} /First {len(head)}", head + inside)

        out = bytearray(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
        rows = {0: (0, 0, 65535)} | {at: (2, packed_at, index) for index, at in enumerate(order)}
        for at in sorted(streams):
            rows[at] = (1, len(out), 0)
            out += f"{at} 0 obj\n".encode() + streams[at] + b"\nendobj\n"
        start = len(out)
        rows[table_at] = (1, start, 0)
        table = b"".join(
            kind.to_bytes(1, "big") + where.to_bytes(4, "big") + last.to_bytes(2, "big")
            for kind, where, last in (rows[at] for at in range(table_at + 1))
        )
        mark = hashlib.md5(bytes(out), usedforsecurity=False).hexdigest().upper()
        entries = (
            f"/Type /XRef /Size {table_at + 1} /W [1 4 2] /Root {root} 0 R /Info {info} 0 R /ID [<{mark}> <{mark}>]"
        )
        out += f"{table_at} 0 obj\n".encode() + _packed(entries, table) + b"\nendobj\n"
        return bytes(out + f"startxref\n{start}\n%%EOF\n".encode())


def _packed(entries: str, data: bytes) -> bytes:
    small = zlib.compress(data, 9)
    return f"<<{entries} /Filter /FlateDecode /Length {len(small)}>>\nstream\n".encode() + small + b"\nendstream"
