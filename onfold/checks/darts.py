"""Darts: legs that are sewn together, mouths not too fat, bust darts that aim at the bust; length over the bust."""

from __future__ import annotations

import math
from dataclasses import dataclass

from onfold.checks.subject import Subject, fact, on_piece
from onfold.geometry.path import end, start
from onfold.pattern import Edge, Piece, Point
from onfold.problems import Problem, problem

LEGS_WITHIN = 0.5  # mm
WIDEST = 35.0  # mm, "no dart over 3 to 3.5 cm" [C]
CURVED = 3.0  # mm that the waist's curve adds to a dart at most [C]
SHORT_OF_BUST = (20.0, 30.0)  # mm from dart point to bust point [C]
AIM_WITHIN = 10.0  # mm the dart's line may pass beside the bust point [C]
EXTRA_FRONT = 25.0  # mm of front longer than the back over the bust [C]
EASED_IN_STRETCH = 22.0  # mm eased in beside a dart; 7/8 in when said in inches [C]
OFFERED = 34.9  # mm, the widest dart offered: 1 3/8 in when said in inches
MOST_EASED = 20.0  # mm of length eased in at one side [C]
_SLACK = 0.5  # mm: what rounding on paper may add


@dataclass(frozen=True, eq=False)
class Dart:
    """Two legs that meet at `point`; `on` is the root of the edge it opens from, `mouth` its width there, mm.

    `on_side` says that it opens from a side, so that its mouth runs up the body and not across.
    """

    legs: tuple[Edge, Edge]
    point: Point
    first: Point
    last: Point
    on: str

    @property
    def mouth(self) -> float:
        """The dart's width at its edge, mm."""
        return math.dist(self.first, self.last)

    @property
    def on_side(self) -> bool:
        """Whether the mouth is more upright than level."""
        return abs(self.last[1] - self.first[1]) > abs(self.last[0] - self.first[0])


def darts_of(piece: Piece) -> list[Dart]:
    """Return the darts of a piece in their order round it: each two following edges finished as `dart`."""
    found = []
    edges = piece.edges
    index = 0
    while index < len(edges):
        leg, other = edges[index], edges[(index + 1) % len(edges)]
        if leg.finish != "dart" or other.finish != "dart" or len(edges) < 2:
            index += 1
            continue
        before = edges[index - 1]
        found.append(Dart((leg, other), end(leg.path), start(leg.path), end(other.path), before.root))
        index += 2
    return found


def dart_legs(subject: Subject) -> list[Problem]:
    """DART-LEGS: the legs of a dart are equal within 0.5 mm. Source [A]: they are stitched onto one another."""
    found = []
    for piece in subject.pattern.pieces:
        for dart in darts_of(piece):
            a, b = (subject.lengths[piece.name, leg.name] for leg in dart.legs)
            if abs(a - b) > LEGS_WITHIN:
                found.append(
                    problem(
                        "DART-LEGS",
                        says=f"The dart in the {dart.on} of the {piece.name} has legs of {subject.say(a)} and "
                        f"{subject.say(b)}: they differ by {subject.say_fine(abs(a - b))}.",
                        found=f"{subject.say(a)} and {subject.say(b)}",
                        expected="equal legs",
                        remedy=f"Set the dart's point square below the middle of its mouth, or true the {dart.on} with "
                        "the dart folded.",
                        where=on_piece(piece.name),
                    )
                )
    return found


def darts_not_wide(subject: Subject) -> list[Problem]:
    """DART-WIDE: no dart is wider than 3.5 cm at its mouth. Source [C]: common practice, "split it"."""
    found = []
    for piece in subject.pattern.pieces:
        for dart in darts_of(piece):
            if dart.mouth <= WIDEST + _SLACK:
                continue
            half = subject.say(dart.mouth / 2.0)
            choice = f"{piece.name} dart" if dart.on == "waist" else "side dart"
            # at the waist the curve it is drawn on adds a little to what is chosen
            most = WIDEST - CURVED if dart.on == "waist" else WIDEST
            found.append(
                problem(
                    "DART-WIDE",
                    says=f"The dart in the {dart.on} of the {piece.name} takes up {subject.say(dart.mouth)}; over "
                    f"{subject.say(WIDEST)} a dart pokes at its point.",
                    found=subject.say(dart.mouth),
                    expected=f"at most {subject.say(WIDEST)}",
                    remedy=f"Split it into two of {half}, or take up less: "
                    f"choices: {{{choice}: {subject.say_down(most)}}}.",
                    where=on_piece(piece.name),
                )
            )
    return found


def bust_darts_aim(subject: Subject) -> list[Problem]:
    """DART-AIM: a side dart points at the bust point within 1 cm and stops 2 to 3 cm short of it. Source [C]."""
    found = []
    for piece in subject.pattern.pieces:
        bust = next((mark.at for mark in piece.marks if mark.kind == "bust point"), None)
        if bust is None:
            continue
        for dart in darts_of(piece):
            if not dart.on_side:
                continue
            short, beside = _aim(dart, bust)
            low, high = SHORT_OF_BUST
            if low - _SLACK <= short <= high + _SLACK and beside <= AIM_WITHIN:
                continue
            found.append(
                problem(
                    "DART-AIM",
                    says=f"The dart in the {dart.on} of the {piece.name} ends {subject.say_fine(short)} from the bust "
                    f"point and its line passes {subject.say_fine(beside)} beside it.",
                    found=f"{subject.say_fine(short)} short, {subject.say_fine(beside)} beside",
                    expected=f"{subject.say(low)} to {subject.say(high)} short, pointing at the bust point",
                    remedy=f"Draw the dart's middle line to the bust point and end it {subject.say(low)} to "
                    f"{subject.say(high)} before.",
                    where=on_piece(piece.name),
                )
            )
    return found


def _aim(dart: Dart, bust: Point) -> tuple[float, float]:
    """Return how far the dart's point lies from the bust point, and its middle line produced beside it, mm."""
    middle = ((dart.first[0] + dart.last[0]) / 2.0, (dart.first[1] + dart.last[1]) / 2.0)
    along = (dart.point[0] - middle[0], dart.point[1] - middle[1])
    to_bust = (bust[0] - dart.point[0], bust[1] - dart.point[1])
    size = math.hypot(*along) or 1.0
    return math.hypot(*to_bust), abs(along[0] * to_bust[1] - along[1] * to_bust[0]) / size


def front_length(subject: Subject) -> list[Problem]:
    """FRONT-LENGTH: what the front is longer over the bust than straight down, less dart and ease, is at most 2.5 cm.

    Source [C]: common practice; on the 1988 women's table the extra is 46 mm on average, 69 at the 95th percentile [A].
    """
    extra, taken = fact(subject, "front extra"), fact(subject, "front extra taken") or 0.0
    if extra is None or extra - taken <= EXTRA_FRONT + _SLACK:
        return []
    left = extra - taken
    return [
        problem(
            "FRONT-LENGTH",
            says=f"Over the bust the front wants {subject.say(extra)} more than straight down the side"
            + (f", of which {subject.say(taken)} is taken up" if taken else "")
            + f". Above {subject.say(EXTRA_FRONT)} it drags from the side to the bust.",
            found=subject.say(left),
            expected=f"at most {subject.say(EXTRA_FRONT)}",
            remedy=_take_up(subject, left - EXTRA_FRONT),
            where=on_piece("front"),
        )
    ]


def _take_up(subject: Subject, wanted: float) -> str:
    """Return how to take up so much length over the bust: by a side dart, by ease where that is enough, or by both."""
    dart = fact(subject, "side dart") or 0.0
    eased = max(0.0, (fact(subject, "front extra taken") or 0.0) - dart)
    if dart + wanted <= OFFERED:
        more = eased + wanted
        ease = f"; or ease it in: choices: {{bust ease: {subject.say_up(more)}}}" if more <= MOST_EASED else ""
        return f"Add a side dart: choices: {{side dart: {subject.say_up(dart + wanted)}}}{ease}."
    whole = dart + eased + wanted
    ease_in = min(whole - OFFERED, EASED_IN_STRETCH)
    return (
        "Add a side dart and ease in the rest between underarm and bust: "
        f"choices: {{side dart: {subject.say_up(whole - ease_in)}, bust ease: {subject.say_up(ease_in)}}}."
    )
