"""The page of a hang: four views at one scale, a close look at the neck, the tape lines' words and what is to be said.

The page is as wide as a screen shows it whole, and as high as it needs. Places are points of the picture, 144 to the
inch, counted from the upper left.
"""

from __future__ import annotations

import base64
import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from importlib.resources import files
from typing import Any

import numpy as np

from onfold.hang import stills
from onfold.hang.refined import FORM
from onfold.hang.scene import Floats, Scene
from onfold.hang.stills import CLOSE, VIEWS, Picture, Prepared, Seen, Window
from onfold.lettering import wrapped
from onfold.units import UNITS, System, say_length
from onfold.writers.png import picture_to_png
from onfold.writers.typeset import cleaned, set_png

DPI = 144.0
WIDE = 1504.0
"""Points within the page's margins."""
WORDS_WIDE = 236.0
"""Points across the column of the tape lines' words."""
_TALLEST = 900.0
_APART = 26.0
_CLOSE_WIDE, _CLOSE_HIGH = 560.0, 500.0
_CAPITAL, _LEAD, _BETWEEN = 13.5, 26.0, 12.0
"""Points: the height of a word's capitals, from line to line, and between the words of two tape lines."""
_CAPTIONS = {"front": "front", "three-quarter": "three-quarter", "side": "left side", "back": "back"}
_BARS: dict[System, tuple[float, ...]] = {
    "cm": (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0),
    "in": tuple(UNITS["in"] * each for each in (0.125, 0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 12.0, 24.0, 36.0, 72.0)),
}
_BAR = 170.0
"""Points that a scale bar takes at most."""


@dataclass(frozen=True)
class Told:
    """Sentences under a heading."""

    heading: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class PageWords:
    """What the page says beside its pictures. `told` stands under them in its order; `verdict` before all of it."""

    title: str
    wearer: str = ""
    cloth: str = ""
    date: str = ""
    units: System = "cm"
    told: tuple[Told, ...] = ()
    verdict: str = "An estimate: a toile decides."


@dataclass(frozen=True)
class Label:
    """The words of a tape line, broken into lines: `top` of the first, and the point they lead to, None for none."""

    lines: tuple[str, ...]
    top: float
    to: tuple[float, float] | None

    @property
    def bottom(self) -> float:
        """Return where the last line ends."""
        return self.top + len(self.lines) * _LEAD


@dataclass(frozen=True)
class Table:
    """What two hangs answer side by side: `heads` of the three columns, `rows` of what is asked and both answers."""

    heads: tuple[str, str, str]
    rows: tuple[tuple[str, str, str], ...]


def page(scene: Scene, words: PageWords) -> bytes:
    """Return the page of one hang as a PNG picture, 1600 points wide.

    Equal scenes and words give equal bytes. Characters without a printed form are replaced and named at the foot.
    """
    return pages([(scene, words)])


def pages(hangs: Sequence[tuple[Scene, PageWords]], table: Table | None = None) -> bytes:
    """Return the hangs under one another, each at a scale of its own, as one picture; `table` stands below them."""
    lost: set[str] = set()
    content: dict[str, Any] = {"sheets": [_sheet(scene, words, lost) for scene, words in hangs]}
    content["table"] = None if table is None else cleaned(asdict(table), lost)
    content["lost"] = ", ".join(sorted(f"U+{ord(char):04X}" for char in lost))
    return set_png("hang", (files("onfold.hang") / "hang.typ").read_bytes(), content, DPI)


def _sheet(scene: Scene, words: PageWords, lost: set[str]) -> dict[str, Any]:
    prepared = stills.prepare(scene)
    shown, labels = _views(prepared)
    close, close_scale = _close(prepared)
    content: dict[str, Any] = cleaned(asdict(words), lost)
    content["units"] = "inches" if words.units == "in" else "cm and mm"
    content["columns"] = _two_columns(content.pop("told"))
    content["labels"] = [cleaned(asdict(each), lost) for each in labels]
    content["lead"], content["words_wide"] = _LEAD, WORDS_WIDE
    content["views"] = [
        {**_held(seen.picture), "x": x, "caption": _CAPTIONS[view.name]}
        for view, (x, seen, _) in zip(VIEWS, shown, strict=True)
    ]
    content["high"] = max([float(shown[0][1].picture.shape[0]), *(label.bottom for label in labels)])
    content["bar"] = _bar(shown[0][2], words.units)
    content["close"] = None if close is None else {**_held(close), "bar": _bar(close_scale, words.units)}
    necked = any(line.kind == "neck edge" for line in prepared.lines)
    content["close_said"] = "the neck" if necked else "the upper edge"
    return content


def _views(prepared: Prepared) -> tuple[list[tuple[float, Seen, float]], list[Label]]:
    """Return (left edge, still, points for each mm) of the views side by side, and the words at their left."""
    reaches = [stills.reach(prepared, view) for view in VIEWS]
    low, high = min(each.low for each in reaches), max(each.high for each in reaches)
    across = sum(each.right - each.left for each in reaches)
    room = WIDE - WORDS_WIDE - _APART * len(VIEWS)
    scale = min(room / across, _TALLEST / (high - low))
    windows = [Window(each.left, low, each.right, high) for each in reaches]
    seen = [stills.draw(prepared, view, window, scale) for view, window in zip(VIEWS, windows, strict=True)]
    spare = (WIDE - WORDS_WIDE - sum(each.picture.shape[1] for each in seen)) / len(VIEWS)
    shown, x = [], WORDS_WIDE
    for each in seen:
        x += spare
        shown.append((float(math.floor(x)), each, scale))
        x += each.picture.shape[1]
    said = [line.words for line in prepared.lines]
    ends = {row: (shown[0][0] + column, down) for row, column, down in seen[0].ends}
    wanted = [
        (said[row], ends.get(row)) for row, line in enumerate(prepared.lines) if line.kind == "tape" and line.words
    ]
    return shown, lay_out(wanted)


def lay_out(words: Sequence[tuple[str, tuple[float, float] | None]]) -> list[Label]:
    """Return the words one under another, each beside the point it leads to or as little below it as has room.

    Words that lead nowhere stand last.
    """
    labels: list[Label] = []
    free = 0.0
    for said, to in sorted(words, key=lambda each: (each[1] is None, each[1][1] if each[1] else 0.0)):
        lines = tuple(wrapped(said, WORDS_WIDE - 8.0, _CAPITAL)) or ("",)
        wanted = to[1] - _LEAD / 2.0 if to else free
        labels.append(Label(lines, max(free, wanted), to))
        free = labels[-1].bottom + _BETWEEN
    return labels


def _close(prepared: Prepared) -> tuple[Picture | None, float]:
    """Return the neck looked at from near, and its points for each mm; None where there is no cloth."""
    cloth = prepared.mesh.faces[prepared.mesh.kinds != FORM]
    if not len(cloth):
        return None, 1.0
    turned = stills.sight(CLOSE)[:2].T
    seen = prepared.mesh.points[np.unique(cloth)] @ turned
    necks = [np.asarray(line.points) @ turned for line in prepared.lines if line.kind == "neck edge"]
    window = _round_neck(np.concatenate(necks) if necks else _uppermost(seen), seen)
    scale = min(_CLOSE_WIDE / (window.right - window.left), _CLOSE_HIGH / (window.high - window.low))
    spare = (_CLOSE_WIDE / scale - (window.right - window.left)) / 2.0
    wide = replace(window, left=window.left - spare, right=window.right + spare)
    return stills.draw(prepared, CLOSE, wide, scale).picture, scale


def _uppermost(seen: Floats) -> Floats:
    low, high = seen[:, 1].min(), seen[:, 1].max()
    top: Floats = seen[seen[:, 1] >= high - 0.1 * (high - low)]
    return top


def _round_neck(neck: Floats, cloth: Floats) -> Window:
    """Return the window round a neck edge (n, 2): a little above it, and as far below it as folds hang from it."""
    (left, low), (right, high) = neck.min(axis=0), neck.max(axis=0)
    across = max(float(right - left), 1.0)
    floor = max(float(cloth[:, 1].min()), float(low) - 0.55 * across)
    beside, above = 0.12 * across, 0.10 * across
    return Window(
        float(left) - beside, min(floor, float(low) - 0.1 * across), float(right) + beside, float(high) + above
    )


def _held(picture: Picture) -> dict[str, Any]:
    """Return a picture as the template takes it: an SVG around its PNG, so that it goes in as text, point for point."""
    height, width = picture.shape[:2]
    data = base64.b64encode(picture_to_png(picture, DPI)).decode("ascii")
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" viewBox="0 0 {width} {height}">'
        f'<image width="{width}" height="{height}" href="data:image/png;base64,{data}"/></svg>'
    )
    return {"svg": svg, "wide": width, "high": height}


def _bar(scale: float, units: System) -> dict[str, Any]:
    """Return the longest round length that a scale bar has room for: its points, how many parts, and its words."""
    lengths = _BARS[units]
    length = max((each for each in lengths if each * scale <= _BAR), default=lengths[0])
    said = say_length(length, units)
    parts = 5 if units == "cm" else 4
    return {"wide": length * scale, "parts": parts, "said": said}


def _two_columns(told: Sequence[Any]) -> list[list[Any]]:
    """Return the groups in their order, parted where the two columns are most nearly of one height."""
    heights = [2 + sum(1 + len(said) // 46 for said in each["lines"]) for each in told]
    cuts = range(len(told) + 1)
    at = min(cuts, key=lambda cut: (max(sum(heights[:cut]), sum(heights[cut:])), -cut))
    return [list(told[:at]), list(told[at:])]
