"""Write docs/fitting-cases.md and its pictures: nine cases of a fitting, each before and after on its sheet.

Run it where a recipe, a figure note or the sheet has changed: `python scripts/write_fittings.py`.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from onfold.fitting.change import Change
from onfold.fitting.entry import NewFitting
from onfold.project import open_ticket
from onfold.project_fit import Fitted, fit
from onfold.project_fit_files import fit_files
from onfold.writers.png import pdf_to_png

ROOT = Path(__file__).resolve().parent.parent
PAGE = ROOT / "docs" / "fitting-cases.md"
PICTURES = ROOT / "docs" / "pictures"
DAY = "2026-11-20"
DPI = 80.0


@dataclass(frozen=True)
class Case:
    """One case: its title, what is seen, on which example, and the change it asks for."""

    name: str
    title: str
    seen: str
    does: str
    example: str
    change: Change


CASES = (
    Case(
        "low-back",
        "A low back gapes",
        "The edge of the back stands off between the straps; two fingers go in at the centre.",
        "The back is cut less deep, and its edge is held in by an elastic a little shorter than it is.",
        "alto-1-sheath",
        Change(choices={"back depth": "1 in"}),
    ),
    Case(
        "front-over-bust",
        "The front is short over the bust",
        "Folds drag from the side to the bust; the way over the bust is longer than straight down the side.",
        "A side dart gives the front its length at the bust and takes it up again at the side.",
        "alto-1-sheath",
        Change(choices={"side dart": "1 3/8 in"}),
    ),
    Case(
        "full-bust",
        "Full bust",
        "The hem rides up in front and the bust is drawn, though the girth was taped.",
        "Length is let in over the bust; the dart at the side grows by as much.",
        "alto-1-sheath",
        Change(figure={"full bust": "3/4 in"}),
    ),
    Case(
        "sway-back",
        "Sway back",
        "A fold lies across the back above the seat.",
        "The waist is lowered at the centre back by what was pinned, to nothing at the side.",
        "soprano-2-skirt",
        Change(figure={"sway back": "1.5 cm"}),
    ),
    Case(
        "rounded-back",
        "Rounded back",
        "The back is pulled up and strains over the shoulder blades.",
        "The straps are cut longer by what was let down.",
        "alto-1-sheath",
        Change(figure={"rounded back": "1/2 in"}),
    ),
    Case(
        "forward-shoulder",
        "Forward shoulder",
        "The top of the strap lies behind the top of the shoulder.",
        "The strap is marked where the top of the shoulder comes.",
        "alto-1-sheath",
        Change(figure={"forward shoulder": "1/2 in"}),
    ),
    Case(
        "low-shoulder",
        "One low shoulder",
        "One strap slips, the other sits.",
        "The strap of that side has its own mark, where it is cut shorter.",
        "alto-1-sheath",
        Change(figure={"right shoulder": "3/8 in low"}),
    ),
    Case(
        "full-tummy",
        "Full tummy",
        "The front climbs over the tummy and the side seams swing forward.",
        "The waist rises at the centre front, the side seams move back, the front darts end higher.",
        "soprano-2-skirt",
        Change(figure={"full tummy": "2 cm"}),
    ),
    Case(
        "hollow-seat",
        "Hollow under the seat",
        "A fold lies across the back just below the seat.",
        "The back is taken up at its centre by what was pinned, to nothing at the side.",
        "soprano-2-skirt",
        Change(figure={"hollow under the seat": "1 cm"}),
    ),
)


def tried(case: Case) -> Fitted:
    """Return the case tried on its example."""
    garment = open_ticket(ROOT / "examples" / f"{case.example}.yaml")
    return fit(garment, [NewFitting(DAY, note=case.seen, change=case.change)])


def page() -> str:
    """Return the page of all cases."""
    lines = [
        "# Nine fittings, before and after",
        "",
        "Written by `scripts/write_fittings.py` from the examples; change the cases there, not this page. The dashed",
        "line is the draft as it was, the heavy line as it is after the fitting; figures say how far an edge moved and",
        "what it now measures. [Fittings](fitting.md) says how to make such a sheet of your own.",
    ]
    for case in CASES:
        lines += ["", f"## {case.title}", "", f"{case.seen} {case.does}", ""]
        lines.append(f"![{case.title}: the changed pieces before and after, with the differences]({_picture(case)})")
    return "\n".join(lines) + "\n"


def _picture(case: Case) -> str:
    return f"pictures/fitting-{case.name}.png"


def main() -> None:
    """Write the page and the pictures."""
    for case in CASES:
        data = fit_files(tried(case))["fitting.pdf"]
        (ROOT / "docs" / _picture(case)).write_bytes(pdf_to_png(data, 0, DPI))
    PAGE.write_text(page(), "utf-8")
    print(f"written: {PAGE.name} and {len(CASES)} pictures")


if __name__ == "__main__":
    main()
