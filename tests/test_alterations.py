"""A garment made elsewhere: read, reckoned, set in order, printed; and what a ticket without a recipe leaves whole."""

from __future__ import annotations

import io
import json
from pathlib import Path
from random import Random
from typing import Any

import jsonschema
import pypdf
import pytest
from click.testing import CliRunner
from test_schema import plain_data
from test_ticket import speaks_safely

from onfold.body.taken import Taken
from onfold.cli import main
from onfold.cloth import settle
from onfold.construction.alteration import EDGE_VERBS, SEAM_VERBS, Alteration, Found, Work
from onfold.making.altered import Job, MeasureAfter, answers_of, crossed, measures_after, seams_of, too_small
from onfold.making.altering import FIRST, SECOND, TRIAL, altering
from onfold.making.operation import MakingUp
from onfold.problems import Problem, unreadable
from onfold.project import Garment, open_ticket, schema_of
from onfold.project_altering import alteration_data
from onfold.recipe.yaml_nodes import compose
from onfold.shelf.ticket import Ticket, read_ticket_text

EXAMPLE = Path(__file__).resolve().parent.parent / "examples" / "alterations" / "tenor-1-trousers.yaml"
TEXT = EXAMPLE.read_text("utf-8")
WOOL = settle("woven", 1500.0, fibre=(("wool", 1.0),))


def sound(text: str) -> Ticket:
    ticket, problems = read_ticket_text(text, "a.yaml")
    assert ticket is not None and problems == [], problems
    return ticket


def faults(text: str) -> list[Problem]:
    return [each for each in read_ticket_text(text, "a.yaml")[1] if each.severity == "stop"]


def job(*work: Work, found: dict[str, Found] | None = None, garment: str = "trousers", **measured: float) -> Job:
    named = {name.replace("_", " "): value for name, value in measured.items()}
    return Job(Alteration(garment, found or {}, named, work), WOOL)


def after(told: Job) -> dict[str, float]:
    return {each.name: each.after for each in measures_after(told)}


# --- reading ---


def test_the_example_reads_as_it_is_written() -> None:
    read = sound(TEXT).alteration
    assert read is not None
    assert read.garment == "black trousers, bought"
    assert {name: (each.inlay, each.finish) for name, each in read.found.items()} == {
        "centre back seam": (30.0, "plain 10 mm"),
        "hem": (60.0, "single turned 40 mm"),
    }
    assert read.measured == {"waist": 840.0, "hip": 1060.0, "inside leg": 830.0}
    assert [(each.verb, each.what, each.by, each.start, each.stop, each.seams) for each in read.work] == [
        ("let out", "centre back seam", 18.0, "waist", "hip", 0),
        ("shorten", "hem", 30.0, "", "", 0),
        ("replace", "zip", 0.0, "", "", 0),
        ("mend", "pocket bag", 0.0, "", "", 0),
    ]
    assert read.notes.startswith("He sings sitting")
    assert read.work[0].place.line == TEXT[: TEXT.index("let out: {")].count("\n") + 1


def test_exactly_one_of_recipe_and_alteration() -> None:
    neither = TEXT[: TEXT.index("alteration:")] + TEXT[TEXT.index("paper:") :]
    (fault,) = faults(neither)
    assert fault.code == "KEY-MISSING" and "neither 'recipe' nor 'alteration'" in fault.says
    (both,) = faults(TEXT.replace("units: cm", "recipe: straight-skirt"))
    assert both.code == "KEY-CLASH" and "both" in both.says
    assert TEXT.splitlines()[both.where.line - 1].startswith("alteration:")
    (misspelt,) = faults(TEXT.replace("alteration:", "alteratoin:"))
    assert misspelt.code == "KEY-UNKNOWN" and misspelt.expected == "alteration"


@pytest.mark.parametrize(
    "line", ["choices: {length: 60 cm}", "finish: {hem: single turned 40 mm}", "cut on: 2026-10-08"]
)
def test_what_goes_with_a_recipe_only_is_told(line: str) -> None:
    (fault,) = faults(f"{TEXT}{line}\n")
    assert (fault.code, fault.where.line) == ("KEY-CLASH", TEXT.count("\n") + 1)


SLIPS = [
    ("garment: black trousers, bought", "garmet: black trousers, bought", "KEY-UNKNOWN"),
    ("inlay: 30 mm", "inlay: 30", "VALUE-WRONG"),
    ("inlay: 30 mm", "inlay: 30 m", "VALUE-RANGE"),
    ("inlay: 30 mm", "inaly: 30 mm", "KEY-UNKNOWN"),
    ("finish: plain 10 mm", "finish: plian 10 mm", "FINISH-UNKNOWN"),
    ("centre back seam: {inlay", "centre bakc seam: {inlay", "KEY-UNKNOWN"),
    ("waist: 84 cm", "wasit: 84 cm", "MEASURE-UNKNOWN"),
    ("waist: 84 cm", "waist: 84 kg", "VALUE-WRONG"),
    ("- let out:", "- let uot:", "VERB-UNKNOWN"),
    ("- let out:", "- embroider:", "VERB-UNKNOWN"),
    ("by: 18 mm", "by: 18 km", "VALUE-WRONG"),
    ("by: 18 mm", "by: 1.8 m", "VALUE-RANGE"),
    ("by: 18 mm, ", "", "KEY-MISSING"),
    ("from: waist", "from: wiast", "VALUE-WRONG"),
    ("to: hip}", "to: hip, seams: 1.5}", "VALUE-WRONG"),
    ("to: hip}", "to: hip, seams: 2 cm}", "VALUE-WRONG"),
    ("edge: hem", "seam: hem", "KEY-UNKNOWN"),
    ("- replace: zip", "- replace:", "VALUE-EMPTY"),
    ("- replace: zip", "- replace: [zip]", "FILE-SHAPE"),
    ("- replace: zip", "- {replace: zip, mend: hem}", "FILE-SHAPE"),
]


@pytest.mark.parametrize(("was", "wrong", "code"), SLIPS, ids=[wrong for _, wrong, _ in SLIPS])
def test_every_fault_is_told_at_its_line_with_a_caret(was: str, wrong: str, code: str) -> None:
    assert TEXT.count(was) == 1
    line = TEXT[: TEXT.index(was)].count("\n") + 1
    found = faults(TEXT.replace(was, wrong))
    assert code in {each.code for each in found}, found
    told = next(each for each in found if each.code == code)
    assert told.where.line == line and told.where.column > 1
    assert told.excerpt.endswith("^")
    assert told.remedy and speaks_safely(found)


def test_no_work_is_told_and_several_faults_are_told_at_once() -> None:
    start, end = TEXT.index("  work:"), TEXT.index("  notes:")
    (fault,) = faults(f"{TEXT[:start]}  work: []\n{TEXT[end:]}")
    assert fault.code == "VALUE-EMPTY"
    text = TEXT.replace("30 mm", "30").replace("to: hip", "to: hop").replace("waist: 84 cm", "wasit: 84 cm")
    assert len({each.where.line for each in faults(text)}) == 3


# --- reckoning ---


@pytest.mark.parametrize("b", [5.0, 12.5, 18.0])
def test_a_seam_let_out_on_both_sides_adds_twice_that(b: float) -> None:
    """[A] one centre seam: 2 b; two side seams round the trunk: 4 b; one side seam round each leg: 2 b."""
    girths = {"waist": 840.0, "hip": 1060.0, "thigh": 620.0, "hem": 400.0}
    centre = after(job(Work("let out", "centre back seam", b), **girths))
    assert centre == {"waist": 840.0 + 2 * b, "hip": 1060.0 + 2 * b, "thigh": 620.0, "hem": 400.0}
    sides = after(job(Work("take in", "side seam", b), **girths))
    assert sides == {"waist": 840.0 - 4 * b, "hip": 1060.0 - 4 * b, "thigh": 620.0 - 2 * b, "hem": 400.0 - 2 * b}
    legs = after(job(Work("take in", "inside leg seam", b), **girths))
    assert legs == {"waist": 840.0, "hip": 1060.0, "thigh": 620.0 - 2 * b, "hem": 400.0 - 2 * b}
    left = after(job(Work("take in", "left side seam", b), **girths))
    assert left["waist"] == 840.0 - 2 * b
    both = after(job(Work("let out", "centre back seam", b), Work("take in", "side seam", b), **girths))
    assert both["hip"] == 1060.0 - 2 * b
    stated = after(job(Work("let out", "panel seam", b, "waist", "hip", 4), **girths))
    assert stated["hip"] == 1060.0 + 8 * b and stated["thigh"] == 620.0


def test_between_two_levels_only_what_lies_there_is_changed() -> None:
    girths = {"bust": 920.0, "waist": 740.0, "hip": 980.0, "hem": 1500.0}
    work = Work("let out", "side seam", 10.0, "waist", "hip")
    assert after(job(work, garment="dress", **girths)) == {"bust": 920.0, "waist": 780.0, "hip": 1020.0, "hem": 1500.0}
    turned = Work("let out", "side seam", 10.0, "hip", "waist")
    assert after(job(turned, garment="dress", **girths)) == after(job(work, garment="dress", **girths))
    skirt = job(Work("let out", "centre back seam", 10.0), garment="skirt", **girths)
    assert after(skirt)["hem"] == 1520.0, "a skirt's centre seam runs to its hem, and its hem goes round once"


def test_an_edge_changes_the_lengths_that_end_at_it() -> None:
    lengths = {"inside_leg": 830.0, "outside_leg": 1080.0, "waist": 840.0}
    assert after(job(Work("shorten", "hem", 30.0), **lengths)) == {
        "inside leg": 800.0,
        "outside leg": 1050.0,
        "waist": 840.0,
    }
    assert after(job(Work("take up", "hem", 30.0), **lengths)) == after(job(Work("shorten", "hem", 30.0), **lengths))
    assert after(job(Work("let down", "sleeve hem", 20.0), sleeve=600.0)) == {"sleeve": 620.0}


def test_the_sum_is_said_and_adds_up() -> None:
    """[A] every term of the sum, read back, gives the measure after."""
    told = job(Work("let out", "centre back seam", 15.0), Work("take in", "side seam", 10.0), waist=840.0)
    (measure,) = measures_after(told)
    assert measure.sum == "84 cm + 2 × 15 mm (centre back seam) − 2 × 2 × 10 mm (side seam) = 83 cm"
    assert measure.after == 840.0 + 2 * 15.0 - 2 * 2 * 10.0


@pytest.mark.parametrize(
    ("inlay", "by", "finish", "way", "spare"),
    [
        (25.0, 10.0, "plain 15 mm", "reaches", 0.0),
        (40.0, 15.0, "plain 15 mm", "reaches", 10.0),
        (25.0, 15.0, "plain 15 mm", "narrower", -5.0),
        (25.0, 16.0, "plain 15 mm", "strip", -6.0),
        (10.0, 20.0, "plain 10 mm", "strip", -20.0),
    ],
)
def test_what_lies_beyond_a_seam_gives_what_is_let_out_and_what_the_seam_uses(
    inlay: float, by: float, finish: str, way: str, spare: float
) -> None:
    """[A] spare = what there is - what is let out - what the finish uses."""
    (answer,) = answers_of(job(Work("let out", "side seam", by), found={"side seam": Found(inlay, finish)}))
    assert (answer.way, answer.spare) == (way, spare)
    assert answer.beyond == inlay
    assert bool(answer.remedy) == (way != "reaches")


def test_a_strip_gives_what_the_inlays_of_both_sides_do_not() -> None:
    """[A] 20 mm on each side asked, 5 of them there: 30 mm of strip, and a seam allowance at each of its edges."""
    (answer,) = answers_of(job(Work("let out", "side seam", 20.0), found={"side seam": Found(20.0, "plain 15 mm")}))
    assert answer.way == "strip" and "strip 30 mm wide" in answer.remedy
    assert answer.strip == 30.0 + 2 * 15.0


@pytest.mark.parametrize(
    ("inlay", "by", "way"),
    [
        (60.0, 20.0, "reaches"),
        (60.0, 30.0, "facing"),
        (60.0, 50.0, "facing"),
        (60.0, 55.0, "band"),
        (20.0, 40.0, "band"),
    ],
)
def test_a_hem_is_let_down_faced_or_not_at_all(inlay: float, by: float, way: str) -> None:
    """A hem of 40 mm keeps 40 mm; faced it keeps the 10 mm that the facing is sewn on with [C]."""
    found = {"hem": Found(inlay, "single turned 40 mm")}
    (answer,) = answers_of(job(Work("let down", "hem", by), found=found))
    assert answer.way == way


def test_a_seam_of_which_nothing_is_said_is_asked_about_and_taking_in_needs_nothing() -> None:
    unknown, taken = answers_of(job(Work("let out", "side seam", 10.0), Work("take in", "seat seam", 10.0)))
    assert unknown.way == "unknown" and "inlay: …" in unknown.remedy
    assert taken.way == "surplus"
    assert (seams_of(unknown.work), seams_of(taken.work)) == (2, 1)


def test_what_reaches_goes_on_reaching_with_more_inlay_and_less_let_out() -> None:
    chance = Random(3)
    for _ in range(200):
        inlay, by = chance.uniform(0.0, 80.0), chance.uniform(1.0, 60.0)
        verb, what = chance.choice([("let out", "side seam"), ("let down", "hem")])

        def spare(inlay: float, by: float, verb: str = verb, what: str = what) -> float:
            (answer,) = answers_of(job(Work(verb, what, by), found={what: Found(inlay)}))
            assert answer.spare is not None
            assert (answer.way == "reaches") == (answer.spare >= 0.0)
            return answer.spare

        assert spare(inlay + 5.0, by) > spare(inlay, by) > spare(inlay, by + 5.0)


def test_too_small_counts_the_stretch_and_the_interval_of_an_estimate() -> None:
    """[A] a woven gives nothing; a jersey of 40 % is worn at up to half of it; an estimate counts by its lower end."""

    def lacking(taken: Taken, stretch: float = 0.0) -> float:
        cloth = settle("knit" if stretch else "woven", 1500.0, stretch_across=stretch)
        told = Job(Alteration("skirt"), cloth, "cm")
        return too_small(told, MeasureAfter("waist", 860.0, 840.0, "", taken))

    assert lacking(Taken(880.0)) == 40.0
    assert lacking(Taken(1000.0), 0.4) == 0.0
    assert lacking(Taken(880.0, True, (830.0, 930.0))) == 0.0
    assert lacking(Taken(820.0)) == 0.0


# --- order ---


def some_job(chance: Random) -> Job:
    seams = ["side seam", "centre back seam", "inside leg seam", "seat seam", "sleeve seam", "panel seam"]
    work: list[Work] = []
    found: dict[str, Found] = {}
    for seam in chance.sample(seams, chance.randrange(1, 4)):
        ends = chance.choice([("", ""), ("waist", "hip"), ("hip", ""), ("", "hem")])
        work.append(Work(chance.choice(SEAM_VERBS), seam, chance.uniform(2.0, 40.0), *ends))
        found[seam] = Found(chance.uniform(5.0, 50.0))
    if chance.random() < 0.7:
        work.append(Work(chance.choice(EDGE_VERBS), "hem", chance.uniform(5.0, 60.0)))
        found["hem"] = Found(chance.uniform(10.0, 80.0))
    work += [Work("replace", "zip")] * chance.randrange(2) + [Work("mend", "knee")] * chance.randrange(2)
    chance.shuffle(work)
    return job(*work, found=found, garment=chance.choice(["trousers", "skirt", "dress"]), waist=840.0, hip=1020.0)


def position(made: MakingUp, name: str) -> int:
    return next((n for n, each in enumerate(made.operations) if each.name == name), -1)


@pytest.mark.parametrize("seed", range(60))
def test_the_order_keeps_the_trade_s_laws(seed: int) -> None:
    """Nothing that cannot be undone before the second try-on (T183 [C]: tack, try on, stitch); the hem comes last."""
    made = altering(some_job(Random(seed)))
    names = [each.name for each in made.operations]
    assert len(set(names)) == len(names)
    assert names[0] == TRIAL and names[1] == FIRST and names[-1] == "last pressing"
    assert all(each.why and each.acts for each in made.operations)
    second = position(made, SECOND)
    for n, each in enumerate(made.operations):
        if any(act.no_way_back for act in each.acts):
            assert n > second >= 0 and SECOND in each.tried, each.name
        if each.kind in ("sew", "attach"):
            assert n > second, each.name
    opened = [each.name for each in made.operations if each.kind == "unpick"]
    assert "unpick the waistband" not in opened[1:]
    assert "unpick the hem" not in opened[:-1]
    assert all(position(made, "marking") < position(made, each) < second for each in opened)
    if "close the hem" in names:
        assert names[-2] == "close the hem"
    for rule in made.before:
        assert position(made, rule.first) < position(made, rule.then), rule
        assert rule.reason
    for sewn in (each for each in made.operations if each.kind == "sew"):
        assert f"unpick the {sewn.seam}" in names


def test_the_waistband_is_opened_where_the_seam_crosses_it_and_lengthened_by_what_is_let_out() -> None:
    """[A] 18 mm on each side of one seam: the waistband is 36 mm longer."""
    ticket = sound(TEXT)
    assert ticket.alteration is not None
    made = altering(Job(ticket.alteration, ticket.cloth))
    names = [each.name for each in made.operations]
    assert names.index("unpick the waistband") < names.index("unpick the centre back seam")
    assert names.index("unpick the centre back seam") < names.index("unpick the hem")
    closing = made.operation("close the waistband")
    assert closing is not None and "36 mm longer" in closing.acts[0].says
    dress = altering(job(Work("let out", "side seam", 5.0), garment="dress", bust=900.0, waist=740.0))
    assert not any("waistband" in each.name for each in dress.operations)


@pytest.mark.parametrize(
    ("garment", "legged", "banded"),
    [
        ("suit trousers", True, True),
        ("short-sleeved shirt", False, False),
        ("pleated skirt", False, True),
        ("dress", False, False),
    ],
)
def test_what_the_garment_is_called_says_whether_it_has_legs_and_a_waistband(
    garment: str, legged: bool, banded: bool
) -> None:
    told = job(garment=garment)
    assert (told.legged, told.banded) == (legged, banded)


def test_a_seam_altered_twice_is_opened_once() -> None:
    work = (Work("let out", "side seam", 8.0, "", "waist"), Work("take in", "side seam", 6.0, "hip", "hem"))
    made = altering(job(*work, garment="skirt", waist=740.0, hip=980.0))
    opened = [each for each in made.operations if each.name == "unpick the side seam"]
    assert len(opened) == 1
    assert sum("Unpick the side seam" in act.says for act in opened[0].acts) == 2


def test_a_girth_of_a_seam_nobody_named_is_changed_only_between_stated_levels() -> None:
    assert crossed(Work("let out", "yoke seam", 5.0), legged=False) == ()
    assert crossed(Work("let out", "yoke seam", 5.0, "bust", "waist"), legged=False) == ("bust", "waist")


# --- the commands ---


def run(*arguments: str) -> tuple[int, str, str]:
    done = CliRunner().invoke(main, list(arguments))
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done.exit_code, done.stdout, done.stderr


def ticket_in(folder: Path, text: str) -> Path:
    path = folder / "ticket.yaml"
    path.write_text(text, "utf-8")
    return path


def test_check_and_make_end_as_they_do_for_any_ticket(tmp_path: Path) -> None:
    path, out = ticket_in(tmp_path, TEXT), tmp_path / "out"
    code, said, _ = run("check", str(path))
    assert code == 0
    assert "the inlay reaches" in said and "2 mm spare" in said and "= 87.6 cm" in said
    code, said, _ = run("make", str(path), "-o", str(out))
    assert code == 0 and sorted(each.name for each in out.iterdir()) == ["alteration.json", "guide.pdf"]
    cannot = ticket_in(tmp_path, TEXT.replace("by: 3 cm", "by: 45 cm"))
    code, said, _ = run("check", str(cannot), "--json")
    assert code == 1 and json.loads(said)["problems"][0]["code"] == "ALTER-CANNOT"
    assert run("make", str(cannot), "-o", str(out))[0] == 1
    wrong = ticket_in(tmp_path, TEXT.replace("edge: hem", "egde: hem"))
    before = (out / "guide.pdf").read_bytes()
    assert run("check", str(wrong))[0] == 2
    assert run("make", str(wrong), "-o", str(out))[0] == 2
    assert (out / "guide.pdf").read_bytes() == before


@pytest.mark.parametrize("command", ["lesson", "lay"])
def test_what_needs_a_pattern_says_that_there_is_none(command: str, tmp_path: Path) -> None:
    path, out = ticket_in(tmp_path, TEXT), tmp_path / "out"
    code, said, _ = run(command, str(path), "-o", str(out), "--json")
    told = json.loads(said)["problems"]
    assert code == 2 and not out.exists()
    assert [each["code"] for each in told if each["severity"] == "stop"] == ["NO-PATTERN"]
    assert "there is no pattern" in " ".join(run(command, str(path), "-o", str(out))[2].split())
    both = run("lay", str(path), str(EXAMPLE.parent.parent / "soprano-2-skirt.yaml"), "-o", str(out))
    assert both[0] == 2 and "there is no pattern" in " ".join(both[2].split())


def test_a_garment_without_a_pattern_upsets_no_reader() -> None:
    garment = open_ticket(EXAMPLE)
    assert garment.readable and garment.draft is None
    assert garment.told == () and garment._repr_svg_() is None
    assert set(garment.files()) == {"guide.pdf", "alteration.json"} and garment.files(("pattern.pdf",)) == {}
    assert not unreadable(garment.all_problems)


def test_what_does_not_reach_is_told_where_it_is_asked_with_what_to_do(tmp_path: Path) -> None:
    short = TEXT.replace("inlay: 30 mm", "inlay: 20 mm")
    told = [each for each in open_ticket(ticket_in(tmp_path, short)).all_problems if each.code == "ALTER-SHORT"]
    assert len(told) == 1 and told[0].severity == "mind"
    assert told[0].where.line == short[: short.index("let out: {")].count("\n") + 1
    assert "20 mm − 18 mm let out − 10 mm for plain 10 mm: 8 mm lack" in told[0].says
    assert told[0].remedy.startswith("set in a strip 16 mm wide")


def test_what_would_be_too_small_for_the_wearer_is_told(tmp_path: Path) -> None:
    tight = TEXT.replace("let out: {", "take in: {")
    told = [each for each in open_ticket(ticket_in(tmp_path, tight)).all_problems if each.code == "ALTER-EASE"]
    assert len(told) == 1 and "5.6 cm too little" in told[0].says  # [A] 84 - 2 x 1.8 = 80.4 on 86


def text_of(garment: Garment) -> str:
    pages = pypdf.PdfReader(io.BytesIO(garment.files()["guide.pdf"])).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_the_guide_says_work_measures_order_reasons_and_cautions() -> None:
    garment = open_ticket(EXAMPLE)
    said = text_of(garment)
    for words in (
        "Alteration",
        "it reaches, 2 mm spare",
        "84 cm + 2 × 18 mm (centre back seam) = 87.6 cm",
        "Trial on a hidden place",
        "There is no way back from this: keep 40 mm beyond the new line",
        "Nothing is trimmed or cut before the second try-on",
        "An unpicker's point wounds",
        "Carry shears closed",
        "Steam and the hot plate burn",
        "trained practice",
        "No pattern was drafted",
    ):
        assert words in said, words
    assert "Order of cutting" not in said and "The pieces" not in said
    order = [said.index(each) for each in ("First try-on", "Unpick the centre back", "Second try-on", "Last pressing")]
    assert order == sorted(order)
    assert garment.files() == open_ticket(EXAMPLE).files(), "equal input gives equal bytes"


def test_a_makers_text_is_never_read_as_markup(tmp_path: Path) -> None:
    hostile = TEXT.replace("- mend: pocket bag", "- mend: '#panic(\"x\") $a$ *b* \\u202e'")
    garment = open_ticket(ticket_in(tmp_path, hostile))
    assert garment.readable
    assert '#panic("x") $a$ *b*' in text_of(garment)


def test_the_data_is_plain_and_whole() -> None:
    data: dict[str, Any] = json.loads(json.dumps(alteration_data(open_ticket(EXAMPLE))))
    assert data["format"] == "onfold alteration 1" and data["unit"] == "mm"
    assert [each["answer"] for each in data["work"]] == ["reaches", "surplus", "thing", "thing"]
    waist = next(each for each in data["measures"] if each["name"] == "waist")
    assert (waist["before"], waist["after"], waist["ease_before"], waist["ease_after"]) == (840.0, 876.0, -20.0, 16.0)
    assert data["operations"][0]["name"] == TRIAL
    assert any(act["no_way_back"] for each in data["operations"] for act in each["acts"])


def test_the_schema_knows_an_alteration() -> None:
    check = jsonschema.Draft202012Validator(schema_of("ticket"))
    node, _ = compose(TEXT)
    assert node is not None
    good = plain_data(node)
    assert [each.message for each in check.iter_errors(good)] == []
    assert not check.is_valid(good | {"recipe": "straight-skirt"})
    assert not check.is_valid({key: value for key, value in good.items() if key != "alteration"})
    work = good["alteration"]["work"]
    for wrong in ([{"let uot": work[0]["let out"]}], [{"let out": {"seam": "side seam"}}], []):
        assert not check.is_valid(good | {"alteration": good["alteration"] | {"work": wrong}})
