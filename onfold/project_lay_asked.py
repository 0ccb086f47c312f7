"""What `onfold lay` is asked for, from the words of the command to the files and sentences it gives back."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from onfold.lay.bed import FOLDS, Fold
from onfold.lay.buy import buy_of, say_bought
from onfold.lay.choosing import Answer, Asked, answer_for
from onfold.lay.part import parts_for
from onfold.lay.placed import Lay, faults_of
from onfold.lay.search import search
from onfold.pattern import Piece
from onfold.problems import Problem, problem
from onfold.project import Garment, open_ticket
from onfold.project_have import have_answer
from onfold.project_lay import MAIN, SECONDS, Laid, LayAnswer, Wish, lay_garments
from onfold.project_lay_files import lay_files, said_answers
from onfold.project_toile import toiled
from onfold.project_words import drawn_together
from onfold.recipe.yaml_nodes import did_you_mean
from onfold.units import Quantity, plain, read_quantity, say_length

Says = Callable[[str], None]
CAUTION = (
    "Shears, rotary blades and pins wound: cut away from yourself, count the pins, and follow the rules and trained "
    "practice of your workroom. lay.pdf says more."
)
_TOILES = "toile-"
"""What stands before the names of a toile's files."""
_LAY_FILE = re.compile(r"\b(again-)?lay\.pdf")
LARGEST = 20_000_000
"""Bytes of an earlier lay.json beyond which it is not ours."""
CLOTH_LEAST, CLOTH_MOST = 50.0, 500_000.0
"""mm that a length or width of cloth asked for lies between: beyond them stands a slip."""


@dataclass(frozen=True)
class Found:
    """What came of it: files by name, problems, sentences, plain data. `refused` where nothing may be written."""

    files: dict[str, bytes] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    says: tuple[str, ...] = ()
    data: dict[str, Any] = field(default_factory=dict)
    refused: bool = False


def asked_of(
    tickets: Sequence[Path],
    folder: Path,
    words: Mapping[str, Any],
    says: Says,
    stopped: Callable[[], bool] = lambda: False,
) -> Found:
    """Return what the command's words ask for: `seconds`, `fold`, `width`, `have`, `cut_again`, `afresh`, `toile`.

    With `toile`, or the parts of `toile_with`, the tickets' toiles are laid, and their files are called `toile-lay…`.
    Once `stopped` says so, the best lays so far are kept.
    """
    problems: list[Problem] = []
    width, have = (_length(words.get(name), name, problems) for name in ("width", "have"))
    fold = _fold(words.get("fold"), problems)
    toile = bool(words.get("toile")) or words.get("toile_with") is not None
    if toile and have is not None:
        problems.append(_garments_own(str(words["have"])))
    if problems:
        return Found(problems=tuple(problems), refused=True)
    before = _TOILES if toile else ""
    earlier = {} if words.get("afresh") and not words.get("cut_again") else earlier_lays(folder, before)
    wish = Wish(fold, width, float(words.get("seconds") or SECONDS), earlier=earlier, stopped=stopped)
    garments = [open_ticket(path) for path in tickets]
    if toile:
        made = [toiled(each, str(words.get("toile_with") or "")) for each in garments]
        if any(each.garment is None for each in made):
            return Found(problems=tuple(p for each in made for p in each.problems), refused=True)
        garments = [each.garment for each in made if each.garment is not None]
    found = _laid(garments, words, have, wish, says)
    files = {f"{before}{name}": data for name, data in found.files.items()}
    return replace(found, files=files, says=tuple(_LAY_FILE.sub(rf"{before}\g<0>", each) for each in found.says))


def _laid(garments: Sequence[Garment], words: Mapping[str, Any], have: float | None, wish: Wish, says: Says) -> Found:
    """Return what the words ask for of garments as they are."""
    if words.get("cut_again"):
        shorter = replace(wish, other_widths=False)
        return _cut_again(lay_garments(garments, shorter, says), str(words["cut_again"]), wish)
    answer = lay_garments(garments, wish, says)
    if not answer.laid or any(each.code.startswith("LAY-") and each.severity == "stop" for each in answer.problems):
        return Found(problems=answer.problems, refused=True)
    currency = next((g.ticket.rates.currency for g in answer.garments if g.ticket is not None), "")
    said = [each for laid in answer.laid for each in _said(laid, answer, currency)]
    said.append(CAUTION)
    estimates = [each for garment in answer.garments if (each := drawn_together(garment)[1])]
    said += ["", *estimates] if estimates else []
    data: dict[str, Any] = {"lays": [_summary(laid) for laid in answer.laid]}
    if have is not None:
        told = [have_answer(garment, have, wish, says) for garment in answer.garments[:1]]
        if len(answer.garments) > 1:
            said.append(_together_do(answer, have))
        else:
            said = [*told[0].says, "", *said]
            data["have"] = told[0].data()
    return Found(lay_files(answer), answer.problems, tuple(said), data)


def _garments_own(have: str) -> Problem:
    return problem(
        "VALUE-WRONG",
        says="'--have' asks how long a garment the cloth gives; a toile is as long as its garment.",
        found=plain(have),
        expected="--toile without --have",
        remedy="Ask for the toile's lay alone and compare what it says to buy, or ask --have of the garment.",
    )


def _said(laid: Laid, answer: LayAnswer, currency: str) -> list[str]:
    head = [] if laid.material == MAIN else [f"{laid.material.capitalize()}:"]
    rows = [
        f"On {say_length(row['width'], answer.units)}: "
        + (f"not, for {row['why']}." if row["buy"] is None else f"buy {say_bought(row['buy'], answer.units)}.")
        for row in laid.widths
        if abs(row["width"] - laid.cloth.width) >= 0.5
    ]
    left = [
        f"Left over: {say_length(r.length, answer.units)} by {say_length(r.width, answer.units)}"
        + (" in two layers." if r.layers == 2 else ".")
        for r in laid.rests[:3]
    ]
    return [*head, *said_answers(laid, answer.units, currency), *rows, *left]


def _together_do(answer: LayAnswer, have: float) -> str:
    laid = answer.laid[0]
    does = laid.buy.before <= have + 1e-6
    word, other = say_length(have, answer.units), say_length(abs(have - laid.buy.before), answer.units)
    return f"{word} do for all of them, {other} to spare." if does else f"{word} do not do: {other} are lacking."


def _summary(laid: Laid) -> dict[str, Any]:
    return {
        "material": laid.material,
        "fold": laid.lay.bed.fold,
        "length": round(laid.lay.length, 1),
        "buy": round(laid.buy.buy, 1),
        "density": round(laid.lay.density, 4),
        "cost": laid.buy.cost,
        "saved": None if laid.saved is None else round(laid.saved, 1),
        "folds": list(laid.folds),
        "widths": list(laid.widths),
    }


def earlier_lays(folder: Path, before: str = "") -> dict[str, Any]:
    """Return the lays that the folder holds, by material; what cannot be read as one is passed over.

    `before` is what stands before `lay` in their files' names.
    """
    found: dict[str, Any] = {}
    try:
        paths = sorted(folder.glob(f"{before}lay*.json"))
        texts = [path.read_bytes() for path in paths if path.is_file() and path.stat().st_size < LARGEST]
    except OSError:
        return {}
    for text in texts:
        try:
            data = json.loads(text)
        except (ValueError, RecursionError):
            continue
        if isinstance(data, dict) and isinstance(data.get("material"), str) and isinstance(data.get("found"), dict):
            found.setdefault(data["material"], data)
    return found


def _cut_again(answer: LayAnswer, name: str, wish: Wish) -> Found:
    """Return where a miscut piece can be cut once more, in what is left of the lay as it was cut."""
    garment = answer.garments[0]
    pieces = {piece.name: piece for piece in (garment.draft.pattern.pieces if garment.draft else ())}
    if not answer.laid or len(answer.garments) != 1 or name not in pieces:
        near = did_you_mean(name, list(pieces))
        wanted = near or ", ".join(pieces)
        says = f"No piece called '{plain(name)}' is laid here."
        wrong = problem("VALUE-WRONG", says=says, found=plain(name), expected=wanted, remedy=f"Write {wanted}.")
        return Found(problems=(*answer.problems, wrong), refused=True)
    laid = next((each for each in answer.laid if each.material == pieces[name].material), answer.laid[0])
    units, again = answer.units, _placed_again(laid, pieces[name], wish)
    if again is None:
        alone = _alone(laid, garment, pieces[name], wish)
        more = (
            "" if alone is None or alone.lay is None else f" By itself it takes {say_length(alone.lay.length, units)}."
        )
        return Found(problems=answer.problems, says=(f"What is left doesn't hold another {name}.{more}",), refused=True)
    buy = buy_of(again.lies * again.bed.times, laid.cloth, units)
    assert buy is not None
    changed = replace(laid, lay=again, buy=replace(laid.buy), rests=(), folds=(), widths=(), alone=None)
    files = {f"again-{key}": data for key, data in lay_files(replace(answer, laid=(changed,))).items()}
    said = f"Another {name} can be cut from what is left, between the pieces that are there: see again-lay.pdf."
    return Found(files, answer.problems, (said,), {"lays": [_summary(changed)]})


def _placed_again(laid: Laid, piece: Piece, wish: Wish) -> Lay | None:
    """Return a lay of one piece in what the earlier lay left of the cloth bought, or None."""
    lay = laid.lay
    parts = parts_for(lay.bed, [("", [replace(piece, cut=1)])])
    bought = (laid.buy.buy if laid.cloth.at_hand is None else laid.cloth.at_hand) * (1 - laid.cloth.shrinkage_along)
    taken = (*lay.kept_off, *lay.rings)
    found = search(parts, lay.bed, kept_off=taken, end=bought / lay.bed.times, seed=wish.seed, seconds=2.0)
    return found if found is not None and not faults_of(found, parts) else None


def _alone(laid: Laid, garment: Garment, piece: Piece, wish: Wish) -> Answer | None:
    asked = Asked([("", [replace(piece, cut=1)])], laid.cloth, {"": []}, (), None, 1.0, wish.seed, False)
    return answer_for(asked, laid.lay.bed.fold)


def _length(text: Any, name: str, problems: list[Problem]) -> float | None:
    if text is None:
        return None
    read = read_quantity(str(text))
    if isinstance(read, Quantity) and read.kind == "length" and CLOTH_LEAST <= read.value <= CLOTH_MOST:
        return read.value
    says = f"'{plain(str(text))}' is no length of cloth; write it with its unit: --{name} '1.4 m', '54 in'."
    expected = f"a length from {say_length(CLOTH_LEAST)} to {say_length(CLOTH_MOST)}"
    problems.append(
        problem("VALUE-WRONG", says=says, found=plain(str(text)), expected=expected, remedy=f"Write --{name} '1.4 m'.")
    )
    return None


def _fold(text: Any, problems: list[Problem]) -> Fold | None:
    if text is None:
        return None
    for fold in FOLDS:
        if str(text).strip().lower() == fold:
            return fold
    near = did_you_mean(str(text), list(FOLDS))
    offer = f"Did you mean '{near}'?" if near else f"Write one of: {', '.join(FOLDS)}."
    says = f"'{plain(str(text))}' is no way to fold cloth. {offer}"
    problems.append(problem("VALUE-WRONG", says=says, found=plain(str(text)), expected=", ".join(FOLDS), remedy=offer))
    return None
