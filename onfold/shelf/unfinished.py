"""What a killed process leaves in a folder, and how the next one puts it right.

Several files cannot be renamed at one stroke. So before the first renaming a plan of all of them is forced to disk; a
later run that finds a plan whose writer is gone carries it out to its end. One writer at a time works on a folder: it
holds a lock on it, which the system lets go when the process ends, however it ends.
"""

from __future__ import annotations

import json
import os
import time
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

try:
    import fcntl
except ImportError:  # not every system has locks of this kind; then age alone tells that a writer is gone
    fcntl = None  # type: ignore[assignment]

MARK = ".onfold-"
"""Our half-written and set-aside files begin so; none is left behind unless the process or machine is stopped."""

WAITS = 5.0
"""Seconds that one writer waits for another to be done with a folder."""
_GONE_PLAN, _GONE_FILE = 60.0, 3600.0
"""Seconds after which a plan or a half-written file has no writer any more, where no lock can tell."""


class BusyError(OSError):
    """Another process is writing into the folder and does not come to an end."""


@contextmanager
def alone(folder: Path, own: Collection[str] = ()) -> Iterator[None]:
    """Hold the folder for one writer and put right what earlier ones left; raises BusyError after waiting in vain.

    `own` are the names of this writer's half-written files.
    """
    handle = _locked(folder)
    try:
        _carry_out(folder, sure=handle is not None)
        _sweep(folder, own)
        yield
    finally:
        if handle is not None:
            os.close(handle)


def _locked(folder: Path) -> int | None:
    """Return an open handle that holds the folder's lock; None where the system has no such lock."""
    if fcntl is None:
        return None
    handle = os.open(folder, os.O_RDONLY)
    ends = time.monotonic() + WAITS
    while True:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            if time.monotonic() > ends:
                os.close(handle)
                raise BusyError(0, "another run is writing into it") from None
            time.sleep(0.05)
        except OSError:  # a shared folder without locks
            os.close(handle)
            return None
        else:
            return handle


def write_plan(folder: Path, key: str, moves: Mapping[str, tuple[str, str]]) -> Path:
    """Force a plan to disk, {name: (half-written file, the name under which the old file is kept)}; return its path."""
    plan, draft = folder / f"{MARK}{key}.plan", folder / f"{MARK}{key}.draft"
    try:
        with draft.open("xb") as stream:
            stream.write(json.dumps(moves).encode())
            stream.flush()
            os.fsync(stream.fileno())
        draft.replace(plan)
    except BaseException:
        draft.unlink(missing_ok=True)
        raise
    return plan


def _carry_out(folder: Path, sure: bool) -> None:
    """Carry out the plans whose writer is gone: the files they name are whole, and some may be in place already."""
    for plan in folder.glob(f"{MARK}*.plan"):
        if not (sure or _age(plan) > _GONE_PLAN):
            continue
        moves = _read_plan(plan)
        for name, (part, _) in moves.items():
            if (folder / part).is_file():
                (folder / part).replace(folder / name)
        for _, old in moves.values():
            (folder / old).unlink(missing_ok=True)
        plan.unlink(missing_ok=True)


def _read_plan(plan: Path) -> dict[str, tuple[str, str]]:
    """Return the moves of a plan; none where it is not one of ours."""
    try:
        data = json.loads(plan.read_bytes())
    except (OSError, ValueError):
        return {}
    if not isinstance(data, dict):
        return {}
    found = {name: value for name, value in data.items() if isinstance(value, list) and len(value) == 2}
    plain = {
        name: (value[0], value[1])
        for name, value in found.items()
        if all(isinstance(each, str) and each.startswith(MARK) and _is_plain(each) for each in value)
    }
    return plain if len(plain) == len(data) and all(map(_is_plain, data)) else {}


def _is_plain(name: str) -> bool:
    return name not in ("", ".", "..") and not any(char in name for char in "/\\\0")


def _sweep(folder: Path, own: Collection[str]) -> None:
    """Take away half-written files that no writer has touched for an hour."""
    for ending in ("part", "old", "draft"):
        for each in folder.glob(f"{MARK}*.{ending}"):
            if each.name not in own and _age(each) > _GONE_FILE:
                each.unlink(missing_ok=True)


def _age(path: Path) -> float:
    """Return how many seconds ago the file was last written or renamed; 0 where it is gone."""
    try:
        found = path.lstat()
    except OSError:
        return 0.0
    return time.time() - max(found.st_mtime, found.st_ctime)
