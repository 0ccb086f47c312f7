"""`onfold hang`: its files, its words, its exits; and what is asked of it beyond a hang."""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

pytest.importorskip("numba")

from onfold import project_hang
from onfold.cli import main
from onfold.cloth import Cloth
from onfold.hang.hanging import POINTS
from onfold.hang.mechanics import mechanics_of
from onfold.problems import CODES
from onfold.project import open_text, open_ticket
from onfold.project_hang import HungGarment, Stand, hang_garment, hang_on, stand_for
from onfold.project_hang_asked import Found, HangWish, asked_of, write_down
from onfold.project_hang_fall import Fallen, Learnt, _Loop, hang_for_fall, learn_from
from onfold.project_ready import readiness
from onfold.shelf.ticket import read_ticket_text

SKIRT, SHEATH, MENS = (
    Path("examples") / f"{name}.yaml" for name in ("soprano-2-skirt", "alto-1-sheath", "tenor-1-skirt")
)
FEW = 1500
FEWER = 3500
"""Points of a sheath's net that is coarse and still has its cowl."""


def quiet(_what: str, _share: float) -> bool:
    return True


def run(*words: str) -> Result:
    return CliRunner().invoke(main, ["hang", *words])


@lru_cache(maxsize=1)
def skirt() -> Found:
    return asked_of(SKIRT, HangWish(), quiet, FEW)


# --- the command ---


def test_it_writes_three_files_and_says_what_hangs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(project_hang, "POINTS", FEW)
    done = run(str(SKIRT), "-o", str(tmp_path))
    assert done.exit_code == 0, done.output
    assert sorted(each.name for each in tmp_path.iterdir()) == ["hang.glb", "hang.json", "hang.png"]
    assert (tmp_path / "hang.png").read_bytes().startswith(b"\x89PNG")
    assert (tmp_path / "hang.glb").read_bytes().startswith(b"glTF")
    data = json.loads((tmp_path / "hang.json").read_text("utf-8"))
    assert data["format"] == "onfold hang 1"
    assert data["vertices"] > 1000
    assert data["deepest_penetration"] == 0.0
    assert data["hangs_from"] == "waist"
    assert "It hangs from the waist" in done.output
    assert "a toile decides" in done.output
    assert str(tmp_path / "hang.png") in done.output


def test_equal_tickets_give_equal_bytes() -> None:
    again = asked_of(SKIRT, HangWish(), quiet, FEW)
    assert again.files == skirt().files


def test_json_is_one_document(tmp_path: Path) -> None:
    done = run(str(SKIRT), "-o", str(tmp_path), "--fall", "12 cm", "--json")
    assert done.exit_code == 2
    data = json.loads(done.stdout)
    assert data["exit"] == 2
    assert data["written"] == []
    assert data["problems"][0]["code"] == "HANG-FALL"
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["--fall", "120"], "VALUE-WRONG"),
        (["--fall", "3 mm"], "VALUE-WRONG"),
        (["--fall", "long"], "VALUE-WRONG"),
        (["--seen", "9 m"], "VALUE-WRONG"),
        (["--seen", "12 cm", "--fall", "12 cm"], "VALUE-WRONG"),
        (["--seen", "12 cm", "--compare", "other.yaml"], "VALUE-WRONG"),
        (["--seen", "12 cm", "--vary"], "VALUE-WRONG"),
        (["--seen", "12 cm"], "HANG-FALL"),
        (["--fall", "12 cm"], "HANG-FALL"),
    ],
)
def test_what_cannot_be_asked_is_said_and_nothing_is_written(words: list[str], code: str, tmp_path: Path) -> None:
    text = SKIRT.read_text("utf-8")
    done = run(str(SKIRT), "-o", str(tmp_path / "out"), *words, "--json")
    assert done.exit_code == 2
    assert code in [each["code"] for each in json.loads(done.stdout)["problems"]]
    assert not (tmp_path / "out").exists()
    assert SKIRT.read_text("utf-8") == text


def test_a_ticket_that_cannot_be_read_or_has_no_pattern_hangs_nothing(tmp_path: Path) -> None:
    torn = tmp_path / "torn.yaml"
    torn.write_text("ticket: [", "utf-8")
    trousers = "examples/alterations/tenor-1-trousers.yaml"
    for ticket, code in (
        (str(torn), "FILE-YAML"),
        (str(tmp_path / "none.yaml"), "FILE-MISSING"),
        (trousers, "NO-PATTERN"),
    ):
        done = run(ticket, "-o", str(tmp_path / "out"), "--json")
        assert done.exit_code == 2
        assert json.loads(done.stdout)["problems"][0]["code"] == code
    assert not (tmp_path / "out").exists()


def test_without_numba_it_says_what_to_install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "numba", None)
    done = run(str(SKIRT), "-o", str(tmp_path / "out"))
    assert done.exit_code == 2
    assert 'pip install "onfold[hang]"' in done.output
    assert not (tmp_path / "out").exists()
    (hangs,) = (each for each in readiness() if each["what"] == "Hangs")
    assert not hangs["ready"]
    assert not hangs["needed"]
    assert hangs["detail"].endswith('pip install "onfold[hang]"')
    ready = CliRunner().invoke(main, ["ready"])
    assert ready.exit_code == 0, "what is added on purpose may be left out"


def test_a_kind_of_problem_is_listed_for_each_thing_that_can_happen() -> None:
    assert {name for name, code in CODES.items() if code.group == "hang"} == {
        "HANG-TOOL", "HANG-OPEN", "HANG-FALL", "HANG-SLIPS", "HANG-RESTLESS", "HANG-SEEN", "HANG-LEFT-OUT",
    }  # fmt: skip


# --- stopping, comparing, odd garments ---


def test_stopped_it_is_kept_as_it_hangs_then() -> None:
    heard: list[float] = []

    def enough(_what: str, share: float) -> bool:
        heard.append(share)
        return share < 0.3

    found = asked_of(SKIRT, HangWish(), enough, FEW)
    assert set(found.files) == {"hang.json", "hang.png", "hang.glb"}
    assert not found.data["quiet"]
    assert "HANG-RESTLESS" in [each.code for each in found.problems]
    assert found.data["steps"] < skirt().data["steps"]


@pytest.mark.long
def test_two_tickets_are_hung_beside_one_another() -> None:
    found = asked_of(SKIRT, HangWish(compare=MENS), quiet, FEW)
    data = json.loads(found.files["hang.json"])
    assert data["wearer"] == "soprano-2"
    assert data["compared"]["wearer"] == "tenor-1"
    assert any(said.startswith("Hem, highest over lowest: ") and " / " in said for said in found.says)
    assert len(found.files["hang.png"]) > len(skirt().files["hang.png"])


def test_what_cannot_hang_says_why() -> None:
    garment = open_ticket(SKIRT)
    stand = stand_for(garment)
    assert isinstance(stand, Stand)
    assert garment.draft is not None
    pattern, cloth = garment.draft.pattern, stand.ticket.cloth
    odd = {
        "close": replace(pattern, seams=()),
        "alone": replace(pattern, pieces=pattern.pieces[:1], seams=()),
        "wrap": replace(pattern, worn="wrap"),
        "nothing": replace(pattern, pieces=(), seams=()),
    }
    for name, each in odd.items():
        found = hang_on(stand, each, cloth, quiet, "hanging it", points=FEW)
        assert not isinstance(found, HungGarment), name
        assert found[0].code == "HANG-OPEN"
        assert found[0].remedy


def test_a_piece_in_no_seam_is_told() -> None:
    garment = open_ticket(SKIRT)
    stand = stand_for(garment)
    assert isinstance(stand, Stand)
    assert garment.draft is not None
    pattern = garment.draft.pattern
    unsewn = replace(pattern, seams=tuple(each for each in pattern.seams if "waist" not in each.name))
    found = hang_on(stand, unsewn, stand.ticket.cloth, lambda _what, share: share < 0.1, "hanging it", points=FEW)
    assert isinstance(found, HungGarment)
    assert ("waistband", "is in no seam") in found.answers.left_out


def test_a_wearer_without_what_a_form_needs_is_told(tmp_path: Path) -> None:
    text = SKIRT.read_text("utf-8").replace("figure: woman", "figure: child")
    ticket = tmp_path / "child.yaml"
    ticket.write_text(text, "utf-8")
    found = hang_garment(open_ticket(ticket), points=FEW)
    assert not isinstance(found, HungGarment)
    assert found[0].severity == "stop"


# --- the loop ---


def sheath(cloth: Cloth | None = None) -> Stand:
    garment = open_ticket(SHEATH)
    assert garment.ticket is not None
    if cloth is not None:
        garment = replace(garment, ticket=replace(garment.ticket, cloth=cloth))
    stand = stand_for(garment)
    assert isinstance(stand, Stand)
    return stand


def test_the_draft_is_asked_for_its_spread_first() -> None:
    loop = _Loop(sheath())
    span = loop.span()
    assert span is not None
    least, most = span
    assert least == 0.0
    assert loop.draft(most) is not None
    assert loop.draft(most + 1.0) is None
    for fall in (60.0, 90.0, 130.0):
        assert loop.even_fall(loop.spread_for(fall, span)) == pytest.approx(fall, rel=1e-3)
    step = 25.4 / 32.0  # the ticket is in inches
    assert loop.rounded(20.0, span) / step == pytest.approx(round(20.0 / step))
    assert loop.rounded(most, span) <= most + step / 2.0


HIGH = "choices:\n  rise: {rise}\n  slashes: {slashes}\n  facing edge: in the side seam\n"
"""A front drafted high, for a cowl that falls far; with little spread its straps would have no way to go."""


def high(rise: str, slashes: int) -> Stand:
    found = stand_for(open_text(SHEATH.read_text("utf-8") + HIGH.format(rise=rise, slashes=slashes), SHEATH))
    assert isinstance(found, Stand)
    return found


def test_a_spread_too_small_to_be_drafted_is_never_tried() -> None:
    loop = _Loop(high("19 cm", 7))
    span = loop.span()
    assert span is not None
    least, most = span
    assert 0.0 < least < most
    for spread in (0.0, least, least + 0.1, 20.0, most, 200.0):
        assert loop.draft(loop.rounded(spread, span)) is not None


@pytest.mark.long
@pytest.mark.parametrize("asked", [80.0, 95.0])
def test_a_fall_asked_for_is_found(asked: float) -> None:
    found = hang_for_fall(sheath(), asked, quiet, POINTS)
    assert isinstance(found, Fallen)
    assert found.hangs <= 5
    assert abs(found.off) <= 0.08 * asked


@pytest.mark.long
@pytest.mark.parametrize(("asked", "rise", "slashes"), [(120.0, "17 cm", 6), (160.0, "19 cm", 7)])
def test_a_deep_fall_is_found_where_the_front_is_high_enough(asked: float, rise: str, slashes: int) -> None:
    found = hang_for_fall(high(rise, slashes), asked, quiet, POINTS)
    assert isinstance(found, Fallen)
    assert found.hangs <= 5
    assert abs(found.off) <= 0.08 * asked


@pytest.mark.long
@pytest.mark.parametrize(("asked", "which"), [(15.0, "smallest"), (560.0, "largest")])
def test_a_fall_out_of_reach_names_the_nearest(asked: float, which: str) -> None:
    found = hang_for_fall(sheath(), asked, quiet, FEWER)
    assert not isinstance(found, Fallen)
    assert found[0].code == "HANG-FALL"
    assert which in found[0].says


@pytest.mark.long
@pytest.mark.parametrize(
    ("bend", "stretch", "weight"),
    [(1.4, 1.0, 1.0), (0.7, 0.85, 1.15), (1.2, 1.2, 0.85)],
    ids=["crisp", "limp", "light"],
)
def test_after_one_fall_seen_the_next_spread_is_forecast(bend: float, stretch: float, weight: float) -> None:
    """A cloth that is hidden from the ticket: other bending, stretch and weight. Within 10 mm or 10 %."""
    known = sheath()
    cloth = known.ticket.cloth
    hidden = replace(
        cloth, bending_along=14.0 * bend, bending_across=14.0 * bend, weight=cloth.weight * weight,
        stretch_across=cloth.stretch_across * stretch, stretch_along=cloth.stretch_along * stretch,
    )  # fmt: skip
    depth = {spread: _depth(known, spread, hidden) for spread in (20.0, 26.0)}
    learnt = learn_from(known, depth[20.0], quiet, FEWER)
    assert isinstance(learnt, Learnt)
    now = replace(cloth, hung=learnt.reading)
    forecast = _depth(known, 26.0, now) * learnt.reading.fall / learnt.reading.reckoned
    assert abs(forecast - depth[26.0]) <= max(10.0, 0.1 * depth[26.0])


def _depth(stand: Stand, spread: float, cloth: Cloth) -> float:
    draft = _Loop(stand).draft(spread)
    assert draft is not None
    found = hang_on(stand, draft.pattern, cloth, quiet, "", mechanics_of(cloth), FEWER)
    assert isinstance(found, HungGarment)
    assert found.answers.cowl is not None
    return found.answers.cowl.depth


@pytest.mark.long
def test_a_fall_seen_is_kept_with_the_cloth(tmp_path: Path) -> None:
    ticket = tmp_path / "mine.yaml"
    ticket.write_text(SHEATH.read_text("utf-8"), "utf-8")
    found = asked_of(ticket, HangWish(seen="4 1/4 in"), quiet, FEWER)
    assert not found.refused, found.problems
    assert found.data["cowl"]["forecast"] == pytest.approx(107.95, abs=0.1)  # [A] what was seen is what is forecast
    assert write_down(found) == []
    read, problems = read_ticket_text(ticket.read_text("utf-8"))
    assert not problems
    assert read is not None
    assert read.cloth.hung is not None
    assert read.cloth.hung.fall == pytest.approx(107.95, abs=0.05)
    assert read.cloth.hung.reckoned == pytest.approx(found.data["asked"]["reckoned"], abs=0.1)
