"""Areas bounded by rings: valid or not, in or out, joined, compared. The one door to shapely, opened when first used.

A ring is `(m, 2) float64` in mm with its first point repeated at its end; one that leaves it out is understood too.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from onfold.geometry.fault import Fault
from onfold.geometry.point import Point

Ring = NDArray[np.float64]
_ROUNDING = 1e-6
"""How far, mm, what was worked out to lie on a line may miss it."""
ALIKE = 0.02
"""mm within which two lines are one: the tolerance cut lines are drawn to."""


def area(ring: Ring) -> float:
    """Return the signed area, mm², positive for an anticlockwise ring."""
    if len(ring) < 3:
        return 0.0
    # taken from the first point, so that a ring far from the origin loses no figures
    x, y = (ring - ring[0]).T
    return float(0.5 * (np.dot(x[:-1], y[1:]) - np.dot(x[1:], y[:-1]) + x[-1] * y[0] - x[0] * y[-1]))


def closed(ring: Ring) -> Ring:
    """Return the ring with its first point repeated at its end."""
    if len(ring) and not np.array_equal(ring[0], ring[-1]):
        return np.concatenate([ring, ring[:1]])
    return ring


def _polygon(ring: Ring) -> Any | None:
    import shapely

    whole = closed(ring)
    if len(whole) < 4 or not np.isfinite(whole).all():
        return None
    return shapely.polygons(whole)


def is_valid(ring: Ring) -> bool:
    """Return whether the ring is simple: three points or more, finite, never crossing or touching itself."""
    import shapely

    polygon = _polygon(ring)
    return polygon is not None and bool(shapely.is_valid(polygon))


def are_valid(rings: Sequence[Ring]) -> list[tuple[bool, bool]]:
    """Return `is_valid` of many rings, and whether each runs anticlockwise, asked in one batch."""
    import shapely

    polygons = _polygons(rings)
    ways = shapely.is_ccw(shapely.get_exterior_ring(polygons))
    return [(bool(sound), bool(way)) for sound, way in zip(shapely.is_valid(polygons), ways, strict=True)]


def _polygons(rings: Sequence[Ring]) -> Any:
    """Return the rings' polygons as an array (n,), None where a ring has none."""
    import shapely

    result = np.full(len(rings), None, dtype=object)
    fit = [k for k, ring in enumerate(rings) if len(ring) > 3 or len(closed(ring)) > 3]
    if fit:
        points = np.concatenate([rings[k] for k in fit])
        if not np.isfinite(points).all():
            result[:] = [_polygon(ring) for ring in rings]
            return result
        whose = np.repeat(np.arange(len(fit)), [len(rings[k]) for k in fit])
        result[fit] = shapely.polygons(shapely.linearrings(points, indices=whose))
    return result


def why_invalid(ring: Ring) -> str:
    """Return what is wrong with the ring and where, in plain words; empty where nothing is."""
    import shapely

    if not np.isfinite(ring).all():
        return "a point of the outline is not a number"
    polygon = _polygon(ring)
    if polygon is None:
        return "the outline has fewer than three different points"
    said = str(shapely.is_valid_reason(polygon))
    if said == "Valid Geometry":
        return ""
    spot = said[said.find("[") + 1 : said.find("]")].split() if "[" in said else []
    where = f" near ({float(spot[0]):.1f}, {float(spot[1]):.1f}) mm" if len(spot) >= 2 else ""
    return f"the outline crosses or touches itself{where}"


def contains(ring: Ring, point: Point) -> bool:
    """Return whether the point lies in the ring or on it; False for a ring without area or a point that is none."""
    import shapely

    polygon = _polygon(ring)
    if polygon is None or not np.isfinite(point).all():
        return False
    return bool(shapely.intersects_xy(polygon, point[0], point[1]))


def enclose(outers: Sequence[Ring], inners: Sequence[Ring]) -> list[bool]:
    """Return of each pair whether no part of the inner ring's line lies outside the outer ring; on it is inside.

    A line that strays by no more than rounding lies inside: points worked out on a line seldom lie on it to the bit.
    """
    import shapely

    if not outers:
        return []
    polygons = _polygons(outers)
    valid = shapely.is_valid(polygons)
    whole = [closed(each) for each in inners]
    whose = np.repeat(np.arange(len(whole)), [len(each) for each in whole])
    lines = shapely.linestrings(np.concatenate(whole), indices=whose)
    polygons[~valid] = None
    shapely.prepare(polygons)
    held = shapely.covers(polygons, lines) & valid
    for k in np.flatnonzero(valid & ~held).tolist():
        held[k] = shapely.covers(polygons[k].buffer(_ROUNDING, join_style="mitre"), lines[k])
    return [bool(each) for each in held]


def hausdorff(a: Ring, b: Ring) -> float:
    """Return the greatest distance, mm, from either line to the other, measured at vertices and between them."""
    import shapely

    first, second = shapely.linestrings(a), shapely.linestrings(b)
    return float(shapely.hausdorff_distance(first, second, densify=0.02))


def farthest(points: Ring, line: Ring) -> float:
    """Return the greatest distance, mm, of any of the points (m, 2) from the line through `line` (k, 2)."""
    import shapely

    target = shapely.linestrings(line)
    shapely.prepare(target)
    return float(shapely.distance(target, shapely.points(points)).max())


def depths(ring: Ring, points: Ring) -> Ring:
    """Return how deep (m,), mm, each of the points (m, 2) lies within the ring: its distance from the ring's line.

    Negative outside, 0 on the line.
    """
    import shapely

    polygon, line = shapely.polygons(closed(ring)), shapely.linestrings(closed(ring))
    shapely.prepare(polygon)
    shapely.prepare(line)
    away = shapely.distance(line, shapely.points(points))
    return np.asarray(np.where(shapely.intersects_xy(polygon, points[:, 0], points[:, 1]), away, -away))


def nearest_spots(lines: Sequence[Ring], points: Ring) -> Ring:
    """Return for each of the points (m, 2) the nearest spot (m, 2) on any of the lines (k, 2)."""
    import shapely

    whole = shapely.multilinestrings([shapely.linestrings(each) for each in lines])
    shapely.prepare(whole)
    bridges = shapely.shortest_line(whole, shapely.points(points))
    return np.array(shapely.get_coordinates(bridges).reshape(-1, 2, 2)[:, 0])


def joined_to_mirror(half: Ring) -> Ring:
    """Return the whole ring, anticlockwise, of a half whose fold lies on x = 0: joined to its mirror there.

    A half that meets x = 0 nowhere along a stretch has no whole: it is returned as it is.
    """
    held = half.copy()
    held[np.abs(held[:, 0]) <= ALIKE, 0] = 0.0
    whole = joined_region([held, held[::-1] * (-1.0, 1.0)])
    return half if isinstance(whole, Fault) else whole


def joined_region(rings: Sequence[Ring]) -> Ring | Fault:
    """Return the anticlockwise outer ring of all rings laid together; a Fault where they don't hang together."""
    import shapely

    polygons = [polygon for ring in rings if (polygon := _polygon(ring)) is not None]
    if not polygons:
        return Fault("there is no region to join")
    whole = shapely.union_all([each if shapely.is_valid(each) else shapely.make_valid(each) for each in polygons])
    return _outer(whole)


def overlap_area(a: Ring, b: Ring) -> float:
    """Return the area, mm², that two rings share; 0 where either is invalid."""
    import shapely

    first, second = _polygon(a), _polygon(b)
    if first is None or second is None or not (shapely.is_valid(first) and shapely.is_valid(second)):
        return 0.0
    return float(shapely.area(shapely.intersection(first, second)))


def overlaps(rings: Sequence[Ring], least: float) -> list[tuple[int, int, float]]:
    """Return (i, j, area mm²) of every two rings, i < j, that share more than `least` mm²; invalid ones share none."""
    import shapely

    polygons = _polygons(rings)
    polygons[~shapely.is_valid(polygons)] = None
    tree = shapely.STRtree(polygons)
    first, second = tree.query(polygons, predicate="intersects")
    pairs = first < second
    first, second = first[pairs], second[pairs]
    shared = shapely.area(shapely.intersection(polygons[first], polygons[second]))
    big = np.flatnonzero(shared > least)
    return [(int(first[k]), int(second[k]), float(shared[k])) for k in sorted(big, key=lambda k: (first[k], second[k]))]


def _outer(shape: Any, holding: Any = None) -> Ring | Fault:
    """Return the anticlockwise outer ring of the one polygon in a shape, or of the one over the polygon `holding`."""
    import shapely

    parts = [part for part in shapely.get_parts(shape) if shapely.get_type_id(part) == 3 and part.area > 0.0]
    if holding is not None and len(parts) > 1:
        spot = holding.representative_point()
        parts = [part for part in parts if shapely.intersects(part, spot)]
    if not parts:
        return Fault("the outline has no area")
    if len(parts) > 1:
        return Fault("the outline falls into separate parts")
    return np.array(shapely.get_coordinates(shapely.orient_polygons(shapely.polygons(parts[0].exterior))))


def on_grid(ring: Ring, step: float) -> Ring | Fault:
    """Return the ring with its points on a grid of this step, mm, sound there: slivers narrower than it fall away."""
    import shapely

    shape = _polygon(ring)
    if shape is None:
        return Fault("the outline has no area")
    return _outer(shapely.set_precision(shape, step))


def wound_region(crossing: Ring, inner: Ring, clips: Sequence[tuple[Point, Point]] = ()) -> Ring | Fault:
    """Return the outer ring of all that a self-crossing ring winds round anticlockwise, together with the inner ring.

    Loops that turn back on themselves wind clockwise and so fall away. `clips` are (point, inward unit normal) of
    lines that nothing may reach beyond. A Fault where no single region with an area is left.
    """
    import shapely

    try:
        return _wound(crossing, inner, clips)
    except shapely.errors.GEOSException:
        return Fault("the outline runs so nearly along itself that its lines cannot be told apart")


def _wound(crossing: Ring, inner: Ring, clips: Sequence[tuple[Point, Point]]) -> Ring | Fault:
    import shapely

    # a union nodes the ring as robustly as shapely can: its own noder gives up on near-coincident lines
    faces = shapely.get_parts(shapely.polygonize([shapely.union_all([shapely.linestrings(closed(crossing))])]))
    kept = [face for face in faces if _winding(crossing, face) > 0]
    base = _polygon(inner)
    if base is not None:
        kept.append(base if shapely.is_valid(base) else shapely.make_valid(base))
    if not kept:
        return Fault("the outline has no area")
    whole = shapely.union_all(kept)
    for (x, y), (nx, ny) in clips:
        reach = 4.0 * float(np.abs(np.concatenate([crossing, inner]) - (x, y)).max()) + 1.0
        corners = [
            (x - reach * ny, y + reach * nx),
            (x + reach * ny, y - reach * nx),
            (x + reach * (nx + ny), y + reach * (ny - nx)),
            (x + reach * (nx - ny), y + reach * (ny + nx)),
        ]
        whole = shapely.intersection(whole, shapely.polygons(corners))
    return _outer(whole, base)


def _winding(ring: Ring, face: Any) -> int:
    """Return how often the ring goes anticlockwise round a face."""
    spot = face.representative_point()
    x, y = spot.x, spot.y
    a, b = ring[:-1], ring[1:]
    left = (b[:, 0] - a[:, 0]) * (y - a[:, 1]) - (x - a[:, 0]) * (b[:, 1] - a[:, 1])
    up, down = (a[:, 1] <= y) & (b[:, 1] > y) & (left > 0.0), (a[:, 1] > y) & (b[:, 1] <= y) & (left < 0.0)
    return int(up.sum() - down.sum())


def hull(points: Ring, wider: float = 0.0) -> Ring | None:
    """Return the convex hull (k, 2) of points (m, 2), anticlockwise and unclosed, moved outward by `wider` mm.

    None where the points have no area.
    """
    import shapely

    found = shapely.convex_hull(shapely.multipoints(points))
    if found.geom_type != "Polygon":
        return None
    grown = shapely.buffer(found, wider, quad_segs=8) if wider else found
    ring = np.asarray(shapely.get_coordinates(grown))[:-1]
    return ring if area(ring) > 0.0 else ring[::-1]
