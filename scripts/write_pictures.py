"""Write the README's pictures from the demo ticket: docs/pictures/sheath.png and, with Chromium at hand, lesson.png.

python scripts/write_pictures.py [FOLDER]
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image

from onfold import open_ticket
from onfold.project import Garment
from onfold.project_files import sheet_facts
from onfold.sheets.tiles import whole_sheet
from onfold.writers.pdf import Page, Window, write_pdf
from onfold.writers.png import pdf_to_png

ROOT = Path(__file__).resolve().parent.parent
TICKET = ROOT / "examples" / "alto-1-sheath.yaml"
SHEET_WIDTH = 900
LESSON = (1000, 1400)
SHOWN = "stage-5"
ONLY_SHOWN = f".sheet:not([aria-labelledby={SHOWN}]), footer {{display: none !important}}"
GREYS = 16
"""Shades kept: lines and letters need no more, and the files stay small."""


def sheet_picture(garment: Garment, across: int = SHEET_WIDTH) -> Image.Image:
    """Return the whole sheet, `across` pixels wide."""
    assert garment.draft is not None
    drawing = whole_sheet(garment.draft.pattern, sheet_facts(garment))
    wide, high = drawing.size
    pdf = write_pdf([Page(wide, high, (Window(drawing, drawing.box, (0.0, 0.0)),))], title=drawing.title)
    with tempfile.TemporaryDirectory() as folder:
        large = Path(folder) / "sheet.png"
        large.write_bytes(pdf_to_png(pdf, 0, 3 * across / (wide / 25.4)))
        with Image.open(large) as drawn:
            return drawn.resize((across, round(across * drawn.height / drawn.width)), Image.Resampling.LANCZOS)


def lesson_picture(garment: Garment, chromium: str) -> Image.Image:
    """Return the lesson at its stage on the cowl, as a browser shows it."""
    with tempfile.TemporaryDirectory() as folder:
        page, shot = Path(folder) / "lesson.html", Path(folder) / "lesson.png"
        html = garment.files(("lesson.html",))["lesson.html"].decode()
        page.write_text(html.replace("</head>", f"<style>{ONLY_SHOWN}</style></head>"), "utf-8")
        size = f"--window-size={LESSON[0]},{LESSON[1]}"
        options = ["--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", size, f"--screenshot={shot}"]
        subprocess.run([chromium, *options, page.as_uri()], check=True, capture_output=True, timeout=120)
        with Image.open(shot) as shown:
            return shown.convert("RGB")


def save(picture: Image.Image, path: Path) -> None:
    """Write a picture with few colours, and say how large it is."""
    picture.quantize(GREYS, dither=Image.Dither.NONE).save(path, optimize=True)
    print(f"{path.name}: {picture.width} × {picture.height}, {path.stat().st_size / 1000:.0f} kB")


def main() -> int:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "docs" / "pictures"
    folder.mkdir(parents=True, exist_ok=True)
    garment = open_ticket(TICKET)
    save(sheet_picture(garment), folder / "sheath.png")
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        print("No Chromium here: lesson.png was left as it is.")
        return 0
    save(lesson_picture(garment, chromium), folder / "lesson.png")
    return 0


if __name__ == "__main__":
    sys.exit(main())
