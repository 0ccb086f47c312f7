"""The order of cutting, and what is done before the first cut."""

from __future__ import annotations

from onfold.cloth import Cloth, in_one_layer
from onfold.making.hands import Hands
from onfold.making.operation import Act, Operation
from onfold.making.pressing import mark_notches, mark_point
from onfold.pattern import Pattern, Piece
from onfold.units import capital, say_list

WOVEN_COWL = (
    "On the straight thread a woven cowl may stand and not fall: drape a scrap or make a toile first, or cut the front "
    "on the bias, opened out in one layer."
)


def how_cut(piece: Piece, cloth: Cloth | None = None) -> str:
    """Return how a piece is cut, as a cutter says it: `cut 1 on the fold`, `cut 2, a mirrored pair`.

    In a `cloth` that is never folded it is cut whole: `cut 1 whole, in one layer`.
    """
    if not piece.cut:
        return "no cut count given"
    if piece.on_fold:
        return f"cut {piece.cut} {'whole, in one layer' if is_cut_whole(piece, cloth) else 'on the fold'}"
    return f"cut {piece.cut}, a mirrored pair" if piece.mirrored_pair else f"cut {piece.cut}"


def is_cut_whole(piece: Piece, cloth: Cloth | None) -> bool:
    """Return whether a piece drafted as a half is cut whole, its cloth in one layer. Linings are folded as usual."""
    return piece.on_fold and piece.material == "main" and cloth is not None and in_one_layer(cloth)


def cutting_order(pattern: Pattern) -> list[Piece]:
    """Return the pieces as they are cut: on the fold first, then pairs, then single ones; the longest first in each,
    pieces alike in the pattern's order.

    What lies on the fold needs the cloth folded and its whole length free; what is left takes the small pieces [C].
    """

    def rank(piece: Piece) -> tuple[bool, int, float]:
        group = 0 if piece.on_fold else 1 if piece.mirrored_pair or piece.cut > 1 else 2
        return piece.material != "main", group, -_reach(piece)

    return sorted(pattern.pieces, key=rank)


def _reach(piece: Piece) -> float:
    """Return how long a piece lies along the cloth: its extent in Y, mm."""
    ys = [value for edge in piece.edges for value in edge.path.curves[:, (0, 3), 1].ravel().tolist()]
    return round(max(ys) - min(ys), 3) if ys else 0.0


def prepare_cloth(hands: Hands) -> Operation:
    """Return what is done to the cloth before it is laid out: shrunk, relaxed, pressed, squared."""
    cloth = hands.cloth
    washed = (
        "The cloth is washed first: check that it was."
        if cloth.washed_first
        else "Wash or steam the cloth as the garment will be washed, so that it shrinks now."
    )
    acts = [Act("wash", washed), hands.press("cloth")]
    acts.append(Act("test", f"Square the cut ends on {'a course of loops' if cloth.kind == 'knit' else 'a thread'}."))
    if cloth.kind == "knit":
        acts.append(Act("rest", "Let it lie relaxed for a day, none of it hanging over the table's edge."))
    return Operation("the cloth", "prepare", tuple(acts), why="What shrinks or relaxes later spoils the fit.")


def cut_pieces(hands: Hands) -> Operation:
    """Return the cutting, piece by piece in its order."""
    pattern, cloth = hands.pattern, hands.cloth
    acts = [
        Act("test", "Measure the printed square, and each grain line to the selvage at both its ends, before you cut.")
    ]
    relaxing = "relaxed for a day"  # said where the cloth is prepared
    acts += [Act("test", said) for said in hands.handling.cutting if relaxing not in said]
    if cloth.stretch_across > 0.0 or cloth.stretch_along > 0.0:
        acts.append(Act("test", "The greater stretch runs round the body; along a strap the lesser."))
    if cloth.nap in ("up", "down"):
        ends = ("the hem", "the top") if cloth.nap == "up" else ("the top", "the hem")
        acts.append(Act("test", f"Stroking from {ends[0]} to {ends[1]} of every piece feels smooth."))
    if cloth.kind == "woven" and _has_cowl(pattern):
        # [C] T175: woven cowls are cut on the bias, the front opened out
        acts.append(Act("test", WOVEN_COWL))
    for piece in cutting_order(pattern):
        material = "" if piece.material == "main" else f" from {piece.material}"
        fold = ", its fold edge exactly on the fold; do not cut along it" if piece.on_fold else ""
        if is_cut_whole(piece, cloth):
            fold = "; of a half turn the paper over on its centre, and chalk round it again"
        acts.append(Act("cut", f"{capital(piece.name)}: {how_cut(piece, cloth)}{material}{fold}."))
    names = tuple(piece.name for piece in pattern.pieces)
    return Operation(
        "cutting",
        "cut",
        tuple(acts),
        pieces=names,
        why="The cloth has shrunk and rested; the longest pieces come first.",
    )


def _has_cowl(pattern: Pattern) -> bool:
    """Return whether a cowl was opened: a spread of nought leaves the front flat."""
    fall = pattern.facts.get("cowl fall")
    return fall is not None and fall.value > 0.0


def mark_pieces(hands: Hands) -> Operation:
    """Return the marking: notches, points and lines, and a label on every piece."""
    pattern = hands.pattern
    acts = [
        Act("pin", "Pin its label on every piece as it leaves the table, and an arrow to the top where it is chalked.")
    ]
    if any(piece.notches for piece in pattern.pieces):
        acts.append(Act("mark", mark_notches(hands.handling)))
    if any("inlay" in (edge.finish or "") for piece in pattern.pieces for edge in piece.edges):
        acts.append(Act("mark", "Beside an inlay mark notches on the seam line, in thread or chalk: nicks go with it."))
    for piece in pattern.pieces:
        names = list(dict.fromkeys(mark.name for mark in piece.marks))
        if names:
            acts.append(Act("mark", mark_point(hands.handling, f"{say_list(names)} on the {piece.name}")))
    lines = {inner.name: None for piece in pattern.pieces for inner in piece.inner if inner.kind == "fold line"}
    if lines:
        acts.append(Act("mark", f"Mark both ends of the {say_list(tuple(lines))}."))
    acts += [Act("test", said) for said in hands.handling.marking[1:]]
    names_of = tuple(piece.name for piece in pattern.pieces)
    why = "What is not marked now cannot be found once the paper is off."
    return Operation("marking", "mark", tuple(acts), pieces=names_of, why=why)
