"""What a hung garment answers: how deep its cowl falls, how far it is stretched, how it sits; and the same as data.

Heights are mm above the floor, places (x, y, z) mm as the form has them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from onfold.cloth import Cloth, comfort_across, comfort_along
from onfold.hang.cowl import Cowl, cowl_of
from onfold.hang.dressed import surfaces_of
from onfold.hang.folds import folds_round
from onfold.hang.hanging import Hung
from onfold.hang.net import Floats, Ints, together
from onfold.hang.sewn_net import Sewn, crossed_straps
from onfold.hang.tapes import Round, ends_of, levels_of
from onfold.hang.visible import Showing, showing
from onfold.pattern import Pattern

FORMAT = "onfold hang 1"
GIVE = 0.01
"""Stretch below this is not told from none: it is within what the net and the seams give."""
GAPES, OUT_OF_LEVEL, SHOWS = 10.0, 10.0, 200.0
"""mm off the body from which an edge gapes, mm from which a hem does not hang level, mm2 from which cloth shows. [C]"""
_UNDER_ARM = 20.0
"""mm below the bust from which the top of a side seam lies under the arm."""


@dataclass(frozen=True)
class AtLevel:
    """A level of the garment as it is worn. Stretch and bounds are shares; `round` mm on the hung cloth.

    `reckoned` is the stretch that the draft reckons with, `comfort` and `full` what the cloth has. `height` mm is where
    it lies, `body` where the form has that level, None where it has none of the name.
    """

    name: str
    stretch: float
    reckoned: float
    comfort: float
    full: float
    round: float
    height: float
    body: float | None

    @property
    def times(self) -> int:
        """Return how often its tape line is drawn: 1, 2 past the comfortable stretch, 3 past full pull."""
        return 3 if self.stretch > self.full + GIVE else 2 if self.stretch > self.comfort + GIVE else 1


@dataclass(frozen=True)
class Hem:
    """How the hem hangs: lowest and highest place, and the heights at centre front and back, mm; folds round it."""

    lowest: float
    highest: float
    front: float
    back: float
    folds: int


@dataclass(frozen=True)
class Answers:
    """All that is read from one hung garment, mm and shares; None where the garment has no such part.

    `asymmetry`: the most any point lies off the mean of itself and its twin's mirror image. `back_gap` is how far the
    upper edge stands off the body at the centre back, `under_arm` the same at the top of each side seam, (side, mm).
    `slid`: how far below the body's level the garment's lies. `facing` is by whence it is looked at. `reading` is
    seen over reckoned, of an earlier garment in this cloth: falls are forecast times it.
    """

    vertices: int
    quiet: bool
    steps: int
    drift: float
    deepest_penetration: float
    self_crossings: int
    asymmetry: float
    support: float
    cowl: Cowl | None
    levels: tuple[AtLevel, ...]
    hem: Hem | None
    back_gap: float | None
    under_arm: tuple[tuple[str, float], ...]
    hangs_from: str
    slid: float
    facing: dict[str, Showing]
    estimates: tuple[str, ...]
    left_out: tuple[tuple[str, str], ...]
    reading: float = 1.0

    @property
    def fall(self) -> float | None:
        """Return the cowl's forecast fall, mm: as hung, times what an earlier garment in the cloth showed."""
        return None if self.cowl is None else self.cowl.depth * self.reading


def answers_of(hung: Hung, pattern: Pattern, cloth: Cloth) -> Answers:
    """Return what a hung garment answers."""
    sewn, x = hung.sewn, hung.x
    rounds = levels_of(sewn, x, pattern)
    return Answers(
        vertices=sewn.net.count,
        quiet=hung.quiet,
        steps=hung.steps,
        drift=hung.drift,
        deepest_penetration=max(0.0, -float(hung.gap.min())),
        self_crossings=hung.crossings,
        asymmetry=asymmetry_of(sewn, x),
        support=hung.support,
        cowl=cowl_of(sewn, x, pattern, hung.form),
        levels=tuple(_level(each, pattern, cloth, hung) for each in rounds.values()),
        hem=_hem(hung),
        back_gap=_at_centre_back(hung),
        under_arm=_under_arm(hung, pattern),
        hangs_from=_hangs_from(hung),
        slid=_slid(hung, rounds),
        facing=showing(surfaces_of(hung)),
        estimates=hung.mechanics.estimates,
        left_out=tuple(sewn.left_out),
        reading=1.0 if cloth.hung is None else cloth.hung.fall / cloth.hung.reckoned,
    )


def asymmetry_of(sewn: Sewn, x: Floats) -> float:
    """Return the most any point lies off the mean of itself and its twin's mirror image, mm.

    Straps that cross are left out: one lies over the other.
    """
    if sewn.mirror is None:
        return 0.0
    off = np.linalg.norm(0.5 * (x - x[sewn.mirror] * (-1.0, 1.0, 1.0)), axis=1)
    crossed = crossed_straps(sewn)
    return float(off.max() if crossed is None else off[~crossed].max())


def _level(level: Round, pattern: Pattern, cloth: Cloth, hung: Hung) -> AtLevel:
    cross = any(
        piece.grain is not None and piece.grain.kind == "cross"
        for piece in pattern.pieces
        if any(each.name == level.name for each in piece.inner)
    )
    comfort = comfort_along(cloth) if cross else comfort_across(cloth)
    full = cloth.stretch_along if cross else cloth.stretch_across
    stated = pattern.levels[level.name]
    return AtLevel(
        level.name, level.stretch, stated.wearing_stretch, comfort, full, level.round, level.height,
        None if level.name == "hem" else hung.form.levels.get(level.name),
    )  # fmt: skip


def _slid(hung: Hung, rounds: dict[str, Round]) -> float:
    """Return how far below the form's own level the garment's hangs, mm, by the level that tells best."""
    for name in ("waist", "bust", "underbust", "hip"):
        if name in rounds and name in hung.form.levels:
            return hung.form.levels[name] - rounds[name].height
    return 0.0


def _hem(hung: Hung) -> Hem | None:
    sewn, x = hung.sewn, hung.x
    runs = [run for (_, _, line), run in sewn.lines.items() if line.split(".")[0] == "hem"]
    points = np.unique(np.concatenate(runs)) if runs else _lowest_rim(sewn, x)
    if not len(points):
        return None
    spots = x[points]
    centre = 0.5 * float(spots[:, 2].min() + spots[:, 2].max())
    ahead, behind = spots[spots[:, 2] >= centre], spots[spots[:, 2] < centre]
    if not len(ahead) or not len(behind):
        return None
    front, back = (float(each[int(np.abs(each[:, 0]).argmin()), 1]) for each in (ahead, behind))
    ring = x[_walked(ends_of(sewn), points)][:, [0, 2]]
    return Hem(float(spots[:, 1].min()), float(spots[:, 1].max()), front, back, folds_round(ring))


def _walked(rim: Ints, points: Ints) -> Ints:
    """Return the points of a hem in their order along the cloth: in deep folds they don't stand in order round it."""
    edges = rim[np.isin(rim, points).all(axis=1)]
    beside: dict[int, list[int]] = {}
    for a, b in edges.tolist():
        beside.setdefault(a, []).append(b)
        beside.setdefault(b, []).append(a)
    out: list[int] = []
    left = set(beside)
    # an open hem, as a vent leaves it, is walked from its end
    for first in (*(k for k, near in sorted(beside.items()) if len(near) == 1), *sorted(beside)):
        at: int | None = first if first in left else None
        while at is not None:
            out.append(at)
            left.discard(at)
            at = next((k for k in beside[at] if k in left), None)
    return np.asarray(out, dtype=np.int64)


def _lowest_rim(sewn: Sewn, x: Floats) -> Ints:
    """Return the points of the lowest of the garment's free edges, of a garment whose hem has no name."""
    rim = ends_of(sewn)
    if not len(rim):
        return np.zeros(0, dtype=np.int64)
    whose = together(sewn.net.count, rim)[rim[:, 0]]
    lowest = min(np.unique(whose).tolist(), key=lambda root: float(x[rim[whose == root][:, 0], 1].mean()))
    return np.unique(rim[whose == lowest])


def _at_centre_back(hung: Hung) -> float | None:
    """Return how far the garment's upper edge stands off the body at the centre back, mm."""
    sewn, x = hung.sewn, hung.x
    rim = np.unique(ends_of(sewn))
    own = np.unique(sewn.net.tri[sewn.layer == 0])
    edge = rim[np.isin(rim, own)]
    ring = _neck_of_form(hung)
    behind = edge[x[edge, 2] < ring]
    if not len(behind):
        return None
    middle = behind[np.abs(x[behind, 0]) < max(3.0, float(np.abs(x[behind, 0]).min()) + 1e-6)]
    return float(hung.gap[middle[int(x[middle, 1].argmax())]])


def _neck_of_form(hung: Hung) -> float:
    points = hung.form.points
    return 0.5 * float(points[:, 2].min() + points[:, 2].max())


def _under_arm(hung: Hung, pattern: Pattern) -> tuple[tuple[str, float], ...]:
    """Return how far each side seam's top stands off the body where that lies under the arm."""
    sewn = hung.sewn
    found: dict[str, float] = {}
    for seam in pattern.seams:
        for run in seam.sides[0]:
            if "side" not in seam.name and "side" not in run.edge:
                continue
            for copy, name in (("drawn", "left"), ("mirrored", "right")):
                points = [p for (piece, c, line), p in sewn.lines.items() if (piece, c) == (run.piece, copy)
                          and line.split(".")[0] == run.edge.split(".")[0]]  # fmt: skip
                if not points:
                    continue
                all_ = np.concatenate(points)
                top = all_[int(hung.x[all_, 1].argmax())]
                if hung.x[top, 1] > hung.form.levels["bust"] - _UNDER_ARM:
                    found.setdefault(name, float(hung.gap[top]))
    return tuple(found.items())


def _hangs_from(hung: Hung) -> str:
    """Return what holds the garment up, by where its upper edge lies on the body."""
    sewn = hung.sewn
    if len(sewn.straps):
        return "straps"
    top = float(hung.x[np.unique(sewn.net.tri[sewn.layer != 1]), 1].max())
    places = {"shoulders": "shoulder", "bust": "underarm", "waist": "waist", "hip": "hip"}
    return min(places, key=lambda said: abs(hung.form.levels[places[said]] - top))


def hang_json(answers: Answers) -> dict[str, Any]:
    """Return the answers as `hang.json` has them (docs/hang.md): mm to 0.1, shares to 0.001."""
    cowl = answers.cowl
    return {
        "format": FORMAT,
        "unit": "mm",
        "vertices": answers.vertices,
        "quiet": answers.quiet,
        "steps": answers.steps,
        "deepest_penetration": _mm(answers.deepest_penetration),
        "self_crossings": answers.self_crossings,
        "asymmetry": _mm(answers.asymmetry),
        "support": _share(answers.support),
        "cowl": {"depth": 0.0, "lowest": [0.0, 0.0, 0.0], "folds": 0} if cowl is None else _cowl(answers, cowl),
        "wearing_stretch": {each.name: _share(max(0.0, each.stretch)) for each in answers.levels},
        "estimates": list(answers.estimates),
        "levels": {
            each.name: {
                "reckoned": _share(each.reckoned),
                "comfort": _share(each.comfort),
                "full": _share(each.full),
                "round": _mm(each.round),
                "height": _mm(each.height),
                "body": None if each.body is None else _mm(each.body),
            }
            for each in answers.levels
        },
        "hem": None if answers.hem is None else _hem_data(answers.hem),
        "facing": {
            name: {
                "shows": _mm(each.facing),
                "wrong_side": _mm(each.wrong),
                "at": None if each.at is None else [_mm(v) for v in each.at],
            }
            for name, each in answers.facing.items()
        },
        "back_gap": None if answers.back_gap is None else _mm(answers.back_gap),
        "under_arm": {side: _mm(gap) for side, gap in answers.under_arm},
        "hangs_from": answers.hangs_from,
        "slid": _mm(answers.slid),
        "left_out": [{"what": what, "why": why} for what, why in answers.left_out],
    }


def _cowl(answers: Answers, cowl: Cowl) -> dict[str, Any]:
    return {
        "depth": _mm(cowl.depth),
        "lowest": [_mm(each) for each in cowl.lowest],
        "folds": cowl.folds,
        "around": _mm(cowl.around),
        "expected": {"tape": _mm(cowl.by_tape), "round": _mm(cowl.by_round), "chord": _mm(cowl.by_chord)},
        "half_neck_edge": _mm(cowl.half_edge),
        "half_chord": _mm(cowl.half_chord),
        "reading": _share(answers.reading),
        "forecast": _mm(cowl.depth * answers.reading),
    }


def _hem_data(hem: Hem) -> dict[str, Any]:
    return {
        "off_level": _mm(hem.highest - hem.lowest),
        "lowest": _mm(hem.lowest),
        "highest": _mm(hem.highest),
        "front": _mm(hem.front),
        "back": _mm(hem.back),
        "folds": hem.folds,
    }


def _mm(value: float) -> float:
    return round(float(value), 1) + 0.0


def _share(value: float) -> float:
    return round(float(value), 3) + 0.0
