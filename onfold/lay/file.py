"""`lay.json`, format `onfold lay 1`: a lay as plain numbers for other programs, and read back to be kept as it is.

x along the cloth, y across it, in the cloth as it lies after shrinking, mm to four places, rounded here and nowhere
before. Each ring is congruent to its piece's cut line, or to that line joined to its mirror where `on_fold` is false.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from typing import Any, TypeGuard

import numpy as np

from onfold.cloth import Cloth
from onfold.lay.bed import Bed
from onfold.lay.buy import Buy
from onfold.lay.part import Part, Ring
from onfold.lay.placed import Lay, Placed
from onfold.lay.rest import Rest
from onfold.lay.words import CAUTION_LINES

FORMAT = "onfold lay 1"
PLACES = 4
FARTHEST = 1e7
"""mm beyond which no cloth reaches."""
_SAME_WAY = 1e-6


def lay_data(lay: Lay, buy: Buy | None, cloth: Cloth, material: str, rests: Sequence[Rest]) -> dict[str, Any]:
    """Return a lay as plain lists and dicts; where nothing is bought for it, what belongs to buying is null."""
    bed = lay.bed
    return {
        "format": FORMAT,
        "unit": "mm",
        "material": material,
        "cloth": {
            "name": cloth.name,
            "width": _number(bed.width),
            "usable": [_number(bed.bands[0].low), _number(bed.bands[-1].high)],
            "bands": [[_number(band.low), _number(band.high)] for band in bed.bands],
            "fold": bed.fold,
            "layers": bed.layers,
            "upward": bed.upward,
            "turned": bed.turned,
            "nap": cloth.nap,
            "one_way": bed.one_way,
            "repeat": {"along": _number(cloth.repeat_along), "across": _number(cloth.repeat_across)},
            "shrinkage": {"along": cloth.shrinkage_along, "across": cloth.shrinkage_across},
            "kept_off": [_ring(each) for each in lay.kept_off],
        },
        "length": _number(lay.length),
        "lies": _number(lay.lies),
        "before_shrinking": None if buy is None else _number(buy.before),
        "buy": None if buy is None else _number(buy.buy),
        "step": None if buy is None else _number(buy.step),
        "reserve": None if buy is None else {"squaring": _number(buy.squaring), "shrinkage": _number(buy.unsure)},
        "at_hand": None if buy is None or buy.have is None else _number(buy.have),
        "cost": None if buy is None or buy.cost is None else round(buy.cost, 2),
        "density": round(lay.density, 6),
        "found": {
            "how": lay.how,
            "seed": lay.seed,
            "trials": lay.trials,
            "input": digest(bed, parts_of(lay), lay.kept_off),
        },
        "cautions": list(CAUTION_LINES),
        "placements": [_placement(each, ring) for each, ring in zip(lay.placed, lay.rings, strict=True)],
        "left": [
            {"at": [_number(r.x), _number(r.y)], "length": r.length, "width": r.width, "layers": r.layers}
            for r in rests
        ],
    }


def parts_of(lay: Lay) -> list[Part]:
    """Return what a lay holds."""
    return [each.part for each in lay.placed]


def digest(bed: Bed, parts: Sequence[Part], kept_off: Sequence[Ring] = ()) -> str:
    """Return a mark of all that a lay is sought for: the bed, every part with its ring and ways, the flaws."""
    mark = hashlib.blake2b(repr(bed).encode(), digest_size=12)
    for flaw in kept_off:
        mark.update(np.round(flaw, PLACES).tobytes())
    for part in sorted(parts, key=lambda each: (each.whose, each.piece, each.copy)):
        mark.update(repr((part.whose, part.piece, part.copy, part.on_fold, part.gives, part.layers)).encode())
        mark.update(repr([(way.face, way.turn, round(way.spin, 6)) for way in part.ways]).encode())
        mark.update((np.round(part.ring, PLACES) + 0.0).tobytes())
    return mark.hexdigest()


def rows_mark(data: Mapping[str, Any]) -> str:
    """Return a mark of what a lay's file tells beside the lay: rows changed by hand are not taken for ours."""
    return digest_text(json.dumps([data.get(name) for name in ("folds", "widths", "together")], sort_keys=True))


def digest_text(text: str) -> str:
    """Return a mark of a text."""
    return hashlib.blake2b(text.encode(), digest_size=12).hexdigest()


def _placement(each: Placed, ring: Ring) -> dict[str, Any]:
    part, way = each.part, each.way
    return {
        **({"whose": part.whose} if part.whose else {}),
        "piece": part.piece,
        "copy": part.copy,
        "face": way.face,
        "turn": _number(way.turn),
        "top": [_number(x) for x in way.top],
        "on_fold": part.on_fold,
        "gives": part.gives,
        "layers": part.layers,
        "band": each.band,
        "at": [each.x, each.y],
        "ring": _ring(ring),
    }


def read_back(data: object, bed: Bed, parts: Sequence[Part], kept_off: Sequence[Ring] = ()) -> Lay | None:
    """Return the lay in the data of an earlier `lay.json`, where that was found for these very parts on this bed.

    None for anything else. What is returned is still to be judged.
    """
    if not isinstance(data, dict) or data.get("format") != FORMAT or not isinstance(data.get("found"), dict):
        return None
    found, rows = data["found"], data.get("placements")
    if found.get("input") != digest(bed, parts, kept_off) or not isinstance(rows, list):
        return None
    own = {(part.whose, part.piece, part.copy): part for part in parts}
    placed = [_read_placement(row, own) for row in rows]
    if any(each is None for each in placed):
        return None
    seed, trials = found.get("seed"), found.get("trials")
    return Lay(
        bed,
        tuple(each for each in placed if each is not None),
        tuple(kept_off),
        None,
        str(found.get("how", "")),
        seed if isinstance(seed, int) else 0,
        trials if isinstance(trials, int) else 0,
    )


def _read_placement(row: object, own: Mapping[tuple[str, str, int], Part]) -> Placed | None:
    if not isinstance(row, dict):
        return None
    whose, piece, copy = row.get("whose", ""), row.get("piece"), row.get("copy")
    if not (isinstance(whose, str) and isinstance(piece, str) and isinstance(copy, int)):
        return None
    part, at, turn, band = own.get((whose, piece, copy)), row.get("at"), row.get("turn"), row.get("band")
    if part is None or not _is_pair(at) or not _is_plain(turn) or not isinstance(band, int):
        return None
    ways = [way for way in part.ways if way.face == row.get("face") and abs(way.turn - turn) < _SAME_WAY]
    assert isinstance(at, list)
    return Placed(part, ways[0], float(at[0]), float(at[1]), band) if ways else None


def _is_pair(at: object) -> bool:
    return isinstance(at, list) and len(at) == 2 and all(map(_is_plain, at))


def _is_plain(value: object) -> TypeGuard[float]:
    """Return whether a value is a number of the size of cloth."""
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < FARTHEST


def _ring(ring: Ring) -> list[list[float]]:
    return [[x, y] for x, y in (np.round(ring, PLACES) + 0.0).tolist()]


def _number(value: float) -> float:
    return round(float(value), PLACES) + 0.0
