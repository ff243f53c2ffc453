"""Plausible cars: bands as wide as they say, and the same cars whenever they are drawn."""

import numpy as np
import pytest

from assistant.belief.model import case_numbers
from assistant.belief.plausible import CUT, DRAWN, PSI, SHARES, bands_of, draw_off, make_cars, move_best_pressures
from assistant.car.files import read_case
from assistant.physics.car_and_driver import usual_phases


@pytest.fixture(scope="module")
def numbers():
    return case_numbers(read_case("demo"))


def make(numbers, guessed=(), cars=4000, batch=0):
    bands = bands_of(numbers, guessed)
    return make_cars(numbers, bands, *draw_off(len(bands), cars, batch=batch)), bands


def test_the_first_car_is_the_nominal_one_but_for_shares_at_their_most(numbers):
    cars, _ = make(numbers)
    for name, value in numbers.items():
        if name not in SHARES:
            np.testing.assert_allclose(cars.numbers[name][..., 0], value[..., 0])
    for name, value in vars(usual_phases()).items():
        np.testing.assert_allclose(vars(cars.phases)[name][..., 0], value[..., 0])


def test_every_band_is_as_wide_as_it_says(numbers):
    cars, bands = make(numbers)
    clipped = np.clip(np.random.default_rng(0).standard_normal(100_000), -CUT, CUT).std()
    for name, band in DRAWN.items():
        if band.share and not band.add and name not in SHARES and numbers[name][0] > 0.0:
            assert np.log(cars.numbers[name]).std() == pytest.approx(bands[name].share * clipped, rel=0.06), name


def test_a_guessed_number_has_twice_the_band(numbers):
    known, guessed = make(numbers)[0], make(numbers, ("cg_height",))[0]
    spread = [np.log(cars.numbers["cg_height"]).std() for cars in (known, guessed)]
    assert spread[1] == pytest.approx(2.0 * spread[0], rel=1e-6)


def test_a_guessed_lever_is_unsure_now_and_on_the_scales_alike(numbers):
    cars, _ = make(numbers, ("cross_weight",))
    assert cars.numbers["cross_weight"].std() > 0.0
    np.testing.assert_array_equal(cars.numbers["cross_weight"], cars.numbers["weighed_cross_weight"])


def test_no_share_is_more_than_it_can_be(numbers):
    cars, _ = make(numbers)
    for name, most in SHARES.items():
        assert cars.numbers[name].max() <= most
        assert cars.numbers[name].std() > 0.0


def test_draws_repeat_and_batches_differ():
    one, again, other = (draw_off(5, 8, batch=batch)[0] for batch in (0, 0, 1))
    np.testing.assert_array_equal(one, again)
    assert not np.isclose(one[:, 1:], other[:, 1:]).any()


@pytest.mark.parametrize("known", [0.0, 1.0])
def test_best_pressures_move_together_where_the_tire_file_knows_them(numbers, known):
    mine = {**numbers, "best_pressure_known": np.array([known])}
    cars, bands = make(mine, cars=500)
    moved = move_best_pressures(cars.numbers, bands, cars.off)
    shares = [moved[f"best_pressure_{one}"] / cars.numbers[f"best_pressure_{one}"] for one in ("lf", "rr")]
    assert np.allclose(*shares) == bool(known)
    assert moved["best_pressure_known"].all()


@pytest.mark.parametrize(("known", "band"), [(0.0, 3.0 * PSI), (1.0, 0.08)])
def test_a_guessed_best_pressure_has_twice_the_band(numbers, known, band):
    mine = {**numbers, "best_pressure_known": np.array([known])}
    for guessed, wide in (((), 1.0), (("best_pressure",), 2.0)):
        cars, bands = make(mine, guessed, cars=500)
        before, after = (
            of["best_pressure_rr"] for of in (cars.numbers, move_best_pressures(cars.numbers, bands, cars.off))
        )
        off = np.log(after / before) if known else after - before
        assert np.abs(off).max() == pytest.approx(CUT * wide * band, rel=1e-6)
