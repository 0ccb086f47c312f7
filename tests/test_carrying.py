"""Corrections carried to the wearer, the maker's taste or the recipe: said, never silent, and no draft changed."""

from __future__ import annotations

import datetime
import json
import shutil
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner, Result
from hypothesis import given, settings
from hypothesis import strategies as st

from onfold import open_ticket
from onfold.cli import main
from onfold.fitting.comparing import differences
from onfold.problems import Problem
from onfold.project_carry import base_of, not_in_this_ticket
from onfold.project_start import ask_for_ticket
from onfold.shelf.book import HEAD, Book, read_book, read_book_text, with_taste, with_wearer
from onfold.shelf.ticket import Ticket

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"


def run(*words: str | Path) -> Result:
    return CliRunner(env={"COLUMNS": "100"}).invoke(main, [str(word) for word in words])


@pytest.fixture
def skirt(tmp_path: Path) -> Path:
    return Path(shutil.copy(EXAMPLES / "soprano-2-skirt.yaml", tmp_path / "skirt.yaml"))


def ticket_of(path: Path) -> Ticket:
    ticket = open_ticket(path).ticket
    assert ticket is not None
    return ticket


def book_of(folder: Path) -> Book:
    book, problems = read_book(folder)
    assert book is not None
    assert problems == []
    return book


def fitted(ticket: Path, *words: str) -> Result:
    return run("fit", ticket, "-o", ticket.parent / "out", *words)


# --- the book as a file ---

BOOK = """\
# mine
wearers:
  alto-1: {notes: {sway back: 1.5 cm}, from: 'Concert skirt, 2026-10-12'}   # tall
  alto-2:
    measures: {hip: 108 cm}
taste:
  straight-skirt: {waist ease: 3 cm}
"""


def test_a_book_is_read() -> None:
    book, problems = read_book_text(BOOK)
    assert book is not None
    assert problems == []
    assert book.wearers["alto-1"].notes == {"sway back": "1.5 cm"}
    assert book.wearers["alto-1"].source == "Concert skirt, 2026-10-12"
    assert (book.wearers["alto-2"].measures, book.wearers["alto-2"].taped) == ({"hip": "108 cm"}, {"hip": 1080.0})
    assert book.taste == {"straight-skirt": {"waist ease": "3 cm"}}


@pytest.mark.parametrize("text", ["", "\n", "# only a remark\n", "\ufeff", "\r\n# a\r\n"])
def test_an_empty_book_is_a_book(text: str) -> None:
    assert read_book_text(text) == (Book(text=text), [])


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("wearer: {}", "KEY-UNKNOWN"), ("wearers: [a]", "FILE-SHAPE"), ("wearers: {a: {notes: x}}", "FILE-SHAPE"),
        ("wearers: {a: {measures: {hip: 108}}}", "VALUE-WRONG"), ("taste: {a: {b: }}", "VALUE-EMPTY"),
        ("wearers: {a: {nots: {}}}", "KEY-UNKNOWN"), ("taste: {a: [", "FILE-YAML"), ("- a", "FILE-SHAPE"),
    ],
)  # fmt: skip
def test_a_faulty_book_is_a_problem(text: str, code: str) -> None:
    book, problems = read_book_text(text, "book.yaml")
    assert book is None
    assert code in [each.code for each in problems]
    assert all(each.where.file == "book.yaml" for each in problems)


names = st.sampled_from(["alto-1", "alto-2", "tenor 3", "it's", "a: b", "on", "é", "[x]", "- y", "no"])
values = st.sampled_from(["1.5 cm", "1/2 in low", "it's, so: there", "# x", "{", "-1 cm"])
texts = st.sampled_from(
    ["", "# mine\n", BOOK, BOOK.rstrip("\n"), "{wearers: {}, taste: {}}\n", "wearers:\n", "taste: {}\n"]
)


@settings(max_examples=150, deadline=None)
@given(texts, st.booleans(), st.lists(st.tuples(st.booleans(), names, names, values), min_size=1, max_size=5))
def test_what_is_put_in_is_found_and_everything_else_stands(
    text: str, crlf: bool, puts: list[tuple[bool, str, str, str]]
) -> None:
    text = text.replace("\n", "\r\n") if crlf else text
    before = yaml.load(text, yaml.BaseLoader) or {}
    held = {key: {k: dict(v) for k, v in (before.get(key) or {}).items()} for key in ("wearers", "taste")}
    for to_wearer, name, key, value in puts:
        book = Book(text=text)
        done = with_wearer(book, name, {key: value}, {}, "here") if to_wearer else with_taste(book, name, {key: value})
        assert isinstance(done, str), done
        if to_wearer:
            own = held["wearers"].setdefault(name, {})
            own["notes"] = {**own.get("notes", {}), key: value}
            own["from"] = "here"
        else:
            held["taste"].setdefault(name, {})[key] = value
        text = done
    after = yaml.load(text, yaml.BaseLoader)
    assert {key: after.get(key) or {} for key in held} == held
    assert text.count("# tall") == BOOK.count("# tall") * ("# tall" in text)
    if "# mine" in text:
        assert text.startswith("# mine")
    if crlf and "\r\n" in text:
        assert text.count("\n") == text.count("\r\n")


# --- to the wearer, to taste ---


def test_without_write_nothing_is_carried(skirt: Path) -> None:
    before = skirt.read_bytes()
    done = fitted(skirt, "--figure", "sway back: 1.5 cm", "--carry", "wearer")
    assert done.exit_code == 0
    assert "With --write it is carried into book.yaml for soprano-2: sway back 1.5 cm" in " ".join(done.stdout.split())
    assert not (skirt.parent / "book.yaml").exists()
    assert skirt.read_bytes() == before


def test_a_figure_note_is_carried_to_the_wearer(skirt: Path) -> None:
    done = fitted(skirt, "--figure", "sway back: 1.5 cm", "--on", "2026-10-12", "--carry", "wearer", "--write")
    assert done.exit_code == 0, done.output
    text = (skirt.parent / "book.yaml").read_text("utf-8")
    assert text.startswith(HEAD)
    wearer = book_of(skirt.parent).wearers["soprano-2"]
    assert wearer.notes == {"sway back": "1.5 cm"}
    assert wearer.source == "Concert skirt, soprano-2, 2026-10-12"
    (entry,) = ticket_of(skirt).fittings
    assert entry.carried == ("wearer",)
    assert not_in_this_ticket(open_ticket(skirt)) == ()


def test_a_choice_is_carried_to_taste_and_a_measure_to_the_wearer(skirt: Path) -> None:
    words = (
        "--choice",
        "waist ease: 3 cm",
        "--measure",
        "hip: 100 cm",
        "--carry",
        "taste",
        "--carry",
        "wearer",
        "--write",
    )
    assert fitted(skirt, *words).exit_code == 0
    book = book_of(skirt.parent)
    assert book.taste == {"straight-skirt": {"waist ease": "3 cm"}}
    assert book.wearers["soprano-2"].measures == {"hip": "100 cm"}
    assert ticket_of(skirt).fittings[0].carried == ("taste", "wearer")


def test_a_fitting_written_earlier_is_carried_by_its_date(skirt: Path) -> None:
    for value in ("0.5 cm", "1 cm"):
        words = ("--choice", f"side raised: {value}", "--on", "2026-10-12", "--note", "as said", "--write")
        assert fitted(skirt, *words).exit_code == 0
    unclear = fitted(skirt, "--carry", "taste", "--write")
    assert unclear.exit_code == 2
    assert "FITTING-UNKNOWN" in unclear.stderr
    done = fitted(skirt, "--carry", "taste", "--on", "2026-10-12#1", "--write")
    assert done.exit_code == 0, done.output
    assert book_of(skirt.parent).taste == {"straight-skirt": {"side raised": "0.5 cm"}}
    assert [each.carried for each in ticket_of(skirt).fittings] == [("taste",), ()]
    told = json.loads(fitted(skirt, "--carry", "recipe", "--on", "2026-10-12#1", "--json").stdout)
    assert told["carried"] and told["recorded"] is False
    assert fitted(skirt, "--carry", "recipe", "--on", "2026-10-12#1", "--write").exit_code == 0
    assert [each.carried for each in ticket_of(skirt).fittings] == [("taste", "recipe"), ()]


def test_the_measures_of_an_earlier_fitting_are_carried_as_they_were_written(tmp_path: Path) -> None:
    velvet = Path(shutil.copy(EXAMPLES / "alto-3-velvet-sheath.yaml", tmp_path / "velvet.yaml"))
    assert fitted(velvet, "--carry", "wearer", "--on", "2026-10-12", "--write").exit_code == 0
    assert fitted(velvet, "--carry", "wearer", "--on", "2026-10-19", "--write").exit_code == 0
    wearer = book_of(tmp_path).wearers["alto-3"]
    assert (wearer.measures, wearer.notes) == ({"hip": "111.5 cm"}, {"right shoulder": "1 cm low"})
    assert wearer.source.endswith("2026-10-19")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--choice", "waist ease: 3 cm", "--carry", "wearer"), "figure notes and measures"),
        (("--figure", "sway back: 1.5 cm", "--carry", "taste"), "choices go with your taste"),
        (("--figure", "sway back: 1.5 cm", "--carry", "recipe"), "choices and steps"),
        (("--note", "All well.", "--carry", "recipe"), "choices and steps"),
    ],
)
def test_what_does_not_belong_there_is_refused_whole(skirt: Path, words: tuple[str, ...], says: str) -> None:
    before = skirt.read_bytes()
    done = fitted(skirt, *words, "--write")
    assert done.exit_code == 2
    assert "CARRY-NOTHING" in done.stderr
    assert says in " ".join(done.stderr.split())
    assert skirt.read_bytes() == before
    assert sorted(each.name for each in skirt.parent.iterdir()) == ["skirt.yaml"]


def test_a_faulty_book_stops_carrying_and_nothing_else(skirt: Path) -> None:
    book = skirt.parent / "book.yaml"
    book.write_text("wearers: [")
    before = skirt.read_bytes()
    done = fitted(skirt, "--figure", "sway back: 1.5 cm", "--carry", "wearer", "--write")
    assert done.exit_code == 2
    assert "FILE-YAML" in done.stderr
    assert (book.read_text(), skirt.read_bytes()) == ("wearers: [", before)
    made = run("make", skirt, "-o", skirt.parent / "made")
    assert made.exit_code == 0
    assert "mind  FILE-YAML" in made.stderr
    assert (skirt.parent / "made" / "pattern.pdf").exists()


def test_a_book_changed_meanwhile_is_left_with_the_ticket(skirt: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = skirt.read_bytes()
    from onfold import project_fit

    real = project_fit.write_files

    def meanwhile(*given: object, **more: object) -> list[Problem]:
        (skirt.parent / "book.yaml").write_text("# theirs\n")
        return real(*given, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(project_fit, "write_files", meanwhile)
    done = fitted(skirt, "--figure", "sway back: 1.5 cm", "--carry", "wearer", "--write")
    assert done.exit_code == 2
    assert "FILE-CHANGED" in done.stderr
    assert (skirt.parent / "book.yaml").read_text() == "# theirs\n"
    assert skirt.read_bytes() == before


# --- to the recipe ---


def test_a_choice_goes_into_a_new_version_of_the_recipe(skirt: Path) -> None:
    words = ("--choice", "waist ease: 3 cm", "--on", "2026-10-12", "--carry", "recipe", "--write")
    assert fitted(skirt, *words).exit_code == 0
    path = skirt.parent / "straight-skirt-2.yaml"
    text, old = path.read_text("utf-8"), (EXAMPLES.parent / "onfold/recipes/straight-skirt.yaml").read_text("utf-8")
    first, rest = text.split("\n", 1)
    assert first == "# straight-skirt-2: waist ease 3 cm; from the fitting of Concert skirt, soprano-2, 2026-10-12."
    changed = [(a, b) for a, b in zip(old.split("\n"), rest.split("\n"), strict=True) if a != b]
    assert len(changed) == 2
    assert changed[0] == ("recipe: straight-skirt", "recipe: straight-skirt-2")
    assert changed[1][1] == changed[1][0].replace("default: 2.4 cm", "default: 3 cm")
    assert ticket_of(skirt).recipe.text == "straight-skirt"  # named only if asked
    assert fitted(skirt, "--choice", "waist ease: 2 cm", "--carry", "recipe", "--write").exit_code == 0
    assert (skirt.parent / "straight-skirt-3.yaml").exists()
    assert path.read_text("utf-8") == text


def test_the_ticket_names_the_new_version_where_asked_and_drafts_the_same(skirt: Path) -> None:
    before = open_ticket(skirt)
    words = ("--choice", "waist ease: 3 cm", "--carry", "recipe", "--take-up", "--write")
    assert fitted(skirt, *words).exit_code == 0
    taken = open_ticket(skirt)
    assert taken.ticket is not None and taken.recipe is not None
    assert (taken.ticket.recipe.text, taken.recipe.name) == ("straight-skirt-2.yaml", "straight-skirt-2")
    assert taken.draft is not None and before.draft is not None
    skirt.write_text(skirt.read_text("utf-8").replace("straight-skirt-2.yaml", "straight-skirt"), "utf-8")
    plain = open_ticket(skirt).draft
    assert plain is not None
    assert not differences(plain.pattern, taken.draft.pattern).changed
    assert differences(before.draft.pattern, taken.draft.pattern).changed
    assert fitted(skirt, "--choice", "hip ease: 6 cm", "--carry", "recipe", "--write").exit_code == 0
    assert base_of("straight-skirt-2") == "straight-skirt"


def test_a_step_goes_into_the_recipe_once(skirt: Path) -> None:
    step = "      - state:\n          name: pocket\n          length: 5 cm   # deep\n"
    added = f"fittings:\n  - on: 2026-10-12\n    steps:\n{step}"
    skirt.write_text(skirt.read_text("utf-8") + added, "utf-8")
    assert open_ticket(skirt).draft is not None
    done = fitted(skirt, "--carry", "recipe", "--take-up", "--write")
    assert done.exit_code == 0, done.output
    recipe = (skirt.parent / "straight-skirt-2.yaml").read_text("utf-8")
    assert "  - state: {name: pocket, length: 5 cm}\n  - sew: {name: side seam" in recipe
    ticket = ticket_of(skirt)
    assert ticket.recipe.text == "straight-skirt-2.yaml"
    assert ticket.fittings[0].steps == ()
    draft = open_ticket(skirt).draft
    assert draft is not None
    assert draft.pattern.facts["pocket"].value == 50.0
    assert not [each for each in draft.pattern.problems if each.severity == "stop"]


# --- said, never silent, never done ---


def other_ticket(skirt: Path) -> Path:
    path = skirt.parent / "second.yaml"
    path.write_text((EXAMPLES / "soprano-2-skirt.yaml").read_text("utf-8"), "utf-8")
    return path


def test_make_and_fit_say_what_this_ticket_does_not_hold_and_draft_as_before(skirt: Path) -> None:
    second = other_ticket(skirt)
    before = run("make", second, "-o", skirt.parent / "a")
    assert "CARRIED" not in before.output
    words = ("--figure", "sway back: 1.5 cm", "--measure", "hip: 100 cm", "--choice", "waist ease: 3 cm")
    assert fitted(skirt, *words, "--carry", "wearer", "--carry", "taste", "--write").exit_code == 0
    after = run("make", second, "-o", skirt.parent / "b")
    assert after.exit_code == before.exit_code
    said = " ".join(after.stderr.split())
    for told in (
        "The workroom book carries 'sway back: 1.5 cm' for soprano-2, from Concert skirt, soprano-2",
        "this ticket does not hold it",
        "carries 'hip: 100 cm' for soprano-2",
        "this ticket has 98 cm, and is drafted so",
        "The workroom book carries 'waist ease: 3 cm' for straight-skirt",
        "--figure 'sway back: 1.5 cm' --write",
    ):
        assert told in said
    for name in ("pattern.json", "pattern.svg", "pattern.pdf", "lesson.html"):
        assert (skirt.parent / "a" / name).read_bytes() == (skirt.parent / "b" / name).read_bytes()
    listed = fitted(second)
    assert "note  CARRIED" in listed.stderr
    assert (
        json.loads(run("make", second, "-o", skirt.parent / "b", "--json").stdout)["problems"][-1]["code"] == "CARRIED"
    )
    assert "CARRIED" not in run("check", second).output


def test_another_wearers_ticket_is_left_alone(skirt: Path) -> None:
    tenor = Path(shutil.copy(EXAMPLES / "tenor-1-skirt.yaml", skirt.parent / "tenor.yaml"))
    before = tenor.read_bytes()
    assert fitted(skirt, "--figure", "sway back: 1.5 cm", "--carry", "wearer", "--write").exit_code == 0
    assert tenor.read_bytes() == before
    assert not_in_this_ticket(open_ticket(tenor)) == ()


# --- offered when a ticket is started ---


class Scripted:
    def __init__(self, answers: list[str]) -> None:
        self.answers, self.told, self.asked = list(answers), list[str](), list[str]()

    def ask(self, question: str, default: str) -> str | None:
        self.asked.append(question)
        return (self.answers.pop(0) or default) if self.answers else None

    def tell(self, text: str) -> None:
        self.told.append(text)


def started(path: Path, *offers: str, wearer: str = "alto-1") -> tuple[Ticket, Scripted]:
    # recipe, wearer, title, units, figure, (what is offered), height, bust, waist, hip, enough, cloth …
    before = ["straight-skirt", wearer, "", "cm", "woman"]
    after = ["165 cm", "72 cm", "", "enough", "", "", "150 cm", ""]
    door = Scripted([*before, *offers, *after])
    assert ask_for_ticket(path, door, datetime.date(2026, 12, 1)) == 0, door.told
    return ticket_of(path), door


def test_a_new_ticket_is_offered_what_is_carried_and_holds_it_itself(tmp_path: Path) -> None:
    (tmp_path / "book.yaml").write_text(BOOK.replace("from:", "measures: {hip: 108 cm}, from:"), "utf-8")
    ticket, door = started(tmp_path / "new.yaml", "yes", "yes")
    said = " ".join(door.told)
    assert "carries for alto-1: sway back 1.5 cm, hip 108 cm, from Concert skirt, 2026-10-12" in said
    assert "carries for this recipe: waist ease 3 cm" in said
    assert {name: each.text for name, each in ticket.wearer.notes.items()} == {"sway back": "1.5 cm"}
    assert {name: each.text for name, each in ticket.choices.items()} == {"waist ease": "3 cm"}
    assert ticket.wearer.measures["hip"] == 1080.0
    (entry,) = ticket.fittings
    assert (entry.on, entry.carried) == ("2026-12-01", ("wearer",))
    assert entry.note == "Carried from Concert skirt, 2026-10-12."
    assert not_in_this_ticket(open_ticket(tmp_path / "new.yaml")) == ()
    (tmp_path / "book.yaml").unlink()
    assert {name: each.text for name, each in ticket_of(tmp_path / "new.yaml").choices.items()} == {
        "waist ease": "3 cm"
    }


def test_what_is_not_taken_up_is_not_written(tmp_path: Path) -> None:
    (tmp_path / "book.yaml").write_text(BOOK, "utf-8")
    ticket, _ = started(tmp_path / "new.yaml", "no", "no")
    assert (ticket.fittings, ticket.choices, ticket.wearer.notes) == ((), {}, {})


def test_another_wearer_is_offered_only_the_makers_taste(tmp_path: Path) -> None:
    (tmp_path / "book.yaml").write_text(BOOK, "utf-8")
    ticket, door = started(tmp_path / "new.yaml", "yes", wearer="alto-9")
    assert not any("alto-1" in text for text in door.told)
    assert ticket.fittings == ()
    assert set(ticket.choices) == {"waist ease"}


def test_a_faulty_book_is_told_and_keeps_nobody_from_starting(tmp_path: Path) -> None:
    (tmp_path / "book.yaml").write_text("wearers: [", "utf-8")
    ticket, door = started(tmp_path / "new.yaml")
    assert ticket.fittings == ()
    assert any("book.yaml" in text or "bracket" in text for text in door.told)
