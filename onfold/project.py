"""The façade: plain calls and plain data, what the command line and the worktable both stand on.

`open_ticket(path)` reads a ticket and its recipe; the garment it returns drafts itself once and keeps what each step
read, so that a second draft after a change costs only what the change can reach.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from importlib.resources import files
from pathlib import Path
from typing import Any

from onfold.body.estimate import Body, fill, measure_first, missing
from onfold.body.likely import likely_together, outside_survey
from onfold.body.measures import MEASURES
from onfold.body.taken import Taken
from onfold.checks import Subject, run_checks
from onfold.cloth import one_way
from onfold.formula import Formula
from onfold.pattern import Fact, Pattern
from onfold.problems import CODES, Place, Problem, problem, unreadable
from onfold.recipe.bench import Key
from onfold.recipe.choosing import Asked, Settled, say_value, starting_values
from onfold.recipe.fields import Reading
from onfold.recipe.file import PlacedStep, Recipe, read_recipe, read_step
from onfold.recipe.finish import FinishMemory, finished
from onfold.recipe.replay import Memory, Replayed, replay
from onfold.recipe.step import Told
from onfold.recipe.tell import tell
from onfold.recipe.yaml_nodes import Entry, Scalar, did_you_mean, read_text
from onfold.recipe.yaml_nodes import Mapping as MappingNode
from onfold.shelf.ticket import Ticket, Written, read_ticket
from onfold.sheets.papers import read_paper
from onfold.steps import VERBS
from onfold.units import say_length

FINISHING = "finish"


@dataclass(frozen=True, eq=False)
class Draft:
    """A recipe replayed for a ticket: the pattern (its problems in it), the body as filled in, the choices settled."""

    pattern: Pattern
    body: Body
    choices: dict[str, Settled]
    replayed: Replayed


@dataclass
class Garment:
    """A ticket with its recipe. `problems` are those of reading; where one stops it, there is no draft."""

    path: Path
    ticket: Ticket | None
    recipe: Recipe | None
    problems: tuple[Problem, ...]
    memory: Memory = field(default_factory=Memory, repr=False)
    finish_memory: FinishMemory = field(default_factory=FinishMemory, repr=False)

    @property
    def readable(self) -> bool:
        """Return whether ticket and recipe can be drafted from."""
        return self.ticket is not None and self.recipe is not None and not unreadable(self.problems)

    @cached_property
    def draft(self) -> Draft | None:
        """The draft with every check's problems, or None where ticket or recipe cannot be read."""
        if not self.readable or self.ticket is None or self.recipe is None:
            return None
        made = draft_for(self.ticket, self.recipe, self.memory, self.finish_memory)
        found = [*self.problems, *made.pattern.problems]
        if not unreadable(found):
            found += check_problems(self, made)
        return replace(made, pattern=replace(made.pattern, problems=tuple(dict.fromkeys(found))))

    @property
    def all_problems(self) -> tuple[Problem, ...]:
        """Return every problem there is to tell, gravest first."""
        found = self.draft.pattern.problems if self.draft is not None else self.problems
        order = {"stop": 0, "mind": 1, "note": 2}
        return tuple(sorted(found, key=lambda each: order[each.severity]))

    @cached_property
    def told(self) -> tuple[Told, ...]:
        """The lesson's steps, told in the ticket's units, with their pictures."""
        if self.draft is None or self.ticket is None:
            return ()
        return tell(self.draft.replayed, self.draft.body.measures, self.ticket.units)

    def files(self, wanted: tuple[str, ...] = ()) -> dict[str, bytes]:
        """Return the files of this garment by name (all, or those wanted); empty where it cannot be read."""
        from onfold.project_files import write_all

        return write_all(self, wanted) if self.draft is not None and not unreadable(self.all_problems) else {}

    def _repr_svg_(self) -> str | None:
        from onfold.project_files import picture_of

        return picture_of(self) if self.draft is not None else None


def open_ticket(path: str | Path) -> Garment:
    """Return the garment of a ticket file. Never raises on what the file holds: problems are in the result."""
    where = Path(path)
    ticket, problems = read_ticket(where)
    if ticket is None:
        return Garment(where, None, None, tuple(problems))
    recipe, found = find_recipe(ticket.recipe, where.parent)
    paper = read_paper(ticket.paper.text, ticket.paper.place)
    unfit = [replace(paper, excerpt=ticket.paper.excerpt)] if isinstance(paper, Problem) else []
    return Garment(where, ticket, recipe, (*problems, *found, *unfit))


def shipped_recipes() -> tuple[str, ...]:
    """Return the names of the recipes that come with Onfold."""
    return tuple(sorted(each.name[:-5] for each in _shelf().iterdir() if each.name.endswith(".yaml")))


def _shelf() -> Any:
    return files("onfold") / "recipes"


def shipped_recipe(name: str) -> Recipe:
    """Return a shipped recipe. Raises KeyError for a name that is none: callers name those of `shipped_recipes`."""
    if name not in shipped_recipes():
        raise KeyError(name)
    recipe, problems = read_recipe((_shelf() / f"{name}.yaml").read_text("utf-8"), f"{name}.yaml", VERBS, MEASURES)
    if recipe is None:
        raise KeyError(f"{name}: {problems[0].says}")
    return recipe


def find_recipe(asked: Written, folder: Path) -> tuple[Recipe | None, list[Problem]]:
    """Return the recipe a ticket names: a shipped one's name, or a path beside the ticket."""
    name = asked.text.strip()
    shipped = shipped_recipes()
    if name in shipped:
        text = (_shelf() / f"{name}.yaml").read_text("utf-8")
        return read_recipe(text, f"{name}.yaml", VERBS, MEASURES)
    looks_like_path = name.endswith((".yaml", ".yml")) or "/" in name
    path = folder / name
    if looks_like_path and path.is_file():
        found, problems = read_text(path)
        if found is None:
            return None, problems
        return read_recipe(found, str(path), VERBS, MEASURES)
    near = did_you_mean(name, list(shipped))
    offer = f"Did you mean '{near}'?" if near else f"Shipped recipes: {', '.join(shipped)}."
    what = "There is no such file beside the ticket." if looks_like_path else "No shipped recipe has this name."
    return None, [
        problem(
            "RECIPE-UNKNOWN",
            says=f"The recipe '{name}' is not to be found. {what} {offer}",
            found=name,
            expected=near or ", ".join(shipped),
            remedy=offer,
            where=asked.place,
            excerpt=asked.excerpt,
        )
    ]


def needs_of(recipe: Recipe) -> tuple[str, ...]:
    """Return the measures a recipe's formulas use, in the order of the measures' own list."""
    used: set[str] = set()
    for placed in recipe.steps:
        for each in placed.step.form:
            value = getattr(placed.step, each.attribute)
            for formula in value if isinstance(value, tuple) else (value,):
                if isinstance(formula, Formula):
                    used |= formula.names_used
    for choice in recipe.choices.values():
        for bound in (choice.default, choice.least, choice.most):
            used |= bound.names_used if bound is not None else set()
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
    state, settled, problems = starting_values(recipe, body.measures, ticket.cloth, asked, ticket.units, names)
    state.update({("asked finish", name): text for name, (text, _) in recipe.finish.items()})
    state.update({("asked finish", name): each.text for name, each in ticket.finish.items()})
    steps, found = _with_fittings(ticket, recipe)
    problems += found
    needed = needs_of(recipe)
    problems += [_placed(each, ticket) for each in (*body.problems, *missing(body, needed))]
    replayed = replay(steps, state, memory, recipe.file)
    made = finished(
        replayed.state,
        ticket.cloth,
        recipe.finish,
        {name: (each.text, each.place) for name, each in ticket.finish.items()},
        finish_memory,
    )
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
        (*problems, *replayed.problems, *made.problems),
    )
    return Draft(pattern, body, settled, replayed)


def _facts(state: Mapping[Key, Any]) -> dict[str, Fact]:
    return {name: state["fact", name] for name in state.get(("listing", "fact"), ())}


def _placed(each: Problem, ticket: Ticket) -> Problem:
    return each if each.where.line else each.at(replace(each.where, file=ticket.file))


def _with_fittings(ticket: Ticket, recipe: Recipe) -> tuple[tuple[PlacedStep, ...], list[Problem]]:
    """Return the recipe's steps with those that fittings added, each after its label or before the first finish."""
    steps = list(recipe.steps)
    reading = Reading(ticket.file, ticket.text, ticket.units)
    names = recipe.names(MEASURES)
    words = {name: each for name, each in recipe.choices.items() if each.kind == "word"}
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


def check_problems(garment: Garment, draft: Draft) -> list[Problem]:
    """Return what the checks find, what the measures ask, and which estimates could turn a verdict."""
    ticket = garment.ticket
    assert ticket is not None and garment.recipe is not None
    body = _Watched(draft.body.measures)
    found = run_checks(replace(subject_of(ticket, draft), body=body))
    given = ticket.wearer.measures
    asked = [
        *likely_together(ticket.wearer.figure, given, ticket.units),
        *outside_survey(ticket.wearer.figure, given, ticket.units),
    ]
    placed = [_at_measure(each, ticket) for each in asked]
    return [*found, *placed, *_turning(garment, draft, found, body.asked)]


class _Watched(dict[str, Taken]):
    """The body's measures, noting which of them the checks asked for."""

    def __init__(self, measures: Mapping[str, Taken]) -> None:
        super().__init__(measures)
        self.asked: set[str] = set()

    def __getitem__(self, name: str) -> Taken:
        self.asked.add(name)
        return super().__getitem__(name)

    def get(self, name: str, default: Any = None) -> Any:
        """Return a measure or the default."""
        self.asked.add(name)
        return super().get(name, default)


def _at_measure(each: Problem, ticket: Ticket) -> Problem:
    place = next((place for name, place in ticket.wearer.places.items() if name in each.says), Place(ticket.file))
    return each if each.where.line else each.at(place)


def _stops(problems: tuple[Problem, ...] | list[Problem]) -> frozenset[str]:
    return frozenset(each.code for each in problems if each.severity == "stop" and CODES[each.code].group != "reading")


def _turning(garment: Garment, draft: Draft, found: list[Problem], asked: set[str]) -> list[Problem]:
    """Return a `mind` for every estimate within whose interval a stop comes or goes: it is to be taped first."""
    ticket, recipe = garment.ticket, garment.recipe
    assert ticket is not None and recipe is not None
    now = _stops(draft.pattern.problems) | _stops(found)
    used = set(draft.pattern.measures)
    turning = []
    for name in MEASURES:
        taken = draft.body.measures.get(name)
        if taken is None or not taken.estimated or taken.interval is None or name not in used | asked:
            continue
        turned: set[str] = set()
        for bound in taken.interval:
            other = {**draft.body.measures, name: replace(taken, value=bound)}
            if name in used:
                tried = draft_for(ticket, recipe, garment.memory, garment.finish_memory, other)
            else:
                tried = replace(draft, body=replace(draft.body, measures=other))
            stops = _stops(tried.pattern.problems) | _stops(run_checks(subject_of(ticket, tried)))
            turned |= now ^ stops
        if turned:
            turning.append(_turns(name, taken, sorted(turned), now, ticket))
    return turning


def _turns(name: str, taken: Taken, codes: list[str], now: frozenset[str], ticket: Ticket) -> Problem:
    low, high = taken.interval or (taken.value, taken.value)
    first, last = (say_length(mm, ticket.units) for mm in (low, high))
    what = ", ".join(CODES[code].title.lower() for code in codes)
    way = "would go" if set(codes) <= now else "could come"
    return problem(
        "ESTIMATE-TURNS",
        says=f"'{name}' is estimated at {say_length(taken.value, ticket.units)}, {first} to {last}. Within that a stop "
        f"{way}: {what}. Tape it before cutting.",
        found=f"{first} to {last}, estimated",
        expected="a taped measure",
        remedy=f"measure '{name}' and write it under measures",
        where=Place(ticket.file),
    )


def first_to_tape(garment: Garment) -> tuple[str, ...]:
    """Return the untaped measures that this garment uses, the one that narrows most first."""
    if garment.draft is None or garment.ticket is None:
        return ()
    wanted = [name for name, taken in garment.draft.pattern.measures.items() if taken.estimated]
    if not wanted:
        return ()
    wearer = garment.ticket.wearer
    return tuple(measure_first(wearer.figure, wearer.measures, wanted))


def not_taped(garment: Garment) -> tuple[str, ...]:
    """Return the measures that were estimated for this garment's draft."""
    if garment.draft is None:
        return ()
    return tuple(name for name, taken in garment.draft.pattern.measures.items() if taken.estimated)


def said_choices(garment: Garment) -> list[tuple[str, str, str, bool]]:
    """Return (name, value in the maker's units, question, set by the ticket) of every choice that asks something."""
    if garment.draft is None or garment.ticket is None:
        return []
    units = garment.ticket.units
    said = []
    for name, each in garment.draft.choices.items():
        if each.choice.ask:
            value = each.word or ("left open" if each.value is None else say_value(each.value, each.choice.kind, units))
            said.append((name, value, each.choice.ask, each.by_maker))
    return said


Speak = Callable[[str], None]
"""How a long task says what it is at."""


def cloth_is_one_way(garment: Garment) -> bool:
    """Return whether all pieces must lie one way."""
    return garment.ticket is not None and one_way(garment.ticket.cloth)


def recipe_list() -> list[dict[str, Any]]:
    """Return name, title, kind, cloth and needed measures of every shipped recipe."""
    listed = []
    for name in shipped_recipes():
        recipe = shipped_recipe(name)
        listed.append(
            {
                "name": name,
                "title": recipe.title,
                "kind": recipe.kind,
                "for": recipe.made_for,
                "needs": list(needs_of(recipe)),
            }
        )
    return listed


def recipe_text(name: str) -> tuple[str, Problem | None]:
    """Return a shipped recipe's file, or what is wrong with the name."""
    if name in shipped_recipes():
        return (_shelf() / f"{name}.yaml").read_text("utf-8"), None
    _, problems = find_recipe(Written(name, Place()), Path())
    return "", problems[0]


def schema_of(what: str) -> dict[str, Any]:
    """Return the JSON Schema of a `ticket` or a `recipe`, for editors."""
    if what == "ticket":
        from onfold.shelf.schema import ticket_schema

        return dict(ticket_schema())
    from onfold.recipe.schema import recipe_schema

    return recipe_schema(VERBS)
