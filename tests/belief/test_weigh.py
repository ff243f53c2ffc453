"""Fitting and weighing against what normal numbers say exactly."""

from dataclasses import replace

import numpy as np
import pytest

from assistant.belief.known import FACTOR_OFF, Row, Term
from assistant.belief.plausible import OPEN
from assistant.belief.weigh import CELL_OFF, CHANGE_OFF, FEW, count_effective, fit_cars, thin_out, weigh
from tests.belief.straight_world import make_world, normal_world

FRESH, SETTLED, WORN = (Term("balance exit", stage, "") for stage in ("fresh", "settled", "worn"))


def row(*terms, value=0.0, off=0.4, name="row", **more):
    return Row(name, "cell", terms, value, off, **more)


def scatter(cars, seed=3):
    return np.random.default_rng(seed).standard_normal((OPEN, cars))


def test_the_fit_of_one_row_is_the_one_of_normal_numbers():
    # balance = 0 + 4 u + 4 c + error; said -0.8 give or take 0.4
    cars = 20_000
    world = make_world(np.zeros((3, 4, cars)), cars=cars)
    fit = fit_cars([row(WORN, value=-0.8)], {"": world}, scatter(cars))
    before = 2 * 4.0**2 + CELL_OFF**2
    kept = before / (before + 0.4**2)
    believed = fit.read(world, "balance exit", "worn")
    assert believed.mean() == pytest.approx(-0.8 * kept, abs=0.01)
    assert believed.std() == pytest.approx((before * (1 - kept)) ** 0.5, rel=0.03)
    assert count_effective(fit.weights) == pytest.approx(cars)


def test_weights_are_the_chances_of_the_evidence():
    cars, draw = 40, np.random.default_rng(5)
    slopes = draw.uniform(1.0, 6.0, (3, 4, cars))
    world = make_world(draw.normal(0.0, 2.0, (3, 4, cars)), slopes, cars)
    rows = [row(FRESH, value=0.3), row(WORN, replace(FRESH, factor=-1.0), value=-0.8, name="late")]
    fit = fit_cars(rows, {"": world}, scatter(cars))
    logs = []
    for car in range(cars):
        base = np.array([world.read("balance exit", stage)[car] for stage in ("fresh", "worn")])
        by = np.array([world.read_slopes("balance exit", stage)[:, car] for stage in ("fresh", "worn")])
        cells = by @ by.T + CELL_OFF**2 * np.eye(2)
        sums = np.array([[1.0, 0.0], [-1.0, 1.0]])
        spread = sums @ cells @ sums.T + 0.16 * np.eye(2)
        miss = np.array([0.3, -0.8]) - sums @ base
        logs.append(-0.5 * miss @ np.linalg.solve(spread, miss) - 0.5 * np.linalg.slogdet(spread)[1])
    plain, _ = weigh(np.array(logs))
    assert fit.plain == pytest.approx(count_effective(plain), rel=1e-6)
    if fit.plain >= FEW:
        np.testing.assert_allclose(fit.weights, plain, rtol=1e-6)


def test_the_order_of_rows_and_a_row_of_no_weight_change_nothing():
    world = normal_world(50)
    rows = [row(WORN, value=-0.8, name="a"), row(FRESH, name="b"), row(SETTLED, value=0.5, name="c")]
    fits = [
        fit_cars(some, {"": world}, scatter(50))
        for some in (rows, rows[::-1], [*rows, row(SETTLED, value=9.0, off=1e9, name="nothing")])
    ]
    for other in fits[1:]:
        np.testing.assert_allclose(other.weights, fits[0].weights, rtol=1e-5)
        np.testing.assert_allclose(other.free, fits[0].free, atol=1e-5)


def test_what_can_only_be_the_drivers_measure_moves_his_factor_and_no_other():
    world = make_world(np.zeros((3, 4, 300)), np.zeros((3, 4, 300)), cars=300)  # nothing the car could do about it
    rows = [row(WORN, value=-2.0, off=0.1, who="one", sized=True), row(FRESH, value=0.0, off=0.1, who="other")]
    fit = fit_cars(rows, {"": world}, scatter(300))
    assert fit.drivers == ("one",)
    assert fit.factors.mean() < -0.5 * FACTOR_OFF


def test_two_drivers_keep_two_factors():
    world = make_world(np.full((3, 4, 400), -1.0), np.zeros((3, 4, 400)), cars=400)
    rows = [
        row(WORN, value=-2.0, off=0.1, who="loud", sized=True),
        row(SETTLED, value=-0.5, off=0.1, who="quiet", sized=True, name="other"),
    ]
    loud, quiet = fit_cars(rows, {"": world}, scatter(400)).factors.mean(axis=1)
    assert loud < 0.0 < quiet


def test_a_row_is_compared_with_the_setup_it_was_felt_on():
    before = make_world(np.zeros((3, 4, 60)), cars=60)
    after = make_world(np.linspace(-1.0, 1.0, 60) + np.zeros((3, 4, 60)), cars=60)
    felt = row(replace(WORN, setup="after"), replace(WORN, factor=-1.0), value=0.6, off=0.1)
    fit = fit_cars([felt], {"": before, "after": after}, scatter(60))
    moved = np.linspace(-1.0, 1.0, 60)
    assert fit.weights @ moved == pytest.approx(0.6, abs=0.05)


def test_cars_that_could_not_drive_weigh_nothing():
    world = normal_world(20)
    broken = replace(world, usable=np.arange(20) % 2 == 0)
    fit = fit_cars([row(WORN)], {"": broken}, scatter(20))
    assert fit.weights[1::2].sum() == 0.0
    assert fit.weights.sum() == pytest.approx(1.0)


@pytest.mark.parametrize("past_all", [1e30, 1e200, 1e307])
def test_a_car_whose_matrix_cannot_be_solved_is_not_used_and_changes_no_other(past_all):
    slopes = np.random.default_rng(2).uniform(1.0, 6.0, (3, 4, 20))
    slopes[..., 3] = past_all
    world = make_world(np.zeros((3, 4, 20)), slopes, 20)
    rows = [row(FRESH, value=0.3, who="one", sized=True), row(WORN, value=-0.8, name="late"), row(SETTLED, name="mid")]
    fit = fit_cars(rows, {"": world}, scatter(20))
    left_out = fit_cars(rows, {"": replace(world, usable=np.arange(20) != 3)}, scatter(20))
    assert np.isfinite(fit.weights).all()
    assert np.isfinite(fit.free).all()
    assert fit.log_chance == pytest.approx(left_out.log_chance)
    np.testing.assert_allclose(fit.weights, left_out.weights)


def test_weights_are_tempered_until_not_too_few_cars_count_and_no_more():
    logs = -0.5 * np.linspace(0.0, 2000.0 / FEW, 400) ** 2
    plain, weights = weigh(logs)
    assert count_effective(plain) < FEW <= count_effective(weights)
    flat, same = weigh(np.zeros(400))
    np.testing.assert_array_equal(flat, same)


def test_a_story_that_no_car_does_leaves_few_cars():
    world = normal_world(256)
    told = [row(WORN, replace(FRESH, factor=-1.0), value=-12.0, off=0.3)]
    small = replace(world, slopes=0.0 * world.slopes)
    assert (
        fit_cars(told, {"": small}, scatter(256)).plain < 20.0 < fit_cars([row(WORN)], {"": small}, scatter(256)).plain
    )


def test_no_car_that_counts_stands_on_the_other_side_of_a_word():
    world = normal_world(300)
    fit = fit_cars([row(WORN, value=-0.4, who="one", sized=True)], {"": world}, scatter(300))
    assert (fit.read(world, "balance exit", "worn")[fit.weights > 0.0] < 0.0).all()


def test_where_no_car_does_what_was_said_none_is_left_out():
    world = replace(make_world(np.full((3, 4, 300), 9.0), cars=300), slopes=np.zeros((4, 24, 4, 300)))
    fit = fit_cars([row(WORN, value=-0.4, who="one", sized=True)], {"": world}, scatter(300))
    assert count_effective(fit.weights) == pytest.approx(300.0)


def test_no_more_cars_count_than_are_asked_for_and_the_likely_ones_as_they_did():
    weights = np.r_[np.full(8, 0.08), np.full(120, 0.003)]
    left = thin_out(weights, 32)
    assert np.count_nonzero(left) == 32
    assert left.sum() == pytest.approx(1.0)
    np.testing.assert_allclose(left[:8], 0.08, rtol=0.06)
    np.testing.assert_array_equal(thin_out(weights, 128), weights)


def test_cars_that_stand_for_others_keep_the_mean_and_stay_the_same_when_weights_change_a_little():
    draw = np.random.default_rng(3)
    means, apart = [], []
    for _ in range(200):
        weights, values = draw.gamma(0.5, size=192), draw.standard_normal(192)
        weights /= weights.sum()
        left = thin_out(weights, 64)
        means.append((left - weights) @ values)
        moved = weights * np.exp(0.05 * draw.standard_normal(192))
        apart.append(np.count_nonzero((thin_out(moved / moved.sum(), 64) > 0.0) & (left == 0.0)))
    assert np.mean(means) == pytest.approx(0.0, abs=0.01)
    assert np.std(means) < 0.06  # of a mean that 64 cars know to 0.12
    assert np.mean(apart) < 3.0


def test_cars_stand_beside_two_words_as_those_do_that_happen_to_stand_there():
    cars = 20_000
    said = [row(WORN, value=-0.4, who="one", sized=True), row(FRESH, value=-0.2, who="one", sized=True, name="early")]
    taken_for_their_size = [replace(one, kind="change", off=(one.off**2 - CHANGE_OFF**2) ** 0.5) for one in said]
    world = make_world(np.linspace(-0.5, 0.5, cars) + np.zeros((3, 4, cars)), np.full((3, 4, cars), 0.2), cars)
    free, held = (fit_cars(rows, {"": world}, scatter(cars)) for rows in (taken_for_their_size, said))
    late, early = (free.read(world, "balance exit", stage) for stage in ("worn", "fresh"))
    there = free.weights * ((late < 0.0) & (early < 0.0))
    by_chance = there / there.sum()
    assert 0.3 < there.sum() < 0.9
    for stage in ("fresh", "settled", "worn"):
        all_cars, stood = (fit.read(world, "balance exit", stage) for fit in (free, held))
        mean = by_chance @ all_cars
        assert held.weights @ stood == pytest.approx(mean, abs=0.01)
        assert held.weights @ (stood - mean) ** 2 == pytest.approx(by_chance @ (all_cars - mean) ** 2, rel=0.04)
    half = slice(0, cars // 2)
    assert held.weights[half].sum() == pytest.approx(by_chance[half].sum(), abs=0.01)
    assert count_effective(held.weights) > count_effective(by_chance)


def test_words_that_contradict_each_other_hold_no_car_to_either_side():
    said = [row(WORN, value=way * 0.4, who="one", sized=True, name=f"{way}") for way in (-1.0, 1.0)]
    world = normal_world(300)
    stood = fit_cars(said, {"": world}, scatter(300)).read(world, "balance exit", "worn")
    assert 0.2 < (stood > 0.0).mean() < 0.8


def test_as_bad_as_can_be_said_is_that_bad_or_worse():
    balance = np.zeros((3, 4, 3))
    balance[2] = np.array([-0.5, -2.0, -6.0])
    world = make_world(balance, np.zeros((3, 4, 3)), cars=3)
    worst = replace(row(WORN, value=-2.0), open=True)
    near, at, beyond = fit_cars([worst], {"": world}, np.zeros((OPEN, 3))).misses[0]
    assert near > 1.0
    assert at == beyond == pytest.approx(0.0, abs=1e-6)
    assert fit_cars([replace(worst, open=False)], {"": world}, np.zeros((OPEN, 3))).misses[0][2] < -1.0
