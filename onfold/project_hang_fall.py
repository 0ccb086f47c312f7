"""Closing the loop: which spread gives a fall on this body in this cloth, and what a fall seen says of the cloth."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

from onfold.cloth import Hung as Reading
from onfold.hang.mechanics import bending_lengths, mechanics_of, softened
from onfold.problems import CODES, Place, Problem, problem
from onfold.project_draft import Draft, draft_for
from onfold.project_hang import HungGarment, Stand, Told, hang_on
from onfold.shelf.ticket import Written
from onfold.units import UNITS, say_length

NEAR = 0.03
"""The share of the fall asked for, within which a spread is good enough."""
FAR = 0.08
"""The share of the fall asked for, by which the widest or the least spread may miss it and still be given."""
HANGS = 5
"""How many times a garment is hung at most to find a spread, or a bending length."""
WIDEST = 120.0
"""mm a slash is opened at most, where the recipe sets no bound."""
LOOKS = 24
"""Spreads looked at from none to the widest, to find one that can be drafted."""
SPREAD, FALL = "spread", "fall"
Span = tuple[float, float]
"""The least and the greatest spread, mm."""
LIMPEST, STIFFEST = 0.5, 2.0
"""Shares of the bending length within which one is sought for a fall that was seen."""
SEEN_NEAR = 0.015
"""The share of a fall seen, within which the fall reckoned is that fall."""
_FINEST = 0.05
"""Two bending lengths are not parted further from here on, as the log of their ratio."""
_SHY = 0.02
"""How much nearer, as a share, a bending length twice or half the guess must come to be preferred to the guess."""


@dataclass(frozen=True, eq=False)
class Fallen:
    """The garment drafted with the spread that gives the fall asked for, all mm. `hangs` are how many it took."""

    found: HungGarment
    asked: float
    spread: float
    hangs: int

    @property
    def fall(self) -> float:
        """Return the fall as it is forecast with the spread."""
        return self.found.answers.fall or 0.0

    @property
    def off(self) -> float:
        """Return how far that is from the fall asked for, mm; below 0 where it falls less."""
        return self.fall - self.asked


def hang_for_fall(stand: Stand, asked: float, says: Told, points: int) -> Fallen | tuple[Problem, ...]:
    """Return the spread whose hang falls as asked, within 3 % where that can be had, else the nearest, or why none."""
    loop = _Loop(stand)
    if not loop.has_cowl:
        return (_no_cowl(stand, asked),)
    span = loop.span()
    if span is None:
        return (_no_spread(stand, asked),)
    reading = stand.ticket.cloth.hung
    goal = asked / (1.0 if reading is None else reading.fall / reading.reckoned)
    hung: dict[float, Fallen] = {}
    spread = loop.spread_for(goal, span)
    while len(hung) < HANGS:
        spread = loop.untried(loop.rounded(spread, span), hung, span)
        draft = loop.draft(spread)
        if spread in hung or draft is None:
            break
        what = f"hanging it with {say_length(spread, stand.ticket.units, 32)} of spread"
        found = hang_on(stand, draft.pattern, stand.ticket.cloth, says, what, points=points)
        if not isinstance(found, HungGarment):
            return found
        hung[spread] = Fallen(found, asked, spread, len(hung) + 1)
        if abs(hung[spread].off) <= NEAR * asked or not says(what, 1.0):
            break
        spread = _next(hung, asked, loop, span)
    best = min(hung.values(), key=lambda each: abs(each.off))
    best = replace(best, hangs=len(hung))
    least, most = (loop.rounded(end, span) for end in span)
    unreached = best.off < -FAR * asked and max(hung) >= most - 0.01
    if unreached or (best.off > FAR * asked and min(hung) <= least + 0.01):
        return (_out_of_reach(stand, best, unreached),)
    return best


def _next(hung: dict[float, Fallen], asked: float, loop: _Loop, span: Span) -> float:
    """Return the spread to try next: between the nearest that fall too little and too much; else in proportion, then
    the end."""
    less = [each for each in hung.values() if each.off < 0.0]
    more = [each for each in hung.values() if each.off >= 0.0]
    if less and more:
        low, high = max(less, key=lambda each: each.fall), min(more, key=lambda each: each.fall)
        share = min(0.9, max(0.1, -low.off / max(high.off - low.off, 1e-9)))
        return low.spread + share * (high.spread - low.spread)
    if len(hung) > 1:
        # opened wider a cowl falls less and less of what the draft expects: look at the end before more is guessed
        return span[1] if less else span[0]
    (nearest,) = hung.values()
    even = loop.even_fall(nearest.spread)
    return loop.spread_for(even * asked / max(nearest.fall, 0.2 * asked), span)


class _Loop:
    """A ticket's draft with one spread after another, in memory."""

    def __init__(self, stand: Stand) -> None:
        self.stand = stand
        self.drafts: dict[float, Draft | None] = {}
        draft = stand.garment.draft
        assert draft is not None
        self.stops = _stops(draft)
        self.choice = draft.choices.get(SPREAD)
        self.has_cowl = "cowl fall" in draft.pattern.facts and self.choice is not None

    def draft(self, spread: float) -> Draft | None:
        """Return the draft with this spread, mm; None where it makes a stop that the ticket's own draft has not."""
        key = round(spread, 4)
        if key not in self.drafts:
            garment, ticket = self.stand.garment, self.stand.ticket
            assert garment.recipe is not None
            choices = {name: each for name, each in ticket.choices.items() if name != FALL}
            choices[SPREAD] = Written(f"{key:.4f} mm", Place(ticket.file))
            made = draft_for(replace(ticket, choices=choices), garment.recipe, garment.memory, garment.finish_memory)
            sound = "cowl fall" in made.pattern.facts and _stops(made) <= self.stops
            self.drafts[key] = made if sound else None
        return self.drafts[key]

    def even_fall(self, spread: float) -> float:
        """Return the fall that the draft itself expects with this spread, mm; beyond all where it cannot be drafted."""
        draft = self.draft(spread)
        return math.inf if draft is None else draft.pattern.facts["cowl fall"].value

    def span(self) -> Span | None:
        """Return the least and the greatest spread that can be drafted, mm; None where none can.

        Too little of it may set a strap above the shoulder, too much turns the front too far.
        """
        bound = self.choice.most if self.choice is not None else None
        widest = WIDEST if bound is None else bound
        tries = (k / LOOKS * widest for k in range(LOOKS + 1))
        sound = next((each for each in tries if self.draft(each) is not None), None)
        if sound is None:
            return None
        return self._end(sound, 0.0), self._end(sound, widest)

    def _end(self, sound: float, end: float) -> float:
        """Return the spread nearest to `end` that can be drafted, from one that can."""
        if self.draft(end) is not None:
            return end
        for _ in range(12):
            middle = 0.5 * (sound + end)
            sound, end = (sound, middle) if self.draft(middle) is None else (middle, end)
        return sound

    def spread_for(self, fall: float, span: Span) -> float:
        """Return the spread with which the draft itself expects this fall, mm, held within what can be drafted."""
        low, high = span
        for _ in range(20):
            middle = 0.5 * (low + high)
            low, high = (low, middle) if self.even_fall(middle) >= fall else (middle, high)
        return 0.5 * (low + high)

    @property
    def step(self) -> float:
        """Return the least by which a maker sets a spread, mm."""
        return UNITS["in"] / 32.0 if self.stand.ticket.units == "in" else 0.5

    def untried(self, spread: float, hung: Mapping[float, Fallen], span: Span) -> float:
        """Return the spread, or where it has been hung the nearest beside it that has not: a cowl can leap."""
        beside = [spread + side * k * self.step for k in (1, 2) for side in (1.0, -1.0)]
        for each in (spread, *beside):
            near = self.rounded(each, span)
            if near not in hung:
                return near
        return spread

    def rounded(self, spread: float, span: Span) -> float:
        """Return the spread as a maker sets it, to half a mm or 1/32 in, and never to what cannot be drafted."""
        held = min(max(spread, span[0]), span[1])
        down = math.floor(held / self.step) * self.step
        up = down + self.step
        by_nearness = sorted((down, up), key=lambda each: abs(each - held))
        return next((each for each in by_nearness if self.draft(each) is not None), held)


def _stops(draft: Draft) -> frozenset[str]:
    wanted = ("drafting", "check")
    problems = draft.pattern.problems
    return frozenset(each.code for each in problems if each.severity == "stop" and CODES[each.code].group in wanted)


def _no_cowl(stand: Stand, asked: float) -> Problem:
    return problem(
        "HANG-FALL",
        says="This garment has no cowl that a choice 'spread' opens, so no fall can be asked of it.",
        found="no cowl with a spread",
        expected=f"a cowl to fall {say_length(asked, stand.ticket.units)}",
        remedy="Leave --fall out, or take a recipe with a cowl.",
        where=Place(str(stand.garment.path)),
    )


def _no_spread(stand: Stand, asked: float) -> Problem:
    return problem(
        "HANG-FALL",
        says="Whatever its spread, this cowl cannot be drafted as the ticket stands, so no fall can be asked of it.",
        found="a stop with every spread",
        expected=f"a cowl to fall {say_length(asked, stand.ticket.units)}",
        remedy="Clear the stops of the pattern first: onfold check names them.",
        where=Place(str(stand.garment.path)),
    )


def no_fall(stand: Stand) -> Problem:
    """Return the problem of a fall seen on a garment without a cowl."""
    return problem(
        "HANG-FALL",
        says="This garment has no cowl, so no fall of one can have been seen.",
        found="no cowl",
        expected="a garment with a cowl",
        remedy="Leave --seen out, or name the ticket of the garment that was hung.",
        where=Place(str(stand.garment.path)),
    )


def _out_of_reach(stand: Stand, best: Fallen, too_little: bool) -> Problem:
    units = stand.ticket.units
    fall, spread = say_length(best.fall, units), say_length(best.spread, units, 32)
    which = "largest" if too_little else "smallest"
    return problem(
        "HANG-FALL",
        says=f"No spread gives a fall of {say_length(best.asked, units)}: the {which} found is {fall}, "
        f"with a spread of {spread}.",
        found=fall,
        expected=say_length(best.asked, units),
        remedy="Ask for a fall nearer to it, or change the rise or where the straps are set.",
        where=Place(str(stand.garment.path)),
    )


def say_fallen(fallen: Fallen) -> tuple[str, ...]:
    """Return which spread gives the fall, how near it comes, and what to write."""
    units = fallen.found.units
    spread = say_length(fallen.spread, units, 32)
    times = "one hang" if fallen.hangs == 1 else f"{fallen.hangs} hangs"
    return (
        f"For a fall of {say_length(fallen.asked, units)}: a spread of {spread}. Hung with it the cowl falls "
        f"{say_length(fallen.fall, units)}, {say_length(abs(fallen.off), units, 16)} "
        f"{'less' if fallen.off < 0.0 else 'more'} than asked; found in {times}.",
        f"The ticket is as it was: write choices: {{{SPREAD}: {spread}}}, and no '{FALL}' beside it.",
    )


@dataclass(frozen=True, eq=False)
class Learnt:
    """What a hung garment showed, as it is kept with the cloth, and the garment hung so."""

    found: HungGarment
    reading: Reading
    hangs: int


def learn_from(stand: Stand, seen: float, says: Told, points: int) -> Learnt | tuple[Problem, ...]:
    """Return the bending length, between half and twice the one known, whose hang falls nearest to what was seen.

    What bending alone does not explain stays as seen over reckoned, by which later falls are forecast. A bending length
    far off the known one must come clearly nearer to be taken, for a fall tells little of it where cloth lies close.
    """
    cloth = replace(stand.ticket.cloth, hung=None)
    draft = stand.garment.draft
    assert draft is not None
    along, across = bending_lengths(cloth)
    known = math.sqrt(along * across)
    hung: dict[float, HungGarment] = {}

    def fall_of(share: float) -> float | tuple[Problem, ...]:
        what = f"hanging it with a bending length of {known * share:.0f} mm"
        mechanics = mechanics_of(softened(cloth, known * share))
        found = hang_on(stand, draft.pattern, cloth, says, what, mechanics, points)
        if not isinstance(found, HungGarment):
            return found
        hung[share] = found
        return max(found.answers.cowl.depth if found.answers.cowl is not None else 0.0, 1e-3)

    falls: dict[float, float] = {}
    share: float | None = 1.0
    while share is not None and len(falls) < HANGS:
        fall = fall_of(share)
        if not isinstance(fall, float):
            return fall
        falls[share] = fall
        stopped = not says("weighing what was seen", 0.0)
        share = None if stopped else next_share(falls, seen)
    best = nearest_share(falls, seen)
    length = None if best == 1.0 else known * best
    reading = Reading(seen, falls[best], length)
    found = replace(hung[best], answers=replace(hung[best].answers, reading=seen / falls[best]))
    return Learnt(found, reading, len(falls))


def next_share(falls: dict[float, float], seen: float) -> float | None:
    """Return the share of the known bending length to hang next; None where one is near enough or none promises more.

    `falls` are those hung so far, mm by share. Whether a crisper cloth falls more or less depends on the cowl, so both
    ends are looked at before anything is halved.
    """
    if any(abs(fall / seen - 1.0) <= SEEN_NEAR for fall in falls.values()):
        return None
    shares = sorted(falls)
    between = [
        (low, high)
        for low, high in pairwise(shares)
        if (falls[low] - seen) * (falls[high] - seen) < 0.0 and math.log(high / low) > _FINEST
    ]
    if not between:
        return next((end for end in (STIFFEST, LIMPEST) if end not in falls), None)
    low, high = min(between, key=lambda pair: abs(math.log(pair[0] * pair[1])))
    at = min(0.85, max(0.15, (falls[low] - seen) / (falls[low] - falls[high])))
    return float(low * (high / low) ** at)


def nearest_share(falls: dict[float, float], seen: float) -> float:
    """Return the share whose fall, mm, is nearest to the one seen; one far from 1 only where it is clearly nearer."""
    return min(falls, key=lambda share: abs(math.log(falls[share] / seen)) + _SHY * abs(math.log2(share)))


def say_learnt(learnt: Learnt) -> tuple[str, ...]:
    """Return what was learnt of the cloth from the fall that was seen."""
    units, reading = learnt.found.units, learnt.reading
    said = [f"Seen: a fall of {say_length(reading.fall, units)}."]
    if reading.bending_length is None:
        said.append(f"Hung with the bending length as it was, the cowl falls {say_length(reading.reckoned, units)}.")
    else:
        said.append(
            f"With a bending length of {reading.bending_length:.0f} mm it falls {say_length(reading.reckoned, units)}; "
            "that is kept with the cloth."
        )
    share = reading.fall / reading.reckoned
    if abs(share - 1.0) > SEEN_NEAR:
        said.append(f"What is left is kept too: falls in this cloth are forecast {share:.2f} times as hung.")
    return tuple(said)


def left_over(learnt: Learnt, where: Place) -> list[Problem]:
    """Return a mind where bending alone does not give what was seen by more than a tenth."""
    reading, units = learnt.reading, learnt.found.units
    if abs(reading.fall / reading.reckoned - 1.0) <= 0.1:
        return []
    reckoned, seen = say_length(reading.reckoned, units), say_length(reading.fall, units)
    return [
        problem(
            "HANG-SEEN",
            says=f"However crisp or limp the cloth is taken, the nearest fall is {reckoned}; {seen} was seen.",
            found=seen,
            expected=reckoned,
            remedy="Measure again, straight down from the height of the strap points; look at weight and stretch.",
            where=where,
        )
    ]
