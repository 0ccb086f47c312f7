"""Given what a maker says at the try-on: what it is taken for, which cause comes first, and what its change does.

Which cause a fitter would look for first stands in tests/fitting/ranks.yaml, each with its reason.
"""

from __future__ import annotations

import re
from collections import defaultdict
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import damage
import pytest
import yaml
from bodies import survey_women
from drafting import KNIT, WOVEN, drafted, stops, ticket_of, ticket_text, unchecked

from onfold.body.figure_notes import BY_FORMULA_NAME
from onfold.body.measures import MEASURES, measure
from onfold.fitting.finding import find
from onfold.fitting.naming import FIGURE_NOTES, standing_names
from onfold.fitting.observation import AT, Observation, in_order, joined
from onfold.fitting.observing import (
    CAUSE,
    OBSERVATION,
    TOP,
    read_observations,
    shipped_names,
    shipped_observations,
)
from onfold.fitting.ranking import Ranked, applicable, ranked
from onfold.fitting.values import Values, formula_kind, values_of
from onfold.formula import check_name
from onfold.geometry.path import length
from onfold.problems import CODES
from onfold.project import shipped_recipe, shipped_recipes
from onfold.project_figure import names_used
from onfold.shelf.ticket import read_ticket_text
from onfold.units import Quantity, System, read_quantity

HERE = Path(__file__).resolve().parent
RANKS = yaml.safe_load((HERE / "fitting" / "ranks.yaml").read_text("utf-8"))
BY_NAME = {each.seen: each for each in shipped_observations()}
SHIPPED = (HERE.parent / "onfold" / "fitting" / "observations.yaml").read_text("utf-8")


def ticket_for(case: dict[str, Any], units: str = "cm") -> str:
    base = RANKS["bases"][case["base"]]
    sizes = {**base["measures"], **case.get("measures", {})}
    for name in case.get("untaped", ()):
        del sizes[name]
    cloth = {**base["cloth"], **case.get("cloth", {})}
    return ticket_text(base["recipe"], sizes, cloth, case.get("choices"), units=units)


@lru_cache(maxsize=256)
def values_for(text: str, notes: tuple[tuple[str, float], ...] = ()) -> Values:
    draft = unchecked(text)
    assert not stops(draft.pattern.problems), (draft.pattern.problems, text)
    ticket = ticket_of(text)
    assert ticket.recipe is not None
    used = names_used(shipped_recipe(ticket.recipe.text).steps, draft.choices)
    drafted_for = {name: dict(notes).get(name, 0.0) for name in BY_FORMULA_NAME if name in used}
    assert set(dict(notes)) <= set(drafted_for)
    return values_of(draft.pattern, ticket.cloth, draft.body.measures, draft.choices, drafted_for)


def ranked_for(seen: str, case: dict[str, Any], units: System = "cm") -> tuple[Ranked, ...]:
    values = values_for(ticket_for(case), tuple(case.get("notes", {}).items()))
    return ranked(BY_NAME[seen], values, units)


def kind_and_name(each: Ranked) -> str:
    change = each.change
    names = change.choices or change.figure or change.measures
    return f"{each.cause.kind} {next(iter(names), '')}"


CASES = [(each["seen"], case) for each in RANKS["cases"] for case in each["drafts"]]


@pytest.mark.parametrize(("seen", "case"), CASES, ids=[f"{seen}: {case['first']}" for seen, case in CASES])
def test_the_cause_a_fitter_looks_for_first_comes_first(seen: str, case: dict[str, Any]) -> None:
    found = ranked_for(seen, case)
    told = [(kind_and_name(each), round(each.weight, 2), each.cause.because) for each in found]
    assert case["why"].endswith(".")
    assert found and kind_and_name(found[0]) == case["first"], told
    assert case.get("cause", "") in found[0].cause.because, told
    assert len(found) < 2 or found[0].weight > found[1].weight + 0.05, told


def test_every_observation_has_two_drafts_in_which_different_causes_come_first() -> None:
    firsts = defaultdict(set)
    for seen, case in CASES:
        firsts[seen].add((case["first"], case.get("cause", "")))
    assert set(firsts) == set(BY_NAME)
    assert not [seen for seen, first in firsts.items() if len(first) < 2]


# The shipped vocabulary -------------------------------------------------------------------------------------------


def sentences(observation: Observation) -> list[str]:
    said = [observation.look]
    for cause in observation.causes:
        said += [cause.because, cause.watch, "".join(part if isinstance(part, str) else "…" for part in cause.says)]
    return [each for each in said if each]


def test_the_vocabulary_is_large_sound_and_in_the_order_of_looking() -> None:
    shipped = shipped_observations()
    assert len(shipped) >= 36  # the least that was asked for
    names = re.findall(r"^  - seen: (.+)$", SHIPPED, re.MULTILINE)
    assert [each.seen for each in shipped] == names  # the file itself stands in the order of T184 [C]
    assert {each.at for each in shipped} == set(AT) - {"sleeve"}  # neither shipped garment has sleeves
    assert all(len(each.causes) >= 2 and each.also for each in shipped)


def test_its_words_are_those_of_the_trade() -> None:
    for observation in shipped_observations():
        for said in sentences(observation):
            assert said[0].isupper() and said.endswith("."), said
            assert not re.search(r"[!–—]|\bplease\b|\bcm of\b.*\bcm of\b", said), said
        assert observation.seen == observation.seen.lower()
        for cause in observation.causes:
            assert cause.because.count(". ") == 0, cause.because
            assert cause.kind == "measure" or cause.watch, cause.because
            assert cause.kind == "measure" or cause.says, cause.because
            assert cause.kind in ("measure", "steps") or cause.by is not None or len(cause.choices) == 1


def test_no_two_observations_go_by_the_same_name_but_where_the_side_is_left_open() -> None:
    named = defaultdict(list)
    for each in shipped_observations():
        for name in (each.seen, *each.also):
            named[name].append(each.seen)
    shared = {name: seen for name, seen in named.items() if len(seen) > 1}
    assert set(shared) == {"one strap longer than the other", "hem rides up at one side"}


def test_the_names_it_lists_are_those_of_the_shipped_recipes() -> None:
    """A vocabulary speaks of choices and facts by name and kind; each is one of a shipped recipe's, of that kind."""
    choices = {
        name: choice for recipe in map(shipped_recipe, shipped_recipes()) for name, choice in recipe.choices.items()
    }
    drawn: dict[str, str] = {}
    for text in (ticket_for({"base": "sheath", "choices": {"side dart": "3 cm"}}), ticket_for({"base": "skirt"})):
        drawn |= {name: formula_kind(kind) for name, kind in values_for(text).kinds.items()}
    for name, kind in shipped_names().kinds.items():
        assert kind == (choices[name].kind if name in choices else drawn[name]), name
    assert shipped_names().words == {"facing edge": choices["facing edge"].words, "straps": choices["straps"].words}


def test_standing_names_can_stand_in_formulas_and_mean_something_in_a_draft() -> None:
    # 'rounded' is a word of formulas too; the note is known as a whole, so the two are never mistaken for one another
    assert {name for name in standing_names() if check_name(name) is not None} == {"rounded back"}
    known: dict[str, str] = {}
    for text in (ticket_for({"base": "sheath", "choices": {"side dart": "3 cm"}}), ticket_for({"base": "skirt"})):
        known |= {name: formula_kind(kind) for name, kind in values_for(text).kinds.items()}
    never = {name for name in standing_names() if name not in known}
    levels = {"underbust", "thigh", "knee"}  # the shipped recipes have no such levels
    never -= {"right hip high", "left hip high"}  # and draft both hips alike
    assert {name for name in never if not levels & set(name.split())} == set()
    assert all(known[name] == kind for name, kind in standing_names().items() if name in known)


def test_what_it_asks_of_the_body_is_in_the_body_room() -> None:
    for observation in shipped_observations():
        for cause in observation.causes:
            assert all(measure(name) is not None for name in cause.measures)
            assert set(cause.figure) <= set(FIGURE_NOTES)
            assert not set(cause.choices) & set(MEASURES)  # a fitting never falsifies the body


# Values -----------------------------------------------------------------------------------------------------------


def test_values_are_those_of_the_draft() -> None:
    values = values_for(ticket_for({"base": "sheath", "choices": {"bust reduction": "30 %"}, "untaped": ["hip"]}))
    known = values.known
    assert known["finished bust"] == pytest.approx(920.0 / (1.0 + 0.3 * 0.6))  # [A] body / (1 + share x stretch), T89
    assert known["wearing stretch at bust"] == pytest.approx(0.18)  # [A]
    assert known["ease at bust"] == pytest.approx(known["finished bust"] - 920.0)  # [A] T94
    assert known["comfortable stretch"] == 0.3  # [C] half of all there is
    assert known["front extra"] == pytest.approx(260.0 + 160.0 - 170.0 - 220.0)  # [A] over the bust less straight down
    assert known["underarm to bust"] == 60.0 and known["estimated underarm to bust"] == 0.0  # [A] 22 - 16, no estimate
    assert known["estimated hip"] == 1.0 and known["doubt about hip"] > 5.0
    assert known["estimated bust"] == known["doubt about bust"] == 0.0
    assert known["sway back"] == 0.0 and known["left waist to knee"] == known["right waist to knee"] == 590.0
    assert known["straps crossed"] == 1.0 and known["straps straight"] == 0.0 and values.words["straps"] == "crossed"
    assert "fall" not in known and values.bounds["fall"] == (
        0.0,
        600.0,
    )  # left open, and yet within the recipe's bounds
    assert values.edge_length("side", "front") == pytest.approx(values.edge_length("side", "back") or 0.0, abs=1.0)
    assert values.edge_length("side", "sleeve") is None


def test_a_skirts_darts_vent_and_stride() -> None:
    text = ticket_for({"base": "skirt", "choices": {"length": "85 cm", "vent length": "10 cm"}})
    known = values_for(text).known
    assert known["dart length front"] == pytest.approx(100.0) and known["darts back"] == 1.0
    assert known["dart width front"] == pytest.approx(
        known["front dart"], abs=3.0
    )  # its mouth lies on the curved waist
    assert known["vent length"] == 100.0 and known["back vent length"] == pytest.approx(90.0)  # sloped off by 1 cm
    stride = next(each for each in drafted(text).pattern.problems if each.code == "STRIDE")
    assert stride and known["room to stride"] < 0.0
    assert values_for(ticket_for({"base": "skirt"})).known["room to stride"] > 0.0


def test_what_lacks_to_pass_is_what_the_check_says() -> None:
    case = {
        "base": "sheath",
        "cloth": {"stretch": "{across: 20 %, along: 10 %}"},
        "choices": {"waist reduction": "50 %"},
    }
    text = ticket_for({**case, "measures": {"hip": "118 cm", "round the shoulders": "125 cm"}})
    draft = drafted(text)
    values = values_of(draft.pattern, ticket_of(text).cloth, draft.body.measures, draft.choices)
    problem = next(each for each in draft.pattern.problems if each.code == "GETTING-IN")
    assert values.known["room to pass"] < 0.0
    assert f"It lacks {-values.known['room to pass'] / 10.0:.0f}"[:11] in problem.says
    assert values.known["narrowest at waist"] == 1.0


def test_a_draft_with_nothing_drawn_gives_values_and_no_fault() -> None:
    text = ticket_text("straight-skirt", {"height": 1200.0}, WOVEN, figure="child")
    draft = unchecked(text)
    values = values_of(draft.pattern, ticket_of(text).cloth, draft.body.measures, draft.choices)
    assert stops(draft.pattern.problems) and values.known["pile"] == 0.0
    assert all(isinstance(each, tuple) for each in (ranked(one, values) for one in shipped_observations()))


# Ranking ----------------------------------------------------------------------------------------------------------


def named(found: tuple[Ranked, ...], wanted: str) -> Ranked:
    return next(each for each in found if kind_and_name(each) == wanted)


def test_a_change_is_written_in_the_makers_units() -> None:
    metric = ranked_for("pulls across the hips", {"base": "skirt", "choices": {"hip ease": "2 cm"}})[0]
    assert metric.change.choices == {"hip ease": "3.5 cm"}
    assert metric.says == "Let the hip out by 1.5 cm all round, to 3.5 cm of ease."
    assert metric.why == "ease at hip 2 cm" and metric.held == ""
    inches = ranked_for("pulls across the hips", {"base": "skirt", "choices": {"hip ease": "1 in"}}, "in")[0]
    assert inches.change.choices == {"hip ease": "1 9/16 in"}  # 1 in + 1.5 cm, to 1/16 in
    assert inches.says == "Let the hip out by 9/16 in all round, to 1 9/16 in of ease."


def test_what_the_maker_pinned_out_takes_the_place_of_the_usual_amount() -> None:
    values = values_for(ticket_for({"base": "skirt", "choices": {"hip ease": "2 cm"}}))
    pinned = ranked(BY_NAME["pulls across the hips"], values, "cm", by=27.0)[0]
    assert pinned.change.choices == {"hip ease": "4.7 cm"} and "by 2.7 cm" in pinned.says
    for nothing in (0.0, -5.0):
        usual = ranked(BY_NAME["pulls across the hips"], values, "cm", by=nothing)[0]
        assert usual.change.choices == {"hip ease": "3.5 cm"}


def test_a_reduction_that_is_let_out_gives_the_girth_that_was_asked_for() -> None:
    case = {"base": "sheath", "choices": {"bust reduction": "45 %"}}
    before = values_for(ticket_for(case)).known["finished bust"]
    first = ranked_for("bust too tight", case)[0]
    after = values_for(ticket_for({**case, "choices": first.change.choices})).known["finished bust"]
    assert after - before == pytest.approx(20.0, abs=4.0)  # 1 % of the share, to which it is written, is 4 mm here


def test_a_change_stops_at_the_recipes_bounds_says_so_and_ranks_lower() -> None:
    free = named(
        ranked_for("waist too loose", {"base": "skirt", "choices": {"waist ease": "1.4 cm"}}), "choice waist ease"
    )
    held = named(
        ranked_for("waist too loose", {"base": "skirt", "choices": {"waist ease": "0.4 cm"}}), "choice waist ease"
    )
    assert free.held == "" and free.change.choices == {"waist ease": "0.4 cm"}
    assert held.change.choices == {"waist ease": "0 cm"}
    assert held.held == "Waist ease: the recipe drafts at least 0 cm."
    assert "by 0.4 cm" in held.says
    assert held.weight == pytest.approx(0.1 * 0.4)  # four tenths of what was wanted are left
    at_its_end = ranked_for("waist too loose", {"base": "skirt", "choices": {"waist ease": "0 cm"}})
    assert "choice waist ease" not in map(kind_and_name, at_its_end)


@pytest.mark.parametrize("by", [1e-9, 0.3, 40.0, 1e4, 1e300, float("inf"), float("nan")])
def test_whatever_was_pinned_out_no_choice_leaves_its_bounds(by: float) -> None:
    values = values_for(ticket_for({"base": "sheath", "choices": {"side dart": "2 cm"}}))
    for observation in shipped_observations():
        for each in ranked(observation, values, "cm", by):
            for name, text in each.change.choices.items():
                if name in values.bounds:
                    least, most = values.bounds[name]
                    value = read_quantity(text)
                    assert isinstance(value, Quantity)
                    assert least is None or value.value >= least - 1e-9
                    assert most is None or value.value <= most + 1e-9


def test_two_choices_that_go_together_are_cut_short_together() -> None:
    case = {"base": "sheath", "choices": {"side dart": "4.5 cm", "bust ease": "2 cm"}}
    found = named(ranked_for("dart points bubble", case), "choice side dart")
    assert found.change.choices == {"side dart": "4 cm", "bust ease": "2.5 cm"}  # 5 mm of ease are left
    assert "at most 2.5 cm" in found.held


def test_written_in_inches_a_bound_is_never_passed() -> None:
    case = {"base": "skirt", "choices": {"waist ease": "2 in"}}
    found = named(ranked_for("waist too tight when sitting", case, "in"), "choice waist ease")
    assert found.change.choices == {"waist ease": "2 5/16 in"}  # at most 6 cm: 2 3/8 in would be 6.03 cm
    assert not stops(unchecked(ticket_for({**case, "choices": found.change.choices})).pattern.problems)


def test_ties_stand_in_the_files_order_and_the_best_stands_first() -> None:
    for seen, case in CASES[::7]:
        found = ranked_for(seen, case)
        places = [BY_NAME[seen].causes.index(each.cause) for each in found]
        for (a, first), (b, second) in pairwise(zip(places, found, strict=True)):
            assert first.weight > second.weight or (first.weight == second.weight and a < b)
            assert second.weight > 0.0


def test_a_garment_is_offered_only_what_can_be_seen_on_it() -> None:
    shipped = shipped_observations()
    dress = {each.seen for each in applicable(shipped, values_for(ticket_for({"base": "sheath"})))}
    skirt = {each.seen for each in applicable(shipped, values_for(ticket_for({"base": "skirt"})))}
    assert not {seen for seen in skirt if re.search(r"strap|cowl|bust|armhole|neck|low back|arm$", seen)}
    assert not {seen for seen in dress if re.search(r"waistband|vent|waist dart|back seam|skirt swings", seen)}
    assert {"hem dips in front", "pulls across the hips", "waist too loose", "skirt rides up"} <= dress & skirt
    assert "bust darts end too high" not in dress and "pile shows its ground" not in dress
    order = [AT.index(each.at) for each in applicable(shipped, values_for(ticket_for({"base": "sheath"})))]
    assert order == sorted(order)


@pytest.mark.parametrize(("base", "cloth"), [("sheath", KNIT), ("skirt", WOVEN)])
def test_whoever_wears_it_what_can_be_seen_keeps_a_cause(base: str, cloth: dict[str, str]) -> None:
    expected = {each.seen for each in applicable(shipped_observations(), values_for(ticket_for({"base": base})))}
    recipe = RANKS["bases"][base]["recipe"]
    for body in survey_women(240)[::24] + survey_women(500, every=True)[7::90]:
        values = values_for(ticket_text(recipe, body, cloth))
        got = {each.seen for each in applicable(shipped_observations(), values)}
        assert expected <= got, (expected - got, body)


def test_a_word_that_is_already_so_is_no_change() -> None:
    crossed = ranked_for("straps slip off", {"base": "sheath"})
    assert "choice straps" not in map(kind_and_name, crossed)
    assert named(ranked_for("straps slip off", {"base": "sheath", "choices": {"straps": "straight"}}), "choice straps")


def test_a_measure_is_taken_again_in_the_words_of_its_own_table() -> None:
    found = named(ranked_for("pulls across the hips", {"base": "skirt", "untaped": ["hip"]}), "measure hip")
    assert found.change.measures == {"hip": "", "waist to hip": ""}
    assert found.says.startswith(f"Take hip again: round {MEASURES['hip'].how[6:]}")
    assert found.why.startswith("hip was not taped, hip may be ")
    both = named(ranked_for("right strap hangs slack", {"base": "sheath", "untaped": ["shoulder to underarm"]}),
                 "measure right shoulder to underarm")  # fmt: skip
    assert both.says.startswith("Take right shoulder to underarm and left shoulder to underarm again: ")


def test_added_steps_are_written_as_a_recipe_takes_them() -> None:
    case = {"base": "skirt", "measures": {"thigh": "68 cm"}}
    found = next(each for each in ranked_for("thighs too tight", case) if each.cause.kind == "steps")
    sides = "edges: [side of front, side of back]"
    written = f"let out: {{{sides}, by: 0.5 cm, from: hip, to: lower end, runs out: 10 cm}}"
    assert found.change.steps == (("outlines drawn", written),)
    back = next(each for each in ranked_for("low back gapes", {"base": "sheath"}) if each.cause.kind == "steps")
    assert "by: '-0.5 cm', from: upper end, to: bust" in back.change.steps[0][1]
    for base, after, step in (("skirt", *found.change.steps[0]), ("sheath", *back.change.steps[0])):
        text = ticket_for({**case, "base": base} if base == "skirt" else {"base": base})
        fitted = f"{text}fittings:\n  - on: 2026-12-01\n    steps:\n      - after: {after}\n        {step}\n"
        draft = unchecked(fitted)
        assert not stops(draft.pattern.problems), draft.pattern.problems
        sides_of = [
            [length(edge.path) for edge in piece.edges if edge.root == "side"]
            for drawn in (unchecked(text), draft)
            for piece in drawn.pattern.pieces[:1]
        ]
        assert sides_of[0] != sides_of[1]


# Changes that are carried out -------------------------------------------------------------------------------------


def with_choices(text: str, choices: dict[str, str]) -> str:
    """The ticket's text with choices written into it."""
    body, _, after = text.partition("choices:\n")
    kept = [line for line in after.splitlines() if line.strip().split(":")[0] not in choices]
    written = [f"  {name}: '{value}'" for name, value in choices.items()]
    return body + "\n".join(["choices:", *kept, *written]) + "\n"


@lru_cache(maxsize=512)
def stop_codes(text: str) -> frozenset[tuple[str, str]]:
    ticket, problems = read_ticket_text(text, "ticket.yaml")
    assert ticket is not None and not problems, (problems, text)
    return frozenset((each.code, each.where.piece) for each in stops(drafted(text).pattern.problems))


BODIES = [survey_women(500, every=True)[at] for at in (3, 200, 411)]


@pytest.mark.parametrize("body", BODIES, ids=["first", "second", "third"])
@pytest.mark.parametrize(("base", "cloth"), [("sheath", KNIT), ("skirt", WOVEN)])
def test_each_choice_that_is_offered_can_be_drafted(base: str, cloth: dict[str, str], body: dict[str, float]) -> None:
    text = ticket_text(RANKS["bases"][base]["recipe"], body, cloth)
    values = values_for(text)
    tried = set()
    for observation in shipped_observations():
        for each in ranked(observation, values):
            if each.cause.kind == "choice":
                changed = with_choices(text, each.change.choices)
                assert stop_codes(changed) <= stop_codes(text), (observation.seen, each.change)
                tried.add(changed)
    assert len(tried) > 20


def test_every_choice_that_a_cause_asks_for_is_carried_out_somewhere_and_speaks_for_itself_no_more() -> None:
    """Each choice-kind cause, in a draft where it comes first or beside that one: no new stop, and no likelier then."""
    tried = set()
    for seen, case in CASES:
        text, notes = ticket_for(case), tuple(case.get("notes", {}).items())
        for each in ranked(BY_NAME[seen], values_for(text, notes)):
            if each.cause.kind != "choice" or (seen, each.cause.because) in tried:
                continue
            tried.add((seen, each.cause.because))
            changed = with_choices(text, each.change.choices)
            assert stop_codes(changed) <= stop_codes(text), (seen, each.change)
            again = ranked(BY_NAME[seen], values_for(changed, notes))
            after = next((other.weight for other in again if other.cause is each.cause), 0.0)
            assert after <= each.weight + 1e-6, (seen, each.change, each.weight, after)
    every = {
        (one.seen, cause.because) for one in shipped_observations() for cause in one.causes if cause.kind == "choice"
    }
    assert tried == every


# What was said ----------------------------------------------------------------------------------------------------


def test_every_name_is_found_and_every_other_way_of_saying_it() -> None:
    for each in shipped_observations():
        assert find(shipped_observations(), each.seen).observation is each
        assert find(shipped_observations(), f"  {each.seen.upper()}. ").observation is each
        for name in each.also:
            found = find(shipped_observations(), name)
            assert found.observation is each or each in found.near, name


SAID = {
    "the straps keep slipping off her shoulders": "straps slip off",
    "straps always slide down": "straps slip off",
    "it gapes at the low back": "low back gapes",
    "the back gapes": "low back gapes",
    "waist is too tight sitting down": "waist too tight when sitting",
    "she cannot walk in it, the hem is too narrow": "hem strains in walking",
    "hem is lower at the back": "hem dips at the back",
    "the hem dips at the back": "hem dips at the back",
    "hem hangs lower in the front": "hem dips in front",
    "cowl is hanging too low": "cowl falls too low",
    "the drape falls too low": "cowl falls too low",
    "cowl doesn't drape": "cowl does not fall",
    "the facing of the cowl shows": "cowl shows its facing",
    "wrinkles across the back above the bottom": "folds across the back above the seat",
    "horizontal folds across the belly in front": "folds across the front at the tummy",
    "drag lines from bust to side seam": "drags from the bust to the side",
    "the bust is too tight": "bust too tight",
    "too small across the breasts": "bust too tight",
    "armhole gaping": "armhole gapes",
    "armholes gape": "armhole gapes",
    "it cuts in under the arms": "armhole cuts in under the arm",
    "vent won't stay closed": "vent hangs open",
    "the slit gapes": "vent hangs open",
    "skirt rides up when walking": "skirt rides up",
    "velvet shows its ground": "pile shows its ground",
    "side seam swings to the front": "side seam runs forward",
    "seat bags out after wearing": "cloth bags after wear",
    "strains across the hips": "pulls across the hips",
    "too tight over the hip": "pulls across the hips",
    "waistband rolls over": "waistband folds over",
    "waste band rolls": "waistband folds over",
    "hem rides up on the right": "hem rides up at the right side",
    "dart points are bubbling": "dart points bubble",
    "bubbles at the end of the darts": "dart points bubble",
    "it will not go on over the shoulders": "cannot be pulled on",
    "side seams pucker": "side seam puckers",
    "you can see down her front when she bends": "neck feels low when bending",
    "bra shows under the arm": "underwear shows under the arm",
    "spare cloth under the bum": "folds under the seat",
}


@pytest.mark.parametrize("said", SAID)
def test_a_makers_own_words_are_understood(said: str) -> None:
    found = find(shipped_observations(), said)
    assert found.observation is not None, [each.seen for each in found.near]
    assert found.observation.seen == SAID[said]


OFFERED = {
    "waistband digs into the stomach when I sit": "waist too tight when sitting",
    "something sags between the straps": "cowl falls too low",
    "the skirt is all twisted to the front when walking": "skirt swings to the front",
}


@pytest.mark.parametrize("said", OFFERED)
def test_words_that_fit_half_are_met_with_what_they_may_mean(said: str) -> None:
    found = find(shipped_observations(), said)
    told = [found.observation] if found.observation else list(found.near)
    assert OFFERED[said] in {each.seen for each in told}, [each.seen for each in told]


OPEN = {
    "hem dips": {"hem dips in front", "hem dips at the back"},
    "hem rides up at one side": {"hem rides up at the right side", "hem rides up at the left side"},
    "one strap longer than the other": {"right strap hangs slack", "left strap hangs slack"},
    "bust dart is wrong": {"bust darts end too high", "bust darts end too low"},
    "darts": {"dart points bubble", "waist darts end too low", "waist darts end too high"},
    "it gapes": {"armhole gapes", "low back gapes", "cowl gapes sideways"},
}


@pytest.mark.parametrize("said", OPEN)
def test_words_that_may_mean_several_give_them_all_and_choose_none(said: str) -> None:
    found = find(shipped_observations(), said)
    assert found.observation is None
    assert OPEN[said] <= {each.seen for each in found.near}, [each.seen for each in found.near]


@pytest.mark.parametrize(
    "said", ["", "   ", "?!", "the buttons are the wrong blue", "x" * 5000, "🧵🪡", "front", "\x00"]
)
def test_words_that_mean_nothing_here_find_nothing(said: str) -> None:
    assert find(shipped_observations(), said).observation is None


def test_front_is_never_taken_for_back_nor_right_for_left() -> None:
    for said, wrong in (
        ("hem dips in front", "back"),
        ("right strap hangs slack", "left"),
        ("waist too loose", "tight"),
    ):
        found = find(shipped_observations(), f"I think the {said} somehow")
        said_of = [found.observation] if found.observation else list(found.near)
        assert said_of and not [each.seen for each in said_of if wrong in each.seen.split()]


# A maker's own vocabulary -----------------------------------------------------------------------------------------

OWN = """vocabulary: ours
names:
  train: length
  lining: [full, half]
observations:
  - seen: Train drags on the floor
    also: [train too long]
    at: hem
    look: Let the wearer turn once.
    needs: [train]
    causes:
      - because: It was drafted long.
        likely: 1 + train / 10 cm
        choice: {train: train - by}
        by: 5 cm
        says: Shorten the train by {by}, to {new train}.
      - because: A full lining weighs it down.
        likely: lining full * 0.5
        choice: {lining: half}
        says: Line it half.
  - seen: hem dips in front
    at: hem
    look: Look at it.
    causes:
      - because: Ours.
        likely: 1
        measure: [waist to floor front]
"""


def test_a_makers_own_observations_join_the_shipped_ones_and_replace_those_of_their_name() -> None:
    own, problems = read_observations(OWN, "ours.yaml")
    assert problems == []
    assert [each.seen for each in own] == ["Train drags on the floor", "hem dips in front"]
    every = joined(shipped_observations(), own)
    assert len(every) == len(shipped_observations()) + 1
    assert every == in_order(every)
    assert find(every, "hem dips in front").observation is own[1]
    assert find(every, "the train is too long").observation is own[0]
    values = Values({"train": 1500.0, "lining full": 1.0}, {"train": "length", "lining full": "yes"},
                    {"train": (0.0, None)}, {"lining": "full"})  # fmt: skip
    first, second = ranked(own[0], values, "in")
    assert first.change.choices == {"train": "57 1/16 in"} and second.change.choices == {"lining": "half"}
    assert ranked(own[0], values_for(ticket_for({"base": "skirt"}))) == ()


def test_a_name_of_another_kind_is_another_thing() -> None:
    own, _ = read_observations(OWN, "ours.yaml")
    values = Values({"train": 0.3}, {"train": "share"}, {"train": (0.0, 1.0)})
    assert ranked(own[0], values) == ()


FAULTS = [
    ("at: hem\n    look: Let", "at: hemm\n    look: Let", "VALUE-WRONG", "hemm"),
    ("seen: Train drags", "sen: Train drags", "KEY-UNKNOWN", "sen"),
    ("likely: 1 + train / 10 cm", "likely: 1 + trian / 10 cm", "FORMULA-NAME", "trian"),
    ("likely: 1 + train / 10 cm", "likely: train + 10 cm", "FORMULA-UNIT", "train + 10 cm"),
    ("likely: 1 + train / 10 cm", "likely: 1 + train / 10", "FORMULA-UNIT", "1 +"),
    ("choice: {train: train - by}", "choice: {trian: train - by}", "CHOICE-UNKNOWN", "trian"),
    ("choice: {train: train - by}", "choice: {train: train / by}", "FORMULA-UNIT", "train / by"),
    ("choice: {train: train - by}", "choice: {}", "VALUE-EMPTY", "{}"),
    ("choice: {lining: half}", "choice: {lining: hal}", "VALUE-WRONG", "hal}"),
    ("choice: {lining: half}", "figure: {sway bak: 1 cm}", "VALUE-WRONG", "sway bak"),
    ("choice: {lining: half}", "figure: {sway back: 20 %}", "FORMULA-UNIT", "20 %"),
    ("choice: {lining: half}", "choice: {lining: half}\n        measure: [hip]", "CAUSE-CHANGE", "measure"),
    ("        choice: {lining: half}\n", "", "CAUSE-CHANGE", "because: A full"),
    ("says: Line it half.", "", "KEY-MISSING", "because: A full"),
    ("says: Line it half.", "says: Line it {halff}.", "FORMULA-NAME", "halff"),
    ("says: Line it half.", "says: Line it {half.", "VALUE-WRONG", "{half."),
    ("measure: [waist to floor front]", "measure: [waste]", "MEASURE-UNKNOWN", "waste"),
    ("measure: [waist to floor front]", "steps: [{let owt: {by: by}}]", "VERB-UNKNOWN", "let owt"),
    ("measure: [waist to floor front]", "steps: [{rule down: {name: x}}]", "KEY-MISSING", "{name"),
    ("  - seen: hem dips in front", "  - seen: train drags on the FLOOR", "SEEN-TWICE", "seen: train"),
    ("needs: [train]", "needs: [trane]", "FORMULA-NAME", "trane"),
    ("  train: length", "  hip: length", "VALUE-WRONG", "hip"),
    ("  train: length", "  train: lenght", "VALUE-WRONG", "lenght"),
    ("  train: length", "  train: length\n  by: length", "VALUE-WRONG", "by: length"),
    ("  train: length", "  train: length\n  train of silk: length", "VALUE-WRONG", "train of silk"),
    ("by: 5 cm", "by: 5 cmm", "FORMULA", "cmm"),
    ("look: Look at it.", "look: [a, b]", "FILE-SHAPE", "[a, b]"),
    ("look: Look at it.", "look:", "VALUE-EMPTY", ""),
    ("vocabulary: ours", "vocabulary: &x ours", "FILE-ALIAS", "&x"),
]


@pytest.mark.parametrize(("sound", "wrong", "code", "at"), FAULTS, ids=[f"{fault[2]} {fault[3]}" for fault in FAULTS])
def test_a_fault_is_told_at_its_line_and_caret(sound: str, wrong: str, code: str, at: str) -> None:
    assert OWN.count(sound) == 1
    read, problems = read_observations(OWN.replace(sound, wrong), "ours.yaml")
    told = [each for each in problems if each.code == code]
    assert told, problems
    shown = [each.excerpt.splitlines() for each in told]
    assert any(line[caret.index("^") :].startswith(at) for line, caret in shown), shown
    for each, (line, _) in zip(told, shown, strict=True):
        assert each.where.file == "ours.yaml" and each.says and each.severity == "stop"
        assert OWN.replace(sound, wrong).splitlines()[each.where.line - 1] == line
    assert read  # the other observation is sound, or what is left of this one


def test_all_faults_are_told_at_once_and_what_is_sound_is_kept() -> None:
    wrong = OWN
    for sound, other, code, _ in (FAULTS[0], FAULTS[8], FAULTS[16]):
        assert code
        wrong = wrong.replace(sound, other)
    read, problems = read_observations(wrong, "ours.yaml")
    assert {each.code for each in problems} == {"VALUE-WRONG", "MEASURE-UNKNOWN"} and len(problems) == 3
    assert read == ()
    half, problems = read_observations(OWN.replace("measure: [waist to floor front]", "measure: [waste]"), "ours.yaml")
    assert [each.seen for each in half] == ["Train drags on the floor"] and len(problems) == 1


# Damage -----------------------------------------------------------------------------------------------------------

BLOCKS = re.split(r"(?m)^(?=  - seen: )", SHIPPED)
SHORT = BLOCKS[0] + "".join(BLOCKS[at] for at in (1, 6, 12, 24, 29, 43, 49))
FORMULAS = ("likely", "by", "choice", "figure", "at", "measure", "needs")


@pytest.mark.parametrize("seed", range(0, 300, 60))
def test_damaged_vocabularies_are_answered(seed: int) -> None:
    text = "".join(line for line in SHORT.splitlines(keepends=True) if not line.lstrip().startswith("#"))
    for each in range(seed, seed + 60):
        done = damage.damaged(SHIPPED if each % 20 == 0 else text, each)
        readable = done.text.encode("utf-8", "surrogateescape").decode("utf-8", "replace")
        read, problems = read_observations(readable, "ours.yaml")
        values = values_for(ticket_for({"base": "sheath"}))
        assert all(isinstance(ranked(one, values), tuple) for one in read)
        assert all(one.code in CODES and one.says for one in problems)
        lines = done.text.splitlines()
        struck = lines[done.line - 1].strip().split(":")[0] if 0 < done.line <= len(lines) else ""
        if done.one_line and struck in FORMULAS:
            near = [one for one in problems if abs(one.where.line - done.line) <= 1]
            assert near, (each, done.kind, lines[done.line - 1], [(one.code, str(one.where)) for one in problems][:4])


# The page ---------------------------------------------------------------------------------------------------------

PAGE = (HERE.parent / "docs" / "fitting-words.md").read_text("utf-8")


def test_the_vocabulary_of_the_page_reads_and_ranks() -> None:
    (shown,) = re.findall(r"^```yaml\n(.*?)^```", PAGE, re.MULTILINE | re.DOTALL)
    (train,), problems = read_observations(shown, "ours.yaml")
    assert problems == []
    sizes = {"train": 500.0, "hip": 980.0, "waist": 740.0, "sway back": 0.0}
    found = ranked(train, Values(sizes, dict.fromkeys(sizes, "length"), {"train": (0.0, None)}))
    assert [each.says for each in found] == ["Shorten the train by 5 cm, to 45 cm.", "Note a sway back of 1 cm."]


def test_the_page_names_every_key_and_every_kind_of_name() -> None:
    told = set(re.findall(r"`([^`]+)`", re.sub(r"```.*?```", "", PAGE, flags=re.DOTALL)))
    assert {*TOP, *OBSERVATION, *CAUSE} <= told
    for name in standing_names():
        kinds = name.replace("back", "front") if name.startswith("dart") else name
        plain = re.sub(r"(at|finished|estimated|about) .+$", r"\1 hip", kinds)
        sided = re.sub(r"^(left|right) .+$", r"\1 waist to knee", plain) if plain not in FIGURE_NOTES else plain
        assert sided in told or name in MEASURES or name in FIGURE_NOTES, name
