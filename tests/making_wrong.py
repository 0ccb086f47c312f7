"""Orders that cannot be, planted by hand: what a slip in a guide would look like, and the reason a dressmaker gives.

`WRONG` lists them by garment: a label, the change to the right order, the reader's code, a word of its reason.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from making_orders import Data, act, attach, dart, finish, hem, operation, run

Orders = list[Data]
Change = Callable[[Orders], Orders]
Slip = tuple[str, Change, str, str]


def at(ops: Orders, name: str) -> int:
    return next(k for k, op in enumerate(ops) if op["name"] == name)


def without(*names: str) -> Change:
    return lambda ops: [op for op in ops if op["name"] not in names]


def before(name: str, other: str, *left_out: str) -> Change:
    """Move an operation to stand just before another; `left_out` are dropped."""

    def change(ops: Orders) -> Orders:
        rest = [op for op in ops if op["name"] not in (name, *left_out)]
        return [*rest[: at(rest, other)], ops[at(ops, name)], *rest[at(rest, other) :]]

    return change


def after(name: str, other: str) -> Change:
    def change(ops: Orders) -> Orders:
        rest = [op for op in ops if op["name"] != name]
        return [*rest[: at(rest, other) + 1], ops[at(ops, name)], *rest[at(rest, other) + 1 :]]

    return change


def again(name: str) -> Change:
    return lambda ops: [*ops, ops[at(ops, name)]]


def instead(other: Data) -> Change:
    """Put this operation in the place of the one of its name."""
    return lambda ops: [other if op["name"] == other["name"] else op for op in ops]


def told(name: str, /, **more: object) -> Change:
    """Tell something else of an operation."""
    return lambda ops: [{**op, **more} if op["name"] == name else op for op in ops]


SECOND_FIRST = [act("sew", 0.0), act("turn"), act("sew", 4.0), act("trim")]
TRIMMED_FIRST = [act("trim"), act("sew", 4.0), act("turn"), act("sew", 0.0)]
TRIMMED_LAST = [act("sew", 4.0), act("turn"), act("sew", 0.0), act("trim")]
ONE_ROW = [act("sew", 4.0), act("trim")]
OTHER_LEGS = dart("front dart", "front dart leg of front", "back dart other leg of back")
OTHER_SIDES = [[run("strap side of strap")], [run("strap other side of strap")]]
STAY = operation("stay", "stay", [act("sew", 0.0)], sides=[[run("back neck of back")]])
TO_NOTHING = operation("strap", "attach", [act("sew", 0.0)], pieces=["strap"])
NO_EDGE = [[run("train of front")]]


def both_points(ops: Orders) -> Orders:
    """Close a tie's two ends before it is turned, and set neither in."""
    ends = [[run("tie point of tie"), run("tie end of tie")]]
    return told("tie points", sides=ends)(without("tie to waistband")(ops))


SHEATH: tuple[Slip, ...] = (
    ("hem before the side seam", before("hem", "side seam", "hang", "level"), "not joined", "side seam"),
    ("hem before the hanging", before("hem", "hang"), "hem too soon", "hang"),
    ("hem before the levelling", before("hem", "level"), "hem too soon", "level"),
    ("levelled before the side seam", before("level", "side seam"), "level too soon", "side seam"),
    ("strap turned before it is sewn", before("turn strap", "strap seam"), "turned too soon", "strap seam"),
    ("strap set in inside out", before("strap to front", "turn strap"), "not turned", "wrong side out"),
    ("strap never turned", without("turn strap"), "not turned", "wrong side out"),
    ("facing turned before the strap ends are in", after("strap to front", "neck fold"), "strap too late", "held"),
    ("facing turned over a raw armhole", after("armholes", "neck fold"), "buried", "neck fold"),
    ("strap seam twice", again("strap seam"), "sewn twice", "strap seam"),
    ("one strap only", instead(attach("strap", "back", 1)), "missing", "strap back"),
    ("back neck forgotten", without("back neck"), "missing", "back neck"),
    ("sewn before it is cut", before("side seam", "cutting"), "uncut", "front"),
    ("hem called flat", instead(hem("front", "back", state="flat")), "state", "round"),
    ("a piece that is not there", told("side seam", pieces=["sleeve"]), "unknown", "sleeve"),
    ("an edge that is not there", told("hem", sides=NO_EDGE), "unknown", "train"),
    ("tried on by an edge that is not there", told("try on", sides=NO_EDGE), "unknown", "train"),
    ("a kind that is none", told("hem", kind="gather"), "unknown", "gather"),
    ("no edge named", told("hem", sides=[]), "unknown", "no edge"),
    ("hem told four times over", told("hem", times=2), "unknown", "not there 2 times"),
    ("a fold that is not there", told("neck fold", name="collar fold"), "unknown", "collar fold"),
    ("a seam's edge caught down", told("neck fold", sides=[[run("side of front")]]), "in a seam", "side of front"),
    ("nothing named to turn", told("turn strap", pieces=[]), "unknown", "nothing is named"),
    ("strap set to nothing", lambda ops: [*ops, TO_NOTHING], "unknown", "name both"),
    ("three straps of two", told("strap to front", times=3), "unknown", "not 3 of strap"),
    ("straps set to one mark twice", again("strap to front"), "unknown", "marks left"),
    ("strap set in before it is sewn", before("strap to front", "strap seam"), "not turned", "not closed"),
    ("strap turned before it is cut", before("turn strap", "cutting"), "uncut", "strap"),
    ("strap set in before it is cut", before("strap to front", "cutting"), "uncut", "strap"),
    ("side seam called round", told("side seam", state="round"), "state", "flat"),
    ("edges of another seam", told("side seam", sides=OTHER_SIDES), "unknown", "not those of the side seam"),
    ("facing turned twice", again("neck fold"), "folded twice", "neck fold"),
    ("strap turned twice", again("turn strap"), "turned twice", "strap"),
    ("a seam's edge hemmed", told("hem", sides=[[run("side of front")]]), "in a seam", "side of front"),
    ("stay after the edge is done", lambda ops: [*ops, STAY], "stay too late", "back neck"),
)
FRENCH_SHEATH: tuple[Slip, ...] = (
    ("second row before the first", told("side seam", acts=SECOND_FIRST), "rows", "second row"),
    ("trimmed before the first row", told("side seam", acts=TRIMMED_FIRST), "rows", "before the first row"),
    ("trimmed when it is closed", told("side seam", acts=TRIMMED_LAST), "rows", "inside"),
    ("second row forgotten", told("side seam", acts=ONE_ROW), "rows", "two rows"),
)
SKIRT: tuple[Slip, ...] = (
    ("hem before the side seam", before("hem", "side seam", "hang", "level"), "not joined", "side seam"),
    ("waistband before the front darts", after("front dart", "waist seam"), "dart too late", "front dart"),
    ("waistband before the back darts", after("back dart", "waist seam"), "dart too late", "back dart"),
    ("waistband before the side seams", after("side seam", "waist seam"), "not joined", "side seam"),
    ("zip after the waistband", after("back opening", "waist seam"), "zip too late", "waist seam"),
    ("band turned before its ends are closed", after("band ends", "band fold"), "ends open", "band end"),
    ("band turned over nothing", before("band fold", "waist seam"), "ends open", "band end"),
    ("centre back seam twice", again("centre back seam"), "sewn twice", "centre back"),
    ("hem before the levelling", before("hem", "level"), "hem too soon", "level"),
    ("hem said to be round over a vent", told("hem", state="round"), "state", "flat"),
    ("no zip", without("back opening"), "missing", "zip"),
    ("legs of two darts", instead(OTHER_LEGS), "unknown", "two legs"),
    ("a zip in no opening", told("back opening", sides=[[run("side of back")]]), "unknown", "no opening"),
    ("vent folded before it is cut", before("vent fold", "cutting"), "uncut", "back"),
    ("dart called round", told("front dart", state="round"), "state", "flat"),
    ("dart twice", again("front dart"), "sewn twice", "dart"),
    ("band end finished twice", again("band ends"), "finished twice", "underlap"),
)
WOVEN_SHIRT: tuple[Slip, ...] = (
    ("sleeve before its underarm seam", before("sleeve seam", "underarm seam"), "not joined", "open"),
    ("sleeve before the side seam", before("sleeve seam", "side seam"), "not joined", "open"),
    ("sleeve before the shoulder seam", before("sleeve seam", "shoulder seam"), "not joined", "shoulder seam"),
    ("sleeve seam twice", again("sleeve seam"), "sewn twice", "sleeve seam"),
    ("one sleeve only", told("sleeve seam", times=1), "missing", "sleeve seam"),
    ("neck before the shoulder seams", before("neck", "shoulder seam"), "not joined", "shoulder seam"),
    ("hem before the side seam", before("hem", "side seam", "level"), "not joined", "side seam"),
    ("sleeve called flat", told("sleeve seam", state="flat"), "state", "round"),
    ("sleeve hem before its seam", before("sleeve hems", "underarm seam"), "not joined", "underarm seam"),
)
KNIT_SHIRT: tuple[Slip, ...] = (
    ("sleeve called round", told("sleeve seam", state="round"), "not joined", "open"),
    ("sleeve before the shoulder seam", before("sleeve seam", "shoulder seam"), "not joined", "shoulder seam"),
    ("side seam before the flat sleeve", before("side seam", "sleeve seam"), "not joined", "round"),
    ("sleeve seam twice", again("sleeve seam"), "sewn twice", "sleeve seam"),
    ("neck before the shoulder seams", before("neck", "shoulder seam"), "not joined", "shoulder seam"),
    ("hem before the side seam", before("hem", "side seam"), "not joined", "side seam"),
    ("underarm seam forgotten", without("underarm seam"), "missing", "underarm seam"),
)
LINED_DRESS: tuple[Slip, ...] = (
    ("lining neck before its shoulders", after("lining shoulder seam", "neck seam"), "not joined", "lining shoulder"),
    ("neck before the shoulder seams", after("shoulder seam", "neck seam"), "not joined", "shoulder seam"),
    ("armholes before the shoulders", before("armhole seam", "shoulder seam"), "not joined", "shoulder"),
    ("armholes flat on a closed side", before("side seam", "armhole seam"), "not joined", "one side"),
    ("turned before it is sewn", before("turn lining front", "shoulder seam"), "turned too soon", "nothing of lining"),
    ("turned before it is caught", before("turn lining front", "neck seam"), "turned too soon", "joined to nothing"),
    ("lining hem before its side", before("lining hem", "lining side seam"), "not joined", "lining side seam"),
    ("neck seam twice", again("neck seam"), "sewn twice", "neck seam"),
    ("hem before the side seam", before("hem", "side seam", "hang", "level"), "not joined", "side seam"),
)
BAGGED_DRESS: tuple[Slip, ...] = (
    ("gap closed before it is turned", before("turning gap seam", "turn lining back"), "no way out", "last opening"),
    ("never turned", without("turn lining back"), "no way out", "turning gap seam"),
    ("hems joined before the side seam", before("hem seam", "side seam"), "not joined", "side seam"),
    ("neck before the lining's back seam", after("lining centre back seam", "neck seam"), "not joined", "centre back"),
    ("armholes before the lining's sides", after("lining side seam", "armhole seam"), "not joined", "one side"),
    ("turned before the hems are joined", before("turn lining back", "hem seam"), "no way out", "turning gap seam"),
    ("gap left open", without("turning gap seam"), "missing", "turning gap seam"),
    ("hem seam twice", again("hem seam"), "sewn twice", "hem seam"),
)
ZIP_DRESS: tuple[Slip, ...] = (
    ("zip after the facing", after("back opening", "neck seam"), "zip too late", "neck seam"),
    ("dart after the side seam", after("side dart", "side seam"), "dart too late", "dart leg"),
    ("neck before the facing's shoulders", after("facing seam", "neck seam"), "not joined", "facing seam"),
    ("facing before the shoulder seams", after("shoulder seam", "neck seam"), "not joined", "shoulder seam"),
    ("armholes before the side seam", before("armholes", "side seam"), "not joined", "side seam"),
    ("hem before the side seam", before("hem", "side seam", "hang", "level"), "not joined", "side seam"),
    ("hem before the centre back seam", after("centre back seam", "hem"), "level too soon", "centre back seam"),
    ("zip set twice", again("back opening"), "finished twice", "back opening"),
    ("facing edge forgotten", without("facing edge"), "missing", "outer of front facing"),
)
BLOUSE: tuple[Slip, ...] = (
    ("collar after the facing", after("under collar neck seam", "neck seam"), "covered", "neck seam"),
    ("upper collar after the facing", after("upper collar neck seam", "neck seam"), "covered", "neck seam"),
    ("collar turned before its ends", after("collar end seam", "turn upper collar"), "turned too soon", "collar end"),
    ("collar turned before it is sewn", before("turn upper collar", "collar seam"), "turned too soon", "collar seam"),
    ("collar set inside out", before("under collar neck seam", "turn upper collar"), "not turned", "under collar"),
    ("collar before the shoulder seams", after("shoulder seam", "neck seam"), "not joined", "shoulder seam"),
    ("facing before its shoulders", after("facing seam", "neck seam"), "not joined", "facing seam"),
    ("facing sewn twice", again("neck seam"), "sewn twice", "neck seam"),
    ("no buttons", without("front opening"), "missing", "buttons"),
)
TROUSERS: tuple[Slip, ...] = (
    ("waistband before the side seams", after("side seam", "waist seam"), "not joined", "side seam"),
    ("waistband before the crotch seam", after("crotch seam", "waist seam"), "not joined", "crotch seam"),
    ("zip after the waistband", after("front opening", "waist seam"), "zip too late", "waist seam"),
    ("hems before the inside legs", before("hems", "inside-leg seam"), "not joined", "inside-leg seam"),
    ("band turned before its ends are closed", after("band ends", "band fold"), "ends open", "band end"),
    ("one leg's hem only", told("hems", times=1), "missing", "mirrored hem"),
    ("crotch seam twice", again("crotch seam"), "sewn twice", "crotch seam"),
)
TIERS: tuple[Slip, ...] = (
    ("gathered before the sides are closed", before("tier two seam", "tier two side seam"), "not joined", "side seam"),
    ("tier three before its sides", before("tier three seam", "tier three side seam"), "not joined", "side seam"),
    ("casing before the sides", before("casing", "tier one side seam"), "not joined", "tier one side seam"),
    ("hem before the sides", before("hem", "tier three side seam", "hang", "level"), "not joined", "tier three side"),
    ("tier called flat", told("tier two seam", state="flat"), "state", "round"),
    ("tier sewn twice", again("tier three seam"), "sewn twice", "tier three seam"),
    ("tier forgotten", without("tier two seam"), "missing", "tier two seam"),
)
WRAP: tuple[Slip, ...] = (
    ("tie turned before its point is closed", before("turn tie", "tie points"), "ends open", "tie point"),
    ("tie turned before it is sewn", before("turn tie", "tie seam"), "turned too soon", "tie seam"),
    ("tie closed at both ends", both_points, "no way out", "nothing of tie"),
    ("tie set in inside out", before("tie to waistband", "turn tie"), "not turned", "wrong side out"),
    ("tie after the band's ends are closed", after("tie to waistband", "band ends"), "strap too late", "band end"),
    ("one tie only", told("tie to waistband", times=1), "missing", "tie"),
    ("band turned before its ends are closed", after("band ends", "band fold"), "ends open", "band end"),
    ("band before the side seams", after("side seam", "waist seam"), "not joined", "side seam"),
    ("band closed over a raw waist", after("waist seam", "band fold"), "buried", "band fold"),
)
WRONG: Mapping[str, tuple[Slip, ...]] = {
    "choir-sheath": SHEATH,
    "french-sheath": FRENCH_SHEATH,
    "straight-skirt": SKIRT,
    "woven-shirt": WOVEN_SHIRT,
    "knit-shirt": KNIT_SHIRT,
    "lined-dress": LINED_DRESS,
    "bagged-dress": BAGGED_DRESS,
    "zip-dress": ZIP_DRESS,
    "collared-blouse": BLOUSE,
    "trousers": TROUSERS,
    "tiered-skirt": TIERS,
    "wrap-skirt": WRAP,
}


def both_ends(ops: Orders) -> Orders:
    """Set a strap's two ends in with one operation, before the facing is turned."""
    rest = [op for op in ops if op["name"] != "strap to back"]
    return instead({**attach("strap", "front"), "pieces": ["strap", "front", "back"]})(rest)


def neatened_ends(ops: Orders) -> Orders:
    ends = finish("strap ends", ["strap end of strap", "strap other end of strap"], "", 2)
    return [*ops[: at(ops, "strap seam")], ends, *ops[at(ops, "strap seam") :]]


def flat_hem(ops: Orders) -> Orders:
    """Hem before the second side seam, told flat: a seam through a finished hem."""
    rest = [op for op in ops if op["name"] not in ("hang", "level", "hem", "side seam")]
    own = ops[at(ops, "side seam")]
    twin = [[{**each, "copy": "mirrored"} for each in side] for side in own["sides"]]
    flat = {**ops[at(ops, "hem")], "state": "flat"}
    return [*rest, {**own, "times": 1}, flat, {**own, "name": "other side seam", "sides": twin, "times": 1}]


SOUND: Mapping[str, tuple[tuple[str, Change], ...]] = {
    "choir-sheath": (
        ("straps first of all", before("strap seam", "side seam")),
        ("hem finished flat, one side seam last", flat_hem),
        ("hem told by its halves", told("hem", sides=[[run("hem of front")], [run("hem of back")]], times=2)),
        ("facing told by its half", told("neck fold", sides=[[run("armhole facing of front")]], times=2)),
        ("both ends of a strap in one", both_ends),
        ("strap ends neatened first", neatened_ends),
    ),
    "woven-shirt": (("underarm before side", before("underarm seam", "side seam")),),
    "knit-shirt": (("neck last of all", after("neck", "hem")),),
    "trousers": (
        ("crotch first, then the inside legs in one run", before("crotch seam", "inside-leg seam")),
        ("zip first", before("front opening", "side seam")),
    ),
    "straight-skirt": (
        ("zip before the seam below it", before("back opening", "centre back seam")),
        ("sides before darts", before("side seam", "front dart")),
    ),
    "zip-dress": (("armholes last", after("armholes", "hem")),),
    "wrap-skirt": (("ties first", before("tie seam", "side seam")),),
}
"""Other orders of the same operations that are as right: the reader must not be stricter than the cloth."""
