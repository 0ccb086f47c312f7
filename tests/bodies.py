"""Bodies of real people for the tests: the committed survey samples as lists of our measures, mm.

The samples and their provenance lie in tests/data. The whole tables, for `make long`, are looked for in the folder
named by ONFOLD_SURVEY, else in ../shared/data/body beside the checkout.
"""

from __future__ import annotations

import csv
import gzip
import os
from functools import lru_cache
from pathlib import Path

import numpy as np

from onfold.body.measures import MEASURES, terms

HERE = Path(__file__).resolve().parent
FOUR = ("height", "bust", "waist", "hip")

# Least-squares fits of the natural waist (mm) to stature, chest, navel waist and hip in the whole 1988 tables,
# needed because the 2012 survey taped no waist but the navel's. Held-out error 23.5 mm for women.
NAVEL_TO_NATURAL = {
    "woman": (-4.5241, -0.0181, 0.4131, 0.3857, 0.0821),
    "man": (78.3342, -0.0311, 0.2922, 0.6568, -0.0405),
}


def natural_waist(figure: str, height: float, bust: float, navel_waist: float, hip: float) -> float:
    """The natural waist, mm, to expect of a body whose waist was taped at the navel."""
    start, *shares = NAVEL_TO_NATURAL[figure]
    return start + sum(share * size for share, size in zip(shares, (height, bust, navel_waist, hip), strict=True))


def survey_women(n: int = 500, every: bool = False, year: int = 1988) -> list[dict[str, float]]:
    """The first n (500 at most) survey women: height, bust, waist, hip, or with `every` all surveyed measures."""
    return _people("woman", f"women_{year}_500.csv.gz", n, every, year)


def survey_men(n: int = 100, every: bool = False, year: int = 1988) -> list[dict[str, float]]:
    """The first n (100 at most) survey men, as `survey_women`."""
    return _people("man", f"men_{year}_100.csv.gz", n, every, year)


def read_columns(path: Path) -> dict[str, np.ndarray]:
    """A survey file's columns by name, each (n,), mm."""
    with gzip.open(path, "rt", encoding="utf-8", newline="") as stream:
        head, *rows = csv.reader(stream)
    figures = np.array([[float(cell) if cell else np.nan for cell in row] for row in rows])
    return {name: figures[:, at] for at, name in enumerate(head)}


def measured(columns: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
    """Our measures (n,) mm from the 1988 survey's columns."""
    surveyed = [entry for entry in MEASURES.values() if entry.women_column]
    return {
        entry.name: np.sum([sign * columns[name] for name, sign in terms(entry.women_column)], axis=0)
        for entry in surveyed
    }


def whole_table(name: str) -> dict[str, np.ndarray]:
    """A whole survey table. Absent, the test that asked for it fails: it must not pass by not running."""
    folder = Path(os.environ.get("ONFOLD_SURVEY", HERE.parent.parent / "shared" / "data" / "body"))
    path = folder / f"{name}.csv.gz"
    assert path.is_file(), f"{path} is absent: set ONFOLD_SURVEY to the folder of the survey tables"
    return read_columns(path)


@lru_cache
def _sample(name: str) -> dict[str, np.ndarray]:
    return read_columns(HERE / "data" / name)


def _people(figure: str, name: str, n: int, every: bool, year: int) -> list[dict[str, float]]:
    columns = _sample(name)
    if year == 2012:
        assert not every, "of 2012 only the four are kept"
        return [_of_2012(figure, *row) for row in zip(*columns.values(), strict=True)][:n]
    sizes = measured(columns)
    wanted = list(sizes) if every else FOUR
    return [{key: float(sizes[key][at]) for key in wanted} for at in range(min(n, len(sizes["height"])))]


def _of_2012(figure: str, height: float, bust: float, navel: float, hip: float) -> dict[str, float]:
    waist = natural_waist(figure, height, bust, navel, hip)
    return dict(zip(FOUR, (float(height), float(bust), float(waist), float(hip)), strict=True))
