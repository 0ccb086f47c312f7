"""Everything to have beside the cloth: thread, needles, fastenings, tape, interfacing, binding. mm, mm2."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from onfold.cloth import Cloth, SystemOfUnits
from onfold.geometry.path import bounds_of, flatten_all
from onfold.geometry.region import area
from onfold.making.fastenings import (
    USUAL_BUTTON,
    Button,
    button_places,
    buttonhole_length,
    edge_beyond,
    elastic_length,
    elastic_width,
    zip_for,
)
from onfold.making.handling import handling_of
from onfold.making.machine import needle_for, say_needle, twin_needle_for
from onfold.making.operation import SewnRow
from onfold.making.rows import Worked, copies_of, edge_lengths, rows_in, worked_in
from onfold.making.stays import StayKind, stays_of
from onfold.making.stitches import stitch_type
from onfold.making.thread import USUAL_SPOOL, USUAL_WASTE, say_run, say_spool, thread_need
from onfold.making.traits import WeightClass, stretches, weight_class
from onfold.pattern import Edge, Opening, Pattern, Piece, edges_of
from onfold.units import UNITS, capital, say_length, say_small

Unit = Literal["mm", "mm2", "piece", "spool", "cone"]

HAND_NEEDLES: Mapping[WeightClass, str] = {"light": "9 to 10", "medium": "7 to 8", "heavy": "5 to 6"}
"""Sizes of sharps, the usual hand needles, by the cloth's weight [C]."""
INTERFACED = frozenset({"waistband", "collar", "cuff", "cuffs", "stand", "placket"})
"""Pieces that a construction calls to be interfaced, by a word of their name [C]."""
ZIP_STRIP = 25.0  # mm wide: the strip of interfacing along each side of a zip's opening [C]
STAND_OVER = 10.0  # mm of a buttonhole stand's strip beyond twice its overlap [C]
NARROW = 6.0  # mm of stay tape or elastic in an edge [C]
BINDING_OVER = 0.10  # of a binding's length for its joins and ends [C]
BIAS_SEAM = 0.25 * UNITS["in"]  # taken off the square's side for its own seam (T63 [C])
PER_STRIP = 4.0  # a single binding's strip is four times its finished width (T66 [C])


@dataclass(frozen=True)
class Notion:
    """One thing to have: how much of it, for which part (`the back opening`, `all rows`).

    `size` says which, `note` what to do with it.

    `guessed` where the amount or size stands on a default that the maker did not state.
    """

    name: str
    amount: float
    unit: Unit
    part: str
    size: str = ""
    note: str = ""
    guessed: bool = False


def notions_of(
    pattern: Pattern,
    cloth: Cloth,
    *,
    units: SystemOfUnits = "cm",
    rows: Sequence[SewnRow] | None = None,
    button: Button | None = None,
    waste: float = USUAL_WASTE,
    spool: float = USUAL_SPOOL,
) -> tuple[Notion, ...]:
    """Return all that this garment wants beside its cloth, thread first.

    `rows` are those of the order of making up; without them they are taken from the pattern's finishes and the thread
    is `guessed`. Without a `button` a usual one is taken, and said to be a guess.
    """
    worked = worked_in(pattern, cloth)
    sewn = rows_in(pattern, cloth) if rows is None else rows
    return (
        *_threads(sewn, cloth, units, waste, spool, rows is None),
        *_needles(sewn, cloth),
        *(each for opening in pattern.openings for each in _closing(pattern, opening, units, button)),
        *_hooks(pattern),
        *_elastics(worked, units),
        *_tapes(pattern, cloth, units),
        *_interfacings(pattern, cloth, units, button or USUAL_BUTTON),
        *_bindings(worked, units),
    )


def _threads(
    rows: Iterable[SewnRow], cloth: Cloth, units: SystemOfUnits, waste: float, spool: float, taken: bool
) -> list[Notion]:
    need = thread_need(rows, cloth, waste=waste, spool=spool)
    guessed = taken or bool(need.guessed)
    found = []
    if need.spools:
        note = f"About {say_run(need.sewing, units)} are sewn, waste counted in."
        size = f"{say_spool(need.spool, units)} on a spool"
        found.append(Notion("sewing thread", need.spools, "spool", "seams and hand sewing", size, note, guessed))
    if need.cones:
        note = f"About {say_run(need.overlock, units)} over all cones; bobbins or spools do for so little."
        found.append(Notion("overlock thread", need.cones, "cone", "overlocked seams", "", note, guessed))
    return found


def _needles(rows: Iterable[SewnRow], cloth: Cloth) -> list[Notion]:
    needle, sewn = needle_for(cloth), {row.stitch for row in rows}
    note = f"{needle.why} Change it after about eight hours of sewing."
    found = [Notion("machine needle", 1, "piece", "all rows", say_needle(needle), note, needle.guessed)]
    if "twin needle" in sewn:
        twin = twin_needle_for(cloth)
        found.append(Notion("twin needle", 1, "piece", "twin needle rows", say_needle(twin), "", twin.guessed))
    by_hand = any(stitch_type(stitch).worked == "hand" for stitch in sewn)
    size = f"sharps {HAND_NEEDLES[weight_class(cloth)]}"
    part = "tacking and hand sewing" if by_hand else "tacking"
    return [*found, Notion("hand needle", 1, "piece", part, size, "", "weight" in cloth.guessed)]


def _closing(pattern: Pattern, opening: Opening, units: SystemOfUnits, button: Button | None) -> list[Notion]:
    if opening.closes == "zip":
        return [_zip(opening, units)]
    if opening.closes == "buttons":
        return [_buttons(pattern, opening, units, button)]
    if opening.closes == "tie":
        note = "On a child's garment ask the local rules on cords first."
        return [Notion("ties", 2, "piece", f"the {opening.name}", "", note, True)]
    return []


def _zip(opening: Opening, units: SystemOfUnits) -> Notion:
    made = zip_for(opening.length, units)
    asked = say_length(opening.length, units)
    if made is None:
        note = f"The opening is {asked}: buy zip by the length and cut it."
        return Notion("zip", 1, "piece", f"the {opening.name}", asked, note)
    longer = made > opening.length + 0.5
    note = f"The opening is {asked}: shorten the zip at its foot." if longer else ""
    return Notion("zip", 1, "piece", f"the {opening.name}", say_length(made, units), note)


def _buttons(pattern: Pattern, opening: Opening, units: SystemOfUnits, button: Button | None) -> Notion:
    each = button or USUAL_BUTTON
    places = button_places(opening.length, each, bust_from_top(pattern, opening))
    gap = f", {say_length(places[1] - places[0], units)} apart" if len(places) > 1 else ""
    hole, beyond = say_small(buttonhole_length(each), units), say_small(edge_beyond(each), units)
    first = f"The first {say_length(places[0], units)} from the top{gap}. " if places else ""
    note = f"{first}Buttonholes {hole} long; the edge lies at least {beyond} beyond the centre."
    size = f"{say_small(each.diameter, units)} across"
    return Notion("buttons", len(places), "piece", f"the {opening.name}", size, note, button is None)


def bust_from_top(pattern: Pattern, opening: Opening) -> float | None:
    """Return how far below the top of an opening the bust line crosses it, mm; None where it does not."""
    for name in opening.edges:
        edge_name, _, piece_name = name.partition(" of ")
        piece = pattern.piece(piece_name)
        line = (
            next((each for each in piece.inner if each.kind == "level" and each.name == "bust"), None)
            if piece
            else None
        )
        edges = edges_of(piece, edge_name) if piece else ()
        if line is None or not edges:
            continue
        box, level = bounds_of([edge.path for edge in edges]), float(line.path.curves[0, 0, 1])
        if box[1] < level < box[3]:
            return box[3] - level
    return None


def _elastics(worked: Iterable[Worked], units: SystemOfUnits) -> list[Notion]:
    """Return elastic for every edge that is named for it, its girth all pieces together: `waist casing`."""
    girths: dict[str, float] = {}
    depths: dict[str, float] = {}
    for each in worked:
        if {"elastic", "casing"} & set(each.name.split()):
            girths[each.name] = girths.get(each.name, 0.0) + each.length
            depths[each.name] = each.finish.depth
    note = "Try it on before its ends are sewn."
    return [
        Notion("elastic", elastic_length(girth), "mm", f"the {name}", _elastic_size(depths[name], units), note, True)
        for name, girth in girths.items()
    ]


def _elastic_size(tunnel: float, units: SystemOfUnits) -> str:
    width = elastic_width(tunnel)
    if width is None:
        return ""
    mm, inches = width
    return f"{say_length(inches * UNITS['in'], 'in') if units == 'in' else f'{mm:g} mm'} wide"


def _tapes(pattern: Pattern, cloth: Cloth, units: SystemOfUnits) -> list[Notion]:
    stays = stays_of(pattern, cloth)
    kinds: tuple[tuple[StayKind, str], ...] = (("tape", "stay tape"), ("elastic", "narrow elastic"))
    found = []
    for kind, name in kinds:
        held = [stay for stay in stays if stay.kind == kind]
        parts = ", ".join(dict.fromkeys(f"the {stay.edge} of the {stay.piece}" for stay in held))
        if held:
            found.append(
                Notion(
                    name,
                    sum(stay.length for stay in held),
                    "mm",
                    parts,
                    f"{say_small(NARROW, units)} or narrower",
                    "",
                    True,
                )
            )
    return found


def _interfacings(pattern: Pattern, cloth: Cloth, units: SystemOfUnits, button: Button) -> list[Notion]:
    """Return interfacing for the pieces and edges whose construction calls for it: area, mm2, and outer size."""
    handling = handling_of(cloth)
    kind = "fusible" if handling.fusible else "sewn in"
    note = "Try it on a scrap first." if handling.fusible else "Tack it in: this cloth takes no hot plate."
    note = f"{note} Take one that stretches with the cloth." if stretches(cloth) else note
    found = []
    for piece in pattern.pieces:
        if INTERFACED & set(piece.name.split()):
            ring, wide, high = _outline(piece)
            size = f"{kind}, {say_length(wide, units)} by {say_length(high, units)}"
            surface = abs(area(ring)) * copies_of(piece)
            found.append(Notion("interfacing", surface, "mm2", f"the {piece.name}", size, note))
    measured = edge_lengths(pattern)
    for opening in pattern.openings:
        strip = _strip_for(opening, button)
        for piece, edge in _opening_edges(pattern, opening) if strip else ():
            long = measured[piece.name, edge.name]
            size = f"{kind}, {say_length(long, units)} by {say_length(strip, units)}"
            found.append(
                Notion(
                    "interfacing",
                    long * strip * copies_of(piece),
                    "mm2",
                    f"the {edge.name} of the {piece.name}",
                    size,
                    note,
                    True,
                )
            )
    return found


def has_underlap(piece: Piece | None) -> bool:
    """Return whether a band laps over itself, and is held by a hook and bar."""
    return piece is not None and any(edge.root == "underlap" for edge in piece.edges)


def _hooks(pattern: Pattern) -> list[Notion]:
    return [
        Notion("hook and bar", 1.0, "piece", f"the {piece.name}") for piece in pattern.pieces if has_underlap(piece)
    ]


def interfaced(pattern: Pattern) -> tuple[str, ...]:
    """Return what is interfaced, as it is said: `waistband`, `zip of back`; the last word names the piece."""
    whole = [piece.name for piece in pattern.pieces if INTERFACED & set(piece.name.split())]
    strips = [
        f"{edge.name} of {piece.name}"
        for opening in pattern.openings
        if _strip_for(opening, USUAL_BUTTON)
        for piece, edge in _opening_edges(pattern, opening)
    ]
    return tuple(dict.fromkeys([*whole, *strips]))


def _strip_for(opening: Opening, button: Button) -> float:
    if opening.closes == "zip":
        return ZIP_STRIP
    return 2.0 * edge_beyond(button) + STAND_OVER if opening.closes == "buttons" else 0.0


def _opening_edges(pattern: Pattern, opening: Opening) -> list[tuple[Piece, Edge]]:
    found = []
    for name in opening.edges:
        edge_name, _, piece_name = name.partition(" of ")
        piece = pattern.piece(piece_name)
        found += [(piece, edge) for edge in edges_of(piece, edge_name)] if piece else []
    return found


def _outline(piece: Piece) -> tuple[np.ndarray, float, float]:
    ring = piece.cut_line
    if ring is None:
        ring = np.concatenate(flatten_all([edge.path for edge in piece.edges]))
    wide, high = (ring.max(axis=0) - ring.min(axis=0)).tolist()
    return ring, wide * (2.0 if piece.on_fold else 1.0), high


def _bindings(worked: Iterable[Worked], units: SystemOfUnits) -> list[Notion]:
    """Return bias binding for bound seams and edges: both raw edges of a seam (T66, T62)."""
    found = []
    for each in worked:
        if each.finish.kind != "bound" or not each.finish.rows:
            continue
        length = each.length * (2.0 if each.is_seam else 1.0) * (1.0 + BINDING_OVER)
        strip = PER_STRIP * each.finish.rows[-1].from_raw
        square = square_for_bias(length, strip, units)
        note = f"Or cut it from a square of {say_length(square, units)} on the bias." if square else ""
        part = f"the {each.name}" if each.is_seam else f"the {each.name} of the {each.piece}"
        found.append(Notion("bias binding", length, "mm", part, f"strip {say_small(strip, units)} wide", note, True))
    return found


def square_for_bias(length: float, strip: float, units: SystemOfUnits = "cm") -> float | None:
    """Return the side of the square, mm, that gives so much bias: sqrt(length x strip) and its seam, rounded up.

    To the whole centimetre or inch (T62 [C]: 250 in of 2 in want 23 in). None where there is nothing to cut.
    """
    if not (length > 0.0 and strip > 0.0):
        return None
    step = UNITS["in"] if units == "in" else UNITS["cm"]
    return math.ceil((math.sqrt(length * strip) + BIAS_SEAM) / step - 1e-9) * step


def say_notion(notion: Notion, units: SystemOfUnits) -> str:
    """Return one notion as it is written on a shopping list: `zip, 20 cm, for the back opening.`"""
    much = {
        "mm": lambda: say_run(notion.amount, units) if notion.amount > 1000.0 else say_length(notion.amount, units),
        "mm2": lambda: _say_area(notion.amount, units),
        "piece": lambda: f"{notion.amount:g}",
        "spool": lambda: f"{notion.amount:g} spool{'s' if notion.amount != 1 else ''}",
        "cone": lambda: f"{notion.amount:g} cone{'s' if notion.amount != 1 else ''}",
    }[notion.unit]()
    size = f", {notion.size}" if notion.size else ""
    guess = " (a guess)" if notion.guessed else ""
    said = f"{capital(notion.name)}, {much}{size}, for {notion.part}{guess}."
    return f"{said} {notion.note}".rstrip()


def _say_area(mm2: float, units: SystemOfUnits) -> str:
    if units == "in":
        return f"{math.ceil(mm2 / UNITS['in'] ** 2)} square inches"
    return f"{math.ceil(mm2 / 100.0)} cm2"
