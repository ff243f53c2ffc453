"""The questions about one's own car: what is understood, what is said to a slip, and the files that come of it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.car.files import read_case
from assistant.car.moves import setup_faults
from assistant.car.own_car import QUESTIONS, CarInterview
from assistant.car.own_car_files import own_car_files, own_case
from assistant.ground.problems import BadInput
from assistant.ground.units import from_unit

ANSWERS = {
    "name": "Old Blue",
    "weight": "3100",
    "size": "108 in, 66 in, 64 1/2 in",
    "scales": "810 720 850 720",
    "springs": "900 1000 200 225",
    "bar": "1 1/4",
    "stagger": "1.5 guessed",
    "air": "18, 28, 17, 26 psi",
    "track": "3/8 mile, 14 deg",
    "run": "50",
    "fuel": "",
    "kind": "1",
    "surface": "paved",
}


def at(question: str, system="trade", **changes: str) -> CarInterview:
    """Answer up to a question."""
    interview = CarInterview(system)
    while (ask := interview.next_question()) is not None and ask.id != question:
        interview = interview.answer({**ANSWERS, **changes}[ask.id])
    return interview


def refused(interview: CarInterview, text: str) -> str:
    with pytest.raises(BadInput) as bad:
        interview.answer(text)
    (problem,) = bad.value.problems
    return f"{problem.says} / {problem.hint}"


def write_all(folder, interview):
    for kind, text in own_car_files(interview).items():
        (folder / f"{kind}.yaml").write_text(text, encoding="utf-8")
    return read_case(folder / "case.yaml")


def test_about_ten_questions_each_with_a_default_and_a_help():
    assert 9 <= len(QUESTIONS) <= 13
    interview = CarInterview()
    for ask in QUESTIONS:
        assert interview.next_question() == ask
        assert interview.default()
        assert ask.help
        assert len(f"{ask.text} [{interview.default()}]") < 110
        interview = interview.answer("")
    assert interview.next_question() is None
    assert interview.default() == ""


def test_the_answers_become_files_that_load(tmp_path):
    case = write_all(tmp_path, at("end"))
    assert case.name == case.car.name == "old-blue"
    assert case.car.mass == pytest.approx(from_unit(3100, "lb"), rel=1e-6)
    assert case.car.track_rear == pytest.approx(from_unit(64.5, "in"))
    assert case.setup.values["cross_weight"] == pytest.approx((720 + 850) / 3100)
    assert case.setup.values["spring_rf"] == pytest.approx(from_unit(1000, "lb/in"))
    assert case.setup.values["pressure_lf"] == pytest.approx(from_unit(18, "psi"))
    assert case.track.lap_length == pytest.approx(from_unit(0.375, "mi"))
    assert [end.bank for end in case.track.ends] == pytest.approx([from_unit(14, "deg")] * 2)
    assert case.run_laps == 50
    assert setup_faults(case) == ()


def test_what_was_not_said_for_sure_is_marked_guessed(tmp_path):
    case = write_all(tmp_path, at("end"))
    assert {"stagger", "fuel_at_green", "camber_rf", "toe"} <= case.setup.guessed
    assert not {"spring_rf", "front_bar", "pressure_lf", "cross_weight"} & case.setup.guessed
    assert {"cg_height", "unsprung_rear", "fuel_on_scales", "driveline"} <= case.car.guessed
    assert not {"mass", "wheelbase", "track_front"} & case.car.guessed
    assert "grip" in case.tire.guessed
    assert "radius" in case.track.guessed
    assert "bank" not in case.track.guessed


def test_saying_nothing_to_everything_gives_a_case_that_loads_and_guesses_everything(tmp_path):
    interview = CarInterview()
    for _ in QUESTIONS:
        interview = interview.answer("not sure")
    case = write_all(tmp_path, interview)
    assert case.name == "my-car"
    assert case.setup.guessed == set(case.setup.values)
    assert {"mass", "wheelbase"} <= case.car.guessed


@pytest.mark.parametrize("system", ["trade", "si"])
def test_the_defaults_are_answers_themselves(system):
    interview = CarInterview(system)
    for ask in QUESTIONS:
        said = interview.answer(interview.default())
        taken = interview.answer("")
        assert said.given[-1].values == taken.given[-1].values, ask.id
        assert taken.given[-1].guessed == (ask.id != "name")
        interview = said


def test_bare_numbers_are_in_the_chosen_unit_system():
    springs = at("springs", system="si", weight="1400", size="2700 1650 1630", scales="50 56 51").answer("60 70 35 40")
    assert springs.given[-1].values == pytest.approx((60e3, 70e3, 35e3, 40e3))


@pytest.mark.parametrize(
    "text", ["60, 70, 35, 40 N/mm", "60 N/mm 70 N/mm 35 N/mm 40 N/mm", "60; 70; 35; 40 N/mm", "60,70,35,40 N/mm"]
)
def test_several_values_may_share_the_unit_behind_the_last(text):
    assert at("springs").answer(text).given[-1].values == pytest.approx((60e3, 70e3, 35e3, 40e3))


@pytest.mark.parametrize(
    "text",
    [
        "LR 200 RR 225 LF 350 RF 400",
        "lf: 350, rf: 400, lr: 200, rr: 225 lb/in",
        "right front 400 lb/in, left front 350 lb/in, right rear 225 lb/in, left rear 200 lb/in",
    ],
)
def test_values_behind_the_names_of_the_corners_are_those_of_the_corners(text):
    assert at("springs").answer(text).given[-1].values == at("springs").answer("350 400 200 225").given[-1].values


def test_four_scales_with_their_names_are_the_four_scales():
    named = at("scales", weight="2900").answer("RR 610 LR 960 RF 640 LF 690")
    assert named.given[-1].values == at("scales", weight="2900").answer("690 640 960 610").given[-1].values


SLIPS = {
    (
        "air",
        "LF 18 RF 26 LR 18",
    ): "each of LF, RF, LR and RR is wanted once, before its number / or the four without names; for example 16.0 psi, "
    "24.0 psi, 16.0 psi, 22.0 psi; an empty line takes that as a guess",
    (
        "air",
        "18 LF 26 RF 18 LR 25 RR",
    ): "each of LF, RF, LR and RR is wanted once, before its number / or the four without names; for example 16.0 psi, "
    "24.0 psi, 16.0 psi, 22.0 psi; an empty line takes that as a guess",
    (
        "weight",
        "heavy",
    ): "'heavy' does not start with a number / for example 2900 lb; an empty line takes that as a guess",
    (
        "weight",
        "2900 psi",
    ): "psi is a pressure, a weight is wanted / for example 2900 lb; an empty line takes that as a guess",
    ("weight", "29"): (
        "29 is below what is possible, 600 lb to 8000 lb / cars with a driver weigh something between;"
        " is it in kilograms?; for example 2900 lb; an empty line takes that as a guess"
    ),
    ("size", "106, 65"): (
        "three values are wanted, 2 found / for example 106 in, 65 in, 64 in; an empty line takes that as a guess"
    ),
    ("scales", "35 40 78"): (
        "these numbers lift the left front wheel at rest, by 1.5 % of the weight"
        " / nose is LF and RF, left is LF and LR, cross is RF and LR;"
        " for example 50.5 %, 56.0 %, 51.0 %; an empty line takes that as a guess"
    ),
    ("scales", "710 720 850 720"): (
        "the four scales add up to 3,000 lb, but the weight was 3,100 lb"
        " / type back to change the weight; for example 50.5 %, 56.0 %, 51.0 %; an empty line takes that as a guess"
    ),
    ("scales", "0 0 0 0"): (
        "the four scales add up to nothing / write what each of them shows, in pounds or kilograms;"
        " for example 50.5 %, 56.0 %, 51.0 %; an empty line takes that as a guess"
    ),
    ("springs", "900"): (
        "four values are wanted, 1 found"
        " / for example 350 lb/in, 400 lb/in, 200 lb/in, 225 lb/in; an empty line takes that as a guess"
    ),
    ("name", "???"): (
        "a name needs a letter or a digit, and 40 of them at most"
        " / for example my-car; an empty line takes that as a guess"
    ),
}


@pytest.mark.parametrize(("question", "text"), SLIPS)
def test_a_slip_is_answered_with_what_would_do(question, text):
    assert refused(at(question), text) == SLIPS[question, text]


@pytest.mark.parametrize(
    ("question", "too_little", "just_enough", "says"),
    [
        ("weight", "700 lb", "960 lb", "too little for the wheels, axles and ballast taken from the invented car"),
        ("track", "300 ft, 10 deg", "340 ft, 10 deg", "below what is possible, 340 ft"),
    ],
)
def test_an_answer_that_makes_no_car_is_refused_at_its_question(tmp_path, question, too_little, just_enough, says):
    assert says in refused(at(question), too_little)
    finished = at("", scales="", **{question: just_enough})
    for kind, text in own_car_files(finished).items():
        (tmp_path / f"{kind}.yaml").write_text(text, encoding="utf-8")
    assert read_case(tmp_path / "case.yaml").name == "old-blue"


def test_nothing_more_can_be_answered_at_the_end():
    assert refused(at("end"), "x") == "every question is answered / type back to change one"


def test_back_asks_again_and_stops_at_the_first_question():
    interview = at("springs")
    before = interview.back().next_question()
    assert before is not None
    assert before.id == "scales"
    assert interview.back(99) == CarInterview()


def test_files_are_only_made_when_every_question_is_answered():
    with pytest.raises(ValueError, match="still open"):
        own_car_files(at("springs"))


def test_an_interview_broken_off_still_makes_a_case():
    assert own_case(at("springs")).setup.values["spring_rf"] == read_case("demo").setup.values["spring_rf"]


def test_rules_nobody_stated_are_widened_around_the_car():
    rules = own_case(at("end")).rulebook.limits
    assert from_unit(900, "lb/in") in [pytest.approx(part) for part in rules["spring_lf"].parts]
    assert rules["spring_lr"] == read_case("demo").rulebook.limits["spring_lr"]
    assert own_case(at("end", stagger="3 1/2")).rulebook.limits["stagger"].high == pytest.approx(from_unit(4.0, "in"))


PLACES = [at(question) for question in ("name", "weight", "scales", "springs", "track")]


@given(st.text(max_size=60), st.sampled_from(PLACES))
def test_any_text_is_an_answer_or_one_problem(text, interview):
    try:
        problems = 0
        given = len(interview.answer(text).given)
    except BadInput as bad:
        problems, given = len(bad.problems), len(interview.given)
    assert problems + given - len(interview.given) == 1
