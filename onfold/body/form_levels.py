"""What a dress form is to be: its levels, girths and sizes, gathered from the measures and set in order.

What is not among the measures (a child's, mostly) stands in by its share of the height or of a girth [C]. Levels that
cross one another, as no body's do, are set apart by the least a trunk needs, and the measure is named as strained.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf, pi

from onfold.body.form_sections import fitted_section, parts_of, round_of
from onfold.body.measures import Figure
from onfold.body.taken import Taken
from onfold.geometry.fault import Fault

SHARES: dict[str, tuple[str, float]] = {
    "high bust": ("bust", 0.98),
    "neck": ("bust", 0.385),
    "knee": ("hip", 0.38),
    "thigh": ("hip", 0.60),
    "across back": ("bust", 0.39),
    "across front": ("across back", 0.94),
    "bust point to bust point": ("bust", 0.205),
    "waist to floor": ("height", 0.645),
    "waist to hip": ("height", 0.13),
    "knee height": ("height", 0.282),
    "inside leg": ("height", 0.455),
    "bust to waist": ("height", 0.072),
    "underarm to waist": ("height", 0.109),
    "shoulder to underarm": ("height", 0.099),
    "shoulder": ("height", 0.089),
    "nape to waist": ("height", 0.226),
    "shoulder to bust": ("height", 0.1645),
}
"""The share of another measure that stands in where one is not known: near the survey's means [C]."""

GIVEN = ("height", "bust", "waist", "hip")


@dataclass(frozen=True)
class Side:
    """One shoulder: the length along its top and how far it falls over that length, and how high that hip stands."""

    shoulder: float
    drop: float
    hip_high: float
    shoulder_to_bust: float


@dataclass(frozen=True)
class Plan:
    """What the form must be, mm. `sections` gives breadth, depth and exponent at a level; `back` how far forward
    of the shoulder blades the back stands there; `mound` how far the bust stands out of the ribs."""

    levels: dict[str, float]
    girths: dict[str, float]
    sections: dict[str, tuple[float, float, float]]
    back: dict[str, float]
    mound: float
    span: float
    across: float
    throat: float
    pit_drop: float
    nape_to_waist: float
    shoulder_forward: float
    under_seat: float
    left: Side
    right: Side
    scale: float
    strained: tuple[str, ...]


def plan_of(figure: Figure, measures: Mapping[str, Taken], notes: Mapping[str, float]) -> Plan | Fault:
    """Return the plan for a wearer, or why there is none: one of height, bust, waist and hip is not known."""
    size = {name: taken.value for name, taken in measures.items() if 0.0 < taken.value < inf}
    lacking = [name for name in GIVEN if name not in size]
    if lacking:
        return Fault(f"a form needs {', '.join(lacking)}")
    notes = {name: _between(amount, 0.0, 80.0) for name, amount in notes.items()}
    # Of a child and a stout body the ribs are hardly less round than the chest.
    size.setdefault(
        "underbust", max(0.88 * size["bust"], 0.48 * size["bust"] + 0.49 * min(size["waist"], size["bust"]))
    )
    for name, (source, share) in SHARES.items():
        size.setdefault(name, share * size[source])
    parts = parts_of(figure, *(size[name] for name in GIVEN))
    levels, strained = _levels(size, parts)
    girths = _girths(size, parts)
    mound = _mound(figure, size, parts)
    span = _between(size["bust point to bust point"], 0.1 * girths["bust"], 0.26 * girths["bust"])
    height = size["height"]
    scale = height / 1629.0
    return Plan(
        levels=levels,
        girths=girths,
        sections=_sections(size, parts, girths, mound, span, notes),
        back=_back(figure, girths, notes, scale),
        mound=mound,
        span=span,
        across=0.475 * (size["across front"] + size["across back"]) / 2.0,
        throat=min(parts["throat girth"], size["neck"]),
        pit_drop=min(_between(parts["side neck to pit"], 0.03 * height, 0.055 * height), 0.22 * size["neck"]),
        nape_to_waist=size["nape to waist"],
        shoulder_forward=notes.get("forward shoulder", 0.0),
        under_seat=notes.get("hollow under the seat", 0.0),
        left=_side("left", size, parts, notes),
        right=_side("right", size, parts, notes),
        scale=scale,
        strained=strained,
    )


def _levels(size: Mapping[str, float], parts: Mapping[str, float]) -> tuple[dict[str, float], tuple[str, ...]]:
    height, waist = size["height"], size["waist to floor"]
    navel = _between(parts["waist to navel"], 0.3 * size["waist to hip"], 0.6 * size["waist to hip"])
    wanted = [
        ("hem", min(200.0, 0.45 * size["knee height"]), 0.0, ""),
        ("knee", size["knee height"], 0.05, "knee height"),
        ("thigh", size["inside leg"] - 0.03 * height, 0.06, ""),
        ("hip", waist - size["waist to hip"], 0.035, "waist to hip"),
        ("navel", waist - navel, 0.022, ""),
        ("waist", waist, 0.022, "waist to floor"),
        ("underbust", waist + 0.5 * size["bust to waist"], 0.016, ""),
        ("bust", waist + size["bust to waist"], 0.016, "bust to waist"),
        ("underarm", waist + size["underarm to waist"], 0.011, "underarm to waist"),
        ("neck", waist + size["underarm to waist"] + size["shoulder to underarm"], 0.07, "shoulder to underarm"),
    ]
    at = [level for _, level, _, _ in wanted]
    middle = next(place for place, each in enumerate(wanted) if each[0] == "waist")
    for place in range(middle + 1, len(at)):
        at[place] = max(at[place], at[place - 1] + wanted[place][2] * height)
    for place in range(middle - 1, -1, -1):
        at[place] = min(at[place], at[place + 1] - wanted[place + 1][2] * height)
    lowest = at[0]
    if lowest < 0.02 * height:
        # The waist lies too low for legs below it: the column is squeezed, the trunk above it kept.
        foot = 0.02 * height
        squeezed = (at[middle] - foot) / (at[middle] - lowest)
        at[: middle + 1] = [foot + (level - lowest) * squeezed for level in at[: middle + 1]]
    moved = [each[3] for each, level in zip(wanted, at, strict=True) if each[3] and abs(each[1] - level) > 2.0]
    return {each[0]: level for each, level in zip(wanted, at, strict=True)}, tuple(moved)


def _girths(size: Mapping[str, float], parts: Mapping[str, float]) -> dict[str, float]:
    """Give the tape's girth at each level. Round both knees it spans two circles of the knee's girth [A]."""
    knees = size["knee"] * (1.0 + 2.0 / pi)
    return {
        "neck": size["neck"],
        "underarm": size["high bust"],
        "bust": size["bust"],
        "underbust": size["underbust"],
        "waist": size["waist"],
        "navel": _between(parts["navel girth"], 0.97 * size["waist"], 1.02 * max(size["waist"], size["hip"])),
        "hip": size["hip"],
        "knee": min(knees, 0.98 * size["hip"]),
    }


def _between(value: float, low: float, high: float) -> float:
    return min(max(value, low), max(low, high))


def _mound(figure: Figure, size: Mapping[str, float], parts: Mapping[str, float]) -> float:
    """Give how far the bust stands out of the ribs: 0.3 of what it is more round than below it [C]; a woman's only."""
    if figure != "woman":
        return 0.0
    return _between(0.3 * (size["bust"] - size["underbust"]), 0.0, 0.4 * parts["chest depth"])


def _sections(
    size: Mapping[str, float],
    parts: Mapping[str, float],
    girths: Mapping[str, float],
    mound: float,
    span: float,
    notes: Mapping[str, float],
) -> dict[str, tuple[float, float, float]]:
    """Give breadth, depth and exponent at each level: surveyed at bust, navel and hip, between them drawn [C]."""
    breadth, depth = parts["chest breadth"], parts["chest depth"]
    if mound > 0.0:
        # What is more round over narrow ribs stands in front of them, not beside them [C].
        narrow = _between(girths["underbust"] / (0.849 * girths["bust"]), 0.75, 1.1)
        breadth, depth = breadth * narrow**0.6, depth * narrow**-0.3
    ratio = _between(1.04 * parts["navel depth"] / parts["navel breadth"], 0.6, 0.9)
    grown = girths["waist"] / round_of(1.0, ratio, 2.15)
    ribs = 0.97 * (depth - 0.6 * mound)
    found = {
        "waist": (grown, grown * ratio, 2.15),
        "underarm": fitted_section(1.07 * breadth, 0.94 * depth, girths["underarm"]),
        "bust": fitted_section(breadth, depth, girths["bust"], mound, span),
        "underbust": fitted_section(0.96 * breadth, max(ribs, (ribs + grown * ratio) / 2.0), girths["underbust"]),
        "navel": fitted_section(
            parts["navel breadth"],
            min(parts["navel depth"], 0.92 * parts["navel breadth"]) + 0.6 * notes.get("full tummy", 0.0),
            girths["navel"],
        ),
        "hip": fitted_section(parts["hip breadth"], parts["hip depth"], girths["hip"]),
    }
    knee = girths["knee"]
    found["knee"] = fitted_section(2.0 * knee / (pi + 2.0), knee / (pi + 2.0), knee)
    breadth, depth, exponent = found["knee"]
    found["hem"] = (0.97 * breadth, 0.97 * depth, exponent)
    hip_breadth, hip_depth, _ = found["hip"]
    thigh = _between(1.06 * size["thigh"] / pi, 0.78 * hip_depth, 0.9 * hip_depth)
    found["thigh"] = (0.96 * hip_breadth, thigh, 2.5)
    return found


def _back(figure: Figure, girths: Mapping[str, float], notes: Mapping[str, float], scale: float) -> dict[str, float]:
    """Give how far before the shoulder blades the back stands at each level: hollow at the waist, the seat out [C].

    A stout waist is hardly hollow behind.
    """
    hollow, seat = (27.0, 8.0) if figure == "man" else (31.0, -4.0)
    hollow *= _between(0.35 + 3.25 * (1.0 - girths["waist"] / girths["bust"]), 0.35, 1.15)
    return {
        "underarm": -0.4 * notes.get("rounded back", 0.0),
        "bust": 0.0,
        "underbust": 10.0 * scale,
        "waist": hollow * scale + 0.5 * notes.get("sway back", 0.0),
        "navel": (0.35 * hollow + 0.65 * seat) * scale + 4.0 * scale,
        "hip": seat * scale + 0.3 * notes.get("flat seat", 0.0),
    }


def _side(side: str, size: Mapping[str, float], parts: Mapping[str, float], notes: Mapping[str, float]) -> Side:
    shoulder = size.get(f"{side} shoulder", size["shoulder"])
    drop = 0.84 * parts["side neck to shoulder point"]
    drop = _between(drop, 0.26 * shoulder, 0.5 * shoulder)
    drop += notes.get("sloping shoulders", 0.0) - notes.get("square shoulders", 0.0)
    drop += notes.get(f"{side} shoulder low", 0.0)
    return Side(
        shoulder=shoulder,
        drop=_between(drop, 0.12 * shoulder, 0.72 * shoulder),
        hip_high=notes.get(f"{side} hip high", 0.0),
        shoulder_to_bust=size.get(f"{side} shoulder to bust", size["shoulder to bust"]),
    )
