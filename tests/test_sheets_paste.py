"""Pasted together, the tiles are the sheet: rendered by pypdfium2, put together here, compared pixel by pixel."""

from __future__ import annotations

import numpy as np
import pypdfium2 as pdfium
import pytest
from scipy.ndimage import minimum_filter

from onfold.sheets import SheetFacts, Tiles, read_paper, tile, tiles_pdf
from onfold.writers.pdf import Page, Window, write_pdf
from tests.synthetic import skirt

DPI = 150.0
PER_MM = DPI / 25.4


def rendered(data: bytes) -> list[np.ndarray]:
    with pdfium.PdfDocument(data) as document:
        return [_grey(page) for page in document]


def _grey(page: pdfium.PdfPage) -> np.ndarray:
    """A page at 150 dpi, drawn twice as fine and averaged: the renderer sets each letter on a whole pixel."""
    fine = page.render(scale=2 * DPI / 72, grayscale=True).to_numpy()
    fine = fine[: fine.shape[0] // 2 * 2, : fine.shape[1] // 2 * 2].reshape(
        fine.shape[0] // 2, 2, fine.shape[1] // 2, 2
    )
    return fine.mean(axis=(1, 3), dtype=np.float32).astype(np.uint8)


def whole(tiles: Tiles) -> np.ndarray:
    box = tiles.sheet.box
    page = Page(*tiles.sheet.size, windows=(Window(tiles.sheet, box, (0.0, 0.0)),))
    return rendered(write_pdf([page], hidden=("sheet",)))[0]


def pasted(tiles: Tiles, images: list[np.ndarray], shape: tuple[int, int]) -> np.ndarray:
    """Trim each tile where the furniture says so and lay it on those before it, as the first page tells."""
    canvas = np.full(shape, 255, dtype=np.uint8)
    grid, (left, _, _, top) = tiles.grid, tiles.sheet.box
    for name, image in zip(grid.tiles, images, strict=True):
        x0, _, _, y1 = grid.window(name)
        window = tiles.pages[tiles.covers].windows[0]
        # One rounding for the whole way from the page's corner to the sheet's: half a pixel at most is lost here.
        margin = window.at[0]
        near, wide, high = round(margin * PER_MM), round(grid.width * PER_MM), round(grid.height * PER_MM)
        trimmed = image[near : near + high, near : near + wide]
        across = round((x0 - left - margin) * PER_MM) + near
        down = round((top - y1 - margin) * PER_MM) + near
        cut_x, cut_y = max(0, -across), max(0, -down)
        part = trimmed[cut_y:, cut_x:]
        across, down = across + cut_x, down + cut_y
        part = part[: shape[0] - down, : shape[1] - across]
        canvas[down : down + part.shape[0], across : across + part.shape[1]] = part
    return canvas


def strays(a: np.ndarray, b: np.ndarray) -> int:
    """How many inked pixels of a have no ink within one pixel in b."""
    return int(np.count_nonzero((a < 90) & (minimum_filter(b, size=3) > 200)))


@pytest.mark.parametrize(
    "paper", ["a4", "a3", "a2", "a1", "a0", "letter", "legal", "tabloid", "roll 91 cm", "roll 36 in", "roll 30 cm"]
)
def test_pasted_tiles_are_the_whole_sheet(paper: str) -> None:
    pattern = skirt()
    facts = SheetFacts(
        title="Concert skirt",
        wearer="soprano-2",
        date="2026-11-02",
        paper=read_paper(paper),
        one_layer=frozenset({"front"}),
    )
    tiles = tile(pattern, facts)
    images = rendered(tiles_pdf(tiles, pattern, facts, hidden=("sheet",)))[tiles.covers :]
    sheet = whole(tiles)
    together = pasted(tiles, images, sheet.shape)

    assert (sheet < 90).sum() > 50_000
    assert strays(sheet, together) == 0
    assert strays(together, sheet) == 0
    assert all((image < 160).any() for image in images), "a tile is empty"


def test_the_comparison_can_fail() -> None:
    """A tile laid 0.5 mm aside (3 pixels) is found."""
    pattern, facts = skirt(), SheetFacts()
    tiles = tile(pattern, facts)
    images = rendered(tiles_pdf(tiles, pattern, facts, hidden=("sheet",)))[tiles.covers :]
    sheet = whole(tiles)
    images[5] = np.roll(images[5], 3, axis=1)
    assert strays(pasted(tiles, images, sheet.shape), sheet) > 100
