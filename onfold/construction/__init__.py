"""Seam and hem constructions: rows, trims, turns, allowance, give. Cloth in, figures and sentences out."""

from __future__ import annotations

from onfold.construction.kinds import (
    CONSTRUCTIONS,
    NAMES,
    STITCHES,
    USUAL_INLAY,
    WIDEST_INLAY,
    Construction,
    Finish,
    FinishFault,
    Row,
    Stitch,
    Trim,
    takes_inlay,
)
from onfold.construction.reading import read_finish, say_kinds, with_inlay
from onfold.construction.tube import strip_width, tube_room
from onfold.construction.using import (
    CAUTIONS,
    cautions_for,
    encloses,
    fibre_in_doubt,
    give_of,
    is_hem,
    rows_add_up,
    say_finish,
    settled,
    tacking_row,
    turn_of_cloth,
)

__all__ = [
    "CAUTIONS",
    "CONSTRUCTIONS",
    "NAMES",
    "STITCHES",
    "USUAL_INLAY",
    "WIDEST_INLAY",
    "Construction",
    "Finish",
    "FinishFault",
    "Row",
    "Stitch",
    "Trim",
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
    "strip_width",
    "tacking_row",
    "takes_inlay",
    "tube_room",
    "turn_of_cloth",
    "with_inlay",
]
