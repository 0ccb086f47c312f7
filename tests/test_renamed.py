"""A recipe of the maker's own, with other names than ours: nothing in the house leans on the names of our recipes."""

from __future__ import annotations

import json
from pathlib import Path

from click.testing import CliRunner
from drafting import EXAMPLES, WOVEN, ticket_of, ticket_text

from onfold.body.measures import MEASURES
from onfold.cli import main
from onfold.project import open_ticket, recipe_text
from onfold.project_draft import draft_for
from onfold.recipe.file import read_recipe
from onfold.steps import VERBS

BODY = {"height": 1676.0, "bust": 952.0, "waist": 768.0, "hip": 1029.0}


def written(folder: Path, ticket: str, recipe: str, *renamed: tuple[str, str], **added: str) -> Path:
    """A copied recipe with other names, and a ticket of ours that asks for it."""
    text, trouble = recipe_text(recipe)
    assert trouble is None
    for old, new in renamed:
        assert old in text
        text = text.replace(old, new)
    (folder / "own.yaml").write_text(text, "utf-8")
    asked = (EXAMPLES / ticket).read_text("utf-8").replace(f"recipe: {recipe}", "recipe: own.yaml")
    for old, new in added.items():
        asked = asked.replace(old, new)
    path = folder / "ticket.yaml"
    path.write_text(asked, "utf-8")
    return path


def told(path: Path) -> list[dict[str, str]]:
    done = CliRunner().invoke(main, ["check", str(path), "--json"])
    return json.loads(done.stdout)["problems"]


def test_a_facing_is_named_after_the_edge_it_faces(tmp_path: Path) -> None:
    path = written(tmp_path, "alto-1-sheath.yaml", "choir-sheath", ("armhole of front", "arm edge of front"),
                   ("name: armhole,", "name: arm edge,"), ("side, armhole, neck", "side, arm edge, neck"),
                   ("hinged: armhole", "hinged: arm edge"), ("armhole: armhole", "armhole: arm edge"),
                   ("armhole facing of front", "arm edge facing of front"))  # fmt: skip
    ours, theirs = (open_ticket(each).draft for each in (EXAMPLES / "alto-1-sheath.yaml", path))
    assert ours is not None and theirs is not None
    (front, own) = (next(p for p in each.pattern.pieces if p.name == "front") for each in (ours, theirs))
    assert {edge.name for edge in own.edges} >= {"arm edge", "arm edge facing", "neck facing"}
    allowed = {edge.name: edge.allowance for edge in front.edges}
    assert {edge.name.replace("arm edge", "armhole"): edge.allowance for edge in own.edges} == allowed
    codes = [each["code"] for each in told(path)]
    assert codes == [each["code"] for each in told(EXAMPLES / "alto-1-sheath.yaml")]


def test_a_remedy_offers_only_the_choices_of_the_recipe(tmp_path: Path) -> None:
    path = written(
        tmp_path, "soprano-2-skirt.yaml", "straight-skirt", ("vent length", "slit height"),
        **{"choices: {": "choices: {slit height: 2 cm, hem taper: 2 cm, "},
    )  # fmt: skip
    (stride,) = (each for each in told(path) if each["code"] == "STRIDE")
    assert "vent of" in stride["remedy"]
    assert "choices: {vent length" not in stride["remedy"]
    assert "(vent length: " in stride["remedy"], "the figure is still said"


def test_length_is_let_in_before_the_outline_is_closed(tmp_path: Path) -> None:
    text, _ = recipe_text("straight-skirt")
    label = "    label: outlines drawn\n"
    start, end = text.split(label)
    why, rest = end.split("\n", 1)
    text = start + label + why + "\n  - lengthen at: {level: hip, by: 5 cm}\n" + rest
    recipe, problems = read_recipe(text, "own.yaml", VERBS, MEASURES)
    assert recipe is not None and not problems
    draft = draft_for(ticket_of(ticket_text("straight-skirt", BODY, WOVEN)), recipe)
    (stop,) = (each for each in draft.pattern.problems if each.severity == "stop")
    assert (stop.code, stop.where.step) == ("STEP-CANNOT", "lengthen at")
    assert "closed already" in stop.says
