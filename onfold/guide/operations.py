"""Making up, operation by operation, as parts of the guide: what is done, why here, and what cannot be undone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from onfold.drawing import Drawing
from onfold.guide.cautions import cautions_at
from onfold.guide.cut_cloth import pieces_of
from onfold.guide.facts import Doing, Entry, GuideFacts, Part
from onfold.guide.picture_key import draw_key
from onfold.making.operation import MakingUp, Operation, OtherOrder
from onfold.pattern import Pattern

KEY = "key to the pictures"
"""The name of the key among the guide's pictures."""
_STATES = {"flat": "flat", "round": "in the round"}
_MEANS = (
    "Do them in this order: each stands where it is still easy to reach, and before what would be in its way.",
    "Flat: the edges still lie open on the table. In the round: they close to a ring.",
    "A heavy bar marks what cannot be undone. Stop there, and look once more.",
)


def picture_name(operation: str) -> str:
    """Return the name of an operation's picture among the guide's pictures, apart from those of pieces."""
    return f"operation: {operation}"


def operation_parts(
    making: MakingUp,
    pattern: Pattern,
    facts: GuideFacts,
    pictures: Mapping[str, Drawing],
    times: Mapping[str, float] | None = None,
) -> list[Part]:
    """Return making up as parts: how to read it, the key to the pictures, every operation in its order.

    `pictures` are the drawings by the operation's name (see `draw_operations`); the SVG of each is looked for in
    `facts.pictures` under its `picture_name`, the key's under `KEY`. `times` are minutes by the operation's name.
    Nothing without operations.
    """
    if not making.operations:
        return []
    others = {other.operation: other for other in making.others}
    said: frozenset[str] = frozenset()
    listed = []
    for at, each in enumerate(making.operations):
        warned = cautions_at(each, facts.figure, said)
        said |= frozenset(warned)
        entry = _entry(
            at + 1, each, pattern, facts, pictures.get(each.name), (times or {}).get(each.name), others.get(each.name)
        )
        listed.append(replace(entry, cautions=warned))
    entries = tuple(listed)
    parts = [Part("text", "Making up", lines=_MEANS), _glance(entries, _whole_time(making, times))]
    if KEY in facts.pictures and any(entry.picture for entry in entries):
        parts.append(Part("key", "Key to the pictures", rows=((KEY, draw_key().title),), level=2))
    return [*parts, Part("operations", "", entries=entries, level=2)]


def _glance(entries: tuple[Entry, ...], whole: str) -> Part:
    """Return the order on one table, with a column for times where any is known."""
    timed = any(entry.time for entry in entries)
    heads = ("No.", "Operation", "Edges lie", *(("Time",) if timed else ()))
    rows = tuple(
        (
            str(each.number),
            f"{each.name}, {each.often}" if each.often else each.name,
            each.state,
            *((each.time,) if timed else ()),
        )
        for each in entries
    )
    return Part("table", "The order at a glance", heads=heads, rows=rows, level=2, note=whole)


def _entry(
    number: int,
    operation: Operation,
    pattern: Pattern,
    facts: GuideFacts,
    drawing: Drawing | None,
    minutes: float | None,
    other: OtherOrder | None,
) -> Entry:
    name = picture_name(operation.name)
    drawn = drawing is not None and name in facts.pictures
    return Entry(
        number=number,
        name=operation.name,
        acts=tuple(Doing(act.says, act.no_way_back) for act in operation.acts),
        state=_STATES.get(operation.state, ""),
        often=f"{operation.times} times" if operation.times > 2 else "twice" if operation.times == 2 else "",
        on=_on(pattern, operation),
        why=operation.why,
        first="; ".join(each.removeprefix("trial: ") for each in operation.tried),
        time=say_minutes(minutes) if minutes is not None else "",
        picture=name if drawn else "",
        alt=drawing.title if drawn and drawing is not None else "",
        other=_tell_other(other) if other is not None else (),
    )


def _on(pattern: Pattern, operation: Operation) -> str:
    """Return the pieces an operation works on, `all pieces` where it is every one of several."""
    names = [piece.name for piece in pieces_of(pattern, operation)]
    return "all pieces" if len(names) > 2 and len(names) == len(pattern.pieces) else ", ".join(names)


def _tell_other(other: OtherOrder) -> tuple[str, ...]:
    """Return the lines of the box on another sound order: what was taken, what else could be, why."""
    return tuple(
        f"{word}: {said}"
        for word, said in (("Taken here", other.taken), ("Also sound", other.other), ("Why", other.why))
        if said
    )


def _whole_time(making: MakingUp, times: Mapping[str, float] | None) -> str:
    known = [times[each.name] for each in making.operations if each.name in times] if times else []
    if not known:
        return ""
    told = f"About {say_minutes(sum(known))} in all"
    missing = len(making.operations) - len(known)
    return f"{told}, {missing} operations not counted." if missing else f"{told}."


def say_minutes(minutes: float) -> str:
    """Return a time as it is planned with: to 5 minutes from a quarter of an hour on, hours and minutes from 60."""
    if not 0.0 <= minutes < 1e6:
        return ""
    whole = max(1, round(minutes)) if minutes < 15.0 else 5 * round(minutes / 5.0)
    hours, rest = divmod(whole, 60)
    if not hours:
        return f"{whole} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"
