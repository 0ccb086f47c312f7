"""Finding the observation that a maker's own words mean: by its name, its other names, then by close words.

Nothing is guessed: where the words fit several, these are returned and none is chosen.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from math import log, sqrt

from onfold.fitting.observation import Observation

LONGEST = 300
"""Characters of what was said that are looked at."""

SURE, APART = 0.6, 0.12
"""How well words must fit, 1 being the same words, and how much better than the next best, to be taken as meant."""

NEAR, MOST_NEAR = 0.3, 8
"""How well words must fit to be offered, and how many are."""

ALIKE: tuple[tuple[str, ...], ...] = (
    ("gape", "gap", "stand", "proud"),
    ("drag", "dragline"),
    ("fold", "wrinkle", "crease", "ripple", "pucker", "wave"),
    ("tight", "strain", "snug", "small", "squeeze", "narrow"),
    ("pull", "tug"),
    ("loose", "slack", "big", "wide", "roomy", "baggy"),
    ("tummy", "belly", "stomach", "abdomen"),
    ("seat", "bottom", "behind", "bum", "buttock", "rear"),
    ("bust", "breast", "chest", "boob"),
    ("dip", "drop", "droop", "sag", "hang"),
    ("low", "lower", "deep"),
    ("high", "higher"),
    ("ride", "rise", "climb", "creep", "hike"),
    ("slip", "slide", "fall"),
    ("arm", "underarm", "armpit"),
    ("armhole", "armscye"),
    ("hem", "hemline"),
    ("side", "sideways"),
    ("sit", "seated"),
    ("walk", "stride", "step"),
    ("bend", "lean", "stoop", "bow"),
    ("cowl", "drape"),
    ("waist", "waistband", "waistline", "band"),
    ("back", "backward"),
    ("front", "forward"),
    ("vent", "slit", "split"),
    ("long", "longer"),
    ("short", "shorter"),
    ("swing", "kick", "tilt"),
    ("bubble", "poke"),
    ("dig", "cut", "bite"),
    ("below", "under", "beneath"),
    ("spare", "extra", "surplus"),
    ("bra", "underwear"),
    ("pile", "velvet"),
    ("not", "no", "doesn't", "won't"),
    ("cannot", "can't", "unable"),
)
"""Words that mean the same at a try-on; the first of each stands for the others."""

AGAINST: tuple[tuple[str, ...], ...] = (
    ("front", "back"),
    ("left", "right"),
    ("high", "low"),
    ("tight", "loose"),
    ("long", "short"),
)
"""Words that rule one another out: who says one of them doesn't mean an observation that says another."""

_TELL_NOTHING = """
a all always an and any are as at be been both by does feel feels for from get gets go goes he her his i in into is it
it's its just keep keeps little look looks me more much my none nothing of off okay on one or out over quite really
seems she she's so some somehow still such than that the their there these they think this to too up very was we when
where which with you your bit him
"""
_DULL = frozenset(_TELL_NOTHING.split())
_WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*")
_SAME = {word: words[0] for words in reversed(ALIKE) for word in words}
_NOT = "not"
_BARE = frozenset({_NOT, "cannot"})
"""Words that say of something seen that it isn't so, and by themselves nothing."""
_UNKNOWN = 0.6
"""What a word tells that stands in no observation: little, for makers tell more than what they see."""


@dataclass(frozen=True)
class Found:
    """What was meant, or None; `near` are what it may have meant, the best fit first, empty where it was found."""

    observation: Observation | None
    near: tuple[Observation, ...] = ()


def find(observations: Iterable[Observation], said: str) -> Found:
    """Return the observation that a maker's words mean, or those they may mean; neither where no words are known."""
    known = tuple(observations)
    plain = _plain(said)
    exact = [each for each in known if plain in {_plain(name) for name in (each.seen, *each.also)}]
    if len(exact) == 1:
        return Found(exact[0])
    if exact:
        return Found(None, tuple(exact))
    return _closest(known, said)


def _plain(text: str) -> str:
    return " ".join(_WORD.findall(text[:LONGEST].lower().replace("’", "'")))


def _closest(known: tuple[Observation, ...], said: str) -> Found:
    phrases = {each.seen: [_meant(name) for name in (each.seen, *each.also)] for each in known}
    worth = _worth([word for every in phrases.values() for words in every for word in words], len(phrases))
    words = _spelt(_meant(said), worth)
    if words <= _BARE:
        return Found(None)
    fits = sorted(((_fit(words, phrases[each.seen], worth), each) for each in known), key=lambda fit: -fit[0])
    near = [(fit, each) for fit, each in fits if fit >= NEAR]
    if near and near[0][0] >= SURE and (len(near) == 1 or near[0][0] - near[1][0] >= APART):
        return Found(near[0][1])
    return Found(None, tuple(each for _, each in near[:MOST_NEAR]))


def _meant(text: str) -> frozenset[str]:
    """Return the words that tell something, each as the one that stands for its like."""
    words = _WORD.findall(text[:LONGEST].lower().replace("’", "'"))
    return frozenset(_stem(word) for word in words if word not in _DULL)


def _stem(word: str) -> str:
    """Return a word without its ending: `slipping` and `slips` as `slip`, each as the one that stands for its like."""
    for ending in ("", "s", "es", "ed", "ing", "y"):
        bare = word.removesuffix(ending)
        if ending and (bare == word or len(bare) < 3):
            continue
        for form in (bare, f"{bare}e", bare[:-1] if bare[-2:-1] == bare[-1:] else bare):
            if form in _SAME:
                return _SAME[form]
    bare = re.sub(r"(?<=[^\W\d_]{3})(?:ing|ed|es|s)$", "", word)
    return bare[:-1] if bare[-2:-1] == bare[-1:] and len(bare) > 3 else bare.removesuffix("e")


def _worth(words: list[str], observations: int) -> dict[str, float]:
    """Return how much each word tells: one that stands in few phrases more than one that stands in many."""
    counts = Counter(words)
    return {word: 1.0 + log(max(1.0, 3.0 * observations / count)) for word, count in counts.items()}


def _spelt(words: frozenset[str], known: dict[str, float]) -> frozenset[str]:
    """Return the words, each unknown one as the known one it is a slip of, if there is one."""
    spoken = {**{word: same for word, same in _SAME.items() if same in known}, **{word: word for word in known}}
    found = set()
    for word in words:
        near = [word] if word in known else get_close_matches(word, spoken, n=1, cutoff=0.8)
        found.add(spoken.get(near[0], near[0]) if near else word)
    return frozenset(found)


def _fit(said: frozenset[str], phrases: list[frozenset[str]], worth: dict[str, float]) -> float:
    """Return how well words fit an observation, 0 to 1.

    It is the mean of two readings: how like they are to the likest of its phrases, and how much of them is in any.
    """
    sound = [words for words in phrases if not _against(said, words)]
    likest = max((_alike(said, words, worth) for words in sound), default=0.0)
    told = frozenset().union(*sound) & said if sound else frozenset()
    return sqrt(likest * _weight(told, worth) / max(_weight(said, worth), 1e-9))


def _alike(said: frozenset[str], words: frozenset[str], worth: dict[str, float]) -> float:
    """Return what both tell over what either tells, 0 to 1."""
    return _weight(said & words, worth) / max(_weight(said | words, worth), 1e-9)


def _weight(words: frozenset[str], worth: dict[str, float]) -> float:
    return sum(worth.get(word, _UNKNOWN) for word in words)


def _against(said: frozenset[str], words: frozenset[str]) -> bool:
    for pair in AGAINST:
        mine, theirs = said & set(pair), words & set(pair)
        if mine and theirs and not mine & theirs:
            return True
    return (_NOT in said) != (_NOT in words)
