"""Asking about slips of the pen, and leaving real people alone."""

from __future__ import annotations

import pytest
from bodies import survey_men, survey_women
from hypothesis import given, settings
from hypothesis import strategies as st

from onfold.body.likely import likely_together, outside_survey
from onfold.body.measures import MEASURES, check_measure


@pytest.mark.parametrize(
    ("figure", "people"),
    [
        ("woman", survey_women(500, every=True)),
        ("woman", survey_women(500)),
        ("woman", survey_women(500, year=2012)),
        ("man", survey_men(100, every=True)),
        ("man", survey_men(100, year=2012)),
    ],
    ids=["women all", "women four", "women 2012", "men all", "men 2012"],
)
def test_fewer_than_one_real_person_in_a_hundred_is_asked(figure, people):
    asked = [person for person in people if likely_together(figure, person, "cm")]
    assert len(asked) < 0.01 * len(people)


@pytest.mark.parametrize(
    ("given_measures", "units", "asked", "meant"),
    [
        ({"bust": 900, "waist": 320, "hip": 960}, "cm", "waist", "32 in, not 32 cm"),
        ({"bust": 38 * 25.4, "waist": 81 * 25.4, "hip": 41 * 25.4}, "in", "waist", "81 cm, not 81 in"),
        ({"waist": 480, "hip": 960}, "cm", "waist", "84, not 48"),
        ({"bust": 36 * 25.4, "waist": 82 * 25.4, "hip": 38 * 25.4}, "in", "waist", "28, not 82"),
        ({"neck": 730, "hip": 970}, "cm", "neck", "37, not 73"),
        ({"height": 660}, "cm", "height", "66 in, not 66 cm"),
        ({"bust": 900, "waist": 700, "hip": 980, "wrist": 160, "left arm": 230}, "cm", "left arm", "23 in, not 23 cm"),
    ],
)
def test_given_a_slip_the_right_measure_is_asked_about_and_the_slip_named(given_measures, units, asked, meant):
    (question,) = likely_together("woman", given_measures, units)
    assert (question.code, question.severity) == ("LIKELY", "mind")
    assert question.found.startswith(asked)
    assert meant in question.says
    assert MEASURES[asked.removeprefix("left ")].how in question.remedy


def test_given_every_measure_in_the_wrong_unit_one_question_is_asked():
    (question,) = likely_together("woman", {"height": 660, "bust": 360, "waist": 280, "hip": 380}, "cm")
    assert "inches, typed as cm" in question.says
    assert "167.6 cm" in question.says


def test_girths_typed_in_the_wrong_unit_are_found_and_most_are_corrected():
    asked = named = tried = 0
    for person in survey_women(500):
        for name in ("bust", "hip"):
            wrong = person | {name: person[name] / 2.54}
            if check_measure(name, wrong[name]):
                continue
            tried += 1
            questions = [each for each in likely_together("woman", wrong, "cm") if each.found.startswith(name)]
            asked += bool(questions)
            named += any(" in, not " in each.says for each in questions)
    assert tried > 950
    assert asked >= 0.99 * tried
    assert named > 0.95 * tried


def test_women_larger_than_any_surveyed_are_not_asked_but_told():
    for size in (1.3, 1.5, 1.7):
        body = {"height": 1650, "bust": 950 * size, "waist": 830 * size, "hip": 1020 * size}
        assert likely_together("woman", body, "cm") == []
    (note,) = outside_survey("woman", body, "cm")
    assert (note.code, note.severity) == ("OUT-OF-SURVEY", "note")
    assert "bust 161.5 cm (69.5 cm to 126.6 cm)" in note.found
    assert "height" not in note.found


def test_people_of_the_survey_are_inside_it_and_children_are_not_judged():
    for person in survey_women(100, every=True):
        assert outside_survey("woman", person) == []
    assert outside_survey("child", {"bust": 600}) == []
    assert likely_together("child", {"bust": 900, "waist": 320}, "cm") == []


@given(
    st.dictionaries(st.sampled_from([*MEASURES, "left arm", "right arm", "nonsense"]), st.floats(), max_size=8),
    st.sampled_from(["in", "cm"]),
)
@settings(max_examples=100, deadline=None)
def test_whatever_is_given_there_is_never_more_than_a_mind(sizes, units):
    asked = likely_together("woman", sizes, units) + outside_survey("woman", sizes, units)
    assert {each.severity for each in asked} <= {"mind", "note"}


@given(st.data())
@settings(max_examples=100, deadline=None)
def test_whatever_a_person_may_have_is_judged_without_a_fault(data):
    names = data.draw(st.lists(st.sampled_from(list(MEASURES)), unique=True, min_size=1, max_size=10))
    sizes = {name: data.draw(st.floats(MEASURES[name].least, MEASURES[name].most)) for name in names}
    asked = likely_together("man", sizes, "in")
    assert len(asked) <= len(sizes)
    for each in asked:
        assert (each.code, each.severity) == ("LIKELY", "mind")
        assert any(each.found.startswith(name) for name in sizes)
