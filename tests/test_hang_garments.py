"""Garments that nobody prepared, hung: a circle of cloth, a plain top, what cannot hang; and the same bytes anywhere.

The recipes are in tests/hang, made of the shipped verbs.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

pytest.importorskip("numba")

from onfold.hang.answers import _walked
from onfold.hang.tapes import ends_of
from onfold.project import open_ticket
from onfold.project_hang import HungGarment, Stand, hang_garment, hang_on, stand_for
from onfold.project_hang_asked import HangWish, asked_of

HERE = Path(__file__).resolve().parent / "hang"
SHEATH = HERE.parent.parent / "examples" / "alto-1-sheath.yaml"
FEW = 3000


def quiet(_what: str, _share: float) -> bool:
    return True


@lru_cache
def stand(name: str) -> Stand:
    found = stand_for(open_ticket(HERE / f"{name}-ticket.yaml"))
    assert isinstance(found, Stand)
    return found


@lru_cache
def hung(name: str, bending: float | None = None) -> HungGarment:
    """The garment hung; `bending` is the cloth's bending length both ways, mm."""
    on = stand(name)
    assert on.garment.draft is not None
    cloth = on.ticket.cloth
    if bending is not None:
        cloth = replace(cloth, bending_along=bending, bending_across=bending)
    found = hang_on(on, on.garment.draft.pattern, cloth, quiet, "", points=FEW)
    assert isinstance(found, HungGarment), found
    return found


# --- a full circle ---

LIMP, CREPE, STIFF = 14.0, 24.0, 40.0


def hem(found: HungGarment) -> np.ndarray:
    """The hem's points (n, 3) mm, in their order along it."""
    sewn, x = found.hung.sewn, found.hung.x
    runs = [run for (_, _, line), run in sewn.lines.items() if line == "hem"]
    return x[_walked(ends_of(sewn), np.unique(np.concatenate(runs)))]


def flutes(found: HungGarment) -> int:
    """Local maxima of the hem's distance from the form's axis, each at least 20 mm above what lies between."""
    return _flutes_of(hem(found))


def _flutes_of(ring: np.ndarray) -> int:
    away = np.hypot(ring[:, 0], ring[:, 2])
    away = np.roll(away, -int(away.argmin()))
    count, low, high = 0, away[0], away[0]
    rising = True
    for each in away.tolist():
        if rising:
            high = max(high, each)
            if each < high - 20.0:
                count, rising, low = count + 1, False, each
        else:
            low = min(low, each)
            if each > low + 20.0:
                rising, high = True, each
    return count + int(rising and high > low + 20.0)


def test_flutes_are_counted() -> None:
    turn = np.linspace(0.0, 2.0 * np.pi, 400, endpoint=False)

    for n in (5, 9):
        away = 300.0 + 30.0 * np.cos(n * turn)
        ring = np.stack([away * np.sin(turn), 0.0 * turn, away * np.cos(turn)], axis=1)
        edges = np.stack([np.arange(400), np.roll(np.arange(400), -1)], axis=1)
        walked = ring[_walked(edges, np.arange(400))]
        assert len(walked) == 400
        assert _flutes_of(walked) == n


@pytest.mark.long
@pytest.mark.parametrize("bending", [LIMP, CREPE, STIFF])
def test_a_circle_of_cloth_hangs_in_flutes(bending: float) -> None:
    found = hung("circle-skirt", bending)
    answers = found.answers
    assert answers.deepest_penetration <= 1.0
    assert answers.hangs_from == "waist"
    assert answers.slid < 30.0
    # [A] what holds it up carries its weight; its flutes may still swing in the steps that it is given
    assert answers.support == pytest.approx(1.0, abs=0.03)
    ring = hem(found)
    around = 2.0 * np.pi * float(np.hypot(ring[:, 0], ring[:, 2]).mean())
    run = float(np.linalg.norm(np.diff(np.concatenate([ring, ring[:1]]), axis=0), axis=1).sum())
    flat = 2.0 * np.pi * (720.0 / (2.0 * np.pi) + 550.0)  # [A] the circle's own edge
    assert run == pytest.approx(flat, rel=0.04)
    assert around < 0.65 * flat
    assert 4 <= flutes(found) <= 24


@pytest.mark.long
def test_a_stiffer_circle_has_fewer_flutes() -> None:
    counts = [flutes(hung("circle-skirt", each)) for each in (LIMP, STIFF)]
    assert counts[0] > counts[1] >= 4


# --- straight skirts, in cloths that give little ---


@pytest.mark.long
@pytest.mark.parametrize("ticket", ["soprano-2-skirt", "alto-5-skirt"])
def test_a_straight_skirt_comes_to_rest_where_it_fits(ticket: str) -> None:
    found = hang_garment(open_ticket(SHEATH.parent / f"{ticket}.yaml"), ends=False)
    assert isinstance(found, HungGarment)
    answers = found.answers
    assert answers.quiet
    assert answers.support == pytest.approx(1.0, abs=0.02)  # [A]
    assert answers.self_crossings == 0
    assert answers.deepest_penetration <= 1.0
    assert answers.hangs_from == "waist"


# --- a top that hangs from the shoulders ---


@pytest.mark.long
def test_a_plain_top_hangs_from_its_shoulders() -> None:
    found = hung("sleeveless-top")
    answers = found.answers
    assert answers.deepest_penetration <= 1.0
    assert answers.self_crossings == 0
    assert answers.support == pytest.approx(1.0, abs=0.02)  # [A]
    assert answers.hangs_from == "shoulders"
    assert answers.drift < 3.0
    assert answers.hem is not None
    assert answers.hem.highest - answers.hem.lowest < 60.0


# --- what cannot hang ---


@pytest.mark.parametrize("case", ["wrap", "unsewn", "strip"])
def test_what_cannot_hang_is_a_problem(case: str, tmp_path: Path) -> None:
    recipe = (HERE / ("strip.yaml" if case == "strip" else "sleeveless-top.yaml")).read_text("utf-8")
    if case == "wrap":
        recipe = recipe.replace("kind: garment\n", "kind: garment\nworn: wrap\n")
    if case == "unsewn":
        recipe = "".join(line for line in recipe.splitlines(True) if "- sew:" not in line)
        for edge in ("side", "shoulder"):
            for piece in ("front", "back"):
                recipe = recipe.replace(
                    "  - grain: {piece: front",
                    f"  - finish edge: {{edge: {edge} of {piece}, construction: double turned 10 mm}}\n"
                    "  - grain: {piece: front",
                )
    (tmp_path / "mine.yaml").write_text(recipe, "utf-8")
    ticket = (HERE / "sleeveless-top-ticket.yaml").read_text("utf-8").replace("sleeveless-top.yaml", "mine.yaml")
    (tmp_path / "ticket.yaml").write_text(ticket, "utf-8")
    found = hang_garment(open_ticket(tmp_path / "ticket.yaml"), points=800)
    assert not isinstance(found, HungGarment)
    (said,) = [each for each in found if each.code == "HANG-OPEN"]
    assert said.severity == "stop"
    assert said.remedy
    asked = asked_of(tmp_path / "ticket.yaml", HangWish(), quiet, 800)
    assert asked.refused
    assert not asked.files


@pytest.mark.parametrize("points", [150, 400, 800])
def test_a_net_of_few_points_still_hangs(points: int) -> None:
    for ticket in (SHEATH, HERE / "sleeveless-top-ticket.yaml", HERE / "circle-skirt-ticket.yaml"):
        found = hang_garment(open_ticket(ticket), lambda _what, share: share < 0.1, ends=False, points=points)
        assert isinstance(found, HungGarment), ticket.name
        assert np.isfinite(found.hung.x).all()


# --- the same bytes anywhere ---

_ONCE = """
import hashlib, sys
from pathlib import Path
from onfold.project import open_ticket
from onfold.project_hang import hang_garment
found = hang_garment(open_ticket(Path(sys.argv[1])), ends=False, points=1500)
print(hashlib.sha256(found.hung.x.tobytes()).hexdigest())
"""


@pytest.mark.long
def test_the_same_bytes_with_any_count_of_threads() -> None:
    digests = set()
    for _ in range(2):
        found = hang_garment(open_ticket(SHEATH), ends=False, points=1500)
        assert isinstance(found, HungGarment)
        digests.add(hashlib.sha256(found.hung.x.tobytes()).hexdigest())
    for threads in ("1", "2", "4"):
        done = subprocess.run(
            [sys.executable, "-c", _ONCE, str(SHEATH)],
            env={**os.environ, "NUMBA_NUM_THREADS": threads, "PYTHONPATH": str(HERE.parent.parent)},
            capture_output=True, text=True, check=True,
        )  # fmt: skip
        digests.add(done.stdout.strip())
    assert len(digests) == 1
