"""Pictures of operations: cloths keep their shape and meet at their seams, sections their figures, words keep clear."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from bodies import survey_women
from drafting import KNIT, WOVEN, drafted, example, ticket_text
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from operations_by_hand import operations_of
from synthetic import many_pieces, skirt, strap

from onfold.construction import CONSTRUCTIONS, Finish, encloses, read_finish
from onfold.drawing import Drawing
from onfold.geometry.path import line, polyline
from onfold.geometry.region import area, overlap_area
from onfold.guide.cut_cloth import Cut, ring_of, walk_of
from onfold.guide.facts import say_small
from onfold.guide.laying_together import CLOSE, Laid, fold_on_itself, lay_together, walks_of
from onfold.guide.operation_pictures import HIGH, WIDE, draw_operation, draw_operations
from onfold.guide.picture_key import draw_key
from onfold.guide.plan_sewn import plan_seam
from onfold.guide.scene import Area, Line, paint
from onfold.guide.section import PITCH
from onfold.guide.section_pictures import panels_of
from onfold.guide.section_seams import SEAMS as SEAM_PANELS
from onfold.guide.section_seams import Panel, Scale
from onfold.lettering import frame_of
from onfold.making.operation import Act, MakingUp, Operation, OperationKind
from onfold.pattern import Edge, Inner, Mark, Notch, Pattern, Piece, Run, Seam
from onfold.writers.svg import write_svg

FINISHES = (
    "plain 15 mm",
    "french 10 mm",
    "french 5/8 in, first row 3/8 in, trim 1/8 in",
    "overlocked 10 mm",
    "narrow zigzag 6 mm",
    "felled 15 mm",
    "bound 15 mm",
    "lapped zip 20 mm",
    "folded facing 7 mm",
    "folded facing",
    "single turned 40 mm",
    "single turned 20 mm, twin needle",
    "single turned 40 mm, turned under 6 mm, slip stitch",
    "double turned 10 mm",
    "double turned 25 mm, first turn 6 mm",
)


def read(text: str) -> Finish:
    finish = read_finish(text)
    assert isinstance(finish, Finish)
    return finish


@lru_cache
def patterns() -> tuple[Pattern, ...]:
    """Both recipes on the choir's bodies and on bodies of the survey."""
    found = [drafted(example(name)).pattern for name in ("alto-1-sheath", "soprano-2-skirt", "alto-5-skirt")]
    for body in survey_women(9)[::4]:
        found.append(drafted(ticket_text("choir-sheath", body, KNIT)).pattern)
        found.append(drafted(ticket_text("straight-skirt", body, WOVEN)).pattern)
    return tuple(found)


@lru_cache
def pictures(at: int) -> dict[str, Drawing]:
    pattern = patterns()[at]
    return draw_operations(pattern, MakingUp(tuple(operations_of(pattern))), "cm" if at % 2 else "in")


ALL = range(9)


def test_every_pattern_has_its_pictures() -> None:
    assert len(patterns()) == 9
    for at in ALL:
        kinds = {each.kind for each in operations_of(patterns()[at]) if each.name in pictures(at)}
        assert {"mark", "tack", "try on", "sew", "finish", "fold", "turn"} <= kinds
    skirts = {each.kind for each in operations_of(patterns()[1]) if each.name in pictures(1)}
    assert {"dart", "fasten"} <= skirts
    assert any(each.kind == "attach" for each in operations_of(patterns()[0]) if each.name in pictures(0))


@pytest.mark.parametrize("at", ALL)
def test_words_keep_clear_of_one_another_and_inside_the_picture(at: int) -> None:
    for name, drawing in pictures(at).items():
        boxes = [(frame_of(word).min(axis=0), frame_of(word).max(axis=0)) for word in drawing.words]
        left, low, right, high = drawing.box
        for k, (least, most) in enumerate(boxes):
            assert least[0] >= left - 1e-6 and most[0] <= right + 1e-6, (name, drawing.words[k].text)
            assert least[1] >= low - 1e-6 and most[1] <= high + 1e-6, (name, drawing.words[k].text)
            for other_least, other_most in boxes[:k]:
                meets = (least < other_most - 0.2).all() and (other_least < most - 0.2).all()
                assert not meets, (name, drawing.words[k].text)


@pytest.mark.parametrize("at", ALL)
def test_a_picture_fits_the_room_it_is_given(at: int) -> None:
    for name, drawing in pictures(at).items():
        wide, high = drawing.size
        assert wide <= WIDE + 6.0 and high <= HIGH + 6.0, (name, drawing.size)
        points = np.concatenate([stroke.path.curves.reshape(-1, 2) for stroke in drawing.strokes])
        assert np.isfinite(points).all()
        assert points[:, 0].min() >= drawing.box[0] - 1.5 and points[:, 0].max() <= drawing.box[2] + 1.5, name
        assert points[:, 1].min() >= drawing.box[1] - 1.5 and points[:, 1].max() <= drawing.box[3] + 1.5, name
        assert drawing.title.startswith(name) and len(drawing.title) > len(name) + 10


# --- how cloths lie ---


def test_a_cloth_on_the_fold_is_opened_out_to_twice_its_half() -> None:
    """[A] The half's area doubled, symmetrical about the fold."""
    for pattern in patterns():
        for piece in pattern.pieces:
            ring = ring_of(Cut(piece))
            assert ring is not None and piece.cut_line is not None
            times = 2.0 if piece.on_fold else 1.0
            assert area(ring) == pytest.approx(times * area(piece.cut_line), rel=1e-9)
            if piece.on_fold:
                assert ring[:, 0].min() == pytest.approx(-ring[:, 0].max())


def along_side(side: tuple[Laid, ...], shares: np.ndarray) -> np.ndarray:
    """The points of a side of a seam, as it lies, at shares of its length."""
    walks = [(each, walk) for each in side for walk in each.walks]
    starts = np.concatenate([[0.0], np.cumsum([walk.length for _, walk in walks])])
    found = []
    for share in shares:
        k = min(int(np.searchsorted(starts, share * starts[-1], side="right")) - 1, len(walks) - 1)
        each, walk = walks[k]
        found.append(each.lie.put(walk.at([share * starts[-1] - starts[k]]))[0])
    return np.array(found)


def test_sides_of_a_seam_meet_and_their_cloths_keep_their_shape() -> None:
    """[A] A rigid lie changes neither areas nor lengths; laid over one another the edges coincide and cloth covers
    cloth; laid apart no cloth lies on the other side's."""
    seen = set()
    for pattern in patterns():
        for seam in pattern.seams:
            first, second = (walks_of(pattern, side) for side in seam.sides)
            if {walk.cut.key for walk in (*first, *second)} == {first[0].cut.key}:
                continue
            laying = lay_together(first, second)
            assert laying is not None
            seen.add((seam.name, laying.apart))
            reach = float(np.ptp(np.concatenate([each.ring for each in laying.cloths]), axis=0).max())
            for each in laying.cloths:
                own = ring_of(each.cut)
                assert own is not None
                assert abs(area(each.ring)) == pytest.approx(abs(area(own)))
                sizes = [np.hypot(*np.diff(ring, axis=0).T).sum() for ring in (each.ring, own)]
                assert sizes[0] == pytest.approx(sizes[1])
            sides = [laying.of_side(side) for side in (0, 1)]
            covered = sum(overlap_area(a.ring, b.ring) for a in sides[0] for b in sides[1])
            smaller = min(sum(abs(area(each.ring)) for each in side) for side in sides)
            if laying.apart:
                assert covered < 1e-3 * smaller
                continue
            assert covered > 0.6 * smaller
            a, b = (along_side(side, np.linspace(0.0, 1.0, 33)) for side in sides)
            assert np.hypot(*(a - b).T).max() <= CLOSE * reach * 1.05
    assert ("side seam", False) in seen
    assert ("centre back seam", False) in seen
    assert ("waist seam", True) in seen


def test_traced_edges_lie_exactly_on_one_another() -> None:
    """[A] The sheath's back takes the front's side line, so that laid together the two are one line."""
    pattern = patterns()[0]
    (seam,) = [each for each in pattern.seams if each.name == "side seam"]
    laying = lay_together(*(walks_of(pattern, side) for side in seam.sides))
    assert laying is not None and not laying.apart
    edges = [each.lie.put(each.walks[0].at(np.linspace(0, each.walks[0].length, 40))) for each in laying.cloths]
    assert np.abs(edges[0] - edges[1]).max() < 0.5


def test_a_strap_folded_on_itself_is_half_as_wide() -> None:
    """[A]"""
    pattern = patterns()[0]
    (seam,) = [each for each in pattern.seams if each.name == "strap seam"]
    first, second = (walks_of(pattern, side)[0] for side in seam.sides)
    folded = fold_on_itself(first, second)
    whole = ring_of(first.cut)
    assert folded is not None and whole is not None
    for part in (folded.under, folded.over):
        assert np.ptp(part[:, 0]) == pytest.approx(np.ptp(whole[:, 0]) / 2)
        assert np.ptp(part[:, 1]) == pytest.approx(np.ptp(whole[:, 1]))
    assert np.abs(np.sort(folded.edges[0], axis=0) - np.sort(folded.edges[1], axis=0)).max() < 1e-6


def test_a_folded_dart_has_its_legs_on_one_another_and_its_point_on_the_fold() -> None:
    """[A] Legs of one length meet in a fold through the point and the middle of the mouth (T53)."""
    count = 0
    for pattern in patterns():
        for operation in operations_of(pattern):
            if operation.kind != "dart":
                continue
            legs = [walk_of(pattern, side[0]) for side in operation.sides]
            assert legs[0] is not None and legs[1] is not None
            folded = fold_on_itself(legs[0], legs[1])
            assert folded is not None
            gap = min(np.abs(folded.edges[0] - other).max() for other in (folded.edges[1], folded.edges[1][::-1]))
            assert gap < 1.0
            ends = [(complex(*end) - folded.at) / folded.way for end in (folded.edges[0][0], folded.edges[0][-1])]
            assert min(abs(end.imag) for end in ends) < 0.5
            count += 1
    assert count >= 6


def test_right_and_wrong_sides_are_shown_as_the_construction_asks() -> None:
    """[C] Right sides together shows the upper cloth's wrong side; an enclosed seam begins wrong sides together."""
    pattern = patterns()[0]
    (seam,) = [each for each in pattern.seams if each.name == "side seam"]
    operation = Operation("side seam", "sew", (), "side seam", seam.sides)
    for right, faces in ((True, ["right", "wrong", "right"]), (False, ["wrong", "right", "wrong"])):
        plan = plan_seam(pattern, operation, 0.0, right)
        assert plan is not None
        areas = [item for item in plan.scene if isinstance(item, Area)]
        assert [each.face for each in areas] == faces  # below, above, and the corner turned back
        assert [each.name for each in areas] == ["front", "back", ""]
        assert ("right sides" if right else "wrong sides") in plan.caption
    for text, words in (("french 10 mm", "wrong sides together"), ("plain 10 mm", "right sides together")):
        other = replace(pattern, seams=tuple(replace(each, finish=text) for each in pattern.seams))
        drawing = draw_operation(other, operation, "cm")
        assert drawing is not None and f"back on front, {words}" in drawing.title


def test_the_row_runs_at_its_distance_from_the_seam_line() -> None:
    """[A] On a straight edge the row is a parallel at `from_net`, and notches stand at the raw edge."""
    pattern = skirt()
    sides = ((Run("strap", "edge right"),), (Run("strap", "edge left", reversed=True),))
    first, second = (replace(strap(), name=name) for name in ("one", "two"))
    sides = ((Run("one", "edge right"),), (Run("two", "edge right"),))
    pattern = replace(pattern, pieces=(first, second))
    for net in (0.0, 4.0):
        plan = plan_seam(pattern, Operation("long", "sew", (), sides=sides), net, True)
        assert plan is not None
        (row,) = [item for item in plan.scene if isinstance(item, Line) and item.pen == "row"]
        rings = np.concatenate([item.ring for item in plan.scene if isinstance(item, Area)])
        raw = rings[np.abs(rings[:, 0] - row.points[0, 0]).argmin(), 0]
        assert np.ptp(row.points[:, 0]) < 1e-6
        assert abs(raw - row.points[0, 0]) == pytest.approx(8.0 - net)


def test_the_tape_under_a_plan_is_true() -> None:
    """[A] The tape's drawn length over that of a piece is as the length written to the piece's own."""
    for at, per in ((0, 25.4), (1, 10.0)):
        pattern = patterns()[at]
        seam = pattern.seams[0]
        drawing = draw_operation(
            pattern, Operation(seam.name, "sew", (), seam.name, seam.sides), "in" if at == 0 else "cm"
        )
        assert drawing is not None
        tape = np.concatenate([s.path.curves.reshape(-1, 2) for s in drawing.strokes if s.layer == "sheet"])
        written = [word.text for word in drawing.words if word.layer == "words"]
        front = ring_of(Cut(pattern.pieces[0]))
        drawn = [s.path.curves.reshape(-1, 2) for s in drawing.strokes if s.name == "front" and s.pen == "notch"]
        assert front is not None and len(written) == 1
        ratio = np.ptp(np.concatenate(drawn)[:, 0]) / np.ptp(front[:, 0])
        told = float(written[0].split()[0]) * per
        assert np.ptp(tape[:, 0]) / ratio == pytest.approx(told, rel=5e-4)  # curves are thinned


# --- sections ---


def lines_named(panel: Panel, name: str) -> list[np.ndarray]:
    return [s.path.curves[:, (0, 3)].reshape(-1, 2) for s in panel.board.strokes if s.name == name]


def rows_at(panel: Panel) -> list[float]:
    return sorted(float(points[:, 0].mean()) for points in lines_named(panel, "row of stitches"))


def raw_at(panel: Panel) -> list[float]:
    return sorted(float(points[:, 0].mean()) for points in lines_named(panel, "raw edge"))


@pytest.mark.parametrize("text", ["plain 15 mm", "french 10 mm", "overlocked 10 mm", "felled 15 mm", "bound 12 mm"])
def test_a_seam_as_sewn_has_its_row_and_raw_edges_to_scale(text: str) -> None:
    """[A] The row stands at `from_net`, raw edges at `from_raw` beyond it, trimmed ones at what is left."""
    finish, k = read(text), 3.0
    panel = SEAM_PANELS[finish.kind](Scale(k, 12.0, str), finish)[0]
    row = finish.rows[0]
    assert rows_at(panel) == pytest.approx([row.from_net * k])
    trims = {each.sides: each.left for each in finish.trims}
    wanted = [row.from_raw, row.from_raw]
    for sides, left in trims.items():
        wanted = [left, left] if sides == "both" else [left, row.from_raw]
    assert raw_at(panel) == pytest.approx([(row.from_net + each) * k for each in sorted(wanted)])


def test_right_sides_face_one_another_in_a_plain_seam_and_away_in_the_first_row_of_a_french_one() -> None:
    for text, inner in (("plain 15 mm", True), ("french 10 mm", False)):
        panel = SEAM_PANELS[read(text).kind](Scale(3.0, 12.0, str), read(text))[0]
        heights = sorted(abs(float(points[:, 1].mean())) for points in lines_named(panel, "right side"))
        assert all(height < PITCH / 2 for height in heights) == inner


@pytest.mark.parametrize("trim", [1, 2, 3, 3.9, 4, 5, 6])
def test_a_french_seams_raw_edges_lie_inside_its_second_row_just_where_they_are_enclosed(trim: float) -> None:
    """[A] T75: trimmed to less than the second line, else raw edges show beyond it."""
    finish = read(f"french 10 mm, first row 6 mm, trim {trim} mm")
    turned = SEAM_PANELS["french"](Scale(3.0, 12.0, str), finish)[1]
    second, first = rows_at(turned)
    assert first - second == pytest.approx(4.0 * 3.0, abs=PITCH)
    assert all(edge > second + 1e-6 for edge in raw_at(turned)) == encloses(finish)


def test_a_seam_pressed_open_shows_its_whole_allowance_to_either_side() -> None:
    """[A]"""
    panel = SEAM_PANELS["plain"](Scale(2.0, 12.0, str), read("plain 15 mm"))[1]
    assert raw_at(panel) == pytest.approx([-30.0, 30.0])
    heavy = np.concatenate(lines_named(panel, "right side"))
    assert heavy[:, 1].max() == pytest.approx(1.1)  # right side up, half a cloth above its middle


def test_a_hem_has_its_depth_and_its_turn_to_scale() -> None:
    """[A] Turned twice: the fold at the hem line, the inner fold at the depth, the raw edge a first turn inside it."""
    (panel,) = panels_of(read("double turned 25 mm, first turn 6 mm"), "cm", True, 1000.0)
    words = {word.text for word in panel.board.words}
    assert {"25 mm", "23 mm", "turned in 6 mm"} <= words
    light, heavy = (np.concatenate(lines_named(panel, f"{side} side")) for side in ("wrong", "right"))
    left, right = heavy[:, 0].min(), heavy[:, 0].max()
    assert right == pytest.approx(1.1, abs=0.05)  # the fold's outer face, half a cloth beyond the hem line
    (row,) = rows_at(panel)
    (raw,) = raw_at(panel)
    k = -row / 23.0
    assert raw / k == pytest.approx(-25.0 + 6.0, abs=1.0)
    assert len(light) and left < raw


@pytest.mark.parametrize("text", FINISHES)
@pytest.mark.parametrize("units", ["in", "cm"])
def test_a_section_says_its_figures_and_keeps_its_words_apart(text: str, units: str) -> None:
    finish = read(text)
    for alone in (True, False):
        panels = panels_of(finish, units, alone, 72.0)  # type: ignore[arg-type]
        assert panels or (alone and CONSTRUCTIONS[finish.kind].uses == ("seam",))
        for panel in panels:
            frames = [(frame_of(word).min(axis=0), frame_of(word).max(axis=0)) for word in panel.board.words]
            for k, (low, high) in enumerate(frames):
                assert not any((low < b).all() and (a < high).all() for a, b in frames[:k]), panel.board.words[k].text
    joined = panels_of(finish, units, False, 72.0)  # type: ignore[arg-type]
    said = " ".join(word.text for panel in joined for word in panel.board.words)
    wanted = [row.from_raw for row in finish.rows[:1]] if finish.kind in SEAM_PANELS and "zip" not in text else []
    wanted += [trim.left for trim in finish.trims] + ([finish.depth] if finish.depth else [])
    assert all(say_small(each, units) in said for each in wanted), (said, wanted)  # type: ignore[arg-type]


def test_every_construction_has_its_section() -> None:
    for name, construction in CONSTRUCTIONS.items():
        panels = panels_of(read(f"{name} 12 mm"), "cm", "seam" not in construction.uses, 72.0)
        assert bool(panels) == (name != "raw"), name


@given(
    st.sampled_from(sorted(CONSTRUCTIONS)),
    st.floats(0.0, 500.0),
    st.booleans(),
    st.floats(20.0, 200.0),
    st.sampled_from(["in", "cm"]),
)
@settings(max_examples=150, deadline=None)
def test_a_section_of_any_figure_is_drawn_or_left_out(
    kind: str, figure: float, alone: bool, wide: float, units: str
) -> None:
    finish = read_finish(f"{kind} {figure:.3f} mm")
    if isinstance(finish, Finish):
        for panel in panels_of(finish, units, alone, wide):  # type: ignore[arg-type]
            assert np.isfinite(panel.board.box).all()


# --- nothing fails ---

KINDS: tuple[OperationKind, ...] = (
    "trial", "prepare", "cut", "mark", "stay", "dart", "sew", "fasten", "finish", "turn", "fold", "attach", "tack",
    "try on", "hang", "level", "press",
)  # fmt: skip


def odd_pieces() -> tuple[Piece, ...]:
    """Pieces no draft would give: broken, tiny, without lines, far away, crossing themselves."""
    nan = polyline(np.array([[0.0, 0.0], [np.nan, 1.0]]))
    speck = tuple(
        Edge(f"e{k}", line(a, b), allowance=9.0, finish="plain 9 mm") for k, (a, b) in enumerate(_square(1e-4))
    )
    far = tuple(Edge(f"e{k}", line(a, b)) for k, (a, b) in enumerate(_square(1e9)))
    bow = tuple(
        Edge(f"e{k}", line(a, b), allowance=5.0, finish="bound 5 mm")
        for k, (a, b) in enumerate([((0, 0), (90, 90)), ((90, 90), (90, 0)), ((90, 0), (0, 90)), ((0, 90), (0, 0))])
    )
    point = (Edge("e0", line((1.0, 1.0), (1.0, 1.0)), finish="double turned 10 mm"),)
    fold = (Inner("fold line", "odd fold", line((3.0, 3.0), (3.0, 3.0))), Inner("fold line", "nan fold", nan))
    marks = (Mark("strap", "lost", (np.nan, 0.0)), Mark("strap", "away", (1e7, 0.0)))
    return (
        Piece("lost", (Edge("e0", nan),), cut=1),
        Piece("empty", ()),
        Piece("speck", speck, cut=1, notches=(Notch("e0", 1e9, (0.0, 0.0)), Notch("gone", 1.0, (0.0, 0.0)))),
        Piece("far", far, cut=1, on_fold=True),
        Piece("bow", bow, cut=2, mirrored_pair=True, inner=fold, marks=marks),
        Piece("point", point, on_fold=True, cut_line=np.zeros((2, 2))),
        Piece("no line", replace(strap(), cut_line=None).edges, cut=1, cut_line=np.full((5, 2), np.inf)),
    )


def _square(size: float) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    corners = [(0.0, 0.0), (size, 0.0), (size, size), (0.0, size)]
    return list(zip(corners, corners[1:] + corners[:1], strict=True))


@lru_cache
def odd_patterns() -> tuple[Pattern, ...]:
    base = skirt()
    seams = (
        Seam("to itself", "plain", ((Run("bow", "e0"),), (Run("bow", "e0"),))),
        Seam("nonsense", "", ((), ()), finish="sewn somehow"),
        Seam("to nothing", "french", ((Run("gone", "e0"),), (Run("bow", "gone"),)), twice=True),
    )
    odd = replace(base, pieces=(*base.pieces, *odd_pieces()), seams=(*base.seams, *seams))
    return (odd, many_pieces(3), Pattern("r", "t", "w", ()), *patterns()[:2])


@st.composite
def any_operation(draw: st.DrawFn) -> tuple[Pattern, Operation]:
    pattern = draw(st.sampled_from(odd_patterns()))
    names = [*(piece.name for piece in pattern.pieces), "gone"]
    edges = sorted({edge.name for piece in pattern.pieces for edge in piece.edges} | {"waist", "gone"})
    runs = st.builds(
        Run, st.sampled_from(names), st.sampled_from(edges), st.sampled_from(["drawn", "mirrored"]), st.booleans()
    )
    sides = draw(st.lists(st.lists(runs, max_size=4).map(tuple), max_size=3).map(tuple))
    kind = draw(st.sampled_from(KINDS))
    seam = draw(st.sampled_from(["", "gone", *(seam.name for seam in pattern.seams)]))
    pieces = tuple(draw(st.lists(st.sampled_from(names), max_size=5)))
    acts = (Act("sew", "Sew it to the mark lost."),)
    return pattern, Operation("an operation", kind, acts, seam, sides, pieces)


@given(any_operation(), st.sampled_from(["in", "cm"]))
@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_operation_on_any_pattern_is_drawn_or_left_out(case: tuple[Pattern, Operation], units: str) -> None:
    pattern, operation = case
    drawing = draw_operation(pattern, operation, units)  # type: ignore[arg-type]
    if drawing is None:
        return
    assert np.isfinite(drawing.box).all()
    assert all(np.isfinite(stroke.path.curves).all() for stroke in drawing.strokes)
    assert all(math.isfinite(each) for word in drawing.words for each in word.at)
    assert operation.kind not in ("trial", "prepare", "cut", "stay", "hang", "level", "press")


@pytest.mark.parametrize("piece", odd_pieces(), ids=lambda piece: piece.name)
def test_an_odd_piece_in_every_kind_of_operation(piece: Piece) -> None:
    pattern = Pattern("r", "t", "w", (piece, strap()))
    for operation in operations_of(pattern):
        drawing = draw_operation(pattern, operation, "cm")
        assert drawing is None or np.isfinite(drawing.box).all()


def test_equal_input_gives_equal_pictures() -> None:
    again = draw_operations(patterns()[1], MakingUp(tuple(operations_of(patterns()[1]))), "cm")
    assert {name: write_svg(each) for name, each in again.items()} == {
        name: write_svg(each) for name, each in pictures(1).items()
    }


def test_what_lies_above_hides_what_lies_below_and_only_wrong_sides_are_hatched() -> None:
    square = np.array([(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0), (0.0, 0.0)])
    drawn = paint([Area(square, "wrong"), Area(square, "right")], (50.0, 50.0))
    assert drawn is not None
    pens = [stroke.pen for stroke in drawn.strokes]
    assert pens == ["cover", "furniture", "notch", "cover", "notch"]
    assert paint([], (50.0, 50.0)) is None
    assert paint([Area(square * np.nan)], (50.0, 50.0)) is None


def test_the_key_tells_right_from_wrong() -> None:
    key = draw_key()
    said = [word.text for word in key.words]
    assert {"right side", "wrong side", "row of stitches", "fold", "notch", "pin"} <= set(said)
    assert "right sides are plain, wrong sides hatched" in key.title
    frames = [(frame_of(word).min(axis=0), frame_of(word).max(axis=0)) for word in key.words]
    for k, (low, high) in enumerate(frames):
        assert not any((low < b).all() and (a < high).all() for a, b in frames[:k])
