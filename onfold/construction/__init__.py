"""Seam and hem constructions: rows, trims, turns, allowance, give. Cloth in, figures and sentences out."""

from __future__ import annotations

from onfold.construction.kinds import (
    CONSTRUCTIONS,
    NAMES,
    STITCHES,
    Construction,
    Finish,
    FinishFault,
    Row,
    Stitch,
    Trim,
)
from onfold.construction.reading import read_finish, say_kinds
from onfold.construction.tube import strip_width, tube_room, tube_width
from onfold.construction.using import (
    CAUTIONS,
    allowance_of,
    cautions_for,
    encloses,
    fibre_in_doubt,
    give_of,
    is_hem,
    rows_add_up,
    say_finish,
    settled,
    steps_of,
    turn_of_cloth,
)

__all__ = [
    "CAUTIONS",
    "CONSTRUCTIONS",
    "NAMES",
    "STITCHES",
    "Construction",
    "Finish",
    "FinishFault",
    "Row",
    "Stitch",
    "Trim",
    "allowance_of",
    "cautions_for",
    "encloses",
    "fibre_in_doubt",
    "give_of",
    "is_hem",
    "read_finish",
    "rows_add_up",
    "say_finish",
    "say_kinds",
    "settled",
    "steps_of",
    "strip_width",
    "tube_room",
    "tube_width",
    "turn_of_cloth",
]
