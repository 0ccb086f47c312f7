"""What a cutter must read lies whole on one tile: a name cut through by a joint is pasted askew and misread."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

from onfold import open_ticket
from onfold.drawing import PENS, Word
from onfold.geometry.path import length
from onfold.lettering import frame_of
from onfold.project import Garment
from onfold.project_files import sheet_facts
from onfold.sheets import PAPERS, SheetFacts, Tiles, read_paper, tile
from onfold.sheets.grid import Grid
from onfold.sheets.piece_drawing import draw_piece
from tests.synthetic import skirt

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
PATTERNS = ("alto-1-sheath", "soprano-2-skirt", "alto-3-velvet-sheath", "tenor-1-skirt")


@lru_cache
def garment(name: str) -> Garment:
    return open_ticket(EXAMPLES / f"{name}.yaml")


@lru_cache
def tiled(name: str, paper: str) -> Tiles:
    made = garment(name)
    assert made.draft is not None
    return tile(made.draft.pattern, replace(sheet_facts(made), paper=read_paper(paper)))


def crosses(word: Word, grid: Grid) -> bool:
    """Whether a joint runs through the word: where the next tile's edge is laid on this one."""
    corners = frame_of(word)
    (left, low), (right, high) = corners.min(axis=0), corners.max(axis=0)
    across = grid.left + np.arange(1, grid.columns) * grid.step[0]
    down = grid.top - np.arange(1, grid.rows) * grid.step[1]
    return bool(((across > left) & (across < right)).any() or ((down > low) & (down < high)).any())


@pytest.mark.parametrize("paper", [*PAPERS, "roll 91 cm", "roll 30 cm"])
@pytest.mark.parametrize("name", PATTERNS)
def test_each_piece_has_its_name_and_cut_count_whole_on_one_tile(name: str, paper: str) -> None:
    tiles, made = tiled(name, paper), garment(name)
    assert made.draft is not None
    every = [word for word in tiles.sheet.words if word.size >= 2.0]
    counts = [word for word in every if word.text.startswith("cut ") or " · cut " in word.text]
    for piece in made.draft.pattern.pieces:
        named = [word for word in tiles.sheet.words if word.bold and word.text == piece.name]
        named += [word for word in tiles.sheet.words if word.text.startswith(f"{piece.name} · ")]
        assert named, piece.name
        assert not any(crosses(word, tiles.grid) for word in named), piece.name
    assert len(counts) >= len(made.draft.pattern.pieces)
    assert not any(crosses(word, tiles.grid) for word in counts)


@pytest.mark.parametrize("paper", ["a4", "letter", "a3"])
@pytest.mark.parametrize("name", PATTERNS)
def test_edges_levels_and_marks_are_named_off_the_joints_too(name: str, paper: str) -> None:
    """Few words have no other place: a strap's or a band's whole length lies along a joint."""
    tiles = tiled(name, paper)
    words = [word for word in tiles.sheet.words if word.layer == "words"]
    cut_through = [word.text for word in words if crosses(word, tiles.grid)]
    assert len(cut_through) <= 0.06 * len(words), cut_through


def test_what_was_not_taped_is_said_smaller_than_what_is_cut() -> None:
    pattern = skirt()
    drawings = [draw_piece(piece, pattern, SheetFacts()) for piece in pattern.pieces]
    for words in (drawing.words for drawing in drawings):
        small = [word.size for word in words if word.text.startswith("not taped")]
        assert small
        assert max(small) < min(word.size for word in words if "cut " in word.text)


def test_the_law_can_fail() -> None:
    grid = Grid((210.0, 297.0), 190.0, 277.0, 10.0, 0.0, 0.0, 2, 2, ())
    assert crosses(Word("front", (175.0, -20.0), 7.0), grid)
    assert not crosses(Word("front", (20.0, -20.0), 7.0), grid)


@pytest.mark.parametrize("name", [*PATTERNS, "alto-5-skirt", "soprano-4-sheath"])
@pytest.mark.parametrize("paper", ["roll 36 in", "roll 91 cm", "roll 60 cm"])
def test_a_roll_is_one_length_without_a_joint(name: str, paper: str) -> None:
    """Every piece here is narrower than 60 cm one way or the other, so none has to be pasted."""
    tiles = tiled(name, paper)
    assert tiles.grid.tiles == ((0, 0),)
    assert len(tiles.pages) == tiles.covers + 1
    roll = read_paper(paper)
    assert tiles.pages[-1].width == roll.width  # type: ignore[union-attr]
    cut = [line for line in tiles.sheet.strokes if line.layer == "cut lines"]
    points = np.concatenate([line.path.curves.reshape(-1, 2) for line in cut])
    assert np.ptp(points[:, 0]) <= roll.width  # type: ignore[union-attr]


def test_a_piece_turned_on_the_roll_is_the_same_piece() -> None:
    """Every line of the waistband has its length, and its grain runs up the roll."""
    lying = [line for line in tiled("alto-5-skirt", "a0").sheet.strokes if line.name.endswith(" of waistband")]
    turned = [line for line in tiled("alto-5-skirt", "roll 36 in").sheet.strokes if line.name.endswith(" of waistband")]
    lengths = [{line.name: round(length(line.path), 3) for line in each} for each in (lying, turned)]
    assert lengths[0] == lengths[1]
    (grain,) = [line for line in turned if line.name.startswith("grain")]
    assert abs(grain.path.curves[0, 0, 0] - grain.path.curves[-1, 3, 0]) < 1e-9


@pytest.mark.parametrize("paper", ["a4", "a0", "roll 91 cm"])
@pytest.mark.parametrize("name", PATTERNS)
def test_every_mark_has_its_name(name: str, paper: str) -> None:
    """The guide says to mark 'strap front': the sheet must show which mark that is."""
    tiles, made = tiled(name, paper), garment(name)
    assert made.draft is not None
    said = {word.text for word in tiles.sheet.words}
    wanted = {mark.name or mark.kind for piece in made.draft.pattern.pieces for mark in piece.marks}
    assert wanted <= said


@pytest.mark.parametrize("name", PATTERNS)
def test_a_level_that_is_an_edge_is_drawn_once(name: str) -> None:
    lines = [line.name for line in tiled(name, "a4").sheet.strokes]
    assert not [each for each in lines if each.startswith("hem level of")]
    assert any(each.startswith("hem of") for each in lines)


def test_an_inlay_is_not_drawn_like_a_seam_on_the_pieces_and_in_the_key() -> None:
    """Told apart by weight and dash: dots stand as far apart as they are thin, dashes are at least twice as long."""
    dots, seam, level = PENS["dots"], PENS["seam"], PENS["level"]
    assert dots.dash[0] <= dots.width < seam.dash[0] / 4
    assert dots.width > 3 * level.width
    sheet = tile(skirt(), SheetFacts(paper=PAPERS["a0"])).sheet
    key = {line.pen for line in sheet.strokes if np.ptp(line.path.curves[..., 0]) == pytest.approx(13.0)}
    assert {"dots", "seam", "level"} <= key
