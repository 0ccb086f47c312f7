"""What is sewn in a pattern, read from its finishes alone: seams, free edges, darts, and how long each is.

The order of making up has its own rows, act by act; these stand in wherever only the sum is asked. Lengths are mm.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from onfold.cloth import Cloth
from onfold.construction import Finish, FinishFault, read_finish
from onfold.geometry.path import lengths_of
from onfold.making.operation import SewnRow
from onfold.making.stitches import STITCH_TYPES
from onfold.pattern import Edge, Pattern, Piece, Run, Seam, edges_of

NEATENS = frozenset({"overlocked", "narrow zigzag"})
"""Constructions that only neaten an edge that is joined to nothing."""

# Layers of cloth that a row goes through, by its construction and name: two where none stands here [A].
_LAYERS = {
    ("french", "second row"): 4,
    ("felled", "second row"): 4,
    ("double turned", "hem row"): 3,
    ("bound", "binding row"): 3,
}


@dataclass(frozen=True)
class Worked:
    """A seam or a free edge: how it is sewn, and mm of it in all, every repeat counted. `piece` is '' for a seam."""

    name: str
    finish: Finish
    length: float
    piece: str = ""

    @property
    def is_seam(self) -> bool:
        """Return whether two edges are joined in it."""
        return not self.piece


def copies_of(piece: Piece) -> int:
    """Return how often a drawn edge of this piece is there in the cloth: the pieces cut, twice on the fold."""
    return max(1, piece.cut) * (2 if piece.on_fold else 1)


def edge_lengths(pattern: Pattern) -> dict[tuple[str, str], float]:
    """Return the length by the tape of every edge, mm, by (piece, edge), measured in one batch."""
    keys = [(piece.name, edge.name) for piece in pattern.pieces for edge in piece.edges]
    paths = [edge.path for piece in pattern.pieces for edge in piece.edges]
    return dict(zip(keys, lengths_of(paths).tolist(), strict=True)) if paths else {}


def worked_in(pattern: Pattern, cloth: Cloth) -> tuple[Worked, ...]:
    """Return every seam and every free edge that has a finish, in the pattern's order.

    A finish that cannot be read is left out: the check that finds it says so.
    """
    lengths = edge_lengths(pattern)
    found = [
        Worked(seam.name, finish, seam_length(pattern, seam, lengths))
        for seam in pattern.seams
        if (finish := _read(seam.finish or seam.construction, cloth))
    ]
    sewn = {key for seam in pattern.seams for key in _edges_in(pattern, seam)}
    for piece in pattern.pieces:
        for edge in piece.edges:
            finish = None if edge.fold or (piece.name, edge.name) in sewn else _read(edge.finish, cloth)
            if finish:
                length = lengths[piece.name, edge.name] * copies_of(piece)
                found.append(Worked(edge.name, finish, length, piece.name))
    return tuple(found)


def seam_length(pattern: Pattern, seam: Seam, lengths: dict[tuple[str, str], float]) -> float:
    """Return how much of a seam is sewn, mm: its first side, as often as it is sewn.

    Twice where its twin is sewn too; as often as the piece is cut where one piece is sewn to itself (a strap cut
    twice).
    """
    side = seam.sides[0] or seam.sides[1]
    once = sum(lengths[run.piece, edge.name] for run in side for edge in _run_edges(pattern, run))
    return once * _times(pattern, seam)


def _times(pattern: Pattern, seam: Seam) -> int:
    if seam.twice:
        return 2
    runs = (*seam.sides[0], *seam.sides[1])
    names = {run.piece for run in runs}
    piece = pattern.piece(runs[0].piece) if len(names) == 1 else None
    if piece is None or any(run.copy == "mirrored" for run in runs):
        return 1
    return copies_of(piece)


def _run_edges(pattern: Pattern, run: Run) -> tuple[Edge, ...]:
    piece = pattern.piece(run.piece)
    return edges_of(piece, run.edge) if piece else ()


def _edges_in(pattern: Pattern, seam: Seam) -> Iterator[tuple[str, str]]:
    for run in (*seam.sides[0], *seam.sides[1]):
        yield from ((run.piece, edge.name) for edge in _run_edges(pattern, run))


@lru_cache(maxsize=512)
def _read(text: str, cloth: Cloth) -> Finish | None:
    if not text or text == "dart":
        return None
    found = read_finish(text, cloth)
    return None if isinstance(found, FinishFault) else found


def rows_in(pattern: Pattern, cloth: Cloth) -> tuple[SewnRow, ...]:
    """Return the rows of stitches of a pattern: those of its finishes, of neatening plain seams, and of its darts.

    Both raw edges of a plain seam are counted as neatened with a narrow zigzag. A lapped zip's rows are sewn once an
    opening, whichever way its two sides are drawn.
    """
    rows = [row for worked in worked_in(pattern, cloth) for row in _rows(worked)]
    darts = _dart_length(pattern)
    return (*rows, SewnRow("straight stitch", darts, 0.0)) if darts > 0.0 else tuple(rows)


def _rows(worked: Worked) -> Iterator[SewnRow]:
    finish, length = worked.finish, worked.length
    if finish.kind == "plain":
        if worked.is_seam:
            yield SewnRow(finish.rows[0].stitch, length, finish.rows[0].from_raw)
        yield SewnRow("narrow zigzag", length * (2.0 if worked.is_seam else 1.0), 0.0, finish.allowance, layers=1)
        return
    if finish.kind in NEATENS and not worked.is_seam:
        yield SewnRow(finish.stitch, length, 0.0, finish.allowance, layers=1)
        return
    once = length / 2.0 if finish.kind == "lapped zip" and not worked.is_seam else length
    for row in finish.rows:
        stitch = row.stitch if row.stitch in STITCH_TYPES else "straight stitch"
        edges = 2.0 if worked.is_seam and row.order == "binding row" else 1.0
        layers = _LAYERS.get((finish.kind, row.order), 2)
        yield SewnRow(stitch, once * edges, row.from_raw, row.from_net, layers)


def _dart_length(pattern: Pattern) -> float:
    """Return mm of dart seam in all: half of the legs, since two legs make one row."""
    lengths = edge_lengths(pattern)
    legs = (
        lengths[piece.name, edge.name] * copies_of(piece)
        for piece in pattern.pieces
        for edge in piece.edges
        if edge.finish == "dart"
    )
    return sum(legs) / 2.0
