"""A dress form with a wearer's measures: the closed skin of a trunk without arms and head, as a tailor's stand has it.

From the neck's stump over the shoulders, which end in armhole plates, to the hips, and below them one column round
both legs. `form_levels` gathers what it must be, `form_surface` shapes it, `form_mesh` lays a grid of triangles over
it; here it is made and taped again and again until the tape agrees.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from onfold.body.form_levels import Plan, plan_of
from onfold.body.form_mesh import Faces, around, closed, cut, half_grid, heights
from onfold.body.form_sections import hull_round, taut_length
from onfold.body.form_surface import TRUNK, Knobs, profiles
from onfold.body.measures import Figure
from onfold.body.taken import Taken
from onfold.geometry.fault import Fault

Array = NDArray[np.float64]

LEAST_TURNS, MOST_TURNS = 5, 20
"""How often the form is made and taped until the tape agrees: contradictory measures take longest."""

SETTLED = 0.5
"""How far, mm, the worst girth may have been off before the last turn."""

TURN_DOWN = 65.0
"""How steeply the shoulder's top falls where it ends and the armhole begins, degrees [C]."""

GIRTHS = {
    "knee": "knee",
    "hip": "hip",
    "navel": "hip",
    "waist": "waist",
    "underbust": "underbust",
    "bust": "bust",
    "underarm": "high bust",
}
"""The levels at which the tape is laid level, and the measure it takes there."""


@dataclass(frozen=True, eq=False)
class Form:
    """A closed skin of the trunk, mm: y up from the floor (barefoot), x to the wearer's left, z to the front.

    `points` (n, 3) float64 and `faces` (m, 3) int32, anticlockwise seen from outside, are read-only and of one piece.
    `levels` gives heights, `girths` the tape's girth wanted at them: `underarm` is the high bust, `knee` goes round
    both knees together, `navel` is estimated from the survey's relation. `places` gives points (3,) on the skin.
    `neck_ring` (k,) lists the points of the neck's root, from the front-neck pit by the wearer's left; the neck's girth
    is the length of that ring: it runs level over the side-neck points and bows to pit and nape, as a tape does.
    `strained` names the measures that the form could not keep because others spoke against them.
    """

    points: Array
    faces: Faces
    levels: dict[str, float]
    girths: dict[str, float]
    places: dict[str, Array]
    neck_ring: NDArray[np.int32]
    strained: tuple[str, ...]


def form_of(figure: Figure, measures: Mapping[str, Taken], notes: Mapping[str, float] | None = None) -> Form | Fault:
    """Return the dress form of a wearer, or why there is none: height, bust, waist or hip is not known.

    Measures as `fill` gives them; those that are absent stand in by a share of another. Notes by their formula names,
    mm. Used are: height, high bust, bust, underbust, waist, hip, neck, knee and thigh; across front and back (their
    mean); bust point to bust point; shoulder, left and right; nape to waist, shoulder to bust (the mean of left and
    right), shoulder to underarm, underarm to waist, bust to waist, waist to hip, waist to floor, knee height, inside
    leg. Of the notes: sway back, rounded back, forward shoulder, full tummy, flat seat, hollow under the seat, square
    and sloping shoulders, a low shoulder, a high hip (the hip's fullness sits higher there). Not used: every other
    measure, and the note full bust, which the girths tell.

    Where measures contradict one another the girths are kept first, then the levels, and `strained` says what was
    not. Equal sides give a skin that is its own mirror image to the bit. Breadths and depths: `form_sections`.
    """
    plan = plan_of(figure, measures, notes or {})
    if isinstance(plan, Fault):
        return plan
    n = around(plan)
    knobs = Knobs(np.ones(len(TRUNK)), 0.9, 12.0 * plan.scale, -18.0 * plan.scale, 12.0 * plan.scale)
    _, place = heights(plan)
    left, right, root = _halves(plan, knobs, n)
    for turn in range(MOST_TURNS):
        off = _turn(plan, knobs, left, right, root, place)
        left, right, root = _halves(plan, knobs, n)
        if turn >= LEAST_TURNS and off < SETTLED:
            break
    points, faces = closed(left, right)
    return _form(plan, points, faces, left, right, root, place)


def _halves(plan: Plan, knobs: Knobs, n: int) -> tuple[Array, Array, int]:
    made = profiles(plan, knobs)
    left, root = half_grid(plan, made, plan.left, n)
    right = left if plan.right == plan.left else half_grid(plan, made, plan.right, n)[0]
    return left, right * np.array([-1.0, 1.0, 1.0]), root


def _turn(plan: Plan, knobs: Knobs, left: Array, right: Array, root: int, place: dict[str, int]) -> float:
    """Tape the halves and turn every knob towards what the plan wants; give how far the worst girth was off, mm.

    Each knob tells on its own measure most, so that turning all at once settles.
    """
    round_neck = root_round(left, right, root)
    off = abs(round_neck - plan.girths["neck"])
    for level in GIRTHS:
        taped = _taped(left, right, place[level])
        off = max(off, abs(taped - plan.girths[level]))
        knobs.grown[TRUNK.index(level)] *= plan.girths[level] / taped
    knobs.grown[TRUNK.index("hem")] = knobs.grown[TRUNK.index("knee")]
    scale = plan.scale
    knobs.neck *= (plan.girths["neck"] / round_neck) ** 1.4
    run = _along_back(left, place["waist"], root)
    # A neck of this girth can't reach higher behind.
    most = min(60.0 * scale, 0.12 * plan.girths["neck"])
    knobs.nape_above = float(np.clip(knobs.nape_above + plan.nape_to_waist - run, min(-8.0 * scale, most), most))
    ends = sum(_shoulder_end(half, place["underarm"], root) for half in (left, right)) / 2.0
    short = (plan.left.shoulder + plan.right.shoulder) / 2.0 - ends
    knobs.shoulder = float(np.clip(knobs.shoulder + 0.7 * short, -45.0 * scale, 40.0 * scale))
    over = (_over_bust(plan, left, root) + _over_bust(plan, right, root)) / 2.0
    wanted = (plan.left.shoulder_to_bust + plan.right.shoulder_to_bust) / 2.0
    moved = knobs.side_neck_at - 1.4 * (wanted - over)
    knobs.side_neck_at = float(np.clip(moved, -60.0 * scale, 30.0 * scale))
    return off


def root_round(left: Array, right: Array, root: int) -> float:
    """Return the length, mm, of the tape along the neck's root."""
    steps = [np.linalg.norm(np.diff(half[root], axis=0), axis=1).sum() for half in (left, right)]
    return float(sum(steps))


def _along_back(left: Array, waist: int, root: int) -> float:
    return float(np.linalg.norm(np.diff(left[waist : root + 1, -1], axis=0), axis=1).sum())


def _bust_point(plan: Plan, half: Array) -> Array:
    row = int(np.argmin(np.abs(half[:, 0, 1] - plan.levels["bust"])))
    ring = half[row]
    turn = int(np.argmax(np.abs(ring[:, 0])))
    x = np.sign(ring[turn, 0]) * plan.span / 2.0
    side = abs(ring[: turn + 1, 0])
    return np.array([x, ring[0, 1], np.interp(abs(x), side, ring[: turn + 1, 2])])


def _over_bust(plan: Plan, half: Array, root: int) -> float:
    """Give the length from side neck to bust point over the body, straight in plan, the tape bridging hollows."""
    neck = half[root, half.shape[1] // 2]
    bust = _bust_point(plan, half)
    ahead = np.array([bust[0] - neck[0], bust[2] - neck[2]])
    reach = float(np.hypot(*ahead))
    if reach < 1.0:
        return float(np.linalg.norm(bust - neck))
    ahead /= reach
    grid = half[: root + 1, : half.shape[1] // 2 + 1]
    grid = grid[grid[:, 0, 1] > plan.levels["bust"] + 1.0]
    off = np.array([neck[0], neck[2]])
    across = (grid[..., 0] - off[0]) * ahead[1] - (grid[..., 2] - off[1]) * ahead[0]
    run = (grid[..., 0] - off[0]) * ahead[0] + (grid[..., 2] - off[1]) * ahead[1]
    # Along each row the plane is crossed once between the front and the side.
    flip = across[:, :-1] * across[:, 1:] <= 0.0
    row, col = np.nonzero(flip)
    first, second = across[row, col], across[row, col + 1]
    share = first / np.where(np.abs(first - second) < 1e-12, 1.0, first - second)
    x = run[row, col] + share * (run[row, col + 1] - run[row, col])
    y = grid[row, col, 1] + share * (grid[row, col + 1, 1] - grid[row, col, 1])
    inside = (x > 0.0) & (x < reach)
    path = np.array([[0.0, neck[1]], *np.stack([x[inside], y[inside]], 1), [reach, bust[1]]])
    path = path[np.lexsort((-path[:, 1], path[:, 0]))]
    return taut_length(path[::-1].tolist())


def _form(plan: Plan, points: Array, faces: Faces, left: Array, right: Array, root: int, place: dict[str, int]) -> Form:
    middle, n = left.shape[1] // 2, 2 * (left.shape[1] - 1)
    places = {"nape": left[root, -1], "front neck pit": left[root, 0]}
    for name, half, side in (("left", left, plan.left), ("right", right, plan.right)):
        places[f"{name} bust point"] = _bust_point(plan, half)
        places[f"{name} side neck"] = half[root, middle]
        places[f"{name} shoulder point"] = _down_shoulder(half, root, side.shoulder)
        places[f"{name} underarm"] = half[place["underarm"], middle]
    places = {name: at.copy() for name, at in places.items()}
    shoulder = (places["left shoulder point"][1] + places["right shoulder point"][1]) / 2.0
    levels = {**plan.levels, "nape": float(places["nape"][1]), "shoulder": float(shoulder)}
    ring = np.arange(root * n, (root + 1) * n, dtype=np.int32)
    for each in (points, faces, ring, *places.values()):
        each.flags.writeable = False
    strained = (*plan.strained, *_missed(plan, left, right, root, place))
    return Form(points, faces, levels, dict(plan.girths), places, ring, tuple(dict.fromkeys(strained)))


def _missed(plan: Plan, left: Array, right: Array, root: int, place: dict[str, int]) -> list[str]:
    """Give the measures that the finished halves don't keep: girths to 2 mm, lengths to 5, over the bust to 8."""
    found = []
    for level, name in GIRTHS.items():
        if abs(_taped(left, right, place[level]) - plan.girths[level]) > 2.0:
            found.append(name)
    if abs(root_round(left, right, root) - plan.girths["neck"]) > 2.0:
        found.append("neck")
    if abs(_along_back(left, place["waist"], root) - plan.nape_to_waist) > 5.0:
        found.append("nape to waist")
    sides = (("left", left, plan.left), ("right", right, plan.right))
    for name, half, side in sides:
        here = f"{name} " if plan.left != plan.right else ""
        if abs(_shoulder_end(half, place["underarm"], root) - side.shoulder) > 5.0:
            found.append(f"{here}shoulder")
        if abs(_over_bust(plan, half, root) - side.shoulder_to_bust) > 8.0:
            found.append(f"{here}shoulder to bust")
    return found


def _taped(left: Array, right: Array, row: int) -> float:
    return hull_round(np.concatenate([left[row], right[row]])[:, [0, 2]])


def _shoulder_end(half: Array, underarm: int, root: int) -> float:
    """Give how far from the side neck, mm along its top, the shoulder turns down into the armhole plate."""
    ridge = half[underarm : root + 1, half.shape[1] // 2][::-1]
    out, up = np.diff(np.abs(ridge[:, 0])), np.diff(ridge[:, 1])
    length = np.linalg.norm(np.diff(ridge, axis=0), axis=1)
    middles = np.cumsum(length) - length / 2.0
    fall = np.degrees(np.arctan2(-up, out))
    over = int(np.argmax((fall > TURN_DOWN) & (middles > 0.3 * middles[-1])))
    if over == 0:
        return float(middles[-1])
    return float(np.interp(TURN_DOWN, fall[over - 1 : over + 1], middles[over - 1 : over + 1]))


def _down_shoulder(half: Array, root: int, length: float) -> Array:
    """Give the point `length` down the top of the shoulder from the side neck."""
    ridge = half[: root + 1, half.shape[1] // 2][::-1]
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(ridge, axis=0), axis=1))])
    return np.array([np.interp(length, run, ridge[:, axis]) for axis in range(3)])


def section(form: Form, height: float) -> list[Array]:
    """Return the closed rings (k, 2), x and z in mm, in which a level plane cuts the form; none above or below it."""
    rings = cut(form.points, form.faces, np.array([0.0, 1.0, 0.0]), height)
    return [np.ascontiguousarray(ring[:, [0, 2]]) for ring in rings]


def tape_round(form: Form, height: float) -> float:
    """Return the girth, mm, as a tape held level takes it: taut over hollows. 0 where the form isn't there."""
    rings = section(form, height)
    return hull_round(np.concatenate(rings)) if rings else 0.0
