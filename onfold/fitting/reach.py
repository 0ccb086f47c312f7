"""Whether what is cut already still does after the draft was changed: the new piece within the old cut line.

The new seam line with the least allowance that its seams use must lie within what was cut, moved along the grain and
across it, but never turned: notches and nap stay where they are. A piece cut on the fold is moved along its fold only.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from onfold.cloth import Cloth
from onfold.construction import FinishFault, read_finish
from onfold.cut_lines import to_cut
from onfold.geometry.fault import Fault
from onfold.geometry.offset import offset_outlines
from onfold.geometry.path import end, flatten_all, start
from onfold.geometry.region import ALIKE, closed, depths, farthest, joined_to_mirror
from onfold.geometry.within import Question, Within, best_within
from onfold.pattern import Edge, Pattern, Piece, Point

Floats = NDArray[np.float64]
Least = Callable[[Edge], float]
Answer = Literal["unchanged", "reaches", "recut", "new", "gone"]

CUT_TO = 1.0
"""mm that a line may pass the cut line and still count as within it: shears and chalk keep to no less [C]."""
_ROOM = 0.5
"""mm beyond what its seam uses from which an edge counts as cut with an inlay."""
_SPACING = 4.0
"""mm between the points at which an outline is held against the cut line, beside its own corners."""
_TIED = 0.5
"""mm within which two edges lack alike: the one whose seam was let out farther is named."""


@dataclass(frozen=True)
class EdgeReach:
    """One edge of the new draft: the least spare beside it, and how far half its seam line or more is let out, mm."""

    edge: str
    spare: float
    let_out: float


@dataclass(frozen=True)
class Reach:
    """What became of one piece.

    `spare` is mm at the tightest place, `edge` where that is; below 0 it lacks so much. Where something was cut with
    an inlay, the spare is that of the inlays: the other edges were cut with what they use and have none. `full` and
    `full_edge` say the same for the whole allowance of the new draft, inlays included. `shift` mm is how the new
    piece lies on the old one. `size` (across, along the grain) mm and `pieces` are what is to be cut anew, opened
    out where it was on the fold; 0 where nothing is. `why` says what beside the outline asks for it.
    """

    piece: str
    answer: Answer
    spare: float = 0.0
    edge: str = ""
    full: float = 0.0
    full_edge: str = ""
    shift: Point = (0.0, 0.0)
    size: Point = (0.0, 0.0)
    pieces: int = 0
    why: str = ""
    edges: tuple[EdgeReach, ...] = ()


def least_of(cloth: Cloth) -> Least:
    """Return the function that gives what the construction of an edge uses of its allowance, mm, inlays left out."""

    def least(edge: Edge) -> float:
        read = read_finish(edge.finish, cloth) if edge.finish and edge.finish != "dart" else None
        if read is None or isinstance(read, FinishFault):
            return edge.allowance
        return min(edge.allowance, read.uses)

    return least


def reach_of(cut: Pattern, now: Pattern, least: Least) -> tuple[Reach, ...]:
    """Return what became of every piece of the new draft, in its order, then of those that are gone.

    `least` gives the allowance, mm, that an edge cannot do without. A piece that has no cut line is left out.
    """
    before = {each.name: each for each in cut.pieces if each.cut_line is not None}
    pieces = [each for each in now.pieces if each.cut_line is not None]
    lines = _needed([*pieces, *before.values()], least)
    found = []
    for at, piece in enumerate(pieces):
        old = before.get(piece.name)
        if old is None:
            found.append(Reach(piece.name, "new", size=size_of(piece), pieces=piece.cut))
            continue
        old_line = lines[len(pieces) + list(before).index(piece.name)]
        found.append(_reach(_Laid(old, old_line, least), _Laid(piece, lines[at], least)))
    there = {each.name for each in pieces}
    return (*found, *(Reach(name, "gone") for name in before if name not in there))


def size_of(piece: Piece) -> Point:
    """Return the cloth that a piece takes, (across, along the grain) mm, opened out where it is cut on the fold."""
    ring = _opened(piece, _ring(piece))
    angle = math.pi / 2.0
    if piece.grain is not None and piece.grain.start != piece.grain.end:
        (ax, ay), (bx, by) = piece.grain.start, piece.grain.end
        # the warp: along the arrow, across it where it marks the cross grain, half a right angle off it on the bias
        angle = (
            math.atan2(by - ay, bx - ax)
            + {"straight": 0.0, "cross": math.pi / 2.0, "bias": math.pi / 4.0}[piece.grain.kind]
        )
    along, across = np.array([math.cos(angle), math.sin(angle)]), np.array([math.sin(angle), -math.cos(angle)])
    return float(np.ptp(ring @ across)), float(np.ptp(ring @ along))


def _needed(pieces: Sequence[Piece], least: Least) -> list[Floats]:
    """Return each piece's seam line with the least allowance, a closed ring; the cut line where there is none."""
    outlines = [to_cut(tuple(replace(e, allowance=0.0 if e.fold else least(e)) for e in each.edges)) for each in pieces]
    found = offset_outlines(outlines)
    return [_ring(piece) if isinstance(line, Fault) else line for piece, line in zip(pieces, found, strict=True)]


class _Laid:
    """A piece as it is compared: its cut line, the line it cannot do without, and its edges."""

    def __init__(self, piece: Piece, needed: Floats, least: Least) -> None:
        self.piece, self.needed = piece, needed
        self.edges = [each for each in piece.edges if not each.fold and each.finish != "dart"]
        self.paths = flatten_all([each.path for each in self.edges])
        self.least = [least(each) for each in self.edges]
        self.full = [each.allowance for each in self.edges]

    @property
    def inlaid(self) -> frozenset[str]:
        """Return the roots of the edges that were cut with more than their seams use."""
        wider = zip(self.edges, self.full, self.least, strict=True)
        return frozenset(edge.root for edge, full, least in wider if full > least + _ROOM)

    def beside(self, widths: Sequence[float]) -> dict[str, list[Floats]]:
        """Return the lines that run these widths, mm, outside the edges, by root: corners are not among them."""
        found: dict[str, list[Floats]] = {}
        for edge, path, wide in zip(self.edges, self.paths, widths, strict=True):
            found.setdefault(edge.root, []).append(_outside(_dense(path), wide))
        return found

    def round(self, ring: Floats) -> Floats:
        """Return points (m, 2) along a ring of this piece, its corners among them; what lies on the fold left out."""
        points = _dense(ring)
        if not self.piece.on_fold:
            return points[:-1]
        on = np.abs(points[:, 0]) < ALIKE
        return np.asarray(points[~(on & np.roll(on, 1) & np.roll(on, -1))])


def _dense(line: Floats) -> Floats:
    """Return a line's points (m, 2) with more between those that lie far apart."""
    a, b = line[:-1], line[1:]
    counts = np.maximum(1, np.ceil(np.hypot(*(b - a).T) / _SPACING)).astype(int)
    owner = np.repeat(np.arange(len(a)), counts)
    share = np.concatenate([np.arange(each) / each for each in counts])
    return np.concatenate([a[owner] + share[:, None] * (b - a)[owner], line[-1:]])


def _outside(points: Floats, wide: float) -> Floats:
    """Return the points moved `wide` mm to the right of the way they run, which is outward."""
    run = np.gradient(points, axis=0)
    way = run / np.maximum(np.hypot(run[:, 0], run[:, 1]), 1e-12)[:, None]
    return np.asarray(points + wide * np.stack([way[:, 1], -way[:, 0]], axis=1))


def _reach(old: _Laid, new: _Laid) -> Reach:
    """Return what became of a piece that was there and is still there."""
    piece = new.piece
    if _alike(old.piece, piece):
        more = piece.cut - old.piece.cut
        if more <= 0:
            return Reach(piece.name, "unchanged")
        return Reach(piece.name, "recut", size=size_of(piece), pieces=more, why=f"{more} more are cut than before")
    why = _cut_otherwise(old.piece, piece)
    if why:
        return Reach(piece.name, "recut", size=size_of(piece), pieces=piece.cut, why=why)
    laid = _placed(old, new, new.needed, new.least, old.inlaid)
    full = _placed(old, new, _ring(piece), new.full, frozenset()) if new.inlaid else laid
    edges = _edges(old, new, laid)
    lacking = laid.within.lacks > CUT_TO
    edge, spare = _tightest(edges, frozenset() if lacking else old.inlaid)
    count = piece.cut if lacking else max(0, piece.cut - old.piece.cut)
    again = lacking or count > 0
    return Reach(
        piece.name,
        "recut" if again else "reaches",
        spare=-laid.within.lacks if lacking else spare,
        edge=edge,
        full=float(full.within.depth.min()),
        full_edge=full.roots[int(full.within.depth.argmin())],
        shift=laid.within.shift,
        size=size_of(piece) if again else (0.0, 0.0),
        pieces=count,
        why="" if lacking or not count else f"{count} more are cut than before",
        edges=edges,
    )


@dataclass(frozen=True, eq=False)
class _Place:
    """A line of the new piece as it lies best in the old cut line; `roots` says to which edge each point belongs."""

    within: Within
    roots: list[str]
    favoured: NDArray[np.bool_]


def _placed(old: _Laid, new: _Laid, ring: Floats, widths: Sequence[float], inlaid: frozenset[str]) -> _Place:
    """Return the best place of a line drawn these widths round the new piece, the inlaid edges' spare favoured."""
    round_, beside = new.round(ring), new.beside(widths)
    # a corner cuts the lines beside its edges short: what lies outside the ring is no place of the piece
    kept = {root: points[depths(ring, points) > -ALIKE * 2.0] for root, points in _joined(beside).items()}
    own = np.concatenate(list(kept.values()))
    owners = [root for root, points in kept.items() for _ in range(len(points))]
    apart = np.hypot(round_[:, None, 0] - own[None, :, 0], round_[:, None, 1] - own[None, :, 1])
    roots = [*(owners[int(k)] for k in apart.argmin(axis=1)), *owners]
    names = list(kept)
    lines = old.beside(old.full)
    favoured = np.array([False] * len(round_) + [each in inlaid for each in owners])
    asked = Question(
        np.concatenate([round_, own]),
        np.array([names.index(each) for each in roots]),
        _opened(old.piece, _ring(old.piece)),
        [lines.get(name, []) if name in inlaid else [] for name in names],
        favoured,
        across=not new.piece.on_fold,
        may=CUT_TO,
        starts=_starts(old.piece, new.piece),
    )
    return _Place(best_within(asked), roots, favoured)


def _starts(old: Piece, new: Piece) -> tuple[Point, ...]:
    """Return the shifts that bring an end of a new edge onto that of the old edge of its name, the frame's own first.

    A piece may hang by its waist or, shortened, by its vent.
    """
    before = {each.name: (start(each.path), end(each.path)) for each in old.edges}
    found: list[Point] = [(0.0, 0.0)]
    for edge in new.edges:
        ends = zip(before.get(edge.name, ()), (start(edge.path), end(edge.path)), strict=False)
        for (ax, ay), (bx, by) in ends:
            shift = (0.0 if new.on_fold else ax - bx, ay - by)
            if all(math.dist(shift, each) > _SPACING for each in found):
                found.append(shift)
    return tuple(found)


def _joined(lines: dict[str, list[Floats]]) -> dict[str, Floats]:
    return {root: np.concatenate(own) for root, own in lines.items()}


def _edges(old: _Laid, new: _Laid, laid: _Place) -> tuple[EdgeReach, ...]:
    """Return the least spare beside each edge, and how far its seam line lies outside the old one."""
    before = _opened(old.piece, _seam(old.piece))
    found = []
    for root in dict.fromkeys(each.root for each in new.edges):
        own = np.array([each == root for each in laid.roots])
        counted = own & laid.favoured if (own & laid.favoured).any() else own
        lines = [path for edge, path in zip(new.edges, new.paths, strict=True) if edge.root == root]
        out = max(float(np.median(-depths(before, _dense(line) + laid.within.shift))) for line in lines)
        spare = float(laid.within.spare[counted].min()) if counted.any() else 0.0
        found.append(EdgeReach(root, spare, max(0.0, out)))
    return tuple(found)


def _tightest(edges: tuple[EdgeReach, ...], counted: frozenset[str]) -> tuple[str, float]:
    """Return the tightest of the edges counted (none: of all), and its spare; of edges alike the one let out most."""
    among = [each for each in edges if each.edge in counted] or list(edges)
    least = min(each.spare for each in among)
    return max((each for each in among if each.spare <= least + _TIED), key=lambda each: each.let_out).edge, least


def _alike(old: Piece, new: Piece) -> bool:
    """Return whether seam line, cut line and the way of cutting are the same, wherever the piece lies in its frame."""
    if (old.on_fold, old.material, old.mirrored_pair) != (new.on_fold, new.material, new.mirrored_pair):
        return False
    first, second = _ring(old), _ring(new)
    move = first.min(axis=0) - second.min(axis=0)
    if old.on_fold and abs(move[0]) > CUT_TO:
        return False
    pairs = [(first, second + move), (_seam(old), _seam(new) + move)]
    return all(max(farthest(a, b), farthest(b, a)) <= CUT_TO / 2.0 for a, b in pairs)


def _cut_otherwise(old: Piece, new: Piece) -> str:
    """Return why a piece cannot come from the old one, whatever its outline; '' where it can."""
    if old.material != new.material:
        return f"it was cut from {_cloth(old)}, and is cut from {_cloth(new)} now"
    if old.on_fold and not new.on_fold:
        return "it was cut on the fold, and has a seam there now"
    if new.on_fold and not old.on_fold:
        return "it was cut with a seam where it is cut on the fold now"
    if new.mirrored_pair != old.mirrored_pair and new.cut > 1:
        return "it is cut as a pair now" if new.mirrored_pair else "it is no longer cut as a pair"
    return ""


def _cloth(piece: Piece) -> str:
    return "the main cloth" if piece.material in ("main", "") else piece.material


def _ring(piece: Piece) -> Floats:
    assert piece.cut_line is not None
    return closed(piece.cut_line)


def _seam(piece: Piece) -> Floats:
    return closed(np.concatenate([each[:-1] for each in flatten_all([edge.path for edge in piece.edges])]))


def _opened(piece: Piece, ring: Floats) -> Floats:
    return joined_to_mirror(closed(ring)) if piece.on_fold else closed(ring)
