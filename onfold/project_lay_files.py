"""The drawn files of a lay: `lay.svg`, the whole of it, and `lay.pdf`, its pages to scale."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from onfold.lay.bed import has_repeat
from onfold.lay.buy import say_bought, say_buy, say_cost
from onfold.lay.facts import LayFacts
from onfold.lay.page import lay_pages
from onfold.lay.picture import draw_lay
from onfold.project import not_taped
from onfold.project_lay import MAIN, Laid, LayAnswer
from onfold.units import say_length
from onfold.writers.pdf import Page, write_pdf
from onfold.writers.svg import write_svg

SCREEN = 5.0
"""lay.svg is drawn at 1 : 5, where letters and lines read well on a screen and on a large sheet."""


def drawn_files(answer: LayAnswer, laid: Laid, stem: str) -> dict[str, bytes]:
    """Return picture and pages of a lay by file name."""
    facts = lay_facts(answer, laid)
    pages = [Page(each.size[0], each.size[1], own=each) for each in lay_pages(laid.lay, facts)]
    names = ", ".join(dict.fromkeys(each.part.name for each in laid.lay.placed))
    described = f"Where each piece lies on the cloth, in millimetres: {names}."
    return {
        f"{stem}.svg": write_svg(draw_lay(laid.lay, facts, SCREEN), described=described).encode(),
        f"{stem}.pdf": write_pdf(pages, title=f"{facts.title}: lay", date=facts.date),
    }


def lay_facts(answer: LayAnswer, laid: Laid) -> LayFacts:
    """Return what picture and pages say beside the lay."""
    tickets = [garment.ticket for garment in answer.garments if garment.ticket is not None]
    first, units = tickets[0], answer.units
    title = first.title if len(tickets) == 1 else f"{len(tickets)} tickets cut together"
    said = say_buy(laid.buy, laid.cloth, first.rates.currency)
    cost = "" if laid.buy.cost is None else say_cost(laid.buy.cost, first.rates.currency)
    there = laid.buy.buy if laid.cloth.at_hand is None else laid.cloth.at_hand
    return LayFacts(
        title=title if laid.material == MAIN else f"{title}: {laid.material}",
        wearers=tuple(dict.fromkeys(ticket.wearer.name for ticket in tickets)),
        date=first.date,
        units=units,
        cloth=laid.cloth,
        buy=tuple(said if laid.buy.cost is None else said[:-1]),
        cost=cost,
        cloth_length=there * (1.0 - laid.cloth.shrinkage_along),
        other_widths=tuple(
            (
                say_length(row["width"], units),
                "–" if row["fold"] is None else "opened out" if row["fold"] == "none" else row["fold"],
                "–" if row["length"] is None else say_length(row["length"], units),
                "too narrow" if row["buy"] is None else say_bought(row["buy"], units),
            )
            for row in laid.widths
        ),
        left=tuple((rest.x, rest.y, rest.length, rest.width) for rest in laid.rests),
        matching=tuple(_matching(laid)) if has_repeat(laid.cloth) else (),
        not_taped=tuple(dict.fromkeys(name for garment in answer.garments for name in not_taped(garment))),
    )


def _matching(laid: Laid) -> Iterator[tuple[float, float, str]]:
    """Yield (x, y, name) of every point of the laid pieces that meets its partner at a seam."""
    for each in laid.lay.placed:
        for match in laid.matches.get(each.part.whose, ()):
            own = [(match.piece, match.point), (match.other, match.meets)]
            for piece, point in dict.fromkeys(own):
                if piece == each.part.piece:
                    x, y = (np.array(point) @ each.way.matrix.T + (each.x, each.y)).tolist()
                    yield x, y, match.seam
