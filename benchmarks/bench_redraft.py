"""A dress of twelve panels, twenty curves each, drafted again to its cut lines after one measure changed."""

from __future__ import annotations

import sys
from dataclasses import replace
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory

from benchmarks.per_curve import Curve, cut_line
from benchmarks.recipes import PANELS, panelled_dress
from benchmarks.timing import Row, least_of, ms
from onfold.pattern import Pattern
from onfold.project import Garment, draft_for, open_ticket
from onfold.recipe.finish import FinishMemory
from onfold.recipe.memory import Memory
from onfold.shelf.ticket import Ticket

BAR = 0.008
TICKET = """ticket: Panelled dress, alto-1
recipe: panelled-dress.yaml
units: cm
wearer:
  name: alto-1
  figure: woman
  measures: {height: 167 cm, bust: 95 cm, waist: 77 cm, hip: 103 cm, waist to hip: 21 cm, shoulder to waist: 44 cm,
    waist to knee: 59 cm}
cloth: {name: twill, kind: woven, width: 150 cm}
"""


def opened() -> Garment:
    """Return the dress's ticket, opened as a maker's would be."""
    with TemporaryDirectory() as folder:
        (Path(folder) / "panelled-dress.yaml").write_text(panelled_dress(), "utf-8")
        (Path(folder) / "ticket.yaml").write_text(TICKET, "utf-8")
        garment = open_ticket(Path(folder) / "ticket.yaml")
    assert garment.readable, [each.says for each in garment.problems]
    return garment


def with_measure(ticket: Ticket, name: str, more: float) -> Ticket:
    """Return the ticket with one measure longer by so many mm."""
    sizes = ticket.wearer.measures
    return replace(ticket, wearer=replace(ticket.wearer, measures={**sizes, name: sizes[name] + more}))


def curves_of(pattern: Pattern) -> list[list[tuple[list[Curve], float]]]:
    """Return each piece's edges as plain Python has them."""
    return [
        [
            ([tuple(map(tuple, each)) for each in edge.path.curves.tolist()], 0.0 if edge.fold else edge.allowance)
            for edge in piece.edges
        ]
        for piece in pattern.pieces
    ]


def rows() -> list[Row]:
    """Return the rows for a measure that reaches every panel at four of its ten levels, and for one at two levels."""
    garment = opened()
    ticket, recipe = garment.ticket, garment.recipe
    assert ticket is not None and recipe is not None
    memory, finish_memory = Memory(), FinishMemory()
    pattern = draft_for(ticket, recipe, memory, finish_memory).pattern
    counts = [sum(len(edge.path.curves) for edge in piece.edges) for piece in pattern.pieces]
    assert counts == [20] * PANELS, counts
    plain = curves_of(pattern)
    rival = least_of(lambda: [cut_line(edges) for edges in plain], 20)
    more = count(1)
    found = []
    for name in ("hip", "waist"):
        taken = least_of(
            lambda name=name: draft_for(  # type: ignore[misc]
                with_measure(ticket, name, 1.3 * next(more)), recipe, memory, finish_memory
            ),
            200,
        )
        what = f"{PANELS} panels redrafted, '{name}' changed ({memory.run_again} of {len(recipe.steps)} steps)"
        beside = f"curve by curve {ms(rival)} for the cut lines alone: {rival / taken:.1f} times"
        found.append(Row(what, ms(BAR), ms(taken), taken <= BAR, beside))
    return found


def profiled(changes: int = 30) -> None:
    """Print where the time of a redraft goes."""
    import cProfile
    import pstats

    garment = opened()
    ticket, recipe = garment.ticket, garment.recipe
    assert ticket is not None and recipe is not None
    memory, finish_memory = Memory(), FinishMemory()
    draft_for(ticket, recipe, memory, finish_memory)
    profile = cProfile.Profile()
    profile.enable()
    for more in range(1, changes + 1):
        draft_for(with_measure(ticket, "hip", 0.7 * more), recipe, memory, finish_memory)
    profile.disable()
    pstats.Stats(profile).sort_stats("tottime").print_stats(45)


if __name__ == "__main__":
    if "--profile" in sys.argv:
        profiled()
    else:
        for row in rows():
            print(row)
