"""The outline of each piece as the hang takes it: what is turned in, folded double or left off, and how it is joined.

A piece becomes one panel, or two where a facing is cut in one: the facing is a panel of its own beyond the fold line.
What lies beyond the fold of a vent is left off; a band is taken up to its fold, double.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from onfold.geometry.path import Path, closest, end, flatten, length, line, part, points_along, start
from onfold.hang.net import Floats
from onfold.making.assembly import Leaf, corner, darts_of, sewings
from onfold.making.folds import Fold, folds_of
from onfold.pattern import Pattern, Piece, Run, Seam

Key = tuple[str, str]
"""Piece and edge; a fold line's key begins with `~`, what closes a band with `|`."""

TOGETHER = 2.0
"""mm within which ends of edges on both sides of a seam are one place."""
MIRRORS = 1.5
"""mm a facing's side may lie off the edge it is turned onto."""


@dataclass(frozen=True, eq=False)
class Stretch:
    """One stretch of a panel's ring: a line by its key, walked from `begin` to `finish` mm (backwards if less)."""

    key: Key
    begin: float
    finish: float


@dataclass(frozen=True, eq=False)
class Panel:
    """A flat region of a piece in the net. `layer` 0 is the garment, 1 a facing; `layers` of cloth lie in it."""

    piece: Piece
    ring: tuple[Stretch, ...]
    layer: int = 0
    layers: int = 1
    band: bool = False


@dataclass(frozen=True, eq=False)
class Join:
    """Two lines brought together: `pairs` (k, 2) mm along both, linear between, over the whole or a part of each.

    Sides are walked keys: (key, copy, backwards).
    """

    name: str
    first: tuple[tuple[Key, str, bool], ...]
    second: tuple[tuple[Key, str, bool], ...]
    pairs: Floats
    kind: str = "seam"


@dataclass(eq=False)
class Parts:
    """Panels, the path of every line, how they are joined, the places that must be sampled (mm along, by key)."""

    panels: list[Panel] = field(default_factory=list)
    paths: dict[Key, Path] = field(default_factory=dict)
    joins: list[Join] = field(default_factory=list)
    forced: dict[Key, set[float]] = field(default_factory=dict)
    left_out: list[tuple[str, str]] = field(default_factory=list)


def parts_of(pattern: Pattern) -> Parts:
    """Return the panels of what is cut from the main cloth and hangs, with their joins. Straps come later."""
    parts = Parts()
    sewn = {run.piece for seam in pattern.seams for side in seam.sides for run in side}
    for piece in pattern.pieces:
        if is_strap(piece):
            continue
        why = _left_out(piece, sewn)
        if why:
            parts.left_out.append((piece.name, why))
            continue
        for edge in piece.edges:
            parts.paths[piece.name, edge.name] = edge.path
        parts.panels += _panels(pattern, piece, parts)
        if not piece.on_fold and not piece.mirrored_pair:
            _sample_middle(parts.panels[-1], parts)
    _join_seams(pattern, parts)
    _close_openings(pattern, parts)
    for panel in parts.panels:
        if panel.layer == 0:
            _join_darts(panel.piece, parts)
    return parts


def is_strap(piece: Piece) -> bool:
    """Return whether the piece is a strap: it is hung from mark to mark, and in no panel."""
    return piece.name.startswith("strap")


def _left_out(piece: Piece, sewn: set[str]) -> str:
    if piece.material != "main":
        return f"is cut from {piece.material}"
    if "facing" in piece.name or "lining" in piece.name:
        return "lies inside"
    if piece.name not in sewn and not piece.on_fold:
        return "is in no seam"
    return ""


def _sample_middle(panel: Panel, parts: Parts) -> None:
    """Have every line of a whole piece sampled where it crosses the piece's middle: it may be alike on both sides."""
    lines = {stretch.key: flatten(parts.paths[stretch.key]) for stretch in panel.ring}
    across = np.concatenate(list(lines.values()))[:, 0]
    middle = 0.5 * (float(across.min()) + float(across.max()))
    for key, points in lines.items():
        run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
        off = points[:, 0] - middle
        for k in np.flatnonzero(off[:-1] * off[1:] < 0.0):
            share = off[k] / (off[k] - off[k + 1])
            parts.forced.setdefault(key, set()).add(float(run[k] + share * (run[k + 1] - run[k])))


def _panels(pattern: Pattern, piece: Piece, parts: Parts) -> list[Panel]:
    whole = tuple(Stretch((piece.name, e.name), 0.0, length(e.path)) for e in piece.edges)
    panels = [Panel(piece, whole)]
    for fold in folds_of(pattern, piece):
        key = (piece.name, f"~{fold.name}")
        if fold.kind == "band":
            band = _band(pattern, piece, fold, parts)
            return [band] if band is not None else panels
        split = _split(panels[0].ring, piece, fold, parts)
        if split is None:
            continue
        near, beyond = split
        parts.paths[key] = fold.line.path
        panels[0] = Panel(piece, near)
        if fold.kind == "facing":
            panels.append(Panel(piece, beyond, layer=1))
            _turn_in(fold, near, beyond, parts)
    return panels


def _split(
    ring: tuple[Stretch, ...], piece: Piece, fold: Fold, parts: Parts
) -> tuple[tuple[Stretch, ...], tuple[Stretch, ...]] | None:
    """Cut a ring in two along a fold line; what holds the fold's `beyond` edges is the second."""
    ends = []
    for point in (start(fold.line.path), end(fold.line.path)):
        found = [(closest(parts.paths[s.key], point), n) for n, s in enumerate(ring)]
        near = min(found, key=lambda each: each[0].distance)
        if near[0].distance > TOGETHER:
            return None
        ends.append((near[1], near[0].along))
    ring, (a, b) = _cut_at(ring, ends)
    run = length(fold.line.path)
    key = (piece.name, f"~{fold.name}")
    one = _walk(ring, a, b)
    other = _walk(ring, b, a)
    names = {piece.edges[n].name for n in fold.beyond}
    one_beyond = sum(s.key[1] in names for s in one) > sum(s.key[1] in names for s in other)
    # a walk from the fold's start to its end closes along the fold backwards
    first, second = (*one, Stretch(key, run, 0.0)), (*other, Stretch(key, 0.0, run))
    for stretch in ring:
        forced = parts.forced.setdefault(stretch.key, set())
        forced |= {stretch.begin, stretch.finish}
    return (second, first) if one_beyond else (first, second)


def _cut_at(ring: tuple[Stretch, ...], ends: list[tuple[int, float]]) -> tuple[tuple[Stretch, ...], tuple[int, int]]:
    """Cut stretches where they are met away from their ends; return the ring and at which corners the ends lie."""
    out: list[Stretch] = []
    corners: dict[int, int] = {}
    for n, stretch in enumerate(ring):
        cuts = sorted((along, k) for k, (m, along) in enumerate(ends) if m == n)
        begin = stretch.begin
        out.append(stretch)
        for along, k in cuts:
            if along - stretch.begin <= TOGETHER:
                corners[k] = len(out) - 1
            elif stretch.finish - along <= TOGETHER:
                corners[k] = len(out)
            else:
                out[-1] = Stretch(stretch.key, begin, along)
                out.append(Stretch(stretch.key, along, stretch.finish))
                begin = along
                corners[k] = len(out) - 1
    return tuple(out), (corners[0] % len(out), corners[1] % len(out))


def _walk(ring: tuple[Stretch, ...], a: int, b: int) -> tuple[Stretch, ...]:
    count = (b - a) % len(ring)
    return tuple(ring[(a + k) % len(ring)] for k in range(count))


def _band(pattern: Pattern, piece: Piece, fold: Fold, parts: Parts) -> Panel | None:
    """Take a band from its seam up to its fold, over the length of its seam."""
    sewn = {run.edge for seam in pattern.seams for side in seam.sides for run in side if run.piece == piece.name}
    edges = [e for e in piece.edges if e.name in sewn or e.parent in sewn]
    if len(edges) != 1:
        return None
    (edge,) = edges
    a, b = start(edge.path), end(edge.path)
    up_a, up_b = closest(fold.line.path, a), closest(fold.line.path, b)
    if min(up_a.distance, up_b.distance) < 1.0 or abs(up_a.along - up_b.along) < 1.0:
        return None
    top = part(fold.line.path, *sorted((up_a.along, up_b.along)))
    keys = {name: (piece.name, name) for name in (f"~{fold.name}", "|begin", "|finish")}
    parts.paths[keys[f"~{fold.name}"]] = top
    parts.paths[keys["|begin"]] = line(a, up_a.at)
    parts.paths[keys["|finish"]] = line(b, up_b.at)
    along_up = up_a.along < up_b.along
    run = length(top)
    ring = (
        Stretch((piece.name, edge.name), 0.0, length(edge.path)),
        Stretch(keys["|finish"], 0.0, up_b.distance),
        Stretch(keys[f"~{fold.name}"], run if along_up else 0.0, 0.0 if along_up else run),
        Stretch(keys["|begin"], up_a.distance, 0.0),
    )
    return Panel(piece, ring, layers=2, band=True)


def _turn_in(fold: Fold, near: Sequence[Stretch], beyond: Sequence[Stretch], parts: Parts) -> None:
    """Join the sides of a facing to the edges they come to lie on when it is turned in along its fold."""
    a, b = np.array(start(fold.line.path)), np.array(end(fold.line.path))
    way = (b - a) / max(float(np.hypot(*(b - a))), 1e-9)
    for tip in (a, b):
        mine = _from_tip(near, tip, parts)
        other = _from_tip(beyond, tip, parts)
        if mine is None or other is None or mine[0] == other[0]:
            continue
        (key, at_start), (facing, facing_at_start) = mine, other
        whole, own = length(parts.paths[key]), length(parts.paths[facing])
        common = min(whole, own)
        steps = np.linspace(0.0, common, 9)
        here = points_along(parts.paths[key], steps if at_start else whole - steps)
        there = points_along(parts.paths[facing], steps if facing_at_start else own - steps)
        off = there - a
        turned = a + 2.0 * (off @ way)[:, None] * way - off
        if np.hypot(*(turned - here).T).max() > MIRRORS:
            continue
        first = np.array([0.0, common])
        parts.joins.append(
            Join(
                f"{facing[1]}",
                ((key, "both", not at_start),),
                ((facing, "both", not facing_at_start),),
                np.stack([first, first], axis=1),
                "turned in",
            )
        )


def _from_tip(ring: Sequence[Stretch], tip: Floats, parts: Parts) -> tuple[Key, bool] | None:
    """Return the edge of a ring that begins or ends at a fold's tip, and whether it begins there."""
    for stretch in ring:
        if stretch.key[1].startswith("~"):
            continue
        path = parts.paths[stretch.key]
        for first, point in ((True, start(path)), (False, end(path))):
            if np.hypot(*(tip - np.array(point))) < TOGETHER:
                return stretch.key, first
    return None


def _join_seams(pattern: Pattern, parts: Parts) -> None:
    for seam in pattern.seams:
        if any(run.piece not in {p.piece.name for p in parts.panels} for side in seam.sides for run in side):
            continue
        _join(pattern, seam, parts)


def _join(pattern: Pattern, seam: Seam, parts: Parts, kind: str = "seam") -> bool:
    found = sewings(pattern, seam)
    for first, second in found:
        sides = [_sides(pattern, each) for each in (first, second)]
        pairs = _pairs([each.length for each in first], [each.length for each in second])
        parts.joins.append(Join(seam.name, sides[0], sides[1], pairs, kind))
    if not found:
        parts.left_out.append((seam.name, "sews an edge to itself"))
    return bool(found)


def _sides(pattern: Pattern, leaves: Sequence[Leaf]) -> tuple[tuple[Key, str, bool], ...]:
    out = []
    for leaf in leaves:
        piece = pattern.piece(leaf.piece)
        assert piece is not None
        number = next(n for n, edge in enumerate(piece.edges) if edge.name == leaf.edge)
        out.append(((leaf.piece, leaf.edge), leaf.copy, leaf.a != corner(piece, leaf.copy, number)))
    return tuple(out)


def _pairs(first: Sequence[float], second: Sequence[float]) -> Floats:
    """Return the places (k, 2), mm along both sides, that meet: the ends, and every corner with its partner."""
    a, b = np.concatenate([[0.0], np.cumsum(first)]), np.concatenate([[0.0], np.cumsum(second)])
    scale = b[-1] / max(a[-1], 1e-9)
    pairs = {(0.0, 0.0), (float(a[-1]), float(b[-1]))}
    used: set[int] = set()
    for along in a[1:-1]:
        away = np.abs(b[1:-1] - along * scale) if len(b) > 2 else np.zeros(0)
        if len(away) and away.min() <= TOGETHER + abs(scale - 1.0) * along and int(away.argmin()) not in used:
            used.add(int(away.argmin()))
            pairs.add((float(along), float(b[1:-1][away.argmin()])))
        else:
            pairs.add((float(along), float(along * scale)))
    for n, along in enumerate(b[1:-1]):
        if n not in used:
            pairs.add((float(along / scale), float(along)))
    found = np.array(sorted(pairs))
    keep = np.concatenate([[True], (np.diff(found, axis=0) > 1e-6).all(axis=1)])
    return np.asarray(found[keep])


def _close_openings(pattern: Pattern, parts: Parts) -> None:
    """Close what is fastened when it is worn: a zip, buttons, a tie. A vent stays open."""
    for opening in pattern.openings:
        if opening.closes == "none":
            continue
        runs = []
        for text in opening.edges:
            edge, _, name = text.rpartition(" of ")
            piece = pattern.piece(name)
            if piece is not None and any(name == panel.piece.name for panel in parts.panels):
                runs.append((piece, edge))
        if len(runs) == 1 and runs[0][0].mirrored_pair:
            name, edge = runs[0][0].name, runs[0][1]
            seam = Seam(opening.name, "", ((Run(name, edge),), (Run(name, edge, "mirrored"),)))
            _join(pattern, seam, parts, "opening")
        elif len(runs) == 2:
            (p, e), (q, f) = runs
            twice = p.on_fold or p.mirrored_pair
            seam = Seam(opening.name, "", ((Run(p.name, e),), (Run(q.name, f),)), twice=twice)
            _join(pattern, seam, parts, "opening")


def _join_darts(piece: Piece, parts: Parts) -> None:
    for one, two in darts_of(piece):
        a, b = piece.edges[one], piece.edges[two]
        la, lb = length(a.path), length(b.path)
        sides = (((piece.name, a.name), "both", True),), (((piece.name, b.name), "both", False),)
        parts.joins.append(Join(a.name, *sides, np.array([[0.0, 0.0], [la, lb]]), "dart"))
