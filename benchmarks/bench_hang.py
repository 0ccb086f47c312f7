"""The sheath hung on its form: how long it takes, how near one that goes on comes, a sweep against plain numpy.

Times are CPU seconds after everything is compiled. The rival is the same energy of one step (inertia, the two threads,
the shear, bends as a sparse product) in whole arrays: every point moved at once (Jacobi), from blocks of 3 x 3.
"""

from __future__ import annotations

import resource
import sys
import time
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from benchmarks.timing import Row, least_of, ms

TICKET = Path(__file__).resolve().parent.parent / "examples" / "alto-1-sheath.yaml"
BAR, AGAIN_BAR, FALL_BAR, MEMORY_BAR, RATIO_BAR = 10.0, 3.0, 0.05, 1000.0, 3.0
"""CPU seconds of a hang and of one that goes on; share of the fall; MB; times quicker a sweep than whole arrays."""
SPREAD, MORE = 20.0, 2.0
"""mm each slash is spread, and by how much more before it is hung again."""
SLACK = 0.05


class WholeArrays:
    """One sweep of the step's energy in whole arrays: all points at once, each by its own block of 3 x 3."""

    def __init__(self, woven) -> None:  # type: ignore[no-untyped-def]
        """Take the net; its bends as coordinates, and the weights of inertia for a step of a sixtieth of a second."""
        self.tri, self.across, self.along, self.stiff = woven.net.tri, woven.across, woven.along, woven.stiff
        bends, n = woven.bends, woven.net.count
        self.row, self.column, self.value = np.repeat(np.arange(n), np.diff(bends.at)), bends.other, bends.value
        self.own, self.grow = bends.own, woven.net.stiffening
        self.mass = woven.net.mass
        self.inertia = self.mass * 3600.0

    def sweep(self, x: NDArray[np.float64], target: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the points (n, 3) mm after one sweep, a third of the way, or neighbours would move it twice."""
        n, flat = len(x), self.tri.reshape(-1)
        gradient = self.inertia[:, None] * (x - target)
        gradient[:, 1] += self.mass * 9806.65
        for k in range(3):
            bent = np.bincount(self.row, self.value * x[self.column, k], n)
            gradient[:, k] += bent + self.own * x[:, k]
        block = np.zeros((n, 3, 3))
        block[:, range(3), range(3)] = (self.inertia + self.own)[:, None]
        corners = x[self.tri]
        u = np.einsum("mc,mcx->mx", self.across, corners)
        v = np.einsum("mc,mcx->mx", self.along, corners)
        force = np.zeros((len(self.tri), 3, 3))
        blocks = np.zeros((len(self.tri), 3, 3, 3))
        for way, shares, k in ((u, self.across, 0), (v, self.along, 1)):
            size = np.maximum(np.sqrt((way**2).sum(axis=1)), 1e-9)
            normal = way / size[:, None]
            pulled = size > 1.0
            stiff = np.where(pulled, 1.0, SLACK) * self.stiff[:, k]
            more = np.where(pulled, self.grow[k] * (size - 1.0) ** 2, 0.0)
            pull = stiff * (size - 1.0) * (1.0 + more)
            side = np.where(pulled, pull / size, 0.0)
            force += (pull[:, None] * shares)[:, :, None] * normal[:, None, :]
            outer = normal[:, :, None] * normal[:, None, :]
            each = (stiff * (1.0 + 3.0 * more) - side)[:, None, None] * outer + side[:, None, None] * np.eye(3)
            blocks += (shares**2)[:, :, None, None] * each[:, None]
        sheared = self.across[:, :, None] * v[:, None, :] + self.along[:, :, None] * u[:, None, :]
        force += (self.stiff[:, 2] * (u * v).sum(axis=1))[:, None, None] * sheared
        blocks += self.stiff[:, 2][:, None, None, None] * sheared[:, :, :, None] * sheared[:, :, None, :]
        for i in range(3):
            gradient[:, i] += np.bincount(flat, force[:, :, i].reshape(-1), n)
            for j in range(3):
                block[:, i, j] += np.bincount(flat, blocks[:, :, i, j].reshape(-1), n)
        found: NDArray[np.float64] = x - np.linalg.solve(block, gradient[:, :, None])[:, :, 0] / 3.0
        return found


def rows() -> list[Row]:
    """Return the rows of a hang, of one that goes on from it, of its memory and of one sweep."""
    try:
        import numba  # noqa: F401
    except ImportError:
        return [Row("the sheath hung", "none", "not run", True, "numba is not installed")]
    from onfold.hang.settle import Hanging, step
    from onfold.project import open_ticket
    from onfold.project_hang import HungGarment, Stand, hang_on, stand_for
    from onfold.project_hang_fall import _Loop

    stand = stand_for(open_ticket(TICKET))
    assert isinstance(stand, Stand)
    loop, cloth = _Loop(stand), stand.ticket.cloth
    begun, changed = loop.draft(SPREAD), loop.draft(SPREAD + MORE)
    assert begun is not None and changed is not None

    def hung(pattern, points=None, last=None):  # type: ignore[no-untyped-def]
        from onfold.hang.hanging import POINTS

        start = time.process_time()
        found = hang_on(stand, pattern, cloth, lambda _w, _s: True, "", points=points or POINTS, last=last)
        assert isinstance(found, HungGarment), found
        return found, time.process_time() - start

    small, _ = hung(begun.pattern, 800)  # compiles
    hung(begun.pattern, 800, small.hung)
    first, taken = hung(begun.pattern)
    on, on_taken = hung(changed.pattern, last=first.hung)
    fresh, _ = hung(changed.pattern)
    assert on.answers.cowl is not None and fresh.answers.cowl is not None
    off = abs(on.answers.cowl.depth / fresh.answers.cowl.depth - 1.0)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1e6 if sys.platform == "darwin" else 1e3)

    net, x = first.hung.woven, first.hung.x
    state = Hanging(net, x.copy(), touching=False)
    step(state, 1)
    one, many = least_of(lambda: step(state, 1), 5), least_of(lambda: step(state, 21), 5)
    ours = (many - one) / 20.0
    plain = WholeArrays(net)
    theirs = least_of(lambda: plain.sweep(x, x), 5)
    return [
        Row(f"the sheath hung, {len(x)} points", f"{BAR:.0f} s", f"{taken:.1f} s", taken <= BAR),
        Row("hung on, spread 2 mm more", f"{AGAIN_BAR:.0f} s", f"{on_taken:.1f} s", on_taken <= AGAIN_BAR),
        Row("its fall against a fresh hang's", f"{FALL_BAR:.0%}", f"{off:.1%}", off <= FALL_BAR),
        Row("most memory of all so far", f"{MEMORY_BAR:.0f} MB", f"{memory:.0f} MB", memory <= MEMORY_BAR),
        Row(
            "one sweep of its net",
            f"{RATIO_BAR:.0f} times",
            ms(ours),
            theirs / ours >= RATIO_BAR,
            f"whole arrays {ms(theirs)}: {theirs / ours:.1f} times",
        ),
    ]
