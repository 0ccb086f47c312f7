"""What `onfold fit` is asked for, from the words of the command to the sentences and files it gives back."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from onfold.fitting.change import Change
from onfold.fitting.entry import NewFitting
from onfold.fitting.telling import tell_change, tell_differences
from onfold.problems import Problem, problem
from onfold.project import Garment, open_ticket
from onfold.project_carry import (
    Carrying,
    as_recorded,
    carry,
    change_of,
    mark_carried,
    naming_recipe,
    not_in_this_ticket,
)
from onfold.project_fit import (
    Fitted,
    dated,
    fit,
    fit_without,
    names_of,
    say_fittings,
    shown_file,
    with_text,
    write_ticket,
)
from onfold.project_fit_files import change_data, fit_files, fitting_data, try_on_pdf
from onfold.project_seen import Cause, causes_of
from onfold.shelf.ticket import Fitting
from onfold.units import capital, plain, sentence


@dataclass(frozen=True)
class Wish:
    """What the maker asked for, in their words; empty where nothing was said.

    `choices`, `figures` and `measures` are `NAME: VALUE`. `because` is the cause's number, from 1. `carry` says to whom
    the change goes beyond the ticket, or that of the fitting written under `on` where no change is asked for; with
    `take_up` the ticket then names the recipe's new version.
    """

    seen: str = ""
    because: int = 0
    by: str = ""
    on: str = ""
    note: str = ""
    choices: tuple[str, ...] = ()
    figures: tuple[str, ...] = ()
    measures: tuple[str, ...] = ()
    back: str = ""
    write: bool = False
    anyway: bool = False
    carry: tuple[str, ...] = ()
    take_up: bool = False


@dataclass(frozen=True)
class Answer:
    """What came of it. `files` are to be written into the folder; then `write_down` writes what the maker's own files
    take. `refused` where nothing may be written.
    """

    files: dict[str, bytes] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    says: tuple[str, ...] = ()
    data: dict[str, Any] = field(default_factory=dict)
    refused: bool = False
    fitted: Fitted | None = None
    carrying: Carrying | None = None
    wish: Wish = field(default_factory=Wish)

    @property
    def carries(self) -> tuple[str, ...]:
        """Return what is carried where, phrases after `carried`."""
        return self.carrying.says if self.carrying is not None else ()


def fit_asked(path: Path, wish: Wish, today: datetime.date | None = None) -> Answer:
    """Return what the command's words ask for. Nothing is written yet."""
    alone = _without_partner(wish)
    if alone:
        return Answer(problems=tuple(alone), refused=True)
    garment = open_ticket(path)
    if garment.draft is None or not garment.readable:
        return Answer(problems=garment.all_problems, refused=True)
    asked = _asked(garment, wish, (today or datetime.date.today()).isoformat())
    if isinstance(asked, Problem):
        return Answer(problems=(asked,), refused=True)
    fitting, causes = asked
    if wish.back:
        if fitting is not None or wish.carry:
            return Answer(problems=(_one_or_the_other(),), refused=True)
        return _answered(fit_without(garment, wish.back), wish, ())
    if fitting is None:
        return _carried_later(garment, wish) if wish.carry else _listed(garment, wish)
    fitted = fit(garment, [replace(fitting, carried=tuple(dict.fromkeys(wish.carry)))])
    answer = _answered(fitted, wish, causes)
    if answer.refused or not wish.carry:
        return answer
    assert fitted.after.ticket is not None
    place = len(fitted.after.ticket.fittings) - 1
    return _with_carrying(answer, fitted, fitting.change, fitting.on, place)


def _with_carrying(answer: Answer, fitted: Fitted, change: Change, on: str, place: int) -> Answer:
    """Return the answer with what is carried, the ticket naming the recipe's new version where that is asked for."""
    carrying = carry(fitted.before, change, answer.wish.carry, on)
    if isinstance(carrying, Problem):
        return Answer(problems=(carrying,), refused=True)
    text: str | Problem = fitted.text
    if carrying.recipe and answer.wish.take_up:
        at = place if change.steps else None
        text = naming_recipe(fitted.text, carrying.recipe, shown_file(fitted.before), at)
    if isinstance(text, Problem):
        return Answer(problems=(text,), refused=True)
    data = {**answer.data, "carried": list(carrying.says)}
    return replace(answer, fitted=replace(fitted, text=text), carrying=carrying, data=data)


def _carried_later(garment: Garment, wish: Wish) -> Answer:
    """Return what carrying a fitting that is written already comes to: the draft stays, the ticket notes it."""
    assert garment.ticket is not None
    names = names_of(garment.ticket.fittings)
    found = as_recorded(garment.ticket, wish.on or (names[0] if len(names) == 1 else ""))
    if isinstance(found, Problem):
        return Answer(problems=(found,), refused=True)
    fitting, place = found
    text = mark_carried(garment.ticket.text, place, wish.carry, fitting.carried, shown_file(garment))
    if isinstance(text, Problem):
        return Answer(problems=(text,), refused=True)
    fitted = with_text(garment, text)
    listed = replace(_listed(garment, wish), fitted=fitted)
    return _with_carrying(listed, fitted, change_of(garment.ticket, fitting, place), fitting.on, place)


def _without_partner(wish: Wish) -> list[Problem]:
    """Return a stop for every option that says something of another one which is not given."""
    change = bool(wish.seen or wish.note or wish.choices or wish.figures or wish.measures)
    goes_with = (
        ("because", wish.because and not wish.seen, "takes one of the causes of what is seen", "--seen"),
        ("by", wish.by and not wish.seen, "is how much of it is seen", "--seen"),
        ("on", wish.on and not (change or wish.carry), "is the day of a change, or of the fitting carried", "a change"),
        ("take-up", wish.take_up and "recipe" not in wish.carry, "names the recipe's new version", "--carry recipe"),
        ("anyway", wish.anyway and not wish.write, "is for writing in spite of a new stop", "--write"),
        ("write", wish.write and not (change or wish.carry or wish.back), "writes a change down", "a change"),
    )
    return [
        problem(
            "VALUE-WRONG",
            says=f"'--{name}' {does}: it says nothing without {partner}.",
            found=f"--{name} alone",
            expected=f"--{name} with {partner}",
            remedy=f"Give {partner} too, or leave --{name} out.",
        )
        for name, lacks, does, partner in goes_with
        if lacks
    ]


def _one_or_the_other() -> Problem:
    return problem(
        "VALUE-WRONG",
        says="A fitting is taken back alone: give a new change, or carry one, in a command of its own.",
        found="--take-back beside another change",
        expected="--take-back alone",
        remedy="Give two commands.",
    )


def write_down(answer: Answer) -> list[Problem]:
    """Write into the maker's own files what was asked to be written there; empty when all went well."""
    if answer.fitted is None or not answer.wish.write:
        return []
    return write_ticket(answer.fitted, answer.wish.anyway, answer.carrying)


def _asked(garment: Garment, wish: Wish, today: str) -> tuple[NewFitting | None, tuple[Cause, ...]] | Problem:
    """Return the fitting asked for, None where none is, and the causes of what was seen."""
    assert garment.ticket is not None
    change = _direct(wish)
    if isinstance(change, Problem):
        return change
    if not (wish.seen or wish.note or change != Change()):
        return None, ()
    on = dated(garment.ticket, wish.on, today)
    if isinstance(on, Problem):
        return on
    fitting = NewFitting(on, wish.note, change)
    if not wish.seen:
        return fitting, ()
    found = causes_of(wish.seen, garment, wish.by)
    if isinstance(found, Problem):
        return found
    name, causes = found
    number = wish.because or 1
    if not 1 <= number <= len(causes):
        return _no_such_cause(number, causes)
    taken = causes[number - 1]
    return NewFitting(on, wish.note, _both(taken.change, change), name, taken.because), causes


def _direct(wish: Wish) -> Change | Problem:
    found: dict[str, dict[str, str]] = {"choice": {}, "figure": {}, "measure": {}}
    for option, texts in (("choice", wish.choices), ("figure", wish.figures), ("measure", wish.measures)):
        for text in texts:
            name, colon, value = (part.strip() for part in text.partition(":"))
            if not (name and colon and value):
                return _not_named(option, text)
            found[option][name] = value
    return Change(found["choice"], found["figure"], found["measure"])


def _not_named(option: str, text: str) -> Problem:
    example = {"choice": "waist ease: 3 cm", "figure": "sway back: 1.5 cm", "measure": "waist: 82 cm"}[option]
    return problem(
        "VALUE-WRONG",
        says=f"'{plain(text)}' after --{option} is not a name and its value. Write it like --{option} '{example}'.",
        found=plain(text),
        expected="NAME: VALUE",
        remedy=f"Write it like --{option} '{example}'.",
    )


def _no_such_cause(number: int, causes: Sequence[Cause]) -> Problem:
    known = "; ".join(f"{at} {each.because}" for at, each in enumerate(causes, start=1)) or "none"
    return problem(
        "SEEN-UNKNOWN",
        says=f"There is no cause {number} of what was seen. The causes are: {known}.",
        found=str(number),
        expected=f"a number from 1 to {len(causes)}" if causes else "no cause is known for this garment",
        remedy="Name one of them after --because.",
    )


def _both(cause: Change, own: Change) -> Change:
    """Return the cause's change with what the maker says outright, which stands over it."""
    return replace(
        cause,
        choices={**cause.choices, **own.choices},
        figure={**cause.figure, **own.figure},
        measures={**cause.measures, **own.measures},
    )


def _listed(garment: Garment, wish: Wish) -> Answer:
    """Return what is written in the ticket so far."""
    assert garment.ticket is not None
    fittings = garment.ticket.fittings
    says = say_fittings(garment)
    data = {"fittings": [_written_data(each, name) for each, name in zip(fittings, names_of(fittings), strict=True)]}
    return Answer(
        {"try-on.pdf": try_on_pdf(garment)},
        (*garment.all_problems, *not_in_this_ticket(garment)),
        says,
        data,
        wish=wish,
    )


def _written_data(each: Fitting, name: str) -> dict[str, Any]:
    return {
        "called": name,
        "on": each.on,
        "note": each.note,
        "seen": each.seen,
        "because": each.because,
        "choice": {key: value.text for key, value in each.choices.items()},
        "figure": {key: value.text for key, value in each.figure.items()},
        "measure": {key: round(value, 4) for key, value in each.measures.items()},
        "steps": [step.verb for step in each.steps],
        "carried": list(each.carried),
    }


def _answered(fitted: Fitted, wish: Wish, causes: Sequence[Cause]) -> Answer:
    if not fitted.drafted:
        return Answer(problems=fitted.problems, refused=True, wish=wish)
    files = fit_files(fitted)
    says = (*_say_causes(fitted, causes, wish), *_say_change(fitted), *_say_differences(fitted))
    data = {
        "causes": [_cause_data(each) for each in causes],
        "fitting": fitting_data(fitted),
    }
    problems = (*fitted.problems, *fitted.after.all_problems, *not_in_this_ticket(fitted.after))
    return Answer(files, problems, says, data, fitted=fitted, wish=wish)


def _say_causes(fitted: Fitted, causes: Sequence[Cause], wish: Wish) -> list[str]:
    if not causes:
        return []
    seen = fitted.fittings[0].seen if fitted.fittings else ""
    count = "one cause" if len(causes) == 1 else f"{len(causes)} causes, the likeliest first"
    lines = [f"{capital(seen)}: {count}."]
    taken = wish.because or 1
    for number, each in enumerate(causes, start=1):
        said = " ".join(sentence(part) for part in (each.because, each.says, each.why) if part)
        lines.append(f"{number}  {'taken: ' if number == taken else ''}{plain(said, 1200)}")
    if causes[taken - 1].to_tape and not all(name in _taped(wish) for name in causes[taken - 1].to_tape):
        names = ", ".join(causes[taken - 1].to_tape)
        lines.append(f"Tape again: {names}. Then give the same command with --measure and the figure.")
    return lines


def _taped(wish: Wish) -> set[str]:
    return {text.partition(":")[0].strip() for text in wish.measures}


def _cause_data(cause: Cause) -> dict[str, Any]:
    data = change_data(NewFitting("", change=cause.change))
    kept = {key: data[key] for key in ("choice", "figure", "measure", "steps")}
    return {"because": cause.because, "says": cause.says, "why": cause.why, **kept, "to_tape": list(cause.to_tape)}


def _say_change(fitted: Fitted) -> list[str]:
    if fitted.taken_back:
        return [f"Without the fitting of {plain(fitted.taken_back)}:"]
    lines = [each for fitting in fitted.fittings for each in tell_change(fitting.change)]
    return [f"With {'; '.join(lines)}:"] if lines else ["Nothing is changed yet:"]


def _say_differences(fitted: Fitted) -> list[str]:
    assert fitted.differences is not None and fitted.after.ticket is not None
    told = tell_differences(fitted.differences, fitted.after.ticket.units)
    return [f"{each.heading}: {'; '.join(line.rstrip('.') for line in each.lines)}." for each in told]
