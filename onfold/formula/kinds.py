"""What adding, multiplying and choosing among lengths, shares and numbers gives, or why it gives nothing.

Shares and plain numbers are both without dimension and mix freely (`1 + waist share * crosswise stretch`); a length
goes with lengths only. A kind of None is known only at replay and passes.
"""

from __future__ import annotations


def alike(first: str | None, second: str | None) -> bool:
    """Return whether two kinds can be added, compared or rounded to one another."""
    return first is None or second is None or (first == "length") == (second == "length")


def sum_kind(first: str | None, second: str | None) -> str | None:
    """Return the kind of the sum, or of the larger, of two kinds that are alike."""
    if "length" in (first, second):
        return "length"
    if first is None or second is None:
        return None
    return first if first == second else "number"


def product_kind(first: str | None, second: str | None) -> str | None:
    """Return the kind of a product: a length times a number is a length, two shares or a share and a number a share."""
    if "length" in (first, second):
        return "length"
    if first is None or second is None:
        return None
    return "share" if "share" in (first, second) else "number"


def quotient_kind(first: str | None, second: str | None) -> str | None:
    """Return the kind of a quotient: two lengths give a number, a length and a number a length."""
    if second == "length":
        return "number"
    if first is None or second is None:
        return None
    if first == "length":
        return "length"
    return "share" if first == "share" and second == "number" else "number"


def product_fault(first: str | None, second: str | None) -> str:
    """Return why two kinds cannot be multiplied, '' where they can."""
    return "A length times a length is an area, and no field asks for one." if first == second == "length" else ""


def quotient_fault(first: str | None, second: str | None) -> str:
    """Return why one kind cannot be divided by another, '' where it can."""
    if second == "length" and first not in ("length", None):
        return f"A {first} cannot be divided by a length."
    return ""
