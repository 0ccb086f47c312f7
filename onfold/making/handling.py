"""How a cloth is handled: pressed, held, fed, cut, marked, stayed and tacked, in sentences a dressmaker would say.

All of it is common practice [C]; where a figure or rule has a number of its own, it stands beside it.
"""

from __future__ import annotations

from dataclasses import dataclass

from onfold.cloth import Cloth, one_way
from onfold.making.iron import Iron, iron_of, tell_iron
from onfold.making.traits import (
    is_coated,
    is_pile,
    is_sheer,
    is_slippery,
    is_thick,
    stretches,
    weight_class,
)

Said = tuple[str, ...]


@dataclass(frozen=True)
class Handling:
    """How one cloth is handled. Each tuple holds whole sentences, the gravest first; empty where nothing is special.

    `mark_with` and `notch_with` are what marks and notches are made with: `a tailor's tack`. `tack_first` says that
    seams are tacked and not only pinned or clipped.
    """

    cloth: str
    iron: Iron
    pressing: Said
    holding: Said
    feeding: Said
    cutting: Said
    marking: Said
    mark_with: str
    notch_with: str
    stays: Said
    seams: Said
    bulk: Said
    tacking: Said
    tack_first: bool
    fusible: bool

    @property
    def sentences(self) -> Said:
        """Return every sentence of it, pressing first."""
        return (
            *self.pressing,
            *self.holding,
            *self.feeding,
            *self.cutting,
            *self.marking,
            *self.stays,
            *self.seams,
            *self.bulk,
            *self.tacking,
        )


def handling_of(cloth: Cloth) -> Handling:
    """Return how this cloth is handled, by its kind, surface, fibre, weight, thickness and stretch."""
    iron = iron_of(cloth)
    mark, notch = _marked_with(cloth)
    return Handling(
        cloth=cloth.name,
        iron=iron,
        pressing=_pressing(cloth, iron),
        holding=_holding(cloth),
        feeding=_feeding(cloth),
        cutting=_cutting(cloth),
        marking=_marking(cloth, mark, notch),
        mark_with=mark,
        notch_with=notch,
        stays=_stays(cloth),
        seams=_seams(cloth),
        bulk=_bulk(cloth),
        tacking=_tacking(cloth),
        tack_first=tacks_first(cloth),
        fusible=iron.manner == "plate" and not is_sheer(cloth),
    )


def tacks_first(cloth: Cloth) -> bool:
    """Return whether seams are tacked before they are sewn: pile creeps, slippery and sheer cloth slide (T186)."""
    return not is_coated(cloth) and (is_pile(cloth) or is_slippery(cloth) or is_sheer(cloth))


def _pressing(cloth: Cloth, iron: Iron) -> Said:
    told = tell_iron(iron)
    if iron.manner != "plate" or cloth.kind != "knit":
        return told
    return (told[0], "Lift the iron from place to place: pushed along, it stretches the cloth.", *told[1:])


def _holding(cloth: Cloth) -> Said:
    if is_coated(cloth):
        return (
            "Hold the layers with clips: a pin's hole stays.",
            "Where no clip reaches, hold it with tape that a scrap has shown to leave no mark.",
        )
    said = []
    if is_sheer(cloth) or is_slippery(cloth):
        said.append("Use fine pins, inside the allowances: a thick one draws threads.")
    elif is_pile(cloth):
        said.append("Pin inside the allowances, and take the pins out soon: they leave tracks in the pile.")
    elif is_thick(cloth):
        said.append("Use clips or long pins, set across the seam: short ones bend in thick cloth.")
    else:
        said.append("Pin across the seam, inside the allowance.")
    if stretches(cloth):
        said.append("Pin or clip from the middle to both ends, the layers flat on the table and not stretched.")
    return tuple(said)


def _feeding(cloth: Cloth) -> Said:
    said = []
    if is_pile(cloth):
        said.append("Sew the way the pile points: the layers creep less.")
    if is_sheer(cloth) or is_slippery(cloth):
        said.append("Lay tissue below the seam, sew through both, and tear it away along the stitches.")
    if is_coated(cloth):
        said.append("Where the cloth sticks to the foot, lay tissue above it or use a non-stick foot.")
        said.append("Sew each row once: holes of a row taken out stay.")
    if is_sheer(cloth):
        said.append("Begin on a scrap of tissue and hold both threads, so that the cloth is not drawn into the plate.")
    if stretches(cloth):
        said.append("Let the feed take the cloth; do not pull it from behind.")
    if is_thick(cloth):
        said.append("At a crossing seam lift the foot level with a folded scrap behind it, and turn the wheel by hand.")
    return tuple(said)


def _cutting(cloth: Cloth) -> Said:
    said = []
    if is_pile(cloth):
        said.append("Cut in one layer, wrong side up: never folded, never pile to pile, never on the bolt's crease.")
    if one_way(cloth):
        said.append("All tops lie to the same end; chalk an arrow to the top on the back of each piece.")
    if is_sheer(cloth) or is_slippery(cloth):
        said.append("Pin the cloth to paper inside the allowances and cut both together, in one layer.")
    if is_coated(cloth):
        said.append("Hold the pattern with weights, not pins, and cut in one layer, wrong side up.")
    if cloth.kind == "knit":
        said.append("Let it lie relaxed for a day before cutting, none of it hanging over the table's edge.")
    if is_thick(cloth) and not is_pile(cloth):
        said.append("Cut in one layer: of two thick layers the upper one comes out smaller.")
    if cloth.repeat_along > 0.0 or cloth.repeat_across > 0.0:
        if not is_pile(cloth):
            said.append("Cut in one layer, right side up, so that stripes and bars are seen.")
        said.append("Lay partners at the same bar along their seam lines, not along their cut edges.")
    return tuple(said)


def _marked_with(cloth: Cloth) -> tuple[str, str]:
    """Return what points and what notches are marked with."""
    if is_coated(cloth):
        return "soft chalk on the wrong side", "a short nick inside the allowance"
    if is_pile(cloth):
        return "a tailor's tack", "chalk on the wrong side"
    if is_sheer(cloth):
        return "a tailor's tack in fine thread", "a loop of thread in the allowance"
    if is_slippery(cloth):
        return "a tailor's tack in fine thread", "a short nick inside the allowance"
    if cloth.kind == "knit":
        return "a tailor's tack", "chalk on the wrong side"
    if is_thick(cloth):
        return "a tailor's tack", "chalk on the wrong side"
    return "chalk on the wrong side", "a short nick inside the allowance"


def _marking(cloth: Cloth, mark: str, notch: str) -> Said:
    said = [f"Points and lines: {mark}. Notches: {notch}."]
    if is_coated(cloth):
        said.append("No pins, tacks or wheel: each hole stays and lets water in.")
    elif is_pile(cloth):
        said.append("Never a tracing wheel and never a hot iron on pile: both leave tracks for good.")
    elif is_sheer(cloth):
        said.append("No chalk, wax or carbon paper: they show through.")
    else:
        said.append("Try the chalk on a scrap and see that it brushes out.")
    return tuple(said)


def _stays(cloth: Cloth) -> Said:
    """Return which edges want a stay (T174-T179)."""
    if stretches(cloth):
        return (
            "Tape the shoulders: they carry the garment and stretch with its weight.",
            "Tape straps inside, or cut them along the lesser stretch.",
            "A cowl hangs from its armholes: tape them before the facing is turned.",
        )
    if cloth.kind == "woven" and not is_coated(cloth):
        return ("Stay stitch necks, armholes and other slanting edges as soon as they are cut.",)
    return ()


def _seams(cloth: Cloth) -> Said:
    said = []
    if is_sheer(cloth):
        said.append("Enclose the raw edges, in a narrow French seam or a binding: they show through.")
    if stretches(cloth):
        said.append("Take an overlock or a narrow zigzag: a straight row breaks where the cloth stretches.")
    if is_pile(cloth):
        said.append(
            "Hem it by hand, in a loose catch stitch: a machine's row, of twin needles above all, flattens pile."
        )
    if is_coated(cloth):
        said.append("Lap or topstitch seams to hold them down: they cannot be ironed.")
    return tuple(said)


def _bulk(cloth: Cloth) -> Said:
    if not is_thick(cloth):
        return ()
    said = ["Grade the allowances: each layer narrower than the one nearer the outside."]
    said.append("Trim corners close and cut away what crosses in a seam before the next row.")
    if weight_class(cloth) == "heavy":
        said.append("Face waistbands and collars with a thinner cloth where they grow too thick.")
    return tuple(said)


def _tacking(cloth: Cloth) -> Said:
    if is_coated(cloth):
        return ("Do not tack: clip, and fit before sewing with clips inside the allowances.",)
    if is_pile(cloth):
        return ("Tack every seam with two rows beside the seam line: pile creeps on pile.",)
    if tacks_first(cloth):
        return ("Tack every seam in fine thread just inside the allowance: the layers slide.",)
    return ("Pins do for straight seams; tack what is curved, eased or tried on.",)
