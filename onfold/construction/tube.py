"""A strap or narrow tube: what its strip, seam and thickness have to do with one another. Lengths are mm."""

from __future__ import annotations


def tube_room(width: float, thickness: float) -> float:
    """Return the most allowance that lies inside a tube of this finished width: the width less two thicknesses.

    Two layers of cloth stand inside it [A]; that no more than this is left after trimming is common practice
    (T179 [C]). Below 0 the tube has no inside.
    """
    return width - 2.0 * thickness


def strip_width(width: float, allowance: float) -> float:
    """Return how wide the strip is cut: twice the finished width and twice the allowance (T67 [A]).

    Folded in half and sewn `allowance` from the raw edges. The published 2 x width + allowance is too narrow.
    """
    return 2.0 * (width + allowance)
