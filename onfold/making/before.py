"""Which job must stand before which, and why: what the construction demands, read from corners and edges.

The demands hold for any garment: an edge is crossed only when what meets on it is joined; a tube is closed before it
is turned, and turned before it is set; what a layer will bury is done first.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from onfold.geometry.path import nearest
from onfold.making.assembly import Leaf, Ways, copies_of
from onfold.making.job import Job
from onfold.making.operation import Before
from onfold.making.parts import closing_seam, layered, shut_all_round
from onfold.pattern import Pattern

NEAR_FOLD = 1.0
"""mm from a fold line within which a mark stands on it."""


@dataclass(frozen=True)
class Ring:
    """A chain of edges that comes round: the work that joins its edges, one after another all round."""

    job: Job
    works: tuple[str, ...]


def demands(pattern: Pattern, jobs: Sequence[Job], after: Mapping[str, frozenset[str]]) -> list[Before]:
    """Return what must stand before what. `after` names, for jobs that are worked flat, the seams that close the
    round once they are done.
    """
    ways = Ways(link for job in jobs for link in job.links)
    found: list[Before] = []
    for job in jobs:
        found += _crossings(job, ways, after.get(job.name, frozenset()))
    found += [
        *_tubes(jobs),
        *_straps(pattern, jobs),
        *_fastenings(jobs),
        *_folds(jobs),
        *_layers(jobs),
        *_turning_out(pattern, jobs),
        *_hems(jobs),
    ]
    names = {job.name for job in jobs}
    seen: dict[tuple[str, str], Before] = {}
    for each in found:
        if each.first != each.then and each.first in names and each.then in names:
            seen.setdefault((each.first, each.then), each)
    return list(seen.values())


def rings(jobs: Sequence[Job]) -> list[Ring]:
    """Return every chain of seams and finished edges that comes round."""
    ways = Ways(link for job in jobs for link in job.links)
    return [
        Ring(job, works)
        for job in jobs
        if job.kind in ("sew", "finish")
        for walk in job.walks
        if (works := _around(walk, job, ways)) and _closes(walk, job, ways)
    ]


def crossed_hems(jobs: Sequence[Job]) -> list[Ring]:
    """Return every hem, whether or not it comes round, with the works it crosses."""
    ways = Ways(link for job in jobs for link in job.links)
    return [Ring(job, _around(walk, job, ways)) for job in jobs if job.part == "hem" for walk in job.walks]


def _closes(walk: tuple[Leaf, ...], job: Job, ways: Ways) -> bool:
    return ways.between(walk[-1].b, walk[0].a, frozenset({job.name})) is not None


def _around(walk: tuple[Leaf, ...], job: Job, ways: Ways) -> tuple[str, ...]:
    """Return the works that join a chain's edges, in its order, what closes it to a round last."""
    without = frozenset({job.name})
    inside = [ways.between(a.b, b.a, without) or () for a, b in pairwise(walk)]
    closing = ways.between(walk[-1].b, walk[0].a, without) or ()
    return tuple(dict.fromkeys(name for found in (*inside, closing) for name in found))


def _crossings(job: Job, ways: Ways, after: frozenset[str]) -> Iterable[Before]:
    """Return the work that joins the edges of a chain: it runs on over their seams and darts."""
    if job.kind not in ("sew", "finish"):
        return
    for walk in job.walks:
        inside = {name for a, b in pairwise(walk) for name in ways.between(a.b, b.a, frozenset({job.name})) or ()}
        for name in _around(walk, job, ways):
            if name in after:
                said = f"The {job.name} is worked flat, before the {name} closes it to a round."
                yield Before(job.name, name, said, ahead=f"It is worked flat, while the {name} is still open.")
            elif name in inside:
                ahead = f"It is done before the {job.name} crosses it."
                yield Before(name, job.name, f"The {job.name} runs on over the {name}.", ahead=ahead)
            else:
                said = f"The {job.name} goes all round, so the {name} is closed before it."
                yield Before(name, job.name, said, ahead=f"It is closed before the {job.name} goes all round.")


def _tubes(jobs: Sequence[Job]) -> Iterable[Before]:
    """A tube or a part sewn round is closed before it is turned, and turned before it is set in."""
    for turn in (job for job in jobs if job.part in ("tube", "part")):
        for job in jobs:
            closes = job.kind == "sew" and set(job.pieces) <= set(turn.pieces)
            if closes or (job.part == "ends" and job.pieces == turn.pieces):
                ahead = "It is closed before it can be turned right side out."
                yield Before(job.name, turn.name, f"The {job.name} has closed it: now it is turned.", ahead=ahead)
            elif job.kind in ("sew", "attach", "finish") and set(turn.pieces) & set(job.pieces):
                yield Before(turn.name, job.name, "It is turned right side out before it is set in.")


def _straps(pattern: Pattern, jobs: Sequence[Job]) -> Iterable[Before]:
    """A strap's end is in before the fold or turned edge that takes it; on a neatened edge it is sewn last."""
    for strap in (job for job in jobs if job.kind == "attach"):
        for job in jobs:
            if job.kind == "fold" and _on_fold_line(strap, job):
                yield Before(
                    strap.name, job.name, "The strap's end lies inside, so it is in before the fold is turned."
                )
            if job.kind == "finish" and job.part != "hem" and _on_edge(pattern, strap, job):
                if job.part == "ends" or encloses_end(job.finish):
                    yield Before(strap.name, job.name, "The strap's end is caught in the finished edge.")
                else:
                    yield Before(job.name, strap.name, "The edge is neatened before the strap is sewn over it.")


def encloses_end(finish: str) -> bool:
    """Return whether an edge finished like this takes a strap's raw end inside it."""
    return finish.startswith(("double turned", "bound", "folded facing", "facing", "single turned"))


def _on_fold_line(strap: Job, fold: Job) -> bool:
    if fold.fold is None or strap.pieces[-1] != fold.fold.piece.name:
        return False
    return any(nearest(fold.fold.line.path, mark.at).distance <= NEAR_FOLD for mark in strap.marks)


def _on_edge(pattern: Pattern, strap: Job, job: Job) -> bool:
    piece = pattern.piece(strap.pieces[-1])
    if piece is None or piece.name not in job.pieces:
        return False
    names = {each.edge for walk in job.walks for each in walk if each.piece == piece.name}
    edges = [edge for edge in piece.edges if edge.name in names]
    return any(nearest(edge.path, mark.at).distance <= NEAR_FOLD for edge in edges for mark in strap.marks)


def _fastenings(jobs: Sequence[Job]) -> Iterable[Before]:
    """A zip follows the seam it goes on from, and stands before whatever encloses its ends."""
    for job in (each for each in jobs if each.kind == "fasten"):
        corners = job.corners
        for other in jobs:
            if other is job or other.kind not in ("sew", "finish"):
                continue
            if other.kind == "sew" and _goes_on(job, other):
                ahead = f"The {job.name} goes on from its end, so it is sewn first."
                said = f"The {job.name} is the open end of the {other.name}."
                yield Before(other.name, job.name, said, ahead=ahead)
            elif job.part != "zip":
                if other.part != "hem" or corners & other.corners:
                    yield Before(other.name, job.name, f"Closed at the last, when the {other.name} is done.")
            elif other.part != "hem" and corners & other.corners:
                ahead = f"It is set before the {other.name} encloses the ends of the zip."
                yield Before(job.name, other.name, f"It encloses the ends of the {job.name}.", ahead=ahead)
        for other in jobs:
            if job.part == "zip" and other.kind == "fold" and other.part != "vent":
                yield Before(job.name, other.name, "The zip's tape is caught under the fold.")
            elif job.part != "zip" and other.kind in ("fold", "turn", "attach") and other.part != "vent":
                yield Before(other.name, job.name, f"Closed at the last, when the {other.name} is done.")


def _goes_on(opening: Job, seam: Job) -> bool:
    """Return whether a seam joins the two edges that go on from the opening's."""
    own = opening.corners
    touched = [{corner for each in walk for corner in (each.a, each.b)} & own for walk in seam.walks]
    joins_copies = len({(each.piece, each.copy) for walk in opening.walks for each in walk}) > 1
    return joins_copies and sum(1 for each in touched if each) >= 2 and set(seam.pieces) <= set(opening.pieces)


def _folds(jobs: Sequence[Job]) -> Iterable[Before]:
    """A band is sewn on and its ends closed before it is turned; a facing is turned before a seam catches its edge."""
    for job in (each for each in jobs if each.kind == "fold" and each.fold is not None):
        piece = job.pieces[0]
        for other in jobs:
            if other is job or piece not in other.pieces:
                continue
            if job.part == "band" and other.kind in ("sew", "finish") and other.part != "hem":
                said = (
                    "Its ends are closed"
                    if other.part == "ends"
                    else f"The {other.name} lies inside the band, so it is sewn"
                )
                yield Before(other.name, job.name, f"{said} before the band is turned over.")
            if job.part == "vent" and other.kind == "finish" and other.fold is job.fold:
                ahead = "The vent's edges are neatened while they lie flat."
                yield Before(other.name, job.name, "Its edges are neatened, and its hem is turned.", ahead=ahead)
            if job.part == "vent" and other.kind == "sew" and _near(job, other):
                yield Before(other.name, job.name, f"The vent goes on from the {other.name}.")
            if job.part == "vent" and other.part == "hem":
                yield Before(other.name, job.name, "The hem is turned first, so that the vent's facing covers its end.")
            if job.part == "facing" and other.kind == "sew" and _beyond_is_caught(job, other):
                yield Before(job.name, other.name, f"The facing's end is caught in the {other.name}.")
        for ends in (each for each in jobs if each.part == "ends" and each.pieces == job.pieces):
            for seam in (each for each in jobs if each.kind == "sew" and piece in each.pieces):
                yield Before(seam.name, ends.name, f"The ends are closed level with the {seam.name}.")


def _near(job: Job, other: Job) -> bool:
    assert job.fold is not None
    piece = job.fold.piece
    own = {
        corner
        for copy in copies_of(piece)
        for at, each in enumerate(piece.edges)
        if at in job.fold.beyond
        for corner in [(piece.name, copy, at), (piece.name, copy, (at + 1) % len(piece.edges))]
        if each
    }
    return bool(own & other.corners)


def _beyond_is_caught(job: Job, seam: Job) -> bool:
    """Return whether a seam takes in an edge that lies beyond the fold, or one beside it called after its side."""
    assert job.fold is not None
    names = {job.fold.piece.edges[n].name for n in job.fold.beyond}
    if any(each.piece == job.fold.piece.name and each.edge in names for walk in seam.walks for each in walk):
        return True
    return any(name.endswith("side") for name in names) and _near_line(job, seam)


def _near_line(job: Job, seam: Job) -> bool:
    assert job.fold is not None
    held = job.corners
    return bool(held & seam.corners)


def _layers(jobs: Sequence[Job]) -> Iterable[Before]:
    """An edge in two seams takes the made-up part first and the layer that covers it last."""
    seams = [job for job in jobs if job.kind == "sew"]
    parts = {piece for job in jobs if job.kind == "turn" for piece in job.pieces}
    for at, first in enumerate(seams):
        for second in seams[at + 1 :]:
            shared = first.leaves & second.leaves
            if not shared:
                continue
            others = [{key[0] for key in job.leaves - shared} for job in (first, second)]
            inner, outer = (second, first) if others[1] & parts and not others[0] & parts else (first, second)
            yield Before(inner.name, outer.name, f"The {outer.name} covers the {inner.name}.")


def _turning_out(pattern: Pattern, jobs: Sequence[Job]) -> Iterable[Before]:
    """Layers joined in several rounds are turned out before what closes them: the sides, or a gap in the lining."""
    seams = [job for job in jobs if job.kind == "sew"]
    between = layered(pattern, seams)
    for turn in (job for job in jobs if job.part == "out"):
        if not shut_all_round(pattern, between, seams):
            for job in between:
                yield Before(job.name, turn.name, f"The {job.name} is sewn from the wrong side.")
            continue
        last = closing_seam(pattern, between, seams)
        for job in seams:
            if job.name == last:
                yield Before(turn.name, last, "It is turned out through this opening, which is closed last.")
            else:
                yield Before(job.name, turn.name, f"Once it is turned out, the {job.name} cannot be reached.")


def _hems(jobs: Sequence[Job]) -> Iterable[Before]:
    """The garment hangs from everything above its hem; buttons on an edge that the hem ends wait for it."""
    for hem in (job for job in jobs if job.part == "hem"):
        for job in jobs:
            if job.part in ("hem", "vent") or job.kind == "turn":
                continue
            if job.kind == "fasten" and job.part != "zip" and job.corners & hem.corners:
                continue
            yield Before(job.name, hem.name, "The hem comes last: the garment hangs from everything above it.")
