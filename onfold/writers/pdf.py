"""Drawings on pages as a PDF file that prints at its true size: no scaling, layers, text that can be searched.

A drawing shown on many pages through windows (a sheet cut into tiles) is written once, as a Form XObject, and
placed on each page by clip and shift alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from onfold.drawing import Drawing
from onfold.writers.decimals import number
from onfold.writers.font import advance_of, cut_face, face, printable
from onfold.writers.pdf_ink import LAYERS, ink, layer_tag
from onfold.writers.pdf_objects import Objects, numbers, points, text_string


@dataclass(frozen=True, eq=False)
class Window:
    """`frame` of a drawing (least x, least y, most x, most y), shown with its lower left corner at `at` on a page."""

    drawing: Drawing
    frame: tuple[float, float, float, float]
    at: tuple[float, float]


@dataclass(frozen=True, eq=False)
class Page:
    """A page of `width` by `height` mm: windows on shared drawings, and what is drawn on this page alone."""

    width: float
    height: float
    windows: tuple[Window, ...] = ()
    own: Drawing | None = None


def write_pdf(
    pages: Iterable[Page], *, title: str = "", language: str = "en", date: str = "", hidden: Iterable[str] = ()
) -> bytes:
    """Return a PDF file of the pages. `hidden` layers are off when it is opened, and can be switched on.

    `date` (a ticket's `2026-11-02`) is the only date in the file; anything else leaves it undated. Equal input
    gives equal bytes. Strokes with a coordinate that is not a number are left out.
    """
    all_pages = tuple(pages)
    objects = Objects()
    letters = _Letters(all_pages)
    layers = {layer: objects.add(_layer(layer)) for layer in _layers_of(all_pages)}
    tree = objects.reserve()
    resources = _resources(objects, letters, layers)
    forms: dict[int, int] = {}
    for drawing in _shared(all_pages):
        entries = (
            f"/Type /XObject /Subtype /Form /BBox [{numbers(map(points, drawing.box))}] /Resources <<{resources}>>"
        )
        forms[id(drawing)] = objects.stream(entries, ink(drawing, letters.codes))
    kids = [_write_page(objects, page, tree, resources, forms, letters) for page in all_pages]
    objects.put(tree, f"<</Type /Pages /Count {len(kids)} /Kids [{_refs(kids)}]>>")
    info = objects.add(f"<</Title {text_string(printable(title))} /Producer (Onfold){_dated(date)}>>")
    root = objects.add(_catalogue(tree, layers, set(hidden), language))
    return objects.file(root, info)


class _Letters:
    """The characters used in each face, numbered from 1 in code order; a missing one keeps a number of its own."""

    def __init__(self, pages: tuple[Page, ...]) -> None:
        used: dict[bool, set[str]] = {False: set(), True: set()}
        for drawing in _drawings(pages):
            for word in drawing.words:
                used[word.bold].update(printable(word.text))
        self.numbers = {
            bold: {char: at for at, char in enumerate(sorted(chars), start=1)} for bold, chars in used.items()
        }

    def codes(self, text: str, bold: bool) -> str:
        own = self.numbers[bold]
        return "".join(f"{own[char]:04X}" for char in text)


def _drawings(pages: tuple[Page, ...]) -> Iterator[Drawing]:
    yield from _shared(pages)
    yield from (page.own for page in pages if page.own is not None)


def _shared(pages: tuple[Page, ...]) -> list[Drawing]:
    return list({id(window.drawing): window.drawing for page in pages for window in page.windows}.values())


def _layers_of(pages: tuple[Page, ...]) -> list[str]:
    used = {stroke.layer for drawing in _drawings(pages) for stroke in drawing.strokes}
    used |= {word.layer for drawing in _drawings(pages) for word in drawing.words}
    return [layer for layer in LAYERS if layer in used]


def _layer(layer: str) -> str:
    return f"<</Type /OCG /Name {text_string(layer)}>>"


def _resources(objects: Objects, letters: _Letters, layers: dict[str, int]) -> str:
    fonts = "".join(
        f"/{tag} {_font(objects, letters.numbers[bold], bold)} 0 R "
        for tag, bold in (("F", False), ("FB", True))
        if letters.numbers[bold]
    )
    properties = "".join(f"/{layer_tag(layer)} {at} 0 R " for layer, at in layers.items())
    return f"/Font {objects.add(f'<<{fonts}>>')} 0 R /Properties {objects.add(f'<<{properties}>>')} 0 R"


def _font(objects: Objects, codes: dict[str, int], bold: bool) -> int:
    own, cut = face(bold), cut_face(codes, bold)
    to_em = 1000.0 / own.units
    base = "/ONFOLD+" + own.name
    file = objects.stream(f"/Length1 {len(cut.data)}", cut.data)
    shape = numbers(edge * to_em for edge in own.box)
    descriptor = objects.add(
        f"<</Type /FontDescriptor /FontName {base} /Flags 4 /FontBBox [{shape}] /ItalicAngle 0 "
        f"/Ascent {number(own.ascent * to_em)} /Descent {number(own.descent * to_em)} "
        f"/CapHeight {number(own.capital * to_em)} /StemV {165 if bold else 90} /FontFile2 {file} 0 R>>"
    )
    glyph_map = b"\0\0" + b"".join(cut.glyphs[char].to_bytes(2, "big") for char in codes)
    glyphs = objects.stream("", glyph_map)
    widths = numbers(advance_of(char, bold) * to_em for char in codes)
    descendant = objects.add(
        f"<</Type /Font /Subtype /CIDFontType2 /BaseFont {base} /FontDescriptor {descriptor} 0 R "
        f"/CIDSystemInfo <</Registry (Adobe) /Ordering (Identity) /Supplement 0>> "
        f"/DW 600 /W [1 [{widths}]] /CIDToGIDMap {glyphs} 0 R>>"
    )
    unicode = objects.stream("", _unicode_map(codes))
    return objects.add(
        f"<</Type /Font /Subtype /Type0 /BaseFont {base} /Encoding /Identity-H "
        f"/DescendantFonts [{descendant} 0 R] /ToUnicode {unicode} 0 R>>"
    )


def _unicode_map(codes: dict[str, int]) -> bytes:
    """Return the map from codes to characters by which a reader finds and copies text."""
    rows = [f"<{code:04X}> <{char.encode('utf-16-be').hex().upper()}>" for char, code in codes.items()]
    blocks = [rows[start : start + 100] for start in range(0, len(rows), 100)]
    lines = [
        "/CIDInit /ProcSet findresource begin 12 dict begin begincmap",
        "/CIDSystemInfo <</Registry (Adobe) /Ordering (UCS) /Supplement 0>> def",
        "/CMapName /Adobe-Identity-UCS def /CMapType 2 def",
        "1 begincodespacerange <0000> <FFFF> endcodespacerange",
        *(f"{len(block)} beginbfchar\n" + "\n".join(block) + "\nendbfchar" for block in blocks),
        "endcmap CMapName currentdict /CMap defineresource pop end end",
    ]
    return "\n".join(lines).encode()


def _write_page(
    objects: Objects, page: Page, tree: int, resources: str, forms: dict[int, int], letters: _Letters
) -> int:
    parts = [_placed(window, index) for index, window in enumerate(page.windows)]
    if page.own is not None:
        parts.append(ink(page.own, letters.codes))
    content = objects.stream("", b"\n".join(parts))
    shown = "".join(f"/X{index} {forms[id(window.drawing)]} 0 R " for index, window in enumerate(page.windows))
    return objects.add(
        f"<</Type /Page /Parent {tree} 0 R /MediaBox [0 0 {numbers((points(page.width), points(page.height)))}] "
        f"/Resources <<{resources} /XObject <<{shown}>>>> /Contents {content} 0 R>>"
    )


def _placed(window: Window, index: int) -> bytes:
    left, low, right, high = map(points, window.frame)
    x, y = map(points, window.at)
    clip = numbers((x, y, right - left, high - low))
    return f"q {clip} re W n 1 0 0 1 {numbers((x - left, y - low))} cm /X{index} Do Q".encode()


def _catalogue(tree: int, layers: dict[str, int], hidden: set[str], language: str) -> str:
    every = _refs(layers.values())
    seen = _refs(at for layer, at in layers.items() if layer not in hidden)
    off = _refs(at for layer, at in layers.items() if layer in hidden)
    switches = f"<</Order [{every}] /ON [{seen}] /OFF [{off}]>>"
    shown = f"/OCProperties <</OCGs [{every}] /D {switches}>>" if layers else ""
    return (
        f"<</Type /Catalog /Pages {tree} 0 R /Lang {text_string(language)} {shown} "
        f"/ViewerPreferences <</PrintScaling /None /DisplayDocTitle true>>>>"
    )


def _dated(date: str) -> str:
    found = re.fullmatch(r"(\d{4})-(\d\d)-(\d\d)", date.strip())
    return f" /CreationDate (D:{found[1]}{found[2]}{found[3]})" if found else ""


def _refs(numbers_of: Iterable[int]) -> str:
    return " ".join(f"{at} 0 R" for at in numbers_of)
