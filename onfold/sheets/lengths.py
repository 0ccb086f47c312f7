"""How long each piece is down its centre when finished: what a maker checks with a tape before cutting."""

from __future__ import annotations

from onfold.geometry.path import end, start
from onfold.pattern import Pattern, Piece
from onfold.sheets.opened import fold_line

_ON_CENTRE = 0.02
"""mm within which a point counts as lying on the centre."""


def centre_lengths(pattern: Pattern) -> list[tuple[str, float]]:
    """Return (piece, mm) for every piece with levels: from its finished upper edge at the centre down to its hem."""
    found = [(piece.name, centre_length(piece)) for piece in pattern.pieces]
    return [(name, length) for name, length in found if length is not None]


def centre_length(piece: Piece) -> float | None:
    """Return a piece's finished length at its centre, mm, a facing cut in one left out; None without levels or centre.

    The centre is the fold, else where the levels begin: they run from the centre to the side.
    """
    levels = [inner for inner in piece.inner if inner.kind == "level" and len(inner.path.curves)]
    if not levels:
        return None
    fold = fold_line(piece)
    x = fold[0][0] if fold else start(levels[0].path)[0]
    corners = [point for edge in piece.edges if len(edge.path.curves) for point in (start(edge.path), end(edge.path))]
    heights = [point[1] for point in corners if abs(point[0] - x) <= _ON_CENTRE]
    if len(heights) < 2:
        return None
    # A fold line that leaves the centre is the finished edge: what lies above it is turned in.
    turned = [
        start(inner.path)[1]
        for inner in piece.inner
        if inner.kind == "fold line"
        and len(inner.path.curves)
        and abs(start(inner.path)[0] - x) <= _ON_CENTRE < abs(end(inner.path)[0] - x)
    ]
    return min([max(heights), *turned]) - min(heights)
