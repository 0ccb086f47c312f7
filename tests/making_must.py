"""What must stand before what, said by hand: the whole of why an order of a garment's operations is possible.

Held against the reader by swaps: an order of the operations of `making_orders` is possible exactly where every line
here holds. The right-hand operation comes after the left-hand one; where several stand at the left, after any of them;
a seam may be let off where it is sewn last of all.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

MUST: Mapping[str, str] = {
    "choir-sheath": """
        strap seam, turn strap, strap to front, neck fold
        turn strap, strap to back
        armholes, neck fold
        side seam, level, hem
        hang, hem
    """,
    "straight-skirt": """
        front dart, waist seam
        back dart, waist seam
        side seam, waist seam
        back opening, waist seam, band fold
        band ends, band fold
        side seam, level, hem
        hang, hem
    """,
    "woven-shirt": """
        shoulder seam, neck
        shoulder seam, sleeve seam
        side seam, sleeve seam
        underarm seam, sleeve seam
        underarm seam, sleeve hems
        side seam, level, hem
    """,
    "knit-shirt": """
        shoulder seam, neck
        shoulder seam, sleeve seam, side seam, hem
        sleeve seam, underarm seam
        sleeve hems, underarm seam
    """,
    "lined-dress": """
        shoulder seam, neck seam
        lining shoulder seam, neck seam
        shoulder seam, armhole seam
        lining shoulder seam, armhole seam, lining side seam, lining hem
        armhole seam, side seam, level, hem
        hang, hem
        neck seam or armhole seam, turn lining front
    """,
    "bagged-dress": """
        shoulder seam, neck seam
        lining shoulder seam, neck seam
        lining centre back seam, neck seam
        shoulder seam, armhole seam
        side seam, armhole seam
        lining shoulder seam, armhole seam
        lining side seam, armhole seam
        side seam, hem seam
        lining side seam, hem seam
        lining low back seam, hem seam
        neck seam or armhole seam or hem seam, turn lining back
        neck seam unless last, turn lining back
        armhole seam, turn lining back
        hem seam unless last, turn lining back
        turn lining back, the last seam
    """,
    "zip-dress": """
        side dart, side seam, level, hem
        centre back seam, level
        hang, hem
        shoulder seam, neck seam
        facing seam, neck seam
        back opening, neck seam
        shoulder seam, armholes
        side seam, armholes
    """,
    "collared-blouse": """
        collar seam, turn upper collar
        collar end seam, turn upper collar, under collar neck seam, neck seam
        turn upper collar, upper collar neck seam, neck seam
        shoulder seam, under collar neck seam
        shoulder seam, upper collar neck seam
        facing seam, neck seam
        shoulder seam, armholes
        side seam, armholes
        side seam, hem
        front edges, front opening
    """,
    "trousers": """
        side seam, waist seam, band fold
        crotch seam, waist seam
        front opening, waist seam
        band ends, band fold
        side seam, hems
        inside-leg seam, hems
    """,
    "tiered-skirt": """
        tier one side seam, tier two seam
        tier two side seam, tier two seam
        tier two side seam, tier three seam
        tier three side seam, tier three seam
        tier one side seam, casing
        tier three side seam, level, hem
        hang, hem
    """,
    "wrap-skirt": """
        tie seam, turn tie, tie to waistband, band ends, band fold
        tie points, turn tie
        side seam, waist seam, band fold
        side seam, level, hem
        hang, hem
        front edges, wrap
    """,
}
LAST_SEAM, UNLESS = "the last seam", " unless last"


def holds(garment: str, names: list[str], seams: set[str]) -> bool:
    """Whether an order of a garment's operations, by name, holds every line; `seams` are those that are sewn."""
    place = {name: at for at, name in enumerate(names)}
    place[LAST_SEAM] = max(place[name] for name in names if name in seams)
    for line in MUST[garment].strip().splitlines():
        chain = [step.strip() for step in line.split(",")]
        for first, then in pairwise(chain):
            name, exempt = first.removesuffix(UNLESS), first.endswith(UNLESS)
            if exempt and place[name] == place[LAST_SEAM]:
                continue
            if min(place[each] for each in name.split(" or ")) >= place[then]:
                return False
    return True
