"""Skin and carcass of a tire, the road below it, wear that grows faster than slip, age, and the radius it rolls on."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from assistant.belief.model import read_model
from assistant.car.files import read_case
from assistant.physics.corner_problem import find_mismatch
from assistant.physics.formulas import rolling_radius
from assistant.physics.heat_and_wear import (
    WEAR_POWER,
    Slip,
    carcass_target,
    cool_tires,
    find_surface,
    slip_round,
    wear_power,
)
from assistant.physics.tire_grip import steady_multiplier
from tests.physics.rig import car, solve, turn

AIR, ROAD = 297.0, 308.0
TIMES = np.array([[2.4, 2.2], [2.0, 2.1], [2.3, 2.5], [5.0, 5.1]])[None, :, :, None]
POWERS = (
    1e3
    * np.array([[13.0, 12.0], [12.0, 13.0], [10.0, 11.0], [1.0, 0.5]])[None, None, :, :, None]
    * np.ones((4, 1, 1, 1, 1))
)
LAP = Slip(POWERS, TIMES)


def test_the_skin_of_a_lap_is_that_of_its_differential_equation_gone_round_until_it_repeats():
    numbers, carcass = car(), np.full((4, 1, 1), 350.0)
    cooling = cool_tires(numbers, 35.0, AIR, ROAD)
    found = find_surface(numbers, cooling, LAP, carcass)[0, 0, :, :, 0]
    inside, out, size = numbers["skin_conductance"][0], cooling.skin[0], numbers["skin_capacity"][0]

    def drive(start, power, time):
        def change(_, state):
            skin = state[0]
            gained = numbers["heat_share"][0] * power + inside * (350.0 - skin) - out * (skin - cooling.sink[0])
            return [gained / size, skin]

        return solve_ivp(change, (0.0, time), [start, 0.0], rtol=1e-10, atol=1e-9).y[:, -1]

    skin = 350.0
    for _ in range(12):
        means = np.zeros((4, 2))
        for end in range(2):
            for place in range(4):
                time = TIMES[0, place, end, 0]
                skin, summed = drive(skin, POWERS[0, 0, place, end, 0], time)
                means[place, end] = summed / time
    assert found == pytest.approx(means, abs=1e-4)


def test_what_goes_into_a_tire_comes_out_of_it_once_nothing_changes():
    numbers = car()
    cooling = cool_tires(numbers, 35.0, AIR, ROAD)
    rolling = np.full((4, 1, 1), 2500.0)
    carcass = carcass_target(numbers, cooling, LAP.mean(), rolling, AIR)
    skin = find_surface(numbers, cooling, LAP, carcass)
    mean = (skin * TIMES).sum(axis=(2, 3)) / TIMES.sum(axis=(1, 2))
    gone = cooling.skin * (mean - cooling.sink) + cooling.sidewall * (carcass - AIR)
    assert gone == pytest.approx(numbers["heat_share"] * LAP.mean() + rolling, rel=1e-9)


def test_the_skin_is_warmest_where_slip_has_worked_and_cools_on_the_straight(model):
    skin = model.run.moments.surface[1, -1, :, 0, 0]  # right front
    assert skin[0] < skin[1] < skin[2]
    assert skin[3] < skin[2]


def test_a_road_in_the_sun_makes_every_tire_warmer_and_a_tire_that_does_not_touch_it_does_not_know():
    numbers = car()
    night, sun = (cool_tires(numbers, 35.0, AIR, road) for road in (AIR - 5.0, AIR + 25.0))
    none = np.zeros((4, 1, 1))
    assert (carcass_target(numbers, sun, none, none, AIR) > carcass_target(numbers, night, none, none, AIR) + 5.0).all()
    numbers["road_cooling"] = np.array([0.0])
    assert cool_tires(numbers, 35.0, AIR, 400.0).sink == pytest.approx(AIR)


def test_sun_to_night_changes_the_run():
    case = read_case("demo")
    roads = (replace(case, track=replace(case.track, track_temperature=kelvin)) for kelvin in (285.0, 330.0))
    night, sun = (read_model(one).run for one in roads)
    assert (sun.moments.tread[:, -1] > night.moments.tread[:, -1] + 5.0).all()
    assert np.abs(sun.lap.time[-1] - night.lap.time[-1]).item() > 0.02


@pytest.mark.parametrize("power", [1.0, 1.5, 2.0])
def test_twice_the_slip_wears_so_many_times_as_much(power):
    numbers = car() | {"wear_exponent": np.array([power])}
    cool = np.full_like(POWERS, 300.0)
    once, twice = (wear_power(numbers, replace(LAP, power=times * POWERS), cool) for times in (1.0, 2.0))
    assert twice / once == pytest.approx(2.0**power)
    even = replace(LAP, power=np.full_like(POWERS, WEAR_POWER))
    assert wear_power(numbers, even, cool) == pytest.approx(WEAR_POWER)


def test_age_takes_grip_at_first_and_then_no_more():
    numbers = car()
    grip = [
        float(steady_multiplier(numbers, numbers["best_temperature"], 0.0, age)[0]) for age in (0.0, 900.0, 9e3, 9e4)
    ]
    assert grip[0] == pytest.approx(1.0)
    assert grip[0] > grip[1] > grip[2] > grip[3] - 1e-12
    assert grip[-1] == pytest.approx(1.0 - numbers["aged_grip"][0])
    assert grip[1] - grip[2] < grip[0] - grip[1]


def test_a_loaded_tire_rolls_on_less_than_its_free_radius_by_that_share_of_its_deflection():
    assert rolling_radius(0.34, 4000.0, 2.0e5, 0.0) == pytest.approx(0.34)
    assert rolling_radius(0.34, 4000.0, 2.0e5, 1.0) == pytest.approx(0.32)
    assert rolling_radius(0.34, 4000.0, 2.0e5, 1.0 / 3.0) == pytest.approx(0.34 - 0.02 / 3.0)


def test_load_on_the_right_rear_takes_rolling_stagger_as_its_share_says():
    for share in (0.0, 0.1, 1.0 / 3.0):
        problem, _ = solve(car(rolling_share=share), turn())
        even, right = (
            find_mismatch(problem, np.array(loads)[:, None, None, None, None]) for loads in ((4e3, 4e3), (3e3, 5e3))
        )
        less = share * 2e3 / problem.rear_rate.mean() / problem.rear_free.mean()
        assert (even - right).mean() == pytest.approx(less, rel=0.05, abs=1e-12)


def test_slip_of_a_lap_is_that_of_its_corners_and_straights(model):
    slip, lap = slip_round(model.run.attitude, model.run.lap), model.run.lap
    work = (model.run.attitude.sliding * lap.corner_time).sum(axis=(2, 3)) + lap.straight_slip.sum(axis=2)
    assert slip.mean() == pytest.approx(work / lap.time, rel=1e-12)
