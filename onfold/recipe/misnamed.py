"""Names that a step lacks, set beside those that were given and never used: one of the two is misspelt."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from onfold.formula import Formula
from onfold.formula.names import did_you_mean
from onfold.problems import Place, Problem, problem
from onfold.recipe.placed import PlacedStep
from onfold.recipe.step import Step, names_given


def misnamed(
    asker: PlacedStep, lost: Sequence[str], steps: Sequence[PlacedStep], file: str = ""
) -> list[tuple[PlacedStep, Problem]]:
    """Return each step that gives a name which nothing uses and which is near one that `asker` lacks, with a problem.

    So a slip of the pen is shown where it was made, though it comes to light only where the name is asked for. Also
    where an earlier step named, without drawing it, the very thing that is missing.
    """
    wanted = plain_names(lost)
    found: list[tuple[PlacedStep, Problem]] = []
    for placed in steps:
        if placed is asker:
            continue
        where = Place(placed.file or file, placed.line, placed.column, placed.step.verb)
        for given in names_given(placed.step):
            asked = next((name for name in wanted if _near(name, given)), "")
            if asked and not _used(given, placed, steps):
                found.append((placed, _slip(given, asked, asker, where)))
        named = next((each for each in _bare_texts(placed.step) if each in wanted), "")
        if named:
            found.append((placed, _undrawn(named, asker, where)))
    return found


def plain_names(lost: Iterable[str]) -> list[str]:
    """Return lost names with what they are derived from: of `end of bust` the `bust`, of an edge of a piece both."""
    names: list[str] = []
    for each in lost:
        text = each
        for lead in ("piece ", "outline of ", "slashes of ", "end of "):
            text = text.removeprefix(lead)
        text = text.removesuffix(" on the centre")
        names += [text, *(part for divider in (" of ", " to ") if divider in text for part in text.split(divider))]
    return list(dict.fromkeys(names))


def _near(asked: str, given: str) -> bool:
    return asked != given and len(asked.split()) == len(given.split()) and bool(did_you_mean(asked, [given]))


def _used(name: str, giver: PlacedStep, steps: Iterable[PlacedStep]) -> bool:
    return any(f" {name} " in f" {said} " for each in steps if each is not giver for said in _sayings(each.step))


def _sayings(step: Step) -> Iterator[str]:
    """Yield every text of a step's form: names, words and formulas."""
    for each in step.form:
        value = getattr(step, each.attribute)
        for item in value if isinstance(value, tuple) else (value,):
            if isinstance(item, Formula):
                yield " ".join(item.text.replace("(", " ").replace(")", " ").split())
            elif item is not None:
                yield str(item)


def _bare_texts(step: Step) -> list[str]:
    return [str(getattr(step, each.attribute)) for each in step.form if each.kind == "text"]


def _slip(given: str, asked: str, asker: PlacedStep, where: Place) -> Problem:
    return problem(
        "STEP-NAME",
        says=f"'{given}' is named here and never used; the step in line {asker.line} asks for '{asked}'.",
        found=given,
        expected=asked,
        remedy="One of the two is misspelt: give both one name.",
        where=where,
    )


def _undrawn(named: str, asker: PlacedStep, where: Place) -> Problem:
    return problem(
        "STEP-NAME",
        says=f"'{named}' is named here, but no step has drawn it when line {asker.line} needs it.",
        found=named,
        expected="the name of something drawn",
        remedy="Look for a slip of the pen, or draw it.",
        where=where,
    )
