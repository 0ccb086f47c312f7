"""Replay: a recipe's steps, a body, a cloth and the maker's choices give the draft, remembering what each step read.

A step is run again only where something it read has changed. Its memory is keyed by the step itself (verb and
fields) and holds for every run what was read and what was written; remembered and fresh replay give the same draft.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, fields, is_dataclass
from functools import cache
from math import copysign
from operator import attrgetter
from typing import Any, NamedTuple

import numpy as np

from onfold.problems import Place, Problem
from onfold.recipe.bench import Bench, Key, Unmet
from onfold.recipe.misnamed import misnamed, plain_names
from onfold.recipe.placed import PlacedStep
from onfold.recipe.step import Step, names_given

KEPT_RUNS = 2
"""How many runs of one step are remembered: two, for the maker who goes back and forth between two figures."""


class Run(NamedTuple):
    """What a step read, wrote and found wrong, once. `lost` are the names it lacked, where it failed.

    `lists` are the list that each name written stands on, and the name.
    """

    step: Step
    reads: dict[Key, Any]
    writes: dict[Key, Any]
    lists: tuple[tuple[Key, str], ...]
    problems: tuple[Problem, ...]
    failed: bool
    lost: tuple[str, ...] = ()


@dataclass
class Memory:
    """The runs of every step, newest first; which steps were run again last time, and how many were remembered.

    `given` and `last` are what the last replay began from and the runs it took, in order.
    """

    runs: dict[Step, list[Run]] = field(default_factory=dict)
    given: dict[Key, Any] = field(default_factory=dict)
    last: tuple[Run, ...] = ()
    ran: list[Step] = field(default_factory=list)
    remembered: int = 0

    @property
    def run_again(self) -> int:
        """Return how many steps were run again last time."""
        return len(self.ran)


@dataclass(frozen=True, eq=False)
class Replayed:
    """All runs in order, the bench's state after them, and the problems with their places."""

    runs: tuple[tuple[PlacedStep, Run], ...]
    state: dict[Key, Any]
    problems: tuple[Problem, ...]


def same(a: Any, b: Any) -> bool:
    """Return whether two things on the bench are the same to the last bit (so that 0.0 is not -0.0)."""
    if a is b:
        return True
    if type(a) is not type(b):
        return False
    if isinstance(a, float):
        return a == b and copysign(1.0, a) == copysign(1.0, b)
    if isinstance(a, np.ndarray):
        return bool(a.shape == b.shape and a.tobytes() == b.tobytes())
    if isinstance(a, tuple):
        return len(a) == len(b) and all(map(same, a, b))
    if is_dataclass(a):
        kind: Any = type(a)
        values = _values(kind)
        return all(map(same, values(a), values(b)))
    return bool(a == b)


@cache
def _values(kind: type[Any]) -> Callable[[Any], tuple[Any, ...]]:
    """Return what takes the values of a dataclass's fields."""
    names = [each.name for each in fields(kind)]
    return attrgetter(*names) if len(names) > 1 else lambda each: tuple(getattr(each, name) for name in names)


def replay(
    steps: Iterable[PlacedStep],
    given: Mapping[Key, Any],
    memory: Memory | None = None,
    file: str = "",
    unsettled: Iterable[str] = (),
) -> Replayed:
    """Return the draft's state after all steps. `given` holds the values the formulas start from.

    A step that fails only because an earlier one did says nothing; nor does one that lacks an `unsettled` name, which
    is a measure or choice whose own problem has been told.
    """
    every = tuple(steps)
    kept = memory if memory is not None else Memory()
    kept.ran, kept.remembered = [], 0
    state: dict[Key, Any] = dict(given)
    runs: list[tuple[PlacedStep, Run]] = []
    problems: list[Problem] = []
    lost = set(unsettled)
    broken: list[PlacedStep] = []
    since = _Since(kept, state)
    for number, placed in enumerate(every):
        done = since.untouched(number, placed.step)
        if done is None:
            done = _remembered(placed.step, state, kept, since.touched) or _run(placed.step, state, kept)
        since.follow(number, done)
        runs.append((placed, done))
        _apply(done, state)
        if done.problems and not (done.failed and _told_already(done.lost, lost)):
            where = Place(
                placed.file or file, placed.line, placed.column, placed.step.verb, str(state.get(("current", "")) or "")
            )
            meant = misnamed(placed, done.lost, every, file) if done.lost else []
            if meant:
                lost.update(plain_names(done.lost))
            if not any(giver in broken for giver, _ in meant):
                problems.extend(each.at(where) for each in done.problems)
                problems.extend(told for _, told in meant)
        if done.failed:
            broken.append(placed)
            lost.update(_lost_with(placed.step, str(state.get(("current", "")) or "")))
    kept.given, kept.last = dict(given), tuple(done for _, done in runs)
    return Replayed(tuple(runs), state, tuple(problems))


class _Since:
    """What differs on the bench from the last replay at the same step, as long as the steps are the same ones.

    `changed` may hold a key whose value came out the same again, never lack one whose value differs.
    """

    def __init__(self, memory: Memory, given: Mapping[Key, Any]) -> None:
        self._memory = memory
        before = memory.given
        self.changed = {key for key in before.keys() | given.keys() if not same(before.get(key), given.get(key))}
        self._in_step = bool(memory.last)
        self.touched: frozenset[Key] = frozenset()

    def untouched(self, number: int, step: Step) -> Run | None:
        """Return the step's last run where nothing it read has changed since; else note what has, in `touched`."""
        if not self._in_step:
            return None
        last = self._memory.last
        before = last[number] if number < len(last) else None
        if before is None or not (before.step is step or before.step == step):
            self._in_step, self.touched = False, frozenset()
            return None
        if self.changed.isdisjoint(before.reads):
            self._memory.remembered += 1
            return before
        self.touched = frozenset(self.changed.intersection(before.reads))
        return None

    def follow(self, number: int, done: Run) -> None:
        """Note what a step's run leaves changed."""
        if not self._in_step:
            return
        before, now = self._memory.last[number].writes, done.writes
        if before is now and self.changed.isdisjoint(now):
            return
        if before is now or list(before) == list(now):
            for key, was, value in zip(now, before.values(), now.values(), strict=True):
                self._note(key, key in self.changed, was is value)
            return
        for key in {**before, **now}:
            # a name that is new now and was not then, or came in another order, changes the list of its kind
            self._note(key, True, key in before and key in now and before[key] is now[key])

    def _note(self, key: Key, on_list: bool, kept: bool) -> None:
        """Note a key that was written: whether the list of its kind may differ, and whether it holds what it held."""
        if on_list:
            self.changed.add(("listing", *key[:-1]))
        # what was made anew counts as changed, though it be equal: a step that reads it compares it itself
        if kept:
            self.changed.discard(key)
        else:
            self.changed.add(key)


def _told_already(asked: tuple[str, ...], lost: set[str]) -> bool:
    """Return whether a name asked for is lost, or holds the words of one: `end of bust` is lost with `bust`."""
    return any(f" {gone} " in f" {name} " for name in asked for gone in lost)


def _lost_with(step: Step, piece: str) -> list[str]:
    """Return the names that are lost where a step fails while this piece is worked on."""
    begun = [getattr(step, each.attribute) for each in step.form if each.kind == "piece" and each.new]
    return [
        *names_given(step),
        *(f"piece {each}" for each in begun),
        *(each.format(piece=piece) for each in step.gives),
    ]


def _remembered(step: Step, state: dict[Key, Any], memory: Memory, touched: frozenset[Key]) -> Run | None:
    runs = memory.runs.get(step, [])
    for number, run in enumerate(runs):
        # by what has changed since the last replay most old runs are told apart at once
        if _still(state, run.reads, touched) and _still(state, run.reads, run.reads):
            memory.remembered += 1
            runs.insert(0, runs.pop(number))
            return run
    return None


def _still(state: dict[Key, Any], reads: dict[Key, Any], keys: Iterable[Key]) -> bool:
    """Return whether these keys, as far as they were read, hold what they held."""
    for key in keys:
        if key in reads:
            value = reads[key]
            found = state.get(key, () if key[0] == "listing" else None)
            if found is not value and not same(found, value):
                return False
    return True


def _apply(done: Run, state: dict[Key, Any]) -> None:
    """Put what a run wrote into the state, and its new names on the lists of their kinds."""
    for key, (listing, name) in zip(done.writes, done.lists, strict=True):
        if key not in state:
            state[listing] = (*state.get(listing, ()), name)
    state.update(done.writes)


def _run(step: Step, state: dict[Key, Any], memory: Memory) -> Run:
    bench = Bench(state)
    writes, problems, lost = bench.writes, bench.problems, None
    try:
        step.run(bench)
    except Unmet as unmet:
        writes, problems, lost = _turned(step, bench), [*problems, unmet.trouble], unmet.lost
    lists = tuple((("listing", *key[:-1]), key[-1]) for key in writes)
    run = Run(step, bench.reads, writes, lists, tuple(problems), lost is not None, lost or ())
    memory.ran.append(step)
    runs = memory.runs.setdefault(step, [])
    runs.insert(0, run)
    del runs[KEPT_RUNS:]
    return run


def _turned(step: Step, bench: Bench) -> dict[Key, Any]:
    """Return the piece that a failed step would have turned to, so that what follows isn't drawn on another one."""
    begun = [getattr(step, each.attribute) for each in step.form if each.kind == "piece" and each.new]
    piece = bench.turned or next(iter(begun), "")
    return {("current", ""): piece} if piece else {}
