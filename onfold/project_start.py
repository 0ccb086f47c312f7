"""Asking for the few things a garment needs, and writing them as a job ticket that a maker can read and change.

The asking is a conversation through a door (`ask`, `tell`): the command line is one, a test another.
"""

from __future__ import annotations

import datetime
import shlex
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol, TypeVar, cast

from onfold.body.estimate import measure_first
from onfold.body.likely import likely_together
from onfold.body.measures import MEASURES, Figure, check_measure
from onfold.cloth import KINDS, ClothKind
from onfold.problems import Problem
from onfold.project import needs_of, shipped_recipe, shipped_recipes
from onfold.project_carry import taste_of
from onfold.project_ticket import Answers, write_ticket
from onfold.recipe.fields import Reading, read_amount, read_text, read_value, read_word
from onfold.recipe.file import Recipe
from onfold.recipe.yaml_nodes import Mark, Scalar
from onfold.sheets.papers import read_paper
from onfold.shelf.book import read_book
from onfold.shelf.safe import write_files
from onfold.shelf.ticket import DEFAULT_UNITS, UNITS
from onfold.shelf.ticket_cloth import LIMITS
from onfold.shelf.ticket_parts import DEFAULT_FIGURE, FIGURES
from onfold.units import Kind, System, plain, read_quantity

MAIN_MEASURES = ("height", "bust", "waist", "hip")
"""Asked for first: a height and the three girths place a body best among those measured."""

ENOUGH = "enough"
LATER = "later"
T = TypeVar("T")


class Door(Protocol):
    """Whom the questions are put to."""

    def ask(self, question: str, default: str) -> str | None:
        """Return the answer, the default for an empty one, or None where the maker broke off."""

    def tell(self, text: str) -> None:
        """Say a paragraph."""


class _BrokenOffError(Exception):
    """The maker broke off: nothing is written."""


@dataclass
class _Talk:
    """A conversation under way: every answer is read by the ticket's own readers, and asked for again with a reason."""

    door: Door
    units: System = DEFAULT_UNITS

    def answer(self, question: str, default: str = "") -> str:
        """Return the answer, without blanks at its ends."""
        said = self.door.ask(question, default)
        if said is None:
            raise _BrokenOffError
        return said.strip()

    def until(self, question: str, default: str, read: Callable[[Reading, Scalar], T | None]) -> T:
        """Return the first answer that can be read; each that cannot is met with the reason."""
        while True:
            text = self.answer(question, default)
            reading = Reading("", text, self.units)
            found = read(reading, Scalar(text, Mark(1, 1, 0, len(text))))
            if found is not None and not _stopped(reading):
                return found
            self.door.tell(_reason(reading) if text else "An answer is needed here.")

    def word(self, question: str, words: tuple[str, ...], default: str) -> str:
        """Return one of the words."""
        return self.until(
            f"{question} ({', '.join(words)})", default, lambda r, node: read_word(r, node, "This", words)
        )

    def yes(self, question: str, default: str) -> bool:
        """Return whether the maker says yes; `y` and `n` will do."""

        def read(reading: Reading, node: Scalar) -> str | None:
            short = {"y": "yes", "n": "no"}.get(node.text.lower(), node.text)
            return read_word(reading, Scalar(short, node.mark), "This", ("yes", "no"))

        return self.until(f"{question} (yes, no)", default, read) == "yes"

    def words(self, question: str, default: str = "", needed: bool = True, most: int = 100) -> str:
        """Return some words of plain text; '' for an empty answer where none is needed."""

        def read(reading: Reading, node: Scalar) -> str | None:
            if not node.text and not needed:
                return ""
            text = read_text(reading, node, "This", most)
            if text is not None and not text.isprintable():
                reading.fault("FILE-TEXT", node, f"'{plain(text)}' holds characters that no ticket needs.")
            return text

        return self.until(question, default, read)

    def amount(self, question: str, key: str, what: str, default: str = "") -> tuple[str, float]:
        """Return a figure of the cloth, as written and as read."""
        kind, least, most = LIMITS[key]

        def read(reading: Reading, node: Scalar) -> tuple[str, float] | None:
            text = self.with_unit(node.text, kind)
            value = read_amount(reading, Scalar(text, node.mark), what, kind, least, most)
            return None if value is None else (text, value)

        return self.until(question, default, read)

    def with_unit(self, text: str, kind: Kind) -> str:
        """Return a bare number with the unit that was asked for, anything else as it is."""
        quantity = read_quantity(text)
        bare = getattr(quantity, "kind", "") == "number"
        return f"{text} {self.units if kind == 'length' else '%'}" if bare else text


def _stopped(reading: Reading) -> bool:
    return any(each.severity == "stop" for each in reading.problems)


def _reason(reading: Reading) -> str:
    """Return why an answer was not taken, and how it may be written."""
    last = reading.problems[-1]
    return last.says if not last.remedy or last.remedy in last.says else f"{last.says} {last.remedy}"


def ask_for_ticket(path: Path, door: Door, today: datetime.date | None = None) -> int:
    """Ask, write the ticket at `path`, tell what to do next; return 0, or 2 where nothing was written.

    `today` is the date the ticket gets: the day's own where none is given.
    """
    shown = plain(str(path), 200)
    if path.is_dir() or not path.name:
        door.tell(f"{shown} is a folder. Name the ticket's file, for example {shlex.quote(str(path / 'ticket.yaml'))}.")
        return 2
    talk = _Talk(door)
    try:
        if (path.exists() or path.is_symlink()) and not talk.yes(f"{shown} is there already. Write over it?", "no"):
            door.tell("It was left as it is.")
            return 2
        answers = _ask_all(talk, (today or datetime.date.today()).isoformat(), path.parent)
    except _BrokenOffError:
        door.tell("Broken off: nothing was written.")
        return 2
    failed = write_files(path.parent, {path.name: write_ticket(answers).encode()})
    for each in failed:
        door.tell(each.says)
    if failed:
        return 2
    _tell_next(door, path, shown, answers)
    return 0


def _ask_all(talk: _Talk, date: str, folder: Path) -> Answers:
    talk.door.tell("An empty answer takes what stands in brackets. Ctrl-C breaks off, and nothing is written.")
    recipe = _ask_recipe(talk)
    wearer = talk.words("Who is it for? A name, or a word such as alto-1")
    title = talk.words(
        "What is the garment called?", f"{recipe.name.replace('-', ' ').capitalize()}, {wearer}", most=200
    )
    talk.units = cast(System, talk.word("Inches or centimetres?", UNITS, DEFAULT_UNITS))
    figure = cast(Figure, talk.word("The figure", FIGURES, DEFAULT_FIGURE))
    answers = Answers(title, recipe, talk.units, wearer, figure, date=date)
    _offer_carried(talk, answers, folder)
    _ask_measures(talk, answers)
    for name, text in answers.offered.items():
        if name not in answers.to_take:
            answers.measures.setdefault(name, text)
    _ask_cloth(talk, answers)
    answers.paper = talk.until(
        "Which paper will it be printed on? (a4, a3, a2, a1, a0, letter, legal, tabloid, or roll and its width)",
        "letter" if talk.units == "in" else "a4",
        _read_paper,
    )
    return answers


def _offer_carried(talk: _Talk, answers: Answers, folder: Path) -> None:
    """Offer what the workroom book carries for this wearer and this recipe; what is taken up stands in the ticket."""
    book, problems = read_book(folder)
    for each in problems:
        talk.door.tell(f"\n{each.says}")
    if book is None:
        return
    wearer, taste = book.wearers.get(answers.wearer), taste_of(book, answers.recipe.name)
    wanted = {name: value for name, value in taste.items() if name in answers.recipe.choices}
    if wearer is not None and (wearer.notes or wearer.measures):
        whence = f", from {wearer.source}" if wearer.source else ""
        held = _said({**wearer.notes, **wearer.measures})
        talk.door.tell(f"\nThe workroom book carries for {plain(answers.wearer)}: {held}{plain(whence, 200)}.")
        if talk.yes("Take it up in this ticket?", "yes"):
            answers.notes, answers.notes_from = dict(wearer.notes), wearer.source
            answers.offered = dict(wearer.measures)
    if wanted:
        talk.door.tell(f"\nThe workroom book carries for this recipe: {_said(wanted)}.")
        if talk.yes("Take it up in this ticket?", "yes"):
            answers.choices = wanted


def _said(named: Mapping[str, str]) -> str:
    return ", ".join(f"{plain(name)} {plain(value, 120)}" for name, value in named.items())


def _ask_recipe(talk: _Talk) -> Recipe:
    names = shipped_recipes()
    recipes = {name: shipped_recipe(name) for name in names}
    for number, name in enumerate(names, start=1):
        talk.door.tell(f"{number}  {name}: {recipes[name].title} (for a {recipes[name].made_for})")

    def read(reading: Reading, node: Scalar) -> str | None:
        numbered = {str(number): name for number, name in enumerate(names, start=1)}
        return read_word(reading, Scalar(numbered.get(node.text, node.text), node.mark), "The recipe", names)

    return recipes[talk.until("Which recipe? Its name or number", names[0], read)]


def _ask_measures(talk: _Talk, answers: Answers) -> None:
    """Ask for the height and girths first, then for what narrows the estimates most, one after another."""
    needed = needs_of(answers.recipe)
    first = [name for name in MAIN_MEASURES if name in needed or name == "height"]
    child = answers.figure == "child"
    if child:
        talk.door.tell(
            "\nNothing is estimated for a child, so each measure that the recipe uses is needed. "
            f"Write '{LATER}' for one that you cannot take now; it is then noted in the ticket."
        )
    else:
        talk.door.tell(
            "\nNow the measures. Leave one empty where it was not taped: it is then estimated, and marked so."
        )
    for name in first:
        _ask_measure(talk, answers, name, child and name in needed)
    _offer_more(talk, answers, needed, child)
    _look_again(talk, answers)


def _look_again(talk: _Talk, answers: Answers) -> None:
    """Ask about measures that seldom go together, until they are changed or the maker stands by them."""
    while asked := likely_together(answers.figure, answers.taped, answers.units):
        for each in asked:
            talk.door.tell(f"To look at again: {each.says}")
        words = ("go on", *answers.measures)
        name = talk.word("Which one shall be written again?", words, "go on")
        if name == "go on":
            return
        del answers.measures[name], answers.taped[name]
        _ask_measure(talk, answers, name, False)


def _offer_more(talk: _Talk, answers: Answers, needed: tuple[str, ...], child: bool) -> None:
    asked = set(MAIN_MEASURES)
    told = child
    while True:
        left = [name for name in needed if name not in answers.taped and name not in asked]
        order = [name for name in measure_first(answers.figure, answers.taped, left) if name in left] if left else []
        if not order:
            return
        if not told:
            talk.door.tell(
                f"\n{len(left)} more are used by this recipe, those that narrow the draft most first. "
                f"Leave empty what was not taped; write '{ENOUGH}' to go on."
            )
            told = True
        asked.add(order[0])
        if not _ask_measure(talk, answers, order[0], child):
            return


def _ask_measure(talk: _Talk, answers: Answers, name: str, needed: bool) -> bool:
    """Ask for one measure and keep it; return whether to go on asking."""
    talk.door.tell(f"\n{name.capitalize()}: {MEASURES[name].how}")

    def read(reading: Reading, node: Scalar) -> tuple[str, float | None] | None:
        if node.text.lower() in (ENOUGH, LATER) or (not node.text and not needed):
            return node.text.lower(), None
        text = talk.with_unit(node.text, "length")
        value = read_value(reading, Scalar(text, node.mark), f"'{name}'", "length")
        wrong = None if value is None else check_measure(name, value, talk.units)
        if wrong is not None:
            reading.found_at(wrong, node)
        return None if value is None or wrong is not None else (text, value)

    text, value = talk.until(f"  {name}, {talk.units}", answers.offered.get(name, ""), read)
    if value is not None:
        answers.measures[name] = text
        answers.taped[name] = value
    elif needed:
        answers.to_take.append(name)
    return text != ENOUGH or needed


def _ask_cloth(talk: _Talk, answers: Answers) -> None:
    talk.door.tell("\nNow the cloth.")
    answers.cloth_name = talk.words("What is it called? (may be left empty)", needed=False)
    made_for = answers.recipe.made_for
    default = "woven" if made_for == "any" else made_for
    answers.cloth_kind = cast(ClothKind, talk.word("Knit or woven?", KINDS, default))
    if made_for not in ("any", answers.cloth_kind):
        talk.door.tell(f"This recipe is drafted for a {made_for}; in a {answers.cloth_kind} it may not fit or go on.")
    answers.cloth_width, _ = talk.amount(
        f"How wide is it, selvages included? ({talk.units})", "width", "The cloth's width", _usual_width(talk.units)
    )
    if answers.cloth_kind == "knit":
        talk.door.tell(
            "Test its stretch: fold it away from the edge, mark 10 cm lying relaxed, and hold it as far as it still "
            "feels comfortable. If the 10 cm reach 15 cm, the stretch is 50 %. Test across the cloth, then along it."
        )
        answers.stretch_across, _ = talk.amount("Stretch across, %", "stretch", "The stretch across")
        answers.stretch_along, _ = talk.amount("Stretch along, %", "stretch", "The stretch along")


def _usual_width(units: System) -> str:
    return "60 in" if units == "in" else "150 cm"


def _read_paper(reading: Reading, node: Scalar) -> str | None:
    paper = read_paper(node.text)
    if isinstance(paper, Problem):
        reading.found_at(paper, node)
        return None
    return node.text


def _tell_next(door: Door, path: Path, shown: str, answers: Answers) -> None:
    door.tell(f"\nWritten: {shown}. It is plain text: open it in any editor to change or add to it.")
    if answers.to_take:
        door.tell(f"Still to be taped, and to be written under measures: {', '.join(answers.to_take)}.")
    ticket, folder = shlex.quote(str(path)), shlex.quote(str(path.parent / path.stem))
    door.tell("Next, to see what to mind before cutting, and to write pattern, lesson and guide:")
    door.tell(f"  onfold check {ticket}")
    door.tell(f"  onfold make {ticket} -o {folder}")
