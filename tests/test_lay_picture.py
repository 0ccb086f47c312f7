"""A lay as the maker sees it: every piece named and within the cloth, what is told is what one measures, no words in
the way of others.

Lays come from a plain row-by-row placing here, so that nothing of this hangs on how good a lay the search finds.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

import numpy as np
import pytest
import shapely
from drafting import EXAMPLES

from onfold.cloth import Cloth, settle
from onfold.construction import CAUTIONS
from onfold.drawing import Drawing, Word
from onfold.lay.bed import FOLDS, Bed, Fold, bed_of
from onfold.lay.cloth_drawing import Stretch
from onfold.lay.facts import LayFacts
from onfold.lay.measured import spots_of
from onfold.lay.page import lay_pages
from onfold.lay.part import Part, parts_for
from onfold.lay.picture import draw_lay, draw_stretch
from onfold.lay.placed import Lay, Placed, faults_of
from onfold.lay.signs import View
from onfold.lay.words import CAUTION_LINES, answers_of, tell_lay, tell_spot
from onfold.lettering import width_of, wrapped
from onfold.pattern import Grain, Notch, Piece
from onfold.project import open_ticket
from onfold.units import System, say_length
from onfold.writers import font
from onfold.writers.pdf import Page, write_pdf
from onfold.writers.svg import write_svg

WIDTHS = (1150.0, 1400.0, 1500.0)
GARMENTS = ("alto-1-sheath", "soprano-2-skirt")


# Lays to look at


def in_rows(bed: Bed, parts: Sequence[Part], gap: float = 3.0) -> Lay | None:
    """Every part in turn as near the squared end as its row allows; None where one is too wide for every band."""
    placed: list[Placed] = []
    reach = [0.0] * len(bed.bands)
    column = [(0.0, band.low) for band in bed.bands]
    for part in sorted(parts, key=lambda each: (not each.on_fold, -float(np.ptp(each.ring[:, 1])))):
        best = None
        for way in part.ways:
            ring = part.ring @ way.matrix.T
            low, (long, wide) = ring.min(axis=0), np.ptp(ring, axis=0)
            for k, band in enumerate(bed.bands):
                if wide > band.room:
                    continue
                if part.on_fold:
                    inward = float(way.matrix[1, 0])
                    if not (inward < 0.0 and band.fold_high) and not (inward > 0.0 and band.fold_low):
                        continue
                    x, y = reach[k], (band.high if inward < 0.0 else band.low) + float(low[1])
                else:
                    x, y = column[k] if column[k][1] + wide <= band.high else (reach[k], band.low)
                if best is None or x < best[0]:
                    best = (x, y, k, way, low, float(long), float(wide))
        if best is None:
            return None
        x, y, k, way, low, long, wide = best
        placed.append(Placed(part, way, x - float(low[0]), y - float(low[1]), k))
        reach[k] = max(reach[k], x + long + gap)
        column[k] = (reach[k], bed.bands[k].low) if part.on_fold else (x, y + wide + gap)
    return Lay(bed, tuple(placed))


def piece(
    name: str, points: list[tuple[float, float]], cut: int = 1, kind: str = "straight", pair: bool = False
) -> Piece:
    ring = np.array([*points, points[0]], dtype=np.float64)
    (x0, y0), (x1, y1) = ring.min(axis=0), ring.max(axis=0)
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    ends = ((x - (x1 - x0) * 0.3, y), (x + (x1 - x0) * 0.3, y)) if kind == "cross" else ((x, y - 12), (x, y + 12))
    grain = Grain(kind, *ends)  # type: ignore[arg-type]
    notches = (Notch("edge", 0.0, points[1]),)
    return Piece(name, (), cut=cut, mirrored_pair=pair, grain=grain, cut_line=ring, notches=notches)


SMALL = [
    piece("pocket flap", [(0, 0), (140, 0), (150, 50), (70, 70), (-10, 50)], 4, pair=True),
    piece("left cuff", [(0, 0), (240, 0), (240, 70), (0, 70)], 4, pair=True),
    piece("belt loop", [(0, 0), (35, 0), (35, 90), (0, 90)], 7),
    piece("collar stand", [(0, 0), (180, 12), (210, 40), (200, 48), (90, 36), (0, 36)], 2, "cross"),
    piece("bias strip", [(0, 0), (40, 0), (40, 300), (0, 300)], 3, "bias"),
    piece("tab", [(0, 0), (50, 0), (60, 30), (50, 60), (0, 60)], 4, pair=True),
    piece("button", [(15 * math.cos(k * math.pi / 6), 15 * math.sin(k * math.pi / 6)) for k in range(12)], 6),
]
"""Thirty small parts, some no larger than a button."""


def lay_of(pieces: Sequence[Piece], fold: Fold, cloth: Cloth, whose: tuple[str, ...] = ("",)) -> Lay | None:
    bed = bed_of(cloth, fold)
    assert isinstance(bed, Bed), bed
    parts = parts_for(bed, [(name, pieces) for name in whose])
    lay = in_rows(bed, parts)
    assert lay is None or not faults_of(lay, parts)
    return lay


def small(fold: Fold = "none", width: float = 1150.0, **cloth: object) -> Lay:
    lay = lay_of(SMALL, fold, settle("woven", width, **cloth))  # type: ignore[arg-type]
    assert lay is not None
    return lay


@lru_cache
def pieces_of(garment: str) -> tuple[Piece, ...]:
    draft = open_ticket(EXAMPLES / f"{garment}.yaml").draft
    assert draft is not None
    return draft.pattern.pieces


@lru_cache
def all_lays() -> tuple[tuple[str, Lay], ...]:
    found = []
    for width in WIDTHS:
        cloth = settle("woven", width)
        for fold in FOLDS:
            for garment in GARMENTS:
                lay = lay_of(pieces_of(garment), fold, cloth)
                found += [(f"{garment}, {fold}, {width:g}", lay)] if lay is not None else []
            found.append((f"small parts, {fold}, {width:g}", small(fold, width)))
    return tuple(found)


def test_nearly_every_garment_lies_on_every_fold() -> None:
    assert len(all_lays()) >= 30


def facts_for(lay: Lay, units: System = "cm", **more: object) -> LayFacts:
    cloth = settle("woven", lay.bed.width, name="grey flannel")
    bought = math.ceil(lay.length / 100.0) * 100.0
    return replace(LayFacts("Concert clothes", ("alto-1",), "2026-10-05", units, cloth, cloth_length=bought), **more)  # type: ignore[arg-type]


# The words on the paper


def frame(word: Word) -> shapely.Polygon:
    """The rectangle from the foot of what hangs to the head of what stands, as wide as the face sets it."""
    wide = font.width_of(word.text, word.size, word.bold)
    left = {"start": 0.0, "middle": -wide / 2, "end": -wide}[word.anchor]
    box = shapely.box(left, -0.3 * word.size, left + wide, 1.0 * word.size)
    turned = shapely.affinity.rotate(box, word.angle, origin=(0, 0))
    return shapely.affinity.translate(turned, *word.at)


def crossings(drawing: Drawing) -> list[tuple[str, str]]:
    """Words that lie on other words."""
    frames = [frame(word) for word in drawing.words]
    tree = shapely.STRtree(frames)
    pairs = {(min(i, j), max(i, j)) for i, j in zip(*tree.query(frames, predicate="intersects"), strict=True) if i != j}
    return [(drawing.words[i].text, drawing.words[j].text) for i, j in pairs if frames[i].intersection(frames[j]).area]


def outlines(lay: Lay, view: View) -> list[shapely.Polygon]:
    strip = shapely.box(view.low, -1.0, view.high, lay.bed.high + 1.0)
    cut = [shapely.Polygon(ring).intersection(strip) for ring in lay.rings]
    return [
        shapely.affinity.affine_transform(each, (1 / view.scale, 0, 0, 1 / view.scale, -view.low / view.scale, 0))
        for each in cut
    ]


def on_cut_lines(lay: Lay, view: View, words: Sequence[Word]) -> list[str]:
    """Labels that cross the cut line of a piece: their own, or any other."""
    rings = [each for each in outlines(lay, view) if not each.is_empty]
    labels = [word for word in words if word.layer == "words"]
    lines = shapely.STRtree([each.boundary for each in rings])
    return [word.text for word in labels if len(lines.query(frame(word), predicate="intersects"))]


def scale_for(lay: Lay) -> float:
    return 8.0 if lay.lies < 1500.0 else 10.0


@pytest.mark.parametrize(("name", "lay"), all_lays(), ids=[name for name, _ in all_lays()])
def test_no_words_lie_on_words_or_on_a_cut_line(name: str, lay: Lay) -> None:
    view = View(scale_for(lay), 0.0, lay.lies + 50.0)
    picture = draw_stretch(lay, facts_for(lay), Stretch(view)).drawing
    assert not crossings(picture)
    assert not on_cut_lines(lay, view, picture.words)
    left, low, right, high = picture.box
    paper = shapely.box(left, low, right, high)
    assert all(paper.contains(frame(word)) for word in picture.words)


@pytest.mark.parametrize(("name", "lay"), all_lays()[::3], ids=[name for name, _ in all_lays()[::3]])
@pytest.mark.parametrize("paper", [(297.0, 210.0), (210.0, 297.0), (420.0, 297.0)])
def test_pages_hold_all_of_their_words_apart(name: str, lay: Lay, paper: tuple[float, float]) -> None:
    pages = lay_pages(lay, facts_for(lay, "in"), paper)
    for page in pages:
        assert page.box == (0.0, 0.0, *paper)
        assert not crossings(page)
        inside = shapely.box(8.0, 8.0, paper[0] - 8.0, paper[1] - 8.0)
        assert not [word.text for word in page.words if not inside.contains(frame(word))]
        for stroke in page.strokes:
            assert (
                stroke.path.curves.min() >= 8.0 and (stroke.path.curves.max(axis=(0, 1)) <= np.array(paper) - 8.0).all()
            )


def test_words_that_lie_on_words_would_be_found() -> None:
    words = (Word("front", (0.0, 0.0), 3.0), Word("back", (5.0, 1.0), 3.0))
    assert crossings(Drawing((), words, (0.0, 0.0, 9.0, 9.0)))
    lay = small()
    view = View(8.0, 0.0, 400.0)
    at = view.point(*lay.rings[0][0].tolist())
    assert on_cut_lines(lay, view, [Word("front", at, 3.0, 0.0, "middle")]) == ["front"]


def test_widths_are_those_of_the_face() -> None:
    # The widths are kept as a table where no face may be read: [A] the face's own advances, to a thousandth.
    for bold in (False, True):
        for char in map(chr, range(32, 127)):
            assert width_of(char, 1.0, bold) == pytest.approx(font.width_of(char, 1.0, bold), abs=6e-4)
        for text in ("Schärpe", "plastron à revers", "Äµ漢", "Ω–→½", "ﬃ"):
            assert width_of(text, 2.0, bold) >= font.width_of(text, 2.0, bold) - 2e-3 * len(text)


# What is on the picture


@pytest.mark.parametrize(("name", "lay"), all_lays(), ids=[name for name, _ in all_lays()])
def test_every_piece_is_named_and_within_the_cloth(name: str, lay: Lay) -> None:
    view = View(scale_for(lay), 0.0, lay.lies + 50.0)
    picture = draw_stretch(lay, facts_for(lay), Stretch(view))
    key = dict(picture.key)
    texts = [word.text for word in picture.drawing.words if word.layer == "words"]
    for spot in spots_of(lay):
        number, own = str(spot.number), spot.placed.part.piece
        assert [text for text in texts if text.split()[0].rstrip(",") == number], spot.name
        if number in key:
            assert key[number].startswith(own)
        else:
            assert all(any(word in text for text in texts) for word in own.split())
    cut = [stroke for stroke in picture.drawing.strokes if stroke.layer == "cut lines"]
    assert {stroke.name for stroke in cut} == {f"{spot.name} cut line" for spot in spots_of(lay)}
    points = np.concatenate([stroke.path.curves.reshape(-1, 2) for stroke in cut]) * view.scale
    assert points.min() >= -1e-6
    assert points[:, 0].max() <= lay.lies + 1e-6 and points[:, 1].max() <= lay.bed.high + 1e-6


@pytest.mark.parametrize(("fold", "pieces"), [("lengthwise", "alto-1-sheath"), ("none", "")])
def test_cut_lines_are_drawn_whole_and_to_scale(fold: Fold, pieces: str) -> None:
    # [A] what is drawn of all cut lines in all stretches is as long as the cut lines, folds left out, at the scale.
    lay = lay_of(pieces_of(pieces) if pieces else SMALL, fold, settle("woven", 1500.0))
    assert lay is not None
    third = lay.lies / 3.0
    bounds = [(0.0, third), (third, 2 * third), (2 * third, lay.lies)]
    drawn = 0.0
    for low, high in bounds:
        for stroke in draw_stretch(lay, facts_for(lay), Stretch(View(10.0, low, high), "A", "B"), ()).drawing.strokes:
            if stroke.layer == "cut lines":
                steps = np.diff(stroke.path.curves[:, (0, 3)], axis=1)[:, 0]
                drawn += float(np.hypot(*steps.T).sum())
    wanted = sum(shapely.LineString(ring).length for ring in lay.rings)
    for each, ring in zip(lay.placed, lay.rings, strict=True):
        if each.part.on_fold:
            wanted -= float(np.ptp(ring[np.abs(each.part.ring[:, 0]) < 0.05][:, 0]))
    assert drawn * 10.0 == pytest.approx(wanted, rel=1e-4)


def names_of(lay: Lay, facts: LayFacts) -> list[str]:
    stretch = Stretch(View(8.0, 0.0, lay.lies + 50.0))
    return [stroke.name for stroke in draw_stretch(lay, facts, stretch).drawing.strokes]


@pytest.mark.parametrize("nap", ["none", "up", "down"])
def test_nap_is_marked_exactly_where_there_is_one(nap: str) -> None:
    lay = small(nap=nap)
    facts = replace(facts_for(lay), cloth=settle("woven", 1150.0, nap=nap))  # type: ignore[arg-type]
    picture = draw_stretch(lay, facts, Stretch(View(8.0, 0.0, lay.lies + 50.0))).drawing
    tops = [stroke.name for stroke in picture.strokes if stroke.name.startswith("top of ")]
    texts = [word.text for word in picture.words]
    told = " ".join(line for section in tell_lay(lay, facts) for line in section.lines)
    assert sorted(tops) == sorted(f"top of {spot.name}" for spot in spots_of(lay) if nap != "none")
    assert ("all tops" in texts, "nap" in texts) == (nap != "none", nap != "none")
    assert ("All tops to the same end" in told) == (nap != "none")
    if nap != "none":
        arrow = next(stroke for stroke in picture.strokes if stroke.name == "nap").path.curves
        assert (arrow[-1, 3, 0] > arrow[0, 0, 0]) == (nap == "up")


@pytest.mark.parametrize("fold", FOLDS)
def test_turned_over_and_cut_singly_are_marked_exactly_where_they_are(fold: Fold) -> None:
    lay = small(fold)
    facts = facts_for(lay)
    picture = draw_stretch(lay, facts, Stretch(View(8.0, 0.0, lay.lies + 50.0)))
    hatched = {stroke.name for stroke in picture.drawing.strokes if stroke.name.endswith(" turned over")}
    over = {spot.name for spot in spots_of(lay) if spot.placed.way.face == "down"}
    single = {spot.number for spot in spots_of(lay) if lay.bed.layers == 2 and spot.placed.part.layers == 1}
    assert hatched == {f"{name} turned over" for name in over}
    lines = {spot.number: tell_spot(lay, spot, facts) for spot in spots_of(lay)}
    assert {spot.name for spot in spots_of(lay) if "turned over" in lines[spot.number]} == over
    assert {number for number, line in lines.items() if "cut singly" in line} == single
    key = {int(number): text for number, text in picture.key}
    assert {number for number, text in key.items() if "cut singly" in text} == single & key.keys()
    labels = [word.text for word in picture.drawing.words if word.layer == "words"]
    assert sum("cut singly" in text for text in labels) == len(single - key.keys())


def test_flaws_repeats_and_matching_points_are_drawn() -> None:
    lay = small()
    ring = np.array(((100.0, 900.0), (300.0, 900.0), (300.0, 1100.0), (100.0, 1100.0), (100.0, 900.0)))
    flawed = replace(lay, kept_off=(ring,))
    cloth = settle("woven", 1150.0, repeat_along=80.0, repeat_across=60.0)
    facts = facts_for(lay, flaws=("moth hole",), matching=((60.0, 70.0, "side seam"),), phase=(25.0, 10.0))
    drawn = names_of(flawed, replace(facts, cloth=cloth))
    assert {"moth hole", "side seam", "repeat"} <= set(drawn)
    assert not {"moth hole", "side seam", "repeat"} & set(names_of(lay, facts_for(lay)))
    picture = draw_stretch(lay, replace(facts, cloth=cloth), Stretch(View(8.0, 0.0, 400.0))).drawing
    bars = [stroke.path.curves for stroke in picture.strokes if stroke.pen == "level"]
    xs = {round(float(bar[0, 0, 0]) * 8.0, 3) for bar in bars if abs(bar[0, 0, 0] - bar[-1, 3, 0]) < 1e-9}
    # [A] bars across lie a repeat apart, the first at the phase.
    assert xs == {25.0, 105.0, 185.0, 265.0, 345.0}


# What is told


def side_of(lay: Lay, name: str) -> float:
    """How far across the cloth a named edge lies, mm."""
    high, middle = lay.bed.high, lay.bed.high / 2.0
    if name == "selvages":
        return 0.0 if lay.bed.fold == "lengthwise" else middle
    return high if name == "fold" or name.startswith("far ") else 0.0


def on_the_cloth(each: Placed, point: tuple[float, float]) -> tuple[float, float]:
    """A point of a piece's frame where it lies: turned by the way's spin, mirrored across the cloth when face down."""
    c, s = math.cos(math.radians(each.way.spin)), math.sin(math.radians(each.way.spin))
    x, y = c * point[0] - s * point[1], s * point[0] + c * point[1]
    return each.x + x, each.y + (-y if each.way.face == "down" else y)


GRAIN = re.compile(
    r"grain line (?P<first>.+?) from the (?P<side>.+?) at (?:both ends|its foot and (?P<second>.+?) at its head)"
    r"(?:, (?P<near>.+?) from the end at (?:both ends|its foot and (?P<far>.+?) at its head))?;"
)


def told(lay: Lay, facts: LayFacts) -> Iterator[tuple[str, Placed]]:
    section = next(each for each in tell_lay(lay, facts) if each.heading == "The pieces in their order")
    for mark, line, spot in zip(section.marks, section.lines, spots_of(lay), strict=True):
        assert mark == str(spot.number)
        yield line, lay.placed[spot.index]


@pytest.mark.parametrize("units", ["cm", "in"])
@pytest.mark.parametrize(("name", "lay"), all_lays(), ids=[name for name, _ in all_lays()])
def test_what_is_told_is_what_one_measures(name: str, lay: Lay, units: System) -> None:
    # [A] both ends of the grain line, carried onto the cloth by sine and cosine here, measured to the edge named.
    for line, each in told(lay, facts_for(lay, units)):
        grain = each.part.source.grain
        found = GRAIN.search(line)
        assert grain is not None and found is not None, line
        foot, head = on_the_cloth(each, grain.start), on_the_cloth(each, grain.end)
        y = side_of(lay, found["side"])
        assert found["first"] == say_length(abs(foot[1] - y), units), line
        assert (found["second"] or found["first"]) == say_length(abs(head[1] - y), units), line
        slant = grain.kind != "straight"
        assert (found["near"] is not None) == slant
        if slant:
            assert found["near"] == say_length(foot[0], units), line
            assert (found["far"] or found["near"]) == say_length(head[0], units), line
        nearest = min(on_the_cloth(each, (x, v))[0] for x, v in each.part.ring.tolist())
        said = say_length(nearest + 0.0, units)
        end = "nearest point at the end" if abs(nearest) < 0.4 else f"nearest point {said} from the end of the cloth"
        assert end in line, (line, nearest)


@pytest.mark.parametrize("fold", FOLDS)
def test_the_edge_named_is_the_nearest_one_and_fold_pieces_come_first(fold: Fold) -> None:
    lay = lay_of(pieces_of("alto-1-sheath"), fold, settle("woven", 1500.0))
    assert lay is not None
    folded = [lay.placed[spot.index].part.on_fold for spot in spots_of(lay)]
    assert folded == sorted(folded, reverse=True)
    rest = [spot.nearest for spot in spots_of(lay) if not lay.placed[spot.index].part.on_fold]
    assert all(b >= a - 0.5 for a, b in pairwise(rest))
    for spot in spots_of(lay):
        if spot.placed.part.on_fold:
            assert "fold" in spot.side.name
            continue
        assert spot.foot is not None and spot.head is not None
        band = lay.bed.bands[spot.placed.band]
        middle = (spot.foot[1] + spot.head[1]) / 2.0
        assert abs(spot.side.y - middle) <= band.room / 2.0 + 11.0


@pytest.mark.parametrize(
    ("fold", "cloth", "wanted"),
    [
        ("none", {}, ("in one layer, right side up",)),
        ("lengthwise", {}, ("right sides together, selvage to selvage", "75 cm from the selvages")),
        ("both edges to the middle", {}, ("both edges in to the middle", "37.5 cm from the selvages")),
        ("crosswise", {}, ("Fold the cloth crosswise, right sides together",)),
        ("crosswise", {"nap": "up"}, ("two lengths", "turn the upper one end for end", "points to the tops")),
        (
            "none",
            {"surface": ("pile",), "nap": "down"},
            ("one layer, wrong side up", "Chalk an arrow", "bolt's crease"),
        ),
        ("none", {"surface": ("slippery",)}, ("tissue", "weights", "fewer layers")),
        ("none", {"repeat_along": 60.0}, ("set each piece on its bar",)),
    ],
)
def test_the_cloth_is_laid_out_in_words(fold: Fold, cloth: dict[str, object], wanted: tuple[str, ...]) -> None:
    # Pile in one layer, wrong side up, an arrow on each piece's back, off the bolt's crease: T186 [C]; the rest [C].
    lay = small(fold, 1500.0, **cloth)
    facts = replace(facts_for(lay), cloth=settle("woven", 1500.0, **cloth))  # type: ignore[arg-type]
    said = " ".join(line for section in tell_lay(lay, facts) for line in section.lines)
    assert all(text in said for text in wanted), said
    if not cloth:
        assert "nap" not in said and "pile" not in said.lower()


def test_cautions_stand_on_every_output() -> None:
    lay = small()
    assert CAUTIONS["blades"] in CAUTION_LINES[1] and CAUTIONS["bin"] in CAUTION_LINES[2]
    assert tell_lay(lay, LayFacts())[-1].lines == CAUTION_LINES
    for words in (draw_lay(lay, scale=10.0).words, draw_lay(lay).words):
        said = " ".join(word.text for word in words)
        assert all(line in said for line in CAUTION_LINES)
    for paper in ((297.0, 210.0), (210.0, 297.0)):
        text = "".join(word.text for page in lay_pages(lay, LayFacts(), paper) for word in page.words)
        text = text.replace(" ", "").replace("–", "")
        assert all(line.split(":")[0].replace(" ", "") in text for line in CAUTION_LINES)
        assert text.count("trainedpractice") == 1


# The pages


def test_pages_are_written_unscaled_and_the_cloth_measures_right() -> None:
    lay = lay_of(pieces_of("soprano-2-skirt"), "lengthwise", settle("woven", 1400.0))
    assert lay is not None
    pages = lay_pages(lay, facts_for(lay))
    scale = next(float(word.text.split("1 : ")[1]) for word in pages[0].words if "1 : " in word.text)
    ends = [stroke for stroke in pages[0].strokes if stroke.name == "squared end"]
    # [A] the squared end is as long as the folded cloth is wide.
    assert float(np.ptp(ends[0].path.curves[:, :, 1])) * scale == pytest.approx(lay.bed.high, abs=1e-6)
    data = write_pdf([Page(*page.size, own=page) for page in pages], title="lay")
    assert data.startswith(b"%PDF") and data == write_pdf([Page(*page.size, own=page) for page in pages], title="lay")
    assert "squared end" in write_svg(draw_lay(lay, facts_for(lay), 10.0))


def test_a_long_lay_goes_on_in_stretches_that_miss_nothing() -> None:
    lay = lay_of(SMALL, "lengthwise", settle("woven", 1150.0), tuple(f"alto-{k}" for k in range(1, 10)))
    assert lay is not None and lay.lies > 3000.0
    pages = lay_pages(lay, facts_for(lay))
    letters = [word.text for page in pages for word in page.words if word.bold and word.text in ("A", "B", "C")]
    assert letters.count("A") == 2
    named = {stroke.name for page in pages for stroke in page.strokes if stroke.layer == "cut lines"}
    assert named == {f"{spot.name} cut line" for spot in spots_of(lay)}
    for page in pages:
        assert not crossings(page)


def test_the_page_says_nothing_of_the_search() -> None:
    for page in lay_pages(small(), LayFacts()):
        said = " ".join(word.text for word in page.words)
        assert "seed" not in said and "trials" not in said and "laid by" not in said


def test_what_to_buy_and_its_sum_stand_in_rows_of_their_own() -> None:
    buy = ("Buy 1.5 m of 150 cm cloth.", "In it: 138 cm for the lay, 5 cm to square both ends.")
    rows = dict(answers_of(small(), LayFacts(buy=buy)))
    assert rows["buy"] == "1.5 m of 150 cm cloth." and rows["in it"].startswith("138 cm for the lay")
    assert dict(answers_of(small(), LayFacts(buy=("You have 1.5 m: it does; 38 cm over.",))))["have"].startswith(
        "You have"
    )


def test_what_nobody_prepared_still_fits_the_page() -> None:
    odd = [replace(each, name=f"{each.name} " + "漢字 <&> " * 12) for each in SMALL[:3]]
    odd.append(replace(SMALL[3], name="W" * 200))
    lay = lay_of(odd, "none", settle("woven", 1150.0), ("a" * 90, "\x1b[31m"))
    assert lay is not None
    facts = facts_for(
        lay,
        title="A title " * 60,
        wearers=tuple(f"alto-{k}" for k in range(60)),
        buy=("Buy " + "much " * 60,),
        cost="9" * 150,
        left=((10.0, 10.0, 5.0, 5.0), (0.0, 0.0, 9e4, 9e4)),
        other_widths=tuple(("115 cm", "folded lengthwise", "120 cm", "1.3 m") for _ in range(50)),
        not_taped=("waist",),
        cloth_length=1e6,
    )
    for page in lay_pages(lay, facts):
        assert not crossings(page)
        inside = shapely.box(5.0, 5.0, 292.0, 205.0)
        assert not [word.text for word in page.words if not inside.contains(frame(word))]
    assert lay_pages(Lay(lay.bed, ()), LayFacts())


def test_no_two_pieces_share_a_number() -> None:
    for _, lay in all_lays():
        spots = spots_of(lay)
        assert [spot.number for spot in spots] == list(range(1, len(lay.placed) + 1))
        assert sorted(spot.index for spot in spots) == list(range(len(lay.placed)))


def test_a_piece_without_a_grain_line_is_measured_from_its_edge() -> None:
    lay = lay_of([replace(SMALL[1], grain=None, cut=1, mirrored_pair=False)], "none", settle("woven", 1150.0))
    assert lay is not None
    (line, each), *_ = told(lay, facts_for(lay))
    low, high = float(each.ring[:, 1].min()), lay.bed.high - float(each.ring[:, 1].max())
    side = "near selvage" if low <= high else "far selvage"
    assert f"its edge {say_length(min(low, high))} from the {side}" in line
    assert not [stroke for stroke in draw_lay(lay, scale=8.0).strokes if stroke.layer == "grain lines"]


@pytest.mark.parametrize("width", [20.0, 30.0, 45.0, 60.0, 90.0])
def test_a_length_is_never_broken_over_two_lines(width: float) -> None:
    text = "nearest point 31 5/8 in from the end, 117.3 cm along, 2 1/4 yd to buy, 12.5 % left"
    lines = wrapped(text, width, 2.0)
    assert " ".join(lines) == text
    for length in ("31 5/8 in", "117.3 cm", "2 1/4 yd", "12.5 %"):
        assert sum(length in line for line in lines) == 1
    assert all(font.width_of(line, 2.0) <= width + 0.01 for line in lines)
