"""From the bench to the pattern: allowances, notches, and the cut lines, derived once, last.

Where a seam has an inlay for fitting, the line it is cut back to after the try-on is drawn within the cut line.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, Literal

import numpy as np

from onfold.cloth import Cloth
from onfold.construction import Finish, FinishFault, is_hem, read_finish, turn_of_cloth
from onfold.cut_lines import cut_back_lines, cut_lines
from onfold.geometry.curve import Bounds, Floats
from onfold.geometry.fault import Fault
from onfold.geometry.path import all_bounds, flatten_all, moved
from onfold.geometry.region import is_valid, why_invalid
from onfold.pattern import Edge, Grain, Inner, Level, Mark, Opening, Piece, Seam
from onfold.problems import Place, Problem, problem
from onfold.recipe.bench import Key
from onfold.recipe.laid import CutOut, GrainAsked, PieceStart
from onfold.recipe.marking import dart_notches, grain_line, measure_notched, placed_notch
from onfold.recipe.memory import same
from onfold.recipe.yaml_nodes import did_you_mean

Texts = Mapping[str, tuple[str, Place]]
"""Finishes by seam, `EDGE of PIECE` or `EDGE`: the maker's words and where they stand."""


@dataclass
class FinishMemory:
    """The last finished pieces with all that went into each, so that only changed pieces are finished again.

    None stands for a piece that could not be.
    """

    pieces: dict[str, tuple[tuple[Any, ...], Piece | None, tuple[Problem, ...]]] = field(default_factory=dict)


LARGEST = 30_000.0
"""mm: no piece of a garment is longer, the longest tie and frill included [C]."""


@dataclass(frozen=True)
class Finished:
    """What the bench's state amounts to."""

    pieces: tuple[Piece, ...]
    seams: tuple[Seam, ...]
    levels: dict[str, Level]
    openings: tuple[Opening, ...]
    problems: tuple[Problem, ...]


def finished(
    state: Mapping[Key, Any], cloth: Cloth, recipe: Texts, ticket: Texts, memory: FinishMemory | None = None
) -> Finished:
    """Return pieces, seams, levels and openings of a replayed recipe; what cannot be drawn is left out with a stop."""
    kept = memory if memory is not None else FinishMemory()
    names = state.get(("listing", "piece"), ())
    seams = tuple(state["seam", name] for name in state.get(("listing", "seam"), ()))
    words = _Words(state, seams, recipe, ticket)
    texts = {name: tuple(words.of(name, edge) for edge in state.get(("outline", name)) or ()) for name in names}
    used = {name: (_used(state, name), texts[name], cloth) for name in names}
    changed = [name for name in names if name not in kept.pieces or not same(kept.pieces[name][0], used[name])]
    for name, (made, found) in zip(changed, _pieces(state, changed, texts, cloth), strict=True):
        kept.pieces[name] = (used[name], made, found)
    pieces = [made for name in names if (made := kept.pieces[name][1]) is not None]
    problems = [each for name in names for each in kept.pieces[name][2]]
    problems.extend(words.problems())
    there = {each.name for each in pieces}
    settled = tuple(
        words.settled(seam) for seam in seams if all(run.piece in there for side in seam.sides for run in side)
    )
    lost = [name for name in names if name not in there]
    levels = {name: _across(state, name, pieces, lost) for name in state.get(("listing", "level"), ())}
    openings = tuple(state["opening", name] for name in state.get(("listing", "opening"), ()))
    return Finished(tuple(pieces), settled, levels, openings, tuple(dict.fromkeys(problems)))


def _used(state: Mapping[Key, Any], name: str) -> tuple[Any, ...]:
    """Return all that a piece is made from."""
    own = [state.get((kind, name)) for kind in ("piece", "outline", "grain", "cut out")]
    lists = [
        tuple(state.get((kind, name, each)) for each in state.get(("listing", kind, name), ()))
        for kind in ("inner", "mark", "notch")
    ]
    return (*own, *lists)


class _Words:
    """Which construction an edge gets: the specific beats the general, the ticket beats the recipe."""

    def __init__(self, state: Mapping[Key, Any], seams: Iterable[Seam], recipe: Texts, ticket: Texts) -> None:
        self._state = state
        self._ticket = ticket
        self._texts = [each for each in (ticket, recipe) if each]
        self._seams: dict[tuple[str, str], list[Seam]] = {}
        for seam in seams:
            for run in (run for side in seam.sides for run in side):
                of_edge = self._seams.setdefault((run.piece, run.edge), [])
                if seam not in of_edge:
                    of_edge.append(seam)
        self._asked: set[str] = set()
        self._troubles: list[Problem] = []

    def of(self, piece: str, edge: Edge) -> str:
        """Return the construction of an edge in the maker's words, '' for none."""
        sewn = self._seams.get((piece, edge.root)) or self._seams.get((piece, edge.name)) or []
        if not self._texts:
            return self._by_step(piece, edge, sewn) or ""
        for texts in self._texts:
            said = [(seam.name, texts[seam.name]) for seam in sewn if seam.name in texts]
            self._asked.update(name for name, _ in said)
            if len({text for _, (text, _) in said}) > 1:
                self._clash(piece, edge, said)
            if said:
                return said[0][1][0]
            for key in (f"{edge.name} of {piece}", f"{edge.root} of {piece}", edge.name, edge.root):
                if key in texts:
                    self._asked.add(key)
                    return texts[key][0]
        return self._by_step(piece, edge, sewn) or ""

    def _by_step(self, piece: str, edge: Edge, sewn: list[Seam]) -> str | None:
        if len(sewn) > 1 and len({seam.finish for seam in sewn}) > 1:
            self._clash(piece, edge, [(seam.name, (seam.finish, Place())) for seam in sewn])
        if sewn:
            return sewn[0].finish
        return self._state.get(("finish", f"{edge.name} of {piece}")) or self._state.get(
            ("finish", f"{edge.root} of {piece}")
        )

    def _clash(self, piece: str, edge: Edge, said: list[tuple[str, tuple[str, Place]]]) -> None:
        words = ", ".join(f"{name}: {text}" for name, (text, _) in said)
        self._troubles.append(
            problem(
                "FINISH-CLASH",
                says=f"The {edge.root} of {piece} is in seams that are finished differently: {words}.",
                found=words,
                expected="one finish",
                remedy="give both seams one finish",
                where=said[0][1][1],
            )
        )

    def settled(self, seam: Seam) -> Seam:
        """Return the seam with the construction it gets."""
        for texts in self._texts:
            if seam.name in texts:
                text = texts[seam.name][0]
                return replace(seam, construction=_kind(text), finish=text)
        run = seam.sides[0][0]
        outline = self._state.get(("outline", run.piece), ())
        first = next((each for each in outline if each.root == run.edge or each.name == run.edge), None)
        text = self.of(run.piece, first) if first is not None else seam.finish
        kind = _kind(text)
        same_finish = text == seam.finish and kind == seam.construction
        return seam if same_finish else replace(seam, construction=kind, finish=text)

    def problems(self) -> list[Problem]:
        """Return the clashes, and the ticket's finishes that name nothing."""
        unused = [self._unused(key, place) for key, (_, place) in self._ticket.items() if key not in self._asked]
        return [*self._troubles, *unused]

    def _unused(self, key: str, place: Place) -> Problem:
        near = did_you_mean(key, self._known())
        return problem(
            "FINISH-UNUSED",
            says=f"The finish of '{key}' names no seam or edge of this garment."
            + (f" Did you mean '{near}'?" if near else ""),
            found=key,
            expected="a seam, EDGE of PIECE or EDGE",
            remedy=f"write '{near}'" if near else "check the name",
            where=place,
        )

    def _known(self) -> list[str]:
        """Return the seams, and the edges with and without their piece."""
        names = [name for of_edge in self._seams.values() for name in (seam.name for seam in of_edge)]
        for piece in self._state.get(("listing", "piece"), ()):
            for edge in self._state.get(("outline", piece)) or ():
                names += [edge.root, f"{edge.root} of {piece}"]
        return list(dict.fromkeys(names))


@lru_cache(maxsize=1024)
def _read(text: str, cloth: Cloth | None) -> Finish | FinishFault:
    return read_finish(text, cloth)


def _kind(text: str) -> str:
    read = _read(text, None)
    return text.split(" ")[0] if isinstance(read, FinishFault) else read.kind


def _pieces(
    state: Mapping[Key, Any], names: list[str], texts: Mapping[str, tuple[str, ...]], cloth: Cloth
) -> list[tuple[Piece | None, tuple[Problem, ...]]]:
    """Return the pieces of these names with their problems; the cut lines of all are worked out in one batch.

    `texts` holds the finish of each edge of a piece's outline.
    """
    problems: dict[str, list[Problem]] = {name: [] for name in names}
    outlines: dict[str, tuple[Edge, ...]] = {}
    for name in names:
        outline: tuple[Edge, ...] | None = state.get(("outline", name))
        if outline is None:
            says = f"The outline of {name} was never closed, so it is left out."
            closing = problem("OUTLINE-OPEN", says=says, where=Place(piece=name), remedy="close the outline")
            problems[name].append(closing)
            continue
        outlines[name] = outline
    around = all_bounds([[edge.path for edge in outline] for outline in outlines.values()])
    bounds = dict(zip(outlines, around, strict=True))
    shifts = {name: _shift(state["piece", name], each) for name, each in bounds.items()}
    faced = {name: {f"{edge.root} facing" for edge in outline} for name, outline in outlines.items()}
    edges = {
        name: tuple(
            _with_allowance(edge, text, cloth, shifts[name], name, faced[name], problems[name])
            for edge, text in zip(outline, texts[name], strict=True)
        )
        for name, outline in outlines.items()
    }
    measure_notched({name: (own, _listed(state, "notch", name)) for name, own in edges.items()})
    cuts = dict(zip(edges, cut_lines(list(edges.values())), strict=True))
    made = {name: _piece(state, name, edges[name], bounds[name], cuts[name], problems[name]) for name in edges}
    drawn = _with_inlays(made, texts, cloth)
    return [(drawn.get(name), tuple(problems[name])) for name in names]


def _with_inlays(
    made: Mapping[str, Piece | None], texts: Mapping[str, tuple[str, ...]], cloth: Cloth
) -> dict[str, Piece | None]:
    """Return the pieces with the lines to which their inlays are cut back, where they have any."""
    kept: dict[str, tuple[Edge, ...]] = {}
    for name, piece in made.items():
        if not any(map(_speaks_of_inlay, texts[name])):
            continue
        inlays = [_inlay(text, cloth) for text in texts[name]]
        if piece is not None and any(inlays):
            edges = zip(piece.edges, inlays, strict=True)
            kept[name] = tuple(replace(each, allowance=max(0.0, each.allowance - inlay)) for each, inlay in edges)
    drawn = dict(made)
    if not kept:
        return drawn
    for name, later in zip(kept, cut_lines(list(kept.values())), strict=True):
        piece = made[name]
        if piece is not None and piece.cut_line is not None and not isinstance(later, Fault):
            lines = tuple(Inner("inlay", "inlay", each) for each in cut_back_lines(piece.cut_line, later))
            drawn[name] = replace(piece, inner=(*piece.inner, *lines))
    return drawn


@lru_cache(maxsize=1024)
def _speaks_of_inlay(text: str) -> bool:
    return "inlay" in text.lower()


def _inlay(text: str, cloth: Cloth) -> float:
    # most edges have none, and reading asks for the cloth's hash
    read = _read(text, cloth) if _speaks_of_inlay(text) else None
    return read.inlay if isinstance(read, Finish) else 0.0


def _shift(begun: PieceStart, bounds: Bounds) -> float:
    """Return how far a piece must be moved so that it lies right of its centre line; on the fold it does."""
    return 0.0 if begun.on_fold else max(0.0, -bounds[0])


def _piece(
    state: Mapping[Key, Any],
    name: str,
    edges: tuple[Edge, ...],
    bounds: Bounds,
    cut: Floats | Fault,
    problems: list[Problem],
) -> Piece | None:
    """Return the piece within its cut line; None, with a problem added, where it can have none."""
    outline: tuple[Edge, ...] = state["outline", name]
    left, low, right, high = bounds
    if max(right - left, high - low) > LARGEST:
        says = f"The {name} would be {max(right - left, high - low) / 1000.0:.0f} m long, so it is left out."
        remedy = "look for a slip in the figures it is drawn with"
        problems[:] = [problem("PIECE-SIZE", says=says, where=Place(piece=name), remedy=remedy)]
        return None
    # a cut line is drawn round a sound outline only; but over a dart's legs it passes by
    if isinstance(cut, Fault) or any(edge.finish == "dart" for edge in outline):
        crossing = _crossing(outline)
        if crossing:
            says = f"The outline of {name} crosses itself, so it is left out: {crossing}."
            problems[:] = [problem("OUTLINE-CROSSES", says=says, where=Place(piece=name), remedy="change the choices")]
            return None
    if isinstance(cut, Fault):
        says = f"No cut line can be drawn round {name}: {cut.reason}."
        problems.append(problem("CUT-LINE", says=says, where=Place(piece=name), remedy="narrow the allowances"))
        return None
    begun: PieceStart = state["piece", name]
    cut_out: CutOut | None = state.get(("cut out", name))
    asked: GrainAsked | None = state.get(("grain", name))
    grain = None if asked is None else grain_line(asked, bounds)
    shift = _shift(begun, bounds)
    inners = [each for each in _listed(state, "inner", name) if each.kind not in ("dropped", "slash")]
    marks = _listed(state, "mark", name)
    return Piece(
        name,
        edges,
        on_fold=begun.on_fold,
        cut=cut_out.pieces if cut_out else 0,
        mirrored_pair=cut_out.pair if cut_out else False,
        material=cut_out.material if cut_out else "main",
        grain=_shifted_grain(grain, shift),
        notches=(
            *(each for each in (placed_notch(edges, n) for n in _listed(state, "notch", name)) if each),
            *dart_notches(edges),
        ),
        marks=tuple(Mark(m.kind, m.name, (m.at[0] + shift, m.at[1])) if shift else m for m in marks),
        inner=tuple(Inner(i.kind, i.name, moved(i.path, shift, 0.0)) if shift else i for i in inners),
        cut_line=cut,
        label=name,
    )


def _crossing(outline: tuple[Edge, ...]) -> str:
    """Return where an outline crosses itself, '' where it doesn't."""
    ring = np.concatenate([each[:-1] for each in flatten_all([edge.path for edge in outline], 0.05)])
    return "" if is_valid(np.concatenate([ring, ring[:1]])) else why_invalid(ring)


def _listed(state: Mapping[Key, Any], kind: str, piece: str) -> list[Any]:
    return [state[kind, piece, each] for each in state.get(("listing", kind, piece), ())]


def _shifted_grain(grain: Grain | None, shift: float) -> Grain | None:
    if grain is None or not shift:
        return grain
    (ax, ay), (bx, by) = grain.start, grain.end
    return replace(grain, start=(ax + shift, ay), end=(bx + shift, by))


def _with_allowance(
    edge: Edge, text: str, cloth: Cloth, shift: float, piece: str, facings: set[str], problems: list[Problem]
) -> Edge:
    """Return the edge where it lies in the end, with its allowance; `facings` names those that face an edge."""
    path = moved(edge.path, shift, 0.0) if shift else edge.path
    if edge.fold or edge.finish == "dart" or not text:
        said = edge.finish if edge.finish == "dart" else text
        return Edge(edge.name, path, edge.parent, edge.fold, edge.allowance, said, edge.corner)
    read = _read(text, cloth)
    if isinstance(read, FinishFault):
        problems.append(
            problem(
                "FINISH-UNKNOWN",
                says=f"The finish '{text}' of {edge.root} of {piece} cannot be read: {read.message}",
                found=read.found,
                expected=read.expected,
                remedy=read.remedy,
                where=Place(piece=piece),
            )
        )
        return replace(edge, path=path, finish=text)
    allowance = read.allowance
    if edge.root in facings:
        allowance = max(0.0, allowance - turn_of_cloth(cloth))
    corner: Literal["mirrored", "mitred"] = "mirrored" if is_hem(read) else "mitred"
    return Edge(edge.name, path, edge.parent, edge.fold, allowance, text, corner)


def _across(state: Mapping[Key, Any], name: str, pieces: list[Piece], lost: list[str]) -> Level:
    """Return the level with the pieces that go round it, each as often as it does; none where one of them is lost.

    Without a piece that could not be drawn the others' widths are no girth.
    """
    level: Level = state["level", name]
    if any((kind, piece, name) in state for piece in lost for kind in ("inner", "line")):
        return replace(level, across=())
    across = []
    for piece in pieces:
        has = any(inner.kind == "level" and inner.name == name for inner in piece.inner)
        if has or any(edge.root == name for edge in piece.edges):
            across.append((piece.name, 2.0 if piece.on_fold or piece.mirrored_pair else 1.0))
    return replace(level, across=tuple(across))
