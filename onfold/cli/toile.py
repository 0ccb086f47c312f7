"""`onfold make --toile`: the garment in calico, for its first fitting."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import NoReturn

import click

from onfold.cli.saying import Progress, exit_code, plain_text, print_json, print_problems, problem_rows, wrapped


def write_toile(ticket: Path, folder: Path, asked: str, as_json: bool) -> NoReturn:
    """Write the toile's files whole or not at all, say what is done with it, and end as `make` does."""
    progress = Progress()
    from onfold.project_toile import toile_files
    from onfold.shelf.safe import write_files

    found = toile_files(ticket, asked, progress)
    progress("writing")
    failed = write_files(folder, found.files) if found.files else []
    code = 2 if failed or found.refused else exit_code(found.problems)
    written = [str(folder / name) for name in found.files] if code < 2 else []
    if as_json:
        rows = problem_rows([*failed, *found.problems])
        print_json({"exit": code, "written": written, "says": list(found.says), "problems": rows})
        sys.exit(code)
    print_problems([*failed, *(each for each in found.problems if each.code != "NOT-TAPED")], err=True)
    click.echo("" if failed or found.problems else "Nothing to mind.", err=True)
    for each in found.says if written else ():
        click.echo("\n".join(wrapped(plain_text(each), 0)), err=True)
    for name in written:
        click.echo(plain_text(name))
    if code == 1:
        click.echo("\nWritten, but not to be cut before each stop is cured.", err=True)
    elif code == 2:
        click.echo("Nothing was written; files from before are as they were.", err=True)
    sys.exit(code)
