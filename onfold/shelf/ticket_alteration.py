"""The alteration of a ticket: what is found in a garment made elsewhere and what is to be done, from its fields."""

from __future__ import annotations

from onfold.body.measures import MEASURES, near_names
from onfold.construction import FinishFault, read_finish
from onfold.construction.alteration import (
    EDGE_VERBS,
    GARMENT_ONLY,
    LEVELS,
    SEAM_VERBS,
    VERBS,
    Alteration,
    Found,
    Work,
)
from onfold.recipe.fields import (
    Fields,
    Reading,
    read_amount,
    read_entries,
    read_fields,
    read_items,
    read_text,
    read_word,
    shape_of,
)
from onfold.recipe.yaml_nodes import Entry, Mapping, Node, Sequence, did_you_mean, excerpt, place_of
from onfold.units import plain

ALTERATION_KEYS = ("garment", "found", "measured", "work", "notes")
REQUIRED = ("garment", "work")
FOUND_KEYS = ("inlay", "finish")
SEAM_KEYS = ("seam", "by", "from", "to", "seams")
EDGE_KEYS = ("edge", "by")
MEASURED = (*MEASURES, *GARMENT_ONLY)

LEAST_BY, MOST_BY = 1.0, 500.0
"""mm that a seam or an edge can be altered by: beyond them stands a slip."""
MOST_INLAY, LEAST_MEASURE, MOST_MEASURE = 500.0, 10.0, 10_000.0
MOST_SEAMS = 20
NOTE_LENGTH = 2_000
_WORK = "a list of {let out: {seam: centre back seam, by: 15 mm}}"


def read_alteration(reading: Reading, node: Node) -> Alteration | None:
    """Return the alteration; None where nothing of it can be told. Its problems go to `reading`."""
    example = "'alteration:' with garment, found, measured and work below it"
    fields = read_fields(reading, node, "The alteration", ALTERATION_KEYS, REQUIRED, example)
    if fields is None:
        return None
    garment = read_text(reading, fields["garment"].value, "The garment") if "garment" in fields else None
    found = _found(reading, fields["found"].value) if "found" in fields else {}
    measured = _measured(reading, fields["measured"].value) if "measured" in fields else {}
    items = read_items(reading, fields["work"].value, "'work'", _WORK) if "work" in fields else ()
    work = tuple(each for each in (_work(reading, item) for item in items) if each is not None)
    if "work" in fields and isinstance(fields["work"].value, Sequence) and not items:
        reading.fault("VALUE-EMPTY", fields["work"].value, "Nothing is to be done.", remedy=f"Write {_WORK}.")
    notes = read_text(reading, fields["notes"].value, "The notes", NOTE_LENGTH) if "notes" in fields else None
    if "found" in fields:
        _mind_slips(reading, fields["found"].value, found, work)
    return Alteration(garment or "", found, measured, work, notes or "", place_of(node, reading.file))


def _found(reading: Reading, node: Node) -> dict[str, Found]:
    example = "{centre back seam: {inlay: 25 mm, finish: plain 15 mm}}"
    found: dict[str, Found] = {}
    for entry in read_entries(reading, node, "'found'", example) or ():
        name = _name(entry)
        fields = read_fields(
            reading, entry.value, f"What is found at the {name}", FOUND_KEYS, ("inlay",), "{inlay: 25 mm}"
        )
        if fields is None or "inlay" not in fields:
            continue
        what = f"The inlay of the {name}"
        inlay = read_amount(reading, fields["inlay"].value, what, "length", 0.0, MOST_INLAY)
        finish = _finish(reading, fields["finish"].value, name) if "finish" in fields else ""
        if inlay is not None:
            found[entry.key.text] = Found(inlay, finish, place_of(entry.key, reading.file))
    return found


def _finish(reading: Reading, node: Node, name: str) -> str:
    text = read_text(reading, node, f"The finish of '{name}'")
    if text is None:
        return ""
    finish = read_finish(text)
    if not isinstance(finish, FinishFault):
        return text
    says = f"{finish.message} {finish.remedy}"
    reading.fault(
        "FINISH-UNKNOWN",
        node,
        says,
        found=finish.found,
        expected=finish.expected,
        remedy=finish.remedy,
        within=finish.column,
    )
    return ""


def _measured(reading: Reading, node: Node) -> dict[str, float]:
    measured: dict[str, float] = {}
    for entry in read_entries(reading, node, "'measured'", "{waist: 84 cm, inside leg: 78 cm}") or ():
        name = entry.key.text
        if name not in MEASURED:
            near = [*near_names(name)[:1], did_you_mean(name, list(MEASURED))]
            offer = next((each for each in near if each), "")
            reading.fault(
                "MEASURE-UNKNOWN",
                entry.key,
                f"There is no measure '{_name(entry)}' of a garment.",
                found=_name(entry),
                expected=offer or f"a measure of the tape, or {', '.join(GARMENT_ONLY)}",
                remedy=f"Did you mean '{offer}'?" if offer else "docs/measures.md lists them.",
            )
            continue
        what = f"The garment's {name}"
        value = read_amount(reading, entry.value, what, "length", LEAST_MEASURE, MOST_MEASURE)
        if value is not None:
            measured[name] = value
    return measured


def _work(reading: Reading, node: Node) -> Work | None:
    entries = read_entries(reading, node, "A piece of work", "{let out: {seam: centre back seam, by: 15 mm}}")
    if entries is None:
        return None
    if len(entries) != 1:
        names = ", ".join(_name(each) for each in entries) or "none"
        reading.fault(
            "FILE-SHAPE",
            entries[1].key if entries else node,
            "Each list item is one piece of work.",
            found=names,
            expected="one of " + ", ".join(VERBS),
            remedy="Write each as its own list item.",
        )
        return None
    (entry,) = entries
    verb = entry.key.text
    if verb in SEAM_VERBS:
        return _at_seam(reading, entry)
    if verb in EDGE_VERBS:
        return _at_edge(reading, entry)
    if verb in VERBS:
        what = read_text(reading, entry.value, f"What to {verb}")
        return None if what is None else _worked(reading, entry, what)
    near = did_you_mean(verb, list(VERBS))
    offer = f"Did you mean '{near}'?" if near else f"Write one of: {', '.join(VERBS)}."
    reading.fault(
        "VERB-UNKNOWN",
        entry.key,
        f"'{_name(entry)}' is no work at a garment.",
        found=_name(entry),
        expected=near or ", ".join(VERBS),
        remedy=offer,
    )
    return None


def _at_seam(reading: Reading, entry: Entry) -> Work | None:
    verb = entry.key.text
    example = "{seam: centre back seam, by: 15 mm, from: waist, to: hip}"
    fields = read_fields(reading, entry.value, f"'{verb}'", SEAM_KEYS, ("seam", "by"), example)
    if fields is None:
        return None
    start, stop = (_level(reading, fields, verb, key) for key in ("from", "to"))
    seams = _seams(reading, fields)
    seam, by = _what(reading, fields, "seam", verb), _by(reading, fields, verb)
    return None if seam is None or by is None else _worked(reading, entry, seam, by, start, stop, seams)


def _at_edge(reading: Reading, entry: Entry) -> Work | None:
    verb = entry.key.text
    fields = read_fields(reading, entry.value, f"'{verb}'", EDGE_KEYS, EDGE_KEYS, "{edge: hem, by: 3 cm}")
    if fields is None:
        return None
    edge, by = _what(reading, fields, "edge", verb), _by(reading, fields, verb)
    return None if edge is None or by is None else _worked(reading, entry, edge, by)


def _worked(
    reading: Reading, entry: Entry, what: str, by: float = 0.0, start: str = "", stop: str = "", seams: int = 0
) -> Work:
    where = place_of(entry.key, reading.file)
    return Work(entry.key.text, what, by, start, stop, seams, where, excerpt(reading.text, entry.key.mark))


def _what(reading: Reading, fields: Fields, key: str, verb: str) -> str | None:
    return read_text(reading, fields[key].value, f"The {key} to {verb}") if key in fields else None


def _by(reading: Reading, fields: Fields, verb: str) -> float | None:
    if "by" not in fields:
        return None
    return read_amount(reading, fields["by"].value, f"By how much to {verb}:", "length", LEAST_BY, MOST_BY)


def _level(reading: Reading, fields: Fields, verb: str, key: str) -> str:
    if key not in fields:
        return ""
    return read_word(reading, fields[key].value, f"Where to {verb} {key}", tuple(LEVELS)) or ""


def _seams(reading: Reading, fields: Fields) -> int:
    if "seams" not in fields:
        return 0
    node = fields["seams"].value
    count = read_amount(reading, node, "The number of seams", "number", 1.0, MOST_SEAMS)
    if count is None or count == int(count):
        return int(count or 0)
    reading.fault(
        "VALUE-WRONG",
        node,
        "Seams are counted in whole numbers.",
        found=shape_of(node).strip("'"),
        expected="1, 2, …",
        remedy="Write for example 'seams: 2'.",
    )
    return 0


def _mind_slips(reading: Reading, node: Node, found: dict[str, Found], work: tuple[Work, ...]) -> None:
    """Fault a name under 'found' that no work has, where it is nearly that of a seam that lacks its entry."""
    lacking = [each.what for each in work if each.by and each.what not in found]
    if not lacking or not isinstance(node, Mapping):
        return
    for entry in node.entries:
        near = "" if entry.key.text in {each.what for each in work} else did_you_mean(entry.key.text, lacking)
        if near:
            reading.fault(
                "KEY-UNKNOWN",
                entry.key,
                f"Nothing is done at the '{_name(entry)}'.",
                found=_name(entry),
                expected=near,
                remedy=f"Did you mean '{near}'?",
            )


def _name(entry: Entry) -> str:
    return plain(entry.key.text)
