"""The rooms of the house: who may import whom, which library has which door, and what no module may hold.

Read from the source, so that a new import is a decision: the table here is that of ARCHITECTURE.md.
"""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections import defaultdict
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest

HOUSE = Path(__file__).resolve().parent.parent / "onfold"
MODULES = sorted(HOUSE.rglob("*.py"))
names = [str(path.relative_to(HOUSE)) for path in MODULES]

READERS = {
    "units",
    "problems",
    "geometry",
    "body",
    "cloth",
    "construction",
    "pattern",
    "cut_lines",
    "drawing",
    "lettering",
}
DRAFTING = {*READERS, "formula"}

MAY: dict[str, set[str]] = {
    "units": set(),
    "problems": set(),
    "geometry": set(),
    "formula": {"units", "problems"},
    "body": {"units", "problems", "geometry"},
    "cloth": {"units", "problems"},
    "construction": {"units", "problems", "cloth"},
    "pattern": {"units", "geometry", "problems", "body"},
    "cut_lines": {"geometry", "pattern"},
    "drawing": {"units", "geometry"},
    "lettering": {"drawing"},
    "recipe": DRAFTING,
    "steps": {"recipe", *DRAFTING},
    "checks": READERS,
    "lay": READERS,
    "making": READERS,
    "guide": {"making", "writers", *READERS},
    "lesson": {"recipe", "steps", "checks", "guide", "writers", *DRAFTING},
    "hang": {"making", "writers", *READERS},
    "fitting": {"recipe", "steps", "checks", "shelf", *DRAFTING},
    "sheets": {"units", "problems", "pattern", "drawing", "lettering", "geometry", "writers"},
    "writers": {"units", "problems", "pattern", "drawing", "geometry"},
    "shelf": {"units", "problems", "formula", "recipe", "body", "cloth", "construction"},
    "cli": {"project", "problems", "units", "shelf", "writers"},
}
"""Room by room what it may import; `project` may import all of them, `onfold` itself the façade alone."""

NARROW = {
    ("pattern", "body"): {"onfold.body.taken"},
    ("guide", "writers"): {"onfold.writers.markup", "onfold.writers.typeset"},
    ("hang", "making"): {"onfold.making.assembly", "onfold.making.folds"},
    ("lesson", "writers"): {"onfold.writers.markup"},
    ("cli", "shelf"): {"onfold.shelf.safe"},
    ("cli", "writers"): {"onfold.writers.pattern_json"},
}
"""Where only one module of a room may be imported."""

DOORS = {
    "shapely": "geometry/region.py",
    "scipy": "geometry/solve.py",
    "yaml": "recipe/yaml_nodes.py",
    "fontTools": "writers/font.py",
    "pypdfium2": "writers/png.py",
    "pyclipper": "lay/nofit.py",
    "spyrrow": "lay/opened.py",
    "typst": "writers/typeset.py",
    "click": "cli/",
    "numba": "hang/",
}
"""Every third-party library but numpy and the one module (or room, `cli/`) that imports it."""

IMPORTED_AS = {"fonttools": "fontTools", "pyyaml": "yaml"}
"""The distributions that are imported under another name than their own."""

FOR_WORKING_ON_IT = "dev"
"""The extra of those who work on Onfold: its tools are imported by tests, scripts and benchmarks, or by nobody."""

ASKS_WHAT_IS_THERE = "project_ready.py"
"""It loads each library to say whether this machine has it; it uses none."""

PLAIN_ROOMS = ("units", "problems", "formula", "cli")
"""Read before anything is drawn: they stay quick to load, so no numpy there."""

MOST_LINES = 400
BANNED_NAMES = {"utils", "util", "helpers", "helper", "manager", "core", "base", "common", "misc"}


def room_of(path: Path) -> str:
    parts = path.relative_to(HOUSE).parts
    name = parts[0] if len(parts) > 1 else path.stem
    return house_room(name)


def house_room(name: str) -> str:
    """The room of a module or folder of the house: the façade and the problems have several modules each."""
    if name.startswith("project"):
        return "project"
    return "problems" if name == "problem_codes" else name


@lru_cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text("utf-8"), str(path))


@lru_cache
def imports_of(path: Path) -> tuple[str, ...]:
    """The full name of every module imported anywhere in a module, those inside functions and for types too."""
    return tuple(_imported(path))


def _imported(path: Path) -> Iterator[str]:
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Import):
            yield from (each.name for each in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports are written in full"
            module = node.module or ""
            if module == "onfold":
                yield from (f"onfold.{each.name}" for each in node.names)
            else:
                yield module


def faults(path: Path, imported: list[str]) -> list[str]:
    """The imports that the table doesn't allow this module."""
    room = room_of(path)
    found = []
    for name in imported:
        parts = name.split(".")
        if parts[0] != "onfold" or len(parts) < 2:
            continue
        other = house_room(parts[1])
        narrow = NARROW.get((room, other))
        if room in ("project", other):
            continue
        if room == "__init__":
            found += [] if other == "project" else [name]
        elif other not in MAY[room] or (narrow is not None and not any(name.startswith(each) for each in narrow)):
            found.append(name)
    return found


@pytest.mark.parametrize("path", MODULES, ids=names)
def test_a_module_imports_what_its_room_may(path: Path) -> None:
    assert not faults(path, list(imports_of(path)))


def test_the_table_names_every_room_there_is() -> None:
    there = {room_of(path) for path in MODULES} - {"__init__", "project"}
    assert there == set(MAY)


def test_a_wrong_import_would_be_caught() -> None:
    assert faults(HOUSE / "checks" / "fit.py", ["onfold.recipe.file"]) == ["onfold.recipe.file"]
    assert faults(HOUSE / "pattern.py", ["onfold.body.fit"]) == ["onfold.body.fit"]
    assert faults(HOUSE / "geometry" / "path.py", ["onfold.pattern"]) == ["onfold.pattern"]
    assert faults(HOUSE / "steps" / "draft.py", ["onfold.project_draft"]) == ["onfold.project_draft"]
    assert not faults(HOUSE / "steps" / "draft.py", ["onfold.recipe.bench", "numpy"])


def test_no_room_imports_another_in_a_circle() -> None:
    edges: dict[str, set[str]] = defaultdict(set)
    for path in MODULES:
        for name in imports_of(path):
            if name.startswith("onfold.") and room_of(path) != "__init__":
                other = name.split(".")[1]
                edges[room_of(path)].add("project" if other.startswith("project") else other)
    done: set[str] = set()

    def visit(room: str, above: tuple[str, ...]) -> None:
        assert room not in above, (*above, room)
        if room in done:
            return
        for other in edges[room] - {room}:
            visit(other, (*above, room))
        done.add(room)

    for room in list(edges):
        visit(room, ())


def test_a_library_has_one_door() -> None:
    doors: dict[str, set[str]] = defaultdict(set)
    for path in MODULES:
        for name in imports_of(path):
            top = name.split(".")[0]
            if top not in ("onfold", "numpy") and top not in sys.stdlib_module_names:
                own = str(path.relative_to(HOUSE))
                doors[top].add(DOORS[top] if DOORS.get(top, "/") == f"{room_of(path)}/" else own)
    assert {name: where - {ASKS_WHAT_IS_THERE} for name, where in doors.items()} == {
        name: {where} for name, where in DOORS.items()
    }


def declared(project: dict[str, Any]) -> set[str]:
    """The import names of all that a maker installs: the dependencies and every extra but that of the workshop."""
    extras = project["optional-dependencies"]
    wanted = [
        *project["dependencies"],
        *(each for name in extras if name != FOR_WORKING_ON_IT for each in extras[name]),
    ]
    own = {re.match(r"[\w.-]+", each).group().lower() for each in wanted}  # type: ignore[union-attr]
    return {IMPORTED_AS.get(name, name) for name in own}


def test_what_is_installed_is_what_is_imported() -> None:
    project = tomllib.loads((HOUSE.parent / "pyproject.toml").read_text("utf-8"))["project"]
    assert declared(project) == {"numpy", *DOORS}


def test_numpy_stays_out_of_what_is_read_before_anything_is_drawn() -> None:
    plain = [path for path in MODULES if room_of(path) in PLAIN_ROOMS]
    assert len(plain) > 3
    assert not [path for path in plain if any(name.split(".")[0] == "numpy" for name in imports_of(path))]


def test_modules_stay_short_and_say_what_they_hold() -> None:
    lines = {name: len(path.read_text("utf-8").splitlines()) for name, path in zip(names, MODULES, strict=True)}
    assert not {name: count for name, count in lines.items() if count > MOST_LINES}
    words = {
        name: set(path.relative_to(HOUSE).with_suffix("").parts) for name, path in zip(names, MODULES, strict=True)
    }
    assert not {name for name, parts in words.items() if BANNED_NAMES & parts}
    assert not [name for name, path in zip(names, MODULES, strict=True) if not ast.get_docstring(tree_of(path))]


def blind(tree: ast.Module) -> list[int]:
    """The lines that catch any exception at all, or run text as code; cleaning up and raising again is neither."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.ExceptHandler):
            caught = node.type.elts if isinstance(node.type, ast.Tuple) else [node.type]
            called = {each.id if isinstance(each, ast.Name) else "" if each is None else "named" for each in caught}
            passed_on = isinstance(node.body[-1], ast.Raise) and node.body[-1].exc is None
            if {"", "Exception"} & called or ("BaseException" in called and not passed_on):
                found.append(node.lineno)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            found += [node.lineno] if node.func.id in ("eval", "exec", "compile", "__import__") else []
    return found


def test_nothing_is_caught_blindly_and_no_text_is_run() -> None:
    assert not {name: lines for name, path in zip(names, MODULES, strict=True) if (lines := blind(tree_of(path)))}


def test_blind_handlers_would_be_caught() -> None:
    wrong = "try:\n    f()\nexcept {}:\n    pass\n"
    for caught in ("Exception", "BaseException", "(ValueError, Exception)"):
        assert blind(ast.parse(wrong.format(caught))) == [3]
    assert blind(ast.parse("try:\n    f()\nexcept:\n    pass\n")) == [3]
    assert blind(ast.parse("eval('1')")) == [1]
    assert not blind(ast.parse(wrong.format("ValueError")))
