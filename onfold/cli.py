"""The command line. It computes nothing: it calls the façade, prints what that says, writes files whole or not at all.

Standard output carries what was asked for: the files written by `make` and `lesson`, the problems of `check`, a list
or a schema. What is said on the way (problems of `make`, progress over a second) goes to standard error. With
`--json` standard output is one JSON document.

Exit codes: 0 nothing worse than `mind`; 1 a `stop` (files are written, with the stop in them); 2 the ticket, the
recipe or the command cannot be read, or the files cannot be written (nothing is written, older files are kept).
"""

from __future__ import annotations

import io
import signal
import sys
import threading
import time
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from onfold.problems import Problem
    from onfold.project import Garment

SLOW = 1.0
"""Seconds after which a command says what it is at."""

NARROWEST, WIDEST = 40, 100
"""Columns that text is wrapped to: a terminal's own width, but a line stays short enough to read."""

INDENT = 6

TICKET = click.argument("ticket", metavar="TICKET", type=click.Path(path_type=Path))
FOLDER = click.option(
    "-o",
    "folder",
    metavar="FOLDER",
    type=click.Path(path_type=Path),
    required=True,
    help="The folder to write into; it is made where it is missing.",
)
AS_JSON = click.option("--json", "as_json", is_flag=True, help="Print as JSON, for scripts.")


class _Progress:
    """Says on stderr what the command is at, once it takes longer than a second, and not over and over."""

    def __init__(self) -> None:
        self.began = time.monotonic()
        self.said = ("", 0.0)

    def __call__(self, what: str) -> None:
        now = time.monotonic()
        if now - self.began > SLOW and (what.split(":")[0] != self.said[0] or now - self.said[1] > SLOW):
            self.said = (what.split(":")[0], now)
            click.echo(f"{what} …", err=True)


@contextmanager
def _enough() -> Iterator[Callable[[], bool]]:
    """Hear the first Ctrl-C as "enough": what is best so far is kept. A second one breaks off."""
    heard: list[int] = []

    def hear(number: int, _: object) -> None:
        if heard:
            raise KeyboardInterrupt
        heard.append(number)
        click.echo("Stopping: the best lay so far is kept. Ctrl-C again breaks off.", err=True)

    before = signal.signal(signal.SIGINT, hear) if threading.current_thread() is threading.main_thread() else None
    try:
        yield lambda: bool(heard)
    finally:
        if before is not None:
            signal.signal(signal.SIGINT, before)


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": WIDEST})
@click.version_option(package_name="onfold", help="Say which Onfold this is.")
def main() -> None:
    """Draft a garment from one person's measures.

    A job ticket names the wearer, the cloth and a recipe; from it come the pattern to print, the lesson that says
    how it was drafted, a guide for cutting, and what would go wrong before the cloth is cut.

    New here: 'onfold start mine.yaml' asks for what is needed, then 'onfold make mine.yaml -o mine' writes the files.
    """
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a letter that a terminal does not know must not end the work


@main.command()
@TICKET
@FOLDER
@AS_JSON
def make(ticket: Path, folder: Path, as_json: bool) -> None:
    """Write pattern, lesson and guide of a job ticket.

    pattern.pdf is cut into pages for the ticket's paper; pattern.svg is the whole sheet; pattern.json is for other
    programs; lesson.html says each drafting step with its picture; guide.pdf lists the pieces and how to cut them.

    The files are named on standard output, problems on standard error. Exit 0: cut. Exit 1: a stop was found; the
    files are written, with the stop in them. Exit 2: ticket or recipe cannot be read; nothing is written.
    """
    _write(ticket, folder, (), as_json)


@main.command()
@TICKET
@FOLDER
@AS_JSON
def lesson(ticket: Path, folder: Path, as_json: bool) -> None:
    """Write only the drafting lesson of a job ticket.

    lesson.html: a page a stage, each step with its sentence, this wearer's numbers, the reason and a picture. It
    needs no network and prints well.
    """
    _write(ticket, folder, ("lesson.html",), as_json)


def _write(ticket: Path, folder: Path, wanted: tuple[str, ...], as_json: bool) -> None:
    progress = _Progress()
    from onfold.project import open_ticket
    from onfold.shelf.safe import write_files

    garment = open_ticket(ticket)
    progress("drafting and checking")
    problems = garment.all_problems
    files = garment.files(wanted) if garment.readable else {}
    progress("writing")
    failed = write_files(folder, files) if files else []
    written = [str(folder / name) for name in files] if not failed else []
    code = 2 if failed or not files else _code(problems)
    if as_json:
        _print_json({"exit": code, "written": written, "problems": _data([*failed, *problems])})
        sys.exit(code)
    _print_problems(failed, err=True)
    _print_garment(garment, err=True)
    click.echo("" if problems or failed else "Nothing to mind.", err=True)
    for name in written:
        click.echo(_plain(name))
    if code == 1:
        click.echo("\nWritten, but not to be cut before each stop is cured.", err=True)
    elif code == 2:
        click.echo("Nothing was written; files from before are as they were.", err=True)
    sys.exit(code)


@main.command()
@TICKET
@AS_JSON
def check(ticket: Path, as_json: bool) -> None:
    """Say what would go wrong, before the cloth is cut.

    On the table, at the machine or on the body. A stop cannot be cut, sewn or put on; a mind is worth a look; a note
    is good to know. docs/problems.md explains each by its name in capitals. Exit 0: no stop. Exit 1: a stop. Exit 2:
    the ticket or recipe cannot be read.
    """
    from onfold.problems import unreadable
    from onfold.project import open_ticket

    garment = open_ticket(ticket)
    problems = garment.all_problems
    code = 2 if not garment.readable or unreadable(problems) else _code(problems)
    if as_json:
        _print_json({"exit": code, "problems": _data(problems)})
        sys.exit(code)
    _print_garment(garment)
    click.echo("" if problems else "Nothing to mind.")
    if problems:
        _print_counts(problems)
    sys.exit(code)


def _print_counts(problems: Sequence[Problem]) -> None:
    from onfold.project_words import counted

    estimates = sum(each.code == "NOT-TAPED" for each in problems)
    said = counted([each for each in problems if each.code != "NOT-TAPED"]) or "Nothing to mind"
    tail = f"; {estimates} {'measure' if estimates == 1 else 'measures'} estimated" if estimates else ""
    click.echo(f"{said}{tail}.")


@main.command()
@click.argument("tickets", metavar="TICKET...", nargs=-1, required=True, type=click.Path(path_type=Path))
@FOLDER
@click.option("--seconds", type=click.FloatRange(0.5, 3600.0), help="How long to look for shorter lays.")
@click.option(
    "--fold", metavar="FOLD", help="none, lengthwise, 'both edges to the middle' or crosswise; else the best."
)
@click.option("--width", metavar="LENGTH", help="Another width than the ticket's: '140 cm', '54 in'.")
@click.option("--have", metavar="LENGTH", help="Say whether so much cloth does, and the longest garment it gives.")
@click.option(
    "--cut-again", metavar="PIECE", help="Lay a miscut piece once more, in what is left of the lay in FOLDER."
)
@click.option("--afresh", is_flag=True, help="Look again, though FOLDER holds a lay of the same pieces.")
@AS_JSON
def lay(tickets: tuple[Path, ...], folder: Path, as_json: bool, **wish: Any) -> None:
    """Say how much cloth to buy, and how to cut it.

    lay.json, lay.svg and lay.pdf show the shortest lay there is: how to fold, where each piece goes, what is left.
    Several tickets of one cloth are laid together. A lay of the same pieces that FOLDER holds is kept as it is.

    Exit 0: laid. Exit 1: laid, but the pattern has a stop. Exit 2: it cannot be read or laid; nothing is written.
    """
    from onfold.project_lay_asked import asked_of

    with _enough() as stopped:
        found = asked_of(tickets, folder, wish, _Progress(), stopped)
    code = 2 if found.refused or not found.files else _code(found.problems)
    failed = []
    if code < 2:
        from onfold.shelf.safe import write_files

        failed = write_files(folder, found.files)
        code = 2 if failed else code
    written = [str(folder / name) for name in found.files] if code < 2 else []
    if as_json:
        _print_json(
            {"exit": code, "written": written, "lay": found.data, "problems": _data([*failed, *found.problems])}
        )
        sys.exit(code)
    _print_problems([*failed, *(each for each in found.problems if each.code != "NOT-TAPED")], err=True)
    for each in found.says:
        click.echo("\n".join(_wrapped(_plain(each), 0)))
    click.echo("" if written else "Nothing was written; files from before are as they were.", err=True)
    for name in written:
        click.echo(_plain(name))
    sys.exit(code)


@main.command()
@click.argument("name", metavar="[RECIPE]", required=False)
@AS_JSON
def recipes(name: str | None, as_json: bool) -> None:
    """List the recipes that come with Onfold, or show one.

    'onfold recipes choir-sheath > my-sheath.yaml' gives you a copy to change; a ticket beside it may then say
    'recipe: my-sheath.yaml'.
    """
    from onfold.project import recipe_list, recipe_text

    if name is None:
        listed = recipe_list()
        if as_json:
            _print_json(listed)
            return
        for each in listed:
            needs = f"Drafted for a {each['for']}. Uses: {', '.join(each['needs'])}."
            click.echo(f"{each['name']}\n{_indented(each['title'])}\n{_indented(needs)}")
        return
    text, problem = recipe_text(name)
    if problem is not None:
        if as_json:
            _print_json({"exit": 2, "problems": _data([problem])})
        else:
            _print_problems([problem], err=True)
        sys.exit(2)
    if as_json:
        _print_json(next(each for each in recipe_list() if each["name"] == name))
    else:
        click.echo(text, nl=False)


@main.command()
@TICKET
def start(ticket: Path) -> None:
    """Ask what is needed and write a job ticket.

    For the wearer, the cloth and a few measures, each with how to take it. Nothing is written before the last answer;
    Ctrl-C or Ctrl-D ends it with nothing written (exit 2).
    """
    from onfold.project_start import ask_for_ticket

    sys.exit(ask_for_ticket(ticket, _Terminal()))


class _Terminal:
    """How `start` asks and tells on a terminal."""

    def ask(self, question: str, default: str) -> str | None:
        """Return the maker's answer, the default for an empty one, None where they broke off."""
        try:
            return str(click.prompt(_plain(question), default=default, show_default=bool(default))).strip()
        except (click.Abort, KeyboardInterrupt):
            click.echo("")
            return None

    def tell(self, text: str) -> None:
        """Print a paragraph, after an empty line where it begins with one."""
        if text.startswith("\n"):
            click.echo("")
        rows = text.strip("\n")
        click.echo("\n".join(_wrapped(_plain(rows), 0)) if not rows.startswith(" ") else _plain(rows))


@main.command()
@click.argument("what", metavar="[ticket|recipe]", type=click.Choice(["ticket", "recipe"]), default="ticket")
def schema(what: str) -> None:
    """Print the JSON Schema of tickets or recipes, for editors.

    With it a text editor offers the keys and words as you type, and underlines a misspelt one.
    """
    from onfold.project import schema_of

    _print_json(schema_of(what))


@main.command()
@AS_JSON
def ready(as_json: bool) -> None:
    """Say what this machine can do.

    Each part is tried, not looked up. Exit 0: all is there; exit 1: something is missing, and what to do about it.
    """
    from onfold.project_ready import readiness

    found = readiness()
    if as_json:
        _print_json(found)
    else:
        for each in found:
            mark = "yes" if each["ready"] else "no "
            click.echo(f"{mark}  {each['what']}\n{_indented(each['detail'])}")
    sys.exit(0 if all(each["ready"] for each in found) else 1)


def _code(problems: Sequence[Problem]) -> int:
    return 1 if any(each.severity == "stop" for each in problems) else 0


def _data(problems: Sequence[Problem]) -> list[dict[str, Any]]:
    from onfold.writers.pattern_json import problem_data

    return [problem_data(each) for each in problems]


def _print_json(data: object) -> None:
    """Print JSON in plain ASCII, so that no terminal, code page or pipe can make anything else of it."""
    import json

    click.echo(json.dumps(data, indent=1))


def _print_garment(garment: Garment, err: bool = False) -> None:
    """Print a garment's problems, gravest first, and then in one paragraph what was not taped."""
    from onfold.project_words import drawn_together

    problems, estimates = drawn_together(garment)
    _print_problems(problems, err)
    if estimates:
        click.echo(("\n" if problems else "") + f"note  NOT-TAPED\n{_indented(estimates)}", err=err)


def _print_problems(problems: Sequence[Problem], err: bool = False) -> None:
    for number, each in enumerate(problems):
        where = str(each.where)
        lines = [f"{each.severity}  {each.code}" + (f"  {_plain(where)}" if where else "")]
        lines.append(_indented(each.says))
        if each.remedy and each.remedy not in each.says:
            lines.append(_indented(_sentence(each.remedy)))
        lines += [f"{' ' * INDENT}| {_plain(row)}" for row in each.excerpt.splitlines()]
        click.echo(("\n" if number else "") + "\n".join(lines), err=err)


def _sentence(text: str) -> str:
    return text[0].upper() + text[1:] + ("" if text.endswith((".", "}", "?")) else ".")


def _indented(text: str) -> str:
    return "\n".join(" " * INDENT + row for row in _wrapped(_plain(text), INDENT))


def _wrapped(text: str, indent: int) -> list[str]:
    """Return the rows of a text, a number kept with its unit and a short snippet to copy kept whole."""
    import re
    import shutil
    import textwrap

    wide = min(max(shutil.get_terminal_size((WIDEST, 24)).columns, NARROWEST), WIDEST) - indent
    kept = re.sub(r"(?:[\w-]+: )?\{[^{}]{1,40}\}", lambda found: found[0].replace(" ", "\xa0"), text)
    kept = re.sub(r"(?<=\d) to (?=\d)", "\xa0to\xa0", kept)
    kept = re.sub(r"(?<=[\d…]) (?=\d+/\d+|(?:in|cm|mm|m|ft|yd|%)\b|%)", "\xa0", kept)
    return [row.replace("\xa0", " ") for row in textwrap.wrap(kept, wide, break_on_hyphens=False)]


def _plain(text: str) -> str:
    """Return the text without anything that could steer a terminal."""
    from onfold.units import plain

    return plain(text, 10_000)
