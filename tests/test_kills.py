"""Commands killed at random moments: nothing half-written is taken for whole, and the next run goes on as if unhurt.

A fresh process loads what the commands need and forks one child a command, which is then killed: so a kill costs no
start of Python, and no thread of another test is forked along. Half of the moments are drawn from the whole duration
of the command, half from the time it spends writing, which is short and where the harm would be done.
"""

from __future__ import annotations

import contextlib
import json
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from onfold.shelf.safe import write_files
from onfold.shelf.ticket import read_ticket
from onfold.shelf.unfinished import MARK

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
FIT = ("--choice", "waist ease: 3 cm", "--on", "2026-10-12", "--note", "Tight when sitting.")

FORKS = """
import json, os, sys
import onfold.project_files, onfold.project_fit_asked, onfold.guide.printing, onfold.lesson.page, onfold.writers.font
from onfold.cli import main
for line in sys.stdin:
    child = os.fork()
    if child == 0:
        quiet = os.open(os.devnull, os.O_WRONLY)
        os.dup2(quiet, 1); os.dup2(quiet, 2); sys.stdin = open(os.devnull)
        try:
            main(json.loads(line))
        except SystemExit as done:
            os._exit(int(done.code or 0))
        os._exit(99)
    print(child, flush=True)
    print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)
"""


class Commands:
    """Runs commands of `onfold` in children of a process of its own."""

    def __init__(self) -> None:
        words = [sys.executable, "-c", FORKS]
        self.process = subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)

    def start(self, *words: str | Path) -> int:
        assert self.process.stdin is not None
        self.process.stdin.write(json.dumps([str(word) for word in words]) + "\n")
        self.process.stdin.flush()
        return int(self._line())

    def end(self) -> int:
        """Return the exit code of the command that was started; what killed it as a negative number."""
        return int(self._line())

    def run(self, *words: str | Path) -> int:
        self.start(*words)
        return self.end()

    def _line(self) -> str:
        assert self.process.stdout is not None
        return self.process.stdout.readline()

    def close(self) -> None:
        assert self.process.stdin is not None
        self.process.stdin.close()
        assert self.process.wait(30) == 0


@pytest.fixture(scope="module")
def commands() -> Iterator[Commands]:
    running = Commands()
    yield running
    running.close()


Files = dict[str, bytes]


def seen(folder: Path) -> Files:
    """What a reader sees in a folder: our own half-written files begin with a dot and are nobody's."""
    there = folder.iterdir() if folder.is_dir() else ()
    return {path.name: path.read_bytes() for path in there if not path.name.startswith(MARK)}


def half_written(folder: Path) -> bool:
    return folder.is_dir() and any(path.name.startswith(MARK) for path in folder.iterdir())


@dataclass(frozen=True)
class Case:
    """A command that is killed over and over, and what it finds and leaves when it is not."""

    words: tuple[str, ...]
    ticket: Path
    out: Path
    before: tuple[bytes, Files]
    after: tuple[bytes, Files]
    lasts: float
    writes: float

    def restore(self) -> None:
        for path in (self.out, self.ticket.parent):
            for each in path.iterdir():
                if each.is_file():
                    each.unlink()
        self.ticket.write_bytes(self.before[0])
        for name, content in self.before[1].items():
            (self.out / name).write_bytes(content)


def case_of(commands: Commands, folder: Path, command: str) -> Case:
    """Run the command once to its end, over an older state of the same folder, and take its times."""
    (folder / "tickets").mkdir()
    ticket, out = folder / "tickets" / "skirt.yaml", folder / "out"
    text = (EXAMPLES / "soprano-2-skirt.yaml").read_bytes()
    ticket.write_bytes(text)
    words = ("make", str(ticket), "-o", str(out)) if command == "make" else ("fit", str(ticket), "-o", str(out), *FIT)
    older = text.replace(b"length: 62 cm", b"length: 70 cm")
    ticket.write_bytes(older)
    assert commands.run(*words) == 0
    before = seen(out)
    ticket.write_bytes(text)
    words = words if command == "make" else (*words, "--write")
    began = time.monotonic()
    commands.start(*words)
    while not half_written(out):
        time.sleep(0.0005)
    wrote = time.monotonic()
    assert commands.end() == 0
    ended = time.monotonic()
    after = seen(out)
    assert sorted(after) == sorted(before)
    assert all(after[name] != before[name] for name in after if name != "try-on.pdf")
    return Case(words, ticket, out, (text, before), (ticket.read_bytes(), after), ended - began, ended - wrote)


def killed(commands: Commands, case: Case, share: float, while_writing: bool, pace: float) -> bool:
    """Start the command and kill it after a share of its time; return whether it was still running.

    `pace` corrects the times taken once, which on a busy machine are longer than the next run's.
    """
    child = commands.start(*case.words)
    if while_writing:
        ends = time.monotonic() + 10 * case.lasts
        while not half_written(case.out) and time.monotonic() < ends:
            time.sleep(0.0002)
    time.sleep(share * pace * (case.writes if while_writing else case.lasts))
    with contextlib.suppress(ProcessLookupError):  # it may have come to its end before
        os.kill(child, signal.SIGKILL)
    return commands.end() == -signal.SIGKILL


def check(commands: Commands, case: Case, whole_command: bool) -> None:
    """Hold what a kill left against what it may leave, then let the next writer at it: a command, or writing alone."""
    text = case.ticket.read_bytes()
    assert text in (case.before[0], case.after[0])  # the ticket is one renaming: old or new, at every moment
    ticket, problems = read_ticket(case.ticket)
    assert ticket is not None
    assert problems == []
    files = seen(case.out)
    plans = list(case.out.glob(f"{MARK}*.plan"))
    if files not in (case.before[1], case.after[1]):
        # Killed between two renamings: every file is whole, and a plan says how the next run goes on.
        assert plans
        assert all(files[name] in (case.before[1][name], case.after[1][name]) for name in case.before[1])
    new_ticket = text == case.after[0] and text != case.before[0]
    if new_ticket:
        assert files == case.after[1] or plans  # the files are written before the ticket says so
    # The next run finds its way and leaves nothing of the dead one's plan.
    if whole_command:
        assert commands.run("fit", case.ticket, "-o", case.out) == 0
    else:
        assert write_files(case.out, {"try-on.pdf": b""}) == []
    files = {**seen(case.out), "try-on.pdf": b""}
    assert files in ({**case.before[1], "try-on.pdf": b""}, {**case.after[1], "try-on.pdf": b""})
    assert not list(case.out.glob(f"{MARK}*.plan"))


def prove(commands: Commands, folder: Path, command: str, count: int, seed: int) -> None:
    case = case_of(commands, folder, command)
    chance = random.Random(seed)
    pace = {True: 1.0, False: 1.0}
    hit = tried = 0
    while hit < count:
        tried += 1
        assert tried <= 5 * count  # kills that all come too late would prove nothing
        while_writing = hit % 2 == 0
        case.restore()
        was_running = killed(commands, case, chance.random(), while_writing, pace[while_writing])
        hit += was_running
        pace[while_writing] *= 1.0 if was_running else 0.8
        check(commands, case, whole_command=was_running and hit % 4 == 0)
    case.restore()
    assert commands.run(*case.words) == 0
    assert (case.ticket.read_bytes(), seen(case.out)) == case.after


@pytest.mark.parametrize("command", ["make", "fit"])
def test_killed_ten_times_each(commands: Commands, tmp_path: Path, command: str) -> None:
    prove(commands, tmp_path, command, 10, seed=1)


@pytest.mark.long
@pytest.mark.parametrize("command", ["make", "fit"])
@pytest.mark.parametrize("seed", range(5))
def test_killed_two_hundred_times(commands: Commands, tmp_path: Path, command: str, seed: int) -> None:
    prove(commands, tmp_path, command, 20, seed=100 + seed)
