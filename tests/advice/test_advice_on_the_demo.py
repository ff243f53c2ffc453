"""The whole way on the demo car: base pack, vehicle model, interview, advice, JSON. Invariants, not numbers."""

import json

import pytest

from assistant.advice.advise import advise
from assistant.advice.as_json import advice_json, levers_json
from assistant.advice.effects import effect_table
from assistant.advice.explain import why, why_not
from assistant.advice.session import start
from assistant.car.changes import limit_of, with_step
from assistant.car.files import read_case
from assistant.rules.pack import load_packs


@pytest.fixture(scope="module")
def knowledge():
    return load_packs()


@pytest.fixture(scope="module")
def case():
    return read_case("demo")


@pytest.fixture(scope="module")
def effects(case):
    return effect_table(case)


@pytest.fixture(scope="module")
def advice(case, knowledge, effects):
    return advise(case, knowledge, start(case, knowledge, "loose off late in the run"), effects)


def test_a_loose_car_is_only_ever_tightened(advice):
    assert {remedy.direction for remedy in advice.remedies if remedy.removes} == {"tighter"}
    assert 3 <= len(advice.remedies) <= 7


def test_every_move_is_the_legal_one_it_says_it_is(advice, case):
    moves = [(remedy.id, remedy.steps, remedy.finish) for remedy in advice.remedies if remedy.kind == "lever"]
    moves += [(move.lever, move.steps, move.finish) for package in advice.packages for move in package.moves]
    for lever, steps, finish in moves:
        if lever == "track_bar":
            continue
        moved, stop = with_step(case.setup, case.rulebook, case.car, lever, steps)
        limit = limit_of(case.rulebook, case.car, lever)
        assert stop is None
        assert moved.values[lever] == pytest.approx(finish)
        assert limit.low - 1e-9 <= finish <= limit.high + 1e-9


def test_after_the_first_three_the_order_is_that_of_the_scores(advice):
    rest = [remedy.factors[-1].value for remedy in advice.remedies[3:]]
    assert len(rest) > 1
    assert rest == sorted(rest, reverse=True)


def test_every_remedy_can_be_explained_and_compared(advice):
    for number in range(1, len(advice.remedies) + 1):
        lines = why(advice, number)
        assert lines[0].startswith(f"{number}. ")
        assert any(line.startswith("Against it: ") for line in lines)
        assert any(line.startswith("Sources: ") for line in lines)
        assert why_not(advice, 1, number)


def test_advice_and_levers_are_plain_json(advice, case, knowledge, effects):
    for system in ("trade", "si"):
        assert json.dumps(advice_json(advice, case, system=system), allow_nan=False)
        levers = levers_json(effects, case, knowledge, system=system)["levers"]
        assert json.dumps(levers, allow_nan=False)
        assert set(levers) == set(effects.levers)


def test_the_same_question_gets_the_same_answer(advice, case, knowledge, effects):
    again = advise(case, knowledge, start(case, knowledge, "loose off late in the run"), effects)
    assert advice_json(again, case) == advice_json(advice, case)


def test_a_push_is_answered_the_other_way_round(case, knowledge, effects):
    advice = advise(case, knowledge, start(case, knowledge, "tight in the middle"), effects)
    assert {remedy.direction for remedy in advice.remedies if remedy.removes} == {"looser"}


def test_a_sign_of_danger_stops_every_adjustment(case, knowledge, effects):
    advice = advise(case, knowledge, start(case, knowledge, "pulls under braking"), effects)
    assert advice.stop
    assert not any(remedy.kind == "lever" for remedy in advice.remedies)
    assert advice.packages == ()
