"""Where the notches asked for come to lie: by the tape, laid along all edges that carry one in one batch."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from onfold.geometry.path import along, at, measure_all
from onfold.pattern import Edge, Notch
from onfold.recipe.laid import NotchAsked, NotchSpot

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


def along_edge(edge: Edge, asked: Asked) -> float:
    """Return how many mm from the edge's first point a notch lies."""
    if isinstance(asked, NotchAsked):
        return asked.along
    # an edge drawn anew since may have fewer curves
    return along(edge.path, min(asked.number, len(edge.path.curves) - 1), asked.t)
