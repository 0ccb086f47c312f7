"""A reader of printed patterns that knows nothing of how they were drafted: the PDF file alone, and its own arithmetic.

The lines come from the content streams (pikepdf), the tables from the text a person reads (pdfplumber). A named line
stands in marked content between `BDC` and `EMC`; the name of its layer is looked up among the page's properties.
All lengths are mm on paper. Nothing of Onfold is imported here.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction

import numpy as np
import pdfplumber
import pikepdf

MM = 25.4 / 72.0
OTHER_HALF = ", other half"
"""What stands after an edge's name on the second half of a piece that is printed opened out."""
Spot = tuple[float, float]
Curve = tuple[Spot, Spot, Spot, Spot]


@dataclass(frozen=True)
class Line:
    """One stroke on the sheet: its layer, its name, its curves in mm (a straight run is the cubic of its thirds)."""

    layer: str
    name: str
    curves: tuple[Curve, ...]

    @property
    def what(self) -> str:
        return self.name.rpartition(" of ")[0]

    @property
    def piece(self) -> str:
        return self.name.rpartition(" of ")[2]

    @property
    def ends(self) -> tuple[Spot, Spot]:
        return self.curves[0][0], self.curves[-1][3]

    @property
    def length(self) -> float:
        return sum(bezier_length(curve) for curve in self.curves)


@dataclass(frozen=True)
class Printed:
    """A pattern as printed: the lines of each piece and the tables. `whole` are the pieces printed opened out."""

    pieces: dict[str, tuple[Line, ...]]
    levels: dict[str, dict[str, str]]
    seams: dict[str, dict[str, str]]
    cuts: dict[str, str]
    down: dict[str, str]
    pages: int
    scales: tuple[float, ...] = field(default=())
    whole: frozenset[str] = frozenset()


def read_printed(pdf: bytes) -> Printed:
    """Return what is printed. Raises AssertionError where the file is not a pattern that can be measured."""
    strokes, scales, pages = sheet_lines(pdf)
    tables = read_tables(pdf)
    pieces = _by_piece(strokes)
    return Printed(
        pieces,
        {row["level"]: row for row in tables["level"]},
        {re.sub(r" \(.*", "", row["seam"]): row for row in tables["seam"]},
        {row["piece"]: row["cut"] for row in tables["piece"]},
        {row["centre of"]: row["length"] for row in tables.get("centre of", [])},
        pages,
        scales,
        frozenset(name for name, lines in pieces.items() if any(OTHER_HALF in line.name for line in lines)),
    )


def sheet_lines(pdf: bytes) -> tuple[list[Line], tuple[float, ...], int]:
    """Return the lines of the one sheet that all pages show, the scales it is shown at, and the number of pages."""
    with pikepdf.open(io.BytesIO(pdf)) as file:
        sheets: dict[tuple[int, int], pikepdf.Object] = {}
        scales: set[float] = set()
        for page in file.pages:
            assert "/UserUnit" not in page.obj, "a page with units of its own would be scaled"
            for name, (a, b, c, d) in _shown(page):
                form = page.Resources.XObject[name]
                sheets[form.objgen] = form
                assert (b, c) == (0, 0), "the sheet is turned or slanted on the page"
                scales |= {a, d}
        assert len(sheets) == 1, "the pages don't show one and the same sheet"
        (form,) = sheets.values()
        return list(_lines_of(form)), tuple(sorted(scales)), len(file.pages)


def _shown(page: pikepdf.Page) -> Iterator[tuple[str, tuple[float, float, float, float]]]:
    """Yield each drawing shown on a page with the turn and scale of the page's own axes there."""
    kept: list[np.ndarray] = []
    now = np.eye(2)
    for operands, operator in pikepdf.parse_content_stream(page):
        match str(operator):
            case "q":
                kept.append(now)
            case "Q":
                now = kept.pop()
            case "cm":
                now = np.array([float(each) for each in operands[:4]]).reshape(2, 2) @ now
            case "Do":
                yield str(operands[0]), tuple(now.ravel().tolist())


def _lines_of(form: pikepdf.Object) -> Iterator[Line]:
    layers = {str(key): str(layer.Name) for key, layer in form.Resources.Properties.items()}
    marked: list[tuple[str, str]] = []
    curves: list[Curve] = []
    here = first = (0.0, 0.0)
    for operands, operator in pikepdf.parse_content_stream(form):
        match str(operator):
            case "BDC":
                tag, content = str(operands[0]), operands[1]
                marked.append((tag, layers[str(content)] if tag == "/OC" else str(content.Name)))
            case "EMC":
                marked.pop()
            case "m":
                here = first = _spot(operands)
            case "l":
                curves.append(_straight(here, to := _spot(operands)))
                here = to
            case "c":
                curves.append((here, _spot(operands[:2]), _spot(operands[2:4]), to := _spot(operands[4:])))
                here = to
            case "s" | "b" | "h" | "f" | "S" as paint:
                if paint in {"s", "b", "h"} and math.dist(here, first) > 1e-9:
                    curves.append(_straight(here, first))
                    here = first
                if paint != "h":
                    said = dict(marked)
                    yield Line(said.get("/OC", ""), said.get("/Onfold", ""), tuple(curves))
                    curves = []
            case "cm" | "re":
                raise AssertionError(f"'{operator}' inside the sheet is not understood")


def _spot(operands: Iterable[object]) -> Spot:
    x, y = (float(each) * MM for each in operands)  # type: ignore[arg-type]
    return x, y


def _straight(a: Spot, b: Spot) -> Curve:
    (ax, ay), (bx, by) = a, b
    return a, (ax + (bx - ax) / 3, ay + (by - ay) / 3), (ax + (bx - ax) * 2 / 3, ay + (by - ay) * 2 / 3), b


def _by_piece(strokes: list[Line]) -> dict[str, tuple[Line, ...]]:
    """Return the named lines of each piece. A piece's cut line is drawn last; what follows it is the next drawing."""
    drawings: list[list[Line]] = [[]]
    for stroke in strokes:
        if not stroke.name:
            continue
        was_cut = bool(drawings[-1]) and drawings[-1][-1].what == "cut line"
        if was_cut and stroke.name != drawings[-1][-1].name:
            drawings.append([])
        drawings[-1].append(stroke)
    found: dict[str, tuple[Line, ...]] = {}
    for lines in drawings:
        if lines and lines[-1].what == "cut line":
            name = lines[-1].piece
            assert name not in found, f"the {name} is printed twice: it would be cut twice"
            found[name] = tuple(line for line in lines if line.piece == name)
    return found


def bezier_length(curve: Curve, within: float = 1e-6) -> float:
    """Return a cubic's length in mm: halved until chord and control polygon agree (their mean is taken)."""
    a, b, c, d = curve
    chord = math.dist(a, d)
    polygon = math.dist(a, b) + math.dist(b, c) + math.dist(c, d)
    if polygon - chord <= within:
        return (chord + polygon) / 2
    left, right = _halves(curve)
    return bezier_length(left, within / 2) + bezier_length(right, within / 2)


def _halves(curve: Curve) -> tuple[Curve, Curve]:
    a, b, c, d = curve
    ab, bc, cd = _mid(a, b), _mid(b, c), _mid(c, d)
    abc, bcd = _mid(ab, bc), _mid(bc, cd)
    middle = _mid(abc, bcd)
    return (a, ab, abc, middle), (middle, bcd, cd, d)


def _mid(a: Spot, b: Spot) -> Spot:
    return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2


def crossings(curve: Curve, y: float) -> list[float]:
    """Return the x at which a curve crosses a height."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = curve
    if min(ay, by, cy, dy) > y or max(ay, by, cy, dy) < y:
        return []
    rising = (-ay + 3 * by - 3 * cy + dy, 3 * ay - 6 * by + 3 * cy, -3 * ay + 3 * by, ay - y)
    found = []
    for root in np.roots(np.trim_zeros(np.where(np.abs(rising) < 1e-9, 0.0, rising), "f")):
        t = float(root.real)
        if abs(root.imag) < 1e-9 and 0.0 <= t < 1.0:
            u = 1 - t
            found.append(u**3 * ax + 3 * u * u * t * bx + 3 * u * t * t * cx + t**3 * dx)
    return found


def edges(printed: Printed, piece: str, name: str, other: str = "") -> list[Line]:
    """Return a piece's seam lines of this name, or what a dart has cut it into (`waist.1`, `waist.2`).

    `other` is OTHER_HALF for those of the second half of a piece printed whole.
    """
    return [
        line
        for line in printed.pieces[piece]
        if line.layer == "seam lines" and re.fullmatch(rf"{re.escape(name)}(\.\d+)?{other}", line.what)
    ]


def edge_length(printed: Printed, piece: str, name: str, other: str = "") -> float:
    """Return an edge's length by the tape, darts left out."""
    found = edges(printed, piece, name, other)
    assert found, f"no seam line '{name} of {piece}' is printed"
    return sum(line.length for line in found)


def width_at(printed: Printed, piece: str, level: str) -> float | None:
    """Return a piece's width at a level, darts left out, both halves of one printed whole; None where it has none.

    Where the level is an edge, that edge is measured. Else the outline is cut at the height of the level's line; at a
    corner the wider side counts.
    """
    if edges(printed, piece, level):
        twin = edge_length(printed, piece, level, OTHER_HALF) if piece in printed.whole else 0.0
        return edge_length(printed, piece, level) + twin
    drawn = [line for line in printed.pieces[piece] if line.layer == "levels" and line.what == f"{level} level"]
    if not drawn:
        return None
    heights = {round(spot[1], 3) for line in drawn for curve in line.curves for spot in curve}
    assert len(heights) == 1, f"the line of the {level} on the {piece} is not level"
    y = drawn[0].curves[0][0][1]
    return max(_inside(printed, piece, y + off) for off in (-0.03, 0.03))


def _inside(printed: Printed, piece: str, y: float) -> float:
    """Return the width at a height from the centre to the outermost seam line, less what lies between dart legs.

    The centre is the fold, produced where a low neck has cut it away, or the edge nearest the centre of a whole piece.
    A piece printed opened out is measured on both sides of its centre, and the two are added.
    """
    outline = [line for line in printed.pieces[piece] if line.layer == "seam lines"]
    if piece not in printed.whole:
        return _one_side(printed, piece, outline, y)
    own = [line for line in outline if not line.what.endswith(OTHER_HALF)]
    twin = [line for line in outline if line.what.endswith(OTHER_HALF)]
    return _one_side(printed, piece, own, y) + _one_side(printed, piece, twin, y)


def _one_side(printed: Printed, piece: str, outline: list[Line], y: float) -> float:
    across = [x for line in outline for curve in line.curves for x in crossings(curve, y)]
    darted = [line for line in outline if re.search(rf" leg( \d+)?({OTHER_HALF})?$", line.what)]
    legs = sorted(x for line in darted for curve in line.curves for x in crossings(curve, y))
    if not across:
        return 0.0
    fold = fold_of(printed, piece)
    centre = fold.ends[0][0] if fold else min(across)
    if len(legs) % 2:  # in the mouth of a dart at the side
        return max(abs(x - centre) for x in legs)
    darts = sum(right - left for left, right in zip(legs[::2], legs[1::2], strict=True))
    return max(abs(x - centre) for x in across) - darts


def fold_of(printed: Printed, piece: str) -> Line | None:
    """Return the line the cloth is folded on, straight up the paper, or None for a piece without a fold.

    On a piece printed opened out it is the line down its centre.
    """
    layer = "marks" if piece in printed.whole else "fold lines"
    for line in printed.pieces[piece]:
        if line.layer == layer and line.what.startswith("centre"):
            ends = [spot for curve in line.curves for spot in curve]
            assert max(x for x, _ in ends) - min(x for x, _ in ends) < 0.01, f"the fold of the {piece} is not straight"
            return line
    return None


def girth_at(printed: Printed, level: str) -> float:
    """Return the finished girth at a level: the width of each piece that goes round, as often as it is cut."""
    total = 0.0
    for piece in printed.pieces:
        width = width_at(printed, piece, level)
        if width is not None:
            total += width * times_round(printed, piece)
    return total


def times_round(printed: Printed, piece: str) -> int:
    """Return how often a piece as drawn goes round the body, by what the sheet says of cutting it."""
    cut = printed.cuts[piece]
    count = int(re.search(r"cut (\d+)", cut)[1])  # type: ignore[index]
    return 2 * count if "fold" in cut else count


def down_the_centre(printed: Printed, piece: str, top: str) -> float:
    """Return the finished length at a piece's centre: from where its top edge begins there to the hem."""
    centre = fold_of(printed, piece)
    hem = [spot for line in edges(printed, piece, "hem") for spot in line.ends]
    high = [spot for line in edges(printed, piece, top) for spot in line.ends]
    assert hem, f"no hem of the {piece} is printed"
    assert high, f"no '{top} of {piece}' is printed"
    x = centre.curves[0][0][0] if centre else min(each for each, _ in high)
    foot, head = (min(spots, key=lambda spot: abs(spot[0] - x)) for spots in (hem, high))
    assert abs(foot[0] - x) < 0.05, f"the hem of the {piece} doesn't reach its centre"
    assert abs(head[0] - x) < 0.05, f"the {top} of the {piece} doesn't reach its centre"
    return math.dist(foot, head)


_HEADS = {
    "level": ("level", "body", "finished", "worn stretch"),
    "seam": ("seam", "sewn", "one side", "other side"),
    "piece": ("piece", "cut", "from"),
    "centre of": ("centre of", "length"),
}


def read_tables(pdf: bytes) -> dict[str, list[dict[str, str]]]:
    """Return the rows of the sheet's tables by the first word of their heads, each row a cell by its head."""
    tables: dict[str, list[dict[str, str]]] = {name: [] for name in _HEADS}
    with pdfplumber.open(io.BytesIO(pdf)) as file:
        for page in file.pages[:3]:
            left, top, right, bottom = page.bbox
            words = [
                word
                for word in page.extract_words(keep_blank_chars=False, x_tolerance=1.0, y_tolerance=1.0)
                if word["upright"] and left <= word["x0"] and word["x1"] <= right and top <= word["top"] <= bottom
            ]
            for name, heads in _HEADS.items():
                for spot in _heads_at(words, heads):
                    tables[name] += _rows(words, heads, *spot)
            if tables["level"] and tables["piece"]:
                break
    return tables


def _heads_at(words: list[dict], heads: tuple[str, ...]) -> Iterator[tuple[list[float], float]]:
    """Yield where a table's heads stand: the left of each, and the top of their line."""
    wanted = " ".join(heads).split()
    firsts = [sum(len(head.split()) for head in heads[:at]) for at in range(len(heads))]
    for row in _text_lines(words):
        for at in range(len(row) - len(wanted) + 1):
            if [word["text"] for word in row[at : at + len(wanted)]] == wanted:
                yield [row[at + first]["x0"] for first in firsts], row[at]["top"]


def _text_lines(words: list[dict]) -> list[list[dict]]:
    lines: list[list[dict]] = []
    for word in sorted(words, key=lambda word: (word["bottom"], word["x0"])):
        if lines and abs(lines[-1][0]["bottom"] - word["bottom"]) < 1.0:
            lines[-1].append(word)
        else:
            lines.append([word])
    return [sorted(line, key=lambda word: word["x0"]) for line in lines]


_TABLE_WIDTH = 77.5 / MM
_NEXT_LINE = 4.6 / MM


def _rows(words: list[dict], heads: tuple[str, ...], lefts: list[float], top: float) -> list[dict[str, str]]:
    inside = [
        word for word in words if lefts[0] - 1 <= word["x0"] < lefts[0] + _TABLE_WIDTH and word["top"] > top + 3.0
    ]
    rows: list[list[str]] = []
    last = top
    for line in _text_lines(inside):
        if line[0]["top"] - last > _NEXT_LINE + 3.0:
            break
        last = line[0]["top"]
        cells = [""] * len(heads)
        for word in line:
            at = max(at for at, left in enumerate(lefts) if word["x0"] >= left - 1)
            cells[at] = f"{cells[at]} {word['text']}".strip()
        begins = bool(cells[0]) and (len(heads) == 2 or bool(cells[2]))
        if begins:
            rows.append(cells)
        elif rows:
            rows[-1] = [f"{old} {new}".strip() for old, new in zip(rows[-1], cells, strict=True)]
    return [dict(zip(heads, row, strict=True)) for row in rows]


def in_mm(said: str) -> tuple[float, float]:
    """Return a printed length in mm, and half the step it is rounded to: `32 5/16 in`, `103 cm`, `41.5 cm`."""
    number, unit = re.fullmatch(r"([\d /.]+?) (in|cm)", said).groups()  # type: ignore[union-attr]
    if unit == "cm":
        return float(number) * 10.0, 0.5
    value = float(sum(Fraction(part) for part in number.split()))
    return value * 25.4, 25.4 / 32
