"""Parts that are made up by themselves: straps and ties, collars and cuffs; and layers that are turned out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from onfold.making.assembly import leaf, leaves_of
from onfold.making.job import Job
from onfold.pattern import Mark, Pattern, Piece, Run


def is_tube(pattern: Pattern, piece: Piece) -> bool:
    """Return whether a piece is sewn to itself along a fold line and in no other seam: a strap, a tie, a loop."""
    mine = [seam for seam in pattern.seams if any(run.piece == piece.name for side in seam.sides for run in side)]
    if len(mine) != 1 or not any(each.kind == "fold line" for each in piece.inner):
        return False
    return {run.piece for side in mine[0].sides for run in side} == {piece.name} and not piece.on_fold


def turn_of(piece: Piece) -> Job:
    """Return the turning of a tube."""
    return Job(f"turn the {piece.name}", "turn", "tube", (piece.name,), times=max(1, piece.cut))


def closed_parts(pattern: Pattern, seams: list[Job]) -> Iterable[Job]:
    """Return the turning of parts sewn round on all sides but one: collars, cuffs, flaps, belts."""
    pairs = {frozenset(job.pieces): None for job in seams if len(job.pieces) == 2}
    for pair in pairs:
        pieces = [piece for piece in pattern.pieces if piece.name in pair]
        inside = frozenset().union(*(job.leaves for job in seams if set(job.pieces) <= pair))
        outside = frozenset().union(*(job.leaves for job in seams if not set(job.pieces) <= pair))
        if len(pieces) == 2 and all(_open_at_one_side(piece, inside, outside) for piece in pieces):
            yield Job(f"turn the {_part_name(pieces)}", "turn", "part", tuple(piece.name for piece in pieces))


def _open_at_one_side(
    piece: Piece, inside: frozenset[tuple[str, str, str]], outside: frozenset[tuple[str, str, str]]
) -> bool:
    """Return whether a piece is sewn round but for one run of edges, which other seams take."""
    own = leaves_of(piece, "drawn")
    open_ = [each.key in outside for each in own]
    if not any(open_) or not all(each.key in inside or each.key in outside for each in own):
        return False
    around = [*open_, open_[0]] if not piece.on_fold else [*open_, False]
    begins = sum(1 for here, there in pairwise([around[-1], *around]) if there and not here)
    return begins <= 1 and sum(each.length for each in own if each.key in inside) > 0.4 * sum(e.length for e in own)


def _part_name(pieces: list[Piece]) -> str:
    words = [piece.name.split() for piece in pieces]
    shared = [word for word in words[0] if word in words[1]]
    return " ".join(shared) or pieces[0].name


def straps_of(pattern: Pattern, tubes: list[Piece]) -> Iterable[Job]:
    """Return the setting of each strap to its marks, one job a mark, in their order, and the closing of a free end."""
    for tube in tubes:
        marks = _marks_of(pattern, tube, tubes)
        alone = _ends_set(marks, tube) < 2
        for piece, own in _together(marks) if alone else [(piece, [mark]) for piece, mark in marks]:
            name = f"set {' and '.join(mark.name for mark in own)}"
            times = _places(piece) * len(own)
            yield Job(name, "attach", "strap", (tube.name, piece.name), marks=tuple(own), times=times)
        if marks and alone:
            at = _free_end(pattern, tube)
            walks = ((leaf(tube, "drawn", at),),)
            edge = tube.edges[at]
            sides = ((Run(tube.name, edge.name),),)
            yield Job(
                f"end of the {tube.name}",
                "finish",
                "ends",
                (tube.name,),
                sides,
                walks,
                times=max(1, tube.cut),
                finish=edge.finish,
            )


def _marks_of(pattern: Pattern, tube: Piece, tubes: list[Piece]) -> list[tuple[Piece, Mark]]:
    marks = [(piece, mark) for piece in pattern.pieces for mark in piece.marks if mark.kind in ("strap", "tie", "loop")]
    words = set(tube.name.split())
    own = [each for each in marks if words & set(each[1].name.split())]
    return own or (marks if len(tubes) == 1 else [])


def _together(marks: list[tuple[Piece, Mark]]) -> list[tuple[Piece, list[Mark]]]:
    """Return the marks by the piece they stand on."""
    pieces = list(dict.fromkeys(piece.name for piece, _ in marks))
    return [
        (next(piece for piece, _ in marks if piece.name == name), [mark for piece, mark in marks if piece.name == name])
        for name in pieces
    ]


def _ends_set(marks: list[tuple[Piece, Mark]], tube: Piece) -> float:
    """Return how many ends of each strap are set to a mark: a mark on a fold or a pair is there twice."""
    return sum(_places(piece) for piece, _ in marks) / max(1, tube.cut)


def _places(piece: Piece) -> int:
    return 2 if piece.on_fold or piece.mirrored_pair else 1


def _free_end(pattern: Pattern, tube: Piece) -> int:
    """Return the number of a tie's edge that hangs free: the last one in no seam."""
    sewn = {run.edge for seam in pattern.seams for side in seam.sides for run in side if run.piece == tube.name}
    return max(n for n, edge in enumerate(tube.edges) if edge.name not in sewn and edge.root not in sewn)


def layered(pattern: Pattern, seams: Sequence[Job]) -> list[Job]:
    """Return the seams that join two materials, where they do so in more than one round: a lining caught all about."""
    materials = {piece.name: piece.material for piece in pattern.pieces}
    between = [job for job in seams if len({materials.get(piece, "main") for piece in job.pieces}) > 1]
    return between if sum(job.times for job in between) > 1 else []


def shut_all_round(pattern: Pattern, between: Sequence[Job], seams: Sequence[Job]) -> bool:
    """Return whether layers are joined at every edge, without an opening: they are turned out through a gap."""
    pieces = [piece for piece in pattern.pieces if any(piece.name in job.pieces for job in between)]
    sewn = frozenset().union(*(job.leaves for job in seams))
    opened = {edge for opening in pattern.openings for edge in opening.edges}
    names = {piece.name for piece in pieces}
    return (
        bool(between)
        and all(each.key in sewn for piece in pieces for each in leaves_of(piece, "drawn"))
        and not any(edge.rpartition(" of ")[2] in names for edge in opened)
    )


def turned_out(pattern: Pattern, seams: Sequence[Job]) -> Iterable[Job]:
    """Return the turning of a lined garment right side out."""
    between = layered(pattern, seams)
    if between:
        lining = [piece.name for piece in pattern.pieces if piece.material != "main"]
        own = [name for name in lining if any(name in job.pieces for job in between)]
        yield Job("turn it right side out", "turn", "out", tuple(own))


def closing_seam(pattern: Pattern, between: Sequence[Job], seams: Sequence[Job]) -> str:
    """Return the seam sewn after layers shut all round were turned out: a gap in the lining, else the last of all.

    A gap is a seam within one material whose ends no seam between the layers touches.
    """
    touched = frozenset().union(*(job.corners for job in between))
    gaps = [job for job in seams if job not in between and not job.corners & touched and _lining(pattern, job)]
    return (gaps or list(between))[-1].name


def _lining(pattern: Pattern, job: Job) -> bool:
    return all((piece := pattern.piece(name)) is not None and piece.material != "main" for name in job.pieces)
