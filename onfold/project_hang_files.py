"""The files of a hang: `hang.json`, `hang.png` and `hang.glb`, of one garment or of two beside one another."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from onfold.hang.answers import hang_json
from onfold.hang.dressed import meshes_of, scene_of
from onfold.hang.page import PageWords, Table, pages
from onfold.hang.scene import Scene
from onfold.hang.telling import say_cowl, say_sits, side_by_side, tapes_of, words_of
from onfold.project_hang import HungGarment
from onfold.writers.gltf import glb
from onfold.writers.pattern_json import problem_data

ASIDE = 800.0
"""mm between two garments in one `hang.glb`."""


def hang_files(
    hangs: Sequence[HungGarment], asked: Mapping[str, Any] | None = None, said: tuple[str, ...] = ()
) -> dict[str, bytes]:
    """Return the files by name. `asked` is what the maker asked for, as data; `said` the same in sentences.

    Of two garments `hang.json` has the first one's answers, and the other's under `compared`.
    """
    data = hang_data(hangs[0])
    data["asked"] = dict(asked or {})
    if len(hangs) > 1:
        data["compared"] = hang_data(hangs[1])
    sheets = [_sheet(each, said if n == 0 else ()) for n, each in enumerate(hangs)]
    meshes = [mesh for n, each in enumerate(hangs) for mesh in meshes_of(each.hung, n * ASIDE, _named(hangs, n))]
    return {
        "hang.json": (json.dumps(data, ensure_ascii=False, indent=1) + "\n").encode(),
        "hang.png": pages(sheets, table_of(hangs)),
        "hang.glb": glb(meshes),
    }


def _named(hangs: Sequence[HungGarment], number: int) -> str:
    return "" if len(hangs) == 1 else f"{number + 1} "


def _sheet(found: HungGarment, said: tuple[str, ...]) -> tuple[Scene, PageWords]:
    tapes = tapes_of(found.answers, found.hung.form.girths, found.units)
    return scene_of(found.hung, found.pattern, tapes), words_of(found.answers, found.ends, found.card, said)


def table_of(hangs: Sequence[HungGarment]) -> Table | None:
    """Return what two hangs answer side by side; None for one."""
    if len(hangs) < 2:
        return None
    one, two = hangs[0], hangs[1]
    titles = one.card.title, two.card.title
    heads = titles if titles[0] != titles[1] else (one.stand.garment.path.name, two.stand.garment.path.name)
    return side_by_side(heads, one.answers, two.answers, (one.ends, two.ends), one.units)


def hang_data(found: HungGarment) -> dict[str, Any]:
    """Return one garment's answers as `hang.json` has them, with the range of its fall and its problems."""
    data = hang_json(found.answers)
    fall, ends = found.answers.fall, found.ends
    told: dict[str, Any] | None = None
    if fall is not None and ends is not None:
        low, high = ends.around(fall)
        told = {
            "least": round(low, 1),
            "most": round(high, 1),
            "limp": round(ends.limp, 1),
            "stiff": round(ends.stiff, 1),
            "quick": ends.quick,
        }
    card = found.card
    head = {"ticket": card.title, "wearer": card.wearer, "cloth": card.cloth, "date": card.date}
    problems = [problem_data(each) for each in found.problems]
    return {**data, **head, "fall_range": told, "strained": list(found.hung.form.strained), "problems": problems}


def said_of(hangs: Sequence[HungGarment]) -> list[str]:
    """Return what a hang answers, in sentences for the terminal; of two, the table's rows."""
    table = table_of(hangs)
    if table is not None:
        rows = [f"{what}: {first or 'none'} / {second or 'none'}." for what, first, second in table.rows]
        return [f"{table.heads[1]} / {table.heads[2]}:", *rows, "Estimates: a toile decides."]
    (found,) = hangs
    return [
        *say_cowl(found.answers, found.ends, found.units),
        *say_sits(found.answers, found.units),
        "An estimate: a toile decides.",
    ]
