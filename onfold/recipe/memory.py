"""What replay remembers: every step's last runs, each with what it read and wrote, and when two things are the same."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, fields, is_dataclass
from functools import cache
from math import copysign
from operator import attrgetter
from typing import Any, NamedTuple

import numpy as np

from onfold.problems import Problem
from onfold.recipe.bench import Bench, Key, Unmet
from onfold.recipe.step import Step

KEPT_RUNS = 2
"""How many runs of one step are remembered: two, for the maker who goes back and forth between two figures."""


class Run(NamedTuple):
    """What a step read, wrote and found wrong, once. `lost` are the names it lacked, where it failed.

    `beside` is the list of all that is remembered of the step, this run among it.
    """

    step: Step
    reads: dict[Key, Any]
    writes: dict[Key, Any]
    problems: tuple[Problem, ...]
    failed: bool
    lost: tuple[str, ...]
    beside: list[Run]


class Ways(NamedTuple):
    """How things went from step to step in a replay: 0 stands for what was given, `n` for the step numbered so.

    `readers[n]` are the steps that read a thing as `n` left it, `last` is who left it as it lay in the end.
    """

    readers: list[dict[Key, list[int]]]
    last: dict[Key, int]


@dataclass
class Memory:
    """The runs of every step, newest first; which steps were run again last time, and how many were remembered.

    `given`, `last` and `state` are what the last replay began from, the runs it took, in order, and what it left.
    """

    runs: dict[Step, list[Run]] = field(default_factory=dict)
    given: dict[Key, Any] = field(default_factory=dict)
    last: tuple[Run, ...] = ()
    state: dict[Key, Any] = field(default_factory=dict)
    ran: list[Step] = field(default_factory=list)
    remembered: int = 0
    _ways: Ways | None = None

    @property
    def run_again(self) -> int:
        """Return how many steps were run again last time."""
        return len(self.ran)

    @property
    def ways(self) -> Ways:
        """Return how things went from step to step last time."""
        if self._ways is None:
            self._ways = _ways(self.last)
        return self._ways

    def close(self, given: dict[Key, Any], last: tuple[Run, ...], state: dict[Key, Any], same_ways: bool) -> None:
        """Keep what a replay began from, took and left; `same_ways`: every step read and wrote what it did before."""
        self.given, self.last, self.state = given, last, state
        if not same_ways:
            self._ways = None


def _ways(runs: tuple[Run, ...]) -> Ways:
    readers: list[dict[Key, list[int]]] = [{} for _ in range(len(runs) + 1)]
    last: dict[Key, int] = {}
    for number, run in enumerate(runs, 1):
        for key in run.reads:
            readers[last.get(key, 0)].setdefault(key, []).append(number)
        for key in run.writes:
            last[key] = number
    return Ways(readers, last)


def run_anew(step: Step, bench: Bench, remembered: list[Run]) -> Run:
    """Return what a step does on this bench, and put it first among what is remembered of the step.

    Raises Strayed where the bench doesn't know enough.
    """
    writes, problems, lost = bench.writes, bench.problems, None
    try:
        step.run(bench)
    except Unmet as unmet:
        writes, problems, lost = _turned(step, bench), [*problems, unmet.trouble], unmet.lost
    run = Run(step, bench.reads, writes, tuple(problems), lost is not None, lost or (), remembered)
    remembered.insert(0, run)
    del remembered[KEPT_RUNS:]
    return run


def _turned(step: Step, bench: Bench) -> dict[Key, Any]:
    """Return the piece that a failed step would have turned to, so that what follows isn't drawn on another one."""
    begun = [getattr(step, each.attribute) for each in step.form if each.kind == "piece" and each.new]
    piece = bench.turned or next(iter(begun), "")
    return {("current", ""): piece} if piece else {}


def same(a: Any, b: Any) -> bool:
    """Return whether two things on the bench are the same to the last bit (so that 0.0 is not -0.0)."""
    if a is b:
        return True
    kind: type[Any] = type(a)
    if kind is not type(b):
        return False
    if kind is float:
        return bool(a == b and (a != 0.0 or copysign(1.0, a) == copysign(1.0, b)))
    if kind is tuple:
        if len(a) == 2 == len(b) and type(a[0]) is float and type(b[0]) is float and a[0] != b[0]:
            return False  # most of what is compared are points, and most of those have moved
        return len(a) == len(b) and all(map(same, a, b))
    if kind is np.ndarray:
        return bool(a.shape == b.shape and a.tobytes() == b.tobytes())
    values = _values(kind)  # type: ignore[arg-type]
    return bool(a == b) if values is None else all(map(same, values(a), values(b)))


@cache
def _values(kind: type[Any]) -> Callable[[Any], tuple[Any, ...]] | None:
    """Return what takes the values of a dataclass's fields; None for what is no dataclass."""
    if not is_dataclass(kind):
        return None
    names = [each.name for each in fields(kind)]
    return attrgetter(*names) if len(names) > 1 else lambda each: tuple(getattr(each, name) for name in names)
