"""A replayed recipe told step by step: the sentence, the why, and a picture with what is new inked heavy."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from onfold.body.figure_notes import BY_FORMULA_NAME, say_notes
from onfold.body.taken import Taken
from onfold.pattern import Fact
from onfold.recipe.bench import Key
from onfold.recipe.headings import heading
from onfold.recipe.memory import Run, same
from onfold.recipe.pictured import picture
from onfold.recipe.placed import PlacedStep
from onfold.recipe.replay import Replayed
from onfold.recipe.step import Step, Told, names_given
from onfold.recipe.telling import Telling
from onfold.units import Quantity, System, read_quantity, say_length


def tell(
    replayed: Replayed, measures: Mapping[str, Taken], units: System, pictures: bool = True, one_layer: bool = False
) -> tuple[Told, ...]:
    """Return every step told in order; a failed one by what went wrong, and not at all where an earlier one did.

    `one_layer` says that the cloth is never folded to be cut.
    """
    told: list[Told] = []
    steps: list[Step] = []
    state: dict[Key, Any] = {}
    stopped: dict[Key, int] = {}
    problems = {each.says for each in replayed.problems}
    stage = ""
    for placed, run in replayed.runs:
        stage = placed.stage or stage
        before = dict(state) if pictures else state
        nothing = _does_nothing(placed, run, before)
        state.update(run.writes)
        found = tuple(each for each in run.problems if each.says in problems)
        if run.failed and not found:
            continue
        piece = _piece_of(placed.step, run, str(state.get(("current", "")) or ""))
        read = {key[1]: value for key, value in run.reads.items() if key[0] == "value"}
        noted = {name: read[name] for name in BY_FORMULA_NAME if read.get(name)}
        drawn, focus = picture(piece, before, state, run) if pictures and not run.failed else (None, None)
        steps.append(placed.step)
        told.append(
            Told(
                len(told) + 1,
                stage,
                placed.step.verb,
                piece,
                placed.label,
                "" if run.failed else placed.step.say(Telling(run.reads, run.writes, units, one_layer=one_layer)),
                in_units(placed.why or getattr(placed.step, "reason", ""), units),
                tuple(sorted(name for name in read if name in measures and measures[name].estimated)),
                drawn,
                say_notes(noted, units),
                heading(placed.step),
                nothing,
                found,
                tuple(sorted({stopped[key] for key in run.reads if key in stopped})),
                focus,
            )
        )
        stops = any(each.severity == "stop" for each in run.problems)
        for key in run.writes:
            stopped.pop(key, None)
            if stops and key[0] not in ("current", "fact"):
                stopped[key] = len(told)
    unused = _unused_points(steps, told)
    return tuple(replace(each, idle=each.idle or each.number in unused) for each in told)


_DRAWN = {"point", "line", "outline", "inner", "mark"}


def _does_nothing(placed: PlacedStep, run: Run, before: Mapping[Key, Any]) -> bool:
    """Return whether a step leaves this wearer's draft as it was, so that there is nothing to do by hand."""
    if run.problems:
        return False
    kinds = {key[0] for key, value in run.writes.items() if not same(value, before.get(key))}
    if placed.step.group in ("develop", "outline") and "opening" not in kinds:
        return not kinds & _DRAWN
    facts = [value for value in run.writes.values() if isinstance(value, Fact)]
    return kinds <= {"fact"} and not any(each.value for each in facts)


def _unused_points(steps: Sequence[Step], told: Sequence[Told]) -> set[int]:
    """Return the numbers of steps that only mark a point for steps which do nothing for this wearer."""
    found: set[int] = set()
    for at, done in enumerate(steps):
        if done.verb != "mark point" or told[at].found:
            continue
        (name,) = names_given(done)
        users = [told[k].idle for k in range(at + 1, len(steps)) if name in _named(steps[k])]
        if users and all(users):
            found.add(told[at].number)
    return found


def _named(done: Step) -> set[str]:
    values = [getattr(done, each.attribute) for each in done.form]
    return {str(word) for value in values for word in (value if isinstance(value, tuple) else (value,))}


def _piece_of(done: Step, run: Run, current: str) -> str:
    """Return the piece a step is about: its edge's, else the one worked on; '' for a seam.

    A finishing step is about the one whose mark, grain or edge it wrote of.
    """
    if done.group != "finish":
        edges = [getattr(done, each.attribute) for each in done.form if each.kind == "edge of piece"]
        first = edges[0][0] if edges and isinstance(edges[0], tuple) and edges[0] else edges[0] if edges else ""
        return str(first).rpartition(" of ")[2] or current
    for key in run.writes:
        if key[0] in ("notch", "grain", "cut out"):
            return key[1]
        if key[0] == "finish":
            return key[1].rpartition(" of ")[2]
    return ""


_BRACED = re.compile(r"\{([^{}]*)\}")


def in_units(text: str, units: System) -> str:
    """Return a recipe's words with every length in braces, `{2.5 cm}`, said in the maker's units."""

    def said(match: re.Match[str]) -> str:
        read = read_quantity(match[1])
        return say_length(read.value, units, 16) if isinstance(read, Quantity) and read.kind == "length" else match[0]

    return _BRACED.sub(said, text)
