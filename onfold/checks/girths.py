"""Girths as the pieces give them: the tape laid across a garment at any height, darts left out.

Heights are said on one piece, the guide, and carried to the others by the levels they share.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from onfold.checks.darts import darts_of
from onfold.checks.subject import Floats, Subject
from onfold.geometry.path import end, start
from onfold.pattern import Level, Piece, edges_of
from onfold.problems import Problem, problem

GIRTH_TOLERANCE = 2.0  # mm of whole girth: a hem trued to a curve is a little longer than its level is wide
_NUDGE = 0.05  # mm: a level on the very corner of an outline is measured this much inside it


@dataclass(frozen=True, eq=False)
class Slice:
    """A piece made ready to be measured across: `outline` (n, 2) a closed ring whose side darts are closed.

    `heights` are the y of its level lines at the side (a wedge tilts them), `centre` the x they start from, `times` how
    often it goes round, `darts` the lowest and highest y of every dart that opens across.
    """

    piece: Piece
    times: float
    outline: Floats
    heights: dict[str, float]
    centre: float
    darts: tuple[tuple[float, float], ...] = ()


@lru_cache(maxsize=8)
def slices_of(subject: Subject) -> tuple[Slice, ...]:
    """Return the pieces that go round the body, the one with most level lines first."""
    times: dict[str, float] = {}
    for level in subject.pattern.levels.values():
        times.update(dict(level.across))
    found = []
    for name, often in times.items():
        piece = subject.pattern.piece(name)
        if piece is not None:
            found.append(_slice(subject, piece, often))
    return tuple(sorted(found, key=lambda each: -len(each.heights)))


def _slice(subject: Subject, piece: Piece, times: float) -> Slice:
    lines = {inner.name: inner.path for inner in piece.inner if inner.kind == "level"}
    heights = {name: max(start(path), end(path))[1] for name, path in lines.items()}
    centre = min((min(start(path)[0], end(path)[0]) for path in lines.values()), default=0.0)
    darts = darts_of(piece)
    closed = {leg.name for dart in darts if dart.on_side for leg in dart.legs}
    spans = []
    for dart in darts:
        ys = (dart.point[1], dart.first[1], dart.last[1])
        if not dart.on_side:
            spans.append((min(ys), max(ys)))
    strokes = [subject.strokes[piece.name, edge.name] for edge in piece.edges if edge.name not in closed]
    ring = np.concatenate(strokes) if strokes else np.zeros((0, 2))
    return Slice(piece, times, np.concatenate([ring, ring[:1]]), heights, centre, tuple(spans))


def widths_at(each: Slice, ys: Floats) -> Floats:
    """Return how wide the piece is at each height, mm, from its centre to its side, darts left out.

    NaN where it does not reach from the centre to its side in one: above a low back, below a raised hem, where an edge
    dips below the tape.
    """
    if len(each.outline) < 3 or not len(ys):
        return np.full(len(ys), np.nan)
    a, b = each.outline[:-1], each.outline[1:]
    crosses = (a[None, :, 1] <= ys[:, None]) != (b[None, :, 1] <= ys[:, None])
    rise = np.where(a[:, 1] == b[:, 1], 1.0, b[:, 1] - a[:, 1])
    x = a[None, :, 0] + (ys[:, None] - a[None, :, 1]) / rise[None] * (b[:, 0] - a[:, 0])[None]
    x = np.sort(np.where(crosses, x, np.inf), axis=1)
    most = max(2, int(crosses.sum(axis=1).max()))
    x = np.where(np.isfinite(x[:, :most]), x[:, :most], np.nan)
    enter, leave = x[:, 0 : most - most % 2 : 2], x[:, 1:most:2]
    inside = np.maximum(leave, each.centre) - np.maximum(enter, each.centre)
    whole = np.nansum(inside, axis=1)
    gaps = np.isfinite(leave).sum(axis=1) - 1
    for low, high in each.darts:
        gaps = gaps - ((ys >= low) & (ys <= high))
    return np.where((enter <= each.centre + 1.0).any(axis=1) & (whole > 0.0) & (gaps <= 0), whole, np.nan)


def carried(guide: Slice, other: Slice, ys: Floats) -> Floats:
    """Return the heights on another piece that lie at the guide's heights `ys`.

    Between two levels that both pieces have in proportion; beyond them by the same distance.
    """
    shared = sorted((guide.heights[name], other.heights[name]) for name in guide.heights if name in other.heights)
    if guide is other or not shared:
        return ys
    from_y, to_y = np.array(shared).T
    inner = np.interp(ys, from_y, to_y)
    below, above = np.minimum(ys - from_y[0], 0.0), np.maximum(ys - from_y[-1], 0.0)
    return np.asarray(inner + below + above)


def girths_at(slices: tuple[Slice, ...], ys: Floats) -> Floats:
    """Return the finished girth at each height of the first slice, mm; NaN where a piece does not reach across."""
    total = np.zeros(len(ys))
    for each in slices:
        total = total + each.times * widths_at(each, carried(slices[0], each, ys))
    return total


def width_at_level(subject: Subject, each: Slice, name: str) -> float | None:
    """Return a piece's width at a level, mm: by its edge of that name, else across at the level's line.

    None where the piece is cut away there.
    """
    leaves = edges_of(each.piece, name)
    if leaves:
        return sum(subject.lengths[each.piece.name, leaf.name] for leaf in leaves)
    if name not in each.heights:
        return None
    y = each.heights[name]
    widths = widths_at(each, np.array([y, y - _NUDGE, y + _NUDGE]))
    known = widths[np.isfinite(widths)]
    return float(known[0]) if len(known) else None


def measured(subject: Subject, slices: tuple[Slice, ...], level: Level) -> float | None:
    """Return a level's finished girth measured across the pieces, mm; None where one of them cannot be measured."""
    by_name = {each.piece.name: each for each in slices}
    total = 0.0
    for name, times in level.across:
        width = width_at_level(subject, by_name[name], level.name) if name in by_name else None
        if width is None:
            return None
        total += times * width
    return total if level.across else None


def finished_girths(subject: Subject) -> list[Problem]:
    """FINISHED-GIRTH: across the pieces, darts and allowances left out, each level has its stated girth within 2 mm.

    A level above the neck edge of a piece is left out. Source [A]: finished girth is what the pieces add up to.
    """
    found = []
    slices = slices_of(subject)
    for level in subject.pattern.levels.values():
        girth = measured(subject, slices, level)
        if girth is None or abs(girth - level.finished) <= GIRTH_TOLERANCE:
            continue
        found.append(
            problem(
                "FINISHED-GIRTH",
                says=f"The pieces measure {subject.say(girth)} round the {level.name}, darts left out; the draft "
                f"states {subject.say(level.finished)}.",
                found=subject.say(girth),
                expected=f"{subject.say(level.finished)} within {subject.say_fine(GIRTH_TOLERANCE)}",
                remedy=f"A step has moved the side after the {level.name} was set, or a dart takes more than its level "
                f"was widened by: correct that step by {subject.say_fine(abs(girth - level.finished))} in all.",
            )
        )
    return found
