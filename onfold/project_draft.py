"""From a ticket and a recipe to the draft: body filled in, choices settled, steps replayed, pieces finished."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from onfold.body.estimate import Body, fill, missing
from onfold.body.measures import MEASURES
from onfold.body.taken import Taken
from onfold.checks import Subject
from onfold.pattern import Fact, Pattern
from onfold.problems import Place, Problem, problem, unreadable
from onfold.project_figure import figure_of, names_used, unused_notes
from onfold.project_remedies import in_this_recipe
from onfold.recipe.bench import Key
from onfold.recipe.choosing import Asked, Settled, starting_values
from onfold.recipe.fields import Reading
from onfold.recipe.file import Recipe, read_step
from onfold.recipe.finish import Finished, FinishMemory, finished
from onfold.recipe.memory import Memory
from onfold.recipe.placed import PlacedStep
from onfold.recipe.replay import Replayed, replay
from onfold.recipe.yaml_nodes import Entry, Scalar, excerpt, mark_at
from onfold.recipe.yaml_nodes import Mapping as MappingNode
from onfold.shelf.ticket import Ticket
from onfold.steps import VERBS

FINISHING = "finish"
"""The group of steps that an added one comes before, where no label says otherwise."""


@dataclass(frozen=True, eq=False)
class Draft:
    """A recipe replayed for a ticket: the pattern (its problems in it), the body as filled in, the choices settled."""

    pattern: Pattern
    body: Body
    choices: dict[str, Settled]
    replayed: Replayed


def needs_of(recipe: Recipe, settled: Mapping[str, Settled] | None = None) -> tuple[str, ...]:
    """Return the measures a recipe's formulas use, in the order of the measures' own list.

    Bounds of choices don't count: a garment isn't drawn from them. A settled choice counts with the formula it was
    reckoned from, so that what the maker states outright needs no measure.
    """
    used = set(recipe.names_in_steps)
    for name, choice in recipe.choices.items():
        chosen = (settled or {}).get(name)
        if chosen is not None:
            used |= chosen.used
        elif choice.default is not None:
            used |= choice.default.names_used
    return tuple(name for name in MEASURES if name in used)


def draft_for(
    ticket: Ticket,
    recipe: Recipe,
    memory: Memory | None = None,
    finish_memory: FinishMemory | None = None,
    measures: Mapping[str, Taken] | None = None,
) -> Draft:
    """Return the draft without its checks. `measures` stands in for the body as filled in from the ticket."""
    body = fill(ticket.wearer.figure, ticket.wearer.measures, ticket.units)
    if measures is not None:
        body = replace(body, measures=dict(measures))
    names = recipe.names(MEASURES)
    asked = {name: Asked(each.text, each.place, each.excerpt) for name, each in ticket.choices.items()}
    noted = figure_of(ticket)
    state, settled, problems = starting_values(recipe, body.measures, ticket.cloth, asked, ticket.units, names, noted)
    state.update({("asked finish", name): text for name, (text, _) in recipe.finish.items()})
    state.update({("asked finish", name): each.text for name, each in ticket.finish.items()})
    steps, found = _with_fittings(ticket, recipe)
    used = names_used(steps, settled) if noted else frozenset()
    problems += [*found, *unused_notes(ticket, recipe, used)]
    needed = needs_of(recipe, settled)
    problems += [at_measure(each, ticket) for each in (*body.problems, *missing(body, needed))]
    unsettled = [name for name in (*recipe.choices, *needed) if not _is_settled(state, name)]
    replayed = replay(steps, state, memory, recipe.file, unsettled)
    made = finished(
        replayed.state,
        ticket.cloth,
        recipe.finish,
        {name: (each.text, each.place) for name, each in ticket.finish.items()},
        finish_memory,
    )
    texts = {recipe.file: recipe.text, ticket.file: ticket.text}
    problems += [_shown(each, texts) for each in replayed.problems]
    if not unreadable(problems):
        problems += [*made.problems, *(_shown(each, texts) for each in _unmarked(made, replayed, recipe.file))]
    pattern = Pattern(
        recipe.name,
        recipe.title,
        ticket.wearer.name,
        made.pieces,
        made.seams,
        made.levels,
        {name: body.measures[name] for name in needed if name in body.measures},
        made.openings,
        recipe.worn,
        _facts(replayed.state),
        tuple(in_this_recipe(problems, recipe.choices)),
        {name: mm for name, mm in noted.items() if name in used},
    )
    return Draft(pattern, body, settled, replayed)


def _is_settled(state: Mapping[Key, Any], name: str) -> bool:
    return any((kind, name) in state for kind in ("value", "word", "open"))


def _shown(each: Problem, texts: Mapping[str, str]) -> Problem:
    """Return a step's problem with its line, the caret under the name or formula that was found wrong."""
    text = texts.get(each.where.file, "")
    if not text or not each.where.line or each.excerpt:
        return each
    line = sum(map(len, text.splitlines(keepends=True)[: each.where.line - 1]))
    verb = line + each.where.column - 1
    found = text.find(each.found, verb, text.find("\n", verb)) if each.found else -1
    mark = mark_at(text, max(found, verb))
    return replace(each, excerpt=excerpt(text, mark), where=replace(each.where, column=mark.column))


def _unmarked(made: Finished, replayed: Replayed, file: str) -> list[Problem]:
    """Return a mind for every level that is reckoned and lies on no piece: most often a slip in its name."""
    found: list[Problem] = []
    lost = any(name not in {each.name for each in made.pieces} for name in replayed.state.get(("listing", "piece"), ()))
    if lost or all(level.across for level in made.levels.values()):
        return found
    for placed, run in replayed.runs:
        for key in run.writes:
            level = made.levels.get(key[1]) if key[0] == "level" else None
            if level is not None and not level.across:
                found.append(
                    problem(
                        "STEP-NAME",
                        severity="mind",
                        says=f"The level '{level.name}' is reckoned here, and no piece is marked with it.",
                        found=level.name,
                        expected="a level marked on a piece",
                        remedy=f"Mark '{level.name}' on a piece, or look for a slip in its name.",
                        where=Place(placed.file or file, placed.line, placed.column, placed.step.verb),
                    )
                )
    return found


def _facts(state: Mapping[Key, Any]) -> dict[str, Fact]:
    return {name: state["fact", name] for name in state.get(("listing", "fact"), ())}


def at_measure(each: Problem, ticket: Ticket) -> Problem:
    """Return a problem of the body at the measure that it names first, as far as that stands in the ticket."""
    if each.where.line:
        return each
    said = each.says.lower()
    named = sorted((said.index(name), -len(name), name) for name in ticket.wearer.places if name in said)
    return each.at(ticket.wearer.places[named[0][2]] if named else Place(ticket.file))


def _with_fittings(ticket: Ticket, recipe: Recipe) -> tuple[tuple[PlacedStep, ...], list[Problem]]:
    """Return the recipe's steps with those that fittings added, each after its label or before the first finish."""
    steps = list(recipe.steps)
    reading = Reading(ticket.file, ticket.text, ticket.units)
    names = recipe.names(MEASURES)
    words = {name: each.words for name, each in recipe.choices.items() if each.kind == "word"}
    for added in ticket.steps:
        mark = added.fields.mark
        node = MappingNode((Entry(Scalar(added.verb, mark), added.fields),), mark)
        placed = read_step(reading, node, VERBS, names, words)
        if placed is None:
            continue
        at = next((n for n, each in enumerate(steps) if each.step.group == FINISHING), len(steps))
        if added.after:
            labels = [n for n, each in enumerate(steps) if each.label == added.after]
            if not labels:
                known = [each.label for each in steps if each.label]
                reading.problems.append(
                    problem(
                        "VALUE-WRONG",
                        says=f"No step is labelled '{added.after}', so the added step has no place.",
                        found=added.after,
                        expected=", ".join(known) or "no labels in this recipe",
                        remedy="Leave 'after' out, or use a label of the recipe.",
                        where=added.place,
                    )
                )
                continue
            at = labels[-1] + 1
        steps.insert(at, placed)
    return tuple(steps), reading.problems


def subject_of(ticket: Ticket, draft: Draft) -> Subject:
    """Return what the checks read."""
    return Subject(draft.pattern, ticket.cloth, ticket.units, ticket.wearer.figure, body=draft.body.measures)
