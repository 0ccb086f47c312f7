"""Which cloth a toile is cut from: calico, or the one the ticket keeps for it; for stretch garments a like one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from onfold.cloth import Cloth, settle
from onfold.pattern import Level
from onfold.problems import Place, Problem, problem
from onfold.units import System, say_length, say_share

TOILE = "toile"
"""What the ticket's other cloths call it."""
LIKE = 0.05
"""A toile's cloth is like the garment's where their stretch differs by no more than this, a share [C]."""
TAKEN_IN = 0.5
"""mm a level may be finished below the body by rounding alone."""

CALICO = settle("woven", 1500.0, name="calico", fibre=(("cotton", 1.0),), weight=150.0, recovery=0.98)
"""Bleached or unbleached plain-weave cotton, 150 cm wide, no nap [C]."""


@dataclass(frozen=True)
class Asking:
    """What decides a toile's cloth: what the recipe is drafted for, its levels, the garment's cloth, the maker's units.

    `given` is the cloth that the ticket keeps for the toile, or None.
    """

    made_for: str
    levels: Mapping[str, Level]
    cloth: Cloth
    units: System
    given: Cloth | None = None
    where: Place = field(default_factory=Place)


def needs_stretch(asking: Asking) -> bool:
    """Return whether a garment is drafted for stretch: for a knit, or with a level taken in below the body."""
    taken_in = any(level.body - level.finished > TAKEN_IN for level in asking.levels.values() if level.body > 0.0)
    return asking.made_for == "knit" or taken_in


def toile_cloth(asking: Asking) -> tuple[Cloth | None, list[Problem]]:
    """Return the cloth of the toile, None with a stop where there is none that the garment could be tried in.

    A cloth that stretches otherwise than the garment's, by more than `LIKE`, is used with a mind.
    """
    if asking.given is None:
        return (None, [_refused(asking, None)]) if needs_stretch(asking) else (CALICO, [])
    given = asking.given
    worn = max((level.wearing_stretch for level in asking.levels.values() if level.body > 0.0), default=0.0)
    stiff = given.stretch_across <= 0.0 < asking.cloth.stretch_across
    if needs_stretch(asking) and (stiff or given.stretch_across < worn):
        return None, [_refused(asking, given)]
    unlike = _unlike(asking, given)
    return given, [unlike] if unlike is not None else []


def _refused(asking: Asking, given: Cloth | None) -> Problem:
    tightest = max(
        (level for level in asking.levels.values() if level.body > 0.0),
        key=lambda level: level.wearing_stretch,
        default=None,
    )
    worn = tightest is not None and tightest.wearing_stretch > 0.0
    if tightest is not None and worn:
        why = (
            f"at the {tightest.name} it is finished {say_length(tightest.finished, asking.units)} round a body of "
            f"{say_length(tightest.body, asking.units)}"
        )
    else:
        why = "its recipe is for a knit"
    stuff = "calico" if given is None else given.name
    gives = "does not stretch" if given is None else f"stretches {say_share(given.stretch_across)} across"
    return problem(
        "TOILE-STRETCH",
        says=f"This garment is drafted for stretch: {why}. In {stuff}, which {gives}, it could not be put on, and its "
        "fit would tell nothing of the garment's.",
        found=stuff,
        expected=f"a cloth of like stretch and weight: {_told(asking.cloth)}",
        remedy="Cut the toile from a cheap cloth of like stretch and weight, and describe it in the ticket: "
        f"other cloths: {{{TOILE}: {{{_written(asking)}}}}}.",
        where=asking.where,
    )


def _told(cloth: Cloth) -> str:
    return (
        f"{say_share(cloth.stretch_across)} across, {say_share(cloth.stretch_along)} along, {round(cloth.weight)} g/m2"
    )


def _written(asking: Asking) -> str:
    cloth = asking.cloth
    width = say_length(cloth.width, asking.units)
    stretch = f"{{across: {say_share(cloth.stretch_across)}, along: {say_share(cloth.stretch_along)}}}"
    return f"kind: {cloth.kind}, width: {width}, stretch: {stretch}, weight: {round(cloth.weight)} g/m2"


def _unlike(asking: Asking, given: Cloth) -> Problem | None:
    """Return a mind where the toile's cloth stretches otherwise than the garment's, either way; else None."""
    pairs = [
        ("across", given.stretch_across, asking.cloth.stretch_across),
        ("along", given.stretch_along, asking.cloth.stretch_along),
    ]
    off = [(way, here, there) for way, here, there in pairs if abs(here - there) > LIKE + 1e-9]
    if not off:
        return None
    found = " and ".join(f"{say_share(here)} {way}" for way, here, _ in off)
    wanted = " and ".join(f"{say_share(there)} {way}" for way, _, there in off)
    return problem(
        "TOILE-CLOTH",
        says=f"The toile's cloth, {given.name}, stretches {found}; the garment's, {asking.cloth.name}, {wanted}. The "
        "toile will sit looser or closer than the garment.",
        found=found,
        expected=f"{wanted}, within {say_share(LIKE)}",
        remedy="Take a cloth nearer to it, or allow for the difference when you judge the fit.",
        where=asking.where,
    )
