"""How deep a hanging edge falls: the catenary, and the V that nothing can fall below. Lengths in mm.

An edge of half length L whose ends stand 2 s apart hangs, whatever its weight, as y = c cosh(x / c) with
c sinh(s / c) = L; its sag is c (cosh(s / c) - 1). With k = s / c the sag is L tanh(k / 2) and sinh(k) / k = L / s.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from onfold.geometry.solve import zero_between

_NO_SPAN = 1e-200
"""A span of this share of the edge is none: the ends hang together."""


def most_sag(half_length: float, half_span: float) -> float:
    """Return the depth of the V, mm, the most any edge can fall: sqrt(L² - s²); 0 where the edge is no longer than it.

    NaN where either is not a finite number of 0 or more.
    """
    if not _usable(half_length, half_span):
        return math.nan
    if half_length <= half_span:
        return 0.0
    return math.sqrt(half_length - half_span) * math.sqrt(half_length + half_span)


def sag(half_length: float, half_span: float) -> float:
    """Return the catenary's sag, mm; 0 where the edge is no longer than the span; L where the ends hang together.

    NaN where either is not a finite number of 0 or more.
    """
    if not _usable(half_length, half_span):
        return math.nan
    if half_length <= half_span:
        return 0.0
    if half_span <= half_length * _NO_SPAN:
        return half_length
    return half_length * math.tanh(_flatness(half_length, half_span) / 2.0)


def half_length_for(sag: float, half_span: float) -> float:
    """Return the half length L, mm, whose catenary over this half span sags so far.

    NaN where either is not a finite number of 0 or more.
    """
    if not _usable(sag, half_span):
        return math.nan
    if half_span <= sag * _NO_SPAN:
        return sag
    # (cosh k - 1) / k = tanh(k / 2) sinh(k) / k grows with k: bracketed, then halved and Newtoned
    goal = sag / half_span
    # so shallow, it is k / 2 to the last digit, and its logarithm may be out of reach
    k = _solved(lambda k: _log_dip(k) - math.log(goal), 2.0 * goal, goal) if goal > 1e-9 else 2.0 * goal
    return half_span * math.exp(_log_sinhc(k))


def _usable(first: float, second: float) -> bool:
    return 0.0 <= first < math.inf and 0.0 <= second < math.inf


def _flatness(half_length: float, half_span: float) -> float:
    """Return k = s / c with sinh(k) / k = L / s."""
    extra = (half_length - half_span) / half_span
    # sinh(k) / k - 1 is k² / 6 (1 + k² / 20 + …): its inverse where the edge is all but taut
    guess = math.sqrt(6.0 * extra)
    if extra < 1e-8:
        return guess * (1.0 - 0.15 * extra)
    goal = math.log1p(extra)
    return _solved(lambda k: _log_sinhc(k) - goal, guess, extra)


def _log_sinhc(k: float) -> float:
    """Return log(sinh(k) / k), without loss near 0 and without overflow."""
    if k < 1e-2:
        square = k * k
        return square / 6.0 - square * square / 180.0 + square * square * square / 2835.0
    return k + math.log1p(-math.exp(-2.0 * k)) - math.log(2.0 * k)


def _log_dip(k: float) -> float:
    """Return log((cosh k - 1) / k)."""
    return _log_sinhc(k) + math.log(math.tanh(k / 2.0))


def _solved(off: Callable[[float], float], guess: float, size: float) -> float:
    """Return the zero of a growing function of k > 0, by bracketing and Brent's method."""
    low = high = min(max(guess, 1e-12), 700.0 + math.log1p(size))
    while off(low) > 0.0:
        low /= 4.0
    while off(high) < 0.0:
        high *= 2.0
    return zero_between(off, low, high) if low < high else low
