"""Given a cloth, how it is pressed, held, cut, marked and tacked; above all what an iron may not do to pile."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from making_cloths import (
    CHIFFON,
    CLOTHS,
    COATED,
    CREPE,
    DENIM,
    JERSEY,
    LAWN,
    REMNANT_PILE,
    SATIN,
    TWILL,
    UNKNOWN,
    VELVET,
    VELVETEEN,
    any_cloth,
)

from onfold.cloth import Cloth, settle
from onfold.construction import CAUTIONS, CONSTRUCTIONS, Finish, read_finish, turn_of_cloth
from onfold.making import pressing
from onfold.making.handling import Handling, handling_of
from onfold.making.iron import CELSIUS, DOTS, iron_of, say_heat
from onfold.making.trials import trials_of

PILE = [VELVET, VELVETEEN, REMNANT_PILE]
FINISHES = [finish for name in CONSTRUCTIONS if isinstance(finish := read_finish(name), Finish)]
cloths = pytest.mark.parametrize("cloth", [cloth for _, cloth in CLOTHS], ids=[name for name, _ in CLOTHS])

PRESSES = re.compile(r"\bpress(es|ed|ing)?\b", re.IGNORECASE)
IRON = re.compile(r"\b(iron|hot plate)\b", re.IGNORECASE)
NEVER = re.compile(r"\b(never|no|not)\b", re.IGNORECASE)


def pressed(handling: Handling) -> list[str]:
    """Every sentence that can be asked for about pressing in this cloth."""
    return [
        pressing.press_seam(handling),
        pressing.press_seam(handling, "side", "to the back"),
        pressing.press_seam(handling, "as sewn"),
        pressing.press_fold(handling),
        pressing.press_fold(handling, soft=True),
        pressing.press_hem(handling),
        pressing.press_dart(handling),
        pressing.press_tube(handling),
        pressing.press_cloth(handling),
        pressing.press_last(handling),
    ]


def all_said(cloth: Cloth) -> list[str]:
    """Every sentence about this cloth: its handling, its pressing, and its trials."""
    handling = handling_of(cloth)
    tried = [line for trial in trials_of(cloth, FINISHES, buttons=True) for line in (*trial.do, trial.reads)]
    return [*handling.sentences, *pressed(handling), *tried]


def rests(text: str) -> bool:
    """Whether a text lets an iron touch: it presses, or it names the iron without forbidding it."""
    for sentence in re.split(r"(?<=[.;:])\s", text):
        if sentence in CAUTIONS["iron"]:
            continue
        if PRESSES.search(sentence) or (IRON.search(sentence) and not NEVER.search(sentence)):
            return True
    return False


# --- pile


@pytest.mark.parametrize("cloth", PILE, ids=lambda cloth: cloth.name)
def test_no_iron_rests_on_pile(cloth: Cloth) -> None:
    # T139 [C]: pile down on a needle board or over thick pile, the iron not resting, steam
    said = all_said(cloth)
    assert [line for line in said if rests(line)] == []
    assert handling_of(cloth).iron.manner == "pile"
    assert pressing.press_kind(handling_of(cloth)) == "steam"
    rules = " ".join(handling_of(cloth).pressing)
    for words in ("face down", "needle board", "thick pile", "steam", "never rests"):
        assert words in rules
    assert CAUTIONS["iron"] in handling_of(cloth).pressing  # T140 [C]: the caution stands with every pressing


def test_the_reader_of_sentences_finds_a_resting_iron() -> None:
    """The test above can fail: an ordinary cloth is full of what it looks for."""
    assert all(rests(line) for line in pressed(handling_of(DENIM)) if "soft" not in line)
    assert rests("Press the seam open.")
    assert rests("Rest the iron on it.")


@settings(max_examples=150)
@given(any_cloth())
def test_any_cloth_is_handled_and_no_iron_rests_on_any_pile(cloth: Cloth) -> None:
    said = all_said(cloth)
    assert all(line[0].isupper() and line.endswith(".") for line in said)
    assert not any(mark in line for line in said for mark in ("!", "—", " - ", "{", "None"))
    if "pile" in cloth.surface:
        assert [line for line in said if rests(line)] == []


def test_pile_is_cut_marked_and_tacked_as_pile() -> None:
    handling = handling_of(VELVET)
    cutting, marking = " ".join(handling.cutting), " ".join(handling.marking)
    for words in (
        "one layer",
        "never folded",
        "never pile to pile",
        "bolt's crease",
        "All tops lie to the same end",
        "arrow",
    ):
        assert words in cutting  # T186 [C]
    assert "Never a tracing wheel and never a hot iron" in marking
    assert handling.mark_with == "a tailor's tack"
    assert handling.tack_first
    assert "creeps" in " ".join(handling.tacking)
    assert not handling.fusible


# --- heat


def test_the_dots_of_the_iron() -> None:
    assert dict(CELSIUS) == {1: 110, 2: 150, 3: 200}  # T137 [S]
    assert say_heat(iron_of(LAWN)) == "three dots, about 200 °C"
    assert set(DOTS.values()) == {1, 2, 3}


def test_mixed_fibres_go_by_the_most_delicate() -> None:
    # T138 [C]
    iron = iron_of(settle("woven", 1500.0, fibre=(("cotton", 0.7), ("polyester", 0.3))))
    assert (iron.dots, iron.governs) == (2, "polyester")
    assert iron_of(JERSEY).governs == "elastane"
    assert any("elastane is the most delicate" in line for line in handling_of(JERSEY).pressing)


@pytest.mark.parametrize("fibre", ["acetate", "nylon", "polyamide", "Nylon", "moonbeam"])
def test_acetate_nylon_and_unknown_fibres_are_tried_on_a_scrap_first(fibre: str) -> None:
    cloth = settle("woven", 1500.0, fibre=((fibre, 1.0),))
    assert iron_of(cloth).scrap_first  # T186 [C]
    said = " ".join(handling_of(cloth).pressing)
    assert "scrap" in said
    assert all("scrap" in line for line in pressed(handling_of(cloth)) if "soft" not in line)


@pytest.mark.parametrize(
    "fibre", [(), (("moonbeam", 1.0),), (("cotton", 0.6),), (("cotton", 0.5), ("moonbeam", 0.5))], ids=str
)
def test_a_fibre_not_given_gets_no_heat_before_a_scrap_has_borne_it(fibre: tuple[tuple[str, float], ...]) -> None:
    handling = handling_of(settle("woven", 1500.0, fibre=fibre))
    assert handling.iron.manner == "untried"
    assert handling.iron.dots is None
    assert "no heat touches it until a scrap has borne it" in handling.pressing[0]
    assert not any("°C" in line for line in (*handling.pressing, *pressed(handling)))
    assert all(line.endswith(("a scrap has borne.", "no iron.")) for line in pressed(handling))
    assert not handling.fusible


def test_sure_fibres_need_no_scrap_and_wool_is_pressed_through_a_cloth() -> None:
    assert not iron_of(LAWN).scrap_first
    assert not iron_of(CREPE).scrap_first
    assert pressing.press_seam(handling_of(LAWN)) == "Press the seam flat as sewn, then press it open."
    assert "through a cloth" in pressing.press_seam(handling_of(CREPE))
    assert iron_of(SATIN).steam == iron_of(CHIFFON).steam == "dry"
    assert all("care label" in " ".join(handling_of(cloth).pressing) for cloth in (LAWN, CREPE, TWILL))


def test_coated_cloth_is_neither_ironed_nor_pinned_nor_tacked() -> None:
    handling = handling_of(COATED)
    assert handling.iron.manner == "fingers"
    assert not any(rests(line) for line in (*handling.pressing, *pressed(handling)) if "cannot be ironed" not in line)
    assert "clips" in handling.holding[0]
    assert "No pins, tacks or wheel" in " ".join(handling.marking)
    assert not handling.tack_first
    assert "weights, not pins" in " ".join(handling.cutting)


# --- holding, cutting, stays, bulk


def test_sheer_and_slippery_cloth_lie_on_tissue_and_are_tacked() -> None:
    for cloth in (CHIFFON, SATIN):
        handling = handling_of(cloth)
        assert "tissue" in " ".join(handling.feeding)
        assert "inside the allowances" in " ".join(handling.holding)
        assert "paper" in " ".join(handling.cutting)
        assert handling.tack_first
    assert "Enclose the raw edges" in " ".join(handling_of(CHIFFON).seams)
    assert "show through" in " ".join(handling_of(CHIFFON).marking)


def test_stretch_cloth_names_its_stays_and_its_seams() -> None:
    # T175, T179 [C]: shoulders and straps taped, the cowl's armhole stayed; T174: none below 15 % stretch
    stays = " ".join(handling_of(JERSEY).stays)
    assert all(word in stays for word in ("shoulders", "straps", "cowl"))
    assert "narrow zigzag" in " ".join(handling_of(JERSEY).seams)
    stiff = settle("woven", 1500.0, stretch_across=0.14)
    assert "Stay stitch necks" in handling_of(stiff).stays[0]
    assert handling_of(stiff).seams == ()


def test_the_workroom_rules_that_the_constructions_hold() -> None:
    assert all(1.0 <= turn_of_cloth(cloth) <= 3.0 for _, cloth in CLOTHS)  # T176 [C]
    assert turn_of_cloth(VELVET) >= 2.0  # T176 [C]: pile more
    assert all(6.0 <= CONSTRUCTIONS[name].usual <= 10.0 for name in ("overlocked", "narrow zigzag"))  # T177 [C]
    hem = read_finish("single turned", JERSEY)
    assert isinstance(hem, Finish)
    assert (20.0 <= hem.depth <= 25.0, hem.stitch) == (True, "twin needle")  # T178 [C]


def test_heavy_cloth_is_graded() -> None:
    assert "Grade" in handling_of(DENIM).bulk[0]
    assert handling_of(LAWN).bulk == ()


def test_marks_are_made_with_what_the_cloth_bears() -> None:
    assert pressing.mark_point(handling_of(VELVET), "the dart point") == "Mark the dart point with a tailor's tack."
    assert "nick" in pressing.mark_notches(handling_of(LAWN))
    for cloth in (VELVET, CHIFFON, JERSEY):
        assert "nick" not in pressing.mark_notches(handling_of(cloth))


@cloths
def test_every_cloth_says_something_of_each_kind(cloth: Cloth) -> None:
    handling = handling_of(cloth)
    assert handling.pressing
    assert handling.holding
    assert handling.marking
    assert handling.tacking
    assert len(set(handling.sentences)) == len(handling.sentences)
    assert handling_of(cloth) == handling


@given(st.sampled_from([cloth for _, cloth in CLOTHS]), st.sampled_from(["to the back", "downward", "to one side"]))
def test_a_seam_says_toward_which_side(cloth: Cloth, toward: str) -> None:
    assert toward in pressing.press_seam(handling_of(cloth), "side", toward)
    assert toward in pressing.press_dart(handling_of(cloth), toward)


def test_unknown_fibre_in_the_table_is_asked_as_a_scrap() -> None:
    assert iron_of(UNKNOWN) == iron_of(settle("woven", 1400.0, fibre=(("", 1.0),)))
