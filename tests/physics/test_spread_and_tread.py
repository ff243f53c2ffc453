"""Plausible cars are drawn as they say, and the three temperatures across a tread mean what they say."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.physics.car_and_driver import BANDS, plausible_cars, usual_phases
from assistant.physics.tread import spread_across
from tests.physics.rig import car


def test_the_first_plausible_car_is_the_one_on_file_and_the_draw_repeats():
    numbers = car()
    cars, drivers = plausible_cars(numbers, cars=32)
    again, _ = plausible_cars(numbers, cars=32)
    other, _ = plausible_cars(numbers, cars=32, seed=1)
    for name, value in numbers.items():
        assert cars[name].shape == (32,)
        assert cars[name][0] == value[0]
        assert (cars[name] == again[name]).all()
    assert drivers.brake[..., 0] == pytest.approx(usual_phases().brake[..., 0])
    assert (other["cg_height"][1:] != cars["cg_height"][1:]).any()


def test_a_plausible_number_stays_within_two_deviations_of_its_band_and_a_guess_within_four():
    numbers = car()
    known, _ = plausible_cars(numbers, cars=400)
    guess, _ = plausible_cars(numbers, guessed=["cg_height", "spring_lr"], cars=400)
    width = np.abs(np.log(known["cg_height"] / 0.40))
    assert width.max() == pytest.approx(2 * BANDS["cg_height"].share, rel=1e-9)
    wide = np.abs(np.log(guess["cg_height"] / 0.40))
    assert wide.max() == pytest.approx(4 * BANDS["cg_height"].share, rel=1e-9)
    assert np.std(width) > 0.3 * BANDS["cg_height"].share
    assert (known["spring_lr"] == 35e3).all()
    assert np.ptp(guess["spring_lr"]) > 0.02 * 35e3
    assert (guess["spring_lr"] == guess["weighed_spring_lr"]).all()  # a wrong guess was wrong on the scales too


@settings(max_examples=80)
@given(st.floats(300.0, 420.0), st.floats(0.3, 1.5), st.floats(-60.0, 60.0), st.floats(-60.0, 60.0))
def test_three_temperatures_have_their_mean_and_never_fall_below_the_air(mean, scale, edges, crown):
    air = 297.0
    tread = spread_across(np.array(mean), air, np.array(scale), np.array(edges), np.array(crown))
    inside, middle, outside = tread.inside, tread.middle, tread.outside
    assert (inside + middle + outside) / 3 == pytest.approx(mean, rel=1e-12)
    assert min(inside, middle, outside) >= air - 1e-9
    if abs(scale * edges) < 0.8 * (mean - air):
        assert inside - outside == pytest.approx(scale * edges, abs=1e-9)
    if abs(scale * crown) < 0.8 * (mean - air):
        assert middle - (inside + outside) / 2 == pytest.approx(scale * crown, abs=1e-9)
