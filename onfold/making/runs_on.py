"""Which free edges run on into one another once all seams are sewn, so that they are finished in one go."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from onfold.making.assembly import Corner, Joined, Leaf, Link


def chained(
    leaves: Sequence[Leaf], links: Iterable[Link], finish: Callable[[Leaf], str]
) -> list[tuple[tuple[Leaf, ...], ...]]:
    """Return the edges as chains: those alike in finish that meet, end to end. Two chains that are each other's mirror
    twin come together; what was first in the draft comes first.
    """
    joined = Joined()
    joined.join(links)
    left = list(leaves)
    chains: list[tuple[Leaf, ...]] = []
    while left:
        chain = [left.pop(0)]
        _grow(chain, left, joined, finish)
        chain = [replace(each, a=each.b, b=each.a) for each in reversed(chain)]
        _grow(chain, left, joined, finish)
        chain = [replace(each, a=each.b, b=each.a) for each in reversed(chain)]
        chains.append(tuple(chain))
    return _twins(chains)


def _grow(chain: list[Leaf], left: list[Leaf], joined: Joined, finish: Callable[[Leaf], str]) -> None:
    """Lengthen the chain at its end by the edges that meet it, until none does or it has come round."""
    text, first = finish(chain[0]), joined.root(chain[0].a)
    while True:
        here = joined.root(chain[-1].b)
        if here == first and len(chain) > 1:
            return
        following = next((each for each in left if finish(each) == text and here in _ends(each, joined)), None)
        if following is None:
            return
        left.remove(following)
        turned = joined.root(following.a) != here
        chain.append(replace(following, a=following.b, b=following.a) if turned else following)


def _ends(each: Leaf, joined: Joined) -> tuple[Corner, Corner]:
    return joined.root(each.a), joined.root(each.b)


def _twins(chains: list[tuple[Leaf, ...]]) -> list[tuple[tuple[Leaf, ...], ...]]:
    by_edges: dict[frozenset[tuple[str, str]], list[tuple[Leaf, ...]]] = defaultdict(list)
    for chain in chains:
        by_edges[frozenset((each.piece, each.edge) for each in chain)].append(chain)
    return [tuple(found) for found in by_edges.values()]
