"""Whether the hem lets the wearer walk: the hull of two legs one step apart, against the hem or the top of its vent."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from onfold.checks.girths import Slice, girths_at, slices_of
from onfold.checks.openings import heights_of
from onfold.checks.subject import Subject, fact, finish_of, measure
from onfold.cloth import comfort_across
from onfold.construction import give_of
from onfold.pattern import Opening, edges_of
from onfold.problems import Problem, problem
from onfold.units import capital

STEP_OF_HEIGHT = 0.41  # of the height [C]
CALF_OF_KNEE, ANKLE_OF_KNEE = 0.72, 0.20  # heights of calf and ankle, of the knee's [C]
HIP_JOINT_OF_HEIGHT = 0.52  # where neither the joint nor the hip level is known [C]
HIP_KEPT = 30.0  # mm below the hip level that stay closed [C]
TRUED = 0.98  # of a hem's girth that is left at least once the garment is drafted shorter [C]
SWEPT = 1.15  # what a hem must be let out by for each mm round: swept square to the sides, it slides up them [C]
_WITHIN = 1.0  # mm
_WALK = 5.0  # mm between two readings where a longer vent is looked for


@dataclass(frozen=True)
class Walk:
    """What of the body a stride depends on, mm: one step, the hip joint's height, the waist's, and the leg's girths.

    `leg` are (height, girth) from the floor up.
    """

    step: float
    joint: float
    waist: float
    leg: tuple[tuple[float, float], ...]


def stride_girth(step: float, joint: float, hem: float, leg: float) -> float:
    """Return the girth that two legs one step apart need at a height, mm: the hull of two equal circles [A].

    All mm: the step from heel to heel, the heights of the hip joint and of the hem above the floor, the leg's girth
    there. The legs part in proportion to their distance from the joint.
    """
    apart = step * max(0.0, joint - hem) / joint if joint > 0.0 else 0.0
    return 2.0 * apart + leg


def walk_of(subject: Subject) -> Walk | None:
    """Return the wearer's walk from the measures; None where waist height or leg is not known."""
    waist, height = measure(subject, "waist to floor"), measure(subject, "height")
    step = measure(subject, "step") or (STEP_OF_HEIGHT * height if height else None)
    joint = measure(subject, "hip joint height")
    if joint is None and waist:
        drop = measure(subject, "waist to hip")
        joint = waist - drop if drop else HIP_JOINT_OF_HEIGHT * height if height else None
    leg = _leg(subject)
    if not (waist and step and joint and leg):
        return None
    return Walk(step, joint, waist, leg)


def _leg(subject: Subject) -> tuple[tuple[float, float], ...]:
    waist, to_knee = measure(subject, "waist to floor"), measure(subject, "waist to knee")
    knee_up = measure(subject, "knee height") or (waist - to_knee if waist and to_knee else None)
    if not knee_up:
        return ()
    heights = {
        "ankle": ANKLE_OF_KNEE * knee_up,
        "calf": CALF_OF_KNEE * knee_up,
        "knee": knee_up,
        "thigh": measure(subject, "inside leg"),
    }
    taken = ((heights[name], measure(subject, name)) for name in heights)
    return tuple(sorted((up, girth) for up, girth in taken if up and girth))


def leg_girth(walk: Walk, height: float) -> float:
    """Return the girth of one leg at a height above the floor, mm, between those known in proportion."""
    ups, girths = zip(*walk.leg, strict=True)
    return float(np.interp(height, ups, girths))


@dataclass(frozen=True)
class Hem:
    """The ring that holds the legs: its y on the guide piece, finished girth and girth as it gives in walking, mm."""

    y: float
    finished: float
    gives: float
    vent: str = ""


def hem_of(subject: Subject) -> Hem | None:
    """Return the hem, or the ring at the top of its vent: below that the vent opens."""
    slices = slices_of(subject)
    level = subject.pattern.levels.get("hem")
    if not slices or level is None or level.finished <= 0.0:
        return None
    comfort = comfort_across(subject.round_cloth)
    for vent in vents_of(subject):
        span = heights_of(subject, slices, vent)
        if span is not None:
            girth = float(girths_at(slices, np.array([span[1] + 0.1]))[0])
            return Hem(span[1], girth, girth * (1.0 + comfort), vent.name) if math.isfinite(girth) else None
    guide = slices[0]
    y = guide.heights.get("hem", float(guide.outline[:, 1].min()))
    gives = [finish_of(subject, each.piece, edge) for each in slices for edge in edges_of(each.piece, "hem")]
    give = min([comfort, *(give_of(each, comfort) for each in gives if each)])
    return Hem(y, level.finished, level.finished * (1.0 + give))


def vents_of(subject: Subject) -> list[Opening]:
    """Return the openings that stay open, and those edges named a vent or slit that no opening names."""
    found = [opening for opening in subject.pattern.openings if opening.closes == "none"]
    named = {text for opening in found for text in opening.edges}
    for each in slices_of(subject):
        for edge in each.piece.edges:
            text = f"{edge.root} of {each.piece.name}"
            if edge.root in ("vent", "slit") and text not in named:
                found.append(Opening(edge.root, (text,), subject.lengths[each.piece.name, edge.name], "none"))
    return found


def waist_y(slices: tuple[Slice, ...]) -> float | None:
    """Return the y of the waist on the guide piece, mm, or None where the garment has none."""
    guide = slices[0]
    if "waist" in guide.heights:
        return guide.heights["waist"]
    leaves = edges_of(guide.piece, "waist")
    return min(float(leaf.path.curves[:, (0, 3), 1].min()) for leaf in leaves) if leaves else None


def stride_asked(subject: Subject) -> tuple[Walk, Hem, float] | None:
    """Return the wearer's walk, the ring that holds the legs, and the girth, mm, that a stride asks for there.

    None where the garment has no hem, the body's figures are not known, or nothing closes round the legs.
    """
    slices = slices_of(subject)
    walk, hem = walk_of(subject), hem_of(subject)
    waist = waist_y(slices) if slices else None
    if walk is None or hem is None or waist is None or subject.pattern.worn != "closed":
        return None
    up = walk.waist - (waist - hem.y)
    return walk, hem, stride_girth(walk.step, walk.joint, up, leg_girth(walk, up))


def stride(subject: Subject) -> list[Problem]:
    """STRIDE: hem, or the top of its vent, goes round two legs one step apart, stretched in comfort.

    Source [A]: hull of two equal circles, 2 x distance + girth. The step, 0.41 x height where not taken: [C].
    """
    asked = stride_asked(subject)
    if asked is None or asked[1].gives >= asked[2] - _WITHIN:
        return []
    walk, hem, needs = asked
    where = f"At the top of the {hem.vent}" if hem.vent else "At the hem"
    taped = measure(subject, "step") is not None and not subject.untaped("step")
    step = f"{subject.say(walk.step)}{'' if taped else ' (not taped)'}"
    gives = f", {subject.say(hem.gives)} as it gives" if hem.gives > hem.finished + _WITHIN else ""
    return [
        problem(
            "STRIDE",
            says=f"{where} the garment measures {subject.say(hem.finished)}{gives}; a step of {step} asks for "
            f"{subject.say_up(needs)} there. It would shorten the stride.",
            found=subject.say(hem.gives),
            expected=f"at least {subject.say_up(needs)}",
            remedy=_remedy(subject, walk, hem, needs),
        )
    ]


def _remedy(subject: Subject, walk: Walk, hem: Hem, needs: float) -> str:
    finished = needs * hem.finished / hem.gives
    offers = []
    vent = rise_needed(subject, walk, 1.0 + comfort_across(subject.round_cloth))
    if vent is not None:
        vent += sloped_off(subject) if hem.vent else 0.0
        choice = f": choices: {{vent length: {subject.say_up(vent)}}}" if hem.vent else " in a seam"
        offers.append(f"open a vent of {subject.say_up(vent)}{choice}")
    taper = hem_taper(subject)
    if taper is not None and not hem.vent:
        less = taper - SWEPT * (finished - hem.finished) / 4.0
        offers.append(f"take the hem in less, below 0 lets it out: choices: {{hem taper: {subject.say_down(less)}}}")
    # drafted shorter, the hem is no wider than it is now, and leaning more it loses a little where it is trued
    short = rise_needed(subject, walk, hem.gives / hem.finished, hem.gives * TRUED) if not hem.vent else None
    waist = waist_y(slices_of(subject))
    if short is not None and waist is not None:
        offers.append(f"shorten it: choices: {{length: {subject.say_down(waist - hem.y - short)}}}")
    offers.append(f"draft the hem {subject.say_up(finished)} round")
    return capital("; or ".join(offers)) + "."


def sloped_off(subject: Subject) -> float:
    """Return how much shorter than its stated length a vent opens, mm, because its upper side is sloped."""
    stated, opens = fact(subject, "vent length"), [vent.length for vent in vents_of(subject)]
    return max(0.0, stated - max(opens)) if stated is not None and opens else 0.0


def hem_taper(subject: Subject) -> float | None:
    """Return what the hem is narrower than the hip on each quarter, mm; None where either is not a level."""
    hip, hem = subject.pattern.levels.get("hip"), subject.pattern.levels.get("hem")
    stated = fact(subject, "hem taper")
    if stated is not None:
        return stated
    return (hip.finished - hem.finished) / 4.0 if hip and hem else None


def rise_needed(subject: Subject, walk: Walk, gives: float, most: float = math.inf) -> float | None:
    """Return how far above the hem the garment is wide enough for the stride, mm; None where nowhere below the hip.

    A vent must open so far, or the hem be raised so far. `gives` is the girth as it gives over the finished girth, and
    `most` mm the widest that there can be.
    """
    slices = slices_of(subject)
    waist, guide = waist_y(slices), slices[0]
    if waist is None:
        return None
    bottom = guide.heights.get("hem", float(guide.outline[:, 1].min()))
    ys = np.arange(bottom + _WALK, guide.heights.get("hip", waist) - HIP_KEPT, _WALK)
    if not len(ys):
        return None
    ups = walk.waist - (waist - ys)
    needs = np.array([stride_girth(walk.step, walk.joint, up, leg_girth(walk, up)) for up in ups.tolist()])
    enough = np.flatnonzero(np.minimum(girths_at(slices, ys) * gives, most) >= needs)
    return float(ys[enough[0]] - bottom) if len(enough) else None
