"""`onfold lay`: how much cloth to buy, and how to cut it."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from onfold.cli.options import AS_JSON, FOLDER, TOILE, TOILE_WITH, Seconds
from onfold.cli.saying import Progress, exit_code, plain_text, print_json, print_problems, problem_rows, wrapped
from onfold.cli.stopping import enough


@click.command()
@click.argument("tickets", metavar="TICKET...", nargs=-1, required=True, type=click.Path(path_type=Path))
@FOLDER
@click.option("--seconds", type=Seconds(0.5, 3600.0), help="How long to look for shorter lays.")
@click.option(
    "--fold", metavar="FOLD", help="none, lengthwise, 'both edges to the middle' or crosswise; else the best."
)
@click.option("--width", metavar="LENGTH", help="Another width than the ticket's: '140 cm', '54 in'.")
@click.option("--have", metavar="LENGTH", help="Say whether so much cloth does, and the longest garment it gives.")
@click.option(
    "--cut-again", metavar="PIECE", help="Lay a miscut piece once more, in what is left of the lay in FOLDER."
)
@click.option("--afresh", is_flag=True, help="Look again, though FOLDER holds a lay of the same pieces.")
@TOILE
@TOILE_WITH
@AS_JSON
def lay(tickets: tuple[Path, ...], folder: Path, as_json: bool, **wish: Any) -> None:
    """Say how much cloth to buy, and how to cut it.

    lay.json, lay.svg and lay.pdf show the shortest lay there is: how to fold, where each piece goes, what is left.
    Several tickets of one cloth are laid together. A lay of the same pieces that FOLDER holds is kept as it is.
    With --toile the garment in calico is laid instead: toile-lay.json, toile-lay.svg and toile-lay.pdf.

    Exit 0: laid. Exit 1: laid, but the pattern has a stop. Exit 2: it cannot be read or laid; nothing is written.
    """
    from onfold.project_lay_asked import asked_of

    with enough("the best lay so far is kept") as stopped:
        found = asked_of(tickets, folder, wish, Progress(), stopped)
    code = 2 if found.refused or not found.files else exit_code(found.problems)
    failed = []
    if code < 2:
        from onfold.shelf.safe import write_files

        failed = write_files(folder, found.files)
        code = 2 if failed else code
    written = [str(folder / name) for name in found.files] if code < 2 else []
    if as_json:
        print_json(
            {"exit": code, "written": written, "lay": found.data, "problems": problem_rows([*failed, *found.problems])}
        )
        sys.exit(code)
    print_problems([*failed, *(each for each in found.problems if each.code != "NOT-TAPED")], err=True)
    for each in found.says:
        click.echo("\n".join(wrapped(plain_text(each), 0)))
    click.echo("" if written else "Nothing was written; files from before are as they were.", err=True)
    for name in written:
        click.echo(plain_text(name))
    sys.exit(code)
