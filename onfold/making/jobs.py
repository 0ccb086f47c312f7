"""What there is to do to a cut garment, read from its pattern: darts, seams, parts to turn, folds, fastenings, edges.

Each is a job; `before` says which must stand before which, `order` sets them in their order. A job that names what is
not there is left out and told.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise

from onfold.construction import FinishFault, is_hem, read_finish
from onfold.making.assembly import (
    Leaf,
    Link,
    Ways,
    copies_of,
    corner,
    darts_of,
    edge_of,
    in_seams,
    leaf,
    leaves_of,
    links_of,
    sewings,
)
from onfold.making.folds import Fold, folds_of
from onfold.making.job import Job, Part
from onfold.making.parts import closed_parts, is_tube, straps_of, turn_of, turned_out
from onfold.making.runs_on import chained
from onfold.pattern import Edge, Pattern, Piece, Run, Seam
from onfold.units import say_list


def jobs_of(pattern: Pattern) -> tuple[tuple[Job, ...], tuple[str, ...]]:
    """Return all jobs in the draft's order, each with a name of its own, and what had to be left out and why."""
    left: list[str] = []
    darts = [job for piece in pattern.pieces for job in _darts(piece)]
    seams = _that_meet([*_seams(pattern, left)], darts, left)
    tubes = [piece for piece in pattern.pieces if is_tube(pattern, piece)]
    turns = [*(turn_of(piece) for piece in tubes), *closed_parts(pattern, seams)]
    straps = list(straps_of(pattern, tubes))
    fastenings = list(_fastenings(pattern, left))
    folds = [fold for piece in pattern.pieces if piece not in tubes for fold in folds_of(pattern, piece)]
    folded = [job for fold in folds for job in _fold_jobs(pattern, fold)]
    first = [*darts, *seams, *turns, *straps, *fastenings, *folded]
    done = {key for job in first for key in job.leaves} | in_seams(pattern)
    done |= {each.key for piece in tubes for copy in copies_of(piece) for each in leaves_of(piece, copy)}
    edges = _free_edges(pattern, done, [link for job in first for link in job.links])
    return _named([*first, *edges, *turned_out(pattern, seams)]), tuple(left)


def _named(jobs: Iterable[Job]) -> tuple[Job, ...]:
    """Return the jobs with names that tell them apart: the piece is added, then a number, where two are alike."""
    listed = list(jobs)
    often = Counter(job.name for job in listed)
    told = [
        replace(job, name=f"{job.name} of {' and '.join(job.pieces)}") if often[job.name] > 1 and job.pieces else job
        for job in listed
    ]
    so_far: Counter[str] = Counter()
    named = []
    for job in told:
        so_far[job.name] += 1
        again = so_far[job.name]
        named.append(job if again == 1 else replace(job, name=f"{job.name}, {again}"))
    return tuple(_linked(old, new) for old, new in zip(listed, named, strict=True))


def _linked(old: Job, job: Job) -> Job:
    if old.name == job.name or not job.links:
        return job
    return replace(job, links=tuple(replace(each, work=job.name) for each in job.links))


def _darts(piece: Piece) -> Iterable[Job]:
    copies = copies_of(piece)
    for first, second in darts_of(piece):
        legs = piece.edges[first].name, piece.edges[second].name
        name = legs[0].removesuffix(" leg")
        links = tuple(Link(corner(piece, copy, first), corner(piece, copy, second + 1), name) for copy in copies)
        walks = tuple((leaf(piece, copy, at),) for copy in copies for at in (first, second))
        sides = tuple((Run(piece.name, each),) for each in legs)
        yield Job(name, "dart", "dart", (piece.name,), sides, walks, links, times=len(copies))


def _unsewn(seam: Seam) -> str:
    if set(seam.sides[0]) == set(seam.sides[1]):
        return (
            f"The {seam.name} is not told: both its sides are one edge. Where front and back are cut by one pattern "
            "piece, draw each as a piece of its own and draft again."
        )
    return f"The {seam.name} is not told: it names an edge that is not there, or one on the fold."


def _seams(pattern: Pattern, left: list[str]) -> Iterable[Job]:
    for seam in pattern.seams:
        pairs = sewings(pattern, seam)
        if not pairs:
            left.append(_unsewn(seam))
            continue
        links = tuple(link for first, second in pairs for link in links_of(first, second, seam.name))
        walks = tuple(walk for pair in pairs for walk in pair)
        pieces = tuple(dict.fromkeys(run.piece for side in seam.sides for run in side))
        yield Job(
            seam.name,
            "sew",
            "seam",
            pieces,
            tuple(tuple(side) for side in seam.sides),
            walks,
            links,
            len(pairs) * _alike(pattern, pieces),
            seam.finish or seam.construction,
            seam,
        )


def _that_meet(seams: list[Job], darts: list[Job], left: list[str]) -> list[Job]:
    """Return the seams without those whose neighbouring edges no other work ever brings together."""
    ways = Ways(link for job in [*seams, *darts] for link in job.links)
    kept = []
    for job in seams:
        without = frozenset({job.name})
        pairs = [(a.b, b.a) for walk in job.walks for a, b in pairwise(walk)]
        if any(ways.between(a, b, without) is None for a, b in pairs):
            left.append(f"Neighbouring edges of the {job.name} never meet: look how they are walked. It is left out.")
        else:
            kept.append(job)
    return kept


def _alike(pattern: Pattern, pieces: tuple[str, ...]) -> int:
    """Return how often a seam within pieces that are cut several times alike is sewn."""
    found = [piece for name in pieces if (piece := pattern.piece(name)) is not None]
    singly = [piece.cut for piece in found if not piece.on_fold and not piece.mirrored_pair]
    return max(1, min(singly)) if len(singly) == len(found) and singly else 1


def _fastenings(pattern: Pattern, left: list[str]) -> Iterable[Job]:
    parts: dict[str, Part] = {"zip": "zip", "buttons": "buttons", "tie": "tie"}
    for opening in pattern.openings:
        if opening.closes == "none":
            continue
        walks = []
        sides = []
        for text in opening.edges:
            name, _, of = text.rpartition(" of ")
            piece = pattern.piece(of)
            at = [n for n, edge in enumerate(piece.edges) if name in (edge.name, edge.parent)] if piece else []
            walks += [(leaf(piece, copy, n),) for n in at for copy in copies_of(piece)] if piece else []
            sides += [(Run(of, name, copy),) for copy in copies_of(piece)] if piece and at else []
        if not walks:
            left.append(f"The {opening.name} names an edge that is not there: it is left out.")
            continue
        pieces = tuple(dict.fromkeys(walk[0].piece for walk in walks))
        finish = _finish_of(pattern, walks[0][0])
        yield Job(
            opening.name,
            "fasten",
            parts[opening.closes],
            pieces,
            tuple(sides),
            tuple(walks),
            finish=finish,
            opening=opening,
        )


def _finish_of(pattern: Pattern, each: Leaf) -> str:
    edge = edge_of(pattern, each)
    return edge.finish if edge is not None else ""


def _fold_jobs(pattern: Pattern, fold: Fold) -> Iterable[Job]:
    """Return the closing of a band's ends, where it has any, and the turning of what lies beyond the fold line."""
    piece = fold.piece
    copies = copies_of(piece)

    def runs(numbers: tuple[int, ...]) -> tuple[tuple[Run, ...], ...]:
        return tuple((Run(piece.name, piece.edges[n].name, copy),) for copy in copies for n in numbers)

    def walks(numbers: tuple[int, ...]) -> tuple[tuple[Leaf, ...], ...]:
        return tuple((leaf(piece, copy, n),) for copy in copies for n in numbers)

    if fold.ends:
        yield Job(
            f"ends of the {piece.name}",
            "finish",
            "ends",
            (piece.name,),
            runs(fold.ends),
            walks(fold.ends),
            finish=piece.edges[fold.ends[0]].finish,
            fold=fold,
        )
    held = (*fold.held, *fold.free)
    if fold.kind == "vent":
        # its long edges are neatened while the piece lies flat; its hem is turned with the garment's
        hems = tuple(n for n in held if _turned(piece.edges[n].finish))
        flat = tuple(n for n in held if n not in hems)
        if hems and flat:
            name, first = f"edges of the {fold.name.removesuffix(' fold')}", piece.edges[flat[0]].finish
            yield Job(name, "finish", "edge", (piece.name,), runs(flat), walks(flat), finish=first, fold=fold)
            held = hems
    finish = next((piece.edges[n].finish for n in held), "")
    yield Job(fold.name, "fold", fold.kind, (piece.name,), runs(held), walks(held), finish=finish, fold=fold)


def _turned(finish: str) -> bool:
    read = read_finish(finish) if finish else None
    return read is not None and not isinstance(read, FinishFault) and is_hem(read)


def _free_edges(pattern: Pattern, done: set[tuple[str, str, str]], links: list[Link]) -> list[Job]:
    """Return the finishing of every edge in no other job: those that meet and are finished alike in one go."""
    free = [
        each
        for piece in pattern.pieces
        for copy in copies_of(piece)
        for each in leaves_of(piece, copy)
        if each.key not in done and _finish_of(pattern, each) not in ("", "dart")
    ]
    low = {
        piece.name: min((edge.path.curves[:, (0, 3), 1].min() for edge in piece.edges), default=0.0)
        for piece in pattern.pieces
    }
    return [
        _edge_job(pattern, chains, {name: float(value) for name, value in low.items()})
        for chains in chained(free, links, lambda each: _finish_of(pattern, each))
    ]


def _edge_job(pattern: Pattern, chains: tuple[tuple[Leaf, ...], ...], low: dict[str, float]) -> Job:
    """Return the finishing of these chains: one, or two that mirror each other."""
    chain = chains[0]
    finish = _finish_of(pattern, chain[0])
    roots = tuple(dict.fromkeys(each.root for each in chain))
    pieces = tuple(dict.fromkeys(each.piece for each in chain))
    name = say_list(roots)
    sides = (tuple(Run(each.piece, each.edge, each.copy) for each in chain),)
    part: Part = "hem" if _is_hem(pattern, chain, finish, low) else "edge"
    return Job(name, "finish", part, pieces, sides, chains, times=len(chains), finish=finish)


def _is_hem(pattern: Pattern, chain: tuple[Leaf, ...], finish: str, low: dict[str, float]) -> bool:
    """Return whether these edges are the garment's hem: turned as one, and the lowest of their piece."""
    read = read_finish(finish)
    if isinstance(read, FinishFault) or not (is_hem(read) or any(each.root == "hem" for each in chain)):
        return False
    edges = [(each.piece, edge) for each in chain if (edge := edge_of(pattern, each)) is not None]
    return any(each.root == "hem" for each in chain) or any(_lies_lowest(edge, low[piece]) for piece, edge in edges)


def _lies_lowest(edge: Edge, low: float) -> bool:
    """Return whether an edge runs across the piece at its foot; a side that only ends there does not."""
    ends = edge.path.curves[:, (0, 3)].reshape(-1, 2)
    wide, high = (ends.max(axis=0) - ends.min(axis=0)).tolist()
    return float(ends[:, 1].min()) <= low + 1.0 and wide > high
