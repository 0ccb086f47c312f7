"""The nouns of an alteration: what is found beyond the seam lines of a made garment, and what is to be done to it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, get_args

from onfold.problems import Place

SeamVerb = Literal["let out", "take in"]
EdgeVerb = Literal["shorten", "take up", "let down"]
ThingVerb = Literal["replace", "mend"]
SEAM_VERBS: tuple[SeamVerb, ...] = get_args(SeamVerb)
EDGE_VERBS: tuple[EdgeVerb, ...] = get_args(EdgeVerb)
THING_VERBS: tuple[ThingVerb, ...] = get_args(ThingVerb)
VERBS: tuple[str, ...] = (*SEAM_VERBS, *EDGE_VERBS, *THING_VERBS)

LEVELS: dict[str, float] = {
    "neck": 0.0,
    "shoulder": 1.0,
    "underarm": 2.0,
    "upper arm": 2.5,
    "bust": 3.0,
    "chest": 3.0,
    "underbust": 4.0,
    "elbow": 4.5,
    "waist": 5.0,
    "hip": 6.0,
    "fork": 7.0,
    "thigh": 8.0,
    "wrist": 8.5,
    "knee": 9.0,
    "calf": 10.0,
    "ankle": 11.0,
    "hem": 12.0,
}
"""Where a seam may be said to begin or end, from the top down; a number only says what lies above what."""

GARMENT_ONLY: tuple[str, ...] = ("hem", "length", "sleeve", "outside leg")
"""Measures that a garment has and a body has not, beside those of the tape."""


@dataclass(frozen=True)
class Found:
    """What lies beyond a seam line of the garment as it is, on each side: all of it, mm, to the raw edge.

    `finish` is how it is to be sewn again; '' where nothing is said.
    """

    inlay: float
    finish: str = ""
    place: Place = field(default_factory=Place)


@dataclass(frozen=True)
class Work:
    """One thing to be done. `what` is the seam, the edge or the thing; `by` mm, at a seam on each side of it.

    `start` and `stop` are the levels between which the whole amount is let out or taken in; '' is the seam's own end.
    `seams` says how many seams of this name are meant, 0 where it is not said.
    """

    verb: str
    what: str
    by: float = 0.0
    start: str = ""
    stop: str = ""
    seams: int = 0
    place: Place = field(default_factory=Place)
    excerpt: str = ""


@dataclass(frozen=True)
class Alteration:
    """What is to be done to a garment that was made elsewhere. `measured` are its own measures, mm, girths in full."""

    garment: str
    found: dict[str, Found] = field(default_factory=dict)
    measured: dict[str, float] = field(default_factory=dict)
    work: tuple[Work, ...] = ()
    notes: str = ""
    place: Place = field(default_factory=Place)
