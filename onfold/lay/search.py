"""Our own search for the shortest lay: for folded cloth, stripes, flaws and offcuts as for plain cloth.

Parts are laid one by one, each as little far along the cloth as it can lie beside those before it, in holes between
them too (bottom-left filling: E. Burke et al. 2006, Operations Research 54(3) [M]). What makes a lay is thus the order
of the parts, their ways and bands, and which side they lean to. From the shortest lay of some plain orders the search
takes parts out and lays them again, and keeps a longer lay too as chance will have it, seldom the longer it is and the
further a round has gone (simulated annealing: S. Kirkpatrick, C. Gelatt and M. Vecchi 1983, Science 220(4598) [M]), so
that it climbs out of what is only the best nearby.
"""

from __future__ import annotations

import math
import random
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace

from onfold.geometry.region import area
from onfold.lay.bed import Bed
from onfold.lay.ground import LEANS, Ground, Lean, Repeat, Spot, Stand
from onfold.lay.nofit import GIVE
from onfold.lay.part import Part, Ring
from onfold.lay.placed import Lay, Placed, faults_of

__all__ = ["Repeat", "search"]

_DRAWN_IN = 0.3
"""mm of length that 1 mm less along the cloth for the parts on average is worth: it points the way between lays as
long as each other."""
_HEAT = 0.35
"""The share of a lay's length a part, by which a lay that is kept may on average be longer than the one before it at
the start of a round: measured."""
_ROUND = 400
"""Trials in which the search cools down; then it is heated again, two times in five from the best lay."""
_LEAST = 1e-3
"""mm by which a better lay is better."""
_SWEEPS = 4
"""Times at most that all parts are drawn together."""
_KNOWN = 50_000
"""Places remembered."""

_Hand = tuple[int, int, Lean]
"""A part to lay: its index, the number of its stand (-1: whichever comes to lie best), its lean."""
_Asked = tuple[frozenset[tuple[int, int, int, int]], int, int, Lean]


def search(
    parts: Sequence[Part],
    bed: Bed,
    *,
    kept_off: Sequence[Ring] = (),
    end: float | None = None,
    repeat: Repeat | None = None,
    seed: int = 0,
    trials: int | None = None,
    seconds: float = 4.0,
    start: Lay | None = None,
    progress: Callable[[Lay], bool] | None = None,
) -> Lay | None:
    """Return the shortest lay found, None where the parts cannot all be laid: too wide, no fold, or `end` too near.

    `kept_off` are closed rings, mm, in the cloth as it lies, that nothing may lie on; `end` is the length that may
    not be passed; `repeat` a stripe or check to stand on. The same input, `seed` and number of `trials` give the same
    lay to the bit; None chooses a number by the parts. `seconds` ends the search early, but never before there is a
    lay, which says after how many trials. `start` is a lay of these parts to begin from, left out where it has
    faults. `progress` is called with each better lay; where it returns False the search ends with that.
    """
    until = time.perf_counter() + seconds
    for give in (GIVE, -GIVE):
        # so long an edge that what is given along it is too much for the judge is rare: then nothing is given
        ground = Ground(parts, bed, kept_off, end, repeat, give)
        if not all(ground.stands[kind] for kind in ground.kinds):
            return None
        hunt = _Hunt(ground, random.Random(seed), seed, progress, until)
        hunt.run(_usual_trials(ground) if trials is None else trials, start)
        if hunt.best_lay is not None:
            return hunt.best_lay
    return None


def _usual_trials(ground: Ground) -> int:
    """Return how many trials a search usually gets through in some 3 s: measured, 6.5 microseconds by parts squared."""
    count = max(1, len(ground.parts))
    return min(6000, max(1000, 450_000 // (count * count)))


@dataclass(frozen=True)
class _State:
    """A lay in the making: parts in the order they were laid in, its length and its cost, mm (see `_DRAWN_IN`)."""

    hands: tuple[_Hand, ...] = ()
    spots: tuple[Spot, ...] = ()
    lies: float = 0.0
    cost: float = 0.0


def _state(hands: Sequence[_Hand], spots: Sequence[Spot]) -> _State:
    lies = max((spot.end for spot in spots), default=0.0)
    drawn = sum(spot.end for spot in spots) / max(1, len(spots))
    return _State(tuple(hands), tuple(spots), lies, lies + _DRAWN_IN * drawn)


class _Stopped(Exception):
    """The search is to end: time is up, or the caller has had enough."""


@dataclass
class _Hunt:
    """One search: the best found so far, and the places remembered."""

    ground: Ground
    chance: random.Random
    seed: int
    progress: Callable[[Lay], bool] | None
    until: float
    best: _State | None = None
    best_lay: Lay | None = None
    trials: int = 0
    known: dict[_Asked, tuple[float, Spot | None]] = field(default_factory=dict)

    def run(self, trials: int, start: Lay | None) -> None:
        """Search so many trials long; the best is kept as it is found."""
        try:
            state = self._begin(trials, start)
            if state is not None:
                self._improve(state, trials)
        except _Stopped:
            pass
        if self.best_lay is not None:
            self.best_lay = replace(self.best_lay, trials=self.trials)

    def _begin(self, trials: int, start: Lay | None) -> _State | None:
        """Return the shortest of the lays to begin with: the one given and those of some plain orders."""
        found = []
        given = _given(self.ground, start) if start is not None else None
        if given is not None:
            found.append(self._regarded(given))
        for order in _orders(self.ground):
            if self.trials >= trials and self.best is not None:
                break
            found.append(self._tried(_State(), order, math.inf))
        return min((each for each in found if each is not None), key=lambda each: each.cost, default=None)

    def _improve(self, state: _State, trials: int) -> None:
        floor = _floor(self.ground)
        while self.trials < trials and self.best is not None and self.best.lies > floor + _LEAST:
            if self.trials % _ROUND == 0 and self.chance.random() < 0.4:
                state = self.best
            cooled = 1.0 - (self.trials % _ROUND) / _ROUND
            heat = _HEAT * state.lies / len(state.spots) * cooled * cooled
            bar = state.cost - heat * math.log(1.0 - self.chance.random())
            made = self._tried(*self._taken_out(state), bar)
            state = made if made is not None and made.cost <= bar else state

    def _taken_out(self, state: _State) -> tuple[_State, list[_Hand]]:
        """Return what stays of a lay, and what is to be laid again in its new order and ways."""
        hands, count, chance = list(state.hands), len(state.hands), self.chance
        if chance.random() < 0.7:
            first = chance.randrange(count)
            return _only(state, range(first)), self._shuffled(hands[first:])
        farthest = max(range(count), key=lambda k: state.spots[k].end)
        out = {chance.randrange(count) for _ in range(1 + chance.randrange(4))}
        out |= {farthest} if chance.random() < 0.6 else set()
        again = [self._changed(hands[k]) for k in sorted(out)]
        chance.shuffle(again)
        return _only(state, [k for k in range(count) if k not in out]), again

    def _shuffled(self, hands: list[_Hand]) -> list[_Hand]:
        """Return hands with two of them changed about, or one put elsewhere, or one laid another way."""
        a, b = self.chance.randrange(len(hands)), self.chance.randrange(len(hands))
        which = self.chance.random()
        if a == b or which < 0.3:
            hands[a] = self._changed(hands[a])
        elif which < 0.65:
            hands[a], hands[b] = hands[b], hands[a]
        else:
            hands.insert(b, hands.pop(a))
        return hands

    def _changed(self, hand: _Hand) -> _Hand:
        """Return a hand with its stand, its lean or both drawn anew."""
        index, stand, lean = hand
        which = self.chance.random()
        if which < 0.6:
            stand = self.chance.randrange(-1, len(self.ground.stands[self.ground.kinds[index]]))
        if which > 0.3:
            lean = self.chance.choice(LEANS)
        return index, stand, lean

    def _tried(self, kept: _State, hands: Sequence[_Hand], bar: float) -> _State | None:
        """Return the lay of what was kept and of the hands laid in their order, None where it would pass `bar` mm."""
        self.trials += 1
        told, spots = list(kept.hands), list(kept.spots)
        bar -= _DRAWN_IN * sum(spot.end for spot in spots) / max(1, len(spots) + len(hands))
        for index, stand, lean in hands:
            if self.best is not None and time.perf_counter() > self.until:
                self.trials -= 1
                raise _Stopped
            found = self._best_of(index, stand, lean, spots, bar)
            if found is None:
                return None
            told.append((index, found[0], lean))
            spots.append(found[1])
        return self._regarded(_state(told, spots))

    def _best_of(self, index: int, stand: int, lean: Lean, laid: Sequence[Spot], bar: float) -> tuple[int, Spot] | None:
        """Return the stand and the place at which a part makes the lay least longer, then lies least far along."""
        stands = self.ground.stands[self.ground.kinds[index]]
        lies = max((spot.end for spot in laid), default=0.0)
        found = []
        for number in range(len(stands)) if stand < 0 else (stand,):
            spot = self._placed(stands[number], laid, bar, lean)
            if spot is not None:
                found.append(((max(spot.end, lies), spot.end, number), spot))
        if not found:
            return None
        rank, spot = min(found, key=lambda each: each[0])
        return rank[2], spot

    def _placed(self, stand: Stand, laid: Sequence[Spot], limit: float, lean: Lean) -> Spot | None:
        """Return what `Ground.place` does, remembered."""
        beside = frozenset((spot.stand.number, spot.stand.band, *spot.units) for spot in laid)
        asked = (beside, stand.number, stand.band, lean)
        known = self.known.get(asked)
        if known is not None and (known[1] is not None or limit <= known[0]):
            return known[1] if known[1] is not None and known[1].end <= limit else None
        spot = self.ground.place(stand, laid, limit, lean)
        if len(self.known) >= _KNOWN:
            self.known.clear()
        self.known[asked] = (limit, spot)
        return spot

    def _regarded(self, state: _State) -> _State | None:
        """Return the state; the best so far is first drawn together, judged, kept and shown. None for a faulty one."""
        if self.best is not None and (state.lies, state.cost) >= (self.best.lies - _LEAST, self.best.cost):
            return state
        state = self._drawn_together(state)
        lay = self._lay(state)
        if faults_of(lay, self.ground.parts):
            return None
        shorter = self.best is None or state.lies < self.best.lies - _LEAST
        self.best, self.best_lay = state, lay
        if shorter and self.progress is not None and not self.progress(lay):
            raise _Stopped
        return state

    def _drawn_together(self, state: _State) -> _State:
        """Return a state with each part in turn, from the start on, laid anew beside all others while any gains."""
        hands, spots = list(state.hands), list(state.spots)
        for _ in range(_SWEEPS):
            gained = False
            for k in sorted(range(len(spots)), key=lambda k: spots[k].end):
                others = [*spots[:k], *spots[k + 1 :]]
                found = self._best_of(hands[k][0], -1, "either side", others, spots[k].end - _LEAST)
                if found is not None:
                    hands[k], spots[k] = (hands[k][0], found[0], hands[k][2]), found[1]
                    gained = True
            if not gained:
                break
        return _state(hands, spots)

    def _lay(self, state: _State) -> Lay:
        placed = [
            (hand[0], Placed(self.ground.parts[hand[0]], spot.stand.way, spot.x, spot.y, spot.stand.band))
            for hand, spot in zip(state.hands, state.spots, strict=True)
        ]
        placed.sort(key=lambda each: each[0])
        kept_off = tuple(self.ground.kept_off)
        return Lay(
            self.ground.bed,
            tuple(each for _, each in placed),
            kept_off,
            self.ground.end,
            seed=self.seed,
            trials=self.trials,
        )


def _only(state: _State, which: Iterable[int]) -> _State:
    """Return those parts of a state, unweighed."""
    kept = list(which)
    return _State(tuple(state.hands[k] for k in kept), tuple(state.spots[k] for k in kept))


def _orders(ground: Ground) -> list[list[_Hand]]:
    """Return the parts in some plain orders, those on a fold first, each to be laid whichever way is best."""
    stands = [ground.stands[kind] for kind in ground.kinds]
    length = [min(stand.right - stand.left for stand in each) for each in stands]
    width = [min(stand.width for stand in each) for each in stands]
    size = [abs(area(part.ring)) for part in ground.parts]
    orders: list[list[_Hand]] = []
    for measure in (size, length, width, [a * b for a, b in zip(length, width, strict=True)]):
        for lean in LEANS[:3]:
            order = sorted(range(len(stands)), key=lambda k: (not ground.parts[k].on_fold, -measure[k], k))
            orders.append([(k, -1, lean) for k in order])
    return orders


def _floor(ground: Ground) -> float:
    """Return a length, mm, that no lay can be shorter than: by the cloth the parts cover, and by the longest part."""
    covered = sum(abs(area(part.ring)) for part in ground.parts) / sum(band.room for band in ground.bed.bands)
    longest = (min(stand.right - stand.left for stand in ground.stands[kind]) for kind in ground.kinds)
    return max([covered, *longest])


def _given(ground: Ground, start: Lay) -> _State | None:
    """Return a given lay as a state, parts in the order they come along the cloth; None where it is of other parts."""
    where = {id(part): k for k, part in enumerate(ground.parts)}
    if start.bed != ground.bed or faults_of(start, ground.parts):
        return None
    hands, spots = [], []
    for each in start.placed:
        found = ground.as_placed(where[id(each.part)], each)
        if found is None:
            return None
        hands.append((where[id(each.part)], -1, LEANS[0]))
        spots.append(found)
    order = sorted(range(len(spots)), key=lambda k: (spots[k].end, k))
    return _state([hands[k] for k in order], [spots[k] for k in order])
