"""The façade of the toile: a ticket in; its first fitting in calico out, as pattern, sheets and what is said of it.

The toile is a garment of its own, with the toile's pattern and cloth in the ticket's place, so that whatever lays or
prints a garment lays and prints a toile. Its files have names of their own: the garment's are never touched.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path

from onfold.lay.buy import say_bought
from onfold.making.toile import Toile, parts_to_ask_for, toile_of
from onfold.making.toile_cloth import TOILE, Asking, toile_cloth
from onfold.making.toile_words import tell_toile
from onfold.problems import Place, Problem, problem, unreadable
from onfold.project import Garment, open_ticket
from onfold.project_files import sheet_facts
from onfold.project_lay import Wish, lay_garments
from onfold.recipe.yaml_nodes import did_you_mean
from onfold.sheets import pattern_pdf, pattern_svg
from onfold.units import plain, say_length
from onfold.writers.pattern_json import write_pattern_json

Says = Callable[[str], None]

QUICK = 2.0
"""Seconds in which the cloth a toile takes is reckoned; `onfold lay --toile` looks longer."""
OPTION = "--toile-with"


@dataclass(frozen=True, eq=False)
class Toiled:
    """A ticket's toile as a garment of its own; both None where it cannot be read, or is refused by the problems."""

    garment: Garment | None
    toile: Toile | None
    problems: tuple[Problem, ...]


@dataclass(frozen=True)
class ToileFiles:
    """What came of it: files by name, problems, sentences. `refused` where nothing may be written."""

    files: dict[str, bytes] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    says: tuple[str, ...] = ()
    refused: bool = False


def toiled(garment: Garment, asked: str = "") -> Toiled:
    """Return the toile of a garment, with the parts that `asked` names (`facing, lining`). Never raises."""
    ticket, recipe, draft = garment.ticket, garment.recipe, garment.draft
    if ticket is None or recipe is None or draft is None or unreadable(garment.all_problems):
        return Toiled(None, None, garment.all_problems)
    parts, wrong = _parts(asked, parts_to_ask_for(draft.pattern))
    if wrong is not None:
        return Toiled(None, None, (*garment.all_problems, wrong))
    levels, where = draft.pattern.levels, Place(str(garment.path))
    asking = Asking(recipe.made_for, levels, ticket.cloth, ticket.units, ticket.other_cloths.get(TOILE), where)
    cloth, found = toile_cloth(asking)
    if cloth is None:
        return Toiled(None, None, (*found, *garment.all_problems))
    toile = toile_of(draft.pattern, parts)
    pattern = replace(toile.pattern, problems=(*found, *toile.pattern.problems))
    own = replace(ticket, title=f"Toile: {ticket.title}", cloth=cloth, other_cloths={})
    made = Garment(garment.path, own, recipe, garment.problems, given=replace(draft, pattern=pattern))
    return Toiled(made, replace(toile, pattern=pattern), made.all_problems)


def toile_files(path: Path, asked: str, says: Says) -> ToileFiles:
    """Return `toile.json`, `toile.pdf` and `toile.svg` of a ticket, with what is said of it."""
    found = toiled(open_ticket(path), asked)
    if found.garment is None or found.toile is None or found.garment.ticket is None:
        return ToileFiles(problems=found.problems, refused=True)
    ticket, toile = found.garment.ticket, found.toile
    told = tell_toile(toile, ticket.cloth.name, lambda mm: say_length(mm, ticket.units, 16))
    facts = replace(sheet_facts(found.garment), blocks=(("Toile", tuple(told)),))
    of_cloth = tuple(replace(piece, material=ticket.cloth.name) for piece in toile.pattern.pieces)
    printed = replace(toile.pattern, pieces=of_cloth)
    says("drawing the toile's sheets")
    files = {
        "toile.json": write_pattern_json(toile.pattern),
        "toile.pdf": pattern_pdf(printed, facts),
        "toile.svg": pattern_svg(printed, facts).encode(),
    }
    return ToileFiles(files, found.problems, (*told[:1], *_cloth_needed(found.garment, toile, says), *told[1:]))


def _cloth_needed(garment: Garment, toile: Toile, says: Says) -> tuple[str, ...]:
    """Return how much cloth the toile takes, by a quick look; nothing where no piece could be drawn."""
    if garment.ticket is None or not toile.pattern.pieces:
        return ()
    cloth, units = garment.ticket.cloth, garment.ticket.units
    says("reckoning the cloth it takes")
    answer = lay_garments((garment,), Wish(seconds=QUICK, other_widths=False), lambda _: None)
    width = say_length(cloth.width, units)
    if not answer.laid:
        refused = next((each.says for each in answer.problems if each.code.startswith("LAY-")), "")
        return (f"It cannot be laid on {cloth.name} {width} wide. {refused}".strip(),)
    bought = say_bought(answer.laid[0].buy.buy, units)
    return (
        f"It takes {bought} of {cloth.name} {width} wide, by a quick look; 'onfold lay --toile' looks longer and shows "
        "where each piece goes.",
    )


def _parts(asked: str, known: tuple[str, ...]) -> tuple[tuple[str, ...], Problem | None]:
    """Return the parts asked for, by the names they have, or what is wrong with the first that is none."""
    parts: list[str] = []
    for word in (each.strip().lower() for each in re.split(r",|\band\b", asked)):
        if not word:
            continue
        found = next((name for name in known if name.lower() in (word, word.removesuffix("s"))), None)
        if found is None:
            return (), _no_part(word, known)
        parts.append(found)
    return tuple(parts), None


def _no_part(word: str, known: tuple[str, ...]) -> Problem:
    near = did_you_mean(word, list(known))
    if not known:
        offer = f"Leave {OPTION} out: this garment has neither facing nor lining."
    else:
        offer = f"Did you mean '{near}'?" if near else f"Write any of: {', '.join(known)}."
    return problem(
        "VALUE-WRONG",
        says=f"This garment has no {plain(word)} that its toile could be cut with. {offer}",
        found=plain(word),
        expected=", ".join(known) or "nothing",
        remedy=offer,
    )
