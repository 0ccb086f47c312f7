"""Distances about a closed mesh, held against solids whose distance is known [A]."""

from __future__ import annotations

import hashlib

import numpy as np
import pytest

from onfold.body.estimate import fill
from onfold.body.form import Form, form_of

pytest.importorskip("numba")

from onfold.hang.distance import Distance, distance_of

BOX = np.array([[x, y, z] for x in (0.0, 1.0) for y in (0.0, 1.0) for z in (0.0, 1.0)])
BOX_FACES = np.array(
    [
        [0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1],
        [2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7], [1, 7, 3],
    ],
    dtype=np.int32,
)  # fmt: skip


def ball(radius: float, fineness: int) -> tuple[np.ndarray, np.ndarray]:
    """A sphere as an octahedron parted again and again."""
    points = [(1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1)]
    faces = [(0, 2, 4), (2, 1, 4), (1, 3, 4), (3, 0, 4), (2, 0, 5), (1, 2, 5), (3, 1, 5), (0, 3, 5)]
    points = [np.array(each, dtype=float) for each in points]
    middles: dict[tuple[int, int], int] = {}

    def middle(a: int, b: int) -> int:
        key = (min(a, b), max(a, b))
        if key not in middles:
            between = points[a] + points[b]
            points.append(between / np.linalg.norm(between))
            middles[key] = len(points) - 1
        return middles[key]

    for _ in range(fineness):
        parted = []
        for a, b, c in faces:
            p, q, r = middle(a, b), middle(b, c), middle(c, a)
            parted += [(a, p, r), (p, b, q), (r, q, c), (p, q, r)]
        faces = parted
    return radius * np.array(points), np.array(faces, dtype=np.int32)


def places(made: Distance) -> np.ndarray:
    grid = np.stack(np.meshgrid(*(np.arange(n) for n in made.values.shape), indexing="ij"), axis=-1)
    return made.origin + made.spacing * grid


def box_distance(at: np.ndarray, half: np.ndarray) -> np.ndarray:
    beyond = np.abs(at) - half
    return np.linalg.norm(np.maximum(beyond, 0.0), axis=-1) + np.minimum(beyond.max(axis=-1), 0.0)


def test_a_boxs_distances_are_its_own() -> None:
    size = np.array([120.0, 210.0, 83.0])
    made = distance_of((BOX - 0.5) * size, BOX_FACES)
    known = box_distance(places(made), size / 2)
    near = np.abs(known) < 25
    assert near.sum() > 10_000
    assert made.values[near] == pytest.approx(known[near], abs=1e-3)
    sure = np.abs(known) > 1e-4
    assert np.array_equal(made.values[sure] < 0, known[sure] < 0)


@pytest.mark.parametrize("spacing", [5.0, 8.0])
def test_a_balls_distances_are_its_own_within_how_flat_its_faces_are(spacing: float) -> None:
    centre = np.array([31.3, 812.0, -7.7])
    points, faces = ball(100.0, 5)
    made = distance_of(points + centre, faces, spacing)
    known = np.linalg.norm(places(made) - centre, axis=-1) - 100.0
    flat = 100.0 - np.linalg.norm(points[faces].mean(axis=1), axis=1).min()
    assert flat < 0.12
    near = np.abs(known) < 25
    assert np.abs(made.values - known)[near].max() < 0.3
    assert ((made.values > 0) == (known > 0))[np.abs(known) > 0.5].all()
    slope = np.linalg.norm(np.stack(np.gradient(made.values, spacing)), axis=0)
    assert np.abs(slope[near] - 1.0).max() < 0.1


def test_beyond_the_band_it_still_rises_outward() -> None:
    """At every point but the outermost some neighbour lies farther out, and none drops by more than a step [A]."""
    points, faces = ball(100.0, 3)
    made = distance_of(points, faces)
    known = np.linalg.norm(places(made), axis=-1)
    slope = np.stack(np.gradient(made.values, made.spacing), axis=-1)
    outward = (slope * places(made)).sum(-1) / np.maximum(known, 1e-9)
    assert outward[known > 15.0].min() > 0.5
    assert made.values.min() < -80.0
    assert np.isfinite(made.values).all()


def test_an_inside_out_mesh_keeps_its_inside() -> None:
    points, faces = ball(60.0, 2)
    right, wrong = distance_of(points, faces), distance_of(points, faces[:, ::-1])
    assert np.array_equal(right.values < 0, wrong.values < 0)


def test_the_bytes_are_the_same_twice() -> None:
    points, faces = ball(60.0, 3)
    sums = {hashlib.sha256(distance_of(points, faces).values.tobytes()).hexdigest() for _ in range(2)}
    assert len(sums) == 1


def test_a_mesh_that_is_none_is_refused() -> None:
    points, faces = ball(60.0, 1)
    with pytest.raises(ValueError, match="faces"):
        distance_of(points, faces[:0])
    with pytest.raises(ValueError, match="numbers"):
        distance_of(points * np.nan, faces)
    with pytest.raises(ValueError, match="above 0"):
        distance_of(points, faces, 0.0)


def nearest_on(corners: np.ndarray, at: np.ndarray) -> float:
    """The distance from a point to the nearest of triangles (m, 3, 3), written another way than the grid's."""
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    best = np.full(len(corners), np.inf)
    for start, end in ((a, b), (b, c), (c, a)):
        along = end - start
        share = np.clip(((at - start) * along).sum(1) / (along * along).sum(1), 0, 1)[:, None]
        best = np.minimum(best, np.linalg.norm(at - start - share * along, axis=1))
    normal = np.cross(b - a, c - a)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    height = ((at - a) * normal).sum(1)
    foot = at - height[:, None] * normal
    inside = np.ones(len(corners), dtype=bool)
    for start, end in ((a, b), (b, c), (c, a)):
        inside &= (np.cross(end - start, foot - start) * normal).sum(1) >= 0
    return float(np.where(inside, np.minimum(best, np.abs(height)), best).min())


def test_a_forms_distances_are_those_to_its_nearest_face() -> None:
    body = fill("woman", {"height": 1629, "bust": 907, "waist": 726, "hip": 967})
    form = form_of("woman", body.measures)
    assert isinstance(form, Form)
    made = distance_of(form.points, form.faces)
    corners = form.points[form.faces]
    near = np.argwhere(np.abs(made.values) < 25.0)
    chosen = near[np.random.default_rng(5).permutation(len(near))[:120]]
    for at in chosen:
        known = nearest_on(corners, made.origin + made.spacing * at)
        assert abs(made.values[tuple(at)]) == pytest.approx(known, abs=0.5)
    low, high = form.points.min(0), form.points.max(0)
    assert (made.origin <= low - 40).all()
    assert (made.origin + made.spacing * (np.array(made.values.shape) - 1) >= high + 40).all()
    assert made.values[0].min() > 35
