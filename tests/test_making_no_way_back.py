"""What cannot be undone is never done before its scrap trial or try-on, and no iron rests on pile: every recipe in
every cloth.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import pytest

from onfold import open_ticket
from onfold.cloth import Cloth
from onfold.making.operation import NO_WAY_BACK, Act, MakingUp, Operation
from onfold.making.order import making_up
from onfold.pattern import Opening, Pattern
from tests.making_cloths import CLOTHS

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
DRAFTS = ("alto-1-sheath", "soprano-2-skirt", "soprano-4-sheath", "tenor-1-skirt")
SEAMS = ("as drafted", "french 10 mm", "felled 15 mm", "overlocked 8 mm", "plain 15 mm", "buttoned")
"""Every draft once as it is, once with each construction at its side seams, once buttoned instead of zipped."""

WAITS_FOR = {
    "cut": {"stretch", "shrinkage", "nap", "what the ticket holds"},
    "trim": {"trimming and clipping", "turning a tube"},
    "clip": {"trimming and clipping"},
    "buttonhole": {"buttonhole"},
}
"""An act to the trials of which one must stand before it; written here anew, not read from the trials themselves."""


@lru_cache
def drafted(name: str, seams: str) -> Pattern:
    garment = open_ticket(EXAMPLES / f"{name}.yaml")
    assert garment.draft is not None
    pattern = garment.draft.pattern
    if seams == "buttoned":
        openings = [replace(each, closes="buttons") if each.closes == "zip" else each for each in pattern.openings]
        extra = Opening("side opening", ("side of front",), 120.0, "buttons")
        return replace(pattern, openings=tuple(openings) or (extra,))
    if seams == "as drafted":
        return pattern
    sewn = [replace(each, finish=seams) if each.name == "side seam" else each for each in pattern.seams]
    return replace(pattern, seams=tuple(sewn))


def too_early(making: MakingUp) -> list[str]:
    """The acts without a way back that stand before every trial, or try-on, they should wait for."""
    tried: set[str] = set()
    found = []
    for each in making.operations:
        for act in each.acts if each.kind != "trial" else ():  # on a scrap everything may be done
            if act.kind == "cut inlay":
                found += [] if "try-on" in tried else [f"{each.name}: {act.says}"]
            elif act.kind in WAITS_FOR and not tried & WAITS_FOR[act.kind]:
                found.append(f"{each.name}: {act.says}")
        if each.kind == "trial":
            tried.add(each.name.removeprefix("trial: "))
        if each.kind == "try on":
            tried.add("try-on")
    return found


@pytest.mark.parametrize("seams", SEAMS)
@pytest.mark.parametrize("draft", DRAFTS)
@pytest.mark.parametrize("cloth", [cloth for _, cloth in CLOTHS], ids=[name for name, _ in CLOTHS])
def test_nothing_is_done_too_early(draft: str, seams: str, cloth: Cloth) -> None:
    making = making_up(drafted(draft, seams), cloth)
    assert not making.left_out
    acts = [act for each in making.operations for act in each.acts]
    assert {"cut", "trim", "clip"} & {act.kind for act in acts}
    assert not too_early(making)
    assert all(
        each.tried for each in making.operations if each.kind != "trial" and any(act.no_way_back for act in each.acts)
    )


def test_too_early_would_be_seen() -> None:
    making = making_up(drafted("soprano-2-skirt", "french 10 mm"), CLOTHS[0][1])
    late = [each for each in making.operations if each.kind == "trial"]
    rest = [each for each in making.operations if each.kind != "trial"]
    assert len(too_early(replace(making, operations=(*rest, *late)))) > 3
    inlay = Operation("side seam", "sew", (Act("cut inlay", "Cut the inlay away."),))
    assert too_early(replace(making, operations=(inlay, *making.operations)))
    assert {*WAITS_FOR, "cut inlay"} == NO_WAY_BACK


RESTS = re.compile(r"\bpress(?:ed|es)? (?!.*(?:no iron|never rests))|\biron(?:ed)? flat|hot iron on(?! pile: both)")


def sentences(making: MakingUp) -> list[str]:
    return [act.says for each in making.operations for act in each.acts]


@pytest.mark.parametrize("seams", SEAMS)
@pytest.mark.parametrize("draft", DRAFTS)
def test_no_guide_for_pile_lets_an_iron_rest_on_it(draft: str, seams: str) -> None:
    # [C] T139: pile down on a needle board or over thick pile, steam, the iron not resting
    piled = [cloth for _, cloth in CLOTHS if "pile" in cloth.surface]
    assert piled
    for cloth in piled:
        making = making_up(drafted(draft, seams), cloth)
        assert not [act for each in making.operations for act in each.acts if act.kind == "press"]
        assert not [said for said in sentences(making) if RESTS.search(said.lower())]
        assert any("needle board" in said for said in sentences(making))


def test_a_resting_iron_would_be_seen() -> None:
    flat = [cloth for _, cloth in CLOTHS if "pile" not in cloth.surface]
    seen = [
        cloth
        for cloth in flat
        if any(
            RESTS.search(said.lower()) for said in sentences(making_up(drafted("alto-1-sheath", "plain 15 mm"), cloth))
        )
    ]
    assert seen


def test_a_cloth_of_unknown_fibre_gets_no_heat_before_a_scrap_has_borne_it() -> None:
    # [C] T186
    unknown = replace(CLOTHS[0][1], fibre=())
    said = [
        each
        for each in sentences(making_up(drafted("soprano-2-skirt", "plain 15 mm"), unknown))
        if "press" in each.lower()
    ]
    assert said
    assert all("scrap" in each for each in said if "open" in each)
