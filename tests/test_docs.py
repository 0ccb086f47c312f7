"""The pages say what the code does: generated ones are up to date, examples on the others work."""

from __future__ import annotations

import ast
import importlib.util
import json
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from onfold import open_ticket
from onfold.body.measures import MEASURES
from onfold.cli import main
from onfold.construction import FinishFault, read_finish
from onfold.fitting.change import Change
from onfold.fitting.entry import NewFitting
from onfold.formula import Formula, NameTable, read_formula
from onfold.problems import CODES
from onfold.project import find_recipe, shipped_recipes
from onfold.project_fit import fit
from onfold.project_fit_files import FORMAT as FITTING_FORMAT
from onfold.project_fit_files import fitting_data
from onfold.recipe.file import name_table
from onfold.sheets.papers import read_paper
from onfold.shelf.book import read_book_text
from onfold.shelf.ticket import TICKET_KEYS, Written, read_ticket, read_ticket_text
from onfold.shelf.ticket_alteration import ALTERATION_KEYS
from onfold.shelf.ticket_cloth import CLOTH_KEYS
from onfold.steps import STEPS
from onfold.writers.pattern_json import FORMAT, pattern_data

ROOT = Path(__file__).resolve().parent.parent
DOCS = ROOT / "docs"
PAGES = [ROOT / "README.md", *sorted(DOCS.glob("*.md"))]


def page(name: str) -> str:
    return (DOCS / name).read_text("utf-8")


def blocks(text: str, language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", text, re.MULTILINE | re.DOTALL)


@pytest.fixture(scope="module")
def write_docs() -> ModuleType:
    spec = importlib.util.spec_from_file_location("write_docs", ROOT / "scripts" / "write_docs.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["write_docs"] = module
    spec.loader.exec_module(module)
    return module


def test_generated_pages_are_up_to_date(write_docs: ModuleType) -> None:
    for path, text in write_docs.pages():
        assert path.read_text("utf-8") == text, f"run scripts/write_docs.py: {path.name} is out of date"


def test_every_code_has_its_section() -> None:
    sections = re.findall(r"^### ([A-Z-]+)\n\n\*(stop|mind|note)\* · \*\*(.+?)\*\*", page("problems.md"), re.MULTILINE)
    assert {name: (severity, title) for name, severity, title in sections} == {
        each.name: (each.severity, f"{each.title}.") for each in CODES.values()
    }
    assert len(sections) == len(CODES)


def words_given(tree: ast.Module) -> set[str]:
    """The texts of a module, those that something is only compared with left out."""
    asked = {id(each) for node in ast.walk(tree) if isinstance(node, ast.Compare) for each in ast.walk(node)}
    texts = [each for each in ast.walk(tree) if isinstance(each, ast.Constant) and id(each) not in asked]
    return {each.value for each in texts if isinstance(each.value, str)}


def test_every_code_is_raised_somewhere() -> None:
    house = ROOT / "onfold"
    sources = [path for path in house.rglob("*.py") if path != house / "problem_codes.py"]
    given = set().union(*(words_given(ast.parse(path.read_text("utf-8"))) for path in sources))
    assert not set(CODES) - given
    assert words_given(ast.parse("problem('A-B') if code == 'C-D' else ''")) == {"A-B", ""}


def test_every_verb_and_blank_stands_on_its_page() -> None:
    sections = dict(
        zip(*[iter(re.split(r"^### (.+)\n", page("verbs.md"), flags=re.MULTILINE)[1:])] * 2, strict=True)  # type: ignore[arg-type]
    )
    assert set(sections) == {each.verb for each in STEPS}
    for step in STEPS:
        blanks = re.findall(r"^\| `(.+?)` \| .*? \| (.*?) ?\|$", sections[step.verb], re.MULTILINE)
        assert [name for name, _ in blanks] == [each.name for each in step.form]
        assert [not remark for _, remark in blanks] == [each.required for each in step.form]


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_links_lead_somewhere(path: Path) -> None:
    for target in re.findall(r"\]\(([^)#\s]+)(?:#[\w-]*)?\)", path.read_text("utf-8")):
        if not target.startswith("http"):
            assert (path.parent / target).exists(), f"{path.name} links to {target}"


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_pages_are_free_of_machines_and_hurry(path: Path) -> None:
    text = path.read_text("utf-8")
    assert "!" not in re.sub(r"!\[", "[", re.sub(r"```.*?```|`[^`]*`", "", text, flags=re.DOTALL))
    assert "/tmp/" not in text
    assert str(ROOT) not in text


def test_pictures_of_the_readme_are_small() -> None:
    pictures = re.findall(r"!\[[^\]]+\]\(([^)]+\.png)\)", (ROOT / "README.md").read_text("utf-8"))
    assert len(pictures) == 2
    for each in pictures:
        assert (ROOT / each).read_bytes()[:4] == b"\x89PNG"
        assert (ROOT / each).stat().st_size < 200_000


def test_readme_code_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    (code,) = blocks((ROOT / "README.md").read_text("utf-8"), "python")
    known: dict[str, Any] = {}
    exec(compile(code, "README.md", "exec"), known)
    assert known["garment"].draft is not None
    assert known["garment"]._repr_svg_().startswith("<")
    sheets, guides = {"pattern.json", "pattern.svg", "pattern.pdf"}, {"guide.pdf", "guide.html", "guide.json"}
    assert set(known["files"]) == {*sheets, "lesson.html", *guides}


# --- recipe guide ---


def test_the_whole_recipe_of_the_guide_drafts(tmp_path: Path) -> None:
    (recipe,) = [each for each in blocks(page("recipe-guide.md"), "yaml") if each.startswith("recipe:")]
    (tmp_path / "half-apron.yaml").write_text(recipe, "utf-8")
    ticket = tmp_path / "ticket.yaml"
    ticket.write_text(
        "ticket: Apron, tenor-2\nrecipe: half-apron.yaml\n"
        "wearer: {name: tenor-2, figure: man, measures: {waist: 88 cm}}\ncloth: {kind: woven, width: 140 cm}\n",
        "utf-8",
    )
    garment = open_ticket(ticket)
    assert garment.problems == ()
    assert [each.says for each in garment.all_problems if each.severity != "note"] == []
    assert garment.draft is not None
    (apron,) = garment.draft.pattern.pieces
    waist = next(each for each in apron.edges if each.name == "waist")
    assert (
        abs(abs(waist.path.curves[0, 3, 0] - waist.path.curves[0, 0, 0]) - (880 / 4 + 30)) < 1e-9
    )  # [A] by the recipe


def test_choices_of_the_guide_are_read(tmp_path: Path) -> None:
    (choices,) = [each for each in blocks(page("recipe-guide.md"), "yaml") if each.startswith("choices:")]
    path = tmp_path / "r.yaml"
    path.write_text(f"recipe: r\ntitle: r\nfor: any\n{choices}steps:\n  - begin piece: {{name: a}}\n", "utf-8")
    recipe, problems = find_recipe(Written("r.yaml", None), tmp_path)  # type: ignore[arg-type]
    assert problems == []
    assert recipe is not None
    assert [each.kind for each in recipe.choices.values()] == ["length", "word", "length"]
    assert recipe.choices["fall"].default is None


def formula_examples() -> Iterator[str]:
    table = page("recipe-guide.md").split("## Formulas")[1].split("\n## ")[0]
    for row in re.findall(r"^\| (`.+?) \| ", table, re.MULTILINE):
        yield from (each for each in re.findall(r"`([^`]+)`", row) if "…" not in each and each != "+ - * /")


@pytest.fixture(scope="module")
def names() -> NameTable:
    return name_table(MEASURES, {"waist ease": "length", "hip ease": "length"})


@pytest.mark.parametrize("text", list(formula_examples()))
def test_formulas_of_the_guide_are_read(names: NameTable, text: str) -> None:
    assert isinstance(read_formula(text, names), Formula)


@pytest.mark.parametrize("text", ["3 4/8 cm + 20 %", "1-1/2 in", "waist * hip", "hip / 3/4", "4 cm, 5 cm", "5/4 in"])
def test_what_the_guide_refuses_is_refused(names: NameTable, text: str) -> None:
    assert isinstance(read_formula(text, names), list)


def test_finishes_of_the_guide_are_read() -> None:
    table = page("recipe-guide.md").split("## Seams and edges")[1].split("\n## ")[0]
    examples = re.findall(r"^\| `([^`]+)` \| ", table, re.MULTILINE)
    assert len(examples) > 9
    for each in examples:
        assert not isinstance(read_finish(each), FinishFault), each


def test_the_problem_shown_in_the_guide_is_the_one_told(tmp_path: Path) -> None:
    (shown,) = blocks(page("recipe-guide.md"), "text")
    says = shown.splitlines()[1].strip()
    (tmp_path / "r.yaml").write_text("recipe: r\ntitle: r\nfor: any\nsteps:\n  - rule dwon: {name: a}\n", "utf-8")
    _, (problem, *_) = find_recipe(Written("r.yaml", None), tmp_path)  # type: ignore[arg-type]
    assert problem.code in shown
    assert says in f"{problem.says} {problem.remedy}"


# --- ticket guide ---


def test_the_ticket_of_the_guide_reads_and_shows_every_key(tmp_path: Path) -> None:
    first, fittings, steps, toile, alteration = blocks(page("ticket-guide.md"), "yaml")
    ticket, problems = read_ticket_text(first)
    assert ticket is not None
    assert problems == []
    for key in (*TICKET_KEYS, *CLOTH_KEYS):
        shown = alteration if key == "alteration" else first
        assert re.search(rf"^ *{key}:", shown, re.MULTILINE), key
    altered, problems = read_ticket_text(alteration)
    assert altered is not None and altered.alteration is not None
    assert problems == []
    for key in ALTERATION_KEYS:
        assert re.search(rf"^ *{key}:", alteration, re.MULTILINE), key
    path = tmp_path / "t.yaml"
    path.write_text(first.replace("fittings: []\n", fittings), "utf-8")
    fitted, problems = read_ticket(path)
    assert problems == []
    assert fitted is not None
    assert len(fitted.fittings) == 2
    assert "let out:" in steps
    path.write_text(first.replace("fittings: []\n", f"{fittings.rstrip()}\n{steps}"), "utf-8")
    assert not [each for each in open_ticket(path).all_problems if CODES[each.code].group == "reading"]
    without = re.sub(r"^other cloths:.*\n", "", first, flags=re.MULTILINE)
    assert read_ticket_text(f"{without}\n{toile}")[1] == []
    assert not [each for each in open_ticket(path).all_problems if CODES[each.code].group == "reading"]


def test_papers_of_the_guide_are_known() -> None:
    section = page("ticket-guide.md").split("## Papers")[1].split("\n## ")[0]
    named = [
        name for each in re.findall(r"`([^`]+)`", section) for name in ([each] if "roll" in each else each.split())
    ]
    assert len(named) == 10
    for each in named:
        assert hasattr(read_paper(each), "width"), each


# --- pattern.json ---


def keys_of(data: Any, own: frozenset[str] = frozenset()) -> set[str]:
    """The format's keys anywhere in the data; under levels, measures and facts the maker's names stand as keys."""
    if isinstance(data, list):
        return {key for each in data for key in keys_of(each)}
    if not isinstance(data, dict):
        return set()
    found = set(data)
    for key, value in data.items():
        named = key in ("levels", "measures", "facts") and isinstance(value, dict)
        found |= {k for each in value.values() for k in keys_of(each)} if named else keys_of(value)
    return found


def test_pattern_json_page_names_the_keys_that_are_written() -> None:
    (shown,) = blocks(page("pattern-json.md"), "json")
    documented = json.loads(shown)
    written: set[str] = set()
    for ticket in ("alto-1-sheath.yaml", "soprano-2-skirt.yaml"):
        draft = open_ticket(ROOT / "examples" / ticket).draft
        assert draft is not None
        data = pattern_data(draft.pattern)
        assert documented["format"] == data["format"] == FORMAT
        assert list(documented) == list(data)
        written |= keys_of(data)
    assert written == keys_of(documented)


# --- fittings ---


def test_fitting_json_page_names_the_keys_that_are_written() -> None:
    (shown,) = blocks(page("fitting.md"), "json")
    documented = json.loads(shown)
    change = Change({"rise": "3 in"}, measures={"hip": "41 in"}, steps=(("", "state: {name: a, length: 1 cm}"),))
    fitted = fit(open_ticket(ROOT / "examples" / "alto-1-sheath.yaml"), [NewFitting("2026-10-12", change=change)])
    data = fitting_data(fitted)
    assert documented["format"] == data["format"] == FITTING_FORMAT
    assert list(documented) == list(data)
    named = ("choice", "figure", "measure")

    def keys(data: Any) -> set[str]:
        if isinstance(data, list):
            return {key for each in data for key in keys(each)}
        if not isinstance(data, dict):
            return set()
        return set(data) | {key for name, value in data.items() if name not in named for key in keys(value)}

    assert keys(data) - keys(documented) == set()
    assert keys(documented) - keys(data) <= {"what"}  # no piece's grain changed in this one


def test_the_book_of_the_page_is_read_and_its_options_are_those_of_the_command() -> None:
    (shown,) = blocks(page("fitting.md"), "yaml")
    book, problems = read_book_text(shown)
    assert problems == []
    assert book is not None
    assert (set(book.wearers), set(book.taste)) == ({"alto-1"}, {"straight-skirt"})
    options = {name for each in main.commands["fit"].params for name in each.opts if name.startswith("--")}
    told = set(re.findall(r"--[a-z]+(?:-[a-z]+)?", page("fitting.md")))
    assert told == options - {"--json"}


def test_the_licences_are_there() -> None:
    assert (ROOT / "LICENSE").read_text("utf-8").startswith("MIT License")
    assert "CC0 1.0 Universal" in (ROOT / "examples" / "LICENSE").read_text("utf-8")
    for name in shipped_recipes():
        assert "licence: CC0-1.0" in (ROOT / "onfold" / "recipes" / f"{name}.yaml").read_text("utf-8")
