"""The fitted tables: how the measures of women and of men hang together, and what some say of the others.

The fit is a normal distribution of the survey's columns (girths, widths and single lengths as logarithms), kept as
means and covariances in `fit_women.csv` and `fit_men.csv`; `scripts/fit_bodies.py` rebuilds them. The measures are
rows over those columns, so that sums of lengths are exact in the distribution too: its covariance is singular on
purpose, and conditioning passes over what is already told.

Source of the method: the conditional mean of a multivariate normal is linear regression [A]. Of the widening: a
multivariate t with the same tails has its conditional scale multiplied by sqrt((v + d2) / (v + p)), where d2 is the
squared distance of the given measures and p their number [A]; only the widening half of it is used.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

from onfold.body.measures import MEASURES, Figure, MeasureEntry, terms

Array = NDArray[np.float64]

TAIL_FREEDOM = 12.0
"""Degrees of freedom v of the widening: chosen so that held-out 90 % intervals hold 90 to 92 % of people, and
close to that in the tenth with the largest hips (tests/test_body_estimates.py)."""

_SINGULAR = 1e-10


@dataclass(frozen=True, eq=False)
class Fit:
    """Means (k,) and covariance (k, k) of survey columns, in log(mm) where `logs` says so, else in mm."""

    columns: tuple[str, ...]
    logs: NDArray[np.bool_]
    mean: Array
    covariance: Array


@dataclass(frozen=True, eq=False)
class Model:
    """The distribution of the measures: `mean` (m,), `covariance` (m, m) in the fitted scale of each."""

    names: tuple[str, ...]
    logs: NDArray[np.bool_]
    mean: Array
    covariance: Array
    index: dict[str, int]


@dataclass(frozen=True, eq=False)
class Conditional:
    """What p given measures say of all m: mean + weights @ (given - mean of given), sd (m,), in the fitted scale.

    `precision` (p, p) gives the squared distance of the given ones, `rank` how many of them are independent.
    """

    at: NDArray[np.intp]
    weights: Array
    sd: Array
    precision: Array
    rank: int


def survey_columns() -> dict[str, bool]:
    """Return the survey columns the measures need, in the table's order, and whether each is fitted as a logarithm."""
    found: dict[str, bool] = {}
    for entry in MEASURES.values():
        for column, _ in terms(entry.women_column):
            found[column] = found.get(column, False) or entry.scale == "log"
    return found


def fit_people(people: Mapping[str, Array]) -> Fit:
    """Return the fit to survey columns, each (n,) mm, of at least two people more than there are columns.

    Raises KeyError for a missing column and ValueError for a value that is no positive number.
    """
    wanted = survey_columns()
    logs = np.array(list(wanted.values()))
    rows = np.column_stack([people[column] for column in wanted])
    if not (np.isfinite(rows).all() and (rows > 0).all()):
        raise ValueError("the survey columns hold a value that is no positive number")
    rows = np.where(logs, np.log(rows), rows)
    return Fit(tuple(wanted), logs, rows.mean(0), np.cov(rows.T))


def write_fit(fit: Fit, head: str) -> str:
    """Return the fit as text: the lines of `head` after #, then a column a line with its covariances to those above."""
    lines = [f"# {line}".rstrip() for line in head.splitlines()]
    lines.append("column,scale,mean,covariance with each column above and with itself")
    for row, column in enumerate(fit.columns):
        figures = [fit.mean[row], *fit.covariance[row, : row + 1]]
        scale = "log" if fit.logs[row] else "plain"
        lines.append(",".join([column, scale, *(f"{figure:.10g}" for figure in figures)]))
    return "\n".join([*lines, ""])


def read_fit(text: str) -> Fit:
    """Return the fit written by `write_fit`. Raises ValueError on a damaged table: it is ours, not a user's."""
    lines = [line for line in text.splitlines() if line and not line.startswith("#")][1:]
    rows = list(csv.reader(lines))
    covariance = np.zeros((len(rows), len(rows)))
    for at, row in enumerate(rows):
        covariance[at, : at + 1] = covariance[: at + 1, at] = [float(figure) for figure in row[3:]]
    logs = np.array([row[1] == "log" for row in rows])
    return Fit(tuple(row[0] for row in rows), logs, np.array([float(row[2]) for row in rows]), covariance)


def model_of(fit: Fit, measures: Mapping[str, MeasureEntry] = MEASURES) -> Model:
    """Return the distribution of the measures that the fit, or a share of a fitted measure, can give."""
    surveyed = [entry for entry in measures.values() if entry.women_column]
    shares = [entry for entry in measures.values() if entry.taken_from]
    names = tuple(entry.name for entry in (*surveyed, *shares))
    index = {name: at for at, name in enumerate(names)}
    place = {column: at for at, column in enumerate(fit.columns)}
    rows = np.zeros((len(names), len(fit.columns)))
    for entry in surveyed:
        for column, sign in terms(entry.women_column):
            rows[index[entry.name], place[column]] = sign
    logs = np.array([entry.scale == "log" for entry in surveyed] + [False] * len(shares))
    shift, own = np.zeros(len(names)), np.zeros(len(names))
    for entry in shares:
        at, source = index[entry.name], index[entry.taken_from]
        logs[at] = logs[source]
        rows[at] = rows[source] if logs[at] else entry.ratio * rows[source]
        shift[at] = np.log(entry.ratio) if logs[at] else 0.0
        own[at] = entry.spread if logs[at] else entry.spread * float(rows[at] @ fit.mean)
    covariance = rows @ fit.covariance @ rows.T + np.diag(own**2)
    return Model(names, logs, rows @ fit.mean + shift, covariance, index)


@lru_cache(maxsize=2)
def model(figure: Figure) -> Model | None:
    """Return the shipped distribution of this figure, read on first use; None for a child."""
    if figure == "child":
        return None
    name = "fit_women.csv" if figure == "woman" else "fit_men.csv"
    return model_of(read_fit(files("onfold.body").joinpath(name).read_text(encoding="utf-8")))


def condition(model: Model, given: tuple[str, ...]) -> Conditional:
    """Return what the given measures say of all. One that those before it already tell (a sum) is left out.

    By sweeping the covariance on one measure after another [A]: no threaded library has a hand in it, so that the
    result is the same to the bit at any thread count.
    """
    swept = model.covariance.copy()
    prior = np.diag(model.covariance)
    told: list[int] = []
    at = np.array([model.index[name] for name in given], dtype=np.intp)
    for place in at.tolist():
        pivot = swept[place, place]
        if pivot <= _SINGULAR * prior[place]:
            continue
        column = swept[:, place].copy()
        swept -= np.outer(column, column / pivot)
        swept[:, place] = swept[place, :] = column / pivot
        swept[place, place] = -1.0 / pivot
        told.append(place)
    used = np.isin(at, told)
    weights = swept[:, at] * used
    weights[told, :] = np.array(told, dtype=np.intp)[:, None] == at[None, :]
    precision = -swept[np.ix_(at, at)] * np.outer(used, used)
    left = np.diag(swept).copy()
    left[told] = 0.0
    sd = np.sqrt(np.where(left < _SINGULAR * prior, 0.0, left))
    return Conditional(at, weights, sd, precision, len(told))


@lru_cache(maxsize=256)
def conditional(figure: Figure, given: tuple[str, ...]) -> Conditional | None:
    """Return `condition` for the shipped fit, remembered by the given names; None for a child."""
    shipped = model(figure)
    return condition(shipped, given) if shipped else None


def to_scale(model: Model, name: str, value: float) -> float:
    """Return a measure of `value` mm in its fitted scale."""
    return float(np.log(value)) if model.logs[model.index[name]] else value


def predict(model: Model, what: Conditional, given: Array) -> tuple[Array, Array]:
    """Return mean (m,) and widened sd (m,) of all measures in the fitted scale, for `given` (p,) in that scale."""
    away = given - model.mean[what.at]
    mean = model.mean + what.weights @ away
    distance = float(away @ what.precision @ away)
    widening = max(1.0, (TAIL_FREEDOM + distance) / (TAIL_FREEDOM + what.rank))
    return mean, what.sd * np.sqrt(widening)


def from_scale(model: Model, figures: Array) -> Array:
    """Return figures (m,) of the fitted scale in mm."""
    return np.where(model.logs, np.exp(np.where(model.logs, figures, 0.0)), figures)
