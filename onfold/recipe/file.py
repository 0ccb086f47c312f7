"""A recipe's file read whole: choices and steps with their places, every error of the file at once, with its caret."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal

from onfold.body.figure_notes import BY_FORMULA_NAME
from onfold.formula import Formula, NameTable, check_name, read_formula
from onfold.problems import Place, Problem
from onfold.recipe.blanks import WordChoices, read_blank, read_construction, read_value
from onfold.recipe.fields import Fields, Reading, read_entries, read_fields, read_items, read_text, read_word
from onfold.recipe.placed import PlacedStep
from onfold.recipe.step import FormField, Step, formulas_of
from onfold.recipe.yaml_nodes import Entry, Node, Scalar, compose, did_you_mean, place_of, suggestion
from onfold.recipe.yaml_nodes import Mapping as MappingNode
from onfold.units import plain

CLOTH_NAMES: dict[str, str] = {
    "crosswise stretch": "share",
    "lengthwise stretch": "share",
    "cloth thickness": "length",
    "cloth width": "length",
}

_TOP = ("recipe", "title", "licence", "for", "kind", "worn", "note", "choices", "steps", "finish")
_CHOICE = ("default", "least", "most", "of", "ask")
_BESIDE = ("why", "label", "stage")

ChoiceKind = Literal["length", "share", "number", "word"]


@dataclass(frozen=True)
class Choice:
    """What the maker is asked: its default (None: left open), its bounds, or the words it may be."""

    name: str
    kind: ChoiceKind
    default: Formula | None
    least: Formula | None = None
    most: Formula | None = None
    words: tuple[str, ...] = ()
    word: str = ""
    ask: str = ""
    place: Place = field(default_factory=Place)


@dataclass(frozen=True)
class Recipe:
    """A drafting lesson as data. `finish` are its own finishes by seam, `EDGE of PIECE` or `EDGE`."""

    name: str
    title: str
    made_for: Literal["woven", "knit", "any"]
    kind: Literal["block", "garment"]
    worn: Literal["closed", "wrap", "cape", "bag"]
    choices: dict[str, Choice]
    steps: tuple[PlacedStep, ...]
    finish: dict[str, tuple[str, Place]] = field(default_factory=dict)
    licence: str = ""
    note: str = ""
    file: str = ""
    text: str = ""

    @cached_property
    def names_in_steps(self) -> frozenset[str]:
        """The names of values that its steps' formulas use."""
        used = [formula.names_used for placed in self.steps for formula in formulas_of(placed.step)]
        return frozenset().union(*used)

    def names(self, measures: Iterable[str]) -> NameTable:
        """Return the table of names its formulas may use."""
        return name_table(measures, {name: each.kind for name, each in self.choices.items()})


def name_table(measures: Iterable[str], choices: Mapping[str, str | None]) -> NameTable:
    """Return the names a formula may use, figure notes among them; word choices are not."""
    kinds: dict[str, str | None] = {**dict.fromkeys((*measures, *BY_FORMULA_NAME), "length"), **CLOTH_NAMES}
    kinds.update({name: kind for name, kind in choices.items() if kind != "word"})
    return NameTable(kinds)


def read_recipe(
    text: str, file: str, verbs: Mapping[str, type[Any]], measures: Iterable[str]
) -> tuple[Recipe | None, list[Problem]]:
    """Return (recipe, problems). The recipe is None where anything in it stops it from being read."""
    node, problems = compose(text, file)
    reading = Reading(file, text)
    reading.problems.extend(problems)
    if node is None:
        return None, reading.problems
    fields = read_fields(reading, node, "A recipe", _TOP, ("recipe", "title", "for", "steps"))
    if fields is None:
        return None, reading.problems
    measured = list(measures)
    choices, keys = _read_choices(reading, fields.get("choices"), measured)
    names = name_table(measured, {name: each.kind for name, each in choices.items()})
    words = {name: each.words for name, each in choices.items() if each.kind == "word"}
    steps = _read_steps(reading, fields.get("steps"), verbs, names, words)
    _point_at_near_choices(reading, choices, keys, steps)
    made_for = _word(reading, fields, "for", ("woven", "knit", "any"), "any")
    recipe = Recipe(
        _text(reading, fields, "recipe"),
        _text(reading, fields, "title"),
        made_for,  # type: ignore[arg-type]
        _word(reading, fields, "kind", ("block", "garment"), "garment"),  # type: ignore[arg-type]
        _word(reading, fields, "worn", ("closed", "wrap", "cape", "bag"), "closed"),  # type: ignore[arg-type]
        choices,
        steps,
        _read_finish(reading, fields.get("finish")),
        _text(reading, fields, "licence"),
        _text(reading, fields, "note"),
        file,
        text,
    )
    stopped = any(each.severity == "stop" for each in reading.problems)
    return (None if stopped else recipe), reading.problems


def _text(reading: Reading, fields: Fields, key: str) -> str:
    entry = fields.get(key)
    return (read_text(reading, entry.value, f"'{key}'", 2000) or "") if entry else ""


def _word(reading: Reading, fields: Fields, key: str, words: tuple[str, ...], otherwise: str) -> str:
    entry = fields.get(key)
    return (read_word(reading, entry.value, f"'{key}'", words) or otherwise) if entry else otherwise


def _read_finish(reading: Reading, entry: Entry | None) -> dict[str, tuple[str, Place]]:
    found: dict[str, tuple[str, Place]] = {}
    for each in read_entries(reading, entry.value, "'finish'", "{hem: single turned 40 mm}") or () if entry else ():
        text = read_construction(reading, each.value, f"The finish of '{plain(each.key.text)}'")
        if text is not None:
            found[each.key.text] = (text, place_of(each.value, reading.file))
    return found


def _read_choices(
    reading: Reading, entry: Entry | None, measures: list[str]
) -> tuple[dict[str, Choice], dict[str, Scalar]]:
    """Return the choices and the key of each in the file."""
    if entry is None:
        return {}, {}
    blanks: dict[str, Fields] = {}
    marks: dict[str, Scalar] = {}
    for each in read_entries(reading, entry.value, "'choices'", "{length: {default: 60 cm}}") or ():
        name = each.key.text
        reason = check_name(name)
        if reason is None and (name in CLOTH_NAMES or name in measures or name in BY_FORMULA_NAME):
            reason = "it is the name of a measure, of a figure note or of the cloth"
        if reason is not None:
            reading.fault("VALUE-WRONG", each.key, f"A choice cannot be called '{plain(name)}': {reason}.")
            continue
        fields = read_fields(reading, each.value, f"The choice '{name}'", _CHOICE, ("default",))
        if fields is not None and "default" in fields:
            blanks[name], marks[name] = fields, each.key
    names = name_table(measures, {name: "word" if "of" in each else None for name, each in blanks.items()})
    kinds = {name: _kind_of(each, names) for name, each in blanks.items()}
    table = name_table(measures, kinds)
    read = {name: _read_choice(reading, name, blanks[name], kinds[name], table, marks[name]) for name in blanks}
    return read, marks


def _point_at_near_choices(
    reading: Reading, choices: dict[str, Choice], keys: dict[str, Scalar], steps: tuple[PlacedStep, ...]
) -> None:
    """Note at each choice that no formula uses how near it is to a name that a formula misses: one is misspelt."""
    missing = {each.found: each.where.line for each in reading.problems if each.code in ("FORMULA-NAME", "VALUE-WRONG")}
    if not missing:
        return
    used = {
        name
        for each in choices.values()
        for bound in (each.default, each.least, each.most)
        if bound is not None
        for name in bound.names_used
    }
    for placed in steps:
        used |= {name for formula in formulas_of(placed.step) for name in formula.names_used}
        used |= {value for each in placed.step.form if isinstance(value := getattr(placed.step, each.attribute), str)}
    for name in [each for each in choices if each not in used]:
        asked = next((each for each in missing if did_you_mean(each, [name])), "")
        if asked:
            reading.fault(
                "FORMULA-NAME",
                keys[name],
                f"No formula uses the choice '{name}', and line {missing[asked]} asks for '{asked}'.",
                found=name,
                expected=asked,
                remedy="One of the two is misspelt: give both one name.",
            )


def _kind_of(fields: Fields, names: NameTable) -> str | None:
    """Return what a choice is: a word where words are listed, else the kind of its bounds or of its default."""
    if "of" in fields:
        return "word"
    for key in ("least", "most", "default"):
        value = fields[key].value if key in fields else None
        if isinstance(value, Scalar):
            read = read_formula(value.text.strip(), names)
            if isinstance(read, Formula) and read.kind is not None:
                return read.kind
    return "length"


def _read_choice(
    reading: Reading, name: str, fields: Fields, kind: str | None, names: NameTable, key: Scalar
) -> Choice:
    place = place_of(key, reading.file)
    ask = read_text(reading, fields["ask"].value, f"The question of '{name}'") or "" if "ask" in fields else ""
    default = fields["default"].value
    if kind == "word":
        items = read_items(reading, fields["of"].value, f"The words of '{name}'", "[crossed, straight]")
        words = tuple(word.lower() for word in (read_text(reading, item, "A word") for item in items) if word)
        word = read_word(reading, default, f"The choice '{name}'", words) or ""
        return Choice(name, "word", None, words=words, word=word, ask=ask, place=place)
    read = {
        key: read_value(reading, fields[key].value, kind, names, f"'{key}' of '{name}'")
        for key in ("least", "most")
        if key in fields
    }
    is_open = isinstance(default, Scalar) and default.text.strip() == "none"
    value = None if is_open else read_value(reading, default, kind, names, f"The choice '{name}'")
    return Choice(name, kind or "length", value, read.get("least"), read.get("most"), ask=ask, place=place)  # type: ignore[arg-type]


def _read_steps(
    reading: Reading,
    entry: Entry | None,
    verbs: Mapping[str, type[Any]],
    names: NameTable,
    words: WordChoices,
) -> tuple[PlacedStep, ...]:
    if entry is None:
        return ()
    example = "a list of '- begin piece: {name: front}' lines"
    placed = [
        read_step(reading, item, verbs, names, words) for item in read_items(reading, entry.value, "'steps'", example)
    ]
    if not placed and not any(each.severity == "stop" for each in reading.problems):
        reading.fault("VALUE-EMPTY", entry.value, "A recipe needs its steps.", found="no steps", expected=example)
    return tuple(each for each in placed if each is not None)


def read_step(
    reading: Reading,
    node: Node,
    verbs: Mapping[str, type[Any]],
    names: NameTable,
    words: WordChoices,
) -> PlacedStep | None:
    """Return one step of a recipe, or None with its problems."""
    entries = read_entries(reading, node, "A step", "begin piece: {name: front}")
    if entries is None:
        return None
    beside: dict[str, str] = {}
    verb: Entry | None = None
    for each in entries:
        key = each.key.text
        if key in _BESIDE:
            beside[key] = read_text(reading, each.value, f"'{key}'", 1000) or ""
        elif verb is not None:
            reading.fault(
                "KEY-UNKNOWN",
                each.key,
                f"A step is one verb, with 'why', 'label' and 'stage' beside it; '{plain(key)}' is none of these.",
                found=plain(key),
                expected=", ".join(_BESIDE),
                remedy=suggestion(key, [*_BESIDE, *verbs]),
            )
        else:
            verb = each
    if verb is None:
        reading.fault("KEY-MISSING", node, "This step has no verb.", expected="a verb", remedy="Name what to do.")
        return None
    kind = verbs.get(verb.key.text)
    if kind is None:
        said = plain(verb.key.text)
        reading.fault(
            "VERB-UNKNOWN",
            verb.key,
            f"No step is called '{said}'.",
            found=said,
            expected="a verb",
            remedy=suggestion(verb.key.text, list(verbs)) or "The verbs are listed in docs/verbs.md.",
        )
        return None
    reading.step = kind.verb
    made = _filled(reading, verb, kind, names, words)
    reading.step = ""
    if made is None:
        return None
    mark = verb.key.mark
    return PlacedStep(
        made,
        mark.line,
        mark.column,
        beside.get("why", ""),
        beside.get("label", ""),
        beside.get("stage", ""),
        reading.file,
    )


def _filled(reading: Reading, verb: Entry, kind: type[Any], names: NameTable, words: WordChoices) -> Step | None:
    """Return the step with its form filled in, or None with a problem for every blank that is wrong."""
    form: tuple[FormField, ...] = kind.form
    before = len(reading.problems)
    said = f"The step '{kind.verb}'"
    required = tuple(each.name for each in form if each.required)
    value = verb.value
    if isinstance(value, Scalar) and not value.text.strip():
        value = MappingNode((), verb.key.mark)
    fields = read_fields(reading, value, said, [each.name for each in form], required)
    if fields is None:
        return None
    blanks: dict[str, Any] = {}
    for each in form:
        if each.name in fields:
            node = fields[each.name].value
            what = f"'{each.name}' of '{kind.verb}'"
            blanks[each.attribute] = read_blank(reading, node, each, names, words, what)
    if any(each.severity == "stop" for each in reading.problems[before:]) or not all(map(_is_filled, blanks.values())):
        return None
    return kind(**blanks)  # type: ignore[no-any-return]


def _is_filled(value: Any) -> bool:
    return value is not None and not (isinstance(value, tuple) and None in value)
