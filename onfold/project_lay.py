"""The façade of the lay: tickets and their cloth in; the shortest verified lays, what to buy, and their files out."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from onfold.cloth import Cloth, say_width
from onfold.lay.bed import FOLDS, SAID, Bed, Fold, bed_of
from onfold.lay.buy import SHOP_WIDTHS, Buy, buy_of
from onfold.lay.choosing import Answer, Asked, Group, answers_for, shortest
from onfold.lay.file import digest, digest_text, read_back, rows_mark
from onfold.lay.flaws import flaw_rings
from onfold.lay.part import Part, parts_for
from onfold.lay.placed import Lay, faults_of
from onfold.lay.rest import Rest, rests_of
from onfold.lay.stripes import Match, matches_of
from onfold.problems import Place, Problem, gravest_first, problem, unreadable
from onfold.project import Garment, open_ticket
from onfold.project_altering import no_pattern
from onfold.project_cut import still_to_cut
from onfold.units import System, say_length

MAIN = "main"
SECONDS = 8.0
"""How long lays are sought for by default, all folds together."""
WIDTHS_SHARE = 0.35
"""The share of the time that goes to other widths of cloth."""

Says = Callable[[str], None]


@dataclass(frozen=True)
class Wish:
    """How the maker wants it laid: the fold (None: the shortest that is allowed), the cloth's width, the time."""

    fold: Fold | None = None
    width: float | None = None
    seconds: float = SECONDS
    seed: int = 0
    other_widths: bool = True
    earlier: Mapping[str, Any] = field(default_factory=dict, compare=False)
    """Lays found before, by material, as read from their files: one for the same wish is kept as it is."""
    stopped: Callable[[], bool] = field(default=lambda: False, compare=False)
    """Asked again and again while a lay is sought: once it says so, the best so far is kept."""


@dataclass(frozen=True, eq=False)
class Laid:
    """One material's lay: the shortest there is, what to buy for it, what is left.

    `folds` and `widths` are rows of the other ways to lay it and of other widths of cloth. `asked` marks all that
    was asked for; `alone` is what the tickets take laid one by one.
    """

    material: str
    cloth: Cloth
    asked: str
    lay: Lay
    buy: Buy
    rests: tuple[Rest, ...]
    folds: tuple[dict[str, Any], ...]
    widths: tuple[dict[str, Any], ...] = ()
    matches: Mapping[str, Sequence[Match]] = field(default_factory=dict)
    alone: float | None = None

    @property
    def saved(self) -> float | None:
        """Return how many mm of cloth it saves to lay several tickets together; None for one ticket."""
        return None if self.alone is None else self.alone - self.lay.length


@dataclass(frozen=True, eq=False)
class LayAnswer:
    """What `onfold lay` has to say: the garments, a lay a material, and the problems."""

    garments: tuple[Garment, ...]
    laid: tuple[Laid, ...]
    problems: tuple[Problem, ...]

    @property
    def units(self) -> System:
        """Return how lengths are said: as in the first ticket."""
        return next((each.ticket.units for each in self.garments if each.ticket is not None), "cm")


def lay_tickets(paths: Sequence[Path], wish: Wish | None = None, says: Says | None = None) -> LayAnswer:
    """Return the lays of some tickets cut together from one cloth. Never raises on what the files hold."""
    return lay_garments([open_ticket(path) for path in paths], wish or Wish(), says or (lambda _: None))


def lay_garments(garments: Sequence[Garment], wish: Wish, says: Says) -> LayAnswer:
    """Return the lays of garments; none where one of them cannot be drafted."""
    problems = [each for garment in garments for each in garment.all_problems]
    problems += [each for garment in garments if (each := no_pattern(garment)) is not None]
    if any(garment.draft is None for garment in garments) or unreadable(problems):
        return LayAnswer(tuple(garments), (), tuple(gravest_first(dict.fromkeys(problems))))
    problems += [*_unlike_cloths(garments), *_all_cut(garments)]
    if any(each.code.startswith("LAY-") and each.severity == "stop" for each in problems):
        return LayAnswer(tuple(garments), (), tuple(gravest_first(dict.fromkeys(problems))))
    laid: list[Laid] = []
    materials = dict.fromkeys([MAIN, *(piece.material for garment in garments for piece in still_to_cut(garment))])
    for material in materials:
        groups = groups_of(garments, material)
        if not any(pieces for _, pieces in groups):
            continue
        cloth, found = cloth_of(garments[0], material, wish)
        problems += found
        made, refused = _lay_material(garments, groups, material, cloth, wish, says)
        problems += refused
        if made is not None:
            laid.append(made)
    return LayAnswer(tuple(garments), tuple(laid), tuple(gravest_first(dict.fromkeys(problems))))


def _lay_material(
    garments: Sequence[Garment], groups: Sequence[Group], material: str, cloth: Cloth, wish: Wish, says: Says
) -> tuple[Laid | None, list[Problem]]:
    units, folds = _units(garments), FOLDS if wish.fold is None else (wish.fold,)
    matches = {
        whose: matches_of(pieces, garment.draft.pattern.seams if garment.draft else ())
        for (whose, pieces), garment in zip(groups, garments, strict=True)
    }
    mark = _mark(groups, cloth, wish, units)
    earlier: Any = wish.earlier.get(material)
    before = kept_lay(earlier, groups, cloth)
    found = earlier["found"] if before is not None else {}
    if before is not None and (found.get("asked"), found.get("rows")) == (mark, rows_mark(earlier)):
        kept = _laid_of(material, cloth, mark, before, units, matches)
        if kept is not None:
            alone = (earlier.get("together") or {}).get("alone")
            rows, others = tuple(earlier.get("folds", ())), tuple(earlier.get("widths", ()))
            return replace(kept, folds=rows, widths=others, alone=alone), []
    share = wish.seconds * ((1.0 - WIDTHS_SHARE) if wish.other_widths else 1.0) / len(folds)
    end = None if cloth.at_hand is None else cloth.at_hand * (1.0 - cloth.shrinkage_along)
    asked = Asked(groups, cloth, matches, (), None, share, wish.seed, units=units)
    answers: list[Answer] = []
    for fold in folds:
        says(f"laying it {SAID[fold]}")
        flaws = flaw_rings(cloth, fold, end)
        if isinstance(flaws, str):
            answers.append(Answer(fold, None, flaws))
        elif wish.stopped() and any(each.lay is not None for each in answers):
            answers.append(Answer(fold, None, "the search was stopped before it"))
        else:
            better = _better(fold, units, wish, says)
            answers += answers_for(replace(asked, kept_off=flaws, end=_end_of(end, fold)), (fold,), better)
    if before is not None and before.bed.fold in folds:
        answers.append(Answer(before.bed.fold, before))
    best = shortest(answers)
    laid = None
    if best is not None and best.lay is not None:
        laid = _laid_of(material, cloth, mark, best.lay, units, matches)
    if laid is None or best is None:
        long = None if end is None else shortest(answers_for(asked, folds))
        lacks = long.lay.length - end if long is not None and long.lay is not None and end is not None else 0.0
        return None, [_refused(answers, material, cloth, wish, garments[0], lacks)]
    laid = replace(laid, folds=tuple(map(_fold_row, answers)), alone=best.alone)
    widths = _other_widths(laid, asked, wish, units, says) if wish.other_widths and end is None else ()
    return replace(laid, widths=widths), []


def _better(fold: Fold, units: System, wish: Wish, says: Says) -> Callable[[Lay], bool]:
    """Return what is told of each better lay, and whether to go on looking."""

    def told(lay: Lay) -> bool:
        says(f"{SAID[fold]}: {say_length(lay.length, units)} so far")
        return not wish.stopped()

    return told


def _laid_of(
    material: str, cloth: Cloth, mark: str, lay: Lay, units: System, matches: Mapping[str, Sequence[Match]]
) -> Laid | None:
    """Return a lay with what to buy for it and what is left; None where the cloth shrinks to nothing."""
    buy = buy_of(lay.length, cloth, units)
    if buy is None:
        return None
    return Laid(material, cloth, mark, lay, buy, tuple(rests_of(lay, buy.there)), (), (), matches)


def _mark(groups: Sequence[Group], cloth: Cloth, wish: Wish, units: System) -> str:
    """Return a mark of all that is asked for: an earlier lay with the same mark is kept as it is."""
    bed = Bed("none", cloth.width, cloth.width, (), 1, "right side", True)
    own = digest(bed, [part for fold in FOLDS for part in _parts(cloth, fold, groups)])
    return digest_text(repr((own, replace(cloth, price=None, guessed=()), wish.fold, wish.seconds, wish.seed, units)))


def _parts(cloth: Cloth, fold: Fold, groups: Sequence[Group]) -> list[Part]:
    bed = bed_of(cloth, fold)
    return [] if isinstance(bed, str) else parts_for(bed, groups)


def kept_lay(data: Any, groups: Sequence[Group], cloth: Cloth) -> Lay | None:
    """Return the sound lay of these very pieces on this cloth that an earlier file holds, or None."""
    fold = data["cloth"].get("fold") if isinstance(data, dict) and isinstance(data.get("cloth"), dict) else None
    bed = bed_of(cloth, fold) if fold in FOLDS else ""
    if isinstance(bed, str):
        return None
    end = None if cloth.at_hand is None else cloth.at_hand * (1.0 - cloth.shrinkage_along)
    flaws, parts = flaw_rings(cloth, bed.fold, end), parts_for(bed, groups)
    lay = None if isinstance(flaws, str) else read_back(data, bed, parts, flaws)
    return lay if lay is not None and not faults_of(lay, parts) else None


def _fold_row(answer: Answer) -> dict[str, Any]:
    lay = answer.lay
    return {
        "fold": answer.fold,
        "length": None if lay is None else round(lay.length, 1),
        "density": None if lay is None else round(lay.density, 4),
        "why": answer.why,
    }


def _end_of(end: float | None, fold: Fold) -> float | None:
    return None if end is None else end / 2.0 if fold == "crosswise" else end


def _other_widths(laid: Laid, asked: Asked, wish: Wish, units: System, says: Says) -> tuple[dict[str, Any], ...]:
    """Return a row for each width that shops have: the shortest fold there, and what to buy."""
    widths = sorted({*SHOP_WIDTHS[units], laid.cloth.width})
    folds = FOLDS if wish.fold is None else (wish.fold,)
    share = wish.seconds * WIDTHS_SHARE / (len(widths) * len(folds))
    rows: list[dict[str, Any]] = []
    for width in widths:
        if wish.stopped():
            break
        says(f"laying on {say_length(width, units)}")
        if abs(width - laid.cloth.width) < 0.5:
            rows.append(_row(width, laid.lay, laid.buy, ""))
            continue
        cloth = replace(laid.cloth, width=width)
        answers = answers_for(replace(asked, cloth=cloth, seconds=share, by_library=False), folds)
        best = shortest(answers)
        buy = buy_of(best.lay.length, cloth, units) if best is not None and best.lay is not None else None
        rows.append(_row(width, best.lay if best else None, buy, "; ".join(dict.fromkeys(a.why for a in answers))))
    return tuple(rows)


def _row(width: float, lay: Lay | None, buy: Buy | None, why: str) -> dict[str, Any]:
    if lay is None or buy is None:
        return {"width": width, "fold": None, "length": None, "buy": None, "why": why}
    return {
        "width": width, "fold": lay.bed.fold, "length": round(lay.length, 1), "buy": round(buy.buy, 1), "why": "",
    }  # fmt: skip


def _refused(
    answers: Sequence[Answer], material: str, cloth: Cloth, wish: Wish, garment: Garment, lacks: float
) -> Problem:
    """Return the stop that says why nothing could be laid, and what would do."""
    units = garment.ticket.units if garment.ticket is not None else "cm"
    whys = list(dict.fromkeys(each.why for each in answers if each.why))
    what = "the pieces" if material == MAIN else f"the pieces of {material}"
    short = cloth.at_hand is not None and any("before the end" in why for why in whys)
    code = "LAY-SHORT" if short else "LAY-FOLD" if wish.fold is not None else "LAY-NONE"
    width = say_length(cloth.width, units)
    if short:
        whys += [f"about {say_length(lacks, units)} of shrunk cloth are lacking"] if lacks > 0.0 else []
        remedy = "Shorten the garment, open the cloth out, or piece it at the centre back; 'onfold lay --have' tries."
    elif any("its repeat" in why for why in whys):
        remedy = "Take a cloth with a smaller repeat, or more of it; where nothing need match, leave the repeat out."
    elif wish.fold is not None:
        remedy = "Leave the fold to Onfold, or ask for another one."
    else:
        remedy = (
            "Take a wider cloth, open the piece out and give it a seam, or lay it across where grain and nap allow."
        )
    return problem(
        code,
        says=f"{what.capitalize()} cannot be laid on {width} of cloth: {'; '.join(whys) or 'no way was found'}.",
        found=width,
        expected="a cloth that takes every piece",
        remedy=remedy,
        where=Place(str(garment.path)),
    )


def _unlike_cloths(garments: Sequence[Garment]) -> list[Problem]:
    """Return a stop for every ticket whose cloth is not the first one's: one lay is cut from one cloth."""
    cloths = [garment.ticket.cloth for garment in garments if garment.ticket is not None]
    units = _units(garments)
    return [
        problem(
            "LAY-CLOTHS",
            says=f"{garment.path.name} is cut from {_told(cloth, units)}, {garments[0].path.name} from "
            f"{_told(cloths[0], units)}; what is laid together is cut from one cloth.",
            found=_told(cloth, units),
            expected=_told(cloths[0], units),
            remedy="Lay the tickets of each cloth by themselves.",
            where=Place(str(garment.path)),
        )
        for garment, cloth in zip(garments[1:], cloths[1:], strict=True)
        if replace(cloth, price=None, guessed=()) != replace(cloths[0], price=None, guessed=())
    ]


def _told(cloth: Cloth, units: System) -> str:
    return f"{cloth.name}, {say_width(cloth.width, units)}"


def _all_cut(garments: Sequence[Garment]) -> list[Problem]:
    """Return why there is nothing to lay, where every piece that is cut still does."""
    if any(still_to_cut(garment) for garment in garments):
        return []
    says = "Every piece is cut and still does: nothing is to be laid."
    return [problem("LAY-NONE", says=says, found="no piece to cut", expected="a piece to cut", remedy="Sew on.")]


def groups_of(garments: Sequence[Garment], material: str) -> list[Group]:
    """Return (whose, pieces) of each ticket; a single ticket's pieces need no owner."""
    names = [garment.ticket.wearer.name if garment.ticket is not None else "" for garment in garments]
    if len(garments) == 1:
        names = [""]
    elif len(set(names)) < len(names):
        names = [f"{name} ({garment.path.stem})" for name, garment in zip(names, garments, strict=True)]
    return [
        (name, tuple(piece for piece in still_to_cut(garment) if piece.material == material))
        for name, garment in zip(names, garments, strict=True)
    ]


def cloth_of(garment: Garment, material: str, wish: Wish) -> tuple[Cloth, list[Problem]]:
    """Return the cloth that a material is cut from, and a mind where the ticket does not describe it."""
    assert garment.ticket is not None
    ticket = garment.ticket
    found: list[Problem] = []
    cloth = ticket.cloth if material == MAIN else ticket.other_cloths.get(material)
    if cloth is None:
        cloth = replace(
            ticket.cloth, name=material, nap="none", surface=(), repeat_along=0.0, repeat_across=0.0, price=None,
            at_hand=None, flaws=(), shrinkage_along=0.0, shrinkage_across=0.0,
        )  # fmt: skip
        wide, usual = say_width(cloth.width, ticket.units), "54 in" if ticket.units == "in" else "140 cm"
        found.append(
            problem(
                "LAY-MATERIAL",
                says=f"The ticket doesn't describe the {material}: it is laid on cloth {wide} wide.",
                found=material,
                expected="its width at least",
                remedy=f"Write other cloths: {{{material}: {{kind: woven, width: {usual}}}}}.",
                where=Place(str(garment.path)),
            )
        )
    return (cloth if wish.width is None or material != MAIN else replace(cloth, width=wish.width)), found


def _units(garments: Sequence[Garment]) -> System:
    return garments[0].ticket.units if garments[0].ticket is not None else "cm"
