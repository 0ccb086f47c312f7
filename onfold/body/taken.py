"""A measure as it is used."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Taken:
    """A measure as used, mm: taped, or estimated with its 90 % interval."""

    value: float
    estimated: bool = False
    interval: tuple[float, float] | None = None
