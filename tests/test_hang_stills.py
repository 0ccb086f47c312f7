"""Stills and the page of a hang: what they must show, whatever the scene, and that nothing breaks them."""

from __future__ import annotations

import io
import math
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

pytest.importorskip("numba")

from hang_scenes import ball, level, sheet, skirt

from onfold.hang import ink
from onfold.hang.page import PageWords, Told, lay_out, page
from onfold.hang.scene import Line3, Scene, Surface, SurfaceKind
from onfold.hang.stills import BACK, FRONT, SIDE, VIEWS, View, still

Picture = NDArray[np.uint8]
SKIRT = Scene((ball(100.0), skirt()), (level(215.0, -100.0, 2, "hip"),))


def differs(one: Picture, other: Picture) -> NDArray[np.bool_]:
    return (one != other).any(axis=-1)


def grey(picture: Picture) -> NDArray[np.float64]:
    return picture @ np.array((0.299, 0.587, 0.114))


@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.name)
def test_the_same_scene_gives_the_same_bytes(view: View) -> None:
    again = Scene(tuple(Surface(s.name, s.points.copy(), s.faces.copy(), s.kind) for s in SKIRT.surfaces), SKIRT.lines)
    assert still(SKIRT, view, 300).tobytes() == still(again, view, 300).tobytes()


@pytest.mark.parametrize("view", [*VIEWS, View("from above", 20.0, 35.0)], ids=lambda view: view.name)
def test_a_ball_covers_the_area_of_its_circle(view: View) -> None:
    """[A] pi r2; the outline stands half its width outside."""
    high, radius = 700, 150.0
    picture = still(Scene((ball(radius, rows=90),)), view, high, (-200.0, 200.0))
    scale = high / 400.0
    covered = differs(picture, np.array(ink.CALICO, dtype=np.uint8)).sum() / scale**2
    assert covered == pytest.approx(math.pi * radius**2, rel=0.01)


def test_stills_of_one_span_are_of_one_scale() -> None:
    """[A] a sheet 300 mm high takes 300 / 400 of the height in every view in which it is seen flat."""
    for view in (FRONT, BACK):
        rows = np.flatnonzero(
            differs(still(Scene((sheet(200.0, 300.0),)), view, 400, (-200.0, 200.0)), ink.CALICO).any(axis=1)
        )
        assert rows[-1] - rows[0] + 1 == pytest.approx(300.0, abs=4.0)


def test_the_side_view_is_that_of_the_left_side_with_the_front_at_the_left() -> None:
    nose = Surface("nose", ball(20.0).points + np.array((0.0, 0.0, 120.0)), ball(20.0).faces, "cloth")
    bare = still(Scene((ball(100.0),), (level(140.0, 0.0, kind="tape"),)), SIDE, 200, (-150.0, 150.0))
    with_nose = still(Scene((ball(100.0), nose), (level(140.0, 0.0, kind="tape"),)), SIDE, 200, (-150.0, 150.0))
    changed = np.flatnonzero(differs(bare, with_nose).any(axis=0))
    assert changed.mean() < bare.shape[1] / 2


@pytest.mark.parametrize("kind", ["tape", "seam", "neck edge", "hem", "edge", "fold", "strap"])
def test_a_hidden_line_draws_no_point_and_one_in_sight_does(kind: str) -> None:
    front = sheet(200.0, 200.0)
    box = Line3(np.array(((-100.0, -100.0, 0.0), (-100.0, -99.0, 0.0))), "seam")
    across = np.array(((-60.0, 20.0, 0.0), (60.0, -30.0, 0.0)))
    plain = still(Scene((front,), (box,)), FRONT, 300, (-120.0, 120.0))
    behind = Line3(across - np.array((0.0, 0.0, 40.0)), kind, 3)  # type: ignore[arg-type]
    before = Line3(across + np.array((0.0, 0.0, 1.0)), kind, 3)  # type: ignore[arg-type]
    assert not differs(still(Scene((front,), (box, behind)), FRONT, 300, (-120.0, 120.0)), plain).any()
    assert differs(still(Scene((front,), (box, before)), FRONT, 300, (-120.0, 120.0)), plain).sum() > 60


def test_a_line_round_the_form_is_seen_in_front_and_not_behind() -> None:
    """[A] seen from above, the near half of a circle lies below its middle and the far half is hidden."""
    view = View("above", 0.0, 40.0)
    scene, lined = Scene((ball(100.0),)), Scene((ball(100.0),), (level(100.0, 0.0),))
    rows, columns = np.nonzero(
        differs(still(scene, view, 400, (-120.0, 120.0)), still(lined, view, 400, (-120.0, 120.0)))
    )
    middle = np.abs(columns - columns.mean()) < 60
    assert rows[middle].min() > 200


@pytest.mark.parametrize("times", [1, 2, 3])
def test_a_tape_is_drawn_as_often_as_it_says(times: int) -> None:
    """Down a column through the tape there are as many yellow bands, each between two of ink."""
    scene = Scene((sheet(200.0, 200.0),), (Line3(np.array(((-80.0, 0.0, 1.0), (80.0, 0.0, 1.0))), "tape", times),))
    column = still(scene, FRONT, 600)[:, 300].astype(float)
    yellow = np.abs(column - ink.TAPE).max(axis=1) < 40.0
    assert np.count_nonzero(np.diff(yellow.astype(int)) == 1) == times
    dark = grey(column[None].astype(np.uint8))[0] < 110.0
    inside = slice(250, 350)
    assert np.count_nonzero(np.diff(dark[inside].astype(int)) == 1) == 2 * times


def test_the_wrong_side_is_hatched_and_the_right_side_plain() -> None:
    """Told apart in grey: many fine dark lines on the wrong side, none on the right; a facing is darker than cloth."""
    right, wrong, facing = (
        grey(still(Scene((each,)), FRONT, 300))[90:210, 90:210]
        for each in (sheet(100.0, 100.0), sheet(100.0, 100.0, wrong=True), sheet(100.0, 100.0, kind="facing"))
    )
    crossings = np.count_nonzero(np.diff((wrong < wrong.mean()).astype(int), axis=1) == 1, axis=1)
    assert np.ptp(right) < 2.0 and np.ptp(facing) < 2.0
    assert crossings.min() >= 15
    assert wrong.mean() < right.mean() - 20.0
    assert facing.mean() < right.mean() - 50.0


def test_folds_are_inked_where_there_are_folds_and_nowhere_else() -> None:
    """In grey: a fluted skirt has dark lines across its middle, a smooth one has them at its outline alone."""
    fluted, smooth = (grey(still(Scene((skirt(flutes=n),)), FRONT, 500, (-320.0, 320.0))) for n in (9, 0))
    rows = slice(380, 430)

    def inner(picture: NDArray[np.float64]) -> int:
        dark = picture[rows] < 90.0
        return int(np.count_nonzero(dark[:, picture.shape[1] // 4 : -picture.shape[1] // 4].any(axis=0)))

    assert inner(smooth) == 0
    assert inner(fluted) >= 4


def test_pieces_that_meet_at_a_seam_show_no_line_there() -> None:
    whole = skirt()
    half = len(whole.faces) // 4
    parts = (
        Surface("a", whole.points, whole.faces[:half], "cloth"),
        Surface("b", whole.points, whole.faces[half:], "cloth"),
    )
    one, two = still(Scene((whole,)), FRONT, 300), still(Scene(parts), FRONT, 300)
    assert np.abs(one.astype(int) - two).max() <= 2


def lone(points: object, *faces: tuple[int, int, int], kind: SurfaceKind = "cloth") -> Scene:
    return Scene((Surface("lone", np.array(points, float), np.array(faces, np.int32).reshape(-1, 3), kind),))


CORNERS = ((100.0, 0.0, 0.0), (0.0, 100.0, 0.0), (0.0, 0.0, 100.0))
ODD_LINES = (
    Line3(np.zeros((0, 3)), "hem"),
    Line3(np.ones((1, 3)), "tape", 9, "a"),
    Line3(np.zeros((3, 3)), "seam", 0),
    Line3(np.full((2, 3), math.inf), "tape", 1, "b"),
    Line3(np.array(((0.0, 0.0, 101.0), (5.0, 0.0, 101.0))), "tape", -4, "c"),
)
ODD = {
    "nothing": Scene(()),
    "an empty surface": Scene((Surface("none", np.zeros((0, 3)), np.zeros((0, 3), np.int32), "cloth"),)),
    "one triangle": lone(CORNERS, (0, 1, 2)),
    "a triangle without area": lone(np.zeros((3, 3)), (0, 1, 2)),
    "a corner twice": lone(CORNERS, (0, 1, 1), (0, 1, 2), kind="facing"),
    "a point that is no number": lone((*CORNERS, (math.nan, 0.0, 0.0)), (0, 1, 2), (0, 1, 3)),
    "a corner that is not there": lone(CORNERS, (0, 1, 7), (0, -1, 2)),
    "a form alone": Scene((ball(100.0),)),
    "cloth alone": Scene((skirt(),)),
    "lines alone": Scene((), (level(100.0, 0.0, 3, "waist"), level(50.0, 40.0, kind="neck edge"))),
    "odd lines": Scene((ball(100.0),), ODD_LINES),
    "a garment of 2 mm": Scene((ball(1.0, "cloth"),), (level(1.0, 0.0, 2, "waist"),)),
    "a garment of 20 m": Scene((ball(10_000.0, "cloth"),), (level(10_000.0, 0.0, 2, "waist"),)),
    "edge on": Scene((sheet(300.0, 300.0),)),
}


@pytest.mark.parametrize("name", ODD)
def test_nothing_odd_breaks_a_still_or_the_page(name: str) -> None:
    for view in VIEWS:
        picture = still(ODD[name], view, 120)
        assert picture.shape[0] == 120 and picture.shape[1] >= 1 and picture.dtype == np.uint8
    assert Image.open(io.BytesIO(page(ODD[name], PageWords("Odd")))).size[0] == 1600


@pytest.mark.parametrize("span", [(0.0, 0.0), (10.0, -10.0), (math.nan, 1.0), (0.0, math.inf), (1e9, 2e9)])
def test_an_empty_span_breaks_nothing(span: tuple[float, float]) -> None:
    assert still(SKIRT, FRONT, 100, span).shape[0] == 100


LONG = "hip 101.2 cm: drawn out 31 %, past its full pull, Donaudampfschifffahrtselektrizitätenbetriebswerk " * 3


def test_words_of_tapes_lie_apart_in_the_order_of_their_lines() -> None:
    wanted = [
        ("hip", (300.0, 212.0)),
        (LONG, (300.0, 200.0)),
        ("waist", (310.0, 204.0)),
        ("nowhere", None),
        ("bust", (300.0, 10.0)),
    ]
    labels = lay_out(wanted)
    assert [label.lines[0].split()[0] for label in labels] == ["bust", "hip", "waist", "hip", "nowhere"]
    for above, below in pairwise(labels):
        assert below.top >= above.bottom
    assert all(label.to is None or label.top >= 0.0 for label in labels)


def test_the_page_says_what_it_is_given_and_takes_any_words() -> None:
    hostile = '#panic("x") $a$ *b* @c \\ "quoted" \x00\x1b[31m\u202eevil \U0001f9f5 \ud800'
    told = (
        Told("How it falls", ("The edge falls 14.2 to 17.8 cm.", hostile)),
        Told("", (LONG * 6,)),
        Told("Nothing", ()),
    )
    scene = Scene(SKIRT.surfaces, (*SKIRT.lines, level(150.0, 200.0, 3, hostile), level(222.0, -101.0, 1, LONG)))
    one = page(scene, PageWords("T" * 300, hostile, LONG, "2026-10-05", "in", told))
    assert one == page(scene, PageWords("T" * 300, hostile, LONG, "2026-10-05", "in", told))
    assert Image.open(io.BytesIO(one)).size[0] == 1600


def test_the_stills_stand_on_the_page_point_for_point_and_at_one_scale() -> None:
    from onfold.hang import page as pages
    from onfold.hang.stills import prepare

    shown, _ = pages._views(prepare(SKIRT))
    whole = np.asarray(Image.open(io.BytesIO(page(SKIRT, PageWords("Skirt")))).convert("RGB"))
    assert len({scale for _, _, scale in shown}) == 1
    for x, seen, _ in shown[1:]:
        high, wide = seen.picture.shape[:2]
        strip = whole[:, 48 + int(x) : 48 + int(x) + wide]
        assert any((strip[y : y + high] == seen.picture).all() for y in range(len(strip) - high + 1))
