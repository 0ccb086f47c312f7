"""The shortest way of a strap over the form."""

from __future__ import annotations

import numpy as np

from onfold.body.form import Form
from onfold.hang.distance import Distance
from onfold.hang.kernel import probe
from onfold.hang.net import Floats
from onfold.hang.sewn_net import Sewn

LIFT, OVER = 4.0, 5.0
"""mm a strap starts off the form, and the second one over the first."""


def hang_straps(sewn: Sewn, form: Form, distance: Distance, x: Floats) -> None:
    """Lay every strap on the shortest way over the form, from its edge in front to its edge behind."""
    for which, grid in enumerate(sewn.straps):
        sign = 1.0 if which == 0 else -1.0
        side, end = ("left", "right")[which], grid.shape[1] // 2
        a, b = x[grid[0, end]], x[grid[-1, end]]
        neck, shoulder = form.places[f"{side} side neck"], form.places[f"{side} shoulder point"]
        top = 0.45 * neck + 0.55 * shoulder + (0.0, 18.0, 0.0)
        rows = len(grid)
        first = max(2, round(rows * np.linalg.norm(top - a) / (np.linalg.norm(top - a) + np.linalg.norm(b - top))))
        path = np.concatenate([np.linspace(a, top, first, endpoint=False), np.linspace(top, b, rows - first)])
        # the second strap lies over the first where they cross
        path = _taut(path, distance, LIFT + which * OVER)
        ahead = np.gradient(path, axis=0)
        ahead /= np.maximum(np.linalg.norm(ahead, axis=1), 1e-9)[:, None]
        _, normal = asked(distance, path)
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


def _taut(path: Floats, distance: Distance, lift: float) -> Floats:
    """Pull a line taut over the form, `lift` mm off it, its ends held."""
    path = path.copy()
    for _ in range(150):
        path[1:-1] = 0.5 * path[1:-1] + 0.25 * (path[:-2] + path[2:])
        gap, normal = asked(distance, path)
        low = np.maximum(0.0, lift - gap)
        low[[0, -1]] = 0.0
        path += low[:, None] * normal
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
    even = np.linspace(0.0, run[-1], len(path))
    return np.stack([np.interp(even, run, path[:, k]) for k in range(3)], axis=1)


def asked(distance: Distance, x: Floats) -> tuple[Floats, Floats]:
    """Return the form's distance (k,) mm and outward normal (k, 3) at points; far off, 1e9 and up."""
    n = len(x)
    normal, push, gap, room = np.zeros((n, 3)), np.zeros(n), np.zeros(n), np.zeros(n)

    probe(
        np.ascontiguousarray(x), distance.origin, distance.spacing, distance.values, 400.0, 1.0, room, normal, push, gap
    )
    return gap, normal
