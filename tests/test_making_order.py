"""The order of making up: what the construction demands, read from corners and edges, on drafts of both recipes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onfold import open_ticket
from onfold.cloth import Cloth, settle
from onfold.geometry.path import line
from onfold.guide.facts import GuideFacts
from onfold.guide.parts import parts_of
from onfold.making.assembly import sewings, walked
from onfold.making.jobs import jobs_of
from onfold.making.operation import MakingUp
from onfold.making.order import making_up
from onfold.pattern import Edge, Pattern, Piece, Run, Seam

EXAMPLES = sorted((Path(__file__).resolve().parent.parent / "examples").glob("*.yaml"))


@lru_cache
def drafted(path: Path) -> tuple[Pattern, Cloth]:
    garment = open_ticket(path)
    assert garment.draft is not None and garment.ticket is not None
    return garment.draft.pattern, garment.ticket.cloth


def made(path: Path) -> MakingUp:
    return making_up(*drafted(path))


def example(name: str) -> MakingUp:
    return made(next(each for each in EXAMPLES if each.stem == name))


def stands_before(making: MakingUp, first: str, then: str) -> bool:
    names = [each.name for each in making.operations]
    return names.index(first) < names.index(then)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_demand_is_met_and_nothing_is_left_out(path: Path) -> None:
    making = made(path)
    assert not making.left_out
    names = [each.name for each in making.operations]
    assert len(names) == len(set(names))
    musts = [each for each in making.before if each.must]
    assert len(musts) > 5
    assert not [each for each in making.before if names.index(each.first) >= names.index(each.then)]


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_hanging_and_levelling_stand_before_the_hem_and_after_waist_and_straps(path: Path) -> None:
    # [C] T183: levelled from the floor on the wearer, after waist and shoulders are settled
    kinds = [each.kind for each in made(path).operations]
    hang, level = kinds.index("hang"), kinds.index("level")
    assert hang < level
    assert [each.name for each in made(path).operations if each.kind == "finish"][-1] == "hem"
    assert max(n for n, kind in enumerate(kinds) if kind in ("sew", "attach", "fasten")) < hang


def test_the_skirt_is_sewn_as_its_construction_demands() -> None:
    making = example("soprano-2-skirt")
    for first, then in [
        ("front dart", "waist seam"),
        ("back dart", "waist seam"),
        ("centre back seam", "back opening"),
        ("back opening", "waist seam"),
        ("side seam", "waist seam"),
        ("waist seam", "ends of the waistband"),
        ("ends of the waistband", "band fold"),
        ("side seam", "hem"),
        ("hem", "vent fold"),
        ("back opening", "side seam"),
    ]:
        assert stands_before(making, first, then), (first, then)


def test_the_zip_is_set_while_the_back_lies_flat_though_nothing_demands_it() -> None:
    told = [
        each for each in example("soprano-2-skirt").before if (each.first, each.then) == ("back opening", "side seam")
    ]
    assert [each.must for each in told] == [False]


def test_the_sheath_is_sewn_as_its_construction_demands() -> None:
    making = example("alto-1-sheath")
    for first, then in [
        ("strap seam", "turn the strap"),
        ("turn the strap", "set strap front"),
        ("set strap front", "neck fold"),
        ("neck fold", "side seam"),
        ("tacking", "try-on"),
        ("try-on", "side seam"),
        ("try-on", "set strap back"),  # [C] T179: fixed at the try-on
        ("side seam", "hem"),
    ]:
        assert stands_before(making, first, then), (first, then)


def test_a_hem_comes_round_and_a_side_seam_lies_flat() -> None:
    making = example("alto-1-sheath")
    states = {each.name: each.state for each in making.operations}
    assert states["hem"] == "round" and states["side seam"] == "flat"
    assert {each.name: each.state for each in example("soprano-2-skirt").operations}[
        "hem"
    ] == "flat"  # its vent opens it


def test_both_sides_of_every_seam_are_as_long_as_the_pattern_says() -> None:
    # [A] a walk's edges add up to the side of the seam they are
    for path in EXAMPLES:
        pattern, _ = drafted(path)
        for seam in pattern.seams:
            pairs = sewings(pattern, seam)
            assert len(pairs) == (2 if seam.twice else 1)
            for first, second in pairs:
                ends = sum(each.length for each in first), sum(each.length for each in second)
                assert abs(ends[0] - ends[1] - seam.ease) < 0.1


def test_a_strap_closes_to_a_tube_without_a_twist_however_its_seam_is_written() -> None:
    pattern, _ = drafted(next(each for each in EXAMPLES if each.stem == "alto-1-sheath"))
    seam = next(each for each in pattern.seams if each.name == "strap seam")
    straight = replace(seam, sides=(seam.sides[0], tuple(replace(run, reversed=False) for run in seam.sides[1])))
    for each in (seam, straight):
        ((first, second),) = sewings(pattern, each)
        # the corners that come together are joined by one end of the strap, not by its diagonal
        numbers = {first[0].a[2], second[0].a[2]}
        assert numbers in ({0, 1}, {2, 3})


def test_an_edge_that_is_not_there_is_told_and_the_rest_is_ordered() -> None:
    pattern, cloth = drafted(next(each for each in EXAMPLES if each.stem == "soprano-2-skirt"))
    assert walked(pattern, (Run("front", "no such edge"),)) is None
    lost = replace(pattern.seams[0], name="lost seam", sides=((Run("nowhere", "side"),), (Run("back", "side"),)))
    making = making_up(replace(pattern, seams=(*pattern.seams, lost)), cloth)
    assert len(making.left_out) == 1 and "lost seam" in making.left_out[0]
    assert making.operation("hem") is not None


def patch(name: str) -> Piece:
    """A square of cloth, its edges below, right, above, left."""
    corners = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)]
    names = ("below", "right", "above", "left")
    edges = [Edge(each, line(corners[n], corners[(n + 1) % 4]), allowance=10.0) for n, each in enumerate(names)]
    return Piece(name, tuple(edges), cut=1)


def patches(*, broken: bool) -> Pattern:
    """Four squares sewn to one large one; the long seams are both written as one, or the upright one is in two."""
    squares = tuple(patch(name) for name in ("top left", "top right", "low left", "low right"))
    across = Seam(
        "across",
        "plain",
        (
            (Run("top left", "below"), Run("top right", "below")),
            (Run("low left", "above", reversed=True), Run("low right", "above", reversed=True)),
        ),
    )
    upright = [
        Seam(f"{row} upright", "plain", ((Run(f"{row} left", "right"),), (Run(f"{row} right", "left", reversed=True),)))
        for row in ("top", "low")
    ]
    whole = Seam(
        "upright",
        "plain",
        (
            (Run("low left", "right"), Run("top left", "right")),
            (Run("low right", "left", reversed=True), Run("top right", "left", reversed=True)),
        ),
    )
    return Pattern("patches", "Patches", "alto-1", squares, (across, *(upright if broken else [whole])))


def test_two_seams_that_each_run_on_over_the_other_are_told_and_sewn_in_parts_they_are_not() -> None:
    # [A] each waits for the other at the corner where all four meet
    cloth = drafted(EXAMPLES[0])[1]
    crossed = making_up(patches(broken=False), cloth)
    assert len(crossed.left_out) == 2 and "the across" in " ".join(crossed.left_out)
    assert crossed.operation("across") is None
    parted = making_up(patches(broken=True), cloth)
    assert not parted.left_out
    assert stands_before(parted, "top upright", "across") and stands_before(parted, "low upright", "across")


def test_a_woven_cowl_is_warned_of_before_it_is_cut() -> None:
    # [C] T175: woven cowls are cut on the bias, the front opened out in one layer
    pattern, _ = drafted(next(each for each in EXAMPLES if each.stem == "alto-1-sheath"))
    for cloth, warned in ((settle("woven", 1500.0, stretch_across=0.4), True), (settle("knit", 1500.0), False)):
        cutting = making_up(pattern, cloth).operation("cutting")
        assert cutting is not None
        assert any("on the bias" in act.says for act in cutting.acts) == warned


Edit = Callable[[Pattern, int], Pattern]


def _drop_seam(pattern: Pattern, at: int) -> Pattern:
    return replace(pattern, seams=tuple(each for n, each in enumerate(pattern.seams) if n != at % len(pattern.seams)))


def _drop_piece(pattern: Pattern, at: int) -> Pattern:
    return replace(
        pattern, pieces=tuple(each for n, each in enumerate(pattern.pieces) if n != at % len(pattern.pieces))
    )


def _unfinish(pattern: Pattern, at: int) -> Pattern:
    pieces = [
        replace(
            each,
            edges=tuple(
                replace(edge, finish="") if (n + k) % 3 == at % 3 else edge for k, edge in enumerate(each.edges)
            ),
        )
        for n, each in enumerate(pattern.pieces)
    ]
    return replace(pattern, pieces=tuple(pieces))


def _turn_run(pattern: Pattern, at: int) -> Pattern:
    seams = list(pattern.seams)
    seam = seams[at % len(seams)]
    sides = tuple(tuple(replace(run, reversed=not run.reversed) for run in side) for side in seam.sides)
    seams[at % len(seams)] = replace(seam, sides=(seam.sides[0], sides[1]), twice=not seam.twice)
    return replace(pattern, seams=tuple(seams))


def _sew_again(pattern: Pattern, at: int) -> Pattern:
    seam = pattern.seams[at % len(pattern.seams)]
    return replace(pattern, seams=(*pattern.seams, replace(seam, name="again")))


def _unfold(pattern: Pattern, at: int) -> Pattern:
    pieces = list(pattern.pieces)
    piece = pieces[at % len(pieces)]
    pieces[at % len(pieces)] = replace(piece, on_fold=not piece.on_fold, inner=piece.inner[at % 2 :], marks=())
    return replace(pattern, pieces=tuple(pieces))


EDITS: tuple[Edit, ...] = (_drop_seam, _drop_piece, _unfinish, _turn_run, _sew_again, _unfold)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(EXAMPLES), st.lists(st.tuples(st.sampled_from(EDITS), st.integers(0, 20)), max_size=3))
def test_nothing_raises_and_nothing_is_lost_on_a_pattern_with_faults(path: Path, edits: list[tuple[Edit, int]]) -> None:
    pattern, cloth = drafted(path)
    for edit, at in edits:
        pattern = edit(pattern, at) if pattern.seams and pattern.pieces else pattern
    making = making_up(pattern, cloth)
    jobs, _ = jobs_of(pattern)
    listed = {each.name for each in making.operations}
    told = " ".join(making.left_out)
    assert not [job.name for job in jobs if job.name not in listed and job.name not in told]
    names = [each.name for each in making.operations]
    assert not [each for each in making.before if names.index(each.first) >= names.index(each.then)]


APRON = """recipe: apron
title: Half apron
licence: CC0-1.0
for: any
kind: garment
choices:
  length: {default: 50 cm, least: 20 cm, most: 90 cm, ask: 'How long?'}
steps:
  - begin piece: {name: apron, fold: centre}
  - rule down: {name: centre, from: start, length: length}
  - mark level: {name: top, on: centre, down: 0 cm, width: waist / 4}
  - mark level: {name: hem, on: centre, down: length, width: waist / 4 + 8 cm}
  - join: {name: side, points: [end of top, end of hem]}
  - close the outline: {lines: [hem, side, top, centre]}
  - waistband: {name: band, length: waist / 2, width: 4 cm, underlap: 2 cm}
  - sew:
      name: band seam
      first: [waist seam of band]
      second: [mirrored top of apron, turned top of apron]
      construction: plain 10 mm
  - finish edge: {edge: hem of apron, construction: double turned 15 mm}
  - finish edge: {edge: side of apron, construction: double turned 8 mm}
  - grain: {piece: apron, kind: straight}
  - grain: {piece: band, kind: straight, way: along}
  - cut: {piece: apron, pieces: 1}
  - cut: {piece: band, pieces: 1}
"""


def test_a_makers_own_recipe_gets_its_order_and_a_side_that_only_ends_at_the_foot_is_no_hem(tmp_path: Path) -> None:
    (tmp_path / "apron.yaml").write_text(APRON, "utf-8")
    ticket = "ticket: Apron\nrecipe: apron.yaml\nwearer: {name: alto-9, measures: {waist: 80 cm}}\n"
    (tmp_path / "t.yaml").write_text(f"{ticket}cloth: {{kind: woven, width: 140 cm}}\n", "utf-8")
    making = made(tmp_path / "t.yaml")
    assert not making.left_out
    names = [each.name for each in making.operations]
    wanted = ["band seam", "side", "ends of the band", "band fold", "hanging", "hem"]
    assert [each for each in names if each in wanted] == wanted
    crossed = APRON.replace(
        "[mirrored top of apron, turned top of apron]", "[turned mirrored top of apron, top of apron]"
    )
    (tmp_path / "apron.yaml").write_text(crossed, "utf-8")
    (tmp_path / "other.yaml").write_text((tmp_path / "t.yaml").read_text("utf-8"), "utf-8")
    told = made(tmp_path / "other.yaml").left_out
    assert len(told) == 1 and "never meet" in told[0]


PULL_ON = """recipe: pull-on
title: A pull-on skirt
licence: CC0-1.0
for: knit
kind: garment
steps:
  - begin piece: {name: skirt, fold: centre}
  - rule down: {name: centre, from: start, length: 60 cm}
  - mark point: {name: top of side, from: start, across: hip / 4, up: 0 cm}
  - mark level: {name: hem, on: centre, down: 60 cm, width: hip / 4}
  - join: {name: side, points: [top of side, end of hem], curve: straight}
  - join: {name: waist, points: [start, top of side], curve: straight}
  - close the outline: {lines: [hem, side, waist, centre]}
  - sew: {name: side seam, first: [side of skirt], second: [side of skirt], construction: overlocked 7 mm, twice: yes}
  - finish edge: {edge: waist of skirt, construction: single turned 30 mm}
  - finish edge: {edge: hem of skirt, construction: single turned 20 mm}
  - grain: {piece: skirt, kind: straight}
  - cut: {piece: skirt, pieces: 2}
"""


def test_one_piece_for_front_and_back_is_told_before_the_order_and_its_waist_is_no_hem(tmp_path: Path) -> None:
    (tmp_path / "pull-on.yaml").write_text(PULL_ON, "utf-8")
    ticket = "ticket: Skirt\nrecipe: pull-on.yaml\nwearer: {name: alto-9, measures: {hip: 104 cm}}\n"
    (tmp_path / "t.yaml").write_text(
        f"{ticket}cloth: {{kind: knit, width: 150 cm, stretch: {{across: 40 %, along: 20 %}}}}\n", "utf-8"
    )
    making = made(tmp_path / "t.yaml")
    assert len(making.left_out) == 1 and "both its sides are one edge" in making.left_out[0]
    assert "hem" not in " ".join(act.says for act in making.operation("waist").acts).lower()
    assert "Turn the hem up" in " ".join(act.says for act in making.operation("hem").acts)
    pattern, cloth = drafted(tmp_path / "t.yaml")
    headings = [
        part.heading for part in parts_of(pattern, GuideFacts("Skirt", "alto-9", "2026-11-26", "cm", cloth=cloth), ())
    ]
    assert headings.index("Not in this order") < headings.index("Making up")
    twice = PULL_ON.replace(
        "waist of skirt, construction: single turned 30 mm", "waist of skirt, construction: double turned 10 mm"
    )
    (tmp_path / "pull-on.yaml").write_text(twice, "utf-8")
    (tmp_path / "other.yaml").write_text((tmp_path / "t.yaml").read_text("utf-8"), "utf-8")
    waist = made(tmp_path / "other.yaml").operation("waist")
    assert "hem" not in " ".join(act.says for act in waist.acts).lower()
