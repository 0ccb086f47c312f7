"""One-fault edits of the two hand-drawn garments."""

from __future__ import annotations

from dataclasses import replace

from check_patterns import edit_edge, edit_piece, of_sheath, sheath, skirt, with_measures

from onfold.checks import Subject
from onfold.geometry.path import Path, cubic, line, moved
from onfold.pattern import Edge, Notch, Piece, edges_of


def moved_end(subject_edge: Path, dx: float, dy: float) -> Path:
    curves = subject_edge.curves.copy()
    curves[-1, 2:] += (dx, dy)
    return Path(curves, subject_edge.straight)


def edge_of(pattern_piece: Piece, name: str) -> Edge:
    return edges_of(pattern_piece, name)[0]


def front() -> Piece:
    piece = sheath().piece("front")
    assert piece
    return piece


def back() -> Piece:
    piece = sheath().piece("back")
    assert piece
    return piece


def with_ease(pattern, amount: float):
    return replace(pattern, seams=(replace(pattern.seams[0], ease=amount), *pattern.seams[1:]))


def longer_front():
    return edit_edge(sheath(), "front", "side", path=moved_end(edge_of(front(), "side").path, 0.0, 6.0))


def moved_notch(to: float):
    def change(piece: Piece) -> Piece:
        return replace(piece, notches=(Notch("side", to, (0.0, to)),))

    return edit_piece(sheath(), "back", change)


def side_dart(width: float, end: tuple[float, float], longer: float = 0.0):
    """The front with a dart in its side at the bust level; its side leaves end at its mouth."""

    def change(piece: Piece) -> Piece:
        edges = []
        for edge in piece.edges:
            if edge.name != "side":
                edges.append(edge)
                continue
            top = tuple(edge.path.curves[-1, 3].tolist())
            low = (top[0] + 8.0, 860.0)
            high = (low[0] + longer, low[1] + width)
            edges += [
                Edge("side.1", line((edge.path.curves[0, 0, 0], 0.0), low), "side", allowance=10.0),
                Edge("side dart leg", line(low, end), finish="dart"),
                Edge("side dart leg.2", line(end, high), finish="dart"),
                Edge("side.2", line(high, top), "side", allowance=10.0),
            ]
        return replace(piece, edges=tuple(edges))

    return edit_piece(sheath(), "front", change)


def wide_dart(width: float, short_leg: float = 0.0):
    """The skirt's front with a waist dart of another width, or with its point moved off the middle."""

    def change(piece: Piece) -> Piece:
        legs = [edge for edge in piece.edges if edge.finish == "dart"]
        a, b = legs[0].path.curves[0, 0], legs[1].path.curves[-1, 3]
        middle = (a + b) / 2.0
        new_a, new_b = (float(middle[0]) + width / 2.0, 600.0), (float(middle[0]) - width / 2.0, 600.0)
        point = (float(middle[0]) + short_leg, 500.0)
        drawn = {legs[0].name: line(new_a, point), legs[1].name: line(point, new_b)}
        drawn["waist.1"] = line((float(piece.edges[2].path.curves[0, 0, 0]), 600.0), new_a)
        drawn["waist.2"] = line(new_b, (0.0, 600.0))
        return replace(piece, edges=tuple(replace(e, path=drawn.get(e.name, e.path)) for e in piece.edges))

    return edit_piece(skirt(), "front", change)


def notched_corner(allowance: float):
    """A skirt front whose centre is cut in by a short step near the hem: an inside corner with little room."""

    def change(piece: Piece) -> Piece:
        right = float(piece.edges[0].path.curves[-1, 3, 0])
        step = (
            Edge("hem", line((0.0, 0.0), (right - 40.0, 0.0)), allowance=allowance),
            Edge("step", line((right - 40.0, 0.0), (right - 40.0, 8.0)), allowance=allowance),
            Edge("ledge", line((right - 40.0, 8.0), (right, 8.0)), allowance=allowance),
        )
        side = replace(piece.edges[1], path=line((right, 8.0), tuple(piece.edges[1].path.curves[-1, 3].tolist())))
        return replace(piece, edges=(*step, side, *piece.edges[2:]))

    return edit_piece(skirt(), "front", change)


def open_at(front_angle: float):
    """The sheath's armhole leaving the side at another angle."""
    path = edge_of(front(), "armhole").path
    curves = path.curves.copy()
    curves[0, 1] = curves[0, 0] + (-20.0, front_angle)
    return edit_edge(sheath(), "front", "armhole", path=Path(curves, path.straight))


def without_piece_mark(name: str):
    return edit_piece(sheath(), name, lambda piece: replace(piece, marks=()))


def no_grain():
    return edit_piece(sheath(), "back", lambda piece: replace(piece, grain=None))


def not_a_pair():
    return edit_piece(skirt(), "back", lambda piece: replace(piece, mirrored_pair=False))


def child(**given: object) -> Subject:
    return of_sheath(figure="child", **given)


def facing_off():
    return edit_edge(sheath(), "front", "armhole facing", path=moved(edge_of(front(), "armhole facing").path, 0.2, 0.0))


def with_sides(left: float, right: float):
    return with_measures(sheath(), left_shoulder=left, right_shoulder=right)


def low_back(low: float):
    path = edge_of(back(), "back neck").path
    ends = path.curves[0, 0], path.curves[0, 3]
    dropped = cubic(tuple(ends[0]), tuple(path.curves[0, 1]), (90.0, low), (0.0, low))
    return edit_edge(
        edit_edge(sheath(), "back", "back neck", path=dropped), "back", "centre back", path=line((0.0, low), (0.0, 0.0))
    )
