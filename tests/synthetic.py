"""A made-up pattern for tests of what reads patterns: a skirt with curved sides, darts and a strap. No body's."""

from __future__ import annotations

import math

import numpy as np

from onfold.geometry.path import Path, at, cubic, flatten, length, line, polyline
from onfold.pattern import Edge, Grain, Inner, Level, Mark, Notch, Pattern, Piece, Run, Seam, Taken

Point = tuple[float, float]


def _edge(name: str, path: Path, allowance: float = 15.0, **more: object) -> Edge:
    return Edge(name, path, allowance=allowance, **more)  # type: ignore[arg-type]


def _offset(ring: np.ndarray, widths: np.ndarray) -> np.ndarray:
    """Return a rough mitred allowance outside an anticlockwise ring: enough to be drawn, not to be cut."""
    ways = np.roll(ring, -1, axis=0) - ring
    ways /= np.maximum(np.linalg.norm(ways, axis=1), 1e-9)[:, None]
    out = np.column_stack((ways[:, 1], -ways[:, 0]))
    before, after = np.roll(out, 1, axis=0), out
    wide_before, wide_after = np.roll(widths, 1), widths
    points = []
    for corner, na, nb, wa, wb in zip(ring, before, after, wide_before, wide_after, strict=True):
        matrix, wanted = np.array((na, nb)), np.array((wa, wb))
        if abs(np.linalg.det(matrix)) < 1e-3:
            points.append(corner + na * wa if wa >= wb else corner + nb * wb)
        else:
            points.append(corner + np.linalg.solve(matrix, wanted))
    return np.vstack((points, points[:1]))


def cut_ring(edges: tuple[Edge, ...]) -> np.ndarray:
    points, widths = [], []
    for edge in edges:
        flat = np.asarray(flatten(edge.path))[:-1]
        points.append(flat)
        widths.append(np.full(len(flat), 0.0 if edge.fold else edge.allowance))
    return _offset(np.concatenate(points), np.concatenate(widths))


def skirt_panel(name: str, fold: str, waist: float, hip: float, long: float, dart: float, hem: float = 40.0) -> Piece:
    """Half a panel on the fold: fold on x = 0, waist at the top, a dart cut into the waist, a curved side."""
    hip_down, apex = 205.0, (waist * 0.5, long - 110.0)
    left, right = (waist * 0.5 - dart / 2, long + 2.0), (waist * 0.5 + dart / 2, long + 3.0)
    side = Path(
        np.array(
            [
                [[hip, 0], [hip, (long - hip_down) / 3], [hip, (long - hip_down) * 2 / 3], [hip, long - hip_down]],
                [[hip, long - hip_down], [hip, long - 120], [waist + 14, long - 70], [waist, long + 10.0]],
            ]
        ),
        np.array([True, False]),
    )
    edges = (
        _edge("hem", line((0, 0), (hip, 0)), hem, finish="single turned 40 mm", corner="mirrored"),
        _edge("side", side, 15.0, finish="plain 15 mm"),
        _edge(
            "waist.1",
            cubic((waist, long + 10), (waist - 15, long + 6), (right[0] + 10, long + 4), right),
            10.0,
            parent="waist",
        ),
        _edge("dart leg 1", line(right, apex), 0.0),
        _edge("dart leg 2", line(apex, left), 0.0),
        _edge("waist.2", cubic(left, (left[0] - 20, long + 1), (20, long), (0, long)), 10.0, parent="waist"),
        Edge(fold, line((0, long), (0, 0)), fold=True),
    )
    hip_along = length(edges[1].path) - length(Path(side.curves[1:], side.straight[1:]))
    outline = tuple(edge for edge in edges if not edge.name.startswith("dart leg"))
    bridged = (*outline[:3], _edge("dart mouth", line(right, left), 10.0), *outline[3:])
    return Piece(
        name,
        edges,
        on_fold=True,
        cut=1,
        grain=Grain("straight", (hip * 0.62, 120.0), (hip * 0.62, long - 240.0)),
        notches=(
            Notch("side", hip_along, at(edges[1].path, hip_along), "single" if name == "front" else "double"),
            Notch("side", 200.0, at(edges[1].path, 200.0)),
        ),
        marks=(Mark("dart point", "dart point", apex), Mark("strap", f"strap {name}", (hip * 0.35, long - 60.0))),
        inner=(Inner("level", "hip", line((0, long - hip_down), (hip, long - hip_down))),),
        cut_line=cut_ring(bridged),
    )


def strap() -> Piece:
    corners = [(0.0, 0.0), (14.0, 0.0), (14.0, 420.0), (0.0, 420.0)]
    names = ("end low", "edge right", "end high", "edge left")
    edges = tuple(
        _edge(name, line(a, b), 8.0) for name, a, b in zip(names, corners, corners[1:] + corners[:1], strict=True)
    )
    return Piece(
        "strap",
        edges,
        cut=2,
        mirrored_pair=True,
        grain=Grain("straight", (7.0, 60.0), (7.0, 360.0)),
        cut_line=cut_ring(edges),
    )


def round_facing() -> Piece:
    """A small curved piece in another material."""
    inner_r, outer_r, turn = 90.0, 130.0, math.radians(70)

    def arc(radius: float, start: float, end: float) -> Path:
        k = 4 / 3 * math.tan((end - start) / 4) * radius
        a, b = ((radius * math.cos(t), radius * math.sin(t)) for t in (start, end))
        return cubic(
            a,
            (a[0] - k * math.sin(start), a[1] + k * math.cos(start)),
            (b[0] + k * math.sin(end), b[1] - k * math.cos(end)),
            b,
        )

    a, b = math.pi / 2 - turn / 2, math.pi / 2 + turn / 2
    outer, inner = arc(outer_r, a, b), arc(inner_r, b, a)

    def ends(path: Path) -> tuple[Point, Point]:
        return tuple(path.curves[0, 0].tolist()), tuple(path.curves[-1, 3].tolist())  # type: ignore[return-value]

    edges = (
        _edge("outer edge", outer, 0.0, finish="overlocked"),
        _edge("left end", line(ends(outer)[1], ends(inner)[0]), 10.0),
        _edge("neck", inner, 10.0),
        _edge("right end", line(ends(inner)[1], ends(outer)[0]), 10.0),
    )
    return Piece(
        "back neck facing",
        edges,
        cut=2,
        material="interfacing",
        cut_line=cut_ring(edges),
        grain=Grain("straight", (0, 98), (0, 125)),
    )


def skirt(scale: float = 1.0) -> Pattern:
    """A pattern of four pieces with seams, levels and a measure that was not taped."""
    front = skirt_panel("front", "centre front", 205.0 * scale, 262.0 * scale, 620.0 * scale, 20.0)
    back = skirt_panel("back", "centre back", 200.0 * scale, 255.0 * scale, 620.0 * scale, 30.0)
    side = Seam(
        "side seam",
        "plain",
        ((Run("front", "side"),), (Run("back", "side", reversed=True),)),
        twice=True,
        finish="plain 15 mm",
    )
    return Pattern(
        "straight-skirt",
        "Straight skirt",
        "soprano-2",
        (front, back, strap(), round_facing()),
        seams=(side,),
        levels={
            "waist": Level("waist", 740.0, 760.0, "waist"),
            "hip": Level("hip", 1000.0, 1034.0, "hip"),
            "hem": Level("hem", 0.0, 1034.0),
        },
        measures={"waist": Taken(740.0), "hip": Taken(1000.0), "waist to hip": Taken(205.0, True, (185.0, 225.0))},
    )


def many_pieces(count: int = 12) -> Pattern:
    """A pattern of many pieces of mixed sizes, for counting tiles."""
    pieces = []
    for at_ in range(count):
        panel = skirt_panel(f"panel {at_ + 1}", "fold", 150.0 + 13 * at_, 200.0 + 17 * at_, 420.0 + 31 * at_, 15.0)
        pieces.append(panel)
    return Pattern("many-panels", "Many panels", "alto-1", tuple(pieces))


__all__ = ["cut_ring", "many_pieces", "polyline", "skirt", "skirt_panel", "strap"]
