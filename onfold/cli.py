"""The command line. It computes nothing: it calls the façade, prints problems, and writes files whole or not at all.

Exit codes: 0 nothing worse than `mind`; 1 a `stop` (files are written, with the stop in them); 2 the ticket or recipe
cannot be read (nothing is written).
"""

from __future__ import annotations

import json
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from collections.abc import Sequence

    from onfold.problems import Problem

SLOW = 1.0
"""Seconds after which a command says what it is at."""


class _Told:
    """Says on stderr what the command is at, once it takes longer than a second."""

    def __init__(self) -> None:
        self.began = time.monotonic()

    def __call__(self, what: str) -> None:
        if time.monotonic() - self.began > SLOW:
            click.echo(f"{what} …", err=True)


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="onfold")
def main() -> None:
    """Draft a garment from one person's measures: pattern, lesson, checks and sheets from one recipe."""


@main.command()
@click.argument("ticket", type=click.Path(path_type=Path))
@click.option("-o", "folder", type=click.Path(path_type=Path), required=True, help="The folder to write into.")
@click.option("--json", "as_json", is_flag=True, help="Print what was written and found as JSON.")
def make(ticket: Path, folder: Path, as_json: bool) -> None:
    """Write the pattern, sheets, lesson and guide of a job ticket."""
    _write(ticket, folder, (), as_json)


@main.command()
@click.argument("ticket", type=click.Path(path_type=Path))
@click.option("-o", "folder", type=click.Path(path_type=Path), required=True, help="The folder to write into.")
@click.option("--json", "as_json", is_flag=True, help="Print what was written and found as JSON.")
def lesson(ticket: Path, folder: Path, as_json: bool) -> None:
    """Write the drafting lesson of a job ticket, one page a stage."""
    _write(ticket, folder, ("lesson.html",), as_json)


def _write(ticket: Path, folder: Path, wanted: tuple[str, ...], as_json: bool) -> None:
    tell = _Told()
    from onfold.project import open_ticket
    from onfold.shelf.safe import write_files

    garment = open_ticket(ticket)
    tell("drafting and checking")
    problems = garment.all_problems
    files = garment.files(wanted) if garment.readable else {}
    tell("writing")
    failed = write_files(folder, files) if files else []
    written = [] if failed else sorted(files)
    problems = (*failed, *problems)
    code = 2 if failed or not files else _code(problems)
    if as_json:
        _print_json({"exit": code, "written": [str(folder / name) for name in written], "problems": _data(problems)})
    else:
        _print_problems(problems)
        for name in written:
            click.echo(f"wrote {_plain(str(folder / name))}")
        if not written:
            click.echo("Nothing was written.", err=True)
    sys.exit(code)


@main.command()
@click.argument("ticket", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the problems as JSON.")
def check(ticket: Path, as_json: bool) -> None:
    """Say what would go wrong on the table, at the machine or on the body, before the cloth is cut."""
    from onfold.problems import unreadable
    from onfold.project import open_ticket

    garment = open_ticket(ticket)
    problems = garment.all_problems
    code = 2 if not garment.readable or unreadable(problems) else _code(problems)
    if as_json:
        _print_json({"exit": code, "problems": _data(problems)})
    else:
        _print_problems(problems)
        if not problems:
            click.echo("Nothing to mind.")
    sys.exit(code)


@main.command()
@click.argument("name", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print as JSON.")
def recipes(name: str | None, as_json: bool) -> None:
    """List the recipes that come with Onfold, or show one whole."""
    from onfold.project import recipe_list, recipe_text

    if name is None:
        listed = recipe_list()
        if as_json:
            _print_json(listed)
            return
        for each in listed:
            click.echo(f"{each['name']:16} {each['title']} (for {each['for']})")
        return
    text, problem = recipe_text(name)
    if problem is not None:
        _print_problems((problem,))
        sys.exit(2)
    if as_json:
        _print_json(next(each for each in recipe_list() if each["name"] == name))
    else:
        click.echo(text, nl=False)


@main.command()
@click.argument("ticket", type=click.Path(path_type=Path))
def start(ticket: Path) -> None:
    """Ask for the few measures a garment needs, and write a job ticket."""
    from onfold.project_start import ask_for_ticket

    sys.exit(ask_for_ticket(ticket, _Terminal()))


class _Terminal:
    """How `start` asks and tells on a terminal."""

    def ask(self, question: str, default: str) -> str:
        """Return the maker's answer, or the default for an empty one."""
        return str(click.prompt(question, default=default, show_default=bool(default), err=False)).strip()

    def tell(self, text: str) -> None:
        """Print a line."""
        click.echo(_plain(text))


@main.command()
@click.argument("what", type=click.Choice(["ticket", "recipe"]), default="ticket")
def schema(what: str) -> None:
    """Print the JSON Schema of a ticket or of a recipe, for editors."""
    from onfold.project import schema_of

    _print_json(schema_of(what))


@main.command()
@click.option("--json", "as_json", is_flag=True, help="Print as JSON.")
def ready(as_json: bool) -> None:
    """Say what this machine can do."""
    from onfold.project_ready import readiness

    found = readiness()
    if as_json:
        _print_json(found)
        return
    for each in found:
        click.echo(f"{'yes' if each['ready'] else 'no ':3}  {each['what']}: {each['detail']}")


def _code(problems: Sequence[Problem]) -> int:
    return 1 if any(each.severity == "stop" for each in problems) else 0


def _data(problems: Sequence[Problem]) -> list[dict[str, Any]]:
    from onfold.writers.pattern_json import problem_data

    return [problem_data(each) for each in problems]


def _print_json(data: object) -> None:
    click.echo(json.dumps(data, ensure_ascii=False, indent=1))


def _print_problems(problems: Sequence[Problem]) -> None:
    """Print problems gravest first, the notes gathered at the end; no control character reaches the terminal."""
    for each in problems:
        where = str(each.where)
        click.echo(f"{each.severity}  {each.code}" + (f"  {_plain(where)}" if where else ""))
        for text in (each.says, each.remedy if each.remedy and each.remedy not in each.says else ""):
            for row in _wrapped(_plain(text)):
                click.echo(f"      {row}")
        for row in each.excerpt.splitlines():
            click.echo(f"      | {_plain(row)}")


def _wrapped(text: str) -> list[str]:
    import textwrap

    return textwrap.wrap(text, 96, break_long_words=True)


def _plain(text: str) -> str:
    """Return the text without anything that could steer a terminal."""
    from onfold.units import plain

    return plain(text, 10_000)

