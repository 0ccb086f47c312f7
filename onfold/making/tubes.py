"""A strap or narrow tube: what strip it is cut from, how far it is trimmed, and by which way it can be turned.

Lengths are mm. `onfold.construction.tube` holds the rule that the check of straps uses too.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from onfold.cloth import Cloth, SystemOfUnits
from onfold.construction import strip_width, tube_room
from onfold.making.traits import stretches
from onfold.pattern import Pattern, Piece
from onfold.units import say_length, say_small

WayName = Literal["bodkin and thread", "turning hook"]

LEAST_LEFT = 3.0  # mm of allowance below which a trimmed seam frays out [C]
PRESSED = 0.6  # of its thickness is left of cloth squeezed in the hand [M]
TOOLS: Mapping[WayName, float] = {"bodkin and thread": 2.5, "turning hook": 1.5}
"""How thick the tool is, mm: a bodkin with its doubled thread, the wire of a hook [C]."""


@dataclass(frozen=True)
class TurningWay:
    """One way of turning a tube: the least finished width at which it passes, what it needs, and how it is done."""

    name: WayName
    least_width: float
    passes: bool
    needs: tuple[str, ...]
    do: str


@dataclass(frozen=True)
class Tube:
    """A tube of a finished width and length in one thickness.

    `strip` is how wide it is cut, `room` the most allowance that lies inside, `trim_to` what is left of the
    allowance, None where no trimming makes it fit. `reason` says why it cannot be turned, or is ''.
    """

    width: float
    length: float
    thickness: float
    allowance: float
    strip: float
    room: float
    trim_to: float | None
    taped: bool
    ways: tuple[TurningWay, ...]
    reason: str = ""

    @property
    def trimmed(self) -> bool:
        """Return whether the allowance is trimmed after it is sewn."""
        return self.trim_to is not None and self.trim_to < self.allowance


def tube_of(width: float, cloth: Cloth, *, length: float = 0.0, allowance: float = 6.0) -> Tube:
    """Return the tube of this finished width in this cloth, sewn `allowance` from the raw edges (T67, T179).

    What is left of the allowance is as much as lies inside; where the tube does not turn so, as little as holds.
    """
    room = tube_room(width, cloth.thickness)
    trim_to, ways = _trimmed(width, cloth.thickness, allowance, room, length)
    reason = ""
    if trim_to is None:
        reason = "No allowance fits inside: fold the strip in four and topstitch it instead."
    elif not any(way.passes for way in ways):
        reason = "The cloth is too thick to pass through itself: fold the strip in four and topstitch it instead."
    return Tube(
        width,
        length,
        cloth.thickness,
        allowance,
        strip_width(width, allowance),
        room,
        trim_to,
        stretches(cloth),
        ways,
        reason,
    )


def _trimmed(
    width: float, thickness: float, allowance: float, room: float, length: float
) -> tuple[float | None, tuple[TurningWay, ...]]:
    """Return what is left of the allowance, None where none fits, and the ways of turning with it."""
    least = min(LEAST_LEFT, allowance)
    most = min(allowance, room)
    if most < least or not most > 0.0:
        return None, tuple(_way(name, width, thickness, least, False, length) for name in TOOLS)
    found = {left: tuple(_way(name, width, thickness, left, True, length) for name in TOOLS) for left in (most, least)}
    turns = any(way.passes for way in found[most]) or not any(way.passes for way in found[least])
    return (most, found[most]) if turns else (least, found[least])


def least_width(thickness: float, way: WayName, left: float = LEAST_LEFT) -> float:
    """Return the least finished width, mm, of a tube that turns in this thickness by this way.

    Two conditions, the wider of which counts. The allowance left lies inside: left + 2 x thickness (T179 [C]). And the
    tube passes through itself: a circumference of 2 x width opens to a round hole, inside it the walls, both
    allowances and the tool must find room, pi (w / pi - t / 2)^2 >= (2 w + 2 left) t + tool [A], t the thickness as it
    is squeezed in the hand, 0.6 of it [M]. A guide for the trial, not a promise.
    """
    pressed = PRESSED * max(0.0, thickness)
    tool = math.pi * (TOOLS[way] / 2.0) ** 2
    # w^2 / pi - 3 t w + (pi t^2 / 4 - 2 left t - tool) = 0, the greater root
    a, b, c = 1.0 / math.pi, -3.0 * pressed, math.pi * pressed**2 / 4.0 - 2.0 * left * pressed - tool
    passes = (-b + math.sqrt(b * b - 4.0 * a * c)) / (2.0 * a)
    return max(left + 2.0 * max(0.0, thickness), passes)


def _way(name: WayName, width: float, thickness: float, left: float, fits: bool, length: float) -> TurningWay:
    least = least_width(thickness, name, left)
    passes = fits and width >= least - 1e-9
    if name == "bodkin and thread":
        needs: tuple[str, ...] = (
            "a bodkin",
            "strong thread, doubled, half as long again as the tube",
            "both ends open",
        )
        do = (
            "Fasten the thread to one end of the seam's allowance, drop the bodkin through the tube, and draw the end "
            "in after it."
        )
    else:
        reach = "a turning hook as long as the tube" if length > 0.0 else "a turning hook"
        needs = (reach, "both ends open")
        do = "Push the hook through the tube, catch the end of the seam's allowance, and draw it back through."
    return TurningWay(name, least, passes, needs, do)


def tubes_in(pattern: Pattern, cloth: Cloth) -> tuple[tuple[str, Tube], ...]:
    """Return the tubes of a garment, (piece, tube): every strap whose finished width the draft states."""
    width, length = pattern.facts.get("strap width"), pattern.facts.get("strap length")
    if width is None:
        return ()
    long = length.value if length else 0.0
    return tuple(
        (piece.name, tube_of(width.value, cloth, length=long, allowance=_seam_allowance(pattern, piece)))
        for piece in pattern.pieces
        if piece.name.startswith("strap")
    )


def _seam_allowance(pattern: Pattern, piece: Piece) -> float:
    """Return the widest allowance of the seam that closes a strap, mm."""
    edges = {run.edge for seam in pattern.seams for side in seam.sides for run in side if run.piece == piece.name}
    return max((edge.allowance for edge in piece.edges if edge.root in edges), default=LEAST_LEFT)


def say_tube(tube: Tube, units: SystemOfUnits) -> list[str]:
    """Return how the tube is made, in sentences: strip, seam, trimming, turning; or why it cannot be turned."""
    strip, width, seam = (say_small(mm, units) for mm in (tube.strip, tube.width, tube.allowance))
    said = [f"Cut the strip {strip} wide for a tube {width} wide."]
    if tube.reason:
        return [*said, tube.reason]
    said.append(f"Fold it lengthwise, right sides together, and sew {seam} from the raw edges.")
    if tube.trimmed and tube.trim_to is not None:
        said.append(f"Trim the allowances to {_down(tube.trim_to, units)}: no more lies inside.")
    if tube.taped:
        said.append("Catch a stay tape in the seam, so that the strap does not stretch.")
    said += [_say_way(way, tube, units) for way in tube.ways]
    if tube.length > 0.0:
        said.append(f"Turn a trial piece of {'6 in' if units == 'in' else '15 cm'} first.")
    return said


def _say_way(way: TurningWay, tube: Tube, units: SystemOfUnits) -> str:
    if not way.passes:
        least = say_small(math.ceil(way.least_width * 2.0) / 2.0, units)
        return f"Not by {way.name}: in this thickness a tube must be about {least} wide for it."
    return f"By {way.name}: have {', '.join(way.needs)}. {way.do}"


def _down(mm: float, units: SystemOfUnits) -> str:
    """Return a width rounded down to the half mm or 1/32 in, so that what it says fits."""
    if units == "in":
        return say_length(math.floor(mm / 25.4 * 32.0 + 1e-9) * 25.4 / 32.0, "in", 32)
    return say_small(math.floor(mm * 2.0 + 1e-9) / 2.0, units)
