"""A facing cut in one with its edge, step by step at one corner: folded back and sewn, trimmed and clipped, turned."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from onfold.guide.cut_cloth import Walk, pieces_of, walk_of
from onfold.guide.plan_fold import Fold, folds_of
from onfold.guide.plan_sewn import Plan, off_edge
from onfold.guide.scene import Area, Box, Item, Line
from onfold.guide.signs import Sign
from onfold.making import folds
from onfold.making.operation import Operation
from onfold.making.parts_acts import ALIKE, FACING_LEFT, ON_FOLD
from onfold.pattern import Pattern, Piece, Run

Floats = NDArray[np.float64]
_CLIPS = 4
_BEYOND = 1.2
"""What is cut or turned away is covered this many mm past the raw edge."""


@dataclass(frozen=True, eq=False)
class _Corner:
    """One end of a facing: its piece and fold, the edge and its facing walked from the fold, what is sewn of them."""

    piece: Piece
    fold: Fold
    edge: Walk
    facing: Walk
    strap: tuple[float, float] | None
    wide: float

    @property
    def sewn(self) -> Floats:
        """Return the seam line as far as the facing reaches."""
        return self.edge.at(np.linspace(0.0, min(self.edge.length, self.facing.length), 40))

    @property
    def rest(self) -> Floats | None:
        """Return the seam line beyond the facing; None where both end together."""
        if self.edge.length - self.facing.length <= ALIKE:
            return None
        return self.edge.at(np.linspace(self.facing.length, self.edge.length, 20))

    def window(self, close: bool) -> Box:
        """Return the window on the corner, or on the seam alone."""
        points = self.sewn if close else np.vstack((self.edge.points, self.fold.over(self.facing.points)))
        low, high = points.min(axis=0), points.max(axis=0)
        reach = max(float((high - low).max()) * (0.25 if close else 0.3), 2.0 * self.wide)
        inward = max(reach, 4.0 * self.wide) if self.strap is not None and not close else reach
        left = -1.0 if float(points[:, 0].mean()) >= 0.0 else 1.0
        if left < 0.0:
            return float(low[0] - inward), float(low[1] - reach), float(high[0] + reach), float(high[1] + reach)
        return float(low[0] - reach), float(low[1] - reach), float(high[0] + inward), float(high[1] + reach)


def plan_facing(pattern: Pattern, operation: Operation) -> tuple[Plan, ...]:
    """Return the pictures of an operation that sews a facing to its own edge and turns it; none for any other fold."""
    corner = _corner(pattern, operation)
    if corner is None:
        return ()
    between = ", the strap between" if corner.strap is not None else ""
    name = corner.piece.name
    return (
        Plan(
            tuple(_sewn(corner)), f"1 {name}: facing folded back, right sides together{between}", corner.window(False)
        ),
        Plan(tuple(_clipped(corner)), "2 trimmed, and clipped to just short of the row", corner.window(True)),
        Plan(tuple(_turned(corner)), "3 turned to the inside, seen from the wrong side", corner.window(False)),
    )


def _corner(pattern: Pattern, operation: Operation) -> _Corner | None:
    for piece in pieces_of(pattern, operation):
        told = [
            each for each in folds.folds_of(pattern, piece) if each.kind == "facing" and each.name == operation.name
        ]
        drawn = folds_of(piece, operation.name)
        if not told or not drawn:
            continue
        held = [piece.edges[n] for n in told[0].held if piece.edges[n].allowance > 0.0]
        walks = [walk for edge in held if (walk := walk_of(pattern, Run(piece.name, edge.name))) is not None]
        over = [walk for edge, walk in zip(held, walks, strict=False) if piece.edges.index(edge) in told[0].beyond]
        under = [walk for walk in walks if walk not in over]
        if not over or not under:
            continue
        fact = pattern.facts.get("strap width")
        wide = fact.value if fact is not None and 0.1 < fact.value < 1e3 else 15.0
        edge, facing = _from_fold(under[0], drawn[0]), _from_fold(over[0], drawn[0])
        return _Corner(piece, drawn[0], edge, facing, _strap(piece, drawn[0]), wide)
    return None


def _from_fold(walk: Walk, fold: Fold) -> Walk:
    """Return a walk that sets out at the fold."""
    off = [abs((((p[0] + 1j * p[1]) - fold.at) / fold.way).imag) for p in (walk.points[0], walk.points[-1])]
    return walk if off[0] <= off[1] else walk.back()


def _strap(piece: Piece, fold: Fold) -> tuple[float, float] | None:
    """Return the mark on the fold line that takes a strap, or None."""
    for mark in piece.marks:
        if mark.kind == "strap" and abs(((complex(*mark.at) - fold.at) / fold.way).imag) <= ON_FOLD:
            return mark.at
    return None


def _strip(corner: _Corner, low: float, high: float, lean: float = 0.0) -> Floats:
    """Return the strap at its mark from `low` to `high` mm above the fold, leaning to the centre by `lean` of that."""
    assert corner.strap is not None
    x, y = corner.strap
    half, side = corner.wide / 2.0, -1.0 if x >= 0.0 else 1.0
    foot, head = x + side * abs(low) * lean, x + side * abs(high) * lean
    ring = [(foot - half, y + low), (foot + half, y + low), (head + half, y + high), (head - half, y + high)]
    return np.array([*ring, ring[0]])


def _sewn(corner: _Corner) -> list[Item]:
    """Return the facing folded back on the right side, the strap between, the row along the edge."""
    fold = corner.fold
    facing_deep = float(np.ptp(fold.flap[:, 1]))
    way = 1.0 if fold.body[:, 1].mean() < fold.line[:, 1].mean() else -1.0
    scene: list[Item] = [Area(fold.body, "right", name=corner.piece.name)]
    strip = None
    if corner.strap is not None:
        strip = _strip(corner, 0.0, -way * (facing_deep + 6.0 * corner.wide), 0.25)
        scene.append(Area(strip, "right"))
    scene += [Area(fold.over(fold.flap), "wrong", name="facing"), Line(fold.line, "fold", "fold")]
    if strip is not None and corner.strap is not None:
        scene.append(Line(strip, "measure", "strap between"))
        side = 1.0 if corner.strap[0] < 0.0 else -1.0
        down = facing_deep + corner.wide
        at = (corner.strap[0] + side * (0.25 * down + 0.6 * corner.wide), corner.strap[1] - way * down)
        scene.append(Sign("word", at, (side, 0.0), said="strap"))
    scene.append(Line(corner.sewn, "row", "row of stitches"))
    return scene


def _clipped(corner: _Corner) -> list[Item]:
    """Return the same close by: allowances trimmed, what was cut away dotted, clips in the hollow."""
    fold, edge, sewn = corner.fold, corner.edge, corner.sewn
    deep = edge.allowance
    left = min(FACING_LEFT, deep)
    trimmed, raw = off_edge(sewn, edge.left, left), off_edge(sewn, edge.left, deep)
    away = off_edge(sewn, edge.left, deep + _BEYOND)
    scene: list[Item] = [Area(fold.body, "right"), Area(fold.over(fold.flap), "wrong", name="facing")]
    scene.append(Area(np.vstack((trimmed, away[::-1], trimmed[:1])), "right", outline=()))
    scene += [Line(trimmed, "notch", "trimmed edge"), Line(raw, "measure", "cut away")]
    scene += [Line(fold.line, "fold", "fold"), Line(sewn, "row", "row of stitches")]
    short = off_edge(sewn, edge.left, 0.3 * left)
    for k in np.linspace(0.2, 0.9, _CLIPS) * (len(sewn) - 1):
        at = round(float(k))
        scene.append(Line(np.array([short[at], trimmed[at]]), "cut", "clip"))
    return scene


def _turned(corner: _Corner) -> list[Item]:
    """Return the facing inside, the strap standing up from the fold, the rest of the edge snipped and turned in."""
    fold, edge, sewn, rest = corner.fold, corner.edge, corner.sewn, corner.rest
    way = 1.0 if fold.body[:, 1].mean() < fold.line[:, 1].mean() else -1.0
    scene: list[Item] = []
    if corner.strap is not None:
        scene.append(Area(_strip(corner, 0.0, way * 5.0 * corner.wide), "right", name="strap"))
    scene += [Area(fold.body, "wrong", name=corner.piece.name), Area(fold.over(fold.flap), "right", name="facing")]
    whole = edge.at(np.linspace(0.0, edge.length, 60))
    away = off_edge(whole, edge.left, edge.allowance + _BEYOND)
    scene.append(Area(np.vstack((whole, away[::-1], whole[:1])), "right", outline=()))
    scene += [Line(whole, "notch", "edge"), Line(fold.line, "fold", "fold")]
    if rest is not None:
        inner = off_edge(rest, edge.left, -edge.allowance)
        scene.append(Area(np.vstack((rest, inner[::-1], rest[:1])), "right"))
        scene.append(Line(np.array([sewn[-1], inner[0]]), "cut", "snip"))
        scene.append(Line(off_edge(rest, edge.left, -0.7 * edge.allowance), "row", "row of stitches"))
        side = -1.0 if inner[0, 0] < 0.0 else 1.0
        scene.append(
            Sign("word", (float(sewn[-1, 0]) + side * 3.0, float(sewn[-1, 1]) + 6.0), (side, 0.0), said="snip")
        )
    return scene
