"""The causes of one thing seen, ranked by this draft's figures, each with its change written in the maker's units."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import ceil, floor

from onfold.body.figure_notes import BY_FORMULA_NAME
from onfold.body.measures import measure
from onfold.fitting.change import Change
from onfold.fitting.naming import say_amount, say_named
from onfold.fitting.observation import Blank, Cause, Observation, in_order
from onfold.fitting.values import Values, formula_kind
from onfold.formula import Formula, FormulaFault, evaluate
from onfold.formula.tree import Name, inner_nodes
from onfold.recipe.yaml_writing import write_item
from onfold.steps import VERBS
from onfold.units import UNITS, System, capital

_LEAST_KEPT = 0.02
"""A change of which the bounds leave less than this part is none."""

Bounds = tuple[float | None, float | None]


@dataclass(frozen=True, eq=False)
class Ranked:
    """A cause as it stands in one draft. `weight` is above 0; the higher, the likelier.

    `change` is as written in a ticket's fitting; a measure to be taken again has no value in it yet ('').
    `says` what to do, `why` the figures of this draft that spoke for it, `held` what bounds cut off, else ''.
    """

    cause: Cause
    weight: float
    change: Change
    says: str
    why: str
    held: str = ""


@dataclass(frozen=True)
class _Asking:
    """A draft's values with those of one change beside them: `by`, and `new NAME`."""

    draft: Values
    more: Mapping[str, float]

    def value(self, name: str) -> float | None:
        found = self.more.get(name)
        return self.draft.value(name) if found is None else found

    def point(self, name: str) -> None:
        return None

    def point_names(self) -> tuple[str, ...]:
        return ()

    def edge_length(self, edge: str, piece: str) -> float | None:
        return self.draft.edge_length(edge, piece)

    def edge_names(self, piece: str) -> tuple[str, ...]:
        return tuple(self.draft.edge_names(piece))

    def piece_names(self) -> tuple[str, ...]:
        return tuple(self.draft.piece_names())


@dataclass(frozen=True)
class _Made:
    """A change with its values: `more` are `by` and `new NAME`, `kept` the part of it that bounds leave."""

    change: Change
    more: dict[str, float]
    kept: float = 1.0
    held: str = ""


def applicable(observations: Iterable[Observation], values: Values) -> tuple[Observation, ...]:
    """Return the observations that this draft can give a cause for, in the order in which a fitting looks."""
    return in_order(each for each in observations if ranked(each, values))


def ranked(
    observation: Observation, values: Values, units: System = "cm", by: float | None = None
) -> tuple[Ranked, ...]:
    """Return the causes that this draft leaves possible, the likeliest first, ties in the file's order.

    `by` is what the maker pinned out or let out, mm, in place of each cause's usual amount; where that is no length,
    or `by` is not above 0, the usual amount stands. A cause that asks for a name this draft lacks, that its figures
    rule out, or whose change would change nothing, is left out; one that the recipe's bounds cut short ranks lower by
    as much. None left: the observation does not apply to this garment.
    """
    if not all(_has(name, values) for name in observation.needs):
        return ()
    found = [_ranked(cause, values, units, by) for cause in observation.causes]
    return tuple(sorted((each for each in found if each is not None), key=lambda each: -each.weight))


def _has(name: str, values: Values) -> bool:
    return name in values.known or name in values.words


def _ranked(cause: Cause, values: Values, units: System, by: float | None) -> Ranked | None:
    if not all(_has(name, values) for name in cause.needs):
        return None
    weight = _value(cause.likely, values, {})
    made = _made(cause, values, units, by) if weight is not None and weight > 0.0 else None
    if made is None or weight is None:
        return None
    says = _said(cause, values, made.more, units)
    if says is None:
        return None
    return Ranked(cause, weight * made.kept, made.change, says, _why(cause, values, units), made.held)


def _value(formula: Formula, values: Values, more: Mapping[str, float]) -> float | None:
    """Return a formula's value; None where this draft lacks a name, or has one of another kind, or it has no value."""
    for node in inner_nodes(formula.tree):
        if isinstance(node, Name) and node.name not in more:
            kind = values.kinds.get(node.name)
            if kind is None or (node.kind == "length") != (formula_kind(kind) == "length"):
                return None
    found = evaluate(formula, _Asking(values, more))
    return None if isinstance(found, FormulaFault) else found


def _amount(cause: Cause, values: Values, by: float | None) -> dict[str, float] | None:
    """Return {by: the amount}, empty for a cause without one; None where it has no value or leaves nothing to do."""
    if cause.by is None:
        return {}
    usual = _value(cause.by, values, {})
    amount = by if by is not None and by > 0.0 and cause.by.kind == "length" else usual
    return {"by": amount} if amount is not None and amount > 0.0 else None


def _made(cause: Cause, values: Values, units: System, by: float | None) -> _Made | None:
    """Return the change with its values; None where there is nothing to change or a value is not to be had."""
    more = _amount(cause, values, by)
    if more is None:
        return None
    if cause.kind == "choice":
        return _choices(cause, values, units, more)
    if cause.kind == "figure":
        return _notes(cause, values, units, more)
    if cause.kind == "measure":
        return _Made(Change(measures=dict.fromkeys(cause.measures, "")), more)
    return _steps(cause, values, units, more)


def _choices(cause: Cause, values: Values, units: System, more: dict[str, float]) -> _Made | None:
    words = {name: value for name, value in cause.choices.items() if isinstance(value, str)}
    formulas = {name: value for name, value in cause.choices.items() if isinstance(value, Formula)}
    if any(name not in values.words for name in words) or any(name not in values.bounds for name in formulas):
        return None
    kept = _kept(formulas, values, more)
    if kept < _LEAST_KEPT:
        return None
    wanted = dict(more)
    if "by" in more:
        more = {"by": more["by"] * kept}
    written: dict[str, str] = dict(words)
    changed = any(values.words[name] != word for name, word in words.items())
    held = []
    for name, formula in formulas.items():
        value, asked = _value(formula, values, more), _value(formula, values, wanted)
        kind = _choice_kind(name, formula, values)
        if value is None or asked is None:
            return None
        value, cut = _inside(value, kind, values.bounds[name], units)
        more[f"new {name}"] = value
        written[name] = say_amount(value, kind, units)
        now = values.value(name)
        changed = changed or now is None or say_amount(now, kind, units) != written[name]
        if cut or kept < 1.0:
            held.append(_said_held(name, asked, kind, values.bounds[name], units))
    return _Made(Change(choices=written), more, kept, " ".join(filter(None, held))) if changed else None


def _choice_kind(name: str, formula: Formula, values: Values) -> str:
    return values.kinds.get(name) or formula.kind or "length"


def _kept(formulas: Mapping[str, Formula], values: Values, more: Mapping[str, float]) -> float:
    """Return the part of the amount, 0 to 1, that every choice's bounds leave, by the straight line from none to all.

    1 where there is no amount to cut: then each value is held within its bounds alone.
    """
    kept = 1.0
    if "by" not in more:
        return kept
    for name, formula in formulas.items():
        none, whole = _value(formula, values, {"by": 0.0}), _value(formula, values, more)
        if none is None or whole is None or none == whole:
            continue
        least, most = values.bounds[name]
        bound = most if whole > none else least
        if bound is not None and (whole - bound) * (whole - none) > 0.0:
            kept = min(kept, max(0.0, (bound - none) / (whole - none)))
    return kept


def _inside(value: float, kind: str, bounds: Bounds, units: System) -> tuple[float, bool]:
    """Return a value as it is written, within its bounds, and whether they held it.

    Lengths to 1 mm or 1/16 in, shares to a hundredth; beside a bound to its inner side, so that what is written may be.
    """
    grain = {"length": 1.0 if units == "cm" else UNITS["in"] / 16.0, "share": 0.01}.get(kind, 0.01)
    steps = round(value / grain)
    least, most = bounds
    if most is not None and steps * grain > most + 1e-9:
        steps = floor(most / grain + 1e-9)
    if least is not None and steps * grain < least - 1e-9:
        steps = ceil(least / grain - 1e-9)
    return steps * grain, abs(steps * grain - value) > grain * 0.51


def _said_held(name: str, asked: float, kind: str, bounds: Bounds, units: System) -> str:
    least, most = bounds
    past = [(word, each) for word, each in (("most", most), ("least", least)) if each is not None]
    for word, bound in past:
        if (asked > bound) if word == "most" else (asked < bound):
            held = say_amount(_inside(bound, kind, bounds, units)[0], kind, units)
            return f"{capital(name)}: the recipe drafts at {word} {held}."
    return ""


def _notes(cause: Cause, values: Values, units: System, more: dict[str, float]) -> _Made | None:
    written, held = {}, []
    changed = False
    for name, formula in cause.figure.items():
        note, value = BY_FORMULA_NAME.get(name), _value(formula, values, more)
        if value is None or note is None:
            return None
        bounds = (note.least, note.most)
        value, cut = _inside(value, "length", bounds, units)
        more[f"new {name}"] = value
        amount = say_amount(value, "length", units)
        written[note.name] = f"{amount} {note.sense}".rstrip()
        changed = changed or amount != say_amount(values.value(name) or 0.0, "length", units)
        if cut:
            held.append(f"It is noted up to {amount}.")
    return _Made(Change(figure=written), more, held=" ".join(held)) if changed else None


def _steps(cause: Cause, values: Values, units: System, more: dict[str, float]) -> _Made | None:
    """Return the steps with their amounts; None as long as a verb is not one that recipes know."""
    written = []
    for step in cause.steps:
        blanks = _written(step.blanks, values, units, more)
        if step.verb not in VERBS or blanks is None:
            return None
        written.append((step.after, write_item({step.verb: blanks})))
    return _Made(Change(steps=tuple(written)), more)


def _written(blank: Blank | Mapping[str, Blank], values: Values, units: System, more: Mapping[str, float]) -> object:
    """Return a blank as it is written, its formulas as amounts; None where one has no value."""
    if isinstance(blank, str):
        return blank
    if isinstance(blank, Formula):
        value = _value(blank, values, more)
        return None if value is None else say_amount(value, blank.kind or "length", units)
    inner = (
        {key: _written(each, values, units, more) for key, each in blank.items()}
        if isinstance(blank, Mapping)
        else [_written(each, values, units, more) for each in blank]
    )
    each = inner.values() if isinstance(inner, dict) else inner
    return None if any(part is None for part in each) else inner


def _said(cause: Cause, values: Values, more: Mapping[str, float], units: System) -> str | None:
    """Return what is to be done, its amounts in the maker's units; None where one of them has no value."""
    if not cause.says:
        return _take_again(cause.measures)
    said = []
    for part in cause.says:
        value = _value(part, values, more) if isinstance(part, Formula) else 0.0
        if value is None:
            return None
        said.append(say_amount(value, _kind_said(part, values), units) if isinstance(part, Formula) else part)
    return "".join(said)


def _kind_said(formula: Formula, values: Values) -> str:
    """Return how a formula's value is said: a lone name as what it is in this draft, else by the formula's kind."""
    name = formula.text.strip().removeprefix("new ")
    return values.kinds.get(name) or formula.kind or "number"


def _take_again(names: tuple[str, ...]) -> str:
    """Return how the measures are taken, those that are taken alike in one sentence."""
    alike: dict[str, list[str]] = {}
    for name in names:
        entry = measure(name)
        alike.setdefault(entry.how if entry else "", []).append(name)
    return " ".join(f"Take {' and '.join(each)} again: {how[:1].lower()}{how[1:]}" for how, each in alike.items())


def _why(cause: Cause, values: Values, units: System) -> str:
    """Return the figures that the cause was weighed by, in the order in which its formula names them; '' for none."""
    nodes = inner_nodes(cause.likely.tree)
    names = dict.fromkeys(node.name for node in nodes if isinstance(node, Name))
    said = (say_named(each, values.known[each], values.kinds[each], units) for each in names)
    return ", ".join(each for each in said if each)
