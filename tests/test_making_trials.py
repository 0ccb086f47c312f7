"""Given a cloth and a garment's seams, what is tried on a scrap, and which keys of the ticket it fills."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from making_cloths import CLOTHS, COATED, CREPE, JERSEY, LAWN, UNKNOWN, VELVET, any_cloth

from onfold.cloth import Cloth, settle
from onfold.construction import CONSTRUCTIONS, Finish, read_finish
from onfold.making.operation import NO_WAY_BACK
from onfold.making.trials import TIP_ANGLE, Trial, trials_of
from onfold.making.tubes import tube_of
from onfold.shelf.ticket_cloth import CLOTH_KEYS

FINISHES = [finish for name in CONSTRUCTIONS if isinstance(finish := read_finish(name), Finish)]
cloths = pytest.mark.parametrize("cloth", [cloth for _, cloth in CLOTHS], ids=[name for name, _ in CLOTHS])


def named(trials: tuple[Trial, ...], name: str) -> Trial:
    return next(trial for trial in trials if trial.name == name)


def guarded(trials: tuple[Trial, ...]) -> frozenset[str]:
    """Every act and construction that some trial guards."""
    return frozenset().union(*(trial.guards for trial in trials))


@cloths
def test_every_act_without_a_way_back_waits_for_a_trial(cloth: Cloth) -> None:
    trials = trials_of(cloth, FINISHES, tubes=[tube_of(15.0, cloth)], buttons=True)
    assert guarded(trials) >= NO_WAY_BACK
    sewn = {finish.kind for finish in FINISHES if finish.rows}
    assert guarded(trials) >= sewn, "every construction of the garment is sewn on a scrap first"
    assert len({trial.name for trial in trials}) == len(trials)


def test_without_buttons_nothing_guards_a_buttonhole() -> None:
    assert "buttonhole" not in guarded(trials_of(LAWN))
    assert NO_WAY_BACK - {"buttonhole"} <= guarded(trials_of(LAWN))


@given(any_cloth(), st.booleans(), st.sampled_from(["cm", "in"]))
def test_any_cloth_has_trials_in_whole_sentences(cloth: Cloth, buttons: bool, units: str) -> None:
    trials = trials_of(cloth, FINISHES, units=units, tubes=[tube_of(8.0, cloth)], buttons=buttons)  # type: ignore[arg-type]
    assert guarded(trials) >= NO_WAY_BACK - {"buttonhole"}
    for trial in trials:
        assert trial.do
        assert all(line[0].isupper() and line.endswith(".") for line in (*trial.do, trial.reads))
        assert units == "cm" or not any(" cm" in line or " mm " in line for line in trial.do if "needle" not in line)


def test_every_key_that_a_trial_fills_is_one_of_the_tickets() -> None:
    fills = {key for trial in trials_of(JERSEY, FINISHES) for key in trial.fills}
    assert fills == {"stretch", "recovery", "shrinkage", "nap", "weight", "thickness", "bending length"}
    assert fills <= set(CLOTH_KEYS)


def test_a_trial_whose_reading_the_ticket_holds_is_known() -> None:
    trials = trials_of(JERSEY)
    assert named(trials, "stretch").known
    assert named(trials, "weight").known
    assert not named(trials, "nap").known
    bare = trials_of(UNKNOWN)
    assert not any(named(bare, name).known for name in ("shrinkage", "nap", "weight", "thickness"))
    assert all(trial.name != "stretch" for trial in bare), "a woven of no stretch is not pulled"


def test_the_washed_square_is_twenty_centimetres() -> None:
    # T116 [C]: about 20 cm square, washed hotter than normal, pressed just damp, measured again
    said = " ".join(named(trials_of(CREPE), "shrinkage").do)
    assert "20 cm" in said
    assert "hotter" in said
    assert "just damp" in said
    for cloth in (VELVET, COATED, UNKNOWN):
        assert "Press it" not in " ".join(named(trials_of(cloth), "shrinkage").do)
    assert "8 in" in " ".join(named(trials_of(CREPE, units="in"), "shrinkage").do)


def test_each_construction_and_stitch_is_sewn_once() -> None:
    finishes = [
        each
        for text in ("plain 15 mm", "plain 10 mm", "french 10 mm", "raw")
        if isinstance(each := read_finish(text), Finish)
    ]
    names = [trial.name for trial in trials_of(LAWN, finishes) if trial.name.startswith("sewing")]
    assert names == ["sewing: plain, straight stitch", "sewing: french, straight stitch"]


def test_the_bending_strips_fill_the_bending_length() -> None:
    bending = named(trials_of(LAWN), "bending")
    assert bending.fills == ("bending length",)
    assert "along the selvage and one across" in bending.do[0]
    assert not bending.known
    assert not named(trials_of(replace(LAWN, bending_along=16.0)), "bending").known
    assert named(trials_of(replace(LAWN, bending_along=16.0, bending_across=14.0)), "bending").known
    assert "41.5°" in bending.reads
    assert math.degrees(math.atan(8.8 / 10.0)) == pytest.approx(41.5, abs=0.2)  # [A] the slope that is drawn
    assert math.degrees(math.atan(3.5 / 4.0)) == pytest.approx(41.5, abs=0.4)


def test_the_bending_length_is_half_of_the_overhang_within_two_in_the_hundred() -> None:
    def share(degrees: float) -> float:
        """Bending length over overhang where the tip has dropped by so much (T162 [C])."""
        angle = math.radians(degrees)
        return float((math.cos(angle / 2.0) / (8.0 * math.tan(angle))) ** (1.0 / 3.0))

    assert share(TIP_ANGLE) == pytest.approx(0.5093, abs=5e-5)  # [A]
    assert share(42.94) == pytest.approx(0.5, abs=1e-4)  # [A] exactly one half
    assert "half of it" in named(trials_of(LAWN), "bending").reads
    assert 1.0 < share(TIP_ANGLE) / 0.5 < 1.02


def test_a_knit_of_unknown_stretch_is_pulled_first() -> None:
    trials = trials_of(settle("knit", 1500.0))
    assert trials[0].name == "stretch"
    assert not trials[0].known
    assert "crosswise" in trials[0].do[0]  # T84 [C]: on a crosswise fold away from the cut edge, relaxed first
