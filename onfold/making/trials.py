"""The trials on a scrap: what is tried, how it is done, what is read, and which act without a way back it guards.

Common practice throughout [C]; where a figure has a number, it stands beside it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from onfold.cloth import Cloth, SystemOfUnits
from onfold.construction import Finish, is_hem, say_finish
from onfold.making.handling import Handling, handling_of
from onfold.making.machine import machine_setting, say_machine
from onfold.making.pressing import press_seam
from onfold.making.stitches import STITCH_TYPES
from onfold.making.traits import is_pile, stretches
from onfold.making.tubes import Tube, say_tube
from onfold.units import say_degrees

STACKED = 10  # layers of the stack [C]
TIP_ANGLE = 41.5  # degrees below the level at which the tip of an overhanging strip is read (T162 [C])


@dataclass(frozen=True)
class Sizes:
    """The sizes of the scraps, in round figures of the maker's units.

    `pulled` is the length that is pulled (T83 [C]), `square` the side of what is washed and weighed, about 20 cm (T116
    [C]), `small` the side of a pressed scrap, `seam` the length of a trial row, `strip` long and wide what hangs over
    the table's edge, `run` and `drop` a slope of 41.5 degrees [A].
    """

    pulled: str
    square: str
    small: str
    seam: str
    strip: tuple[str, str]
    run: str
    drop: str


SIZES: Mapping[SystemOfUnits, Sizes] = {
    "cm": Sizes("10 cm", "20 cm", "10 cm", "15 cm", ("20 cm", "2.5 cm"), "10 cm", "8.8 cm"),
    "in": Sizes("4 in", "8 in", "4 in", "6 in", ("8 in", "1 in"), "4 in", "3 1/2 in"),
}


@dataclass(frozen=True)
class Trial:
    """One trial. `do` is what is done, `reads` what is read, `fills` the ticket's keys below `cloth:` that it gives.

    `guards` are the acts without a way back and the constructions that wait for it. `known` says that the ticket holds
    its readings already, so that it may be left out. `stitch` is the one a seam's trial is sewn with.
    """

    name: str
    do: tuple[str, ...]
    reads: str
    fills: tuple[str, ...] = ()
    guards: frozenset[str] = frozenset()
    known: bool = False
    stitch: str = ""


def trials_of(
    cloth: Cloth,
    finishes: Sequence[Finish] = (),
    *,
    units: SystemOfUnits = "cm",
    tubes: Sequence[Tube] = (),
    buttons: bool = False,
) -> tuple[Trial, ...]:
    """Return the trials for this cloth and these seams and edges, in the order in which they are done.

    First what cutting waits for, then what sewing, pressing, trimming and turning wait for. Every kind of act that
    cannot be undone is guarded by at least one of them.
    """
    handling = handling_of(cloth)
    return (
        *([_pull(cloth, units)] if cloth.kind == "knit" or stretches(cloth) else []),
        _wash(cloth, handling, units),
        _stroke(cloth),
        _overhang(cloth, units),
        _weigh(cloth, units),
        _stack(cloth),
        _pressing(handling, units),
        *_seams(cloth, finishes, handling, units),
        _trimming(handling),
        *([_buttonhole(cloth, units)] if buttons else []),
        *_tubes(tubes, units),
    )


def _pull(cloth: Cloth, units: SystemOfUnits) -> Trial:
    return Trial(
        "stretch",
        (
            "Fold the cloth on a crosswise line well away from its cut end and let it lie relaxed.",
            f"Mark {SIZES[units].pulled} on the fold, hold it along a ruler at its comfortable most, and read it.",
            "Let go, wait a minute, and read it again. Then do the same along the selvage.",
        ),
        "The length held and the length it came back to, across and along.",
        ("stretch", "recovery"),
        frozenset({"cut"}),
        known=cloth.stretch_given and "recovery" not in cloth.guessed,
    )


def _wash(cloth: Cloth, handling: Handling, units: SystemOfUnits) -> Trial:
    dry = {
        "plate": "Press it while it is just damp.",
        "untried": "Dry it flat, without the iron.",
        "fingers": "Dry it flat, without the iron.",
        "pile": "Dry it face up, hold steam above it, and rest no iron on it.",
    }[handling.iron.manner]
    return Trial(
        "shrinkage",
        (
            f"Mark a square of {SIZES[units].square} with thread, one side along the selvage.",
            "Wash or steam it as the garment will be, a little hotter.",
            dry,
            "Measure it again, across and along.",
        ),
        "Both sides of the square before and after.",
        ("shrinkage",),
        frozenset({"cut"}),
        known=cloth.washed_first or "shrinkage" not in cloth.guessed,
    )


def _stroke(cloth: Cloth) -> Trial:
    return Trial(
        "nap",
        (
            "Stroke the right side along the selvage, one way and then the other.",
            "Lay two scraps side by side, one turned end for end, and look at them from some way off.",
        ),
        "Which way it feels smooth, and whether the two differ in shade.",
        ("nap",),
        frozenset({"cut"}),
        known=cloth.nap != "none",
    )


def _overhang(cloth: Cloth, units: SystemOfUnits) -> Trial:
    sizes = SIZES[units]
    long, wide = sizes.strip
    return Trial(
        "bending",
        (
            f"Cut two strips {wide} wide and {long} long, one along the selvage and one across the cloth.",
            f"Draw on a card a slope that falls {sizes.drop} over {sizes.run}: {say_degrees(TIP_ANGLE)}.",
            "Push a strip over the table's edge until its tip meets the slope, once face up and once face down.",
        ),
        "The mean overhang of each strip when its tip has dropped 41.5°: the bending length is half of it.",
        ("bending length",),
        known=cloth.bending_along is not None and cloth.bending_across is not None,
    )


def _weigh(cloth: Cloth, units: SystemOfUnits) -> Trial:
    return Trial(
        "weight",
        (f"Cut a square of {SIZES[units].square} on the grain and weigh it on kitchen scales.",),
        "Its weight in grams and both its sides.",
        ("weight",),
        known="weight" not in cloth.guessed,
    )


def _stack(cloth: Cloth) -> Trial:
    return Trial(
        "thickness",
        (f"Lay {STACKED} layers on one another, a light board on top, and measure the height.",),
        f"The height of {STACKED} layers.",
        ("thickness",),
        known="thickness" not in cloth.guessed,
    )


def _pressing(handling: Handling, units: SystemOfUnits) -> Trial:
    again = {
        "plate": "Begin at the iron's lowest, from the wrong side, and go up only as far as the label allows.",
        "untried": "Begin at one dot, through a dry cloth, and stop where it shines, stiffens, shrinks or sticks.",
        "fingers": "Crease a scrap with the fingers and roll it; no iron.",
        "pile": "Lay it face down on a needle board or over thick pile and hold steam above it; no iron rests on it.",
    }[handling.iron.manner]
    return Trial(
        "pressing",
        (
            f"Take a scrap of {SIZES[units].small} with a seam in it.",
            again,
            "Let it dry, then look at the right side by daylight.",
        ),
        "The steam that leaves no crushed pile."
        if handling.iron.manner == "pile"
        else "The heat that leaves no shine, spot or shrinking.",
        guards=frozenset({"press", "steam"}),
    )


def _seams(cloth: Cloth, finishes: Sequence[Finish], handling: Handling, units: SystemOfUnits) -> list[Trial]:
    """Return a trial for each construction and stitch of the garment that has a row, each once."""
    found: dict[tuple[str, str], Trial] = {}
    for finish in finishes:
        if not finish.rows or (finish.kind, finish.stitch) in found or finish.stitch not in STITCH_TYPES:
            continue
        found[finish.kind, finish.stitch] = _seam(cloth, finish, handling, units)
    return list(found.values())


def _seam(cloth: Cloth, finish: Finish, handling: Handling, units: SystemOfUnits) -> Trial:
    stitch = "zip row" if finish.kind == "lapped zip" else finish.stitch
    bare = replace(finish, allowance=finish.kept, inlay=0.0)
    flattens = finish.stitch == "twin needle" and is_pile(cloth)
    by_hand = ("Beside it sew a catch stitch by hand: where the machine's rows flatten the pile, take that.",)
    pull = ("Pull it as the garment will be pulled: no stitch may break.",) if stretches(cloth) else ()
    return Trial(
        f"sewing: {finish.kind}" + (f", {finish.stitch}" if finish.stitch not in finish.kind else ""),
        (
            f"{_layers(finish)} {SIZES[units].seam} of it: {say_finish(bare, units)}.",
            " ".join(say_machine(machine_setting(stitch, cloth), units)),
            *pull,
            *(by_hand if flattens else ()),
            press_seam(handling, "as sewn"),
        ),
        "Whether it puckers, waves or skips; the settings that gave the best row.",
        guards=frozenset({finish.kind, "sew"}),
        stitch=stitch,
    )


def _layers(finish: Finish) -> str:
    """Return on what a trial row is sewn: two layers, or for a hem one, turned up as the hem is."""
    if not is_hem(finish):
        return "On two layers sew"
    turned = "twice" if finish.kind == "double turned" else "once"
    return f"Turn the edge of one layer up {turned}, as the hem is, and sew"


def _trimming(handling: Handling) -> Trial:
    fray = "Rub the raw edge with the thumb and see how far it frays."
    return Trial(
        "trimming and clipping",
        (
            "Sew a curve on a scrap, trim one half of its allowance and clip the other.",
            fray,
            "Turn it, and see whether the curve lies smooth and the clips stay short of the row.",
            *handling.bulk[:1],
        ),
        "How much must stay beyond a row, and how close clips may come to it.",
        guards=frozenset({"trim", "clip", "cut inlay"}),
    )


def _buttonhole(cloth: Cloth, units: SystemOfUnits) -> Trial:
    wait = "Pull at it with the cloth's stretch and see whether it gapes." if stretches(cloth) else ""
    return Trial(
        "buttonhole",
        (
            "Work one buttonhole on a scrap with the same layers and interfacing, along the same thread.",
            *say_machine(machine_setting("buttonhole", cloth), units),
            "Cut it with a pin across its end, so that the blade stops, and push the button through.",
            *([wait] if wait else []),
            *(["See that no pile is caught in its legs."] if is_pile(cloth) else []),
        ),
        "Its length, and whether the button goes through without force.",
        guards=frozenset({"buttonhole"}),
    )


def _tubes(tubes: Sequence[Tube], units: SystemOfUnits) -> list[Trial]:
    if not tubes:
        return []
    narrowest = min(tubes, key=lambda tube: tube.width)
    return [
        Trial(
            "turning a tube",
            tuple(say_tube(narrowest, units)),
            "Which way turns it, and whether the trimmed allowance holds.",
            guards=frozenset({"turn", "trim"}),
        )
    ]
