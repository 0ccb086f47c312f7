"""All files or none, and nothing outside the folder."""

import os
import resource
import signal
import stat
import sys
import time

import pytest

from onfold.shelf import unfinished
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


# --- a process that ends part way ---

CALLS = ("replace", "link", "fsync", "unlink", "open", "close")


def killed_at(folder, number, files, second_names):
    """Write in a child that is killed just before its `number`-th call to the system; return whether it came so far."""

    def act():
        count = 0

        def counting(real):
            def call(*args, **kwargs):
                nonlocal count
                count += 1
                if count == number:
                    os.kill(os.getpid(), signal.SIGKILL)
                return real(*args, **kwargs)

            return call

        for name in CALLS:
            setattr(os, name, counting(getattr(os, name)))
        if not second_names:
            os.link = no_link
        return write_files(folder, files) == []

    def no_link(*args, **kwargs):
        raise OSError(95, "Operation not supported")

    child = os.fork()
    if child == 0:
        os._exit(0 if act() else 1)
    status = os.waitpid(child, 0)[1]
    assert os.WIFSIGNALED(status) or os.waitstatus_to_exitcode(status) == 0
    return os.WIFSIGNALED(status)


def seen(folder):
    """What a reader sees: our own half-written files begin with a dot and are nobody's."""
    return {name: held for name, held in content(folder).items() if not name.startswith(".onfold-")}


@pytest.mark.parametrize("second_names", [True, False])
def test_killed_at_any_call_the_next_writer_leaves_all_old_or_all_new(tmp_path, second_names):
    old, new = dict.fromkeys(FILES, b"old"), FILES
    number, mixed = 0, 0
    while True:
        number += 1
        folder = tmp_path / str(number)
        assert write_files(folder, old) == []
        killed = killed_at(folder, number, new, second_names)
        if seen(folder) not in (old, new):
            mixed += 1
            assert list(folder.glob(".onfold-*.plan"))  # only ever while a plan says how to go on
        assert write_files(folder, {"next.txt": b"1"}) == []
        now = seen(folder)
        assert now.pop("next.txt") == b"1"
        assert now in (old, new)
        assert not list(folder.glob(".onfold-*.plan"))
        if not killed:
            break
    assert number > 15
    assert mixed  # the proof would prove nothing if no kill fell between two renamings


def test_killed_at_any_call_a_single_file_is_old_or_new(tmp_path):
    number = 0
    while True:
        number += 1
        folder = tmp_path / str(number)
        assert write_files(folder, {"ticket.yaml": b"old"}) == []
        killed = killed_at(folder, number, {"ticket.yaml": b"new"}, True)
        assert (folder / "ticket.yaml").read_bytes() in (b"old", b"new")
        if not killed:
            break
    assert number > 5


def test_leftovers_are_swept_once_no_writer_can_have_them(tmp_path):
    young, aged = tmp_path / ".onfold-1.part", tmp_path / ".onfold-2.part"
    for each in (young, aged, tmp_path / ".mine"):
        each.write_bytes(b"half")
    long_ago = aged.stat().st_mtime - 7200
    os.utime(aged, (long_ago, long_ago))
    assert write_files(tmp_path, {"a": b"1"}) == []
    assert sorted(content(tmp_path)) == [".mine", ".onfold-1.part", ".onfold-2.part", "a"]  # renamed or made just now
    later = time.time() + 7200

    def act():
        time.time = lambda: later
        return write_files(tmp_path, {"a": b"2"}) == []

    assert in_a_child(act)
    assert sorted(content(tmp_path)) == [".mine", "a"]


@pytest.mark.parametrize(
    "plan",
    [b"", b"{", b"[]", b'{"a": 1}', b'{"../a": [".onfold-1.part", ".onfold-2.old"]}', b'{"a": ["/etc/passwd", "b"]}',
     b'{"a": ["mine.txt", ".onfold-2.old"]}', b'{"a": [".onfold-1.part", "mine.txt"]}', b"\xff"],
)  # fmt: skip
def test_a_plan_that_is_none_of_ours_does_nothing(tmp_path, plan):
    (tmp_path / "mine.txt").write_bytes(b"mine")
    (tmp_path / ".onfold-9.plan").write_bytes(plan)
    assert write_files(tmp_path, {"b": b"1"}) == []
    assert content(tmp_path) == {"mine.txt": b"mine", "b": b"1"}


def test_writers_take_turns(tmp_path):
    """Four processes write whole sets into one folder: whoever was last, the set is one process's own."""
    children = []
    for number in range(4):
        child = os.fork()
        if child == 0:
            good = all(
                write_files(tmp_path, dict.fromkeys("abc", f"{number} {turn}".encode())) == [] for turn in range(25)
            )
            os._exit(0 if good else 1)
        children.append(child)
    assert [os.waitpid(child, 0)[1] for child in children] == [0] * 4
    assert len(set(content(tmp_path).values())) == 1
    assert sorted(content(tmp_path)) == ["a", "b", "c"]


def test_a_folder_that_another_run_never_leaves_is_said(tmp_path, monkeypatch):
    monkeypatch.setattr(unfinished, "WAITS", 0.1)
    with unfinished.alone(tmp_path):
        assert "another run is writing into it" in says_why(write_files(tmp_path, FILES))
    assert content(tmp_path) == {}


# --- a file that someone else writes ---


def test_a_file_changed_meanwhile_is_left_as_they_wrote_it(tmp_path):
    assert write_files(tmp_path, {"t.yaml": b"old", "b": b"b"}) == []
    (tmp_path / "t.yaml").write_bytes(b"theirs")
    for files in ({"t.yaml": b"ours"}, {"b": b"new b", "t.yaml": b"ours", "c": b"new c"}):
        (wrong,) = write_files(tmp_path, files, expecting={"t.yaml": b"old"})
        assert wrong.code == "FILE-CHANGED" and wrong.says and wrong.remedy
        assert content(tmp_path) == {"t.yaml": b"theirs", "b": b"b"}
    assert write_files(tmp_path, {"t.yaml": b"ours"}, expecting={"t.yaml": b"theirs"}) == []
    (tmp_path / "t.yaml").unlink()
    (wrong,) = write_files(tmp_path, {"t.yaml": b"ours"}, expecting={"t.yaml": b"theirs"})
    assert wrong.code == "FILE-CHANGED"
    assert content(tmp_path) == {"b": b"b"}
