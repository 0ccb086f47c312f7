"""The files of a lay: `lay.json`, `lay.svg`, the whole of it, and `lay.pdf`, its pages to scale; and its words."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from onfold.cloth import say_width
from onfold.lay.bed import SAID, has_repeat
from onfold.lay.buy import say_bought, say_buy, say_cost
from onfold.lay.facts import LayFacts
from onfold.lay.file import lay_data, rows_mark
from onfold.lay.page import A4_LANDSCAPE, LETTER_LANDSCAPE, lay_pages
from onfold.lay.picture import draw_lay
from onfold.lay.placed import Lay
from onfold.lay.stripes import Match
from onfold.project import not_taped
from onfold.project_lay import MAIN, Laid, LayAnswer
from onfold.shelf.ticket import Ticket
from onfold.units import System, say_length
from onfold.writers.pdf import Page, write_pdf
from onfold.writers.svg import write_svg
from onfold.writers.typeset import set_on_letter

SCREEN = 5.0
"""lay.svg is drawn at 1 : 5, where letters and lines read well on a screen and on a large sheet."""


def lay_files(answer: LayAnswer) -> dict[str, bytes]:
    """Return the files of the lays by name: `lay.json`, `lay.svg`, `lay.pdf`; of further materials `lay-MATERIAL.…`."""
    files: dict[str, bytes] = {}
    first = next(garment.ticket for garment in answer.garments if garment.ticket is not None)
    for laid in answer.laid:
        stem = stem_of(laid.material)
        data = lay_data(laid.lay, laid.buy, laid.cloth, laid.material, laid.rests)
        data["found"]["asked"] = laid.asked
        data["folds"], data["widths"] = list(laid.folds), list(laid.widths)
        if laid.alone is not None and laid.saved is not None:
            data["together"] = {"alone": laid.alone, "saved": round(laid.saved, 4)}
        data["found"]["rows"] = rows_mark(data)
        files[f"{stem}.json"] = (json.dumps(data, ensure_ascii=False, indent=1) + "\n").encode()
        files.update(drawn_files(laid.lay, lay_facts(answer, laid), stem, first))
    return files


def stem_of(material: str) -> str:
    """Return what the files of a material's lay are called: `lay`, `lay-lining`."""
    if material == MAIN:
        return "lay"
    word = "".join(char if char.isalnum() else "-" for char in material.lower()).strip("-") or "other"
    return f"lay-{word}"


def said_answers(laid: Laid, units: System, currency: str = "") -> list[str]:
    """Return the answers in words: length, what to buy, density, saving, other folds."""
    lay = laid.lay
    used = f"{lay.density * 100.0:.0f} % of it goes into the pieces"
    said = [f"{say_length(lay.length, units)} of cloth, {SAID[lay.bed.fold]}; {used}."]
    said += say_buy(laid.buy, laid.cloth, currency)
    if laid.saved is not None:
        share = laid.saved / laid.alone * 100.0 if laid.alone else 0.0
        said.append(f"Laid together they take {say_length(laid.saved, units)} less than one by one ({share:.1f} %).")
    whys: dict[str, list[str]] = {}
    for row in laid.folds:
        way = SAID.get(row["fold"], "")
        if row["length"] is None:
            whys.setdefault(str(row["why"]), []).append(way)
        elif row["fold"] != lay.bed.fold:
            said.append(f"{way.capitalize()}: {say_length(row['length'], units)}.")
    said += [f"Not {', nor '.join(ways)}: {why}." for why, ways in whys.items()]
    return list(dict.fromkeys(said))


def drawn_files(lay: Lay, facts: LayFacts, stem: str, ticket: Ticket) -> dict[str, bytes]:
    """Return picture and pages of a lay by file name, the pages of the paper that the ticket is printed on."""
    paper = LETTER_LANDSCAPE if set_on_letter(ticket.paper.text, ticket.units) else A4_LANDSCAPE
    pages = [Page(each.size[0], each.size[1], own=each) for each in lay_pages(lay, facts, paper)]
    names = ", ".join(dict.fromkeys(each.part.name for each in lay.placed))
    described = f"Where each piece lies on the cloth, in millimetres: {names}."
    return {
        f"{stem}.svg": write_svg(draw_lay(lay, facts, SCREEN), described=described).encode(),
        f"{stem}.pdf": write_pdf(pages, title=f"{facts.title}: lay", date=facts.date),
    }


def lay_facts(answer: LayAnswer, laid: Laid) -> LayFacts:
    """Return what picture and pages say beside the lay."""
    tickets = [garment.ticket for garment in answer.garments if garment.ticket is not None]
    first, units = tickets[0], answer.units
    title = first.title if len(tickets) == 1 else f"{len(tickets)} tickets cut together"
    said = say_buy(laid.buy, laid.cloth, first.rates.currency)
    cost = "" if laid.buy.cost is None else say_cost(laid.buy.cost, first.rates.currency)
    return LayFacts(
        title=title if laid.material == MAIN else f"{title}: {laid.material}",
        wearers=tuple(dict.fromkeys(ticket.wearer.name for ticket in tickets)),
        date=first.date,
        units=units,
        cloth=laid.cloth,
        buy=tuple(said if laid.buy.cost is None else said[:-1]),
        cost=cost,
        cloth_length=laid.buy.there,
        other_widths=tuple(
            (
                say_width(row["width"], units),
                "–" if row["fold"] is None else "opened out" if row["fold"] == "none" else row["fold"],
                "–" if row["length"] is None else say_length(row["length"], units),
                "too narrow" if row["buy"] is None else say_bought(row["buy"], units),
            )
            for row in laid.widths
        ),
        left=tuple((rest.x, rest.y, rest.length, rest.width) for rest in laid.rests),
        matching=tuple(matching(laid.lay, laid.matches)) if has_repeat(laid.cloth) else (),
        not_taped=tuple(dict.fromkeys(name for garment in answer.garments for name in not_taped(garment))),
        stops=tuple(
            f"{each.says} What to do: {each.remedy.rstrip('.')}." if each.remedy else each.says
            for each in answer.problems
            if each.severity == "stop"
        ),
    )


def matching(lay: Lay, matches: Mapping[str, Sequence[Match]]) -> Iterator[tuple[float, float, str]]:
    """Yield (x, y, name) of every point of the laid pieces that meets its partner at a seam."""
    for each in lay.placed:
        for match in matches.get(each.part.whose, ()):
            own = [(match.piece, match.point), (match.other, match.meets)]
            for piece, point in dict.fromkeys(own):
                if piece == each.part.piece:
                    x, y = (np.array(point) @ each.way.matrix.T + (each.x, each.y)).tolist()
                    yield x, y, match.seam
