"""Every construction of a seam in section, as it is sewn and as it ends: drawn by construction from its own figures.

A panel's x = 0 is the net line; the garment lies to the left of it while a seam is sewn, and to both sides once it is
opened. All panels of one picture share the scale `k`, drawing mm for each mm of cloth.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from onfold.construction import Finish, Trim
from onfold.drawing import Stroke
from onfold.geometry.path import polyline
from onfold.guide.section import PITCH, THICK, Board, Way
from onfold.making.parts_acts import END_LEFT

Say = Callable[[float], str]
_HALF = PITCH / 2
_FIGURE = 5.2
"""How far a figure stands off the layers it measures."""


@dataclass(frozen=True, eq=False)
class Panel:
    """One stage of a seam in section: what it shows, and the board it is drawn on."""

    shows: str
    board: Board


@dataclass(frozen=True)
class Scale:
    """`k` drawing mm for each mm, `body` drawing mm of garment shown beside a seam; `say` says a length."""

    k: float
    body: float
    say: Say


def _two_layers(scale: Scale, finish: Finish, right_together: bool, net: float) -> tuple[Board, float]:
    """Return the board with two layers laid together, trimmed ones dotted beyond the trim, and the raw edge's x.

    `net` is the first row's x. The upper layer shows its wrong side where right sides are together.
    """
    board, k = Board(), scale.k
    row = finish.rows[0]
    raw = net + row.from_raw * k
    ends = {1: raw, -1: raw}
    for trim in finish.trims[:1]:
        for layer in (1, -1) if trim.sides == "both" else (1,):
            ends[layer] = min(raw, net + trim.left * k)
    for layer, end in ends.items():
        y = layer * _HALF
        side = -layer if right_together else layer
        board.ribbon(Way((-scale.body, y), 0.0).go(scale.body + end), float(side), (False, True))
        if raw - end > 0.3:
            board.ghost((end, y), (raw, y))
    return board, raw


def _row_figures(board: Board, scale: Scale, finish: Finish, net: float, raw: float) -> None:
    """Set the row's distance from the raw edge above, and what is left after trimming below."""
    top, foot = _HALF + THICK / 2, -_HALF - THICK / 2
    board.measure(net, raw, top + _FIGURE, scale.say(finish.rows[0].from_raw), (top + 0.9, top + 0.3))
    for trim in finish.trims[:1]:
        if trim.left < finish.rows[0].from_raw - 0.05:
            end = net + trim.left * scale.k
            one = "one " if trim.sides == "one" else ""
            at = (foot - 0.9, foot - 0.3 if trim.sides == "both" else _HALF)
            board.measure(net, end, foot - _FIGURE, f"trim {one}to {scale.say(trim.left)}", at)


def as_sewn(scale: Scale, finish: Finish, right_together: bool = True) -> Panel:
    """Return two layers with their first row, its distance from the raw edge and what is trimmed."""
    row = finish.rows[0]
    net = row.from_net * scale.k
    board, raw = _two_layers(scale, finish, right_together, net)
    board.stitch(net, _HALF, -_HALF, row.stitch)
    if row.stitch == "overlock":
        edge = net + min([row.from_raw, *(trim.left for trim in finish.trims)]) * scale.k
        board.loop(net, edge, _HALF, -_HALF)
    _row_figures(board, scale, finish, net, raw)
    sides = "right sides together" if right_together else "wrong sides together"
    return Panel(sides, board)


def pressed_open(scale: Scale, finish: Finish) -> Panel:
    """Return the seam opened, right side up, an allowance pressed to either side and neatened."""
    board, k = Board(), scale.k
    allowance = finish.rows[0].from_raw * k
    gap = THICK / 2 + 0.15
    for side in (-1.0, 1.0):
        way = _folded_under(side, gap, allowance + scale.body, allowance, _HALF)
        board.ribbon(way, -side, (False, True))
        board.loop(side * (allowance - 2.0), side * allowance, -PITCH, -PITCH)
    board.level_stitch(-_HALF, -gap - THICK / 2 - 1.0, gap + THICK / 2 + 1.0)
    foot = -PITCH - THICK / 2
    board.measure(0.0, allowance, foot - _FIGURE, scale.say(finish.rows[0].from_raw), (foot - 0.6, foot - 0.9))
    return Panel("pressed open", board)


def _folded_under(side: float, fold: float, body: float, under: float, radius: float) -> Way:
    """Return the way of one layer right side up at y = 0, coming in from `side`, folded under short of x = 0."""
    heading = 0.0 if side < 0 else 180.0
    start = side * body
    run = body - fold - radius
    return Way((start, 0.0), heading).go(run).bend(side * 180.0, radius).go(under - fold - radius)


def pressed_aside(scale: Scale, finish: Finish) -> Panel:
    """Return the seam opened, right side up, both allowances pressed to one side together."""
    board, k = Board(), scale.k
    row = finish.rows[0]
    left = min([row.from_raw, *(trim.left for trim in finish.trims)]) * k
    stitch = -_HALF - 1.0
    raw = stitch - left
    board.ribbon(_under_step(scale, 2 * PITCH).go(-raw + 1.5), -1.0, (False, True))
    turned = Way((-left - scale.body, 0.0), 0.0).go(left + scale.body - _HALF).bend(-180.0, _HALF)
    board.ribbon(turned.go(-_HALF - raw), 1.0, (False, True))
    board.stitch(stitch, -PITCH, -2 * PITCH, row.stitch)
    if row.stitch == "overlock":
        board.loop(stitch, raw, -PITCH, -2 * PITCH)
    return Panel("pressed to one side", board)


def into_the_band(scale: Scale, finish: Finish) -> list[Panel]:
    """Return a seam whose allowances lie inside a band: as it is sewn, and both pressed into the band together."""
    return [as_sewn(scale, finish), Panel("both allowances into the band", pressed_aside(scale, finish).board)]


def closed_end(scale: Scale, finish: Finish) -> list[Panel]:
    """Return the end of a folded band: its halves right sides together, sewn, and trimmed to what is left inside."""
    trims = (Trim(finish.rows[0].order, min(END_LEFT, finish.rows[0].from_raw)),)
    return [replace(as_sewn(scale, replace(finish, trims=trims)), shows="folded, right sides together")]


def _under_step(scale: Scale, drop: float) -> Way:
    """Return the way of the layer that comes from the right at y = 0 and steps down under the seam, to x = 1.5."""
    radius = drop * 0.75
    probe = Way((0.0, 0.0), 180.0).sink(drop, radius, 1.0)
    wide = -probe.points[-1][0]
    return Way((1.5 + wide + scale.body * 0.6, 0.0), 180.0).go(scale.body * 0.6).sink(drop, radius, 1.0)


def french(scale: Scale, finish: Finish) -> list[Panel]:
    """Return both rows of an enclosed seam: wrong sides together and trimmed, then turned with the raw edges inside."""
    first = as_sewn(scale, finish, right_together=False)
    board, k = Board(), scale.k
    second = finish.rows[0].from_net
    fold = second * k
    left = min([finish.rows[0].from_raw, *(trim.left for trim in finish.trims)])
    for side in (1.0, -1.0):
        way = Way((-scale.body, side * 1.5 * PITCH), 0.0).go(scale.body + fold - _HALF)
        way.bend(-side * 180.0, _HALF).go(max(left * k - _HALF, 0.3))
        board.ribbon(way, -side, (False, True))
    board.stitch(fold - _HALF, 0.5 * PITCH, -0.5 * PITCH, finish.rows[0].stitch)
    board.stitch(0.0, 1.5 * PITCH, -1.5 * PITCH, finish.rows[1].stitch)
    top = 1.5 * PITCH + THICK / 2
    board.measure(0.0, fold, top + _FIGURE, scale.say(second), (top + 0.9, top - 1.2))
    return [first, Panel("turned, second row", board)]


def felled(scale: Scale, finish: Finish) -> list[Panel]:
    """Return a felled seam: one allowance trimmed, then the other folded over it and stitched down flat."""
    first = as_sewn(scale, finish)
    board, k = Board(), scale.k
    second = finish.rows[1].from_net
    left = min([finish.rows[0].from_raw, *(trim.left for trim in finish.trims)]) * k
    stitch = -PITCH - 0.6
    last = stitch - second * k
    fold = last - PITCH - 0.8
    turned = min((finish.rows[0].from_raw - second) * k, second * k)
    wide = _under_step(scale, 3 * PITCH).go(1.5 - fold - PITCH).bend(-180.0, PITCH).go(max(turned - PITCH, 0.5))
    board.ribbon(wide, -1.0, (False, True))
    body = -fold + scale.body
    trimmed = Way((-body, 0.0), 0.0).go(body - PITCH).bend(-180.0, PITCH).go(left + 0.6)
    board.ribbon(trimmed, 1.0, (False, True))
    board.stitch(stitch, -2 * PITCH, -3 * PITCH, finish.rows[0].stitch)
    board.stitch(last, 0.0, -3 * PITCH, finish.rows[1].stitch)
    board.measure(last, stitch, THICK / 2 + _FIGURE, scale.say(second), (THICK / 2 + 0.9, THICK / 2 + 0.3))
    return [first, Panel("folded over and stitched flat", board)]


def bound(scale: Scale, finish: Finish) -> list[Panel]:
    """Return a bound seam: sewn, then opened with a strip folded round each raw edge."""
    first = as_sewn(scale, _row_alone(finish))
    board, k = Board(), scale.k
    allowance, binding = finish.rows[0].from_raw * k, finish.rows[-1].from_raw * k
    gap = THICK / 2 + 0.15
    body = allowance + scale.body + PITCH
    for side in (-1.0, 1.0):
        board.ribbon(_folded_under(side, gap, body, allowance, PITCH), -side, (False, True))
        bind_edge(board, side, allowance, binding, -2 * PITCH)
    board.level_stitch(-PITCH, -gap - THICK / 2 - 1.0, gap + THICK / 2 + 1.0)
    foot = -3 * PITCH - THICK / 2
    board.measure(
        allowance - binding, allowance, foot - _FIGURE, scale.say(finish.rows[-1].from_raw), (foot - 0.9, foot - 0.3)
    )
    return [first, Panel("pressed open, each edge bound", board)]


def bind_edge(board: Board, side: float, edge: float, binding: float, y: float) -> None:
    """Lay a strip round the raw edge at x = side × edge of a layer at height y, and its row."""
    heading = 0.0 if side > 0 else 180.0
    way = Way((side * (edge - binding), y + PITCH), heading).go(binding).bend(-side * 180.0, PITCH).go(binding)
    board.ribbon(way, side, (True, True), THICK * 0.7)
    board.stitch(side * (edge - binding + 1.2), y + PITCH, y - PITCH)


def _row_alone(finish: Finish) -> Finish:
    return replace(finish, rows=finish.rows[:1], trims=())


def lapped_zip(scale: Scale, finish: Finish) -> list[Panel]:
    """Return the section across a zip: the lap over it, the under side close to its teeth."""
    board, k = Board(), scale.k
    under, lap = finish.rows[0], finish.rows[-1]
    width = under.from_raw + under.from_net
    inner = -under.from_net * k
    deep = -2 * PITCH
    tape = Way((-lap.from_net * k - 7.0, deep - 2 * PITCH), 0.0).go(lap.from_net * k + inner + 7.0 + 9.0)
    drop = _under_step(scale, -deep)
    below = drop.go(1.5 - inner - _HALF).bend(180.0, _HALF).go(min(width * k, 22.0))
    board.strokes.append(Stroke(polyline(tape.line), "new", "picture", name="zip tape"))
    board.ribbon(below, -1.0, (False, True))
    run = Way((-max(width * k, lap.from_net * k + 8.0) - scale.body * 0.6, 0.0), 0.0)
    start = run.points[0][0]
    run.go(-start - _HALF).bend(-180.0, _HALF).go(width * k - _HALF)
    board.ribbon(run, 1.0, (False, True))
    board.strokes.append(_teeth(inner - 2.6, deep - 1.5 * PITCH))
    board.stitch(inner + 2.4, deep, deep - 2 * PITCH, under.stitch)
    board.stitch(-lap.from_net * k, 0.0, deep - 2 * PITCH, lap.stitch)
    top = THICK / 2
    board.measure(-lap.from_net * k, 0.0, top + _FIGURE, scale.say(lap.from_net), (top + 0.9, top - 1.5))
    foot = deep - 2 * PITCH - THICK / 2
    board.measure(inner, 0.0, foot - _FIGURE, scale.say(under.from_net), (deep - 2.0, -2.0))
    return [Panel("lapped over the zip", board)]


def _teeth(x: float, y: float) -> Stroke:
    """Return the teeth of a zip, cut across."""
    wide, high = 1.7, 1.4
    ring = np.array([(x - wide, y - high), (x + wide, y - high), (x + wide, y + high), (x - wide, y + high)])
    return Stroke(polyline(ring), "fill", "picture", closed=True, filled=True, name="zip teeth")


SEAMS: dict[str, Callable[[Scale, Finish], list[Panel]]] = {
    "plain": lambda scale, finish: [as_sewn(scale, finish), pressed_open(scale, finish)],
    "overlocked": lambda scale, finish: [as_sewn(scale, finish), pressed_aside(scale, finish)],
    "narrow zigzag": lambda scale, finish: [as_sewn(scale, finish), pressed_aside(scale, finish)],
    "french": french,
    "felled": felled,
    "bound": bound,
    "lapped zip": lapped_zip,
}
