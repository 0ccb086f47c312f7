"""The order of cutting, and the order of sewing as far as the pattern tells it."""

from __future__ import annotations

from onfold.cloth import Cloth, one_way
from onfold.construction import FinishFault, inlay_steps, read_finish, say_finish, steps_of
from onfold.guide.facts import GuideFacts, Part
from onfold.making.cutting import cutting_order, how_cut
from onfold.pattern import Pattern, Run, edges_of

_JOINING = frozenset({"plain", "overlocked", "narrow zigzag"})
"""Constructions that are told as joining two pieces; at a single edge they only neaten it."""


def tell_preparing(cloth: Cloth) -> list[str]:
    """Return what is done to the cloth before it is cut."""
    said = []
    if cloth.washed_first:
        said.append("The cloth is washed first: check that it was, and press it flat.")
    else:
        said.append("Wash or steam the cloth as the garment will be washed, before cutting, so that it shrinks now.")
    said.append("Square the cut ends on a thread, or on a row of stitches in a knit, and press out the bolt's crease.")
    if cloth.kind == "knit":
        said.append("Let a knit lie relaxed for a day before cutting, none of it hanging over the table's edge.")
    if cloth.stretch_across > 0 or cloth.stretch_along > 0:
        said.append("Lay every piece so that the greater stretch runs round the body.")
    return said


def tell_direction(cloth: Cloth, pairs: bool) -> list[str]:
    """Return the lines on one-way cloth, pile, repeats and slippery cloth that this cloth calls for."""
    said = []
    if one_way(cloth):
        way = {"up": "up the wearer", "down": "down the wearer"}.get(cloth.nap, "one way: find which by stroking it")
        said.append(
            f"One-way cloth: all tops lie to the same end, the nap pointing {way}. "
            "Chalk an arrow to the top on the back of each piece."
        )
    if one_way(cloth) and pairs:
        said.append("Of a pair one is cut turned over, never turned round.")
    if "pile" in cloth.surface:
        said.append(
            "Pile: cut in one layer, wrong side up, or folded wrong sides together; "
            "never pile to pile, never on the bolt's crease."
        )
    if "slippery" in cloth.surface or "sheer" in cloth.surface:
        said.append("Slippery or sheer: pin it to paper within the allowances, and cut the two together.")
    if "coated" in cloth.surface:
        said.append("Coated: pin holes stay. Hold the pattern with weights or clips, or pin within the allowances.")
    if cloth.repeat_along > 0 or cloth.repeat_across > 0:
        said.append("Stripe or check: lay partners at the same bar along their seam lines, not along their cut edges.")
    return said


def tell_cutting(pattern: Pattern, facts: GuideFacts) -> list[str]:
    """Return the cutting, piece by piece in order, ready to be numbered."""
    lines = []
    for piece in cutting_order(pattern):
        material = "" if piece.material == "main" else f" from {piece.material}"
        grain = f", grain {piece.grain.kind}" if piece.grain is not None else ""
        fold = ", its fold edge exactly on the fold; do not cut along it" if piece.on_fold else ""
        lines.append(f"{piece.name}: {how_cut(piece)}{material}{grain}{fold}.")
    return lines


def allowance_rows(pattern: Pattern, facts: GuideFacts) -> tuple[tuple[str, ...], ...]:
    """Return (piece, edge, allowance, finish) for every edge, leaves of one root together where they are alike."""
    rows: list[tuple[str, ...]] = []
    for piece in pattern.pieces:
        seen: set[tuple[str, ...]] = set()
        for edge in piece.edges:
            if edge.finish == "dart" or (edge.parent is None and edge.name.startswith("dart ")):
                continue
            said = "none, fold" if edge.fold else facts.say_small(edge.allowance)
            row = (edge.root, said, edge.finish or "")
            if row not in seen:
                rows.append((piece.name, *row))
            seen.add(row)
    return tuple(rows)


def seam_parts(pattern: Pattern, facts: GuideFacts) -> list[Part]:
    """Return a part for every seam in its order, then one for every finished edge, each with its construction."""
    parts = []
    for seam in pattern.seams:
        gist, lines = _construction(seam.finish or seam.construction, facts)
        heading = f"{seam.name}{', both sides' if seam.twice else ''}"
        note = f"{_joins(pattern, seam.sides, facts, seam.ease)} {gist}".strip()
        parts.append(Part("steps", heading, lines=lines, note=note, level=2))
    for finish, edges in _free_edges(pattern).items():
        gist, lines = _construction(finish, facts, alone=True)
        parts.append(Part("steps", _tell_edges(edges), lines=lines, note=gist, level=2))
    return parts


def _free_edges(pattern: Pattern) -> dict[str, list[tuple[str, str]]]:
    """Return the (edge, piece) that are in no seam, by their finish, in the order they are met."""
    sewn = {(run.piece, run.edge) for seam in pattern.seams for side in seam.sides for run in side}
    found: dict[str, list[tuple[str, str]]] = {}
    for piece in pattern.pieces:
        for edge in piece.edges:
            joined = (piece.name, edge.name) in sewn or (piece.name, edge.root) in sewn
            if not edge.finish or edge.finish == "dart" or joined or edge.fold:
                continue
            edges = found.setdefault(edge.finish, [])
            edges += [] if (edge.root, piece.name) in edges else [(edge.root, piece.name)]
    return found


def _tell_edges(edges: list[tuple[str, str]]) -> str:
    """Return edges with the pieces they are on: `hem of front and back`, `armhole and armhole facing of front`."""
    by_edge: dict[str, list[str]] = {}
    for edge, piece in edges:
        by_edge.setdefault(edge, []).append(piece)
    by_pieces: dict[str, list[str]] = {}
    for edge, pieces in by_edge.items():
        by_pieces.setdefault(" and ".join(pieces), []).append(edge)
    return "; ".join(f"{' and '.join(names)} of {pieces}" for pieces, names in by_pieces.items())


def _construction(finish: str, facts: GuideFacts, alone: bool = False) -> tuple[str, tuple[str, ...]]:
    """Return a finish in few words and the sentences by which it is sewn; `alone`: at an edge joined to nothing."""
    read = read_finish(finish, facts.cloth)
    if isinstance(read, FinishFault):
        return "", (f"Sew as {finish}." if finish else "Sew on the seam line.",)
    gist = f"{_upper(say_finish(read, facts.units))}."
    if not read.allowance and not read.rows:
        gist = f"{_upper(read.kind)}."
    if alone and read.kind in _JOINING:
        how = "" if read.kind == "plain" else f" with {read.stitch}"
        neaten = f"Neaten the raw edge{how}; where other work is laid on it, it is caught in that."
        return gist, (*inlay_steps(read, facts.units, joins=False), neaten, "Press it.")
    return gist, tuple(steps_of(read, facts.units))


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def _joins(pattern: Pattern, sides: tuple[tuple[Run, ...], tuple[Run, ...]], facts: GuideFacts, ease: float) -> str:
    """Return which edges meet, how long they are, and what ease one side carries."""
    said = []
    for side in sides:
        names = " and ".join(dict.fromkeys(f"{run.edge} of {run.piece}" for run in side))
        said.append(names)
    note = f"{said[0]} to {said[1]}" if said[0] != said[1] else f"{said[0]}, to itself"
    notches = sorted({run.piece for side in sides for run in side if _notched(pattern, run)})
    if notches:
        note += "; match the notches"
    if abs(ease) >= 0.5:
        longer = said[0] if ease > 0 else said[1]
        note += f"; ease in {facts.say_small(abs(ease))} of {longer}"
    return f"{note}."


def _notched(pattern: Pattern, run: Run) -> bool:
    piece = pattern.piece(run.piece)
    if piece is None:
        return False
    names = {run.edge, *(edge.name for edge in edges_of(piece, run.edge))}
    return any(notch.edge in names for notch in piece.notches)
