"""How a drawing's numbers are written into files of text: in as few signs as 1e-4 wants."""

from __future__ import annotations


def number(value: float) -> str:
    """Return the number to 1e-4, without noughts at its end: `12.5`, `0`."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text
