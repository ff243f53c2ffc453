"""The whole way on the demo car: base pack, vehicle model, interview, advice, JSON. Invariants, not numbers."""

import json
from dataclasses import replace

import pytest

from assistant.advice.habits import compare_offer
from assistant.advice.offers import advise
from assistant.advice.results import Advice
from assistant.belief.cures import WORSE, judge, value_moves, want
from assistant.belief.effects import drive_moves, effect_table
from assistant.car.case import levers_of
from assistant.car.files import read_case
from assistant.car.moves import limit_of, with_step, with_value
from assistant.diagnosis.session import start
from assistant.ground.names import sayable
from assistant.pages.advice import advice_screen, headline, offers_of
from assistant.pages.advice_words import say_cost
from assistant.pages.amounts import FROM_ANYWHERE
from assistant.pages.data import Way, advice_data
from assistant.pages.levers import levers_data
from assistant.pages.sheet_page import make_page
from assistant.pages.why import why_not_screen, why_screen
from assistant.rules.pack import load_packs
from tests.demo_table import believe_case
from tests.pages.tree import texts_of


@pytest.fixture(scope="module")
def session(case, knowledge):
    return start(case, knowledge, "loose off late in the run")


@pytest.fixture(scope="module")
def belief(case, session):
    return believe_case(case, session.complaint)


@pytest.fixture(scope="module")
def advice(case, knowledge, session, belief):
    return advise(case, knowledge, session, belief)


def test_the_car_is_believed_to_stand_where_the_driver_says(advice):
    assert -1.4 < advice.picture.value["exit"]["worn"] < -0.3
    assert advice.picture.said == {("exit", "worn"): "loose"}


def test_causes_that_are_numbers_of_the_model_have_a_row_of_the_plausible_cars(advice, knowledge):
    rows = {
        one.id: [sign.kind for sign in (*one.signs_for, *one.signs_against)].count("computed") for one in advice.causes
    }
    reckoned = {name for name, count in rows.items() if count}
    assert "stagger-grown" in reckoned
    assert reckoned <= {one.cause for one in knowledge.causes.values() if one.model}
    assert set(rows.values()) <= {0, 1}


def test_what_a_shown_lever_or_package_removes_is_what_the_same_move_does_on_the_believed_cars(advice, case, belief):
    offers = [one for one in advice.remedies if one.kind == "lever" and one.basis == "computed"] + [*advice.packages]
    assert len(offers) >= 2
    wanted = want(belief, advice.complaint)
    for offer in offers:
        verdict = judge(wanted, wanted.read(drive_moves(case, belief, offer.steps_of_levers)))
        assert (offer.removes, offer.spoils) == pytest.approx((verdict.removes, verdict.spoils))
        assert (offer.cures, offer.confidence) == pytest.approx((verdict.cures, verdict.direction))


def test_what_try_shows_of_an_offer_is_the_effect_the_offer_has(advice, case, knowledge):
    for offer in advice.offers:
        if offer.effect is None or offer.run is None:
            continue
        before, after, change = compare_offer(advice, offer, case, knowledge)
        for phase, row in offer.effect.items():
            for stage, value in row.items():
                low, high = offer.spread[phase][stage]
                assert low < high, "what is driven on the cars has a band, of a usual size too"
                assert (change.low[phase][stage], change.high[phase][stage]) == pytest.approx((low, high), abs=1e-9)
                assert change.value[phase][stage] == pytest.approx(value, abs=1e-9)
                moved = after.value[phase][stage] - before.value[phase][stage]
                assert moved == pytest.approx(value, abs=1e-9)


def test_a_step_less_or_more_of_a_shown_lever_would_be_no_better_but_for_tires_and_pace(
    advice, case, knowledge, belief
):
    wanted, price = want(belief, advice.complaint), knowledge.weights.step_price

    def worth(lever, steps):
        moved = wanted.read(drive_moves(case, belief, [(lever, steps)]))
        return float(value_moves(wanted, moved[None])[0]) - price * abs(steps)

    shown = [one for one in advice.remedies if one.kind == "lever" and one.basis == "computed"]
    assert shown
    for lever in shown:
        assert worth(lever.id, lever.steps) >= worth(lever.id, lever.steps - (1 if lever.steps > 0 else -1)) - 0.02
        assert worth(lever.id, lever.steps) > 0


def test_a_habit_is_driven_through_the_whole_run_too(case, knowledge, session, belief):
    among = set(knowledge.driving)
    advice = advise(case, knowledge, session, belief, among=among)
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


def test_every_remedy_can_be_explained_and_compared(advice, knowledge):
    first, *others = advice.remedies
    for remedy in advice.remedies:
        texts = [getattr(block, "text", "") for block in why_screen(remedy.rank, remedy, knowledge.levers, "trade")]
        assert texts[0]
        assert any(text.startswith("Sources: ") for text in texts)
    pairs = [[(first.rank, first), (other.rank, other)] for other in others]
    assert all(len(why_not_screen(pair, knowledge.levers, "trade")) > 2 for pair in pairs)


def test_advice_and_levers_are_plain_json(advice, case, knowledge, belief):
    effects = effect_table(case, belief)
    for system in ("trade", "si"):
        assert json.dumps(advice_data(advice, Way(system, case)), allow_nan=False)
        levers = levers_data(effects, knowledge, system)["levers"]
        assert json.dumps(levers, allow_nan=False)
        assert set(levers) == set(levers_of(case.setup))


def test_the_same_question_gets_the_same_answer(advice, case, knowledge, belief):
    again = advise(case, knowledge, start(case, knowledge, "loose off late in the run"), belief)
    assert advice_data(again, Way("trade", case)) == advice_data(advice, Way("trade", case))


def test_a_push_is_answered_the_other_way_round(case, knowledge, belief):
    session = start(case, knowledge, "tight in the middle")
    advice = advise(case, knowledge, session, believe_case(case, session.complaint))
    assert {remedy.direction for remedy in advice.remedies if remedy.removes} == {"looser"}


def test_a_sign_of_danger_stops_every_adjustment(case, knowledge, belief):
    advice = advise(case, knowledge, start(case, knowledge, "pulls under braking"), belief)
    assert advice.stop
    assert not any(remedy.kind == "lever" for remedy in advice.remedies)
    assert advice.packages == ()


# A setup outside the rules is said to be so before anything else is said of it.


def test_what_is_not_legal_stands_first_on_the_screen_and_in_the_data():
    knowledge, demo = load_packs(), read_case("demo")
    case = replace(demo, setup=with_value(demo.setup, "cross_weight", 0.6))
    session = start(case, knowledge, "loose off late, 3")
    advice = advise(case, knowledge, session, believe_case(case, session.complaint), among=("front_bar",))
    first = advice_screen(advice, knowledge.levers, "trade")[0]
    assert first.text.startswith("Not legal: cross weight is 60")
    assert first.mark == "caution"
    assert len(advice_data(advice, Way("trade", case))["not_legal"]) == 1


def test_what_is_not_legal_is_said_in_the_units_asked_for():
    knowledge, demo = load_packs(), read_case("demo")
    case = replace(demo, setup=with_value(demo.setup, "spring_rf", 1.0))
    session = start(case, knowledge, "loose off late, 3")
    advice = replace(Advice(session.complaint), case=case)
    assert "N/mm" in advice_screen(advice, knowledge.levers, "si")[0].text
    assert "N/mm" in advice_data(advice, Way("si", case))["not_legal"][0]


def test_a_legal_setup_has_nothing_said_of_the_rules():
    knowledge, case = load_packs(), read_case("demo")
    session = start(case, knowledge, "loose off late, 3")
    advice = advise(case, knowledge, session, believe_case(case, session.complaint), among=("front_bar",))
    assert advice_data(advice, Way("trade", case))["not_legal"] == []


# A car that was mostly guessed: what is said of it is marked, and no chance is said that the cars cannot carry.


LEVERS = ("cross_weight", "track_bar_right", "front_bar")


def advised(**changes):
    knowledge, demo = load_packs(), read_case("demo")
    case = replace(demo, **{name: replace(getattr(demo, name), guessed=found) for name, found in changes.items()})
    session = start(case, knowledge, "loose off late, 3")
    belief = believe_case(case, session.complaint)
    return case, knowledge, session, advise(case, knowledge, session, belief, among=LEVERS)


@pytest.fixture(scope="module")
def guessed():
    return advised(setup=frozenset({"cross_weight"}), tire=frozenset({"load_exponent", "worn_grip"}))


def said_of(told):
    _, knowledge, _, advice = told
    return [block.text for block in advice_screen(advice, knowledge.levers, "trade", count=9)]


def test_an_offer_that_moves_a_guessed_value_says_from_where_it_is_and_the_others_say_the_number(guessed):
    _, knowledge, _, advice = guessed
    said = {
        offer.id: headline(offer, knowledge.levers, "trade") for offer in offers_of(advice) if offer.kind == "lever"
    }
    assert FROM_ANYWHERE in said["cross_weight"]
    assert "from 51.0" not in said["cross_weight"]
    assert all("from" in text for lever, text in said.items() if lever != "cross_weight")


def test_the_page_and_the_data_mark_it_too(guessed):
    case, knowledge, session, advice = guessed
    page = make_page(case, knowledge, session, advice, offers_of(advice))
    order = next(text for text in texts_of(page) if text.startswith("Raise the cross weight"))
    assert FROM_ANYWHERE in order
    data = advice_data(advice, Way("trade", case))
    marked = {remedy["id"]: remedy["start_is_guessed"] for remedy in data["remedies"] if remedy["kind"] == "lever"}
    assert marked == {lever: lever == "cross_weight" for lever in marked}
    assert data["guessed_values"] == 3
    assert "Behind this stand 3 values that nobody measured, only guessed." in texts_of(page)


def test_one_line_counts_the_guesses_and_a_measured_car_has_none(guessed):
    line = "Behind this stand 3 values that nobody measured, only guessed."
    assert said_of(guessed).count(line) == 1
    assert not [text for text in said_of(advised()) if "guessed" in text]


def test_no_chance_is_said_beyond_what_the_plausible_cars_can_carry(guessed):
    _, _, _, advice = guessed
    sure = [remedy.confidence for remedy in advice.remedies if remedy.confidence is not None]
    assert sure
    assert max(sure) <= 1 - 1 / 64
    assert sayable(1.0, 64) == 1 - 1 / 64
    assert sayable(0.7, 64) == 0.7


def test_what_is_sure_is_the_direction_on_these_tires_never_more(guessed):
    said = " ".join(said_of(guessed))
    assert "Chance it cures" in said
    assert "more than 99" not in said


def test_a_felt_change_where_nobody_said_how_the_car_is_is_named_and_never_called_nothing(knowledge):
    tight = read_case("demo-tight")
    told = start(tight, knowledge, "tight in the middle early in the run")
    found = advise(tight, knowledge, told, believe_case(tight, told.complaint))
    unsaid = [cost for one in found.offers for cost in one.costs if cost.unsaid]
    assert unsaid
    for cost in unsaid:
        assert abs(cost.amount) >= WORSE
        assert (*cost.phases, *cost.stages) not in found.picture.said
        assert say_cost(cost, "trade").endswith(", where nobody said how it is")
