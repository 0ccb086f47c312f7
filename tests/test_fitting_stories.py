"""Fittings as a maker tells them. Each ends in a changed pattern whose checks pass and whose difference is as asked,
read from pattern.json by a reader of its own; taking the note back restores ticket and pattern to the byte.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from click.testing import CliRunner
from json_reader import Data, edges, piece, points, run_length, seam_gaps, unsound

from onfold.cli import main

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
SKIRT, SHEATH = "soprano-2-skirt", "alto-1-sheath"
DAY = "2026-11-20"


def finished(level: str) -> Callable[[Data], float]:
    return lambda data: float(data["levels"][level]["finished"])


def fact(name: str) -> Callable[[Data], float]:
    return lambda data: float(data["facts"].get(name, {"value": 0.0})["value"])


def along(edge: str, of: str) -> Callable[[Data], float]:
    return lambda data: run_length(data, of, edge)


def top(edge: str, of: str) -> Callable[[Data], float]:
    """How high an edge reaches."""
    return lambda data: max(float(points(each)[:, 1].max()) for each in edges(data, of, edge))


def mark(kind: str, of: str) -> Callable[[Data], float]:
    """How high the first mark of a kind stands."""
    return lambda data: float(next(each["at"][1] for each in piece(data, of)["marks"] if each["kind"] == kind))


def mouth(data: Data) -> float:
    """The width of the side dart at its mouth."""
    legs = [each for each in piece(data, "front")["edges"] if each["finish"] == "dart" and "side" in each["name"]]
    if not legs:
        return 0.0
    a, b = points(legs[0])[0], points(legs[1])[-1]
    return float(((a - b) ** 2).sum() ** 0.5)


@dataclass(frozen=True)
class Story:
    """What was told, what was typed, what is measured and by how much (mm) it was to change."""

    told: str
    ticket: str
    typed: tuple[str, ...]
    measured: Callable[[Data], float]
    asked: float
    within: float = 0.15


STORIES = {
    "waist": Story(
        "She sat down and the band cut in; a centimetre more all round would do.",
        SKIRT,
        ("--seen", "waist too tight when sitting", "--by", "1 cm"),
        along("waist seam", "waistband"),
        10.0,
    ),
    "sway back": Story(
        "A fold lies across the back above the seat; I pinned out a centimetre and a half at the centre.",
        SKIRT,
        ("--seen", "folds across the back above the seat", "--by", "1.5 cm"),
        top("zip", "back"),
        -15.0,
    ),
    "full tummy": Story(
        "The front climbs over the tummy; it stands out two centimetres beyond a straight line.",
        SKIRT,
        ("--seen", "folds across the front at the tummy", "--by", "2 cm"),
        top("centre front", "front"),
        10.0,
    ),
    "hips": Story(
        "It pulls across the hips; I let the tacking out by two centimetres all round.",
        SKIRT,
        ("--seen", "pulls across the hips", "--by", "2 cm"),
        finished("hip"),
        20.0,
    ),
    "darts": Story(
        "The front darts run past the tummy by a centimetre and a half.",
        SKIRT,
        ("--seen", "waist darts end too low", "--by", "1.5 cm"),
        mark("dart point", "front"),
        15.0,
        0.3,
    ),
    "thighs": Story(
        "The hip sits well and the thighs are tight; two centimetres all round from the hip down.",
        SKIRT,
        ("--seen", "thighs too tight", "--because", "2", "--by", "2 cm"),
        along("hem", "front"),
        5.0,
    ),
    "length": Story(
        "Beside the altos it is two centimetres too long.",
        SKIRT,
        ("--choice", "length: 60 cm"),
        along("centre front", "front"),
        -20.0,
    ),
    "vent": Story(
        "The hem holds her knees on the steps; open the vent four centimetres higher.",
        SKIRT,
        ("--seen", "hem strains in walking", "--by", "4 cm"),
        along("vent", "back"),
        40.0,
        0.6,
    ),
    "hollow under the seat": Story(
        "Below the seat a fold lies across; a centimetre at the centre takes it up.",
        SKIRT,
        ("--seen", "folds under the seat", "--by", "1 cm"),
        top("zip", "back"),
        -10.0,
    ),
    "cowl": Story(
        "The cowl lies flat; I want it an inch deeper.",
        SHEATH,
        ("--seen", "cowl does not fall", "--by", "1 in"),
        fact("cowl fall"),
        25.4,
        0.9,
    ),
    "low back": Story(
        "The back shows too much and gapes; cut it less deep by an inch.",
        SHEATH,
        ("--seen", "low back gapes", "--because", "2", "--by", "1 in"),
        along("centre back", "back"),
        25.4,
        0.9,
    ),
    "low shoulder": Story(
        "The right strap slips, the left sits; I pinch up three eighths.",
        SHEATH,
        ("--seen", "right strap hangs slack", "--because", "2", "--by", "3/8 in"),
        fact("right strap shorter"),
        9.525,
    ),
    "drag": Story(
        "Folds drag from the side to the bust; I pinned out an inch at the side.",
        SHEATH,
        ("--seen", "drags from the bust to the side", "--by", "1 in"),
        mouth,
        25.4,
        0.9,
    ),
    "bust": Story(
        "The bust is drawn tight; let it out by three quarters of an inch all round.",
        SHEATH,
        ("--seen", "bust too tight", "--by", "3/4 in"),
        finished("bust"),
        19.05,
        3.4,  # the share of the stretch is written in hundredths: half of one is 3.4 mm round this bust [A]
    ),
    "taped again": Story(
        "I taped her hip again over what she will wear: 41 inches.",
        SHEATH,
        ("--measure", "hip: 41 in"),
        lambda data: float(data["levels"]["hip"]["body"]),
        12.7,
    ),
}
assert len(STORIES) >= 12


def run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, list(words))
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.output


def made(ticket: Path, folder: Path) -> bytes:
    code, said = run("make", str(ticket), "-o", str(folder))
    assert code == 0, said
    return (folder / "pattern.json").read_bytes()


@pytest.mark.parametrize("name", STORIES)
def test_a_story_ends_in_the_pattern_asked_for_and_can_be_taken_back(name: str, tmp_path: Path) -> None:
    story = STORIES[name]
    ticket = tmp_path / "ticket.yaml"
    ticket.write_bytes((EXAMPLES / f"{story.ticket}.yaml").read_bytes())
    first, written = ticket.read_bytes(), made(ticket, tmp_path / "before")
    code, said = run(
        "fit", str(ticket), "-o", str(tmp_path / "fit"), *story.typed, "--on", DAY, "--note", story.told, "--write"
    )
    assert code == 0, said
    assert story.told in ticket.read_text("utf-8")
    fitted = made(ticket, tmp_path / "after")
    before, after = json.loads(written), json.loads(fitted)
    assert story.measured(after) - story.measured(before) == pytest.approx(story.asked, abs=story.within)
    assert not [each for each in after["problems"] if each["severity"] == "stop"]
    assert not unsound(after)
    assert max(seam_gaps(after).values()) <= 0.1
    told = json.loads((tmp_path / "fit" / "fitting.json").read_text("utf-8"))
    assert told["format"] == "onfold fitting 1"
    code, said = run("fit", str(ticket), "-o", str(tmp_path / "fit"), "--take-back", DAY, "--write")
    assert code == 0, said
    assert ticket.read_bytes() == first
    assert made(ticket, tmp_path / "again") == written


def test_stories_compose_and_are_taken_back_one_by_one(tmp_path: Path) -> None:
    """Two corrections of one day and one of the next; the first is taken back, the others stay as they were."""
    ticket = tmp_path / "ticket.yaml"
    ticket.write_bytes((EXAMPLES / f"{SKIRT}.yaml").read_bytes())

    def typed(name: str, day: str) -> None:
        code, said = run("fit", str(ticket), "-o", str(tmp_path / "fit"), *STORIES[name].typed, "--on", day, "--write")
        assert code == 0, said

    bare = json.loads(made(ticket, tmp_path / "bare"))
    typed("hips", DAY)
    typed("darts", DAY)
    typed("sway back", "2026-11-21")
    all_three = json.loads(made(ticket, tmp_path / "three"))
    for name in ("hips", "sway back"):
        story = STORIES[name]
        assert story.measured(all_three) - story.measured(bare) == pytest.approx(story.asked, abs=story.within)
    code, said = run("fit", str(ticket), "-o", str(tmp_path / "fit"), "--take-back", f"{DAY}#1", "--write")
    assert code == 0, said
    rest = json.loads(made(ticket, tmp_path / "two"))
    assert finished("hip")(rest) == pytest.approx(finished("hip")(bare), abs=1e-6)
    for name in ("darts", "sway back"):
        assert STORIES[name].measured(rest) != STORIES[name].measured(bare)


def test_the_worked_cases_are_those_of_the_examples_and_each_changes_its_piece() -> None:
    sys.path.insert(0, str(EXAMPLES.parent / "scripts"))
    import write_fittings

    assert write_fittings.PAGE.read_text("utf-8") == write_fittings.page(), "run scripts/write_fittings.py"
    for case in write_fittings.CASES:
        fitted = write_fittings.tried(case)
        assert fitted.drafted and not fitted.stops, case.title
        assert fitted.differences is not None and fitted.differences.changed, case.title
        picture = EXAMPLES.parent / "docs" / "pictures" / f"fitting-{case.name}.png"
        assert picture.read_bytes()[:4] == b"\x89PNG"
