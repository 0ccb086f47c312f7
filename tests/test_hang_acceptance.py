"""The sheath hung on many bodies: at rest, held by what holds it, alike on both sides, and falling as it is opened.

What is asked here is asked of the hung points themselves; penetration and crossings are found by readers of their own
(`hang_crossings`, the form's mesh), not by the hang's own figures.
"""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

pytest.importorskip("numba")

from bodies import survey_women
from hang_crossings import crossings
from scipy.spatial import cKDTree

from onfold.geometry.fault import Fault
from onfold.hang.hanging import POINTS, Hung, hang
from onfold.hang.mechanics import Mechanics, mechanics_of, with_bending
from onfold.project import open_text, open_ticket
from onfold.project_hang import Stand, stand_for

SHEATH = Path("examples/alto-1-sheath.yaml")
BODIES = (3, 57, 111, 165, 219, 273, 327, 381, 435, 489)


def ticket(measures: dict[str, float] | None = None, choices: dict[str, str] | None = None) -> str:
    text = SHEATH.read_text("utf-8")
    if measures is not None:
        head, rest = text.split("  measures:\n")
        told = "".join(f"    {name}: {mm:.1f} mm\n" for name, mm in measures.items())
        text = f"{head}  measures:\n{told}{rest[rest.index('cloth:') :]}"
    return text.rstrip() + "\nchoices:\n" + "".join(f"  {k}: {v}\n" for k, v in choices.items()) if choices else text


@lru_cache(maxsize=64)
def stand(text: str) -> Stand:
    found = stand_for(open_text(text, SHEATH))
    assert isinstance(found, Stand)
    return found


def hung_with(text: str, mechanics: Mechanics | None = None, *, fall: float = 1.1, points: int = POINTS) -> Hung:
    own = stand(text)
    assert own.garment.draft is not None
    cloth = mechanics or mechanics_of(own.ticket.cloth)
    found = hang(own.garment.draft.pattern, cloth, own.form, own.distance, fall=fall, points=points)
    assert not isinstance(found, Fault), found
    return found


@lru_cache(maxsize=64)
def hung(text: str) -> Hung:
    return hung_with(text)


def neck(found: Hung) -> tuple[np.ndarray, np.ndarray]:
    return tuple(found.x[found.sewn.lines["front", copy, "~neck fold"]] for copy in ("drawn", "mirrored"))


def depth(found: Hung) -> float:
    """From the height of the strap points down to the lowest of the neck edge, mm."""
    ends = [edge[np.abs(edge[:, 0]).argmax(), 1] for edge in neck(found)]
    return float(np.mean(ends) - min(edge[:, 1].min() for edge in neck(found)))


def penetration(found: Hung) -> float:
    """The deepest any point lies inside the form, mm, by the nearest face's own plane: no grid is asked."""
    form = found.form
    faces = form.points[form.faces]
    middles = faces.mean(axis=1)
    normals = np.cross(faces[:, 1] - faces[:, 0], faces[:, 2] - faces[:, 0])
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    _, near = cKDTree(middles).query(found.x, k=8)
    off = ((found.x[:, None] - middles[near]) * normals[near]).sum(axis=2)
    return float(-min(0.0, off.max(axis=1).min()))


def askew(found: Hung) -> float:
    """How far any point but those of the crossed straps lies off the mean of itself and its twin's mirror image, mm."""
    assert found.sewn.mirror is not None
    own = np.unique(found.sewn.net.tri[found.sewn.layer < 2])
    off = found.x - found.x[found.sewn.mirror] * (-1.0, 1.0, 1.0)
    return float(np.linalg.norm(off[own], axis=1).max() / 2.0)


def holds(found: Hung) -> None:
    assert penetration(found) <= 1.0
    assert found.support == pytest.approx(1.0, abs=0.02)
    outer = found.sewn.net.tri[found.sewn.layer != 1]
    assert crossings(found.x, outer) == found.crossings


def test_the_example_is_at_rest_held_and_alike() -> None:
    at_rest(hung(SHEATH.read_text("utf-8")))


def at_rest(found: Hung) -> None:
    holds(found)
    assert found.quiet
    assert found.crossings == 0
    assert askew(found) <= 3.0


@pytest.mark.long
def test_ten_women_of_the_survey_hang_too() -> None:
    women = survey_women()
    for i in BODIES:
        at_rest(hung(ticket({k: women[i][k] for k in ("height", "bust", "waist", "hip")})))


@pytest.mark.long
def test_the_sheath_hangs_on_soprano_2() -> None:
    wearer = open_ticket("examples/soprano-2-skirt.yaml").ticket
    assert wearer is not None
    at_rest(hung(ticket(dict(wearer.wearer.measures))))


@pytest.mark.long
@pytest.mark.parametrize("straps", ["crossed", "straight"])
def test_straps_hold_the_sheath_up(straps: str) -> None:
    found = hung(ticket(choices={"straps": straps}))
    at_rest(found)
    highest = max(float(edge[:, 1].max()) for edge in neck(found))
    assert highest > found.form.levels["underarm"] + 50.0


@pytest.mark.long
def test_starts_at_and_beyond_full_fall_come_to_one_depth() -> None:
    text = SHEATH.read_text("utf-8")
    one, two = (depth(hung_with(text, fall=share)) for share in (1.0, 1.2))
    assert two == pytest.approx(one, rel=0.05)


@pytest.mark.long
def test_more_spread_gives_a_deeper_cowl() -> None:
    falls = [depth(hung(ticket(choices={"spread": f"{cm} cm"}))) for cm in (0, 1, 2, 3, 4, 5)]
    assert falls == sorted(falls), falls


@pytest.mark.long
def test_a_stiffer_cloth_has_no_more_folds_and_larger_ones() -> None:
    text = SHEATH.read_text("utf-8")
    best = mechanics_of(stand(text).ticket.cloth)
    limp, stiff = (hung_with(text, with_bending(best, factor)) for factor in (0.3, 8.0))
    assert roughness(limp) > 1.3 * roughness(stiff)


def roughness(found: Hung) -> float:
    """How much the cloth above the bust bends from triangle to triangle, mean angle between neighbours, degrees."""
    hinges = found.woven.hinges
    tri = found.x[found.sewn.net.tri]
    normal = np.cross(tri[:, 1] - tri[:, 0], tri[:, 2] - tri[:, 0])
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    high = tri[hinges[:, 4]].mean(axis=1)[:, 1] > found.form.levels["bust"]
    cos = (normal[hinges[:, 4]] * normal[hinges[:, 5]]).sum(axis=1)[high]
    return float(np.degrees(np.arccos(np.clip(cos, -1.0, 1.0))).mean())


@pytest.mark.long
def test_hung_again_after_a_small_change_it_falls_as_hung_afresh() -> None:
    before = hung(SHEATH.read_text("utf-8"))
    own = stand(ticket(choices={"spread": "21 mm"}))
    assert own.garment.draft is not None
    pattern, cloth = own.garment.draft.pattern, mechanics_of(own.ticket.cloth)
    again = hang(pattern, cloth, own.form, own.distance, last=before)
    fresh = hang(pattern, cloth, own.form, own.distance)
    assert not isinstance(again, Fault) and not isinstance(fresh, Fault)
    assert depth(again) == pytest.approx(depth(fresh), rel=0.05)
    assert again.steps < 0.8 * fresh.steps


HANGS = """
import sys
from onfold.hang.hanging import hang
from onfold.hang.mechanics import mechanics_of
from onfold.project import open_ticket
from onfold.project_hang import stand_for
own = stand_for(open_ticket(sys.argv[1]))
found = hang(own.garment.draft.pattern, mechanics_of(own.ticket.cloth), own.form, own.distance, points=2000)
sys.stdout.buffer.write(found.x.tobytes())
"""


@pytest.mark.long
def test_any_number_of_threads_gives_the_same_bytes() -> None:
    def bytes_with(threads: str) -> bytes:
        told = os.environ | {"NUMBA_NUM_THREADS": threads}
        ran = subprocess.run([sys.executable, "-c", HANGS, str(SHEATH)], env=told, capture_output=True, check=True)
        return ran.stdout

    one = bytes_with("1")
    assert len(one) > 10_000
    assert one == bytes_with("2") == bytes_with("4") == bytes_with("1")


def test_a_garment_hung_inside_its_form_would_be_found() -> None:
    found = hung(SHEATH.read_text("utf-8"))
    pushed = replace(found, x=found.x * (0.97, 1.0, 0.97))
    assert penetration(pushed) > 1.0
