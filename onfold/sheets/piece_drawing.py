"""One piece as it is printed: its lines, its words, and the label that says what it is and how often it is cut."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap

import numpy as np

from onfold.drawing import Drawing, Stroke, Word, box_of
from onfold.geometry.path import flatten
from onfold.pattern import Pattern, Piece
from onfold.sheets.facts import SheetFacts, told_title, told_wearer, untaped
from onfold.sheets.levels import within_outline
from onfold.sheets.opened import fold_line, opened
from onfold.sheets.piece_lines import piece_strokes
from onfold.sheets.piece_words import SMALL_PRINT, Block, line_words, outside_label, place_block
from onfold.sheets.space import Box, Floats, Space, sampled, word_frame
from onfold.sheets.stops import STOP, is_stopped
from onfold.sheets.symbols import unit
from onfold.sheets.turning import quarter_turned

Joints = tuple[Sequence[float], Sequence[float]]
_OFF_JOINT = 1.0
"""mm that words keep off a line where tiles are pasted together."""
_LEAST = 2.0


@dataclass(frozen=True, eq=False)
class Sketch:
    """A piece's lines at full size in its own frame, and the room they leave for words. `shown` is as it is drawn."""

    piece: Piece
    whole: bool
    shown: Piece
    strokes: tuple[Stroke, ...]
    box: Box
    space: Space


def draw_piece(piece: Piece, pattern: Pattern, facts: SheetFacts, whole: bool = False) -> Drawing:
    """Return a piece drawn at full size in its own frame; `whole` opens one drafted on the fold, left and right marked.

    No words cross a line or one another; what finds no room inside is set beside the piece with a leader.
    """
    return worded(sketched(piece, facts, whole), pattern, facts)


def sketched(piece: Piece, facts: SheetFacts, whole: bool = False, turned: bool = False) -> Sketch:
    """Return the lines of a piece, without words; `turned` by a quarter, so that its height runs across the paper."""
    if turned:
        piece = quarter_turned(piece, facts.one_way)
    shown = within_outline(opened(piece) if whole else piece)
    strokes = piece_strokes(shown, facts.one_way)
    box = box_of(tuple(strokes))
    space = Space(box, _cell(box))
    space.keep_within(*_rings(shown))
    space.take(sampled(strokes, space.cell * 0.7))
    return Sketch(piece, whole, shown, tuple(strokes), box, space)


def worded(sketch: Sketch, pattern: Pattern, facts: SheetFacts, joints: Joints = ((), ())) -> Drawing:
    """Return a sketched piece with its words, which keep off the joints (x of upright, y of level ones) if they can."""
    piece, shown, strokes, space = sketch.piece, sketch.shown, list(sketch.strokes), sketch.space.copy()
    space.join_at(*joints, _OFF_JOINT)
    words = _half_words(piece, space) if sketch.whole else []
    words += line_words(shown, space, facts.say)
    # The label stays out of the allowances, which are trimmed and turned away.
    space.keep_within(_seam_ring(shown))
    label = _label(piece, pattern, facts, sketch.whole)
    words += _placed_label(label, untaped(pattern, facts), space, strokes, sketch.box, _touch(shown))
    title = f"{piece.name}, {cut_words(piece, sketch.whole)}"
    return Drawing(tuple(strokes), tuple(words), _box(strokes, words), title)


def cut_words(piece: Piece, whole: bool = False) -> str:
    """Return how often a piece is cut, as a cutter says it: `cut 1 on the fold`, `cut 2 (a pair)`."""
    if piece.cut < 1:
        return "cut count not given"
    if piece.on_fold and not whole:
        return f"cut {piece.cut} on the fold"
    if piece.mirrored_pair and piece.cut % 2 == 0:
        return "cut 2 (a pair)" if piece.cut == 2 else f"cut {piece.cut} ({piece.cut // 2} pairs)"
    return f"cut {piece.cut}" + (" in one layer" if whole else "")


def material_words(piece: Piece) -> str:
    """Return what a piece is cut from."""
    return "main cloth" if piece.material in {"main", ""} else piece.material


def _label(piece: Piece, pattern: Pattern, facts: SheetFacts, whole: bool) -> tuple[Block, Block]:
    """Return the label's head, what a cutter must read, and the lines below it."""
    cut = cut_words(piece, whole)
    head = [
        (piece.name, 7.0, True),
        *([(STOP, 5.0, True)] if is_stopped(piece, pattern) else []),
        (f"{cut}, {material_words(piece)}", 3.6, True),
    ]
    below = [
        *((line, 3.0, False) for line in wrap(piece.label, 44) if piece.label.strip() not in {cut, piece.name}),
        (f"{told_title(pattern, facts)}", 3.0, False),
        (", ".join(part for part in (told_wearer(pattern, facts), facts.date) if part), 3.0, False),
    ]
    return tuple(line for line in head if line[0].strip()), tuple(line for line in below if line[0].strip())


def _short_label(block: Block, lines: int) -> Block:
    """Return the label's words run together on one or two lines, for straps and bindings."""
    (name, _, _), *rest = block
    said = " · ".join(text for text, _, _ in rest)
    if lines == 1:
        return ((f"{name} · {said}", 2.6, False),)
    return ((name, 3.2, True), (said, 2.6, False))


def _placed_label(
    label: tuple[Block, Block],
    not_taped: tuple[str, ...],
    space: Space,
    strokes: list[Stroke],
    box: Box,
    touch: tuple[float, float],
) -> list[Word]:
    """Return the label with what was not taped: together where there is room, else in parts, else beside the piece.

    Its head lies whole on one tile where any has room; what is below it may go elsewhere, on a joint only at last.
    """
    head, below = label
    warning = f"not taped: {', '.join(not_taped)}" if not_taped else ""
    warned = tuple((line, SMALL_PRINT, True) for line in wrap(warning, 44))
    for whole in (True, False) if space.joints is not None else (False,):
        for parts in (((*head, *below, *warned),), ((*head, *below), warned), (head, (*below, *warned))):
            words = _placed_parts(parts, space, whole)
            if words is not None:
                return words
        short = place_block(space, (_short_label((*head, *below), 2), _short_label((*head, *below), 1)), whole)
        if short is not None:
            left = _placed_rest(tuple((line, _LEAST, bold) for line, _, bold in warned), space)
            return short + left if left is not None else short + _set_beside(warned, strokes, box, touch)
    return _set_beside((*head, *below, *warned), strokes, box, touch)


def _placed_parts(parts: tuple[Block, ...], space: Space, whole: bool) -> list[Word] | None:
    """Return the blocks placed apart, the first of them `whole` if asked; None where one finds no room."""
    before = space.taken.copy()
    first = place_block(space, parts[:1], whole)
    if first is None:
        return None
    rest = _placed_rest(parts[1], space) if len(parts) > 1 and parts[1] else []
    if rest is None:
        space.taken = before
        return None
    return first + rest


def _placed_rest(block: Block, space: Space) -> list[Word] | None:
    """Return the lines below a label's head where there is room, on no joint before on one; broken anew if need be."""
    if not block:
        return []
    warned = " ".join(text for text, _, bold in block if bold)
    said = " · ".join((*(text for text, _, bold in block if not bold), *([warned] if warned else [])))
    blocks = (block, *(tuple((line, _LEAST, False) for line in wrap(said, wide)) for wide in (100, 400)))
    found = place_block(space, blocks, whole=True) if space.joints is not None else None
    return found if found is not None else place_block(space, blocks)


def _set_beside(block: Block, strokes: list[Stroke], box: Box, touch: tuple[float, float]) -> list[Word]:
    words, leader = outside_label(tuple((text, 2.6, bold) for text, _, bold in block), box, touch)
    strokes += leader
    return words


def _half_words(piece: Piece, space: Space) -> list[Word]:
    """Return the names of the two halves of an opened piece, on the wearer where its name tells front from back."""
    fold = fold_line(piece)
    if fold is None:
        return []
    right_of_paper, left_of_paper = "wearer's left", "wearer's right"
    if "back" in piece.name.lower():
        right_of_paper, left_of_paper = left_of_paper, right_of_paper
    words = []
    middle, way = ((fold[0][0] + fold[1][0]) / 2, (fold[0][1] + fold[1][1]) / 2), unit(*fold)
    across = (-way[1], way[0])
    for text, side in ((right_of_paper, 1.0), (left_of_paper, -1.0)):
        spots = []
        for off in (30.0, 45.0, 20.0, 60.0, 12.0, 90.0):
            for along in (0.0, 60.0, -60.0, 120.0, -120.0):
                spot = (
                    middle[0] + across[0] * off * side + way[0] * along,
                    middle[1] + across[1] * off * side + way[1] * along,
                )
                spots.append(Word(text, spot, 4.0, anchor="middle", bold=True))
        found = next((word for whole in (True, False) for word in spots if space.free_for(word, 1.5, whole)), None)
        if found is not None:
            space.take_words([found])
            words.append(found)
    return words


def _rings(piece: Piece) -> list[Floats]:
    return [piece.cut_line if piece.cut_line is not None and len(piece.cut_line) > 2 else _seam_ring(piece)]


def _seam_ring(piece: Piece) -> Floats:
    flat = [np.asarray(flatten(edge.path)) for edge in piece.edges if len(edge.path.curves)]
    return np.concatenate(flat) if flat else np.zeros((1, 2))


def _cell(box: Box) -> float:
    """Return the cell in mm that gives about 120,000 cells: fine on a strap, coarser on a skirt."""
    area = max(1.0, (box[2] - box[0]) * (box[3] - box[1]))
    return min(2.0, max(0.5, math.sqrt(area / 120_000.0)))


def _touch(piece: Piece) -> tuple[float, float]:
    points = _rings(piece)[0]
    x, y = points[int(np.argmax(points[:, 0]))].tolist()
    return x - 1.0, y


def _box(strokes: list[Stroke], words: list[Word]) -> Box:
    low_x, low_y, high_x, high_y = box_of(tuple(strokes), 0.5)
    for word in words:
        (x, y), width, height, turn = word_frame(word)
        across = (abs(width * math.cos(turn)) + abs(height * math.sin(turn))) / 2
        up = (abs(width * math.sin(turn)) + abs(height * math.cos(turn))) / 2
        low_x, high_x = min(low_x, x - across), max(high_x, x + across)
        low_y, high_y = min(low_y, y - up), max(high_y, y + up)
    return low_x, low_y, high_x, high_y
