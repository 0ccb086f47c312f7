"""The guide as a page of HTML, and operations and labels in both writings: whole, accessible, saying the same."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from functools import lru_cache
from html.parser import HTMLParser
from itertools import pairwise

import pikepdf
import pypdf
import pytest
from drafting import drafted, example, ticket_of
from operations_by_hand import making_of
from synthetic import skirt

from onfold.cloth import settle
from onfold.drawing import Drawing
from onfold.guide import (
    KEY,
    GuideFacts,
    draw_key,
    draw_operations,
    draw_pieces,
    operation_parts,
    picture_name,
    write_guide,
    write_guide_html,
)
from onfold.guide.labels import MOST_ALIKE, label_parts
from onfold.guide.operations import say_minutes
from onfold.making.operation import Act, MakingUp, Operation, OtherOrder
from onfold.pattern import Opening, Pattern
from onfold.problems import Place, problem
from onfold.writers.svg import write_svg

HOSTILE = '"><script>alert(1)</script><img src=x onerror=y> &amp; \x00\x1b[31m\u202eevil'
VOID = {"meta", "br", "img", "link", "hr", "input", "path", "rect"}


class Page(HTMLParser):
    """A page read by the standard parser: every element closed in its order, with its attributes and text."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.within: list[str] = []
        self.texts: list[str] = []
        self.feed(text)
        self.close()
        assert self.open == [], self.open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert len({name for name, _ in attrs}) == len(attrs), (tag, attrs)
        self.found.append((tag, dict(attrs)))
        self.within.append(">".join([*self.open, tag]))
        if tag not in VOID or tag == "path":
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))
        self.within.append(">".join([*self.open, tag]))

    def handle_endtag(self, tag: str) -> None:
        assert self.open and self.open[-1] == tag, (tag, self.open)
        self.open.pop()
        if tag not in ("span", "b", "small", "a"):
            self.texts.append(" ")

    def handle_data(self, data: str) -> None:
        if not {"style", "title"} & set(self.open):
            self.texts.append(data)

    def every(self, tag: str) -> list[dict[str, str | None]]:
        return [attrs for name, attrs in self.found if name == tag]

    @property
    def text(self) -> str:
        return " ".join("".join(self.texts).split())


def facts_of(pattern: Pattern, making: MakingUp, **other: object) -> tuple[GuideFacts, dict[str, Drawing]]:
    cloth = settle("woven", 1500.0, name="navy wool twill", fibre=(("wool", 1.0),))
    facts = replace(GuideFacts("Concert skirt", "soprano-2", "2026-11-25", "cm", cloth), **other)  # type: ignore[arg-type]
    drawn = draw_operations(pattern, making, facts.units, facts.cloth)
    pictures = {name: write_svg(each) for name, each in draw_pieces(pattern, facts.units).items()}
    pictures |= {picture_name(name): write_svg(each) for name, each in drawn.items()}
    return replace(facts, pictures={**pictures, KEY: write_svg(draw_key())}, making=making), drawn


FOUND = (
    problem("STRIDE", says="The hem is 104.8 cm round.", remedy="Cut the vent 22 cm long.", where=Place(piece="back")),
)


@lru_cache
def sheath() -> tuple[Pattern, MakingUp, GuideFacts, dict[str, Drawing]]:
    ticket = ticket_of(example("alto-1-sheath"))
    pattern = drafted(example("alto-1-sheath")).pattern
    making = making_of(pattern, ticket.cloth)
    facts, drawn = facts_of(pattern, making, title="Concert sheath", units="in", cloth=ticket.cloth, ties=True)
    return pattern, making, facts, drawn


@lru_cache
def page() -> str:
    pattern, _, facts, drawn = sheath()
    return write_guide_html(pattern, facts, FOUND, drawn)


@lru_cache
def printed() -> bytes:
    pattern, _, facts, drawn = sheath()
    return write_guide(pattern, facts, FOUND, drawn)


def test_the_page_is_well_formed_with_unique_ids() -> None:
    read = Page(page())
    ids = [attrs["id"] for _, attrs in read.found if "id" in attrs]
    assert len(ids) == len(set(ids))
    named = [name for _, attrs in read.found for name in (attrs.get("aria-labelledby") or "").split()]
    assert named and set(named) <= set(ids)
    targets = [str(attrs["href"]) for attrs in read.every("a")]
    assert targets and all(each.startswith("#") and each[1:] in ids for each in targets)


def test_it_can_be_read_by_ear_and_by_keys() -> None:
    """[S] WCAG 2.2, 1.1.1: text alternatives. [M] 3.1.1 language, 2.4.2 title, 1.3.1 headings, 2.4.1 a way past."""
    read = Page(page())
    assert read.every("html")[0]["lang"] == "en"
    assert "<title>Making up: Concert sheath, for soprano-2</title>" in page()
    assert len(read.every("h1")) == 1
    levels = [int(tag[1]) for tag, _ in read.found if re.fullmatch(r"h[1-6]", tag)]
    assert all(after - before <= 1 for before, after in pairwise(levels))
    first_link = read.every("a")[0]
    assert first_link["class"] == "skip" and first_link["href"] == "#guide"
    pictures = read.every("svg")
    assert all(each["role"] == "img" and each["aria-labelledby"] for each in pictures)
    assert len(pictures) == len(read.every("figure")) == len(read.every("figcaption")) > 20
    assert all("svg" in each or "figure" in each for each in read.within if each.endswith(">figcaption"))


def test_it_needs_no_script_and_nothing_from_outside() -> None:
    read = Page(page())
    assert not read.every("script") and not read.every("link") and not read.every("img")
    policy = next(str(each["content"]) for each in read.every("meta") if "http-equiv" in each)
    assert policy.startswith("default-src 'none'; style-src 'unsafe-inline'")
    outside = re.sub(r'xmlns="[^"]*"', "", page())
    assert "http:" not in outside and "https:" not in outside and "url(" not in outside
    assert not any(name.startswith("on") for _, attrs in read.found for name in attrs)


def test_operations_are_told_in_order_with_picture_reason_time_and_bars() -> None:
    pattern, making, facts, pictures = sheath()
    read = Page(page())
    parts = operation_parts(making, pattern, facts, pictures)
    entries = next(part for part in parts if part.kind == "operations").entries
    assert [each.name for each in entries] == [each.name for each in making.operations]
    ids = [str(attrs.get("id")) for attrs in read.every("li") if str(attrs.get("id", "")).startswith("operation-")]
    assert ids == [f"operation-{number + 1}" for number in range(len(making.operations))]
    bars = sum(act.no_way_back for each in making.operations for act in each.acts)
    assert bars > 0
    assert page().count('class="no-way-back"') == read.text.count("No way back.") == bars
    for said in (
        "While all can still be let out.",
        "Two orders are sound.",
        "Also sound: Later.",
        " min",
        "in the round",
        "On: front, back",
        "On: all pieces",
    ):
        assert said in read.text
    assert all(act.says in read.text for each in making.operations for act in each.acts)
    drawn = [each for each in entries if each.picture]
    assert len(drawn) == len(making.operations) - 1  # all but the hanging
    assert all(each.alt.startswith(each.name) for each in drawn)


def test_both_writings_say_the_same() -> None:
    _, making, _, _ = sheath()
    pages = pypdf.PdfReader(io.BytesIO(printed())).pages
    on_paper = " ".join(" ".join(each.extract_text() for each in pages).split())
    on_screen = Page(page()).text
    for each in making.operations:
        for act in each.acts:
            assert act.says in on_paper and act.says in on_screen
    for said in (
        "Cut the vent 22 cm long.",
        "Two orders are sound.",
        "Labels to pin on the pieces",
        "2 of 2",
        "certifies",
    ):
        assert said in on_paper and said in on_screen
    bars = sum(act.no_way_back for each in making.operations for act in each.acts)
    assert on_paper.count("No way back.") == bars


def test_the_printed_guide_with_operations_is_tagged_and_every_picture_has_its_words() -> None:
    """[S] ISO 14289-1: each figure an alternative text."""
    with pikepdf.open(io.BytesIO(printed())) as pdf:
        figures = [each for each in _elements(pdf.Root.StructTreeRoot) if str(each.S) == "/Figure"]
        alts = [str(each.Alt) for each in figures]
        with pdf.open_metadata() as meta:
            assert meta["pdfuaid:part"] == "1"
    pattern, _, _, drawn = sheath()
    assert len(alts) == len(drawn) + 1 + len(draw_pieces(pattern, "in"))
    assert any("right sides together" in each for each in alts)
    assert any(each.startswith("Key to the pictures") for each in alts)


def _elements(node: pikepdf.Object) -> list[pikepdf.Object]:
    found: list[pikepdf.Object] = []
    kids = node.get("/K")
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids] if kids is not None else []:
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            found += [kid, *_elements(kid)]
    return found


def test_every_piece_of_cloth_has_its_label() -> None:
    pattern, _, facts, _ = sheath()
    (part,) = label_parts(pattern, facts)
    assert len(part.cards) == sum(piece.cut for piece in pattern.pieces)
    assert [(card.name, card.count) for card in part.cards if card.name == "strap"] == [
        ("strap", "1 of 2"),
        ("strap", "2 of 2"),
    ]
    (skirts,) = label_parts(skirt(), facts)
    assert [card.count for card in skirts.cards if card.name == "strap"] == ["1 of 2", "2 of 2, turned over"]
    assert all("for soprano-2" in card.facts for card in skirts.cards)
    many = replace(skirt(), pieces=(replace(skirt().pieces[0], cut=500),))
    assert len(label_parts(many, facts)[0].cards) <= MOST_ALIKE
    assert label_parts(Pattern("r", "t", "w", ()), facts) == []


def test_what_a_maker_writes_is_never_markup() -> None:
    pattern = replace(skirt(), title=HOSTILE, wearer=HOSTILE, recipe=HOSTILE)
    pattern = replace(pattern, pieces=(*pattern.pieces[:2], replace(pattern.pieces[2], name=HOSTILE, material=HOSTILE)))
    acts = (Act("cut", HOSTILE), Act("sew", HOSTILE))
    operation = Operation(HOSTILE, "turn", acts, pieces=(HOSTILE,), state="flat", why=HOSTILE, tried=(HOSTILE,))
    making = MakingUp((operation,), others=(OtherOrder(HOSTILE, HOSTILE, HOSTILE, HOSTILE),))
    cloth = settle("woven", 1500.0, name=HOSTILE)
    facts, drawn = facts_of(
        pattern, making, title=HOSTILE, wearer=HOSTILE, date=HOSTILE, cloth=cloth, notions=(HOSTILE,)
    )
    found = (problem("STRIDE", says=HOSTILE, remedy=HOSTILE),)
    html = write_guide_html(pattern, facts, found, drawn)
    read = Page(html)
    assert not read.every("script") and not read.every("img")
    assert "<script>alert(1)</script>" in read.text
    assert "\x1b" not in html and "\u202e" not in html and "\x00" not in html
    assert (
        "<script>alert(1)"
        in pypdf.PdfReader(io.BytesIO(write_guide(pattern, facts, found, drawn))).pages[0].extract_text()
    )


def test_the_same_picture_twice_keeps_its_ids_apart() -> None:
    pattern = skirt()
    acts = (Act("turn", "Turn it."),)
    operations = tuple(Operation(name, "turn", acts, pieces=("strap",)) for name in ("turn one", "turn two"))
    making = MakingUp(operations)
    facts, drawn = facts_of(pattern, making)
    one = facts.pictures[picture_name("turn one")]
    facts = replace(facts, pictures={**facts.pictures, picture_name("turn two"): one})
    read = Page(write_guide_html(pattern, facts, (), drawn))
    ids = [attrs["id"] for _, attrs in read.found if "id" in attrs]
    assert len(ids) == len(set(ids))
    assert len(read.every("svg")) == len(pattern.pieces) + 3


@pytest.mark.parametrize("units", ["in", "cm"])
def test_a_guide_finds_its_own_operations_where_none_are_given(units: str) -> None:
    pattern = replace(skirt(), openings=(Opening("centre back zip", (), 180.0, "zip"),))
    facts, _ = facts_of(pattern, MakingUp(()), units=units)
    facts = replace(facts, making=None)
    read = Page(write_guide_html(pattern, facts, FOUND))
    assert "Match the balance marks" in read.text
    assert "Labels to pin on the pieces" in read.text
    assert "names an edge that is not there" in read.text
    assert Page(write_guide_html(Pattern("r", "t", "w", ()), replace(facts, pictures={}), ())).text
    assert write_guide_html(pattern, facts, FOUND) == write_guide_html(pattern, facts, FOUND)


def test_operations_without_pictures_are_told_all_the_same() -> None:
    pattern, making, facts, _ = sheath()
    bare = replace(facts, pictures={})
    parts = operation_parts(making, pattern, bare, {})
    assert not any(entry.picture or entry.time for part in parts for entry in part.entries)
    read = Page(write_guide_html(pattern, bare, ()))
    assert not read.every("svg")
    assert "Key to the pictures" not in read.text
    assert "No way back." in read.text
    assert write_guide(pattern, bare, ())[:5] == b"%PDF-"


@pytest.mark.parametrize(
    ("minutes", "said"),
    [
        *((0.2, "1 min"), (7.4, "7 min"), (14.9, "15 min"), (33.0, "35 min"), (60.0, "1 h"), (131.0, "2 h 10 min")),
        *((-1.0, ""), (float("nan"), ""), (float("inf"), "")),
    ],
)
def test_times_are_said_as_they_are_planned_with(minutes: float, said: str) -> None:
    assert say_minutes(minutes) == said
