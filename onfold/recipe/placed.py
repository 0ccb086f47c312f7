"""A step where it stands in a file."""

from __future__ import annotations

from dataclasses import dataclass

from onfold.recipe.step import Step


@dataclass(frozen=True)
class PlacedStep:
    """A step where it stands in the file, with the recipe's own reason, a label and the stage it opens."""

    step: Step
    line: int = 0
    column: int = 0
    why: str = ""
    label: str = ""
    stage: str = ""
    file: str = ""
