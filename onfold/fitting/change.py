"""The nouns of a fitting: a change that a try-on asks for."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Change:
    """What is to be done about one thing seen: any of the four, as they are written in a ticket's fitting.

    `choices` by name (`waist ease: 3 cm`), `figure` notes by name (`sway back: 1.5 cm`), `measures` that were taped
    again, `steps` as lines of a recipe, each `(after, text)`: the label it goes after ('' where it goes before the
    first finishing step) and the step as one line of YAML (`let out: {…}`).
    """

    choices: dict[str, str] = field(default_factory=dict)
    figure: dict[str, str] = field(default_factory=dict)
    measures: dict[str, str] = field(default_factory=dict)
    steps: tuple[tuple[str, str], ...] = ()
