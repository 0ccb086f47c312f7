"""The lesson as a reader, a printer and a screen reader meet it."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser
from itertools import pairwise

import pytest

from onfold.body.taken import Taken
from onfold.cloth import settle
from onfold.drawing import Drawing, Stroke, Word
from onfold.geometry.path import Path, cubic, line
from onfold.lesson import Chosen, LessonFacts, write_lesson
from onfold.pattern import Level, Piece
from onfold.problems import Place, Problem, problem
from onfold.recipe.step import Told

VOID = {"meta", "input", "br", "link", "img"}
HOSTILE = "<script>alert(1)</script>\" onload='x'\x00\x1b[31m\u202eevil"


class Node:
    """An element as parsed: enough of a tree to ask questions of."""

    def __init__(self, name: str, attributes: dict[str, str | None], parent: Node | None) -> None:
        self.name, self.attributes, self.parent = name, attributes, parent
        self.inside: list[Node | str] = []

    def all(self, name: str) -> list[Node]:
        found: list[Node] = []
        for each in self.inside:
            if isinstance(each, Node):
                found += [each] if each.name == name else []
                found += each.all(name)
        return found

    @property
    def text(self) -> str:
        return "".join(each if isinstance(each, str) else each.text for each in self.inside)

    def has(self, word: str) -> bool:
        return word in (self.attributes.get("class") or "").split()


class Tree(HTMLParser):
    """Builds the tree and insists that every element is closed by its own end tag."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.root = self.at = Node("", {}, None)
        self.feed(page)
        self.close()
        assert self.at is self.root, f"{self.at.name} is never closed"

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert len(attrs) == len({name for name, _ in attrs}), f"an attribute stands twice on {tag}"
        node = Node(tag, dict(attrs), self.at)
        self.at.inside.append(node)
        if tag not in VOID:
            self.at = node

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.at.inside.append(Node(tag, dict(attrs), self.at))

    def handle_endtag(self, tag: str) -> None:
        assert self.at.name == tag, f"</{tag}> closes {self.at.name}"
        assert self.at.parent is not None
        self.at = self.at.parent

    def handle_data(self, data: str) -> None:
        self.at.inside.append(data)


# The draft of a half skirt front, made up: (stage, verb, label, sentence, why, untaped, new line, its name, new points)
LONG, HIP_DOWN, HIP, WAIST = 600.0, 210.0, 262.0, 205.0


def _lines() -> list[tuple[str, str, str, str, str, tuple[str, ...], Path, str, dict[str, tuple[float, float]]]]:
    hip_y, apex = LONG - HIP_DOWN, (102.0, LONG - 110.0)
    return [
        (
            "front, the frame",
            "rule down",
            "",
            "From the start rule straight down 60 cm, waist to knee: this is the centre front.",
            "The fold of the cloth lies on this line.",
            (),
            line((0, LONG), (0, 0)),
            "centre front",
            {"start": (0, LONG), "end of centre front": (0, 0)},
        ),
        (
            "front, the frame",
            "square across",
            "waist",
            "Square across from the start 22.5 cm: (waist + waist ease) / 4 + 2 cm.",
            "A quarter of the waist with its ease, and the dart's width on top.",
            (),
            line((0, LONG), (WAIST + 20, LONG)),
            "waist line",
            {"end of waist": (WAIST + 20, LONG)},
        ),
        (
            "front, the frame",
            "mark level",
            "hip",
            "Mark the hip 21 cm below the waist and square across 26.2 cm.",
            "The widest place: the whole skirt hangs from how it sits here.",
            ("waist to hip",),
            line((0, hip_y), (HIP, hip_y)),
            "hip line",
            {"end of hip": (HIP, hip_y)},
        ),
        (
            "front, the frame",
            "mark level",
            "hem",
            "Square the hem across 26.2 cm, as wide as the hip.",
            "A straight skirt falls plumb from the hip.",
            (),
            line((0, 0), (HIP, 0)),
            "hem line",
            {"end of hem": (HIP, 0)},
        ),
        (
            "front, the outline",
            "join",
            "side",
            "Raise the side by 1 cm and join it to the end of the hip with a hip curve, then straight to the hem.",
            "Over the hip bone the way is longer than at the centre; a level hem wants the side raised.",
            ("waist to hip",),
            cubic((HIP, hip_y), (HIP, LONG - 120), (WAIST + 30, LONG - 60), (WAIST + 20, LONG + 10)),
            "side",
            {"side top": (WAIST + 20, LONG + 10)},
        ),
        (
            "front, the outline",
            "join",
            "waist",
            "Draw the waist from the centre, square to the fold, rising to the raised side.",
            "Square at the fold, so that no point shows at the centre when it is opened.",
            (),
            cubic((0, LONG), (60, LONG), (150, LONG + 3), (WAIST + 20, LONG + 10)),
            "waist",
            {},
        ),
        (
            "front, the dart",
            "dart",
            "front dart",
            "Halve the waist and place a dart 2 cm wide and 11 cm long, its point straight below the middle.",
            "It takes the cloth in from hip to waist; longer and it would poke at the belly.",
            ("belly to hip",),
            line((92, LONG + 1), apex),
            "dart leg",
            {"dart point": apex},
        ),
        (
            "front, the dart",
            "true",
            "",
            "Fold the dart shut towards the centre and draw the waist across it afresh.",
            "A folded dart must end on the waist line on both layers.",
            (),
            line(apex, (112, LONG + 2)),
            "dart leg 2",
            {},
        ),
        (
            "finishing",
            "seam",
            "side seam",
            "Sew side of front to side of back, plain, 15 mm, with notches at the hip.",
            "The allowance follows from the seam.",
            (),
            line((HIP, 0), (HIP, hip_y)),
            "side below the hip",
            {"notch": (HIP, hip_y)},
        ),
        (
            "finishing",
            "grain",
            "",
            "Lay the grain parallel to the centre front.",
            "The strongest threads hang plumb.",
            (),
            line((150, 80), (150, 380)),
            "grain line",
            {"grain": (150, 230)},
        ),
    ]


def told_skirt() -> list[Told]:
    told: list[Told] = []
    strokes: list[Stroke] = []
    words: list[Word] = []
    for number, (stage, verb, label, sentence, why, untaped, new, name, points) in enumerate(_lines(), start=1):
        words += [Word(text, at, bold=False) for text, at in points.items()]
        last = strokes[-1].name if strokes else ""
        seen = [replace(each, pen="used" if each.name == last else "old") for each in strokes]
        strokes.append(Stroke(new, "new", "picture", name=name))
        picture = Drawing((*seen, strokes[-1]), tuple(words), (0, 0, 300, 620), f"Step {number}: the {name}")
        told.append(Told(number, stage, verb, "front", label, sentence, why, untaped, picture))
    return told


def some_problems() -> list[Problem]:
    return [
        problem(
            "OPENING-SHORT",
            says="The zip opens 14 cm; the hip lies 21 cm below the waist.",
            found="14 cm",
            expected="18 cm or more",
            remedy="Write zip length: 20 cm in the choices.",
            where=Place("skirt.yaml", 21, 3),
        ),
        problem(
            "STRIDE",
            says="The hem is 104.8 cm round and the vent opens 0 cm.",
            found="104.8 cm",
            expected="120 cm",
            remedy="Cut the vent 22 cm long.",
            where=Place(piece="back"),
        ),
        problem(
            "NOT-TAPED",
            says="Waist to hip was estimated: 21 cm, between 18.5 and 22.5 cm.",
            remedy="Take it before you cut.",
        ),
    ]


def facts(**other: object) -> LessonFacts:
    cloth = settle("woven", 1500.0, name="navy wool twill", fibre=(("wool", 1.0),))
    usual = LessonFacts(
        title="Concert skirt",
        wearer="soprano-2",
        date="2026-11-25",
        units="cm",
        recipe="straight-skirt",
        cloth=cloth,
        measures={
            "waist": Taken(740.0),
            "hip": Taken(1000.0),
            "waist to hip": Taken(210.0, True, (185.0, 225.0)),
            "waist to knee": Taken(600.0),
        },
        how={
            "waist to hip": "Down the side from the waist to the fullest part of the hip, the tape lying on the body."
        },
        measure_first=("waist to hip",),
        levels={"waist": Level("waist", 740.0, 760.0, "waist"), "hip": Level("hip", 1000.0, 1040.0, "hip")},
        choices=(
            Chosen("length", "60 cm", "From the waist to the finished hem?", True),
            Chosen("waist ease", "2 cm", "Ease at the waist?"),
        ),
        pieces=(
            Piece("front", (), on_fold=True, cut=1),
            Piece("back", (), cut=2, mirrored_pair=True),
            Piece("waistband", (), cut=1, material="main"),
        ),
    )
    return replace(usual, **other)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def told() -> list[Told]:
    return told_skirt()


@pytest.fixture(scope="module")
def page(told: list[Told]) -> Node:
    return Tree(write_lesson(told, facts(), some_problems())).root


def steps_of(page: Node) -> list[Node]:
    return [each for each in page.all("li") if each.has("step")]


def test_every_step_is_said_with_its_reason_and_numbered_on(page: Node, told: list[Told]) -> None:
    steps = steps_of(page)
    assert [int(each.attributes["value"] or 0) for each in steps] == [each.number for each in told]
    for each, step in zip(told, steps, strict=True):
        assert each.sentence in step.text
        assert f"Why: {each.why}" in step.text


def test_one_section_a_stage_and_lists_that_count_on(page: Node, told: list[Told]) -> None:
    stages = [each for each in page.all("section") if each.has("stage")]
    names = list(dict.fromkeys(each.stage for each in told))
    assert [each.all("h2")[0].text.lower() for each in stages] == names
    counted = 1
    for stage in stages:
        (listing,) = [each for each in stage.all("ol") if each.has("steps")]
        assert int(listing.attributes["start"] or 0) == counted
        counted += len([each for each in listing.all("li") if each.has("step")])
    assert counted == len(told) + 1


def test_a_stage_come_back_to_is_another_sheet_and_still_counts_on(told: list[Told]) -> None:
    back = [*told, replace(told[0], number=len(told) + 1)]
    page = Tree(write_lesson(back, facts(), [])).root
    stages = [each for each in page.all("section") if each.has("stage")]
    assert stages[-1].all("h2")[0].text == "Front, the frame, continued"
    assert [int(each.attributes["value"] or 0) for each in steps_of(page)] == list(range(1, len(told) + 2))


def test_every_picture_has_words_and_a_scale(page: Node, told: list[Told]) -> None:
    figures = page.all("figure")
    assert len(figures) == len(told)
    for each, figure in zip(told, figures, strict=True):
        (svg,) = figure.all("svg")
        assert svg.attributes["role"] == "img"
        said = svg.attributes["aria-label"] or ""
        assert each.picture is not None
        assert said.startswith(each.picture.title)
        assert f"Drawn now: {each.picture.strokes[-1].name}" in said
        assert figure.all("figcaption")[0].text.strip()
        (scale,) = [text for text in svg.all("text") if text.has("scale")]
        assert re.fullmatch(r"\d+(\.\d)? cm", scale.text)


def test_the_scale_bar_measures_the_drawing(told: list[Told]) -> None:
    """[A] The bar's length over the drawn line's, both in picture units, is the bar's cm over the line's."""
    for units, per in (("cm", 10.0), ("in", 25.4)):
        page = Tree(write_lesson(told[:1], facts(units=units), [])).root
        (svg,) = page.all("svg")
        (tape,) = [each for each in svg.all("rect") if each.has("tape")]
        (new,) = [each for each in svg.all("path") if each.has("new")]
        x0, y0, x1, y1 = map(float, re.fullmatch(r"M(\S+) (\S+)L(\S+) (\S+)", new.attributes["d"] or "").groups())  # type: ignore[union-attr]
        line_px = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
        said = next(each for each in svg.all("text") if each.has("scale")).text
        bar_mm = float(said.split()[0]) * per
        assert float(tape.attributes["width"] or 0) / line_px == pytest.approx(bar_mm / LONG, rel=0.005)


def test_new_lines_are_told_from_used_and_old_ones_without_colour(page: Node) -> None:
    last = page.all("figure")[-1]
    kinds = [each.attributes.get("class") for each in last.all("path")]
    assert kinds.count("new") == 1
    assert "used" in kinds
    assert "old" in kinds
    css = page.all("style")[0].text
    widths = {
        pen: float(re.search(rf"svg \.{pen} {{[^}}]*stroke-width: ([\d.]+)", css)[1]) for pen in ("new", "used", "old")
    }  # type: ignore[index]
    assert widths["new"] > 2 * widths["used"] > 2 * widths["old"]


def test_landmarks_headings_and_language(page: Node) -> None:
    assert page.all("html")[0].attributes["lang"] == "en"
    assert page.all("title")[0].text == "Lesson: Concert skirt, for soprano-2"
    for landmark in ("header", "main", "footer"):
        assert len(page.all(landmark)) == 1, landmark
    ways = [each.attributes["aria-label"] for each in page.all("nav")]
    assert len(ways) == len(set(ways)) == 2, "several landmarks of a kind are told apart by their names"
    assert [each.attributes["href"] for each in page.all("a") if each.has("skip")] == ["#steps"]
    levels = [int(each.name[1]) for each in ordered(page) if re.fullmatch("h[1-6]", each.name)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b <= a + 1 for a, b in pairwise(levels)), levels
    ids = [each.attributes["id"] for each in ordered(page) if each.attributes.get("id")]
    assert len(ids) == len(set(ids))
    for each in page.all("a"):
        assert (each.attributes["href"] or "").removeprefix("#") in ids
    for each in page.all("section"):
        assert each.attributes["aria-labelledby"] in ids
    for each in page.all("table"):
        assert each.all("caption")[0].text
        assert {head.attributes.get("scope") for head in each.all("th")} == {"col", "row"}


def ordered(node: Node) -> list[Node]:
    found: list[Node] = []
    for each in node.inside:
        if isinstance(each, Node):
            found += [each, *ordered(each)]
    return found


def test_it_needs_nothing_from_outside(told: list[Told]) -> None:
    text = write_lesson(told, facts(), some_problems())
    assert not re.search(r"https?:|//[a-z]|url\(|@import|\bsrc=|<link|<img|<iframe", text)
    assert "default-src 'none'" in text
    assert len(Tree(text).root.all("script")) == 1


def test_the_policy_names_the_script_it_lets_run(page: Node) -> None:
    import base64
    import hashlib

    script = page.all("script")[0].text
    policy = next(each.attributes["content"] for each in page.all("meta") if "http-equiv" in each.attributes)
    assert base64.b64encode(hashlib.sha256(script.encode()).digest()).decode() in (policy or "")
    assert "prefers-reduced-motion" in script


def test_what_a_maker_writes_is_never_markup(told: list[Told]) -> None:
    wild = [
        replace(
            each,
            stage=HOSTILE,
            verb=HOSTILE,
            piece=HOSTILE,
            label=HOSTILE,
            sentence=HOSTILE,
            why=HOSTILE,
            estimated=(HOSTILE,),
        )
        for each in told[:2]
    ]
    assert wild[0].picture is not None
    words = (Word(HOSTILE, (10.0, 10.0)),)
    wild[0] = replace(wild[0], picture=replace(wild[0].picture, title=HOSTILE, words=words))
    bad = facts(
        title=HOSTILE,
        wearer=HOSTILE,
        date=HOSTILE,
        recipe=HOSTILE,
        figure="child",
        cloth=settle("knit", 1500.0, name=HOSTILE),
        measures={HOSTILE: Taken(1.0, True, (0.5, 2.0))},
        how={HOSTILE: HOSTILE},
        measure_first=(HOSTILE,),
        levels={HOSTILE: Level(HOSTILE, 100.0, 90.0)},
        choices=(Chosen(HOSTILE, HOSTILE, HOSTILE),),
        pieces=(Piece(HOSTILE, (), material=HOSTILE),),
    )
    found = problem(
        "STRIDE",
        says=HOSTILE,
        found=HOSTILE,
        expected=HOSTILE,
        remedy=HOSTILE,
        where=Place(HOSTILE, 1, 1, HOSTILE, HOSTILE),
    )
    text = write_lesson(wild, bad, [found])
    page = Tree(text).root
    assert len(page.all("script")) == 1
    assert not any("onload" in each.attributes for each in ordered(page))
    assert not [
        char for char in text if (ord(char) < 32 and char != "\n") or 0x7F <= ord(char) < 0xA0 or char == "\u202e"
    ]
    assert page.text.count("<script>alert(1)</script>") > 20


@pytest.mark.parametrize("amount", [float("nan"), float("inf"), 1e300, -5.0, 0.0])
def test_odd_numbers_are_said_and_nothing_raises(told: list[Told], amount: float) -> None:
    drawn = Drawing(
        (Stroke(line((0.0, 0.0), (amount, 1.0)), "new", "picture"),), (Word("a", (amount, 0.0)),), (0, 0, 1, 1)
    )
    odd = facts(measures={"hip": Taken(amount, True, (amount, amount))}, levels={"hip": Level("hip", amount, amount)})
    text = write_lesson([replace(told[0], picture=drawn)], odd, [])
    assert "nan" not in re.sub(r"<style>.*?</style>|<script>.*?</script>", "", text, flags=re.S).lower()
    Tree(text)


def test_an_empty_lesson_still_says_its_problems() -> None:
    page = Tree(write_lesson([], facts(measures={}, pieces=()), some_problems())).root
    assert "The zip opens 14 cm" in page.text
    assert not page.all("script")
    assert "Nothing stands in the way" in Tree(write_lesson([], facts(), [])).root.text


def test_what_was_not_taped_is_marked_with_its_interval(page: Node) -> None:
    (row,) = [each for each in page.all("tr") if each.text.startswith("waist to hip")]
    assert "not taped, 18.5 cm to 22.5 cm" in row.text
    taped = [each for each in page.all("tr") if each.text.startswith("waist to knee")]
    assert "not taped" not in taped[0].text
    marked = [each for each in steps_of(page) if "not taped" in each.text]
    assert [each.attributes["value"] for each in marked] == ["3", "5", "7"]


def test_levels_give_body_garment_and_stretch() -> None:
    """[A] 1000 mm body in 900 mm wears stretched by 1000/900 − 1 = 11.1 %; of 50 % that is 22.2 %."""
    knit = settle("knit", 1500.0, stretch_across=0.5)
    page = Tree(write_lesson([], facts(cloth=knit, levels={"hip": Level("hip", 1000.0, 900.0)}), [])).root
    (row,) = [each for each in page.all("tr") if each.text.startswith("hip") and "taken in" in each.text]
    assert [each.text for each in row.all("td")] == ["100 cm", "90 cm", "10 cm taken in", "11.1 %", "22.2 %"]


def test_problems_stand_before_the_steps_gravest_first_with_remedies(told: list[Told]) -> None:
    text = write_lesson(told, facts(), list(reversed(some_problems())))
    assert text.index("Stop: 1") < text.index("Mind: 1") < text.index("Note: 1") < text.index('id="steps"')
    for each in some_problems():
        assert text.index(each.remedy) < text.index('id="steps"')


def test_the_makers_units(told: list[Told]) -> None:
    page = Tree(write_lesson(told, facts(units="in"), [])).root
    (row,) = [each for each in page.all("tr") if each.text.startswith("waist to hip")]
    assert "not taped, 7 5/16 in to 8 7/8 in" in row.text
    assert all(each.text.endswith(" in") for each in page.all("text") if each.has("scale"))


def test_cautions_stand_at_the_end_and_where_they_apply() -> None:
    plain = write_lesson([], facts(), [])
    for word in ("Carry shears closed", "rotary blade", "Count pins", "Steam and the hot plate", "trained practice"):
        assert word in plain
    assert "strangle" not in plain
    assert plain.index("Carry shears") > plain.index("Pieces to cut")
    child = write_lesson([], facts(figure="child", ties=True), [])
    assert "can catch and strangle" in child
    assert "local rules" in child


def test_equal_input_gives_an_equal_page(told: list[Told]) -> None:
    assert write_lesson(told, facts(), some_problems()) == write_lesson(told_skirt(), facts(), some_problems())


def test_words_in_a_picture_never_cover_one_another_and_none_is_lost() -> None:
    crowd = tuple(Word(f"point {n}", (100.0 + n % 3, 100.0)) for n in range(40))
    drawn = Drawing((Stroke(line((0.0, 0.0), (200.0, 200.0)), "new", "picture"),), crowd, (0, 0, 200, 200))
    told = [Told(1, "s", "rule", "front", "", "Rule.", "", (), drawn)]
    figure = Tree(write_lesson(told, facts(), [])).root.all("figure")[0]
    set_words = [each for each in figure.all("text") if not each.has("scale")]
    boxes = [(float(t.attributes["x"] or 0), float(t.attributes["y"] or 0), t.text) for t in set_words]
    for i, (x, y, text) in enumerate(boxes):
        for other_x, other_y, other in boxes[i + 1 :]:
            assert abs(y - other_y) >= 11 or x + 5 * len(text) <= other_x or other_x + 5 * len(other) <= x
    assert all(each.text in figure.text for each in crowd)


@pytest.mark.parametrize(
    ("ink", "ground"),
    [
        ("ink", "calico"),
        ("soft", "calico"),
        ("chalk", "paper"),
        ("pin", "paper"),
        ("ink", "tape-pale"),
        ("soft", "paper"),
    ],
)
def test_words_stand_out_from_their_ground(page: Node, ink: str, ground: str) -> None:
    """[S] WCAG 2.2, relative luminance and contrast: at least 4.5 to 1."""
    css = page.all("style")[0].text
    colours = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", css))

    def light(colour: str) -> float:
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    high, low = sorted((light(colours[ink]), light(colours[ground])), reverse=True)
    assert (high + 0.05) / (low + 0.05) >= 4.5
