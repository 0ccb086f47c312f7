"""What the hands do at each seam and edge: rows, trims, inlays, in every construction and in both systems of units."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import pytest

from onfold import open_ticket
from onfold.cloth import settle
from onfold.construction import CONSTRUCTIONS, Finish, read_finish, takes_inlay
from onfold.making.operation import Act, MakingUp
from onfold.making.order import making_up
from onfold.making.stitches import STITCH_TYPES
from onfold.pattern import Pattern

SKIRT = Path(__file__).resolve().parent.parent / "examples" / "soprano-2-skirt.yaml"
CLOTH = settle("woven", 1500.0, fibre=(("wool", 1.0),), weight=260.0, thickness=0.8)
SEAMS = sorted(each.name for each in CONSTRUCTIONS.values() if "seam" in each.uses)
EDGES = sorted(each.name for each in CONSTRUCTIONS.values() if {"edge", "hem"} & set(each.uses))


@lru_cache
def skirt() -> Pattern:
    garment = open_ticket(SKIRT)
    assert garment.draft is not None
    return garment.draft.pattern


def with_seam(finish: str) -> Pattern:
    seams = [replace(each, finish=finish) if each.name == "side seam" else each for each in skirt().seams]
    return replace(skirt(), seams=tuple(seams))


def with_edge(edge: str, finish: str) -> Pattern:
    pieces = [
        replace(each, edges=tuple(replace(own, finish=finish) if own.root == edge else own for own in each.edges))
        for each in skirt().pieces
    ]
    return replace(skirt(), pieces=tuple(pieces))


def acts(making: MakingUp, name: str) -> tuple[Act, ...]:
    operation = making.operation(name)
    assert operation is not None
    return operation.acts


def finish_of(text: str) -> Finish:
    finish = read_finish(text, CLOTH)
    assert isinstance(finish, Finish)
    return finish


@pytest.mark.parametrize("units", ["cm", "in"])
@pytest.mark.parametrize("kind", SEAMS)
def test_every_seam_is_told_with_its_rows_and_trims(kind: str, units: str) -> None:
    text = f"{kind} 5/8 in" if units == "in" else f"{kind} 16 mm"
    finish = finish_of(text)
    done = acts(making_up(with_seam(text), CLOTH, units), "side seam")  # type: ignore[arg-type]
    assert all(act.says.endswith(".") and act.says[0].isupper() for act in done)
    rows = [act.row for act in done if act.kind == "sew" and act.row]
    assert len(rows) >= min(1, len(finish.rows))
    assert all(row.stitch in STITCH_TYPES for row in rows)
    whole = " ".join(act.says for act in done)
    assert (" mm" not in whole) if units == "in" else (" in from" not in whole)
    if kind != "overlocked":
        assert len([act for act in done if act.kind == "trim"]) == len(finish.trims)


def test_the_enclosed_seam_is_sewn_in_its_order() -> None:
    # [A] first row and second line together are the allowance; [C] T177: the first row trimmed below the second line
    done = acts(making_up(with_seam("french 10 mm, first row 6 mm, trim 3 mm"), CLOTH), "side seam")
    kinds = [act.kind for act in done if act.kind in ("sew", "trim", "fold")]
    assert kinds == ["sew", "trim", "fold", "sew"]
    first, second = [act.row for act in done if act.row]
    assert (first.from_raw, first.from_net) == (6.0, 4.0)
    assert (second.from_raw, second.from_net) == (10.0, 0.0)
    assert first.length == pytest.approx(2.0 * 637.4929, abs=0.01)  # both sides of pattern.json
    says = [act.says for act in done]
    assert any("Wrong sides together" in said and "6 mm" in said for said in says)
    assert any("to 3 mm" in said for said in says)
    assert any("4 mm from the fold" in said for said in says)


@pytest.mark.parametrize("units", ["cm", "in"])
@pytest.mark.parametrize("kind", [kind for kind in SEAMS if takes_inlay(CONSTRUCTIONS[kind])])
def test_a_seam_with_an_inlay_is_tacked_tried_on_cut_back_and_then_sewn_as_ever(kind: str, units: str) -> None:
    # [C] T183
    bare = making_up(with_seam(f"{kind} 20 mm"), CLOTH, units)  # type: ignore[arg-type]
    wide = making_up(with_seam(f"{kind} 20 mm, inlay 25 mm"), CLOTH, units)  # type: ignore[arg-type]
    names = [each.name for each in wide.operations]
    assert names.index("tacking") < names.index("try-on") < names.index("side seam")
    said = " ".join(act.says for act in acts(wide, "tacking"))
    assert ("1 3/4 in from the raw edge" if units == "in" else "45 mm from the raw edge") in said
    done = acts(wide, "side seam")
    kinds = [act.kind for act in done]
    assert kinds.index("cut inlay") < kinds.index("sew")
    rows = [[act.row for act in acts(each, "side seam") if act.kind == "sew"] for each in (bare, wide)]
    assert rows[0] == rows[1]


def test_a_single_edge_with_an_inlay_is_marked_tried_on_and_cut_back() -> None:
    making = making_up(with_edge("hem", "double turned 15 mm"), CLOTH)
    assert "cut inlay" not in {act.kind for act in acts(making, "hem")}
    underlap = making_up(with_edge("underlap", "plain 10 mm, inlay 25 mm"), CLOTH)
    names = [each.name for each in underlap.operations]
    ends = next(each for each in underlap.operations if each.kind == "finish" and "waistband" in each.pieces)
    assert names.index("try-on") < names.index(ends.name)


@pytest.mark.parametrize("kind", EDGES)
def test_every_hem_and_edge_is_told(kind: str) -> None:
    making = making_up(with_edge("hem", f"{kind} 20 mm"), CLOTH)
    assert not making.left_out
    done = [act for each in making.operations if each.kind == "finish" for act in each.acts]
    assert done
    assert all(act.says.endswith(".") and act.says[0].isupper() for act in done)
    assert all(act.row.stitch in STITCH_TYPES for act in done if act.row)
