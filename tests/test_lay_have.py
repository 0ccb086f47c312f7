"""`onfold lay --have`: what counts where a garment is cut, or where several are laid together."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from drafting import EXAMPLES
from lay_tickets import cloth, read, run, written

from onfold.project_lay_asked import asked_of

LET_OUT = """cut on: 2026-11-01
fittings:
  - on: 2026-11-20
    note: Tight from the waist to the hip.
    steps:
      - after: outlines drawn
        let out: {edges: [side of front, side of back], by: 10 mm, from: waist, to: hip, runs out: 8 cm}
"""


@pytest.fixture
def let_out(tmp_path: Path) -> Path:
    """The skirt, cut with an inlay and let out since: its waistband alone is to be cut again."""
    path = tmp_path / "skirt.yaml"
    text = (EXAMPLES / "soprano-2-skirt.yaml").read_text("utf-8")
    path.write_text(text.replace("side seam: plain 15 mm", "side seam: 'plain 15 mm, inlay 25 mm'") + LET_OUT, "utf-8")
    return path


def answered(*words: str | Path) -> dict[str, Any]:
    have: dict[str, Any] = json.loads(run(*words, "--json").stdout)["lay"]["have"]
    return have


def test_of_a_garment_that_is_cut_only_what_is_cut_again_counts(let_out: Path, tmp_path: Path) -> None:
    """A waistband of 87 cm with its seams lies in 90 cm of a narrow cloth; the skirt it belongs to does not."""
    words = ("--width", "60 cm", "--seconds", "1")
    said = answered(let_out, "-o", tmp_path / "out", "--have", "95 cm", *words)
    assert {each["piece"] for each in read(tmp_path / "out")["placements"]} == {"waistband"}
    assert said["verdict"] == "yes" and read(tmp_path / "out")["before_shrinking"] <= 950.0
    assert (said["choice"], said["longest"]) == (None, None) and "longest" not in " ".join(said["says"])
    assert answered(let_out, "-o", tmp_path / "out", "--have", "50 cm", *words)["verdict"] == "no"


def test_where_no_piece_is_cut_from_the_cloth_any_length_does(tmp_path: Path) -> None:
    ticket = written(tmp_path, "bias", cloth("", 140))
    recipe = tmp_path / "bias.yaml"
    recipe.write_text(recipe.read_text("utf-8").replace("cut: {piece: ", "cut: {material: lining, piece: "), "utf-8")
    said = answered(ticket, "-o", tmp_path / "out", "--have", "10 cm", "--seconds", "0.5")
    assert said["verdict"] == "yes" and "no piece is to be cut from it" in said["says"][0]


@pytest.mark.parametrize(("have", "verdict"), [(3000, "yes"), (600, "no")])
def test_several_tickets_have_one_verdict_in_words_and_data(tmp_path: Path, have: int, verdict: str) -> None:
    tickets = [
        written(tmp_path, "straight-skirt", cloth("straight-skirt", 150), name) for name in ("alto-1", "soprano-2")
    ]
    at: list[str] = []
    words = {"have": f"{have} mm", "seconds": 1.0}
    found = asked_of(tickets, tmp_path / "out", words, at.append)
    told = found.data["have"]
    bought = json.loads(found.files["lay.json"])["before_shrinking"]
    assert told["verdict"] == verdict and (bought <= have) is (verdict == "yes")
    assert told["says"][0] in found.says and (told["choice"], told["longest"]) == (None, None)
    # the first ticket's longest length would be thrown away: it isn't sought
    assert not any("longest" in each or "as it stands" in each for each in at)
