"""Laws over every step of the tuple: a new step is held to them the moment it is listed.

A step never raises on what a maker may write; it tells what it changed; it is written and read back the same; a draft
of proportional formulas grows with its measures; and it says what it is for.
"""

from __future__ import annotations

import re
import time
from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from functools import lru_cache
from math import isfinite
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from onfold.body.estimate import fill
from onfold.body.measures import MEASURES
from onfold.body.taken import Taken
from onfold.cloth import Cloth
from onfold.formula import Formula, read_formula
from onfold.geometry.path import Path as Line
from onfold.pattern import Fact, Level, Mark, Notch, Opening, Seam
from onfold.problems import CODES
from onfold.project import Draft, draft_for, open_ticket, recipe_text
from onfold.recipe.bench import Key
from onfold.recipe.choosing import starting_values
from onfold.recipe.file import Recipe, read_recipe
from onfold.recipe.finish import finished
from onfold.recipe.laid import NotchAsked, NotchSpot
from onfold.recipe.memory import Memory, Run
from onfold.recipe.placed import PlacedStep
from onfold.recipe.replay import Replayed, replay
from onfold.recipe.step import FormField, Step, step_text
from onfold.recipe.tell import picture, tell
from onfold.recipe.telling import Telling
from onfold.steps import STEPS, VERBS

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
RECIPES = {"choir-sheath": "alto-1-sheath", "straight-skirt": "soprano-2-skirt"}
GEOMETRY = ("point", "line", "outline", "inner", "mark", "notch", "level", "grain")
ids = [each.verb for each in STEPS]


@lru_cache
def drafted(name: str) -> Draft:
    garment = open_ticket(EXAMPLES / f"{RECIPES[name]}.yaml")
    assert garment.ticket is not None and garment.recipe is not None
    return draft_for(garment.ticket, garment.recipe)


@lru_cache
def cloth() -> Cloth:
    ticket = open_ticket(EXAMPLES / "alto-1-sheath.yaml").ticket
    assert ticket is not None
    return ticket.cloth


@lru_cache
def benches() -> tuple[dict[Key, Any], ...]:
    """The bench before every step of both shipped recipes: random states that a recipe can come to."""
    found = []
    for name in RECIPES:
        replayed = drafted(name).replayed
        steps = [placed for placed, _ in replayed.runs]
        start = {key: value for key, value in replayed.state.items() if key[0] in START}
        found += [replay(steps[:count], start).state for count in range(len(steps) + 1)]
    return tuple(found)


START = ("value", "word", "open", "units", "asked finish")


# Steps that hypothesis makes --------------------------------------------------------------------------------------

ODD_LENGTHS = (
    "0 cm",
    "0.001 mm",
    "5 cm",
    "35 cm",
    "0 cm - 4 cm",
    "90000 cm",
    "0 cm - 90000 cm",
    "hip",
    "waist / 4",
    "hip * (hip / (waist - waist))",
    "hip * 100000",
    "smaller of waist and 1 cm",
    "waist / 7 * 1.00001",
    "along side of front",
    "from start to end of hem",
    "hip rounded up to 0 cm",
)
ODD_NUMBERS = ("0", "1", "4", "0.25", "1/4", "0 - 3", "75", "99", "1000000", "hip / waist")
ODD_SHARES = ("0 %", "20 %", "100 %", "crosswise stretch", "0 % - 30 %", "9000 %")
FINISHES = ("plain 15 mm", "french 10 mm", "single turned 4 cm", "raw 0 mm", "overlocked 7 mm")
ODD_NAMES = ("start", "nowhere", "centre front", "front", "side", "on", "null", "- x", "#", "é'\"", "end of")


def formula(text: str) -> Formula:
    names = open_names()
    read = read_formula(text, names)
    assert isinstance(read, Formula), (text, read)
    return read


@lru_cache
def open_names() -> Any:
    text, _ = recipe_text("choir-sheath")
    recipe, _ = read_recipe(text, "r.yaml", VERBS, MEASURES)
    assert recipe is not None
    return recipe.names(MEASURES)


def listed(state: Mapping[Key, Any], *kinds: str) -> list[str]:
    names = [key[-1] for key in state if key[0] in kinds and len(key) > 1]
    edges = [edge for key, value in state.items() if key[0] == "outline" for edge in value]
    if "edge" in kinds:
        names += [each.name for each in edges] + [each.root for each in edges]
    return sorted(set(names))


@st.composite
def blanks(draw: st.DrawFn, blank: FormField, state: Mapping[Key, Any]) -> Any:
    """What one blank may be filled with: mostly what the bench holds, also what it doesn't."""
    if blank.many:
        return tuple(draw(st.lists(one(blank, state), min_size=1, max_size=6)))
    return draw(one(blank, state))


def one(blank: FormField, state: Mapping[Key, Any]) -> st.SearchStrategy[Any]:
    if blank.kind in ("length", "share", "number"):
        texts = {"length": ODD_LENGTHS, "share": ODD_SHARES, "number": ODD_NUMBERS}[blank.kind]
        return st.sampled_from(texts).map(formula)
    if blank.kind == "word":
        return st.sampled_from([*blank.words, "straps", "no such word"])
    if blank.kind == "finish":
        return st.sampled_from([*FINISHES, "plain 90 cm"])
    pieces = listed(state, "piece") or ["front"]
    edges = [*listed(state, "edge", "inner", "line"), "nowhere"]
    of_pieces = st.builds(
        lambda lead, edge, piece: f"{lead}{edge} of {piece}",
        st.sampled_from(["", "", "mirrored ", "turned ", "turned mirrored "]),
        st.sampled_from([*edges, *listed(state, "mark")]),
        st.sampled_from([*pieces, "nowhere"]),
    )
    if blank.kind == "edge of piece":
        return of_pieces
    held = {
        "point": listed(state, "point"),
        "line": listed(state, "line"),
        "level": listed(state, "level", "line"),
        "edge": edges,
        "piece": pieces,
        "place": [*listed(state, "point", "level"), *edges, "upper end", "lower end"],
        "text": [*listed(state, "seam"), *listed(state, "line")],
        "name": [],
    }[blank.kind]
    new = ["new one", "another"] if blank.new else []
    names = st.sampled_from([*held, *new, *new, *ODD_NAMES])
    return st.one_of(names, of_pieces) if blank.kind == "text" else names


@lru_cache
def real_uses(kind: type[Any]) -> tuple[tuple[Any, int], ...]:
    """The steps of this kind in the shipped recipes, each with the number of the bench it is run on."""
    steps = [step for name in RECIPES for step in (*(run.step for _, run in drafted(name).replayed.runs), None)]
    return tuple((step, at) for at, step in enumerate(steps) if isinstance(step, kind))


@st.composite
def changed_uses(draw: st.DrawFn, kind: type[Any]) -> tuple[Any, dict[Key, Any]]:
    """A step as a shipped recipe has it, its names kept, some of its figures and words changed."""
    step, at = draw(st.sampled_from(real_uses(kind)))
    free = [each for each in kind.form if each.kind in ("length", "share", "number", "word", "finish")]
    changed = draw(st.lists(st.sampled_from(free), unique=True)) if free else []
    return replace(step, **{each.attribute: draw(one(each, benches()[at])) for each in changed}), benches()[at]


@st.composite
def steps_on_benches(draw: st.DrawFn, kind: type[Any]) -> tuple[Any, dict[Key, Any]]:
    state = draw(st.sampled_from(range(len(benches()))).map(lambda at: benches()[at]))
    if real_uses(kind) and draw(st.booleans()):
        return draw(changed_uses(kind))
    filled = [each for each in kind.form if each.required or draw(st.booleans())]
    return kind(**{each.attribute: draw(blanks(each, state)) for each in filled}), state


def run_alone(step: Step, state: Mapping[Key, Any]) -> tuple[Replayed, Run]:
    replayed = replay([PlacedStep(step, 1, 1)], state, Memory(), "r.yaml")
    return replayed, replayed.runs[0][1]


def changes_geometry(run: Run, state: Mapping[Key, Any]) -> bool:
    return any(key[0] in GEOMETRY and state.get(key) is not value for key, value in run.writes.items())


def hold(step: Any, state: dict[Key, Any]) -> None:
    """The laws of one step on one bench."""
    begun = time.process_time()
    replayed, run = run_alone(step, state)
    assert time.process_time() - begun < 5.0, (
        "a bar for hangs: a step answers within milliseconds, on a machine of its own"
    )
    assert all(each.code in CODES and each.says and each.where.step == step.verb for each in replayed.problems)
    assert not run.failed or replayed.problems, "a step that fails says why"
    finished(replayed.state, cloth(), {}, {})
    if run.failed:
        assert set(run.writes) <= {("current", "")}
        return
    piece = str(replayed.state.get(("current", "")) or "")
    picture(piece, state, replayed.state, run)
    for units in ("cm", "in"):
        sentence = step.say(Telling(run.reads, run.writes, units))  # type: ignore[arg-type]
        assert isinstance(sentence, str)
        if changes_geometry(run, state):
            assert sentence.strip().endswith(".") and len(sentence.split()) > 3, sentence
            assert "None" not in sentence and "nan" not in sentence.split(), sentence


@pytest.mark.parametrize("kind", STEPS, ids=ids)
def test_a_step_never_raises_and_tells_what_it_changed(kind: type[Any]) -> None:
    @settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
    @given(steps_on_benches(kind))
    def law(made: tuple[Any, dict[Key, Any]]) -> None:
        hold(*made)

    law()


@pytest.mark.long
@pytest.mark.parametrize("kind", STEPS, ids=ids)
def test_a_step_never_raises_over_many_more_benches(kind: type[Any]) -> None:
    @settings(max_examples=1_500, deadline=None, suppress_health_check=list(HealthCheck))
    @given(steps_on_benches(kind))
    def law(made: tuple[Any, dict[Key, Any]]) -> None:
        hold(*made)

    law()


# Written and read back --------------------------------------------------------------------------------------------

spoken = st.one_of(
    st.sampled_from(
        ["yes", "No", "null", "~", "on", "1", "1.5", "- dash", "a: b", "a #b", "[x]", "{x}", "'", '"', "%a"]
    ),
    st.sampled_from(
        ["@at", "`tick", "&a", "*a", "!tag", "|", ">", "?", "é", "袖ぐり", "dart, left", "it's", "x:", "=", "<<"]
    ),
    st.text(st.characters(exclude_categories=["Cc", "Cs", "Cf", "Zl", "Zp", "Co", "Cn"]), min_size=1, max_size=40),
)


def fit_for(blank: FormField) -> st.SearchStrategy[str]:
    tidy = spoken.map(str.strip).filter(bool)
    if blank.new:
        return tidy.map(lambda text: text.replace(".", "")).map(str.strip).filter(bool)
    if blank.kind == "edge of piece":
        return st.builds(lambda a, b: f"{a} of {b}", tidy, tidy)
    return tidy


@st.composite
def written_steps(draw: st.DrawFn, kind: type[Any]) -> Any:
    def filled(blank: FormField) -> st.SearchStrategy[Any]:
        if blank.kind in ("length", "share", "number"):
            texts = {"length": ODD_LENGTHS, "share": ODD_SHARES, "number": ODD_NUMBERS}[blank.kind]
            return st.sampled_from(texts).map(formula)
        if blank.kind == "word":
            return st.sampled_from(blank.words)
        if blank.kind == "finish":
            return st.sampled_from([*FINISHES, "french 10 mm, first row 6 mm, trim 3 mm"])
        return fit_for(blank)

    values: dict[str, Any] = {}
    for blank in kind.form:
        if not blank.required and draw(st.booleans()):
            continue
        values[blank.attribute] = (
            tuple(draw(st.lists(filled(blank), min_size=1, max_size=4))) if blank.many else draw(filled(blank))
        )
    return kind(**values)


HEAD = "recipe: own\ntitle: Own\nfor: any\nchoices:\n"


@lru_cache
def head() -> str:
    text, _ = recipe_text("choir-sheath")
    choices = text[text.index("choices:\n") : text.index("steps:\n")]
    return f"recipe: own\ntitle: Own\nfor: any\n{choices}steps:\n"


@pytest.mark.parametrize("kind", STEPS, ids=ids)
def test_a_step_written_to_a_file_and_read_is_the_same_step(kind: type[Any]) -> None:
    @settings(max_examples=40, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
    @given(written_steps(kind))
    def law(step: Any) -> None:
        text = f"{head()}  {step_text(step)}\n"
        recipe, problems = read_recipe(text, "own.yaml", VERBS, MEASURES)
        assert recipe is not None, (step_text(step), [each.says for each in problems])
        assert recipe.steps[0].step == step
        assert step_text(recipe.steps[0].step) == step_text(step)

    law()


@pytest.mark.parametrize("name", RECIPES)
def test_every_step_of_the_shipped_recipes_is_written_back_the_same(name: str) -> None:
    text, _ = recipe_text(name)
    recipe, _ = read_recipe(text, name, VERBS, MEASURES)
    assert recipe is not None
    again = text[: text.index("steps:\n")] + "steps:\n" + "".join(f"  {step_text(p.step)}\n" for p in recipe.steps)
    read, problems = read_recipe(again, name, VERBS, MEASURES)
    assert read is not None, [each.says for each in problems]
    assert [each.step for each in read.steps] == [each.step for each in recipe.steps]


# Proportional drafts ----------------------------------------------------------------------------------------------

FIGURE = 1650.0
"""The height, mm, whose parts stand for the recipes' lengths once these are made proportional."""
REST = """\
recipe: rest
title: The verbs that the two garments leave out
for: any
steps:
  - begin piece: {name: panel, centre: middle}
  - rule down: {name: middle, from: start, length: height / 3}
  - square across: {name: top, at: start, of: middle, length: waist / 4, side: left}
  - square across: {name: low, at: end of middle, of: middle, length: hip / 4, side: left}
  - mark level: {name: hip, on: middle, down: height / 9, width: hip / 4}
  - join: {name: outer, points: [end of low, end of hip, end of top], curve: smooth}
  - take up: {level: hip, by: waist / 80}
  - close the outline: {lines: [middle, low, outer, top]}
  - raise: {edges: [top of panel], by: waist / 90, from: middle, to: middle, runs out: waist / 8}
  - let out: {edges: [outer of panel], by: waist / 70, from: top, to: hip, runs out: height / 20}
  - mark fold line: {name: turn, from: start, to: end of low}
  - slash and overlap: {centre: middle, hinged: outer, slashes: 3, lap: waist / 60}
"""


def made_proportional(text: str) -> str:
    """A recipe's text with each of its own lengths turned into a part of the height; constructions are left alone."""

    def part(length: re.Match[str]) -> str:
        mm = float(length[1]) * {"cm": 10.0, "mm": 1.0}[length[2]]
        return f"{'-' if mm < 0 else ''}(height * {abs(mm) / FIGURE:.9f})"

    head, _, steps = text.partition("steps:\n")
    lines = [
        re.sub(r"(?<![\w.'?])(-?\d+(?:\.\d+)?) (cm|mm)\b", part, line.split(", ask:")[0] + _end(line))
        for line in head.splitlines()
    ]
    rows = [
        line
        if re.search(r"- (sew|finish edge|vent):", line)
        else re.sub(r"(?<![\w.])(\d+(?:\.\d+)?) (cm|mm)\b", part, line)
        for line in steps.splitlines()
    ]
    vents = [re.sub(r"slope: 1 cm", f"slope: height * {10 / FIGURE:.9f}", row) for row in rows]
    eases = [row for row in vents if not row.lstrip().startswith("why:")]
    return "\n".join([*lines, "steps:", *eases]) + "\n"


def _end(line: str) -> str:
    return "}" if ", ask:" in line else ""


def proportional(text: str, k: float) -> tuple[Recipe, Replayed]:
    recipe, problems = read_recipe(text, "p.yaml", VERBS, MEASURES)
    assert recipe is not None, [(each.where.line, each.says) for each in problems]
    body = fill("woman", {"height": 1680.0, "bust": 960.0, "waist": 770.0, "hip": 1010.0})
    sizes = {name: Taken(taken.value * k) for name, taken in body.measures.items()}
    state, _, problems = starting_values(recipe, sizes, cloth(), {}, "cm", recipe.names(MEASURES))
    assert not problems
    replayed = replay(recipe.steps, state)
    assert not [each for each in replayed.problems if each.severity == "stop"], replayed.problems
    return recipe, replayed


def lengths_of(thing: Any) -> list[float]:
    """Every length in a thing on the bench, in a fixed order; counts, shares and angles are left out."""
    if isinstance(thing, Line):
        return [float(each) for each in thing.curves.ravel()]
    if isinstance(thing, Level):
        return [thing.body, thing.finished]
    if isinstance(thing, Fact):
        return [thing.value] if thing.unit == "mm" else []
    if isinstance(thing, Mark):
        return list(thing.at)
    if isinstance(thing, NotchAsked | Notch):
        return [thing.along]
    if isinstance(thing, NotchSpot):
        return []
    if isinstance(thing, Seam):
        return [thing.ease]
    if isinstance(thing, Opening):
        return [thing.length]
    if isinstance(thing, tuple):
        return [mm for each in thing for mm in lengths_of(each)]
    if is_dataclass(thing) and type(thing).__name__ not in ("CutOut", "PieceStart", "Slashed"):
        return [mm for each in fields(thing) for mm in lengths_of(getattr(thing, each.name))]
    return [float(thing)] if isinstance(thing, float) else []


@pytest.mark.parametrize("k", [0.8, 1.25, 2.0])
@pytest.mark.parametrize("name", [*RECIPES, "rest"])
def test_a_proportional_draft_grows_with_its_measures(name: str, k: float) -> None:
    text = REST if name == "rest" else made_proportional(recipe_text(name)[0])
    _, first = proportional(text, 1.0)
    _, second = proportional(text, k)
    assert [key for key in first.state if key[0] not in START] == [key for key in second.state if key[0] not in START]
    compared = 0
    for key, value in first.state.items():
        if key[0] in START or key[0] in ("listing", "current", "slashed"):
            continue
        mm, grown = np.array(lengths_of(value)), np.array(lengths_of(second.state[key]))
        assert mm.shape == grown.shape, key
        assert np.allclose(mm * k, grown, rtol=0.0, atol=1e-6), (key, float(np.abs(mm * k - grown).max()))
        compared += len(mm)
    assert compared > 60


def test_the_proportional_drafts_use_every_verb() -> None:
    used: set[str] = set()
    for text in (REST, *(made_proportional(recipe_text(name)[0]) for name in RECIPES)):
        recipe, replayed = proportional(text, 1.0)
        used |= {placed.step.verb for placed, run in replayed.runs if run.writes or run.reads}
        assert recipe.steps
    assert used == set(VERBS)


# What a step says of itself ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", STEPS, ids=ids)
def test_a_step_says_what_it_is_for_and_its_form_can_be_filled_in(kind: type[Any]) -> None:
    assert (kind.__doc__ or "").strip().splitlines()[0].endswith(".")
    assert kind.reason.strip().endswith(".") and len(kind.reason.split()) >= 5
    assert re.fullmatch(r"[a-z]+( [a-z]+)*", kind.verb)
    assert kind.group in ("draft", "outline", "develop", "finish")
    assert kind.form and len({each.name for each in kind.form}) == len(kind.form)
    for each in kind.form:
        assert re.fullmatch(r"[a-z]+( [a-z]+)*", each.name)
        assert bool(each.words) == (each.kind == "word")
        assert all(re.fullmatch(r"[a-z]+( [a-z]+)*", word) for word in each.words)
    for each in fields(kind):
        blank = next(one for one in kind.form if one.attribute == each.name)
        if not blank.required and blank.words and each.default is not None:
            assert each.default in blank.words


def test_verbs_are_one_each() -> None:
    assert len(VERBS) == len(STEPS)
    assert all(VERBS[each.verb] is each for each in STEPS)


METRIC = re.compile(r"\d ?(?:mm|cm)\b")
INCHES = re.compile(r"\d ?(?:in|ft)\b")


@pytest.mark.parametrize("name", RECIPES)
@pytest.mark.parametrize("units", ["cm", "in"])
def test_every_step_of_the_shipped_recipes_is_told_with_its_numbers_in_the_maker_s_units(name: str, units: str) -> None:
    draft = drafted(name)
    told = tell(draft.replayed, draft.body.measures, units)  # type: ignore[arg-type]
    assert len(told) == len(draft.replayed.runs)
    foreign = INCHES if units == "cm" else METRIC
    own = METRIC if units == "cm" else INCHES
    for each, (placed, run) in zip(told, draft.replayed.runs, strict=True):
        assert each.sentence.endswith(".") and each.why.endswith("."), each
        bare = re.sub(r"\d+(?:\.\d+)? (?:mm|cm) \([^)]* in\)", "in units", each.sentence)
        assert not foreign.search(bare), each.sentence
        if changes_length(placed.step, run):
            assert own.search(each.sentence), (each.verb, each.sentence)
    new = [(each.piece, each.sentence) for each, (_, run) in zip(told, draft.replayed.runs, strict=True) if draws(run)]
    assert len(set(new)) == len(new), "what is drawn anew is told anew"


def draws(run: Run) -> bool:
    return any(key[0] in ("point", "line", "outline") for key in run.writes)


def changes_length(step: Step, run: Run) -> bool:
    """Whether the step has a length in its form and drew with it."""
    has = any(each.kind in ("length", "finish") and getattr(step, each.attribute) is not None for each in step.form)
    return has and any(key[0] in (*GEOMETRY, "fact", "seam", "finish") for key in run.writes)


def test_the_numbers_told_are_those_drawn() -> None:
    draft = drafted("straight-skirt")
    told = tell(draft.replayed, draft.body.measures, "cm", pictures=False)
    ruled = next(each for each in told if each.verb == "rule down")
    assert "62 cm" in ruled.sentence
    state = draft.replayed.state
    across = state["point", "front", "end of hip"][0]
    hip = next(each for each in told if each.verb == "mark level" and "for the hip" in each.sentence)
    assert isfinite(across) and f"{across / 10:.1f}".removesuffix(".0") in hip.sentence
