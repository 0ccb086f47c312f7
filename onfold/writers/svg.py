"""A drawing as an SVG picture: millimetres, a group a layer, a class a pen, a text alternative."""

from __future__ import annotations

import hashlib
from itertools import groupby

import numpy as np

from onfold.drawing import PENS, Drawing, Stroke, Word
from onfold.writers.decimals import number
from onfold.writers.font import face, printable

_FAMILY = "'DejaVu Sans', 'Noto Sans', Verdana, sans-serif"


def write_svg(drawing: Drawing, *, inline: bool = False, described: str = "") -> str:
    """Return the drawing as SVG: a file of its own in mm, or (`inline`) an element that fits the width it is given.

    The drawing's title is its name and `described` its longer text alternative. Text is escaped, control
    characters dropped; strokes with a coordinate that is not a number are left out.
    """
    left, low, right, high = drawing.box
    width, height = max(right - left, 0.1), max(high - low, 0.1)
    mark = _mark(drawing, described)
    size = "" if inline else f' width="{number(width)}mm" height="{number(height)}mm"'
    labels = f"{mark}-title" + (f" {mark}-desc" if described else "")
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby="{labels}"{size} '
        f'viewBox="0 0 {number(width)} {number(height)}" class="onfold-drawing">',
        f'<title id="{mark}-title">{_text(drawing.title or "Drawing")}</title>',
        *([f'<desc id="{mark}-desc">{_text(described)}</desc>'] if described else []),
        f"<style>{_rules(drawing, mark)}</style>",
        # Y up is turned over here once, so that paths carry the drawing's own numbers.
        f'<g id="{mark}" transform="matrix(1 0 0 -1 {number(-left)} {number(high)})">',
        *_stroke_groups(drawing, mark),
        *_word_groups(drawing, mark),
        "</g>",
        "</svg>",
    ]
    head = "" if inline else '<?xml version="1.0" encoding="UTF-8"?>\n'
    return head + "\n".join(lines) + "\n"


def _mark(drawing: Drawing, described: str) -> str:
    """Return an id that differs between the pictures of one page, yet is the same for the same picture."""
    seen = hashlib.sha256(repr((drawing.title, described, drawing.box, drawing.words)).encode("utf-8", "replace"))
    for stroke in drawing.strokes:
        seen.update(stroke.path.curves.tobytes() + stroke.pen.encode())
    return "d" + seen.hexdigest()[:10]


def _stroke_groups(drawing: Drawing, mark: str) -> list[str]:
    lines: list[str] = []
    for at, (layer, strokes) in enumerate(groupby(drawing.strokes, key=lambda stroke: stroke.layer)):
        drawn = [line for line in map(_stroke, strokes) if line]
        lines += [f'<g id="{mark}-lines-{at}" data-layer="{layer}">', *drawn, "</g>"]
    return lines


def _word_groups(drawing: Drawing, mark: str) -> list[str]:
    lines: list[str] = []
    for at, (layer, words) in enumerate(groupby(drawing.words, key=lambda word: word.layer)):
        lines += [f'<g id="{mark}-words-{at}" data-layer="{layer}">', *map(_word, words), "</g>"]
    return lines


def _stroke(stroke: Stroke) -> str:
    curves = stroke.path.curves
    if not len(curves) or not np.isfinite(curves).all():
        return ""
    kind = f"{stroke.pen} filled" if stroke.filled else stroke.pen
    way = _way(curves, stroke.path.straight.tolist(), stroke.closed)
    said = f"<title>{_text(stroke.name)}</title>" if stroke.name else ""
    return f'<path class="{kind}" d="{way}">{said}</path>' if said else f'<path class="{kind}" d="{way}"/>'


def _way(curves: np.ndarray[tuple[int, ...], np.dtype[np.float64]], straight: list[bool], closed: bool) -> str:
    parts: list[str] = []
    last: tuple[float, float] | None = None
    for is_line, ((ax, ay), (bx, by), (cx, cy), (dx, dy)) in zip(straight, curves.round(4).tolist(), strict=True):
        if (ax, ay) != last:
            parts.append(f"M{number(ax)} {number(ay)}")
        if is_line:
            parts.append(f"L{number(dx)} {number(dy)}")
        else:
            parts.append(f"C{number(bx)} {number(by)} {number(cx)} {number(cy)} {number(dx)} {number(dy)}")
        last = (dx, dy)
    return "".join(parts) + ("Z" if closed else "")


def _word(word: Word) -> str:
    x, y = word.at
    turn = f" rotate({number(-word.angle)})" if word.angle else ""
    anchor = "" if word.anchor == "start" else f' text-anchor="{word.anchor}"'
    bold = ' font-weight="bold"' if word.bold else ""
    size = word.size * face(word.bold).units / face(word.bold).capital
    place = f"translate({number(x)} {number(y)}) scale(1 -1){turn}"
    return f'<text transform="{place}" font-size="{number(size)}"{anchor}{bold}>{_text(word.text)}</text>'


def _rules(drawing: Drawing, mark: str) -> str:
    """Return the style of the pens in use, each held to this picture by its id."""
    rules = [f"#{mark} path{{fill:none;stroke-linejoin:round}}", f"#{mark} text{{font-family:{_FAMILY};fill:#000}}"]
    for pen_name in sorted({stroke.pen for stroke in drawing.strokes}):
        pen = PENS[pen_name]
        ink = f"#{round(255 * pen.ink):02x}" + f"{round(255 * pen.ink):02x}" * 2
        dash = f";stroke-dasharray:{' '.join(map(number, pen.dash))}" if pen.dash else ";stroke-linecap:round"
        rules.append(f"#{mark} .{pen_name}{{stroke:{ink};stroke-width:{number(pen.width)}{dash}}}")
        rules.append(f"#{mark} .{pen_name}.filled{{fill:{ink}}}")
    return "".join(rules)


def _text(text: str) -> str:
    plain = printable(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return plain.replace('"', "&quot;").replace("'", "&#39;")
