"""Reading a finish as a maker writes it: `french 10 mm, first row 6 mm, trim 3 mm`.

A finish is a construction's name, its figure, then any parts after commas, `with` or `and`: rows, turns, trims, a
stitch. A comma between two figures is a decimal comma. An `inlay` is cut beyond all of that, for fitting.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from difflib import get_close_matches

from onfold.cloth import Cloth
from onfold.construction.kinds import (
    BINDING,
    CONSTRUCTIONS,
    FIRST_ROW_SHARE,
    MOST,
    MOST_SEAM,
    NAMES,
    PARTS,
    STITCHES,
    USUAL_INLAY,
    USUAL_TRIM,
    ZIP_LAP,
    ZIP_UNDERLAP,
    Construction,
    Finish,
    FinishFault,
    Row,
    Trim,
    takes_inlay,
    usual_figure,
    usual_stitch,
)
from onfold.units import UnitFault, plain, read_quantity

Figures = dict[str, float]
Makings = tuple[float, tuple[Row, ...], tuple[Trim, ...], tuple[float, ...], float]  # uses, rows, trims, turns, depth

_DIVIDERS = re.compile(r",(?!\d)|(?<!\d),|;|\bwith\b|\band\b", re.IGNORECASE)
_FIGURE = re.compile(r"[-−+.]?\d")
_PLUS = re.compile(r"\+")
EDGE_STITCH = 2.0  # mm from a fold to the row that holds it [C]
HEM_ROW = 5.0  # mm from a neatened raw edge to the hem's row [C]
NEATENED = 6.0  # mm left beyond an overlock's or zigzag's row [C]


def read_finish(text: str, cloth: Cloth | None = None) -> Finish | FinishFault:
    """Return the finish this text says, or why it cannot be read.

    Figures carry their units. What is not stated is the construction's usual figure, by the cloth where one is
    given. Nothing is guessed about a stated figure: rows that do not add up to it stand as written, and a check
    finds them (`Finish.uses` against `Finish.allowance`).
    """
    chunks = list(_chunks(text))
    if not chunks:
        return FinishFault("No finish is written here.", 1, "", say_kinds(), "Write one, for example 'plain 15 mm'.")
    head = _read_head(*chunks[0])
    if isinstance(head, FinishFault):
        return head
    construction, figures = head
    stitch = usual_stitch(construction, cloth)
    columns: dict[str, int] = {}
    for column, chunk in chunks[1:]:
        part = _read_part(column, chunk, construction)
        if isinstance(part, FinishFault):
            return part
        name, value = part
        if isinstance(value, str):
            stitch = value
            continue
        if name in figures:
            return FinishFault(
                f"'{name}' stands twice.", column, plain(chunk), f"one {name}", "Keep the one that is meant."
            )
        figures[name] = value
        columns[name] = column
    return _make_up(text.strip(), construction, figures, stitch, columns, cloth)


def say_kinds() -> str:
    """Return the names of all constructions as one phrase, for problems."""
    names = list(CONSTRUCTIONS)
    return f"{', '.join(names[:-1])} or {names[-1]}"


def with_inlay(text: str, said: str) -> str:
    """Return a finish's text with its inlay said anew, `25 mm`; a text without an inlay as it is."""
    for column, words in _chunks(text):
        if words.lower().startswith("inlay"):
            return f"{text[: column - 1]}inlay {said}{text[column - 1 + len(words) :]}"
    return text


def _chunks(text: str) -> list[tuple[int, str]]:
    """Return (column, words) of each part between the dividers, columns from 1, empty parts left out."""
    found = []
    start = 0
    for end, following in [(m.start(), m.end()) for m in _DIVIDERS.finditer(text)] + [(len(text), len(text))]:
        words = text[start:end]
        if words.strip():
            found.append((start + len(words) - len(words.lstrip()) + 1, words.strip()))
        start = following
    return found


def _read_head(column: int, chunk: str) -> tuple[Construction, Figures] | FinishFault:
    figure_at = _FIGURE.search(chunk)
    name = " ".join(chunk[: figure_at.start() if figure_at else None].lower().split())
    if name not in NAMES:
        return _unknown_kind(column, chunk, name)
    construction = CONSTRUCTIONS[NAMES[name]]
    if figure_at is None:
        return construction, {}
    figures = chunk[figure_at.start() :]
    plus = _PLUS.search(figures, 1)
    first = _read_length(column + figure_at.start(), figures[: plus.start()] if plus else figures)
    if plus is None or isinstance(first, FinishFault):
        return first if isinstance(first, FinishFault) else (construction, {"figure": first})
    plus_column = column + figure_at.start() + plus.start()
    if construction.name != "french":
        return FinishFault(
            f"Two figures joined by '+' are the rows of a french seam, not of '{construction.name}'.",
            plus_column,
            plain(chunk),
            f"one figure: {construction.figure_is}",
            "Give one figure and name the other after a comma.",
        )
    second = _read_length(plus_column + 1, figures[plus.end() :])
    if isinstance(second, FinishFault):
        return second
    return construction, {"first row": first, "second row": second}


def _unknown_kind(column: int, chunk: str, name: str) -> FinishFault:
    if not name:
        return FinishFault(
            f"'{plain(chunk)}' names no construction.",
            column,
            plain(chunk),
            say_kinds(),
            f"Say how it is sewn before the figure, for example 'plain {plain(chunk)}'.",
        )
    near = get_close_matches(name, list(NAMES), n=1, cutoff=0.6)
    meant = f"Did you mean '{near[0]}'? " if near else ""
    return FinishFault(
        f"No seam or hem is called '{plain(name)}'.",
        column,
        plain(name),
        say_kinds(),
        f"{meant}Write one of these: {say_kinds()}.",
    )


def _read_part(column: int, chunk: str, construction: Construction) -> tuple[str, float | str] | FinishFault:
    words = " ".join(chunk.lower().split())
    if words in STITCHES:
        return ("stitch", words) if construction.stitch else _no_rows(column, chunk, construction)
    figure_at = _FIGURE.search(chunk)
    said = " ".join(chunk[: figure_at.start() if figure_at else None].lower().split())
    known = [*construction.parts, *(["inlay"] if takes_inlay(construction) else []), "allowance"]
    part = PARTS.get(said)
    if part == "inlay" and part not in known:
        return _no_inlay(column, chunk, construction)
    if part is None or part not in known:
        expected = [*(f"{each} …" for each in known), *(STITCHES if construction.stitch else ())]
        near = get_close_matches(said, [*PARTS, *STITCHES], n=1, cutoff=0.6) if part is None else []
        meant = f"Did you mean '{near[0]}'? " if near else ""
        what = (
            f"'{construction.name}' has no {part}."
            if part
            else f"'{plain(chunk)}' is no part of '{construction.name}'."
        )
        return FinishFault(what, column, plain(chunk), ", ".join(expected), f"{meant}Keep to the parts expected.")
    if figure_at is None and part == "inlay":
        return part, USUAL_INLAY
    if figure_at is None:
        return FinishFault(
            f"'{said}' has no figure.",
            column,
            plain(chunk),
            f"{said} and a length",
            f"Write for example '{said} 5 mm'.",
        )
    value = _read_length(column + figure_at.start(), chunk[figure_at.start() :])
    return value if isinstance(value, FinishFault) else (part, value)


def _no_inlay(column: int, chunk: str, construction: Construction) -> FinishFault:
    if "hem" in construction.uses:
        what = "a hem is let down from its own depth"
        remedy = "Leave the inlay out and state the hem deeper by what may be wanted."
    else:
        what = "a facing follows the edge it is folded to"
        remedy = "Leave the inlay out; give it to the seams beside the fold."
    expected = "no inlay"
    return FinishFault(f"'{construction.name}' takes no inlay: {what}.", column, plain(chunk), expected, remedy)


def _no_rows(column: int, chunk: str, construction: Construction) -> FinishFault:
    return FinishFault(f"'{construction.name}' has no row to sew.", column, chunk, "no stitch", f"Leave '{chunk}' out.")


def _read_length(column: int, text: str) -> float | FinishFault:
    """Return mm from 0 to `MOST`, or the fault."""
    words = text.strip()
    quantity = read_quantity(words)
    if isinstance(quantity, UnitFault):
        hint = f"Write {quantity.hint}." if quantity.hint else "Write a length with its unit: 15 mm or 5/8 in."
        at = column + max(0, quantity.column - 1)
        return FinishFault(f"In '{plain(words)}' {quantity.message}.", at, plain(words), "a length", hint)
    if quantity.kind != "length":
        remedy = f"Write {words} mm, or the unit that is meant." if quantity.kind == "number" else "Write a length."
        return FinishFault(f"'{plain(words)}' is not a length.", column, plain(words), "a length with its unit", remedy)
    if not (math.isfinite(quantity.value) and 0.0 <= quantity.value <= MOST):
        return FinishFault(
            f"{plain(words)} is no width for a seam or hem.",
            column,
            plain(words),
            f"from 0 to {MOST / 10:g} cm",
            "Correct the figure or its unit.",
        )
    return quantity.value


def _make_up(
    text: str,
    construction: Construction,
    figures: Figures,
    stitch: str,
    columns: Mapping[str, int],
    cloth: Cloth | None,
) -> Finish | FinishFault:
    stated = bool(figures.keys() - {"inlay"})
    inlay = figures.get("inlay", 0.0)
    if "figure" not in figures:
        both = "first row" in figures and "second row" in figures
        usual = usual_figure(construction, cloth)
        figures["figure"] = figures["first row"] + figures["second row"] if both else usual
    if "seam" in construction.uses and figures["figure"] > MOST_SEAM:
        return FinishFault(
            f"{plain(text)} is more than any seam is allowed.",
            1,
            plain(text),
            f"at most {MOST_SEAM / 10:g} cm",
            "Correct the figure or its unit; for letting out later add an inlay.",
        )
    makings = _MAKERS[construction.name](figures, stitch)
    if isinstance(makings, str):
        where = next((columns[part] for part in construction.parts if part in columns), 1)
        return FinishFault(makings, where, plain(text), construction.figure_is, "Correct one of the two figures.")
    uses, rows, trims, turns, depth = makings
    held_by = STITCHES.get(stitch) if rows else None
    return Finish(
        kind=construction.name,
        text=text,
        allowance=figures.get("allowance", inlay + (figures["figure"] if construction.name in _BY_FIGURE else uses)),
        rows=rows,
        trims=trims,
        turns=turns,
        give=held_by.most if held_by else math.inf,
        give_of_cloth=held_by.of_cloth if held_by else 1.0,
        uses=uses,
        depth=depth,
        stitch=stitch if rows else "",
        stated=stated,
        inlay=inlay,
    )


def _plain(figures: Figures, stitch: str) -> Makings | str:
    width = figures["figure"]
    return width, (Row("row", 0.0, width, stitch),), (), (), 0.0


def _neatened(figures: Figures, stitch: str) -> Makings | str:
    width = figures["figure"]
    left = figures.get("trim", min(NEATENED, width))
    if left > width:
        return f"It cannot be trimmed to {left:g} mm: the allowance is {width:g} mm."
    trims = (Trim("row", left),) if left < width else ()
    return width, (Row("row", 0.0, width, stitch),), trims, (), 0.0


def _french(figures: Figures, stitch: str) -> Makings | str:
    total = figures["figure"]
    first = figures.get("first row", total - figures["second row"] if "second row" in figures else None)
    first = FIRST_ROW_SHARE * total if first is None else first
    second = figures.get("second row", total - first)
    if first <= 0.0 or second <= 0.0:
        return f"An allowance of {total:g} mm leaves no room for two rows: first {first:g} mm, second {second:g} mm."
    left = figures.get("trim", min(USUAL_TRIM, 0.75 * second))
    rows = (Row("first row", second, first, stitch), Row("second row", 0.0, first + second, stitch))
    return first + second, rows, (Trim("first row", left),), (), 0.0


def _felled(figures: Figures, stitch: str) -> Makings | str:
    total = figures["figure"]
    second = figures.get("second row", total / 2.0)
    if not 0.0 < second < total:
        return f"The fell of {second:g} mm does not fit in an allowance of {total:g} mm."
    left = figures.get("trim", min(5.0, 0.75 * second))
    rows = (Row("first row", 0.0, total, stitch), Row("second row", second, total - second, stitch))
    return total, rows, (Trim("first row", left, "one"),), (total - second,), 0.0


def _bound(figures: Figures, stitch: str) -> Makings | str:
    width = figures["figure"]
    binding = figures.get("binding", min(BINDING, width) if width > 0.0 else BINDING)
    if 0.0 < width < binding:
        return f"A binding of {binding:g} mm does not fit in an allowance of {width:g} mm."
    rows = (Row("row", 0.0, width, stitch), Row("binding row", width - binding, binding, stitch))
    return width, rows if width > 0.0 else rows[1:], (), (), 0.0


def _lapped_zip(figures: Figures, stitch: str) -> Makings | str:
    width, lap = figures["figure"], figures.get("lap", min(ZIP_LAP, 0.5 * figures["figure"]))
    under = figures.get("underlap", ZIP_UNDERLAP)
    if max(lap, under) >= width:
        return f"A lap of {max(lap, under):g} mm does not fit in an allowance of {width:g} mm."
    rows = (Row("underlap row", under, width - under, stitch), Row("lap row", lap, width - lap, stitch))
    return width, rows, (), (), 0.0


def _folded_facing(figures: Figures, stitch: str) -> Makings | str:
    depth = figures["figure"]
    return depth, (), (), (depth,) if depth else (), depth


def _double_turned(figures: Figures, stitch: str) -> Makings | str:
    depth = figures["figure"]
    turn = figures.get("first turn", depth)
    if turn > depth:
        return f"A first turn of {turn:g} mm does not lie inside a hem {depth:g} mm deep."
    inside = min(EDGE_STITCH, depth / 2.0)
    row = Row("hem row", depth - inside, turn + inside, stitch)
    return depth + turn, (row,), (), (turn, depth), depth


def _single_turned(figures: Figures, stitch: str) -> Makings | str:
    depth, under = figures["figure"], figures.get("edge", 0.0)
    if under > depth:
        return f"An edge turned under by {under:g} mm does not lie inside a hem {depth:g} mm deep."
    inside = min(EDGE_STITCH if under else HEM_ROW, depth / 2.0)
    row = Row("hem row", depth - inside, under + inside, stitch)
    return depth + under, (row,), (), (under, depth) if under else (depth,), depth


def _raw(figures: Figures, stitch: str) -> Makings | str:
    return figures["figure"], (), (), (), 0.0


_MAKERS: Mapping[str, Callable[[Figures, str], Makings | str]] = {
    "plain": _plain,
    "french": _french,
    "overlocked": _neatened,
    "narrow zigzag": _neatened,
    "felled": _felled,
    "bound": _bound,
    "lapped zip": _lapped_zip,
    "folded facing": _folded_facing,
    "double turned": _double_turned,
    "single turned": _single_turned,
    "raw": _raw,
}
_BY_FIGURE = frozenset(CONSTRUCTIONS) - {"double turned", "single turned"}  # whose figure is the whole allowance
