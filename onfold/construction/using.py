"""What a finish means for the pattern and the hands: allowance, give, the turn of the cloth, the order of sewing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from onfold.cloth import Cloth, SystemOfUnits
from onfold.construction.kinds import CONSTRUCTIONS, Finish, FinishFault, Row
from onfold.construction.reading import read_finish
from onfold.units import say_small

TURN_PER_THICKNESS = 2.0  # mm of turn for each mm of cloth: over and under its thickness [C]
TACKING = "tacking"  # the stitch of a row that is taken out again
LEAST_TURN, MOST_TURN, LEAST_PILE_TURN = 1.0, 3.0, 2.0  # mm a folded facing is cut short [C]


def settled(finish: Finish, cloth: Cloth) -> Finish:
    """Return the finish with its usual figures and stitch taken for this cloth; what the maker stated stays."""
    again = read_finish(finish.text, cloth)
    return finish if isinstance(again, FinishFault) else again


def give_of(finish: Finish, stretch: float) -> float:
    """Return how far the sewn edge can stretch, a share: what its rows allow and its cloth has.

    `stretch` is the cloth's own along that edge. An edge without a row gives all.
    """
    return min(finish.give, finish.give_of_cloth * stretch)


def turn_of_cloth(cloth: Cloth) -> float:
    """Return by how much the free ends of a folded facing are cut short, mm: 1 to 3, to the half mm.

    Twice the thickness, at least 2 mm in pile cloth.
    """
    least = LEAST_PILE_TURN if "pile" in cloth.surface else LEAST_TURN
    return round(2.0 * min(MOST_TURN, max(least, TURN_PER_THICKNESS * cloth.thickness))) / 2.0


def is_hem(finish: Finish) -> bool:
    """Return whether this is a hem, whose figure is its finished depth."""
    return "hem" in CONSTRUCTIONS[finish.kind].uses


def encloses(finish: Finish) -> bool:
    """Return whether no raw edge shows: an enclosed seam's first row is trimmed to less than its second line.

    True of every other construction, which has no raw edge to hide this way.
    """
    if finish.kind != "french":
        return True
    second = finish.rows[0].from_net
    return all(trim.left < second for trim in finish.trims)


def rows_add_up(finish: Finish, tolerance: float = 0.05) -> bool:
    """Return whether the rows and turns, and the inlay where there is one, take up the whole allowance.

    `tolerance` in mm.
    """
    return abs(finish.uses + finish.inlay - finish.allowance) <= tolerance


def tacking_row(finish: Finish) -> Row | None:
    """Return the row by which a seam or edge with an inlay is tacked for the try-on; None where there is no inlay.

    It lies on the net line; its `from_raw` is measured from the raw edge as cut, the inlay included.
    """
    return Row("tacking row", 0.0, finish.allowance, TACKING) if finish.inlay > 0.0 else None


def say_finish(finish: Finish, units: SystemOfUnits) -> str:
    """Return the finish in a few words: `french, 10 mm: first row 6 mm, trimmed to 3 mm, second row 4 mm`.

    An inlay is said behind it, with all that is then cut: `plain, 15 mm; inlay 25 mm: 40 mm allowed`.
    """

    def length(mm: float) -> str:
        return say_small(mm, units)

    if finish.inlay > 0.0:
        sewn = say_finish(replace(finish, allowance=finish.kept, inlay=0.0), units)
        return f"{sewn}; inlay {length(finish.inlay)}: {length(finish.allowance)} allowed"
    if finish.kind == "french":
        first, left = finish.rows[0], finish.trims[0].left
        rows = f"first row {length(first.from_raw)}, trimmed to {length(left)}, second row {length(first.from_net)}"
        return f"french, {length(finish.allowance)}: {rows}"
    if is_hem(finish):
        turns = f", first turn {length(finish.turns[0])}" if len(finish.turns) > 1 else ""
        return f"{finish.kind}, {length(finish.depth)} finished{turns}, {length(finish.allowance)} allowed"
    if finish.kind == "folded facing" and not finish.allowance:
        return "folded facing, cut in one"
    return f"{finish.kind}, {length(finish.allowance)}"


CAUTIONS: Mapping[str, str] = {
    "iron": "Steam and the hot plate burn: keep your hands out of the steam's way and stand the iron on its heel.",
    "care": "The care label's symbol is the severest treatment allowed; for mixed fibres go by the most delicate.",
    "fibre": "Acetate, nylon and unknown fibres: try the iron on a scrap first.",
    "pile": "Steam pile from its wrong side, face down on a needle board or over thick pile; the iron never rests on "
    "it.",
    "blades": "Close a rotary blade after every cut, keep the guiding hand behind it and wear closed shoes.",
    "needle": "Switch the machine off to change the needle; change it about every eight hours of sewing.",
    "pins": "Count pins out and in, never hold them in the mouth, and take them out before the needle reaches them.",
    "bin": "Old pins, needles and blades go into a closed tin.",
}


# Fibres whose label tells the iron enough [C]; any other name, a misspelt one too, asks for a try on a scrap.
SURE_FIBRES = frozenset({"cotton", "linen", "wool", "silk", "viscose", "modal", "lyocell", "polyester", "elastane"})
WHOLE = 0.995  # from this share on the label names all of the cloth, rounding allowed for


def fibre_in_doubt(cloth: Cloth) -> bool:
    """Return whether the iron is tried on a scrap first: a fibre that is not sure, or a part of the cloth unnamed."""
    named = sum(share for _, share in cloth.fibre)
    return named < WHOLE or any(name.strip().lower() not in SURE_FIBRES for name, _ in cloth.fibre)


def cautions_for(cloth: Cloth) -> list[str]:
    """Return the cautions that belong in every guide, and those this cloth's surface and fibre add."""
    wanted = ["blades", "pins", "needle", "bin", "iron", "care"]
    wanted += ["pile"] if "pile" in cloth.surface else []
    wanted += ["fibre"] if fibre_in_doubt(cloth) else []
    return [CAUTIONS[name] for name in wanted]
