"""How much thread the rows of a garment take, by which thread, and how many spools to buy. Lengths are mm.

By the ratio of thread to seam, which a thread maker prints by type of stitch; for lockstitches in thick layers by the
stitch's own geometry where that asks for more.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from onfold.cloth import Cloth, SystemOfUnits
from onfold.making.operation import Operation, SewnRow
from onfold.making.stitches import StitchType, setting_of, stitch_type
from onfold.units import UNITS

Mark = Literal["S", "A", "C", "M"]

USUAL_WASTE = 0.15
"""The share added for ends, breaks and trials: 10 to 15 % in one bulletin, 15 to 20 % in another (T122 [S])."""
USUAL_SPOOL = 100_000.0  # mm on a spool of sewing thread [C]
USUAL_CONE = 1_000_000.0  # mm on an overlocker's cone [C]


@dataclass(frozen=True)
class Ratio:
    """Thread for one length of seam. `parts` are the shares of its threads where the source tells them, else empty."""

    ratio: float
    mark: Mark
    parts: tuple[tuple[str, float], ...] = ()


RATIOS: Mapping[str, Ratio] = {
    "101": Ratio(5.0, "S"),
    "103": Ratio(4.5, "S"),
    "301": Ratio(2.5, "S", (("needle", 0.5), ("bobbin", 0.5))),
    "304": Ratio(5.5, "S"),
    "401": Ratio(5.5, "M"),
    "503": Ratio(12.0, "M"),
    "504": Ratio(14.0, "M"),
    "512": Ratio(18.0, "M"),
    "516": Ratio(20.0, "M"),
    "602": Ratio(25.0, "M"),
    "605": Ratio(28.0, "M"),
}
"""Thread to seam by type of stitch: 101 to 304 from a thread maker's guide (T119 [S]), the rest from memory [M]."""

BY_NAME: Mapping[str, Ratio] = {
    "twin needle": Ratio(5.0, "A"),  # no more than two rows of 301: one bobbin thread serves both
    "catch stitch": Ratio(3.0, "M"),
    "slip stitch": Ratio(1.5, "M"),
    "tacking": Ratio(1.5, "M"),
    "buttonhole": Ratio(30.0, "M"),  # both legs and the bars, for one length of the hole
}
"""Ratios of the stitches that have no type in a source, or take other lengths than their type, by name."""


def ratio_of(stitch: StitchType, ratios: Mapping[str, Ratio] | None = None) -> Ratio:
    """Return the ratio of this stitch. `ratios`, by name or type, stand before ours: a maker's own samples."""
    given = ratios or {}
    for key in (stitch.name, stitch.iso_type):
        if key in given:
            return given[key]
    return BY_NAME.get(stitch.name) or RATIOS[stitch.iso_type]


def with_waste(length: float, waste: float = USUAL_WASTE) -> float:
    """Return a length of thread with its waste, same unit: length x (1 + waste)."""
    return length * (1.0 + waste)


Geometry = Callable[[float, float, float], tuple[float, ...]]

# Per inch of seam: T thickness of all layers in inches, S stitches to the inch, W width in inches (T123, T124 [C]).
# Of 504 two formulas are in print, 2 in to the inch apart: both are given, and no estimate rests on either.
GEOMETRY: Mapping[str, Geometry] = {
    "101": lambda t, s, w: (3.0 + 2.0 * t * s,),
    "301": lambda t, s, w: (2.0 + 2.0 * t * s,),
    "401": lambda t, s, w: (4.0 + 2.0 * t * s,),
    "406": lambda t, s, w: (7.0 + 2.0 * s * (t + w),),
    "407": lambda t, s, w: (9.0 + 2.0 * s * (3.0 * t + w),),
    "504": lambda t, s, w: (3.0 + 4.0 * w * s + 4.0 * t * s, 5.0 + 4.0 * s * (w + t)),
    "514": lambda t, s, w: (5.0 + 2.0 * s * (3.0 * t + 2.0 * w),),
    "516": lambda t, s, w: (9.0 + 2.0 * s * (2.0 * w + 3.0 * t),),
    "602": lambda t, s, w: (8.0 + s * (5.0 * w + 4.0 * t),),
    "605": lambda t, s, w: (10.0 + 2.0 * s * (2.0 * w + 3.0 * t),),
    "607": lambda t, s, w: (12.0 + 4.0 * s * (w + 2.0 * t),),
}


def geometric_ratios(iso_type: str, thickness: float, length: float, width: float = 0.0) -> tuple[float, ...]:
    """Return thread to seam by the stitch's geometry: `thickness` of all layers, stitch `length` and `width`, mm.

    One figure for every formula in print, so that they can be compared; empty where the type has none or the length
    is not above 0. 301 is exact for a stitch that locks half way: two threads along, two crossings a stitch (T123 [A]).
    """
    if iso_type not in GEOMETRY or not length > 0.0:
        return ()
    inch = UNITS["in"]
    return GEOMETRY[iso_type](max(0.0, thickness) / inch, inch / length, max(0.0, width) / inch)


@dataclass(frozen=True)
class ThreadUse:
    """What the rows of one stitch take: mm of row, mm of thread without waste, by which thread where that is told."""

    stitch: StitchType
    sewn: float
    thread: float
    mark: Mark
    parts: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class ThreadNeed:
    """The thread of a garment. `sewing` and `overlock` are mm with waste; `guessed` says what stands on a default."""

    uses: tuple[ThreadUse, ...]
    waste: float
    sewing: float
    overlock: float
    spools: int
    cones: int
    spool: float = USUAL_SPOOL
    cone: float = USUAL_CONE
    guessed: tuple[str, ...] = ()

    @property
    def total(self) -> float:
        """Return all thread, mm, waste counted in."""
        return self.sewing + self.overlock


def thread_of_row(row: SewnRow, cloth: Cloth, ratios: Mapping[str, Ratio] | None = None) -> ThreadUse:
    """Return what one row takes. A 301 in thick layers takes what its geometry asks where that is more.

    A ratio of the maker's own is taken as it is. KeyError where no stitch has the row's name.
    """
    stitch = stitch_type(row.stitch)
    ratio = ratio_of(stitch, ratios)
    factor, mark = ratio.ratio, ratio.mark
    own = stitch.name in (ratios or {}) or stitch.iso_type in (ratios or {})
    if stitch.iso_type == "301" and not own:
        layers = max(1, row.layers) * max(0.0, cloth.thickness)
        by_geometry = geometric_ratios("301", layers, setting_of(row.stitch, cloth).length)[0]
        factor, mark = (by_geometry, "A") if by_geometry > factor else (factor, mark)
    sewn = max(0.0, row.length)
    thread = sewn * factor
    return ThreadUse(stitch, sewn, thread, mark, tuple((name, share * thread) for name, share in ratio.parts))


def thread_need(
    rows: Iterable[SewnRow],
    cloth: Cloth,
    *,
    waste: float = USUAL_WASTE,
    spool: float = USUAL_SPOOL,
    cone: float = USUAL_CONE,
    ratios: Mapping[str, Ratio] | None = None,
) -> ThreadNeed:
    """Return the thread of all these rows, by stitch and in all, with waste and in spools.

    An overlocker wants a cone for each of its threads, however little it takes. `spool` and `cone` are mm, above 0.
    """
    if not (spool > 0.0 and cone > 0.0):
        raise ValueError(f"a spool holds thread: {spool} mm, {cone} mm")
    uses = _by_stitch([thread_of_row(row, cloth, ratios) for row in rows])
    waste = max(0.0, waste)
    overlock = with_waste(sum(use.thread for use in uses if use.stitch.worked == "overlocker"), waste)
    sewing = with_waste(sum(use.thread for use in uses if use.stitch.worked != "overlocker"), waste)
    threads = max((len(use.stitch.threads) for use in uses if use.stitch.worked == "overlocker"), default=0)
    guessed = [f"{use.stitch.name}: ratio from memory" for use in uses if use.mark == "M"]
    guessed += ["cloth thickness"] if "thickness" in cloth.guessed else []
    return ThreadNeed(
        uses=uses,
        waste=waste,
        sewing=sewing,
        overlock=overlock,
        spools=math.ceil(sewing / spool),
        cones=max(threads, math.ceil(overlock / cone)) if overlock > 0.0 else 0,
        spool=spool,
        cone=cone,
        guessed=tuple(guessed),
    )


def rows_of(operations: Iterable[Operation]) -> tuple[SewnRow, ...]:
    """Return every row that is sewn in these operations; a row's length counts its repeats already."""
    return tuple(act.row for operation in operations for act in operation.acts if act.row is not None)


def _by_stitch(uses: Sequence[ThreadUse]) -> tuple[ThreadUse, ...]:
    """Return one use a stitch, in the order first met: lengths and parts added, the weakest mark kept."""
    strength = "MCAS"
    found: dict[str, ThreadUse] = {}
    for use in uses:
        had = found.get(use.stitch.name)
        if had is None:
            found[use.stitch.name] = use
            continue
        parts = dict(had.parts)
        for name, length in use.parts:
            parts[name] = parts.get(name, 0.0) + length
        mark = min(had.mark, use.mark, key=strength.index)
        found[use.stitch.name] = ThreadUse(
            use.stitch, had.sewn + use.sewn, had.thread + use.thread, mark, tuple(parts.items())
        )
    return tuple(found.values())


def say_run(mm: float, units: SystemOfUnits) -> str:
    """Return a length of thread, tape or binding as it is bought, rounded up: `85 m`, `93 yd`."""
    unit, size = ("yd", UNITS["yd"]) if units == "in" else ("m", UNITS["m"])
    return f"{math.ceil(round(mm / size, 6))} {unit}"


def say_spool(mm: float, units: SystemOfUnits) -> str:
    """Return what a spool holds, rounded down, so that it is not said to hold more: `100 m`, `109 yd`."""
    unit, size = ("yd", UNITS["yd"]) if units == "in" else ("m", UNITS["m"])
    return f"{math.floor(round(mm / size, 6))} {unit}"
