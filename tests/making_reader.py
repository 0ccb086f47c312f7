"""Playing an order of making up with the cut cloth: can the hands do it, one operation after another?

Reads `pattern.json` and `guide.json` as another program would and imports nothing of Onfold's. `play` gives the first
operation that cannot be done, with a code and a plain reason, or what is still undone at the end.

How a guide's words are taken:
- `times` 2 does the mirror twin too, or the second of two cloths alike. What is named drawn is drawn only.
- Edges of a `finish` or `fold` need no direction; all edges of one operation are looked at together.
- `state` is what the edges of the operation are while it is done: a chain of edges that comes back to its first
  corner is round. Where a chain will be closed by a seam still to come, the operation must say flat, and one such
  corner at most may be open. Edges that are only neatened are free of this rule.
- Edges named in a `fold` are caught down; what they come to lie upon is buried, unless done before or named too.
- An edge named in several seams carries several layers. What lies between goes in before what is laid over it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import chain

from making_closed import Unit, across, is_shut, sewn_over, unit_of
from making_cloth import Cloth
from making_nouns import Bit, Data, Place, SeamRun
from making_table import CannotBe, Table, fold_key, must, place_key

ENCLOSING = ("folded facing", "double turned", "bound")
ENCLOSED_SEAMS = ("french", "felled")


@dataclass(frozen=True)
class Refusal:
    """Why an order cannot be: at which operation ('' at the end), a code, and the reason in plain words."""

    operation: str
    code: str
    says: str


def play(cloth: Cloth, operations: list[Data]) -> Refusal | None:
    """Return why the operations cannot be done in this order, or None where they can and leave nothing undone."""
    table = Table(cloth, operations)
    for at, operation in enumerate(operations):
        try:
            do(table, operation, operations[at + 1 :])
        except CannotBe as found:
            return Refusal(operation["name"], found.code, found.says)
    undone = table.undone()
    return Refusal("", "missing", "; ".join(undone)) if undone else None


def possible(pattern: Data, guide: Data) -> Refusal | None:
    """Return why this guide's order cannot be done with this pattern, or None."""
    return play(Cloth(pattern), guide["operations"])


def do(table: Table, op: Data, to_come: list[Data]) -> None:
    """Do one operation, or raise why it cannot be done."""
    named = [(r["piece"], r["edge"], r["copy"]) for side in op["sides"] for r in side]
    for piece in chain(op["pieces"], (piece for piece, _, _ in named)):
        must(piece in table.cloth.pieces, "unknown", f"there is no piece '{piece}'")
    for piece, edge, copy in named:
        must(bool(table.cloth.named(piece, edge, copy)), "unknown", f"there is no {copy} {edge} of {piece}")
    must(op["kind"] in VERBS, "unknown", f"'{op['kind']}' is no kind of operation")
    if op["kind"] in ("finish", "fold"):
        for later in (each for each in to_come if each["kind"] in ("hang", "level")):
            soon = set(table.named(op)) & table.hem_edges(later)
            must(not soon, "hem too soon", f"{op['name']} stands before '{later['name']}'")
    VERBS[op["kind"]](table, op)


def _nothing(table: Table, op: Data) -> None:
    """Trials, marks, pressing and try-ons change nothing that an order hangs on."""


def _cut(table: Table, op: Data) -> None:
    table.cut |= set(op["pieces"] or table.cloth.pieces)


def _stay(table: Table, op: Data) -> None:
    bits = table.named(op)
    table.touch(bits)
    for bit in bits:
        must(table.status[bit] == "free", "stay too late", f"{bit} is {table.status[bit]} already")


def _tack(table: Table, op: Data) -> None:
    bits = {bit for run in chain.from_iterable(op["sides"]) for bit in table.leaves(run)}
    every = not bits and not op["seam"]
    table.tacked |= {r.name for r in table.cloth.runs if every or r.name == op["seam"] or bits & set(r.bits)}


def _level(table: Table, op: Data) -> None:
    opened = table.open_corners(sorted(table.hem_edges(op)))
    names = {name for pair in opened for name in table.crossing(*pair)} - table.tacked
    must(not names, "level too soon", f"{' and '.join(sorted(names))} is neither sewn nor tacked")


def _dart(table: Table, op: Data) -> None:
    bits = table.named(op)
    table.touch(bits)
    mine = [dart for dart in table.cloth.darts if set(dart.legs) <= set(bits)]
    legs = {leg for dart in mine for leg in dart.legs}
    must(bool(bits) and legs == set(bits), "unknown", "these are not the two legs of a dart")
    must(op["state"] in ("", "flat"), "state", "a dart is sewn flat")
    for dart in mine:
        must(dart not in table.darts, "sewn twice", f"the dart at {dart.legs[0]} is sewn already")
        for bit in dart.mouth:
            free = table.status[bit] == "free"
            must(free, "dart too late", f"{bit}, where the dart ends, is {table.status[bit]} already")
        table.darts.add(dart)
        table.points.join(*table.cloth.mouth_corners(dart))


def _sew(table: Table, op: Data) -> None:
    runs = table.cloth.seams.get(op["seam"])
    if runs is None:
        raise CannotBe("unknown", f"there is no seam '{op['seam']}'")
    faulty = [fault for fault in table.cloth.faults if fault.startswith(f"{op['seam']}:")]
    must(bool(runs), "unknown", "; ".join(faulty))
    asked = {(bit.piece, bit.copy, bit.edge) for run in chain.from_iterable(op["sides"]) for bit in table.leaves(run)}
    fits = [run for run in runs if not asked or {(b.piece, b.copy, b.edge) for b in run.bits} == asked]
    must(bool(fits), "unknown", f"the edges named are not those of the {op['seam']}")
    for time in range(op["times"]):
        left = [run for run in (runs if time else fits) if run not in table.sewn]
        must(bool(left), "sewn twice", f"the {op['seam']} is sewn already")
        _sew_run(table, left[0], op["state"])
    _check_rows(runs[0].construction, op["acts"])


def _sew_run(table: Table, run: SeamRun, state: str) -> None:
    table.touch(run.bits)
    for bit in run.bits:
        must(table.status[bit] != "finished", "finished", f"{bit} was finished before it is sewn")
        for other in (other for other in table.cloth.of_seams[bit] if other in table.sewn):
            over = sewn_over(table.cloth, bit, other)
            must(not over, "covered", f"the {other.name} has laid cloth over {bit}: nothing can go between now")
        must(not table.inside_out(bit, run), "not turned", f"{bit.piece} is not closed and turned yet")
    table.check_chain(run, state)
    for a, b in table.cloth.meetings(run):
        table.points.join(a, b)
    for bit in run.bits:
        table.status[bit] = "sewn"
        table.parts.join(unit_of(bit), unit_of(run.bits[0]))
        if run.construction in ENCLOSED_SEAMS:
            table.buried[bit] = run.name
    table.sewn[run] = None
    mine = [unit for unit in table.cloth.rings if table.parts.same(unit, unit_of(run.bits[0]))]
    out = table.turned.intersection(mine) - table.turned_alone
    shut = len(mine) > 1 and is_shut(table.cloth, table.status, mine)
    must(bool(out) or not shut, "no way out", f"the {run.name} closes the last opening and nothing was turned")
    if len({table.cloth.pieces[bit.piece]["material"] for bit in run.bits}) > 1:
        table.turned -= out  # sewn to its lining a garment is wrong side out again


def _check_rows(construction: str, acts: list[Data]) -> None:
    """Hold the rows of an enclosed seam to their order: the outer first and trimmed, then the one on the seam line."""
    kinds = [act["kind"] for act in acts if act["kind"] in ("sew", "trim")]
    must("trim" not in kinds or "sew" in kinds[: kinds.index("trim")], "rows", "trimmed before the first row is sewn")
    rows = [act["row"] for act in acts if act["kind"] == "sew" and act.get("row")]
    if construction == "french" and rows:
        must(len(rows) > 1, "rows", "an enclosed seam has two rows")
        must(rows[0]["from_net"] > rows[1]["from_net"], "rows", "the second row stands before the first")
        must(kinds[-1] == "sew", "rows", "the first row would be trimmed inside the closed seam")
    if construction == "felled" and len(rows) > 1:
        must(rows[0]["from_net"] < rows[1]["from_net"], "rows", "the second row stands before the first")


def _finish(table: Table, op: Data) -> None:
    bits = table.named(op)
    must(bool(bits), "unknown", "no edge is named")
    table.touch(bits)
    for bit in bits:
        must(bit not in table.cloth.of_seams, "in a seam", f"{bit} is an edge of a seam")
        must(table.status[bit] != "finished", "finished twice", f"{bit} is finished already")
    table.check_free_chain(bits, op)
    table.status.update(dict.fromkeys(bits, "finished"))


def _fold(table: Table, op: Data) -> None:
    mine = [fold for fold in table.cloth.folds if fold.piece in op["pieces"] and fold.name in op["name"]]
    must(bool(mine), "unknown", f"no fold line of {' or '.join(op['pieces'])} is named in '{op['name']}'")
    left = [fold for fold in mine if fold_key(fold) not in table.folded]
    must(bool(left), "folded twice", f"the {mine[0].name} is folded already")
    must(left[0].piece in table.cut, "uncut", f"{left[0].piece} is not cut yet")
    bits = table.named(op)
    table.touch(bits)
    for bit in bits:
        must(bit not in table.cloth.of_seams, "in a seam", f"{bit} is an edge of a seam")
    table.check_free_chain(bits, op)
    for fold in left[: op["times"]]:
        table.check_ends(fold.crossed, bits)
        table.folded.add(fold_key(fold))
        for caught in (bit for bit in bits if unit_of(bit) == (fold.piece, fold.cloth)):
            under = [b for b in table.cloth.covered(fold, caught) if table.status[b] == "free" and b not in bits]
            table.buried.update(dict.fromkeys(under, fold.name))
    table.status.update(dict.fromkeys(bits, "finished"))


def _turn(table: Table, op: Data) -> None:
    must(bool(op["pieces"]), "unknown", "nothing is named to turn")
    units: list[Unit] = []
    for piece in op["pieces"]:
        left = [unit for unit in table.cloth.rings if unit[0] == piece and unit not in table.turned]
        must(bool(left), "turned twice", f"{piece} is turned already")
        units += left[: op["times"]] if len(op["pieces"]) == 1 else left
    for unit in units:
        must(unit[0] in table.cut, "uncut", f"{unit[0]} is not cut yet")
        still = table.still_open(unit)
        must(not still, "turned too soon", f"{unit[0]} is not closed yet: {' and '.join(still)}")
        table.check_ends(_crossed(table, unit), (), table.to_attach.get(unit[0], 0))
        some = any(table.status[bit] != "free" for bit in table.cloth.rings[unit])
        must(some, "turned too soon", f"nothing of {unit[0]} is sewn yet")
        must(_has_an_outside(table, unit), "turned too soon", f"{unit[0]} is joined to nothing it could be turned into")
    for group in [[unit] for unit in units] if len(op["pieces"]) == 1 else [units]:
        open_edges = any(_lets_out(table, bit) for unit in group for bit in table.cloth.rings[unit])
        neatened = any(table.to_attach.get(piece, 0) for piece, _ in group)  # ends that are to be set in stay open
        must(open_edges or neatened, "no way out", f"nothing of {group[0][0]} is left open to turn it by")
    table.turned |= set(units)


def _has_an_outside(table: Table, unit: Unit) -> bool:
    """Whether a lining hangs on its garment already; anything else is turned by itself."""
    material = {each: table.cloth.pieces[each[0]]["material"] for each in table.cloth.rings}
    others = {material[each] for each in material if table.parts.same(each, unit)}
    return material[unit] == "main" or len(others) > 1


def _crossed(table: Table, unit: Unit) -> list[Bit]:
    return [bit for fold in table.cloth.folds if (fold.piece, fold.cloth) == unit for bit in fold.crossed]


def _lets_out(table: Table, bit: Bit) -> bool:
    """Whether cloth can be drawn out past an edge: it is not sewn to another, nor folded double and sewn across."""
    doubled = bit in _crossed(table, unit_of(bit))
    return table.status[bit] == "free" or (table.status[bit] == "finished" and not doubled)


def _attach(table: Table, op: Data) -> None:
    must(len(op["pieces"]) > 1, "unknown", "a part is attached to a piece with a mark: name both")
    part, *targets = op["pieces"]
    units = [unit for unit in table.cloth.rings if unit[0] == part]
    must(len(units) >= op["times"], "unknown", f"there are not {op['times']} of {part}")
    for piece in targets:
        mine = [p for p in table.cloth.places if p.piece == piece and place_key(p) not in table.served]
        left = ([place for place in mine if part in place.name] or mine)[: op["times"]]
        must(len(left) == op["times"], "unknown", f"{piece} has not {op['times']} marks left to set {part} to")
        for place, unit in zip(left, units, strict=False):
            _set(table, place, unit)


def _set(table: Table, place: Place, unit: Unit) -> None:
    part = unit[0]
    must({part, place.piece} <= table.cut, "uncut", f"{part} or {place.piece} is not cut yet")
    must(not table.still_open(unit), "not turned", f"{part} is not closed and turned yet")
    must(not table.inside_out(table.cloth.rings[unit][0]), "not turned", f"{part} is still wrong side out")
    for name in place.folds:
        held = any(key[:3] == (place.piece, place.cloth, name) and place.copy in key[3] for key in table.folded)
        must(not held, "strap too late", f"the {name} is turned and held: {part} cannot be laid in it")
    closed = {bit for fold in table.cloth.folds for bit in fold.crossed}
    for bit in place.edges:
        enclosed = bit in table.cloth.of_seams or table.cloth.edges[bit].finish.startswith(ENCLOSING) or bit in closed
        reached = table.status[bit] == "free" and bit not in table.buried
        must(reached or not enclosed, "strap too late", f"{bit} is done: the end of {part} cannot lie in it")
    ends = [b for b in table.cloth.rings[unit] if b not in table.cloth.of_seams and b not in table.set_in]
    must(bool(ends), "unknown", f"{part} has no end left to be set in")
    end = min(ends, key=lambda bit: table.status[bit] != "free")
    table.set_in.add(end)
    table.status[end] = "finished"
    table.served.add(place_key(place))
    table.parts.join(unit, (place.piece, place.cloth))


def _fasten(table: Table, op: Data) -> None:
    bits = {bit for run in chain.from_iterable(op["sides"]) for bit in table.leaves(run)}
    openings = table.cloth.openings
    names = [name for name, (_, edges) in openings.items() if (bits & set(edges) if bits else name in op["name"])]
    must(bool(names), "unknown", "the edges named are those of no opening")
    for name in names:
        closes, edges = openings[name]
        must(name not in table.fastened, "finished twice", f"the {name} is closed already")
        table.touch(edges)
        if closes == "zip":
            _check_nothing_across(table, name, edges)
        table.fastened.add(name)
        table.status.update(dict.fromkeys(edges, "finished"))
        for bit in edges:
            table.parts.join(unit_of(bit), unit_of(edges[0]))


def _check_nothing_across(table: Table, name: str, edges: list[Bit]) -> None:
    """Hold the seam across the top of a zip to come after it; the seam that goes on below it may stand before."""
    pieces = table.cloth.pieces
    beside = [other for bit in edges for other in table.cloth.neighbours(bit) if other not in edges]
    for bit in beside:
        for run in (run for run in table.cloth.of_seams.get(bit, ()) if run in table.sewn):
            goes_on = any(
                other in beside
                and (other.piece, other.copy) != (bit.piece, bit.copy)
                and pieces[other.piece]["material"] == pieces[bit.piece]["material"]
                for other in across(run, bit)
            )
            must(goes_on, "zip too late", f"the {run.name} is already sewn across the top of the {name}")


VERBS: Mapping[str, Callable[[Table, Data], None]] = {
    **dict.fromkeys(("trial", "prepare", "mark", "try on", "hang", "press"), _nothing),
    "cut": _cut,
    "stay": _stay,
    "dart": _dart,
    "sew": _sew,
    "fasten": _fasten,
    "finish": _finish,
    "turn": _turn,
    "fold": _fold,
    "attach": _attach,
    "tack": _tack,
    "level": _level,
}
