"""`onfold hang`: how the sewn garment hangs on this body in this cloth."""

from __future__ import annotations

import math
import sys
from pathlib import Path

import click

from onfold.cli.options import AS_JSON, FOLDER, TICKET
from onfold.cli.saying import Progress, exit_code, plain_text, print_json, print_problems, problem_rows, wrapped
from onfold.cli.stopping import enough


@click.command()
@TICKET
@FOLDER
@click.option(
    "--vary", is_flag=True, help="Hang the limp and the stiff end of the cloth as finely, not from the one shown."
)
@click.option("--fall", metavar="LENGTH", help="Find the spread that gives this fall: '120 mm', '4 3/4 in'.")
@click.option("--seen", metavar="LENGTH", help="The fall you saw hung, kept with the ticket's cloth for the next one.")
@click.option("--compare", metavar="OTHER", type=click.Path(path_type=Path), help="Another ticket, hung beside it.")
@AS_JSON
def hang(
    ticket: Path, folder: Path, vary: bool, fall: str | None, seen: str | None, compare: Path | None, as_json: bool
) -> None:
    """Hang the garment on a form with the wearer's measures.

    hang.png shows it from four sides and the neck from near, with what it answers: how deep the cowl falls, how far the
    cloth is stretched, where the facing shows, how hem and back hang. hang.json is the same for other programs,
    hang.glb the hung garment itself. An estimate: a toile decides.

    Ctrl-C keeps the garment as it hangs then. The ticket changes only with --seen.

    Exit 0: hung. Exit 1: hung, but there is a stop. Exit 2: it cannot be read or hung; nothing is written.
    """
    from onfold.project_hang_asked import HangWish, asked_of, write_down
    from onfold.shelf.safe import write_files

    progress, last = Progress(), [""]
    with enough("the garment is kept as it hangs now") as stopped:

        def told(what: str, share: float) -> bool:
            said = f"{what}: {math.floor(share * 5.0) * 20} %" if share >= 0.2 else what
            if said != last[-1]:
                last.append(said)
                progress(said)
            return not stopped()

        found = asked_of(ticket, HangWish(vary, fall, seen, compare), told)
        broken_off = stopped()
    kept_out = []
    failed = write_files(folder, found.files) if found.files and not found.refused else []
    recorded = found.kept is not None and not failed and not broken_off
    if recorded:
        kept_out = write_down(found)
        recorded = not kept_out
    code = 2 if found.refused or failed or kept_out else exit_code(found.problems)
    written = [str(folder / name) for name in found.files] if not (found.refused or failed) else []
    problems = [*failed, *kept_out, *found.problems]
    if as_json:
        rows = problem_rows(problems)
        print_json(
            {"exit": code, "written": written, "recorded": recorded, "stopped": broken_off, "hang": found.data,
             "problems": rows}
        )  # fmt: skip
        sys.exit(code)
    print_problems([each for each in problems if each.code != "NOT-TAPED"], err=True)
    for each in found.says:
        click.echo("\n".join(wrapped(plain_text(each), 0)))
    if broken_off and written:
        kept = "; what was seen is not kept" if found.kept is not None else ""
        click.echo(f"Stopped: it is written as it hung when you stopped it{kept}.", err=True)
    if recorded:
        click.echo(f"Written into {plain_text(str(ticket))}.")
    click.echo("" if written else "Nothing was written; files from before are as they were.", err=True)
    for name in written:
        click.echo(plain_text(name))
    sys.exit(code)
