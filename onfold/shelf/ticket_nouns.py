"""The nouns of a job ticket: what a maker wrote for one garment, as typed data with its places in the file."""

from __future__ import annotations

from dataclasses import dataclass, field

from onfold.body.measures import Figure
from onfold.cloth import Cloth
from onfold.construction.alteration import Alteration
from onfold.problems import Place
from onfold.recipe.yaml_nodes import Node
from onfold.units import System

DEFAULT_PAPER = "a4"


@dataclass(frozen=True)
class Written:
    """A text as it stands in the file, and where."""

    text: str
    place: Place
    excerpt: str = ""


@dataclass(frozen=True)
class Noted:
    """A figure note as it stands in the file, and where; `value` is its length, mm."""

    text: str
    place: Place
    excerpt: str = ""
    value: float = 0.0


@dataclass(frozen=True)
class Wearer:
    """Who the garment is for. `measures` are mm by name; where left and right were given, `left …`, `right …` and,
    under the plain name, the larger. `places` says where each was written. `notes` are figure notes by name.
    """

    name: str
    figure: Figure
    measures: dict[str, float] = field(default_factory=dict)
    places: dict[str, Place] = field(default_factory=dict)
    notes: dict[str, Noted] = field(default_factory=dict)


@dataclass(frozen=True)
class AddedStep:
    """A step that a fitting adds: after the step of this label (empty: before the first finishing step)."""

    after: str
    verb: str
    fields: Node
    place: Place


@dataclass(frozen=True)
class Fitting:
    """What a try-on found and what was done about it. `on` is an ISO date.

    `seen` is the observation by its name and `because` the cause that was taken, where they were told so. `carried`
    says to whom the change was given beyond this ticket: wearer, taste, recipe.
    """

    on: str
    note: str = ""
    choices: dict[str, Written] = field(default_factory=dict)
    measures: dict[str, float] = field(default_factory=dict)
    places: dict[str, Place] = field(default_factory=dict)
    figure: dict[str, Noted] = field(default_factory=dict)
    steps: tuple[AddedStep, ...] = ()
    place: Place = field(default_factory=Place)
    seen: str = ""
    because: str = ""
    carried: tuple[str, ...] = ()


@dataclass(frozen=True)
class Rates:
    """What an hour of work costs, and in which currency; None and empty where not given."""

    hour: float | None = None
    currency: str = ""


@dataclass(frozen=True)
class Ticket:
    """Everything needed to make the garment again, or to alter one that was made elsewhere.

    A ticket has either a `recipe` or an `alteration`.
    `wearer`, `choices` and `steps` are as after all the `fittings`; `first_wearer` and `first_choices` as first
    written. `other_cloths` are those of further materials by name, `lining`. `as_of` gives the ticket as it stood on
    another day. `cut_on` is the ISO day the cloth was cut, '' before it is. `text` is the file, for editing it in
    place.
    """

    file: str
    text: str
    title: str
    recipe: Written | None
    units: System
    wearer: Wearer
    cloth: Cloth
    other_cloths: dict[str, Cloth] = field(default_factory=dict)
    choices: dict[str, Written] = field(default_factory=dict)
    finish: dict[str, Written] = field(default_factory=dict)
    paper: Written = field(default_factory=lambda: Written(DEFAULT_PAPER, Place()))
    date: str = ""
    cut_on: str = ""
    fittings: tuple[Fitting, ...] = ()
    steps: tuple[AddedStep, ...] = ()
    rates: Rates = field(default_factory=Rates)
    first_wearer: Wearer | None = None
    first_choices: dict[str, Written] = field(default_factory=dict)
    alteration: Alteration | None = None
