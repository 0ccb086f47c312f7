"""What a hung garment showed, written into its ticket: text in, text out, all else left as the maker wrote it."""

from __future__ import annotations

from onfold.cloth import Hung
from onfold.problems import Problem
from onfold.recipe.splice import add_entry, refused, remove_entry, set_scalar
from onfold.recipe.yaml_nodes import Mapping, Node, compose, find
from onfold.shelf.ticket_cloth import HUNG_KEYS, limits_of
from onfold.units import UNITS, Quantity, System, mixes_systems, read_quantity, say_length

CLOTH, HUNG = "cloth", "hung"
INCH_PLACES, MM_PLACES = 3, 2


def hung_written(text: str, file: str, hung: Hung, units: System) -> str | Problem:
    """Return the ticket's text with `hung` below its `cloth`, replacing what stood there, or why it cannot be.

    Lengths are written in mm or, where `units` are inches, in those, to 1/100 mm and 1/1000 in; in the other system
    where they come to stand in one line with it. Every change is made at its place by `splice`, which reads the text
    again and refuses where anything else would change; comments and order stay.
    """
    for key, mm in _lengths(hung).items():
        _, least, most = limits_of(key)
        if not least <= mm <= most:
            return refused(f"A {key} of {mm:g} mm is outside {least:g} to {most:g} mm.", file, None)
    written = _written(text, file, hung, units)
    if isinstance(written, Problem) or _mixed_lines(written) <= _mixed_lines(text):
        return written
    other = _written(text, file, hung, "in" if units == "cm" else "cm")
    return other if isinstance(other, str) and _mixed_lines(other) <= _mixed_lines(text) else written


def _lengths(hung: Hung) -> dict[str, float]:
    lengths = zip(HUNG_KEYS, (hung.fall, hung.reckoned, hung.bending_length), strict=True)
    return {key: mm for key, mm in lengths if mm is not None}


def _mixed_lines(text: str) -> int:
    return sum(mixes_systems(line) for line in text.split("\n"))


def _written(text: str, file: str, hung: Hung, units: System) -> str | Problem:
    said = {key: _say(mm, units) for key, mm in _lengths(hung).items()}
    root, problems = compose(text, file)
    stop = next((each for each in problems if each.severity == "stop"), None)
    if stop is not None:
        return stop
    cloth = _below(root, CLOTH)
    held = _below(cloth, HUNG)
    if not isinstance(held, Mapping):
        bare = isinstance(cloth, Mapping) and find(cloth, HUNG) is not None
        return _all_into_bare(text, said, file) if bare else add_entry(text, (CLOTH,), HUNG, said, file)
    for key in HUNG_KEYS:
        path, there = (CLOTH, HUNG, key), find(held, key) is not None
        if key in said:
            done = set_scalar(text, path, said[key], file) if there else add_entry(text, path[:2], key, said[key], file)
        else:
            done = remove_entry(text, path, file) if there else text
        if isinstance(done, Problem):
            return done
        text = done
    return text


def _all_into_bare(text: str, said: dict[str, str], file: str) -> str | Problem:
    """Fill a `hung:` that has no fields: the first makes the brackets, the others join it."""
    for key, length in said.items():
        done = add_entry(text, (CLOTH, HUNG), key, length, file)
        if isinstance(done, Problem):
            return done
        text = done
    return text


def _below(node: Node | None, key: str) -> Node | None:
    entry = find(node, key) if isinstance(node, Mapping) else None
    return entry.value if entry is not None else None


def _say(mm: float, units: System) -> str:
    """Return a length as a ticket takes it, in sixteenths of an inch where that is what it is, to the last bit."""
    if units == "cm":
        return f"{round(mm, MM_PLACES):g} mm"
    said = say_length(mm, units, 16)
    read = read_quantity(said)
    if isinstance(read, Quantity) and abs(read.value - mm) < 1e-6:
        return said
    return f"{round(mm / UNITS['in'], INCH_PLACES):g} in"
