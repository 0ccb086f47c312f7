"""Whether cloth and garment suit each other: which way it stretches and its pile points."""

from __future__ import annotations

from onfold.checks.subject import Subject
from onfold.problems import Problem, problem
from onfold.units import say_share


def stretch_runs_round(subject: Subject) -> list[Problem]:
    """STRETCH-WAY: the greater stretch runs round the body. Source [C]: common practice."""
    cloth = subject.round_cloth
    if cloth.stretch_along <= cloth.stretch_across + 1e-9:
        return []
    across, along = say_share(cloth.stretch_across), say_share(cloth.stretch_along)
    return [
        problem(
            "STRETCH-WAY",
            says=f"The cloth stretches {along} up and down the garment and {across} round the body. The greatest "
            "stretch belongs round the body.",
            found=f"{across} round, {along} along",
            expected="the greater stretch round the body",
            remedy=f"Where the two were written the wrong way round, change them: cloth: {{stretch: {{across: {along}, "
            f"along: {across}}}}}; else lay the pieces with their grain across the cloth.",
        )
    ]


def pile_has_a_way(subject: Subject) -> list[Problem]:
    """SURFACE-NAP: cloth with a pile says which way it points. Source [C]: pile up looks darker, pile down lighter."""
    if "pile" not in subject.cloth.surface or subject.cloth.nap != "none":
        return []
    return [
        problem(
            "SURFACE-NAP",
            says="The cloth has a pile, but its nap is none. Pile points one way, and pieces laid both ways shade "
            "differently.",
            found="nap: none",
            expected="nap: up or nap: down",
            remedy="Stroke it and say which way it lies smooth on the wearer: cloth: {nap: up} for the darker look, "
            "cloth: {nap: down} for the lighter.",
        )
    ]


def stretch_known(subject: Subject) -> list[Problem]:
    """STRETCH-UNKNOWN: a knit's stretch is given. Source [C]: 10 cm relaxed, held comfortably at most, is the test."""
    if subject.cloth.kind != "knit" or subject.cloth.stretch_given:
        return []
    return [
        problem(
            "STRETCH-UNKNOWN",
            says="The stretch of this knit is not given, so the garment is drafted as if the cloth did not stretch.",
            found="no stretch",
            expected="stretch across and along",
            remedy="Hold a relaxed 10 cm at its comfortable most; 15 cm is 50 %. Then write "
            "cloth: {stretch: {across: 50 %, along: 50 %}} with your own figures.",
        )
    ]
