"""Pages of a PDF as PNG pictures, by pypdfium2 (which is imported only when a picture is asked for)."""

from __future__ import annotations

import struct
import zlib


def pdf_to_png(data: bytes, page: int = 0, dpi: float = 150.0) -> bytes:
    """Return the page of a PDF (counted from 0) as a grey PNG picture; pages too large for memory are drawn coarser.

    Raises IndexError where there is no such page.
    """
    import pypdfium2 as pdfium

    with pdfium.PdfDocument(data) as document:
        if not 0 <= page < len(document):
            raise IndexError(f"no page {page} in a file of {len(document)}")
        sheet = document[page]
        across, up = sheet.get_size()
        scale = min(dpi / 72.0, (_MOST_PIXELS / (across * up)) ** 0.5)
        bitmap = sheet.render(scale=scale, grayscale=True)
        pixels = bitmap.to_numpy().copy()
    return _png(pixels.reshape(pixels.shape[0], -1).tobytes(), pixels.shape[1], pixels.shape[0], scale * 72.0)


_MOST_PIXELS = 120e6


def _png(grey: bytes, width: int, height: int, dpi: float) -> bytes:
    """Return an 8-bit grey PNG (ISO/IEC 15948) of the rows, with its resolution in dots a metre."""
    rows = b"".join(b"\0" + grey[start : start + width] for start in range(0, width * height, width))
    density = round(dpi / 0.0254)
    parts = (
        (b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)),
        (b"pHYs", struct.pack(">IIB", density, density, 1)),
        (b"IDAT", zlib.compress(rows, 6)),
        (b"IEND", b""),
    )
    chunks = (
        struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body)) for kind, body in parts
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunks)
