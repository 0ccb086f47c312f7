"""The picture of a lay: the cloth running to the right, every piece in its place, named, measured, told apart.

Black on white, lines told apart by weight and dash, so that a photocopy still reads. Words stand inside their piece, or
a number does, and what it means is told below.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from onfold.drawing import Drawing, Stroke, Word
from onfold.geometry.hatching import Floats, broken, hatch, stretch_of_ring
from onfold.geometry.path import polyline
from onfold.lay.beside import Apart, set_apart
from onfold.lay.cloth_drawing import Stretch, bars, cloth_strokes, edge_words, ends_of, ruler
from onfold.lay.facts import LayFacts
from onfold.lay.labels import Block, Over, place_block
from onfold.lay.legend import foot_of
from onfold.lay.measured import spots_of
from onfold.lay.piece_drawing import Inked, bare_blocks, bared, ink_piece, label_blocks, tell_short
from onfold.lay.placed import Lay
from onfold.lay.signs import View, diamond, ruled
from onfold.lay.words import say_cloth
from onfold.lettering import frame_of
from onfold.units import plain

_MARGIN = 1.0


@dataclass(frozen=True, eq=False)
class Picture:
    """A stretch as it is drawn, and what its numbers stand for where a piece could not hold its words."""

    drawing: Drawing
    key: tuple[tuple[str, str], ...]


def letter_for(scale: float) -> float:
    """Return the capital height, mm, of the words in a picture at 1 : `scale`: 2 mm, larger near life size."""
    return min(max(12.0 / scale, 2.0), 12.0)


def draw_lay(lay: Lay, facts: LayFacts | None = None, scale: float = 1.0) -> Drawing:
    """Return the whole lay at 1 : `scale`, 1 being life size, with its scale bar, key and cautions below."""
    facts = facts or LayFacts()
    ends = ends_of(lay, facts)
    picture = draw_stretch(lay, facts, Stretch(View(scale, 0.0, max(ends.drawn, 1.0))))
    left, low, right, high = picture.drawing.box
    letter = letter_for(scale)
    wide = max(right - left, 90.0 * letter / 2.0)
    foot = foot_of(lay, facts, scale, picture.key, wide, letter, cautions=True)
    strokes, words = foot.at(left, low - letter)
    long = "" if facts.again else f", {facts.say(lay.length)} long"
    title = f"{plain(facts.title, 120) or 'Lay'}: {say_cloth(lay, facts)}{long}"
    box_all = (left, low - letter - foot.height, left + wide, high)
    return Drawing((*picture.drawing.strokes, *strokes), (*picture.drawing.words, *words), box_all, title)


def draw_stretch(
    lay: Lay, facts: LayFacts, stretch: Stretch, named: Iterable[int] | None = None, letter: float | None = None
) -> Picture:
    """Return one stretch of the cloth with all that lies on it, the squared end's near corner (or its own) at (0, 0).

    `named` are the places in `Lay.placed` whose words belong into this stretch (all by default); of the others only the
    number is set.
    """
    view, ends = stretch.view, ends_of(lay, facts)
    size = letter_for(view.scale) if letter is None else letter
    spots = spots_of(lay)
    full = {spot.index for spot in spots} if named is None else set(named)
    strokes = cloth_strokes(lay, stretch, ends, size)
    words: list[Word] = []
    for more, said in (edge_words(lay, facts, stretch, size), ruler(lay, facts, stretch, ends, size)):
        strokes, words = strokes + more, words + said
    marks = _matching(facts, view, size)
    kept = [stroke.path.curves[:, (0, 3)].reshape(-1, 2) for stroke in marks]
    inked = [found for spot in spots if (found := ink_piece(lay, spot, view, size, kept)) is not None]
    key: list[tuple[str, str]] = []
    apart: list[Apart] = []
    for each in inked:
        own = _label(lay, each, each.spot.index in full, size)
        if own is not None:
            words += own[0]
        elif each.spot.index in full:
            apart.append(Apart((str(each.spot.number),), each.middle, f"{each.spot.name} is {each.spot.number}"))
        if each.spot.index in full and (own is None or not own[1]):
            key.append((str(each.spot.number), tell_short(lay, each.spot)))
    flaws, flaw_words, unnamed = _flaws(lay, facts, view, size)
    words += flaw_words
    rings = [*(each.ring for each in inked), *(view.at(ring) for ring in lay.kept_off)]
    beside, leaders = set_apart(lay, view, [*apart, *unnamed], rings, words, size)
    words += beside
    frames = [frame for each in inked for frame in each.frames]
    left_over, left_words = _left(lay, facts, view, words, size)
    frames += [frame_of(word, 0.3 * size) for word in (*flaw_words, *beside, *left_words)]
    ground = _ground(lay, facts, stretch, frames, size)
    drawn = [stroke for each in inked for stroke in each.drawn(size)]
    every = (*ground, *left_over, *flaws, *strokes, *drawn, *marks, *leaders)
    all_words = (*words, *left_words)
    title = f"the lay from {facts.say(view.low)} to {facts.say(min(view.high, ends.drawn))}"
    drawing = Drawing(every, all_words, _box_of(every, all_words), title)
    return Picture(drawing, tuple(sorted(key, key=lambda row: int(row[0]))))


def _label(lay: Lay, each: Inked, full: bool, size: float) -> tuple[list[Word], bool] | None:
    """Return a piece's words where they fit, and whether they say all; the piece notes the frame around them."""
    blocks = label_blocks(lay, each.spot, size, full)
    placed = place_block(each.ring, [(block, over) for block, over, _ in blocks], each.lines, size * 0.12)
    if placed is not None:
        words, number = placed
        each.frames.append(_around(words, size * 0.35))
        return words, blocks[number][2]
    bare: list[tuple[Block, Over]] = [(block, "clear") for block in bare_blocks(each.spot, size)] if full else []
    placed = place_block(each.ring, bare, each.fixed, size * 0.08)
    if placed is None or not bared(each, _around(placed[0], 0.0), size):
        return None
    each.frames.append(_around(placed[0], size * 0.2))
    return placed[0], False


def _around(words: Sequence[Word], clear: float) -> Floats:
    """Return the turned frame round words of one angle."""
    turn = np.radians(words[0].angle)
    level = np.array(((np.cos(turn), -np.sin(turn)), (np.sin(turn), np.cos(turn))))
    flat = np.concatenate([frame_of(word) for word in words]) @ level
    (a, b), (c, d) = (flat.min(axis=0) - clear).tolist(), (flat.max(axis=0) + clear).tolist()
    corners: Floats = np.array(((a, b), (c, b), (c, d), (a, d))) @ level.T
    return corners


def _matching(facts: LayFacts, view: View, size: float) -> list[Stroke]:
    return [
        diamond(view.point(x, y), 0.55 * size, plain(name) or "where partners meet")
        for x, y, name in facts.matching
        if view.low <= x <= view.high
    ]


def _flaws(lay: Lay, facts: LayFacts, view: View, size: float) -> tuple[list[Stroke], list[Word], list[Apart]]:
    """Return flaws hatched both ways, the names of those that hold them, and those to be named beside."""
    strokes: list[Stroke] = []
    unnamed: list[Apart] = []
    words: list[Word] = []
    for number, whole in enumerate(lay.kept_off):
        part = stretch_of_ring(whole, view.low, view.high)
        if len(part) < 4:
            continue
        ring, name = view.at(part), facts.flaw(number)
        own = place_block(ring, [(Block(((name, False),), size), "clear")], (), size * 0.2)
        own_words = own[0] if own is not None else []
        frames = [_around(own_words, size * 0.3)] if own_words else []
        for angle in (45.0, -45.0):
            lines = broken(hatch([ring], angle, size * 0.6), frames, size * 0.2)
            strokes += ruled(lines, "furniture", "marks", name)
        strokes.append(Stroke(polyline(ring), "inner", "marks", closed=True, name=name))
        words += own_words
        if not own_words:
            x, y = ((ring.min(axis=0) + ring.max(axis=0)) / 2.0).tolist()
            unnamed.append(Apart((name,), (x, y), name))
    return strokes, words, unnamed


def _left(lay: Lay, facts: LayFacts, view: View, words: Sequence[Word], size: float) -> tuple[list[Stroke], list[Word]]:
    """Return the rectangles that are left, dotted, with their sizes; those too small to hold words are told alone."""
    strokes: list[Stroke] = []
    said: list[Word] = []
    inset = 0.35 * size
    for x, y, long, wide in facts.left:
        low, high = max(x, view.low), min(x + long, view.high)
        (ax, ay), (bx, by) = view.point(low, max(y, 0.0)), view.point(high, min(y + wide, lay.bed.high))
        ax, ay, bx, by = ax + inset, ay + inset, bx - inset, by - inset
        if min(bx - ax, by - ay) < size:
            continue
        ring = np.array(((ax, ay), (bx, ay), (bx, by), (ax, by), (ax, ay)))
        text = f"left: {facts.say(long)} × {facts.say(wide)}"
        blocks = [Block(((text, False),), size * 0.85), Block((("left:", False), (text[6:], False)), size * 0.85)]
        own = place_block(
            ring, [(block, "clear") for block in blocks], _in_the_way(lay, view, (*words, *said)), size * 0.2
        )
        if own is not None:
            frames = [frame_of(word, 0.3 * word.size) for word in words]
            edges = list(pairwise(tuple(each) for each in ring.tolist()))
            strokes += ruled(broken(edges, frames, 0.3 * size), "measure", "sheet", "left over")
            said += own[0]
    return strokes, said


def _in_the_way(lay: Lay, view: View, words: Sequence[Word]) -> list[Floats]:
    """Return the lines that words on the free cloth keep off: other words, and the end of the lay."""
    high = lay.bed.high
    frames = [frame_of(word, 0.3 * word.size) for word in words]
    rings = [np.concatenate([frame, frame[:1], frame[2:3], frame[1:2], frame[3:]]) for frame in frames]
    return [*rings, view.at(((lay.lies, 0.0), (lay.lies, high)))]


def _ground(lay: Lay, facts: LayFacts, stretch: Stretch, frames: Sequence[Floats], size: float) -> list[Stroke]:
    upright, level, _ = bars(lay, facts, stretch.view, size)
    lines = [*broken(upright, frames, size * 0.3), *broken(level, frames, size * 0.3)]
    return ruled(lines, "level", "levels", "repeat")


def _box_of(strokes: Sequence[Stroke], words: Sequence[Word]) -> tuple[float, float, float, float]:
    corners = [stroke.path.curves.reshape(-1, 2) for stroke in strokes] + [frame_of(word) for word in words]
    every = np.concatenate(corners)
    (a, b), (c, d) = (every.min(axis=0) - _MARGIN).tolist(), (every.max(axis=0) + _MARGIN).tolist()
    return a, b, c, d
