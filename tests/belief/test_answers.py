"""How a car answers its levers: one factor for all of them and one for each, learned from changes that were felt."""

from dataclasses import replace

import numpy as np
import pytest

from assistant.belief.felt import (
    CAR,
    CAR_OFF,
    LEVER_OFF,
    Turned,
    answer_of,
    answer_turns,
    lead_to,
    spread_answer,
    trace_turns,
)
from assistant.belief.known import Row, Term
from assistant.belief.plausible import OPEN
from assistant.belief.weigh import fit_cars
from assistant.car.files import read_case
from assistant.car.moves import with_step
from tests.belief.straight_world import make_world

CARS = 4000
WEDGE = Turned("", "after", ("cross_weight",))


def worlds(moved):
    """Cars that stand at neutral, and the same with a change made that is computed to move all of them alike."""
    flat = np.zeros((4, 3, 4, CARS))[0]
    return {"": make_world(flat, cars=CARS), "after": make_world(flat + moved, cars=CARS)}


def felt(moved, off=0.05):
    """Fit the cars to a change that was computed to move the balance by a half and was felt to move it by `moved`."""
    terms = (Term("balance exit", "worn", "after"), Term("balance exit", "worn", "", -1.0))
    scatter = np.random.default_rng(4).standard_normal((OPEN, CARS))
    return fit_cars([Row("felt", "change", terms, moved, off)], worlds(0.5), scatter, 0.0, (WEDGE,))


def believed(fit, number):
    """Mean answer of the cars when a number is moved."""
    names = (CAR, number)
    known = {name: fit.answers.get(name, spread_answer(name, fit.weights)) for name in names}
    return float(fit.weights @ answer_of((number,), known, CARS))


@pytest.mark.parametrize(("moved", "more"), [(0.9, True), (0.1, False)])
def test_a_lever_that_did_more_or_less_than_computed_is_believed_to_and_the_others_a_little(moved, more):
    fit = felt(moved)
    tried, other = believed(fit, "cross_weight"), believed(fit, "spring_rr")
    assert (1.0 < other < tried < moved / 0.5) if more else (moved / 0.5 < tried < other < 1.0)


def test_a_change_that_did_what_was_computed_narrows_what_the_lever_may_do():
    fit = felt(0.5)
    known = np.log(answer_of(("cross_weight",), fit.answers, CARS)).std()
    assert known < 0.8 * np.hypot(CAR_OFF, LEVER_OFF)
    assert believed(fit, "cross_weight") == pytest.approx(1.0, abs=0.05)


def test_a_lever_that_nobody_felt_answers_as_computed_on_the_mean_give_or_take():
    weights = np.random.default_rng(1).dirichlet(np.ones(300))
    known = {name: spread_answer(name, weights) for name in (CAR, "spring_rr")}
    factor = answer_of(("spring_rr",), known, 300)
    assert weights @ factor == pytest.approx(1.0, abs=0.05)
    log = np.log(factor)
    spread = np.sqrt(weights @ (log - weights @ log) ** 2)
    assert spread == pytest.approx(np.hypot(CAR_OFF, LEVER_OFF), rel=0.15)


def test_the_answers_of_several_levers_moved_together_average_out():
    rng = np.random.default_rng(2)
    numbers = ("one", "two", "three", "four")
    each = {name: rng.standard_normal(CARS) for name in numbers}
    apart = np.log(answer_of(("one",), each, CARS)).std()
    assert np.log(answer_of(numbers, each, CARS)).std() == pytest.approx(apart / 2, rel=0.1)


def test_every_setup_came_from_the_one_before_that_it_differs_least_from():
    case = read_case("demo")
    wedge, _ = with_step(case.setup, case.rulebook, case.car, "cross_weight", 2)
    more, _ = with_step(wedge, case.rulebook, case.car, "cross_weight", 2)
    spring, _ = with_step(case.setup, case.rulebook, case.car, "spring_rr", -1)
    turns = trace_turns({"": case.setup, "wedge": wedge, "more": more, "spring": spring})
    assert [(turn.before, turn.after, turn.numbers) for turn in turns] == [
        ("", "wedge", ("cross_weight",)),
        ("wedge", "more", ("cross_weight",)),
        ("", "spring", ("spring_rr",)),
    ]
    assert lead_to("more", turns) == [0, 1]
    assert lead_to("", turns) == []


def test_what_a_car_answers_adds_up_along_the_way_to_a_setup_and_is_of_the_balance_alone():
    turns = (WEDGE, Turned("after", "later", ("spring_rr",)))
    driven = {**worlds(0.5), "later": make_world(np.full((3, 4, CARS), 0.8), cars=CARS)}
    hot = driven["after"].names.index("tread RF")
    driven["after"].values[hot] = 9.0
    answers = {"cross_weight": np.full(CARS, 1.0), "spring_rr": np.full(CARS, -1.0)}
    found = answer_turns(driven, turns, answers)
    wedge, spring = (answer_of(turn.numbers, answers, CARS) for turn in turns)
    np.testing.assert_allclose(found["after"].read("balance exit", "worn"), 0.5 * wedge)
    np.testing.assert_allclose(found["later"].read("balance exit", "worn"), 0.5 * wedge + 0.3 * spring)
    np.testing.assert_allclose(found["after"].read("tread RF", "worn"), 9.0)


def test_words_of_the_last_run_are_believed_where_no_car_does_what_was_said_of_all_runs():
    world = worlds(0.5)
    loose = [
        Row("exit worn", "cell", (Term("balance exit", "worn", key),), value, 0.2, "driver", when, sized=True)
        for when, (key, value) in enumerate((("", 0.3), ("after", -0.9)))
    ]
    stiff = {key: replace(one, slopes=0.3 * one.slopes) for key, one in world.items()}
    fit = fit_cars(loose, stiff, np.random.default_rng(4).standard_normal((OPEN, CARS)), 0.0, (WEDGE,))
    stands = fit.read(answer_turns(stiff, (WEDGE,), fit.answers)["after"], "balance exit", "worn")
    assert fit.weights @ (stands < 0.0) > 0.9  # how cars answer is taken as straight where they are stood, so not all
