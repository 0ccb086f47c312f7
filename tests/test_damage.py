"""Given a ticket, or a recipe beside it, that is damaged: what the maker is told, how soon, and what stays on the disk.

The whole of it, 2,000 seeded damages of each, runs in `make long`.
"""

from __future__ import annotations

import json
import re
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from random import Random

import damage
import pytest
from click.testing import CliRunner

from onfold.cli import main
from onfold.problems import CODES, Problem, unreadable
from onfold.project import Draft, Garment, draft_for, open_ticket, recipe_text
from onfold.recipe.step import FormField, names_given

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
TICKETS = {path.stem: path.read_text("utf-8") for path in sorted(EXAMPLES.rglob("*.yaml"))}
RECIPES = {"choir-sheath": "alto-1-sheath", "straight-skirt": "soprano-2-skirt"}
TOLD_TERMINALS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
SECOND = 3.0  # of CPU: each is answered within a second on a machine of its own


def recipe_file(name: str) -> str:
    text, trouble = recipe_text(name)
    assert trouble is None
    return text


def copied(folder: Path, name: str) -> str:
    """The shipped recipe's text, with a ticket in the folder that asks for its copy beside it."""
    (folder / "ticket.yaml").write_text(TICKETS[RECIPES[name]].replace(f"recipe: {name}", "recipe: own.yaml"), "utf-8")
    text = recipe_file(name)
    (folder / "own.yaml").write_text(text, "utf-8")
    return text


def damaged_ticket(folder: Path, seed: int) -> tuple[Path, damage.Damage]:
    texts = list(TICKETS.values())
    done = damage.damaged(texts[seed % len(texts)], seed)
    damage.write(folder / "ticket.yaml", done)
    return folder / "ticket.yaml", done


def damaged_recipe(folder: Path, seed: int) -> tuple[Path, damage.Damage]:
    done = damage.damaged(copied(folder, list(RECIPES)[seed % 2]), seed, damage.RECIPE_KINDS)
    damage.write(folder / "own.yaml", done)
    return folder / "own.yaml", done


def words_of(problem: Problem) -> str:
    return " ".join(
        (problem.says, problem.found, problem.expected, problem.remedy, str(problem.where), problem.excerpt)
    )


def close_by(problems: tuple[Problem, ...], file: Path, line: int) -> list[Problem]:
    return [each for each in problems if each.where.file == str(file) and abs(each.where.line - line) <= 1]


def meet(file: Path, done: damage.Damage, seed: int) -> Garment:
    """Open the ticket beside the damaged file, and hold what it says against the damage."""
    begun = time.process_time()
    garment = open_ticket(file.with_name("ticket.yaml"))
    problems = garment.all_problems
    took = time.process_time() - begun
    shown = "".join(done.text.splitlines()[done.line - 1 : done.line])[:200]
    told = (seed, done.kind, done.line, shown, [(each.code, str(each.where), each.says) for each in problems][:6])
    assert took < SECOND, (took, *told)
    assert all(each.code in CODES for each in problems)
    assert not any(TOLD_TERMINALS.search(words_of(each).replace("\n", "")) for each in problems), told
    if done.one_line:
        assert close_by(problems, file, done.line), told
    return garment


def answered(arguments: list[str]) -> tuple[int, str]:
    """What the command line exits with and prints, stderr looked over too; what it lets through is raised here."""
    done = CliRunner().invoke(main, arguments)
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    assert "Traceback" not in done.output
    assert not TOLD_TERMINALS.search(done.output)
    return done.exit_code, done.stdout


def kept(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()} if folder.is_dir() else {}


def make_over(garment: Garment, folder: Path, ask_twice: bool) -> None:
    """`make` into a folder that holds an earlier pattern: what cannot be read exits 2 and leaves it as it was."""
    out = folder / "out"
    out.mkdir(exist_ok=True)
    (out / "pattern.json").write_text("an earlier pattern", "utf-8")
    before = kept(out)
    if not garment.readable or unreadable(garment.all_problems):
        code, said = answered(["make", str(garment.path), "-o", str(out), *(["--json"] if ask_twice else [])])
        assert code == 2 and kept(out) == before
        if ask_twice:
            assert json.loads(said)["exit"] == 2 and json.loads(said)["problems"]
    if ask_twice:
        code, _ = answered(["check", str(garment.path)])
        assert code == (2 if not garment.readable or unreadable(garment.all_problems) else int(_stopped(garment)))


def _stopped(garment: Garment) -> bool:
    return any(each.severity == "stop" for each in garment.all_problems)


@pytest.mark.parametrize("seed", range(0, 120, 40))
def test_damaged_tickets(seed: int, tmp_path: Path) -> None:
    for each in range(seed, seed + 40):
        file, done = damaged_ticket(tmp_path, each)
        make_over(meet(file, done, each), tmp_path, each % 10 == 0)


@pytest.mark.parametrize("seed", range(0, 200, 40))
def test_damaged_recipes(seed: int, tmp_path: Path) -> None:
    for each in range(seed, seed + 40):
        file, done = damaged_recipe(tmp_path, each)
        make_over(meet(file, done, each), tmp_path, each % 10 == 0)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(10_000, 12_000, 100))
def test_two_thousand_damaged_tickets(seed: int, tmp_path: Path) -> None:
    for each in range(seed, seed + 100):
        file, done = damaged_ticket(tmp_path, each)
        make_over(meet(file, done, each), tmp_path, each % 5 == 0)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(10_000, 12_000, 100))
def test_two_thousand_damaged_recipes(seed: int, tmp_path: Path) -> None:
    for each in range(seed, seed + 100):
        file, done = damaged_recipe(tmp_path, each)
        make_over(meet(file, done, each), tmp_path, each % 5 == 0)


def test_every_kind_of_damage_is_done_to_recipes_and_most_spoil_one_line() -> None:
    done = [damage.damaged(recipe_file(list(RECIPES)[seed % 2]), seed, damage.RECIPE_KINDS) for seed in range(400)]
    assert {each.kind for each in done} == set(damage.RECIPE_KINDS)
    assert sum(each.one_line for each in done) > 200


# A deleted line ---------------------------------------------------------------------------------------------------


def one_blank_a_line(text: str) -> str:
    """The recipe with every step's form written one blank a line."""
    return re.sub(r"^  - ([a-z ]+): \{(.*)\}$", _spread, text, flags=re.MULTILINE)


def _spread(step: re.Match[str]) -> str:
    blanks = re.split(r", (?=[a-z][a-z ]*: )", step[2])
    return f"  - {step[1]}:\n" + "\n".join(f"      {each}" for each in blanks)


def blanks_of(text: str) -> Iterator[tuple[int, str, str]]:
    """(line index, verb, blank) of every blank written on a line of its own."""
    verb = ""
    for index, line in enumerate(text.splitlines()):
        step = re.match(r"  - ([a-z ]+):$", line)
        blank = re.match(r"      ([a-z ]+): ", line)
        verb = step[1] if step else verb
        if blank:
            yield index, verb, blank[1]


def required(verb: str, blank: str) -> bool:
    from onfold.steps import VERBS

    form: tuple[FormField, ...] = VERBS[verb].form
    return any(each.name == blank and each.required for each in form)


def deletions(name: str) -> list[tuple[int, str, str]]:
    text = one_blank_a_line(recipe_file(name))
    return [each for each in blanks_of(text) if required(each[1], each[2])]


def check_deleted(name: str, wanted: list[tuple[int, str, str]], folder: Path) -> None:
    text = one_blank_a_line(copied(folder, name))
    file = folder / "own.yaml"
    file.write_text(text, "utf-8")
    assert open_ticket(folder / "ticket.yaml").readable
    for index, verb, blank in wanted:
        lines = text.splitlines()
        file.write_text("\n".join(lines[:index] + lines[index + 1 :]) + "\n", "utf-8")
        problems = open_ticket(folder / "ticket.yaml").all_problems
        told = [each for each in problems if each.severity == "stop" and each.where.step == verb]
        assert told, (name, index + 1, verb, blank, [(each.code, str(each.where)) for each in problems][:4])
        assert any(blank in each.says or blank in each.expected for each in told)


@pytest.mark.parametrize("name", RECIPES)
def test_a_required_blank_deleted_is_missed_in_its_step(name: str, tmp_path: Path) -> None:
    every = deletions(name)
    assert len(every) > 100
    check_deleted(name, Random(7).sample(every, 40), tmp_path)


@pytest.mark.long
@pytest.mark.parametrize("name", RECIPES)
def test_every_required_blank_deleted_is_missed_in_its_step(name: str, tmp_path: Path) -> None:
    check_deleted(name, deletions(name), tmp_path)


@pytest.mark.parametrize("key", ["ticket", "recipe", "cloth", "width", "kind", "measures"])
def test_a_required_line_deleted_from_a_ticket_is_named(key: str, tmp_path: Path) -> None:
    lines = TICKETS["soprano-2-skirt"].splitlines()
    at = next(n for n, line in enumerate(lines) if line.strip().startswith(f"{key}:"))
    (tmp_path / "ticket.yaml").write_text("\n".join(lines[:at] + lines[at + 1 :]), "utf-8")
    garment = open_ticket(tmp_path / "ticket.yaml")
    assert not garment.readable
    stops = [each for each in garment.all_problems if each.severity == "stop"]
    assert any(key in each.expected or key in each.says for each in stops), stops


# Names ------------------------------------------------------------------------------------------------------------

ASKING = ("point", "line", "level", "edge", "piece", "edge of piece", "place")
FOR_READERS = ("state", "open", "darts", "side dart", "vent", "sew")


def wrong_names(garment: Garment) -> Iterator[tuple[int, FormField, str, Garment]]:
    """The garment with one name of its recipe misspelt, for every name: where it stands, its blank, and the name."""
    assert garment.recipe is not None
    for at, placed in enumerate(garment.recipe.steps):
        for blank in placed.step.form:
            value = getattr(placed.step, blank.attribute)
            if blank.kind not in (*ASKING, "name") or not value:
                continue
            names = value if blank.many else (value,)
            for number, name in enumerate(names):
                first, of, piece = name.rpartition(" of ")
                wrong = f"{first}zz{of}{piece}" if of else f"{name[:-1]}zz{name[-1]}"
                changed = tuple(wrong if n == number else each for n, each in enumerate(names))
                step = replace(placed.step, **{blank.attribute: changed if blank.many else wrong})
                steps = (
                    *garment.recipe.steps[:at],
                    replace(placed, step=step),
                    *garment.recipe.steps[at + 1 :],
                )
                yield placed.line, blank, name, replace(garment, recipe=replace(garment.recipe, steps=steps))


def drafted(garment: Garment) -> Draft:
    assert garment.ticket is not None and garment.recipe is not None
    return draft_for(garment.ticket, garment.recipe, garment.memory)


@pytest.mark.parametrize("name", RECIPES)
def test_a_misspelt_name_is_shown_at_its_own_line_and_without_an_avalanche(name: str) -> None:
    """Every name of every step, whether the slip is where it is given or where it is asked for."""
    garment = open_ticket(EXAMPLES / f"{RECIPES[name]}.yaml")
    assert garment.recipe is not None
    sound = drafted(garment).pattern.problems
    asked_for = "\n".join(
        str(getattr(each.step, blank.attribute))
        for each in garment.recipe.steps
        for blank in each.step.form
        if not blank.new
    )
    tried = told = 0
    for line, blank, called, wrong in wrong_names(garment):
        tried += 1
        problems = [each for each in drafted(wrong).pattern.problems if each not in sound]
        here = [each for each in problems if abs(each.where.line - line) <= 1 and each.code == "STEP-NAME"]
        renamed = blank.new and called not in asked_for
        verb = next(each.step.verb for each in garment.recipe.steps if each.line == line)
        if here:
            told += 1
            assert len(problems) <= 4, (line, called, [(each.where.line, each.says) for each in problems])
            assert all(each.excerpt.count("\n") == 1 and each.excerpt.endswith("^") for each in here)
        else:
            assert renamed or (blank.new and verb in FOR_READERS), (line, verb, blank.name, called)
    assert tried > 80 and told > 0.85 * tried


def test_a_slip_where_a_name_is_given_is_shown_there_and_where_it_is_asked_for(tmp_path: Path) -> None:
    text = copied(tmp_path, "straight-skirt")
    at = next(n for n, line in enumerate(text.splitlines(), 1) if "{name: side, points:" in line)
    lines = text.splitlines()
    lines[at - 1] = lines[at - 1].replace("name: side", "name: sdie")
    (tmp_path / "own.yaml").write_text("\n".join(lines), "utf-8")
    garment = open_ticket(tmp_path / "ticket.yaml")
    told = [each for each in garment.all_problems if each.severity == "stop"]
    given = next(each for each in told if each.where.line == at)
    assert given.found == "sdie" and given.expected == "side"
    assert given.excerpt.splitlines()[0][given.excerpt.splitlines()[1].index("^") :].startswith("sdie")
    assert any(each.where.line > at and "'side'" in each.says for each in told)
    assert len(told) == 2 and unreadable(told)


def test_a_slip_in_a_choice_s_own_name_is_shown_at_the_choice_too(tmp_path: Path) -> None:
    text = copied(tmp_path, "choir-sheath")
    at = next(n for n, line in enumerate(text.splitlines(), 1) if line.startswith("  spread:"))
    (tmp_path / "own.yaml").write_text(text.replace("  spread:  ", "  spraed:  "), "utf-8")
    told = open_ticket(tmp_path / "ticket.yaml").all_problems
    assert [each.where.line for each in told if each.found == "spraed"] == [at]
    assert any(each.found == "spread" for each in told)


def test_names_given_are_the_ones_that_later_steps_may_ask_for() -> None:
    garment = open_ticket(EXAMPLES / "alto-1-sheath.yaml")
    assert garment.recipe is not None
    given = {name for each in garment.recipe.steps for name in names_given(each.step)}
    assert {"front", "back", "side", "armhole", "bust point", "centre back"} <= given
