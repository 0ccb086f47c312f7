"""The SVG file read back by the standard library's XML reader."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onfold.drawing import Drawing, Stroke, Word
from onfold.geometry.path import cubic, line
from onfold.sheets import SheetFacts, pattern_svg
from onfold.writers.svg import write_svg
from tests.synthetic import skirt

SVG = "{http://www.w3.org/2000/svg}"


def test_the_whole_pattern_is_a_picture_in_millimetres_with_layers_and_a_text_alternative() -> None:
    root = ElementTree.fromstring(pattern_svg(skirt(), SheetFacts(title="Concert skirt", date="2026-11-02")).encode())
    box = [float(v) for v in root.get("viewBox", "").split()]
    assert root.get("width") == f"{box[2]:g}mm" or float(root.get("width", "").removesuffix("mm")) == box[2]
    assert root.get("role") == "img"
    titles = {e.get("id"): e.text for e in root if e.tag in {SVG + "title", SVG + "desc"}}
    assert titles[root.get("aria-labelledby", "").split()[0]] == "Concert skirt"
    layers = {group.get("data-layer") for group in root.iter(SVG + "g")} - {None}
    assert layers == {"cut lines", "seam lines", "fold lines", "grain lines", "levels", "marks", "words", "sheet"}
    # [S] WAI-ARIA 1.2: a name may stand only where a role may be named, and a group without one may not
    assert not [e.tag for e in root.iter() if e.get("aria-label") and not e.get("role")]
    named = {e.text for e in root.iter(SVG + "title")}
    assert {"hip level of front", "side of back", "cut line of strap", "100 mm square"} <= named
    assert len({e.get("id") for e in root.iter() if e.get("id")}) == sum(1 for e in root.iter() if e.get("id"))


def test_curves_are_curves_and_lines_lines() -> None:
    drawing = Drawing(
        (
            Stroke(cubic((0, 0), (1, 5), (5, 5), (6, 0)), "seam", "seam lines"),
            Stroke(line((0, 0), (9, 0)), "cut", "cut lines"),
        ),
        (),
        (0, 0, 10, 10),
        "two",
    )
    ways = re.findall(r' d="([^"]*)"', write_svg(drawing))
    assert ways == ["M0 0C1 5 5 5 6 0", "M0 0L9 0"]


def test_two_pictures_on_one_page_share_no_ids() -> None:
    def ids(title: str) -> set[str]:
        text = write_svg(Drawing((), (Word(title, (0, 0)),), (0, 0, 9, 9), title), inline=True)
        assert not text.startswith("<?xml")
        return set(re.findall(r' id="([^"]*)"', text))

    assert not ids("one") & ids("two")


@settings(max_examples=80, deadline=None)
@given(st.text(st.characters(exclude_categories=()), max_size=40))
@pytest.mark.parametrize("inline", [True, False])
def test_no_text_breaks_the_picture(inline: bool, text: str) -> None:
    stroke = Stroke(line((0, 0), (1, 1)), "cut", "cut lines", name=text)
    drawing = Drawing((stroke,), (Word(text, (1, 1)),), (0, 0, 9, 9), text)
    root = ElementTree.fromstring(write_svg(drawing, inline=inline, described=text).encode())
    assert sum(1 for _ in root.iter(SVG + "text")) == 1
