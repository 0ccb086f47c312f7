"""One piece as it is printed: its lines, its words, and the label that says what it is and how often it is cut."""

from __future__ import annotations

import math
from textwrap import wrap

import numpy as np

from onfold.drawing import Drawing, Stroke, Word, box_of
from onfold.geometry.path import flatten
from onfold.pattern import Pattern, Piece
from onfold.sheets.facts import SheetFacts, told_title, told_wearer, untaped
from onfold.sheets.levels import within_outline
from onfold.sheets.opened import fold_line, opened
from onfold.sheets.piece_lines import piece_strokes
from onfold.sheets.piece_words import Block, line_words, outside_label, place_block
from onfold.sheets.space import Box, Floats, Space, sampled, word_frame
from onfold.sheets.stops import STOP, is_stopped
from onfold.sheets.symbols import unit


def draw_piece(piece: Piece, pattern: Pattern, facts: SheetFacts, whole: bool = False) -> Drawing:
    """Return a piece drawn at full size in its own frame; `whole` opens one drafted on the fold, left and right marked.

    No words cross a line or one another; what finds no room inside is set beside the piece with a leader.
    """
    shown = within_outline(opened(piece) if whole else piece)
    strokes = piece_strokes(shown, facts.one_way)
    rings = _rings(shown)
    box = box_of(tuple(strokes))
    space = Space(box, _cell(box))
    space.keep_within(*rings)
    space.take(sampled(strokes, space.cell * 0.7))
    words = _half_words(piece, space) if whole else []
    words += line_words(shown, space, facts.say)
    # The label stays out of the allowances, which are trimmed and turned away.
    space.keep_within(_seam_ring(shown))
    words += _placed_label(
        _label(piece, pattern, facts, whole), untaped(pattern, facts), space, strokes, box, _touch(shown)
    )
    title = f"{piece.name}, {cut_words(piece, whole)}"
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


def _label(piece: Piece, pattern: Pattern, facts: SheetFacts, whole: bool) -> Block:
    cut = cut_words(piece, whole)
    lines = [
        (piece.name, 7.0, True),
        *([(STOP, 5.0, True)] if is_stopped(piece, pattern) else []),
        (f"{cut}, {material_words(piece)}", 3.6, True),
        *((line, 3.0, False) for line in wrap(piece.label, 44) if piece.label.strip() not in {cut, piece.name}),
        (f"{told_title(pattern, facts)}", 3.0, False),
        (", ".join(part for part in (told_wearer(pattern, facts), facts.date) if part), 3.0, False),
    ]
    return tuple(line for line in lines if line[0].strip())


def _short_label(block: Block, lines: int) -> Block:
    """Return the label's words run together on one or two lines, for straps and bindings."""
    (name, _, _), *rest = block
    said = " · ".join(text for text, _, _ in rest)
    if lines == 1:
        return ((f"{name} · {said}", 2.6, False),)
    return ((name, 3.2, True), (said, 2.6, False))


def _placed_label(
    block: Block, not_taped: tuple[str, ...], space: Space, strokes: list[Stroke], box: Box, touch: tuple[float, float]
) -> list[Word]:
    """Return the label with what was not taped, together where there is room, else apart, else beside the piece."""
    warning = f"not taped: {', '.join(not_taped)}" if not_taped else ""
    full = (*block, *((line, 4.2, True) for line in wrap(warning, 34)))
    together = place_block(space, (full,))
    if together is not None:
        return together
    placed = place_block(space, (block, _short_label(block, 2), _short_label(block, 1)))
    if placed is not None:
        apart = [tuple((line, size, True) for line in wrap(warning, wide)) for size, wide in ((3.4, 44), (2.6, 400))]
        warned = place_block(space, tuple(apart)) if warning else []
        if warned is not None:
            return placed + warned
        full = tuple((line, 2.6, True) for line in wrap(warning, 34))
    beside, leader = outside_label(tuple((text, 2.6, bold) for text, _, bold in full), box, touch)
    strokes += leader
    return (placed or []) + beside


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
        for off in (30.0, 45.0, 20.0, 60.0, 12.0, 90.0):
            for along in (0.0, 60.0, -60.0, 120.0, -120.0):
                spot = (
                    middle[0] + across[0] * off * side + way[0] * along,
                    middle[1] + across[1] * off * side + way[1] * along,
                )
                word = Word(text, spot, 4.0, anchor="middle", bold=True)
                if space.free_for(word, 1.5):
                    break
            else:
                continue
            break
        else:
            continue
        space.take_words([word])
        words.append(word)
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
