"""Where a seam stops short, at an opening or a vent, and which end of a waistband stands out beyond it."""

from __future__ import annotations

from dataclasses import replace

from onfold.making.assembly import Corner, copies_of, corner
from onfold.making.folds import folds_of
from onfold.making.hands import Hands
from onfold.making.job import Job
from onfold.making.laps import lap_of
from onfold.making.notions import has_underlap
from onfold.making.operation import Act
from onfold.pattern import Piece


def band_in(job: Job, hands: Hands) -> Piece | None:
    """Return the waistband with an underlap that a seam sets on, or None."""
    found = [hands.pattern.piece(name) for name in job.pieces] if len(job.pieces) > 1 else []
    return next((piece for piece in found if has_underlap(piece)), None)


def pin_underlap(hands: Hands) -> Act:
    """Return the pinning of a band: beyond which back its underlap stands out."""
    lap = lap_of(hands.pattern)
    if not lap.known:
        return Act("pin", f"Pin the band with its underlap beyond the {lap.under}, the one that will lie beneath.")
    return Act(
        "pin",
        f"Pin the band with its underlap beyond the {lap.under}, which lies beneath as worn. If it lies at the left, "
        "turn the band end for end and carry its marks across.",
    )


def sewn_only_to(act: Act, ends: tuple[str, ...]) -> Act:
    """Return the sewing of a seam that stops short: how far it goes, in the same sentence."""
    far = f"from {ends[0]} to {ends[1]}; backstitch at both" if len(ends) > 1 else f"up to {ends[0]}; backstitch there"
    return replace(act, says=f"{act.says.removesuffix('.')}, {far}.")


def stops_of(job: Job, hands: Hands) -> tuple[str, ...]:
    """Return where a seam stops short of its edges' ends: where an opening begins, at the head of a vent."""
    found: list[str] = []
    for opening in hands.pattern.openings:
        for text in opening.edges:
            name, _, of = text.rpartition(" of ")
            if set(job.pieces) == {of} and _ends_of(hands.pattern.piece(of), name) & job.corners:
                found.append(f"where the {opening.name} begins")
    if ends_at_a_vent(job, hands):
        found.append("the head of the vent")
    return tuple(dict.fromkeys(found))


def ends_at_a_vent(job: Job, hands: Hands) -> bool:
    """Return whether a seam of a piece to its twin ends at the head of a vent."""
    piece = hands.pattern.piece(job.pieces[0]) if len(job.pieces) == 1 else None
    if piece is None:
        return False
    vents = [fold for fold in folds_of(hands.pattern, piece) if fold.kind == "vent"]
    beyond = [piece.edges[n].name for fold in vents for n in fold.beyond]
    return any(_ends_of(piece, edge) & job.corners for edge in beyond)


def _ends_of(piece: Piece | None, edge: str) -> frozenset[Corner]:
    if piece is None:
        return frozenset()
    at = [n for n, each in enumerate(piece.edges) if edge in (each.name, each.parent)]
    return frozenset(corner(piece, copy, n + k) for n in at for k in (0, 1) for copy in copies_of(piece))
