"""What the kernel hands back where a construction has no result: a plain reason. The step makes the problem of it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Fault:
    """Why there is no result, in plain words that a step can put before the maker."""

    reason: str
