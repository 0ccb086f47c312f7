"""The seam and hem constructions this room knows, the stitches they are sewn with, and the nouns they make.

Figures are mm; shares are fractions. Every usual figure is common practice [C] and stands in for one the maker
did not state: a ticket or recipe changes it by stating its own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from onfold.cloth import Cloth

Use = Literal["seam", "hem", "edge"]


@dataclass(frozen=True)
class Stitch:
    """How a row is sewn, and how far it lets an edge stretch: at `most`, and `of_cloth` of the cloth's own."""

    name: str
    most: float
    of_cloth: float
    suits: Literal["any", "knit", "woven"] = "any"


@dataclass(frozen=True)
class Row:
    """A row of stitches: mm from the net line (outwards), mm from the raw edge at which it is sewn, and its stitch.

    Where there is an inlay, that raw edge is the one left once the inlay is cut away. `order` is the row's name in
    the sewing: `first row`, `second row`, `hem row`, `tacking row`.
    """

    order: str
    from_net: float
    from_raw: float
    stitch: str


@dataclass(frozen=True)
class Trim:
    """What is cut away once `after` is sewn: the allowance is trimmed so that `left` mm stand beyond that row."""

    after: str
    left: float
    sides: Literal["both", "one"] = "both"


@dataclass(frozen=True)
class Construction:
    """One kind of seam, hem or edge: where it is used, its usual figure (mm), stitch, and the parts that may be stated.

    `also` are other trade names for it. `thick` is the usual figure in thick cloth, `knit` the usual figure in a knit
    and `knit_stitch` the stitch it is sewn with there; None: the same. `figure_is` says what the figure after the name
    means.
    """

    name: str
    uses: tuple[Use, ...]
    usual: float
    stitch: str
    gist: str
    figure_is: str = "the allowance"
    parts: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    thick: float | None = None
    knit: float | None = None
    knit_stitch: str | None = None


@dataclass(frozen=True)
class Finish:
    """One seam or hem as it is sewn.

    `allowance` is what is cut beyond the net line, `uses` what the rows and turns take up, `inlay` what is cut wider
    for fitting and cut away before sewing: a sound finish has allowance = uses + inlay. `depth` is a hem's finished
    depth. `stated` is false where the usual figure stood in for the maker's.
    `give` is how far the rows let the edge stretch at the utmost (inf: no row holds it), `give_of_cloth` how much
    of the cloth's own stretch they leave: `give_of` puts the two together.
    """

    kind: str
    text: str
    allowance: float
    rows: tuple[Row, ...] = ()
    trims: tuple[Trim, ...] = ()
    turns: tuple[float, ...] = ()
    give: float = math.inf
    give_of_cloth: float = 1.0
    uses: float = 0.0
    depth: float = 0.0
    stitch: str = ""
    stated: bool = True
    inlay: float = 0.0

    @property
    def kept(self) -> float:
        """Return what is left of the allowance, mm, once the inlay is cut away."""
        return max(0.0, self.allowance - self.inlay)


@dataclass(frozen=True)
class FinishFault:
    """Why a finish cannot be read: `column` counts from 1 within its text."""

    message: str
    column: int
    found: str
    expected: str
    remedy: str


# A lockstitched enclosed seam gives 10 to 15 %, an overlock or narrow zigzag nearly all of the cloth's stretch [C].
_STITCHES = (
    Stitch("straight stitch", 0.12, 1.0),
    Stitch("narrow zigzag", math.inf, 0.90),
    Stitch("overlock", math.inf, 0.95, "knit"),
    Stitch("twin needle", math.inf, 0.85, "knit"),
    Stitch("catch stitch", math.inf, 0.95),
    Stitch("slip stitch", 0.12, 1.0, "woven"),
)
STITCHES: Mapping[str, Stitch] = {stitch.name: stitch for stitch in _STITCHES}

_CONSTRUCTIONS = (
    Construction(
        "plain",
        ("seam", "edge"),
        15.0,
        "straight stitch",
        "one row on the net line, the allowances pressed open",
        also=("plain seam", "open", "pressed open"),
    ),
    Construction(
        "french",
        ("seam",),
        10.0,
        "straight stitch",
        "two rows, the raw edges enclosed between them",
        figure_is="the whole allowance, both rows together",
        parts=("first row", "second row", "trim"),
        also=("enclosed", "french seam"),
        thick=15.0,
    ),
    Construction(
        "overlocked",
        ("seam", "edge"),
        10.0,
        "overlock",
        "sewn and neatened in one by the overlocker",
        parts=("trim",),
        also=("overlock seam", "overlocked seam"),
    ),
    Construction(
        "narrow zigzag",
        ("seam", "edge"),
        8.0,
        "narrow zigzag",
        "one narrow zigzag on the net line, the allowances trimmed together",
        parts=("trim",),
        also=("zigzag", "narrow zigzag seam"),
    ),
    Construction(
        "felled",
        ("seam",),
        15.0,
        "straight stitch",
        "one allowance trimmed, the other folded over it and stitched down flat",
        figure_is="the whole allowance",
        parts=("second row", "trim"),
        also=("flat felled", "flat-felled", "felled seam"),
    ),
    Construction(
        "bound",
        ("seam", "edge"),
        15.0,
        "straight stitch",
        "one row on the net line, each raw edge bound with a strip",
        parts=("binding",),
        also=("bound seam",),
    ),
    Construction(
        "lapped zip",
        ("seam", "edge"),
        20.0,
        "straight stitch",
        "one side lapped over the zip, the other stitched close to its teeth",
        parts=("lap", "underlap"),
        also=("zip", "lapped zipper"),
    ),
    Construction(
        "folded facing",
        ("edge",),
        0.0,
        "",
        "cut in one with its piece and folded back, no row along the fold",
        figure_is="the depth of the facing turned in from the allowance; none when it is cut in one",
        also=("facing cut in one", "facing"),
    ),
    Construction(
        "double turned",
        ("hem", "edge"),
        10.0,
        "straight stitch",
        "turned twice, the raw edge inside",
        figure_is="the finished depth; the first turn is added",
        parts=("first turn",),
        also=("turned twice", "double turned hem"),
    ),
    Construction(
        "single turned",
        ("hem", "edge"),
        40.0,
        "catch stitch",
        "turned once, the raw edge neatened",
        figure_is="the finished depth",
        parts=("edge",),
        also=("turned once", "single turned hem"),
        knit=20.0,
        knit_stitch="twin needle",
    ),
    Construction("raw", ("edge",), 0.0, "", "left as it was cut", also=("raw edge", "unfinished")),
)
CONSTRUCTIONS: Mapping[str, Construction] = {each.name: each for each in _CONSTRUCTIONS}
NAMES: Mapping[str, str] = {
    said: each.name for each in _CONSTRUCTIONS for said in (each.name, *each.also)
}  # every trade name to the kind it means

PARTS: Mapping[str, str] = {
    "first row": "first row",
    "first": "first row",
    "second row": "second row",
    "second": "second row",
    "first turn": "first turn",
    "trim": "trim",
    "trim to": "trim",
    "trimmed to": "trim",
    "edge": "edge",
    "turned under": "edge",
    "lap": "lap",
    "underlap": "underlap",
    "binding": "binding",
    "inlay": "inlay",
    "inlay of": "inlay",
    "allowance": "allowance",
}  # every way to say a part to the part it means

THICK_FROM = 0.5  # mm of thickness from which an enclosed seam wants its wider figure [C]
FIRST_ROW_SHARE = 0.6  # of an enclosed seam's allowance: 3/8 in of 5/8 in, 6 mm of 10 mm [C]
USUAL_TRIM = 3.0  # mm left of an enclosed seam after its first row: 1/8 in [C]
ZIP_LAP = 10.0  # mm from the opening's line to the row of a lapped zip [C]
ZIP_UNDERLAP = 3.0  # mm the under side stands out past the opening's line [C]
BINDING = 6.0  # mm of finished binding: a 25 mm strip sewn at 6 mm [C]
USUAL_INLAY = 25.0  # mm left beyond the allowance for fitting: 2 to 3 cm [C]
WIDEST_INLAY = 80.0  # mm: more than that is lifted and weighed by the next seam, and cloth thrown away [C]
NO_INLAY = frozenset({"folded facing"})  # constructions, beside the hems, that are no wider for fitting
MOST_SEAM = 100.0  # mm: no seam is allowed more, inlay aside [C]
MOST = 500.0  # mm: no allowance, hem or facing of a garment is deeper, so a larger figure is a slip


def takes_inlay(construction: Construction) -> bool:
    """Return whether a construction may be cut wider for fitting: seams and edges; a hem is let down from its depth."""
    return "hem" not in construction.uses and construction.name not in NO_INLAY


def usual_figure(construction: Construction, cloth: Cloth | None) -> float:
    """Return the figure (mm) taken where none is stated: by the cloth's kind and thickness where it is known."""
    if cloth is None:
        return construction.usual
    if cloth.kind == "knit" and construction.knit is not None:
        return construction.knit
    if cloth.thickness > THICK_FROM and construction.thick is not None:
        return construction.thick
    return construction.usual


def usual_stitch(construction: Construction, cloth: Cloth | None) -> str:
    """Return the stitch taken where none is stated."""
    if cloth is not None and cloth.kind == "knit" and construction.knit_stitch is not None:
        return construction.knit_stitch
    return construction.stitch
