"""The JSON of advice and levers: exactly the keys promised, numbers in the units asked for, null for the unknown."""

import json
from dataclasses import replace

import pytest

from assistant.advice.offers import advise
from assistant.advice.results import Cost, PackageMove
from assistant.belief.believe import Shown
from assistant.belief.model import read_model
from assistant.belief.outcome import RunAfter
from assistant.diagnosis.questions import OpenQuestion
from assistant.ground.understood import CauseFound, Sign, StopReason
from assistant.pages.data import Way, advice_data
from assistant.pages.lever_facts import facts
from assistant.pages.levers import levers_data, severity_data
from tests.advice.round_numbers import PSI, STEPS, few_cars, grid, made, made_table, session_about, together
from tests.advice.small_pack import LOOSE_OFF, complaint, pack, small_case
from tests.diagnosis.interview_pack import question

CASE = small_case()
REMEDY_KEYS = {
    *("rank", "kind", "id", "title", "change", "unit", "steps", "from", "to", "legal", "limited_by", "direction"),
    *(
        "removes",
        "start_is_guessed",
        "spoils",
        "each",
        "effect",
        "ends",
        "tire_life_laps",
        "pace_s",
        "first_tire_laps",
        "last_lap_s",
        "at_once",
        "confidence",
        "basis",
        "when",
        "reason",
    ),
    *("costs", "cautions", "sources", "check_again", "hot_pressure", "facts"),
}
LEVER_KEYS = {
    *("title", "unit", "plus_means", "step", "from", "min", "max", "effect", "spread", "sign_share", "word", "basis"),
    *("trade", "verdicts", "when", "facts"),
}
MOVES = (
    PackageMove("cross_weight", "cross weight", 2, 0.51, 0.515, 0.3),
    PackageMove("stagger", "stagger", -1, 0.04445, 0.041275, 0.2),
)
PACKAGE = together(MOVES, removes=0.6, effect=grid(0.1, 0.2, 0.3), order=("stagger", "cross_weight"))

QUESTION = OpenQuestion("where", question("Where?", "feel", {"in": "getting in", "off": "coming off"}))


def advice(**changes):
    said = complaint(*LOOSE_OFF, other=["hops"])
    return replace(advise(CASE, pack(), session_about(CASE, pack(), said), few_cars(said)), **changes)


def test_advice_has_exactly_the_promised_keys():
    data = advice_data(advice(), Way("trade", CASE))
    keys = {
        "guessed_values",
        "not_legal",
        "complaint",
        "stop",
        "open_questions",
        "causes",
        "remedies",
        "packages",
        "as_said",
        "balance",
    }
    assert set(data) == keys
    assert set(data["complaint"]) == {"text", "cells", "other", "not_understood"}
    assert set(data["complaint"]["cells"][0]) == {"phase", "stage", "end", "balance", "severity", "severity_given"}
    assert all(set(remedy) == REMEDY_KEYS for remedy in data["remedies"])
    assert {kind["kind"] for kind in data["remedies"]} >= {"lever"}
    cost = next(cost for remedy in data["remedies"] for cost in remedy["costs"])
    assert set(cost) == {"kind", "where", "amount", "unit", "text"}


def test_packages_have_exactly_the_promised_keys():
    (data,) = advice_data(advice(offers=(PACKAGE,)), Way("trade", CASE))["packages"]
    assert set(data) == {
        *("moves", "removes", "at_once", "spoils", "each", "effect", "confidence", "costs", "check_again", "order")
    }
    assert data["moves"] == [
        {"lever": "cross_weight", "steps": 2, "from": 51.0, "to": 51.5, "start_is_guessed": False, "facts": None},
        {"lever": "stagger", "steps": -1, "from": 1.75, "to": 1.625, "start_is_guessed": False, "facts": None},
    ]
    assert data["order"] == ["stagger", "cross_weight"]


def test_hot_pressures_and_what_they_cost_come_in_the_units_asked_for():
    warm = replace(
        advice().remedies[0],
        run=RunAfter({}, {}, {"RR": (30 * PSI, 2 * PSI)}),
        costs=(Cost("pressure", 2 * PSI, "RR", after=30 * PSI),),
        check_again=("cross weight",),
    )
    trade, metric = (
        advice_data(advice(offers=(warm,)), Way(system, CASE))["remedies"][0] for system in ("trade", "si")
    )
    assert trade["hot_pressure"] == {"RR": {"after": pytest.approx(30), "change": pytest.approx(2)}}
    assert metric["hot_pressure"]["RR"]["change"] == pytest.approx(13.79, abs=0.01)
    assert (trade["costs"][0]["amount"], trade["costs"][0]["unit"]) == (pytest.approx(2), "psi")
    assert metric["costs"][0]["unit"] == "kPa"
    assert trade["check_again"] == ["cross weight"]


def test_the_measure_of_severity_is_given_in_numbers():
    data = severity_data(made_table(CASE, []).belief)
    assert data == {"percent": {"1": 0.2, "2": 0.4, "3": 0.8, "4": 1.3, "5": 2.0}, "driver_factor": [1.0, 1.0]}


def test_it_is_plain_json_without_infinities():
    assert json.loads(json.dumps(advice_data(advice(), Way("trade", CASE)), allow_nan=False))
    assert json.loads(json.dumps(levers_data(made_table(CASE, STEPS), pack(), "trade"), allow_nan=False))


def test_lever_values_come_in_trade_units_and_in_metric_ones():
    found = advice()
    cross = next(one for one in advice_data(found, Way("trade", CASE))["remedies"] if one["id"] == "cross_weight")
    assert cross["unit"] == "%"
    assert cross["from"] == 51.0
    assert cross["change"] == pytest.approx(0.25 * cross["steps"])
    assert cross["to"] == pytest.approx(cross["from"] + cross["change"])
    assert cross["legal"] == {"min": 48.0, "max": 56.0, "step": pytest.approx(0.25)}
    spring = {
        system: next(one for one in advice_data(found, Way(system, CASE))["remedies"] if one["id"] == "spring_rr")
        for system in ("trade", "si")
    }
    assert (spring["trade"]["from"], spring["trade"]["unit"]) == (225.0, "lb/in")
    assert spring["si"]["from"] == pytest.approx(39.40, abs=0.01)  # 225 lb/in is 39.4 N/mm
    assert spring["si"]["unit"] == "N/mm"


def test_what_is_not_computed_is_null():
    plain = replace(advice().remedies[0], run=None)
    remedy = advice_data(advice(offers=(plain,)), Way("trade", CASE))["remedies"][0]
    assert (remedy["tire_life_laps"], remedy["pace_s"], remedy["first_tire_laps"]) == (None, None, None)


def test_what_was_computed_over_the_run_has_its_keys():
    first = next(remedy for remedy in advice().remedies if remedy.kind == "lever")
    ran = replace(
        first,
        run=RunAfter(
            {"RR": (70.0, -2.0)},
            {"first": 0.1, "average": 0.02, "last": -0.1},
            first_tire=Shown(-2.0, -3.0, -1.0),
        ),
    )
    data = advice_data(advice(offers=(ran,)), Way("trade", CASE))["remedies"][0]
    assert data["tire_life_laps"] == {"RR": {"after": 70.0, "change": -2.0}}
    assert data["pace_s"] == {"first": 0.1, "average": 0.02, "last": -0.1}
    assert data["first_tire_laps"] == {"value": -2.0, "low": -3.0, "high": -1.0}
    assert data["last_lap_s"] is None


def test_a_stop_stands_alone():
    cause = CauseFound("snap", "the snap", 0.8, "likely")
    stopped = advice(stop=StopReason(("a leak",)), open_questions=(QUESTION,), causes=(cause,))
    data = advice_data(stopped, Way("trade", CASE))
    assert data["stop"]["reason"].startswith("Stop and inspect before any adjustment: a leak. Find and mend it first;")
    assert data["open_questions"] == data["causes"] == data["remedies"] == data["packages"] == []


def test_questions_and_causes():
    cause = CauseFound("snap", "the snap", 0.8, "likely", (Sign("yes", 1.0),), (Sign("no", -1.0),))
    data = advice_data(advice(open_questions=(QUESTION,), causes=(cause,)), Way("trade", CASE))
    assert data["open_questions"] == [{"id": "where", "text": "Where?"}]
    assert data["causes"] == [
        {
            "id": "snap",
            "title": "the snap",
            "chance": 0.8,
            "word": "likely",
            "for": ["yes"],
            "against": ["no"],
        }
    ]
    assert advice_data(advice(), Way("trade", CASE))["stop"] is None


def test_levers_have_exactly_the_promised_keys_and_say_whether_they_agree_with_the_trade():
    levers = levers_data(made_table(CASE, STEPS), pack(), "trade")["levers"]
    assert all(set(lever) == LEVER_KEYS for lever in levers.values())
    cross = levers["cross_weight"]
    assert (cross["plus_means"], cross["step"], cross["from"]) == ("more", pytest.approx(0.25), 51.0)
    assert (cross["word"], cross["trade"]) == ("sure", {"middle": "tighter", "exit": "tighter"})
    assert cross["verdicts"] == {"middle": "agrees", "exit": "agrees"}
    assert cross["effect"]["exit"]["worn"] == pytest.approx(0.18, rel=0.05)
    low, high = cross["spread"]["exit"]["worn"]
    assert 0.09 < low < 0.18 < high < 0.26
    against = made_table(CASE, ["cross_weight"], cross_weight=made("cross_weight", scale=-1))
    assert levers_data(against, pack(), "trade")["levers"]["cross_weight"]["verdicts"]["exit"] == "differs"


def test_the_whole_track_bar_stands_between_its_ends():
    bar = levers_data(made_table(CASE, STEPS), pack(), "trade")["levers"]["track_bar"]
    assert (bar["from"], bar["min"], bar["max"], bar["step"]) == (10.0, 8.0, 13.0, pytest.approx(0.25))


def test_a_lever_the_rules_fix_has_no_range():
    fixed = small_case(fixed=("stagger",))
    lever = levers_data(made_table(fixed, ["stagger"]), pack(), "trade")["levers"]["stagger"]
    assert (lever["min"], lever["max"], lever["step"], lever["from"]) == (None, None, None, 1.75)


def test_a_lever_nobody_computes_has_the_packs_table_and_no_chance():
    knowledge = pack(toe={"by_the_book": {"per_usual_change": {"entry": -0.1}}})
    lever = levers_data(made_table(CASE, ["toe"]), knowledge, "trade")["levers"]["toe"]
    assert (lever["basis"], lever["sign_share"], lever["word"]) == ("by the book", None, None)
    assert set(lever["verdicts"].values()) == {"nothing computed"}


def test_every_open_question_is_in_json_however_few_the_screen_names():
    """The screen names the three most telling; a program gets all."""
    asked = tuple(
        OpenQuestion(f"q{number}", question(f"Question {number}?", "feel", {"yes": "yes", "no": "no"}))
        for number in range(30)
    )
    data = advice_data(advice(open_questions=asked), Way("trade", CASE))
    assert data["open_questions"] == [{"id": one.id, "text": one.entry.asks} for one in asked]


@pytest.fixture(scope="module")
def model():
    return read_model(CASE)


def test_facts_of_every_change_come_only_when_the_car_as_computed_is_given(model):
    found = advice(offers=(*advice().remedies, PACKAGE))
    without, data = advice_data(found, Way("trade", CASE)), advice_data(found, Way("trade", CASE, model))
    assert all(remedy["facts"] is None for remedy in without["remedies"])
    for remedy, shown in zip(found.remedies, data["remedies"], strict=True):
        told = () if remedy.kind != "lever" else facts(model, remedy.id, remedy.change)
        assert shown["facts"] == list(told)
        assert bool(told) is (remedy.kind == "lever")
    cross, stagger = data["packages"][0]["moves"]
    assert cross["facts"] == list(facts(model, "cross_weight", 0.005))
    assert stagger["facts"] == list(facts(model, "stagger", 0.041275 - 0.04445))


def test_facts_of_a_lever_are_those_of_one_step_in_the_units_asked_for(model):
    table = made_table(CASE, STEPS)
    vars(table)["model"] = model
    for system in ("trade", "si"):
        levers = levers_data(table, pack(), system)["levers"]
        for lever, effect in table.levers.items():
            assert levers[lever]["facts"] == list(facts(model, lever, effect.step, system)), lever
            assert levers[lever]["facts"], lever


def test_facts_of_a_lever_the_rules_fix_say_how_it_stands(model):
    fixed = small_case(fixed=("stagger",))
    table = made_table(fixed, ["stagger"])
    vars(table)["model"] = model
    levers = levers_data(table, pack(), "trade")["levers"]
    assert levers["stagger"]["facts"] == list(facts(model, "stagger", 0.0))
    assert ", then " not in " ".join(levers["stagger"]["facts"])
