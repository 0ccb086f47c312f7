"""Given only the printed pattern, a stranger with a tape finds the figures that its own table states.

The reader (tests/pdf_reader.py) shares no code with what drafted and drew the pattern. What a seam joins is told by its
name and the names of the lines on paper, as a cutter would tell it.
"""

from __future__ import annotations

import io
from functools import lru_cache
from pathlib import Path

import pikepdf
import pytest

from onfold import open_ticket
from tests.bodies import survey_men, survey_women
from tests.pdf_reader import (
    Printed,
    bezier_length,
    down_the_centre,
    edge_length,
    girth_at,
    in_mm,
    read_printed,
    times_round,
    width_at,
)

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
AGREE = 1.0  # mm

SHEATH, SKIRT = "choir-sheath", "straight-skirt"
LEVELS = {SHEATH: ("bust", "waist", "hip", "hem"), SKIRT: ("waist", "hip", "hem")}
UPPER_EDGE = {SHEATH: "back neck", SKIRT: "waist"}
CLOTH = {
    SHEATH: "{name: jersey, kind: knit, width: 150 cm, stretch: {across: 70 %, along: 40 %}}",
    SKIRT: "{name: twill, kind: woven, width: 150 cm}",
}
# For each seam its two sides, each a list of (piece, edge, how often the edge as drawn goes into one seam).
SEAMS = {
    SHEATH: {
        "side seam": ([("front", "side", 1)], [("back", "side", 1)]),
        "strap seam": ([("strap", "strap side", 1)], [("strap", "strap other side", 1)]),
    },
    SKIRT: {
        "side seam": ([("front", "side", 1)], [("back", "side", 1)]),
        "centre back seam": ([("back", "centre back", 1)], [("back", "centre back", 1)]),
        "waist seam": ([("waistband", "waist seam", 1)], [("front", "waist", 2), ("back", "waist", 2)]),
    },
}


def readings(printed: Printed, recipe: str) -> dict[str, tuple[float, str]]:
    """Every figure that is measured on the paper and stated in its tables: (mm, as the table says it)."""
    found = {level: (girth_at(printed, level), printed.levels[level]["finished"]) for level in LEVELS[recipe]}
    found["back length"] = (down_the_centre(printed, "back", UPPER_EDGE[recipe]), printed.down["back"])
    for seam, sides in SEAMS[recipe].items():
        for side, column in zip(sides, ("one side", "other side"), strict=True):
            mm = sum(edge_length(printed, piece, edge) * times for piece, edge, times in side)
            found[f"{seam}, {column}"] = (mm, printed.seams[seam][column])
    return found


def disagreements(printed: Printed, recipe: str) -> list[str]:
    """What differs by more than 1 mm from the table, as it is printed (cm to the mm, inches to the sixteenth)."""
    return [
        f"{what}: {mm:.2f} mm on paper, {said} in the table"
        for what, (mm, said) in readings(printed, recipe).items()
        if abs(mm - in_mm(said)[0]) > AGREE
    ]


def unequal_seams(printed: Printed, recipe: str) -> list[str]:
    """Seams whose two sides differ on paper by more than half a millimetre; nothing is eased here."""
    found = readings(printed, recipe)
    pairs = {seam: (found[f"{seam}, one side"][0], found[f"{seam}, other side"][0]) for seam in SEAMS[recipe]}
    return [f"{seam}: {one:.2f} and {other:.2f} mm" for seam, (one, other) in pairs.items() if abs(one - other) > 0.5]


def ticket_for(recipe: str, body: dict[str, float], units: str, paper: str, figure: str = "woman", **more: str) -> str:
    measures = ", ".join(f"{name}: {value:.1f} mm" for name, value in body.items())
    cloth = more.pop("cloth", CLOTH[recipe])
    rest = "".join(f"{key}: {value}\n" for key, value in more.items())
    return (
        f"ticket: Reading, alto-1\nrecipe: {recipe}\nunits: {units}\n"
        f"wearer: {{name: alto-1, figure: {figure}, measures: {{{measures}}}}}\n"
        f"cloth: {cloth}\npaper: {paper}\ndate: 2026-10-05\n{rest}"
    )


def printed_for(folder: Path, text: str) -> Printed:
    path = folder / "ticket.yaml"
    path.write_text(text, "utf-8")
    garment = open_ticket(path)
    files = garment.files(("pattern.pdf",))
    assert files, [each.says for each in garment.all_problems]
    return read_printed(files["pattern.pdf"])


@lru_cache
def example(name: str) -> bytes:
    return open_ticket(EXAMPLES / f"{name}.yaml").files(("pattern.pdf",))["pattern.pdf"]


@pytest.mark.parametrize(("name", "recipe"), [("alto-1-sheath", SHEATH), ("soprano-2-skirt", SKIRT)])
def test_the_examples_measure_on_paper_what_their_tables_say(name: str, recipe: str) -> None:
    printed = read_printed(example(name))
    assert printed.scales == (1.0,)
    assert disagreements(printed, recipe) == []
    assert unequal_seams(printed, recipe) == []


def test_the_skirt_on_paper_is_the_body_and_the_ease_the_ticket_asks_for() -> None:
    """Waist 72 + 2.4, hip 98 + 5, length 62 cm, lowered 0.7 cm behind: sums a pupil does beside the draft [A]."""
    printed = read_printed(example("soprano-2-skirt"))
    assert girth_at(printed, "waist") == pytest.approx(744.0, abs=0.1)
    assert girth_at(printed, "hip") == pytest.approx(1030.0, abs=0.1)
    assert girth_at(printed, "hem") == pytest.approx(1030.0, abs=0.1)
    assert down_the_centre(printed, "front", "waist") == pytest.approx(620.0, abs=0.1)
    assert down_the_centre(printed, "back", "waist") == pytest.approx(613.0, abs=0.1)


def test_the_sheath_on_paper_is_the_body_less_the_reduction() -> None:
    """Body / (1 + u x stretch): 70 %, one fifth at bust and hip, one tenth at the waist [C], the sum [A]."""
    printed = read_printed(example("alto-1-sheath"))
    for level, inches, share in (("bust", 37.5, 0.2), ("waist", 30.25, 0.1), ("hip", 40.5, 0.2)):
        assert girth_at(printed, level) == pytest.approx(inches * 25.4 / (1 + share * 0.7), abs=0.1)
    # 1 cm narrower than the hip on each quarter
    assert girth_at(printed, "hem") == pytest.approx(40.5 * 25.4 / 1.14 - 40.0, abs=0.3)


PILE = (
    "{name: velvet, kind: knit, width: 150 cm, stretch: {across: 60 %, along: 20 %}, surface: [pile], nap: up, "
    "thickness: 1.2 mm}"
)
WOMEN = survey_women(500)
MEN = survey_men(100)


@pytest.mark.parametrize("at", [3, 77, 151, 262, 340, 488])
@pytest.mark.parametrize(("units", "paper"), [("cm", "a4"), ("in", "letter")])
@pytest.mark.parametrize("recipe", [SHEATH, SKIRT])
def test_bodies_of_the_survey(recipe: str, units: str, paper: str, at: int, tmp_path: Path) -> None:
    printed = printed_for(tmp_path, ticket_for(recipe, WOMEN[at], units, paper))
    assert disagreements(printed, recipe) == []
    assert unequal_seams(printed, recipe) == []


@pytest.mark.parametrize(("recipe", "units", "paper"), [(SHEATH, "in", "a1"), (SKIRT, "cm", "a0")])
def test_papers_so_large_that_the_table_lies_on_the_sheet(recipe: str, units: str, paper: str, tmp_path: Path) -> None:
    printed = printed_for(tmp_path, ticket_for(recipe, WOMEN[20], units, paper))
    assert disagreements(printed, recipe) == []


@pytest.mark.parametrize("at", [5, 60])
def test_men(at: int, tmp_path: Path) -> None:
    printed = printed_for(tmp_path, ticket_for(SKIRT, MEN[at], "cm", "a4", figure="man"))
    assert disagreements(printed, SKIRT) == []


def test_a_side_dart_is_left_out_of_bust_and_side(tmp_path: Path) -> None:
    text = ticket_for(SHEATH, WOMEN[9], "cm", "a4", choices="{side dart: 3 cm, back depth: 2 cm}")
    printed = printed_for(tmp_path, text)
    assert any(line.what == "side.2" for line in printed.pieces["front"])
    assert disagreements(printed, SHEATH) == []
    assert unequal_seams(printed, SHEATH) == []


def test_pieces_printed_whole_are_measured_over_both_halves_and_counted_once(tmp_path: Path) -> None:
    printed = printed_for(tmp_path, ticket_for(SHEATH, WOMEN[40], "cm", "a4", cloth=PILE))
    assert {"front", "back"} <= printed.whole
    assert printed.cuts["front"] == "cut 1 in one layer"
    assert times_round(printed, "front") == 1
    assert disagreements(printed, SHEATH) == []
    assert unequal_seams(printed, SHEATH) == []


def test_a_side_dart_is_left_out_of_a_piece_printed_whole(tmp_path: Path) -> None:
    text = ticket_for(SHEATH, WOMEN[9], "cm", "a4", choices="{side dart: 3 cm, back depth: 2 cm}", cloth=PILE)
    assert disagreements(printed_for(tmp_path, text), SHEATH) == []


def moved_line(pdf: bytes, name: str, dx: float) -> bytes:
    """The same file with one named line moved sideways by `dx` mm."""
    with pikepdf.open(io.BytesIO(pdf)) as file:
        form = file.pages[-1].Resources.XObject["/X0"]
        inside, commands = False, []
        for operands, operator in pikepdf.parse_content_stream(form):
            changed = list(operands)
            if str(operator) == "BDC" and str(operands[0]) == "/Onfold":
                inside = str(operands[1].Name) == name
            elif inside and str(operator) in {"m", "l", "c"}:
                changed = [float(v) + (dx * 72 / 25.4 if at % 2 == 0 else 0) for at, v in enumerate(operands)]
            commands.append((changed, operator))
        form.write(pikepdf.unparse_content_stream(commands))
        out = io.BytesIO()
        file.save(out)
    return out.getvalue()


def test_the_reading_notices_a_side_seam_drawn_2_mm_off() -> None:
    """The proof can fail: 2 mm at the side of the back is 4 mm round the hip."""
    printed = read_printed(moved_line(example("soprano-2-skirt"), "side of back", 2.0))
    found = disagreements(printed, SKIRT)
    assert len(found) == 1
    assert found[0].startswith("hip: 1034.0")


def test_the_readers_own_arithmetic() -> None:
    """A straight cubic, and a quarter circle by the usual cubic: its length is within 0.03 % of pi r / 2 [A]."""
    assert bezier_length(((0, 0), (1, 0), (2, 0), (3, 0))) == pytest.approx(3.0, abs=1e-9)
    k = 4 / 3 * (2**0.5 - 1) * 100
    quarter = ((100.0, 0.0), (100.0, k), (k, 100.0), (0.0, 100.0))
    assert bezier_length(quarter) == pytest.approx(157.0796, rel=3e-4)
    assert in_mm("32 5/16 in") == (pytest.approx(820.7375), 0.79375)
    assert in_mm("41.5 cm") == (415.0, 0.5)


def test_a_level_that_a_piece_lacks_has_no_width() -> None:
    assert width_at(read_printed(example("soprano-2-skirt")), "waistband", "hip") is None
