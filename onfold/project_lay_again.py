"""A miscut piece laid once more, in what is left of the cloth by the lay that it was cut by."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from onfold.cloth import Cloth
from onfold.lay.bed import FOLDS, SAID, has_repeat
from onfold.lay.buy import buy_of, say_buy
from onfold.lay.choosing import Asked, Group, answers_for, shortest
from onfold.lay.facts import CUT, LayFacts
from onfold.lay.file import lay_data
from onfold.lay.part import parts_for
from onfold.lay.placed import Lay, faults_of
from onfold.lay.search import Repeat, search
from onfold.lay.stripes import Match, matches_of, standing
from onfold.lay.words import say_taken, taken_of
from onfold.pattern import Piece
from onfold.problems import Problem, problem
from onfold.project import Garment, not_taped
from onfold.project_cut import cut_garment
from onfold.project_lay import Says, Wish, cloth_of, groups_of, kept_lay
from onfold.project_lay_files import drawn_files, matching, stem_of
from onfold.recipe.yaml_nodes import did_you_mean
from onfold.shelf.ticket import Ticket
from onfold.units import System, plain, say_length


@dataclass(frozen=True)
class Again:
    """Where the piece lies: files by name, sentences, plain data, what is to be minded. Nothing is bought for it."""

    files: dict[str, bytes]
    says: tuple[str, ...]
    data: dict[str, Any]
    problems: tuple[Problem, ...]


def cut_again(garment: Garment, name: str, wish: Wish, says: Says) -> Again | Problem:
    """Return where a piece can be cut once more, or the stop that says why not, and what to buy for it alone.

    `wish.earlier` holds the lays of the folder: that which the garment was cut by is taken as it is and never sought
    anew, for the holes in the cloth lie where it says.
    """
    ticket, draft = garment.ticket, garment.draft
    assert ticket is not None and draft is not None
    pieces = {each.name: each for each in draft.pattern.pieces}
    if name not in pieces:
        return _no_piece(name, list(pieces))
    piece = pieces[name]
    cloth, minds = cloth_of(garment, piece.material, wish)
    before = _lay_cut_by(garment, piece.material, cloth, wish)
    if before is None:
        return _no_lay(name)
    if wish.fold not in (None, before.bed.fold):
        return _other_fold(before, str(wish.fold))
    says(f"laying another {name}")
    others = [each for each in draft.pattern.pieces if each.material == piece.material]
    matches = matches_of(others, draft.pattern.seams) if has_repeat(cloth) else []
    again = _placed(before, piece, cloth, _repeat(before, piece, others, matches, cloth), ticket.units, wish)
    if again is None:
        return _no_room(piece, cloth, ticket, wish)
    facts = replace(
        _facts(ticket, again, piece, cloth, len(before.kept_off)),
        matching=tuple(matching(again, {"": matches})),
        not_taped=not_taped(garment),
    )
    stem = f"again-{stem_of(piece.material)}"
    said = (
        f"Another {name} can be cut from what is left, between the pieces that are there: see {stem}.pdf.",
        f"It takes {say_taken(again, facts)}; nothing is to be bought.",
    )
    takes = _takes(again, name)
    data = {**lay_data(again, None, cloth, piece.material, ()), "again": takes, "density": None}
    files = {f"{stem}.json": (json.dumps(data, ensure_ascii=False, indent=1) + "\n").encode()}
    files.update(drawn_files(again, facts, stem, ticket))
    row = {"material": piece.material, "fold": again.bed.fold, "length": round(again.length, 1), "again": takes}
    return Again(files, said, {"lays": [{**row, "buy": None, "cost": None}]}, tuple(minds))


def _lay_cut_by(garment: Garment, material: str, cloth: Cloth, wish: Wish) -> Lay | None:
    """Return the lay of the folder that the cloth was cut by; None where that is of other pieces or another cloth.

    Of a garment that is cut it may be the lay of that day, or that of the pieces cut again since.
    """
    then = cut_garment(garment) if garment.given is None else None
    for each in (garment, *([] if then is None else [then])):
        groups: list[Group] = groups_of([each], material)
        found = kept_lay(wish.earlier.get(material), groups, cloth)
        if found is not None and found.placed:
            return found
    return None


def _placed(before: Lay, piece: Piece, cloth: Cloth, repeat: Repeat | None, units: System, wish: Wish) -> Lay | None:
    """Return a lay of one piece in what the lay before left of the cloth at hand, or bought; None for no room."""
    bed = before.bed
    parts = parts_for(bed, [("", [replace(piece, cut=1)])])
    bought = buy_of(before.length, cloth, units)
    end = (bought.there if bought is not None else before.length) / bed.times
    taken = (*before.kept_off, *before.rings)
    found = search(parts, bed, kept_off=taken, end=end, repeat=repeat, seed=wish.seed, seconds=wish.seconds / 4.0)
    return found if found is not None and not faults_of(found, parts) else None


def _repeat(before: Lay, piece: Piece, others: Sequence[Piece], matches: list[Match], cloth: Cloth) -> Repeat | None:
    """Return the bars that the piece stands on beside its partners, which are cut already; None for plain cloth."""
    if not has_repeat(cloth):
        return None
    parts = parts_for(before.bed, [("", others)])
    stands = standing(parts, cloth, {"": matches})
    own = next((stands[number] for number, each in enumerate(parts) if each.piece == piece.name), None)
    return None if own is None else Repeat(cloth.repeat_along, cloth.repeat_across, {0: own})


def _facts(ticket: Ticket, lay: Lay, piece: Piece, cloth: Cloth, flaws: int) -> LayFacts:
    return LayFacts(
        title=f"{ticket.title}: {piece.name} cut again",
        wearers=(ticket.wearer.name,),
        date=ticket.date,
        units=ticket.units,
        cloth=cloth,
        cloth_length=None if lay.end is None else lay.end * lay.bed.times,
        flaws=("flaw",) * flaws + (CUT,) * (len(lay.kept_off) - flaws),
        again=True,
    )


def _takes(lay: Lay, name: str) -> dict[str, Any]:
    along, across, _ = taken_of(lay)
    return {"piece": name, "along": round(along, 1), "across": round(across, 1)}


def _no_piece(name: str, known: Sequence[str]) -> Problem:
    near = did_you_mean(name, list(known))
    wanted = near or ", ".join(known)
    return problem(
        "VALUE-WRONG",
        says=f"The garment has no piece called '{plain(name)}'.",
        found=plain(name) or "no name",
        expected=wanted,
        remedy=f"Write {wanted}.",
    )


def _no_lay(name: str) -> Problem:
    return problem(
        "LAY-AGAIN",
        says=f"The folder holds no lay of these pieces on this cloth, so what is left for another {name} isn't known.",
        found="no lay of them",
        expected="the lay that the cloth was cut by",
        remedy="Name with -o the folder of the lay that was cut, and the --width or --toile it was laid with; where "
        "the ticket was changed since, give it as it was.",
    )


def _other_fold(before: Lay, fold: str) -> Problem:
    return problem(
        "LAY-AGAIN",
        says=f"The lay that was cut lies {SAID[before.bed.fold]}; a piece is cut again as the others were.",
        found=fold,
        expected=before.bed.fold,
        remedy="Leave --fold out.",
    )


def _no_room(piece: Piece, cloth: Cloth, ticket: Ticket, wish: Wish) -> Problem:
    """Return that what is left does not do, with what to buy for this one piece, laid in the way that takes least."""
    folds = FOLDS if wish.fold is None else (wish.fold,)
    new = replace(cloth, at_hand=None, flaws=())
    group: Group = ("", [replace(piece, cut=1)])
    asked = Asked([group], new, {"": []}, (), None, wish.seconds / 8.0, wish.seed, False, ticket.units)
    alone = shortest(answers_for(asked, folds))
    lay = alone.lay if alone is not None else None
    buy = buy_of(lay.length, new, ticket.units) if lay is not None else None
    says = f"What is left does not hold another {piece.name}"
    if lay is None or buy is None:
        remedy = "Piece it from two parts with a seam between, or cut it from another cloth."
    else:
        says += f"; by itself it takes {say_length(lay.length, ticket.units)} of cloth, {SAID[lay.bed.fold]}"
        remedy = " ".join((*say_buy(buy, new, ticket.rates.currency), "Ask for the same dye lot."))
    return problem(
        "LAY-AGAIN",
        says=f"{says}.",
        found="no room for it",
        expected=f"room for another {piece.name}",
        remedy=remedy,
    )
