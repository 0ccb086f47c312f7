"""The measures: their names in the trade's words, how each is taken, and what a person's may be.

The table is `measures.csv` beside this module, one row a measure; nothing about a measure stands anywhere else.
Its columns: `how` one sentence for the tape; `also` other spoken names, offered when a name is misspelt; the ISO
8559-1:2017 term with its mark ([M], from memory: the standard itself was not seen); `survey` the columns of the
1988 survey it is (a name, or names with ` + ` and ` - ` between); `scale` whether it is fitted as its logarithm
(girths, widths and lengths that enter no sum: their spread grows with size) or plain (heights and what is added
up from them, so that sums stay exact); `taken_from`, `ratio`, `spread` a share of another measure where no survey
column exists ([C], common practice, there to be changed); `sided` whether left and right may be given apart;
`least` and `most` (mm) what any person, child or grown, may have; `default` what holds when nothing is given.
"""

from __future__ import annotations

import csv
import difflib
from dataclasses import dataclass
from importlib.resources import files
from typing import Literal, cast

from onfold.problems import Problem, problem
from onfold.units import say_length

Figure = Literal["woman", "man", "child"]
Units = Literal["in", "cm"]
Kind = Literal["girth", "width", "length", "height"]

SIDES = ("left", "right")


@dataclass(frozen=True)
class MeasureEntry:
    """One measure of the table. `least`, `most` and `default` are mm; `ratio` and `spread` are shares.

    `women_column` and `men_column` are the survey's columns it is fitted to; the two tables share their names.
    """

    name: str
    kind: Kind
    how: str
    also: tuple[str, ...]
    iso_term: str
    iso_mark: str
    women_column: str
    men_column: str
    scale: Literal["log", "plain", ""]
    taken_from: str
    ratio: float
    spread: float
    mark: str
    sided: bool
    least: float
    most: float
    default: float | None


def read_measures(text: str) -> dict[str, MeasureEntry]:
    """Return the measures of a table in the form of `measures.csv`, in its order.

    Raises ValueError or KeyError on a damaged table: it is ours, not a user's.
    """
    return {row["name"]: _entry(row) for row in csv.DictReader(text.splitlines())}


def _entry(row: dict[str, str]) -> MeasureEntry:
    return MeasureEntry(
        name=row["name"],
        kind=cast(Kind, row["kind"]),
        how=row["how"],
        also=tuple(word for word in row["also"].split(";") if word),
        iso_term=row["iso_term"],
        iso_mark=row["iso_mark"],
        women_column=row["survey"],
        men_column=row["survey"],
        scale=cast(Literal["log", "plain", ""], row["scale"]),
        taken_from=row["taken_from"],
        ratio=float(row["ratio"] or 1.0),
        spread=float(row["spread"] or 0.0),
        mark=row["mark"],
        sided=row["sided"] == "yes",
        least=float(row["least"]),
        most=float(row["most"]),
        default=float(row["default"]) if row["default"] else None,
    )


MEASURES: dict[str, MeasureEntry] = read_measures(
    files("onfold.body").joinpath("measures.csv").read_text(encoding="utf-8")
)


def terms(expression: str) -> tuple[tuple[str, float], ...]:
    """Return the survey columns of an expression with their signs: `A + B - C` gives A +1, B +1, C -1.

    Only ` + ` and ` - ` between blanks count: the survey's own names hold hyphens.
    """
    words = expression.split()
    signs = [1.0 if word == "+" else -1.0 for word in ["+", *words[1::2]]][: len(words)]
    return tuple(zip(words[::2], signs, strict=True))


def split_side(name: str) -> tuple[str, str]:
    """Return the side (`left`, `right` or empty) and the plain name of a measure's name."""
    first, _, rest = name.partition(" ")
    if first in SIDES and rest in MEASURES and MEASURES[rest].sided:
        return first, rest
    return "", name


def measure(name: str) -> MeasureEntry | None:
    """Return the measure of this name, `left` or `right` before it allowed where sides may differ, or None."""
    return MEASURES.get(split_side(name)[1])


def near_names(name: str) -> list[str]:
    """Return the measures a misspelt or otherwise spoken name may mean, the likeliest first, three at most."""
    side, plain = "", " ".join(name.lower().split())
    if plain.split(" ")[0] in SIDES:
        side, _, plain = plain.partition(" ")
    spoken = {word: entry.name for entry in MEASURES.values() for word in (entry.name, *entry.also)}
    close = [plain] if plain in spoken else difflib.get_close_matches(plain, spoken, n=6, cutoff=0.6)
    found = dict.fromkeys(spoken[word] for word in close)
    return [f"{side} {each}" if side else each for each in found if not side or MEASURES[each].sided][:3]


def check_measure(name: str, value: float, units: Units = "cm") -> Problem | None:
    """Return what is wrong with one given measure (mm), or None: an unknown name, or no person's length."""
    entry = measure(name)
    if entry is None:
        near = near_names(name)
        offer = f"Did you mean {' or '.join(repr(each) for each in near)}?" if near else "docs/measures.md lists them."
        return problem(
            "MEASURE-UNKNOWN",
            says=f"There is no measure '{name}'. {offer}",
            found=name,
            expected=", ".join(near) or "the name of a measure",
            remedy=offer,
        )
    if entry.least <= value <= entry.most:
        return None
    least, most = say_length(entry.least, units), say_length(entry.most, units)
    found = say_length(value, units) if abs(value) < 1e6 else f"{value:g} mm"
    return problem(
        "MEASURE-RANGE",
        says=f"{name.capitalize()} {found} is no person's: anyone has {least} to {most}.",
        found=found,
        expected=f"{least} to {most}",
        remedy=f"Look at the figure and its unit, then take it again. {entry.how}",
    )


def measures_page() -> str:
    """Return docs/measures.md: every measure, how it is taken, and where its estimate comes from."""
    return "\n".join([_PAGE_HEAD, *(_row(entry) for entry in MEASURES.values()), ""])


def _row(entry: MeasureEntry) -> str:
    iso = f"{entry.iso_term} [{entry.iso_mark}]" if entry.iso_term else "–"
    bounds = f"{entry.least:.0f} to {entry.most:.0f}"
    sides = "may differ" if entry.sided else "–"
    return f"| `{entry.name}` | {entry.kind} | {entry.how} | {iso} | {_source(entry)} | {bounds} | {sides} |"


def _source(entry: MeasureEntry) -> str:
    if entry.women_column:
        return f"`{entry.women_column}`, {'logarithm' if entry.scale == 'log' else 'plain'}"
    if entry.taken_from:
        return f"{entry.ratio:g} × {entry.taken_from}, give or take {entry.spread:.0%} (sd) [C]"
    return f"not estimated; {entry.default:g} mm unless given" if entry.default is not None else "not estimated"


_PAGE_HEAD = """# Measures

Written from `onfold/body/measures.csv` by `scripts/fit_bodies.py --page`; change the table, not this page.

All are taken on the body over what will be worn beneath, without ease, the tape snug. Lengths called *plumb* or
*straight down* are differences of levels, taken beside the body, not over it: that is how the survey took them, and
why they add up. Three sums hold: `shoulder to waist` = `shoulder to bust` + `bust to waist`; `underarm to waist` =
`underarm to bust` + `bust to waist`; `waist to floor` = `waist to knee` + `knee height`. Where two of three are
given the third follows and is no estimate; where all three are given and differ by more than 1 cm, Onfold asks.

Choices made where the trade or the survey leaves one:

- `neck` is taken at its root, where a neckline is drafted, not below the larynx where a collar is buttoned: the
  survey's `NECK_CIRC-BASE`.
- `across back` is the survey's distance between the rear armpit creases, not the one at mid armhole (2.4 cm larger in
  women), because every wearer can find the crease.
- `shoulder to underarm` is a difference of levels, from the side-neck point to the armpit, so that it lies straight
  down the side with `underarm to waist` below it.
- `across front` has no column in the survey. It is taken as 0.94 of `across back` [C] (a printed women's size chart
  has 32.4 to 34.4 cm [M]), its interval widened by 5 %. It comes first on the list of what to measure.
- `waist to floor front` and `waist to floor back` were surveyed as one level with the side; the 1 % spread is what a
  waist that dips or rises may make of it [C]. `step` is 0.41 of the height [C].
- Left and right may be given apart as `left shoulder`, `right shoulder`; the plain name is then the larger.

Estimates: a normal distribution fitted to the 1988 survey of US Army people, women and men apart, conditioned on what
was taped. Soldiers are no general population: the very small, very large, old and pregnant are missing. A child is
never estimated from grown people's tables. ISO terms are those of ISO 8559-1:2017 from memory [M]; the standard was
not seen. Survey columns: Gordon et al. 1989, NATICK/TR-89/044 [S].

| measure | kind | how to take it | ISO 8559-1 | survey column, fitted as | any person's, mm | left and right |
|---|---|---|---|---|---|---|"""
