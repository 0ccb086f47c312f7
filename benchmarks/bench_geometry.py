"""The kernel: how near its lengths and offsets come, and how quick a batch is against curve-by-curve plain Python.

Bars: arc length within 0.001 mm, offset within 0.02 mm, the batch at least ten times the per-curve rival, the cut line
of a 20-curve piece at most 0.4 ms of CPU time. The rival halves each curve until chord and control polygon agree; it
is asked for no more than the bar of 0.001 mm, while the batch measures to 1e-6 mm.
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable
from pathlib import Path as File

import numpy as np

sys.path.insert(0, str(File(__file__).resolve().parent.parent))

from onfold.geometry import curve, region
from onfold.geometry.fault import Fault
from onfold.geometry.offset import OffsetEdge, offset_outline
from onfold.geometry.path import Path, at, cubic, cut, flatten, joined, length, lengths_of, line, meetings, smooth

LENGTH_BAR, OFFSET_BAR, RATIO_BAR, OFFSET_SECONDS = 0.001, 0.02, 10.0, 0.4e-3


def timed(work: Callable[[], object], runs: int = 7, least: float = 0.02) -> float:
    """Return the best CPU time in seconds of one call, over some runs of enough calls to be measured."""
    work()
    start = time.process_time()
    calls = 0
    while time.process_time() - start < least:
        work()
        calls += 1
    best = math.inf
    for _ in range(runs):
        start = time.process_time()
        for _ in range(calls):
            work()
        best = min(best, (time.process_time() - start) / calls)
    return best


def length_by_halving(controls: list[list[float]], tolerance: float) -> float:
    """Return one curve's length, plain Python: halved until control polygon and chord agree, then their mean."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = controls
    hypot = math.hypot
    chord = hypot(dx - ax, dy - ay)
    polygon = hypot(bx - ax, by - ay) + hypot(cx - bx, cy - by) + hypot(dx - cx, dy - cy)
    # for a cubic (2 chord + 2 polygon) / 4 is right to fourth order ([M] Gravesen 1997)
    if polygon - chord <= tolerance:
        return (chord + polygon) / 2.0
    px, py, qx, qy, rx, ry = (ax + bx) / 2, (ay + by) / 2, (bx + cx) / 2, (by + cy) / 2, (cx + dx) / 2, (cy + dy) / 2
    sx, sy, tx, ty = (px + qx) / 2, (py + qy) / 2, (qx + rx) / 2, (qy + ry) / 2
    mx, my = (sx + tx) / 2, (sy + ty) / 2
    left = [[ax, ay], [px, py], [sx, sy], [mx, my]]
    right = [[mx, my], [tx, ty], [rx, ry], [dx, dy]]
    return length_by_halving(left, tolerance / 2.0) + length_by_halving(right, tolerance / 2.0)


def half_piece(shift: float = 0.0) -> list[OffsetEdge]:
    """Return a half front on the fold with 20 curves: hem, side, armhole, shoulder, neck, fold."""
    s = shift

    def parts(path: Path, count: int) -> Path:
        return joined(cut(path, [length(path) * k / count for k in range(1, count)]))

    return [
        OffsetEdge(parts(line((0.0, 0.0), (250.0 + s, 0.0)), 3), 40.0, "mirrored"),
        OffsetEdge(
            smooth([(250.0 + s, 0.0), (245.0, 200.0), (250.0, 400.0), (215.0 + s, 600.0), (240.0, 780.0)]), 15.0
        ),
        OffsetEdge(smooth([(240.0, 780.0), (205.0, 805.0), (185.0, 850.0), (180.0 - s, 900.0), (200.0, 980.0)]), 8.0),
        OffsetEdge(parts(line((200.0, 980.0), (80.0, 1010.0)), 2), 12.0),
        OffsetEdge(
            smooth([(80.0, 1010.0), (65.0, 975.0), (35.0, 949.0 - s / 4), (0.0, 940.0)], end_tangent=(-1.0, 0.0)), 8.0
        ),
        OffsetEdge(parts(line((0.0, 940.0), (0.0, 0.0)), 4), 0.0, fold=True),
    ]


def parabola_error() -> float:
    """Return the worst error, mm, of lengths of parabolas y = a x² against their closed form."""
    worst = 0.0
    for a in (1e-5, 1e-3, 0.01, 0.1, 1.0):
        for width in (20.0, 150.0, 600.0):
            last, u = (width, a * width * width), 2.0 * a * width
            path = cubic((0.0, 0.0), (width / 3, 0.0), (2 * width / 3, last[1] / 3), last)
            exact = (u * math.sqrt(1.0 + u * u) + math.asinh(u)) / (4.0 * a)
            worst = max(worst, abs(length(path) - exact))
    return worst


def turning_back_error() -> float:
    """Return the worst error, mm, over random cubics in a line that turn back twice: their length is exact."""
    random, worst = np.random.default_rng(5), 0.0
    for _ in range(300):
        curves = np.zeros((1, 4, 2))
        curves[0, :, 1] = random.uniform(-500.0, 500.0, 4)
        turns = curve.turning_points(curves)[0, 1]
        stops = np.sort(np.concatenate([[0.0, 1.0], turns[np.isfinite(turns)]]))
        exact = np.abs(np.diff(curve.evaluate(curves, stops[None])[0, :, 1])).sum()
        worst = max(worst, abs(float(curve.lengths(curves)[0] - exact)))
    return worst


def offset_error() -> float:
    """Return the farthest, mm, that the cut line of smooth closed outlines strays from shapely's buffer of them."""
    import shapely

    random, worst = np.random.default_rng(9), 0.0
    for width in (6.0, 10.0, 15.0, 40.0):
        angle = np.arange(8) * math.pi / 4
        reach = random.uniform(180.0, 240.0, 8)
        knots = [(float(r * math.cos(a)), float(r * math.sin(a))) for r, a in zip(reach, angle, strict=True)]
        around = smooth([*knots, knots[0]], (0.0, 1.0), (0.0, 1.0))
        ring = offset_outline([OffsetEdge(around, width)])
        assert not isinstance(ring, Fault), ring
        fine = shapely.buffer(shapely.polygons(flatten(around, 0.0005)), width, quad_segs=1024).exterior
        worst = max(worst, float(shapely.hausdorff_distance(shapely.linestrings(ring), fine)))
    return worst


def speeds() -> list[tuple[str, float, float | None]]:
    """Return (what, ours in seconds, rival's in seconds or None) for a dress of 12 pieces with 20 curves each."""
    dress = [half_piece(float(shift)) for shift in range(12)]
    curves = np.concatenate([edge.path.curves for piece in dress for edge in piece if not edge.path.straight.all()])
    controls = curves.tolist()
    bent = np.zeros(len(curves), dtype=bool)
    ours = curve.lengths(curves, bent)
    theirs = [length_by_halving(each, LENGTH_BAR) for each in controls]
    assert np.abs(ours - theirs).max() <= LENGTH_BAR, "the rival must have measured the same"
    batch = timed(lambda: curve.lengths(curves, bent))
    rival = timed(lambda: [length_by_halving(each, LENGTH_BAR) for each in controls], runs=3)
    piece, wave = dress[0], cubic((0.0, 0.0), (100.0, 50.0), (200.0, -50.0), (300.0, 40.0))
    paths = [edge.path for piece in dress for edge in piece]
    level, shoulder = line((100.0, -100.0), (110.0, 100.0)), line((0.0, 30.0), (300.0, -30.0))
    length(wave)
    return [
        (f"lengths of {len(curves)} curves in a batch, per-curve Python", batch, rival),
        ("lengths_of, all edges of the dress", timed(lambda: lengths_of(paths)), None),
        ("cut line of a piece of 20 curves", timed(lambda: offset_outline(piece)), None),
        ("a point along a curve", timed(lambda: at(wave, 100.0)), None),
        (
            "a curve made and measured",
            timed(lambda: length(cubic((0.0, 0.0), (9.0, 5.0), (20.0, -5.0), (30.0, 4.0)))),
            None,
        ),
        ("a curve cut in three", timed(lambda: cut(wave, [100.0, 200.0])), None),
        ("a line meets a line", timed(lambda: meetings(level, shoulder)), None),
        ("a line meets a curve", timed(lambda: meetings(wave, level)), None),
        ("a hip curve laid", timed(lambda: smooth([(170.0, 0.0), (235.0, -200.0), (240.0, -600.0)])), None),
    ]


def main() -> None:
    piece = half_piece()
    assert sum(len(edge.path.curves) for edge in piece) == 20
    ring = offset_outline(piece)
    assert not isinstance(ring, Fault) and region.is_valid(ring)
    errors = [
        ("arc length against the parabola's closed form", parabola_error(), LENGTH_BAR),
        ("arc length of curves that turn back, exact", turning_back_error(), LENGTH_BAR),
        ("cut line against shapely's buffer", offset_error(), OFFSET_BAR),
    ]
    for what, error, bar in errors:
        print(f"{what:<58} {error:12.2e} mm   bar {bar} mm")
    rows = speeds()
    for what, ours, rival in rows:
        against = f"   rival {rival * 1e6:9.1f} µs   {rival / ours:5.1f} times" if rival else ""
        print(f"{what:<58} {ours * 1e6:12.1f} µs{against}")
    for what, error, bar in errors:
        assert error <= bar, f"{what}: {error} mm, bar {bar} mm"
    _, batch, rival = rows[0]
    assert rival is not None and rival / batch >= RATIO_BAR, f"batch only {(rival or 0.0) / batch:.1f} times as quick"
    assert rows[2][1] <= OFFSET_SECONDS, f"a cut line took {rows[2][1] * 1e3:.2f} ms, bar {OFFSET_SECONDS * 1e3} ms"


if __name__ == "__main__":
    main()
