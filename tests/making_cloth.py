"""The cut cloth of a `pattern.json` as it lies on the table: every piece opened out, its edges, corners, darts, folds.

Written for the proof of an order of making up, from docs/pattern-json.md alone; nothing of Onfold's is imported.

How the file's words are taken, held by lengths and by where corners meet (`Cloth.faults`):
- A piece on the fold is one cloth with drawn and mirrored edges, its fold gone; a mirrored pair is two cloths; any
  other piece cut n times is n cloths.
- A mirrored edge keeps the direction of the drawn one: its first point is the mirror image of the drawn first point.
  `reversed` walks an edge, and the parts of a parent, from the last point to the first.
- Two sides of a seam are walked the same way: first point to first point, last to last, corners between them in
  proportion to the way gone. A cloth sewn to itself along two of its drawn edges is never twisted.
- `twice` is the seam again with drawn and mirrored exchanged. What is cut more often than a seam has partners for it
  is sewn as often as there are cloths (two straps), or lies doubled.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable
from functools import cached_property
from itertools import pairwise

import numpy as np
from json_reader import edge_length, points
from making_lines import far_from, laps, reflected
from making_nouns import Bit, Corner, Dart, Data, EdgeFacts, Fold, Place, Points, SeamRun, Walked

NEAR = 3.0
"""mm: a mark this near to a line lies on it."""
ALIKE = 0.05
"""Share of a seam within which corners of its two sides are one: gathers and ease are spread, never exact [C]."""
Side = tuple[Walked, ...]


class Cloth:
    """All cloths of a pattern before anything is sewn. `faults` are what of its seams cannot be true."""

    def __init__(self, pattern: Data) -> None:
        self.pattern = pattern
        self.pieces: dict[str, Data] = {each["name"]: each for each in pattern["pieces"]}
        self.faults: list[str] = []
        self.edges: dict[Bit, EdgeFacts] = {}
        self.rings: dict[tuple[str, int], list[Bit]] = {}
        self.cloths: dict[tuple[str, str], list[int]] = {}
        for piece in self.pieces.values():
            self._lay_out(piece)
        self.seams: dict[str, list[SeamRun]] = self._seams()
        self._drop_doubled()
        self.of_seams: dict[Bit, list[SeamRun]] = defaultdict(list)
        for run in self.runs:
            for bit in run.bits:
                self.of_seams[bit].append(run)
        self.darts = self._darts()
        self.legs = {leg for dart in self.darts for leg in dart.legs}
        self.folds = [fold for piece in self.pieces.values() for fold in self._folds(piece)]
        self.places = [place for piece in self.pieces.values() for place in self._places(piece)]
        self.openings: dict[str, tuple[str, list[Bit]]] = {
            each["name"]: (each["closes"], [bit for said in each["edges"] for bit in self._opened(said)])
            for each in pattern["openings"]
        }
        self._without: dict[str, Points] = {}
        self._check_seams()

    @property
    def runs(self) -> list[SeamRun]:
        return [run for runs in self.seams.values() for run in runs]

    @cached_property
    def free(self) -> list[Bit]:
        """Every edge in no seam that has a finish."""
        return [
            bit
            for bit, facts in self.edges.items()
            if facts.finish and not facts.fold and bit not in self.legs and bit not in self.of_seams
        ]

    @cached_property
    def final(self) -> Points:
        """The corners that are one when all is sewn."""
        return self.all_but("")

    def all_but(self, seam: str) -> Points:
        """The corners that are one when all but this seam is sewn."""
        if seam not in self._without:
            joined = Points()
            for dart in self.darts:
                joined.join(*self.mouth_corners(dart))
            for run in self.runs:
                if run.name != seam:
                    for a, b in self.meetings(run):
                        joined.join(a, b)
            self._without[seam] = joined
        return self._without[seam]

    def ends(self, walked: Walked) -> tuple[Corner, Corner]:
        a, b = self.edges[walked.bit].ends
        return (b, a) if walked.turned else (a, b)

    def length(self, side: Iterable[Walked]) -> float:
        return sum(self.edges[each.bit].length for each in side)

    def mouth_corners(self, dart: Dart) -> tuple[Corner, Corner]:
        return self.edges[dart.legs[0]].ends[0], self.edges[dart.legs[1]].ends[1]

    def joints(self, side: Side) -> list[tuple[float, Corner, Corner]]:
        """Between neighbours of a side: the share of the way gone, the last corner of one, the first of the next."""
        whole, gone, found = self.length(side) or 1.0, 0.0, []
        for one, other in pairwise(side):
            gone += self.edges[one.bit].length
            found.append((gone / whole, self.ends(one)[1], self.ends(other)[0]))
        return found

    def meetings(self, run: SeamRun) -> list[tuple[Corner, Corner]]:
        """The corners that this seam makes one."""
        a, b = run.sides
        pairs = [(self.ends(a[0])[0], self.ends(b[0])[0]), (self.ends(a[-1])[1], self.ends(b[-1])[1])]
        for share, before, after in self.joints(a):
            for other, also_before, also_after in self.joints(b):
                if abs(share - other) < ALIKE:
                    pairs += [(before, also_before), (after, also_after)]
        return pairs

    def named(self, piece: str, edge: str, copy: str) -> list[list[Bit]]:
        """The edge, or the parts of a parent in their order, once for each cloth that has it; empty where none has."""
        leaves = self._leaves(piece, edge)
        return [[Bit(piece, n, copy, leaf) for leaf in leaves] for n in self.cloths.get((piece, copy), ()) if leaves]

    def neighbours(self, bit: Bit) -> list[Bit]:
        """The edges before and after it on its cloth."""
        ring = self.rings[bit.piece, bit.cloth]
        at = ring.index(bit)
        return [ring[at - 1], ring[(at + 1) % len(ring)]]

    def covered(self, fold: Fold, caught: Bit) -> list[Bit]:
        """The edges of the same half that an edge lies upon once it is turned over along the fold."""
        turned = reflected(self.edges[caught].run, fold.line)
        others = [b for b in self.rings[fold.piece, fold.cloth] if b != caught and b.copy == caught.copy]
        return [b for b in others if laps(turned, self.edges[b].run)]

    def _lay_out(self, piece: Data) -> None:
        name, drawn = piece["name"], piece["edges"]
        count = max(1, piece["cut"])
        first = count if not piece["mirrored_pair"] else (count + 1) // 2
        self.cloths[name, "drawn"] = list(range(first))
        self.cloths[name, "mirrored"] = list(range(first)) if piece["on_fold"] else list(range(first, count))
        runs = {edge["name"]: points(edge, 16) for edge in drawn}
        for number in range(count):
            mine = [copy for copy in ("drawn", "mirrored") if number in self.cloths[name, copy]]
            ring = []
            for copy in mine:
                bits = [self._edge(piece, at, number, copy, runs) for at in range(len(drawn))]
                ring += bits if copy == mine[0] else list(reversed(bits))
            self.rings[name, number] = [bit for bit in ring if not self.edges[bit].fold]

    def _edge(self, piece: Data, at: int, number: int, copy: str, runs: dict[str, np.ndarray]) -> Bit:
        edge, count = piece["edges"][at], len(piece["edges"])
        run = runs[edge["name"]]

        def corner(index: int, x: float) -> Corner:
            shared = piece["on_fold"] and abs(x) < 0.01
            return Corner(piece["name"], number, "fold" if shared else copy, index % count)

        ends = corner(at, run[0, 0]), corner(at + 1, run[-1, 0])
        bit = Bit(piece["name"], number, copy, edge["name"])
        facts = EdgeFacts(edge_length(edge), edge["allowance"], edge["finish"], edge["fold"], ends, run)
        self.edges[bit] = facts
        return bit

    def _leaves(self, piece: str, edge: str) -> list[str]:
        drawn = self.pieces[piece]["edges"] if piece in self.pieces else []
        own = [each["name"] for each in drawn if each["name"] == edge]
        return own or sorted((each["name"] for each in drawn if each["parent"] == edge), key=_number)

    def _seams(self) -> dict[str, list[SeamRun]]:
        asked: Counter[tuple[str, str, str]] = Counter()
        wanted: list[tuple[Data, list[list[list[Data]]]]] = []
        for seam in self.pattern["seams"]:
            twins = [seam["sides"]] + ([_mirrored(seam["sides"])] if seam["twice"] else [])
            wanted.append((seam, twins))
            asked.update((r["piece"], r["edge"], r["copy"]) for sides in twins for side in sides for r in side)
        taken: Counter[tuple[str, str, str]] = Counter()
        return {seam["name"]: self._runs_of(seam, twins, asked, taken) for seam, twins in wanted}

    def _runs_of(
        self,
        seam: Data,
        twins: list[list[list[Data]]],
        asked: Counter[tuple[str, str, str]],
        taken: Counter[tuple[str, str, str]],
    ) -> list[SeamRun]:
        found: list[SeamRun] = []
        for sides in twins:
            keys = [(r["piece"], r["edge"], r["copy"]) for side in sides for r in side]
            lacking = [f"{copy} {edge} of {piece}" for piece, edge, copy in keys if not self.named(piece, edge, copy)]
            if lacking:
                self.faults.append(f"{seam['name']}: there is no {', no '.join(lacking)}")
                continue
            often = min(max(1, len(self.named(*key)) // asked[key]) for key in keys)
            for _ in range(often):
                walked = tuple(tuple(w for r in side for w in self._walk(r, taken)) for side in sides)
                if set(walked[0]) & set(walked[1]):
                    self.faults.append(f"{seam['name']}: an edge is sewn onto itself")
                    continue
                found.append(SeamRun(seam["name"], len(found), seam["construction"], self._untwisted(*walked)))
        return found

    def _walk(self, run: Data, taken: Counter[tuple[str, str, str]]) -> list[Walked]:
        key = run["piece"], run["edge"], run["copy"]
        cloths = self.named(*key)
        bits = cloths[taken[key] % len(cloths)]
        taken[key] += 1
        return [Walked(bit, run["reversed"]) for bit in (reversed(bits) if run["reversed"] else bits)]

    def _untwisted(self, a: Side, b: Side) -> tuple[Side, Side]:
        same = {(w.bit.piece, w.bit.cloth, w.bit.copy) for w in (*a, *b)}
        if len(same) == 1 and a[0].turned == b[0].turned:
            return a, tuple(Walked(w.bit, not w.turned) for w in reversed(b))
        return a, b

    def _drop_doubled(self) -> None:
        """Leave out the cloths of a piece that lie doubled with one that is sewn."""
        used = {(bit.piece, bit.cloth) for run in self.runs for bit in run.bits}
        spare = {(p, n) for p, n in self.rings if (p, n) not in used and p in {piece for piece, _ in used}}
        self.edges = {bit: facts for bit, facts in self.edges.items() if (bit.piece, bit.cloth) not in spare}
        self.rings = {key: ring for key, ring in self.rings.items() if key not in spare}
        self.cloths = {(p, c): [n for n in all_ if (p, n) not in spare] for (p, c), all_ in self.cloths.items()}

    def _darts(self) -> list[Dart]:
        found = []
        for (piece, number), ring in self.rings.items():
            for copy in dict.fromkeys(bit.copy for bit in ring):
                half = [Bit(piece, number, copy, edge["name"]) for edge in self.pieces[piece]["edges"]]
                at = 0
                while at < len(half) - 1:
                    if self.edges[half[at]].finish == self.edges[half[at + 1]].finish == "dart":
                        mouth = half[at - 1], half[(at + 2) % len(half)]
                        found.append(Dart((half[at], half[at + 1]), mouth))
                        at += 1
                    at += 1
        return found

    def _folds(self, piece: Data) -> list[Fold]:
        found = []
        for inner in piece["inner"]:
            if inner["kind"] != "fold line":
                continue
            line = np.array(inner["line"])
            whole = piece["on_fold"] and bool((np.abs(line[:, 0]) < 0.01).any())
            for name, number in self.rings:
                if name != piece["name"]:
                    continue
                copies = [copy for copy in ("drawn", "mirrored") if number in self.cloths[name, copy]]
                for group in [copies] if whole else [[copy] for copy in copies]:
                    crossed = tuple(b for b in self.rings[name, number] if b.copy in group and self._ends_on(line, b))
                    found.append(Fold(name, number, inner["name"], tuple(group), line, crossed))
        return found

    def _ends_on(self, line: np.ndarray, bit: Bit) -> bool:
        run = self.edges[bit].run
        return any(
            far_from(end, run) < NEAR / 2 and min(math.dist(end, run[0]), math.dist(end, run[-1])) > NEAR
            for end in (line[0], line[-1])
        )

    def _places(self, piece: Data) -> list[Place]:
        name, found = piece["name"], []
        for mark in piece["marks"]:
            if mark["kind"] != "strap" and not any(part in mark["name"] for part in self.pieces if part != name):
                continue
            at = np.array(mark["at"])
            for number in (n for p, n in self.rings if p == name):
                copies = [copy for copy in ("drawn", "mirrored") if number in self.cloths[name, copy]]
                for copy in copies[:1] if piece["on_fold"] and abs(at[0]) < 0.01 else copies:
                    mine = [f for f in self.folds if (f.piece, f.cloth) == (name, number) and copy in f.copies]
                    folds = tuple(fold.name for fold in mine if far_from(at, fold.line) < NEAR)
                    ring = [bit for bit in self.rings[name, number] if bit.copy == copy]
                    edges = tuple(bit for bit in ring if far_from(at, self.edges[bit].run) < NEAR)
                    found.append(Place(name, number, copy, mark["name"], folds, edges))
        return found

    def _opened(self, said: str) -> list[Bit]:
        for at in (k for k in range(len(said)) if said.startswith(" of ", k)):
            edge, piece = said[:at], said[at + 4 :]
            if self._leaves(piece, edge):
                return [bit for copy in ("drawn", "mirrored") for bits in self.named(piece, edge, copy) for bit in bits]
        self.faults.append(f"an opening names '{said}', which is not there")
        return []

    def _check_seams(self) -> None:
        """Hold both sides to one length within 1 mm after the ease, and neighbours of a side to one corner at last."""
        eases = {seam["name"]: seam["ease"] for seam in self.pattern["seams"]}
        for run in self.runs:
            a, b = (self.length(side) for side in run.sides)
            if abs(a - b - eases[run.name]) > 1.0:
                self.faults.append(f"{run.name}: {a:.1f} mm to {b:.1f} mm, ease {eases[run.name]:.1f} mm")
            for side in run.sides:
                for at, (_, before, after) in enumerate(self.joints(side)):
                    if not self.all_but(run.name).same(before, after):
                        self.faults.append(f"{run.name}: {side[at].bit} and {side[at + 1].bit} never meet")


def _mirrored(sides: list[list[Data]]) -> list[list[Data]]:
    other = {"drawn": "mirrored", "mirrored": "drawn"}
    return [[{**run, "copy": other[run["copy"]]} for run in side] for side in sides]


def _number(leaf: str) -> tuple[int, str]:
    tail = leaf.rsplit(".", 1)[-1]
    return (int(tail), "") if tail.isdigit() else (0, leaf)
