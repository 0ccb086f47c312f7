"""What a maker does in a step, in a few words: a recipe's verbs are short for the file, headings are for the table."""

from __future__ import annotations

from onfold.recipe.step import Step
from onfold.units import say_list

HEADINGS: dict[str, str] = {
    "begin piece": "Begin the {name}",
    "turn to": "Take up the {piece} again",
    "rule down": "Rule the {name}",
    "mark point": "Mark the {name}",
    "square across": "Square across the {name}",
    "join": "Draw the {name}",
    "carry length": "Walk the {line} to its length",
    "trace off": "Trace off the {name}",
    "state": "Reckon the {name}",
    "take in": "Take in the {level}",
    "allow ease": "Allow ease at the {level}",
    "mark level": "Square across at the {name}",
    "close the outline": "Go round the piece",
    "true across": "True the {line}",
    "mark fold line": "Rule the {name}",
    "open": "Mark the opening",
    "darts": "Draw the {name}",
    "side dart": "Draw the {name}",
    "lengthen at": "Let in length at the {level}",
    "slash and spread": "Slash and spread",
    "slash and overlap": "Slash and lap",
    "cowl": "Square the neck and add its facing",
    "place strap": "Mark where the strap is sewn",
    "strap": "Draft the {name}",
    "waistband": "Draft the {name}",
    "name a part": "Measure off the {name}",
    "vent": "Let out the {name}",
    "take up": "Take up length at the {level}",
    "let out": "Let out or take in the {edges}",
    "raise": "Raise or lower the {edges}",
    "sew": "The {name}",
    "finish edge": "The {edge}",
    "notch": "Balance marks on the {seam}",
    "grain": "Rule the grain of the {piece}",
    "cut": "Write on the {piece} how it is cut",
}
"""By verb; a field of the step stands in braces by its name."""


def heading(done: Step) -> str:
    """Return the heading of a step: `Draw the armhole`; the verb itself where none is written."""
    said = HEADINGS.get(done.verb, done.verb[:1].upper() + done.verb[1:])
    fields = {each.name: _words(getattr(done, each.attribute)) for each in done.form if f"{{{each.name}}}" in said}
    return said.format(**fields)


def _words(value: object) -> str:
    return say_list(value) if isinstance(value, tuple) else str(value)
