"""Filling in what was not taped: every measure of a body, each taped or estimated with its 90 % interval."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from onfold.body.fit import Array, Model, conditional, from_scale, model, predict, to_scale
from onfold.body.measures import MEASURES, Figure, Units, check_measure, measure, split_side
from onfold.body.taken import Taken
from onfold.problems import Problem, problem
from onfold.units import say_length

SUMS: tuple[tuple[str, str, str], ...] = (
    ("shoulder to waist", "shoulder to bust", "bust to waist"),
    ("underarm to waist", "underarm to bust", "bust to waist"),
    ("waist to floor", "waist to knee", "knee height"),
)
"""A whole and its two parts, true of every body by how the three are taken [A]."""

CLASH = 10.0
"""How far a whole and its parts may differ, mm, before it is asked about: two careful people taping the same body
differ by 3 to 14 mm (allowable observer error of the survey's handbook, Hotzman et al. 2011, NATICK/TR-11/017)."""

NINETY = 1.6449
"""Half of a normal 90 % interval, in standard deviations [A]."""

WORTH_TAPING = 0.5
"""A measure is proposed only if taping it narrows the wanted ones by this much in all, mm of sd."""


@dataclass(frozen=True)
class Body:
    """Every measure that is known of a wearer, and what is to be asked about those given.

    `measures` holds plain names, and `left …`, `right …` where given. A measure that could not be estimated is
    absent: `missing` makes a problem of those that are needed.
    """

    figure: Figure
    measures: dict[str, Taken]
    problems: tuple[Problem, ...] = ()


def fill(figure: Figure, given: Mapping[str, float], units: Units = "cm") -> Body:
    """Return the body with every measure that `given` (mm, by name) says, follows or lets estimate.

    Any subset may be given, none included. A given value is kept to the bit; one that is unknown or no person's is
    left out and comes back as a problem. Lengths that contradict one another are a `mind`, and all are kept.
    """
    taped, problems = _sound(given, units)
    known, clashes = _closed(_plain(taped))
    measures = {name: Taken(value) for name, value in (known | taped).items()}
    for name, taken in _estimates(figure, known).items():
        measures.setdefault(name, taken)
    for entry in MEASURES.values():
        if entry.default is not None:
            measures.setdefault(entry.name, Taken(entry.default))
    asked = [_clash(known, names, units) for names in clashes]
    return Body(figure, measures, tuple(problems + asked))


def missing(body: Body, wanted: Iterable[str]) -> list[Problem]:
    """Return a stop for each wanted measure that was neither taped nor could be estimated."""
    return [_missing(body.figure, name) for name in wanted if name not in body.measures]


def measure_first(figure: Figure, given: Mapping[str, float], wanted: Collection[str]) -> list[str]:
    """Return the measures to tape next, the one that narrows the wanted estimates most first.

    Wanted measures that are only a share of another [C] lead the list, for no other measure tells them. Then
    greedily: each next one lowers the sum of the wanted ones' standard deviations (mm) most, with those before it
    taken as taped. A child gets the wanted ones that are not known, in the table's order.
    """
    known, _ = _closed(_plain(_sound(given, "cm")[0]))
    unknown = [name for name in MEASURES if name in set(wanted) and name not in known]
    shipped, values = model(figure), _central(figure, known)
    if shipped is None or values is None:
        return [name for name in unknown if MEASURES[name].default is None]
    estimated = [name for name in unknown if name in shipped.index]
    order = [name for name in estimated if MEASURES[name].taken_from]
    covariance = _left_over(shipped, [*(name for name in known if name in shipped.index), *order], values)
    at = np.array([shipped.index[name] for name in estimated], dtype=np.intp)
    for _ in range(len(shipped.names)):
        gains = _gains(covariance, at)
        best = int(np.argmax(gains))
        if gains[best] < WORTH_TAPING:
            break
        order.append(shipped.names[best])
        covariance = covariance - np.outer(covariance[best], covariance[best]) / covariance[best, best]
    return order


def _sound(given: Mapping[str, float], units: Units) -> tuple[dict[str, float], list[Problem]]:
    faults = {name: check_measure(name, value, units) for name, value in given.items()}
    taped = {name: float(value) for name, value in given.items() if faults[name] is None}
    return taped, [fault for fault in faults.values() if fault]


def _plain(taped: Mapping[str, float]) -> dict[str, float]:
    """Give each plain measure: the one given, else the larger of its sides."""
    plain = {name: value for name, value in taped.items() if not split_side(name)[0]}
    for name, value in taped.items():
        side, bare = split_side(name)
        if side and bare not in taped:
            plain[bare] = max(value, plain.get(bare, value))
    return plain


def _closed(known: dict[str, float]) -> tuple[dict[str, float], list[tuple[str, str, str]]]:
    """Add what follows from sums, until nothing more does; give too the sums that then do not hold."""
    found = dict(known)
    clashes = []
    for names in SUMS * len(SUMS):
        absent = [name for name in names if name not in found]
        if len(absent) > 1:
            continue
        whole, part, rest = (found.get(name, 0.0) for name in names)
        gap = whole - part - rest
        if not absent:
            clashes += [names] if abs(gap) > CLASH else []
            continue
        entry = MEASURES[absent[0]]
        value = -gap if absent[0] == names[0] else gap
        if entry.least <= value <= entry.most:
            found[entry.name] = value
        else:
            clashes.append(names)
    return found, list(dict.fromkeys(clashes))


def _clash(known: Mapping[str, float], names: tuple[str, str, str], units: Units) -> Problem:
    said = [f"{name} ({say_length(known[name], units)})" if name in known else f"{name} (not taped)" for name in names]
    whole, part, rest = said
    apart = ""
    if all(name in known for name in names):
        apart = say_length(abs(known[names[0]] - known[names[1]] - known[names[2]]), units)
    again = ", ".join(names)
    return problem(
        "LENGTHS-CLASH",
        says=f"{whole[:1].upper()}{whole[1:]} should be {part} and {rest} together"
        f"{f', but they are {apart} apart' if apart else ''}. Take {again} again.",
        found=f"{whole}; {part}; {rest}",
        expected=f"{names[0]} = {names[1]} + {names[2]}, within {say_length(CLASH, units)}",
        remedy=f"Take {again} again; of three, two are enough.",
    )


def _estimates(figure: Figure, known: Mapping[str, float]) -> dict[str, Taken]:
    """Estimate every measure of the figure's tables that is not known; those no person could have are left out."""
    shipped = model(figure)
    told = _given_names(shipped, known)
    what = conditional(figure, told)
    if shipped is None or what is None:
        return {}
    mean, sd = predict(shipped, what, np.array([to_scale(shipped, name, known[name]) for name in told]))
    edges = (mean, mean - NINETY * sd, mean + NINETY * sd)
    values, lows, highs = (from_scale(shipped, each).tolist() for each in edges)
    found = {}
    for name, value, low, high in zip(shipped.names, values, lows, highs, strict=True):
        entry = MEASURES[name]
        if name not in known and entry.least <= value <= entry.most:
            found[name] = Taken(value, True, (max(low, 0.0), high))
    return found


def _given_names(shipped: Model | None, known: Mapping[str, float]) -> tuple[str, ...]:
    """Give the known measures to estimate from, in the model's order, so that one memory serves every order.

    A whole is left out where both its parts are known: it tells nothing more, and where the tape contradicts itself
    the estimates then still add up with the parts as taped.
    """
    spare = {whole for whole, part, rest in SUMS if part in known and rest in known}
    return tuple(name for name in shipped.names if name in known and name not in spare) if shipped else ()


def _central(figure: Figure, known: Mapping[str, float]) -> Array | None:
    """Give the size (mm) of each measure of the model, which turns an sd of logarithms into mm."""
    shipped = model(figure)
    told = _given_names(shipped, known)
    what = conditional(figure, told)
    if shipped is None or what is None:
        return None
    mean, _ = predict(shipped, what, np.array([to_scale(shipped, name, known[name]) for name in told]))
    return from_scale(shipped, mean)


def _left_over(shipped: Model, told: list[str], values: Array) -> Array:
    """Give the covariance (m, m) in mm2 that is left of all measures once those told are taped."""
    scale = np.where(shipped.logs, values, 1.0)
    covariance: Array = shipped.covariance * np.outer(scale, scale)
    floor = 1e-9 * np.diag(covariance)
    for name in told:
        at = shipped.index[name]
        if covariance[at, at] > floor[at]:
            covariance = covariance - np.outer(covariance[at], covariance[at]) / covariance[at, at]
    return covariance


def _gains(covariance: Array, at: NDArray[np.intp]) -> Array:
    """Give how much (mm) taping each measure would lower the sum of the sds at the places `at`."""
    variance = np.diag(covariance)
    open_still = variance > WORTH_TAPING**2
    sure = np.where(open_still, variance, 1.0)
    left = variance[at, None] - np.where(open_still, covariance[at] ** 2 / sure, 0.0)
    lowered = np.sqrt(np.maximum(variance[at, None], 0.0)) - np.sqrt(np.maximum(left, 0.0))
    return np.asarray(lowered.sum(0), dtype=np.float64)


def _missing(figure: Figure, name: str) -> Problem:
    entry = measure(name)
    how = entry.how if entry else "docs/measures.md says how."
    why = "no table of children is shipped" if figure == "child" else "with the others given no estimate is a person's"
    return problem(
        "MEASURE-MISSING",
        says=f"{name.capitalize()} is needed and was not taped; {why}. {how}",
        found="not taped",
        expected=name,
        remedy=f"Take {name}: {how}",
    )
