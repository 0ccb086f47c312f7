"""Files as nodes with marks: every slip named with its line, nothing raw shown, nothing that hangs."""

import os
import random
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onfold.recipe.yaml_nodes import (
    DEEPEST,
    Mapping,
    Scalar,
    Sequence,
    compose,
    excerpt,
    find,
    mark_within,
    place_of,
    read_text,
    suggestion,
)

TICKET = """\
ticket: Concert skirt, alto-1
# what is sewn
recipe: straight-skirt
wearer:
  name: alto-1
  measures: {waist: 32 1/4 in, hip: 42 in, waist to hip: 8 1/4 in, height: 5 ft 6 in}
cloth:
  name: navy wool twill
  stretch: {across: 0 %, along: 0 %}   # relaxed
  washed first: no
choices: {length: 24 in}
finish: {side seam: plain 15 mm, hem: single turned 40 mm}
fittings: []
"""
RECIPE = """\
recipe: straight-skirt
choices:
  length:     {default: waist to knee, least: 30 cm, ask: 'From the waist to the hem?'}
  waist ease: {default: 2 cm, least: 0 cm, most: 4 cm, ask: 'Ease at the waist?'}
steps:
  - begin piece:  {name: front, fold: centre front}
  - rule down:    {name: centre front, from: start, length: length}
    why: The fold of the cloth lies on this line.
  - mark level:   {name: waist, on: centre front, down: 0 cm, width: (waist + waist ease) / 4 + 2 cm}
  - mark level:   {name: hip, on: centre front, down: waist to hip, width: (hip + 1 cm) / 4 - 0.5 cm}
  - join:         {name: side, points: [end of waist, end of hip, end of hem], curve: hip}
  - seam:         {name: side seam, edges: [side of front, side of back], construction: plain}
"""


def codes(text):
    return [each.code for each in compose(text, "a.yaml")[1]]


def only(text):
    problems = compose(text, "a.yaml")[1]
    assert len(problems) == 1, problems
    return problems[0]


def test_every_scalar_is_text_where_it_stands():
    node, problems = compose(RECIPE, "a.yaml")
    assert not problems and isinstance(node, Mapping)
    step = find(node, "steps").value.items[2]
    on = find(step.entries[0].value, "on")
    assert (on.key.text, on.value.text) == ("on", "centre front")  # 'on' is a key, not true
    assert (on.key.mark.line, on.key.mark.column) == (9, 33)
    assert str(place_of(on.value, "a.yaml")) == "a.yaml:9:37"
    assert step.entries[0].value.flow and not step.flow


def all_scalars(node):
    if isinstance(node, Scalar):
        yield node
    elif isinstance(node, Sequence):
        for item in node.items:
            yield from all_scalars(item)
    else:
        for entry in node.entries:
            yield entry.key
            yield from all_scalars(entry.value)


@pytest.mark.parametrize("change", ["", "crlf", "bom", "both"])
@pytest.mark.parametrize("text", [TICKET, RECIPE])
def test_marks_are_the_offsets_of_the_text(text, change):
    text = text.replace("\n", "\r\n") if change in ("crlf", "both") else text
    text = "\ufeff" + text if change in ("bom", "both") else text
    node, problems = compose(text)
    assert not problems
    for scalar in all_scalars(node):
        written = text[scalar.mark.start : scalar.mark.end]
        assert written == (f"'{scalar.text}'" if scalar.style else scalar.text)
        assert text.split("\n")[scalar.mark.line - 1].lstrip("\ufeff")[scalar.mark.column - 1 :].startswith(written)


@pytest.mark.parametrize(
    ("text", "code", "line", "column"),
    [
        ("a: 1\na: 2\n", "KEY-TWICE", 2, 1),
        ("a: {b: 1, c: 2, b: 3}\n", "KEY-TWICE", 1, 17),
        ("a: &x 1\n", "FILE-ALIAS", 1, 4),
        ("a: *x\n", "FILE-ALIAS", 1, 4),
        ("a: !!str 1\n", "FILE-ALIAS", 1, 4),
        ("a: &x [1]\n", "FILE-ALIAS", 1, 4),
        ("%TAG !e! tag:e,1:\n---\na: 1\n", "FILE-ALIAS", 1, 1),
        ("a: {b: 1, c: }\n", "VALUE-EMPTY", 1, 11),
        ("a: {b: 1, c}\n", "VALUE-EMPTY", 1, 11),
        ("a: {name: front, fold centre front}\n", "VALUE-EMPTY", 1, 18),
        ("a: 1\n---\nb: 2\n", "FILE-SHAPE", 2, 1),
        ("? [a, b]\n: 1\n", "FILE-SHAPE", 1, 3),
        ("", "FILE-SHAPE", 1, 1),
        ("# nothing\n", "FILE-SHAPE", 1, 1),
        ("a: 1\n  b: \t2\x00\n", "FILE-TEXT", 2, 8),
        ("a: \x1b[31m\n", "FILE-TEXT", 1, 4),
        ("a:\n\tb: 1\n", "FILE-TEXT", 2, 1),
        ("a: x\rb: 1\n", "FILE-TEXT", 1, 5),
        ("a: \u202ex\n", "FILE-TEXT", 1, 4),
        ("a: \ud800\n", "FILE-TEXT", 1, 4),
        ("a: 1\n\ufeffb: 1\n", "FILE-TEXT", 2, 1),
        ("a: [1, 2\nb: 1\n", "FILE-YAML", 1, 8),
        ("a: {b: 1, c: 2 cm\nd: 1\n", "FILE-YAML", 1, 14),
        ("a: 'it\nb: 1\nc: 'x'\n", "FILE-YAML", 1, 4),
        ('a: "never\nb: 1\n', "FILE-YAML", 1, 4),
        ("a: b: c\n", "FILE-YAML", 1, 5),
        ("a 1\nb: 2\n", "FILE-YAML", 1, 1),
        ("a: @x\n", "FILE-YAML", 1, 4),
        ("a: {b: 1,, c: 2}\n", "FILE-YAML", 1, 10),
        ("- a\nb: 1\n", "FILE-YAML", 2, 1),
        ("  a: 1\nb: 2\n", "FILE-YAML", 2, 1),
        ("[" * 100_000, "FILE-DEEP", 1, 1001),
        ("- " * 100_000, "FILE-DEEP", 1, 41),
        ("{a: " * 100_000, "FILE-DEEP", 1, 81),
        ("".join(f"{' ' * i}a:\n" for i in range(900)) + " " * 900 + "b", "FILE-DEEP", 21, 21),
    ],
)
def test_each_slip_is_named_at_its_place(text, code, line, column):
    found = only(text)
    assert (found.code, found.where.line, found.where.column) == (code, line, column)
    assert found.says and found.remedy and found.excerpt.rstrip().endswith("^")


def test_all_slips_of_one_file_are_told_at_once():
    assert codes("a: 1\na: {b: , b: &x 2}\nc: *y\n") == [
        "KEY-TWICE",
        "VALUE-EMPTY",
        "KEY-TWICE",
        "FILE-ALIAS",
        "FILE-ALIAS",
    ]


def test_twenty_levels_are_read_and_no_more():
    assert not codes("[" * DEEPEST + "]" * DEEPEST)
    assert codes("[" * (DEEPEST + 1) + "]" * (DEEPEST + 1)) == ["FILE-DEEP"]


def test_nothing_raw_is_shown():
    for text in ("a: \x1b[31m\x07\n", "\x00", "a: {\x9b31m: 1}", "a: 'x\n\u2028'"):
        for each in compose(text, "a.yaml")[1]:
            shown = each.says + each.found + each.excerpt.replace("\n", "")
            assert shown.isprintable()


def test_the_caret_stands_under_its_letter():
    text = "a: x\nwidth: " + "hip + " * 40 + "wast\n"
    line, caret = excerpt(text, compose(text)[0].entries[1].value.mark._replace(start=text.index("wast"))).split("\n")
    assert line[len(caret) - 1 :] == "wast" and len(line) <= 102 and line.startswith("…")
    _, caret = excerpt("中文: x\n", compose("中文: x\n")[0].entries[0].value.mark).split("\n")
    assert caret == " " * 6 + "^"


@pytest.mark.parametrize(
    ("text", "needle"),
    [
        ("a: hip + wast\n", "wast"),
        ("a: hip +\n  waist +\n    wast * 2\n", "wast"),
        ("a: 'larger of hip''s wast'\n", "wast"),
        ('a: "hip \\" wast"\n', "wast"),
        ("\ufeffa: {b: hip + wast}\r\n", "wast"),
    ],
)
def test_a_column_inside_a_value_is_found_in_the_file(text, needle):
    node, problems = compose(text)
    assert not problems
    scalar = next(each for each in all_scalars(node) if needle in each.text)
    mark = mark_within(text, scalar, scalar.text.index(needle) + 1)
    assert text[mark.start :].startswith(needle)


def test_files_that_cannot_be_read(tmp_path):
    assert read_text(tmp_path / "none.yaml")[1][0].code == "FILE-MISSING"
    assert read_text(tmp_path)[1][0].code == "FILE-MISSING"
    assert read_text(tmp_path / "a\x00b")[1][0].code == "FILE-MISSING"
    assert read_text(tmp_path / ("x" * 5000))[1][0].code == "FILE-MISSING"
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    assert read_text(pipe)[1][0].code == "FILE-MISSING"
    big = tmp_path / "big.yaml"
    big.write_bytes(b"a: 1\n" * 2_000_000)
    start = time.process_time()
    assert read_text(big)[1][0].code == "FILE-SIZE"
    assert time.process_time() - start < 5.0  # a bar for hangs, since the machine is shared


def test_what_is_not_utf8_names_the_place(tmp_path):
    file = tmp_path / "latin.yaml"
    file.write_bytes("a: 1\nb: côté\n".encode("latin-1"))
    text, problems = read_text(file)
    assert text is None and problems[0].code == "FILE-TEXT"
    assert (problems[0].where.line, problems[0].where.column) == (2, 5)
    file.write_bytes("a: 1\n".encode("utf-16"))
    assert "UTF-16" in read_text(file)[1][0].says
    file.write_bytes("\ufeffa: é\r\n".encode())
    assert read_text(file) == ("\ufeffa: é\r\n", [])


@pytest.mark.parametrize(
    "text",
    [
        "[" + "a," * 480_000 + "]",
        "".join(f"k{i}: {{a: 1}}\n" for i in range(65_000)),
        "a: \x1b\n" * 190_000,
        "a: &x 1\n" * 120_000,
        "a: " + "b " * 490_000,
        "a: '" + "b\n " * 320_000,
        "\t- a\n" * 190_000,
    ],
)
def test_a_megabyte_of_anything_is_answered_without_a_hang(text):
    start = time.process_time()
    problems = compose(text)[1]
    assert time.process_time() - start < 10.0  # under a second alone; a bar for hangs, since the machine is shared
    assert len(problems) <= 40


def damages():
    """Yield texts with one sign taken out or put in, and the line of it."""
    rng = random.Random(4)
    for text in (TICKET, RECIPE):
        places = [at for at, char in enumerate(text) if char in "{}[]':,-"]
        for at in places:
            yield text[:at] + text[at + 1 :], text.count("\n", 0, at) + 1
        for _ in range(400):
            at = rng.randrange(len(text))
            yield text[:at] + rng.choice("{}[]'\":,&*!|>%@`?#- \t") + text[at:], text.count("\n", 0, at) + 1


def test_a_slip_in_one_line_is_told_within_one_line_of_it():
    told = 0
    for text, line in damages():
        for each in compose(text, "a.yaml")[1][:1]:
            told += 1
            assert abs(each.where.line - line) <= 1, (line, each.says, text)
    assert told > 200


@settings(max_examples=300)
@given(
    st.one_of(
        st.text(max_size=80),
        st.lists(st.sampled_from(list("ab:-,{}[]'\"|>&*!%@? \n\t#\r\\0")), max_size=40).map("".join),
    )
)
def test_no_text_makes_it_raise(text):
    node, problems = compose(text, "a.yaml")
    assert node is not None or problems
    for each in problems:
        assert (each.says + each.found).isprintable()
        assert each.where.line >= 1


def test_suggestions():
    assert suggestion("chioces", ["choices", "cloth"]) == "Did you mean 'choices'?"
    assert suggestion("zzz", ["choices", "cloth"]) == ""
