"""What this machine can do: each part is used once for a trifle, so that `ready` says what works, not what is there."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any

OLDEST = (3, 11)
HANGS = "Hangs"
"""The one part that is added on purpose."""


class _NotAdded(RuntimeError):
    """A part that is added on purpose and isn't here. Raised and caught in this module; it says how to add it."""


def readiness() -> list[dict[str, Any]]:
    """Return {what, ready, needed, detail} of each part; `detail` says what it is for, or what fails and what to do.

    What is not `needed` may be left out: everything else works without it.
    """
    return [_tried(what, use, purpose) for what, use, purpose in _PARTS]


def _tried(what: str, use: Callable[[], str], purpose: str) -> dict[str, Any]:
    """Return how a part's trial went. What fails here is a part that is absent, damaged or lacks its library."""
    try:
        found = use()
    except _NotAdded as absent:
        return {"what": what, "ready": False, "needed": False, "detail": f"{purpose} is not added yet: {absent}"}
    except (ImportError, OSError, RuntimeError, ValueError, KeyError, AttributeError) as error:
        reason = str(error).strip().splitlines()
        said = f"{purpose} does not work here: {reason[0] if reason else type(error).__name__}. Install Onfold again."
        return {"what": what, "ready": False, "needed": True, "detail": said}
    return {"what": what, "ready": True, "needed": what != HANGS, "detail": f"{purpose}: {found}"}


def _python() -> str:
    version = sys.version_info
    if version[:2] < OLDEST:
        raise RuntimeError(f"Python {version[0]}.{version[1]} is older than {OLDEST[0]}.{OLDEST[1]}")
    return f"{version[0]}.{version[1]}.{version[2]}"


def _yaml() -> str:
    import yaml

    from onfold.recipe.yaml_nodes import compose

    node, problems = compose("ticket: trial\n")
    if node is None or problems:
        raise RuntimeError("a line of YAML was not read back")
    return f"PyYAML {yaml.__version__} with its C reader"


def _numbers() -> str:
    import numpy
    import scipy
    import shapely

    from onfold.geometry.region import area

    ring = numpy.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 0.0]])
    if abs(area(ring) - 0.5) > 1e-12:
        raise RuntimeError("half a square is not reckoned as half")
    return f"numpy {numpy.__version__}, scipy {scipy.__version__}, shapely {shapely.__version__}"


def _tables() -> str:
    from onfold.body.estimate import fill

    known = [len(fill(figure, {}).measures) for figure in ("woman", "man")]
    if min(known) < 2:
        raise RuntimeError("the survey tables give no estimate")
    return f"{known[0]} measures of a woman, {known[1]} of a man"


def _recipes() -> str:
    from onfold.project import shipped_recipe, shipped_recipes

    names = shipped_recipes()
    if not names:
        raise RuntimeError("none is there")
    for name in names:
        shipped_recipe(name)
    return ", ".join(names)


def _fonts() -> str:
    from fontTools import version

    from onfold.writers.font import cut_face

    if not cut_face("Aa8"):
        raise RuntimeError("no letters could be taken from it")
    return f"DejaVu Sans, cut down by fontTools {version}"


def _guide() -> str:
    import typst

    page = typst.compile(b"= Trial")
    if not bytes(page).startswith(b"%PDF"):
        raise RuntimeError("a trial page did not come out as PDF")
    return "typst set a trial page"


def _preview() -> str:
    from importlib.metadata import version

    from onfold.drawing import Drawing
    from onfold.writers.pdf import Page, write_pdf
    from onfold.writers.png import pdf_to_png

    page = write_pdf([Page(20.0, 20.0, (), Drawing((), (), (0.0, 0.0, 20.0, 20.0)))], title="trial")
    if not pdf_to_png(page, 0, 72.0).startswith(b"\x89PNG"):
        raise RuntimeError("a trial page did not come out as a picture")
    return f"pypdfium2 {version('pypdfium2')}"


def _lays() -> str:
    from importlib.metadata import version

    import numpy

    from onfold.cloth import settle
    from onfold.lay.bed import Bed, bed_of
    from onfold.lay.opened import opened_lay
    from onfold.lay.part import parts_for
    from onfold.lay.search import search
    from onfold.pattern import Piece

    ring = numpy.array([(0.0, 0.0), (200.0, 0.0), (200.0, 300.0), (0.0, 300.0), (0.0, 0.0)])
    bed = bed_of(settle("woven", 1000.0), "none")
    if not isinstance(bed, Bed):
        raise RuntimeError("a metre of cloth could not be laid out")
    parts = parts_for(bed, [("", [Piece("trial", (), cut=2, cut_line=ring)])])
    if search(parts, bed, seconds=0.5) is None or opened_lay(parts, bed, seconds=1.0) is None:
        raise RuntimeError("two rectangles found no place on a metre of cloth")
    return f"spyrrow {version('spyrrow')}, pyclipper {version('pyclipper')}"


def _hangs() -> str:
    from importlib.metadata import version
    from importlib.util import find_spec

    if find_spec("numba") is None:
        raise _NotAdded('pip install "onfold[hang]"')
    import numpy

    from onfold.hang.distance import distance_of

    corners = numpy.array([[0.0, 0.0, 0.0], [60.0, 0.0, 0.0], [0.0, 60.0, 0.0], [0.0, 0.0, 60.0]])
    faces = numpy.array([[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]], dtype=numpy.int32)
    found = distance_of(corners, faces, 20.0)
    spot = tuple(round(each) for each in (numpy.array([20.0, 20.0, 20.0]) - found.origin) / found.spacing)
    if abs(float(found.values[spot]) - 0.0) > 1e-3:
        raise RuntimeError("a point on a trial form was not found on it")
    return f"numba {version('numba')}"


_PARTS: tuple[tuple[str, Callable[[], str], str], ...] = (
    ("Python", _python, "The language it runs on"),
    ("Tickets and recipes", _yaml, "Reading them"),
    ("Drafting", _numbers, "Lines, curves and areas"),
    ("Estimates", _tables, "Filling in what was not taped"),
    ("Recipes", _recipes, "Those that come with Onfold"),
    ("Lettering", _fonts, "Writing on the sheets"),
    ("Guide", _guide, "Setting guide.pdf"),
    ("Lays", _lays, "Laying pieces on the cloth"),
    (HANGS, _hangs, "Hanging the garment on a form"),
    ("Pictures of sheets", _preview, "Turning PDF pages into pictures"),
)
