"""Which seam closes the garment to a round, and what is better worked flat before it.

Where two orders are sound the one taken is told with its reason (`OtherOrder`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from onfold.cloth import Cloth
from onfold.making.before import Ring, crossed_hems, rings
from onfold.making.job import Job
from onfold.making.operation import OtherOrder
from onfold.making.parts import layered, shut_all_round
from onfold.pattern import Pattern

EASED = 10.0
"""mm of ease from which a sleeve is set in the round, where it can be shared out over its head [C]."""


@dataclass(frozen=True)
class Flat:
    """What is worked flat: `after` names for each such job the seams that close its round afterwards.

    `closers` are the seams that close the garment itself, in the draft's order.
    """

    closers: tuple[str, ...]
    after: Mapping[str, frozenset[str]]
    others: tuple[OtherOrder, ...]


def worked_flat(pattern: Pattern, jobs: Sequence[Job], cloth: Cloth) -> Flat:
    """Return which seams close the garment and which jobs are done before them, while the work lies flat."""
    found = rings(jobs)
    closers = tuple(dict.fromkeys(name for ring in crossed_hems(jobs) if (name := _closer(ring, jobs))))
    after: dict[str, set[str]] = {}
    others: list[OtherOrder] = []
    layered = _between_layers(pattern, jobs, found)
    for job in dict.fromkeys(ring.job.name for ring in found):
        own = [ring for ring in found if ring.job.name == job]
        last = {_last(ring, closers, jobs) for ring in own}
        if job in layered:
            after[job] = last
        elif _is_set_in(own, jobs):
            told = _set_in(own[0].job, last, cloth)
            others.append(told)
            if told.taken == "flat":
                after[job] = last
        elif own[0].job.part == "edge" and set(closers) & last:
            others.append(_edge_round(own[0].job, last))
    return Flat(closers, {name: frozenset(each) for name, each in after.items()}, tuple(others))


def _closer(ring: Ring, jobs: Sequence[Job]) -> str:
    """Return which of the seams that cross a hem is sewn last: one at both sides, called a side seam for choice.

    Empty where no seam crosses it.
    """
    seams = [job for job in jobs if job.name in ring.works and job.kind == "sew"]
    both = [job for job in seams if job.times > 1] or seams
    sides = [job for job in both if "side" in job.name.split()]
    return (sides or both)[-1].name if both else ""


def _last(ring: Ring, closers: Sequence[str], jobs: Sequence[Job]) -> str:
    """Return which of the works round a ring is left for after it: what closes the garment, else the last drafted."""
    closing = [name for name in ring.works if name in closers]
    order = [job.name for job in jobs]
    return closing[-1] if closing else max(ring.works, key=order.index)


def _is_set_in(own: Sequence[Ring], jobs: Sequence[Job]) -> bool:
    """Return whether this is a sleeve or cuff: one of its sides is a round that its piece alone closes."""
    by_name = {job.name: job for job in jobs}
    if own[0].job.kind != "sew" or len(own) < 2:
        return False
    return any(
        len(ring.works) == 1 and by_name[ring.works[0]].kind == "sew" and len(by_name[ring.works[0]].pieces) == 1
        for ring in own
    )


def _set_in(job: Job, last: set[str], cloth: Cloth) -> OtherOrder:
    ease = abs(job.seam.ease) if job.seam is not None else 0.0
    said = " and ".join(sorted(last))
    if ease >= EASED:
        why = f"There is ease to share out, which is done over a round, so the {said} is closed first."
        return OtherOrder(job.name, "round", "flat", why)
    if cloth.kind == "knit" or ease < EASED / 2.0:
        why = f"There is next to no ease: sewn flat it is quicker, and the {said} is then sewn in one go."
        return OtherOrder(job.name, "flat", "round", why)
    return OtherOrder(job.name, "round", "flat", "A little ease is shared out more evenly over a round.")


def _edge_round(job: Job, last: set[str]) -> OtherOrder:
    said = " and ".join(sorted(last))
    why = f"Finished in the round no end of the {said} shows; finished flat, before it, is quicker."
    return OtherOrder(job.name, "round", "flat", why)


def _between_layers(pattern: Pattern, jobs: Sequence[Job], found: Sequence[Ring]) -> frozenset[str]:
    """Return the rounds between two layers that must be worked flat: joined in a second round, they could not be
    turned out. The first single round, the neck, is left; layers shut all round are turned out through a gap.
    """
    seams = [job for job in jobs if job.kind == "sew"]
    between = layered(pattern, seams)
    if shut_all_round(pattern, between, seams):
        return frozenset()
    round_about = [job for job in between if any(ring.job.name == job.name for ring in found)]
    single = [job for job in round_about if job.times == 1]
    return frozenset(job.name for job in round_about if job not in single[:1])
