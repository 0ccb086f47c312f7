"""What in a guide cannot be undone, and what a guide says of itself: both held to the order it gives.

Computed from the operations' order and the kinds of their acts; nothing of Onfold's is imported.
"""

from __future__ import annotations

from making_cloth import Cloth
from making_nouns import Data

NO_WAY_BACK = frozenset({"trim", "clip", "cut", "cut inlay", "buttonhole"})
"""Acts that cannot be undone: what is off is off [A]."""
ACTS = NO_WAY_BACK | {
    *("sew", "tack", "untack", "pin", "press", "steam", "turn", "fold", "mark", "neaten", "hand sew", "try on"),
    *("test", "hang", "wash", "rest"),
}
"""All acts a guide may name."""


def irreversible(guide: Data) -> list[str]:
    """Return every act without a way back that stands before its trial or try-on, each as a plain sentence.

    Cutting stands after at least one trial and every trial of the cloth (one in which nothing is sewn); trimming and
    clipping in a seam after a trial of that seam or its stitch; a buttonhole after one worked on a scrap; an inlay is
    cut after a try-on. On the scraps of a trial everything may be done.
    """
    found = []
    operations: list[Data] = guide["operations"]
    for at, op in enumerate(operations):
        if op["kind"] == "trial":
            continue
        before, later = operations[:at], operations[at:]
        for act in op["acts"]:
            if bool(act["no_way_back"]) != (act["kind"] in NO_WAY_BACK):
                found.append(f"{op['name']}: '{act['kind']}' is called the wrong way about")
            if act["kind"] in NO_WAY_BACK and not _may(act["kind"], op, before, later):
                found.append(f"{op['name']}: '{act['kind']}' stands before what must be tried first")
    return found


def _may(kind: str, op: Data, before: list[Data], later: list[Data]) -> bool:
    trials = [each for each in before if each["kind"] == "trial"]
    if kind == "cut inlay":
        return any(each["kind"] == "try on" for each in before)
    if kind == "buttonhole":
        return any(_does(each, "buttonhole") for each in trials)
    if kind == "cut":
        cloth_left = [each for each in later if each["kind"] == "trial" and not _does(each, "sew", "buttonhole")]
        return bool(trials) and (op["kind"] != "cut" or not cloth_left)
    return any(_does(each, "sew") and _same_seam(each, op) for each in trials)


def _does(op: Data, *kinds: str) -> bool:
    return any(act["kind"] in kinds for act in op["acts"])


def _same_seam(trial: Data, op: Data) -> bool:
    """Whether a trial is of this seam: named, or sewn with one of its stitches, or of no seam in particular."""
    if trial["seam"]:
        return bool(trial["seam"] == op["seam"]) or trial["name"] in op["tried"]
    mine, tried = _stitches(op), _stitches(trial)
    return not tried or not mine or bool(mine & tried)


def _stitches(op: Data) -> set[str]:
    return {act["row"]["stitch"] for act in op["acts"] if act.get("row")}


def misread_rows(pattern: Data, guide: Data) -> list[str]:
    """Return where a seam's longest row is not as long as its seam, or its lines do not add up to its allowance.

    A row counts all repeats together and may follow either side, as ease lies on one; what lies outward of the seam
    line and what lies inward of the raw edge are the allowance [A].
    """
    cloth, found = Cloth(pattern), []
    for op in (op for op in guide["operations"] if op["kind"] == "sew" and op["seam"] in cloth.seams):
        rows = [act["row"] for act in op["acts"] if act["kind"] == "sew" and act.get("row")]
        sides = [cloth.length(side) * op["times"] for run in cloth.seams[op["seam"]][:1] for side in run.sides]
        if not rows or not sides:
            continue
        longest = max(row["length"] for row in rows)
        if not 0.99 * min(sides) <= longest <= 1.01 * max(sides):
            found.append(
                f"{op['name']}: a row of {longest:.0f} mm in a seam of {min(sides):.0f} to {max(sides):.0f} mm"
            )
        wide = {round(cloth.edges[bit].allowance, 2) for run in cloth.seams[op["seam"]] for bit in run.bits}
        astray = [
            f"{op['name']}: {row['from_raw']} and {row['from_net']} mm in {min(wide)} mm of allowance"
            for row in rows
            if len(wide) == 1 and abs(row["from_raw"] + row["from_net"] - min(wide)) > 0.1
        ]
        found += astray
    return found


def broken_claims(guide: Data) -> list[str]:
    """Return what the guide says of its own order that is not so: names used twice, `before`, `tried`, `others`."""
    operations: list[Data] = guide["operations"]
    names = [op["name"] for op in operations]
    place = {name: at for at, name in enumerate(names)}
    found = [f"'{name}' names two operations" for name in place if names.count(name) > 1]
    for each in guide["before"]:
        unknown = [name for name in (each["first"], each["then"]) if name not in place]
        found += [f"'{name}' stands before or after something and is not there" for name in unknown]
        if not unknown and each["must"] and place[each["first"]] >= place[each["then"]]:
            found.append(f"'{each['first']}' must stand before '{each['then']}' and does not")
        if not each["reason"]:
            found.append(f"'{each['first']}' before '{each['then']}' has no reason")
    for op in operations:
        found += [f"{op['name']}: '{act['kind']}' is no act" for act in op["acts"] if act["kind"] not in ACTS]
        found += [f"{op['name']}: an act says nothing" for act in op["acts"] if not act["says"].strip()]
        for name in op["tried"]:
            if place.get(name, len(names)) >= place[op["name"]]:
                found.append(f"'{op['name']}' counts on '{name}', which does not stand before it")
            elif operations[place[name]]["kind"] not in ("trial", "try on"):
                found.append(f"'{op['name']}' counts on '{name}', which tries nothing")
    found += [f"another order is told of '{e['operation']}'" for e in guide["others"] if e["operation"] not in place]
    return found
