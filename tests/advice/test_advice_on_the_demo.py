"""The whole way on the demo car: base pack, vehicle model, interview, advice, JSON. Invariants, not numbers."""

import json

import pytest

from assistant.advice.offers import advise, table_for
from assistant.advice.prices import price_run
from assistant.advice.results import Package
from assistant.advice.wanted import derive_scale, miss, spread_over, want
from assistant.belief.outcome import full_model_of, try_lever
from assistant.belief.whole_run import forecast_setups
from assistant.car.files import read_case
from assistant.car.moves import limit_of, with_step
from assistant.diagnosis.session import start
from assistant.pages.data import Way, advice_data
from assistant.pages.lever_data import levers_data
from assistant.pages.why import compare_remedies, why_screen
from assistant.rules.pack import load_packs


@pytest.fixture(scope="module")
def knowledge():
    return load_packs()


@pytest.fixture(scope="module")
def case():
    return read_case("demo")


@pytest.fixture(scope="module")
def session(case, knowledge):
    return start(case, knowledge, "loose off late in the run")


@pytest.fixture(scope="module")
def effects(case, knowledge, session):
    return table_for(case, knowledge, session.complaint)


@pytest.fixture(scope="module")
def advice(case, knowledge, session, effects):
    return advise(case, knowledge, session, effects)


def moved(case, offer):
    setup = case.setup
    moves = (
        [(move.lever, move.steps) for move in offer.moves] if isinstance(offer, Package) else [(offer.id, offer.steps)]
    )
    for lever, steps in moves:
        setup, _ = with_step(setup, case.rulebook, case.car, lever, steps)
    return setup


def test_habits_worked_out_when_needed_give_the_advice_that_a_table_with_all_of_them_gives(
    case, knowledge, session, effects, advice
):
    lean = table_for(case, knowledge, session.complaint, habits=False)
    assert not lean.habits
    assert effects.habits
    same = advise(case, knowledge, session, lean)
    assert advice_data(same, Way("trade", case)) == advice_data(advice, Way("trade", case))
    assert any(one.kind == "driving" and one.basis == "computed" for one in same.remedies)


def test_the_model_stands_where_the_driver_says_the_car_is(effects):
    assert effects.balance["exit"]["worn"] == pytest.approx(-0.8, abs=0.1)
    assert abs(effects.balance["entry"]["settled"]) < 0.1


def test_what_a_shown_lever_or_package_does_is_the_whole_run_driven_with_it_alone(advice, case, effects):
    offers = [one for one in advice.remedies if one.kind == "lever" and one.basis == "computed"] + [*advice.packages]
    assert len(offers) >= 3
    for offer in offers:
        now, after = forecast_setups(effects.model, [case.setup, moved(case, offer)])
        for phase, row in offer.effect.items():
            for stage, change in row.items():
                assert change == pytest.approx(after.balance[phase][stage] - now.balance[phase][stage], abs=0.01)
        if not isinstance(offer, Package):
            for corner, (laps, change) in offer.run.tire_laps.items():
                assert laps == pytest.approx(after.tire_laps[corner], rel=1e-3)
                assert change == pytest.approx(after.tire_laps[corner] - now.tire_laps[corner], abs=0.1)
            assert offer.run.pace["average"] == pytest.approx(after.pace.average - now.pace.average, abs=1e-3)
            assert offer.run.fuel_laps[0] == pytest.approx(after.fuel_laps, abs=0.05)
            assert offer.run.hot_pressure["RR"][0] == pytest.approx(after.hot_pressure["RR"]["worn"], rel=1e-3)


def test_a_step_less_or_more_of_a_shown_lever_would_be_no_better(advice, case, knowledge, effects):
    weights = knowledge.weights
    wanted = want(advice.complaint, effects, derive_scale(effects, weights), weights)
    model = full_model_of(case, effects, {})

    def price(lever, steps):
        (outcome,) = model([try_lever(lever, steps)])
        row = spread_over(wanted, outcome.balance, outcome.ends)
        run = price_run(outcome.run, weights, case.run_laps)
        return float(miss(wanted, row)) + weights.step_price * abs(steps) + run.total

    shown = [
        one for one in advice.remedies if one.kind == "lever" and one.limited_by is None and one.basis == "computed"
    ]
    assert shown
    for lever in shown:
        less = [lever.steps - 1, lever.steps + 1] if abs(lever.steps) > 1 else [2 * lever.steps]
        assert all(price(lever.id, lever.steps) <= price(lever.id, steps) + 1e-3 for steps in less)


def test_a_habit_is_driven_through_the_whole_run_too(advice):
    habits = [one for one in advice.remedies if one.kind == "driving" and one.basis == "computed"]
    assert habits
    assert all(one.run is not None for one in habits)


def test_no_list_of_costs_is_longer_than_a_person_reads(advice):
    for remedy in advice.remedies:
        assert len([cost for cost in remedy.costs if cost.kind == "balance"]) <= 4
    assert any(remedy.check_again for remedy in advice.remedies)


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


def test_every_remedy_can_be_explained_and_compared(advice, knowledge):
    first, *others = advice.remedies
    for remedy in advice.remedies:
        texts = [getattr(block, "text", "") for block in why_screen(remedy.rank, remedy, knowledge.levers, "trade")]
        assert texts[0]
        assert any(text.startswith("Sources: ") for text in texts)
    assert all(len(compare_remedies(first, other)) > 1 for other in others)


def test_advice_and_levers_are_plain_json(advice, case, knowledge, effects):
    for system in ("trade", "si"):
        assert json.dumps(advice_data(advice, Way(system, case)), allow_nan=False)
        levers = levers_data(effects, knowledge, Way(system, case))["levers"]
        assert json.dumps(levers, allow_nan=False)
        assert set(levers) == set(effects.levers)


def test_the_same_question_gets_the_same_answer(advice, case, knowledge, effects):
    again = advise(case, knowledge, start(case, knowledge, "loose off late in the run"), effects)
    assert advice_data(again, Way("trade", case)) == advice_data(advice, Way("trade", case))


def test_a_push_is_answered_the_other_way_round(case, knowledge, effects):
    advice = advise(case, knowledge, start(case, knowledge, "tight in the middle"), effects)
    assert {remedy.direction for remedy in advice.remedies if remedy.removes} == {"looser"}


def test_a_sign_of_danger_stops_every_adjustment(case, knowledge, effects):
    advice = advise(case, knowledge, start(case, knowledge, "pulls under braking"), effects)
    assert advice.stop
    assert not any(remedy.kind == "lever" for remedy in advice.remedies)
    assert advice.packages == ()
