"""The cut line round a seam line: each edge moved outward by its own allowance, corners treated as asked.

Curves are flattened finely enough that the offset's chords, too, stay within tolerance, in one batch for the piece.
Normals at the samples give points that lie on the true offset; `corner` brings the stretches together. Where that
leaves a ring that crosses itself (an allowance wider than an inside corner or a tight hollow), the self-crossing ring
is cleaned as a region: what it winds round anticlockwise, and the piece itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from onfold.geometry import curve, region
from onfold.geometry.corner import SMOOTH, Join, Side, Treatment, join_corner, runs_on
from onfold.geometry.curve import Bools, Floats, Ints
from onfold.geometry.fault import Fault
from onfold.geometry.path import Path
from onfold.geometry.point import Point

_GAP = 1e-3
"""Edges whose ends lie farther apart than this, mm, don't join."""
_NOTHING = 1e-7
"""Curves and steps of the ring shorter than this, mm, count as none."""
_PASSES = 3
_PLACES = 4
"""Decimals, mm, to which a ring may be rounded and stay sound: as files are written."""
_FARTHEST = 1e7
"""Coordinates beyond this, mm, belong to no cloth, and squares of them lose the figures that matter."""


class OffsetEdge(NamedTuple):
    """An edge of an outline: its allowance `width`, mm (of a fold it counts as 0), and how its ends are treated."""

    path: Path
    width: float
    corner: Treatment = "mitred"
    fold: bool = False


class _Run(NamedTuple):
    """A stretch without corners: its seam points and their offsets, (m, 2), the tangents at both ends, its edge."""

    seam: Floats
    offset: Floats
    set_out: Point
    arrive: Point
    edge: OffsetEdge
    width: float


def offset_outline(edges: Sequence[OffsetEdge], mitre_limit: float = 3.0, tolerance: float = 0.02) -> Floats | Fault:
    """Return the cut line as a closed ring (m, 2), anticlockwise, its first point repeated.

    `edges` run anticlockwise and each begins where the last one ended. The ring lies within `tolerance` mm of the true
    offset, is valid, holds the whole seam line, and lies on it where the width is 0. A Fault says what is wrong with
    an outline that has no cut line.
    """
    return offset_outlines([edges], mitre_limit, tolerance)[0]


def offset_outlines(
    outlines: Sequence[Sequence[OffsetEdge]], mitre_limit: float = 3.0, tolerance: float = 0.02
) -> list[Floats | Fault]:
    """Return `offset_outline` of many outlines, worked out in one batch: to the bit what each gives alone."""
    if not (np.isfinite(mitre_limit) and mitre_limit >= 1.0 and tolerance > 0.0):
        return [Fault("the mitre limit must be 1 or more and the tolerance above 0")] * len(outlines)
    found: list[Floats | Fault | None] = [*_unfit(outlines)]
    drawn: dict[int, tuple[list[_Run], Floats]] = {}
    for finer in (1.0, 0.1):
        # curves that all but touch may cross when flattened coarsely
        open_ = [k for k, each in enumerate(found) if each is None and k not in drawn]
        if not open_:
            break
        runs = _runs([outlines[k] for k in open_], tolerance * finer)
        seams = [np.concatenate([each.seam[:-1] for each in own]) if own else np.zeros((0, 2)) for own in runs]
        for k, own, seam, (valid, anticlockwise) in zip(open_, runs, seams, region.are_valid(seams), strict=True):
            if not own:
                found[k] = Fault("the outline has no length")
            elif not valid and finer < 1.0:
                found[k] = Fault(region.why_invalid(seam))
            elif valid and not anticlockwise:
                found[k] = Fault("the outline runs clockwise: it must run anticlockwise")
            elif valid:
                drawn[k] = own, seam
    return _cut_lines(found, drawn, mitre_limit)


def _cut_lines(
    found: list[Floats | Fault | None], drawn: dict[int, tuple[list[_Run], Floats]], mitre_limit: float
) -> list[Floats | Fault]:
    """Return the faults found, and the cut lines round what could be drawn."""
    joins = {
        k: [_join(runs[i - 1], runs[i], mitre_limit) for i in (*range(1, len(runs)), 0)]
        for k, (runs, _) in drawn.items()
    }
    clips = {k: _fold_lines(runs, seam) for k, (runs, seam) in drawn.items()}
    plain = {
        k: points
        for k, (runs, _) in drawn.items()
        if all(join.sound for join in joins[k]) and (points := _assembled(runs, joins[k])) is not None
    }
    rings = {k: ring for k, ring in zip(plain, _ringed(list(plain.values())), strict=True) if ring is not None}
    sound = region.enclose(list(rings.values()), [drawn[k][1] for k in rings])
    for (k, ring), holds in zip(rings.items(), sound, strict=True):
        if holds and not any(((ring - spot) @ np.array(inward)).min() < -1e-9 for spot, inward in clips[k]):
            found[k] = ring
    return [
        each if each is not None else _cleaned(drawn[k][0], joins[k], drawn[k][1], clips[k])
        for k, each in enumerate(found)
    ]


def _unfit(outlines: Sequence[Sequence[OffsetEdge]]) -> list[Fault | None]:
    """Return for each outline what keeps it from having a cut line, as far as its edges tell; None for nothing."""
    paths = [edge.path.curves for edges in outlines for edge in edges]
    if not paths:
        return [Fault("the outline has no edges") for _ in outlines]
    curves = np.concatenate(paths)
    # NaN compares false
    ordinary = bool(np.abs(curves).max() < _FARTHEST)
    counts = np.cumsum([len(each) for each in paths])
    ends = np.concatenate([curves[counts - [len(each) for each in paths], 0], curves[counts - 1, 3]], axis=1).tolist()
    faults, first = [], 0
    for edges in outlines:
        faults.append(_unfit_edges(edges, ends[first : first + len(edges)], ordinary))
        first += len(edges)
    return faults


def _unfit_edges(edges: Sequence[OffsetEdge], ends: list[list[float]], ordinary: bool) -> Fault | None:
    if not edges:
        return Fault("the outline has no edges")
    for number, edge in enumerate(edges, 1):
        if not edge.fold and not 0.0 <= edge.width < _FARTHEST:
            return Fault(
                f"the allowance of edge {number} is {edge.width:g} mm: it must be 0 or more, and of cloth size"
            )
        if not (ordinary or -_FARTHEST < edge.path.curves.min() <= edge.path.curves.max() < _FARTHEST):
            return Fault(f"a point of edge {number} is not a number, or lies kilometres off")
        x, y, _, _ = ends[number - 1]
        _, _, u, v = ends[number - 2]
        apart = max(abs(x - u), abs(y - v))
        if apart > _GAP:
            return Fault(f"edge {number} begins {apart:.2f} mm from where the one before it ends")
    return None


def _runs(outlines: Sequence[Sequence[OffsetEdge]], tolerance: float) -> list[list[_Run]]:
    """Return each outline's stretches between corners, each within one edge, curves of no length left out."""
    edges = [edge for each in outlines for edge in each]
    result: list[list[_Run]] = [[] for _ in outlines]
    if not edges:
        return result
    curves = np.concatenate([each.path.curves for each in edges])
    straight = np.concatenate([each.path.straight for each in edges])
    number = np.repeat(np.arange(len(edges)), [len(each.path.curves) for each in edges])
    long = np.abs(curves[:, 1:] - curves[:, :1]).reshape(-1, 6).max(axis=1) > _NOTHING
    if not long.all():
        curves, straight, number = curves[long], straight[long], number[long]
    if not len(curves):
        return result
    widths = np.array([0.0 if each.fold else each.width for each in edges])[number]
    points, ways, offsets, firsts = _offsets(curves, straight, widths, tolerance)
    heads, tails = ways[firsts[:-1]], ways[firsts[1:] - 1]
    turn = tails[:-1, 0] * heads[1:, 1] - tails[:-1, 1] * heads[1:, 0]
    on = (np.abs(turn) < SMOOTH) & (curve.dots(tails[:-1], heads[1:]) > 0.0) & (number[1:] == number[:-1])
    keep = np.ones(len(points), dtype=bool)
    keep[firsts[1:-1][on]] = False
    stay = np.flatnonzero(keep)
    points, offsets = points.take(stay, axis=0), offsets.take(stay, axis=0)
    corners = np.flatnonzero(~on) + 1
    begins, ends = np.concatenate([[0], corners]), np.concatenate([corners, [len(curves)]])
    kept = np.concatenate([[0], np.cumsum(keep)])[firsts]
    whose = np.repeat(np.arange(len(outlines)), [len(each) for each in outlines]).tolist()
    columns = (number[begins], kept[begins], kept[ends], heads[begins], tails[ends - 1], widths[begins])
    for edge, first, last, (ax, ay), (bx, by), width in zip(*(each.tolist() for each in columns), strict=True):
        run = _Run(points[first:last], offsets[first:last], (ax, ay), (bx, by), edges[edge], width)
        result[whose[edge]].append(run)
    return result


def _pair(spot: Floats) -> Point:
    x, y = spot.tolist()
    return x, y


def _offsets(curves: Floats, straight: Bools, widths: Floats, tolerance: float) -> tuple[Floats, Floats, Floats, Ints]:
    """Return samples, unit tangents, offset points (all (m, 2)) and the first sample of each curve, with the end."""
    counts = curve.segment_counts(curves, straight, 0.6 * tolerance)
    for attempt in range(_PASSES):
        owner, t = curve.sampled(counts)
        points, ways = curve.evaluate(curves, t, owner), curve.tangents(curves, t, owner)
        offsets = points + widths.take(owner)[:, None] * np.stack([ways[:, 1], -ways[:, 0]], axis=1)
        strays = _strays(offsets, ways, owner, len(curves))
        rough = (strays > 0.9 * tolerance) & ~straight
        if attempt == _PASSES - 1 or not rough.any():
            break
        finer = np.ceil(counts * np.sqrt(strays / (0.6 * tolerance)))
        counts = np.where(rough, np.minimum(finer, curve.MOST_SEGMENTS), counts).astype(np.int64)
    firsts = np.concatenate([[0], np.cumsum(counts + 1)])
    # the curve's own ends, to the bit, so that neighbours of width 0 share them
    points[firsts[:-1]], points[firsts[1:] - 1] = curves[:, 0], curves[:, 3]
    return points, ways, offsets, firsts


def _strays(offsets: Floats, ways: Floats, owner: Ints, count: int) -> Floats:
    """Return how far (n,) mm the true offset strays most from its chords on each curve: chord x turn / 8."""
    step = offsets[1:] - offsets[:-1]
    turn = np.abs(ways[:-1, 0] * ways[1:, 1] - ways[:-1, 1] * ways[1:, 0])
    sagitta = np.where(owner[1:] == owner[:-1], np.hypot(step[:, 0], step[:, 1]) * turn / 8.0, 0.0)
    worst = np.zeros(count)
    np.maximum.at(worst, owner[1:], sagitta)
    return worst


def _join(first: _Run, second: _Run, mitre_limit: float) -> Join:
    (ax, ay), (bx, by) = first.arrive, second.set_out
    if first.width == second.width and runs_on(first.arrive, second.set_out):
        return Join((), 0, 1)
    return join_corner(
        _pair(second.seam[0]),
        Side(first.offset[::-1], (-ax, -ay), (ay, -ax), first.width, first.edge.corner, first.edge.fold),
        Side(second.offset, (bx, by), (by, -bx), second.width, second.edge.corner, second.edge.fold),
        mitre_limit,
    )


def _fold_lines(runs: list[_Run], seam: Floats) -> list[tuple[Point, Point]]:
    """Return a point and the inward normal of each straight fold that the whole seam line lies on one side of."""
    lines: dict[int, tuple[Point, Point]] = {}
    for run in runs:
        if run.edge.fold and id(run.edge) not in lines:
            lines[id(run.edge)] = (_pair(run.seam[0]), (-run.set_out[1], run.set_out[0]))
    return [(spot, inward) for spot, inward in lines.values() if ((seam - spot) @ np.array(inward)).min() >= -1e-6]


def _assembled(runs: list[_Run], joins: list[Join]) -> Floats | None:
    """Return the points of the ring; None where too few are left, or two joins use up one stretch between them."""
    parts: list[Floats] = []
    for k, run in enumerate(runs):
        begin, left = joins[k - 1].drop_second, len(run.offset) - joins[k].drop_first
        if begin > left:
            return None
        parts.append(run.offset[begin:left])
        if joins[k].points:
            parts.append(np.array(joins[k].points))
    points = np.concatenate(parts)
    return points if len(points) >= 3 else None


def _ringed(rings: list[Floats]) -> list[Floats | None]:
    """Return the points of each as a closed ring without doubles or spikes; None where fewer than three are left."""
    if not rings:
        return []
    points = np.concatenate(rings)
    lasts = np.cumsum([len(each) for each in rings])
    step = np.abs(points - points.take(_before(lasts), axis=0))
    keep = (step[:, 0] > _NOTHING) | (step[:, 1] > _NOTHING)
    points, lasts = points.take(np.flatnonzero(keep), axis=0), np.cumsum(keep)[lasts - 1]
    spikes = np.flatnonzero(_is_spike(points, lasts))
    parted = np.split(points, lasts[:-1])
    for number in set(np.searchsorted(lasts, spikes, side="right").tolist()):
        parted[number] = _without_spikes(parted[number])
    return [region.closed(each) if len(each) >= 3 else None for each in parted]


def _before(lasts: Ints) -> Ints:
    """Return the number of the point before each, of rings that lie one after another, each ending before its last."""
    before = np.arange(-1, lasts[-1] - 1)
    firsts = np.concatenate([[0], lasts[:-1]])
    some = firsts < lasts
    before[firsts[some]] = lasts[some] - 1
    return before


def _is_spike(points: Floats, lasts: Ints) -> Bools:
    """Return at which points of the rings the line runs out and back on itself, no wider than nothing."""
    before = _before(lasts)
    after = np.empty_like(before)
    after[before] = np.arange(len(before))
    come = points - points.take(before, axis=0)
    go = come.take(after, axis=0)
    back = curve.dots(come, go) < 0.0
    if not back.any():
        return back
    wide = np.abs(come[:, 0] * go[:, 1] - come[:, 1] * go[:, 0])
    longest = np.sqrt(np.maximum(curve.dots(come, come), curve.dots(go, go)))
    return np.asarray(back & (wide <= _NOTHING * longest))


def _without_spikes(points: Floats) -> Floats:
    """Return the ring's points without spikes and the doubles that they leave."""
    while len(points) >= 3:
        whole = np.array([len(points)])
        step = np.abs(points - points[_before(whole)])
        fall = _is_spike(points, whole) | (step.max(axis=1) <= _NOTHING)
        if not fall.any():
            break
        # one at a time: of two spikes side by side the second is judged anew
        points = np.delete(points, int(fall.argmax()), axis=0)
    return points


def _cleaned(runs: list[_Run], joins: list[Join], seam: Floats, clips: list[tuple[Point, Point]]) -> Floats | Fault:
    """Return the ring cleaned as a region from the stretches in full, inside corners run through the corner itself."""
    full = []
    for k, join in enumerate(joins):
        if join.inside or not join.sound:
            full.append(Join((_pair(runs[(k + 1) % len(runs)].seam[0]),)))
            continue
        full.append(join)
    parts: list[Floats] = []
    for k, run in enumerate(runs):
        begin, left = full[k - 1].drop_second, len(run.offset) - full[k].drop_first
        parts.append(run.offset[begin:left] if begin < left else run.offset)
        if full[k].points:
            parts.append(np.array(full[k].points))
    whole = region.wound_region(region.closed(np.concatenate(parts)), seam, clips)
    if isinstance(whole, Fault):
        return whole
    (ring,) = _ringed([whole])
    if ring is None or not region.is_valid(ring):
        return Fault("the allowances leave no sound outline")
    # where two lines meet at a needle's point, rounding as in a file would cross them
    return ring if region.is_valid(np.round(ring, _PLACES)) else region.on_grid(ring, 10.0**-_PLACES)
