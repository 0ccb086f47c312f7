"""The last sheet of drafting: the cut line round every piece, and how far outside the seam line it runs."""

from __future__ import annotations

import re
from collections.abc import Iterator

from onfold.cloth import in_one_layer
from onfold.drawing import Drawing, Stroke, Word, box_of
from onfold.geometry.path import at, length, polyline
from onfold.lesson.facts import LessonFacts
from onfold.lesson.picture import draw_picture
from onfold.pattern import Edge, Piece
from onfold.units import say_list, say_small
from onfold.writers.markup import measured, safe, table, tag

_FIGURE = re.compile(r"\s*\d.*$")
LEAST, TALL = 0.05, 400.0
"""mm: less than this is not added by hand; px: the height of a picture in which an allowance can be seen."""


def tell_allowances(facts: LessonFacts) -> str:
    """Return every piece with its seam and cut line, its edges' allowances, and the jobs of drawing them by hand."""
    pieces = [each for each in facts.pieces if each.edges]
    if not pieces:
        return ""
    lead = "Up to here every line is a seam line. Cut on it, and there is nothing left to sew: "
    lead += "draw the cut line outside it now. In the pictures the seam line is broken and the cut line heavy."
    return tag("p", safe(lead)) + "".join(_piece(each, facts) for each in pieces)


def _piece(piece: Piece, facts: LessonFacts) -> str:
    rows = [
        (
            safe(name),
            measured(say_small(each.allowance, facts.units)) if each.allowance > LEAST else "none: cut on the line",
            safe(_finished_as(each)),
        )
        for name, each in _edges(piece)
    ]
    jobs = tag("ol", " ".join(tag("li", measured(each)) for each in jobs_of(piece, facts)), class_="jobs", type="a")
    heads = ("Edge", "Allowance", "Sewn or finished")
    words = tag("h3", safe(f"The {piece.name}")) + jobs + table(f"Allowances of the {piece.name}", heads, rows)
    return tag("div", tag("div", words, class_="words"), _picture(piece, facts), class_="allowed")


def _edges(piece: Piece) -> Iterator[tuple[str, Edge]]:
    """Give the edges as they are spoken of, parts of one edge that are alike once; no dart's legs, and no fold."""
    told: set[tuple[str, float, str]] = set()
    for each in piece.edges:
        alike = (each.root, round(each.allowance, 2), each.finish)
        if not each.fold and each.finish != "dart" and alike not in told:
            told.add(alike)
            yield each.root, each


def _finished_as(edge: Edge) -> str:
    return _FIGURE.sub("", edge.finish) or ("as it is sewn" if edge.allowance > LEAST else "left as it is")


def jobs_of(piece: Piece, facts: LessonFacts) -> list[str]:
    """Return what is done by hand to draw a piece's cut line, one sentence a job."""
    every = "5 cm" if facts.units == "cm" else "2 in"
    close = "1 cm" if facts.units == "cm" else "1/2 in"
    jobs = [
        f"Measure each edge's allowance outwards, square to the edge: a dot every {every}, every {close} on curves. "
        "Join the dots."
    ]
    folds = list(dict.fromkeys(each.root for each in piece.edges if each.fold))
    if folds:
        there = "the pattern is turned over" if in_one_layer(facts.cloth) else "the cloth is folded"
        jobs.append(f"Add nothing at the {say_list(folds)}: {there} there. Square every cut line to it.")
    turned = list(dict.fromkeys(each.root for each in piece.edges if each.corner == "mirrored" and each.allowance))
    if turned:
        jobs.append(
            f"Fold the paper on the {say_list(turned)} before you cut the ends of the allowance: cut them with the "
            "edges beside, so that turned in it lies on them."
        )
    if any(each.finish == "dart" for each in piece.edges):
        jobs.append("Fold every dart shut as it will be pressed, and cut across its mouth through all layers.")
    jobs.append(f"At the {'other ' if turned else ''}corners let both cut lines run on until they meet.")
    marks = "Carry the balance marks straight out to the cut line. " if piece.notches else ""
    jobs.append(f"{marks}Cut on the outer line.")
    return jobs


def _named(edge: Edge, facts: LessonFacts) -> str:
    return f"{edge.root} {say_small(edge.allowance, facts.units)}" if edge.allowance > LEAST else edge.root


def _picture(piece: Piece, facts: LessonFacts) -> str:
    sewn = [each for each in piece.edges if each.finish != "dart"]
    strokes = [
        Stroke(each.path, "fold" if each.fold else "seam", "seam lines", name=_named(each, facts))
        for each in piece.edges
    ]
    if piece.cut_line is not None and len(piece.cut_line) > 2:
        ring = [(float(x), float(y)) for x, y in piece.cut_line]
        strokes.append(Stroke(polyline(ring), "cut", "cut lines", name="cut line"))
    words = [Word(_named(each, facts), at(each.path, length(each.path) / 2)) for each in sewn]
    drawn = Drawing(tuple(strokes), tuple(dict.fromkeys(words)), box_of(tuple(strokes)))
    said = [
        f"{name} {say_small(each.allowance, facts.units)}" for name, each in _edges(piece) if each.allowance > LEAST
    ]
    alt = f"The {piece.name} with its seam line broken and its cut line heavy. Allowances: {', '.join(said) or 'none'}."
    picture = draw_picture(drawn, alt, facts.units, tallest=TALL)
    if picture is None:
        return ""
    also = f" Also: {', '.join(map(safe, picture.crowded_out))}." if picture.crowded_out else ""
    caption = tag("figcaption", f"{safe(piece.name)}: seam line and cut line.{also}")
    return tag("figure", picture.svg, caption, class_="to-cut")
