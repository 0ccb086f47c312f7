"""Every construction of an edge in section: hems, folded facings, edges bound, neatened or left raw.

The garment lies to the left, right side up; the finished edge is at x = 0.
"""

from __future__ import annotations

from collections.abc import Callable

from onfold.construction import Finish
from onfold.guide.section import PITCH, THICK, Board, Way
from onfold.guide.section_seams import Panel, Scale, bind_edge, lapped_zip

_HALF = PITCH / 2
_FIGURE = 5.2


def single_turned(scale: Scale, finish: Finish) -> list[Panel]:
    """Return a hem turned once, its raw edge neatened or turned under, with its row."""
    if len(finish.turns) > 1 and finish.turns[0] * scale.k > 1.0:
        return [_turned_twice(scale, finish, finish.turns[0], "turned up")]
    board, k = Board(), scale.k
    depth = finish.depth * k
    body = depth + scale.body
    way = Way((-body, 0.0), 0.0).go(body - _HALF).bend(-180.0, _HALF).go(depth - _HALF)
    board.ribbon(way, 1.0, (False, True))
    row = finish.rows[0]
    at = -row.from_net * k
    board.loop(-depth + min(2.5, depth / 3), -depth, -PITCH, -PITCH)
    _hem_row(board, at, -depth, row.stitch)
    _hem_figures(board, scale, finish, -PITCH)
    return [Panel("turned up", board)]


def _hem_row(board: Board, x: float, edge: float, stitch: str) -> None:
    if stitch in ("catch stitch", "slip stitch"):
        board.hand_stitch(edge + 2.6 if stitch == "catch stitch" else x, -_HALF, stitch)
    else:
        board.stitch(x, 0.0, -PITCH, stitch)


def _hem_figures(board: Board, scale: Scale, finish: Finish, lowest: float) -> None:
    depth, at = finish.depth * scale.k, finish.rows[0].from_net * scale.k
    foot, top = lowest - THICK / 2, THICK / 2
    board.measure(-depth, 0.0, foot - _FIGURE, scale.say(finish.depth), (foot - 0.9, -2.0))
    if finish.rows[0].stitch not in ("catch stitch",):
        board.measure(-at, 0.0, top + _FIGURE, scale.say(finish.rows[0].from_net), (top + 0.9, top - 1.0))


def _turned_twice(scale: Scale, finish: Finish, turn: float, shows: str) -> Panel:
    board, k = Board(), scale.k
    depth, inner = finish.depth * k, turn * k
    body = depth + scale.body
    way = Way((-body, 0.0), 0.0).go(body - PITCH).bend(-180.0, PITCH).go(max(depth - PITCH - _HALF, 0.2))
    way.bend(-180.0, _HALF).go(max(inner - _HALF, 0.3))
    board.ribbon(way, 1.0, (False, True))
    row = finish.rows[0]
    if row.stitch in ("catch stitch", "slip stitch"):
        board.hand_stitch(-depth + 1.2, -_HALF, row.stitch)
    else:
        board.stitch(-row.from_net * k, 0.0, -2 * PITCH, row.stitch)
    _hem_figures(board, scale, finish, -2 * PITCH)
    foot = -2 * PITCH - THICK / 2
    below = foot - 2 * _FIGURE - 3.2
    if abs(turn - finish.depth) > 0.05:
        board.measure(-depth, -depth + inner, below, f"turned in {scale.say(turn)}", (below + 1.0, -PITCH - 1.0))
    return Panel(shows, board)


def double_turned(scale: Scale, finish: Finish) -> list[Panel]:
    """Return a hem turned twice, the raw edge inside."""
    return [_turned_twice(scale, finish, finish.turns[0], "turned twice")]


def folded_facing(scale: Scale, finish: Finish) -> list[Panel]:
    """Return an edge turned to the inside on its fold line, no row along it; a facing cut in one runs on."""
    board, k = Board(), scale.k
    depth = finish.depth * k if finish.depth else 3.0 * scale.body
    body = depth + scale.body
    way = Way((-body, 0.0), 0.0).go(body - _HALF).bend(-180.0, _HALF).go(depth - _HALF)
    board.ribbon(way, 1.0, (False, bool(finish.depth)))
    foot = -PITCH - THICK / 2
    if finish.depth:
        board.measure(-depth, 0.0, foot - _FIGURE, scale.say(finish.depth), (foot - 0.9, -2.0))
    board.say("fold", (3.4, -_HALF - 1.6))
    return [Panel("turned in, not stitched", board)]


def bound_edge(scale: Scale, finish: Finish) -> list[Panel]:
    """Return one edge with a strip folded round it."""
    board, k = Board(), scale.k
    edge, binding = finish.rows[-1].from_raw * k, finish.rows[-1].from_raw * k
    board.ribbon(Way((-scale.body, 0.0), 0.0).go(scale.body + edge), 1.0, (False, True))
    bind_edge(board, 1.0, edge, binding, 0.0)
    foot = -PITCH - THICK / 2
    board.measure(edge - binding, edge, foot - _FIGURE, scale.say(finish.rows[-1].from_raw), (foot - 0.9, foot - 0.3))
    return [Panel("a strip folded round the edge", board)]


def neatened(scale: Scale, finish: Finish) -> list[Panel]:
    """Return one raw edge with thread round it."""
    board = Board()
    board.ribbon(Way((-2.5 * scale.body, 0.0), 0.0).go(2.5 * scale.body), 1.0, (False, True))
    if finish.stitch == "narrow zigzag":
        board.stitch(-3.0, 0.0, 0.0, finish.stitch)
    else:
        board.loop(-4.0, 0.0, 0.0, 0.0)
    return [Panel("raw edge neatened", board)]


EDGES: dict[str, Callable[[Scale, Finish], list[Panel]]] = {
    "plain": neatened,
    "overlocked": neatened,
    "narrow zigzag": neatened,
    "bound": bound_edge,
    "lapped zip": lapped_zip,
    "folded facing": folded_facing,
    "single turned": single_turned,
    "double turned": double_turned,
}
