"""Write the reference pages that follow from the code: docs/problems.md, docs/verbs.md and docs/figure-notes.md.

python scripts/write_docs.py            writes them
python scripts/write_docs.py --check    exit 1 where a page differs from what would be written
"""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterator
from inspect import cleandoc
from pathlib import Path
from typing import Any

from onfold.body.figure_notes import notes_page
from onfold.problems import CODES, Code
from onfold.project import shipped_recipe, shipped_recipes
from onfold.recipe.step import FormField, step_text
from onfold.steps import STEPS

DOCS = Path(__file__).resolve().parent.parent / "docs"

GROUPS = {
    "reading": (
        "Reading",
        "A file, a formula or a field cannot be taken as it stands. The file, line and column are named, and the line "
        "is shown with a caret. With a stop of this kind nothing is drafted or written, and the command ends with 2.",
    ),
    "drafting": (
        "Drafting",
        "A step has no result with these numbers. What can be drawn without it is drawn; the command ends with 1.",
    ),
    "check": (
        "Checking",
        "The draft stands, but something would go wrong on the table, at the machine or on the body. With a stop the "
        "command ends with 1.",
    ),
    "lay": (
        "Laying",
        "The pattern stands, but it cannot be laid as asked. With a stop no lay is written and the command ends "
        "with 2.",
    ),
    "toile": (
        "Toile",
        "The pattern stands, but its toile cannot be cut from that cloth as it is. With a stop no toile is written and "
        "the command ends with 2.",
    ),
    "altering": (
        "Altering",
        "The ticket alters a garment that was made elsewhere. What its inlays give is held against what is asked.",
    ),
    "cut": (
        "Already cut",
        "The ticket says on which day the cloth was cut; each fitting since then is held against what is cut.",
    ),
    "fitting": (
        "Fitting",
        "What was seen at a try-on, or what it is to change, cannot be taken over as asked. With a stop nothing is "
        "written into the ticket and the command ends with 2.",
    ),
    "hang": (
        "Hanging",
        "The pattern stands, but it cannot be hung as asked, or the hang is not to be believed. With a stop nothing is "
        "written and the command ends with 2, but for a garment that slides down: it is shown, and the command ends "
        "with 1.",
    ),
}
SEVERITIES = {
    "stop": "it cannot be read, cut, sewn or put on as it is",
    "mind": "worth a look before cutting",
    "note": "good to know",
}

VERB_GROUPS = {
    "draft": "Drafting",
    "outline": "Outlines",
    "develop": "Developing",
    "finish": "Finishing",
}
KINDS = {
    "length": "a length",
    "share": "a share",
    "number": "a number",
    "text": "words",
    "point": "a point",
    "line": "a line",
    "level": "a level",
    "edge": "an edge",
    "piece": "a piece",
    "edge of piece": "`EDGE of PIECE`",
    "place": "a level, a point, or the edge that meets it there",
    "name": "a name",
}


def problems_page() -> str:
    """Return docs/problems.md: every code with its severity and meaning, grouped by where it arises."""
    lines = [
        "# Problems",
        "",
        "Written from `onfold/problem_codes.py` by `scripts/write_docs.py`; change the table there, not this page.",
        "",
        "Every problem says where it is, what was found, what was expected and what to do. Its name in capitals leads "
        "here. Severities:",
        "",
        *(f"- **{severity}**: {meaning}." for severity, meaning in SEVERITIES.items()),
        "",
        "A code's usual severity is given below; a check may say less of it where the case is milder. How each check "
        "measures is on [its own page](checks.md).",
        "",
    ]
    for group, (title, meaning) in GROUPS.items():
        lines += [f"## {title}", "", meaning, ""]
        for code in CODES.values():
            if code.group == group:
                lines += _code(code)
    return "\n".join(lines).rstrip() + "\n"


def _code(code: Code) -> list[str]:
    return [f"### {code.name}", "", f"*{code.severity}* · **{code.title}.** {code.meaning}", ""]


def verbs_page() -> str:
    """Return docs/verbs.md: every verb with its blanks and a line from a shipped recipe that uses it."""
    examples = _examples()
    lines = [
        "# Verbs",
        "",
        "Written from the steps' forms by `scripts/write_docs.py`; change the steps, not this page. How recipes are "
        "written is in the [recipe guide](recipe-guide.md).",
        "",
        "A *length*, a *share* and a *number* are formulas. *New* marks a name that the step gives: no dots in it. "
        "*One or more* takes a list in brackets. A word may also be the name of a choice of such words.",
        "",
    ]
    groups = list(VERB_GROUPS) + [
        each for each in dict.fromkeys(step.group for step in STEPS) if each not in VERB_GROUPS
    ]
    for group in groups:
        steps = [each for each in STEPS if each.group == group]
        if steps:
            lines += [f"## {VERB_GROUPS.get(group, group.capitalize())}", ""]
        for each in steps:
            lines += _verb(each, examples.get(each.verb, ""))
    return "\n".join(lines).rstrip() + "\n"


def _verb(step: type[Any], example: str) -> list[str]:
    lines = [f"### {step.verb}", "", cleandoc(step.__doc__ or ""), ""]
    reason = getattr(step, "reason", "")
    lines += [f"Why: {reason}", ""] if reason else []
    lines += ["| blank | takes | |", "|---|---|---|", *(_blank(each) for each in step.form), ""]
    return lines + (["```yaml", example, "```", ""] if example else [])


def _blank(blank: FormField) -> str:
    takes = " / ".join(f"`{word}`" for word in blank.words) if blank.words else KINDS.get(blank.kind, f"a {blank.kind}")
    if blank.new:
        takes = re.sub(r"^(a|an) ", r"\1 new ", takes).replace("an new", "a new")
    takes += ", one or more" if blank.many else ""
    return f"| `{blank.name}` | {takes} | {'' if blank.required else 'may be left out'} |"


def _examples() -> dict[str, str]:
    """Return for each verb the shortest line by which a shipped recipe uses it."""
    found: dict[str, str] = {}
    for name in shipped_recipes():
        for placed in shipped_recipe(name).steps:
            text, verb = step_text(placed.step), placed.step.verb
            if verb not in found or len(text) < len(found[verb]):
                found[verb] = text
    return found


def pages() -> Iterator[tuple[Path, str]]:
    """Yield every page's path and text."""
    yield DOCS / "problems.md", problems_page()
    yield DOCS / "verbs.md", verbs_page()
    yield DOCS / "figure-notes.md", notes_page()


def main() -> int:
    parser = argparse.ArgumentParser(description="Write the reference pages that follow from the code.")
    parser.add_argument("--check", action="store_true", help="write nothing; exit 1 where a page is out of date")
    check = parser.parse_args().check
    stale = [path for path, text in pages() if not path.is_file() or path.read_text("utf-8") != text]
    for path, text in pages():
        if path in stale and not check:
            path.write_text(text, "utf-8")
    for path in stale:
        print(f"{'out of date' if check else 'written'}: {path.name}")
    return 1 if stale and check else 0


if __name__ == "__main__":
    sys.exit(main())
