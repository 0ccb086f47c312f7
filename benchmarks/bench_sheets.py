"""Forty-five tiles and more as PDF: ours against a general PDF canvas (reportlab) that draws the same lines and words.

Bars: at most 0.3 s of CPU time and 100 kB. The rival is given both ways a canvas has of doing it: everything drawn
on each page through a clip, and one form of its own placed on each page. It gets no layers, names or tables to write.
"""

from __future__ import annotations

import io
import sys
import time
from collections.abc import Callable
from pathlib import Path as File

sys.path.insert(0, str(File(__file__).resolve().parent.parent))

from onfold.drawing import PENS, Drawing
from onfold.sheets import SheetFacts, Tiles, tile, tiles_pdf
from onfold.writers.font import face
from tests.synthetic import many_pieces

POINT = 72 / 25.4
BAR_SECONDS, BAR_BYTES = 0.3, 100_000
BARS = f"bars {BAR_SECONDS} s, {BAR_BYTES // 1000} kB"


def timed(work: Callable[[], bytes], runs: int = 5) -> tuple[float, int]:
    """Return the median CPU time in seconds of some runs, and the size of what came out."""
    times, size = [], 0
    for _ in range(runs):
        start = time.process_time()
        size = len(work())
        times.append(time.process_time() - start)
    return sorted(times)[runs // 2], size


def by_canvas(tiles: Tiles, as_form: bool) -> bytes:
    """Return the same pages drawn with a general PDF canvas."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont
    from reportlab.pdfgen.canvas import Canvas

    fonts = File(__file__).resolve().parent.parent / "onfold" / "writers" / "fonts"
    for name, file in (("plain", "DejaVuSans.ttf"), ("bold", "DejaVuSans-Bold.ttf")):
        pdfmetrics.registerFont(TTFont(name, str(fonts / file)))
    out = io.BytesIO()
    canvas = Canvas(out, pageCompression=1, invariant=1)
    if as_form:
        box = tiles.sheet.box
        canvas.beginForm("sheet", *(edge * POINT for edge in box))
        draw(canvas, tiles.sheet)
        canvas.endForm()
    for page in tiles.pages:
        canvas.setPageSize((page.width * POINT, page.height * POINT))
        for window in page.windows:
            left, low, right, high = window.frame
            canvas.saveState()
            clip = canvas.beginPath()
            clip.rect(window.at[0] * POINT, window.at[1] * POINT, (right - left) * POINT, (high - low) * POINT)
            canvas.clipPath(clip, stroke=0)
            canvas.translate((window.at[0] - left) * POINT, (window.at[1] - low) * POINT)
            if as_form:
                canvas.doForm("sheet")
            else:
                draw(canvas, window.drawing)
            canvas.restoreState()
        if page.own is not None:
            draw(canvas, page.own)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def draw(canvas: object, drawing: Drawing) -> None:
    """Draw strokes and words with the canvas's own calls."""
    for stroke in drawing.strokes:
        pen = PENS[stroke.pen]
        canvas.setLineWidth(pen.width * POINT)  # type: ignore[attr-defined]
        canvas.setDash([each * POINT for each in pen.dash])  # type: ignore[attr-defined]
        path = canvas.beginPath()  # type: ignore[attr-defined]
        points = (stroke.path.curves * POINT).tolist()
        path.moveTo(*points[0][0])
        for straight, (_, b, c, d) in zip(stroke.path.straight.tolist(), points, strict=True):
            if straight:
                path.lineTo(*d)
            else:
                path.curveTo(*b, *c, *d)
        if stroke.closed:
            path.close()
        canvas.drawPath(path, stroke=int(not stroke.filled), fill=int(stroke.filled))  # type: ignore[attr-defined]
    for word in drawing.words:
        canvas.saveState()  # type: ignore[attr-defined]
        own = face(word.bold)
        canvas.setFont("bold" if word.bold else "plain", word.size * POINT * own.units / own.capital)  # type: ignore[attr-defined]
        canvas.translate(word.at[0] * POINT, word.at[1] * POINT)  # type: ignore[attr-defined]
        canvas.rotate(word.angle)  # type: ignore[attr-defined]
        said = {"start": "drawString", "middle": "drawCentredString", "end": "drawRightString"}[word.anchor]
        getattr(canvas, said)(0, 0, word.text)
        canvas.restoreState()  # type: ignore[attr-defined]


def main() -> int:
    """Print the figures; return 1 where a bar is missed. A rival with one form is about as quick as we are."""
    pattern = many_pieces(10)
    facts = SheetFacts(title="Many panels", wearer="alto-1", date="2026-11-02")
    cold = time.process_time()
    tiles = tile(pattern, facts)
    first = tiles_pdf(tiles, pattern, facts)
    cold = time.process_time() - cold
    count = len(tiles.grid.tiles)
    written, size = timed(lambda: tiles_pdf(tiles, pattern, facts))
    whole, _ = timed(lambda: tiles_pdf(tile(pattern, facts), pattern, facts))
    print(f"{count} tiles, {len(tiles.sheet.strokes)} strokes")
    print(f"  ours: written        {written:.3f} s  {size / 1000:.0f} kB   ({BARS})")
    print(f"  ours: laid out too   {whole:.3f} s; the first time in a process {cold:.3f} s")
    missed = written > BAR_SECONDS or len(first) > BAR_BYTES or count < 45
    try:
        for as_form, said in ((False, "each page drawn"), (True, "one form       ")):
            taken, weight = timed(lambda form=as_form: by_canvas(tiles, form), runs=3)  # type: ignore[misc]
            print(f"  canvas: {said} {taken:.3f} s  {weight / 1000:.0f} kB")
    except ImportError:
        print("  canvas: reportlab is not installed (pip install reportlab), so nothing was compared")
        return 1
    return int(missed)


if __name__ == "__main__":
    raise SystemExit(main())
