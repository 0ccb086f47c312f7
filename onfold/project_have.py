"""Does the cloth at hand do? Yes, no, or yes if: laid otherwise, made shorter, or pieced at its fold.

The longest length that fits is sought by asking the recipe again and again, never by scaling what is drawn, and every
answer carries the lay that proves it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from onfold.geometry.fault import Fault
from onfold.geometry.region import joined_region
from onfold.lay.bed import FOLDS, SAID, Fold
from onfold.lay.choosing import Answer, Asked, answers_for, shortest
from onfold.lay.flaws import flaw_rings
from onfold.lay.stripes import matches_of
from onfold.pattern import Piece, Seam
from onfold.problems import Place
from onfold.project import Garment
from onfold.project_cut import still_to_cut
from onfold.project_draft import draft_for
from onfold.project_lay import MAIN, LayAnswer, Says, Wish
from onfold.recipe.memory import Memory
from onfold.shelf.ticket import Written
from onfold.units import System, say_length

GRAINS: dict[System, float] = {"cm": 5.0, "in": 25.4 / 8.0}
"""mm to which a length that fits is sought: half a centimetre, an eighth of an inch."""
SEAM = 15.0
"""mm of allowance on each side where a piece is given a seam instead of its fold [C]."""
LENGTHS = ("length", "sleeve length", "skirt length")
"""Choices that make a garment longer or shorter."""


@dataclass(frozen=True, eq=False)
class Have:
    """What a length of cloth does. `verdict` is yes, no or if; `says` the whole of it in sentences.

    `longest` is the largest value of the choice `choice` that fits, mm, with the answer that proves it in `proof`;
    `answer` is the lay of the ticket as it stands where that fits.
    """

    verdict: str
    says: tuple[str, ...]
    answer: Answer | None = None
    choice: str = ""
    asked: float | None = None
    longest: float | None = None
    proof: Answer | None = None

    def data(self) -> dict[str, Any]:
        """Return it as plain data."""
        return {
            "verdict": self.verdict,
            "says": list(self.says),
            "choice": self.choice or None,
            "asked": self.asked,
            "longest": self.longest,
            "fold": self.proof.fold if self.proof else None,
            "length": self.proof.lay.length if self.proof and self.proof.lay else None,
        }


def have_answer(garment: Garment, length: float, wish: Wish, says: Says) -> Have:
    """Return whether so many mm of the ticket's cloth, as bought, do for it, and what would make them do.

    Of a garment that is cut only what is to be cut again counts, and no other length is sought: the rest is cut to this
    one.
    """
    ticket, draft = garment.ticket, garment.draft
    assert ticket is not None and draft is not None
    units, cloth = ticket.units, replace(ticket.cloth, at_hand=length)
    if wish.width is not None:
        cloth = replace(cloth, width=wish.width)
    folds = FOLDS if wish.fold is None else (wish.fold,)
    looked = _Look(garment, replace(wish, width=cloth.width), length, folds)
    there = f"{say_length(length, units)} of {say_length(cloth.width, units)}"
    if not any(each.material == MAIN for each in still_to_cut(garment)):
        return Have("yes", (f"{there} do: no piece is to be cut from it.",))
    says("laying the ticket as it stands")
    now = looked.at(None)
    known = () if ticket.cut_on else LENGTHS
    choice = next((name for name in known if name in draft.choices and draft.choices[name].value is not None), "")
    asked = draft.choices[choice].value if choice else None
    if not choice or asked is None:
        if now is not None:
            return Have("yes", (f"{there} do, {_way(now, units)}.",), now, proof=now)
        pieced = looked.pieced(units)
        return Have("if" if pieced else "no", (f"{there} do not do.", *pieced))
    least, most = draft.choices[choice].least or GRAINS[units], draft.choices[choice].most or 2.0 * asked
    low, high = (asked, max(most, asked)) if now is not None else (min(least, asked), asked)
    says(f"seeking the longest {choice} that fits")
    longest, proof = looked.longest(choice, low, high, GRAINS[units], now, asked)
    if now is not None:
        grown = f"The longest {choice} that fits is {say_length(longest or asked, units)}."
        return Have(
            "yes", (f"{there} do, {_way(now, units)}.", grown), now, choice, asked, longest or asked, proof or now
        )
    pieced = looked.pieced(units)
    if longest is None:
        said = (f"{there} do not do, not even with the least {choice}, {say_length(least, units)}.", *pieced)
        return Have("if" if pieced else "no", said, None, choice, asked, None, None)
    shorter = (
        f"{there} do if the {choice} is {say_length(longest, units)}: {say_length(asked - longest, units)} shorter, "
        f"{_way(proof, units)}."
    )
    return Have("if", (shorter, *pieced), None, choice, asked, longest, proof)


def have_together(answer: LayAnswer, length: float) -> Have:
    """Return whether so many mm of cloth, as bought, do for several tickets laid together, by the lay that was found.

    No other length is sought: whose it should be is not said.
    """
    laid = next((each for each in answer.laid if each.material == MAIN), None)
    there = say_length(length, answer.units)
    if laid is None:
        return Have("yes", (f"{there} do for all of them: no piece is to be cut from it.",))
    other = say_length(abs(length - laid.buy.before), answer.units)
    if laid.buy.before > length + 1e-6:
        return Have("no", (f"{there} do not do: {other} are lacking.",))
    found = Answer(laid.lay.bed.fold, laid.lay)
    return Have("yes", (f"{there} do for all of them, {other} to spare.",), found, proof=found)


def _way(answer: Answer | None, units: System) -> str:
    if answer is None or answer.lay is None:
        return "in no way"
    return f"{SAID[answer.fold]}: the lay takes {say_length(answer.lay.length, units)} after shrinking"


class _Look:
    """Lays one ticket's pieces, at other lengths too, on a length of cloth; each replay remembers the last."""

    def __init__(self, garment: Garment, wish: Wish, length: float, folds: Sequence[Fold]) -> None:
        assert garment.ticket is not None and garment.recipe is not None
        self._garment, self._ticket, self._recipe = garment, garment.ticket, garment.recipe
        self._folds, self._wish = folds, wish
        cloth = garment.ticket.cloth if wish.width is None else replace(garment.ticket.cloth, width=wish.width)
        self._cloth, self._memory = cloth, Memory()
        self._end = length * (1.0 - cloth.shrinkage_along)

    def pieces(self, choice: str, value: float) -> tuple[tuple[Piece, ...], dict[str, Any]]:
        """Return the pieces to cut with a choice set to so many mm, and their matches at stripes."""
        ticket = self._ticket
        if not choice:
            assert self._garment.draft is not None
            return self._of_main(still_to_cut(self._garment), self._garment.draft.pattern.seams)
        told = Written(f"{value:.3f} mm", ticket.recipe.place if ticket.recipe else Place())
        ticket = replace(ticket, choices={**ticket.choices, choice: told})
        pattern = draft_for(ticket, self._recipe, self._memory).pattern
        return self._of_main(pattern.pieces, pattern.seams)

    @staticmethod
    def _of_main(every: Sequence[Piece], seams: Sequence[Seam]) -> tuple[tuple[Piece, ...], dict[str, Any]]:
        pieces = tuple(each for each in every if each.material == MAIN)
        return pieces, {"": matches_of(pieces, seams)}

    def at(self, choice: str | None, value: float = 0.0, changed: tuple[Piece, ...] | None = None) -> Answer | None:
        """Return the lay that fits with a choice at this value, None where none does."""
        pieces, matches = self.pieces(choice or "", value)
        share = max(self._wish.seconds / (4.0 * len(self._folds)), 0.3)
        asked = Asked([("", changed or pieces)], self._cloth, matches, (), None, share, self._wish.seed, False)
        answers = []
        for fold in self._folds:
            flaws = flaw_rings(self._cloth, fold, self._end)
            if not isinstance(flaws, str):
                end = self._end / 2.0 if fold == "crosswise" else self._end
                answers += answers_for(replace(asked, kept_off=flaws, end=end), (fold,))
        best = shortest(answers)
        return best if best is not None and best.lay is not None else None

    def longest(
        self, choice: str, low: float, high: float, grain: float, at_low: Answer | None, asked: float
    ) -> tuple[float | None, Answer | None]:
        """Return the greatest value of a choice between two, to the grain, that fits, with its lay; None for none."""
        found, proof = (asked, at_low) if at_low is not None else (None, None)
        if at_low is None:
            proof = self.at(choice, low)
            if proof is None:
                return None, None
            found = low
        steps = int((high - low) // grain)
        fits, too_long = 0, steps + 1
        while too_long - fits > 1:
            middle = (fits + too_long) // 2
            answer = self.at(choice, low + middle * grain)
            if answer is not None:
                fits, found, proof = middle, low + middle * grain, answer
            else:
                too_long = middle
        return found, proof

    def pieced(self, units: System) -> list[str]:
        """Return what a seam in place of a fold would do, for each piece cut on the fold."""
        pieces, _ = self.pieces("", 0.0)
        said = []
        for piece in pieces:
            if not piece.on_fold or piece.cut != 1:
                continue
            changed = tuple(seamed(each) if each is piece else each for each in pieces)
            answer = self.at(None, changed=changed)
            if answer is not None:
                said.append(
                    f"They do if the {piece.name} gets a seam at its centre, {say_length(SEAM, units)} allowed on each "
                    f"side, {_way(answer, units)}."
                )
        return said


def seamed(piece: Piece) -> Piece:
    """Return a piece cut on the fold as a pair with a seam there instead: its cut line widened by the allowance."""
    ring = piece.cut_line
    if ring is None:
        return piece
    on = ring[np.abs(ring[:, 0]) <= 0.02]
    if len(on) < 2:
        return piece
    low, high = float(on[:, 1].min()), float(on[:, 1].max())
    strip = np.array([(0.0, low), (0.0, high), (-SEAM, high), (-SEAM, low), (0.0, low)])
    whole = joined_region([ring, strip])
    if isinstance(whole, Fault):
        return piece
    return replace(piece, on_fold=False, mirrored_pair=True, cut=2, cut_line=whole)
