"""The picture of a lay: the cloth running to the right, every piece in its place, named, measured, told apart.

Black on white, lines told apart by weight and dash, so that a photocopy still reads. Words stand inside their piece, or
a number does, and what it means is told below.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from onfold.drawing import Drawing, Stroke, Word
from onfold.geometry.path import line, polyline
from onfold.lay.cloth_drawing import Ends, Stretch, bars, cloth_strokes, edge_words, ends_of, ruler
from onfold.lay.facts import LayFacts
from onfold.lay.hatching import Floats, broken, hatch, stretch_of_ring
from onfold.lay.labels import Block, Room, place_block
from onfold.lay.legend import foot_of
from onfold.lay.lettering import frame_of
from onfold.lay.measured import Spot, spots_of
from onfold.lay.piece_drawing import Inked, ink_piece, label_blocks, tell_short
from onfold.lay.placed import Lay
from onfold.lay.signs import View, box, diamond, ruled
from onfold.lay.words import say_cloth
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
    title = f"{plain(facts.title, 120) or 'Lay'}: {say_cloth(lay, facts)}, {facts.say(lay.length)} long"
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
    inked = [found for spot in spots if (found := ink_piece(lay, spot, view, size)) is not None]
    frames: list[Floats] = []
    key: list[tuple[str, str]] = []
    homeless: list[Inked] = []
    for each in inked:
        own = _label(lay, each, each.spot.index in full, size)
        if own is None:
            homeless += [each] if each.spot.index in full else []
            continue
        said, frame, whole = own
        words, frames = words + said, [*frames, frame]
        each.frames.append(frame)
        if not whole and each.spot.index in full:
            key.append((str(each.spot.number), tell_short(lay, each.spot)))
    flaws, flaw_words = _flaws(lay, facts, view, size)
    words += flaw_words
    beside, leaders = _outside(lay, homeless, inked, (*words, *flaw_words), view, size)
    words += beside
    key += [(str(each.spot.number), tell_short(lay, each.spot)) for each in homeless]
    frames += [frame_of(word, 0.3 * size) for word in (*flaw_words, *beside)]
    ground = _ground(lay, facts, stretch, frames, size)
    drawn = [stroke for each in inked for stroke in each.drawn(size)]
    marks = [
        diamond(view.point(x, y), 0.55 * size, plain(name) or "where partners meet")
        for x, y, name in facts.matching
        if view.low <= x <= view.high
    ]
    left_over, left_words = _left(lay, facts, view, inked, (*words, *flaw_words), size)
    every = (*ground, *left_over, *flaws, *strokes, *drawn, *marks, *leaders)
    all_words = (*words, *left_words)
    title = f"the lay from {facts.say(view.low)} to {facts.say(min(view.high, ends.drawn))}"
    drawing = Drawing(every, all_words, _box_of(every, all_words), title)
    return Picture(drawing, tuple(sorted(key, key=lambda row: int(row[0]))))


def _label(lay: Lay, each: Inked, full: bool, size: float) -> tuple[list[Word], Floats, bool] | None:
    """Return a piece's words where they fit, the frame around them, and whether they say all."""
    blocks = label_blocks(lay, each.spot, size, full)
    placed = place_block(each.ring, [(block, over) for block, over, _ in blocks], each.lines, size * 0.2)
    if placed is None:
        return None
    words, number = placed
    return words, _around(words, size * 0.35), blocks[number][2]


def _around(words: Sequence[Word], clear: float) -> Floats:
    """Return the turned frame round words of one angle."""
    turn = np.radians(words[0].angle)
    level = np.array(((np.cos(turn), -np.sin(turn)), (np.sin(turn), np.cos(turn))))
    flat = np.concatenate([frame_of(word) for word in words]) @ level
    (a, b), (c, d) = (flat.min(axis=0) - clear).tolist(), (flat.max(axis=0) + clear).tolist()
    corners: Floats = np.array(((a, b), (c, b), (c, d), (a, d))) @ level.T
    return corners


def _free_room(lay: Lay, view: View, inked: Sequence[Inked], words: Sequence[Word], size: float) -> Room:
    """Return the room on the cloth that no piece, flaw or word takes up."""
    high = lay.bed.high / view.scale
    corners = np.array(((0.0, 0.0), (view.wide, 0.0), (view.wide, high), (0.0, high), (0.0, 0.0)))
    room = Room(corners, 0.0, size * 0.25)
    room.keep_within(corners)
    for each in inked:
        room.keep_out(each.ring)
    for ring in lay.kept_off:
        room.keep_out(view.at(ring))
    for word in words:
        room.take_frame(frame_of(word, 0.3 * size))
    return room


def _outside(
    lay: Lay, homeless: Sequence[Inked], inked: Sequence[Inked], words: Sequence[Word], view: View, size: float
) -> tuple[list[Word], list[Stroke]]:
    """Return the numbers of pieces too small to hold one, in the nearest free cloth, each with a thin leader."""
    if not homeless:
        return [], []
    room = _free_room(lay, view, inked, words, size)
    above = [word.at[1] for word in words]
    found: list[Word] = []
    leaders: list[Stroke] = []
    spill = max([lay.bed.high / view.scale, *above]) + size * 2.4
    across = 0.0
    for each in homeless:
        block = label_blocks(lay, each.spot, size, False)[-1][0]
        touch = each.middle
        spot = room.place(*block.sides, 0.4 * size, touch)
        if spot is None:
            across = max(across, touch[0])
            spot = (across, spill)
            across += block.sides[0] + size * 1.2
        own = block.at(spot, 0.0)
        for word in own:
            room.take_frame(frame_of(word, 0.3 * size))
        found += own
        edge = _toward(frame_of(own[0], 0.25 * size), touch)
        leaders.append(Stroke(line(edge, touch), "furniture", "words", name=f"{each.spot.name} is {each.spot.number}"))
    return found, leaders


def _toward(frame: Floats, touch: tuple[float, float]) -> tuple[float, float]:
    """Return the point of an upright frame nearest to another point."""
    low, high = frame.min(axis=0), frame.max(axis=0)
    x, y = np.clip(np.array(touch), low, high).tolist()
    return x, y


def _flaws(lay: Lay, facts: LayFacts, view: View, size: float) -> tuple[list[Stroke], list[Word]]:
    strokes: list[Stroke] = []
    words: list[Word] = []
    for number, whole in enumerate(lay.kept_off):
        part = stretch_of_ring(whole, view.low, view.high)
        if len(part) < 4:
            continue
        ring, name = view.at(part), facts.flaw(number)
        own = place_block(ring, [(Block(((name, False),), size), False)], (), size * 0.2)
        own_words = own[0] if own is not None else []
        frames = [_around(own_words, size * 0.3)] if own_words else []
        for angle in (45.0, -45.0):
            lines = broken(hatch([ring], angle, size * 0.6), frames, size * 0.2)
            strokes += ruled(lines, "furniture", "marks", name)
        strokes.append(Stroke(polyline(ring), "inner", "marks", closed=True, name=name))
        words += own_words
    return strokes, words


def _left(
    lay: Lay, facts: LayFacts, view: View, inked: Sequence[Inked], words: Sequence[Word], size: float
) -> tuple[list[Stroke], list[Word]]:
    """Return the rectangles that are left, dotted, each with its size where there is room."""
    strokes: list[Stroke] = []
    said: list[Word] = []
    for x, y, long, wide in facts.left:
        low, high = max(x, view.low), min(x + long, view.high)
        if high - low < 1.0:
            continue
        a, b = view.point(low, y), view.point(high, y + wide)
        strokes.append(box(a, b, "measure", "sheet", "left over"))
        room = _free_room(lay, view, inked, (*words, *said), size)
        text = f"left: {facts.say(long)} × {facts.say(wide)}"
        middle = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
        block = Block(((text, False),), size * 0.85)
        inner = np.array(((a[0], a[1]), (b[0], a[1]), (b[0], b[1]), (a[0], b[1]), (a[0], a[1])))
        room.keep_within(inner)
        spot = room.place(*block.sides, 0.4 * size, middle)
        if spot is not None:
            said += block.at(spot, 0.0)
    return strokes, said


def _ground(lay: Lay, facts: LayFacts, stretch: Stretch, frames: Sequence[Floats], size: float) -> list[Stroke]:
    upright, level, _ = bars(lay, facts, stretch.view, size)
    lines = [*broken(upright, frames, size * 0.3), *broken(level, frames, size * 0.3)]
    return ruled(lines, "level", "levels", "repeat")


def _box_of(strokes: Sequence[Stroke], words: Sequence[Word]) -> tuple[float, float, float, float]:
    corners = [stroke.path.curves.reshape(-1, 2) for stroke in strokes] + [frame_of(word) for word in words]
    every = np.concatenate(corners)
    (a, b), (c, d) = (every.min(axis=0) - _MARGIN).tolist(), (every.max(axis=0) + _MARGIN).tolist()
    return a, b, c, d


__all__ = ["Ends", "Picture", "Spot", "draw_lay", "draw_stretch", "letter_for"]
