"""The order of making up: jobs, what each waits for, and the one order taken, told with its reasons.

Demands of the construction hold always. Within them small parts come first, then what is worked flat, the try-on, what
closes the garment to a round, the edges, and the hem after hanging.
"""

from __future__ import annotations

import heapq
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from onfold.cloth import Cloth, SystemOfUnits
from onfold.construction import FinishFault, read_finish
from onfold.making.acts import acts_of
from onfold.making.assembly import Joined
from onfold.making.before import demands
from onfold.making.flat import Flat, worked_flat
from onfold.making.fore_and_after import after_sewing, before_sewing, tack_and_try
from onfold.making.hands import Hands
from onfold.making.job import Job
from onfold.making.jobs import jobs_of
from onfold.making.operation import Before, MakingUp, Operation
from onfold.making.tried import tried
from onfold.pattern import Pattern

# The stages of the work [C]; within one, the draft's order.
PARTS, TURNING, DARTS, FLAT, ZIPS, SET_IN, FACINGS, FLAT_EDGES = 5, 6, 7, 8, 9, 10, 11, 12
TURNED_OUT = 14
TACKING, TRYING, CLOSING, ROUND, ENDS, BANDS, EDGES, LAST_SET, CLOSURES = 16, 17, 18, 19, 20, 21, 22, 23, 24
HEMS, VENTS = 28, 29


@dataclass(frozen=True)
class _Planned:
    """All that the order follows from."""

    jobs: tuple[Job, ...]
    before: tuple[Before, ...]
    flat: Flat
    waiting: frozenset[str]


def making_up(pattern: Pattern, cloth: Cloth, units: SystemOfUnits = "cm") -> MakingUp:
    """Return every operation from the scrap trials to the last pressing, in an order that can be sewn.

    Never raises on a pattern: a seam that names what isn't there is left out, and so is what no order can reach; both
    are told in `left_out`.
    """
    jobs, left = jobs_of(pattern)
    flat = worked_flat(pattern, jobs, cloth)
    before = demands(pattern, jobs, flat.after)
    fitted = _fitted(jobs)
    tacked = [*flat.closers, *(name for name in fitted if name not in flat.closers)]
    hands = Hands(cloth, units, pattern)
    tack, trial = tack_and_try(tacked, jobs, hands)
    before += [Before(trial.name, name, "It is sewn once the try-on has shown where.") for name in tacked]
    before += [Before(trial.name, job.name, "Its length is found at the try-on.") for job in _set_last(jobs)]
    planned = _Planned(jobs, tuple(before), flat, frozenset(tacked))
    listed, stuck = _sequence(planned, tack.name, trial.name)
    operations = _operations(planned, listed, hands, {tack.name: tack, trial.name: trial})
    finishes = [job.finish for job in jobs]
    trials = hands.trials(finishes, any(job.part == "buttons" for job in jobs))
    done = _with_the_end([*before_sewing(hands, trials), *operations], after_sewing(hands), jobs)
    reasons = [each for each in before if each.first not in stuck and each.then not in stuck]
    return MakingUp(
        tried(done, trials, {job.name: job.finish for job in jobs}, hands.tubes),
        (*reasons, *_neater(planned, listed)),
        flat.others,
        (*left, *(_say_stuck(name, planned.before, stuck) for name in stuck)),
    )


def _fitted(jobs: Sequence[Job]) -> list[str]:
    """Return the seams and edges with an inlay: they are tacked, tried on and sewn after it."""
    read = {job.name: read_finish(job.finish) for job in jobs if job.kind in ("sew", "finish") and job.finish}
    return [name for name, finish in read.items() if not isinstance(finish, FinishFault) and finish.inlay > 0.0]


def _set_last(jobs: Sequence[Job]) -> list[Job]:
    """Return the setting of each strap's second end, which the try-on decides; a tie has one end alone."""
    ends: dict[str, list[Job]] = defaultdict(list)
    for job in jobs:
        if job.part == "strap":
            ends[job.pieces[0]].append(job)
    free = {job.pieces[0] for job in jobs if job.part == "ends"}
    return [own[-1] for piece, own in ends.items() if len(own) > 1 and piece not in free]


def _stage(job: Job, planned: _Planned, late: frozenset[str]) -> int:
    """Return the stage a job is done at, its demands apart. `late` are the jobs that wait for a closing seam."""
    closing = job.name in planned.flat.closers
    if job.kind == "turn":
        return TURNED_OUT if job.part == "out" else TURNING
    if job.kind == "sew":
        parts = {piece for each in planned.jobs if each.kind == "turn" for piece in each.pieces}
        if set(job.pieces) <= parts:
            return PARTS
        return CLOSING if closing else ROUND if job.name in late else FLAT
    by_part = {
        "dart": DARTS,
        "zip": ZIPS,
        "buttons": CLOSURES,
        "tie": CLOSURES,
        "facing": FACINGS,
        "band": BANDS,
        "vent": VENTS,
        "ends": ENDS,
        "hem": HEMS,
        "strap": LAST_SET if job in _set_last(planned.jobs) else SET_IN,
        "edge": EDGES if job.name in late else FLAT_EDGES,
    }
    return by_part.get(job.part, EDGES)


def _late(planned: _Planned) -> frozenset[str]:
    """Return the jobs that wait, by whatever way, for a seam that closes the garment."""
    after: dict[str, list[str]] = defaultdict(list)
    for each in planned.before:
        after[each.first].append(each.then)
    found: set[str] = set()
    waiting = list(planned.flat.closers)
    while waiting:
        for name in after[waiting.pop()]:
            if name not in found:
                found.add(name)
                waiting.append(name)
    return frozenset(found - set(planned.flat.closers))


def _sequence(planned: _Planned, tack: str, trial: str) -> tuple[list[str], list[str]]:
    """Return the names in their order, and those that wait for each other in a circle."""
    late = _late(planned)
    rank = {job.name: (_stage(job, planned, late), at) for at, job in enumerate(planned.jobs)}
    rank |= {tack: (TACKING, 0), trial: (TRYING, 0)}
    before = [*planned.before, Before(tack, trial, "")]
    needs: dict[str, set[str]] = {name: set() for name in rank}
    after: dict[str, list[str]] = defaultdict(list)
    for each in before:
        if each.first in rank and each.then in rank and each.first not in needs[each.then]:
            needs[each.then].add(each.first)
            after[each.first].append(each.then)
    ready = [(rank[name], name) for name, own in needs.items() if not own]
    heapq.heapify(ready)
    listed: list[str] = []
    while ready:
        _, name = heapq.heappop(ready)
        listed.append(name)
        for then in after[name]:
            needs[then].discard(name)
            if not needs[then]:
                heapq.heappush(ready, (rank[then], then))
    return listed, [name for name in rank if name not in listed]


def _say_stuck(name: str, before: Sequence[Before], stuck: Sequence[str]) -> str:
    waits = [each.first for each in before if each.then == name and each.first in stuck]
    return f"No order can be sewn for the {name}: it waits for the {', the '.join(waits) or 'rest'}."


def _operations(
    planned: _Planned, listed: Sequence[str], hands: Hands, others: Mapping[str, Operation]
) -> list[Operation]:
    """Return the jobs as operations in their order, each with the state it is worked in and the reason of its place."""
    by_name = {job.name: job for job in planned.jobs}
    joined = Joined()
    done = []
    for name in listed:
        if name in others:
            done.append(others[name])
            continue
        job = by_name[name]
        made = Operation(
            name,
            job.kind,
            acts_of(job, hands, tacked=name in planned.waiting, last=job in _set_last(planned.jobs)),
            seam=job.seam.name if job.seam is not None else "",
            sides=job.sides,
            pieces=job.pieces,
            times=job.times,
            state=_state(job, joined),
            why=_why(name, planned, listed),
        )
        joined.join(job.links)
        done.append(made)
    return done


def _state(job: Job, joined: Joined) -> Literal["flat", "round", ""]:
    if job.kind not in ("sew", "finish") or not job.walks:
        return ""
    return "round" if any(joined.is_round(walk) for walk in job.walks) else "flat"


def _why(name: str, planned: _Planned, listed: Sequence[str]) -> str:
    """Return the reason of an operation's place: what it waited for last, else what waits for it first."""
    at = {each: number for number, each in enumerate(listed)}
    own = [each for each in planned.before if each.then == name and each.first in at and each.must]
    if own:
        return max(own, key=lambda each: at[each.first]).reason
    following = [each for each in planned.before if each.first == name and each.then in at]
    if not following:
        return ""
    told = [each for each in following if each.ahead] or following
    first = min(told, key=lambda each: at[each.then])
    return first.ahead or first.reason


def _neater(planned: _Planned, listed: Sequence[str]) -> list[Before]:
    """Return what stands before a closing seam without need, because it is easier while the work lies flat."""
    demanded = {(each.first, each.then) for each in planned.before}
    by_name = {job.name: job for job in planned.jobs}
    at = {each: number for number, each in enumerate(listed)}
    found = []
    for closer in planned.flat.closers:
        seam = by_name.get(closer)
        for job in planned.jobs:
            if seam is None or job.name == closer or not set(job.pieces) & set(seam.pieces):
                continue
            if at.get(job.name, 999) < at.get(closer, -1) and (job.name, closer) not in demanded:
                found.append(Before(job.name, closer, "It is easier while the work lies flat.", must=False))
    return found


def _with_the_end(operations: list[Operation], end: Sequence[Operation], jobs: Sequence[Job]) -> list[Operation]:
    """Return the operations with hanging and levelling before the first hem, and the last pressing at the end."""
    hems = {job.name for job in jobs if job.part == "hem"}
    first = next((n for n, each in enumerate(operations) if each.name in hems), len(operations))
    hang = [each for each in end if each.kind in ("hang", "level")]
    rest = [each for each in end if each.kind not in ("hang", "level")]
    return [*operations[:first], *hang, *operations[first:], *rest]
