"""The words that several commands take alike."""

from __future__ import annotations

from math import isnan
from pathlib import Path
from typing import Any

import click


class Seconds(click.FloatRange):
    """So many seconds, from a least to a most; what is no number is refused."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Return the number."""
        seconds = super().convert(value, param, ctx)
        if isnan(seconds):
            self.fail(f"{value!r} is no number of seconds.", param, ctx)
        return seconds


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
TOILE = click.option("--toile", is_flag=True, help="The garment in calico, for a first fitting, instead.")
TOILE_WITH = click.option(
    "--toile-with", "toile_with", metavar="PARTS", help="The toile with its 'facing, lining', which it is cut without."
)
