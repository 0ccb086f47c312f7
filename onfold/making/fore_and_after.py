"""What goes before the sewing and what follows it: scrap trials, cloth, cutting; the try-on; hanging and levelling."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from onfold.construction import FinishFault, read_finish, tacking_row
from onfold.making.cutting import cut_pieces, mark_pieces, prepare_cloth
from onfold.making.fastenings import USUAL_BUTTON, buttonhole_length
from onfold.making.hands import Hands
from onfold.making.job import Job
from onfold.making.notions import interfaced
from onfold.making.operation import Act, Operation, SewnRow
from onfold.making.stays import say_stay
from onfold.making.trials import Trial
from onfold.pattern import Pattern
from onfold.units import say_list

FLARED = 1.25
"""Of the hip's girth: from here a hem is flared, and drops where its cloth hangs off the thread [C]."""

SCRAP_ROW = 150.0
"""mm of row on a scrap: 15 cm, or 6 in [C]."""
TACKING = "tacking"
WHY_TRIED = "What cannot be undone is tried on a scrap of this cloth first."


def before_sewing(hands: Hands, trials: Sequence[Trial]) -> list[Operation]:
    """Return the scrap trials, the cloth's preparing, the cutting, the marking and the stays."""
    return [
        *trial_operations(trials),
        prepare_cloth(hands),
        cut_pieces(hands),
        mark_pieces(hands),
        *_stays(hands),
    ]


def trial_operations(trials: Sequence[Trial]) -> list[Operation]:
    """Return the trials as operations; those whose readings the ticket holds already come together in one."""
    known = [each for each in trials if each.known]
    found = []
    if known:
        names = say_list([each.name for each in known])
        acts = (
            Act("test", f"The ticket holds {names}. Do on a scrap of this bolt what first gave them:"),
            *(Act("test", said) for said in known[0].do),
            Act("test", "Where it differs, write what you read into the ticket and draft again."),
        )
        found.append(Operation(name_of(known[0], known), "trial", acts, why=WHY_TRIED))
    # what is only read, and neither guards an act nor fills the ticket, stays on the cloth card
    open_ = [each for each in trials if not each.known and (each.guards or each.fills)]
    told = [Operation(name_of(each, known), "trial", _trial_acts(each)) for each in open_]
    return [*found, *(replace(each, why=WHY_TRIED) if not found and each is told[0] else each for each in told)]


def _trial_acts(trial: Trial) -> tuple[Act, ...]:
    """Return a trial's acts; its first one works the scrap as the garment will be worked."""
    note = Act("test", f"Note {trial.reads[:1].lower()}{trial.reads[1:]}")
    first = Act("test", trial.do[0])
    if trial.stitch:
        first = Act("sew", trial.do[0], SewnRow(trial.stitch, SCRAP_ROW, 0.0))
    elif "trim" in trial.guards and "turn" not in trial.guards:
        first = Act("sew", trial.do[0])
    elif "buttonhole" in trial.guards:
        first = Act("buttonhole", trial.do[0], SewnRow("buttonhole", 2.0 * buttonhole_length(USUAL_BUTTON), 0.0))
    return (first, *(Act("test", said) for said in trial.do[1:]), note)


def name_of(trial: Trial, known: Sequence[Trial]) -> str:
    """Return the operation's name that a trial is told under."""
    return "trial: what the ticket holds" if trial in known else f"trial: {trial.name}"


def _stays(hands: Hands) -> list[Operation]:
    """Return what is held before anything is handled: interfacing, tape, stay stitching."""
    early = [each for each in hands.stays if each.kind != "elastic" and each.piece not in hands.tubes]
    stiff = interfaced(hands.pattern)
    acts = [_interface(name, hands) for name in stiff]
    for each in early:
        sewn = SewnRow("stay stitching", each.length, 0.0, 2.0, 1)
        acts.append(Act("sew", say_stay(each, hands.units), sewn))
    if not acts:
        return []
    pieces = tuple(dict.fromkeys([*(name.rpartition(" of ")[2] for name in stiff), *(each.piece for each in early)]))
    return [Operation("stays", "stay", tuple(acts), pieces=pieces, why="Cut edges stretch while they are handled.")]


def _interface(where: str, hands: Hands) -> Act:
    if hands.handling.fusible:
        return Act("press", f"Press fusible interfacing to the wrong side of the {where}, as tried on a scrap.")
    return Act("tack", f"Tack interfacing to the wrong side of the {where}, inside the allowances.")


def tack_and_try(names: Sequence[str], jobs: Sequence[Job], hands: Hands) -> tuple[Operation, Operation]:
    """Return the tacking of the seams that shape the garment, and the try-on that decides them."""
    by_name = {job.name: job for job in jobs}
    tacked = [by_name[name] for name in names if name in by_name]
    acts = [_tack(job, hands) for job in tacked]
    straps = list(dict.fromkeys(job.pieces[0] for job in jobs if job.part == "strap"))
    acts += [act for name in straps for act in _pinned_straps(name, hands)]
    acts = acts or [Act("pin", "Pin what is still open.")]
    pieces = tuple(dict.fromkeys(piece for job in tacked for piece in job.pieces))
    look = (
        Act("try on", _read_in_order(hands, jobs)),
        Act(
            "mark", "Pin what is changed, on both sides; chalk along the pins, and write it down, before they come out."
        ),
    )
    return (
        Operation("tacking", "tack", tuple(acts), pieces=pieces, why="It is fitted before it is sewn."),
        Operation("try-on", "try on", look, why="From here on seams are trimmed and edges closed."),
    )


def _pinned_straps(name: str, hands: Hands) -> list[Act]:
    """Return how the straps' second ends are pinned: their length over the body, which goes where, which is shorter."""
    facts = hands.pattern.facts
    way, crossed = facts.get("strap way"), facts.get("straps crossed")
    long = f", {hands.say(way.value)} from edge to edge over the body" if way is not None else ""
    acts = [Act("pin", f"Pin the back end of each {name} to its mark{long}; the spare hangs free.")]
    if crossed is not None and crossed.value > 0.0:
        acts.append(Act("pin", "They cross: the right front strap goes to the left back mark, the left to the right."))
    for side in ("right", "left"):
        shorter = facts.get(f"{side} strap shorter")
        if shorter is not None and shorter.value > 0.0:
            said = f"Pin the {side} one {hands.say(shorter.value)} shorter, for the lower shoulder."
            acts.append(Act("pin", said))
    return acts


def _read_in_order(hands: Hands, jobs: Sequence[Job]) -> str:
    """Return what is looked at, in the order of T184 [C], as far as the garment has it."""
    roots = {edge.root for piece in hands.pattern.pieces for edge in piece.edges}
    dress = "bust" in hands.pattern.levels or any("neck" in root or "shoulder" in root for root in roots)
    darts = "darts" if any(job.part == "dart" for job in jobs) else ""
    armholes = "armholes" if any("armhole" in root for root in roots) else ""
    places = [
        "balance and grain",
        "shoulder and neck" if dress else "waist",
        " and ".join(each for each in ("bust and back" if dress else "", darts) if each),
        "sides and girths",
        armholes,
        "lengths",
    ]
    band = "" if dress else " Pin a tape round the waist on its line: it has no band to hang from yet."
    order = "; ".join(each for each in places if each)
    return f"On the body, in the day's shoes and underwear.{band} Look in this order: {order}."


def _tack(job: Job, hands: Hands) -> Act:
    """Return the tacking of a seam on its line, or of a single edge along it; where an inlay lies beyond is said."""
    walks = job.walks[::2] if job.kind == "sew" else job.walks
    length = sum(leaf.length for walk in walks for leaf in walk)
    read = read_finish(job.finish, hands.cloth)
    row = None if isinstance(read, FinishFault) else tacking_row(read)
    beyond = ""
    if row is not None and not isinstance(read, FinishFault):
        beyond = f", {hands.say(row.from_raw)} from the raw edge; the outer {hands.say(read.inlay)} are the inlay"
    sewn = SewnRow(TACKING, length, row.from_raw if row is not None else 0.0)
    if job.kind != "sew":
        return Act("tack", f"Mark the line of the {job.name} with a row of tacking{beyond}.", sewn)
    if hands.pile:
        said = f"Tack the {job.name} with two rows, 2 mm either side of its line, a backstitch every 5 cm{beyond}."
        return Act("tack", said, replace(sewn, length=2.0 * length))
    sides = "wrong" if not isinstance(read, FinishFault) and read.kind == "french" else "right"
    return Act(
        "tack", f"Tack the {job.name} on its line, {sides} sides together, a backstitch now and then{beyond}.", sewn
    )


def after_sewing(hands: Hands) -> list[Operation]:
    """Return hanging and levelling, which stand before the hem, and the last pressing."""
    pattern = hands.pattern
    hemmed = any(edge.root == "hem" for piece in pattern.pieces for edge in piece.edges)
    found = []
    if hemmed:
        dropping = _drops(pattern)
        hang = "Let it hang for 24 to 48 hours." if dropping else "Let it hang overnight on a hanger or a form."
        why = "The cloth drops where it hangs off the thread." if dropping else "The cloth settles with its own weight."
        found = [
            Operation("hanging", "hang", (Act("hang", hang),), why=why),
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
    return [*found, Operation("last pressing", "press", (hands.press("last"),))]


def _drops(pattern: Pattern) -> bool:
    """Return whether the cloth hangs off its thread somewhere: cut on the bias, or flared at the hem (T10, T11)."""
    if any(piece.grain is not None and piece.grain.kind == "bias" for piece in pattern.pieces):
        return True
    hem, hip = pattern.levels.get("hem"), pattern.levels.get("hip")
    return hem is not None and hip is not None and hem.finished > FLARED * hip.finished
