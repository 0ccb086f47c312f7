"""Remedies in the words of the recipe at hand: a check says the usual names of choices, a recipe may have others."""

from __future__ import annotations

import re
from collections.abc import Container, Iterable
from dataclasses import replace

from onfold.problems import Problem

_OFFER = re.compile(r"[:;,]? ?choices: \{([^{}]*)\}")
UNSAID = "…"
"""Stands for a figure that the maker must find."""


def in_this_recipe(problems: Iterable[Problem], choices: Container[str]) -> list[Problem]:
    """Return the problems, their remedies offering only choices that there are; of others the figure alone is said."""
    return [_reworded(each, choices) for each in problems]


def _reworded(each: Problem, choices: Container[str]) -> Problem:
    if "choices: {" not in each.remedy:
        return each
    remedy = _OFFER.sub(lambda offer: _kept(offer, choices), each.remedy)
    return each if remedy == each.remedy else replace(each, remedy=remedy.lstrip())


def _kept(offer: re.Match[str], choices: Container[str]) -> str:
    pairs = [pair.partition(":") for pair in offer[1].split(", ")]
    if all(name.strip() in choices for name, _, _ in pairs):
        return offer[0]
    said = ", ".join(f"{name.strip()}: {value.strip()}" for name, _, value in pairs if value.strip() != UNSAID)
    return f" ({said})" if said else ""
