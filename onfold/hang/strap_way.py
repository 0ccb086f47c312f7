"""The shortest way of a strap over the form."""

from __future__ import annotations

import numpy as np

from onfold.body.form import Form
from onfold.hang.distance import Distance, off_skin
from onfold.hang.net import Floats
from onfold.hang.sewn_net import Sewn

LIFT, OVER = 4.0, 5.0
"""mm a strap starts off the form, and the second one over the first."""
OUT, ABOVE = 0.55, 18.0
"""Where a strap's way begins to be drawn taut: this share of the way from the side of the neck to the shoulder point,
and so many mm above it. It slides from there to where it is shortest."""
TIGHTENED = 150
"""Times it is drawn taut: twice as often moves the straps of alto-1's sheath by 0.8 mm at the most."""


def hang_straps(sewn: Sewn, form: Form, distance: Distance, x: Floats) -> None:
    """Lay every strap on the shortest way over the form, from its edge in front to its edge behind."""
    for which, grid in enumerate(sewn.straps):
        sign = 1.0 if which == 0 else -1.0
        side, end = ("left", "right")[which], grid.shape[1] // 2
        a, b = x[grid[0, end]], x[grid[-1, end]]
        neck, shoulder = form.places[f"{side} side neck"], form.places[f"{side} shoulder point"]
        top = (1.0 - OUT) * neck + OUT * shoulder + (0.0, ABOVE, 0.0)
        rows = len(grid)
        first = max(2, round(rows * np.linalg.norm(top - a) / (np.linalg.norm(top - a) + np.linalg.norm(b - top))))
        path = np.concatenate([np.linspace(a, top, first, endpoint=False), np.linspace(top, b, rows - first)])
        # the second strap lies over the first where they cross
        path = _taut(path, distance, LIFT + which * OVER, max(abs(float(a[0])), abs(float(b[0]))))
        ahead = np.gradient(path, axis=0)
        ahead /= np.maximum(np.linalg.norm(ahead, axis=1), 1e-9)[:, None]
        _, normal = off_skin(distance, path)
        across = np.cross(ahead, normal)
        across /= np.maximum(np.linalg.norm(across, axis=1), 1e-9)[:, None]
        # from the neck outward at the front end, as the strip's own columns run
        if across[first, 0] * sign < 0.0:
            across = -across
        edge = x[grid[0]]
        half = 0.5 * float(np.linalg.norm(edge[-1] - edge[0]))
        share = np.linspace(-1.0, 1.0, grid.shape[1])
        inner = path[1:-1, None] + half * share[None, :, None] * across[1:-1, None]
        x[grid[1:-1].reshape(-1)] = inner.reshape(-1, 3)


def _taut(path: Floats, distance: Distance, lift: float, widest: float) -> Floats:
    """Pull a line taut over the form, `lift` mm off it, its ends held, and nowhere farther out than `widest` mm.

    The shortest way of a straight strap would be round the end of the shoulder, off it.
    """
    path = path.copy()
    for _ in range(TIGHTENED):
        path[1:-1] = 0.5 * path[1:-1] + 0.25 * (path[:-2] + path[2:])
        path[1:-1, 0] = np.clip(path[1:-1, 0], -widest, widest)
        gap, normal = off_skin(distance, path)
        low = np.maximum(0.0, lift - gap)
        low[[0, -1]] = 0.0
        path += low[:, None] * normal
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
    even = np.linspace(0.0, run[-1], len(path))
    return np.stack([np.interp(even, run, path[:, k]) for k in range(3)], axis=1)
