"""The hung garment as a scene to be drawn: its pieces with their right sides out, and the lines on them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from onfold.body.form import Form, section
from onfold.geometry.region import hull
from onfold.hang.hanging import Hung
from onfold.hang.net import Floats, Ints
from onfold.hang.scene import Line3, LineKind, Scene, Surface, SurfaceKind
from onfold.hang.tacking import neck_edge
from onfold.hang.tapes import ends_of, levels_of
from onfold.pattern import Pattern
from onfold.writers.gltf import Named

TAPED = ("bust", "waist", "hip")
"""The levels at which a tape line is drawn."""
_LAYERS: tuple[tuple[int, str, SurfaceKind], ...] = ((0, "", "cloth"), (1, " facing", "facing"), (2, "", "cloth"))


@dataclass(frozen=True)
class Taped:
    """What a tape line says: `times` it is drawn beside itself, and its words."""

    words: str
    times: int = 1


def surfaces_of(hung: Hung) -> tuple[Surface, ...]:
    """Return the form and every piece of the garment, a facing apart from its piece, right sides as they are worn."""
    form, sewn = hung.form, hung.sewn
    turned = np.where(hung.outward[:, None] < 0.0, sewn.net.tri[:, ::-1], sewn.net.tri).astype(np.int32)
    surfaces = [Surface("form", form.points, form.faces, "form")]
    for k, name in enumerate(sewn.pieces):
        for layer, beside, kind in _LAYERS:
            mine = (sewn.of_piece == k) & (sewn.layer == layer)
            if mine.any():
                surfaces.append(Surface(f"{name}{beside}", hung.x, turned[mine], kind))
    return tuple(surfaces)


def scene_of(hung: Hung, pattern: Pattern, tapes: Mapping[str, Taped]) -> Scene:
    """Return the garment on its form with its edges, seams and tape lines; `tapes` are the words by level."""
    return Scene(
        surfaces_of(hung), (*_edge_lines(hung, pattern), *_strap_lines(hung), *_tape_lines(hung, pattern, tapes))
    )


def _edge_lines(hung: Hung, pattern: Pattern) -> list[Line3]:
    sewn = hung.sewn
    rim = {(int(a), int(b)) for a, b in ends_of(sewn).tolist()}
    own = np.unique(sewn.net.tri[sewn.layer == 0])
    neck = neck_edge(sewn, pattern)
    found = [] if neck is None else [Line3(hung.x[neck], "neck edge")]
    held = set() if neck is None else set(neck.tolist())
    folds = {(piece.name, edge.name) for piece in pattern.pieces for edge in piece.edges if edge.fold}
    for (piece, _, line), run in sewn.lines.items():
        if (piece, line) in folds or set(run.tolist()) <= held or not np.isin(run, own).all():
            continue
        kind = _kind(line, run, rim)
        if kind is not None:
            found.append(Line3(hung.x[run], kind))
    return found


def _kind(line: str, run: Ints, rim: set[tuple[int, int]]) -> LineKind | None:
    """Return what a line is: at the garment's end a hem or an edge, within it a seam; a fold within it is not drawn."""
    pairs = [(int(min(a, b)), int(max(a, b))) for a, b in pairwise(run.tolist())]
    ends = sum(each in rim for each in pairs) * 2 >= len(pairs)
    if line.startswith("~"):
        return "edge"
    if not ends:
        return "seam"
    return "hem" if line.split(".")[0] == "hem" else "edge"


def _strap_lines(hung: Hung) -> list[Line3]:
    return [Line3(hung.x[grid[:, side]], "strap") for grid in hung.sewn.straps for side in (0, -1)]


def _tape_lines(hung: Hung, pattern: Pattern, tapes: Mapping[str, Taped]) -> list[Line3]:
    """Return a tape line at each level: the garment's own where it goes round the body there, else round the form."""
    levels = levels_of(hung.sewn, hung.x, pattern)
    found = []
    for name, said in tapes.items():
        line = levels[name].line if name in levels else np.zeros((0, 3))
        if not len(line):
            line = _round_form(hung.form, name)
        if len(line):
            found.append(Line3(line, "tape", said.times, said.words))
    return found


def _round_form(form: Form, name: str) -> Floats:
    rings = section(form, form.levels[name]) if name in form.levels else []
    ring = hull(np.concatenate(rings), 0.5) if rings else None
    if ring is None:
        return np.zeros((0, 3))
    closed = np.concatenate([ring, ring[:1]])
    return np.stack([closed[:, 0], np.full(len(closed), form.levels[name]), closed[:, 1]], axis=1)


def meshes_of(hung: Hung, aside: float = 0.0, before: str = "") -> list[Named]:
    """Return form and pieces for `hang.glb`, moved `aside` mm; `before` stands before their names."""
    moved = np.array([aside, 0.0, 0.0])
    return [(f"{before}{s.name}", s.points + moved, s.faces, s.kind) for s in surfaces_of(hung)]
