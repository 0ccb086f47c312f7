"""Two garments drawn by hand for the checks: a sheath in a knit and a skirt in a woven, sound until edited."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from onfold.body.taken import Taken
from onfold.checks import Subject
from onfold.cloth import Cloth, settle
from onfold.geometry.path import Path, cubic, end_tangent, line, mirrored, smooth
from onfold.pattern import Edge, Fact, Grain, Inner, Level, Mark, Notch, Opening, Pattern, Piece, Run, Seam

BODY = {
    "height": 1680.0,
    "head": 560.0,
    "round the shoulders": 1060.0,
    "high bust": 860.0,
    "bust": 900.0,
    "underbust": 780.0,
    "waist": 720.0,
    "hip": 960.0,
    "across front": 320.0,
    "shoulder to underarm": 160.0,
    "waist to floor": 1040.0,
    "waist to hip": 200.0,
    "waist to knee": 580.0,
    "knee height": 460.0,
    "hip joint height": 850.0,
    "inside leg": 760.0,
    "thigh": 560.0,
    "knee": 360.0,
    "calf": 350.0,
    "ankle": 215.0,
    "step": 660.0,
}
HEM, HIP, WAIST, BUST, UNDERARM, NECK = 0.0, 500.0, 700.0, 880.0, 940.0, 1090.0
SEAM, BAND = "overlocked 10 mm", "single turned 20 mm, twin needle"


def knit(**changes: object) -> Cloth:
    given: dict[str, object] = {"stretch_across": 0.5, "stretch_along": 0.3, "thickness": 0.8, "weight": 240.0}
    return settle("knit", 1500.0, name="knit", **{**given, **changes})  # type: ignore[arg-type]


def woven(**changes: object) -> Cloth:
    given: dict[str, object] = {"thickness": 0.5, "weight": 200.0, "shrinkage_along": 0.0, "shrinkage_across": 0.0}
    return settle("woven", 1500.0, name="twill", **{**given, **changes})  # type: ignore[arg-type]


def level_line(name: str, width: float, y: float) -> Inner:
    return Inner("level", name, line((0.0, y), (width, y)))


def square_left(way: tuple[float, float]) -> tuple[float, float]:
    return -way[1], way[0]


def toward(a: tuple[float, float], way: tuple[float, float], size: float) -> tuple[float, float]:
    return a[0] + way[0] * size, a[1] + way[1] * size


def sheath_side(quarter: dict[str, float]) -> Path:
    heights = {"hem": HEM, "hip": HIP, "waist": WAIST, "bust": BUST, "underarm": UNDERARM}
    return smooth([(quarter[name], y) for name, y in heights.items()], start_tangent=(0.0, 1.0))


def sheath(
    shares: dict[str, float] | None = None, cloth: Cloth | None = None, body: dict[str, float] | None = None
) -> Pattern:
    """A sheath whose levels are taken in by these shares of the cloth's stretch; its hem as wide as its hip."""
    cloth, body = cloth or knit(), {**BODY, **(body or {})}
    used = {"underarm": 0.2, "bust": 0.2, "waist": 0.1, "hip": 0.2, **(shares or {})}
    girth = {"underarm": "high bust", "bust": "bust", "waist": "waist", "hip": "hip"}
    levels = {}
    for name, of in girth.items():
        finished = body[of] / (1.0 + used[name] * cloth.stretch_across)
        levels[name] = Level(name, body[of], finished, of, used[name], used[name], (("front", 2.0), ("back", 2.0)))
    hip = levels["hip"].finished
    levels["hem"] = Level("hem", 0.0, hip, "", across=(("front", 2.0), ("back", 2.0)))
    quarter = {name: level.finished / 4.0 for name, level in levels.items()}
    front, back = sheath_front(quarter), sheath_back(quarter)
    run = {name: (Run(name, "side"),) for name in ("front", "back")}
    seams = (
        Seam("side seam", "overlocked", (run["front"], run["back"]), twice=True, finish=SEAM),
        Seam(
            "strap seam",
            "plain",
            ((Run("strap", "long"),), (Run("strap", "other long", reversed=True),)),
            finish="plain 6 mm",
        ),
    )
    facts = {
        "half neck edge": 150.0,
        "half strap span": 140.0,
        "spread": 20.0,
        "slashes": 4.0,
        "total turn": 30.0,
        "armhole to grain": 20.0,
        "cowl fall": 60.0,
        "most fall": 80.0,
        "neck above bust": 150.0,
        "facing depth": 150.0,
        "front extra": 40.0,
        "front extra taken": 20.0,
        "strap width": 10.0,
        "strap length": 450.0,
        "straps crossed": 0.0,
        "back depth": 100.0,
        "strap front height": 150.0,
    }
    measures = {name: Taken(value) for name, value in body.items()}
    return Pattern(
        "choir-sheath",
        "Sheath",
        "alto-1",
        (front, back, strap()),
        seams,
        levels,
        measures,
        facts={name: Fact(name, value) for name, value in facts.items()},
    )


def lines_of(quarter: dict[str, float]) -> tuple[Inner, ...]:
    heights = {"hip": HIP, "waist": WAIST, "bust": BUST, "underarm": UNDERARM}
    return tuple(level_line(name, quarter[name], y) for name, y in heights.items())


def side_notches(side: Path) -> tuple[Notch, ...]:
    return (Notch("side", HIP, (float(side.curves[1, 0, 0]), HIP)),)


def sheath_front(quarter: dict[str, float]) -> Piece:
    side = sheath_side(quarter)
    under, neck = (quarter["underarm"], UNDERARM), (150.0, NECK)
    armhole = cubic(under, toward(under, square_left(end_tangent(side)), 35.0), (150.0, NECK - 60.0), neck)
    over = (under[0], 2.0 * NECK - UNDERARM)
    fold = line((0.0, NECK), neck)
    facing = mirrored(armhole, (0.0, NECK), neck)
    edges = (
        Edge("hem", line((0.0, HEM), (quarter["hem"], HEM)), allowance=20.0, finish=BAND, corner="mirrored"),
        Edge("side", side, allowance=10.0),
        Edge("armhole", armhole, allowance=8.0, finish="narrow zigzag 8 mm"),
        Edge(
            "armhole facing",
            Path(facing.curves[::-1, ::-1].copy(), facing.straight),
            allowance=6.5,
            finish="narrow zigzag 8 mm",
        ),
        Edge("neck facing", line(over, (0.0, over[1])), allowance=0.0, finish="raw 0 mm"),
        Edge("centre front", line((0.0, over[1]), (0.0, HEM)), fold=True),
    )
    return Piece(
        "front",
        edges,
        on_fold=True,
        cut=1,
        grain=Grain("straight", (60.0, 200.0), (60.0, 800.0)),
        notches=side_notches(side),
        inner=(*lines_of(quarter), Inner("fold line", "neck fold", fold)),
        marks=(Mark("strap", "strap front", neck), Mark("bust point", "bust point", (90.0, BUST))),
    )


def sheath_back(quarter: dict[str, float]) -> Piece:
    side = sheath_side(quarter)
    under, low = (quarter["underarm"], UNDERARM), (0.0, UNDERARM - 100.0)
    neck = cubic(under, toward(under, square_left(end_tangent(side)), 70.0), (90.0, low[1]), low)
    edges = (
        Edge("hem", line((0.0, HEM), (quarter["hem"], HEM)), allowance=20.0, finish=BAND, corner="mirrored"),
        Edge("side", side, allowance=10.0),
        Edge("back neck", neck, allowance=8.0, finish="narrow zigzag 8 mm"),
        Edge("centre back", line(low, (0.0, HEM)), fold=True),
    )
    spot = neck.curves[0]
    mark = (float(spot[:, 0].mean()), float((spot[0, 1] + 3 * spot[1, 1] + 3 * spot[2, 1] + spot[3, 1]) / 8.0))
    return Piece(
        "back",
        edges,
        on_fold=True,
        cut=1,
        grain=Grain("straight", (60.0, 200.0), (60.0, 700.0)),
        notches=side_notches(side),
        inner=lines_of(quarter),
        marks=(Mark("strap", "strap back", mark),),
    )


def strap(width: float = 20.0, length: float = 450.0) -> Piece:
    edges = (
        Edge("end", line((0.0, 0.0), (width, 0.0)), allowance=10.0),
        Edge("long", line((width, 0.0), (width, length)), allowance=6.0),
        Edge("other end", line((width, length), (0.0, length)), allowance=10.0),
        Edge("other long", line((0.0, length), (0.0, 0.0)), allowance=6.0),
    )
    notches = (Notch("long", 200.0, (width, 200.0)), Notch("other long", length - 200.0, (0.0, 200.0)))
    return Piece("strap", edges, cut=2, grain=Grain("straight", (10.0, 50.0), (10.0, 400.0)), notches=notches)


def skirt(hip: float = 1000.0, zip_length: float = 180.0, vent: float = 220.0, hem: float | None = None) -> Pattern:
    """A straight skirt, waist 740 finished, hip as given; front half on the fold, back a pair with zip and vent."""
    waist, hem = 740.0, hem or hip
    quarter = {"waist": waist / 4.0, "hip": hip / 4.0, "hem": hem / 4.0}
    both = (("front", 2.0), ("back", 2.0))
    levels = {
        "waist": Level("waist", 720.0, waist, "waist", across=both),
        "hip": Level("hip", 960.0, hip, "hip", across=both),
        "hem": Level("hem", 0.0, hem, "", across=both),
    }
    band = skirt_band(waist, quarter["waist"])
    seams = (
        Seam("side seam", "plain", ((Run("front", "side"),), (Run("back", "side"),)), twice=True, finish="plain 15 mm"),
        Seam(
            "centre back seam",
            "plain",
            ((Run("back", "centre back"),), (Run("back", "centre back", "mirrored"),)),
            finish="plain 15 mm",
        ),
        Seam(
            "waist seam",
            "plain",
            (
                (Run("waistband", "waist seam"),),
                (
                    Run("back", "waist", reversed=True),
                    Run("front", "waist"),
                    Run("front", "waist", "mirrored", True),
                    Run("back", "waist", "mirrored"),
                ),
            ),
            finish="plain 10 mm",
        ),
    )
    openings = (
        Opening("zip", ("zip of back",), zip_length, "zip"),
        Opening("back vent", ("vent of back",), vent, "none"),
    )
    measures = {name: Taken(value) for name, value in BODY.items()}
    pieces = (skirt_front(quarter), skirt_back(quarter, zip_length, vent), band)
    return Pattern("straight-skirt", "Skirt", "soprano-2", pieces, seams, levels, measures, openings)


TOP, SEAT = 600.0, 400.0


def skirt_side(quarter: dict[str, float], dart: float) -> Path:
    points = [(quarter["hem"], HEM), (quarter["hip"], SEAT), (quarter["waist"] + dart, TOP)]
    return smooth(points, start_tangent=(0.0, 1.0), end_tangent=(0.0, 1.0))


def waist_with_dart(width: float, dart: float, depth: float) -> tuple[Edge, ...]:
    middle = (width + dart) / 2.0
    a, point, b = (middle + dart / 2.0, TOP), (middle, TOP - depth), (middle - dart / 2.0, TOP)
    return (
        Edge("waist.1", line((width + dart, TOP), a), "waist", allowance=10.0),
        Edge("waist dart leg", line(a, point), finish="dart"),
        Edge("waist dart leg.2", line(point, b), finish="dart"),
        Edge("waist.2", line(b, (0.0, TOP)), "waist", allowance=10.0),
    )


def skirt_front(quarter: dict[str, float]) -> Piece:
    side = skirt_side(quarter, 25.0)
    edges = (
        Edge("hem", line((0.0, HEM), (quarter["hem"], HEM)), allowance=40.0, finish="single turned 40 mm, slip stitch"),
        Edge("side", side, allowance=15.0),
        *waist_with_dart(quarter["waist"], 25.0, 100.0),
        Edge("centre front", line((0.0, TOP), (0.0, HEM)), fold=True),
    )
    notches = (Notch("side", SEAT, (quarter["hip"], SEAT)),)
    inner = (level_line("hip", quarter["hip"], SEAT),)
    return Piece(
        "front",
        edges,
        on_fold=True,
        cut=1,
        grain=Grain("straight", (60.0, 100.0), (60.0, 500.0)),
        notches=notches,
        inner=inner,
    )


def skirt_back(quarter: dict[str, float], zip_length: float, vent: float) -> Piece:
    side = skirt_side(quarter, 25.0)
    edges = (
        Edge("hem", line((0.0, HEM), (quarter["hem"], HEM)), allowance=40.0, finish="single turned 40 mm, slip stitch"),
        Edge("side", side, allowance=15.0),
        *waist_with_dart(quarter["waist"], 25.0, 130.0),
        Edge("zip", line((0.0, TOP), (0.0, TOP - zip_length)), allowance=20.0, finish="lapped zip 20 mm"),
        Edge("centre back", line((0.0, TOP - zip_length), (0.0, vent)), allowance=15.0),
        Edge("vent top", line((0.0, vent), (-40.0, vent - 10.0)), allowance=15.0),
        Edge("vent", line((-40.0, vent - 10.0), (-40.0, HEM)), allowance=15.0),
        Edge("vent hem", line((-40.0, HEM), (0.0, HEM)), allowance=40.0),
    )
    notches = (Notch("side", SEAT, (quarter["hip"], SEAT)),)
    inner = (level_line("hip", quarter["hip"], SEAT),)
    return Piece(
        "back",
        edges,
        cut=2,
        mirrored_pair=True,
        grain=Grain("straight", (60.0, 100.0), (60.0, 500.0)),
        notches=notches,
        inner=inner,
    )


def skirt_band(waist: float, quarter: float) -> Piece:
    edges = (
        Edge("waist seam", line((0.0, 0.0), (waist, 0.0)), allowance=10.0),
        Edge("underlap", line((waist, 0.0), (waist + 30.0, 0.0)), allowance=10.0),
        Edge("end", line((waist + 30.0, 0.0), (waist + 30.0, 60.0)), allowance=10.0),
        Edge("top", line((waist + 30.0, 60.0), (0.0, 60.0)), allowance=10.0),
        Edge("other end", line((0.0, 60.0), (0.0, 0.0)), allowance=10.0),
    )
    notches = tuple(Notch("waist seam", quarter * k, (quarter * k, 0.0)) for k in (1, 2, 3))
    inner = (Inner("fold line", "band fold", line((0.0, 30.0), (waist + 30.0, 30.0))),)
    return Piece(
        "waistband", edges, cut=1, grain=Grain("straight", (100.0, 30.0), (600.0, 30.0)), notches=notches, inner=inner
    )


def edit_piece(pattern: Pattern, name: str, change: Callable[[Piece], Piece]) -> Pattern:
    return replace(pattern, pieces=tuple(change(each) if each.name == name else each for each in pattern.pieces))


def edit_edge(pattern: Pattern, piece: str, name: str, **changes: object) -> Pattern:
    def change(each: Piece) -> Piece:
        assert any(edge.name == name for edge in each.edges), f"no {name} on {piece}"
        edges = tuple(replace(edge, **changes) if edge.name == name else edge for edge in each.edges)  # type: ignore[arg-type]
        return replace(each, edges=edges)

    return edit_piece(pattern, piece, change)


def with_fact(pattern: Pattern, **values: float) -> Pattern:
    named = {name.replace("_", " "): value for name, value in values.items()}
    return replace(pattern, facts={**pattern.facts, **{name: Fact(name, value) for name, value in named.items()}})


def with_level(pattern: Pattern, name: str, **changes: object) -> Pattern:
    level = replace(pattern.levels[name], **changes)  # type: ignore[arg-type]
    return replace(pattern, levels={**pattern.levels, name: level})


def with_measures(pattern: Pattern, **values: float) -> Pattern:
    named = {name.replace("_", " "): Taken(value) for name, value in values.items()}
    return replace(pattern, measures={**pattern.measures, **named})


def without_measure(pattern: Pattern, name: str) -> Pattern:
    return replace(pattern, measures={each: taken for each, taken in pattern.measures.items() if each != name})


def of_sheath(pattern: Pattern | None = None, **given: object) -> Subject:
    return Subject(pattern or sheath(), **{"cloth": knit(), **given})  # type: ignore[arg-type]


def of_skirt(pattern: Pattern | None = None, **given: object) -> Subject:
    return Subject(pattern or skirt(), **{"cloth": woven(), **given})  # type: ignore[arg-type]


def ring_hem(radius: float, share: float = 1.0, curves: int = 16) -> Path:
    """An arc of a circle hem, `share` of the whole, from cubics with the usual handles."""
    step = 2.0 * math.pi * share / curves
    handle = 4.0 / 3.0 * math.tan(step / 4.0) * radius
    found = []
    for k in range(curves):
        a, b = k * step, (k + 1) * step
        p, q = np.array((math.cos(a), math.sin(a))), np.array((math.cos(b), math.sin(b)))
        found.append(
            (
                radius * p,
                radius * p + handle * np.array((-p[1], p[0])),
                radius * q - handle * np.array((-q[1], q[0])),
                radius * q,
            )
        )
    return Path(np.array(found), np.zeros(curves, dtype=bool))
