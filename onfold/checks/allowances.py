"""Allowances against what is sewn with them: rows and turns, trims, hems on curves, inside corners."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from onfold.checks.seams import inner_angle
from onfold.checks.subject import Subject, every_edge, finish_key, finish_of, offer_finish, on_piece
from onfold.construction import (
    STITCHES,
    USUAL_INLAY,
    WIDEST_INLAY,
    Finish,
    encloses,
    is_hem,
    rows_add_up,
    turn_of_cloth,
    with_inlay,
)
from onfold.pattern import Edge, Piece
from onfold.problems import Problem, problem
from onfold.units import capital

ALLOWANCE_WITHIN = 0.5  # mm
EASED_HEM = 0.06  # of its length a turned hem may be eased in: a half-circle hem of 1 in at a radius of 80 cm [C]
CLIPPED_HEM = 0.03  # of its length a turned edge may be stretched in a cloth that does not [C]
STRETCHY = 0.15  # from this stretch a cloth is treated as one that stretches [C]
NARROWEST = 4.0  # mm of allowance that a zigzag still holds [C]
CORNER_FROM = 30.0  # degrees past straight from which an inside angle is a corner


def allowances_fit(subject: Subject) -> list[Problem]:
    """ALLOWANCE-SEAM: each edge carries what its construction's rows and turns take up.

    An enclosed seam takes first and second row together, a hem both its turns; an inlay lies beyond. Source [A]: rows
    are measured from one net line, turns are laid on one another.
    """
    found: dict[tuple[str, str], Problem] = {}
    for piece, edge in every_edge(subject):
        finish = finish_of(subject, piece, edge)
        if finish is None or edge.fold:
            continue
        key = finish_key(subject, piece, edge)
        if not rows_add_up(finish):
            found.setdefault((key, ""), _rows_differ(subject, piece, key, finish))
        elif not 0.0 <= finish.allowance - edge.allowance + ALLOWANCE_WITHIN <= shortest(piece, edge, subject):
            found.setdefault((key, piece.name), _other_allowance(subject, piece, edge, key, finish))
    return list(found.values())


def shortest(piece: Piece, edge: Edge, subject: Subject) -> float:
    """Return the width of the span, mm, in which an edge's allowance may lie: a facing is cut short to turn."""
    roots = {each.root for each in piece.edges}
    turns = edge.root.endswith(" facing") and edge.root.removesuffix(" facing") in roots
    return 2.0 * ALLOWANCE_WITHIN + (turn_of_cloth(subject.cloth) if turns else 0.0)


def _rows_differ(subject: Subject, piece: Piece, key: str, finish: Finish) -> Problem:
    wanted = finish.uses + finish.inlay
    taken = "its turns take" if is_hem(finish) else "its rows and inlay take" if finish.inlay else "its rows take"
    adds_up = f"{finish.kind} {subject.say_fine(finish.depth if is_hem(finish) else finish.uses)}"
    adds_up += f", inlay {subject.say_fine(finish.inlay)}" if finish.inlay else ""
    return problem(
        "ALLOWANCE-SEAM",
        says=f"{capital(key)}, {finish.text}: {taken} {subject.say_fine(wanted)}, the allowance is "
        f"{subject.say_fine(finish.allowance)}.",
        found=subject.say_fine(finish.allowance),
        expected=subject.say_fine(wanted),
        remedy=f"Let the parts add up: {offer_finish(key, adds_up)}.",
        where=on_piece(piece.name),
    )


def _other_allowance(subject: Subject, piece: Piece, edge: Edge, key: str, finish: Finish) -> Problem:
    has = edge.allowance
    return problem(
        "ALLOWANCE-SEAM",
        says=f"The {edge.root} of the {piece.name} is cut with {subject.say_fine(has)}; {finish.text} takes "
        f"{subject.say_fine(finish.allowance)}.",
        found=subject.say_fine(has),
        expected=subject.say_fine(finish.allowance),
        remedy=f"Leave out the allowance step of its own, or finish it so that it takes {subject.say_fine(has)}: "
        f"finish: {{{key}: …}}.",
        where=on_piece(piece.name),
    )


def enclosed_trim(subject: Subject) -> list[Problem]:
    """ENCLOSED-TRIM: the first row of an enclosed seam is trimmed to less than its second line.

    Source [A]: turned, what was left of the first allowance lies between the rows; were it wider it would show.
    """
    found: dict[str, Problem] = {}
    for piece, edge in every_edge(subject):
        finish = finish_of(subject, piece, edge)
        if finish is None or encloses(finish):
            continue
        key = finish_key(subject, piece, edge)
        second = finish.rows[0].from_net
        left = max((trim.left for trim in finish.trims), default=finish.rows[0].from_raw)
        fits = min(3.0, math.floor(second * 0.75 * 2.0) / 2.0)
        trimmed = f"french {finish.kept:g} mm, first row {finish.rows[0].from_raw:g} mm, trim {fits:g} mm"
        trimmed += f", inlay {finish.inlay:g} mm" if finish.inlay else ""
        found.setdefault(
            key,
            problem(
                "ENCLOSED-TRIM",
                says=f"{capital(key)}: the first row is trimmed to {subject.say_fine(left)}, the second is sewn "
                f"{subject.say_fine(second)} from the fold. Raw edges would show on the right side.",
                found=subject.say_fine(left),
                expected=f"less than {subject.say_fine(second)}",
                remedy=f"Trim the first row to {fits:g} mm: " + offer_finish(key, trimmed) + ".",
                where=on_piece(piece.name),
            ),
        )
    return list(found.values())


def inlays_reasonable(subject: Subject) -> list[Problem]:
    """INLAY-WIDE: an inlay for fitting is no wider than 8 cm. Source [C]: 2 to 3 cm are what a fitting asks."""
    found: dict[str, Problem] = {}
    for piece, edge in every_edge(subject):
        finish = finish_of(subject, piece, edge)
        if finish is None or edge.fold or finish.inlay <= WIDEST_INLAY:
            continue
        key = finish_key(subject, piece, edge)
        usual = with_inlay(finish.text, subject.say_fine(USUAL_INLAY))
        found.setdefault(
            key,
            problem(
                "INLAY-WIDE",
                says=f"{capital(key)} has an inlay of {subject.say(finish.inlay)}. So much cloth drags at the tacking "
                "and pulls the garment out of shape at the try-on.",
                found=subject.say(finish.inlay),
                expected=f"{subject.say(20.0)} to {subject.say(30.0)}, at most {subject.say(WIDEST_INLAY)}",
                remedy=f"Leave less: {offer_finish(key, usual)}; where more may be wanted, try it in calico first.",
                where=on_piece(piece.name),
            ),
        )
    return list(found.values())


def turning(edge: Edge) -> float:
    """Return by how much, radians, an edge turns from its start to its end, positive where it bulges outward.

    Joints between its curves count too, so that a hem drawn as a chain of short lines is as curved as it looks.
    """
    controls = edge.path.curves
    legs = np.diff(controls, axis=1).reshape(-1, 2)
    legs = legs[np.hypot(legs[:, 0], legs[:, 1]) > 1e-9]
    if len(legs) < 2:
        return 0.0
    cross = legs[:-1, 0] * legs[1:, 1] - legs[:-1, 1] * legs[1:, 0]
    return float(np.arctan2(cross, (legs[:-1] * legs[1:]).sum(axis=1)).sum())


def turned_excess(turn: float, depth: float) -> float:
    """Return how much longer a hem's raw edge is than where it comes to lie, mm: 2 x turn x depth; below 0 shorter.

    `turn` in radians, `depth` mm. Source [A]: difference of two arcs; the full circle has 4 pi x depth.
    """
    return 2.0 * turn * depth


def hems_on_curves(subject: Subject) -> list[Problem]:
    """HEM-CURVE: a turned hem's edge is longer than where it is sewn by no more than 6 %, or shorter by what gives.

    Source [A]: difference of two arcs. The 6 % is [C]: a shop's hem depths by skirt shape.
    """
    found: dict[str, Problem] = {}
    stretch = subject.cloth.stretch_across / 2.0
    for piece, edge in every_edge(subject):
        finish = finish_of(subject, piece, edge)
        if finish is None or edge.fold or not is_hem(finish) or finish.depth <= 0.0:
            continue
        length = subject.lengths[piece.name, edge.name]
        turn = turning(edge)
        excess = turned_excess(turn, finish.depth)
        allowed = length * (EASED_HEM if excess > 0.0 else CLIPPED_HEM + stretch)
        if length <= 0.0 or abs(excess) <= allowed:
            continue
        deepest = allowed / (2.0 * abs(turn))
        found.setdefault(edge.root, _too_deep(subject, piece, edge, finish, excess, deepest))
    return list(found.values())


def _too_deep(subject: Subject, piece: Piece, edge: Edge, finish: Finish, excess: float, deepest: float) -> Problem:
    way = "longer than where it is sewn; it would pucker" if excess > 0.0 else "shorter than where it is sewn; it drags"
    fits = (
        f"Make it {subject.say_down(deepest)} deep at most: finish: {{{edge.root}: {finish.kind} "
        f"{subject.say_down(deepest)}}}; or face it with a shaped strip."
        if deepest >= 4.0
        else f"Face it with a shaped strip or neaten it flat: finish: {{{edge.root}: narrow zigzag 8 mm}}."
    )
    return problem(
        "HEM-CURVE",
        says=f"Turned {subject.say_fine(finish.depth)} deep, the {edge.root} of the {piece.name} is "
        f"{subject.say_fine(abs(excess))} {way}.",
        found=f"{subject.say_fine(finish.depth)} deep",
        expected=f"at most {subject.say_fine(deepest)}",
        remedy=fits,
        where=on_piece(piece.name),
    )


def hems_suit(subject: Subject) -> list[Problem]:
    """HEM-KIND: stretch cloth is turned once and sewn with a stitch that gives; a stitch suits its kind of cloth.

    Source [C]: common practice, single turn of 20 to 25 mm, twin needle or catch stitch.
    """
    found: dict[str, Problem] = {}
    knit = subject.cloth.kind == "knit" and subject.cloth.stretch_across >= STRETCHY
    for piece, edge in every_edge(subject):
        finish = finish_of(subject, piece, edge)
        if finish is None or edge.fold or not is_hem(finish):
            continue
        suits = STITCHES[finish.stitch].suits if finish.stitch in STITCHES else "any"
        if knit and (finish.kind == "double turned" or suits == "woven"):
            found.setdefault(edge.root, _wrong_hem(subject, piece, edge, finish))
        elif subject.cloth.kind == "woven" and suits == "knit":
            found.setdefault(edge.root, _knit_stitch(piece, edge, finish))
    return list(found.values())


def _wrong_hem(subject: Subject, piece: Piece, edge: Edge, finish: Finish) -> Problem:
    deep = subject.say_fine(20.0 if subject.units == "cm" else 19.05)
    what = "turned twice" if finish.kind == "double turned" else f"sewn with {finish.stitch}"
    return problem(
        "HEM-KIND",
        says=f"The {edge.root} of the {piece.name} is {what} in a cloth that stretches: it would stand stiff and its "
        "thread crack.",
        found=finish.text,
        expected="a single turn and a stitch that gives",
        remedy="Turn it once and sew it with twin needle or catch stitch: "
        + offer_finish(edge.root, f"single turned {deep}, twin needle")
        + ".",
        where=on_piece(piece.name),
    )


def _knit_stitch(piece: Piece, edge: Edge, finish: Finish) -> Problem:
    return problem(
        "HEM-KIND",
        says=f"The {edge.root} of the {piece.name} is sewn with {finish.stitch}, a stitch for knits; in a woven it "
        "only tunnels.",
        found=finish.stitch,
        expected="a stitch for wovens",
        remedy="Sew it with catch stitch or slip stitch: "
        + offer_finish(edge.root, f"{finish.kind} {finish.depth:g} mm, catch stitch")
        + ".",
        where=on_piece(piece.name),
    )


@dataclass(frozen=True)
class Inside:
    """An inside corner: which edges meet, by how many degrees it is past straight, what each edge needs, mm."""

    first: Edge
    second: Edge
    turn: float
    needs: tuple[float, float]


def inside_corner(first: Edge, second: Edge) -> Inside | None:
    """Return the inside corner between two following edges, or None where it is none.

    Offset at widths a and b, two edges that turn inward by d meet (b - a cos d) / sin d along the first [A].
    """
    turn = inner_angle(first, second) - 180.0
    if turn < CORNER_FROM or turn > 179.0:
        return None
    d = math.radians(turn)
    a, b = first.allowance, second.allowance
    return Inside(first, second, turn, ((b - a * math.cos(d)) / math.sin(d), (a - b * math.cos(d)) / math.sin(d)))


def inside_corners(subject: Subject) -> list[Problem]:
    """CORNER-SHARP: beside an inside corner or curve there is room for the allowance.

    Offset outward, edges at an inside corner overlap; where an edge is shorter than the overlap, or a curve tighter
    than its allowance, nothing is left of it. Dart legs are no fault, nor is an inlay: it is cut away before the
    seam is sewn. Source [A].
    """
    found = []
    for piece in subject.pattern.pieces:
        edges = [_without_inlay(subject, piece, edge) for edge in piece.edges]
        for index, edge in enumerate(edges):
            following = edges[(index + 1) % len(edges)]
            inside = inside_corner(edge, following)
            if inside and not _left_out(edge) and not _left_out(following):
                found += _no_room(subject, piece, inside)
            if not _left_out(edge) and (radius := tightest_inward(edge)) < edge.allowance:
                found.append(_tight(subject, piece, edge, radius))
    return found


def _without_inlay(subject: Subject, piece: Piece, edge: Edge) -> Edge:
    finish = finish_of(subject, piece, edge)
    if finish is None or not finish.inlay:
        return edge
    return replace(edge, allowance=max(0.0, edge.allowance - finish.inlay))


def _left_out(edge: Edge) -> bool:
    return edge.finish == "dart" or edge.allowance <= 0.0


def tightest_inward(edge: Edge) -> float:
    """Return the least radius, mm, of an edge where it curves inward; inf where it does not."""
    bent = edge.path.curves[~edge.path.straight]
    if not len(bent):
        return math.inf
    t = np.linspace(0.0, 1.0, 17)[None, :, None]
    legs = np.diff(bent, axis=1)[:, :, None, :]
    first = 3.0 * ((1 - t) ** 2 * legs[:, 0] + 2 * t * (1 - t) * legs[:, 1] + t**2 * legs[:, 2])
    bends = np.diff(legs, axis=1)
    second = 6.0 * ((1 - t) * bends[:, 0] + t * bends[:, 1])
    cross = first[..., 0] * second[..., 1] - first[..., 1] * second[..., 0]
    speed = np.hypot(first[..., 0], first[..., 1])
    with np.errstate(divide="ignore", invalid="ignore"):
        radius = np.where((cross < 0.0) & (speed > 1e-6), speed**3 / -cross, np.inf)
    return float(radius.min())


def _no_room(subject: Subject, piece: Piece, inside: Inside) -> list[Problem]:
    lengths = [subject.lengths[piece.name, edge.name] for edge in (inside.first, inside.second)]
    short = [
        edge
        for edge, need, has in zip((inside.first, inside.second), inside.needs, lengths, strict=True)
        if need > has + 0.01
    ]
    return [_corner(subject, piece, inside, short[0])] if short else []


def _corner(subject: Subject, piece: Piece, inside: Inside, short: Edge) -> Problem:
    wide = max(inside.first.allowance, inside.second.allowance)
    return problem(
        "CORNER-SHARP",
        says=f"Where the {inside.first.root} and the {inside.second.root} of the {piece.name} meet inward, their "
        f"allowances of {subject.say_fine(wide)} overlap over the whole {short.root}.",
        found=f"{subject.say_fine(subject.lengths[piece.name, short.name])} of {short.root}",
        expected=f"at least {subject.say_fine(max(inside.needs))}",
        remedy=f"Narrow the allowance of the {short.root}, or clip the corner to the line before sewing.",
        where=on_piece(piece.name),
    )


def _tight(subject: Subject, piece: Piece, edge: Edge, radius: float) -> Problem:
    return problem(
        "CORNER-SHARP",
        says=f"The {edge.root} of the {piece.name} curves inward at a radius of {subject.say_fine(radius)}, tighter "
        f"than its allowance of {subject.say_fine(edge.allowance)}: the cut edge is left no curve to follow.",
        found=subject.say_fine(radius),
        expected=f"at least {subject.say_fine(edge.allowance)}",
        remedy=_less_at_the_curve(subject, finish_key(subject, piece, edge), radius),
        where=on_piece(piece.name),
    )


def _less_at_the_curve(subject: Subject, key: str, radius: float) -> str:
    """Return how to narrow an allowance to its curve's radius; below what can be sewn, to draw the curve fuller."""
    if radius < NARROWEST:
        return "Draw the curve fuller, or clip it to the line every centimetre before sewing."
    width = subject.say_down(radius)
    return f"Narrow it to {width}, or clip it every centimetre: {offer_finish(key, f'narrow zigzag {width}')}."
