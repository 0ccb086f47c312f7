"""Each check is tripped by one edit of a ticket or of a copied recipe, and cleared by doing what it says itself.

The garments are checked as a maker has them checked: files in a folder, and `onfold check` on them. A remedy that
names what to write in the ticket (`choices: {…}`, `finish: {…}`, `cloth: {…}`) is written there to the letter, by the
splicing that edits makers' files; one that speaks of a step is followed in the copied recipe.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from bodies import survey_women
from click.testing import CliRunner
from drafting import drafted, knit, ticket_text

from onfold.checks import CHECKS, ELSEWHERE
from onfold.cli import main
from onfold.problems import CODES, Problem
from onfold.project import open_ticket, recipe_text, subject_of
from onfold.recipe.splice import add_entry, remove_entry, set_scalar

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
FIRST = {"choir-sheath": "alto-1-sheath", "straight-skirt": "soprano-2-skirt"}
Told = dict[str, Any]


@dataclass(frozen=True)
class Files:
    """A ticket and the recipe that lies beside it."""

    ticket: str
    recipe: str


Edit = Callable[[Files], Files]
Follow = Callable[[Files, Told], Files]


@lru_cache
def base(recipe: str) -> Files:
    """A choir's ticket with every measure taped, so that no estimate has a say, and the shipped recipe beside it."""
    path = EXAMPLES / f"{FIRST[recipe]}.yaml"
    garment = open_ticket(path)
    assert garment.draft is not None
    text = path.read_text("utf-8").replace(f"recipe: {recipe}", "recipe: own.yaml")
    for name, taken in garment.draft.body.measures.items():
        if taken.estimated:
            text = spliced(add_entry(text, ("wearer", "measures"), name, f"{taken.value / 10.0:.2f} cm"))
    shipped, trouble = recipe_text(recipe)
    assert trouble is None
    return Files(text, shipped)


def spliced(done: str | Problem) -> str:
    assert isinstance(done, str), done
    return done


# Edits ------------------------------------------------------------------------------------------------------------


def writing(**sections: dict[str, Any]) -> Edit:
    """An edit that writes these entries into a section of the ticket."""
    return lambda files: Files(written(files.ticket, sections), files.recipe)


def written(ticket: str, sections: dict[str, dict[str, Any]]) -> str:
    for section, entries in sections.items():
        data = yaml.load(ticket, Loader=yaml.BaseLoader)
        if section not in data:
            ticket = spliced(add_entry(ticket, (), section, entries))
            continue
        for key, value in entries.items():
            ticket = _entry(ticket, (section, key), value)
    return ticket


def _entry(ticket: str, path: tuple[str, ...], value: Any) -> str:
    data: Any = yaml.load(ticket, Loader=yaml.BaseLoader)
    for step in path[:-1]:
        data = data[step]
    there = data.get(path[-1])
    if isinstance(there, dict) and isinstance(value, dict):
        for key, inner in value.items():
            ticket = _entry(ticket, (*path, key), inner)
        return ticket
    if there is None:
        return spliced(add_entry(ticket, path[:-1], path[-1], value))
    if isinstance(there, str) and isinstance(value, str):
        return spliced(set_scalar(ticket, path, value))
    return spliced(add_entry(spliced(remove_entry(ticket, path)), path[:-1], path[-1], value))


def without(*path: str) -> Edit:
    return lambda files: Files(spliced(remove_entry(files.ticket, path)), files.recipe)


def drawing(*changes: tuple[str, str]) -> Edit:
    """An edit of the copied recipe: each text, which stands there, is replaced by another."""

    def change(files: Files) -> Files:
        text = files.recipe
        for old, new in changes:
            assert text.count(old) == 1, (text.count(old), old)
            text = text.replace(old, new)
        return Files(files.ticket, text)

    return change


def dropping(*rows: str) -> Edit:
    """An edit of the copied recipe that leaves out these steps, known by how their lines begin, and their reasons."""

    def change(files: Files) -> Files:
        text = files.recipe
        for row in rows:
            kept, count = re.subn(
                rf"^  - {re.escape(row)}.*\n(?:    (?:why|stage): .*\n)*", "", text, flags=re.MULTILINE
            )
            assert count >= 1, row
            text = kept
        return Files(files.ticket, text)

    return change


def adding(after: str, *rows: str) -> Edit:
    """An edit of the copied recipe that adds steps behind the one whose line begins so."""

    def change(files: Files) -> Files:
        lines = files.recipe.splitlines()
        at = max(n for n, line in enumerate(lines) if line.startswith(f"  - {after}"))
        while at + 1 < len(lines) and lines[at + 1].startswith("    "):
            at += 1
        return Files(
            files.ticket, "\n".join([*lines[: at + 1], *(f"  - {row}" for row in rows), *lines[at + 1 :]]) + "\n"
        )

    return change


def both(*edits: Edit) -> Edit:
    def change(files: Files) -> Files:
        for edit in edits:
            files = edit(files)
        return files

    return change


# Remedies ---------------------------------------------------------------------------------------------------------

_OFFER = re.compile(r"\b(choices|finish|cloth|wearer): (\{)")


def offers(remedy: str) -> list[tuple[str, dict[str, Any]]]:
    """What a remedy says to write in the ticket, in its order: (section, entries)."""
    found = []
    for each in _OFFER.finditer(remedy):
        depth, at = 0, each.start(2)
        for at in range(each.start(2), len(remedy)):
            depth += {"{": 1, "}": -1}.get(remedy[at], 0)
            if depth == 0:
                break
        read = yaml.load(remedy[each.start(2) : at + 1], Loader=yaml.BaseLoader)
        found.append((each[1], read))
    return [each for each in found if "…" not in json.dumps(each[1], ensure_ascii=False)]


def to_the_letter(files: Files, told: Told) -> Files:
    """Write the first thing that the remedy offers into the ticket."""
    section, entries = offers(told["remedy"])[0]
    return Files(written(files.ticket, {section: entries}), files.recipe)


def in_the_recipe(edit: Edit, *words: str) -> Follow:
    """Follow a remedy that speaks of a step: the words are those of the remedy that say so."""

    def follow(files: Files, told: Told) -> Files:
        assert all(word in told["remedy"] for word in words), told["remedy"]
        return edit(files)

    return follow


in_the_ticket = in_the_recipe
"""Follow a remedy that speaks of the wearer or the cloth, in the same way."""


def nobody_taped(files: Files) -> Files:
    return Files(re.sub(r"measures: \{[^}]*\}", "measures: {}", files.ticket), files.recipe)


def taped_again(files: Files) -> Files:
    return Files(base(SKIRT).ticket, files.recipe)


def balance(piece: str, below: str, wider: str) -> str:
    """A step that marks one more level so far below the hip of a skirt's piece."""
    return (
        f"mark level: {{name: balance, on: centre {piece}, down: waist to hip + {below}, "
        f"width: (hip + hip ease) / 4 {wider} back wider}}"
    )


def with_its_ease(files: Files, told: Told) -> Files:
    ease = re.search(r"ease: ([\d./ ]+ (?:cm|mm|in))", told["remedy"])
    assert ease, told["remedy"]
    return drawing(("construction: overlocked 7 mm, ease: 0 cm,", f"construction: overlocked 7 mm, ease: {ease[1]},"))(
        files
    )


def own_finish_left_out(key: str) -> Follow:
    """Write the finish that the remedy offers, and leave out the edge's own."""

    def follow(files: Files, told: Told) -> Files:
        assert "without" in told["remedy"]
        done = to_the_letter(files, told) if offers(told["remedy"]) else files
        return without("finish", key)(done)

    return follow


def taped(name: str, size: str, *words: str) -> Follow:
    """Follow a remedy that asks for the tape: the words are the remedy's own, the figure is the wearer's."""

    def follow(files: Files, told: Told) -> Files:
        assert all(word in told["remedy"] for word in words), told["remedy"]
        assert name in (told["remedy"] + told["says"]).lower()
        return writing(wearer={"measures": {name: size}})(files)

    return follow


# The table --------------------------------------------------------------------------------------------------------

SHEATH, SKIRT = "choir-sheath", "straight-skirt"


@dataclass(frozen=True)
class Case:
    """A check, the garment, the one edit that trips it, and how its remedy is followed.

    `by_construction` says that the steps see to it themselves, so that a recipe must draw wrongly for it to speak.
    """

    code: str
    garment: str
    trip: Edit
    follow: Follow = to_the_letter
    severity: str = ""
    by_construction: bool = False
    before: Edit = lambda files: files


RULE = "  - rule down: {name: centre front, from: start, length: length}\n"
BULGE = (
    (
        RULE + "    why: The fold of the cloth lies on this line.\n",
        "  - mark point: {name: belly, from: start, across: 0.4 cm, up: 0 cm - 20 cm}\n"
        "  - mark point: {name: foot, from: start, up: 0 cm - length}\n"
        "  - join: {name: centre front, points: [start, belly, foot], curve: smooth}\n",
    ),
)
RULED = tuple((new, old) for old, new in BULGE)
LOW_BACK = "join: {name: back neck, points: [end of underarm, low back], curve: low back, square to: side}"
HIP_OF_BACK = "on: centre back, down: waist to hip, width: (hip + hip ease) / 4 + back wider"
TAKEN_IN = (
    "take in: {level: bust, girth: bust, share: bust reduction, stretch: crosswise stretch, none below: 15 %, "
    "most: 50 %, to pass: hip}"
)
LAPPED = (
    "name a part: {name: upper side, edge: side, length: 12 cm, at: upper end}",
    "slash and overlap: {centre: front dart leg, hinged: upper side, slashes: 1, lap: 4 mm}",
)
LOWERED = "slash and overlap: {centre: centre back, hinged: side, slashes: 1, lap: 12 cm}"
CUT_BACK = "cut: {piece: back, pieces: 2, pair: yes}"

TABLE = (
    Case(
        "SEAM-LENGTH",
        SHEATH,
        drawing(("ease: bust ease, twice", "ease: 0 cm, twice")),
        with_its_ease,
        by_construction=True,
        before=writing(choices={"bust ease": "2 cm"}),
    ),
    Case(
        "SEAM-ALLOWANCE",
        SHEATH,
        writing(finish={"side of front": "overlocked 20 mm"}),
        own_finish_left_out("side of front"),
        before=without("finish", "side seam"),
    ),
    Case(
        "NOTCH-MEET",
        SKIRT,
        both(
            adding("mark level: {name: hip, on: centre front", balance("front", "5 cm", "-")),
            adding("mark level: {name: hip, on: centre back", balance("back", "3 cm", "+")),
            drawing(("{seam: side seam, at: [hip]}", "{seam: side seam, at: [hip, balance]}")),
        ),
        in_the_recipe(drawing(("down: waist to hip + 3 cm", "down: waist to hip + 5 cm")), "Move the notch"),
        by_construction=True,
    ),
    Case(
        "JOIN-ANGLE",
        SHEATH,
        drawing((LOW_BACK, LOW_BACK.replace("low back, square to: side", "straight"))),
        in_the_recipe(drawing((LOW_BACK.replace("low back, square to: side", "straight"), LOW_BACK)), "square"),
        by_construction=True,
        before=writing(choices={"back depth": "12 cm"}),
    ),
    Case(
        "FOLD-STRAIGHT",
        SKIRT,
        drawing(*BULGE),
        in_the_recipe(drawing(*RULED), "Rule the centre front straight"),
        by_construction=True,
    ),
    Case(
        "FOLD-SQUARE",
        SHEATH,
        drawing((LOW_BACK, LOW_BACK.replace("curve: low back", "curve: smooth"))),
        in_the_recipe(
            drawing((LOW_BACK.replace("curve: low back", "curve: smooth"), LOW_BACK)), "square from the centre back"
        ),
        by_construction=True,
    ),
    Case(
        "FACING-MIRROR",
        SHEATH,
        adding("cowl:", "slash and overlap: {centre: centre front, hinged: armhole, slashes: 1, lap: 1 cm}"),
        in_the_recipe(dropping("slash and overlap:"), "no later step"),
        by_construction=True,
    ),
    Case(
        "FACING-TURN",
        SHEATH,
        writing(finish={"armhole facing": "folded facing 10 mm"}),
    ),
    Case("GETTING-IN", SHEATH, writing(cloth={"stretch": {"across": "26 %", "along": "20 %"}})),
    Case("OPENING-SHORT", SKIRT, writing(choices={"zip length": "8 cm"})),
    Case(
        "FINISHED-GIRTH",
        SKIRT,
        drawing((HIP_OF_BACK, HIP_OF_BACK.replace("back wider", "2 cm"))),
        in_the_recipe(drawing((HIP_OF_BACK.replace("back wider", "2 cm"), HIP_OF_BACK)), "correct that step"),
        by_construction=True,
    ),
    Case(
        "BODY-ROOM",
        SKIRT,
        writing(choices={"waist ease": "-2 cm"}),
        before=drawing(
            ("waist ease:         {default: 2.4 cm, least: 0 cm", "waist ease:         {default: 2.4 cm, least: -3 cm")
        ),
    ),
    Case("TAKEN-IN-TOO-FAR", SHEATH, writing(choices={"bust reduction": "60 %"})),
    Case(
        "WEARING-STRETCH",
        SHEATH,
        drawing((TAKEN_IN, "allow ease: {level: bust, girth: bust, ease: 0 cm - 29 cm}")),
        in_the_recipe(
            drawing(("allow ease: {level: bust, girth: bust, ease: 0 cm - 29 cm}", TAKEN_IN)), "Draft at least: bust"
        ),
        by_construction=True,
    ),
    Case("PILE-STRETCH", SHEATH, writing(cloth={"surface": ["pile"], "nap": "up"})),
    Case("EASE-SMALL", SKIRT, writing(choices={"waist ease": "0.2 cm"})),
    Case("STRIDE", SKIRT, writing(choices={"vent length": "2 cm", "hem taper": "2 cm"})),
    Case("SEAM-GIVE", SHEATH, writing(finish={"back neck": "plain 8 mm"})),
    Case(
        "ALLOWANCE-SEAM",
        SHEATH,
        writing(finish={"side seam": "french 10 mm, first row 6 mm, second row 6 mm, trim 3 mm"}),
    ),
    Case("INLAY-WIDE", SHEATH, writing(finish={"side seam": "overlocked 7 mm, inlay 9,5 cm, trim 6 mm"})),
    Case("ENCLOSED-TRIM", SHEATH, writing(finish={"side seam": "french 10 mm, first row 6 mm, trim 5 mm"})),
    Case("HEM-CURVE", SHEATH, writing(finish={"armhole": "single turned 30 mm, twin needle"})),
    Case("HEM-KIND", SHEATH, writing(finish={"hem": "double turned 10 mm"})),
    Case(
        "CORNER-SHARP",
        SHEATH,
        writing(finish={"armhole": "folded facing 20 mm"}),
        before=writing(choices={"spread": "0 cm", "armhole hollow": "85 %"}),
    ),
    Case(
        "DART-LEGS",
        SKIRT,
        adding("darts: {name: front dart", *LAPPED),
        in_the_recipe(dropping(*LAPPED), "square below the middle"),
        by_construction=True,
    ),
    Case("DART-WIDE", SHEATH, writing(choices={"side dart": "4.5 cm"})),
    Case(
        "DART-AIM",
        SHEATH,
        drawing(("towards: bust point, short of: 2.5 cm", "towards: bust point, short of: 5 cm")),
        in_the_recipe(drawing(("short of: 5 cm", "short of: 2.5 cm")), "before"),
        by_construction=True,
        before=writing(choices={"side dart": "3 cm"}),
    ),
    Case(
        "FRONT-LENGTH", SHEATH, writing(choices={"side dart": "0 cm"}), before=writing(choices={"side dart": "3.5 cm"})
    ),
    Case(
        "STRAP-PLACE",
        SHEATH,
        drawing(("from: low back, along: strap place}", "from: low back, along: strap place * 3}")),
        in_the_recipe(drawing(("strap place * 3", "strap place")), "nearer"),
    ),
    Case(
        "STRAP-PLACE",
        SHEATH,
        adding("place strap: {name: strap back", LOWERED),
        in_the_recipe(dropping(LOWERED), "after the last step that moves the edge"),
        by_construction=True,
    ),
    Case("STRAP-TURN", SHEATH, writing(choices={"strap width": "0.5 cm"})),
    Case(
        "STRAP-LENGTH",
        SHEATH,
        drawing(("width: strap width, spare: 5 cm,", "width: strap width, spare: 0 cm - 9 cm,")),
        in_the_recipe(
            drawing(("width: strap width, spare: 0 cm - 9 cm,", "width: strap width, spare: 5 cm,")),
            "Draft it",
            "for the try-on",
        ),
        by_construction=True,
    ),
    Case("COWL-TURN", SHEATH, writing(choices={"spread": "9 cm"})),
    Case(
        "COWL-TURN", SHEATH, drawing(("most turn: 75", "most turn: 120")), before=writing(choices={"spread": "5.8 cm"})
    ),
    Case("COWL-FALL", SHEATH, writing(choices={"fall": "50 cm"})),
    Case("COWL-GRAIN", SHEATH, writing(choices={"spread": "3 cm"})),
    Case("COWL-DEEP", SHEATH, writing(choices={"fall": "15 cm"}), before=writing(choices={"rise": "13 cm"})),
    Case("FACING-DEPTH", SHEATH, writing(choices={"spread": "3.5 cm", "facing": "5 cm"})),
    Case("NECK-DEPTH", SHEATH, writing(choices={"back depth": "24 cm"}), severity="mind"),
    Case("STRETCH-WAY", SHEATH, writing(cloth={"stretch": {"across": "50 %", "along": "70 %"}})),
    Case("STRETCH-UNKNOWN", SHEATH, without("cloth", "stretch")),
    Case("SURFACE-NAP", SHEATH, writing(cloth={"surface": ["pile"]})),
    Case(
        "PIECE-GRAIN",
        SHEATH,
        dropping("grain: {piece: back"),
        in_the_recipe(
            adding("cut: {piece: strap", "grain: {piece: back, kind: straight}"), "Add a grain step for the back"
        ),
    ),
    Case(
        "PIECE-LABEL",
        SHEATH,
        dropping("cut: {piece: back"),
        in_the_recipe(adding("cut: {piece: strap", "cut: {piece: back, pieces: 1}"), "Add a cut step for the back"),
    ),
    Case(
        "PIECE-NOTCH",
        SHEATH,
        dropping("notch: {seam: side seam"),
        in_the_recipe(adding("cut: {piece: strap", "notch: {seam: side seam, at: [waist]}"), "Add a notch step"),
    ),
    Case("EDGE-BARE", SHEATH, dropping("finish edge: {edge: back neck of back")),
    Case(
        "EDGE-BARE",
        SKIRT,
        drawing(("construction: plain 15 mm, twice: yes", "construction: plain 15 mm")),
        in_the_recipe(drawing(("construction: plain 15 mm", "construction: plain 15 mm, twice: yes")), "twice: yes"),
    ),
    Case(
        "CLOTH-KIND", SKIRT, writing(cloth={"kind": "knit"}), in_the_ticket(writing(cloth={"kind": "woven"}), "woven")
    ),
    Case(
        "LETTERS",
        SKIRT,
        writing(wearer={"name": "李 soprano"}),
        in_the_ticket(writing(wearer={"name": "soprano-2"}), "Latin"),
    ),
    Case("NONE-TAPED", SKIRT, nobody_taped, in_the_ticket(taped_again, "Tape the wearer")),
    Case("PIECE-WIDTH", SHEATH, writing(cloth={"width": "45 cm"})),
    Case(
        "NAP-PAIR",
        SKIRT,
        drawing((CUT_BACK, "cut: {piece: back, pieces: 2}")),
        in_the_recipe(drawing(("cut: {piece: back, pieces: 2}", CUT_BACK)), "pair"),
        severity="mind",
    ),
    Case(
        "CORDS-CHILD",
        SHEATH,
        writing(wearer={"figure": "child"}),
        in_the_recipe(
            dropping(
                "place strap:",
                "strap:",
                "sew: {name: strap seam",
                "finish edge: {edge: strap end",
                "finish edge: {edge: strap other end",
                "grain: {piece: strap",
                "cut: {piece: strap",
            ),
            "leave out the steps",
        ),
    ),
    Case("SIDES-DIFFER", SHEATH, writing(wearer={"measures": {"upper arm": {"left": "29 cm", "right": "31 cm"}}})),
    Case(
        "NOT-TAPED",
        SKIRT,
        without("wearer", "measures", "waist to hip"),
        taped("waist to hip", "20.5 cm", "Take it before cutting"),
    ),
    Case(
        "LIKELY", SKIRT, writing(wearer={"measures": {"waist": "172 cm"}}), taped("waist", "72 cm", "Tape waist again")
    ),
    Case(
        "LENGTHS-CLASH",
        SHEATH,
        writing(wearer={"measures": {"shoulder to waist": "55 cm"}}),
        taped("shoulder to waist", "44.1 cm", "Take shoulder to waist"),
    ),
    Case("OUT-OF-SURVEY", SKIRT, writing(wearer={"measures": {"height": "131 cm"}}), taped("height", "165 cm", "Tape")),
    Case(
        "ESTIMATE-TURNS",
        SHEATH,
        without("wearer", "measures", "hip"),
        taped("hip", "40 1/2 in", "measure 'hip' and write it"),
        before=writing(cloth={"stretch": {"across": "36 %", "along": "20 %"}}),
    ),
)


def checked(files: Files, folder: Path) -> tuple[int, list[Told]]:
    """What `onfold check --json` says of these files: its exit code and the problems."""
    (folder / "ticket.yaml").write_text(files.ticket, "utf-8")
    (folder / "own.yaml").write_text(files.recipe, "utf-8")
    done = CliRunner().invoke(main, ["check", str(folder / "ticket.yaml"), "--json"])
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    said = json.loads(done.output)
    assert said["exit"] == done.exit_code
    return done.exit_code, list(said["problems"])


def of(told: list[Told], case: Case) -> list[Told]:
    grave = case.severity or CODES[case.code].severity
    return [each for each in told if each["code"] == case.code and each["severity"] == grave]


@pytest.mark.parametrize("case", TABLE, ids=[f"{case.code}-{case.garment}" for case in TABLE])
def test_one_edit_trips_the_check_and_its_own_remedy_clears_it(case: Case, tmp_path: Path) -> None:
    sound = case.before(base(case.garment))
    _, first = checked(sound, tmp_path)
    tripping = case.trip(sound)
    _, told = checked(tripping, tmp_path)
    new = [each for each in of(told, case) if each not in of(first, case)]
    assert new, [(each["code"], each["says"]) for each in told]
    code, after = checked(case.follow(tripping, new[0]), tmp_path)
    left = [each for each in of(after, case) if each not in of(first, case)]
    assert not left, (new[0]["remedy"], left[0]["says"])
    more = {each["code"] for each in after if each["severity"] == "stop"} - {each["code"] for each in first}
    assert not more and code in (0, 1), (new[0]["remedy"], more)


BY_CONSTRUCTION = {
    "SEAM-LENGTH": "the side seam's ease is no longer that of the front",
    "NOTCH-MEET": "front and back are marked at other heights",
    "JOIN-ANGLE": "the low back leaves the side slantwise",
    "FOLD-STRAIGHT": "the centre front is drawn through a point beside it",
    "FOLD-SQUARE": "the low back reaches the fold slantwise",
    "FACING-MIRROR": "the front is lapped after its facing is mirrored",
    "FINISHED-GIRTH": "the back is drawn wider at the hip than its level says",
    "WEARING-STRETCH": "the bust is drafted with ease taken off instead of a share of the stretch",
    "DART-LEGS": "the front is lapped at a dart's leg",
    "DART-AIM": "the dart ends too far from the bust",
    "STRAP-PLACE": "the back is lapped after its strap is placed",
    "STRAP-LENGTH": "the strap is cut shorter than its way",
}
"""What the steps guarantee, and how the copied recipe breaks it."""


def test_the_table_has_every_code_of_the_checks() -> None:
    codes = [case.code for case in TABLE]
    assert set(codes) == {code for code, entry in CODES.items() if entry.group == "check"}
    assert set(ELSEWHERE) <= set(codes)


def test_what_steps_guarantee_is_broken_by_a_step_and_listed_by_name() -> None:
    assert {case.code for case in TABLE if case.by_construction} == set(BY_CONSTRUCTION)
    for case in TABLE:
        tripped = case.trip(case.before(base(case.garment)))
        if case.by_construction:
            assert tripped.recipe != case.before(base(case.garment)).recipe, case.code


def test_every_check_speaks_in_some_row_of_the_table(tmp_path: Path) -> None:
    speaking: set[str] = set()
    for case in TABLE:
        files = case.trip(case.before(base(case.garment)))
        (tmp_path / "ticket.yaml").write_text(files.ticket, "utf-8")
        (tmp_path / "own.yaml").write_text(files.recipe, "utf-8")
        garment = open_ticket(tmp_path / "ticket.yaml")
        assert garment.draft is not None and garment.ticket is not None
        subject = subject_of(garment.ticket, garment.draft)
        speaking |= {check.__name__ for check in CHECKS if check(subject)}
    assert speaking == {check.__name__ for check in CHECKS}


def test_most_remedies_are_written_into_the_ticket_to_the_letter() -> None:
    assert sum(case.follow is to_the_letter for case in TABLE) >= 25


def test_the_sound_garments_have_nothing_to_stop_them(tmp_path: Path) -> None:
    for name in FIRST:
        code, told = checked(base(name), tmp_path)
        assert code == 0
        assert {each["code"] for each in told if each["severity"] == "mind"} <= {"FRONT-LENGTH"}


def test_a_fault_told_at_its_line_is_told_once(tmp_path: Path) -> None:
    too_far = writing(choices={"bust reduction": "60 %"})(base(SHEATH))
    _, told = checked(too_far, tmp_path)
    lines = [each["where"] for each in told if each["code"] == "TAKEN-IN-TOO-FAR"]
    assert len(lines) == 2 and all("own.yaml:" in each for each in lines), "underarm and bust, each at its step"


# On many bodies ---------------------------------------------------------------------------------------------------


def eased_front(women: list[dict[str, float]], units: str) -> int:
    """Follow what is said of the front's length over the bust; how many of the women are told of it."""
    told = 0
    for sizes in women:
        before = drafted(ticket_text(SHEATH, sizes, knit(0.7), units=units))
        long = [each for each in before.pattern.problems if each.code == "FRONT-LENGTH"]
        if not long:
            continue
        told += 1
        section, entries = offers(long[0].remedy)[0]
        assert section == "choices"
        after = drafted(ticket_text(SHEATH, sizes, knit(0.7), entries, units=units))
        left = [each for each in after.pattern.problems if each.severity == "stop" or each.code == "FRONT-LENGTH"]
        assert not left, (long[0].remedy, left)
    return told


@pytest.mark.parametrize("units", ["cm", "in"])
def test_length_over_the_bust_is_taken_up_as_offered(units: str) -> None:
    assert eased_front(survey_women(70, every=True)[40:], units) > 15


@pytest.mark.long
@pytest.mark.parametrize("units", ["cm", "in"])
def test_length_over_the_bust_is_taken_up_as_offered_on_every_woman(units: str) -> None:
    assert eased_front(survey_women(500, every=True), units) > 250
