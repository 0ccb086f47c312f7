"""Replay: a recipe's steps, a body, a cloth and the maker's choices give the draft, remembering what each step read.

A step is run again only where something it read has changed. Its memory is keyed by the step itself (verb and
fields) and holds for every run what was read and what was written; remembered and fresh replay give the same draft.
While the steps are those of the last replay, only the affected ones are so much as looked at.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from onfold.problems import Place, Problem
from onfold.recipe.affected import affected_runs
from onfold.recipe.bench import Bench, Key
from onfold.recipe.memory import Memory, Run, run_anew, same
from onfold.recipe.misnamed import misnamed, plain_names
from onfold.recipe.placed import PlacedStep
from onfold.recipe.step import Step, names_given

__all__ = ["Memory", "Replayed", "replay"]


@dataclass(frozen=True, eq=False)
class Replayed:
    """All runs in order, the bench's state after them, and the problems with their places."""

    runs: tuple[tuple[PlacedStep, Run], ...]
    state: dict[Key, Any]
    problems: tuple[Problem, ...]


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
    kept.ran = []
    runs, state = affected_runs(every, given, kept)
    as_before = state is not None
    if state is None:
        state = dict(given)
        for done in runs:
            _apply(done, state)
        for placed in every[len(runs) :]:
            remembered = kept.runs.setdefault(placed.step, [])
            run = _remembered(remembered, state)
            if run is None:
                run = run_anew(placed.step, Bench(state), remembered)
                kept.ran.append(placed.step)
            _apply(run, state)
            runs.append(run)
    kept.remembered = len(every) - len(kept.ran)
    kept.close(dict(given), tuple(runs), state, as_before)
    placed_runs = tuple(zip(every, runs, strict=True))
    begun = str(given.get(("current", "")) or "")
    problems = _problems(placed_runs, begun, file, set(unsettled)) if any(run.problems for run in runs) else []
    return Replayed(placed_runs, state, tuple(problems))


def _problems(runs: Sequence[tuple[PlacedStep, Run]], piece: str, file: str, lost: set[str]) -> list[Problem]:
    """Return the problems of all runs with their places; `piece` is worked on as they begin, `lost` names lack."""
    every = tuple(placed for placed, _ in runs)
    problems: list[Problem] = []
    broken: list[PlacedStep] = []
    for placed, done in runs:
        piece = str(done.writes.get(("current", "")) or piece)
        if done.problems and not (done.failed and _told_already(done.lost, lost)):
            where = Place(placed.file or file, placed.line, placed.column, placed.step.verb, piece)
            meant = misnamed(placed, done.lost, every, file) if done.lost else []
            if meant:
                lost.update(plain_names(done.lost))
            if not any(giver in broken for giver, _ in meant):
                problems.extend(each.at(where) for each in done.problems)
                problems.extend(told for _, told in meant)
        if done.failed:
            broken.append(placed)
            lost.update(_lost_with(placed.step, piece))
    return problems


def _told_already(asked: tuple[str, ...], lost: set[str]) -> bool:
    """Return whether a name asked for is lost, or holds the words of one: `end of bust` is lost with `bust`."""
    return any(f" {gone} " in f" {name} " for name in asked for gone in lost)


def _lost_with(step: Step, piece: str) -> list[str]:
    """Return the names that are lost where a step fails while this piece is worked on."""
    begun = [getattr(step, each.attribute) for each in step.form if each.kind == "piece" and each.new]
    fields = {each.attribute: getattr(step, each.attribute) for each in step.form}
    return [
        *names_given(step),
        *(f"piece {each}" for each in begun),
        *(each.format_map({**fields, "piece": piece}) for each in step.gives),
    ]


def _remembered(runs: list[Run], state: Mapping[Key, Any]) -> Run | None:
    """Return the run that read what lies there now, if one is remembered."""
    for number, run in enumerate(runs):
        if all(same(state.get(key, () if key[0] == "listing" else None), value) for key, value in run.reads.items()):
            runs.insert(0, runs.pop(number))
            return run
    return None


def _apply(done: Run, state: dict[Key, Any]) -> None:
    """Put what a run wrote into the state, and its new names on the lists of their kinds."""
    for key in done.writes:
        if key not in state:
            listing = ("listing", *key[:-1])
            state[listing] = (*state.get(listing, ()), key[-1])
    state.update(done.writes)
