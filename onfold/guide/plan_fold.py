"""Facings, bands and vents turned over on the fold line of their piece."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from onfold.geometry.path import flatten
from onfold.geometry.region import area
from onfold.guide.cut_cloth import FINE, Cut, pieces_of, ring_of, walk_of
from onfold.guide.laying_together import Lie, parted
from onfold.guide.plan_sewn import Plan
from onfold.guide.scene import Area, Box, Item, Line, box_of_scene
from onfold.guide.signs import Sign
from onfold.making import folds
from onfold.making.laps import lap_at
from onfold.making.operation import Operation
from onfold.making.parts_acts import CORNER
from onfold.pattern import Pattern, Piece, Run

Floats = NDArray[np.float64]
_STRAIGHT = 0.06
"""A fold line that bulges by more than this share of its length is not turned in one go."""
_BESIDE = 0.12
"""How far beyond its ends, a share of its length, a fold line still turns the cloth."""


@dataclass(frozen=True, eq=False)
class Fold:
    """A cloth's fold line (n, 2), its axis, and the cloth's parts: what stays, what turns over."""

    line: Floats
    at: complex
    way: complex
    body: Floats
    flap: Floats

    @property
    def long(self) -> float:
        """Return the length of the fold's chord, mm."""
        return float(abs(complex(*(self.line[-1] - self.line[0]))))

    def over(self, points: Floats) -> Floats:
        """Return points (n, 2) turned over on the fold."""
        way = self.way
        return Lie(way * way, self.at - way * way * self.at.conjugate(), True).put(points)


def folds_of(piece: Piece, wanted: str = "") -> list[Fold]:
    """Return the folds of a piece along its fold lines, those whose name stands in `wanted` first.

    Fold lines that are far from straight, or do not part the cloth, are left out.
    """
    ring = ring_of(Cut(piece))
    lines = [each for each in piece.inner if each.kind == "fold line" and np.isfinite(each.path.curves).all()]
    lines.sort(key=lambda each: each.name not in wanted)
    found = []
    for each in lines if ring is not None else ():
        points = flatten(each.path, FINE)
        if piece.on_fold:
            points = points if abs(points[0, 0]) < abs(points[-1, 0]) else points[::-1]
            points = np.vstack(((points * (-1.0, 1.0))[::-1], points))
        fold = _fold(points, ring) if ring is not None else None
        if fold is not None:
            found.append(fold)
    return found


def _fold(line: Floats, ring: Floats) -> Fold | None:
    a, b = complex(*line[0]), complex(*line[-1])
    if abs(b - a) < 1.0:
        return None
    way = (b - a) / abs(b - a)
    if float(np.abs(((line[:, 0] + 1j * line[:, 1] - a) / way).imag).max()) > _STRAIGHT * abs(b - a):
        return None
    parts = parted(ring, a, way, keep=a + way * 1j)
    body, flap = parts if abs(area(parts[0])) >= abs(area(parts[1])) else (parts[1], parts[0])
    if len(body) < 4 or len(flap) < 4:
        return None
    return Fold(line, a, way, body, _beside(flap, a, way, abs(b - a)))


def _beside(flap: Floats, a: complex, way: complex, long: float) -> Floats:
    """Return what of a part lies beside the fold line itself, not beside the line produced."""
    slack = _BESIDE * long
    first = parted(flap, a - way * slack, way * 1j, keep=a)[0]
    both = parted(first, a + way * (long + slack), way * 1j, keep=a)[0] if len(first) > 3 else first
    return both if len(both) > 3 and abs(area(both)) > 1e-6 else flap


def body_of(cut: Cut, ring: Floats) -> Floats:
    """Return a cloth's outline with what is cut in one and turned in taken away: itself where nothing is.

    Only a fold that runs across the whole cloth counts, as a facing's does.
    """
    for fold in folds_of(cut.piece):
        if abs(area(fold.flap)) + abs(area(fold.body)) > 0.98 * abs(area(ring)) > 0.0:
            return cut.put(fold.body)
    return ring


def plan_fold(pattern: Pattern, operation: Operation) -> Plan | None:
    """Return a piece wrong side up, its facing or band turned over on the fold line with its right side up."""
    for piece in pieces_of(pattern, operation):
        ring = ring_of(Cut(piece))
        drawn = folds_of(piece, operation.name)
        if ring is None or not drawn:
            continue
        fold = drawn[0]
        vent = any(each.kind == "vent" and each.name == operation.name for each in folds.folds_of(pattern, piece))
        lap = lap_at(piece)
        # a half drawn right of its centre and looked at from the wrong side is the left one
        name = lap.over if vent and lap.known else piece.name
        half = abs(area(fold.flap)) > 0.85 * abs(area(fold.body))
        caption = f"{name} turned {'right side out' if half else 'to the wrong side'} on its fold line"
        return Plan(tuple(turned_over(ring, fold, name, before=True)), caption, _window(ring, fold))
    return None


def closes_ends(pattern: Pattern, operation: Operation) -> bool:
    """Return whether an operation sews a folded band's ends shut."""
    own = {run.edge for side in operation.sides for run in side}
    return operation.kind == "finish" and any(
        own and own <= {piece.edges[n].name for n in each.ends}
        for piece in pieces_of(pattern, operation)
        for each in folds.folds_of(pattern, piece)
    )


def plan_ends(pattern: Pattern, operation: Operation) -> Plan | None:
    """Return a band folded right sides together, one end with its underlap, sewn on their lines and the corner cut."""
    for piece in pieces_of(pattern, operation):
        bands = [each for each in folds.folds_of(pattern, piece) if each.kind == "band"]
        drawn = folds_of(piece, bands[0].name) if bands else []
        if not drawn:
            continue
        fold = drawn[0]
        if fold.body[:, 1].mean() > fold.flap[:, 1].mean():  # as worn, the fold above and the seam below
            fold = replace(fold, body=fold.flap, flap=fold.body)
        walks = [walk for n in bands[0].ends if (walk := walk_of(pattern, Run(piece.name, piece.edges[n].name)))]
        rows = [row for walk in walks if (row := _on_body(walk.points, fold)) is not None]
        scene: list[Item] = [Area(fold.body, "right"), Area(fold.over(fold.flap), "wrong", name=piece.name)]
        scene += [Line(fold.line, "fold", "fold"), *(Line(row, "row", "row of stitches") for row in rows)]
        scene += _corners(rows, fold)
        caption = f"{piece.name} folded, right sides together; its ends and the underlap sewn, one end shown"
        lap = next((walk for walk in walks if walk.run.edge.startswith("underlap")), walks[0] if walks else None)
        if lap is None:
            continue
        deep = float(np.ptp(fold.body[:, 1]))
        end = fold.body[:, 0].max() if lap.points[:, 0].mean() > fold.body[:, 0].mean() else fold.body[:, 0].min()
        near = 4.0 * deep * (-1.0 if end == fold.body[:, 0].max() else 1.0)
        low, high = sorted((float(end), float(end) + near))
        ys = np.concatenate((fold.body[:, 1], fold.over(fold.flap)[:, 1]))
        return Plan(tuple(scene), caption, (low - 2.0, float(ys.min()) - 2.0, high + 2.0, float(ys.max()) + 2.0))
    return None


def _corners(rows: Sequence[Floats], fold: Fold) -> list[Item]:
    """Return the cuts across the corners of a band's ends, just beyond the rows that cross it."""
    found: list[Item] = []
    for row in rows:
        if np.ptp(row[:, 0]) > np.ptp(row[:, 1]):
            continue
        out = 1.0 if row[:, 0].mean() > fold.body[:, 0].mean() else -1.0
        x, foot, head = float(row[0, 0]), float(row[:, 1].min()), float(row[:, 1].max())
        found += [
            Line(
                np.array([(x + out * CORNER, y), (x + out * 3.0 * CORNER, y + inward * 2.0 * CORNER)]), "cut", "corner"
            )
            for y, inward in ((head, -1.0), (foot - CORNER, 1.0))
        ]
    return found


def _on_body(points: Floats, fold: Fold) -> Floats | None:
    """Return what of a line lies on the body's side of a fold, or comes to lie there; None where nothing does."""
    middle = (complex(*fold.body.mean(axis=0)) - fold.at) / fold.way
    side = 1.0 if middle.imag >= 0.0 else -1.0
    ends = [complex(*points[0]), complex(*points[-1])]
    line = np.linspace(0.0, 1.0, 41)
    own = ends[0] + (ends[1] - ends[0]) * line
    kept = own[((own - fold.at) / fold.way).imag * side >= -1e-6]
    if not len(kept):
        return fold.over(points)
    return np.column_stack((kept.real, kept.imag)) if len(kept) > 1 else None


def turned_over(ring: Floats, fold: Fold, name: str, before: bool) -> list[Item]:
    """Return the cloth wrong side up with its flap turned over; `before`: where that was, dotted, and an arrow."""
    scene: list[Item] = [Area(ring, "wrong", name=name), Area(_wider(fold), "right", outline=())]
    over = fold.over(fold.flap)
    if before:
        scene.append(Line(fold.flap, "measure", "before it is turned"))
    scene += [Area(over, "right", name="" if before else "facing"), Line(fold.line, "fold", "fold")]
    if before:
        middle = complex(*fold.flap.mean(axis=0))
        foot = fold.at + fold.way * ((middle - fold.at) / fold.way).real
        away = middle - foot
        tip = foot - away * 0.8
        scene.append(Sign("arrow", (tip.real, tip.imag), (-away.real, -away.imag), away=abs(away) * 1.6))
    return scene


def _wider(fold: Fold) -> Floats:
    """Return the flap a little larger, so that what is drawn over it leaves no trace; its fold stays where it is."""
    z = (fold.flap[:, 0] + 1j * fold.flap[:, 1] - fold.at) / fold.way
    middle, deep = z.real.mean(), float(np.abs(z.imag).max())
    grown = middle + (z.real - middle) * 1.02 + 1j * np.where(np.abs(z.imag) > 1e-6 * deep, z.imag * 1.05, 0.0)
    w = grown * fold.way + fold.at
    return np.column_stack((w.real, w.imag))


def _window(ring: Floats, fold: Fold) -> Box | None:
    """Return a window on the fold and what turns about it, where the cloth is much larger; else None."""
    points = np.vstack((fold.flap, fold.over(fold.flap)))
    low, high = points.min(axis=0), points.max(axis=0)
    whole = box_of_scene([Area(ring)])
    if whole is None or float((high - low).max()) > 0.6 * max(whole[2] - whole[0], whole[3] - whole[1]):
        return None
    reach = 0.3 * float((high - low).max())
    return float(low[0] - reach), float(low[1] - 0.3 * reach), float(high[0] + reach), float(high[1] + 0.1 * reach)
