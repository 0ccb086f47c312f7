"""`onfold fit`: what a try-on changes, before and after, and its record in the ticket."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from onfold.cli.options import AS_JSON, FOLDER, TICKET
from onfold.cli.saying import Progress, exit_code, plain_text, print_json, print_problems, problem_rows, wrapped


@click.command()
@TICKET
@FOLDER
@click.option("--seen", metavar="WORDS", default="", help="What is seen on the body; its causes are ranked.")
@click.option("--because", metavar="N", type=click.IntRange(min=1), help="Take this cause; else the likeliest.")
@click.option("--by", metavar="LENGTH", default="", help="How much of it is seen: '1.5 cm', '5/8 in'.")
@click.option("--on", metavar="DATE", default="", help="The day of the try-on: 2026-12-03. Else today.")
@click.option("--note", metavar="TEXT", default="", help="Your own words, kept with the change.")
@click.option("--choice", "choices", metavar="'NAME: VALUE'", multiple=True, help="Change a choice. Repeatable.")
@click.option("--figure", "figures", metavar="'NAME: VALUE'", multiple=True, help="A note on the figure. Repeatable.")
@click.option("--measure", "measures", metavar="'NAME: VALUE'", multiple=True, help="What was taped again. Repeatable.")
@click.option("--take-back", "back", metavar="DATE[#N]", default="", help="Take a fitting out of the ticket again.")
@click.option("--write", is_flag=True, help="Write it into the ticket.")
@click.option("--anyway", is_flag=True, help="With --write: also where it makes a new stop.")
@click.option(
    "--carry",
    multiple=True,
    type=click.Choice(["wearer", "taste", "recipe"]),
    help="Keep it for this body, for your taste, or in a new version of the recipe. Repeatable.",
)
@click.option("--take-up", is_flag=True, help="With --carry recipe: the ticket names the new version.")
@AS_JSON
def fit(ticket: Path, folder: Path, as_json: bool, because: int | None, **words: str | bool | tuple[str, ...]) -> None:
    """Try on, and see what a change does before it is cut.

    With no change asked for, the fittings of the ticket are listed and try-on.pdf is written: what to look at, in
    order. With one, fitting.pdf and fitting.svg show every changed piece before and after on one sheet; fitting.json
    is for other programs. The ticket changes only with --write.

    --carry writes a change into book.yaml beside the tickets, or into a copy of the recipe; without a change, that of
    the fitting named by --on. It touches no other ticket: new ones are offered it by 'onfold start'.

    Exit 0: drafted. Exit 1: the garment has a stop; a change that makes a new one is not written into the ticket
    unless --anyway is added. Exit 2: something cannot be read or written; the ticket is as it was.
    """
    progress = Progress()
    from onfold.project_fit_asked import Wish, fit_asked, write_down
    from onfold.shelf.safe import write_files

    wish = Wish(because=because or 0, **words)  # type: ignore[arg-type]
    answer = fit_asked(ticket, wish)
    progress("writing")
    failed = [] if answer.refused or not answer.files else write_files(folder, answer.files)
    written = [] if failed or answer.refused else [folder / name for name in answer.files]
    kept_out = [] if failed or answer.refused else write_down(answer)
    recorded = bool(wish.write and answer.fitted is not None and not (failed or kept_out or answer.refused))
    code = 2 if answer.refused or failed else exit_code([*answer.problems, *kept_out])
    if any(each.code != "FITTING-STOP" for each in kept_out):
        code = 2
    problems = [*failed, *kept_out, *answer.problems]
    if as_json:
        names = [str(each) for each in written]
        rows = problem_rows(problems)
        print_json({"exit": code, "written": names, "recorded": recorded, **answer.data, "problems": rows})
        sys.exit(code)
    print_problems([each for each in problems if each.code != "NOT-TAPED"], err=True)
    for each in answer.says:
        click.echo("\n".join(wrapped(plain_text(each), 0)))
    for each in answer.carries:
        row = f"Carried {each}" if recorded else f"With --write it is carried {each}"
        click.echo("\n".join(wrapped(plain_text(row), 0)))
    if recorded:
        click.echo(f"Written into {plain_text(str(ticket))}.")
    elif not written:
        click.echo("Nothing was written; files from before are as they were.", err=True)
    for name in written:
        click.echo(plain_text(str(name)))
    sys.exit(code)
