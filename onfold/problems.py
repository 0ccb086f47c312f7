"""What can be wrong with a maker's files, draft or garment, each named once.

A problem is data: it says where, what was found, what was expected and what to do. Nothing in Onfold raises on
a user's content; a reader returns what it could do and a list of problems. The codes stand in `problem_codes`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from onfold.problem_codes import CODES, Code, Severity

__all__ = ["CODES", "Code", "Place", "Problem", "Severity", "gravest_first", "problem", "unreadable"]


@dataclass(frozen=True)
class Place:
    """Where a problem stands; what is not known is left empty. Lines and columns count from 1, 0 is unknown."""

    file: str = ""
    line: int = 0
    column: int = 0
    step: str = ""
    piece: str = ""

    def __str__(self) -> str:
        spot = self.file
        if self.line:
            spot += f":{self.line}" if spot else f"line {self.line}"
        if self.line and self.column:
            spot += f":{self.column}"
        parts = [spot, f"step '{self.step}'" if self.step else "", self.piece]
        return ", ".join(part for part in parts if part)


@dataclass(frozen=True)
class Problem:
    """One thing to know before cutting. `says` is the whole of it as one or two plain sentences.

    `excerpt` is the faulty line of a file with a caret below it, where the problem stands in a file.
    """

    code: str
    severity: Severity
    found: str
    expected: str
    remedy: str
    says: str
    where: Place = field(default_factory=Place)
    excerpt: str = ""

    def at(self, where: Place) -> Problem:
        """Return the same problem at another place."""
        return replace(self, where=where)


def problem(
    code: str,
    *,
    says: str,
    found: str = "",
    expected: str = "",
    remedy: str = "",
    where: Place | None = None,
    severity: Severity | None = None,
    excerpt: str = "",
) -> Problem:
    """Return a problem of a listed code; its severity is the code's own unless one is given.

    Raises KeyError for a code that `CODES` doesn't list: that is a bug, not a user's fault.
    """
    entry = CODES[code]
    return Problem(code, severity or entry.severity, found, expected, remedy, says, where or Place(), excerpt=excerpt)


def gravest_first(problems: Iterable[Problem]) -> list[Problem]:
    """Return the problems with stops first, then what to mind, then notes; within each as they stood."""
    order: dict[Severity, int] = {"stop": 0, "mind": 1, "note": 2}
    return sorted(problems, key=lambda each: order[each.severity])


def unreadable(problems: list[Problem] | tuple[Problem, ...]) -> bool:
    """Return whether a stop of reading is among the problems: then nothing may be written (exit 2)."""
    return any(each.severity == "stop" and CODES[each.code].group == "reading" for each in problems)
