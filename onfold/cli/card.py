"""`onfold card`: a page of trials on scraps, to be made before the cloth is cut."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Literal

import click

from onfold.cli.options import AS_JSON, FOLDER
from onfold.cli.saying import exit_code, plain_text, print_json, print_problems, problem_rows


@click.command()
@click.argument("ticket", metavar="[TICKET]", required=False, type=click.Path(path_type=Path))
@FOLDER
@click.option("--units", type=click.Choice(["cm", "in"]), help="cm or in; the ticket's own where it is left out.")
@AS_JSON
def card(ticket: Path | None, folder: Path, units: Literal["cm", "in"] | None, as_json: bool) -> None:
    """Write a cloth card: trials on scraps, with blanks to fill.

    cloth-card.pdf is one page: stretch and recovery, a square washed, nap, bending, thickness, weight, needle and
    stitch, the iron. Each says which line of the ticket's cloth it fills, and beside it what the ticket says now.
    Without a ticket all of it is blank.

    Exit 0: written. Exit 2: the ticket cannot be read; nothing is written.
    """
    from onfold.project_card import card_files
    from onfold.shelf.safe import write_files

    found = card_files(ticket, units)
    failed = write_files(folder, found.files) if found.files else []
    code = 2 if failed or found.refused else exit_code(found.problems)
    written = [str(folder / name) for name in found.files] if code < 2 else []
    if as_json:
        print_json({"exit": code, "written": written, "problems": problem_rows([*failed, *found.problems])})
        sys.exit(code)
    print_problems([*failed, *found.problems], err=True)
    for name in written:
        click.echo(plain_text(name))
    if code == 2:
        click.echo("Nothing was written; files from before are as they were.", err=True)
    sys.exit(code)
