"""Whether the garment goes on: every finished girth on the way, by each route, at full pull less what its seams hold.

The hand sum: opening x (1 + s) >= girth to pass, so s = girth / opening - 1 [A]. Each place is a ring of parts; a part
that is sewn along the ring stretches no further than its stitches let it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from onfold.checks.openings import Opened, opened
from onfold.checks.places import LADDER, Place, places_of, top_opening
from onfold.checks.subject import Subject, measure

_WITHIN = 0.05  # mm: equal girths pass


@dataclass(frozen=True)
class Verdict:
    """Whether a garment goes on, by its better route, and its narrowest place on that route.

    `passing` names the girth that must pass, `girth_to_pass` and `at_full_pull` are mm, `lacks` is mm and 0 where it
    goes on. `needed_stretch` is the share the cloth would have to stretch for this pattern as it is cut, inf where no
    stretch would do. `ring` is the place with its parts: None, and `goes_on` true, where there is nothing to pass.
    """

    goes_on: bool
    route: str = ""
    ring: Place | None = None
    passing: str = ""
    girth_to_pass: float = 0.0
    at_full_pull: float = 0.0
    lacks: float = 0.0
    needed_stretch: float = 0.0
    unknown: tuple[str, ...] = ()

    @property
    def place(self) -> str:
        """The place in words, empty where there is nothing to pass."""
        return self.ring.name if self.ring else ""


def getting_in(subject: Subject) -> Verdict:
    """Return whether the garment goes on, by the route that asks least of the cloth.

    A route is judged only where the girths that must pass on it are known; with none judged it is taken to go on.
    Wraps, capes and bags have nothing to pass, and what was not drawn cannot be judged.
    """
    if subject.pattern.worn != "closed" or not any(level.across for level in subject.pattern.levels.values()):
        return Verdict(True)
    return _better(judge(subject))


def judge(subject: Subject) -> list[Verdict]:
    """Return the verdict by each route that the garment and the known measures allow."""
    body = body_girths(subject)
    places = places_of(subject)
    top = top_opening(subject)
    if top:
        places = [*places, top]
    found = [
        _route(subject, "stepped into", places, body, from_below=True),
        _route(subject, "over the head", places, body, from_below=False),
    ]
    gap = opened(subject)
    if gap:
        closed = still_closed(places, gap)
        found.append(_better([_route(subject, "fastened", closed, body, from_below=below) for below in (True, False)]))
    return found


def still_closed(places: list[Place], gap: Opened) -> list[Place]:
    """Return the places that stay closed while the opening is open, and the place at its bottom."""
    return [each for each in places if not gap.low <= each.height <= gap.high] + [gap.bottom]


def body_girths(subject: Subject) -> dict[str, float]:
    """Return the girths of the body that may have to pass, mm, by name; a level's own where no measure is known."""
    known = {name: measure(subject, name) for name in LADDER}
    for level in subject.pattern.levels.values():
        name = level.measure or level.name
        if name in known and known[name] is None and level.body > 0.0:
            known[name] = level.body
    return {name: girth for name, girth in known.items() if girth}


NEEDED = {"stepped into": ("hip",), "over the head": ("round the shoulders",)}


def _route(subject: Subject, route: str, places: list[Place], body: dict[str, float], *, from_below: bool) -> Verdict:
    way = "stepped into" if from_below else "over the head"
    unknown = tuple(name for name in NEEDED[way] if name not in body)
    if unknown:
        return Verdict(False, route, needed_stretch=math.inf, unknown=unknown)
    stretch = subject.round_cloth.stretch_across
    worst: Verdict | None = None
    tightest = 0.0
    for place in places:
        passing = widest_to_pass(place, body, from_below=from_below)
        if passing is None:
            continue
        girth, pull = body[passing], place.at_pull(stretch)
        ratio = girth / pull if pull > 0.0 else math.inf
        if worst is None or ratio > tightest:
            tightest = ratio
            lacks = girth - pull if girth - pull > _WITHIN else 0.0
            worst = Verdict(lacks == 0.0, route, place, passing, girth, pull, lacks)
    if worst is None:
        return Verdict(True, route)
    return _with_need(worst, places, body, from_below=from_below)


def _with_need(worst: Verdict, places: list[Place], body: dict[str, float], *, from_below: bool) -> Verdict:
    """Return the verdict with the stretch that lets every place pass: the largest of the places' own."""
    needs = [
        place.stretch_to_pass(body[passing])
        for place in places
        if (passing := widest_to_pass(place, body, from_below=from_below)) is not None
    ]
    return Verdict(
        worst.goes_on, worst.route, worst.ring, worst.passing, worst.girth_to_pass, worst.at_full_pull, worst.lacks,
        max(needs),
    )  # fmt: skip


def widest_to_pass(place: Place, body: dict[str, float], *, from_below: bool) -> str | None:
    """Return the name of the widest girth that must pass a place coming from below (or above), its own included."""
    ranks = {name: rank for rank, name in enumerate(LADDER)}
    on_way = [
        name
        for name in body
        if (ranks[name] >= place.rank if from_below else ranks[name] <= place.rank)
        and (place.only is None or name in place.only)
    ]
    return max(on_way, key=lambda name: body[name]) if on_way else None


def _better(verdicts: list[Verdict]) -> Verdict:
    """Return the route that goes on, else the one that asks for least stretch and lacks least."""
    judged = [each for each in verdicts if not each.unknown]
    if not judged:
        return Verdict(True, unknown=tuple(name for each in verdicts for name in each.unknown))
    return min(judged, key=lambda each: (not each.goes_on, each.needed_stretch, each.lacks))
