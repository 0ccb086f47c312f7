"""Given a cloth and a garment's seams, what is tried on a scrap, and what its readings write into the ticket."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from drafting import ticket_of, ticket_text
from hypothesis import given
from hypothesis import strategies as st
from making_cloths import CLOTHS, COATED, CREPE, JERSEY, LAWN, UNKNOWN, VELVET, any_cloth

from onfold.cloth import Cloth, settle
from onfold.construction import CONSTRUCTIONS, Finish, read_finish
from onfold.making.operation import NO_WAY_BACK
from onfold.making.readings import (
    BENDING_SHARE,
    Pull,
    Read,
    all_lines,
    bending_length,
    read_overhang,
    read_pulls,
    read_stack,
    read_stroke,
    read_wash,
    read_weight,
)
from onfold.making.trials import Trial, guarded, trials_of
from onfold.making.tubes import tube_of
from onfold.shelf.ticket_cloth import CLOTH_KEYS

FINISHES = [finish for name in CONSTRUCTIONS if isinstance(finish := read_finish(name), Finish)]
cloths = pytest.mark.parametrize("cloth", [cloth for _, cloth in CLOTHS], ids=[name for name, _ in CLOTHS])
MEASURES = {"height": "168 cm", "waist": "72 cm", "hip": "98 cm"}


def named(trials: tuple[Trial, ...], name: str) -> Trial:
    return next(trial for trial in trials if trial.name == name)


def cloth_of(lines: tuple[str, ...], kind: str = "knit") -> Cloth:
    """The cloth of a ticket in which these lines stand below `cloth:`."""
    fields = dict(line.split(": ", 1) for line in lines)
    text = ticket_text("straight-skirt", MEASURES, {"kind": kind, **fields})
    return ticket_of(text).cloth


# --- trials


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


# --- readings


@pytest.mark.parametrize(
    ("relaxed", "held", "line"),
    [(100, 150, "50 %"), (100, 130, "30 %"), (101.6, 127, "25 %"), (101.6, 254, "150 %"), (100, 100, "0 %")],
)
def test_stretch_from_a_pull(relaxed: float, held: float, line: str) -> None:
    assert read_pulls(Pull(relaxed, held)).lines == (f"stretch: {{across: {line}}}",)  # T83 [C], the definition [A]


def test_recovery_from_a_pull_that_is_let_go() -> None:
    # T86 [A]: 10, held at 15, at rest at 10.5: 90 %; of two the lesser counts
    read = read_pulls(Pull(100.0, 150.0, 105.0), Pull(100.0, 120.0, 104.0))
    assert read == Read(("stretch: {across: 50 %, along: 20 %}", "recovery: 80 %"))


@pytest.mark.parametrize(
    ("pull", "reason"),
    [
        (Pull(100.0, 400.0), "not likely"),
        (Pull(100.0, 90.0), "wrong way round"),
        (Pull(0.0, 90.0), "Measure it again"),
        (Pull(100.0, math.nan), "Measure it again"),
        (Pull(100.0, math.inf), "Measure it again"),
        (Pull(100.0, 150.0, 90.0), "shorter than it was"),
        (Pull(100.0, 150.0, 140.0), "read again"),
    ],
)
def test_an_unlikely_pull_is_left_out_with_its_reason(pull: Pull, reason: str) -> None:
    read = read_pulls(across=pull)
    assert len(read.reasons) == 1
    assert reason in read.reasons[0]
    assert not any("recovery" in line for line in read.lines)


def test_shrinkage_weight_thickness_and_nap() -> None:
    assert read_wash(200.0, 196.0, 190.0).lines == ("shrinkage: {across: 2 %, along: 5 %}",)  # T115 [A]
    assert read_weight(10.4, 200.0, 200.0).lines == ("weight: 260 g/m2",)  # [A] 10.4 g on 0.04 m2
    assert read_stack(8.0).lines == ("thickness: 0.8 mm",)
    # T162 [A]: 0.5093 of the overhang
    assert read_overhang(36.0, 30.0).lines == ("bending length: {along: 18.3 mm, across: 15.3 mm}",)
    assert read_stroke("up").lines == ("nap: up",)
    assert read_stroke("neither").lines == ("nap: none",)


@pytest.mark.parametrize(
    "read",
    [
        read_wash(200.0, 150.0),
        read_wash(200.0, along=204.0),
        read_wash(0.0, 100.0),
        read_weight(0.0, 200.0, 200.0),
        read_weight(900.0, 200.0, 200.0),
        read_weight(5.0, 20.0, 20.0),
        read_stack(0.2),
        read_stack(8.0, 0),
        read_stack(math.nan),
        read_overhang(1.0),
        read_overhang(across=300.0),
        read_overhang(math.inf),
    ],
)
def test_what_no_cloth_reads_is_left_out_with_its_reason(read: Read) -> None:
    assert read.lines == ()
    assert len(read.reasons) == 1
    assert read.reasons[0].endswith(".")


def test_the_readings_of_a_cloth_are_read_back_from_its_ticket() -> None:
    reads = [
        read_pulls(Pull(100.0, 160.0, 106.0), Pull(100.0, 130.0, 102.0)),
        read_wash(200.0, 198.0, 190.0),
        read_weight(8.8, 200.0, 200.0),
        read_stack(7.0),
        read_stroke("down"),
        read_overhang(40.0, 30.0),
    ]
    assert all(read.reasons == () for read in reads)
    cloth = cloth_of(all_lines(reads))
    assert (cloth.stretch_across, cloth.stretch_along) == pytest.approx((0.6, 0.3))
    assert cloth.recovery == pytest.approx(0.9)
    assert (cloth.shrinkage_across, cloth.shrinkage_along) == pytest.approx((0.01, 0.05))
    assert (cloth.weight, cloth.thickness, cloth.nap) == (220.0, 0.7, "down")
    assert (cloth.bending_along, cloth.bending_across) == (20.4, 15.3)
    assert {"weight", "thickness", "recovery", "shrinkage"}.isdisjoint(cloth.guessed)


numbers = st.floats(allow_nan=True, allow_infinity=True) | st.floats(1.0, 500.0)


@given(numbers, numbers, st.none() | numbers)
def test_no_reading_raises_and_what_is_written_the_ticket_takes(
    relaxed: float, held: float, after: float | None
) -> None:
    pulls = read_pulls(Pull(relaxed, held, after), Pull(relaxed, held, after))
    strips = read_overhang(relaxed, held)
    reads = [pulls, strips, read_wash(relaxed, held, after), read_weight(relaxed, held, held), read_stack(relaxed)]
    for read in reads:
        assert read.lines or read.reasons
    if lines := all_lines(reads):
        assert cloth_of(lines).kind == "knit"


def test_bending_length_from_the_overhang() -> None:
    assert pytest.approx(0.5093, abs=5e-5) == BENDING_SHARE  # T162 [A], rule [C]
    assert bending_length(40.0) == pytest.approx(20.37, abs=0.01)
    # exactly one half stands at 42.94 degrees [A], so that half the overhang is 1.8 % low
    assert (math.cos(math.radians(42.94 / 2)) / (8 * math.tan(math.radians(42.94)))) ** (1 / 3) == pytest.approx(
        0.5, abs=1e-4
    )
    assert bending_length(40.0) / 20.0 == pytest.approx(1.018, abs=0.001)  # type: ignore[operator]
    assert bending_length(0.0) is bending_length(math.nan) is None


def test_a_knit_of_unknown_stretch_is_pulled_first() -> None:
    trials = trials_of(settle("knit", 1500.0))
    assert trials[0].name == "stretch"
    assert not trials[0].known
    assert "crosswise" in trials[0].do[0]  # T84 [C]: on a crosswise fold away from the cut edge, relaxed first
