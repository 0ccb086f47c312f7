"""Operations made of a pattern's own seams, edges, darts, folds and marks: for tests of what shows and tells them.

Their order is no maker's order: nothing here knows how a garment is made up.
"""

from __future__ import annotations

from onfold.cloth import Cloth
from onfold.construction import FinishFault, read_finish
from onfold.making.operation import Act, MakingUp, Operation, OtherOrder, SewnRow
from onfold.pattern import Pattern, Run


def acts_of(text: str, cloth: Cloth | None = None) -> tuple[Act, ...]:
    """The sentences of a finish as acts, each row with the one that sews it."""
    finish = read_finish(text, cloth)
    if isinstance(finish, FinishFault):
        return (Act("sew", "Sew it."),)
    sewn = [SewnRow(row.stitch, 100.0, row.from_raw, row.from_net) for row in finish.rows]
    acts = [
        Act("sew", f"Sew the {row.order}, {row.stitch}.", each) for row, each in zip(finish.rows, sewn, strict=True)
    ]
    acts += [Act("trim", f"Trim after the {trim.after} to {trim.left:g} mm.") for trim in finish.trims]
    acts.append(Act("press", "Press it."))
    return tuple(acts)


def operations_of(pattern: Pattern, cloth: Cloth | None = None) -> list[Operation]:
    """Every operation that the pattern's own parts give rise to."""
    names = tuple(piece.name for piece in pattern.pieces)
    found = [
        Operation("mark the pieces", "mark", (Act("mark", "Nick the notches."),), pieces=names),
        Operation("tack", "tack", (Act("tack", "Tack the seams."),)),
        Operation("try on", "try on", (Act("try on", "Try it on."),), why="While all can still be let out."),
    ]
    for seam in pattern.seams:
        acts = acts_of(seam.finish or seam.construction, cloth)
        times = 2 if seam.twice else 1
        found.append(
            Operation(seam.name, "sew", acts, seam.name, seam.sides, times=times, state="flat", tried=("try on",))
        )
    for piece in pattern.pieces:
        legs = [edge.name for edge in piece.edges if edge.finish == "dart"]
        for first, second in zip(legs[::2], legs[1::2], strict=False):
            sides = ((Run(piece.name, first),), (Run(piece.name, second),))
            found.append(Operation(first, "dart", (Act("sew", "Sew to the point."),), sides=sides))
        for edge in piece.edges:
            if edge.finish and edge.finish != "dart" and not edge.fold:
                name, sides = f"{edge.name} of {piece.name}", ((Run(piece.name, edge.name),),)
                found.append(Operation(name, "finish", acts_of(edge.finish, cloth), sides=sides, state="round"))
        if any(inner.kind == "fold line" for inner in piece.inner):
            found.append(Operation(f"fold {piece.name}", "fold", (Act("fold", "Fold."),), pieces=(piece.name,)))
        found.append(Operation(f"turn {piece.name}", "turn", (Act("turn", "Turn."),), pieces=(piece.name,), times=2))
        if piece.marks:
            found.append(Operation(f"to {piece.name}", "attach", (Act("pin", "Pin."),), pieces=("strap", piece.name)))
    for opening in pattern.openings:
        runs = tuple(Run(said.split(" of ")[1], said.split(" of ")[0]) for said in opening.edges)
        found.append(Operation(opening.name, "fasten", (Act("cut", "Cut it open."),), sides=(runs,), state="flat"))
    found.append(Operation("hang", "hang", (Act("hang", "Hang it a day and a night."),)))
    return found


def making_of(pattern: Pattern, cloth: Cloth | None = None) -> MakingUp:
    """A making up of all of them, with one other order that would be sound."""
    operations = tuple(operations_of(pattern, cloth))
    other = OtherOrder(operations[3].name, "Here.", "Later.", "It lies flat now.")
    return MakingUp(operations, others=(other,))
