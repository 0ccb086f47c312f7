"""Which way to lay the cloth: every fold that is allowed is tried, and the shortest verified lay is kept.

Opened out, plain cloth is laid by the library and by our own search, the rest by our search alone. Several tickets'
pieces are first laid one ticket after another and the lay improved from there, so that together they never take more.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from onfold.cloth import Cloth
from onfold.lay.bed import FOLDS, Bed, Fold, bed_of, has_repeat
from onfold.lay.opened import opened_lay
from onfold.lay.part import Part, Ring, parts_for
from onfold.lay.placed import Lay, Placed, faults_of
from onfold.lay.search import Repeat, search
from onfold.lay.stripes import Match, standing
from onfold.pattern import Piece
from onfold.units import System, say_length

Group = tuple[str, Sequence[Piece]]
Progress = Callable[[Lay], bool]
EASIEST: tuple[Fold, ...] = ("lengthwise", "both edges to the middle", "none", "crosswise")
"""Folds from the quickest to lay and cut: two layers at once, one fold before two."""
WORTH = 5.0
"""mm of cloth that are not worth a more laborious fold: less than a shop's scissors waste."""
LIKELY = 0.6
"""The share of the time that goes to the library where both it and our search lay opened-out cloth."""


@dataclass(frozen=True, eq=False)
class Answer:
    """One fold's answer: its shortest lay, or in plain words why there is none.

    `alone` is the cloth, mm, that several tickets take when each is laid by itself in this way.
    """

    fold: Fold
    lay: Lay | None
    why: str = ""
    alone: float | None = None


@dataclass(frozen=True, eq=False)
class Asked:
    """What is to be laid: tickets' pieces, their matches at stripes, flaws, an end, and how long to look for it.

    Without the library, which is not deterministic, the same answer comes again for the same question.
    """

    groups: Sequence[Group]
    cloth: Cloth
    matches: dict[str, list[Match]]
    kept_off: Sequence[Ring] = ()
    end: float | None = None
    seconds: float = 4.0
    seed: int = 0
    by_library: bool = True
    units: System = "cm"


def answers_for(asked: Asked, folds: Sequence[Fold] = FOLDS, progress: Progress | None = None) -> list[Answer]:
    """Return the answer of each fold, in the order given."""
    return [answer_for(asked, fold, progress) for fold in folds]


def shortest(answers: Sequence[Answer]) -> Answer | None:
    """Return the answer that takes least cloth; of those within a few mm the one that is quickest laid and cut."""
    laid = [(each.lay.length, EASIEST.index(each.fold), each) for each in answers if each.lay is not None]
    least = min((each[0] for each in laid), default=0.0)
    near = [each for each in laid if each[0] <= least + WORTH]
    return min(near, key=lambda each: (each[1], each[0]))[2] if near else None


def answer_for(asked: Asked, fold: Fold, progress: Progress | None = None) -> Answer:
    """Return one fold's answer, verified."""
    bed = bed_of(asked.cloth, fold)
    if isinstance(bed, str):
        return Answer(fold, None, bed)
    parts = parts_for(bed, asked.groups)
    if not parts:
        return Answer(fold, None, "no piece is cut from this cloth")
    wide = too_wide(parts, bed, asked.units)
    if wide:
        return Answer(fold, None, wide)
    start = _one_after_another(asked, bed, parts) if len(asked.groups) > 1 else None
    lay = _laid(asked, bed, parts, start, progress)
    if lay is None:
        past = " before the end of the cloth" if asked.end is not None else ""
        return Answer(fold, None, f"no place was found for all pieces{past}")
    faults = faults_of(lay, parts)
    if faults:
        return Answer(fold, None, f"the lay found is faulty: {faults[0]}")
    return Answer(fold, lay, "", None if start is None else start.length)


def _laid(asked: Asked, bed: Bed, parts: list[Part], start: Lay | None, progress: Progress | None) -> Lay | None:
    repeat = None
    if has_repeat(asked.cloth):
        stands = standing(parts, asked.cloth, asked.matches)
        repeat = Repeat(asked.cloth.repeat_along, asked.cloth.repeat_across, stands)
    plain = (
        asked.by_library
        and len(bed.bands) == bed.layers == 1
        and repeat is None
        and not asked.kept_off
        and asked.end is None
    )
    found = [start] if start is not None else []
    share = LIKELY if plain else 0.0
    if plain:
        by_library = opened_lay(parts, bed, seconds=asked.seconds * share, seed=asked.seed, progress=progress)
        found += [by_library] if by_library is not None else []
    found.sort(key=lambda lay: lay.length)
    searched = search(
        parts,
        bed,
        kept_off=asked.kept_off,
        end=asked.end,
        repeat=repeat,
        seed=asked.seed,
        seconds=asked.seconds * (1.0 - share),
        start=found[0] if found else None,
        progress=progress,
    )
    sound = [lay for lay in (*found, searched) if lay is not None and not faults_of(lay, parts)]
    return min(sound, key=lambda lay: lay.length) if sound else searched


def _one_after_another(asked: Asked, bed: Bed, parts: Sequence[Part]) -> Lay | None:
    """Return the lay of all groups with each laid alone, one after another; None where one of them can't be.

    Flaws, an end and bars across the cloth stand where they stand: there nothing can be moved on.
    """
    if asked.kept_off or asked.end is not None or asked.cloth.repeat_along > 0.0:
        return None
    placed: list[Placed] = []
    so_far = 0.0
    own = {(part.whose, part.piece, part.copy): part for part in parts}
    for group in asked.groups:
        alone = answer_for(alone_of(asked, group), bed.fold).lay
        if alone is None:
            return None
        placed += [
            replace(each, part=own[each.part.whose, each.part.piece, each.part.copy], x=each.x + so_far)
            for each in alone.placed
        ]
        so_far += alone.lies
    return Lay(bed, tuple(placed), seed=asked.seed)


def alone_of(asked: Asked, group: Group) -> Asked:
    """Return the question for one ticket's pieces by themselves."""
    return replace(asked, groups=[group], seconds=asked.seconds / len(asked.groups), by_library=False)


def too_wide(parts: Sequence[Part], bed: Bed, units: System = "cm") -> str:
    """Return which part fits no band of the bed in any way, and by how much it is too wide; '' where all fit."""
    for part in parts:
        least = narrowest(part)
        room = max(band.room for band in bed.bands)
        if least > room + 1e-6:
            return f"{part.name} is {say_length(least - room, units)} wider than the cloth as it lies"
    return ""


def narrowest(part: Part) -> float:
    """Return the least room across the cloth that a part needs, mm."""
    return min(float(np.ptp((part.ring @ way.matrix.T)[:, 1])) for way in part.ways)
