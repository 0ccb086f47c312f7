"""Which edges of a garment want a stay, of what, and how long. Lengths are mm; common practice throughout [C]."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from onfold.cloth import Cloth, SystemOfUnits
from onfold.making.rows import copies_of, edge_lengths
from onfold.making.traits import is_coated, stretches
from onfold.pattern import Edge, Pattern, Piece
from onfold.units import say_length

StayKind = Literal["tape", "elastic", "stay stitching"]

MOST_TURN = 35.0  # degrees of a cowl's total turn above which its armhole falls on the bias and grows (T175 [C])
TAPE_OVER = 10.0  # mm of tape more than the edge, to be caught in the seams at its ends [C]
ELASTIC_SHARE = 0.95  # of the edge: a low back is held in by so much [C]
SLANTING = ("neck", "armhole", "waist", "shoulder")  # edges that stretch while they are handled [C]


@dataclass(frozen=True)
class Stay:
    """What holds one edge of one piece: mm of it in all, every copy of the edge counted, and why."""

    piece: str
    edge: str
    kind: StayKind
    length: float
    why: str


def stays_of(pattern: Pattern, cloth: Cloth) -> tuple[Stay, ...]:
    """Return the stays that this garment wants in this cloth, in the pattern's order.

    Stretch cloth: straps and shoulders taped (T179), a cowl's armhole taped, above 35 degrees of turn in any cloth
    (T175), a low back held in with elastic (T184). Wovens: necks, armholes and waists stay stitched where they slant.
    """
    lengths = edge_lengths(pattern)
    found: list[Stay] = []
    for piece in pattern.pieces:
        for edge in piece.edges:
            stay = None if edge.fold or edge.finish == "dart" else _stay_of(pattern, piece, edge, cloth)
            if stay is not None:
                kind, why = stay
                over = TAPE_OVER * 2.0 if kind == "tape" else 0.0
                length = (lengths[piece.name, edge.name] + over) * copies_of(piece)
                found.append(Stay(piece.name, edge.root, kind, length, why))
    return _joined(found)


def _joined(stays: list[Stay]) -> tuple[Stay, ...]:
    """Return the stays with those of one edge's leaves in one, in the order first met."""
    found: dict[tuple[str, str, StayKind], Stay] = {}
    for stay in stays:
        key = stay.piece, stay.edge, stay.kind
        had = found.get(key)
        found[key] = replace(had, length=had.length + stay.length) if had else stay
    return tuple(found.values())


def _stay_of(pattern: Pattern, piece: Piece, edge: Edge, cloth: Cloth) -> tuple[StayKind, str] | None:
    soft = stretches(cloth)
    if piece.name.startswith("strap"):
        return (
            ("tape", "The strap carries the garment and would stretch.") if soft and _long_side(piece, edge) else None
        )
    words = edge.root.split()
    turn = pattern.facts.get("total turn")
    cowl = turn is not None and piece.name == "front" and edge.root == "armhole"
    if cowl and turn is not None and (soft or turn.value > MOST_TURN):
        if not turn.value > 0.0:
            return (
                "tape",
                "The straps pull at the head of this armhole, and in stretch cloth it grows.",
            )
        return "tape", f"The cowl hangs from this armhole; {'in stretch cloth' if soft else 'on the bias'} it grows."
    if soft:
        if "shoulder" in words:
            return "tape", "The shoulder carries the garment and would stretch."
        if edge.root == "back neck" and "back depth" in pattern.facts:
            return "elastic", "A low back gapes unless it is held in; elastic still lets it pass over the body."
        return None
    slanting = bool(set(words) & set(SLANTING)) and "facing" not in words and not is_coated(cloth)
    if slanting and not all(edge.path.straight):
        return "stay stitching", "The edge slants across the thread and stretches while it is handled."
    return None


def _long_side(piece: Piece, edge: Edge) -> bool:
    """Return whether this is the edge that a strap's tape is measured by: its first long one."""
    longest = max(piece.edges, key=lambda each: float(abs(each.path.curves[-1, 3] - each.path.curves[0, 0]).max()))
    return edge is longest


def say_stay(stay: Stay, units: SystemOfUnits) -> str:
    """Return one stay as a sentence: what, where, how long, and why."""
    where = f"the {stay.edge} of the {stay.piece}"
    long = say_length(stay.length, units)
    held = say_length(stay.length * ELASTIC_SHARE, units)
    what = {
        "tape": f"Tape {where} on the wrong side, its middle on the seam line, the cloth not stretched: {long} of stay "
        "tape in all, measured from the paper",
        "elastic": f"Hold in {where} with narrow elastic: {held} between its ends, stretched to fit",
        "stay stitching": f"Stay stitch {where}, just inside the allowance",
    }[stay.kind]
    return f"{what}. {stay.why}"
