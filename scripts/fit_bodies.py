"""Rebuild the tables of onfold/body, the samples of tests/data and docs/measures.md from the survey files.

    python scripts/fit_bodies.py FOLDER            fit_women.csv, fit_men.csv, survey_range.csv, form_sections.csv
    python scripts/fit_bodies.py FOLDER --samples  the samples in tests/data, with their sums printed
    python scripts/fit_bodies.py --page            docs/measures.md

FOLDER holds women_1988.csv.gz, men_1988.csv.gz, women.csv.gz and men.csv.gz (2012), as their provenance describes.
Written for the founder: it stops with Python's own error where a file is missing or damaged.
"""

from __future__ import annotations

import argparse
import csv
import gzip
import hashlib
import io
from collections.abc import Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from onfold.body.fit import Fit, fit_people, survey_columns, write_fit
from onfold.body.measures import MEASURES, measures_page, terms

Array = NDArray[np.float64]

ROOT = Path(__file__).resolve().parent.parent
BODY = ROOT / "onfold" / "body"
SAMPLES = ROOT / "tests" / "data"

HEAD = """How the body measures of {who} hang together: means and covariances of survey columns, mm or log(mm).
Fitted to {n} {who} of the 1988 Anthropometric Survey of U.S. Army Personnel (Gordon et al. 1989, NATICK/TR-89/044,
DTIC ADA225094), a work of the United States Government in the public domain. Soldiers: no general population.
Rebuilt by scripts/fit_bodies.py; the columns follow onfold/body/measures.csv."""

RANGE_HEAD = """\
# Smallest and largest of each measure, mm, among the people of both U.S. Army surveys: 1988 (Gordon et al. 1989,
# NATICK/TR-89/044) and, for measures taken alike, 2012 (Gordon et al. 2014, NATICK/TR-15/007); public domain.
# The waists of 2012, taken at the navel, are converted to the natural waist first. Rebuilt by scripts/fit_bodies.py."""

SECTIONS_HEAD = """\
# Breadths, depths and drops that no tape takes, of women and of men: the natural logarithm of each (mm) is the constant
# and the coefficients times the logarithms of height, bust, waist and hip (mm), by least squares; `spread` is the
# standard deviation of what is left. Fitted to the 1988 survey (Gordon et al. 1989, NATICK/TR-89/044, public domain),
# {women} women and {men} men: all but those of tests/data/sections_*.csv.gz, kept back for the tests.
# Soldiers: no general population. Rebuilt by scripts/fit_bodies.py."""

SECTION_PARTS = {
    "chest breadth": "CHEST_BRTH",
    "chest depth": "CHEST_DEPTH",
    "navel breadth": "WAIST_BRTH_OMPHALION",
    "navel depth": "WAIST_DEPTH-OMPHALION",
    "navel girth": "WAIST_CIRC-OMPHALION",
    "hip breadth": "HIP_BRTH",
    "hip depth": "BUTT_DEPTH",
    "throat girth": "NECK_CIRC-OVER_LARYNX",
    "waist to navel": "WAIST_HT_NATURAL - WAIST_HT-OMPHALION",
    "side neck to shoulder point": "NECK_HT-LATERAL - ACROMION_HT",
    "side neck to pit": "NECK_HT-LATERAL - SUPRASTERNALE_HT",
}
"""What a form needs besides the measures, with its 1988 columns."""

KEPT_BACK = {"women": 200, "men": 100}

ALIKE = {
    "height": "stature",
    "bust": "chestcircumference",
    "hip": "buttockcircumference",
    "across back": "interscyei",
    "shoulder": "shoulderlength",
    "neck": "neckcircumferencebase",
    "arm": "sleeveoutseam",
    "wrist": "wristcircumference",
    "hand": "handcircumference",
    "inside leg": "crotchheight",
    "thigh": "thighcircumference",
    "calf": "calfcircumference",
    "ankle": "anklecircumference",
    "heel": "heelanklecircumference",
    "knee height": "kneeheightmidpatella",
    "hip joint height": "trochanterionheight",
}
"""Measures that both surveys took alike, with their 2012 columns."""

FOUR_2012 = ("stature", "chestcircumference", "waistcircumference", "buttockcircumference")
SEED = 1988


def read_people(path: Path) -> dict[str, Array]:
    """Return a survey file's columns by name, each (n,) as written; empty cells are nan."""
    with gzip.open(path, "rt", encoding="utf-8", newline="") as stream:
        head, *rows = csv.reader(stream)
    figures = np.array([[float(cell) if cell else np.nan for cell in row] for row in rows])
    return {name: figures[:, at] for at, name in enumerate(head)}


def values_of(expression: str, people: Mapping[str, Array]) -> Array:
    """Return a measure (n,) mm from its survey expression."""
    return np.sum([sign * people[column] for column, sign in terms(expression)], axis=0)


def navel_to_natural(people_1988: Mapping[str, Array]) -> Array:
    """Return a, b (stature), c (chest), d (navel waist), e (hip) of the least-squares natural waist, mm."""
    names = ("STATURE", "CHEST_CIRC", "WAIST_CIRC-OMPHALION", "BUTTOCK_CIRC")
    design = np.column_stack([np.ones(len(people_1988["STATURE"])), *(people_1988[name] for name in names)])
    return np.linalg.lstsq(design, people_1988["WAIST_CIRC_NATURAL"], rcond=None)[0]


def natural_waists(coefficients: Array, people_2012: Mapping[str, Array]) -> Array:
    """Return the natural waists (n,) mm that go with 2012 people's stature, chest, navel waist and hip."""
    return coefficients[0] + np.sum(
        [share * people_2012[name] for share, name in zip(coefficients[1:], FOUR_2012, strict=True)], axis=0
    )


def survey_ranges(figure: str, early: Mapping[str, Array], late: Mapping[str, Array]) -> list[str]:
    """Return the rows of survey_range.csv for one figure."""
    rows = []
    for entry in MEASURES.values():
        if not entry.women_column:
            continue
        seen = [values_of(entry.women_column, early)]
        if entry.name in ALIKE:
            seen.append(late[ALIKE[entry.name]])
        if entry.name == "waist":
            seen.append(natural_waists(navel_to_natural(early), late))
        both = np.concatenate(seen)
        rows.append(f"{figure},{entry.name},{both.min():.0f},{both.max():.0f}")
    return rows


def write_tables(folder: Path) -> None:
    """Write the two fits and the survey's ranges into onfold/body."""
    ranges = [RANGE_HEAD, "figure,measure,least,most"]
    for figure, who in (("woman", "women"), ("man", "men")):
        early, late = read_people(folder / f"{who}_1988.csv.gz"), read_people(folder / f"{who}.csv.gz")
        fit: Fit = fit_people(early)
        head = HEAD.format(who=who, n=len(early["STATURE"]))
        (BODY / f"fit_{who}.csv").write_text(write_fit(fit, head), encoding="utf-8")
        ranges += survey_ranges(figure, early, late)
        print(who, "natural waist =", ", ".join(f"{share:.4f}" for share in navel_to_natural(early)))
    (BODY / "survey_range.csv").write_text("\n".join([*ranges, ""]), encoding="utf-8")


def kept_back(who: str, count: int) -> Array:
    """Return which people (count,) bool are kept back from the fit of the sections, those of the samples first."""
    back = np.zeros(count, dtype=bool)
    back[np.random.default_rng(SEED).permutation(count)[: KEPT_BACK[who]]] = True
    return back


def section_rows(figure: str, people: Mapping[str, Array], used: Array) -> list[str]:
    """Return the rows of form_sections.csv for one figure, fitted to the people `used` (n,) bool."""
    given = [np.log(values_of(MEASURES[name].women_column, people)) for name in ("height", "bust", "waist", "hip")]
    design = np.column_stack([np.ones(used.sum()), *(each[used] for each in given)])
    rows = []
    for part, expression in SECTION_PARTS.items():
        sizes = np.maximum(values_of(expression, people)[used], 1.0)
        shares = np.linalg.lstsq(design, np.log(sizes), rcond=None)[0]
        spread = np.std(np.log(sizes) - design @ shares)
        rows.append(f"{figure},{part},{','.join(f'{share:.6g}' for share in shares)},{spread:.4f}")
    return rows


def write_sections(folder: Path) -> None:
    """Write form_sections.csv into onfold/body."""
    rows, counts = [], {}
    for figure, who in (("woman", "women"), ("man", "men")):
        people = read_people(folder / f"{who}_1988.csv.gz")
        used = ~kept_back(who, len(people["STATURE"]))
        counts[who] = int(used.sum())
        rows += section_rows(figure, people, used)
    lines = [SECTIONS_HEAD.format(**counts), "figure,part,constant,height,bust,waist,hip,spread", *rows, ""]
    (BODY / "form_sections.csv").write_text("\n".join(lines), encoding="utf-8")


def write_sample(path: Path, people: Mapping[str, Array], columns: list[str], count: int) -> None:
    """Write `count` people drawn without regard to anything, in the survey's order, and print the file's sum."""
    chosen = np.sort(np.random.default_rng(SEED).permutation(len(people[columns[0]]))[:count])
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([f"{people[column][at]:.0f}" for column in columns] for at in chosen)
    packed = io.BytesIO()
    with gzip.GzipFile(fileobj=packed, mode="wb", mtime=0, filename="") as stream:
        stream.write(text.getvalue().encode())
    path.write_bytes(packed.getvalue())
    print(path.name, hashlib.sha256(text.getvalue().encode()).hexdigest(), "(unpacked)")


def write_samples(folder: Path) -> None:
    """Write the samples of tests/data: every column the measures need of 1988, the four of 2012."""
    for who, late_count in (("women", 500), ("men", 100)):
        count = 500 if who == "women" else 100
        early, late = read_people(folder / f"{who}_1988.csv.gz"), read_people(folder / f"{who}.csv.gz")
        columns = [*survey_columns(), "WAIST_CIRC-OMPHALION"]
        write_sample(SAMPLES / f"{who}_1988_{count}.csv.gz", early, columns, count)
        write_sample(SAMPLES / f"{who}_2012_{late_count}.csv.gz", late, list(FOUR_2012), late_count)
        held = [term for expression in SECTION_PARTS.values() for term, _ in terms(expression)]
        four = ("STATURE", "CHEST_CIRC", "WAIST_CIRC_NATURAL", "BUTTOCK_CIRC")
        columns = list(dict.fromkeys([*four, *held]))
        write_sample(SAMPLES / f"sections_{who}_1988_{KEPT_BACK[who]}.csv.gz", early, columns, KEPT_BACK[who])


def main() -> None:
    """Rebuild what the arguments ask for."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("folder", type=Path, nargs="?")
    asked.add_argument("--samples", action="store_true")
    asked.add_argument("--page", action="store_true")
    given = asked.parse_args()
    if given.page:
        (ROOT / "docs" / "measures.md").write_text(measures_page(), encoding="utf-8")
    if given.folder and given.samples:
        write_samples(given.folder)
    elif given.folder:
        write_tables(given.folder)
        write_sections(given.folder)


if __name__ == "__main__":
    main()
