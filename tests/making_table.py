"""The cloth while it is made up: what each edge is, which corners are one, what is turned, folded, set in.

`Table` holds the state and answers questions of it; the verbs that change it are in `making_reader`.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import chain, zip_longest
from typing import Any

from making_closed import Shut, Unit, shut_parts, unit_of
from making_cloth import ALIKE, Cloth
from making_nouns import Bit, Corner, Dart, Data, Fold, Place, Points, SeamRun

NEATENED = ("plain", "overlocked", "narrow zigzag", "raw")
TURNED_UP = ("single turned", "double turned")
LOW = 0.2
"""A hem is an edge turned up both of whose ends lie in this lowest share of its piece [C]."""


class CannotBe(Exception):
    """An operation that the cloth does not allow. Raised by the verbs and the table, caught by `play` alone."""

    def __init__(self, code: str, says: str) -> None:
        super().__init__(says)
        self.code, self.says = code, says


def must(true: bool, code: str, says: str) -> None:
    if not true:
        raise CannotBe(code, says)


class Table:
    """Where a garment stands: `status` is free, sewn or finished; `buried` says under what an edge lies."""

    def __init__(self, cloth: Cloth, operations: list[Data]) -> None:
        self.cloth = cloth
        self.status: dict[Bit, str] = dict.fromkeys(cloth.edges, "free")
        self.buried: dict[Bit, str] = {}
        self.points, self.parts = Points(), Points()
        self.cut: set[str] = set()
        self.sewn: dict[SeamRun, None] = {}
        self.darts: set[Dart] = set()
        self.folded: set[tuple[Any, ...]] = set()
        self.turned: set[Unit] = set()
        self.served: set[tuple[Any, ...]] = set()
        self.fastened: set[str] = set()
        self.tacked: set[str] = set()
        self.shut: list[Shut] = shut_parts(cloth)
        self.turned_alone = {unit for each in self.shut for unit in each.units}
        self.set_in: set[Bit] = set()
        self.to_attach: dict[str, int] = {}
        for op in operations:
            if op["kind"] == "attach" and op["pieces"]:
                part, *targets = op["pieces"]
                self.to_attach[part] = self.to_attach.get(part, 0) + len(targets)

    def undone(self) -> list[str]:
        """Return what a garment still lacks: seams, darts, edges with a finish, openings, marks."""
        lacking = [f"{run.name} was not sewn" for run in self.cloth.runs if run not in self.sewn]
        lacking += [fault for fault in self.cloth.faults if "there is no" in fault or "onto itself" in fault]
        lacking += [f"the dart at {dart.legs[0]} was not sewn" for dart in self.cloth.darts if dart not in self.darts]
        for bit in self.cloth.free:
            if self.status[bit] == "free" and not self.cloth.edges[bit].finish.startswith("raw"):
                under = f": it was buried by the {self.buried[bit]}" if bit in self.buried else ""
                lacking.append(f"{bit} was not finished{under}")
        for name, (closes, _) in self.cloth.openings.items():
            lacking += [f"{name} was not closed by its {closes}"] * (closes != "none" and name not in self.fastened)
        marks = [place for place in self.cloth.places if place_key(place) not in self.served]
        lacking += [f"nothing was set to {place.name} of {place.piece}" for place in marks]
        return list(dict.fromkeys(lacking))

    def touch(self, bits: Iterable[Bit]) -> None:
        """Hold edges to be cut and within reach."""
        for bit in bits:
            must(bit.piece in self.cut, "uncut", f"{bit.piece} is not cut yet")
            must(bit not in self.buried, "buried", f"{bit} was buried by the {self.buried.get(bit, '')}")

    def leaves(self, run: Data) -> list[Bit]:
        return self.cloth.named(run["piece"], run["edge"], run["copy"])[0]

    def named(self, op: Data) -> list[Bit]:
        """The edges of an operation: as named, and for each further time the mirror twin or the next cloth."""
        found: list[Bit] = []
        for run in chain.from_iterable(op["sides"]):
            other = "mirrored" if run["copy"] == "drawn" else "drawn"
            own, twin = (self.cloth.named(run["piece"], run["edge"], copy) for copy in (run["copy"], other))
            further = [bits for pair in zip_longest(twin, own[1:]) for bits in pair if bits]
            for time in range(op["times"]):
                left = [bits for bits in (further if time else own) if not set(bits) & set(found)]
                must(bool(left), "unknown", f"{run['edge']} of {run['piece']} is not there {op['times']} times")
                found += next((bits for bits in left if self.status[bits[0]] == "free"), left[0])
        return found

    def check_chain(self, run: SeamRun, state: str) -> None:
        """Hold a seam's two sides to be joined across every seam and dart they run over, and flat or round as said."""
        at_last = self.cloth.all_but(run.name)
        gaps: list[list[tuple[float, Corner, Corner]]] = []
        opened, closed = [], []
        for side in run.sides:
            gaps.append([joint for joint in self.cloth.joints(side) if not self.points.same(*joint[1:])])
            for _, before, after in gaps[-1]:
                must(at_last.same(before, after), "not joined", f"neighbours in the {run.name} never meet")
                self.no_dart(before, after)
            first, last = self.cloth.ends(side[0])[0], self.cloth.ends(side[-1])[1]
            closed.append(self.points.same(first, last))
            opened.append(at_last.same(first, last) and not closed[-1])
        if gaps[0] or gaps[1]:
            alone = all(len(joints) == 1 for joints in gaps) and not any(opened)
            through = alone and abs(gaps[0][0][0] - gaps[1][0][0]) < ALIKE
            crossing = self.said_crossing([joint[1:] for joints in gaps for joint in joints], run.name)
            must(through and state == "flat", "not joined", f"the {run.name} runs over {crossing}, not sewn yet")
        must(not (any(opened) and any(closed)), "not joined", f"one side of the {run.name} is round, the other open")
        must(not any(opened) or state == "flat", "not joined", f"the {run.name} is to be round and is still open")
        must(state != "round" or any(closed), "state", f"the {run.name} is flat")
        must(state != "flat" or not all(closed), "state", f"the {run.name} is round")

    def no_dart(self, a: Corner, b: Corner) -> None:
        for dart in self.cloth.darts:
            mouth = self.cloth.mouth_corners(dart)
            late = dart not in self.darts and bool({a, b} & set(mouth))
            must(not late, "dart too late", f"the dart at {dart.legs[0]} is not sewn yet")

    def crossing(self, a: Corner, b: Corner, but: str = "") -> set[str]:
        """The seams still to be sewn that end in either of two corners."""
        mine, found = {self.points.of(a), self.points.of(b)}, set()
        for run in (run for run in self.cloth.runs if run not in self.sewn and run.name != but):
            if mine & {self.points.of(corner) for pair in self.cloth.meetings(run) for corner in pair}:
                found.add(run.name)
        return found

    def said_crossing(self, pairs: Iterable[tuple[Corner, Corner]], but: str = "") -> str:
        return " and ".join(sorted({name for pair in pairs for name in self.crossing(*pair, but)}))

    def family(self, bits: list[Bit]) -> list[Bit]:
        """Every free edge with the finish of one of these: what is done in one with them where they meet."""
        finishes = {self.cloth.edges[bit].finish for bit in bits}
        return [bit for bit in self.cloth.free if self.cloth.edges[bit].finish in finishes]

    def open_corners(self, bits: list[Bit]) -> list[tuple[Corner, Corner]]:
        """Corners where these free edges meet a neighbour of the same finish once a seam still to come is sewn."""
        touched = {self.cloth.final.of(corner) for bit in bits for corner in self.cloth.edges[bit].ends}
        found: dict[Any, dict[Any, Corner]] = {}
        for corner in (corner for bit in self.family(bits) for corner in self.cloth.edges[bit].ends):
            if self.cloth.final.of(corner) in touched:
                found.setdefault(self.cloth.final.of(corner), {})[self.points.of(corner)] = corner
        return [(one, other) for now in found.values() for one, *rest in [list(now.values())] for other in rest]

    def check_free_chain(self, bits: list[Bit], op: Data) -> None:
        """Hold free edges to be joined across every seam and dart they run over, and flat or round as said."""
        opened = self.open_corners([b for b in bits if not self.cloth.edges[b].finish.startswith(NEATENED)])
        for a, b in opened:
            self.no_dart(a, b)
        last = op["state"] == "flat" and self.one_to_a_chain(bits, opened)
        says = f"{op['name']} runs over {self.said_crossing(opened)}, not sewn yet"
        must(not opened or last, "not joined", says)
        some_round, some_flat = self.shape(bits)
        must(op["state"] != "round" or not some_flat, "state", f"{op['name']} is flat")
        must(op["state"] != "flat" or not some_round, "state", f"{op['name']} is round")

    def one_to_a_chain(self, bits: list[Bit], opened: list[tuple[Corner, Corner]]) -> bool:
        """Whether of all chains of free edges, followed as they run when all is sewn, none is open at two corners."""
        chains = Points()
        for bit in self.family(bits):
            chains.join(*(self.cloth.final.of(corner) for corner in self.cloth.edges[bit].ends))
        found = [chains.of(self.cloth.final.of(corner)) for corner, _ in opened]
        return len(found) == len(set(found))

    def shape(self, bits: list[Bit]) -> tuple[bool, bool]:
        """Whether some of the chains these edges make come back to their first corner, and whether some do not.

        An end that is folded double and sewn across is neither.
        """
        chains, count = Points(), dict[Any, int]()
        doubled = {bit for fold in self.cloth.folds for bit in fold.crossed}
        for bit in (bit for bit in bits if bit not in doubled):
            a, b = (self.points.of(corner) for corner in self.cloth.edges[bit].ends)
            chains.join(a, b)
            for corner in (a, b):
                count[corner] = count.get(corner, 0) + 1
        ended = {chains.of(corner) for corner, times in count.items() if times == 1}
        every = {chains.of(corner) for corner in count}
        return bool(every - ended), bool(ended)

    def hem_edges(self, op: Data) -> set[Bit]:
        """The edges a hanging or levelling is about: those named, else the turned edges at the foot of its pieces."""
        if op["sides"]:
            return set(self.named(op))
        level = self.cloth.pattern["levels"].get("hem", {"across": []})
        pieces = set(op["pieces"]) or {each["piece"] for each in level["across"]} or set(self.cloth.pieces)
        found = set()
        for bit in (bit for bit in self.cloth.free if bit.piece in pieces):
            heights = [y for b in self.cloth.rings[unit_of(bit)] for y in self.cloth.edges[b].run[:, 1].tolist()]
            low = min(heights) + LOW * (max(heights) - min(heights))
            facts = self.cloth.edges[bit]
            if facts.finish.startswith(TURNED_UP) and max(facts.run[0, 1], facts.run[-1, 1]) < low:
                found.add(bit)
        return found

    def still_open(self, unit: Unit) -> list[str]:
        """The seams that shut a tube, or a part closed on three sides, and are not sewn yet."""
        return [run.name for each in self.shut if unit in each.units for run in each.seams if run not in self.sewn]

    def inside_out(self, bit: Bit, run: SeamRun | None = None) -> bool:
        """Whether it is an edge of a part that is to be turned and is not yet; the seams that shut it may be sewn."""
        mine = [each for each in self.shut if unit_of(bit) in each.units and run not in each.seams]
        return any(not each.units & self.turned for each in mine)

    def check_ends(self, crossed: Iterable[Bit], now: Iterable[Bit], left_open: int = 0) -> None:
        """Hold the ends that a fold doubles to be closed, but for so many that are still to be set in elsewhere."""
        ends = [bit for bit in crossed if self.cloth.edges[bit].finish.startswith("plain")]
        opened = [bit for bit in ends if self.status[bit] == "free" and bit not in set(now)]
        must(len(opened) <= left_open, "ends open", f"{' and '.join(map(str, opened))} is not closed yet")


def place_key(place: Place) -> tuple[Any, ...]:
    return place.piece, place.cloth, place.copy, place.name


def fold_key(fold: Fold) -> tuple[Any, ...]:
    return fold.piece, fold.cloth, fold.name, fold.copies
