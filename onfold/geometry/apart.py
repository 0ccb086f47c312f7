"""How far points lie from a line of many straight stretches."""

from __future__ import annotations

import numpy as np

from onfold.geometry.curve import Floats


def distances_to(points: Floats, line: Floats) -> Floats:
    """Return how far each point (m, 2) lies from a polyline (k, 2), mm; a ring has its first point last as well."""
    way = line[1:] - line[:-1]
    square = np.maximum((way**2).sum(axis=1), 1e-18)
    away = points[:, None, :] - line[:-1]
    share = np.clip((away * way).sum(axis=2) / square, 0.0, 1.0)
    return np.asarray(np.linalg.norm(away - share[..., None] * way, axis=2).min(axis=1))
