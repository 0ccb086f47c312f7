"""Given a garment to be tried in calico first: what its toile keeps of it, what it leaves out, and in which cloth."""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pypdf
import pytest
import shapely
from click.testing import CliRunner, Result
from hypothesis import given, settings
from hypothesis import strategies as st

from onfold import open_ticket
from onfold.cli import main
from onfold.cloth import settle
from onfold.geometry.path import end, flatten, length, line, start
from onfold.making.folded_off import at_the_fold, has_facing, is_facing
from onfold.making.toile import ALLOWANCE, LeftOut, parts_to_ask_for, toile_of
from onfold.making.toile_cloth import CALICO, LIKE, Asking, needs_stretch, toile_cloth
from onfold.making.toile_words import tell_toile
from onfold.pattern import Edge, Grain, Inner, Level, Mark, Notch, Pattern, Piece, Run, Seam, edges_of
from onfold.problems import CODES
from onfold.project import Garment
from onfold.project_toile import toiled

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
SKIRT, SHEATH = EXAMPLES / "soprano-2-skirt.yaml", EXAMPLES / "alto-1-sheath.yaml"
LIKE_JERSEY = (
    "other cloths: {toile: {name: seconds, kind: knit, width: 150 cm, stretch: {across: 70 %, along: 40 %}}}\n"
)


@lru_cache
def drafted(path: Path) -> Pattern:
    draft = open_ticket(path).draft
    assert draft is not None
    return draft.pattern


def piece_of(pattern: Pattern, name: str) -> Piece:
    piece = pattern.piece(name)
    assert piece is not None
    return piece


def sheath_with(folder: Path, *swaps: tuple[str, str]) -> Path:
    text = SHEATH.read_text("utf-8")
    for old, new in swaps:
        assert old in text
        text = text.replace(old, new)
    (folder / "sheath.yaml").write_text(text, "utf-8")
    return folder / "sheath.yaml"


def ring_of(piece: Piece) -> np.ndarray:
    return np.concatenate([np.asarray(flatten(edge.path))[:-1] for edge in piece.edges])


# --- what is cut ---


@pytest.mark.parametrize("path", [SKIRT, SHEATH], ids=lambda path: path.stem)
def test_every_seam_and_edge_gets_three_centimetres_and_keeps_its_line(path: Path) -> None:
    """3 cm to let out from [C]; the seam line is the garment's own, to the bit [A]."""
    garment, toile = drafted(path), toile_of(drafted(path)).pattern
    for piece in toile.pieces:
        own = {edge.name: edge for edge in piece_of(garment, piece.name).edges}
        for edge in piece.edges:
            if edge.fold or edge.finish == "dart":
                assert edge.allowance == 0.0
                continue
            assert (edge.allowance, edge.finish) == (30.0, "plain 30 mm")
            if edge.name in own:
                assert np.array_equal(edge.path.curves, own[edge.name].path.curves)
    assert {(seam.construction, seam.finish) for seam in toile.seams} == {("plain", "plain 30 mm")}
    assert [seam.name for seam in toile.seams] == [seam.name for seam in garment.seams]


@pytest.mark.parametrize("path", [SKIRT, SHEATH], ids=lambda path: path.stem)
def test_the_cut_line_keeps_three_centimetres_off_the_seam_line(path: Path) -> None:
    """No point of it nearer than the allowance but on folds [A], by another library's distance (shapely)."""
    for piece in toile_of(drafted(path)).pattern.pieces:
        assert piece.cut_line is not None
        sewn = shapely.multilinestrings(
            [shapely.linestrings(flatten(edge.path)) for edge in piece.edges if edge.allowance > 0.0]
        )
        off = shapely.distance(shapely.points(piece.cut_line), sewn)
        on_fold = np.abs(piece.cut_line[:, 0]) < 0.02 if piece.on_fold else np.zeros(len(off), dtype=bool)
        assert off[~on_fold].min() > ALLOWANCE - 0.03
        assert shapely.Polygon(piece.cut_line).is_valid
        assert shapely.Polygon(piece.cut_line).buffer(0.01).covers(shapely.Polygon(ring_of(piece)))


def test_the_cowls_facing_is_left_out_and_its_fold_is_the_neck_edge() -> None:
    garment, toile = drafted(SHEATH), toile_of(drafted(SHEATH))
    front, whole = piece_of(toile.pattern, "front"), piece_of(garment, "front")
    (fold,) = [each for each in whole.inner if each.name == "neck fold"]
    (neck,) = edges_of(front, "neck")
    assert sorted([start(neck.path), end(neck.path)]) == [
        pytest.approx(each) for each in sorted([start(fold.path), end(fold.path)])
    ]
    assert neck.allowance == 30.0
    assert not [edge.name for edge in front.edges if "facing" in edge.name]
    assert front.cut_line is not None
    assert front.cut_line[:, 1].max() == pytest.approx(start(fold.path)[1] + 30.0, abs=1e-6)
    assert [edge.name for edge in front.edges] == ["hem", "side", "armhole", "neck", "centre front"]
    assert toile.left_out == (LeftOut("front", "facing", "neck fold"),)
    assert {mark.name for mark in front.marks} >= {"strap front"}
    assert [notch.along for notch in front.notches] == [notch.along for notch in whole.notches]


def test_a_facing_that_is_asked_for_stays() -> None:
    whole = toile_of(drafted(SHEATH), ("facing",))
    front = piece_of(whole.pattern, "front")
    assert [edge.name for edge in front.edges] == [edge.name for edge in piece_of(drafted(SHEATH), "front").edges]
    assert all(edge.allowance == 30.0 for edge in front.edges if not edge.fold)
    assert whole.left_out == ()


def test_centres_levels_and_balance_marks_are_drawn_and_said() -> None:
    toile = toile_of(drafted(SHEATH))
    front = piece_of(toile.pattern, "front")
    kinds = {(each.kind, each.name) for each in front.inner}
    assert {("level", name) for name in ("underarm", "bust", "waist", "hip")} <= kinds
    assert ("centre", "centre front") in kinds
    told = " ".join(tell_toile(toile, "seconds", lambda mm: f"{mm:g} mm"))
    assert "onto the front, on both sides of the cloth: centre front; levels underarm, bust, waist, hip" in told
    assert "3 balance marks" in told
    assert "facing of the front is left out: it is cut at the neck fold" in told
    assert "30 mm" in told
    assert all("centre" in piece.label or piece.name == "strap" for piece in toile.pattern.pieces)
    skirt = toile_of(drafted(SKIRT))
    assert {each.piece: each.centres for each in skirt.carried} == {
        "front": ("centre front",),
        "back": ("centre back",),
        "waistband": (),
    }
    assert "Leave the back opening open, 200 mm" in " ".join(tell_toile(skirt, "calico", lambda mm: f"{mm:g} mm"))


def test_a_level_that_the_piece_does_not_reach_is_neither_drawn_nor_said() -> None:
    """The low back ends below the underarm: its level stands on the paper only."""
    whole, toile = piece_of(drafted(SHEATH), "back"), toile_of(drafted(SHEATH))
    assert "underarm" in {each.name for each in whole.inner}
    assert "underarm" not in {each.name for each in piece_of(toile.pattern, "back").inner}
    assert [each.levels for each in toile.carried if each.piece == "back"] == [("bust", "waist", "hip", "hem")]


# --- what is left out ---


def square(name: str, size: float = 200.0, **more: object) -> Piece:
    corners = ((0.0, 0.0), (size, 0.0), (size, size), (0.0, size))
    edges = tuple(
        Edge(word, line(corners[k], corners[(k + 1) % 4]), allowance=10.0, finish="plain 10 mm")
        for k, word in enumerate(("hem", "side", "top", "other side"))
    )
    return Piece(name, edges, cut=1, grain=Grain("straight", (60.0, 20.0), (60.0, 180.0)), **more)  # type: ignore[arg-type]


def coat() -> Pattern:
    pieces = (
        square("front"),
        square("front facing"),
        square("front lining", material="lining"),
        square("collar", material="interfacing"),
    )
    lined = Seam("lining seam", "plain", ((Run("front facing", "side"),), (Run("front lining", "side"),)))
    hemmed = Seam(
        "side seam", "french", ((Run("front", "side"),), (Run("front", "other side"),)), finish="french 10 mm"
    )
    levels = {"hip": Level("hip", 900.0, 940.0, across=(("front", 2.0), ("front lining", 2.0)))}
    return Pattern("coat", "Coat", "alto-1", pieces, seams=(lined, hemmed), levels=levels)


def test_facings_linings_and_other_materials_are_left_out_with_their_seams() -> None:
    toile = toile_of(coat())
    assert [piece.name for piece in toile.pattern.pieces] == ["front"]
    assert [(each.piece, each.what) for each in toile.left_out] == [
        ("front facing", "facing"),
        ("front lining", "lining"),
        ("collar", "interfacing"),
    ]
    assert [seam.name for seam in toile.pattern.seams] == ["side seam"]
    assert toile.pattern.levels["hip"].across == (("front", 2.0),)
    assert "Left out: front facing, front lining (lining), collar (interfacing)." in tell_toile(toile, "calico", str)


def test_what_is_asked_for_is_cut_from_the_toiles_own_cloth() -> None:
    assert parts_to_ask_for(coat()) == ("facing", "lining", "interfacing")
    toile = toile_of(coat(), ("facing", "lining"))
    assert [(piece.name, piece.material) for piece in toile.pattern.pieces] == [
        ("front", "main"),
        ("front facing", "main"),
        ("front lining", "main"),
    ]
    assert {seam.name for seam in toile.pattern.seams} == {"lining seam", "side seam"}


def test_interfacing_is_no_facing() -> None:
    assert is_facing("neck facing")
    assert is_facing("Facing of the back")
    assert not is_facing("interfacing")
    assert not is_facing("neck")


def test_an_inlay_of_the_garment_is_no_line_of_its_toile(tmp_path: Path) -> None:
    text = SKIRT.read_text("utf-8").replace("side seam: plain 15 mm", "side seam: 'plain 15 mm, inlay 25 mm'")
    (tmp_path / "skirt.yaml").write_text(text, "utf-8")
    pattern = drafted(tmp_path / "skirt.yaml")
    assert any(each.kind == "inlay" for piece in pattern.pieces for each in piece.inner)
    toile = toile_of(pattern).pattern
    assert not any(each.kind == "inlay" for piece in toile.pieces for each in piece.inner)
    for piece in toile.pieces:
        assert np.array_equal(piece.cut_line, piece_of(toile_of(drafted(SKIRT)).pattern, piece.name).cut_line)


# --- facings cut in one ---


def banded(begins: int = 0) -> Piece:
    """A front with a facing cut in one at its left, beyond a fold line at x = 50; its outline begins anywhere."""
    points = [(50.0, 0.0), (200.0, 0.0), (200.0, 400.0), (50.0, 400.0), (0.0, 400.0), (0.0, 0.0)]
    names = ["hem", "side", "neck", "facing top", "front facing", "facing hem"]
    edges = [Edge(name, line(points[k], points[(k + 1) % 6]), allowance=10.0) for k, name in enumerate(names)]
    return Piece(
        "front",
        tuple(edges[begins:] + edges[:begins]),
        cut=2,
        mirrored_pair=True,
        grain=Grain("straight", (20.0, 100.0), (20.0, 300.0)),
        notches=(Notch("side", 100.0, (200.0, 100.0)), Notch("front facing", 50.0, (0.0, 350.0))),
        marks=(Mark("button", "first", (60.0, 380.0)), Mark("button", "inside", (20.0, 380.0))),
        inner=(
            Inner("fold line", "front fold", line((50.0, 400.0), (50.0, 0.0))),
            Inner("level", "waist", line((0.0, 200.0), (200.0, 200.0))),
            Inner("pleat", "in the facing", line((10.0, 10.0), (30.0, 390.0))),
        ),
    )


@pytest.mark.parametrize("begins", range(6))
def test_a_band_is_cut_off_at_its_fold_wherever_the_outline_begins(begins: int) -> None:
    piece = banded(begins)
    assert has_facing(piece)
    left = at_the_fold(piece)
    assert left is not None
    assert sorted(edge.name for edge in left.edges) == ["front", "hem", "neck", "side"]
    for k, edge in enumerate(left.edges):
        assert end(edge.path) == start(left.edges[(k + 1) % 4].path)
    assert shapely.Polygon(ring_of(left)).area == pytest.approx(150.0 * 400.0)  # 15 by 40 cm [A]
    assert [notch.edge for notch in left.notches] == ["side"]
    assert [mark.name for mark in left.marks] == ["first"]
    assert [each.name for each in left.inner] == ["waist"]
    assert left.grain is not None
    assert left.grain.start[0] == pytest.approx(left.grain.end[0])
    assert 50.0 < left.grain.start[0] < 200.0
    assert abs(left.grain.end[1] - left.grain.start[1]) == pytest.approx(200.0, abs=2.0)
    assert at_the_fold(left) is None


def test_a_piece_without_a_facing_is_left_as_it_is() -> None:
    assert at_the_fold(square("front")) is None
    assert at_the_fold(piece_of(drafted(SKIRT), "waistband")) is None  # its fold has no facing beyond it
    assert at_the_fold(piece_of(drafted(SHEATH), "strap")) is None
    loose = replace(banded(), inner=(Inner("fold line", "front fold", line((60.0, 390.0), (60.0, 10.0))),))
    assert at_the_fold(loose) is None  # a fold line that ends inside the piece parts nothing


def test_an_edge_that_the_fold_line_cuts_in_two_keeps_its_name() -> None:
    piece = banded()
    hem = Edge("hem", line((0.0, 0.0), (200.0, 0.0)), allowance=10.0)
    top = Edge("neck facing", line((50.0, 400.0), (0.0, 400.0)))
    edges = (hem, piece.edges[1], piece.edges[2], top, replace(piece.edges[4], name="front facing"))
    kept = at_the_fold(replace(piece, edges=edges, notches=(Notch("hem", 120.0, (120.0, 0.0)),)))
    assert kept is None  # the hem belongs to both sides: nothing tells the facing from the front
    own = Edge("facing hem", line((0.0, 0.0), (50.0, 0.0)))
    rest = Edge("hem", line((50.0, 0.0), (200.0, 0.0)), allowance=10.0)
    left = at_the_fold(replace(piece, edges=(own, rest, *edges[1:]), notches=(Notch("hem", 70.0, (120.0, 0.0)),)))
    assert left is not None
    assert left.notches == (Notch("hem", 70.0, (120.0, 0.0)),)


@settings(max_examples=25, deadline=None)
@given(
    spread=st.sampled_from(["0 cm", "1 cm", "3 cm"]),
    ends=st.sampled_from(["above the underarm", "in the side seam"]),
    rise=st.sampled_from(["8 cm", "14 cm"]),
    hollow=st.sampled_from(["0 %", "55 %", "85 %"]),
)
def test_every_cowl_that_can_be_drafted_has_a_toile(
    tmp_path_factory: pytest.TempPathFactory, spread: str, ends: str, rise: str, hollow: str
) -> None:
    choices = f"choices: {{spread: {spread}, facing edge: {ends}, rise: {rise}, armhole hollow: {hollow}}}\n"
    path = sheath_with(tmp_path_factory.mktemp("cowl"), ("finish:\n", f"{choices}finish:\n"))
    pattern = drafted(path)
    toile = toile_of(pattern)
    if pattern.piece("front") is None:
        return
    front = piece_of(toile.pattern, "front")
    assert not [edge.name for edge in front.edges if "facing" in edge.name]
    assert "neck" in {edge.name for edge in front.edges}
    whole = {edge.name: length(edge.path) for edge in piece_of(pattern, "front").edges}
    for edge in front.edges:
        if not edge.fold and edge.name in whole:
            assert length(edge.path) == whole[edge.name]
    assert not [each for each in toile.pattern.problems if each.code == "CUT-LINE"]


# --- in which cloth ---

JERSEY = settle("knit", 1500.0, name="jersey", stretch_across=0.7, stretch_along=0.4, weight=240.0)
SNUG = {"hip": Level("hip", 1000.0, 880.0)}
EASY = {"hip": Level("hip", 1000.0, 1050.0)}
TWILL = settle("woven", 1500.0, name="twill", stretch_across=0.0, weight=260.0)


def test_a_woven_garment_is_tried_in_calico() -> None:
    assert toile_cloth(Asking("woven", EASY, TWILL, "cm")) == (CALICO, [])
    assert (CALICO.kind, CALICO.width, CALICO.nap, CALICO.stretch_across) == ("woven", 1500.0, "none", 0.0)


@pytest.mark.parametrize(("made_for", "levels"), [("knit", EASY), ("any", SNUG), ("woven", SNUG), ("knit", SNUG)])
def test_a_garment_drafted_for_stretch_is_refused_in_calico(made_for: str, levels: dict[str, Level]) -> None:
    asking = Asking(made_for, levels, JERSEY, "cm")
    assert needs_stretch(asking)
    cloth, (found,) = toile_cloth(asking)
    assert cloth is None
    assert (found.code, found.severity) == ("TOILE-STRETCH", "stop")
    assert "70 % across, 40 % along, 240 g/m2" in found.expected
    assert "other cloths: {toile: {kind: knit, width: 150 cm, stretch: {across: 70 %, along: 40 %}" in found.remedy


def test_rounding_alone_is_no_stretch() -> None:
    assert not needs_stretch(Asking("any", {"hip": Level("hip", 1000.0, 999.9)}, TWILL, "cm"))
    assert not needs_stretch(Asking("any", {"hem": Level("hem", 0.0, 900.0)}, TWILL, "cm"))


@given(st.floats(0.0, 1.5), st.floats(0.0, 1.0))
def test_a_like_cloth_passes_and_an_unlike_one_is_told_with_its_figures(across: float, along: float) -> None:
    given_cloth = settle("knit", 1400.0, name="seconds", stretch_across=across, stretch_along=along)
    cloth, found = toile_cloth(Asking("knit", SNUG, JERSEY, "cm", given_cloth))
    worn = 1000.0 / 880.0 - 1.0  # wearing stretch = body / finished - 1 [A]
    if across < worn:
        assert cloth is None
        assert [each.code for each in found] == ["TOILE-STRETCH"]
        return
    assert cloth is given_cloth
    unlike = abs(across - 0.7) > LIKE + 1e-9 or abs(along - 0.4) > LIKE + 1e-9
    assert [(each.code, each.severity) for each in found] == ([("TOILE-CLOTH", "mind")] if unlike else [])
    if abs(across - 0.7) > LIKE + 1e-9:
        assert "70 % across" in found[0].expected


def test_a_cloth_that_does_not_stretch_is_refused_though_the_ticket_names_it() -> None:
    loose = {"hip": Level("hip", 1000.0, 1000.0)}
    cloth, (found,) = toile_cloth(Asking("knit", loose, JERSEY, "in", replace(CALICO, name="sheeting")))
    assert cloth is None
    assert "In sheeting, which stretches 0 % across" in found.says


def test_its_codes_are_a_group_of_their_own() -> None:
    assert {name for name, code in CODES.items() if code.group == "toile"} == {"TOILE-STRETCH", "TOILE-CLOTH"}


# --- the façade and the command ---


def run(*words: str | Path) -> Result:
    return CliRunner(env={"COLUMNS": "100"}).invoke(main, [str(word) for word in words])


def toile_garment(path: Path, asked: str = "") -> Garment:
    found = toiled(open_ticket(path), asked)
    assert found.garment is not None, [each.says for each in found.problems]
    return found.garment


def test_the_tickets_own_cloth_for_the_toile_is_used(tmp_path: Path) -> None:
    path = sheath_with(tmp_path, ("finish:\n", f"{LIKE_JERSEY}finish:\n"))
    garment = toile_garment(path)
    assert garment.ticket is not None and garment.ticket.cloth.name == "seconds"
    assert garment.ticket.title == "Toile: Concert sheath, alto-1"
    assert not [each for each in garment.all_problems if each.code.startswith("TOILE")]
    unlike = sheath_with(tmp_path, ("finish:\n", f"{LIKE_JERSEY.replace('70 %', '60 %')}finish:\n"))
    (mind,) = [each for each in toile_garment(unlike).all_problems if each.code.startswith("TOILE")]
    assert mind.severity == "mind"
    assert "stretches 60 % across; the garment's, black viscose jersey, 70 % across" in mind.says


def test_stops_of_the_garments_own_sewing_are_not_the_toiles(tmp_path: Path) -> None:
    text = SKIRT.read_text("utf-8").replace("side seam: plain 15 mm", "side seam: 'plain 15 mm, allowance 20 mm'")
    (tmp_path / "skirt.yaml").write_text(text, "utf-8")
    garment = open_ticket(tmp_path / "skirt.yaml")
    assert "ALLOWANCE-SEAM" in {each.code for each in garment.all_problems}
    assert "ALLOWANCE-SEAM" not in {each.code for each in toile_garment(tmp_path / "skirt.yaml").all_problems}


def test_make_toile_writes_its_own_files_and_leaves_the_patterns_alone(tmp_path: Path) -> None:
    (tmp_path / "pattern.pdf").write_bytes(b"an older pattern")
    done = run("make", SKIRT, "-o", tmp_path, "--toile")
    assert done.exit_code == 0
    names = ["toile.json", "toile.pdf", "toile.svg"]
    assert done.stdout.splitlines() == [str(tmp_path / name) for name in names]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["pattern.pdf", *names]
    assert (tmp_path / "pattern.pdf").read_bytes() == b"an older pattern"
    said = " ".join(done.stderr.split())
    assert re.search(r"It takes \d[\d.]* m of calico 150 cm wide", said)
    assert "Every seam and edge is cut with 3 cm" in said
    data = json.loads((tmp_path / "toile.json").read_bytes())
    assert data["format"] == "onfold pattern 1"
    assert data["title"].startswith("Toile: ")
    assert {e["allowance"] for p in data["pieces"] for e in p["edges"] if not e["fold"] and e["finish"] != "dart"} == {
        30
    }
    text = " ".join(
        page.extract_text() for page in pypdf.PdfReader(io.BytesIO((tmp_path / "toile.pdf").read_bytes())).pages
    )
    assert "Toile: Concert skirt, soprano-2" in text
    assert "calico" in text and "main cloth" not in text
    assert "Toile: Concert skirt, soprano-2" in (tmp_path / "toile.svg").read_text("utf-8")


@pytest.mark.parametrize("command", ["make", "lay"])
def test_a_stretch_garment_in_calico_is_refused_with_nothing_written(tmp_path: Path, command: str) -> None:
    (tmp_path / "toile.json").write_bytes(b"an older toile")
    done = run(command, SHEATH, "-o", tmp_path, "--toile")
    assert done.exit_code == 2
    assert done.stdout == ""
    assert "stop  TOILE-STRETCH" in done.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["toile.json"]
    assert (tmp_path / "toile.json").read_bytes() == b"an older toile"


def test_a_part_that_the_garment_has_not_is_refused_with_what_it_has(tmp_path: Path) -> None:
    path = sheath_with(tmp_path, ("finish:\n", f"{LIKE_JERSEY}finish:\n"))
    wrong = toiled(open_ticket(path), "facing and linnig")
    assert wrong.garment is None
    assert "facing" in wrong.problems[-1].expected
    assert "front facing" not in {each.name for each in drafted(SKIRT).pieces}
    done = run("make", SKIRT, "-o", tmp_path / "out", "--toile-with", "lining", "--json")
    assert json.loads(done.stdout)["exit"] == 2
    assert not (tmp_path / "out").exists()
    assert "armhole facing" in {edge.name for edge in piece_of_garment(path, "facings", "front").edges}


def piece_of_garment(path: Path, asked: str, name: str) -> Piece:
    garment = toile_garment(path, asked)
    assert garment.draft is not None
    return piece_of(garment.draft.pattern, name)


def test_a_ticket_that_cannot_be_read_has_no_toile(tmp_path: Path) -> None:
    (tmp_path / "t.yaml").write_text("ticket: [\n", "utf-8")
    found = toiled(open_ticket(tmp_path / "t.yaml"))
    assert found.garment is None and found.problems
    assert run("make", tmp_path / "t.yaml", "-o", tmp_path / "out", "--toile").exit_code == 2


def test_the_toiles_lay_lies_beside_the_garments(tmp_path: Path) -> None:
    (tmp_path / "lay.json").write_bytes(b"{}")
    done = run("lay", SKIRT, "-o", tmp_path, "--toile", "--seconds", "0.5", "--fold", "lengthwise")
    assert done.exit_code == 0, done.stderr
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "lay.json",
        "toile-lay.json",
        "toile-lay.pdf",
        "toile-lay.svg",
    ]
    assert "toile-lay.pdf says more" in " ".join(done.stdout.split())
    laid = json.loads((tmp_path / "toile-lay.json").read_bytes())
    areas = {piece.name: shapely.Polygon(piece.cut_line).area for piece in toile_of(drafted(SKIRT)).pattern.pieces}
    for each in laid["placements"]:
        times = 2.0 if each["piece"] == "front" and not each["on_fold"] else 1.0
        assert shapely.Polygon(each["ring"]).area == pytest.approx(areas[each["piece"]] * times, rel=1e-3)
    before = (tmp_path / "toile-lay.json").read_bytes()
    again = run("lay", SKIRT, "-o", tmp_path, "--toile", "--seconds", "0.5", "--fold", "lengthwise")
    assert again.exit_code == 0
    assert (tmp_path / "toile-lay.json").read_bytes() == before
    assert run("lay", SKIRT, "-o", tmp_path, "--toile", "--have", "2 m").exit_code == 2
