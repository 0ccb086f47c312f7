"""What `onfold hang` is asked for, from the words of the command to files, sentences and what goes into the ticket."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

from onfold.problems import Place, Problem, problem
from onfold.project import Garment, open_ticket
from onfold.project_fit import Fitted, shown_file, with_text, write_ticket
from onfold.shelf.hung import hung_written
from onfold.shelf.ticket_cloth import limits_of
from onfold.units import Quantity, plain, read_quantity, say_length

if TYPE_CHECKING:
    from onfold.project_hang import HungGarment, Stand, Told

FALL_LEAST, FALL_MOST = 5.0, 600.0
"""mm that a fall asked for lies between: beyond them stands a slip."""
_ONE_OF = ("fall", "seen", "compare")


@dataclass(frozen=True)
class HangWish:
    """What the command asks for: lengths as written, another ticket to set beside, whether both ends are hung."""

    vary: bool = False
    fall: str | None = None
    seen: str | None = None
    compare: Path | None = None


@dataclass(frozen=True)
class Found:
    """What came of it: files by name, problems, sentences, plain data. `refused` where nothing may be written.

    `kept` is the ticket's text with what was seen, to be written once the files are.
    """

    files: dict[str, bytes] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    says: tuple[str, ...] = ()
    data: dict[str, Any] = field(default_factory=dict)
    refused: bool = False
    kept: Fitted | None = None


def asked_of(ticket: Path, wish: HangWish, told: Told, points: int | None = None) -> Found:
    """Return what the command's words ask for. Once `told` answers False the garment is kept as it hangs then.

    `points` is how fine the net is made: fewer are quicker and tell less.
    """
    problems: list[Problem] = []
    fall, seen = _length(wish.fall, "fall", problems), _length(wish.seen, "seen", problems)
    given = [name for name in _ONE_OF if getattr(wish, name) is not None]
    if len(given) > 1:
        problems.append(_only_one(given))
    if wish.vary and seen is not None:
        problems.append(_ends_are_not_seen())
    lacking = no_tool()
    if lacking is not None:
        problems.append(lacking)
    if problems:
        return Found(problems=tuple(problems), refused=True)
    return _hung(open_ticket(ticket), wish, fall, seen, told, points)


def _hung(
    garment: Garment, wish: HangWish, fall: float | None, seen: float | None, told: Told, points: int | None
) -> Found:
    from onfold.project_hang import POINTS, HungGarment, hang_garment

    fine = points or POINTS
    if fall is not None or seen is not None:
        return _closing(garment, wish, fall, seen, told, fine)
    hangs: list[HungGarment] = []
    for each in (garment, *((open_ticket(wish.compare),) if wish.compare is not None else ())):
        found = hang_garment(each, told, vary=wish.vary, points=fine)
        if not isinstance(found, HungGarment):
            return Found(problems=found, refused=True)
        hangs.append(found)
    return _found(hangs)


def _found(
    hangs: list[HungGarment], asked: Mapping[str, Any] | None = None, said: tuple[str, ...] = (),
    more: tuple[Problem, ...] = (), kept: Fitted | None = None,
) -> Found:  # fmt: skip
    from onfold.project_hang_files import hang_data, hang_files, said_of

    problems = tuple(dict.fromkeys([*more, *(each for found in hangs for each in found.problems)]))
    data = hang_data(hangs[0])
    del data["problems"]
    if asked:
        data["asked"] = dict(asked)
    return Found(hang_files(hangs, asked, said), problems, (*said, *said_of(hangs)), data, kept=kept)


def _closing(
    garment: Garment, wish: HangWish, fall: float | None, seen: float | None, told: Told, points: int
) -> Found:
    from onfold.project_hang import Stand, stand_for

    told("shaping the form", 0.0)
    stand = stand_for(garment)
    if not isinstance(stand, Stand):
        return Found(problems=stand, refused=True)
    return _spread_for(stand, wish, fall, told, points) if fall is not None else _seen(stand, seen or 0.0, told, points)


def _spread_for(stand: Stand, wish: HangWish, fall: float, told: Told, points: int) -> Found:
    from onfold.project_hang import with_range
    from onfold.project_hang_fall import Fallen, hang_for_fall, say_fallen

    fallen = hang_for_fall(stand, fall, told, points)
    if not isinstance(fallen, Fallen):
        return Found(problems=(*fallen, *stand.garment.all_problems), refused=True)
    asked = {
        "fall": round(fall, 1),
        "spread": round(fallen.spread, 2),
        "hung": round(fallen.fall, 1),
        "off": round(fallen.off, 1),
        "hangs": fallen.hangs,
    }
    return _found([with_range(fallen.found, told, wish.vary, points)], asked, say_fallen(fallen))


def _seen(stand: Stand, seen: float, told: Told, points: int) -> Found:
    from onfold.project_hang import with_range
    from onfold.project_hang_fall import Learnt, learn_from, left_over, no_fall, say_learnt

    garment = stand.garment
    assert garment.draft is not None
    if "half neck edge" not in garment.draft.pattern.facts:
        return Found(problems=(no_fall(stand), *garment.all_problems), refused=True)
    learnt = learn_from(stand, seen, told, points)
    if not isinstance(learnt, Learnt):
        return Found(problems=learnt, refused=True)
    text = hung_written(stand.ticket.text, shown_file(garment), learnt.reading, stand.ticket.units)
    if isinstance(text, Problem):
        return Found(problems=(text, *garment.all_problems), refused=True)
    reading = learnt.reading
    asked = {
        "seen": round(seen, 1),
        "reckoned": round(reading.reckoned, 1),
        "bending_length": None if reading.bending_length is None else round(reading.bending_length, 2),
        "hangs": learnt.hangs,
    }
    found = with_range(learnt.found, told, False, points, ends=False)
    more = tuple(left_over(learnt, Place(str(garment.path))))
    return _found([found], asked, say_learnt(learnt), more, with_text(garment, text))


def write_down(found: Found) -> list[Problem]:
    """Write what was seen into the ticket; empty where that is done, or nothing was to be written."""
    return [] if found.kept is None else write_ticket(found.kept)


def no_tool() -> Problem | None:
    """Return what to install where this machine cannot hang; None where it can."""
    if find_spec("numba") is not None:
        return None
    return problem(
        "HANG-TOOL",
        says='The hang needs numba, which is not here: pip install "onfold[hang]"',
        found="no numba",
        expected="numba",
        remedy='pip install "onfold[hang]"',
    )


def _length(text: str | None, name: str, problems: list[Problem]) -> float | None:
    if text is None:
        return None
    least, most = (FALL_LEAST, FALL_MOST) if name == "fall" else limits_of("fall")[1:]
    read = read_quantity(text)
    if isinstance(read, Quantity) and read.kind == "length" and least <= read.value <= most:
        return read.value
    wanted = f"a length from {say_length(least)} to {say_length(most)}"
    problems.append(
        problem(
            "VALUE-WRONG",
            says=f"'{plain(text)}' is not a fall of a cowl: write {wanted}, with its unit.",
            found=plain(text),
            expected=wanted,
            remedy=f"Write it like this: --{name} '120 mm', or '4 3/4 in'.",
        )
    )
    return None


def _ends_are_not_seen() -> Problem:
    return problem(
        "VALUE-WRONG",
        says="'--vary' hangs the limp and the stiff end of what is guessed of the cloth; '--seen' learns it from the "
        "fall, so that neither end is hung.",
        found="--seen --vary",
        expected="one of them",
        remedy="Keep the fall with --seen first, then hang with --vary.",
    )


def _only_one(given: list[str]) -> Problem:
    words = [f"--{name}" for name in given]
    return problem(
        "VALUE-WRONG",
        says=f"{' and '.join(words)} ask for different things; only one can be done at a time.",
        found=" ".join(words),
        expected="one of them",
        remedy="Ask one after the other.",
    )
