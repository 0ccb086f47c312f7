"""What follows a run of edges that was moved: points, marks, notches, drafted lines, level lines and stated girths."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from onfold.geometry.let_out import begun_at, ended_at
from onfold.geometry.path import (
    Path,
    at,
    closest,
    end,
    end_tangent,
    joined,
    length,
    line,
    meetings,
    moved,
    nearest,
    part,
    start,
    turned_back,
)
from onfold.geometry.point import Point, distance, moved_point
from onfold.geometry.single import point
from onfold.pattern import Edge, Inner, Mark
from onfold.recipe.bench import Bench
from onfold.recipe.laid import NotchAsked, NotchSpot
from onfold.steps.moved_run import ON_EDGE, ONE_SPOT, MovedRun, bridged

Lines = dict[str, tuple[Path, Path]]
"""Lines by name, each as it was and as it is now."""


def follow(bench: Bench, piece: str, done: MovedRun) -> None:
    """Put the moved outline on the bench, and bring along what lies on the run or ends there."""
    inners = {name: bench.look(("inner", piece, name)) for name in bench.listed("inner", piece)}
    levels: Lines = {}
    for name, inner in inners.items():
        drawn = _inner(inner, done)
        if drawn is not inner:
            bench.put_inner(drawn, piece)
            levels[name] = inner.path, drawn.path
    _girths(bench, piece, done, {name: each for name, each in levels.items() if inners[name].kind == "level"})
    for name in bench.listed("line", piece):
        old = bench.line(name, piece)
        new = _line(name, old, done)
        if new is not old:
            bench.redraw_line(name, new, piece)
            levels.setdefault(name, (old, new))
    for name in bench.listed("point", piece):
        spot = bench.point(name, piece)
        there = _spot(spot, done, levels)
        if there != spot:
            bench.move_point(name, there, piece)
    for name in bench.listed("mark", piece):
        mark: Mark = bench.look(("mark", piece, name))
        of_darts = (new for old, new in done.points if distance(old, mark.at) < ONE_SPOT)
        there = next(of_darts, None) or _spot(mark.at, done, {})
        if there != mark.at:
            bench.put_mark(Mark(mark.kind, mark.name, there), piece)
    _notches(bench, piece, done)
    bench.put_outline(done.outline, piece)


def _spot(spot: Point, done: MovedRun, levels: Lines) -> Point:
    """Return where a point comes to lie: with the run, and an end of a level line where that line now ends."""
    found = done.run.find(spot, ON_EDGE)
    if found is None:
        return spot
    number, mm = found
    inside = ONE_SPOT < mm < length(done.run.leaves[number].path) - ONE_SPOT
    if inside and done.grading.amount(done.run.begins[number] + mm) == 0.0:
        return spot
    for old, new in levels.values() if inside else ():
        for was, now in ((start(old), start(new)), (end(old), end(new))):
            if distance(was, spot) < ONE_SPOT:
                return now
    return done.lies_at(number, mm)


def _inner(inner: Inner, done: MovedRun) -> Inner:
    """Return a line inside the piece as it is now: led to where the run lies now.

    The level that an edge was drawn on goes up with the whole of it, and is dropped where only a part is raised.
    """
    if done.way is None or all(inner.name not in (each.name, each.root) for each in done.run.leaves):
        new = _led(inner.path, done)
        return inner if new is inner.path else Inner(inner.kind, inner.name, new)
    (dx, dy), by = done.way, done.grading.by
    if done.grading.amount(0.0) == by == done.grading.amount(done.run.whole):
        return Inner(inner.kind, inner.name, moved(inner.path, dx * by, dy * by))
    return Inner("dropped", inner.name, inner.path)


def _led(path: Path, done: MovedRun) -> Path:
    """Return a line whose ends lay on the run, led on along itself, or cut off, to where it now meets the run."""
    for turn in (False, True):
        run = turned_back(path) if turn else path
        new = _end_led(run, done)
        if new is not run:
            path = turned_back(new) if turn else new
    return path


def _end_led(path: Path, done: MovedRun) -> Path:
    """Return a line whose end lay on the run led to where it now meets the run, or the edges beside it."""
    spot = end(path)
    if closest(bridged([each.path for each in done.run.leaves]), spot).distance > ON_EDGE:
        return path
    if closest(done.line, spot).distance < ONE_SPOT:
        return path
    led = joined([path, line(spot, moved_point(spot, end_tangent(path), 4.0 * abs(done.grading.by) + 1.0))])
    beside = (done.outline[place].path for place in (done.run.before, done.run.behind))
    for other in (done.line, *beside):
        found = meetings(led, other)
        if found:
            near = min(found, key=lambda each: distance(each.at, spot))
            return ended_at(path, near.along_a, near.at)
    return path


def _line(name: str, old: Path, done: MovedRun) -> Path:
    """Return a drafted line as it is now: one that the run was cut from, one beside it, or one that ends on it."""
    leaves = [k for k, each in enumerate(done.run.leaves) if name in (each.name, each.root)]
    if leaves:
        return _as_the_run(old, done, leaves)
    beside = (done.run.outline[done.run.before], True), (done.run.outline[done.run.behind], False)
    path = old
    for edge, at_its_end in beside:
        if name in (edge.name, edge.root):
            path = _beside(path, edge, at_its_end, done)
    return path if path is not old else _led(old, done)


def _as_the_run(old: Path, done: MovedRun, leaves: list[int]) -> Path:
    """Return the line of a root as moved: its leaves, what lay across its darts' mouths moved with their lips."""
    run = done.run
    first, last = run.leaves[leaves[0]].path, run.leaves[leaves[-1]].path
    a, b = closest(old, start(first)), closest(old, end(last))
    if a.distance > ON_EDGE or b.distance > ON_EDGE or a.along == b.along:
        return old
    forward = a.along < b.along
    drawn = old if forward else turned_back(old)
    whole = length(old)
    low, high = (a.along, b.along) if forward else (whole - a.along, whole - b.along)
    paths = [part(drawn, 0.0, low)] if low > ONE_SPOT and start(done.leaves[leaves[0]]) == start(first) else []
    for k in leaves:
        if k > leaves[0]:
            paths += _across_mouth(drawn, done, k)
        paths.append(done.leaves[k])
    if high < whole - ONE_SPOT and end(done.leaves[leaves[-1]]) == end(last):
        paths.append(part(drawn, high, whole))
    new = joined(paths)
    return new if forward else turned_back(new)


def _across_mouth(drawn: Path, done: MovedRun, number: int) -> list[Path]:
    lips = end(done.run.leaves[number - 1].path), start(done.run.leaves[number].path)
    now = end(done.leaves[number - 1]), start(done.leaves[number])
    if distance(*now) <= ONE_SPOT:
        return []
    low, high = (closest(drawn, each).along for each in lips)
    if high - low <= ONE_SPOT:
        return [line(*now)]
    return [moved(part(drawn, low, high), now[0][0] - lips[0][0], now[0][1] - lips[0][1])]


def _beside(path: Path, edge: Edge, at_its_end: bool, done: MovedRun) -> Path:
    """Return the line of the edge beside the run as that edge is now, and beyond its far end as it was."""
    new = done.outline[done.run.before if at_its_end else done.run.behind].path
    if new is edge.path:
        return path
    old, now = (turned_back(edge.path), turned_back(new)) if at_its_end else (edge.path, new)
    for turn in (False, True):
        run = turned_back(path) if turn else path
        far = closest(run, end(old))
        if distance(start(run), start(old)) < ONE_SPOT and far.distance < ON_EDGE:
            beyond = far.along < length(run) - ONE_SPOT
            led = joined([now, begun_at(part(run, far.along, length(run)), 0.0, end(now))]) if beyond else now
            return turned_back(led) if turn else led
    return path


def _girths(bench: Bench, piece: str, done: MovedRun, levels: Lines) -> None:
    """State anew the girth of every level that the run has made wider or narrower on this piece.

    An edge that is raised states a girth only where a level of its name was marked: a waist may have its darts to come.
    """
    halves = 1.0 if bench.begun(piece).whole else 2.0
    roots = {each.root for each in done.run.outline}
    stated = [each for each in sorted(roots) if done.way is None or bench.look(("inner", piece, each)) is not None]
    grown = {root: _total(done.outline, root) - _total(done.run.outline, root) for root in stated}
    for name, (old, new) in levels.items():
        if name not in roots:
            grown[name] = distance(start(new), end(new)) - distance(start(old), end(old))
    for name, more in grown.items():
        level = bench.look(("level", name)) if abs(more) > ONE_SPOT else None
        if level is not None:
            bench.put_level(replace(level, finished=level.finished + halves * more))


def _total(outline: tuple[Edge, ...], root: str) -> float:
    return sum(length(each.path) for each in outline if each.root == root)


def _notches(bench: Bench, piece: str, done: MovedRun) -> None:
    """Set anew the notches asked for on the run and on the edges beside it."""
    old = {each.name: each.path for each in done.run.outline}
    new = {each.name: each.path for each in done.outline}
    for name, asked in _asked(bench, piece):
        if asked.edge not in old or new[asked.edge] is old[asked.edge]:
            continue
        was = old[asked.edge]
        if isinstance(asked, NotchSpot):
            number = min(asked.number, len(was.curves) - 1)
            spot = point(was.curves[number].tolist(), asked.t)
        else:
            spot = at(was, asked.along)
        near = nearest(new[asked.edge], _spot(spot, done, {}))
        if isinstance(asked, NotchSpot):
            bench.put_notch(NotchSpot(asked.edge, near.number, near.t, asked.kind), name, piece)
        else:
            mm = closest(new[asked.edge], near.at).along
            bench.put_notch(NotchAsked(asked.edge, mm, asked.kind), name, piece)


def _asked(bench: Bench, piece: str) -> Iterator[tuple[str, NotchAsked | NotchSpot]]:
    for name in bench.listed("notch", piece):
        asked = bench.look(("notch", piece, name))
        if isinstance(asked, NotchAsked | NotchSpot):
            yield name, asked
