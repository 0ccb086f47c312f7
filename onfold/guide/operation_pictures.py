"""The picture of one operation: the cloths as they lie under the hands, and the seam or edge in section beside them.

Everything is drawn from the pieces' own outlines and the construction's own figures. Right sides are plain and wrong
sides hatched in every picture; `draw_key` tells so once.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from onfold.cloth import Cloth
from onfold.construction import Finish, FinishFault, read_finish
from onfold.drawing import Drawing, Stroke, Word, moved_strokes, moved_words
from onfold.guide.pictures import FINER, bar_for, tape_below
from onfold.guide.plan_edges import plan_edge, plan_fasten
from onfold.guide.plan_facing import plan_facing
from onfold.guide.plan_fold import closes_ends, plan_ends, plan_fold
from onfold.guide.plan_parts import plan_attach, plan_dart, plan_mark, plan_turn
from onfold.guide.plan_sewn import Plan, plan_seam
from onfold.guide.plan_worn import plan_worn
from onfold.guide.scene import box_of_scene, paint
from onfold.guide.section_pictures import Sheet, Use, in_a_row, panels_of, stacked
from onfold.guide.section_seams import Panel
from onfold.guide.signs import LETTER
from onfold.lettering import LEAD, width_of, wrapped
from onfold.making.folds import lies_in_a_band
from onfold.making.operation import MakingUp, Operation
from onfold.pattern import Pattern, edges_of
from onfold.units import say_length

Units = Literal["in", "cm"]
WIDE, HIGH = 66.0 * FINER, 46.0 * FINER
"""Drawing mm: the room of one picture, 66 by 46 mm on the page."""
SECTION = 72.0
"""Drawing mm: how wide the section may be where it stands beside the plan."""
_GAP, _FOOT = 7.0, 12.5
_LEAST_ROOM = 30.0
"""Drawing mm: the least room a plan has across and up."""


def draw_operation(pattern: Pattern, operation: Operation, units: Units, cloth: Cloth | None = None) -> Drawing | None:
    """Return the picture of an operation, or None where there is nothing to draw; it never fails on an odd pattern.

    Drawn `FINER` times as large as the guide sets it. `cloth` decides what a finish that states no figures takes.
    """
    finish = finish_of(pattern, operation, cloth)
    steps = plan_facing(pattern, operation) if operation.kind == "fold" else ()
    if steps and (drawn := _step_by_step(steps, units)) is not None:
        strokes, words, wide, high = drawn
        title = f"{operation.name}: {'; '.join(plan.caption for plan in steps)}"
        return Drawing(tuple(strokes), tuple(words), (-1.5, -1.5, wide + 1.5, high + 1.5), title)
    plan = _plan(pattern, operation, finish)
    shown = finish if operation.kind in ("sew", "finish", "fasten") else None
    use = _use_of(pattern, operation)
    panels, section, flat = _section(plan, shown, units, operation.kind != "sew", use)
    parts = _composed(plan, section, flat, units)
    if parts is None:
        return None
    strokes, words, wide, high = parts
    said = [plan.caption] if plan is not None and plan.caption else []
    said += ["in section: " + ", then ".join(panel.shows for panel in panels)] if panels else []
    said += [shown.text] if shown is not None and shown.text else []
    title = f"{operation.name}: {'; '.join(said)}" if said else operation.name
    return Drawing(tuple(strokes), tuple(words), (-1.5, -1.5, wide + 1.5, high + 1.5), title)


def draw_operations(pattern: Pattern, making: MakingUp, units: Units, cloth: Cloth | None = None) -> dict[str, Drawing]:
    """Return the pictures of all operations that have one, by the operation's name."""
    drawn = {each.name: draw_operation(pattern, each, units, cloth) for each in making.operations}
    return {name: drawing for name, drawing in drawn.items() if drawing is not None}


def finish_of(pattern: Pattern, operation: Operation, cloth: Cloth | None) -> Finish | None:
    """Return how an operation's seam or edge is finished: the seam's own words, else those of its first edge."""
    texts = [each.finish or each.construction for each in pattern.seams if each.name == operation.seam]
    for side in operation.sides:
        for run in side:
            piece = pattern.piece(run.piece)
            texts += [edge.finish for edge in edges_of(piece, run.edge)] if piece is not None else []
    for text in texts:
        read = read_finish(text, cloth) if text and text != "dart" else None
        if read is not None and not isinstance(read, FinishFault):
            return read
    return None


def _use_of(pattern: Pattern, operation: Operation) -> Use:
    if operation.kind == "sew" and lies_in_a_band(pattern, operation.pieces):
        return "into the band"
    return "closed end" if closes_ends(pattern, operation) else ""


def _step_by_step(plans: Sequence[Plan], units: Units) -> Sheet | None:
    """Return several plans on one sheet, two beside one another, in their order; an odd one has the width alone."""
    half, last = (WIDE - _GAP) / 2, len(plans) - 1
    rooms = [WIDE if at == last and at % 2 == 0 else half for at in range(len(plans))]
    drawn = [_planned(plan, (room, HIGH), units) for plan, room in zip(plans, rooms, strict=True)]
    sheets = [each for each in drawn if each is not None]
    if not sheets:
        return None
    rows = [sheets[at : at + 2] for at in range(0, len(sheets), 2)]
    strokes, words, y = list[Stroke](), list[Word](), 0.0
    across = max(sum(each[2] for each in row) + _GAP * (len(row) - 1) for row in rows)
    for row in reversed(rows):
        x = 0.0
        for each in row:
            placed = _shifted(each, x, y + max(own[3] for own in row) - each[3])
            strokes += placed[0]
            words += placed[1]
            x += each[2] + _GAP
        y += max(each[3] for each in row) + _GAP
    return strokes, words, across, y - _GAP


def _plan(pattern: Pattern, operation: Operation, finish: Finish | None) -> Plan | None:
    kind = operation.kind
    if kind == "sew":
        row = next((act.row for act in operation.acts if act.row is not None), None)
        first = finish.rows[0].from_net if finish is not None and finish.rows else 0.0
        net = row.from_net if row is not None else first
        enclosed = finish is not None and finish.kind == "french"
        return plan_seam(pattern, operation, net, right_together=not enclosed)
    if closes_ends(pattern, operation):
        return plan_ends(pattern, operation)
    if kind == "finish":
        return plan_edge(pattern, operation, finish)
    if kind == "fasten":
        return plan_fasten(pattern, operation, finish)
    others = {
        "dart": plan_dart,
        "turn": plan_turn,
        "fold": plan_fold,
        "attach": plan_attach,
        "mark": plan_mark,
        "tack": plan_worn,
        "try on": plan_worn,
    }
    make = others.get(kind)
    return make(pattern, operation) if make is not None else None


def _section(
    plan: Plan | None, finish: Finish | None, units: Units, alone: bool, use: Use
) -> tuple[list[Panel], Sheet | None, bool]:
    """Return the stages in section, their sheet, and whether it stands below the plan: where that leaves it larger."""
    panels = panels_of(finish, units, alone, SECTION, use) if finish is not None else []
    if finish is None or not panels:
        return [], None, False
    beside = stacked(panels, 40.0)
    box = (plan.window or box_of_scene(plan.scene)) if plan is not None else None
    if box is None:
        return panels, beside, False
    room = min(SECTION, (WIDE - _GAP * (len(panels) - 1)) / len(panels))
    low_panels = panels_of(finish, units, alone, room, use)
    below = in_a_row(low_panels, _GAP)
    across, up = max(box[2] - box[0], 1e-6), max(box[3] - box[1], 1e-6)
    ratios = [
        min(max(wide, _LEAST_ROOM) / across, max(high - _FOOT, _LEAST_ROOM) / up)
        for wide, high in ((WIDE - beside[2] - _GAP, HIGH), (WIDE, HIGH - below[3] - _GAP))
    ]
    return (low_panels, below, True) if ratios[1] > ratios[0] else (panels, beside, False)


def _composed(plan: Plan | None, section: Sheet | None, flat: bool, units: Units) -> Sheet | None:
    """Return plan and section on one sheet: side by side, or the section below a flat plan."""
    if plan is None:
        return section
    wide, high = WIDE, HIGH
    if section is not None and not flat:
        wide -= section[2] + _GAP
    if section is not None and flat:
        high -= section[3] + _GAP
    drawn = _planned(plan, (max(wide, _LEAST_ROOM), max(high, _LEAST_ROOM)), units)
    if drawn is None:
        return section
    if section is None:
        return drawn
    if flat:
        across = max(drawn[2], section[2])
        low = _shifted(section, (across - section[2]) / 2, 0.0)
        top = _shifted(drawn, (across - drawn[2]) / 2, section[3] + _GAP)
        return [*low[0], *top[0]], [*low[1], *top[1]], across, section[3] + _GAP + drawn[3]
    tall = max(drawn[3], section[3])
    left = _shifted(drawn, 0.0, (tall - drawn[3]) / 2)
    right = _shifted(section, drawn[2] + _GAP, (tall - section[3]) / 2)
    return [*left[0], *right[0]], [*left[1], *right[1]], drawn[2] + _GAP + section[2], tall


def _shifted(sheet: Sheet, dx: float, dy: float) -> Sheet:
    strokes = moved_strokes(sheet[0], dx, dy)
    words = moved_words(sheet[1], dx, dy)
    return strokes, words, sheet[2], sheet[3]


def _planned(plan: Plan, room: tuple[float, float], units: Units) -> Sheet | None:
    """Return a plan with its tape below it and its caption below that."""
    lines = wrapped(plan.caption, max(room[0], 44.0), LETTER) if plan.caption else []
    foot = _FOOT + len(lines) * LETTER * LEAD
    margin = 3.5  # pins, notches and arrows stand out past the cloth
    painted = paint(plan.scene, (room[0] - 2 * margin, room[1] - foot - 2 * margin), plan.window)
    if painted is None:
        return None
    across = max([painted.wide + 2 * margin, *(width_of(each, LETTER) for each in lines)])
    bar = bar_for(painted.ratio, units, min(34.0, max(painted.wide, 18.0)))
    tape, word = tape_below(across / 2, bar * painted.ratio, say_length(bar, units))
    across_all = max(across, bar * painted.ratio)
    drawn: Sheet = (list(painted.strokes), list(painted.words), painted.wide, painted.high)
    strokes, words, _, _ = _shifted(drawn, (across_all - painted.wide) / 2, foot + margin)
    lifted = _shifted((tape, [word], 0.0, 0.0), (across_all - across) / 2, foot)
    below = foot - _FOOT - LETTER * LEAD + 1.8
    captions = [
        Word(each, (across_all / 2, below - k * LETTER * LEAD), LETTER, anchor="middle", layer="picture")
        for k, each in enumerate(lines)
    ]
    return [*strokes, *lifted[0]], [*words, *lifted[1], *captions], across_all, painted.high + foot + 2 * margin
