"""`onfold fit` as makers and scripts meet it: lists, before and after, the ticket written only when asked."""

from __future__ import annotations

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
from onfold.fitting.entry import NewFitting
from onfold.problems import Problem
from onfold.project_fit import fit, write_ticket
from onfold.project_seen import causes_of, looks_of
from onfold.shelf.ticket import Ticket

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
CHANGED = ["fitting.json", "fitting.svg", "fitting.pdf", "try-on.pdf"]
EASE = ("--choice", "waist ease: 3 cm", "--on", "2026-10-12", "--note", "Tight when sitting.")


def run(*words: str | Path, columns: int = 100) -> Result:
    return CliRunner(env={"COLUMNS": str(columns)}).invoke(main, [str(word) for word in words])


@pytest.fixture
def skirt(tmp_path: Path) -> Path:
    return Path(shutil.copy(EXAMPLES / "soprano-2-skirt.yaml", tmp_path / "skirt.yaml"))


@pytest.fixture
def sheath(tmp_path: Path) -> Path:
    return Path(shutil.copy(EXAMPLES / "alto-1-sheath.yaml", tmp_path / "sheath.yaml"))


def names_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir()) if folder.is_dir() else []


def ticket_of(path: Path) -> Ticket:
    ticket = open_ticket(path).ticket
    assert ticket is not None
    return ticket


def words_of(text: str) -> str:
    return " ".join(text.split())


# --- listing ---


def test_without_a_change_the_fittings_are_listed_and_the_list_for_the_try_on_written(tmp_path: Path) -> None:
    velvet = EXAMPLES / "alto-3-velvet-sheath.yaml"
    done = run("fit", velvet, "-o", tmp_path / "out")
    assert done.exit_code == 0
    said = words_of(done.stdout)
    assert "2026-10-12: Tight when sitting; taped again over the hip. measure hip: 111.5 cm." in said
    assert "2026-10-19: The right shoulder hangs lower than the left. figure right shoulder: 1 cm low." in said
    assert names_in(tmp_path / "out") == ["try-on.pdf"]
    assert (tmp_path / "out" / "try-on.pdf").read_bytes().startswith(b"%PDF")
    assert velvet.read_bytes() == (EXAMPLES / "alto-3-velvet-sheath.yaml").read_bytes()


def test_a_ticket_without_fittings_says_so(skirt: Path, tmp_path: Path) -> None:
    assert "No fitting is written in this ticket yet." in run("fit", skirt, "-o", tmp_path / "out").stdout


# --- a change, and its record ---


def test_a_change_is_shown_and_the_ticket_left_alone(skirt: Path, tmp_path: Path) -> None:
    before = skirt.read_bytes()
    done = run("fit", skirt, "-o", tmp_path / "out", *EASE)
    assert done.exit_code == 0
    said = words_of(done.stdout)
    assert "waist 74.4 → 75 cm" in said  # [A] 72 and 3 of ease, where it was 2.4
    assert "waist seam: 74.4 → 75 cm, partners agree" in said
    assert "Written into" not in said
    assert [Path(row).name for row in done.stdout.splitlines()[-4:]] == CHANGED
    assert skirt.read_bytes() == before


def test_write_records_it_and_take_back_restores_the_bytes(skirt: Path, tmp_path: Path) -> None:
    before = skirt.read_bytes()
    done = run("fit", skirt, "-o", tmp_path / "out", *EASE, "--figure", "sway back: 1.5 cm", "--write")
    assert done.exit_code == 0
    assert f"Written into {skirt}." in words_of(done.stdout)
    (fitting,) = ticket_of(skirt).fittings
    assert (fitting.on, fitting.note) == ("2026-10-12", "Tight when sitting.")
    assert ticket_of(skirt).choices["waist ease"].text == "3 cm"
    assert fitting.figure["sway back"].text == "1.5 cm"
    again = run("fit", skirt, "-o", tmp_path / "out", "--take-back", "2026-10-12")
    assert again.exit_code == 0
    assert "waist 75 → 74.4 cm" in words_of(again.stdout)
    assert skirt.read_bytes() != before
    assert run("fit", skirt, "-o", tmp_path / "out", "--take-back", "2026-10-12", "--write").exit_code == 0
    assert skirt.read_bytes() == before


def test_several_changes_compose_in_the_order_of_their_dates(skirt: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run("fit", skirt, "-o", out, "--choice", "length: 70 cm", "--on", "2026-10-19", "--write").exit_code == 0
    done = run("fit", skirt, "-o", out, "--choice", "length: 66 cm", "--choice", "waist ease: 3 cm",
               "--on", "2026-10-12", "--write")  # fmt: skip
    assert done.exit_code == 0
    assert "FITTING-OVERRULED" in done.stderr
    assert "'length' is also set by the fitting of 2026-10-19" in words_of(done.stderr)
    assert {name: each.text for name, each in ticket_of(skirt).choices.items()} == {
        "length": "70 cm",
        "waist ease": "3 cm",
    }
    assert run("fit", skirt, "-o", out, "--take-back", "2026-10-19", "--write").exit_code == 0
    assert ticket_of(skirt).choices["length"].text == "66 cm"


def test_two_of_one_day_are_named_by_number(skirt: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    for value in ("3 cm", "4 cm"):
        words = ("--choice", f"waist ease: {value}", "--on", "2026-10-12", "--write")
        assert run("fit", skirt, "-o", out, *words).exit_code == 0
    listed = run("fit", skirt, "-o", out)
    assert "2026-10-12#1" in listed.stdout and "2026-10-12#2" in listed.stdout
    wrong = run("fit", skirt, "-o", out, "--take-back", "2026-10-12", "--write")
    assert wrong.exit_code == 2
    assert "FITTING-UNKNOWN" in wrong.stderr
    assert run("fit", skirt, "-o", out, "--take-back", "2026-10-12#2", "--write").exit_code == 0
    assert ticket_of(skirt).choices["waist ease"].text == "3 cm"


def test_a_new_stop_is_shown_and_kept_out_unless_asked_for(sheath: Path, tmp_path: Path) -> None:
    before = sheath.read_bytes()
    words = ("fit", sheath, "-o", tmp_path / "out", "--choice", "fall: 6 in", "--write")
    done = run(*words)
    assert done.exit_code == 1
    assert "stop  FITTING-STOP" in done.stderr
    assert "stop  COWL-FALL" in done.stderr
    assert "New problems: stop: A fall of 6 in is out of reach" in words_of(done.stdout)
    assert names_in(tmp_path / "out") == sorted(CHANGED)
    assert sheath.read_bytes() == before
    anyway = run(*words, "--anyway")
    assert anyway.exit_code == 1
    assert "FITTING-STOP" not in anyway.stderr
    assert ticket_of(sheath).choices["fall"].text == "6 in"
    cured = run("fit", sheath, "-o", tmp_path / "out", "--choice", "fall: 5 in", "--write")
    assert cured.exit_code == 0
    assert "Cured: stop: A fall of 6 in" in words_of(cured.stdout)


def test_a_change_that_makes_no_difference_is_said(skirt: Path, tmp_path: Path) -> None:
    done = run("fit", skirt, "-o", tmp_path / "out", "--choice", "length: 62 cm")
    assert done.exit_code == 0
    assert "FITTING-NOTHING" in done.stderr
    note = run("fit", skirt, "-o", tmp_path / "out", "--note", "All well.", "--write")
    assert note.exit_code == 0
    assert "FITTING-NOTHING" not in note.stderr
    assert ticket_of(skirt).fittings[0].note == "All well."


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("--choice", "waist ease"), "VALUE-WRONG"),
        (("--choice", ": 3 cm"), "VALUE-WRONG"),
        (("--choice", "waist ees: 3 cm"), "CHOICE-UNKNOWN"),
        (("--choice", "waist ease: 3"), "FORMULA-UNIT"),
        (("--choice", "waist ease: 90 cm"), "VALUE-RANGE"),
        (("--measure", "waste: 82 cm"), "MEASURE-UNKNOWN"),
        (("--measure", "waist: 8 cm"), "MEASURE-RANGE"),
        (("--choice", "length: 60 cm", "--on", "tomorrow"), "VALUE-WRONG"),
        (("--take-back", "2026-01-01"), "FITTING-UNKNOWN"),
        (("--seen", "folds that nobody has a word for"), "SEEN-UNKNOWN"),
    ],
)
def test_what_cannot_be_taken_over_changes_nothing(
    skirt: Path, tmp_path: Path, words: tuple[str, ...], code: str
) -> None:
    before = skirt.read_bytes()
    done = run("fit", skirt, "-o", tmp_path / "out", *words, "--write")
    assert code in done.stderr
    assert done.exit_code == 2
    assert skirt.read_bytes() == before
    assert names_in(tmp_path / "out") == []
    assert "Nothing was written" in done.stderr
    assert f"{skirt}:" not in done.stderr or code == "FITTING-UNKNOWN"  # no line of a text that is in no file


@pytest.mark.parametrize(
    ("words", "alone"),
    [
        (("--because", "2", "--by", "nonsense", "--anyway", "--take-up", "--write"),
         ["because", "by", "take-up", "write"]),
        (("--on", "garbage"), ["on"]),
        (("--write",), ["write"]),
        (("--choice", "length: 60 cm", "--anyway"), ["anyway"]),
        (("--choice", "length: 60 cm", "--by", "2 cm"), ["by"]),
        (("--choice", "length: 60 cm", "--carry", "taste", "--take-up"), ["take-up"]),
        (("--take-back", "2026-10-12", "--on", "2026-10-13"), ["on"]),
    ],
)  # fmt: skip
def test_an_option_that_says_something_of_another_is_refused_without_it(
    skirt: Path, tmp_path: Path, words: tuple[str, ...], alone: list[str]
) -> None:
    before = skirt.read_bytes()
    done = run("fit", skirt, "-o", tmp_path / "out", *words, "--json")
    said = json.loads(done.stdout)
    assert (said["exit"], said["written"], said["recorded"]) == (2, [], False)
    assert [each["found"] for each in said["problems"]] == [f"--{name} alone" for name in alone]
    assert all("without" in each["says"] and "Give" in each["remedy"] for each in said["problems"])
    assert skirt.read_bytes() == before
    assert not (tmp_path / "out").exists()


def test_a_ticket_that_cannot_be_read_ends_with_2(tmp_path: Path) -> None:
    broken = tmp_path / "t.yaml"
    broken.write_text("ticket: x\n")
    done = run("fit", broken, "-o", tmp_path / "out", *EASE)
    assert done.exit_code == 2
    assert names_in(tmp_path / "out") == []
    assert run("fit", tmp_path / "none.yaml", "-o", tmp_path / "out").exit_code == 2


# --- what is seen ---


def test_what_is_seen_gives_its_causes_and_the_change_of_the_likeliest(skirt: Path, tmp_path: Path) -> None:
    words = ("fit", skirt, "-o", tmp_path / "out", "--seen", "tight at the waist", "--on", "2026-10-12")
    done = run(*words)
    assert done.exit_code == 0, done.output
    said = words_of(done.stdout)
    assert re.search(r"1 taken: The waist has less ease .* 2 .* 3 ", said)
    assert "With waist ease 3.4 cm:" in said  # [A] the 2.4 cm in use and the centimetre that the cause lets out
    more = words_of(run(*words, "--by", "2 cm").stdout)
    assert "With waist ease 4.4 cm:" in more
    assert ticket_of(skirt).fittings == ()
    assert run(*words, "--write").exit_code == 0
    (fitting,) = ticket_of(skirt).fittings
    assert fitting.seen == "waist too tight when sitting"
    assert fitting.because == "The waist has less ease than sitting asks for."
    assert fitting.choices["waist ease"].text == "3.4 cm"
    told = json.loads(run(*words, "--json").stdout)
    assert len(told["causes"]) > 1
    assert {"because", "says", "why", "choice", "figure", "measure", "steps", "to_tape"} == set(told["causes"][0])


def test_another_cause_is_taken_by_its_number_and_one_that_asks_for_the_tape_waits_for_it(
    skirt: Path, tmp_path: Path
) -> None:
    words = ("fit", skirt, "-o", tmp_path / "out", "--seen", "tight at the waist")
    waits = run(*words, "--because", "3")
    assert waits.exit_code == 0, waits.output
    assert "Tape again: waist." in words_of(waits.stdout)
    assert "Nothing is changed yet:" in words_of(waits.stdout)
    taped = run(*words, "--because", "3", "--measure", "waist: 73 cm", "--write")
    assert taped.exit_code == 0
    assert "Tape again" not in taped.stdout
    assert ticket_of(skirt).wearer.measures["waist"] == 730.0
    beyond = run(*words, "--because", "9", "--write")
    assert beyond.exit_code == 2
    assert "SEEN-UNKNOWN" in beyond.stderr
    assert len(ticket_of(skirt).fittings) == 1


def test_words_that_may_mean_several_things_are_asked_about(skirt: Path, tmp_path: Path) -> None:
    for said in ("tight", "hem"):
        done = run("fit", skirt, "-o", tmp_path / "out", "--seen", said)
        if done.exit_code == 2:
            assert "SEEN-UNKNOWN" in done.stderr
            assert "Did you mean '" in words_of(done.stderr)
    for by in ("lots", "2", "-1 cm", "40 %"):
        wrong = run("fit", skirt, "-o", tmp_path / "out", "--seen", "tight at the waist", "--by", by)
        assert wrong.exit_code == 2
        assert "VALUE-WRONG" in wrong.stderr


@pytest.mark.parametrize("ticket", sorted(EXAMPLES.glob("*.yaml")), ids=lambda path: path.stem)
def test_everything_on_the_list_of_the_try_on_can_be_asked_for(ticket: Path, tmp_path: Path) -> None:
    """Each thing to look at, named as it is printed, has causes for this garment; no answer is a crash."""
    garment = open_ticket(ticket)
    looks = looks_of(garment)
    assert len(looks) > 8
    for look in looks:
        found = causes_of(look.name, garment)
        assert not isinstance(found, Problem), look
        assert found[0] == look.name
        assert all(each.because and each.says for each in found[1])
    done = run("fit", ticket, "-o", tmp_path / "out", "--seen", looks[0].name)
    assert done.exit_code in (0, 1)
    assert names_in(tmp_path / "out") == sorted(CHANGED)


# --- files ---


def test_someone_else_writes_the_ticket_meanwhile(skirt: Path) -> None:
    garment = open_ticket(skirt)
    fitted = fit(garment, [NewFitting("2026-10-12", "Tight.")])
    skirt.write_text(skirt.read_text("utf-8") + "# theirs\n", "utf-8")
    theirs = skirt.read_bytes()
    (wrong,) = write_ticket(fitted)
    assert wrong.code == "FILE-CHANGED"
    assert skirt.read_bytes() == theirs


def test_a_ticket_that_is_a_link_stays_one(skirt: Path, tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    link = tmp_path / "elsewhere" / "link.yaml"
    link.symlink_to(skirt)
    assert run("fit", link, "-o", tmp_path / "out", *EASE, "--write").exit_code == 0
    assert link.is_symlink()
    assert len(ticket_of(skirt).fittings) == 1


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_a_ticket_closed_to_writing_is_left(skirt: Path, tmp_path: Path) -> None:
    skirt.chmod(0o444)
    done = run("fit", skirt, "-o", tmp_path / "out", *EASE, "--write")
    assert done.exit_code == 2
    assert "closed to writing" in done.stderr


def test_a_folder_that_cannot_be_written_to_keeps_the_ticket_as_it_was(skirt: Path, tmp_path: Path) -> None:
    before = skirt.read_bytes()
    (tmp_path / "file").write_text("not a folder")
    done = run("fit", skirt, "-o", tmp_path / "file", *EASE, "--write")
    assert done.exit_code == 2
    assert "WRITE-FAILED" in done.stderr
    assert skirt.read_bytes() == before


def test_a_full_disk_keeps_ticket_and_files(skirt: Path, tmp_path: Path) -> None:
    """The limit on a file's size gives the same OSError from write as a disk without room."""
    before = skirt.read_bytes()
    code = (
        "import resource, sys; resource.setrlimit(resource.RLIMIT_FSIZE, (3000, 3000)); from onfold.cli import main; "
        "main(sys.argv[1:])"
    )
    words = ["fit", str(skirt), "-o", str(tmp_path / "out"), *EASE, "--write"]
    done = subprocess.run([sys.executable, "-c", code, *words], capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert "WRITE-FAILED" in done.stderr
    assert skirt.read_bytes() == before
    assert names_in(tmp_path / "out") == []


def test_a_ticket_in_a_folder_closed_to_writing_is_left(skirt: Path) -> None:
    before = skirt.read_bytes()
    fitted = fit(open_ticket(skirt), [NewFitting("2026-10-12", "Tight.")])
    skirt.parent.chmod(0o555)
    child = os.fork()
    if child == 0:
        if os.getuid() == 0:
            os.setuid(65534)  # root may write anywhere, so become nobody
        os._exit(0 if [each.code for each in write_ticket(fitted)] == ["WRITE-FAILED"] else 1)
    status = os.waitpid(child, 0)[1]
    skirt.parent.chmod(0o755)
    assert os.waitstatus_to_exitcode(status) == 0
    assert skirt.read_bytes() == before


# --- for scripts and terminals ---


def test_json_tells_the_whole_change(skirt: Path, tmp_path: Path) -> None:
    done = run("fit", skirt, "-o", tmp_path / "out", *EASE, "--json")
    told = json.loads(done.stdout)
    assert (told["exit"], told["recorded"]) == (0, False)
    assert [Path(each).name for each in told["written"]] == CHANGED
    written = json.loads((tmp_path / "out" / "fitting.json").read_bytes())
    assert told["fitting"] == written
    assert written["format"] == "onfold fitting 1"
    assert written["changes"][0]["choice"] == {"waist ease": "3 cm"}
    assert [(each["name"], each["state"]) for each in written["pieces"]] == [
        ("front", "same"), ("back", "changed"), ("waistband", "changed"),
    ]  # fmt: skip
    assert [each for each in written["levels"] if each["name"] == "waist"] == [
        {"name": "waist", "before": 744.0, "after": 750.0, "unit": "mm"}
    ]
    recorded = json.loads(run("fit", skirt, "-o", tmp_path / "out", *EASE, "--write", "--json").stdout)
    assert recorded["recorded"] is True
    listed = json.loads(run("fit", skirt, "-o", tmp_path / "out", "--json").stdout)
    assert [each["called"] for each in listed["fittings"]] == ["2026-10-12"]
    assert listed["fittings"][0]["choice"] == {"waist ease": "3 cm"}
    wrong = json.loads(run("fit", skirt, "-o", tmp_path / "out", "--take-back", "2020-01-01", "--json").stdout)
    assert (wrong["exit"], wrong["written"]) == (2, [])
    assert wrong["problems"][0]["code"] == "FITTING-UNKNOWN"


@pytest.mark.parametrize("columns", [60, 100])
def test_lines_fit_the_terminal(sheath: Path, tmp_path: Path, columns: int) -> None:
    done = run("fit", sheath, "-o", tmp_path / "out", "--choice", "rise: 3 in", columns=columns)
    rows = [row for row in done.output.splitlines() if not row.startswith(str(tmp_path))]
    assert max(len(row) for row in rows) <= columns
    assert not [row for row in rows if re.match(r"\s*(in|cm|mm)\b", row)]


def test_control_characters_never_reach_the_terminal(skirt: Path, tmp_path: Path) -> None:
    for words in (
        ("--choice", "\x1b[31mwaist ease: 3 cm"), ("--choice", "waist ease: \x1b[2J"), ("--note", "\x1b]8;;x\a\u202e"),
        ("--figure", "sway\x07 back: \x1b[5m"), ("--take-back", "\x1b[1m"), ("--seen", "\x1b[1m"), ("--on", "\x9b"),
    ):  # fmt: skip
        done = run("fit", skirt, "-o", tmp_path / "out", *words, "--write")
        assert done.exit_code in (0, 1, 2)
        assert all(c == "\n" or unicodedata.category(c) not in ("Cc", "Cf", "Cs") for c in done.output)


def test_its_help_says_what_it_does() -> None:
    done = run("fit", "--help")
    assert done.exit_code == 0
    assert "The ticket changes only with --write." in words_of(done.stdout)
    assert "fit" in run("--help").stdout
