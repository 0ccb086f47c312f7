"""The work at a garment made elsewhere, in its order: try on, mark, unpick, press, tack, try on again, sew, close.

The order is the trade's [C]: nothing that cannot be undone before the second try-on; a seam is opened before the hem
that holds it, the waistband before the seam that it covers.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from onfold.construction.alteration import EDGE_VERBS, SEAM_VERBS, THING_VERBS
from onfold.making.altered import FACING_SEAM, SHARE_FROM, Answer, Job, answers_of, crossed
from onfold.making.operation import Act, Before, MakingUp, Operation

TRIAL, FIRST, SECOND, LAST = "trial on a hidden place", "first try-on", "second try-on", "last pressing"
MARKING, CREASES, BAND = "marking", "old creases", "waistband"
FITTED = "It was tried on tacked, and fits: now it may be sewn."
RUN_OUT = 50.0
"""mm past the end of what is altered in which its line runs out to nothing [C]."""


def altering(job: Job) -> MakingUp:
    """Return the operations of an alteration in their order, and what had to stand before what."""
    answers = answers_of(job)
    seams = [each for each in answers if each.work.verb in SEAM_VERBS]
    edges = [each for each in answers if each.work.verb in EDGE_VERBS]
    things = [each for each in answers if each.work.verb in THING_VERBS]
    operations = [
        _trial(job),
        _first_try_on(job, seams, edges),
        *([_marking(job)] if seams or edges else []),
        *_unpicked(job, seams, edges, things),
        *([_creases()] if seams or edges else []),
        *(_thing(job, each) for each in things if each.work.verb == "mend"),
        *([_tacked(job, seams, edges), _second_try_on(job)] if seams or edges else []),
        *(_sewn(job, each) for each in seams),
        *(_trimmed(job, each) for each in seams if each.way == "surplus"),
        *(_thing(job, each) for each in things if each.work.verb == "replace"),
        *([_band_closed(job, seams)] if _at_band(job, seams) else []),
        *(_edge(job, each) for each in edges),
        *([_hem_closed(job, seams)] if _at_hem(job, seams) and not _hem_altered(edges) else []),
        _last(),
    ]
    merged = _merged(operations)
    return MakingUp(merged, _before(merged))


def _merged(operations: list[Operation]) -> tuple[Operation, ...]:
    """Return the operations, those of one name as one: a seam let out above and taken in below is opened once."""
    found: dict[str, Operation] = {}
    for each in operations:
        before = found.get(each.name)
        acts = each.acts if before is None else tuple(dict.fromkeys((*before.acts, *each.acts)))
        found[each.name] = replace(before or each, acts=acts)
    return tuple(found.values())


def _trial(job: Job) -> Operation:
    cloth = "Wool and velvet may keep" if {"wool"} & {name.lower() for name, _ in job.cloth.fibre} else "Cloth may keep"
    return Operation(
        TRIAL,
        "trial",
        (
            Act(
                "test",
                f"Inside the hem or a deep inlay, unpick {job.about(30.0)} and steam it under a cloth; let it dry.",
            ),
            Act("test", "Look at it in daylight: do old needle holes or the faded line of the crease still show?"),
        ),
        why=f"{cloth} the old line, and what was inside is often darker. If it shows, ask the wearer before going on.",
    )


def _first_try_on(job: Job, seams: list[Answer], edges: list[Answer]) -> Operation:
    acts = [Act("try on", "Try it on over what is worn beneath, in the shoes it is worn with, closed as it is worn.")]
    acts += [Act("pin", f"{_pinned(job, each)}.") for each in (*seams, *edges)]
    acts.append(Act("try on", "Let the wearer sit, bend and walk; look at both sides, which may differ."))
    why = "The amounts of the ticket are held against the wearer before a stitch is opened."
    return Operation(FIRST, "try on", tuple(acts), why=why)


def _pinned(job: Job, each: Answer) -> str:
    work = each.work
    if work.verb == "take in":
        much = "; that is much for one seam: share it among several if pockets or creases move"
        pinned = f"Pin in the {work.what}, {job.say(work.by)} on each side{_from_to(each)}"
        return pinned + (much if work.by > SHARE_FROM else "")
    if work.verb == "let out":
        return f"Where the {work.what} pulls, mark how far{_from_to(each)}: {job.say(work.by)} on each side are asked"
    if work.verb == "let down":
        return f"Mark how much longer the {work.what} is to be: {job.say(work.by)} are asked, even from the floor"
    return f"Pin up the {work.what} by {job.say(work.by)}, even from the floor, both sides"


def _from_to(each: Answer) -> str:
    start, stop = each.work.start, each.work.stop
    if start and stop:
        return f" from {start} to {stop}"
    return f" from {start} down" if start else f" down to {stop}" if stop else ""


def _marking(job: Job) -> Operation:
    return Operation(
        MARKING,
        "mark",
        (
            Act(
                "mark", "Inside out, chalk the new lines through the pins; make both sides alike unless the body asks."
            ),
            Act("mark", f"Chalk a balance mark across each seam every {job.about(150.0)} before it is opened."),
            Act("mark", "Let each new line run out to nothing where it ends, without a corner."),
        ),
        why="Once a seam is open nothing says how its two sides lay together.",
    )


def _unpicked(job: Job, seams: list[Answer], edges: list[Answer], things: list[Answer]) -> list[Operation]:
    """Return what is opened: the waistband first where it crosses, the seams, the hem last."""
    beside = f"{job.about(60.0)} to either side of each seam"
    band = (
        f"Unpick belt loops, label and waistband {beside} that is altered.",
        "Unpick what of the lining is in them.",
    )
    found = [_opened(BAND, band, "It covers the seam's upper end.")] if _at_band(job, seams) else []
    for each in things:
        if each.work.verb == "replace":
            says = (f"Take out the old {each.work.what}; keep it to measure the new one by.",)
            found.append(_opened(each.work.what, says, "Out of the way before the seams beside it are opened."))
    for each in seams:
        past = f", and {job.about(RUN_OUT)} past each end" if each.work.start or each.work.stop else ""
        seam = f"Unpick the {each.work.what}{_from_to(each)}{past}, stitch by stitch, from the wrong side."
        found.append(_opened(each.work.what, (seam, _NOT_PULLED), _ONLY_SO_FAR, each.work.what))
    if _at_hem(job, seams) and not _hem_altered(edges):
        found.append(_opened("hem", (f"Unpick it {beside} that runs into it.",), _HEM_LAST))
    found += [_opened(each.work.what, (_HEM_OPENED,), _HEM_LAST) for each in edges]
    return found


def _opened(what: str, says: tuple[str, ...], why: str, seam: str = "") -> Operation:
    return Operation(f"unpick the {what}", "unpick", tuple(Act("unpick", each) for each in says), seam, why=why)


_NOT_PULLED = "Pick out every thread end; do not pull: the cloth is weakest at its old holes."
_ONLY_SO_FAR = "Only so far as the new line needs: what stays closed keeps the sides together."
_HEM_OPENED = "Unpick it all round; leave the old crease in it as long as it guides you."
_HEM_LAST = "It is opened last, and closed last: it keeps the lower edge from growing while the seams are worked on."


def _creases() -> Operation:
    return Operation(
        CREASES,
        "prepare",
        (
            Act("steam", "Brush the opened folds, steam them under a cloth from the wrong side, and press them flat."),
            Act("rest", "Let them dry lying flat."),
        ),
        tried=(TRIAL,),
        why="A line drawn over an old crease is not where it seems.",
    )


def _tacked(job: Job, seams: list[Answer], edges: list[Answer]) -> Operation:
    acts = [Act("tack", _tacking(job, each)) for each in seams]
    later = {"facing": "; its facing comes later", "band": " as far as the cloth goes"}
    acts += [Act("tack", f"Tack the {e.work.what} at its new line{later.get(e.way, '')}.") for e in edges]
    return Operation("tacking", "tack", tuple(acts), why="Tacking is taken out in a minute; a sewn seam is not.")


def _tacking(job: Job, each: Answer) -> str:
    if each.way == "strip":
        cut = f"Cut the strip {job.say(each.strip)} wide on the straight grain"
        return f"{cut} and tack it into the {each.work.what}, balance marks level across it."
    return f"Tack the {each.work.what} on the new line, balance marks together."


def _second_try_on(job: Job) -> Operation:
    acts = (
        Act(
            "try on", "Try it on again, in the same shoes. Look first at the balance, then at the girths, then length."
        ),
        Act("try on", "Let the wearer sit and walk. Chalk what is to be changed and tack that again."),
    )
    why = "Nothing is trimmed or cut before this: up to here everything can be put back."
    return Operation(SECOND, "try on", acts, why=why)


def _sewn(job: Job, each: Answer) -> Operation:
    work = each.work
    stitch = "a narrow zigzag" if job.cloth.kind == "knit" else "straight stitch"
    ends = f", running out to nothing over {job.about(RUN_OUT)} at its ends" if work.start or work.stop else ""
    sewn = f"Sew beside the tacking on the new line, {stitch}{ends}; secure both ends."
    if each.way == "strip":
        sewn = f"Sew the strip in beside the tacking, one side, then the other, {stitch}; secure both ends."
    narrow = [Act("neaten", "Neaten both raw edges first: the allowance is narrow.")] if each.way == "narrower" else []
    acts = (
        *narrow,
        Act("sew", sewn),
        Act("untack", "Take out the tacking and the old thread ends."),
        Act("press", "Press the seam flat as sewn, then as it was: open, or to its side, with a cloth between."),
    )
    return Operation(f"sew the {work.what}", "sew", acts, work.what, times=each.seams, tried=(SECOND,), why=FITTED)


def _trimmed(job: Job, each: Answer) -> Operation:
    acts = (
        Act("neaten", "Leave what was taken in as an inlay where it does not show or bulge, and neaten its edge."),
        Act("trim", f"Only where it bulges trim it, to no less than {job.say(each.uses or 0.0)}."),
    )
    why = "Trimmed cloth does not come back, and what is taken in today may be let out in a year."
    name = f"trim the {each.work.what}"
    return Operation(name, "finish", acts, each.work.what, times=each.seams, tried=(SECOND,), why=why)


def _thing(job: Job, each: Answer) -> Operation:
    what = each.work.what
    if each.work.verb == "mend":
        behind = "Lay like cloth behind it, grain on grain, and darn or stitch through both; close in colour."
        mended = (
            Act("mark", f"Find how far the {what} is worn: hold it against the light."),
            Act("hand sew", behind),
            Act("press", "Press it from the wrong side over a towel."),
        )
        return Operation(f"mend the {what}", "finish", mended, why="While the garment lies open it can be reached.")
    replaced = (
        Act("tack", f"Measure the new {what} by the old one; tack it in and try it before it is sewn."),
        Act("sew", f"Sew in the new {what} on the old lines, and secure its ends."),
    )
    why = f"After the seams beside it{', and before the waistband closes over it' if job.banded else ''}."
    return Operation(f"set the new {what}", "fasten", replaced, why=why)


def _band_closed(job: Job, seams: list[Answer]) -> Operation:
    change = sum(
        (2.0 if each.work.verb == "let out" else -2.0) * each.work.by * each.seams
        for each in seams
        if "waist" in crossed(each.work, job.legged)
    )
    way = "longer: let it out at its own seam or underlap, or piece it under a belt loop" if change > 0 else "shorter"
    fits = f"The waist is now {job.say(abs(change))} {way}." if change else "The waist is as long as before."
    acts = (
        Act("mark", fits),
        Act("sew", "Close the waistband over the seams on its old line, lining and belt loops in their places."),
        Act("press", "Press it from the wrong side."),
    )
    return Operation("close the waistband", "attach", acts, tried=(SECOND,), why="It holds the altered seams' ends.")


def _edge(job: Job, each: Answer) -> Operation:
    what, keeps = each.work.what, job.say(each.uses or 0.0)
    level = Act("mark", f"Level the {what} on the wearer once more, from the floor.")
    turn = Act("hand sew", f"Turn it up on the new line, pin, and sew as before: {each.finish}.")
    shorter = (
        level,
        Act("cut", f"Keep {keeps} beyond the new line, or all of it where it lies flat; cut off the rest."),
        Act("neaten", "Neaten the raw edge."),
        turn,
    )
    faced = (
        level,
        Act("cut", f"Cut the facing {job.say(each.strip)} deep, to the curve of the {what}."),
        Act("sew", f"Right sides together, sew it on {job.say(FACING_SEAM)} below the new line."),
        Act("press", "Press the seam down, turn the facing in along the new line and press the fold."),
        Act("hand sew", "Neaten its upper edge and catch it by hand to the inside."),
    )
    done = {"surplus": shorter, "facing": faced}.get(each.way, (level, turn))
    acts = (*done, Act("press", "Press it from the wrong side, under a cloth; do not press over the raw edge."))
    pair = 2 if job.legged and what.lower() == "hem" else 1
    why = "Last of the sewing: every seam above it moves it."
    return Operation(f"close the {what}", "finish", acts, times=pair, tried=(SECOND,), why=why)


def _hem_closed(job: Job, seams: list[Answer]) -> Operation:
    acts = (Act("hand sew", "Close the hem again beside the seams, on its old line."),)
    return Operation("close the hem", "finish", acts, tried=(SECOND,), why=_HEM_LAST)


def _last() -> Operation:
    acts = (
        Act("untack", "Take out every tacking thread, pin and chalk line; count the pins."),
        Act("press", "Press the whole garment by its label, from the wrong side or under a cloth, and let it hang."),
        Act("try on", "Try it on once more before it is handed over."),
    )
    return Operation(LAST, "press", acts, why="Tacking pressed in leaves its own marks.")


def _at_band(job: Job, seams: list[Answer]) -> bool:
    return job.banded and any("waist" in crossed(each.work, job.legged) for each in seams)


def _at_hem(job: Job, seams: list[Answer]) -> bool:
    return any("hem" in crossed(each.work, job.legged) for each in seams)


def _hem_altered(edges: list[Answer]) -> bool:
    return any(each.work.what.lower() == "hem" for each in edges)


def _before(operations: tuple[Operation, ...]) -> tuple[Before, ...]:
    """Return what decided the order, of the operations that are there."""
    names = [each.name for each in operations]
    found = [Before(TRIAL, each, "The cloth must stand it.", True) for each in names if each == CREASES]
    for each in operations:
        if each.kind == "unpick" and MARKING in names:
            found.append(Before(MARKING, each.name, "An open seam has no balance marks."))
        if SECOND in each.tried:
            found.append(Before(SECOND, each.name, "Nothing is sewn or cut before it fits."))
    opened = [each.name for each in operations if each.kind == "unpick"]
    why = "The waistband first where it crosses, the hem last."
    found += [Before(first, then, why, must=False) for first, then in pairwise(opened)]
    return tuple(found)
