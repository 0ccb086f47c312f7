"""What would go wrong on the table, at the machine or on the body, before the cloth is cut.

A check is a plain function of a `Subject` that returns problems; `CHECKS` are all of them, in the order they are told.
"""

from __future__ import annotations

from collections.abc import Callable

from onfold.checks.allowances import (
    allowances_fit,
    enclosed_trim,
    hems_on_curves,
    hems_suit,
    inlays_reasonable,
    inside_corners,
)
from onfold.checks.bare import edges_bare
from onfold.checks.body_checks import measures_taped, neck_and_back_depth, sides_alike, somebody_taped
from onfold.checks.cloth_checks import pile_has_a_way, stretch_known, stretch_runs_round
from onfold.checks.cowl import cowl_above_bust, cowl_grain, cowl_turn, facing_deep_enough
from onfold.checks.darts import bust_darts_aim, dart_legs, darts_not_wide, front_length
from onfold.checks.dressing import garment_goes_on
from onfold.checks.fit import body_room, ease_enough, pile_stretch, taken_in, wearing_stretch
from onfold.checks.folds import curves_square_to_folds, facings_mirror, facings_short, folds_straight
from onfold.checks.getting_in import Verdict, getting_in
from onfold.checks.girths import finished_girths
from onfold.checks.pieces import grain_lines, labels, pairs_on_one_way_cloth, pieces_fit
from onfold.checks.seams import (
    edges_run_true,
    long_seams_notched,
    notches_meet,
    seam_allowances,
    seam_partners,
    seams_give,
)
from onfold.checks.straps import cords_on_children, strap_reaches, strap_turns, straps_placed
from onfold.checks.stride import stride
from onfold.checks.subject import Subject
from onfold.problems import Problem, gravest_first

Check = Callable[[Subject], list[Problem]]

CHECKS: tuple[Check, ...] = (
    seam_partners,
    seam_allowances,
    notches_meet,
    edges_run_true,
    folds_straight,
    curves_square_to_folds,
    facings_mirror,
    facings_short,
    garment_goes_on,
    finished_girths,
    body_room,
    taken_in,
    wearing_stretch,
    pile_stretch,
    ease_enough,
    stride,
    seams_give,
    allowances_fit,
    inlays_reasonable,
    enclosed_trim,
    hems_on_curves,
    hems_suit,
    inside_corners,
    dart_legs,
    darts_not_wide,
    bust_darts_aim,
    front_length,
    straps_placed,
    strap_turns,
    strap_reaches,
    cowl_turn,
    cowl_grain,
    cowl_above_bust,
    facing_deep_enough,
    neck_and_back_depth,
    stretch_runs_round,
    stretch_known,
    pile_has_a_way,
    grain_lines,
    labels,
    long_seams_notched,
    edges_bare,
    pieces_fit,
    pairs_on_one_way_cloth,
    cords_on_children,
    sides_alike,
    somebody_taped,
    measures_taped,
)

ELSEWHERE: dict[str, str] = {
    "CLOTH-KIND": "the façade, which knows the recipe",
    "COWL-FALL": "the step that solves a spread for an asked-for fall",
    "ESTIMATE-TURNS": "the façade, which checks the ends of each interval",
    "LENGTHS-CLASH": "body",
    "LETTERS": "the façade, which knows the ticket's names",
    "LIKELY": "body",
    "OUT-OF-SURVEY": "body",
}
"""Codes of group check that no function here raises, and who does."""


def run_checks(subject: Subject) -> list[Problem]:
    """Return the problems of every check, stops first, then what to mind, then notes; within each as told."""
    return gravest_first(each for check in CHECKS for each in check(subject))


__all__ = ["CHECKS", "ELSEWHERE", "Check", "Subject", "Verdict", "getting_in", "run_checks"]
