"""What a step is: a frozen class whose fields are its form.

`@step("square across", "draft")` turns a class into a frozen dataclass and reads its form from the annotations.
From the form come validation, the reference page, the JSON Schema and the text a step writes back.
A formula field has no default number: every number stands in the recipe, where the maker sees and changes it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import MISSING, dataclass, fields
from typing import (
    TYPE_CHECKING,
    Annotated,
    Any,
    Literal,
    Protocol,
    TypeVar,
    dataclass_transform,
    get_args,
    get_origin,
    get_type_hints,
)

from onfold.formula import Formula
from onfold.problems import Problem

if TYPE_CHECKING:
    from onfold.drawing import Drawing
    from onfold.recipe.bench import Bench
    from onfold.recipe.telling import Telling

Kind = Literal[
    "length",
    "share",
    "number",
    "word",
    "text",
    "finish",
    "point",
    "line",
    "level",
    "edge",
    "piece",
    "edge of piece",
    "place",
    "name",
]


@dataclass(frozen=True)
class FieldKind:
    """How a field is read: `kind` decides the parser, `new` marks names that the step gives."""

    kind: Kind
    new: bool = False


Length = Annotated[Formula, FieldKind("length")]
Share = Annotated[Formula, FieldKind("share")]
Number = Annotated[Formula, FieldKind("number")]
PointName = Annotated[str, FieldKind("point")]
LineName = Annotated[str, FieldKind("line")]
LevelName = Annotated[str, FieldKind("level")]
EdgeName = Annotated[str, FieldKind("edge")]
PieceName = Annotated[str, FieldKind("piece")]
EdgeOfPiece = Annotated[str, FieldKind("edge of piece")]
PlaceName = Annotated[str, FieldKind("place")]
NewPoint = Annotated[str, FieldKind("point", new=True)]
NewLine = Annotated[str, FieldKind("line", new=True)]
NewLevel = Annotated[str, FieldKind("level", new=True)]
NewEdge = Annotated[str, FieldKind("edge", new=True)]
NewPiece = Annotated[str, FieldKind("piece", new=True)]
NewName = Annotated[str, FieldKind("name", new=True)]
Text = Annotated[str, FieldKind("text")]
FinishText = Annotated[str, FieldKind("finish")]
YesNo = Literal["yes", "no"]


@dataclass(frozen=True)
class FormField:
    """One blank of a step's form. `words` are the answers of a word field; `many` asks for a list."""

    name: str
    attribute: str
    kind: Kind
    required: bool
    many: bool = False
    new: bool = False
    words: tuple[str, ...] = ()


class Step(Protocol):
    """A step as replay sees it. `gives` is what it lays on its piece besides the names in its form."""

    verb: str
    group: str
    form: tuple[FormField, ...]
    gives: tuple[str, ...]

    def run(self, bench: Bench) -> None:
        """Change the draft through the bench."""

    def say(self, told: Telling) -> str:
        """Tell what to do, with the numbers in the maker's units."""


@dataclass(frozen=True)
class Told:
    """One step as told in the lesson. `why` is the recipe's own reason, or the verb's.

    `noted` are the figure notes that it was drafted for, as they are said: `sway back 1.5 cm`. `heading` says in a few
    words what the maker does, `idle` that it does nothing for this wearer, `found` what went wrong in it,
    `stands_on` the numbers of stopped steps whose work it uses. `focus` is the box (left, low, right, high), mm, of
    what it changes where that is a part of the picture.
    """

    number: int
    stage: str
    verb: str
    piece: str
    label: str
    sentence: str
    why: str
    estimated: tuple[str, ...] = ()
    picture: Drawing | None = None
    noted: tuple[str, ...] = ()
    heading: str = ""
    idle: bool = False
    found: tuple[Problem, ...] = ()
    stands_on: tuple[int, ...] = ()
    focus: tuple[float, float, float, float] | None = None


T = TypeVar("T")


def _form_field(name: str, hint: object, required: bool) -> FormField:
    """Return the form field that an annotation stands for. Raises TypeError for one that no reader knows."""
    spoken = name.rstrip("_").replace("_", " ")
    options = [each for each in get_args(hint) if each is not type(None)]
    if get_origin(hint) is not Annotated and type(None) in get_args(hint):
        return _form_field(name, options[0], False)
    if get_origin(hint) is tuple:
        inner = _form_field(name, get_args(hint)[0], required)
        return FormField(spoken, name, inner.kind, required, True, inner.new, inner.words)
    if get_origin(hint) is Literal:
        return FormField(spoken, name, "word", required, words=tuple(get_args(hint)))
    if get_origin(hint) is Annotated:
        marks = [each for each in get_args(hint)[1:] if isinstance(each, FieldKind)]
        if marks:
            return FormField(spoken, name, marks[0].kind, required, new=marks[0].new)
    raise TypeError(f"field {name!r} has no kind: {hint!r}")


@dataclass_transform(frozen_default=True, kw_only_default=True)
def step(verb: str, group: str) -> Callable[[type[T]], type[T]]:
    """Return a decorator that makes a class the step of this verb, its form read from its annotations."""

    def made(cls: type[T]) -> type[T]:
        frozen: Any = dataclass(frozen=True, kw_only=True)(cls)
        frozen.__hash__ = _hashed_once(frozen.__hash__)
        frozen.__getstate__ = _without_hash
        hints = get_type_hints(cls, include_extras=True)
        frozen.verb = verb
        frozen.group = group
        frozen.gives = getattr(cls, "gives", ())
        frozen.form = tuple(
            _form_field(each.name, hints[each.name], each.default is MISSING) for each in fields(frozen)
        )
        return frozen  # type: ignore[no-any-return]

    return made


def _hashed_once(hashed: Callable[[Any], int]) -> Callable[[Any], int]:
    """Return a hash that is worked out once for each step: replay looks every step up again and again."""

    def kept(self: Any) -> int:
        known: dict[str, int] = self.__dict__
        try:
            return known["_hash"]
        except KeyError:
            known["_hash"] = hashed(self)
        return known["_hash"]

    return kept


def _without_hash(self: Any) -> dict[str, Any]:
    """Return what is pickled of a step: another process hashes its words otherwise."""
    return {name: value for name, value in self.__dict__.items() if name != "_hash"}


def names_given(done: Step) -> tuple[str, ...]:
    """Return the names that a step gives to what it draws, for telling lost ones from misspelt ones."""
    given: list[str] = []
    for each in done.form:
        value = getattr(done, each.attribute)
        if each.new and value:
            given.extend(value if each.many else (value,))
    return tuple(given)


def formulas_of(done: Step) -> tuple[Formula, ...]:
    """Return every formula of a step's form, in its order."""
    values = [getattr(done, each.attribute) for each in done.form]
    flat = [item for value in values for item in (value if isinstance(value, tuple) else (value,))]
    return tuple(each for each in flat if isinstance(each, Formula))


_BARE = re.compile(r"[A-Za-z][\w ./%()+*-]*\Z")


def _scalar(text: str, in_list: bool) -> str:
    """Return the text as a YAML flow scalar, quoted where bare text would be read as something else."""
    if _BARE.match(text) and not text.endswith(" ") and " -" not in text and text.lower() not in _WORDS:
        return text
    if re.fullmatch(r"[0-9][\w ./%()+*]*", text) and ": " not in text:
        return text
    return "'" + text.replace("'", "''") + "'"


_WORDS = {"yes", "no", "on", "off", "true", "false", "null", "none", "y", "n"}


def step_text(done: Step) -> str:
    """Return the step as one line of a recipe, in flow style; reading it again gives an equal step."""
    parts: list[str] = []
    for each in done.form:
        value = getattr(done, each.attribute)
        if value is None or (value == () and not each.required):
            continue
        items = [item.text if isinstance(item, Formula) else str(item) for item in (value if each.many else (value,))]
        words = [_scalar(item, each.many) for item in items]
        parts.append(f"{each.name}: " + (f"[{', '.join(words)}]" if each.many else words[0]))
    return f"- {done.verb}: {{{', '.join(parts)}}}"
