"""What `onfold lay` is asked for, from the words of the command to the files and sentences it gives back."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from onfold.lay.bed import FOLDS, Fold
from onfold.lay.buy import say_bought
from onfold.problems import Problem, problem, unreadable
from onfold.project import Garment, open_ticket
from onfold.project_altering import no_pattern
from onfold.project_have import have_answer, have_together
from onfold.project_lay import MAIN, SECONDS, Laid, LayAnswer, Wish, lay_garments
from onfold.project_lay_again import Again, cut_again
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
_LAY_FILE = re.compile(r"\b(again-)?lay(-[\w-]+)?\.pdf")
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
    if toile and words.get("have") is not None:
        problems.append(_garments_own(str(words["have"])))
    if words.get("cut_again") is not None:
        problems += _beside_cutting_again(tickets, words)
    if problems:
        return Found(problems=tuple(problems), refused=True)
    before = _TOILES if toile else ""
    earlier = {} if words.get("afresh") else earlier_lays(folder, before)
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
    if words.get("cut_again") is not None:
        return _cut_again(garments[0], str(words["cut_again"]), wish, says)
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
        one = len(answer.garments) == 1
        told = have_answer(answer.garments[0], have, wish, says) if one else have_together(answer, have)
        said = [*told.says, "", *said]
        data["have"] = told.data()
    return Found(lay_files(answer), answer.problems, tuple(said), data)


def _garments_own(have: str) -> Problem:
    return problem(
        "VALUE-WRONG",
        says="'--have' asks how long a garment the cloth gives; a toile is as long as its garment.",
        found=plain(have),
        expected="--toile without --have",
        remedy="Ask for the toile's lay alone and compare what it says to buy, or ask --have of the garment.",
    )


def _beside_cutting_again(tickets: Sequence[Path], words: Mapping[str, Any]) -> list[Problem]:
    """Return why a piece is not cut again, where what else was asked for doesn't go with it."""
    own = "'--cut-again' lays one piece in what is left by the lay that was cut"
    found: list[Problem] = []
    if len(tickets) > 1:
        found.append(
            problem(
                "VALUE-WRONG",
                says=f"{own} for one garment; {len(tickets)} tickets are given.",
                found=f"{len(tickets)} tickets",
                expected="one ticket",
                remedy="Give the ticket of the miscut piece alone, and with -o the folder of its own lay.",
            )
        )
    for word, asks in (("have", "asks whether a length does for all of them"), ("afresh", "looks for another lay")):
        if words.get(word):
            says = f"{own}; '--{word}' {asks}. Only one of them can be done at a time."
            found.append(
                problem(
                    "VALUE-WRONG",
                    says=says,
                    found=f"--cut-again --{word}",
                    expected="one of them",
                    remedy=f"Leave --{word} out, or give it in a command of its own.",
                )
            )
    return found


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


def _cut_again(garment: Garment, name: str, wish: Wish, says: Says) -> Found:
    """Return where a miscut piece can be cut once more, in what the lay that the folder holds left."""
    problems = garment.all_problems
    lacking = no_pattern(garment)
    if garment.draft is None or lacking is not None or unreadable(problems):
        return Found(problems=(*problems, *([] if lacking is None else [lacking])), refused=True)
    again = cut_again(garment, name, wish, says)
    if not isinstance(again, Again):
        return Found(problems=(again, *problems), refused=True)
    return Found(
        again.files,
        (*again.problems, *problems),
        (*again.says, CAUTION.replace("lay.pdf", "again-lay.pdf")),
        again.data,
    )


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
