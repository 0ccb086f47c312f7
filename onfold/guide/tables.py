"""What the guide lists beside the operations: allowances, notions, how the machine is set, how the cloth is handled."""

from __future__ import annotations

from collections.abc import Iterable

from onfold.guide.facts import GuideFacts, Part
from onfold.making.cutting import is_cut_whole
from onfold.making.handling import handling_of
from onfold.making.machine import machine_setting, say_needle
from onfold.making.notions import notions_of, say_notion
from onfold.making.operation import MakingUp
from onfold.making.stitches import CLASS_NAMES, say_setting
from onfold.making.thread import rows_of
from onfold.pattern import Pattern


def allowance_rows(pattern: Pattern, facts: GuideFacts) -> tuple[tuple[str, ...], ...]:
    """Return (piece, edge, allowance, finish) for every edge, leaves of one root together where they are alike."""
    rows: list[tuple[str, ...]] = []
    for piece in pattern.pieces:
        seen: set[tuple[str, ...]] = set()
        for edge in piece.edges:
            if edge.finish == "dart" or (edge.parent is None and edge.name.startswith("dart ")):
                continue
            at_fold = "none, centre line" if is_cut_whole(piece, facts.cloth) else "none, fold"
            said = at_fold if edge.fold else facts.say_small(edge.allowance)
            row = (edge.root, said, edge.finish or "")
            if row not in seen:
                rows.append((piece.name, *row))
            seen.add(row)
    return tuple(rows)


def allowance_parts(pattern: Pattern, facts: GuideFacts) -> list[Part]:
    """Return the table of allowances; nothing without edges."""
    rows = allowance_rows(pattern, facts)
    if not rows:
        return []
    note = "The cut line of the sheets has these allowances; add nothing."
    note += " Figures are taken to the nearest 1/16 in." if facts.units == "in" else ""
    return [Part("table", "Allowances", heads=("Piece", "Edge", "Allowance", "Finish"), rows=rows, note=note)]


def notion_lines(pattern: Pattern, facts: GuideFacts, making: MakingUp) -> list[str]:
    """Return what to have beside the cloth, thread reckoned from every row of the operations, then the maker's own."""
    found = notions_of(pattern, facts.cloth, units=facts.units, rows=rows_of(making.operations))
    own = [f"{each}." for each in facts.notions]
    return [*(say_notion(each, facts.units) for each in found), *own, _tools(facts, making), _BUY]


_BUY = "How much cloth to buy is on lay.pdf ('onfold lay')."


def _tools(facts: GuideFacts, making: MakingUp) -> str:
    """Return the tools this cloth and these operations ask for."""
    handling = handling_of(facts.cloth)
    board = {
        "pile": "a needle board or thick pile, and steam",
        "fingers": "a roller",
    }.get(handling.iron.manner, "an iron, a press cloth and a ham")
    turning = ", a bodkin or a turning hook" if any(each.kind == "turn" for each in making.operations) else ""
    return f"Tools: shears, pins or clips, tacking thread, chalk, a tape{turning}, {board}; and cloth over for scraps."


def machine_parts(facts: GuideFacts, making: MakingUp) -> list[Part]:
    """Return how the machine is set for each stitch of the garment, and where it is sewn; nothing without rows."""
    where: dict[str, list[str]] = {}
    for each in making.operations:
        for act in each.acts:
            if act.row is not None and each.kind != "trial":
                names = where.setdefault(act.row.stitch, [])
                names += [] if each.name in names else [each.name]
    rows = tuple((*_set_for(stitch, facts), _few(names)) for stitch, names in where.items())
    if not rows:
        return []
    note = "Stitch classes are those of ISO 4915. Try each on a scrap before the garment."
    heads = ("Stitch and its class", "Set it", "Needle and foot", "For")
    return [Part("table", "At the machine", heads=heads, rows=rows, note=note, widths=(4, 4, 5, 4))]


def _set_for(stitch: str, facts: GuideFacts) -> tuple[str, str, str]:
    setting = machine_setting(stitch, facts.cloth)
    kind = setting.stitch.stitch
    number = kind.iso_type or str(kind.iso_class)
    named = f"{stitch} ({number}, {CLASS_NAMES[kind.iso_class]})"
    said = say_setting(setting.stitch, facts.units).partition(", ")[2]
    needle = "by hand" if setting.needle is None else f"{say_needle(setting.needle)}; {setting.foot}"
    return named, said, needle


def _few(names: list[str], most: int = 4) -> str:
    """Return some names, and how many more there are."""
    said = ", ".join(names[:most])
    return f"{said} and {len(names) - most} more" if len(names) > most else said


def handling_parts(facts: GuideFacts) -> list[Part]:
    """Return how this cloth is pressed, held, fed and tacked."""
    handling = handling_of(facts.cloth)
    lines = _once(
        (*handling.pressing, *handling.holding, *handling.feeding, *handling.seams, *handling.bulk, *handling.tacking)
    )
    return [Part("bullets", "Handling this cloth", lines=tuple(lines))] if lines else []


def _once(lines: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(lines))
