"""The JSON Schema of recipes: what ships is valid, what an editor should underline is not."""

from __future__ import annotations

import copy
import re
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from onfold.project import recipe_text, schema_of, shipped_recipes
from onfold.recipe.schema import recipe_schema
from onfold.recipe.yaml_nodes import Mapping, Node, Scalar, compose
from onfold.steps import STEPS, VERBS


def plain_data(node: Node) -> Any:
    """What an editor's YAML 1.2 reader makes of a node: the core schema's words and numbers (YAML 1.2.2, 10.3.2)."""
    if isinstance(node, Mapping):
        return {entry.key.text: plain_data(entry.value) for entry in node.entries}
    if not isinstance(node, Scalar):
        return [plain_data(each) for each in node.items]
    if node.style in ("'", '"'):
        return node.text
    if node.text in ("", "~", "null"):
        return None
    if node.text in ("true", "false"):
        return node.text == "true"
    if re.fullmatch(r"[-+]?[0-9]+", node.text):
        return int(node.text)
    return float(node.text) if re.fullmatch(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)", node.text) else node.text


@pytest.fixture(scope="module")
def validator() -> Draft202012Validator:
    schema = recipe_schema(VERBS)
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


def shipped(name: str) -> dict[str, Any]:
    text, wrong = recipe_text(name)
    assert wrong is None
    node, problems = compose(text)
    assert node is not None and not problems
    data = plain_data(node)
    assert isinstance(data, dict)
    return data


@pytest.mark.parametrize("name", shipped_recipes())
def test_shipped_recipes_are_valid(validator: Draft202012Validator, name: str) -> None:
    assert [error.message for error in validator.iter_errors(shipped(name))] == []


def test_the_facade_hands_out_the_same_schema() -> None:
    assert schema_of("recipe") == recipe_schema(VERBS)


def first_of(recipe: dict[str, Any], verb: str) -> dict[str, Any]:
    return next(each for each in recipe["steps"] if verb in each)


def misspell_verb(recipe: dict[str, Any]) -> None:
    one = first_of(recipe, "rule down")
    one["rule dwon"] = one.pop("rule down")


def misspell_blank(recipe: dict[str, Any]) -> None:
    one = first_of(recipe, "rule down")["rule down"]
    one["lenght"] = one.pop("length")


def leave_out_blank(recipe: dict[str, Any]) -> None:
    del first_of(recipe, "join")["join"]["points"]


def two_verbs(recipe: dict[str, Any]) -> None:
    first_of(recipe, "rule down")["turn to"] = {"piece": "front"}


def no_verb(recipe: dict[str, Any]) -> None:
    recipe["steps"].append({"why": "no reason"})


def dotted_name(recipe: dict[str, Any]) -> None:
    first_of(recipe, "rule down")["rule down"]["name"] = "side.1"


def edge_without_piece(recipe: dict[str, Any]) -> None:
    first_of(recipe, "finish edge")["finish edge"]["edge"] = "hem"


def empty_list(recipe: dict[str, Any]) -> None:
    first_of(recipe, "join")["join"]["points"] = []


def misspell_choice_key(recipe: dict[str, Any]) -> None:
    next(iter(recipe["choices"].values()))["defualt"] = "1 cm"


def other_cloth(recipe: dict[str, Any]) -> None:
    recipe["for"] = "leather"


def no_title(recipe: dict[str, Any]) -> None:
    del recipe["title"]


@pytest.mark.parametrize(
    "damage",
    [
        misspell_verb,
        misspell_blank,
        leave_out_blank,
        two_verbs,
        no_verb,
        dotted_name,
        edge_without_piece,
        empty_list,
        misspell_choice_key,
        other_cloth,
        no_title,
    ],
)
@pytest.mark.parametrize("name", shipped_recipes())
def test_a_slip_is_underlined(validator: Draft202012Validator, name: str, damage: Any) -> None:
    recipe = copy.deepcopy(shipped(name))
    damage(recipe)
    assert not validator.is_valid(recipe)


def test_every_verb_is_offered_with_its_words() -> None:
    offered = recipe_schema(VERBS)["properties"]["steps"]["items"]["properties"]
    for step in STEPS:
        blanks = offered[step.verb]["properties"]
        assert list(blanks) == [each.name for each in step.form]
        assert offered[step.verb].get("required", []) == [each.name for each in step.form if each.required]
        for each in step.form:
            if each.words and not each.many:
                assert set(each.words) <= set(blanks[each.name]["anyOf"][0]["enum"])
