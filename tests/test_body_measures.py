"""The table of measures: its names, sentences and ranges, and what is said of a faulty one."""

from __future__ import annotations

import gzip
import hashlib
import re
from collections import Counter
from importlib.resources import files

import pytest
from bodies import HERE, survey_men, survey_women

from onfold.body import fit as fits
from onfold.body.estimate import SUMS
from onfold.body.measures import MEASURES, check_measure, measure, measures_page, near_names, split_side, terms

ASKED_FOR = """height, bust, high bust, underbust, waist, hip, across front, across back, shoulder, neck,
nape to waist, nape to underarm, shoulder to bust, shoulder to underarm, shoulder to waist, bust to waist,
underarm to bust, underarm to waist, waist to hip, waist to knee, waist to floor, waist to floor front,
waist to floor back, bust point to bust point, round the shoulders, arm, upper arm, elbow, wrist, hand,
crotch length, body rise, inside leg, thigh, knee, calf, ankle, heel, head, heel height"""


def test_every_measure_a_cutter_needs_is_there():
    assert set(" ".join(ASKED_FOR.split()).split(", ")) <= set(MEASURES)


@pytest.mark.parametrize("name", MEASURES)
def test_a_name_can_stand_in_a_formula(name):
    words = name.split(" ")
    assert all(re.fullmatch("[a-z]+", word) for word in words)
    assert not set(words) & {"of", "on", "and", "along", "from", "rounded", "in", "cm", "mm", "m", "ft", "yd"}
    assert not set(words) & {"larger", "smaller", "left", "right", "up"}


@pytest.mark.parametrize("entry", MEASURES.values(), ids=lambda entry: entry.name)
def test_a_measure_says_how_in_one_sentence_and_where_its_estimate_comes_from(entry):
    assert re.fullmatch(r"[A-Z][^.]{15,}\.", entry.how)
    assert entry.kind in ("girth", "width", "length", "height")
    assert entry.least < entry.most
    assert (entry.iso_mark == "M") == bool(entry.iso_term)
    assert sum([bool(entry.women_column), bool(entry.taken_from), entry.default is not None]) == 1
    assert entry.scale in (("log", "plain") if entry.women_column else ("",))
    assert not entry.taken_from or MEASURES[entry.taken_from].women_column
    if len(terms(entry.women_column)) > 1:
        assert entry.scale == "plain"


def test_girths_and_widths_are_fitted_as_logarithms():
    surveyed = [entry for entry in MEASURES.values() if entry.women_column and entry.kind in ("girth", "width")]
    assert {entry.scale for entry in surveyed} == {"log"}


def test_no_column_is_fitted_in_two_scales():
    scales = Counter()
    for entry in MEASURES.values():
        for column in {column for column, _ in terms(entry.women_column)}:
            scales[column, entry.scale] += 1
    assert len(scales) == len({column for column, _ in scales}) == len(fits.survey_columns())


def test_sums_of_lengths_are_true_of_every_person_surveyed():
    for person in survey_women(500, every=True):
        for whole, part, rest in SUMS:
            assert person[whole] == person[part] + person[rest]


@pytest.mark.parametrize("people", [survey_women(500, every=True), survey_men(100, every=True)], ids=["women", "men"])
def test_every_person_surveyed_lies_in_every_range(people):
    for person in people:
        assert [check_measure(name, value) for name, value in person.items()] == [None] * len(person)


def test_an_unknown_measure_offers_the_near_one():
    for written, meant in [("bsut", "bust"), ("chest", "bust"), ("scye depth", "nape to underarm"), ("HIPS", "hip")]:
        assert near_names(written)[0] == meant
        assert meant in check_measure(written, 900).remedy
    assert near_names("left sholder")[0] == "left shoulder"
    assert all(split_side(name)[0] == "left" for name in near_names("left sholder"))
    assert check_measure("zzzz", 100).code == "MEASURE-UNKNOWN"


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -5.0, 0.0, 1e9, 12.0])
def test_no_persons_length_is_a_stop_that_says_the_range(value):
    fault = check_measure("bust", value, "in")
    assert (fault.code, fault.severity) == ("MEASURE-RANGE", "stop")
    assert "11 13/16 in" in fault.expected


def test_sides_are_known_where_a_body_has_two():
    assert split_side("left upper arm") == ("left", "upper arm")
    assert measure("right shoulder") is MEASURES["shoulder"]
    assert measure("left hip") is None
    assert split_side("left hip") == ("", "left hip")


def test_the_page_is_the_tables():
    page = HERE.parent / "docs" / "measures.md"
    assert page.read_text(encoding="utf-8") == measures_page()


def test_the_shipped_tables_say_where_they_come_from():
    for name in ("fit_women.csv", "fit_men.csv", "survey_range.csv", "form_sections.csv"):
        text = files("onfold.body").joinpath(name).read_text(encoding="utf-8")
        assert text.startswith("#")
        assert "NATICK/TR-89/044" in text


def test_the_samples_are_those_their_provenance_names():
    page = (HERE / "data" / "PROVENANCE.md").read_text(encoding="utf-8")
    named = re.findall(r"\| `(\w+\.csv\.gz)` \| ([0-9a-f]{64}) \|", page)
    assert {name for name, _ in named} == {each.name for each in (HERE / "data").glob("*.csv.gz")}
    assert len(named) == 6
    for name, total in named:
        unpacked = gzip.decompress((HERE / "data" / name).read_bytes())
        assert hashlib.sha256(unpacked).hexdigest() == total
