"""An order of making up is proved from outside: a reader of the files plays it with the cut cloth.

The reader (`making_reader`) knows `pattern.json` and `guide.json` and nothing of Onfold's. It is itself held to orders
written by hand, to planted slips, and to what must stand before what, by swaps. All orders are common practice [C].
"""

from __future__ import annotations

import ast
import json
import random
from collections.abc import Iterator
from functools import cache
from itertools import permutations
from pathlib import Path

import pytest
from making_claims import broken_claims, irreversible, misread_rows
from making_cloth import Cloth
from making_must import MUST, holds
from making_orders import (
    FIRST,
    ORDERS,
    TRY_ON,
    Data,
    act,
    attach,
    choir_sheath,
    finish,
    fitted,
    french,
    guide_of,
    operation,
    sew,
)
from making_patterns import GARMENTS, ODD, cloth_of
from making_reader import Refusal, do, play, possible
from making_table import Table
from making_wrong import SOUND, WRONG, Change, Slip, after, at, before, instead, told, without
from shapely import Polygon

from onfold.project import open_ticket, shipped_recipes
from onfold.writers.pattern_json import write_pattern_json

HERE = Path(__file__).resolve().parent
TICKETS = [*sorted((HERE.parent / "examples").glob("*.yaml")), *sorted((HERE / "garments").glob("*.yaml"))]
SHIPPED = {"choir-sheath": "alto-1-sheath", "french-sheath": "soprano-4-sheath", "straight-skirt": "soprano-2-skirt"}
READER = ("cloth", "closed", "lines", "nouns", "table", "reader", "claims")
SWAPS = 120


@cache
def drafted(ticket: Path) -> dict[str, bytes]:
    return open_ticket(ticket).files(("pattern.json", "guide.json"))


@cache
def pattern_of(garment: str) -> Data:
    """The file's data: a shipped recipe's from the choir's ticket, another's from its draft."""
    if garment in SHIPPED:
        found: Data = json.loads(drafted(HERE.parent / "examples" / f"{SHIPPED[garment]}.yaml")["pattern.json"])
        return found
    made: Data = json.loads(write_pattern_json({**GARMENTS, **ODD}[garment]()))
    return made


@cache
def cloth(garment: str) -> Cloth:
    return Cloth(pattern_of(garment))


def order_of(garment: str) -> list[Data]:
    ops = ORDERS.get(garment, choir_sheath)()
    ops = instead(french("side seam", 2))(ops) if garment == "french-sheath" else ops
    found: list[Data] = guide_of(ops, pattern_of(garment))["operations"]
    return found


def verdict(garment: str, *changes: Change) -> Refusal | None:
    ops = order_of(garment)
    for change in changes:
        ops = change(ops)
    return play(cloth(garment), ops)


EVERY = ["choir-sheath", "french-sheath", "straight-skirt", *GARMENTS]


# How the file's words are taken.


@pytest.mark.parametrize("ticket", TICKETS, ids=lambda path: path.stem)
def test_both_sides_of_every_shipped_seam_are_one_length_and_meet_at_one_corner(ticket: Path) -> None:
    assert Cloth(json.loads(drafted(ticket)["pattern.json"])).faults == []


@pytest.mark.parametrize("garment", GARMENTS)
def test_the_drafts_to_come_are_sound(garment: str) -> None:
    """Outlines that are simple and run anticlockwise; seams of one length; neighbours that meet."""
    for piece in pattern_of(garment)["pieces"]:
        outline = Polygon(piece["seam_line"])
        assert outline.is_valid, piece["name"]
        assert outline.exterior.is_ccw, piece["name"]
    assert cloth(garment).faults == []


def test_a_run_walked_the_wrong_way_is_seen() -> None:
    """`reversed` matters in a chain: turned once too often, a waist's neighbours never meet, whichever it is."""
    for at_ in range(4):
        data = json.loads(json.dumps(pattern_of("straight-skirt")))
        waist = next(seam for seam in data["seams"] if seam["name"] == "waist seam")
        waist["sides"][1][at_]["reversed"] ^= True
        assert any("never meet" in fault for fault in Cloth(data).faults)


def test_a_run_of_the_wrong_copy_is_seen() -> None:
    data = json.loads(json.dumps(pattern_of("trousers")))
    crotch = next(seam for seam in data["seams"] if seam["name"] == "crotch seam")
    crotch["sides"][0][1]["copy"] = "mirrored"
    assert any("never meet" in fault for fault in Cloth(data).faults)


def test_sides_of_two_lengths_are_seen() -> None:
    data = json.loads(json.dumps(pattern_of("woven-shirt")))
    sleeve = next(seam for seam in data["seams"] if seam["name"] == "sleeve seam")
    sleeve["ease"] = 0.0
    assert any(fault.startswith("sleeve seam:") and "ease 0.0" in fault for fault in Cloth(data).faults)


def test_pieces_are_counted_as_cloth() -> None:
    """On the fold one cloth with two halves, a pair two cloths, two straps two sewings of one seam."""
    sheath, trousers = cloth("choir-sheath"), cloth("trousers")
    assert [key for key in sheath.rings if key[0] == "front"] == [("front", 0)]
    assert {bit.copy for bit in sheath.rings["front", 0]} == {"drawn", "mirrored"}
    assert [key for key in trousers.rings if key[0] == "front leg"] == [("front leg", 0), ("front leg", 1)]
    assert len(sheath.seams["strap seam"]) == 2
    assert len(trousers.seams["side seam"]) == 2
    assert len(trousers.seams["crotch seam"]) == 1


def test_what_is_cut_more_often_than_it_is_sewn_lies_doubled() -> None:
    data = json.loads(json.dumps(pattern_of("trousers")))
    next(piece for piece in data["pieces"] if piece["name"] == "waistband")["cut"] = 2
    assert play(Cloth(data), order_of("trousers")) is None


def test_the_reader_imports_nothing_of_the_house() -> None:
    for name in (*(f"making_{each}" for each in READER), "json_reader"):
        path = HERE / f"{name}.py"
        imported = [node for node in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(node, ast.ImportFrom)]
        assert not [node.module for node in imported if (node.module or "").startswith("onfold")]
        assert len(path.read_text("utf-8").splitlines()) < 400


# Right orders.


@pytest.mark.parametrize("garment", EVERY)
def test_what_a_dressmaker_does_is_possible(garment: str) -> None:
    assert verdict(garment) is None
    guide = guide_of(order_of(garment), pattern_of(garment))
    assert irreversible(guide) == []
    assert broken_claims(guide) == []


@pytest.mark.parametrize("garment", EVERY)
def test_in_the_end_all_cloth_hangs_together(garment: str) -> None:
    ops = order_of(garment)
    table = Table(cloth(garment), ops)
    for number, op in enumerate(ops):
        do(table, op, ops[number + 1 :])
    assert len({table.parts.of(unit) for unit in cloth(garment).rings}) == 1


@pytest.mark.parametrize("ticket", TICKETS, ids=lambda path: path.stem)
def test_a_dressmaker_can_make_up_every_ticket(ticket: Path) -> None:
    """The same order on every body drafted here: with three darts or none, a vent or none, a dart in the side."""
    pattern = json.loads(drafted(ticket)["pattern.json"])
    guide = guide_of(fitted(ORDERS[pattern["recipe"]](), pattern), pattern)
    assert possible(pattern, guide) is None


def test_the_other_ways_of_a_dressmaker_are_possible_too() -> None:
    refused = {(g, label): verdict(g, change) for g, ways in SOUND.items() for label, change in ways}
    assert not {key: found for key, found in refused.items() if found is not None}


# Planted slips.


def slips() -> Iterator[tuple[str, Slip]]:
    for garment, found in WRONG.items():
        yield from ((garment, slip) for slip in found)


@pytest.mark.parametrize(("garment", "slip"), list(slips()), ids=lambda v: v if isinstance(v, str) else v[0])
def test_a_slip_is_refused_for_its_own_reason(garment: str, slip: Slip) -> None:
    _, change, code, word = slip
    found = verdict(garment, change)
    assert found is not None
    assert (found.code, word in found.says) == (code, True), found


def test_an_edge_that_was_closed_by_a_zip_is_not_sewn() -> None:
    data = json.loads(json.dumps(pattern_of("straight-skirt")))
    next(each for each in data["openings"] if each["closes"] == "zip")["edges"].append("centre back of back")
    ops = before("back opening", "centre back seam")(order_of("straight-skirt"))
    found = play(Cloth(data), ops)
    assert found is not None
    assert (found.operation, found.code) == ("centre back seam", "finished")


def test_a_dart_whose_mouth_is_neatened_comes_too_late() -> None:
    data = json.loads(json.dumps(pattern_of("straight-skirt")))
    data["seams"] = [seam for seam in data["seams"] if seam["name"] != "waist seam"]
    for edge in (edge for piece in data["pieces"] for edge in piece["edges"] if edge["parent"] == "waist"):
        edge["finish"] = "overlocked 10 mm"
    ops = order_of("straight-skirt")
    neatened = finish("waist edge", ["waist of front"], "", 2)
    found = play(Cloth(data), [*ops[: at(ops, "front dart")], neatened, *ops[at(ops, "front dart") :]])
    assert found is not None
    assert (found.operation, found.code) == ("front dart", "dart too late")


def test_a_felled_seam_is_sewn_on_its_line_first() -> None:
    data = json.loads(json.dumps(pattern_of("choir-sheath")))
    next(seam for seam in data["seams"] if seam["name"] == "side seam")["construction"] = "felled"
    right = [act("sew", 0.0), act("trim"), act("fold"), act("sew", 7.0)]
    assert play(Cloth(data), told("side seam", acts=right)(order_of("choir-sheath"))) is None
    found = play(Cloth(data), told("side seam", acts=right[::-1])(order_of("choir-sheath")))
    assert found is not None
    assert (found.operation, found.code) == ("side seam", "rows")


def test_a_strap_has_two_ends_and_no_third() -> None:
    data = json.loads(json.dumps(pattern_of("choir-sheath")))
    back = next(piece for piece in data["pieces"] if piece["name"] == "back")
    back["marks"].append({"kind": "strap", "name": "strap low", "at": [60.0, -400.0]})
    ops = [*order_of("choir-sheath"), {**attach("strap", "back"), "name": "strap to low back"}]
    found = play(Cloth(data), ops)
    assert found == Refusal("strap to low back", "unknown", "strap has no end left to be set in")


def test_every_reason_the_reader_has_is_asked_for() -> None:
    """A code that no slip is refused for would be a check that cannot fail."""
    place = {"must": 1, "CannotBe": 0, "Refusal": 1}
    named = set()
    for name in ("reader", "table"):
        for node in ast.walk(ast.parse((HERE / f"making_{name}.py").read_text("utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in place:
                code = node.args[place[node.func.id]]
                named |= {code.value} if isinstance(code, ast.Constant) else set()
    assert {code for found in WRONG.values() for _, _, code, _ in found} == named - {"finished"}


def test_every_garment_has_its_slips() -> None:
    assert set(WRONG) == set(EVERY)
    assert all(len(found) >= 5 for garment, found in WRONG.items() if garment != "french-sheath")


# Swaps, against what must stand before what.


def swapped(ops: list[Data], by: random.Random) -> list[Data]:
    """One to three operations after the cutting moved to another place."""
    head, rest = ops[: len(FIRST)], ops[len(FIRST) :]
    for _ in range(by.randint(1, 3)):
        rest.insert(by.randrange(len(rest)), rest.pop(by.randrange(len(rest))))
    return [*head, *rest]


def agree(garment: str, ops: list[Data]) -> bool:
    """Whether the order is possible; the reader and the hand-written lines must say the same."""
    names = [op["name"] for op in ops]
    found = play(cloth(garment), ops)
    assert (found is None) == holds(garment, names, {op["name"] for op in ops if op["kind"] == "sew"}), (names, found)
    return found is None


@pytest.mark.parametrize("garment", MUST)
def test_swaps_are_judged_as_the_lines_say(garment: str) -> None:
    by = random.Random(garment)
    judged = [agree(garment, swapped(order_of(garment), by)) for _ in range(SWAPS)]
    assert 0.05 < sum(judged) / SWAPS < 0.95


def test_every_garment_has_its_lines() -> None:
    assert set(MUST) == set(ORDERS)


@pytest.mark.long
@pytest.mark.parametrize("garment", ["knit-shirt", "woven-shirt"])
def test_all_orders_there_are_of_a_shirt_are_judged_as_the_lines_say(garment: str) -> None:
    head, rest = order_of(garment)[: len(FIRST)], order_of(garment)[len(FIRST) :]
    assert sum(agree(garment, [*head, *each]) for each in permutations(rest)) > 0


# What cannot be undone, and what a guide says of itself.


def faults_of(garment: str, *changes: Change) -> list[str]:
    ops = order_of(garment)
    for change in changes:
        ops = change(ops)
    return irreversible(guide_of(ops, pattern_of(garment)))


@pytest.mark.parametrize(
    ("garment", "change", "word"),
    [
        ("choir-sheath", after("cloth trial", "cutting"), "cutting: 'cut'"),
        ("choir-sheath", without("cloth trial", "seam trial"), "cutting: 'cut'"),
        ("french-sheath", after("seam trial", "side seam"), "side seam: 'trim'"),
        ("french-sheath", without("seam trial"), "side seam: 'trim'"),
        ("collared-blouse", without("seam trial"), "neck seam: 'clip'"),
        ("collared-blouse", after("buttonhole trial", "front opening"), "front opening: 'buttonhole'"),
        ("collared-blouse", without("buttonhole trial"), "front opening: 'buttonhole'"),
        ("choir-sheath", told("hem", acts=[{**act("cut"), "no_way_back": False}]), "the wrong way about"),
    ],
)
def test_what_cannot_be_undone_stands_after_its_trial(garment: str, change: Change, word: str) -> None:
    assert any(word in fault for fault in faults_of(garment, change))


def test_a_trial_of_another_seam_is_no_trial() -> None:
    other = operation("seam trial", "trial", [act("sew", 0.0)], seam="strap seam")
    same = {**other, "seam": "side seam"}
    assert faults_of("french-sheath", instead(other)) == ["side seam: 'trim' stands before what must be tried first"]
    assert faults_of("french-sheath", instead(same)) == []


def test_inlays_are_cut_after_a_try_on() -> None:
    inlay = operation("inlays", "press", [act("cut inlay")])
    ops = order_of("choir-sheath")
    soon = [*ops[: at(ops, "try on")], inlay, *ops[at(ops, "try on") :]]
    assert irreversible(guide_of(soon, pattern_of("choir-sheath")))
    assert not irreversible(guide_of([*ops, inlay], pattern_of("choir-sheath")))


def test_rows_are_held_to_the_length_and_allowance_of_their_seam() -> None:
    """[A] 2 side seams of a sheath; a French seam's two lines from the raw edge and from the seam line."""
    data = pattern_of("french-sheath")
    seam = next(each for each in data["seams"] if each["name"] == "side seam")
    wide = next(edge["allowance"] for edge in data["pieces"][0]["edges"] if edge["name"] == "side")

    def told_rows(length: float, first: float) -> list[str]:
        rows = [
            {"stitch": "s", "length": length, "from_raw": raw, "from_net": wide - raw, "layers": 2}
            for raw in (first, wide)
        ]
        rows[0]["from_net"] = wide - 6.35
        op = {**sew("side seam", 2), "acts": [{**act("sew"), "row": row} for row in rows]}
        return misread_rows(data, guide_of([op], data))

    assert told_rows(2.0 * seam["lengths"][0], 6.35) == []
    assert len(told_rows(seam["lengths"][0], 6.35)) == 1
    assert len(told_rows(2.0 * seam["lengths"][0], 8.0)) == 1


def test_a_guide_is_held_to_what_it_says_of_itself() -> None:
    data = pattern_of("choir-sheath")
    guide = guide_of(order_of("choir-sheath"), data)
    line = {"first": "hem", "then": "side seam", "reason": "it is said", "must": True}
    assert broken_claims({**guide, "before": [line]}) == ["'hem' must stand before 'side seam' and does not"]
    assert not broken_claims({**guide, "before": [{**line, "must": False}]})
    assert broken_claims({**guide, "before": [{**line, "first": "train"}]})
    assert broken_claims({**guide, "before": [{**line, "first": "side seam", "then": "hem", "reason": ""}]})
    assert broken_claims(guide_of([*order_of("choir-sheath"), TRY_ON], data)) == ["'try on' names two operations"]
    for name in ("seam trial", "hem"):
        later = told("side seam", tried=[name])(after("seam trial", "side seam")(order_of("choir-sheath")))
        assert broken_claims(guide_of(later, data))
    assert broken_claims(guide_of(told("hem", tried=["side seam"])(order_of("choir-sheath")), data))


# Patterns that cannot be made.


def test_a_seam_that_names_an_absent_edge_is_never_sewn() -> None:
    ops = order_of("knit-shirt")
    gusset = guide_of([*ops, sew("gusset seam")], pattern_of("knit-shirt"))["operations"]
    assert play(cloth("edge lacking"), ops) == Refusal("", "missing", "gusset seam: there is no drawn gusset of front")
    found = play(cloth("edge lacking"), gusset)
    assert found is not None
    assert (found.operation, found.code) == ("gusset seam", "unknown")


def test_a_hem_is_not_sewn_onto_itself() -> None:
    found = play(cloth("onto itself"), [*order_of("knit-shirt"), sew("hem seam")])
    assert found is not None
    assert (found.code, "onto itself" in found.says) == ("unknown", True)


def test_no_order_of_a_lining_without_a_gap_is_possible() -> None:
    """Whatever seam is last, it shuts the dress; only turned before that one could it be closed from outside."""
    by = random.Random(7)
    gone = without("lining centre back seam", "lining low back seam", "turning gap seam")
    ops = guide_of(gone(ORDERS["bagged-dress"]()), pattern_of("shut dress"))["operations"]
    seams = [op for op in ops if op["kind"] == "sew"]
    for _ in range(SWAPS):
        by.shuffle(seams)
        assert play(cloth("shut dress"), [*ops[: len(FIRST)], *seams]) is not None


def test_neighbours_that_never_meet_are_never_sewn() -> None:
    pattern = pattern_of("neck the wrong way")
    found = possible(pattern, guide_of(ORDERS["lined-dress"](), pattern))
    assert found == Refusal("neck seam", "not joined", "neighbours in the neck seam never meet")


def test_a_mark_without_its_part_is_left_undone() -> None:
    found = play(cloth("mark for nothing"), order_of("knit-shirt"))
    assert found == Refusal("", "missing", "nothing was set to strap back of back")


# Onfold's own guides.


def test_every_shipped_recipe_has_a_ticket_here() -> None:
    assert {json.loads(drafted(ticket)["pattern.json"])["recipe"] for ticket in TICKETS} == set(shipped_recipes())


@pytest.mark.parametrize("ticket", TICKETS, ids=lambda path: path.stem)
def test_every_guide_written_is_possible(ticket: Path) -> None:
    files = drafted(ticket)
    if "guide.json" not in files:
        pytest.skip("guide.json is not written yet")
    pattern, guide = json.loads(files["pattern.json"]), json.loads(files["guide.json"])
    assert guide["format"] == "onfold guide 1"
    assert possible(pattern, guide) is None
    assert irreversible(guide) == []
    assert broken_claims(guide) == []
    assert misread_rows(pattern, guide) == []


def found_order(garment: str) -> tuple[Data, Data]:
    """The pattern and the guide that Onfold finds for a draft."""
    order = pytest.importorskip("onfold.making.order")
    data = pytest.importorskip("onfold.guide.data")
    pattern = {**GARMENTS, **ODD}[garment]()
    guide = data.guide_data(order.making_up(pattern, cloth_of(pattern.recipe), "cm"), pattern)
    return pattern_of(garment), json.loads(json.dumps(guide))


@pytest.mark.parametrize("garment", GARMENTS)
def test_an_order_is_found_for_garments_still_to_come(garment: str) -> None:
    pattern, guide = found_order(garment)
    assert possible(pattern, guide) is None
    assert irreversible(guide) == []
    assert broken_claims(guide) == []
    assert misread_rows(pattern, guide) == []


@pytest.mark.parametrize("garment", ODD)
def test_where_no_order_exists_none_is_made_up(garment: str) -> None:
    """Nothing raises; each operation given can be done, and what cannot be is left undone, not pretended.

    A dress shut all round may also be turned before its last seam is closed.
    """
    pattern, guide = found_order(garment)
    found = possible(pattern, guide)
    assert found is not None or garment == "shut dress"
    assert found is None or found.code == "missing", found
