"""How long making up takes, by the kind of act and by the metre of row: estimates from memory [M], in one table.

No source stands behind these figures. They are a practised maker's, with everything laid ready; a maker who times one
seam of their own does better to scale `PACES` than to trust them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from onfold.cloth import Cloth
from onfold.making.operation import ActKind, Operation
from onfold.making.traits import is_coated, is_pile, is_sheer, is_slippery, is_thick

ESTIMATE = "Times are estimates from memory, not measured: time one seam of your own and scale the rest."


@dataclass(frozen=True)
class Pace:
    """Minutes for one act each time it is done, and for every metre it is done along."""

    each: float = 0.0
    metre: float = 0.0


_ACTS: Mapping[ActKind, Pace] = {
    "sew": Pace(1.0),
    "tack": Pace(1.0),
    "untack": Pace(0.5, 1.0),
    "pin": Pace(0.5, 2.0),
    "trim": Pace(0.5, 1.0),
    "clip": Pace(0.5, 1.5),
    "cut": Pace(3.0, 1.0),
    "cut inlay": Pace(2.0, 1.0),
    "buttonhole": Pace(4.0),
    "press": Pace(1.0, 1.5),
    "steam": Pace(1.0, 2.0),
    "turn": Pace(3.0, 4.0),
    "fold": Pace(1.0, 2.0),
    "mark": Pace(2.0, 0.5),
    "neaten": Pace(1.0, 1.5),
    "hand sew": Pace(2.0),
    "try on": Pace(20.0),
    "test": Pace(10.0),
    "hang": Pace(2.0),
    "wash": Pace(10.0),
    "rest": Pace(0.0),
}

_ROWS: Mapping[str, float] = {
    "straight stitch": 1.5,
    "narrow zigzag": 2.0,
    "neatening zigzag": 2.0,
    "overlock": 1.0,
    "twin needle": 2.5,
    "catch stitch": 15.0,
    "slip stitch": 20.0,
    "tacking": 6.0,
    "machine tacking": 1.0,
    "stay stitching": 1.5,
    "reinforcing": 2.0,
    "easing": 2.0,
    "gathering": 2.0,
    "zip row": 60.0,
    "buttonhole": 60.0,
}

_SLOWER: Mapping[str, float] = {"pile": 1.4, "slippery": 1.3, "sheer": 1.25, "coated": 1.15, "thick": 1.1}


@dataclass(frozen=True)
class Paces:
    """The whole table of times, all of it [M]; `replace` it to put a maker's own in.

    `acts`: minutes by kind of act; hanging, resting and drying take the hands' time alone, not the day they need.
    `rows`: minutes for a metre of row by its stitch; one that is not there is taken as a straight one. `slower`: by
    how much a cloth slows every act; of several the slowest counts whole and each other by half its excess.
    """

    acts: Mapping[ActKind, Pace] = field(default_factory=lambda: _ACTS)
    rows: Mapping[str, float] = field(default_factory=lambda: _ROWS)
    slower: Mapping[str, float] = field(default_factory=lambda: _SLOWER)


PACES = Paces()
LAST_PRESSING = 10.0
"""Minutes that the finished garment is pressed for [M]."""


@dataclass(frozen=True)
class Timed:
    """Minutes of one operation: `hands` in all, of them `rows` at the machine or with the needle."""

    operation: str
    hands: float
    rows: float


def slowness(cloth: Cloth, paces: Paces = PACES) -> float:
    """Return by how much this cloth slows the work, 1 for one that lies still [M]."""
    traits = {
        "pile": is_pile(cloth),
        "slippery": is_slippery(cloth),
        "sheer": is_sheer(cloth),
        "coated": is_coated(cloth),
        "thick": is_thick(cloth),
    }
    excess = sorted((paces.slower.get(name, 1.0) - 1.0 for name, has in traits.items() if has), reverse=True)
    return 1.0 + sum(excess[:1]) + sum(excess[1:]) / 2.0


def minutes_of(operation: Operation, cloth: Cloth, paces: Paces = PACES) -> Timed:
    """Return the minutes of one operation in this cloth [M].

    A row's length counts its repeats already; an act without a row is done along the operation's longest row, and as
    often as the operation is. All that is looked at and noted in one operation counts as one look.
    """
    slow = slowness(cloth, paces)
    along = max((max(0.0, act.row.length) for act in operation.acts if act.row), default=0.0) / 1000.0
    rows, hands = 0.0, LAST_PRESSING if operation.kind == "press" else 0.0
    looks = [act for act in operation.acts if act.kind == "test"]
    for act in operation.acts:
        if act.kind == "test" and act is not looks[0]:
            continue
        usual = paces.acts.get(act.kind, Pace(1.0))
        if act.row is None:
            hands += usual.each * operation.times + usual.metre * along
            continue
        metre = paces.rows.get(act.row.stitch, _ROWS["straight stitch"])
        sewn = metre * max(0.0, act.row.length) / 1000.0
        rows += sewn
        hands += usual.each * operation.times + sewn
    return Timed(operation.name, hands * slow, rows * slow)
