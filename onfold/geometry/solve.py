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
