"""`onfold lay --cut-again`: a miscut piece laid once more in what is left of the cloth."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from drafting import EXAMPLES
from lay_reader import bars_at
from lay_tickets import cloth, pattern_of, read, run, written
from pypdf import PdfReader

from onfold.project_lay_asked import asked_of

SKIRT = EXAMPLES / "soprano-2-skirt.yaml"


@pytest.fixture
def ticket(tmp_path: Path) -> Path:
    """The skirt, priced, cut from a length that leaves room for more."""
    path = tmp_path / "skirt.yaml"
    path.write_text(SKIRT.read_text("utf-8").replace("cloth:\n", "cloth:\n  at hand: 2.5 m\n"), "utf-8")
    return path


def refusal(*words: str | Path) -> dict[str, Any]:
    """The one stop of a command that writes nothing."""
    said = json.loads(run(*words, "--json").stdout)
    assert (said["exit"], said["written"]) == (2, [])
    (stop,) = [each for each in said["problems"] if each["severity"] == "stop"]
    assert isinstance(stop, dict) and all(stop[key] for key in ("says", "found", "expected", "remedy"))
    return stop


def size_of(ticket: Path, name: str) -> tuple[float, float]:
    """How wide and long a piece is cut, mm."""
    piece = next(each for each in pattern_of(ticket)["pieces"] if each["name"] == name)
    wide, long = np.ptp(np.array(piece["cut_line"]), axis=0).tolist()
    return wide, long


def test_nothing_is_bought_for_a_piece_cut_again_and_what_is_cut_is_called_so(ticket: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run(ticket, "-o", out, "--seconds", "1").exit_code == 0
    done = run(ticket, "-o", out, "--cut-again", "waistband")
    assert done.exit_code == 0, done.output
    across, along = sorted(size_of(ticket, "waistband"))
    told = " ".join(done.stdout.split())
    assert f"It takes {along / 10.0:.1f} cm along the cloth by {across / 10.0:g} cm across" in told  # [A] its own size
    assert "nothing is to be bought" in told and "Shears" in told
    data = read(out, "again-lay.json")
    assert [data[key] for key in ("before_shrinking", "buy", "step", "cost", "density")] == [None] * 5
    assert data["again"]["piece"] == "waistband" and data["again"]["along"] == pytest.approx(along, abs=0.1)
    pages = " ".join(page.extract_text() for page in PdfReader(out / "again-lay.pdf").pages)
    for words in (pages, (out / "again-lay.svg").read_text("utf-8")):
        assert "flaw" not in words and "Buy" not in words and "21.60" not in words and "the lay," not in words
        assert "cut already" in words and "waistband cut again" in " ".join(words.split())


def test_flaws_are_still_called_flaws_beside_what_is_cut(ticket: Path, tmp_path: Path) -> None:
    hole = "flaws: [{along: 200 cm, across: 30 cm, long: 4 cm, wide: 4 cm}]"
    ticket.write_text(ticket.read_text("utf-8").replace("cloth:\n", f"cloth:\n  {hole}\n"), "utf-8")
    assert run(ticket, "-o", tmp_path / "out", "--seconds", "1").exit_code == 0
    assert run(ticket, "-o", tmp_path / "out", "--cut-again", "waistband").exit_code == 0
    told = " ".join(page.extract_text() for page in PdfReader(tmp_path / "out" / "again-lay.pdf").pages)
    assert "cut already, or a flaw" in told and "Kept clear of: flaw." in told


def test_where_it_does_not_fit_what_to_buy_for_it_alone_is_a_problem(tmp_path: Path) -> None:
    assert run(SKIRT, "-o", tmp_path, "--seconds", "1").exit_code == 0
    stop = refusal(SKIRT, "-o", tmp_path, "--cut-again", "front")
    _, along = size_of(SKIRT, "front")
    assert stop["code"] == "LAY-AGAIN" and f"by itself it takes {along / 10.0:.1f} cm" in stop["says"]
    # [A] 685.4 / (1 - 3 %) = 706.6 mm, sold by the tenth of a metre at 24.00 a metre
    assert "Buy 0.8 m of 150 cm cloth." in stop["remedy"] and "19.20 EUR" in stop["remedy"]


def test_the_lay_that_was_cut_is_the_one_the_folder_holds(ticket: Path, tmp_path: Path) -> None:
    """A longer lay than another search would find now: the holes in the cloth are where it says."""
    out = tmp_path / "out"
    assert run(ticket, "-o", out, "--seconds", "1", "--fold", "crosswise").exit_code == 0
    cut = [each["ring"] for each in read(out)["placements"]]
    assert run(ticket, "-o", out, "--cut-again", "waistband").exit_code == 0
    again = read(out, "again-lay.json")
    assert again["cloth"]["fold"] == "crosswise" and again["cloth"]["kept_off"] == cut
    stop = refusal(ticket, "-o", out, "--cut-again", "waistband", "--fold", "lengthwise")
    assert "folded crosswise" in stop["says"]


def test_without_the_lay_that_was_cut_nobody_knows_what_is_left(ticket: Path, tmp_path: Path) -> None:
    assert refusal(ticket, "-o", tmp_path / "out", "--cut-again", "waistband")["code"] == "LAY-AGAIN"
    assert not (tmp_path / "out").exists()
    run(ticket, "-o", tmp_path / "out", "--seconds", "0.5", "--width", "140 cm")
    assert refusal(ticket, "-o", tmp_path / "out", "--cut-again", "waistband")["code"] == "LAY-AGAIN"
    assert run(ticket, "-o", tmp_path / "out", "--width", "140 cm", "--cut-again", "waistband").exit_code == 0


def test_a_ticket_that_says_when_it_was_cut_still_has_its_pieces_cut_again(ticket: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run(ticket, "-o", out, "--seconds", "1").exit_code == 0
    ticket.write_text(f"{ticket.read_text('utf-8')}cut on: 2026-10-06\n", "utf-8")
    assert run(ticket, "-o", out, "--cut-again", "waistband").exit_code == 0
    assert len(read(out, "again-lay.json")["cloth"]["kept_off"]) == len(read(out)["placements"])


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (("--cut-again", "front", str(SKIRT)), "2 tickets are given"),
        (("--cut-again", "front", "--have", "2 m"), "'--have' asks"),
        (("--cut-again", "front", "--afresh"), "'--afresh' looks"),
        (("--cut-again", "frnot"), "no piece called 'frnot'"),
        (("--cut-again", ""), "no piece called"),
    ],
)
def test_what_does_not_go_with_it_is_refused_before_anything_is_laid(
    more: tuple[str, ...], says: str, tmp_path: Path
) -> None:
    assert says in refusal(SKIRT, "-o", tmp_path / "out", *more)["says"]
    assert not (tmp_path / "out").exists()


def test_a_refusal_comes_before_the_search(tmp_path: Path) -> None:
    for tickets, name in (([SKIRT, SKIRT], "front"), ([SKIRT], "frnot")):
        at: list[str] = []
        assert asked_of(tickets, tmp_path, {"cut_again": name}, at.append).refused
        assert at == []


def test_a_ticket_that_cannot_be_read_is_said_and_no_piece_is_looked_for(tmp_path: Path) -> None:
    (tmp_path / "bad.yaml").write_text("ticket: x\nrecipe: straight-skirt\n", "utf-8")
    done = run(tmp_path / "bad.yaml", "-o", tmp_path / "out", "--cut-again", "front")
    assert done.exit_code == 2 and "KEY-MISSING" in done.stderr and "no piece called" not in done.stderr


def test_a_striped_piece_cut_again_stands_on_its_partners_bar(tmp_path: Path) -> None:
    """[A] The hip notches of the new front and the back that is cut stand on one bar."""
    stripes = {"repeat": "{along: 60 mm, across: 0 mm}", "at hand": "3 m"}
    path, out = written(tmp_path, "straight-skirt", cloth("straight-skirt", 150, **stripes)), tmp_path / "out"
    assert run(path, "-o", out, "--seconds", "2").exit_code == 0
    assert run(path, "-o", out, "--cut-again", "front").exit_code == 0
    cut = [each for each in read(out)["placements"] if each["piece"] != "front"]
    both = {"placements": [*cut, *read(out, "again-lay.json")["placements"]]}
    for seam, phases in bars_at(both, pattern_of(path), 60.0).items():
        assert max(phases) - min(phases) <= 1.0, (seam, phases)
