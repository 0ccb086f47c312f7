"""What the hands do for darts, tubes, straps, fastenings and folds, in order."""

from __future__ import annotations

from collections.abc import Iterable

from onfold.construction import FinishFault, read_finish
from onfold.making.assembly import edge_of
from onfold.making.fastenings import USUAL_BUTTON, button_places, buttonhole_length
from onfold.making.hands import Hands
from onfold.making.job import Job
from onfold.making.operation import Act, SewnRow
from onfold.making.tubes import Tube

DART_TAIL = 100.0
"""mm of thread ends a dart's point is knotted with, not back-stitched [C]."""
STRAP_END = 10.0
"""mm of a strap's end left to turn under [C]."""
CORNER, END_LEFT, FACING_LEFT = 3.0, 5.0, 4.0
"""mm left beyond the row at a corner that is cut off, a band's closed end, a facing that is turned [C]."""


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
        yield Act("turn", " Or: ".join(f"By {way.name}: {way.do}" for way in ways))
        yield Act("test", "Have " + "; or ".join(", ".join(way.needs) for way in ways) + ".")
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
    name = " and ".join(f"'{mark.name}'" for mark in job.marks)
    said = f"Set the {job.pieces[0]} with its middle on the mark {name} of the {of}, and see that it isn't twisted."
    yield Act("pin", said)
    if last:
        yield Act("cut", f"Cut the spare off, leaving {hands.say(STRAP_END)} beyond the mark found at the try-on.")
        yield Act("fold", "Turn the end under, against the wrong side.")
        yield Act("sew", "Sew round the end, through it and the edge beneath.", row)
        return
    yield Act("sew", "Sew across the end twice, within the allowance.", row)


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
    if lap:
        yield Act(
            "sew",
            f"Let the under side stand out {hands.say(under)} past the line, and sew it close to the zip's teeth.",
            SewnRow("zip row", length, 0.0, under, 3),
        )
        yield Act(
            "sew",
            f"Lay the lap over the zip; sew it {hands.say(lap)} from the line, across the foot of the zip and up.",
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
    else:
        yield from _vent(job, hands)


def _facing(job: Job, hands: Hands) -> Iterable[Act]:
    held = [walk for walk in job.walks if (edge := edge_of(hands.pattern, walk[0])) is not None and edge.allowance > 0]
    length = sum(leaf.length for walk in held for leaf in walk) / 2.0
    roots = list(dict.fromkeys(walk[0].root for walk in held))
    if held:
        deep = max(edge.allowance for walk in held if (edge := edge_of(hands.pattern, walk[0])) is not None)
        yield Act("fold", f"Fold the facing back along its line, right sides together, {' on '.join(roots)}.")
        yield Act(
            "sew",
            f"Sew them together {hands.say(deep)} from the raw edge, easing nothing.",
            SewnRow(_stretchy(hands), length, deep),
        )
        yield Act("trim", f"Trim these allowances to {hands.say(FACING_LEFT)}.")
        yield Act("clip", "Clip into the hollow of the curve, to just short of the stitching.")
        yield Act("turn", "Turn the facing to the inside.")
    else:
        yield Act("fold", "Turn the facing to the inside along its fold line.")
    yield hands.press("soft fold")


def _stretchy(hands: Hands) -> str:
    return "narrow zigzag" if hands.cloth.stretch_across > 0.15 else "straight stitch"


def _vent(job: Job, hands: Hands) -> Iterable[Act]:
    edges = [walk for walk in job.walks if "hem" not in walk[0].edge]
    length = sum(leaf.length for walk in edges for leaf in walk)
    yield Act("neaten", "Neaten the long edges of the vent.", SewnRow("narrow zigzag", length, 2.0, 0.0, 1))
    yield Act(
        "fold",
        "Turn the facing of the upper side along its fold line, over the hem, and lay the under side beneath it.",
    )
    yield Act(
        "sew",
        "Sew across the top of the vent through all layers, slanting down from the seam.",
        SewnRow("straight stitch", 50.0, 0.0, 0.0, 4),
    )
    yield Act("hand sew", "Slip-stitch the facing to the hem.", SewnRow("slip stitch", 80.0, 0.0))
    yield hands.press("as sewn")
