"""Right orders of making up, written by hand as a dressmaker would go about it: a list of operations a garment.

Every order is common practice [C]. The words make operations as they stand in `guide.json`; edges are said as recipes
say them (`turned mirrored neck of front`), and a seam's sides are taken from the pattern.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

Data = dict[str, Any]


def operation(name: str, kind: str, acts: Sequence[Data] = (), **more: Any) -> Data:
    blank: Data = {"seam": "", "sides": [], "pieces": [], "times": 1, "state": "", "tried": [], "why": "as told"}
    return {"name": name, "kind": kind, "acts": list(acts), **blank, **more}


def act(kind: str, from_net: float | None = None) -> Data:
    row = {"stitch": "straight stitch", "length": 100.0, "from_raw": 10.0, "from_net": from_net or 0.0, "layers": 2}
    return {
        "kind": kind,
        "says": f"{kind}.",
        "no_way_back": kind in ("trim", "clip", "cut", "cut inlay", "buttonhole"),
        "row": row if from_net is not None else None,
    }


FRENCH = [act("sew", 4.0), act("trim"), act("turn"), act("sew", 0.0)]


def run(said: str) -> Data:
    """An edge as a recipe says it."""
    turned, rest = said.startswith("turned "), said.removeprefix("turned ")
    mirrored, rest = rest.startswith("mirrored "), rest.removeprefix("mirrored ")
    edge, piece = rest.split(" of ", 1)
    return {"piece": piece, "edge": edge, "copy": "mirrored" if mirrored else "drawn", "reversed": turned}


def both(*edges: str) -> list[str]:
    """Each edge and its mirror twin."""
    return [said for edge in edges for said in (edge, f"mirrored {edge}")]


def sew(seam: str, times: int = 1, state: str = "flat", acts: Sequence[Data] = (act("sew", 0.0),)) -> Data:
    return operation(seam, "sew", acts, seam=seam, times=times, state=state)


def french(seam: str, times: int = 1) -> Data:
    return sew(seam, times, "flat", FRENCH)


def dart(name: str, leg: str, other: str, times: int = 2) -> Data:
    sides = [[run(leg)], [run(other)]]
    return operation(name, "dart", [act("sew", 0.0)], sides=sides, pieces=[sides[0][0]["piece"]], times=times)


def finish(name: str, edges: Sequence[str], state: str, times: int = 1) -> Data:
    return operation(name, "finish", [act("sew", 0.0)], sides=[[run(e) for e in edges]], state=state, times=times)


def fold(name: str, piece: str, edges: Sequence[str] = (), times: int = 1) -> Data:
    state = "flat" if edges else ""
    sides = [[run(edge)] for edge in edges]
    return operation(name, "fold", [act("fold")], sides=sides, pieces=[piece], times=times, state=state)


def turn(*pieces: str, times: int = 1) -> Data:
    return operation(f"turn {pieces[0]}", "turn", [act("turn")], pieces=list(pieces), times=times)


def attach(part: str, piece: str, times: int = 2) -> Data:
    return operation(f"{part} to {piece}", "attach", [act("sew", 0.0)], pieces=[part, piece], times=times)


def fasten(name: str, edges: Sequence[str], acts: Sequence[Data] = (act("sew", 0.0),)) -> Data:
    return operation(name, "fasten", acts, sides=[[run(edge)] for edge in edges])


TRIALS = (operation("cloth trial", "trial", [act("wash"), act("test")]),)
SEAM_TRIAL = operation("seam trial", "trial", [act("sew", 0.0), act("trim")])
CUTTING = operation("cutting", "cut", [act("cut")])
FIRST = (*TRIALS, CUTTING, SEAM_TRIAL)
TRY_ON = operation("try on", "try on", [act("try on")])
HANG, LEVEL = operation("hang", "hang", [act("hang")]), operation("level", "level", [act("mark")])
PRESS = operation("press", "press", [act("press")])


def hem(*pieces: str, state: str = "round") -> Data:
    return finish("hem", both(*(f"hem of {piece}" for piece in pieces)), state)


def choir_sheath() -> list[Data]:
    return [
        *FIRST,
        sew("side seam", 2),
        sew("strap seam", 2),
        turn("strap", times=2),
        attach("strap", "front"),
        finish("armholes", ["armhole of front"], "flat", 2),
        fold("neck fold", "front", both("armhole facing of front")),
        finish("back neck", both("back neck of back"), "flat"),
        TRY_ON,
        attach("strap", "back"),
        HANG,
        LEVEL,
        hem("front", "back"),
        PRESS,
    ]


def straight_skirt() -> list[Data]:
    return [
        *FIRST,
        dart("front dart", "front dart leg of front", "front dart other leg of front"),
        dart("back dart", "back dart leg of back", "back dart other leg of back"),
        finish("vent edges", ["vent top of back", "vent of back"], "flat", 2),
        sew("centre back seam"),
        fasten("back opening", ["zip of back"]),
        sew("side seam", 2),
        sew("waist seam"),
        finish("band ends", ["underlap of waistband", "band end of waistband", "other band end of waistband"], "flat"),
        fold("band fold", "waistband", ["band edge of waistband"]),
        TRY_ON,
        HANG,
        LEVEL,
        finish("hem", both("hem of front", "hem of back", "vent hem of back"), "flat"),
        fold("vent fold", "back", times=2),
        PRESS,
    ]


def woven_shirt() -> list[Data]:
    return [
        *FIRST,
        sew("shoulder seam", 2),
        finish("neck", both("neck of front", "neck of back"), "round"),
        sew("side seam", 2),
        sew("underarm seam", 2),
        sew("sleeve seam", 2, "round"),
        finish("sleeve hems", ["sleeve hem of sleeve"], "round", 2),
        LEVEL,
        hem("front", "back"),
    ]


def knit_shirt() -> list[Data]:
    return [
        *FIRST,
        sew("shoulder seam", 2),
        finish("neck", both("neck of front", "neck of back"), "round"),
        sew("sleeve seam", 2, "flat"),
        finish("sleeve hems", ["sleeve hem of sleeve"], "flat", 2),
        sew("side seam", 2),
        sew("underarm seam", 2),
        hem("front", "back"),
    ]


def lined_dress() -> list[Data]:
    return [
        *FIRST,
        sew("shoulder seam", 2),
        sew("lining shoulder seam", 2),
        sew("neck seam", 1, "round"),
        sew("armhole seam", 2, "flat"),
        turn("lining front", "lining back"),
        sew("side seam", 2),
        sew("lining side seam", 2),
        finish("lining hem", both("hem of lining front", "hem of lining back"), "round"),
        HANG,
        LEVEL,
        hem("front", "back"),
    ]


def bagged_dress() -> list[Data]:
    return [
        *FIRST,
        sew("shoulder seam", 2),
        sew("side seam", 2),
        sew("lining shoulder seam", 2),
        sew("lining centre back seam"),
        sew("lining low back seam"),
        sew("lining side seam", 2),
        sew("neck seam", 1, "round"),
        sew("armhole seam", 2, "round"),
        sew("hem seam", 1, "round"),
        turn("lining back", "lining front"),
        sew("turning gap seam"),
        PRESS,
    ]


def zip_dress() -> list[Data]:
    return [
        *FIRST,
        dart("side dart", "dart leg of front", "dart other leg of front"),
        sew("shoulder seam", 2),
        sew("facing seam", 2),
        finish("facing edge", both("outer of front facing", "outer of back facing"), "flat"),
        sew("centre back seam"),
        fasten("back opening", ["zip of back"]),
        sew("neck seam"),
        finish("facing ends", ["end of back facing"], "flat", 2),
        sew("side seam", 2),
        finish("armholes", ["armhole of front", "armhole of back"], "round", 2),
        HANG,
        LEVEL,
        hem("front", "back"),
    ]


def collared_blouse() -> list[Data]:
    return [
        *FIRST,
        operation("buttonhole trial", "trial", [act("buttonhole")]),
        sew("shoulder seam", 2),
        sew("facing seam", 2),
        finish("facing edge", both("outer of front facing", "outer of back facing"), "flat"),
        sew("collar seam"),
        sew("collar end seam", 2),
        turn("upper collar", "under collar"),
        sew("under collar neck seam"),
        sew("upper collar neck seam"),
        sew("neck seam", acts=[act("sew", 0.0), act("trim"), act("clip")]),
        finish("facing ends", ["end of front facing"], "flat", 2),
        sew("side seam", 2),
        finish("armholes", ["armhole of front", "armhole of back"], "round", 2),
        finish("front edges", ["centre of front"], "flat", 2),
        hem("front", "back", state="flat"),
        fasten("front opening", ["centre of front"], [act("buttonhole"), act("hand sew")]),
    ]


def trousers() -> list[Data]:
    return [
        *FIRST,
        sew("side seam", 2),
        sew("inside-leg seam", 2),
        sew("crotch seam"),
        fasten("front opening", ["zip of front leg"]),
        sew("waist seam"),
        finish("band ends", ["underlap of waistband", "band end of waistband", "other band end of waistband"], "flat"),
        fold("band fold", "waistband", ["band edge of waistband"]),
        TRY_ON,
        finish("hems", ["hem of front leg", "hem of back leg"], "round", 2),
    ]


def tiered_skirt() -> list[Data]:
    return [
        *FIRST,
        *(sew(f"tier {number} side seam", 2) for number in ("one", "two", "three")),
        sew("tier two seam", 1, "round"),
        sew("tier three seam", 1, "round"),
        finish("casing", both("top of tier one front", "top of tier one back"), "round"),
        HANG,
        LEVEL,
        finish("hem", both("foot of tier three front", "foot of tier three back"), "round"),
    ]


def wrap_skirt() -> list[Data]:
    return [
        *FIRST,
        sew("side seam", 2),
        finish("front edges", ["wrap edge of front"], "flat", 2),
        sew("waist seam"),
        sew("tie seam", 2),
        finish("tie points", ["tie point of tie"], "flat", 2),
        turn("tie", times=2),
        attach("tie", "waistband"),
        finish("band ends", ["band end of waistband", "other band end of waistband"], "flat"),
        fold("band fold", "waistband", ["band edge of waistband"]),
        fasten("wrap", ["wrap edge of front"]),
        HANG,
        LEVEL,
        hem("front", "back", state="flat"),
    ]


ORDERS: Mapping[str, Callable[[], list[Data]]] = {
    "choir-sheath": choir_sheath,
    "straight-skirt": straight_skirt,
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


def fitted(operations: Sequence[Data], pattern: Data) -> list[Data]:
    """The order as it is for this draft: its own darts first, and no edges that this wearer's garment lacks."""
    edges = {(piece["name"], edge["name"]): edge for piece in pattern["pieces"] for edge in piece["edges"]}
    roots = {*edges, *((name, edge["parent"]) for (name, _), edge in edges.items() if edge["parent"])}
    folds = {inner["name"] for piece in pattern["pieces"] for inner in piece["inner"] if inner["kind"] == "fold line"}
    found: list[Data] = [
        dart(name, f"{leg} of {piece}", f"{other} of {piece}") for name, piece, leg, other in legs_of(edges)
    ]
    enclosed = {seam["name"] for seam in pattern["seams"] if seam["construction"] == "french"}
    head = [op for op in operations if op in FIRST]
    for op in (op for op in operations if op not in FIRST and op["kind"] != "dart"):
        sides = [[r for r in side if (r["piece"], r["edge"]) in roots] for side in op["sides"]]
        lacking = (op["sides"] and not any(sides)) or (op["kind"] == "fold" and op["name"] not in folds)
        acts = FRENCH if op["seam"] in enclosed else op["acts"]
        found += [] if lacking else [{**op, "sides": sides, "acts": acts}]
    round_ = not any(opened["closes"] == "none" for opened in pattern["openings"])
    return [*head, *({**op, "state": "round"} if op["name"] == "hem" and round_ else op for op in found)]


def legs_of(edges: Mapping[tuple[str, str], Data]) -> list[tuple[str, str, str, str]]:
    """Every dart's name, piece and two legs: edges with the finish `dart` follow one another in pairs."""
    legs = [key for key, edge in edges.items() if edge["finish"] == "dart"]
    pairs = zip(legs[::2], legs[1::2], strict=True)
    return [(f"dart {number}", piece, leg, other) for number, ((piece, leg), (_, other)) in enumerate(pairs, 1)]


def guide_of(operations: Sequence[Data], pattern: Data) -> Data:
    """The guide as it is written, each seam's sides as the pattern has them."""
    sides = {seam["name"]: seam["sides"] for seam in pattern["seams"]}
    dressed = [{**op, "sides": sides[op["seam"]] if op["seam"] in sides else op["sides"]} for op in operations]
    head = {"format": "onfold guide 1", "unit": "mm", "recipe": pattern["recipe"], "wearer": pattern["wearer"]}
    return {**head, "operations": dressed, "before": [], "others": []}
