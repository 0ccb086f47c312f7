"""Tickets and commands that the tests of `onfold lay` share."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result
from drafting import KNIT, WOVEN, ticket_text

from onfold.cli import main
from onfold.writers.pattern_json import pattern_data

LAY = Path(__file__).resolve().parent / "lay"
BODIES = {
    "alto-1": {"height": 1680.0, "bust": 950.0, "waist": 770.0, "hip": 1030.0},
    "alto-2": {"height": 1620.0, "bust": 1010.0, "waist": 850.0, "hip": 1090.0},
    "soprano-1": {"height": 1590.0, "bust": 860.0, "waist": 690.0, "hip": 940.0},
    "soprano-2": {"height": 1650.0, "bust": 890.0, "waist": 720.0, "hip": 980.0},
    "soprano-3": {"height": 1710.0, "bust": 920.0, "waist": 750.0, "hip": 1000.0},
    "alto-3": {"height": 1730.0, "bust": 1060.0, "waist": 900.0, "hip": 1130.0},
}
AWKWARD = ("full-circle", "bias", "small-parts")


def run(*words: str | Path) -> Result:
    return CliRunner(env={"COLUMNS": "100"}).invoke(main, ["lay", *(str(word) for word in words)])


def written(folder: Path, recipe: str, cloth: dict[str, str], name: str = "alto-1", **choices: str) -> Path:
    """A ticket in the folder, its recipe beside it where it is one of the tests' own."""
    text = ticket_text(recipe, BODIES[name], cloth, choices)
    if recipe in AWKWARD:
        (folder / f"{recipe}.yaml").write_bytes((LAY / f"{recipe}.yaml").read_bytes())
        text = text.replace(f"recipe: {recipe}", f"recipe: {recipe}.yaml")
    path = folder / f"{name}-{recipe}.yaml"
    path.write_text(text.replace("name: singer", f"name: {name}"), "utf-8")
    return path


def read(folder: Path, name: str = "lay.json") -> dict[str, Any]:
    data: dict[str, Any] = json.loads((folder / name).read_bytes())
    return data


def pattern_of(ticket: Path) -> dict[str, Any]:
    from onfold import open_ticket

    draft = open_ticket(ticket).draft
    assert draft is not None
    data: dict[str, Any] = json.loads(json.dumps(pattern_data(draft.pattern)))
    return data


def cloth(recipe: str, width: int, nap: str = "none", **more: str) -> dict[str, str]:
    return {**(KNIT if recipe == "choir-sheath" else WOVEN), "width": f"{width} cm", "nap": nap, **more}
