"""Where the notches and grain lines asked for come to lie: by the tape, and by the bounds of the piece.

The tape is laid along all edges that carry a notch in one batch.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import pairwise

from onfold.geometry.curve import Bounds
from onfold.geometry.path import along, at, end, length, measure_all, start
from onfold.pattern import Edge, Grain, Notch
from onfold.recipe.laid import GrainAsked, NotchAsked, NotchSpot

Asked = NotchAsked | NotchSpot


def measure_notched(pieces: Mapping[str, tuple[tuple[Edge, ...], Iterable[Asked]]]) -> None:
    """Lay the tape along every edge that carries a notch, of pieces given by their edges and their notches."""
    paths = []
    for edges, notches in pieces.values():
        notched = {each.edge for each in notches}
        paths += [each.path for each in edges if each.name in notched]
    measure_all(paths)


def placed_notch(edges: tuple[Edge, ...], asked: Asked) -> Notch | None:
    """Return the notch where it lies, None where its edge is gone."""
    edge = next((each for each in edges if each.name == asked.edge), None)
    if edge is None:
        return None
    mm = along_edge(edge, asked)
    return Notch(asked.edge, mm, at(edge.path, mm), "double" if asked.kind == "double" else "single")


def dart_notches(edges: tuple[Edge, ...]) -> list[Notch]:
    """Return a notch at each leg of every dart, on the edges of a piece beside it."""
    found = []
    for before, edge in pairwise((edges[-1], *edges)):
        if edge.finish == "dart" != before.finish:
            found.append(Notch(before.name, length(before.path), end(before.path), "dart"))
        elif before.finish == "dart" != edge.finish:
            found.append(Notch(edge.name, 0.0, start(edge.path), "dart"))
    return found


def along_edge(edge: Edge, asked: Asked) -> float:
    """Return how many mm from the edge's first point a notch lies."""
    if isinstance(asked, NotchAsked):
        return asked.along
    # an edge drawn anew since may have fewer curves
    return along(edge.path, min(asked.number, len(edge.path.curves) - 1), asked.t)


def grain_line(asked: GrainAsked, bounds: Bounds) -> Grain:
    """Return the line a third into the piece, clear of a fold along the middle, half as long as the piece."""
    left, low, right, high = bounds
    if asked.way == "along":
        x, y, reach = (left + right) / 2.0, low + (high - low) / 3.0, (right - left) / 4.0
        return Grain(asked.kind, (x - reach, y), (x + reach, y), asked.tilt)
    x, y, reach = left + (right - left) / 3.0, (low + high) / 2.0, (high - low) / 4.0
    return Grain(asked.kind, (x, y - reach), (x, y + reach), asked.tilt)
