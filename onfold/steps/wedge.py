"""The wedge: length taken up, or let in, at the centre of a piece and nothing at its side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from onfold.geometry.path import Path, at, closest, cut, end, joined, length, line, meetings, start
from onfold.geometry.point import Point, distance
from onfold.pattern import Inner
from onfold.recipe.bench import Bench
from onfold.recipe.step import Length, LevelName, step
from onfold.recipe.telling import Telling

AT_HINGE = 1e-3
"""mm off a line at which it still runs through the hinge, or a point still lies on it."""


@step("take up", "develop")
class TakeUp:
    """Take length up along a level: as much as is given at the centre, nothing at the level's outer end.

    A wedge is lapped there, hinged at the side: all that is drawn above comes down with it, and the lines through the
    hinge stay as they are. The centre line stays straight. Below nothing, a wedge is let in. It is done before the
    outline is closed.
    """

    level: LevelName
    by: Length

    reason: ClassVar[str] = (
        "The centre is made shorter where the body is hollow, and the side keeps its length for the seam it is sewn in."
    )

    def run(self, bench: Bench) -> None:
        """Bring down every line and point above the level by its share."""
        by, across = bench.amount(self.by), bench.line(self.level)
        if abs(by) <= 1e-6:
            return
        if bench.look(("outline", bench.piece)) is not None:
            says = (
                f"The {bench.piece} is closed already: take up before that, or lower the edge above the {self.level}."
            )
            raise bench.stop("STEP-CANNOT", says, remedy="put it before the outline is closed")
        (x, y), (far, height) = start(across), end(across)
        lines = {name: bench.line(name) for name in bench.listed("line", bench.piece) if name != self.level}
        at_hinge = tuple(path for path in lines.values() if closest(path, (far, height)).distance < AT_HINGE)
        room = max((path.curves[..., 1].max() for path in lines.values()), default=y) - y
        if far - x <= AT_HINGE or by >= room:
            raise bench.stop(
                "STEP-CANNOT",
                f"{bench.mm(by)} cannot be taken up at the {self.level}: above it lie {bench.mm(room)}.",
                found=bench.mm(by),
                expected=f"less than {bench.mm(room)}",
                remedy="take up less, or at a lower level",
            )
        wedge = _Wedge(x, y, far - x, by, at_hinge)
        for name, path in lines.items():
            new = path if any(path is each for each in at_hinge) else wedge.line(path)
            if new is not path:
                bench.redraw_line(name, new)
        for name in bench.point_names():
            spot = bench.point(name)
            if wedge.point(spot) != spot:
                bench.move_point(name, wedge.point(spot))
        for name in bench.listed("inner", bench.piece):
            inner: Inner = bench.look(("inner", bench.piece, name))
            new = wedge.line(inner.path) if name != self.level else inner.path
            if new is not inner.path:
                bench.put_inner(Inner(inner.kind, inner.name, new))

    def say(self, told: Telling) -> str:
        """Tell."""
        by = told.amount(self.by)
        if by == 0.0:
            return f"Nothing is taken up at the {self.level}."
        lead, way = ("Lap", "comes down") if by > 0.0 else ("Slash and let in", "goes up")
        return (
            f"{lead} a wedge along the {self.level}: {told.mm(abs(by))} at the centre, nothing at the side. What lies "
            f"above {way} at the centre; rule the centre line straight again."
        )


@dataclass(frozen=True, eq=False)
class _Wedge:
    """A wedge `by` mm high at `x` and nothing `width` mm farther out, above the height `y`; `hinged` lines stay."""

    x: float
    y: float
    width: float
    by: float
    hinged: tuple[Path, ...]

    def point(self, spot: Point) -> Point:
        """Return where a point comes to lie."""
        px, py = spot
        if py <= self.y + 1e-6 or any(closest(each, spot).distance < AT_HINGE for each in self.hinged):
            return spot
        return px, py - self._at(px)

    def line(self, path: Path) -> Path:
        """Return a line as it comes to lie: what crosses the level is cut there and joined again."""
        low, high = path.curves[..., 1].min(), path.curves[..., 1].max()
        if high <= self.y + 1e-6:
            return path
        if low >= self.y - 1e-6:
            return self._lowered(path)
        a, b = start(path), end(path)
        if path.straight.all() and np.ptp(path.curves[..., 0]) < 1e-9:
            return line(self.point(a), self.point(b))
        level = line((path.curves[..., 0].min() - 1.0, self.y), (path.curves[..., 0].max() + 1.0, self.y))
        run: list[Path] = []
        for each in cut(path, [found.along_a for found in meetings(path, level)]):
            if length(each) <= 1e-6:
                continue
            stretch = self._lowered(each) if at(each, length(each) / 2.0)[1] > self.y else each
            if run and distance(end(run[-1]), start(stretch)) > 1e-9:
                run.append(line(end(run[-1]), start(stretch)))
            run.append(stretch)
        return joined(run)

    def _at(self, x: float) -> float:
        return self.by * min(1.0, max(0.0, 1.0 - (x - self.x) / self.width))

    def _lowered(self, path: Path) -> Path:
        curves = path.curves.copy()
        curves[..., 1] -= self.by * np.clip(1.0 - (curves[..., 0] - self.x) / self.width, 0.0, 1.0)
        for number, last in ((0, 0), (-1, 3)):
            x, y = path.curves[number, last].tolist()
            if any(closest(each, (x, y)).distance < AT_HINGE for each in self.hinged):
                curves[number, last] = x, y
        for number in np.flatnonzero(path.straight).tolist():
            (ax, ay), (bx, by) = curves[number, 0].tolist(), curves[number, 3].tolist()
            curves[number] = line((ax, ay), (bx, by)).curves[0]
        return Path(curves, path.straight)
