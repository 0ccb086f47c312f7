"""An alteration reckoned: whether what is found beyond a seam line gives what is asked, and the measures after it.

Sums and words, no order of work: that is `altering`. Lengths are mm. Usual figures are common practice [C]: what the
ticket states comes before them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from onfold.body.taken import Taken
from onfold.cloth import COMFORT, Cloth
from onfold.construction import Finish, FinishFault, read_finish
from onfold.construction.alteration import EDGE_VERBS, LEVELS, SEAM_VERBS, Alteration, Found, Work
from onfold.units import System, say_length

Way = Literal["reaches", "narrower", "strip", "facing", "band", "surplus", "thing", "unknown"]

NARROWEST = 10.0
"""mm: the narrowest allowance that a seam of a garment to be worn is sewn with, both edges neatened [C]."""
FACING_SEAM = 10.0
"""mm by which a hem's facing is sewn on, and neatened or turned under at its other edge [C]."""
SHARE_FROM = 20.0
"""mm taken in at one seam from which pockets, creases and the balance move: it is shared among the seams [C]."""

TRUNK = ("bust", "underbust", "waist", "hip")
LEG = ("thigh", "knee", "calf", "ankle")
ARM = ("upper arm", "elbow", "wrist")
GIRTHS = (*TRUNK, *LEG, *ARM, "hem")
LENGTHS: Mapping[str, tuple[str, ...]] = {
    "hem": ("length", "inside leg", "outside leg"),
    "sleeve hem": ("sleeve",),
    "cuff": ("sleeve",),
}
"""Which lengths end at an edge."""
_UPPER = ("dress", "jacket", "coat", "shirt", "blouse", "bodice", "gown", "tunic", "robe", "cassock", "jumpsuit")
_LOWER = ("trouser", "jean", "skirt", "kilt", "shorts", "slacks", "breeches", "pants")
_LEGGED = ("trouser", "jean", "shorts", "legging", "slacks", "breeches", "overall", "jumpsuit", "pants")


@dataclass(frozen=True)
class SeamKind:
    """How many seams of a name a garment usually has, and which girths they cross."""

    count: int
    crosses: tuple[str, ...]


SEAMS: Mapping[str, SeamKind] = {
    "side": SeamKind(2, (*TRUNK, *LEG, "hem")),
    "outside leg": SeamKind(2, ("waist", "hip", *LEG, "hem")),
    "inside leg": SeamKind(2, (*LEG, "hem")),
    "centre back": SeamKind(1, (*TRUNK, "hem")),
    "centre front": SeamKind(1, (*TRUNK, "hem")),
    "seat": SeamKind(1, ("waist", "hip")),
    "sleeve": SeamKind(2, ARM),
}
"""By the seam's name, 'seam' left off [C]; `seams`, `from` and `to` of a ticket come before it."""


@dataclass(frozen=True)
class Job:
    """An alteration with all that it is reckoned from. `body` are the wearer's measures, taped or estimated."""

    alteration: Alteration
    cloth: Cloth
    units: System = "cm"
    body: Mapping[str, Taken] | None = None

    @property
    def legged(self) -> bool:
        """Return whether the garment has legs, so that its hem and its leg seams go round one of them."""
        measured = self.alteration.measured
        said = self.alteration.garment.lower()
        return any(name in measured for name in (*LEG, "inside leg", "outside leg")) or any(w in said for w in _LEGGED)

    @property
    def banded(self) -> bool:
        """Return whether the garment ends at the waist, most often in a waistband."""
        said, measured = self.alteration.garment.lower(), self.alteration.measured
        if any(word in said for word in _LOWER):
            return True
        return not (any(name in measured for name in ("bust", "underbust")) or any(word in said for word in _UPPER))

    def say(self, mm: float) -> str:
        """Return an amount as it is said at the table: millimetres below 10 cm, or sixteenths of an inch."""
        if self.units == "in":
            return say_length(mm, "in", 16)
        return f"{round(mm, 1):g} mm" if abs(mm) < 100.0 else say_length(mm, "cm")

    def about(self, mm: float) -> str:
        """Return a length that is only roughly meant: whole centimetres or half inches."""
        return say_length(round(mm / 12.7) * 12.7, "in", 2) if self.units == "in" else f"{round(mm / 10.0)} cm"


@dataclass(frozen=True)
class Answer:
    """What comes of one piece of work.

    `beyond` is what lies beyond the seam line, `uses` what its finish takes of it, `spare` what is left, all mm;
    None where it does not apply or is not said. `sum` is the reckoning in words, `remedy` what must be done where
    the inlay does not reach. `strip` is the width, mm, to be cut of what is set in or faced with, 0 for nothing.
    """

    work: Work
    way: Way
    seams: int = 1
    finish: str = ""
    beyond: float | None = None
    uses: float | None = None
    spare: float | None = None
    sum: str = ""
    remedy: str = ""
    strip: float = 0.0


@dataclass(frozen=True)
class MeasureAfter:
    """One of the garment's measures before and after, mm; `sum` is the reckoning. `body` is the wearer's, if known."""

    name: str
    before: float
    after: float
    sum: str
    body: Taken | None = None
    crossed: tuple[Work, ...] = ()

    @property
    def girth(self) -> bool:
        """Return whether it goes round, so that what it has beyond the body's is ease."""
        return self.name in GIRTHS


def answers_of(job: Job) -> tuple[Answer, ...]:
    """Return what comes of each piece of work, in the ticket's order."""
    return tuple(_answer(job, each) for each in job.alteration.work)


def _answer(job: Job, work: Work) -> Answer:
    found = job.alteration.found.get(work.what)
    finish = finish_of(job, work, found)
    base = Answer(work, "thing", seams_of(work), finish.text if finish else "")
    if finish is None:
        return base
    known = replace(base, beyond=found.inlay if found else None, uses=finish.uses)
    if work.verb in ("take in", "shorten", "take up"):
        return replace(known, way="surplus")
    if found is None:
        said = f"What lies beyond the {work.what} is not said."
        way = f"measure to the raw edge, and write it under found: {{{work.what}: {{inlay: …}}}}"
        remedy = f"unpick {job.about(30.0)} of it, {way}"
        return replace(known, way="unknown", sum=said, remedy=remedy)
    return _given(job, known, found, finish)


def _given(job: Job, known: Answer, found: Found, finish: Finish) -> Answer:
    """Return the answer for what is let out or let down from what lies there."""
    say, work = job.say, known.work
    spare = round(found.inlay - work.by - finish.uses, 6)
    left = found.inlay - work.by
    done = "let out" if work.verb in SEAM_VERBS else "let down"
    total = f"{say(found.inlay)} − {say(work.by)} {done} − {say(finish.uses)} for {finish.text}"
    if spare >= 0.0:
        return replace(known, way="reaches", spare=spare, sum=f"{total} = {say(spare)} spare.")
    lacking = replace(known, spare=spare, sum=f"{total}: {say(-spare)} lack.")
    if work.verb in SEAM_VERBS:
        return _short_seam(job, lacking, left, finish)
    return _short_edge(job, lacking, left, finish)


def _short_seam(job: Job, lacking: Answer, left: float, finish: Finish) -> Answer:
    say, work = job.say, lacking.work
    had = max(0.0, (lacking.beyond or 0.0) - finish.uses)
    only = f"let out {say(had)} only" if had > 0.0 else "leave it as it is"
    if left >= NARROWEST:
        remedy = f"sew it {say(finish.uses - left)} narrower, with {say(left)}, both edges neatened first; or {only}"
        return replace(lacking, way="narrower", remedy=remedy)
    wide = 2.0 * (work.by - had)
    cut = wide + 2.0 * min(finish.uses, max(lacking.beyond or 0.0, NARROWEST))
    remedy = f"set in a strip {say(wide)} wide, cut {say(cut)} wide on the straight grain of like cloth; or {only}"
    return replace(lacking, way="strip", remedy=remedy, strip=cut)


def _short_edge(job: Job, lacking: Answer, left: float, finish: Finish) -> Answer:
    say = job.say
    if left >= FACING_SEAM:
        cut = (finish.depth or finish.uses) + 2.0 * FACING_SEAM
        remedy = f"face the {lacking.work.what}: a strip cut {say(cut)} deep, sewn on {say(FACING_SEAM)} below the line"
        return replace(lacking, way="facing", remedy=remedy, strip=cut)
    had = max(0.0, (lacking.beyond or 0.0) - FACING_SEAM)
    only = f"let it down {say(had)} only, with a facing" if had > 0.0 else "leave it as it is"
    remedy = f"the cloth that is there does not do: set on a band that is meant to be seen, or {only}"
    return replace(lacking, way="band", remedy=remedy)


def finish_of(job: Job, work: Work, found: Found | None) -> Finish | None:
    """Return how a seam or an edge is sewn again, the usual way where nothing is said; None for a thing."""
    if work.verb not in (*SEAM_VERBS, *EDGE_VERBS):
        return None
    usual = "plain" if work.verb in SEAM_VERBS else "single turned"
    said = (found.finish if found else "") or usual
    read = read_finish(said, job.cloth)
    if isinstance(read, FinishFault):
        read = read_finish(usual, job.cloth)
    if isinstance(read, FinishFault):
        raise ValueError(f"the usual finish {usual!r} cannot be read")
    return read if read.stated else replace(read, text=f"a {read.text} {'seam' if usual == 'plain' else 'hem'}")


def _kind(work: Work) -> SeamKind | None:
    name = work.what.lower().removesuffix("seams").removesuffix("seam").strip()
    if name in ("inseam", "in"):
        name = "inside leg"
    sided = name.removeprefix("left ").removeprefix("right ")
    kind = SEAMS.get(sided)
    return kind if kind is None or sided == name else replace(kind, count=1)


def seams_of(work: Work) -> int:
    """Return how many seams are meant: as stated, else as a garment usually has of that name."""
    kind = _kind(work)
    return work.seams or (kind.count if kind else 1)


def crossed(work: Work, legged: bool) -> tuple[str, ...]:
    """Return the girths that the work changes, from the top down: those its seam crosses between its two ends.

    Of a seam whose name says nothing, the two levels that the ticket names.
    """
    if work.verb not in SEAM_VERBS:
        return ()
    kind = _kind(work)
    centre = kind is not None and kind.count == 1 and "hem" in kind.crosses and "thigh" not in kind.crosses
    names = kind.crosses if kind else tuple(each for each in (work.start, work.stop) if each in GIRTHS)
    ends = sorted((LEVELS.get(work.start, -math.inf), LEVELS.get(work.stop, math.inf)))
    within = [each for each in names if ends[0] <= LEVELS[each] <= ends[1]]
    # a centre seam of trousers ends at the fork
    return tuple(each for each in within if not (centre and legged and each == "hem"))


def measures_after(job: Job) -> tuple[MeasureAfter, ...]:
    """Return each of the garment's measures before and after, with the reckoning.

    A seam altered by b on both its sides changes every girth it crosses by 2 b; one of a pair goes round each limb.
    """
    found = []
    for name, before in job.alteration.measured.items():
        after, said, works = before, [say_length(before, job.units)], []
        for work in job.alteration.work:
            change, words = _change(job, work, name)
            if words:
                after += change
                said.append(words)
                works.append(work)
        total = f"{' '.join(said)} = {say_length(after, job.units)}" if works else f"{said[0]}, unchanged"
        body = (job.body or {}).get(name)
        found.append(MeasureAfter(name, before, after, total, body, tuple(works)))
    return tuple(found)


def _change(job: Job, work: Work, name: str) -> tuple[float, str]:
    """Return by how much the work changes a measure, mm, and the term of its sum; 0 and '' where it does not."""
    amount = job.say(work.by)
    if work.verb in EDGE_VERBS:
        if name not in LENGTHS.get(work.what.lower(), ()):
            return 0.0, ""
        longer = work.verb == "let down"
        return (work.by if longer else -work.by), f"{'+' if longer else '−'} {amount} ({work.what})"
    if name not in crossed(work, job.legged):
        return 0.0, ""
    round_limb = name in (*LEG, *ARM) or (name == "hem" and job.legged)
    times = math.ceil(seams_of(work) / 2.0) if round_limb else seams_of(work)
    wider = work.verb == "let out"
    how = f"{times} × 2 × {amount}" if times > 1 else f"2 × {amount}"
    return (2.0 if wider else -2.0) * times * work.by, f"{'+' if wider else '−'} {how} ({work.what})"


def too_small(job: Job, measure: MeasureAfter) -> float:
    """Return by how much a girth after the work is too small for the body at the cloth's comfortable stretch, mm.

    0 where it is not, or where the body's own measure is an estimate whose interval leaves it open.
    """
    if not measure.girth or measure.body is None:
        return 0.0
    body = measure.body.interval[0] if measure.body.interval else measure.body.value
    stretched = measure.after * (1.0 + COMFORT * job.cloth.stretch_across)
    return max(0.0, body - stretched) if body - stretched > 0.5 else 0.0
