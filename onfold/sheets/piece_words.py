"""The words of one piece, each set where there is room: names of lines, allowances along edges, the label."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from onfold.drawing import Stroke, Word
from onfold.geometry.path import at, length, line, tangent_at
from onfold.pattern import Edge, Piece, Point
from onfold.sheets.opened import OTHER_HALF
from onfold.sheets.piece_lines import bracket_ends, bracket_inset
from onfold.sheets.space import Space
from onfold.sheets.symbols import step, unit
from onfold.writers.font import width_of

_SMALL = SMALL_PRINT = 2.4
_LEAST = 2.0
"""Capital height in mm below which no word on a piece is set."""
_SHARES = (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82, 0.1, 0.9)
Block = tuple[tuple[str, float, bool], ...]
"""Lines of text from the top: the words, their capital height in mm, whether bold."""


def line_words(piece: Piece, space: Space, say: Callable[[float], str]) -> list[Word]:
    """Return the names of folds, grain, levels, inner lines and marks, each edge's allowance; they take their room.

    Each keeps off the joints of the tiles if it can.
    """
    wanted = (
        *_fold_words(piece),
        *_edge_words(piece, say),
        *_inner_words(piece),
        *_mark_words(piece),
        *_grain_words(piece),
    )
    words: list[Word] = []
    for candidates in wanted:
        found = _first_free(space, candidates)
        if found is not None:
            space.take_words([found])
            words.append(found)
    return words


def _first_free(space: Space, candidates: Iterator[Word]) -> Word | None:
    """Return the first word that is free and lies on no joint, else the first that is free."""
    second = None
    for word in candidates:
        if space.free_for(word, 0.6, whole=True):
            return word
        if second is None and space.joints is not None and space.free_for(word, 0.6):
            second = word
    return second


def _fold_words(piece: Piece) -> Iterator[Iterator[Word]]:
    ends = bracket_ends(piece)
    if ends is None:
        return
    way, whole, inset = unit(*ends), math.dist(*ends), bracket_inset(piece)

    def places() -> Iterator[Word]:
        for size in (3.0, _SMALL, _LEAST):
            for aside in (1.6, 3.0):
                for share in _SHARES:
                    yield _beside("place on the fold", ends[0], way, whole * share, inset + aside, size)

    yield places()


def _edge_words(piece: Piece, say: Callable[[float], str]) -> Iterator[Iterator[Word]]:
    longest: dict[tuple[str, bool], Edge] = {}
    for edge in piece.edges:
        side = (edge.root, edge.name.endswith(OTHER_HALF))
        if not edge.fold and (side not in longest or length(edge.path) > length(longest[side].path)):
            longest[side] = edge
    for (root, _), edge in longest.items():
        if edge.allowance > 0:
            yield _along_edge(f"{root} {say(edge.allowance)}", edge)
        elif edge.finish and "dart" not in root:
            yield _along_edge(f"{root}, no allowance", edge)


def _along_edge(text: str, edge: Edge) -> Iterator[Word]:
    """Yield places for an edge's words: within the allowance if that is deep enough, else just inside the seam line."""
    whole = length(edge.path)
    for size in (2.8, _SMALL, _LEAST):
        middle = -(edge.allowance + size) / 2 if edge.allowance >= size * 1.4 + 2.5 else None
        for aside in (middle, 2.0, 3.2):
            for share in _SHARES:
                if aside is None or whole < width_of(text, size) * (1.0 if aside < 0 else 0.6):
                    continue
                spot, way = at(edge.path, whole * share), tangent_at(edge.path, whole * share)
                yield _beside(text, spot, way, 0.0, aside, size)


def _inner_words(piece: Piece) -> Iterator[Iterator[Word]]:
    def places(text: str, inner_index: int) -> Iterator[Word]:
        path = piece.inner[inner_index].path
        whole = length(path)
        for size in (2.8, _LEAST):
            for aside in (1.2, 2.4, -1.2 - size):
                for share in (0.75, 0.65, 0.85, 0.55, 0.45, 0.35, 0.25):
                    yield _beside(text, at(path, whole * share), tangent_at(path, whole * share), 0.0, aside, size)

    for index, inner in enumerate(piece.inner):
        if inner.name and len(inner.path.curves):
            yield places(inner.name, index)


def _mark_words(piece: Piece) -> Iterator[Iterator[Word]]:
    def places(text: str, spot: Point) -> Iterator[Word]:
        for size in (_SMALL, _LEAST):
            for off in (5.5, 8.0):
                yield Word(text, (spot[0] + off, spot[1] - size / 2), size)
                yield Word(text, (spot[0] - off, spot[1] - size / 2), size, anchor="end")
                yield Word(text, (spot[0], spot[1] - off - size), size, anchor="middle")
                yield Word(text, (spot[0], spot[1] + off), size, anchor="middle")
            for off in (2.2, 4.4):  # askew of the mark, where a line runs through it
                for up in (off, -off - size):
                    yield Word(text, (spot[0] + 5.0, spot[1] + up), size)
                    yield Word(text, (spot[0] - 5.0, spot[1] + up), size, anchor="end")
        for aside in (1.6, 3.0, -1.6 - _LEAST, -3.0 - _LEAST):
            reach = width_of(text, _LEAST) / 2 + 4.5
            for along in (-reach, reach):  # a strap is too narrow for words across it
                yield _beside(text, spot, (0.0, 1.0), along, aside, _LEAST)

    for mark in piece.marks:
        yield places(mark.name or mark.kind, mark.at)


def _grain_words(piece: Piece) -> Iterator[Iterator[Word]]:
    grain = piece.grain
    if grain is None or math.dist(grain.start, grain.end) < 1.0:
        return
    way, whole = unit(grain.start, grain.end), math.dist(grain.start, grain.end)

    def places() -> Iterator[Word]:
        text = {"straight": "straight grain", "cross": "cross grain", "bias": "bias"}[grain.kind]
        for size in (2.8, _LEAST):
            for aside in (1.6, 3.0, -1.6 - size, -3.0 - size):
                for share in (0.3, 0.2, 0.4, 0.5, 0.6, 0.7, 0.8):
                    yield _beside(text, grain.start, way, whole * share, aside, size)

    yield places()


def _beside(text: str, start: Point, way: Point, along: float, aside: float, size: float) -> Word:
    """Return words along a line, centred `along` it, their near edge `aside` mm to its left (negative: to its right).

    They are turned so as to be read from below or from the right.
    """
    angle = math.degrees(math.atan2(way[1], way[0]))
    foot = aside
    if not -90.0 + 1e-6 < angle <= 90.0 + 1e-6:
        angle += -180.0 if angle > 0 else 180.0
        foot = aside + size
    return Word(text, step(start, way, along, foot), size, angle, "middle")


def place_block(space: Space, blocks: tuple[Block, ...], whole: bool = False) -> list[Word] | None:
    """Return the first of the blocks that fits, upright before turned, as large as there is room; None if none does.

    The words take their room. No line is set smaller than 2 mm. A `whole` block lies on no joint of the tiles.
    """
    for block in blocks:
        for scale in (1.4, 1.0, 0.85, 0.7, 0.6):
            for turned in (False, True):
                clears = (14.0, 8.0, 4.0, 2.0, 0.8) if scale < 1 else (14.0, 6.0)
                words = _fitted(space, _scaled(block, scale), turned, clears, whole)
                if words is not None:
                    space.take_words(words)
                    return words
    return None


def _scaled(block: Block, scale: float) -> Block:
    """Return the block larger or smaller; small print is never made larger, nothing smaller than can be read."""
    return tuple(
        (text, size if scale > 1 and size <= SMALL_PRINT else max(_LEAST, size * scale), bold)
        for text, size, bold in block
    )


def block_size(block: Block) -> tuple[float, float]:
    """Return the width and height mm of a block of lines."""
    return max(width_of(text, size, bold) for text, size, bold in block), sum(1.75 * size for _, size, _ in block)


def _fitted(space: Space, block: Block, turned: bool, clears: tuple[float, ...], whole: bool) -> list[Word] | None:
    width, height = block_size(block)
    sides = (height, width) if turned else (width, height)
    for clear in clears:
        corner = space.place(*sides, clear, whole)
        if corner is not None:
            return set_block(block, corner, turned)
    return None


def set_block(block: Block, corner: Point, turned: bool = False) -> list[Word]:
    """Return a block's words with its lower left corner at `corner`, or turned to be read from the right."""
    _, height = block_size(block)
    words, down = [], 0.0
    for text, size, bold in block:
        down += 1.375 * size
        base = height - down
        spot = (corner[0] + height - base, corner[1]) if turned else (corner[0], corner[1] + base)
        words.append(Word(text, spot, size, 90.0 if turned else 0.0, bold=bold))
        down += 0.375 * size
    return words


def outside_label(
    block: Block, box: tuple[float, float, float, float], touch: Point
) -> tuple[list[Word], list[Stroke]]:
    """Return a label set to the right of a piece too small to hold it, with a thin leader to the point it speaks of."""
    _, height = block_size(block)
    corner = (box[2] + 10.0, min(max(touch[1] - height / 2, box[1]), max(box[1], box[3] - height)))
    words = set_block(block, corner)
    leader = Stroke(line((corner[0] - 2.0, corner[1] + height / 2), touch), "furniture", "words")
    return words, [leader]
