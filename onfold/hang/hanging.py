"""A garment let fall on the form: sewn, started, settled coarsely, made finer, settled to rest.

The garment is kept alike on both sides while it finds its folds, then nudged and let free: what it shows of left and
right after that is its own. A cowl's neck edge is led down to where the start wants it and let go, as a maker settles
it with her hands, and until the folds are found what lies above the underarm slides freely, on the form and on itself:
without that it stays wherever it was begun. A facing hangs tacked to what it faces, one cloth with it: let go inside a
fold, two cloths so near each other find no rest that a net could tell.

The counts of steps and the figures below were found by trial on the examples and on women of the survey [C].
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from onfold.body.form import Form
from onfold.geometry.fault import Fault
from onfold.hang.again import from_last
from onfold.hang.crossing import crossings
from onfold.hang.distance import Distance
from onfold.hang.levels import level_heights
from onfold.hang.mechanics import Mechanics
from onfold.hang.net import Bools, Floats, Woven, woven
from onfold.hang.parts import Parts, parts_of
from onfold.hang.settle import CELL, FREE, KEEPS, WITHIN, Ground, Hanging, loads, step, stretch_of
from onfold.hang.sewn import sew
from onfold.hang.sewn_net import Sewn, crossed_straps, finer
from onfold.hang.start import BEYOND, Start, start_on
from onfold.hang.tacking import laminated, outward_of, tacked, tie_facings
from onfold.pattern import Pattern

POINTS = 6500
"""Points a garment's net is to have in the end, about."""
GRADES = ((1.0, "underarm"), (1.7, "bust"), (3.0, "waist"), (4.0, "hip"))
"""How much coarser the net is at a level than at the neck: where cloth lies on the body it has no small folds. What is
left of the net's own say is `telling.OWN`."""
LED = 60
"""Steps in which a cowl's neck edge is led to where it is to begin, and held there."""
UNBENT, LIMBERED = 50, 65
"""Steps over which the cloth goes from its start's shape to its own, and its bends from stiff to their own."""
STIFF_AT_FIRST = 30.0
LOOSE = 20
"""Steps before cloth is kept from cloth, so that it can take its place first. Straps are kept apart at once."""
STRAPS_GRIP = 0.8
"""Friction of straps on the form: on a shoulder that slopes by 25° cloth on calico would slide off, where skin and the
arm beside it, which the form lacks, keep a strap. [C]"""
SMOOTHED = 240
"""Steps at the least in which the coarse net finds its folds."""
COARSE, FINE, LET_FREE = 700, 100, 560
"""Steps at most: coarse, finer, and free of being alike on both sides."""
LET_FREE_AGAIN = 160
"""Steps at most in which such a garment then hangs free."""
AGAIN = 30
"""Steps in which a garment that hung before is brought to its new shape."""
LIES_IN = 0.8
"""mm a facing lies inside what it faces in the end."""
APART_COARSE, APART = 3.0, 1.5
"""mm that cloth keeps from cloth."""
LOOK = 40
QUIET = 0.5
"""mm within which everything stays over `LOOK` steps at rest."""
CARRIED = 0.018
"""Of its weight what holds the garment may lack, or have too much, at rest."""
NUDGE = 1.0
"""mm by which the garment is nudged before it is let free."""


@dataclass(frozen=True)
class Pace:
    """How a garment is settled: mm cloth is watched for cloth and may go unwatched; the share of its speed it keeps;
    steps at most in which its finer net finds its folds."""

    within: float = WITHIN
    free: float = FREE
    keeps: float = KEEPS
    fine: int = FINE


SLIDING = Pace(keeps=0.97)
"""Of what has no cowl: a skirt slides slowly to where it fits. With 0.95 what holds tenor-1's carried 0.95 of it after
1360 steps, with 0.97 all of it after 1200."""
SPREAD = Pace(within=11.0, free=5.0, keeps=0.97, fine=300)
"""Of what starts spread out and hangs from its upper edge alone: it has far to fall, and its flutes swing slowly."""

Progress = Callable[[float], bool]
"""Told the share done, 0 to 1; answers False to stop where it stands."""


@dataclass(frozen=True, eq=False)
class Hung:
    """A garment hung: the net, where its points are (n, 3) mm, and how it came to rest.

    `quiet`: at rest by `QUIET`. `support` is the vertical force of what holds it over its weight. `outward` (m,) says
    which side of each triangle shows, `gap` (n,) is mm from the form. `crossings` count the pairs of triangles of it
    and its straps that cross: a facing is hung tacked to what it faces, and laid inside it in the end.
    """

    sewn: Sewn
    woven: Woven
    x: Floats
    gap: Floats
    outward: Floats
    quiet: bool
    steps: int
    support: float
    drift: float
    crossings: int
    mechanics: Mechanics
    form: Form


def size_for(parts: Parts, pattern: Pattern, points: int = POINTS) -> Callable[[Floats], Floats]:
    """Return the length of edge wanted at places (k, 2) of any piece before the net is made finer, mm."""
    levels: dict[str, float] = {}
    for piece in pattern.pieces:
        for name, y in level_heights(piece).items():
            levels.setdefault(name, y)
    found = sorted((levels[name], grade) for grade, name in GRADES if name in levels)
    graded = "bust" in levels
    heights = np.array([y for y, _ in found]) if graded else np.zeros(1)
    grades = np.array([g for _, g in found]) if graded else np.ones(1)

    def grade(spots: Floats) -> Floats:
        return np.asarray(np.interp(spots[:, 1], heights, grades))

    wanted = 0.0
    for panel in parts.panels:
        outline = np.concatenate([parts.paths[stretch.key].curves[:, 0] for stretch in panel.ring])
        low, high = outline.min(axis=0), outline.max(axis=0)
        rows = np.linspace(low[1], high[1], 40)
        # a piece's width is taken as three quarters of its box
        width = 0.75 * (high[0] - low[0]) * (2.0 if panel.piece.on_fold or panel.piece.mirrored_pair else 1.0)
        at = grade(np.stack([np.zeros(40), rows], axis=1))
        wanted += float(width * (high[1] - low[1]) * (1.0 / at**2).mean() / 0.866)
    scale = 2.0 * float(np.sqrt(wanted / points))
    return lambda spots: scale * grade(spots)


def hang(
    pattern: Pattern,
    mechanics: Mechanics,
    form: Form,
    distance: Distance,
    *,
    fall: float = BEYOND,
    points: int = POINTS,
    progress: Progress | None = None,
    last: Hung | None = None,
) -> Hung | Fault:
    """Return the garment hung on the form, or why it cannot hang.

    `fall` is the share of its expected fall at which a cowl starts. `last` is the same garment hung before a small
    change: it is hung on from there, which takes two thirds of the time, or afresh where that finds no rest.
    """
    parts = parts_of(pattern)
    if pattern.worn != "closed":
        return Fault(f"it is worn as a {pattern.worn}, and does not close on the form")
    if not parts.panels:
        return Fault("no piece of it is sewn to another")
    sewn = sew(pattern, parts, mechanics, size_for(parts, pattern, points))
    if isinstance(sewn, Fault):
        return sewn
    sewn = laminated(sewn)
    start = start_on(sewn, pattern, form, distance, fall)
    if isinstance(start, Fault):
        return start
    ground = Ground(distance.origin, distance.spacing, distance.values, mechanics.friction)
    say, pace = _Said(progress), _pace(start)
    if last is not None:
        again, _ = finer(sewn)
        begun = from_last(again, last.sewn, last.x)
        if begun is not None:
            on = _free(again, begun, ground, mechanics, form, 0, say, pace, _loose(again, pattern))
            if say.stop or (on.quiet and abs(on.support - 1.0) < CARRIED):
                return on
    coarse = _coarse(sewn, start, ground, mechanics, _loose(sewn, pattern), say, pace)
    fine, between = finer(sewn)
    x = np.concatenate([coarse.x, 0.5 * (coarse.x[between[:, 0]] + coarse.x[between[:, 1]])])
    return _free(fine, x, ground, mechanics, form, coarse.steps, say, pace)


def _pace(start: Start) -> Pace:
    if start.spread:
        return SPREAD
    return SLIDING if start.led is None or np.isnan(start.led).all() else Pace()


class _Said:
    """How far it is, told onward; `stop` once the answer was no."""

    def __init__(self, progress: Progress | None) -> None:
        self.progress, self.stop = progress, False

    def __call__(self, share: float) -> bool:
        if self.progress is not None and not self.stop:
            self.stop = not self.progress(share)
        return self.stop


def _loose(sewn: Sewn, pattern: Pattern) -> Bools:
    """Return which points slide freely while the folds are found: a cowl's piece above its underarm level."""
    piece, spot = sewn.spots
    out = np.zeros(sewn.net.count, dtype=bool)
    for k in np.unique(sewn.of_piece[sewn.layer == 1]):
        levels = level_heights(pattern.piece(sewn.pieces[k]))
        if "underarm" in levels:
            out |= (piece == k) & (spot[:, 1] > levels["underarm"])
    return out


def _grip(sewn: Sewn, mechanics: Mechanics) -> Floats:
    """Return the points' friction on the form (n,)."""
    out = np.full(sewn.net.count, mechanics.friction)
    for grid in sewn.straps:
        out[grid[1:-1].reshape(-1)] = max(STRAPS_GRIP, mechanics.friction)
    return out


def _facing_alone(sewn: Sewn) -> Bools:
    out = np.zeros(sewn.net.count, dtype=bool)
    out[sewn.net.tri[sewn.layer == 1]] = True
    out[sewn.net.tri[sewn.layer != 1]] = False
    return out


def _coarse(
    sewn: Sewn, start: Start, ground: Ground, mechanics: Mechanics, loose: Bools, say: _Said, pace: Pace
) -> Hanging:
    net, crossed = woven(sewn.net), crossed_straps(sewn)
    ties = tie_facings(sewn, outward_of(sewn, start.x), APART)
    state = Hanging(
        net, start.x, ground=ground, ties=ties, mirror=sewn.mirror,
        askew=crossed, active=crossed if crossed is not None else np.zeros(sewn.net.count, dtype=bool),
        apart=APART_COARSE, cloth_friction=0.0 if loose.any() else mechanics.cloth_friction, least_reach=1.0,
        within=pace.within, free=pace.free, keeps=pace.keeps, slippery=loose, grip=_grip(sewn, mechanics),
    )  # fmt: skip
    state.stretched = stretch_of(net, state.x)
    was = state.x.copy()
    for k in range(COARSE):
        if k == LOOSE:
            state.active, state.near = ~_facing_alone(sewn), None
        state.rest_share = min(1.0, k / UNBENT)
        state.bend_scale = max(1.0, STIFF_AT_FIRST + (1.0 - STIFF_AT_FIRST) * k / LIMBERED)
        state.led = start.led if k < LED else None
        step(state)
        if k % LOOK == LOOK - 1:
            if say(0.45 * k / COARSE) or (k >= SMOOTHED and _moved(state.x, was) < QUIET):
                break
            was = state.x.copy()
    return state


def _moved(x: Floats, was: Floats) -> float:
    return float(np.sqrt(((x - was) ** 2).sum(axis=1).max()))


def _finer_folds(state: Hanging, say: _Said, pace: Pace) -> None:
    """Let the finer net find its folds while both sides still hang alike."""
    was = state.x.copy()
    for k in range(pace.fine):
        state.bend_scale = max(1.0, 5.0 - 4.0 * k / 20.0)
        step(state)
        if k % LOOK == LOOK - 1:
            if say(0.45 + 0.2 * k / pace.fine) or (k >= FINE - 1 and _moved(state.x, was) < QUIET):
                return
            was = state.x.copy()


def _smoothed_again(state: Hanging, loose: Bools) -> None:
    """Bring a garment that hung before to its new shape, what is loose of it sliding freely."""
    state.stretched, rubs = stretch_of(state.woven, state.x), state.cloth_friction
    state.slippery, state.cloth_friction = loose, 0.0 if loose.any() else rubs
    for k in range(AGAIN):
        state.rest_share = min(1.0, k / (0.4 * AGAIN))
        step(state)
    state.stretched, state.slippery, state.cloth_friction = None, None, rubs


def _free(
    sewn: Sewn,
    x: Floats,
    ground: Ground,
    mechanics: Mechanics,
    form: Form,
    steps: int,
    say: _Said,
    pace: Pace,
    loose: Bools | None = None,
) -> Hung:
    """Settle the fine net, alike on both sides, then free. `loose`: it hung before, and what slides freely at first."""
    net = woven(sewn.net)
    outward = outward_of(sewn, x)
    state = Hanging(
        net, x, ground=ground, ties=tie_facings(sewn, outward, APART), mirror=sewn.mirror,
        askew=crossed_straps(sewn), apart=APART, cloth_friction=mechanics.cloth_friction, least_reach=0.4,
        within=pace.within, free=pace.free, keeps=pace.keeps, active=~_facing_alone(sewn),
        grip=_grip(sewn, mechanics),
    )  # fmt: skip
    if loose is None:
        _finer_folds(state, say, pace)
    else:
        _smoothed_again(state, loose)
    state.mirror, state.near = None, None
    # what lies on the form is held by it: only what hangs free can hang askew
    free = state.pressing <= 0.0
    state.x[free, 0] += NUDGE * np.sin(0.01 * state.x[free, 1])
    was, drift = state.x.copy(), np.inf
    most = LET_FREE if loose is None else LET_FREE_AGAIN
    for k in range(most):
        step(state)
        if k % LOOK == LOOK - 1:
            drift, was = _moved(state.x, was), state.x.copy()
            carried = loads(state)
            if say(0.65 + 0.35 * k / most) or (drift < QUIET and abs(carried - 1.0) < CARRIED):
                break
    support = loads(state)
    x = tacked(tie_facings(sewn, outward, LIES_IN), state.x)
    through = len(crossings(x, sewn.net.tri[sewn.layer != 1], CELL))
    return Hung(
        sewn, net, x, state.gap.copy(), outward, drift < QUIET, steps + state.steps, support, drift, through,
        mechanics, form,
    )  # fmt: skip
