"""Writing files so that a reader finds either all the old ones or all the new ones, and nothing outside the folder."""

from __future__ import annotations

import errno
import os
import secrets
from collections.abc import Mapping
from pathlib import Path

from onfold.problems import Place, Problem, problem
from onfold.shelf.unfinished import MARK, alone, write_plan
from onfold.units import plain


class _ChangedError(Exception):
    """A file is no longer what its writer last read; `name` is the file's."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.name = name


def write_files(
    folder: Path, files: Mapping[str, bytes], expecting: Mapping[str, bytes | None] | None = None
) -> list[Problem]:
    """Write all the files into a folder, which is made where it is missing, or none of them; empty when all went well.

    Names are plain: no folders in them. Each file is written whole under another name and forced to disk before any is
    renamed into place; should a renaming fail, those before it are taken back, and should the process be killed between
    two, the next writer carries the rest out. A link in the folder is replaced by the file, never followed, and one
    that leads out of the folder is refused. `expecting` says what files must hold just before they are replaced (None:
    not be there); where one holds something else by then, someone else wrote it, and nothing is changed.
    """
    refused = [fault for name in files for fault in _name_faults(name)]
    if refused:
        return refused
    made: list[Path] = []
    written: dict[str, Path] = {}
    done = False
    try:
        made = _missing_folders(folder)
        folder.mkdir(parents=True, exist_ok=True)
        refused = [fault for name in files for fault in _target_faults(folder, name)]
        if refused:
            return refused
        for name, content in files.items():
            written[name] = _write_beside(folder, name, content)
        with alone(folder, {each.name for each in written.values()}):
            _put_in_place(folder, written, expecting or {})
        done = True
    except _ChangedError as changed:
        return [_changed(folder / changed.name)]
    except (OSError, ValueError) as error:
        return [_failed(folder, error)]
    finally:
        _clear_away(list(written.values()), [] if done else made)
    return []


def _name_faults(name: str) -> list[Problem]:
    plain_name = name not in ("", ".", "..") and not any(char in name for char in "/\\\0")
    if plain_name and Path(name).name == name and not name.startswith(MARK):
        return []
    says = f"'{plain(name)}' is not the name of a file in the folder; nothing was written."
    return [
        problem("WRITE-FAILED", says=says, found=plain(name), expected="a name without folders", remedy="Rename it.")
    ]


def _target_faults(folder: Path, name: str) -> list[Problem]:
    target = folder / name
    where = Place(plain(str(target), 200))
    if target.is_symlink() and not target.resolve().is_relative_to(folder.resolve()):
        says = f"{where.file} is a link that leads out of the folder; nothing was written."
        remedy = "Delete the link, or name another folder."
        return [problem("WRITE-FAILED", says=says, found="a link", expected="a file", remedy=remedy, where=where)]
    if target.is_dir() and not target.is_symlink():
        says = f"{where.file} is a folder where a file should be written; nothing was written."
        remedy = "Move it away, or name another folder."
        return [problem("WRITE-FAILED", says=says, found="a folder", expected="a file", remedy=remedy, where=where)]
    return []


def _missing_folders(folder: Path) -> list[Path]:
    """Return the folder and its parents as far as they are not there yet, innermost first."""
    missing = []
    for each in (folder, *folder.parents):
        if each.exists():
            break
        missing.append(each)
    return missing


def _write_beside(folder: Path, name: str, content: bytes) -> Path:
    """Write the content to disk under a name of its own; it takes the rights of the file that it will replace."""
    target, beside = folder / name, folder / f"{MARK}{secrets.token_hex(8)}.part"
    try:
        with beside.open("xb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        if target.is_file() and not target.is_symlink():
            beside.chmod(target.stat().st_mode & 0o777)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
    return beside


def _put_in_place(folder: Path, written: Mapping[str, Path], expecting: Mapping[str, bytes | None]) -> None:
    """Rename every new file into place; where one fails, put the old ones back and raise its error."""
    if len(written) == 1:  # one renaming is done or not done; nothing need be kept for it
        ((name, beside),) = written.items()
        _as_expected(folder, name, expecting)
        beside.replace(folder / name)
        _to_disk(folder)
        return
    asides = {name: folder / f"{MARK}{secrets.token_hex(8)}.old" for name in written}
    plan = write_plan(folder, secrets.token_hex(8), {name: (written[name].name, asides[name].name) for name in written})
    kept: dict[str, Path | None] = {}
    try:
        _to_disk(folder)
        for name, beside in written.items():
            _as_expected(folder, name, expecting)
            kept[name] = _set_aside(folder / name, asides[name])
            beside.replace(folder / name)
        _to_disk(folder)
    except BaseException:
        for name, old in reversed(kept.items()):
            _take_back(folder / name, old, new_is_there=not written[name].exists())
        _clear_away([plan], [])
        raise
    _clear_away([plan, *(old for old in kept.values() if old)], [])


def _as_expected(folder: Path, name: str, expecting: Mapping[str, bytes | None]) -> None:
    if name in expecting and _held(folder / name) != expecting[name]:
        raise _ChangedError(name)


def _held(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None


def _set_aside(target: Path, aside: Path) -> Path | None:
    """Give the old file a second name, so that it can be put back; None where there is no old file."""
    if not (target.exists() or target.is_symlink()):
        return None
    try:
        os.link(target, aside, follow_symlinks=False)
    except (OSError, NotImplementedError):
        # Some file systems (memory cards, shared folders) have no second names.
        target.rename(aside)
    return aside


def _take_back(target: Path, old: Path | None, new_is_there: bool) -> None:
    try:
        if old is not None:
            old.replace(target)
            old.unlink(missing_ok=True)
        elif new_is_there:
            target.unlink(missing_ok=True)
    except OSError:
        # The disk refuses even this; the old file is still there under its second name.
        return


def _to_disk(folder: Path) -> None:
    """Force the folder's list of names to disk, where the system lets a folder be opened."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError as error:
        # Shared folders often cannot; the files themselves are on disk already.
        if error.errno not in (errno.EINVAL, errno.ENOTSUP, errno.EBADF):
            raise
    finally:
        os.close(handle)


def _clear_away(files: list[Path], folders: list[Path]) -> None:
    for file in files:
        try:
            file.unlink(missing_ok=True)
        except (OSError, ValueError):
            continue
    for folder in folders:
        try:
            folder.rmdir()
        except (OSError, ValueError):
            continue


def _changed(path: Path) -> Problem:
    shown = plain(str(path), 200)
    return problem(
        "FILE-CHANGED",
        says=f"{shown} was changed by someone else meanwhile. It is left as they wrote it; nothing was written.",
        found="another text",
        expected="the text that was read",
        remedy="Look at it, then give the command again.",
        where=Place(shown),
    )


def _failed(folder: Path, error: OSError | ValueError) -> Problem:
    reason = error.strerror if isinstance(error, OSError) and error.strerror else "the name is not one"
    shown = plain(str(folder), 200)
    return problem(
        "WRITE-FAILED",
        says=f"Nothing could be written into {shown}: {plain(reason).lower()}. Older files were kept.",
        found=plain(reason).lower(),
        expected="a folder that can be written to, with room",
        remedy="Choose another folder with -o, or make room.",
        where=Place(shown),
    )
