"""Which trials and try-ons had to stand before what cannot be undone: told with each such operation."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from onfold.construction import FinishFault, read_finish
from onfold.making.fore_and_after import name_of
from onfold.making.operation import Operation
from onfold.making.trials import Trial


def tried(
    operations: Sequence[Operation], trials: Sequence[Trial], finishes: Mapping[str, str], tubes: Collection[str] = ()
) -> tuple[Operation, ...]:
    """Return the operations, each with an act that has no way back naming the trials and try-ons that it waited for.

    `finishes` are the jobs' constructions by name, `tubes` the pieces that are tubes: their trial is for them alone.
    Only what stands before an operation is named.
    """
    known = [each for each in trials if each.known]
    names = {name_of(each, known): each for each in trials}
    so_far: list[Operation] = []
    found = []
    for each in operations:
        own = [trial for trial in trials if "turn" not in trial.guards or set(each.pieces) & set(tubes)]
        found.append(replace(each, tried=_needed(each, so_far, own, known, finishes)))
        if each.name in names or each.kind == "try on":
            so_far.append(each)
    return tuple(found)


def _needed(
    operation: Operation,
    so_far: Sequence[Operation],
    trials: Sequence[Trial],
    known: Sequence[Trial],
    finishes: Mapping[str, str],
) -> tuple[str, ...]:
    kinds = {act.kind for act in operation.acts if act.no_way_back}
    if not kinds:
        return ()
    if operation.kind != "cut":
        kinds = {
            "trim" if kind == "cut" else kind for kind in kinds
        }  # the cloth's own trials are for the cutting table
    read = read_finish(finishes.get(operation.name, "")) if finishes.get(operation.name) else None
    construction = read.kind if read is not None and not isinstance(read, FinishFault) else ""
    guarding = {name_of(each, known) for each in trials if kinds & each.guards or construction in each.guards}
    fitted = "cut inlay" in kinds or operation.kind == "attach"
    return tuple(each.name for each in so_far if each.name in guarding or (fitted and each.kind == "try on"))
