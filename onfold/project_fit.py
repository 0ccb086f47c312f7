"""What a try-on changes: corrections tried on a copy of the ticket, drafted, checked and compared; recorded when asked.

Nothing here alters a file but `write_ticket`. A change that makes a stop is shown with it.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass, replace

from onfold.fitting.change import Change
from onfold.fitting.comparing import Differences, differences, new_stops
from onfold.fitting.entry import NewFitting, is_date
from onfold.fitting.recording import numbered, record, take_back
from onfold.problems import CODES, Place, Problem, problem, unreadable
from onfold.project import Garment, open_text
from onfold.project_carry import Carrying
from onfold.shelf.safe import write_files
from onfold.shelf.ticket import Fitting, Ticket
from onfold.units import plain, say_length


@dataclass(frozen=True, eq=False)
class Fitted:
    """A garment before and after a change to its ticket. `text` is the ticket with the change, `before.ticket.text`
    the one without.

    `differences` is None where the changed ticket cannot be read or drafted; `problems` say why, and what else is to
    know of the change itself: the garment's own problems are `after.all_problems`. `fittings` are the entries added.
    """

    before: Garment
    after: Garment
    differences: Differences | None
    text: str
    problems: tuple[Problem, ...] = ()
    fittings: tuple[NewFitting, ...] = ()
    taken_back: str = ""

    @property
    def drafted(self) -> bool:
        """Return whether before and after could be drawn."""
        return self.differences is not None

    @property
    def stops(self) -> tuple[Problem, ...]:
        """Return the stops that the change brings about."""
        return new_stops(self.differences) if self.differences is not None else ()


def fit(garment: Garment, fittings: Sequence[NewFitting]) -> Fitted:
    """Return the garment with these fittings beside the garment as it is; whatever their order, dates decide.

    A fitting that cannot be written into the ticket leaves it as it is, with the problem.
    """
    text = _text_of(garment)
    for each in fittings:
        written = record(text, shown_file(garment), each)
        if isinstance(written, Problem):
            return Fitted(garment, garment, None, _text_of(garment), (written,), tuple(fittings))
        text = written
    return _compared(Fitted(garment, garment, None, text, (), tuple(fittings)))


def with_text(garment: Garment, text: str) -> Fitted:
    """Return a trial that only changes what the ticket says, not what is drafted from it."""
    assert garment.draft is not None
    return Fitted(garment, garment, Differences(()), text)


def fit_without(garment: Garment, which: str) -> Fitted:
    """Return the garment without one of its fittings beside the garment as it is."""
    text = take_back(_text_of(garment), shown_file(garment), which)
    if isinstance(text, Problem):
        return Fitted(garment, garment, None, _text_of(garment), (text,), (), which)
    return _compared(Fitted(garment, garment, None, text, (), (), which))


def _text_of(garment: Garment) -> str:
    return garment.ticket.text if garment.ticket is not None else ""


def shown_file(garment: Garment) -> str:
    """Return a ticket's path as problems show it."""
    return plain(str(garment.path), 200)


def _compared(tried: Fitted) -> Fitted:
    """Return the trial with its ticket drafted anew and laid over the draft before."""
    after = open_text(tried.text, tried.before.path, like=tried.before)
    before_draft, after_draft = tried.before.draft, after.draft
    if before_draft is None or after_draft is None or unreadable(after.all_problems):
        reading = [
            each for each in after.all_problems if each.severity == "stop" and CODES[each.code].group == "reading"
        ]
        return replace(tried, after=after, problems=tuple(map(_without_line, reading)))
    found = differences(before_draft.pattern, after_draft.pattern)
    told = [*_overruled(tried, after), *_no_difference(tried, found)]
    return replace(tried, after=after, differences=found, problems=tuple(told))


def _without_line(each: Problem) -> Problem:
    """Return a problem of the changed text without its line, which stands in no file; its excerpt shows the place."""
    return each.at(replace(each.where, line=0, column=0)) if each.excerpt else each


def _no_difference(tried: Fitted, found: Differences) -> list[Problem]:
    told = (found.changed, found.seams, found.levels, found.facts, found.measures, found.gained, found.cured)
    if any(told) or not (tried.taken_back or any(_asks_something(each.change) for each in tried.fittings)):
        return []
    return [
        problem(
            "FITTING-NOTHING",
            says="The draft is the same before and after this change.",
            found="no difference",
            expected="a changed draft",
            remedy="Look whether the value differs from the one in use, and whether this recipe draws from it.",
            where=Place(shown_file(tried.before)),
        )
    ]


def _asks_something(change: Change) -> bool:
    return bool(change.choices or change.figure or change.measures or change.steps)


def _overruled(tried: Fitted, after: Garment) -> list[Problem]:
    """Return a mind for everything that a new fitting sets and one of a later date sets otherwise."""
    ticket = after.ticket
    if ticket is None:
        return []
    found = []
    for new in tried.fittings:
        for later in ticket.fittings:
            if later.on > new.on:
                found += [_says_otherwise(new, later, name) for name in _set_again(new.change, later)]
    return found


def _set_again(change: Change, later: Fitting) -> list[str]:
    return [
        *(name for name in change.choices if name in later.choices),
        *(name for name in change.figure if name in later.figure),
        *(name for name in change.measures if name in later.measures),
    ]


def _says_otherwise(new: NewFitting, later: Fitting, name: str) -> Problem:
    shown = plain(name)
    return problem(
        "FITTING-OVERRULED",
        says=f"'{shown}' is also set by the fitting of {later.on}, which is later than {new.on} and stands over it.",
        found=f"'{shown}' on {later.on}",
        expected="no later fitting that sets it",
        remedy=f"Take back that of {later.on}, or give this one a later date.",
        where=later.place,
    )


def names_of(fittings: Sequence[Fitting]) -> list[str]:
    """Return what each fitting is called: its date, of several on one day with its number in the file's order.

    Fittings come by date and, of one date, in the file's order, so both numberings are the same.
    """
    return numbered([each.on for each in fittings])


def say_fittings(garment: Garment) -> tuple[str, ...]:
    """Return a line for each fitting written in the ticket, by date."""
    assert garment.ticket is not None
    fittings, units = garment.ticket.fittings, garment.ticket.units
    if not fittings:
        return ("No fitting is written in this ticket yet.",)
    lines = []
    for name, each in zip(names_of(fittings), fittings, strict=True):
        parts = [
            each.note,
            f"seen: {each.seen}" if each.seen else "",
            f"because: {each.because}" if each.because else "",
        ]
        changes = [
            *(f"choice {key}: {value.text}" for key, value in each.choices.items()),
            *(f"figure {key}: {value.text}" for key, value in each.figure.items()),
            *(f"measure {key}: {say_length(value, units)}" for key, value in each.measures.items()),
            *(f"step: {step.verb}" for step in each.steps),
        ]
        parts += [
            "; ".join(changes) or "nothing changed",
            f"carried to {', '.join(each.carried)}" if each.carried else "",
        ]
        lines.append(f"{name}: " + ". ".join(plain(part, 400).rstrip(".") for part in parts if part) + ".")
    return tuple(lines)


def write_ticket(fitted: Fitted, anyway: bool = False, beside: Carrying | None = None) -> list[Problem]:
    """Write the changed text into the ticket's file, and what is carried `beside` it; empty when all is written.

    A change that makes a stop is not written unless that is asked for `anyway`, and a ticket that someone else changed
    since it was read is left as they wrote it. A link is followed: the file it leads to is the ticket.
    """
    if not fitted.drafted:
        return list(fitted.problems)
    if fitted.stops and not anyway:
        return [_makes_a_stop(fitted)]
    path = fitted.before.path.resolve()
    if not os.access(path, os.W_OK):
        return [_closed(shown_file(fitted.before))]
    files = {path.name: fitted.text.encode()}
    expecting: dict[str, bytes | None] = {path.name: _text_of(fitted.before).encode()}
    if beside is None or not beside.files:
        return write_files(path.parent, files, expecting)
    folder = fitted.before.path.parent.resolve()
    if folder == path.parent:
        return write_files(folder, {**beside.files, **files}, {**beside.expecting, **expecting})
    return write_files(folder, beside.files, beside.expecting) or write_files(path.parent, files, expecting)


def _makes_a_stop(fitted: Fitted) -> Problem:
    stops = fitted.stops
    codes = ", ".join(dict.fromkeys(each.code for each in stops))
    return problem(
        "FITTING-STOP",
        says=f"With this change comes a stop that was not there: {stops[0].says} It was not written into the ticket.",
        found=codes,
        expected="no new stop",
        remedy="Change less, or something else. To write it all the same, add --anyway.",
        where=Place(shown_file(fitted.before)),
    )


def _closed(shown: str) -> Problem:
    return problem(
        "WRITE-FAILED",
        says=f"{shown} is closed to writing; it was left as it is.",
        found="a file closed to writing",
        expected="a file that can be written to",
        remedy="Open it to writing, or copy it.",
        where=Place(shown),
    )


def dated(ticket: Ticket, on: str, today: str) -> str | Problem:
    """Return the date of a fitting: the one asked for, else today; the problem where it is no date."""
    if not on:
        return today
    if is_date(on):
        return on
    return problem(
        "VALUE-WRONG",
        says=f"'{plain(on)}' is not a date. Write it like 2026-12-03.",
        found=plain(on),
        expected="year-month-day",
        remedy="Write it like 2026-12-03.",
        where=Place(ticket.file),
    )
