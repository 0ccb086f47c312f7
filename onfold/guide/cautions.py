"""What can cut, burn or strangle: said at the end of guide and lesson, and where it applies.

Common practice [C] throughout; where the law has a say, the maker is sent to it: nothing here certifies a garment.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from onfold.cloth import Cloth
from onfold.construction import CAUTIONS, cautions_for
from onfold.making.operation import ActKind, Operation

Topic = Literal["cutting", "sewing", "pressing", "children", "rules"]

SHEARS = (
    "Carry shears closed, points down; keep paper shears and cloth shears apart, and both off the table's edge and "
    "out of children's reach."
)
CORDS = (
    "Cords, ties, drawstrings and long straps at the neck, hood or back of a child's garment can catch and strangle. "
    "Many countries forbid or limit them by age: read the local rules before cutting, or fasten another way."
)
SMALL_PARTS = "Small parts that come loose can choke a small child: sew on firmly, and test by pulling."
CHILD_FIRE = (
    "Nightwear and loose clothes for children come under fire rules in many countries: ask before you choose the cloth."
)
RULES = (
    "Local rules and trained practice come before anything said here: for children's clothes, nightwear, stage and "
    "work clothes ask whoever answers for safety. Onfold certifies nothing."
)

_TOPICS: dict[str, Topic] = {
    "blades": "cutting",
    "pins": "sewing",
    "needle": "sewing",
    "bin": "sewing",
    "iron": "pressing",
    "care": "pressing",
    "fibre": "pressing",
    "pile": "pressing",
}


@dataclass(frozen=True)
class Caution:
    """One caution and the work it belongs to."""

    topic: Topic
    text: str


def cautions(cloth: Cloth, figure: str, ties: bool = False) -> list[Caution]:
    """Return the cautions for this cloth and wearer, by topic: cutting, sewing, pressing, children, rules.

    Those about children come for a child's figure; the one on cords also with any garment that has `ties`.
    """
    by_text = {text: topic for key, text in CAUTIONS.items() if (topic := _TOPICS.get(key))}
    found = [Caution("cutting", SHEARS)]
    found += [Caution(by_text.get(text, "sewing"), text) for text in cautions_for(cloth)]
    if figure == "child":
        found += [Caution("children", text) for text in (CORDS, SMALL_PARTS, CHILD_FIRE)]
    elif ties:
        found.append(Caution("children", f"If it is ever worn by a child: {CORDS[0].lower()}{CORDS[1:]}"))
    found.append(Caution("rules", RULES))
    order: tuple[Topic, ...] = ("cutting", "sewing", "pressing", "children", "rules")
    return sorted(found, key=lambda each: order.index(each.topic))


def about(found: list[Caution], topic: Topic) -> list[str]:
    """Return the texts on one topic."""
    return [each.text for each in found if each.topic == topic]


HOT = "Steam and the hot plate burn: keep your hands out of the steam's way, and stand the iron on its heel."
SHARP = "Cut away from the hand that holds; close a rotary blade after every cut."
PINNED = "Pins out before the needle reaches them; the machine is switched off before the needle is changed."
ON_THE_BODY = "Count the pins out and in; ask the wearer to stand still, and take the pins out before it is pulled off."
STAGE = (
    "Loose cloth catches fire from candles, lamps and hot lights: where it is worn near any, ask whoever answers for "
    "safety on the stage."
)

_AT: tuple[tuple[frozenset[ActKind], str], ...] = (
    (frozenset({"press", "steam"}), HOT),
    (frozenset({"cut", "trim", "clip", "cut inlay", "buttonhole"}), SHARP),
    (frozenset({"sew"}), PINNED),
    (frozenset({"try on"}), ON_THE_BODY),
)


def cautions_at(operation: Operation, figure: str, before: frozenset[str] = frozenset()) -> tuple[str, ...]:
    """Return what can hurt in this operation, where it is first done; what stands in `before` was said already.

    A caution under every step is read under none [C]; all of them stand at the end of the guide too (T140).
    """
    kinds = {act.kind for act in operation.acts}
    found = [text for own, text in _AT if own & kinds and text not in before]
    if operation.kind in ("attach", "turn") and figure == "child":
        found.append(CORDS)
    if operation.kind == "press" and STAGE not in before:
        found.append(STAGE)
    return tuple(found)
