"""The skin of a dress form as a radius about an upright middle line, and the grid of points laid over it.

At every height the form is the union of the trunk's section (a superellipse with the bust's two mounds) and the
neck's (an ellipse), drawn from the middle line by angle: 0 straight ahead, a quarter turn to the side. As a radius is
one number for each angle and height, the skin can't cross itself whatever the measures [A]. The shoulder's top is
where the trunk's breadth falls off along a straight line: horizontal ellipses of falling breadth give it a round
back of radius depth^2 / breadth times that fall [A].
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from onfold.body.form_levels import Plan, Side
from onfold.body.form_sections import Mounds, mounds_at, mounds_of, superellipse

Array = NDArray[np.float64]

STEP = 2.0
"""Pitch of the heights at which the profiles are kept, mm."""

LEAN = 0.27
"""How far the neck leans forward for each mm it rises: 15 degrees [C]."""

SIDE_OF_NECK = 0.42
"""Where the side-neck point lies between the nape and the front-neck pit, seen from the side [C]."""

BLEND = 0.19
"""Over how much of the neck's own radius neck and trunk run into one another, twice over."""

TRUNK = ("hem", "knee", "thigh", "hip", "navel", "waist", "underbust", "bust", "underarm")


@dataclass
class Knobs:
    """What is turned until the tape agrees: each section's growth, the neck's lie and the plates' place (mm)."""

    grown: Array
    neck: float
    nape_above: float
    side_neck_at: float
    shoulder: float


@dataclass(frozen=True, eq=False)
class Profiles:
    """Each section's sizes at heights `y` (k,), mm: half breadth, front and back from the middle, exponent."""

    y: Array
    middle: Array
    breadth: Array
    front: Array
    back: Array
    exponent: Array
    exponent_behind: Array
    grown: Array
    mound: Array
    mounds: Mounds
    neck_half: float
    neck_depth: float
    neck_nape: tuple[float, float]
    pit: tuple[float, float]


def monotone(x: Array, y: Array, at: Array) -> Array:
    """Return the cubic through (x, y), (k,) each, at `at`: it never leaves the span between neighbours.

    Source: Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5, 1984 [M]; level beyond both ends.
    """
    width = np.diff(x)
    slope = np.diff(y) / width
    left, right = 2.0 * width[1:] + width[:-1], width[1:] + 2.0 * width[:-1]
    same = slope[:-1] * slope[1:] > 0.0
    first, second = np.where(same, slope[:-1], 1.0), np.where(same, slope[1:], 1.0)
    inner = np.where(same, (left + right) / (left / first + right / second), 0.0)
    tangent = np.concatenate([[0.0], inner, [0.0]])
    place = np.clip(np.searchsorted(x, at, side="right") - 1, 0, len(width) - 1)
    t = np.clip((at - x[place]) / width[place], 0.0, 1.0)
    h = width[place]
    found: Array = (
        y[place] * (1 + 2 * t) * (1 - t) ** 2
        + y[place + 1] * t * t * (3 - 2 * t)
        + h * tangent[place] * t * (1 - t) ** 2
        - h * tangent[place + 1] * t * t * (1 - t)
    )
    return found


def _softened(values: Array, width: float) -> Array:
    """Give the values (k,) with their kinks rubbed off over `width` mm either way."""
    reach = max(int(2.5 * width / STEP), 1)
    weight = np.exp(-0.5 * (np.arange(-reach, reach + 1) * STEP / width) ** 2)
    padded = np.concatenate([np.full(reach, values[0]), values, np.full(reach, values[-1])])
    return np.convolve(padded, weight / weight.sum(), mode="valid")


def profiles(plan: Plan, knobs: Knobs) -> Profiles:
    """Return the sizes of the sections at every height for these knobs."""
    level, scale = plan.levels, plan.scale
    y_neck = level["neck"]
    neck_half = 0.150 * plan.girths["neck"] * knobs.neck
    slant = max((knobs.neck * plan.girths["neck"] / np.pi) - neck_half, 0.6 * neck_half)
    nape_y, pit_y = y_neck + knobs.nape_above, y_neck - plan.pit_drop
    rise = nape_y - pit_y
    along = np.sqrt(max((2.0 * slant) ** 2 - rise**2, (1.1 * slant) ** 2))
    # From the nape's place follows the side neck's, which the length from there to the bust point decides.
    nape_z = knobs.side_neck_at - SIDE_OF_NECK * along
    pit_z = nape_z + along
    neck_depth = (along + LEAN * rise) / 2.0

    y = np.arange(level["hem"], nape_y + 120.0 * scale + STEP, STEP)
    keys = np.array([level[name] for name in TRUNK])
    half, back, front, exponent = _trunk(plan)
    drop = (plan.left.drop + plan.right.drop) / 2.0
    shoulder = (plan.left.shoulder + plan.right.shoulder) / 2.0
    point = y_neck - drop
    axis = nape_z + neck_depth - LEAN * (nape_y - y_neck)
    upper = np.array([*keys, max(point, keys[-1] + 0.02 * (y_neck - keys[-1])), y_neck, nape_y + 120.0 * scale])
    falling = np.sqrt(max(shoulder**2 - drop**2, 1.0)) / drop
    tip = neck_half + np.sqrt(max(shoulder**2 - drop**2, 1.0))
    round_front, round_back = 32.0 * scale, 52.0 * scale
    f_point, k_point = (np.sqrt(each * tip / falling) for each in (round_front, round_back))
    f_top, k_top = (np.sqrt(each * neck_half * 1.2 / falling) for each in (0.5 * round_front, 0.6 * round_back))
    last_middle = (front[-1] + back[-1]) / 2.0
    at_point = last_middle + 0.75 * (knobs.side_neck_at - last_middle) + plan.shoulder_forward
    lifted = axis + LEAN * 120.0 * scale
    middle = np.array([*((front + back) / 2.0), at_point, knobs.side_neck_at, lifted])
    own_front = np.array([*(front - middle[: len(front)]), f_point, f_top, f_top])
    own_back = np.array([*(middle[: len(back)] - back), k_point, k_top, k_top])
    plate = _plate(plan, half, tip + knobs.shoulder, point, y_neck)
    wide = monotone(*plate, y)
    soft = 18.0 * scale
    # The back is squarer over the shoulder blades than the chest over the collarbones.
    ahead, behind = np.array([*exponent, 2.0, 2.0, 2.0]), np.array([*exponent, 3.0, 2.0, 2.0])
    curves = [monotone(upper, each, y) for each in (middle, own_front, own_back, ahead, behind)]
    middle_y, front_y, back_y, ahead_y, behind_y = (_softened(each, soft) for each in curves)
    return Profiles(
        y=y,
        middle=middle_y,
        breadth=_softened(wide, soft),
        front=front_y,
        back=back_y,
        exponent=ahead_y,
        exponent_behind=behind_y,
        grown=monotone(np.array([*keys, y_neck]), np.array([*knobs.grown, 1.0]), y),
        mound=_mound_upright(plan, y),
        mounds=mounds_of(*plan.sections["bust"], plan.mound, plan.span),
        neck_half=float(neck_half),
        neck_depth=float(neck_depth),
        neck_nape=(float(nape_y), float(nape_z)),
        pit=(float(pit_y), float(pit_z)),
    )


def _trunk(plan: Plan) -> tuple[Array, Array, Array, Array]:
    """Give half breadth, z of the back, z of the front (without mounds) and exponent at the levels of the trunk."""
    sections = [plan.sections[name] for name in TRUNK]
    blades = -plan.sections["bust"][1] / 2.0
    half, depth, exponent = (np.array(each) for each in zip(*sections, strict=True))
    half = half / 2.0
    back = np.array([blades + plan.back.get(name, 0.0) for name in TRUNK])
    front = back + depth
    hip = TRUNK.index("hip")
    bust = TRUNK.index("bust")
    front[bust] -= plan.mound
    # The thighs stand under the front of the hip; the knees under the middle of the trunk.
    thigh, knee = TRUNK.index("thigh"), TRUNK.index("knee")
    front[thigh] = front[hip] - 0.3 * max(depth[hip] - depth[thigh], 0.0)
    back[thigh] = front[thigh] - depth[thigh]
    back[thigh] += 0.4 * min(plan.under_seat, 0.3 * depth[thigh])
    under = (front[thigh] + back[thigh]) / 2.0 - 0.04 * depth[hip]
    for at in (knee, TRUNK.index("hem")):
        front[at], back[at] = under + depth[at] / 2.0, under - depth[at] / 2.0
    return half, back, front, exponent


def _plate(plan: Plan, half: Array, tip: float, point: float, y_neck: float) -> tuple[Array, Array]:
    """Give heights and half breadths of the trunk with its armhole plates, as if the shoulders had no top."""
    keys = [plan.levels[name] for name in TRUNK]
    straight = (half[-1] + tip) / 2.0
    across = min(max(plan.across + 4.0, straight - 18.0 * plan.scale), straight + 18.0 * plan.scale)
    gap = max(point - keys[-1], 0.02 * (y_neck - keys[-1]))
    above = [keys[-1] + 0.45 * gap, keys[-1] + 0.82 * gap, y_neck]
    return np.array([*keys, *above]), np.array([*half, across, tip, tip + 2.0 * plan.scale])


def _mound_upright(plan: Plan, y: Array) -> Array:
    """Give how much of the bust's fullness stands at each height: round below, drawn out above [C]."""
    bust, neck = plan.levels["bust"], plan.levels["neck"]
    below = (bust - plan.levels["underbust"]) * 1.22
    above = 0.62 * (neck - plan.pit_drop - bust) + 1.0
    t = np.clip(np.where(y < bust, (bust - y) / below, (y - bust) / above), 0.0, 1.0)
    full: Array = (1.0 - t * t) ** 2
    return full


def radius(plan: Plan, made: Profiles, side: Side, angle: Array, y: Array) -> Array:
    """Return the radius (any shape), mm, about the middle line at `angle` (0 to pi) and height `y` of one side."""
    lifted = y - _hip_lift(plan, side, angle, y)

    def at(values: Array) -> Array:
        return np.interp(lifted, made.y, values)

    grown = at(made.grown)
    forward = np.cos(angle) > 0.0
    depth = np.where(forward, at(made.front), at(made.back)) * grown
    level = plan.levels
    # Each side's shoulder is its own; at the middle both sides must be one.
    mean_drop = (plan.left.drop + plan.right.drop) / 2.0
    mean_run = (_run(plan.left) + _run(plan.right)) / 2.0
    own = np.sin(angle) ** 2
    drop, run_here = mean_drop + own * (side.drop - mean_drop), mean_run + own * (_run(side) - mean_run)
    fall = drop / run_here
    top = made.neck_half + (level["neck"] - y) / fall
    plate = at(made.breadth) * grown
    widening = np.clip((y - level["underarm"]) / (level["neck"] - mean_drop - level["underarm"] + 1e-9), 0.0, 1.0)
    plate = plate + (run_here - mean_run) * widening
    half = _lesser(plate, np.maximum(top, 0.02 * made.neck_half), 42.0 * plan.scale)
    half = np.maximum(half, 0.02 * made.neck_half)
    # Above the shoulders nothing of the trunk is left beside the neck.
    depth = np.maximum(depth * np.clip(half / (0.8 * made.neck_half), 0.02, 1.0), 1.0)
    exponent = np.where(forward, at(made.exponent), at(made.exponent_behind))
    body = superellipse(angle, half, depth, exponent)
    if plan.mound > 0.0:
        body = body + mounds_at(made.mounds, angle) * at(made.mound) * grown
    neck = _neck_radius(plan, made, angle, y)
    return _greater(body, neck, BLEND * 2.0 * made.neck_half)


def _run(side: Side) -> float:
    """Give how far out a shoulder reaches, level."""
    return float(np.sqrt(max(side.shoulder**2 - side.drop**2, 1.0)))


def _hip_lift(plan: Plan, side: Side, angle: Array, y: Array) -> Array:
    if not side.hip_high:
        return np.zeros_like(y)
    waist, hip, thigh = (plan.levels[name] for name in ("waist", "hip", "thigh"))
    t = np.where(y > hip, (y - hip) / (waist - hip), (hip - y) / (hip - thigh))
    lift: Array = min(side.hip_high, 0.3 * (hip - thigh)) * (1.0 - np.clip(t, 0, 1) ** 2) ** 2 * np.sin(angle) ** 2
    return lift


def _neck_radius(plan: Plan, made: Profiles, angle: Array, y: Array) -> Array:
    """Give the neck's radius about the middle line; 0 far below its root."""
    nape_y, nape_z = made.neck_nape
    axis = nape_z + made.neck_depth + LEAN * (y - nape_y) - np.interp(y, made.y, made.middle)
    low = made.pit[0] - 0.6 * (made.pit[0] - plan.levels["underarm"])
    present = np.clip((y - low) / (made.pit[0] - low), 0.0, 1.0)
    present = present * present * (3.0 - 2.0 * present)
    above = np.clip((y - made.pit[0]) / (nape_y + 60.0 * plan.scale - made.pit[0]), 0.0, 1.0)
    thin = 1.0 - (1.0 - plan.throat / plan.girths["neck"] * 0.99) * above
    p, q = made.neck_half * thin, made.neck_depth * thin
    sine, cosine = np.sin(angle) / p, np.cos(angle) / q
    off = np.clip(axis / q, -0.85, 0.85)
    a = sine**2 + cosine**2
    b = cosine * off
    found: Array = (b + np.sqrt(np.maximum(b * b + a * (1.0 - off**2), 0.0))) / a * present
    return found


def _lesser(first: Array, second: Array, width: float) -> Array:
    """Give the lesser of two, the corner between them rounded over `width` [A]."""
    near = np.maximum(width - np.abs(first - second), 0.0)
    return np.asarray(np.minimum(first, second) - near**2 / (4.0 * width))


def _greater(first: Array, second: Array, width: float) -> Array:
    return -_lesser(-first, -second, width)
