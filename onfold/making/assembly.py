"""How the pieces of cloth hang together: their edges, their corners, and which work makes two corners one.

Pure topology, read from seams and outlines. A piece cut on the fold, or as a pair, has a drawn and a mirrored copy; on
the fold the two share the corners of the fold. Nothing here knows stitches or an order.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from onfold.geometry.path import length
from onfold.pattern import Edge, Pattern, Piece, Run, Seam

Copy = Literal["drawn", "mirrored"]
Corner = tuple[str, str, int]
"""Piece, copy, and the number of the edge that begins there."""

TOGETHER = 2.0
"""mm along two sides of a seam within which their corners meet: partners may differ by 1 mm and carry ease."""


@dataclass(frozen=True)
class Leaf:
    """One edge of one copy of a piece, walked from corner `a` to corner `b`."""

    piece: str
    copy: Copy
    edge: str
    root: str
    a: Corner
    b: Corner
    length: float

    @property
    def key(self) -> tuple[str, str, str]:
        """Return what tells this edge from every other: piece, copy, name."""
        return self.piece, self.copy, self.edge


@dataclass(frozen=True)
class Link:
    """Two corners that the work of this name brings together."""

    a: Corner
    b: Corner
    work: str


def copies_of(piece: Piece) -> tuple[Copy, ...]:
    """Return the copies of a piece that are told apart: both halves of a fold or a pair, else the one drawn."""
    return ("drawn", "mirrored") if piece.on_fold or piece.mirrored_pair else ("drawn",)


def corner(piece: Piece, copy: Copy, number: int) -> Corner:
    """Return the corner at which the edge of this number begins; on the fold both copies have it in common."""
    at = number % len(piece.edges)
    on_fold = piece.on_fold and (piece.edges[at].fold or piece.edges[at - 1].fold)
    return piece.name, "drawn" if on_fold else copy, at


def leaf(piece: Piece, copy: Copy, number: int) -> Leaf:
    """Return an edge of a copy, walked as the outline runs."""
    edge = piece.edges[number]
    a, b = corner(piece, copy, number), corner(piece, copy, number + 1)
    return Leaf(piece.name, copy, edge.name, edge.root, a, b, length(edge.path))


def leaves_of(piece: Piece, copy: Copy) -> tuple[Leaf, ...]:
    """Return all edges of a copy but the fold, in the outline's order."""
    return tuple(leaf(piece, copy, at) for at, edge in enumerate(piece.edges) if not edge.fold)


def walked(pattern: Pattern, runs: Sequence[Run]) -> tuple[Leaf, ...] | None:
    """Return the edges of a seam's side in the order they are sewn; None where one is not there."""
    found: list[Leaf] = []
    for run in runs:
        piece = pattern.piece(run.piece)
        if piece is None or run.copy not in copies_of(piece):
            return None
        at = [n for n, edge in enumerate(piece.edges) if edge.name == run.edge]
        at = at or [n for n, edge in enumerate(piece.edges) if edge.parent == run.edge]
        if not at or any(piece.edges[n].fold for n in at):
            return None
        own = [leaf(piece, run.copy, n) for n in at]
        found += [replace(each, a=each.b, b=each.a) for each in reversed(own)] if run.reversed else own
    return tuple(found)


def twin(run: Run) -> Run:
    """Return the mirror twin of a run."""
    return replace(run, copy="mirrored" if run.copy == "drawn" else "drawn")


def sewings(pattern: Pattern, seam: Seam) -> tuple[tuple[tuple[Leaf, ...], tuple[Leaf, ...]], ...]:
    """Return both sides of a seam as walked edges, once, or twice where its mirror twin is sewn too.

    Empty where an edge is not there, or is sewn to itself. A seam of one edge of a piece to another of the same copy is
    walked so that it closes without a twist, however it is written: no maker sews a tube with a twist in it.
    """
    found = []
    for turned in (False, True) if seam.twice else (False,):
        sides = [[twin(run) for run in side] if turned else list(side) for side in seam.sides]
        first, second = (walked(pattern, side) for side in sides)
        if not first or not second or {each.key for each in first} & {each.key for each in second}:
            return ()
        found.append((first, _untwisted(first, second, seam)))
    return tuple(found)


def _untwisted(first: tuple[Leaf, ...], second: tuple[Leaf, ...], seam: Seam) -> tuple[Leaf, ...]:
    own = {(each.piece, each.copy) for each in (*first, *second)}
    alike = {run.reversed for side in seam.sides for run in side}
    if len(own) > 1 or len(alike) > 1:
        return second
    return backwards(second)


def in_seams(pattern: Pattern) -> set[tuple[str, str, str]]:
    """Return every edge that some seam names, whether or not that seam can be sewn."""
    found: set[tuple[str, str, str]] = set()
    for seam in pattern.seams:
        for run in (run for side in seam.sides for run in side):
            for each in (run, twin(run)) if seam.twice else (run,):
                found |= {leaf.key for leaf in walked(pattern, (each,)) or ()}
    return found


def backwards(leaves: Sequence[Leaf]) -> tuple[Leaf, ...]:
    """Return the same edges walked from the last point to the first."""
    return tuple(replace(each, a=each.b, b=each.a) for each in reversed(leaves))


def links_of(first: Sequence[Leaf], second: Sequence[Leaf], work: str) -> tuple[Link, ...]:
    """Return the corners that sewing these two sides brings together: their ends, and corners that meet on the way."""
    links = [Link(first[0].a, second[0].a, work), Link(first[-1].b, second[-1].b, work)]
    inner = [(at, each.b) for at, each in _alongs(second)[:-1]]
    for along, each in _alongs(first)[:-1]:
        near = [corner for at, corner in inner if abs(at - along) <= TOGETHER]
        links += [Link(each.b, corner, work) for corner in near[:1]]
    return tuple(links)


def _alongs(leaves: Sequence[Leaf]) -> list[tuple[float, Leaf]]:
    found, so_far = [], 0.0
    for each in leaves:
        so_far += each.length
        found.append((so_far, each))
    return found


def darts_of(piece: Piece) -> tuple[tuple[int, int], ...]:
    """Return the darts of a piece, each as the numbers of its two legs, which follow each other in the outline."""
    legs = [at for at, edge in enumerate(piece.edges) if edge.finish == "dart"]
    return tuple((a, b) for a, b in zip(legs[::2], legs[1::2], strict=False) if b == a + 1)


class Ways:
    """Which work must be done before one corner has become another: the shortest way from link to link."""

    def __init__(self, links: Iterable[Link]) -> None:
        self._near: Mapping[Corner, list[tuple[Corner, str]]] = defaultdict(list)
        for each in links:
            self._near[each.a].append((each.b, each.work))
            self._near[each.b].append((each.a, each.work))

    def between(self, a: Corner, b: Corner, without: frozenset[str] = frozenset()) -> tuple[str, ...] | None:
        """Return the works that make the two corners one, () where they are one already, None where none does."""
        if a == b:
            return ()
        before: dict[Corner, tuple[Corner, str]] = {a: (a, "")}
        waiting = deque([a])
        while waiting:
            here = waiting.popleft()
            for there, work in self._near.get(here, ()):
                if there in before or work in without:
                    continue
                before[there] = (here, work)
                if there == b:
                    return _back(before, a, b)
                waiting.append(there)
        return None


def _back(before: Mapping[Corner, tuple[Corner, str]], a: Corner, b: Corner) -> tuple[str, ...]:
    works: list[str] = []
    while b != a:
        b, work = before[b]
        works.append(work)
    return tuple(dict.fromkeys(reversed(works)))


class Joined:
    """Corners as they become one while the work goes on."""

    def __init__(self) -> None:
        self._above: dict[Corner, Corner] = {}

    def root(self, at: Corner) -> Corner:
        """Return the corner that stands for all that are one with this."""
        while (above := self._above.get(at, at)) != at:
            self._above[at] = self._above.get(above, above)
            at = above
        return at

    def join(self, links: Iterable[Link]) -> None:
        """Bring corners together."""
        for each in links:
            self._above[self.root(each.a)] = self.root(each.b)

    def is_round(self, leaves: Sequence[Leaf]) -> bool:
        """Return whether these edges, walked in order, come back to where they began."""
        return bool(leaves) and self.root(leaves[0].a) == self.root(leaves[-1].b)


def edge_of(pattern: Pattern, each: Leaf) -> Edge | None:
    """Return the edge itself."""
    piece = pattern.piece(each.piece)
    return None if piece is None else next((edge for edge in piece.edges if edge.name == each.edge), None)
