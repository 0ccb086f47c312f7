"""Given the tickets in tests/garments, what they draft to stays what it was, to a hundredth of a millimetre.

Drop a ticket `NAME.yaml` in there and write its figures with `python -m tests.test_garments_golden NAME`; look at what
changed before they are written again. `wrong-on-purpose.json` is off by one millimetre in one edge, so that a
comparison which cannot fail is found out.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from onfold import open_ticket
from onfold.geometry.path import length
from onfold.geometry.region import area

ROOT = Path(__file__).resolve().parent.parent
GARMENTS = ROOT / "tests" / "garments"
ON_PURPOSE = "wrong-on-purpose"
TICKETS = sorted(path.stem for path in GARMENTS.glob("*.yaml"))
WITHIN = 0.011
"""mm: figures are kept to 0.01, and either side of a rounding is the same draft."""

FILES = ("guide.html", "guide.json", "guide.pdf", "lesson.html", "pattern.json", "pattern.pdf", "pattern.svg")


def figures_of(path: Path) -> dict[str, Any]:
    """The key figures of a ticket's draft, rounded to 0.01 (mm, mm2 to the mm2, shares in percent)."""
    garment = open_ticket(path)
    draft = garment.draft
    assert draft is not None, [each.says for each in garment.all_problems]
    pattern = draft.pattern
    return {
        "pieces": {
            piece.name: {
                "cut": f"{piece.cut}{' on the fold' if piece.on_fold else ''}{' pairs' if piece.mirrored_pair else ''}",
                "edges": {edge.name: [_mm(length(edge.path)), _mm(edge.allowance)] for edge in piece.edges},
                "cut line": _ring(piece.cut_line),
                "notches": {f"{at} {each.edge}": _mm(each.along) for at, each in enumerate(piece.notches)},
                "marks": {each.name: [_mm(each.at[0]), _mm(each.at[1])] for each in piece.marks},
            }
            for piece in pattern.pieces
        },
        "seams": {seam.name: [seam.finish, _mm(seam.ease)] for seam in pattern.seams},
        "levels": {level.name: [_mm(level.body), _mm(level.finished)] for level in pattern.levels.values()},
        "facts": {name: _mm(fact.value) for name, fact in pattern.facts.items()},
        "openings": {opening.name: _mm(opening.length) for opening in pattern.openings},
        "problems": sorted({f"{each.severity} {each.code}" for each in pattern.problems}),
    }


def _mm(value: float) -> float:
    return round(value, 2) + 0.0


def _ring(ring: Any) -> list[float]:
    """Area in mm2 and the box of a cut line: what any change of it shows in."""
    points = np.asarray(ring)
    return [float(round(area(points))), *(_mm(v) for v in (*points.min(axis=0), *points.max(axis=0)))]


def differences(kept: Any, now: Any, where: str = "") -> list[str]:
    """Where two summaries differ, each as `WHERE: kept, now`."""
    if isinstance(kept, dict) and isinstance(now, dict):
        names = [*kept, *(name for name in now if name not in kept)]
        return [
            line for name in names for line in differences(kept.get(name), now.get(name), f"{where}/{name}".strip("/"))
        ]
    if isinstance(kept, list) and isinstance(now, list) and len(kept) == len(now):
        return [
            line
            for at, (a, b) in enumerate(zip(kept, now, strict=True))
            for line in differences(a, b, f"{where}[{at}]")
        ]
    if isinstance(kept, float | int) and isinstance(now, float | int):
        far = WITHIN if abs(kept) < 1e4 else 5.0  # areas
        return [] if abs(kept - now) <= far else [f"{where}: {kept}, {now}"]
    return [] if kept == now else [f"{where}: {kept}, {now}"]


def kept_figures(name: str) -> dict[str, Any]:
    path = GARMENTS / f"{name}.json"
    assert path.is_file(), f"{path.name} is missing: write it with `python -m tests.test_garments_golden {name}`"
    kept: dict[str, Any] = json.loads(path.read_text("utf-8"))
    return kept


@pytest.mark.parametrize("name", [each for each in TICKETS if each != ON_PURPOSE])
def test_the_garment_drafts_to_what_it_did(name: str) -> None:
    assert differences(kept_figures(name), figures_of(GARMENTS / f"{name}.yaml")) == []


def test_a_summary_one_millimetre_off_is_noticed() -> None:
    found = differences(kept_figures(ON_PURPOSE), figures_of(GARMENTS / f"{ON_PURPOSE}.yaml"))
    assert len(found) == 1
    assert found[0].startswith("pieces/back/edges/side[0]: ")


def test_there_are_garments_to_compare() -> None:
    assert ON_PURPOSE in TICKETS
    assert len(TICKETS) >= 5
    assert {path.stem for path in GARMENTS.glob("*.json")} <= set(TICKETS)


@pytest.mark.parametrize("ticket", ["alto-1-sheath", "soprano-2-skirt"])
def test_made_twice_all_files_are_equal_to_the_byte(ticket: str, tmp_path: Path) -> None:
    """In two processes with other hash seeds and numbers of threads."""
    made = []
    for seed, threads in (("0", "1"), ("4242", "2")):
        folder = tmp_path / seed
        environment = {
            **os.environ,
            "PYTHONHASHSEED": seed,
            "OMP_NUM_THREADS": threads,
            "OPENBLAS_NUM_THREADS": threads,
        }
        done = subprocess.run(
            [
                sys.executable,
                "-c",
                "from onfold.cli import main; main()",
                "make",
                str(ROOT / "examples" / f"{ticket}.yaml"),
                "-o",
                str(folder),
            ],
            cwd=tmp_path,
            env=environment,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        made.append({path.name: path.read_bytes() for path in folder.iterdir()})
    assert tuple(sorted(made[0])) == FILES
    assert [name for name in FILES if made[0][name] != made[1][name]] == []


def write(names: list[str]) -> None:
    """Write the summaries of these tickets, of all where none is named; the wrong one stays a millimetre wrong."""
    for name in names or TICKETS:
        figures = figures_of(GARMENTS / f"{name}.yaml")
        if name == ON_PURPOSE:
            side = figures["pieces"]["back"]["edges"]["side"]
            side[0] = _mm(side[0] + 1.0)
        text = json.dumps(figures, indent=1, ensure_ascii=False) + "\n"
        (GARMENTS / f"{name}.json").write_text(text, "utf-8")
        print(f"wrote {name}.json")


if __name__ == "__main__":
    write(sys.argv[1:])
