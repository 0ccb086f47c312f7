"""The cloth card: trials on scraps before anything is cut, each with blanks to write in and the ticket's line it fills.

The content is data; `printing.write_card` sets it on one page. Figures are common practice [C] except where a source
stands beside them.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import Any, Literal

from onfold.cloth import NAPS, SURFACES, Cloth, say_width
from onfold.construction import CAUTIONS
from onfold.guide.cautions import RULES
from onfold.units import WEIGHT_UNITS, System, plain, say_share, say_small

BLANK = "…"
"""Stands in a text for a line to write on."""


INTO = "ticket, cloth:"
"""Where the lines go that a trial fills."""
LONGEST = 80
"""Letters of a maker's text that find room on the page; a longer one is cut short."""
AT_45_DEGREES = (math.cos(math.pi / 8.0) / 8.0) ** (1.0 / 3.0)
"""Bending length over overhang, the tip 45 degrees down: (cos(t/2) / (8 tan t))^(1/3) (T162 [C])."""


@dataclass(frozen=True)
class Reading:
    """One row of blanks: what is read (`across`), and each blank with its unit (`held at … cm`)."""

    what: str
    blanks: tuple[str, ...]


@dataclass(frozen=True)
class ScrapTrial:
    """One trial on a scrap. `how` says what to do, `reckon` how a reading becomes the figure.

    `fills` are lines of the ticket's `cloth:` with their blanks, `keys` the names of those lines; a trial that fills
    none says in `keeps` what its reading is for. `choices` are (what, words to tick) instead of figures to write.
    """

    name: str
    how: str
    readings: tuple[Reading, ...] = ()
    choices: tuple[tuple[str, tuple[str, ...]], ...] = ()
    reckon: str = ""
    fills: tuple[str, ...] = ()
    keys: tuple[str, ...] = ()
    keeps: str = ""


@dataclass(frozen=True)
class TrialTable:
    """Trials that are written in rows: `heads` of the columns, `rows` with their cells, '' to write in."""

    name: str
    how: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class CardFacts:
    """What one card says beside its trials: for which garment and wearer (`title`), when, in which cloth.

    Without a ticket `cloth` is None, and all of them are blanks to fill.
    """

    title: str = ""
    date: str = ""
    units: Literal["in", "cm"] = "cm"
    paper: str = "a4"
    cloth: Cloth | None = None


@dataclass(frozen=True)
class _Sizes:
    """The lengths of the trials in one system: as said, and how a weighed square becomes a weight."""

    pulled: str
    bare: str
    unit: str
    washed: str
    washed_bare: str
    strip: str
    square: str
    weighed: str
    weight: str


_SIZES: dict[System, _Sizes] = {
    "cm": _Sizes("10 cm", "10", "cm", "20 cm", "20", "2.5 cm wide and 20 cm long", "10 cm", "g × 100 = g/m2", "g/m2"),
    # 1 yd2 holds 81 squares of 4 in [A]
    "in": _Sizes("4 in", "4", "in", "8 in", "8", "1 in wide and 8 in long", "4 in", "oz × 81 = oz/yd2", "oz/yd2"),
}


def trials(units: System, cloth: Cloth | None = None) -> tuple[ScrapTrial, ...]:
    """Return the trials with their blanks in these units, in the order they are made; on pile no iron rests.

    Stretch and recovery by their definitions [A]; the washed square about 20 cm, washed hotter than normal and
    pressed just damp, ten layers and the strip over an edge are common practice [C].
    """
    size = _SIZES[units]
    return (
        ScrapTrial(
            "Stretch and recovery",
            f"Mark {size.pulled} on the relaxed cloth, away from its edges. Hold it as far as it still feels "
            "comfortable, and read. Let go, wait a minute, and read again.",
            readings=tuple(
                Reading(way, (f"held at {BLANK} {size.unit}", f"after {BLANK} {size.unit}"))
                for way in ("across", "along")
            ),
            reckon=f"stretch = (held − {size.bare}) / {size.bare}; recovery = (held − after) / (held − {size.bare})",
            fills=(f"stretch: {{across: {BLANK} %, along: {BLANK} %}}", f"recovery: {BLANK} %"),
            keys=("stretch", "recovery"),
        ),
        ScrapTrial(
            "A square washed",
            f"Mark a square of {size.washed} with thread. Wash it hotter than the garment will be, "
            f"{_made_flat(cloth)}, and measure it again.",
            readings=(Reading("after", (f"across {BLANK} {size.unit}", f"along {BLANK} {size.unit}")),),
            reckon=f"shrinkage = ({size.washed_bare} − after) / {size.washed_bare}",
            fills=(f"shrinkage: {{across: {BLANK} %, along: {BLANK} %}}",),
            keys=("shrinkage",),
        ),
        ScrapTrial(
            "Stroked for nap",
            "Hang the scrap up and stroke it lengthwise: where it is smooth under the hand, the nap points. Pile that "
            "points up the wearer looks darker.",
            choices=(("nap", NAPS), ("surface", SURFACES)),
            fills=(f"nap: {BLANK}", f"surface: [{BLANK}]"),
            keys=("nap", "surface"),
        ),
        ScrapTrial(
            "Over the table's edge",
            f"Slide a strip {size.strip} out over the edge, a ruler lying on it, until its tip hangs as far below the "
            "table's top as it stands out from the edge. Read how much of it hangs out, of a strip cut along the "
            "selvage and of one cut across.",
            readings=(Reading("hangs out", (f"along {BLANK} {size.unit}", f"across {BLANK} {size.unit}")),),
            reckon=f"bending length = {AT_45_DEGREES:.2f} × what hangs out",
            fills=(f"bending length: {{along: {BLANK} {size.unit}, across: {BLANK} {size.unit}}}",),
            keys=("bending length",),
        ),
        ScrapTrial(
            "Ten layers",
            "Lay ten layers on one another under a ruler's own weight, and read their height.",
            readings=(Reading("height", (f"{BLANK} mm",)),),
            reckon="thickness = height / 10",
            fills=(f"thickness: {BLANK} mm",),
            keys=("thickness",),
        ),
        ScrapTrial(
            "A square weighed",
            f"Cut a square of {size.square} on the grain and weigh it; a kitchen scale wants ten of them.",
            readings=(Reading("one weighs", (f"{BLANK} {'oz' if units == 'in' else 'g'}",)),),
            reckon=size.weighed,
            fills=(f"weight: {BLANK} {size.weight}",),
            keys=("weight",),
        ),
    )


def _made_flat(cloth: Cloth | None) -> str:
    """Return how a washed square is made flat again (T116, T139 [C])."""
    if cloth is None:
        return "press it while just damp (pile: hold steam above its back)"
    if "pile" in cloth.surface:
        return "dry it face up, hold steam above its back"
    return "dry it flat without the iron" if "coated" in cloth.surface else "press it while just damp"


def tables(units: System, cloth: Cloth | None = None) -> tuple[TrialTable, ...]:
    """Return the trials that are written in rows: needle and stitch, then the iron; for pile, steam alone."""
    sewn = "8 in" if units == "in" else "20 cm"
    hem = ""
    if cloth is not None and "pile" in cloth.surface:
        hem = " For a hem try a catch stitch by hand too: a machine's row flattens pile."
        heat = TrialTable(
            "Steam",
            "On a scrap, face down on a needle board or over thick pile: hold steam above its back, the iron never "
            "resting. Dry, then brush the pile its own way, and look.",
            ("steam held", "still damp", "dry", "brushed"),
            (("a moment", "", "", ""), ("to a count of five", "", "", ""), ("twice, dried between", "", "", "")),
        )
    else:
        heat = TrialTable(
            "Iron",
            "On a scrap, from the wrong side, lowest heat first. Stop at the first that shines, sticks or shrinks.",
            ("heat", "dry", "steam", "press cloth"),
            # the dots of the care label and their heats, and no hot plate flat on pile [C]
            (
                ("• 110 °C", "", "", ""),
                ("•• 150 °C", "", "", ""),
                ("••• 200 °C", "", "", ""),
                ("pile", "never", "steam alone, held above", ""),
            ),
        )
    return (
        TrialTable(
            "Needle and stitch",
            f"On two layers, along and across: sew {sewn}, look at both sides, then pull until it cracks or gives."
            + hem,
            ("needle", "stitch", "length", "how it looks", "pulled, it"),
            (("",) * 5,) * 4,
        ),
        heat,
    )


SCRAPS = ("as bought", "washed", "stitched", "pressed")
"""The squares to pin scraps on."""

PRINT_CHECK = (
    "Lay your own rule on this one, 10 cm above, 4 in below. If it is off by more than half a millimetre, print again "
    "at full size (100 %), not fitted to the page."
)


def cautions_of_card(cloth: Cloth | None) -> tuple[str, ...]:
    """Return the cautions that stand on every card; that on fibres where the cloth's are not stated."""
    known = cloth is not None and bool(cloth.fibre)
    names = ["iron", "pile", *([] if known else ["fibre"]), "pins", "needle", "blades"]
    return (*(CAUTIONS[name] for name in names), RULES)


def ticket_says(cloth: Cloth | None, key: str, units: System) -> str:
    """Return what the ticket says of a line now, `70 % across, 40 % along`; 'not stated' where it was filled in."""
    if cloth is None:
        return ""
    if key == "stretch":
        both = f"{say_share(cloth.stretch_across)} across, {say_share(cloth.stretch_along)} along"
        return both if cloth.stretch_given else "not stated"
    if key == "bending length":
        return _bending_said(cloth, units)
    if key in cloth.guessed:
        return "not stated"
    said = {
        "recovery": say_share(cloth.recovery),
        "shrinkage": f"{say_share(cloth.shrinkage_across)} across, {say_share(cloth.shrinkage_along)} along",
        "nap": cloth.nap,
        "surface": ", ".join(cloth.surface) or "nothing",
        "thickness": f"{cloth.thickness:g} mm",
        "weight": f"{cloth.weight / WEIGHT_UNITS['oz/yd2']:.1f} oz/yd2" if units == "in" else f"{cloth.weight:g} g/m2",
    }
    return said.get(key, "")


def _bending_said(cloth: Cloth, units: System) -> str:
    ways = {"along": cloth.bending_along, "across": cloth.bending_across}
    said = [f"{say_small(mm, units)} {way}" for way, mm in ways.items() if mm is not None]
    return ", ".join(said) or "not stated"


def card_content(facts: CardFacts) -> dict[str, Any]:
    """Return all that the page says, as plain data for its template."""
    cloth = facts.cloth
    width = "" if cloth is None else say_width(cloth.width, facts.units)
    fibre = "" if cloth is None else ", ".join(f"{name} {say_share(share)}" for name, share in cloth.fibre)
    return {
        "title": plain(cloth.name, LONGEST) if cloth is not None else "",
        "facts": [
            ["Width", width],
            ["Fibre", plain(fibre, LONGEST)],
            ["For", plain(facts.title, LONGEST)],
            ["Date", facts.date],
        ],
        "shop": "Shop, lot, price",
        "trials": [_trial(each, facts) for each in trials(facts.units, cloth)],
        "tables": [asdict(each) for each in tables(facts.units, cloth)],
        "scraps": SCRAPS,
        "cautions": cautions_of_card(cloth),
        "check": PRINT_CHECK,
        "blank": BLANK,
        "into": INTO,
    }


def _trial(trial: ScrapTrial, facts: CardFacts) -> dict[str, Any]:
    now = [
        f"{key} {said}" if len(trial.keys) > 1 else said
        for key in trial.keys
        if (said := ticket_says(facts.cloth, key, facts.units))
    ]
    return {
        "name": trial.name,
        "how": trial.how,
        "readings": [{"what": each.what, "blanks": each.blanks} for each in trial.readings],
        "choices": [{"what": what, "words": words} for what, words in trial.choices],
        "reckon": trial.reckon,
        "fills": trial.fills,
        "keeps": trial.keeps,
        "now": "; ".join(now),
    }
