"""The making-up guide of a garment: its operations, their pictures, and the files that tell them."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import TYPE_CHECKING

from onfold.making.operation import MakingUp
from onfold.making.order import making_up
from onfold.project import Garment, not_taped
from onfold.project_words import beside_the_tables

if TYPE_CHECKING:
    from onfold.drawing import Drawing
    from onfold.guide import GuideFacts

GUIDES = ("guide.pdf", "guide.html", "guide.json")
"""The files a guide is written to."""


@dataclass(frozen=True, eq=False)
class Told:
    """What the files of one guide share: its facts with all pictures, and the operations' drawings by name."""

    facts: GuideFacts
    drawn: dict[str, Drawing]


def making_of(garment: Garment) -> MakingUp:
    """Return the operations of making the garment up, in their order; none where it has no draft."""
    if garment.draft is None or garment.ticket is None:
        return MakingUp(())
    return making_up(garment.draft.pattern, garment.ticket.cloth, garment.ticket.units)


def guide_files(garment: Garment, wanted: Collection[str] = ()) -> dict[str, bytes]:
    """Return the guide's files (or those wanted) by name. The garment has a draft."""
    from onfold.guide import write_guide, write_guide_html
    from onfold.guide.data import write_guide_json

    assert garment.draft is not None
    names = [name for name in GUIDES if not wanted or name in wanted]
    if not names:
        return {}
    pattern, told, found = garment.draft.pattern, told_guide(garment), beside_the_tables(garment)
    makers: dict[str, Callable[[], bytes]] = {
        "guide.pdf": lambda: write_guide(pattern, told.facts, found, told.drawn),
        "guide.html": lambda: write_guide_html(pattern, told.facts, found, told.drawn).encode(),
        "guide.json": lambda: write_guide_json(told.facts.making or MakingUp(()), pattern),
    }
    return {name: makers[name]() for name in names}


def told_guide(garment: Garment) -> Told:
    """Return the facts and pictures of a garment's guide. The garment has a draft."""
    from onfold.guide import KEY, GuideFacts, draw_key, draw_operations, draw_pieces, picture_name
    from onfold.writers.svg import write_svg

    assert garment.draft is not None and garment.ticket is not None
    pattern, ticket = garment.draft.pattern, garment.ticket
    making = making_of(garment)
    drawn = draw_operations(pattern, making, ticket.units, ticket.cloth)
    pictures = {name: write_svg(each) for name, each in draw_pieces(pattern, ticket.units, ticket.cloth).items()}
    pictures |= {picture_name(name): write_svg(each) for name, each in drawn.items()}
    pictures[KEY] = write_svg(draw_key())
    facts = GuideFacts(
        title=ticket.title,
        wearer=ticket.wearer.name,
        date=ticket.date,
        units=ticket.units,
        paper=ticket.paper.text,
        cloth=ticket.cloth,
        figure=ticket.wearer.figure,
        ties="strap width" in pattern.facts,
        not_taped=not_taped(garment),
        pictures=pictures,
        making=making,
    )
    return Told(facts, drawn)
