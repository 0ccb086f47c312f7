"""The command line as makers and scripts meet it: streams, exit codes, files kept, a terminal left alone."""

from __future__ import annotations

import datetime
import json
import os
import re
import shutil
import subprocess
import sys
import unicodedata
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from onfold import open_ticket
from onfold.cli import main
from onfold.problems import CODES, Problem
from onfold.project_ready import readiness
from onfold.project_start import ask_for_ticket
from onfold.shelf.ticket import read_ticket

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
FILES = ["pattern.json", "pattern.svg", "pattern.pdf", "lesson.html", "guide.pdf", "guide.html", "guide.json"]
SHEATH, SKIRT = EXAMPLES / "soprano-4-sheath.yaml", EXAMPLES / "soprano-2-skirt.yaml"


def run(*words: str | Path, said: str | None = None, columns: int = 100) -> Result:
    return CliRunner(env={"COLUMNS": str(columns)}).invoke(main, [str(word) for word in words], input=said)


def changed(folder: Path, ticket: Path, old: str, new: str) -> Path:
    text = ticket.read_text("utf-8")
    assert old in text
    path = folder / "changed.yaml"
    path.write_text(text.replace(old, new), "utf-8")
    return path


def no_control_characters(text: str) -> bool:
    return all(char == "\n" or unicodedata.category(char) not in ("Cc", "Cf", "Cs") for char in text)


def bytes_in(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


# --- make, lesson, check ---


def test_make_with_nothing_worse_than_a_mind_names_its_files(tmp_path: Path) -> None:
    done = run("make", SHEATH, "-o", tmp_path / "out")
    assert done.exit_code == 0
    assert done.stdout.splitlines() == [str(tmp_path / "out" / name) for name in FILES]
    assert sorted(bytes_in(tmp_path / "out")) == sorted(FILES)
    assert "FRONT-LENGTH" in done.stderr


def test_make_with_a_stop_writes_and_ends_with_1(tmp_path: Path) -> None:
    stiff = changed(tmp_path, SHEATH, "across: 65 %", "across: 5 %")
    done = run("make", stiff, "-o", tmp_path / "out")
    assert done.exit_code == 1
    assert "stop  GETTING-IN" in done.stderr
    assert sorted(bytes_in(tmp_path / "out")) == sorted(FILES)
    found = json.loads((tmp_path / "out" / "pattern.json").read_bytes())["problems"]
    assert "GETTING-IN" in [each["code"] for each in found if each["severity"] == "stop"]


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("recipe: choir-sheath", "recipe: choir-sheeth", "RECIPE-UNKNOWN"),
        ("width: 60 in", "widht: 60 in", "KEY-UNKNOWN"),
        ("paper: letter", "paper: foolscap", "VALUE-WRONG"),
        ("bust: 34 in", "bust: 34", "VALUE-WRONG"),
        ("date: 2026-10-09", "choices: {length: 1 cm}", "VALUE-RANGE"),
        ("date: 2026-10-09", "choices: {lenght: 60 cm}", "CHOICE-UNKNOWN"),
    ],
)
def test_what_cannot_be_read_writes_nothing_and_keeps_what_was(tmp_path: Path, old: str, new: str, code: str) -> None:
    broken = changed(tmp_path, SHEATH, old, new)
    line = next(n for n, row in enumerate(broken.read_text("utf-8").splitlines(), 1) if new in row)
    out = tmp_path / "out"
    out.mkdir()
    (out / "pattern.pdf").write_bytes(b"an older pattern")
    done = run("make", broken, "-o", out)
    assert done.exit_code == 2
    assert done.stdout == ""
    assert f"stop  {code}  {broken}:{line}:" in done.stderr
    assert bytes_in(out) == {"pattern.pdf": b"an older pattern"}
    checked = run("check", broken)
    assert checked.exit_code == 2
    assert f"stop  {code}  {broken}:{line}:" in checked.stdout


def test_an_unknown_paper_is_found_at_its_line(tmp_path: Path) -> None:
    broken = changed(tmp_path, SKIRT, "paper: a4", "paper: a5")
    garment = open_ticket(broken)
    (wrong,) = [each for each in garment.problems if each.code == "VALUE-WRONG"]
    assert not garment.readable
    assert "paper: a5" in broken.read_text("utf-8").splitlines()[wrong.where.line - 1]
    assert "paper: a5" in wrong.excerpt


def test_lesson_writes_the_lesson_alone(tmp_path: Path) -> None:
    done = run("lesson", SKIRT, "-o", tmp_path / "out")
    assert done.exit_code == 0
    assert list(bytes_in(tmp_path / "out")) == ["lesson.html"]


def test_check_writes_nothing_and_says_all_it_found(tmp_path: Path) -> None:
    ticket = Path(shutil.copy(SHEATH, tmp_path))
    done = run("check", ticket)
    assert done.exit_code == 0
    assert bytes_in(tmp_path) == {ticket.name: SHEATH.read_bytes()}
    said = " ".join(done.stdout.split())
    garment = open_ticket(ticket)
    for each in garment.all_problems:
        if each.code != "NOT-TAPED":
            assert " ".join(each.says.split()) in said


def test_estimates_are_said_once_each_with_its_interval_as_the_draft_has_it() -> None:
    done = run("check", SHEATH)
    assert done.stdout.count("NOT-TAPED") == 1
    said = " ".join(done.stdout.split())
    garment = open_ticket(SHEATH)
    assert garment.draft is not None
    estimated = [name for name, taken in garment.draft.pattern.measures.items() if taken.estimated]
    assert len(estimated) > 5
    for name in estimated:
        assert len(re.findall(rf"{name} [\d /]+ in \([\d /]+ to [\d /]+ in\)", said)) == 1
    assert f"{len(estimated)} measures estimated" in said
    assert "Tape first: across front" in said


@pytest.mark.parametrize("columns", [60, 80, 200])
def test_lines_fit_the_terminal_and_numbers_keep_their_units(columns: int) -> None:
    rows = run("check", SHEATH, columns=columns).stdout.splitlines()
    assert max(len(row) for row in rows) <= min(columns, 100)
    assert not [row for row in rows if re.match(r"\s*(in|cm|mm|%)\b", row) and "in the" not in row]
    assert not [row for row in rows if re.match(r"\s*\d/\d", row)]


# --- paths that lead nowhere ---


def test_a_path_that_is_no_ticket_is_a_plain_problem(tmp_path: Path) -> None:
    loop = tmp_path / "loop.yaml"
    loop.symlink_to(loop)
    for path in (tmp_path, tmp_path / "absent.yaml", loop, tmp_path / ("a" * 5000)):
        for words in (("check", path), ("make", path, "-o", tmp_path / "out")):
            done = run(*words)
            assert done.exit_code == 2, path
            assert "stop  FILE-MISSING" in done.output
    assert not (tmp_path / "out").exists()


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read every file")
def test_a_ticket_closed_to_reading(tmp_path: Path) -> None:
    ticket = Path(shutil.copy(SKIRT, tmp_path))
    ticket.chmod(0)
    assert run("check", ticket).exit_code == 2


def test_a_folder_that_cannot_be_written_to_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder")
    done = run("make", SKIRT, "-o", tmp_path / "file")
    assert done.exit_code == 2
    assert "WRITE-FAILED" in done.stderr
    assert (tmp_path / "file").read_text() == "not a folder"


def test_a_slip_in_the_command_itself_ends_with_2(tmp_path: Path) -> None:
    for words in (("make", SKIRT), ("chekc", SKIRT), ("check",), ("schema", "garment")):
        assert run(*words).exit_code == 2


# --- a terminal left alone ---


@pytest.mark.parametrize("command", ["check", "make"])
def test_control_characters_never_reach_the_terminal(tmp_path: Path, command: str) -> None:
    hostile = tmp_path / "t\x1b]0;x\x07\u202e.yaml"
    text = SHEATH.read_text("utf-8")
    written = [
        text.replace("Concert sheath", '"\\e[31m\\u202eConcert"  #').replace("soprano-4\n", '"\\x1b[2J\\x07"\n'),
        text.replace("recipe: choir-sheath", 'recipe: "\\e[31mred"'),
        text.replace("bust: 34 in", '"\\e[2Jbust": 34 in'),
        text.replace("date: 2026-10-09", 'choices: {"\\e[1mlength": "\\e]8;;x\\a"}'),
        text.replace("date: 2026-10-09", 'finish: {"\\e[1mhem": plain 1 cm}'),
        text.replace("paper: letter", 'paper: "\\e[5ma4"'),
        text.replace("kind: knit", "kind: \x1b[31mknit"),
        text.replace("kind: knit", "kind: kni\u202et"),
    ]
    for each in written:
        assert each != text
        hostile.write_text(each, "utf-8")
        for json_too in ((), ("--json",)):
            to = ("-o", tmp_path / "out\x1b[31m") if command == "make" else ()
            done = run(command, hostile, *to, *json_too)
            assert done.exit_code in (0, 1, 2)
            assert no_control_characters(done.stdout)
            assert no_control_characters(done.stderr)


def test_letters_a_terminal_does_not_know_end_nothing(tmp_path: Path) -> None:
    ticket = changed(tmp_path, SHEATH, "name: soprano-4", "name: Soňa Ωmega")
    words = [sys.executable, "-c", "from onfold.cli import main; main()", "check", str(ticket)]
    done = subprocess.run(words, capture_output=True, env={**os.environ, "PYTHONIOENCODING": "latin-1"}, check=False)
    assert done.returncode == 0
    assert b"Traceback" not in done.stderr
    assert "choices: {back depth: ?}" in done.stdout.decode("latin-1")  # the ellipsis, which latin-1 lacks


# --- JSON ---


def test_every_listing_is_one_json_document(tmp_path: Path) -> None:
    check = json.loads(run("check", SHEATH, "--json").stdout)
    assert check["exit"] == 0
    assert {each["code"] for each in check["problems"]} <= CODES.keys()
    made = json.loads(run("make", SHEATH, "-o", tmp_path / "out", "--json").stdout)
    assert made["written"] == [str(tmp_path / "out" / name) for name in FILES]
    assert made["problems"] == check["problems"]
    in_the_file = json.loads((tmp_path / "out" / "pattern.json").read_bytes())["problems"]
    assert sorted(each["says"] for each in in_the_file) == sorted(each["says"] for each in made["problems"])
    lesson = json.loads(run("lesson", SHEATH, "-o", tmp_path / "lesson", "--json").stdout)
    assert lesson["written"] == [str(tmp_path / "lesson" / "lesson.html")]
    listed = json.loads(run("recipes", "--json").stdout)
    assert [each["name"] for each in listed] == ["choir-sheath", "straight-skirt"]
    assert all(set(each) == {"name", "title", "kind", "for", "needs"} for each in listed)
    assert json.loads(run("recipes", "choir-sheath", "--json").stdout) == listed[0]
    broken = json.loads(run("make", tmp_path / "absent.yaml", "-o", tmp_path / "none", "--json").stdout)
    assert (broken["exit"], broken["written"]) == (2, [])
    wrong = run("recipes", "choir-sheeth", "--json")
    assert wrong.exit_code == 2
    assert json.loads(wrong.stdout)["problems"][0]["code"] == "RECIPE-UNKNOWN"
    for what in ("ticket", "recipe"):
        assert json.loads(run("schema", what).stdout)["title"] == f"Onfold {what}"


def test_a_printed_recipe_is_the_file_to_copy(tmp_path: Path) -> None:
    (tmp_path / "mine.yaml").write_text(run("recipes", "straight-skirt").stdout, "utf-8")
    ticket = changed(tmp_path, SKIRT, "recipe: straight-skirt", "recipe: mine.yaml")
    assert run("check", ticket).exit_code == 0


# --- ready ---


def test_ready_tries_each_part(monkeypatch: pytest.MonkeyPatch) -> None:
    done = run("ready", "--json")
    found = json.loads(done.stdout)
    assert done.exit_code == 0
    assert all(each["ready"] for each in found)
    assert {"Python", "Tickets and recipes", "Estimates", "Lettering", "Guide", "Pictures of sheets"} <= {
        each["what"] for each in found
    }
    for absent in ("typst", "pypdfium2"):
        monkeypatch.setitem(sys.modules, absent, None)
    missing = {each["what"]: each for each in readiness() if not each["ready"]}
    assert set(missing) == {"Guide", "Pictures of sheets"}
    assert "Install" in missing["Guide"]["detail"]
    assert run("ready").exit_code == 1


# --- help ---


def test_help_imports_nothing_heavy() -> None:
    """How quick it is stands in `make bench`."""
    words = [sys.executable, "-c", "from onfold.cli import main; main(['--help'])"]
    assert subprocess.run(words, capture_output=True, check=False).returncode == 0
    heavy = ["numpy", "yaml", "scipy", "shapely", "fontTools", "typst", "pypdfium2", "pyclipper", "spyrrow", "numba"]
    code = f"import sys, onfold.cli; sys.exit(any(name in sys.modules for name in {heavy!r}))"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_every_command_has_its_help() -> None:
    for command in ("make", "check", "lesson", "recipes", "start", "schema", "ready"):
        done = run(command, "--help")
        assert done.exit_code == 0
        assert len(done.stdout.split("Options:")[0].split()) > 15


# --- start ---

SHEATH_ANSWERS = [
    "1", "alto-7", "", "in", "woman", "5 ft 6 in", "38 1/2", "31 in", "41", "13 in", "enough",
    "black jersey", "knit", "60", "70", "40 %", "letter",
]  # fmt: skip
SKIRT_ANSWERS = [
    "straight-skirt", "tenor-3", "Kilt lining", "cm", "man", "178 cm", "86", "99 cm", "", "", "", "",
    "140 cm", "a3",
]  # fmt: skip


class Scripted:
    """A door that answers from a list and remembers what it was asked and told; it breaks off at the end."""

    def __init__(self, answers: list[str]) -> None:
        self.answers = list(answers)
        self.asked: list[str] = []
        self.told: list[str] = []

    def ask(self, question: str, default: str) -> str | None:
        self.asked.append(question)
        if not self.answers:
            return None
        return self.answers.pop(0) or default

    def tell(self, text: str) -> None:
        self.told.append(text)


def reading_problems(path: Path) -> list[str]:
    garment = open_ticket(path)
    return [each.says for each in (*garment.problems, *garment.all_problems) if CODES[each.code].group == "reading"]


def test_start_writes_a_ticket_that_reads_back_as_answered(tmp_path: Path) -> None:
    path = tmp_path / "new" / "mine.yaml"
    done = run("start", path, said="\n".join(SHEATH_ANSWERS) + "\n")
    assert done.exit_code == 0, done.output
    ticket, problems = read_ticket(path)
    assert ticket is not None
    assert problems == []
    assert reading_problems(path) == []
    assert (ticket.recipe.text, ticket.units, ticket.wearer.name) == ("choir-sheath", "in", "alto-7")
    assert ticket.wearer.measures == pytest.approx(
        {"height": 66 * 25.4, "bust": 38.5 * 25.4, "waist": 31 * 25.4, "hip": 41 * 25.4, "across front": 13 * 25.4}
    )
    assert (ticket.cloth.width, ticket.cloth.stretch_across, ticket.cloth.stretch_along) == (1524.0, 0.7, 0.4)
    assert ticket.paper.text == "letter"
    assert ticket.date == datetime.date.today().isoformat()
    assert f"onfold check {path}" in done.output
    assert f"onfold make {path} -o {path.with_suffix('')}" in done.output
    assert run("check", path).exit_code == 0


def test_start_asks_with_how_each_measure_is_taken_and_in_the_order_that_narrows(tmp_path: Path) -> None:
    door = Scripted(SHEATH_ANSWERS)
    assert ask_for_ticket(tmp_path / "t.yaml", door, datetime.date(2026, 10, 5)) == 0
    asked = [question.split(",")[0].strip() for question in door.asked if question.startswith("  ")]
    assert asked[:5] == ["height", "bust", "waist", "hip", "across front"]
    how = " ".join(door.told)
    assert "the tape level all round" in how
    assert "If the 10 cm reach 15 cm, the stretch is 50 %" in how


def test_start_by_a_pipe(tmp_path: Path) -> None:
    words = [sys.executable, "-c", "from onfold.cli import main; main()", "start", str(tmp_path / "skirt.yaml")]
    said = ("\n".join(SKIRT_ANSWERS) + "\n").encode()
    done = subprocess.run(words, input=said, capture_output=True, check=False)
    assert done.returncode == 0, done.stdout
    assert reading_problems(tmp_path / "skirt.yaml") == []
    odd = subprocess.run(words, input=b"yes\n1\n\xff\xfe\n", capture_output=True, check=False)
    assert odd.returncode == 2
    assert b"Traceback" not in odd.stderr


@pytest.mark.parametrize("answers", [SHEATH_ANSWERS, SKIRT_ANSWERS])
def test_breaking_off_anywhere_leaves_nothing(tmp_path: Path, answers: list[str]) -> None:
    for count in range(len(answers)):
        path = tmp_path / "folder" / "t.yaml"
        door = Scripted(answers[:count])
        assert ask_for_ticket(path, door) == 2
        assert not path.parent.exists()
        assert "nothing was written" in door.told[-1]
    done = run("start", tmp_path / "t.yaml", said="1\nalto-1\n")
    assert done.exit_code == 2
    assert list(tmp_path.iterdir()) == []


def test_an_existing_ticket_is_written_over_only_when_told(tmp_path: Path) -> None:
    path = tmp_path / "t.yaml"
    path.write_text("mine\n")
    for answers in ([""], ["no"], ["perhaps", "n"], []):
        assert ask_for_ticket(path, Scripted(answers)) == 2
        assert path.read_text() == "mine\n"
    assert ask_for_ticket(path, Scripted(["yes", "1"])) == 2
    assert path.read_text() == "mine\n"
    assert ask_for_ticket(path, Scripted(["yes", *SKIRT_ANSWERS])) == 0
    assert reading_problems(path) == []


def test_a_folder_is_no_ticket(tmp_path: Path) -> None:
    door = Scripted([])
    assert ask_for_ticket(tmp_path, door) == 2
    assert "is a folder" in door.told[0]


def test_what_cannot_be_read_is_asked_again_with_the_reason(tmp_path: Path) -> None:
    answers = [
        "skirt", "straight-skirt", "", "x" * 300, "\x1b[2J", "alto-1", "", "feet", "cm", "alien", "woman",
        "1.70", "17 cm", "170 cm", "72 lb", "720", "72 cm", "1-1/2 in", "98 cm", "enough",
        "", "felt", "woven", "wide", "0 cm", "150", "foolscap", "a4",
    ]  # fmt: skip
    path = tmp_path / "t.yaml"
    door = Scripted(answers)
    assert ask_for_ticket(path, door) == 0
    assert door.answers == []
    assert reading_problems(path) == []
    said = " ".join(door.told)
    for reason in ("cannot be 'feet'", "is no person's", "1 1/2 in", "no paper known", "An answer is needed"):
        assert reason in said
    ticket, _ = read_ticket(path)
    assert ticket is not None
    assert ticket.wearer.measures == {"height": 1700.0, "waist": 720.0, "hip": 980.0}


@pytest.mark.parametrize(
    "name",
    [
        "a: b",
        "# alto",
        "- x",
        "[a, b]",
        "{a}",
        "'q'",
        '"q"',
        "yes",
        "*a",
        "&a",
        "!t",
        "%x",
        "@x",
        "`x",
        "a #b",
        "é ☃",
        "1",
    ],
)
def test_any_name_is_written_so_that_it_reads_back(tmp_path: Path, name: str) -> None:
    path = tmp_path / "t.yaml"
    answers = [SKIRT_ANSWERS[0], name, name, *SKIRT_ANSWERS[3:10], name, *SKIRT_ANSWERS[11:]]
    assert ask_for_ticket(path, Scripted(answers)) == 0
    ticket, problems = read_ticket(path)
    assert ticket is not None
    assert problems == []
    assert (ticket.title, ticket.wearer.name, ticket.cloth.name) == (name, name, name)


def test_measures_that_seldom_go_together_are_asked_about(tmp_path: Path) -> None:
    answers = [*SHEATH_ANSWERS[:6], "38", "13 in", "41", "13 in", "enough", "waist", "31 in", *SHEATH_ANSWERS[11:]]
    door = Scripted(answers)
    assert ask_for_ticket(tmp_path / "t.yaml", door) == 0
    assert any("To look at again" in text for text in door.told)
    ticket, _ = read_ticket(tmp_path / "t.yaml")
    assert ticket is not None
    assert ticket.wearer.measures["waist"] == pytest.approx(31 * 25.4)


def test_nothing_taped_of_a_woman_is_all_estimated(tmp_path: Path) -> None:
    answers = [*SHEATH_ANSWERS[:5], "", "", "", "", "enough", *SHEATH_ANSWERS[11:]]
    path = tmp_path / "t.yaml"
    assert ask_for_ticket(path, Scripted(answers)) == 0
    assert reading_problems(path) == []


def test_a_child_is_asked_for_every_measure_and_told_what_is_still_to_be_taped(tmp_path: Path) -> None:
    taken = ["straight-skirt", "treble-1", "", "cm", "child", "128 cm", "57", "68", "13", "", "later"]
    path = tmp_path / "t.yaml"
    door = Scripted([*taken, "", "woven", "140", "a4"])
    assert ask_for_ticket(path, door) == 0
    assert door.answers == []
    assert any("Still to be taped" in text and "waist to knee" in text for text in door.told)
    ticket, problems = read_ticket(path)
    assert ticket is not None
    assert problems == []
    assert "waist to knee" in path.read_text("utf-8")


# --- breaking off, and what cannot be written out ---


def test_breaking_off_ends_as_what_cannot_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def breaks(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("onfold.project.open_ticket", breaks)
    done = run("make", SKIRT, "-o", tmp_path / "out")
    assert (done.exit_code, done.stderr.strip()) == (2, "Broken off.")
    assert not (tmp_path / "out").exists()


def test_a_full_disk_behind_standard_output_is_told() -> None:
    words = [sys.executable, "-c", "from onfold.cli import main; main()", "schema", "ticket"]
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(words, stdout=full, stderr=subprocess.PIPE, check=False)
    assert done.returncode == 2
    assert b"Traceback" not in done.stderr


def test_start_without_anybody_to_answer_writes_nothing(tmp_path: Path) -> None:
    words = [sys.executable, "-c", "import sys; sys.stdin = None\nfrom onfold.cli import main; main()", "start"]
    done = subprocess.run([*words, str(tmp_path / "mine.yaml")], capture_output=True, check=False)
    assert done.returncode == 2
    assert b"Traceback" not in done.stderr
    assert not (tmp_path / "mine.yaml").exists()


def test_no_number_of_seconds_is_refused(tmp_path: Path) -> None:
    done = run("lay", SKIRT, "-o", tmp_path / "out", "--seconds", "nan")
    assert done.exit_code == 2
    assert "no number of seconds" in done.stderr


def test_a_recipe_in_a_locked_folder_is_not_to_be_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    ticket = changed(tmp_path, SKIRT, "recipe: straight-skirt", "recipe: locked/mine.yaml")
    is_file = Path.is_file

    def locked(self: Path) -> bool:
        if self.parent.name == "locked":
            raise PermissionError(13, "Permission denied", str(self))
        return is_file(self)

    monkeypatch.setattr(Path, "is_file", locked)
    done = run("check", ticket)
    assert done.exit_code == 2
    assert "RECIPE-UNKNOWN" in done.stdout


def test_a_file_of_thousands_of_slips_is_read_once_through(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from onfold.recipe import fields

    seen: list[str] = []
    fault_of = fields._fault_of

    def counted(found: Problem) -> tuple[str, str, int, int, str]:
        seen.append(found.code)
        return fault_of(found)

    monkeypatch.setattr(fields, "_fault_of", counted)
    slips = "".join(f"keyy{number}: 1\n" for number in range(4000))
    (tmp_path / "slips.yaml").write_text(SKIRT.read_text("utf-8") + slips, "utf-8")
    done = run("check", tmp_path / "slips.yaml", "--json")
    assert len(json.loads(done.stdout)["problems"]) == 4000
    assert len(seen) <= 3 * 4000, "each fault is looked up and not looked for among all the others"
