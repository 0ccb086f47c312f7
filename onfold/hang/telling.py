"""What the page of a hang says: each answer as a sentence in the maker's units, and what kind of answer it is."""

from __future__ import annotations

from dataclasses import dataclass

from onfold.hang.answers import GAPES, OUT_OF_LEVEL, SHOWS, Answers, AtLevel
from onfold.hang.dressed import TAPED, Taped
from onfold.hang.page import PageWords, Table, Told
from onfold.units import System, say_length, say_list, say_share

OWN = 0.09
"""How far, as a share, the fall of one cowl differs when its net is made finer: at spreads of 1 to 4 cm the example
sheath fell 71, 84, 88 and 89 mm with 5,700 points and 73, 85, 96 and 94 mm with 10,000. Begun 1.0 and 1.2 times as far
down it differs by 2 %, and a spread 2 mm wider may fall 3 mm less."""
LIES_CLOSE = 5.0
"""mm off the body up to which cloth is said to lie close."""
GUESSED = {
    "weight": "its weight",
    "thickness": "its thickness",
    "stretch": "how far it stretches",
    "shear": "how far it gives on the bias",
    "bending": "how crisp it is",
}
WHAT_IT_IS = (
    "Reckoned from the pattern, the cloth's figures and a form with the wearer's measures, which has no arms.",
    "It tells how the cloth falls, not how it is worn: no breath, no stride, no hand that settles a fold.",
    "Before the cloth is cut, a toile decides.",
)


@dataclass(frozen=True)
class Ends:
    """The fall, mm, at the limp and at the stiff end of what was guessed about the cloth.

    `quick`: by two hangs that go on from the one that is shown.
    """

    limp: float
    stiff: float
    quick: bool

    def around(self, best: float) -> tuple[float, float]:
        """Return the least and the greatest fall that is to be expected, mm: best guess and ends, wider by `OWN`."""
        falls = (self.limp, self.stiff, best)
        return (1.0 - OWN) * min(falls), (1.0 + OWN) * max(falls)


@dataclass(frozen=True)
class Card:
    """What the ticket says of itself on the page."""

    title: str
    wearer: str
    cloth: str
    date: str
    units: System


def words_of(answers: Answers, ends: Ends | None, card: Card, more: tuple[str, ...] = ()) -> PageWords:
    """Return the page's words; `more` are sentences about what was asked for, said first."""
    groups = [
        ("What was asked", list(more)),
        ("The cowl", say_cowl(answers, ends, card.units)),
        ("How it sits", say_sits(answers, card.units)),
        ("What was guessed about the cloth", say_guesses(answers)),
        ("What this is", [*_unfinished(answers), *WHAT_IT_IS]),
    ]
    told = tuple(Told(heading, tuple(lines)) for heading, lines in groups if lines)
    return PageWords(card.title, card.wearer, card.cloth, card.date, card.units, told)


def say_fall(answers: Answers, ends: Ends | None, units: System) -> str:
    """Return the fall as a range: `9.6 cm, 8.4 to 10.2 cm`; '' of a garment without a cowl."""
    if answers.fall is None:
        return ""
    said = say_length(answers.fall, units)
    if ends is None:
        return said
    low, high = ends.around(answers.fall)
    return f"{said} ({say_length(low, units)} to {say_length(high, units)})"


def say_cowl(answers: Answers, ends: Ends | None, units: System) -> list[str]:
    """Return what is to be said of the cowl; nothing of a garment without one."""
    cowl, fall = answers.cowl, answers.fall
    if cowl is None or fall is None:
        return []

    def long(mm: float) -> str:
        return say_length(mm, units)

    said = [
        f"The neck edge falls {long(fall)} straight down from the height of the strap points; laid on the body over "
        f"the same heights, a tape reads {long(cowl.around)}."
    ]
    if ends is None:
        said.append("How far that may be off was not hung; '--vary' hangs the limp and the stiff end of the cloth.")
    else:
        low, high = ends.around(fall)
        how = ", by two hangs that go on from this one" if ends.quick else ""
        said.append(
            f"Between {long(low)} and {long(high)}: {long(ends.limp)} in the limpest, {long(ends.stiff)} in the "
            f"stiffest cloth that it may be{how}, and {say_share(OWN)} either way for the hang itself."
        )
    if abs(answers.reading - 1.0) > 0.001:
        said.append(
            f"Hung it gave {long(cowl.depth)}; an earlier garment in this cloth fell {answers.reading:.2f} times as "
            "reckoned."
        )
    said.append(
        f"An even edge of that length falls {long(cowl.by_tape)} by the draft's span; over the straight line between "
        f"the strap points as they hang it would be {long(cowl.by_chord)}, which promises too much."
    )
    folds = {0: "No fold lies", 1: "One fold lies"}.get(cowl.folds, f"{cowl.folds} folds lie")
    said.append(f"{folds} across the centre front. The lowest point is {long(cowl.lowest[1])} above the floor.")
    said.append(_facing(answers, units))
    return said


def _facing(answers: Answers, units: System) -> str:
    if not answers.facing:
        return "No facing hangs."
    front, above = answers.facing["front"], answers.facing["above"]
    wrong = [said for said, each in (("the front", front), ("a little above", above)) if each.wrong > SHOWS]
    if wrong:
        return f"Seen from {say_list(wrong)} the wrong side shows beyond the facing."
    if front.facing > SHOWS:
        return f"The facing shows from the front{_beside(front.at)}, {_area(front.facing, units)} of it."
    if above.facing > SHOWS:
        return f"The facing shows only from a little above{_beside(above.at)}, {_area(above.facing, units)} of it."
    return "Neither facing nor wrong side shows from the front or from a little above."


def _beside(at: tuple[float, float, float] | None) -> str:
    if at is None or abs(at[0]) < 30.0:
        return ", at the centre"
    return f", at the wearer's {'left' if at[0] > 0.0 else 'right'}"


def _area(mm2: float, units: System) -> str:
    return f"{mm2 / 645.16:.1f} sq in" if units == "in" else f"{mm2 / 100.0:.0f} cm²"


def say_sits(answers: Answers, units: System) -> list[str]:
    """Return how the garment sits: what holds it, stretch by level, hem, back, under the arm."""
    said = [_holds(answers, units)]
    told = [f"{each.name} {say_share(max(0.0, each.stretch))}" for each in answers.levels if each.stretch > 0.005]
    if told:
        said.append(f"Stretched as worn: {', '.join(told)}.")
    said += [f"The {each.name} is worn past {_past(each)}." for each in answers.levels if each.times > 1]
    hem = answers.hem
    if hem is not None:
        off = hem.highest - hem.lowest
        lower = "behind" if hem.back < hem.front else "in front"
        rest = f", lower {lower} by {say_length(abs(hem.front - hem.back), units)}"
        level = "The hem hangs level" if off < OUT_OF_LEVEL else "The hem does not hang level"
        said.append(f"{level}: {say_length(off, units)} between its highest and lowest place{rest}.")
    if answers.back_gap is not None:
        gapes = f"gapes: it stands {say_length(answers.back_gap, units)} off the body"
        said.append(f"At the centre back the upper edge {gapes if answers.back_gap > GAPES else 'lies close'}.")
    if answers.under_arm:
        gaps = ", ".join(f"{say_length(gap, units)} {side}" for side, gap in answers.under_arm)
        close = all(gap <= LIES_CLOSE for _, gap in answers.under_arm)
        said.append("Under the arms it lies close." if close else f"Under the arms it stands off the body: {gaps}.")
    said += [f"Not hung: {what}; it {why}." for what, why in answers.left_out]
    return said


def _holds(answers: Answers, units: System) -> str:
    held = f"It hangs from the {answers.hangs_from}"
    if answers.slid > 15.0:
        return f"{held}, {say_length(answers.slid, units)} lower than drafted."
    return f"{held}."


def _past(level: AtLevel) -> str:
    return "full pull" if level.times == 3 else "the comfortable stretch"


def say_guesses(answers: Answers) -> list[str]:
    """Return what was guessed about the cloth, and how it can be found; nothing where all is known."""
    if not answers.estimates:
        return []
    said = [f"Guessed: {say_list([GUESSED.get(each, each) for each in answers.estimates])}."]
    if "bending" in answers.estimates:
        said.append("How crisp it is tells most. A strip over the table's edge shows it: the cloth card says how.")
    return said


def _unfinished(answers: Answers) -> list[str]:
    if answers.quiet:
        return []
    return [f"It was not quite at rest: a point of it still moved {answers.drift:.1f} mm."]


def tapes_of(answers: Answers, body: dict[str, float], units: System) -> dict[str, Taped]:
    """Return the tape lines by level, each with its words; `body` are the form's girths, mm, for what is bare."""
    at = {each.name: each for each in answers.levels}
    found = {}
    for name in TAPED:
        if name in at:
            level = at[name]
            words = f"{name}: stretched {say_share(max(0.0, level.stretch))}"
            words += f", past {_past(level)}" if level.times > 1 else ""
            found[name] = Taped(words, level.times)
        elif name in body:
            found[name] = Taped(f"{name}: {say_length(body[name], units)} round the body")
    return found


def side_by_side(
    heads: tuple[str, str], one: Answers, two: Answers, ends: tuple[Ends | None, Ends | None], units: System
) -> Table:
    """Return what two hangs answer as a table; what only one of them has is left empty for the other."""
    rows: list[tuple[str, str, str]] = []

    def row(what: str, first: str, second: str) -> None:
        if first or second:
            rows.append((what, first, second))

    row("The cowl falls", say_fall(one, ends[0], units), say_fall(two, ends[1], units))
    cowls = (one.cowl, two.cowl)
    row("by a tape laid on the body", *("" if each is None else say_length(each.around, units) for each in cowls))
    row("Folds across the centre front", *("" if each is None else str(each.folds) for each in cowls))
    names = dict.fromkeys(each.name for answers in (one, two) for each in answers.levels)
    for name in names:
        found = [next((each for each in answers.levels if each.name == name), None) for answers in (one, two)]
        row(f"Stretched at the {name}", *("" if each is None else say_share(max(0.0, each.stretch)) for each in found))
    hems = (one.hem, two.hem)
    row(
        "Hem, highest over lowest",
        *("" if each is None else say_length(each.highest - each.lowest, units) for each in hems),
    )
    backs = (one.back_gap, two.back_gap)
    row("Centre back, off the body", *("" if each is None else say_length(each, units) for each in backs))
    row("Hangs from", one.hangs_from, two.hangs_from)
    return Table(("", *heads), tuple(rows))
