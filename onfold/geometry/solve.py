"""Zeros of functions and linear programmes. The one door to scipy, opened when first used."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]
Whole = NDArray[np.intp]


def zero_between(off: Callable[[float], float], low: float, high: float) -> float:
    """Return where a function is 0 between two arguments at which its signs differ, by Brent's method."""
    from scipy.optimize import brentq

    return float(brentq(off, low, high, xtol=1e-300, rtol=8.9e-16, maxiter=300))


def least(
    cost: Vector, entries: tuple[Whole, Whole, Vector], limits: Vector, low: Vector, high: Vector
) -> Vector | None:
    """Return the x (n,) of least `cost` @ x with A @ x <= `limits` (m,) and `low` <= x <= `high`; None where none is.

    `entries` are A's rows, columns and values where it is not 0. Limits are kept within 1e-7: scale accordingly.
    By the simplex method of HiGHS (Q. Huangfu, J. A. J. Hall, Mathematical Programming Computation 10, 2018 [M]).
    """
    from scipy.optimize import linprog
    from scipy.sparse import csr_array

    row, column, value = entries
    matrix = csr_array((value, (row, column)), shape=(len(limits), len(cost)))
    found = linprog(cost, A_ub=matrix, b_ub=limits, bounds=np.stack([low, high], axis=1), method="highs-ds")
    return None if found.x is None else np.asarray(found.x, dtype=np.float64)


def delaunay(points: Vector) -> NDArray[np.int64]:
    """Return Delaunay's triangles (m, 3) of points (n, 2); none where all lie on one line (Qhull)."""
    from scipy.spatial import Delaunay, QhullError

    if len(points) < 3:
        return np.zeros((0, 3), dtype=np.int64)
    try:
        return np.asarray(Delaunay(points).simplices, dtype=np.int64)
    except QhullError:
        return np.zeros((0, 3), dtype=np.int64)


def balanced(count: int, entries: tuple[Whole, Whole, Vector], fixed: Whole, values: Vector) -> Vector:
    """Return x (count, d) with A @ x = 0 at every row but the `fixed` ones, which hold `values` (k, d).

    `entries` are A's rows, columns and values; A is symmetric and positive. Rows that hang on nothing fixed stay 0.
    """
    from scipy.sparse import csc_array
    from scipy.sparse.linalg import splu

    row, column, value = entries
    held = np.zeros(count, dtype=bool)
    held[fixed] = True
    free = np.flatnonzero(~held)
    x = np.zeros((count, values.shape[1]))
    x[fixed] = values
    matrix = csc_array((value, (row, column)), shape=(count, count))
    inner = matrix[free][:, free] + 1e-12 * csc_array((np.ones(len(free)), (np.arange(len(free)),) * 2))
    if len(free):
        x[free] = splu(csc_array(inner)).solve(-(matrix[free] @ x))
    return x


def ways(count: int, edges: tuple[NDArray[np.int64], Vector], sources: NDArray[np.int64]) -> Vector:
    """Return the shortest way (count,) along `edges` (pairs (k, 2), lengths (k,)) to the nearest of the `sources`.

    Points that no edge leads to get the longest way found. By Dijkstra's method.
    """
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import dijkstra

    pairs, lengths = edges
    graph = coo_array((lengths, (pairs[:, 0], pairs[:, 1])), shape=(count, count)).tocsr()
    graph.data = np.maximum(graph.data, 1e-9)
    found = dijkstra(graph, directed=False, indices=sources, min_only=True)
    reached = np.isfinite(found)
    out: Vector = np.where(reached, found, found[reached].max(initial=0.0))
    return out
