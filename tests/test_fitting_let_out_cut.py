"""A side seam let out by 10 mm on a garment that is already cut: reaches or recut, as a plain containment test says."""

from __future__ import annotations

from pathlib import Path

import pytest
from shapely.geometry import Polygon

from onfold import open_ticket
from onfold.pattern import Pattern
from onfold.project_lay import Wish, lay_tickets

SKIRT = Path(__file__).resolve().parent.parent / "examples" / "soprano-2-skirt.yaml"
LACKING = 1.0  # mm: less is not called lacking [C]
LET_OUT = """cut on: 2026-11-01
fittings:
  - on: 2026-11-20
    note: Tight from the waist to the hip.
    steps:
      - after: outlines drawn
        let out: {edges: [side of front, side of back], by: 10 mm, from: waist, to: hip, runs out: 8 cm}
"""


def written(folder: Path, name: str, side: str, fitted: bool) -> Path:
    text = SKIRT.read_text("utf-8").replace("side seam: plain 15 mm", f"side seam: '{side}'")
    path = folder / f"{name}.yaml"
    path.write_text(text + (LET_OUT if fitted else ""), "utf-8")
    return path


def drafted(path: Path) -> tuple[Pattern, dict[str, str]]:
    draft = open_ticket(path).draft
    assert draft is not None
    told = {each.where.piece: each.code for each in draft.pattern.problems if each.code.startswith("CUT-")}
    return draft.pattern, told


def ring(pattern: Pattern, name: str) -> Polygon:
    piece = pattern.piece(name)
    assert piece is not None and piece.cut_line is not None
    return Polygon(piece.cut_line)


@pytest.mark.parametrize(
    ("side", "reaches"),
    [("plain 15 mm", False), ("plain 15 mm, inlay 5 mm", False), ("plain 15 mm, inlay 25 mm", True)],
)
def test_the_answer_agrees_with_the_cut_line(side: str, reaches: bool, tmp_path: Path) -> None:
    cut, _ = drafted(written(tmp_path, "cut", side, fitted=False))
    _, told = drafted(written(tmp_path, "fitted", side, fitted=True))
    needed, _ = drafted(written(tmp_path, "needed", "plain 15 mm", fitted=True))
    for name in ("front", "back"):
        # [A] what the new seams use, no inlay, lies inside what was cut or it does not
        inside = ring(cut, name).buffer(LACKING).contains(ring(needed, name))
        assert inside == reaches
        assert told.get(name, "CUT-RECUT") == ("CUT-REACHES" if reaches else "CUT-RECUT")
    band = Polygon(ring(needed, "waistband")).bounds[2] - ring(cut, "waistband").bounds[2]
    assert band == pytest.approx(40.0, abs=0.2)  # [A] 10 mm at each side of two seams
    assert told["waistband"] == "CUT-RECUT"


def test_only_what_is_to_be_cut_again_is_laid(tmp_path: Path) -> None:
    path = written(tmp_path, "fitted", "plain 15 mm, inlay 25 mm", fitted=True)
    found = lay_tickets([path], Wish(seconds=0.5))
    assert [{each.part.piece for each in laid.lay.placed} for laid in found.laid] == [{"waistband"}]
    uncut = written(tmp_path, "uncut", "plain 15 mm", fitted=False)
    uncut.write_text(f"{uncut.read_text('utf-8')}cut on: 2026-11-01\n", "utf-8")
    told = lay_tickets([uncut], Wish(seconds=0.5))
    assert not told.laid and "LAY-NONE" in {each.code for each in told.problems}
