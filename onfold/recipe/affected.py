"""Which steps a change reaches: from what was given to the steps that read it, and on to those that read their work.

Only those are looked at, in order; whatever else was drawn last time is taken as it stands. That holds as long as
every step reads and writes the things it did, so the first step that doesn't ends it: from there on replay goes by
what lies on the bench.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from onfold.recipe.bench import Bench, Key, Strayed
from onfold.recipe.memory import Memory, Run, run_anew, same
from onfold.recipe.placed import PlacedStep


def affected_runs(
    steps: Sequence[PlacedStep], given: Mapping[Key, Any], memory: Memory
) -> tuple[list[Run], dict[Key, Any] | None]:
    """Return the runs of the first steps, as many as can be had so, and what all steps leave where that is all.

    `memory` is told of every run but of nothing else.
    """
    if not memory.last or list(given) != list(memory.given):
        return [], None
    pass_on = _Passing(len(memory.last), memory)
    for (key, value), was in zip(given.items(), memory.given.values(), strict=True):
        if value is not was and not same(value, was):
            if key[0] == "listing":
                return [], None
            pass_on.to_readers(0, key, value)
    runs: list[Run] = []
    as_before = True
    for number, (placed, before) in enumerate(zip(steps, memory.last, strict=False), 1):
        step, news = placed.step, pass_on.news[number]
        if not as_before or not (before.step is step or before.step == step):
            break
        if news is None:
            runs.append(before)
            continue
        known = {**before.reads, **news}
        remembered = before.beside
        done = _remembered(remembered, before, known, news)
        if done is None:
            try:
                done = run_anew(step, Bench(known, whole=False), remembered)
            except Strayed:
                break
            memory.ran.append(step)
        runs.append(done)
        as_before = len(done.reads) == len(before.reads) and list(done.writes) == list(before.writes)
        for (key, value), was in zip(done.writes.items(), before.writes.values(), strict=as_before):
            if value is not was and not same(value, was):
                pass_on.to_readers(number, key, value)
    whole = as_before and len(runs) == len(steps) == len(memory.last)
    return runs, {**memory.state, **pass_on.left} if whole else None


class _Passing:
    """What has changed, told to the steps that read it: `news` by their numbers, and what is `left` in the end."""

    def __init__(self, steps: int, memory: Memory) -> None:
        self._readers, self._last = memory.ways
        self.news: list[dict[Key, Any] | None] = [None] * (steps + 1)
        self.left: dict[Key, Any] = {}

    def to_readers(self, number: int, key: Key, value: Any) -> None:
        """Pass on what a step (0: what was given) has now put under a key."""
        for reader in self._readers[number].get(key, ()):
            news = self.news[reader]
            if news is None:
                self.news[reader] = {key: value}
            else:
                news[key] = value
        if self._last.get(key, 0) == number:
            self.left[key] = value


def _remembered(runs: list[Run], before: Run, known: dict[Key, Any], news: dict[Key, Any]) -> Run | None:
    """Return the run that read just this, other than the last one, which didn't."""
    for number, run in enumerate(runs):
        # by what is new most old runs are told apart at once
        if run is not before and _read(run, news, False) and _read(run, known, True):
            runs.insert(0, runs.pop(number))
            return run
    return None


def _read(run: Run, known: dict[Key, Any], all_of_it: bool) -> bool:
    """Return whether a run read what is known under these keys, or, where wanted, nothing else."""
    then = run.reads
    if all_of_it and not then.keys() <= known.keys():
        return False
    for key, value in known.items():
        read = then.get(key, value)
        if read is not value and not same(read, value):
            return False
    return True
