"""Reading a formula: recursive descent over its tokens to a frozen tree, with kinds checked on the way.

Where a sentence could be read in two ways it is refused and both bracketings are shown; nothing is guessed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NoReturn, TypeGuard

from onfold.formula.kinds import alike, product_fault, product_kind, quotient_fault, quotient_kind, sum_kind
from onfold.formula.names import NameTable, did_you_mean
from onfold.formula.tokens import Token, tokenize
from onfold.formula.tree import (
    Along,
    Amount,
    Between,
    FormulaFault,
    Name,
    Negative,
    Node,
    Pick,
    Product,
    Rounded,
    Sum,
)
from onfold.units import Quantity, capital, plain, read_quantity

LONGEST = 1000
"""Characters of a formula. Far more than anyone says in one breath, and bounds the work of reading."""

DEEPEST = 30
"""Brackets and `larger of` inside one another; bounds the recursion here and in evaluation."""


@dataclass(frozen=True)
class Part:
    """A read stretch: its tree, its kind, and its tokens [first, after)."""

    node: Node
    kind: str | None
    first: int
    after: int


class _RefusedError(Exception):
    """Carries the one fault that ends the reading of a formula; never leaves this module."""

    def __init__(self, fault: FormulaFault) -> None:
        super().__init__(fault.message)
        self.fault = fault


def read_tree(text: str, names: NameTable) -> tuple[Node, str | None] | list[FormulaFault]:
    """Return (tree, kind) of a formula, or every fault found: all unknown names, and the first fault of its build."""
    if len(text) > LONGEST:
        return [
            FormulaFault(LONGEST + 1, f"A formula has at most {LONGEST} characters.", plain(text), "a short formula")
        ]
    if not text.strip():
        return [FormulaFault(1, "A formula is needed here.", "nothing", "a quantity or a formula")]
    if "," in text:
        alone = read_quantity(text)
        if isinstance(alone, Quantity) and alone.kind != "weight":
            sign, written = ("-", text.strip()[1:]) if alone.value < 0 else ("", text.strip())
            amount = Amount(abs(alone.value), alone.kind, written.strip().replace(",", "."))
            return (Negative(amount) if sign else amount), alone.kind
    tokens, faults, whole = tokenize(text, names)
    if not whole:
        return faults
    try:
        part = _Reader(text, tokens, names).whole()
    except _RefusedError as refused:
        return [*faults, refused.fault]
    return faults or (part.node, part.kind)


class _Reader:
    """The place reached in the tokens. Each method reads one construct and stands behind it when it returns."""

    def __init__(self, text: str, tokens: list[Token], names: NameTable) -> None:
        self.text = text
        self.tokens = tokens
        self.names = names
        self.at = 0
        self.depth = 0
        self.last_operand = 0
        self.closes = self._match_brackets()

    @property
    def here(self) -> Token:
        return self.tokens[self.at]

    def refuse(
        self, column: int, message: str, found: str = "", expected: str = "", hint: str = "", code: str = "FORMULA"
    ) -> NoReturn:
        remedy = f"Write {hint}." if hint else ""
        raise _RefusedError(FormulaFault(column, message, plain(found), expected, remedy, hint, code))

    def _match_brackets(self) -> dict[int, int]:
        opened: list[int] = []
        closes: dict[int, int] = {}
        for place, token in enumerate(self.tokens):
            if token.kind == "open":
                opened.append(place)
                if len(opened) > DEEPEST:
                    self.refuse(token.start + 1, f"Brackets go at most {DEEPEST} deep.", "(", "fewer brackets")
            elif token.kind == "close":
                if not opened:
                    self.refuse(
                        token.start + 1, "A bracket is closed here that was never opened.", ")", "an opening one"
                    )
                closes[opened.pop()] = place
        if opened:
            self.refuse(self.tokens[opened[-1]].start + 1, "This bracket is never closed.", "(", "a closing bracket")
        return closes

    def whole(self) -> Part:
        part = self.level()
        if self.here.kind != "end":
            self.misplaced()
        return part

    def level(self) -> Part:
        """Read a whole formula or all that stands in one bracket."""
        part = self.sum()
        if self.here.kind != "rounded":
            return part
        if not self.is_single(part):
            self.ambiguous_before_rounded(part)
        up = self.here.text == "up"
        self.at += 1
        to = self.operand("'rounded to'")
        if self.here.kind in ("sign", "rounded"):
            self.ambiguous_after(part.first, to.first)
        if not alike(part.kind, to.kind):
            self.unlike(part, to, "rounded to")
        return Part(Rounded(part.node, to.node, up), part.kind, part.first, self.at)

    def sum(self) -> Part:
        total = self.product()
        terms: list[tuple[Literal["+", "-"], Node]] = [("+", total.node)]
        kind, first = total.kind, total.first
        while is_sum_sign(sign := self.here.text) and self.here.kind == "sign":
            self.at += 1
            term = self.product()
            if not alike(kind, term.kind):
                self.unlike(Part(total.node, kind, first, term.first - 1), term, "added")
            kind = sum_kind(kind, term.kind)
            terms.append((sign, term.node))
        node = total.node if len(terms) == 1 else Sum(tuple(terms))
        return Part(node, kind, first, self.at)

    def product(self) -> Part:
        part = self.signed()
        factors: list[tuple[Literal["*", "/"], Node]] = [("*", part.node)]
        kind = part.kind
        while is_product_sign(sign := self.here.text) and self.here.kind == "sign":
            column = self.here.start + 1
            self.at += 1
            factor = self.signed()
            fault = (product_fault if sign == "*" else quotient_fault)(kind, factor.kind)
            if fault:
                self.refuse(column, fault, self.between(part.first, self.at), "a number or share", "", "FORMULA-UNIT")
            kind = (product_kind if sign == "*" else quotient_kind)(kind, factor.kind)
            factors.append((sign, factor.node))
        node = part.node if len(factors) == 1 else Product(tuple(factors))
        return Part(node, kind, part.first, self.at)

    def signed(self) -> Part:
        """Read a leading minus and what it stands before; two signs side by side are most often a slip."""
        first, token = self.at, self.here
        if token.text != "-" or token.kind != "sign":
            return self.primary()
        before = self.tokens[first - 1] if first else None
        if before and before.kind == "sign":
            bracketed = (
                f"({self.between(first, first + 2)})" if self.tokens[first + 1].kind in ("name", "amount") else ""
            )
            self.refuse(token.start + 1, "Two signs stand side by side.", token.text, "brackets", bracketed)
        self.at += 1
        part = self.primary()
        return Part(Negative(part.node), part.kind, first, self.at)

    def primary(self) -> Part:
        first, token = self.at, self.here
        self.last_operand = first
        if token.kind in ("along", "from"):
            self.at += 1
            node: Node = Along(token.text) if token.kind == "along" else Between(token.text)
            part = Part(node, "length", first, self.at)
        elif token.kind == "pick":
            part = self.pick(nested=False)
            self.last_operand = first
        else:
            part = self.simple("a name, a quantity or a bracket")
            self.last_operand = first
        if self.here.kind in ("amount", "name", "open", "pick", "along", "from"):
            self.side_by_side(part)
        return part

    def simple(self, expected: str) -> Part:
        """Read one name, quantity or bracket."""
        first, token = self.at, self.here
        if token.kind == "amount" and token.value:
            self.at += 1
            amount = token.value
            return Part(Amount(amount.value, amount.kind, token.text), amount.kind, first, self.at)
        if token.kind == "name":
            self.at += 1
            kind = self.names.kinds.get(token.text)
            return Part(Name(token.text, kind), kind, first, self.at)
        if token.kind == "open":
            self.at += 1
            inner = self.level()
            if self.here.kind != "close":
                self.misplaced()
            self.at += 1
            return Part(inner.node, inner.kind, first, self.at)
        return self.missing(expected)

    def missing(self, expected: str) -> NoReturn:
        token = self.here
        if token.kind == "end":
            last = self.tokens[self.at - 1].text if self.at else ""
            after = f" after '{plain(last)}'" if last else ""
            self.refuse(
                token.start + 1, f"The formula ends{after} where {expected} should follow.", "the end", expected
            )
        self.refuse(
            token.start + 1, f"'{plain(self.written(token))}' stands where {expected} should.", token.text, expected
        )

    def pick(self, nested: bool) -> Part:
        first, token = self.at, self.here
        self.depth += 1
        if self.depth > DEEPEST:
            self.refuse(
                token.start + 1, f"'larger of' and 'smaller of' go at most {DEEPEST} deep.", token.text, "fewer"
            )
        self.at += 1
        one = self.operand(f"'{token.text} of'")
        if self.here.kind in ("sign", "rounded"):
            self.unbracketed_first(one)
        if self.here.kind != "and":
            self.refuse(self.here.start + 1, f"'{token.text} of A and B' needs its 'and' here.", self.here.text, "and")
        self.at += 1
        two = self.operand("'and'")
        if self.here.kind in ("sign", "rounded"):
            self.ambiguous_after(first, two.first, nested)
        if not alike(one.kind, two.kind):
            self.unlike(one, two, "compared")
        self.depth -= 1
        which: Literal["larger", "smaller"] = "larger" if token.text == "larger" else "smaller"
        return Part(Pick(which, one.node, two.node), sum_kind(one.kind, two.kind), first, self.at)

    def operand(self, after: str) -> Part:
        """Read an operand of larger, smaller or rounded: one name, quantity, bracket, or a larger or smaller."""
        first, token = self.at, self.here
        if token.kind == "pick":
            return self.pick(nested=True)
        if token.kind in ("along", "from"):
            written = self.written(token).partition(" and ")[0]
            self.refuse(token.start + 1, f"After {after} this stands in brackets.", written, "brackets", f"({written})")
        if token.text == "-" and self.tokens[self.at + 1].kind == "amount":
            self.at += 1
            part = self.simple("a quantity")
            return Part(Negative(part.node), part.kind, first, self.at)
        return self.simple(f"one name, quantity or bracket after {after}")

    def is_single(self, part: Part) -> bool:
        token = self.tokens[part.first]
        one_token = part.after == part.first + 1 and token.kind in ("amount", "name")
        return one_token or self.closes.get(part.first) == part.after - 1

    def ambiguous_before_rounded(self, part: Part) -> NoReturn:
        """Refuse `A + B rounded to C`, showing (A + B) and (B rounded to C)."""
        end = self.level_end(self.at)
        rounding = self.at + 1
        stop = min(self.closes.get(rounding, rounding) + 1, end) if self.tokens[rounding].kind != "pick" else end
        one = f"({self.between(part.first, part.after)}) {self.between(part.after, end)}"
        last = self.last_operand
        other = f"({self.between(last, stop)})"
        if last > part.first:
            head = self.between(part.first, last)
            other = f"{head}{'' if head.endswith('-') else ' '}{other}"
        if stop < end:
            other += f" {self.between(stop, end)}"
        self.two_readings(self.here, [one] if last == part.first and self.is_draft(last) else [one, other])

    def is_draft(self, place: int) -> bool:
        return self.tokens[place].kind in ("along", "from")

    def ambiguous_after(self, first: int, second: int, nested: bool = False) -> NoReturn:
        """Refuse `larger of A and B + C` and `A rounded to B + C`, showing where the brackets may stand."""
        end = self.level_end(self.at, stop_at_and=nested)
        rest = self.between(self.at, end)
        one = f"({self.between(first, self.at)}) {rest}"
        other = f"{self.between(first, second)} ({self.between(second, end)})"
        if nested:
            one = f"({one})"
        self.two_readings(self.here, [one, other])

    def unbracketed_first(self, part: Part) -> NoReturn:
        """Refuse `larger of A + B and C`: its one sensible bracketing is shown."""
        end = self.level_end(self.at, stop_at_and=True)
        self.two_readings(self.here, [f"{self.between(part.first - 1, part.first)} ({self.between(part.first, end)})"])

    def two_readings(self, token: Token, readings: list[str]) -> NoReturn:
        shown = " or ".join(readings)
        which = (
            "This can be read in two ways" if len(readings) > 1 else "More than one name or quantity stands in brackets"
        )
        raise _RefusedError(
            FormulaFault(
                token.start + 1,
                f"{which}: {plain(shown, 400)}.",
                plain(self.written(token)),
                "brackets",
                f"Write {plain(shown, 400)}.",
                plain(readings[0], 200) if len(readings) == 1 else "",
            )
        )

    def level_end(self, at: int, stop_at_and: bool = False) -> int:
        """Return the token that ends the level `at` stands in: a closing bracket, the end, or a free `and`."""
        picks = 0
        while self.tokens[at].kind not in ("close", "end"):
            picks += self.tokens[at].kind == "pick"
            if self.tokens[at].kind == "and":
                if stop_at_and and not picks:
                    break
                picks -= 1
            at = self.closes.get(at, at) + 1
        return at

    def side_by_side(self, part: Part) -> NoReturn:
        token = self.here
        first, second = self.between(part.first, part.after), plain(self.written(token))
        values = [self.tokens[part.first].value, token.value]
        hint = ""
        if token.kind in ("name", "open") and values[0] and values[0].kind == "number":
            hint = f"{first} * {second if token.kind == 'name' else '(…)'}"
        # words that begin as one name and go on as another: a third name, misspelt here or where it is given
        hint = (did_you_mean(f"{first} {second}", self.names.kinds) if values == [None, None] else "") or hint
        message = f"Two values stand side by side, '{plain(first)}' and '{second}'; an operation belongs between them."
        self.refuse(token.start + 1, message, f"{first} {second}", "+ - * or /", hint)

    def unlike(self, one: Part, two: Part, verb: str) -> NoReturn:
        """Refuse a length with a plain number or share; the caret stands at the bare number where there is one."""
        bare = one if isinstance(one.node, Amount) and one.kind != "length" and two.kind == "length" else two
        other = two if bare is one else one
        written = self.between(bare.first, bare.after)
        hint = ""
        if bare.kind == "number" and isinstance(bare.node, Amount):
            hint = f"{written} cm or {written} in"
            if bare is one and isinstance(two.node, Amount) and "/" in two.node.text:
                hint = f"{written} {two.node.text}"
        elif bare.kind == "share" and verb == "added":
            hint = f"{self.between(other.first, other.after)} * {written}"
        kinds = f"a {one.kind} and a {two.kind}"
        message = f"{capital(kinds)} cannot be {_UNLIKE[verb]}."
        if hint and bare.kind == "number":
            message += " A length always carries its unit."
        column = self.tokens[bare.first].start + 1
        self.refuse(column, message, written, f"a {other.kind}", hint, "FORMULA-UNIT")

    def misplaced(self) -> NoReturn:
        token = self.here
        self.refuse(token.start + 1, f"'{plain(self.written(token))}' has no place here.", token.text, "an operation")

    def written(self, token: Token) -> str:
        return " ".join(self.text[token.start : token.end].split())

    def between(self, first: int, after: int) -> str:
        """Return the text of the tokens [first, after), spaces evened out."""
        if after <= first:
            return ""
        return " ".join(self.text[self.tokens[first].start : self.tokens[after - 1].end].split())


_UNLIKE = {
    "added": "added or taken from one another",
    "compared": "compared",
    "rounded to": "rounded to one another",
}


def is_sum_sign(text: str) -> TypeGuard[Literal["+", "-"]]:
    """Return whether a text is a plus or minus."""
    return text in ("+", "-")


def is_product_sign(text: str) -> TypeGuard[Literal["*", "/"]]:
    """Return whether a text is a sign of multiplication or division."""
    return text in ("*", "/")
