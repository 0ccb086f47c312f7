"""Figure notes: what the tape does not say of a body, how it is seen at a try-on and how large it is.

The table is `figure_notes.csv` beside this module, one row a note; nothing about a note stands anywhere else. Its
columns: `sense` the word that is written behind the length where a note has a side to it (`right shoulder: 1 cm low`);
`see` what shows it on the body; `how` how it is measured; `also` other spoken names, offered when a name is misspelt;
`otherwise` what to do at the cutting table where a recipe does not draft for it; `least` and `most` in mm. All are
common practice [C], there to be changed. A wearer without a note has 0 of it.

A formula names a note with its sense: `sway back`, `right shoulder low`.
"""

from __future__ import annotations

import csv
import difflib
from dataclasses import dataclass
from importlib.resources import files

from onfold.problems import Problem, problem
from onfold.units import System, UnitFault, plain, read_quantity, say_length

SIDES = {"right": "left", "left": "right"}


@dataclass(frozen=True)
class FigureNote:
    """One note of the table. `least` and `most` are mm; `sense` is '' where the note has none."""

    name: str
    sense: str
    see: str
    how: str
    also: tuple[str, ...]
    otherwise: str
    least: float
    most: float

    @property
    def formula_name(self) -> str:
        """Return the name by which formulas use it."""
        return f"{self.name} {self.sense}" if self.sense else self.name

    def said(self, amount: str) -> str:
        """Return the note with its length as it is said: `right shoulder 1 cm low`."""
        return f"{self.name} {amount} {self.sense}".rstrip()

    def written(self, amount: str) -> str:
        """Return the note with its length as it stands in a ticket: `right shoulder: 1 cm low`."""
        return f"{self.name}: {amount} {self.sense}".rstrip()


@dataclass(frozen=True)
class NoteFault:
    """Why a note cannot be taken; `column` counts from 1 in what is written of it, 0 where the whole of it is meant."""

    problem: Problem
    column: int = 0


def read_figure_notes(text: str) -> dict[str, FigureNote]:
    """Return the notes of a table in the form of `figure_notes.csv`, in its order.

    Raises ValueError or KeyError on a damaged table: it is ours, not a user's.
    """
    return {row["name"]: _entry(row) for row in csv.DictReader(text.splitlines())}


def _entry(row: dict[str, str]) -> FigureNote:
    also = tuple(word for word in row["also"].split(";") if word)
    bounds = float(row["least"]), float(row["most"])
    return FigureNote(row["name"], row["sense"], row["see"], row["how"], also, row["otherwise"], *bounds)


FIGURE_NOTES: dict[str, FigureNote] = read_figure_notes(
    files("onfold.body").joinpath("figure_notes.csv").read_text(encoding="utf-8")
)
BY_FORMULA_NAME: dict[str, FigureNote] = {each.formula_name: each for each in FIGURE_NOTES.values()}


def near_notes(name: str) -> list[str]:
    """Return the notes a misspelt or otherwise spoken name may mean, the likeliest first, three at most."""
    asked = " ".join(name[:80].lower().split())
    spoken = {word: each.name for each in FIGURE_NOTES.values() for word in (each.name, each.formula_name, *each.also)}
    close = [asked] if asked in spoken else difflib.get_close_matches(asked, spoken, n=6, cutoff=0.6)
    return list(dict.fromkeys(spoken[word] for word in close))[:3]


def read_note(name: str, text: str, units: System = "cm") -> float | NoteFault:
    """Return a note's length, mm, from what is written of it: `1.5 cm`, or with its sense `1 cm low`."""
    note = FIGURE_NOTES.get(name)
    if note is None:
        return NoteFault(_unknown(name))
    amount, misread = _without_sense(note, text)
    if misread is not None:
        return misread
    quantity = read_quantity(amount)
    if isinstance(quantity, UnitFault):
        hint = f"Write '{note.written(quantity.hint)}'." if quantity.hint else _example(note, units)
        return NoteFault(_wrong(note, text, f"cannot be read: {quantity.message}", hint), max(1, quantity.column))
    if quantity.kind != "length":
        bare = quantity.kind == "number"
        hint = f"Write '{note.written(f'{amount.strip()} {units}')}', if that is meant." if bare else ""
        what = "has no unit" if bare else "is not a length"
        return NoteFault(_wrong(note, text, what, hint or _example(note, units)))
    if note.least <= quantity.value <= note.most:
        return quantity.value
    return NoteFault(_out_of_range(note, quantity.value, units))


def _without_sense(note: FigureNote, text: str) -> tuple[str, NoteFault | None]:
    """Return the length that is written before a note's sense; where another word or none stands there, what to do.

    A shoulder that is not the low one is no note: the other one is.
    """
    words = text.rstrip()
    head, _, last = words.rpartition(" ")
    if not note.sense or last.lower() == note.sense:
        return (head if note.sense else words), None
    side, _, rest = note.name.partition(" ")
    if last.isalpha() and head.strip() and last.lower() in ("low", "lower", "high", "higher"):
        other = FIGURE_NOTES[f"{SIDES[side]} {rest}"]
        remedy = f"Note the other side: '{other.written(head.strip())}'."
        return "", NoteFault(_wrong(note, text, f"is noted as {note.sense} only", remedy), len(head) + 2)
    quantity = read_quantity(words)
    amount = words.strip() if not isinstance(quantity, UnitFault) and quantity.kind == "length" else "1 cm"
    return "", NoteFault(_wrong(note, text, f"lacks the word '{note.sense}'", f"Write '{note.written(amount)}'."))


def _example(note: FigureNote, units: System) -> str:
    return f"Write it like '{note.written('1 cm' if units == 'cm' else '3/8 in')}'."


def _unknown(name: str) -> Problem:
    near = near_notes(name)
    written = [FIGURE_NOTES[each].written("1 cm") for each in near]
    offer = f"Did you mean {' or '.join(repr(each) for each in written)}?" if near else "docs/figure-notes.md has them."
    return problem(
        "FIGURE-UNKNOWN",
        says=f"There is no figure note '{plain(name)}'. {offer}",
        found=plain(name),
        expected=", ".join(near) or "the name of a figure note",
        remedy=offer,
    )


def _wrong(note: FigureNote, text: str, what: str, remedy: str) -> Problem:
    return problem(
        "VALUE-WRONG",
        says=f"The figure note '{note.name}' {what}. {remedy}",
        found=plain(text.strip()),
        expected=f"a length and '{note.sense}'" if note.sense else "a length",
        remedy=remedy,
    )


def _out_of_range(note: FigureNote, value: float, units: System) -> Problem:
    least, most = say_length(note.least, units), say_length(note.most, units)
    found = say_length(value, units) if abs(value) < 1e6 else f"{value:g} mm"
    remedy = f"Look at the figure and its unit, then measure again. {note.how}"
    return problem(
        "FIGURE-RANGE",
        says=f"The figure note '{note.said(found)}' is outside {least} to {most}. {remedy}",
        found=found,
        expected=f"{least} to {most}",
        remedy=remedy,
    )


def say_notes(noted: dict[str, float], units: System) -> tuple[str, ...]:
    """Return notes, by formula name in mm, as they are said: `sway back 1.5 cm`, `right shoulder 1 cm low`."""
    return tuple(BY_FORMULA_NAME[name].said(say_length(mm, units)) for name, mm in noted.items())


def notes_page() -> str:
    """Return docs/figure-notes.md: every note, how it is seen and measured, and its name in formulas."""
    return "\n".join([_PAGE_HEAD, *(_row(each) for each in FIGURE_NOTES.values()), "", _PAGE_FOOT, ""])


def _row(note: FigureNote) -> str:
    bounds = f"{note.least:.0f} to {note.most:.0f}"
    return f"| `{note.written('1 cm')}` | {note.see} | {note.how} | `{note.formula_name}` | {bounds} |"


_PAGE_HEAD = """# Figure notes

Written from `onfold/body/figure_notes.csv` by `scripts/write_docs.py`; change the table, not this page.

A figure note says what the tape does not: that a back is hollow, that one shoulder hangs lower. It belongs to the
wearer. Write it under `notes` of the `wearer`, or under `figure` of the fitting that found it; of one note the later
fitting counts, and `0 cm` takes it back. Where one side is meant, the word for it stands behind the length.

A recipe drafts for the notes that its formulas name; the lesson says at each step which note it drafts for. Where a
recipe does not use a note that the ticket holds, you are told, with what to do by hand instead.

What a tape does say stays a measure: a note changes no measure, and a girth that was taped holds the tummy and the
seat already. So a note moves length and moves seams; it adds no girth. All of it is common practice [C].

| as written | how it is seen | how it is measured | in formulas | mm |
|---|---|---|---|---|"""

_PAGE_FOOT = """## What the shipped recipes do

`straight-skirt`: a `sway back` and a `hollow under the seat` lower the waist at the centre back by as much, a `flat
seat` by half of it, all to nothing at the side seam. A `flat seat` moves the side seams back from the hip down, by half
of it on each side. A `full tummy` raises the waist at the centre front by half of it, moves the side seams back by a
quarter of it, and ends the front darts higher.

`choir-sheath`: a `sway back` shortens the centre back at the waist, a `hollow under the seat` (and half of a `flat
seat`) at the hip; the fold stays straight and the side seams keep their length. A `full bust` lets length in over the
bust and takes it up by the side dart. A `full tummy` drops the hem at the centre front by half of it. A `rounded back`
and `square shoulders` lengthen the straps, `sloping shoulders` shorten them; a low shoulder has its mark on the strap,
where the one for that side is cut off. A `forward shoulder` marks on the straps where the top of the shoulder comes."""
