"""The façade of the hang: a ticket in; the sewn garment on a form with the wearer's measures, and what it answers, out.

Numba is needed for all of this: `project_hang_asked` looks for it before it comes here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from onfold.body.form import Form, form_of
from onfold.cloth import Cloth
from onfold.geometry.fault import Fault
from onfold.hang.answers import Answers, answers_of
from onfold.hang.distance import Distance, distance_of
from onfold.hang.hanging import POINTS as POINTS
from onfold.hang.hanging import Hung, hang
from onfold.hang.mechanics import Mechanics, limp_and_stiff, mechanics_of
from onfold.hang.telling import Card, Ends
from onfold.pattern import Pattern
from onfold.problems import Place, Problem, gravest_first, problem, unreadable
from onfold.project import Garment
from onfold.project_altering import no_pattern
from onfold.project_figure import figure_of
from onfold.shelf.ticket import Ticket
from onfold.units import System, say_length

Told = Callable[[str, float], bool]
"""Told what is being done and the share of it that is done, 0 to 1; answers False to stop there."""

SLIPS = 100.0
"""mm below where it was drafted to lie, from which a garment is held by nothing."""


@dataclass(frozen=True, eq=False)
class Stand:
    """A garment with its wearer's form, ready to be hung again and again."""

    garment: Garment
    ticket: Ticket
    form: Form
    distance: Distance


@dataclass(frozen=True, eq=False)
class HungGarment:
    """A garment hung: the net, what it answers, the fall at the ends of what was guessed (None: not hung)."""

    stand: Stand
    pattern: Pattern
    hung: Hung
    answers: Answers
    ends: Ends | None = None
    problems: tuple[Problem, ...] = ()

    @property
    def units(self) -> System:
        """Return how lengths are said: as in the ticket."""
        return self.stand.ticket.units

    @property
    def card(self) -> Card:
        """Return what the ticket says of itself."""
        ticket = self.stand.ticket
        return Card(ticket.title, ticket.wearer.name, ticket.cloth.name, ticket.date, ticket.units)


def stand_for(garment: Garment) -> Stand | tuple[Problem, ...]:
    """Return the form that a garment is hung on, or why it cannot be: all its problems, the reason first."""
    found = garment.all_problems
    refused = no_pattern(garment)
    if refused is not None:
        return (refused, *found)
    ticket, draft = garment.ticket, garment.draft
    if ticket is None or draft is None or unreadable(found):
        return found
    undrawn = [each for each in found if each.severity == "stop" and each.code.startswith(("STEP-", "OUTLINE-"))]
    if undrawn:
        return (cannot(garment, f"it is not all drawn: {undrawn[0].says}", "Cure that stop first."), *found)
    form = form_of(ticket.wearer.figure, draft.body.measures, figure_of(ticket))
    if isinstance(form, Fault):
        return (cannot(garment, form.reason, "Tape what is missing and write it under measures."), *found)
    return Stand(garment, ticket, form, distance_of(form.points, form.faces))


def hang_garment(
    garment: Garment, told: Told | None = None, *, vary: bool = False, ends: bool = True, points: int = POINTS
) -> HungGarment | tuple[Problem, ...]:
    """Return a garment hung, or the problems that keep it from it. Never raises on what the ticket holds.

    With `ends` a cowl's fall is given from the limp to the stiff end of what was guessed about the cloth: by two
    hangs that go on from the one that is shown, or with `vary` by two of their own from the start.
    """
    says = told or (lambda _what, _share: True)
    says("shaping the form", 0.0)
    stand = stand_for(garment)
    if not isinstance(stand, Stand):
        return stand
    assert garment.draft is not None
    pattern = garment.draft.pattern
    found = hang_on(stand, pattern, stand.ticket.cloth, says, "hanging it", points=points)
    if not isinstance(found, HungGarment):
        return found
    return with_range(found, says, vary, points, ends)


def with_range(found: HungGarment, says: Told, fine: bool, points: int, ends: bool = True) -> HungGarment:
    """Return a hung garment with the range of its fall, where that is wanted, and with what is to be said of it."""
    if ends and found.answers.cowl is not None:
        found = replace(found, ends=ends_of(found, says, fine, points))
    told = dict.fromkeys((*found.stand.garment.all_problems, *_of_hang(found)))
    return replace(found, problems=tuple(gravest_first(told)))


def hang_on(
    stand: Stand,
    pattern: Pattern,
    cloth: Cloth,
    says: Told,
    what: str,
    mechanics: Mechanics | None = None,
    points: int = POINTS,
    last: Hung | None = None,
) -> HungGarment | tuple[Problem, ...]:
    """Return a pattern hung in a cloth, without its ends and problems; `mechanics` where it isn't the best guess.

    `last` is the same garment hung before a small change, from which it hangs on.
    """
    hung = hang(
        pattern,
        mechanics or mechanics_of(cloth),
        stand.form,
        stand.distance,
        points=points,
        progress=lambda share: says(what, share),
        last=last,
    )
    if isinstance(hung, Fault):
        told = (cannot(stand.garment, hung.reason, "Sew its pieces together in the recipe, and draft it to go round."),)
        return (*told, *stand.garment.all_problems)
    return HungGarment(stand, pattern, hung, answers_of(hung, pattern, cloth))


def ends_of(best: HungGarment, says: Told, fine: bool, points: int = POINTS) -> Ends | None:
    """Return the fall at the limp and the stiff end of what was guessed; None where it was stopped or tells nothing."""
    cloth, fall = best.stand.ticket.cloth, best.answers.fall
    if fall is None or fall <= 0.0:
        return None
    depths = []
    for name, mechanics in zip(("limpest", "stiffest"), limp_and_stiff(cloth), strict=True):
        if not says(f"hanging the {name} it may be", 0.0):
            return None
        asked = f"hanging the {name} it may be"
        last = None if fine else best.hung
        found = hang_on(best.stand, best.pattern, cloth, says, asked, mechanics, points, last)
        if not isinstance(found, HungGarment) or found.answers.cowl is None or found.answers.cowl.depth <= 0.0:
            return None
        depths.append(found.answers.cowl.depth * best.answers.reading)
    limp, stiff = depths
    return Ends(limp, stiff, not fine)


def _of_hang(found: HungGarment) -> list[Problem]:
    answers, units, where = found.answers, found.units, Place(str(found.stand.garment.path))
    told = [
        problem(
            "HANG-LEFT-OUT",
            says=f"Not hung: {what}. It {why}.",
            found=what,
            expected="a piece of the main cloth that is sewn to another",
            remedy="Nothing need be done where it does not carry the garment.",
            where=where,
        )
        for what, why in answers.left_out
    ]
    if not answers.quiet:
        told.append(
            problem(
                "HANG-RESTLESS",
                says=f"The garment was not quite at rest: a point of it still moved {answers.drift:.1f} mm.",
                found=f"{answers.drift:.1f} mm",
                expected="0.5 mm or less",
                remedy="Take its figures with that much more room, or let it hang to its end.",
                where=where,
            )
        )
    if answers.slid > SLIPS:
        slid = say_length(answers.slid, units)
        told.append(
            problem(
                "HANG-SLIPS",
                says=f"On the form the garment slid down by {slid}: nothing holds it up.",
                found=slid,
                expected=f"less than {say_length(SLIPS, units)}",
                remedy="Give it straps or a band, or draft it closer where it is to be held.",
                where=where,
            )
        )
    return told


def cannot(garment: Garment, reason: str, remedy: str) -> Problem:
    """Return why a garment cannot be hung."""
    return problem(
        "HANG-OPEN",
        says=f"The garment cannot be hung: {reason.rstrip('.')}.",
        found=reason,
        expected="pieces sewn into a garment that closes on the form",
        remedy=remedy,
        where=Place(str(garment.path)),
    )
