"""What the hands do for darts, tubes, straps, fastenings and folds, in order."""

from __future__ import annotations

from collections.abc import Iterable

from onfold.construction import FinishFault, read_finish
from onfold.geometry.path import nearest
from onfold.making.assembly import Leaf, edge_of
from onfold.making.fastenings import USUAL_BUTTON, button_places, buttonhole_length
from onfold.making.hands import Hands
from onfold.making.job import Job
from onfold.making.laps import lap_at, lap_of
from onfold.making.notions import has_underlap
from onfold.making.operation import Act, SewnRow
from onfold.making.tubes import Tube

STRAP_END, STRAP_LAP, STRAP_ROW = 10.0, 12.0, 5.0
"""mm of a strap's end turned under, laid below the edge, and between its two rows at a fold [C]."""
ON_FOLD = 1.0
"""mm from a fold line within which a mark stands on it."""
VENT_HEM = 10.0
"""mm of a hem left inside a vent's facing [C]."""
ALIKE = 3.0
"""mm within which an edge and its facing are of one length."""
CORNER, END_LEFT, FACING_LEFT, FACING_OUTER = 3.0, 5.0, 4.0, 6.0
"""mm left beyond the row at a corner that is cut off, a band's closed end, a facing that is turned and its outer layer
[C]."""


def _length(job: Job, each: int = 0) -> float:
    return sum(leaf.length for leaf in job.walks[each]) if job.walks else 0.0


def dart_acts(job: Job, hands: Hands) -> Iterable[Act]:
    """A dart is folded on its middle, sewn from the mouth to the point, and pressed to one side."""
    legs = _length(job)
    yield Act("pin", "Fold the dart right sides together, its legs exactly one on the other, and pin across it.")
    yield Act(
        "sew",
        f"Sew from the mouth to the point, {hands.say(legs)}; run the last stitches along the fold and knot the ends.",
        SewnRow("straight stitch", legs * job.times, 0.0),
    )
    yield hands.press("side dart" if "side" in job.name.split() else "dart")


def tube_seam_acts(job: Job, tube: Tube, row: SewnRow, hands: Hands) -> Iterable[Act]:
    """A tube is folded lengthwise, sewn, and trimmed to what lies inside it once it is turned."""
    piece = job.pieces[0]
    if tube.taped:
        yield Act("pin", "Lay a stay tape along the seam line, to be caught in the row.")
    yield Act("fold", f"Fold the {piece} lengthwise along its fold line, right sides together.")
    yield Act("sew", f"Sew it shut, {row.stitch}, {hands.say(row.from_raw)} from the raw edges.", row)
    if tube.reason:
        yield Act("test", tube.reason)
    elif tube.trimmed and tube.trim_to is not None:
        yield Act("trim", f"Trim the allowances to {hands.say(tube.trim_to)}: no more lies inside.")


def turn_acts(job: Job, hands: Hands) -> Iterable[Act]:
    """A tube or a part sewn round is turned right side out."""
    if job.part == "part":
        yield Act("trim", f"Grade the allowances and cut the corners off, {hands.say(CORNER)} from the row.")
        yield Act("clip", "Clip into hollow curves and notch round ones, to just short of the row.")
        yield Act("turn", "Turn it right side out and work the corners out with a blunt point.")
        yield hands.press("fold")
        return
    if job.part == "out":
        yield Act("turn", "Turn the garment right side out through what is still open.")
        yield hands.press("fold")
        return
    tube = hands.tubes.get(job.pieces[0])
    ways = [way for way in tube.ways if way.passes] if tube is not None else []
    if ways:
        yield Act("test", "Have ready " + "; or ".join(", ".join(way.needs) for way in ways) + ".")
        for number, way in enumerate(ways):
            yield Act("turn", f"{'Or by' if number else 'By'} {way.name}: {way.do[:1].lower()}{way.do[1:]}")
    elif tube is not None and tube.reason:
        yield Act("turn", tube.reason)
    else:
        yield Act("turn", "Turn the tube right side out, with a bodkin and thread or a turning hook.")
    yield hands.press("tube")


def attach_acts(job: Job, hands: Hands, last: bool = False) -> Iterable[Act]:
    """A strap is set to its mark; the spare of its last end is cut off once the try-on has shown its length."""
    of = job.pieces[-1]
    width = hands.pattern.facts.get("strap width")
    wide = width.value if width is not None else 15.0
    row = SewnRow("straight stitch", 4.0 * wide * job.times, 5.0, 0.0, 4)
    strap, name = job.pieces[0], " and ".join(f"'{mark.name}'" for mark in job.marks)
    if last:
        beyond = hands.say(STRAP_END + STRAP_LAP)
        yield Act("pin", f"Set the {strap} with its middle on the mark {name} of the {of}, not twisted.")
        yield Act("cut", f"Cut the spare off, leaving {beyond} beyond the length found at the try-on.")
        yield Act("fold", f"Turn {hands.say(STRAP_END)} of it under.")
        yield Act("sew", f"Lay it {hands.say(STRAP_LAP)} below the edge on the wrong side, and sew round its end.", row)
        return
    if _hangs_from_fold(job, hands):
        up = hands.say(STRAP_END)
        yield Act("pin", f"Lay the {of} flat, right side up, its facing above the fold line.")
        yield Act(
            "pin",
            f"Lay the {strap}'s middle on the mark {name}, its raw end {up} up on the facing, its length down over the "
            f"{of}; it is not to be twisted.",
        )
        yield Act("sew", f"Sew across it on the fold line, and again {hands.say(STRAP_ROW)} above.", row)
        yield Act("pin", "Pin its length towards the centre, clear of the edges still to be sewn.")
        return
    yield Act("pin", f"Set the {strap} with its middle on the mark {name} of the {of}, not twisted.")
    yield Act("sew", "Sew across its end twice, within the allowance.", row)


def _hangs_from_fold(job: Job, hands: Hands) -> bool:
    piece = hands.pattern.piece(job.pieces[-1])
    lines = [inner.path for inner in piece.inner if inner.kind == "fold line"] if piece is not None else []
    return any(nearest(path, mark.at).distance <= ON_FOLD for path in lines for mark in job.marks)


def fasten_acts(job: Job, hands: Hands) -> Iterable[Act]:
    """A zip is set behind its lap; buttons get their holes after a trial; ties are sewn on firmly."""
    if job.part == "zip":
        yield from _zip(job, hands)
        return
    if job.part == "buttons":
        yield from _buttons(job, hands)
        return
    yield Act("hand sew", "Sew the ties on firmly, and pull hard at each to test it.")


def _buttons(job: Job, hands: Hands) -> Iterable[Act]:
    length = job.opening.length if job.opening is not None else _length(job)
    places = button_places(length, USUAL_BUTTON)
    hole = buttonhole_length(USUAL_BUTTON)
    yield Act(
        "mark",
        f"Mark {len(places)} buttonholes of {hands.say(hole)}, at "
        + ", ".join(map(hands.say, places))
        + " from the top.",
    )
    yield Act(
        "sew",
        "Work each as on the trial.",
        SewnRow("buttonhole", 2.0 * hole * len(places), 0.0),
    )
    yield Act("buttonhole", "Cut each open from both ends to its middle, a pin across each end.")
    yield Act("hand sew", f"Sew the {len(places)} buttons on, each with a shank as long as the cloth is thick.")


def _zip(job: Job, hands: Hands) -> Iterable[Act]:
    length = _length(job)
    read = read_finish(job.finish, hands.cloth) if job.finish else None
    under = lap = 0.0
    if read is not None and not isinstance(read, FinishFault) and len(read.rows) == 2:
        under, lap = read.rows[0].from_net, read.rows[1].from_net
    yield Act("tack", f"Tack the opening shut on its line, {hands.say(length)}.", SewnRow("tacking", length, 0.0))
    yield hands.press("open")
    yield Act("pin", "Lay the closed zip face down under it, its stop just below the seam that will cross its top.")
    if lap:
        sides = lap_at(hands.pattern.piece(job.pieces[0]))
        worn = f"The {sides.over} laps over the {sides.under}, as worn. " if sides.known else ""
        yield Act(
            "sew",
            f"{worn}Let the {sides.under} stand out {hands.say(under)} past the line, and sew it close to the zip's "
            "teeth.",
            SewnRow("zip row", length, 0.0, under, 3),
        )
        over = sides.over if sides.known else "lap"
        yield Act(
            "sew",
            f"Lay the {over} over the zip; sew it {hands.say(lap)} from the line, across the foot of the zip and up.",
            SewnRow("zip row", length + lap, 0.0, lap, 3),
        )
    else:
        yield Act(
            "sew",
            "Lay the closed zip under the tacked line and sew down both sides and across its foot.",
            SewnRow("zip row", 2.0 * length + 15.0, 0.0, 6.0, 3),
        )
    yield Act("untack", "Take the tacking out, and open and close the zip.")


def ends_acts(job: Job, hands: Hands) -> Iterable[Act]:
    """A band's ends are closed with the band folded right sides together, then turned."""
    sewn = sum(_length(job, n) / (2.0 if job.fold is None or _crosses(job, n) else 1.0) for n in range(len(job.walks)))
    yield Act("fold", "Fold the band along its fold line, right sides together.")
    yield Act("sew", f"Sew the ends shut on their lines{_along(job)}.", SewnRow("straight stitch", sewn, 10.0))
    yield Act("trim", f"Cut the corners off and trim the ends to {hands.say(END_LEFT)}.")


def _crosses(job: Job, number: int) -> bool:
    return "end" in job.walks[number][0].edge


def _along(job: Job) -> str:
    rest = [walk[0].root for walk in job.walks if "end" not in walk[0].edge]
    return f", and along the {' and the '.join(rest)}" if rest else ""


def fold_acts(job: Job, hands: Hands) -> Iterable[Act]:
    """A facing, a band or a vent is turned along its fold line and held."""
    if job.part == "facing":
        yield from _facing(job, hands)
    elif job.part == "band":
        yield Act("turn", "Turn the band right side out along its fold line.")
        yield hands.press("fold")
        yield Act("fold", "Turn the free edge under, so that its fold covers the row just sewn.")
        yield Act(
            "hand sew",
            "Slip-stitch it down on the inside.",
            SewnRow("slip stitch", sum(_length(job, n) for n in range(len(job.walks))), 0.0),
        )
        if has_underlap(hands.pattern.piece(job.pieces[0])):
            lap = lap_of(hands.pattern)
            end = f"end on the {lap.over}" if lap.known else "lapping end"
            said = f"Close the opening, then sew a hook inside the {end} and its bar on the underlap."
            yield Act("hand sew", said)
    else:
        yield from _vent(job, hands)


def _facing(job: Job, hands: Hands) -> Iterable[Act]:
    held = [walk for walk in job.walks if (edge := edge_of(hands.pattern, walk[0])) is not None and edge.allowance > 0]
    roots = list(dict.fromkeys(walk[0].root for walk in held))
    if not held:
        yield Act("fold", "Turn the facing to the inside along its fold line.")
        yield hands.press("soft fold")
        return
    deep = max(edge.allowance for walk in held if (edge := edge_of(hands.pattern, walk[0])) is not None)
    sewn = _shorter(held)
    left = hands.say(FACING_LEFT)
    graded = f"Grade these allowances to {hands.say(FACING_OUTER)} and {left}"
    trimmed = graded if hands.cloth.kind == "woven" else f"Trim these allowances to {left}"
    free = SewnRow("neatening zigzag", _free_length(job, hands), 2.0, 0.0, 1)
    yield Act("neaten", "Neaten the free edge of the facing.", free)
    yield Act("fold", f"Fold the facing back along its line, right sides together, {' on '.join(roots)}.")
    short = "The facing is cut a little short: bring its raw edge out to the other, so that the seam rolls inside"
    yield Act("pin", f"{short}; keep a taped side up.")
    yield Act("sew", f"Sew them together {hands.say(deep)} from the raw edge.", SewnRow(_stretchy(hands), sewn, deep))
    yield Act("trim", f"{trimmed}.")
    yield Act("clip", "Where it pulls, clip into the hollow, to just short of the row and never through a tape.")
    yield Act("turn", "Turn the facing to the inside, and understitch as far as you reach.")
    yield from _rest_of_edge(held, deep, hands)
    yield hands.press("soft fold")


def _shorter(held: list[tuple[Leaf, ...]]) -> float:
    """Return how much of an edge and its facing is sewn together, mm, both sides of the garment."""
    lengths: dict[str, float] = {}
    for walk in held:
        lengths[walk[0].root] = lengths.get(walk[0].root, 0.0) + sum(leaf.length for leaf in walk)
    return min(lengths.values()) if len(lengths) > 1 else sum(lengths.values()) / 2.0


def _rest_of_edge(held: list[tuple[Leaf, ...]], deep: float, hands: Hands) -> Iterable[Act]:
    """Where a facing ends before its edge does, the rest of the edge is turned in by itself."""
    lengths = {walk[0].root: sum(leaf.length for leaf in walk) for walk in held}
    if len(lengths) < 2 or max(lengths.values()) - min(lengths.values()) <= ALIKE:
        return
    edge = max(lengths, key=lambda name: lengths[name])
    rest = max(lengths.values()) - min(lengths.values())
    said = f"The facing ends {hands.say(rest)} before the {edge} does: neaten that rest, snip to the end of the row"
    row = SewnRow(_stretchy(hands), 2.0 * rest, 2.0)
    yield Act("clip", f"{said}, and turn {hands.say(deep)} to the wrong side.")
    yield Act("sew", "Sew it down.", row)


def _free_length(job: Job, hands: Hands) -> float:
    free = [walk for walk in job.walks if (edge := edge_of(hands.pattern, walk[0])) is not None and edge.allowance <= 0]
    return sum(leaf.length for walk in free for leaf in walk)


def _stretchy(hands: Hands) -> str:
    return "narrow zigzag" if hands.cloth.stretch_across > 0.15 else "straight stitch"


def _vent(job: Job, hands: Hands) -> Iterable[Act]:
    lap = lap_at(hands.pattern.piece(job.pieces[0]))
    inside = f"hem of the {lap.over}" if lap.known else "hem"
    yield Act("trim", f"Trim the {inside} that will lie inside the facing to {hands.say(VENT_HEM)} below its edge.")
    worn = ": left over right, as worn" if lap.known else ""
    yield Act(
        "fold",
        f"Turn the facing of the {lap.over} along its fold line, over the hem. Lay the {lap.under} flat beneath "
        f"it{worn}.",
    )
    yield Act(
        "sew",
        "Sew across the top of the vent through all layers, slanting down from the seam.",
        SewnRow("straight stitch", 50.0, 0.0, 0.0, 4),
    )
    yield Act("hand sew", "Slip-stitch the facing to the hem.", SewnRow("slip stitch", 80.0, 0.0))
    yield hands.press("as sewn")
