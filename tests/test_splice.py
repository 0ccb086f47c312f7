"""Edits in place: only the characters of the change, and a text that reads back as meant."""

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from onfold.problems import Problem
from onfold.recipe.splice import add_entry, append_item, insert_item, remove_entry, set_scalar
from onfold.recipe.yaml_nodes import Mapping, Scalar, Sequence, compose

TICKET = """\
# a job ticket
ticket: Concert skirt, alto-1
units: in          # eighths
wearer:
  name: "alto-1"
  measures: {waist: 32 1/4 in, hip: 42 in}  # taped twice

  # the rest is estimated
cloth:
    stretch: {across: 0 %, along: 0 %,}
    washed first: no
choices:
notes: |
  one line
  another

finish: {
    side seam: plain 15 mm,   # wide
    hem: 'single turned 40 mm'
  }
fittings: []
steps:
  - begin piece: {name: front}
    label: first
  # about the second
  - rule down: {on: a}   # ruled
  -
    join: {points: [a, b]}
last: x"""


def edited(result):
    assert isinstance(result, str), result
    return result


def changed_lines(before, after):
    """Return the lines that only one of the texts holds."""
    old, new = before.splitlines(), after.splitlines()
    return [line for line in old if line not in new], [line for line in new if line not in old]


@pytest.mark.parametrize(
    ("path", "new", "line"),
    [
        (("ticket",), "Sheath", "ticket: Sheath"),
        (("units",), "cm", "units: cm          # eighths"),
        (("wearer", "name"), "alto-2", '  name: "alto-2"'),
        (("wearer", "measures", "waist"), "33 in", "  measures: {waist: 33 in, hip: 42 in}  # taped twice"),
        (("wearer", "measures", "hip"), "a, b", "  measures: {waist: 32 1/4 in, hip: 'a, b'}  # taped twice"),
        (("cloth", "washed first"), "yes", "    washed first: yes"),
        (("units",), "on", "units: 'on'          # eighths"),
        (("units",), "-1 cm", "units: '-1 cm'          # eighths"),
        (("units",), "a: b", "units: 'a: b'          # eighths"),
        (("units",), "a # b", "units: 'a # b'          # eighths"),
        (("units",), "", "units: ''          # eighths"),
        (("units",), "it's", "units: it's          # eighths"),
        (("units",), "two\nlines", 'units: "two\\nlines"          # eighths'),
        (("finish", "hem"), "it's", "    hem: 'it''s'"),
        (("choices",), "none", "choices: none"),
        (("steps", 1, "rule down", "on"), "b?", "  - rule down: {on: 'b?'}   # ruled"),
        (("steps", 2, "join", "points", 1), "c", "    join: {points: [a, c]}"),
        (("last",), "z", "last: z"),
    ],
)
@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_one_value_is_replaced_and_nothing_else(path, new, line, line_end):
    text = TICKET.replace("\n", line_end)
    after = edited(set_scalar(text, path, new))
    gone, come = changed_lines(text, after)
    assert come == [line] and len(gone) == 1
    assert after.count(line_end) == text.count(line_end)


def test_a_block_of_text_is_replaced_whole():
    after = edited(set_scalar(TICKET, ("notes",), "short"))
    assert "notes: short\n\nfinish" in after and "another" not in after


@pytest.mark.parametrize(
    ("path", "key", "value", "expected"),
    [
        ((), "paper", "a4", "\nlast: x\npaper: a4"),
        (("wearer",), "figure", "woman", "# taped twice\n  figure: woman\n\n  # the rest"),
        (("wearer", "measures"), "height", "5 ft 6 in", "{waist: 32 1/4 in, hip: 42 in, height: 5 ft 6 in}  #"),
        (("cloth", "stretch"), "round", "1 %", "{across: 0 %, along: 0 %, round: 1 %}"),
        (("cloth",), "on", "on", "    washed first: no\n    on: 'on'\n"),
        (("choices",), "length", "24 in", "choices: {length: 24 in}\n"),
        (("finish",), "waist", "plain 10 mm", "    hem: 'single turned 40 mm', waist: plain 10 mm\n  }"),
        (("steps", 0), "why", "It folds: here", "    label: first\n    why: 'It folds: here'\n  # about"),
        (("steps", 1), "why", "so", "{on: a}   # ruled\n    why: so\n"),
        (("wearer",), "sizes", {"a": ["1", "b, c"]}, "  sizes: {a: [1, 'b, c']}\n"),
    ],
)
def test_a_key_is_added_last(path, key, value, expected):
    after = edited(add_entry(TICKET, path, key, value))
    assert expected in after
    crlf = edited(add_entry(TICKET.replace("\n", "\r\n"), path, key, value))
    assert crlf == after.replace("\n", "\r\n")


@pytest.mark.parametrize(
    ("path", "value", "expected"),
    [
        (
            ("fittings",),
            {"on": "2026-12-03", "note": "drags, a bit"},
            "fittings: [{on: 2026-12-03, note: 'drags, a bit'}]",
        ),
        (
            ("steps",),
            {"seam": {"name": "side", "edges": ["a", "b"]}},
            "[a, b]}\n  - seam: {name: side, edges: [a, b]}\n",
        ),
        (("steps", 2, "join", "points"), "c", "[a, b, c]"),
        (("choices",), "x", "choices: [x]\n"),
    ],
)
def test_an_item_is_added_last(path, value, expected):
    assert expected in edited(append_item(TICKET, path, value))


@pytest.mark.parametrize(
    ("path", "gone", "come"),
    [
        (("units",), ["units: in          # eighths"], []),
        (("last",), ["last: x"], []),
        (("choices",), ["choices:"], []),
        (("wearer", "measures", "waist"), ["  measures: {waist: 32 1/4 in, hip: 42 in}  # taped twice"],
         ["  measures: {hip: 42 in}  # taped twice"]),
        (("wearer", "measures", "hip"), ["  measures: {waist: 32 1/4 in, hip: 42 in}  # taped twice"],
         ["  measures: {waist: 32 1/4 in}  # taped twice"]),
        (("steps", 0, "label"), ["    label: first"], []),
        (("steps", 0, "begin piece"), ["  - begin piece: {name: front}", "    label: first"], ["  - label: first"]),
        (("steps", 1), ["  - rule down: {on: a}   # ruled"], []),
        (("steps", 2, "join"), ["    join: {points: [a, b]}"], ["    {}"]),
        (("steps", 2, "join", "points", 0), ["    join: {points: [a, b]}"], ["    join: {points: [b]}"]),
    ],
)  # fmt: skip
def test_an_entry_is_taken_out_with_its_line(path, gone, come):
    assert changed_lines(TICKET, edited(remove_entry(TICKET, path))) == (gone, come)


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
@pytest.mark.parametrize(
    ("path", "place", "expected"),
    [
        (("steps",), 0, "steps:\n  - seam: {name: s}\n  - begin piece: {name: front}\n"),
        (("steps",), 1, "    label: first\n  - seam: {name: s}\n  # about the second\n  - rule down"),
        (("steps",), 2, "# ruled\n  - seam: {name: s}\n  -\n    join"),
        (("steps",), 3, "[a, b]}\n  - seam: {name: s}\nlast: x"),
        (("steps", 2, "join", "points"), 1, "[a, {seam: {name: s}}, b]"),
        (("fittings",), 0, "fittings: [{seam: {name: s}}]"),
    ],
)
def test_an_item_is_put_in_before_another(path, place, expected, line_end):
    text = TICKET.replace("\n", line_end)
    after = edited(insert_item(text, path, place, {"seam": {"name": "s"}}))
    assert expected.replace("\n", line_end) in after
    assert edited(remove_entry(after, (*path, place))) == text


@pytest.mark.parametrize(
    "refused",
    [
        insert_item(TICKET, ("steps",), 4, "x"),
        insert_item(TICKET, ("steps",), -1, "x"),
        insert_item(TICKET, ("wearer",), 0, "x"),
        insert_item(TICKET, ("nothing",), 0, "x"),
        insert_item("a: [", ("a",), 0, "x"),
        set_scalar(TICKET, ("nothing",), "x"),
        set_scalar(TICKET, ("wearer",), "x"),
        set_scalar(TICKET, ("steps", 9), "x"),
        set_scalar(TICKET, ("steps", -1), "x"),
        set_scalar(TICKET, (0,), "x"),
        set_scalar(TICKET, ("units",), "\ud800"),
        add_entry(TICKET, (), "units", "cm"),
        add_entry(TICKET, ("fittings",), "a", "b"),
        append_item(TICKET, ("wearer",), "x"),
        remove_entry(TICKET, ()),
        remove_entry(TICKET, ("nothing",)),
        set_scalar("a: [", ("a",), "x"),
        set_scalar("", ("a",), "x"),
    ],
)
def test_what_cannot_be_done_is_a_problem(refused):
    assert isinstance(refused, Problem) and refused.says


def test_added_and_taken_out_again_is_the_same_text():
    after = edited(add_entry(TICKET, ("wearer",), "figure", "woman"))
    assert edited(remove_entry(after, ("wearer", "figure"))) == TICKET
    after = edited(append_item(TICKET, ("steps",), {"seam": {"name": "s"}}))
    assert edited(remove_entry(after, ("steps", 3))) == TICKET
    marked = "\ufeffa: 1\r\nb: 2\r\n"
    assert edited(remove_entry(marked, ("a",))) == "\ufeffb: 2\r\n"
    assert edited(set_scalar(marked, ("b",), "é😀")) == "\ufeffa: 1\r\nb: é😀\r\n"


def plain_data(node):
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, Sequence):
        return [plain_data(item) for item in node.items]
    return {entry.key.text: plain_data(entry.value) for entry in node.entries}


def paths_of(node, path=()):
    yield path, node
    if isinstance(node, Mapping):
        for entry in node.entries:
            yield from paths_of(entry.value, (*path, entry.key.text))
    elif isinstance(node, Sequence):
        for at, item in enumerate(node.items):
            yield from paths_of(item, (*path, at))


def by_hand(data, path, act):
    for step in path[:-1]:
        data = data[step]
    act(data, path[-1])


texts = st.one_of(
    st.sampled_from(
        ["on", "no", "-1 cm", "a: b", "# x", "{", "a, b", "'", '"', "é", "?", "", "~", "1/2 in", "a #b", "x "]
    ),
    st.text(alphabet=st.characters(exclude_categories=["Cs", "Cc", "Cf"]), max_size=12),
)


@settings(max_examples=250, deadline=None)
@given(st.data(), st.booleans(), st.booleans())
def test_random_edits_change_only_what_they_say(data, crlf, mark):
    text = ("\ufeff" if mark else "") + (TICKET.replace("\n", "\r\n") if crlf else TICKET)
    for _ in range(data.draw(st.integers(1, 5))):
        text = random_edit(data, text)
    if crlf:
        assert text.count("\n") == text.count("\r\n")
    assert text.startswith("\ufeff") is mark


def random_edit(data, text):
    node = compose(text)[0]
    path, target = data.draw(st.sampled_from(list(paths_of(node))[1:]), label="path")
    act = data.draw(st.sampled_from(["set", "add", "append", "remove"]), label="act")
    new = data.draw(texts, label="new")
    meant = plain_data(node)
    if act == "set" and isinstance(target, Scalar):
        after = set_scalar(text, path, new)
        by_hand(meant, path, lambda parent, step: parent.__setitem__(step, new))
    elif act == "add" and isinstance(target, Mapping) and "fresh" not in plain_data(target):
        after = add_entry(text, path, "fresh", {"k": [new]})
        by_hand(meant, path, lambda parent, step: parent[step].__setitem__("fresh", {"k": [new]}))
    elif act == "append" and isinstance(target, Sequence):
        after = append_item(text, path, new)
        by_hand(meant, path, lambda parent, step: parent[step].append(new))
    elif act == "remove":
        after = remove_entry(text, path)
        by_hand(meant, path, lambda parent, step: parent.pop(step))
    else:
        return text
    if isinstance(after, Problem):
        assert after.code == "EDIT-REFUSED", after
        return text
    assert plain_data(compose(after)[0]) == meant
    start, end = target.mark.start, target.mark.end
    if act == "remove" and isinstance(path[-1], str):
        start = text.rfind(f"{path[-1]}:", 0, start + 1)  # what stands between a key and its value goes with it
    outside = text[:start] + text[end:] if act == "remove" else text
    comments = [word for word in ("a job ticket", "the rest is estimated", "about the second") if word in outside]
    assert all(word in after for word in comments)
    # [S] an outside reader, PyYAML's own, sees the same text wherever a word is a word to it
    assert yaml.load(after, yaml.BaseLoader) == meant
    return after


def test_every_place_of_the_sample_can_be_edited():
    for path, node in list(paths_of(compose(TICKET)[0]))[1:]:
        if isinstance(node, Scalar):
            for new in ("on", "a, b: c", "-1", "", "it's", '"', "x\ny"):
                assert isinstance(set_scalar(TICKET, path, new), str), (path, new)
        elif isinstance(node, Mapping):
            assert isinstance(add_entry(TICKET, path, "fresh", "x"), str), path
        else:
            assert isinstance(append_item(TICKET, path, "x"), str), path
        assert isinstance(remove_entry(TICKET, path), str), path
