"""What a command prints: problems, progress, JSON. Plain rows that no terminal can read as anything else."""

from __future__ import annotations

import re
import shutil
import textwrap
import time
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from collections.abc import Sequence

    from onfold.problems import Problem
    from onfold.project import Garment

SLOW = 1.0
"""Seconds after which a command says what it is at."""

NARROWEST, WIDEST = 40, 100
"""Columns that text is wrapped to: a terminal's own width, but a line stays short enough to read."""

INDENT = 6


class Progress:
    """Says on stderr what the command is at, once it takes longer than a second, and not over and over."""

    def __init__(self) -> None:
        self.began = time.monotonic()
        self.said = ("", 0.0)

    def __call__(self, what: str) -> None:
        """Say it, once the second is over."""
        now = time.monotonic()
        if now - self.began > SLOW and (what.split(":")[0] != self.said[0] or now - self.said[1] > SLOW):
            self.said = (what.split(":")[0], now)
            click.echo(f"{what} …", err=True)


def exit_code(problems: Sequence[Problem]) -> int:
    """Return how a command ends that has done its work: 1 where there is a stop, else 0."""
    return 1 if any(each.severity == "stop" for each in problems) else 0


def problem_rows(problems: Sequence[Problem]) -> list[dict[str, Any]]:
    """Return the problems as data, in the form of pattern.json."""
    from onfold.writers.pattern_json import problem_data

    return [problem_data(each) for each in problems]


def print_json(data: object) -> None:
    """Print JSON in plain ASCII, so that no terminal, code page or pipe can make anything else of it."""
    import json

    click.echo(json.dumps(data, indent=1))


def print_garment(garment: Garment, err: bool = False) -> None:
    """Print a garment's problems, gravest first, and then in one paragraph what was not taped."""
    from onfold.project_words import drawn_together

    problems, estimates = drawn_together(garment)
    print_problems(problems, err)
    if estimates:
        click.echo(("\n" if problems else "") + f"note  NOT-TAPED\n{indented(estimates)}", err=err)


def print_counts(problems: Sequence[Problem]) -> None:
    """Print how many problems there are of each kind, in one line."""
    from onfold.project_words import counted

    estimates = sum(each.code == "NOT-TAPED" for each in problems)
    said = counted([each for each in problems if each.code != "NOT-TAPED"]) or "Nothing to mind"
    tail = f"; {estimates} {'measure' if estimates == 1 else 'measures'} estimated" if estimates else ""
    click.echo(f"{said}{tail}.")


def print_problems(problems: Sequence[Problem], err: bool = False) -> None:
    """Print problems with their places, remedies and lines."""
    for number, each in enumerate(problems):
        where = str(each.where)
        lines = [f"{each.severity}  {each.code}" + (f"  {plain_text(where)}" if where else "")]
        lines.append(indented(each.says))
        if each.remedy and each.remedy not in each.says:
            lines.append(indented(_sentence(each.remedy)))
        lines += [f"{' ' * INDENT}| {plain_text(row)}" for row in each.excerpt.splitlines()]
        click.echo(("\n" if number else "") + "\n".join(lines), err=err)


def _sentence(text: str) -> str:
    return text[0].upper() + text[1:] + ("" if text.endswith((".", "}", "?")) else ".")


def indented(text: str) -> str:
    """Return the text wrapped and set in."""
    return "\n".join(" " * INDENT + row for row in wrapped(plain_text(text), INDENT))


def wrapped(text: str, indent: int) -> list[str]:
    """Return the rows of a text, a number kept with its unit and a short snippet to copy kept whole."""
    wide = min(max(shutil.get_terminal_size((WIDEST, 24)).columns, NARROWEST), WIDEST) - indent
    kept = re.sub(r"(?:[\w-]+: )?\{[^{}]{1,40}\}", lambda found: found[0].replace(" ", "\xa0"), text)
    kept = re.sub(r"(?<=\d) to (?=\d)", "\xa0to\xa0", kept)
    kept = re.sub(r"(?<=[\d…]) (?=\d+/\d+|(?:in|cm|mm|m|ft|yd|%)\b|%)", "\xa0", kept)
    return [row.replace("\xa0", " ") for row in textwrap.wrap(kept, wide, break_on_hyphens=False)]


def plain_text(text: str) -> str:
    """Return the text without anything that could steer a terminal."""
    from onfold.units import plain

    return plain(text, 10_000)
