"""PNG pictures: of points, and of a PDF's pages by pypdfium2 (which is imported only when a page is asked for)."""

from __future__ import annotations

import struct
import zlib

import numpy as np
from numpy.typing import NDArray


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
    return picture_to_png(pixels.reshape(pixels.shape[0], -1), scale * 72.0)


def picture_to_png(picture: NDArray[np.uint8], dpi: float = 144.0) -> bytes:
    """Return points as a PNG picture (ISO/IEC 15948): (h, w) grey, or (h, w, 3) red, green and blue.

    Raises ValueError where the shape is another, or there is no point.
    """
    if picture.ndim not in (2, 3) or picture.shape[2:] not in ((), (3,)) or not picture.size:
        raise ValueError(f"no picture has the shape {picture.shape}")
    return _png(picture, dpi)


_MOST_PIXELS = 120e6


def _png(picture: NDArray[np.uint8], dpi: float) -> bytes:
    """Return an 8-bit PNG of the rows, unfiltered, with its resolution in dots a metre."""
    height, width = picture.shape[:2]
    lines = np.zeros((height, 1 + picture.size // height), dtype=np.uint8)
    lines[:, 1:] = picture.reshape(height, -1)
    colour = 0 if picture.ndim == 2 else 2
    density = round(dpi / 0.0254)
    parts = (
        (b"IHDR", struct.pack(">IIBBBBB", width, height, 8, colour, 0, 0, 0)),
        (b"pHYs", struct.pack(">IIB", density, density, 1)),
        (b"IDAT", zlib.compress(lines.tobytes(), 6)),
        (b"IEND", b""),
    )
    chunks = (
        struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body)) for kind, body in parts
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunks)
