"""Lines of a pattern as runs of points (n, 2), mm: what lies near a line, and what lies upon what once it is folded."""

from __future__ import annotations

import math

import numpy as np

TURN = 6.0
"""mm within which a part turned over covers an edge: the most a facing is cut short for the turn of the cloth [C]."""
COUNT = 21


def far_from(at: np.ndarray, run: np.ndarray) -> float:
    """How far a point lies from a run of straight lines, mm."""
    a, way = run[:-1], np.diff(run, axis=0)
    share = ((at - a) * way).sum(axis=1) / np.maximum((way**2).sum(axis=1), 1e-12)
    foot = a + np.clip(share, 0.0, 1.0)[:, None] * way
    return float(np.hypot(*(foot - at).T).min())


def reflected(run: np.ndarray, line: np.ndarray) -> np.ndarray:
    way = (line[-1] - line[0]) / math.dist(line[0], line[-1])
    along = ((run - line[0]) @ way)[:, None] * way
    return line[0] + 2.0 * along - (run - line[0])


def laps(a: np.ndarray, b: np.ndarray) -> bool:
    """Whether a quarter of either run lies along the other."""
    return any(
        sum(far_from(at, other) < TURN for at in spread(run)) >= 0.25 * len(spread(run))
        for run, other in ((a, b), (b, a))
    )


def spread(run: np.ndarray, count: int = COUNT) -> np.ndarray:
    """Points evenly along a run."""
    gone = np.concatenate([[0.0], np.hypot(*np.diff(run, axis=0).T).cumsum()])
    wanted = np.linspace(0.0, gone[-1], count)
    return np.column_stack([np.interp(wanted, gone, run[:, k]) for k in (0, 1)])
