"""Asking about measures that seldom go together, and saying when a wearer is unlike anyone surveyed. Never a stop.

Measures are judged two by two, each against what the other leads one to expect, never all at once: the joint
distance of real people is heavier-tailed than normal and would turn away too many.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

from onfold.body.fit import Array, Model, model, to_scale
from onfold.body.measures import MEASURES, Figure, Units, check_measure, split_side
from onfold.problems import Problem, problem
from onfold.units import say_length

IMPROBABLE = 4.5
"""How many widened standard deviations one measure may lie from what another leads one to expect. Set on the
survey's people: fewer than 1 in 100 of them, all measures given, is asked anything (tests/test_body_likely.py)."""

UNHEARD = 8.0
"""How many standard deviations from the survey's mean a measure alone may lie. Large people are far out in every
measure and agree with themselves, so this asks only where a slip of the pen would explain it."""

FITS = 3.0
"""A slip is proposed if the corrected figure lies this near to what every sound measure leads one to expect."""

SHARP, BROAD = 8.0, 16.0
"""Degrees of freedom of the allowance for unusual bodies: the further out a measure, the less it says of another.
Sharp allows for the one that leads to the expectation, broad for both: a woman far larger than any surveyed is no
slip, and is asked about only where a slip of the pen would explain the figure."""

RELATED = 0.5
"""Two measures are judged as a pair if they go together at least so far (their correlation, either sign); what goes
together less says nothing of the other that its own size doesn't."""

LEAST_SPREAD = 0.15
"""No measure tells another closer than this share of its spread: so much is the tape's own error."""

_MM = {"in": 25.4, "cm": 10.0}


@dataclass(frozen=True, eq=False)
class _Given:
    """The given measures that can be judged: names, mm, deviations `z` (n,) and correlations (n, n) of the model."""

    shipped: Model
    names: tuple[str, ...]
    values: tuple[float, ...]
    z: Array
    correlation: Array

    @cached_property
    def related(self) -> NDArray[np.bool_]:
        """Return which pairs are judged (n, n): those that go together, never a left with its own right."""
        plain = np.array([split_side(name)[1] for name in self.names])
        return np.asarray((plain[:, None] != plain[None, :]) & (np.abs(self.correlation) >= RELATED))


def likely_together(figure: Figure, given: Mapping[str, float], units: Units) -> list[Problem]:
    """Return a `mind` for each given measure (mm) that is improbable beside another, with the slip that explains it.

    The measure asked about is the one at odds with most of the others. Unknown measures and values that no person
    has are left to `fill`. A child is not judged: no table of children is shipped.
    """
    shipped = model(figure)
    sound = {name: value for name, value in given.items() if check_measure(name, value) is None}
    if shipped is None:
        return []
    these = _given(shipped, {name: value for name, value in sound.items() if split_side(name)[1] in shipped.index})
    if not these.names:
        return []
    whole = _one_slip_for_all(these, units)
    return [whole] if whole else list(_questions(these, units))


def outside_survey(figure: Figure, given: Mapping[str, float], units: Units = "cm") -> list[Problem]:
    """Return a note that names the given measures (mm) beyond the smallest and largest of both surveys, if any are.

    The ranges are those of 1988 and, for measures taken alike, of 2012; its navel waists are converted first.
    """
    beyond = []
    for name, value in given.items():
        span = _survey_range(figure).get(split_side(name)[1])
        if span and not span[0] <= value <= span[1] and check_measure(name, value) is None:
            least, most = (say_length(each, units) for each in span)
            beyond.append(f"{name} {say_length(value, units)} ({least} to {most})")
    if not beyond:
        return []
    listed = "; ".join(beyond)
    return [
        problem(
            "OUT-OF-SURVEY",
            says=f"Outside the people surveyed: {listed}. Estimates for this wearer are weaker; tape what you can.",
            found=listed,
            expected="a body within the survey, for estimates to hold as stated",
            remedy="Tape the measures that would otherwise be estimated.",
        )
    ]


@lru_cache(maxsize=2)
def _survey_range(figure: Figure) -> dict[str, tuple[float, float]]:
    text = files("onfold.body").joinpath("survey_range.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return {row["measure"]: (float(row["least"]), float(row["most"])) for row in rows if row["figure"] == figure}


def _given(shipped: Model, values: Mapping[str, float]) -> _Given:
    plain = [split_side(name)[1] for name in values]
    at = np.array([shipped.index[name] for name in plain], dtype=np.intp)
    spread = np.sqrt(np.diag(shipped.covariance)[at])
    figures = np.array([to_scale(shipped, name, value) for name, value in zip(plain, values.values(), strict=True)])
    correlation = shipped.covariance[np.ix_(at, at)] / np.outer(spread, spread)
    return _Given(shipped, tuple(values), tuple(values.values()), (figures - shipped.mean[at]) / spread, correlation)


def _oddness(z: Array, correlation: Array) -> tuple[Array, Array]:
    """Give how odd each pair is, (n, n) twice: sharp and broad, either way round, the greater of the two."""
    spread = np.sqrt(np.maximum(1.0 - correlation**2, LEAST_SPREAD**2))
    off = np.abs(z[:, None] - correlation * z[None, :]) / spread
    further = np.maximum(np.abs(z)[:, None], np.abs(z)[None, :])
    sharp = off / np.sqrt(np.maximum(1.0, (SHARP + z**2) / (SHARP + 1.0)))[None, :]
    broad = off / np.sqrt(np.maximum(1.0, (BROAD + further**2) / (BROAD + 1.0)))
    return np.maximum(sharp, sharp.T), np.maximum(broad, broad.T)


def _questions(these: _Given, units: Units) -> Iterator[Problem]:
    sharp, broad = (each * these.related for each in _oddness(these.z, these.correlation))
    odd = _fewest_that_explain(sharp > IMPROBABLE, np.abs(these.z))
    sound = [at for at in range(len(these.names)) if at not in odd]
    for at in odd:
        slips = _fitting_slips(these, at, sound, units)
        if slips or broad[at].max() > IMPROBABLE:
            yield _ask(these, at, int(np.argmax(sharp[at])), slips, units)
    for at in sound:
        vouched = (these.related[at] & (sharp[at] < FITS)).any()
        unheard = abs(these.z[at]) > UNHEARD and not vouched
        slips = _fitting_slips(these, at, [each for each in sound if each != at], units) if unheard else []
        if slips:
            yield _ask(these, at, None, slips, units)


def _fewest_that_explain(pairs: NDArray[np.bool_], far: Array) -> list[int]:
    """Give the measures that must be wrong for all odd pairs to be explained: again and again the one in most."""
    left = pairs.copy()
    found: list[int] = []
    while left.any():
        count = left.sum(1)
        worst = int(np.lexsort((far, count))[-1])
        found.append(worst)
        left[worst] = left[:, worst] = False
    return found


def _slips(value: float, units: Units) -> Iterator[tuple[float, str]]:
    """Give what may have been meant by a length (mm), with the slip in words."""
    cm, inches = f"{value / 10:.4g}", f"{value / 25.4:.4g}"
    yield value * 2.54, f"{cm} in, not {cm} cm"
    yield value / 2.54, f"{inches} cm, not {inches} in"
    yield value * 10.0, f"{value:.4g} cm, not {value:.4g} mm"
    yield value / 10.0, f"{cm} mm, not {cm} cm"
    number = round(value / _MM[units], 4)
    digits = str(int(number)) if number > 0 else ""
    for at in range(len(digits) - 1):
        swapped = digits[:at] + digits[at + 1] + digits[at] + digits[at + 2 :]
        if swapped != digits and swapped[0] != "0":
            yield (int(swapped) + number - int(number)) * _MM[units], f"{swapped}, not {digits}"


def _fitting_slips(these: _Given, at: int, sound: list[int], units: Units) -> list[tuple[float, str]]:
    """Give the two slips at most whose correction agrees with the sound measures, the best first."""
    fitting = []
    for value, says in _slips(these.values[at], units):
        if check_measure(these.names[at], value) is None:
            near = _worst(these, at, value, sound)
            fitting += [(near, value, says)] if near < FITS else []
    return [(value, says) for _, value, says in sorted(fitting)[:2]]


def _worst(these: _Given, at: int, value: float, sound: list[int]) -> float:
    """Give how odd a value would be, beside each sound measure it goes with and, where there is none, by itself."""
    plain = split_side(these.names[at])[1]
    place = these.shipped.index[plain]
    spread = float(np.sqrt(these.shipped.covariance[place, place]))
    z = (to_scale(these.shipped, plain, value) - float(these.shipped.mean[place])) / spread
    partners = [each for each in sound if these.related[at, each]]
    if abs(z) > UNHEARD or not partners:
        return abs(z)
    members = [at, *partners]
    sharp, _ = _oddness(np.array([z, *these.z[partners]]), these.correlation[np.ix_(members, members)])
    return float(sharp[0, 1:].max())


def _one_slip_for_all(these: _Given, units: Units) -> Problem | None:
    """Ask once where every measure is far out and one wrong unit explains them all."""
    if len(these.names) < 2 or np.abs(these.z).min() < IMPROBABLE:
        return None
    for factor, says in ((2.54, "inches, typed as cm"), (1 / 2.54, "cm, typed as inches"), (10, "cm, typed as mm")):
        meant = {name: value * factor for name, value in zip(these.names, these.values, strict=True)}
        if np.abs(_given(these.shipped, meant).z).max() < IMPROBABLE:
            first = these.names[0]
            found, better = say_length(these.values[0], units), say_length(meant[first], units)
            return problem(
                "LIKELY",
                says=f"None of the measures is that of a grown person. Were they {says}? "
                f"{first.capitalize()} would then be {better}, not {found}.",
                found=f"{first} {found}",
                expected=f"{first} {better}",
                remedy="Look at the units of all measures; if they are right, go on.",
            )
    return None


def _ask(these: _Given, at: int, other: int | None, slips: list[tuple[float, str]], units: Units) -> Problem:
    name, found = these.names[at], say_length(these.values[at], units)
    beside = f" beside {these.names[other]} {say_length(these.values[other], units)}" if other is not None else ""
    meant = " or ".join(f"{says} ({say_length(value, units)})" for value, says in slips)
    how = MEASURES[split_side(name)[1]].how
    return problem(
        "LIKELY",
        says=f"{name.capitalize()} {found} is seldom seen{beside}.{f' Was it {meant}?' if meant else ''} "
        "Tape it again; if it is right, go on.",
        found=f"{name} {found}{beside}",
        expected=f"{name} {say_length(slips[0][0], units)}" if slips else f"a {name} nearer to the others",
        remedy=f"Tape {name} again. {how}",
    )
