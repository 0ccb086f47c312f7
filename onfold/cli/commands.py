"""The commands. They compute nothing: they call the façade, print what it says, write files whole or not at all.

Standard output carries what was asked for: the files written by `make` and `lesson`, the problems of `check`, a list
or a schema. What is said on the way (problems of `make`, progress over a second) goes to standard error. With
`--json` standard output is one JSON document.

Exit codes: 0 nothing worse than `mind`; 1 a `stop` (files are written, with the stop in them); 2 the ticket, the
recipe or the command cannot be read, or the files cannot be written (nothing is written, older files are kept).
"""

from __future__ import annotations

import io
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from onfold.cli.card import card
from onfold.cli.fitting import fit
from onfold.cli.hanging import hang
from onfold.cli.laying import lay
from onfold.cli.options import AS_JSON, FOLDER, TICKET, TOILE, TOILE_WITH
from onfold.cli.saying import (
    WIDEST,
    Progress,
    exit_code,
    indented,
    plain_text,
    print_counts,
    print_garment,
    print_json,
    print_problems,
    problem_rows,
    wrapped,
)
from onfold.cli.toile import write_toile

if TYPE_CHECKING:
    from onfold.problems import Problem


class _Door(click.Group):
    """The command group; what breaks a command off ends it as what cannot be read does, with exit 2."""

    def main(self, *args: Any, **extra: Any) -> Any:
        """Run a command and end the process with its exit code."""
        try:
            code = super().main(*args, **{**extra, "standalone_mode": False})
        except click.ClickException as error:
            error.show()
            sys.exit(error.exit_code)
        except click.Abort:
            click.echo("Broken off.", err=True)
            sys.exit(2)
        except OSError as error:
            if error.filename is not None:
                raise
            # a full disk or a closed terminal behind standard output
            print(f"What was asked for cannot be written out: {error.strerror}.", file=sys.stderr)
            sys.exit(2)
        sys.exit(code if isinstance(code, int) else 0)


@click.group(cls=_Door, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": WIDEST})
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
@TOILE
@TOILE_WITH
@AS_JSON
def make(ticket: Path, folder: Path, toile: bool, toile_with: str | None, as_json: bool) -> None:
    """Write pattern, lesson and guide of a job ticket.

    pattern.pdf is cut into pages for the ticket's paper; pattern.svg is the whole sheet; pattern.json is for other
    programs; lesson.html says each drafting step with its picture; guide.pdf, and guide.html for the screen, list the
    pieces, how to cut them and how they are made up; guide.json is the making up for other programs.
    A ticket that alters a garment made elsewhere gets guide.pdf and alteration.json: what to do, in order, and why.

    With --toile it writes toile.pdf, toile.svg and toile.json instead: the garment in calico for a first fitting, 3 cm
    allowed all round, without facing or lining. The pattern's own files are left alone.

    The files are named on standard output, problems on standard error. Exit 0: cut. Exit 1: a stop was found; the
    files are written, with the stop in them. Exit 2: ticket or recipe cannot be read, or a stretch garment's toile is
    asked for in calico; nothing is written.
    """
    if toile or toile_with is not None:
        write_toile(ticket, folder, toile_with or "", as_json)
    else:
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
    progress = Progress()
    from onfold.project import open_ticket
    from onfold.project_altering import missing_pattern
    from onfold.shelf.safe import write_files

    garment = open_ticket(ticket)
    progress("drafting and checking")
    missing = missing_pattern(garment, wanted)
    problems = (*missing, *garment.all_problems)
    files = garment.files(wanted) if garment.readable else {}
    beside: tuple[Problem, ...] = ()
    if not wanted and garment.readable:
        from onfold.project_carry import not_in_this_ticket

        beside = not_in_this_ticket(garment)
    progress("writing")
    failed = write_files(folder, files) if files else []
    written = [str(folder / name) for name in files] if not failed else []
    code = 2 if failed or not files else exit_code(problems)
    if as_json:
        print_json({"exit": code, "written": written, "problems": problem_rows([*failed, *problems, *beside])})
        sys.exit(code)
    print_problems([*failed, *missing], err=True)
    if (failed or missing) and garment.all_problems:
        click.echo("", err=True)
    print_garment(garment, err=True)
    click.echo("" if problems or failed or beside else "Nothing to mind.", err=True)
    print_problems(beside, err=True)
    for name in written:
        click.echo(plain_text(name))
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
    code = 2 if not garment.readable or unreadable(problems) else exit_code(problems)
    if as_json:
        print_json({"exit": code, "problems": problem_rows(problems)})
        sys.exit(code)
    print_garment(garment)
    click.echo("" if problems else "Nothing to mind.")
    if problems:
        print_counts(problems)
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
            print_json(listed)
            return
        for each in listed:
            needs = f"Drafted for a {each['for']}. Uses: {', '.join(each['needs'])}."
            click.echo(f"{each['name']}\n{indented(each['title'])}\n{indented(needs)}")
        return
    text, problem = recipe_text(name)
    if problem is not None:
        if as_json:
            print_json({"exit": 2, "problems": problem_rows([problem])})
        else:
            print_problems([problem], err=True)
        sys.exit(2)
    if as_json:
        print_json(next(each for each in recipe_list() if each["name"] == name))
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
        """Return the maker's answer, the default for an empty one, None where they broke off or nobody can answer."""
        if sys.stdin is None:
            return None
        try:
            return str(click.prompt(plain_text(question), default=default, show_default=bool(default))).strip()
        except (click.Abort, KeyboardInterrupt):
            click.echo("")
            return None

    def tell(self, text: str) -> None:
        """Print a paragraph, after an empty line where it begins with one."""
        if text.startswith("\n"):
            click.echo("")
        rows = text.strip("\n")
        click.echo("\n".join(wrapped(plain_text(rows), 0)) if not rows.startswith(" ") else plain_text(rows))


@main.command()
@click.argument("what", metavar="[ticket|recipe]", type=click.Choice(["ticket", "recipe"]), default="ticket")
def schema(what: str) -> None:
    """Print the JSON Schema of tickets or recipes, for editors.

    With it a text editor offers the keys and words as you type, and underlines a misspelt one.
    """
    from onfold.project import schema_of

    print_json(schema_of(what))


@main.command()
@AS_JSON
def ready(as_json: bool) -> None:
    """Say what this machine can do.

    Each part is tried, not looked up. Exit 0: all that is needed is there; exit 1: something is missing, and what to
    do about it. Hanging a garment is added on purpose, so without it the rest is ready.
    """
    from onfold.project_ready import readiness

    found = readiness()
    if as_json:
        print_json(found)
    else:
        for each in found:
            mark = "yes" if each["ready"] else "no " if each["needed"] else " – "
            click.echo(f"{mark}  {each['what']}\n{indented(each['detail'])}")
    sys.exit(0 if all(each["ready"] or not each["needed"] for each in found) else 1)


main.add_command(lay)
main.add_command(card)
main.add_command(fit)
main.add_command(hang)
