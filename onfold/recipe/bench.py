"""The bench: the draft while it lies on the table. Steps read and change it through here only.

Everything on the bench has a key, a tuple whose first word is its kind: ("point", "front", "end of bust").
The bench notes what a step read (absences and listings included) and what it wrote; that is what lets replay
leave out the steps that a change cannot reach.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import floor
from typing import Any, cast

from onfold.formula import Formula, FormulaFault, evaluate
from onfold.geometry.fault import Fault
from onfold.geometry.path import Path, length
from onfold.pattern import Edge, Fact, Inner, Level, Mark, Notch, Opening, Point, Seam
from onfold.problems import Problem, Severity, problem
from onfold.recipe.laid import CutOut, GrainAsked, NotchAsked, NotchSpot, PieceStart
from onfold.recipe.yaml_nodes import did_you_mean
from onfold.units import System, say_length

Key = tuple[str, ...]
Outline = tuple[Edge, ...]
_CURRENT: Key = ("current", "")
_UNREAD = object()


class Unmet(Exception):
    """A step cannot go on; carries the problem to show. Raised and caught within the room `recipe` alone.

    `lost` are the names that were asked for and not found, and the piece they were looked for on (`piece front`), so
    that a step which only lacks what an earlier one failed to draw stays silent.
    """

    def __init__(self, trouble: Problem, lost: tuple[str, ...] = ()) -> None:
        super().__init__(trouble.says)
        self.trouble = trouble
        self.lost = lost


class Strayed(Exception):
    """A step looked at something that this bench doesn't know. Raised and caught within the room `recipe` alone."""


class Bench:
    """One step's view of the draft. `state` is never changed here; what is written is kept apart.

    A bench that is not `whole` knows of the keys in `state` only: a look at any other one raises Strayed.
    """

    __slots__ = ("_absent", "_piece", "_state", "problems", "reads", "turned", "writes")

    def __init__(self, state: Mapping[Key, Any], whole: bool = True) -> None:
        self._state = state
        self._absent = None if whole else _UNREAD
        self.reads: dict[Key, Any] = {}
        self.writes: dict[Key, Any] = {}
        self.problems: list[Problem] = []
        self.turned = ""
        self._piece = ""

    def look(self, key: Key) -> Any:
        """Return what lies under the key, or None, and note that it was read."""
        if key in self.writes:
            return self.writes[key]
        found = self.reads.get(key, _UNREAD)
        if found is _UNREAD:
            found = self._state.get(key, self._absent)
            if found is _UNREAD:
                raise Strayed(key)
            self.reads[key] = found
        return found

    def lay(self, key: Key, value: Any) -> None:
        """Put a value under the key."""
        self.writes[key] = value

    def listed(self, *kind: str) -> tuple[str, ...]:
        """Return the names of all things of a kind, `listed("point", "front")`, and note that they were read."""
        listing = ("listing", *kind)
        if listing not in self.reads and self.look(listing) is None:
            self.reads[listing] = ()
        before = cast(tuple[str, ...], self.reads[listing])
        return before + tuple(key[-1] for key in self.writes if key[:-1] == kind and key[-1] not in before)

    @property
    def piece(self) -> str:
        """Return the name of the piece being worked on."""
        if not self._piece:
            name = self.look(_CURRENT)
            if name is None:
                raise self.stop("STEP-NAME", "No piece is begun yet. Begin one before this step.", remedy="begin piece")
            self._piece = cast(str, name)
        return self._piece

    def begun(self, name: str | None = None) -> PieceStart:
        """Return how a piece (this one) was begun."""
        return cast(PieceStart, self._asked("piece", ("piece", name or self.piece)))

    def point(self, name: str, piece: str | None = None) -> Point:
        """Return a point of a piece (this one)."""
        return cast(Point, self._asked("point", ("point", piece or self.piece, name)))

    def points(self, names: Iterable[str]) -> list[Point]:
        """Return points of this piece."""
        piece = self.piece
        return [self.look(("point", piece, name)) or self.point(name, piece) for name in names]

    def line(self, name: str, piece: str | None = None) -> Path:
        """Return a drafted line of a piece (this one)."""
        return cast(Path, self._asked("line", ("line", piece or self.piece, name)))

    def outline(self, piece: str | None = None) -> Outline:
        """Return the closed outline of a piece (this one)."""
        name = piece or self.piece
        found = self.look(("outline", name))
        if found is None:
            says = f"The outline of {name} is not closed yet."
            raise self.stop("STEP-NAME", says, lost=f"outline of {name}", on=name)
        return cast(Outline, found)

    def closed(self, piece: str) -> None:
        """End the step where a piece is not closed yet. Where its outline runs is not read."""
        if self.look(("edges", piece)) is None:
            self.outline(piece)

    def edge(self, name: str, piece: str | None = None) -> tuple[Edge, ...]:
        """Return the edge of this name or the leaves of this root, in order round the piece (this one)."""
        outline = self.outline(piece)
        own = tuple(each for each in outline if each.name == name)
        found = own or tuple(each for each in outline if each.parent == name)
        if not found:
            roots = {each.root for each in outline}
            raise self._missing("edge", name, roots, piece or self.piece)
        return found

    def has_edge(self, name: str, piece: str) -> None:
        """End the step where a piece has no edge of this name. Only names are read, not where the edges run."""
        if name not in (self.look(("edges", piece)) or ()):
            self.edge(name, piece)

    def level(self, name: str) -> Level:
        """Return a level's girths."""
        return cast(Level, self._asked("level", ("level", name)))

    def _asked(self, kind: str, key: Key) -> Any:
        found = self.look(key)
        if found is None:
            on = key[1] if len(key) > 1 and kind != "level" else ""
            raise self._missing(kind, key[-1], self.listed(*key[:-1]), on)
        return found

    def _missing(self, kind: str, name: str, known: Iterable[str], on: str) -> Unmet:
        near = did_you_mean(name, list(known))
        hint = f" Did you mean '{near}'?" if near else ""
        return self.stop(
            "STEP-NAME",
            f"No {kind} called '{name}' is drawn yet.{hint}",
            found=name,
            expected=", ".join(sorted(known)[:12]),
            remedy=f"use '{near}'" if near else f"draw '{name}' before this step",
            lost=name,
            on=on,
        )

    def amount(self, formula: Formula) -> float:
        """Return a formula's value: mm, a share as a fraction, or a number."""
        found = evaluate(formula, self)
        if isinstance(found, FormulaFault):
            _, _, on = found.found.rpartition(" of ")
            raise self.stop(
                found.code,
                found.message,
                found=found.found or formula.text,
                expected=found.expected,
                remedy=found.remedy,
                lost=found.found,
                on=on,
            )
        return found

    def whole(self, formula: Formula) -> int:
        """Return a count; half a slash cannot be made."""
        value = self.amount(formula)
        if abs(value) > 1e6 or abs(value - round(value)) > 1e-9:
            raise self.stop(
                "STEP-CANNOT",
                f"'{formula.text}' is {value:g}; a whole number is wanted here.",
                found=f"{value:g}",
                expected="a whole number",
                remedy="write a whole number",
            )
        return round(value)

    def perhaps(self, formula: Formula | None) -> float | None:
        """Return a formula's value, or None where the field is empty or asks for a choice that was left open."""
        if formula is None:
            return None
        try:
            return self.amount(formula)
        except Unmet:
            # a choice that was left open has no value
            if any(self.look(("open", name)) for name in formula.names_used):
                return None
            raise

    def word(self, text: str, words: tuple[str, ...]) -> str:
        """Return a word field's answer: the word itself, or that of the choice it names."""
        if text in words:
            return text
        chosen = self.look(("word", text))
        if chosen in words:
            return cast(str, chosen)
        raise self.stop(
            "STEP-CANNOT",
            f"'{chosen or text}' is not one of {', '.join(words)}.",
            found=str(chosen or text),
            expected=", ".join(words),
        )

    def value(self, name: str) -> float | None:
        """Return a measure, choice or property of the cloth by its plain word (a formula's scope)."""
        return cast("float | None", self.look(("value", name)))

    def point_names(self) -> tuple[str, ...]:
        """Return the names of this piece's points (a formula's scope)."""
        return self.listed("point", self.piece)

    def piece_names(self) -> tuple[str, ...]:
        """Return the names of the pieces begun (a formula's scope)."""
        return self.listed("piece")

    def edge_names(self, piece: str) -> tuple[str, ...]:
        """Return the names of a piece's edges, or of its lines while it is open (a formula's scope)."""
        outline = self.look(("outline", piece))
        lines = self.listed("line", piece)
        if outline is None:
            return lines
        return tuple(dict.fromkeys([*(each.root for each in outline), *(each.name for each in outline), *lines]))

    def edge_length(self, edge: str, piece: str) -> float | None:
        """Return the length of an edge (or root) by the tape, mm (a formula's scope)."""
        outline = self.look(("outline", piece))
        found = [each for each in outline or () if each.name == edge]
        found = found or [each for each in outline or () if each.parent == edge]
        if found:
            return sum(length(each.path) for each in found)
        drawn = self.look(("line", piece, edge))
        return None if drawn is None else length(drawn)

    def _new(self, kind: str, key: Key) -> None:
        if self.look(key) is not None:
            raise self.stop(
                "STEP-NAME-TAKEN",
                f"The {kind} '{key[-1]}' is there already. Give this one another name.",
                found=key[-1],
                remedy="choose another name",
                on=key[1] if len(key) > 1 else "",
            )

    def put_point(self, name: str, where: Point, piece: str | None = None) -> None:
        """Draw a new point."""
        key = ("point", piece or self.piece, name)
        self._new("point", key)
        self.writes[key] = (float(where[0]), float(where[1]))

    def move_point(self, name: str, where: Point, piece: str | None = None) -> None:
        """Move a point that is there, or draw it."""
        self.lay(("point", piece or self.piece, name), (float(where[0]), float(where[1])))

    def put_line(self, name: str, path: Path | Fault, piece: str | None = None) -> None:
        """Draw a new line; a fault of the kernel becomes the step's problem."""
        key = ("line", piece or self.piece, name)
        self._new("line", key)
        self.writes[key] = self.sound(path, name)

    def redraw_line(self, name: str, path: Path | Fault, piece: str | None = None) -> None:
        """Draw a line anew in place of the one that is there."""
        self.lay(("line", piece or self.piece, name), self.sound(path, name))

    def sound(self, path: Path | Fault, name: str) -> Path:
        """Return the path, or raise the step's problem where the kernel found none."""
        if isinstance(path, Fault):
            raise self.stop("STEP-CANNOT", f"The line '{name}' cannot be drawn: {path.reason}.", lost=name)
        return path

    def put_outline(self, outline: Outline, piece: str | None = None) -> None:
        """Close or replace a piece's outline."""
        name = piece or self.piece
        self.lay(("outline", name), outline)
        self.lay(("edges", name), tuple(dict.fromkeys(each for edge in outline for each in (edge.name, edge.root))))

    def put_piece(self, begun: PieceStart) -> None:
        """Begin a piece and work on it."""
        self.turned = begun.name
        key = ("piece", begun.name)
        self._new("piece", key)
        self.lay(key, begun)
        self.turn_to(begun.name)

    def turn_to(self, piece: str) -> None:
        """Work on another piece from here on."""
        known = self.listed("piece")
        self.turned = piece if piece in known else did_you_mean(piece, list(known)) or piece
        self.begun(piece)
        self.lay(_CURRENT, piece)
        self._piece = piece

    def put_level(self, level: Level) -> None:
        """State a level's girths."""
        self.lay(("level", level.name), level)

    def put_fact(self, name: str, value: float, unit: str = "mm") -> None:
        """State a figure that checks and sheets speak of."""
        self.lay(("fact", name), Fact(name, float(value), unit))  # type: ignore[arg-type]

    def put_mark(self, mark: Mark, piece: str | None = None) -> None:
        """Mark a point on the cloth."""
        self.lay(("mark", piece or self.piece, mark.name), mark)

    def put_inner(self, inner: Inner, piece: str | None = None) -> None:
        """Draw a line inside the outline."""
        self.lay(("inner", piece or self.piece, inner.name), inner)

    def put_notch(self, notch: Notch | NotchAsked | NotchSpot, name: str, piece: str) -> None:
        """Ask for a balance mark."""
        self.lay(("notch", piece, name), notch)

    def put_seam(self, seam: Seam) -> None:
        """Sew edges together."""
        key = ("seam", seam.name)
        self._new("seam", key)
        self.lay(key, seam)

    def put_finish(self, edge: str, text: str) -> None:
        """Say how an edge in no seam is finished: `EDGE of PIECE` or `EDGE`."""
        self.lay(("finish", edge), text)

    def asked_finish(self, *names: str) -> str | None:
        """Return the finish that ticket or recipe asks for under the first of these names that has one."""
        return next((text for name in names if (text := self.look(("asked finish", name)))), None)

    def put_opening(self, opening: Opening) -> None:
        """Open the garment along edges."""
        self.lay(("opening", opening.name), opening)

    def put_grain(self, grain: GrainAsked, piece: str) -> None:
        """Ask for the grain line."""
        self.lay(("grain", piece), grain)

    def put_cut_out(self, cut_out: CutOut, piece: str) -> None:
        """Say how many are cut."""
        self.lay(("cut out", piece), cut_out)

    def mm(self, value: float) -> str:
        """Return a length in the maker's units, for a problem's words."""
        return say_length(value, cast(System, self.look(("units", "")) or "cm"))

    def mm_down(self, value: float) -> str:
        """Return a length rounded down by less than 1 mm, to the mm or 1/32 in: so much stays within reach."""
        units = cast(System, self.look(("units", "")) or "cm")
        grain = 1.0 if units == "cm" else 25.4 / 32.0
        return say_length(floor(value / grain + 1e-9) * grain, units, 32)

    def stop(
        self,
        code: str,
        says: str,
        *,
        found: str = "",
        expected: str = "",
        remedy: str = "",
        lost: str = "",
        on: str = "",
    ) -> Unmet:
        """Return the exception that ends the step with this problem: `lost` was not found, `on` which piece."""
        trouble = problem(code, says=says, found=found, expected=expected, remedy=remedy)
        return Unmet(trouble, tuple(each for each in (lost, f"piece {on}" if on else "") if each))

    def warn(
        self,
        code: str,
        says: str,
        *,
        found: str = "",
        expected: str = "",
        remedy: str = "",
        severity: Severity | None = None,
    ) -> None:
        """Note a problem and go on."""
        self.problems.append(problem(code, says=says, found=found, expected=expected, remedy=remedy, severity=severity))
