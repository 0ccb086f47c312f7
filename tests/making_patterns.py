"""Drafts of garments still to come, drawn by hand for the proof that they can be made up. No body's; invented.

Plain outlines whose partners agree in length. Each is one function that gives a whole `Pattern`: `GARMENTS` lists
those that can be made, `ODD` those for which no order exists or whose seams cannot be true.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import pairwise

from making_drafts import BOUND, END, HEM, KNIT, WOVEN, ZIP, curve_of_length, pattern, piece, seam, waistband

from onfold.cloth import Cloth
from onfold.geometry.path import length, line
from onfold.pattern import Inner, Mark, Opening, Pattern, Piece

UNDERARM, SHOULDER, NECK_POINT = (240.0, 400.0), (190.0, 590.0), (75.0, 610.0)
FRONT, BACK = 530.0, 595.0
NECK_RING = ("neck of front", "turned mirrored neck of front", "mirrored neck of back", "turned neck of back")


def half_body(name: str, fold: str, neck: float, finishes: Mapping[str, str], **more: object) -> Piece:
    """Half a body without darts: hem, side, armhole, shoulder, neck, centre; on the fold unless `fold` is ''."""
    corners = [
        ("hem", (0.0, 0.0)),
        ("side", (240.0, 0.0)),
        ("armhole", UNDERARM),
        ("shoulder", SHOULDER),
        ("neck", NECK_POINT),
        (fold or "centre", (0.0, neck)),
    ]
    hollow = 24.0 if neck == FRONT else 14.0
    bends = {"armhole": hollow, "neck": 18.0 if neck == FRONT else 4.0}
    return piece(name, corners, finishes, fold=fold, bends=bends, **more)  # type: ignore[arg-type]


def armhole_length(*halves: Piece) -> float:
    return sum(length(edge.path) for half in halves for edge in half.edges if edge.name == "armhole")


def shirt(ease: float, seams: str, neck: str) -> Pattern:
    """(a) A body with shoulder and side seams and a sleeve whose cap is `ease` mm longer than the armhole."""
    finishes = {"hem": HEM, "neck": neck, "sleeve hem": HEM}
    front = half_body("front", "centre front", FRONT, finishes)
    back = half_body("back", "centre back", BACK, finishes)
    corners = [
        ("sleeve hem", (-120.0, 0.0)),
        ("underarm front", (120.0, 0.0)),
        ("cap", (165.0, 420.0)),
        ("underarm back", (-165.0, 420.0)),
    ]
    cap = curve_of_length((165.0, 420.0), (-165.0, 420.0), armhole_length(front, back) + ease)
    sleeve = piece("sleeve", corners, finishes, cut=2, pair=True, bends={"cap": cap})
    parts = [
        seam("shoulder seam", "shoulder of front", "shoulder of back", seams, twice=True),
        seam("side seam", "side of front", "side of back", seams, twice=True),
        seam("underarm seam", "underarm front of sleeve", "turned underarm back of sleeve", seams, twice=True),
        seam(
            "sleeve seam", "cap of sleeve", ("armhole of front", "turned armhole of back"), seams, twice=True, ease=ease
        ),
    ]
    name = "woven-shirt" if ease else "knit-shirt"
    return pattern(name, (front, back, sleeve), parts, ("front", "back"))


def woven_shirt() -> Pattern:
    return shirt(20.0, "plain 15 mm", BOUND)


def knit_shirt() -> Pattern:
    return shirt(0.0, "overlocked 7 mm", "single turned 15 mm")


def lined_dress(way_out: str = "hems apart") -> Pattern:
    """(b) A dress with a lining caught at neck and armholes; `way_out`: hems apart, a turning gap, or none."""
    bagged = way_out != "hems apart"
    outer = {"hem": HEM}
    front = half_body("front", "centre front", FRONT, outer)
    back = half_body("back", "centre back", BACK, outer)
    inner = {} if bagged else {"hem": "double turned 15 mm"}
    lining = [half_body("lining front", "centre front", FRONT, inner, material="lining")]
    if way_out == "turning gap":
        corners = [
            ("hem", (0.0, 0.0)),
            ("side", (240.0, 0.0)),
            ("armhole", UNDERARM),
            ("shoulder", SHOULDER),
            ("neck", NECK_POINT),
            ("centre back", (0.0, BACK)),
            ("turning gap", (0.0, 350.0)),
            ("centre back low", (0.0, 150.0)),
        ]
        bends = {"armhole": 14.0, "neck": 4.0}
        lining.append(piece("lining back", corners, {}, cut=2, pair=True, material="lining", bends=bends))
    else:
        lining.append(half_body("lining back", "centre back", BACK, inner, material="lining"))
    inside = [each.replace(" of ", " of lining ") for each in NECK_RING]
    parts = [
        seam("shoulder seam", "shoulder of front", "shoulder of back", twice=True),
        seam("side seam", "side of front", "side of back", twice=True),
        seam("lining shoulder seam", "shoulder of lining front", "shoulder of lining back", twice=True),
        seam("lining side seam", "side of lining front", "side of lining back", twice=True),
        seam("neck seam", NECK_RING, inside, "plain 10 mm"),
        seam(
            "armhole seam",
            ("armhole of front", "turned armhole of back"),
            ("armhole of lining front", "turned armhole of lining back"),
            "plain 10 mm",
            twice=True,
        ),
    ]
    if way_out == "turning gap":
        for name, edge in (
            ("lining centre back seam", "centre back of lining back"),
            ("lining low back seam", "centre back low of lining back"),
            ("turning gap seam", "turning gap of lining back"),
        ):
            parts.append(seam(name, edge, f"mirrored {edge}"))
    if bagged:
        ring = ("hem of front", "turned hem of back", "mirrored hem of back", "turned mirrored hem of front")
        parts.append(seam("hem seam", ring, [each.replace(" of ", " of lining ") for each in ring], "plain 10 mm"))
    name = {"hems apart": "lined-dress", "turning gap": "bagged-dress"}.get(way_out, "shut-dress")
    return pattern(name, (front, back, *lining), parts, ("front", "back"))


def bagged_dress() -> Pattern:
    return lined_dress("turning gap")


def zip_dress() -> Pattern:
    """(c) A dress with side darts, a zip above the centre back seam, and a neck facing cut by itself."""
    finishes = {"hem": "single turned 40 mm", "armhole": BOUND, "zip": ZIP, "outer": "overlocked 6 mm", "end": END}
    corners = [
        ("hem", (0.0, -20.0)),
        ("side.1", (240.0, -20.0)),
        ("dart leg", (240.0, 250.0)),
        ("dart other leg", (120.0, 260.0)),
        ("side.2", (240.0, 270.0)),
        ("armhole", UNDERARM),
        ("shoulder", SHOULDER),
        ("neck", NECK_POINT),
        ("centre front", (0.0, FRONT)),
    ]
    bends = {"armhole": 24.0, "neck": 18.0}
    front = piece("front", corners, finishes, fold="centre front", bends=bends)
    corners = [
        ("hem", (0.0, 0.0)),
        ("side", (240.0, 0.0)),
        ("armhole", UNDERARM),
        ("shoulder", SHOULDER),
        ("neck", NECK_POINT),
        ("zip", (0.0, BACK)),
        ("centre back", (0.0, 250.0)),
    ]
    back = piece("back", corners, finishes, cut=2, pair=True, bends={"armhole": 14.0, "neck": 4.0})
    facings = (neck_facing("front facing", FRONT, finishes, True), neck_facing("back facing", BACK, finishes, False))
    body = ("turned mirrored neck of back", "mirrored neck of front", "turned neck of front", "neck of back")
    parts = [
        seam("shoulder seam", "shoulder of front", "shoulder of back", twice=True),
        seam("side seam", "side of front", "side of back", twice=True),
        seam("centre back seam", "centre back of back", "mirrored centre back of back", "plain 20 mm"),
        seam("facing seam", "shoulder of front facing", "shoulder of back facing", "plain 10 mm", twice=True),
        seam("neck seam", [f"{each} facing" for each in body], body, "plain 10 mm"),
    ]
    openings = (Opening("back opening", ("zip of back",), BACK - 250.0, "zip"),)
    return pattern("zip-dress", (front, back, *facings), parts, ("front", "back"), openings=openings)


def neck_facing(name: str, neck: float, finishes: Mapping[str, str], fold: bool) -> Piece:
    """Half a neck facing 60 mm deep."""
    end = "centre" if fold else "end"
    corners = [
        ("outer", (0.0, neck - 60.0)),
        ("shoulder", (130.0, 600.4)),
        ("neck", NECK_POINT),
        (end, (0.0, neck)),
    ]
    bends = {"neck": 18.0 if neck == FRONT else 4.0, "outer": -15.0}
    return piece(name, corners, finishes, fold=end if fold else "", cut=1 if fold else 2, pair=not fold, bends=bends)


def collared_blouse() -> Pattern:
    """(d) A blouse buttoned in front; its collar, sewn round and turned, lies between neck edge and neck facing."""
    finishes = {"hem": "double turned 10 mm", "armhole": BOUND, "centre": BOUND, "outer": "overlocked 6 mm", "end": END}
    front = half_body("front", "", FRONT, finishes, cut=2, pair=True)
    back = half_body("back", "centre back", BACK, finishes)
    facings = (neck_facing("front facing", FRONT, finishes, False), neck_facing("back facing", BACK, finishes, True))
    half = sum(length(edge.path) for each in (front, back) for edge in each.edges if edge.name == "neck")
    collar = [
        piece(
            name,
            [("neck", (0.0, 0.0)), ("side", (half, 0.0)), ("outer", (half + 20.0, 70.0)), ("centre", (0.0, 75.0))],
            {},
            fold="centre",
        )
        for name in ("upper collar", "under collar")
    ]
    ring = ("turned neck of front", "neck of back", "turned mirrored neck of back", "mirrored neck of front")
    parts = [
        seam("shoulder seam", "shoulder of front", "shoulder of back", twice=True),
        seam("side seam", "side of front", "side of back", twice=True),
        seam("facing seam", "shoulder of front facing", "shoulder of back facing", "plain 10 mm", twice=True),
        seam(
            "collar seam",
            ("outer of upper collar", "turned mirrored outer of upper collar"),
            ("outer of under collar", "turned mirrored outer of under collar"),
            "plain 6 mm",
        ),
        seam("collar end seam", "side of upper collar", "side of under collar", "plain 6 mm", twice=True),
    ]
    for name in ("under collar", "upper collar"):
        both = (f"turned neck of {name}", f"mirrored neck of {name}")
        parts.append(seam(f"{name} neck seam", both, ring, "plain 10 mm"))
    parts.append(seam("neck seam", [f"{each} facing" for each in ring], ring, "plain 10 mm"))
    openings = (Opening("front opening", ("centre of front",), FRONT, "buttons"),)
    pieces = (front, back, *facings, *collar)
    return pattern("collared-blouse", pieces, parts, ("front", "back"), openings=openings)


def trousers() -> Pattern:
    """(e) Trousers with two legs, a zip in front, inside-leg and crotch seams, and a waistband."""
    finishes = {"hem": "single turned 30 mm", "zip": ZIP}
    corners = [
        ("hem", (60.0, 0.0)),
        ("side", (240.0, 0.0)),
        ("waist", (240.0, 1000.0)),
        ("zip", (50.0, 1000.0)),
        ("crotch", (50.0, 850.0)),
        ("inside leg", (0.0, 740.0)),
    ]
    front = piece("front leg", corners, finishes, cut=2, pair=True, bends={"crotch": 8.0})
    corners = [
        ("hem", (60.0, 0.0)),
        ("side", (260.0, 0.0)),
        ("waist", (260.0, 1000.0)),
        ("crotch", (60.0, 1000.0)),
        ("inside leg", (0.0, 740.0)),
    ]
    back = piece("back leg", corners, finishes, cut=2, pair=True, bends={"crotch": 20.0})
    fork = ("crotch of front leg", "turned crotch of back leg")
    waist = (
        "turned waist of front leg",
        "waist of back leg",
        "turned mirrored waist of back leg",
        "mirrored waist of front leg",
    )
    parts = [
        seam("side seam", "side of front leg", "side of back leg", twice=True),
        seam("inside-leg seam", "inside leg of front leg", "inside leg of back leg", twice=True),
        seam(
            "crotch seam",
            fork,
            [f"turned mirrored {e.removeprefix('turned ')}" if "turned" in e else f"mirrored {e}" for e in fork],
        ),
        seam("waist seam", "waist seam of waistband", waist, "plain 10 mm"),
    ]
    openings = (Opening("front opening", ("zip of front leg",), 150.0, "zip"),)
    pieces = (front, back, waistband(780.0, 30.0))
    return pattern("trousers", pieces, parts, ("front leg", "back leg"), openings=openings)


TIERS = (("tier one", 200.0), ("tier two", 300.0), ("tier three", 450.0))


def tiered_skirt() -> Pattern:
    """(f) A skirt of three tiers, each gathered to half as wide again as the one above, on an elastic casing."""
    pieces, parts = [], []
    for name, wide in TIERS:
        finishes = {
            "top": "double turned 25 mm" if name == "tier one" else "",
            "foot": "double turned 10 mm" if name == "tier three" else "",
        }
        for half in ("front", "back"):
            corners = [
                ("foot", (0.0, 0.0)),
                ("side", (wide, 0.0)),
                ("top", (wide, 200.0)),
                ("centre", (0.0, 200.0)),
            ]
            pieces.append(piece(f"{name} {half}", corners, finishes, fold="centre"))
        parts.append(seam(f"{name} side seam", f"side of {name} front", f"side of {name} back", twice=True))
    for (above, narrow), (below, wide) in pairwise(TIERS):
        parts.append(
            seam(f"{below} seam", ring_of("top", below), ring_of("foot", above, True), ease=4.0 * (wide - narrow))
        )
    return pattern("tiered-skirt", pieces, parts, ("tier three front", "tier three back"))


def ring_of(edge: str, tier: str, other_way: bool = False) -> list[str]:
    """The edge round a tier: drawn front from side to centre, on to the mirrored side, and back behind.

    `other_way` for edges that run from centre to side.
    """
    said = [f"{edge} of {tier} front", f"mirrored {edge} of {tier} front"]
    said += [f"mirrored {edge} of {tier} back", f"{edge} of {tier} back"]
    turned = (True, False, True, False) if other_way else (False, True, False, True)
    return [f"turned {each}" if turn else each for each, turn in zip(said, turned, strict=True)]


def wrap_skirt() -> Pattern:
    """(g) A wrap skirt: a tie is caught in each end of its waistband."""
    finishes = {"hem": HEM, "wrap edge": "double turned 15 mm", "tie end": END, "tie point": END}
    corners = [
        ("hem", (0.0, 0.0)),
        ("side", (260.0, 0.0)),
        ("waist", (230.0, 600.0)),
        ("centre back", (0.0, 600.0)),
    ]
    back = piece("back", corners, finishes, fold="centre back")
    corners = [("hem", (0.0, 0.0)), ("side", (400.0, 0.0)), ("waist", (370.0, 600.0)), ("wrap edge", (0.0, 600.0))]
    front = piece("front", corners, finishes, cut=2, pair=True)
    marks = (Mark("strap", "tie place", (1200.0, 15.0)), Mark("strap", "other tie place", (0.0, 15.0)))
    corners = [
        ("tie end", (0.0, 0.0)),
        ("tie side", (60.0, 0.0)),
        ("tie point", (60.0, 900.0)),
        ("tie other side", (0.0, 900.0)),
    ]
    tie_fold = (Inner("fold line", "tie fold", line((30.0, 0.0), (30.0, 900.0))),)
    tie = piece("tie", corners, finishes, cut=2, inner=tie_fold)
    waist = ("turned waist of front", "waist of back", "turned mirrored waist of back", "mirrored waist of front")
    parts = [
        seam("side seam", "side of front", "side of back", twice=True),
        seam("waist seam", "waist seam of waistband", waist, "plain 10 mm"),
        seam("tie seam", "tie side of tie", "turned tie other side of tie", "plain 6 mm"),
    ]
    openings = (Opening("wrap", ("wrap edge of front",), 600.0, "tie"),)
    pieces = (front, back, waistband(1200.0, 0.0, marks), tie)
    return pattern("wrap-skirt", pieces, parts, ("front", "back"), openings=openings, worn="wrap")


def edge_lacking() -> Pattern:
    """A seam names a gusset that was never drawn."""
    made = knit_shirt()
    return replace(made, seams=(*made.seams, seam("gusset seam", "gusset of front", "side of back")))


def onto_itself() -> Pattern:
    """A hem that is to be sewn to the very same hem."""
    made = knit_shirt()
    return replace(made, seams=(*made.seams, seam("hem seam", "hem of front", "hem of front")))


def shut_dress() -> Pattern:
    """A lining caught at neck, armholes and hem with no gap to turn it through: no order exists."""
    return lined_dress("none")


def neck_the_wrong_way() -> Pattern:
    """A lined dress whose front neck is walked the wrong way in the neck seam: neighbours never meet."""
    made = lined_dress()
    ring = ("turned neck of front", *NECK_RING[1:])
    inside = [each.replace(" of ", " of lining ") for each in NECK_RING]
    wrong = seam("neck seam", ring, inside, "plain 10 mm")
    return replace(made, seams=tuple(wrong if each.name == "neck seam" else each for each in made.seams))


def mark_for_nothing() -> Pattern:
    """A strap's mark on a pattern without a strap."""
    made = knit_shirt()
    back = next(each for each in made.pieces if each.name == "back")
    marked = replace(back, marks=(Mark("strap", "strap back", (60.0, 590.0)),))
    return replace(made, pieces=tuple(marked if each.name == "back" else each for each in made.pieces))


GARMENTS: Mapping[str, Callable[[], Pattern]] = {
    "woven-shirt": woven_shirt,
    "knit-shirt": knit_shirt,
    "lined-dress": lined_dress,
    "bagged-dress": bagged_dress,
    "zip-dress": zip_dress,
    "collared-blouse": collared_blouse,
    "trousers": trousers,
    "tiered-skirt": tiered_skirt,
    "wrap-skirt": wrap_skirt,
}
ODD: Mapping[str, Callable[[], Pattern]] = {
    "edge lacking": edge_lacking,
    "onto itself": onto_itself,
    "shut dress": shut_dress,
    "neck the wrong way": neck_the_wrong_way,
    "mark for nothing": mark_for_nothing,
}


def cloth_of(name: str) -> Cloth:
    return KNIT if name.startswith("knit") else WOVEN
