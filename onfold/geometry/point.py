"""Points as pairs of plain floats (mm, Y up): distances, directions, turning, mirroring. Angles in radians."""

from __future__ import annotations

import math

Point = tuple[float, float]


def distance(a: Point, b: Point) -> float:
    """Return the straight distance from a to b, mm."""
    return math.hypot(b[0] - a[0], b[1] - a[1])


def midpoint(a: Point, b: Point) -> Point:
    """Return the point halfway between a and b."""
    return (a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0


def between(a: Point, b: Point, share: float) -> Point:
    """Return the point at `share` of the way from a (0) to b (1); outside 0…1 it lies on the line produced."""
    return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share


def direction(a: Point, b: Point) -> Point:
    """Return the unit vector from a to b; (0, 0) where they coincide or a coordinate is not finite."""
    return unit((b[0] - a[0], b[1] - a[1]))


def unit(vector: Point) -> Point:
    """Return the vector scaled to length 1; (0, 0) where it has no direction."""
    size = math.hypot(vector[0], vector[1])
    if not 0.0 < size < math.inf:
        return 0.0, 0.0
    return vector[0] / size, vector[1] / size


def moved_point(p: Point, towards: Point, mm: float) -> Point:
    """Return the point `mm` from p in the direction of the unit vector `towards`."""
    return p[0] + towards[0] * mm, p[1] + towards[1] * mm


def turned_point(p: Point, about: Point, angle: float) -> Point:
    """Return p turned anticlockwise about a hinge by `angle` radians."""
    c, s = math.cos(angle), math.sin(angle)
    x, y = p[0] - about[0], p[1] - about[1]
    return about[0] + c * x - s * y, about[1] + s * x + c * y


def turned_vector(vector: Point, angle: float) -> Point:
    """Return the vector turned anticlockwise by `angle` radians."""
    return turned_point(vector, (0.0, 0.0), angle)


def mirrored_point(p: Point, a: Point, b: Point) -> Point:
    """Return p reflected in the line through a and b; p itself where they coincide and so give no line."""
    dx, dy = direction(a, b)
    if dx == 0.0 and dy == 0.0:
        return p
    x, y = p[0] - a[0], p[1] - a[1]
    twice = 2.0 * (dx * x + dy * y)
    return a[0] + twice * dx - x, a[1] + twice * dy - y


def foot(p: Point, a: Point, b: Point) -> Point:
    """Return the foot of the perpendicular from p on the line through a and b; a where they coincide."""
    dx, dy = direction(a, b)
    along = dx * (p[0] - a[0]) + dy * (p[1] - a[1])
    return a[0] + along * dx, a[1] + along * dy


def side_of(p: Point, a: Point, b: Point) -> float:
    """Return how far p lies to the left of the line from a to b, mm (negative: to the right)."""
    dx, dy = direction(a, b)
    return dx * (p[1] - a[1]) - dy * (p[0] - a[0])


def angle_between(u: Point, v: Point) -> float:
    """Return the signed angle that turns u into v, anticlockwise positive, -pi to pi; 0 where either has none."""
    return math.atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1])


def dot(u: Point, v: Point) -> float:
    """Return the scalar product."""
    return u[0] * v[0] + u[1] * v[1]


def cross(u: Point, v: Point) -> float:
    """Return the z of the cross product: positive where v lies to the left of u."""
    return u[0] * v[1] - u[1] * v[0]


def left_of(vector: Point) -> Point:
    """Return the vector turned a quarter anticlockwise, exactly."""
    return -vector[1], vector[0]


def right_of(vector: Point) -> Point:
    """Return the vector turned a quarter clockwise, exactly: outward from an anticlockwise outline."""
    return vector[1], -vector[0]


def lines_meet(a: Point, b: Point, c: Point, d: Point) -> Point | None:
    """Return where the line through a, b meets the line through c, d, both produced; None where they are parallel."""
    ab, cd = direction(a, b), direction(c, d)
    sine = cross(ab, cd)
    if abs(sine) < 1e-12:
        return None
    t = cross((c[0] - a[0], c[1] - a[1]), cd) / sine
    return a[0] + t * ab[0], a[1] + t * ab[1]
