"""What it takes to begin: importing Onfold and showing the help, in fresh processes."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from pathlib import Path

from benchmarks.timing import Row, ms

BAR = 0.120
ROOT = Path(__file__).resolve().parent.parent


def cpu_of(*command: str, runs: int = 7) -> float:
    """Return the median CPU time in seconds of a command, its children's included."""
    times = []
    environment = {**os.environ, "PYTHONDONTWRITEBYTECODE": ""}
    for _ in range(runs + 1):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, cwd=ROOT, env=environment)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        times.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    # the first run writes byte code
    return sorted(times[1:])[runs // 2]


def rows() -> list[Row]:
    """Return the row of the import and that of the help, each with what bare Python takes of it."""
    bare = cpu_of(sys.executable, "-c", "pass")
    taken = {
        "import onfold": cpu_of(sys.executable, "-c", "import onfold"),
        "onfold --help": cpu_of(sys.executable, "-c", "from onfold.cli import main; main()", "--help"),
    }
    beside = f"bare Python {ms(bare)} of it"
    return [Row(what, ms(BAR), ms(seconds), seconds <= BAR, beside) for what, seconds in taken.items()]
