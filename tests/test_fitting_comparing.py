"""Two drafts compared: what did not change lies on itself, and what did is told by its true length and place."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path as File

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import random_outline, seeds

from onfold import open_ticket
from onfold.fitting.change import Change
from onfold.fitting.comparing import Differences, PieceChange, differences, new_stops
from onfold.fitting.entry import NewFitting
from onfold.fitting.laying_over import laid_over, ring_of
from onfold.fitting.recording import record
from onfold.geometry.path import Path, at, cubic, joined, length, line, polyline
from onfold.pattern import Edge, Grain, Mark, Notch, Pattern, Piece, Run, Seam
from onfold.problems import problem

EXAMPLES = File(__file__).resolve().parent.parent / "examples"
SKIRT, SHEATH = EXAMPLES / "soprano-2-skirt.yaml", EXAMPLES / "alto-1-sheath.yaml"


def drafted(text: str, folder: File, name: str) -> Pattern:
    path = folder / name
    path.write_text(text, "utf-8")
    draft = open_ticket(path).draft
    assert draft is not None
    return draft.pattern


def after(ticket: File, folder: File, change: Change) -> Differences:
    text = ticket.read_text("utf-8")
    changed = record(text, "", NewFitting("2026-12-12", change=change))
    assert isinstance(changed, str)
    return differences(drafted(text, folder, "before.yaml"), drafted(changed, folder, "after.yaml"))


def piece_of(found: Differences, name: str) -> PieceChange:
    return next(each for each in found.pieces if each.name == name)


def moves(piece: PieceChange) -> dict[str, float]:
    """How far each edge moved sideways."""
    return {edge.name: edge.move.by for edge in piece.edges if edge.move is not None}


def ran_on(piece: PieceChange) -> dict[str, float]:
    return {edge.name: edge.ran_on.by for edge in piece.edges if edge.ran_on is not None}


# --- one piece, by hand ---


def edges(*corners: tuple[str, tuple[float, float]], fold: str = "") -> tuple[Edge, ...]:
    """Straight edges named after the corner they begin at."""
    following = [*corners[1:], corners[0]]
    return tuple(
        Edge(name, line(here, there), fold=name == fold, allowance=10.0)
        for (name, here), (_, there) in zip(corners, following, strict=True)
    )


def panel(wide: float = 200.0, tall: float = 500.0, x: float = 0.0, y: float = 0.0, fold: str = "") -> Piece:
    corners = (
        ("hem", (x, y - tall)),
        ("side", (x + wide, y - tall)),
        ("waist", (x + wide, y)),
        ("centre", (x, y)),
    )
    grain = Grain("straight", (x + wide / 2, y - tall + 50), (x + wide / 2, y - 50))
    notch = Notch("side", tall - 200.0, (x + wide, y - 200.0))
    return Piece("panel", edges(*corners, fold=fold), bool(fold), 1, grain=grain, notches=(notch,))


def compared(before: Piece, now: Piece) -> PieceChange:
    (found,) = differences(Pattern("r", "r", "w", (before,)), Pattern("r", "r", "w", (now,))).pieces
    return found


def test_a_longer_panel_moves_its_hem_by_what_it_is_longer() -> None:
    """[A] a rectangle lengthened by 37 mm: hem moved 37 mm outward, side and centre run on by 37, 37 x 200 mm2 more."""
    found = compared(panel(), panel(tall=537.0))
    assert moves(found) == pytest.approx({"hem": 37.0})
    assert ran_on(found) == pytest.approx({"side": 37.0, "centre": 37.0})
    assert {edge.name: (edge.before, edge.after) for edge in found.edges} == {
        "hem": (200.0, 200.0), "side": (500.0, 537.0), "centre": (500.0, 537.0),
    }  # fmt: skip
    assert found.area.before is not None and found.area.after is not None
    assert found.area.after - found.area.before == pytest.approx(37.0 * 200.0)
    hem = next(edge.move for edge in found.edges if edge.name == "hem")
    assert hem is not None
    assert hem.outward
    assert hem.even
    assert hem.at[0] == pytest.approx(100.0, abs=5.0)  # of a whole edge moved alike, its middle
    assert not found.points  # the notch stands where it stood


def test_taken_in_is_told_from_let_out() -> None:
    for wide, outward in ((190.0, False), (210.0, True)):
        side = next(edge.move for edge in compared(panel(), panel(wide)).edges if edge.name == "side")
        assert side is not None
        assert (side.by, side.outward) == (pytest.approx(10.0), outward)


@settings(max_examples=60, deadline=None)
@given(st.floats(-400, 400), st.floats(-400, 400))
def test_a_piece_that_only_lies_elsewhere_is_the_same(dx: float, dy: float) -> None:
    for fold in ("", "centre"):
        moved = panel(x=0.0 if fold else dx, y=dy, fold=fold)
        found = compared(panel(fold=fold), moved)
        assert not found.changed
        assert found.after is not None
        assert ring_of(found.after) == pytest.approx(ring_of(panel(fold=fold)), abs=0.02)


@settings(max_examples=60, deadline=None)
@given(st.floats(-300, 300), st.floats(-300, 300), st.floats(5, 80))
def test_what_did_not_change_lies_exactly_on_itself(dx: float, dy: float, longer: float) -> None:
    found = compared(panel(), panel(tall=500.0 + longer, x=dx, y=dy))
    assert found.after is not None
    over = zip(found.after.edges, panel().edges, strict=True)
    lain = [here.name for here, there in over if np.allclose(here.path.curves, there.path.curves, atol=0.02)]
    assert lain in (["waist"], ["hem"])  # of a rectangle either may be kept
    other = {"waist": "hem", "hem": "waist"}[lain[0]]
    assert moves(found)[other] == pytest.approx(longer, abs=0.02)


def test_a_fold_stays_on_the_fold() -> None:
    """A half that grows at the fold's side only would lie better shifted; but the fold is the fold."""
    narrow, wide = panel(200.0, fold="centre"), panel(220.0, fold="centre")
    laid, shift = laid_over(narrow, wide)
    assert shift == (0.0, 0.0)
    assert laid is wide


@settings(max_examples=60, deadline=None)
@given(st.floats(0.2, 30.0), st.floats(0.1, 0.9))
def test_a_bulge_is_found_where_it_is(deep: float, share: float) -> None:
    """[A] a point of the edge pushed out by `deep` at `share` of it: so far it moved, there, and nothing further."""
    straight = panel()
    x, y = 200.0, -500.0 + 500.0 * share
    bulged = joined([line((x, -500.0), (x, y - 20)), line((x, y - 20), (x + deep, y)), line((x + deep, y), (x, y + 20)),
                     line((x, y + 20), (x, 0.0))])  # fmt: skip
    new = replace(straight, edges=tuple(replace(e, path=bulged) if e.name == "side" else e for e in straight.edges))
    found = compared(straight, new)
    assert moves(found) == {"side": pytest.approx(deep)}
    move = found.moved
    assert move is not None
    assert move.to == pytest.approx((x + deep, y), abs=0.5)  # of a low bulge's top any point within a sample's step
    assert move.outward


def test_notches_marks_and_words_that_changed_are_told() -> None:
    before = replace(panel(), marks=(Mark("dart point", "dart", (50.0, -100.0)),))
    now = replace(
        panel(),
        notches=(Notch("side", 310.0, (200.0, -190.0)), Notch("hem", 20.0, (20.0, -500.0))),
        marks=(Mark("dart point", "dart", (53.0, -104.0)), Mark("strap", "strap", (1.0, 0.0))),
        cut=2,
        mirrored_pair=True,
        grain=Grain("bias", (10.0, -400.0), (110.0, -300.0)),
    )
    found = compared(before, now)
    told = {(each.kind, each.name): (each.before, each.after) for each in found.points}
    assert told == {
        ("notch", "side"): ((200.0, -200.0), (200.0, -190.0)),
        ("notch", "hem"): (None, (20.0, -500.0)),
        ("dart point", "dart"): ((50.0, -100.0), (53.0, -104.0)),
        ("strap", "strap"): (None, (1.0, 0.0)),
    }
    assert (found.cut.before, found.cut.after) == (1.0, 2.0)
    assert ("grain", "straight", "bias") in found.words
    assert ("pair", "all alike", "a mirrored pair") in found.words
    assert not found.edges


def test_an_allowance_that_changed_is_told_though_the_line_lies_as_it_lay() -> None:
    before = panel()
    now = replace(before, edges=tuple(replace(e, allowance=40.0) if e.name == "hem" else e for e in before.edges))
    (hem,) = compared(before, now).edges
    assert (hem.name, hem.move, hem.allowances) == ("hem", None, (10.0, 40.0))


def test_pieces_that_come_and_go() -> None:
    other = replace(panel(), name="pocket")
    found = differences(Pattern("r", "r", "w", (panel(),)), Pattern("r", "r", "w", (other,)))
    assert [(each.name, each.before is None, each.after is None) for each in found.pieces] == [
        ("panel", False, True), ("pocket", True, False),
    ]  # fmt: skip
    assert all(each.changed for each in found.pieces)


def test_seams_are_walked_again_with_their_ease() -> None:
    def pattern(back: float, ease: float) -> Pattern:
        pieces = (panel(), replace(panel(tall=back), name="back"))
        seam = Seam("side seam", "plain", ((Run("back", "side"),), (Run("panel", "side"),)), ease)
        return Pattern("r", "r", "w", pieces, (seam,))

    (walked,) = differences(pattern(506.0, 6.0), pattern(510.0, 6.0)).seams
    assert walked.before == pytest.approx((506.0, 500.0))
    assert (walked.off_before, walked.off_after) == (pytest.approx(0.0), pytest.approx(4.0))
    assert not differences(pattern(506.0, 6.0), pattern(506.0, 6.0)).seams


def test_problems_gained_and_cured_whatever_their_figures() -> None:
    def told(*all_of: tuple[str, str]) -> Pattern:
        return Pattern("r", "r", "w", (), problems=tuple(problem(code, says=says) for code, says in all_of))

    before = told(
        ("DART-WIDE", "The dart is 3.6 cm wide."), ("STRIDE", "The hem is 90 cm."), ("STRIDE", "The hem is 9 in.")
    )
    now = told(
        ("DART-WIDE", "The dart is 3.9 cm wide."), ("STRIDE", "The hem is 94 cm."), ("GETTING-IN", "It does not go on.")
    )
    found = differences(before, now)
    assert [each.code for each in found.gained] == ["GETTING-IN"] == [each.code for each in new_stops(found)]
    assert [each.says for each in found.cured] == ["The hem is 9 in."]


def test_a_thing_to_mind_that_is_worded_otherwise_is_neither_gained_nor_cured_but_a_stop_is() -> None:
    def told(code: str, says: str) -> Pattern:
        return Pattern("r", "r", "w", (), problems=(problem(code, says=says),))

    same = differences(told("FRONT-LENGTH", "It drags."), told("FRONT-LENGTH", "It drags, of which 3 cm is taken up."))
    assert (same.gained, same.cured) == ((), ())
    other = differences(told("SEAM-LENGTH", "Side seam: they differ."), told("SEAM-LENGTH", "Strap seam: they differ."))
    assert [each.says for each in new_stops(other)] == ["Strap seam: they differ."]
    assert [each.says for each in other.cured] == ["Side seam: they differ."]


def any_piece(random: np.random.Generator) -> Piece:
    outline = random_outline(random, 6)
    if random.integers(0, 4) == 0:
        outline[0] = line((0.0, 0.0), (0.0, 0.0))
    named = [Edge(f"e{k}" if k else "root.1", path, "root" if not k else None) for k, path in enumerate(outline)]
    return Piece("piece", tuple(named), bool(random.integers(0, 2)), 1)


@settings(max_examples=150, deadline=None)
@given(seeds)
def test_any_two_pieces_can_be_compared(seed: int) -> None:
    """Sound or broken, of the same edges or others: nothing raises, and each move is as long as its arrow."""
    random = np.random.default_rng(seed)
    one, two = any_piece(random), any_piece(random)
    found = compared(one, two)
    assert {edge.name for edge in found.edges} <= {edge.root for piece in (one, two) for edge in piece.edges}
    for edge in found.edges:
        for move in (edge.move, edge.ran_on):
            if move is not None:
                assert math.dist(move.at, move.to) == pytest.approx(move.by, rel=1.1e-3, abs=3e-3)
    assert not compared(one, one).edges


# --- whole garments ---


@pytest.mark.parametrize("ticket", sorted(EXAMPLES.glob("*.yaml")), ids=lambda path: path.stem)
def test_a_garment_does_not_differ_from_itself(ticket: File) -> None:
    draft = open_ticket(ticket).draft
    assert draft is not None
    found = differences(draft.pattern, draft.pattern)
    assert not found.changed
    assert len(found.unchanged) == len(draft.pattern.pieces)
    assert (found.seams, found.levels, found.facts, found.measures, found.gained, found.cured) == ((),) * 6


def test_a_longer_skirt(tmp_path: File) -> None:
    """[A] 62 cm made 70 cm: every hem lies 80 mm lower, the waistband as it was, the side seam 80 mm longer."""
    found = after(SKIRT, tmp_path, Change({"length": "70 cm"}))
    assert [each.name for each in found.changed] == ["front", "back"]
    for name in ("front", "back"):
        assert moves(piece_of(found, name))["hem"] == pytest.approx(80.0, abs=1e-6)
        assert "waist" not in moves(piece_of(found, name))
        assert not [each for each in piece_of(found, name).points if each.kind not in ("notch", "vent")]
    side = next(each for each in found.seams if each.name == "side seam")
    assert side.before is not None and side.after is not None
    assert side.after[0] - side.before[0] == pytest.approx(80.0, abs=1e-6)
    assert (side.off_before, side.off_after) == (pytest.approx(0.0, abs=1e-6), pytest.approx(0.0, abs=1e-6))


def test_more_ease_at_the_waist(tmp_path: File) -> None:
    """[A] 24 mm made 40 mm: the finished waist and the waistband grow by the 16 mm, the front keeps its shape."""
    found = after(SKIRT, tmp_path, Change({"waist ease": "4 cm"}))
    pairs = {each.name: each for each in (*found.levels, *found.facts)}
    for name in ("waist", "band"):
        pair = pairs[name]
        assert pair.before is not None and pair.after is not None
        assert pair.after - pair.before == pytest.approx(16.0, abs=1e-6)
    band = piece_of(found, "waistband")
    assert ran_on(band)["waist seam"] == pytest.approx(16.0, abs=1e-6)
    assert set(moves(band)) == {"other band end"}
    assert band.after is not None and band.before is not None
    overlap = [(a, b) for a, b in zip(band.before.edges, band.after.edges, strict=True) if a.name == "underlap"]
    assert overlap[0][0].path.curves == pytest.approx(overlap[0][1].path.curves, abs=1e-6)
    assert "front" in [each.name for each in found.unchanged]


def test_a_lower_neck_leaves_what_hangs_below_it_in_place(tmp_path: File) -> None:
    """The rise moves the frame's origin; side seam and hem are laid over each other all the same."""
    found = after(SHEATH, tmp_path, Change({"rise": "3 in"}))
    assert "side" not in moves(piece_of(found, "front"))
    assert "hem" not in moves(piece_of(found, "front"))
    assert not piece_of(found, "back").changed
    assert {"cowl fall", "strap length", "total turn"} <= {each.name for each in found.facts}


def test_before_and_after_changed_round_tell_the_same(tmp_path: File) -> None:
    text = SHEATH.read_text("utf-8")
    changed = record(text, "", NewFitting("2026-12-12", change=Change({"back depth": "3 in", "length": "25 in"})))
    assert isinstance(changed, str)
    one, two = drafted(text, tmp_path, "one.yaml"), drafted(changed, tmp_path, "two.yaml")
    there, back = differences(one, two), differences(two, one)
    assert [each.name for each in there.changed] == [each.name for each in back.changed]
    for piece in there.changed:
        other = piece_of(back, piece.name)
        assert moves(piece) == pytest.approx(moves(other), abs=0.05)
        assert {e.name: (e.before, e.after) for e in piece.edges} == {e.name: (e.after, e.before) for e in other.edges}
    assert [each.code for each in there.gained] == [each.code for each in back.cured]


def test_a_new_stop_is_found(tmp_path: File) -> None:
    found = after(SHEATH, tmp_path, Change({"fall": "6 in"}))
    assert [each.code for each in new_stops(found)] == ["COWL-FALL"]


def test_a_curve_is_measured_by_its_nearest_place() -> None:
    """[A] a quarter circle of radius r redrawn at r + 7: 7 mm apart everywhere, whatever the chords."""

    def arc(radius: float) -> Path:
        k = radius * 4 / 3 * math.tan(math.pi / 8)
        return cubic((radius, 0.0), (radius, k), (k, radius), (0.0, radius))

    def quarter(radius: float) -> Piece:
        legs = polyline([(0.0, radius), (0.0, 0.0)]), polyline([(0.0, 0.0), (radius, 0.0)])
        return Piece("quarter", (Edge("arc", arc(radius)), Edge("up", legs[0]), Edge("along", legs[1])), cut=1)

    found = compared(quarter(300.0), quarter(307.0))
    assert moves(found)["arc"] == pytest.approx(7.0, abs=0.02)
    change = next(edge for edge in found.edges if edge.name == "arc")
    assert change.after is not None and change.before is not None
    assert change.after / change.before == pytest.approx(307.0 / 300.0)
    assert change.move is not None
    assert np.hypot(*change.move.to) == pytest.approx(307.0, abs=0.1)
    assert length(line(at(arc(300.0), 0.0), (0.0, 0.0))) == 300.0
