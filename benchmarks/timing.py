"""One row of the table, and how CPU time is taken."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Row:
    """What was measured against its bar. `rival` says how the rival did, '' where none is named."""

    what: str
    bar: str
    measured: str
    reached: bool
    rival: str = ""


def least_of(work: Callable[[], object], runs: int = 9) -> float:
    """Return the least CPU time in seconds of some runs: what else the machine does can only add to it."""
    times = []
    for _ in range(runs):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def ms(seconds: float) -> str:
    """Return a time as it is printed."""
    return f"{seconds * 1e3:.1f} ms" if seconds < 10 else f"{seconds:.1f} s"
