"""Darts, tubes, folds and straps seen from above as the hands hold them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from onfold.geometry.path import flatten
from onfold.guide.cut_cloth import FINE, Cut, Walk, net_line, opened, pieces_of, ring_of, walk_of
from onfold.guide.laying_together import Folded, fold_on_itself, walks_of
from onfold.guide.plan_fold import folds_of
from onfold.guide.plan_sewn import Plan, plan_seam
from onfold.guide.scene import Area, Box, Item, Line
from onfold.guide.signs import Sign
from onfold.making.operation import Operation
from onfold.pattern import Mark, Pattern, Piece, Run, sewn_to_itself

Floats = NDArray[np.float64]
_SHOWN = 8.0
"""A tube is drawn as long as this many of its widths at most."""


def plan_dart(pattern: Pattern, operation: Operation) -> Plan | None:
    """Return a dart folded right sides together, its row running to the point, seen through a window about it."""
    legs = _legs(pattern, operation)
    folded = fold_on_itself(*legs) if legs is not None else None
    if folded is None:
        return None
    edge = folded.edges[0]
    inner = _point_end(folded)
    name = folded.cut.piece.name
    scene: list[Item] = [Area(folded.under, "right"), Area(folded.over, "wrong", name=name)]
    span = float(np.hypot(*(edge[-1] - edge[0]))) or 1.0
    z = (folded.over[:, 0] + 1j * folded.over[:, 1] - folded.at) / folded.way
    fold = [folded.at + folded.way * along for along in (float(z.real.min()), float(z.real.max()))]
    scene.append(Line(np.array([[end.real, end.imag] for end in fold]), "fold", "fold"))
    scene.append(Line(edge, "row", "row to the point"))
    scene.append(Sign("cross", (float(inner[0]), float(inner[1])), said="point"))
    low, high = edge.min(axis=0) - 0.5 * span, edge.max(axis=0) + np.array((0.5, 0.3)) * span
    cloth = np.sign(folded.under.mean(axis=0) - edge.mean(axis=0)) * 0.6 * span
    low, high = low + np.minimum(cloth, 0.0) * (1.0, 0.3), high + np.maximum(cloth, 0.0) * (1.0, 0.3)
    window = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    return Plan(tuple(scene), f"{name} folded, right sides inside; sewn from the edge to the point", window)


def _legs(pattern: Pattern, operation: Operation) -> tuple[Walk, Walk] | None:
    runs = [side[0] for side in operation.sides if side]
    if len(runs) < 2:
        runs = [
            Run(piece.name, edge.name)
            for piece in pieces_of(pattern, operation)
            for edge in piece.edges
            if edge.finish == "dart"
        ]
    walks = [walk for run in runs[:2] if (walk := walk_of(pattern, run)) is not None]
    return (walks[0], walks[1]) if len(walks) == 2 else None


def _point_end(folded: Folded) -> Floats:
    """Return the end of a dart's leg that lies on the fold: its point."""
    edge = folded.edges[0]
    off = [abs((((p[0] + 1j * p[1]) - folded.at) / folded.way).imag) for p in (edge[0], edge[-1])]
    found: Floats = edge[0] if off[0] <= off[1] else edge[-1]
    return found


def plan_turn(pattern: Pattern, operation: Operation) -> Plan | None:
    """Return a tube half turned right side out, or a part closed on three sides before and after it is turned."""
    for piece in pieces_of(pattern, operation):
        size = _tube_of(pattern, piece)
        if size is not None:
            tube = piece.name in map(sewn_to_itself, pattern.seams)
            return _half_turned(piece.name, *size) if tube else _turned_out(piece.name, *size)
    return None


def _tube_of(pattern: Pattern, piece: Piece) -> tuple[float, float] | None:
    """Return the length and the width, mm, of a piece once it is folded in half along its length; None without one."""
    net = net_line(piece)
    if net is None:
        return None
    sizes = np.ptp(opened(net) if piece.on_fold else net, axis=0)
    long, wide = float(sizes.max()), float(sizes.min())
    wide = wide / 2
    return (long, wide) if wide > 0.1 else None


def _half_turned(name: str, long: float, wide: float) -> Plan:
    shown = min(long, _SHOWN * wide)
    mouth, thin = 0.45 * shown, 0.14 * wide
    inner = np.array([(0.0, thin), (mouth + 0.1 * shown, thin), (mouth + 0.1 * shown, wide - thin), (0.0, wide - thin)])
    arc = _arc(mouth, wide, 0.22 * wide)
    sleeve = np.vstack((arc, [(shown, wide), (shown, 0.0)], arc[:1]))
    end = _arc(0.0, wide - 2 * thin, 0.16 * wide) + np.array((0.0, thin))
    out = np.vstack((end, inner[[2, 1]], end[:1]))
    back = _arc(mouth, wide, -0.22 * wide)
    lip = np.vstack((arc, back[::-1], arc[:1]))
    scene: list[Item] = [
        Area(lip, "right", outline=(back,)),
        Area(out, "right", outline=(end, np.vstack((end[-1:], inner[2:3])), np.vstack((end[:1], inner[1:2])))),
        Area(sleeve, "wrong", name=name, outline=(arc, sleeve[len(arc) - 1 : len(arc) + 1], sleeve[-2:])),
        Sign("arrow", (-0.35 * wide, wide / 2), (-1.0, 0.0), away=0.9 * wide),
    ]
    reach = 1.4 * wide
    return Plan(tuple(scene), f"{name} drawn through itself, right side out", (-reach, -0.3 * wide, shown, 1.3 * wide))


def _turned_out(name: str, long: float, wide: float) -> Plan:
    """Return one end of a folded band: wrong side out with its end sewn and the corner cut across, and turned out."""
    shown = min(long, 2.6 * wide)
    seam, gap = 0.16 * wide, 1.3 * wide
    before = np.array([(0.0, 0.0), (shown - seam, 0.0), (shown, seam), (shown, wide), (0.0, wide)])
    x = shown + gap
    after = np.array([(x, 0.0), (x + shown - seam, 0.0), (x + shown - seam, wide), (x, wide)])
    scene: list[Item] = [
        Area(np.vstack((before, before[:1])), "wrong", name=name, outline=(before,)),
        Line(np.array([(shown - seam, 0.0), (shown - seam, wide)]), "row", "row of stitches"),
        Area(np.vstack((after, after[:1])), "right", name=name, outline=(after,)),
        Sign("arrow", (x - 0.2 * gap, wide / 2), (1.0, 0.0), away=0.6 * gap),
    ]
    box = (0.0, -0.1 * wide, x + shown, 1.1 * wide)
    return Plan(tuple(scene), f"{name}: end sewn, corner cut across, then turned right side out", box)


def _arc(x: float, wide: float, bulge: float) -> Floats:
    """Return the mouth of a flattened tube from its low edge to its high one, bulging to the right."""
    turns = np.linspace(-np.pi / 2, np.pi / 2, 15)
    return np.column_stack((x + bulge * np.cos(turns), wide / 2 + wide / 2 * np.sin(turns)))


def plan_attach(pattern: Pattern, operation: Operation) -> Plan | None:
    """Return a made-up part laid to its mark on another piece, with the rows that hold it; else their seam."""
    pieces = pieces_of(pattern, operation)
    for target in pieces:
        marks = _marks_for(target, operation, [each.name for each in pieces if each is not target])
        ring = ring_of(Cut(target))
        if not marks or ring is None:
            continue
        part = next((each for each in pieces if each is not target), None)
        wide = _part_width(pattern, part)
        return _attached(target, ring, marks[0], part.name if part is not None else "the part", wide)
    return plan_seam(pattern, operation, 0.0, right_together=True)


def _marks_for(target: Piece, operation: Operation, others: Sequence[str]) -> list[Mark]:
    said = " ".join([operation.name, *(act.says for act in operation.acts)]).lower()
    sound = [mark for mark in target.marks if np.isfinite(mark.at).all()]
    named = [mark for mark in sound if mark.name and mark.name.lower() in said]
    return named or [mark for mark in sound if mark.kind == "strap" or mark.kind in others]


def _part_width(pattern: Pattern, part: Piece | None) -> float:
    size = _tube_of(pattern, part) if part is not None else None
    fact = pattern.facts.get("strap width")
    if size is not None:
        return size[1]
    return fact.value if fact is not None and 0.1 < fact.value < 1e4 else 15.0


def _attached(target: Piece, ring: Floats, mark: Mark, part: str, wide: float) -> Plan:
    """Return the part at its mark: at a fold laid flat over the right side, its end up on the facing; else inside."""
    x, y = mark.at
    facing = _facing_way(target, ring, mark, wide)
    up = -1.0 if facing is None else facing  # the way its raw end lies
    tail, long = 0.8 * wide * up, -5.0 * wide * up
    left, right = x - wide / 2, x + wide / 2
    strip = np.array([(left, y + tail), (right, y + tail), (right, y + long), (left, y + long), (left, y + tail)])
    inset = 0.18 * wide
    over = y + tail - np.copysign(inset, tail)
    row = np.array([(left + inset, over), (right - inset, over), (right - inset, y), (left + inset, y)])
    beside = (x + 1.1 * wide, y)
    flat: list[Item] = [Area(ring, "right", name=target.name)]
    flat += [Line(flatten(each.path, FINE), "fold", each.name) for each in target.inner if each.kind == "fold line"]
    scene: list[Item] = [
        *(flat if facing is not None else [Area(ring, "wrong", name=target.name)]),
        Area(strip, "right", name=part),
        Line(np.vstack((row, row[:1])), "row", "rows that hold it"),
        Sign("cross", (x, y)),
        Line(np.array([(x, y), beside]), "measure"),
        Sign("word", beside, (1.0, 0.0), said=mark.name or "mark"),
    ]
    reach = 4.0 * wide
    window: Box = (x - reach, y - 0.8 * reach, x + reach * 1.6, y + 0.8 * reach)
    where = "right side up, its end on the facing" if facing is not None else "inside"
    said = f"{part} laid to its mark on the {target.name}, {where}"
    return Plan(tuple(scene), said, window)


def _facing_way(target: Piece, ring: Floats, mark: Mark, near: float) -> float | None:
    """Return on which side of the fold line at a mark the facing lies, 1 above and -1 below; None without a fold."""
    at = complex(*mark.at)
    for fold in folds_of(target):
        if abs(((at - fold.at) / fold.way).imag) <= near:
            above, below = ring[:, 1].max() - at.imag, at.imag - ring[:, 1].min()
            return 1.0 if above <= below else -1.0
    return None


def plan_mark(pattern: Pattern, operation: Operation) -> Plan | None:
    """Return the pieces side by side, wrong side up, with the notches and marks that are carried onto the cloth."""
    pieces = (pieces_of(pattern, operation) or list(pattern.pieces))[:4]
    scene: list[Item] = []
    x = 0.0
    shown = []
    for piece in pieces:
        ring = ring_of(Cut(piece))
        if ring is None:
            continue
        low, high = ring.min(axis=0), ring.max(axis=0)
        by = np.array([x - low[0], -high[1]])
        scene += _marked(piece, ring, by)
        x += float(high[0] - low[0]) * 1.06 + 25.0
        shown.append(piece.name)
    if not scene:
        return None
    return Plan(tuple(scene), f"{', '.join(shown)}: notches and marks, wrong side up")


def _marked(piece: Piece, ring: Floats, by: Floats) -> list[Item]:
    found: list[Item] = [Area(ring + by, "wrong", name=piece.name)]
    halves = [np.array([1.0, 1.0]), np.array([-1.0, 1.0])] if piece.on_fold else [np.array([1.0, 1.0])]
    lines = [(edge.path, "inner", "dart leg") for edge in piece.edges if edge.finish == "dart"]
    lines += [(inner.path, "fold", inner.name) for inner in piece.inner if inner.kind == "fold line"]
    for half in halves:
        for path, pen, name in lines:
            found.append(Line(flatten(path, FINE) * half + by, "fold" if pen == "fold" else "inner", name))
        for at, out in _notches(piece):
            spot, way = at * half + by, out * half
            found.append(Sign("notch", (float(spot[0]), float(spot[1])), (float(way[0]), float(way[1]))))
        for mark in piece.marks:
            if np.isfinite(mark.at).all():
                spot = np.array(mark.at) * half + by
                found.append(Sign("cross", (float(spot[0]), float(spot[1]))))
    return found


def _notches(piece: Piece) -> list[tuple[Floats, Floats]]:
    """Return each notch's point on the raw edge and the way out of the piece there."""
    found = []
    alone = Pattern("", "", "", (piece,))
    for name in dict.fromkeys(notch.edge for notch in piece.notches):
        for walk in walks_of(alone, [Run(piece.name, name)]):
            for along, _ in walk.notches:
                a, b = walk.at([max(along - 1.0, 0.0), min(along + 1.0, walk.length)])
                way = (b - a) / max(float(np.hypot(*(b - a))), 1e-9)
                out = np.array((way[1], -way[0])) * (1.0 if walk.left else -1.0)
                found.append((walk.at([along])[0] + out * walk.allowance, out))
    return found
