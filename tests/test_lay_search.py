"""Given parts and a bed, the search's lay has no faults, is as short as can be where known, and can be repeated."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lay_parts import (
    SHEATH,
    SKIRT,
    angle,
    bed,
    bowl,
    garment,
    half_star,
    moved,
    parts_of,
    piece_of,
    rectangle,
    rectangles,
    star,
    triangle,
)

from onfold.cloth import settle
from onfold.geometry.region import area, enclose, hausdorff, overlap_area
from onfold.lay.bed import FOLDS, Bed, bed_of
from onfold.lay.nofit import GROWTH, UNIT, no_fit, outline, simplified
from onfold.lay.part import Part, Ring
from onfold.lay.placed import Lay, faults_of
from onfold.lay.search import Repeat, search

TOUCH = 0.05
"""mm by which roundings may lengthen a lay of a few parts."""


def laid(parts: Sequence[Part], on: Bed, **asked: object) -> Lay:
    """The lay found, which must be there and sound."""
    lay = search(parts, on, **asked)  # type: ignore[arg-type]
    assert lay is not None
    assert faults_of(lay, parts) == []
    return lay


def lies_bound(parts: Sequence[Part], on: Bed) -> float:
    """The length, mm as it lies, that the parts' areas alone take up [A]."""
    return sum(abs(area(part.ring)) for part in parts) / sum(band.room for band in on.bands)


def shelves(parts: Sequence[Part], on: Bed) -> float:
    """The length, mm as it lies, of the plainest lay: on its fold, or in rows in the first band as they come."""
    boxes = [np.ptp(part.ring @ part.ways[0].matrix.T, axis=0) for part in parts]
    length = sum(float(box[0]) for part, box in zip(parts, boxes, strict=True) if part.on_fold)
    loose = sorted((box for part, box in zip(parts, boxes, strict=True) if not part.on_fold), key=lambda box: -box[0])
    used, row = on.bands[0].room, 0.0
    for along, across in loose:
        if used + across > on.bands[0].room:
            length, row, used = length + row, 0.0, 0.0
        row, used = max(row, float(along)), used + float(across)
    return length + row


def shorter_exists(sizes: Sequence[tuple[float, float, bool]], room: float, length: float) -> bool:
    """Whether rectangles (along, across, on the fold) can be laid within less than `length`, by trying everything.

    Pushed to the start and to the fold as far as they go, every rectangle stands at a sum of others' sides [A].
    """

    def sums(k: int, side: int, most: float) -> list[float]:
        others = [size[side] for j, size in enumerate(sizes) if j != k]
        every = {sum(some) for n in range(len(others) + 1) for some in combinations(others, n)}
        return sorted(each for each in every if each <= most + 1e-9)

    spots = [
        [
            (x, y)
            for x in sums(k, 0, length - along - 2e-6)
            for y in ([0.0] if fold else sums(k, 1, room - across))
            if x + along < length - 1e-6 and y + across <= room + 1e-9
        ]
        for k, (along, across, fold) in enumerate(sizes)
    ]

    def go_on(k: int, taken: list[tuple[float, float, float, float]]) -> bool:
        if k == len(sizes):
            return True
        along, across, _ = sizes[k]
        for x, y in spots[k]:
            right, top = x + along - 1e-9, y + across - 1e-9
            if all(right <= a or c - 1e-9 <= x or top <= b or d - 1e-9 <= y for a, b, c, d in taken) and go_on(
                k + 1, [*taken, (x, y, x + along, y + across)]
            ):
                return True
        return False

    return go_on(0, [])


class TestNoFit:
    def test_a_simplified_outline_holds_the_true_one_and_hugs_it(self) -> None:
        for name in (SHEATH, SKIRT):
            for part in garment(bed(width=1500.0), name):
                plain = simplified(part.ring)
                whole = np.concatenate([plain, plain[:1]])
                assert enclose([whole], [part.ring]) == [True]
                assert hausdorff(whole, part.ring) <= GROWTH
                assert len(plain) < 0.6 * len(part.ring) or len(plain) == 4

    def test_straight_edges_and_their_corners_stay(self) -> None:
        for ring in (rectangle(300.0, 200.0), angle(300.0, 500.0, 100.0), bowl(300.0, 200.0, 50.0)):
            assert {tuple(point) for point in simplified(ring)} == {tuple(point) for point in ring}

    def test_rectangles_may_not_stand_within_the_sum_of_their_sides(self) -> None:
        found = no_fit(outline(rectangle(300.0, 200.0)), outline(rectangle(70.0, 50.0)))
        assert len(found) == 1
        assert area(found[0] / UNIT) == pytest.approx(370.0 * 250.0, abs=1.0)  # [A]

    @settings(max_examples=40, deadline=None)
    @given(
        st.lists(st.floats(20.0, 200.0), min_size=5, max_size=14),
        st.lists(st.floats(20.0, 200.0), min_size=5, max_size=14),
        st.lists(st.tuples(st.floats(-350.0, 350.0), st.floats(-350.0, 350.0)), min_size=20, max_size=20),
    )
    def test_inside_it_outlines_overlap_and_outside_not(
        self, first: list[float], second: list[float], moves: list[tuple[float, float]]
    ) -> None:
        a, b = star(first), star(second)
        found = no_fit(outline(a), outline(b))
        for move in moves:
            shared = overlap_area(a, b + move)
            winds = sum(_winding(path / UNIT, move) for path in found)
            if winds == 0:
                assert shared <= 0.5  # half of what the judge allows
            else:
                # simplified outlines overlap: those of the true ones, let out by the growth, do so too [A]
                assert overlap_area(_grown(a), _grown(b) + move) > 0.0


def _grown(ring: Ring) -> Ring:
    """A ring round the origin let out so that its edges stand off by the growth at least."""
    inward = min(abs(float(p[0] * q[1] - p[1] * q[0])) / float(np.hypot(*(q - p))) for p, q in pairwise(ring))
    return ring * (1.0 + GROWTH / inward)


def _winding(path: Ring, at: tuple[float, float]) -> int:
    """How often a closed path goes anticlockwise round a point: by the sum of the angles it is seen under."""
    seen = np.exp(1j * np.angle((path[:, 0] - at[0]) + 1j * (path[:, 1] - at[1])))
    return round(float(np.angle(np.roll(seen, -1) / seen).sum() / (2.0 * np.pi)))


class TestKnownLays:
    @pytest.mark.parametrize("seed", range(12))
    @pytest.mark.parametrize(("fold", "nap"), [("none", "none"), ("none", "up"), ("lengthwise", "none")])
    def test_a_few_rectangles_lie_as_short_as_can_be(self, fold: str, nap: str, seed: int) -> None:
        chance = np.random.default_rng(seed)
        on = bed(fold, 600.0 if fold == "none" else 1200.0, nap)  # type: ignore[arg-type]
        count = 4 + seed % 2
        sizes = [(50.0 * chance.integers(2, 9), 50.0 * chance.integers(2, 11)) for _ in range(count)]
        folded = [fold != "none" and k < 2 for k in range(count)]
        cut = 1 if fold == "none" else 2
        parts = parts_of(
            on,
            *(
                piece_of(rectangle(*size), f"piece {k}", 1 if held else cut, on_fold=held)
                for k, (size, held) in enumerate(zip(sizes, folded, strict=True))
            ),
        )
        lay = laid(parts, on, trials=600, seconds=60.0)
        boxes = [(along, across, held) for (across, along), held in zip(sizes, folded, strict=True)]
        assert not shorter_exists(boxes, 600.0, lay.lies - TOUCH)  # [A]

    def test_pieces_as_wide_as_the_room_left_fit(self) -> None:
        on = bed(width=1000.0)
        for widths in ([1000.0], [1000.0 / 3.0] * 3, [123.456, 400.004, 476.54], [100.0] * 10):
            lay = laid(rectangles(on, [(width, 300.0) for width in widths]), on, trials=200)
            assert lay.lies == pytest.approx(300.0, abs=TOUCH)  # [A]

    def test_very_long_edges_may_touch(self) -> None:
        on = bed(width=1500.0)
        lay = laid(rectangles(on, [(490.0, 9000.0)] * 3), on, trials=50)
        assert lay.lies == pytest.approx(9000.0, abs=TOUCH)  # [A]

    def test_a_piece_fits_into_a_hollow_of_its_own_size(self) -> None:
        on = bed(width=500.0)
        parts = parts_of(on, piece_of(bowl(500.0, 400.0, 100.0), "bowl"), piece_of(rectangle(300.0, 300.0), "core"))
        assert laid(parts, on, trials=100).lies == pytest.approx(400.0, abs=TOUCH)  # [A]

    def test_two_triangles_make_a_rectangle_where_the_nap_lets_one_be_turned(self) -> None:
        for nap, length in (("none", 600.0), ("up", 1200.0)):
            on = bed(width=300.0, nap=nap)  # type: ignore[arg-type]
            lay = laid(parts_of(on, piece_of(triangle(300.0, 600.0), cut=2)), on, trials=200)
            # one-way, a second triangle can only follow when the first is over at one edge [A]
            assert lay.lies == pytest.approx(length, abs=TOUCH)

    def test_two_angles_lock(self) -> None:
        on = bed(width=400.0)
        lay = laid(parts_of(on, piece_of(angle(300.0, 300.0, 100.0), cut=2)), on, trials=200)
        assert lay.lies == pytest.approx(300.0, abs=TOUCH)  # [A] hooked into each other, no longer than one alone


class TestWhatIsAsked:
    def test_parts_on_the_fold_lie_exactly_on_it(self) -> None:
        for fold in ("lengthwise", "both edges to the middle"):
            on = bed(fold, 1500.0)  # type: ignore[arg-type]
            parts = garment(on, SHEATH)
            assert any(part.on_fold for part in parts)
            for each in laid(parts, on, trials=100).placed:
                band = on.bands[each.band]
                if each.part.on_fold:
                    assert each.y == (band.high if band.fold_high else band.low)

    def test_a_nap_turns_nothing_round(self) -> None:
        on = bed("lengthwise", 1500.0, "up")
        assert {each.way.turn for each in laid(garment(on, SKIRT), on, trials=100).placed} == {0.0}

    def test_flaws_are_kept_clear_of(self) -> None:
        on = bed(width=1000.0)
        flaws = [moved(rectangle(400.0, 30.0), 200.0, 250.0), moved(star([40.0] * 9), 900.0, 500.0)]
        parts = rectangles(on, [(500.0, 300.0)] * 6)
        lay = laid(parts, on, kept_off=flaws, trials=200)
        assert lay.kept_off == tuple(flaws)
        assert max(overlap_area(ring, flaw) for ring in lay.rings for flaw in flaws) < 0.5
        assert lay.lies > laid(parts, on, trials=200).lies

    def test_the_end_is_kept_or_there_is_no_lay(self) -> None:
        on = bed(width=1000.0)
        parts = rectangles(on, [(500.0, 300.0)] * 4)
        assert laid(parts, on, end=600.0, trials=100).lies <= 600.0 + TOUCH
        assert search(parts, on, end=599.0, trials=100) is None
        assert search(parts, on, end=299.0, trials=100) is None

    def test_what_is_too_wide_or_wants_a_fold_has_no_lay(self) -> None:
        on = bed("lengthwise", 1000.0)
        assert search(rectangles(on, [(500.1, 100.0)]), on, trials=10) is None
        folded = parts_of(on, piece_of(rectangle(400.0, 300.0), on_fold=True))
        assert search(folded, bed(width=1000.0), trials=10) is None

    def test_nothing_to_lay_takes_no_cloth(self) -> None:
        assert laid([], bed(), trials=10).lies == 0.0

    @pytest.mark.parametrize(("along", "across"), [(70.0, 0.0), (0.0, 45.5), (70.0, 45.5), (33.3, 120.7)])
    def test_anchors_stand_on_the_repeat(self, along: float, across: float) -> None:
        on = bed(width=1200.0)
        parts = [*parts_of(on, piece_of(angle(300.0, 500.0, 120.0), cut=3)), *rectangles(on, [(200.0, 250.0)] * 3)]
        anchors = {k: ((20.0 + k, 31.0), (11.0 * k, 7.25)) for k in range(4)}
        lay = laid(parts, on, repeat=Repeat(along, across, anchors), trials=150)
        assert lay.lies < 1500.0
        for k, (anchor, phase) in anchors.items():
            each = lay.placed[k]
            assert each.part is parts[k]
            at = np.array(anchor) @ each.way.matrix.T + (each.x, each.y)
            for axis, step in enumerate((along, across)):
                if step:
                    off = (at[axis] - phase[axis]) / step
                    assert abs(off - round(off)) * step < 1e-6


class TestSearching:
    def test_the_same_seed_and_trials_give_the_same_lay_to_the_bit(self) -> None:
        on = bed("lengthwise", 1400.0)
        for seed in (0, 7):
            first, second = (laid(garment(on, SKIRT), on, seed=seed, trials=300, seconds=60.0) for _ in range(2))
            assert [ring.tobytes() for ring in first.rings] == [ring.tobytes() for ring in second.rings]
            assert (first.seed, first.trials) == (second.seed, second.trials)

    def test_every_lay_shown_is_sound_and_shorter_and_a_stop_keeps_the_best(self) -> None:
        on = bed(width=1000.0)
        parts = rectangles(on, [(150.0 + 37.0 * k, 700.0 - 61.0 * k) for k in range(9)])
        shown: list[Lay] = []
        lay = laid(parts, on, trials=600, seconds=60.0, progress=lambda each: shown.append(each) or True)
        assert len(shown) > 2
        assert all(faults_of(each, parts) == [] for each in shown)
        assert all(a.lies > b.lies for a, b in pairwise(shown))
        stopped: list[Lay] = []
        kept = laid(parts, on, trials=600, progress=lambda each: stopped.append(each) or len(stopped) < 2)
        assert len(stopped) == 2
        assert kept.lies == stopped[-1].lies > lay.lies
        assert kept.trials < lay.trials

    def test_time_ends_it_with_a_lay(self) -> None:
        on = bed(width=1000.0)
        parts = rectangles(on, [(150.0 + 7.0 * k, 300.0 - 11.0 * k) for k in range(20)])
        lay = laid(parts, on, seconds=0.0)
        assert lay.trials == 1
        again = laid(parts, on, trials=lay.trials, seconds=60.0)
        assert [ring.tobytes() for ring in lay.rings] == [ring.tobytes() for ring in again.rings]

    def test_a_lay_to_begin_from_is_never_lost(self) -> None:
        on = bed(width=1500.0)
        parts = garment(on, SKIRT, SHEATH)
        good = laid(parts, on, trials=500, seed=3, seconds=60.0)
        assert laid(parts, on, trials=1, seed=1, start=good).lies <= good.lies


@pytest.mark.parametrize("width", [1150.0, 1400.0, 1500.0])
@pytest.mark.parametrize("name", [SHEATH, SKIRT])
def test_both_shipped_garments_lie_soundly_on_every_fold(name: str, width: float) -> None:
    found = 0
    for fold in FOLDS:
        on = bed_of(settle("woven", width), fold)
        assert isinstance(on, Bed)
        parts = garment(on, name)
        lay = search(parts, on, trials=60)
        if lay is None:
            room = max(band.room for band in on.bands)
            assert any(min(np.ptp(part.ring @ way.matrix.T, axis=0)[1] for way in part.ways) > room for part in parts)
            continue
        found += 1
        assert faults_of(lay, parts) == []
        assert lies_bound(parts, on) <= lay.lies <= shelves(parts, on) + TOUCH  # [A]
    assert found >= 3


hows = st.sampled_from(["alone", "pair", "on fold"])
radii = st.lists(st.floats(15.0, 240.0), min_size=3, max_size=12)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(radii, st.integers(1, 3), st.sampled_from(["alone", "pair", "on fold"])), min_size=1, max_size=4
    ),
    st.sampled_from(FOLDS),
    st.floats(400.0, 1600.0),
    st.sampled_from(["none", "up"]),
    st.lists(st.tuples(radii, st.floats(-100.0, 900.0), st.floats(-100.0, 900.0)), max_size=2),
    st.none() | st.floats(100.0, 3000.0),
)
def test_made_up_pieces_never_raise_and_lie_soundly(
    shapes: list[tuple[list[float], int, str]],
    fold: str,
    width: float,
    nap: str,
    flaws: list[tuple[list[float], float, float]],
    end: float | None,
) -> None:
    on = bed(fold, width, nap, 10.0)  # type: ignore[arg-type]
    pieces = [
        piece_of(half_star(sizes), f"piece {k}", cut, on_fold=True)
        if how == "on fold"
        else piece_of(star(sizes), f"piece {k}", cut, pair=how == "pair")
        for k, (sizes, cut, how) in enumerate(shapes)
    ]
    parts = parts_of(on, *pieces)
    kept_off = [moved(star(sizes), x, y) for sizes, x, y in flaws]
    lay = search(parts, on, kept_off=kept_off, end=end, trials=25)
    if lay is None:
        room = max(band.room for band in on.bands)
        wide = any(min(np.ptp(part.ring @ way.matrix.T, axis=0)[1] for way in part.ways) > room for part in parts)
        assert wide or end is not None
        return
    assert faults_of(lay, parts) == []
    assert lay.lies >= lies_bound(parts, on) - TOUCH  # [A]
    if not kept_off and end is None:
        assert lay.lies <= shelves(parts, on) + TOUCH


@pytest.mark.long
@pytest.mark.parametrize("fold", ["none", "lengthwise", "crosswise"])
def test_a_whole_choir_lies_soundly(fold: str) -> None:
    on = bed(fold, 1500.0)  # type: ignore[arg-type]
    parts = garment(on, *[SHEATH, SKIRT] * 4)
    assert len(parts) >= 24
    lay = laid(parts, on, seconds=10.0)
    assert lies_bound(parts, on) <= lay.lies <= 0.95 * shelves(parts, on)
