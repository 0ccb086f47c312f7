"""Remembered and fresh replay give the same draft to the byte, and a change runs again only what it can reach.

10,000 random edits in all run in `make long`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onfold.body.figure_notes import FIGURE_NOTES
from onfold.body.measures import MEASURES
from onfold.formula import Formula, read_formula
from onfold.problems import Place
from onfold.project import Draft, draft_for, open_ticket
from onfold.project_draft import needs_of
from onfold.recipe.file import Recipe
from onfold.recipe.finish import FinishMemory
from onfold.recipe.memory import KEPT_RUNS, Memory, same
from onfold.recipe.placed import PlacedStep
from onfold.recipe.replay import Replayed
from onfold.shelf.ticket import Noted, Ticket, Written
from onfold.steps.alter import LetOut, Raise
from onfold.writers.pattern_json import write_pattern_json

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
GARMENTS = ("alto-1-sheath", "soprano-2-skirt")


@dataclass(frozen=True)
class Work:
    """A ticket and the recipe it is drafted by, as a maker changes them."""

    ticket: Ticket
    recipe: Recipe


@lru_cache
def begun(name: str) -> Work:
    garment = open_ticket(EXAMPLES / f"{name}.yaml")
    assert garment.ticket is not None and garment.recipe is not None
    return Work(garment.ticket, garment.recipe)


def written(draft: Draft) -> bytes:
    """All that is written of a draft, the problems with their places among it."""
    return write_pattern_json(draft.pattern)


# Random edits -------------------------------------------------------------------------------------------------------


def a_choice(work: Work, chance: Random) -> Work:
    name, choice = chance.choice(list(work.recipe.choices.items()))
    if choice.kind == "word":
        text = chance.choice([*choice.words, "neither"])
    else:
        unit = {"length": " cm", "share": " %"}.get(choice.kind, "")
        text = chance.choice([f"{chance.uniform(0, 12):.1f}{unit}", f"{chance.uniform(0, 70):.0f}{unit}", "none"])
    return with_choices(work, {**work.ticket.choices, name: Written(text, Place("t", 1, 1))})


def fewer_choices(work: Work, chance: Random) -> Work:
    names = list(work.ticket.choices)
    gone = chance.choice(names) if names else ""
    return with_choices(work, {name: each for name, each in work.ticket.choices.items() if name != gone})


def with_choices(work: Work, choices: dict[str, Written]) -> Work:
    return replace(work, ticket=replace(work.ticket, choices=choices))


def a_measure(work: Work, chance: Random) -> Work:
    wearer = work.ticket.wearer
    name = chance.choice([*wearer.measures, *needs_of(work.recipe)])
    now = wearer.measures.get(name) or MEASURES_MM.get(name, 300.0)
    measures = {**wearer.measures, name: now * chance.uniform(0.97, 1.03)}
    return replace(work, ticket=replace(work.ticket, wearer=replace(wearer, measures=measures)))


MEASURES_MM = {"hip": 1000.0, "waist": 780.0, "bust": 950.0, "height": 1650.0, "waist to hip": 205.0}


def a_measure_less(work: Work, chance: Random) -> Work:
    wearer = work.ticket.wearer
    gone = chance.choice([name for name in wearer.measures if name not in ("height", "waist", "hip", "bust")] or [""])
    measures = {name: value for name, value in wearer.measures.items() if name != gone}
    return replace(work, ticket=replace(work.ticket, wearer=replace(wearer, measures=measures)))


def a_note(work: Work, chance: Random) -> Work:
    wearer = work.ticket.wearer
    name = chance.choice(list(FIGURE_NOTES))
    noted = Noted("", Place("t", 3, 1), value=chance.choice([0.0, chance.uniform(0.0, 40.0)]))
    return replace(work, ticket=replace(work.ticket, wearer=replace(wearer, notes={**wearer.notes, name: noted})))


def an_alteration(work: Work, chance: Random) -> Work:
    """A seam let out, or an edge raised, somewhere in the recipe."""
    read = read_formula(f"{chance.uniform(-8.0, 12.0):.2f} mm", _names(work))
    over = read_formula("3 cm", _names(work))
    assert isinstance(read, Formula) and isinstance(over, Formula)
    edges = chance.choice([("side of front", "side of back"), ("hem of front",), ("side of back",)])
    kind, places = chance.choice([LetOut, Raise]), chance.choice([("waist", "hip"), ("hip", "hem"), ("hem", "hem")])
    steps = list(work.recipe.steps)
    made = kind(edges=edges, by=read, from_=places[0], to=places[1], runs_out=over)
    steps.insert(chance.randrange(len(steps) // 2, len(steps)), PlacedStep(made, 1, 1))
    return with_steps(work, steps)


def another_cloth(work: Work, chance: Random) -> Work:
    cloth = work.ticket.cloth
    changed = chance.choice(
        [
            replace(cloth, stretch_across=chance.uniform(0.0, 1.0)),
            replace(cloth, thickness=chance.uniform(0.2, 3.0)),
            replace(cloth, width=chance.uniform(800.0, 1600.0)),
        ]
    )
    return replace(work, ticket=replace(work.ticket, cloth=changed))


def another_finish(work: Work, chance: Random) -> Work:
    name = chance.choice(["side seam", "hem", "hem of front", "back neck", "waist seam", "strap seam", "nowhere"])
    text = chance.choice(["plain 15 mm", "single turned 30 mm", "overlocked 7 mm", "french 10 mm", "raw 0 mm"])
    finish = {**work.ticket.finish, name: Written(text, Place("t", 2, 1))}
    return replace(work, ticket=replace(work.ticket, finish=chance.choice([finish, {}])))


def with_steps(work: Work, steps: list[PlacedStep]) -> Work:
    return replace(work, recipe=replace(work.recipe, steps=tuple(steps)))


def a_step_less(work: Work, chance: Random) -> Work:
    steps = list(work.recipe.steps)
    del steps[chance.randrange(len(steps))]
    return with_steps(work, steps)


def a_step_twice(work: Work, chance: Random) -> Work:
    steps = list(work.recipe.steps)
    steps.insert(chance.randrange(len(steps)), chance.choice(steps))
    return with_steps(work, steps)


def steps_swapped(work: Work, chance: Random) -> Work:
    steps = list(work.recipe.steps)
    a = chance.randrange(len(steps) - 1)
    steps[a], steps[a + 1] = steps[a + 1], steps[a]
    return with_steps(work, steps)


def a_step_reworded(work: Work, chance: Random) -> Work:
    """One blank of one step filled in another way: another sum, another name, another word, or left empty."""
    steps = list(work.recipe.steps)
    at = chance.randrange(len(steps))
    step = steps[at].step
    blank = chance.choice(step.form)
    value = getattr(step, blank.attribute)
    new: Any = value
    if isinstance(value, Formula):
        read = read_formula(chance.choice([f"({value.text}) * 1.05", value.text, f"({value.text}) * 0"]), _names(work))
        new = read if isinstance(read, Formula) else value
    elif blank.words:
        new = chance.choice(blank.words)
    elif isinstance(value, tuple) and len(value) > 2:
        new = value[: len(value) - 1]
    elif isinstance(value, str):
        new = chance.choice([f"other {value}", value])
    steps[at] = replace(steps[at], step=replace(step, **{blank.attribute: new}))
    return with_steps(work, steps)


def _names(work: Work) -> Any:
    return work.recipe.names(MEASURES)


def back_to_the_start(work: Work, chance: Random) -> Work:
    return begun(GARMENTS[0] if work.recipe.name == "choir-sheath" else GARMENTS[1])


EDITS: tuple[Callable[[Work, Random], Work], ...] = (
    a_choice,
    a_choice,
    a_choice,
    fewer_choices,
    a_measure,
    a_measure,
    a_measure_less,
    a_note,
    a_note,
    another_cloth,
    another_finish,
    an_alteration,
    a_step_less,
    a_step_twice,
    steps_swapped,
    a_step_reworded,
    a_step_reworded,
    back_to_the_start,
)


def assert_as_if_fresh(kept: Replayed, fresh: Replayed) -> None:
    """The same things lie on the bench in the same order, and every step read and wrote the same."""
    assert list(kept.state) == list(fresh.state)
    assert all(map(same, kept.state.values(), fresh.state.values()))
    for (_, now), (_, then) in zip(kept.runs, fresh.runs, strict=True):
        assert now.reads.keys() == then.reads.keys() and list(now.writes) == list(then.writes)
        assert all(same(now.reads[key], value) for key, value in then.reads.items())
        assert (now.problems, now.failed, now.lost) == (then.problems, then.failed, then.lost)


def edit_and_compare(name: str, seed: int, edits: int) -> tuple[int, int]:
    """Make so many edits, one upon another; how many steps were remembered, and how many were run again in all."""
    chance = Random(seed)
    work, memory, finish_memory = begun(name), Memory(), FinishMemory()
    remembered = again = 0
    for number in range(edits):
        change = chance.choice(EDITS)
        work = change(work, chance) if number % 12 else begun(name)
        kept = draft_for(work.ticket, work.recipe, memory, finish_memory)
        fresh = draft_for(work.ticket, work.recipe)
        assert written(kept) == written(fresh), (name, seed, number, change.__name__)
        assert same(kept.pattern, fresh.pattern) or kept.pattern.problems == fresh.pattern.problems
        assert_as_if_fresh(kept.replayed, fresh.replayed)
        assert memory.remembered + memory.run_again == len(fresh.replayed.runs)
        remembered, again = remembered + memory.remembered, again + memory.run_again
        assert all(len(runs) <= KEPT_RUNS for runs in memory.runs.values())
    return remembered, again


@pytest.mark.parametrize("name", GARMENTS)
@pytest.mark.parametrize("seed", range(2))
def test_random_edits_are_remembered_as_if_drafted_afresh(name: str, seed: int) -> None:
    remembered, again = edit_and_compare(name, seed, 60)
    assert remembered > 2 * again


@pytest.mark.long
@pytest.mark.parametrize("name", GARMENTS)
@pytest.mark.parametrize("seed", range(100, 125))
def test_ten_thousand_random_edits(name: str, seed: int) -> None:
    remembered, again = edit_and_compare(name, seed, 200)
    assert remembered > 2 * again


def test_the_edits_reach_choices_measures_cloth_finishes_and_steps_and_most_still_draft() -> None:
    chance, work = Random(3), begun(GARMENTS[0])
    first = written(draft_for(work.ticket, work.recipe))
    for change in dict.fromkeys(EDITS[:-1]):
        tried = [change(work, chance) for _ in range(12)]
        if change is fewer_choices:
            tried = [change(with_choices(work, {"slashes": Written("3", Place())}), chance)]
            assert not tried[0].ticket.choices
            continue
        drafts = [draft_for(each.ticket, each.recipe) for each in tried]
        assert any(written(each) != first for each in drafts), change.__name__
        assert any(each.pattern.pieces for each in drafts)


# What is run again ---------------------------------------------------------------------------------------------------


def ran_again(name: str, change: Callable[[Work], Work]) -> list[Any]:
    work, memory, finish_memory = begun(name), Memory(), FinishMemory()
    draft_for(work.ticket, work.recipe, memory, finish_memory)
    after = change(work)
    made = draft_for(after.ticket, after.recipe, memory, finish_memory)
    assert written(made) == written(draft_for(after.ticket, after.recipe))
    return list(memory.ran)


def choosing(**choices: str) -> Callable[[Work], Work]:
    said = {name.replace("_", " "): Written(text, Place()) for name, text in choices.items()}
    return lambda work: with_choices(work, {**work.ticket.choices, **said})


def mentions_strap(step: Any) -> bool:
    return any("strap" in str(getattr(step, each.attribute)) for each in step.form)


def test_nothing_changed_runs_nothing_again() -> None:
    for name in GARMENTS:
        assert ran_again(name, lambda work: work) == []


def test_another_strap_width_runs_strap_steps_only() -> None:
    ran = ran_again("alto-1-sheath", choosing(strap_width="2.5 cm"))
    assert {each.verb for each in ran} >= {"place strap", "strap"}
    assert all(mentions_strap(each) for each in ran)
    assert len(ran) <= 8


def test_a_longer_hem_leaves_the_levels_taken_in_alone() -> None:
    ran = {each.verb for each in ran_again("alto-1-sheath", choosing(length="70 cm"))}
    assert "rule down" in ran and "take in" not in ran and "mark point" not in ran


def test_a_wider_waistband_runs_the_band_and_what_is_written_on_it() -> None:
    ran = ran_again("soprano-2-skirt", choosing(band_width="4 cm"))
    assert ran[0].verb == "waistband"
    assert {each.verb for each in ran} <= {"waistband", "sew", "finish edge", "notch", "grain", "cut"}


def test_a_figure_gone_back_to_is_remembered() -> None:
    work, memory = begun("alto-1-sheath"), Memory()
    draft_for(work.ticket, work.recipe, memory)
    other = choosing(spread="3 cm")(work)
    draft_for(other.ticket, other.recipe, memory)
    draft_for(work.ticket, work.recipe, memory)
    assert memory.run_again == 0


def test_only_changed_pieces_are_finished_again() -> None:
    work, finish_memory = begun("alto-1-sheath"), FinishMemory()
    before = {piece.name: piece for piece in draft_for(work.ticket, work.recipe, None, finish_memory).pattern.pieces}
    other = choosing(strap_width="2.5 cm")(work)
    after = {piece.name: piece for piece in draft_for(other.ticket, other.recipe, None, finish_memory).pattern.pieces}
    assert after["back"] is before["back"] and after["strap"] is not before["strap"]


@settings(max_examples=200, deadline=None)
@given(st.floats(allow_nan=False), st.floats(allow_nan=False))
def test_two_figures_are_the_same_only_to_the_last_bit(a: float, b: float) -> None:
    assert same(a, b) == (a.hex() == b.hex())
    assert same((a, (b,)), (a, (b,))) and not same((a,), (a, b))


def test_zero_and_minus_zero_are_told_apart() -> None:
    assert not same(0.0, -0.0) and same(-0.0, -0.0)
