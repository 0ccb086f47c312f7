"""All files or none, and nothing outside the folder."""

import os
import resource
import stat
import sys

import pytest

from onfold.shelf.safe import write_files

FILES = {"pattern.json": b"{}", "pattern.svg": b"<svg/>", "lesson.html": b"x" * 5000}


def content(folder):
    return {each.name: each.read_bytes() for each in folder.iterdir()}


def says_why(problems):
    assert [each.code for each in problems] == ["WRITE-FAILED"] * len(problems) and problems
    assert all(each.says.isprintable() and each.remedy for each in problems)
    return problems[0].says


def in_a_child(act):
    """Return whether `act` returned True in a forked child: for limits and rights that can't be given back."""
    child = os.fork()
    if child == 0:
        try:
            code = 0 if act() is True else 1
        except (AssertionError, OSError, ValueError) as error:
            print(repr(error), file=sys.stderr)
            code = 2
        os._exit(code)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0


def test_files_are_written_into_a_new_folder(tmp_path):
    folder = tmp_path / "a" / "demo"
    assert write_files(folder, FILES) == []
    assert content(folder) == FILES


def test_files_are_replaced_and_others_left_alone(tmp_path):
    (tmp_path / "pattern.svg").write_bytes(b"old")
    (tmp_path / "pattern.svg").chmod(0o640)
    (tmp_path / "mine.txt").write_bytes(b"mine")
    assert write_files(tmp_path, FILES) == []
    assert content(tmp_path) == {**FILES, "mine.txt": b"mine"}
    assert stat.S_IMODE((tmp_path / "pattern.svg").stat().st_mode) == 0o640


@pytest.mark.parametrize(
    "name", ["../out.txt", "/etc/out.txt", "a/b", "..", ".", "", "a\\b", "a\x00b", ".onfold-x.part", "\x1b/[31m"]
)
def test_a_name_cannot_leave_the_folder(tmp_path, name):
    folder = tmp_path / "in"
    says_why(write_files(folder, {"good.txt": b"1", name: b"2"}))
    assert list(tmp_path.iterdir()) == []


def test_a_link_that_leads_out_is_refused_and_its_goal_untouched(tmp_path):
    outside, folder = tmp_path / "precious.txt", tmp_path / "demo"
    outside.write_bytes(b"precious")
    folder.mkdir()
    (folder / "pattern.svg").symlink_to(outside)
    assert "leads out of the folder" in says_why(write_files(folder, FILES))
    assert outside.read_bytes() == b"precious"
    assert [each.name for each in folder.iterdir()] == ["pattern.svg"]


def test_a_link_inside_the_folder_is_replaced_not_followed(tmp_path):
    (tmp_path / "first.svg").write_bytes(b"first")
    (tmp_path / "pattern.svg").symlink_to(tmp_path / "first.svg")
    assert write_files(tmp_path, FILES) == []
    assert (tmp_path / "first.svg").read_bytes() == b"first"
    assert not (tmp_path / "pattern.svg").is_symlink()


def test_a_folder_in_the_way_keeps_everything_old(tmp_path):
    (tmp_path / "lesson.html").mkdir()
    (tmp_path / "pattern.json").write_bytes(b"old")
    says_why(write_files(tmp_path, FILES))
    assert (tmp_path / "pattern.json").read_bytes() == b"old"
    assert sorted(each.name for each in tmp_path.iterdir()) == ["lesson.html", "pattern.json"]


def test_a_file_where_the_folder_should_be(tmp_path):
    (tmp_path / "demo").write_bytes(b"a file")
    says_why(write_files(tmp_path / "demo", FILES))
    says_why(write_files(tmp_path / "demo" / "deeper", FILES))
    assert (tmp_path / "demo").read_bytes() == b"a file"


def test_folders_that_no_system_has(tmp_path):
    says_why(write_files(tmp_path / ("x" * 5000), FILES))
    says_why(write_files(tmp_path / "a\x00b", FILES))
    says_why(write_files(tmp_path, {"x" * 5000: b"1"}))
    says_why(write_files(tmp_path / "new" / "er", {"x" * 5000: b"1"}))
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_keeps_the_old_files_and_leaves_nothing_half_written(tmp_path):
    """The limit on a file's size gives the same OSError from write as a disk without room."""
    old = dict.fromkeys(FILES, b"old")
    assert write_files(tmp_path, old) == []

    def act():
        resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))  # the third file has 5,000 bytes
        says_why(write_files(tmp_path, FILES))
        says_why(write_files(tmp_path / "new", FILES))
        return True

    assert in_a_child(act)
    assert content(tmp_path) == old


def test_a_folder_closed_to_writing(tmp_path):
    old = dict.fromkeys(FILES, b"old")
    assert write_files(tmp_path / "shut", old) == []
    (tmp_path / "shut").chmod(0o555)
    if os.getuid() == 0:  # nobody must be able to come this far
        for each in (tmp_path, tmp_path.parent, tmp_path.parent.parent):
            each.chmod(each.stat().st_mode | 0o055)

    def act():
        if os.getuid() == 0:
            os.setuid(65534)  # root may write anywhere, so become nobody
        says_why(write_files(tmp_path / "shut", FILES))
        says_why(write_files(tmp_path / "shut" / "new", FILES))
        return True

    assert in_a_child(act)
    (tmp_path / "shut").chmod(0o755)
    assert content(tmp_path / "shut") == old


@pytest.mark.parametrize("second_names", [True, False])
def test_a_renaming_that_fails_takes_the_earlier_ones_back(tmp_path, monkeypatch, second_names):
    """The last renaming is made to fail by the system's own call, as when a disk is pulled out."""
    old = {"a": b"old a", "b": b"old b"}
    assert write_files(tmp_path, old) == []
    real = os.replace
    count = 0

    def failing(source, target):
        nonlocal count
        count += str(source).endswith(".part")
        if str(source).endswith(".part") and count == 3:
            raise OSError(5, "Input/output error")
        real(source, target)

    def no_link(*args, **kwargs):
        raise OSError(95, "Operation not supported")

    monkeypatch.setattr(os, "replace", failing)
    if not second_names:
        monkeypatch.setattr(os, "link", no_link)
    says_why(write_files(tmp_path, {"a": b"new a", "n": b"new n", "b": b"new b"}))
    assert count == 3
    assert content(tmp_path) == old
