"""The façade: plain calls and plain data, what the command line, notebooks and scripts stand on.

`open_ticket(path)` reads a ticket and its recipe; the garment it returns drafts itself once and keeps what each step
read, so that a second draft after a change costs only what the change can reach.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property
from importlib.resources import files
from pathlib import Path
from typing import Any

from onfold.body.estimate import measure_first
from onfold.body.measures import MEASURES
from onfold.cloth import in_one_layer, one_way
from onfold.problems import Place, Problem, gravest_first, problem, unreadable
from onfold.project_cut import with_cut
from onfold.project_draft import Draft as Draft
from onfold.project_draft import draft_for as draft_for
from onfold.project_draft import needs_of as needs_of
from onfold.project_draft import subject_of as subject_of
from onfold.project_turning import asked_of_measures, check_problems
from onfold.recipe.choosing import say_value
from onfold.recipe.file import Recipe, read_recipe
from onfold.recipe.finish import FinishMemory
from onfold.recipe.memory import Memory
from onfold.recipe.step import Told
from onfold.recipe.tell import tell
from onfold.recipe.yaml_nodes import did_you_mean, read_text
from onfold.sheets.papers import read_paper
from onfold.shelf.ticket import Ticket, Written, read_ticket_at
from onfold.steps import VERBS


@dataclass
class Garment:
    """A ticket with its recipe. `problems` are those of reading; where one stops it, there is no draft.

    A ticket that alters a garment made elsewhere has no recipe and no draft; it is readable all the same.
    `given` is a draft that stands in for its own: a toile is laid and printed like any garment.
    """

    path: Path
    ticket: Ticket | None
    recipe: Recipe | None
    problems: tuple[Problem, ...]
    memory: Memory = field(default_factory=Memory, repr=False)
    finish_memory: FinishMemory = field(default_factory=FinishMemory, repr=False)
    given: Draft | None = field(default=None, repr=False)

    @property
    def readable(self) -> bool:
        """Return whether ticket and recipe can be drafted from, or the ticket's alteration be set out."""
        told = self.ticket is not None and (self.recipe is not None or self.ticket.alteration is not None)
        return told and not unreadable(self.problems)

    @cached_property
    def draft(self) -> Draft | None:
        """The draft with every check's problems, or None where ticket or recipe cannot be read."""
        if not self.readable or self.ticket is None or self.recipe is None:
            return None
        if self.given is not None:
            return self.given
        made = draft_for(self.ticket, self.recipe, self.memory, self.finish_memory)
        found = [*self.problems, *made.pattern.problems]
        if not unreadable(found):
            found += check_problems(self, made)
            if self.ticket.cut_on:
                pattern, told = with_cut(self, made)
                made, found = replace(made, pattern=pattern), [*found, *told]
        else:
            # a slip in one measure is what most often makes the others impossible
            found += asked_of_measures(self.ticket)
        return replace(made, pattern=replace(made.pattern, problems=tuple(dict.fromkeys(found))))

    @property
    def all_problems(self) -> tuple[Problem, ...]:
        """Return every problem there is to tell, gravest first."""
        found = self.draft.pattern.problems if self.draft is not None else (*self.problems, *self._altering)
        return tuple(gravest_first(found))

    @cached_property
    def _altering(self) -> tuple[Problem, ...]:
        """What is to be said of the ticket's alteration, where it has one that can be read."""
        if self.ticket is None or self.ticket.alteration is None or not self.readable:
            return ()
        from onfold.project_altering import alteration_problems

        return tuple(alteration_problems(self.ticket))

    @cached_property
    def told(self) -> tuple[Told, ...]:
        """The lesson's steps, told in the ticket's units, with their pictures."""
        if self.draft is None or self.ticket is None:
            return ()
        flat = in_one_layer(self.ticket.cloth)
        return tell(self.draft.replayed, self.draft.body.measures, self.ticket.units, one_layer=flat)

    def files(self, wanted: tuple[str, ...] = ()) -> dict[str, bytes]:
        """Return the files of this garment by name (all, or those wanted); empty where it cannot be read."""
        if self.ticket is not None and self.ticket.alteration is not None:
            from onfold.project_altering import alteration_files

            return alteration_files(self, wanted) if self.readable else {}
        from onfold.project_files import write_all

        return write_all(self, wanted) if self.draft is not None and not unreadable(self.all_problems) else {}

    def _repr_svg_(self) -> str | None:
        from onfold.project_files import picture_of

        return picture_of(self) if self.draft is not None else None


def open_ticket(path: str | Path) -> Garment:
    """Return the garment of a ticket file. Never raises on what the file holds: problems are in the result."""
    where = Path(path)
    text, problems = read_text(where)
    return Garment(where, None, None, tuple(problems)) if text is None else open_text(text, where)


def open_text(text: str, where: Path, like: Garment | None = None) -> Garment:
    """Return the garment of a ticket's text as if it stood in the file `where`.

    `like` is the same ticket's garment before a change: its recipe and what its steps remember are used again.
    """
    ticket, problems = read_ticket_at(text, where)
    if ticket is None:
        return Garment(where, None, None, tuple(problems))
    found: list[Problem] = []
    recipe: Recipe | None = None
    known = like.ticket.recipe if like is not None and like.ticket is not None and like.recipe is not None else None
    if like is not None and known is not None and ticket.recipe is not None and known.text == ticket.recipe.text:
        recipe, file = like.recipe, like.recipe.file if like.recipe is not None else ""
        found = [each for each in like.problems if each.where.file == file]
    elif ticket.recipe is not None:
        recipe, found = find_recipe(ticket.recipe, where.parent)
    paper = read_paper(ticket.paper.text, ticket.paper.place)
    unfit = [replace(paper, excerpt=ticket.paper.excerpt)] if isinstance(paper, Problem) else []
    every = (*problems, *found, *unfit)
    if like is None:
        return Garment(where, ticket, recipe, every)
    return Garment(where, ticket, recipe, every, like.memory, like.finish_memory)


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
    if looks_like_path and _is_there(path):
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


def _is_there(path: Path) -> bool:
    """Return whether a file is there; False too where its folder may not be searched."""
    try:
        return path.is_file()
    except OSError:
        return False


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
