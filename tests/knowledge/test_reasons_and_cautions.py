"""What a coach would look for first: a reason that speaks of the move beside it, and the caution the job needs."""

import re
from dataclasses import dataclass

import pytest

from assistant.car.files import read_case
from assistant.car.moves import with_step
from assistant.pages.advice import short_caution
from assistant.pages.amounts import move_words

WAYS = {"softer", "stiffer", "slower", "quicker", "shorter", "taller", "negative", "positive"}
WHEELS_OFF = {"spring_lf", "spring_rf", "spring_lr", "spring_rr"}
ON_A_SPRING = {*WHEELS_OFF, "camber_lf", "camber_rf", "caster_split", "front_roll_center"}
HOLDS_THE_AXLE = {"track_bar", "track_bar_left", "track_bar_right", "rear_axle_lead", "link_angle_lr", "link_angle_rr"}
LEAD = {"nose_weight", "left_weight", "ballast_rise"}


@dataclass(frozen=True)
class Row:
    """One remedy that moves a lever."""

    symptom: str
    lever: str
    move: str
    because: str


def rows(base):
    for name, symptom in base.symptoms.items():
        for remedy in symptom.remedies:
            if remedy.lever in base.levers:
                yield Row(name, remedy.lever, remedy.move, remedy.because)


LEANS = re.compile(
    r"^(the same (at|with|reading)|the other one)|\b(this|that) one\b|\bthe same reading\b", re.IGNORECASE
)


def test_a_reason_does_not_lean_on_the_remedy_above_it_which_may_stand_elsewhere_in_a_list(base):
    remedies = [one for symptom in base.symptoms.values() for one in symptom.remedies]
    remedies += [one for cause in base.causes.values() for one in cause.remedies]
    assert [one.because for one in remedies if LEANS.search(one.because)] == []


def test_a_reason_never_names_only_the_other_way(base):
    wrong = []
    for row in rows(base):
        lever = base.levers[row.lever]
        own, other = (lever.plus_word, lever.minus_word)[:: 1 if row.move in {lever.plus_word, "+"} else -1]
        said = set(re.findall(r"[a-z]+", row.because.lower()))
        if {own, other} <= WAYS and other in said and own not in said:
            wrong.append(row)
    assert wrong == []


@pytest.mark.parametrize("symptom", ["loose at turn-in", "steering too heavy"])
def test_a_twitchy_or_heavy_car_is_given_a_slower_steering(base, symptom):
    assert [row.move for row in rows(base) if row.symptom == symptom and row.lever == "steering_box"] == ["slower"]


def test_steering_is_quickened_on_screen_when_its_ratio_gets_smaller(base):
    case = read_case("demo")
    lever, now = base.levers["steering_box"], case.setup.values["steering_box"]
    said = {}
    for word in (lever.plus_word, lever.minus_word):
        steps = base.move_sign("steering_box", word)
        moved, _ = with_step(case.setup, case.rulebook, case.car, "steering_box", steps)
        then = moved.values["steering_box"]
        said[word] = move_words(lever, now, then, then - now, "trade")
    assert said == {
        "quicker": "quicken the steering box, from 12.00 to 10.00",
        "slower": "slow the steering box, from 12.00 to 14.00",
    }


@pytest.mark.parametrize(
    ("levers", "caution"),
    [
        (WHEELS_OFF, "wheel_nuts"),
        (ON_A_SPRING, "coil_spring"),
        (ON_A_SPRING | HOLDS_THE_AXLE | LEAD | {"toe"}, "stands"),
        (HOLDS_THE_AXLE, "axle_support"),
        (LEAD, "lead_bolted"),
        ({"brake_bias"}, "brake_work"),
    ],
)
def test_a_job_under_load_or_under_the_car_has_its_caution(base, levers, caution):
    assert [lever for lever in levers if caution not in base.levers[lever].cautions] == []


def test_every_tire_pressure_defers_to_the_maker_of_the_tire(base):
    airs = [lever for lever in base.levers if lever.startswith("pressure_")]
    assert len(airs) == 4
    assert all(base.levers[lever].cautions[0] == "tire_maker" for lever in airs)


def test_what_may_be_done_in_a_pit_stop_by_hand_says_to_wait_for_the_car(base):
    hands = [
        name for name, lever in base.levers.items() if lever.when == "pit stop" and name not in {"brake_bias", "gear"}
    ]
    assert [name for name in hands if "moving_car" not in base.levers[name].cautions] == []


def test_no_reason_asks_for_a_larger_change_of_air_than_is_sensible_at_once(base):
    texts = [row.because for row in rows(base) if row.lever.startswith("pressure_")]
    assert [text for text in texts if re.search(r"\b(two|three|\d+) (pounds|psi)\b", text)] == []


@pytest.mark.parametrize("symptom", ["front brakes lock", "rear brakes lock", "pulls to one side"])
def test_looking_at_brakes_ends_with_leaving_repairs_to_the_qualified(base, symptom):
    looks = [remedy for remedy in base.symptoms[symptom].remedies if "brake_work" in remedy.cautions]
    assert looks
    assert all(remedy.how[-1] == "Leave brake repairs to somebody qualified." for remedy in looks)


def test_the_gravest_cautions_come_first_and_keep_the_jack_when_they_are_cut(base):
    said = base.cautions_for(["shock_stop", "axle_support", "stands"])
    assert said[:2] == (base.cautions["stands"].says, base.cautions["axle_support"].says)
    assert "jack" in short_caution(said[0])
    assert "Support the axle housing itself before any link" in short_caution(said[1])


READ = re.compile(r"\b(is hot|(the|run) hot(ter)?|burned|by its middle alone|half gone|never reached)\b", re.IGNORECASE)


def test_a_reason_of_a_cause_tells_of_no_reading_that_nobody_took(base):
    told = [
        remedy.because
        for cause in base.causes.values()
        for remedy in cause.remedies
        if not remedy.only_if and READ.search(remedy.because)
    ]
    assert told == []
    assert [one.title for one in base.causes.values() if "never reached" in one.title] == []
