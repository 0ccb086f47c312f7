"""Zips, buttons and elastic: the lengths they are made in, and where and how long they are in a garment. mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

from onfold.cloth import SystemOfUnits
from onfold.units import UNITS

INCH = UNITS["in"]

ZIPS: tuple[tuple[int, int], ...] = (
    (10, 4),
    (13, 5),
    (15, 6),
    (18, 7),
    (20, 8),
    (23, 9),
    (25, 10),
    (28, 11),
    (30, 12),
    (33, 13),
    (36, 14),
    (38, 15),
    (41, 16),
    (43, 17),
    (46, 18),
    (51, 20),
    (53, 21),
    (56, 22),
    (61, 24),
    (66, 26),
    (69, 27),
    (71, 28),
    (76, 30),
)
"""Lengths zips are made in, cm and inches (T133 [S])."""

ELASTICS: tuple[tuple[float, float, float], ...] = (
    (6.0, 7.0, 0.25),
    (12.0, 13.0, 0.5),
    (19.0, 20.0, 0.75),
    (25.0, 26.0, 1.0),
    (32.0, 32.0, 1.25),
    (37.0, 38.0, 1.5),
    (43.0, 44.0, 1.75),
    (50.0, 50.0, 2.0),
)
"""Widths elastic is made in: from mm, to mm, and the inches it is called by (T132 [S])."""

NOISE = 0.05  # mm by which an opening may pass a made length through rounding alone
ELASTIC_SHORTER = 2.0 * INCH  # waist less 2 in (T131 [C])
ELASTIC_OVERLAP = 25.0  # mm that its ends are laid over one another, 2 to 3 cm (T131 [C])
TUNNEL_SPARE = 0.25 * INCH  # a tunnel for 1/2 in elastic is 3/4 to 1 in wide (T131 [C])
PAST_BUTTON = 3.0  # mm a buttonhole is longer than diameter and thickness, and reaches past the centre (T134 [S])
SPACING = (3.0 * INCH, 3.5 * INCH)  # mm between the buttons of a shirt (T136 [S])
VERY_SMALL = 10.0  # mm of diameter below which a button counts as very small [C]


@dataclass(frozen=True)
class Button:
    """A button: its diameter and thickness, mm."""

    diameter: float
    thickness: float


USUAL_BUTTON = Button(15.0, 3.0)
"""What is taken where the maker names none: a dress button [C]."""


def zip_for(opening: float, units: SystemOfUnits) -> float | None:
    """Return the next made length, mm, at or above the opening, in the maker's units; None beyond the longest.

    The longer zip is shortened at its foot; one too short leaves the opening too narrow.
    """
    made = [inches * INCH for _, inches in ZIPS] if units == "in" else [cm * 10.0 for cm, _ in ZIPS]
    return next((length for length in made if length >= opening - NOISE), None)


def elastic_length(girth: float) -> float:
    """Return how much elastic a girth wants, mm: 2 in less than the girth, and the overlap (T131 [C])."""
    return max(0.0, girth - ELASTIC_SHORTER) + ELASTIC_OVERLAP if girth > 0.0 else 0.0


def elastic_width(tunnel: float) -> tuple[float, float] | None:
    """Return (mm, inches) of the widest elastic that runs in a tunnel this wide, 1/4 in less; None where none does."""
    fits = [(least, inches) for least, _, inches in ELASTICS if inches * INCH <= tunnel - TUNNEL_SPARE + NOISE]
    return fits[-1] if fits else None


def buttonhole_length(button: Button, bound: bool = False) -> float:
    """Return how long its buttonhole is, mm: diameter, thickness and 3 mm; a bound one without the 3 (T134 [S])."""
    return button.diameter + button.thickness + (0.0 if bound else PAST_BUTTON)


def edge_beyond(button: Button) -> float:
    """Return how far the edge lies beyond the centre line, mm: the largest of the rules in print (T135 [S]).

    3/4 and 1/2 of the diameter, 1/2 and 1/4 in, the whole of it; 1 1/2 of a very small one.
    """
    whole = button.diameter * (1.5 if button.diameter < VERY_SMALL else 1.0)
    return max(whole, 0.75 * button.diameter, 0.5 * button.diameter + 0.25 * INCH)


def button_places(length: float, button: Button = USUAL_BUTTON, bust: float | None = None) -> tuple[float, ...]:
    """Return how far from the top of the opening each button stands, mm.

    First and last are placed, the rest divided, none farther apart than 3 1/2 in; where the bust line crosses the
    opening, `bust` mm from the top, one button stands on it and the spacing goes on from there (T136 [S]). First and
    last stand as far from the ends as the edge lies beyond the centre [C].
    """
    margin = edge_beyond(button)
    first, last = margin, length - margin
    if not last > first:
        return (length / 2.0,) if length > 0.0 else ()
    most = SPACING[1]
    if bust is None or not first + NOISE < bust < last:
        gaps = max(1, math.ceil((last - first) / most - 1e-9))
        return tuple(first + k * (last - first) / gaps for k in range(gaps + 1))
    above = max(1, math.ceil((bust - first) / most - 1e-9))
    step = (bust - first) / above
    below = math.floor((last - bust) / step + 1e-9)
    return tuple(first + k * step for k in range(above + below + 1))
