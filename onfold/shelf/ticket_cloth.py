"""The cloth of a ticket, read from its fields."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar, cast

from onfold import cloth as cloths
from onfold.cloth import Cloth, ClothKind, Flaw, Hung, Nap
from onfold.recipe.fields import (
    Fields,
    Reading,
    read_amount,
    read_entries,
    read_fields,
    read_items,
    read_number,
    read_text,
    read_word,
    read_yes,
    say_words,
)
from onfold.recipe.yaml_nodes import Node, Scalar
from onfold.units import Kind, plain, say_length, say_share

CLOTH_KEYS = (
    "name",
    "kind",
    "width",
    "selvage",
    "stretch",
    "recovery",
    "nap",
    "surface",
    "fibre",
    "washed first",
    "repeat",
    "weight",
    "thickness",
    "shrinkage",
    "price",
    "at hand",
    "flaws",
    "bending length",
    "hung",
)
REQUIRED = ("kind", "width")
BOTH_WAYS = ("across", "along")

# The least and the most (mm, fractions, g/m2) that any cloth has: beyond them stands a slip, not a cloth.
LIMITS: dict[str, tuple[Kind, float, float]] = {
    "width": ("length", 50.0, 10_000.0),
    "selvage": ("length", 0.0, 300.0),
    "stretch": ("share", 0.0, 4.0),
    "recovery": ("share", 0.0, 1.0),
    "repeat": ("length", 0.0, 5_000.0),
    "weight": ("weight", 5.0, 3_000.0),
    "thickness": ("length", 0.02, 50.0),
    "shrinkage": ("share", 0.0, 0.5),
    "at hand": ("length", 50.0, 500_000.0),
    "bending length": ("length", 2.0, 120.0),
    "fall": ("length", 1.0, 3_000.0),
}
HUNG_KEYS = ("fall", "reckoned", "bending length")
HUNG_REQUIRED = ("fall", "reckoned")
FLAW_KEYS = ("along", "across", "long", "wide")
WAYS_EXAMPLES = {"bending length": "{along: 18 mm, across: 15 mm}, or 18 mm for both"}
FLAW_MOST = 500_000.0
FIBRE_SLACK = 0.005  # by which the shares of the fibres may pass 100 %, for rounding

T = TypeVar("T")


def read_cloth(reading: Reading, node: Node) -> Cloth | None:
    """Return the cloth, or None where its kind or width cannot be told; its problems go to `reading`."""
    fields = read_fields(reading, node, "The cloth", CLOTH_KEYS, REQUIRED, "'cloth:' with kind and width below it")
    if fields is None:
        return None
    kind = _read(fields, "kind", lambda value: read_word(reading, value, "The kind of cloth", cloths.KINDS))
    width = _amount(reading, fields, "width")
    stretch = _both_ways(reading, fields, "stretch")
    repeat = _both_ways(reading, fields, "repeat")
    shrinkage = _both_ways(reading, fields, "shrinkage")
    bending = _one_or_both_ways(reading, fields, "bending length")
    read = {
        "name": _read(fields, "name", lambda value: read_text(reading, value, "The name of the cloth")),
        "selvage": _amount(reading, fields, "selvage"),
        "recovery": _amount(reading, fields, "recovery"),
        "nap": _read(fields, "nap", lambda value: read_word(reading, value, "The nap", cloths.NAPS)),
        "surface": _read(fields, "surface", lambda value: _surface(reading, value)),
        "fibre": _read(fields, "fibre", lambda value: _fibre(reading, value)),
        "washed first": _read(fields, "washed first", lambda value: read_yes(reading, value, "'washed first'")),
        "weight": _amount(reading, fields, "weight"),
        "thickness": _amount(reading, fields, "thickness"),
        "price": _read(fields, "price", lambda value: read_number(reading, value, "The price of the cloth")),
        "at hand": _amount(reading, fields, "at hand"),
        "flaws": _read(fields, "flaws", lambda value: _flaws(reading, value)),
        "hung": _read(fields, "hung", lambda value: _hung(reading, value)),
    }
    if kind is None or width is None:
        return None
    cloth = cloths.settle(
        cast(ClothKind, kind),
        width,
        name=cast(str, read["name"] or ""),
        selvage=cast("float | None", read["selvage"]),
        stretch_across=stretch.get("across"),
        stretch_along=stretch.get("along"),
        recovery=cast("float | None", read["recovery"]),
        nap=cast(Nap, read["nap"] or "none"),
        surface=cast("tuple[str, ...]", read["surface"] or ()),
        fibre=cast("tuple[tuple[str, float], ...]", read["fibre"] or ()),
        washed_first=bool(read["washed first"]),
        repeat_along=repeat.get("along", 0.0),
        repeat_across=repeat.get("across", 0.0),
        weight=cast("float | None", read["weight"]),
        thickness=cast("float | None", read["thickness"]),
        shrinkage_along=shrinkage.get("along"),
        shrinkage_across=shrinkage.get("across"),
        price=cast("float | None", read["price"]),
        at_hand=cast("float | None", read["at hand"]),
        flaws=cast("tuple[Flaw, ...]", read["flaws"] or ()),
        bending_along=bending.get("along"),
        bending_across=bending.get("across"),
        hung=cast("Hung | None", read["hung"]),
    )
    _ask(reading, fields, cloth)
    return cloth


def read_other_cloths(reading: Reading, node: Node) -> dict[str, Cloth]:
    """Return the cloths of further materials by the material's name; their problems go to `reading`."""
    entries = read_entries(reading, node, "The other cloths", "{lining: {kind: woven, width: 140 cm}}") or ()
    read = [(plain(entry.key.text), read_cloth(reading, entry.value)) for entry in entries]
    return {name: cloth for name, cloth in read if cloth is not None}


def _read(fields: Fields, key: str, read: Callable[[Node], T | None]) -> T | None:
    return read(fields[key].value) if key in fields else None


def _amount(reading: Reading, fields: Fields, key: str) -> float | None:
    kind, least, most = LIMITS[key]
    return _read(fields, key, lambda value: read_amount(reading, value, f"The cloth's {key}", kind, least, most))


def _both_ways(reading: Reading, fields: Fields, key: str) -> dict[str, float]:
    """Return what is stated of `across` and `along`, in mm or fractions."""
    if key not in fields:
        return {}
    kind, least, most = LIMITS[key]
    usual = "{across: 50 %, along: 20 %}" if kind == "share" else "{across: 0 cm, along: 0 cm}"
    example = WAYS_EXAMPLES.get(key, usual)
    ways = read_fields(reading, fields[key].value, f"The cloth's {key}", BOTH_WAYS, example=example) or {}
    read = {
        way: read_amount(reading, entry.value, f"The cloth's {key} {way}", kind, least, most)
        for way, entry in ways.items()
    }
    return {way: value for way, value in read.items() if value is not None}


def _one_or_both_ways(reading: Reading, fields: Fields, key: str) -> dict[str, float]:
    """Return what is stated of `across` and `along`; one length alone holds both ways."""
    if key not in fields or not isinstance(fields[key].value, Scalar):
        return _both_ways(reading, fields, key)
    single = _amount(reading, fields, key)
    return {} if single is None else dict.fromkeys(BOTH_WAYS, single)


def limits_of(key: str) -> tuple[Kind, float, float]:
    """Return kind, least and most of a field of `hung`: a fall reckoned has those of a fall seen."""
    return LIMITS["fall" if key == "reckoned" else key]


def _hung(reading: Reading, node: Node) -> Hung | None:
    example = "{fall: 132 mm, reckoned: 121 mm}"
    fields = read_fields(reading, node, "The cloth's 'hung'", HUNG_KEYS, HUNG_REQUIRED, example) or {}
    read = {
        key: read_amount(reading, entry.value, f"The hung garment's '{key}'", *limits_of(key))
        for key, entry in fields.items()
    }
    fall, reckoned = read.get("fall"), read.get("reckoned")
    return None if fall is None or reckoned is None else Hung(fall, reckoned, read.get("bending length"))


def _flaws(reading: Reading, node: Node) -> tuple[Flaw, ...]:
    example = "[{along: 40 cm, across: 12 cm, long: 6 cm, wide: 4 cm}]"
    found = []
    for item in read_items(reading, node, "The cloth's flaws", f"a list: {example}"):
        fields = read_fields(reading, item, "A flaw", FLAW_KEYS, FLAW_KEYS, example[1:-1])
        if fields is None:
            continue
        sizes = {
            key: read_amount(reading, entry.value, f"A flaw's '{key}'", "length", 0.0, FLAW_MOST)
            for key, entry in fields.items()
        }
        along, across, long, wide = (sizes.get(key) for key in FLAW_KEYS)
        if along is not None and across is not None and long is not None and wide is not None:
            found.append(Flaw(along, across, long, wide))
    return tuple(found)


def _surface(reading: Reading, node: Node) -> tuple[str, ...]:
    items = read_items(reading, node, "The cloth's surface", f"a list of any of {say_words(cloths.SURFACES)}: [pile]")
    words = [read_word(reading, item, "The cloth's surface", cloths.SURFACES) for item in items]
    return tuple(dict.fromkeys(word for word in words if word))


def _fibre(reading: Reading, node: Node) -> tuple[tuple[str, float], ...]:
    entries = read_entries(reading, node, "The cloth's fibre", "{wool: 80 %, polyamide: 20 %}") or ()
    read = [
        (entry.key.text, read_amount(reading, entry.value, f"The share of {plain(entry.key.text)}", "share", 0.0, 1.0))
        for entry in entries
    ]
    shares = tuple((plain(name), share) for name, share in read if share is not None)
    total = sum(share for _, share in shares)
    if total > 1.0 + FIBRE_SLACK:
        reading.fault(
            "VALUE-RANGE",
            node,
            f"The fibres add up to {say_share(total)}.",
            found=say_share(total),
            expected="at most 100 %",
            remedy="Copy the shares from the label.",
        )
    return shares


def _ask(reading: Reading, fields: Fields, cloth: Cloth) -> None:
    """Note what the figures say together: selvages that leave no cloth, and a knit whose stretch is not given."""
    if "selvage" in fields and cloths.usable_width(cloth) <= 0.0:
        reading.fault(
            "VALUE-RANGE",
            fields["selvage"].value,
            f"Two selvages of {say_length(cloth.selvage, reading.units)} leave nothing of the cloth.",
            found=say_length(cloth.selvage, reading.units),
            expected=f"less than half of {say_length(cloth.width, reading.units)}",
            remedy="Correct the selvage or the width.",
        )
    if cloth.kind == "knit" and not cloth.stretch_given and "stretch" not in fields:
        reading.fault(
            "STRETCH-UNKNOWN",
            fields["kind"].value,
            "The stretch of this knit is not given, so it is drafted as if it had none. Hold a relaxed 10 cm at its "
            "comfortable most: 15 cm is 50 %.",
            found="no stretch",
            expected="the stretch across and along",
            remedy="Write cloth: {stretch: {across: 50 %, along: 20 %}}, with your figures.",
        )
