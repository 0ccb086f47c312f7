"""What can cut, burn or strangle: said at the end of guide and lesson, and where it applies.

Common practice [C] throughout; where the law has a say, the maker is sent to it: nothing here certifies a garment.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from onfold.cloth import Cloth
from onfold.construction import CAUTIONS, cautions_for

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
