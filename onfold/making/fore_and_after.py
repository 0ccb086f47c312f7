"""What goes before the sewing and what follows it: trials, cloth, cutting, marking; the try-on; hanging, levelling."""

from __future__ import annotations

from collections.abc import Sequence

from onfold.cloth import Cloth, SystemOfUnits
from onfold.making.hands import Hands
from onfold.making.jobs import Job
from onfold.making.operation import Act, Operation, SewnRow
from onfold.pattern import Pattern

FLARED = 1.25
"""Of the hip's girth: from here a hem is flared, and drops where its cloth hangs off the thread [C]."""


def before_sewing(
    pattern: Pattern, cloth: Cloth, units: SystemOfUnits, operations: Sequence[Operation]
) -> list[Operation]:
    """Return the trials, the cloth's preparing, the cutting and the marking."""
    hands = Hands(cloth, units, pattern)
    return [*_trials(operations, hands), *_cloth(pattern, cloth)]


def _trials(operations: Sequence[Operation], hands: Hands) -> list[Operation]:
    kinds = {act.kind for each in operations for act in each.acts}
    found = [
        Operation(
            "cloth trial",
            "trial",
            (
                Act(
                    "test",
                    "Wash or steam a measured square of the cloth as the garment will be washed, and measure it again.",
                ),
                Act("test", "Pull a relaxed 10 cm across and along, let go, and see how far it comes back."),
            ),
            why="Cut cloth cannot be uncut.",
        ),
        Operation(
            "seam trial",
            "trial",
            (
                Act(
                    "sew",
                    "On scraps sew each seam of this guide with its needle, stitch and trimming, and pull it hard.",
                ),
            ),
            why="A trimmed seam cannot be let out.",
        ),
        Operation(
            "pressing trial", "trial", (hands.press("flat"),), why="What heat does to this cloth is seen on a scrap."
        ),
    ]
    if any(each.kind == "turn" for each in operations):
        found.append(
            Operation(
                "turning trial",
                "trial",
                (Act("turn", "Sew and turn a short tube of the strap's width."),),
                why="Too narrow a tube does not turn in a thick cloth.",
            )
        )
    if "buttonhole" in kinds:
        found.append(
            Operation(
                "buttonhole trial",
                "trial",
                (Act("sew", "Sew and open one buttonhole on a scrap with its interfacing, and button it."),),
                why="A cut buttonhole cannot be mended.",
            )
        )
    return found


def _cloth(pattern: Pattern, cloth: Cloth) -> list[Operation]:
    washed = (
        "Check that the cloth was washed, and smooth it."
        if cloth.washed_first
        else ("Wash or steam the cloth as the garment will be washed, so that it shrinks now.")
    )
    acts = [Act("wash", washed), Act("press", "Square the cut ends on a thread, or on a row of stitches in a knit.")]
    if cloth.kind == "knit":
        acts.append(Act("rest", "Let it lie relaxed for a day, none of it hanging over the table's edge."))
    names = tuple(piece.name for piece in pattern.pieces)
    return [
        Operation("the cloth", "prepare", tuple(acts), why="What shrinks or relaxes later spoils the fit."),
        Operation(
            "cutting",
            "cut",
            (
                Act(
                    "test",
                    "Measure the square on the printed sheets, and every grain line to the selvage at both its ends.",
                ),
                Act("cut", "Cut along the cut lines."),
            ),
            pieces=names,
        ),
        Operation(
            "marking",
            "mark",
            (Act("mark", "Mark notches, darts and marks, and pin its label on every piece."),),
            pieces=names,
        ),
    ]


def tack_and_try(names: Sequence[str], jobs: Sequence[Job], pattern: Pattern) -> tuple[Operation, Operation]:
    """Return the tacking of the seams that shape the garment, and the try-on that decides them."""
    by_name = {job.name: job for job in jobs}
    tacked = [by_name[name] for name in names if name in by_name]
    length = sum(sum(leaf.length for leaf in walk) for job in tacked for walk in job.walks[::2])
    said = ", ".join(f"the {job.name}" for job in tacked)
    acts = (
        [Act("tack", f"Tack {said} on the seam line, right sides together.", SewnRow("tacking", length, 0.0))]
        if tacked
        else []
    )
    straps = list(dict.fromkeys(job.pieces[0] for job in jobs if job.part == "strap"))
    acts += [Act("pin", f"Pin the back end of each {name}.") for name in straps]
    acts = acts or [Act("pin", "Pin what is still open.")]
    trial = Operation(
        "try-on",
        "try on",
        (
            Act(
                "try on",
                "On the body, in the day's shoes and underwear: look at balance and grain first, then shoulder and "
                "neck (or waist), bust, back and darts, sides, armholes, lengths.",
            ),
            Act("mark", "Pin what is changed, on both sides, and write it down before it is taken off."),
        ),
        why="From here on seams are trimmed and edges closed.",
    )
    pieces = tuple(dict.fromkeys(piece for job in tacked for piece in job.pieces))
    return Operation("tacking", "tack", tuple(acts), pieces=pieces, why="It is fitted before it is sewn."), trial


def after_sewing(pattern: Pattern, cloth: Cloth, units: SystemOfUnits) -> list[Operation]:
    """Return hanging and levelling, which stand before the hem, and the last pressing."""
    hands = Hands(cloth, units, pattern)
    hemmed = any(edge.root == "hem" for piece in pattern.pieces for edge in piece.edges)
    hang = "Let it hang for 24 to 48 hours." if _drops(pattern) else "Let it hang overnight."
    found = []
    if hemmed:
        found = [
            Operation("hanging", "hang", (Act("hang", hang),), why="The cloth drops where it hangs off the thread."),
            Operation(
                "levelling the hem",
                "level",
                (
                    Act(
                        "try on",
                        "On the wearer, in the day's shoes and underwear, after waist and shoulders are settled.",
                    ),
                    Act("mark", "Mark the hem all round at one height from the floor."),
                ),
                why="A hem is level on the wearer, not on the table.",
            ),
        ]
    return [*found, Operation("last pressing", "press", (hands.press("flat"),), why="")]


def _drops(pattern: Pattern) -> bool:
    """Return whether the cloth hangs off its thread somewhere: cut on the bias, or flared at the hem."""
    if any(piece.grain is not None and piece.grain.kind == "bias" for piece in pattern.pieces):
        return True
    levels = pattern.levels
    hem, hip = levels.get("hem"), levels.get("hip")
    return hem is not None and hip is not None and hem.finished > FLARED * hip.finished
