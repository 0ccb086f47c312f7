"""A lay told in the order it is done: the cloth made ready, each piece with what is measured, cutting, marking, rest.

Common practice [C] throughout; pile after T186 [C]. Nothing here certifies a workroom: local rules come first.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from onfold.cloth import Cloth, one_way, say_guesses, say_width
from onfold.construction import CAUTIONS, fibre_in_doubt
from onfold.lay.facts import CUT, LayFacts
from onfold.lay.measured import Spot, cut_singly, sides_of, spots_of
from onfold.lay.placed import Lay
from onfold.units import plain, say_share

CAUTION_LINES: tuple[str, ...] = (
    "Shears: carry them closed, points down; lay them away from the table's edge and out of children's reach.",
    f"Rotary cutter: cut on a mat and away from yourself. {CAUTIONS['blades']}",
    f"Pins: {CAUTIONS['pins'][0].lower()}{CAUTIONS['pins'][1:]} {CAUTIONS['bin']}",
    "The rules of your own workroom and country, and trained practice, come before anything said here.",
)
"""Said on every output of a lay."""
_TOPS = "All tops to the same end, the right one in the picture"


@dataclass(frozen=True)
class Section:
    """A heading with the lines below it; `marks` stand before the lines (a piece's number), or are empty."""

    heading: str
    lines: tuple[str, ...]
    marks: tuple[str, ...] = ()


def tell_lay(lay: Lay, facts: LayFacts) -> tuple[Section, ...]:
    """Return the whole lay in words, in the maker's units, cautions last."""
    spots = spots_of(lay)
    pieces = tuple(tell_spot(lay, spot, facts) for spot in spots)
    left = tell_left(lay, facts)
    return (
        Section("Make the cloth ready", tuple(tell_cloth(lay, facts))),
        Section("Lay and pin", tuple(_tell_laying(lay, facts, spots))),
        Section("The pieces in their order", pieces, tuple(str(spot.number) for spot in spots)),
        Section("Cut", tuple(_tell_cutting(lay, spots))),
        Section("Mark", tuple(_tell_marking(lay, facts))),
        *([Section("What is left", tuple(left))] if left else []),
        *([Section("Taken as usual", tuple(_tell_guesses(facts)))] if _tell_guesses(facts) else []),
        Section("Cautions", CAUTION_LINES),
    )


def answers_of(lay: Lay, facts: LayFacts) -> list[tuple[str, str]]:
    """Return the answers in short, (what, how much): length, what to buy, share used, cost, what is left."""
    if facts.again:
        return [("takes", say_taken(lay, facts)), ("buy", "nothing: what is left of the cloth holds it")]
    length = facts.say(lay.length)
    if lay.bed.times > 1:
        length += f" of cloth, {facts.say(lay.lies)} as it lies"
    rows = [("length", length)]
    rows += _buying(facts)
    rows += [("used", f"{say_share(round(lay.density, 3))} of the cloth goes into pieces")]
    rows += [("cost", plain(facts.cost, 200))] if facts.cost else []
    if facts.left:
        shown = ", ".join(f"{facts.say(long)} × {facts.say(wide)}" for _, _, long, wide in facts.left[:3])
        more = len(facts.left) - 3
        rows.append(("left", shown + (f" and {more} more" if more > 0 else "")))
    return rows


def say_taken(lay: Lay, facts: LayFacts) -> str:
    """Return what the pieces of a lay take of the cloth, and where along it: `79.4 cm along the cloth by 8 cm …`."""
    along, across, start = taken_of(lay)
    return f"{facts.say(along)} along the cloth by {facts.say(across)} across, {_whence(start, facts)}"


def taken_of(lay: Lay) -> tuple[float, float, float]:
    """Return how much the pieces of a lay take along and across the cloth as it lies, and where that begins, mm."""
    every = np.concatenate(lay.rings)
    (low, near), (high, far) = every.min(axis=0).tolist(), every.max(axis=0).tolist()
    return high - low, far - near, low


def _buying(facts: LayFacts) -> list[tuple[str, str]]:
    """Return what to buy and the sum it comes from, each as a row of its own; what is at hand in one."""
    if not facts.buy:
        return []
    first, *rest = (plain(each, 400) for each in facts.buy)
    if not first.startswith("Buy "):
        return [("have", " ".join((first, *rest)))]
    total = " ".join(each.removeprefix("In it: ") for each in rest)
    return [("buy", first.removeprefix("Buy ")), *([("in it", total)] if total else [])]


def say_cloth(lay: Lay, facts: LayFacts) -> str:
    """Return the cloth, its width after shrinking and how it lies: `wool, 150 cm wide, folded lengthwise`."""
    name = plain(facts.cloth.name) if facts.cloth is not None else "cloth"
    if facts.cloth is None:
        wide = f"{facts.say(lay.bed.width)} wide"
    else:
        wide = f"{say_width(facts.cloth.width, facts.units)} wide"
        if facts.say(facts.cloth.width) != facts.say(lay.bed.width):
            wide = f"{facts.say(lay.bed.width)} wide after shrinking ({wide.removesuffix(' wide')} as bought)"
    return f"{name}, {wide}, {say_fold(lay)}"


def say_fold(lay: Lay) -> str:
    """Return in few words how the cloth lies."""
    side = lay.bed.upward + " up"
    if lay.bed.fold == "none":
        return f"opened out in one layer, {side}"
    if lay.bed.turned:
        return "cut across, one length turned end for end on the other, right sides together"
    how = {"lengthwise": "folded lengthwise", "crosswise": "folded crosswise"}
    return f"{how.get(lay.bed.fold, 'both edges folded to the middle')}, right sides together"


def tell_cloth(lay: Lay, facts: LayFacts) -> list[str]:
    """Return how the cloth is made ready and laid out."""
    cloth = facts.cloth
    if facts.again:
        return [
            f"Lay what is left of the cloth as it lay when the other pieces were cut: {say_fold(lay)}.",
            "All lengths are measured from the end that was squared then, the left one in the picture.",
            "The near side is the lower one in the picture.",
            *_tell_surface(lay, facts),
        ]
    thread = "a course of loops" if cloth is not None and cloth.kind == "knit" else "a thread"
    said = []
    if cloth is not None and not cloth.washed_first:
        said.append("Wash or steam the cloth as the garment will be washed, so that it shrinks now.")
    said.append(_tell_flat(cloth))
    said.append(f"Square one end on {thread}: all lengths are measured from this end, the left one in the picture.")
    if cloth is not None and cloth.kind == "knit":
        said.append("Let it lie relaxed for a day, none of it hanging over the table's edge.")
    said.append(_tell_folding(lay, facts))
    said.append("The near side is the lower one in the picture.")
    return [*said, *_tell_surface(lay, facts)]


def _tell_flat(cloth: Cloth | None) -> str:
    """Return how the cloth is made flat: an iron rests neither on pile nor on coated cloth (T137-T140, T186 [C])."""
    if cloth is None:
        return "Make it flat as the cloth allows, the bolt's crease too; the iron never rests on pile."
    if "pile" in cloth.surface:
        return "Hang it in steam until its creases drop, and let it dry hanging. The iron never rests on it."
    if "coated" in cloth.surface:
        return "Let it lie until its creases have gone; no iron."
    tried = ", at the heat that a scrap has borne" if fibre_in_doubt(cloth) else ""
    return f"Press it flat from the wrong side, the bolt's crease too{tried}."


def _tell_folding(lay: Lay, facts: LayFacts) -> str:
    bed = lay.bed
    if bed.fold == "none":
        return f"Open the cloth out in one layer, {bed.upward} up."
    if bed.turned:
        return (
            f"Cut the cloth straight across into two lengths of {facts.say(_layer_length(lay, facts))} each. Lay one "
            "on the other, right sides together, and turn the upper one end for end, so that the nap runs one way in "
            "both."
        )
    if bed.fold == "crosswise":
        return (
            "Fold the cloth crosswise, right sides together, end to end and selvage on selvage. The fold lies at the "
            f"far end, {facts.say(_layer_length(lay, facts))} from the cut ends."
        )
    if bed.fold == "lengthwise":
        return (
            "Fold the cloth lengthwise, right sides together, selvage to selvage. The fold lies on the far side, "
            f"{facts.say(bed.high)} from the selvages all along."
        )
    return (
        "Fold both edges in to the middle, right sides together, until the selvages meet without lapping. Each fold "
        f"lies {facts.say(bed.high / 2.0)} from the selvages all along."
    )


def _layer_length(lay: Lay, facts: LayFacts) -> float:
    """Return how long one layer is: half the cloth that is bought, or what the lay takes of it."""
    return max(lay.lies, (facts.cloth_length or 0.0) / lay.bed.times)


def _tell_surface(lay: Lay, facts: LayFacts) -> list[str]:
    cloth, surface = facts.cloth, facts.surface
    said = []
    napped = cloth is None or one_way(cloth)
    if lay.bed.one_way:
        said.append(_tell_nap(cloth) if napped else f"{_TOPS} so that the repeat runs one way in all pieces.")
    if "pile" in surface:
        said.append(
            "Pile: one layer, wrong side up, never pile to pile, never on the bolt's crease. Chalk an arrow to the top "
            "on the back of each piece."
        )
    elif lay.bed.one_way:
        said.append("Chalk an arrow to the top on the back of each piece.")
    if "slippery" in surface or "sheer" in surface:
        kind = "Slippery" if "slippery" in surface else "Sheer"
        said.append(
            f"{kind}: pin the cloth to tissue along its edges, hold the pattern with weights, and cut cloth and tissue "
            "together; the fewer layers, the truer the cut."
        )
    if "coated" in surface:
        said.append("Coated: pin holes stay. Use weights or clips, or pin within the allowances.")
    if max(facts.repeats) > 0.0:
        said.append("Stripe or check: the bars are drawn in the picture; set each piece on its bar before pinning it.")
    return said


def _tell_nap(cloth: Cloth | None) -> str:
    nap = cloth.nap if cloth is not None else "none"
    way = {"up": "The nap points to the tops.", "down": "The nap points away from the tops."}
    known = way.get(nap, "Stroke the cloth to find its way, and keep to it.")
    return f"One-way cloth. {_TOPS}. {known}"


def _tell_laying(lay: Lay, facts: LayFacts, spots: tuple[Spot, ...]) -> list[str]:
    said = []
    if facts.again:
        said.append("What is cut already is hatched both ways in the picture: check that the paper lies clear of it.")
    elif any(spot.placed.part.on_fold for spot in spots):
        said.append("Lay and pin first what lies on the fold, its fold edge exactly on it, then go on from the end.")
    else:
        said.append("Begin at the squared end and go on from there, in this order.")
    said.append(
        "Measure both ends of a grain line to the edge that is named: pin one end, swing the piece until the other end "
        "is right, pin that, then smooth the paper out and pin the corners."
    )
    if any(spot.turned_over for spot in spots):
        over = "its printed side down; the picture shows it hatched"
        said.append(f"A piece that is turned over lies with {over}.")
    if any(cut_singly(lay, spot.placed) for spot in spots):
        said.append(
            "A piece cut singly is pinned to the upper layer alone and cut from it alone: fold the lower layer back "
            "out of the way first."
        )
    flaws = dict.fromkeys(name for k in range(len(lay.kept_off)) if (name := facts.flaw(k)) != CUT)
    if flaws:
        said.append(f"Kept clear of: {', '.join(flaws)}. Mark it on the cloth with a thread before you lay anything.")
    return said


def tell_spot(lay: Lay, spot: Spot, facts: LayFacts) -> str:
    """Return one piece in a sentence: how it lies, its grain line's ends from an edge, its nearest point from the end.

    Lengths are those of the piece as it is placed, rounded as `LayFacts.say` rounds.
    """
    near, far = sides_of(lay.bed, spot.placed.band)
    across = far.name if spot.placed.way.top[1] > 0.0 else near.name
    along = "far end" if spot.placed.way.top[0] > 0.0 else "squared end"
    how = {
        "straight": [],
        "turned end for end": ["turned end for end, its top to the squared end"],
        "across": [f"across the cloth, its top to the {across}"],
        "bias": [f"on the bias, its top to the {along} and the {across}"],
    }[spot.lies]
    said = [f"on the {spot.side.name}, which is not cut"] if spot.placed.part.on_fold else []
    said += how
    said += ["turned over, printed side down"] if spot.turned_over else []
    said += ["cut singly, from the upper layer alone"] if cut_singly(lay, spot.placed) else []
    said += [_say_grain(spot, facts), _say_nearest(spot, facts)]
    return f"{spot.name}: {'; '.join(said)}."


def _say_grain(spot: Spot, facts: LayFacts) -> str:
    side = f"from the {spot.side.name}"
    if spot.foot is None:
        return f"its edge {facts.say(spot.across[0])} {side}"
    grain = f"grain line {_both(spot.across, side, facts)}"
    return grain if spot.lies not in ("across", "bias") else f"{grain}, {_both(spot.along, 'from the end', facts)}"


def _both(pair: tuple[float, float], whence: str, facts: LayFacts) -> str:
    foot, head = facts.say(pair[0]), facts.say(pair[1])
    return f"{foot} {whence} at both ends" if foot == head else f"{foot} {whence} at its foot and {head} at its head"


def _say_nearest(spot: Spot, facts: LayFacts) -> str:
    away = facts.say(spot.nearest)
    if away == facts.say(0.0):
        return "nearest point at the end of the cloth"
    return f"nearest point {away} from the end of the cloth"


def _tell_cutting(lay: Lay, spots: tuple[Spot, ...]) -> list[str]:
    said = ["Check every piece and its number before the first cut.", "Cut along the cut lines, with the cloth flat."]
    if any(spot.placed.part.on_fold for spot in spots):
        said.append("Never cut along the fold of a piece that lies on it.")
    if lay.bed.layers > 1 and any(spot.placed.part.layers > 1 for spot in spots):
        said.append("Cut both layers in one go, the lower blade on the table, so that neither creeps.")
    return said


def _tell_marking(lay: Lay, facts: LayFacts) -> list[str]:
    said = ["Before the paper comes off, mark notches, darts and points on every layer, on the wrong side."]
    if facts.matching:
        said.append("The small diamonds in the picture are where partners meet: mark each on both.")
    if lay.bed.upward == "right side":
        said.append("The right side looks up: carry marks over to the wrong side with thread.")
    return said


def tell_left(lay: Lay, facts: LayFacts) -> list[str]:
    """Return what is left, rectangle by rectangle: its length along the cloth, its width, where it lies."""
    layers = " in each layer" if lay.bed.layers > 1 else ""
    return [
        f"{facts.say(long)} along the cloth by {facts.say(wide)} across{layers}, {_whence(x, facts)}."
        for x, _, long, wide in facts.left
    ]


def _whence(x: float, facts: LayFacts) -> str:
    away = facts.say(x)
    return "from the end of the cloth on" if away == facts.say(0.0) else f"beginning {away} from the end"


def _tell_guesses(facts: LayFacts) -> list[str]:
    said: list[str] = []
    if facts.cloth is not None:
        told = tuple(name for name in facts.cloth.guessed if name in ("selvage", "shrinkage"))
        said += say_guesses(replace(facts.cloth, guessed=told, stretch_given=True), facts.units)
    if facts.not_taped:
        said.append(f"Not taped: {', '.join(plain(each) for each in facts.not_taped)}; estimated from the others.")
    return said
