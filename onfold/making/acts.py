"""What the hands do for each job, in order: rows with their distances, trims, turns, pressing. One function a kind."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from onfold.construction import Finish, FinishFault, Row, Trim, read_finish, settled
from onfold.making.folds import lies_in_a_band
from onfold.making.hands import Hands
from onfold.making.job import Job
from onfold.making.laps import lap_at
from onfold.making.operation import Act, SewnRow
from onfold.making.parts_acts import (
    attach_acts,
    dart_acts,
    ends_acts,
    fasten_acts,
    fold_acts,
    tube_seam_acts,
    turn_acts,
)
from onfold.making.stays import say_stay
from onfold.making.stops import band_in, ends_at_a_vent, pin_underlap, sewn_only_to, stops_of
from onfold.units import say_list

NEATENING = "neatening zigzag"
GRADED = 6.0
"""mm left of an allowance that is graded, in cloth thick enough to ask for it [C]."""
BY_HAND = frozenset({"catch stitch", "slip stitch"})


def acts_of(job: Job, hands: Hands, tacked: bool = False, last: bool = False) -> tuple[Act, ...]:
    """Return the acts of a job. `tacked`: its seam was tacked for the try-on, and the tacking comes out. `last`: it is
    a strap's second end, which was left longer until the try-on.
    """
    if job.part == "strap":
        return tuple(attach_acts(job, hands, last))
    if job.kind == "sew":
        return tuple(_seam_acts(job, hands, tacked))
    if job.kind == "finish" and job.part != "ends":
        return tuple(_edge_acts(job, hands))
    makers: Mapping[str, Callable[[Job, Hands], Iterable[Act]]] = {
        "dart": dart_acts,
        "turn": turn_acts,
        "fasten": fasten_acts,
        "fold": fold_acts,
        "finish": ends_acts,
    }
    finish = finish_of(job, hands) if job.finish else None
    cut_back = inlay_acts(finish, hands) if isinstance(finish, Finish) and finish.inlay > 0.0 else ()
    return (*cut_back, *makers[job.kind](job, hands))


def sewn_length(job: Job) -> float:
    """Return how much is sewn along a job's edges in one row, mm, all its repeats together."""
    per_walk = [sum(each.length for each in walk) for walk in job.walks]
    if job.kind != "sew":
        return sum(per_walk)
    firsts = per_walk[::2]
    return sum(firsts) * max(1.0, job.times / max(1, len(firsts)))


def finish_of(job: Job, hands: Hands) -> Finish | FinishFault:
    """Return the construction as read for this cloth."""
    read = read_finish(job.finish, hands.cloth)
    return read if isinstance(read, FinishFault) else settled(read, hands.cloth)


def _seam_acts(job: Job, hands: Hands, tacked: bool) -> Iterable[Act]:
    finish = finish_of(job, hands)
    if isinstance(finish, FinishFault):
        yield Act("sew", f"Right sides together, sew on the seam line: {job.finish or 'as you are used to'}.")
        return
    tube = hands.tubes.get(job.pieces[0]) if len(job.pieces) == 1 else None
    if tube is not None and finish.rows:
        yield from tube_seam_acts(job, tube, _row(finish.rows[0], job), hands)
        return
    inlay = finish.inlay > 0.0
    if inlay:
        yield from inlay_acts(finish, hands)
    elif tacked and finish.kind in ("french", "felled", "bound"):
        yield Act("untack", "Chalk the line found at the try-on, and take the tacking out.")
    elif tacked:
        usual = f"{hands.say(finish.rows[0].from_raw)} from the raw edge"
        yield Act("mark", f"Chalk the line found at the try-on and sew on it; where nothing changed, {usual}.")
    if inlay or not tacked or finish.kind in ("french", "felled", "bound"):
        yield from _matching(job, hands)
    if band_in(job, hands) is not None:
        yield pin_underlap(hands)
    ends = stops_of(job, hands)
    if ends:
        yield Act("mark", f"Mark {say_list(ends)}.")
    vent = ends_at_a_vent(job, hands)
    for act in _SEWN[finish.kind](job, finish, hands):
        first = act.kind == "sew" and bool(ends)
        yield sewn_only_to(act, ends) if first else act
        ends = () if first else ends
        if act.kind == "sew" and vent:
            vent = False
            under = lap_at(hands.pattern.piece(job.pieces[0])).under
            yield Act(
                "clip",
                f"Clip the allowance of the {under} to the last stitch at the head of the vent, so that the seam opens "
                "above it.",
            )
        if act.kind == "sew" and tacked and not inlay and finish.kind not in ("french", "felled", "bound"):
            yield Act("untack", "Take out the tacking.")


def inlay_acts(finish: Finish, hands: Hands) -> Iterable[Act]:
    """An inlay is cut away once the try-on has shown where the line lies; what the construction uses is left."""
    said = "Chalk the line found at the try-on on every layer, and the balance marks across it; take the tacking out."
    yield Act("mark", said)
    left = f"leaving {hands.say(finish.kept)} beyond that line" if finish.kept > 0.0 else "on that line"
    yield Act("cut inlay", f"Part the layers and cut the inlay of each away, {left}.")


def _matching(job: Job, hands: Hands) -> Iterable[Act]:
    """Return what is matched before the seam is sewn: balance marks, ease or gathers."""
    ease = job.seam.ease if job.seam is not None else 0.0
    edges = {name for piece in job.pieces for name in [piece]}
    notched = any(
        notch.edge in {each.edge for walk in job.walks for each in walk}
        for name in edges
        if (piece := hands.pattern.piece(name)) is not None
        for notch in piece.notches
    )
    if notched:
        yield Act("pin", "Match the balance marks and pin across the seam.")
    if abs(ease) >= 0.5 and job.seam is not None:
        side = job.seam.sides[0 if ease > 0 else 1]
        longer = " and ".join(dict.fromkeys(f"{run.edge} of the {run.piece}" for run in side))
        whole = sum(each.length for each in job.walks[0 if ease > 0 else 1])
        gathered = abs(ease) > 0.15 * max(1.0, whole - abs(ease))
        word = "Gather" if gathered else "Ease"
        yield Act("pin", f"{word} in {hands.say(abs(ease))} of the {longer}, between the marks.")


def _row(row: Row, job: Job, layers: int = 2) -> SewnRow:
    return SewnRow(row.stitch, sewn_length(job), row.from_raw, row.from_net, layers)


def _trims(trims: Iterable[Trim], hands: Hands) -> Iterable[Act]:
    for trim in trims:
        what = "one allowance" if trim.sides == "one" else "both allowances"
        yield Act("trim", f"Trim {what} to {hands.say(trim.left)}.")


def _plain(job: Job, finish: Finish, hands: Hands) -> Iterable[Act]:
    row = finish.rows[0]
    yield Act(
        "sew", f"Right sides together, {row.stitch}, {hands.say(row.from_raw)} from the raw edge.", _row(row, job)
    )
    if lies_in_a_band(hands.pattern, job.pieces):
        yield from _graded(job, finish, hands)
        return
    yield Act("neaten", "Neaten both raw edges.", SewnRow(NEATENING, 2.0 * sewn_length(job), 2.0, 0.0, 1))
    yield hands.press("open")


def _graded(job: Job, finish: Finish, hands: Hands) -> Iterable[Act]:
    left = min(finish.kept, GRADED)
    if left < finish.kept and hands.handling.bulk:
        said = f"Grade the allowances: the one to lie outside keeps its width, the other {hands.say(left)}."
        yield Act("trim", said)
    yield hands.press("toward the band")


def _knit_seam(job: Job, finish: Finish, hands: Hands) -> Iterable[Act]:
    row = finish.rows[0]
    said = f"Right sides together, {row.stitch}, {hands.say(row.from_raw)} from the raw edge"
    stretch = ", without pulling the cloth" if hands.cloth.stretch_across > 0 else ""
    yield Act("sew", f"{said}{stretch}.", _row(row, job))
    if finish.kind == "overlocked":
        yield Act("trim", "The knife trims and the threads neaten in the same pass.")
    yield from _trims(finish.trims if finish.kind != "overlocked" else (), hands)
    if finish.kind != "overlocked" and hands.cloth.kind == "woven":
        yield Act("neaten", "Neaten both raw edges together.", SewnRow(NEATENING, sewn_length(job), 2.0))
    yield hands.press("to one side")


def _french(job: Job, finish: Finish, hands: Hands) -> Iterable[Act]:
    first, second = finish.rows
    yield Act(
        "sew",
        f"Wrong sides together, sew the first row, {first.stitch}, {hands.say(first.from_raw)} from the raw edge.",
        _row(first, job),
    )
    yield from _trims(finish.trims, hands)
    yield hands.press("fold")
    yield Act("fold", "Turn right sides together, the row just sewn exactly on the fold.")
    yield Act(
        "sew",
        f"Sew the second row, {second.stitch}, {hands.say(first.from_net)} from the fold: it lies on the "
        "seam line and encloses the raw edges.",
        _row(second, job, 4),
    )
    yield hands.press("to one side")


def _felled(job: Job, finish: Finish, hands: Hands) -> Iterable[Act]:
    first, second = finish.rows
    yield Act(
        "sew", f"Right sides together, {first.stitch}, {hands.say(first.from_raw)} from the raw edge.", _row(first, job)
    )
    yield from _trims(finish.trims, hands)
    yield Act("fold", "Fold the wider allowance in over the trimmed one, and lay both to the same side.")
    yield hands.press("as sewn")
    yield Act(
        "sew",
        f"Sew the second row, {second.stitch}, along the fold, {hands.say(second.from_net)} from the first.",
        _row(second, job, 4),
    )


def _bound(job: Job, finish: Finish, hands: Hands) -> Iterable[Act]:
    if len(finish.rows) > 1:
        row = finish.rows[0]
        yield Act(
            "sew", f"Right sides together, {row.stitch}, {hands.say(row.from_raw)} from the raw edge.", _row(row, job)
        )
        yield hands.press("open")
    binding = finish.rows[-1]
    times = 2.0 if len(finish.rows) > 1 else 1.0
    strip = SewnRow(binding.stitch, 2.0 * times * sewn_length(job), binding.from_raw, binding.from_net, 3)
    yield Act(
        "sew",
        f"Bind the raw edge: sew the strip {hands.say(binding.from_raw)} in, turn it over and stitch in the ditch.",
        strip,
    )


def _on_the_line(job: Job, finish: Finish, hands: Hands) -> Iterable[Act]:
    yield Act(
        "sew",
        f"Right sides together, sew {hands.say(finish.kept)} from the raw edge.",
        SewnRow(finish.stitch or "straight stitch", sewn_length(job), finish.kept),
    )
    yield hands.press("to one side")


_SEWN: Mapping[str, Callable[[Job, Finish, Hands], Iterable[Act]]] = {
    "plain": _plain,
    "overlocked": _knit_seam,
    "narrow zigzag": _knit_seam,
    "french": _french,
    "felled": _felled,
    "bound": _bound,
    "lapped zip": _on_the_line,
    "folded facing": _on_the_line,
    "double turned": _on_the_line,
    "single turned": _on_the_line,
    "raw": _on_the_line,
}


def _edge_acts(job: Job, hands: Hands) -> Iterable[Act]:
    finish = finish_of(job, hands)
    if isinstance(finish, FinishFault):
        yield Act("neaten", f"Finish the edge: {job.finish}.")
        return
    if finish.inlay > 0.0:
        yield from inlay_acts(finish, hands)
    if job.part == "hem":
        below = hands.say(finish.kept)
        yield Act("cut", f"Cut the edge even, {below} below the line marked from the floor, all round.")
    yield from _EDGED[finish.kind](job, finish, hands)


def _elastics(job: Job, hands: Hands) -> list[Act]:
    edges = {(each.piece, each.root) for walk in job.walks for each in walk}
    return [
        Act("sew", say_stay(stay, hands.units), SewnRow(NEATENING, stay.length, 3.0, 0.0, 1))
        for stay in hands.stays
        if stay.kind == "elastic" and (stay.piece, stay.edge) in edges
    ]


def _neaten_alone(job: Job, finish: Finish, hands: Hands) -> Iterable[Act]:
    """An edge in no seam is neatened, and what was allowed beyond its line turned in, over an elastic if it has one."""
    stitch = finish.stitch if finish.kind == "overlocked" else NEATENING
    yield Act("neaten", "Neaten the raw edge.", SewnRow(stitch, sewn_length(job), 2.0, 0.0, 1))
    yield from _elastics(job, hands)
    if finish.kept <= 0.0 or job.fold is not None:  # what lies beyond a fold line is covered by its turning
        return
    row = SewnRow("narrow zigzag" if hands.cloth.stretch_across > 0.0 else "straight stitch", sewn_length(job), 2.0)
    inside = max(2.0, finish.kept - 2.0)
    yield Act("fold", f"Turn {hands.say(finish.kept)} to the wrong side, on the line.")
    yield Act("sew", f"Sew it down with {row.stitch}, {hands.say(inside)} from the fold.", row)
    yield hands.press("fold")


def _double_turned(job: Job, finish: Finish, hands: Hands) -> Iterable[Act]:
    turn, depth = finish.turns
    row = finish.rows[0]
    yield Act("fold", f"Turn {hands.say(turn)} to the wrong side.")
    yield Act("fold", f"Turn again, {hands.say(depth)}, on the line.")
    yield hands.press("fold")
    yield _hem_row(job, finish, f"close to the inner fold, {hands.say(row.from_net)} from the edge")
    yield hands.press("hem" if job.part == "hem" else "fold")


def _single_turned(job: Job, finish: Finish, hands: Hands) -> Iterable[Act]:
    row = finish.rows[0]
    if len(finish.turns) > 1:
        yield Act("fold", f"Turn the edge under by {hands.say(finish.turns[0])}.")
    else:
        neatened = NEATENING
        if row.stitch != "twin needle":
            said = SewnRow(neatened, sewn_length(job), 2.0, 0.0, 1)
            yield Act("neaten", "Neaten the edge.", said)
    hem = job.part == "hem"
    turned = (
        f"Turn the hem up {hands.say(finish.depth)}" if hem else f"Turn {hands.say(finish.depth)} to the wrong side"
    )
    yield Act("fold", f"{turned} on the line and pin it, the seams on the seams.")
    yield hands.press("fold")
    yield _hem_row(job, finish, f"{hands.say(row.from_net)} from the fold")
    yield hands.press("hem" if hem else "fold")


def _hem_row(job: Job, finish: Finish, where: str) -> Act:
    row = finish.rows[0]
    sewn = SewnRow(row.stitch, sewn_length(job), row.from_raw, row.from_net)
    if row.stitch in BY_HAND:
        return Act("hand sew", f"Sew it by hand with {row.stitch}, {where}, the thread left a little loose.", sewn)
    return Act("sew", f"Sew it with {row.stitch}, {where}.", sewn)


def _turned_in(job: Job, finish: Finish, hands: Hands) -> Iterable[Act]:
    if finish.kept:
        yield Act("fold", f"Turn {hands.say(finish.kept)} to the wrong side.")
    yield hands.press("fold")
    yield Act(
        "hand sew", "Catch it down on the wrong side with slip stitch.", SewnRow("slip stitch", sewn_length(job), 0.0)
    )


def _raw(job: Job, finish: Finish, hands: Hands) -> Iterable[Act]:
    yield Act("test", "Leave the edge as it was cut.")


_EDGED: Mapping[str, Callable[[Job, Finish, Hands], Iterable[Act]]] = {
    "plain": _neaten_alone,
    "overlocked": _neaten_alone,
    "narrow zigzag": _neaten_alone,
    "french": _neaten_alone,
    "felled": _neaten_alone,
    "bound": _bound,
    "lapped zip": _neaten_alone,
    "folded facing": _turned_in,
    "double turned": _double_turned,
    "single turned": _single_turned,
    "raw": _raw,
}
