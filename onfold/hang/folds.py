"""Folds counted: along a line down the cloth, and round a level section of it.

A fold is told from the body's own shape by how sharply the cloth turns: by at least `TURN` within `WITHIN` of it, which
is a radius below 8 cm. A cloth that lies on the body turns more slowly. [C]
"""

from __future__ import annotations

import numpy as np

from onfold.hang.net import Floats

TURN = np.radians(15.0)
WITHIN = 20.0
"""mm of cloth within which a fold turns by `TURN`."""
VALLEY, WITHIN_ROUND = np.radians(4.0), 50.0
"""How far a level section turns inward between two folds, and the mm of cloth within which it does so: round the body
cloth never turns inward by itself."""
STEP = 4.0
_APART = np.radians(5.0)


def folds_down(profile: Floats) -> int:
    """Return how many folds lie across a line that runs down the cloth.

    `profile` (n, 2) mm are its points in order: how far out from the body, and the height. A fold is a ridge: first the
    cloth comes forward, then it goes back.
    """
    return _runs(_turns(profile * (1.0, -1.0), WITHIN, closed=False), TURN, _APART)


def folds_round(ring: Floats) -> int:
    """Return how many folds stand round a level section: a closed line (n, 2) mm, its first point not repeated.

    Counted are the valleys between them, of which there are as many.
    """
    area = float((ring[:, 0] * np.roll(ring[:, 1], -1) - np.roll(ring[:, 0], -1) * ring[:, 1]).sum())
    walked = ring if area > 0.0 else ring[::-1]
    turn = _turns(walked, WITHIN_ROUND, closed=True)
    # begun on a ridge, so that no valley lies over the beginning
    return _runs(-np.roll(turn, -int(turn.argmax())), VALLEY, 0.0) if len(turn) else 0


def _turns(points: Floats, within: float, closed: bool) -> Floats:
    """Return how far a line (n, 2) turns to the left `within` so many mm, radians, at even steps along it.

    The line is evened over a step first, so that the corners of a net do not count as folds.
    """
    if closed:
        points = np.concatenate([points, points[:1]])
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    if len(points) < 3 or run[-1] < 2.0 * within:
        return np.zeros(0)
    even = np.linspace(0.0, run[-1], max(3, round(run[-1] / STEP)) + 1)
    fine = np.stack([np.interp(even, run, points[:, k]) for k in (0, 1)], axis=1)
    half = max(1, round(within / STEP / 2.0))
    if closed:
        ring = fine[:-1]
        ring = (np.roll(ring, 1, axis=0) + 2.0 * ring + np.roll(ring, -1, axis=0)) / 4.0
        ahead = np.roll(ring, -1, axis=0) - ring
        angle = np.arctan2(ahead[:, 1], ahead[:, 0])
        bend = np.angle(np.exp(1j * (angle - np.roll(angle, 1))))
        found: Floats = sum((np.roll(bend, k) for k in range(-half, half)), np.zeros(len(bend)))
        return found
    fine[1:-1] = (fine[:-2] + 2.0 * fine[1:-1] + fine[2:]) / 4.0
    ahead = np.diff(fine, axis=0)
    bend = np.angle(np.exp(1j * np.diff(np.arctan2(ahead[:, 1], ahead[:, 0]))))
    total = np.concatenate([[0.0], np.cumsum(bend)])
    window = min(2 * half, len(bend))
    turned: Floats = total[window:] - total[:-window]
    return turned


def _runs(turn: Floats, least: float, apart: float) -> int:
    """Return how many times `turn` reaches `least`, having been below `apart` in between."""
    count, high = 0, False
    for each in turn.tolist():
        if not high and each >= least:
            count, high = count + 1, True
        elif high and each < apart:
            high = False
    return count
