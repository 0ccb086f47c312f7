"""The cowl of a hung garment: its neck edge, how deep it falls, what an even edge would have fallen, its folds."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from onfold.body.form import Form, section
from onfold.body.form_mesh import cut
from onfold.body.form_sections import taut_length
from onfold.geometry.fall import sag
from onfold.hang.folds import folds_down
from onfold.hang.levels import level_heights
from onfold.hang.net import Floats, Ints
from onfold.hang.sewn_net import Sewn
from onfold.hang.tacking import neck_edge
from onfold.hang.tapes import lay_line
from onfold.pattern import Pattern

Spot = tuple[float, float, float]
BESIDE = 0.5
"""mm beside the fold, where the line down the centre front is looked at: on the fold itself two copies meet."""


@dataclass(frozen=True)
class Cowl:
    """A cowl as it hangs, mm.

    `depth`: from the height of the strap points straight down to the lowest point of the neck edge; `around`: the same
    by a tape laid on the body down its centre front. Strap points are the neck edge's outer ends.

    What an even hanging edge as long as the neck edge would fall between them: `by_tape` by the draft's span,
    `by_round` by the span round the body where they have come to hang, `by_chord` by the straight line, which promises
    too much. `folds` lie across the centre front from the neck edge to the bust.
    """

    depth: float
    around: float
    lowest: Spot
    folds: int
    by_tape: float
    by_round: float
    by_chord: float
    half_edge: float
    half_chord: float


def cowl_of(sewn: Sewn, x: Floats, pattern: Pattern, form: Form) -> Cowl | None:
    """Return the cowl of a garment whose points hang at `x` (n, 3) mm; None where it has none."""
    run = neck_edge(sewn, pattern)
    if run is None:
        return None
    edge = x[run]
    ends = edge[[0, -1]]
    height = float(ends[:, 1].mean())
    lowest = edge[int(edge[:, 1].argmin())]
    facts = pattern.facts
    half_edge, half_chord = facts["half neck edge"].value, 0.5 * float(np.linalg.norm(ends[1] - ends[0]))
    span = facts["half strap span"].value if "half strap span" in facts else half_chord
    return Cowl(
        depth=height - float(lowest[1]),
        around=_down_body(form, height, float(lowest[1])),
        lowest=(float(lowest[0]), float(lowest[1]), float(lowest[2])),
        folds=folds_down(_down_centre(sewn, x, pattern, run)),
        by_tape=sag(half_edge, span),
        by_round=sag(half_edge, 0.5 * span_round(form, ends)),
        by_chord=sag(half_edge, half_chord),
        half_edge=half_edge,
        half_chord=half_chord,
    )


def _down_body(form: Form, top: float, low: float) -> float:
    """Return how long a tape is down the form's centre front between two heights, taut over hollows, mm.

    Above the form's front neck it hangs straight.
    """
    if top <= low:
        return top - low
    rings = cut(form.points, form.faces, np.array([1.0, 0.0, 0.0]), 0.0)
    pit = float(form.places["front neck pit"][1])
    heights = np.linspace(max(low, float(form.points[:, 1].min())), min(top, pit), 60)[::-1]
    run = []
    for y in heights.tolist():
        found = [_ahead(ring, y) for ring in rings]
        ahead = [z for z in found if z is not None]
        if ahead:
            run.append([y, max(ahead)])
    if len(run) < 2:
        return top - low
    return float(taut_length(run) + max(0.0, top - run[0][0]) + max(0.0, run[-1][0] - low))


def _ahead(ring: Floats, y: float) -> float | None:
    """Return the foremost place at a height where a closed ring (k, 3) is crossed."""
    a, b = ring, np.roll(ring, -1, axis=0)
    over = (a[:, 1] > y) != (b[:, 1] > y)
    if not over.any():
        return None
    share = (y - a[over, 1]) / (b[over, 1] - a[over, 1])
    return float((a[over, 2] + share * (b[over, 2] - a[over, 2])).max())


def span_round(form: Form, ends: Floats) -> float:
    """Return the length of a level tape round the body's front from one strap point to the other (2, 3), mm.

    Never less than the straight line.
    """
    a, b = ends[np.argsort(ends[:, 0])]
    rings = section(form, float(ends[:, 1].mean()))
    points = np.concatenate(rings) if rings else np.zeros((0, 2))
    behind = a[2] + (points[:, 0] - a[0]) / max(b[0] - a[0], 1e-9) * (b[2] - a[2])
    ahead = points[(points[:, 0] > a[0]) & (points[:, 0] < b[0]) & (points[:, 1] > behind)]
    run = [[b[0], b[2]], *ahead[np.argsort(-ahead[:, 0])].tolist(), [a[0], a[2]]]
    return max(taut_length(run), float(np.hypot(b[0] - a[0], b[2] - a[2])))


def _down_centre(sewn: Sewn, x: Floats, pattern: Pattern, run: Ints) -> Floats:
    """Return the cloth down its centre front, (n, 2) mm forward and up, from the neck edge to the bust's level."""
    on = next((each for each in pattern.pieces if _has(sewn, each.name, run)), None)
    if on is None:
        return np.zeros((0, 2))
    mine = (sewn.of_piece == sewn.pieces.index(on.name)) & (sewn.layer == 0)
    spots = sewn.corner[mine].reshape(-1, 2)
    middle = 0.0 if on.on_fold else 0.5 * float(spots[:, 0].min() + spots[:, 0].max())
    top, low = float(spots[:, 1].max()), level_heights(on).get("bust", float(spots[:, 1].min()))
    laid = lay_line(sewn, x, on.name, np.array([[middle + BESIDE, top], [middle + BESIDE, low]]))
    if not len(laid.flat):
        return np.zeros((0, 2))
    line = np.concatenate([laid.ends[:1, 0], laid.ends[:, 1]])
    steps = [True, *(float(np.linalg.norm(b - a)) > 1e-6 for a, b in pairwise(line))]
    found: Floats = line[np.array(steps)][:, [2, 1]]
    return found


def _has(sewn: Sewn, piece: str, run: Ints) -> bool:
    if piece not in sewn.pieces:
        return False
    mine = sewn.net.tri[(sewn.of_piece == sewn.pieces.index(piece)) & (sewn.layer == 0)]
    return bool(np.isin(run, mine).all())
