"""Formulas: read to the letter of the grammar, a caret at every fault, evaluated as Python's arithmetic would."""

import math
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onfold.formula import (
    Formula,
    FormulaFault,
    NameTable,
    check_name,
    did_you_mean,
    evaluate,
    read_formula,
    write_formula,
)
from onfold.formula.tree import Along, Amount, Between, Name, Negative, Pick, Product, Rounded, Sum

LENGTHS = [
    "waist",
    "hip",
    "bust",
    "arm",
    "waist to hip",
    "waist to knee",
    "round the shoulders",
    "waist ease",
    "length",
]
NAMES = NameTable(
    {
        **dict.fromkeys(LENGTHS, "length"),
        "round the shoulders and arms": "length",
        "bust share": "share",
        "crosswise stretch": "share",
        "slashes": "number",
        "asked": None,
    }
)


class Body:
    """A small draft: what `Scope` promises, over plain dictionaries."""

    def __init__(self, values=None, points=None, edges=None):
        self.values, self.points, self.edges = values or {}, points or {}, edges or {}

    def value(self, name):
        return self.values.get(name)

    def point(self, name):
        return self.points.get(name)

    def point_names(self):
        return list(self.points)

    def edge_length(self, edge, piece):
        return self.edges.get(piece, {}).get(edge)

    def edge_names(self, piece):
        return list(self.edges.get(piece, {}))

    def piece_names(self):
        return list(self.edges)


ALTO = Body(
    {
        "waist": 700.0,
        "hip": 980.0,
        "bust": 940.0,
        "arm": 580.0,
        "waist to hip": 205.0,
        "waist to knee": 585.0,
        "round the shoulders": 1010.0,
        "round the shoulders and arms": 1020.0,
        "waist ease": 20.0,
        "length": 600.0,
        "bust share": 0.2,
        "crosswise stretch": 0.7,
        "slashes": 4.0,
        "asked": 3.0,
    },
    {"start": (0.0, 0.0), "end of waist": (30.0, 40.0), "end of hip": (30.0, 100.0)},
    {"front": {"side": 812.0, "hem": 245.0}, "back": {"side": 806.0}},
)


def value(text, scope=ALTO):
    formula = read_formula(text, NAMES)
    assert isinstance(formula, Formula), formula
    return evaluate(formula, scope)


def fault(text, **reach):
    faults = read_formula(text, NAMES, **reach)
    assert isinstance(faults, list) and len(faults) == 1, faults
    return faults[0]


@pytest.mark.parametrize(
    ("text", "expected", "kind"),
    [
        ("waist to hip + 2 cm", 225.0, "length"),
        ("waist to\n  hip + 2 cm", 225.0, "length"),
        ("(waist + waist ease) / 4 + 2 cm", 200.0, "length"),
        ("larger of hip and round the shoulders", 1010.0, "length"),
        ("larger of hip and round the shoulders and arms", 1020.0, "length"),
        ("smaller of round the shoulders and arm", 580.0, "length"),
        ("smaller of hip and larger of waist and bust", 940.0, "length"),
        ("larger of smaller of hip and waist and bust", 940.0, "length"),
        ("larger of -1 cm and 5 mm", 5.0, "length"),
        ("2 cm + larger of hip and waist", 1000.0, "length"),
        ("waist to knee rounded to 1 cm", 580.0, "length"),
        ("waist to knee rounded up to 1 cm", 590.0, "length"),
        ("hip rounded to larger of 3 cm and 1 cm", 990.0, "length"),
        ("(hip / 4) rounded to 1 cm", 240.0, "length"),
        ("hip / (1 + bust share * crosswise stretch) / 4", 980 / 1.14 / 4, "length"),
        ("-1 cm", -10.0, "length"),
        ("-waist + hip", 280.0, "length"),
        ("1/2 * hip", 490.0, "length"),
        ("hip * (1/2)", 490.0, "length"),
        ("hip / (1 1/2)", 980 / 1.5, "length"),
        ("1 / 2", 0.5, "number"),
        ("hip - waist - 2 cm", 260.0, "length"),
        ("hip / 2 / 2", 245.0, "length"),
        ("hip/4-1 cm", 235.0, "length"),
        ("5 ft 6 in - 1 1/2 in", 1638.3, "length"),
        ("3,5 cm", 35.0, "length"),
        ("-3,5 cm", -35.0, "length"),
        ("40 %", 0.4, "share"),
        ("2 * bust share", 0.4, "share"),
        ("1 + bust share", 1.2, "number"),
        ("hip / waist", 1.4, "number"),
        ("hip * 10 %", 98.0, "length"),
        ("asked * slashes", 12.0, None),
        ("along side of front - along side of back", 6.0, "length"),
        ("from start to end of waist", 50.0, "length"),
        ("from start to end of waist / 2 + 1 cm", 35.0, "length"),
        ("larger of (along hem of front) and 1 cm", 245.0, "length"),
        ("((((hip))))", 980.0, "length"),
    ],
)
def test_formulas_have_their_value(text, expected, kind):
    formula = read_formula(text, NAMES)
    assert isinstance(formula, Formula), formula
    assert formula.kind == kind
    assert evaluate(formula, ALTO) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "column", "code", "offers"),
    [
        ("waist to knees", 1, "FORMULA-NAME", "waist to knee"),
        ("wist + 2 cm", 1, "FORMULA-NAME", "waist"),
        ("2 cm + Waist", 8, "FORMULA-NAME", "waist"),
        ("hip + zzzzz", 7, "FORMULA-NAME", ""),
        ("larger of hip and bist", 19, "FORMULA-NAME", "bust"),
        ("hip + 2", 7, "FORMULA-UNIT", "2 cm or 2 in"),
        ("2 + hip", 1, "FORMULA-UNIT", "2 cm or 2 in"),
        ("hip + 20 %", 7, "FORMULA-UNIT", "hip * 20 %"),
        ("hip * waist", 5, "FORMULA-UNIT", ""),
        ("2 / hip", 3, "FORMULA-UNIT", ""),
        ("larger of hip and 0", 19, "FORMULA-UNIT", "0 cm or 0 in"),
        ("hip rounded to 1", 16, "FORMULA-UNIT", "1 cm or 1 in"),
        ("1 - 1/2 in", 1, "FORMULA-UNIT", "1 1/2 in"),
        ("hip + 1-1/2 in", 8, "FORMULA", "1 1/2 in"),
        ("hip * 1/2", 7, "FORMULA", "(1/2)"),
        ("hip / 1 1/2", 7, "FORMULA", "(1 1/2)"),
        ("hip + 7/4 in", 7, "FORMULA", "1 3/4 in"),
        ("10/4", 1, "FORMULA", "2 1/2, or 10 / 4 to divide"),
        ("12 inches + hip", 4, "FORMULA", "12 in"),
        ("hip + 3,5 cm", 8, "FORMULA", ""),
        ("hip × 2", 5, "FORMULA", "*"),
        ("waist hip", 7, "FORMULA", "waist to hip"),
        ("2 waist", 3, "FORMULA", "2 * waist"),
        ("2waist", 2, "FORMULA", "2 * waist"),
        ("1 m 75 cm", 5, "FORMULA", ""),
        ("((hip)", 1, "FORMULA", ""),
        ("hip)", 4, "FORMULA", ""),
        ("()", 2, "FORMULA", ""),
        ("hip +", 6, "FORMULA", ""),
        ("+ hip", 1, "FORMULA", ""),
        ("hip * * 2", 7, "FORMULA", ""),
        ("hip - -2 cm", 7, "FORMULA", "(-2 cm)"),
        ("--hip", 2, "FORMULA", ""),
        ("hip of waist", 5, "FORMULA", ""),
        ("larger of hip", 14, "FORMULA", ""),
        ("larger of hip and", 18, "FORMULA", ""),
        ("hip rounded 1 cm", 5, "FORMULA", "rounded to 1 cm"),
        ("from start", 1, "FORMULA", ""),
        ("along side", 1, "FORMULA", ""),
        ("larger of along side of front and hip", 11, "FORMULA", "(along side of front)"),
        ("260 g/m2", 1, "FORMULA", ""),
        ("", 1, "FORMULA", ""),
        ("   ", 1, "FORMULA", ""),
        ("hip \x1b[31m", 5, "FORMULA", ""),
        ("__import__('os')", 1, "FORMULA", ""),
    ],
)
def test_faults_stand_at_their_column(text, column, code, offers):
    found = fault(text)
    assert (found.column, found.code, found.hint) == (column, code, offers)
    assert found.message


@pytest.mark.parametrize(
    ("text", "column", "first", "second"),
    [
        ("hip / 4 rounded to 1 cm", 9, "(hip / 4) rounded to 1 cm", "hip / (4 rounded to 1 cm)"),
        ("2 cm + hip rounded to 1 cm", 12, "(2 cm + hip) rounded to 1 cm", "2 cm + (hip rounded to 1 cm)"),
        ("-hip rounded up to 1 cm", 6, "(-hip) rounded up to 1 cm", "-(hip rounded up to 1 cm)"),
        ("hip rounded to 1 cm + 2 cm", 21, "(hip rounded to 1 cm) + 2 cm", "hip rounded to (1 cm + 2 cm)"),
        ("hip rounded to 1 cm rounded to 2 cm", 21, "(hip rounded to 1 cm) rounded", "hip rounded to (1 cm rounded"),
        ("larger of hip and waist + 2 cm", 25, "(larger of hip and waist) + 2 cm", "larger of hip and (waist + 2 cm)"),
        (
            "larger of hip and waist rounded to 1 cm",
            25,
            "(larger of hip and waist) rounded",
            "and (waist rounded to 1 cm)",
        ),
        (
            "larger of larger of hip and arm / 2 and bust",
            33,
            "((larger of hip and arm) / 2)",
            "larger of hip and (arm / 2)",
        ),
    ],
)
def test_what_reads_in_two_ways_is_refused_with_both(text, column, first, second):
    found = fault(text)
    assert found.column == column
    assert first in found.message and second in found.message
    assert found.message == found.remedy.replace("Write ", "This can be read in two ways: ")


def test_both_bracketings_that_are_shown_can_be_read():
    found = fault("larger of hip and waist + 2 cm")
    readings = found.remedy.removeprefix("Write ").removesuffix(".").split(" or ")
    assert [value(each) for each in readings] == [1000.0, 980.0]


def test_only_one_sensible_bracketing_is_offered_as_a_hint():
    assert fault("larger of hip + 2 cm and waist").hint == "larger of (hip + 2 cm)"
    assert fault("along side of front rounded to 1 cm").hint == "(along side of front) rounded to 1 cm"


def test_every_unknown_name_is_reported_at_once():
    faults = read_formula("wist + hop - bost +", NAMES)
    assert [(each.column, each.code) for each in faults] == [
        (1, "FORMULA-NAME"),
        (8, "FORMULA-NAME"),
        (14, "FORMULA-NAME"),
        (20, "FORMULA"),
    ]


def test_the_divider_must_leave_two_known_points():
    points = {
        "to": (0.0, 0.0),
        "a": (3.0, 4.0),
        "a to b": (0.0, 8.0),
        "b": (6.0, 8.0),
        "b to c": (0.0, 1.0),
        "c": (5.0, 0.0),
    }
    draft = Body(points=points)
    assert value("from a to b", draft) == 5.0
    assert value("from to to a", draft) == 5.0
    two_ways = evaluate(read_formula("from a to b to c", NAMES), draft)
    assert isinstance(two_ways, FormulaFault) and "2 ways" in two_ways.message
    assert fault("from a to b to c", points=points).code == "STEP-NAME"
    none = fault("2 cm + from a to bb", points={"a", "bc", "b"})
    assert (none.column, none.hint) == (13, "a to b")


def test_edges_are_held_to_the_pieces_known():
    assert isinstance(read_formula("along side of front", NAMES, pieces={"front"}), Formula)
    assert fault("along side of frnt", pieces={"front": ["side", "hem"]}).hint == "side of front"
    assert isinstance(evaluate(read_formula("along neck of front", NAMES), ALTO), FormulaFault)
    tangled = Body(edges={"c": {"a of b": 1.0}, "b of c": {"a": 2.0}})
    assert "2 ways" in evaluate(read_formula("along a of b of c", NAMES), tangled).message


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("1 / (1 - 1)", "STEP-CANNOT"),
        ("hip / (waist - waist) * 1 cm", "STEP-CANNOT"),
        (" * ".join(["999999999"] * 80), "STEP-CANNOT"),
        ("hip rounded to (1 cm - 1 cm)", "STEP-CANNOT"),
        ("hip rounded up to (1 cm - 2 cm)", "STEP-CANNOT"),
        ("(" + " * ".join(["999999999"] * 40) + ") rounded to 0.0000001", "STEP-CANNOT"),
        ("from start to nowhere", "STEP-NAME"),
        ("along side of sleeve", "STEP-NAME"),
    ],
)
def test_what_has_no_value_is_a_fault(text, code):
    found = value(text)
    assert isinstance(found, FormulaFault), found
    assert found.code == code


def test_a_measure_without_value_is_named():
    found = evaluate(read_formula("2 cm + hip", NAMES), Body())
    assert (found.code, found.found, found.column) == ("MEASURE-MISSING", "hip", 8)


@pytest.mark.parametrize(
    "text",
    [
        "(" * 10_000 + "hip" + ")" * 10_000,
        "(" * 499,
        "a" * 1_000_000,
        "1 + " * 200 + "1 cm",
        "larger of " * 99,
        "-" * 999,
        "1 1 " * 240,
        "from " + "a to " * 190 + "a",
        "x " * 499,
        "hip rounded to " * 60,
        "9" * 999,
        "½" * 999,
    ],
)
def test_long_and_deep_texts_are_refused_without_a_hang(text):
    start = time.process_time()
    read = read_formula(text, NAMES)
    if isinstance(read, Formula):
        evaluate(read, ALTO)
    assert time.process_time() - start < 2.0  # milliseconds alone; a bar for hangs, since the machine is shared


def test_the_deepest_allowed_is_read():
    assert value("(" * 30 + "hip" + ")" * 30) == 980.0
    assert value(" + ".join(["hip"] * 150)) == pytest.approx(980 * 150)


def test_formulas_are_known_by_their_text_and_names():
    one, two = read_formula("hip + 2 cm", NAMES), read_formula("hip + 2 cm", NAMES)
    assert one == two and hash(one) == hash(two)
    assert one != read_formula("hip + 3 cm", NAMES)
    assert one.names_used == {"hip"} and not one.reads_draft
    assert read_formula("along side of front + hip", NAMES).reads_draft


def test_noise_neither_makes_a_half_nor_a_step():
    scope = Body({"hip": 0.1 + 0.2})  # 0.30000000000000004 mm
    assert value("hip rounded up to 0.1 mm", scope) == pytest.approx(0.3)
    assert value("25 mm rounded to 1 cm") == 20.0 and value("35 mm rounded to 1 cm") == 40.0


@pytest.mark.parametrize(
    "name", ["hip", "waist to hip", "bust point to bust point", "côté", "tailor's ease", "back depth"]
)
def test_names_that_may_be_used(name):
    assert check_name(name) is None


@pytest.mark.parametrize(
    "name",
    ["", "  ", "hip 2", "hip-ease", "end of hem", "on hip", "hip and waist", "along", "from hip", "rounded hem", "m",
     "ease in", "hip\x1b", " hip", "hip  ease", "hip,", "hip½", "a" * 61, "'", "(hip)", "hip%"],
)  # fmt: skip
def test_names_that_may_not(name):
    reason = check_name(name)
    assert reason and reason.isprintable()


def test_near_names_are_offered():
    assert did_you_mean("wiast", {"waist", "hip"}) == "waist"
    assert did_you_mean("x" * 10_000, {"waist", "hip"}) == ""
    assert did_you_mean("", set()) == ""


amounts = st.one_of(
    st.builds(lambda n, d: Amount(n + d / 10, "number", f"{n}.{d}"), st.integers(0, 999), st.integers(0, 9)),
    st.builds(lambda n: Amount(n * 10.0, "length", f"{n} cm"), st.integers(0, 999)),
    st.builds(lambda n: Amount((n + 0.5) * 254 / 10, "length", f"{n} 1/2 in"), st.integers(0, 99)),
    st.builds(lambda n: Amount(n / 100, "share", f"{n} %"), st.integers(0, 200)),
)
leaves = st.one_of(
    amounts,
    st.sampled_from([Name(name, kind) for name, kind in NAMES.kinds.items()]),
    st.sampled_from([Along("side of front"), Between("start to end of hip")]),
)


def _grow(inner):
    parts = st.lists(inner, min_size=2, max_size=3)
    return st.one_of(
        st.builds(Negative, inner),
        st.builds(lambda p, s: Sum((("+", p[0]), *((s, each) for each in p[1:]))), parts, st.sampled_from("+-")),
        st.builds(lambda p, s: Product((("*", p[0]), *((s, each) for each in p[1:]))), parts, st.sampled_from("*/")),
        st.builds(Pick, st.sampled_from(["larger", "smaller"]), inner, inner),
        st.builds(Rounded, inner, inner, st.booleans()),
    )


trees = st.recursive(leaves, _grow, max_leaves=8)


def of_length(tree):
    """Return whether a tree is a length by the rules, None where it breaks them: written apart from the reader's."""
    match tree:
        case Amount() | Name():
            return tree.kind == "length" if tree.kind else "either"
        case Along() | Between():
            return True
        case Negative():
            return of_length(tree.of)
        case Sum():
            return _same([of_length(term) for _, term in tree.terms])
        case Pick():
            return _same([of_length(tree.first), of_length(tree.second)])
        case Rounded():
            return _same([of_length(tree.of), of_length(tree.to)])
        case Product():
            power = 0
            for sign, factor in tree.factors:
                kind = of_length(factor)
                if kind is None or kind == "either":
                    return kind
                power += kind if sign == "*" else -kind
                if power not in (0, 1):
                    return None
            return power == 1


def _same(kinds):
    if None in kinds:
        return None
    if "either" in kinds:
        return "either"
    return kinds[0] if len(set(kinds)) == 1 else None


@settings(max_examples=400)
@given(trees)
def test_written_and_read_again_is_the_same_tree(tree):
    read = read_formula(write_formula(tree), NAMES)
    if of_length(tree) == "either":
        return
    if of_length(tree) is None:
        assert isinstance(read, list) and read[0].code == "FORMULA-UNIT", write_formula(tree)
        return
    assert isinstance(read, Formula), (write_formula(tree), read)
    assert read.tree == tree
    assert (read.kind == "length") is of_length(tree)


def by_python(tree):
    match tree:
        case Amount():
            return tree.value
        case Name():
            return ALTO.values[tree.name]
        case Along():
            return 812.0
        case Between():
            return math.hypot(30, 100)
        case Negative():
            return -by_python(tree.of)
        case Sum():
            return sum(by_python(term) if sign == "+" else -by_python(term) for sign, term in tree.terms)
        case Product():
            return math.prod(by_python(f) if sign == "*" else 1 / by_python(f) for sign, f in tree.factors)
        case Pick():
            return (max if tree.which == "larger" else min)(by_python(tree.first), by_python(tree.second))


@settings(max_examples=300)
@given(trees)
def test_values_are_those_of_python(tree):
    read = read_formula(write_formula(tree), NAMES)
    if not isinstance(read, Formula) or "rounded" in read.text:
        return
    found = evaluate(read, ALTO)
    try:
        expected = by_python(tree)
    except ZeroDivisionError:
        assert isinstance(found, FormulaFault)
        return
    assert found == pytest.approx(expected, rel=1e-12)


@settings(max_examples=300)
@given(st.integers(-9_999, 9_999), st.integers(1, 400), st.booleans())
def test_rounding_gives_the_nearest_or_the_next_multiple(tenths, step, up):
    mm = tenths / 10
    found = value(f"({mm} mm) rounded {'up ' * up}to {step} mm")
    assert found / step == pytest.approx(round(found / step), abs=1e-9)
    assert (0 <= found - mm + 1e-9 < step + 2e-9) if up else abs(found - mm) <= step / 2 + 1e-9


PIECES_OF_TEXT = [
    *(
        "waist",
        "hip",
        " to ",
        "larger of ",
        "smaller of ",
        " and ",
        " rounded to ",
        " rounded up to ",
        "along ",
        "from ",
    ),
    *(
        " of ",
        "(",
        ")",
        "+",
        "-",
        "*",
        "/",
        " ",
        "1",
        "1/2",
        "2.5",
        " cm",
        " in",
        " %",
        "side",
        "front",
        ",",
        "½",
        "\x00",
    ),
    *("é", "ft", "5 ft 6 in", "0", "\n", "up", "_"),
]


@settings(max_examples=400)
@given(st.one_of(st.text(max_size=60), st.lists(st.sampled_from(PIECES_OF_TEXT), max_size=14).map("".join)))
def test_no_text_makes_it_raise(text):
    read = read_formula(text, NAMES, points=["start"], pieces={"front": ["side"]})
    if isinstance(read, Formula):
        assert isinstance(evaluate(read, ALTO), float | FormulaFault)
        return
    for each in read:
        assert 1 <= each.column <= len(text) + 1
        assert all(part.isprintable() for part in (each.message, each.found, each.expected, each.remedy, each.hint))
