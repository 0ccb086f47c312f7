"""What a finish means for the pattern and the hands: allowance, give, the turn of the cloth, the order of sewing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from onfold.cloth import Cloth, SystemOfUnits
from onfold.construction.kinds import CONSTRUCTIONS, Finish, FinishFault, Row, Trim
from onfold.construction.reading import read_finish
from onfold.units import say_small

TURN_PER_THICKNESS = 2.0  # mm of turn for each mm of cloth: over and under its thickness [C]
TACKING = "tacking"  # the stitch of a row that is taken out again
LEAST_TURN, MOST_TURN, LEAST_PILE_TURN = 1.0, 3.0, 2.0  # mm a folded facing is cut short [C]
_Speaker = Callable[[float], str]
"""Says millimetres in the maker's units, as at the machine."""


def settled(finish: Finish, cloth: Cloth) -> Finish:
    """Return the finish with its usual figures and stitch taken for this cloth; what the maker stated stays."""
    again = read_finish(finish.text, cloth)
    return finish if isinstance(again, FinishFault) else again


def allowance_of(finish: Finish, cloth: Cloth) -> float:
    """Return the allowance to cut, mm: the maker's own figures, or the usual ones for this cloth and thickness."""
    return settled(finish, cloth).allowance


def give_of(finish: Finish, cloth: Cloth, stretch: float | None = None) -> float:
    """Return how far the sewn edge can stretch, a share: what its rows allow and its cloth has.

    `stretch` is the cloth's own along that edge; crosswise where none is given. An edge without a row gives all.
    """
    own = cloth.stretch_across if stretch is None else stretch
    sewn = settled(finish, cloth)
    return min(sewn.give, sewn.give_of_cloth * own)


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


def from_cut(finish: Finish, row: Row) -> float:
    """Return how far a row lies from the raw edge as it was cut, mm: the inlay is still there."""
    return row.from_raw + finish.inlay


def tacking_row(finish: Finish) -> Row | None:
    """Return the row by which a seam or edge with an inlay is tacked for the try-on; None where there is no inlay.

    It lies on the net line; its `from_raw` is measured from the raw edge as cut, the inlay included.
    """
    return Row("tacking row", 0.0, finish.allowance, TACKING) if finish.inlay > 0.0 else None


def say_finish(finish: Finish, units: SystemOfUnits) -> str:
    """Return the finish in a few words: `french, 10 mm: first row 6 mm, trimmed to 3 mm, second row 4 mm`.

    An inlay is said behind it, with all that is then cut: `plain, 15 mm; inlay 25 mm: 40 mm allowed`.
    """
    length = _speaker(units)
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


def steps_of(finish: Finish, units: SystemOfUnits) -> list[str]:
    """Return the sentences by which this seam or hem is sewn, in order, with its rows, trims and turns.

    One with an inlay is tacked, tried on and cut back first.
    """
    return [*inlay_steps(finish, units), *_STEPS[finish.kind](replace(finish, allowance=finish.kept), _speaker(units))]


def inlay_steps(finish: Finish, units: SystemOfUnits, joins: bool | None = None) -> list[str]:
    """Return the sentences for an inlay, up to where it is cut away; none where there is no inlay.

    `joins` says whether two edges are sewn together here; left out, whether the construction does so. Source of the
    order, tack, try on, let out or take in, cut, sew: common practice [C].
    """
    tacking = tacking_row(finish)
    if tacking is None:
        return []
    say = _speaker(units)
    seam = finish.kind in _JOINS if joins is None else joins
    left = f"{say(finish.kept)} beyond it are left" if finish.kept > 0.0 else "the edge lies on it"
    if not seam:
        return [
            f"Mark the line with a row of tacking, {say(tacking.from_raw)} from the raw edge; the outer "
            f"{say(finish.inlay)} are the inlay.",
            "Try it on, and mark where the edge is to lie; tack the new line and try it on again.",
            f"When the line is settled, cut the inlay away, so that {left}.",
        ]
    sides = "Wrong" if finish.kind == "french" else "Right"
    return [
        f"{sides} sides together, tack the seam on its line, {say(tacking.from_raw)} from the raw edge; "
        f"the outer {say(finish.inlay)} are the inlay.",
        "Try it on. Let out or take in, and mark the new line on both sides; tack it there and try it on again.",
        "When the line is settled, mark it on both sides and take out the tacking. Cut the inlay away, so that "
        f"{left}.",
    ]


def _speaker(units: SystemOfUnits) -> _Speaker:
    return lambda mm: say_small(mm, units)


def _trimmed(trims: tuple[Trim, ...], say: _Speaker) -> list[str]:
    return [
        f"Trim {'one allowance' if trim.sides == 'one' else 'both allowances'} to {say(trim.left)}." for trim in trims
    ]


def _row(row: Row, say: _Speaker) -> str:
    name = "seam" if row.order == "row" else row.order
    return f"sew the {name}, {row.stitch}, {say(row.from_raw)} from the raw edge"


def _plain(finish: Finish, say: _Speaker) -> list[str]:
    return [
        f"Right sides together, {_row(finish.rows[0], say)}.",
        "Neaten both raw edges.",
        "Press the seam flat as sewn, then press it open.",
    ]


def _neatened(finish: Finish, say: _Speaker) -> list[str]:
    own = "Trimming and neatening are done in the same pass." if finish.kind == "overlocked" else ""
    trims = _trimmed(finish.trims, say) if finish.kind != "overlocked" else []
    return [
        f"Right sides together, {_row(finish.rows[0], say)}, stretching the cloth as little as the feed asks.",
        *trims,
        *([own] if own else []),
        "Press both allowances to one side.",
    ]


def _french(finish: Finish, say: _Speaker) -> list[str]:
    first = finish.rows[0]
    return [
        f"Wrong sides together, {_row(first, say)}.",
        *_trimmed(finish.trims, say),
        "Press, then turn right sides together with the row just sewn exactly on the fold; press the fold.",
        f"Sew the second row, {first.stitch}, {say(first.from_net)} from the fold: it lies on the seam line "
        "and encloses the raw edges.",
        "Press the seam to one side.",
    ]


def _felled(finish: Finish, say: _Speaker) -> list[str]:
    return [
        f"Right sides together, {_row(finish.rows[0], say)}.",
        *_trimmed(finish.trims, say),
        "Fold the wider allowance in over the trimmed one and press both flat to the same side.",
        f"Sew the second row, {finish.rows[1].stitch}, along the fold, {say(finish.rows[1].from_net)} from the first.",
    ]


def _bound(finish: Finish, say: _Speaker) -> list[str]:
    binding = finish.rows[-1]
    bind = f"Bind the raw edge with a strip sewn {say(binding.from_raw)} in, turned over and stitched in the ditch."
    if len(finish.rows) == 1:
        return [bind]
    return [f"Right sides together, {_row(finish.rows[0], say)}.", "Press the seam open.", bind]


def _lapped_zip(finish: Finish, say: _Speaker) -> list[str]:
    under, lap = finish.rows
    return [
        "Sew the seam as far as the opening and tack the opening shut on its line.",
        f"Press the under side's allowance so that it stands out {say(under.from_net)} past the line, and stitch it "
        "close to the zip's teeth.",
        f"Lay the lap over the zip and stitch it {say(lap.from_net)} from the opening's line, across the foot of "
        "the zip and up.",
        "Take out the tacking.",
    ]


def _folded_facing(finish: Finish, say: _Speaker) -> list[str]:
    return [
        "Turn the facing to the wrong side along the fold line; the fold is not stitched.",
        "Press the fold lightly, or leave it soft where it is to hang.",
        "Catch the facing's ends in the seams beside it.",
    ]


def _double_turned(finish: Finish, say: _Speaker) -> list[str]:
    turn, depth = finish.turns
    return [
        f"Turn {say(turn)} to the wrong side and press.",
        f"Turn again, {say(depth)}, on the hem line and press.",
        f"Sew the hem row, {finish.stitch}, close to the first fold.",
    ]


def _single_turned(finish: Finish, say: _Speaker) -> list[str]:
    first = f"Turn the edge under by {say(finish.turns[0])} and press." if len(finish.turns) > 1 else "Neaten the edge."
    return [
        first,
        f"Turn the hem up {say(finish.depth)} on the hem line, pin and press the fold.",
        f"Sew the hem with {finish.stitch}, {say(finish.rows[0].from_net)} from the fold.",
    ]


def _raw(finish: Finish, say: _Speaker) -> list[str]:
    if finish.inlay > 0.0:
        return ["Leave the edge as it is cut now."]
    kept = f" The {say(finish.allowance)} beyond the line stay for fitting." if finish.allowance else ""
    return [f"Leave the edge as it was cut.{kept}"]


_STEPS = {
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

_JOINS = frozenset({"plain", "french", "overlocked", "narrow zigzag", "felled", "bound", "lapped zip"})
"""Constructions by which two edges are sewn together; the others work on one."""

CAUTIONS: Mapping[str, str] = {
    "iron": "Steam and the hot plate burn: keep your hands out of the steam's way and stand the iron on its heel.",
    "care": "The care label's symbol is the severest treatment allowed; for mixed fibres go by the most delicate.",
    "fibre": "Acetate, nylon and unknown fibres: try the iron on a scrap first.",
    "pile": "Press pile face down on a needle board or over thick pile, from the wrong side, with steam, the iron "
    "not resting.",
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
